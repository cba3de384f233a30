package sheets

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"shoreward/internal/change"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/flow"
	"shoreward/internal/sheets/say"
)

// Pens of what changes: new parts are heavy and whole, removed ones dashed and
// struck through, parts that stay thin and grey. Weight, dash and cross tell them
// apart without colour.
var (
	stayPen    = draw.Pen{Width: 0.09, Color: draw.Grey}
	newPen     = draw.Pen{Width: 0.55, Color: draw.Ink}
	removedPen = draw.Pen{Width: 0.3, Color: draw.Ink, Dash: []float64{1.6, 0.9}}
	crossPen   = draw.Pen{Width: 0.3, Color: draw.Ink}
	cloudPen   = draw.Pen{Width: 0.4, Color: draw.Ink}
)

// changes draws what differs from the earlier plan: a plan with the parts that
// stay in grey, and a table of all that do not.
func (s *set) changes(p *deck.Pour, all *change.Report) {
	if all == nil {
		return
	}
	i := slices.IndexFunc(all.Pours, func(c change.Pour) bool { return c.Name == p.Name })
	if i < 0 || !all.Pours[i].Counts.Any() || all.Pours[i].Counts.Of == 0 {
		return
	}
	c := &all.Pours[i]
	if 2*(c.Counts.Kept+c.Counts.Moved+c.Counts.Exchanged) < c.Counts.Of { // not a change but another deck: the plans show it
		fl := s.lists(p.Name+": laid anew", 1)
		fl.Strong("Pour " + p.Name + " is another deck than in the plan of " + all.From)
		fl.Para("Fewer than half of its parts stay where they are. Build it from the plans that follow, not as a change; changes.json lists every part.")
		for _, line := range changeWords(c, s.partName) {
			fl.Bullet(line)
		}
		return
	}
	if len(c.Added)+len(c.Removed)+len(c.Moved)+len(c.Exchanged) > 0 {
		s.changePlan(p, c, all.From)
	}
	s.changeTable(p, c, all.From)
}

func (s *set) changePlan(p *deck.Pour, c *change.Pour, from string) {
	b := extent(p)
	for _, x := range c.Removed {
		for _, q := range x.Shape {
			b = b.With(draw.Point{X: q[0], Y: q[1]})
		}
	}
	so := newSettingOut(s.doc, p)
	sc, nx, ny := chooseScale(s.style, b.W(), b.H(), math.Inf(1))
	for _, t := range tiles(b, nx, ny) {
		sh := &sheet{set: s, pour: p, style: s.style, title: "Changes from the earlier plan", scale: sc, so: so}
		sh.view = fit(sc, t.box)
		if n := t.name(nx, ny); n != "" {
			sh.title += ", " + n
		}
		sh.page = s.page(sc.format, p.Name+": "+sh.title)
		sh.place = draw.NewPlacer(sc.format.drawing().Grow(-0.5))
		sh.clipGrid()
		sh.zones()
		sh.stay(c)
		sh.gridlines()
		sh.edges()
		sh.openings()
		sh.blocks()
		sh.changed(c)
		sh.clouds(c.Areas)
		sh.matchLines(t, nx, ny)
		sh.dimensions()
		sh.page.Layer = "labels"
		sh.changeNames(c)
		sh.page.Layer = "frame"
		col := newColumn(sh.page, sc.format)
		sh.foot(col)
		sh.head(col)
		col.rule()
		sh.keyPlan(col, t, nx, ny)
		col.heading("Against the plan of " + from)
		for _, line := range changeWords(c, s.partName) {
			col.text(line, col.size, false, draw.Ink)
		}
		col.rule()
		col.legend(changeLegend())
		if sh.unplaced > 0 {
			col.indented(fmt.Sprintf("– %d names have no room at this scale: see the table.", sh.unplaced), 0, col.size, false, draw.Ink)
		}
	}
}

// partName is a part's name as the lists have it.
func (s *set) partName(id string) string { return say.Part(s.doc, id) }

