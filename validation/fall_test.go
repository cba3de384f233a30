package validation

import (
	"encoding/json"
	"testing"

	"shoreward/internal/deck"
	"shoreward/internal/plan"
)

// A soffit that falls, aslant and by more than a head takes without a wedge: the
// independent audit finds from places and heights alone that all lies in its planes, is as long
// in space as its parts, and that every prop is set to its place; and that it is not,
// when one of these is changed.
func TestFallIndependently(t *testing.T) {
	const job = `job: Ramp, invented
basis: eu
lengths: m
system: timber-beam
concrete: {strength: 30 N/mm2}
rules: {ground: 600 kN/m2}
levels:
  - name: L1
    top: 3.1
    base: 0
    pours:
      - name: P
        slab: {outline: [[0, 0], [7.5, 0], [7.5, 5], [0, 5]], thickness: 180 mm, fall: {from: [0, 0], to: [3, 4], slope: 4 %}}
    columns: [{at: [3.1, 2.4], size: [400 mm, 400 mm]}]
`
	planned, err := plan.JSON(planFloor(t, job))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what   string
		change func(*deck.Deck) string // gives the member that must fail
	}{
		{"as planned", func(*deck.Deck) string { return "" }},
		{"a setting", func(d *deck.Deck) string { d.Props[3].Length += 3; return d.Props[3].ID }},
		{"a seat", func(d *deck.Deck) string { d.Props[3].Seat += 3; return d.Props[3].ID }},
		{"a wedge", func(d *deck.Deck) string { d.Props[3].Taper = 0; return d.Props[3].ID }},
		{"a joist", func(d *deck.Deck) string { d.Joists[2].Top += 3; return d.Joists[2].ID }},
		{"a stringer's far end", func(d *deck.Deck) string { d.Stringers[1].Rise += 3; return d.Stringers[1].ID }},
		{"a corner", func(d *deck.Deck) string { d.Sheets[1].Rises[2] += 3; return d.Sheets[1].ID }},
	} {
		doc := &deck.Document{}
		if err := json.Unmarshal(planned, doc); err != nil {
			t.Fatal(err)
		}
		want := c.change(&doc.Pours[0].Deck)
		r := otherAudit(t, doc)
		found := false
		for _, f := range r.Fails {
			found = found || f.Member == want
		}
		if want == "" && len(r.Fails) > 0 {
			t.Errorf("%s: %+v", c.what, r.Fails)
		}
		if want != "" && !found {
			t.Errorf("%s: %s is not found, but %+v", c.what, want, r.Fails)
		}
	}
}
