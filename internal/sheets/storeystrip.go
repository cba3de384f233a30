package sheets

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/reshore"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/flow"
	"shoreward/internal/sheets/say"
)

// stripSheets draws how a pour is stripped and reshored: areas in order, where each
// reshore stands, and what must be true before; then the list of reshores.
func (s *set) stripSheets(st *storeys, i int) {
	k := st.stepOf(i, reshore.Strip)
	if k < 0 {
		return
	}
	sl := &st.slabs[i]
	p := sl.plan()
	b := extent(p)
	sc, nx, ny := chooseScale(s.style, b.W(), b.H(), reshorePitch(sl.Layout.Reshores))
	for _, t := range tiles(b, nx, ny) {
		sh := &sheet{set: s, pour: p, style: s.style, title: "Strip and reshore", scale: sc, so: newSettingOut(s.doc, p)}
		sh.view = fit(sc, t.box)
		if n := t.name(nx, ny); n != "" {
			sh.title += ", " + n
		}
		sh.page = s.page(sc.format, sl.Name+": "+sh.title)
		sh.place = draw.NewPlacer(sc.format.drawing().Grow(-0.5))
		sh.clipGrid()
		sh.stripAreas(sl)
		sh.gridlines()
		sh.edges()
		sh.openings()
		sh.blocks()
		sh.reshores(sl)
		sh.matchLines(t, nx, ny)
		sh.dimensions()
		sh.page.Layer = "labels"
		sh.areaNumbers(sl)
		sh.ordinates(sl)
		sh.reshoreNames(sl)
		sh.page.Layer = "frame"
		sh.stripColumn(st, i, k, t, nx, ny)
	}
	s.reshoreList(st, i)
}

// plan is the pour without its deck: its forms are what goes.
func (sl *storeySlab) plan() *deck.Pour {
	p := &deck.Pour{Name: sl.Name, Level: sl.Level}
	if sl.deck != nil {
		p.Site = sl.deck.Site
		p.Site.Strip = nil
		return p
	}
	p.Site = deck.Site{Slab: sl.Slab, BaseZ: sl.base, TopZ: sl.top, Zones: []deck.Zone{{Shapes: sl.Slab, Thickness: sl.Thickness, Soffit: sl.top - sl.Thickness}}}
	for _, sh := range sl.Slab {
		for _, r := range sh.Rings() {
			for n, q := range r {
				p.Site.Edges = append(p.Site.Edges, deck.Edge{From: q, To: r[(n+1)%len(r)], Kind: deck.Free})
			}
		}
	}
	for _, b := range sl.Supports {
		p.Site.Blocks = append(p.Site.Blocks, deck.Block{Kind: b.Kind, Name: b.Name, Ring: b.Ring})
	}
	return p
}

// reshorePitch is the least distance between two reshores, mm; infinite for fewer.
func reshorePitch(rs []reshore.Reshore) float64 {
	least := math.Inf(1)
	for i, a := range rs {
		for _, b := range rs[:i] {
			if d := math.Hypot(a.At[0]-b.At[0], a.At[1]-b.At[1]); d > 1 {
				least = math.Min(least, d)
			}
		}
	}
	return least
}

// inOrder are the strip areas by number.
func inOrder(sl *storeySlab) []reshore.StripArea {
	out := slices.Clone(sl.Sequence)
	sort.SliceStable(out, func(a, b int) bool { return out[a].Number < out[b].Number })
	return out
}

// stripAreas outlines the areas that go at once, every other one lightly hatched.
func (sh *sheet) stripAreas(sl *storeySlab) {
	sh.page.Layer = "strip areas"
	w := sh.view.window
	done := map[[4]int]bool{}
	for _, a := range inOrder(sl) {
		for _, shape := range a.Shapes {
			var rings [][]draw.Point
			for _, r := range shape.Rings() {
				rings = append(rings, sh.view.ring(r))
			}
			if a.Number%2 == 0 {
				sh.page.Lines(draw.Hairline, clipAll(draw.Hatch(45, 3.2, rings...), w))
			}
			for _, r := range rings {
				for _, side := range clipAll(draw.Sides(r), w.Grow(0.01)) {
					if key := sideKey(side); !done[key] { // the dashes of two areas would fill each other's gaps
						done[key] = true
						sh.page.Line(stripAreaPen, side.A, side.B)
					}
				}
				sh.block(r, 0.15, true)
			}
		}
	}
}

