package layout

import (
	"math"
	"sort"

	"shoreward/internal/beam"
	"shoreward/internal/member"
	"shoreward/internal/plane"
)

// stringer is one placed stringer in the field's frame.
type stringer struct {
	line   int
	y      float64 // centreline
	x0, x1 float64
	stock  *stock
	sawn   bool
	old    int  // its place in an earlier deck, where it stays from there
	mended bool // a repair had laid it there
}

// prop is one placed prop in the field's frame.
type prop struct {
	line       int // -1: straight under a joist
	x, y       float64
	grade      bool
	underJoist bool
	two        bool // under two joists that lap
	column     int  // of the joist
}

// contact is a joist resting on a line.
type contact struct {
	x, load float64 // mm, N
	joist   int
}

// layStringers covers every line where joists rest on it and props it.
func (f *field) layStringers() {
	f.shares()
	on := make([][]contact, len(f.lines))
	for ji, j := range f.joists {
		loads := f.reactions(j)
		for si, s := range j.supports {
			load := loads[si]
			if s.line < 0 {
				f.propJoist(ji, s.y)
				continue
			}
			on[s.line] = append(on[s.line], contact{j.x, load, ji})
		}
	}
	for li := range f.lines {
		sort.Slice(on[li], func(a, b int) bool { return on[li][a].x < on[li][b].x })
		runs := f.runs(li, on[li])
		within := plane.Span{A: math.Inf(-1), B: math.Inf(1)} // what its neighbours leave to a run
		for k, run := range runs {
			within.B = math.Inf(1)
			if k+1 < len(runs) {
				within.B = runs[k+1][0].x - f.pastJoist() - runGap
			}
			if end, ok := f.layRun(li, run, within); ok {
				within.A = end + runGap
			}
		}
	}
}

// nearest is how near two props under one member may stand, mm.
const nearest = 150.0

// propJoist puts a prop straight under a joist, one for two that lap there.
func (f *field) propJoist(ji int, y float64) {
	j := f.joists[ji]
	for i := range f.props {
		p := &f.props[i]
		if p.underJoist && math.Abs(p.x-j.x) < 1 && math.Abs(p.y-y) < 90 {
			return // the joist has one there
		}
		if p.underJoist && p.column == j.column && math.Abs(p.y-y) < 1 && math.Abs(p.x-j.x) > 1 {
			p.x, p.two = (p.x+j.x)/2, true
			return
		}
		w := mmOf(f.k.joists[0].part.Width.V)
		if d := math.Abs(p.x - j.x); p.underJoist && !p.two && d > w-3 && d < w+5 && math.Abs(p.y-y) < 150 {
			p.x, p.two = (p.x+j.x)/2, true // joists side by side share a head for two
			return
		} else if p.underJoist && d < 150 && math.Abs(p.y-y) < 150 && y+200 < j.y1-60 {
			y = p.y + 200
		}
	}
	f.props = append(f.props, prop{line: -1, x: j.x, y: y, underJoist: true, column: j.column})
}

// reactions of a joist on its supports, the worst over patterns of placing, N.
// The tail past a lap carries nothing; in the working strip the load is less.
func (f *field) reactions(j joist) []float64 {
	n := len(j.supports)
	a, b := j.y0, j.y1
	if j.supports[0].lap {
		a = j.supports[0].y
	}
	if j.supports[n-1].lap {
		b = j.supports[n-1].y
	}
	pc := member.Piece{End: (b - a) / 1000, EI: float64(f.k.joistRes.EI)}
	for _, s := range j.supports {
		pc.Supports = append(pc.Supports, (s.y-a)/1000)
	}
	w := f.p.pitch / 1000
	i, k := f.r.rowSpan(a, b)
	for from := i; from <= k; {
		heavy := f.heavyShare(from, j.x)
		to := from
		for to < k && math.Abs(f.heavyShare(to+1, j.x)-heavy) < 0.02 {
			to++
		}
		q := f.k.strip + (f.k.strength-f.k.strip)*heavy
		pc.Placing = append(pc.Placing, beam.Uniform((math.Max(a, f.r.yOf(from))-a)/1000, (math.Min(b, f.r.yOf(to+1))-a)/1000, math.Round(q*w*f.shareOf(j)/20)*20))
		from = to + 1
	}
	out := make([]float64, n)
	if e, err := f.solver.Solve(pc); err == nil {
		for i, v := range e.ReactMax {
			out[i] = math.Max(0, math.Ceil(v/loadStep)*loadStep)
		}
	}
	return out
}

