package cutting

import (
	"math"
	"sort"
)

// stock is what kinds of pieces are cut from, one like the other.
type stock interface {
	// alone is how many of one kind are cut from one, at most the wanted number.
	alone(kind, wanted int) int
	// pattern is a way to cut one of great worth with no more of a kind than
	// wanted, and a worth that no pattern exceeds; nothing and zero when none is known.
	pattern(worth []int64, wanted []int) (counts []int, most int64)
	// firstFit is a quick way to cut all that is wanted.
	firstFit(wanted []int) [][]int
}

// relaxed is the answer to the linear relaxation.
type relaxed struct {
	value    float64
	bound    int
	patterns [][]int
	times    []float64
}

// worthOne is what a stock length is worth in the whole numbers that patterns are priced in.
const worthOne = 1 << 30

// relax solves the relaxation by the simplex method; patterns enter as the
// stock prices them. The bound is Farley's: it holds whatever the rounding of
// the simplex method, because patterns are priced in whole numbers.
func relax(c stock, demand []int) relaxed {
	var kinds []int
	for i, d := range demand {
		if d > 0 {
			kinds = append(kinds, i)
		}
	}
	m := len(kinds)
	if m == 0 {
		return relaxed{}
	}
	basis := make([][]int, m) // patterns; nil: more than wanted of one kind
	inverse := make([][]float64, m)
	x := make([]float64, m)
	for r, k := range kinds {
		n := c.alone(k, demand[k])
		basis[r] = make([]int, len(demand))
		basis[r][k] = n
		inverse[r] = make([]float64, m)
		inverse[r][r] = 1 / float64(n)
		x[r] = float64(demand[k]) / float64(n)
	}
	bound := 0.0
	const small = 1e-9
	for range 20000 {
		y := make([]float64, m)
		for r := range m {
			if basis[r] == nil {
				continue
			}
			for k := range m {
				y[k] += inverse[r][k]
			}
		}
		enter, column := []int(nil), make([]float64, m)
		surplus := -1
		for k := range m {
			if y[k] < -small && surplus < 0 {
				surplus = k
			}
		}
		if surplus >= 0 {
			column[surplus] = -1
		} else {
			worth := make([]int64, len(demand))
			total := 0.0
			for k, i := range kinds {
				worth[i] = int64(math.Floor(math.Max(y[k], 0) * worthOne))
				total += float64(worth[i]) * float64(demand[i])
			}
			pattern, most := c.pattern(worth, demand)
			if most > 0 {
				bound = math.Max(bound, total/float64(most))
			}
			gain := 0.0
			for k, i := range kinds {
				column[k] = float64(pattern[i])
				gain += y[k] * column[k]
			}
			if gain <= 1+1e-8 {
				break
			}
			enter = pattern
		}
		// The row that leaves.
		u := make([]float64, m)
		out := -1
		for r := range m {
			for k := range m {
				u[r] += inverse[r][k] * column[k]
			}
			if u[r] > small && (out < 0 || x[r]/u[r] < x[out]/u[out]-1e-12) {
				out = r
			}
		}
		if out < 0 {
			break
		}
		step := x[out] / u[out]
		for r := range m {
			if r == out {
				continue
			}
			x[r] = math.Max(0, x[r]-step*u[r])
			f := u[r] / u[out]
			for k := range m {
				inverse[r][k] -= f * inverse[out][k]
			}
		}
		x[out] = step
		for k := range m {
			inverse[out][k] /= u[out]
		}
		basis[out] = enter
	}
	ans := relaxed{bound: int(math.Ceil(bound - 1e-6))}
	for r, p := range basis {
		if p != nil {
			ans.value += x[r]
			ans.patterns, ans.times = append(ans.patterns, p), append(ans.times, x[r])
		}
	}
	return ans
}

// dive rounds relaxations until nothing is wanted any more.
type dive struct {
	stock
	bound int
	best  [][]int
	left  int // relaxations that may still be solved
}

// run completes a plan, given what is taken and what is left to cut, and
// reports whether the bound is met.
func (d *dive) run(demand []int, taken [][]int, r *relaxed) bool {
	if r == nil {
		if d.left == 0 {
			return false
		}
		d.left--
		got := relax(d.stock, demand)
		r = &got
	}
	if len(taken)+r.bound >= len(d.best) {
		return false // no better than what is known
	}
	demand = append([]int(nil), demand...)
	taken = append([][]int(nil), taken...)
	whole := false
	for i, p := range r.patterns {
		for range int(r.times[i] + 1e-9) {
			if q, some := clip(p, demand); some {
				taken, whole = append(taken, q), true
			}
		}
	}
	if rest := d.firstFit(demand); len(taken)+len(rest) < len(d.best) {
		d.best = append(append([][]int(nil), taken...), rest...)
		if len(d.best) <= d.bound {
			return true
		}
	}
	if whole {
		return d.run(demand, taken, nil)
	}
	order := make([]int, len(r.patterns))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return r.times[order[a]] > r.times[order[b]] })
	for _, i := range order {
		next := append([]int(nil), demand...)
		if q, some := clip(r.patterns[i], next); some && d.run(next, append(taken, q), nil) {
			return true
		}
	}
	return false
}

// clip takes a pattern off what is wanted, without what is wanted no more.
func clip(p, demand []int) (q []int, some bool) {
	q = make([]int, len(p))
	for i := range p {
		q[i] = min(p[i], demand[i])
		demand[i] -= q[i]
		some = some || q[i] > 0
	}
	return q, some
}
