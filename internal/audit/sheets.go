package audit

import (
	"math"
	"sort"

	"shoreward/internal/beam"
	"shoreward/internal/calc"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/member"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// pastEnd is how far past the end of a joist, mm, a sheet may reach along it at
// the most and still count as carried there: it overhangs the weak way, as far
// as that way holds.
const pastEnd = 300.0

// reachPast is how far that is for a sheet in its zone.
func (a *auditor) reachPast(p *plate) float64 {
	key := p.part.ID + "\x00" + p.f.Zone
	if r, ok := a.reaches[key]; ok {
		return r
	}
	lo, hi := 0.0, pastEnd
	if a.weakWay(p, hi) <= 1 {
		lo = hi
	}
	for range 20 {
		if mid := (lo + hi) / 2; a.weakWay(p, mid) <= 1 {
			lo = mid
		} else {
			hi = mid
		}
	}
	a.reaches[key] = lo
	return lo
}

// stripStep is the widest strip of a sheet that is taken as one where its
// outline or load changes along the joists, mm.
const stripStep = 60.0

// middleTolerance is how near a strip must end to a joist's middle, mm, to end
// there: rounding must not shorten its last span by a quarter of the joist.
const middleTolerance = 1.0

// plate is a sheet in its field's axes.
type plate struct {
	*deck.Sheet
	f      *field
	part   *catalog.Part
	local  plane.Shape
	box    plane.Box
	area   float64
	square bool // a rectangle along the axes
}

func newPlate(s *deck.Sheet, f *field, part *catalog.Part) *plate {
	p := &plate{Sheet: s, f: f, part: part, local: s.Shape.Map(f.in)}
	p.box = p.local.Outer.Bounds()
	p.area = p.local.Area()
	box := (p.box.X1 - p.box.X0) * (p.box.Y1 - p.box.Y0)
	p.square = len(s.Shape.Holes) == 0 && math.Abs(box-p.area) < 0.001*box
	return p
}

func (p *plate) middle() plane.Point {
	return p.f.out((p.box.X0+p.box.X1)/2, (p.box.Y0+p.box.Y1)/2)
}

// sheetRes is the resistance of a panel both ways.
func (a *auditor) sheetRes(p *catalog.Part) sheetRules {
	if r, ok := a.sheetOf[p.ID]; ok {
		return r
	}
	var r sheetRules
	if r.strong, r.err = a.doc.Settings.Sheet(p, true); r.err == nil {
		r.weak, r.err = a.doc.Settings.Sheet(p, false)
	}
	if r.err != nil {
		a.find(p.ID, plane.Point{}, "%v", r.err)
	}
	a.sheetOf[p.ID] = r
	return r
}

// sheets checks every panel in strips across its joists and hands its load to
// the joists, strip by strip.
func (a *auditor) sheets() {
	over := map[*field][]*bar{}
	for _, j := range a.bars[0] {
		over[j.f] = append(over[j.f], j)
	}
	// The highest first: their sheets may rest on side forms that stand on lower decks.
	var fields []*field
	ledges := map[*field][]*ledge{}
	for i := range a.pour.Deck.Fields {
		f := a.fields[a.pour.Deck.Fields[i].Name]
		fields, ledges[f] = append(fields, f), a.ledges(f)
		for _, l := range ledges[f] {
			over[f] = append(over[f], l.bar)
		}
	}
	sort.SliceStable(fields, func(i, k int) bool { return fields[i].zone.zone.Soffit > fields[k].zone.zone.Soffit })
	a.onSides = map[string][]sideLoad{}
	for f := range over {
		l := over[f]
		sort.SliceStable(l, func(i, j int) bool { return l[i].a[0]+l[i].b[0] < l[j].a[0]+l[j].b[0] })
	}
	plates := map[*field][]*plate{}
	for _, p := range a.plates {
		plates[p.f] = append(plates[p.f], p)
	}
	for _, f := range fields {
		for _, p := range plates[f] {
			a.sheet(p, over[f])
		}
		for _, l := range ledges[f] {
			l.joinLoads()
			a.standLedge(l)
		}
	}
	for _, j := range a.bars[0] {
		j.joinLoads()
	}
}

// strip is one strip of a sheet between two heights.
type strip struct {
	y0, y1 float64
	spans  plane.Spans
}

func (a *auditor) sheet(p *plate, sorted []*bar) {
	r := a.sheetRes(p.part)
	if r.err != nil {
		return
	}
	across := math.Abs(math.Mod(p.Grain-p.f.Joists+720, 180)-90) < 5
	res := r.strong
	if !across {
		res = r.weak
		a.caution(p.ID, p.middle(), "the face grain runs along the joists: the weak way is used")
	}
	reach := a.reachPast(p)
	var joists []*bar
	lo := sort.Search(len(sorted), func(i int) bool { return (sorted[i].a[0]+sorted[i].b[0])/2 >= p.box.X0-600 })
	for i := lo; i < len(sorted) && (sorted[i].a[0]+sorted[i].b[0])/2 <= p.box.X1+600; i++ {
		j := sorted[i]
		if j.Member.Field != "" && math.Abs(j.Top-(p.Z-float64(p.part.Depth.V)*1000)) > heightTolerance { // a side form is cut to fit
			continue
		}
		if math.Min(j.a[1], j.b[1]) < p.box.Y1+reach && math.Max(j.a[1], j.b[1]) > p.box.Y0-reach {
			joists = append(joists, j)
		}
	}
	var loose []strip
	var feet []plane.Point // where the sheet rests
	var parts []stripPart
	for _, s := range a.strips(p, joists) {
		for _, span := range s.spans {
			sp := a.stripPart(p, s, span, joists)
			if len(sp.sup) == 0 {
				loose = append(loose, strip{s.y0, s.y1, plane.Spans{span}})
				continue
			}
			for _, g := range sp.sup {
				for _, j := range g.on {
					lo, hi := math.Min(j.a[1], j.b[1]), math.Max(j.a[1], j.b[1])
					feet = append(feet, plane.Point{g.x, math.Max(lo, math.Min(s.y0, hi))}, plane.Point{g.x, math.Max(lo, math.Min(s.y1, hi))})
				}
			}
			parts = append(parts, sp)
		}
	}
	c := p.local.Outer.Centroid()
	if p.nailed(parts) {
		a.caution(p.ID, p.middle(), "nail this narrow piece to its joist: it rests on one only")
	} else if len(parts) == 0 || !plane.InHull(feet, c, 1) {
		a.find(p.ID, p.middle(), "the sheet would tip: it does not rest on joists on both sides of its middle")
	}
	for i := range parts {
		a.solveStrip(p, &parts[i], res)
	}
	for i := range parts {
		a.checkStrip(p, &parts[i], parts, res)
	}
	a.loose(p, loose, parts, r, across)
}

// How far past the middle of its one joist a narrow piece may reach when it is
// nailed down, mm: under the slab, and in the working strip, where only people
// load it.
const (
	nailReach      = 120.0
	nailReachStrip = 250.0
)

// nailed reports whether a piece is a narrow one along a single joist.
func (p *plate) nailed(parts []stripPart) bool {
	for _, sp := range parts {
		reach := nailReach
		if len(sp.heavy) == 0 && len(sp.room) == 0 {
			reach = nailReachStrip
		}
		if len(sp.sup) != 1 || sp.sup[0].x-sp.span.A > reach || sp.span.B-sp.sup[0].x > reach {
			return false
		}
	}
	return len(parts) > 0
}

// strips cuts a sheet across its joists wherever its outline, its joists or its
// load change.
func (a *auditor) strips(p *plate, joists []*bar) []strip {
	cuts := []float64{p.box.Y0, p.box.Y1}
	add := func(y float64) {
		if y > p.box.Y0+0.5 && y < p.box.Y1-0.5 {
			cuts = append(cuts, y)
		}
	}
	reach := a.reachPast(p)
	for _, j := range joists {
		y0, y1 := math.Min(j.a[1], j.b[1]), math.Max(j.a[1], j.b[1])
		add(y0)
		add(y1)
		add(y0 - reach)
		add(y1 + reach)
		// Between joists end to end the sheet hangs on either up to the middle.
		for _, k := range joists {
			next := math.Min(k.a[1], k.b[1])
			if next > y1 && next < y1+2*reach && math.Abs(k.a[0]+k.b[0]-j.a[0]-j.b[0]) < 2*nearJoist*j.w {
				add((y1 + next) / 2)
			}
		}
	}
	plain := p.square
	for _, e := range p.f.edges {
		if math.Max(e[0][0], e[1][0]) < p.box.X0 || math.Min(e[0][0], e[1][0]) > p.box.X1 ||
			math.Max(e[0][1], e[1][1]) < p.box.Y0 || math.Min(e[0][1], e[1][1]) > p.box.Y1 {
			continue
		}
		add(e[0][1])
		add(e[1][1])
		if math.Abs(e[0][0]-e[1][0]) > 0.5 && math.Abs(e[0][1]-e[1][1]) > 0.5 {
			plain = false // a slanted border of the slab crosses the sheet
		}
	}
	if !p.square {
		for _, r := range p.local.Rings() {
			for _, q := range r {
				add(q[1])
			}
		}
	}
	sort.Float64s(cuts)
	shape := []plane.Shape{p.local}
	var out []strip
	for i := 1; i < len(cuts); i++ {
		h := cuts[i] - cuts[i-1]
		if h < 0.5 {
			continue
		}
		n := 1
		if !plain {
			n = int(math.Ceil(h / stripStep))
		}
		for k := range n {
			y0 := cuts[i-1] + h*float64(k)/float64(n)
			y1 := cuts[i-1] + h*float64(k+1)/float64(n)
			spans := plane.Spans{{A: p.box.X0, B: p.box.X1}}
			if !p.square {
				spans = plane.Scan(shape, (y0+y1)/2)
			}
			out = append(out, strip{y0, y1, spans})
		}
	}
	return out
}

// stripSup is one place where a strip rests: a joist, or two side by side.
type stripSup struct {
	x    float64
	mid  float64 // the middle of the joists' centrelines
	on   []*bar
	past float64 // how far the far side of the strip lies past the end of all of them, 0 if it does not
}

type stripPart struct {
	y0, y1 float64
	span   plane.Span
	heavy  plane.Spans
	room   plane.Spans // beside a side form, under a higher zone
	sup    []stripSup
	past   float64 // how far the strip lies past the end of a joist that carries it
	more   float64 // share of load taken over from loose strips beside it
	eff    *member.Effects
	limits []member.Limit
	piece  member.Piece
}

// rest is a joist under a strip: its centreline, and where the strip rests on
// it; past is how far the strip lies beyond its end.
type rest struct {
	mid, x float64
	j      *bar
	past   float64
}

// nearJoist: joists nearer than this times their width, by their centrelines,
// are at one place. Centrelines, not where the strip rests on them: how joists
// lie does not depend on where a sheet ends.
const nearJoist = 1.1

// whole drops joists that end short of the strip where another joist of the
// same place runs on under it.
func whole(rests []rest) []rest {
	out := rests[:0:0]
	for _, r := range rests {
		keep := true
		for _, q := range rests {
			if r.past > 0 && q.past <= 0 && q.j != r.j && math.Abs(q.mid-r.mid) < nearJoist*r.j.w {
				keep = false
			}
		}
		if keep {
			out = append(out, r)
		}
	}
	return out
}

// stripPart finds what one strip rests on. A joist counts where the strip bears
// on it by the least bearing, reaches past its middle, or lies on it altogether.
func (a *auditor) stripPart(p *plate, s strip, span plane.Span, joists []*bar) stripPart {
	sp := stripPart{y0: s.y0, y1: s.y1, span: span, more: 1}
	y := (s.y0 + s.y1) / 2
	reach := a.reachPast(p)
	sp.heavy = plane.Overlap(plane.Spans{span}, plane.Scan(p.f.slab, y))
	sp.room = plane.Overlap(plane.Spans{span}, plane.Scan(p.f.room, y))
	var rests []rest
	for _, j := range joists {
		y0, y1 := j.a[1], j.b[1]
		if y0 > y1 {
			y0, y1 = y1, y0
		}
		// The far side of the strip counts, not its middle.
		if s.y0 < y0-reach-0.5 || s.y1 > y1+reach+0.5 {
			continue
		}
		past := math.Max(y0-y, y-y1)
		t := (math.Min(math.Max(y, y0), y1) - j.a[1]) / (j.b[1] - j.a[1])
		x := j.a[0] + (j.b[0]-j.a[0])*t
		l, r := math.Max(x-j.w/2, span.A), math.Min(x+j.w/2, span.B)
		on := span.A >= x-j.w/2-1 && span.B <= x+j.w/2+1 // a sliver that lies wholly on the joist
		if r-l < math.Min(a.doc.Choices.Bearing, j.w/2) && !on {
			continue
		}
		mid := x
		switch {
		case x < span.A-middleTolerance || x > span.B+middleTolerance: // the strip ends on the near half of the joist
			x = (l + r) / 2
		default:
			x = math.Max(span.A, math.Min(x, span.B))
		}
		rests = append(rests, rest{mid, x, j, past})
	}
	rests = whole(rests)
	sort.SliceStable(rests, func(i, k int) bool { return rests[i].mid < rests[k].mid })
	for _, q := range rests {
		if n := len(sp.sup); n > 0 {
			g := &sp.sup[n-1]
			if q.mid-g.mid < nearJoist*q.j.w {
				k := float64(len(g.on))
				g.x, g.mid = (g.x*k+q.x)/(k+1), (g.mid*k+q.mid)/(k+1)
				g.on = append(g.on, q.j)
				g.past = math.Min(g.past, math.Max(0, q.past))
				continue
			}
		}
		sp.sup = append(sp.sup, stripSup{q.x, q.mid, []*bar{q.j}, math.Max(0, q.past)})
	}
	for i := range sp.sup {
		if g := &sp.sup[i]; g.past > 0 {
			g.past += (s.y1 - s.y0) / 2
			sp.past = math.Max(sp.past, g.past)
		}
	}
	return sp
}

// stripLoads are the loads on a strip a metre wide, from its left end, N/m.
func (a *auditor) stripLoads(p *plate, sp *stripPart, pc *member.Piece) (service float64) {
	z := p.f.zone
	light := plane.Minus(plane.Minus(plane.Spans{sp.span}, sp.heavy), sp.room)
	same := true
	put := func(s plane.Span, l rules.AreaLoad) {
		x0, x1 := (s.A-sp.span.A)/1000, (s.B-sp.span.A)/1000
		pc.Always = append(pc.Always, beam.Uniform(x0, x1, float64(l.StrengthForms)))
		pc.Placing = append(pc.Placing, beam.Uniform(x0, x1, float64(l.StrengthPlacing)))
		pc.Deflect = append(pc.Deflect, beam.Uniform(x0, x1, float64(l.DeflectionLoad)))
		pc.Service = append(pc.Service, beam.Uniform(x0, x1, float64(l.Service())))
		same = same && l.DeflectionLoad == l.Service()
		service += float64(l.Service()) * (x1 - x0)
	}
	for _, s := range sp.heavy {
		put(s, z.slab)
	}
	for _, s := range sp.room {
		y := (sp.y0 + sp.y1) / 2
		put(s, a.besideLoad(z, p.f.out(s.A, y), p.f.out(s.B, y)))
	}
	for _, s := range light {
		if s.Len() > 0.5 {
			put(s, z.strip)
		}
	}
	if same {
		pc.Service = nil
	}
	return service
}

// solveStrip solves one strip and puts its reactions on the joists.
func (a *auditor) solveStrip(p *plate, sp *stripPart, res rules.SheetResistance) {
	pc := member.Piece{End: sp.span.Len() / 1000, EI: res.EI}
	service := a.stripLoads(p, sp, &pc)
	width := (sp.y1 - sp.y0) / 1000
	a.applied += service * width
	if len(sp.sup) == 1 {
		a.balanced(p, sp, &pc, res)
		return
	}
	for _, g := range sp.sup {
		pc.Supports = append(pc.Supports, (g.x-sp.span.A)/1000)
	}
	eff, err := a.solver.Solve(pc)
	if err != nil {
		a.find(p.ID, p.middle(), "a strip of the sheet cannot be solved: %v", err)
		return
	}
	sp.eff, sp.piece = eff, pc
	sp.limits = append(eff.Strength(res.Moment, res.Shear), eff.Deflection(func(span float64) float64 {
		l, _ := a.doc.Settings.DeflectionLimit(quantity.Length(span), true)
		return float64(l)
	}))
	for i, g := range sp.sup {
		a.onJoists(g, sp, eff.AlwaysReact[i], eff.Full.Reactions[i]-eff.AlwaysReact[i], eff.DeflectionResult.Reactions[i], eff.ServiceReact[i])
	}
}

// holds reports whether a strip passes by itself.
func (sp *stripPart) holds() bool {
	for _, l := range sp.limits {
		if l.Ratio() > 1 {
			return false
		}
	}
	return sp.eff != nil
}

// checkStrip records the checks of a strip. One that fails where a hole or an
// end of joists cuts it may hang on the strip beside it, the weak way, when
// that one passes through between its joists.
func (a *auditor) checkStrip(p *plate, sp *stripPart, all []stripPart, res rules.SheetResistance) {
	if sp.eff == nil {
		return
	}
	if sp.past > 0 {
		a.overhang(p, sp, sp.past)
	}
	unit := map[string]calc.Kind{"bending": calc.MomentPerM, "shear": calc.ForcePerM, "deflection": calc.Length}
	for _, l := range sp.limits {
		if l.Ratio() > 1 {
			if reach, ok := sp.neighbour(all, sp.span.A+l.At*1000); ok && a.weakWay(p, reach) <= 1 {
				a.overhang(p, sp, reach)
				continue
			}
		}
		what := l.What
		if what == "shear" {
			what = "rolling shear"
		}
		a.check(p.ID, "sheet", what, l.Value, l.Limit, unit[l.What], p.f.out(sp.span.A+l.At*1000, (sp.y0+sp.y1)/2), func() deck.Worked {
			return a.workSheet(p, sp, l, what, res)
		})
	}
}

// neighbour finds a passing strip within the reach of an overhang along the
// joists whose own joists stand on both sides of x, and how far the far side of
// this strip lies from there, or from the end of the joists that carry it.
func (sp *stripPart) neighbour(all []stripPart, x float64) (float64, bool) {
	best := math.Inf(1)
	for i := range all {
		q := &all[i]
		if len(q.sup) < 2 || !q.holds() || q.sup[0].x > x || q.sup[len(q.sup)-1].x < x || x < q.span.A || x > q.span.B {
			continue
		}
		past := 0.0
		for k, g := range q.sup { // of the joists on both sides of x
			if (g.x <= x && (k+1 == len(q.sup) || q.sup[k+1].x >= x)) || (g.x >= x && (k == 0 || q.sup[k-1].x <= x)) {
				past = math.Max(past, g.past)
			}
		}
		if q.y0 >= sp.y1-0.5 {
			best = math.Min(best, past+q.y0-sp.y0)
		} else if q.y1 <= sp.y0+0.5 {
			best = math.Min(best, past+sp.y1-q.y1)
		}
	}
	return best, best <= pastEnd
}

// overhangs are the checks of a sheet that reaches past what carries it, along
// the joists.
func (a *auditor) overhangs(p *plate, reach float64) []member.Limit {
	res, l := a.sheetRes(p.part).weak, reach/1000
	z := p.f.zone.slab
	q, d := float64(z.Strength()), float64(z.DeflectionLoad)
	limit, _ := a.doc.Settings.DeflectionLimit(quantity.Length(2*l), true)
	return []member.Limit{
		{What: "bending along the joists", Value: q * l * l / 2, Limit: res.Moment},
		{What: "rolling shear along the joists", Value: q * l, Limit: res.Shear},
		{What: "deflection along the joists", Value: d * l * l * l * l / (8 * res.EI), Limit: float64(limit)},
	}
}

// weakWay is the worst ratio of those checks.
func (a *auditor) weakWay(p *plate, reach float64) float64 {
	worst := 0.0
	for _, l := range a.overhangs(p, reach) {
		worst = math.Max(worst, l.Ratio())
	}
	return worst
}

// overhang records the checks of a strip that hangs on the one beside it, along
// the joists.
func (a *auditor) overhang(p *plate, sp *stripPart, reach float64) {
	at := p.f.out((sp.span.A+sp.span.B)/2, (sp.y0+sp.y1)/2)
	for i, l := range a.overhangs(p, reach) {
		a.check(p.ID, "sheet", l.What, l.Value, l.Limit, []calc.Kind{calc.MomentPerM, calc.ForcePerM, calc.Length}[i], at, nil)
	}
}

// balanced is a strip over one joist only: it must hold as an overhang to both
// sides; what it is out of balance the rest of the sheet takes by its width.
func (a *auditor) balanced(p *plate, sp *stripPart, pc *member.Piece, res rules.SheetResistance) {
	x := sp.sup[0].x
	q, d := 0.0, 0.0
	always, placing, service, deflect := 0.0, 0.0, 0.0, 0.0
	for i := range pc.Always {
		w := pc.Always[i].W1 + pc.Placing[i].W1
		q, d = math.Max(q, w), math.Max(d, pc.Deflect[i].W1)
		l := pc.Always[i].To - pc.Always[i].From
		always, placing, deflect = always+pc.Always[i].W1*l, placing+pc.Placing[i].W1*l, deflect+pc.Deflect[i].W1*l
		if pc.Service != nil {
			service += pc.Service[i].W1 * l
		} else {
			service += pc.Deflect[i].W1 * l
		}
	}
	c := math.Max(x-sp.span.A, sp.span.B-x) / 1000
	at := p.f.out((sp.span.A+sp.span.B)/2, (sp.y0+sp.y1)/2)
	limit, _ := a.doc.Settings.DeflectionLimit(quantity.Length(2*c), true)
	a.check(p.ID, "sheet", "bending", q*c*c/2, res.Moment, calc.MomentPerM, at, nil)
	a.check(p.ID, "sheet", "rolling shear", q*c, res.Shear, calc.ForcePerM, at, nil)
	a.check(p.ID, "sheet", "deflection", d*c*c*c*c/(8*res.EI), float64(limit), calc.Length, at, nil)
	a.onJoists(sp.sup[0], sp, always, placing, deflect, service)
}

// onJoists puts a strip's reaction on its joist, or on the one of two lapped
// joists that spans there: where a strip passes over the end support of one of
// them its load goes to the one up to there and to the other from there on.
func (a *auditor) onJoists(g stripSup, sp *stripPart, always, placing, deflect, service float64) {
	cuts := []float64{sp.y1}
	if len(g.on) > 1 {
		for _, j := range g.on {
			for _, s := range []float64{j.first, j.last} {
				if y := j.at(s)[1]; y > sp.y0+1 && y < sp.y1-1 {
					cuts = append(cuts, y)
				}
			}
		}
		sort.Float64s(cuts)
	}
	y0 := sp.y0
	for _, y1 := range cuts {
		if y1-y0 < 1 && y1 < sp.y1 {
			continue
		}
		g.take(y0, y1, piecewise{always: always * sp.more, placing: placing * sp.more, deflect: deflect * sp.more, service: service * sp.more})
		y0 = y1
	}
}

// atEnd is the length of a joist, mm, that takes what hangs past its end.
const atEnd = 1.0

// take puts a line load between two heights on those joists that span there, in
// equal shares.
func (g stripSup) take(y0, y1 float64, load piecewise) {
	var take []*bar
	for _, j := range g.on {
		if s, _ := j.project(plane.Point{g.x, (y0 + y1) / 2}); j.spansAt(s) {
			take = append(take, j)
		}
	}
	if len(take) == 0 {
		take = g.on
	}
	for _, j := range take {
		s0, _ := j.project(plane.Point{g.x, y0})
		s1, _ := j.project(plane.Point{g.x, y1})
		if s0 > s1 {
			s0, s1 = s1, s0
		}
		// Past the end of the joist: its load comes in on the very end.
		s0, s1 = math.Min(math.Max(0, s0), j.len-atEnd), math.Max(atEnd, math.Min(j.len, s1))
		k := (y1 - y0) / (s1 - s0) / float64(len(take))
		j.loads = append(j.loads, piecewise{s0, s1, load.always * k, load.placing * k, load.deflect * k, load.service * k})
	}
}

// loose checks the strips of a sheet that rest on no joist: they must span
// along the joists, the weak way, to strips that do.
func (a *auditor) loose(p *plate, loose []strip, parts []stripPart, r sheetRules, across bool) {
	if len(loose) == 0 {
		return
	}
	res := r.weak
	if !across {
		res = r.strong
	}
	for i := 0; i < len(loose); {
		k := i
		for k+1 < len(loose) && loose[k+1].y0-loose[k].y1 < 1 && loose[k+1].spans[0].A < loose[i].spans[0].B && loose[k+1].spans[0].B > loose[i].spans[0].A {
			k++
		}
		q, d, svc := float64(p.f.zone.slab.Strength()), float64(p.f.zone.slab.DeflectionLoad), float64(p.f.zone.slab.Service())
		x := (loose[i].spans[0].A + loose[i].spans[0].B) / 2
		at := p.f.out(x, (loose[i].y0+loose[k].y1)/2)
		nextA, nextB := beside(parts, loose[i:k+1], x)
		above, below := nextA >= 0, nextB >= 0
		// What lies beside may hang past the joists itself: the joists count.
		l := (loose[k].y1 - loose[i].y0) / 1000
		for _, n := range []int{nextA, nextB} {
			if n >= 0 {
				l += parts[n].past / 1000
			}
		}
		switch {
		case above && below:
			limit, _ := a.doc.Settings.DeflectionLimit(quantity.Length(l), true)
			a.check(p.ID, "sheet", "bending along the joists", q*l*l/8, res.Moment, calc.MomentPerM, at, nil)
			a.check(p.ID, "sheet", "rolling shear along the joists", q*l/2, res.Shear, calc.ForcePerM, at, nil)
			a.check(p.ID, "sheet", "deflection along the joists", 5*d*l*l*l*l/(384*res.EI), float64(limit), calc.Length, at, nil)
		case above || below:
			limit, _ := a.doc.Settings.DeflectionLimit(quantity.Length(2*l), true)
			a.check(p.ID, "sheet", "bending along the joists", q*l*l/2, res.Moment, calc.MomentPerM, at, nil)
			a.check(p.ID, "sheet", "rolling shear along the joists", q*l, res.Shear, calc.ForcePerM, at, nil)
			a.check(p.ID, "sheet", "deflection along the joists", d*l*l*l*l/(8*res.EI), float64(limit), calc.Length, at, nil)
		default:
			a.find(p.ID, at, "part of the sheet rests on no joist")
		}
		a.shareLoose(p, loose[i:k+1], parts, x, svc, q, d)
		i = k + 1
	}
}

// beside are the carried strips next to loose ones at x, above and below, or -1.
func beside(parts []stripPart, loose []strip, x float64) (above, below int) {
	above, below = -1, -1
	for n, sp := range parts {
		if x < sp.span.A || x > sp.span.B {
			continue
		}
		if sp.y0 >= loose[len(loose)-1].y1-1 && (above < 0 || sp.y0 < parts[above].y0) {
			above = n
		}
		if sp.y1 <= loose[0].y0+1 && (below < 0 || sp.y1 > parts[below].y1) {
			below = n
		}
	}
	return above, below
}

// shareLoose hands the load of loose strips to the strips beside them, half and
// half where there is one on both sides, and there to the joists on both sides.
func (a *auditor) shareLoose(p *plate, loose []strip, parts []stripPart, x, svc, q, d float64) {
	area := 0.0
	for _, s := range loose {
		area += s.spans[0].Len() * (s.y1 - s.y0) / 1e6
	}
	a.applied += area * svc
	above, below := beside(parts, loose, x)
	var to []int
	for _, n := range []int{above, below} {
		if n >= 0 {
			to = append(to, n)
		}
	}
	if len(to) == 0 && len(parts) > 0 {
		to = []int{0}
	}
	for _, n := range to {
		sp := &parts[n]
		left, right := sp.beside(x)
		width := (sp.y1 - sp.y0) / 1000 * float64(len(to))
		f := float64(p.f.zone.slab.StrengthForms)
		put := func(k int, share float64) {
			w := share * area / width
			a.onJoists(sp.sup[k], sp, f*w, (q-f)*w, d*w, svc*w)
		}
		if left == right {
			put(left, 1)
			continue
		}
		t := (x - sp.sup[left].x) / (sp.sup[right].x - sp.sup[left].x)
		put(left, 1-t)
		put(right, t)
	}
}

// beside are the supports of a strip on both sides of x, the same twice past its ends.
func (sp *stripPart) beside(x float64) (int, int) {
	for k := range sp.sup {
		if sp.sup[k].x >= x {
			return max(0, k-1), k
		}
	}
	return len(sp.sup) - 1, len(sp.sup) - 1
}

// joinLoads merges the strip loads of a joist into as few pieces as there are
// changes.
func (b *bar) joinLoads() {
	if len(b.loads) < 2 {
		return
	}
	cuts := make([]float64, 0, 2*len(b.loads))
	for _, l := range b.loads {
		cuts = append(cuts, l.from, l.to)
	}
	sort.Float64s(cuts)
	sort.SliceStable(b.loads, func(i, j int) bool { return b.loads[i].from < b.loads[j].from })
	var out []piecewise
	first := 0
	for i := 1; i < len(cuts); i++ {
		if cuts[i]-cuts[i-1] < 0.05 {
			continue
		}
		sum := piecewise{from: cuts[i-1], to: cuts[i]}
		mid := (cuts[i-1] + cuts[i]) / 2
		for first < len(b.loads) && b.loads[first].to < mid && first+1 < len(b.loads) && b.loads[first+1].from <= b.loads[first].to {
			first++
		}
		for _, l := range b.loads {
			if l.from > mid {
				break
			}
			if l.to >= mid {
				sum.always, sum.placing, sum.deflect, sum.service = sum.always+l.always, sum.placing+l.placing, sum.deflect+l.deflect, sum.service+l.service
			}
		}
		if n := len(out); n > 0 && math.Abs(out[n-1].to-sum.from) < 0.06 && near(out[n-1].always, sum.always) && near(out[n-1].placing, sum.placing) && near(out[n-1].service, sum.service) {
			// Joined by the mean over their lengths, so that no load is lost.
			o := &out[n-1]
			l0, l1 := o.to-o.from, sum.to-sum.from
			mean := func(a, b float64) float64 { return (a*l0 + b*l1) / (l0 + l1) }
			*o = piecewise{o.from, sum.to, mean(o.always, sum.always), mean(o.placing, sum.placing), mean(o.deflect, sum.deflect), mean(o.service, sum.service)}
			continue
		}
		out = append(out, sum)
	}
	b.loads = out
}

// near lets loads a percent apart count as one.
func near(a, b float64) bool { return math.Abs(a-b) <= 5+0.01*math.Abs(a) }

func (a *auditor) workSheet(p *plate, sp *stripPart, l member.Limit, what string, res rules.SheetResistance) deck.Worked {
	w := deck.Worked{Kind: "sheet", What: what, Member: p.ID, Part: p.part.ID}
	d := &deck.Diagram{End: sp.piece.End, Supports: sp.piece.Supports, Reactions: sp.eff.Full.Reactions}
	for _, g := range sp.sup {
		d.Names = append(d.Names, g.on[0].ID)
	}
	for i, x := range sp.piece.Always {
		d.Loads = append(d.Loads, deck.DiagramLoad{From: x.From, To: x.To, W1: x.W1 + sp.piece.Placing[i].W1, W2: x.W1 + sp.piece.Placing[i].W1})
	}
	const samples = 100
	for i := 0; i <= samples; i++ {
		x := d.End * float64(i) / samples
		d.X = append(d.X, x)
		d.M = append(d.M, sp.eff.Full.Moment(x))
		d.V = append(d.V, sp.eff.Full.Shear(x, beam.Right))
		d.D = append(d.D, sp.eff.DeflectionResult.Deflection(x))
	}
	w.Diagram = d
	switch l.What {
	case "bending":
		w.Lines = append(append(w.Lines, res.Lines...), calc.Line{Symbol: "M", Name: "greatest moment of a strip one metre wide, over the patterns of placing", Value: l.Value, Kind: calc.MomentPerM, Source: "statics", Evidence: calc.Derived}.Check(l.Limit, "M_allowed"))
	case "shear":
		w.Lines = append(append(w.Lines, res.Lines...), calc.Line{Symbol: "V", Name: "greatest shear of a strip one metre wide, over the patterns of placing", Value: l.Value, Kind: calc.ForcePerM, Source: "statics", Evidence: calc.Derived}.Check(l.Limit, "V_allowed"))
	default:
		span := 0.0
		for _, s := range sp.eff.Spans {
			if l.At >= s.From-1e-9 && l.At <= s.To+1e-9 {
				span = s.To - s.From
				if s.Overhang {
					span *= 2
				}
			}
		}
		_, why := a.doc.Settings.DeflectionLimit(quantity.Length(span), true)
		w.Lines = append(w.Lines, calc.Line{Symbol: "L", Name: "span (an overhang counts twice)", Value: span, Kind: calc.Length, Source: "the deck as placed", Evidence: calc.Derived},
			calc.Line{Symbol: "EI", Name: "bending stiffness of a strip one metre wide", Value: res.EI, Kind: calc.EIPerWidth, Source: "see its bending check", Evidence: calc.Derived},
			calc.Line{Symbol: "δ", Name: "deflection with everything loaded", Value: l.Value, Kind: calc.Length, Source: "statics; limit " + why, Evidence: calc.Derived}.Check(l.Limit, why))
	}
	return w
}