// sideKey is the same for a side and for its reverse, to 0.1 mm on paper.
func sideKey(s draw.Segment) [4]int {
	if s.A.X > s.B.X || s.A.X == s.B.X && s.A.Y > s.B.Y {
		s.A, s.B = s.B, s.A
	}
	r := func(v float64) int { return int(math.Round(10 * v)) }
	return [4]int{r(s.A.X), r(s.A.Y), r(s.B.X), r(s.B.Y)}
}

var stripAreaPen = draw.Pen{Width: 0.35, Color: draw.Ink, Dash: []float64{2.4, 1.2}}

// areaNumbers writes the number of each area in a heavy ring inside it, with its size
// where there is room. A number that fits nowhere in its area is not written beside it:
// there it would name another.
func (sh *sheet) areaNumbers(sl *storeySlab) {
	for _, a := range inOrder(sl) {
		for n, shape := range a.Shapes {
			r, at, ok := sh.roomIn(shape)
			if !ok {
				if sh.view.window.Overlaps(draw.BoxOf(sh.view.ring(shape.Outer))) {
					sh.unplaced++
				}
				continue
			}
			sh.page.Disc(draw.Pen{Width: 0.16 * r, Color: draw.Ink}, &draw.Paper, at, r)
			text := fmt.Sprint(a.Number)
			size := 1.17 * r
			for draw.Width(text, size, true) > 2*r-0.4*r {
				size -= 0.1
			}
			sh.page.Write(draw.Text{At: draw.Point{X: at.X, Y: at.Y - 0.36*size}, Size: size, Bold: true, Align: draw.Middle, Color: draw.Ink, Label: true, Str: text})
			note := ""
			if n == 0 {
				note = say.Area(a.Area, sh.style)
			}
			if a.Tip {
				note = strings.TrimPrefix(note+", from the tip", ", ")
			}
			if note != "" && n == 0 {
				sh.beside(shape, note, 2.2, at, r+0.6)
			}
		}
	}
}

// roomIn finds the free place for a ring in a shape that is nearest to its middle, the
// largest ring first.
func (sh *sheet) roomIn(shape plane.Shape) (r float64, at draw.Point, ok bool) {
	const across = 12
	b := shapesBox([]plane.Shape{shape})
	mid := inside(shape)
	places := []deck.Point{mid}
	for i := range across {
		for j := range across {
			places = append(places, deck.Point{b.Min.X + (float64(i)+0.5)/across*b.W(), b.Min.Y + (float64(j)+0.5)/across*b.H()})
		}
	}
	sort.SliceStable(places, func(i, j int) bool {
		return math.Hypot(places[i][0]-mid[0], places[i][1]-mid[1]) < math.Hypot(places[j][0]-mid[0], places[j][1]-mid[1])
	})
	for _, r := range []float64{3.6, 2.5, 1.7} {
		var boxes []draw.Box
		for _, p := range places {
			if c := sh.view.at(p); sh.view.window.Has(c) && sh.within(shape, draw.BoxAround(c, 2*r, 2*r)) {
				boxes = append(boxes, draw.BoxAround(c, 2*r, 2*r))
			}
		}
		if k := sh.place.Place(boxes); k >= 0 {
			return r, boxes[k].Centre(), true
		}
	}
	return 0, draw.Point{}, false
}

// within reports whether a box on paper has its corners and sides' middles in a shape.
func (sh *sheet) within(shape plane.Shape, b draw.Box) bool {
	c := b.Centre()
	for _, p := range append(b.Ring(), draw.Point{X: b.Min.X, Y: c.Y}, draw.Point{X: b.Max.X, Y: c.Y}, draw.Point{X: c.X, Y: b.Min.Y}, draw.Point{X: c.X, Y: b.Max.Y}) {
		v := sh.view
		if !shape.Contains(deck.Point{v.from.X + (p.X-v.window.Min.X)*v.den, v.from.Y + (p.Y-v.window.Min.Y)*v.den}) {
			return false
		}
	}
	return true
}

