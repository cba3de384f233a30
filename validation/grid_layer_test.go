package validation

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// A deck laid by rule, as a foreman lays it: lines of stringers so far apart,
// props so far apart on them, joists of one length lapping past the lines. All
// its figures are common practice, no source. It is the yardstick that the
// layout engine is measured against, and shares no code with it.

// gridRule is the rule of one deck. Lengths in mm.
type gridRule struct {
	across    bool    // joists along x instead of y
	line      float64 // stringer line to line
	prop      float64 // prop to prop on a stringer
	spaces    int     // joist spaces to a sheet
	overhang  float64 // deck past the first and last line
	edge      float64 // most that a sheet may reach past its last joist beside a column or an edge
	start     float64 // first joist from the deck's border
	long      string  // the stringer
	joist     string  // the joist
	gradeStep float64 // grade prop to grade prop
	// What a foreman adds where it does not hold, in the job's axes.
	moreJoists, moreProps []plane.Point
}

// gridKit is what the rule is laid with: the parts and heights of the plan it is
// compared with, so that both decks differ in nothing but their pattern.
type gridKit struct {
	parts        map[string]*catalog.Part
	sheet        *catalog.Part
	beams        []*catalog.Part // every length of the kit, short to long
	grade, inter deck.Prop       // as they are set on this floor
	under        deck.Prop       // straight under a joist
	joistTop     float64
	stringerTop  float64
	soffit       float64
}

func lengthOf(p *catalog.Part) float64 { return float64(p.Length.V) * 1000 }

// least is the shortest beam of at least a length, nil when there is none.
func (k *gridKit) least(length float64) *catalog.Part {
	for _, b := range k.beams {
		if lengthOf(b) >= length-1 {
			return b
		}
	}
	return nil
}

// most is the longest beam of at most a length, nil when there is none.
func (k *gridKit) most(length float64) *catalog.Part {
	for i := len(k.beams) - 1; i >= 0; i-- {
		if lengthOf(k.beams[i]) <= length+0.01 {
			return k.beams[i]
		}
	}
	return nil
}

// gridJoist is a joist in the frame of the rule: along v at u.
type gridJoist struct {
	u, v0, v1 float64
	from, to  float64 // first and last line that it lies on
	part      *catalog.Part
}

// gridStub is a place for a short joist between a line and a column, on a prop of its own at the column.
type gridStub struct{ u, line, face, away float64 }

// gridUse is a joist's crossing of a line.
type gridUse struct{ u, v float64 }

// gridFloor lays one rule on one site. In its frame joists run along v.
type gridFloor struct {
	rule   gridRule
	kit    *gridKit
	site   *deck.Site
	deck   []plane.Shape // slab and strip, in (u, v)
	turned []plane.Shape // the same in (v, u), to scan along v
	blocks []plane.Ring
	stand  []plane.Shape
	gap    float64 // to columns and walls
	box    plane.Box
	lines  []float64 // v of the lines that run through
	joists []gridJoist
	uses   []gridUse
	stubs  []gridStub
	ends   []plane.Point // props under short joists
	out    deck.Deck
}

const gridHalf = 40.0 // half a beam, mm

func (g *gridFloor) swap(p plane.Point) plane.Point {
	if g.rule.across {
		return plane.Point{p[1], p[0]}
	}
	return p
}

func (g *gridFloor) shapes(in []plane.Shape) []plane.Shape {
	out := make([]plane.Shape, len(in))
	for i, s := range in {
		out[i] = s.Map(g.swap)
		out[i].Outer = out[i].Outer.CCW()
		for k, h := range out[i].Holes {
			out[i].Holes[k] = h.CCW()
		}
	}
	return out
}

