package audit

import (
	"strings"
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// cutPlan is two pours with a cut list made by hand: sheets of 2500 x 1250 mm, a
// kerf of 4 mm. The first pour saws a sheet into P-1 (1000 along the grain by 600,
// lying turned in plan) and P-2 (1000 by 646, all that is left beside it), and keeps
// 1496 by 1250; the second saws P-1 out of that offcut.
func cutPlan() *deck.Document {
	length := func(mm float64) catalog.Value[quantity.Length] {
		return catalog.Value[quantity.Length]{V: quantity.Millimetres(mm), Known: true}
	}
	doc := &deck.Document{Choices: deck.Choices{Kerf: 4, OffcutMin: 300},
		Parts: map[string]*catalog.Part{"ply": {ID: "ply", Kind: catalog.Sheet, Length: length(2500), Width: length(1250)},
			"other": {ID: "other", Kind: catalog.Sheet, Length: length(2500), Width: length(1250)}}}
	sheet := func(id string, w, h, grain float64) deck.Sheet {
		return deck.Sheet{ID: id, Part: "ply", Cut: true, Grain: grain, Shape: plane.Shape{Outer: plane.Rect(5000, 0, 5000+w, h)}}
	}
	a := deck.Pour{Name: "A"}
	a.Deck.Sheets = []deck.Sheet{sheet("P-1", 600, 1000, 90), sheet("P-2", 1000, 646, 0), sheet("P-3", 2500, 1250, 180)}
	a.Deck.Sheets[2].Cut = false
	a.Cuts = &deck.Cuts{Turn: 1, Sheets: 1, Patterns: []deck.CutPattern{{ID: "C1", Part: "ply", Size: [2]float64{2500, 1250},
		Saw:    []deck.SawCut{{Across: true, At: 1000, From: 0, To: 1250}, {At: 600, From: 0, To: 1000}},
		Pieces: []deck.CutPiece{{Sheet: "P-1", Size: [2]float64{1000, 600}}, {Sheet: "P-2", At: deck.Point{0, 604}, Size: [2]float64{1000, 646}}},
		Left:   []deck.Offcut{{ID: "A/R1", At: deck.Point{1004, 0}, Size: [2]float64{1496, 1250}}}}}}
	b := deck.Pour{Name: "B"}
	b.Deck.Sheets = []deck.Sheet{sheet("P-1", 1496, 1250, 0)}
	b.Cuts = &deck.Cuts{Turn: 2, Patterns: []deck.CutPattern{{ID: "C1", Part: "ply", Offcut: "A/R1", Size: [2]float64{1496, 1250},
		Pieces: []deck.CutPiece{{Sheet: "P-1", Size: [2]float64{1496, 1250}}}}}}
	doc.Pours = []deck.Pour{a, b}
	return doc
}

func TestHonestCutList(t *testing.T) {
	doc := cutPlan()
	for i := range doc.Pours {
		if got := Cuts(doc, i); len(got) > 0 {
			t.Errorf("pour %d: %+v", i, got)
		}
	}
}

func TestTamperedCutList(t *testing.T) {
	for name, c := range map[string]struct {
		pour int
		do   func(a, b *deck.Pour)
		want string // part of a finding of that pour
	}{
		"no list":                 {0, func(a, b *deck.Pour) { a.Cuts = nil }, "no cut list"},
		"a piece is gone":         {0, func(a, b *deck.Pour) { a.Cuts.Patterns[0].Pieces = a.Cuts.Patterns[0].Pieces[:1] }, "comes out of no pattern"},
		"a piece twice":           {0, func(a, b *deck.Pour) { a.Cuts.Patterns[0].Pieces[1].Sheet = "P-1" }, "comes out of C1 and of C1"},
		"a piece of no sheet":     {0, func(a, b *deck.Pour) { a.Cuts.Patterns[0].Pieces[1].Sheet = "P-9" }, "no sheet of the deck"},
		"a whole sheet is cut":    {0, func(a, b *deck.Pour) { a.Cuts.Patterns[0].Pieces[1].Sheet = "P-3" }, "whole but is cut"},
		"two pieces on one place": {0, func(a, b *deck.Pour) { p := a.Cuts.Patterns[0].Pieces; p[1].At, p[1].Size = p[0].At, p[0].Size }, "leaves no board"},
		"a piece over the edge":   {0, func(a, b *deck.Pour) { a.Cuts.Patterns[0].Pieces[1].At[1] = 650 }, "leaves no board"},
		"a piece too small":       {0, func(a, b *deck.Pour) { a.Deck.Sheets[0].Shape.Outer = plane.Rect(0, 0, 605, 1000) }, "the deck needs"},
		"a piece turned":          {0, func(a, b *deck.Pour) { a.Deck.Sheets[0].Grain = 0 }, "turned against its face grain"},
		"no kerf":                 {0, func(a, b *deck.Pour) { a.Cuts.Patterns[0].Pieces[1].At[1] = 600 }, "leaves no board"},
		"a cut into a board":      {0, func(a, b *deck.Pour) { a.Cuts.Patterns[0].Saw[1].To = 900 }, "through no board from edge to edge"},
		"a cut left out":          {0, func(a, b *deck.Pour) { a.Cuts.Patterns[0].Saw = a.Cuts.Patterns[0].Saw[1:] }, "through no board"},
		"a larger offcut":         {0, func(a, b *deck.Pour) { a.Cuts.Patterns[0].Left[0].Size[0] = 1600 }, "leaves no board"},
		"a larger sheet":          {0, func(a, b *deck.Pour) { a.Cuts.Patterns[0].Size[0] = 2600 }, "a whole sheet is 2500 by 1250"},
		"fewer sheets said":       {0, func(a, b *deck.Pour) { a.Cuts.Sheets = 0 }, "said to be 0"},
		"another panel":           {0, func(a, b *deck.Pour) { a.Cuts.Patterns[0].Part = "other" }, "the sheet is ply"},
		"no panel":                {0, func(a, b *deck.Pour) { a.Cuts.Patterns[0].Part = "prop" }, "no panel"},
		"a pattern twice":         {0, func(a, b *deck.Pour) { a.Cuts.Patterns = append(a.Cuts.Patterns, a.Cuts.Patterns[0]) }, "stands twice"},
		"an offcut from nowhere":  {1, func(a, b *deck.Pour) { b.Cuts.Patterns[0].Offcut = "A/R2" }, "left 0 times"},
		"an offcut that grew":     {1, func(a, b *deck.Pour) { b.Cuts.Patterns[0].Size[0] = 1500 }, "no earlier pour leaves"},
		"an offcut of later":      {1, func(a, b *deck.Pour) { a.Cuts.Turn, b.Cuts.Turn = 2, 1 }, "no earlier pour leaves"},
		"the same turn":           {1, func(a, b *deck.Pour) { a.Cuts.Turn = 2 }, "the same turn"},
		"an offcut taken twice": {1, func(a, b *deck.Pour) {
			q := b.Cuts.Patterns[0]
			q.ID, q.Pieces = "C2", nil
			b.Cuts.Patterns = append(b.Cuts.Patterns, q)
		}, "taken 2 times"},
	} {
		doc := cutPlan()
		c.do(&doc.Pours[0], &doc.Pours[1])
		found := Cuts(doc, c.pour)
		hit := false
		for _, f := range found {
			hit = hit || f.Fails && strings.Contains(f.What, c.want)
		}
		if !hit {
			t.Errorf("%s: got %+v, want %q", name, found, c.want)
		}
	}
	doc := cutPlan()
	doc.Choices.Kerf = -1
	if found := Cuts(doc, 0); len(found) == 0 {
		t.Error("a saw that adds wood passes")
	}
}
