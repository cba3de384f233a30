package audit

import (
	"fmt"
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

// The load path as placed: joists on stringers and props, stringers on props.

const (
	skewLimit  = 2.0  // degrees a joist may lie off its field's direction
	endBearing = 20.0 // mm that a member must reach past the middle of its support
	propReach  = 15.0 // mm that a prop's middle must lie inside the end of a stringer
)

// supports finds what holds up every joist and stringer, from geometry alone.
func (a *auditor) supports() {
	under := map[*field][]*bar{}
	for _, s := range a.bars[1] {
		under[s.f] = append(under[s.f], s)
	}
	for f := range under {
		l := under[f]
		sort.SliceStable(l, func(i, j int) bool { return math.Min(l[i].a[1], l[i].b[1]) < math.Min(l[j].a[1], l[j].b[1]) })
	}
	grid := newPostGrid(a.props)
	for _, p := range a.props {
		p.on, p.max, p.svc, p.byBar, p.sides = nil, 0, 0, nil, nil
	}
	for _, s := range a.bars[1] {
		a.findProps(s, "stringer", grid)
		s.settle()
	}
	for _, j := range a.bars[0] {
		if dx, dy := math.Abs(j.b[0]-j.a[0]), math.Abs(j.b[1]-j.a[1]); math.Atan2(dx, dy) > skewLimit*math.Pi/180 {
			m := j.at(j.len / 2)
			a.find(j.ID, j.f.out(m[0], m[1]), "the joist lies more than %g degrees off its field's direction", skewLimit)
		}
		list := under[j.f]
		lo, hi := math.Min(j.a[1], j.b[1]), math.Max(j.a[1], j.b[1])
		i := sort.Search(len(list), func(i int) bool { return math.Min(list[i].a[1], list[i].b[1]) >= lo-500 })
		for ; i < len(list) && math.Min(list[i].a[1], list[i].b[1]) <= hi; i++ {
			a.cross(j, list[i])
		}
		a.findProps(j, "joist", grid)
		j.settle()
	}
	for _, p := range a.props {
		if len(p.on) == 0 {
			a.caution(p.ID, p.at, "the prop carries nothing: no %s lies on its head", p.Under)
		}
	}
}

// cross records a stringer as a support of a joist where they meet.
func (a *auditor) cross(j, s *bar) {
	if math.Abs(j.bottom()-s.Top) > heightTolerance {
		return
	}
	// Stations of the crossing of the two centrelines.
	ux, uy := j.b[0]-j.a[0], j.b[1]-j.a[1]
	vx, vy := s.b[0]-s.a[0], s.b[1]-s.a[1]
	den := ux*vy - uy*vx
	if math.Abs(den) < 1e-9 {
		return
	}
	wx, wy := s.a[0]-j.a[0], s.a[1]-j.a[1]
	sj := (wx*vy - wy*vx) / den * j.len
	ss := (wx*uy - wy*ux) / den * s.len
	if sj < endBearing || sj > j.len-endBearing || ss < j.w/2-1 || ss > s.len-j.w/2+1 {
		return
	}
	seat := math.Min(sj, s.w/2) + math.Min(j.len-sj, s.w/2)
	j.sup = append(j.sup, station{s: sj, on: s, onS: ss, seat: seat, share: 1})
}

// findProps records the props whose heads touch a bar's underside.
func (a *auditor) findProps(b *bar, under string, grid *postGrid) {
	half := b.w / 2
	for _, p := range grid.near(b) {
		if p.Under != under || math.Abs(p.seat-b.bottom()) > heightTolerance || p.head == nil || p.head.Seat == nil {
			continue
		}
		s, _ := b.project(b.f.in(p.at))
		side := b.f.in(p.at)[1] - b.at(s)[1] // across the line, the same way for all stringers
		if under == "joist" {
			side = b.f.in(p.at)[0] - b.at(s)[0]
		}
		wide := float64(p.head.Seat.SeatWide.V) * 1000
		if s < propReach || s > b.len-propReach || math.Abs(side) > math.Max(half, wide/2)+2 {
			continue
		}
		long := float64(p.head.Seat.SeatLong.V) * 1000
		b.sup = append(b.sup, station{s: s, prop: p, seat: math.Min(long/2, s) + math.Min(long/2, b.len-s), share: 1})
		p.on = append(p.on, b)
		p.byBar = append(p.byBar, 0)
		p.sides = append(p.sides, side)
	}
}

// settle orders a bar's supports and finds the first and the last place where
// it is held. The stringers must be settled before the joists on them.
func (b *bar) settle() {
	sort.SliceStable(b.sup, func(i, j int) bool { return b.sup[i].s < b.sup[j].s })
	b.first, b.last = math.Inf(1), math.Inf(-1)
	if groups := b.groups(); len(groups) > 1 {
		b.first, b.last = b.place(groups[0]), b.place(groups[len(groups)-1])
	}
}

// place is the station of a group of supports: at what carries there, of two
// stringers side by side, or midway.
func (b *bar) place(group []int) float64 {
	x := 0.0
	for _, i := range group {
		x += b.sup[i].s * b.sup[i].share
	}
	return x
}

// groups are the bar's supports as places: two stringers side by side at a lap
// count as one, and the one that spans there takes the load (its tail past the
// last prop only when nothing else does).
func (b *bar) groups() [][]int {
	var out [][]int
	for i := range b.sup {
		if n := len(out); n > 0 {
			first := b.sup[out[n-1][0]]
			if st := b.sup[i]; st.s-first.s < 10 || st.on != nil && first.on != nil && st.s-first.s < st.on.w*1.6 {
				out[n-1] = append(out[n-1], i)
				continue
			}
		}
		out = append(out, []int{i})
	}
	for _, g := range out {
		var spans []int
		for _, i := range g {
			if on := b.sup[i].on; on == nil || on.spansAt(b.sup[i].onS) {
				spans = append(spans, i)
			}
		}
		if len(spans) == 0 {
			spans = g
		}
		for _, i := range g {
			b.sup[i].share = 0
		}
		for _, i := range spans {
			b.sup[i].share = 1 / float64(len(spans))
		}
	}
	return out
}

// spansAt reports whether a station lies between the bar's first and last support.
func (b *bar) spansAt(s float64) bool { return s >= b.first-1 && s <= b.last+1 }

// postGrid finds props near a bar.
type postGrid struct {
	cell  float64
	posts map[[2]int][]*post
}

func newPostGrid(ps []*post) *postGrid {
	g := &postGrid{1000, map[[2]int][]*post{}}
	for _, p := range ps {
		k := g.key(p.at)
		g.posts[k] = append(g.posts[k], p)
	}
	return g
}

func (g *postGrid) key(p plane.Point) [2]int {
	return [2]int{int(math.Floor(p[0] / g.cell)), int(math.Floor(p[1] / g.cell))}
}

func (g *postGrid) near(b *bar) []*post { return g.within(b.outline(100).Bounds(), 0) }

// within are the posts in the cells that a box grown by a margin touches.
func (g *postGrid) within(box plane.Box, margin float64) []*post {
	lo, hi := g.key(plane.Point{box.X0 - margin, box.Y0 - margin}), g.key(plane.Point{box.X1 + margin, box.Y1 + margin})
	var out []*post
	for x := lo[0]; x <= hi[0]; x++ {
		for y := lo[1]; y <= hi[1]; y++ {
			out = append(out, g.posts[[2]int{x, y}]...)
		}
	}
	return out
}

// resistance of a part as a joist or stringer.
func (a *auditor) resistance(p *catalog.Part, role string) memberRules {
	key := role + " " + p.ID
	if r, ok := a.bases[key]; ok {
		return r
	}
	res, err := a.doc.Settings.Beam(p, rules.Context{Repetitive: role == "joist"})
	r := memberRules{res, err}
	a.bases[key] = r
	if err != nil {
		a.find(p.ID, plane.Point{}, "%v", err)
	}
	return r
}

// joists checks every joist under what its sheets hand down, and hands its
// reactions on.
func (a *auditor) joists() {
	for _, j := range a.bars[0] {
		a.carry(j, "joist")
	}
}

func (a *auditor) stringers() {
	for _, s := range a.bars[1] {
		sort.SliceStable(s.points, func(i, k int) bool { return s.points[i].s < s.points[k].s })
		a.carry(s, "stringer")
	}
}

// carry solves one bar on its supports, checks it, and passes reactions down.
func (a *auditor) carry(b *bar, role string) {
	mid := b.at(b.len / 2)
	at := b.f.out(mid[0], mid[1])
	groups := b.groups()
	loaded := len(b.loads) > 0 || len(b.points) > 0
	if len(groups) < 2 {
		if loaded || role == "stringer" {
			a.find(b.ID, at, "the %s has %d support(s); it needs two", role, len(groups))
		} else {
			a.caution(b.ID, at, "the %s carries nothing and has fewer than two supports", role)
		}
		return
	}
	r := a.resistance(b.part, role)
	if r.err != nil {
		return
	}
	p := member.Piece{End: b.len / 1000, EI: float64(r.res.EI), PushOnly: true, Offset: float64(r.res.ShearOffset)}
	for _, g := range groups {
		p.Supports = append(p.Supports, b.place(g)/1000)
		p.Bearing = b.sup[g[0]].seat / 2000
	}
	b.fill(&p)
	eff, err := a.solver.Solve(p)
	if err != nil { // it would tip while only its end is loaded: it must be fixed down
		p.EndsFixed = true
		if eff, err = a.solver.Solve(p); err != nil {
			a.find(b.ID, at, "the %s cannot be solved: %v", role, err)
			return
		}
		a.holdDown(b, role, eff, at)
	}
	b.eff, b.piece = eff, p
	unit := map[string]calc.Kind{"bending": calc.Moment, "shear": calc.Force, "deflection": calc.Length}
	limits := append(eff.Strength(float64(r.res.Moment), float64(r.res.Shear)), eff.Deflection(func(span float64) float64 {
		l, _ := a.doc.Settings.DeflectionLimit(quantity.Length(span), false)
		return float64(l)
	}))
	for _, l := range limits {
		q := b.at(math.Min(b.len, math.Max(0, l.At*1000)))
		a.check(b.ID, role, l.What, l.Value, l.Limit, unit[l.What], b.f.out(q[0], q[1]), func() deck.Worked {
			return a.workBar(b, role, l, r.res)
		})
	}
	a.hand(b, role, groups, r.res)
	if eff.Lifts {
		a.lifts(b, role, at)
	}
}

// holdDown compares the pull on the end supports of a bar, when only an
// overhang is loaded, with the rating their fixings must have.
func (a *auditor) holdDown(b *bar, role string, eff *member.Effects, at plane.Point) {
	pull := 0.0
	for _, r := range eff.ReactMin {
		pull = math.Max(pull, -r)
	}
	limit := a.doc.Choices.HoldDown
	a.check(b.ID, role, "hold-down", pull, limit, calc.Force, at, func() deck.Worked {
		return deck.Worked{Kind: role, What: "hold-down", Member: b.ID, Part: b.part.ID, Diagram: b.diagram(), Lines: calc.Lines{
			calc.Line{Symbol: "T", Name: "pull on a support while only the overhang is loaded; the fixing must be rated for the limit as a working load", Value: pull, Kind: calc.Force, Source: "statics", Evidence: calc.Derived}.Check(limit, "required rating of the fixing")}}
	})
	for i, r := range eff.Full.Reactions {
		if r < -1 && (i == 0 || i == len(eff.Full.Reactions)-1) {
			a.caution(b.ID, at, "fix the %s down at its first and last support for good: it would tip even when everything is loaded", role)
			return
		}
	}
	a.caution(b.ID, at, "fix the %s down at its first and last support: it would tip while only its end is loaded", role)
}

// fill turns what lies on a bar into beam loads.
func (b *bar) fill(p *member.Piece) {
	sameService := true
	for _, l := range b.loads {
		x0, x1 := l.from/1000, l.to/1000
		p.Always = append(p.Always, beam.Uniform(x0, x1, l.always))
		p.Placing = append(p.Placing, beam.Uniform(x0, x1, l.placing))
		p.Deflect = append(p.Deflect, beam.Uniform(x0, x1, l.deflect))
		p.Service = append(p.Service, beam.Uniform(x0, x1, l.service))
		sameService = sameService && math.Abs(l.deflect-l.service) < 1e-9
	}
	for _, l := range b.points {
		x := math.Min(math.Max(l.s/1000, 0), p.End)
		p.Always = append(p.Always, beam.Point(x, l.always))
		p.Placing = append(p.Placing, beam.Point(x, l.placing))
		p.Deflect = append(p.Deflect, beam.Point(x, l.deflect))
		p.Service = append(p.Service, beam.Point(x, l.service))
		sameService = sameService && math.Abs(l.deflect-l.service) < 1e-6
	}
	if sameService {
		p.Service = nil
	}
}

// lifts counts members that come off a support: in some pattern of placing,
// which asks for care on site, or even when everything is loaded.
func (a *auditor) lifts(b *bar, role string, at plane.Point) {
	for i, v := range b.eff.Full.Lifted {
		if v && !b.piece.EndsFixed {
			a.caution(b.ID, at, "the %s is off its support %d when everything is loaded", role, i+1)
			return
		}
	}
	if a.lifting == nil {
		a.lifting = map[string]int{}
	}
	a.lifting[role]++
}

// liftCautions says once how many members lift at an end while part of the
// deck is loaded.
func (a *auditor) liftCautions() {
	for _, role := range []string{"joist", "stringer"} {
		if n := a.lifting[role]; n > 0 {
			a.caution("deck", plane.Point{}, "%d %ss lift at an end while only part of their length is loaded: place the concrete evenly from one side, and keep their ends from tipping until it has passed", n, role)
		}
	}
}

// hand passes the reactions of a bar to what holds it up, and checks the seats.
func (a *auditor) hand(b *bar, role string, groups [][]int, res rules.BeamResistance) {
	// What is always there and what comes with placing, handed on apart: the
	// always part from its own share of the full load.
	always := b.eff.AlwaysReact
	for gi, g := range groups {
		top := b.eff.ReactMax[gi]
		svc := b.eff.ServiceReact[gi]
		for _, i := range g {
			st := b.sup[i]
			if st.share == 0 {
				continue
			}
			r := math.Max(0, top) * st.share // a held-down end pulls: its fixing is checked, nobody is relieved by it
			load := pointLoad{s: st.onS, always: math.Min(math.Max(0, always[gi]), math.Max(0, top)) * st.share, service: svc * st.share}
			load.placing = r - load.always
			load.deflect = b.eff.DeflectionResult.Reactions[gi] * st.share
			q := b.at(st.s)
			at := b.f.out(q[0], q[1])
			a.seat(b, role, st, r, at, res)
			if st.on != nil {
				st.on.points = append(st.on.points, load)
				continue
			}
			st.prop.max += r
			st.prop.svc += load.service
			for k, o := range st.prop.on {
				if o == b {
					st.prop.byBar[k] = r
				}
			}
		}
	}
}

// seat checks the pressing of one part on another.
func (a *auditor) seat(b *bar, role string, st station, r float64, at plane.Point, res rules.BeamResistance) {
	if res.Reaction > 0 {
		a.check(b.ID, role, "reaction", r, float64(res.Reaction), calc.Force, at, func() deck.Worked {
			return a.workSeat(b, role, "reaction", r, float64(res.Reaction), res.Lines, "rated support reaction")
		})
	}
	press := func(what string, pressed *catalog.Part, long, wide, end float64) {
		limit, lines, err := a.doc.Settings.Bearing(pressed, rules.Seat{Long: quantity.Length(long / 1000), Wide: quantity.Length(wide / 1000), FromEnd: quantity.Length(math.Max(0, end) / 1000)})
		if err != nil {
			a.find(b.ID, at, "%s: %v", what, err)
			return
		}
		a.check(b.ID, role, what, r, float64(limit), calc.Force, at, func() deck.Worked {
			return a.workSeat(b, role, what, r, float64(limit), lines, "force across the grain")
		})
	}
	if b.part.Kind == catalog.Lumber {
		wide := b.w
		if st.prop != nil {
			wide = math.Min(b.w, float64(st.prop.head.Seat.SeatWide.V)*1000/float64(len(st.prop.on)))
		}
		press("bearing", b.part, st.seat, wide, math.Min(st.s, b.len-st.s)-st.seat/2)
	}
	if st.on != nil && st.on.part.Kind == catalog.Lumber {
		press("bearing on the stringer", st.on.part, b.w, math.Min(st.seat, st.on.w), math.Min(st.onS, st.on.len-st.onS)-b.w/2)
	}
}

// propChecks compares every prop with its load at its real setting.
func (a *auditor) propChecks() {
	sum := 0.0
	for _, p := range a.props {
		sum += p.svc
		if len(p.on) == 0 {
			continue
		}
		own := p.part.Mass.V.Weight()
		if p.head != nil {
			own += p.head.Mass.V.Weight()
		}
		own *= quantity.Force(a.doc.Settings.PermanentFactor())
		load := math.Max(0, p.max) + float64(own)
		limit, lines, err := a.doc.Settings.Prop(p.part, quantity.Length(p.Length/1000))
		if err != nil {
			a.find(p.ID, p.at, "%v", err)
			continue
		}
		a.check(p.ID, "prop", "load", load, float64(limit), calc.Force, p.at, func() deck.Worked {
			return a.workProp(p, load, float64(own), float64(limit), lines)
		})
		a.headChecks(p)
		if p.Sill != "" && a.site.OnGround {
			a.sill(p, load)
		}
	}
	a.report.Totals.Applied = a.applied
	a.report.Totals.Reactions = sum
	if diff := math.Abs(sum - a.applied); diff > 0.02*a.applied {
		a.find("deck", plane.Point{}, "the props carry %.0f kN of the %.0f kN on the deck: part of the load has no path", sum/1000, a.applied/1000)
	}
}

// headChecks: no more beams than the head takes, and the load near its middle.
func (a *auditor) headChecks(p *post) {
	seat := p.head.Seat
	if len(p.on) > seat.Beams {
		a.find(p.ID, p.at, "%d beams lie on a head that takes %d", len(p.on), seat.Beams)
	}
	sum, turn := 0.0, 0.0
	for i, r := range p.byBar {
		sum += r
		turn += r * p.sides[i]
	}
	if sum > 0 {
		e := (math.Abs(turn/sum) + p.leans) / 1000
		limit := float64(seat.SeatWide.V) / 4
		a.check(p.ID, "head", "eccentricity", e, limit, calc.Length, p.at, func() deck.Worked {
			return deck.Worked{Kind: "head", What: "eccentricity", Member: p.ID, Part: p.head.ID, Lines: calc.Lines{
				calc.Line{Symbol: "e", Name: "distance of the load from the middle of the head", Value: e, Kind: calc.Length, Source: "seat width over 4", Evidence: calc.Practice,
					Terms: []calc.Term{calc.Num("b_seat", seat.SeatWide.V, calc.Length)}}.Check(limit, "b_seat / 4")}}
		})
	}
}

func (a *auditor) sill(p *post, load float64) {
	s := a.doc.Parts[p.Sill]
	if s == nil {
		return
	}
	plate := quantity.Length(0)
	if p.part.Shore != nil {
		plate = p.part.Shore.Plate.V
	} else {
		plate = p.part.Width.V
	}
	lines, err := a.doc.Settings.Sill(s, quantity.Force(load), plate)
	if err != nil {
		a.find(p.ID, p.at, "%v", err)
		return
	}
	for _, l := range lines {
		if l.IsCheck() {
			a.check(p.ID, "sill", l.Name, l.Value, *l.Limit, l.Kind, p.at, func() deck.Worked {
				return deck.Worked{Kind: "sill", What: l.Name, Member: p.ID, Part: s.ID, Lines: lines}
			})
		}
	}
}

// workBar writes the governing check of a joist or stringer in full.
func (a *auditor) workBar(b *bar, role string, l member.Limit, res rules.BeamResistance) deck.Worked {
	w := deck.Worked{Kind: role, What: l.What, Member: b.ID, Part: b.part.ID, Diagram: b.diagram()}
	switch l.What {
	case "bending":
		w.Lines = append(w.Lines, res.Lines...)
		w.Lines = append(w.Lines, calc.Line{Symbol: "M", Name: "greatest moment over the patterns of placing (" + b.eff.Pattern + ")", Value: l.Value, Kind: calc.Moment,
			Terms: []calc.Term{{Sym: "x", Val: l.At, Kind: calc.Length}}, Source: "statics", Evidence: calc.Derived}.Check(l.Limit, "M_allowed"))
	case "shear":
		w.Lines = append(w.Lines, res.Lines...)
		w.Lines = append(w.Lines, calc.Line{Symbol: "V", Name: "greatest shear over the patterns of placing", Value: l.Value, Kind: calc.Force,
			Terms: []calc.Term{{Sym: "x", Val: l.At, Kind: calc.Length}}, Source: "statics", Evidence: calc.Derived}.Check(l.Limit, "V_allowed"))
	case "deflection":
		span := 0.0
		for _, s := range b.eff.Spans {
			if l.At >= s.From-1e-9 && l.At <= s.To+1e-9 {
				span = s.To - s.From
				if s.Overhang {
					span *= 2
				}
			}
		}
		_, why := a.doc.Settings.DeflectionLimit(quantity.Length(span), false)
		w.Lines = append(w.Lines, calc.Line{Symbol: "L", Name: "span (an overhang counts twice)", Value: span, Kind: calc.Length, Evidence: calc.Derived, Source: "the deck as placed"},
			calc.Line{Symbol: "EI", Name: "bending stiffness", Value: b.piece.EI, Kind: calc.EI, Evidence: calc.Derived, Source: "see its bending check"},
			calc.Line{Symbol: "δ", Name: "deflection with everything loaded", Value: l.Value, Kind: calc.Length, Source: "statics; limit " + why, Evidence: calc.Derived}.Check(l.Limit, why))
	}
	return w
}

func (a *auditor) workSeat(b *bar, role, what string, r, limit float64, lines calc.Lines, name string) deck.Worked {
	return deck.Worked{Kind: role, What: what, Member: b.ID, Part: b.part.ID, Diagram: b.diagram(),
		Lines: append(append(calc.Lines(nil), lines...), calc.Line{Symbol: "R", Name: "greatest reaction over the patterns of placing, " + name, Value: r, Kind: calc.Force, Source: "statics", Evidence: calc.Derived}.Check(limit, "R_allowed"))}
}

func (a *auditor) workProp(p *post, load, own, limit float64, lines calc.Lines) deck.Worked {
	w := deck.Worked{Kind: "prop", What: "load", Member: p.ID, Part: p.part.ID, Lines: append(calc.Lines(nil), lines...)}
	terms := []calc.Term{}
	formula := ""
	for i := range p.on {
		s := fmt.Sprintf("R_%d", i+1)
		terms = append(terms, calc.Term{Sym: s, Val: p.byBar[i], Kind: calc.Force})
		formula += s + " + "
	}
	terms = append(terms, calc.Term{Sym: "G", Val: own, Kind: calc.Force})
	w.Lines = append(w.Lines, calc.Line{Symbol: "N", Name: "reactions of the stringers on it and its own weight", Formula: formula + "G", Terms: terms, Value: load, Kind: calc.Force, Source: "the load path as placed", Evidence: calc.Derived}.Check(limit, "N_allowed"))
	if len(p.on) > 0 {
		w.Diagram = p.on[0].diagram()
	}
	return w
}

// diagram samples a solved bar for its sketch.
func (b *bar) diagram() *deck.Diagram {
	if b.eff == nil {
		return nil
	}
	d := &deck.Diagram{End: b.piece.End, Supports: b.piece.Supports, Reactions: b.eff.Full.Reactions}
	for _, g := range b.groups() {
		st := b.sup[g[0]]
		if st.prop != nil {
			d.Names = append(d.Names, st.prop.ID)
		} else {
			d.Names = append(d.Names, st.on.ID)
		}
	}
	for _, l := range b.loads {
		w := l.always + l.placing
		if n := len(d.Loads); n > 0 && math.Abs(d.Loads[n-1].To-l.from/1000) < 1e-6 && math.Abs(d.Loads[n-1].W1-w) < 1 {
			d.Loads[n-1].To = l.to / 1000
			continue
		}
		d.Loads = append(d.Loads, deck.DiagramLoad{From: l.from / 1000, To: l.to / 1000, W1: w, W2: w})
	}
	for _, l := range b.points {
		d.Loads = append(d.Loads, deck.DiagramLoad{From: l.s / 1000, To: l.s / 1000, P: l.always + l.placing})
	}
	const samples = 120
	for i := 0; i <= samples; i++ {
		x := b.piece.End * float64(i) / samples
		d.X = append(d.X, x)
		d.M = append(d.M, b.eff.Full.Moment(x))
		d.V = append(d.V, b.eff.Full.Shear(x, beam.Right))
		d.D = append(d.D, b.eff.DeflectionResult.Deflection(x))
	}
	return d
}
