package book

import (
	"fmt"
	"math"
	"strings"

	"shoreward/internal/calc"
	"shoreward/internal/deck"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/say"
)

// Heights on paper, mm.
const (
	loadHeight  = 30.0 // sketch of the member with loads and reactions
	curveHeight = 22.0 // one diagram
	inset       = 16.0 // left and right of the member
)

// kinds are the units of a diagram: of a member, or of a strip of sheet, where
// every effect is per width.
type kinds struct{ load, force, moment calc.Kind }

var (
	ofMember = kinds{calc.LineLoad, calc.Force, calc.Moment}
	ofStrip  = kinds{calc.Pressure, calc.ForcePerM, calc.MomentPerM}
)

// diagram draws a member with its supports, loads and reactions, and below it
// moment, shear and deflection.
func (b *book) diagram(g *deck.Diagram, k kinds) {
	if g == nil || !(g.End > g.Start) || !plain(g) {
		return
	}
	curves := []struct {
		name string
		v    []float64
		kind calc.Kind
		down bool // drawn downwards: moments on the side in tension, deflection as it goes
	}{{"M", g.M, k.moment, true}, {"V", g.V, k.force, false}, {"w", g.D, calc.Length, true}}
	box := b.flow.Take(diagramHeight(g))
	s := &sketch{page: b.flow.Page(), book: b, g: g, kinds: k, left: box.Min.X + inset, right: box.Max.X - inset}
	s.member(draw.Box{Min: draw.Point{X: box.Min.X, Y: box.Max.Y - loadHeight}, Max: box.Max})
	top := box.Max.Y - loadHeight
	for _, c := range curves {
		if drawable(g, c.v) {
			s.curve(draw.Box{Min: draw.Point{X: box.Min.X, Y: top - curveHeight}, Max: draw.Point{X: box.Max.X, Y: top}}, c.name, c.v, c.kind, c.down)
			top -= curveHeight
		}
	}
	b.flow.Space(1)
	b.flow.Note(s.words())
}

// drawable reports whether an effect has a value at every position.
func drawable(g *deck.Diagram, v []float64) bool { return len(g.X) > 1 && len(v) == len(g.X) }

// diagramHeight is the height on paper that a diagram takes.
func diagramHeight(g *deck.Diagram) float64 {
	if g == nil {
		return 0
	}
	h := loadHeight
	for _, v := range [][]float64{g.M, g.V, g.D} {
		if drawable(g, v) {
			h += curveHeight
		}
	}
	return h
}

// plain reports whether all numbers can be drawn.
func plain(g *deck.Diagram) bool {
	ok := func(vs ...float64) bool {
		for _, v := range vs {
			if math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > 1e15 {
				return false
			}
		}
		return true
	}
	for _, l := range g.Loads {
		if !ok(l.From, l.To, l.W1, l.W2, l.P) {
			return false
		}
	}
	return ok(g.Start, g.End) && ok(g.X...) && ok(g.M...) && ok(g.V...) && ok(g.D...) && ok(g.Supports...) && ok(g.Reactions...)
}

// sketch draws one member over its length on paper.
type sketch struct {
	page        *draw.Page
	book        *book
	g           *deck.Diagram
	kinds       kinds
	left, right float64
}

func (s *sketch) x(v float64) float64 {
	return s.left + (v-s.g.Start)/(s.g.End-s.g.Start)*(s.right-s.left)
}

func (s *sketch) write(pl *draw.Placer, text string, size float64, at draw.Point, gaps ...float64) {
	w, h := draw.Width(text, size, false)+0.4, size*1.05
	boxes := draw.Around(at, w, h, gaps...)
	if i := pl.Place(boxes); i >= 0 {
		c := boxes[i].Centre()
		s.page.Write(draw.Text{At: draw.Point{X: c.X, Y: c.Y - 0.3*size}, Size: size, Align: draw.Middle, Color: draw.Ink, Str: text, Label: true})
	}
}

