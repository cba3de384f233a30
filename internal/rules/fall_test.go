package rules

import (
	"math"
	"testing"
)

// By statics: 100 kN on a slope of 5 % without friction push 5 kN; a member 200 mm
// deep and 80 mm wide across 5 % has its load 10 mm off the middle of its foot, half
// of the 20 mm that it may be; over a seat of 180 mm 5 % rise 4.5 mm to its middle,
// and over 170 mm across at 2 % another 1.7 mm.
func TestFall(t *testing.T) {
	for what, got := range map[string][2]float64{
		"push":  {FallPush(100e3, -0.05).Value, 5e3},
		"lean":  {Lean(0.2, 0.08, 0.05).Value, 0.010},
		"ratio": {Lean(0.2, 0.08, -0.05).Ratio, 0.5},
		"taper": {float64(TaperReach(0.18, 0.17, -0.05, 0.02)), 0.0062},
	} {
		if math.Abs(got[0]-got[1]) > 1e-12*math.Max(1, got[1]) {
			t.Errorf("%s: %g, not %g", what, got[0], got[1])
		}
	}
}
