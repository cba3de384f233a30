package sheets

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/say"
)

// shows says which parts a plan sheet is about.
type shows struct{ props, joists bool }

// sheet is one plan as it is drawn.
type sheet struct {
	set   *set
	pour  *deck.Pour
	style quantity.Style
	title string
	shows shows
	scale scale
	view  view
	page  *draw.Page
	place *draw.Placer
	so    settingOut
	lines []*line
	bad   []bad

	gridX, gridY []deck.GridLine // those that cross the window
	unplaced     int             // labels that found no room
	cares        int             // members marked for a caution
}

// plans draws the plan sheets of a pour: one with everything while that stays
// legible, otherwise the props and the joists on sheets of their own.
func (s *set) plans(p *deck.Pour) {
	b := extent(p)
	so := newSettingOut(s.doc, p)
	ls := lines(p, so)
	sc, nx, ny := chooseScale(s.style, b.W(), b.H(), propPitch(ls))
	bad := badOf(p)
	layers := []shows{{true, false}, {false, true}}
	if nx*ny == 1 && sc.den <= 50 && len(p.Deck.Joists) <= 60 {
		layers = []shows{{true, true}}
	}
	parts := tiles(b, nx, ny)
	for _, show := range layers {
		title := "Prop and stringer plan"
		switch {
		case show.props && show.joists:
			title = "Deck plan"
		case show.joists:
			title = "Joist and panel plan"
		}
		for _, t := range parts {
			sh := &sheet{set: s, pour: p, style: s.style, title: title, shows: show, scale: sc, so: so, lines: ls, bad: bad}
			sh.view = fit(sc, t.box)
			if n := t.name(nx, ny); n != "" {
				sh.title += ", " + n
			}
			sh.draw(t, nx, ny)
		}
	}
}

// draw fills the sheet: parts first, then what is written about them.
func (sh *sheet) draw(t tile, nx, ny int) {
	f := sh.scale.format
	sh.page = sh.set.page(f, sh.pour.Name+": "+sh.title)
	sh.place = draw.NewPlacer(f.drawing().Grow(-0.5))
	sh.clipGrid()
	sh.zones()
	if sh.shows.joists {
		sh.sheets()
	}
	sh.gridlines()
	sh.edges()
	sh.openings()
	sh.keptClear()
	sh.blocks()
	if sh.shows.joists {
		sh.joists()
	}
	sh.stringers()
	if sh.shows.props {
		sh.sideways()
		sh.props()
	}
	sh.care()
	sh.failed()
	sh.matchLines(t, nx, ny)
	sh.dimensions()
	sh.page.Layer = "labels"
	sh.fall()
	if sh.shows.props {
		sh.tags()
		sh.propLabels()
	}
	sh.fields()
	if sh.shows.joists && !sh.shows.props {
		sh.joistDims()
		sh.cutSizes()
	}
	sh.page.Layer = "frame"
	sh.column(t, nx, ny)
}

func (sh *sheet) column(t tile, nx, ny int) {
	c := newColumn(sh.page, sh.scale.format)
	sh.foot(c)
	sh.head(c)
	c.rule()
	sh.failures(c)
	sh.keyPlan(c, t, nx, ny)
	sh.legend(c)
	c.rule()
	c.heading("Notes")
	for _, n := range sh.notes() {
		c.indented("– "+n, 0, c.size, false, draw.Ink)
	}
}

// mixedLines are the lines that stand on props of more than one part: a crew that takes
// the next prop from the stack may set a weaker one.
func mixedLines(p *deck.Pour) []string {
	parts, mixed := map[string]string{}, []string{}
	for _, q := range p.Deck.Props {
		if q.Under == "joist" {
			continue
		}
		if was, ok := parts[q.Line]; !ok {
			parts[q.Line] = q.Part
		} else if was != q.Part && !slices.Contains(mixed, q.Line) {
			mixed = append(mixed, q.Line)
		}
	}
	return mixed
}

