package sheets

import (
	"fmt"
	"sort"
	"strings"

	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/say"
)

// column writes the title column of a plan from the top down.
type column struct {
	page   *draw.Page
	box    draw.Box
	y      float64
	size   float64
	bottom float64 // kept free below
}

const columnPad = 3.0

func newColumn(p *draw.Page, f format) *column {
	b := f.title()
	p.Line(draw.Heavy, b.Min, draw.Point{X: b.Min.X, Y: b.Max.Y})
	return &column{page: p, box: b, y: b.Max.Y - columnPad, size: 2.4 * f.column / 84, bottom: b.Min.Y}
}

func (c *column) width() float64 { return c.box.W() - 2*columnPad }
func (c *column) left() float64  { return c.box.Min.X + columnPad }

// room reports whether h mm are left.
func (c *column) room(h float64) bool { return c.y-h > c.bottom }

// text writes a paragraph; what does not fit the column ends with an ellipsis.
func (c *column) text(s string, size float64, bold bool, color draw.Color) {
	c.indented(s, 0, size, bold, color)
}

func (c *column) indented(s string, indent, size float64, bold bool, color draw.Color) {
	for _, l := range draw.Wrap(s, c.width()-indent, size, bold) {
		if !c.room(size * 1.25) {
			return
		}
		c.y -= size * 1.25
		c.page.Write(draw.Text{At: draw.Point{X: c.left() + indent, Y: c.y + 0.25*size}, Size: size, Bold: bold, Color: color, Str: l})
	}
}

// entry writes a word and what it stands for.
func (c *column) entry(word, value string) {
	if value == "" {
		return
	}
	indent := c.width() * 0.3
	if !c.room(c.size * 1.25) {
		return
	}
	c.page.Write(draw.Text{At: draw.Point{X: c.left(), Y: c.y - c.size}, Size: c.size, Color: draw.Grey, Str: word})
	c.indented(value, indent, c.size, false, draw.Ink)
}

// rule draws a line across the column.
func (c *column) rule() {
	c.y -= 1.6
	c.page.Line(draw.Thin, draw.Point{X: c.box.Min.X, Y: c.y}, draw.Point{X: c.box.Max.X, Y: c.y})
	c.y -= 1.2
}

func (c *column) heading(s string) { c.text(s, c.size*1.15, true, draw.Ink); c.y -= 0.6 }

// head writes who, what and where.
func (sh *sheet) head(c *column) {
	doc, p := sh.set.doc, sh.pour
	c.text(doc.Job.Name, c.size*1.7, true, draw.Ink)
	c.text(sh.title, c.size*1.35, true, draw.Ink)
	c.y -= 1
	c.entry("pour", p.Name)
	c.entry("level", p.Level)
	c.entry("laid as", p.LaidAs)
	c.entry("follows", p.Follows)
	c.entry("scale", sh.scale.text+" on "+sh.scale.format.name)
	c.entry("lengths", unitWords(doc))
	c.entry("system", doc.Job.System)
	c.entry("basis", say.Basis(doc.Job.Basis))
	c.entry("concrete", strings.Join(thicknesses(doc, p), "; "))
	c.entry("top of slab", topText(&p.Site, doc.Job.Style))
	if f := p.Site.Fall; f != nil {
		c.entry("falls", slopeText(f)+" "+toward(f))
	}
	c.entry("props stand", stands(doc, p))
	if doc.Job.ConcreteStrength > 0 {
		c.entry("f'c / f_ck", say.Value(doc.Job.ConcreteStrength, "stress", doc.Job.Style))
	}
	sh.status(c)
}

func unitWords(doc *deck.Document) string {
	if doc.Job.Style == quantity.US {
		return `feet-inches to 1/16"`
	}
	return "mm; levels in m"
}

// thicknesses names each zone with its thickness and soffit.
func thicknesses(doc *deck.Document, p *deck.Pour) []string {
	var out []string
	for _, z := range p.Site.Zones {
		s := say.LenUnit(z.Thickness, doc.Job.Style) + ", " + soffitText(&p.Site, z, doc.Job.Style)
		if z.Name != "" && len(p.Site.Zones) > 1 {
			s = z.Name + " " + s
		}
		out = append(out, s)
	}
	return out
}

