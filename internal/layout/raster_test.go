package layout

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// Joists run along and across the longest borders, whichever way they turn.
func TestDirections(t *testing.T) {
	for _, c := range []struct {
		name string
		ring plane.Ring
		want float64
	}{
		{"square to the axes", plane.Rect(0, 0, 8000, 5000), 0},
		{"turned by 30", turned(0, 0, 8000, 5000, 30), 30},
		{"by 89.999: rounding", turned(0, 0, 8000, 5000, 89.999), 0},
		{"by -10", turned(0, 0, 8000, 5000, -10), 80},
		{"by 100", turned(0, 0, 8000, 5000, 100), 10},
		{"by 217.25", turned(0, 0, 8000, 5000, 217.25), 37.25},
		// A corner cut off at 45 degrees: 8 + 5 + 6 + 3 m square to the axes, 2.83 m not.
		{"a cut corner", plane.Ring{{0, 0}, {8000, 0}, {8000, 3000}, {6000, 5000}, {0, 5000}}, 0},
		// A triangle at 45 degrees: its two short sides are 2 x 5.66 m, the long one 8 m.
		{"two sides at 45", plane.Ring{{0, 0}, {8000, 0}, {4000, 4000}}, 45},
		// Legs of 5 m nearly square to each other are one direction, 10 m in all; the third side is 7.1 m.
		{"a corner of 90.3 degrees", plane.Ring{{0, 0}, {5000, 0}, {-26.18, 5000}}, 0},
		{"a corner of 89.7 degrees", plane.Ring{{0, 0}, {5000, 0}, {26.18, 5000}}, 0},
	} {
		site := flat(c.ring)
		got := directions(site, 0)
		if len(got) != 2 || math.Abs(got[0]-c.want) > 1e-9 || math.Abs(got[1]-got[0]-90) > 1e-9 {
			t.Errorf("%s: %v, want %g and %g", c.name, got, c.want, c.want+90)
		}
	}
}

// The axes of a field: joists along its y.
func TestFrame(t *testing.T) {
	for _, c := range []struct {
		deg  float64
		p, q plane.Point
	}{
		{90, plane.Point{3, 4}, plane.Point{3, 4}},
		{0, plane.Point{3, 4}, plane.Point{-4, 3}}, // job x is up, job y to the left
		{180, plane.Point{3, 4}, plane.Point{4, -3}},
		{120, plane.Point{math.Sqrt(3), 1}, plane.Point{2, 0}}, // 30 degrees on from 90: x at 30 degrees
	} {
		f := newFrame(c.deg)
		got := f.in(c.p)
		near(t, "x", got[0], c.q[0], 1e-9)
		near(t, "y", got[1], c.q[1], 1e-9)
		back := f.out(got[0], got[1])
		near(t, "x back", back[0], round(c.p[0]), 1e-9)
		near(t, "y back", back[1], round(c.p[1]), 1e-9)
	}
}

// A right triangle with legs of 4 m: at height y it reaches to 4000 - y. A row
// of 25 mm has deck up to what its lower side reaches, and through its whole
// height up to what its upper side does.
func TestRowsOfASlantedDeck(t *testing.T) {
	k := handKit()
	r := regionOf(t, flat(plane.Ring{{0, 0}, {4000, 0}, {0, 4000}}), k)
	if r.yOf(r.rowOf(0)) != 0 || r.yOf(r.rowOf(1012)) != 1000 {
		t.Fatal("rows start at the deck's lower border")
	}
	i := r.rowOf(1012)
	sameSpans(t, "cover", r.cover[i], plane.Spans{{A: 0, B: 3000}}, 0.01)
	sameSpans(t, "inner", r.inner[i], plane.Spans{{A: 0, B: 2975}}, 0.01)
	sameSpans(t, "heavy", r.heavy[i], plane.Spans{{A: 0, B: 2987.5}}, 0.01)
	// The same standing on its point: at height y it reaches to y.
	up := regionOf(t, flat(plane.Ring{{0, 0}, {4000, 4000}, {0, 4000}}), k)
	sameSpans(t, "cover", up.cover[i], plane.Spans{{A: 0, B: 1025}}, 0.01)
	sameSpans(t, "inner", up.inner[i], plane.Spans{{A: 0, B: 1000}}, 0.01)
	for _, y := range []float64{-12, 4012} {
		if s := r.cover[r.rowOf(y)]; len(s) > 0 {
			t.Errorf("deck at %g: %v", y, s)
		}
	}
	// In rows of 1.2 m of sheets the first reaches over all of the base.
	sameSpans(t, "row of sheets", r.sheetRow(plane.Span{A: 600, B: 625}, 1200), plane.Spans{{A: 0, B: 4000}}, 0.01)
	sameSpans(t, "third row of sheets", r.sheetRow(plane.Span{A: 2500, B: 2525}, 1200), plane.Spans{{A: 0, B: 1600}}, 0.01)
}

