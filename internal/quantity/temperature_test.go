package quantity

import (
	"math"
	"testing"
)

// 32 °F is 0 °C, 212 °F is 100 °C, -40 is both; 20 °C is 293.15 K (definitions).
func TestTemperature(t *testing.T) {
	for f, c := range map[float64]Temperature{32: 0, 212: 100, -40: -40, 50: 10} {
		if got := Fahrenheit(f); math.Abs(float64(got-c)) > 1e-9 || math.Abs(c.Fahrenheit()-f) > 1e-9 {
			t.Errorf("%g °F: %g °C", f, float64(got))
		}
	}
	if k := Temperature(20).Kelvin(); math.Abs(k-293.15) > 1e-9 {
		t.Errorf("20 °C is %g K", k)
	}
	if a, b := Temperature(10).Text(Metric), Temperature(10).Text(US); a != "10.0 °C" || b != "50.0 °F" {
		t.Errorf("%s, %s", a, b)
	}
	if !Temperature(-273).Finite() || Temperature(-274).Finite() || Temperature(math.NaN()).Finite() || Temperature(math.Inf(1)).Finite() {
		t.Error("Finite")
	}
	if Days(2) != 48 || Duration(36).Days() != 1.5 {
		t.Error("days")
	}
}
