package beam

import (
	"math"
	"slices"
)

// combo is a base result and further results on the same pieces, each of which
// may be added or not, at every place as is worst there. With no groups it is
// one plain result. Where supports let go, only the states listed count.
type combo struct {
	base    *Result
	groups  []*Result
	pattern Pattern   // of the base
	lifts   []*Result // a unit push at each support that may let go
	states  []state
}

// limits narrows a piece to the places from lo to hi; nil leaves it whole.
type limits func(r *Result, i int) (lo, hi float64)

func (l limits) of(r *Result, i int) (lo, hi float64) {
	if l == nil {
		return 0, 1
	}
	return l(r, i)
}

// quantity is a value along piece i of a result, as a polynomial.
type quantity func(r *Result, i int) poly

// hit is an extreme value, the piece and place in it, and the groups that are on.
type hit struct {
	Peak
	piece int
	t     float64
	on    uint64
}

func (c *combo) whole() stretch { return stretch{0, len(c.base.pieces) - 1} }

// peak finds the greatest value of sign times q over some pieces, at least 0.
//
// On each piece the places where a group changes sign cut it up; between two of
// them the groups that are worth adding stay the same, and their sum is one
// polynomial, whose extremes are exact.
func (c *combo) peak(q quantity, sign float64, over stretch, within limits) hit {
	var best hit
	best.piece = -1
	if over.end > over.first {
		best.X = c.base.pieces[over.first].x
	}
	if c.states != nil {
		c.peakOf(q, sign, over, within, &best)
		return best
	}
	var few [8]poly // most beams have fewer groups: no memory to ask for
	ps := few[:min(len(c.groups), len(few))]
	if len(c.groups) > len(few) {
		ps = make([]poly, len(c.groups))
	}
	var fewCuts [48]float64
	cuts := fewCuts[:0]
	for i := over.first; i < over.end; i++ {
		lo, hi := within.of(c.base, i)
		if !(lo <= hi) {
			continue
		}
		base := q(c.base, i).times(sign)
		cuts = append(cuts[:0], lo, hi)
		for g := range ps {
			ps[g] = q(c.groups[g], i).times(sign)
			r, n := ps[g].roots(lo, hi)
			cuts = append(cuts, r[:n]...)
		}
		slices.Sort(cuts)
		for k := range len(cuts) - 1 {
			sum, on := base, uint64(0)
			for g := range ps {
				if ps[g].at((cuts[k]+cuts[k+1])/2) > 0 {
					sum, on = sum.plus(&ps[g]), on|1<<g
				}
			}
			best.scan(&sum, c.base, i, cuts[k], cuts[k+1], on)
		}
	}
	return best
}

// scan takes over the greatest value of p on piece i of r between a and b if it
// beats the best so far.
func (h *hit) scan(p *poly, r *Result, i int, a, b float64, on uint64) {
	try := func(t float64) {
		if v := p.at(t); beats(v, h.Value) {
			x := r.pieces[i].x + t*r.pieces[i].h
			if t == 1 { // the cut itself, without rounding
				x = r.pieces[i+1].x
			}
			*h = hit{Peak{v, x}, i, t, on}
		}
	}
	try(a)
	d := p.derivative()
	turns, n := d.roots(a, b)
	for _, t := range turns[:n] {
		try(t)
	}
	try(b)
}

// maxShear is the greatest size of shear and the support it is beside.
func (c *combo) maxShear() GovernedShear {
	h := larger(c.peak(shear, +1, c.whole(), nil), c.peak(shear, -1, c.whole(), nil))
	out := GovernedShear{ShearPeak: ShearPeak{Value: h.Value, X: h.X, Support: -1}, Pattern: c.with(h.on)}
	if h.piece < 0 {
		return out
	}
	if p := &c.base.pieces[h.piece]; h.t == 0 && p.support >= 0 {
		out.Support, out.Side = p.support, Right
	}
	if p := &c.base.pieces[h.piece+1]; h.t == 1 && p.support >= 0 {
		out.Support, out.Side = p.support, Left
	}
	return out
}

func larger(a, b hit) hit {
	if beats(b.Value, a.Value) {
		return b
	}
	return a
}

// beats reports whether v is greater than best by more than rounding, so that
// of equal extremes the first stands.
func beats(v, best float64) bool { return v > best+1e-12*math.Abs(best) }

func (c *combo) shearBeyond(offset float64) Governed {
	offset = math.Max(offset, 0)
	within := func(r *Result, i int) (lo, hi float64) { return r.sheltered(i, offset) }
	return c.governed(larger(c.peak(shear, +1, c.whole(), within), c.peak(shear, -1, c.whole(), within)))
}

func (c *combo) shearReduced(bearing, depth float64) GovernedShear {
	bearing, depth = math.Max(bearing, 0), math.Max(depth, 0)
	far := c.shearBeyond(bearing + depth)
	best := GovernedShear{ShearPeak: ShearPeak{Value: far.Value, X: far.X, Support: -1}, Pattern: far.Pattern}
	for k := range c.states {
		c.reducedIn(&c.states[k], bearing, depth, &best)
	}
	if c.states != nil {
		return best
	}
	for i := range c.base.pieces {
		if !c.base.inUse(i) {
			continue
		}
		p := &c.base.pieces[i]
		for _, side := range []Side{Left, Right} {
			v := func(r *Result) float64 { return r.reduced(c.base, i, side, bearing, depth) }
			for _, sign := range []float64{1, -1} {
				if value, on := c.sum(sign, v); beats(value, best.Value) {
					best = GovernedShear{ShearPeak{Value: value, X: p.x, Support: p.support, Side: side}, c.with(on)}
				}
			}
		}
	}
	return best
}

// sum is the greatest of sign times a value, and the groups that are on in it.
func (c *combo) sum(sign float64, value func(r *Result) float64) (total float64, on uint64) {
	total = sign * value(c.base)
	for k := range c.states {
		if v := sign * c.value(&c.states[k], value); k == 0 || beats(v, total) {
			total, on = v, c.states[k].on
		}
	}
	if c.states != nil {
		return total, on
	}
	for g, r := range c.groups {
		if v := sign * value(r); v > 0 {
			total += v
			on |= 1 << g
		}
	}
	return total, on
}

// with is the pattern of the base with some groups on.
func (c *combo) with(on uint64) Pattern {
	p := c.pattern
	p.Groups |= on
	return p
}

func (c *combo) governed(h hit) Governed { return Governed{h.Peak, c.with(h.on)} }

// letsGo is the first pattern in which support i lets go.
func (c *combo) letsGo(i int) (Pattern, bool) {
	for k := range c.states {
		if c.states[k].frame.Lifted[i] {
			return c.with(c.states[k].on), true
		}
	}
	return c.pattern, c.base.Lifted[i]
}