// beside writes a note at the right, left, under or over of a place, the first that is
// free and in the shape.
func (sh *sheet) beside(shape plane.Shape, note string, size float64, at draw.Point, gap float64) {
	w, h := draw.Width(note, size, false)+0.6, size
	boxes := []draw.Box{}
	for _, c := range []draw.Point{{X: gap + w/2}, {X: -gap - w/2}, {Y: -gap - h/2}, {Y: gap + h/2}} {
		if b := draw.BoxAround(at.Add(c), w, h); sh.within(shape, b) {
			boxes = append(boxes, b)
		}
	}
	k := sh.place.Place(boxes)
	if k < 0 {
		return
	}
	sh.page.Shape(draw.None, &draw.Paper, boxes[k].Ring())
	c := boxes[k].Centre()
	sh.page.Write(draw.Text{At: draw.Point{X: c.X, Y: c.Y - 0.33*size}, Size: size, Align: draw.Middle, Color: draw.Ink, Label: true, Str: note})
}

// inside is a place well within a shape: the middle of its widest stretch along x.
func inside(s plane.Shape) deck.Point {
	b := shapesBox([]plane.Shape{s})
	best, at := -1.0, deck.Point{b.Centre().X, b.Centre().Y}
	for _, share := range []float64{0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8} {
		y := b.Min.Y + share*b.H()
		for _, span := range plane.Scan([]plane.Shape{s}, y) {
			if span.Len() > best*1.05 {
				best, at = span.Len(), deck.Point{(span.A + span.B) / 2, y}
			}
		}
	}
	return at
}

func (sh *sheet) reshores(sl *storeySlab) {
	sh.page.Layer = "reshores"
	for _, r := range sl.Layout.Reshores {
		if !sh.view.sees(r.At) {
			continue
		}
		at := sh.view.at(r.At)
		reshoreSymbol(sh.page, at, 1.1)
		if reshoreFails(r) {
			sh.page.Shape(draw.FailPen, nil, draw.BoxAround(at, 4, 4).Ring())
			sh.page.Flag(at.Add(draw.Point{X: 2, Y: 2}))
			sh.place.Block(draw.BoxAround(at, 4, 4))
			sh.place.Block(draw.Box{Min: at.Add(draw.Point{X: 1.7, Y: 1.9}), Max: at.Add(draw.Point{X: 5, Y: 6.3})})
		}
		sh.place.Block(draw.BoxAround(at, 2.6, 2.6))
	}
}

// reshoreFails tells whether a reshore must not stand so: it fails, or nothing is
// known of how it is used.
func reshoreFails(r reshore.Reshore) bool {
	return r.Fails != "" || reshoreRatio(r).band().Fails()
}

// reshoreRatio is not known where a reshore carries something and no ratio was found.
func reshoreRatio(r reshore.Reshore) figure {
	return figure{math.Max(r.Ratio, r.Punch), r.Ratio > 0 || r.Load <= 0 && r.Rating > 0}
}

func (sh *sheet) reshoreNames(sl *storeySlab) {
	for _, r := range sl.Layout.Reshores {
		if !sh.view.sees(r.At) {
			continue
		}
		color := draw.Ink
		if reshoreFails(r) {
			color = draw.Brick
		}
		if !sh.label([]words{{r.ID, sh.scale.format.label, true}}, sh.view.at(r.At), color, 1.4, 2.4, 4) {
			sh.unplaced++
		}
	}
}

