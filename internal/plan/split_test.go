package plan

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"

	"shoreward/internal/audit"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// Slabs on the ground with legs at right angles, invented, outlines in mm.
const (
	ellLegs = "[[0, 0], [14000, 0], [14000, 4000], [4000, 4000], [4000, 14000], [0, 14000]]"
	teeLegs = "[[0, 0], [20000, 0], [20000, 4000], [12000, 4000], [12000, 16000], [8000, 16000], [8000, 4000], [0, 4000]]"
)

func legs(outline, pins string) string {
	text := `
job: Legs, invented
basis: eu
lengths: mm
system: timber-beam
concrete: {strength: 30 N/mm2}
rules: {ground: 200 kN/m2}
levels:
  - name: L1
    top: 3200
    base: 0 mm
    pours:
      - name: A
        slab: {outline: ` + outline + `, thickness: 200}
`
	if pins != "" {
		text += "pins:\n  - " + pins + "\n"
	}
	return text
}

// ellPlanned is the plan of the L; nobody changes it.
var ellPlanned struct {
	once sync.Once
	doc  *deck.Document
}

func plannedEll(t *testing.T) *deck.Document {
	t.Helper()
	ellPlanned.once.Do(func() { ellPlanned.doc = planned(t, legs(ellLegs, "")) })
	return ellPlanned.doc
}

func holds(t *testing.T, p *deck.Pour) {
	t.Helper()
	if f := failures(p.Audit); p.Refused != "" || len(f) > 0 {
		t.Fatalf("refused %q, fails %q", p.Refused, f)
	}
}

// Two legs at right angles are cheapest with joists across each of them: cheaper than
// one field either way, which the job can ask for.
func TestLegsInFieldsOfTheirOwn(t *testing.T) {
	for name, outline := range map[string]string{"L": ellLegs, "T": teeLegs} {
		t.Run(name, func(t *testing.T) {
			p := &plannedEll(t).Pours[0]
			if outline != ellLegs {
				p = &planned(t, legs(outline, "")).Pours[0]
			}
			holds(t, p)
			if len(p.Deck.Fields) != 2 || len(p.Deck.Borders) != 1 {
				t.Fatalf("%d fields, borders %v", len(p.Deck.Fields), p.Deck.Borders)
			}
			turn := math.Mod(p.Deck.Fields[0].Joists-p.Deck.Fields[1].Joists+360, 180)
			if math.Abs(turn-90) > 0.01 {
				t.Errorf("joists at %g and %g degrees", p.Deck.Fields[0].Joists, p.Deck.Fields[1].Joists)
			}
			for _, angle := range []int{0, 90} {
				one := &planned(t, legs(outline, fmt.Sprintf("{pour: A, kind: joists, angle: %d deg}", angle))).Pours[0]
				holds(t, one)
				if len(one.Deck.Fields) != 1 || len(one.Deck.Borders) != 0 {
					t.Errorf("joists at %d degrees: %d fields", angle, len(one.Deck.Fields))
				}
				t.Logf("in two fields %.0f, in one at %d degrees %.0f", p.Summary.BoundCost, angle, one.Summary.BoundCost)
				if p.Summary.BoundCost >= one.Summary.BoundCost {
					t.Errorf("two fields cost %.0f, one with joists at %d degrees %.0f", p.Summary.BoundCost, angle, one.Summary.BoundCost)
				}
				if p.Summary.BoundLeast > one.Summary.BoundLeast+1e-6 {
					t.Errorf("the bound over both, %.1f, is above that of one field, %.1f", p.Summary.BoundLeast, one.Summary.BoundLeast)
				}
			}
			ownSides(t, p)
		})
	}
}

// ownSides wants every part of a field on its side of the border, as far as this goes.
func ownSides(t *testing.T, p *deck.Pour) {
	t.Helper()
	b := p.Deck.Borders[0]
	l := math.Hypot(b.To[0]-b.From[0], b.To[1]-b.From[1])
	ux, uy := (b.To[0]-b.From[0])/l, (b.To[1]-b.From[1])/l
	at := func(q deck.Point) (along, left float64) {
		x, y := q[0]-b.From[0], q[1]-b.From[1]
		return x*ux + y*uy, y*ux - x*uy
	}
	check := func(id string, half float64, ring ...deck.Point) {
		lo, hi := math.Inf(1), math.Inf(-1)
		for i, q := range ring {
			next := ring[(i+1)%len(ring)]
			for k := range 101 { // points along the sides
				f := float64(k) / 100
				if along, left := at(deck.Point{q[0] + f*(next[0]-q[0]), q[1] + f*(next[1]-q[1])}); along > 1 && along < l-1 {
					lo, hi = math.Min(lo, left-half), math.Max(hi, left+half)
				}
			}
		}
		if lo < -0.1 && hi > 0.1 {
			t.Errorf("%s lies from %.1f mm on one side of the border to %.1f mm on the other", id, -lo, hi)
		}
	}
	for _, s := range p.Deck.Sheets {
		check(s.ID, 0, s.Shape.Outer...)
	}
	for _, list := range [][]deck.Member{p.Deck.Joists, p.Deck.Stringers} {
		for _, m := range list {
			check(m.ID, 0, m.From, m.To)
		}
	}
}