// changeWords are the counts of a pour's changes, line by line.
func changeWords(c *change.Pour, name func(part string) string) []string {
	var out []string
	if c.Note != "" {
		out = append(out, strings.ToUpper(c.Note[:1])+c.Note[1:]+".")
	}
	out = append(out, fmt.Sprintf("Kept: %d of %d parts.", c.Counts.Kept, c.Counts.Of))
	if c.Counts.Reset > 0 {
		out = append(out, fmt.Sprintf("Of these at another height or setting: %d. See the prop settings.", c.Counts.Reset))
	}
	for _, x := range []struct {
		what  string
		parts []change.Part
	}{{"New", c.Added}, {"Removed", c.Removed}} {
		if len(x.parts) > 0 {
			out = append(out, fmt.Sprintf("%s: %s.", x.what, change.CountByKind(x.parts)))
		}
	}
	if n := len(c.Moved); n > 0 {
		out = append(out, fmt.Sprintf("Moved along their line: %d.", n))
	}
	if n := len(c.Exchanged); n > 0 {
		out = append(out, fmt.Sprintf("Another part at the same place: %d.", n))
		for _, x := range change.Swaps(c.Exchanged) {
			out = append(out, x.Words(name)+".")
		}
	}
	if n := len(c.Renamed); n > 0 {
		out = append(out, fmt.Sprintf("Kept under another name: %d.", n))
	}
	if len(c.Site) > 0 {
		out = append(out, "Changed in the slab: "+strings.Join(c.Site, ", ")+".")
	}
	return out
}

// stay draws the parts that are not touched, thin and grey.
func (sh *sheet) stay(c *change.Pour) {
	sh.page.Layer = "parts that stay"
	busy := map[string]bool{}
	for _, x := range c.Added {
		busy[x.Kind+x.ID] = true
	}
	for _, x := range slices.Concat(c.Moved, c.Exchanged) {
		busy[x.Now.Kind+x.Now.ID] = true
	}
	d := &sh.pour.Deck
	for _, m := range d.Joists {
		if s, ok := sh.view.segment(m.From, m.To); ok && !busy["joist"+m.ID] {
			sh.page.Line(stayPen, s.A, s.B)
		}
	}
	for _, m := range d.Stringers {
		if s, ok := sh.view.segment(m.From, m.To); ok && !busy["stringer"+m.ID] {
			sh.page.Shape(stayPen, nil, bar(s, math.Max(sh.width(m.Part), 0.6)))
			sh.place.BlockLine(s, 0.4, true)
		}
	}
	for _, q := range d.Props {
		if sh.view.sees(q.At) && !busy["prop"+q.ID] {
			sh.page.Disc(stayPen, &draw.Paper, sh.view.at(q.At), 0.7)
		}
	}
}

// changed draws removed parts first and new ones over them.
func (sh *sheet) changed(c *change.Pour) {
	sh.page.Layer = "removed parts"
	news := slices.Clone(c.Added)
	for _, x := range c.Moved {
		news = append(news, x.Now)
	}
	for _, x := range c.Removed {
		sh.removedPart(x, news)
	}
	for _, x := range c.Moved {
		sh.removedPart(x.Was, news)
	}
	sh.page.Layer = "new parts"
	for _, x := range c.Added {
		sh.newPart(x)
	}
	for _, x := range c.Moved {
		sh.newPart(x.Now)
	}
	for _, x := range c.Exchanged {
		sh.newPart(x.Now)
		at := sh.middle(x.Now)
		if sh.view.window.Has(at) {
			sh.page.Shape(crossPen, nil, draw.BoxAround(at, 3.4, 3.4).Ring())
		}
	}
}

// middle of a part on paper, on its outline's box.
func (sh *sheet) middle(x change.Part) draw.Point { return draw.BoxOf(sh.view.ring(x.Shape)).Centre() }

func (sh *sheet) newPart(x change.Part) {
	ring := sh.view.ring(x.Shape)
	switch {
	case x.Kind == "sheet":
		if !sh.view.window.Overlaps(draw.BoxOf(ring)) {
			return
		}
		pen := draw.Medium
		sh.outline(pen, ring)
		sh.page.Lines(draw.HatchPen, clipAll(draw.Hatch(45, 3, ring), sh.view.window))
		sh.block(ring, 0.2, true)
	case len(ring) == 1:
		if sh.view.sees(x.Shape[0]) {
			sh.page.Disc(draw.Thin, &draw.Ink, ring[0], 1.15)
			sh.place.Block(draw.BoxAround(ring[0], 2.3, 2.3))
		}
	default:
		s, ok := (draw.Segment{A: ring[0], B: ring[1]}).Clip(sh.view.window.Grow(0.01))
		if !ok {
			return
		}
		if x.Kind == "stringer" {
			sh.page.Shape(draw.Thin, &draw.Ink, bar(s, math.Max(sh.width(x.Part), 1)))
		} else {
			sh.page.Line(newPen, s.A, s.B)
		}
		sh.place.BlockLine(s, 0.6, true)
	}
}