// ordinates writes, over and at the right of the plan, how far every row of reshores
// is from the nearest gridline.
func (sh *sheet) ordinates(sl *storeySlab) {
	w := sh.view.window
	size := sh.scale.format.note
	row := func(axis int, at func(v float64) draw.Point, out draw.Point, angle float64) {
		seen := map[int]bool{}
		var vs []float64
		for _, r := range sl.Layout.Reshores {
			if k := int(math.Round(r.At[axis])); sh.view.sees(r.At) && !seen[k] {
				seen[k] = true
				vs = append(vs, r.At[axis])
			}
		}
		sort.Float64s(vs)
		for _, v := range vs {
			d := sh.so.alongX(v)
			if axis == 1 {
				d = sh.so.alongY(v)
			}
			from := at(v)
			sh.page.Line(draw.Hairline, from, from.Add(out.Times(1.6)))
			t := draw.Text{Size: size, Angle: angle, Color: draw.Ink, Label: true, Str: offset(v, d, sh.set)}
			side := draw.Point{X: 0.36 * size}
			if axis == 1 {
				side = draw.Point{Y: -0.36 * size}
			}
			var boxes []draw.Box
			var texts []draw.Text
			for _, shift := range []float64{0, 0.75, -0.75} { // off a gridline
				t.At = from.Add(out.Times(2.2)).Add(side).Add(out.Left().Times(shift * size))
				boxes, texts = append(boxes, t.Box()), append(texts, t)
			}
			k := sh.place.Place(boxes)
			if k < 0 {
				sh.unplaced++
				continue
			}
			sh.page.Write(texts[k])
		}
	}
	row(0, func(v float64) draw.Point { return draw.Point{X: sh.view.at(deck.Point{v, 0}).X, Y: w.Max.Y} }, draw.Point{Y: 1}, 90)
	row(1, func(v float64) draw.Point { return draw.Point{X: w.Max.X, Y: sh.view.at(deck.Point{0, v}).Y} }, draw.Point{X: 1}, 0)
}

// stripColumn says when, after what, in which order, and what it does to the levels.
func (sh *sheet) stripColumn(st *storeys, i, k int, t tile, nx, ny int) {
	sl := &st.slabs[i]
	c := newColumn(sh.page, sh.scale.format)
	sh.foot(c)
	c.text(sh.set.doc.Job.Name, c.size*1.7, true, draw.Ink)
	c.text(sh.title, c.size*1.35, true, draw.Ink)
	c.y -= 1
	c.entry("pour", sl.Name+", level "+sl.Level)
	c.entry("step", fmt.Sprintf("%d of %d, %s", k+1, len(st.steps), st.when(st.steps[k].At)))
	c.entry("scale", sh.scale.text+" on "+sh.scale.format.name)
	c.entry("lengths", unitWords(sh.set.doc))
	if sl.not != "" {
		c.panel("DO NOT STRIKE AS PLANNED", "see below, and the release sheet", true)
		c.text(say.Signs(sl.not), c.size, true, draw.Brick)
	} else {
		c.panel("STRIKE AT "+sl.needs().needed(sh.style), "or more, shown by tests, and not before "+st.time(sl.earliest()), false)
	}
	c.rule()
	c.heading("Before the first prop is touched")
	for n, line := range st.before(i, k) {
		c.text(fmt.Sprintf("%d. %s", n+1, line), c.size, false, draw.Ink)
	}
	c.rule()
	c.heading("Order")
	for _, line := range append(orderWords(sl, sh.style), st.laterWords(i)...) {
		c.text("– "+line, c.size, false, draw.Ink)
	}
	c.rule()
	sh.levelsAt(c, st, i, k)
	c.rule()
	sh.keyPlan(c, t, nx, ny)
	c.legend(stripLegend(sl))
	c.rule()
	var notes []string
	if len(sl.Layout.Reshores) > 0 {
		notes = append(notes, "Reshores are dimensioned over and beside the plan from the nearest gridline, to their middle; the list follows.")
	}
	if sh.unplaced > 0 {
		notes = append(notes, fmt.Sprintf("%d names or distances have no room at this scale: see the list.", sh.unplaced))
	}
	notes = append(notes, sl.Layout.Notes...)
	for _, n := range notes {
		c.text("– "+say.Signs(n), c.size, false, draw.Ink)
	}
}

// before lists what must be true before a pour is struck.
func (st *storeys) before(i, k int) []string {
	sl := &st.slabs[i]
	out := []string{"The release sheet of this pour is filled in and signed by the responsible engineer.",
		"Tests of the concrete as it cured in place show " + sl.needs().needed(st.of.Style) + " or more."}
	if e := sl.earliest(); e.known {
		out = append(out, "It is "+st.when(e.v)+" or later ("+lasting(e.v-sl.Placed)+" after placing).")
	} else {
		out = append(out, "A time is found: by this plan there is none.")
	}
	if k > 0 {
		out = append(out, fmt.Sprintf("Steps 1 to %d are done, the last: %s.", k, st.steps[k-1].Name))
	}
	if n := len(sl.Layout.Reshores); n > 0 {
		out = append(out, fmt.Sprintf("%s on %s, set to length, their places marked on the floor.", amount(n, "reshore lies ready", "reshores lie ready"), floorName(sl)))
	} else if sl.Reshores.Count > 0 || st.has(i, reshore.PutReshores) {
		out = append(out, "Places of the reshores are found: by this plan there are none.")
	}
	return out
}

