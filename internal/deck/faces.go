package deck

import (
	"math"

	"shoreward/internal/plane"
)

// step is the least difference of two heights that makes a vertical face, mm.
const step = 1.0

// onFace is how far apart two borders that meet may lie, mm.
const onFace = 2.0

// Face is a vertical face of concrete inside a pour, where two zones meet at
// different heights: the side of a beam or thickening, or a step of the top.
type Face struct {
	From, To Point // the zone that the form keeps in on the left
	Low      int   // index of the zone whose concrete the form keeps in
	High     int   // index of the zone beyond it
	Foot     float64
	Height   float64 // of the face, mm
	Head     float64 // of fresh concrete over its foot, mm
}

// Top is the height of the zone's upper face.
func (z Zone) Top() float64 { return z.Soffit + z.Thickness }

// Sides are the faces below the slab: from the lower soffit up to the higher
// one. Fresh concrete of both zones stands over the foot of the form.
func (s *Site) Sides() []Face {
	return s.faces(func(low, high Zone) (foot, height, head float64) {
		return low.Soffit, high.Soffit - low.Soffit, math.Max(low.Top(), high.Top()) - low.Soffit
	})
}

// Risers are the faces above the slab: from the lower top up to the higher one.
func (s *Site) Risers() []Face {
	return s.faces(func(kept, beyond Zone) (foot, height, head float64) {
		return beyond.Top(), kept.Top() - beyond.Top(), kept.Top() - beyond.Top()
	})
}

// faces finds where borders of two zones run along each other and measures
// what lies between them there.
func (s *Site) faces(measure func(left, right Zone) (foot, height, head float64)) []Face {
	var out []Face
	for i, left := range s.Zones {
		for k, right := range s.Zones {
			foot, height, head := measure(left, right)
			if i == k || height < step {
				continue
			}
			for _, e := range borders(left) {
				for _, span := range e.along(right) {
					out = append(out, Face{From: e.at(span.A), To: e.at(span.B), Low: i, High: k, Foot: foot, Height: height, Head: head})
				}
			}
		}
	}
	return out
}

// border is one side of a zone, the zone on its left.
type border struct {
	from, to Point
	length   float64
	u        Point
}

func borders(z Zone) []border {
	var out []border
	add := func(a, b Point) {
		if l := math.Hypot(b[0]-a[0], b[1]-a[1]); l >= step {
			out = append(out, border{a, b, l, Point{(b[0] - a[0]) / l, (b[1] - a[1]) / l}})
		}
	}
	for _, s := range z.Shapes {
		for k, r := range s.Rings() {
			ccw := r.CCW()
			for i, a := range ccw {
				b := ccw[(i+1)%len(ccw)]
				if k == 0 {
					add(a, b)
				} else { // a hole has the zone outside it
					add(b, a)
				}
			}
		}
	}
	return out
}

func (e border) at(d float64) Point {
	switch d { // corners stay what they are
	case 0:
		return e.from
	case e.length:
		return e.to
	}
	return Point{e.from[0] + d*e.u[0], e.from[1] + d*e.u[1]}
}

// place is how far along the border and how far to its right a point lies.
func (e border) place(p Point) (along, right float64) {
	x, y := p[0]-e.from[0], p[1]-e.from[1]
	return x*e.u[0] + y*e.u[1], x*e.u[1] - y*e.u[0]
}

// along is the parts of the border that a zone beyond it runs along.
func (e border) along(z Zone) plane.Spans {
	var out plane.Spans
	for _, f := range borders(z) {
		if e.u[0]*f.u[0]+e.u[1]*f.u[1] > -0.999 { // they run against each other
			continue
		}
		a, da := e.place(f.to)
		b, db := e.place(f.from)
		if math.Abs(da) > onFace || math.Abs(db) > onFace {
			continue
		}
		if a, b = math.Max(a, 0), math.Min(b, e.length); b-a >= step {
			out = append(out, plane.Span{A: a, B: b})
		}
	}
	return plane.Merge(out, step)
}
