package sheets

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/say"
)

// cut is a section along one joist, seen along the stringers: u runs along
// the joist from the chosen prop, z is the height in the job.
type cut struct {
	set    *set
	pour   *deck.Pour
	prop   deck.Prop
	joist  deck.Member
	dir    draw.Point // of the joist, in plan
	zone   deck.Zone
	rise   float64 // of the soffit, mm for each mm along the section
	sheetT float64 // thickness of the sheet, mm; 0 when not known
	sheet  string  // its part
	cross  []crossing
}

// crossing is a stringer where the section meets it, with the prop nearest to
// that place.
type crossing struct {
	u, top   float64 // place and upper face
	stringer deck.Member
	prop     *deck.Prop
}

// start is where a window of the given width (mm of building) begins along the
// joist: around its middle, but with the chosen prop well inside.
func (c *cut) start(width float64) float64 {
	middle := (c.u(c.joist.From) + c.u(c.joist.To)) / 2
	return math.Max(-0.33*width, math.Min(middle, 0.33*width)) - width/2
}

// size of a part in mm; 0 when the catalogue does not say.
func (s *set) depth(id string) float64 {
	return known(s.doc.Parts[id], func(p *catalog.Part) catalog.Value[quantity.Length] { return p.Depth })
}
func (s *set) wide(id string) float64 {
	return known(s.doc.Parts[id], func(p *catalog.Part) catalog.Value[quantity.Length] { return p.Width })
}

func known(p *catalog.Part, f func(*catalog.Part) catalog.Value[quantity.Length]) float64 {
	if p == nil {
		return 0
	}
	return float64(f(p).V) * 1000
}

// headHeight of a prop's head, mm.
func (s *set) headHeight(id string) float64 {
	if p := s.doc.Parts[id]; p != nil && p.Seat != nil {
		return float64(p.Seat.Height.V) * 1000
	}
	return 0
}

// findCut picks the grade prop nearest to the middle of the pour and the
// joist that passes it most closely; false when the deck has no such pair.
func (s *set) findCut(p *deck.Pour) (*cut, bool) {
	mid := slabBox(p).Centre()
	best := math.Inf(1)
	c := &cut{set: s, pour: p}
	for _, q := range p.Deck.Props {
		d := math.Hypot(q.At[0]-mid.X, q.At[1]-mid.Y)
		if q.Kind != deck.Grade {
			d += 1e6
		}
		if q.Under != "joist" && d < best {
			best, c.prop = d, q
		}
	}
	if math.IsInf(best, 1) {
		return nil, false
	}
	best = math.Inf(1)
	for _, j := range p.Deck.Joists {
		if d := toSegment(c.prop.At, j.From, j.To); d < best {
			best, c.joist = d, j
		}
	}
	if math.IsInf(best, 1) {
		return nil, false
	}
	c.dir = draw.Point{X: c.joist.To[0] - c.joist.From[0], Y: c.joist.To[1] - c.joist.From[1]}.Unit()
	c.findZone()
	c.rise = p.Site.Fall.Along(c.dir.X, c.dir.Y)
	c.findSheet()
	c.findCrossings()
	return c, true
}

func toSegment(p, a, b deck.Point) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = math.Max(0, math.Min(1, ((p[0]-a[0])*dx+(p[1]-a[1])*dy)/l))
	}
	return math.Hypot(p[0]-a[0]-t*dx, p[1]-a[1]-t*dy)
}

func (c *cut) u(p deck.Point) float64 {
	return along(c.dir, p) - along(c.dir, c.prop.At)
}

func (c *cut) findZone() {
	name := ""
	for _, f := range c.pour.Deck.Fields {
		if f.Name == c.joist.Field {
			name = f.Zone
		}
	}
	for i, z := range c.pour.Site.Zones {
		if i == 0 || z.Name == name {
			c.zone = z
		}
	}
}

func (c *cut) findSheet() {
	for _, s := range c.pour.Deck.Sheets {
		if s.Field == c.joist.Field {
			c.sheet, c.sheetT = s.Part, c.set.depth(s.Part)
			return
		}
	}
}

