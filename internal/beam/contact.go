package beam

import (
	"errors"
	"fmt"
	"math"
)

// Smallest pull, as a part of all the load, and smallest overlap, as a part of
// the size of the deflections, that count as more than rounding.
const (
	noForce   = 1e-10
	noOverlap = 1e-11
)

// pushes reports whether every push-only support in use pushes; pulls within
// rounding are set to zero.
func (b Beam) pushes(r Result, size float64) bool {
	for i, s := range b.Supports {
		if s.PushOnly && r.Reactions[i] < -noForce*size {
			return false
		}
	}
	for i, s := range b.Supports {
		if s.PushOnly && r.Reactions[i] < 0 {
			r.Reactions[i] = 0
		}
	}
	return true
}

// release finds which push-only supports let go.
//
// Of all reactions that hold the beam and do not pull, the true ones have the
// least complementary energy, and only they (the energy is strictly convex). An
// active-set search goes down that energy: from reactions that hold the beam,
// step towards the solution on the supports in use; where a support would come
// to pull, stop there and drop it; once none does, take in the support that the
// beam sinks into most. The energy falls at every step, so it cannot cycle.
func (b Beam) release(at []float64, ps []piece, size float64) (Result, error) {
	use, now, err := b.firstHold(at, ps, size)
	if err != nil {
		return Result{}, err
	}
	var softest float64
	for _, s := range b.Supports {
		softest = max(softest, s.compliance())
	}
	overlap := noOverlap * size * (math.Pow(b.length(), 3)/b.EI + softest)
	for range 20 * (len(at) + 5) {
		on := indices(use)
		res := b.chain(at, on).solve(ps)
		step, stop := 1.0, -1
		for _, i := range on {
			z := res.Reactions[i]
			if b.Supports[i].PushOnly && z < 0 && len(on) > 2 { // two hold by statics, as they did before
				if s := now[i] / (now[i] - z); s < step {
					step, stop = s, i
				}
			}
		}
		if stop >= 0 {
			for i := range now {
				now[i] += step * (res.Reactions[i] - now[i])
			}
			use[stop], now[stop] = false, 0
			continue
		}
		if !b.pushes(res, size) {
			break
		}
		copy(now, res.Reactions)
		deepest, sunk := -1, overlap
		for j := range ps {
			if i := ps[j].support; i >= 0 && !use[i] && ps[j].y > sunk {
				deepest, sunk = i, ps[j].y
			}
		}
		if deepest < 0 {
			return res, nil
		}
		use[deepest] = true
	}
	return Result{}, errors.New("beam: the search for the supports that lift off did not settle; loads or stiffnesses differ too much in size")
}

// firstHold is a set of supports with reactions on them that hold the beam
// without a pull on a push-only support: all supports that hold both ways, or
// else two supports by statics alone.
func (b Beam) firstHold(at []float64, ps []piece, size float64) (use []bool, r []float64, err error) {
	use, r = make([]bool, len(at)), make([]float64, len(at))
	both := 0
	for i, s := range b.Supports {
		if !s.PushOnly {
			use[i] = true
			both++
		}
	}
	if both >= 2 {
		copy(r, b.chain(at, indices(use)).solve(ps).Reactions)
		return use, r, nil
	}
	force, moment, _ := resultant(ps, at[0])
	bi, bj := -1, -1
	for i := range at {
		for j := i + 1; j < len(at); j++ {
			ri, rj := pair(force, moment, at[i]-at[0], at[j]-at[0])
			holds := (ri >= -noForce*size || !b.Supports[i].PushOnly) && (rj >= -noForce*size || !b.Supports[j].PushOnly)
			if holds && (bi < 0 || at[j]-at[i] < at[bj]-at[bi]) {
				bi, bj = i, j
			}
		}
	}
	if bi < 0 {
		return nil, nil, b.tips(at, force, moment, size)
	}
	use[bi], use[bj] = true, true
	r[bi], r[bj] = pair(force, moment, at[bi]-at[0], at[bj]-at[0])
	for i, s := range b.Supports {
		if s.PushOnly {
			r[i] = max(r[i], 0)
		}
	}
	return use, r, nil
}

// pair are the reactions at x0 and x1 to a force with a moment about the origin.
func pair(force, moment, x0, x1 float64) (r0, r1 float64) {
	d := x1 - x0
	return (force*x1 - moment) / d, (moment - force*x0) / d
}

// tips says why nothing holds the beam.
func (b Beam) tips(at []float64, force, moment, size float64) error {
	n := len(at) - 1
	if force <= noForce*size {
		return fmt.Errorf("beam: a mechanism: the loads do not press the beam down (their sum is %g) and supports that only push cannot hold it", force)
	}
	return fmt.Errorf("beam: a mechanism: the beam tips over: the middle of its loads is at %g, its supports run from %g to %g and those that only push cannot hold it",
		at[0]+moment/force, at[0], at[n])
}

func indices(use []bool) []int {
	on := make([]int, 0, len(use))
	for i, u := range use {
		if u {
			on = append(on, i)
		}
	}
	return on
}
