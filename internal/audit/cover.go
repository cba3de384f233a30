package audit

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"shoreward/internal/calc"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// coverStep is the distance of the scan lines that measure cover, mm.
const coverStep = 10.0

// bareLimit is how much of the deck may lie bare in all before it counts as a
// gap, cm2: the width of saw cuts and rounding, not a place a foot finds.
const bareLimit = 50.0

// cover is what no sheet covers, and what sheets cover twice.
type cover struct{ bare, twice gap }

// toCover is the deck and the sheets that lie at their soffit: all that lies
// side by side at once, and under it, apart, what each zone's deck covers beside
// its sides, below the sheets of a higher zone.
func (a *auditor) toCover() []coverLevel {
	var all coverLevel
	for _, s := range slices.Concat(a.site.Slab, a.site.Strip) {
		all.want = append(all.want, scanned{shape: s})
	}
	var under []coverLevel
	at := map[string]int{}
	for _, z := range a.site.Zones {
		if len(z.Room) > 0 {
			at[z.Name] = len(under)
			var l coverLevel
			for _, s := range slices.Concat(z.Shapes, z.Strip, z.Room) {
				l.want = append(l.want, scanned{shape: s})
			}
			under = append(under, l)
		}
	}
	for _, p := range a.plates {
		if math.Abs(p.Z-p.f.zone.zone.Soffit) > heightTolerance {
			continue
		}
		s := scanned{shape: p.Shape, id: p.ID}
		if i, ok := at[p.f.Zone]; ok {
			under[i].have = append(under[i].have, s)
			// Seen from above, its part under a higher zone is not there.
			cut, err := plane.Difference([]plane.Shape{p.Shape}, p.f.zone.zone.Room)
			if err != nil {
				a.find(p.ID, p.middle(), "cannot tell what the sheet covers: %v", err)
			}
			for _, c := range cut {
				all.have = append(all.have, scanned{shape: c, id: p.ID})
			}
			continue
		}
		all.have = append(all.have, s)
	}
	return append([]coverLevel{all}, under...)
}

// coverLevel is a deck at one level and the sheets that should cover it.
type coverLevel struct{ want, have []scanned }

// measureLevels adds up what lies bare at each level.
func measureLevels(levels []coverLevel) cover {
	var sum cover
	for _, l := range levels {
		c := measureCover(l.want, l.have)
		for _, g := range []struct{ to, one *gap }{{&sum.bare, &c.bare}, {&sum.twice, &c.twice}} {
			g.to.area += g.one.area
			if g.one.widest > g.to.widest {
				g.to.widest, g.to.at = g.one.widest, g.one.at
			}
		}
	}
	return sum
}

// measureCover measures the deck area under no sheet, scanning once along x and
// once along y: a gap that falls between the lines of one lies along those of the
// other. Sheets must lie on the deck and not on each other.
func measureCover(want, have []scanned) cover {
	bare, twice := scanCover(want, have)
	flip := func(in []scanned) []scanned {
		out := make([]scanned, len(in))
		for i, s := range in {
			out[i] = scanned{shape: s.shape.Map(func(p plane.Point) plane.Point { return plane.Point{p[1], p[0]} }), id: s.id}
		}
		return out
	}
	bareY, twiceY := scanCover(flip(want), flip(have))
	if bareY.area > bare.area {
		bare = bareY
		bare.at[0], bare.at[1] = bare.at[1], bare.at[0]
	}
	if twiceY.area > twice.area {
		twice = twiceY
		twice.at[0], twice.at[1] = twice.at[1], twice.at[0]
	}
	return cover{bare, twice}
}

// reportCover says where the deck lies bare or sheets lie on each other.
func (a *auditor) reportCover(c cover) {
	bare, twice := c.bare, c.twice
	a.report.BareCm2 = math.Round(bare.area) / 100
	if a.report.BareCm2 > bareLimit {
		a.find("deck", bare.at, "%.0f cm2 of deck lie under no sheet, the widest gap here", a.report.BareCm2)
	}
	if twice.area > bareLimit*100 {
		a.find("deck", twice.at, "sheets lie on each other over %.0f cm2", twice.area/100)
	}
}

type scanned struct {
	shape  plane.Shape
	id     string
	lo, hi float64
	across plane.Span // its extent, where it is a rectangle along the axes
}

// prepare notes where a shape lies.
func (s *scanned) prepare() {
	b := s.shape.Outer.Bounds()
	s.lo, s.hi = b.Y0, b.Y1
	if len(s.shape.Outer) == 4 && len(s.shape.Holes) == 0 && s.shape.Area() > (b.X1-b.X0)*(b.Y1-b.Y0)*(1-1e-9) {
		s.across = plane.Span{A: b.X0, B: b.X1}
	}
}

