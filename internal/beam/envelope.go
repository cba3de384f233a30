package beam

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Pattern says which loads were on: the permanent ones and the groups whose
// bits are set, or, while placing, the loads on one side of a front.
type Pattern struct {
	Groups  uint64
	Placing bool    // the loads lie from one end of the beam up to Front
	Front   float64 // place of the front
	From    Side    // the end placing began at
}

func (p Pattern) String() string {
	if p.Placing {
		return fmt.Sprintf("placed from the %s up to %.4g", p.From, p.Front)
	}
	if p.Groups == 0 {
		return "permanent load only"
	}
	var on []string
	for g := range 64 {
		if p.Groups>>g&1 == 1 {
			on = append(on, fmt.Sprint(g+1))
		}
	}
	return "groups " + strings.Join(on, ", ")
}

// Governed is an extreme value, where it is, and the pattern that gives it.
type Governed struct {
	Peak
	Pattern Pattern
}

// GovernedShear is the greatest shear and the pattern that gives it.
type GovernedShear struct {
	ShearPeak
	Pattern Pattern
}

// SupportEnvelope is what a support sees. Min below zero is the greatest
// pull-down that a support which holds both ways must give. Lifts tells whether
// a push-only support lets go in some pattern, and LiftPattern the first such.
type SupportEnvelope struct {
	X           float64
	Max, Min    float64
	MaxPattern  Pattern
	MinPattern  Pattern
	Lifts       bool
	LiftPattern Pattern
}

// SpanEnvelope holds the greatest downward and upward deflections of a span or
// overhang, as sizes, measured as in SpanDeflection.
type SpanEnvelope struct {
	From, To float64
	Overhang bool
	Down, Up Governed
}

// Envelope holds the worst of a beam over load patterns. Values are sizes, as
// in Extremes.
type Envelope struct {
	MaxSag, MaxHog Governed
	MaxShear       GovernedShear
	Supports       []SupportEnvelope
	Exact          bool // no pattern of the groups can be worse

	cases []combo
}

// fullEnumeration is the number of groups up to which every pattern is tried on
// beams whose supports lift; the search beyond begins with every pattern of so
// many neighbouring groups.
const (
	fullEnumeration = 10
	neighbours      = 6
)

// Envelope finds the worst of everything over the patterns of the variable
// groups, each wholly on or off, beside the permanent loads. The groups stand
// in order along the beam (SplitBySpans gives them so); there may be 64.
//
// While no push-only support lifts in any pattern the beam is linear: the
// groups are superposed, each where it makes things worse, which is exact for
// any number of groups. Otherwise all 2^n patterns are looked at, which is
// exact too, for up to 10 groups. For more groups the worst is searched for:
// from every pattern of 6 neighbours with the rest empty, full, or every second
// group on, and every stretch of groups loaded alone or left out alone, on by
// switching one group at a time in the patterns that govern. Exact is then
// false.
func (b Beam) Envelope(permanent []Load, variable [][]Load) (Envelope, error) {
	if len(variable) > 64 {
		return Envelope{}, fmt.Errorf("beam: %d groups of loads; at most 64 can be switched", len(variable))
	}
	at, err := b.check()
	if err != nil {
		return Envelope{}, err
	}
	sets, err := b.lay(at, append([][]Load{permanent}, variable...)...)
	if err != nil {
		return Envelope{}, err
	}
	c, linear, err := b.superpose(at, sets)
	if err != nil {
		return Envelope{}, err
	}
	if linear {
		return b.envelope([]combo{c}, true), nil
	}
	n := len(variable)
	if n <= fullEnumeration {
		if c, err = b.settleAll(at, sets, every(n)); err != nil {
			return Envelope{}, err
		}
		return b.envelope([]combo{c}, true), nil
	}
	return b.climb(at, sets, patterns(n), n)
}

// patternError is an error under one pattern.
type patternError struct {
	error
	pattern Pattern
}

