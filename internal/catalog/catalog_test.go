package catalog

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

func embeddedCatalog(t testing.TB) *Catalog {
	t.Helper()
	c, err := Load("")
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func part(t testing.TB, c *Catalog, id string) *Part {
	t.Helper()
	p, err := c.Part(id)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Values as printed in the sources, typed here apart from the data files. The
// sources are those of the reference file on materials, by its sections.
func TestKnownValues(t *testing.T) {
	c := embeddedCatalog(t)
	const psi, nmm2 = 6894.757, 1e6
	inPerFt := func(power int) float64 { return math.Pow(0.0254, float64(power)) / 0.3048 }
	cases := []struct {
		id, what string
		got      func(*Part) float64
		want     float64
		source   string
	}{
		{"beam-490", "M_k", func(p *Part) float64 { return float64(p.IBeam.Mk.V) }, 10.9e3, "EN 13377 P20, section 2"},
		{"beam-490", "V_k", func(p *Part) float64 { return float64(p.IBeam.Vk.V) }, 23.9e3, "EN 13377 P20, section 2"},
		{"beam-16ft", "R_k", func(p *Part) float64 { return float64(p.IBeam.Rk.V) }, 47.8e3, "EN 13377 P20, section 2"},
		{"beam-16ft", "EI", func(p *Part) float64 { return float64(p.IBeam.EI.V) }, 450e3, "EN 13377 P20, section 2"},
		{"beam-16ft", "mass", func(p *Part) float64 { return float64(p.Mass.V) }, 4.8 * 4.8768, "4.8 kg/m, later sightings"},

		{"ply-c1-3-4", "I par", func(p *Part) float64 { return float64(p.APA.IPar.V) }, 0.199 * inPerFt(4), "set N, Peurifoy p. 218"},
		{"ply-c1-3-4", "KS par", func(p *Part) float64 { return float64(p.APA.KSPar.V) }, 0.455 * inPerFt(3), "set N"},
		{"ply-c1-3-4", "Ib/Q par", func(p *Part) float64 { return float64(p.APA.IbQPar.V) }, 7.187 * inPerFt(2), "set N"},
		{"ply-c1-3-4", "I perp", func(p *Part) float64 { return float64(p.APA.IPerp.V) }, 0.092 * inPerFt(4), "PL-26: not 0.136"},
		{"ply-c1-3-4", "KS perp", func(p *Part) float64 { return float64(p.APA.KSPerp.V) }, 0.306 * inPerFt(3), "PL-26: not 0.415"},
		{"ply-c1-3-4", "Ib/Q perp", func(p *Part) float64 { return float64(p.APA.IbQPerp.V) }, 4.063 * inPerFt(2), "set N"},
		{"ply-c1-3-4", "F_b", func(p *Part) float64 { return float64(p.APA.Fb.V) }, 1930 * psi, "section 3.2"},
		{"ply-c1-3-4", "F_s", func(p *Part) float64 { return float64(p.APA.Fs.V) }, 72 * psi, "section 3.2"},
		{"ply-c1-3-4", "E_e", func(p *Part) float64 { return float64(p.APA.Ee.V) }, 1.5e6 * psi, "section 3.2"},
		{"ply-c1-3-4", "mass", func(p *Part) float64 { return float64(p.Mass.V) }, 2.2 * 32 * 0.45359237, "2.2 psf on 32 ft2"},
		{"ply-c1-1-1-8", "KS par", func(p *Part) float64 { return float64(p.APA.KSPar.V) }, 0.849 * inPerFt(3), "set N"},
		{"ply-c1-1-1-8", "depth", func(p *Part) float64 { return float64(p.Depth.V) }, 1.125 * 0.0254, "1-1/8 in"},
		{"ply-c2-1", "Ib/Q perp", func(p *Part) float64 { return float64(p.APA.IbQPerp.V) }, 6.987 * inPerFt(2), "set N"},
		{"ply-c2-1", "F_b", func(p *Part) float64 { return float64(p.APA.Fb.V) }, 1330 * psi, "section 3.2, memory"},
		{"ply-s1-23-32", "I perp", func(p *Part) float64 { return float64(p.APA.IPerp.V) }, 0.085 * inPerFt(4), "set N"},
		{"ply-s1-23-32", "F_s", func(p *Part) float64 { return float64(p.APA.Fs.V) }, 102 * psi, "section 3.2, back-figured"},
		{"ply-birch-21", "f_m par", func(p *Part) float64 { return float64(p.Panel.FmPar.V) }, 39.4 * nmm2, "section 3.5, memory"},
		{"ply-birch-21", "E perp", func(p *Part) float64 { return float64(p.Panel.EPerp.V) }, 7642 * nmm2, "section 3.5, memory"},

		{"timber-4x4-8ft", "b", func(p *Part) float64 { return float64(p.Width.V) }, 3.5 * 0.0254, "section 4.2"},
		{"timber-3x4-8ft", "b", func(p *Part) float64 { return float64(p.Width.V) }, 2.5 * 0.0254, "section 4.2"},
		{"timber-3x4-8ft", "d", func(p *Part) float64 { return float64(p.Depth.V) }, 3.5 * 0.0254, "section 4.2"},
		{"sill-2x10", "b", func(p *Part) float64 { return float64(p.Width.V) }, 9.25 * 0.0254, "section 4.2, laid flat"},
		{"edge-2x12", "d", func(p *Part) float64 { return float64(p.Depth.V) }, 11.25 * 0.0254, "section 4.2"},
		{"timber-4x4-10ft", "mass", func(p *Part) float64 { return float64(p.Mass.V) }, 2.98 * 10 * 0.45359237, "section 4.2: 2.98 lb/ft"},
		{"timber-4x4-8ft", "F_b", func(p *Part) float64 { return float64(p.NDS.Fb.V) }, 900 * psi, "DF-L No.2, section 4.1"},
		{"timber-4x4-8ft", "F_cp", func(p *Part) float64 { return float64(p.NDS.Fcp.V) }, 625 * psi, "DF-L No.2, section 4.1"},
		{"timber-4x4-8ft", "F_c", func(p *Part) float64 { return float64(p.NDS.Fc.V) }, 1350 * psi, "DF-L No.2, section 4.1"},
		{"timber-4x4-8ft", "E_min", func(p *Part) float64 { return float64(p.NDS.Emin.V) }, 580000 * psi, "DF-L No.2, section 4.1"},
		{"timber-100x100-300", "f_m,k", func(p *Part) float64 { return float64(p.EC5.Fmk.V) }, 24 * nmm2, "EC-11"},
		{"timber-100x100-300", "f_v,k", func(p *Part) float64 { return float64(p.EC5.Fvk.V) }, 4.0 * nmm2, "EC-11"},
		{"timber-80x100-300", "f_c,90,k", func(p *Part) float64 { return float64(p.EC5.Fc90k.V) }, 2.5 * nmm2, "EC-11"},
		{"timber-80x100-300", "E_0,mean", func(p *Part) float64 { return float64(p.EC5.E0mean.V) }, 11000 * nmm2, "EC-11"},
		{"timber-80x100-300", "E_0,05", func(p *Part) float64 { return float64(p.EC5.E005.V) }, 7400 * nmm2, "EC-11"},
		{"timber-80x100-300", "rho_k", func(p *Part) float64 { return float64(p.EC5.Rhok.V) }, 350, "EC-11"},

		{"drop-head", "drop", func(p *Part) float64 { return float64(p.Seat.Drop.V) }, 2.5 * 0.0254, "common practice"},
		{"guard-post", "load", func(p *Part) float64 { return float64(p.Rated.Load.V) }, 200 * 4.4482216, "29 CFR 1926.502(b)(3)"},
	}
	for _, k := range cases {
		if got := k.got(part(t, c, k.id)); math.Abs(got/k.want-1) > 0.001 {
			t.Errorf("%s %s = %g, want %g (%s)", k.id, k.what, got, k.want, k.source)
		}
	}
}

// TestGrades holds rows of the NDS and EN 338 tables, in a part made for each.
func TestGrades(t *testing.T) {
	cases := []struct {
		grade, nominal string
		fb, fc, emin   float64 // psi
		source         string
	}{
		{"df-l-ss", "4x6", 1500, 1700, 690000, "Table 4A"},
		{"hem-fir-ss", "4x4", 1400, 1500, 580000, "Table 4A"},
		{"hem-fir-no2", "4x4", 850, 1300, 470000, "Table 4A"},
		{"spf-no2", "4x4", 875, 1150, 510000, "Table 4A"},
		{"spf-ss", "2x4", 1150, 1400, 550000, "Table 4A; the lower of 1150 and 1250"},
		{"sp-no2-w6", "4x6", 1000, 1400, 510000, "Table 4B, 2013"},
		{"sp-no1-w4", "4x4", 1500, 1650, 580000, "Table 4B, 2013"},
		{"df-l-no2-post", "6x6", 750, 700, 470000, "Table 4D"},
	}
	const psi = 6894.757
	for _, k := range cases {
		c, err := Parse("own.yaml", fmt.Appendf(nil, "parts:\n  - {id: stick, name: Stick, family: lumber-us, grade: %s, nominal: %s, length: 8 ft}\n", k.grade, k.nominal))
		if err != nil {
			t.Errorf("%s: %v", k.grade, err)
			continue
		}
		n := part(t, c, "stick").NDS
		for what, pair := range map[string][2]float64{"F_b": {float64(n.Fb.V), k.fb}, "F_c": {float64(n.Fc.V), k.fc}, "E_min": {float64(n.Emin.V), k.emin}} {
			if math.Abs(pair[0]/psi/pair[1]-1) > 1e-6 {
				t.Errorf("%s %s = %g psi, want %g (%s)", k.grade, what, pair[0]/psi, pair[1], k.source)
			}
		}
	}
}

// A grade must not lend its values to a size that they do not hold for.
func TestGradeSizes(t *testing.T) {
	for _, k := range []struct{ grade, nominal, why string }{
		{"df-l-no2", "6x6", "Table 4A ends at 4 in thick"},
		{"df-l-no2-post", "4x4", "Table 4D begins at 5x5"},
		{"df-l-no2-post", "6x12", "posts and timbers are at most 2 in wider than thick"},
		{"df-l-no2-beam", "6x6", "beams and stringers are more than 2 in wider than thick"},
		{"sp-no2-w4", "4x6", "Table 4B gives 5 and 6 in widths lower values"},
		{"df-l-construction", "2x6", "Construction is for 2 to 4 in widths"},
	} {
		_, err := Parse("own.yaml", fmt.Appendf(nil, "parts:\n  - {id: stick, name: Stick, family: lumber-us, grade: %s, nominal: %s, length: 8 ft}\n", k.grade, k.nominal))
		if err == nil || !strings.Contains(err.Error(), "do not hold for that size") {
			t.Errorf("%s as %s is taken, but %s (%v)", k.grade, k.nominal, k.why, err)
		}
	}
}

// TestProps: EN 1065 classes and lengths, section 1.1 of the reference.
func TestProps(t *testing.T) {
	c := embeddedCatalog(t)
	lengths := map[string][]int{"A": {25, 30, 35, 40}}
	for _, class := range []string{"B", "C", "D", "E"} {
		lengths[class] = []int{25, 30, 35, 40, 45, 50, 55}
	}
	count := 0
	for class, dms := range lengths {
		for _, dm := range dms {
			p := part(t, c, fmt.Sprintf("prop-%s%d", strings.ToLower(class), dm))
			s := p.Shore
			if s.Class != class || math.Abs(float64(s.Longest.V)*10-float64(dm)) > 1e-9 {
				t.Errorf("%s is class %s, %v long", p.ID, s.Class, s.Longest.V)
			}
			if !(s.Shortest.V < s.Longest.V && s.Shortest.V > s.Longest.V/2) {
				t.Errorf("%s: shortest %v of %v: two tubes cannot be that short", p.ID, s.Shortest.V, s.Longest.V)
			}
			if s.Thread.V < s.HolePitch.V {
				t.Errorf("%s: the thread does not cover one hole pitch", p.ID)
			}
			count++
		}
	}
	for _, p := range c.List(Prop) {
		if p.Shore.Class != "" {
			count--
		}
	}
	if count != 0 {
		t.Errorf("%d classed props are not in the list of EN 1065", -count)
	}
	if _, err := c.Part("prop-a45"); err == nil {
		t.Error("A45 is no prop of EN 1065 (PR-10)")
	}
}

// Trade lengths and setting marks: common practice, no source.
func TestBeams(t *testing.T) {
	c := embeddedCatalog(t)
	for _, cm := range []int{245, 265, 290, 330, 360, 390, 450, 490, 590} {
		p := part(t, c, fmt.Sprintf("beam-%d", cm))
		if math.Abs(float64(p.Length.V)*100-float64(cm)) > 1e-9 {
			t.Errorf("%s is %v m long", p.ID, p.Length.V)
		}
	}
	marks := map[string]struct{ length, first float64 }{ // ft
		"beam-6ft": {6, 1}, "beam-8ft": {8, 2}, "beam-10ft": {10, 1}, "beam-11ft6": {11.5, 1.75},
		"beam-12ft": {12, 2}, "beam-14ft": {14, 1}, "beam-16ft": {16, 2}, "beam-18ft": {18, 1},
	}
	for id, want := range marks {
		p := part(t, c, id)
		if got := float64(p.Length.V / quantity.Foot); math.Abs(got-want.length) > 1e-9 {
			t.Errorf("%s is %g ft long, want %g", id, got, want.length)
		}
		if got := float64(p.FirstMark / quantity.Foot); p.Marks != 4*quantity.Foot || math.Abs(got-want.first) > 1e-9 {
			t.Errorf("%s has marks every %v, the first at %g ft, want %g", id, p.Marks, got, want.first)
		}
	}
}

// eachValue calls f with every Value in a part, by its path.
func eachValue(v reflect.Value, path string, f func(path string, known bool, v float64, source string, evidence calc.Evidence)) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			eachValue(v.Elem(), path, f)
		}
	case reflect.Struct:
		if known := v.FieldByName("Known"); known.IsValid() {
			f(path, known.Bool(), v.FieldByName("V").Float(), v.FieldByName("Source").String(), calc.Evidence(v.FieldByName("Evidence").String()))
			return
		}
		for i := range v.NumField() {
			eachValue(v.Field(i), path+"."+v.Type().Field(i).Name, f)
		}
	}
}

