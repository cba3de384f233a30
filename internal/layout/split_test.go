package layout

import (
	"math"
	"testing"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// Outlines for cuts, in mm, and with them a working strip 500 mm wide all round.
var (
	ellOutline = plane.Ring{{0, 0}, {12000, 0}, {12000, 4000}, {4000, 4000}, {4000, 10000}, {0, 10000}}
	teeOutline = plane.Ring{{0, 0}, {12000, 0}, {12000, 4000}, {8000, 4000}, {8000, 10000}, {4000, 10000}, {4000, 4000}, {0, 4000}}
	youOutline = plane.Ring{{0, 0}, {12000, 0}, {12000, 9000}, {8000, 9000}, {8000, 4000}, {4000, 4000}, {4000, 9000}, {0, 9000}}
)

func zoneOf(t *testing.T, r plane.Ring, holes ...plane.Ring) deck.Zone {
	t.Helper()
	var wide []plane.Shape
	for i, a := range r {
		b := r[(i+1)%len(r)]
		x0, x1, y0, y1 := math.Min(a[0], b[0])-500, math.Max(a[0], b[0])+500, math.Min(a[1], b[1])-500, math.Max(a[1], b[1])+500
		wide = append(wide, plane.Shape{Outer: plane.Rect(x0, y0, x1, y1)})
	}
	strip, err := plane.Union(wide)
	if err != nil {
		t.Fatal(err)
	}
	if strip, err = plane.Difference(strip, []plane.Shape{{Outer: r}}); err != nil {
		t.Fatal(err)
	}
	return deck.Zone{Name: "slab", Shapes: []plane.Shape{{Outer: r, Holes: holes}}, Strip: strip}
}

// One cut through an L, T and U: the parts' areas and those of their strips, by hand.
func TestCutZone(t *testing.T) {
	for _, c := range []struct {
		name             string
		ring             plane.Ring
		at               plane.Point
		deg              float64
		from, to         plane.Point
		left, right      float64 // m2
		leftStrip, total float64
	}{
		// Up the side of the upright leg: left of a line that runs up is the upright leg. The lying leg takes the strip
		// into the corner: 8 x 0.5 below and above and 5 x 0.5 at its end.
		{"L", ellOutline, plane.Point{4000, 2000}, 90, plane.Point{4000, 0}, plane.Point{4000, 4000}, 40, 32, 4.5*0.5 + 11*0.5 + 4.5*0.5 + 5.5*0.5, 44*0.5 + 5*0.25 - 0.25},
		// Under the stem: its strip begins half a metre over the line on neither side, since its own corners are the sharper.
		{"T", teeOutline, plane.Point{6000, 4000}, 0, plane.Point{4000, 4000}, plane.Point{8000, 4000}, 24, 48, 6*0.5*2 + 5*0.5, 44*0.5 + 6*0.25 - 2*0.25},
		// From the corner of a leg to the side: the leg is on the left of a line to the right.
		{"U", youOutline, plane.Point{2000, 4000}, 0, plane.Point{0, 4000}, plane.Point{4000, 4000}, 20, 48 + 20, 5*0.5*2 + 5*0.5, 52*0.5 + 6*0.25 - 2*0.25},
	} {
		got, ok, err := cutZone(zoneOf(t, c.ring), c.at, c.deg, 500)
		if err != nil || !ok {
			t.Errorf("%s: %v, cut %t", c.name, err, ok)
			continue
		}
		area := func(s []plane.Shape) float64 { return plane.Area(s) / 1e6 }
		if got.border != (deck.Line{From: c.from, To: c.to}) {
			t.Errorf("%s: border %v, want %v to %v", c.name, got.border, c.from, c.to)
		}
		for k, want := range []float64{c.left, c.right} {
			if a := area(got.parts[k].Shapes); math.Abs(a-want) > 1e-6 {
				t.Errorf("%s: part %d is %.3f m2, want %.3f", c.name, k+1, a, want)
			}
		}
		l, r := area(got.parts[0].Strip), area(got.parts[1].Strip)
		if math.Abs(l-c.leftStrip) > 1e-6 || math.Abs(l+r-c.total) > 1e-6 {
			t.Errorf("%s: strips of %.3f and %.3f m2, want %.3f and together %.3f", c.name, l, r, c.leftStrip, c.total)
		}
		// Nothing lies in both, nothing in neither.
		both, err := plane.Intersection(append(got.parts[0].Shapes, got.parts[0].Strip...), append(got.parts[1].Shapes, got.parts[1].Strip...))
		if err != nil || plane.Area(both) > 1 {
			t.Errorf("%s: %.1f mm2 lie in both parts, %v", c.name, plane.Area(both), err)
		}
	}
}

// An opening in the way of a cut is no border: both parts end at it.
func TestCutThroughOpening(t *testing.T) {
	hole := plane.Ring{{3500, 1000}, {3500, 2000}, {4500, 2000}, {4500, 1000}}
	got, ok, err := cutZone(zoneOf(t, ellOutline, hole), plane.Point{4000, 3000}, 90, 500)
	if err != nil || !ok {
		t.Fatal(err, ok)
	}
	if a, b := plane.Area(got.parts[0].Shapes)/1e6, plane.Area(got.parts[1].Shapes)/1e6; math.Abs(a-39.5) > 1e-6 || math.Abs(b-31.5) > 1e-6 {
		t.Errorf("parts of %.3f and %.3f m2, want 39.5 and 31.5: each less half the opening", a, b)
	}
}

// The cuts of a shape, counted by hand: two from each re-entrant corner, the one
// between two corners once; none where a part would be smaller than a field may be.
func TestCuts(t *testing.T) {
	small := plane.Ring{{0, 0}, {6000, 0}, {6000, 4000}, {4500, 4000}, {4500, 5000}, {0, 5000}}
	for _, c := range []struct {
		name string
		ring plane.Ring
		n    int
	}{
		{"rectangle", plane.Rect(0, 0, 12000, 8000), 0}, {"L", ellOutline, 2}, {"T", teeOutline, 3}, {"U", youOutline, 4}, {"notch in a corner", small, 0},
	} {
		got := cuts(zoneOf(t, c.ring), []float64{0, 90}, 500)
		if len(got) != c.n {
			t.Errorf("%s: %d cuts, want %d", c.name, len(got), c.n)
		}
		for _, k := range got {
			t.Logf("%s: %v", c.name, k.border)
		}
	}
}
