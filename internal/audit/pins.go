package audit

import (
	"fmt"
	"math"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// pins checks what people have fixed: kept parts are in their places, forbidden
// ones are not, nothing runs across a joint; and says which gaps want a board.
func (a *auditor) pins() {
	d := &a.pour.Deck
	text := func(mm float64) string { return quantity.Millimetres(mm).Text(a.doc.Job.Style) }
	for i, g := range a.site.Gaps {
		mid := plane.Point{(g.From[0] + g.To[0]) / 2, (g.From[1] + g.To[1]) / 2}
		a.caution(fmt.Sprintf("gap %d", i+1), mid, "gap of up to %s beside %s, %s long: not decked, close it with a filler board", text(g.Width), g.Beside, text(g.Length()))
	}
	for _, k := range a.site.Keep {
		if _, ok := k.In(d); ok {
			continue
		}
		what := k.As + " " + k.Part
		if k.As == "line" {
			what = "line of stringers"
		}
		a.find(fmt.Sprintf("pin %d", k.Pin), k.At, "the %s that pin %d of the job keeps here is not here", what, k.Pin)
	}
	for _, b := range a.site.Bans {
		for _, id := range b.In(d, a.doc.Parts) {
			a.find(id, b.Area.Centroid(), "%s lies where pin %d of the job forbids it", b.Part, b.Pin)
		}
	}
	for _, j := range a.site.Joints {
		a.acrossJoint(j)
	}
}

// acrossJoint finds sheets, joists and stringers that run across a joint.
func (a *auditor) acrossJoint(j deck.Line) {
	l := math.Hypot(j.To[0]-j.From[0], j.To[1]-j.From[1])
	if l < 1 {
		return
	}
	u := plane.Point{(j.To[0] - j.From[0]) / l, (j.To[1] - j.From[1]) / l}
	pos := func(p plane.Point) (along, off float64) {
		x, y := p[0]-j.From[0], p[1]-j.From[1]
		return x*u[0] + y*u[1], y*u[0] - x*u[1]
	}
	const reach = 2 // mm that a part may reach past the line
	for role, list := range a.bars {
		for _, b := range list {
			s, o := pos(b.From)
			t, q := pos(b.To)
			if math.Min(o, q) > -reach || math.Max(o, q) < reach {
				continue
			}
			if at := s + (t-s)*(-o)/(q-o); at > -reach && at < l+reach {
				a.find(b.ID, plane.Point{j.From[0] + u[0]*at, j.From[1] + u[1]*at}, "the %s runs across a joint", []string{"joist", "stringer"}[role])
			}
		}
	}
	for _, p := range a.plates {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, q := range p.Shape.Outer {
			_, o := pos(q)
			lo, hi = math.Min(lo, o), math.Max(hi, o)
		}
		if lo > -reach || hi < reach {
			continue
		}
		turned := p.Shape.Map(func(q plane.Point) plane.Point { x, y := pos(q); return plane.Point{x, y} })
		both := plane.Overlap(plane.Scan([]plane.Shape{turned}, reach/2.), plane.Scan([]plane.Shape{turned}, -reach/2.))
		for _, s := range plane.Overlap(both, plane.Spans{{A: 0, B: l}}) {
			if s.Len() > 10 {
				at := (s.A + s.B) / 2
				a.find(p.ID, plane.Point{j.From[0] + u[0]*at, j.From[1] + u[1]*at}, "the sheet runs across a joint")
				break
			}
		}
	}
}