func (e patternError) Error() string { return fmt.Sprintf("%v (%v)", e.error, e.pattern) }
func (e patternError) Unwrap() error { return e.error }

// superpose solves each load set by itself on all supports. ok tells whether
// that is the truth for every pattern, because no push-only support ever pulls.
func (b Beam) superpose(at []float64, sets [][]piece) (c combo, ok bool, err error) {
	c, size := b.linear(at, sets)
	if !finite(size) || !c.base.finite() {
		return c, false, errSize
	}
	for _, r := range c.groups {
		if !r.finite() {
			return c, false, errSize
		}
	}
	for i, s := range b.Supports {
		if pull, _ := c.sum(-1, reaction(i)); s.PushOnly && pull > noForce*size {
			return c, false, nil
		}
	}
	return c, true, nil
}

// linear is the beam on all of its supports, held both ways, under each load
// set, and the size of all the loads.
func (b Beam) linear(at []float64, sets [][]piece) (c combo, size float64) {
	all := make([]int, len(at))
	for i := range all {
		all[i] = i
	}
	ch := b.chain(at, all)
	results := make([]Result, len(sets))
	for k, ps := range sets {
		results[k] = ch.solve(slices.Clone(ps))
		_, _, s := resultant(ps, b.Start)
		size += s
		if k > 0 {
			c.groups = append(c.groups, &results[k])
		}
	}
	c.base = &results[0]
	return c, size
}

func reaction(i int) func(r *Result) float64 {
	return func(r *Result) float64 { return r.Reactions[i] }
}

// together puts the permanent loads (set 0) and the groups that are on into one set.
func together(sets [][]piece, on uint64) []piece {
	ps := slices.Clone(sets[0])
	for g, set := range sets[1:] {
		if on>>g&1 == 0 {
			continue
		}
		for i := range ps {
			ps[i].p += set[i].p
			ps[i].w0 += set[i].w0
			ps[i].w1 += set[i].w1
		}
	}
	return ps
}

// climb finds the worst of a list of patterns, and goes on from the patterns
// that govern as long as switching one group in them makes something worse.
func (b Beam) climb(at []float64, sets [][]piece, list []uint64, n int) (Envelope, error) {
	known := map[uint64]bool{}
	var all combo
	var best worst
	for len(list) > 0 {
		for _, on := range list {
			known[on] = true
		}
		c, err := b.settleAll(at, sets, list)
		if err != nil {
			return Envelope{}, err
		}
		e := b.envelope([]combo{c}, false)
		c.states = append(all.states, c.states...)
		all = c
		list = nil
		for _, on := range best.overtaken(e) {
			for g := range n {
				if next := on ^ 1<<g; !known[next] {
					known[next] = true
					list = append(list, next)
				}
			}
		}
	}
	return b.envelope([]combo{all}, false), nil
}

// worst so far of the searched quantities: moments, shear, reactions.
type worst []float64

// overtaken takes over what is worse in an envelope and gives the patterns of that.
func (w *worst) overtaken(e Envelope) []uint64 {
	var out []uint64
	i := 0
	see := func(v float64, p Pattern) {
		if i == len(*w) {
			*w = append(*w, v)
			out = append(out, p.Groups)
		} else if beats(v, (*w)[i]) {
			(*w)[i] = v
			out = append(out, p.Groups)
		}
		i++
	}
	see(e.MaxSag.Value, e.MaxSag.Pattern)
	see(e.MaxHog.Value, e.MaxHog.Pattern)
	see(e.MaxShear.Value, e.MaxShear.Pattern)
	for _, s := range e.Supports {
		see(s.Max, s.MaxPattern)
		see(-s.Min, s.MinPattern)
	}
	return out
}

// every lists all patterns of n groups.
func every(n int) []uint64 {
	all := make([]uint64, 1<<n)
	for i := range all {
		all[i] = uint64(i)
	}
	return all
}