// loadStep rounds the loads of the planning model up, so that alike runs are
// alike to the solver's memory, N.
const loadStep = 50.0

// heavyShare is how much of a joist's band lies under the slab in a row.
func (f *field) heavyShare(row int, x float64) float64 {
	band := plane.Spans{{A: x - f.p.pitch/2, B: x + f.p.pitch/2}}
	return plane.Overlap(f.r.heavy[row], band).Total() / f.p.pitch
}

// shareOf is what a joist carries of its pitch because sheets run over it from
// joint to joint: more than its pitch beside a joint, less under it.
func (f *field) shareOf(j joist) float64 {
	if j.share > 0 {
		return j.share
	}
	return 1
}

// shares finds every joist's part from the sheets on it.
func (f *field) shares() {
	order := make([]int, len(f.joists))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return f.joists[order[a]].x < f.joists[order[b]].x })
	sum, width := make([]float64, len(f.joists)), make([]float64, len(f.joists))
	for _, s := range f.sheets {
		y := (s.y0 + s.y1) / 2
		var on []int
		b := beam.Beam{Start: 0, End: (s.x1 - s.x0) / 1000, EI: 1}
		i := sort.Search(len(order), func(i int) bool { return f.joists[order[i]].x >= s.x0-30 })
		for ; i < len(order) && f.joists[order[i]].x <= s.x1+30; i++ {
			j := f.joists[order[i]]
			if j.supports[0].y > y+300 || j.supports[len(j.supports)-1].y < y-300 {
				continue
			}
			x := math.Min(math.Max((j.x-s.x0)/1000, 0), b.End)
			if n := len(b.Supports); n > 0 && x-b.Supports[n-1].X < 0.1 {
				continue
			}
			b.Supports = append(b.Supports, beam.Support{X: x})
			on = append(on, order[i])
		}
		if len(on) < 2 {
			continue
		}
		r, err := b.Solve([]beam.Load{beam.Uniform(0, b.End, 1)})
		if err != nil {
			continue
		}
		for k, ji := range on {
			sum[ji] += r.Reactions[k] * 1000 * (s.y1 - s.y0)
			width[ji] += s.y1 - s.y0
			if k == 0 || k == len(on)-1 { // half of a joint: the other sheet brings the rest
				width[ji] -= (s.y1 - s.y0) / 2
			}
		}
	}
	for i := range f.joists {
		if width[i] > 0 {
			f.joists[i].share = math.Min(1.3, math.Max(0.5, sum[i]/width[i]/f.p.pitch))
		}
	}
}

// runs splits the joists on a line where a block stands between them or the
// next is so far off that a new run is cheaper.
func (f *field) runs(li int, on []contact) [][]contact {
	if len(on) == 0 {
		return nil
	}
	w := mmOf(f.k.stringers[0].part.Width.V)
	y := f.lines[li].y
	var out [][]contact
	start := 0
	for i := 1; i < len(on); i++ {
		gap := on[i].x - on[i-1].x
		if gap > 3*f.p.pitch+500 || (gap > 1 && !f.r.free(on[i-1].x, on[i].x, y-w, y+w)) {
			out = append(out, on[start:i])
			start = i
		}
	}
	return append(out, on[start:])
}

// runGap is left between the stringers of two runs of a line, mm.
const runGap = 10.0

// pastJoist is how far a stringer reaches past the middle of its last joist.
func (f *field) pastJoist() float64 { return mmOf(f.k.joists[0].part.Width.V)/2 + 40 }

// layRun covers one run with stringers and props, and gives the end of the last.
func (f *field) layRun(li int, on []contact, within plane.Span) (end float64, ok bool) {
	y := f.lines[li].y
	w := mmOf(f.k.stringers[0].part.Width.V)
	half := f.pastJoist()
	xa, xb := on[0].x-half, on[len(on)-1].x+half
	room, ok := f.r.freeRun(on[0].x, y-w, y+w)
	if !ok {
		f.lost = append(f.lost, "a stringer line through a block")
		return 0, false
	}
	room.A, room.B = math.Max(room.A, within.A), math.Min(room.B, within.B)
	xa, xb = math.Max(xa, room.A), math.Min(xb, room.B)
	// Stock may run on under the deck; past its border only a little.
	var pieces []stringer
	for _, far := range []float64{150, 900} {
		in := room
		if _, ok := f.deckAt(xa-400, y); !ok {
			in.A = math.Max(in.A, xa-far)
		}
		if _, ok := f.deckAt(xb+400, y); !ok {
			in.B = math.Min(in.B, xb+far)
		}
		if pieces = f.cover(xa, xb, in); pieces != nil {
			break
		}
	}
	if pieces == nil { // no stringer fits here: props straight under the joists
		for _, c := range on {
			j := f.joists[c.joist]
			lo, hi := math.Max(y-200, j.y0+endMin), math.Min(y+200, j.y1-endMin)
			f.propJoist(c.joist, f.standAt(c.x, lo, hi, math.Max(lo, math.Min(y, hi))))
		}
		return 0, false
	}
	lapped := len(pieces) > 1
	for i := range pieces {
		pieces[i].line, pieces[i].y = li, y
		if lapped {
			pieces[i].y = y + w/2*float64(2*(i%2)-1)
		}
	}
	f.beams = append(f.beams, pieces...)
	f.propRun(li, y, on, pieces)
	return pieces[len(pieces)-1].x1, true
}

