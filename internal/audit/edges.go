package audit

import (
	"fmt"
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

func length(a, b plane.Point) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }

// edges checks that every free edge and joint has its edge form, that the form
// holds the fresh concrete, and that the open border of the deck has a guardrail.
func (a *auditor) edges() {
	for i, e := range a.site.Edges {
		l := length(e.From, e.To)
		if e.Kind == deck.Wall || l < 1 {
			continue
		}
		need := a.site.Zones[a.site.ZoneBeside(plane.Point{(e.From[0] + e.To[0]) / 2, (e.From[1] + e.To[1]) / 2})].Thickness
		head := need
		if a.site.Fall != nil {
			head = a.plan.Site.EdgeHead(a.plan.Site.Edges[i], need)
		}
		var have plane.Spans
		for _, f := range a.pour.Deck.EdgeForms {
			if s, ok := run(e, f.From, f.To); ok && f.Kind == deck.EdgeOf && f.Height >= need-1 && math.Max(f.Height, f.Head) >= head-1 {
				have = append(have, s)
			}
		}
		if bare := plane.Minus(plane.Spans{{A: 0, B: l}}, plane.Merge(have, 1)).Total(); bare > 5 {
			proven := ""
			if head > need {
				proven = fmt.Sprintf(" and proven for %.0f mm of concrete, up the slope", head)
			}
			a.find("edge", e.From, "edge %d has %.0f mm without an edge form as high as the slab%s", i+1, bare, proven)
		}
	}
	for _, f := range a.pour.Deck.EdgeForms {
		part, kicker := a.doc.Parts[f.Part], a.doc.Parts[f.Kicker]
		if part == nil {
			a.find(f.ID, f.From, "is part %q, which the document does not describe", f.Part)
			continue
		}
		l := length(f.From, f.To)
		if need := int(math.Ceil(l/math.Max(f.Pitch, 1)-1e-3)) + 1; f.Kickers < need {
			a.find(f.ID, f.From, "has %d kickers, its pitch needs %d", f.Kickers, need)
		}
		if most := formHeight(part); f.Height > most+sideTolerance {
			a.find(f.ID, f.From, "forms %.0f mm of height with a part of %.0f mm", f.Height, most)
		}
		head := math.Max(f.Head, f.Height)
		lines, err := a.doc.Settings.FaceForm(part, quantity.Length(f.Height/1000), quantity.Length(head/1000), quantity.Length(f.Pitch/1000), kicker)
		if err != nil {
			a.find(f.ID, f.From, "%v", err)
			continue
		}
		a.checkLines(f.ID, formKind(f.Kind), part, lines, f.From)
	}
	a.guards()
}

func (a *auditor) checkLines(id, kind string, part *catalog.Part, lines calc.Lines, at plane.Point) {
	for _, l := range lines {
		if l.IsCheck() {
			a.check(id, kind, l.Name, l.Value, *l.Limit, l.Kind, at, func() deck.Worked {
				return deck.Worked{Kind: kind, What: l.Name, Member: id, Part: part.ID, Lines: lines}
			})
		}
	}
}

// run is the part of an edge that a segment covers.
func run(e deck.Edge, a, b plane.Point) (plane.Span, bool) {
	l := length(e.From, e.To)
	ux, uy := (e.To[0]-e.From[0])/l, (e.To[1]-e.From[1])/l
	pos := func(p plane.Point) (float64, float64) {
		x, y := p[0]-e.From[0], p[1]-e.From[1]
		return x*ux + y*uy, x*uy - y*ux
	}
	sa, da := pos(a)
	sb, db := pos(b)
	if math.Abs(da) > 10 || math.Abs(db) > 10 {
		return plane.Span{}, false
	}
	s := plane.Span{A: math.Max(0, math.Min(sa, sb)), B: math.Min(l, math.Max(sa, sb))}
	return s, s.Len() > 0
}

// guards checks the posts along the open border of the working strip.
func (a *auditor) guards() {
	pitch := a.doc.Choices.GuardPitch
	near := func(p plane.Point) bool {
		for _, g := range a.pour.Deck.Guards {
			if length(g.At, p) <= pitch/2+50 {
				return true
			}
		}
		return false
	}
	for _, s := range a.site.Strip {
		for _, r := range s.Rings() {
			for i, p := range r {
				q := r[(i+1)%len(r)]
				l := length(p, q)
				mid := plane.Point{(p[0] + q[0]) / 2, (p[1] + q[1]) / 2}
				if l < 300 || a.border(mid) {
					continue
				}
				for d := 0.0; d <= l; d += pitch / 4 {
					at := plane.Point{p[0] + (q[0]-p[0])*d/l, p[1] + (q[1]-p[1])*d/l}
					if !near(at) {
						a.find("guardrail", at, "no guardrail post within half of %.0f mm along the open border of the deck", pitch)
						break
					}
				}
			}
		}
	}
	for _, g := range a.pour.Deck.Guards {
		part := a.doc.Parts[g.Part]
		if part == nil {
			a.find(g.ID, g.At, "is part %q, which the document does not describe", g.Part)
			continue
		}
		lines, err := a.doc.Settings.Guard(part, quantity.Length(pitch/1000))
		if err != nil {
			a.find(g.ID, g.At, "%v", err)
			continue
		}
		a.checkLines(g.ID, "guard", part, lines, g.At)
	}
}

