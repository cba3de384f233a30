package validation

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"testing"

	"shoreward/internal/quantity"
	"shoreward/internal/strength"
)

// 20 random series of cylinders against scipy's least squares: constants, scatter and
// both lower bounds.
func TestCalibrationAgainstScipy(t *testing.T) {
	type series struct {
		Maturity   []float64 `json:"maturity"`
		Strength   []float64 `json:"strength"`
		Confidence float64   `json:"confidence"`
		At         []float64 `json:"at"`
	}
	rnd := rand.New(rand.NewPCG(2027, 12))
	var all []series
	for range 20 {
		s := series{Confidence: 0.8 + 0.19*rnd.Float64(), At: []float64{600, 1500, 5000, 12000}}
		su, k, m0 := 30+30*rnd.Float64(), 0.0008+0.001*rnd.Float64(), 100+100*rnd.Float64()
		for _, days := range []float64{1, 2, 3, 7, 14, 28} {
			for range 2 + rnd.IntN(2) {
				m := 480 * days
				x := k * (m - m0)
				s.Maturity = append(s.Maturity, m)
				s.Strength = append(s.Strength, su*x/(1+x)+0.5*rnd.NormFloat64())
			}
		}
		all = append(all, s)
	}
	const python = "/usr/bin/python3" // Debian's: the one its python3-scipy serves
	if out, err := exec.Command(python, "-c", "import scipy").CombinedOutput(); err != nil {
		if os.Getenv("CI") != "" || os.Getenv("SHOREWARD_REQUIRE") != "" {
			t.Fatalf("%s with scipy is needed (install python3-scipy): %v: %s", python, err, out)
		}
		t.Skipf("no %s with scipy (install python3-scipy): %v", python, err)
	}
	in, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "numpy/calibration.py")
	cmd.Stdin, cmd.Stderr = bytes.NewReader(in), os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want []struct {
		Constants []float64 `json:"constants"`
		Scatter   float64   `json:"scatter"`
		Curve     []float64 `json:"curve"`
		Cylinder  []float64 `json:"cylinder"`
	}
	if err := json.Unmarshal(out, &want); err != nil {
		t.Fatal(err)
	}
	m, err := strength.Factor(0)
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range all {
		var breaks []strength.Break
		for j := range s.Maturity {
			breaks = append(breaks, strength.Break{Maturity: s.Maturity[j], Strength: quantity.Stress(s.Strength[j]) * mpa})
		}
		c, err := strength.Calibrate(m, breaks, s.Confidence)
		if err != nil {
			t.Errorf("series %d: %v", i, err)
			continue
		}
		id, w := fmt.Sprintf("series %d", i), want[i]
		meets(t, id, "S_u", c.Ultimate, mpa, w.Constants[0], percent(0.02, w.Constants[0]))
		meets(t, id, "k", quantity.Ratio(c.K), 1, w.Constants[1], percent(0.1, w.Constants[1]))
		meets(t, id, "M_0", quantity.Ratio(c.Start), 1, w.Constants[2], 0.3)
		meets(t, id, "scatter", c.Scatter, mpa, w.Scatter, 1e-4)
		for j, at := range s.At {
			e := c.At(at)
			meets(t, id, fmt.Sprintf("curve at %g", at), e.CurveLow, mpa, w.Curve[j], 0.005)
			meets(t, id, fmt.Sprintf("cylinder at %g", at), e.Low, mpa, w.Cylinder[j], 0.005)
		}
	}
}
