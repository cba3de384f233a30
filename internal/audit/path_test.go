package audit

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// By hand, for the small deck. The sheet is a beam over two equal spans L = 1.2 m:
//
//	end reaction 3/8 q L = 3.6 kN/m, inner reaction 10/8 q L = 12 kN/m,
//	moment over the inner joist q L²/8, shear there 5/8 q L,
//	sag 0.0054161 q L⁴/EI (usual beam tables: q L⁴/185 EI).
//
// Each joist is simply supported over 1.2 m under what it gets of that, J2 under
// w = 12 kN/m and J1 under 3.6 kN/m; each end hands half to the prop below.
func TestSmallDeckByHand(t *testing.T) {
	const l, w = 1.2, 1.25 * q * 1.2
	a := tamper(t, nil)
	wantNoFailure(t, a)
	for _, c := range []struct {
		member, kind, what string
		value, limit       float64
	}{
		{"S1", "sheet", "bending", q * l * l / 8, 2000},
		{"S1", "sheet", "rolling shear", 0.625 * q * l, 10e3},
		{"S1", "sheet", "deflection", 0.0054161 * q * l * l * l * l / sheetEI, 0.0254 / 16}, // 1/16 in rules over L/360 = 3.3 mm
		{"J2", "joist", "bending", w * l * l / 8, beamM},
		{"J2", "joist", "shear", w * l / 2, beamV},
		{"J2", "joist", "reaction", w * l / 2, beamV},
		{"J2", "joist", "deflection", 5 * w * l * l * l * l / (384 * beamEI), l / 360},
		{"J1", "joist", "reaction", 0.375 * q * l * l / 2, beamV},
		{"A", "stringer", "bending", 0, beamM}, // every joist stands straight over a prop
		{"A", "stringer", "reaction", w * l / 2, beamV},
		{"A-1", "prop", "load", 0.375*q*l*l/2 + propOwn, propP},
		{"A-2", "prop", "load", w*l/2 + propOwn, propP},
		{"A-2", "head", "eccentricity", 0, 0.16 / 4},
		// A joist on its side: √(200² + 80²) - 200 = 15.407 mm, in the 60 mm drop of the head.
		{"A-2", "clearance", "tipping a joist out when the head is dropped", 0.0154066, 0.06},
	} {
		got := theCheck(t, a, c.member, c.kind, c.what)
		within(t, c.member+" "+c.what, got.Value, c.value, 1e-3)
		within(t, c.member+" limit of "+c.what, got.Limit, c.limit, 1e-9)
	}
	within(t, "load on the deck", a.Totals.Applied, wholeLoad, 1e-9)
	within(t, "reactions of the props", a.Totals.Reactions, wholeLoad, 1e-4)
}

// The same deck turned in plan is the same deck: forces do not know where north is.
func TestSmallDeckTurned(t *testing.T) {
	for _, deg := range []float64{30, 90, 137.3, -45} {
		a := tamper(t, func(doc *deck.Document, d *deck.Deck) {
			s, c := math.Sincos(deg * math.Pi / 180)
			turn := func(p plane.Point) plane.Point { return plane.Point{p[0]*c - p[1]*s, p[0]*s + p[1]*c} }
			site := &doc.Pours[0].Site
			site.Slab = []plane.Shape{site.Slab[0].Map(turn)}
			site.Zones[0].Shapes = site.Slab
			site.Stand = []plane.Shape{site.Stand[0].Map(turn)}
			d.Fields[0].Joists += deg
			d.Sheets[0].Shape, d.Sheets[0].Grain = d.Sheets[0].Shape.Map(turn), deg
			for _, list := range [][]deck.Member{d.Joists, d.Stringers} {
				for i := range list {
					list[i].From, list[i].To = turn(list[i].From), turn(list[i].To)
				}
			}
			for i := range d.Props {
				d.Props[i].At = turn(d.Props[i].At)
			}
		})
		wantNoFailure(t, a)
		within(t, "moment of the sheet", theCheck(t, a, "S1", "sheet", "bending").Value, 1440, 1e-3)
		within(t, "load of the middle prop", theCheck(t, a, "A-2", "prop", "load").Value, 7200+propOwn, 1e-3)
		within(t, "reactions", a.Totals.Reactions, wholeLoad, 1e-3)
		if a.BareCm2 > 5 {
			t.Errorf("turned by %g degrees, %g cm2 lie bare", deg, a.BareCm2)
		}
	}
}