// layGrid lays a rule on a site; edge forms, guards, ties and braces are those of the other plan.
func layGrid(rule gridRule, kit *gridKit, site *deck.Site, other *deck.Deck, gap float64) (*deck.Deck, error) {
	g := &gridFloor{rule: rule, kit: kit, site: site, gap: gap + 1}
	all, err := plane.Union(append(slices.Clone(site.Slab), site.Strip...))
	if err != nil {
		return nil, err
	}
	g.deck = g.shapes(all)
	for _, s := range g.deck {
		flip := func(p plane.Point) plane.Point { return plane.Point{p[1], p[0]} }
		g.turned = append(g.turned, s.Map(flip))
	}
	for _, b := range site.Blocks {
		g.blocks = append(g.blocks, b.Ring.Map(g.swap).CCW())
	}
	g.stand = g.shapes(site.Stand)
	g.box = plane.Bounds(g.deck)
	g.layLines()
	g.layJoists()
	g.fill()
	g.layStringers()
	for _, at := range g.ends {
		p := g.kit.under
		p.ID, p.Line, p.At = fmt.Sprintf("P%d", len(g.out.Props)+1), "joist", g.swap(at)
		g.out.Props = append(g.out.Props, p)
	}
	if err := g.laySheets(); err != nil {
		return nil, err
	}
	g.out.EdgeForms, g.out.Guards, g.out.Ties, g.out.Braces = other.EdgeForms, other.Guards, other.Ties, other.Braces
	return &g.out, nil
}

// blocked is where a strip along one axis, a to b wide, meets a block, along the
// other; count tells which blocks do, by their size across the strip.
func (g *gridFloor) blocked(a, b float64, alongV bool, count func(size float64) bool) plane.Spans {
	var out plane.Spans
	x, y := 0, 1
	if !alongV {
		x, y = 1, 0
	}
	for _, r := range g.blocks {
		box := r.Bounds()
		lo := [2]float64{box.X0, box.Y0}
		hi := [2]float64{box.X1, box.Y1}
		if hi[x] < a-g.gap || lo[x] > b+g.gap || !count(hi[x]-lo[x]) {
			continue
		}
		// Between a and b a ring reaches as far as its corners there and its sides at a and b.
		s := plane.Span{A: math.Inf(1), B: math.Inf(-1)}
		add := func(v float64) { s.A, s.B = math.Min(s.A, v), math.Max(s.B, v) }
		for i, p := range r {
			q := r[(i+1)%len(r)]
			if p[x] >= a-g.gap && p[x] <= b+g.gap {
				add(p[y])
			}
			for _, at := range []float64{a - g.gap, b + g.gap} {
				if (p[x] > at) != (q[x] > at) {
					add(p[y] + (q[y]-p[y])*(at-p[x])/(q[x]-p[x]))
				}
			}
		}
		if s.B >= s.A {
			out = append(out, plane.Span{A: s.A - g.gap, B: s.B + g.gap})
		}
	}
	return plane.Merge(out, 0)
}

func anySize(float64) bool  { return true }
func wide(s float64) bool   { return s > 1000 }
func narrow(s float64) bool { return s <= 1000 }

func without(all plane.Span, no plane.Spans) plane.Spans { return plane.Minus(plane.Spans{all}, no) }

// stands reports whether a prop may stand at a place.
func (g *gridFloor) stands(p plane.Point) bool {
	if g.site.OnGround {
		return true
	}
	if !plane.Within(g.stand, p) {
		return false
	}
	for _, s := range g.stand {
		for _, r := range s.Rings() {
			if r.DistanceTo(p) < 155 {
				return false
			}
		}
	}
	return true
}

// layLines sets the stringer lines a rule's pitch apart, each moved back by up
// to 2 ft where that brings it clear of columns; the last bay is what is left.
func (g *gridFloor) layLines() {
	hits := func(v float64) float64 {
		sum := 0.0
		for _, s := range g.blocked(v-2*gridHalf, v+2*gridHalf, false, anySize) {
			sum += s.Len()
		}
		return sum
	}
	pick := func(lo, hi float64) float64 { // the farthest of the places with the least in the way
		best, most := hi, hits(hi)
		for v := hi - 25; v >= lo; v -= 25 {
			if h := hits(v); h < most-1 {
				best, most = v, h
			}
		}
		return best
	}
	lo, hi := g.box.Y0, g.box.Y1
	least := 120.0
	if !g.site.OnGround {
		least = g.rule.overhang - 60
	}
	at := pick(lo+least, lo+g.rule.overhang)
	g.lines = []float64{at}
	end := hi - g.rule.overhang
	for at < end-1 {
		next := at + g.rule.line
		if next >= end {
			g.lines = append(g.lines, pick(end, math.Max(end, math.Min(hi-least, next))))
			break
		}
		at = pick(math.Max(at+g.rule.line-2*ft, at+400), next)
		g.lines = append(g.lines, at)
	}
}

