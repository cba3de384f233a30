package layout

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"shoreward/internal/deck"
	"shoreward/internal/member"
	"shoreward/internal/plane"
)

// A zone with re-entrant corners may be cheaper as two or three fields with joists
// of their own, cut from such a corner straight across to the border. Each part is
// then a zone to the layout, and the other parts are blocks to it: its sheets end at
// the cut on joists and stringers of its own, and nothing of it reaches across.

// Settings of the program: which cuts are worth looking at.
const (
	leastPart  = 10e6 // of a field, mm2
	leastShare = 0.15 // of its zone
	leastSide  = 2000 // of the box around a field, mm
	mostCuts   = 4    // of a part that are looked at, those with the shortest border first
	mostFields = 3    // of a zone
	sameCut    = 300  // cuts that lie this near to each other are one, mm
	clearly    = 1.00 // of the estimate of one field, over which a split one is not laid
	hopeful    = 1.01 // of it, up to which a first cut is looked at further
)

// cut is a way to part a zone: the border between the two, and the parts, the one
// on the left of the border first.
type cut struct {
	border deck.Line
	parts  [2]deck.Zone
}

// cutZone parts a zone along the line through a point in a direction, degrees,
// from border to border. It fails where the point is not in the zone or the line
// does not part it.
func cutZone(zone deck.Zone, at plane.Point, deg, strip float64) (cut, bool, error) {
	i := slices.IndexFunc(zone.Shapes, func(s deck.Shape) bool { return s.Outer.Contains(at) })
	if i < 0 || len(zone.Room) > 0 {
		return cut{}, false, nil
	}
	left, right, border, ok := cutRing(zone.Shapes[i].Outer, at, newFrame(deg+90))
	if !ok {
		return cut{}, false, nil
	}
	c := cut{border: border}
	for k, ring := range []plane.Ring{left, right} {
		got, err := plane.Intersection(zone.Shapes[i:i+1], []plane.Shape{{Outer: ring}})
		if err != nil {
			return cut{}, false, err
		}
		part := zone
		part.Shapes, part.Strip = wide(got), nil
		c.parts[k] = part
		if len(part.Shapes) == 0 {
			return cut{}, false, nil
		}
	}
	for k, s := range zone.Shapes { // what hangs together with neither goes to the nearer
		if k != i {
			near := 0
			if apart(s, right) < apart(s, left) {
				near = 1
			}
			c.parts[near].Shapes = append(c.parts[near].Shapes, s)
		}
	}
	// The part with the sharper corner at the start of the border takes the strip
	// around it, which leaves the other's straight.
	first := 0
	if angleAt(right, border.From) < angleAt(left, border.From) {
		first = 1
	}
	rings := []plane.Ring{left, right}
	beside, err := stripBeside(rings[first], border, strip)
	if err != nil {
		return cut{}, false, err
	}
	if len(zone.Strip) > 0 {
		got, err := plane.Intersection(zone.Strip, beside)
		if err != nil {
			return cut{}, false, err
		}
		rest, err := plane.Difference(zone.Strip, beside)
		if err != nil {
			return cut{}, false, err
		}
		c.parts[first].Strip, c.parts[1-first].Strip = wide(got), wide(rest)
	}
	return c, true, nil
}

// inLine is how far off a line a corner may lie and yet be on it, mm.
const inLine = 0.02

