package site

import (
	"errors"
	"math"
	"strings"
	"testing"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// A joint cuts the slab and a thickening that it crosses; areas by hand.
func TestJoint(t *testing.T) {
	j := load(t, two+"pins: [{pour: L2-A, kind: joint, at: [9.5, 0], angle: 90 deg}]\n")
	s, err := New(j, &j.Levels[1], &j.Levels[1].Pours[0])
	if err != nil {
		t.Fatal(err)
	}
	areas := map[string]float64{}
	for _, z := range s.Zones {
		areas[z.Name] = plane.Area(z.Shapes) / 1e6
		left, right := false, false
		for _, shape := range append(append([]plane.Shape(nil), z.Shapes...), z.Strip...) {
			for _, p := range shape.Outer {
				left, right = left || p[0] < 9500-1, right || p[0] > 9500+1
			}
		}
		if left && right {
			t.Errorf("zone %s lies on both sides", z.Name)
		}
	}
	// The column, 0.16 m2, half the wall, 0.8 m2, and both openings lie on the left.
	want := map[string]float64{"slab, side 1": 9.5*8 - 9 - 0.25 - 0.8 - 3, "slab, side 2": 2.5*8 - 1, "drop 1, side 1": 1.5*2 - 0.16, "drop 1, side 2": 0.5 * 2}
	for name, a := range want {
		if math.Abs(areas[name]-a) > 1e-6 {
			t.Errorf("%s: %.4f m2, want %.4f (all: %v)", name, areas[name], a, areas)
		}
	}
	if len(areas) != len(want) {
		t.Errorf("zones %v", areas)
	}
	if len(s.Joints) != 1 || s.Joints[0] != (deck.Line{From: deck.Point{9500, 0}, To: deck.Point{9500, 8000}}) {
		t.Errorf("joints %+v", s.Joints)
	}
	for _, e := range s.Edges {
		if lo, hi := math.Min(e.From[0], e.To[0]), math.Max(e.From[0], e.To[0]); lo < 9499 && hi > 9501 {
			t.Errorf("edge %+v runs past the joint", e)
		}
	}
	j = load(t, two+"pins: [{pour: L2-A, kind: joint, at: [12.5, 0], angle: 90 deg}]\n")
	_, err = New(j, &j.Levels[1], &j.Levels[1].Pours[0])
	var r Refusal
	if !errors.As(err, &r) || !strings.Contains(r.Reason, "does not cross") {
		t.Errorf("a joint beside the slab: %v", err)
	}
}

// A joint in line with an edge of an L runs through the slab only, not along the edge.
func TestJointInLineWithAnEdge(t *testing.T) {
	ell := plane.Shape{Outer: plane.Ring{{0, 0}, {12000, 0}, {12000, 4000}, {4000, 4000}, {4000, 10000}, {0, 10000}}}
	for _, c := range []struct {
		dir  plane.Point
		want deck.Line
	}{
		{plane.Point{0, 1}, deck.Line{From: plane.Point{4000, 0}, To: plane.Point{4000, 4000}}},
		{plane.Point{1, 0}, deck.Line{From: plane.Point{0, 4000}, To: plane.Point{4000, 4000}}},
	} {
		if got := chord([]plane.Shape{ell}, plane.Point{4000, 4000}, c.dir); len(got) != 1 || got[0] != c.want {
			t.Errorf("along %v: %v, want %v", c.dir, got, c.want)
		}
	}
}

// A wall that runs from 40 mm off the slab's edge to 20 mm off, and two columns
// 50 mm apart; sizes by hand.
func TestGaps(t *testing.T) {
	text := strings.Replace(two, "columns: [", "columns: [{at: [6, 6.5], size: [0.4 m, 0.4 m]}, {at: [6.45, 6.5], size: [0.4 m, 0.4 m]}, ", 1)
	text = strings.Replace(text, "{from: [0, 0], to: [0, 8]", "{from: [12.14, 0], to: [12.08, 8]", 1)
	j := load(t, text)
	s, err := New(j, &j.Levels[1], &j.Levels[1].Pours[0])
	if err != nil {
		t.Fatal(err)
	}
	var wall, columns int
	for _, g := range s.Gaps {
		switch {
		case g.Beside == "wall 1":
			wall++
			if g.Width < 30 || g.Width > 40 || math.Abs(g.Length()-8000) > 30 || math.Abs(g.From[0]-12000) > 30 {
				t.Errorf("gap at the wall: %+v", g)
			}
		default:
			columns++
			if g.Width != 50 || math.Abs(g.Length()-400) > 0.1 || math.Abs(g.From[0]-6225) > 0.1 || math.Abs(g.To[0]-6225) > 0.1 {
				t.Errorf("gap of the columns: %+v", g)
			}
		}
	}
	if wall != 1 || columns != 1 {
		t.Errorf("gaps %+v", s.Gaps)
	}
	// The slab against its wall has none.
	j = load(t, two)
	if s, err = New(j, &j.Levels[1], &j.Levels[1].Pours[0]); err != nil || len(s.Gaps) > 0 {
		t.Errorf("gaps %+v, %v", s.Gaps, err)
	}
}
