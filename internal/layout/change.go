package layout

import (
	"reflect"

	"shoreward/internal/plane"
)

// change is what differs between the site of an earlier deck and a new one, for
// one zone and in its frame.
type change struct {
	was, now *region
	gone     []plane.Shape // deck that is no more
	come     []plane.Shape // deck that is new
	blocks   []plane.Shape // columns, walls and other zones that stand where none stood
	cleared  []plane.Shape // those that are gone
	stand    bool          // props may stand elsewhere than before
}

// Distances about a change, mm.
const (
	reworked = 1500 // within it parts may be laid anew
	atChange = 300  // within it a joist off the pattern has lost its reason
	ahead    = 450  // a joist that ends so near to new deck is to go on
)

// newChange compares a zone of the earlier site, by its place there, with one of the new.
func newChange(in *Input, was int, r *region) (*change, error) {
	c := &change{now: r}
	var err error
	if c.was, err = newRegion(in.Earlier.Site, was, r.f, in.Deck); err != nil {
		return nil, err
	}
	// In the job's axes, where borders that run on from before are the same to the last digit.
	if c.gone, err = more(c.was.world, r.world, r.f); err != nil {
		return nil, err
	}
	if c.come, err = more(r.world, c.was.world, r.f); err != nil {
		return nil, err
	}
	c.blocks, c.cleared = others(r.blocks[:r.solid], c.was.blocks[:c.was.solid]), others(c.was.blocks[:c.was.solid], r.blocks[:r.solid])
	// Of other zones only what is no longer theirs, or newly theirs: their outlines run
	// on far from here.
	now, before := otherZones(r), otherZones(c.was)
	stands, err := more(now, before, r.f)
	if err != nil {
		return nil, err
	}
	went, err := more(before, now, r.f)
	if err != nil {
		return nil, err
	}
	c.blocks, c.cleared = append(c.blocks, stands...), append(c.cleared, went...)
	c.stand = !reflect.DeepEqual(c.was.stand, r.stand) || !reflect.DeepEqual(c.was.clear, r.clear)
	return c, nil
}

// otherZones are what other zones take up beside a region, in the job's axes.
func otherZones(r *region) []plane.Shape {
	var out []plane.Shape
	for _, b := range r.blocks[r.solid:] {
		out = append(out, b.Map(func(p plane.Point) plane.Point { return r.f.out(p[0], p[1]) }))
	}
	return out
}

// more is what shapes of a cover that those of b do not, in a frame.
func more(a, b []plane.Shape, f frame) ([]plane.Shape, error) {
	if reflect.DeepEqual(a, b) {
		return nil, nil
	}
	a, err := plane.Union(a)
	if err != nil {
		return nil, err
	}
	got, err := plane.Difference(a, b)
	if err != nil {
		return nil, err
	}
	var out []plane.Shape
	for _, s := range wide(got) {
		out = append(out, s.Map(f.in))
	}
	return out, nil
}

// wide leaves out what only rounding makes of two equal borders: shapes thinner
// than half a millimetre.
func wide(shapes []plane.Shape) []plane.Shape {
	var out []plane.Shape
	for _, s := range shapes {
		around := 0.0
		for i, p := range s.Outer {
			around += dist(p, s.Outer[(i+1)%len(s.Outer)])
		}
		if 2*s.Area() > 0.5*around {
			out = append(out, s)
		}
	}
	return out
}

// others are the shapes of a that b does not have.
func others(a, b []plane.Shape) []plane.Shape {
	var out []plane.Shape
	for _, s := range a {
		found := false
		for _, t := range b {
			found = found || reflect.DeepEqual(s, t)
		}
		if !found {
			out = append(out, s)
		}
	}
	return out
}

// hits reports whether a part can no longer lie where it lies: past the deck's
// border, or in the way of a block.
func (c *change) hits(part plane.Ring) bool {
	return meets(c.gone, part, 0) || meets(c.blocks, part, c.now.gap)
}

// by reports whether a place lies within a distance of any change.
func (c *change) by(part plane.Ring, distance float64) bool {
	return meets(c.gone, part, distance) || meets(c.come, part, distance) || meets(c.blocks, part, distance) || meets(c.cleared, part, distance)
}

// upsets reports whether a prop that could stand at a place no longer can.
func (c *change) upsets(p plane.Point) bool {
	if !c.stand && !c.by(plane.Ring{p}, atChange) {
		return false
	}
	return c.was.canStand(p[0], p[1]) && !c.now.canStand(p[0], p[1])
}

// meets reports whether a ring comes within a distance of any of the shapes.
func meets(shapes []plane.Shape, r plane.Ring, distance float64) bool {
	box := r.Bounds()
	for _, s := range shapes {
		if !s.Outer.Bounds().Overlaps(box, distance+1e-9) {
			continue
		}
		for _, p := range r {
			if s.Contains(p) {
				return true
			}
		}
		for _, o := range s.Rings() {
			if bordersMeet(o, r, distance) {
				return true
			}
		}
	}
	return false
}

// bordersMeet reports whether the border of a ring comes within a distance of
// another ring, or lies within it.
func bordersMeet(a, b plane.Ring, distance float64) bool {
	for _, p := range a {
		if len(b) > 2 && b.Contains(p) || distance > 0 && b.DistanceTo(p) < distance {
			return true
		}
	}
	for i, p := range b {
		if distance > 0 && a.DistanceTo(p) < distance || crosses(a, p, b[(i+1)%len(b)]) {
			return true
		}
	}
	return false
}