// scan adds what a line at y cuts of it.
func (s *scanned) scan(to plane.Spans, y float64) plane.Spans {
	if s.across.Len() > 0 {
		if s.lo <= y && y < s.hi {
			to = append(to, s.across)
		}
		return to
	}
	return append(to, plane.Scan([]plane.Shape{s.shape}, y)...)
}

// gap is an area in mm2 and the middle of its widest place.
type gap struct {
	area, widest float64
	at           plane.Point
}

func (g *gap) add(s plane.Span, y float64) {
	g.area += s.Len() * coverStep
	if s.Len() > g.widest {
		g.widest, g.at = s.Len(), plane.Point{(s.A + s.B) / 2, y}
	}
}

// scanCover finds what of want lies outside all of have, and where have
// overlaps itself, by scan lines a step apart and moved about within it.
func scanCover(want, have []scanned) (bare, twice gap) {
	y0, y1 := math.Inf(1), math.Inf(-1)
	prepare := func(list []scanned) {
		for i := range list {
			list[i].prepare()
		}
		sort.SliceStable(list, func(i, j int) bool { return list[i].lo < list[j].lo })
	}
	prepare(want)
	prepare(have)
	for _, w := range want {
		y0, y1 = math.Min(y0, w.lo), math.Max(y1, w.hi)
	}
	nextW, nextH := 0, 0
	var liveW, liveH []scanned
	var w, h plane.Spans
	step := func(list []scanned, next *int, live []scanned, y float64) []scanned {
		for *next < len(list) && list[*next].lo <= y {
			live = append(live, list[*next])
			*next++
		}
		keep := live[:0]
		for _, s := range live {
			if s.hi >= y {
				keep = append(keep, s)
			}
		}
		return keep
	}
	for k := 0; y0+float64(k)*coverStep < y1; k++ {
		y := y0 + (float64(k)+jitter(k))*coverStep
		liveW, liveH = step(want, &nextW, liveW, y), step(have, &nextH, liveH, y)
		w, h = w[:0], h[:0]
		for i := range liveW {
			w = liveW[i].scan(w, y)
		}
		for i := range liveH {
			h = liveH[i].scan(h, y)
		}
		slices.SortFunc(h, func(a, b plane.Span) int { return cmp.Compare(a.A, b.A) })
		for i := 1; i < len(h); i++ {
			if over := h[i-1].B - h[i].A; over > 1 {
				twice.add(plane.Span{A: h[i].A, B: h[i-1].B}, y)
			}
		}
		for _, s := range plane.Minus(plane.Merge(w, 0.02), plane.Merge(h, 0.02)) {
			bare.add(s, y)
		}
	}
	return bare, twice
}

// jitter moves scan lines within their step by a fixed irregular amount, so
// that no regular seam can hide between them.
func jitter(k int) float64 {
	_, f := math.Modf(float64(k)*0.6180339887498949 + 0.31)
	return 0.05 + 0.9*f
}

// clashes finds parts in places where they cannot be: in columns, walls and
// neighbouring pours, in another zone's forms, or in each other.
func (a *auditor) clashes() {
	for _, p := range a.plates {
		box := p.Shape.Outer.Bounds()
		for _, b := range a.kept[p.f].sheets {
			if !box.Overlaps(b.shape.Outer.Bounds(), 0) {
				continue
			}
			got, err := plane.Intersection([]plane.Shape{p.Shape}, []plane.Shape{b.shape})
			if err != nil {
				a.find(p.ID, p.middle(), "cannot tell whether the sheet is clear of %s: %v", b.name, err)
				continue
			}
			if area := plane.Area(got); area > 1000 {
				a.find(p.ID, p.middle(), "the sheet runs %.0f cm2 into %s", area/100, b.name)
			}
		}
	}
	for role, list := range a.bars {
		name := []string{"joist", "stringer"}[role]
		for _, b := range list {
			ring := b.outline(0)
			box := ring.Bounds()
			for _, k := range a.kept[b.f].members {
				if box.Overlaps(k.shape.Outer.Bounds(), 0) && overlapShape(ring, k.shape) {
					a.find(b.ID, b.f.out(b.at(b.len / 2)[0], b.at(b.len / 2)[1]), "the %s runs into %s", name, k.name)
				}
			}
		}
		a.barClashes(list, name)
	}
	boxes := make([]plane.Box, len(a.site.Blocks))
	for i, b := range a.site.Blocks {
		boxes[i] = b.Ring.Bounds()
	}
	grid, order := newPostGrid(a.props), map[*post]int{}
	for i, p := range a.props {
		order[p] = i
	}
	for i, p := range a.props {
		tube := plane.Box{X0: p.at[0], Y0: p.at[1], X1: p.at[0], Y1: p.at[1]}
		for k, b := range a.site.Blocks {
			if b.Kind != "joint" && boxes[k].Overlaps(tube, deck.TubeHalf) && (b.Ring.Contains(p.at) || b.Ring.DistanceTo(p.at) < deck.TubeHalf) {
				a.find(p.ID, p.at, "the prop stands in %s", b.Name)
			}
		}
		for _, q := range grid.within(tube, deck.PropsApart) {
			if order[q] > i && math.Abs(p.at[0]-q.at[0]) < deck.PropsApart && math.Abs(p.at[1]-q.at[1]) < deck.PropsApart {
				a.find(p.ID, p.at, "the prop stands on the place of prop %s", q.ID)
			}
		}
		a.standing(p)
	}
	// A prop that reaches up to a joist must pass the stringers.
	for _, b := range a.bars[1] {
		ring := b.outline(deck.TubeHalf)
		for _, p := range grid.within(ring.Bounds(), 0) {
			if p.Under == "joist" && p.Seat > b.bottom()+heightTolerance && ring.Contains(p.at) {
				a.find(p.ID, p.at, "the prop runs into stringer %s", b.ID)
			}
		}
	}
}

