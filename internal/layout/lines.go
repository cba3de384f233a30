package layout

import (
	"cmp"
	"encoding/binary"
	"math"
	"slices"

	"shoreward/internal/plane"
)

// line is a stringer line of a field, along x at one y. A local line serves
// only part of the width.
type line struct {
	y      float64
	x0, x1 float64 // where it may serve
	lap    bool    // joists lap here
}

// pattern is the stringer lines of a field and how joists cover them: pieces
// run from lap line to lap line.
type pattern struct {
	lines []line // base lines in order of y
	cost  float64
}

// window is where the first or last support of a joist end may be.
type window struct{ lo, hi float64 }

// linePlan is the problem of the stringer lines of a field: where on the grid
// lines lie and between which of them joists run. docs/layout.md states it in
// full; search solves it exactly.
type linePlan struct {
	k       *kit
	r       *region
	pitch   float64
	rowY    float64 // a boundary between rows of sheets
	rowH    float64
	bays    []float64 // longest bay by number of bays under one joist
	inner   []float64 // what a line between laps carries, in bays, by the number of bays from lap to lap
	atLap   []float64 // the same of a line at a lap with the same bays on both sides
	reach   float64   // longest overhang of a joist, mm
	lap     float64   // least lap of joists, mm
	band    float64   // widest band that a line may carry, mm
	lose    float64   // cost of one joist end that no line serves
	strips  []strip   // in order of their start, alike ones counted
	active  []float64 // joists crossing each grid height
	windows []endClass
	relaxed bool
	model   *runModel
	rows    []*rowClass // of each grid height
}

// strip is where joists lie end to end: one need of a column, or several alike.
type strip struct {
	a, b  float64
	count float64
}

// cut reports whether the strip's joists lap at a lap line: not so near to its
// ends that the piece past it would be a stub that an overhang does for.
func (lp *linePlan) cut(s strip, y float64) bool { return s.a+lp.reach < y && y < s.b-lp.reach }

func newLinePlan(k *kit, r *region, cols []*column, p pitchPlan) *linePlan {
	lp := &linePlan{k: k, r: r, pitch: p.pitch, rowY: r.box.Y0, rowH: mmOf(k.sheet.Width.V), lap: mmOf(k.choice.LapMin), model: k.model(modelKey{p.pitch, planUse, levelStep, false})}
	lp.bays, lp.inner, lp.atLap = []float64{0}, []float64{0}, []float64{0}
	for m := 1; m < len(coefficients); m++ {
		lp.bays = append(lp.bays, k.bay(m, p.pitch))
		s := sharesOf(m, k.placing/k.strength)
		lp.inner, lp.atLap = append(lp.inner, s.inner), append(lp.atLap, 2*s.end)
	}
	lp.band = math.Inf(1)
	if r.stand != nil && k.choice.Strip > 0 {
		lp.band = math.Max(k.edgeBand(), 400)
	}
	lp.reach = k.stub(p.pitch)
	// A prop straight under a joist is set alone and held by nothing along its
	// line: it counts as three.
	lp.lose = 3*(k.cost.piece(k.prop)+k.cost.piece(k.under)) + k.cost.grading()
	n := r.rows() + 1
	lp.active = make([]float64, n+1)
	alike := map[strip]float64{}
	for _, c := range cols {
		for _, s := range c.need {
			a, b := r.rowSpan(s.A, s.B)
			lp.active[a]++
			lp.active[b+1]--
			alike[strip{a: round(s.A), b: round(s.B)}]++
			lp.end(n, s.A, k.endWindow(r, c.x, s, p.pitch, false), k.endWeight(r, c.x, s.A))
			lp.end(n, s.B, k.endWindow(r, c.x, s, p.pitch, true), k.endWeight(r, c.x, s.B))
		}
	}
	for s, count := range alike {
		lp.strips = append(lp.strips, strip{s.a, s.b, count})
	}
	slices.SortFunc(lp.strips, func(s, o strip) int { return cmp.Or(cmp.Compare(s.a, o.a), cmp.Compare(s.b, o.b)) })
	for i := 1; i <= n; i++ {
		lp.active[i] += lp.active[i-1]
	}
	lp.rows = lp.classify(cols, missed(k, r, cols))
	for _, w := range lp.windows {
		for i := 1; i < len(w.before); i++ {
			w.before[i] += w.before[i-1]
		}
	}
	return lp
}