func floorName(sl *storeySlab) string {
	if sl.Layout.Slab == "" {
		return "the floor below"
	}
	return sl.Layout.Slab
}

// orderWords says in which order the areas go.
func orderWords(sl *storeySlab, style quantity.Style) []string {
	if len(sl.Sequence) == 0 {
		return []string{"No order of areas is found. Ask the engineer before the first prop is touched."}
	}
	most := 0.0
	for _, a := range sl.Sequence {
		most = math.Max(most, a.Area)
	}
	out := []string{"Areas in the order of their numbers: from midspan toward the supports, a cantilever from its tip.",
		"Never more open at once than one area, here at most " + say.Area(most, style) + "."}
	if len(sl.Layout.Reshores) == 0 {
		return out
	}
	return append(out, "Strip one area, put back its reshores snug, and only then begin the next.",
		"Reshores are snug by hand, not jacked: they must not lift the slab.")
}

// laterWords says when the reshores under a pour go again.
func (st *storeys) laterWords(i int) []string {
	k := st.stepOf(i, reshore.RemoveReshores)
	if k < 0 {
		return nil
	}
	return []string{fmt.Sprintf("The reshores stay until step %d, %s, and until the engineer releases them.", k+1, st.when(st.steps[k].At))}
}

// levelsAt draws the levels over and under the pour as they stand after the step.
func (sh *sheet) levelsAt(c *column, st *storeys, i, k int) {
	c.heading("Levels after this step, and their ratios")
	for _, j := range st.stackOf(i, k) {
		if !c.room(5) {
			return
		}
		then := st.steps[k].slabs[j]
		y := c.y - 4
		name := st.slabs[j].Name
		if j == i {
			name = "→ " + name
		}
		c.page.Write(draw.Text{At: draw.Point{X: c.left(), Y: y + 0.9}, Size: c.size, Bold: j == i, Color: draw.Ink, Str: draw.Fit(name, c.width()*0.3, c.size, j == i)})
		slab := draw.Box{Min: draw.Point{X: c.left() + c.width()*0.32, Y: y}, Max: draw.Point{X: c.left() + c.width()*0.32 + 17, Y: y + 3.4}}
		if then.fresh {
			c.page.Fill(draw.Wet, slab.Ring())
		} else {
			ratioTag(c.page, slab, then.ratio, "", 2.3)
		}
		x := slab.Max.X + 4
		if then.under != "" {
			propKindSymbol(c.page, then.under, draw.Point{X: x, Y: y + 1.7})
			ratioTag(c.page, draw.Box{Min: draw.Point{X: x + 3, Y: y}, Max: draw.Point{X: x + 17, Y: y + 3.4}}, then.propsBy, "", 2.3)
		} else {
			c.page.Write(draw.Text{At: draw.Point{X: x - 1, Y: y + 0.9}, Size: c.size, Color: draw.Grey, Str: "nothing under it"})
		}
		c.y -= 5.2
	}
}

// stackOf are the pours that share a place with one, from the top down, that are
// held by props, hold props, or lost them in the step.
func (st *storeys) stackOf(i, k int) []int {
	with := map[int]bool{i: true}
	for _, spot := range st.of.Places {
		if !slices.Contains(spot.Pours, st.slabs[i].Name) {
			continue
		}
		for j := range st.slabs {
			with[j] = with[j] || slices.Contains(spot.Pours, st.slabs[j].Name)
		}
	}
	keep := map[int]bool{i: true}
	for j := range st.slabs {
		then := st.steps[k].slabs[j]
		if with[j] && then.placed && (then.under != "" || j == i) {
			keep[j] = true
			for _, on := range st.slabs[j].on {
				keep[on] = keep[on] || with[on]
			}
		}
	}
	var out []int
	for j := range st.slabs {
		if keep[j] && st.steps[k].slabs[j].placed {
			out = append(out, j)
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return st.slabs[out[a]].top > st.slabs[out[b]].top })
	return out
}

