package plan

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"shoreward/internal/audit"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

const pinnedFloor = groundFloor + `      - name: L1
        slab: {outline: [[0, 0], [14, 0], [14, 9], [0, 9]], thickness: 220 mm, openings: [[[9, 3], [11, 3], [11, 5], [9, 5]]]}
    columns: [{at: [4, 4.5], size: [400 mm, 400 mm]}, {at: [12.5, 4.5], size: [400 mm, 400 mm]}]
pins:
`

func planPinned(t *testing.T, pins string) (*deck.Document, Open) {
	t.Helper()
	j, doc := run(t, pinnedFloor+pins)
	return doc, Unsettled(j, doc)
}

// A passage kept clear, joists along x, and the longest beam forbidden: the plan
// does as told, holds, and an audit sees a prop moved into the passage.
func TestPinsAreObeyed(t *testing.T) {
	doc, open := planPinned(t, `
  - {pour: L1, kind: clear, area: [[6, 0], [7.5, 0], [7.5, 9], [6, 9]]}
  - {pour: L1, kind: joists, angle: 0 deg}
  - {pour: L1, kind: forbid, part: beam-490}
`)
	p := &doc.Pours[0]
	if p.Refused != "" || p.Summary.Failed > 0 || len(open.NotObeyed) > 0 {
		t.Fatalf("refused %q, %d failures, not obeyed %v", p.Refused, p.Summary.Failed, open.NotObeyed)
	}
	for _, q := range p.Deck.Props {
		if q.At[0] > 6000-74 && q.At[0] < 7500+74 {
			t.Errorf("prop %s at x %.0f stands in the passage", q.ID, q.At[0])
		}
	}
	for _, list := range [][]deck.Member{p.Deck.Joists, p.Deck.Stringers} {
		for _, m := range list {
			if m.Part == "beam-490" {
				t.Errorf("%s is the forbidden part", m.ID)
			}
		}
	}
	for _, m := range p.Deck.Joists {
		if math.Abs(m.From[1]-m.To[1]) > 1 {
			t.Errorf("joist %s does not run along x", m.ID)
		}
	}
	p.Deck.Props[0].At = deck.Point{6750, 4500}
	found, err := audit.Run(doc, p)
	if err != nil {
		t.Fatal(err)
	}
	said := false
	for _, f := range found.Findings {
		said = said || f.Member == p.Deck.Props[0].ID && f.Fails && strings.Contains(f.What, "keeps clear")
	}
	if !said {
		t.Error("a prop in the passage is not found")
	}
}

func TestPinsThatCannotBeObeyed(t *testing.T) {
	for pins, want := range map[string]string{
		"  - {pour: L1, kind: joists, angle: 0 deg}\n  - {pour: L1, kind: joists, angle: 90 deg}\n":                                                                             "another direction",
		"  - {pour: L1, kind: forbid, part: drop-head}\n":                                                                                                                       "nothing else for its place",
		"  - {pour: L1, kind: keep, part: prop-e30, at: [4.1, 4.5]}\n":                                                                                                          "it would stand in column 1; move it clear",
		"  - {pour: L1, kind: keep, part: prop-e30, at: [4.26, 4.5]}\n":                                                                                                         "it would stand in column 1; move it clear", // its plate does
		"  - {pour: L1, kind: keep, part: prop-e30, at: [15, 4.5]}\n":                                                                                                           "outside the deck",
		"  - {pour: L1, kind: keep, part: prop-e30, at: [10, 4]}\n":                                                                                                             "outside the deck", // in the opening
		"  - {pour: L1, kind: keep, part: prop-e25, at: [2, 2]}\n":                                                                                                              "out of its range",
		"  - {pour: L1, kind: keep, part: wood-shore-8ft, at: [2, 2]}\n":                                                                                                        "system timber-beam has no such prop",
		"  - {pour: L1, kind: keep, part: beam-390, as: stringer, at: [2, 4.5], angle: 0 deg}\n":                                                                                "column 1; move it clear",
		"  - {pour: L1, kind: keep, part: ply-birch-21, at: [13, 8], angle: 0 deg}\n":                                                                                           "of it lie outside the deck",
		"  - {pour: L1, kind: clear, area: [[1, 1], [3, 1], [3, 3], [1, 3]]}\n  - {pour: L1, kind: keep, part: prop-e30, at: [2, 2]}\n":                                         "keeps that place clear",
		"  - {pour: L1, kind: forbid, part: prop-e30, area: [[1, 1], [3, 1], [3, 3], [1, 3]]}\n  - {pour: L1, kind: keep, part: prop-e30, at: [2, 2]}\n":                        "where pin 1 forbids it",
		"  - {pour: L1, kind: keep, part: beam-390, as: joist, at: [1, 1], angle: 0 deg}\n  - {pour: L1, kind: keep, part: beam-390, as: stringer, at: [5, 1], angle: 0 deg}\n": "another direction",
		"  - {pour: L1, kind: keep, part: prop-e30, at: [2, 3]}\n  - {pour: L1, kind: keep, part: prop-e30, at: [2.05, 3.05]}\n":                                                "in one another's place",
		"  - {pour: L1, kind: joint, at: [20, 0], angle: 90 deg}\n":                                                                                                             "does not cross",
		"  - {pour: L1, kind: joint, at: [6, 0], angle: 90 deg}\n  - {pour: L1, kind: keep, part: beam-390, as: stringer, at: [4.5, 2], angle: 0 deg}\n":                        "runs across a joint",
	} {
		doc, _ := planPinned(t, pins)
		if got := doc.Pours[0].Refused; !strings.Contains(got, want) {
			t.Errorf("refused %q, want %q", got, want)
		}
	}
}

