package site

import (
	"math"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// leak is the narrowest gap that must be closed, mm.
const leak = 1

// gaps are the openings in the forms that are too narrow to deck and are closed
// with a filler board: between the slab's edge and a wall, and between columns
// and walls that face each other, up to wallGap wide.
func gaps(s *deck.Site, outline plane.Ring) ([]deck.Gap, error) {
	var out []deck.Gap
	for _, e := range s.Edges {
		if e.Kind != deck.Wall || math.Hypot(e.To[0]-e.From[0], e.To[1]-e.From[1]) < wallGap { // a stub of edge at a corner is closed with its neighbour
			continue
		}
		width, name := 0.0, ""
		mid := plane.Point{(e.From[0] + e.To[0]) / 2, (e.From[1] + e.To[1]) / 2}
		for _, p := range []plane.Point{mid, toward(e.From, mid), toward(e.To, mid)} {
			if d, beside := acrossGap(s, e, p); d > width {
				width, name = d, beside
			}
		}
		if width >= leak {
			side := aside(e, width/2)
			out = append(out, deck.Gap{From: side.From, To: side.To, Width: math.Round(width), Beside: name})
		}
	}
	for _, slot := range slots(s.Blocks) {
		got, err := plane.Intersection([]plane.Shape{slot}, []plane.Shape{{Outer: outline}})
		if err != nil {
			return nil, err
		}
		for _, g := range got {
			if gap, ok := middle(g.Outer); ok && gap.Width >= leak {
				gap.Beside = "columns and walls"
				out = append(out, gap)
			}
		}
	}
	for i := range out {
		out[i].From, out[i].To = hundredth(out[i].From), hundredth(out[i].To)
	}
	return out, nil
}

// acrossGap is how far the nearest column or wall lies straight out from a place
// on an edge, mm; 0 when it touches, or when none lies within wallGap.
func acrossGap(s *deck.Site, e deck.Edge, p plane.Point) (float64, string) {
	u := unit(plane.Point{e.To[0] - e.From[0], e.To[1] - e.From[1]})
	for d := 0.0; d <= wallGap; d++ {
		q := plane.Point{p[0] + u[1]*d, p[1] - u[0]*d}
		for _, b := range s.Blocks {
			if b.Kind != "joint" && b.Ring.Contains(q) {
				return d, b.Name
			}
		}
	}
	return 0, ""
}

func hundredth(p plane.Point) plane.Point {
	return plane.Point{math.Round(p[0]*100)/100 + 0, math.Round(p[1]*100)/100 + 0} // no minus zero
}

// toward is a place near the end of an edge, off its corner.
func toward(end, mid plane.Point) plane.Point {
	return plane.Point{end[0] + (mid[0]-end[0])*0.05, end[1] + (mid[1]-end[1])*0.05}
}

// middle is the centreline of a narrow slot, which reaches 1 mm into the blocks
// on both of its long sides.
func middle(r plane.Ring) (deck.Gap, bool) {
	if len(r) < 4 {
		return deck.Gap{}, false
	}
	best := deck.Gap{}
	long := 0.0
	area := math.Abs(r.SignedArea())
	for i, a := range r {
		b := r[(i+1)%len(r)]
		if l := math.Hypot(b[0]-a[0], b[1]-a[1]); l > long {
			long = l
			w := area / l
			u := unit(plane.Point{b[0] - a[0], b[1] - a[1]})
			in := plane.Point{-u[1] * w / 2, u[0] * w / 2} // the ring runs counterclockwise
			best = deck.Gap{From: plane.Point{a[0] + in[0], a[1] + in[1]}, To: plane.Point{b[0] + in[0], b[1] + in[1]}, Width: math.Round(w - 2)}
		}
	}
	return best, long > 0
}
