package validation

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"testing"

	"shoreward/internal/beam"
)

// The other side's words for a beam: see numpy/beams.py.
type (
	feSupport struct {
		X    float64 `json:"x"`
		K    float64 `json:"k"`
		Push bool    `json:"push"`
	}
	feLoad struct {
		From float64 `json:"from"`
		To   float64 `json:"to"`
		W1   float64 `json:"w1"`
		W2   float64 `json:"w2"`
		P    float64 `json:"p"`
	}
	feBeam struct {
		Start    float64     `json:"start"`
		End      float64     `json:"end"`
		EI       float64     `json:"ei"`
		Supports []feSupport `json:"supports"`
		Loads    []feLoad    `json:"loads"`
		Probes   []float64   `json:"probes"`
	}
	feResult struct {
		Reactions   []float64 `json:"reactions"`
		Moments     []float64 `json:"moments"`
		Shears      []float64 `json:"shears"`
		Deflections []float64 `json:"deflections"`
	}
)

func (f feBeam) beam() (beam.Beam, []beam.Load) {
	b := beam.Beam{Start: f.Start, End: f.End, EI: f.EI}
	for _, s := range f.Supports {
		b.Supports = append(b.Supports, beam.Support{X: s.X, Stiffness: s.K, PushOnly: s.Push})
	}
	var ls []beam.Load
	for _, l := range f.Loads {
		ls = append(ls, beam.Load(l))
	}
	return b, ls
}

// randomBeam is a beam of formwork size in N and m: 1 to 8 spans (1 to 5 when
// supports only push), overhangs, rigid supports and springs, point and
// trapezoid loads, some past the ends of the beam or upward.
func randomBeam(rnd *rand.Rand, push bool) feBeam {
	between := func(a, b float64) float64 { return a + (b-a)*rnd.Float64() }
	chance := func(p float64) bool { return rnd.Float64() < p }
	f := feBeam{EI: math.Exp(between(math.Log(5e3), math.Log(1e6))), Start: between(-2, 2)}
	x, most := f.Start, 8
	if push {
		most = 5
	}
	if chance(0.6) {
		x += between(0.05, 1.5)
	}
	for range 2 + rnd.IntN(most) {
		s := feSupport{X: x, Push: push && chance(0.8)}
		if chance(0.4) {
			s.K = math.Exp(between(math.Log(1e6), math.Log(1e9)))
		}
		f.Supports = append(f.Supports, s)
		f.End = x
		x += between(0.3, 4)
	}
	if chance(0.6) {
		f.End += between(0.05, 1.5)
	}
	up := 0.15
	if push {
		up = 0.02
	}
	sign := func() float64 {
		if chance(up) {
			return -1
		}
		return 1
	}
	for range 1 + rnd.IntN(8) {
		if chance(0.5) {
			p := between(f.Start, f.End)
			if chance(0.1) {
				p = f.End
			}
			f.Loads = append(f.Loads, feLoad{From: p, To: p, P: sign() * between(100, 20e3)})
			continue
		}
		a, b := between(f.Start-1, f.End+1), between(f.Start-1, f.End+1)
		s := sign()
		f.Loads = append(f.Loads, feLoad{From: min(a, b), To: max(a, b), W1: s * between(0, 20e3), W2: s * between(0, 20e3)})
	}
	f.probe(0.5 * (f.Start + f.Supports[0].X))
	for i := range f.Supports[1:] {
		f.probe(0.55*f.Supports[i].X + 0.45*f.Supports[i+1].X)
	}
	f.probe(0.5 * (f.End + f.Supports[len(f.Supports)-1].X))
	for range 8 {
		f.probe(between(f.Start, f.End))
	}
	return f
}

// probe adds a place to compare at, unless it is within 20 mm of a support, a
// load end or a beam end, where an element would be so short that the finite
// elements lose the digits that the comparison asks for.
func (f *feBeam) probe(x float64) {
	near := []float64{f.Start, f.End}
	for _, s := range f.Supports {
		near = append(near, s.X)
	}
	for _, l := range f.Loads {
		near = append(near, l.From, l.To)
	}
	for _, n := range append(near, f.Probes...) {
		if math.Abs(n-x) < 0.02 {
			return
		}
	}
	f.Probes = append(f.Probes, x)
}