// Kept parts are in the deck exactly where they are kept, and the whole holds.
func TestKept(t *testing.T) {
	for pins, is := range map[string]func(d *deck.Deck) bool{
		"  - {pour: L1, kind: keep, part: prop-e30, at: [2, 3.33]}\n  - {pour: L1, kind: keep, part: prop-e35, at: [7.51, 6.1]}\n": func(d *deck.Deck) bool {
			return propAt(d, "prop-e30", 2000, 3330) && propAt(d, "prop-e35", 7510, 6100)
		},
		"  - {pour: L1, kind: keep, as: line, at: [7, 2.2]}\n": func(d *deck.Deck) bool {
			for _, s := range d.Stringers { // along x or along y through the point
				alongX := s.From[1] == 2200 && s.To[1] == 2200 && math.Min(s.From[0], s.To[0]) < 7000 && math.Max(s.From[0], s.To[0]) > 7000
				alongY := s.From[0] == 7000 && s.To[0] == 7000 && math.Min(s.From[1], s.To[1]) < 2200 && math.Max(s.From[1], s.To[1]) > 2200
				if alongX || alongY {
					return true
				}
			}
			return false
		},
		"  - {pour: L1, kind: keep, part: beam-490, as: stringer, at: [6, 2.2], angle: 90 deg}\n": func(d *deck.Deck) bool {
			return memberAt(d.Stringers, "beam-490", deck.Point{6000, 2200}, deck.Point{6000, 7100})
		},
		"  - {pour: L1, kind: keep, part: beam-290, as: joist, at: [6.1, 2.2], angle: 90 deg}\n": func(d *deck.Deck) bool {
			return memberAt(d.Joists, "beam-290", deck.Point{6100, 2200}, deck.Point{6100, 5100})
		},
		"  - {pour: L1, kind: keep, part: ply-birch-21, at: [5.1, 2.2], angle: 0 deg}\n": func(d *deck.Deck) bool {
			for _, s := range d.Sheets {
				if b := s.Shape.Outer.Bounds(); !s.Cut && s.Grain == 0 && b.X0 == 5100 && b.Y0 == 2200 && b.X1 == 7600 && b.Y1 == 3450 {
					return true
				}
			}
			return false
		},
	} {
		doc, open := planPinned(t, pins)
		p := &doc.Pours[0]
		if p.Refused != "" || p.Summary.Failed > 0 || open.Any() {
			t.Errorf("%s: refused %q, %d failures, open %v", pins, p.Refused, p.Summary.Failed, open)
			continue
		}
		if !is(&p.Deck) {
			t.Errorf("%s: it is not there", pins)
		}
		for _, w := range lookOver(doc, p, 1) {
			t.Errorf("%s: %s", pins, w)
		}
	}
}

// A sheet that is kept has a name of its own when the job is planned again with one
// more, whose pin stands before its own.
func TestKeptSheetsPlannedAgain(t *testing.T) {
	const pin = "  - {pour: L1, kind: keep, part: ply-birch-21, at: [%s], angle: 0 deg}\n"
	first, more := fmt.Sprintf(pin, "5.1, 2.2"), fmt.Sprintf(pin, "1.1, 5.2")
	old := planned(t, pinnedFloor+first)
	now, starts := again(t, pinnedFloor+more+first, old)
	if starts[0].Afresh != "" {
		t.Errorf("laid afresh: %s", starts[0].Afresh)
	}
	was, _ := old.Pours[0].Site.Keep[0].In(&old.Pours[0].Deck)
	if is, _ := now.Pours[0].Site.Keep[1].In(&now.Pours[0].Deck); is != was || is == "" {
		t.Errorf("the sheet that stays was %q, now it is %q", was, is)
	}
}

