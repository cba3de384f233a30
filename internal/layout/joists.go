package layout

import (
	"fmt"
	"math"
	"sort"

	"shoreward/internal/deck"
	"shoreward/internal/member"
	"shoreward/internal/plane"
)

// support is something that holds up a joist column at y.
type support struct {
	y    float64
	line int // index of the line, or -1: a prop straight under the joist
	lap  bool
}

// joist is one placed joist in the field's frame.
type joist struct {
	x, y0, y1 float64 // centreline
	stock     *stock
	sawn      bool
	supports  []support
	column    int
	share     float64 // of its pitch that sheets hand it, 0 = not known yet
}

// demand is a support that no base line gives, at a column.
type demand struct {
	col  int
	need int // which need of the column
	win  plane.Span
	at   float64 // preferred place
}

// field is a laid field in its frame.
type field struct {
	k         *kit
	r         *region
	p         pitchPlan
	cols      []*column
	lines     []line
	joists    []joist
	beams     []stringer
	props     []prop
	sheets    []sheet
	lost      []string // what could not be done
	solver    *member.Solver
	byCol     map[int][]int // joists by column
	stands    map[float64]plane.Spans
	name      string // of the field, once it is placed
	added     int    // joists added by repairs
	placing   bool   // false while local lines are still being looked for
	forced    []int  // lines where joists must lap although none was planned
	laid      []laid // runs of stringers
	waysKnown map[string][]way
	kept      *deck.Pattern // where it is not that of the lines, which hold old ones of repairs
	lapsOff   int           // lap lines set before those of an earlier pattern: they do not turn its tracks
	turns     []line        // the lines of an earlier pattern, whose laps alone turn the tracks; nil: all do
}

// layJoists turns columns and lines into joists: first to learn which ends no
// line serves, then again with local lines for those that can share one.
func (f *field) layJoists() {
	_, asks := f.carry(false)
	f.lines = append(f.lines, f.localLines(asks)...)
	for range 4 { // a joist too long for any stock makes another line a lap line
		f.forced = nil
		f.joists, _ = f.carry(true)
		if len(f.forced) == 0 {
			return
		}
		for _, l := range f.forced {
			f.lines[l].lap = true
		}
	}
}

func (f *field) carry(place bool) ([]joist, []demand) {
	f.placing = place
	var out []joist
	var asks []demand
	for ci, c := range f.cols {
		for ni, need := range c.need {
			free, ok := c.free.Around((need.A + need.B) / 2)
			if !ok {
				continue
			}
			// The column's other joists keep their places.
			if ni > 0 {
				free.A = math.Max(free.A, (c.need[ni-1].B+need.A)/2)
			}
			if ni < len(c.need)-1 {
				free.B = math.Min(free.B, (need.B+c.need[ni+1].A)/2)
			}
			sup, ds := f.supports(c, ci, ni, need, free)
			asks = append(asks, ds...)
			if !place {
				continue
			}
			for _, d := range ds {
				if len(sup) >= 2 && !f.r.canStand(c.x, d.at) {
					continue // no prop can stand there: what the lines give must do
				}
				sup = append(sup, support{y: d.at, line: -1})
			}
			sort.Slice(sup, func(i, j int) bool { return sup[i].y < sup[j].y })
			out = append(out, f.pieces(c, ci, need, free, sup)...)
		}
	}
	return out, asks
}

// bearing is the least distance from a support to the end of a joist, mm.
func (f *field) bearing() float64 { return mmOf(f.k.stringers[0].part.Width.V)/2 + 30 }

// serves reports whether a line can hold a joist at x: it may lie there, and a
// stringer of some use fits.
func (f *field) serves(l line, x float64) bool {
	if x < l.x0 || x > l.x1 {
		return false
	}
	w := mmOf(f.k.stringers[0].part.Width.V)
	run, ok := f.r.freeRun(x, l.y-w, l.y+w)
	if !ok {
		return false
	}
	// A stringer may run on under the deck, and only a little past its border.
	const past = 900
	if d, ok := f.deckAt(x, l.y); ok {
		run.A, run.B = math.Max(run.A, d.A-past), math.Min(run.B, d.B+past)
	} else {
		run.A, run.B = math.Max(run.A, x-past), math.Min(run.B, x+past)
	}
	if run.Len() < f.k.stringers[0].len && (!f.k.sys.CutToLength || run.Len() < 500) {
		return false
	}
	// Props must be able to stand near enough.
	const reach = 1500
	near := plane.Overlap(f.standing(l.y), plane.Spans{{A: math.Max(run.A, x-reach), B: math.Min(run.B, x+reach)}})
	return near.Total() > 0
}

