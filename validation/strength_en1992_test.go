package validation

import (
	"fmt"
	"testing"

	"shoreward/internal/quantity"
	"shoreward/internal/rules/en1992"
	"shoreward/internal/rules/mc2010"
)

// EN 1992-1-1:2004 3.1.2 and fib MC2010 5.1.9. Formulas read in an open library of
// code clauses (fib structuralcodes: ec2_2004, mc2010); the numbers are their
// arithmetic, worked apart from this program.
func TestGrowthEurope(t *testing.T) {
	ages := []float64{1, 2, 3, 5, 7, 14, 21, 28, 56, 90, 365}
	for _, w := range []struct {
		class       string
		beta, e, ei []float64
	}{
		{"R", []float64{0.4239, 0.5779, 0.6630, 0.7609, 0.8187, 0.9205, 0.9695, 1, 1.0603, 1.0925, 1.1556},
			[]float64{0.7730, 0.8483, 0.8840, 0.9213, 0.9418, 0.9755, 0.9908, 1}, []float64{0.6511, 0.7602, 0.8142, 0.8723, 0.9048, 0.9594, 0.9846, 1}},
		{"N", []float64{0.3420, 0.5039, 0.5982, 0.7106, 0.7788, 0.9016, 0.9621, 1, 1.0760, 1.1169, 1.1981},
			[]float64{0.7248, 0.8141, 0.8572, 0.9026, 0.9277, 0.9694, 0.9885, 1}, []float64{0.5848, 0.7098, 0.7735, 0.8430, 0.8825, 0.9495, 0.9808, 1}},
		{"S", []float64{0.1958, 0.3528, 0.4580, 0.5950, 0.6839, 0.8544, 0.9429, 1, 1.1177, 1.1830, 1.3162},
			[]float64{0.6131, 0.7316, 0.7911, 0.8558, 0.8923, 0.9539, 0.9825, 1}, []float64{0.4425, 0.5940, 0.6767, 0.7713, 0.8270, 0.9243, 0.9710, 1}},
	} {
		l, err := en1992.Coefficient(w.class)
		if err != nil {
			t.Fatal(err)
		}
		s := l.Value
		for i, age := range ages {
			id, a := fmt.Sprintf("class %s, %g d", w.class, age), quantity.Days(age)
			meets(t, id, "β_cc", quantity.Ratio(en1992.Growth(s, a).Value), 1, w.beta[i], 1e-4)
			meets(t, id, "β_cc MC2010", quantity.Ratio(mc2010.Growth(s, a).Value), 1, w.beta[i], 1e-4)
			if i < len(w.e) {
				meets(t, id, "E EN 1992", quantity.Ratio(en1992.ModulusRatio(s, a).Value), 1, w.e[i], 1e-4)
				meets(t, id, "E MC2010", quantity.Ratio(mc2010.ModulusRatio(s, a).Value), 1, w.ei[i], 1e-4)
			}
		}
	}
	if _, err := en1992.Coefficient("Q"); err == nil {
		t.Error("class Q is taken")
	}
}

// C30/37, s = 0.25.
func TestC30(t *testing.T) {
	fck, s := 30*mpa, 0.25
	for i, age := range []float64{1, 2, 3, 7, 14, 28} {
		id, a := fmt.Sprintf("%g d", age), quantity.Days(age)
		meets(t, id, "f_cm", quantity.Stress(en1992.MeanStrength(fck, en1992.Growth(s, a).Value).Value), mpa, []float64{13.00, 19.15, 22.73, 29.59, 34.26, 38.00}[i], 0.01)
		meets(t, id, "f_ctm", quantity.Stress(en1992.TensileStrength(fck, s, a).Value), mpa, []float64{0.991, 1.459, 1.733, 2.256, 2.612, 2.896}[i], 0.001)
		e := quantity.Stress(en1992.Modulus(fck).Value * en1992.ModulusRatio(s, a).Value)
		meets(t, id, "E_cm", e, 1000*mpa, []float64{23.80, 26.73, 28.15, 30.46, 31.83, 32.84}[i], 0.01)
		ci, err := mc2010.Modulus(38*mpa, "quartzite")
		if err != nil {
			t.Fatal(err)
		}
		meets(t, id, "E_ci", quantity.Stress(ci.Value*mc2010.ModulusRatio(s, a).Value), 1000*mpa, []float64{19.62, 23.82, 25.95, 29.61, 31.86, 33.55}[i], 0.01)
	}
	for age, want := range map[float64]float64{7: 21.59, 14: 26.26, 28: 30, 90: 30} {
		l, err := en1992.CharacteristicStrength(fck, s, quantity.Days(age))
		if err != nil {
			t.Fatal(err)
		}
		meets(t, fmt.Sprintf("%g d", age), "f_ck", quantity.Stress(l.Value), mpa, want, 0.01)
	}
	if _, err := en1992.CharacteristicStrength(fck, s, quantity.Days(3)); err == nil {
		t.Error("a characteristic strength at 3 days is given: it comes from tests")
	}
	ci, _ := mc2010.Modulus(38*mpa, "quartzite")
	meets(t, "28 d", "E_ci", quantity.Stress(ci.Value), mpa, 33551, 1)
	if l, _ := mc2010.Coefficient("32.5 N", 70*mpa); l.Value != 0.20 {
		t.Errorf("s over 60 N/mm2 is %g, published 0.20", l.Value)
	}
	for cement, want := range map[string]float64{"32.5 N": 0.38, "32.5 R": 0.25, "42.5 N": 0.25, "42.5 R": 0.20, "52.5 N": 0.20, "52.5 R": 0.20} {
		if l, err := mc2010.Coefficient(cement, 38*mpa); err != nil || l.Value != want {
			t.Errorf("%s: s = %g, %v", cement, l.Value, err)
		}
	}
}
