package deck

import (
	"math"
	"slices"
)

// Fall is how the soffit and the top of a pour slope: two parallel planes. The
// heights of the site's zones, and of its top, are those at one place; from there
// both rise by so much for every mm along x and along y.
//
// What lies in the slope is longer than it is in plan. Laid flat, a pour is turned
// about the line through that place which runs level: what runs along that line keeps
// its length, and what runs down the slope gets its real one.
type Fall struct {
	At   Point      `json:"at_mm"`
	Rise [2]float64 `json:"rise"` // mm for each mm along x, along y; less than 0 where it falls that way
}

// Grade is the steepest slope, mm for each mm in plan; 0 without a fall.
func (f *Fall) Grade() float64 {
	if f == nil {
		return 0
	}
	return math.Hypot(f.Rise[0], f.Rise[1])
}

// Stretch is how much longer the line of the steepest slope is than in plan, and
// how much deeper a part that lies in the slope is plumb than square to itself.
func (f *Fall) Stretch() float64 { return math.Hypot(1, f.Grade()) }

// Lift is how much higher the soffit is at a place than at the place that its
// height is given for, mm.
func (f *Fall) Lift(p Point) float64 {
	if f == nil {
		return 0
	}
	return (p[0]-f.At[0])*f.Rise[0] + (p[1]-f.At[1])*f.Rise[1]
}

// Along is the slope along a direction in plan, mm for each mm.
func (f *Fall) Along(dx, dy float64) float64 {
	l := math.Hypot(dx, dy)
	if f == nil || l == 0 {
		return 0
	}
	return (f.Rise[0]*dx + f.Rise[1]*dy) / l
}

// Flat is where a place in plan lies when the slope is laid flat, and Plan where
// one that is laid flat lies in plan.
func (f *Fall) Flat(p Point) Point { return f.scaled(p, f.Stretch()) }
func (f *Fall) Plan(p Point) Point { return f.scaled(p, 1/f.Stretch()) }

// scaled draws a place away from, or to, the level line by a factor.
func (f *Fall) scaled(p Point, by float64) Point {
	g := f.Grade()
	if g == 0 {
		return p
	}
	u := Point{f.Rise[0] / g, f.Rise[1] / g}
	away := ((p[0]-f.At[0])*u[0] + (p[1]-f.At[1])*u[1]) * (by - 1)
	return hundredths(Point{p[0] + away*u[0], p[1] + away*u[1]})
}

// hundredths rounds as all placed parts are.
func hundredths(p Point) Point {
	return Point{math.Round(p[0]*100)/100 + 0, math.Round(p[1]*100)/100 + 0} // no minus zero
}

// SoffitAt is the height of a zone's soffit at a place.
func (s *Site) SoffitAt(z Zone, p Point) float64 { return z.Soffit + s.Fall.Lift(p) }

// Range is the lowest and the highest soffit of a zone and its working strip.
func (s *Site) Range(z Zone) (low, high float64) {
	if s.Fall == nil {
		return z.Soffit, z.Soffit
	}
	low, high = math.Inf(1), math.Inf(-1)
	for _, shape := range slices.Concat(z.Shapes, z.Strip) {
		for _, p := range shape.Outer {
			low, high = math.Min(low, s.SoffitAt(z, p)), math.Max(high, s.SoffitAt(z, p))
		}
	}
	return low, high
}

// Softened is how far up a slope fresh concrete counts as liquid at an edge form,
// mm: as far as it is vibrated at once. Common practice, no source.
const Softened = 1000.0

// EdgeHead is the fresh concrete over the foot of the form of an edge, mm: its depth
// there and, where the soffit rises into the slab, that of the concrete up to
// Softened away from the edge.
func (s *Site) EdgeHead(e Edge, depth float64) float64 {
	in := s.Fall.Along(-(e.To[1] - e.From[1]), e.To[0]-e.From[0]) // the slab is on the left
	return depth + Softened*math.Max(0, in)
}

// FlatSite is a site with its slope laid flat: places are where they lie then, the
// heights of soffits are those at the fall's own place, and depths of concrete stay
// plumb. Without a fall it is the site itself.
func (s *Site) FlatSite() *Site {
	f := s.Fall
	if f == nil {
		return s
	}
	shapes := func(in []Shape) []Shape {
		if in == nil {
			return nil
		}
		out := make([]Shape, len(in))
		for i, x := range in {
			out[i] = x.Map(f.Flat)
		}
		return out
	}
	rings := func(in []Ring) []Ring {
		out := slices.Clone(in)
		for i, r := range in {
			out[i] = r.Map(f.Flat)
		}
		return out
	}
	out := *s
	out.Slab, out.Strip, out.Stand = shapes(s.Slab), shapes(s.Strip), shapes(s.Stand)
	out.Openings, out.Clear = rings(s.Openings), rings(s.Clear)
	out.Zones = slices.Clone(s.Zones)
	for i := range out.Zones {
		z := &out.Zones[i]
		z.Shapes, z.Strip, z.Room = shapes(z.Shapes), shapes(z.Strip), shapes(z.Room)
	}
	out.Blocks = slices.Clone(s.Blocks)
	for i := range out.Blocks {
		out.Blocks[i].Ring = out.Blocks[i].Ring.Map(f.Flat)
	}
	out.Edges = slices.Clone(s.Edges)
	for i := range out.Edges {
		e := &out.Edges[i]
		e.From, e.To = f.Flat(e.From), f.Flat(e.To)
	}
	out.Joints = slices.Clone(s.Joints)
	for i := range out.Joints {
		j := &out.Joints[i]
		j.From, j.To = f.Flat(j.From), f.Flat(j.To)
	}
	out.Gaps = slices.Clone(s.Gaps)
	for i := range out.Gaps {
		g := &out.Gaps[i]
		g.From, g.To = f.Flat(g.From), f.Flat(g.To)
	}
	out.Keep = slices.Clone(s.Keep)
	for i := range out.Keep {
		k := &out.Keep[i]
		k.At, k.To, k.Shape = f.Flat(k.At), f.Flat(k.To), k.Shape.Map(f.Flat)
	}
	out.Bans = slices.Clone(s.Bans)
	for i := range out.Bans {
		out.Bans[i].Area = out.Bans[i].Area.Map(f.Flat)
	}
	return &out
}

