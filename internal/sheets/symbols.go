package sheets

import (
	"math"

	"shoreward/internal/deck"
	"shoreward/internal/sheets/draw"
)

// Sizes of symbols on paper, mm.
const (
	gradeR = 1.25 // half diagonal of the diamond of a grade prop
	interR = 0.85 // radius of the ring of an intermediate prop
)

// propSymbol draws a prop: a solid diamond for a grade prop, an open ring for
// an intermediate one.
func propSymbol(p *draw.Page, kind deck.PropKind, at draw.Point) {
	if kind == deck.Grade {
		p.Shape(draw.Thin, &draw.Ink, diamond(at, gradeR))
		return
	}
	p.Disc(draw.Medium, &draw.Paper, at, interR)
}

// propBox is what a prop's symbol covers.
func propBox(kind deck.PropKind, at draw.Point) draw.Box {
	r := interR + draw.Medium.Width/2
	if kind == deck.Grade {
		r = gradeR
	}
	return draw.BoxAround(at, 2*r, 2*r)
}

func diamond(c draw.Point, r float64) []draw.Point {
	return []draw.Point{{X: c.X + r, Y: c.Y}, {X: c.X, Y: c.Y + r}, {X: c.X - r, Y: c.Y}, {X: c.X, Y: c.Y - r}}
}

// chevrons draws the double chevron of a tie or brace, pointing along dir.
func chevrons(p *draw.Page, pen draw.Pen, at, dir draw.Point) {
	d := dir.Unit()
	n := d.Left()
	for _, back := range []float64{0, 1.3} {
		tip := at.Sub(d.Times(back))
		foot := tip.Sub(d.Times(1.3))
		p.Line(pen, foot.Add(n.Times(1.2)), tip, foot.Sub(n.Times(1.2)))
	}
}

// chevronBox is what a double chevron covers.
func chevronBox(at, dir draw.Point) draw.Box {
	return draw.BoxAround(at.Sub(dir.Unit().Times(1.3)), 3.2, 3.2)
}

// careSymbol marks a member to take care of: a ring with a cross.
func careSymbol(p *draw.Page, at draw.Point) {
	p.Disc(draw.Thin, &draw.Paper, at, 1.1)
	p.Line(draw.Thin, at.Add(draw.Point{X: -0.75, Y: -0.75}), at.Add(draw.Point{X: 0.75, Y: 0.75}))
	p.Line(draw.Thin, at.Add(draw.Point{X: -0.75, Y: 0.75}), at.Add(draw.Point{X: 0.75, Y: -0.75}))
}

// guardSymbol draws a guardrail post: a small open triangle.
func guardSymbol(p *draw.Page, at draw.Point) {
	p.Shape(draw.Thin, &draw.Paper, []draw.Point{{X: at.X - 0.8, Y: at.Y - 0.6}, {X: at.X + 0.8, Y: at.Y - 0.6}, {X: at.X, Y: at.Y + 0.9}})
}

// bubble draws the circle at the end of a gridline.
func bubble(p *draw.Page, at draw.Point, name string) {
	p.Disc(draw.Thin, &draw.Paper, at, 3.4)
	s := name
	size := 3.0
	for size > 1.2 && draw.Width(s, size, true) > 5.6 {
		size -= 0.3
	}
	p.Write(draw.Text{At: draw.Point{X: at.X, Y: at.Y - 0.36*size}, Size: size, Bold: true, Align: draw.Middle, Color: draw.Ink,
		Str: draw.Fit(s, 6, size, true)})
}

// tick draws the end of a dimension: a short slanting stroke.
func tick(p *draw.Page, at draw.Point) {
	p.Line(draw.Medium, at.Add(draw.Point{X: -0.8, Y: -0.8}), at.Add(draw.Point{X: 0.8, Y: 0.8}))
}

// originMark draws the corner that setting-out starts from.
func originMark(p *draw.Page, at draw.Point) {
	p.Disc(draw.Thin, nil, at, 1.6)
	p.Line(draw.Thin, draw.Point{X: at.X - 2.6, Y: at.Y}, draw.Point{X: at.X + 2.6, Y: at.Y})
	p.Line(draw.Thin, draw.Point{X: at.X, Y: at.Y - 2.6}, draw.Point{X: at.X, Y: at.Y + 2.6})
}

// columnFill draws a column in section: grey, heavy outline, crossed hatch.
func columnFill(p *draw.Page, ring []draw.Point, clip draw.Box) {
	fillHatched(p, ring, clip, draw.Medium, 45, 1.1)
	p.Lines(draw.HatchPen, clipAll(draw.Hatch(-45, 1.1, ring), clip))
}

// wallFill draws a wall in section: grey, medium outline, one hatch.
func wallFill(p *draw.Page, ring []draw.Point, clip draw.Box) {
	fillHatched(p, ring, clip, draw.Medium, 45, 1.6)
}

func fillHatched(p *draw.Page, ring []draw.Point, clip draw.Box, pen draw.Pen, angle, pitch float64) {
	if part := draw.ClipRing(ring, clip); len(part) > 2 {
		p.Shape(draw.None, &draw.Concrete, part)
	}
	p.Lines(draw.HatchPen, clipAll(draw.Hatch(angle, pitch, ring), clip))
	p.Lines(pen, clipAll(draw.Sides(ring), clip))
}

func clipAll(segments []draw.Segment, b draw.Box) []draw.Segment {
	var out []draw.Segment
	for _, s := range segments {
		if c, ok := s.Clip(b); ok {
			out = append(out, c)
		}
	}
	return out
}

// failArea flags a ring as failing: brick hatch both ways and a heavy outline.
func failArea(p *draw.Page, ring []draw.Point, clip draw.Box) {
	b := draw.BoxOf(ring)
	pitch := math.Max(0.9, math.Min(3, math.Min(b.W(), b.H())/5))
	p.Lines(draw.FailHatch, clipAll(draw.Hatch(60, pitch, ring), clip))
	p.Lines(draw.FailPen, clipAll(draw.Sides(ring), clip))
}

// clearArea is a place to keep clear of props: dashed, with wide slanting lines.
func clearArea(p *draw.Page, ring []draw.Point, window draw.Box) {
	if len(draw.ClipRing(ring, window)) < 3 {
		return
	}
	p.Lines(draw.HiddenPen, clipAll(draw.Sides(ring), window.Grow(0.01)))
	p.Lines(draw.Hairline, clipAll(draw.Hatch(60, 4, ring), window))
}
