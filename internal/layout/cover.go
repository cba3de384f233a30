package layout

import (
	"encoding/binary"
	"math"
	"slices"

	"shoreward/internal/plane"
)

// cover chooses stock for a run of joists from xa to xb inside the room: one
// length where one does, else the cheapest lapping lengths for the loads that
// the joists hand down. It gives the pieces and the props under them, nil where
// the props are to be found yet; no pieces when nothing fits.
func (f *field) cover(on []contact, y, xa, xb float64, room plane.Span) ([]stringer, []planned) {
	need := xb - xa
	st := f.k.stringers
	for i := range st {
		if s := &st[i]; s.len >= need && s.len <= room.Len() {
			a := xa - (s.len-need)/2
			a = math.Max(room.A, math.Min(a, room.B-s.len))
			return f.alone(on, y, stringer{x0: a, x1: a + s.len, stock: s})
		}
	}
	if f.k.sys.CutToLength {
		for i := range st {
			if s := &st[i]; s.len >= need {
				return f.alone(on, y, stringer{x0: xa, x1: xb, stock: s, sawn: true})
			}
		}
	}
	// Where nothing holds by the rules of spans, pieces that are to be mended.
	for _, use := range []float64{planUse, 1.15, 1.5, 1000} {
		if pieces, props := f.lapped(on, y, xa, xb, room, use); pieces != nil {
			if use > planUse {
				props = nil
			}
			return pieces, props
		}
	}
	if need < st[0].len && room.Len() > 500 && need > 400 {
		// Room for no whole length: saw the shortest.
		return f.alone(on, y, stringer{x0: xa, x1: xb, stock: &st[0], sawn: true})
	}
	return nil, nil
}

// planned is a prop of a plan: in a lap or at the run's ends it stays where it is.
type planned struct {
	x     float64
	fixed bool
}

// alone props one piece that holds a run by itself.
func (f *field) alone(on []contact, y float64, p stringer) ([]stringer, []planned) {
	rules := f.k.spanRules(planUse)
	xs, ok := rules.alone(on, f.places(on, y), p.x0, p.x1)
	if !ok {
		return []stringer{p}, nil
	}
	var props []planned
	for i, x := range xs {
		props = append(props, planned{x, i == 0 || i == len(xs)-1})
	}
	return []stringer{p}, props
}

// places are where props may stand under a run.
func (f *field) places(on []contact, y float64) []float64 {
	return slices.DeleteFunc(placesOn(on), func(x float64) bool { return !f.r.canStand(x, y) })
}

// step is one piece on the way from end prop to end prop.
type step struct {
	stock *stock
	to    int   // place of its last prop
	last  bool  // the run ends with it
	props []int // places of the props between, counted from its first
	cost  float64
}

// lapped finds the cheapest lapping pieces by dynamic programming from the
// right: from each place of a prop in a lap, the pieces that could lie next, as
// far as their stock reaches and with the fewest props that hold.
func (f *field) lapped(on []contact, y, xa, xb float64, room plane.Span, use float64) ([]stringer, []planned) {
	m := f.k.model(modelKey{f.p.pitch, planUse, levelStep, false})
	rules := f.k.spanRules(use)
	st := f.k.stringers
	lap := mmOf(f.k.choice.LapMin)
	places := f.places(on, y)
	first, last := on[0].x, on[len(on)-1].x
	longest := math.Min(st[len(st)-1].len, room.Len())
	shortest := func(l float64) *stock {
		for i := range st {
			if st[i].len >= l-1e-6 && st[i].len <= room.Len() {
				return &st[i]
			}
		}
		return nil
	}
	mayEnd := func(j int) bool { return places[j] >= last-mostSetIn && places[j] <= xb-endMin }
	under := rules.bed(on, places)
	best := make([]step, len(places))
	// from is the cheapest step from a place, with so much stringer before it.
	from := func(i int, before float64, lowEnd bool) step {
		out := step{cost: math.Inf(1)}
		ways := f.ways(&rules, under, i, longest-before-lap/2, lowEnd, mayEnd)
		for j, w := range ways {
			if w.between < 0 {
				continue
			}
			to, reach := i+j, places[i+j]-places[i]
			between := m.between(w.between, reach)
			if s := shortest(before + reach + lap/2); s != nil && best[to].cost < math.Inf(1) {
				if c := s.cost + between + m.grade + best[to].cost; c < out.cost-1e-9 {
					out = step{s, to, false, w.props, c}
				}
			}
			if s := shortest(before + reach + xb - places[to]); s != nil && !lowEnd && mayEnd(to) {
				if c := s.cost + between; c < out.cost-1e-9 {
					out = step{s, to, true, w.props, c}
				}
			}
		}
		return out
	}
	for i := len(places) - 1; i >= 0; i-- {
		best[i] = from(i, lap/2, false)
	}
	start, at := step{cost: math.Inf(1)}, 0
	for i := 0; i < len(places) && places[i] <= first+mostSetIn; i++ {
		if places[i] < xa+endMin {
			continue
		}
		if s := from(i, places[i]-xa, true); s.cost < start.cost-1e-9 {
			start, at = s, i
		}
	}
	if math.IsInf(start.cost, 1) {
		return nil, nil
	}
	var pieces []stringer
	props, ends := []planned{{places[at], true}}, []float64{places[at]}
	for s := start; ; s = best[s.to] {
		pieces = append(pieces, stringer{stock: s.stock})
		for _, p := range s.props {
			props = append(props, planned{places[at+p], false})
		}
		at = s.to
		props, ends = append(props, planned{places[at], true}), append(ends, places[at])
		if s.last {
			break
		}
	}
	if !place(pieces, ends, xa, xb, lap, room) {
		return nil, nil
	}
	return pieces, props
}