// deckAt is the deck interval around a point.
func (f *field) deckAt(x, y float64) (plane.Span, bool) {
	i := f.r.rowOf(y)
	if i < 0 || i >= f.r.rows() {
		return plane.Span{}, false
	}
	for _, at := range []float64{x, x + overrun, x - overrun} { // joists may lie just past the border
		if s, ok := f.r.cover[i].Around(at); ok {
			return s, true
		}
	}
	return plane.Span{}, false
}

// cover chooses stock for xa..xb inside the room: one length over and over and
// a last one, whichever is cheapest; laps take what is spare.
func (f *field) cover(xa, xb float64, room plane.Span) []stringer {
	need := xb - xa
	lapMin := mmOf(f.k.choice.LapMin)
	st := f.k.stringers
	for i := range st {
		if s := &st[i]; s.len >= need && s.len <= room.Len() {
			a := xa - (s.len-need)/2
			a = math.Max(room.A, math.Min(a, room.B-s.len))
			return []stringer{{x0: a, x1: a + s.len, stock: s}}
		}
	}
	if f.k.sys.CutToLength {
		for i := range st {
			if s := &st[i]; s.len >= need {
				return []stringer{{x0: xa, x1: xb, stock: s, sawn: true}}
			}
		}
	}
	best := math.Inf(1)
	var out []stringer
	for i := range st {
		main := &st[i]
		for j := range st {
			last := &st[j]
			for n := 1; n <= 200; n++ {
				total := float64(n)*main.len + last.len
				if total-float64(n)*lapMin < need {
					continue
				}
				c := float64(n)*main.cost + last.cost + 0.001*total/float64(n+1)
				if c >= best {
					break
				}
				if ps := f.spread(xa, xb, room, n, main, last, lapMin); ps != nil {
					best, out = c, ps
				}
				break
			}
		}
	}
	if out == nil && need < st[0].len && room.Len() > 500 && need > 400 {
		// Room for no whole length: saw the shortest.
		return []stringer{{x0: xa, x1: xb, stock: &st[0], sawn: true}}
	}
	return out
}

// spread lays n main lengths and a last one over xa..xb with equal laps.
func (f *field) spread(xa, xb float64, room plane.Span, n int, main, last *stock, lapMin float64) []stringer {
	total := float64(n)*main.len + last.len
	lap := (total - (xb - xa)) / float64(n)
	a := xa
	if maxLap := 0.45 * math.Min(main.len, last.len); lap > maxLap { // spare runs past the ends instead
		spare := (lap - maxLap) * float64(n)
		lap = maxLap
		if spare > (xa-room.A)+(room.B-xb) {
			return nil
		}
		a = math.Max(room.A, xa-spare/2)
		if over := a + total - lap*float64(n) - room.B; over > 0 {
			a -= over
		}
		if a < room.A-1 {
			return nil
		}
	}
	if lap < lapMin-1e-6 {
		return nil
	}
	var out []stringer
	for i := 0; i <= n; i++ {
		s := main
		if i == n {
			s = last
		}
		out = append(out, stringer{x0: a, x1: a + s.len, stock: s})
		a += s.len - lap
	}
	return out
}

// endMin is how far a prop stands at least from the end of what it carries, mm.
const endMin = 60

