package sheets

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/flow"
	"shoreward/internal/sheets/say"
)

// Soffits that fall: the arrow that says where to and how much, levels at corners,
// and the slope in the section.

// soffit of the section at a place along it, mm.
func (c *cut) soffit(u float64) float64 {
	return c.pour.Site.SoffitAt(c.zone, c.prop.At) + c.rise*u
}

// deep is how deep plumb a layer of a thickness is.
func (c *cut) deep(d float64) float64 { return d * c.pour.Site.Fall.Stretch() }

// seen is about half of what a section shows to the sides, mm.
const seen = 1500.0

// heightAt is the height of a member's upper face beside a place.
func heightAt(m deck.Member, at deck.Point) float64 {
	if m.Rise == 0 {
		return m.Top
	}
	dx, dy := m.To[0]-m.From[0], m.To[1]-m.From[1]
	return m.Top + m.Rise*((at[0]-m.From[0])*dx+(at[1]-m.From[1])*dy)/(dx*dx+dy*dy)
}

// band draws what lies in the slope of the section between two heights, which are
// those where its u begins.
func (p *picture) band(pen draw.Pen, fill *draw.Color, u1, u2, low, high float64) []draw.Point {
	if p.c.rise == 0 {
		return p.rect(pen, fill, u1, low, u2, high)
	}
	return p.ring(pen, fill, []draw.Point{p.at(u1, low+p.c.rise*u1), p.at(u2, low+p.c.rise*u2), p.at(u2, high+p.c.rise*u2), p.at(u1, high+p.c.rise*u1)})
}

// ring draws a closed outline of the section, cut at the window.
func (p *picture) ring(pen draw.Pen, fill *draw.Color, ring []draw.Point) []draw.Point {
	if part := draw.ClipRing(ring, p.window); fill != nil && len(part) > 2 {
		p.page.Shape(draw.None, fill, part)
	}
	p.page.Lines(pen, clipAll(draw.Sides(ring), p.window))
	return ring
}

// wedge draws the wedge on a head: level at its foot, its upper face in the slope.
func (p *picture) wedge(u1, u2, foot, top float64) {
	ring := p.ring(draw.Thin, &draw.Paper, []draw.Point{p.at(u1, foot), p.at(u2, foot), p.at(u2, top+p.c.rise*u2), p.at(u1, top+p.c.rise*u1)})
	p.hatch(ring, 90, 0.6)
}

// slopeText writes a slope for both trades.
func slopeText(f *deck.Fall) string {
	g := f.Grade()
	return fmt.Sprintf("%.1f %% (1:%.3g)", 100*g, 1/g)
}

// toward is where a fall runs down to, in words.
func toward(f *deck.Fall) string {
	deg := math.Mod(math.Atan2(-f.Rise[1], -f.Rise[0])*180/math.Pi+360, 360)
	for _, d := range []struct {
		deg  float64
		text string
	}{{0, "+x"}, {90, "+y"}, {180, "–x"}, {270, "–y"}, {360, "+x"}} {
		if math.Abs(deg-d.deg) < 0.05 {
			return "toward " + d.text
		}
	}
	return fmt.Sprintf("toward %.1f° from x", deg)
}

// soffitText writes the soffit of a zone, from its lowest to its highest where it falls.
func soffitText(s *deck.Site, z deck.Zone, style quantity.Style) string {
	if s.Fall == nil {
		return "soffit " + say.Height(z.Soffit, style)
	}
	z.Strip = nil
	low, high := s.Range(z)
	return "plumb, soffit " + say.Height(low, style) + " to " + say.Height(high, style)
}

