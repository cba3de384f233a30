package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// The deck of a plan that is called good, looked over by plain arithmetic and
// random points, in ways that the audit does not use.

const (
	soffitPoints = 1500
	bareLimit    = 50e2 // mm2 of deck that may be bare: the fitting of sheets to borders
	heightSlack  = 2.0  // mm, between what lies on each other
)

// look collects what is wrong with one pour.
type look struct {
	doc   *deck.Document
	p     *deck.Pour
	rng   *rand.Rand
	wrong []string
}

func lookOver(doc *deck.Document, p *deck.Pour, seed uint64) []string {
	l := &look{doc: doc, p: p, rng: rand.New(rand.NewPCG(seed, 99))}
	l.cover()
	l.clear()
	l.standing()
	l.props()
	l.loads()
	for _, c := range p.Audit.Checks {
		if math.IsNaN(c.Ratio) || math.IsInf(c.Ratio, 0) {
			l.say("%s %s %s: value %g, ratio %g", c.Member, c.Kind, c.What, c.Value, c.Ratio)
		}
	}
	return l.wrong
}

func (l *look) say(format string, args ...any) {
	if len(l.wrong) < 20 {
		l.wrong = append(l.wrong, fmt.Sprintf(format, args...))
	}
}

func (l *look) mm(v catalog.Value[quantity.Length]) float64 { return float64(v.V) * 1000 }

// cover throws random points on the soffit and the working strip: each must lie
// under a sheet at the height of its own zone.
func (l *look) cover() {
	s := &l.p.Site
	for _, z := range s.Zones {
		for _, part := range []struct {
			name   string
			shapes []plane.Shape
		}{{"soffit", z.Shapes}, {"working strip", z.Strip}} {
			area := plane.Area(part.shapes)
			if area < 1 {
				continue
			}
			box := plane.Bounds(part.shapes)
			inside, bare := 0, 0
			var at plane.Point
			for range soffitPoints {
				q := plane.Point{box.X0 + l.rng.Float64()*(box.X1-box.X0), box.Y0 + l.rng.Float64()*(box.Y1-box.Y0)}
				if !plane.Within(part.shapes, q) {
					continue
				}
				inside++
				if !slices.ContainsFunc(l.p.Deck.Sheets, func(x deck.Sheet) bool {
					return math.Abs(x.Z-z.Soffit-l.falls(x.Shape.Outer[0])) < heightSlack && (x.Shape.Contains(q) || x.Shape.Outer.DistanceTo(q) < 1)
				}) {
					bare++
					at = q
				}
			}
			// Bare points are allowed as often as they would fall in the area that may be bare.
			expect := float64(inside) * bareLimit / area
			if float64(bare) > expect+4*math.Sqrt(expect)+0.5 {
				l.say("%d of %d points of the %s of zone %s lie under no sheet at its height, one at %.0f", bare, inside, part.name, z.Name, at)
			}
		}
	}
}

// clear throws random points on every part: none may lie in a column or wall.
func (l *look) clear() {
	solid := func(q plane.Point, deep float64) string {
		for _, b := range l.p.Site.Blocks {
			if b.Ring.Contains(q) && b.Ring.DistanceTo(q) > deep {
				return b.Name
			}
		}
		return ""
	}
	for _, list := range [][]deck.Member{l.p.Deck.Joists, l.p.Deck.Stringers} {
		for _, m := range list {
			half := l.mm(l.doc.Parts[m.Part].Width) / 2
			d, long := direction(m)
			for range 30 {
				a, c := l.rng.Float64()*long, (2*l.rng.Float64()-1)*half
				q := plane.Point{m.From[0] + a*d[0] - c*d[1], m.From[1] + a*d[1] + c*d[0]}
				if b := solid(q, 3); b != "" {
					l.say("%s runs through %s at %.0f", m.ID, b, q)
					break
				}
			}
		}
	}
	for _, x := range l.p.Deck.Sheets {
		box := x.Shape.Outer.Bounds()
		for range 40 {
			q := plane.Point{box.X0 + l.rng.Float64()*(box.X1-box.X0), box.Y0 + l.rng.Float64()*(box.Y1-box.Y0)}
			if x.Shape.Contains(q) {
				if b := solid(q, 8); b != "" {
					l.say("sheet %s lies in %s at %.0f", x.ID, b, q)
					break
				}
			}
		}
	}
	for _, x := range l.p.Deck.Props {
		if b := solid(x.At, 0); b != "" {
			l.say("prop %s stands in %s", x.ID, b)
		}
		if !l.p.Site.OnGround && !plane.Within(l.p.Site.Stand, x.At) {
			l.say("prop %s at %.0f stands on nothing", x.ID, x.At)
		}
	}
}