// Whatever stands where: what goes in comes out at the props.
func TestReactionsEqualLoad(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		place := func(lo, hi int, name string) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, name)) }
		a := tamper(t, func(_ *deck.Document, d *deck.Deck) {
			d.Joists, d.Stringers, d.Props = nil, nil, nil
			x := place(0, 150, "first joist")
			for i := 0; x <= 2400; i++ {
				d.Joists = append(d.Joists, joistAt("J"+string(rune('a'+i)), x, -100, 1300))
				x += place(200, 900, "to the next joist")
			}
			for i, y := range []float64{place(-50, 300, "y of A"), place(500, 700, "y of B"), place(900, 1250, "y of C")} {
				if i == 1 && rapid.Bool().Draw(t, "no B") {
					continue
				}
				line := string(rune('A' + i))
				d.Stringers = append(d.Stringers, stringerAt(line, -100, 2500, y))
				at := place(-80, 400, "first prop")
				for k := 0; k < 2 || at <= 2400; k++ {
					d.Props = append(d.Props, propAt(line+"-"+string(rune('a'+k)), math.Min(at, 2480), y))
					at += place(300, 1100, "to the next prop")
				}
			}
		})
		// What the last joist does not reach of the sheet overhangs, but is carried.
		within(t, "load on the deck", a.Totals.Applied, wholeLoad, 1e-6)
		within(t, "reactions of the props", a.Totals.Reactions, wholeLoad, 1e-3)
	})
}

// Without its middle prop the stringer spans 2.4 m under the 7.2 kN of J2:
// M = P L/4 = 4.32 kN·m, V = P/2, deflection P L³/48 EI.
func TestMissingProp(t *testing.T) {
	weak := func(m quantity.Moment) deck.Audit {
		return tamper(t, func(doc *deck.Document, d *deck.Deck) {
			without(d, "A-2")
			own := *doc.Parts["beam"]
			i := *own.IBeam
			i.Mk.V = m
			own.ID, own.IBeam = "stringer", &i
			doc.Parts["stringer"] = &own
			d.Stringers[0].Part = "stringer"
		})
	}
	a := weak(4300)
	wantFailure(t, a, "A", "stringer: bending")
	if f := failures(a); len(f) != 1 {
		t.Errorf("only the stringer over the gap should fail: %q", f)
	}
	const p = 7200
	within(t, "M", theCheck(t, a, "A", "stringer", "bending").Value, p*2.4/4, 1e-3)
	within(t, "V", theCheck(t, a, "A", "stringer", "shear").Value, p/2, 1e-3)
	within(t, "deflection", theCheck(t, a, "A", "stringer", "deflection").Value, p*2.4*2.4*2.4/(48*beamEI), 1e-3)
	within(t, "load of A-1", theCheck(t, a, "A-1", "prop", "load").Value, 2160+p/2+propOwn, 1e-3)
	within(t, "reactions", a.Totals.Reactions, wholeLoad, 1e-3)
	wantNoFailure(t, weak(4350))
}

// A stringer on one prop tips; its load has no path to the ground.
func TestStringerOnOneProp(t *testing.T) {
	a := tamper(t, func(_ *deck.Document, d *deck.Deck) { without(d, "A-1", "A-3") })
	wantFailure(t, a, "A", "the stringer has 1 support(s); it needs two")
	wantFailure(t, a, "deck", "the props carry 12 kN of the 23 kN on the deck")
}

// On props at 0 and 1.2 m the stringer reaches 1.2 m past the last. Placed on
// its overhang alone (J3: 2.16 kN, of it forms 1/16, concrete and live 15/16)
// it tips about the middle prop: J1's forms hold the forms of J3, and the pull
// on the first prop is 15/16 of 2.16 kN.
func TestStringerThatTips(t *testing.T) {
	tips := func(rating float64) deck.Audit {
		return tamper(t, func(doc *deck.Document, d *deck.Deck) {
			without(d, "A-3")
			doc.Choices.HoldDown = rating
			doc.Settings.DeflectionMaxBeam = 0
		})
	}
	const pull = 2160.0 * 15 / 16
	a := tips(pull - 5)
	wantFailure(t, a, "A", "stringer: hold-down")
	within(t, "pull", theCheck(t, a, "A", "stringer", "hold-down").Value, pull, 1e-3)
	within(t, "M over the last prop", theCheck(t, a, "A", "stringer", "bending").Value, 2160*1.2, 1e-3)
	wantNoFailure(t, tips(pull+5))
}

