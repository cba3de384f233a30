package layout

import (
	"fmt"
	"math"
	"slices"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// bays takes a site with beams apart for the layout: each bay of slab between
// them is planned as a zone of its own, whose joists may run its own way. The
// parts still belong to the zone by its name.
func bays(in *Input) (*Input, error) {
	if !slices.ContainsFunc(in.Site.Zones, func(z deck.Zone) bool { return len(z.Room) > 0 }) {
		return in, nil
	}
	site := *in.Site
	site.Zones = nil
	for _, z := range in.Site.Zones {
		whole, err := plane.Union(slices.Concat(z.Shapes, z.Room))
		if err != nil {
			return nil, err
		}
		var zones []deck.Zone
		var boxes []plane.Box
		for _, bay := range whole {
			one := deck.Zone{Name: z.Name, Thickness: z.Thickness, Soffit: z.Soffit}
			for _, cut := range []struct{ from, to *[]deck.Shape }{{&z.Shapes, &one.Shapes}, {&z.Room, &one.Room}} {
				for _, s := range *cut.from {
					if bay.Contains(middleOf(s)) {
						*cut.to = append(*cut.to, s)
					}
				}
			}
			zones, boxes = append(zones, one), append(boxes, bay.Outer.Bounds())
		}
		if len(zones) == 0 {
			continue
		}
		strips, err := shareStrip(z.Strip, boxes)
		if err != nil {
			return nil, err
		}
		for i := range zones {
			zones[i].Strip = strips[i]
		}
		site.Zones = append(site.Zones, zones...)
	}
	out := *in
	out.Site = &site
	return &out, nil
}

// shareStrip cuts the working strip of a zone half way between its bays, which are
// given by their boxes. What lies off all of them goes to the first.
func shareStrip(strip []plane.Shape, bays []plane.Box) ([][]plane.Shape, error) {
	out := make([][]plane.Shape, len(bays))
	rest := strip
	const far = 1e6
	for i, a := range bays {
		mine := plane.Box{X0: a.X0 - far, Y0: a.Y0 - far, X1: a.X1 + far, Y1: a.Y1 + far}
		for k, b := range bays {
			switch {
			case k == i:
			case a.X1 <= b.X0:
				mine.X1 = math.Min(mine.X1, (a.X1+b.X0)/2)
			case b.X1 <= a.X0:
				mine.X0 = math.Max(mine.X0, (b.X1+a.X0)/2)
			case a.Y1 <= b.Y0:
				mine.Y1 = math.Min(mine.Y1, (a.Y1+b.Y0)/2)
			case b.Y1 <= a.Y0:
				mine.Y0 = math.Max(mine.Y0, (b.Y1+a.Y0)/2)
			}
		}
		part := []plane.Shape{{Outer: plane.Rect(mine.X0, mine.Y0, mine.X1, mine.Y1)}}
		got, err := plane.Intersection(rest, part)
		if err != nil {
			return nil, err
		}
		if rest, err = plane.Difference(rest, part); err != nil {
			return nil, err
		}
		out[i] = got
	}
	out[0] = append(out[0], rest...)
	return out, nil
}

// middleOf is a point well inside a shape: the middle of the widest place across it.
func middleOf(s plane.Shape) plane.Point {
	b := s.Outer.Bounds()
	best, at := -1.0, s.Outer[0]
	for _, t := range []float64{0.5, 0.37, 0.63, 0.11, 0.89, 0.23, 0.77} {
		y := b.Y0 + t*(b.Y1-b.Y0)
		for _, span := range plane.Scan([]plane.Shape{s}, y) {
			if span.Len() > best {
				best, at = span.Len(), plane.Point{(span.A + span.B) / 2, y}
			}
		}
	}
	return at
}

// besideSides lets the deck that runs on beside a beam carry what comes down
// through its side forms: part of the slab beside it.
func (k *kit) besideSides(in *Input, zone deck.Zone) {
	if len(zone.Room) == 0 {
		return
	}
	thick := 0.0
	for _, z := range in.Site.Zones {
		if z.Soffit > zone.Soffit {
			thick = math.Max(thick, z.Thickness)
		}
	}
	// The last span of the slab's sheets, up to toSide, over the width of the room.
	const share = 1.25
	l := k.set.AreaLoad(quantity.Length(thick/1000), k.set.FormAllowance)
	k.strip, k.stripSvc = math.Max(k.strip, share*float64(l.Strength())), math.Max(k.stripSvc, share*float64(l.DeflectionLoad))
}

// laySides forms the vertical faces between soffits and between tops of
// different height.
func laySides(in *Input, d *deck.Deck) error {
	lay := func(faces []deck.Face, kind deck.FormKind) error {
		for _, f := range faces {
			l := dist(f.From, f.To)
			part, err := in.Catalog.EdgeFormFor(in.System, quantity.Length(f.Height/1000))
			if err != nil {
				return fmt.Errorf("the side of %s: %w", in.Site.Zones[f.Low].Name, err)
			}
			n := int(math.Ceil(l/kickerPitch(in, part, f.Height, f.Head)-1e-9)) + 1
			d.EdgeForms = append(d.EdgeForms, deck.EdgeForm{
				ID: fmt.Sprintf("E%d", len(d.EdgeForms)+1), Part: part.ID, From: f.From, To: f.To, Kind: kind,
				Foot: round(f.Foot), Height: round(f.Height), Head: round(f.Head), Kicker: in.System.Kicker, Kickers: n, Pitch: roundUp(l / float64(n-1)),
			})
		}
		return nil
	}
	if err := lay(in.Site.Sides(), deck.SideOf); err != nil {
		return err
	}
	return lay(in.Site.Risers(), deck.RiserOf)
}

// picks is which candidate each zone is at. A zone whose deck holds keeps it
// while the others go on to their next.
type picks struct {
	now, best, fewest []int
}

func newPicks(zones []*zonePlans) *picks {
	n := len(zones)
	p := &picks{make([]int, n), make([]int, n), make([]int, n)}
	for z := range zones {
		p.fewest[z] = math.MaxInt
	}
	return p
}

// all moves every zone on.
func (p *picks) all() {
	for z := range p.now {
		p.now[z]++
	}
}

// mixed reports that zones came out best with candidates of different turns.
func (p *picks) mixed() bool {
	return slices.ContainsFunc(p.best, func(i int) bool { return i != p.best[0] })
}

// next moves the zones on in which a deck fails.
func (p *picks) next(in *Input, d *deck.Deck, failures int) error {
	if failures == 0 || in.Prove == nil {
		return nil
	}
	if len(p.now) == 1 {
		p.now[0]++
		return nil
	}
	proof, err := in.Prove(d)
	if err != nil {
		return err
	}
	fails := make([]int, len(p.now))
	for _, f := range proof.Findings {
		if !f.Fails {
			continue
		}
		for z := range in.Site.Zones {
			if lies(&in.Site.Zones[z], f.At) {
				fails[z]++
			}
		}
	}
	moved := false
	for z, n := range fails {
		if n < p.fewest[z] {
			p.fewest[z], p.best[z] = n, p.now[z]
		}
		if n > 0 {
			p.now[z]++
			moved = true
		}
	}
	if !moved { // what fails belongs to no zone
		p.all()
	}
	return nil
}

// lies reports whether a place lies in the deck of a zone or just beside it.
func lies(z *deck.Zone, at plane.Point) bool {
	const reach = 300
	for _, s := range slices.Concat(z.Shapes, z.Strip, z.Room) {
		if s.Contains(at) || s.Outer.DistanceTo(at) < reach {
			return true
		}
	}
	return false
}
