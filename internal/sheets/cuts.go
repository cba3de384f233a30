package sheets

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/say"
)

// cutScale is the scale of cutting patterns: small enough for many on a page.
func cutScale(s quantity.Style) scale {
	if s == quantity.US {
		return scale{den: 32, text: `3/8" = 1'-0"`}
	}
	return scale{den: 30, text: "1:30"}
}

// cuts draws how every panel of a pour is sawn.
func (s *set) cuts(p *deck.Pour) {
	if p.Cuts == nil || len(p.Cuts.Patterns) == 0 {
		return
	}
	fl := s.lists(p.Name+": cutting of panels", 1)
	fl.Heading(1, "Cutting of panels, pour "+p.Name+", "+cutScale(s.style).text, "")
	taken, left := 0, 0
	for _, q := range p.Cuts.Patterns {
		if q.Offcut != "" {
			taken++
		}
		left += len(q.Left)
	}
	fl.Para(fmt.Sprintf("%d cut panels come from %s (straight cuts cannot do it with fewer than %d) and %s of earlier pours. "+
		"%s are kept for later pours. Waste: %s, %.1f %% of the panels laid and wasted.", p.Summary.SheetsCut, many(p.Cuts.Sheets, "whole sheet"), p.Cuts.Bound,
		many(taken, "offcut"), many(left, "offcut"), say.Area(p.Summary.Waste, s.style), p.Summary.WasteShare))
	fl.Note(fmt.Sprintf("Seen from above, face grain from left to right: turn no piece. Saw in the order of the numbers; the blade takes %s. Sizes are along × across the face grain. "+
		"Solid: piece for the deck, with its name on the panel plan; with slanted edges, notches or holes it is sawn as a rectangle first, then to the corners listed, from its lower left corner. "+
		"Dashed: offcut to keep, mark its name on it. Hatched: waste.", say.LenUnit(s.doc.Choices.Kerf, s.style)))
	fl.Split(4)
	sheets := map[string]*deck.Sheet{}
	for i := range p.Deck.Sheets {
		sheets[p.Deck.Sheets[i].ID] = &p.Deck.Sheets[i]
	}
	for i := range p.Cuts.Patterns {
		c := &cutPicture{set: s, q: &p.Cuts.Patterns[i], sheets: sheets, den: cutScale(s.style).den}
		c.label()
		b := fl.Take(c.height())
		fl.Space(3)
		c.draw(fl.Page(), b)
	}
}

