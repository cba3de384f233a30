package validation

import (
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
	"shoreward/internal/rules/nds"
)

// roughPost is DF-L No.2 at the rough sizes behind the SP-4 table, 3-5/8 in and so on.
func roughPost(b, d float64, nominalB, nominalD int) *catalog.Part {
	return timber("rough post", "No.2", "4A", quantity.Length(b)*inch, quantity.Length(d)*inch, nominalB, nominalD, dfl2[0], dfl2[1], dfl2[2], dfl2[3], dfl2[4], dfl2[5])
}

// CO-01, CO-02, CO-04, CO-05, X11, X12: SP-4 Table 9.12.1 (read in UF week 9).
// CO-06, X12: the same formula at other lengths (derived).
func TestPostTable(t *testing.T) {
	four := sawn("No.2", 4, 4, dfl2)
	six := sawn("No.2", 4, 6, dfl2)
	rough := roughPost(3.625, 3.625, 4, 4)
	rough6 := roughPost(3.625, 5.625, 4, 6)
	rows := []struct {
		id      string
		post    *catalog.Part
		feet    quantity.Length
		want    float64
		percent float64
	}{
		{"CO-01", four, 13, 2840, 0.5}, {"CO-02", four, 14, 2460, 0.5},
		{"CO-04", six, 13, 4460, 0.5}, {"CO-04 X11", six, 14, 3860, 0.5},
		{"CO-05", rough, 13, 3260, 0.5}, {"CO-05", rough, 14, 2830, 0.5}, {"CO-05", rough, 15, 2470, 0.5},
		{"section 6", rough6, 13, 5050, 0.5}, {"section 6", rough6, 14, 4380, 0.5}, {"section 6", rough6, 15, 3830, 0.5},
		{"CO-06", four, 8, 6960, 0.2}, {"CO-06", four, 10, 4665, 0.2}, {"CO-06", four, 12, 3311, 0.2},
	}
	for _, r := range rows {
		got, _, err := us(1, false).Prop(r.post, r.feet*foot)
		if err != nil {
			t.Errorf("%s: %v", r.id, err)
			continue
		}
		meets(t, r.id, "post", got, lb, r.want, percent(r.percent, r.want))
	}
	// CO-03: 15 ft, l_e/d 51.4: the table is blank.
	if _, _, err := us(1, false).Prop(four, 15*foot); err == nil {
		t.Error("CO-03: a 4x4 of 15 ft is accepted")
	}
}

// CO-07 (UF week 4), CO-08 and X06 (UF week 9), read.
func TestPosts(t *testing.T) {
	pine := timber("post", "No.2", "4B", 3.5*inch, 5.5*inch, 4, 6, 1000, 175, 565, 1400, 1.4e6, 510e3)
	got, lines, err := us(1.25, false).Prop(pine, 12*foot)
	if err != nil {
		t.Fatal(err)
	}
	meets(t, "CO-07", "C_P", symbol(t, lines, "C_P"), 1, 0.1372, percent(0.1, 0.1372))
	meets(t, "CO-07", "post", got, lb, 4621, percent(0.1, 4621))

	got, lines, err = us(1.25, true).Prop(sawn("Select Structural", 4, 6, hemFirSS), 14*foot)
	if err != nil {
		t.Fatal(err)
	}
	meets(t, "CO-08 X06", "F_cE", quantity.Stress(symbol(t, lines, "F_cE")), psi, 186.2, percent(0.5, 186.2))
	meets(t, "CO-08 X06", "F_c*", quantity.Stress(symbol(t, lines, "F_c0")), psi, 1650, 1e-6)
	meets(t, "CO-08 X06", "C_P", symbol(t, lines, "C_P"), 1, 0.1101, percent(0.1, 0.1101))
	meets(t, "CO-08 X06", "F_c'", quantity.Stress(symbol(t, lines, "F_c'")), psi, 181.7, percent(0.1, 181.7))
	meets(t, "CO-08 X06", "post", got, lb, 3498, percent(0.1, 3498))
}