// pythonBeams solves the beams by numpy. Without numpy the test is skipped on
// a desk but fails where the test set-up promises it (CI or SHOREWARD_REQUIRE).
func pythonBeams(t *testing.T, beams []feBeam) []*feResult {
	t.Helper()
	const python = "/usr/bin/python3" // Debian's: the one its python3-numpy serves
	if out, err := exec.Command(python, "-c", "import numpy").CombinedOutput(); err != nil {
		if os.Getenv("CI") != "" || os.Getenv("SHOREWARD_REQUIRE") != "" {
			t.Fatalf("%s with numpy is needed (install python3-numpy): %v: %s", python, err, out)
		}
		t.Skipf("no %s with numpy (install python3-numpy): %v", python, err)
	}
	in, err := json.Marshal(beams)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "numpy/beams.py")
	cmd.Stdin, cmd.Stderr = bytes.NewReader(in), os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var results []*feResult
	if err := json.Unmarshal(out, &results); err != nil {
		t.Fatal(err)
	}
	if len(results) != len(beams) {
		t.Fatalf("%d results for %d beams", len(results), len(beams))
	}
	return results
}

func largest(vs ...[]float64) float64 {
	var m float64
	for _, s := range vs {
		for _, v := range s {
			m = math.Max(m, math.Abs(v))
		}
	}
	return m
}

// compare returns the greatest difference as a part of the greatest value of
// its kind on the beam.
func compare(f feBeam, r *beam.Result, want *feResult) (worst float64) {
	var m, v, y []float64
	for _, x := range f.Probes {
		m, v, y = append(m, r.Moment(x)), append(v, r.Shear(x, beam.Right)), append(y, r.Deflection(x))
	}
	forces := largest(want.Reactions, want.Shears)
	for _, pair := range []struct {
		got, want []float64
		size      float64
	}{
		{r.Reactions, want.Reactions, forces},
		{v, want.Shears, forces},
		{m, want.Moments, largest(want.Moments)},
		{y, want.Deflections, largest(want.Deflections)},
	} {
		for i := range pair.want {
			d := math.Abs(pair.got[i] - pair.want[i])
			if math.IsNaN(d) {
				return math.Inf(1)
			}
			if d > 0 {
				worst = math.Max(worst, d/pair.size)
			}
		}
	}
	return worst
}

// 200 random beams against an independent finite-element solution (numpy).
func TestBeamsAgainstFiniteElements(t *testing.T) {
	rnd := rand.New(rand.NewPCG(2027, 3))
	beams := make([]feBeam, 200)
	for i := range beams {
		beams[i] = randomBeam(rnd, false)
	}
	var worst float64
	for i, want := range pythonBeams(t, beams) {
		b, loads := beams[i].beam()
		r, err := b.Solve(loads)
		if err != nil || want == nil {
			t.Errorf("beam %d: %v; finite elements found a solution: %t", i, err, want != nil)
			continue
		}
		d := compare(beams[i], &r, want)
		if d > 1e-8 {
			t.Errorf("beam %d differs by %.2g: %+v", i, d, beams[i])
		}
		worst = math.Max(worst, d)
	}
	t.Logf("greatest difference %.2g of the greatest value on the beam", worst)
}

// 150 random beams with supports that only push, against finite elements with
// every choice of lifted supports tried. Both must agree on what cannot stand.
func TestLiftingBeamsAgainstFiniteElements(t *testing.T) {
	rnd := rand.New(rand.NewPCG(2027, 4))
	beams := make([]feBeam, 150)
	for i := range beams {
		beams[i] = randomBeam(rnd, true)
	}
	var worst float64
	lifting, fallen := 0, 0
	for i, want := range pythonBeams(t, beams) {
		b, loads := beams[i].beam()
		r, err := b.Solve(loads)
		if (err == nil) != (want != nil) {
			t.Errorf("beam %d: %v; finite elements found a solution: %t", i, err, want != nil)
			continue
		}
		if err != nil {
			fallen++
			continue
		}
		for _, l := range r.Lifted {
			if l {
				lifting++
				break
			}
		}
		d := compare(beams[i], &r, want)
		if d > 1e-8 {
			t.Errorf("beam %d differs by %.2g: %+v", i, d, beams[i])
		}
		worst = math.Max(worst, d)
	}
	t.Logf("%d of %d lift somewhere, %d cannot stand; greatest difference %.2g", lifting, len(beams), fallen, worst)
	if lifting < 20 || fallen < 1 {
		t.Errorf("too few beams lift (%d) or fall (%d) for this test to mean anything", lifting, fallen)
	}
}
