package validation

import (
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
	"shoreward/internal/rules/ec5"
)

// c24 is a timber of EN 338:2016 class C24 (Table 1, read in two open transcriptions): EC-11.
func c24(b, h quantity.Length) *catalog.Part {
	s := func(v quantity.Stress) catalog.Value[quantity.Stress] { return known(v * mpa) }
	return &catalog.Part{ID: "timber", Kind: catalog.Lumber, Width: known(b), Depth: known(h),
		EC5: &catalog.EC5Timber{Class: "C24", Fmk: s(24), Fvk: s(4), Fc0k: s(21), Fc90k: s(2.5), E0mean: s(11000), E005: s(7400), Rhok: known[quantity.Ratio](350)}}
}

// eu gives the settings of the European basis without class B2's further divisor.
func eu(serviceClass int) rules.Settings {
	s := rules.Defaults(rules.EU)
	s.ServiceClass, s.ClassB2 = serviceClass, false
	return s
}

// EC-01: a public timber post page (read); EC-02: derived.
func TestPostEC5(t *testing.T) {
	lines := ec5.ColumnStability(21*mpa, 7400*mpa, 2.7, 97*mm)
	meets(t, "EC-01", "lambda", symbol(t, lines, "λ"), 1, 96.42, percent(0.2, 96.42))
	meets(t, "EC-01", "lambda_rel", symbol(t, lines, "λ_rel"), 1, 1.635, percent(0.2, 1.635))
	meets(t, "EC-01", "k", symbol(t, lines, "k"), 1, 1.970, percent(0.2, 1.970))
	kc := symbol(t, lines, "k_c")
	meets(t, "EC-01", "k_c", kc, 1, 0.326, percent(0.2, 0.326))
	fc := ec5.Material{Kmod: 0.8, GammaM: ec5.GammaSolid, Extra: 1}.Design("f_c0", "", 21*mpa)
	meets(t, "EC-01", "k_c f_c0d", quantity.Stress(kc*fc.Value), mpa, 4.21, percent(0.2, 4.21))

	for l, want := range map[quantity.Length]struct{ kc, n float64 }{3.0: {0.2846, 41.4}, 2.5: {0.3934, 57.2}} {
		n, got, err := eu(2).Prop(c24(0.1, 0.1), l)
		if err != nil {
			t.Fatal(err)
		}
		meets(t, "EC-02", "k_c", symbol(t, got, "k_c"), 1, want.kc, percent(0.2, want.kc))
		meets(t, "EC-02", "N_Rd", n, kN, want.n, percent(0.2, want.n))
	}
}

// EC-03 to EC-06: design strengths (open library's tests, read).
func TestDesignStrengths(t *testing.T) {
	rows := []struct {
		id            string
		fk            float64
		class, lasts  int
		gamma, design float64
	}{
		{"EC-03 C24 medium-term SC1 f_m,d", 24, 1, ec5.MediumTerm, ec5.GammaSolid, 14.769},
		{"EC-04 C24 short-term SC2 f_c,0,d", 21, 2, ec5.ShortTerm, ec5.GammaSolid, 14.538},
		{"EC-05 C18 permanent SC3 f_c,90,d", 2.2, 3, ec5.Permanent, ec5.GammaSolid, 0.8462},
		{"EC-06 GL28h long-term SC1 f_m,d", 28, 1, ec5.LongTerm, ec5.GammaGlulam, 15.68},
	}
	for _, r := range rows {
		kmod, err := ec5.Modification(r.class, r.lasts)
		if err != nil {
			t.Fatal(err)
		}
		d := ec5.Material{Kmod: kmod.Value, GammaM: r.gamma, Extra: 1}.Design("f", "", quantity.Stress(r.fk)*mpa)
		meets(t, r.id, "f_d", quantity.Stress(d.Value), mpa, r.design, percent(0.1, r.design))
	}
	if _, err := ec5.Modification(4, ec5.ShortTerm); err == nil {
		t.Error("service class 4 exists")
	}
}

