package price

import (
	"math"
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/quantity"
)

const minute = quantity.Duration(1.0 / 60)

func part(id string, kind catalog.Kind, kg float64) *catalog.Part {
	return &catalog.Part{ID: id, Kind: kind,
		Mass:   catalog.Value[quantity.Mass]{V: quantity.Mass(kg), Known: true},
		Length: catalog.Value[quantity.Length]{V: 2, Known: true}, Width: catalog.Value[quantity.Length]{V: 1, Known: true}}
}

func sample(objective string) (Pricer, *deck.Document, *deck.Pour) {
	p := Pricer{Objective: objective, OneManLift: 25, Rates: job.Rates{
		Wage: 60, PieceTime: 2 * minute, GradeTime: 6 * minute, KiloTime: 0.1 * minute, Cut: 4 * minute, Waste: 10,
		Hire: map[string]quantity.Money{"ply": 3, "prop": 0.5},
	}}
	doc := &deck.Document{Choices: deck.Choices{OneManLift: 25}, Parts: map[string]*catalog.Part{
		"ply": part("ply", catalog.Sheet, 30), "prop": part("prop", catalog.Prop, 20), "beam": part("beam", catalog.Beam, 10),
	}}
	rect := func(w, h float64) deck.Shape {
		return deck.Shape{Outer: deck.Ring{{0, 0}, {w, 0}, {w, h}, {0, h}}}
	}
	pour := &deck.Pour{Deck: deck.Deck{
		Sheets: []deck.Sheet{
			{ID: "whole", Part: "ply", Shape: rect(2000, 1000)},
			{ID: "a", Part: "ply", Shape: rect(1500, 1000), Cut: true}, // 22.5 kg
			{ID: "b", Part: "ply", Shape: rect(1200, 1000), Cut: true}, // 18 kg
			{ID: "c", Part: "ply", Shape: rect(400, 1000), Cut: true},  // 6 kg, out of the rest of a
		},
		Joists: []deck.Member{{ID: "j", Part: "beam", From: deck.Point{0, 0}, To: deck.Point{0, 1000}, Sawn: true}}, // 5 kg
		Props:  []deck.Prop{{ID: "p", Part: "prop", Kind: deck.Grade}, {ID: "q", Part: "prop", Kind: deck.Intermediate}},
	}}
	return p, doc, pour
}

// One deck priced by hand. Minutes: seven pieces at 2, the whole sheet's 2 again
// because two carry it; 121.5 kg and again 30 kg at 0.1; one prop at 6; four cuts
// at 4. Panels: a and c out of one, b out of another.
func TestDeckByHand(t *testing.T) {
	p, doc, pour := sample(Money)
	b, score := p.Deck(doc, pour)
	minutes := 7*2 + 2 + (30+22.5+18+6+5+40+30)*0.1 + 6 + 4*4.0
	wasted := (2 - 1.5 - 0.4) + (2 - 1.2)
	money := minutes + 3*3 + 2*0.5 + 10*wasted // a minute costs one
	near := func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }
	if b.Pieces != 7 || b.Grading != 1 || b.Cuts != 4 || !near(b.Weight, 121.5) || !near(b.Wasted, wasted) || !near(b.Hours, minutes/60) || !near(b.Money, money) || !near(score, money) {
		t.Errorf("%+v, score %g; want %g minutes, %g m2 wasted, %g money", b, score, minutes, wasted, money)
	}
	for objective, want := range map[string]float64{Pieces: 7, Weight: 121.5, Grading: 1} {
		p.Objective = objective
		if _, score := p.Deck(doc, pour); math.Abs(score-want) > 1e-3 || score <= want {
			t.Errorf("%s: score %g, want %g and a trace of money", objective, score, want)
		}
	}
}

// A heavy piece takes twice the time; a short part counts dearer; under grading
// an operation outweighs any handling.
func TestPiece(t *testing.T) {
	p, doc, pour := sample(Money)
	light, heavy := p.Piece(part("x", catalog.Beam, 25)), p.Piece(part("x", catalog.Beam, 25.01))
	if math.Abs(light-4.5) > 1e-9 || math.Abs(heavy-2*4.501) > 1e-9 { // 2 + 2.5 minutes at one a minute
		t.Errorf("one person %g, two %g", light, heavy)
	}
	_, fair := p.Deck(doc, pour)
	p.Scarce = map[string]float64{"prop": 3}
	if got, want := p.Piece(doc.Parts["prop"]), 3*(2+2+0.5); math.Abs(got-want) > 1e-9 {
		t.Errorf("a short part counts %g, want %g", got, want)
	}
	b, dear := p.Deck(doc, pour)
	if math.Abs(dear-fair-2*2*4.5) > 1e-9 || math.Abs(b.Money-fair) > 1e-9 {
		t.Errorf("two short props add %g to the score, and the money is %g of %g", dear-fair, b.Money, fair)
	}
	p.Objective, p.Scarce = Grading, nil
	if p.Grade() < 1 || p.Piece(doc.Parts["prop"])*1000 > 0.1 {
		t.Errorf("grading %g, a thousand props %g", p.Grade(), p.Piece(doc.Parts["prop"])*1000)
	}
}