// standing is where along a line props can stand.
func (f *field) standing(y float64) plane.Spans {
	if s, ok := f.stands[y]; ok {
		return s
	}
	if f.stands == nil {
		f.stands = map[float64]plane.Spans{}
	}
	const step = 50
	var out plane.Spans
	for x := f.r.box.X0; x <= f.r.box.X1; x += step {
		if f.r.canStand(x, y) {
			out = append(out, plane.Span{A: x - step/2, B: x + step/2})
		}
	}
	out = plane.Merge(out, 1)
	f.stands[y] = out
	return out
}

// supports lists what carries a need of a column and what is still wanted.
func (f *field) supports(c *column, ci, ni int, need, free plane.Span) ([]support, []demand) {
	e := f.bearing()
	var all []support // usable lines in reach of the free interval
	for i, l := range f.lines {
		if l.y >= free.A+e && l.y <= free.B-e && f.serves(l, c.x) {
			all = append(all, support{l.y, i, l.lap})
		}
	}
	sort.Slice(all, func(i, j int) bool { return all[i].y < all[j].y })
	bay := f.k.bay(1, f.p.pitch)
	if free.Len() < short { // a short place between blocks: a prop at each end, unless lines serve
		return f.shortPlace(c, ci, ni, free, e, all)
	}
	wa, wb := f.k.endWindow(f.r, c.x, need, f.p.pitch, false), f.k.endWindow(f.r, c.x, need, f.p.pitch, true)
	first := sort.Search(len(all), func(i int) bool { return all[i].y >= wa.lo-1 })
	last := sort.Search(len(all), func(i int) bool { return all[i].y > wb.hi+1 }) - 1
	inside := func(y float64) bool { // the deck goes on there, so the line will exist
		i := f.r.rowOf(y)
		if i < 0 || i >= f.r.rows() {
			return false
		}
		_, ok := f.r.cover[i].Around(c.x)
		return ok
	}
	var asks []demand
	ask := func(lo, hi, at float64) {
		lo, hi = math.Max(lo, free.A+e), math.Min(hi, free.B-e)
		if lo > hi {
			lo, hi = (lo+hi)/2, (lo+hi)/2
		}
		asks = append(asks, demand{ci, ni, plane.Span{A: lo, B: hi}, f.standAt(c.x, lo, hi, math.Min(hi, math.Max(lo, at)))})
	}
	startOK := first < len(all) && all[first].y <= wa.hi+1
	endOK := last >= 0 && last < len(all) && all[last].y >= wb.lo-1
	if !startOK && first > 0 && inside(all[first-1].y) && (first >= len(all) || all[first].y-all[first-1].y <= bay) {
		first--
		startOK = true
	}
	if !endOK && last+1 < len(all) && inside(all[last+1].y) && (last < 0 || all[last+1].y-all[last].y <= bay) {
		last++
		endOK = true
	}
	if startOK && endOK && first > last && last >= 0 {
		first, last = last, first // a short need between two lines rests on both
	}
	// One line alone: the next line on either side, if it is within a bay and
	// under the deck, is worth more than a prop of its own.
	if first == last && startOK && endOK {
		up, down := math.Inf(1), math.Inf(1)
		if last+1 < len(all) && inside(all[last+1].y) {
			up = all[last+1].y - all[last].y
		}
		if first > 0 && inside(all[first-1].y) {
			down = all[first].y - all[first-1].y
		}
		if math.Min(up, down) <= bay {
			if up <= down {
				last++
			} else {
				first--
			}
		}
	}
	var sup []support
	if first <= last {
		sup = append(sup, all[first:last+1]...)
	}
	if need.Len() < 400 && (!startOK || !endOK) && len(sup) == 1 && startOK != endOK {
		// A short joist over one line only needs one more support beyond its need.
		startOK, endOK = true, true
	}
	// Where no prop can stand, the joist reaches out from the nearest line; the
	// audit tells whether it may.
	if !startOK {
		if at := need.A + 0.6*(wa.hi-need.A); f.placing && first <= last && !f.canStandIn(c.x, wa, at) {
			startOK = true
		} else {
			ask(wa.lo, wa.hi, at)
		}
	}
	if !endOK {
		if at := need.B - 0.6*(need.B-wb.lo); f.placing && first <= last && !f.canStandIn(c.x, wb, at) {
			endOK = true
		} else {
			ask(wb.lo, wb.hi, at)
		}
	}
	// Two supports at least, and no bay longer than a joist may span.
	ys := make([]float64, 0, len(sup)+len(asks))
	for _, s := range sup {
		ys = append(ys, s.y)
	}
	for _, d := range asks {
		ys = append(ys, d.at)
	}
	sort.Float64s(ys)
	if len(ys) == 2 && ys[1]-ys[0] < 200 {
		ys = ys[:1]
		if len(asks) > 0 {
			asks = asks[:len(asks)-1]
		}
	}
	if len(ys) == 1 {
		y := ys[0]
		up, down := free.B-e-y, y-(free.A+e)
		step := math.Min(0.6*bay, 900)
		if up >= down {
			ask(y+math.Min(300, up), y+math.Min(bay, up), y+math.Min(step, up))
		} else {
			ask(y-math.Min(bay, down), y-math.Min(300, down), y-math.Min(step, down))
		}
	}
	for i := 1; i < len(ys); i++ {
		if gap := ys[i] - ys[i-1]; gap > bay*1.001 {
			n := math.Ceil(gap / bay)
			for j := 1.0; j < n; j++ {
				at := ys[i-1] + gap*j/n
				ask(at-gap/n/4, at+gap/n/4, at)
			}
		}
	}
	return sup, asks
}

