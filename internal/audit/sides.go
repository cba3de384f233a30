package audit

import (
	"fmt"
	"math"
	"slices"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// Soffits and tops of different height in one pour: the faces between them, and
// the decks that lie beside and over each other there.

// sideTolerance is how much lower than its face a form may be, mm.
const sideTolerance = 1.0

// sides checks that every vertical face between two soffits or two tops has a
// form as high as the step.
func (a *auditor) sides() {
	sides := a.site.Sides()
	a.faces(sides, deck.SideOf, "the side")
	for _, f := range sides {
		a.footing(f)
	}
	risers := a.site.Risers()
	a.faces(risers, deck.RiserOf, "the step in the top")
	if len(risers) > 0 {
		a.caution("deck", risers[0].From, "hang the forms of steps in the top from the higher side: nothing may stand in the lower concrete; place the lower part first and let it stiffen before the higher")
	}
}

func (a *auditor) faces(faces []deck.Face, kind deck.FormKind, what string) {
	for _, f := range faces {
		e := deck.Edge{From: f.From, To: f.To}
		var have plane.Spans
		for _, form := range a.pour.Deck.EdgeForms {
			if form.Kind != kind || math.Abs(form.Foot-f.Foot) > heightTolerance || form.Height < f.Height-sideTolerance || form.Head < f.Head-sideTolerance {
				continue
			}
			if s, ok := run(e, form.From, form.To); ok {
				have = append(have, s)
			}
		}
		l := length(f.From, f.To)
		if bare := plane.Minus(plane.Spans{{A: 0, B: l}}, plane.Merge(have, 1)).Total(); bare > 5 {
			a.find("zone "+a.site.Zones[f.Low].Name, f.From, "%s of zone %s against zone %s has %.0f mm without a form %.0f mm high that is proven for %.0f mm of concrete",
				what, a.site.Zones[f.Low].Name, a.site.Zones[f.High].Name, bare, f.Height, f.Head)
		}
	}
}

// footing checks that the deck of the lower zone, or of one lower still, runs on
// under the side form: it stands there. Corners may lack it.
func (a *auditor) footing(f deck.Face) {
	const wide, every, most = 50.0, 100.0, 0.25
	l := length(f.From, f.To)
	u := plane.Point{(f.To[0] - f.From[0]) / l, (f.To[1] - f.From[1]) / l}
	n, bare := 0.0, 0.0
	for d := math.Min(every, l) / 2; d < l; d += every {
		at := plane.Point{f.From[0] + d*u[0] + wide*u[1], f.From[1] + d*u[1] - wide*u[0]}
		stands := false
		for _, z := range a.site.Zones {
			stands = stands || z.Soffit <= f.Foot+heightTolerance && plane.Within(z.Room, at)
		}
		n++
		if !stands {
			bare++
		}
	}
	if bare > 1 && bare > most*n {
		a.find("zone "+a.site.Zones[f.Low].Name, f.From, "the side form of zone %s against zone %s has no deck to stand on along %.0f mm", a.site.Zones[f.Low].Name, a.site.Zones[f.High].Name, math.Min(l, bare*every))
	}
}

// formHeight is the most that a part can form: the depth of a board on edge,
// the smaller side of a panel.
func formHeight(p *catalog.Part) float64 {
	if p.Kind == catalog.Sheet {
		return math.Min(float64(p.Width.V), float64(p.Length.V)) * 1000
	}
	return float64(p.Depth.V) * 1000
}

// roomLoad is the load on the deck beside a zone's sides where no sheets rest on
// the side form: the slab over it all the same, should the form bring it down.
func (a *auditor) roomLoad(low *deck.Zone, forms quantity.Stress) rules.AreaLoad {
	thick := 0.0
	for _, z := range a.site.Zones {
		if z.Soffit > low.Soffit {
			thick = math.Max(thick, z.Thickness)
		}
	}
	return a.doc.Settings.AreaLoad(quantity.Length(thick/1000), forms)
}

// ledge is a side form as what the sheets of the higher deck rest on: a bar in
// their field's axes that takes loads like a joist and stands on the lower deck.
type ledge struct {
	*bar
	form *deck.EdgeForm
	low  *deck.Zone
	room float64 // width of the lower deck beside the middle of the form, mm
}

// ledges are the side forms along the joists of a field, whose soffit they reach.
func (a *auditor) ledges(f *field) []*ledge {
	var out []*ledge
	for i := range a.pour.Deck.EdgeForms {
		e := &a.pour.Deck.EdgeForms[i]
		part := a.doc.Parts[e.Part]
		if e.Kind != deck.SideOf || part == nil || math.Abs(e.Foot+e.Height-f.zone.zone.Soffit) > heightTolerance {
			continue
		}
		l := length(e.From, e.To)
		if l < 50 {
			continue
		}
		right := plane.Point{(e.To[1] - e.From[1]) / l, -(e.To[0] - e.From[0]) / l}
		beside := func(p plane.Point, d float64) plane.Point { return plane.Point{p[0] + right[0]*d, p[1] + right[1]*d} }
		mid := plane.Point{(e.From[0] + e.To[0]) / 2, (e.From[1] + e.To[1]) / 2}
		low := a.zoneAt(beside(mid, -5))
		if low == nil || math.Abs(low.Soffit-e.Foot) > heightTolerance || !plane.Within(f.zone.zone.Shapes, beside(mid, 5)) {
			continue
		}
		thick := math.Min(float64(part.Width.V), float64(part.Depth.V)) * 1000
		b := &bar{Member: &deck.Member{ID: e.ID, Part: e.Part}, part: part, f: f, a: f.in(beside(e.From, thick/2)), b: f.in(beside(e.To, thick/2)), w: thick}
		b.len = math.Hypot(b.b[0]-b.a[0], b.b[1]-b.a[1])
		if dx, dy := math.Abs(b.b[0]-b.a[0]), math.Abs(b.b[1]-b.a[1]); math.Atan2(dx, dy) > skewLimit*math.Pi/180 {
			continue
		}
		b.last = b.len // it is held all along
		room := 0.0
		for room < 500 && plane.Within(low.Room, beside(mid, room+1)) {
			room++
		}
		out = append(out, &ledge{b, e, low, room})
	}
	return out
}

// zoneAt is the zone at a place, or nil.
func (a *auditor) zoneAt(p plane.Point) *deck.Zone {
	for i := range a.site.Zones {
		if plane.Within(a.site.Zones[i].Shapes, p) {
			return &a.site.Zones[i]
		}
	}
	return nil
}

// ledgeSpread is the length over which a panel on edge and the joists under it
// even out what the sheets put on it, mm.
const ledgeSpread = 600.0

// standLedge hands what the sheets of the higher deck put on a side form to the
// deck that it stands on: the most on any stretch of it, over its whole length and
// the width of that deck beside the form.
func (a *auditor) standLedge(l *ledge) {
	if len(l.loads) == 0 {
		return
	}
	if l.room < 1 {
		a.find(l.form.ID, l.form.From, "the sheets of the slab rest on a side form that has no deck to stand on")
		return
	}
	spread := math.Min(ledgeSpread, l.len)
	most := func(of func(piecewise) float64) quantity.Stress {
		worst := 0.0
		for _, p := range l.loads {
			for _, from := range []float64{math.Min(p.from, l.len-spread), math.Max(0, p.to-spread)} {
				sum := 0.0
				for _, q := range l.loads {
					sum += of(q) * math.Max(0, math.Min(q.to, from+spread)-math.Max(q.from, from))
				}
				worst = math.Max(worst, sum/spread)
			}
		}
		return quantity.Stress(worst * 1000 / l.room)
	}
	for _, p := range l.loads {
		a.applied -= p.service * (p.to - p.from) / 1000 // comes down in the props of the lower deck
	}
	service := most(func(p piecewise) float64 { return p.service })
	a.onSides[l.low.Name] = append(a.onSides[l.low.Name], sideLoad{l.form.From, l.form.To, l.room, rules.AreaLoad{
		Concrete: service, StrengthForms: most(func(p piecewise) float64 { return p.always }), StrengthPlacing: most(func(p piecewise) float64 { return p.placing }),
		DeflectionLoad: most(func(p piecewise) float64 { return p.deflect }),
	}})
}

// sideLoad is what comes down through a side form on the deck beside it.
type sideLoad struct {
	from, to plane.Point
	room     float64
	load     rules.AreaLoad
}

// besideLoad is the load on a deck between two places beside its sides: the
// greatest of what the side forms along there hand down, never less than that of
// people. Where neither end nor the middle lies at such a form, the slab over it too.
func (a *auditor) besideLoad(z zoneLoad, from, to plane.Point) rules.AreaLoad {
	best, found := z.strip, false
	mid := plane.Point{(from[0] + to[0]) / 2, (from[1] + to[1]) / 2}
	for _, s := range a.onSides[z.zone.Name] {
		at := func(p plane.Point) bool { return plane.Distance(p, s.from, s.to) <= s.room+20 }
		here := at(from) || at(mid) || at(to)
		// A short form may lie between them.
		if !here && min(plane.Distance(s.from, from, to), plane.Distance(s.to, from, to)) > s.room+20 {
			continue
		}
		found = found || here
		load := s.load
		load.Forms, load.StrengthForms, load.DeflectionLoad = z.strip.Forms, load.StrengthForms+z.strip.StrengthForms, load.DeflectionLoad+z.strip.Forms
		if load.Service() > best.Service() {
			best = load
		}
	}
	if !found && z.room.Service() > best.Service() {
		return z.room
	}
	return best
}

// kept is the places that sheets, and joists and stringers, of a field keep out of.
type kept struct{ sheets, members []blocked }

type blocked struct {
	name  string
	shape plane.Shape
}

// rooms finds what every field keeps out of: columns, walls, joints and the other
// zones. Its sheets may lie over the room beside a lower zone, its joists and
// stringers not; beside its own sides they may lie under a higher zone.
func (a *auditor) rooms() error {
	a.kept = map[*field]kept{}
	for i := range a.pour.Deck.Fields {
		f := a.fields[a.pour.Deck.Fields[i].Name]
		var k kept
		for _, b := range a.site.Blocks {
			k.sheets = append(k.sheets, blocked{b.Name, plane.Shape{Outer: b.Ring}})
		}
		k.members = append(k.members, k.sheets...)
		for _, z := range a.site.Zones {
			if z.Name == f.Zone {
				continue
			}
			other, err := plane.Difference(z.Shapes, f.zone.zone.Room)
			if err != nil {
				return fmt.Errorf("zone %s: %w", z.Name, err)
			}
			for _, s := range append(other, z.Strip...) {
				k.sheets = append(k.sheets, blocked{"zone " + z.Name, s})
				k.members = append(k.members, blocked{"zone " + z.Name, s})
			}
			for _, s := range z.Room {
				k.members = append(k.members, blocked{"the room for the side forms of zone " + z.Name, s})
			}
		}
		a.kept[f] = k
	}
	return nil
}

// besideDecks checks that no prop comes up through the deck of a zone that is
// lower than what it carries.
func (a *auditor) besideDecks() {
	if a.site.Fall != nil { // one plane: no zone is lower
		return
	}
	for _, p := range a.props {
		for _, z := range a.site.Zones {
			over := p.Seat > z.Soffit
			for _, b := range p.on {
				over = over || b.f.zone.zone.Soffit > z.Soffit+heightTolerance
			}
			if over {
				a.through(p, z)
			}
		}
	}
}

func (a *auditor) through(p *post, z deck.Zone) {
	for _, s := range slices.Concat(z.Shapes, z.Room, z.Strip) {
		if s.Contains(p.at) || s.Outer.DistanceTo(p.at) < deck.TubeHalf {
			a.find(p.ID, p.at, "the prop comes up through the deck of zone %s", z.Name)
			return
		}
	}
}
