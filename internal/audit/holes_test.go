package audit

import (
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/quantity"
)

// A prop set at hole 3 with 60 mm of thread: 1.00 m + 2 x 0.10 m + 0.06 m.
func TestNutTravel(t *testing.T) {
	for _, c := range []struct {
		name   string
		known  bool
		travel float64 // m
		fails  bool
	}{{"within its travel", true, 0.13, false}, {"past its travel", true, 0.05, true}, {"travel not known", false, 0.13, true}} {
		s := &catalog.PropProps{}
		s.Shortest.V, s.Shortest.Known = 1, true
		s.HolePitch.V, s.HolePitch.Known = 0.1, true
		s.Thread.V = quantity.Length(c.travel)
		s.Thread.Known = c.known
		a := &auditor{}
		a.holes(&post{Prop: &deck.Prop{ID: "A1", Hole: 3, Thread: 60, Length: 1260}, part: &catalog.Part{ID: "prop", Shore: s}})
		if got := len(a.report.Findings) > 0; got != c.fails {
			t.Errorf("%s: findings %v", c.name, a.report.Findings)
		}
	}
}
