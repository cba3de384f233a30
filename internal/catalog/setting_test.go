package catalog

import (
	"math"
	"testing"

	"shoreward/internal/quantity"
)

// By hand: holes every 100 mm from 1.50 m; 1764 mm is the third hole and 64 mm of thread.
func TestSetting(t *testing.T) {
	p := &Part{Shore: &PropProps{Shortest: Value[quantity.Length]{V: 1.5, Known: true}, HolePitch: Value[quantity.Length]{V: 0.1, Known: true}}}
	for _, c := range []struct {
		length, thread quantity.Length
		hole           int
	}{{1.5, 0, 1}, {1.764, 0.064, 3}, {1.8, 0, 4}, {2.5, 0, 11}} {
		if hole, thread := p.Setting(c.length); hole != c.hole || math.Abs(float64(thread-c.thread)) > 1e-9 {
			t.Errorf("%.3f m: hole %d and %.4f m, want %d and %.4f", c.length, hole, thread, c.hole, c.thread)
		}
	}
	p.Shore.HolePitch.Known = false
	if hole, _ := p.Setting(2); hole != 0 {
		t.Errorf("hole %d of a prop whose holes are not known", hole)
	}
}
