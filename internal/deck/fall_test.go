package deck

import (
	"math"
	"testing"
)

// A slope of 3 down in 4 along, for round figures by Pythagoras: 4 in plan are 5 in
// the slope, and what is 100 deep square to it is 125 deep plumb.
func TestFallLaidFlat(t *testing.T) {
	f := &Fall{At: Point{1000, 500}, Rise: [2]float64{-0.75, 0}}
	if g, k := f.Grade(), f.Stretch(); g != 0.75 || k != 1.25 {
		t.Errorf("grade %g, stretch %g", g, k)
	}
	for _, c := range []struct{ plan, flat Point }{
		{Point{1000, 500}, Point{1000, 500}},
		{Point{5000, 900}, Point{6000, 900}}, // 4 m down the slope are 5 m of it, and what is level keeps its place
		{Point{600, -300}, Point{500, -300}},
	} {
		if got := f.Flat(c.plan); got != c.flat {
			t.Errorf("%v flat is %v, not %v", c.plan, got, c.flat)
		}
		if got := f.Plan(c.flat); got != c.plan {
			t.Errorf("%v in plan is %v, not %v", c.flat, got, c.plan)
		}
	}
	if z := f.Lift(Point{5000, 900}); z != -3000 {
		t.Errorf("4 m down the slope lie %g mm up, not 3 m down", z)
	}
	if a := f.Along(3, 4); math.Abs(a+0.45) > 1e-12 { // 3/5 of it down the slope
		t.Errorf("along 3-4-5 it rises %g", a)
	}
	var level *Fall
	if level.Grade() != 0 || level.Stretch() != 1 || level.Lift(Point{9, 9}) != 0 || level.Flat(Point{7, 8}) != (Point{7, 8}) || level.Along(1, 1) != 0 {
		t.Error("no fall is level")
	}
}

// A fall aslant keeps real lengths too: between any two places of the plane the
// distance laid flat is that in space.
func TestFallAslantKeepsLengths(t *testing.T) {
	f := &Fall{At: Point{300, -200}, Rise: [2]float64{0.05, -0.08}}
	ps := []Point{{0, 0}, {4000, 1000}, {-700, 5200}, {9000, 9000}}
	for _, a := range ps {
		for _, b := range ps {
			p, q := f.Flat(a), f.Flat(b)
			flat := math.Hypot(q[0]-p[0], q[1]-p[1])
			dx, dy, dz := b[0]-a[0], b[1]-a[1], f.Lift(b)-f.Lift(a)
			if real := math.Sqrt(dx*dx + dy*dy + dz*dz); math.Abs(real-flat) > 0.02 {
				t.Errorf("%v to %v: %.3f mm in space, %.3f mm laid flat", a, b, real, flat)
			}
		}
	}
}

// A pour that was laid flat and put in the slope lies flat again as it was: a joist of
// 5 m down a slope of 3 in 4 spans 4 m in plan and falls 3 m; 21 mm of sheet are
// 26.25 mm plumb.
func TestTiltedAndBack(t *testing.T) {
	plan := Site{Fall: &Fall{Rise: [2]float64{-0.75, 0}}, Zones: []Zone{{Name: "slab", Soffit: 4000}}}
	flat := Deck{
		Fields: []Field{{Name: "I", Zone: "slab"}},
		Sheets: []Sheet{{ID: "s", Field: "I", Z: 4000, Shape: Shape{Outer: Ring{{0, 0}, {2500, 0}, {2500, 1250}, {0, 1250}}}}},
		Joists: []Member{{ID: "j", Field: "I", From: Point{0, 100}, To: Point{5000, 100}, Top: 3979}},
		Props:  []Prop{{ID: "p", At: Point{2500, 100}, Seat: 3579}},
	}
	got := flat.Tilted(&plan)
	j := got.Joists[0]
	if j.To != (Point{4000, 100}) || j.Top != 4000-26.25 || j.Rise != -3000 {
		t.Errorf("the joist runs to %v from %g by %g", j.To, j.Top, j.Rise)
	}
	s := got.Sheets[0]
	if s.Shape.Outer[2] != (Point{2000, 1250}) || s.Z != 4000 || s.Rises[1] != -1500 || s.Rises[3] != 0 {
		t.Errorf("the sheet lies at %v, %g and %v", s.Shape.Outer, s.Z, s.Rises)
	}
	if got.Props[0].At != (Point{2000, 100}) {
		t.Errorf("the prop stands at %v", got.Props[0].At)
	}
	back := (&Pour{Site: plan, Deck: got}).LaidFlat()
	if b := back.Deck.Joists[0]; b.To != (Point{5000, 100}) || math.Abs(b.Top-3979) > 0.01 || b.Rise != 0 {
		t.Errorf("the joist comes back as %+v", b)
	}
	if b := back.Deck.Sheets[0]; b.Shape.Outer[2] != (Point{2500, 1250}) || b.Z != 4000 || b.Rises != nil {
		t.Errorf("the sheet comes back as %+v", b)
	}
}

// Fresh concrete up the slope stands over the foot of the form at the low edge:
// 200 mm of slab that rise 5 % away from it make 250 mm over a metre; at the other
// edges the slab alone.
func TestEdgeHead(t *testing.T) {
	s := &Site{Fall: &Fall{Rise: [2]float64{0, -0.05}}} // falls along +y
	low, high := Edge{From: Point{8000, 5000}, To: Point{0, 5000}}, Edge{From: Point{0, 0}, To: Point{8000, 0}}
	side := Edge{From: Point{8000, 0}, To: Point{8000, 5000}}
	for _, c := range []struct {
		e    Edge
		want float64
	}{{low, 250}, {high, 200}, {side, 200}} {
		if got := s.EdgeHead(c.e, 200); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("edge %v: %g mm, not %g", c.e, got, c.want)
		}
	}
}