func (sh *sheet) notes() []string {
	var out []string
	if sh.shows.props {
		out = append(out, "Running distances: from "+sh.startWords()+", to the middle of the prop.",
			"Pin hole and thread of every prop: prop settings.")
		if lines := mixedLines(sh.pour); len(lines) > 0 {
			out = append(out, "Props of more than one kind stand on "+strings.Join(lines, ", ")+": set each by the list.")
		}
		if sh.unplaced > 0 {
			out = append(out, fmt.Sprintf("%d labels have no room at this scale: see the prop list.", sh.unplaced))
		}
	} else {
		out = append(out, "Distances beside joists: to the middle of the joist, from what the name of the field says.")
		if sh.unplaced > 0 {
			out = append(out, fmt.Sprintf("%d sizes or distances have no room at this scale: see the panel list of the takeoff.", sh.unplaced))
		}
	}
	if sh.cares > 0 {
		out = append(out, fmt.Sprintf("Members marked \"take care\" on this sheet: %d. What to do: list \"care, edges, ties, gear\".", sh.cares))
	}
	if f := sh.pour.Site.Fall; f != nil {
		out = append(out, "The soffit falls "+slopeText(f)+" "+toward(f)+": distances are level, in plan; sizes of sheets and parts are real, in the slope.")
	}
	if fixed := sh.fixed(); len(fixed) > 0 {
		out = append(out, "Fixed by the job, not to be moved: "+strings.Join(fixed, ", ")+".")
	}
	return append(out, "Do not scale from this copy. Cautions: last sheet.")
}

// fixed names the parts that the job keeps where they are, of those on the sheet.
func (sh *sheet) fixed() []string {
	var out []string
	for _, k := range sh.pour.Site.Keep {
		id, ok := k.In(&sh.pour.Deck)
		if ok && sh.view.sees(k.At) && (k.As == "joist" || k.As == "sheet") == sh.shows.joists {
			out = append(out, fmt.Sprintf("%s %s (pin %d)", k.As, id, k.Pin))
		}
	}
	return out
}

func (sh *sheet) startWords() string {
	if len(sh.so.x)+len(sh.so.y) == 0 {
		return "corner 0, the slab's lower left corner"
	}
	return "the gridline written at the tag of the line"
}

// edge draws a closed outline cut at the window.
func (sh *sheet) outline(pen draw.Pen, ring []draw.Point) {
	sh.page.Lines(pen, clipAll(draw.Sides(ring), sh.view.window.Grow(0.01)))
}

func (sh *sheet) zones() {
	sh.page.Layer = "slab"
	for i, z := range sh.pour.Site.Zones {
		for _, s := range z.Shapes {
			ring := sh.view.ring(s.Outer)
			if i > 0 && z.Thickness != sh.pour.Site.Zones[0].Thickness {
				if cut := draw.ClipRing(ring, sh.view.window); len(cut) > 2 {
					sh.page.Shape(draw.None, &draw.Tint, cut)
				}
			}
			sh.outline(draw.HiddenPen, ring)
		}
	}
}

// edges draws the border of the slab, the working strip, edge forms and guard posts.
func (sh *sheet) edges() {
	sh.page.Layer = "edges"
	for _, s := range sh.pour.Site.Strip {
		for _, r := range append([]deck.Ring{s.Outer}, s.Holes...) {
			ring := sh.view.ring(r)
			sh.outline(draw.StripPen, ring)
			sh.block(ring, 0.1, true)
		}
	}
	for _, e := range sh.pour.Site.Edges {
		if s, ok := sh.view.segment(e.From, e.To); ok {
			sh.page.Line(draw.Medium, s.A, s.B)
			sh.place.BlockLine(s, 0.3, false)
		}
	}
	for _, j := range sh.pour.Site.Joints {
		if s, ok := sh.view.segment(j.From, j.To); ok {
			sh.page.Line(draw.JointPen, s.A, s.B)
			sh.place.BlockLine(s, 0.3, false)
		}
	}
	for _, b := range sh.pour.Deck.Borders {
		if s, ok := sh.view.segment(b.From, b.To); ok {
			sh.page.Line(draw.BorderPen, s.A, s.B)
			sh.place.BlockLine(s, 0.3, false)
		}
	}
	for _, e := range sh.pour.Deck.EdgeForms {
		if s, ok := sh.view.segment(e.From, e.To); ok {
			sh.page.Line(draw.EdgeForm, s.A, s.B)
			sh.place.BlockLine(s, 0.3, false)
		}
	}
	for _, g := range sh.pour.Deck.Guards {
		if sh.view.sees(g.At) {
			at := sh.view.at(g.At)
			guardSymbol(sh.page, at)
			sh.place.Block(draw.BoxAround(at, 1.8, 1.8))
		}
	}
}

