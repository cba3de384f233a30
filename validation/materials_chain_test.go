package validation

import (
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
	"shoreward/internal/rules/handbook"
)

// ufPanel is 3/4 in plywood, Group 2, S-2, wet, strong way: base stresses in psi (UF week 9, read).
func ufPanel() *catalog.Part {
	r := func(v float64, power int) catalog.Value[quantity.Ratio] {
		return known(quantity.Ratio(perFoot(v, power)))
	}
	return &catalog.Part{ID: "plywood", Kind: catalog.Sheet, Depth: known(0.75 * inch), APA: &catalog.APAPanel{
		IPar: r(0.197, 4), KSPar: r(0.412, 3), IbQPar: r(6.762, 2),
		Fb: known(820 * psi), Fs: known(44 * psi), Ee: known(1.3e6 * psi)}}
}

var stockLengths = []quantity.Length{8 * foot, 10 * foot, 12 * foot, 14 * foot, 16 * foot}

// IN-01, X01 to X09, PL-24: the University of Florida slab form end to end
// (Week 9, Slab Forms, read): 10 in slab, forms 5.5 psf, live 50 psf, C_D 1.25,
// everything wet, L/360 and 1/16 in; each step takes what the step before found.
func TestUniversityOfFloridaSlab(t *testing.T) {
	s := us(1.25, true)
	s.DeflectionMaxBeam = inch / 16
	w := s.AreaLoad(10*inch, 5.5*psf).Strength()
	meets(t, "L03", "load", w, psf, 180.5, 1e-9)
	line := func(spacing quantity.Length) quantity.LineLoad {
		return quantity.LineLoad(float64(w) * float64(spacing))
	}

	sheet, err := s.Sheet(ufPanel(), true)
	if err != nil {
		t.Fatal(err)
	}
	meets(t, "X01", "F_b'", quantity.Stress(symbol(t, sheet.Lines, "F_b'")), psi, 1025, 1e-6)
	meets(t, "X01", "F_s'", quantity.Stress(symbol(t, sheet.Lines, "F_s'")), psi, 55, 1e-6)
	strip := quantity.LineLoad(w) // per metre of width
	plywood := [4]quantity.Length{
		handbook.Three.Bending(quantity.Moment(sheet.Moment), strip),
		handbook.Three.RollingShear(quantity.Force(sheet.Shear), strip),
		handbook.Three.DeflectionShare(quantity.EI(sheet.EI), strip, s.DeflectionSpan),
		handbook.Three.DeflectionMax(quantity.EI(sheet.EI), strip, s.DeflectionMaxSheet),
	}
	for i, want := range [4]float64{16.75, 41.21, 18.99, 19.82} {
		meets(t, "X01 PL-24", [...]string{"bending", "rolling shear", "L/360", "1/16 in"}[i], plywood[i], inch, want, 0.05)
	}
	joists, _ := handbook.StockSpacing(least(plywood), []quantity.Length{8 * foot}) // sheets are 8 ft long
	meets(t, "X07", "joist spacing", joists, inch, 16, 1e-9)

	joist := sawn("Select Structural", 4, 4, hemFirSS)
	meets(t, "X02", "joist load", line(joists), plf, 240.67, 0.01)
	found := spans(resistance(t, s, joist, rules.Context{Repetitive: true}), 3.5*inch, line(joists), handbook.Three)
	for i, want := range [4]float64{95.58, 130.40, 71.21, 53.42} {
		meets(t, "X02", "joist span", found[i], inch, want, 0.1)
	}
	stringers, from := handbook.StockSpacing(least(found), stockLengths)
	meets(t, "X07 X08", "stringer spacing", stringers, inch, 48, 1e-9)
	meets(t, "X08", "stock", from, foot, 8, 1e-9)

	stringer := sawn("Select Structural", 4, 6, hemFirSS)
	meets(t, "X03", "stringer load", line(stringers), plf, 722, 0.01)
	found = spans(resistance(t, s, stringer, rules.Context{}), 5.5*inch, line(stringers), handbook.Three)
	for i, want := range [4]float64{75.28, 75.64, 77.59, 56.97} {
		meets(t, "X03", "stringer span", found[i], inch, want, 0.1)
	}
	shores, from := handbook.StockSpacing(least(found), stockLengths)
	meets(t, "X07 X09", "shore spacing", shores, inch, 56, 1e-9)
	meets(t, "X09", "stock", from, foot, 14, 1e-9)

	// Contacts: the joist on the 3.5 in stringer, the stringer on the 5.5 in side of the shore.
	contacts := []struct {
		id       string
		part     *catalog.Part
		load     quantity.Force
		long     quantity.Length
		pounds   float64
		capacity float64
	}{
		{"X05 joist on stringer", joist, quantity.Force(float64(line(joists)) * float64(stringers)), 3.5 * inch, 962.67, 3324},
		{"X05 stringer on shore", stringer, quantity.Force(float64(line(stringers)) * float64(shores)), 5.5 * inch, 3369.33, 5223},
	}
	for _, c := range contacts {
		meets(t, c.id, "load", c.load, lb, c.pounds, 0.1)
		r, _, err := s.Bearing(c.part, rules.Seat{Long: c.long, Wide: 3.5 * inch})
		if err != nil {
			t.Fatal(err)
		}
		meets(t, c.id, "allowed", r, lb, c.capacity, percent(0.1, c.capacity))
	}

	shore, _, err := s.Prop(stringer, 14*foot)
	if err != nil {
		t.Fatal(err)
	}
	meets(t, "X06 IN-01", "shore", shore, lb, 3498, percent(0.2, 3498))
	if load := contacts[1].load; load > shore {
		t.Errorf("IN-01: %.0f lb on a shore of %.0f lb", float64(load/lb), float64(shore/lb))
	}
}