// findCrossings meets the centreline of the joist with every stringer.
func (c *cut) findCrossings() {
	n := c.dir.Left()
	base := along(n, c.joist.From)
	for _, m := range c.pour.Deck.Stringers {
		a, b := along(n, m.From)-base, along(n, m.To)-base
		if a*b > 0 || a == b {
			continue
		}
		t := a / (a - b)
		at := deck.Point{m.From[0] + t*(m.To[0]-m.From[0]), m.From[1] + t*(m.To[1]-m.From[1])}
		x := crossing{u: c.u(at), top: m.Top + t*m.Rise, stringer: m}
		best := math.Inf(1)
		for i, q := range c.pour.Deck.Props {
			if d := math.Hypot(q.At[0]-at[0], q.At[1]-at[1]); q.Line == m.Line && d < best {
				best, x.prop = d, &c.pour.Deck.Props[i]
			}
		}
		c.cross = append(c.cross, x)
	}
	sort.SliceStable(c.cross, func(i, j int) bool { return c.cross[i].u < c.cross[j].u })
}

// picture is a part of the section drawn at a scale.
type picture struct {
	c      *cut
	page   *draw.Page
	den    float64
	window draw.Box // on paper
	u, z   float64  // of the window's lower left corner
}

func (p *picture) at(u, z float64) draw.Point {
	return draw.Point{X: p.window.Min.X + (u-p.u)/p.den, Y: p.window.Min.Y + (z-p.z)/p.den}
}

// rect draws a rectangle of the section, cut at the window.
func (p *picture) rect(pen draw.Pen, fill *draw.Color, u1, z1, u2, z2 float64) []draw.Point {
	ring := draw.BoxOf([]draw.Point{p.at(u1, z1), p.at(u2, z2)}).Ring()
	if part := draw.ClipRing(ring, p.window); fill != nil && len(part) > 2 {
		p.page.Shape(draw.None, fill, part)
	}
	p.page.Lines(pen, clipAll(draw.Sides(ring), p.window))
	return ring
}

func (p *picture) hatch(ring []draw.Point, angle, pitch float64) {
	p.page.Lines(draw.HatchPen, clipAll(draw.Hatch(angle, pitch, ring), p.window))
}

func (p *picture) line(pen draw.Pen, u1, z1, u2, z2 float64) {
	if s, ok := (draw.Segment{A: p.at(u1, z1), B: p.at(u2, z2)}).Clip(p.window); ok {
		p.page.Line(pen, s.A, s.B)
	}
}

// draw fills the window with the section.
func (p *picture) draw() {
	c := p.c
	left, right := p.u-10, p.u+p.window.W()*p.den+10
	slab := p.band(draw.Medium, &draw.Concrete, left, right, c.soffit(0), c.soffit(0)+c.zone.Thickness)
	p.hatch(slab, 45, 3)
	p.band(draw.Thin, &draw.Paper, left, right, c.soffit(0)-c.deep(c.sheetT), c.soffit(0))
	p.lengthwise(c.joist, draw.JoistPen)
	done := map[string]bool{} // two lapping stringers share a prop
	for _, x := range c.cross {
		if x.prop != nil && !done[x.prop.ID] {
			done[x.prop.ID] = true
			p.prop(c.u(x.prop.At), *x.prop)
		}
	}
	for _, x := range c.cross {
		p.endOn(x.stringer, x.u, x.top, draw.StringPen)
	}
	p.ground(left, right)
}

// lengthwise draws a member seen from its side, in the colour of its kind.
func (p *picture) lengthwise(j deck.Member, pen draw.Pen) {
	u1, u2 := p.c.u(j.From), p.c.u(j.To)
	d := p.c.deep(p.c.set.depth(j.Part))
	top := j.Top - p.c.rise*u1 // where the section's u begins
	pen.Width = 0.3
	p.band(pen, &draw.Paper, u1, u2, top-d, top)
	if part := p.c.set.doc.Parts[j.Part]; part != nil && part.Kind == catalog.Beam { // the edges of the flanges
		for _, edge := range []float64{top - 0.2*d, top - 0.8*d} {
			p.line(draw.Hairline, u1, edge+p.c.rise*u1, u2, edge+p.c.rise*u2)
		}
	}
}