// shortPlace carries a joist in a short place between blocks.
func (f *field) shortPlace(c *column, ci, ni int, free plane.Span, e float64, all []support) ([]support, []demand) {
	if n := len(all); n >= 2 && all[n-1].y-all[0].y > 0.4*free.Len() {
		return all, nil
	}
	if len(all) == 0 && free.Len() < 2*e+nearest {
		return nil, nil // no room for two props: the sheet spans along it or fails
	}
	var asks []demand
	for _, at := range []float64{free.A + e, free.B - e} {
		asks = append(asks, demand{ci, ni, plane.Span{A: at, B: at}, f.standAt(c.x, math.Max(free.A+40, at-100), math.Min(free.B-40, at+100), at)})
	}
	return nil, asks
}

// canStandIn reports whether a prop can stand at a column within a window.
func (f *field) canStandIn(x float64, w window, at float64) bool {
	y := f.standAt(x, w.lo, w.hi, at)
	return f.r.canStand(x, y)
}

// standAt moves a wanted place to where a prop can stand, within lo..hi.
func (f *field) standAt(x, lo, hi, at float64) float64 {
	for d := 0.0; d <= hi-lo; d += rowStep {
		for _, y := range []float64{at + d, at - d} {
			if y >= lo && y <= hi && f.r.canStand(x, y) {
				return y
			}
		}
	}
	return at
}

// localLines lets four or more neighbouring joist ends that no base line
// serves share a short stringer line of their own.
func (f *field) localLines(asks []demand) []line {
	sort.SliceStable(asks, func(i, j int) bool { return asks[i].col < asks[j].col })
	used := make([]bool, len(asks))
	var out []line
	for i := range asks {
		if used[i] {
			continue
		}
		group := []int{i}
		win := asks[i].win
		lastX := f.cols[asks[i].col].x
		for j := i + 1; j < len(asks); j++ {
			x := f.cols[asks[j].col].x
			if x-lastX > 1.6*f.p.pitch {
				break
			}
			w := plane.Span{A: math.Max(win.A, asks[j].win.A), B: math.Min(win.B, asks[j].win.B)}
			if used[j] || w.B < w.A || asks[j].col == asks[group[len(group)-1]].col {
				continue
			}
			group, win, lastX = append(group, j), w, x
		}
		if len(group) < 4 {
			continue
		}
		x0, x1 := f.cols[asks[i].col].x, lastX
		y := math.Min(math.Max(asks[i].at, win.A), win.B)
		if !f.clearBand(x0, x1, y) {
			continue
		}
		for _, j := range group {
			used[j] = true
		}
		out = append(out, line{y: round(y), x0: x0 - 1, x1: x1 + 1})
	}
	return out
}

