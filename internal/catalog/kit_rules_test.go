package catalog_test

import (
	"path/filepath"
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// What a kit holds for a basis, the rules of that basis can prove: every sheet,
// joist, stringer, prop, seat and sill has a resistance.
func TestRulesProveEveryKit(t *testing.T) {
	c, err := catalog.Load(filepath.Join("testdata", "own.yaml")) // has a rating for one wood post
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range c.SystemList() {
		for _, basis := range s.Bases {
			set := rules.Defaults(rules.Name(basis))
			kit, err := c.Kit(s.ID, basis, quantity.Metric)
			if err != nil {
				t.Errorf("%s: %v", s.ID, err)
				continue
			}
			must := func(id string, value float64, err error) {
				t.Helper()
				if err != nil || !(value > 0) {
					t.Errorf("%s on %s, %s: %g, %v", kit.ID, basis, id, value, err)
				}
			}
			for _, id := range kit.Sheets {
				r, err := set.Sheet(c.Parts[id], true)
				must(id, min(r.Moment, r.Shear, r.EI), err)
			}
			for _, id := range kit.Joists {
				r, err := set.Beam(c.Parts[id], rules.Context{Repetitive: true})
				must(id, min(float64(r.Moment), float64(r.Shear), float64(r.EI)), err)
			}
			seat := rules.Seat{Long: c.Parts[kit.GradeHead].Seat.SeatLong.V, Wide: c.Parts[kit.GradeHead].Seat.SeatWide.V, FromEnd: 0.2}
			for _, id := range kit.Stringers {
				r, err := set.Beam(c.Parts[id], rules.Context{})
				must(id, min(float64(r.Moment), float64(r.Shear), float64(r.EI)), err)
				f, _, err := set.Bearing(c.Parts[id], seat)
				must(id+" on "+kit.GradeHead, float64(f), err)
			}
			for _, id := range kit.Props {
				p := c.Parts[id]
				extension := quantity.Length(2.4)
				if p.Shore != nil {
					extension = (p.Shore.Longest.V + p.Shore.Shortest.V) / 2
				}
				f, _, err := set.Prop(p, extension)
				if p.Rated != nil && !p.Rated.Load.Known {
					if err == nil {
						t.Errorf("%s on %s: %s is planned on without a rating", kit.ID, basis, id)
					}
					continue
				}
				must(id, float64(f), err)
			}
			// Everyday work that the edge forms must stand: kickers 600 mm apart, 400 mm for panel strips.
			for height, pitch := range map[quantity.Length]quantity.Length{0.15: 0.6, 0.2: 0.6, 0.25: 0.6, 0.3: 0.4, 0.4: 0.4} {
				if len(kit.EdgeForms) == 0 {
					break
				}
				form, err := c.EdgeFormFor(kit, height)
				if err != nil {
					t.Error(err)
					continue
				}
				lines, err := set.EdgeForm(form, height, pitch, c.Parts[kit.Kicker])
				worst, found := lines.Worst()
				if !found || worst.Ratio > 1 {
					t.Errorf("%s on %s: %s at %v m: %s %.2f", kit.ID, basis, form.ID, height, worst.Name, worst.Ratio)
				}
				must(form.ID, worst.Ratio, err)
			}
			if kit.Guard != "" {
				_, err = set.Guard(c.Parts[kit.Guard], 2.4)
				must(kit.Guard, 1, err)
			}
			if kit.Sill != "" {
				lines, err := set.Sill(c.Parts[kit.Sill], 5*quantity.Kilonewton, 0.12)
				worst, found := lines.Worst()
				if !found {
					t.Errorf("%s on %s: no check of sill %s", kit.ID, basis, kit.Sill)
				}
				must(kit.Sill, worst.Ratio, err)
			}
		}
	}
}
