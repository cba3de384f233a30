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

// bed is the joists of a run with the places where props may stand under them.
// It remembers what the span between two places hands down: a search asks for the
// same spans over and over.
type bed struct {
	on     []contact
	places []float64
	offset float64       // loads this near to a prop do not count for shear, mm
	press  []float64     // what presses straight on a prop at each place, N
	spans  [][]spanLoads // by the place of the lower prop and how many places on the upper one stands
}

// bed of joists for these rules.
func (r *spanRules) bed(on []contact, places []float64) *bed {
	b := &bed{on: on, places: places, offset: r.offset, press: make([]float64, len(places)), spans: make([][]spanLoads, len(places))}
	for i, x := range places {
		b.press[i] = pressing(on, x)
	}
	return b
}

// spanLoads is what a span hands to its ends.
type spanLoads struct {
	known               bool
	len                 float64  // mm
	low, high, moment   float64  // by itself: on its lower and upper end, N, and its greatest moment, N·m
	shearLow, shearHigh float64  // without what lies too near to an end to count, N
	hogLow, hogHigh     float64  // moment over its end, N·m, times this span with the next one, mm, when all go on there
	next                []judged // of the prop at its upper end with the next span, by how many places on that ends
}

// judged is what is known of a prop between two spans inside a piece.
type judged uint8

const (
	itHolds judged = 1 << iota
	itFails
	lastHolds // where the piece ends with the upper span
	lastFails
)

// span is what the span between two places hands down.
func (b *bed) span(i, j int) *spanLoads {
	for len(b.spans[i]) <= j-i {
		b.spans[i] = append(b.spans[i], spanLoads{})
	}
	s := &b.spans[i][j-i]
	if !s.known {
		*s = b.loads(b.places[i], b.places[j])
	}
	return s
}

// loads of a span, by statics.
func (b *bed) loads(from, to float64) spanLoads {
	l := to - from
	s := spanLoads{known: true, len: l}
	in := inside(b.on, from, to)
	for _, c := range in {
		a, z := c.x-from, to-c.x
		low, high := c.load*z/l, c.load*a/l
		s.low, s.high = s.low+low, s.high+high
		if a > b.offset {
			s.shearLow += low
		}
		if z > b.offset {
			s.shearHigh += high
		}
		s.hogHigh += c.load * a * (l*l - a*a) / (2 * l) / 1000
		s.hogLow += c.load * z * (l*l - z*z) / (2 * l) / 1000
	}
	beyond, turned := 0.0, 0.0 // the loads above a place, and their moment about the upper end
	for i := len(in) - 1; i >= 0; i-- {
		z := to - in[i].x
		s.moment = math.Max(s.moment, (s.high*z-beyond*z+turned)/1000)
		beyond, turned = beyond+in[i].load, turned+in[i].load*z
	}
	return s
}

// holdsSpan judges the one span of a piece with a prop at each end only.
func (r *spanRules) holdsSpan(on *bed, i, j int) bool {
	s := on.span(i, j)
	if s.moment > r.moment || math.Max(s.shearLow, s.shearHigh) > r.shear || !r.holdsLap(on.press[i], s.low) || !r.holdsLap(on.press[j], s.high) {
		return false
	}
	l := s.len / 1000
	return r.service*5/48*s.moment*l*l/r.ei <= r.limit(l)
}

// holdsLap judges what the end of a piece brings to a prop that holds the end of
// the next one too, and on which joists press.
func (r *spanRules) holdsLap(pressed, end float64) bool {
	const part = 0.52 // of what the joists right over it leave of the prop: the other end may bring less
	return end <= part*(r.prop-pressed) && end+pressed/2 <= r.seat
}

// holdsInside is holdsProp where the piece does not begin at u. It remembers the answers.
func (r *spanRules) holdsInside(on *bed, u, v, w int, last bool) bool {
	left := on.span(u, v)
	for len(left.next) <= w-v {
		left.next = append(left.next, 0)
	}
	yes, no := itHolds, itFails
	if last {
		yes, no = lastHolds, lastFails
	}
	known := &left.next[w-v]
	if *known&(yes|no) == 0 {
		if r.holdsProp(on, u, v, w, false, last) {
			*known |= yes
		} else {
			*known |= no
		}
	}
	return *known&yes != 0
}