// standing checks that a prop stands on what is below, clear of its edge.
func (a *auditor) standing(p *post) {
	for _, c := range a.site.Clear {
		if c.Contains(p.at) || c.DistanceTo(p.at) < deck.PlateHalf-1 {
			a.find(p.ID, p.at, "the prop stands in a place that the job keeps clear")
		}
	}
	if a.site.OnGround {
		return
	}
	if !plane.Within(a.site.Stand, p.at) {
		a.find(p.ID, p.at, "the prop stands over an opening or past the edge of the slab below")
		return
	}
	edge := a.doc.Choices.EdgeOfStand
	for _, s := range a.site.Stand {
		for _, r := range s.Rings() {
			if d := r.DistanceTo(p.at); d < edge-1 {
				a.find(p.ID, p.at, "the prop stands %.0f mm from an edge of the slab below, less than %.0f mm", d, edge)
				return
			}
		}
	}
}

// outline of a bar in job axes, grown by d all round.
func (b *bar) outline(d float64) plane.Ring {
	ux, uy := (b.b[0]-b.a[0])/b.len, (b.b[1]-b.a[1])/b.len
	h := b.w/2 + d
	r := plane.Ring{
		{b.a[0] - ux*d - uy*h, b.a[1] - uy*d + ux*h}, {b.a[0] - ux*d + uy*h, b.a[1] - uy*d - ux*h},
		{b.b[0] + ux*d + uy*h, b.b[1] + uy*d - ux*h}, {b.b[0] + ux*d - uy*h, b.b[1] + uy*d + ux*h},
	}
	return r.Map(func(p plane.Point) plane.Point { return b.f.out(p[0], p[1]) }).CCW()
}

// touching is the area that two parts may share before they count as lying in
// each other, mm2: rounding, not wood.
const touching = 100.0

func overlap(convex, other plane.Ring) bool { return shared(convex, other) > touching }

// overlapShape is overlap with a shape that has holes.
func overlapShape(convex plane.Ring, s plane.Shape) bool {
	area := shared(convex, s.Outer)
	for _, h := range s.Holes {
		area -= shared(convex, h)
	}
	return area > touching
}

// shared is the area that a convex counterclockwise ring shares with another ring.
func shared(convex, other plane.Ring) float64 {
	clip := other
	for i, a := range convex {
		b := convex[(i+1)%len(convex)]
		side := func(p plane.Point) float64 { return (b[0]-a[0])*(p[1]-a[1]) - (b[1]-a[1])*(p[0]-a[0]) }
		var next plane.Ring
		for k, p := range clip {
			q := clip[(k+1)%len(clip)]
			sp, sq := side(p), side(q)
			if sp >= 0 {
				next = append(next, p)
			}
			if (sp > 0 && sq < 0) || (sp < 0 && sq > 0) {
				t := sp / (sp - sq)
				next = append(next, plane.Point{p[0] + (q[0]-p[0])*t, p[1] + (q[1]-p[1])*t})
			}
		}
		if len(next) < 3 {
			return 0
		}
		clip = next
	}
	return math.Abs(clip.SignedArea())
}