// endOn draws a member that is cut across, in the colour of its kind, its upper face
// at a height there.
func (p *picture) endOn(m deck.Member, u, top float64, pen draw.Pen) {
	w, d := p.c.set.wide(m.Part), p.c.deep(p.c.set.depth(m.Part))
	pen.Width = 0.4
	top -= p.c.rise * u
	ring := p.band(pen, &draw.Paper, u-w/2, u+w/2, top-d, top)
	p.hatch(ring, -45, 1)
}

// prop draws head, tubes, plates and sill of a prop, its lower tube as long as
// the prop at its shortest.
func (p *picture) prop(u float64, q deck.Prop) {
	s := p.c.set
	head := s.headHeight(q.Head)
	top := q.Base + q.Length
	face := q.Seat - q.Taper // of the head
	seat := 150.0
	if h := s.doc.Parts[q.Head]; h != nil && h.Seat != nil && h.Seat.SeatWide.V > 0 {
		seat = float64(h.Seat.SeatWide.V) * 1000
	}
	p.rect(draw.Medium, &draw.Paper, u-seat/2, face-8, u+seat/2, face)
	p.rect(draw.Thin, &draw.Paper, u-22, face-head, u+22, face-8)
	if q.Taper > 0 { // the wedge, level below and in the slope above
		p.wedge(u-seat/2, u+seat/2, face, q.Seat-p.c.rise*u)
	}
	part := s.doc.Parts[q.Part]
	lower, plate := q.Length*0.6, 120.0
	if part != nil && part.Shore != nil {
		if l := float64(part.Shore.Shortest.V) * 1000; l > 0 && l < q.Length {
			lower = l * 0.95
		}
		if w := float64(part.Shore.Plate.V) * 1000; w > 0 {
			plate = w
		}
	}
	if part != nil && part.Kind == catalog.Lumber {
		w := s.wide(q.Part)
		p.rect(draw.Thin, &draw.Paper, u-w/2, q.Base, u+w/2, top)
	} else {
		p.rect(draw.Thin, &draw.Paper, u-24, q.Base+lower, u+24, top)
		p.rect(draw.Thin, &draw.Paper, u-30, q.Base, u+30, q.Base+lower)
		p.rect(draw.Medium, &draw.Paper, u-55, q.Base+lower-60, u+55, q.Base+lower) // collar
		p.rect(draw.Medium, &draw.Paper, u-plate/2, q.Base, u+plate/2, q.Base+8)
		p.rect(draw.Medium, &draw.Paper, u-plate/2, top-8, u+plate/2, top)
	}
	if q.Sill != "" {
		if d := s.depth(q.Sill); d > 0 {
			ring := p.rect(draw.Thin, &draw.Paper, u-225, q.Base-d, u+225, q.Base)
			p.hatch(ring, 20, 1.2)
		}
	}
}

func (p *picture) ground(left, right float64) {
	z := p.c.pour.Site.BaseZ
	if p.c.pour.Site.OnGround {
		p.line(draw.Heavy, left, z, right, z)
		ring := draw.BoxOf([]draw.Point{p.at(left, z-70), p.at(right, z)}).Ring()
		p.hatch(ring, 60, 2)
		return
	}
	p.hatch(p.rect(draw.Medium, &draw.Concrete, left, z-120, right, z), 45, 3)
}

// level is a height worth writing.
type level struct {
	z    float64
	text string
}

// levels of the section, from the top down.
func (c *cut) levels() []level {
	s := c.set.style
	q := c.prop
	out := []level{
		{c.soffit(0) + c.zone.Thickness, "top of slab"},
		{c.soffit(0), "soffit = top of sheet"},
		{c.joistTop(), "top of joist"},
		{c.stringerTop(), "top of stringer"},
		{q.Seat - q.Taper, "seat of the head"},
		{q.Base + q.Length, "top of prop " + q.ID},
		{q.Base, "foot of prop"},
		{c.pour.Site.BaseZ, "base"},
	}
	if q.Taper > 0 {
		out = slices.Insert(out, 4, level{q.Seat, "underside of stringer"})
	}
	kept := out[:1]
	for _, l := range out[1:] {
		if math.Abs(l.z-kept[len(kept)-1].z) < 0.5 { // e.g. no sill: foot and base are one
			kept[len(kept)-1].text += ", " + l.text
			continue
		}
		kept = append(kept, l)
	}
	for i := range kept {
		kept[i].text = say.Height(kept[i].z, s) + "  " + kept[i].text
	}
	return kept
}