// stub is the length up to which a joist's end past a lap line is an overhang,
// not a piece of its own.
func (k *kit) stub(pitch float64) float64 {
	return math.Max(0.4*k.bay(1, pitch), mmOf(k.choice.Strip)+350)
}

// level counts a band of deck in steps of the model, rounded to the safe side: up
// for a deck that must hold, down for a bound.
func (lp *linePlan) level(band float64) int {
	if lp.relaxed {
		return max(0, int(band/lp.model.step+1e-6))
	}
	return max(0, int(math.Ceil(band/lp.model.step-1e-6)))
}

// using is the same problem with another share of what parts may carry used.
func (lp *linePlan) using(use float64) *linePlan {
	c := *lp
	c.model = lp.k.model(modelKey{lp.pitch, use, levelStep, false})
	c.rows = make([]*rowClass, len(lp.rows))
	copies := map[*rowClass]*rowClass{}
	for i, r := range lp.rows {
		if copies[r] == nil {
			copies[r] = &rowClass{runs: r.runs, missed: r.missed}
		}
		c.rows[i] = copies[r]
	}
	return &c
}

// boundUse is the share of what parts may carry that the bound uses, more than
// rules of two spans err by: measured on rectangles, where 1.1 was too little by
// 0.2 % once; no source.
const boundUse = 1.15

// relax gives the problem whose optimum no deck of its class can undercut
// (docs/layout.md, "The bound"): bands are rounded down, parts are used by more
// than they may carry, blocks are in nobody's way, and an end that no line serves
// costs no more than its joist's share of the cheapest line.
func (lp *linePlan) relax() *linePlan {
	c := lp.using(boundUse * sheetUneven)
	c.relaxed, c.model = true, lp.k.model(modelKey{lp.pitch, boundUse * sheetUneven, levelStep / 2, true})
	for _, r := range c.rows {
		r.missed = 0
	}
	own := c.k.cost.piece(c.k.prop) + c.k.cost.piece(c.k.under)
	const end = 3.0 / 8 // of the deck past the nearest line, which is more than the reach (statics: the end of two even spans)
	c.lose = math.Min(own, c.pitch*c.model.rate(c.level(end*c.reach)))
	return c
}

// rowClass is the runs of joists that a line would hold, the same for many grid
// heights, and what the line costs by the level of its band.
type rowClass struct {
	runs   []run
	missed float64
	cost   []float64 // NaN: not known yet
}

// classify finds the runs of every grid height; missed counts the joists that a
// line there could not hold.
func (lp *linePlan) classify(cols []*column, missed []float64) []*rowClass {
	known := map[string]*rowClass{}
	out := make([]*rowClass, lp.r.rows()+1)
	type need struct {
		x float64
		s plane.Span
	}
	var needs []need
	for _, c := range cols {
		for _, s := range c.need {
			needs = append(needs, need{c.x, s})
		}
	}
	w := mmOf(lp.k.stringers[0].part.Width.V)
	var xs []float64
	var key []byte
	for t := range out {
		y := lp.r.yOf(t)
		xs = xs[:0]
		for _, n := range needs {
			if y >= n.s.A && y <= n.s.B {
				xs = append(xs, n.x)
			}
		}
		runs := lp.r.stretches(xs, y, w, 3*lp.pitch+500, lp.model.half)
		key = key[:0]
		for _, r := range runs {
			key = binary.AppendVarint(key, int64(math.Round(r.length)))
			key = binary.AppendVarint(key, int64(math.Round(r.room)))
		}
		key = binary.AppendVarint(key, int64(missed[min(t, len(missed)-1)]))
		c := known[string(key)]
		if c == nil {
			c = &rowClass{runs: runs, missed: missed[min(t, len(missed)-1)]}
			known[string(key)] = c
		}
		out[t] = c
	}
	return out
}