// propRun places props under the pieces of a run: one in every lap, the first
// and last as far in as the overhang allows, and between them as few as the
// load allows, evenly.
func (f *field) propRun(li int, y float64, on []contact, pieces []stringer) {
	type fixed struct {
		x   float64
		lap bool
	}
	place := func(lo, hi, at float64, track float64) (float64, bool) {
		for d := 0.0; d <= math.Max(hi-at, at-lo)+rowStep; d += rowStep {
			for _, x := range []float64{at + d, at - d} {
				if x >= lo-1e-6 && x <= hi+1e-6 && f.r.canStand(x, track) {
					return x, true
				}
			}
		}
		// Nowhere within reach: as near as a prop can stand.
		for d := 0.0; d <= 900; d += rowStep {
			for _, x := range []float64{hi + d, lo - d} {
				if x >= pieces[0].x0+60 && x <= pieces[len(pieces)-1].x1-60 && f.r.canStand(x, track) {
					return x, false
				}
			}
		}
		return at, false
	}
	first, last := on[0].x, on[len(on)-1].x
	var marks []fixed
	lo := pieces[0].x0 + endMin
	hi := pieces[len(pieces)-1].x1 - endMin
	reachA := f.endReach(on, false)
	reachB := f.endReach(on, true)
	xa, _ := place(math.Max(lo, first-300), first+reachA, math.Max(lo, first+0.7*reachA), pieces[0].y)
	xb, _ := place(last-reachB, math.Min(hi, last+300), math.Min(hi, last-0.7*reachB), pieces[len(pieces)-1].y)
	if xb-xa < 400 { // a short run: one prop near each end of the stringer
		l := pieces[len(pieces)-1].x1 - pieces[0].x0
		xa, _ = place(lo, math.Min(hi, first+reachA), math.Max(lo, math.Min(first, pieces[0].x0+0.2*l)), pieces[0].y)
		xb, _ = place(math.Max(xa+300, last-reachB), hi, math.Min(hi, math.Max(last, pieces[0].x0+0.8*l)), pieces[len(pieces)-1].y)
	}
	marks = append(marks, fixed{xa, false})
	for i := 1; i < len(pieces); i++ {
		a, b := pieces[i].x0+endMin, pieces[i-1].x1-endMin
		x, ok := place(a, b, (a+b)/2, y)
		if !ok {
			f.lost = append(f.lost, "a lap of stringers with no room for a prop")
		}
		if x > xa+100 && x < xb-100 {
			marks = append(marks, fixed{x, true})
		} else { // the end prop itself stands in the lap
			marks = append(marks, fixed{x, true})
		}
	}
	marks = append(marks, fixed{xb, false})
	sort.SliceStable(marks, func(i, j int) bool { return marks[i].x < marks[j].x })
	keep := marks[:0]
	for _, m := range marks {
		if n := len(keep); n > 0 && m.x-keep[n-1].x < nearest {
			if m.lap {
				keep[n-1] = m
			}
			continue
		}
		keep = append(keep, m)
	}
	extra := make([]int, len(keep))
	var xs []prop
	for range 30 {
		xs = nil
		gapOf := []int{}
		for i, m := range keep {
			if i > 0 {
				for _, x := range f.between(on, keep[i-1].x, m.x, extra[i], func(x float64) float64 {
					at, _ := place(x-300, x+300, x, f.trackAt(pieces, x, y))
					return at
				}) {
					if !f.r.canStand(x, f.trackAt(pieces, x, y)) {
						continue // nowhere near: the gap is spanned, or mended later
					}
					if n := len(xs); x-xs[n-1].x < nearest || m.x-x < nearest {
						continue // moved aside to beside another: no use there
					}
					xs = append(xs, prop{line: li, x: x, y: f.trackAt(pieces, x, y), grade: lapped(pieces, x)})
					gapOf = append(gapOf, i)
				}
			}
			xs = append(xs, prop{line: li, x: m.x, y: f.trackAt(pieces, m.x, y), grade: true})
			gapOf = append(gapOf, i)
		}
		weak := f.weakGaps(on, pieces, xs, gapOf)
		more := false
		for g, ratio := range weak {
			n := 1
			for _, k := range gapOf {
				if k == g {
					n++
				}
			}
			// Props nearer than this to each other share badly: more of them do not help.
			if g < len(keep) && (keep[g].x-keep[g-1].x)/float64(n) >= 200 {
				// Half of what the ratio asks for, so as not to overshoot.
				extra[g] += max(1, int(float64(n)*math.Min(ratio-1, 1)/2))
				more = true
			}
		}
		if !more {
			break
		}
	}
	f.gradeEvery(xs)
	f.props = append(f.props, xs...)
}