func (c *cut) stringerTop() float64 {
	best, top := math.Inf(1), c.prop.Seat
	for _, m := range c.pour.Deck.Stringers {
		if d := toSegment(c.prop.At, m.From, m.To); d < best {
			best, top = d, heightAt(m, c.prop.At)
		}
	}
	return top
}

// joistTop is the upper face of the joist at the prop.
func (c *cut) joistTop() float64 { return c.joist.Top - c.rise*c.u(c.joist.From) }

// layers of the section with their sizes, from the top down.
func (c *cut) layers() []level {
	s, st := c.set, c.set.style
	q := c.prop
	mid := func(a, b float64) float64 { return (a + b) / 2 }
	stringer := ""
	best := math.Inf(1)
	for _, m := range c.pour.Deck.Stringers {
		if d := toSegment(q.At, m.From, m.To); d < best {
			best, stringer = d, m.Part
		}
	}
	out := []level{{mid(c.soffit(0), c.soffit(0)+c.zone.Thickness), say.Len(c.zone.Thickness, st) + "  concrete"}}
	add := func(low, high float64, id, what string) {
		if id == "" {
			return
		}
		text := say.Len(high-low, st) + "  " + what + ": " + say.Part(s.doc, id)
		out = append(out, level{mid(low, high), text})
	}
	add(c.joistTop(), c.joistTop()+c.deep(c.sheetT), c.sheet, "sheet")
	add(c.joistTop()-c.deep(s.depth(c.joist.Part)), c.joistTop(), c.joist.Part, "joist")
	add(c.stringerTop()-c.deep(s.depth(stringer)), c.stringerTop(), stringer, "stringer")
	if q.Taper > 0 {
		out = append(out, level{mid(q.Seat-q.Taper, q.Seat), say.Len(q.Taper, st) + "  wedge cut to the slope"})
	}
	add(q.Base+q.Length, q.Seat-q.Taper, q.Head, "head")
	add(q.Base, q.Base+q.Length, q.Part, "prop "+q.ID)
	if q.Sill != "" {
		add(q.Base-s.depth(q.Sill), q.Base, q.Sill, "sill")
	}
	return out
}

// notes writes texts beside the picture, each with a line to its height; they
// are spread so that none sits on another.
func (p *picture) notes(entries []level, right bool, width, size float64) {
	var in []level
	for _, e := range entries {
		if y := p.at(0, e.z).Y; y >= p.window.Min.Y-0.01 && y <= p.window.Max.Y+0.01 {
			in = append(in, e)
		}
	}
	step := size * 1.35
	ys := make([]float64, len(in))
	for i, e := range in { // from the top down, each at least a step below the last
		ys[i] = p.at(0, e.z).Y
		if i > 0 && ys[i] > ys[i-1]-step {
			ys[i] = ys[i-1] - step
		}
	}
	// what ran below the window comes back up
	low := p.window.Min.Y
	for i := len(ys) - 1; i >= 0; i-- {
		if ys[i] < low {
			ys[i] = low
		}
		low = ys[i] + step
	}
	for i, e := range in {
		x0, x1, align := p.window.Max.X, p.window.Max.X+7, draw.Left
		tx := x1 + 1
		if !right {
			x0, x1, align = p.window.Min.X, p.window.Min.X-7, draw.Right
			tx = x1 - 1
		}
		p.page.Line(draw.Thin, draw.Point{X: x0, Y: p.at(0, e.z).Y}, draw.Point{X: x1, Y: ys[i]})
		p.page.Write(draw.Text{At: draw.Point{X: tx, Y: ys[i] - 0.36*size}, Size: size, Align: align, Color: draw.Ink,
			Str: draw.Fit(e.text, width, size, false), Label: true})
	}
}