// falls is how much the soffit rises from where its height is given to a place, and
// deep how deep plumb what lies in its slope is.
func (l *look) falls(q plane.Point) float64 {
	f := l.p.Site.Fall
	if f == nil {
		return 0
	}
	return f.Rise[0]*(q[0]-f.At[0]) + f.Rise[1]*(q[1]-f.At[1])
}

func (l *look) deep(d float64) float64 {
	f := l.p.Site.Fall
	if f == nil {
		return d
	}
	return d * math.Sqrt(1+f.Rise[0]*f.Rise[0]+f.Rise[1]*f.Rise[1])
}

func direction(m deck.Member) (plane.Point, float64) {
	x, y := m.To[0]-m.From[0], m.To[1]-m.From[1]
	n := math.Hypot(x, y)
	return plane.Point{x / n, y / n}, n
}

// along is where a point lies along a member, and how far beside it.
func along(m deck.Member, q plane.Point) (at, beside float64) {
	d, _ := direction(m)
	x, y := q[0]-m.From[0], q[1]-m.From[1]
	return x*d[0] + y*d[1], math.Abs(x*d[1] - y*d[0])
}

// crossing is where a member's line meets another's, along each.
func crossing(a, b deck.Member) (onA, onB float64, ok bool) {
	d, la := direction(a)
	e, lb := direction(b)
	den := d[0]*e[1] - d[1]*e[0]
	if math.Abs(den) < 1e-6 {
		return 0, 0, false
	}
	x, y := b.From[0]-a.From[0], b.From[1]-a.From[1]
	onA, onB = (x*e[1]-y*e[0])/den, (x*d[1]-y*d[0])/den
	return onA, onB, onA > 0 && onA < la && onB > 0 && onB < lb
}

// standing finds what every joist and stringer lies on: two places at least.
func (l *look) standing() {
	props := func(m deck.Member, role string) (at []float64) {
		_, long := direction(m)
		bottom := m.Top - l.deep(l.mm(l.doc.Parts[m.Part].Depth))
		for _, q := range l.p.Deck.Props {
			wide := l.mm(l.doc.Parts[m.Part].Width) / 2
			if h := l.doc.Parts[q.Head]; h != nil && h.Seat != nil {
				wide = math.Max(wide, l.mm(h.Seat.SeatWide)/2)
			}
			s, side := along(m, q.At)
			under := bottom + m.Rise*s/long
			if f := l.p.Site.Fall; f != nil { // beside the member's middle the slope is higher, or lower
				under += f.Lift(q.At) - f.Lift(plane.Point{m.From[0] + (m.To[0]-m.From[0])*s/long, m.From[1] + (m.To[1]-m.From[1])*s/long})
			}
			if q.Under == role && math.Abs(q.Seat-under) < heightSlack && s > 0 && s < long && side < wide+5 {
				at = append(at, s)
			}
		}
		return at
	}
	two := func(at []float64) bool {
		return len(at) > 1 && slices.Max(at)-slices.Min(at) > 100
	}
	for _, j := range l.p.Deck.Joists {
		at := props(j, "joist")
		bottom := j.Top - l.deep(l.mm(l.doc.Parts[j.Part].Depth))
		_, longJ := direction(j)
		for _, s := range l.p.Deck.Stringers {
			_, longS := direction(s)
			if onJ, onS, ok := crossing(j, s); ok && math.Abs(s.Top+s.Rise*onS/longS-bottom-j.Rise*onJ/longJ) < heightSlack {
				at = append(at, onJ)
			}
		}
		if !two(at) {
			l.say("joist %s from %.0f to %.0f lies on nothing but %.0f along it", j.ID, j.From, j.To, at)
		}
	}
	for _, s := range l.p.Deck.Stringers {
		if at := props(s, "stringer"); !two(at) {
			l.say("stringer %s from %.0f to %.0f stands on nothing but %.0f along it", s.ID, s.From, s.To, at)
		}
	}
}