// The working strip is deck, but not under load.
func TestRowsOfTheStrip(t *testing.T) {
	site := flat(plane.Rect(0, 0, 6000, 4000))
	site.Strip = []plane.Shape{{Outer: plane.Rect(6000, 0, 6600, 4000)}}
	site.Zones[0].Strip = site.Strip
	r := regionOf(t, site, handKit())
	i := r.rowOf(2000)
	sameSpans(t, "cover", r.cover[i], plane.Spans{{A: 0, B: 6600}}, 0.01)
	sameSpans(t, "heavy", r.heavy[i], plane.Spans{{A: 0, B: 6000}}, 0.01)
}

// A column of 300 x 300 mm about (3000, 2000), clearance 20 mm: rows from 1830
// to 2170 are in its way, which lie in those from 1825 to 2175.
func TestAroundAColumn(t *testing.T) {
	r := regionOf(t, flat(plane.Rect(0, 0, 6000, 4000), plane.Rect(2850, 1850, 3150, 2150)), handKit())
	lo, hi := r.y0, r.yOf(r.rows())
	for _, c := range []struct {
		name   string
		x0, x1 float64
		want   plane.Spans
	}{
		{"through it", 2960, 3040, plane.Spans{{A: lo, B: 1825}, {A: 2175, B: hi}}},
		{"19 mm beside it", 3169, 3249, plane.Spans{{A: lo, B: 1825}, {A: 2175, B: hi}}},
		{"21 mm beside it", 3171, 3251, plane.Spans{{A: lo, B: hi}}},
		{"21 mm on the other side", 2749, 2829, plane.Spans{{A: lo, B: hi}}},
	} {
		sameSpans(t, c.name, r.freeRows(c.x0, c.x1), c.want, 1e-6)
	}
	for _, c := range []struct {
		name           string
		x0, x1, y0, y1 float64
		want           bool
	}{
		{"beside", 3171, 3400, 1900, 2100, true},
		{"over", 2900, 3000, 2176, 2300, true},
		{"a corner in it", 3100, 3400, 2100, 2400, false},
		{"in the clearance", 3165, 3400, 1900, 2100, false},
	} {
		if got := r.free(c.x0, c.x1, c.y0, c.y1); got != c.want {
			t.Errorf("%s: free %v", c.name, got)
		}
	}
	if s, ok := r.freeRun(1000, 1900, 2100); !ok || math.Abs(s.A+3000) > 1e-9 || math.Abs(s.B-2830) > 1e-9 {
		t.Errorf("from 1 m: %v %v, want -3000 (3 m past the deck) to the column's clearance at 2830", s, ok)
	}
	if s, ok := r.freeRun(5000, 1900, 2100); !ok || math.Abs(s.A-3170) > 1e-9 {
		t.Errorf("from 5 m: %v %v, want from 3170", s, ok)
	}
	if _, ok := r.freeRun(3000, 1900, 2100); ok {
		t.Error("nothing runs through the column")
	}
}

