package plane

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// Span is an interval on a line.
type Span struct{ A, B float64 }

// Len of a span.
func (s Span) Len() float64 { return s.B - s.A }

// Spans are disjoint intervals in order.
type Spans []Span

// Scan gives the intervals in which the horizontal line at y runs inside the
// shapes (which must not overlap each other).
func Scan(shapes []Shape, y float64) Spans {
	var xs []float64
	for _, s := range shapes {
		xs = scanRing(s.Outer, y, xs)
		for _, r := range s.Holes {
			xs = scanRing(r, y, xs)
		}
	}
	sort.Float64s(xs)
	out := make(Spans, 0, len(xs)/2)
	for i := 0; i+1 < len(xs); i += 2 {
		if n := len(out); n > 0 && xs[i] <= out[n-1].B {
			out[n-1].B = math.Max(out[n-1].B, xs[i+1])
		} else if xs[i+1] > xs[i] {
			out = append(out, Span{xs[i], xs[i+1]})
		}
	}
	return out
}

func scanRing(r Ring, y float64, xs []float64) []float64 {
	for i, a := range r {
		b := r[(i+1)%len(r)]
		if (a[1] > y) != (b[1] > y) {
			xs = append(xs, a[0]+(b[0]-a[0])*(y-a[1])/(b[1]-a[1]))
		}
	}
	return xs
}

// Merge joins spans that overlap or lie within gap of each other.
func Merge(in Spans, gap float64) Spans {
	if len(in) == 0 {
		return nil
	}
	s := append(Spans(nil), in...)
	slices.SortFunc(s, func(a, b Span) int { return cmp.Compare(a.A, b.A) })
	out := s[:1]
	for _, v := range s[1:] {
		if last := &out[len(out)-1]; v.A <= last.B+gap {
			last.B = math.Max(last.B, v.B)
		} else {
			out = append(out, v)
		}
	}
	return out
}

// Overlap is what is in both.
func Overlap(a, b Spans) Spans {
	var out Spans
	for i, j := 0, 0; i < len(a) && j < len(b); {
		lo, hi := math.Max(a[i].A, b[j].A), math.Min(a[i].B, b[j].B)
		if hi > lo {
			out = append(out, Span{lo, hi})
		}
		if a[i].B < b[j].B {
			i++
		} else {
			j++
		}
	}
	return out
}

// Minus is a without b.
func Minus(a, b Spans) Spans {
	var out Spans
	j := 0
	for _, s := range a {
		for j > 0 && b[j-1].B > s.A {
			j--
		}
		at := s.A
		for ; j < len(b) && b[j].A < s.B; j++ {
			if b[j].B <= at {
				continue
			}
			if b[j].A > at {
				out = append(out, Span{at, b[j].A})
			}
			at = math.Max(at, b[j].B)
		}
		if at < s.B {
			out = append(out, Span{at, s.B})
		}
	}
	return out
}

// Around returns the span that holds x.
func (s Spans) Around(x float64) (Span, bool) {
	i := sort.Search(len(s), func(i int) bool { return s[i].B >= x })
	if i < len(s) && s[i].A <= x {
		return s[i], true
	}
	return Span{}, false
}

// Total length.
func (s Spans) Total() float64 {
	t := 0.0
	for _, v := range s {
		t += v.Len()
	}
	return t
}