// Every value has a source in words and evidence; what is low in confidence is
// size and weight of gear, never a strength, and the weights are the heavy ones.
func TestSourcesAndEvidence(t *testing.T) {
	c := embeddedCatalog(t)
	values := 0
	for _, p := range c.List("") {
		eachValue(reflect.ValueOf(p), p.ID, func(path string, known bool, v float64, source string, evidence calc.Evidence) {
			if !known && source == "" { // has no meaning for this part
				return
			}
			values++
			if !strings.Contains(source, " ") || !slices.Contains(evidences, evidence) {
				t.Errorf("%s: source %q, evidence %q", path, source, evidence)
			}
			memory := strings.Contains(source, "from memory") && !strings.Contains(source, "agrees with") && !strings.Contains(source, "that class A stops")
			if memory && evidence != calc.Memory {
				t.Errorf("%s is from memory by its source, but its evidence is %q", path, evidence)
			}
			if !strings.Contains(source, "low confidence") {
				return
			}
			field := path[strings.LastIndex(path, ".")+1:]
			if !slices.Contains([]string{"Mass", "Height", "SeatLong", "SeatWide", "Radius", "Depth", "HolePitch", "Thread", "Longest", "Shortest", "Limit"}, field) {
				t.Errorf("%s is a low-confidence value of a kind that must not be shipped", path)
			}
		})
	}
	if values < 1000 {
		t.Errorf("only %d values seen", values)
	}
	// Upper ends of the ranges 12-18, 18-25, 30-40 kg of the reference on labour, section 5.2.
	for id, want := range map[string]quantity.Mass{"prop-b30": 18, "prop-e40": 25, "prop-a40": 25, "prop-d55": 40} {
		if got := part(t, c, id).Mass.V; got != want {
			t.Errorf("%s weighs %v kg, want the heavy end %v", id, got, want)
		}
	}
}

