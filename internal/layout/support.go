package layout

import (
	"math"
	"sort"
)

// How far apart props may stand under a stringer that joists press on in
// points: each prop between is judged with the spans beside it as a beam of two
// spans, which more spans never exceed by much; the piece as a whole is proven
// afterwards as the beam that it is.

// spanRules is what a stringer and its props may carry, and how loads come.
type spanRules struct {
	moment, shear, ei float64 // N·m, N, N·m2
	offset            float64 // loads this near to a prop do not count for shear, mm
	prop, seat        float64 // N
	placing           float64 // share of a load that comes in patterns
	service           float64 // deflection load over strength load
	limit             func(span float64) float64
}

func (k *kit) spanRules(use float64) spanRules {
	r := k.strRes
	use /= sheetUneven
	s := spanRules{moment: use * float64(r.Moment), shear: use * float64(r.Shear), ei: use * float64(r.EI),
		prop: use * (k.propLoad - propOwn), seat: use * k.seatR, placing: k.placing / k.strength, service: k.deflect / k.strength,
		limit: func(l float64) float64 { return k.deflectionLimit(l, false) }}
	if r.ShearOffset > 0 {
		s.offset = mmOf(r.ShearOffset) + 40
	}
	return s
}

// inside are the contacts inside a span, those right over its props left out.
func inside(on []contact, a, b float64) []contact {
	i := sort.Search(len(on), func(i int) bool { return on[i].x > a+1 })
	j := sort.Search(len(on), func(i int) bool { return on[i].x >= b-1 })
	if j < i {
		return nil
	}
	return on[i:j]
}

// pressing is what presses straight on a prop: within a millimetre of it.
func pressing(on []contact, x float64) float64 {
	i := sort.Search(len(on), func(i int) bool { return on[i].x >= x-1 })
	sum := 0.0
	for ; i < len(on) && on[i].x <= x+1; i++ {
		sum += on[i].load
	}
	return sum
}

// simple is what a span by itself hands to its lower and upper end, N, and its
// greatest moment, N·m.
type simple struct{ low, high, moment float64 }

func simply(on []contact, a, b float64) simple {
	l := b - a
	var s simple
	for _, c := range on {
		s.high += c.load * (c.x - a) / l
		s.low += c.load * (b - c.x) / l
	}
	for i, c := range on {
		m := s.high * (b - c.x)
		for _, o := range on[i+1:] {
			m -= o.load * (o.x - c.x)
		}
		s.moment = math.Max(s.moment, m/1000)
	}
	return s
}

// shears drops what lies too near to a prop to count for shear there.
func (r *spanRules) shears(on []contact, a, b float64) (low, high float64) {
	l := b - a
	for _, c := range on {
		if c.x-a > r.offset {
			low += c.load * (b - c.x) / l
		}
		if b-c.x > r.offset {
			high += c.load * (c.x - a) / l
		}
	}
	return low, high
}

// holdsSpan judges the one span of a piece with a prop at each end only.
func (r *spanRules) holdsSpan(on []contact, a, b float64) bool {
	in := inside(on, a, b)
	s := simply(in, a, b)
	low, high := r.shears(in, a, b)
	if s.moment > r.moment || math.Max(low, high) > r.shear || !r.holdsLap(on, a, s.low) || !r.holdsLap(on, b, s.high) {
		return false
	}
	l := (b - a) / 1000
	return r.service*5/48*s.moment*l*l/r.ei <= r.limit(l)
}

// holdsLap judges what the end of a piece brings to a prop that holds the end of
// the next one too.
func (r *spanRules) holdsLap(on []contact, x, end float64) bool {
	const part = 0.52 // of what the joists right over it leave of the prop: the other end may bring less
	p := pressing(on, x)
	return end <= part*(r.prop-p) && end+p/2 <= r.seat
}

// holdsProp judges a prop at v with the spans to u and w. first and last tell
// that the piece begins at u, ends at w.
func (r *spanRules) holdsProp(on []contact, u, v, w float64, first, last bool) bool {
	l1, l2 := v-u, w-v
	left, right := inside(on, u, v), inside(on, v, w)
	var ml, mr float64 // moment over v by each span, N·m
	for _, c := range left {
		a := c.x - u
		ml += c.load * a * (l1*l1 - a*a) / (2 * l1 * (l1 + l2)) / 1000
	}
	for _, c := range right {
		a := w - c.x
		mr += c.load * a * (l2*l2 - a*a) / (2 * l2 * (l1 + l2)) / 1000
	}
	m := ml + mr
	if m > r.moment {
		return false
	}
	sl, sr := simply(left, u, v), simply(right, v, w)
	_, vl := r.shears(left, u, v)
	vr, _ := r.shears(right, v, w)
	if vl+m/l1*1000 > r.shear || vr+m/l2*1000 > r.shear {
		return false
	}
	if sl.high+sr.low+m/l1*1000+m/l2*1000+pressing(on, v) > math.Min(r.prop, r.seat) {
		return false
	}
	always := 1 - r.placing
	// In an outer span the moment over the prop takes off half of itself in the middle
	// (0.45, to be safe) and M l²/16 EI of the sag; 5/48 M l²/EI is the sag of a span
	// by itself under an even load (statics, beam tables).
	sag := func(s simple, own, other, l float64) bool {
		if s.moment-0.45*(own+always*other) > r.moment {
			return false
		}
		l /= 1000
		return r.service*(5.0/48*s.moment-m/16)*l*l/r.ei <= r.limit(l)
	}
	if first {
		low, _ := r.shears(left, u, v)
		if !sag(sl, ml, mr, l1) || low-always*m/l1*1000 > r.shear || !r.holdsLap(on, u, sl.low-ml/l1*1000) {
			return false
		}
	}
	if last {
		_, high := r.shears(right, v, w)
		if high-always*m/l2*1000 > r.shear || !r.holdsLap(on, w, sr.high-mr/l2*1000) {
			return false
		}
	}
	return sag(sr, mr, ml, l2)
}