func (sh *sheet) removedPart(x change.Part, news []change.Part) {
	ring := sh.view.ring(x.Shape)
	if len(ring) == 2 { // beside the new part that comes to lie in its place
		off := ring[1].Sub(ring[0]).Unit().Left().Times(1.3)
		for _, n := range news {
			if n.Kind == x.Kind && sh.covers(n, ring) {
				ring = []draw.Point{ring[0].Add(off), ring[1].Add(off)}
				break
			}
		}
	}
	cross := func(at draw.Point, r float64) {
		if !sh.view.window.Has(at) {
			return
		}
		for _, d := range []draw.Point{{X: r, Y: r}, {X: r, Y: -r}} {
			sh.page.Line(crossPen, at.Sub(d), at.Add(d))
		}
		sh.place.Block(draw.BoxAround(at, 2*r, 2*r))
	}
	switch {
	case x.Kind == "sheet":
		if !sh.view.window.Overlaps(draw.BoxOf(ring)) {
			return
		}
		sh.outline(removedPen, ring)
		cross(draw.BoxOf(ring).Centre(), 2)
	case len(ring) == 1:
		if sh.view.sees(x.Shape[0]) {
			sh.page.Disc(draw.Thin, &draw.Paper, ring[0], 1.15)
			cross(ring[0], 1.3)
		}
	default:
		s, ok := (draw.Segment{A: ring[0], B: ring[1]}).Clip(sh.view.window.Grow(0.01))
		if !ok {
			return
		}
		if x.Kind == "stringer" {
			for _, side := range draw.Sides(bar(s, math.Max(sh.width(x.Part), 1))) {
				sh.page.Line(removedPen, side.A, side.B)
			}
		} else {
			sh.page.Line(removedPen, s.A, s.B)
		}
		d := s.B.Sub(s.A)
		for _, t := range []float64{0.2, 0.8} {
			cross(s.A.Add(d.Times(t)), 0.9)
		}
	}
}

// covers reports whether a new member lies on a line of paper for some way.
func (sh *sheet) covers(n change.Part, on []draw.Point) bool {
	if len(n.Shape) != 2 {
		return false
	}
	u := on[1].Sub(on[0]).Unit()
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range sh.view.ring(n.Shape) {
		d := q.Sub(on[0])
		if math.Abs(d.X*u.Y-d.Y*u.X) > 1 {
			return false
		}
		at := d.X*u.X + d.Y*u.Y
		lo, hi = math.Min(lo, at), math.Max(hi, at)
	}
	return math.Min(hi, on[1].Sub(on[0]).Len())-math.Max(lo, 0) > 1
}

// clouds draws a revision cloud around every changed area.
func (sh *sheet) clouds(areas []plane.Box) {
	sh.page.Layer = "clouds"
	for _, a := range areas {
		b := draw.BoxOf([]draw.Point{sh.view.at(deck.Point{a.X0, a.Y0}), sh.view.at(deck.Point{a.X1, a.Y1})})
		for _, s := range draw.Sides(b.Ring()) {
			cloud(sh.page, s, sh.scale.format.drawing())
		}
	}
}

// cloud draws one side of a cloud: arcs that bulge to the right of the way, which
// is outward when an outline is gone around counterclockwise.
func cloud(p *draw.Page, s draw.Segment, within draw.Box) {
	l := s.B.Sub(s.A).Len()
	if l < 0.5 {
		return
	}
	n := max(1, int(math.Round(l/6)))
	step := s.B.Sub(s.A).Times(1 / float64(n))
	for i := range n {
		a := s.A.Add(step.Times(float64(i)))
		mid, r := a.Add(step.Times(0.5)), step.Len()/2
		u := step.Unit()
		var arc []draw.Point
		for k := 0; k <= 10; k++ {
			sin, cos := math.Sincos(math.Pi * float64(k) / 10)
			q := mid.Sub(u.Times(r * cos)).Sub(u.Left().Times(0.7 * r * sin))
			if within.Has(q) {
				arc = append(arc, q)
			}
		}
		if len(arc) > 1 {
			p.Line(cloudPen, arc...)
		}
	}
}

