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