// The one strength that stands in for an unknown one is lower than what it stands for, and says so.
func TestPlanarShearStandIn(t *testing.T) {
	for _, p := range embeddedCatalog(t).List(Sheet) {
		if p.Panel == nil {
			continue
		}
		for _, v := range []Value[quantity.Stress]{p.Panel.FrPar, p.Panel.FrPerp} {
			if v.V > 1.0e6 || v.Evidence != calc.Memory || !strings.Contains(v.Source, "stand-in") {
				t.Errorf("%s: planar shear %v (%s, %s)", p.ID, v.V, v.Evidence, v.Source)
			}
		}
		if !strings.Contains(p.Note, "stand-in") {
			t.Errorf("%s does not warn of its planar shear", p.ID)
		}
	}
}

// Nobody sets by hand what two people cannot carry; and one person can carry
// what practice says one person sets (25 kg, common practice).
func TestMasses(t *testing.T) {
	c := embeddedCatalog(t)
	for _, p := range c.List("") {
		if !p.Mass.Known || p.Mass.V < 0.2 || p.Mass.V > 60 && p.Kind != Box {
			t.Errorf("%s weighs %v kg", p.ID, p.Mass.V)
		}
	}
	for _, id := range []string{"beam-490", "beam-16ft", "beam-11ft6", "prop-e35", "prop-e40", "tripod", "drop-head", "timber-4x4-16ft", "timber-3x4-16ft", "wood-shore-13ft"} {
		if p := part(t, c, id); p.Mass.V > 25 {
			t.Errorf("%s weighs %v kg, too much for one person", id, p.Mass.V)
		}
	}
}

