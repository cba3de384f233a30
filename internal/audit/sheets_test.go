package audit

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// shortJoists ends all joists at y = end, with their stringer 100 mm before.
func shortJoists(d *deck.Deck, end float64) {
	for i := range d.Joists {
		d.Joists[i].To[1] = end
	}
	b := &d.Stringers[1]
	b.From[1], b.To[1] = end-100, end-100
	for i := range d.Props {
		if strings.HasPrefix(d.Props[i].ID, "B") {
			d.Props[i].At[1] = end - 100
		}
	}
}

// Past the ends of the joists the sheet hangs the weak way: over c it sees
// q c²/2, q c and q c⁴/8 EI, here with half the stiffness and strength. An
// overhang counts as a span of twice its length: 2c/360, at most 1/16 in.
func TestSheetPastJoists(t *testing.T) {
	for _, c := range []struct{ end, over, limit float64 }{
		{1100, 0.1, 0.2 / 360}, {1000, 0.2, 0.4 / 360}, {900, 0.3, 0.0254 / 16},
	} {
		a := tamper(t, func(_ *deck.Document, d *deck.Deck) { shortJoists(d, c.end) })
		wantNoFailure(t, a)
		for _, l := range []struct {
			what         string
			value, limit float64
		}{
			{"bending along the joists", q * c.over * c.over / 2, 1000},
			{"rolling shear along the joists", q * c.over, 5000},
			{"deflection along the joists", q * math.Pow(c.over, 4) / (8 * sheetEI / 2), c.limit},
		} {
			got := theCheck(t, a, "S1", "sheet", l.what)
			within(t, l.what, got.Value, l.value, 1e-6)
			within(t, "limit of "+l.what, got.Limit, l.limit, 1e-6)
		}
		within(t, "reactions", a.Totals.Reactions, wholeLoad, 1e-3)
	}
	// Joists that end before the middle of the sheet, far out: it tips.
	a := tamper(t, func(_ *deck.Document, d *deck.Deck) { shortJoists(d, 250) })
	wantFailure(t, a, "S1", "the sheet would tip")
}

// How far past the joists' ends the weak way holds: the least of what bending,
// rolling shear and deflection allow, and 300 mm.
func TestReachPast(t *testing.T) {
	for _, c := range []struct {
		name          string
		ks, ibq, i, x float64
	}{
		{"capped", 1e-4, 0.01, 5e-6, 0.3},
		{"bending", 1e-5, 0.01, 5e-6, math.Sqrt(2 * 100 / q)},
		{"rolling shear", 1e-4, 0.002, 5e-6, 1000 / q},
		{"deflection", 1e-4, 0.01, 1e-7, math.Cbrt(8 * 1e-7 * 10e9 * 2 / 360 / q)}, // q c⁴/8EI = 2c/360
	} {
		doc := small()
		p := doc.Parts["sheet"].APA
		p.KSPerp.V, p.IbQPerp.V, p.IPerp.V = quantity.Ratio(c.ks), quantity.Ratio(c.ibq), quantity.Ratio(c.i)
		a := indexed(t, doc)
		within(t, c.name, a.reachPast(a.plates[0]), c.x*1000, 1e-4)
	}
}

// Face grain along the joists: the weak way carries, with a caution.
func TestGrainAlongJoists(t *testing.T) {
	a := tamper(t, func(_ *deck.Document, d *deck.Deck) { d.Sheets[0].Grain = 90 })
	within(t, "moment", theCheck(t, a, "S1", "sheet", "bending").Ratio, 1.44, 1e-3) // q L²/8 = 1.44 over 1.0 kN·m/m
	wantFailure(t, a, "S1", "sheet: bending")
	if !slices.ContainsFunc(a.Findings, func(f deck.Finding) bool { return !f.Fails && strings.HasPrefix(f.What, "the face grain runs along") }) {
		t.Error("no caution")
	}
}