// ways remembers what rules find: joists a pitch apart look alike from many places.
func (f *field) ways(r *spanRules, on *bed, i int, most float64, lowEnd bool, mayEnd func(int) bool) []way {
	places := on.places
	n := i + 1
	for n < len(places) && places[n] <= places[i]+most+1e-6 {
		n++
	}
	mayReachEnd := false
	for j := i + 1; j < n && !mayReachEnd; j++ {
		mayReachEnd = mayEnd(j)
	}
	if lowEnd || mayReachEnd {
		return r.ways(on, i, most, lowEnd, mayEnd)
	}
	var key []byte
	num := func(v float64) { key = binary.AppendVarint(key, int64(math.Round(v*10))) }
	num(r.moment)
	for _, x := range places[i+1 : n] {
		num(x - places[i])
	}
	for _, c := range inside(on.on, places[i]-2, places[i]+most+2) {
		num(c.x - places[i])
		num(c.load)
	}
	if w, ok := f.waysKnown[string(key)]; ok {
		return w
	}
	w := r.ways(on, i, most, false, nil)
	if f.waysKnown == nil || len(f.waysKnown) >= mostWays {
		f.waysKnown = map[string][]way{}
	}
	f.waysKnown[string(key)] = w
	return w
}

// mostWays is how many answers a field remembers before it begins anew, to bound its memory.
const mostWays = 4000

// place puts the pieces over their props at `at`, spare length shared between
// both ends; every other one lies on the same side and must keep clear.
func place(pieces []stringer, at []float64, xa, xb, lap float64, room plane.Span) bool {
	n := len(pieces)
	type slack struct{ lo, hi float64 }
	all := make([]slack, n)
	for i := range pieces {
		from, to := at[i]-lap/2, at[i+1]+lap/2
		if i == 0 {
			from = xa
		}
		if i == n-1 {
			to = xb
		}
		l := pieces[i].stock.len
		all[i] = slack{math.Max(room.A, to-l), math.Min(from, room.B-l)}
		if all[i].lo > all[i].hi+1 {
			return false
		}
		pieces[i].x0 = (all[i].lo + all[i].hi) / 2
	}
	for i := 2; i < n; i++ {
		const apart = 10
		if clash := pieces[i-2].x0 + pieces[i-2].stock.len + apart - pieces[i].x0; clash > 0 {
			pieces[i].x0 = math.Min(all[i].hi, pieces[i].x0+clash)
		}
		if clash := pieces[i-2].x0 + pieces[i-2].stock.len + apart - pieces[i].x0; clash > 0 {
			if pieces[i-2].x0-clash < all[i-2].lo {
				return false
			}
			pieces[i-2].x0 -= clash
			if i >= 4 && pieces[i-4].x0+pieces[i-4].stock.len+apart > pieces[i-2].x0 {
				return false
			}
		}
	}
	for i := range pieces {
		pieces[i].x1 = pieces[i].x0 + pieces[i].stock.len
	}
	return true
}
