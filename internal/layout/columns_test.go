package layout

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// Joists at 600 mm under a plain slab of 6 m x 4 m, the first half a width
// before the border: -40, 560, ... 5960, each needed from 0 to 4 m.
func TestColumnsOfAPlainSlab(t *testing.T) {
	r := regionOf(t, flat(plane.Rect(0, 0, 6000, 4000)), handKit())
	cols := r.columns(pitchPlan{x0: -40, pitch: 600, sheet: 2400, over: 300, light: 300, rowH: 1200}, 40)
	if len(cols) != 11 {
		t.Fatalf("%d columns, want 11", len(cols))
	}
	for i, c := range cols {
		near(t, "x", c.x, -40+600*float64(i), 1e-9)
		sameSpans(t, "need", c.need, plane.Spans{{A: 0, B: 4000}}, 1e-6)
		if c.filler {
			t.Errorf("a filler at %g", c.x)
		}
	}
	// Pitch 700 over 6 m from 0: the last is at 5600, 400 mm from the border and
	// so farther than the 300 that a sheet may reach. A filler stands between.
	cols = r.columns(pitchPlan{x0: 0, pitch: 700, sheet: 2400, over: 300, light: 300, rowH: 1200}, 40)
	last := cols[len(cols)-1]
	if len(cols) != 10 || !last.filler || last.x < 5700 || last.x > 5940 {
		t.Errorf("%d columns, the last %+v", len(cols), last)
	}
}

// Whatever stands in the deck: joists lie where they are free, in order, and
// need no more than they have.
func TestColumnsAroundBlocks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(lo, hi int, name string) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, name)) }
		block := turned(num(0, 6000, "x"), num(0, 4000, "y"), num(200, 1500, "long"), num(200, 400, "wide"), num(0, 90, "turn"))
		k := handKit()
		r := regionOf(t, flat(plane.Rect(0, 0, 6000, 4000), block), k)
		p := pitchPlan{x0: -num(0, 599, "x0"), pitch: num(350, 600, "pitch"), sheet: 2400, over: 250, light: 250, rowH: 1200}
		const half = 40.0
		cols := r.columns(p, half)
		last := math.Inf(-1)
		for _, c := range cols {
			if c.x < last {
				t.Error("columns lie out of order")
			}
			last = c.x
			if len(c.need) == 0 {
				t.Errorf("a column at %g that nothing needs", c.x)
			}
			if plane.Minus(c.need, c.free).Total() > 1e-6 {
				t.Errorf("a column at %g is needed over %v and free over %v", c.x, c.need, c.free)
			}
			for _, s := range c.free {
				if !r.free(c.x-half, c.x+half, s.A, s.B) {
					t.Errorf("a column at %g is called free over %v", c.x, s)
				}
			}
		}
		// Between the columns at their pitch no gap is wider than the pitch where nothing stands.
		for y := 12.5; y < 4000; y += 100 {
			if len(r.blocked[r.rowOf(y)]) > 0 {
				continue
			}
			prev := -p.over
			for _, c := range cols {
				if _, ok := c.need.Around(y); !ok {
					continue
				}
				if c.x-prev > p.pitch+1e-6 && prev > 0 || prev <= 0 && c.x > p.over+half+1e-6 && c.x > p.pitch {
					t.Errorf("at y %g no joist from %g to %g, the pitch is %g", y, prev, c.x, p.pitch)
				}
				prev = math.Max(prev, c.x)
			}
		}
	})
}

