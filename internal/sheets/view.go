package sheets

import (
	"fmt"
	"math"
	"sort"

	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets/draw"
)

// format is a size of paper with the width kept for the title column.
type format struct {
	name        string
	w, h        float64 // mm, landscape
	column      float64
	label, note float64 // em of names and of running dimensions on a plan
}

var (
	a3    = format{"A3", 420, 297, 84, 2.3, 1.9}
	a2    = format{"A2", 594, 420, 96, 2.5, 2.1}
	a1    = format{"A1", 841, 594, 120, 2.8, 2.3}
	small = format{`11 × 17 in`, 431.8, 279.4, 84, 2.3, 1.9}
	half  = format{`18 × 24 in`, 609.6, 457.2, 96, 2.5, 2.1}
	arch  = format{`24 × 36 in`, 914.4, 609.6, 120, 2.8, 2.3}
)

// scale of a plan: paper and denominator.
type scale struct {
	format format
	den    float64
	text   string
}

// scales that plans are drawn at, preferred first; a pour too large for the
// last is cut into sheets at it, because smaller lettering cannot be read.
func scales(s quantity.Style) []scale {
	if s == quantity.US {
		return []scale{
			{small, 48, `1/4" = 1'-0"`}, {small, 64, `3/16" = 1'-0"`},
			{half, 48, `1/4" = 1'-0"`}, {half, 64, `3/16" = 1'-0"`},
			{arch, 48, `1/4" = 1'-0"`}, {arch, 64, `3/16" = 1'-0"`}, {arch, 96, `1/8" = 1'-0"`},
		}
	}
	return []scale{
		{a3, 50, "1:50"}, {a3, 75, "1:75"},
		{a2, 50, "1:50"}, {a2, 75, "1:75"},
		{a1, 50, "1:50"}, {a1, 75, "1:75"}, {a1, 100, "1:100"},
	}
}

// listFormat is the paper of lists and details.
func listFormat(s quantity.Style) format {
	if s == quantity.US {
		return small
	}
	return a3
}

const (
	border = 8.0  // paper edge to frame, mm
	around = 27.0 // between the parts and the frame: line tags, dimensions, bubbles
)

// drawing is where the picture may be on a sheet.
func (f format) drawing() draw.Box {
	return draw.Box{Min: draw.Point{X: border, Y: border}, Max: draw.Point{X: f.w - border - f.column, Y: f.h - border}}
}

// title is the column at the right.
func (f format) title() draw.Box {
	d := f.drawing()
	return draw.Box{Min: draw.Point{X: d.Max.X, Y: border}, Max: draw.Point{X: f.w - border, Y: f.h - border}}
}

// room for the plan itself.
func (f format) room() draw.Box { return f.drawing().Grow(-around) }

// apart is how far props should stand apart on paper so that each has room
// for its number and distance, mm.
const apart = 9.0

// chooseScale picks the first scale at which a plan of w by h mm fits one
// sheet with room for the names of props that stand pitch mm apart, or else
// the largest at which it fits one sheet; and otherwise the number of sheets
// each way at the last.
func chooseScale(style quantity.Style, w, h, pitch float64) (sc scale, nx, ny int) {
	all := scales(style)
	var largest *scale
	for i, k := range all {
		r := k.format.room()
		if w/k.den > r.W() || h/k.den > r.H() {
			continue
		}
		if pitch/k.den >= apart {
			return k, 1, 1
		}
		if largest == nil || k.den < largest.den {
			largest = &all[i]
		}
	}
	if largest != nil {
		return *largest, 1, 1
	}
	sc = all[len(all)-1]
	r := sc.format.room()
	return sc, int(math.Ceil(w / sc.den / r.W())), int(math.Ceil(h / sc.den / r.H()))
}

// propPitch is the middle one of the distances between neighbours along the
// lines, mm; infinite without neighbours.
func propPitch(ls []*line) float64 {
	var gaps []float64
	for _, l := range ls {
		for i := 1; l.stringers && i < len(l.props); i++ {
			gaps = append(gaps, along(l.dir, l.props[i].At)-along(l.dir, l.props[i-1].At))
		}
	}
	if len(gaps) == 0 {
		return math.Inf(1)
	}
	sort.Float64s(gaps)
	return gaps[len(gaps)/2]
}

// view turns plan positions into places on paper and cuts at its window.
type view struct {
	den    float64
	from   draw.Point // plan position (mm) of the lower left corner of the window
	window draw.Box   // on paper
}