// CO-09 to CO-12, CO-14: C_P from F_c*, E_min' and slenderness, read (CO-10: length and E_min back-figured).
func TestColumnStability(t *testing.T) {
	cp := func(star, emin, slenderness float64) float64 {
		e := nds.EulerStress(quantity.Stress(emin)*psi, slenderness)
		return nds.ColumnStability(quantity.Stress(e.Value), quantity.Stress(star)*psi, 0.8).Value
	}
	// CO-09: UNL CONE 417 prints F_c* 1553 psi for a 2x6 braced every 6 ft the weak way.
	weak := cp(1553, 580e3, 72/1.5)
	meets(t, "CO-09", "C_P", weak, 1, 0.129, percent(0.5, 0.129))
	meets(t, "CO-09", "kip", weak*1553*8.25/1000, 1, 1.66, percent(0.5, 1.66))
	// CO-10: Peurifoy p. 132.
	six := cp(1600, 580e3, 20.57)
	meets(t, "CO-10", "C_P", six, 1, 0.561, percent(0.1, 0.561))
	meets(t, "CO-10", "lb", six*1600*19.25, 1, 17279, percent(0.1, 17279))
	// CO-11: HUD RSDG 5.6, SPF No.2 4x4, 7.3 ft, 4800 lb.
	spf := cp(1150*1.15, 510e3, 7.3*12/3.5)
	meets(t, "CO-11", "C_P", spf, 1, 0.4378, percent(0.1, 0.4378))
	meets(t, "CO-11", "ratio", 4800/(spf*1150*1.15*12.25), 1, 0.677, percent(0.1, 0.677))
	// CO-12: AWC E1.7, SP No.1 2x6, 9 ft, weak axis braced.
	for cd, want := range map[float64]float64{1.6: 0.432, 1.15: 0.555, 0.9: 0.648} {
		meets(t, "CO-12", "C_P", cp(1550*cd, 580e3, 108/5.5), 1, want, percent(0.3, want))
	}
	// CO-14: Aghayere & Vigil 5.7, three 2x6 nailed, 12 ft on 4.5 in.
	meets(t, "CO-14", "C_P", nds.BuiltUpNailed*cp(1650, 620e3, 144/4.5), 1, 0.1679, percent(0.1, 0.1679))
}

// CO-13: AWC E1.7, P 1400 lb, w 100 lb/ft, C_D 1.6: interaction 0.887 (read; stresses printed beside it).
func TestBeamColumn(t *testing.T) {
	l := nds.BeamColumn(169.7*psi, 1072.9*psi, 1606.6*psi, 2160*psi, 1236.5*psi)
	meets(t, "CO-13", "interaction", l.Value, 1, 0.887, percent(0.3, 0.887))
	if past := nds.BeamColumn(1300*psi, 1400*psi, 1*psi, 2160*psi, 1236.5*psi); past.Ratio <= 1 {
		t.Error("CO-13: compression past the Euler stress passes")
	}
}

// BE-01, BE-02, X05 (UF week 9, read), BE-03 (Peurifoy p. 135, read), and
// section 5 (derived): bearing across the grain.
func TestBearingNDS(t *testing.T) {
	joist, stringer := sawn("Select Structural", 4, 4, hemFirSS), sawn("Select Structural", 4, 6, hemFirSS)
	rows := []struct {
		id       string
		pressed  *catalog.Part
		long     quantity.Length
		load     float64 // lb, 0 not printed
		stress   float64 // psi under it
		capacity float64 // lb
		wet      bool
		fromEnd  quantity.Length
	}{
		{"BE-01 X05", joist, 3.5, 962.67, 78.59, 3324, true, 0},
		{"BE-02 X05", stringer, 5.5, 3369.33, 175.03, 5223, true, 0},
		{"section 5 dry", sawn("No.2", 4, 4, dfl2), 3.5, 0, 0, 7656, false, 0},
		{"section 5 wet", sawn("No.2", 4, 4, dfl2), 3.5, 0, 0, 5130, true, 0},
		{"section 5 with C_b", sawn("No.2", 4, 4, dfl2), 3.5, 0, 0, 8477, false, 12},
	}
	for _, r := range rows {
		got, lines, err := us(1.25, r.wet).Bearing(r.pressed, rules.Seat{Long: r.long * inch, Wide: 3.5 * inch, FromEnd: r.fromEnd * inch})
		if err != nil {
			t.Fatal(err)
		}
		meets(t, r.id, "capacity", got, lb, r.capacity, percent(0.1, r.capacity))
		if r.load > 0 {
			meets(t, r.id, "F_cp'", quantity.Stress(symbol(t, lines, "F_cp'")), psi, 271.35, 0.1)
			meets(t, r.id, "stress", r.load/(float64(r.long)*3.5), 1, r.stress, 0.1)
		}
	}
	pine := timber("joist", "No.2", "4B", 2.5*inch, 3.5*inch, 3, 4, 1100, 175, 565, 1450, 1.4e6, 510e3)
	got, _, err := us(1.25, false).Bearing(pine, rules.Seat{Long: 3.5 * inch, Wide: 2.5 * inch})
	if err != nil {
		t.Fatal(err)
	}
	meets(t, "BE-03", "seat 2.5 x 3.5 in", got, lb, 4943, percent(0.1, 4943))
}

// BE-04, BE-05: C_b is written in inches (MST CE 5260, read), here with any length unit.
func TestBearingArea(t *testing.T) {
	for l, want := range map[quantity.Length]float64{2: 1.1875, 3.5: 1.107, 6: 1.0, 1: 1.375, 0.5: 1.75} {
		meets(t, "BE-04", "C_b", nds.BearingArea(l*inch, 12*inch).Value, 1, want, percent(0.1, want))
	}
	meets(t, "BE-05", "C_b of 50.8 mm", nds.BearingArea(50.8*mm, 300*mm).Value, 1, 1.1875, percent(0.1, 1.1875))
	meets(t, "section 4.3", "nearer than 3 in to the end", nds.BearingArea(2*inch, 2.9*inch).Value, 1, 1, 0)
}
