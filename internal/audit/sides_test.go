package audit

import (
	"strings"
	"testing"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// sided is the small deck's site with a strip 400 mm wide in its middle that hangs
// 300 mm deeper, and forms on both of its sides: 300 mm high under 500 mm of concrete.
func sided() (*deck.Document, *deck.Deck) {
	doc := small()
	p := &doc.Pours[0]
	p.Site.Zones = []deck.Zone{
		{Name: "slab", Shapes: []plane.Shape{rect(0, 0, 1000, 1200), rect(1400, 0, 2400, 1200)}, Thickness: 200, Soffit: soffit},
		{Name: "beam 1", Shapes: []plane.Shape{rect(1000, 0, 1400, 1200)}, Thickness: 500, Soffit: soffit - 300,
			Room: []plane.Shape{rect(900, 0, 1000, 1200), rect(1400, 0, 1500, 1200)}},
	}
	p.Deck.EdgeForms = []deck.EdgeForm{
		{ID: "E1", Kind: deck.SideOf, From: plane.Point{1400, 0}, To: plane.Point{1400, 1200}, Foot: soffit - 300, Height: 300, Head: 500},
		{ID: "E2", Kind: deck.SideOf, From: plane.Point{1000, 1200}, To: plane.Point{1000, 0}, Foot: soffit - 300, Height: 300, Head: 500},
	}
	return doc, &p.Deck
}

// Every vertical face between two soffits has a form of its height, or is found.
func TestSides(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*deck.Deck)
		bare   string // length that is found bare, "" for nothing
	}{
		"both sides formed":   {func(d *deck.Deck) {}, ""},
		"drawn the other way": {func(d *deck.Deck) { f := &d.EdgeForms[0]; f.From, f.To = f.To, f.From }, ""},
		"in two runs": {func(d *deck.Deck) {
			d.EdgeForms = append(d.EdgeForms, d.EdgeForms[0])
			d.EdgeForms[0].To[1], d.EdgeForms[2].From[1] = 500, 500
		}, ""},
		"higher than the step": {func(d *deck.Deck) { d.EdgeForms[0].Height += 20 }, ""},
		"one side taken out":   {func(d *deck.Deck) { d.EdgeForms = d.EdgeForms[:1] }, "1200 mm"},
		"short by 100 mm":      {func(d *deck.Deck) { d.EdgeForms[0].To[1] = 1100 }, "100 mm"},
		"a gap between two runs": {func(d *deck.Deck) {
			d.EdgeForms = append(d.EdgeForms, d.EdgeForms[0])
			d.EdgeForms[0].To[1], d.EdgeForms[2].From[1] = 500, 520
		}, "20 mm"},
		"lower than the step by 2 mm": {func(d *deck.Deck) { d.EdgeForms[1].Height -= 2 }, "1200 mm"},
		"2 mm off its foot":           {func(d *deck.Deck) { d.EdgeForms[1].Foot += 2 }, "1200 mm"},
		"11 mm off its face":          {func(d *deck.Deck) { d.EdgeForms[0].From[0] += 11; d.EdgeForms[0].To[0] += 11 }, "1200 mm"},
		"proven for less concrete":    {func(d *deck.Deck) { d.EdgeForms[0].Head = 300 }, "1200 mm"},
		"an edge form instead":        {func(d *deck.Deck) { d.EdgeForms[0].Kind = deck.EdgeOf }, "1200 mm"},
		"a form of a step in the top": {func(d *deck.Deck) { d.EdgeForms[0].Kind = deck.RiserOf }, "1200 mm"},
	} {
		t.Run(name, func(t *testing.T) {
			doc, d := sided()
			c.change(d)
			a := &auditor{doc: doc, pour: &doc.Pours[0], site: &doc.Pours[0].Site}
			a.sides()
			got := failures(a.report)
			switch {
			case c.bare == "" && len(got) > 0:
				t.Errorf("found %q", got)
			case c.bare != "" && (len(got) != 1 || !strings.Contains(got[0], "zone beam 1: the side of zone beam 1 against zone slab has "+c.bare)):
				t.Errorf("want %s bare, found %q", c.bare, got)
			}
		})
	}
}

// A side form stands on the deck of its beam, which runs on under it.
func TestSideFormStands(t *testing.T) {
	for name, c := range map[string]struct {
		room []plane.Shape
		bare string
	}{
		"on both sides":   {[]plane.Shape{rect(900, 0, 1000, 1200), rect(1400, 0, 1500, 1200)}, ""},
		"short corners":   {[]plane.Shape{rect(900, 0, 1000, 1000), rect(1400, 150, 1500, 1200)}, ""},
		"on one":          {[]plane.Shape{rect(900, 0, 1000, 1200)}, "1200 mm"},
		"40 mm wide":      {[]plane.Shape{rect(900, 0, 1000, 1200), rect(1400, 0, 1440, 1200)}, "1200 mm"},
		"half its length": {[]plane.Shape{rect(900, 0, 1000, 1200), rect(1400, 0, 1500, 600)}, "600 mm"},
	} {
		doc, _ := sided()
		doc.Pours[0].Site.Zones[1].Room = c.room
		a := bare(doc)
		a.sides()
		got := failures(a.report)
		if (c.bare == "") != (len(got) == 0) || c.bare != "" && !strings.Contains(got[0], "has no deck to stand on along "+c.bare) {
			t.Errorf("%s: found %q", name, got)
		}
	}
}

