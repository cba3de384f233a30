package site

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/plane"
)

// part is a piece of the pour with heights of its own, before the slab is cut by it.
type part struct {
	name      string
	ring      plane.Ring
	thickness float64
	rise      float64 // of its top over the level's
	beam      bool
}

// parts are what the slab is not: thickenings and steps in the order of the job, then
// beams, the deepest and of these the longest first, so that the deeper or longer
// one of two that cross runs through.
func parts(p *job.Pour) []part {
	var out []part
	for i, d := range p.Drops {
		out = append(out, part{fmt.Sprintf("drop %d", i+1), ring(d.Outline), mm(d.Thickness), 0, false})
	}
	for i, d := range p.Steps {
		out = append(out, part{fmt.Sprintf("step %d", i+1), ring(d.Outline), mm(d.Thickness), mm(d.Rise), false})
	}
	var beams []part
	for i, b := range p.Beams {
		beams = append(beams, part{fmt.Sprintf("beam %d", i+1), b.Footprint(), mm(b.Depth), 0, true})
	}
	sort.SliceStable(beams, func(i, j int) bool {
		a, b := beams[i], beams[j]
		if a.thickness != b.thickness {
			return a.thickness > b.thickness
		}
		return longest(a.ring) > longest(b.ring)+along
	})
	return append(out, beams...)
}

// longest is the longest side of an outline.
func longest(r plane.Ring) float64 {
	l := 0.0
	for i, a := range r {
		b := r[(i+1)%len(r)]
		l = math.Max(l, math.Hypot(b[0]-a[0], b[1]-a[1]))
	}
	return l
}

// mouths lets the first of two beams of one depth that meet reach into the other by
// the width of the room beside it, so that its deck is as wide there as elsewhere.
func mouths(d part, others []part, wide float64) ([]plane.Shape, error) {
	shape := []plane.Shape{{Outer: d.ring}}
	for _, o := range others {
		if !d.beam || !o.beam || o.thickness != d.thickness || !o.ring.Bounds().Overlaps(d.ring.Bounds(), wide) {
			continue
		}
		bite, err := plane.Intersection([]plane.Shape{{Outer: grown(d.ring, wide)}}, []plane.Shape{{Outer: o.ring}})
		if err != nil {
			return nil, err
		}
		if shape, err = plane.Union(append(shape, bite...)); err != nil {
			return nil, err
		}
	}
	return shape, nil
}

// rounded rounds a height as all placed parts are.
func rounded(v float64) float64 { return math.Round(v*100) / 100 }

// zones splits the slab by height: thickenings and beams hang below a flush top,
// steps have tops of their own.
func zones(s *deck.Site, p *job.Pour, wide float64) error {
	rest, all := s.Slab, parts(p)
	for i, d := range all {
		shape, err := mouths(d, all[i+1:], wide)
		if err != nil {
			return err
		}
		cut, err := plane.Intersection(rest, shape)
		if err != nil {
			return err
		}
		if cut = slices.DeleteFunc(cut, scrap); len(cut) == 0 {
			continue
		}
		if rest, err = plane.Difference(rest, shape); err != nil {
			return err
		}
		s.Zones = append(s.Zones, deck.Zone{Name: d.name, Shapes: cut, Thickness: d.thickness, Soffit: rounded(s.TopZ + d.rise - d.thickness)})
	}
	if len(s.Zones) > 0 {
		rest = slices.DeleteFunc(rest, scrap)
	}
	main := deck.Zone{Name: "slab", Shapes: rest, Thickness: mm(p.Slab.Plumb()), Soffit: rounded(s.TopZ - mm(p.Slab.Plumb()))}
	s.Zones = append([]deck.Zone{main}, s.Zones...)
	return nil
}

// roomWide is how wide the room beside a side is: what the job leaves between the
// face and the members of the higher deck, less the clearance that these keep.
func roomWide(j *job.Job) float64 {
	return math.Max(mm(j.Deck.SideRoom)-mm(j.Deck.Clearance), leastRoom)
}

// leastRoom is what a panel and a cleat at its foot need, mm.
const leastRoom = 60.0

// rooms gives every zone that hangs below another the room beside it that its
// side forms need, the lowest zone first: its deck runs on under the sheets of
// the higher one, whose joists and stringers stay out.
func rooms(s *deck.Site, wide float64) error {
	sides := s.Sides()
	if len(sides) == 0 {
		return nil
	}
	order := make([]int, len(s.Zones))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, k int) bool { return s.Zones[order[i]].Soffit < s.Zones[order[k]].Soffit })
	var taken []plane.Shape
	for _, low := range order {
		var beside, higher []plane.Shape
		for _, f := range sides {
			if f.Low == low { // run on where another side begins, so that corners are filled
				before, after := runOn(sides, low, f.From, f.To, wide)
				beside = append(beside, plane.Shape{Outer: outward(deck.Edge{From: f.From, To: f.To}, 0, wide, before, after)})
			}
		}
		if len(beside) == 0 {
			continue
		}
		for _, z := range s.Zones {
			if z.Soffit > s.Zones[low].Soffit {
				higher = append(higher, z.Shapes...)
			}
		}
		room, err := plane.Union(beside)
		if err != nil {
			return err
		}
		if higher, err = plane.Union(higher); err != nil {
			return err
		}
		if room, err = plane.Intersection(room, higher); err != nil {
			return err
		}
		if len(taken) > 0 {
			if room, err = plane.Difference(room, taken); err != nil {
				return err
			}
		}
		s.Zones[low].Room = slices.DeleteFunc(room, func(s plane.Shape) bool { return s.Area() < 100 })
		taken = append(taken, s.Zones[low].Room...)
	}
	return nil
}

// runOn is how far what lies along a border of a zone from a to b runs on past
// both ends: as wide as the room beside the side that begins there.
func runOn(sides []deck.Face, low int, a, b plane.Point, wide float64) (before, after float64) {
	for _, f := range sides {
		if f.Low != low {
			continue
		}
		if plane.Distance(f.To, a, a) < along {
			before = wide
		}
		if plane.Distance(f.From, b, b) < along {
			after = wide
		}
	}
	return before, after
}