// weakGaps solves the pieces of a run on its props and tells in which gaps
// between fixed props one more is needed.
func (f *field) weakGaps(on []contact, pieces []stringer, xs []prop, gapOf []int) map[int]float64 {
	weak := map[int]float64{}
	res := f.k.strRes
	total := make([]float64, len(xs))
	for _, p := range pieces {
		pc := member.Piece{End: (p.x1 - p.x0) / 1000, EI: float64(res.EI), PushOnly: true, Offset: float64(res.ShearOffset), Bearing: 0.04}
		var idx []int
		for i, q := range xs {
			if q.x >= p.x0+propReach && q.x <= p.x1-propReach {
				pc.Supports = append(pc.Supports, (q.x-p.x0)/1000)
				idx = append(idx, i)
			}
		}
		if len(idx) < 2 {
			continue
		}
		lo, hi := xs[idx[0]].x, xs[idx[len(idx)-1]].x
		first, last := p.x0 == pieces[0].x0, p.x1 == pieces[len(pieces)-1].x1
		svc := f.k.deflect / f.k.strength
		for _, c := range on {
			if c.x < p.x0 || c.x > p.x1 || (!first && c.x < lo) || (!last && c.x > hi) {
				continue // the neighbour spans there
			}
			x := (c.x - p.x0) / 1000
			pc.Always = append(pc.Always, beam.Point(x, c.load*sheetUneven*(1-f.k.placing/f.k.strength)))
			pc.Placing = append(pc.Placing, beam.Point(x, c.load*sheetUneven*f.k.placing/f.k.strength))
			pc.Deflect = append(pc.Deflect, beam.Point(x, c.load*svc))
		}
		eff := f.solveRun(pc)
		if eff == nil {
			continue
		}
		gap := func(x float64) int { // the gap that a station lies in
			for i := 1; i < len(idx); i++ {
				if x <= (xs[idx[i]].x-p.x0)/1000+1e-9 {
					return gapOf[idx[i]]
				}
			}
			return gapOf[idx[len(idx)-1]]
		}
		for _, l := range append(eff.Strength(float64(res.Moment), float64(res.Shear)), eff.Deflection(func(s float64) float64 { return f.k.deflectionLimit(s, false) })) {
			if l.Ratio() > 1 && l.At >= pc.Supports[0]-0.05 && l.At <= pc.Supports[len(pc.Supports)-1]+0.05 {
				g := gap(l.At)
				weak[g] = math.Max(weak[g], l.Ratio())
			}
		}
		for i, r := range eff.ReactMax {
			total[idx[i]] += r
			if r > f.k.seatR {
				f.relieve(weak, xs, gapOf, idx[i], r/f.k.seatR)
			}
		}
	}
	for i, r := range total {
		if r > f.k.propLoad-propOwn {
			f.relieve(weak, xs, gapOf, i, r/(f.k.propLoad-propOwn))
		}
	}
	return weak
}

// solveRun solves a piece of a run: as if its props held it down too, which is
// quick, and, where that does not pass, as it really lies on them.
func (f *field) solveRun(pc member.Piece) *member.Effects {
	pc.PushOnly = false
	if eff, err := f.solver.Solve(pc); err == nil {
		ok := true
		for _, l := range append(eff.Strength(float64(f.k.strRes.Moment), float64(f.k.strRes.Shear)), eff.Deflection(func(s float64) float64 { return f.k.deflectionLimit(s, false) })) {
			ok = ok && l.Ratio() <= 1
		}
		for _, r := range eff.ReactMax {
			ok = ok && r <= math.Min(f.k.seatR, f.k.propLoad-propOwn)
		}
		if ok {
			return eff
		}
	}
	pc.PushOnly = true
	eff, err := f.solver.Solve(pc)
	if err != nil { // its end is to be fixed down, as the audit asks
		pc.EndsFixed = true
		if eff, err = f.solver.Solve(pc); err != nil {
			return nil
		}
	}
	return eff
}

// Allowances of the planning model against the audit's.
const (
	sheetUneven = 1.02 // rows of sheets differ along a joist
	propOwn     = 400  // N, weight of a prop with its head
	propReach   = 15   // mm a prop must stand inside the end of a stringer
)

// relieve asks for a prop more beside an overloaded one: in the wider gap.
func (f *field) relieve(weak map[int]float64, xs []prop, gapOf []int, i int, ratio float64) {
	left, right := 0.0, 0.0
	if i > 0 {
		left = xs[i].x - xs[i-1].x
	}
	if i < len(xs)-1 {
		right = xs[i+1].x - xs[i].x
	}
	if left >= right {
		weak[gapOf[i]] = math.Max(weak[gapOf[i]], ratio)
	} else {
		weak[gapOf[i+1]] = math.Max(weak[gapOf[i+1]], ratio)
	}
}

