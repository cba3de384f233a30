package plan

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"shoreward/internal/deck"
)

const stockedFloor = groundFloor + `      - name: L1-A
        slab: {outline: [[0, 0], [7, 0], [7, 5], [0, 5]], thickness: 220 mm}
      - name: L1-B
        slab: {outline: [[7, 0], [12, 0], [12, 5], [7, 5]], thickness: 220 mm}
`

// stocked plans a floor and counts its parts by hand: what is laid and stands in
// all pours of the level.
func stocked(t *testing.T, extra string) (*deck.Document, Open, map[string]int) {
	t.Helper()
	j, doc := run(t, stockedFloor+extra)
	n := map[string]int{}
	for _, p := range doc.Pours {
		if p.Refused != "" {
			t.Fatal(p.Refused)
		}
		for _, m := range p.Deck.Joists {
			n[m.Part]++
		}
		for _, m := range p.Deck.Stringers {
			n[m.Part]++
		}
		for _, q := range p.Deck.Props {
			n[q.Part]++
		}
		for _, s := range p.Deck.Sheets {
			if !s.Cut {
				n[s.Part]++
			}
		}
		for _, q := range p.Cuts.Patterns { // cut ones by the sheets that are sawn for them
			if q.Offcut == "" {
				n[q.Part]++
			}
		}
	}
	return doc, Unsettled(j, doc), n
}

func stockText(stock map[string]int) string {
	var lines []string
	for part, n := range stock {
		lines = append(lines, fmt.Sprintf("  %s: %d\n", part, n))
	}
	return "stock:\n" + strings.Join(lines, "")
}

func mostOf(n map[string]int, kind string) (part string) {
	for p, k := range n {
		if strings.HasPrefix(p, kind) && (k > n[part] || k == n[part] && p < part) {
			part = p
		}
	}
	return part
}

// Within the stock: with enough nothing changes; of what is short other lengths,
// or other props, take the place, no more of them than the yard has; where there
// is nothing, the plan says what is short by how much.
func TestWithinStock(t *testing.T) {
	free, _, n := stocked(t, "")
	if free.Total.Failed > 0 {
		t.Fatalf("%d failures without a stock", free.Total.Failed)
	}
	enough, open, _ := stocked(t, stockText(n))
	if len(open.Short) > 0 || enough.Total.Cost != free.Total.Cost || enough.Total.Pieces != free.Total.Pieces {
		t.Errorf("with enough of everything: short %v, cost %g of %g", open.Short, enough.Total.Cost, free.Total.Cost)
	}
	beam, prop := mostOf(n, "beam"), mostOf(n, "prop")
	for name, stock := range map[string]map[string]int{
		"some beams short":     {beam: n[beam] - 5},
		"none of a length":     {beam: 0},
		"some props short":     {prop: n[prop] - 7},
		"props and beam short": {prop: n[prop] / 2, beam: n[beam] / 2},
	} {
		doc, open, m := stocked(t, stockText(stock))
		if len(open.Short) > 0 || doc.Total.Failed > 0 {
			t.Errorf("%s: short %v, %d failures", name, open.Short, doc.Total.Failed)
		}
		for part, have := range stock {
			if m[part] > have {
				t.Errorf("%s: %d of %s, the yard has %d", name, m[part], part, have)
			}
		}
		for i := range doc.Pours {
			for _, w := range lookOver(doc, &doc.Pours[i], 3) {
				t.Errorf("%s: %s", name, w)
			}
		}
	}
	// Short of everything: three of every beam, prop and sheet that the system knows.
	j, cat := loadText(t, stockedFloor)
	system, err := cat.Kit(j.System, string(j.Basis), j.Style)
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]int{}
	for _, list := range [][]string{system.Sheets, system.Joists, system.Stringers, system.Props} {
		for _, id := range list {
			all[id] = 3
		}
	}
	doc, open, m := stocked(t, stockText(all))
	if doc.Total.Failed > 0 || len(open.Short) == 0 {
		t.Errorf("short of everything: %d failures, short %v", doc.Total.Failed, open.Short)
	}
	for _, s := range open.Short {
		if s.Need != m[s.Part] || s.Have != 3 || s.Where != "L1" {
			t.Errorf("short %+v, placed %d", s, m[s.Part])
		}
	}
}