func stripLegend(sl *storeySlab) []legendRow {
	rows := []legendRow{{func(p *draw.Page, at draw.Point) {
		p.Disc(draw.Heavy, &draw.Paper, at, 1.9)
		p.Write(draw.Text{At: draw.Point{X: at.X, Y: at.Y - 0.9}, Size: 2.4, Bold: true, Align: draw.Middle, Color: draw.Ink, Str: "2"})
	}, "area that goes second; its size beside it"},
		{func(p *draw.Page, at draw.Point) {
			p.Line(stripAreaPen, at.Add(draw.Point{X: -4.5}), at.Add(draw.Point{X: 4.5}))
		}, "edge of an area"}}
	if len(sl.Layout.Reshores) > 0 {
		rows = append(rows, legendRow{func(p *draw.Page, at draw.Point) { reshoreSymbol(p, at, 1.1) }, fmt.Sprintf("reshore, with its name (%d)", len(sl.Layout.Reshores))})
	}
	if slices.ContainsFunc(sl.Layout.Reshores, reshoreFails) {
		rows = append(rows, legendRow{func(p *draw.Page, at draw.Point) {
			reshoreSymbol(p, at, 1.1)
			p.Shape(draw.FailPen, nil, draw.BoxAround(at, 3.6, 3.6).Ring())
		}, "reshore that does not hold, or of which it is not known"})
	}
	return append(rows, storeyLegend(false)...)
}

// reshoreList lists every reshore of a pour: where, how it is set, what it carries.
func (s *set) reshoreList(st *storeys, i int) {
	sl := &st.slabs[i]
	if len(sl.Layout.Reshores) == 0 {
		return
	}
	so := newSettingOut(s.doc, sl.plan())
	fl := s.lists(sl.Name+": reshores", 1)
	t := flow.Table{Title: "Reshores under " + sl.Name + ", on " + floorName(sl) + ", in the order of the areas", Cols: []flow.Col{
		{Head: "area", Share: 5, Align: draw.Right}, {Head: "reshore", Share: 8}, {Head: "x", Share: 13, Align: draw.Right}, {Head: "y", Share: 13, Align: draw.Right}, {Head: "prop", Share: 16},
		{Head: "extension", Share: 9, Align: draw.Right}, {Head: "pin hole", Share: 6, Align: draw.Right}, {Head: "thread", Share: 7, Align: draw.Right},
		{Head: "carries most", Share: 9, Align: draw.Right}, {Head: "rated", Share: 9, Align: draw.Right}, {Head: "ratio", Share: 8, Align: draw.Right}, {Head: "in line with", Share: 20}, {Head: "fails", Share: 22}}}
	list := slices.Clone(sl.Layout.Reshores)
	sort.SliceStable(list, func(a, b int) bool {
		if list[a].Area != list[b].Area {
			return list[a].Area < list[b].Area
		}
		return idLess(list[a].ID, list[b].ID)
	})
	for _, r := range list {
		hole, thread := "–", "–"
		if r.Hole > 0 {
			hole, thread = fmt.Sprint(r.Hole), say.Len(r.Thread, s.style)
		}
		over := "no prop above"
		if r.Over != "" {
			over = r.Over
			if r.Off >= 0.5 {
				over += ", off by " + say.LenUnit(r.Off, s.style)
			}
		}
		fails := say.Signs(r.Fails)
		if fails == "" && reshoreFails(r) {
			fails = "ratio"
		}
		t.Rows = append(t.Rows, flow.Row{Fails: reshoreFails(r), Cells: []string{fmt.Sprint(r.Area), r.ID, offset(r.At[0], so.alongX(r.At[0]), s), offset(r.At[1], so.alongY(r.At[1]), s),
			say.Part(s.doc, r.Part), say.Len(r.Length, s.style), hole, thread, s.force(r.Load), s.force(r.Rating), reshoreRatio(r).ratio(), over, fails}})
	}
	fl.Table(t)
	fl.Note("Ratio: the worst of the prop's rating and of punching of the slabs at it. Snug by hand, not jacked.")
}

// force writes a force; nought was never found.
func (s *set) force(n float64) string {
	if n <= 0 {
		return "–"
	}
	return say.Value(n, "force", s.style)
}