// A sheet on two joists at 0.6 and 1.8 m reaches 0.6 m past both: q c²/2 over
// them. The shear is greatest in the span with one overhang bare but for its
// forms, p = 7.5 of the 8 kN/m2 away: q L/2 + p c²/2 / L. Each joist gets half
// of the sheet.
func TestSheetOverhangs(t *testing.T) {
	const c, l, p = 0.6, 1.2, 7500
	a := tamper(t, func(_ *deck.Document, d *deck.Deck) {
		d.Joists = []deck.Member{joistAt("J1", 600, -100, 1300), joistAt("J2", 1800, -100, 1300)}
	})
	within(t, "moment", theCheck(t, a, "S1", "sheet", "bending").Value, q*c*c/2, 1e-3)
	within(t, "shear", theCheck(t, a, "S1", "sheet", "rolling shear").Value, q*l/2+p*c*c/2/l, 1e-3)
	within(t, "joist", theCheck(t, a, "J1", "joist", "reaction").Value, q*2.4/2*1.2/2, 1e-3)
	within(t, "reactions", a.Totals.Reactions, wholeLoad, 1e-3)
}

// A sliver that lies wholly on one joist is carried, although it bears on less
// than the least bearing of 25 mm. The deck is 20 mm longer than one sheet; J3
// reaches from 2360 to 2440 mm.
func TestSliver(t *testing.T) {
	for _, c := range []struct {
		name  string
		split float64
		ok    bool
	}{{"wholly on the joist", 2400, true}, {"15 mm on it, 5 mm past it", 2425, false}} {
		a := tamper(t, func(doc *deck.Document, d *deck.Deck) {
			site := &doc.Pours[0].Site
			site.Slab = []plane.Shape{rect(0, 0, c.split+20, 1200)}
			site.Zones[0].Shapes = site.Slab
			d.Sheets = []deck.Sheet{sheetAt("S1", 0, 0, c.split, 1200), sheetAt("S2", c.split, 0, c.split+20, 1200)}
		})
		if c.ok {
			wantNoFailure(t, a)
			within(t, "load on the deck", a.Totals.Applied, q*2.42*1.2, 1e-6)
			within(t, "reactions", a.Totals.Reactions, q*2.42*1.2, 1e-3)
			continue
		}
		wantFailure(t, a, "S2", "part of the sheet rests on no joist")
		wantFailure(t, a, "S2", "the sheet would tip")
	}
}

// A narrow piece on one joist: nailed down up to 120 mm to each side of the
// joist's middle, no farther. J3 stands at 2.4 m, the first sheet ends there.
func TestNarrowPiece(t *testing.T) {
	for _, c := range []struct {
		wide float64
		ok   bool
	}{{119, true}, {122, false}} {
		a := tamper(t, func(doc *deck.Document, d *deck.Deck) {
			site := &doc.Pours[0].Site
			site.Slab = []plane.Shape{rect(0, 0, 2400+c.wide, 1200)}
			site.Zones[0].Shapes = site.Slab
			d.Sheets = append(d.Sheets, sheetAt("S2", 2400, 0, 2400+c.wide, 1200))
		})
		if c.ok {
			wantNoFailure(t, a)
			m := c.wide / 1000 // it is checked from the middle of the joist's near half, 20 mm in, at the least
			if got := theCheck(t, a, "S2", "sheet", "bending").Value; got > q*m*m/2 || got < q*(m-0.02)*(m-0.02)/2*0.99 {
				t.Errorf("moment of a piece that reaches %g mm: %g N·m/m", c.wide, got)
			}
			continue
		}
		wantFailure(t, a, "S2", "the sheet would tip")
	}
}