func stands(doc *deck.Document, p *deck.Pour) string {
	on := "on the slab below"
	if p.Site.OnGround {
		on = "on the ground, on sills"
	}
	return on + " at " + say.Height(p.Site.BaseZ, doc.Job.Style)
}

// status writes the verdict.
func (sh *sheet) status(c *column) {
	first, second, fails := sh.verdict()
	c.panel(first, second, fails)
}

// verdict says whether the deck holds, and the storeys where the job asks.
func (sh *sheet) verdict() (first, second string, fails bool) {
	p := sh.pour
	first, second, fails = "EVERY CHECK HOLDS", fmt.Sprintf("%d checks, worst ratio %s", p.Summary.Checks, say.Ratio(p.Summary.MaxRatio)), true
	switch {
	case sh.failing() > 0:
		first, second = "DO NOT BUILD", fmt.Sprintf("%d of %d checks or findings fail", sh.failing(), max(p.Summary.Checks, sh.failing()))
	case len(p.Audit.Checks) == 0:
		first, second = "NOT PROVEN", "the plan holds no checks of this pour"
	case sh.set.doc.Storeys != nil && !sh.set.doc.Storeys.Safe:
		first, second = "STOREYS NOT SAFE", "this deck holds, what is below does not"
	default:
		fails = false
	}
	return first, second, fails
}

// panel writes a verdict in a box, hatched at its side when something fails.
func (c *column) panel(first, second string, fails bool) {
	c.y -= 1.5
	h := c.size * 4.4
	if !c.room(h) {
		return
	}
	b := draw.Box{Min: draw.Point{X: c.left(), Y: c.y - h}, Max: draw.Point{X: c.box.Max.X - columnPad, Y: c.y}}
	c.y -= h + 1
	color, pen := draw.Ink, draw.Medium
	if fails {
		color, pen = draw.Brick, draw.FailPen
	}
	c.page.Shape(pen, nil, b.Ring())
	if fails {
		side := draw.Box{Min: b.Min, Max: draw.Point{X: b.Min.X + h*0.7, Y: b.Max.Y}}
		failArea(c.page, side.Ring(), b)
		b.Min.X = side.Max.X
	}
	mid := b.Centre()
	size := draw.Large * c.size / 2.6
	for size > c.size && draw.Width(first, size, true) > b.W()-2 {
		size -= 0.1
	}
	c.page.Write(draw.Text{At: draw.Point{X: mid.X, Y: mid.Y + 0.25*c.size}, Size: size, Bold: true, Align: draw.Middle, Color: color, Str: first})
	c.page.Write(draw.Text{At: draw.Point{X: mid.X, Y: mid.Y - 1.5*c.size}, Size: c.size, Align: draw.Middle, Color: color, Str: draw.Fit(second, b.W()-2, c.size, false)})
}

// failing counts what fails by the audit's own lists, never less than its summary.
func (sh *sheet) failing() int { return max(len(sh.bad), sh.pour.Summary.Failed) }

// legendRow is a symbol and its meaning.
type legendRow struct {
	paint func(p *draw.Page, at draw.Point)
	text  string
}

