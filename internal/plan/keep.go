package plan

import (
	"fmt"
	"math"
	"slices"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// pinned puts into the site of a pour what the job keeps and forbids there. The
// error says why a part cannot be kept where it is.
func pinned(s *deck.Site, j *job.Job, cat *catalog.Catalog, system *catalog.System, pour string) error {
	for i, p := range j.Pins {
		if p.Pour != pour {
			continue
		}
		switch {
		case p.Kind == "forbid" && p.As == job.AsProp:
			s.Clear = append(s.Clear, p.Area.Ring().CCW())
		case p.Kind == "forbid" && len(p.Area) > 0:
			s.Bans = append(s.Bans, deck.Ban{Pin: i + 1, Part: p.Part, Area: p.Area.Ring().CCW()})
		case p.Kind == "keep":
			k := keptPart(p, cat.Parts[p.Part])
			k.Pin = i + 1
			if err := canKeep(s, k, cat, system); err != nil {
				name := p.As + " " + p.Part
				if p.As == job.AsLine {
					name = "a line of stringers"
				}
				return fmt.Errorf("pin %d keeps %s at %s, %s: %w", k.Pin, name, p.At.X.Text(j.Style), p.At.Y.Text(j.Style), err)
			}
			s.Keep = append(s.Keep, k)
		}
	}
	for i, k := range s.Keep {
		for _, o := range s.Keep[:i] {
			if k.Clashes(o) {
				return fmt.Errorf("pins %d and %d keep parts in one another's place; move one of them", o.Pin, k.Pin)
			}
		}
		for _, b := range s.Bans {
			if k.Part == b.Part && k.Touches(b.Area) {
				return fmt.Errorf("pin %d keeps %s where pin %d forbids it; take one of them out", k.Pin, k.Part, b.Pin)
			}
		}
	}
	return nil
}

// keptPart is a kept part with its whole extent, from the size in the catalogue.
func keptPart(p job.Pin, part *catalog.Part) deck.Kept {
	mm := func(l quantity.Length) float64 { return math.Round(float64(l)*1e5) / 100 }
	at := deck.Point{mm(p.At.X), mm(p.At.Y)}
	k := deck.Kept{As: p.As, Part: p.Part, At: at, To: at, Angle: math.Round(float64(p.Angle)*180/math.Pi*100) / 100}
	if part == nil || p.As == job.AsProp || p.As == job.AsLine {
		return k
	}
	sin, cos := math.Sincos(float64(p.Angle))
	off := func(along, left float64) deck.Point {
		return deck.Point{math.Round((at[0]+along*cos-left*sin)*100) / 100, math.Round((at[1]+along*sin+left*cos)*100) / 100}
	}
	l, w := mm(part.Length.V), mm(part.Width.V)
	k.To = off(l, 0)
	switch p.As {
	case job.AsSheet:
		k.Shape = deck.Ring{at, off(l, 0), off(l, w), off(0, w)}.CCW()
	default:
		k.Shape = deck.Ring{off(0, -w/2), off(l, -w/2), off(l, w/2), off(0, w/2)}.CCW()
	}
	return k
}

// canKeep says why a part cannot be kept in a pour.
func canKeep(s *deck.Site, k deck.Kept, cat *catalog.Catalog, system *catalog.System) error {
	lists := map[string][]string{job.AsProp: system.Props, job.AsStringer: system.Stringers, job.AsJoist: system.Joists, job.AsSheet: system.Sheets}
	if k.As != job.AsLine && !slices.Contains(lists[k.As], k.Part) {
		return fmt.Errorf("system %s has no such %s; keep one of its own, or add the part to a system in a catalogue of yours", system.ID, k.As)
	}
	solid := func(block func(deck.Block) bool) error {
		for _, b := range s.Blocks {
			if block(b) {
				return fmt.Errorf("it would stand in %s; move it clear", b.Name)
			}
		}
		return nil
	}
	if s.Fall != nil && k.As != job.AsProp && k.As != job.AsLine {
		return fmt.Errorf("the slab falls, and where a beam or sheet ends in the slope is not worked out for pins; keep a prop or a line there")
	}
	deckShapes := slices.Concat(s.Slab, s.Strip)
	switch k.As {
	case job.AsProp, job.AsLine:
		if err := solid(func(b deck.Block) bool {
			return b.Ring.Contains(k.At) || b.Kind != "joint" && k.As == job.AsProp && b.Ring.DistanceTo(k.At) < deck.PlateHalf
		}); err != nil {
			return err
		}
		if !plane.Within(deckShapes, k.At) {
			return fmt.Errorf("it is outside the deck; move it under the slab or its working strip")
		}
		if k.As == job.AsProp {
			return canStandAt(s, k.At)
		}
		return nil
	}
	if err := solid(func(b deck.Block) bool {
		got, err := plane.Intersection([]plane.Shape{{Outer: k.Shape}}, []plane.Shape{{Outer: b.Ring}})
		return err != nil || plane.Area(got) > 100
	}); err != nil {
		return err
	}
	in, err := plane.Intersection([]plane.Shape{{Outer: k.Shape}}, deckShapes)
	if err != nil {
		return err
	}
	out := math.Abs(k.Shape.SignedArea()) - plane.Area(in)
	switch {
	case plane.Area(in) < 100:
		return fmt.Errorf("it is outside the deck; move it under the slab or its working strip")
	case k.As == job.AsSheet && out > 1000:
		return fmt.Errorf("%.0f cm2 of it lie outside the deck; move it, or let it be cut", out/100)
	}
	for _, j := range s.Joints {
		if cuts(j, k.Shape) {
			return fmt.Errorf("it runs across a joint that a pin asks for; move one of them")
		}
	}
	return nil
}

// canStandAt says why a prop cannot stand at a place.
func canStandAt(s *deck.Site, at deck.Point) error {
	for _, c := range s.Clear {
		if c.Contains(at) || c.DistanceTo(at) < deck.PlateHalf {
			return fmt.Errorf("another pin keeps that place clear of props; take one of them out")
		}
	}
	if !s.OnGround && !plane.Within(s.Stand, at) {
		return fmt.Errorf("it has nothing to stand on there: an opening, or past the edge of the slab below")
	}
	return nil
}

// cuts reports whether a joint runs through a shape.
func cuts(j deck.Line, r deck.Ring) bool {
	dx, dy := j.To[0]-j.From[0], j.To[1]-j.From[1]
	l := math.Hypot(dx, dy)
	lo, hi := math.Inf(1), math.Inf(-1)
	inside := false
	for _, p := range r {
		x, y := p[0]-j.From[0], p[1]-j.From[1]
		off, along := (y*dx-x*dy)/l, (x*dx+y*dy)/l
		lo, hi = math.Min(lo, off), math.Max(hi, off)
		inside = inside || along > 0 && along < l
	}
	return inside && lo < -2 && hi > 2
}
