package layout

import (
	"math"
	"testing"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// Along an L of 3 m and 4 m.
func TestWalk(t *testing.T) {
	run := []plane.Point{{0, 0}, {3000, 0}, {3000, 4000}}
	for at, want := range map[float64]plane.Point{0: {0, 0}, 1500: {1500, 0}, 3000: {3000, 0}, 5000: {3000, 2000}, 7000: {3000, 4000}, 9000: {3000, 4000}} {
		if got := walk(run, at); got != want {
			t.Errorf("at %g: %v, want %v", at, got, want)
		}
	}
}

// A pitch written to a hundredth of a millimetre is never shorter than what it rounds.
func TestRoundUp(t *testing.T) {
	for v, want := range map[float64]float64{600: 600, 599.991: 600, 1000.0 / 3: 333.34, 599.99: 599.99} {
		if got := roundUp(v); math.Abs(got-want) > 1e-9 {
			t.Errorf("%g: %g, want %g", v, got, want)
		}
	}
}

// A brace's run against a column: through it, past it, and up to its face.
func TestCrosses(t *testing.T) {
	r := plane.Rect(1000, 1000, 1300, 1300)
	for _, c := range []struct {
		a, b plane.Point
		want bool
	}{
		{plane.Point{0, 1100}, plane.Point{3000, 1100}, true},
		{plane.Point{0, 900}, plane.Point{3000, 900}, false},
		{plane.Point{0, 1100}, plane.Point{990, 1100}, false},
		{plane.Point{0, 1100}, plane.Point{1150, 1150}, true},   // ends inside
		{plane.Point{900, 1150}, plane.Point{1150, 900}, true},  // x + y = 2050, the near corner is at 2000
		{plane.Point{900, 1050}, plane.Point{1050, 900}, false}, // 1950
	} {
		if got := crosses(r, c.a, c.b); got != c.want {
			t.Errorf("%v to %v: %v", c.a, c.b, got)
		}
	}
}

// Guardrails along the outer border of a strip at the right of a slab: its long
// side and its two ends, not the side at the slab.
func TestGuardRuns(t *testing.T) {
	site := flat(plane.Rect(0, 0, 6000, 4000))
	strip := plane.Rect(6000, 0, 6600, 4000)
	got := guardRuns(site, []plane.Ring{strip})
	total := 0.0
	for _, r := range got {
		total += dist(r[0], r[1])
		if r[0][0] == 6000 && r[1][0] == 6000 {
			t.Error("a guardrail along the slab")
		}
	}
	if len(got) != 3 || total != 4000+2*600 {
		t.Errorf("%v", got)
	}
	site.Blocks = []deck.Block{{Kind: "wall", Ring: plane.Rect(6000, 4000, 6600, 4200)}} // a wall at one end
	if got := guardRuns(site, []plane.Ring{strip}); len(got) != 2 {
		t.Errorf("at a wall nobody falls: %v", got)
	}
}

// Four faces of each column at the slab, then every 2 m of a wall: 5 m give two.
// A block that is not cast yet gives none.
func TestTieSpots(t *testing.T) {
	site := flat(plane.Rect(0, 0, 6000, 4000))
	site.Blocks = []deck.Block{
		{Kind: "column", Name: "C1", Ring: plane.Rect(2850, 1850, 3150, 2150), Ties: true},
		{Kind: "column", Name: "C2", Ring: plane.Rect(850, 1850, 1150, 2150), Ties: false},
		{Kind: "wall", Name: "W", Ring: plane.Rect(0, 4000, 5000, 4200), Ties: true},
	}
	site.Slab[0].Holes = []plane.Ring{plane.Rect(2850, 1850, 3150, 2150), plane.Rect(850, 1850, 1150, 2150)}
	count := map[string]int{}
	for _, s := range tieSpots(site) {
		count[s.block]++
		switch s.block {
		case "C1":
			if d := dist(s.at, plane.Point{3000, 2000}); math.Abs(d-150) > 1e-9 {
				t.Errorf("a tie at %v is not at the middle of a face", s.at)
			}
		case "W":
			if s.at[1] != 4000 || s.at[0] != 4000 && s.at[0] != 2000 && s.at[0] != 1000 && s.at[0] != 3000 {
				t.Errorf("a tie to the wall at %v", s.at)
			}
		}
	}
	if count["C1"] != 4 || count["C2"] != 0 || count["W"] != 2 {
		t.Errorf("%v", count)
	}
}

// The foot of a brace at 0.85 of the prop's height, on the side where the slab
// below goes on and no column stands.
func TestBraceFoot(t *testing.T) {
	p := deck.Prop{At: plane.Point{2000, 2000}, Seat: 2600, Base: 100} // 2500 x 0.85 = 2125
	for _, c := range []struct {
		name  string
		stand plane.Ring
		block plane.Ring
		dir   int
		want  plane.Point
		ok    bool
	}{
		{"along x", plane.Rect(-9000, -9000, 9000, 9000), nil, 0, plane.Point{4125, 2000}, true},
		{"along y", plane.Rect(-9000, -9000, 9000, 9000), nil, 1, plane.Point{2000, 4125}, true},
		{"the slab below ends", plane.Rect(-9000, -9000, 4000, 9000), nil, 0, plane.Point{-125, 2000}, true},
		{"a column in the way", plane.Rect(-9000, -9000, 9000, 9000), plane.Rect(3000, 1900, 3200, 2100), 0, plane.Point{-125, 2000}, true},
		{"no room on either side", plane.Rect(0, -9000, 4000, 9000), nil, 0, plane.Point{}, false},
	} {
		site := flat(plane.Rect(0, 0, 6000, 4000))
		site.OnGround, site.Stand = false, []plane.Shape{{Outer: c.stand}}
		if c.block != nil {
			site.Blocks = []deck.Block{{Kind: "column", Ring: c.block}}
		}
		got, ok := braceFoot(&Input{Site: site}, p, c.dir, nil)
		if ok != c.ok || ok && got != c.want {
			t.Errorf("%s: %v %v, want %v %v", c.name, got, ok, c.want, c.ok)
		}
	}
	if _, ok := braceFoot(&Input{Site: flat(plane.Rect(0, 0, 6000, 4000))}, p, 0, []deck.Brace{{At: p.At}}); ok {
		t.Error("two braces at one prop")
	}
}
