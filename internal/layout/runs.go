package layout

import (
	"math"
	"slices"
	"sync"

	"shoreward/internal/beam"
)

// The planning model of a stringer line: a run of joists a pitch apart, the
// first to the last, hands it a band of deck of one width. The line stands on
// end props, on a prop in every lap, and on props between. What it costs is
// found exactly: the stock, the laps and the props of the cheapest way from one
// end to the other, props standing under joists or at even parts between them.

// levelStep is the step in which bands of deck are counted, mm.
const levelStep = 50.0

// gridStep is the grid of positions along a line, mm.
const gridStep = 25.0

// option is one piece of a line: how far it reaches with so many props between
// its first and last, and what that costs without the two.
type option struct {
	stock   *stock
	between int     // props between its first and last
	reach   int     // in grid steps
	cost    float64 // stock and props between
}

// runModel is the planning model of lines under one kit and pitch. Several may ask
// it at once.
type runModel struct {
	mu sync.Mutex // of levels and all in them
	modelKey
	k      *kit
	sheet  []float64 // what sheets bring to the joists from joint to joint, in pitches
	half   float64   // how far a stringer reaches past the middle of its last joist, mm
	grade  float64   // cost of a prop set to elevation
	inter  float64   // cost of a prop hung later
	graded float64   // greatest distance of props set to elevation, mm; 0: all are
	levels []*level
}

// level is the model under one band. Reaches are by the number of props between
// the first and last of a piece; a number that reaches no farther than the one
// before is left as far.
type level struct {
	inner  []float64 // from a prop in a lap to the next, mm
	outer  []float64 // from the first joist of a run to the first prop in a lap, the end prop not counted
	mid    []option
	end    []option  // reach counts from the first joist
	finish []float64 // cost to reach so many grid steps from a prop in a lap to the last joist, end prop not counted
	total  []float64 // the same from the first joist to the last with a lap between
	only   []int     // props between in a piece that holds so many joists alone; -1: none
}

// planUse is the share of what parts may carry that the planning model uses.
const planUse = 0.985

// modelKey is what a planning model depends on beside the kit.
type modelKey struct {
	pitch, use, step float64
	favour           bool // pieces begin where their sheets load them least: for the bound
}

// model is the planning model of lines for joists a pitch apart, that uses a share
// of what parts may carry and counts bands in steps. It is one for all that ask.
func (k *kit) model(key modelKey) *runModel {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.models == nil {
		k.models = map[modelKey]*runModel{}
	}
	if k.models[key] == nil {
		k.models[key] = newRunModel(k, key)
	}
	return k.models[key]
}

func newRunModel(k *kit, key modelKey) *runModel {
	m := &runModel{modelKey: key, k: k, sheet: sheetShares(max(1, int(math.Round(mmOf(k.sheet.Length.V)/key.pitch)))), half: mmOf(k.joists[0].part.Width.V)/2 + 40}
	m.grade = k.propCost(k.grade, true)
	if k.sys.InterHead == "" {
		m.inter = m.grade
	} else {
		m.inter = k.propCost(k.inter, false)
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
		m.levels[n] = m.newLevel(math.Max(1, float64(n)) * m.step)
	}
	return m.levels[n]
}

// joists is a run of n joists under a band. The first is the first under a sheet:
// half of it ends there, but a border or a strip may load it as much as the others.
func (m *runModel) joists(n int, band float64) []contact {
	on := make([]contact, n)
	for i := range on {
		share := m.sheet[i%len(m.sheet)]
		if i == 0 && m.favour {
			share /= 2
		} else if i == 0 {
			share = math.Max(share, 1)
		}
		on[i] = contact{x: float64(i) * m.pitch, load: m.k.strength * band / 1000 * m.pitch / 1000 * share}
	}
	return on
}

