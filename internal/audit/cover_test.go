package audit

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// What lies bare, by length times width. Scan lines 10 mm apart are exact for
// edges along them, and within a line's length else.
func TestBareDeck(t *testing.T) {
	for _, c := range []struct {
		name     string
		sheet    plane.Shape
		cm2, tol float64
	}{
		{"covered", rect(0, 0, 2400, 1200), 0, 0},
		{"100 mm aside: 100 x 1200", rect(100, 0, 2500, 1200), 1200, 0},
		{"100 mm up: 2400 x 100", rect(0, 100, 2400, 1300), 2400, 0},
		{"100 mm both ways: 240 000 + 120 000 - 10 000 mm2", rect(100, 100, 2500, 1300), 3500, 24},
		{"a slit of 3 mm: 3 x 1200", rect(0, 0, 2397, 1200), 36, 0},
		{"a slit of 3 mm between two lines along it, seen by those across: 2400 x 3", rect(0, 3, 2400, 1200), 72, 0},
		{"a corner sawn off: 300²/2", plane.Shape{Outer: plane.Ring{{0, 0}, {2400, 0}, {2400, 900}, {2100, 1200}, {0, 1200}}}, 450, 4.5},
		{"a hole of 100 x 100", plane.Shape{Outer: plane.Rect(0, 0, 2400, 1200), Holes: []plane.Ring{plane.Rect(550, 550, 650, 650)}}, 100, 10},
		{"bigger than the deck", rect(-50, -50, 2450, 1250), 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := tamper(t, func(_ *deck.Document, d *deck.Deck) { d.Sheets[0].Shape = c.sheet })
			if math.Abs(a.BareCm2-c.cm2) > c.tol+0.01 {
				t.Errorf("%g cm2 lie bare, want %g", a.BareCm2, c.cm2)
			}
			found := false
			for _, f := range failures(a) {
				found = found || strings.Contains(f, "lie under no sheet")
			}
			if found != (c.cm2 > 50) { // docs/plan-json.md, Cover and clashes
				t.Errorf("found: %v; failures %q", found, failures(a))
			}
		})
	}
}

// A sheet 2 mm below the soffit covers nothing: the whole 2.88 m2 lie bare.
func TestSheetAtAnotherHeight(t *testing.T) {
	a := tamper(t, func(_ *deck.Document, d *deck.Deck) { d.Sheets[0].Z -= 2 })
	within(t, "bare", a.BareCm2, 28800, 1e-9)
	a = tamper(t, func(_ *deck.Document, d *deck.Deck) { d.Sheets[0].Z -= 1 })
	within(t, "bare", a.BareCm2, 0, 1e-9)
}

// The working strip is deck to cover as well: 300 mm of it along 2.4 m.
func TestBareStrip(t *testing.T) {
	a := tamper(t, func(doc *deck.Document, _ *deck.Deck) {
		doc.Pours[0].Site.Strip = []plane.Shape{rect(0, -300, 2400, 0)}
	})
	within(t, "bare", a.BareCm2, 7200, 1e-9)
}

// Sheets on each other, by length times width.
func TestOverlap(t *testing.T) {
	for _, c := range []struct {
		name   string
		sheets []deck.Sheet
		words  string
	}{
		{"side by side", []deck.Sheet{sheetAt("S1", 0, 0, 1200, 1200), sheetAt("S2", 1200, 0, 2400, 1200)}, ""},
		{"100 mm on each other", []deck.Sheet{sheetAt("S1", 0, 0, 1250, 1200), sheetAt("S2", 1150, 0, 2400, 1200)}, "sheets lie on each other over 1200 cm2"},
		{"3 mm, 36 cm2 in all: sawing", []deck.Sheet{sheetAt("S1", 0, 0, 1201.5, 1200), sheetAt("S2", 1198.5, 0, 2400, 1200)}, ""},
		{"a corner of 150 x 150 mm", []deck.Sheet{sheetAt("S1", 0, 0, 1200, 700), sheetAt("S2", 1050, 550, 2400, 1200)}, "sheets lie on each other over 225 cm2"},
		{"one above the other", []deck.Sheet{sheetAt("S1", 0, 0, 2400, 650), sheetAt("S2", 0, 600, 2400, 1200)}, "sheets lie on each other over 1200 cm2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := tamper(t, func(doc *deck.Document, d *deck.Deck) {
				d.Sheets = c.sheets
				doc.Settings.DeflectionMaxSheet = 0 // half sheets have one span and sag more
			})
			if c.words != "" {
				wantFailure(t, a, "deck", c.words)
				return
			}
			wantNoFailure(t, a)
		})
	}
}