// EC-07: 75x225, V 3.656 kN, f_v,k 2.5, k_mod 0.8, no k_cr: ratio 0.2112 (read).
// EC-08: 75x200 C24, 4.5 m, 0.5 m apart, k_mod 0.8, k_sys 1.1: M 3.702 kNm, ratio 0.4557 (Benoit et al. 2.3.1, read).
func TestBeamEC5(t *testing.T) {
	m := ec5.Material{Kmod: 0.8, GammaM: ec5.GammaSolid, Extra: 1}
	v := ec5.ShearResistance(quantity.Stress(m.Design("f_v", "", 2.5*mpa).Value), 75*mm, 225*mm, 1)
	meets(t, "EC-07", "ratio", 3656/v.Value, 1, 0.2112, percent(0.1, 0.2112))

	moment := (1.35*0.5 + 1.5*1.5) * 1000 * 0.5 * 4.5 * 4.5 / 8
	meets(t, "EC-08", "M", moment, 1000, 3.702, percent(0.1, 3.702))
	r := ec5.MomentResistance(quantity.Stress(m.Design("f_m", "", 24*mpa).Value), 75*mm, 200*mm, symbolTerm("k_sys", ec5.LoadSharing))
	meets(t, "EC-08", "ratio", moment/r.Value, 1, 0.4557, percent(0.1, 0.4557))

	// The same section through the settings: short term in service class 2 is k_mod 0.9 in place of 0.8.
	got := resistance(t, eu(2), c24(75*mm, 200*mm), rules.Context{Repetitive: true})
	meets(t, "EC-08", "settings", got.Moment, 1, r.Value*0.9/0.8, 1)
}

// EC-09: 50x200 C24, l_ef 4.9 m: lambda_rel,m 1.277, k_crit 0.602 (Benoit et al. 2.3.2, read).
func TestLateralStabilityEC5(t *testing.T) {
	crit := ec5.CriticalBending(50*mm, 200*mm, 4.9, 7400*mpa)
	lines := ec5.LateralStability(24*mpa, quantity.Stress(crit.Value))
	meets(t, "EC-09", "lambda_rel,m", symbol(t, lines, "λ_m"), 1, 1.277, percent(0.2, 1.277))
	meets(t, "EC-09", "k_crit", symbol(t, lines, "k_crit"), 1, 0.602, percent(0.2, 0.602))
	// End to end: 4.5 m unbraced is l_ef = 4.5 + 2 x 0.2 m.
	got := resistance(t, eu(2), c24(50*mm, 200*mm), rules.Context{Unbraced: 4.5})
	meets(t, "EC-09", "through the settings", symbol(t, got.Lines, "k_crit"), 1, 0.602, percent(0.2, 0.602))
}

// EC-10: k_h of solid timber (open EN 338 transcription test, read).
func TestSizeEC5(t *testing.T) {
	meets(t, "EC-10", "h 100 mm", ec5.Size(100*mm).Value, 1, 1.0845, percent(0.1, 1.0845))
	meets(t, "EC-10", "h 40 mm", ec5.Size(40*mm).Value, 1, 1.30, percent(0.1, 1.30))
	meets(t, "EC-10", "h 150 mm and more", ec5.Size(150*mm).Value, 1, 1, 0)
}

// BE-06: head plate 120x120 on an 80 mm wide C24 stringer, k_mod 0.9 (derived):
// 37.4 kN with k_c,90 1.5 and the longer contact, 16.6 kN with neither.
func TestBearingEC5(t *testing.T) {
	f := ec5.Material{Kmod: 0.9, GammaM: ec5.GammaSolid, Extra: 1}.Design("f_c90", "", 2.5*mpa)
	fd := quantity.Stress(f.Value)
	lef := quantity.Length(ec5.ContactLength(120*mm, 500*mm).Value)
	meets(t, "BE-06", "with both", quantity.Force(ec5.ContactResistance(1.5, fd, 80*mm, lef).Value), kN, 37.4, percent(0.5, 37.4))
	meets(t, "BE-06", "with neither", quantity.Force(ec5.ContactResistance(1, fd, 80*mm, 120*mm).Value), kN, 16.6, percent(0.5, 16.6))
	// The settings take the longer contact but not k_c,90, as the distance to the next contact is not known: 37.4/1.5.
	got, _, err := eu(2).Bearing(c24(80*mm, 160*mm), rules.Seat{Long: 120 * mm, Wide: 120 * mm, FromEnd: 500 * mm})
	if err != nil {
		t.Fatal(err)
	}
	meets(t, "BE-06", "settings, k_c,90 = 1", got, kN, 37.4/1.5, percent(0.5, 37.4/1.5))
}
