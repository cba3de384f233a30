package change

import (
	"testing"

	"shoreward/internal/deck"
)

// Two decks by hand: joists along y, one line of stringers along x. What is
// expected is counted by hand.
func TestEveryKindOfDifference(t *testing.T) {
	field := []deck.Field{{Name: "I", Zone: "slab", Joists: 90}}
	sheet := func(id string, x0, x1 float64) deck.Sheet {
		return deck.Sheet{ID: id, Field: "I", Part: "ply", Shape: deck.Shape{Outer: deck.Ring{{x0, 0}, {x1, 0}, {x1, 1250}, {x0, 1250}}}, Z: 3000}
	}
	beam := func(id, part string, a, b deck.Point) deck.Member {
		return deck.Member{ID: id, Field: "I", Line: "A", Part: part, From: a, To: b, Top: 2979}
	}
	prop := func(id, part string, x float64, length float64) deck.Prop {
		return deck.Prop{ID: id, Line: "A", Part: part, Head: "drop-head", Kind: deck.Grade, At: deck.Point{x, 500}, Length: length}
	}
	old := deck.Pour{Deck: deck.Deck{Fields: field,
		Sheets: []deck.Sheet{sheet("S1", 0, 2500), sheet("S2", 2500, 5000)},
		Joists: []deck.Member{beam("J1", "beam-245", deck.Point{0, 0}, deck.Point{0, 2450}), beam("J2", "beam-245", deck.Point{500, 0}, deck.Point{500, 2450}),
			beam("J3", "beam-245", deck.Point{1000, 0}, deck.Point{1000, 2450})},
		Stringers: []deck.Member{beam("A/1", "beam-390", deck.Point{0, 500}, deck.Point{3900, 500})},
		Props:     []deck.Prop{prop("A-1", "prop-30", 100, 2500), prop("A-2", "prop-30", 1500, 2500), prop("A-3", "prop-30", 3000, 2500)},
		Guards:    []deck.GuardPost{{ID: "G1", Part: "post", At: deck.Point{0, -600}}},
	}}
	now := deck.Pour{Deck: deck.Deck{Fields: field,
		Sheets: []deck.Sheet{sheet("S1", 0, 2500), sheet("S3", 2500, 4000)}, // S2 gone, S3 another size: new
		Joists: []deck.Member{
			beam("J1", "beam-245", deck.Point{0, 2450}, deck.Point{0, 0}),       // kept, drawn the other way
			beam("J2", "beam-245", deck.Point{500, 3}, deck.Point{500, 2453}),   // kept: 3 mm are no move
			beam("J4", "beam-245", deck.Point{1300, 0}, deck.Point{1300, 2450}), // J3 moved by 300 across its row
		},
		Stringers: []deck.Member{beam("A/1", "beam-390", deck.Point{400, 500}, deck.Point{4300, 500})}, // moved by 400
		Props: []deck.Prop{
			prop("B-1", "prop-30", 100, 2530),  // kept, another setting, another name
			prop("A-2", "prop-40", 1500, 2500), // exchanged
			prop("A-4", "prop-30", 4800, 2500), // too far off to be A-3: one removed, one added
		},
		Guards: []deck.GuardPost{{ID: "G1", Part: "post", At: deck.Point{0, -600}}},
	}}
	got := Pours(&old, &now)
	want := Counts{Of: 10, Kept: 5, Reset: 1, Exchanged: 1, Moved: 2, Added: 2, Removed: 2, Renamed: 1}
	if got.Counts != want {
		t.Errorf("%+v, want %+v", got.Counts, want)
	}
	if len(got.Renamed) == 1 && got.Renamed[0] != (Rename{"prop", "A-1", "B-1"}) {
		t.Errorf("renamed %+v", got.Renamed)
	}
	for _, m := range got.Moved {
		if by := map[string]float64{"J3": 300, "A/1": 400}[m.Was.ID]; m.By != by {
			t.Errorf("%s moved by %g, want %g", m.Was.ID, m.By, by)
		}
	}
	if s := got.Counts.String(); s != "kept 5 of 10 parts (1 of them at another height or setting); 2 added, 2 removed, 2 moved, 1 exchanged, 1 renamed" {
		t.Error(s)
	}
	// Nothing is lost: every part of either deck is in one list.
	c := got.Counts
	if c.Kept+c.Exchanged+c.Moved+c.Removed != c.Of || c.Kept+c.Exchanged+c.Moved+c.Added != 10 {
		t.Errorf("the counts do not add up: %+v", c)
	}
	same := Pours(&now, &now)
	if same.Counts.Any() || same.Counts.Kept != 10 || len(same.Areas) > 0 {
		t.Errorf("a deck differs from itself: %+v", same.Counts)
	}
	back := Pours(&now, &old).Counts
	if back.Added != c.Removed || back.Removed != c.Added || back.Moved != c.Moved || back.Exchanged != c.Exchanged {
		t.Errorf("there %+v, back %+v", c, back)
	}
}