// Everything that travels has a box.
func TestBoxes(t *testing.T) {
	c := embeddedCatalog(t)
	for _, k := range kinds {
		if k == Box {
			continue
		}
		if !slices.ContainsFunc(c.List(Box), func(b *Part) bool { return slices.Contains(b.Carries.For, k) }) {
			t.Errorf("no box for %s", k)
		}
	}
}

// Each system can be proven on each of its bases in either style of units.
func TestKits(t *testing.T) {
	c := embeddedCatalog(t)
	for _, s := range c.SystemList() {
		for _, basis := range s.Bases {
			for _, style := range []quantity.Style{quantity.Metric, quantity.US} {
				kit, err := c.Kit(s.ID, basis, style)
				if err != nil {
					t.Errorf("%s %s: %v", s.ID, basis, err)
					continue
				}
				for _, id := range slices.Concat(kit.Sheets, kit.Joists, kit.Stringers, kit.Props, []string{kit.GradeHead, kit.Sill, kit.EdgeForm, kit.Kicker, kit.Guard, kit.Tie, kit.Brace}) {
					if p := part(t, c, id); !p.HasValues(basis) {
						t.Errorf("%s: %s has no values for basis %s", kit.ID, id, basis)
					}
				}
			}
		}
	}
	for _, k := range []struct {
		id, basis string
		style     quantity.Style
		want      string
		sheet     string
	}{
		{"timber-beam", "us", quantity.US, "timber-beam-ft", "ply-c1-3-4"},
		{"timber-beam", "us", quantity.Metric, "timber-beam", "ply-c1-3-4"},
		{"timber-beam", "eu", quantity.Metric, "timber-beam", "ply-birch-21"},
		{"timber-beam", "eu", quantity.US, "timber-beam-ft", "ply-birch-21"},
		{"lumber-posts", "us", quantity.Metric, "lumber-posts-ft", "ply-c1-3-4"},
		{"lumber-posts", "eu", quantity.US, "lumber-posts", "ply-birch-21"},
		{"two-length-kit", "eu", quantity.Metric, "two-length-kit", "ply-birch-21"},
	} {
		kit, err := c.Kit(k.id, k.basis, k.style)
		if err != nil {
			t.Errorf("%v: %v", k, err)
			continue
		}
		if kit.ID != k.want || kit.Sheets[0] != k.sheet {
			t.Errorf("%s on %s: %s with %s, want %s with %s", k.id, k.basis, kit.ID, kit.Sheets[0], k.want, k.sheet)
		}
	}
	if _, err := c.Kit("adjustable-posts", "eu", quantity.Metric); err == nil {
		t.Error("adjustable-posts has no values for eu, but is given")
	}
	if _, err := c.Kit("tables", "eu", quantity.Metric); err == nil {
		t.Error("an unknown system is given")
	}
}