// need is the deck along v near u, voids up to one bay bridged where nothing stands in them.
func (g *gridFloor) need(u float64) plane.Spans {
	var n plane.Spans
	for _, d := range []float64{-gridHalf - 60, -gridHalf, 0, gridHalf, gridHalf + 60} {
		n = append(n, plane.Scan(g.turned, u+d)...)
	}
	n = plane.Merge(n, 1500)
	var out plane.Spans
	walls := g.blocked(u-gridHalf, u+gridHalf, true, wide)
	for _, s := range n {
		for _, f := range without(s, walls) {
			if f.Len() > 150 {
				out = append(out, f)
			}
		}
	}
	return out
}

// chain is the lines that a stretch of deck from a to b lies on: those that run
// through it, and its own beside a wall or a re-entrant edge.
func (g *gridFloor) chain(s plane.Span) []float64 {
	var at []float64
	for _, l := range g.lines {
		if l > s.A+80 && l < s.B-80 {
			at = append(at, l)
		}
	}
	most := math.Max(g.rule.overhang, 620) + 60
	in := math.Min(300, s.Len()/4)
	if len(at) == 0 {
		at = append(at, s.A+in)
	}
	if at[0]-s.A > most {
		at = append([]float64{s.A + in}, at...)
	}
	if s.B-at[len(at)-1] > most || len(at) == 1 {
		last := s.B - in
		if last-at[len(at)-1] < 200 {
			last = at[len(at)-1] - math.Min(600, (at[len(at)-1]-s.A)*0.8)
		}
		at = append(at, last)
		sort.Float64s(at)
	}
	return at
}

// parity is the side of its place that a joist from a line lies on: lapping
// joists lie side by side.
func (g *gridFloor) parity(from float64) int {
	i := sort.SearchFloat64s(g.lines, from-1)
	return (i / g.bays()) % 2
}

// bays is how many bays one joist spans.
func (g *gridFloor) bays() int {
	return max(1, int((lengthOf(g.kit.parts[g.rule.joist])-300)/g.rule.line))
}

func (g *gridFloor) pitch() float64 { return lengthOf(g.kit.sheet) / float64(g.rule.spaces) }

func (g *gridFloor) layJoists() {
	p := g.pitch()
	first := g.box.X0 - gridHalf + g.rule.start
	for first > g.box.X0+2*gridHalf {
		first -= p
	}
	for i := 0; ; i++ {
		u := first + float64(i)*p
		if u > g.box.X1+2*gridHalf+20 {
			break
		}
		g.row(u, math.Inf(-1), math.Inf(1), true)
	}
	for _, s := range g.stubs {
		g.stub(s)
	}
}

// stub lays a short joist from a line to a column's face where the joists
// beside the column are too far apart for the sheets.
func (g *gridFloor) stub(s gridStub) {
	run := (s.line - s.face) * s.away
	part := g.kit.least(run + 150)
	if run < 250 || part == nil {
		return
	}
	left, right := math.Inf(-1), math.Inf(1)
	for _, u := range g.near(s.face + s.away*60) {
		if u <= s.u {
			left = math.Max(left, u)
		} else {
			right = math.Min(right, u)
		}
	}
	if right-left < 1.1*g.pitch() {
		return
	}
	v0, v1 := s.face, s.face+s.away*lengthOf(part)
	v0, v1 = math.Min(v0, v1), math.Max(v0, v1)
	for _, d := range []float64{0, gridHalf, -gridHalf, 2 * gridHalf, -2 * gridHalf} {
		u := s.u + d
		prop := plane.Point{u, s.face + s.away*120}
		if in, ok := without(plane.Span{A: v0 - 1, B: v1 + 1}, g.blocked(u-gridHalf, u+gridHalf, true, anySize)).Around((v0 + v1) / 2); !ok || in.A > v0+1.5 || in.B < v1-1.5 || !g.stands(prop) {
			continue
		}
		if slices.ContainsFunc(g.joists, func(o gridJoist) bool {
			return math.Abs(o.u-u) < 2*gridHalf-0.01 && o.v0 < v1 && o.v1 > v0
		}) {
			continue
		}
		g.joists = append(g.joists, gridJoist{u, v0, v1, s.line, s.line, part})
		for _, l := range g.lines {
			if l > v0+45 && l < v1-45 {
				g.uses = append(g.uses, gridUse{u, l})
			}
		}
		g.ends = append(g.ends, prop)
		return
	}
}