// stretches splits joists at xs, in order, into runs that one line at y can
// hold: no block between them, and no gap wider than `apart`.
func (r *region) stretches(xs []float64, y, w, apart, half float64) []run {
	var out []run
	for i := 0; i < len(xs); {
		room, ok := r.freeRun(xs[i], y-w, y+w)
		if !ok {
			i++
			continue
		}
		k := i
		for k+1 < len(xs) && xs[k+1]-xs[k] <= apart && xs[k+1] <= room.B {
			k++
		}
		a, b := xs[i]-half, xs[k]+half
		room.A, room.B = math.Max(room.A, a-pastDeck), math.Min(room.B, b+pastDeck)
		out = append(out, run{xs[k] - xs[i], math.Max(room.Len(), 0)})
		i = k + 1
	}
	return out
}

// pastDeck is how far a stringer may run past its last joist, mm.
const pastDeck = 150

// lineCost is what a line at grid height t costs when it carries a band of deck.
func (lp *linePlan) lineCost(t, level int) float64 {
	if float64(level-1)*lp.model.step >= lp.band {
		return math.Inf(1)
	}
	c := lp.rows[t]
	for len(c.cost) <= level {
		c.cost = append(c.cost, math.NaN())
	}
	if math.IsNaN(c.cost[level]) {
		sum := c.missed * lp.lose
		for _, r := range c.runs {
			sum += lp.model.cost(r, level, lp.lose)
		}
		c.cost[level] = sum
	}
	return c.cost[level]
}

// state is the cheapest way to a line: its cost without the line itself, and
// where it came from.
type state struct {
	cost  float64 // +Inf: there is no way
	from  int     // grid height of the lap line before; -1: this is the first line
	level int     // of that line's state
	bays  int
}

// search finds the cheapest lines. A state is a lap line and the band of deck
// that it carries from below; joists run from lap line to lap line over equal bays.
// The first and last lines are lap lines at which no joist is cut.
func (lp *linePlan) search() (pattern, bool) {
	n := lp.r.rows() + 1
	lo, hi := lp.r.rowOf(lp.r.box.Y0+1e-6), min(n-1, lp.r.rowOf(lp.r.box.Y1-1e-6)+1)
	longest := int(lp.k.joists[len(lp.k.joists)-1].len / rowStep)
	stride := lp.stride(hi - lo)
	states := make([][]state, n) // by level
	best, at := state{cost: math.Inf(1)}, -1
	var endLevel int
	lap := newJoistCosts(lp)
	var above []state // what a line costs with more above, by the level of the band from there
	for t := lo; t <= hi; t += stride {
		y := lp.r.yOf(t)
		// As the first line of all.
		start := lp.unserved(math.Inf(-1), y) + lp.uncarried(lo, t-int(lp.reach/rowStep))
		put(&states[t], lp.level(lp.past(y, false)), state{start, -1, 0, 0})
		// As the last.
		stop := lp.unserved(y, math.Inf(1)) + lp.uncarried(t+int(lp.reach/rowStep), hi)
		end := lp.level(lp.past(y, true))
		for w, s := range states[t] {
			if s.from >= 0 && s.cost < best.cost {
				if c := s.cost + lp.lineCost(t, w+end) + stop; c < best.cost {
					best, at, endLevel = state{cost: c}, t, w
				}
			}
		}
		// As one with more above: what it costs with each band from above.
		above = above[:0]
		with := func(w int) state {
			for len(above) <= w {
				above = append(above, state{cost: math.NaN()})
			}
			if b := above[w]; !math.IsNaN(b.cost) {
				return b
			}
			b := state{cost: math.Inf(1)}
			for v, s := range states[t] {
				if s.cost < b.cost {
					if c := s.cost + lp.lineCost(t, v+w); c < b.cost {
						b = state{cost: c, level: v}
					}
				}
			}
			above[w] = b
			return b
		}
		joists := lap.from(t, stride, min(hi, t+longest))
		for i, u := 0, t+8; u <= min(hi, t+longest); i, u = i+1, u+stride {
			for bays := 1; bays <= 4; bays++ {
				w, c, ok := lp.segment(t, u, bays)
				if !ok {
					continue
				}
				from := with(w)
				if total := from.cost + c + joists[i]; total < math.Inf(1) {
					put(&states[u], w, state{total, t, from.level, bays})
				}
			}
		}
	}
	if at < 0 {
		return pattern{}, false
	}
	return lp.trace(states, at, endLevel, best.cost), true
}