// A prop to the side of its stringer bends its head: no more than a quarter of
// the seat's 160 mm.
func TestEccentricProp(t *testing.T) {
	for _, c := range []struct{ off, ratio float64 }{{0, 0}, {30, 0.75}, {-30, 0.75}, {39, 0.975}, {50, 1.25}, {-50, 1.25}} {
		a := tamper(t, func(_ *deck.Document, d *deck.Deck) { theProp(d, "B-2").At[1] += c.off })
		within(t, "eccentricity over its limit", theCheck(t, a, "B-2", "head", "eccentricity").Ratio, c.ratio, 1e-6)
		if c.ratio > 1 {
			wantFailure(t, a, "B-2", "head: eccentricity")
		} else {
			wantNoFailure(t, a)
		}
	}
	// Past half the seat and 2 mm it is under the stringer no more.
	a := tamper(t, func(_ *deck.Document, d *deck.Deck) { theProp(d, "B-2").At[1] += 83 })
	if !slices.ContainsFunc(a.Findings, func(f deck.Finding) bool {
		return f.Member == "B-2" && f.What == "the prop carries nothing: no stringer lies on its head"
	}) {
		t.Errorf("a prop beside its stringer carries nothing: %+v", a.Findings)
	}
	within(t, "reactions", a.Totals.Reactions, wholeLoad, 1e-3) // its neighbours take it
}

// Two stringers side by side on one head, loads 2 : 1, at ±40 mm: the load lies
// (2 - 1)/3 x 40 mm from the middle. Three on it are one too many.
func TestBeamsOnAHead(t *testing.T) {
	a := &auditor{doc: small(), checks: map[[3]string]deck.Check{}, worst: map[[2]string]*worked{}}
	head := a.doc.Parts["head"]
	p := &post{Prop: &deck.Prop{ID: "p"}, head: head, on: make([]*bar, 2), byBar: []float64{2000, 1000}, sides: []float64{40, -40}}
	a.headChecks(p)
	within(t, "e", a.checks[[3]string{"p", "head", "eccentricity"}].Value, 0.04/3, 1e-9)
	if len(a.report.Findings) > 0 {
		t.Error(a.report.Findings)
	}
	p.on = make([]*bar, 3)
	a.headChecks(p)
	wantFailure(t, a.report, "p", "3 beams lie on a head that takes 2")
}

// The prop reaches from 2.0 to 3.5 m. All heights go up together, so that
// nothing else is wrong.
func TestExtension(t *testing.T) {
	for _, c := range []struct {
		up   float64
		hole int
		bad  bool
	}{{0, 6, false}, {-500, 1, false}, {1000, 16, false}, {1100, 17, true}, {-600, 0, true}} {
		a := tamper(t, func(doc *deck.Document, d *deck.Deck) {
			doc.Pours[0].Site.Zones[0].Soffit += c.up
			d.Sheets[0].Z += c.up
			for _, list := range [][]deck.Member{d.Joists, d.Stringers} {
				for i := range list {
					list[i].Top += c.up
				}
			}
			for i := range d.Props {
				p := &d.Props[i]
				p.Seat, p.Length, p.Hole = p.Seat+c.up, p.Length+c.up, c.hole
			}
		})
		if c.bad {
			wantFailure(t, a, "A-1", "part prop: extension")
		} else {
			wantNoFailure(t, a)
		}
	}
}

// The audit asks what a prop carries at its length, not at its longest. EN 1065
// class B, l_max 3.5 m, at 2.5 m: 68 x 3.5/2.5² = 38.08 kN, over 1.7 = 22.4 kN.
func TestPropAtItsSetting(t *testing.T) {
	a := tamper(t, func(doc *deck.Document, _ *deck.Deck) {
		p := doc.Parts["prop"]
		p.Rated, p.Shore.Class = nil, "B"
	})
	within(t, "working load", theCheck(t, a, "A-2", "prop", "load").Limit, 38080/1.7, 1e-6)
}

// Faces that should meet must meet, to 1.5 mm.
func TestHeights(t *testing.T) {
	for _, c := range []struct {
		name, words string
		change      func(*deck.Prop)
	}{
		{"1 mm is rounding", "", func(p *deck.Prop) { p.Length, p.Thread = p.Length+1, 1 }},
		{"too long", "is set to 2505 mm, but the height to fill is 2500 mm", func(p *deck.Prop) { p.Length, p.Thread = 2505, 5 }},
		{"wrong hole", "pin hole 5 with 0 mm of thread gives 2400 mm, not 2500 mm", func(p *deck.Prop) { p.Hole = 5 }},
		{"foot in the air", "its foot is at 30 mm, but what it stands on is at 0 mm", func(p *deck.Prop) { p.Base = 30 }},
		{"no such head", `has a head "none"`, func(p *deck.Prop) { p.Head = "none" }},
		{"no such sill", `stands on a sill "none"`, func(p *deck.Prop) { p.Sill = "none" }},
		{"no such wedge", `stands on a wedge "none"`, func(p *deck.Prop) { p.Wedge = "none" }},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := tamper(t, func(_ *deck.Document, d *deck.Deck) { c.change(theProp(d, "A-1")) })
			if c.words == "" {
				wantNoFailure(t, a)
				return
			}
			wantFailure(t, a, "A-1", c.words)
		})
	}
	// A seat 5 mm under its stringer carries nothing, and the next props do not reach.
	a := tamper(t, func(_ *deck.Document, d *deck.Deck) {
		for _, id := range []string{"A-1", "A-2"} {
			p := theProp(d, id)
			p.Seat, p.Length, p.Hole, p.Thread = p.Seat-5, 2495, 5, 95
		}
	})
	wantFailure(t, a, "A", "the stringer has 1 support(s)")
}