// legend explains every sign on the sheet, in the order of the work.
func (sh *sheet) legend(c *column) {
	across := func(pen draw.Pen) func(*draw.Page, draw.Point) {
		return func(p *draw.Page, at draw.Point) {
			p.Line(pen, at.Add(draw.Point{X: -4.5}), at.Add(draw.Point{X: 4.5}))
		}
	}
	box := func(at draw.Point) draw.Box { return draw.BoxAround(at, 7, 2.6) }
	d := &sh.pour.Deck
	grade, inter := 0, 0
	for _, q := range d.Props {
		if q.Kind == deck.Grade {
			grade++
		} else {
			inter++
		}
	}
	var rows []legendRow
	add := func(when bool, text string, paint func(*draw.Page, draw.Point)) {
		if when {
			rows = append(rows, legendRow{paint, text})
		}
	}
	if sh.shows.props {
		add(grade > 0, fmt.Sprintf("grade prop, set to elevation (%d)", grade), func(p *draw.Page, at draw.Point) { propSymbol(p, deck.Grade, at) })
		add(inter > 0, fmt.Sprintf("intermediate prop, snugged (%d)", inter), func(p *draw.Page, at draw.Point) { propSymbol(p, deck.Intermediate, at) })
		add(true, "B-3 = third prop on line B; below it its running distance along the line", func(p *draw.Page, at draw.Point) {
			p.Write(draw.Text{At: draw.Point{X: at.X, Y: at.Y - 0.8}, Size: 2.1, Bold: true, Align: draw.Middle, Color: draw.Ink, Str: "B-3"})
		})
		add(true, "line of stringers, tagged at both ends", func(p *draw.Page, at draw.Point) { tagShape(p, at, "B", 2.4) })
	}
	add(len(d.Stringers) > 0, fmt.Sprintf("stringer (%d)", len(d.Stringers)), func(p *draw.Page, at draw.Point) {
		p.Shape(draw.StringPen, nil, draw.BoxAround(at, 9, 1.2).Ring())
	})
	if sh.shows.joists {
		add(len(d.Joists) > 0, fmt.Sprintf("joist (%d)", len(d.Joists)), across(draw.JoistPen))
		add(len(d.Sheets) > 0, "sheet, whole", func(p *draw.Page, at draw.Point) { p.Shape(draw.SheetEdge, nil, box(at).Ring()) })
		add(sh.pour.Summary.SheetsCut > 0 || anyCut(d), "sheet, cut: stroke across one corner, name and size written", func(p *draw.Page, at draw.Point) {
			b := box(at)
			p.Shape(draw.SheetEdge, nil, b.Ring())
			cutMark(p, b.Ring(), b)
		})
	}
	blocks := map[string]bool{}
	for _, b := range sh.pour.Site.Blocks {
		blocks[b.Kind] = true
	}
	add(blocks["column"], "column", func(p *draw.Page, at draw.Point) {
		b := draw.BoxAround(at, 4, 3)
		columnFill(p, b.Ring(), b)
	})
	add(blocks["wall"], "wall", func(p *draw.Page, at draw.Point) { wallFill(p, box(at).Ring(), box(at)) })
	add(blocks["joint"] || blocks["kept"], "kept free of parts", func(p *draw.Page, at draw.Point) { p.Shape(draw.HiddenPen, nil, box(at).Ring()) })
	add(len(sh.pour.Site.Openings) > 0, "opening", func(p *draw.Page, at draw.Point) {
		b := draw.BoxAround(at, 5, 3)
		p.Shape(draw.Thin, nil, b.Ring())
		p.Line(draw.Thin, b.Min, b.Max)
		p.Line(draw.Thin, draw.Point{X: b.Min.X, Y: b.Max.Y}, draw.Point{X: b.Max.X, Y: b.Min.Y})
	})
	add(len(sh.pour.Site.Clear) > 0, "keep clear: no prop, no brace", func(p *draw.Page, at draw.Point) {
		clearArea(p, box(at).Ring(), box(at))
	})
	if f := sh.pour.Site.Fall; f != nil && f.Grade() > 0 {
		add(true, "down the slope", func(p *draw.Page, at draw.Point) { fallArrow(p, at, draw.Point{X: 1}, 8) })
		add(true, "level at a corner of the slab", spotSymbol)
	}
	add(len(sh.pour.Site.Joints) > 0, "joint: no part of the deck runs across", across(draw.JointPen))
	add(len(d.Borders) > 0, "border of two fields: joists and lines end here", across(draw.BorderPen))
	forms := "edge form"
	for _, e := range d.EdgeForms {
		if e.Kind != deck.EdgeOf {
			forms = "form of an edge, side or step"
		}
	}
	add(len(d.EdgeForms) > 0, forms, across(draw.EdgeForm))
	add(len(sh.pour.Site.Strip) > 0, "end of the working strip", across(draw.StripPen))
	add(len(d.Guards) > 0, fmt.Sprintf("guardrail post (%d)", len(d.Guards)), guardSymbol)
	if sh.shows.props {
		add(len(d.Ties) > 0, fmt.Sprintf("tie to a cast column or wall (%d)", len(d.Ties)), func(p *draw.Page, at draw.Point) {
			chevrons(p, draw.Medium, at.Add(draw.Point{X: 1.3}), draw.Point{X: 1})
		})
		add(len(d.Braces) > 0, fmt.Sprintf("brace, upper end where it points (%d)", len(d.Braces)), func(p *draw.Page, at draw.Point) {
			across(draw.Thin)(p, at)
			chevrons(p, draw.Medium, at.Add(draw.Point{X: 1.3}), draw.Point{X: 1})
		})
	}
	add(len(sh.gridX)+len(sh.gridY) > 0, "gridline", across(draw.GridPen))
	add(len(sh.gridX)+len(sh.gridY) == 0, "corner 0 that dimensions start from", originMark)
	add(sh.cares > 0, "take care: see the list of cautions for this member", careSymbol)
	add(len(sh.bad) > 0, "fails; F1 = first in the list of what fails", func(p *draw.Page, at draw.Point) {
		b := draw.BoxAround(at, 6, 2.6)
		failArea(p, b.Ring(), b)
	})
	c.legend(rows)
}

