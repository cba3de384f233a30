package validation

import (
	"fmt"
	"testing"

	"shoreward/internal/quantity"
	"shoreward/internal/rules/astmc1074"
	"shoreward/internal/rules/ciria136"
	"shoreward/internal/rules/en1992"
	"shoreward/internal/rules/handbook"
	"shoreward/internal/rules/mc2010"
)

// record is six intervals of 12 h with their mean temperatures, °C. The first two
// steps of the temperature-time factor (240, 540) are those of a published example
// (web guide to ASTM C1074); the rest is arithmetic of the published relations,
// worked apart from this program.
var record = []quantity.Temperature{20, 25, 22, 15, 12, 10}

func TestMaturityOfARecord(t *testing.T) {
	const h = quantity.Duration(12)
	ea := func(joule float64) float64 { return joule / astmc1074.GasConstant }
	rate := func(r func(quantity.Temperature) float64) func(quantity.Temperature) float64 {
		return func(x quantity.Temperature) float64 { return r(x) * float64(h) }
	}
	for _, w := range []struct {
		name string
		step func(quantity.Temperature) float64
		want []float64
		tol  float64
	}{
		{"factor, datum 0", func(x quantity.Temperature) float64 { return astmc1074.TemperatureTimeFactor(x, 0, h).Value }, []float64{240, 540, 804, 984, 1128, 1248}, 1e-9},
		{"factor, datum -10", func(x quantity.Temperature) float64 { return astmc1074.TemperatureTimeFactor(x, -10, h).Value }, []float64{360, 780, 1164, 1464, 1728, 1968}, 1e-9},
		{"age, Q 5000, 20 °C", rate(func(x quantity.Temperature) float64 { return astmc1074.AgeRate(x, 20, 5000).Value }), []float64{12, 27.974, 41.444, 50.370, 57.806, 64.376}, 0.001},
		{"age, Q 5000, 23 °C", rate(func(x quantity.Temperature) float64 { return astmc1074.AgeRate(x, 23, 5000).Value }), []float64{10.096, 23.535, 34.868, 42.377, 48.634, 54.161}, 0.001},
		{"age, 40 kJ, 20 °C", rate(func(x quantity.Temperature) float64 { return astmc1074.AgeRate(x, 20, ea(40000)).Value }), []float64{12, 27.802, 41.214, 50.240, 57.812, 64.533}, 0.001},
		{"age, 45 kJ, 23 °C", rate(func(x quantity.Temperature) float64 { return astmc1074.AgeRate(x, 23, ea(45000)).Value }), []float64{9.953, 23.518, 34.798, 42.022, 47.951, 53.136}, 0.001},
		{"age, FHP, 20 °C", rate(func(x quantity.Temperature) float64 {
			return astmc1074.AgeRate(x, 20, ea(astmc1074.ActivationEnergy(x).Value)).Value
		}), []float64{12, 27.111, 40.282, 49.254, 56.381, 62.349}, 0.001},
		{"age, MC2010", rate(func(x quantity.Temperature) float64 { return mc2010.AgeRate(x).Value }), []float64{11.977, 27.038, 40.177, 49.627, 57.792, 65.186}, 0.001},
		{"age, EN 1992", rate(func(x quantity.Temperature) float64 { return en1992.AgeRate(x).Value }), []float64{11.977, 27.038, 40.177, 49.627, 57.792, 65.186}, 0.001},
		{"age, Sadgrove", rate(func(x quantity.Temperature) float64 { return ciria136.AgeRate(x).Value }), []float64{12, 27.565, 40.935, 49.833, 57.093, 63.352}, 0.001},
	} {
		sum := 0.0
		for i, x := range record {
			sum += w.step(x)
			meets(t, w.name, fmt.Sprintf("after %d h", 12*(i+1)), quantity.Ratio(sum), 1, w.want[i], w.tol)
		}
	}
	// Strength on these maturities.
	ttf := []float64{240, 540, 804, 984, 1128, 1248}
	te := []float64{12, 27.974, 41.444, 50.370, 57.806, 64.376}
	for i := range record {
		id := fmt.Sprintf("%d h", 12*(i+1))
		meets(t, id, "hyperbolic", quantity.Stress(astmc1074.Hyperbolic(40*mpa, 0.0015, 150, ttf[i]).Value), mpa, []float64{4.758, 14.763, 19.808, 22.230, 23.786, 24.889}[i], 0.002)
		meets(t, id, "hyperbolic on age", quantity.Stress(astmc1074.Hyperbolic(40*mpa, 0.72, 0.25, te[i]/24).Value), mpa, []float64{6.102, 15.892, 20.614, 22.841, 24.339, 25.461}[i], 0.002)
		meets(t, id, "exponential", quantity.Stress(astmc1074.Exponential(40*mpa, 30, 0.8, te[i]).Value), mpa, []float64{4.990, 13.892, 18.480, 20.661, 22.135, 23.242}[i], 0.002)
	}
	meets(t, "20 N/mm2", "needs", quantity.Ratio(astmc1074.HyperbolicMaturity(40*mpa, 0.0015, 150, 20*mpa).Value), 1, 816.67, 0.01)
	meets(t, "15 N/mm2", "needs", quantity.Ratio(astmc1074.HyperbolicMaturity(40*mpa, 0.0015, 150, 15*mpa).Value), 1, 550, 0.01)
}