// Where nothing stands the pitch starts where it is asked to, and other starts
// lie 35 mm or more from it and each other, within one pitch.
func TestAnchors(t *testing.T) {
	const half, over, pitch = 40.0, 250.0, 600.0
	r := regionOf(t, flat(plane.Rect(0, 0, 6000, 4000)), handKit())
	at, _ := r.anchors(-40, pitch, half, over)
	if at[0] != -40 {
		t.Errorf("starts at %g", at[0])
	}
	for i, x := range at {
		if x > -40 || x <= -40-pitch {
			t.Errorf("a start at %g", x)
		}
		for _, o := range at[:i] {
			if math.Abs(x-o) < 35 {
				t.Errorf("starts at %g and %g", o, x)
			}
		}
	}
	// A wall of 4 m from 2800 to 3000. Beside it the first joist can lie at 20 + 2 x 40
	// = 100 mm. A distance d of the first is bad where the sheet reaches too far past
	// it, d + 40 > 250, and yet no filler goes between, d < 100 + 3 x 40 + 5.
	r = regionOf(t, flat(plane.Rect(0, 0, 6000, 4000), plane.Rect(2800, 0, 3000, 4000)), handKit())
	bad := func(x0 float64) bool {
		for x := x0; x < 6000; x += pitch {
			for _, d := range []float64{x - 3000, 2800 - x} {
				if d > 210 && d < 225 {
					return true
				}
			}
		}
		return false
	}
	// 2800 - 220 = 2580 lies 180 past a multiple of 600: asked to start at 180 - 600,
	// 220 mm from the wall's left face, the pitch starts elsewhere.
	if x0 := 180.0 - 600; !bad(x0) {
		t.Fatal("the example is not bad")
	} else if at, _ := r.anchors(x0, pitch, half, over); at[0] == x0 || bad(at[0]) {
		t.Errorf("starts at %g", at[0])
	}
	if x0 := -40.0; bad(x0) {
		t.Fatal("the example is not good")
	} else if at, _ := r.anchors(x0, pitch, half, over); at[0] != x0 {
		t.Errorf("nothing is gained by starting at %g", at[0])
	}
}

// Stringer lines for a plain slab of 6 m x 8 m: in order, no bay longer than
// joists span, the first and last near enough to the borders for an overhang.
func TestSearchLines(t *testing.T) {
	for i, moment := range []float64{2e3, 5e3, 9e3, 9e3} { // joists at 600 mm, 8 x 0.6 x 1.15 = 5.52 kN/m
		k := handKit()
		if i == 3 {
			k.joists = k.joists[:2] // of 2.45 m at the most
		}
		longest := k.joists[len(k.joists)-1].len
		k.joistRes.Moment = quantity.Moment(moment)
		k.propLoad = 25e3
		r := regionOf(t, flat(plane.Rect(0, 0, 6000, 8000)), k)
		p := pitchPlan{x0: -40, pitch: 600, sheet: 2400, over: 300, light: 300, rowH: 1200}
		cols := r.columns(p, 40)
		pat, ok := newLinePlan(k, r, cols, p).search()
		if !ok {
			t.Fatalf("M %g: no lines", moment)
		}
		// One span holds √(8 M/q), an overhang √(2 M/q).
		span, over := 1000*math.Sqrt(8*moment/5520), 1000*math.Sqrt(2*moment/5520)
		first, last := pat.lines[0].y, pat.lines[len(pat.lines)-1].y
		if first > over+1 || first < 0 || 8000-last > over+1 || last > 8000 {
			t.Errorf("M %g: lines from %g to %g, an overhang holds %g", moment, first, last, over)
		}
		for i := 1; i < len(pat.lines); i++ {
			if bay := pat.lines[i].y - pat.lines[i-1].y; bay > span+1 || bay <= 0 {
				t.Errorf("M %g: a bay of %g, a span holds %g", moment, bay, span)
			}
		}
		// From lap to lap no longer than joists are, with half a lap of 150 mm past both ends.
		at := 0.0
		for _, l := range pat.lines {
			if l.lap {
				if l.y+150-at > longest+1e-6 {
					t.Errorf("M %g: a joist from %g past a lap at %g", moment, at, l.y)
				}
				at = l.y - 150
			}
		}
		if 8000-at > longest+1e-6 {
			t.Errorf("M %g: a joist from %g to the border", moment, at)
		}
	}
}