// The edge form is the lowest that covers the edge, and none when none does.
func TestEdgeFormFor(t *testing.T) {
	c := embeddedCatalog(t)
	kit, err := c.Kit("timber-beam", "us", quantity.US)
	if err != nil {
		t.Fatal(err)
	}
	for in, want := range map[quantity.Length]string{5: "edge-2x6", 5.5: "edge-2x6", 7: "edge-2x8", 8: "edge-2x10", 10: "edge-2x12", 12: "edge-strip-1-1-8", 24: "edge-strip-1-1-8", 30: "edge-panel-1-1-8", 48: "edge-panel-1-1-8", 49: ""} {
		p, err := c.EdgeFormFor(kit, in*quantity.Inch)
		if want == "" && err == nil || want != "" && (err != nil || p.ID != want) {
			t.Errorf("%v in: %v, %v; want %q", in, p, err, want)
		}
	}
}

// A post that nobody has rated says so, and what to do.
func TestUnratedShore(t *testing.T) {
	c := embeddedCatalog(t)
	p := part(t, c, "wood-shore-10ft6")
	if p.Rated == nil || p.Rated.Load.Known || p.Rated.Required {
		t.Fatalf("rating %+v", p.Rated)
	}
	var seen []string
	for _, r := range p.Explain() {
		seen = append(seen, r.Name+": "+r.US)
	}
	text := strings.Join(seen, "\n")
	for _, want := range []string{"rated working load: unknown", "give the supplier's rating", "longest: 10'-6\""} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
}