// row lays the joists at one place, those that meet v0 to v1; sided: lapping to
// both sides of the place.
func (g *gridFloor) row(u, v0, v1 float64, sided bool) {
	for _, s := range g.need(u) {
		at := g.chain(s)
		side := -1
		for i := 0; i < len(at)-1; {
			k := i + 1
			for k < len(at)-1 && at[k+1]-at[i] <= lengthOf(g.kit.parts[g.rule.joist])-300 {
				k++
			}
			if side < 0 {
				side = g.parity(at[i])
			} else {
				side = 1 - side
			}
			x := u
			if sided {
				x += float64(2*side-1) * gridHalf
			}
			from, to := at[i], at[k]
			reachA, reachB := from-150, to+150
			if i == 0 {
				reachA = math.Min(s.A, from-80)
			}
			if k == len(at)-1 {
				reachB = math.Max(s.B, to+80)
			}
			if reachB > v0 && reachA < v1 {
				g.joist(x, from, to, reachA, reachB, i == 0, k == len(at)-1)
			}
			i = k
		}
	}
}

// joist lays one joist on its lines, or two beside the column in its way.
func (g *gridFloor) joist(u, from, to, a, b float64, first, last bool) {
	if g.lay(u, from, to, a, b, first, last) {
		return
	}
	// What is in the way, between the lines: lie beside it.
	for _, r := range g.blocks {
		box := r.Bounds()
		if box.X1 < u-gridHalf-g.gap || box.X0 > u+gridHalf+g.gap || box.Y1 < from-100 || box.Y0 > to+100 || !narrow(box.X1-box.X0) {
			continue
		}
		left, right := box.X0-g.gap-gridHalf-6, box.X1+g.gap+gridHalf+6
		// One beside it is enough when the sheets still reach its neighbours.
		p := g.pitch()
		try := func(at, step float64) bool { // as near to the column as what lies there leaves room
			return g.lay(at, from, to, a, b, first, last) || g.lay(at+step, from, to, a, b, first, last) || g.lay(at+2*step, from, to, a, b, first, last)
		}
		if right-u <= 0.2*p && try(right, gridHalf) || u-left <= 0.2*p && try(left, -gridHalf) {
			return
		}
		try(left, -gridHalf)
		try(right, gridHalf)
		if box.Y1-box.Y0 > 1000 { // a wall
			return
		}
		g.stubs = append(g.stubs, gridStub{u, from, box.Y0 - g.gap, -1}, gridStub{u, to, box.Y1 + g.gap, 1})
		return
	}
}

// lay puts a joist where nothing is in its way: the rule's length where it
// fits, a shorter or longer one of the kit where it must.
func (g *gridFloor) lay(u, from, to, a, b float64, first, last bool) bool {
	free := without(plane.Span{A: a - 4000, B: b + 4000}, g.blocked(u-gridHalf, u+gridHalf, true, anySize))
	in, ok := free.Around((from + to) / 2)
	if !ok || in.A > from-45 || in.B < to+45 {
		return false
	}
	a, b = math.Max(a, in.A), math.Min(b, in.B)
	part := g.kit.parts[g.rule.joist]
	if length := lengthOf(part); length < b-a-1 {
		if longer := g.kit.least(b - a); longer != nil {
			part = longer
		}
	}
	if lengthOf(part) > in.Len() {
		if part = g.kit.most(in.Len()); part == nil || lengthOf(part) < to-from+90 {
			return false
		}
	}
	length := lengthOf(part)
	v0 := (from+to)/2 - length/2
	switch {
	case first && last:
		v0 = (a+b)/2 - length/2
	case first:
		v0 = math.Max(a, from-length+(to-from)+45) // in from the edge: its tail laps farther
		if v0+length < to+45 {
			v0 = to + 45 - length
		}
	case last:
		v0 = b - length
		if v0 > from-45 {
			v0 = from - 45
		}
	}
	v0 = math.Min(math.Max(v0, in.A), in.B-length)
	// It may slide along to pass another that lies at the same place.
	for _, o := range g.joists {
		if math.Abs(o.u-u) < 2*gridHalf-0.01 && o.v0 < v0+length && o.v1 > v0 {
			if math.Abs(o.from-from) < 1 && math.Abs(o.to-to) < 1 {
				return true // there is one already
			}
			if o.from >= to-1 && o.v0-length <= from-45 && o.v0 >= to+45 {
				v0 = o.v0 - length
			} else if o.to <= from+1 && o.v1 <= from-45 && o.v1+length >= to+45 {
				v0 = o.v1
			} else {
				return false
			}
		}
	}
	if v0 < in.A-0.01 || v0+length > in.B+0.01 || v0 > from-45+0.01 || v0+length < to+45-0.01 {
		return false
	}
	for _, o := range g.joists {
		if math.Abs(o.u-u) < 2*gridHalf-0.01 && o.v0 < v0+length-0.01 && o.v1 > v0+0.01 {
			return false
		}
	}
	g.joists = append(g.joists, gridJoist{u, v0, v0 + length, from, to, part})
	for _, l := range g.lines {
		if l > v0+45 && l < v0+length-45 && l > from-1 && l < to+1 {
			g.uses = append(g.uses, gridUse{u, l})
		}
	}
	for _, l := range []float64{from, to} {
		if !slices.Contains(g.lines, l) {
			g.uses = append(g.uses, gridUse{u, l})
		}
	}
	return true
}