// block takes the sides of a ring within the window.
func (sh *sheet) block(ring []draw.Point, half float64, soft bool) {
	for _, s := range clipAll(draw.Sides(ring), sh.view.window.Grow(1)) {
		sh.place.BlockLine(s, half, soft)
	}
}

func (sh *sheet) openings() {
	sh.page.Layer = "openings"
	for _, o := range sh.pour.Site.Openings {
		ring := sh.view.ring(o)
		sh.outline(draw.Medium, ring)
		sh.block(ring, 0.2, false)
		n := len(ring)
		for i := range n / 2 { // corner to the corner across
			if s, ok := (draw.Segment{A: ring[i], B: ring[i+n/2]}).Clip(sh.view.window); ok && n <= 8 {
				sh.page.Line(draw.Thin, s.A, s.B)
				sh.place.BlockLine(s, 0.1, true)
			}
		}
		if n > 8 { // too many corners for crossing lines
			sh.page.Lines(draw.Hairline, clipAll(draw.Hatch(30, 3, ring), sh.view.window))
		}
	}
}

// keptClear draws the places that the job keeps clear of props.
func (sh *sheet) keptClear() {
	sh.page.Layer = "kept clear"
	for _, c := range sh.pour.Site.Clear {
		ring := sh.view.ring(c)
		clearArea(sh.page, ring, sh.view.window)
		sh.block(ring, 0.1, true)
	}
}

func (sh *sheet) blocks() {
	sh.page.Layer = "columns and walls"
	for _, b := range sh.pour.Site.Blocks {
		ring := sh.view.ring(b.Ring)
		switch b.Kind {
		case "column":
			columnFill(sh.page, ring, sh.view.window)
		case "wall":
			wallFill(sh.page, ring, sh.view.window)
		default:
			sh.outline(draw.HiddenPen, ring)
			sh.block(ring, 0.1, true)
			continue
		}
		sh.block(ring, 0.3, false)
		if box := draw.BoxOf(ring); sh.view.window.Overlaps(box) && math.Min(box.W(), box.H()) < 30 && b.Kind == "column" {
			sh.place.Block(box)
		}
	}
}

func (sh *sheet) sheets() {
	sh.page.Layer = "sheets"
	for _, s := range sh.pour.Deck.Sheets {
		ring := sh.view.ring(s.Shape.Outer)
		if !sh.view.window.Overlaps(draw.BoxOf(ring)) {
			continue
		}
		sh.outline(draw.SheetEdge, ring)
		sh.block(ring, 0.05, true)
		for _, h := range s.Shape.Holes {
			sh.outline(draw.SheetEdge, sh.view.ring(h))
		}
		if s.Cut && sh.view.whole(ring) {
			cutMark(sh.page, ring, draw.BoxOf(ring))
		}
	}
}

// cutMark strokes off the first corner of a cut sheet.
func cutMark(p *draw.Page, ring []draw.Point, b draw.Box) {
	if len(ring) < 3 {
		return
	}
	k := math.Min(2.5, 0.45*math.Min(b.W(), b.H()))
	c, before, after := ring[0], ring[len(ring)-1], ring[1]
	p.Line(draw.Thin, c.Add(before.Sub(c).Unit().Times(k)), c.Add(after.Sub(c).Unit().Times(k)))
}

