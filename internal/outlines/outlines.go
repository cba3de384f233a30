// Package outlines plans many building outlines in one run, each as one flat slab
// on a grid of columns: a trial of the engine on shapes that nobody drew for it.
package outlines

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"

	"shoreward/internal/job"
	"shoreward/internal/plane"
)

// Outline is one building as a file gives it, in mm.
type Outline struct {
	ID    string
	Outer plane.Ring
	Holes []plane.Ring
}

// The slab that every outline becomes, mm.
const (
	thickness  = 200.0
	soffit     = 3000.0 // above the ground
	bay        = 7500.0 // of the column grid
	columnSide = 500.0
	columnGap  = 300.0 // least distance from a column to the edge
)

// Read reads a file of outlines: an object with "units": "m" and a list
// "footprints", each with "outer", optional "holes" (rings of [x, y]) and
// "properties" whose "osm" or "id" names it.
func Read(path string) ([]Outline, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("the outlines cannot be read: %w", err)
	}
	var file struct {
		Units      string
		Footprints []struct {
			Properties struct {
				OSM string
				ID  string
			}
			Outer [][]float64
			Holes [][][]float64
		}
	}
	if err := json.Unmarshal(data, &file); err != nil {
		return nil, fmt.Errorf("%s is not a file of outlines: %w", path, err)
	}
	if len(file.Footprints) == 0 {
		return nil, fmt.Errorf("%s has no outlines: it needs a list \"footprints\", each with \"outer\": [[x, y], ...]", path)
	}
	if file.Units != "m" {
		return nil, fmt.Errorf("%s gives its unit as %q: it needs \"units\": \"m\"", path, file.Units)
	}
	out := make([]Outline, len(file.Footprints))
	for i, f := range file.Footprints {
		o := Outline{ID: f.Properties.OSM}
		if o.ID == "" {
			o.ID = f.Properties.ID
		}
		if o.ID == "" {
			o.ID = strconv.Itoa(i + 1)
		}
		var err error
		if o.Outer, err = ring(f.Outer); err != nil {
			return nil, fmt.Errorf("%s: outline %d (%s): %w", path, i+1, o.ID, err)
		}
		for _, h := range f.Holes {
			r, err := ring(h)
			if err != nil {
				return nil, fmt.Errorf("%s: outline %d (%s), a hole: %w", path, i+1, o.ID, err)
			}
			o.Holes = append(o.Holes, r)
		}
		out[i] = o
	}
	return out, nil
}

// ring turns metres into whole millimetres.
func ring(points [][]float64) (plane.Ring, error) {
	r := make(plane.Ring, len(points))
	for i, p := range points {
		if len(p) != 2 {
			return nil, fmt.Errorf("point %d has %d coordinates, it needs x and y", i+1, len(p))
		}
		r[i] = plane.Point{math.Round(p[0] * 1000), math.Round(p[1] * 1000)}
	}
	return r, nil
}

// near is the distance, mm, under which two points are one and a point lies on
// the line of its neighbours.
const near = 1.0

// repair does to a ring what a person would without asking: points that repeat or
// lie on the line between their neighbours go, spikes go, and it turns
// counterclockwise. Fewer than three points may be left.
func repair(r plane.Ring) plane.Ring {
	r = slices.Clone(r)
	for i := 0; len(r) >= 3 && i < len(r); {
		n := len(r)
		a, p, b := r[(i+n-1)%n], r[i], r[(i+1)%n]
		if plane.Distance(p, a, a) < near || offLine(p, a, b) < near {
			r = slices.Delete(r, i, i+1)
			i = max(0, i-2) // its neighbours may now be in line
			continue
		}
		i++
	}
	if n := len(r); n >= 3 && r.SignedArea() != 0 {
		return r.CCW()
	}
	return nil
}

// offLine is how far p lies from the line through a and b; of a and b in one
// place, it is 0: the way out and back is a spike.
func offLine(p, a, b plane.Point) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	l := math.Hypot(dx, dy)
	if l < near {
		return 0
	}
	return math.Abs((p[0]-a[0])*dy-(p[1]-a[1])*dx) / l
}

// Job is the job of an outline, or an error with the reason why no person would
// plan it as it is.
func (o Outline) Job(open job.OpenCatalog) (*job.Job, error) {
	outer := repair(o.Outer)
	if outer == nil {
		return nil, fmt.Errorf("the outline encloses nothing")
	}
	var holes []plane.Ring
	for _, h := range o.Holes {
		if h = repair(h); h != nil {
			holes = append(holes, h)
		}
	}
	j, err := job.Parse("", []byte(text(o.ID, outer, holes)), open)
	if problems, ok := err.(job.Problems); ok { // places in a file that nobody sees help nobody
		reasons := make([]string, len(problems))
		for i, p := range problems {
			reasons[i] = p.Message
		}
		return nil, fmt.Errorf("%s", strings.Join(reasons, "; "))
	}
	return j, err
}

// text is the job file of an outline.
func text(id string, outer plane.Ring, holes []plane.Ring) string {
	var b strings.Builder
	fmt.Fprintf(&b, "job: %q\nbasis: eu\nlengths: mm\nsystem: timber-beam\n", "Outline "+id)
	b.WriteString("concrete: {strength: 30 N/mm2}\nrules: {ground: 200 kN/m2}\n")
	fmt.Fprintf(&b, "levels:\n  - name: L1\n    top: %.0f\n    base: 0 mm\n    pours:\n", soffit+thickness)
	fmt.Fprintf(&b, "      - name: slab\n        slab:\n          outline: %s\n          thickness: %.0f\n", list(outer), thickness)
	if len(holes) > 0 {
		b.WriteString("          openings:\n")
		for _, h := range holes {
			fmt.Fprintf(&b, "            - %s\n", list(h))
		}
	}
	if at := columns(outer, holes); len(at) > 0 {
		b.WriteString("    columns:\n")
		for _, p := range at {
			fmt.Fprintf(&b, "      - {at: [%.0f, %.0f], size: [%.0f, %.0f]}\n", p[0], p[1], columnSide, columnSide)
		}
	}
	return b.String()
}

func list(r plane.Ring) string {
	points := make([]string, len(r))
	for i, p := range r {
		points[i] = fmt.Sprintf("[%.0f, %.0f]", p[0], p[1])
	}
	return "[" + strings.Join(points, ",\n              ") + "]" // on lines of their own: the length of a line has a limit
}

// columns are the crossings of a square grid, laid from the lower left corner of
// the outline's bounds, whose columns stand wholly inside and clear of every edge.
func columns(outer plane.Ring, holes []plane.Ring) []plane.Point {
	box := outer.Bounds()
	shape := plane.Shape{Outer: outer, Holes: holes}
	var out []plane.Point
	for y := box.Y0; y <= box.Y1; y += bay {
		for x := box.X0; x <= box.X1; x += bay {
			if p := (plane.Point{x, y}); shape.Contains(p) && clear(p, shape) {
				out = append(out, p)
			}
		}
	}
	return out
}

// clear reports whether a column keeps its distance from all edges. An edge that
// crosses the column is nearer than half its side to one of its corners.
func clear(p plane.Point, s plane.Shape) bool {
	const h = columnSide / 2
	column := plane.Rect(p[0]-h, p[1]-h, p[0]+h, p[1]+h)
	for _, r := range s.Rings() {
		for _, c := range column {
			if r.DistanceTo(c) < columnGap {
				return false
			}
		}
		for _, q := range r {
			if column.DistanceTo(q) < columnGap || column.Contains(q) {
				return false
			}
		}
	}
	return true
}
