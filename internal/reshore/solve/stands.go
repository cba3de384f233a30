package solve

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/storeys"
)

// inLine is how far a prop may stand beside another and still stand over it, mm.
const inLine = 50

// above are the pours whose props stand on a pour.
func (m *model) above(p *pour) []*pour {
	var out []*pour
	for _, q := range m.pours {
		if q.level.Base.Level == p.level.Name {
			out = append(out, q)
		}
	}
	return out
}

// stands finds where reshores may stand under a pour: in line with every prop of
// the decks that stand on it, each with the share of that prop by its load path; or,
// where nothing stands on it, where its own props stood.
func (m *model) stands(p *pour) error {
	type over struct {
		prop  *deck.Prop
		share float64
	}
	var list []over
	from := m.above(p)
	if len(from) == 0 {
		from = []*pour{p}
	}
	for _, q := range from {
		carried := map[string]float64{}
		for _, c := range q.deck.Audit.Checks {
			if c.Kind == "prop" && c.What == "load" {
				carried[c.Member] = c.Value
			}
		}
		for i := range q.deck.Deck.Props {
			x := &q.deck.Deck.Props[i]
			if q != p && !plane.Within(p.deck.Site.Slab, x.At) {
				continue // over another pour, an opening or a column
			}
			if f := carried[x.ID]; f > 0 {
				list = append(list, over{x, f / float64(q.placing)})
			}
		}
	}
	sort.SliceStable(list, func(a, b int) bool {
		p, q := list[a].prop.At, list[b].prop.At
		if p[1] != q[1] {
			return p[1] < q[1]
		}
		return p[0] < q[0]
	})
	load := quantity.Stress(0) // of one level of shores, for which a prop is chosen
	for _, q := range from {
		load = max(load, q.service)
	}
	for k, o := range list {
		s := &stand{id: fmt.Sprintf("R%d", k+1), at: o.prop.At, share: quantity.Area(o.share)}
		if from[0] != p {
			s.over = o.prop.ID
		}
		s.like = o.prop.Part
		if err := m.fit(p, s, load); err != nil {
			s.why = err.Error()
		}
		p.stands = append(p.stands, s)
	}
	if len(p.stands) == 0 {
		return fmt.Errorf("no prop stands on it that its reshores could be in line with")
	}
	if pitch := m.j.Storeys.ReshorePitch; pitch > 0 && from[0] != p {
		p.stands = m.thinned(p, from, pitch)
	}
	p.reshores = m.levelOf(p, p.stands)
	return nil
}

// thinned leaves out places whose prop above then stands within half the pitch of a
// reshore that can carry its share too, at the load of the level above placed on
// one level of shores.
func (m *model) thinned(p *pour, from []*pour, pitch quantity.Length) []*stand {
	load := 0.0
	for _, q := range from {
		load = math.Max(load, float64(q.service))
	}
	keep := append([]*stand(nil), p.stands...)
	for _, s := range p.stands {
		var to *stand
		near := math.Inf(1)
		for _, o := range keep {
			if o == s || o.part == nil {
				continue
			}
			if d := apart(s.at, o.at); d < near {
				near, to = d, o
			}
		}
		if to == nil || near > pitch.Millimetres()/2 || len(s.also) > 0 || s.part == nil {
			continue
		}
		if float64(to.share+s.share)*load*m.factor() > float64(to.rating) {
			continue
		}
		to.share += s.share
		to.also = append(to.also, beside{s.over, near, s.share})
		keep = slices.DeleteFunc(keep, func(o *stand) bool { return o == s })
	}
	for k, s := range keep {
		s.id = fmt.Sprintf("R%d", k+1)
	}
	return keep
}

func apart(a, b plane.Point) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }

// fit chooses the prop of a place: the part of the prop above, or the first of the
// system that reaches and carries a load per area on its share; else the strongest.
func (m *model) fit(p *pour, s *stand, load quantity.Stress) error {
	z := p.deck.Site.ZoneBeside(s.at)
	for i, zone := range p.deck.Site.Zones {
		if plane.Within(zone.Shapes, s.at) {
			z = i
		}
	}
	top := p.deck.Site.BaseZ
	if p.level.Base.Level != "" {
		if !plane.Within(p.deck.Site.Stand, s.at) {
			return errors.New("there is nothing to stand on")
		}
		for _, q := range m.pours {
			if q.level.Name != p.level.Base.Level {
				continue
			}
			for _, zone := range q.deck.Site.Zones {
				if plane.Within(zone.Shapes, s.at) {
					top = zone.Soffit + zone.Thickness
				}
			}
		}
	}
	s.length = math.Round((p.deck.Site.Zones[z].Soffit-top)*100) / 100
	need := quantity.Force(float64(load) * float64(s.share) * m.factor())
	for _, id := range append([]string{s.like}, m.system.Props...) {
		part := m.cat.Parts[id]
		if part == nil {
			continue
		}
		r, _, err := m.j.Settings.Prop(part, quantity.Millimetres(s.length))
		if err == nil && r > s.rating {
			s.part, s.rating = part, r
		}
		if s.rating >= need {
			break
		}
	}
	if s.part == nil {
		return fmt.Errorf("no prop of system %s can be set to %s", m.system.ID, quantity.Millimetres(s.length).Text(m.j.Style))
	}
	return nil
}

// levelOf is some places for reshores as a level of props.
func (m *model) levelOf(p *pour, stands []*stand) propLevel {
	out := propLevel{rating: quantity.Stress(math.Inf(1))}
	stiff := 0.0
	for _, s := range stands {
		if s.part == nil {
			continue
		}
		out.count++
		stiff += m.prop(s.part, quantity.Millimetres(s.length))
		if !(s.share > 0) {
			continue
		}
		if r := quantity.Stress(float64(s.rating) / m.factor() / float64(s.share)); r < out.rating {
			out.rating, out.worst = r, propAt{part: s.part.ID, length: s.length, force: s.rating}
		}
	}
	area := plane.Area(p.deck.Site.Slab) / 1e6
	out.stiffness = storeys.Stiffness(stiff / area)
	if out.count == 0 {
		out.rating, out.stiffness = 0, 1
	}
	return out
}