// lapped reports whether two stringers lie side by side at x: a prop there
// needs a head for two.
func lapped(pieces []stringer, x float64) bool {
	n := 0
	for _, p := range pieces {
		if x >= p.x0+propReach-2 && x <= p.x1-propReach+2 {
			n++
		}
	}
	return n > 1
}

// trackAt is where a prop stands across the line: under the one stringer there,
// or between two that lap.
func (f *field) trackAt(pieces []stringer, x, y float64) float64 {
	at, n := 0.0, 0
	for _, p := range pieces {
		if x >= p.x0+propReach-2 && x <= p.x1-propReach+2 {
			at += p.y
			n++
		}
	}
	if n == 0 {
		return y
	}
	return at / float64(n)
}

// band is the width of deck that joists from xa to xb hand to the line, mm: by
// what one of them carries on average.
func (f *field) band(on []contact, xa, xb float64) float64 {
	pad := 1.5 * f.p.pitch
	sum, n := 0.0, 0
	i := sort.Search(len(on), func(i int) bool { return on[i].x >= xa-pad })
	for ; i < len(on) && on[i].x <= xb+pad; i++ {
		sum += on[i].load
		n++
	}
	if n == 0 {
		return 0
	}
	length := math.Max(float64(n)*f.p.pitch, on[i-1].x-on[i-n].x)
	return sum / (f.k.strength * length / 1000) * 1000
}

// between places the props between two fixed ones evenly: no more of them than
// the load needs on the most favourable count; sharpen adds what is missing.
func (f *field) between(on []contact, xa, xb float64, extra int, move func(float64) float64) []float64 {
	gap := xb - xa
	count := 0
	for ; count < 60; count++ {
		if b := f.band(on, xa, xb); b == 0 || gap/float64(count+1) <= f.k.propSpacing(math.Max(b, 100), 0) {
			break
		}
	}
	count += extra
	var out []float64
	for i := 1; i <= count; i++ {
		out = append(out, move(xa+gap*float64(i)/float64(count+1)))
	}
	return out
}

// endReach is how far the first prop may stand in from the first joist of a run.
func (f *field) endReach(on []contact, fromRight bool) float64 {
	m, v := 0.75*float64(f.k.strRes.Moment), 0.8*float64(f.k.strRes.Shear)
	ei := float64(f.k.strRes.EI)
	at := func(i int) contact {
		if fromRight {
			return on[len(on)-1-i]
		}
		return on[i]
	}
	x0 := at(0).x
	svc := f.k.deflect / f.k.strength
	for reach := 0.0; ; reach += rowStep {
		moment, shear, tip := 0.0, 0.0, 0.0
		for i := 0; i < len(on); i++ {
			a := reach - math.Abs(at(i).x-x0)
			if a <= 0 {
				break
			}
			moment += at(i).load * a / 1000
			shear += at(i).load
			d := a / 1000
			tip += svc * at(i).load * d * d * (3*reach/1000 - d) / (6 * ei)
		}
		if moment > m || shear > v || tip > 0.5*f.k.deflectionLimit(2*reach/1000+1e-9, false) && reach > 0 || reach > 2000 {
			return math.Max(0, reach-rowStep)
		}
	}
}

// gradeEvery marks which props of a run are set to grade: all when the system
// hangs none later, else the fixed ones and enough between.
func (f *field) gradeEvery(xs []prop) {
	limit := mmOf(f.k.sys.GradeSpacing)
	all := f.k.sys.InterHead == "" || limit <= 0
	for i := range xs {
		if all {
			xs[i].grade = true
		}
	}
	if all {
		return
	}
	for i := 0; i < len(xs); {
		next := i + 1
		for next < len(xs) && !xs[next].grade {
			next++
		}
		if next >= len(xs) {
			return
		}
		if gap := xs[next].x - xs[i].x; gap > limit+1 {
			n := int(math.Ceil(gap / limit))
			for k := 1; k < n; k++ {
				want := xs[i].x + gap*float64(k)/float64(n)
				bestJ, bestD := -1, math.Inf(1)
				for j := i + 1; j < next; j++ {
					if d := math.Abs(xs[j].x - want); d < bestD {
						bestJ, bestD = j, d
					}
				}
				if bestJ >= 0 {
					xs[bestJ].grade = true
				}
			}
		}
		i = next
	}
}
