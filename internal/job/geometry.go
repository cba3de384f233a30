package job

import (
	"fmt"
	"math"

	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// Tolerances of what a person types.
const (
	samePoint = 1.0 // mm: corners nearer than this are one corner
	touching  = 0.5 // mm: lines nearer than this touch
	onLine    = 3.0 // mm: ends nearer than this lie on an edge (1/8 in)
	someArea  = 1e3 // mm2: less overlap than this is rounding
)

// mm turns a point into plan millimetres.
func (p Point) mm() plane.Point {
	return plane.Point{quantity.Length(p.X).Millimetres(), quantity.Length(p.Y).Millimetres()}
}

// Ring turns an outline into plan millimetres.
func (o Outline) Ring() plane.Ring {
	r := make(plane.Ring, len(o))
	for i, p := range o {
		r[i] = p.mm()
	}
	return r
}

// counterclockwise returns the outline with its interior on the left.
func (o Outline) counterclockwise() Outline {
	if o.Ring().SignedArea() >= 0 {
		return o
	}
	out := make(Outline, len(o))
	for i, p := range o { // keeps the first corner first
		out[(len(o)-i)%len(o)] = p
	}
	return out
}

// gap is the least distance between segments ab and cd, 0 where they cross.
func gap(a, b, c, d plane.Point) float64 {
	if side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0 {
		return 0
	}
	return min(plane.Distance(a, c, d), plane.Distance(b, c, d), plane.Distance(c, a, b), plane.Distance(d, a, b))
}

// side is +1 with p left of the line from a to b, -1 right of it, 0 on it.
func side(a, b, p plane.Point) float64 {
	v := (b[0]-a[0])*(p[1]-a[1]) - (b[1]-a[1])*(p[0]-a[0])
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

// apart reports that the boxes of two segments are further apart than touching.
func apart(a, b, c, d plane.Point) bool {
	for i := range 2 {
		if max(a[i], b[i])+touching < min(c[i], d[i]) || max(c[i], d[i])+touching < min(a[i], b[i]) {
			return true
		}
	}
	return false
}

// repeated lists the corners that stand where an earlier corner stands, as
// pairs (earlier, later). The list must not be long.
func repeated(r plane.Ring) (pairs [][2]int) {
	at := map[[2]int64][]int{} // corners by cell; a near corner is in the same cell or beside it
	for j, p := range r {
		cx, cy := int64(math.Floor(p[0]/samePoint)), int64(math.Floor(p[1]/samePoint))
		first := -1
		for dx := int64(-1); dx <= 1; dx++ {
			for dy := int64(-1); dy <= 1; dy++ {
				for _, i := range at[[2]int64{cx + dx, cy + dy}] {
					if math.Hypot(p[0]-r[i][0], p[1]-r[i][1]) < samePoint && (first < 0 || i < first) {
						first = i
					}
				}
			}
		}
		if first >= 0 {
			pairs = append(pairs, [2]int{first, j})
		}
		at[[2]int64{cx, cy}] = append(at[[2]int64{cx, cy}], j)
	}
	return pairs
}

// crossing finds the first two sides of a ring without repeated corners that
// cross, touch or fold back on each other; side i runs from corner i to the next.
func crossing(r plane.Ring) (i, j int, found bool) {
	n := len(r)
	for i := range n {
		a, b := r[i], r[(i+1)%n]
		for j := i + 1; j < n; j++ {
			c, d := r[j], r[(j+1)%n]
			switch {
			case apart(a, b, c, d):
			case j == i+1 && plane.Distance(d, a, b) < touching, j == i+1 && plane.Distance(a, c, d) < touching:
				return i, j, true
			case i == 0 && j == n-1 && plane.Distance(c, a, b) < touching, i == 0 && j == n-1 && plane.Distance(b, c, d) < touching:
				return i, j, true
			case j != i+1 && !(i == 0 && j == n-1) && gap(a, b, c, d) < touching:
				return i, j, true
			}
		}
	}
	return 0, 0, false
}

// shapes is the slab on plan, less its openings; openings may touch its edge and
// each other, so they are cut out by a set operation.
func (s Slab) shapes() ([]plane.Shape, error) {
	var holes []plane.Shape
	for _, o := range s.Openings {
		if len(o) > 0 {
			holes = append(holes, plane.Shape{Outer: o.Ring()})
		}
	}
	return plane.Difference([]plane.Shape{{Outer: s.Outline.Ring()}}, holes)
}

// shared is the area that two rings have in common, mm2.
func shared(a, b plane.Ring) (float64, error) {
	if !a.Bounds().Overlaps(b.Bounds(), 0) {
		return 0, nil
	}
	s, err := plane.Intersection([]plane.Shape{{Outer: a}}, []plane.Shape{{Outer: b}})
	return plane.Area(s), err
}

// sharedSlab is the area that two slabs have in common, mm2.
func sharedSlab(a, b Slab) (float64, error) {
	if !a.Outline.Ring().Bounds().Overlaps(b.Outline.Ring().Bounds(), 0) {
		return 0, nil
	}
	sa, err := a.shapes()
	if err != nil {
		return 0, err
	}
	sb, err := b.shapes()
	if err != nil {
		return 0, err
	}
	s, err := plane.Intersection(sa, sb)
	return plane.Area(s), err
}

// outside is the area of a ring that lies outside another, mm2.
func outside(a, b plane.Ring) (float64, error) {
	s, err := plane.Difference([]plane.Shape{{Outer: a}}, []plane.Shape{{Outer: b}})
	return plane.Area(s), err
}

// meet reports that two rings overlap or touch.
func meet(a, b plane.Ring) bool {
	if !a.Bounds().Overlaps(b.Bounds(), touching) {
		return false
	}
	if b.Contains(a[0]) || a.Contains(b[0]) {
		return true
	}
	for i := range a {
		for j := range b {
			p, q, s, t := a[i], a[(i+1)%len(a)], b[j], b[(j+1)%len(b)]
			if !apart(p, q, s, t) && gap(p, q, s, t) < touching {
				return true
			}
		}
	}
	return false
}

// along is how much of the segment from a to b lies on the sides of rings, mm.
func along(a, b plane.Point, rings []plane.Ring) float64 {
	length := math.Hypot(b[0]-a[0], b[1]-a[1])
	ux, uy := (b[0]-a[0])/length, (b[1]-a[1])/length
	var on plane.Spans
	for _, r := range rings {
		for i, p := range r {
			q := r[(i+1)%len(r)]
			tp, tq := (p[0]-a[0])*ux+(p[1]-a[1])*uy, (q[0]-a[0])*ux+(q[1]-a[1])*uy
			dp, dq := (p[1]-a[1])*ux-(p[0]-a[0])*uy, (q[1]-a[1])*ux-(q[0]-a[0])*uy
			lo, hi := max(0, min(tp, tq)), min(length, max(tp, tq))
			if hi <= lo || tp == tq {
				continue
			}
			at := func(t float64) float64 { return math.Abs(dp + (dq-dp)*(t-tp)/(tq-tp)) }
			if at(lo) <= onLine && at(hi) <= onLine {
				on = append(on, plane.Span{A: lo, B: hi})
			}
		}
	}
	return plane.Merge(on, onLine).Total()
}

// Footprint is the column's outline on plan; a round column as a polygon around it.
func (c Column) Footprint() plane.Ring {
	var r plane.Ring
	if c.Round > 0 {
		const corners = 24
		out := c.Round.Millimetres() / 2 / math.Cos(math.Pi/corners)
		for i := range corners {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
			r = append(r, plane.Point{out * cos, out * sin})
		}
	} else {
		x, y := c.Size[0].Millimetres()/2, c.Size[1].Millimetres()/2
		r = plane.Rect(-x, -y, x, y)
	}
	sin, cos := math.Sincos(float64(c.Turn))
	at := c.At.mm()
	return r.Map(func(p plane.Point) plane.Point {
		return plane.Point{at[0] + p[0]*cos - p[1]*sin, at[1] + p[0]*sin + p[1]*cos}
	})
}

// Footprint is the wall's outline on plan.
func (w WallLine) Footprint() plane.Ring { return band(w.From, w.To, w.Thickness) }

// Footprint is the beam's outline on plan.
func (b DropBeam) Footprint() plane.Ring { return band(b.From, b.To, b.Width) }

// band is the rectangle of a width along a centreline.
func band(from, to Point, width quantity.Length) plane.Ring {
	a, b := from.mm(), to.mm()
	l := math.Hypot(b[0]-a[0], b[1]-a[1])
	if l == 0 {
		return nil
	}
	h := width.Millimetres() / 2
	nx, ny := -(b[1]-a[1])/l*h, (b[0]-a[0])/l*h
	return plane.Ring{{a[0] - nx, a[1] - ny}, {b[0] - nx, b[1] - ny}, {b[0] + nx, b[1] + ny}, {a[0] + nx, a[1] + ny}}
}

// place writes a plan position in the job's units.
func (r *reader) place(p plane.Point) string {
	return fmt.Sprintf("(%s, %s)", quantity.Millimetres(p[0]).Text(r.style), quantity.Millimetres(p[1]).Text(r.style))
}