// A joist that lies 3 degrees off, and one that ends on the edge of its stringer.
func TestJoistPlaces(t *testing.T) {
	a := tamper(t, func(_ *deck.Document, d *deck.Deck) { d.Joists[1].To[0] += 1400 * math.Tan(3*math.Pi/180) })
	wantFailure(t, a, "J2", "the joist lies more than 2 degrees off")
	a = tamper(t, func(_ *deck.Document, d *deck.Deck) { d.Joists[1].To[1] = 1219 }) // 20 mm past the middle at the least
	wantFailure(t, a, "J2", "the joist has 1 support(s)")
	a = tamper(t, func(_ *deck.Document, d *deck.Deck) { d.Joists[1].To[1] = 1221 })
	wantNoFailure(t, a)
	a = tamper(t, func(_ *deck.Document, d *deck.Deck) { d.Joists[1].Top -= 2 }) // under no sheet, on no stringer
	wantFailure(t, a, "S1", "sheet: deflection")
}

// A prop straight under a joist is a support of it like a stringer. With it the
// joist has two spans of 0.6 m under 12 kN/m: middle 10/8, ends 3/8 of 7.2 kN.
func TestPropUnderJoist(t *testing.T) {
	a := tamper(t, func(_ *deck.Document, d *deck.Deck) {
		p := propAt("P1", 1200, 600)
		p.Under, p.Seat, p.Length, p.Hole = "joist", soffit-220, 2700, 8
		d.Props = append(d.Props, p)
	})
	wantNoFailure(t, a)
	within(t, "prop under the joist", theCheck(t, a, "P1", "prop", "load").Value, 1.25*7200+propOwn, 1e-3)
	within(t, "reactions", a.Totals.Reactions, wholeLoad, 1e-3)
}

// Lapped stringers under a joist: the one that spans there takes the load, both
// when both do, and both their tails when nothing else is there. The joist ends its
// span at the one that takes the load, or midway.
func TestSharesAtALap(t *testing.T) {
	stringer := func(sup ...float64) *bar {
		b := &bar{w: 80, len: 3000}
		for _, s := range sup {
			b.sup = append(b.sup, station{s: s, prop: &post{}})
		}
		b.settle()
		return b
	}
	spans, tail := stringer(100, 2900), stringer(100, 1000) // at station 2000 only one of them spans
	for _, c := range []struct {
		name  string
		on    [2]*bar
		want  [2]float64
		first float64
	}{
		{"both span", [2]*bar{spans, spans}, [2]float64{0.5, 0.5}, 100},
		{"one spans", [2]*bar{tail, spans}, [2]float64{0, 1}, 140},
		{"neither", [2]*bar{tail, tail}, [2]float64{0.5, 0.5}, 100},
	} {
		j := &bar{w: 80, len: 1400, sup: []station{{s: 60, on: c.on[0], onS: 2000}, {s: 140, on: c.on[1], onS: 2000}, {s: 1300, on: spans, onS: 2000}}}
		if g := j.groups(); len(g) != 2 || len(g[0]) != 2 {
			t.Fatalf("%s: groups %v, want the two at the lap as one", c.name, g)
		}
		if got := [2]float64{j.sup[0].share, j.sup[1].share}; got != c.want {
			t.Errorf("%s: shares %v, want %v", c.name, got, c.want)
		}
		j.settle()
		if j.first != c.first || j.last != 1300 {
			t.Errorf("%s: held from %g to %g, want %g to 1300", c.name, j.first, j.last, c.first)
		}
	}
	// 1.6 widths apart they are two places.
	j := &bar{w: 80, len: 1400, sup: []station{{s: 60, on: spans}, {s: 60 + 1.6*80 + 1, on: spans}}}
	if g := j.groups(); len(g) != 2 {
		t.Errorf("stringers well apart: %v", g)
	}
}