// fit centres the part of the plan in b on a sheet.
func fit(sc scale, b draw.Box) view {
	r := sc.format.room()
	w, h := b.W()/sc.den, b.H()/sc.den
	return view{den: sc.den, from: b.Min, window: draw.BoxAround(r.Centre(), w, h)}
}

// at is the place of a plan position on paper.
func (v view) at(p deck.Point) draw.Point {
	return draw.Point{X: v.window.Min.X + (p[0]-v.from.X)/v.den, Y: v.window.Min.Y + (p[1]-v.from.Y)/v.den}
}

// sees reports whether a plan position lies in the window.
func (v view) sees(p deck.Point) bool { return v.window.Grow(0.01).Has(v.at(p)) }

// segment is a piece of plan on paper, cut at the window.
func (v view) segment(a, b deck.Point) (draw.Segment, bool) {
	return draw.Segment{A: v.at(a), B: v.at(b)}.Clip(v.window.Grow(0.01))
}

// ring is an outline on paper, not cut.
func (v view) ring(r deck.Ring) []draw.Point {
	out := make([]draw.Point, len(r))
	for i, p := range r {
		out[i] = v.at(p)
	}
	return out
}

// whole reports whether all points lie in the window.
func (v view) whole(ps []draw.Point) bool {
	return len(ps) > 0 && v.window.Grow(0.01).Holds(draw.BoxOf(ps))
}

// tile is a part of a plan that fits one sheet.
type tile struct {
	box  draw.Box // of plan, mm: what the sheet answers for
	i, j int      // column and row, from the lower left
}

// name of a tile among its pour's, "" when there is only one.
func (t tile) name(nx, ny int) string {
	if nx*ny == 1 {
		return ""
	}
	return fmt.Sprintf("part %d of %d", t.j*nx+t.i+1, nx*ny)
}

// tiles cuts the plan in b into nx by ny equal parts.
func tiles(b draw.Box, nx, ny int) []tile {
	var out []tile
	w, h := b.W()/float64(nx), b.H()/float64(ny)
	for j := range ny {
		for i := range nx {
			min := draw.Point{X: b.Min.X + float64(i)*w, Y: b.Min.Y + float64(j)*h}
			out = append(out, tile{draw.Box{Min: min, Max: min.Add(draw.Point{X: w, Y: h})}, i, j})
		}
	}
	return out
}

// extent is the plan box of all that a pour places and must fit.
func extent(p *deck.Pour) draw.Box {
	var ps []draw.Point
	add := func(qs ...deck.Point) {
		for _, q := range qs {
			ps = append(ps, draw.Point{X: q[0], Y: q[1]})
		}
	}
	shapes := func(ss []deck.Shape) {
		for _, s := range ss {
			add(s.Outer...)
		}
	}
	for _, z := range p.Site.Zones {
		shapes(z.Shapes)
	}
	shapes(p.Site.Slab)
	shapes(p.Site.Strip)
	for _, e := range p.Site.Edges {
		add(e.From, e.To)
	}
	for _, q := range p.Deck.Props {
		add(q.At)
	}
	for _, ms := range [][]deck.Member{p.Deck.Joists, p.Deck.Stringers} {
		for _, m := range ms {
			add(m.From, m.To)
		}
	}
	for _, g := range p.Deck.Guards {
		add(g.At)
	}
	for _, b := range p.Deck.Braces {
		add(b.At, b.Foot)
	}
	near := draw.BoxOf(ps).Grow(600) // walls and columns outside the slab, as far as they bear on it
	for _, b := range p.Site.Blocks {
		ps = append(ps, draw.ClipRing(asPoints(b.Ring), near)...)
	}
	return draw.BoxOf(ps)
}

// slabBox is the plan box of the concrete alone: overall dimensions and, when
// the job has no grid, the corner that setting-out starts from.
func slabBox(p *deck.Pour) draw.Box {
	var ps []draw.Point
	for _, e := range p.Site.Edges {
		for _, q := range []deck.Point{e.From, e.To} {
			ps = append(ps, draw.Point{X: q[0], Y: q[1]})
		}
	}
	if len(ps) == 0 {
		for _, z := range p.Site.Zones {
			for _, s := range z.Shapes {
				for _, q := range s.Outer {
					ps = append(ps, draw.Point{X: q[0], Y: q[1]})
				}
			}
		}
	}
	if len(ps) == 0 {
		return extent(p)
	}
	return draw.BoxOf(ps)
}
