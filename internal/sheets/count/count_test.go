package count

import (
	"math"
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/quantity"
)

// A deck of a few parts whose counts and weights are found by hand.
func doc() *deck.Document {
	length := func(v float64) catalog.Value[quantity.Length] {
		return catalog.Value[quantity.Length]{V: quantity.Length(v), Known: true}
	}
	mass := func(v float64) catalog.Value[quantity.Mass] {
		return catalog.Value[quantity.Mass]{V: quantity.Mass(v), Known: true}
	}
	d := &deck.Document{Parts: map[string]*catalog.Part{
		"ply":   {ID: "ply", Kind: catalog.Sheet, Length: length(2.5), Width: length(1.25), Mass: mass(40)},
		"board": {ID: "board", Kind: catalog.Lumber, Length: length(4), Mass: mass(8)},
		"prop":  {ID: "prop", Kind: catalog.Prop, Mass: mass(20)},
		"odd":   {ID: "odd", Kind: catalog.Head},
	}}
	d.Choices.OneManLift = 25
	rect := func(w, h float64) deck.Shape {
		return deck.Shape{Outer: deck.Ring{{0, 0}, {w, 0}, {w, h}, {0, h}}}
	}
	p := deck.Pour{Name: "P"}
	p.Deck.Sheets = []deck.Sheet{
		{ID: "a", Part: "ply", Shape: rect(2500, 1250)}, {ID: "b", Part: "ply", Shape: rect(2500, 1250)},
		{ID: "c", Part: "ply", Shape: rect(1250, 1250), Cut: true},                                           // half: 20 kg
		{ID: "d", Part: "ply", Shape: rect(625, 1250), Cut: true, Grain: 90},                                 // a quarter, turned: 10 kg
		{ID: "e", Part: "ply", Shape: deck.Shape{Outer: deck.Ring{{0, 0}, {1250, 0}, {0, 1250}}}, Cut: true}, // a quarter
	}
	p.Deck.Joists = []deck.Member{{ID: "j", Part: "board", From: deck.Point{0, 0}, To: deck.Point{0, 1000}, Sawn: true}} // a quarter: 2 kg
	p.Deck.Props = []deck.Prop{{ID: "A-1", Part: "prop", Head: "odd"}, {ID: "A-2", Part: "prop", Head: "odd"}}
	p.Deck.EdgeForms = []deck.EdgeForm{{Part: "board", From: deck.Point{0, 0}, To: deck.Point{9000, 0}}} // 9 m of 4 m boards: 3
	d.Pours = []deck.Pour{p}
	return d
}

func TestList(t *testing.T) {
	d := doc()
	got := map[key]Gear{}
	for _, g := range List(d, &d.Pours[0]) {
		got[key{g.ID, g.Cut}] = g
	}
	for k, want := range map[key]struct {
		n     int
		total float64
		heavy bool
	}{
		{"ply", false}:   {2, 80, true},
		{"ply", true}:    {3, 40, false},
		{"board", false}: {3, 24, false},
		{"board", true}:  {1, 2, false},
		{"prop", false}:  {2, 40, false},
	} {
		g := got[k]
		if g.Count != want.n || math.Abs(g.Total-want.total) > 1e-9 || g.Heavy != want.heavy {
			t.Errorf("%v: %d pieces, %g kg, heavy %v; want %v", k, g.Count, g.Total, g.Heavy, want)
		}
	}
	if g := got[key{"odd", false}]; g.Count != 2 || !math.IsNaN(g.Total) {
		t.Errorf("a part of unknown weight: %+v", g)
	}
	if len(got) != 6 {
		t.Errorf("%d kinds of gear, want 6", len(got))
	}
}

func TestPanels(t *testing.T) {
	d := doc()
	ps := Panels(&d.Pours[0])
	if len(ps) != 4 || ps[0].Count != 2 || ps[0].Cut || ps[0].Along != 2500 || ps[0].Across != 1250 {
		t.Fatalf("got %+v", ps)
	}
	for _, p := range ps {
		switch p.IDs[0] {
		case "d": // grain along y
			if math.Abs(p.Along-1250) > 1e-6 || math.Abs(p.Across-625) > 1e-6 {
				t.Errorf("the turned piece is %g along and %g across its grain", p.Along, p.Across)
			}
		case "e":
			if !p.Shaped {
				t.Error("a triangle is not called shaped")
			}
		case "c":
			if p.Shaped {
				t.Error("a square is called shaped")
			}
		}
	}
}

// Contact areas by hand: a soffit of 2 m x 1 m with a hole of 0.5 m x 0.4 m, two sides of
// 2 m, one 300 and one 400 mm high, an edge of 1.5 m and 200 mm.
func TestContacts(t *testing.T) {
	p := &deck.Pour{}
	rect := func(x, y, w, h float64) deck.Ring { return deck.Ring{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}} }
	p.Site.Zones = []deck.Zone{{Name: "slab", Shapes: []deck.Shape{{Outer: rect(0, 0, 2000, 1000), Holes: []deck.Ring{rect(100, 100, 500, 400)}}}}}
	form := func(kind deck.FormKind, l, h float64, n int) deck.EdgeForm {
		return deck.EdgeForm{Kind: kind, To: deck.Point{l, 0}, Height: h, Kickers: n}
	}
	p.Deck.EdgeForms = []deck.EdgeForm{form(deck.SideOf, 2000, 300, 5), form(deck.EdgeOf, 1500, 200, 4), form(deck.SideOf, 2000, 400, 6)}
	want := []Contact{{What: "soffit of slab", Area: 1.8}, {What: "edge forms", Length: 1500, Area: 0.3, Kickers: 4},
		{What: "side forms of beams, drops and steps", Length: 4000, Area: 1.4, Kickers: 11}}
	got := Contacts(p)
	if len(got) != len(want) {
		t.Fatalf("%+v", got)
	}
	for i, w := range want {
		if g := got[i]; g.What != w.What || math.Abs(g.Length-w.Length) > 1e-9 || math.Abs(g.Area-w.Area) > 1e-9 || g.Kickers != w.Kickers {
			t.Errorf("%+v, want %+v", g, w)
		}
	}
}