// Against boxes, for a column of any shape and turn. A member's strip that the
// rows call free keeps the clearance both ways; rows they call blocked hold
// something of the column or its clearance. Members look at the column's box,
// joists of repairs at the column itself.
func TestFreeAgainstBoxes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(lo, hi int, name string) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, name)) }
		ring := turned(num(2000, 4000, "x"), num(1500, 2500, "y"), num(150, 900, "long"), num(150, 600, "wide"), num(0, 90, "turn"))
		k := handKit()
		r := regionOf(t, flat(plane.Rect(0, 0, 6000, 4000), ring), k)
		c := mmOf(k.choice.Clearance)
		x0 := num(1200, 4800, "strip")
		x1 := x0 + num(40, 200, "width")
		box := ring.Bounds()
		// The rows in which some of the strip is nearer than the clearance to the column, by sampling its border and
		// inside densely.
		var points []plane.Point
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			for s := 0.0; s < 1; s += 1 / math.Max(1, dist(a, b)) {
				points = append(points, plane.Point{a[0] + (b[0]-a[0])*s, a[1] + (b[1]-a[1])*s})
			}
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range points {
			if p[0] > x0-c && p[0] < x1+c {
				lo, hi = math.Min(lo, p[1]), math.Max(hi, p[1])
			}
		}
		exact, boxes := r.freeOf(r.exact, x0, x1), r.freeRows(x0, x1)
		const seen = 2 // mm that the samples may miss
		for _, free := range []plane.Spans{exact, boxes} {
			for _, s := range free {
				if hi >= lo && s.B > lo-c+seen && s.A < hi+c-seen {
					t.Errorf("%v is called free, the column's clearance reaches from %g to %g", s, lo-c, hi+c)
				}
			}
		}
		if lost := r.yOf(r.rows()) - r.y0 - exact.Total(); hi < lo && lost > 0 && (x1+c < box.X0-seen || x0-c > box.X1+seen) || hi >= lo && lost > hi-lo+2*c+2*rowStep+seen {
			t.Errorf("%g mm are called blocked, the column's clearance reaches from %g to %g", lost, lo-c, hi+c)
		}
		if out := plane.Minus(boxes, exact).Total(); out > 1e-6 {
			t.Errorf("%g mm are free beside the box and not beside the column in it", out)
		}
		// The box: one interval of its own height.
		if x1+c > box.X0 && x0-c < box.X1 {
			want := plane.Spans{{A: r.y0, B: r.yOf(r.rowOf(box.Y0 - c))}, {A: r.yOf(r.rowOf(box.Y1+c) + 1), B: r.yOf(r.rows())}}
			if len(boxes) != 2 || math.Abs(boxes[0].B-want[0].B) > 1e-6 || math.Abs(boxes[1].A-want[1].A) > 1e-6 {
				t.Errorf("beside the box: %v, want %v", boxes, want)
			}
		}
	})
}

// A square of 400 mm on its corner: half its diagonal is 282.84 mm. 200 mm
// beside its middle it reaches 82.84 mm up and down; 180 mm beside it, for a
// joist that keeps 20 mm, 102.84.
func TestBesideATurnedColumn(t *testing.T) {
	r := regionOf(t, flat(plane.Rect(0, 0, 6000, 4000), turned(3000, 2000, 400, 400, 45)), handKit())
	got := r.freeOf(r.exact, 3200, 3280)
	if len(got) != 2 {
		t.Fatal(got)
	}
	const reach = 102.84 + 20
	for _, d := range []float64{2000 - reach - got[0].B, got[1].A - 2000 - reach} {
		if d < -1 || d > rowStep+1 {
			t.Errorf("%v keeps %.1f mm more than it must: 0 to a row of 25", got, d)
		}
	}
}

// Props stand on the slab below, 150 mm off its edges and openings, their
// plates of 150 mm clear of columns and of what the job keeps clear.
func TestCanStand(t *testing.T) {
	site := flat(plane.Rect(0, 0, 6000, 4000), plane.Rect(2850, 1850, 3150, 2150))
	site.OnGround = false
	site.Stand = []plane.Shape{{Outer: plane.Rect(0, 0, 6000, 4000), Holes: []plane.Ring{plane.Rect(4500, 1000, 5500, 2000)}}}
	site.Clear = []plane.Ring{plane.Rect(1000, 1000, 1500, 1500)}
	r := regionOf(t, site, handKit())
	ground := regionOf(t, flat(plane.Rect(0, 0, 6000, 4000)), handKit())
	for _, c := range []struct {
		name string
		x, y float64
		want bool
	}{
		{"in the open", 2000, 3000, true},
		{"151 mm off the edge", 151, 3000, true},
		{"149 mm off the edge", 149, 3000, false},
		{"past the edge", -10, 3000, false},
		{"over the opening", 5000, 1500, false},
		{"149 mm off the opening", 4351, 1500, false},
		{"151 mm off the opening", 4349, 1500, true},
		{"96 mm off the column: plate and clearance", 3246, 2000, true},
		{"94 mm off the column", 3244, 2000, false},
		{"in the passage", 1200, 1200, false},
		{"74 mm off the passage", 1574, 1200, false},
		{"76 mm off the passage", 1576, 1200, true},
	} {
		if got := r.canStand(c.x, c.y); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
	if !ground.canStand(-500, 3000) {
		t.Error("on ground a prop stands anywhere")
	}
}

// Another zone hangs in the way.
func TestOtherZonesAreBlocks(t *testing.T) {
	site := flat(plane.Rect(0, 0, 6000, 4000))
	site.Zones = append(site.Zones, deck.Zone{Name: "drop", Shapes: []plane.Shape{{Outer: plane.Rect(2000, 1000, 3000, 2000)}}})
	r := regionOf(t, site, handKit())
	if r.free(2500, 2600, 1500, 1600) || !r.free(3021, 3100, 1500, 1600) {
		t.Error("the drop reaches from 2000 to 3000 and keeps 20 mm clear")
	}
}
