package validation

import (
	"math"
	"testing"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
	"shoreward/internal/rules/flatslab"
	"shoreward/internal/storeys"
)

// shares of a load on the upper slab, with each slab's own weight added.
func shares(t *testing.T, levels int, own, load quantity.Stress) (slabs, props []quantity.Stress) {
	t.Helper()
	ks, err := flatslab.Shares(levels)
	if err != nil {
		t.Fatal(err)
	}
	left := load
	for _, k := range ks {
		part := quantity.Stress(k.Value) * load
		slabs = append(slabs, own+part)
		left -= part
		props = append(props, left)
	}
	return slabs, props[:levels]
}

// A site calculation sheet that cites BS 5975 (read): 225 mm slab of 25 kN/m3,
// construction load 2.5 kN/m2, one level of backprops on a 1.8 m grid.
func TestSiteSheetOfBackprops(t *testing.T) {
	own := 5.625 * kPa
	slabs, props := shares(t, 1, own, own+2.5*kPa)
	meets(t, "S1", "load", slabs[0], kPa, 11.3125, 1e-4)
	meets(t, "S2", "load", slabs[1], kPa, 8.0625, 1e-4)
	meets(t, "props", "load", props[0], kPa, 2.4375, 1e-4)
	meets(t, "props", "force on 1.8 m x 1.8 m", quantity.Force(float64(props[0])*1.8*1.8), kN, 7.8975, 1e-4)
}

// Examples five and six of the guide: inputs read, results worked with its shares.
func TestGuideExamplesOfBackprops(t *testing.T) {
	for _, w := range []struct {
		id           string
		own, load    quantity.Stress
		levels       int
		slabs, props []float64
	}{
		{"five, one level", 4.92 * kPa, 4.92 * kPa, 1, []float64{8.364, 6.396}, []float64{1.476}},
		{"five, two levels", 4.92 * kPa, 4.92 * kPa, 2, []float64{8.118, 6.052, 5.510}, []float64{1.722, 0.590}},
		{"six, one level", 4.2 * kPa, 5.45 * kPa, 1, []float64{8.015, 5.835}, []float64{1.635}},
		{"six, two levels", 4.2 * kPa, 5.45 * kPa, 2, []float64{7.743, 5.454, 4.854}, []float64{1.908, 0.654}},
	} {
		slabs, props := shares(t, w.levels, w.own, w.load)
		for i := range w.slabs {
			meets(t, w.id, "slab", slabs[i], kPa, w.slabs[i], 1e-3)
		}
		for i := range w.props {
			meets(t, w.id, "props", props[i], kPa, w.props[i], 1e-3)
		}
	}
	if _, err := flatslab.Shares(3); err == nil {
		t.Error("three levels are given shares")
	}
}

// The same shares by springs: with c = 4/3 one level gives 70/30 (read in the site
// sheet), two levels 67.0/23.1/9.9, which is near to 65/23/12 of the guide but not it.
func TestSharesBySprings(t *testing.T) {
	load := func(reshores int) []storeys.SlabState {
		s := storeys.Uniform(8, 0, 0, 4.0/3)
		c := storeys.Cycle{Shores: 1, Reshores: reshores, Every: 168, StripAfter: 120}
		ops, err := c.Standard(s.IDs())
		if err != nil {
			t.Fatal(err)
		}
		tr, err := s.Trace(ops, storeys.Rules{Resnug: true})
		if err != nil {
			t.Fatal(err)
		}
		for _, st := range tr.Steps {
			if st.Kind == storeys.Place && st.Slab == "level 8" {
				return st.Slabs
			}
		}
		return nil
	}
	one, two := load(1), load(2)
	meets(t, "one level", "upper", one[6].Load-1, 1, 0.700, 1e-4)
	meets(t, "one level", "lower", one[5].Load-1, 1, 0.300, 1e-4)
	for i, want := range []float64{0.6703, 0.2308, 0.0989} {
		meets(t, "two levels", "slab", two[6-i].Load-1, 1, want, 1e-4)
		guide, _ := flatslab.Shares(2)
		if d := math.Abs(guide[i].Value - want); d > 0.025 {
			t.Errorf("slab %d: the guide differs from the springs by %.3f", i+1, d)
		}
	}
}

// The order of magnitude of c: a 200 mm flat plate of 6 m x 6 m, E = 25 kN/mm2, over
// timber of 100 mm x 100 mm, 2.7 m long, E = 7 kN/mm2, one on 1.2 m x 1.2 m. The plate
// coefficient is from memory.
func TestStiffnessOfPlateAndProps(t *testing.T) {
	k, err := storeys.Panel(25000*mpa, 200*mm, 6, 0.2)
	if err != nil {
		t.Fatal(err)
	}
	meets(t, "plate", "mean K, kN/m3", storeys.Stiffness(k.Value), 1000, 4611, 3)
	p, err := storeys.Props(quantity.Force(7000e6*0.01), 2.7, quantity.LineLoad(math.Inf(1)), quantity.Area(1.44))
	if err != nil {
		t.Fatal(err)
	}
	meets(t, "timber", "k, kN/m3", storeys.Stiffness(p.Value), 1000, 18004, 1)
	meets(t, "ratio", "c", quantity.Ratio(k.Value/p.Value), 1, 0.256, 0.001)
	// Bedding as soft as the prop halves the stiffness (springs in a row).
	soft, err := storeys.Props(quantity.Force(7000e6*0.01), 2.7, quantity.LineLoad(7000e6*0.01/2.7), quantity.Area(1.44))
	if err != nil {
		t.Fatal(err)
	}
	meets(t, "timber on bedding", "k, kN/m3", storeys.Stiffness(soft.Value), 1000, 9002, 1)
	if k.Evidence != calc.Memory {
		t.Errorf("the plate coefficient is from memory, the line says %q", k.Evidence)
	}
	for _, bad := range []error{second(storeys.Panel(0, 1, 1, 0)), second(storeys.Panel(1, 1, 1, 0.5)), second(storeys.Props(1, 1, 0, 1))} {
		if bad == nil {
			t.Error("a stiffness that cannot be is taken")
		}
	}
}

func second[T any](_ T, err error) error { return err }