func many(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// cutPicture is one pattern on paper.
type cutPicture struct {
	set    *set
	q      *deck.CutPattern
	sheets map[string]*deck.Sheet
	den    float64
	labels []cutLabel
	key    []string // what letters stand for where there is no room
}

// cutLabel is the lettering of one rectangle.
type cutLabel struct {
	lines  []words
	turned bool
}

const (
	cutTitle = 4.6 // height of the title, mm
	cutKey   = 3.0 // of a line of the key
)

func (c *cutPicture) height() float64 {
	return cutTitle + c.q.Size[1]/c.den + 1 + cutKey*float64(len(c.key)) + 1
}

// rects are the pieces and then the offcuts with their names.
func (c *cutPicture) rects(f func(i int, name string, at deck.Point, size [2]float64, piece bool)) {
	i := 0
	for _, x := range c.q.Pieces {
		f(i, x.Sheet, x.At, x.Size, true)
		i++
	}
	for _, o := range c.q.Left {
		f(i, "keep "+o.ID, o.At, o.Size, false)
		i++
	}
}

// label finds lettering that fits each rectangle: two lines, one, upright, or a
// letter with a key below the picture.
func (c *cutPicture) label() {
	letters := 0
	c.rects(func(_ int, name string, _ deck.Point, size [2]float64, _ bool) {
		w, h := size[0]/c.den-1, size[1]/c.den-1
		dims := say.Size(size[0], size[1], c.set.style)
		n, d := words{name, 2.1, true}, words{dims, 1.9, false}
		one := words{name + "  " + dims, 1.9, false}
		for _, try := range []cutLabel{{[]words{n, d}, false}, {[]words{one}, false}, {[]words{n, d}, true}, {[]words{one}, true}} {
			tw, th := labelSize(try.lines)
			if try.turned {
				tw, th = th, tw
			}
			if tw <= w && th <= h {
				c.labels = append(c.labels, try)
				return
			}
		}
		letter := string(rune('a' + letters%26))
		letters++
		c.key = append(c.key, letter+": "+name+"  "+dims)
		c.labels = append(c.labels, cutLabel{lines: []words{{letter, 2.1, true}}})
	})
	for _, x := range c.q.Pieces {
		if s := c.sheets[x.Sheet]; s != nil {
			if k := corners(s, x, c.set.style); k != "" {
				c.key = append(c.key, k)
			}
		}
	}
}

// corners gives the places of a piece's inner corners from its lower left one,
// for marking out; nothing for a rectangle.
func corners(s *deck.Sheet, x deck.CutPiece, style quantity.Style) string {
	var at [2][]float64
	for _, r := range inPiece(s).Rings() {
		for _, p := range r {
			for i, v := range p {
				if v > 1 && v < x.Size[i]-1 {
					at[i] = append(at[i], v)
				}
			}
		}
	}
	text := ""
	for i, way := range []string{"along", "across"} {
		sort.Float64s(at[i])
		at[i] = slices.CompactFunc(at[i], func(a, b float64) bool { return math.Abs(a-b) < 1 })
		if len(at[i]) == 0 {
			continue
		}
		var list []string
		if len(at[i]) > 5 { // round: its ends, the rest from the plan
			list = []string{"from " + say.Len(at[i][0], style) + " to " + say.Len(at[i][len(at[i])-1], style)}
		} else {
			for _, v := range at[i] {
				list = append(list, say.Len(v, style))
			}
		}
		text += "; " + way + " " + strings.Join(list, ", ")
	}
	if text == "" {
		return ""
	}
	return x.Sheet + " corners: " + text[2:]
}

func (c *cutPicture) draw(p *draw.Page, b draw.Box) {
	p.Layer = "cuts"
	q := c.q
	from := "whole sheet"
	if q.Offcut != "" {
		from = "offcut " + q.Offcut
	}
	title := fmt.Sprintf("%s  %s, %s", q.ID, from, say.Size(q.Size[0], q.Size[1], c.set.style))
	p.Write(draw.Text{At: draw.Point{X: b.Min.X, Y: b.Max.Y - 3}, Size: 2.5, Bold: true, Color: draw.Ink, Str: draw.Fit(title, b.W(), 2.5, true)})
	low := draw.Point{X: b.Min.X, Y: b.Max.Y - cutTitle - q.Size[1]/c.den}
	at := func(x, y float64) draw.Point { return low.Add(draw.Point{X: x / c.den, Y: y / c.den}) }
	box := func(x deck.Point, size [2]float64) draw.Box {
		return draw.Box{Min: at(x[0], x[1]), Max: at(x[0]+size[0], x[1]+size[1])}
	}
	sheet := box(deck.Point{}, q.Size)
	fillHatched(p, sheet.Ring(), sheet, draw.HatchPen, 45, 1.6)
	c.rects(func(_ int, _ string, x deck.Point, size [2]float64, piece bool) {
		r := box(x, size)
		if piece {
			p.Shape(draw.Thin, nil, r.Ring())
			return
		}
		p.Shape(draw.None, &draw.Paper, r.Ring())
		p.Shape(draw.HiddenPen, nil, r.Grow(-0.5).Ring()) // inside, so that saw cuts leave the dashes whole
	})
	var shapes []deck.Shape // on paper, as a sheet of the deck lies in its piece
	for _, x := range q.Pieces {
		var shape deck.Shape
		if s := c.sheets[x.Sheet]; s != nil {
			shape = inPiece(s).Map(func(v deck.Point) deck.Point {
				z := at(x.At[0]+v[0], x.At[1]+v[1])
				return deck.Point{z.X, z.Y}
			})
			var rings [][]draw.Point
			for _, r := range shape.Rings() {
				rings = append(rings, asPoints(r))
			}
			p.Shape(draw.Medium, &draw.Paper, rings...)
		}
		shapes = append(shapes, shape)
	}
	p.Shape(draw.Medium, nil, sheet.Ring())
	for i, cut := range q.Saw {
		a, z := at(cut.At, cut.From), at(cut.At, cut.To)
		if !cut.Across {
			a, z = at(cut.From, cut.At), at(cut.To, cut.At)
		}
		p.Line(draw.Thin, a, z)
		n := a.Add(z.Sub(a).Unit().Times(math.Min(2, z.Sub(a).Len()/2)))
		p.Disc(draw.Hairline, &draw.Paper, n, 1.35)
		p.Write(draw.Text{At: draw.Point{X: n.X, Y: n.Y - 0.6}, Size: 1.7, Align: draw.Middle, Color: draw.Ink, Str: fmt.Sprint(i + 1)})
	}
	c.rects(func(i int, _ string, x deck.Point, size [2]float64, piece bool) {
		r := box(x, size)
		mid := r.Centre()
		if piece {
			mid = clearOf(shapes[i], r, c.labels[i])
		}
		c.letter(p, c.labels[i], mid)
	})
	y := low.Y - 0.6
	for _, k := range c.key {
		y -= cutKey
		p.Write(draw.Text{At: draw.Point{X: b.Min.X, Y: y + 0.6}, Size: 2, Color: draw.Ink, Str: draw.Fit(k, b.W(), 2, false)})
	}
}

// letter writes a label about a centre.
func (c *cutPicture) letter(p *draw.Page, l cutLabel, mid draw.Point) {
	_, h := labelSize(l.lines)
	down, angle := draw.Point{Y: -1}, 0.0
	if l.turned {
		down, angle = draw.Point{X: 1}, 90
	}
	at := -h / 2
	for _, w := range l.lines {
		at += h / float64(len(l.lines))
		p.Write(draw.Text{At: mid.Add(down.Times(at - 0.28*w.size)), Angle: angle, Size: w.size, Bold: w.bold, Align: draw.Middle, Color: draw.Ink, Str: w.text})
	}
}

// clearOf is the place nearest to the middle of a piece's rectangle where its
// label lies on the piece itself; the middle where there is none.
func clearOf(s deck.Shape, r draw.Box, l cutLabel) draw.Point {
	w, h := labelSize(l.lines)
	if l.turned {
		w, h = h, w
	}
	for _, f := range [][2]float64{{0.5, 0.5}, {0.3, 0.5}, {0.7, 0.5}, {0.5, 0.25}, {0.5, 0.75}, {0.5, 0.12}, {0.5, 0.88}, {0.25, 0.25}, {0.25, 0.75}, {0.75, 0.25}, {0.75, 0.75}, {0.12, 0.5}, {0.88, 0.5}} {
		c := draw.Point{X: r.Min.X + w/2 + 0.5 + (r.W()-w-1)*f[0], Y: r.Min.Y + h/2 + 0.5 + (r.H()-h-1)*f[1]}
		on := true
		for i := range 7 {
			for k := range 4 {
				on = on && liesOn(s, draw.Point{X: c.X + (w+0.8)*(float64(i)/6-0.5), Y: c.Y + (h+0.8)*(float64(k)/3-0.5)})
			}
		}
		if on {
			return c
		}
	}
	return r.Centre()
}

// inPiece is a sheet of the deck with its face grain along x and the corner of
// its rectangle at zero, in mm.
func inPiece(s *deck.Sheet) deck.Shape {
	sin, cos := math.Sincos(s.Grain * math.Pi / 180)
	turned := s.Shape.Map(func(p deck.Point) deck.Point { return deck.Point{p[0]*cos + p[1]*sin, p[1]*cos - p[0]*sin} })
	b := turned.Outer.Bounds()
	return turned.Map(func(p deck.Point) deck.Point { return deck.Point{p[0] - b.X0, p[1] - b.Y0} })
}
