package layout

import (
	"fmt"
	"math"
	"slices"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// A soffit that falls is laid out flat, as deck.Fall says: in the slope all parts
// have their real lengths, and the search is that of any deck. What is plumb is known to
// the kit: from where to where props are set, and how deep the layers are over them.
// The deck that is found is then tilted into the slope, each prop with its setting.

// thinEdge is the thin edge of a wedge on a head, mm: what is left of hardwood when
// it is sawn to a slope. Common practice, no source.
const thinEdge = 10.0

// LaidFlat is the input with its site laid flat; one that does not fall is itself.
func (in *Input) LaidFlat() *Input {
	f := in.Site.Fall
	if f == nil {
		return in
	}
	out := *in
	out.Site = in.Site.FlatSite()
	// Distances in plan are shorter than they lie flat, and the feet of members lean
	// up the slope.
	lean := quantity.Length(0)
	for _, id := range slices.Concat(in.System.Joists, in.System.Stringers) {
		if p := in.Catalog.Parts[id]; p != nil {
			lean = max(lean, p.Depth.V*quantity.Length(f.Grade()))
		}
	}
	k := quantity.Length(f.Stretch())
	out.Deck.Clearance = out.Deck.Clearance*k + lean
	out.Deck.EdgeOfStand *= k
	return &out
}

// Tilted is a deck of this input, which was laid flat, in the slope of its site in
// plan, with every prop set to the soffit over it.
func (in *Input) Tilted(plan *deck.Site, d *deck.Deck) *deck.Deck {
	f := plan.Fall
	if f == nil {
		return d
	}
	out := d.Tilted(plan)
	part := in.Catalog.Parts
	depth := func(id string) float64 {
		if p := part[id]; p != nil {
			return mmOf(p.Depth.V)
		}
		return 0
	}
	for i := range out.Props {
		p := &out.Props[i]
		soffit := plan.Zones[0].Soffit
		p.Seat = deck.Height(soffit + f.Lift(p.At) + (p.Seat-soffit)*f.Stretch())
		p.Taper = taper(part[p.Head], f)
		p.Length = p.Seat - p.Base - depth(p.Wedge) - p.Taper
		if h := part[p.Head]; h != nil && h.Seat != nil {
			p.Length -= mmOf(h.Seat.Height.V)
		}
		p.Length = round(p.Length)
		if q := in.propFor(part[p.Part], d.Props[i].Length, p.Length); q != nil && !keptAt(in, d.Props[i].At) {
			p.Part = q.ID
		}
		p.Hole, p.Thread = setting(part[p.Part], p.Length)
	}
	return &out
}

// taper is the thickness of the wedge on a head over its middle, mm: one for all heads
// of a kind, whichever way the members over them run; 0 where none is needed.
func taper(head *catalog.Part, f *deck.Fall) float64 {
	if f.Grade() <= rules.TaperFrom || head == nil || head.Seat == nil {
		return 0
	}
	return math.Ceil(thinEdge + f.Grade()*math.Hypot(mmOf(head.Seat.SeatLong.V), mmOf(head.Seat.SeatWide.V))/2)
}

// slope is what a kit knows of a zone that falls.
type slope struct {
	*deck.Fall
	high, low float64 // heights of its soffit, mm
}

// slopeOf is the slope of a zone of a site that is laid flat; nil where it is level.
func slopeOf(s *deck.Site, zone deck.Zone) *slope {
	if s.Fall == nil {
		return nil
	}
	out := &slope{s.Fall, math.Inf(-1), math.Inf(1)}
	for _, shape := range slices.Concat(zone.Shapes, zone.Strip) {
		for _, p := range shape.Outer {
			z := zone.Soffit + s.Fall.Lift(s.Fall.Plan(p))
			out.high, out.low = math.Max(out.high, z), math.Min(out.low, z)
		}
	}
	return out
}

// span is by how much the props of a zone differ in their settings, mm.
func (s *slope) span() float64 {
	if s == nil {
		return 0
	}
	return s.high - s.low
}

// settingStep is how finely the lengths of props down a slope are looked at, mm.
const settingStep = 10.0

// fitsAll reports whether props can be set from a length down to one shorter by the
// span of the slope: the prop itself at the longest, and at every length it or another of the
// system that carries as much there.
func (k *kit) fitsAll(in *Input, p *catalog.Part, longest float64) bool {
	if !fits(p, longest) {
		return false
	}
	span := k.slope.span()
	if fits(p, longest-span) {
		return true
	}
	for off := 0.0; ; off = math.Min(off+settingStep, span) {
		if in.propFor(p, longest, longest-off) == nil {
			return false
		}
		if off >= span {
			return true
		}
	}
}

// propFor is the prop for a length where another was chosen for a longer one: that one, or
// the first of the system that carries there as much as that one at the longer, on a
// plate as large; nil where there is none.
func (in *Input) propFor(p *catalog.Part, longest, length float64) *catalog.Part {
	if p == nil || fits(p, length) {
		return p
	}
	want, _, err := in.Settings.Prop(p, quantity.Length(longest/1000))
	if err != nil {
		return nil
	}
	for _, id := range in.System.Props {
		q := in.Catalog.Parts[id]
		if q == nil || q.Kind != p.Kind || !fits(q, length) || q.Shore != nil && p.Shore != nil && q.Shore.Plate.V < p.Shore.Plate.V {
			continue
		}
		if got, _, err := in.Settings.Prop(q, quantity.Length(length/1000)); err == nil && got >= want {
			return q
		}
	}
	return nil
}

// upright keeps the directions of joists in which no member leans too far for its
// width, nor its load over the heads. The error says what would do.
func (k *kit) upright(dirs []float64) ([]float64, error) {
	if k.slope == nil {
		return dirs, nil
	}
	joist, stringer := k.joists[0].part, k.stringers[0].part
	var out []float64
	for _, deg := range dirs {
		sin, cos := math.Sincos(deg * math.Pi / 180)
		along, across := k.slope.Along(cos, sin), k.slope.Along(-sin, cos)
		j, s := rules.Lean(joist.Depth.V, joist.Width.V, across), rules.Lean(stringer.Depth.V, stringer.Width.V, along)
		const rounding = 1e-9
		ok := j.Ratio <= 1+rounding && s.Ratio <= 1+rounding
		for _, on := range []struct {
			head  *catalog.Part
			leans float64
		}{{k.grade, s.Value}, {k.inter, s.Value}, {k.under, j.Value}} {
			if on.head != nil && on.head.Seat != nil {
				ok = ok && on.leans <= float64(on.head.Seat.SeatWide.V)/4+rounding
			}
		}
		if ok {
			out = append(out, deg)
		}
	}
	if len(out) == 0 {
		g := k.slope.Grade()
		return nil, fmt.Errorf("falls %.1f %% (1:%.4g), and beams of system %s would lean over further than a quarter of their width or of their heads' seats; take a system with lower or wider beams, or make the fall less", 100*g, 1/g, k.sys.ID)
	}
	return out, nil
}