// changeNames writes the names of what is new and of what is removed.
func (sh *sheet) changeNames(c *change.Pour) {
	size := sh.scale.format.label
	write := func(x change.Part, at draw.Point, text string, bold bool) {
		if !sh.view.window.Has(at) || x.Kind == "guard post" {
			return
		}
		if !sh.label([]words{{text, size, bold}}, at, draw.Ink, 1.4, 2.4, 4, 6, 9) {
			sh.unplaced++
		}
	}
	for _, x := range c.Added {
		write(x, sh.clearOfRemoved(x, c), x.ID, true)
	}
	for _, x := range c.Exchanged {
		write(x.Now, sh.middle(x.Now), x.Now.ID, true)
	}
	for _, x := range c.Moved {
		write(x.Now, sh.clearOfRemoved(x.Now, c), fmt.Sprintf("%s, %s", x.Now.ID, say.Len(x.By, sh.style)), true)
	}
	for _, x := range c.Removed {
		write(x, sh.middle(x), x.ID+" off", false)
	}
}

// clearOfRemoved is where a new sheet is named: on it, away from the crosses of
// removed ones, whose names stand there; other parts at their middle.
func (sh *sheet) clearOfRemoved(x change.Part, c *change.Pour) draw.Point {
	mid := sh.middle(x)
	if x.Kind != "sheet" {
		return mid
	}
	ring := sh.view.ring(x.Shape)
	b := draw.BoxOf(ring)
	shape := deck.Shape{}
	for _, q := range ring {
		shape.Outer = append(shape.Outer, deck.Point{q.X, q.Y})
	}
	best, far := mid, -1.0
	for _, f := range [][2]float64{{0.5, 0.5}, {0.5, 0.25}, {0.5, 0.75}, {0.25, 0.5}, {0.75, 0.5}, {0.2, 0.2}, {0.2, 0.8}, {0.8, 0.2}, {0.8, 0.8}} {
		at := draw.Point{X: b.Min.X + f[0]*b.W(), Y: b.Min.Y + f[1]*b.H()}
		if !liesOn(shape, at) || !sh.view.window.Has(at) {
			continue
		}
		d := math.Inf(1)
		for _, r := range c.Removed {
			if r.Kind == "sheet" {
				d = math.Min(d, sh.middle(r).Sub(at).Len())
			}
		}
		if d > 8 { // far enough for both names
			return at
		}
		if d > far {
			best, far = at, d
		}
	}
	return best
}

func changeLegend() []legendRow {
	line := func(pen draw.Pen) func(*draw.Page, draw.Point) {
		return func(p *draw.Page, at draw.Point) {
			p.Line(pen, at.Add(draw.Point{X: -4.5}), at.Add(draw.Point{X: 4.5}))
		}
	}
	cross := func(p *draw.Page, at draw.Point, r float64) {
		p.Line(crossPen, at.Sub(draw.Point{X: r, Y: r}), at.Add(draw.Point{X: r, Y: r}))
		p.Line(crossPen, at.Sub(draw.Point{X: r, Y: -r}), at.Add(draw.Point{X: r, Y: -r}))
	}
	box := func(at draw.Point) []draw.Point { return draw.BoxAround(at, 8, 2.8).Ring() }
	return []legendRow{
		{func(p *draw.Page, at draw.Point) { line(stayPen)(p, at); p.Disc(stayPen, &draw.Paper, at, 0.7) }, "stays as it is: joist, stringer, prop"},
		{func(p *draw.Page, at draw.Point) {
			p.Shape(draw.Thin, &draw.Ink, draw.BoxAround(at, 9, 1).Ring())
		}, "new stringer"},
		{line(newPen), "new joist, edge form, brace"},
		{func(p *draw.Page, at draw.Point) { p.Disc(draw.Thin, &draw.Ink, at, 1.15) }, "new prop, guardrail post, tie"},
		{func(p *draw.Page, at draw.Point) {
			p.Shape(draw.Medium, nil, box(at))
			p.Lines(draw.HatchPen, draw.Hatch(45, 2, box(at)))
		}, "new sheet"},
		{func(p *draw.Page, at draw.Point) { line(removedPen)(p, at); cross(p, at, 0.9) }, "removed joist, edge form; stringers as two dashed lines"},
		{func(p *draw.Page, at draw.Point) { p.Disc(draw.Thin, &draw.Paper, at, 1.15); cross(p, at, 1.3) }, "removed prop, guardrail post, tie"},
		{func(p *draw.Page, at draw.Point) {
			for _, s := range draw.Sides(box(at)) {
				p.Line(removedPen, s.A, s.B)
			}
			cross(p, at, 1.2)
		}, "removed sheet"},
		{func(p *draw.Page, at draw.Point) {
			p.Disc(draw.Thin, &draw.Ink, at, 1.15)
			p.Shape(crossPen, nil, draw.BoxAround(at, 3.4, 3.4).Ring())
		}, "another part at the same place"},
		{func(p *draw.Page, at draw.Point) {
			cloud(p, draw.Segment{A: at.Add(draw.Point{X: -4.5}), B: at.Add(draw.Point{X: 4.5})}, draw.BoxAround(at, 20, 20))
		}, "cloud: area that changes"},
	}
}