// Scan lines stay in their own step, and no two steps alike.
func TestJitter(t *testing.T) {
	seen := map[float64]bool{}
	for k := range 1000 {
		j := jitter(k)
		if j < 0.05 || j > 0.95 || seen[j] {
			t.Fatalf("line %d at %g of its step", k, j)
		}
		seen[j] = true
	}
}

// The area that a beam's outline shares with another, against the shoelace sum
// of polygons known by hand.
func TestShared(t *testing.T) {
	square := plane.Rect(0, 0, 100, 100)
	for _, c := range []struct {
		name  string
		other plane.Ring
		want  float64
	}{
		{"a quarter", plane.Rect(50, 50, 200, 200), 2500},
		{"all of it", plane.Rect(-10, -10, 200, 200), 10000},
		{"inside", plane.Rect(20, 30, 40, 50), 400},
		{"touching", plane.Rect(100, 0, 200, 100), 0},
		{"apart", plane.Rect(150, 0, 200, 100), 0},
		// |x - 100| + |y - 50| <= 50 covers a triangle of base 100, height 50.
		{"half a diamond", plane.Ring{{150, 50}, {100, 100}, {50, 50}, {100, 0}}, 2500},
		{"clockwise", plane.Ring{{50, 50}, {50, 200}, {200, 200}, {200, 50}}, 2500},
		// An L around the square's corner: not convex.
		{"an L", plane.Ring{{0, 0}, {100, 0}, {100, 20}, {20, 20}, {20, 100}, {0, 100}}, 100*20 + 80*20},
	} {
		within(t, c.name, shared(square, c.other), c.want, 1e-9)
	}
	holed := plane.Shape{Outer: plane.Rect(-100, -100, 200, 200), Holes: []plane.Ring{plane.Rect(-5, -5, 105, 105)}}
	if overlapShape(square, holed) {
		t.Error("the square lies in the hole")
	}
	rapid.Check(t, func(t *rapid.T) { // two boxes: the product of what their sides share
		num := func(name string) float64 { return float64(rapid.IntRange(-200, 200).Draw(t, name)) }
		size := func(name string) float64 { return float64(rapid.IntRange(1, 300).Draw(t, name)) }
		ax, ay, bx, by := num("ax"), num("ay"), num("bx"), num("by")
		aw, ah, bw, bh := size("aw"), size("ah"), size("bw"), size("bh")
		side := func(a, aw, b, bw float64) float64 { return math.Max(0, math.Min(a+aw, b+bw)-math.Max(a, b)) }
		got := shared(plane.Rect(ax, ay, ax+aw, ay+ah), plane.Rect(bx, by, bx+bw, by+bh))
		within(t, "shared", got, side(ax, aw, bx, bw)*side(ay, ah, by, bh), 1e-9)
	})
}