// Loads of strips are joined where they are alike, to 5 N/m and 1 %. In steps
// of 500 N/m none but equal ones are: not a newton may get lost or move.
func TestJoinLoads(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := &bar{len: 5000}
		num := func(lo, hi int, name string) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, name)) }
		var lies []piecewise
		for range rapid.IntRange(0, 12).Draw(t, "loads") {
			from := num(0, 4900, "from")
			l := piecewise{from: from, to: math.Min(5000, from+num(1, 2000, "long")), always: 500 * num(0, 1, "forms"), placing: 500 * num(0, 5, "placing")}
			l.deflect, l.service = l.always+l.placing, l.always+l.placing
			lies = append(lies, l)
		}
		sum := func(ls []piecewise) (force, moment float64) {
			for _, l := range ls {
				force += l.service * (l.to - l.from)
				moment += l.service * (l.to - l.from) * (l.from + l.to) / 2
			}
			return force, moment
		}
		b.loads = append(b.loads, lies...)
		b.joinLoads()
		for i, l := range b.loads {
			if i > 0 && l.from < b.loads[i-1].to-1e-9 {
				t.Errorf("pieces overlap: %+v", b.loads)
			}
			within(t, "forms and placing of a piece", l.always+l.placing, l.service, 1e-9)
		}
		force, moment := sum(lies)
		gotForce, gotMoment := sum(b.loads)
		within(t, "sum", gotForce, force, 1e-9)
		within(t, "moment about the end", gotMoment, moment, 1e-9)
	})
	// 1000 and 1008 N/m over 1 m and 3 m become one piece of their mean, 1006.
	b := &bar{loads: []piecewise{{to: 1000, placing: 1000, service: 1000}, {from: 1000, to: 4000, placing: 1008, service: 1008}}}
	b.joinLoads()
	if len(b.loads) != 1 {
		t.Fatalf("%+v", b.loads)
	}
	within(t, "mean", b.loads[0].placing, 1006, 1e-9)
}

// Supports beside a place in a strip.
func TestBeside(t *testing.T) {
	sp := stripPart{sup: []stripSup{{x: 100}, {x: 500}, {x: 900}}}
	for _, c := range []struct {
		x    float64
		l, r int
	}{{50, 0, 0}, {300, 0, 1}, {500, 0, 1}, {600, 1, 2}, {950, 2, 2}} {
		if l, r := sp.beside(c.x); l != c.l || r != c.r {
			t.Errorf("beside %g: %d and %d, want %d and %d", c.x, l, r, c.l, c.r)
		}
	}
}

// Of two joists end to end at one place, the one that ends short of the strip
// is left out where the other runs on under it.
func TestWhole(t *testing.T) {
	j, k, far := &bar{w: 80}, &bar{w: 80}, &bar{w: 80}
	short, on, other := rest{1000, 1000, j, 50}, rest{1080, 1080, k, -200}, rest{1100, 1100, far, -200}
	if got := whole([]rest{short, on}); len(got) != 1 || got[0].j != k {
		t.Errorf("%+v", got)
	}
	if got := whole([]rest{short, other}); len(got) != 2 { // 100 mm off is another place: over 1.1 x 80
		t.Errorf("%+v", got)
	}
	if got := whole([]rest{short}); len(got) != 1 {
		t.Errorf("%+v", got)
	}
}

// Joists that end halfway under the sheet, at 600 of 1200: the rest hangs 600 mm
// past them along the joists, M = 8 · 0.6²/2 = 1.44 kN·m/m, more than the weak way
// of 1.0 takes, and nothing of the sheet's half past the joists is a foot to stand
// on.
func TestSheetFarPastJoists(t *testing.T) {
	a := tamper(t, func(_ *deck.Document, d *deck.Deck) { shortJoists(d, 600) })
	wantFailure(t, a, "S1", "sheet: bending along the joists")
	within(t, "moment", theCheck(t, a, "S1", "sheet", "bending along the joists").Value, 1440, 1e-6)
	wantFailure(t, tamper(t, func(_ *deck.Document, d *deck.Deck) { shortJoists(d, 300) }), "S1", "the sheet would tip")
}

// Three joists side by side, 80 mm wide at 1000, 1080 and 1160; the first ends at
// 600. Up to there it is joined with the second, and the third stands by itself.
// Past its end it is left out first and the two that run on are joined: they lie
// there as any two do.
func TestThreeSideBySide(t *testing.T) {
	doc := small()
	d := &doc.Pours[0].Deck
	d.Joists = append(d.Joists[:1:1], joistAt("Ja", 1000, -100, 600), joistAt("Jb", 1080, -100, 1300), joistAt("Jc", 1160, -100, 1300), d.Joists[2])
	a := indexed(t, doc)
	for _, c := range []struct{ y0, y1, x1, x2 float64 }{{0, 600, 1040, 1160}, {600, 900, 1120, 2400}} {
		sp := a.stripPart(a.plates[0], strip{y0: c.y0, y1: c.y1}, plane.Span{A: 0, B: 2400}, a.bars[0])
		if len(sp.sup) < 3 {
			t.Fatalf("from %g to %g: %+v", c.y0, c.y1, sp.sup)
		}
		within(t, "first of them", sp.sup[1].x, c.x1, 1e-9)
		within(t, "next support", sp.sup[2].x, c.x2, 1e-9)
	}
}

