// Package plane is 2-D geometry in millimetres: outlines with holes, their
// set operations (a thin face over a maintained library) and scan lines. Set
// operations round what they are given to a hundredth of a millimetre first,
// which keeps the library away from near-coincident corners.
package plane

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"

	"github.com/peterstace/simplefeatures/geom"
)

// Point is a plan position in mm.
type Point [2]float64

// Ring is a closed outline in mm without its last point repeated.
type Ring []Point

// Shape is an outline with holes.
type Shape struct {
	Outer Ring   `json:"outer_mm"`
	Holes []Ring `json:"holes_mm,omitempty"`
}

// grid is the number of library units in a millimetre; corners are whole units.
const grid = 100

// sliver is the least width-like size kept of an operation's result: area over
// half the perimeter, in mm.
const sliver = 0.05

// Rect is an axis-aligned rectangle as a ring.
func Rect(x0, y0, x1, y1 float64) Ring {
	return Ring{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

// SignedArea is positive for counterclockwise rings, mm2.
func (r Ring) SignedArea() float64 {
	a := 0.0
	for i, p := range r {
		q := r[(i+1)%len(r)]
		a += p[0]*q[1] - q[0]*p[1]
	}
	return a / 2
}

// Centroid of a ring's area.
func (r Ring) Centroid() Point {
	var cx, cy, a float64
	o := r[0] // relative to a corner, for accuracy far from the origin
	for i, p := range r {
		q := r[(i+1)%len(r)]
		px, py, qx, qy := p[0]-o[0], p[1]-o[1], q[0]-o[0], q[1]-o[1]
		c := px*qy - qx*py
		a += c
		cx += (px + qx) * c
		cy += (py + qy) * c
	}
	if a == 0 {
		return o
	}
	return Point{o[0] + cx/(3*a), o[1] + cy/(3*a)}
}

// CCW returns the ring counterclockwise.
func (r Ring) CCW() Ring {
	if r.SignedArea() >= 0 {
		return r
	}
	out := make(Ring, len(r))
	for i, p := range r {
		out[len(r)-1-i] = p
	}
	return out
}

// Map applies f to every corner.
func (r Ring) Map(f func(Point) Point) Ring {
	out := make(Ring, len(r))
	for i, p := range r {
		out[i] = f(p)
	}
	return out
}

// Map applies f to every corner of a shape.
func (s Shape) Map(f func(Point) Point) Shape {
	out := Shape{Outer: s.Outer.Map(f)}
	for _, h := range s.Holes {
		out.Holes = append(out.Holes, h.Map(f))
	}
	return out
}

// Rings of a shape, outer first.
func (s Shape) Rings() []Ring { return append([]Ring{s.Outer}, s.Holes...) }

// Area of a shape, mm2.
func (s Shape) Area() float64 {
	a := math.Abs(s.Outer.SignedArea())
	for _, h := range s.Holes {
		a -= math.Abs(h.SignedArea())
	}
	return a
}

// Area of several shapes that do not overlap, mm2.
func Area(shapes []Shape) float64 {
	a := 0.0
	for _, s := range shapes {
		a += s.Area()
	}
	return a
}

// Box is a bounding box.
type Box struct{ X0, Y0, X1, Y1 float64 }

// Bounds of shapes.
func Bounds(shapes []Shape) Box {
	b := Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, s := range shapes {
		b = b.Join(s.Outer.Bounds())
	}
	return b
}

// Bounds of a ring.
func (r Ring) Bounds() Box {
	b := Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range r {
		b = b.Join(Box{p[0], p[1], p[0], p[1]})
	}
	return b
}

// Join is the box around both.
func (b Box) Join(c Box) Box {
	return Box{math.Min(b.X0, c.X0), math.Min(b.Y0, c.Y0), math.Max(b.X1, c.X1), math.Max(b.Y1, c.Y1)}
}

// Overlaps reports whether the boxes share area, grown by margin.
func (b Box) Overlaps(c Box, margin float64) bool {
	return b.X0 < c.X1+margin && c.X0 < b.X1+margin && b.Y0 < c.Y1+margin && c.Y0 < b.Y1+margin
}

// Contains reports whether p lies in the ring (even-odd rule).
func (r Ring) Contains(p Point) bool {
	in := false
	for i, a := range r {
		b := r[(i+1)%len(r)]
		if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0]+(b[0]-a[0])*(p[1]-a[1])/(b[1]-a[1]) {
			in = !in
		}
	}
	return in
}

// Contains reports whether p lies in the shape and outside its holes.
func (s Shape) Contains(p Point) bool {
	if !s.Outer.Contains(p) {
		return false
	}
	for _, h := range s.Holes {
		if h.Contains(p) {
			return false
		}
	}
	return true
}

// Within reports whether p lies in any of the shapes.
func Within(shapes []Shape, p Point) bool {
	for _, s := range shapes {
		if s.Contains(p) {
			return true
		}
	}
	return false
}

// Hull is the convex hull of points, counterclockwise.
func Hull(points []Point) Ring {
	ps := slices.Clone(points)
	slices.SortFunc(ps, func(a, b Point) int {
		return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]))
	})
	var out Ring
	for range 2 { // along the lower side, then back along the upper
		start := len(out)
		for _, p := range ps {
			for n := len(out); n >= start+2; n = len(out) {
				a, b := out[n-2], out[n-1]
				if (b[0]-a[0])*(p[1]-a[1])-(b[1]-a[1])*(p[0]-a[0]) > 0 {
					break
				}
				out = out[:n-1]
			}
			out = append(out, p)
		}
		out = out[:len(out)-1] // the other side begins with it
		slices.Reverse(ps)
	}
	return out
}