// topText writes the top of the slab.
func topText(s *deck.Site, style quantity.Style) string {
	if s.Fall == nil || len(s.Zones) == 0 {
		return say.Height(s.TopZ, style)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, z := range s.Zones {
		z.Strip = nil
		a, b := s.Range(z)
		low, high = math.Min(low, a+z.Thickness), math.Max(high, b+z.Thickness)
	}
	return say.Height(low, style) + " to " + say.Height(high, style)
}

// spotSymbol marks the place of a level.
func spotSymbol(p *draw.Page, at draw.Point) {
	const r = 1.0
	p.Disc(draw.Thin, &draw.Paper, at, r)
	p.Line(draw.Thin, at.Add(draw.Point{X: -1.8}), at.Add(draw.Point{X: 1.8}))
	p.Line(draw.Thin, at.Add(draw.Point{Y: -1.8}), at.Add(draw.Point{Y: 1.8}))
}

// fallArrow draws an arrow of a length, mm on paper, around a place, down the slope.
func fallArrow(p *draw.Page, at, down draw.Point, length float64) {
	head := at.Add(down.Times(length / 2))
	p.Line(draw.Medium, at.Sub(down.Times(length/2)), head)
	for _, side := range []float64{1, -1} { // an open head
		p.Line(draw.Medium, head, head.Sub(down.Times(2.2)).Add(down.Left().Times(side*0.9)))
	}
}

// fall writes where the soffit falls to and how much, and its levels at the
// corners of the slab.
func (sh *sheet) fall() {
	f := sh.pour.Site.Fall
	if f == nil || f.Grade() == 0 {
		return
	}
	const length = 16.0
	down := draw.Point{X: -f.Rise[0], Y: -f.Rise[1]}.Unit()
	note := sh.scale.format.note
	ws := []words{{"falls " + slopeText(f), sh.scale.format.label, true}}
	w, h := labelSize(ws)
	h += 0.8 // over the text
	tall := length*math.Abs(down.Y) + 3
	whole := math.Max(w, length*math.Abs(down.X)+2)
	view := sh.view.window
	box := draw.BoxOf(sh.view.ring(sh.pour.Site.Slab[0].Outer))
	c := draw.Point{X: (math.Max(box.Min.X, view.Min.X) + math.Min(box.Max.X, view.Max.X)) / 2, Y: (math.Max(box.Min.Y, view.Min.Y) + math.Min(box.Max.Y, view.Max.Y)) / 2}
	var wishes []draw.Box
	for r := 10.0; r <= 70; r += 3 {
		for k := range 8 {
			sin, cos := math.Sincos(float64(k)*math.Pi/4 + math.Pi/8)
			wishes = append(wishes, draw.BoxAround(c.Add(draw.Point{X: r * cos, Y: r * sin}), whole, h+tall))
		}
	}
	if i := sh.place.Place(wishes); i >= 0 {
		b := wishes[i]
		sh.page.Shape(draw.Hairline, &draw.Paper, b.Ring())
		sh.page.Write(draw.Text{At: draw.Point{X: b.Centre().X, Y: b.Max.Y - 0.8 - ws[0].size*lineGap + 0.24*ws[0].size}, Size: ws[0].size, Bold: true,
			Align: draw.Middle, Color: draw.Ink, Str: ws[0].text, Label: true})
		fallArrow(sh.page, draw.Point{X: b.Centre().X, Y: b.Min.Y + tall/2}, down, length)
	}
	const apart = 600.0 // mm: one level for corners nearer than this
	var done []deck.Point
	for _, s := range sh.pour.Site.Slab {
		for _, q := range s.Outer {
			if !sh.view.sees(q) || slices.ContainsFunc(done, func(o deck.Point) bool { return math.Hypot(o[0]-q[0], o[1]-q[1]) < apart }) {
				continue
			}
			done = append(done, q)
			z := sh.pour.Site.Zones[sh.pour.Site.ZoneBeside(q)]
			soffit := sh.pour.Site.SoffitAt(z, q)
			at := sh.view.at(q)
			if sh.label([]words{{"top " + say.Height(soffit+z.Thickness, sh.style), note, false}, {"soffit " + say.Height(soffit, sh.style), note, true}}, at, draw.Ink, 2, 4, 7, 11) {
				spotSymbol(sh.page, at)
				sh.place.Block(draw.BoxAround(at, 3.6, 3.6))
			}
		}
	}
}

// byHole lists the settings of props under a soffit that falls: alike props by their pin
// hole, which is set on the ground, each with its own thread; posts without holes by
// what they are, each with its extension.
func (s *set) byHole(fl *flow.Flow, p *deck.Pour) {
	groups := map[setting][]deck.Prop{}
	var keys []setting
	for _, q := range p.Deck.Props {
		k := s.settingOf(q)
		k.extension, k.thread = "", ""
		if groups[k] == nil {
			keys = append(keys, k)
		}
		groups[k] = append(groups[k], q)
	}
	longest := func(k setting) (most float64) {
		for _, q := range groups[k] {
			most = math.Max(most, q.Length)
		}
		return most
	}
	sort.SliceStable(keys, func(i, j int) bool {
		a, b := keys[i], keys[j]
		if a.kind != b.kind {
			return a.kind == string(deck.Grade)
		}
		if x, y := longest(a), longest(b); x != y {
			return x > y
		}
		return a.part+a.head+a.foot < b.part+b.head+b.foot
	})
	t := flow.Table{Title: "Prop settings, pour " + p.Name + ": every prop has its own", Cols: []flow.Col{
		{Head: "set", Share: 3}, {Head: "kind", Share: 7}, {Head: "prop", Share: 13}, {Head: "head", Share: 12}, {Head: "foot", Share: 12},
		{Head: "pin hole", Share: 5, Align: draw.Right}, {Head: "extensions", Share: 9, Align: draw.Right}, {Head: "pieces", Share: 5, Align: draw.Right}, {Head: "each prop: its thread", Share: 42}}}
	for i, k := range keys {
		list := groups[k]
		sort.SliceStable(list, func(a, b int) bool { return idLess(list[a].ID, list[b].ID) })
		least, most := list[0].Length, list[0].Length
		var each []string
		for _, q := range list {
			least, most = math.Min(least, q.Length), math.Max(most, q.Length)
			own := say.Len(q.Thread, s.style)
			if q.Hole == 0 {
				own = "cut to " + say.Len(q.Length, s.style)
			}
			each = append(each, q.ID+": "+own)
		}
		between := say.Len(least, s.style)
		if most > least {
			between += " to " + say.Len(most, s.style)
		}
		t.Rows = append(t.Rows, flow.Row{Cells: []string{fmt.Sprint(i + 1), k.kind, k.part, k.head, k.foot, orDash(k.hole), between, fmt.Sprint(len(list)), strings.Join(each, ", ")}})
	}
	fl.Table(t)
	fl.Note("Extension: from underside of foot plate to top of the prop, without head, wedge and sill. Hole 1 is the shortest setting. Thread: how far the collar stands above its lowest place. " +
		"Pin on the ground, name each prop on it, then set the collar by the list, plumb, at its place on the plan." + s.wedges(p))
}

// wedges is the note on wedges that are cut to the slope.
func (s *set) wedges(p *deck.Pour) string {
	n := 0
	for _, q := range p.Deck.Props {
		if q.Taper > 0 {
			n++
		}
	}
	if n == 0 {
		return ""
	}
	return fmt.Sprintf(" Wedge: hardwood, cut to %s, %d pieces, as large as the seat; its thickness is that over the middle of the head. It is no part of the gear list.", slopeText(p.Site.Fall), n)
}
