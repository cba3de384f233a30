package sheets

import (
	"math"
	"sort"

	"shoreward/internal/deck"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/say"
)

// Distances of the rows outside the plan, mm from the window.
const (
	dimFirst  = 11.5 // gridline to gridline
	dimSecond = 16.0 // overall
	bubbleAt  = 22.8
	farBubble = 16.0 // at the upper and right ends, where no dimensions are
)

// clipGrid keeps the gridlines that cross the window.
func (sh *sheet) clipGrid() {
	w := sh.view.window.Grow(0.01)
	for _, g := range sh.set.doc.Job.GridX {
		if x := sh.view.at(deck.Point{g.At, 0}).X; x >= w.Min.X && x <= w.Max.X {
			sh.gridX = append(sh.gridX, g)
		}
	}
	for _, g := range sh.set.doc.Job.GridY {
		if y := sh.view.at(deck.Point{0, g.At}).Y; y >= w.Min.Y && y <= w.Max.Y {
			sh.gridY = append(sh.gridY, g)
		}
	}
}

func (sh *sheet) gridlines() {
	sh.page.Layer = "grid"
	w := sh.view.window
	draws := func(a, b draw.Point, name string) {
		d := b.Sub(a).Unit().Times(3.4)
		sh.page.Line(draw.GridPen, a.Add(d), b.Sub(d))
		sh.place.BlockLine(draw.Segment{A: a, B: b}, 0.1, true)
		for _, at := range []draw.Point{a, b} {
			bubble(sh.page, at, name)
			sh.place.Block(draw.BoxAround(at, 7, 7))
		}
	}
	for _, g := range sh.gridX {
		x := sh.view.at(deck.Point{g.At, 0}).X
		draws(draw.Point{X: x, Y: w.Min.Y - bubbleAt}, draw.Point{X: x, Y: w.Max.Y + farBubble}, g.Name)
	}
	for _, g := range sh.gridY {
		y := sh.view.at(deck.Point{0, g.At}).Y
		draws(draw.Point{X: w.Min.X - bubbleAt, Y: y}, draw.Point{X: w.Max.X + farBubble, Y: y}, g.Name)
	}
	if len(sh.gridX)+len(sh.gridY) == 0 {
		if c := (deck.Point{sh.so.corner.X, sh.so.corner.Y}); sh.view.sees(c) {
			at := sh.view.at(c)
			originMark(sh.page, at)
			sh.place.Block(draw.BoxAround(at, 5.2, 5.2))
			sh.label([]words{{"0", sh.scale.format.label, true}}, at, draw.Ink, 2.7, 4)
		}
	}
}

// dimensions writes the chains below and at the left: gridlines and slab
// edges, then overall.
func (sh *sheet) dimensions() {
	sh.page.Layer = "dimensions"
	slab := slabBox(sh.pour)
	xs := stops(sh.gridX, slab.Min.X, slab.Max.X)
	ys := stops(sh.gridY, slab.Min.Y, slab.Max.Y)
	sh.chain(xs, dimFirst, false)
	sh.chain(ys, dimFirst, true)
	if len(xs) > 2 {
		sh.chain([]float64{slab.Min.X, slab.Max.X}, dimSecond, false)
	}
	if len(ys) > 2 {
		sh.chain([]float64{slab.Min.Y, slab.Max.Y}, dimSecond, true)
	}
}

// stops are the positions that a chain of dimensions runs through.
func stops(grid []deck.GridLine, low, high float64) []float64 {
	all := []float64{low, high}
	for _, g := range grid {
		all = append(all, g.At)
	}
	sort.Float64s(all)
	out := all[:1]
	for _, v := range all[1:] {
		if v-out[len(out)-1] > 1 {
			out = append(out, v)
		}
	}
	return out
}

// chain draws one row of dimensions, dist mm outside the window. A dimension
// that goes on beyond the window is drawn as far as the window goes.
func (sh *sheet) chain(stops []float64, dist float64, upright bool) {
	w := sh.view.window
	// on paper: the place of a stop on the row, kept within the window, and whether it was in it
	place := func(v float64) (draw.Point, bool) {
		if upright {
			y := sh.view.at(deck.Point{0, v}).Y
			in := math.Max(w.Min.Y, math.Min(y, w.Max.Y))
			return draw.Point{X: w.Min.X - dist, Y: in}, math.Abs(in-y) < 0.01
		}
		x := sh.view.at(deck.Point{v, 0}).X
		in := math.Max(w.Min.X, math.Min(x, w.Max.X))
		return draw.Point{X: in, Y: w.Min.Y - dist}, math.Abs(in-x) < 0.01
	}
	for i, v := range stops {
		at, in := place(v)
		if in {
			tick(sh.page, at)
			sh.place.Block(draw.BoxAround(at, 1.8, 1.8))
		}
		if i == 0 {
			continue
		}
		before, _ := place(stops[i-1])
		if at.Sub(before).Len() < 0.01 {
			continue
		}
		sh.page.Line(draw.Thin, before, at)
		sh.place.BlockLine(draw.Segment{A: before, B: at}, 0.2, false)
		sh.dimText(say.Len(v-stops[i-1], sh.style), before, at, upright)
	}
	for _, v := range []float64{stops[0], stops[len(stops)-1]} { // from the plan to the row
		if at, in := place(v); in {
			d := draw.Point{Y: dist - 2}
			if upright {
				d = draw.Point{X: dist - 2}
			}
			sh.page.Line(draw.Hairline, at, at.Add(d))
			sh.place.BlockLine(draw.Segment{A: at, B: at.Add(d)}, 0.1, true)
		}
	}
}

// dimText writes the figure of a dimension on its line, at the middle or where
// there is room; beside the row when the line is too short for it.
func (sh *sheet) dimText(text string, from, to draw.Point, upright bool) {
	size := sh.scale.format.note * 1.15
	room := to.Sub(from).Len()
	for size > 1.2 && draw.Width(text, size, false) > room-1 {
		size -= 0.1
	}
	t := draw.Text{Size: size, Align: draw.Middle, Color: draw.Ink, Str: text, Label: true}
	off := draw.Point{Y: 1.1}
	if upright {
		t.Angle, off = 90, draw.Point{X: -1.1}
	}
	var texts []draw.Text
	var boxes []draw.Box
	for _, share := range []float64{0.5, 0.45, 0.55, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8} {
		t.At = from.Add(to.Sub(from).Times(share)).Add(off)
		texts, boxes = append(texts, t), append(boxes, t.Box())
	}
	if draw.Width(text, size, false) <= room-0.6 {
		if k := sh.place.Place(boxes); k >= 0 {
			sh.page.Write(texts[k])
			return
		}
	}
	mid := from.Add(to.Sub(from).Times(0.5))
	if !sh.label([]words{{text, sh.scale.format.note, false}}, mid, draw.Ink, 0.8, 2, 3.5, 5) {
		sh.unplaced++
	}
}