// stride is the step of lines in rows: every row, or every second one of a deep field.
func (lp *linePlan) stride(rows int) int {
	const deep = 600 // rows
	if rows > deep {
		return 2
	}
	return 1
}

func put(of *[]state, level int, s state) {
	for len(*of) <= level {
		*of = append(*of, state{cost: math.Inf(1), from: -1})
	}
	if s.cost < (*of)[level].cost-1e-9 {
		(*of)[level] = s
	}
}

// trace follows the states back to the first line.
func (lp *linePlan) trace(states [][]state, t, w int, cost float64) pattern {
	p := pattern{cost: cost}
	for {
		y := lp.r.yOf(t)
		p.lines = append(p.lines, lp.full(y, lp.laps(y)))
		s := states[t][w]
		if s.from < 0 {
			break
		}
		a := lp.r.yOf(s.from)
		for b := s.bays - 1; b >= 1; b-- {
			p.lines = append(p.lines, lp.full(a+float64(b)*(y-a)/float64(s.bays), false))
		}
		t, w = s.from, s.level
	}
	slices.Reverse(p.lines)
	return p
}

// laps reports whether any strip's joists lap at a line.
func (lp *linePlan) laps(y float64) bool {
	return slices.ContainsFunc(lp.strips, func(s strip) bool { return lp.cut(s, y) })
}

// past is the deck that a first or last line carries past itself.
func (lp *linePlan) past(y float64, upper bool) float64 {
	d := y - lp.r.box.Y0
	if upper {
		d = lp.r.box.Y1 - y
	}
	d = math.Min(math.Max(d, 0), lp.reach)
	light := math.Min(d, mmOf(lp.k.choice.Strip)) * (1 - lp.k.strip/lp.k.strength)
	return d - light
}

// missed counts, row by row, the joists that a line there could not hold because
// a block is in its way, or all of them where props could stand nowhere along it.
func missed(k *kit, r *region, cols []*column) []float64 {
	out := make([]float64, r.rows()+2)
	band := int(math.Ceil(mmOf(k.stringers[0].part.Width.V) / rowStep))
	stands := make([]bool, r.rows())
	for _, c := range cols {
		for _, s := range c.need {
			a, b := r.rowSpan(s.A, s.B)
			for t := a; t <= b; t++ {
				hit := false
				for i := max(0, t-band); i <= min(r.rows()-1, t+band) && !hit; i++ {
					_, hit = r.blocked[i].Around(c.x)
				}
				hit = hit || r.keptClear(plane.Point{c.x, r.yOf(t)})
				if hit {
					out[t]++
				} else if !stands[t] {
					stands[t] = r.stand == nil || plane.Within(r.stand, plane.Point{c.x, r.yOf(t)})
				}
			}
		}
	}
	for t, ok := range stands {
		if !ok {
			out[t] = float64(len(cols))
		}
	}
	return out
}

// end books the end of a need with its window relative to the end.
func (lp *linePlan) end(n int, y float64, w window, weight int) {
	const class = 4 * rowStep // windows that differ by less count as one, the narrower
	c := window{math.Ceil((w.lo-y)/class-1e-6) * class, math.Floor((w.hi-y)/class+1e-6) * class}
	var counts []int
	for _, w := range lp.windows {
		if w.window == c {
			counts = w.before
		}
	}
	if counts == nil {
		counts = make([]int, n+1)
		lp.windows = append(lp.windows, endClass{c, counts})
	}
	i := min(max(0, int(math.Round((y-lp.r.y0)/rowStep))), n-1)
	counts[i+1] += weight
}