// sectionScales are the scales of a section.
func sectionScales(s quantity.Style) []scale {
	f := listFormat(s)
	if s == quantity.US {
		return []scale{{f, 12, `1" = 1'-0"`}, {f, 16, `3/4" = 1'-0"`}, {f, 24, `1/2" = 1'-0"`}, {f, 32, `3/8" = 1'-0"`}, {f, 48, `1/4" = 1'-0"`}, {f, 96, `1/8" = 1'-0"`}}
	}
	return []scale{{f, 10, "1:10"}, {f, 20, "1:20"}, {f, 25, "1:25"}, {f, 50, "1:50"}, {f, 100, "1:100"}, {f, 200, "1:200"}}
}

// sectionScale is the largest scale at which a height, mm, has room on paper.
func sectionScale(s quantity.Style, height, room float64) scale {
	all := sectionScales(s)
	for _, k := range all {
		if height/k.den <= room {
			return k
		}
	}
	return all[len(all)-1]
}

// section draws a section of the pour from top of slab to base, and its upper
// part again larger.
func (s *set) section(p *deck.Pour) {
	c, ok := s.findCut(p)
	if !ok {
		return
	}
	f := listFormat(s.style)
	area := f.drawing().Grow(-9)
	low, high := p.Site.BaseZ-100, c.soffit(0)+c.zone.Thickness+60+math.Abs(c.rise)*seen
	sc := sectionScale(s.style, high-low, area.H()-14)
	sh := &sheet{set: s, pour: p, style: s.style, title: "Section", scale: sc, so: newSettingOut(s.doc, p), bad: badOf(p)}
	page := s.page(f, p.Name+": Section")
	sh.page = page
	page.Layer = "section"

	h := (high - low) / sc.den
	w := 112.0
	win := draw.Box{Min: draw.Point{X: area.Min.X + 4, Y: area.Min.Y + 8}, Max: draw.Point{X: area.Min.X + 4 + w, Y: area.Min.Y + 8 + h}}
	whole := &picture{c: c, page: page, den: sc.den, window: win, u: c.start(w * sc.den), z: low}
	whole.draw()
	whole.notes(c.levels(), true, 50, 2.1)
	caption(page, win, fmt.Sprintf("Section along joist %s at prop %s, %s", c.joist.ID, c.prop.ID, sc.text))

	k := sectionScales(s.style)[0]
	dw, dh := 76.0, math.Min((high-c.prop.Seat+500)/k.den, area.H()-20)
	dwin := draw.Box{Min: draw.Point{X: area.Max.X - dw - 58, Y: area.Max.Y - 8 - dh}, Max: draw.Point{X: area.Max.X - 58, Y: area.Max.Y - 8}}
	detail := &picture{c: c, page: page, den: k.den, window: dwin, u: c.start(dw * k.den), z: high - dh*k.den}
	detail.draw()
	page.Shape(draw.Hairline, nil, dwin.Ring())
	detail.notes(c.layers(), true, 50, 2.1)
	caption(page, dwin, "Upper part at prop "+c.prop.ID+", "+k.text)

	page.Layer = "frame"
	col := newColumn(page, f)
	sh.foot(col)
	sh.head(col)
	col.rule()
	col.heading("Sizes at prop " + c.prop.ID)
	for _, l := range c.layers() {
		col.text(l.text, col.size, false, draw.Ink)
	}
	col.rule()
	col.heading("Notes")
	for _, n := range []string{
		"Props are those nearest to the joist on each line; they stand where the plan shows them.",
		"Tubes, collars and plates are sketched; heights and sizes of beams, sheets and sills are to scale.",
		"Intermediate props follow after the sheets are down and before the pour.",
	} {
		col.text("– "+n, col.size, false, draw.Ink)
	}
}

func caption(p *draw.Page, b draw.Box, text string) {
	p.Write(draw.Text{At: draw.Point{X: b.Min.X, Y: b.Min.Y - 5}, Size: 2.6, Bold: true, Color: draw.Ink, Str: text})
}
