package beam

import (
	"math"
	"math/bits"
	"slices"
)

// state is what a beam whose supports may let go comes to under one pattern:
// the groups that are on, and by how much each unit lift is in it.
type state struct {
	on   uint64
	lift []float64 // one a support, nil when none has let go
	// The places of the pieces, with the supports that hold.
	frame *Result
}

// settleAll finds the state of the beam under every pattern. With all supports
// held both ways the beam is linear; a support that lets go is one from which
// its force is taken by a push of the same size the other way, so that every
// state is a sum of results solved once: the load sets, and a unit push at each
// support with that support away. The pushes a solve the complementarity problem
//
//	F = R + K a >= 0,  a >= 0,  a'F = 0
//
// with F the forces at the push-only supports, R those of the linear beam.
func (b Beam) settleAll(at []float64, sets [][]piece, patterns []uint64) (combo, error) {
	c, size := b.linear(at, sets)
	c.lifts = b.unitLifts(at, sets[0])
	lifted := make([]bool, len(at))
	frames := []*Result{c.base}
	for _, on := range patterns {
		a, ok := b.letGo(&c, on, lifted, noForce*size)
		if !ok {
			r, err := b.settleOn(at, together(sets, on))
			if err != nil {
				return c, patternError{err, Pattern{Groups: on}}
			}
			copy(lifted, r.Lifted)
			if a, ok = b.lift(&c, on, lifted); !ok {
				return c, patternError{errSize, Pattern{Groups: on}}
			}
		}
		k := slices.IndexFunc(frames, func(f *Result) bool { return slices.Equal(f.Lifted, lifted) })
		if k < 0 {
			k = len(frames)
			frames = append(frames, &Result{Lifted: slices.Clone(lifted), pieces: c.base.pieces})
		}
		c.states = append(c.states, state{on, a, frames[k]})
	}
	return c, nil
}

// unitLifts are the states under a unit push upward at each push-only support
// with that support away and no other load. The push counts as the force there.
func (b Beam) unitLifts(at []float64, like []piece) []*Result {
	out := make([]*Result, len(at))
	if len(at) < 3 {
		return out
	}
	blank := slices.Clone(like)
	for i := range blank {
		blank[i].p, blank[i].w0, blank[i].w1 = 0, 0, 0
	}
	for j, s := range b.Supports {
		if !s.PushOnly {
			continue
		}
		on := make([]int, 0, len(at)-1)
		for i := range at {
			if i != j {
				on = append(on, i)
			}
		}
		ps := slices.Clone(blank)
		k := slices.IndexFunc(ps, func(p piece) bool { return p.support == j })
		ps[k].p = -1
		r := b.chain(at, on).solve(ps)
		ps[k].p = 0 // no load of the beam
		r.Reactions[j] = 1
		out[j] = &r
	}
	return out
}

// letGo finds which supports have let go under a pattern, from a first guess
// that it mends in place, and the pushes. ok is false when it does not settle.
func (b Beam) letGo(c *combo, on uint64, lifted []bool, noForce float64) (a []float64, ok bool) {
	for range 4 * len(lifted) {
		if a, ok = b.lift(c, on, lifted); !ok {
			clear(lifted)
			return nil, false
		}
		same := true
		for i, s := range b.Supports {
			if !s.PushOnly {
				continue
			}
			if lifted[i] {
				if a[i] <= 0 {
					lifted[i], same = false, false
				}
				continue
			}
			if c.force(i, on, a) < -noForce {
				lifted[i], same = true, false
			}
		}
		if same {
			return a, true
		}
	}
	clear(lifted)
	return nil, false
}

// lift finds the pushes that take the force from the supports given.
func (b Beam) lift(c *combo, on uint64, lifted []bool) (a []float64, ok bool) {
	var off []int
	for i, l := range lifted {
		if l {
			off = append(off, i)
		}
	}
	n := len(off)
	if n == 0 {
		return nil, true
	}
	if len(lifted)-n < 2 {
		return nil, false
	}
	m := make([]float64, n*(n+1)) // rows of the system with its right-hand side
	for r, i := range off {
		for k, j := range off {
			m[r*(n+1)+k] = c.lifts[j].Reactions[i]
		}
		m[r*(n+1)+n] = -c.force(i, on, nil)
	}
	x, ok := eliminate(m, n)
	if !ok {
		return nil, false
	}
	a = make([]float64, len(lifted))
	for k, i := range off {
		a[i] = x[k]
	}
	return a, true
}

// force at a support under a pattern and pushes.
func (c *combo) force(i int, on uint64, a []float64) float64 {
	f := c.base.Reactions[i]
	for ; on != 0; on &= on - 1 {
		f += c.groups[bits.TrailingZeros64(on)].Reactions[i]
	}
	for j, v := range a {
		if v != 0 {
			f += v * c.lifts[j].Reactions[i]
		}
	}
	return f
}

