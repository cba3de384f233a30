package draw

import (
	"math"
	"sort"
)

// Segment is a straight piece of line.
type Segment struct{ A, B Point }

// Clip is the part of s inside b, and false when there is none.
func (s Segment) Clip(b Box) (Segment, bool) {
	d := s.B.Sub(s.A)
	t0, t1 := 0.0, 1.0
	for _, e := range [4][2]float64{
		{-d.X, s.A.X - b.Min.X}, {d.X, b.Max.X - s.A.X},
		{-d.Y, s.A.Y - b.Min.Y}, {d.Y, b.Max.Y - s.A.Y},
	} {
		p, q := e[0], e[1]
		switch {
		case p == 0 && q < 0:
			return Segment{}, false
		case p < 0:
			t0 = math.Max(t0, q/p)
		case p > 0:
			t1 = math.Min(t1, q/p)
		}
	}
	if t0 > t1 {
		return Segment{}, false
	}
	return Segment{s.A.Add(d.Times(t0)), s.A.Add(d.Times(t1))}, true
}

// ClipRing is the part of a closed ring inside b, for filling: its new sides
// run along the border of b.
func ClipRing(ring []Point, b Box) []Point {
	for _, side := range []struct {
		in  func(Point) bool
		cut func(p, q Point) Point
	}{
		{func(p Point) bool { return p.X >= b.Min.X }, func(p, q Point) Point { return atX(p, q, b.Min.X) }},
		{func(p Point) bool { return p.X <= b.Max.X }, func(p, q Point) Point { return atX(p, q, b.Max.X) }},
		{func(p Point) bool { return p.Y >= b.Min.Y }, func(p, q Point) Point { return atY(p, q, b.Min.Y) }},
		{func(p Point) bool { return p.Y <= b.Max.Y }, func(p, q Point) Point { return atY(p, q, b.Max.Y) }},
	} {
		var out []Point
		for i, q := range ring {
			p := ring[(i+len(ring)-1)%len(ring)]
			if side.in(p) != side.in(q) {
				out = append(out, side.cut(p, q))
			}
			if side.in(q) {
				out = append(out, q)
			}
		}
		ring = out
	}
	return ring
}

func atX(p, q Point, x float64) Point {
	return Point{x, p.Y + (q.Y-p.Y)*(x-p.X)/(q.X-p.X)}
}

func atY(p, q Point, y float64) Point {
	return Point{p.X + (q.X-p.X)*(y-p.Y)/(q.Y-p.Y), y}
}

// Sides are the sides of a closed ring.
func Sides(ring []Point) []Segment {
	s := make([]Segment, 0, len(ring))
	for i, p := range ring {
		s = append(s, Segment{p, ring[(i+1)%len(ring)]})
	}
	return s
}

// Hatch fills rings (even-odd, so inner rings are holes) with parallel lines
// at angle degrees, pitch mm apart. Lines lie on one family through the
// origin, so that neighbouring areas match.
func Hatch(angle, pitch float64, rings ...[]Point) []Segment {
	if pitch <= 0 {
		return nil
	}
	s, c := math.Sincos(angle * math.Pi / 180)
	into := func(p Point) Point { return Point{p.X*c + p.Y*s, -p.X*s + p.Y*c} }
	back := func(p Point) Point { return Point{p.X*c - p.Y*s, p.X*s + p.Y*c} }
	var sides []Segment
	low, high := math.Inf(1), math.Inf(-1)
	for _, ring := range rings {
		for _, side := range Sides(ring) {
			side = Segment{into(side.A), into(side.B)}
			sides = append(sides, side)
			low, high = math.Min(low, side.A.Y), math.Max(high, side.A.Y)
		}
	}
	var out []Segment
	for k := math.Ceil(low / pitch); k*pitch < high; k++ {
		y := k * pitch
		var xs []float64
		for _, e := range sides {
			if (e.A.Y <= y) != (e.B.Y <= y) {
				xs = append(xs, e.A.X+(e.B.X-e.A.X)*(y-e.A.Y)/(e.B.Y-e.A.Y))
			}
		}
		sort.Float64s(xs)
		for i := 0; i+1 < len(xs); i += 2 {
			out = append(out, Segment{back(Point{xs[i], y}), back(Point{xs[i+1], y})})
		}
	}
	return out
}