// near gives the places of the joists that lie at v, in order.
func (g *gridFloor) near(v float64) []float64 {
	var at []float64
	for _, j := range g.joists {
		if j.v0 <= v && j.v1 >= v {
			at = append(at, j.u)
		}
	}
	sort.Float64s(at)
	return at
}

// oneMore lays one more joist at u, or as near to it as others leave room, where s is deck.
func (g *gridFloor) oneMore(u, v float64, s plane.Span) {
	for _, d := range []float64{0, gridHalf, -gridHalf, 2*gridHalf + 2, -2*gridHalf - 2, 3 * gridHalf, -3 * gridHalf, 4 * gridHalf, -4 * gridHalf} {
		before := len(g.joists)
		if u+d > s.A-gridHalf && u+d < s.B+gridHalf {
			g.row(u+d, v-1, v+1, false)
		}
		if len(g.joists) > before {
			return
		}
	}
}

// fill adds joists where a sheet would reach too far: beside a column, at an
// edge, beside a joist that had to give way.
func (g *gridFloor) fill() {
	for range 2 {
		for v := g.box.Y0 + 60; v < g.box.Y1; v += 120 {
			for _, s := range plane.Scan(g.deck, v) {
				if s.Len() < 60 {
					continue
				}
				at := slices.DeleteFunc(g.near(v), func(u float64) bool { return u < s.A-gridHalf || u > s.B+gridHalf })
				in := gridHalf + g.gap + 6
				want := func(u float64) { g.oneMore(u, v, s) }
				if len(at) == 0 {
					want(s.A + in)
					want(s.B - in)
					continue
				}
				if at[0]-gridHalf-s.A > g.rule.edge {
					want(s.A + in)
				}
				if n := len(at) - 1; s.B-at[n]-gridHalf > g.rule.edge {
					want(s.B - in)
				}
				for i := 1; i < len(at); i++ {
					if d := at[i] - at[i-1]; d > g.pitch()+2*gridHalf+20 {
						want((at[i] + at[i-1]) / 2)
					}
				}
			}
		}
	}
	for _, m := range g.rule.moreJoists {
		p := g.swap(m)
		g.oneMore(p[0], p[1], plane.Span{A: g.box.X0, B: g.box.X1})
	}
	for i, j := range g.joists {
		g.member(&g.out.Joists, fmt.Sprintf("J%d", i+1), "", j.part, plane.Point{j.u, j.v0}, plane.Point{j.u, j.v1}, g.kit.joistTop)
	}
}

func (g *gridFloor) member(list *[]deck.Member, id, line string, part *catalog.Part, from, to plane.Point, top float64) {
	*list = append(*list, deck.Member{ID: id, Field: "I", Line: line, Part: part.ID, From: g.swap(from), To: g.swap(to), Top: top})
}

