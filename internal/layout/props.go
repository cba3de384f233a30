package layout

import (
	"math"
	"sort"

	"shoreward/internal/beam"
	"shoreward/internal/member"
	"shoreward/internal/plane"
)

// endMin is how far a prop stands at least from the end of what it carries, mm.
const endMin = 60

// propRun places props under the pieces of a run: where the plan of its cover
// has them, and where there is none, or it does not hold, as few as do.
func (f *field) propRun(l laid, plan []planned) []prop {
	on, y, pieces := l.on, l.y, l.pieces
	gaps := gapsOf(plan)
	if plan == nil {
		gaps = f.evenGaps(on, pieces, y)
	}
	xs := f.fill(l.line, y, on, pieces, gaps)
	f.gradeEvery(xs)
	return xs
}

// gap is a stretch of a run between two props that have to stand where they
// do, in the same piece, with the props between.
type gap struct {
	a, b   float64
	inside []float64
	use    float64   // share of what parts may carry that its plan uses; 0: none did, even spans
	least  float64   // the least that was too much,
	best   []float64 // with these between,
	stale  int       // and how often it was planned again since without getting there
}

// gapsOf splits a plan at the props that stay where they are.
func gapsOf(plan []planned) []gap {
	var out []gap
	for i, p := range plan {
		if i > 0 {
			g := &out[len(out)-1]
			if !p.fixed {
				g.inside = append(g.inside, p.x)
				continue
			}
			g.b = p.x
		}
		if i < len(plan)-1 {
			out = append(out, gap{a: p.x, use: planUse})
		}
	}
	return out
}

// evenGaps are the gaps between the props that a run must have: one in every
// lap, the first and last as far in as the overhang allows.
func (f *field) evenGaps(on []contact, pieces []stringer, y float64) []gap {
	const endSetIn = 0.7 // the share of the reach past an end prop that is used
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
	if len(keep) == 1 {
		return []gap{{a: keep[0].x, b: keep[0].x}}
	}
	var gaps []gap
	for i := 1; i < len(keep); i++ {
		g := gap{a: keep[i-1].x, b: keep[i].x, use: planUse}
		f.replan(&g, on, y, i == 1, i == len(keep)-1, pieces[0].x0, pieces[len(pieces)-1].x1)
		gaps = append(gaps, g)
	}
	return gaps
}

// replan finds the fewest props between that hold by the rules of spans, at an
// end of the run the best place of its end prop too; where none do, one more
// than there are, evenly. The piece lies from lo to hi.
func (f *field) replan(g *gap, on []contact, y float64, lowEnd, highEnd bool, lo, hi float64) {
	const least = 0.5
	if g.use < least {
		g.use = 0
		g.even(len(g.inside)+1, f, y)
		return
	}
	rules := f.k.spanRules(g.use)
	all := f.places(on, y)
	if lowEnd && highEnd {
		if xs, ok := rules.alone(on, all, lo, hi); ok {
			g.a, g.b, g.inside = xs[0], xs[len(xs)-1], xs[1:len(xs)-1]
			return
		}
	}
	first, last := on[0].x, on[len(on)-1].x
	var places []float64
	starts, ends := 1, 0
	if lowEnd {
		for _, x := range all {
			if x >= lo+endMin && x <= math.Min(first+mostSetIn, g.b-nearest) {
				places = append(places, x)
			}
		}
		starts = len(places)
	}
	if starts == 0 || !lowEnd {
		places, starts = []float64{g.a}, 1
	}
	to := g.b - nearest
	if highEnd {
		to = hi - endMin
	}
	for _, x := range all {
		if x > places[len(places)-1]+1 && x >= g.a+nearest && x <= to {
			places = append(places, x)
		}
	}
	if !highEnd {
		places = append(places, g.b)
	}
	if ends = len(places) - 1; ends < 1 {
		g.use = 0
		g.even(len(g.inside)+1, f, y)
		return
	}
	mayEnd := func(j int) bool { return highEnd && places[j] >= last-mostSetIn }
	fewest, found := math.MaxInt, false
	under := rules.bed(on, places)
	for s := range min(starts, ends) {
		ws := rules.ways(under, s, math.Inf(1), lowEnd, mayEnd)
		for j, w := range ws {
			if w.between < 0 || w.between >= fewest || (highEnd && !mayEnd(s+j)) || (!highEnd && s+j != ends) {
				continue
			}
			fewest, found = w.between, true
			g.a, g.b, g.inside = places[s], places[s+j], nil
			for _, v := range w.props {
				g.inside = append(g.inside, places[s+v])
			}
		}
	}
	if !found {
		g.use = 0
		g.even(len(g.inside)+1, f, y)
	}
}

// even divides the gap by so many props, each as near to its place as one can stand.
func (g *gap) even(n int, f *field, y float64) {
	g.inside = nil
	last := g.a
	for i := 1; i <= n; i++ {
		want := g.a + (g.b-g.a)*float64(i)/float64(n+1)
		x, ok := want, false
		for d := 0.0; d <= 300 && !ok; d += rowStep {
			if x = want + d; f.r.canStand(x, y) {
				ok = true
			} else if x = want - d; f.r.canStand(x, y) {
				ok = true
			}
		}
		// Nowhere near: the gap is spanned, or mended later. Moved aside to beside another: no use there.
		if ok && x-last >= nearest && g.b-x >= nearest {
			g.inside = append(g.inside, x)
			last = x
		}
	}
}