// endWeight is how bad it is to leave a joist's end to a prop of its own: where
// no prop can stand only a line serves.
func (k *kit) endWeight(r *region, x, y float64) int {
	if r.stand != nil && !plane.Within(r.stand, plane.Point{x, r.box.Y0/2 + r.box.Y1/2}) && !plane.Within(r.stand, plane.Point{x, y}) {
		return 12
	}
	return 1
}

// endClass is joist ends with the same window relative to the end, counted
// before each grid height.
type endClass struct {
	window
	before []int
}

// unserved counts joist ends whose window lies strictly between two lines.
func (lp *linePlan) unserved(a, b float64) float64 {
	n := 0
	for _, c := range lp.windows {
		counts := c.before
		last := len(counts) - 1
		i, j := 0, last // no line below, no line above
		if !math.IsInf(a, -1) {
			i = min(max(int(math.Floor((a-c.lo-lp.r.y0)/rowStep+1e-6))+1, 0), last) // first end with end+lo > a
		}
		if !math.IsInf(b, 1) {
			j = min(max(int(math.Ceil((b-c.hi-lp.r.y0)/rowStep-1e-6)), 0), last) // ends with end+hi < b
		}
		if j > i {
			n += counts[j] - counts[i]
		}
	}
	return float64(n) * lp.lose
}

// endWindow is where the support nearest to a joist's end must be: on the slab
// below, and near enough for the overhang.
func (k *kit) endWindow(r *region, x float64, need plane.Span, pitch float64, upper bool) window {
	light := r.lightEnd(x, need, upper)
	// A long overhang would tip its joist while only it is loaded.
	reach := math.Min(k.overhang(pitch, light), math.Max(0.4*k.bay(1, pitch), light+350))
	in := 0.0
	// A joist that lies wholly in the strip hangs on stringers that reach out to
	// it; no prop stands under it anyway.
	if r.stand != nil && light > 0 && light < need.Len()-1 {
		in = math.Min(light+mmOf(k.choice.EdgeOfStand)+mmOf(k.stringers[0].part.Width.V)/2+25, reach)
	}
	if upper {
		return window{need.B - reach, need.B - in}
	}
	return window{need.A + in, need.A + reach}
}

// lightEnd is how much of a joist's end lies past the slab.
func (r *region) lightEnd(x float64, need plane.Span, upper bool) float64 {
	a, b := r.rowSpan(need.A, need.B)
	n := 0
	for i := a; i <= b; i++ {
		row := i
		if upper {
			row = b - (i - a)
		}
		if _, ok := r.heavy[row].Around(x); ok {
			break
		}
		n++
	}
	return math.Min(float64(n)*rowStep, need.Len())
}

// uncarried is the cost of joists between two grid heights that no line
// carries: a prop under each at every bay.
func (lp *linePlan) uncarried(a, b int) float64 {
	sum := 0.0
	for t := max(0, a); t < b && t < len(lp.active); t++ {
		sum += lp.active[t]
	}
	if lp.relaxed && sum > 0 {
		return math.Inf(1) // no deck of the class leaves joists without a line
	}
	return sum * rowStep / lp.bays[1] * lp.lose
}

func (lp *linePlan) full(y float64, lap bool) line {
	return line{y: round(y), x0: math.Inf(-1), x1: math.Inf(1), lap: lap}
}

// segment is one way to run joists from lap line t to lap line u over equal
// bays: the level that each of the two carries from it, what the lines between
// cost, and the joist ends in it that no line serves.
func (lp *linePlan) segment(t, u, bays int) (level int, cost float64, ok bool) {
	a, b := lp.r.yOf(t), lp.r.yOf(u)
	bay := (b - a) / float64(bays)
	if bay > lp.bays[min(bays, len(lp.bays)-1)] || bay < lp.k.lineApart() {
		return 0, 0, false
	}
	for i := 1; i <= bays; i++ {
		y := a + float64(i)*bay
		cost += lp.unserved(y-bay, y)
		if i < bays {
			cost += lp.lineCost(lp.r.rowOf(y+1e-6), lp.level(bay*lp.inner[bays]))
		}
	}
	return lp.level(bay * lp.atLap[bays] / 2), cost, cost < math.Inf(1)
}