// layStringers lays stringers along every line under the joists that use it.
func (g *gridFloor) layStringers() {
	var at []float64
	for _, u := range g.uses {
		at = append(at, u.v)
	}
	sort.Float64s(at)
	at = slices.Compact(at)
	for i, v := range at {
		var under plane.Spans
		for _, u := range g.uses {
			if u.v == v {
				under = append(under, plane.Span{A: u.u - gridHalf, B: u.u + gridHalf})
			}
		}
		reach := math.Max(2*g.pitch(), 1300)
		for _, run := range plane.Merge(under, reach) {
			free := without(plane.Span{A: run.A - 6000, B: run.B + 6000}, g.blocked(v-2*gridHalf, v+2*gridHalf, false, anySize))
			for _, f := range free {
				// The part of the run in this free stretch, from its first joist to its last.
				part := plane.Span{A: math.Inf(1), B: math.Inf(-1)}
				for _, u := range under {
					if u.A >= f.A-1 && u.B <= f.B+1 && u.A >= run.A-1 && u.B <= run.B+1 {
						part.A, part.B = math.Min(part.A, u.A), math.Max(part.B, u.B)
					}
				}
				if part.B > part.A {
					g.run(i, v, part, f)
				}
			}
		}
	}
	g.out.Fields = []deck.Field{{Name: "I", Zone: g.site.Zones[0].Name, Joists: 90}}
	if g.rule.across {
		g.out.Fields[0].Joists = 0
	}
}

// standing is the stretch of a line in which props can stand.
func (g *gridFloor) standing(v, a, b float64) (float64, float64, bool) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for u := a; u <= b; u += 20 {
		if g.stands(plane.Point{u, v}) {
			lo, hi = math.Min(lo, u), math.Max(hi, u)
		}
	}
	return lo, hi, hi > lo
}

// run lays the stringers of one stretch: of the rule's length, lapping on grade
// props; the last as long as what is left asks.
func (g *gridFloor) run(line int, v float64, need, free plane.Span) {
	long := g.kit.parts[g.rule.long]
	ex := (lengthOf(long) - g.rule.gradeStep) / 2
	type piece struct {
		part   *catalog.Part
		a, b   float64
		g0, g1 float64 // grade props
	}
	var pieces []piece
	fit := func(a, b float64) (piece, bool) { // one piece over a to b
		part := g.kit.least(b - a)
		if part == nil || lengthOf(part) > free.Len() {
			part = g.kit.most(free.Len())
		}
		if part == nil {
			return piece{}, false
		}
		l := lengthOf(part)
		c := math.Min(math.Max((a+b)/2-l/2, free.A), free.B-l)
		return piece{part: part, a: c, b: c + l}, true
	}
	if need.Len() <= lengthOf(long) || g.kit.least(need.Len()) != nil && need.Len() <= free.Len() {
		p, ok := fit(need.A, need.B)
		if !ok {
			return
		}
		in := math.Min(ex, need.Len()*0.15)
		p.g0, p.g1 = math.Max(need.A+in, p.a+100), math.Min(need.B-in, p.b-100)
		if a, b, ok := g.standing(v, p.a, p.b); ok {
			p.g0, p.g1 = math.Max(p.g0, a), math.Min(p.g1, b)
		}
		pieces = append(pieces, p)
	} else {
		g0, end := need.A+ex, need.B
		if a, b, ok := g.standing(v, need.A, need.B); ok {
			g0, end = math.Max(g0, a), b
		}
		at := math.Max(math.Min(g0-ex, need.A), free.A) // where the piece begins
		for {
			p := piece{part: long, a: at, g0: g0}
			if part := g.kit.least(need.B - at); part != nil && lengthOf(part) <= free.Len() { // the last
				p.part = part
				p.a = math.Min(at, free.B-lengthOf(part))
				p.b = p.a + lengthOf(part)
				p.g1 = math.Min(math.Min(p.b-150, need.B-math.Min(ex, 400)), end)
				pieces = append(pieces, p)
				break
			}
			p.a = math.Min(at, free.B-lengthOf(long))
			p.b = p.a + lengthOf(long)
			p.g1 = p.b - ex
			pieces = append(pieces, p)
			if p.b >= need.B-1 {
				break
			}
			g0, at = p.g1, p.g1-ex
		}
	}
	name := fmt.Sprintf("L%d", line)
	for i, p := range pieces {
		side := 0.0
		if len(pieces) > 1 {
			side = float64(2*(i%2)-1) * gridHalf
		}
		g.member(&g.out.Stringers, fmt.Sprintf("T%d", len(g.out.Stringers)+1), name, p.part, plane.Point{p.a, v + side}, plane.Point{p.b, v + side}, g.kit.stringerTop)
		if i == 0 {
			g.prop(true, name, p.g0, v+side, p.a, p.b)
		}
		n := int(math.Ceil((p.g1-p.g0)/g.rule.prop - 1e-6))
		for k := 1; k < n; k++ {
			g.prop(false, name, p.g0+(p.g1-p.g0)*float64(k)/float64(n), v+side, p.a, p.b)
		}
		at := v + side
		if i < len(pieces)-1 {
			at = v
		}
		g.prop(true, name, p.g1, at, p.a, p.b)
		for _, m := range g.rule.moreProps {
			if q := g.swap(m); math.Abs(q[1]-v-side) < 3 && q[0] > p.a && q[0] < p.b {
				g.prop(false, name, q[0], v+side, p.a, p.b)
			}
		}
	}
}

