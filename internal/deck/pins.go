package deck

import (
	"math"
	"slices"

	"shoreward/internal/catalog"
	"shoreward/internal/plane"
)

// Kept is a part that the job fixes where it is.
type Kept struct {
	Pin   int     `json:"pin"`                // number of the pin in the job, from 1
	As    string  `json:"as"`                 // prop | stringer | joist | sheet | line
	Part  string  `json:"part,omitempty"`     // none of a line
	At    Point   `json:"at_mm"`              // axis of a prop, end that a beam starts from, corner of a sheet, a point under a line
	To    Point   `json:"to_mm"`              // far end of a beam, or of the side of a sheet that runs with its length
	Shape Ring    `json:"shape_mm,omitempty"` // in plan, of a beam or sheet
	Angle float64 `json:"direction_deg"`      // from +x, of At to To
}

// Room that a prop takes, mm. Common practice, no source.
const (
	PlateHalf  = 75.0 // half the side of its end plate
	TubeHalf   = 40.0 // half of its tube
	PropsApart = 90.0 // the axes of two props are at least this apart along x or y
)

// same is how near a part must be to its place, mm.
const same = 2.0

// beside is how near to a place the stringers of a line that is kept there must
// lie, mm: where two lap, each lies half its width to the side.
const beside = 50.0

func near(a, b Point) bool { return math.Hypot(a[0]-b[0], a[1]-b[1]) <= same }

// In finds the part of a deck that stands where one is kept.
func (k Kept) In(d *Deck) (id string, found bool) {
	member := func(list []Member) (string, bool) {
		for _, m := range list {
			if m.Part == k.Part && !m.Sawn && (near(m.From, k.At) && near(m.To, k.To) || near(m.From, k.To) && near(m.To, k.At)) {
				return m.ID, true
			}
		}
		return "", false
	}
	switch k.As {
	case "prop":
		for _, p := range d.Props {
			if p.Part == k.Part && near(p.At, k.At) {
				return p.ID, true
			}
		}
	case "stringer":
		return member(d.Stringers)
	case "joist":
		return member(d.Joists)
	case "line":
		for _, m := range d.Stringers {
			if (plane.Ring{m.From, m.To}).DistanceTo(k.At) <= beside {
				return m.ID, true
			}
		}
	case "sheet":
		for _, s := range d.Sheets {
			if s.Part == k.Part && !s.Cut && len(s.Shape.Outer) == len(k.Shape) && !slices.ContainsFunc(k.Shape, func(p Point) bool {
				return !slices.ContainsFunc(s.Shape.Outer, func(q Point) bool { return near(p, q) })
			}) {
				return s.ID, true
			}
		}
	}
	return "", false
}

// Touches reports whether a kept part has any of it in an area.
func (k Kept) Touches(area Ring) bool {
	if len(k.Shape) == 0 {
		return area.Contains(k.At) || area.DistanceTo(k.At) < PlateHalf
	}
	return overlap(k.Shape, area)
}

// Clashes reports whether two kept parts cannot both be where they are: props
// with one place, or beams or sheets of one kind over one another.
func (k Kept) Clashes(o Kept) bool {
	switch {
	case k.As != o.As || k.As == "line":
		return false
	case k.As == "prop":
		return math.Abs(k.At[0]-o.At[0]) < PropsApart && math.Abs(k.At[1]-o.At[1]) < PropsApart
	}
	return overlap(k.Shape, o.Shape)
}

// overlap reports whether two outlines share more than a square centimetre.
func overlap(a, b Ring) bool {
	if !a.Bounds().Overlaps(b.Bounds(), 0) {
		return false
	}
	got, err := plane.Intersection([]Shape{{Outer: a.CCW()}}, []Shape{{Outer: b}})
	return err != nil || plane.Area(got) > 100
}

// Ban is a part that the job forbids in an area.
type Ban struct {
	Pin  int    `json:"pin"`
	Part string `json:"part"`
	Area Ring   `json:"area_mm"`
}

// In lists the parts of a deck that lie in a place where they are forbidden.
func (b Ban) In(d *Deck, parts map[string]*catalog.Part) []string {
	var out []string
	touches := func(r Ring) bool { return overlap(r, b.Area) }
	for _, s := range d.Sheets {
		if s.Part == b.Part && touches(s.Shape.Outer) {
			out = append(out, s.ID)
		}
	}
	for _, list := range [][]Member{d.Joists, d.Stringers} {
		for _, m := range list {
			if m.Part == b.Part && touches(m.Outline(parts)) {
				out = append(out, m.ID)
			}
		}
	}
	for _, p := range d.Props {
		if b.Part == p.Part || b.Part == p.Head || b.Part == p.Tripod || b.Part == p.Sill || b.Part == p.Wedge {
			if b.Area.Contains(p.At) || b.Area.DistanceTo(p.At) < PlateHalf {
				out = append(out, p.ID)
			}
		}
	}
	for _, e := range d.EdgeForms {
		if (b.Part == e.Part || b.Part == e.Kicker) && touches(strip(e.From, e.To, 2)) {
			out = append(out, e.ID)
		}
	}
	for _, g := range d.Guards {
		if g.Part == b.Part && b.Area.Contains(g.At) {
			out = append(out, g.ID)
		}
	}
	for _, t := range d.Ties {
		if t.Part == b.Part && b.Area.Contains(t.At) {
			out = append(out, t.ID)
		}
	}
	for _, x := range d.Braces {
		if x.Part == b.Part && touches(strip(x.At, x.Foot, 2)) {
			out = append(out, x.ID)
		}
	}
	return out
}

// Outline of a member in plan.
func (m Member) Outline(parts map[string]*catalog.Part) Ring {
	w := 2.0
	if p := parts[m.Part]; p != nil {
		w = float64(p.Width.V) * 1000
	}
	return strip(m.From, m.To, w)
}

// strip is a band of a width around a line.
func strip(a, b Point, w float64) Ring {
	l := math.Hypot(b[0]-a[0], b[1]-a[1])
	if l == 0 {
		return Ring{a, a, b}
	}
	nx, ny := -(b[1]-a[1])/l*w/2, (b[0]-a[0])/l*w/2
	return Ring{{a[0] - nx, a[1] - ny}, {b[0] - nx, b[1] - ny}, {b[0] + nx, b[1] + ny}, {a[0] + nx, a[1] + ny}}
}