// sheetShares is what sheets over so many even spans bring to their joists, in
// loads of one span: at a joint from both sheets, then to those up to the next
// joint. Rows of sheets have their joints on the same joists.
func sheetShares(spans int) []float64 {
	b := beam.Beam{End: float64(spans), EI: 1}
	for i := range spans + 1 {
		b.Supports = append(b.Supports, beam.Support{X: float64(i)})
	}
	r, err := b.Solve([]beam.Load{beam.Uniform(0, b.End, 1)})
	if err != nil {
		return []float64{1}
	}
	out := r.Reactions[:spans]
	out[0] *= 2
	return out
}

// partsOf is into how many parts the distance of two joists is divided for places of props.
func partsOf(gap float64) int {
	const part = 150 // mm
	return max(1, int(math.Round(gap/part)))
}

// placesOn are where props may stand under joists: right under them and at even
// parts between.
func placesOn(on []contact) []float64 {
	var out []float64
	for i, c := range on {
		if i == 0 {
			out = append(out, c.x)
			continue
		}
		a := on[i-1].x
		if c.x-a < 100 { // two that lap, side by side: under each of them
			out = append(out, c.x)
			continue
		}
		n := partsOf(c.x - a)
		for k := 1; k <= n; k++ {
			out = append(out, a+(c.x-a)*float64(k)/float64(n))
		}
	}
	return out
}

func (m *runModel) newLevel(band float64) *level {
	l := &level{}
	st := m.k.stringers
	longest := st[len(st)-1].len
	lap := mmOf(m.k.choice.LapMin)
	rules := m.k.spanRules(m.use)
	period := len(m.sheet)
	on := m.joists(int(longest/m.pitch)+6+period, band)
	places := placesOn(on)
	under := rules.bed(on, places)
	parts := partsOf(m.pitch)
	// From a prop in a lap, at the best of the parts of the way from joist to joist;
	// in the middle of all joists that differ.
	var inner [][]float64
	for p := range period {
		var reach []float64
		for s := (2 + p) * parts; s < (3+p)*parts; s++ {
			reach = reaching(reach, rules.ways(under, s, longest-lap, false, nil), func(j int) float64 { return places[s+j] - places[s] })
		}
		inner = append(inner, reach)
	}
	l.inner = m.together(inner)
	// From an end prop; what it leaves past it overhangs.
	for s := 0; places[s] <= mostSetIn; s++ {
		l.outer = reaching(l.outer, rules.ways(under, s, longest-lap/2-m.half-places[s], true, nil), func(j int) float64 { return places[s+j] })
	}
	for i := range st {
		l.mid = append(l.mid, m.options(l.inner, &st[i], st[i].len-lap)...)
		l.end = append(l.end, m.options(l.outer, &st[i], st[i].len-lap/2-m.half)...)
	}
	l.mid, l.end = undominated(l.mid), undominated(l.end)
	return l
}

// together is one reach by number of props for several: the mean, or the farthest.
func (m *runModel) together(reaches [][]float64) []float64 {
	n := 0
	for _, r := range reaches {
		n = max(n, len(r))
	}
	out := make([]float64, n)
	for _, r := range reaches {
		last := 0.0
		for k := range out {
			if k < len(r) {
				last = r[k]
			}
			if m.favour {
				out[k] = math.Max(out[k], last)
			} else {
				out[k] += last / float64(len(reaches))
			}
		}
	}
	return out
}

// mostSetIn is how far from the first joist an end prop may stand, mm.
const mostSetIn = 1500

// reaching adds what these ways reach to the farthest known by number of props.
func reaching(known []float64, ways []way, reach func(j int) float64) []float64 {
	for j, w := range ways {
		if w.between < 0 {
			continue
		}
		for len(known) <= w.between {
			last := 0.0
			if n := len(known); n > 0 {
				last = known[n-1]
			}
			known = append(known, last)
		}
		for k := w.between; k < len(known); k++ {
			known[k] = math.Max(known[k], reach(j))
		}
	}
	return known
}

