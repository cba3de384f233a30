package layout

import (
	"math"
	"sort"

	"shoreward/internal/beam"
	"shoreward/internal/member"
)

// endMin is how far a prop stands at least from the end of what it carries, mm.
const endMin = 60

// propRun places props under the pieces of a run: one in every lap, the first
// and last as far in as the overhang allows, and between them as few as the
// load allows, evenly.
func (f *field) propRun(li int, y float64, on []contact, pieces []stringer, laps []float64) {
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
	reachA := f.k.tip(on, false)
	reachB := f.k.tip(on, true)
	xa, _ := place(math.Max(lo, first-300), first+reachA, math.Max(lo, first+endSetIn*reachA), pieces[0].y)
	xb, _ := place(last-reachB, math.Min(hi, last+300), math.Min(hi, last-endSetIn*reachB), pieces[len(pieces)-1].y)
	if xb-xa < 400 { // a short run: one prop near each end of the stringer
		l := pieces[len(pieces)-1].x1 - pieces[0].x0
		xa, _ = place(lo, math.Min(hi, first+reachA), math.Max(lo, math.Min(first, pieces[0].x0+0.2*l)), pieces[0].y)
		xb, _ = place(math.Max(xa+300, last-reachB), hi, math.Min(hi, math.Max(last, pieces[0].x0+0.8*l)), pieces[len(pieces)-1].y)
	}
	marks = append(marks, fixed{xa, false})
	for i := 1; i < len(pieces); i++ {
		a, b := pieces[i].x0+endMin, pieces[i-1].x1-endMin
		x, ok := place(a, b, math.Max(a, math.Min(b, laps[i-1])), y)
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
	var gaps []gap
	for i := 1; i < len(keep); i++ {
		gaps = append(gaps, f.newGap(on, keep[i-1].x, keep[i].x))
	}
	xs := f.fill(li, y, on, pieces, gaps, place)
	if len(gaps) == 0 {
		xs = []prop{{line: li, x: keep[0].x, y: f.trackAt(pieces, keep[0].x, y), grade: true}}
	}
	f.gradeEvery(xs)
	f.props = append(f.props, xs...)
}

// gap is a stretch of a run between two props that have to stand where they do.
type gap struct {
	a, b   float64
	spans  []float64 // that the props between divide it into
	level  *level
	shifts int     // how often these have been shifted
	least  float64 // the least that was too much, and
	stale  int     // how many props were added since without getting there
}

// newGap divides a stretch by no more props than the load needs on the most
// favourable count.
func (f *field) newGap(on []contact, a, b float64) gap {
	band := f.band(on, a, b)
	g := gap{a: a, b: b, level: f.hope().at(levelOf(math.Max(band-levelStep/2, levelStep)))}
	n := 0
	if band > 0 {
		n = g.level.props(b - a)
	}
	g.divide(n)
	return g
}

// divide puts so many props between, by the shares of the planning model.
func (g *gap) divide(between int) {
	g.spans, g.shifts = g.spans[:0], 0
	at := 0.0
	for i := 1; i <= between+1; i++ {
		next := g.level.share(i, between)
		if i == between+1 {
			next = 1
		}
		g.spans = append(g.spans, (next-at)*(g.b-g.a))
		at = next
	}
}

// weakness is a span between two props next to each other that is too long: by
// what the span, or a prop beside it, carries over what it may.
type weakness struct {
	right int // index of the prop at its upper end
	ratio float64
}

// Props are shifted toward a weak place before one more is added: so far over
// and so often.
const (
	shiftable = 1.12
	shiftings = 4
)

// fill places the props between the fixed ones, as few as hold by the beams
// that the pieces are: those too weak are shifted together there, or get one more.
func (f *field) fill(li int, y float64, on []contact, pieces []stringer, gaps []gap, place func(lo, hi, at, track float64) (float64, bool)) []prop {
	var xs []prop
	for range 40 {
		xs = xs[:0]
		var of, span []int // of each prop: the gap below it, and the first of the gap's spans that ends there
		add := func(x float64, grade bool, g, s int) {
			xs = append(xs, prop{line: li, x: x, y: f.trackAt(pieces, x, y), grade: grade})
			of, span = append(of, g), append(span, s)
		}
		for i, g := range gaps {
			if i == 0 {
				add(g.a, true, 0, 0)
			}
			want := g.a
			for k, s := range g.spans[:len(g.spans)-1] {
				want += s
				x, ok := place(want-300, want+300, want, f.trackAt(pieces, want, y))
				// Nowhere near: the gap is spanned, or mended later. Moved aside to beside another: no use there.
				if ok = ok || f.r.canStand(x, f.trackAt(pieces, x, y)); ok && x-xs[len(xs)-1].x >= nearest && g.b-x >= nearest {
					add(x, lapped(pieces, x), i, k)
				}
			}
			add(g.b, true, i, len(g.spans)-1)
		}
		worst := make([]float64, len(gaps))
		weak := f.weak(on, pieces, xs)
		for _, w := range weak {
			worst[of[w.right]] = math.Max(worst[of[w.right]], w.ratio)
		}
		more := false
		for i := range gaps {
			g := &gaps[i]
			n := len(g.spans)
			switch {
			case worst[i] <= 1:
			case worst[i] < shiftable && n > 1 && g.shifts < shiftings:
				for _, w := range weak {
					if of[w.right] == i {
						g.spans[span[w.right]] *= math.Pow(w.ratio, -0.7)
					}
				}
				g.rescale()
				g.shifts++
				more = true
			case (g.b-g.a)/float64(n) >= 200 && g.hopeful(worst[i]): // nearer to each other they share badly: more of them do not help
				// Half of what the ratio asks for, so as not to overshoot.
				g.divide(n - 1 + max(1, int(float64(n)*math.Min(worst[i]-1, 1)/2)))
				more = true
			}
		}
		if !more {
			break
		}
	}
	return xs
}

// hopeful reports whether props added so far have made a weak place better.
func (g *gap) hopeful(ratio float64) bool {
	if g.least == 0 || ratio < 0.97*g.least {
		g.least, g.stale = ratio, 0
		return true
	}
	g.stale++
	return g.stale < 4
}

// rescale makes the spans fill the gap again.
func (g *gap) rescale() {
	sum := 0.0
	for _, s := range g.spans {
		sum += s
	}
	for i := range g.spans {
		g.spans[i] *= (g.b - g.a) / sum
	}
}

// weak solves the pieces of a run on its props and lists the spans that are too long.
func (f *field) weak(on []contact, pieces []stringer, xs []prop) []weakness {
	over := make([]float64, len(xs)+1) // by the prop at a span's upper end
	mark := func(i int, ratio float64) {
		if i >= 1 && i < len(xs) {
			over[i] = math.Max(over[i], ratio)
		}
	}
	prop := func(i int, ratio float64) { // both spans beside it
		mark(i, ratio)
		mark(i+1, ratio)
	}
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
		upper := func(x float64) int { // the prop above a station
			for i := 1; i < len(idx); i++ {
				if x <= (xs[idx[i]].x-p.x0)/1000+1e-9 {
					return i
				}
			}
			return len(idx) - 1
		}
		for _, l := range append(eff.Strength(float64(res.Moment), float64(res.Shear)), eff.Deflection(func(s float64) float64 { return f.k.deflectionLimit(s, false) })) {
			if l.Ratio() > 1 && l.At >= pc.Supports[0]-0.05 && l.At <= pc.Supports[len(pc.Supports)-1]+0.05 {
				if i := upper(l.At); i+1 < len(idx) && math.Abs(l.At-pc.Supports[i]) < 0.005 { // over a prop
					prop(idx[i], l.Ratio())
				} else if i > 1 && math.Abs(l.At-pc.Supports[i-1]) < 0.005 {
					prop(idx[i-1], l.Ratio())
				} else {
					mark(idx[i], l.Ratio())
				}
			}
		}
		for i, r := range eff.ReactMax {
			total[idx[i]] += r
			if r > f.k.seatR {
				prop(idx[i], r/f.k.seatR)
			}
		}
	}
	for i, r := range total {
		if r > f.k.propLoad-propOwn {
			prop(i, r/(f.k.propLoad-propOwn))
		}
	}
	var out []weakness
	for i, r := range over {
		if r > 1 {
			out = append(out, weakness{i, r})
		}
	}
	return out
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
	sum, n := 0.0, 0 // n: joists, two that lap being one
	first := sort.Search(len(on), func(i int) bool { return on[i].x >= xa-pad })
	i := first
	for ; i < len(on) && on[i].x <= xb+pad; i++ {
		sum += on[i].load
		if i == first || on[i].x-on[i-1].x > 0.4*f.p.pitch {
			n++
		}
	}
	if n == 0 {
		return 0
	}
	length := math.Max(float64(n)*f.p.pitch, on[i-1].x-on[first].x)
	return sum / (f.k.strength * length / 1000) * 1000
}

// tip is how far the first prop may stand in from the first joist of a run.
func (k *kit) tip(on []contact, fromRight bool) float64 {
	m := 0.75 * float64(k.strRes.Moment)
	// The end prop carries its share of the first span too.
	v := math.Min(0.8*float64(k.strRes.Shear), 0.55*math.Min(k.propLoad-propOwn, k.seatR))
	ei := float64(k.strRes.EI)
	at := func(i int) contact {
		if fromRight {
			return on[len(on)-1-i]
		}
		return on[i]
	}
	x0 := at(0).x
	svc := k.deflect / k.strength
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
		if moment > m || shear > v || tip > 0.5*k.deflectionLimit(2*reach/1000+1e-9, false) && reach > 0 || reach > 2000 {
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
