package layout

import (
	"math"

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

// linePlan searches the stringer lines by dynamic programming over their
// positions on the row grid.
type linePlan struct {
	k       *kit
	r       *region
	pitch   float64
	rowY    float64 // a boundary between rows of sheets
	rowH    float64
	bays    []float64 // longest bay by number of bays under one joist
	reach   float64   // longest overhang of a joist, mm
	band    float64   // widest band that a line may carry, mm
	lose    float64   // cost of one joist end that no line serves
	active  []float64 // joists crossing each grid height
	missed  []float64 // of those, the ones that a line there could not hold
	windows []endClass
	rates   lineRates
	spacing []float64 // longest prop spacing by band of deck in steps of the grid
}

func newLinePlan(k *kit, r *region, cols []*column, p pitchPlan) *linePlan {
	lp := &linePlan{k: k, r: r, pitch: p.pitch, rowY: r.box.Y0, rowH: mmOf(k.sheet.Width.V), rates: newLineRates(k)}
	lp.bays = []float64{0}
	for m := 1; m < len(coefficients); m++ {
		lp.bays = append(lp.bays, k.bay(m, p.pitch))
	}
	lp.band = math.Inf(1)
	if r.stand != nil && k.choice.Strip > 0 {
		lp.band = math.Max(k.edgeBand(), 400)
	}
	lp.reach = math.Max(0.4*lp.bays[1], mmOf(k.choice.Strip)+350)
	// A prop straight under a joist is set alone and held by nothing along its
	// line: it counts as three.
	lp.lose = 3*(k.cost.piece(k.prop)+k.cost.piece(k.under)) + k.cost.grading()
	n := r.rows() + 1
	lp.active = make([]float64, n+1)
	for _, c := range cols {
		for _, s := range c.need {
			a, b := r.rowSpan(s.A, s.B)
			lp.active[a]++
			lp.active[b+1]--
			lp.end(n, s.A, k.endWindow(r, c.x, s, p.pitch, false), k.endWeight(r, c.x, s.A))
			lp.end(n, s.B, k.endWindow(r, c.x, s, p.pitch, true), k.endWeight(r, c.x, s.B))
		}
	}
	for i := 1; i <= n; i++ {
		lp.active[i] += lp.active[i-1]
	}
	lp.missed = missed(k, r, cols)
	for _, w := range lp.windows {
		for i := 1; i < len(w.before); i++ {
			w.before[i] += w.before[i-1]
		}
	}
	return lp
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

// lineRates are what a line costs by its length: stock, props, grading.
type lineRates struct{ stock, prop, grade, graded float64 }

func newLineRates(k *kit) lineRates {
	r := lineRates{stock: math.Inf(1), prop: k.cost.piece(k.prop) + k.cost.piece(k.inter), grade: k.cost.grading()}
	for _, s := range k.stringers { // the cheapest stock per length it adds
		if gain := s.len - mmOf(k.choice.LapMin); gain > 0 {
			r.stock = math.Min(r.stock, s.cost/gain)
		}
	}
	if k.sys.InterHead != "" {
		r.graded = mmOf(k.sys.GradeSpacing)
	}
	if k.sys.Tripod != "" {
		r.grade += k.cost.time(k.cost.rates.PieceTime)
	}
	return r
}

// lineCost is what a line at y costs when it carries a band of deck.
func (lp *linePlan) lineCost(y, band float64) float64 {
	t := min(max(0, lp.r.rowOf(y+1e-6)), len(lp.active)-1)
	length := lp.active[t] * lp.pitch // mm of line
	if length == 0 {
		return 0
	}
	spacing := lp.propSpacing(band)
	const ends = 2 // a run ends with a prop of its own
	r := lp.rates
	return length*(r.stock+r.prop/spacing+r.grade/math.Max(r.graded, spacing)) + ends*r.prop + lp.missed[t]*lp.lose
}

// propSpacing remembers the kit's, band by band of the grid, on the safe side.
func (lp *linePlan) propSpacing(band float64) float64 {
	key := int(math.Ceil(band / rowStep))
	for len(lp.spacing) <= key {
		lp.spacing = append(lp.spacing, 0)
	}
	if lp.spacing[key] == 0 {
		lp.spacing[key] = math.Max(200, lp.k.propSpacing(float64(key)*rowStep, lp.pitch))
	}
	return lp.spacing[key]
}

// search finds the cheapest lines. Its states are lap lines; first and last
// lines differ from the rest in what the joists reach past them: the end of the
// deck, not half a lap.
func (lp *linePlan) search() (pattern, bool) {
	n := lp.r.rows() + 1
	lo, hi := lp.r.rowOf(lp.r.box.Y0+1e-6), min(n-1, lp.r.rowOf(lp.r.box.Y1-1e-6)+1)
	inf := math.Inf(1)
	half := mmOf(lp.k.choice.LapMin) / 2
	// start[t]: a first line at t; lap[t]: joists lap at t; stop[t]: the last line.
	type state struct {
		cost float64
		from int
		bays int
		head bool // from is a first line
	}
	lap, stop := make([]state, n), make([]state, n)
	for t := range lap {
		lap[t], stop[t] = state{cost: inf, from: -1}, state{cost: inf, from: -1}
	}
	longest := lp.k.joists[len(lp.k.joists)-1].len
	reach := int(longest / rowStep)
	const stride = 2 // lines are placed on every second row
	for t := lo; t <= hi; t += stride {
		y := lp.r.yOf(t)
		start := lp.unserved(math.Inf(-1), y) + lp.uncarried(lo, t-int(lp.reach/rowStep)) + lp.lineCost(y, lp.bays[1]/2)
		for u := t + 8; u <= min(hi, t+reach); u += stride {
			b := lp.r.yOf(u)
			for _, head := range []bool{true, false} {
				from, before := lap[t].cost, half
				if head {
					from, before = start, lp.endReach(y-lp.r.box.Y0)
				}
				if from == inf {
					continue
				}
				if c, m := lp.segment(y, b, before, half); from+c < lap[u].cost {
					lap[u] = state{from + c, t, m, head}
				}
				if c, m := lp.segment(y, b, before, lp.endReach(lp.r.box.Y1-b)); from+c < stop[u].cost {
					stop[u] = state{from + c, t, m, head}
				}
			}
		}
	}
	end, at := inf, -1
	for t := lo; t <= hi; t++ {
		if stop[t].cost < inf {
			if c := stop[t].cost + lp.unserved(lp.r.yOf(t), inf) + lp.uncarried(t+int(lp.reach/rowStep), hi); c < end {
				end, at = c, t
			}
		}
	}
	if at < 0 {
		return pattern{}, false
	}
	p := pattern{cost: end}
	p.lines = append(p.lines, lp.full(lp.r.yOf(at), false))
	for s, t := stop[at], at; ; {
		y := lp.r.yOf(t)
		step := (y - lp.r.yOf(s.from)) / float64(s.bays)
		for b := s.bays - 1; b >= 1; b-- {
			p.lines = append(p.lines, lp.full(lp.r.yOf(s.from)+float64(b)*step, false))
		}
		p.lines = append(p.lines, lp.full(lp.r.yOf(s.from), !s.head))
		if s.head {
			break
		}
		t, s = s.from, lap[s.from]
	}
	for i, j := 0, len(p.lines)-1; i < j; i, j = i+1, j-1 {
		p.lines[i], p.lines[j] = p.lines[j], p.lines[i]
	}
	return p, true
}

// uncarried is the cost of joists between two grid heights that no line
// carries: a prop under each at every bay.
func (lp *linePlan) uncarried(a, b int) float64 {
	sum := 0.0
	for t := max(0, a); t < b && t < len(lp.active); t++ {
		sum += lp.active[t]
	}
	return sum * rowStep / lp.bays[1] * lp.lose
}

// endReach is what joists reach past a first or last line, when the deck goes
// on for that much there: no more than an overhang may be.
func (lp *linePlan) endReach(past float64) float64 {
	return math.Max(60, math.Min(past, lp.reach))
}

func (lp *linePlan) full(y float64, lap bool) line {
	return line{y: round(y), x0: math.Inf(-1), x1: math.Inf(1), lap: lap}
}

// What a line carries of a bay's width when joists run over so many bays from
// lap to lap: at the laps and between (equal spans, all loaded, by statics).
var (
	lapShare   = []float64{1: 1, 2: 0.75, 3: 0.8, 4: 11.0 / 14}
	innerShare = []float64{1: 1, 2: 1.25, 3: 1.1, 4: 8.0 / 7}
)

// segment is the cheapest way to run joists from lap line a to lap line b: the
// number of equal bays, the lines between, the joists, and b itself.
func (lp *linePlan) segment(a, b, before, after float64) (float64, int) {
	dist := b - a
	var piece *stock
	for i := range lp.k.joists {
		if s := &lp.k.joists[i]; s.len >= dist+before+after {
			piece = s
			break
		}
	}
	if piece == nil {
		return math.Inf(1), 0
	}
	t := min(max(0, lp.r.rowOf((a+b)/2)), len(lp.active)-1)
	joists := lp.active[t] * (piece.cost + lp.lapTrouble(b, (piece.len-dist-before-after)/2+after))
	bestCost, bestBays := math.Inf(1), 0
	for m := 1; m <= 4; m++ {
		bay := dist / float64(m)
		if bay > lp.bays[min(m, len(lp.bays)-1)] {
			continue
		}
		if bay < lp.k.lineApart() {
			break
		}
		c := joists
		for i := 1; i <= m; i++ {
			y := a + float64(i)*bay
			share := innerShare[m]
			if i == m {
				share = lapShare[m]
			}
			if bay*share > lp.band {
				c = math.Inf(1)
				break
			}
			c += lp.lineCost(y, bay*share) + lp.unserved(y-bay, y)
		}
		if c < bestCost {
			bestCost, bestBays = c, m
		}
		if bestBays > 0 && m >= bestBays+1 {
			break
		}
	}
	return bestCost, bestBays
}

// lineApart is how far lines lie apart at least: their stringers may lap, half a
// width to either side of each.
func (k *kit) lineApart() float64 { return 2*mmOf(k.stringers[0].part.Width.V) + 20 }

// lapTrouble is the extra per joist when no boundary of sheet rows falls into
// the lap: sheet joints there need a second joist.
func (lp *linePlan) lapTrouble(y, tail float64) float64 {
	if tail >= lp.rowH {
		return 0
	}
	off := math.Mod(y-lp.rowY, lp.rowH)
	off = math.Min(math.Abs(off), lp.rowH-math.Abs(off))
	if off <= tail-20 {
		return 0
	}
	return lp.k.joists[len(lp.k.joists)-1].cost * lp.pitch / mmOf(lp.k.sheet.Length.V)
}
