package audit

import (
	"math"
	"slices"
	"strings"
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/member"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// The small deck of these tests, drawn by hand. One sheet of 2.4 m x 1.2 m lies
// on three joists at x = 0, 1.2 and 2.4 m, these on two stringers at y = 0 and
// 1.2 m, and under every crossing stands a prop:
//
//	y 1200  B ---o---------o---------o---
//	             |         |         |
//	             J1        J2        J3
//	             |         |         |
//	y    0  A ---o---------o---------o---
//	        x    0       1200      2400
//
// Loads, basis us, all working loads: 200 mm of concrete at 25 kN/m3 is 5.0
// kN/m2; live load 2.5 (more than the least of ACI 347R-14, 50 psf = 2.39);
// forms 0.5, an allowance that the light parts below stay under. In all
//
//	q = 8.0 kN/m2, on 2.4 m x 1.2 m: 23.04 kN.
//
// Parts have round resistances: every factor of theirs is 1.
const (
	q         = 8000.0 // N/m2
	wholeLoad = q * 2.4 * 1.2

	sheetEI = 1e5 // N·m2 per m, strong way; the weak way has half of it
	beamEI  = 1e6 // N·m2
	beamM   = 10e3
	beamV   = 20e3
	propP   = 20e3 // N, rated
	propOwn = 20 * 9.80665

	soffit = 3000.0
)

func known[T ~float64](v T) catalog.Value[T] {
	return catalog.Value[T]{V: v, Known: true, Source: "this test"}
}

// smallParts: heights from the soffit down are 20 + 200 + 200 mm, then 80 mm of
// head and 2.5 m of prop.
func smallParts() map[string]*catalog.Part {
	sheet := &catalog.Part{ID: "sheet", Kind: catalog.Sheet, APA: &catalog.APAPanel{
		KSPar: known[quantity.Ratio](2e-4), KSPerp: known[quantity.Ratio](1e-4), // 2.0 and 1.0 kN·m/m
		IbQPar: known[quantity.Ratio](0.02), IbQPerp: known[quantity.Ratio](0.01), // 10 and 5 kN/m
		IPar: known[quantity.Ratio](1e-5), IPerp: known[quantity.Ratio](5e-6), // 100 and 50 kN·m2/m
		Fb: known[quantity.Stress](10e6), Fs: known[quantity.Stress](0.5e6), E: known[quantity.Stress](10e9), Ee: known[quantity.Stress](10e9),
	}}
	sheet.Length, sheet.Width, sheet.Depth, sheet.Mass.V = known[quantity.Length](2.4), known[quantity.Length](1.2), known[quantity.Length](0.02), 20
	beam := &catalog.Part{ID: "beam", Kind: catalog.Beam, IBeam: &catalog.IBeam{
		Mk: known[quantity.Moment](beamM), Vk: known[quantity.Force](beamV), Rk: known[quantity.Force](beamV), EI: known[quantity.EI](beamEI),
		Kmod: known[quantity.Ratio](1), GammaM: known[quantity.Ratio](1), GammaF: known[quantity.Ratio](1),
	}}
	beam.Length, beam.Width, beam.Depth, beam.Mass.V = known[quantity.Length](2.6), known[quantity.Length](0.08), known[quantity.Length](0.2), 10
	prop := &catalog.Part{ID: "prop", Kind: catalog.Prop,
		Shore: &catalog.PropProps{Longest: known[quantity.Length](3.5), Shortest: known[quantity.Length](2.0),
			HolePitch: known[quantity.Length](0.1), Thread: known[quantity.Length](0.12), Plate: known[quantity.Length](0.12)},
		Rated: &catalog.Rating{Load: known[quantity.Force](propP), Factor: known[quantity.Ratio](3)}}
	prop.Mass.V = 15
	head := &catalog.Part{ID: "head", Kind: catalog.Head, Seat: &catalog.HeadProps{Type: "drop", Beams: 2,
		Height: known[quantity.Length](0.08), Drop: known[quantity.Length](0.06), SeatLong: known[quantity.Length](0.16), SeatWide: known[quantity.Length](0.16)}}
	head.Mass.V = 5
	return map[string]*catalog.Part{"sheet": sheet, "beam": beam, "prop": prop, "head": head,
		"tie": {ID: "tie", Kind: catalog.Tie}, "brace": {ID: "brace", Kind: catalog.Brace}}
}

// small is the deck, ready to be tampered with.
func small() *deck.Document {
	s := rules.Defaults(rules.US)
	s.ConcreteWeight, s.LiveLoad, s.FormAllowance = 25000, 2500, 500
	slab := []plane.Shape{rect(0, 0, 2400, 1200)}
	doc := &deck.Document{Settings: s, Parts: smallParts(),
		Choices: deck.Choices{Bearing: 25, LapMin: 300, EdgeOfStand: 150, TieLoad: 5000, BraceLoad: 5000, HoldDown: 1000, GuardPitch: 1800}}
	p := deck.Pour{Name: "P", Site: deck.Site{
		Zones: []deck.Zone{{Name: "slab", Shapes: slab, Thickness: 200, Soffit: soffit}}, Slab: slab,
		Stand: []plane.Shape{rect(-5000, -5000, 7400, 6200)}, TopZ: soffit + 200,
	}}
	d := &p.Deck
	d.Fields = []deck.Field{{Name: "I", Zone: "slab", Joists: 90}}
	d.Sheets = []deck.Sheet{sheetAt("S1", 0, 0, 2400, 1200)}
	for i, x := range []float64{0, 1200, 2400} {
		d.Joists = append(d.Joists, joistAt("J"+string(rune('1'+i)), x, -100, 1300))
	}
	for i, y := range []float64{0, 1200} {
		line := string(rune('A' + i))
		d.Stringers = append(d.Stringers, stringerAt(line, -100, 2500, y))
		for k, x := range []float64{0, 1200, 2400} {
			d.Props = append(d.Props, propAt(line+"-"+string(rune('1'+k)), x, y))
		}
	}
	d.Braces = []deck.Brace{
		{ID: "X", Part: "brace", At: plane.Point{0, 0}, Foot: plane.Point{-1500, 0}},
		{ID: "Y", Part: "brace", At: plane.Point{0, 0}, Foot: plane.Point{0, -1500}},
	}
	doc.Pours = []deck.Pour{p}
	return doc
}

func rect(x0, y0, x1, y1 float64) plane.Shape { return plane.Shape{Outer: plane.Rect(x0, y0, x1, y1)} }

func sheetAt(id string, x0, y0, x1, y1 float64) deck.Sheet {
	return deck.Sheet{ID: id, Field: "I", Part: "sheet", Shape: rect(x0, y0, x1, y1), Z: soffit}
}

func joistAt(id string, x, y0, y1 float64) deck.Member {
	return deck.Member{ID: id, Field: "I", Part: "beam", From: plane.Point{x, y0}, To: plane.Point{x, y1}, Top: soffit - 20}
}

func stringerAt(id string, x0, x1, y float64) deck.Member {
	return deck.Member{ID: id, Field: "I", Line: id, Part: "beam", From: plane.Point{x0, y}, To: plane.Point{x1, y}, Top: soffit - 220}
}

// propAt is set at hole 6: 2.00 m + 5 x 0.10 m = 2.50 m.
func propAt(id string, x, y float64) deck.Prop {
	return deck.Prop{ID: id, Kind: deck.Grade, Part: "prop", Head: "head", At: plane.Point{x, y}, Seat: soffit - 420, Length: 2500, Hole: 6, Under: "stringer"}
}

// without drops the props with these names.
func without(d *deck.Deck, ids ...string) {
	d.Props = slices.DeleteFunc(d.Props, func(p deck.Prop) bool { return slices.Contains(ids, p.ID) })
}

func theProp(d *deck.Deck, id string) *deck.Prop {
	return &d.Props[slices.IndexFunc(d.Props, func(p deck.Prop) bool { return p.ID == id })]
}

// tamper runs the audit on the small deck after a change to it.
func tamper(t interface{ Fatal(...any) }, change func(*deck.Document, *deck.Deck)) deck.Audit {
	doc := small()
	if change != nil {
		change(doc, &doc.Pours[0].Deck)
	}
	a, err := Run(doc, &doc.Pours[0])
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// indexed is an auditor that has read the deck and its loads and judged nothing yet.
func indexed(t *testing.T, doc *deck.Document) *auditor {
	t.Helper()
	a := &auditor{doc: doc, pour: &doc.Pours[0], site: &doc.Pours[0].Site, solver: member.NewSolver(), worst: map[[2]string]*worked{}, checks: map[[3]string]deck.Check{}}
	if err := a.index(); err != nil {
		t.Fatal(err)
	}
	if err := a.loads(); err != nil {
		t.Fatal(err)
	}
	return a
}

// failures are the findings that fail, as "member: what".
func failures(a deck.Audit) []string {
	var out []string
	for _, f := range a.Findings {
		if f.Fails {
			out = append(out, f.Member+": "+f.What)
		}
	}
	return out
}

// wantFailure asks for a failing finding of a member whose words start so.
func wantFailure(t *testing.T, a deck.Audit, member, words string) {
	t.Helper()
	for _, f := range failures(a) {
		if strings.HasPrefix(f, member+": "+words) {
			return
		}
	}
	t.Errorf("%q is not found to fail by %q; failures: %q", member, words, failures(a))
}

func wantNoFailure(t *testing.T, a deck.Audit) {
	t.Helper()
	if f := failures(a); len(f) > 0 {
		t.Errorf("fails though it holds: %q", f)
	}
}

// theCheck is the comparison of one kind at one member.
func theCheck(t *testing.T, a deck.Audit, member, kind, what string) deck.Check {
	t.Helper()
	for _, c := range a.Checks {
		if c.Member == member && c.Kind == kind && c.What == what {
			return c
		}
	}
	t.Errorf("no check of %s %s %s", member, kind, what)
	return deck.Check{Value: math.NaN(), Limit: math.NaN()}
}

// within compares to a share of what is wanted, or absolutely where that is 0.
func within(t interface{ Errorf(string, ...any) }, what string, got, want, share float64) {
	if tol := share * math.Max(math.Abs(want), 1e-3); !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.6g, want %.6g", what, got, want)
	}
}
