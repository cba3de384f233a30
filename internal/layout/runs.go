package layout

import (
	"math"
	"slices"
)

// The planning model of a stringer line: a run of contacts with joists, the
// first to the last, carries a band of deck of one width. It stands on end
// props, on a prop in every lap, and on props between, evenly in each piece.
// What it costs is found exactly: the stock, the laps and the props of the
// cheapest way to reach from one end prop to the other, on a grid of gridStep.

// levelStep is the step in which bands of deck are counted, rounded up, mm.
const levelStep = 50.0

// gridStep is the grid of positions along a line, mm.
const gridStep = 25.0

// levelOf is the band's level, rounded up.
func levelOf(band float64) int { return max(0, int(math.Ceil(band/levelStep-1e-6))) }

// option is one piece of a line: how far it reaches from its first prop to its
// last, with so many props between, and what that costs without the two.
type option struct {
	stock   *stock
	between int     // props between its first and last
	reach   int     // in grid steps
	cost    float64 // stock and props between
}

// runModel is the planning model of lines under one kit and pitch.
type runModel struct {
	k      *kit
	pitch  float64
	allow  float64 // what counts for joists that hand the load down in points: the pitch, or 0 to hope for the best
	half   float64 // how far a stringer reaches past the middle of its last joist, mm
	grade  float64 // cost of a prop set to elevation
	inter  float64 // cost of a prop hung later
	graded float64 // greatest distance of props set to elevation, mm; 0: all are
	levels []*level
}

// level is the model under one band.
type level struct {
	setIn    float64   // from the first joist in to the end prop, mm
	forms    []form    // the best share of spans, by number of props between first and last
	reaches  []float64 // how far a piece with them reaches, mm
	mid, end []option
	finish   []float64 // cost to reach so many grid steps from a prop in a lap to the end prop, both not counted
	total    []float64 // the same from end prop to end prop with a lap between
}

func newRunModel(k *kit, pitch float64) *runModel {
	m := &runModel{k: k, pitch: pitch, allow: pitch, half: mmOf(k.joists[0].part.Width.V)/2 + 40}
	head := k.inter
	m.grade = k.propCost(k.grade, true)
	if k.sys.InterHead == "" {
		m.inter = m.grade
	} else {
		m.inter = k.propCost(head, false)
		m.graded = mmOf(k.sys.GradeSpacing)
	}
	return m
}

// at gives the model of a level, made when first asked for.
func (m *runModel) at(n int) *level {
	for len(m.levels) <= n {
		m.levels = append(m.levels, nil)
	}
	if m.levels[n] == nil {
		m.levels[n] = m.newLevel(math.Max(1, float64(n)) * levelStep)
	}
	return m.levels[n]
}

func (m *runModel) newLevel(band float64) *level {
	l := &level{setIn: endSetIn * m.k.tipReach(m.pitch, band)}
	placing := m.k.placing / m.k.strength
	for spans := 1; spans <= mostSpans; spans++ {
		best, reach := form{outer: 1 / float64(spans), inner: 1 / float64(spans)}, 200*float64(spans)
		for _, f := range forms(spans, placing) {
			if r := m.k.reach(f, band, m.allow); r > reach+1e-6 {
				best, reach = f, r
			}
		}
		l.forms, l.reaches = append(l.forms, best), append(l.reaches, reach)
	}
	lap := mmOf(m.k.choice.LapMin)
	for i := range m.k.stringers {
		s := &m.k.stringers[i]
		l.mid = append(l.mid, m.options(l, s, s.len-lap)...)
		l.end = append(l.end, m.options(l, s, s.len-lap/2-l.setIn-m.half)...)
	}
	l.mid, l.end = undominated(l.mid), undominated(l.end)
	return l
}

// options are the ways to use a stock that can reach so far from its first prop to its last, mm.
func (m *runModel) options(l *level, s *stock, most float64) []option {
	var out []option
	for k := 0; ; k++ {
		reach := math.Min(most, l.span(k))
		steps := int(math.Floor(reach/gridStep + 1e-6))
		if steps >= 1 {
			out = append(out, option{s, k, steps, s.cost + m.between(k, reach)})
		}
		if reach >= most-1e-6 || k > 60 {
			return out
		}
	}
}