// holdsProp judges a prop at place v with the spans to u and w. first and last
// tell that the piece begins at u, ends at w.
func (r *spanRules) holdsProp(on *bed, u, v, w int, first, last bool) bool {
	left, right := on.span(u, v), on.span(v, w)
	l1, l2 := left.len, right.len
	ml, mr := left.hogHigh/(l1+l2), right.hogLow/(l1+l2) // moment over v by each span, N·m
	m := ml + mr
	if m > r.moment {
		return false
	}
	h1, h2 := m/l1*1000, m/l2*1000 // what it shifts from the far end of each span to v, N
	if left.shearHigh+h1 > r.shear || right.shearLow+h2 > r.shear {
		return false
	}
	if left.high+right.low+h1+h2+on.press[v] > math.Min(r.prop, r.seat) {
		return false
	}
	always := 1 - r.placing
	// In an outer span the moment over the prop takes off half of itself in the middle
	// (0.45, to be safe) and M l²/16 EI of the sag; 5/48 M l²/EI is the sag of a span
	// by itself under an even load (statics, beam tables).
	sag := func(s *spanLoads, own, other float64) bool {
		if s.moment-0.45*(own+always*other) > r.moment {
			return false
		}
		l := s.len / 1000
		return r.service*(5.0/48*s.moment-m/16)*l*l/r.ei <= r.limit(l)
	}
	if first {
		if !sag(left, ml, mr) || left.shearLow-always*h1 > r.shear || !r.holdsLap(on.press[u], left.low-ml/l1*1000) {
			return false
		}
	}
	if last {
		if right.shearHigh-always*h2 > r.shear || !r.holdsLap(on.press[w], right.high-mr/l2*1000) {
			return false
		}
	}
	return sag(right, mr, ml)
}

// overhang is what presses past an end prop at x: its sum and its moment there, N and N·m.
func overhang(on []contact, x float64, upper bool) (load, moment float64) {
	for i := range on {
		c, d := on[i], x-on[i].x
		if upper {
			c = on[len(on)-1-i]
			d = c.x - x
		}
		if d <= 1 { // all others lie farther in
			break
		}
		load += c.load
		moment += c.load * d / 1000
	}
	return load, moment
}

// holdsEnd judges the end prop of a run at place x with its span to place v.
func (r *spanRules) holdsEnd(on *bed, x, v int) bool {
	upper := x > v
	load, moment := overhang(on.on, on.places[x], upper)
	if moment > 0.8*r.moment || load > 0.9*r.shear {
		return false
	}
	var s *spanLoads
	own := 0.0
	if upper {
		s = on.span(v, x)
		own = s.high
	} else {
		s = on.span(x, v)
		own = s.low
	}
	in := own + moment/s.len*1000
	return in <= r.shear && load+in+on.press[x] <= math.Min(r.prop, r.seat)
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
func (r *spanRules) ways(on *bed, i int, most float64, lowEnd bool, highEnd func(j int) bool) []way {
	places := on.places
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
		if lowEnd && !r.holdsEnd(on, i, j) {
			misses++
			continue
		}
		starts[j-i] = true
		if ends[j-i] && !r.holdsEnd(on, j, i) {
			continue
		}
		if r.holdsSpan(on, i, j) {
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
	held := func(u, v, w int, last bool) bool {
		if u == i {
			return r.holdsProp(on, u, v, w, true, last)
		}
		return r.holdsInside(on, u, v, w, last)
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
				if next[w-i] < v && held(u, v, w, false) {
					next[w-i], any, misses = v, true, 0
				} else if next[w-i] < v {
					misses++
				}
				if out[w-i].between < 0 && held(u, v, w, true) &&
					(!ends[w-i] || r.holdsEnd(on, w, v)) {
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
