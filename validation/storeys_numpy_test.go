package validation

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"testing"

	"shoreward/internal/quantity"
	"shoreward/internal/storeys"
)

// The other side's words for a stack: see numpy/storeys.py. Stiffness 0 of props
// or ground means rigid.
type (
	matrixSlab struct {
		Weight    float64 `json:"weight"`
		Forms     float64 `json:"forms"`
		Live      float64 `json:"live"`
		Stiffness float64 `json:"stiffness"` // at a great age; half of it at 48 h
		Shores    float64 `json:"shores"`
		Reshores  float64 `json:"reshores"`
	}
	matrixOp struct {
		Kind string  `json:"kind"`
		Slab int     `json:"slab"`
		At   float64 `json:"at"` // h
	}
	matrixStack struct {
		Slabs  []matrixSlab `json:"slabs"`
		Ops    []matrixOp   `json:"ops"`
		Ground float64      `json:"ground"`
		Resnug bool         `json:"resnug"`
	}
	matrixStep struct {
		Slabs []float64 `json:"slabs"`
		Props []float64 `json:"props"`
		Gaps  []float64 `json:"gaps"`
	}
)

var matrixKinds = map[string]storeys.Kind{"place": storeys.Place, "live off": storeys.LiveOff, "strip": storeys.Strip, "reshore": storeys.Reshore, "remove": storeys.RemoveReshores}

// randomStack is a building of up to six slabs of unlike weight and stiffness, in
// Pa and N/m3, and a random order of work that can be built: at least two props
// levels stand at most times, stripping and removal come in any order.
func randomStack(rnd *rand.Rand) matrixStack {
	between := func(a, b float64) float64 { return a + (b-a)*rnd.Float64() }
	rigid := rnd.Float64() < 0.3
	stiff := func() float64 {
		if rigid {
			return 0
		}
		return between(5e6, 5e7)
	}
	st := matrixStack{Resnug: rnd.Float64() < 0.5, Ground: stiff()}
	n := 2 + rnd.IntN(5)
	for range n {
		st.Slabs = append(st.Slabs, matrixSlab{Weight: between(3e3, 9e3), Forms: between(0, 800), Live: between(0, 3000),
			Stiffness: between(2e6, 1e7), Shores: stiff(), Reshores: stiff()})
	}
	const shore, reshore = 1, 2
	under, live := make([]int, n), make([]bool, n)
	placed, at := 0, 0.0
	add := func(kind string, slab int) { st.Ops = append(st.Ops, matrixOp{kind, slab, at}) }
	for range 6 * n {
		at += between(6, 90)
		i := 0
		if placed > 0 {
			i = rnd.IntN(placed)
		}
		switch r := rnd.Float64(); {
		case placed == 0 || r < 0.3 && placed < n:
			add("place", placed)
			under[placed], live[placed] = shore, true
			placed++
		case live[i]:
			add("live off", i)
			live[i] = false
		case under[i] == shore:
			add("strip", i)
			under[i] = 0
		case under[i] == reshore && r < 0.5:
			add("remove", i)
			under[i] = 0
		case under[i] == 0 && (i == placed-1 || under[i+1] != shore || r < 0.6):
			add("reshore", i)
			under[i] = reshore
		}
	}
	return st
}

func (m matrixStack) stack() (*storeys.Stack, []storeys.Operation) {
	k := func(v float64) storeys.Stiffness {
		if v == 0 {
			return storeys.Rigid
		}
		return storeys.Stiffness(v)
	}
	s := &storeys.Stack{Ground: k(m.Ground)}
	for i, l := range m.Slabs {
		s.Slabs = append(s.Slabs, storeys.Slab{ID: fmt.Sprint(i), Top: quantity.Length(3 * i), Weight: quantity.Stress(l.Weight),
			Forms: quantity.Stress(l.Forms), Live: quantity.Stress(l.Live), Shores: k(l.Shores), Reshores: k(l.Reshores),
			Stiffness: func(age quantity.Duration) storeys.Stiffness {
				return storeys.Stiffness(l.Stiffness * float64(age) / (float64(age) + 48))
			}})
	}
	var ops []storeys.Operation
	for _, o := range m.Ops {
		ops = append(ops, storeys.Operation{Kind: matrixKinds[o.Kind], Slab: fmt.Sprint(o.Slab), At: quantity.Duration(o.At)})
	}
	return s, ops
}

// 200 random buildings against a full matrix solution (numpy) that tries every
// choice of props that touch.
func TestStoreysAgainstMatrices(t *testing.T) {
	rnd := rand.New(rand.NewPCG(2027, 11))
	stacks := make([]matrixStack, 200)
	for i := range stacks {
		stacks[i] = randomStack(rnd)
	}
	const python = "/usr/bin/python3" // Debian's: the one its python3-numpy serves
	if out, err := exec.Command(python, "-c", "import numpy").CombinedOutput(); err != nil {
		if os.Getenv("CI") != "" || os.Getenv("SHOREWARD_REQUIRE") != "" {
			t.Fatalf("%s with numpy is needed (install python3-numpy): %v: %s", python, err, out)
		}
		t.Skipf("no %s with numpy (install python3-numpy): %v", python, err)
	}
	in, err := json.Marshal(stacks)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "numpy/storeys.py")
	cmd.Stdin, cmd.Stderr = bytes.NewReader(in), os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want [][]matrixStep
	if err := json.Unmarshal(out, &want); err != nil {
		t.Fatal(err)
	}
	worst, steps, loose := 0.0, 0, 0
	for k, m := range stacks {
		s, ops := m.stack()
		tr, err := s.Trace(ops, storeys.Rules{Resnug: m.Resnug})
		if err != nil {
			t.Errorf("stack %d: %v", k, err)
			continue
		}
		if len(tr.Steps) != len(want[k]) {
			t.Fatalf("stack %d: %d steps, want %d", k, len(tr.Steps), len(want[k]))
		}
		for j, st := range tr.Steps {
			steps++
			for i := range st.Slabs {
				d := math.Abs(float64(st.Slabs[i].Load)-want[k][j].Slabs[i]) / 1e4 // of about two slabs
				d = math.Max(d, math.Abs(float64(st.Props[i].Force)-want[k][j].Props[i])/1e4)
				d = math.Max(d, math.Abs(float64(st.Props[i].Gap)-want[k][j].Gaps[i])/1e-3)
				worst = math.Max(worst, d)
				if st.Props[i].Gap > 0 {
					loose++
				}
				if !(d <= 1e-8) {
					t.Errorf("stack %d, %s, slab %d: %+v %+v, matrices %+v", k, st.Name(), i, st.Slabs[i], st.Props[i], want[k][j])
				}
			}
			if t.Failed() {
				break
			}
		}
	}
	if steps < 1000 || loose < 100 {
		t.Errorf("only %d steps and %d loose props were compared", steps, loose)
	}
	t.Logf("%d steps, %d loose props, greatest difference %.2g", steps, loose, worst)
}