func least(ls [4]quantity.Length) quantity.Length { return min(ls[0], ls[1], ls[2], ls[3]) }

// IN-02, X10 to X13: the same slab form by SP-4 tables (Week 9, Using Tables,
// read): 9 in slab, DF-L No.2 dry, 3/4 in Class I, C_D 1.25, shores 1.0; the
// tables have rows of 175, 300 and 1000. The joist table leaves the 1/16 in limit out.
func TestUniversityOfFloridaTables(t *testing.T) {
	s := us(1.25, false)
	s.LoadDurationPosts = 1
	w := s.AreaLoad(9*inch, 5.5*psf).Strength()
	meets(t, "IN-02", "load", w, psf, 168, 1e-9)
	p := threeQuarter
	sheet := handbook.Three.DeflectionMax(quantity.EI(float64(p.E)*p.I), quantity.LineLoad(175*psf), inch/16)
	meets(t, "IN-02", "joists", sheet, inch, 21, 1)
	joist := resistance(t, s, sawn("No.2", 4, 4, dfl2), rules.Context{})
	meets(t, "IN-02", "stringers, bending", handbook.Three.Bending(joist.Moment, 300*plf), inch, 69, 1)
	stringer := resistance(t, s, sawn("No.2", 4, 6, dfl2), rules.Context{})
	meets(t, "IN-02", "shores, bending", handbook.Three.Bending(stringer.Moment, 1000*plf), inch, 56, 1)
	load := quantity.Force(float64(w) * float64(69*inch) * float64(56*inch))
	meets(t, "IN-02", "shore load", load, lb, 4508, 0.5)
	shore, _, err := s.Prop(sawn("No.2", 4, 6, dfl2), 14*foot)
	if err != nil {
		t.Fatal(err)
	}
	meets(t, "IN-02", "shore", shore, lb, 3860, 5)
	if load <= shore {
		t.Error("IN-02: the shore must be found too weak")
	}
	meets(t, "IN-02 X13", "spacing that the shore allows", 56*inch*quantity.Length(shore/load), inch, 47.95, 0.05)
}
