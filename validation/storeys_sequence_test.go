package validation

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"shoreward/internal/quantity"
	"shoreward/internal/storeys"
)

// The worked sequence of a university course (University of Florida,
// Construction Lectures Fall 2014, "Week 10 - Reshoring", output tables; read):
// eight levels, 21 rows, simplified method, forms and live load left out. L is
// the load of a slab, S and R the force of the shores or reshores under it, in
// units of the slab's weight; levels not named carry 1 and nothing stands under
// them. Reshores that came loose are snug again at the next placing.
var sequence = []string{
	"place 1: L1=0, S1=1",
	"place 2: L1=0, S1=2; L2=0, S2=1",
	"strip 1: L1=1; L2=1, S2=0",
	"reshore 1, place 3: L1=1, R1=1; L2=1, S2=1; L3=0, S3=1",
	"remove 1: L1=1.3333; L2=1.3333, S2=0.3333; L3=0.3333, S3=0.6667",
	"strip 2: L1=1; L2=1.5; L3=0.5, S3=0.5",
	"reshore 2, place 4: L1=1.3333; L2=1.8333, R2=0.3333; L3=0.8333, S3=1.1667; L4=0, S4=1",
	"strip 3: L1=1; L2=1, R2=0; L3=1.4167; L4=0.5833, S4=0.4167",
	"reshore 3, place 5: L1=1.25; L2=1.25, R2=0.25; L3=1.6667, R3=0.5; L4=0.8333, S4=1.1667; L5=0, S5=1",
	"place 6: L1=1.45; L2=1.45, R2=0.45; L3=1.8667, R3=0.9; L4=1.0333, S4=1.7667; L5=0.2, S5=1.8; L6=0, S6=1",
	"remove 2: L2=1.54; L3=1.9567, R3=0.54; L4=1.1233, S4=1.4967; L5=0.29, S5=1.62; L6=0.09, S6=0.91",
	"remove 3: L3=2.0917; L4=1.2583, S4=1.0917; L5=0.425, S5=1.35; L6=0.225, S6=0.775",
	"strip 4: L4=1.6222; L5=0.7889, S5=0.6222; L6=0.5889, S6=0.4111",
	"reshore 4, place 7: L3=1.25; L4=1.8722, R4=0.25; L5=1.0389, S5=1.1222; L6=0.8389, S6=1.1611; L7=0, S7=1",
	"remove 4: L4=1.9347; L5=1.1014, S5=0.9347; L6=0.9014, S6=1.0361; L7=0.0625, S7=0.9375",
	"strip 5: L5=1.4130; L6=1.2130, S6=0.4130; L7=0.3741, S7=0.6259",
	"reshore 5, place 8: L4=1.25; L5=1.6630, R5=0.25; L6=1.4630, S6=0.9130; L7=0.6241, S7=1.3759; L8=0, S8=1",
	"remove 5: L5=1.7255; L6=1.5255, S6=0.7255; L7=0.6866, S7=1.2509; L8=0.0625, S8=0.9375",
	"strip 6: L6=1.7673; L7=0.9284, S7=0.7673; L8=0.3043, S8=0.6957",
	"strip 7: L7=1.3120; L8=0.6880, S8=0.3120",
	"strip 8: ",
}

// All 21 rows to four decimals.
func TestPublishedSequence(t *testing.T) {
	kinds := map[string]storeys.Kind{"place": storeys.Place, "strip": storeys.Strip, "reshore": storeys.Reshore, "remove": storeys.RemoveReshores}
	var ops []storeys.Operation
	var last []int // of each row, its last operation
	for _, row := range sequence {
		names, _, _ := strings.Cut(row, ": ")
		for _, n := range strings.Split(names, ", ") {
			verb, level, _ := strings.Cut(n, " ")
			ops = append(ops, storeys.Operation{Kind: kinds[verb], Slab: "level " + level, At: quantity.Duration(24 * len(ops))})
		}
		last = append(last, len(ops)-1)
	}
	tr, err := storeys.Uniform(8, 0, 0, 0).Trace(ops, storeys.Rules{Resnug: true})
	if err != nil {
		t.Fatal(err)
	}
	value := regexp.MustCompile(`([LSR])(\d)=([\d.]+)`)
	for k, row := range sequence {
		st := tr.Steps[last[k]]
		load, prop, kind := [9]float64{}, [9]float64{}, [9]storeys.Prop{}
		for i := range load {
			load[i] = 1
		}
		for _, m := range value.FindAllStringSubmatch(row, -1) {
			i, _ := strconv.Atoi(m[2])
			v, _ := strconv.ParseFloat(m[3], 64)
			switch m[1] {
			case "L":
				load[i] = v
			case "S":
				prop[i], kind[i] = v, storeys.Shore
			case "R":
				prop[i], kind[i] = v, storeys.ReshoreProp
			}
		}
		for i := 1; i <= 8; i++ {
			s, p := st.Slabs[i-1], st.Props[i-1]
			if !s.Placed {
				continue
			}
			id := fmt.Sprintf("row %d, level %d", k+1, i)
			meets(t, id, "slab", s.Load, 1, load[i], 0.00005001)
			meets(t, id, "props", p.Force, 1, prop[i], 0.00005001)
			if prop[i] > 0 && p.Kind != kind[i] {
				t.Errorf("%s: %s, published %s", id, p.Kind, kind[i])
			}
		}
	}
	if r2 := tr.Steps[last[7]].Props[1]; !r2.Lifted {
		t.Errorf("row 8: the reshores under level 2 are not reported as loose: %+v", r2)
	}
}

// The same source: every level propped to the ground, each slab stripped, let
// down to carry itself and reshored before the next is placed. No slab ever
// carries more than itself and every level of props carries one slab.
func TestStripAndReshoreToTheGround(t *testing.T) {
	var ops []storeys.Operation
	add := func(k storeys.Kind, level int) {
		ops = append(ops, storeys.Operation{Kind: k, Slab: fmt.Sprintf("level %d", level), At: quantity.Duration(24 * len(ops))})
	}
	for n := 1; n <= 6; n++ {
		add(storeys.Place, n)
		add(storeys.Strip, n)
		add(storeys.Reshore, n)
	}
	tr, err := storeys.Uniform(6, 0, 0, 0).Trace(ops, storeys.Rules{Resnug: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, st := range tr.Steps {
		placing := st.Kind == storeys.Place
		for i, s := range st.Slabs {
			if !s.Placed {
				continue
			}
			want := 1.0
			if placing && st.Slab == tr.Stack.Slabs[i].ID {
				want = 0
			}
			meets(t, st.Name(), "slab", s.Load, 1, want, 1e-6)
			if placing {
				meets(t, st.Name(), "props", st.Props[i].Force, 1, 1, 1e-6)
			}
		}
	}
}
