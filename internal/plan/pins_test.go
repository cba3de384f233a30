package plan

import (
	"math"
	"strings"
	"testing"

	"shoreward/internal/audit"
	"shoreward/internal/deck"
)

const pinnedFloor = `job: A floor with pins (invented)
basis: eu
lengths: m
system: timber-beam
concrete: {strength: 30 N/mm2}
rules: {ground: 200 kN/m2}
levels:
  - name: L1
    top: 3.25
    base: 0
    pours:
      - name: L1
        slab: {outline: [[0, 0], [14, 0], [14, 9], [0, 9]], thickness: 220 mm, openings: [[[9, 3], [11, 3], [11, 5], [9, 5]]]}
    columns: [{at: [4, 4.5], size: [400 mm, 400 mm]}, {at: [12.5, 4.5], size: [400 mm, 400 mm]}]
pins:
`

func planPinned(t *testing.T, pins string) (*deck.Document, Open) {
	t.Helper()
	j, cat := loadText(t, pinnedFloor+pins)
	doc, err := Run(j, cat, nil)
	if err != nil {
		t.Fatal(err)
	}
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
		"  - {pour: L1, kind: joists, angle: 0 deg}\n  - {pour: L1, kind: joists, angle: 90 deg}\n": "another direction",
		"  - {pour: L1, kind: forbid, part: drop-head}\n":                                           "nothing else for its place",
	} {
		doc, _ := planPinned(t, pins)
		if got := doc.Pours[0].Refused; !strings.Contains(got, want) {
			t.Errorf("refused %q, want %q", got, want)
		}
	}
	_, open := planPinned(t, "  - {pour: L1, kind: keep, part: prop-e30, at: [1, 1]}\n  - {pour: L1, kind: forbid, part: beam-490, area: [[0, 0], [2, 0], [2, 2]]}\n")
	if len(open.NotObeyed) != 2 {
		t.Errorf("not obeyed: %v", open.NotObeyed)
	}
}