// clearBand reports whether a stringer can run from x0 to x1 at y and is not on
// top of another line.
func (f *field) clearBand(x0, x1, y float64) bool {
	w := mmOf(f.k.stringers[0].part.Width.V)
	for _, l := range f.lines {
		if math.Abs(l.y-y) < f.k.lineApart() && l.x0 < x1 && l.x1 > x0 {
			return false
		}
	}
	return f.r.free(x0, x1, y-w, y+w)
}

// pieces cuts a carried need into joists that lap at lap lines.
func (f *field) pieces(c *column, ci int, need, free plane.Span, sup []support) []joist {
	if len(sup) < 2 {
		f.lost = append(f.lost, fmt.Sprintf("a joist without two supports at x %.0f, y %.0f to %.0f (room %.0f to %.0f)", c.x, need.A, need.B, free.A, free.B))
		return nil
	}
	longest := f.k.joists[len(f.k.joists)-1].len
	lapMin := mmOf(f.k.choice.LapMin)
	e := f.bearing()
	n := len(sup)
	lowEnd, highEnd := math.Min(need.A, sup[0].y-e), math.Max(need.B, sup[n-1].y+e)
	if c.filler && highEnd-lowEnd > longest {
		return f.endToEnd(c, ci, lowEnd, highEnd, free, sup)
	}
	stub := f.k.stub(f.p.pitch)
	var cuts []int // supports where pieces lap
	start := 0
	for i := 1; i < n-1; i++ {
		left := sup[start].y - lapMin/2
		if start == 0 {
			left = lowEnd
		}
		if sup[i].lap && !c.filler && sup[i].y > need.A+stub && sup[i].y < need.B-stub {
			cuts = append(cuts, i)
			start = i
			continue
		}
		// Not a lap line, but the piece would be too long for any stock otherwise.
		right := sup[i+1].y + lapMin/2
		if i+1 == n-1 {
			right = highEnd
		}
		if right-left > longest {
			if l := sup[i].line; l >= 0 && !c.filler {
				f.forced = append(f.forced, l)
			}
			cuts = append(cuts, i)
			start = i
		}
	}
	var out []joist
	bounds := append(append([]int{0}, cuts...), n-1)
	for b := 1; b < len(bounds); b++ {
		i, k := bounds[b-1], bounds[b]
		lo, hi := sup[i].y-lapMin/2, sup[k].y+lapMin/2
		// Laps may be long, but every other joist lies on the same side.
		minA, maxB := sup[i].y, sup[k].y
		if b > 1 {
			minA -= 0.45 * (sup[i].y - sup[bounds[b-2]].y)
		}
		if b < len(bounds)-1 {
			maxB += 0.45 * (sup[bounds[b+1]].y - sup[k].y)
		}
		if b == 1 {
			lo, minA = lowEnd, math.Max(free.A, lowEnd-150)
		}
		if b == len(bounds)-1 {
			hi, maxB = highEnd, math.Min(free.B, highEnd+150)
		}
		minA, maxB = math.Max(minA, free.A), math.Min(maxB, free.B)
		j := f.fit(lo, hi, minA, maxB)
		j.x, j.column, j.supports = c.x, ci, sup[i:k+1]
		out = append(out, j)
	}
	f.tracks(c, out, sup, bounds)
	return out
}