func propAt(d *deck.Deck, part string, x, y float64) bool {
	for _, p := range d.Props {
		if p.Part == part && p.At == (deck.Point{x, y}) {
			return true
		}
	}
	return false
}

func memberAt(list []deck.Member, part string, a, b deck.Point) bool {
	for _, m := range list {
		if m.Part == part && (m.From == a && m.To == b || m.From == b && m.To == a) {
			return true
		}
	}
	return false
}

// What is kept and cannot hold is said: these props stand 50 mm apart across
// stringers of either direction, which are 80 mm wide.
func TestKeptThatFails(t *testing.T) {
	doc, open := planPinned(t, "  - {pour: L1, kind: keep, part: prop-e30, at: [2, 3]}\n  - {pour: L1, kind: keep, part: prop-e30, at: [2.1, 3.05]}\n  - {pour: L1, kind: keep, part: prop-e30, at: [2.05, 3.15]}\n")
	p := &doc.Pours[0]
	if p.Summary.Failed == 0 || len(open.NotObeyed) == 0 || !strings.Contains(strings.Join(open.NotObeyed, "\n"), "pin") {
		t.Errorf("%d failures, not obeyed %q", p.Summary.Failed, open.NotObeyed)
	}
}

// A part forbidden in a place is not there, as other parts or, where these do not
// do, nowhere; props forbidden there are kept out.
func TestForbiddenInPlace(t *testing.T) {
	area := plane.Rect(0, 0, 5000, 5000)
	for _, part := range []string{"beam-450", "beam-390", "prop-e30"} {
		doc, open := planPinned(t, "  - {pour: L1, kind: forbid, part: "+part+", area: [[0, 0], [5, 0], [5, 5], [0, 5]]}\n")
		p := &doc.Pours[0]
		if p.Refused != "" || p.Summary.Failed > 0 || open.Any() {
			t.Errorf("%s: refused %q, %d failures, open %v", part, p.Refused, p.Summary.Failed, open)
		}
		for _, list := range [][]deck.Member{p.Deck.Joists, p.Deck.Stringers} {
			for _, m := range list {
				for k := range 101 { // along its middle
					f := float64(k) / 100
					q := plane.Point{m.From[0] + (m.To[0]-m.From[0])*f, m.From[1] + (m.To[1]-m.From[1])*f}
					if m.Part == part && area.Contains(q) {
						t.Fatalf("%s: %s lies in the place", part, m.ID)
					}
				}
			}
		}
		for _, q := range p.Deck.Props {
			if q.Part == part && (area.Contains(q.At) || area.DistanceTo(q.At) < 75) {
				t.Fatalf("%s: %s stands in the place", part, q.ID)
			}
		}
	}
	doc, _ := planPinned(t, "  - {pour: L1, kind: forbid, as: prop, area: [[0, 0], [1.5, 0], [1.5, 5], [0, 5]]}\n")
	kept := plane.Rect(0, 0, 1500, 5000)
	for _, q := range doc.Pours[0].Deck.Props {
		if kept.Contains(q.At) || kept.DistanceTo(q.At) < 75 {
			t.Errorf("prop %s stands where none may", q.ID)
		}
	}
}

// Nothing of the deck runs across a joint: every part lies on one side.
func TestJointIsFollowed(t *testing.T) {
	doc, open := planPinned(t, "  - {pour: L1, kind: joint, at: [6.4, 0], angle: 90 deg}\n")
	p := &doc.Pours[0]
	if p.Refused != "" || p.Summary.Failed > 0 || open.Any() {
		t.Fatalf("refused %q, %d failures, open %v", p.Refused, p.Summary.Failed, open)
	}
	side := func(id string, xs ...float64) {
		lo, hi := xs[0], xs[0]
		for _, x := range xs {
			lo, hi = math.Min(lo, x), math.Max(hi, x)
		}
		if lo < 6400-0.1 && hi > 6400+0.1 {
			t.Errorf("%s lies from x %.1f to %.1f", id, lo, hi)
		}
	}
	for _, s := range p.Deck.Sheets {
		b := s.Shape.Outer.Bounds()
		side(s.ID, b.X0, b.X1)
	}
	for _, list := range [][]deck.Member{p.Deck.Joists, p.Deck.Stringers} {
		for _, m := range list {
			w := 40 * math.Abs(m.To[1]-m.From[1]) / math.Hypot(m.To[0]-m.From[0], m.To[1]-m.From[1]) // half its width, 80 mm
			side(m.ID, m.From[0]-w, m.From[0]+w, m.To[0]-w, m.To[0]+w)
		}
	}
	for _, w := range lookOver(doc, p, 2) {
		t.Error(w)
	}
}