// changeTable lists every part that does not simply stay.
func (s *set) changeTable(p *deck.Pour, c *change.Pour, from string) {
	fl := s.lists(p.Name+": table of changes", 1)
	fl.Strong("Changes of pour " + p.Name + " against the plan of " + from)
	fl.Para(strings.Join(changeWords(c, s.partName), " "))
	fl.Split(2)
	so := newSettingOut(s.doc, p)
	place := func(x change.Part) []string {
		b := plane.Ring(x.Shape).Bounds()
		at := deck.Point{(b.X0 + b.X1) / 2, (b.Y0 + b.Y1) / 2}
		return []string{offset(at[0], so.alongX(at[0]), s), offset(at[1], so.alongY(at[1]), s)}
	}
	name := func(x change.Part) string {
		if x.With != "" {
			return say.Part(s.doc, x.Part) + "; " + x.With
		}
		return say.Part(s.doc, x.Part)
	}
	cols := []flow.Col{{Head: "name", Share: 12}, {Head: "what", Share: 11}, {Head: "part", Share: 38}, {Head: "x, middle", Share: 18, Align: draw.Right}, {Head: "y, middle", Share: 18, Align: draw.Right}}
	for _, list := range []struct {
		title string
		parts []change.Part
	}{{"Removed", c.Removed}, {"New", c.Added}} {
		t := flow.Table{Title: list.title, Size: 2.2, Cols: cols}
		for _, x := range list.parts {
			t.Rows = append(t.Rows, flow.Row{Cells: append([]string{x.ID, x.Kind, name(x)}, place(x)...)})
		}
		fl.Table(t)
	}
	t := flow.Table{Title: "Moved along their line", Size: 2.2, Cols: []flow.Col{{Head: "was", Share: 12}, {Head: "now", Share: 12}, {Head: "what", Share: 11}, {Head: "part", Share: 30}, {Head: "by", Share: 9, Align: draw.Right}, {Head: "x now", Share: 15, Align: draw.Right}, {Head: "y now", Share: 15, Align: draw.Right}}}
	for _, x := range c.Moved {
		t.Rows = append(t.Rows, flow.Row{Cells: append([]string{x.Was.ID, x.Now.ID, x.Now.Kind, name(x.Now), say.Len(x.By, s.style)}, place(x.Now)...)})
	}
	fl.Table(t)
	t = flow.Table{Title: "Another part at the same place", Size: 2.2, Cols: []flow.Col{{Head: "was", Share: 10}, {Head: "part", Share: 34}, {Head: "now", Share: 10}, {Head: "part", Share: 34}}}
	for _, x := range c.Exchanged {
		t.Rows = append(t.Rows, flow.Row{Cells: []string{x.Was.ID, name(x.Was), x.Now.ID, name(x.Now)}})
	}
	fl.Table(t)
	t = flow.Table{Title: "Kept under another name", Size: 2.2, Cols: []flow.Col{{Head: "what", Share: 30}, {Head: "was", Share: 30}, {Head: "now", Share: 30}}}
	for _, x := range c.Renamed {
		t.Rows = append(t.Rows, flow.Row{Cells: []string{x.Kind, x.Was, x.Now}})
	}
	fl.Table(t)
}
