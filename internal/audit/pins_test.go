package audit

import (
	"strings"
	"testing"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// What people fixed is proven from the document: a kept part that is not there, a
// part where it is forbidden, and a part across a joint fail; a gap is a caution.
func TestPins(t *testing.T) {
	prop := small().Pours[0].Deck.Props[0]
	joist := small().Pours[0].Deck.Joists[0]
	stringer := small().Pours[0].Deck.Stringers[0]
	sheet := small().Pours[0].Deck.Sheets[0]
	middle := plane.Rect(1150, 550, 1250, 650) // of the sheet and of joist J2; no prop, no stringer
	for _, c := range []struct {
		what   string
		change func(s *deck.Site)
		member string // that fails; none: nothing does
		words  string
	}{
		{"kept and there", func(s *deck.Site) {
			s.Keep = []deck.Kept{
				{Pin: 1, As: "prop", Part: prop.Part, At: prop.At, To: prop.At},
				{Pin: 2, As: "joist", Part: joist.Part, At: joist.To, To: joist.From},
				{Pin: 3, As: "stringer", Part: stringer.Part, At: stringer.From, To: stringer.To},
				{Pin: 4, As: "sheet", Part: sheet.Part, At: sheet.Shape.Outer[0], To: sheet.Shape.Outer[1], Shape: sheet.Shape.Outer},
				{Pin: 5, As: "line", At: deck.Point{(stringer.From[0] + stringer.To[0]) / 2, stringer.From[1]}},
			}
		}, "", ""},
		{"another part", func(s *deck.Site) { s.Keep = []deck.Kept{{Pin: 7, As: "prop", Part: "other", At: prop.At}} }, "pin 7", "the prop other that pin 7"},
		{"beside it", func(s *deck.Site) {
			s.Keep = []deck.Kept{{Pin: 7, As: "prop", Part: prop.Part, At: deck.Point{prop.At[0] + 5, prop.At[1]}}}
		}, "pin 7", "the prop prop that pin 7"},
		{"no line there", func(s *deck.Site) { s.Keep = []deck.Kept{{Pin: 7, As: "line", At: deck.Point{1200, 600}}} }, "pin 7", "the line of stringers"},
		{"forbidden joist", func(s *deck.Site) { s.Bans = []deck.Ban{{Pin: 8, Part: "beam", Area: middle}} }, "J2", "beam lies where pin 8"},
		{"forbidden sheet", func(s *deck.Site) { s.Bans = []deck.Ban{{Pin: 8, Part: "sheet", Area: middle}} }, "S1", "sheet lies where pin 8"},
		{"no prop there to forbid", func(s *deck.Site) { s.Bans = []deck.Ban{{Pin: 8, Part: "prop", Area: middle}} }, "", ""},
		{"joint along x", func(s *deck.Site) { s.Joints = []deck.Line{{From: deck.Point{0, 600}, To: deck.Point{2400, 600}}} }, "J2", "the joist runs across a joint"},
		{"the sheet too", func(s *deck.Site) { s.Joints = []deck.Line{{From: deck.Point{0, 600}, To: deck.Point{2400, 600}}} }, "S1", "the sheet runs across a joint"},
		{"joint along y", func(s *deck.Site) { s.Joints = []deck.Line{{From: deck.Point{700, 0}, To: deck.Point{700, 1200}}} }, "A", "the stringer runs across a joint"},
		{"joint at the edge", func(s *deck.Site) { s.Joints = []deck.Line{{From: deck.Point{2400, 2000}, To: deck.Point{2400, 3200}}} }, "", ""},
	} {
		a := tamper(t, func(doc *deck.Document, _ *deck.Deck) { c.change(&doc.Pours[0].Site) })
		if c.member == "" {
			for _, f := range a.Findings {
				if f.Fails && (strings.Contains(f.What, "pin") || strings.Contains(f.What, "joint")) {
					t.Errorf("%s: %s: %s", c.what, f.Member, f.What)
				}
			}
			continue
		}
		wantFailure(t, a, c.member, c.words)
	}
	a := tamper(t, func(doc *deck.Document, _ *deck.Deck) {
		doc.Pours[0].Site.Gaps = []deck.Gap{{From: deck.Point{0, -20}, To: deck.Point{2400, -20}, Width: 40, Beside: "wall 1"}}
	})
	said := false
	for _, f := range a.Findings {
		said = said || !f.Fails && f.Member == "gap 1" && strings.Contains(f.What, "40 mm beside wall 1, 2400 mm long")
	}
	if !said {
		t.Errorf("the gap is not said: %+v", a.Findings)
	}
}