// eliminate solves n equations in the rows of m, each with its right-hand side
// behind it, by elimination with row pivoting; m is used up.
func eliminate(m []float64, n int) ([]float64, bool) {
	w := n + 1
	for k := range n {
		p := k
		for r := k + 1; r < n; r++ {
			if math.Abs(m[r*w+k]) > math.Abs(m[p*w+k]) {
				p = r
			}
		}
		if math.Abs(m[p*w+k]) < 1e-12 { // the diagonal is 1 to begin with
			return nil, false
		}
		for j := k; j < w; j++ {
			m[k*w+j], m[p*w+j] = m[p*w+j], m[k*w+j]
		}
		for r := k + 1; r < n; r++ {
			f := m[r*w+k] / m[k*w+k]
			for j := k; j < w; j++ {
				m[r*w+j] -= f * m[k*w+j]
			}
		}
	}
	x := make([]float64, n)
	for k := n - 1; k >= 0; k-- {
		x[k] = m[k*w+n]
		for j := k + 1; j < n; j++ {
			x[k] -= m[k*w+j] * x[j]
		}
		x[k] /= m[k*w+k]
	}
	return x, true
}

// value of something linear in a state.
func (c *combo) value(s *state, of func(r *Result) float64) float64 {
	v := of(c.base)
	for on := s.on; on != 0; on &= on - 1 {
		v += of(c.groups[bits.TrailingZeros64(on)])
	}
	for j, a := range s.lift {
		if a != 0 {
			v += a * of(c.lifts[j])
		}
	}
	return v
}

// peakOf is peak for a combo of states. Span by span the greatest that each
// result gives there by itself bounds what a state can give; the states whose
// bound beats the best so far are worked out.
func (c *combo) peakOf(q quantity, sign float64, over stretch, within limits, best *hit) {
	most := func(r *Result, part stretch) float64 {
		if r == nil {
			return 0
		}
		return r.greatest(q, sign, part)
	}
	groups, lifts := make([]float64, len(c.groups)), make([]float64, len(c.lifts))
	for first := over.first; first < over.end; {
		end := first + 1
		for end < over.end && c.base.pieces[end].support < 0 {
			end++
		}
		part := stretch{first, end}
		base := most(c.base, part)
		for g, r := range c.groups {
			groups[g] = most(r, part)
		}
		for j, r := range c.lifts {
			lifts[j] = most(r, part)
		}
		for k := range c.states {
			s := &c.states[k]
			bound := base
			for on := s.on; on != 0; on &= on - 1 {
				bound += groups[bits.TrailingZeros64(on)]
			}
			for j, a := range s.lift {
				bound += a * lifts[j]
			}
			if beats(bound, best.Value) {
				c.scanState(q, sign, part, within, s, best)
			}
		}
		first = end
	}
}

// scanState takes the greatest value of one state over some pieces into best.
func (c *combo) scanState(q quantity, sign float64, over stretch, within limits, s *state, best *hit) {
	for i := over.first; i < over.end; i++ {
		lo, hi := within.of(s.frame, i)
		if !(lo <= hi) {
			continue
		}
		sum := q(c.base, i)
		for on := s.on; on != 0; on &= on - 1 {
			p := q(c.groups[bits.TrailingZeros64(on)], i)
			sum = sum.plus(&p)
		}
		for j, a := range s.lift {
			if a != 0 {
				p := q(c.lifts[j], i).times(a)
				sum = sum.plus(&p)
			}
		}
		sum = sum.times(sign)
		best.scan(&sum, c.base, i, lo, hi, s.on)
	}
}

// greatest value of sign times q over some pieces; it may be negative.
func (r *Result) greatest(q quantity, sign float64, over stretch) float64 {
	most := math.Inf(-1)
	for i := over.first; i < over.end; i++ {
		p := q(r, i).times(sign)
		most = max(most, p.at(0), p.at(1))
		d := p.derivative()
		turns, n := d.roots(0, 1)
		for _, t := range turns[:n] {
			most = max(most, p.at(t))
		}
	}
	return most
}

// reducedIn takes the greatest shear beside the supports of one state into best.
func (c *combo) reducedIn(s *state, bearing, depth float64, best *GovernedShear) {
	for i := range c.base.pieces {
		if !s.frame.inUse(i) {
			continue
		}
		p := &c.base.pieces[i]
		for _, side := range []Side{Left, Right} {
			v := c.value(s, func(r *Result) float64 { return r.reduced(s.frame, i, side, bearing, depth) })
			if beats(math.Abs(v), best.Value) {
				*best = GovernedShear{ShearPeak{Value: math.Abs(v), X: p.x, Support: p.support, Side: side}, c.with(s.on)}
			}
		}
	}
}