// Rates of ageing at -10 to 40 °C.
func TestRatesOfAgeing(t *testing.T) {
	temps := []quantity.Temperature{-10, 0, 5, 10, 15, 20, 23, 30, 40}
	ea := func(joule float64) float64 { return joule / astmc1074.GasConstant }
	for _, w := range []struct {
		name string
		rate func(quantity.Temperature) float64
		want []float64
	}{
		{"Q 5000, 20 °C", func(x quantity.Temperature) float64 { return astmc1074.AgeRate(x, 20, 5000).Value }, []float64{0.1431, 0.2868, 0.3986, 0.5475, 0.7438, 1, 1.1886, 1.7553, 2.9723}},
		{"Q 5000, 23 °C", func(x quantity.Temperature) float64 { return astmc1074.AgeRate(x, 23, 5000).Value }, []float64{0.1204, 0.2413, 0.3354, 0.4606, 0.6258, 0.8413, 1, 1.4768, 2.5006}},
		{"40 kJ, 20 °C", func(x quantity.Temperature) float64 { return astmc1074.AgeRate(x, 20, ea(40000)).Value }, []float64{0.1540, 0.3007, 0.4127, 0.5601, 0.7522, 1, 1.1809, 1.7184, 2.8525}},
		{"45 kJ, 20 °C", func(x quantity.Temperature) float64 { return astmc1074.AgeRate(x, 20, ea(45000)).Value }, []float64{0.1219, 0.2588, 0.3695, 0.5210, 0.7259, 1, 1.2057, 1.8387, 3.2518}},
		{"45 kJ, 23 °C", func(x quantity.Temperature) float64 { return astmc1074.AgeRate(x, 23, ea(45000)).Value }, []float64{0.1011, 0.2146, 0.3064, 0.4321, 0.6021, 0.8294, 1, 1.5250, 2.6971}},
		{"FHP, 20 °C", func(x quantity.Temperature) float64 {
			return astmc1074.AgeRate(x, 20, ea(astmc1074.ActivationEnergy(x).Value)).Value
		}, []float64{0.0265, 0.1511, 0.2925, 0.4974, 0.7476, 1, 1.1494, 1.5737, 2.4057}},
		{"MC2010", func(x quantity.Temperature) float64 { return mc2010.AgeRate(x).Value }, []float64{0.2103, 0.3671, 0.4778, 0.6161, 0.7875, 0.9981, 1.1462, 1.5662, 2.3880}},
		{"Sadgrove", func(x quantity.Temperature) float64 { return ciria136.AgeRate(x).Value }, []float64{0.0278, 0.1975, 0.3403, 0.5216, 0.7415, 1, 1.1736, 1.6327, 2.4198}},
		{"Nurse-Saul, datum 0", func(x quantity.Temperature) float64 { return astmc1074.TemperatureTimeFactor(x, 0, 1).Value / 20 }, []float64{0, 0, 0.25, 0.5, 0.75, 1, 1.15, 1.5, 2}},
		{"Nurse-Saul, datum -10", func(x quantity.Temperature) float64 { return astmc1074.TemperatureTimeFactor(x, -10, 1).Value / 30 }, []float64{0, 0.3333, 0.5, 0.6667, 0.8333, 1, 1.1, 1.3333, 1.6667}},
	} {
		for i, x := range temps {
			meets(t, w.name, fmt.Sprintf("%g °C", float64(x)), quantity.Ratio(w.rate(x)), 1, w.want[i], 1e-4)
		}
	}
}

// Plowman at 19 800 °C·h gives about the strength at 28 days. Constants from memory.
func TestPlowman(t *testing.T) {
	for s, want := range map[quantity.Stress]float64{10: 98.2, 30: 100.1, 40: 102.0, 60: 102.3} {
		l, err := handbook.Plowman(s*mpa, 19800)
		if err != nil {
			t.Fatal(err)
		}
		meets(t, fmt.Sprintf("%g N/mm2", float64(s)), "percent", quantity.Ratio(100*l.Value), 1, want, 0.1)
	}
	if _, err := handbook.Plowman(80*mpa, 19800); err == nil {
		t.Error("80 N/mm2 is taken")
	}
}
