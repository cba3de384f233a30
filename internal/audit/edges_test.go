package audit

import (
	"math"
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// ACI 347R-14 4.2.3: the greater of 2 % of the dead load, 0.02 x 5.5 kN/m2 x
// 2.88 m2 = 0.317 kN, and 100 lb per foot of the edge that faces the load, 1.4594
// kN/m: along x on 1.2 m, along y on 2.4 m.
const edgeLoad = 100 * 4.4482216152605 / 0.3048

// Held sideways by what stands there and is rated 5 kN a piece.
func TestLateral(t *testing.T) {
	column := deck.Block{Kind: "column", Name: "C1", Ring: plane.Rect(2500, 500, 2800, 800), Ties: true}
	tie := func(x, y float64, block, dirs string) deck.Tie {
		return deck.Tie{ID: "T1", Part: "tie", At: plane.Point{x, y}, Block: block, Dirs: dirs}
	}
	brace := func(dx, dy float64) []deck.Brace {
		return []deck.Brace{{ID: "X", Part: "brace", At: plane.Point{1000, 1000}, Foot: plane.Point{1000 + dx, 1000 + dy}}}
	}
	for _, c := range []struct {
		name    string
		ties    []deck.Tie
		braces  []deck.Brace
		x, y    float64 // held, kN
		finding [2]string
	}{
		{name: "nothing"},
		{name: "a tie both ways", ties: []deck.Tie{tie(2500, 650, "C1", "xy")}, x: 5, y: 5},
		{name: "a tie along x", ties: []deck.Tie{tie(2500, 650, "C1", "x")}, x: 5},
		{name: "a tie 290 mm off", ties: []deck.Tie{tie(2210, 650, "C1", "xy")}, x: 5, y: 5},
		{name: "a tie 310 mm off", ties: []deck.Tie{tie(2190, 650, "C1", "xy")}, finding: [2]string{"T1", "the tie is not at C1"}},
		{name: "a tie to nothing", ties: []deck.Tie{tie(2500, 650, "C2", "xy")}, finding: [2]string{"T1", `the tie is at "C2"`}},
		{name: "a tie of no part", ties: []deck.Tie{{ID: "T1", At: plane.Point{2500, 650}, Block: "C1", Dirs: "xy"}}, finding: [2]string{"T1", `"" is no tie`}},
		{name: "a prop as a tie", ties: []deck.Tie{{ID: "T1", Part: "prop", At: plane.Point{2500, 650}, Block: "C1", Dirs: "xy"}}, finding: [2]string{"T1", `"prop" is no tie`}},
		{name: "a brace that the catalogue lacks", braces: []deck.Brace{{ID: "X", Part: "strut", At: plane.Point{1000, 1000}, Foot: plane.Point{1000, 3000}}}, finding: [2]string{"X", `"strut" is no brace`}},
		{name: "a brace along y", braces: brace(0, 2000), y: 5},
		{name: "a brace at 3 : 4", braces: brace(-1500, 2000), x: 5 * 0.36, y: 5 * 0.64}, // cos², sin²
		{name: "an upright brace", braces: brace(0, 299), finding: [2]string{"X", "the brace stands upright"}},
		{name: "a brace past the slab below", braces: brace(0, 9000), finding: [2]string{"X", "the foot of the brace is not on the slab below"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := tamper(t, func(doc *deck.Document, d *deck.Deck) {
				doc.Pours[0].Site.Blocks = []deck.Block{column}
				d.Ties, d.Braces = c.ties, c.braces
			})
			within(t, "held along x", a.Totals.TiesX, c.x*1e3, 1e-9)
			within(t, "held along y", a.Totals.TiesY, c.y*1e3, 1e-9)
			within(t, "load along x", a.Totals.LateralX, edgeLoad*1.2, 1e-9)
			within(t, "load along y", a.Totals.LateralY, edgeLoad*2.4, 1e-9)
			if c.x*1e3 < edgeLoad*1.2 {
				wantFailure(t, a, "deck", "lateral: along x")
			}
			if c.y*1e3 < edgeLoad*2.4 {
				wantFailure(t, a, "deck", "lateral: along y")
			}
			if c.x*1e3 >= edgeLoad*1.2 && c.y*1e3 >= edgeLoad*2.4 {
				wantNoFailure(t, a)
			}
			if c.finding[0] != "" {
				wantFailure(t, a, c.finding[0], c.finding[1])
			}
		})
	}
	// A column that is not cast yet holds nothing.
	a := tamper(t, func(doc *deck.Document, d *deck.Deck) {
		column.Ties = false
		doc.Pours[0].Site.Blocks = []deck.Block{column}
		d.Ties, d.Braces = []deck.Tie{tie(2500, 650, "C1", "xy")}, nil
	})
	wantFailure(t, a, "T1", `the tie is at "C1", which is no cast column`)
	within(t, "held", a.Totals.TiesX, 0, 1)
	// 12 % of the dead load is more than the edge load along x: 1.901 kN.
	a = tamper(t, func(doc *deck.Document, _ *deck.Deck) { doc.Settings.LateralShare = 0.12 })
	within(t, "load along x", a.Totals.LateralX, 0.12*5500*2.88, 1e-9)
}

// What a form from a to b covers of an edge of 2 m along y = 100.
func TestRun(t *testing.T) {
	e := deck.Edge{From: plane.Point{500, 100}, To: plane.Point{2500, 100}}
	for _, c := range []struct {
		name string
		a, b plane.Point
		want plane.Span
		ok   bool
	}{
		{"all", plane.Point{500, 100}, plane.Point{2500, 100}, plane.Span{A: 0, B: 2000}, true},
		{"backwards", plane.Point{2500, 100}, plane.Point{500, 100}, plane.Span{A: 0, B: 2000}, true},
		{"past both ends", plane.Point{0, 100}, plane.Point{3000, 100}, plane.Span{A: 0, B: 2000}, true},
		{"a part, 9 mm off", plane.Point{700, 109}, plane.Point{1700, 91}, plane.Span{A: 200, B: 1200}, true},
		{"11 mm off", plane.Point{700, 111}, plane.Point{1700, 100}, plane.Span{}, false},
		{"beyond", plane.Point{2600, 100}, plane.Point{2900, 100}, plane.Span{}, false},
		{"across", plane.Point{1000, 0}, plane.Point{1000, 1000}, plane.Span{}, false},
	} {
		got, ok := run(e, c.a, c.b)
		if ok != c.ok || ok && (math.Abs(got.A-c.want.A) > 0.1 || math.Abs(got.B-c.want.B) > 0.1) {
			t.Errorf("%s: %v %v, want %v %v", c.name, got, ok, c.want, c.ok)
		}
	}
}

// The edge at y = 0 needs a form as high as the slab, and kickers at its pitch:
// 2400 mm at 600 mm are 5.
func TestEdgeForms(t *testing.T) {
	form := deck.EdgeForm{ID: "E1", Part: "sheet", From: plane.Point{0, 0}, To: plane.Point{2400, 0}, Height: 200, Kicker: "kicker", Kickers: 5, Pitch: 600}
	for _, c := range []struct {
		name, member, words string
		change              func(*deck.EdgeForm)
	}{
		{"whole", "", "", nil},
		{"none", "edge", "edge 1 has 2400 mm without an edge form", func(f *deck.EdgeForm) { *f = deck.EdgeForm{} }},
		{"400 mm short", "edge", "edge 1 has 400 mm without an edge form", func(f *deck.EdgeForm) { f.To[0] = 2000 }},
		{"too low", "edge", "edge 1 has 2400 mm without an edge form", func(f *deck.EdgeForm) { f.Height = 190 }},
		{"a kicker short", "E1", "has 4 kickers, its pitch needs 5", func(f *deck.EdgeForm) { f.Kickers = 4 }},
		{"a strange part", "E1", `is part "none"`, func(f *deck.EdgeForm) { f.Part = "none" }},
		// Kickers at 1.2 m take w h²/2 x 1.2 m = 25 x 0.2²/2 x 1.2 = 0.6 kN, over 0.5.
		{"too wide apart", "E1", "edge form:", func(f *deck.EdgeForm) { f.Pitch, f.Kickers = 1200, 3 }},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := tamper(t, func(doc *deck.Document, d *deck.Deck) {
				doc.Parts["kicker"] = &catalog.Part{ID: "kicker", Kind: catalog.Kicker, Rated: &catalog.Rating{Load: known[quantity.Force](500)}}
				doc.Pours[0].Site.Edges = []deck.Edge{
					{From: plane.Point{0, 0}, To: plane.Point{2400, 0}, Kind: deck.Free},
					{From: plane.Point{2400, 0}, To: plane.Point{2400, 1200}, Kind: deck.Wall},
				}
				f := form
				if c.change != nil {
					c.change(&f)
				}
				if f.ID != "" {
					d.EdgeForms = []deck.EdgeForm{f}
				}
			})
			if c.words != "" {
				wantFailure(t, a, c.member, c.words)
				return
			}
			wantNoFailure(t, a)
		})
	}
}

