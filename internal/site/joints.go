package site

import (
	"fmt"
	"math"

	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/plane"
)

// cutAtJoints splits the zones along the joints that the job pins in a pour, so
// that no sheet, joist or stringer runs across and one side can be struck alone.
// The concrete runs through: a joint between two pours is drawn as two pours.
func cutAtJoints(s *deck.Site, j *job.Job, pour string) error {
	base := make([]string, len(s.Zones))
	for i, z := range s.Zones {
		base[i] = z.Name
	}
	for n, pin := range j.Pins {
		if pin.Pour != pour || pin.Kind != "joint" {
			continue
		}
		at, dir := point(pin.At), plane.Point{math.Cos(float64(pin.Angle)), math.Sin(float64(pin.Angle))}
		var zones []deck.Zone
		var names []string
		crossed := false
		for i, z := range s.Zones {
			sides, err := halves(z.Shapes, at, dir)
			if err != nil {
				return err
			}
			for _, shapes := range sides {
				z.Shapes = shapes
				zones, names = append(zones, z), append(names, base[i])
			}
			crossed = crossed || len(sides) == 2
		}
		if !crossed {
			return Refusal{fmt.Sprintf("pin %d: the joint through x %.2f m, y %.2f m does not cross the slab of pour %s; move it into the slab, or take it out", n+1, at[0]/1000, at[1]/1000, pour)}
		}
		s.Zones, base = zones, names
		s.Joints = append(s.Joints, chord(s.Slab, at, dir)...)
	}
	count := map[string]int{}
	for _, b := range base {
		count[b]++
	}
	seen := map[string]int{}
	for i, b := range base {
		if seen[b]++; count[b] > 1 {
			s.Zones[i].Name = fmt.Sprintf("%s, side %d", b, seen[b])
		}
	}
	return nil
}

// farOff is farther than any slab reaches, mm.
const farOff = 1e6

// halves are the parts of shapes to the left and right of a line, or the shapes
// as they are where the line leaves no more than a scrap on one side.
func halves(shapes []plane.Shape, at, dir plane.Point) ([][]plane.Shape, error) {
	var out [][]plane.Shape
	for _, side := range []float64{1, -1} {
		p := func(along, left float64) plane.Point {
			return plane.Point{at[0] + along*dir[0] - left*dir[1], at[1] + along*dir[1] + left*dir[0]}
		}
		half := plane.Ring{p(-farOff, 0), p(farOff, 0), p(farOff, side*farOff), p(-farOff, side*farOff)}.CCW()
		got, err := plane.Intersection(shapes, []plane.Shape{{Outer: half}})
		if err != nil {
			return nil, err
		}
		if plane.Area(got) < scrapArea {
			return [][]plane.Shape{shapes}, nil
		}
		out = append(out, got)
	}
	return out, nil
}

// chord is the pieces of a line inside shapes, with some of them on both its sides:
// an edge in line with it is no part of it.
func chord(shapes []plane.Shape, at, dir plane.Point) []deck.Line {
	turn := func(p plane.Point) plane.Point { // the line becomes y = 0
		x, y := p[0]-at[0], p[1]-at[1]
		return plane.Point{x*dir[0] + y*dir[1], y*dir[0] - x*dir[1]}
	}
	back := func(x float64) plane.Point {
		return hundredth(plane.Point{at[0] + x*dir[0], at[1] + x*dir[1]})
	}
	local := make([]plane.Shape, len(shapes))
	for i, s := range shapes {
		local[i] = s.Map(turn)
	}
	var out []deck.Line
	for _, s := range plane.Overlap(plane.Scan(local, 1e-3), plane.Scan(local, -1e-3)) {
		out = append(out, deck.Line{From: back(s.A), To: back(s.B)})
	}
	return out
}