func (sh *sheet) joists() {
	sh.page.Layer = "joists"
	for _, j := range sh.pour.Deck.Joists {
		if s, ok := sh.view.segment(j.From, j.To); ok {
			sh.page.Line(draw.JoistPen, s.A, s.B)
			sh.place.BlockLine(s, 0.1, true)
		}
	}
}

// width of a part on paper.
func (sh *sheet) width(part string) float64 {
	if p := sh.set.doc.Parts[part]; p != nil && p.Width.Known {
		return float64(p.Width.V) * 1000 / sh.view.den
	}
	return 0
}

// stringers are drawn at their true width where that is wide enough to see.
func (sh *sheet) stringers() {
	sh.page.Layer = "stringers"
	for _, m := range sh.pour.Deck.Stringers {
		s, ok := sh.view.segment(m.From, m.To)
		if !ok {
			continue
		}
		w := sh.width(m.Part)
		if w < 0.8 {
			pen := draw.StringPen
			pen.Width = 0.6
			sh.page.Line(pen, s.A, s.B)
		} else {
			sh.page.Shape(draw.StringPen, nil, bar(s, w))
		}
		if sh.shows.props {
			sh.place.BlockLine(s, math.Max(w/2, 0.3)+0.15, false)
		} else {
			sh.place.BlockLine(s, math.Max(w/2, 0.3), true)
		}
	}
}

// bar is the rectangle of width w about a segment.
func bar(s draw.Segment, w float64) []draw.Point {
	n := s.B.Sub(s.A).Unit().Left().Times(w / 2)
	return []draw.Point{s.A.Add(n), s.B.Add(n), s.B.Sub(n), s.A.Sub(n)}
}

// sideways draws what holds the deck sideways.
func (sh *sheet) sideways() {
	sh.page.Layer = "ties and braces"
	for _, t := range sh.pour.Deck.Ties {
		if sh.view.sees(t.At) {
			at := sh.view.at(t.At)
			dir := sh.toBlock(t, at)
			chevrons(sh.page, draw.Medium, at, dir)
			sh.place.Block(chevronBox(at, dir))
		}
	}
	for _, b := range sh.pour.Deck.Braces {
		if s, ok := sh.view.segment(b.Foot, b.At); ok {
			sh.page.Line(draw.Thin, s.A, s.B)
			sh.place.BlockLine(s, 0.2, false)
			mid := s.A.Add(s.B.Sub(s.A).Times(0.5))
			dir := s.B.Sub(s.A)
			chevrons(sh.page, draw.Medium, mid, dir)
			sh.place.Block(chevronBox(mid, dir))
		}
	}
}

// toBlock is the direction from a tie to the column or wall that takes it.
func (sh *sheet) toBlock(t deck.Tie, at draw.Point) draw.Point {
	for _, b := range sh.pour.Site.Blocks {
		if b.Name == t.Block {
			if d := nearestOn(sh.view.ring(b.Ring), at).Sub(at); d.Len() > 0.05 {
				return d
			}
		}
	}
	if t.Dirs == "y" {
		return draw.Point{Y: 1}
	}
	return draw.Point{X: 1}
}

// nearestOn is the point of a closed ring nearest to p; p itself for no ring.
func nearestOn(ring []draw.Point, p draw.Point) draw.Point {
	best, out := math.Inf(1), p
	for _, s := range draw.Sides(ring) {
		d := s.B.Sub(s.A)
		t := 0.0
		if l := d.X*d.X + d.Y*d.Y; l > 0 {
			t = math.Max(0, math.Min(1, ((p.X-s.A.X)*d.X+(p.Y-s.A.Y)*d.Y)/l))
		}
		if q := s.A.Add(d.Times(t)); q.Sub(p).Len() < best {
			best, out = q.Sub(p).Len(), q
		}
	}
	return out
}

func (sh *sheet) props() {
	sh.page.Layer = "props"
	for _, q := range sh.pour.Deck.Props {
		if sh.view.sees(q.At) {
			at := sh.view.at(q.At)
			propSymbol(sh.page, q.Kind, at)
			sh.place.Block(propBox(q.Kind, at))
		}
	}
}

