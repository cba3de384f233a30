package storeys

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// byMatrix solves levels, all of them placed and each on the one below, by a full
// system of deflections and forces for every choice of props that touch.
func byMatrix(ls []level) []level {
	n := len(ls)
	scale := 0.0
	for _, l := range ls {
		scale += l.w
	}
	for choice := range 1 << n {
		a, b := mat.NewDense(2*n, 2*n, nil), mat.NewVecDense(2*n, nil)
		possible := true
		for i, l := range ls {
			touch := choice>>i&1 == 1
			if touch && l.prop == None {
				possible = false
				break
			}
			a.Set(i, i, l.k)
			a.Set(i, n+i, 1)
			if i+1 < n {
				a.Set(i, n+i+1, -1)
			}
			b.SetVec(i, l.w-l.s)
			if !touch {
				a.Set(n+i, n+i, 1)
				continue
			}
			a.Set(n+i, i, 1)
			if i > 0 {
				a.Set(n+i, i-1, -1)
			}
			a.Set(n+i, n+i, -l.give)
			b.SetVec(n+i, l.gap-l.give*l.p)
		}
		var x mat.VecDense
		if !possible || x.SolveVec(a, b) != nil {
			continue
		}
		out := append([]level(nil), ls...)
		good := true
		for i := range out {
			l := &out[i]
			u := x.AtVec(i)
			if i > 0 {
				u -= x.AtVec(i - 1)
			}
			gap := l.gap - l.give*l.p - u
			l.s += l.k * x.AtVec(i)
			l.p, l.gap = x.AtVec(n+i), 0
			if choice>>i&1 == 0 && l.prop != None {
				l.gap = gap
			}
			good = good && l.p > -1e-9*scale && l.gap > -1e-9
		}
		if good {
			return out
		}
	}
	return nil
}

// Any state of a stack, in balance or not, settles as a dense matrix library finds by
// trying every choice of props that touch. Loads of some kN/m2, in units of 1 kN/m2 and
// 1 mm so that the matrix is well scaled.
func TestSettlesAsMatricesDo(t *testing.T) {
	compared, loose := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "levels")
		ls := make([]level, n)
		for i := range ls {
			l := &ls[i]
			*l = level{placed: true, on: i - 1, w: rapid.Float64Range(1, 10).Draw(t, "w"), s: rapid.Float64Range(0, 12).Draw(t, "s"), k: rapid.Float64Range(0.5, 20).Draw(t, "k")}
			if rapid.IntRange(0, 4).Draw(t, "prop") > 0 {
				l.prop = Shore
				l.give = rapid.SampledFrom([]float64{0, 0.02, 0.1, 1}).Draw(t, "give")
				if rapid.Bool().Draw(t, "loose") {
					l.gap = rapid.Float64Range(0.01, 1).Draw(t, "gap")
				} else {
					l.p = rapid.Float64Range(0, 20).Draw(t, "p")
				}
			}
		}
		want := byMatrix(ls)
		if want == nil {
			t.Fatal("the matrices find no state")
		}
		if err := settle(ls); err != nil {
			t.Fatal(err)
		}
		for i := range ls {
			g, w := ls[i], want[i]
			if math.Abs(g.s-w.s) > 1e-8 || math.Abs(g.p-w.p) > 1e-8 || math.Abs(g.gap-w.gap) > 1e-8 {
				t.Fatalf("level %d: %+v, matrices %+v", i, g, w)
			}
			if g.gap > 0 {
				loose++
			}
			compared++
		}
		if err := proven(ls); err != nil {
			t.Fatal(err)
		}
	})
	if loose == 0 || compared < 100 {
		t.Errorf("%d levels were compared, %d loose", compared, loose)
	}
}
