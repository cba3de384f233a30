package audit

import (
	"fmt"
	"math"

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
	a.faces(a.site.Sides(), deck.SideOf, "the side")
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

// formHeight is the most that a part can form: the depth of a board on edge,
// the smaller side of a panel.
func formHeight(p *catalog.Part) float64 {
	if p.Kind == catalog.Sheet {
		return math.Min(float64(p.Width.V), float64(p.Length.V)) * 1000
	}
	return float64(p.Depth.V) * 1000
}

// roomLoad is the load on the deck beside a zone's sides: the slab over it, which
// the side form may bring down, though the slab's own deck is proven without it.
func (a *auditor) roomLoad(low *deck.Zone, forms quantity.Stress) rules.AreaLoad {
	thick := 0.0
	for _, z := range a.site.Zones {
		if z.Soffit > low.Soffit {
			thick = math.Max(thick, z.Thickness)
		}
	}
	return a.doc.Settings.AreaLoad(quantity.Length(thick/1000), forms)
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
	for _, s := range append(append([]plane.Shape(nil), z.Shapes...), z.Room...) {
		if s.Contains(p.at) || s.Outer.DistanceTo(p.at) < 40 {
			a.find(p.ID, p.at, "the prop comes up through the deck of zone %s", z.Name)
			return
		}
	}
}
