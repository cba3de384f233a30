package audit

import (
	"fmt"
	"math"
	"slices"

	"shoreward/internal/calc"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// A soffit that falls. The pour is laid flat (deck.Pour.LaidFlat), so that sheets and
// members have their real lengths and are proven as those of any deck; loads keep their
// size for each square metre, but the concrete is as thick as it is square to the slope.
// Of a plumb load on a member that slopes along itself by an angle α this takes
// too much: its moment by 1/cos² α at most, its deflection by 1/cos α, never too little.
// Props stay plumb, each with the setting of its own place.

// planeTolerance is how far a corner or end may lie off the plane of the rest, mm.
const planeTolerance = heightTolerance

// sizeTolerance is by how much a part may seem longer than it is, mm: its ends are
// written to a hundredth, and people measure in whole millimetres.
const sizeTolerance = 1.5

// thinEdge is the most that the thin edge of a wedge on a head may measure, mm: more is
// packing, which is no wedge. Common practice, no source.
const thinEdge = 50.0

// soundFall refuses a site whose slope is no slope, or is steeper than is proven.
func soundFall(s *deck.Site) error {
	f := s.Fall
	if f == nil {
		return nil
	}
	for _, v := range []float64{f.At[0], f.At[1], f.Rise[0], f.Rise[1]} {
		if math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > 1e8 {
			return fmt.Errorf("the site's fall has a number that is none: %g", v)
		}
	}
	if g := f.Grade(); g > rules.SteepestFall+1e-6 {
		return fmt.Errorf("the soffit falls %.1f %%; decks are proven up to 1:8", 100*g)
	}
	for _, z := range s.Zones {
		if math.Abs(z.Soffit-s.Zones[0].Soffit) > 1e-6 || len(z.Room) > 0 {
			return fmt.Errorf("zone %s of a site that falls does not lie in one plane with the others: beams, drops and steps are not proven there", z.Name)
		}
	}
	return nil
}

// squareSeats measures the seats of props as all heights laid flat: over the soffit at the
// fall's own place, square to the slope.
func (a *auditor) squareSeats() {
	f := a.site.Fall
	if f == nil || len(a.site.Zones) == 0 {
		return
	}
	soffit := a.site.Zones[0].Soffit
	for i, p := range a.props {
		p.seat = soffit + (p.Seat-f.Lift(a.plan.Deck.Props[i].At)-soffit)/f.Stretch()
	}
}

// inPlan takes the places of what was found back into plan.
func (a *auditor) inPlan(r deck.Audit) deck.Audit {
	f := a.site.Fall
	if f == nil {
		return r
	}
	for i := range r.Findings {
		if at := &r.Findings[i].At; *at != (plane.Point{}) {
			*at = f.Plan(*at)
		}
	}
	for i := range r.Handed {
		r.Handed[i].At = f.Plan(r.Handed[i].At)
	}
	return r
}

// slope checks what a soffit that falls asks for on top: every sheet and member in
// its plane and no longer than its part, wedges on the heads, and nothing that leans
// too far.
func (a *auditor) slope() {
	f := a.site.Fall
	if f == nil {
		a.level()
		return
	}
	for i, p := range a.plates {
		s := &a.plan.Deck.Sheets[i]
		if len(s.Rises) != len(s.Shape.Outer) || len(s.Rises) > 0 && s.Rises[0] != 0 {
			a.find(p.ID, p.middle(), "the sheet lies under a soffit that falls, and the heights of its corners are not given")
			continue
		}
		for k, q := range s.Shape.Outer {
			off := s.Z + s.Rises[k] - f.Lift(q) - (s.Z - f.Lift(s.Shape.Outer[0]))
			if !(math.Abs(off) <= planeTolerance) {
				a.find(p.ID, f.Flat(q), "the sheet does not lie in the slope: a corner is %.0f mm off", off)
				break
			}
		}
		along, across := extents(p.Sheet)
		l, w := float64(p.part.Length.V)*1000, float64(p.part.Width.V)*1000
		if along > l+sizeTolerance || across > w+sizeTolerance {
			a.find(p.ID, p.middle(), "the sheet is %.1f by %.1f mm in the slope, and its part %.1f by %.1f", along, across, l, w)
		}
	}
	for role, list := range a.bars {
		given := [][]deck.Member{a.plan.Deck.Joists, a.plan.Deck.Stringers}[role]
		for i, b := range list {
			a.inSlope(f, b, &given[i])
			a.lean(f, b, []string{"joist", "stringer"}[role])
		}
	}
	for _, p := range a.props {
		for _, b := range p.on {
			p.leans = math.Max(p.leans, b.leans)
		}
		a.taper(f, p)
	}
	a.fallCautions(f)
}

// level checks that a deck under a level soffit has nothing of one that falls.
func (a *auditor) level() {
	for _, p := range a.props {
		if p.Taper != 0 {
			a.find(p.ID, p.at, "has a wedge cut to a slope on its head, under a soffit that does not fall")
		}
	}
	for _, list := range a.bars {
		for _, b := range list {
			if b.Rise != 0 {
				m := b.at(b.len / 2)
				a.find(b.ID, b.f.out(m[0], m[1]), "rises by %.0f mm under a soffit that does not fall", b.Rise)
			}
			if part := float64(b.part.Length.V) * 1000; b.len > part+sizeTolerance {
				m := b.at(b.len / 2)
				a.find(b.ID, b.f.out(m[0], m[1]), "is %.1f mm long, and its part %.1f mm", b.len, part)
			}
		}
	}
	for _, p := range a.plates {
		if len(p.Rises) > 0 {
			a.find(p.ID, p.middle(), "has corners of different heights under a soffit that does not fall")
		}
	}
}

// inSlope checks that a member rises as the slope does, and that it is no longer in
// space than its part, and no shorter where it is not sawn.
func (a *auditor) inSlope(f *deck.Fall, b *bar, m *deck.Member) {
	mid := b.at(b.len / 2)
	at := b.f.out(mid[0], mid[1])
	if off := m.Rise - (f.Lift(m.To) - f.Lift(m.From)); !(math.Abs(off) <= planeTolerance) {
		a.find(b.ID, at, "does not lie in the slope: its far end is %.0f mm off", off)
	}
	real := math.Sqrt(math.Pow(m.To[0]-m.From[0], 2) + math.Pow(m.To[1]-m.From[1], 2) + m.Rise*m.Rise)
	part := float64(b.part.Length.V) * 1000
	if real > part+sizeTolerance || !m.Sawn && real < part-sizeTolerance {
		a.find(b.ID, at, "is %.1f mm long in the slope, and its part %.1f mm", real, part)
	}
}

// across is the slope across a member, and along it.
func (b *bar) slopes(f *deck.Fall) (along, across float64) {
	p, q := b.f.out(b.a[0], b.a[1]), b.f.out(b.b[0], b.b[1])
	dx, dy := q[0]-p[0], q[1]-p[1]
	return math.Abs(f.Along(dx, dy)), math.Abs(f.Along(-dy, dx))
}

// lean checks how far a member leans: it stands square to the slope, and the load
// on it is plumb. Its foot lies up the slope from its upper face, and must clear columns
// and walls too.
func (a *auditor) lean(f *deck.Fall, b *bar, role string) {
	_, across := b.slopes(f)
	m := b.at(b.len / 2)
	at := b.f.out(m[0], m[1])
	line := rules.Lean(b.part.Depth.V, b.part.Width.V, across)
	b.leans = line.Value * 1000
	if across > 1e-6 {
		a.check(b.ID, role, "lean", line.Value, *line.Limit, calc.Length, at, func() deck.Worked {
			return deck.Worked{Kind: role, What: "lean", Member: b.ID, Part: b.part.ID, Lines: calc.Lines{line}}
		})
	}
	g := f.Grade()
	if g == 0 {
		return
	}
	up := b.d * g // of the foot, laid flat: depth times sine, drawn out by the stretch
	ring := b.outline(0)
	foot := ring.Map(func(p plane.Point) plane.Point {
		return plane.Point{p[0] + up*f.Rise[0]/g, p[1] + up*f.Rise[1]/g}
	})
	swept := plane.Hull(slices.Concat(ring, foot)).CCW()
	for _, k := range a.site.Blocks {
		if k.Kind != "joint" && swept.Bounds().Overlaps(k.Ring.Bounds(), 0) && overlap(swept, k.Ring) {
			a.find(b.ID, at, "the foot of the %s, which leans, runs into %s", role, k.Name)
		}
	}
}

// taper checks the wedge on a head under a member that slopes: thick enough for the
// slope over the whole seat, and not packed up.
func (a *auditor) taper(f *deck.Fall, p *post) {
	if p.head == nil || p.head.Seat == nil {
		return // said with the heights
	}
	reach := 0.0
	for _, b := range p.on {
		along, across := b.slopes(f)
		reach = math.Max(reach, float64(rules.TaperReach(p.head.Seat.SeatLong.V, p.head.Seat.SeatWide.V, along, across))*1000)
	}
	style := a.doc.Job.Style
	text := func(mm float64) string { return quantity.Millimetres(mm).Text(style) }
	switch {
	case !(p.Taper >= 0):
		a.find(p.ID, p.at, "the wedge on its head is %g mm thick", p.Taper)
	case f.Grade() > rules.TaperFrom && len(p.on) > 0 && p.Taper < reach-0.5:
		a.find(p.ID, p.at, "needs a wedge cut to the slope on its head, %s or thicker over its middle, and has %s", text(reach), text(p.Taper))
	case p.Taper > reach+thinEdge+0.5:
		a.find(p.ID, p.at, "the wedge on its head is %s thick over its middle: packing, not a wedge", text(p.Taper))
	}
}

// fallCautions says what a crew must know of a soffit that falls.
func (a *auditor) fallCautions(f *deck.Fall) {
	say := func(text string) { a.caution("deck", plane.Point{}, "%s", text) }
	say(fmt.Sprintf("the soffit falls %.1f %% (1:%.4g): every prop stands plumb and has a setting of its own; set by the list, prop by prop, and check levels at both ends of every stringer", 100*f.Grade(), 1/f.Grade()))
	say("nail joists to stringers at every crossing, and sheets to joists: they stand square to the slope and must not lean further")
	if f.Grade() > rules.TaperFrom {
		say("put a hardwood wedge cut to the slope on every head, its level side down, and nail it to what lies on it: without it the head takes its load on one edge and pushes sideways")
	}
	say("place the concrete from the low end up, with a low slump; the ties and braces that hold the deck against the push down the slope stand before it is placed")
	if f.Grade() > rules.TopFormFrom {
		say("on a slope of more than 1:12 vibrated concrete may run: have the engineer say whether its top needs a form, held down against the pressure (common practice, no source)")
	}
}