// prop stands under a stringer from a to b, moved along it by up to 2 ft where it cannot stand.
func (g *gridFloor) prop(grade bool, line string, u, v, a, b float64) {
	ok := func(u float64) bool {
		at := plane.Point{u, v}
		if u < a+20 || u > b-20 || !g.stands(at) {
			return false
		}
		for _, q := range g.out.Props {
			p := g.swap(q.At)
			if math.Abs(p[0]-u) < 92 && math.Abs(p[1]-v) < 92 {
				return false
			}
		}
		return true
	}
	for d := 0.0; d <= 600; d += 25 {
		for _, sign := range []float64{1, -1} {
			if x := u + sign*d; ok(x) {
				p := g.kit.inter
				if grade {
					p = g.kit.grade
				}
				p.ID, p.Line, p.At = fmt.Sprintf("P%d", len(g.out.Props)+1), line, g.swap(plane.Point{x, v})
				g.out.Props = append(g.out.Props, p)
				return
			}
		}
	}
}

// laySheets covers the deck row by row, whole sheets with their joints on joists.
func (g *gridFloor) laySheets() error {
	w, long := float64(g.kit.sheet.Width.V)*1000, lengthOf(g.kit.sheet)
	for v0 := g.box.Y0; v0 < g.box.Y1-1; {
		v1 := v0 + w
		// A row ends where joists lap, when the next would run past the lap.
		for _, l := range g.lines[1:] {
			if l-g.lines[0] > 1 && l < g.lines[len(g.lines)-1]-1 && v0 < l-150 && v1 > l+150 {
				if lap := g.lap(l); lap.Len() > 100 && v1 > lap.B+1 && v0 < lap.A-1 {
					v1 = lap.B - 10
				}
			}
		}
		if err := g.sheetRow(v0, v1, w, long); err != nil {
			return err
		}
		v0 = v1
	}
	return nil
}

// lap is where joists from both sides lie beside each other at a line.
func (g *gridFloor) lap(l float64) plane.Span {
	s := plane.Span{A: l - 1e4, B: l + 1e4}
	for _, j := range g.joists {
		if math.Abs(j.to-l) < 1 {
			s.B = math.Min(s.B, j.v1)
		}
		if math.Abs(j.from-l) < 1 {
			s.A = math.Max(s.A, j.v0)
		}
	}
	return s
}

func (g *gridFloor) sheetRow(v0, v1, w, long float64) error {
	row := []plane.Shape{{Outer: plane.Rect(g.box.X0-500, v0, g.box.X1+500, v1)}}
	inRow, err := plane.Intersection(g.deck, row)
	if err != nil {
		return err
	}
	var spans plane.Spans
	for _, s := range inRow {
		b := s.Outer.Bounds()
		spans = append(spans, plane.Span{A: b.X0, B: b.X1})
	}
	var at []float64 // joists that carry a joint all over the row
	for _, j := range g.joists {
		if j.v0 <= math.Max(v0, g.box.Y0)+130 && j.v1 >= math.Min(v1, g.box.Y1)-130 {
			at = append(at, j.u)
		}
	}
	sort.Float64s(at)
	for _, s := range plane.Merge(spans, 1) {
		a := s.A
		for _, u := range at { // a whole sheet may start a little outside
			if u > s.A-2*gridHalf-60 && u <= s.A && g.clearAt(u, s.A, v0, v1) {
				a = u
			}
		}
		for a < s.B-1 {
			b := s.B
			if s.B-a > long+0.5 {
				b = a + long
				for i := len(at) - 1; i >= 0; i-- {
					if at[i] <= a+long+0.5 && at[i] > a+100 {
						b = at[i]
						break
					}
				}
			} else if a+long-s.B < 130 && g.clearAt(s.B, a+long, v0, v1) {
				b = a + long // whole, a little past the edge
			}
			if err := g.sheet(a, v0, b, v1, w, long); err != nil {
				return err
			}
			a = b
		}
	}
	return nil
}