// cutRing parts a counterclockwise ring along the frame's x axis through a point
// inside it, up to where it first meets the ring on either side.
func cutRing(r plane.Ring, at plane.Point, f frame) (left, right plane.Ring, border deck.Line, ok bool) {
	o := f.in(at)
	type meet struct {
		x    float64
		edge int // the corner, or the edge that starts there
		p    plane.Point
	}
	low, high := meet{x: math.Inf(-1)}, meet{x: math.Inf(1)}
	note := func(m meet) {
		if m.x < o[0] && m.x > low.x {
			low = m
		}
		if m.x > o[0] && m.x < high.x {
			high = m
		}
	}
	height := func(p plane.Point) float64 {
		if y := f.in(p)[1] - o[1]; math.Abs(y) > inLine {
			return y
		}
		return 0
	}
	for i, a := range r {
		b := r[(i+1)%len(r)]
		ya, yb := height(a), height(b)
		if ya == 0 {
			note(meet{f.in(a)[0], i, a})
		}
		if ya*yb < 0 {
			xa, xb := f.in(a)[0], f.in(b)[0]
			x := xa + (xb-xa)*ya/(ya-yb)
			note(meet{x, i, f.out(x, o[1])})
		}
	}
	if math.IsInf(low.x, 0) || math.IsInf(high.x, 0) {
		return nil, nil, border, false
	}
	// From the high end counterclockwise to the low end lies what is left of the line.
	path := func(from, to meet) plane.Ring {
		out := plane.Ring{from.p}
		for i := (from.edge + 1) % len(r); ; i = (i + 1) % len(r) {
			if p := r[i]; p != from.p && p != to.p {
				out = append(out, p)
			}
			if i == to.edge {
				break
			}
		}
		return append(out, to.p)
	}
	left, right = path(high, low), path(low, high)
	return left, right, deck.Line{From: low.p, To: high.p}, len(left) > 2 && len(right) > 2
}

// angleAt is the angle inside a counterclockwise ring at a corner.
func angleAt(r plane.Ring, at plane.Point) float64 {
	i := slices.Index(r, at)
	if i < 0 {
		return 2 * math.Pi
	}
	a, b := r[(i+len(r)-1)%len(r)], r[(i+1)%len(r)]
	turn := math.Atan2(a[1]-at[1], a[0]-at[0]) - math.Atan2(b[1]-at[1], b[0]-at[0])
	return math.Mod(turn+4*math.Pi, 2*math.Pi)
}

// stripBeside is where the working strip of a part lies, whose ring has the border
// for one of its sides: inside the ring, in its openings, and out from its other sides.
func stripBeside(r plane.Ring, border deck.Line, strip float64) ([]plane.Shape, error) {
	out := []plane.Shape{{Outer: r}}
	n := len(r)
	for i, a := range r {
		b := r[(i+1)%n]
		if a == border.From && b == border.To || a == border.To && b == border.From {
			continue
		}
		l := dist(a, b)
		u := plane.Point{(b[0] - a[0]) / l, (b[1] - a[1]) / l}
		// Round a corner that stands out the strip runs on, but not past the border.
		before, after := 0.0, 0.0
		if a != border.From && a != border.To && angleAt(r, a) < math.Pi-1e-6 {
			before = strip
		}
		if b != border.From && b != border.To && angleAt(r, b) < math.Pi-1e-6 {
			after = strip
		}
		p := func(along, off float64) plane.Point {
			return plane.Point{a[0] + along*u[0] + off*u[1], a[1] + along*u[1] - off*u[0]}
		}
		out = append(out, plane.Shape{Outer: plane.Ring{p(-before, 0), p(-before, strip), p(l+after, strip), p(l+after, 0)}.CCW()})
	}
	return plane.Union(out)
}

// apart is how far a shape lies from a ring.
func apart(s plane.Shape, r plane.Ring) float64 {
	d := math.Inf(1)
	for _, p := range s.Outer {
		d = math.Min(d, r.DistanceTo(p))
	}
	return d
}