// Parts over the limit are carried by two, told so, and left out where the job
// forbids them and the system has lighter ones.
func TestTwoPerson(t *testing.T) {
	const limit = 15 // kg; beams weigh 4.8 kg/m and are named by their length in cm
	heavy := func(n map[string]int) (sum int) {
		for part, k := range n {
			var cm float64
			if _, err := fmt.Sscanf(part, "beam-%f", &cm); err == nil && cm/100*4.8 > limit {
				sum += k
			}
		}
		return sum
	}
	_, open, n := stocked(t, fmt.Sprintf("deck: {one_man_lift: %d kg}\n", limit))
	if heavy(n) == 0 || open.Any() {
		t.Fatalf("the free plan has %d heavy beams of %v, open %v", heavy(n), n, open)
	}
	doc, open, n := stocked(t, fmt.Sprintf("deck: {one_man_lift: %d kg, two_person: forbid}\n", limit))
	if heavy(n) > 0 || doc.Total.Failed > 0 {
		t.Errorf("%d heavy beams of %v, %d failures", heavy(n), n, doc.Total.Failed)
	}
	// A sheet of birch plywood, 2.5 m x 1.25 m x 18 mm, weighs over 35 kg: no sheet is light.
	if said := strings.Join(open.NotObeyed, "\n"); !strings.Contains(said, "ply-birch-21 are over one_man_lift") || strings.Contains(said, "beam") {
		t.Errorf("not obeyed: %s", said)
	}
}

// Under each objective its own figure is no more than that of the plan for money.
func TestObjectives(t *testing.T) {
	money, _, _ := stocked(t, "")
	for name, figure := range map[string]func(deck.Summary) float64{
		"pieces":  func(s deck.Summary) float64 { return float64(s.Pieces) },
		"weight":  func(s deck.Summary) float64 { return s.Weight },
		"grading": func(s deck.Summary) float64 { return float64(s.GradingOps) },
	} {
		doc, _, _ := stocked(t, "deck: {objective: "+name+"}\n")
		if got, most := figure(doc.Total), figure(money.Total); got > most+1e-9 || doc.Total.Failed > 0 {
			t.Errorf("%s: %g, for money %g; %d failures", name, got, most, doc.Total.Failed)
		}
	}
}

// Hours and money of the summary follow from its counts and the job's rates: one
// minute costs one, pieces take 2, a kilogram 0.02 and again for what two carry, a
// grade prop 6, a cut 4; a square metre of waste costs 10.
func TestCostOfSummary(t *testing.T) {
	doc, _, _ := stocked(t, "rates: {wage: 60, piece_time: 2 min, kilo_time: 0.02 min/kg, grade_time: 6 min, cut: 4 min, waste: 10}\ndeck: {one_man_lift: 50 kg}\n")
	for _, p := range doc.Pours {
		s := p.Summary
		sawn := 0
		for _, list := range [][]deck.Member{p.Deck.Joists, p.Deck.Stringers} {
			for _, m := range list {
				if m.Sawn {
					sawn++
				}
			}
		}
		minutes := 2*float64(s.Pieces) + 0.02*s.Weight + 6*float64(s.GradeProps) + 4*float64(s.SheetsCut+sawn)
		if math.Abs(s.CrewHours*60-minutes) > 1e-6 || math.Abs(s.Cost-minutes-10*s.Waste) > 1e-6 {
			t.Errorf("%s: %g minutes, want %g; cost %g, want %g", p.Name, s.CrewHours*60, minutes, s.Cost, minutes+10*s.Waste)
		}
	}
}
