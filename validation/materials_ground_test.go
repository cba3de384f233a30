package validation

import (
	"testing"

	"shoreward/internal/quantity"
	"shoreward/internal/rules"
	"shoreward/internal/rules/ground"
)

// GR-01: IBC Table 1806.2 and, without soil data, 24 CFR 3285.202(e) (read).
func TestPresumptiveBearing(t *testing.T) {
	for kind, want := range map[string]float64{"sandy gravel": 3000, "clay": 1500, "": 1500, "sand": 2000} {
		l, err := ground.Presumptive(kind)
		if err != nil {
			t.Fatal(err)
		}
		meets(t, "GR-01", kind, quantity.Stress(l.Value), psf, want, 1e-9)
	}
	for _, kind := range []string{"mud", "peat", "fill", "Sand "} {
		if _, err := ground.Presumptive(kind); err == nil {
			t.Errorf("GR-01: %q carries something", kind)
		}
	}
}

// GR-02: 2x10 sill, 24 in long, laid flat on 1500 psf carries 2312 lb (derived:
// 9.25 x 24 in): a plate wide enough for the whole sill to work passes at ratio 1.
func TestSillOnGround(t *testing.T) {
	sill := sawn("No.2", 10, 2, dfl2)
	sill.Length = known(24 * inch)
	lines, err := rules.Defaults(rules.US).Sill(sill, 2312*lb, 8*inch)
	if err != nil {
		t.Fatal(err)
	}
	meets(t, "GR-02", "ground pressure", quantity.Stress(symbol(t, lines, "q")), psf, 1500, 1.5)

	// Under a small plate the sill bends: less of it works (mechanics: c = sqrt(2 M/(q b)), M = F_b' S;
	// 900 C_F 1.1 C_fu 1.2 = 1188 psi, S 3.469 in3, q b = 96.35 lb/in: c = 9.25 in, so l_w = 21.5 in under a 3 in plate).
	lines, err = rules.Defaults(rules.US).Sill(sill, 2312*lb, 3*inch)
	if err != nil {
		t.Fatal(err)
	}
	meets(t, "GR-02", "small plate", quantity.Stress(symbol(t, lines, "q")), psf, 2312/(9.25*21.5)*144, 2)
}