func arrow(p *draw.Page, pen draw.Pen, from, tip draw.Point) {
	p.Line(pen, from, tip)
	d := tip.Sub(from).Unit()
	p.Shape(draw.None, &pen.Color, []draw.Point{tip, tip.Sub(d.Times(1.5)).Add(d.Left().Times(0.5)), tip.Sub(d.Times(1.5)).Sub(d.Left().Times(0.5))})
}

// member draws the beam, its supports with reactions, and its loads.
func (s *sketch) member(box draw.Box) {
	g := s.g
	y := box.Min.Y + 12
	pl := draw.NewPlacer(box)
	beam := draw.Segment{A: draw.Point{X: s.x(g.Start), Y: y}, B: draw.Point{X: s.x(g.End), Y: y}}
	s.page.Line(draw.Heavy, beam.A, beam.B)
	pl.BlockLine(beam, 0.5, false)
	s.supports(pl, y)
	maxW := 0.0
	for _, l := range g.Loads {
		maxW = math.Max(maxW, math.Max(math.Abs(l.W1), math.Abs(l.W2)))
	}
	const full = 7.0 // height of the greatest line load
	base := y + 0.6
	for _, l := range g.Loads {
		if l.To <= l.From || maxW == 0 {
			continue
		}
		a, b := draw.Point{X: s.x(l.From), Y: base}, draw.Point{X: s.x(l.To), Y: base}
		up := func(w float64) draw.Point { return draw.Point{Y: math.Abs(w) / maxW * full} }
		ring := []draw.Point{a, b, b.Add(up(l.W2)), a.Add(up(l.W1))}
		s.page.Shape(draw.Thin, nil, ring)
		s.page.Lines(draw.HatchPen, draw.Hatch(90, 2.2, ring))
		pl.BlockRing(ring, 0.1, true)
		text := say.Value(l.W1, s.kinds.load, s.book.style)
		if math.Abs(l.W1-l.W2) > 1e-3*maxW {
			text += " to " + say.Value(l.W2, s.kinds.load, s.book.style)
		}
		mid := a.Add(b.Sub(a).Times(0.5)).Add(up((math.Abs(l.W1) + math.Abs(l.W2)) / 2))
		s.write(pl, text, 2.1, mid, 0.6, 1.5, 3, 5)
	}
	for _, l := range g.Loads {
		if l.To > l.From {
			continue
		}
		tip := draw.Point{X: s.x(l.From), Y: base}
		from := tip.Add(draw.Point{Y: full + 2.5})
		if l.P < 0 {
			tip, from = from, tip
		}
		arrow(s.page, draw.Medium, from, tip)
		pl.BlockLine(draw.Segment{A: tip, B: from}, 0.6, false)
	}
	for _, l := range g.Loads {
		if l.To <= l.From {
			s.write(pl, say.Value(l.P, s.kinds.force, s.book.style), 2.1, draw.Point{X: s.x(l.From), Y: base + full + 2.5}, 0.4, 1.2, 2.4, 4)
		}
	}
}

func (s *sketch) supports(pl *draw.Placer, y float64) {
	g := s.g
	for i, v := range g.Supports {
		top := draw.Point{X: s.x(v), Y: y - 0.3}
		s.page.Shape(draw.Medium, &draw.Paper, []draw.Point{top, top.Add(draw.Point{X: 1.5, Y: -2.6}), top.Add(draw.Point{X: -1.5, Y: -2.6})})
		pl.Block(draw.Box{Min: top.Add(draw.Point{X: -1.6, Y: -2.8}), Max: top.Add(draw.Point{X: 1.6})})
		if i < len(g.Reactions) {
			r := g.Reactions[i]
			tip, from := top.Add(draw.Point{Y: -3}), top.Add(draw.Point{Y: -8})
			if r < 0 {
				tip, from = from, tip
			}
			arrow(s.page, draw.Medium, from, tip)
			pl.BlockLine(draw.Segment{A: from, B: tip}, 0.9, false)
		}
	}
	for i, v := range g.Supports {
		text := ""
		if i < len(g.Names) {
			text = g.Names[i]
		}
		if i < len(g.Reactions) {
			text = strings.TrimSpace(text + "  " + say.Value(g.Reactions[i], s.kinds.force, s.book.style))
		}
		if text != "" {
			s.write(pl, text, 2.1, draw.Point{X: s.x(v), Y: y - 6.5}, 0.8, 1.8, 3, 4.5)
		}
	}
}