// weakness is a span between two props next to each other that is too long: by
// what the span, or a prop beside it, carries over what it may.
type weakness struct {
	right int // index of the prop at its upper end
	ratio float64
}

// fill proves the props of a run by the beams that its pieces are: a gap that
// is too weak is planned again with less of what its parts may carry. It does so
// as if props held the pieces down until that holds, which is quick to know, and
// then as they really lie on them.
func (f *field) fill(li int, y float64, on []contact, pieces []stringer, gaps []gap) []prop {
	var xs []prop
	really := false
	for range 60 {
		xs = xs[:0]
		var of []int // of each prop: the gap below it
		add := func(x float64, grade bool, g int) {
			xs = append(xs, prop{line: li, x: x, y: f.trackAt(pieces, x, y), grade: grade})
			of = append(of, g)
		}
		for i, g := range gaps {
			if i == 0 {
				add(g.a, true, 0)
			}
			for _, x := range g.inside {
				add(x, lapped(pieces, x), i)
			}
			if g.b > g.a {
				add(g.b, true, i)
			}
		}
		worst := make([]float64, len(gaps))
		for _, w := range f.weak(on, pieces, xs, really) {
			worst[of[w.right]] = math.Max(worst[of[w.right]], w.ratio)
		}
		more := false
		for i := range gaps {
			g := &gaps[i]
			if worst[i] <= 1 {
				continue
			}
			// Nearer to each other they share badly: more of them do not help.
			if !g.hopeful(worst[i]) || (g.b-g.a)/float64(len(g.inside)+1) < 200 {
				if g.stale < givenUp {
					g.stale, more = givenUp, true
					g.inside = g.best
				}
				continue
			}
			g.use *= math.Max(0.8, 1-0.85*(worst[i]-1)-0.01)
			f.replan(g, on, y, i == 0, i == len(gaps)-1, pieces[0].x0, pieces[len(pieces)-1].x1)
			more = true
		}
		if !more && really {
			break
		}
		really = really || !more
	}
	return xs
}

// hopeful reports whether planning again has made a weak place better.
func (g *gap) hopeful(ratio float64) bool {
	if g.least == 0 || ratio < 0.97*g.least {
		g.least, g.best, g.stale = ratio, g.inside, 0
		return true
	}
	g.stale++
	return g.stale < patient
}

// patient is how often a gap is planned again without getting better; givenUp
// marks one left as it was at its best.
const (
	patient = 8
	givenUp = 100
)

// weak solves the pieces of a run on its props and lists the spans that are too
// long, as the pieces really lie on them or as if the props held them down.
func (f *field) weak(on []contact, pieces []stringer, xs []prop, really bool) []weakness {
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
	spans := spansOf(pieces, xs)
	for pi, p := range pieces {
		pc := member.Piece{End: (p.x1 - p.x0) / 1000, EI: float64(res.EI), Offset: float64(res.ShearOffset), Bearing: 0.04}
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
		svc := f.k.deflect / f.k.strength
		for _, c := range on {
			share := shareAt(pieces, spans, pi, c.x)
			if share == 0 {
				continue
			}
			x, load := (c.x-p.x0)/1000, c.load*share
			pc.Always = append(pc.Always, beam.Point(x, load*sheetUneven*(1-f.k.placing/f.k.strength)))
			pc.Placing = append(pc.Placing, beam.Point(x, load*sheetUneven*f.k.placing/f.k.strength))
			pc.Deflect = append(pc.Deflect, beam.Point(x, load*svc))
		}
		eff := f.solveRun(pc, really)
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

// spansOf is from its first to its last prop of each piece.
func spansOf(pieces []stringer, xs []prop) []plane.Span {
	out := make([]plane.Span, len(pieces))
	for i, p := range pieces {
		out[i] = plane.Span{A: math.Inf(1), B: math.Inf(-1)}
		for _, q := range xs {
			if q.x >= p.x0+propReach && q.x <= p.x1-propReach {
				out[i] = plane.Span{A: math.Min(out[i].A, q.x), B: math.Max(out[i].B, q.x)}
			}
		}
	}
	return out
}

// shareAt is what piece i carries of a joist at x: of two that lap there, the
// one that spans carries it; both do when both span, or neither.
func shareAt(pieces []stringer, spans []plane.Span, i int, x float64) float64 {
	lies := func(i int) bool { return x >= pieces[i].x0 && x <= pieces[i].x1 }
	does := func(i int) bool { return lies(i) && x >= spans[i].A-1 && x <= spans[i].B+1 }
	if !lies(i) {
		return 0
	}
	n, all := 0.0, 0.0
	for k := max(0, i-2); k < min(len(pieces), i+3); k++ {
		if does(k) {
			n++
		}
		if lies(k) {
			all++
		}
	}
	switch {
	case n == 0:
		return 1 / all
	case does(i):
		return 1 / n
	}
	return 0
}

// solveRun solves a piece of a run on props that only push, or hold it down too.
func (f *field) solveRun(pc member.Piece, pushOnly bool) *member.Effects {
	pc.PushOnly = pushOnly
	eff, err := f.solver.Solve(pc)
	if err != nil && pushOnly { // its end is to be fixed down, as the audit asks
		pc.EndsFixed = true
		eff, err = f.solver.Solve(pc)
	}
	if err != nil {
		return nil
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
