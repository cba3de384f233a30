// Package say writes what a plan holds in the words and units that its paper
// uses: one place, so that drawings, book and tables say the same.
package say

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"shoreward/internal/calc"
	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// Len writes a length given in mm as a drawing does: whole millimetres, or
// feet and inches to 1/16 in.
func Len(mm float64, s quantity.Style) string {
	if s != quantity.US {
		mm = math.Round(mm)
	}
	return quantity.Millimetres(mm).Figure(s)
}

// LenUnit is Len with the unit where the figure alone does not show it.
func LenUnit(mm float64, s quantity.Style) string {
	if s != quantity.US {
		return Len(mm, s) + " mm"
	}
	return Len(mm, s)
}

// Run writes a length that is bought or measured off: metres or feet.
func Run(mm float64, s quantity.Style) string {
	if s == quantity.US {
		return fmt.Sprintf("%.1f ft", mm/304.8)
	}
	return fmt.Sprintf("%.1f m", mm/1000)
}

// Height writes a level: metres with sign and three decimals, or feet and inches.
func Height(mm float64, s quantity.Style) string {
	if s == quantity.US {
		if mm > 0 {
			return "+" + Len(mm, s)
		}
		return Len(mm, s)
	}
	return fmt.Sprintf("%+.3f", mm/1000)
}

// Size writes two lengths as one size.
func Size(a, b float64, s quantity.Style) string { return Len(a, s) + " × " + Len(b, s) }

// Area writes m2 in the style's unit.
func Area(m2 float64, s quantity.Style) string {
	if s == quantity.US {
		return fmt.Sprintf("%.0f ft²", m2/(0.3048*0.3048))
	}
	return fmt.Sprintf("%.1f m²", m2)
}

// Mass writes kg in the style's unit.
func Mass(kg float64, s quantity.Style) string {
	if s == quantity.US {
		return fmt.Sprintf("%.0f lb", kg/float64(quantity.PoundMass))
	}
	if kg < 100 {
		return fmt.Sprintf("%.1f kg", kg)
	}
	return fmt.Sprintf("%.0f kg", kg)
}

// Ratio writes demand over capacity to two decimals, rounded up so that what
// fails never reads 1.00.
func Ratio(r float64) string {
	if r >= 999 {
		return "no capacity"
	}
	return strconv.FormatFloat(math.Ceil(r*100-1e-7)/100+0, 'f', 2, 64)
}

// Value writes a value of a kind in the style, with proper signs.
func Value(v float64, k calc.Kind, s quantity.Style) string { return Signs(calc.Text(v, k, s)) }

// Signs replaces the plain spelling of units by the printed one.
func Signs(t string) string { return signs.Replace(t) }

var signs = strings.NewReplacer(
	"N/mm2", "N/mm²", "kN/m2", "kN/m²", "kNm2/m", "kNm²/m", "kNm2", "kNm²", "k-in2", "k-in²",
	"kN/m3", "kN/m³", "cm3", "cm³", "cm4", "cm⁴", "in3", "in³", "in4", "in⁴", " m2", " m²", " ft2", " ft²",
	"<=", "≤", ">=", "≥", "*", "·",
)

// Basis in words.
func Basis(n rules.Name) string {
	switch n {
	case rules.US:
		return "us: ACI 347R loads, NDS and APA members, working loads"
	case rules.EU:
		return "eu: EN 12812, EN 13377, EN 1065, EN 1995, limit states"
	}
	return string(n)
}

// Evidence in words for a reviewer.
func Evidence(e calc.Evidence) string {
	switch e {
	case calc.Read:
		return "read"
	case calc.Derived:
		return "derived"
	case calc.ReadWeak:
		return "read in a secondary text"
	case calc.Practice:
		return "common practice, no source: engineer to accept"
	case calc.Memory:
		return "from memory: confirm against the standard"
	case calc.User:
		return "given by the user"
	case calc.Chosen:
		return "setting"
	case "":
		return "evidence not stated"
	}
	return string(e)
}

// Part is the name of a part for people: its catalogue name, or its id.
func Part(doc *deck.Document, id string) string {
	if p := doc.Parts[id]; p != nil && p.Name != "" {
		return p.Name
	}
	return id
}

// Finite refuses a document with a coordinate that no building has, so that
// everything that draws may rely on its numbers.
func Finite(doc *deck.Document) error {
	if doc == nil {
		return fmt.Errorf("there is no plan to draw")
	}
	for i := range doc.Pours {
		p := &doc.Pours[i]
		if bad, where := wild(p); bad {
			return fmt.Errorf("pour %s: %s lies more than 100 km from the origin: correct the plan", p.Name, where)
		}
	}
	return nil
}

const farthest = 1e8 // mm

func far(vs ...float64) bool {
	for _, v := range vs {
		if !(math.Abs(v) < farthest) {
			return true
		}
	}
	return false
}