// cuts are the ways to part a zone from its re-entrant corners: along the sides
// that meet there, and along its main directions.
func cuts(zone deck.Zone, main []float64, strip float64) []cut {
	whole := plane.Area(zone.Shapes)
	if whole < 2*leastPart || len(zone.Room) > 0 {
		return nil
	}
	type try struct {
		at     plane.Point
		deg    float64
		border deck.Line
	}
	var tries []try
	for _, s := range zone.Shapes {
		r := s.Outer
		for i, p := range r {
			if angleAt(r, p) < math.Pi+0.1 {
				continue
			}
			before, after := r[(i+len(r)-1)%len(r)], r[(i+1)%len(r)]
			ways := []float64{
				math.Atan2(p[1]-before[1], p[0]-before[0]) * 180 / math.Pi,
				math.Atan2(p[1]-after[1], p[0]-after[0]) * 180 / math.Pi,
			}
			for _, d := range main {
				ways = append(ways, d, d+180)
			}
			for _, deg := range ways {
				deg = math.Mod(math.Round(deg*100)/100+360, 360)
				sin, cos := math.Sincos(deg * math.Pi / 180)
				const in = 20 // mm
				t := try{at: plane.Point{p[0] + in*cos, p[1] + in*sin}, deg: deg}
				if !r.Contains(t.at) {
					continue
				}
				left, right, border, ok := cutRing(r, t.at, newFrame(deg+90))
				if t.border = border; !ok || !large(left, whole) || !large(right, whole) ||
					slices.ContainsFunc(tries, func(o try) bool { return sameBorder(o.border, border) }) {
					continue
				}
				tries = append(tries, t)
			}
		}
	}
	sort.SliceStable(tries, func(i, k int) bool {
		return dist(tries[i].border.From, tries[i].border.To) < dist(tries[k].border.From, tries[k].border.To)
	})
	var out []cut
	for _, t := range tries[:min(len(tries), mostCuts)] {
		// A cut whose parts cannot be worked out is no way to part the zone.
		if c, ok, err := cutZone(zone, t.at, t.deg, strip); ok && err == nil {
			out = append(out, c)
		}
	}
	return out
}

// large reports whether a part of a zone is large enough for a field of its own.
func large(part plane.Ring, whole float64) bool {
	b, area := part.Bounds(), math.Abs(part.SignedArea())
	return area >= math.Max(leastPart, leastShare*whole) && math.Min(b.X1-b.X0, b.Y1-b.Y0) >= leastSide
}

// sameBorder reports whether two borders are nearly the same.
func sameBorder(a, b deck.Line) bool {
	return dist(a.From, b.From) < sameCut && dist(a.To, b.To) < sameCut ||
		dist(a.From, b.To) < sameCut && dist(a.To, b.From) < sameCut
}

// split is a site with some of its zones parted.
type split struct {
	site    *deck.Site
	borders []deck.Line
	was     []int // by zone: which it was before, -1 of a part
}

// splits parts the zones that the estimate says are clearly cheaper as several
// fields; where a deck of whole ones does not hold, all that can be parted.
func splits(in *Input, whole *outcome) *split {
	if in.Joists != nil || len(in.Site.Keep) > 0 {
		return nil // one direction is asked for, or parts lie where a cut might go
	}
	out := &split{}
	var zones []deck.Zone
	for z, zp := range whole.zones {
		parts, borders := in.Site.Zones[z:z+1], []deck.Line(nil)
		if zp != nil && len(zp.cands) > 0 {
			parts, borders = bestParts(in, z, zp.cands[0], whole.fails > 0)
		}
		was := z
		if len(borders) > 0 {
			was = -1
		}
		for _, p := range parts {
			zones, out.was = append(zones, p), append(out.was, was)
		}
		out.borders = append(out.borders, borders...)
	}
	if len(out.borders) == 0 {
		return nil
	}
	out.site = withZones(in.Site, zones)
	return out
}

// orSplit compares a deck of one field a zone with one of several, and takes the one in which
// less fails or, where as much does, the cheaper. With it comes the floor of both.
func (whole *outcome) orSplit(in *Input) (*outcome, float64, error) {
	s := splits(in, whole)
	if s == nil {
		return whole, whole.floor, nil
	}
	cut := *in
	cut.Site = s.site
	known := make([]*zonePlans, len(s.was))
	for z, was := range s.was {
		if was >= 0 && whole.zones[was] != nil && len(whole.zones[was].cands) > 0 {
			// Its candidates are the same; repairs have changed the fields that were laid.
			known[z] = &zonePlans{in: &cut, zone: z, floor: whole.zones[was].floor, solver: member.NewSolver(), cands: whole.zones[was].cands}
			if err := known[z].lay(); err != nil {
				return nil, 0, err
			}
		}
	}
	parted, err := planSite(&cut, known)
	if err != nil { // parts that cannot be laid are no way to lay it
		return whole, whole.floor, nil
	}
	parted.d.Borders = s.borders
	least := math.Min(whole.floor, parted.floor)
	if parted.fails < whole.fails || parted.fails == whole.fails && parted.cost < whole.cost-1e-9 {
		return parted, least, nil
	}
	return whole, least, nil
}