// Two joists lapped over a stringer off the middle of their lap, under one sheet:
//
//	y   -100      0          400  500     800          1200  1300
//	J2a  |--------A-----------------B------|
//	J2b                       |-----B-------------------C-----|
//
// Each takes the load on its own span, up to B, and its tail past B takes none,
// although the sheet rests on both alike over the whole lap. There the sheet is
// held midway, at 1200 of 2400, and hands down w = 10/8 q L; elsewhere on one of
// the joists, at 1160 or 1240, with M = q (a³ + b³)/8(a + b) over it and
// v = q (a + b)/2 + M/a + M/b handed down (three moments).
func TestJoistsLappedUnderASheet(t *testing.T) {
	a := tamper(t, func(_ *deck.Document, d *deck.Deck) {
		d.Joists[1] = joistAt("J2a", 1160, -100, 800)
		d.Joists = append(d.Joists, joistAt("J2b", 1240, 400, 1300))
		d.Stringers = append(d.Stringers, stringerAt("M", -100, 2500, 500))
		for k, x := range []float64{0, 1200, 2400} {
			d.Props = append(d.Props, propAt("M-"+string(rune('1'+k)), x, 500))
		}
	})
	wantNoFailure(t, a)
	const w = 1.25 * q * 1.2
	m := q * (math.Pow(1.16, 3) + math.Pow(1.24, 3)) / (8 * 2.4)
	v := q*2.4/2 + m/1.16 + m/1.24
	// J2a spans 0.5 m under v on 0.4 m and w on 0.1 m; J2b spans 0.7 m under w on
	// 0.3 m and v on 0.4 m. Moments about the far support give the force at B.
	aB := (v*0.4*0.2 + w*0.1*0.45) / 0.5
	bB := (w*0.3*0.55 + v*0.4*0.2) / 0.7
	within(t, "J2a", theCheck(t, a, "J2a", "joist", "shear").Value, math.Max(aB, v*0.4+w*0.1-aB), 1e-3)
	within(t, "J2b", theCheck(t, a, "J2b", "joist", "shear").Value, math.Max(bB, v*0.4+w*0.3-bB), 1e-3)
	within(t, "reactions", a.Totals.Reactions, wholeLoad, 1e-3)
}

// Lumber bears on its seat: half the seat is lost to a joist that ends there.
// Stringers 80 mm wide; the joist's end lies 30 mm past the middle of one, so
// that 40 + 30 mm of it bear there and 80 mm on the other.
func TestSeats(t *testing.T) {
	doc := small()
	doc.Pours[0].Deck.Joists[1].To[1] = 1230
	a := indexed(t, doc)
	a.supports()
	j := a.bars[0][1]
	if len(j.sup) != 2 {
		t.Fatal(j.sup)
	}
	within(t, "seat on A", j.sup[0].seat, 80, 1e-9)
	within(t, "seat on B", j.sup[1].seat, 70, 1e-9)
	within(t, "station on A", j.sup[0].onS, 1300, 1e-9)
}

// What cannot be read is an error, not a pass.
func TestUnknownParts(t *testing.T) {
	for name, change := range map[string]func(*deck.Document, *deck.Deck){
		"a sheet's part":        func(_ *deck.Document, d *deck.Deck) { d.Sheets[0].Part = "none" },
		"a head as a joist":     func(_ *deck.Document, d *deck.Deck) { d.Joists[0].Part = "head" },
		"a prop's part":         func(_ *deck.Document, d *deck.Deck) { d.Props[0].Part = "none" },
		"an id twice":           func(_ *deck.Document, d *deck.Deck) { d.Props[1].ID = d.Props[0].ID },
		"a field unknown":       func(_ *deck.Document, d *deck.Deck) { d.Stringers[0].Field = "II" },
		"a zone unknown":        func(_ *deck.Document, d *deck.Deck) { d.Fields[0].Zone = "attic" },
		"a joist of no length":  func(_ *deck.Document, d *deck.Deck) { d.Joists[0].To = d.Joists[0].From },
		"a place not a number":  func(_ *deck.Document, d *deck.Deck) { d.Joists[0].To[1] = math.NaN() },
		"a live load too small": func(doc *deck.Document, _ *deck.Deck) { doc.Settings.LiveLoad = 100 },
	} {
		doc := small()
		change(doc, &doc.Pours[0].Deck)
		if _, err := Run(doc, &doc.Pours[0]); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	a := tamper(t, func(doc *deck.Document, _ *deck.Deck) {
		doc.Parts["beam"].IBeam.Mk = catalog.Value[quantity.Moment]{V: 1e9}
	})
	wantFailure(t, a, "beam", "part beam: characteristic moment M_k not known")
}