// props adds up every prop from what it stands on to what it carries.
func (l *look) props() {
	for _, q := range l.p.Deck.Props {
		part := l.doc.Parts[q.Part]
		add := func(id string) float64 {
			if p := l.doc.Parts[id]; p != nil {
				return l.mm(p.Depth)
			}
			return 0
		}
		head := 0.0
		if h := l.doc.Parts[q.Head]; h != nil && h.Seat != nil {
			head = l.mm(h.Seat.Height)
		}
		if sum := l.p.Site.BaseZ + add(q.Sill) + q.Length + add(q.Wedge) + head + q.Taper; math.Abs(sum-q.Seat) > heightSlack {
			l.say("prop %s: sill, prop, wedges and head end at %.1f, its seat is at %.1f", q.ID, sum, q.Seat)
		}
		if part.Shore == nil { // a post cut to length
			if q.Length > l.mm(part.Length)+0.5 {
				l.say("post %s of %.0f mm is cut from timber of %.0f mm", q.ID, q.Length, l.mm(part.Length))
			}
			continue
		}
		low, high := l.mm(part.Shore.Shortest), l.mm(part.Shore.Longest)
		if q.Length < low-0.5 || q.Length > high+0.5 {
			l.say("prop %s is set to %.0f mm, out of %.0f to %.0f mm", q.ID, q.Length, low, high)
		}
		if pitch := l.mm(part.Shore.HolePitch); pitch > 0 {
			if set := low + float64(q.Hole-1)*pitch + q.Thread; q.Hole < 1 || q.Thread < -0.5 || q.Thread > l.mm(part.Shore.Thread)+0.5 || math.Abs(set-q.Length) > heightSlack {
				l.say("prop %s: hole %d and %.0f mm of thread make %.0f mm, not %.0f", q.ID, q.Hole, q.Thread, set, q.Length)
			}
		}
	}
}

// loads compares what is said to lie on the deck with areas times thicknesses:
// concrete, forms and live load on the soffit, forms and people on the strip.
func (l *look) loads() {
	set := l.doc.Settings
	least, t := 0.0, l.p.Audit.Totals
	most := 0.0
	for _, z := range l.p.Site.Zones {
		area, strip := plane.Area(z.Shapes)/1e6, plane.Area(z.Strip)/1e6
		concrete := float64(set.ConcreteWeight) * z.Thickness / 1000
		least += area * (concrete + float64(set.LiveLoad))
		// Minima and the heap of concrete while placing raise the live load, forms weigh
		// a few hundred Pa: no deck of these parts goes past this.
		most += area*(1.1*concrete+float64(set.LiveLoad)+4000) + strip*(float64(set.StripLive)+1500)
	}
	sheets := 0.0
	for _, x := range l.p.Deck.Sheets {
		sheets += x.Shape.Area() / 1e6
	}
	if t.Applied < 0.99*least || t.Applied > 1.02*most {
		l.say("%.1f kN are said to lie on the deck; areas times thickness give %.1f to %.1f kN", t.Applied/1e3, least/1e3, most/1e3)
	}
	if all := (plane.Area(l.p.Site.Slab) + plane.Area(l.p.Site.Strip)) / 1e6; sheets < all-bareLimit/1e6-0.001*all {
		l.say("%.2f m2 of sheets on %.2f m2 of deck", sheets, all)
	}
}