// endToEnd lays a long filler, which has no room beside it for laps, as joists
// that meet within bays: each on two supports of its own at least.
func (f *field) endToEnd(c *column, ci int, lo, hi float64, free plane.Span, sup []support) []joist {
	const gap = 10
	e := f.bearing()
	var out []joist
	for start := 0; start < len(sup)-1; {
		var best *stock
		next := -1
		for i := range f.k.joists {
			s := &f.k.joists[i]
			end := lo + s.len
			k := sort.Search(len(sup), func(i int) bool { return sup[i].y > end }) - 1
			if k-start < 1 || len(sup)-(k+1) < 2 || end < sup[k].y+e || end > sup[k+1].y-e-gap {
				continue
			}
			best, next = s, k+1
		}
		if rest := hi - lo; rest <= f.k.joists[len(f.k.joists)-1].len || best == nil {
			j := f.fit(lo, hi, math.Max(free.A, lo), math.Min(free.B, hi+150))
			j.x, j.column, j.supports = c.x, ci, sup[start:]
			return append(out, j)
		}
		out = append(out, joist{x: c.x, y0: lo, y1: lo + best.len, stock: best, column: ci, supports: sup[start:next]})
		lo, start = lo+best.len+gap, next
	}
	return out
}

// fit picks the shortest stock that covers lo..hi inside minA..maxB, or saws one.
func (f *field) fit(lo, hi, minA, maxB float64) joist {
	need := hi - lo
	for i := range f.k.joists {
		s := &f.k.joists[i]
		if s.len < need-0.5 {
			continue
		}
		if s.len <= maxB-minA {
			// Spare length goes to both sides, as far as there is room.
			spare := s.len - need
			a := lo - spare*roomShare(lo-minA, maxB-hi)
			a = math.Max(minA, math.Min(a, maxB-s.len))
			return joist{y0: a, y1: a + s.len, stock: s}
		}
		a, b := lo, hi
		return joist{y0: a, y1: b, stock: s, sawn: true}
	}
	s := &f.k.joists[len(f.k.joists)-1]
	f.lost = append(f.lost, "a joist longer than any stock length")
	a := lo + (need-s.len)/2 // short at both ends: sheets may reach past them, and the proof tells whether they do
	return joist{y0: a, y1: a + s.len, stock: s}
}

// roomShare is how much of the spare length goes to the low side.
func roomShare(low, high float64) float64 {
	if low+high <= 0 {
		return 0.5
	}
	return low / (low + high)
}

// tracks shifts lapping joists to either side of their column, turn about, so
// that they lie side by side at laps. The side follows the lap line, so that
// neighbouring columns shift alike and sheet joints stay in line.
func (f *field) tracks(c *column, js []joist, sup []support, bounds []int) {
	w := mmOf(f.k.joists[0].part.Width.V) / 2
	if c.filler {
		if len(js) > 1 {
			side := 2 * w
			if !f.r.free(c.x+w, c.x+3*w, js[0].y0, js[len(js)-1].y1) || f.crowded(c, c.x+side) {
				side = -side
			}
			for i := range js {
				if i%2 == 1 {
					js[i].x += side
				}
			}
		}
		return
	}
	for i := range js {
		js[i].x += w * f.side((js[i].supports[0].y+js[i].supports[len(js[i].supports)-1].y)/2)
	}
	for i := 1; i < len(js); i++ { // an odd cut off the lap lines: keep pieces apart
		if math.Abs(js[i].x-js[i-1].x) < 2*w-1 {
			if math.Abs(js[i-1].x-c.x) < 1 {
				js[i-1].x = c.x - w
			}
			js[i].x = c.x - (js[i-1].x - c.x)
		}
	}
}

// crowded reports whether another column's joists may lie at x.
func (f *field) crowded(c *column, x float64) bool {
	w := mmOf(f.k.joists[0].part.Width.V)
	for _, o := range f.cols {
		if o != c && math.Abs(o.x-x) < 1.5*w-0.01 {
			return true
		}
	}
	return false
}

// side is the track of joists between lap lines at y: -1 or +1, or 0 in a field without laps.
func (f *field) side(y float64) float64 {
	n, laps := f.lapsOff, 0
	lines := f.lines
	if f.turns != nil {
		lines = f.turns
	}
	for _, l := range lines {
		if l.lap {
			laps++
			if l.y <= y {
				n++
			}
		}
	}
	if laps == 0 {
		return 0
	}
	if n%2 == 0 {
		return -1
	}
	return 1
}