// options are the ways to use a stock that can reach so far, mm.
func (m *runModel) options(reaches []float64, s *stock, most float64) []option {
	var out []option
	for k, r := range reaches {
		reach := math.Min(most, r)
		if steps := int(math.Floor(reach/gridStep + 1e-6)); steps >= 1 {
			out = append(out, option{s, k, steps, s.cost + m.between(k, reach)})
		}
		if r >= most-1e-6 {
			break
		}
	}
	return out
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

// lapped is the cost to reach n grid steps from the first joist to the last with
// one lap or more between, the end props not counted.
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

// rate is the least cost of a line per mm of its length under a level.
func (m *runModel) rate(n int) float64 {
	m.mu.Lock()
	defer m.mu.Unlock()
	best := math.Inf(1)
	for _, o := range m.at(n).mid {
		best = math.Min(best, (o.cost+m.grade)/(float64(o.reach)*gridStep))
	}
	return best
}

// run is a stretch of a line: from its first joist to its last, and the room
// that a stringer has there, mm.
type run struct{ length, room float64 }

// cost is what a run costs under a band's level. A run that no stock can lie
// under costs as many single props as it has joists.
func (m *runModel) cost(r run, n int, lose float64) float64 {
	m.mu.Lock()
	defer m.mu.Unlock()
	l := m.at(n)
	need := r.length + 2*m.half
	st := m.k.stringers
	best := math.Inf(1)
	for i := range st {
		if s := &st[i]; s.len >= need && s.len <= r.room {
			if k := m.only(l, n, r.length); k >= 0 {
				best = s.cost + m.between(k, r.length)
			}
			break
		}
	}
	if st[0].len <= r.room {
		best = math.Min(best, m.lapped(l, int(math.Ceil(r.length/gridStep-1e-6))))
	}
	if longest := st[len(st)-1].len; math.IsInf(best, 1) && need <= longest && (need > 400 || m.k.sys.CutToLength) {
		if k := m.only(l, n, r.length); k >= 0 {
			best = st[0].cost + m.k.cost.cut() + m.between(k, r.length)
		}
	}
	if math.IsInf(best, 1) {
		return (1 + math.Round(r.length/m.pitch)) * lose
	}
	return best + 2*m.grade
}

// only is how many props a piece needs between its end props when it holds a run alone.
func (m *runModel) only(l *level, n int, length float64) int {
	i := int(math.Ceil(length/m.pitch - 1e-6))
	for len(l.only) <= i {
		l.only = append(l.only, -2)
	}
	if l.only[i] == -2 {
		on := m.joists(i+1, math.Max(1, float64(n))*m.step)
		rules := m.k.spanRules(m.use)
		props, ok := rules.alone(on, placesOn(on), -m.half, on[i].x+m.half)
		l.only[i] = -1
		if ok {
			l.only[i] = len(props) - 2
		}
	}
	return l.only[i]
}

// alone finds the fewest props under one piece from a to b that holds a run by itself.
func (r *spanRules) alone(on []contact, places []float64, a, b float64) (props []float64, ok bool) {
	first0, last := on[0].x, on[len(on)-1].x
	best := math.MaxInt
	if last-first0 < shortRun { // props near the ends of the piece, whatever lies between
		lo, hi := math.Max(a+endMin, (first0+last-shortRun)/2), math.Min(b-endMin, (first0+last+shortRun)/2)
		return []float64{lo, hi}, hi-lo > nearest && r.holdsSpan(r.bed(on, []float64{lo, hi}), 0, 1)
	}
	under := r.bed(on, places)
	for s := 0; s < len(places) && places[s] <= first0+mostSetIn; s++ {
		if places[s] < a+endMin {
			continue
		}
		ws := r.ways(under, s, b-a, true, func(j int) bool { return places[j] >= last-mostSetIn && places[j] <= b-endMin })
		for j, w := range ws {
			if w.between < 0 || w.between >= best || places[s+j] < last-mostSetIn || places[s+j] > b-endMin {
				continue
			}
			best, props = w.between, []float64{places[s]}
			for _, v := range w.props {
				props = append(props, places[s+v])
			}
			props = append(props, places[s+j])
		}
	}
	return props, best < math.MaxInt
}

// shortRun is the least distance of the two end props of a run, mm.
const shortRun = 400