// care marks, once each, the members that a caution of the audit names.
func (sh *sheet) care() {
	sh.page.Layer = "cautions"
	rings, _ := sh.memberRings()
	done := map[string]bool{}
	for _, f := range sh.pour.Audit.Findings {
		ring := rings[f.Member]
		if f.Fails || ring == nil || done[f.Member] {
			continue
		}
		done[f.Member] = true
		if at := sh.clearOfProps(ring); sh.view.window.Has(at) {
			careSymbol(sh.page, at)
			sh.place.Block(draw.BoxAround(at, 2.3, 2.3))
			sh.cares++
		}
	}
	for _, g := range sh.pour.Site.Gaps {
		if at := sh.view.at(deck.Point{(g.From[0] + g.To[0]) / 2, (g.From[1] + g.To[1]) / 2}); sh.view.window.Has(at) {
			careSymbol(sh.page, at)
			sh.place.Block(draw.BoxAround(at, 2.3, 2.3))
			sh.cares++
		}
	}
}

// clearOfProps is a place on a member near its middle where no prop's symbol is.
func (sh *sheet) clearOfProps(ring []draw.Point) draw.Point {
	middle := draw.BoxOf(ring).Centre()
	if len(ring) != 4 || !sh.shows.props {
		return middle
	}
	a, b := ring[0].Add(ring[3]).Times(0.5), ring[1].Add(ring[2]).Times(0.5)
	for _, share := range []float64{0.5, 0.47, 0.53, 0.44, 0.56, 0.4, 0.6, 0.35, 0.65, 0.3, 0.7} {
		at := a.Add(b.Sub(a).Times(share))
		free := true
		for _, q := range sh.pour.Deck.Props {
			free = free && !propBox(q.Kind, sh.view.at(q.At)).Overlaps(draw.BoxAround(at, 2.4, 2.4))
		}
		if free {
			return at
		}
	}
	return middle
}

// failed flags members that fail where they stand.
func (sh *sheet) failed() {
	if len(sh.bad) == 0 {
		return
	}
	sh.page.Layer = "fails"
	rings, other := sh.memberRings()
	size := sh.scale.format.label
	for i, b := range sh.bad {
		ring := rings[b.member]
		if ring == nil && other[b.member] {
			continue // drawn on the other plan
		}
		if ring == nil && b.at != nil {
			ring = draw.BoxAround(sh.view.at(*b.at), 4, 4).Ring()
		}
		if ring == nil || !sh.view.window.Overlaps(draw.BoxOf(ring).Grow(0.1)) {
			continue
		}
		failArea(sh.page, ring, sh.view.window.Grow(2))
		c := draw.BoxOf(ring).Centre()
		text := fmt.Sprintf("F%d", i+1)
		if b.ratio > 0 && b.ratio < 999 {
			text += ": " + say.Ratio(b.ratio)
		}
		if !sh.label([]words{{text, size, true}}, c, draw.Brick, 0, 2.5, 5, 9, 14, 20) {
			sh.unplaced++
		}
	}
}

// memberRings outlines every part that this sheet is about by its id; other
// holds the ids of parts that the pour's other plan is about.
func (sh *sheet) memberRings() (out map[string][]draw.Point, other map[string]bool) {
	out, other = map[string][]draw.Point{}, map[string]bool{}
	d := &sh.pour.Deck
	add := func(mine bool, id string, ring []draw.Point) {
		if mine {
			out[id] = ring
		} else {
			other[id] = true
		}
	}
	for _, s := range d.Sheets {
		add(sh.shows.joists, s.ID, sh.view.ring(s.Shape.Outer))
	}
	thick := func(mine bool, id string, a, b deck.Point, w float64) {
		add(mine, id, bar(draw.Segment{A: sh.view.at(a), B: sh.view.at(b)}, w))
	}
	for _, j := range d.Joists {
		thick(sh.shows.joists, j.ID, j.From, j.To, 1.4)
	}
	for _, m := range d.Stringers {
		thick(sh.shows.props, m.ID, m.From, m.To, math.Max(sh.width(m.Part), 1.2)+0.8)
	}
	for _, e := range d.EdgeForms {
		thick(true, e.ID, e.From, e.To, 1.6)
	}
	for _, b := range d.Braces {
		thick(sh.shows.props, b.ID, b.At, b.Foot, 1.6)
	}
	for _, q := range d.Props {
		add(sh.shows.props, q.ID, diamond(sh.view.at(q.At), 2.4))
	}
	for _, g := range d.Guards {
		add(true, g.ID, diamond(sh.view.at(g.At), 2))
	}
	for _, t := range d.Ties {
		add(sh.shows.props, t.ID, diamond(sh.view.at(t.At), 2.4))
	}
	return out, other
}