// joistCosts gives what the joists between two lap lines cost.
type joistCosts struct {
	lp    *linePlan
	price []float64 // by length in grid steps, rounded up; the last is for what no stock covers
}

func newJoistCosts(lp *linePlan) *joistCosts {
	c := &joistCosts{lp: lp}
	st := lp.k.joists
	longest := st[len(st)-1]
	i := 0
	for n := 0; float64(n)*gridStep <= longest.len+1e-6; n++ {
		for st[i].len < float64(n)*gridStep-1e-6 {
			i++
		}
		cheapest := st[i].cost
		for _, s := range st[i:] {
			cheapest = math.Min(cheapest, s.cost)
		}
		c.price = append(c.price, cheapest)
	}
	return c
}

// of is the cost of a joist of a length; one too long for any stock is two, and
// a line more for it.
func (c *joistCosts) of(length float64) float64 {
	n := int(math.Ceil(length/gridStep - 1e-6))
	if n < len(c.price) {
		return c.price[max(n, 0)]
	}
	return 2*c.price[len(c.price)-1] + c.lp.lose
}

// from lists the cost of the joists from lap line t to each line from t+8 on.
func (c *joistCosts) from(t, stride, last int) []float64 {
	lp := c.lp
	y, half := lp.r.yOf(t), lp.lap/2
	n := 0
	if last >= t+8 {
		n = (last-t-8)/stride + 1
	}
	out := make([]float64, n)
	step := rowStep * float64(stride)
	y0 := lp.r.yOf(t + 8)
	// at is the first index whose line lies at or above a height.
	at := func(h float64) int { return min(n, max(0, int(math.Ceil((h-y0)/step-1e-9)))) }
	through := make([]float64, n+1) // strips that lap at both lines, by differences
	done := make([]float64, n+1)    // cost of joists that end for good, by differences
	top := y0 + float64(n)*step
	for _, s := range lp.strips {
		if s.a+lp.reach >= top {
			break
		}
		if y >= s.b-lp.reach && y > s.a { // its joists ended before
			continue
		}
		ends := at(s.b - lp.reach) // from here on the strip's last joist ends at its end
		if lp.cut(s, y) {
			through[0] += s.count
			through[ends] -= s.count
			if ends < n {
				done[ends] += s.count * c.of(s.b-y+half)
			}
			continue
		}
		first := at(math.Nextafter(s.a+lp.reach, math.Inf(1))) // a line this near to its start is no lap
		for i := first; i < ends; i++ {
			out[i] += s.count * c.of(y0+float64(i)*step+half-s.a)
		}
		if m := max(first, ends); m < n {
			done[m] += s.count * c.of(s.b-s.a)
		}
	}
	count, ended := 0.0, 0.0
	for i := range out {
		count += through[i]
		ended += done[i]
		u := y0 + float64(i)*step
		out[i] += ended
		if count > 0 {
			out[i] += count * (c.of(u-y+2*half) + lp.lapTrouble(u, half))
		}
	}
	return out
}

// lineApart is how far lines lie apart at least: their stringers may lap, half a
// width to either side of each.
func (k *kit) lineApart() float64 { return 2*mmOf(k.stringers[0].part.Width.V) + 20 }

// lapTrouble is the extra per joist when no boundary of sheet rows falls into
// the lap: sheet joints there need a second joist.
func (lp *linePlan) lapTrouble(y, tail float64) float64 {
	if tail >= lp.rowH || lp.relaxed {
		return 0
	}
	off := math.Mod(y-lp.rowY, lp.rowH)
	off = math.Min(math.Abs(off), lp.rowH-math.Abs(off))
	if off <= tail-20 {
		return 0
	}
	return lp.k.joists[len(lp.k.joists)-1].cost * lp.pitch / mmOf(lp.k.sheet.Length.V)
}