// Members and blocks in each other, by name.
func TestClashes(t *testing.T) {
	column := func(x, y, half float64) deck.Block {
		return deck.Block{Kind: "column", Name: "C1", Ring: plane.Rect(x-half, y-half, x+half, y+half), Ties: true}
	}
	block := func(b deck.Block) func(*deck.Document, *deck.Deck) {
		return func(doc *deck.Document, _ *deck.Deck) { doc.Pours[0].Site.Blocks = []deck.Block{b} }
	}
	for _, c := range []struct {
		name, member, words string
		change              func(*deck.Document, *deck.Deck)
	}{
		{"a joist through a column", "J2", "the joist runs into C1", block(column(1250, 600, 150))},
		{"a sheet on a column: 300 x 300 mm", "S1", "the sheet runs 900 cm2 into C1", block(column(600, 600, 150))},
		{"a stringer through a wall", "B", "the stringer runs into W", block(deck.Block{Kind: "wall", Name: "W", Ring: plane.Rect(500, 1100, 700, 1400)})},
		{"a prop in a column", "A-1", "the prop stands in C1", block(column(0, 0, 100))},
		{"a prop 30 mm beside a column", "A-1", "the prop stands in C1", block(column(130, 0, 100))},
		{"a prop 50 mm beside a column", "", "A-1: the prop stands", block(column(150, 0, 100))},
		{"joists in each other", "J2", "the joist lies in J4", func(_ *deck.Document, d *deck.Deck) { d.Joists = append(d.Joists, joistAt("J4", 1270, -100, 1300)) }},
		{"joists side by side", "", "J2", func(_ *deck.Document, d *deck.Deck) { d.Joists = append(d.Joists, joistAt("J4", 1280, -100, 1300)) }},
		{"props on one place", "A-1", "the prop stands on the place of prop A-4", func(_ *deck.Document, d *deck.Deck) { d.Props = append(d.Props, propAt("A-4", 80, 0)) }},
		{"props 90 mm apart", "", "A-1", func(_ *deck.Document, d *deck.Deck) { d.Props = append(d.Props, propAt("A-4", 90, 0)) }},
		{"a prop past the slab below", "A-1", "the prop stands over an opening or past the edge", func(doc *deck.Document, _ *deck.Deck) {
			doc.Pours[0].Site.Stand = []plane.Shape{rect(10, -5000, 5000, 5000)}
		}},
		{"a prop near its edge", "A-1", "the prop stands 100 mm from an edge of the slab below, less than 150 mm", func(doc *deck.Document, _ *deck.Deck) {
			doc.Pours[0].Site.Stand = []plane.Shape{rect(-100, -5000, 5000, 5000)}
		}},
		{"a prop over an opening below", "B-2", "the prop stands over an opening", func(doc *deck.Document, _ *deck.Deck) {
			doc.Pours[0].Site.Stand[0].Holes = []plane.Ring{plane.Rect(1100, 1100, 1300, 1300)}
		}},
		{"another zone's forms", "J3", "the joist runs into zone drop", func(doc *deck.Document, _ *deck.Deck) {
			s := &doc.Pours[0].Site
			s.Zones = append(s.Zones, deck.Zone{Name: "drop", Shapes: []plane.Shape{rect(2430, 0, 3000, 1200)}, Thickness: 400, Soffit: soffit - 200})
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := tamper(t, c.change)
			if c.member != "" {
				wantFailure(t, a, c.member, c.words)
				return
			}
			for _, f := range failures(a) {
				if strings.HasPrefix(f, c.words) {
					t.Errorf("fails though it is clear: %s", f)
				}
			}
		})
	}
}

// The corners of a bar lying at 30 degrees in a field whose joists run so.
func TestOutline(t *testing.T) {
	s, c := math.Sincos(30 * math.Pi / 180)
	f := &field{Field: &deck.Field{}, sin: s, cos: c}
	b := &bar{f: f, a: plane.Point{0, 0}, b: plane.Point{0, 1000}, len: 1000, w: 80}
	r := b.outline(10)
	within(t, "area", r.SignedArea(), 1020*100, 1e-9)
	for i, p := range r {
		q := f.in(p)
		if math.Abs(math.Abs(q[0])-50) > 1e-9 || (math.Abs(q[1]+10) > 1e-9 && math.Abs(q[1]-1010) > 1e-9) {
			t.Errorf("corner %d at %v in the field", i, q)
		}
	}
	st, side := b.project(plane.Point{25, 400})
	within(t, "station", st, 400, 1e-9)
	within(t, "side", side, 25, 1e-9)
}