func farPoint(p deck.Point) bool { return far(p[0], p[1]) }

func farRing(r deck.Ring) bool {
	for _, p := range r {
		if farPoint(p) {
			return true
		}
	}
	return false
}

func farShapes(shapes []deck.Shape) bool {
	for _, s := range shapes {
		if farRing(s.Outer) {
			return true
		}
		for _, h := range s.Holes {
			if farRing(h) {
				return true
			}
		}
	}
	return false
}

// wild finds a number in the pour that is not a place on a building site.
func wild(p *deck.Pour) (bool, string) {
	s := &p.Site
	if far(s.BaseZ, s.TopZ) {
		return true, "a level"
	}
	if f := s.Fall; f != nil && (farPoint(f.At) || !(f.Grade() <= 1)) {
		return true, "the fall"
	}
	for _, z := range s.Zones {
		if farShapes(z.Shapes) || farShapes(z.Room) || far(z.Thickness, z.Soffit) {
			return true, "zone " + z.Name
		}
	}
	if farShapes(s.Slab) || farShapes(s.Strip) || farShapes(s.Stand) {
		return true, "the slab"
	}
	for _, o := range s.Openings {
		if farRing(o) {
			return true, "an opening"
		}
	}
	for _, b := range s.Blocks {
		if farRing(b.Ring) {
			return true, "block " + b.Name
		}
	}
	for _, j := range s.Joints {
		if farPoint(j.From) || farPoint(j.To) {
			return true, "a joint"
		}
	}
	for _, g := range s.Gaps {
		if farPoint(g.From) || farPoint(g.To) || far(g.Width) {
			return true, "a gap"
		}
	}
	for _, k := range s.Keep {
		if farPoint(k.At) || farPoint(k.To) || farRing(k.Shape) {
			return true, "a kept part"
		}
	}
	for _, b := range s.Bans {
		if farRing(b.Area) {
			return true, "a forbidden place"
		}
	}
	for _, e := range s.Edges {
		if farPoint(e.From) || farPoint(e.To) {
			return true, "an edge"
		}
	}
	d := &p.Deck
	for _, b := range d.Borders {
		if farPoint(b.From) || farPoint(b.To) {
			return true, "a border of fields"
		}
	}
	for _, m := range d.Sheets {
		if farRing(m.Shape.Outer) || farShapes([]deck.Shape{m.Shape}) || far(m.Z) {
			return true, "sheet " + m.ID
		}
	}
	for _, ms := range [][]deck.Member{d.Joists, d.Stringers} {
		for _, m := range ms {
			if farPoint(m.From) || farPoint(m.To) || far(m.Top, m.Rise) {
				return true, "member " + m.ID
			}
		}
	}
	for _, q := range d.Props {
		if farPoint(q.At) || far(q.Base, q.Seat, q.Length, q.Thread, q.Taper) {
			return true, "prop " + q.ID
		}
	}
	for _, e := range d.EdgeForms {
		if farPoint(e.From) || farPoint(e.To) || far(e.Foot, e.Height, e.Head) {
			return true, "edge form " + e.ID
		}
	}
	for _, g := range d.Guards {
		if farPoint(g.At) {
			return true, "guard post " + g.ID
		}
	}
	for _, t := range d.Ties {
		if farPoint(t.At) {
			return true, "tie " + t.ID
		}
	}
	for _, b := range d.Braces {
		if farPoint(b.At) || farPoint(b.Foot) {
			return true, "brace " + b.ID
		}
	}
	if p.Cuts != nil {
		for _, q := range p.Cuts.Patterns {
			bad := far(q.Size[:]...)
			for _, c := range q.Saw {
				bad = bad || far(c.At, c.From, c.To)
			}
			for _, x := range q.Pieces {
				bad = bad || farPoint(x.At) || far(x.Size[:]...)
			}
			for _, o := range q.Left {
				bad = bad || farPoint(o.At) || far(o.Size[:]...)
			}
			if bad {
				return true, "cutting pattern " + q.ID
			}
		}
	}
	for _, f := range p.Audit.Findings {
		if farPoint(f.At) {
			return true, "a finding at " + f.Member
		}
	}
	return false, ""
}

// Merged joins values that differ only in the part they belong to, such as
// those of beams of one class in several lengths, in the order they come.
func Merged(list []deck.Unsure) []deck.Unsure {
	type same struct {
		value, source string
		evidence      calc.Evidence
	}
	at := map[same]int{}
	var out []deck.Unsure
	for _, u := range list {
		k := same{u.Value, u.Source, u.Evidence}
		i, ok := at[k]
		if !ok {
			at[k] = len(out)
			out = append(out, u)
			continue
		}
		out[i].Of += ", " + u.Of
	}
	return out
}