// span is how far a piece with so many props between its first and last may reach.
func (l *level) span(between int) float64 {
	if between < len(l.reaches) {
		return l.reaches[between]
	}
	return l.reaches[len(l.reaches)-1] * float64(between+1) / mostSpans
}

// share is where the i-th of so many props between stands, as a share of the piece.
func (l *level) share(i, between int) float64 {
	if between < len(l.forms) {
		return l.forms[between].at(i, between+1)
	}
	return float64(i) / float64(between+1)
}

// between is the cost of props between the first and last of a piece.
func (m *runModel) between(k int, reach float64) float64 {
	graded := 0
	if m.graded > 0 {
		graded = min(k, int(math.Ceil(reach/m.graded-1e-6))-1)
	}
	return float64(k-graded)*m.inter + float64(graded)*m.grade
}

// undominated drops options that reach no farther than a cheaper one, farthest first.
func undominated(in []option) []option {
	slices.SortStableFunc(in, func(a, b option) int {
		if a.reach != b.reach {
			return b.reach - a.reach
		}
		return cmpFloat(a.cost, b.cost)
	})
	best := math.Inf(1)
	out := in[:0]
	for _, o := range in {
		if o.cost < best-1e-9 {
			best = o.cost
			out = append(out, o)
		}
	}
	return out
}

func cmpFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// lapped is the cost to reach n grid steps from end prop to end prop with one
// lap or more between, the end props not counted.
func (m *runModel) lapped(l *level, n int) float64 {
	cheapest := func(options []option, n int, rest func(int) float64) float64 {
		best := math.Inf(1)
		for _, o := range options {
			if c := o.cost + m.grade + rest(max(0, n-o.reach)); c < best {
				best = c
			}
		}
		return best
	}
	for i := len(l.finish); i <= n; i++ {
		best := cheapest(l.mid, i, func(j int) float64 {
			if j >= i {
				return math.Inf(1)
			}
			return l.finish[j]
		})
		for _, o := range l.end {
			if o.reach >= i {
				best = math.Min(best, o.cost)
			}
		}
		l.finish = append(l.finish, best)
	}
	for i := len(l.total); i <= n; i++ {
		l.total = append(l.total, cheapest(l.end, i, func(j int) float64 { return l.finish[j] }))
	}
	return l.total[n]
}

// run is a stretch of a line: from its first joist to its last, and the room
// that a stringer has there, mm.
type run struct{ length, room float64 }

// cost is what a run costs under a band's level. A run that no stock can lie
// under costs as many single props as it has joists.
func (m *runModel) cost(r run, n int, lose float64) float64 {
	l := m.at(n)
	need := r.length + 2*m.half
	reach := math.Max(r.length-2*l.setIn, math.Min(shortRun, r.length))
	best := math.Inf(1)
	for i := range m.k.stringers {
		if s := &m.k.stringers[i]; s.len >= need && s.len <= r.room {
			best = s.cost + m.between(l.props(reach), reach)
			break
		}
	}
	if shortest := m.k.stringers[0].len; shortest <= r.room {
		best = math.Min(best, m.lapped(l, int(math.Ceil(reach/gridStep-1e-6))))
	}
	if math.IsInf(best, 1) {
		longest := &m.k.stringers[len(m.k.stringers)-1]
		if need > 400 && need <= longest.len || m.k.sys.CutToLength && need <= longest.len {
			best = m.k.stringers[0].cost + m.k.cost.cut() + m.between(l.props(reach), reach)
		} else {
			return (1 + math.Round(r.length/m.pitch)) * lose
		}
	}
	return best + 2*m.grade
}

// props is how many props a piece needs between its first and last.
func (l *level) props(reach float64) int {
	k := 0
	for l.span(k) < reach-1e-6 && k < 200 {
		k++
	}
	return k
}

// shortRun is the least distance of the two end props of a run, mm.
const shortRun = 400

// endSetIn is the share of the reach past an end prop that is used.
const endSetIn = 0.7
