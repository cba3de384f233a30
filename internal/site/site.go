// Package site turns a pour of the job into what its deck must fit: the soffit
// to carry, the working strip outside it, the places where no part may be, and
// where props may stand.
package site

import (
	"fmt"
	"math"
	"slices"

	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// Refusal is a pour that cannot be decked, with the reason a person needs.
type Refusal struct{ Reason string }

func (r Refusal) Error() string { return r.Reason }

// jointBlock is how far the neighbouring pour keeps parts away past a joint, mm.
const jointBlock = 1000

// along is how near an edge must lie to another pour to run along it, and wallGap
// how near to a wall: what is left open between them is filled, not decked, mm.
const (
	along   = 10
	wallGap = 60
)

// New builds the site of one pour.
func New(j *job.Job, l *job.Level, p *job.Pour) (*deck.Site, error) {
	s := &deck.Site{TopZ: mm(l.Top)}
	if err := falls(s, p); err != nil {
		return nil, err
	}
	outline := ring(p.Slab.Outline)
	columns, walls := blocks(l)
	s.Blocks = append(columns, walls...)
	for _, o := range p.Slab.Openings {
		s.Openings = append(s.Openings, ring(o))
	}
	s.Edges = edges(outline, s.Openings, walls, p, l)
	for i, e := range s.Edges {
		if e.Kind == deck.Joint {
			s.Blocks = append(s.Blocks, deck.Block{Kind: "joint", Name: fmt.Sprintf("joint %d", i+1), Ring: outward(e, 0, jointBlock, 0, 0)})
		}
	}
	for _, pin := range j.Pins {
		if pin.Pour == p.Name && pin.Kind == "clear" {
			s.Clear = append(s.Clear, ring(pin.Area))
		}
	}
	if err := stand(s, j, l); err != nil {
		return nil, err
	}
	if err := levelBelow(j, l, p); err != nil {
		return nil, err
	}

	solid := blockShapes(append(columns, walls...))
	var holes []plane.Shape
	for _, o := range s.Openings {
		holes = append(holes, plane.Shape{Outer: o})
	}
	slab, err := plane.Difference([]plane.Shape{{Outer: outline}}, slices.Concat(holes, solid, slots(s.Blocks)))
	if err != nil {
		return nil, err
	}
	s.Slab = slices.DeleteFunc(slab, scrap)
	if len(s.Slab) == 0 {
		return nil, Refusal{fmt.Sprintf("pour %s has no soffit left after its openings, columns and walls; make the outline larger or take one of them out", p.Name)}
	}
	if err := overhangs(s, p); err != nil {
		return nil, err
	}
	if err := zones(s, p, roomWide(j)); err != nil {
		return nil, err
	}
	if err := cutAtJoints(s, j, p.Name); err != nil {
		return nil, err
	}
	s.Edges = byZone(s)
	if err := rooms(s, roomWide(j)); err != nil {
		return nil, err
	}
	if s.Gaps, err = gaps(s, outline); err != nil {
		return nil, err
	}
	return s, strip(s, j, blockShapes(walls), solid)
}

func mm(l quantity.Length) float64 { return math.Round(float64(l)*1e5) / 100 }

func point(p job.Point) plane.Point { return plane.Point{mm(p.X), mm(p.Y)} }

func ring(o job.Outline) plane.Ring {
	r := make(plane.Ring, len(o))
	for i, p := range o {
		r[i] = point(p)
	}
	return r.CCW()
}

func blockShapes(bs []deck.Block) []plane.Shape {
	out := make([]plane.Shape, len(bs))
	for i, b := range bs {
		out[i] = plane.Shape{Outer: b.Ring}
	}
	return out
}

// scrapArea is what is too small for a sheet, mm2. A setting of the program.
const scrapArea = 1e4

// scrap is a piece of soffit or strip cut off from the rest that is too small for
// a sheet: the filler board covers it.
func scrap(s plane.Shape) bool { return s.Area() < scrapArea }

// slots are the gaps between columns and walls that face each other, too narrow
// for forms: up to wallGap wide.
func slots(blocks []deck.Block) []plane.Shape {
	var out []plane.Shape
	for i, a := range blocks {
		for _, b := range blocks[i+1:] {
			if a.Kind == "joint" || b.Kind == "joint" || !a.Ring.Bounds().Overlaps(b.Ring.Bounds(), wallGap) {
				continue
			}
			for k := range a.Ring {
				e := deck.Edge{From: a.Ring[k], To: a.Ring[(k+1)%len(a.Ring)]}
				for n := range b.Ring {
					f := deck.Edge{From: b.Ring[n], To: b.Ring[(n+1)%len(b.Ring)]}
					if s, ok := slot(e, f); ok {
						out = append(out, s)
					}
				}
			}
		}
	}
	return out
}

// slot is the space between two faces that look at each other across a gap.
func slot(e, f deck.Edge) (plane.Shape, bool) {
	u, v := unit(plane.Point{e.To[0] - e.From[0], e.To[1] - e.From[1]}), unit(plane.Point{f.To[0] - f.From[0], f.To[1] - f.From[1]})
	if u[0]*v[0]+u[1]*v[1] > -0.999999 {
		return plane.Shape{}, false
	}
	pos := func(p plane.Point) (along, out float64) {
		x, y := p[0]-e.From[0], p[1]-e.From[1]
		return x*u[0] + y*u[1], x*u[1] - y*u[0]
	}
	a, gap := pos(f.To)
	b, _ := pos(f.From)
	a, b = math.Max(a, 0), math.Min(b, math.Hypot(e.To[0]-e.From[0], e.To[1]-e.From[1]))
	if gap < 1 || gap > wallGap || b-a < 1 {
		return plane.Shape{}, false
	}
	at := func(along, out float64) plane.Point {
		return plane.Point{e.From[0] + along*u[0] + out*u[1], e.From[1] + along*u[1] - out*u[0]}
	}
	return plane.Shape{Outer: plane.Ring{at(a, -1), at(b, -1), at(b, gap+1), at(a, gap+1)}.CCW()}, true
}

// roundSides is the number of sides of the polygon drawn around a round column.
const roundSides = 32

func blocks(l *job.Level) (columns, walls []deck.Block) {
	for i, c := range l.Columns {
		at, r := point(c.At), plane.Ring{}
		if c.Round > 0 {
			radius := mm(c.Round) / 2 / math.Cos(math.Pi/roundSides)
			for k := range roundSides {
				a := 2 * math.Pi * float64(k) / roundSides
				r = append(r, plane.Point{at[0] + radius*math.Cos(a), at[1] + radius*math.Sin(a)})
			}
		} else {
			x, y := mm(c.Size[0])/2, mm(c.Size[1])/2
			sin, cos := math.Sincos(float64(c.Turn))
			for _, p := range plane.Rect(-x, -y, x, y) {
				r = append(r, plane.Point{at[0] + p[0]*cos - p[1]*sin, at[1] + p[0]*sin + p[1]*cos})
			}
		}
		columns = append(columns, deck.Block{Kind: "column", Name: fmt.Sprintf("column %d", i+1), Ring: r, Ties: true})
	}
	for i, w := range l.Walls {
		e := deck.Edge{From: point(w.From), To: point(w.To)}
		t := mm(w.Thickness) / 2
		walls = append(walls, deck.Block{Kind: "wall", Name: fmt.Sprintf("wall %d", i+1), Ring: outward(e, -t, t, 0, 0), Ties: true})
	}
	return columns, walls
}

// outward is the quadrilateral along an edge from offset a to offset b to its
// right (the slab lies on the left), lengthened by before and after.
func outward(e deck.Edge, a, b, before, after float64) plane.Ring {
	dx, dy := e.To[0]-e.From[0], e.To[1]-e.From[1]
	l := math.Hypot(dx, dy)
	dx, dy = dx/l, dy/l
	nx, ny := dy, -dx
	f := plane.Point{e.From[0] - before*dx, e.From[1] - before*dy}
	t := plane.Point{e.To[0] + after*dx, e.To[1] + after*dy}
	return plane.Ring{
		{f[0] + a*nx, f[1] + a*ny}, {f[0] + b*nx, f[1] + b*ny},
		{t[0] + b*nx, t[1] + b*ny}, {t[0] + a*nx, t[1] + a*ny},
	}.CCW()
}

// bridged runs walls on to the ends of an edge that are too near to work from.
func bridged(wall plane.Spans, length float64) plane.Spans {
	for i := range wall {
		if wall[i].A < wallGap {
			wall[i].A = 0
		}
		if length-wall[i].B < wallGap {
			wall[i].B = length
		}
	}
	return wall
}

// aside is an edge moved outward.
func aside(e deck.Edge, by float64) deck.Edge {
	u := unit(plane.Point{e.To[0] - e.From[0], e.To[1] - e.From[1]})
	move := func(p plane.Point) plane.Point { return plane.Point{p[0] + u[1]*by, p[1] - u[0]*by} }
	return deck.Edge{From: move(e.From), To: move(e.To)}
}

// edges cuts the border of the slab into pieces of one kind each.
func edges(outline plane.Ring, openings []plane.Ring, walls []deck.Block, p *job.Pour, l *job.Level) []deck.Edge {
	var out []deck.Edge
	add := func(r plane.Ring) {
		for i, a := range r {
			e := deck.Edge{From: a, To: r[(i+1)%len(r)], Kind: deck.Free}
			if a != e.To {
				out = append(out, kinds(e, walls, p, l)...)
			}
		}
	}
	add(outline)
	for _, o := range openings { // slab on the left: clockwise
		r := make(plane.Ring, len(o))
		for i, q := range o {
			r[len(o)-1-i] = q
		}
		add(r)
	}
	return out
}

func kinds(e deck.Edge, walls []deck.Block, p *job.Pour, l *job.Level) []deck.Edge {
	length := math.Hypot(e.To[0]-e.From[0], e.To[1]-e.From[1])
	var wall, joint, free plane.Spans
	for _, w := range walls {
		for out := 0.0; out <= wallGap-along; out += along {
			if s, ok := clip(aside(e, out), grown(w.Ring, along)); ok {
				wall = append(wall, s)
			}
		}
	}
	for i := range l.Pours {
		if other := &l.Pours[i]; other.Name != p.Name {
			o := ring(other.Slab.Outline)
			for k, a := range o {
				if s, ok := beside(e, a, o[(k+1)%len(o)]); ok {
					joint = append(joint, s)
				}
			}
		}
	}
	for _, r := range p.Edges {
		s, ok := beside(e, point(r.From), point(r.To))
		if !ok {
			continue
		}
		one := plane.Spans{s}
		wall, joint, free = plane.Minus(plane.Merge(wall, 0), one), plane.Minus(plane.Merge(joint, 0), one), plane.Minus(plane.Merge(free, 0), one)
		switch deck.EdgeKind(r.Kind) {
		case deck.Wall:
			wall = append(wall, s)
		case deck.Joint:
			joint = append(joint, s)
		}
	}
	wall = bridged(plane.Merge(wall, wallGap), length)
	joint = plane.Minus(plane.Merge(joint, 1), wall)
	free = plane.Minus(plane.Minus(plane.Spans{{A: 0, B: length}}, wall), joint)
	var out []deck.Edge
	at := func(d float64) plane.Point {
		return plane.Point{e.From[0] + (e.To[0]-e.From[0])*d/length, e.From[1] + (e.To[1]-e.From[1])*d/length}
	}
	emit := func(spans plane.Spans, k deck.EdgeKind) {
		for _, s := range spans {
			if s.Len() >= 1 {
				out = append(out, deck.Edge{From: at(s.A), To: at(s.B), Kind: k})
			}
		}
	}
	emit(wall, deck.Wall)
	emit(joint, deck.Joint)
	emit(free, deck.Free)
	return out
}

// beside gives the part of the edge that runs along the segment ab.
func beside(e deck.Edge, a, b plane.Point) (plane.Span, bool) {
	dx, dy := e.To[0]-e.From[0], e.To[1]-e.From[1]
	l := math.Hypot(dx, dy)
	pos := func(p plane.Point) (float64, float64) {
		x, y := p[0]-e.From[0], p[1]-e.From[1]
		return (x*dx + y*dy) / l, (x*dy - y*dx) / l
	}
	sa, da := pos(a)
	sb, db := pos(b)
	if math.Abs(da) > along || math.Abs(db) > along {
		return plane.Span{}, false
	}
	s := plane.Span{A: math.Max(0, math.Min(sa, sb)), B: math.Min(l, math.Max(sa, sb))}
	return s, s.Len() >= 1
}

// grown is a convex ring with every side moved outward by d.
func grown(r plane.Ring, d float64) plane.Ring {
	c := r.Centroid()
	out := make(plane.Ring, 0, len(r))
	for i := range r {
		a, b, e := r[(i+len(r)-1)%len(r)], r[i], r[(i+1)%len(r)]
		u := unit(plane.Point{b[0] - a[0], b[1] - a[1]})
		v := unit(plane.Point{e[0] - b[0], e[1] - b[1]})
		k := d / (1 + u[0]*v[0] + u[1]*v[1]) // mitre
		out = append(out, plane.Point{b[0] + k*(u[1]+v[1]), b[1] - k*(u[0]+v[0])})
	}
	if math.Hypot(out[0][0]-c[0], out[0][1]-c[1]) < math.Hypot(r[0][0]-c[0], r[0][1]-c[1]) {
		return r
	}
	return out
}

func unit(p plane.Point) plane.Point {
	l := math.Hypot(p[0], p[1])
	if l == 0 {
		return p
	}
	return plane.Point{p[0] / l, p[1] / l}
}

// clip is the part of an edge inside a convex counterclockwise ring.
func clip(e deck.Edge, r plane.Ring) (plane.Span, bool) {
	l := math.Hypot(e.To[0]-e.From[0], e.To[1]-e.From[1])
	lo, hi := 0.0, l
	u := plane.Point{(e.To[0] - e.From[0]) / l, (e.To[1] - e.From[1]) / l}
	for i, a := range r {
		b := r[(i+1)%len(r)]
		nx, ny := b[1]-a[1], a[0]-b[0] // outward
		num := nx*(a[0]-e.From[0]) + ny*(a[1]-e.From[1])
		den := nx*u[0] + ny*u[1]
		switch {
		case den > 1e-12:
			hi = math.Min(hi, num/den)
		case den < -1e-12:
			lo = math.Max(lo, num/den)
		case num < 0:
			return plane.Span{}, false
		}
	}
	return plane.Span{A: lo, B: hi}, hi-lo >= 1
}

// stand finds where props may stand: anywhere on ground, else on the slabs of
// the level below, clear of their openings.
func stand(s *deck.Site, j *job.Job, l *job.Level) error {
	s.BaseZ = mm(l.Base.Z)
	if l.Base.Level == "" {
		s.OnGround = true
		return nil
	}
	for i := range j.Levels {
		b := &j.Levels[i]
		if b.Name != l.Base.Level {
			continue
		}
		s.BaseZ = mm(b.Top)
		var slabs, holes []plane.Shape
		for _, p := range b.Pours {
			if p.Slab.Fall != nil { // see levelBelow
				continue
			}
			slabs = append(slabs, plane.Shape{Outer: ring(p.Slab.Outline)})
			for _, o := range p.Slab.Openings {
				holes = append(holes, plane.Shape{Outer: ring(o)})
			}
		}
		u, err := plane.Union(slabs)
		if err != nil {
			return err
		}
		s.Stand, err = plane.Difference(u, holes)
		return err
	}
	return fmt.Errorf("level %s stands on level %s, which the job does not have", l.Name, l.Base.Level)
}

// overhangs refuses a slab that reaches past what its props could stand on by
// more than a deck may cantilever.
func overhangs(s *deck.Site, p *job.Pour) error {
	if s.OnGround {
		return nil
	}
	const reach, area = 500, 0.3e6 // mm, mm2
	var below []plane.Shape
	for _, st := range s.Stand { // openings of the slab below are bridged, its outline is not
		below = append(below, plane.Shape{Outer: st.Outer})
	}
	out, err := plane.Difference(s.Slab, below)
	if err != nil {
		return err
	}
	for _, o := range out {
		if b := o.Outer.Bounds(); o.Area() > area && math.Min(b.X1-b.X0, b.Y1-b.Y0) > reach {
			return Refusal{fmt.Sprintf("pour %s reaches %.1f m2 past the slab below, near x %.1f m, y %.1f m: props have nothing to stand on there; shore that part from the ground up, or give the level another base", p.Name, o.Area()/1e6, o.Outer.Centroid()[0]/1000, o.Outer.Centroid()[1]/1000)}
		}
	}
	return nil
}

// byZone cuts edges where another zone begins, so that the concrete is of one
// thickness along each.
func byZone(s *deck.Site) []deck.Edge {
	if len(s.Zones) == 1 {
		return s.Edges
	}
	var out []deck.Edge
	for _, e := range s.Edges {
		l := math.Hypot(e.To[0]-e.From[0], e.To[1]-e.From[1])
		u := unit(plane.Point{e.To[0] - e.From[0], e.To[1] - e.From[1]})
		cuts := []float64{0, l}
		for _, z := range s.Zones[1:] {
			for _, shape := range z.Shapes {
				for _, p := range shape.Outer {
					x, y := p[0]-e.From[0], p[1]-e.From[1]
					if d := x*u[0] + y*u[1]; math.Abs(x*u[1]-y*u[0]) < 1 && d > 1 && d < l-1 {
						cuts = append(cuts, d)
					}
				}
			}
		}
		slices.Sort(cuts)
		at := func(d float64) plane.Point { return plane.Point{e.From[0] + d*u[0], e.From[1] + d*u[1]} }
		for i := 1; i < len(cuts); i++ {
			if cuts[i]-cuts[i-1] < 1 {
				continue
			}
			piece := deck.Edge{From: at(cuts[i-1]), To: at(cuts[i]), Kind: e.Kind}
			if i == 1 {
				piece.From = e.From
			}
			if i == len(cuts)-1 {
				piece.To = e.To
			}
			out = append(out, piece)
		}
	}
	return out
}

// strip lays the working strip past the free edges, inside large openings too;
// small openings are decked through. Beside a thickening it lies at the lower
// soffit, on the joists that run out from there.
func strip(s *deck.Site, j *job.Job, walls, solid []plane.Shape) error {
	w := mm(j.Deck.Strip)
	parts := make([][]plane.Shape, len(s.Zones))
	var err error
	n, sides := len(s.Edges), s.Sides()
	for i, e := range s.Edges {
		if e.Kind != deck.Free || w <= 0 {
			continue
		}
		// Corners between two free edges are filled by running both strips on.
		before, after := 0.0, 0.0
		for k := range n {
			if o := s.Edges[k]; k != i && o.Kind == deck.Free {
				if o.To == e.From && left(o, e) {
					before = w
				}
				if o.From == e.To && left(e, o) {
					after = w
				}
			}
		}
		z := s.ZoneBeside(plane.Point{(e.From[0] + e.To[0]) / 2, (e.From[1] + e.To[1]) / 2})
		b, a := runOn(sides, z, e.From, e.To, roomWide(j)) // as wide as the deck of a beam that ends there
		whole := []plane.Shape{{Outer: outward(e, 0, w, math.Max(before, b), math.Max(after, a))}}
		near := shapesNear(walls, whole[0])
		if len(near) > 0 { // behind a wall is no place to work from
			if whole, err = plane.Difference(whole, shadows(e, w, near)); err != nil {
				return err
			}
		}
		parts[z] = append(parts[z], whole...)
	}
	for _, o := range s.Openings {
		if b := o.Bounds(); math.Min(b.X1-b.X0, b.Y1-b.Y0) <= mm(j.Deck.HoleMax) {
			z := s.ZoneBeside(o[0])
			parts[z] = append(parts[z], plane.Shape{Outer: o})
		}
	}
	// Joints keep the strip out as well: there the neighbour's concrete is.
	for _, b := range s.Blocks {
		if b.Kind == "joint" {
			solid = append(solid, plane.Shape{Outer: b.Ring})
		}
	}
	taken := append(solid, s.Slab...)
	for z := len(parts) - 1; z >= 0; z-- { // thickenings first
		if len(parts[z]) == 0 {
			continue
		}
		u, err := plane.Union(parts[z])
		if err != nil {
			return err
		}
		if u, err = plane.Difference(u, taken); err != nil {
			return err
		}
		s.Zones[z].Strip = slices.DeleteFunc(u, scrap)
		taken = append(taken, s.Zones[z].Strip...)
		s.Strip = append(s.Strip, s.Zones[z].Strip...)
	}
	if len(s.Zones) > 1 && len(s.Strip) > 0 {
		s.Strip, err = plane.Union(s.Strip)
	}
	return err
}

// shapesNear are those whose boxes meet that of a shape.
func shapesNear(shapes []plane.Shape, s plane.Shape) []plane.Shape {
	box := s.Outer.Bounds()
	return slices.DeleteFunc(slices.Clone(shapes), func(b plane.Shape) bool { return !b.Outer.Bounds().Overlaps(box, 0) })
}

// shadows are blocks swept outward from an edge by a distance.
func shadows(e deck.Edge, by float64, blocks []plane.Shape) []plane.Shape {
	u := unit(plane.Point{e.To[0] - e.From[0], e.To[1] - e.From[1]})
	out := make([]plane.Shape, len(blocks))
	for i, b := range blocks {
		ps := slices.Clone(b.Outer)
		for _, p := range b.Outer {
			ps = append(ps, plane.Point{p[0] + u[1]*by, p[1] - u[0]*by})
		}
		out[i] = plane.Shape{Outer: plane.Hull(ps)}
	}
	return out
}

// left reports whether the border turns left from a to b (a convex corner).
func left(a, b deck.Edge) bool {
	return (a.To[0]-a.From[0])*(b.To[1]-b.From[1])-(a.To[1]-a.From[1])*(b.To[0]-b.From[0]) > 0
}