// legend explains signs as far as there is room.
func (c *column) legend(rows []legendRow) {
	c.heading("Legend")
	for _, r := range rows {
		if !c.room(4.2) {
			return
		}
		top := c.y
		r.paint(c.page, draw.Point{X: c.left() + 5.5, Y: top - 2})
		c.y -= 0.5
		c.indented(r.text, 13, c.size, false, draw.Ink)
		if top-c.y < 4.2 {
			c.y = top - 4.2
		}
	}
}

func anyCut(d *deck.Deck) bool {
	for _, s := range d.Sheets {
		if s.Cut {
			return true
		}
	}
	return false
}

// foot fills the lower end of the column: axes, scale bar, review, sheet number.
func (sh *sheet) foot(c *column) { sh.footOf(c, true) }

// footOf leaves out the axes where the sheet shows no plan.
func (sh *sheet) footOf(c *column, plan bool) {
	b := c.box
	y := b.Min.Y + 3
	sh.set.numbers = append(sh.set.numbers, numberPlace{c.page, draw.Point{X: b.Max.X - columnPad, Y: y}, c.size * 1.5})
	y += c.size*1.5 + 1.5
	c.page.Line(draw.Thin, draw.Point{X: b.Min.X, Y: y}, draw.Point{X: b.Max.X, Y: y})
	for _, l := range reversed(draw.Wrap(Aid, c.width(), c.size, false)) {
		y += c.size * 1.25
		c.page.Write(draw.Text{At: draw.Point{X: c.left(), Y: y - c.size*0.9}, Size: c.size, Color: draw.Ink, Str: l})
	}
	y += 1.2
	c.page.Line(draw.Thin, draw.Point{X: b.Min.X, Y: y}, draw.Point{X: b.Max.X, Y: y})
	y += 1.5
	for _, who := range []string{"issued for / date", "engineer's review / date"} {
		c.page.Write(draw.Text{At: draw.Point{X: c.left(), Y: y}, Size: c.size, Color: draw.Grey, Str: who})
		c.page.Line(draw.Hairline, draw.Point{X: c.left() + c.width()*0.42, Y: y - 0.6}, draw.Point{X: b.Max.X - columnPad, Y: y - 0.6})
		y += c.size * 2.2
	}
	c.page.Line(draw.Thin, draw.Point{X: b.Min.X, Y: y}, draw.Point{X: b.Max.X, Y: y})
	y += 3
	sh.scaleBar(c, draw.Point{X: c.left() + 1, Y: y})
	if plan {
		axes(c.page, draw.Point{X: b.Max.X - columnPad - 12, Y: y}, c.size)
	}
	y += 13
	c.page.Line(draw.Thin, draw.Point{X: b.Min.X, Y: y}, draw.Point{X: b.Max.X, Y: y})
	c.bottom = y + 1.5
}

func reversed(s []string) []string {
	out := make([]string, len(s))
	for i, v := range s {
		out[len(s)-1-i] = v
	}
	return out
}