// The form must be high enough a part, and is checked for the head over its foot:
// 25 kN/m3 x 0.5 m = 12.5 kPa, over a pitch of 300 mm p s2 / 8 = 0.140625 kN·m/m.
func TestSideFormProven(t *testing.T) {
	doc, d := sided()
	for i := range d.EdgeForms {
		f := &d.EdgeForms[i]
		f.Part, f.Kicker, f.Pitch, f.Kickers = "sheet", "kicker", 300, 5
	}
	kicker := *doc.Parts["prop"]
	kicker.ID = "kicker"
	doc.Parts["kicker"] = &kicker
	a := bare(doc)
	a.edges()
	if c := theCheck(t, a.result(), "E1", "side form", "bending of the form between kickers, per width"); c.Value < 140.6 || c.Value > 140.7 {
		t.Errorf("bending %.3f N·m/m, want 140.625", c.Value)
	}
	d.EdgeForms[0].Height = 1300 // more than the 1.2 m of the sheet
	b := bare(doc)
	b.edges()
	wantFailure(t, b.result(), "E1", "forms 1300 mm of height with a part of 1200 mm")
}

func bare(doc *deck.Document) *auditor {
	return &auditor{doc: doc, pour: &doc.Pours[0], site: &doc.Pours[0].Site, worst: map[[2]string]*worked{}, checks: map[[3]string]deck.Check{}}
}

// A prop of the slab's deck that comes up through the beam's deck is found, and so
// is one nearer than 40 mm to it; one of the beam's own is not.
func TestPropThroughALowerDeck(t *testing.T) {
	for at, bad := range map[float64]bool{1200: true, 1500: true, 1530: true, 1550: false, 870: true, 850: false} {
		doc, _ := sided()
		p := doc.Pours[0].Deck.Props[0]
		p.At[0], p.Seat = at, soffit-220
		a := bare(doc)
		a.props = []*post{{Prop: &p, at: p.At}}
		a.besideDecks()
		if got := len(failures(a.report)) > 0; got != bad {
			t.Errorf("at x = %.0f: found %v", at, got)
		}
		p.Seat = soffit - 720
		a = bare(doc)
		a.props = []*post{{Prop: &p, at: p.At}}
		a.besideDecks()
		if got := failures(a.report); len(got) > 0 {
			t.Errorf("the beam's own prop: %q", got)
		}
	}
}

// The sheet of the small deck rests on joists at 0 and 1.2 m and, in place of the
// third, on a side form 20 mm thick at x = 2.4 m: two spans of 1.2 and 1.19 m. By
// statics its end reaction is about 3/8 q l = 3.57 kN/m; a deck 100 mm wide beside the
// form carries it as 35.7 kN/m2, and the props of the slab's deck are relieved of it.
func TestSheetsOnASideForm(t *testing.T) {
	doc := small()
	p := &doc.Pours[0]
	p.Site.Zones = append(p.Site.Zones, deck.Zone{Name: "beam 1", Shapes: []plane.Shape{rect(2400, 0, 2800, 1200)}, Thickness: 500, Soffit: soffit - 300,
		Room: []plane.Shape{rect(2300, 0, 2400, 1200)}})
	p.Deck.Joists = p.Deck.Joists[:2]
	p.Deck.EdgeForms = []deck.EdgeForm{{ID: "E1", Part: "sheet", Kind: deck.SideOf, From: plane.Point{2400, 1200}, To: plane.Point{2400, 0}, Foot: soffit - 300, Height: 300, Head: 500}}
	a := indexed(t, doc)
	a.sheets()
	if got := a.onSides["beam 1"]; len(got) != 1 {
		t.Fatalf("%d side forms are loaded", len(got))
	}
	// Three moments for spans 1.2 and 1.19: R = q b/2 - q (a3 + b3)/(8 (a + b) b).
	const l1, l2 = 1.2, 1.19
	want := q*l2/2 - q*(l1*l1*l1+l2*l2*l2)/(8*(l1+l2)*l2) + q*0.01 // and 10 mm of sheet past the middle of the form
	within(t, "service load", float64(a.onSides["beam 1"][0].load.Service()), want/0.1, 0.02)
	within(t, "on the slab's own props", a.applied, wholeLoad-want*1.2, 0.01)

	for name, change := range map[string]func(*deck.Deck, *deck.Site){
		"no side form":             func(d *deck.Deck, _ *deck.Site) { d.EdgeForms = nil },
		"a form of an edge":        func(d *deck.Deck, _ *deck.Site) { d.EdgeForms[0].Kind = deck.EdgeOf },
		"it ends below the sheets": func(d *deck.Deck, _ *deck.Site) { d.EdgeForms[0].Height -= 5 },
		"it faces the other way":   func(d *deck.Deck, _ *deck.Site) { f := &d.EdgeForms[0]; f.From, f.To = f.To, f.From },
	} {
		doc := small()
		doc.Pours[0].Site, doc.Pours[0].Deck.Joists = p.Site, p.Deck.Joists
		doc.Pours[0].Deck.EdgeForms = append([]deck.EdgeForm{}, p.Deck.EdgeForms...)
		change(&doc.Pours[0].Deck, &doc.Pours[0].Site)
		a := indexed(t, doc)
		a.sheets()
		if len(a.onSides["beam 1"]) > 0 || len(failures(a.result())) == 0 {
			t.Errorf("%s: the sheet still rests on it", name)
		}
	}
}
