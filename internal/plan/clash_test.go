package plan

import (
	"strings"
	"testing"

	"shoreward/internal/audit"
	"shoreward/internal/plane"
)

// besideWall is a strip of deck between a wall and a drop panel, invented: short
// joists on one line. A prop was laid under some of them where the stringer lies, and
// the audit let it pass.
const besideWall = `job: Beside the wall, invented
basis: us
lengths: in
system: timber-beam
concrete: {strength: 30 N/mm2}
rules: {ground: 100 kN/m2}
levels:
  - name: Level1
    top: 827
    base: "722 in"
    pours:
      - name: P1a
        slab:
          outline: [[0, 0], [177, 0], [177, 210], [127, 210], [127, 114], [70, 114], [70, 210], [0, 210]]
          thickness: 16
        drops: [{outline: [[20, 20], [68, 20], [68, 68], [20, 68]], thickness: 19}]
    columns: [{at: [44, 44], size: [20, 20]}]
    walls: [{from: [0, 0], to: [177, 0], thickness: 7}]
`

// A prop that reaches up to a joist does not run through a stringer, and one that does
// is found.
func TestPropsPassStringers(t *testing.T) {
	doc := planned(t, besideWall)
	p := &doc.Pours[0]
	holds(t, p)
	for _, q := range p.Deck.Props {
		for _, s := range p.Deck.Stringers {
			part := doc.Parts[s.Part]
			if q.Under == "joist" && q.Seat > s.Top-mmValue(part.Depth)+1 && plane.Distance(q.At, s.From, s.To) < mmValue(part.Width)/2 {
				t.Errorf("prop %s stands in stringer %s", q.ID, s.ID)
			}
		}
	}
	moved := false
	for i := range p.Deck.Props {
		if q := &p.Deck.Props[i]; q.Under == "joist" && !moved {
			s := p.Deck.Stringers[0]
			q.At, moved = plane.Point{(s.From[0] + s.To[0]) / 2, (s.From[1] + s.To[1]) / 2}, true
		}
	}
	if !moved {
		t.Fatal("no prop stands under a joist: there is nothing to move")
	}
	found, err := audit.Run(doc, p)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(strings.Join(failures(found), "\n"), "runs into stringer") {
		t.Errorf("a prop moved into a stringer is not found: %q", failures(found))
	}
}