// clearAt reports whether no block lies between u0 and u1.
func (g *gridFloor) clearAt(u0, u1, v0, v1 float64) bool {
	for _, s := range g.blocked(u0, u1, true, anySize) {
		if s.A < v1 && s.B > v0 {
			return false
		}
	}
	return true
}

func (g *gridFloor) sheet(u0, v0, u1, v1, w, long float64) error {
	rect := []plane.Shape{{Outer: plane.Rect(u0, v0, u1, v1)}}
	over, err := plane.Difference(rect, g.deck)
	if err != nil {
		return err
	}
	whole := u1-u0 > long-1 && v1-v0 > w-1
	for _, o := range over {
		if b := o.Outer.Bounds(); math.Min(b.X1-b.X0, b.Y1-b.Y0) > 135 {
			whole = false
		}
	}
	whole = whole && g.clearAt(u0+2*g.gap, u1-2*g.gap, v0+2*g.gap, v1-2*g.gap)
	pieces := rect
	if !whole {
		if pieces, err = plane.Intersection(rect, g.deck); err != nil {
			return err
		}
	}
	grain := 0.0
	if g.rule.across {
		grain = 90
	}
	for _, p := range pieces {
		if p.Area() < 1e4 {
			continue
		}
		s := p.Map(g.swap)
		s.Outer = s.Outer.CCW()
		for i := range s.Holes {
			s.Holes[i] = s.Holes[i].CCW()
		}
		g.out.Sheets = append(g.out.Sheets, deck.Sheet{ID: fmt.Sprintf("S%d", len(g.out.Sheets)+1), Field: "I", Part: g.kit.sheet.ID,
			Shape: s, Grain: grain, Cut: !whole, Z: g.kit.soffit})
	}
	return nil
}

// strengthened is a rule with what a foreman would add where the audit says that
// a deck does not hold: an intermediate prop halfway to those beside the place,
// a joist where a sheet or a joist gives too much.
func (r gridRule) strengthened(d *deck.Deck, fails []deck.Finding) (gridRule, bool) {
	along, over := 0, 1
	if r.across {
		along, over = 1, 0
	}
	r.moreJoists, r.moreProps = slices.Clone(r.moreJoists), slices.Clone(r.moreProps)
	added := false
	propAt := func(at plane.Point, only string) {
		for _, m := range d.Stringers {
			if math.Abs(m.From[over]-at[over]) > 60 || at[along] < m.From[along]-1 || at[along] > m.To[along]+1 || only != "" && only != m.ID {
				continue
			}
			var below, above = m.From[along], m.To[along]
			for _, q := range d.Props {
				if math.Abs(q.At[over]-m.From[over]) > 60 {
					continue
				}
				switch x := q.At[along]; {
				case x < at[along]-60:
					below = math.Max(below, x)
				case x > at[along]+60:
					above = math.Min(above, x)
				}
			}
			for _, x := range []float64{(below + at[along]) / 2, (above + at[along]) / 2} {
				if math.Abs(x-at[along]) < 150 {
					continue
				}
				var p plane.Point
				p[along], p[over] = x, m.From[over]
				if !slices.ContainsFunc(r.moreProps, func(o plane.Point) bool { return math.Hypot(o[0]-p[0], o[1]-p[1]) < 150 }) {
					r.moreProps, added = append(r.moreProps, p), true
				}
			}
		}
	}
	for _, f := range fails {
		if f.Member == "" {
			continue
		}
		switch f.Member[0] {
		case 'T':
			propAt(f.At, f.Member)
		case 'P':
			propAt(f.At, "")
		case 'S', 'J':
			if !slices.ContainsFunc(r.moreJoists, func(o plane.Point) bool { return math.Hypot(o[0]-f.At[0], o[1]-f.At[1]) < 500 }) {
				r.moreJoists, added = append(r.moreJoists, f.At), true
			}
		}
	}
	return r, added
}