// InHull reports whether p lies in the convex hull of the points, or within
// slack mm of it: no line through p has all of them on one side.
func InHull(points []Point, p Point, slack float64) bool {
	// The directions to the points must not all lie within half a turn.
	var angles []float64
	for _, q := range points {
		dx, dy := q[0]-p[0], q[1]-p[1]
		if math.Hypot(dx, dy) <= slack {
			return true
		}
		angles = append(angles, math.Atan2(dy, dx))
	}
	if len(angles) == 0 {
		return false
	}
	sort.Float64s(angles)
	gap := angles[0] + 2*math.Pi - angles[len(angles)-1]
	for i := 1; i < len(angles); i++ {
		gap = math.Max(gap, angles[i]-angles[i-1])
	}
	return gap <= math.Pi+1e-3
}

// Distance from p to the segment ab.
func Distance(p, a, b Point) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	l := dx*dx + dy*dy
	t := 0.0
	if l > 0 {
		t = math.Max(0, math.Min(1, ((p[0]-a[0])*dx+(p[1]-a[1])*dy)/l))
	}
	return math.Hypot(p[0]-a[0]-t*dx, p[1]-a[1]-t*dy)
}

// DistanceTo the ring's border.
func (r Ring) DistanceTo(p Point) float64 {
	d := math.Inf(1)
	for i, a := range r {
		d = math.Min(d, Distance(p, a, r[(i+1)%len(r)]))
	}
	return d
}

// Union of shapes.
func Union(shapes []Shape) ([]Shape, error) {
	gs := make([]geom.Geometry, len(shapes))
	for i, s := range shapes {
		gs[i] = toGeom([]Shape{s})
	}
	return guard("union", func() (geom.Geometry, error) { return geom.UnionMany(gs) })
}

// Difference a less b.
func Difference(a, b []Shape) ([]Shape, error) {
	if len(b) == 0 || len(a) == 0 {
		return a, nil
	}
	u, err := Union(b)
	if err != nil {
		return nil, err
	}
	return guard("difference", func() (geom.Geometry, error) { return geom.Difference(toGeom(a), toGeom(u)) })
}

// Intersection of a and b, each of parts that do not overlap.
func Intersection(a, b []Shape) ([]Shape, error) {
	if len(a) == 0 || len(b) == 0 {
		return nil, nil
	}
	return guard("intersection", func() (geom.Geometry, error) { return geom.Intersection(toGeom(a), toGeom(b)) })
}

func toGeom(shapes []Shape) geom.Geometry {
	polys := make([]geom.Polygon, len(shapes))
	for i, s := range shapes {
		var rings []geom.LineString
		for _, r := range s.Rings() {
			c := make([]float64, 0, 2*len(r)+2)
			for _, p := range r {
				c = append(c, math.Round(p[0]*grid), math.Round(p[1]*grid))
			}
			c = append(c, c[0], c[1])
			rings = append(rings, geom.NewLineString(geom.NewSequence(c, geom.DimXY)))
		}
		polys[i] = geom.NewPolygon(rings)
	}
	if len(polys) == 1 {
		return polys[0].AsGeometry()
	}
	return geom.NewMultiPolygon(polys).AsGeometry()
}

// guard runs a library operation, turns its panics into errors and keeps only
// polygons wider than a sliver.
func guard(what string, f func() (geom.Geometry, error)) (out []Shape, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("plane: %s failed: %v", what, r)
		}
	}()
	g, err := f()
	if err != nil {
		return nil, fmt.Errorf("plane: %s failed: %w", what, err)
	}
	for _, part := range g.Dump() {
		p, ok := part.AsPolygon()
		if !ok || p.IsEmpty() {
			continue
		}
		if s := fromGeom(p); s.Outer.width() > sliver {
			out = append(out, s)
		}
	}
	return out, nil
}

func fromGeom(p geom.Polygon) Shape {
	ring := func(l geom.LineString) Ring {
		seq := l.Coordinates()
		r := make(Ring, 0, seq.Length()-1)
		for i := range seq.Length() - 1 {
			xy := seq.GetXY(i)
			r = append(r, Point{xy.X / grid, xy.Y / grid})
		}
		return r
	}
	s := Shape{Outer: ring(p.ExteriorRing()).CCW()}
	for i := range p.NumInteriorRings() {
		if h := ring(p.InteriorRingN(i)); h.width() > sliver {
			s.Holes = append(s.Holes, h)
		}
	}
	return s
}

// width is a measure of how thin a ring is: area over half its perimeter.
func (r Ring) width() float64 {
	l := 0.0
	for i, p := range r {
		q := r[(i+1)%len(r)]
		l += math.Hypot(q[0]-p[0], q[1]-p[1])
	}
	if l == 0 {
		return 0
	}
	return 2 * math.Abs(r.SignedArea()) / l
}