// withZones is a site with other zones.
func withZones(s *deck.Site, zones []deck.Zone) *deck.Site {
	out := *s
	out.Zones = zones
	return &out
}

// bestParts are the parts of a zone that are cheapest by estimate, cut by cut, or
// the zone itself where one field is about as cheap.
func bestParts(in *Input, z int, one candidate, anyway bool) ([]deck.Zone, []deck.Line) {
	type part struct {
		zone deck.Zone
		cost float64
	}
	var others []deck.Zone
	for i, o := range in.Site.Zones {
		if i != z {
			others = append(others, o)
		}
	}
	now := []part{{in.Site.Zones[z], one.pat.cost}}
	whole, sum := one.pat.cost, one.pat.cost
	best, least := []deck.Zone{in.Site.Zones[z]}, clearly*whole
	if anyway {
		least = math.Inf(1)
	}
	var borders, taken []deck.Line
	for len(now) < mostFields {
		var next []part
		cheapest, border := math.Inf(1), deck.Line{}
		for i, p := range now {
			around := slices.Clone(others)
			for k, o := range now {
				if k != i {
					around = append(around, o.zone)
				}
			}
			for _, c := range cuts(p.zone, directions(withZones(in.Site, []deck.Zone{p.zone}), 0), mmOf(in.Deck.Strip)) {
				cost := sum - p.cost
				var two [2]part
				for k := range c.parts {
					e, err := one.estimate(in, c.parts[k], append([]deck.Zone{c.parts[1-k]}, around...))
					if err != nil { // a part that cannot be worked out is no part
						e = math.Inf(1)
					}
					two[k] = part{c.parts[k], e}
					cost += e
				}
				if cost < cheapest {
					cheapest, border = cost, c.border
					next = slices.Concat(now[:i], two[:], now[i+1:])
				}
			}
		}
		if math.IsInf(cheapest, 1) || cheapest > hopeful*whole && !anyway {
			break
		}
		now, sum, taken = next, cheapest, append(taken, border)
		if sum < least {
			best, borders, least = nil, slices.Clone(taken), sum
			for _, p := range now {
				best = append(best, p.zone)
			}
		}
	}
	return best, borders
}

// estimate is what a zone costs by the search of lines alone, laid with the parts and at
// the pitch of a candidate, in the cheaper of its directions.
func (c candidate) estimate(in *Input, zone deck.Zone, others []deck.Zone) (float64, error) {
	site := withZones(in.Site, append([]deck.Zone{zone}, others...))
	dirs := directions(site, 0)
	costs := make([]float64, len(dirs))
	err := together(len(dirs), func(i int) error {
		costs[i] = math.Inf(1)
		r, err := newRegion(site, 0, newFrame(dirs[i]), in.Deck)
		if err != nil {
			return err
		}
		for _, p := range c.k.pitches(r) {
			if p.pitch != c.p.pitch {
				continue
			}
			cols := r.columns(p, mmOf(c.k.joists[0].part.Width.V)/2)
			lines := newLinePlan(c.k, r, cols, p)
			lines.coarse = true
			if pat, ok := lines.search(); ok {
				sheets, _ := sheetCost(c.k, r, p)
				costs[i] = pat.cost + sheets
			}
		}
		return nil
	})
	return slices.Min(costs), err
}

