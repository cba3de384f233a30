package beam

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// A polynomial built from its roots gives them back.
func TestRoots(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 5).Draw(t, "n")
		p := poly{rapid.SampledFrom([]float64{1, -3, 1e6, -1e-6, 1e-180, 1e180}).Draw(t, "lead")}
		var inside []float64
		var used []int
		for range n {
			k := rapid.IntRange(-20, 40).Filter(func(k int) bool { return !slices.Contains(used, k) }).Draw(t, "root")
			used = append(used, k)
			r := float64(k)/20 + 0.013
			var q poly
			for i := 5; i >= 0; i-- { // q = p (t - r)
				q[i] -= r * p[i]
				if i > 0 {
					q[i] += p[i-1]
				}
			}
			p = q
			if r > 0 && r < 1 {
				inside = append(inside, r)
			}
		}
		slices.Sort(inside)
		got, m := p.roots(0, 1)
		if m != len(inside) {
			t.Fatalf("%d roots %v, want %v", m, got, inside)
		}
		for i, r := range inside {
			if math.Abs(got[i]-r) > 1e-8 {
				t.Errorf("root %d is %.12g, want %.12g", i, got[i], r)
			}
		}
	})
}