// patterns lists patterns of many groups to begin with, in order.
func patterns(n int) []uint64 {
	full := ^uint64(0) >> (64 - n)
	const second = 0x5555555555555555 // every second bit
	var list []uint64
	for i := range n {
		for j := i; j < n; j++ { // from group i to group j
			stretch := (uint64(2)<<(j-i) - 1) << i
			list = append(list, stretch, full&^stretch)
		}
	}
	for i := 0; i+neighbours <= n; i++ {
		window := uint64(1<<neighbours-1) << i
		for _, rest := range []uint64{0, full, second, second << 1} {
			for on := range uint64(1 << neighbours) {
				list = append(list, on<<i|rest&full&^window)
			}
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// envelope gathers the worst of all cases.
func (b Beam) envelope(cases []combo, exact bool) Envelope {
	e := Envelope{Exact: exact, cases: cases, Supports: make([]SupportEnvelope, len(b.Supports))}
	for k := range cases {
		c := &cases[k]
		e.MaxSag = worse(e.MaxSag, c.governed(c.peak(moment, +1, c.whole(), nil)), k)
		e.MaxHog = worse(e.MaxHog, c.governed(c.peak(moment, -1, c.whole(), nil)), k)
		if v := c.maxShear(); k == 0 || beats(v.Value, e.MaxShear.Value) {
			e.MaxShear = v
		}
		for i := range e.Supports {
			e.Supports[i].widen(c, i, b.Supports[i].X, k == 0)
		}
	}
	return e
}

// Spans are the worst deflections of every span and overhang, found when asked
// for: strength needs none of them.
func (e *Envelope) Spans() []SpanEnvelope {
	var out []SpanEnvelope
	for k := range e.cases {
		c := &e.cases[k]
		fields := c.base.fields()
		if k == 0 {
			out = make([]SpanEnvelope, len(fields))
		}
		for i, f := range fields {
			s := &out[i]
			s.From, s.To, s.Overhang = f.from, f.to, f.overhang
			s.Down = worse(s.Down, c.governed(c.peak(f.deflection, +1, f.pieces, nil)), k)
			s.Up = worse(s.Up, c.governed(c.peak(f.deflection, -1, f.pieces, nil)), k)
		}
	}
	return out
}

// worse keeps the greater value; the first case (k = 0) starts the comparison.
func worse(best, next Governed, k int) Governed {
	if k == 0 || beats(next.Value, best.Value) {
		return next
	}
	return best
}

// widen takes the reactions of support i in a case into its envelope.
func (s *SupportEnvelope) widen(c *combo, i int, x float64, first bool) {
	s.X = x
	if v, on := c.sum(+1, reaction(i)); first || beats(v, s.Max) {
		s.Max, s.MaxPattern = v, c.with(on)
	}
	if v, on := c.sum(-1, reaction(i)); first || beats(v, -s.Min) {
		s.Min, s.MinPattern = -v, c.with(on)
	}
	if p, lifts := c.letsGo(i); lifts && !s.Lifts {
		s.Lifts, s.LiftPattern = true, p
	}
}

// MaxShearBeyond is the worst Result.MaxShearBeyond of all patterns.
func (e *Envelope) MaxShearBeyond(offset float64) Governed {
	var best Governed
	for k := range e.cases {
		best = worse(best, e.cases[k].shearBeyond(offset), k)
	}
	return best
}

// ShearReduced is the worst Result.ShearReduced of all patterns.
func (e *Envelope) ShearReduced(bearing, depth float64) GovernedShear {
	var best GovernedShear
	for k := range e.cases {
		if v := e.cases[k].shearReduced(bearing, depth); k == 0 || beats(v.Value, best.Value) {
			best = v
		}
	}
	return best
}

// Uplift is the greatest pull-down that any support holding both ways must
// give, and whether any push-only support lets go.
func (e *Envelope) Uplift() (pull float64, lifts bool) {
	for _, s := range e.Supports {
		pull = math.Max(pull, -s.Min)
		lifts = lifts || s.Lifts
	}
	return pull, lifts
}

// SplitBySpans cuts loads at the supports into one group a span, in order
// along the beam; each overhang is a group of its own. A point load over a
// support goes with the span to its right, or the last span. Groups without
// load are left out.
func SplitBySpans(b Beam, loads []Load) [][]Load {
	var bounds []float64 // between groups
	tol := b.tolerance()
	for i, s := range b.Supports {
		inside := i > 0 && i < len(b.Supports)-1
		if inside || s.X > b.Start+tol && s.X < b.End-tol {
			bounds = append(bounds, s.X)
		}
	}
	lastOverhangs := len(b.Supports) > 0 && b.Supports[len(b.Supports)-1].X < b.End-tol
	groups := make([][]Load, len(bounds)+1)
	for _, l := range loads {
		if !(l.To > l.From) || l.P != 0 { // a point load, or one that Solve will refuse
			k := 0
			for k < len(bounds) && l.From >= bounds[k]-tol {
				k++
			}
			if lastOverhangs && k == len(bounds) && k > 0 && l.From <= bounds[k-1]+tol {
				k--
			}
			groups[k] = append(groups[k], l)
			continue
		}
		from := math.Inf(-1)
		for k := range groups {
			to := math.Inf(1)
			if k < len(bounds) {
				to = bounds[k]
			}
			if c := cut(l, from, to); c.To > c.From {
				groups[k] = append(groups[k], c)
			}
			from = to
		}
	}
	return slices.DeleteFunc(groups, func(g []Load) bool { return len(g) == 0 })
}

// Front is the part of loads placed when work that began at the given end has
// come to x: all to the left of x, or all to the right of it. A point load
// just at x is placed.
func Front(loads []Load, x float64, from Side) []Load {
	var out []Load
	for _, l := range loads {
		c := l
		switch {
		case !(l.To > l.From): // a point load
			if from == Left && l.From > x || from == Right && l.From < x {
				continue
			}
		case from == Left:
			c = cut(l, math.Inf(-1), x)
		default:
			c = cut(l, x, math.Inf(1))
		}
		if c.To >= c.From {
			out = append(out, c)
		}
	}
	return out
}

// maxFronts bounds the work of one FrontEnvelope.
const maxFronts = 10000

// FrontEnvelope finds the worst while loads are placed from one end of the beam
// to the other, beside the permanent loads: the front stands at every step
// from either end, and at every support and every place where a load begins or
// ends. Between those places values are not searched (Exact is false).
func (b Beam) FrontEnvelope(permanent, placed []Load, step float64) (Envelope, error) {
	at, err := b.check()
	if err != nil {
		return Envelope{}, err
	}
	if !(step > 0) || b.length()/step > maxFronts {
		return Envelope{}, fmt.Errorf("beam: the step of the placing front is %g; it must be positive and at least %g on this beam",
			step, b.length()/maxFronts)
	}
	fronts := append([]float64{b.Start, b.End}, at...)
	for x := 1.0; x*step < b.length(); x++ {
		fronts = append(fronts, b.Start+x*step, b.End-x*step)
	}
	for _, l := range placed {
		for _, x := range []float64{l.From, l.To} {
			if x > b.Start && x < b.End {
				fronts = append(fronts, x)
			}
		}
	}
	slices.Sort(fronts)
	fronts = slices.Compact(fronts)
	cases := make([]combo, 0, 2*len(fronts))
	for _, from := range []Side{Left, Right} {
		for _, x := range fronts {
			p := Pattern{Placing: true, Front: x, From: from}
			sets, err := b.lay(at, slices.Concat(permanent, Front(placed, x, from)))
			if err != nil {
				return Envelope{}, err
			}
			r, err := b.settleOn(at, sets[0])
			if err != nil {
				return Envelope{}, fmt.Errorf("%w (%v)", err, p)
			}
			cases = append(cases, combo{base: &r, pattern: p})
		}
	}
	return b.envelope(cases, false), nil
}