// moved is a deck with every place in plan mapped.
func (d *Deck) moved(to func(Point) Point) Deck {
	out := *d
	out.Sheets = slices.Clone(d.Sheets)
	for i := range out.Sheets {
		out.Sheets[i].Shape = out.Sheets[i].Shape.Map(to)
	}
	out.Joists, out.Stringers = slices.Clone(d.Joists), slices.Clone(d.Stringers)
	for _, list := range [][]Member{out.Joists, out.Stringers} {
		for i := range list {
			list[i].From, list[i].To = to(list[i].From), to(list[i].To)
		}
	}
	out.Props = slices.Clone(d.Props)
	for i := range out.Props {
		out.Props[i].At = to(out.Props[i].At)
	}
	out.EdgeForms = slices.Clone(d.EdgeForms)
	for i := range out.EdgeForms {
		e := &out.EdgeForms[i]
		e.From, e.To = to(e.From), to(e.To)
	}
	out.Guards = slices.Clone(d.Guards)
	for i := range out.Guards {
		out.Guards[i].At = to(out.Guards[i].At)
	}
	out.Ties = slices.Clone(d.Ties)
	for i := range out.Ties {
		out.Ties[i].At = to(out.Ties[i].At)
	}
	out.Braces = slices.Clone(d.Braces)
	for i := range out.Braces {
		b := &out.Braces[i]
		b.At, b.Foot = to(b.At), to(b.Foot)
	}
	return out
}

// LaidFlat is a pour with its slope laid flat, so that sheets and members have
// their real sizes. Heights of sheets and members become those over the soffit at the
// fall's own place, square to the slope; props keep theirs, since they stand plumb.
// Without a fall it is the pour itself.
func (p *Pour) LaidFlat() *Pour {
	f := p.Site.Fall
	if f == nil {
		return p
	}
	out := *p
	out.Site = *p.Site.FlatSite()
	out.Deck = p.Deck.moved(f.Flat)
	soffit := map[string]float64{}
	for _, fd := range p.Deck.Fields {
		for _, z := range p.Site.Zones {
			if z.Name == fd.Zone {
				soffit[fd.Name] = z.Soffit
			}
		}
	}
	square := func(field string, z float64, at Point) float64 {
		s := soffit[field]
		return s + (z-f.Lift(at)-s)/f.Stretch()
	}
	for i := range out.Deck.Sheets {
		s := &out.Deck.Sheets[i]
		if from := p.Deck.Sheets[i].Shape.Outer; len(from) > 0 {
			s.Z = square(s.Field, s.Z, from[0])
		}
		s.Rises = nil
	}
	for k, list := range [][]Member{out.Deck.Joists, out.Deck.Stringers} {
		was := [][]Member{p.Deck.Joists, p.Deck.Stringers}[k]
		for i := range list {
			m := &list[i]
			m.Top, m.Rise = square(m.Field, m.Top, was[i].From), 0
		}
	}
	return &out
}

// Tilted is a deck that was laid flat, back in the slope of a site in plan: places, and the
// heights of sheets and members. The seats and settings of its props are not
// changed: they take what the props are set with.
func (d *Deck) Tilted(s *Site) Deck {
	f := s.Fall
	out := d.moved(f.Plan)
	soffit := map[string]float64{}
	for _, fd := range d.Fields {
		for _, z := range s.Zones {
			if z.Name == fd.Zone {
				soffit[fd.Name] = z.Soffit
			}
		}
	}
	plumb := func(field string, z float64, at Point) float64 {
		s := soffit[field]
		return Height(s + f.Lift(at) + (z-s)*f.Stretch())
	}
	for i := range out.Sheets {
		sh := &out.Sheets[i]
		flat := sh.Z
		sh.Rises = nil
		for k, q := range sh.Shape.Outer {
			z := plumb(sh.Field, flat, q)
			if k == 0 {
				sh.Z = z
			}
			sh.Rises = append(sh.Rises, Height(z-sh.Z))
		}
	}
	for _, list := range [][]Member{out.Joists, out.Stringers} {
		for i := range list {
			m := &list[i]
			a, b := plumb(m.Field, m.Top, m.From), plumb(m.Field, m.Top, m.To)
			m.Top, m.Rise = a, Height(b-a)
		}
	}
	return out
}

// Height rounds a height as all placed parts are.
func Height(v float64) float64 { return math.Round(v*100)/100 + 0 }