// Joists 100 mm apart are two supports, more than 1.1 of their 80 mm, although a
// sheet that ends 15 mm short of the middle of the last one rests on it midway
// between 2360 and 2385, only 72.5 mm from the other.
func TestSheetEndsOnNearHalf(t *testing.T) {
	doc := small()
	d := &doc.Pours[0].Deck
	d.Joists = append(d.Joists[:2:2], joistAt("Ja", 2300, -100, 1300), d.Joists[2])
	d.Sheets[0] = sheetAt("S1", 0, 0, 2385, 1200)
	a := indexed(t, doc)
	sp := a.stripPart(a.plates[0], strip{y0: 0, y1: 1200}, plane.Span{A: 0, B: 2385}, a.bars[0])
	if len(sp.sup) != 4 {
		t.Fatalf("%+v", sp.sup)
	}
	within(t, "the one before", sp.sup[2].x, 2300, 1e-9)
	within(t, "the last", sp.sup[3].x, 2372.5, 1e-9)
}

// A sheet that ends at a joist's middle, whatever the last digits say, spans to
// there; one that ends 2 mm short rests midway between 2360 and 2398.
func TestSheetEndsAtMiddle(t *testing.T) {
	for _, c := range []struct{ end, x float64 }{{2400, 2400}, {2400 - 1e-9, 2400}, {2400 + 1e-9, 2400}, {2399.2, 2399.2}, {2398, 2379}} {
		doc := small()
		doc.Pours[0].Deck.Sheets[0] = sheetAt("S1", 0, 0, c.end, 1200)
		a := indexed(t, doc)
		sp := a.stripPart(a.plates[0], strip{y0: 0, y1: 1200}, plane.Span{A: 0, B: c.end}, a.bars[0])
		within(t, "the last support", sp.sup[len(sp.sup)-1].x, c.x, 1e-9)
		if len(sp.sup) != 3 {
			t.Errorf("%+v", sp.sup)
		}
	}
}

// What hangs past a joist's end presses on the very end of it. J2 ends at 1000,
// its stringer B is at 900, and w = 10/8 q L lies on it from 0 to 1000 and from
// the 200 mm past it. Moments about A: R_B = w (1.0 · 0.5 + 0.2 · 1.0)/0.9.
func TestLoadPastJoistEnd(t *testing.T) {
	a := tamper(t, func(_ *deck.Document, d *deck.Deck) { shortJoists(d, 1000) })
	within(t, "J2 on B", theCheck(t, a, "J2", "joist", "reaction").Value, 1.25*q*1.2*0.7/0.9, 1e-3)
}

// Joists end to end with 400 mm between them: the sheet hangs 200 mm on either,
// M = q c²/2.
func TestGapEndToEnd(t *testing.T) {
	a := tamper(t, func(_ *deck.Document, d *deck.Deck) {
		d.Joists = nil
		for i, x := range []float64{0, 1200, 2400} {
			n := string(rune('1' + i))
			d.Joists = append(d.Joists, joistAt("J"+n+"a", x, -100, 400), joistAt("J"+n+"b", x, 800, 1300))
		}
		for _, y := range []float64{300, 900} {
			line := "L" + string(rune('0'+int(y/300)))
			d.Stringers = append(d.Stringers, stringerAt(line, -100, 2500, y))
			for k, x := range []float64{0, 1200, 2400} {
				d.Props = append(d.Props, propAt(line+"-"+string(rune('1'+k)), x, y))
			}
		}
	})
	wantNoFailure(t, a)
	within(t, "moment", theCheck(t, a, "S1", "sheet", "bending along the joists").Value, q*0.2*0.2/2, 1e-6)
	within(t, "reactions", a.Totals.Reactions, wholeLoad, 1e-3)
}