// curve draws one effect along the member with its greatest and least values.
func (s *sketch) curve(box draw.Box, name string, v []float64, kind calc.Kind, down bool) {
	most, least := 0.0, 0.0
	iMost, iLeast := 0, 0
	for i, a := range v {
		if a > most {
			most, iMost = a, i
		}
		if a < least {
			least, iLeast = a, i
		}
	}
	span := most - least
	if span == 0 {
		span = 1
	}
	usable := box.H() - 7
	k := usable / span
	sign := 1.0
	zero := box.Min.Y + 3.5 - least*k
	if down {
		sign, zero = -1, box.Max.Y-3.5+least*k
	}
	pl := draw.NewPlacer(box)
	axis := draw.Segment{A: draw.Point{X: s.left, Y: zero}, B: draw.Point{X: s.right, Y: zero}}
	pts := make([]draw.Point, len(v))
	for i, a := range v {
		pts[i] = draw.Point{X: s.x(s.g.X[i]), Y: zero + sign*a*k}
	}
	closed := append([]draw.Point{{X: pts[0].X, Y: zero}}, pts...)
	closed = append(closed, draw.Point{X: pts[len(pts)-1].X, Y: zero})
	s.page.Lines(draw.HatchPen, draw.Hatch(90, 2.2, closed))
	s.page.Line(draw.DiagramPen, closed...)
	s.page.Line(draw.Medium, axis.A, axis.B)
	pl.BlockLine(axis, 0.2, false)
	for i := 1; i < len(pts); i++ {
		pl.BlockLine(draw.Segment{A: pts[i-1], B: pts[i]}, 0.1, false)
	}
	s.page.Write(draw.Text{At: draw.Point{X: box.Min.X + 1, Y: zero - 1}, Size: 3, Bold: true, Color: draw.Ink, Str: name})
	pl.Block(draw.Box{Min: draw.Point{X: box.Min.X, Y: zero - 1.5}, Max: draw.Point{X: box.Min.X + 6, Y: zero + 2}})
	for _, e := range []struct {
		v float64
		i int
	}{{most, iMost}, {least, iLeast}} {
		text := say.Value(e.v, kind, s.book.style)
		if number, _, _ := strings.Cut(text, " "); strings.Trim(number, "-0.") != "" {
			s.page.Disc(draw.None, &draw.Ink, pts[e.i], 0.5)
			s.write(pl, text, 2.3, pts[e.i], 0.6, 1.2, 2.2, 4, 7)
		}
	}
}

// words gives the numbers of the sketch, so that it can be worked again by hand.
func (s *sketch) words() string {
	st := s.book.style
	at := func(v float64) string { return say.LenUnit((v-s.g.Start)*1000, st) }
	var b strings.Builder
	fmt.Fprintf(&b, "From the left end, length %s. Supports at ", at(s.g.End))
	for i, v := range s.g.Supports {
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(at(v))
	}
	b.WriteString(". Loads: ")
	for i, l := range s.g.Loads {
		if i > 0 {
			b.WriteString("; ")
		}
		if l.To <= l.From {
			fmt.Fprintf(&b, "%s at %s", say.Value(l.P, s.kinds.force, st), at(l.From))
			continue
		}
		fmt.Fprintf(&b, "%s", say.Value(l.W1, s.kinds.load, st))
		if math.Abs(l.W1-l.W2) > 1e-6*math.Max(math.Abs(l.W1), math.Abs(l.W2)) {
			fmt.Fprintf(&b, " to %s", say.Value(l.W2, s.kinds.load, st))
		}
		fmt.Fprintf(&b, " from %s to %s", at(l.From), at(l.To))
	}
	if s.kinds == ofStrip {
		b.WriteString(". All per width of sheet")
	}
	b.WriteString(". Drawn with everything loaded at once; the check takes the worst of the placing patterns. M is drawn on the side in tension, w (service load) as the member bends.")
	return b.String()
}