// border reports whether a point of the strip's border lies along the slab or a block.
func (a *auditor) border(p plane.Point) bool {
	for _, s := range a.site.Slab {
		for _, r := range s.Rings() {
			if r.DistanceTo(p) < 2 {
				return true
			}
		}
	}
	for _, b := range a.site.Blocks {
		if b.Ring.Contains(p) || b.Ring.DistanceTo(p) < 2 {
			return true
		}
	}
	return false
}

// lateral compares what pushes the deck sideways with what holds it, both ways.
func (a *auditor) lateral() {
	dead, all := 0.0, 0.0
	for i, z := range a.loaded() {
		area := plane.Area(z.zone.Shapes) / 1e6
		dead += area * float64(a.doc.Settings.LateralBasis(z.slab))
		all += area * float64(z.slab.Service())
		if i == 0 {
			area = plane.Area(a.site.Strip) / 1e6
			dead += area * float64(a.doc.Settings.LateralBasis(z.strip))
			all += area * float64(z.strip.Service())
		}
	}
	box := plane.Bounds(a.site.Slab)
	held := [2]float64{}
	for _, t := range a.pour.Deck.Ties {
		if !a.tieHolds(t) {
			continue
		}
		for d, name := range []string{"x", "y"} {
			if t.Dirs == "xy" || t.Dirs == name {
				held[d] += a.doc.Choices.TieLoad
			}
		}
	}
	for _, b := range a.pour.Deck.Braces {
		if !a.isKind(b.Part, catalog.Brace) {
			a.find(b.ID, b.At, "%q is no brace of the catalogue: it holds nothing sideways", b.Part)
			continue
		}
		dx, dy := b.Foot[0]-b.At[0], b.Foot[1]-b.At[1]
		l := math.Hypot(dx, dy)
		if l < 300 {
			a.find(b.ID, b.At, "the brace stands upright: it holds nothing sideways")
			continue
		}
		if !a.site.OnGround && !plane.Within(a.site.Stand, b.Foot) {
			a.find(b.ID, b.Foot, "the foot of the brace is not on the slab below")
			continue
		}
		for _, c := range a.site.Clear {
			if c.Contains(b.Foot) {
				a.find(b.ID, b.Foot, "the foot of the brace is in a place that the job keeps clear")
			}
		}
		// A brace holds along its own plan direction only.
		held[0] += a.doc.Choices.BraceLoad * dx * dx / (l * l)
		held[1] += a.doc.Choices.BraceLoad * dy * dy / (l * l)
	}
	a.report.Totals.TiesX, a.report.Totals.TiesY = held[0], held[1]
	for d, name := range []string{"x", "y"} {
		edge := (box.Y1 - box.Y0) / 1000
		if d == 1 {
			edge = (box.X1 - box.X0) / 1000
		}
		h, lines := a.doc.Settings.Lateral(quantity.Force(dead), quantity.Length(edge))
		if f := a.site.Fall; f != nil {
			push := rules.FallPush(quantity.Force(all), f.Rise[d])
			h, lines = h+quantity.Force(push.Value), append(lines, push)
		}
		if d == 0 {
			a.report.Totals.LateralX = float64(h)
		} else {
			a.report.Totals.LateralY = float64(h)
		}
		a.check("deck", "lateral", "along "+name, float64(h), held[d], calc.Force, plane.Point{(box.X0 + box.X1) / 2, (box.Y0 + box.Y1) / 2}, func() deck.Worked {
			l := append(calc.Lines(nil), lines...)
			l = append(l, calc.Line{Symbol: "H", Name: "sideways load of the deck along " + name + " against its ties and braces; each must be rated for its share, and the columns and walls must be able to take it", Value: float64(h), Kind: calc.Force, Source: "ties and braces as placed", Evidence: calc.Chosen}.Check(held[d], "ties and braces"))
			return deck.Worked{Kind: "lateral", What: "along " + name, Member: "deck", Lines: l}
		})
	}
}

// tieHolds checks that a tie is one and sits at a cast column or wall.
func (a *auditor) tieHolds(t deck.Tie) bool {
	if !a.isKind(t.Part, catalog.Tie) {
		a.find(t.ID, t.At, "%q is no tie of the catalogue: it holds nothing sideways", t.Part)
		return false
	}
	for _, b := range a.site.Blocks {
		if b.Name == t.Block && b.Ties {
			if b.Ring.Contains(t.At) || b.Ring.DistanceTo(t.At) < 300 {
				return true
			}
			a.find(t.ID, t.At, "the tie is not at %s", t.Block)
			return false
		}
	}
	a.find(t.ID, t.At, "the tie is at %q, which is no cast column or wall of the site", t.Block)
	return false
}

// isKind reports whether a part is in the catalogue and of a kind.
func (a *auditor) isKind(id string, kind catalog.Kind) bool {
	p := a.doc.Parts[id]
	return p != nil && p.Kind == kind
}

// formKind is what checks of a form are called.
func formKind(k deck.FormKind) string {
	switch k {
	case deck.SideOf:
		return "side form"
	case deck.RiserOf:
		return "step form"
	}
	return "edge form"
}
