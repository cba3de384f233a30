package validation

import (
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// beamP20 holds EN 13377:2002 class P20, from memory and seen in a data sheet (read-2nd).
func beamP20() *catalog.Part {
	return &catalog.Part{ID: "beam", Kind: catalog.Beam, Width: known(80 * mm), Depth: known(200 * mm), IBeam: &catalog.IBeam{
		Class: "P20", Mk: known[quantity.Moment](10900), Vk: known[quantity.Force](23900), Rk: known[quantity.Force](47800),
		EI: known[quantity.EI](450e3), Kmod: known[quantity.Ratio](0.9), GammaM: known[quantity.Ratio](1.3), GammaF: known[quantity.Ratio](1.5)}}
}

// PB-01: design values; PB-02: working values, beside the older permissible
// loads 11.0 kN, 5.0 kNm and 22.0 kN (read-2nd) that they come within 0.6 % of.
func TestFormworkBeam(t *testing.T) {
	e := rules.Defaults(rules.EU)
	e.ClassB2 = false
	d, err := e.Beam(beamP20(), rules.Context{})
	if err != nil {
		t.Fatal(err)
	}
	meets(t, "PB-01", "V_d", d.Shear, kN, 16.55, percent(0.2, 16.55))
	meets(t, "PB-01", "M_d", d.Moment, 1000, 7.55, percent(0.2, 7.55))
	meets(t, "PB-01", "R_d", d.Reaction, kN, 33.09, percent(0.2, 33.09))

	w, err := rules.Defaults(rules.US).Beam(beamP20(), rules.Context{})
	if err != nil {
		t.Fatal(err)
	}
	meets(t, "PB-02", "V", w.Shear, kN, 11.03, percent(0.2, 11.03))
	meets(t, "PB-02", "M", w.Moment, 1000, 5.03, percent(0.2, 5.03))
	meets(t, "PB-02", "R", w.Reaction, kN, 22.06, percent(0.2, 22.06))
	meets(t, "section 2", "permissible shear", w.Shear, kN, 11.0, percent(0.6, 11.0))
	meets(t, "section 2", "permissible moment", w.Moment, 1000, 5.0, percent(0.7, 5.0))

	b2, err := rules.Defaults(rules.EU).Beam(beamP20(), rules.Context{})
	if err != nil {
		t.Fatal(err)
	}
	meets(t, "EN 12812 9.2.2.1 (memory)", "class B2 takes a further 1.15", d.Moment/b2.Moment, 1, 1.15, 1e-9)

	r, _, err := rules.Defaults(rules.US).Bearing(beamP20(), rules.Seat{Long: 0.1, Wide: 0.08})
	if err != nil {
		t.Fatal(err)
	}
	meets(t, "PB-02", "the seat gives the rated reaction", r, kN, 22.06, percent(0.2, 22.06))
}