// A sheet at the border that is 30 mm off is found: it leaves deck bare on one side
// and lies over the other field's sheets on the other.
func TestBorderTampered(t *testing.T) {
	doc := plannedEll(t)
	p := &doc.Pours[0]
	holds(t, p)
	b := p.Deck.Borders[0]
	l := math.Hypot(b.To[0]-b.From[0], b.To[1]-b.From[1])
	n := deck.Point{-(b.To[1] - b.From[1]) / l, (b.To[0] - b.From[0]) / l} // across the border
	moved := 0
	for i := range p.Deck.Sheets {
		beside := false
		for _, r := range p.Deck.Sheets[i].Shape.Rings() {
			for k, q := range r {
				mid := deck.Point{(q[0] + r[(k+1)%len(r)][0]) / 2, (q[1] + r[(k+1)%len(r)][1]) / 2}
				beside = beside || plane.Distance(mid, b.From, b.To) < 1
			}
		}
		if !beside {
			continue
		}
		for _, by := range []float64{30, -30} {
			data, err := json.Marshal(doc)
			if err != nil {
				t.Fatal(err)
			}
			c := &deck.Document{}
			if err := json.Unmarshal(data, c); err != nil {
				t.Fatal(err)
			}
			s := &c.Pours[0].Deck.Sheets[i]
			s.Shape = s.Shape.Map(func(q plane.Point) plane.Point { return plane.Point{q[0] + by*n[0], q[1] + by*n[1]} })
			got, err := audit.Run(c, &c.Pours[0])
			if err != nil {
				t.Fatal(err)
			}
			if len(got.Failing()) == 0 {
				t.Errorf("sheet %s may be moved by %g mm across the border", s.ID, by)
			}
			moved++
		}
	}
	if moved < 4 {
		t.Errorf("only %d sheets lie at the border", moved/2)
	}
}

// A re-plan keeps the fields: all of them where nothing changes, and where a leg
// grows; where the border parts nothing any more the pour is laid afresh, and why is said.
func TestFieldsAreKept(t *testing.T) {
	old := plannedEll(t)
	same, starts := again(t, legs(ellLegs, ""), old)
	if starts[0].Afresh != "" {
		t.Fatal(starts[0].Afresh)
	}
	a, b := printed(&old.Pours[0].Deck), printed(&same.Pours[0].Deck)
	for k := range a {
		if _, ok := b[k]; !ok {
			t.Errorf("gone: %s", k)
		}
	}
	if len(a) != len(b) {
		t.Errorf("%d parts, were %d", len(b), len(a))
	}

	longer := strings.ReplaceAll(ellLegs, "14000]", "15000]") // the upright leg
	now, starts := again(t, legs(longer, ""), old)
	d := &now.Pours[0].Deck
	if starts[0].Afresh != "" || len(d.Fields) != 2 || len(d.Borders) != 1 {
		t.Fatalf("start %+v, %d fields", starts[0], len(d.Fields))
	}
	for i, f := range d.Fields {
		if o := old.Pours[0].Deck.Fields[i]; f.Name != o.Name || f.Zone != "slab" || f.Joists != o.Joists {
			t.Errorf("field %+v, was %+v", f, o)
		}
	}
	kept := 0
	for k := range printed(d) {
		if _, ok := a[k]; ok {
			kept++
		}
	}
	if kept < len(a)*8/10 {
		t.Errorf("%d of %d parts are kept", kept, len(a))
	}

	one := "[[0, 6000], [4000, 6000], [4000, 14000], [0, 14000]]" // the lying leg is no more
	gone, starts := again(t, legs(one, ""), old)
	if !strings.Contains(starts[0].Afresh, "border") || len(gone.Pours[0].Deck.Borders) > 0 {
		t.Errorf("laid afresh because %q, borders %v", starts[0].Afresh, gone.Pours[0].Deck.Borders)
	}
}

// Outlines of legs that nobody drew, large enough to be parted: every property of a
// random pour holds (SHOREWARD_POURS for more of them).
func TestRandomLegs(t *testing.T) {
	cat, err := catalog.Load("")
	if err != nil {
		t.Fatal(err)
	}
	first := fromEnv(t, "SHOREWARD_SEED", 0)
	for i := range max(1, fromEnv(t, "SHOREWARD_POURS", defaultPours)/7) {
		seed := uint64(first + i)
		s := rand.New(rand.NewPCG(seed, 77))
		mm := func(lo, hi int) int { return lo + 10*s.IntN((hi-lo)/10) }
		w, h, a, b := mm(9000, 15000), mm(9000, 14000), mm(2600, 5000), mm(2600, 5000)
		c := a + mm(2000, 3000)
		outline := []string{
			fmt.Sprintf("[[0, 0], [%d, 0], [%d, %d], [%d, %d], [%d, %d], [0, %d]]", w, w, b, a, b, a, h, h),
			fmt.Sprintf("[[0, 0], [%d, 0], [%d, %d], [%d, %d], [%d, %d], [%d, %d], [%d, %d], [0, %d]]", w, w, b, c, b, c, h, a, h, a, b, b),
			fmt.Sprintf("[[0, 0], [%d, 0], [%d, %d], [%d, %d], [%d, %d], [%d, %d], [%d, %d], [0, %d]]", w, w, h, w-a, h, w-a, b, a, b, a, h, h),
			fmt.Sprintf("[[0, 0], [%d, 0], [%d, %d], [%d, %d], [%d, %d], [%d, %d], [%d, %d]]", a, a, h-b, w, h-b, w, h, 0, h, 0, h/2),
		}[seed%4]
		if o := tryJob(seed, legs(outline, ""), cat); o.kind != "passed" || len(o.broken) > 0 {
			t.Errorf("seed %d, %s: %s %s %v", seed, outline, o.kind, o.why, o.broken)
		}
	}
}