// axes draws the job's axes. The job does not say where north is.
func axes(p *draw.Page, at draw.Point, size float64) {
	for _, d := range []draw.Point{{X: 1}, {Y: 1}} {
		tip := at.Add(d.Times(7))
		p.Line(draw.Medium, at, tip)
		p.Shape(draw.None, &draw.Ink, []draw.Point{tip.Add(d.Times(1.6)), tip.Add(d.Left().Times(0.7)), tip.Sub(d.Left().Times(0.7))})
	}
	p.Write(draw.Text{At: at.Add(draw.Point{X: 9.2, Y: -0.7}), Size: size, Bold: true, Color: draw.Ink, Str: "x"})
	p.Write(draw.Text{At: at.Add(draw.Point{Y: 9.2}), Size: size, Bold: true, Align: draw.Middle, Color: draw.Ink, Str: "y"})
	p.Write(draw.Text{At: at.Add(draw.Point{X: 2, Y: 4.6}), Size: size * 0.8, Color: draw.Grey, Str: "job axes"})
}

// scaleBar draws five whole steps.
func (sh *sheet) scaleBar(c *column, at draw.Point) {
	steps := []float64{100, 200, 500, 1000, 2000, 5000} // mm of plan
	if sh.style == quantity.US {
		steps = []float64{152.4, 304.8, 2 * 304.8, 4 * 304.8, 10 * 304.8, 20 * 304.8}
	}
	step := steps[0]
	for _, s := range steps {
		if s*5/sh.scale.den <= c.width()-26 {
			step = s
		}
	}
	w := step / sh.scale.den
	for i := range 5 {
		b := draw.Box{Min: draw.Point{X: at.X + float64(i)*w, Y: at.Y + 1}, Max: draw.Point{X: at.X + float64(i+1)*w, Y: at.Y + 2.4}}
		fill := &draw.Ink
		if i%2 == 1 {
			fill = &draw.Paper
		}
		c.page.Shape(draw.Thin, fill, b.Ring())
	}
	for i, a := range []draw.Align{draw.Left, draw.Right} {
		text := "0"
		if i == 1 {
			text = say.LenUnit(step*5, sh.style)
			if sh.style == quantity.Metric {
				text = fmt.Sprintf("%g m", step*5/1000)
			}
		}
		c.page.Write(draw.Text{At: draw.Point{X: at.X + float64(i)*5*w, Y: at.Y + 3.3}, Size: c.size, Align: a, Color: draw.Ink, Str: text})
	}
	c.page.Write(draw.Text{At: draw.Point{X: at.X, Y: at.Y + 6.4}, Size: c.size, Color: draw.Grey, Str: "scale " + sh.scale.text})
}

// failures lists what fails, as far as the column has room.
func (sh *sheet) failures(c *column) {
	if len(sh.bad) == 0 {
		return
	}
	c.text("Fails", c.size*1.15, true, draw.Brick)
	for i, b := range sh.bad {
		if c.y < c.bottom+0.6*(c.box.Max.Y-c.bottom) { // the legend needs the rest
			c.text(fmt.Sprintf("and %d more: sheet \"what fails\"", len(sh.bad)-i), c.size, true, draw.Brick)
			break
		}
		c.text(draw.Fit(fmt.Sprintf("F%d %s: %s", i+1, b.member, b.text()), 2*c.width()-4, c.size, false), c.size, false, draw.Brick)
	}
	c.rule()
}

// bad is a member that fails.
type bad struct {
	member string
	at     *deck.Point
	what   string
	ratio  float64
}

func (b bad) text() string {
	if b.ratio > 0 {
		return b.what + " " + say.Ratio(b.ratio)
	}
	return b.what
}

// badOf gathers, for each member, its worst failing check and its failing findings.
func badOf(p *deck.Pour) []bad {
	byMember := map[string]*bad{}
	var names []string
	for _, c := range p.Audit.Checks {
		if c.Ratio <= 1+1e-9 {
			continue
		}
		b := byMember[c.Member]
		if b == nil {
			b = &bad{member: c.Member}
			byMember[c.Member] = b
			names = append(names, c.Member)
		}
		if c.Ratio > b.ratio {
			b.ratio, b.what = c.Ratio, c.Kind+" "+c.What
		}
	}
	sort.SliceStable(names, func(i, j int) bool { return byMember[names[i]].ratio > byMember[names[j]].ratio })
	var out []bad
	for _, f := range p.Audit.Findings {
		if f.Fails {
			if byMember[f.Member] != nil && f.Ratio > 1 {
				continue // told by the check itself
			}
			out = append(out, bad{f.Member, &f.At, f.What, f.Ratio})
		}
	}
	for _, n := range names {
		out = append(out, *byMember[n])
	}
	return out
}