func TestExplain(t *testing.T) {
	c := embeddedCatalog(t)
	for _, p := range c.List("") {
		rows, err := c.Explain(p.ID)
		if err != nil {
			t.Fatal(err)
		}
		told := map[string]int{}
		for _, r := range rows {
			if r.Metric == "" || r.US == "" {
				t.Errorf("%s: row %q is empty", p.ID, r.Name)
			}
			if r.Source != "" {
				told[r.Source]++
			}
		}
		eachValue(reflect.ValueOf(p), p.ID, func(path string, _ bool, _ float64, source string, _ calc.Evidence) {
			if source != "" {
				told[source]--
			}
		})
		if p.Marks > 0 {
			told[p.MarksSource] -= 2 // pitch and first mark
		}
		for source, n := range told {
			if n != 0 {
				t.Errorf("%s: %d values of %q are not explained", p.ID, -n, source)
			}
		}
	}
	for _, r := range part(t, c, "beam-11ft6").Explain() {
		switch r.Name {
		case "first mark from the end":
			if r.US != `1'-9"` || r.Metric != "533.4 mm" {
				t.Errorf("first mark %q, %q", r.US, r.Metric)
			}
		case "characteristic moment M_k":
			if r.Metric != "10.90 kNm" || r.Evidence != calc.ReadWeak {
				t.Errorf("moment %q (%s)", r.Metric, r.Evidence)
			}
		}
	}
	if rows, err := c.Explain("two-length-kit"); err != nil || len(rows) < 10 {
		t.Errorf("system: %d rows, %v", len(rows), err)
	}
	if _, err := c.Explain("nothing"); err == nil {
		t.Error("an unknown id is explained")
	}
}
