package layout

import (
	"math"

	"shoreward/internal/plane"
)

// cover chooses stock for a run of joists from xa to xb inside the room: one
// length where one does, else the cheapest lapping lengths for the loads that
// the joists hand down. It gives the pieces and where the props in their laps
// are meant to stand; nil when nothing fits.
func (f *field) cover(on []contact, xa, xb float64, room plane.Span) ([]stringer, []float64) {
	need := xb - xa
	st := f.k.stringers
	for i := range st {
		if s := &st[i]; s.len >= need && s.len <= room.Len() {
			a := xa - (s.len-need)/2
			a = math.Max(room.A, math.Min(a, room.B-s.len))
			return []stringer{{x0: a, x1: a + s.len, stock: s}}, nil
		}
	}
	if f.k.sys.CutToLength {
		for i := range st {
			if s := &st[i]; s.len >= need {
				return []stringer{{x0: xa, x1: xb, stock: s, sawn: true}}, nil
			}
		}
	}
	if pieces, laps := f.lapped(on, xa, xb, room); pieces != nil {
		return pieces, laps
	}
	if need < st[0].len && room.Len() > 500 && need > 400 {
		// Room for no whole length: saw the shortest.
		return []stringer{{x0: xa, x1: xb, stock: &st[0], sawn: true}}, nil
	}
	return nil, nil
}

// step is one piece on the way from end prop to end prop.
type step struct {
	stock *stock
	to    int // grid step of its last prop
	cost  float64
}

// lapped finds the cheapest lapping pieces by dynamic programming from the
// right: from each place of a prop in a lap, the pieces that could lie next, as
// far as their stock and so many props under the actual load let them reach.
func (f *field) lapped(on []contact, xa, xb float64, room plane.Span) ([]stringer, []float64) {
	m := f.model()
	lap := mmOf(f.k.choice.LapMin)
	a := on[0].x + endSetIn*f.k.tip(on, false)
	b := on[len(on)-1].x - endSetIn*f.k.tip(on, true)
	if b-a < shortRun {
		a, b = (a+b-shortRun)/2, (a+b+shortRun)/2
	}
	n := int(math.Ceil((b-a)/gridStep - 1e-6))
	levels := f.levels(on, a, n)
	best := make([]step, n+1)
	for i := n - 1; i >= 0; i-- {
		best[i].cost = math.Inf(1)
		before := lap / 2
		if i == 0 {
			before = a - xa
		}
		f.reaches(m, levels, i, n, before, xb-b, lap, room.Len(), func(to int, s *stock, cost float64) {
			if to < n {
				cost += m.grade + best[to].cost
			} else if i == 0 {
				return // one piece: tried before
			}
			if cost < best[i].cost-1e-9 {
				best[i] = step{s, to, cost}
			}
		})
	}
	if math.IsInf(best[0].cost, 1) {
		return nil, nil
	}
	var pieces []stringer
	at := []float64{a}
	for i := 0; i < n; i = best[i].to {
		pieces = append(pieces, stringer{stock: best[i].stock})
		at = append(at, math.Min(b, a+float64(best[i].to)*gridStep))
	}
	if !place(pieces, at, xa, xb, lap, room) {
		return nil, nil
	}
	return pieces, at[1 : len(at)-1]
}

// levels is the level of the band in each grid step from a on: of the joists
// about it.
func (f *field) levels(on []contact, a float64, n int) []int {
	out := make([]int, n)
	k := 0
	for i := range out {
		x := a + (float64(i)+0.5)*gridStep
		for k+1 < len(on) && math.Abs(on[k+1].x-x) <= math.Abs(on[k].x-x) {
			k++
		}
		out[i] = levelOf(f.band(on, on[k].x, on[k].x))
	}
	return out
}

// reaches tells every piece worth laying from grid step i: for each stock and
// number of props between, the farthest that it reaches. `before` and `after`
// are what it must reach past its first prop and, when it ends the run, its last.
func (f *field) reaches(m *runModel, levels []int, i, n int, before, after, lap, room float64, tell func(to int, s *stock, cost float64)) {
	most, props, si := 0, 0, 0
	st := f.k.stringers
	var cost float64
	have := false
	for to := i + 1; to <= n; to++ {
		most = max(most, levels[to-1])
		l := m.at(most)
		reach := float64(to-i) * gridStep
		k := props
		for l.span(k) < reach-1e-6 {
			k++
		}
		past := lap / 2
		if to == n {
			past = after
		}
		s := si
		for s < len(st) && st[s].len < reach+before+past-1e-6 {
			s++
		}
		if have && (k != props || s != si) {
			tell(to-1, &st[si], cost)
		}
		if s == len(st) || st[s].len > room {
			return
		}
		props, si, have = k, s, true
		cost = st[s].cost + m.between(k, reach)
	}
	if have {
		tell(n, &st[si], cost)
	}
}

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

// model is the planning model of the field's lines.
func (f *field) model() *runModel {
	if f.planned == nil {
		f.planned = newRunModel(f.k, f.p.pitch)
	}
	return f.planned
}

// hope is the same without what is allowed for joists that hand the load down
// in points: the fewest props that could do.
func (f *field) hope() *runModel {
	if f.hoped == nil {
		f.hoped = newRunModel(f.k, f.p.pitch)
		f.hoped.allow = 0
	}
	return f.hoped
}