// inFields takes a pour and its earlier deck apart along the borders between fields
// of the earlier one: every field is then a zone of its own, before and now, under a
// name of its own, which wholeZones undoes.
func inFields(in *Input) (apart *Input, base map[string]string, err error) {
	e := in.Earlier
	if len(e.Deck.Borders) == 0 {
		return in, nil, nil
	}
	now, base, err := partedAlong(in.Site, e.Deck.Borders, mmOf(in.Deck.Strip))
	if err != nil {
		return nil, nil, err
	}
	was, _, err := partedAlong(e.Site, e.Deck.Borders, mmOf(in.Deck.Strip))
	if err != nil {
		return nil, nil, err
	}
	old := *e.Deck
	old.Fields = slices.Clone(old.Fields)
	for i := range old.Fields {
		f := &old.Fields[i]
		on := make([]float64, len(was.Zones)) // area of its sheets by zone
		for _, s := range old.Sheets {
			for z := range was.Zones {
				if s.Field == f.Name && base[was.Zones[z].Name] == f.Zone && plane.Within(slices.Concat(was.Zones[z].Shapes, was.Zones[z].Strip), middleOf(s.Shape)) {
					on[z] += s.Shape.Area()
				}
			}
		}
		if len(on) > 0 {
			if z := slices.Index(on, slices.Max(on)); on[z] > 0 {
				f.Zone = was.Zones[z].Name
			}
		}
	}
	out := *in
	out.Site = now
	out.Earlier = &Earlier{Site: was, Deck: &old, Settings: e.Settings, Dearer: e.Dearer}
	inOne := func(d *deck.Deck) *deck.Deck {
		whole := *d
		whole.Fields = slices.Clone(d.Fields)
		wholeZones(&whole, base)
		return &whole
	}
	if in.Prove != nil {
		out.Prove = func(d *deck.Deck) (deck.Audit, error) { return in.Prove(inOne(d)) }
	}
	if in.Handed != nil {
		out.Handed = func(d *deck.Deck) ([]deck.Handed, error) { return in.Handed(inOne(d)) }
	}
	return &out, base, nil
}

// wholeZones gives the fields of a deck the names of the pour's own zones.
func wholeZones(d *deck.Deck, base map[string]string) {
	for i := range d.Fields {
		if b, ok := base[d.Fields[i].Zone]; ok {
			d.Fields[i].Zone = b
		}
	}
}

// partedAlong cuts the zones of a site along borders between fields, in their order,
// and names the parts. base gives the zone that a part was cut from.
func partedAlong(site *deck.Site, borders []deck.Line, strip float64) (*deck.Site, map[string]string, error) {
	zones, base := slices.Clone(site.Zones), map[string]string{}
	for _, z := range zones {
		base[z.Name] = z.Name
	}
	for n, b := range borders {
		mid := plane.Point{(b.From[0] + b.To[0]) / 2, (b.From[1] + b.To[1]) / 2}
		deg := math.Round(math.Atan2(b.To[1]-b.From[1], b.To[0]-b.From[0])*180/math.Pi*100) / 100
		done := false
		for z := range zones {
			c, ok, err := cutZone(zones[z], mid, deg, strip)
			if err != nil {
				return nil, nil, err
			}
			if !ok {
				continue
			}
			for k := range c.parts {
				name := fmt.Sprintf("%s, border %d, part %d", zones[z].Name, n+1, k+1)
				base[name] = base[zones[z].Name]
				c.parts[k].Name = name
			}
			zones = slices.Concat(zones[:z], c.parts[:], zones[z+1:])
			done = true
			break
		}
		if !done {
			return nil, nil, fmt.Errorf("the border between two fields through x %.2f m, y %.2f m does not part the slab any more", mid[0]/1000, mid[1]/1000)
		}
	}
	return withZones(site, zones), base, nil
}

// keepFields is keepMost for a deck with several fields in a zone. fits reports that it is
// not to be weighed against a fresh one.
func keepFields(in *Input) (k *keeping, fits bool, err error) {
	apart, base, err := inFields(in)
	if err != nil {
		return nil, false, err
	}
	if k, err = keepMost(apart); err != nil {
		return nil, false, err
	}
	fits = k.whole || !dear(apart, k.deck)
	wholeZones(k.deck, base)
	k.deck.Borders = in.Earlier.Deck.Borders
	return k, fits, nil
}
