package layout

import (
	"math"
	"testing"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// Lines bend to kept props: the nearest inner line moves and keeps its laps, a line
// at the end moves only as far as two lines lie apart, else one more is laid; and
// no bay is left longer than joists span.
func TestBend(t *testing.T) {
	k := handKit()
	k.strength, k.deflect = 1e6, 1e6 // heavy, so that bays are short
	k.joistRes.Moment = 1e6 * 0.5 * sheetShare * 1.5 * 1.5 / 8
	const pitch = 500
	if bay := k.bay(1, pitch); math.Abs(bay-1500) > 1 { // q l2 / 8 at 1.5 m
		t.Fatalf("the bay is %.1f mm, want 1500", bay)
	}
	inf := math.Inf(1)
	full := func(y float64, lap bool) line { return line{y: y, x0: -inf, x1: inf, lap: lap} }
	for _, c := range []struct {
		name string
		keep []float64
		want []line
	}{
		{"none", nil, []line{full(200, false), full(1400, true), full(2600, false)}},
		{"the middle one moves", []float64{1300}, []line{full(200, false), full(1300, true), full(2600, false)}},
		{"an end moves a little", []float64{300}, []line{full(300, false), full(1400, true), full(2600, false)}},
		{"one more near an end", []float64{500}, []line{full(200, false), full(500, false), full(1400, true), full(2600, false)}},
		{"two at one line: one moves, one is new", []float64{1300, 1700}, []line{full(200, false), full(1300, true), full(1700, false), full(2600, false)}},
		{"a long bay is parted", []float64{900}, []line{full(200, false), full(900, true), full(1750, false), full(2600, false)}},
	} {
		r := &region{}
		for _, y := range c.keep {
			r.keep = append(r.keep, kept{Kept: deck.Kept{As: "prop"}, at: plane.Point{1000, y}})
		}
		got := r.bend([]line{full(200, false), full(1400, true), full(2600, false)}, k, pitch)
		same := len(got) == len(c.want)
		for i := range got {
			same = same && math.Abs(got[i].y-c.want[i].y) < 0.01 && got[i].lap == c.want[i].lap
		}
		if !same {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}