func TestPoursNewAndGone(t *testing.T) {
	post := deck.Deck{Guards: []deck.GuardPost{{ID: "G1", Part: "post"}}}
	old := &deck.Document{Pours: []deck.Pour{{Name: "A", Deck: post}, {Name: "B", Deck: post}}}
	now := &deck.Document{Pours: []deck.Pour{{Name: "B", Deck: post}, {Name: "C", Deck: post}, {Name: "D", Refused: "too high"}}}
	r := Documents(old, now, map[string]string{"B": "laid as A"})
	notes := map[string]string{}
	for _, p := range r.Pours {
		notes[p.Name] = p.Note
	}
	for name, want := range map[string]string{"A": "gone: the job does not have it any more", "B": "laid as A", "C": "new: the earlier plan does not have it", "D": "refused now: no deck"} {
		if notes[name] != want {
			t.Errorf("pour %s: %q, want %q", name, notes[name], want)
		}
	}
	if r.Total != (Counts{Of: 2, Kept: 1, Added: 1, Removed: 1}) {
		t.Errorf("%+v", r.Total)
	}
}

func TestWhatDiffersInTheSlab(t *testing.T) {
	a := deck.Site{Zones: []deck.Zone{{Name: "slab", Thickness: 200}}, Openings: []deck.Ring{{{0, 0}, {1, 0}, {1, 1}}}, TopZ: 3000}
	b := a
	b.Zones = []deck.Zone{{Name: "slab", Thickness: 220}}
	b.Openings, b.TopZ = nil, 3100
	got := site(&a, &b)
	if len(got) != 3 || got[0] != "openings" || got[1] != "thickness" || got[2] != "heights" {
		t.Error(got)
	}
	if got := site(&a, &a); len(got) > 0 {
		t.Error(got)
	}
}

// A beam of another length over the same place is an exchange: 3300 mm of the 3900 mm, and all
// of the shorter one. One that lies beside, or over half of it, is not.
func TestBeamOfAnotherLength(t *testing.T) {
	at := func(id, part string, x, y0, y1 float64) deck.Member {
		return deck.Member{ID: id, Field: "I", Part: part, From: deck.Point{x, y0}, To: deck.Point{x, y1}}
	}
	fields := []deck.Field{{Name: "I", Joists: 90}}
	old := &deck.Pour{Deck: deck.Deck{Fields: fields, Joists: []deck.Member{at("J1", "beam-330", 0, 0, 3300), at("J2", "beam-330", 500, 0, 3300), at("J3", "beam-330", 1000, 0, 3300)}}}
	now := &deck.Pour{Deck: deck.Deck{Fields: fields, Joists: []deck.Member{at("J1", "beam-390", 0, 0, 3900), at("J2", "beam-390", 700, 0, 3900), at("J3", "beam-390", 1000, 1700, 5600)}}}
	c := Pours(old, now)
	if got := c.Counts; got.Exchanged != 1 || got.Added != 2 || got.Removed != 2 {
		t.Errorf("%+v", got)
	}
	if s := Swaps(c.Exchanged); len(s) != 1 || s[0].Words(func(id string) string { return id }) != "1 joist: beam-390 for beam-330" {
		t.Errorf("%+v", s)
	}
}