// Guardrail posts 1.8 m apart along the outer border of a strip below the slab,
// and along its two ends, 600 mm long; none along the slab.
func TestGuardrail(t *testing.T) {
	for _, c := range []struct {
		name  string
		posts []float64 // x, on the outer border
		ok    bool
	}{
		{"at 1.2 m", []float64{0, 1200, 2400}, true},
		{"one left out", []float64{0, 2400}, false}, // 1200 mm to the nearest, more than 900 + 50
		{"the last 1 m in", []float64{0, 1400}, false},
	} {
		a := tamper(t, func(doc *deck.Document, d *deck.Deck) {
			doc.Parts["guard"] = &catalog.Part{ID: "guard", Kind: catalog.Guard, Rated: &catalog.Rating{Load: known[quantity.Force](1000)}}
			doc.Pours[0].Site.Strip = []plane.Shape{rect(0, -600, 2400, 0)}
			for i, x := range c.posts {
				d.Guards = append(d.Guards, deck.GuardPost{ID: "G" + string(rune('1'+i)), Part: "guard", At: plane.Point{x, -600}})
			}
		})
		found := false
		for _, f := range a.Findings {
			found = found || f.Member == "guardrail"
		}
		if found == c.ok {
			t.Errorf("%s: %q", c.name, failures(a))
		}
		// 200 lb at the top rail against 1 kN.
		within(t, "load of a post", theCheck(t, a, "G1", "guard", theGuardCheck(a)).Ratio, 200*4.4482216152605/1000, 1e-6)
	}
}

func theGuardCheck(a deck.Audit) string {
	for _, c := range a.Checks {
		if c.Kind == "guard" {
			return c.What
		}
	}
	return ""
}
