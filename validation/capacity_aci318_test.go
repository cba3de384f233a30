package validation

import (
	"testing"

	"shoreward/internal/quantity"
	"shoreward/internal/rules/aci209"
	"shoreward/internal/rules/aci318"
	"shoreward/internal/rules/aci3472r"
	"shoreward/internal/rules/asce37"
)

// Worked example of an 8 in slab: 100 psf, forms 10, construction live load 50 psf,
// w_u = 1.2·120 + 1.6·50 = 224 psf, one level of shores and two of reshores on a
// cycle of 7 days. Rules from memory, figures worked apart from this program.
func TestWorkedExampleOfAnEarlyLoad(t *testing.T) {
	const own, forms, live, design = 100 * psf, 10 * psf, 50 * psf, 224 * psf
	for _, w := range []struct {
		name     string
		share    quantity.Ratio
		factored float64
	}{{"rigid 1+2", 1.0 / 3, 190.67}, {"elastic 1+2, c 0.25", 0.44615, 214.55}, {"elastic 1+2, c 4/3", 0.67033, 262.04}, {"rigid 1+1", 0.5, 226}, {"rigid 1+3", 0.25, 173}} {
		s := quantity.Stress(w.share)
		l := asce37.Combination(own+s*(own+forms), s*live)
		meets(t, w.name, "factored", quantity.Stress(l.Value), psf, w.factored, 0.1)
	}
	full := 4000 * psi
	for days, want := range map[float64]float64{3: 151.6, 5: 174.4, 7: 187.9, 10: 200.4, 14: 210.2} {
		r := aci209.Ratio(aci209.TypeIMoist, quantity.Days(days)).Value
		part := aci318.ShearRatio(quantity.Stress(r)*full, full).Value
		meets(t, "type I", "capacity", quantity.Stress(aci3472r.AllowableLoad(design, quantity.Ratio(part)).Value), psf, want, 0.1)
	}
	for days, want := range map[float64]float64{3: 172.5, 5: 190.7, 7: 200.5} {
		r := aci209.Ratio(aci209.TypeIIIMoist, quantity.Days(days)).Value
		part := aci318.ShearRatio(quantity.Stress(r)*full, full).Value
		meets(t, "type III", "capacity", quantity.Stress(aci3472r.AllowableLoad(design, quantity.Ratio(part)).Value), psf, want, 0.1)
	}
	if l := aci3472r.AllowableLoad(design, 1.0072); l.Value > float64(design) {
		t.Errorf("more than the design strength is allowed: %g", l.Value)
	}
}

// 0.31 in2/ft at d = 6.75 in, f_y = 60 ksi; 18 in column. By statics of 22.2 and 22.6.
func TestSectionOfTheExample(t *testing.T) {
	as := quantity.Length(0.31 * 0.0254 * 0.0254 / 0.3048)
	d := 6.75 * inch
	for fc, want := range map[quantity.Stress]float64{4000: 10.109, 2814: 9.960, 2000: 9.756, 1500: 9.520} {
		ls, err := aci318.FlexuralStrength(as, 60000*psi, fc*psi, d)
		if err != nil {
			t.Fatal(err)
		}
		meets(t, "M_n", "kip-ft/ft", quantity.Force(symbol(t, ls, "M_n")), quantity.Kip, want, 0.005)
	}
	bo := quantity.Length(aci318.CriticalPerimeter(18*inch, 18*inch, d).Value)
	meets(t, "b_o", "in", bo, inch, 99, 1e-9)
	for fc, want := range map[quantity.Stress]float64{4000: 169.06, 2814: 141.80, 2000: 119.54} {
		ls := aci318.PunchingStrength(fc*psi, 1, 1, aci318.Interior, bo, d)
		v := quantity.Force(symbol(t, ls, "V_c"))
		meets(t, "V_c", "kips", v, quantity.Kip, want, 0.05)
		area := quantity.Area(395.75 * 0.3048 * 0.3048)
		over := quantity.Stress(aci318.PhiShear * float64(v) / float64(area))
		meets(t, "φV_c", "psf", over, psf, map[quantity.Stress]float64{4000: 320.4, 2814: 268.7, 2000: 226.5}[fc], 0.1)
	}
	if _, err := aci318.FlexuralStrength(as, 60000*psi, 100*psi, d); err == nil {
		t.Error("concrete of 100 psi balances the reinforcement")
	}
}

// Scanlon and Suprenant, Concrete International 2011, eq. 1 (factors read): 1+2 gives
// 1.1·1.1·4/3 = 1.613 of the slab weight.
func TestAllowances(t *testing.T) {
	for r, want := range map[quantity.Ratio]float64{4.0 / 3: 1.6133, 1.5: 1.815, 1.25: 1.5125, 16.0 / 9: 2.151} {
		meets(t, "w_const", "ratio", quantity.Stress(aci3472r.ConstructionLoad(r, 1).Value), 1, want, 1e-3)
	}
}
