package job

import (
	"math"
	"strings"
	"testing"
)

const falling = `job: Fall (invented)
basis: eu
lengths: m
system: timber-beam
concrete: {strength: 30 N/mm2}
levels:
  - name: L1
    top: 3.00
    base: 0
    pours:
      - name: L1-A
        slab: {outline: [[0, 0], [8, 0], [8, 5], [0, 5]], thickness: 200 mm, fall: {FALL}}MORE
`

func parseFall(fall, more string) (*Job, error) {
	text := strings.NewReplacer("FALL", fall, "MORE", more).Replace(falling)
	return Parse("fall.yaml", []byte(text), standard)
}

// Slopes by arithmetic: 100 mm over 5 m are 2 %; a quarter of an inch in 12 in
// is 1/48; what is not given is the level's top.
func TestFall(t *testing.T) {
	for _, c := range []struct {
		fall  string
		slope float64
		top   float64
		rise  [2]float64
	}{
		{"from: [0, 0], to: [0, 5], drop: 100 mm", 0.02, 3, [2]float64{0, -0.02}},
		{"from: [0, 5], to: [0, 0], slope: 2 %", 0.02, 3, [2]float64{0, 0.02}},
		{"from: [0, 0], to: [2, 0], slope: 1:50, top: 3.1", 0.02, 3.1, [2]float64{-0.02, 0}},
		{"from: [0, 0], to: [0, 1], slope: 1/4 in per ft", 1.0 / 48, 3, [2]float64{0, -1.0 / 48}},
		{"from: [0, 0], to: [0, 1], slope: 20 mm per m", 0.02, 3, [2]float64{0, -0.02}},
		{"from: [1, 1], to: [4, 5], slope: 10 %", 0.10, 3, [2]float64{-0.06, -0.08}}, // 3-4-5
	} {
		j, err := parseFall(c.fall, "")
		if err != nil {
			t.Errorf("%s: %v", c.fall, err)
			continue
		}
		f := j.Levels[0].Pours[0].Slab.Fall
		if r := f.Rise(); math.Abs(float64(f.Slope)-c.slope) > 1e-12 || float64(f.Top) != c.top || math.Abs(r[0]-c.rise[0]) > 1e-12 || math.Abs(r[1]-c.rise[1]) > 1e-12 {
			t.Errorf("%s: slope %g, top %g, rise %v", c.fall, f.Slope, f.Top, r)
		}
	}
}

// Thickness is square to the soffit: at 3 in 4 it is 5/4 as deep plumb (by Pythagoras).
func TestFallPlumb(t *testing.T) {
	if d := (Slab{Thickness: 0.2, Fall: &Fall{Slope: 0.75}}).Plumb(); math.Abs(float64(d)-0.25) > 1e-12 {
		t.Errorf("200 mm at 3 in 4 are %v deep", d)
	}
}

// Each wrong fall gets a message that says what would be right.
func TestWrongFalls(t *testing.T) {
	for _, c := range []struct{ fall, more, want string }{
		{"from: [0, 0], to: [0, 5]", "", "not how much it falls"},
		{"from: [0, 0], to: [0, 5], drop: 100 mm, slope: 2 %", "", "both a drop and a slope"},
		{"from: [0, 0], to: [0, 0], slope: 2 %", "", "the fall has no length"},
		{"from: [0, 0], to: [0, 5], slope: 2", "", "a percentage, 1:50"},
		{"from: [0, 0], to: [0, 5], slope: flat", "", "a percentage, 1:50"},
		{"from: [0, 0], to: [0, 5], slope: 1:0", "", "a percentage, 1:50"},
		{"from: [0, 0], to: [0, 5], slope: 0 %", "", "does not fall"},
		{"from: [0, 0], to: [0, 5], slope: 150 %", "", "out of range"},
		{"from: [0, 0], to: [0, 1], drop: 2", "", "check the two places"},
		{"from: [0, 0], to: [0, 5], slope: 60 %", "", "not below the soffit"}, // 3.0 - 3.0 - 0.2/cos: below the base at the low end
		{"from: [0, 0], to: [0, 5], slope: 2 %", "\n        drops: [{outline: [[1, 1], [2, 1], [2, 2], [1, 2]], thickness: 300 mm}]", "drops in a slab that falls are not planned"},
		{"from: [0, 0], to: [0, 5], slope: 2 %", "\n        steps: [{outline: [[1, 1], [2, 1], [2, 2], [1, 2]], rise: -50 mm}]", "steps in a slab that falls are not planned"},
		{"from: [0, 0], to: [0, 5], slope: 2 %", "\n        beams: [{from: [0, 2], to: [8, 2], width: 300 mm, depth: 500 mm}]", "beams in a slab that falls are not planned"},
	} {
		_, err := parseFall(c.fall, c.more)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.fall, err)
		}
	}
}