// barClashes finds members of one layer that lie in each other.
func (a *auditor) barClashes(list []*bar, name string) {
	type item struct {
		b   *bar
		box plane.Box
	}
	items := make([]item, len(list))
	for i, b := range list {
		items[i] = item{b, b.outline(-1).Bounds()}
	}
	sort.SliceStable(items, func(i, j int) bool { return items[i].box.X0 < items[j].box.X0 })
	for i, p := range items {
		for _, q := range items[i+1:] {
			if q.box.X0 > p.box.X1 {
				break
			}
			if p.box.Overlaps(q.box, 0) && math.Abs(p.b.Top-q.b.Top) < math.Max(p.b.d, q.b.d) && overlap(p.b.outline(-1), q.b.outline(-1)) {
				m := p.b.at(p.b.len / 2)
				a.find(p.b.ID, p.b.f.out(m[0], m[1]), "the %s lies in %s", name, q.b.ID)
			}
		}
	}
}

// heights checks every setting: what should touch must touch, and props must
// be able to be set as written.
func (a *auditor) heights() {
	for _, p := range a.props {
		base := a.site.BaseZ
		if p.Sill != "" {
			if s := a.doc.Parts[p.Sill]; s != nil {
				base += float64(s.Depth.V) * 1000
			} else {
				a.find(p.ID, p.at, "stands on a sill %q that the document does not describe", p.Sill)
			}
		} else if a.site.OnGround {
			a.caution(p.ID, p.at, "stands on ground without a sill")
		}
		if math.Abs(p.Base-base) > heightTolerance {
			a.find(p.ID, p.at, "its foot is at %.0f mm, but what it stands on is at %.0f mm", p.Base, base)
		}
		want := p.Seat - p.Base - p.Taper
		if p.head == nil || p.head.Seat == nil {
			a.find(p.ID, p.at, "has a head %q that the document does not describe", p.Head)
		} else {
			want -= float64(p.head.Seat.Height.V) * 1000
		}
		if p.Wedge != "" {
			if w := a.doc.Parts[p.Wedge]; w != nil {
				want -= float64(w.Depth.V) * 1000
			} else {
				a.find(p.ID, p.at, "stands on a wedge %q that the document does not describe", p.Wedge)
			}
		}
		if math.Abs(p.Length-want) > heightTolerance {
			a.find(p.ID, p.at, "is set to %.0f mm, but the height to fill is %.0f mm", p.Length, want)
		}
		a.holes(p)
	}
	a.clearance()
}

// clearance checks that the drop of the heads lets joists be tipped out from
// under the sheets when the deck is struck: a joist turned on its side needs
// the diagonal of its section.
func (a *auditor) clearance() {
	if len(a.bars[0]) == 0 {
		return
	}
	need := map[*field]float64{}
	for _, j := range a.bars[0] {
		need[j.f] = math.Max(need[j.f], math.Hypot(j.d, j.w)-j.d)
	}
	most := 0.0
	for _, n := range need {
		most = math.Max(most, n)
	}
	for _, p := range a.props {
		if p.head == nil || p.head.Seat == nil || !p.head.Seat.Drop.Known || p.head.Seat.Drop.V <= 0 {
			continue
		}
		drop := float64(p.head.Seat.Drop.V)
		a.check(p.ID, "clearance", "tipping a joist out when the head is dropped", most/1000, drop, calc.Length, p.at, func() deck.Worked {
			j := a.bars[0][0]
			return deck.Worked{Kind: "clearance", What: "tipping a joist out when the head is dropped", Member: p.ID, Part: p.head.ID, Lines: calc.Lines{
				calc.Line{Symbol: "c", Name: "height that a joist needs to turn on its side", Formula: "√(h² + b²) - h", Kind: calc.Length, Value: most / 1000,
					Terms: []calc.Term{{Sym: "h", Val: j.d / 1000, Kind: calc.Length}, {Sym: "b", Val: j.w / 1000, Kind: calc.Length}}, Source: "geometry", Evidence: calc.Derived}.Check(drop, "drop of the head")}}
		})
	}
}

func (a *auditor) holes(p *post) {
	s := p.part.Shore
	if s == nil || !s.HolePitch.Known || s.HolePitch.V <= 0 {
		return
	}
	pitch, shortest := float64(s.HolePitch.V)*1000, float64(s.Shortest.V)*1000
	if got := shortest + float64(p.Hole-1)*pitch + p.Thread; math.Abs(got-p.Length) > heightTolerance {
		a.find(p.ID, p.at, "pin hole %d with %.0f mm of thread gives %.0f mm, not %.0f mm", p.Hole, p.Thread, got, p.Length)
	}
	if !s.Thread.Known {
		a.find(p.ID, p.at, "is set by pin hole and thread, but %s does not say how far its nut travels", p.part.ID)
	} else if p.Thread < -0.1 || p.Thread > float64(s.Thread.V)*1000+0.1 {
		a.find(p.ID, p.at, "needs %.0f mm of thread, the nut travels %.0f mm", p.Thread, float64(s.Thread.V)*1000)
	}
}
