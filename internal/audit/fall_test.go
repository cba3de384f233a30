package audit

import (
	"math"
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// The small deck in a slope of 5 % along x: sheets and members as long as they were,
// so all of it is shorter in plan by 1/√(1 + 0.05²); 200 mm of concrete square to the
// slope. Heights by hand: the soffit is at 3000 - 0.05 x, and every layer is √(1 +
// 0.05²) times as deep plumb. The joists lean, 200 mm x 0.05 = 10 mm off the middle of their
// foot, 80 mm wide; the wedges on the heads rise 0.05 x 160/2 = 4 mm to their middle.
const tilt = 0.05

var drawn = math.Sqrt(1 + tilt*tilt)

func sloping(change func(*deck.Document, *deck.Deck)) (*deck.Document, *deck.Deck) {
	doc := small()
	p := &doc.Pours[0]
	d := &p.Deck
	down := func(q plane.Point) plane.Point { return plane.Point{q[0] / drawn, q[1]} }
	top := func(q plane.Point, depth float64) float64 { return soffit - tilt*q[0] - depth*drawn }
	p.Site.Fall = &deck.Fall{Rise: [2]float64{-tilt, 0}}
	p.Site.Slab = []plane.Shape{p.Site.Slab[0].Map(down)}
	p.Site.Zones[0].Shapes, p.Site.Zones[0].Thickness = p.Site.Slab, 200*drawn
	for i := range d.Sheets {
		s := &d.Sheets[i]
		s.Shape = s.Shape.Map(down)
		s.Z = top(s.Shape.Outer[0], 0)
		for _, q := range s.Shape.Outer {
			s.Rises = append(s.Rises, top(q, 0)-s.Z)
		}
	}
	for i := range d.Joists {
		j := &d.Joists[i]
		j.From, j.To, j.Sawn = down(j.From), down(j.To), true
		j.Top = top(j.From, 20)
	}
	for i := range d.Stringers {
		s := &d.Stringers[i]
		s.From, s.To = down(s.From), down(s.To)
		s.Top = top(s.From, 220)
		s.Rise = top(s.To, 220) - s.Top
	}
	for i := range d.Props {
		q := &d.Props[i]
		q.At = down(q.At)
		q.Seat, q.Taper = top(q.At, 420), 10
		q.Length = q.Seat - 80 - 10
		q.Hole = int((q.Length-2000)/100) + 1
		q.Thread = q.Length - 2000 - float64(q.Hole-1)*100
	}
	if change != nil {
		change(doc, d)
	}
	return doc, d
}

func slopingAudit(t *testing.T, change func(*deck.Document, *deck.Deck)) deck.Audit {
	t.Helper()
	doc, _ := sloping(change)
	a, err := Run(doc, &doc.Pours[0])
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// In the slope every part carries what it did on the level, since its spans and the concrete on
// it, square to the slope, are those of the level deck. The deck pushes sideways by 5 % of
// the 23.04 kN on it more. Expected: the level deck's, and statics.
func TestSlopingDeck(t *testing.T) {
	level, a := tamper(t, nil), slopingAudit(t, nil)
	wantNoFailure(t, a)
	for _, c := range level.Checks {
		switch {
		case c.Kind == "lateral" && c.What == "along x":
			within(t, "push down the slope", theCheck(t, a, "deck", "lateral", "along x").Value-c.Value, 0.05*wholeLoad, 1e-4)
		case c.Kind == "head": // below
		default:
			within(t, c.Member+" "+c.Kind+" "+c.What, theCheck(t, a, c.Member, c.Kind, c.What).Value, c.Value, 1e-3)
		}
	}
	lean := theCheck(t, a, "J2", "joist", "lean")
	within(t, "lean", lean.Value, 0.010, 1e-4)
	within(t, "its limit", lean.Limit, 0.020, 1e-6)
	for _, c := range a.Checks { // what runs down the slope stands plumb
		if c.Kind == "stringer" && c.What == "lean" {
			t.Errorf("%+v", c)
		}
	}
	within(t, "load", a.Totals.Applied, wholeLoad, 1e-4)
}

// Each is one change to a deck that holds, and must be found from the plan alone.
func TestSlopingDeckTampered(t *testing.T) {
	prop := func(change func(*deck.Prop)) func(*deck.Document, *deck.Deck) {
		return func(_ *deck.Document, d *deck.Deck) { change(theProp(d, "A-2")) }
	}
	for _, c := range []struct {
		what, member, words string
		change              func(*deck.Document, *deck.Deck)
	}{
		{"a prop set 3 mm long", "A-2", "is set to", prop(func(p *deck.Prop) { p.Length += 3 })},
		{"a prop set as the level one", "A-2", "is set to", prop(func(p *deck.Prop) { p.Length = 2500 })},
		{"setting and thread of the neighbour", "A-2", "is set to", func(_ *deck.Document, d *deck.Deck) {
			q := theProp(d, "A-1")
			p := theProp(d, "A-2")
			p.Length, p.Hole, p.Thread = q.Length, q.Hole, q.Thread
		}},
		{"thread only", "A-2", "pin hole", prop(func(p *deck.Prop) { p.Thread += 2 })},
		{"no wedge, the prop run out instead", "A-2", "needs a wedge", prop(func(p *deck.Prop) { p.Length, p.Thread, p.Taper = p.Length+10, p.Thread+10, 0 })},
		{"a wedge thinner than the slope", "A-2", "needs a wedge", prop(func(p *deck.Prop) { p.Length, p.Thread, p.Taper = p.Length+7, p.Thread+7, 3 })},
		{"packing", "A-2", "the wedge on its head", prop(func(p *deck.Prop) { p.Length, p.Hole, p.Taper = p.Length-100, p.Hole-1, p.Taper+100 })},
		{"the plane lower", "A", "the stringer has", func(doc *deck.Document, d *deck.Deck) {
			for i := range d.Props { // props that no longer reach the stringers
				d.Props[i].Seat -= 5
				d.Props[i].Length -= 5
				d.Props[i].Thread -= 5
			}
		}},
		{"a stringer not in the slope", "A", "does not lie in the slope", func(_ *deck.Document, d *deck.Deck) { d.Stringers[0].Rise += 4 }},
		{"a level stringer", "A", "does not lie in the slope", func(_ *deck.Document, d *deck.Deck) { d.Stringers[0].Rise = 0 }},
		{"a sheet's corner", "S1", "the sheet does not lie in the slope", func(_ *deck.Document, d *deck.Deck) { d.Sheets[0].Rises[2] += 4 }},
		{"a sheet without heights", "S1", "the sheet lies under a soffit that falls", func(_ *deck.Document, d *deck.Deck) { d.Sheets[0].Rises = nil }},
		{"a stringer as long in plan as its part", "A", "is 2603.2 mm long in the slope", func(_ *deck.Document, d *deck.Deck) { // 2600 √1.0025 = 2603.2
			s := &d.Stringers[0]
			s.To[0] = s.From[0] + 2600
			s.Rise = -tilt * 2600
		}},
		{"sheets that end where they would on the level: bare", "deck", "", func(doc *deck.Document, d *deck.Deck) {
			// The slab is as long in plan as the sheet is in the slope: 3 mm are bare.
			doc.Pours[0].Site.Slab = []plane.Shape{rect(0, 0, 2400, 1200)}
			doc.Pours[0].Site.Zones[0].Shapes = doc.Pours[0].Site.Slab
		}},
		{"joists that lean too far", "J1", "joist: lean is", func(doc *deck.Document, d *deck.Deck) {
			thin := *doc.Parts["beam"]
			thin.ID, thin.Width = "thin", known[quantity.Length](0.036) // 10 mm of 9 mm
			doc.Parts["thin"] = &thin
			d.Joists[0].Part = "thin"
		}},
		{"one brace down the slope of two that it takes", "deck", "lateral: along x is", func(doc *deck.Document, d *deck.Deck) { doc.Choices.BraceLoad = 2000 }}, // 1752 N on the level
		{"a column under the foot of a joist that leans", "J2", "the foot of the joist, which leans, runs into", func(doc *deck.Document, d *deck.Deck) {
			// The joist is 80 mm wide at x = 1198.5; its foot lies 10 mm up the slope, at 1148.5.
			doc.Pours[0].Site.Blocks = []deck.Block{{Kind: "column", Name: "column 1", Ring: plane.Rect(1100, 500, 1155, 700)}}
		}},
	} {
		a := slopingAudit(t, c.change)
		if c.words == "" {
			if a.BareCm2 < 30 || a.BareCm2 > 40 { // 3.0 mm x 1200 mm = 36 cm2, under the limit of 50
				t.Errorf("%s: %.1f cm2 bare", c.what, a.BareCm2)
			}
			continue
		}
		t.Run(c.what, func(t *testing.T) { wantFailure(t, a, c.member, c.words) })
	}
}

// On the level too: a joist or stringer that is cut from a part shorter than itself.
func TestLongerThanItsPart(t *testing.T) {
	a := tamper(t, func(_ *deck.Document, d *deck.Deck) { d.Joists[0].To[1] = d.Joists[0].From[1] + 2602 })
	wantFailure(t, a, "J1", "is 2602.0 mm long, and its part 2600.0 mm")
	a = tamper(t, func(doc *deck.Document, d *deck.Deck) { doc.Parts["beam"].Length = known[quantity.Length](2.5) })
	wantFailure(t, a, "A", "is 2600.0 mm long, and its part 2500.0 mm")
	wantNoFailure(t, tamper(t, func(_ *deck.Document, d *deck.Deck) { d.Joists[0].Sawn = true }))
}

// A plane that is not the one that the parts lie in is found from both sides: the same
// parts under a soffit of 5.4 %, or under a level one.
func TestSlopingDeckOtherPlane(t *testing.T) {
	a := slopingAudit(t, func(doc *deck.Document, _ *deck.Deck) { doc.Pours[0].Site.Fall.Rise[0] = -0.054 })
	wantFailure(t, a, "A", "does not lie in the slope")
	wantFailure(t, a, "S1", "the sheet does not lie in the slope")
	a = slopingAudit(t, func(doc *deck.Document, _ *deck.Deck) { doc.Pours[0].Site.Fall = nil })
	wantFailure(t, a, "A", "rises by")
	wantFailure(t, a, "A-1", "has a wedge cut to a slope")
	a = slopingAudit(t, func(doc *deck.Document, _ *deck.Deck) { doc.Pours[0].Site.Zones[0].Soffit += 10 })
	wantFailure(t, a, "deck", "")
	for _, rise := range []float64{-0.2, math.NaN(), math.Inf(1)} {
		doc, _ := sloping(nil)
		doc.Pours[0].Site.Fall.Rise[0] = rise
		if _, err := Run(doc, &doc.Pours[0]); err == nil {
			t.Errorf("a slope of %g is proven", rise)
		}
	}
}

// At the low edge the form is proven for the concrete up to a metre up the slope:
// 200 + 0.05 x 1000 mm.
func TestSlopingEdgeForm(t *testing.T) {
	edge := func(head float64) deck.Audit {
		return slopingAudit(t, func(doc *deck.Document, d *deck.Deck) {
			x := 2400 / drawn
			doc.Parts["kicker"] = &catalog.Part{ID: "kicker", Kind: catalog.Kicker, Rated: &catalog.Rating{Load: known[quantity.Force](1e4), Factor: known[quantity.Ratio](1)}}
			doc.Pours[0].Site.Edges = []deck.Edge{{From: plane.Point{x, 0}, To: plane.Point{x, 1200}, Kind: deck.Joint}}
			d.EdgeForms = []deck.EdgeForm{{ID: "E1", Part: "sheet", From: plane.Point{x, 0}, To: plane.Point{x, 1200}, Height: 200 * drawn, Head: head, Kicker: "kicker", Kickers: 4, Pitch: 400}}
		})
	}
	wantNoFailure(t, edge(251))
	wantFailure(t, edge(0), "edge", "edge 1 has 1200 mm without")
	wantFailure(t, edge(240), "edge", "edge 1 has 1200 mm without")
}
