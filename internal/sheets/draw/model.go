// Package draw is the drawing model of all paper that Shoreward makes: pages
// of lines, outlines, circles and text, in millimetres on paper with the
// origin at the lower left and y up. Hatches are ordinary clipped lines, so
// that every output shows the same picture. Writers of a file format read the
// model; nothing here knows a deck.
package draw

import "math"

// Point is a position on paper in mm, x right and y up.
type Point struct{ X, Y float64 }

// Add moves p by d.
func (p Point) Add(d Point) Point { return Point{p.X + d.X, p.Y + d.Y} }

// Sub is the way from q to p.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Times stretches p by k.
func (p Point) Times(k float64) Point { return Point{p.X * k, p.Y * k} }

// Len is the distance of p from the origin.
func (p Point) Len() float64 { return math.Hypot(p.X, p.Y) }

// Unit is p at length 1; the x axis when p has no length.
func (p Point) Unit() Point {
	if l := p.Len(); l > 0 {
		return p.Times(1 / l)
	}
	return Point{1, 0}
}

// Left is p turned a quarter turn counterclockwise.
func (p Point) Left() Point { return Point{-p.Y, p.X} }

// Box is an upright rectangle on paper.
type Box struct{ Min, Max Point }

// BoxAround is the box of the given size centred at c.
func BoxAround(c Point, w, h float64) Box {
	return Box{Point{c.X - w/2, c.Y - h/2}, Point{c.X + w/2, c.Y + h/2}}
}

// W is the width of b.
func (b Box) W() float64 { return b.Max.X - b.Min.X }

// H is the height of b.
func (b Box) H() float64 { return b.Max.Y - b.Min.Y }

// Centre of b.
func (b Box) Centre() Point { return Point{(b.Min.X + b.Max.X) / 2, (b.Min.Y + b.Max.Y) / 2} }

// Grow widens b by d on every side.
func (b Box) Grow(d float64) Box {
	return Box{Point{b.Min.X - d, b.Min.Y - d}, Point{b.Max.X + d, b.Max.Y + d}}
}

// Overlaps reports whether the insides of a and b meet.
func (b Box) Overlaps(a Box) bool {
	return b.Min.X < a.Max.X && a.Min.X < b.Max.X && b.Min.Y < a.Max.Y && a.Min.Y < b.Max.Y
}

// Holds reports whether a lies within b.
func (b Box) Holds(a Box) bool {
	return a.Min.X >= b.Min.X && a.Max.X <= b.Max.X && a.Min.Y >= b.Min.Y && a.Max.Y <= b.Max.Y
}

// Has reports whether p lies in b, border included.
func (b Box) Has(p Point) bool {
	return p.X >= b.Min.X && p.X <= b.Max.X && p.Y >= b.Min.Y && p.Y <= b.Max.Y
}

// With is the smallest box around b and p.
func (b Box) With(p Point) Box {
	return Box{Point{math.Min(b.Min.X, p.X), math.Min(b.Min.Y, p.Y)},
		Point{math.Max(b.Max.X, p.X), math.Max(b.Max.Y, p.Y)}}
}

// Ring is the outline of b, counterclockwise.
func (b Box) Ring() []Point {
	return []Point{b.Min, {b.Max.X, b.Min.Y}, b.Max, {b.Min.X, b.Max.Y}}
}

// BoxOf is the box around points; a box without area at the origin for none.
func BoxOf(ps []Point) Box {
	if len(ps) == 0 {
		return Box{}
	}
	b := Box{ps[0], ps[0]}
	for _, p := range ps[1:] {
		b = b.With(p)
	}
	return b
}

// Item is one thing drawn: *Path, *Circle or *Text.
type Item interface{ layer() string }

// Path is an open line or a closed outline with holes (even-odd).
type Path struct {
	Layer  string
	Rings  [][]Point
	Closed bool
	Pen    Pen    // width 0: no line
	Fill   *Color // nil: not filled
}

// Circle is a ring or a disc.
type Circle struct {
	Layer string
	C     Point
	R     float64
	Pen   Pen
	Fill  *Color
}

// Text is one line of text. At is on the baseline, at the left end, the middle
// or the right end as Align says; it turns by Angle about At.
type Text struct {
	Layer string
	At    Point
	Angle float64 // degrees, counterclockwise
	Size  float64 // height of the em in mm; capitals are 0.73 of it
	Bold  bool
	Align Align
	Color Color
	Str   string
	Label bool // placed among the parts of a plan: must overlap no other label
}

// Align says which end of a text its position is.
type Align int

// Where the position of a text is.
const (
	Left Align = iota
	Middle
	Right
)

func (p *Path) layer() string   { return p.Layer }
func (c *Circle) layer() string { return c.Layer }
func (t *Text) layer() string   { return t.Layer }

// capHeight and descent of the sans face as shares of the em.
const capHeight, descent = 0.73, 0.21

// Box is the box around t as turned.
func (t *Text) Box() Box {
	w := Width(t.Str, t.Size, t.Bold)
	x := -w * float64(t.Align) / 2
	s, c := math.Sincos(t.Angle * math.Pi / 180)
	ps := make([]Point, 0, 4)
	for _, p := range (Box{Point{x, -descent * t.Size}, Point{x + w, capHeight * t.Size}}).Ring() {
		ps = append(ps, t.At.Add(Point{p.X*c - p.Y*s, p.X*s + p.Y*c}))
	}
	return BoxOf(ps)
}

// Link is a place on a page that leads to an anchor.
type Link struct {
	Box Box
	To  string
}

// Anchor is a named place on a page; with Title it is also a bookmark.
type Anchor struct {
	Name  string
	Title string
	Level int // of the bookmark, 0 outermost
	Y     float64
}

// Page is one sheet of paper.
type Page struct {
	Name    string
	W, H    float64
	Items   []Item
	Links   []Link
	Anchors []Anchor

	Layer string // given to what is drawn next
}

// Document is a set of pages with the words that describe it.
type Document struct {
	Title   string
	Subject string
	Pages   []*Page
}

// Line draws straight pieces through ps.
func (p *Page) Line(pen Pen, ps ...Point) {
	p.Items = append(p.Items, &Path{Layer: p.Layer, Rings: [][]Point{ps}, Pen: pen})
}

// Lines draws separate straight pieces as one item, as for a hatch.
func (p *Page) Lines(pen Pen, segments []Segment) {
	if len(segments) == 0 {
		return
	}
	rings := make([][]Point, len(segments))
	for i, s := range segments {
		rings[i] = []Point{s.A, s.B}
	}
	p.Items = append(p.Items, &Path{Layer: p.Layer, Rings: rings, Pen: pen})
}

// Shape draws closed rings, filled even-odd when fill is not nil.
func (p *Page) Shape(pen Pen, fill *Color, rings ...[]Point) {
	if len(rings) > 0 {
		p.Items = append(p.Items, &Path{Layer: p.Layer, Rings: rings, Closed: true, Pen: pen, Fill: fill})
	}
}

// Disc draws a circle.
func (p *Page) Disc(pen Pen, fill *Color, c Point, r float64) {
	p.Items = append(p.Items, &Circle{Layer: p.Layer, C: c, R: r, Pen: pen, Fill: fill})
}

// Write adds a text and returns it.
func (p *Page) Write(t Text) *Text {
	t.Layer = p.Layer
	t.Str = Drawable(t.Str)
	p.Items = append(p.Items, &t)
	return &t
}
