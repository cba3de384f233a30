package plan

import (
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
)

// threeFloors has 10, 20 and 30 props on its levels, the second in two pours.
func threeFloors() *deck.Document {
	pour := func(level string, n int) deck.Pour {
		p := deck.Pour{Level: level}
		for range n {
			p.Deck.Props = append(p.Deck.Props, deck.Prop{Part: "prop"})
		}
		return p
	}
	return &deck.Document{
		Parts: map[string]*catalog.Part{"prop": {ID: "prop", Name: "A prop", Kind: catalog.Prop}},
		Pours: []deck.Pour{pour("1", 10), pour("2", 5), pour("2", 15), pour("3", 30)},
	}
}

// What is short is counted over the levels that stand shored together; figures by hand.
func TestShortages(t *testing.T) {
	for _, c := range []struct {
		shores     string
		have, need int // need 0: nothing is short
		where      string
	}{
		{"", 30, 0, ""}, {"", 29, 30, "3"}, {"1", 12, 30, "3"}, {"find", 12, 30, "3"},
		{"2", 50, 0, ""}, {"2", 49, 50, "2 and 3"}, {"3", 59, 60, "1 and 2 and 3"}, {"9", 59, 60, "1 and 2 and 3"},
	} {
		j := &job.Job{Levels: []job.Level{{Name: "1"}, {Name: "2"}, {Name: "3"}}, Stock: map[string]int{"prop": c.have, "unused": 0}, Floors: job.Floors{Shores: c.shores}}
		got := shortages(j, threeFloors())
		switch {
		case c.need == 0 && len(got) > 0:
			t.Errorf("%+v: %+v", c, got)
		case c.need > 0 && (len(got) != 1 || got[0].Need != c.need || got[0].Have != c.have || got[0].Where != c.where || got[0].Name != "A prop"):
			t.Errorf("%+v: %+v", c, got)
		}
	}
}

func TestDifferences(t *testing.T) {
	stored := deck.Audit{Checks: []deck.Check{{Member: "A", Kind: "prop", What: "load", Ratio: 0.5}, {Member: "B", Kind: "prop", What: "load", Ratio: 0.5}}}
	if got := Differences(stored, stored); len(got) != 0 {
		t.Errorf("the same: %v", got)
	}
	found := deck.Audit{Checks: []deck.Check{{Member: "A", Kind: "prop", What: "load", Ratio: 0.6}, {Member: "C", Kind: "prop", What: "load"}},
		Findings: []deck.Finding{{Fails: true}, {}}, BareCm2: 3}
	if got := Differences(stored, found); len(got) != 4 { // a ratio, members, a failure, cover
		t.Errorf("%d: %q", len(got), got)
	}
}
