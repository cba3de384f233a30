package validation

import (
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
	"shoreward/internal/rules/en1065"
)

// Rows PR-01 to PR-11: EN 1065:1998 clause 8. "M" from memory, "R" read.
func TestPropClasses(t *testing.T) {
	rows := []struct {
		id, class    string
		longest, at  quantity.Length
		want         float64
		sourceOfWant string
	}{
		{"PR-01", "A", 2.5, 2.5, 20.40, "M; the French safety body OPPBTP prints 20,40 kN (R)"},
		{"PR-02", "E", 3.5, 3.5, 51.0, "OPPBTP prints 51 kN (R)"},
		{"PR-02", "E", 3.5, 2.0, 51.0, "the same at every extension (R)"},
		{"PR-03", "D", 3.5, 3.5, 34.0, "M; permissible 20 kN x 1.7 (R, German scaffold page)"},
		{"PR-03", "D", 3.5, 2.0, 34.0, "the same at every extension (M)"},
		{"PR-04", "B", 3.5, 3.0, 26.44, "M"},
		{"PR-05", "B", 3.0, 1.8, 51.0, "cap, M"},
		{"PR-06", "C", 4.0, 2.5, 59.5, "cap, M"},
		{"PR-07", "C", 4.0, 3.5, 33.31, "M"},
		{"PR-08", "B", 4.0, 4.0, 17.00, "M"},
		// Values at full extension, table 1.1 (derived there from the class formulas).
		{"table 1.1", "A", 4.0, 4.0, 12.75, "derived"},
		{"table 1.1", "B", 5.5, 5.5, 12.36, "derived"},
		{"table 1.1", "C", 2.5, 2.5, 40.80, "derived"},
		{"table 1.1", "C", 5.5, 5.5, 18.55, "derived"},
	}
	for _, r := range rows {
		l, err := en1065.NominalStrength(r.class, r.longest, r.at)
		if err != nil {
			t.Errorf("%s: %v", r.id, err)
			continue
		}
		meets(t, r.id, r.sourceOfWant, quantity.Force(l.Value), kN, r.want, percent(0.1, r.want))
	}
}

// PR-10, PR-11: no class A prop of 4.5 m; no extension past the longest.
func TestPropRefusals(t *testing.T) {
	if _, err := en1065.NominalStrength("A", 4.5, 3); err == nil {
		t.Error("PR-10: A45 exists")
	}
	if _, err := en1065.NominalStrength("E", 3.5, 3.51); err == nil {
		t.Error("PR-11: extension past the longest is accepted")
	}
	if _, err := en1065.NominalStrength("F", 3.5, 3); err == nil {
		t.Error("class F exists")
	}
}

func steelProp(class string, longest quantity.Length) *catalog.Part {
	return &catalog.Part{ID: "prop-" + class, Kind: catalog.Prop,
		Shore: &catalog.PropProps{Class: class, Longest: known(longest), Shortest: known(longest / 2)}}
}

// PR-08, PR-09: nominal strength over 1.7 and 1.65; D and E at 20 and 30 kN
// (read, German scaffold page). Over 1.1 x 1.15 for EN 12812 class B2 (memory).
func TestPropWorkingLoads(t *testing.T) {
	load := func(s rules.Settings, p *catalog.Part, l quantity.Length) quantity.Force {
		f, _, err := s.Prop(p, l)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	s := rules.Defaults(rules.US)
	meets(t, "PR-09", "D over 1.7", load(s, steelProp("D", 3.5), 3), kN, 20.0, 0.02)
	meets(t, "PR-09", "E over 1.7", load(s, steelProp("E", 3.5), 3), kN, 30.0, 0.03)
	meets(t, "PR-08", "B40 over 1.7", load(s, steelProp("B", 4), 4), kN, 10.00, 0.01)
	s.PropDivisor = 1.65
	meets(t, "PR-08", "B40 over 1.65", load(s, steelProp("B", 4), 4), kN, 10.30, 0.01)

	// Section 1.2: class B2 leaves 17.9 and 26.9 kN once the load factor 1.5 is taken off too.
	e := rules.Defaults(rules.EU)
	meets(t, "section 1.2", "D, class B2", load(e, steelProp("D", 3.5), 3)/1.5, kN, 17.9, 0.05)
	meets(t, "section 1.2", "E, class B2", load(e, steelProp("E", 3.5), 3)/1.5, kN, 26.9, 0.05)
	e.ClassB2 = false
	meets(t, "section 1.2", "D over 1.65", load(e, steelProp("D", 3.5), 3)/1.5, kN, 20.6, 0.05)
	meets(t, "section 1.2", "E over 1.65", load(e, steelProp("E", 3.5), 3)/1.5, kN, 30.9, 0.05)
}

// PR-12: tube 48.3 x 3.2 (derived: circle formulas).
func TestTubeSection(t *testing.T) {
	s := en1065.TubeSection(48.3*mm, 3.2*mm)
	meets(t, "PR-12", "area", s.Area, 1e-6, 453.4, percent(0.1, 453.4))
	meets(t, "PR-12", "inertia", s.Inertia, 1e-12, 115857, percent(0.1, 115857))
	meets(t, "PR-12", "radius of gyration", s.Radius, 1e-3, 15.99, percent(0.1, 15.99))
}