// matchLines marks where a plan goes on on another sheet.
func (sh *sheet) matchLines(t tile, nx, ny int) {
	sh.page.Layer = "frame"
	w := sh.view.window
	mark := func(a, b draw.Point, i, j int) {
		pen := draw.Heavy
		pen.Dash = []float64{8, 2, 2, 2}
		sh.page.Line(pen, a, b)
		sh.place.BlockLine(draw.Segment{A: a, B: b}, 0.5, false)
		n := tile{i: i, j: j}.name(nx, ny)
		mid := a.Add(b.Sub(a).Times(0.5))
		out := mid.Sub(w.Centre()).Unit().Times(7)
		sh.label([]words{{"goes on: " + n, sh.scale.format.label, true}}, mid.Add(out), draw.Ink, 0, 2, 4, 8)
	}
	if t.i > 0 {
		mark(w.Min, draw.Point{X: w.Min.X, Y: w.Max.Y}, t.i-1, t.j)
	}
	if t.i < nx-1 {
		mark(draw.Point{X: w.Max.X, Y: w.Min.Y}, w.Max, t.i+1, t.j)
	}
	if t.j > 0 {
		mark(w.Min, draw.Point{X: w.Max.X, Y: w.Min.Y}, t.i, t.j-1)
	}
	if t.j < ny-1 {
		mark(draw.Point{X: w.Min.X, Y: w.Max.Y}, w.Max, t.i, t.j+1)
	}
}

// keyPlan shows which part of the pour the sheet is, when there are several.
func (sh *sheet) keyPlan(c *column, t tile, nx, ny int) {
	if nx*ny == 1 {
		return
	}
	b := extent(sh.pour)
	h := math.Min(40, c.width()*b.H()/b.W())
	if !c.room(h + 8) {
		return
	}
	c.heading("Key plan")
	k := h / b.H()
	at := draw.Point{X: c.left(), Y: c.y - h}
	to := func(x, y float64) draw.Point { return at.Add(draw.Point{X: (x - b.Min.X) * k, Y: (y - b.Min.Y) * k}) }
	for _, o := range tiles(b, nx, ny) {
		box := draw.Box{Min: to(o.box.Min.X, o.box.Min.Y), Max: to(o.box.Max.X, o.box.Max.Y)}
		if o.i == t.i && o.j == t.j {
			sh.page.Lines(draw.Thin, draw.Hatch(45, 1.2, box.Ring()))
		}
		sh.page.Shape(draw.Hairline, nil, box.Ring())
	}
	for _, e := range sh.pour.Site.Edges {
		sh.page.Line(draw.Medium, to(e.From[0], e.From[1]), to(e.To[0], e.To[1]))
	}
	c.y -= h
	c.rule()
}

// thickness note of a zone, for labels.
func zoneText(sh *sheet, name string) string {
	for _, z := range sh.pour.Site.Zones {
		if z.Name == name {
			text := say.LenUnit(z.Thickness, sh.style) + ", " + soffitText(&sh.pour.Site, z, sh.style)
			if z.Name != sh.pour.Site.Zones[0].Name {
				text = z.Name + ": " + text
			}
			return text
		}
	}
	return ""
}
