package deck

import (
	"testing"

	"shoreward/internal/catalog"
)

// Beams of 4 m with marks every meter from 0.5 m in; places and counts by hand.
func TestOnMarks(t *testing.T) {
	parts := map[string]*catalog.Part{
		"marked": {ID: "marked", Kind: catalog.Beam, Marks: 1, FirstMark: 0.5},
		"plain":  {ID: "plain", Kind: catalog.Beam},
	}
	parts["marked"].Width.V, parts["plain"].Width.V = 0.08, 0.08
	d := &Deck{
		Stringers: []Member{
			{ID: "A/1", Part: "marked", From: Point{0, 0}, To: Point{4000, 0}},
			{ID: "B/1", Part: "plain", From: Point{0, 2000}, To: Point{4000, 2000}},
			{ID: "C/1", Part: "marked", From: Point{4000, 2750}, To: Point{1000, 2750}, Sawn: true}, // no marks to go by
		},
		Joists: []Member{
			{ID: "1", Part: "plain", From: Point{1500, -500}, To: Point{1500, 3000}},  // A at a mark; B and C not marked
			{ID: "2", Part: "plain", From: Point{1700, -500}, To: Point{1700, 3000}},  // A off a mark
			{ID: "3", Part: "marked", From: Point{2000, -508}, To: Point{2000, 3492}}, // A off its own but 8 mm off the joist's first; B at 2508: on
			{ID: "4", Part: "marked", From: Point{2200, -520}, To: Point{2200, 3480}}, // 20 mm off both; C at 3270: off
		},
		Props: []Prop{
			{ID: "A-1", Under: "stringer", At: Point{500, 0}},
			{ID: "A-2", Under: "stringer", At: Point{2491, 5}},
			{ID: "A-3", Under: "stringer", At: Point{3000, 0}},
			{ID: "A-4", Under: "stringer", At: Point{3500, 60}}, // beside it
			{ID: "B-1", Under: "stringer", At: Point{500, 2000}},
			{ID: "P1", Under: "joist", At: Point{1500, 0}},
		},
	}
	got := OnMarks(d, parts)
	// Props: of. Crossings: joists 1 and 2 with A, joists 3
	// and 4 with A, B and C: eight, of which 1/A, 3/A and 3/B lie at a mark.
	if got.PropsOn != 2 || got.PropsAll != 3 || got.CrossingsOn != 3 || got.CrossingsAll != 8 {
		t.Errorf("%+v", got)
	}
	if sum := got.With(got); sum.PropsAll != 6 || sum.Props != got.Props || sum.Crossings != 3.0/8 {
		t.Errorf("twice the deck: %+v", sum)
	}
}