// overhang is what presses past an end prop at x: its sum and its moment there, N and N·m.
func overhang(on []contact, x float64, upper bool) (load, moment float64) {
	for _, c := range on {
		d := x - c.x
		if upper {
			d = -d
		}
		if d > 1 {
			load += c.load
			moment += c.load * d / 1000
		}
	}
	return load, moment
}

// holdsEnd judges the end prop of a run at x with its span to v.
func (r *spanRules) holdsEnd(on []contact, x, v float64, upper bool) bool {
	load, moment := overhang(on, x, upper)
	if moment > 0.8*r.moment || load > 0.9*r.shear {
		return false
	}
	a, b := math.Min(x, v), math.Max(x, v)
	s := simply(inside(on, a, b), a, b)
	own := s.low
	if upper {
		own = s.high
	}
	in := own + moment/(b-a)*1000
	return in <= r.shear && load+in+pressing(on, x) <= math.Min(r.prop, r.seat)
}

// way is how a piece gets from its first prop to a place: by the fewest props
// between, and where the last of them stands.
type way struct {
	between int   // -1: there is none
	props   []int // places of the props between, counted from the start
	last    int   // the prop before the place
}

// ways finds, from a prop at places[i], the fewest props between with which one
// piece reaches each later place up to `most` away. lowEnd tells that the run
// begins there; highEnd reports whether the run may end at a place.
func (r *spanRules) ways(on []contact, places []float64, i int, most float64, lowEnd bool, highEnd func(j int) bool) []way {
	n := i + 1
	for n < len(places) && places[n] <= places[i]+most+1e-6 {
		n++
	}
	out := make([]way, n-i)
	for j := range out {
		out[j].between = -1
	}
	open := 0 // places not reached yet
	ends := make([]bool, n-i)
	for j := i + 1; j < n; j++ {
		ends[j-i] = highEnd != nil && highEnd(j)
		open++
	}
	// As one span.
	starts := make([]bool, n-i)
	for j, misses := i+1, 0; j < n && misses < giveUp; j++ {
		if places[j]-places[i] < nearest {
			continue
		}
		if lowEnd && !r.holdsEnd(on, places[i], places[j], false) {
			misses++
			continue
		}
		starts[j-i] = true
		if ends[j-i] && !r.holdsEnd(on, places[j], places[i], true) {
			continue
		}
		if r.holdsSpan(on, places[i], places[j]) {
			out[j-i] = way{last: i}
			open--
			misses = 0
		} else {
			misses++
		}
	}
	// With one prop more each round: before[v] is the nearest prop below one at v.
	before := make([]int, n-i)
	for j := range before {
		before[j] = -1
		if starts[j] {
			before[j] = i
		}
	}
	var trail [][]int32
	for k := 1; open > 0 && k < 60; k++ {
		next := make([]int, n-i)
		for j := range next {
			next[j] = -1
		}
		any := false
		now := make([]int32, n-i)
		for v := i + 1; v < n; v++ {
			u := before[v-i]
			now[v-i] = int32(u)
			if u < 0 {
				continue
			}
			for w, misses := v+1, 0; w < n && misses < giveUp; w++ {
				if places[w]-places[v] < nearest {
					continue
				}
				if next[w-i] < v && r.holdsProp(on, places[u], places[v], places[w], u == i, false) {
					next[w-i], any, misses = v, true, 0
				} else if next[w-i] < v {
					misses++
				}
				if out[w-i].between < 0 && r.holdsProp(on, places[u], places[v], places[w], u == i, true) &&
					(!ends[w-i] || r.holdsEnd(on, places[w], places[v], true)) {
					out[w-i] = way{between: k, last: v}
					open--
				}
			}
		}
		trail = append(trail, now)
		if !any {
			break
		}
		before = next
	}
	for j := range out { // follow the props back
		w := &out[j]
		if w.between < 1 {
			continue
		}
		w.props = make([]int, w.between)
		v := w.last
		for k := w.between; k >= 1; k-- {
			w.props[k-1] = v - i
			v = int(trail[k-1][v-i])
		}
	}
	return out
}

// giveUp is how many places in a row may fail before farther ones are not looked at.
const giveUp = 6
