package sheets

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/say"
)

// Sizes of the section of a building, mm on paper.
const (
	leastSlab   = 4.2  // a slab is drawn at least so thick, that its ratio can be written on it
	leastStorey = 11.0 // from soffit to floor, for the tag of the props
	propsApart  = 3.6
	levelNames  = 24.0 // at the left
	seenWithin  = 1500.0
)

// buildingCut is the building cut along x at one y.
type buildingCut struct {
	y     float64
	slabs []int // that it meets
	spans map[int]plane.Spans
}

// buildingCuts are lines that together meet every slab that is there, the first
// meeting the most; the worst slab is met by the first.
func (st *storeys) buildingCuts(there []int, first int) []buildingCut {
	left := map[int]bool{}
	for _, i := range there {
		left[i] = true
	}
	var out []buildingCut
	for len(left) > 0 {
		best := buildingCut{}
		count := -1
		for _, y := range st.heights(there) {
			c := st.cutAt(there, y)
			n := 0
			for _, i := range c.slabs {
				if left[i] {
					n++
				}
			}
			if len(out) == 0 && first >= 0 && c.spans[first] == nil {
				continue
			}
			if n > count {
				best, count = c, n
			}
		}
		if count <= 0 {
			return out // outlines without area
		}
		for _, i := range best.slabs {
			delete(left, i)
		}
		out = append(out, best)
	}
	return out
}

// heights are the places across the plan where a cut is tried: near the middle of
// each strip between the corners of the outlines.
func (st *storeys) heights(there []int) []float64 {
	var ys []float64
	for _, i := range there {
		for _, sh := range st.slabs[i].Slab {
			for _, q := range sh.Outer {
				ys = append(ys, q[1])
			}
		}
	}
	sort.Float64s(ys)
	ys = slices.Compact(ys)
	var out []float64
	for k := 1; k < len(ys); k++ {
		if ys[k]-ys[k-1] > 100 {
			out = append(out, ys[k-1]+0.47*(ys[k]-ys[k-1]))
		}
	}
	return out
}

func (st *storeys) cutAt(there []int, y float64) buildingCut {
	c := buildingCut{y: y, spans: map[int]plane.Spans{}}
	for _, i := range there {
		if spans := plane.Scan(st.slabs[i].Slab, y); len(spans) > 0 {
			c.slabs = append(c.slabs, i)
			c.spans[i] = spans
		}
	}
	return c
}

// busy are the slabs worth drawing at a step: all from the highest down to two
// under the lowest at which something stands or fails. The rest carry themselves.
func (st *storeys) busy(k int) (draws, rest []int) {
	var there []int
	for i, s := range st.steps[k].slabs {
		if s.placed {
			there = append(there, i)
		}
	}
	sort.SliceStable(there, func(a, b int) bool { return st.slabs[there[a]].top > st.slabs[there[b]].top })
	last := -1
	for n, i := range there {
		s := st.steps[k].slabs[i]
		if s.under != "" || s.ratio.band().Fails() {
			last = n
		}
	}
	low := math.Inf(1)
	if last >= 0 {
		low = st.slabs[there[last]].base
	}
	more := 0
	for _, i := range there {
		switch top := st.slabs[i].top; {
		case top >= low-1 || math.IsInf(low, 1) && more < 3:
			draws = append(draws, i)
			if math.IsInf(low, 1) {
				more++
			}
		case len(rest) == 0 && more < 1+st.levelMates(i, there):
			draws = append(draws, i)
			more++
		default:
			rest = append(rest, i)
		}
	}
	return draws, rest
}

// levelMates counts the other pours of a slab's level.
func (st *storeys) levelMates(i int, there []int) int {
	n := 0
	for _, j := range there {
		if j != i && st.slabs[j].Level == st.slabs[i].Level {
			n++
		}
	}
	return n
}

// building draws the building after a step, cut as often as it takes to meet
// every pour.
func (s *set) building(st *storeys, k int) {
	draws, rest := st.busy(k)
	if len(draws) == 0 {
		return
	}
	cuts := st.buildingCuts(draws, st.worstAt(k, draws))
	if len(cuts) == 0 {
		return
	}
	x := math.Inf(1)
	low, high, storey, right := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, i := range draws {
		sl := &st.slabs[i]
		b := shapesBox(sl.Slab)
		x, right = math.Min(x, b.Min.X), math.Max(right, b.Max.X)
		low, high = math.Min(low, sl.base), math.Max(high, sl.top)
		if h := sl.top - sl.Thickness - sl.base; h > 0 {
			storey = math.Min(storey, h)
		}
	}
	sc := buildingScale(s.style, right-x, high-low, storey)
	room := buildingRoom(sc.format)
	wide, tall := room.W()*sc.den, room.H()*sc.den
	nx := max(1, int(math.Ceil((right-x)/wide-1e-9)))
	floors := st.pageFloors(draws, high, low, tall)
	for n, c := range cuts {
		page := 0
		for _, f := range floors {
			for i := range nx {
				page++
				title := "Section"
				if len(cuts) > 1 {
					title += fmt.Sprintf(" %d of %d", n+1, len(cuts))
				}
				if nx*len(floors) > 1 {
					title += fmt.Sprintf(", part %d of %d", page, nx*len(floors))
				}
				b := &buildingSheet{set: s, st: st, step: k, cut: c, title: title, scale: sc, draws: draws, rest: rest,
					from: draw.Point{X: x + float64(i)*wide, Y: f.low}, high: f.high, right: math.Min(right, x+float64(i+1)*wide)}
				b.draw()
			}
		}
	}
}

// pageFloor is the part of the height that one page shows.
type pageFloor struct{ low, high float64 }

// pageFloors cuts the height into pages from the top down, at floors, each page
// beginning with the floor that the last one ended on.
func (st *storeys) pageFloors(draws []int, high, low, tall float64) []pageFloor {
	var tops []float64
	for _, i := range draws {
		tops = append(tops, st.slabs[i].top)
	}
	sort.Sort(sort.Reverse(sort.Float64Slice(tops)))
	var out []pageFloor
	for high-low > tall {
		cut := high - tall
		for _, t := range tops { // the lowest floor that still fits
			if t < high-1 && t-st.thickest(draws) >= high-tall {
				cut = t - st.thickest(draws)
			}
		}
		out = append(out, pageFloor{cut, high})
		high = cut + st.thickest(draws)
		if high-cut >= tall { // one storey is taller than the page
			high = cut
		}
	}
	return append(out, pageFloor{low, high})
}

func (st *storeys) thickest(draws []int) float64 {
	t := 0.0
	for _, i := range draws {
		t = math.Max(t, st.slabs[i].Thickness)
	}
	return t
}

// worstAt is the slab among some with the worst ratio, of itself or its props,
// after a step.
func (st *storeys) worstAt(k int, among []int) int {
	best, at := figure{}, -1
	for _, i := range among {
		for _, of := range []func(slabThen) (figure, bool){slabRatio, propRatio} {
			if f, counts := of(st.steps[k].slabs[i]); counts && (at < 0 || worse(f, best)) {
				best, at = f, i
			}
		}
	}
	return at
}

func shapesBox(shapes []deck.Shape) draw.Box {
	var ps []draw.Point
	for _, sh := range shapes {
		for _, q := range sh.Outer {
			ps = append(ps, draw.Point{X: q[0], Y: q[1]})
		}
	}
	return draw.BoxOf(ps)
}

// buildingRoom is where the building may be on a sheet.
func buildingRoom(f format) draw.Box {
	d := f.drawing().Grow(-7)
	d.Min.X += levelNames
	d.Min.Y += 12
	return d
}

// buildingScale picks paper and scale: the largest scale on the smallest paper on
// which the width fits with storeys tall enough to write in; the height may take
// several pages.
func buildingScale(style quantity.Style, w, h, storey float64) scale {
	type step struct {
		den  float64
		text string
	}
	formats, steps := []format{a3, a2, a1}, []step{{50, "1:50"}, {75, "1:75"}, {100, "1:100"}, {125, "1:125"}, {150, "1:150"}, {200, "1:200"}, {250, "1:250"}}
	if style == quantity.US {
		formats = []format{small, half, arch}
		steps = []step{{48, `1/4" = 1'-0"`}, {64, `3/16" = 1'-0"`}, {96, `1/8" = 1'-0"`}, {128, `3/32" = 1'-0"`}, {192, `1/16" = 1'-0"`}, {240, `1" = 20'-0"`}}
	}
	for _, f := range formats {
		room := buildingRoom(f)
		var widest *scale
		for _, k := range steps {
			sc := scale{f, k.den, k.text}
			if w/k.den > room.W() || storey/k.den < leastStorey {
				continue
			}
			if h/k.den <= room.H() {
				return sc
			}
			widest = &sc
		}
		if widest != nil {
			return *widest
		}
	}
	for i := len(steps) - 1; i > 0; i-- { // wider than any paper: as small as can be written in
		if storey/steps[i].den >= leastStorey {
			return scale{formats[2], steps[i].den, steps[i].text}
		}
	}
	return scale{formats[2], steps[0].den, steps[0].text}
}

// buildingSheet is one page of the building after a step.
type buildingSheet struct {
	set         *set
	st          *storeys
	step        int
	cut         buildingCut
	title       string
	scale       scale
	draws, rest []int
	from        draw.Point // x and height of the window's lower left corner
	right, high float64

	page   *draw.Page
	window draw.Box
}

func (b *buildingSheet) at(x, z float64) draw.Point {
	return draw.Point{X: b.window.Min.X + (x-b.from.X)/b.scale.den, Y: b.window.Min.Y + (z-b.from.Y)/b.scale.den}
}

func (b *buildingSheet) draw() {
	s, st, f := b.set, b.st, b.scale.format
	step := st.steps[b.step]
	b.page = s.page(f, fmt.Sprintf("Building after step %d: %s. %s", b.step+1, step.Name, b.title))
	b.page.Layer = "building"
	room := buildingRoom(f)
	w, h := (b.right-b.from.X)/b.scale.den, (b.high-b.from.Y)/b.scale.den
	b.window = draw.Box{Min: room.Min, Max: room.Min.Add(draw.Point{X: w, Y: h})}
	if free := room.H() - h; free > 0 { // near the top of the sheet
		b.window.Min.Y, b.window.Max.Y = b.window.Min.Y+free*0.5, b.window.Max.Y+free*0.5
	}
	b.ground()
	for _, i := range b.cut.slabs {
		for _, span := range b.cut.spans[i] {
			b.props(i, span)
		}
	}
	for _, i := range b.cut.slabs {
		for _, span := range b.cut.spans[i] {
			b.slab(i, span)
		}
	}
	for _, i := range b.cut.slabs { // tags last: they lie over the lines of props
		for _, span := range b.cut.spans[i] {
			b.propTag(i, span)
		}
	}
	b.page.Layer = "levels"
	b.levels()
	b.gridNames()
	b.page.Layer = "frame"
	b.column()
}

// box of a part of the section, cut at the window; false when nothing is left.
func (b *buildingSheet) box(x0, z0, x1, z1 float64) (draw.Box, bool) {
	out := draw.BoxOf([]draw.Point{b.at(x0, z0), b.at(x1, z1)})
	w := b.window.Grow(0.01)
	if !out.Overlaps(w) {
		return out, false
	}
	out.Min.X, out.Max.X = math.Max(out.Min.X, w.Min.X), math.Min(out.Max.X, w.Max.X)
	return out, true
}

// slabBox of a slab on paper, thickened downward until it can be written on.
func (b *buildingSheet) slabBox(i int, span plane.Span) (draw.Box, bool) {
	sl := &b.st.slabs[i]
	t := math.Max(sl.Thickness, leastSlab*b.scale.den)
	box, ok := b.box(span.A, sl.top-t, span.B, sl.top)
	return box, ok && b.window.Grow(0.01).Has(draw.Point{X: box.Centre().X, Y: box.Max.Y})
}

func (b *buildingSheet) slab(i int, span plane.Span) {
	box, ok := b.slabBox(i, span)
	if !ok {
		return
	}
	then := b.st.steps[b.step].slabs[i]
	band := then.ratio.band()
	if then.fresh {
		band = draw.Wet
	}
	b.page.Fill(band, box.Ring())
	figure := then.ratio.ratio()
	if !then.ratio.known {
		figure = "?"
	}
	style := b.set.style
	wishes := []string{
		fmt.Sprintf("%s  %s  carries %s, may %s", b.st.slabs[i].Name, figure, then.load.load(style), then.capacity.load(style)),
		b.st.slabs[i].Name + "  " + figure, figure}
	if then.fresh {
		wishes = append([]string{fmt.Sprintf("%s  carried by its shores", b.st.slabs[i].Name), b.st.slabs[i].Name + "  on shores"}, wishes[2])
	}
	size := 2.7
	for _, text := range wishes {
		if draw.Width(text, size, true) < box.W()-7 {
			plate(b.page, box.Centre(), text, size, band.Words)
			break
		}
	}
	if band.Fails() {
		b.page.Flag(draw.Point{X: box.Min.X + 1, Y: box.Max.Y})
	}
}

// standing is where the props under a slab stand along the cut, and whether that
// is only sketched.
func (b *buildingSheet) standing(i int, span plane.Span) []float64 {
	sl := &b.st.slabs[i]
	var at []float64
	near := func(p deck.Point) {
		if math.Abs(p[1]-b.cut.y) <= seenWithin && p[0] > span.A && p[0] < span.B {
			at = append(at, p[0])
		}
	}
	if b.st.steps[b.step].slabs[i].under == "reshore" {
		for _, r := range sl.Layout.Reshores {
			near(r.At)
		}
	} else if sl.deck != nil {
		for _, p := range sl.deck.Deck.Props {
			near(p.At)
		}
	}
	if len(at) == 0 {
		n := max(1, int(span.Len()/b.scale.den/9))
		for j := range n {
			at = append(at, span.A+(float64(j)+0.5)*span.Len()/float64(n))
		}
		return at
	}
	sort.Float64s(at)
	out := at[:1]
	for _, x := range at[1:] {
		if (x-out[len(out)-1])/b.scale.den >= propsApart {
			out = append(out, x)
		}
	}
	return out
}

// foot is the height that the props under a slab stand on at x.
func (b *buildingSheet) foot(i int, x float64) float64 {
	sl := &b.st.slabs[i]
	z := math.Inf(-1)
	for _, on := range sl.on {
		for _, span := range b.cut.spans[on] {
			if x >= span.A-1 && x <= span.B+1 {
				z = math.Max(z, b.st.slabs[on].top)
			}
		}
	}
	if math.IsInf(z, -1) {
		return sl.base
	}
	return z
}

func (b *buildingSheet) props(i int, span plane.Span) {
	then := b.st.steps[b.step].slabs[i]
	if then.under == "" {
		return
	}
	sl := &b.st.slabs[i]
	under := math.Max(sl.Thickness, leastSlab*b.scale.den)
	w := b.window.Grow(0.01)
	for _, x := range b.standing(i, span) {
		foot, head := b.at(x, b.foot(i, x)), b.at(x, sl.top-under)
		if foot.X < w.Min.X || foot.X > w.Max.X || head.Y < w.Min.Y || foot.Y >= head.Y {
			continue
		}
		whole := foot.Y >= w.Min.Y
		foot.Y = math.Max(foot.Y, w.Min.Y)
		if then.loose {
			head.Y -= math.Min(1.6, 0.3*(head.Y-foot.Y))
		}
		mid := draw.Point{X: x, Y: 0}
		mid.X, mid.Y = foot.X, foot.Y+0.3*(head.Y-foot.Y)
		b.page.Line(draw.Thin, foot, head)
		b.page.Line(draw.Thin, draw.Point{X: head.X - 0.7, Y: head.Y}, draw.Point{X: head.X + 0.7, Y: head.Y})
		if whole {
			b.page.Line(draw.Thin, draw.Point{X: foot.X - 0.7, Y: foot.Y}, draw.Point{X: foot.X + 0.7, Y: foot.Y})
		}
		propKindSymbol(b.page, then.under, mid)
	}
}

// propKindSymbol draws the sign of a shore or of a reshore.
func propKindSymbol(p *draw.Page, kind string, at draw.Point) {
	if kind == "reshore" {
		reshoreSymbol(p, at, 1.1)
		return
	}
	p.Shape(draw.Thin, &draw.Ink, diamond(at, 1.1))
}

// reshoreSymbol draws a reshore: a square with a diagonal.
func reshoreSymbol(p *draw.Page, at draw.Point, half float64) {
	box := draw.BoxAround(at, 2*half, 2*half)
	p.Shape(draw.Thin, &draw.Paper, box.Ring())
	p.Line(draw.Thin, box.Min, box.Max)
}

// propTag writes the ratio of a level of props in the middle of it.
func (b *buildingSheet) propTag(i int, span plane.Span) {
	then := b.st.steps[b.step].slabs[i]
	slab, ok := b.slabBox(i, span)
	if then.under == "" || !ok {
		return
	}
	foot := b.at(0, b.foot(i, (span.A+span.B)/2)).Y
	if foot < b.window.Min.Y-0.02 {
		foot = b.window.Min.Y
	}
	h := slab.Min.Y - foot
	if h < 4.4 {
		return
	}
	load := then.props.load(b.set.style)
	if then.props.known && then.props.v < 1 {
		load = "without load"
	}
	words := []string{fmt.Sprintf("%ss %s", then.under, load), then.under + "s", ""}
	if then.loose {
		words = []string{then.under + "s LOOSE", "LOOSE"}
	}
	figure := then.propsBy.ratio()
	if !then.propsBy.known {
		figure = "?"
	}
	for _, w := range words {
		width := draw.Width(w+" "+figure, 2.5, true) + 8
		if width > slab.W()-1 {
			continue
		}
		at := draw.Point{X: slab.Centre().X, Y: foot + 0.55*h}
		ratioTag(b.page, draw.BoxAround(at, width, 4), then.propsBy, w, 2.5)
		return
	}
}

func (b *buildingSheet) ground() {
	low := math.Inf(1)
	for _, i := range b.draws {
		if len(b.st.slabs[i].on) == 0 {
			low = math.Min(low, b.st.slabs[i].base)
		}
	}
	if math.IsInf(low, 1) || low < b.from.Y-1 {
		return
	}
	a, c := b.at(b.from.X, low), b.at(b.right, low)
	b.page.Line(draw.Heavy, a, c)
	b.page.Lines(draw.HatchPen, draw.Hatch(60, 2, draw.Box{Min: draw.Point{X: a.X, Y: a.Y - 2}, Max: c}.Ring()))
}

// levels names the levels at the left, spread so that none lies on another.
func (b *buildingSheet) levels() {
	type name struct {
		z    float64
		text string
	}
	seen := map[string]bool{}
	var list []name
	for _, i := range b.draws {
		sl := &b.st.slabs[i]
		key := sl.Level + say.Height(sl.top, b.set.style)
		if y := b.at(0, sl.top).Y; !seen[key] && y <= b.window.Max.Y+0.02 && y >= b.window.Min.Y-0.02 {
			seen[key] = true
			list = append(list, name{sl.top, sl.Level})
		}
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].z > list[j].z })
	const tall = 5.6
	ys := make([]float64, len(list))
	for i, l := range list {
		ys[i] = b.at(0, l.z).Y
		if i > 0 && ys[i] > ys[i-1]-tall {
			ys[i] = ys[i-1] - tall
		}
	}
	for i, l := range list {
		x := b.window.Min.X
		y := b.at(0, l.z).Y
		b.page.Line(draw.Thin, draw.Point{X: x, Y: y}, draw.Point{X: x - 3, Y: y}, draw.Point{X: x - 5, Y: ys[i]})
		b.page.Write(draw.Text{At: draw.Point{X: x - 5.6, Y: ys[i] + 0.2}, Size: 2.9, Bold: true, Align: draw.Right, Color: draw.Ink, Label: true,
			Str: draw.Fit(l.text, levelNames-5, 2.9, true)})
		b.page.Write(draw.Text{At: draw.Point{X: x - 5.6, Y: ys[i] - 2.1}, Size: 2, Align: draw.Right, Color: draw.Ink, Label: true, Str: say.Height(l.z, b.set.style)})
	}
}

// gridNames draws the gridlines that the cut crosses, below the building.
func (b *buildingSheet) gridNames() {
	last := math.Inf(-1)
	for _, g := range b.set.doc.Job.GridX {
		p := b.at(g.At, b.from.Y)
		if p.X < b.window.Min.X-0.01 || p.X > b.window.Max.X+0.01 || p.X-last < 7 {
			continue
		}
		last = p.X
		b.page.Line(draw.GridPen, p, draw.Point{X: p.X, Y: p.Y - 4.4})
		bubble(b.page, draw.Point{X: p.X, Y: p.Y - 7.8}, g.Name)
	}
}

// column says what is shown, which is worst, and what the signs mean.
func (b *buildingSheet) column() {
	s, st := b.set, b.st
	step := st.steps[b.step]
	c := newColumn(b.page, b.scale.format)
	sh := &sheet{set: s, style: s.style, scale: b.scale}
	sh.footOf(c, false)
	c.text(s.doc.Job.Name, c.size*1.7, true, draw.Ink)
	c.text(fmt.Sprintf("Building after step %d of %d", b.step+1, len(st.steps)), c.size*1.35, true, draw.Ink)
	c.text(step.Name, c.size*1.35, true, draw.Ink)
	c.y -= 1
	c.entry("when", st.when(step.At))
	c.entry("cut", b.title+", along x at "+offset(b.cut.y, newStoreySettingOut(s.doc, st).alongY(b.cut.y), s))
	c.entry("scale", b.scale.text+" on "+b.scale.format.name)
	worst := st.worstAt(b.step, b.draws)
	over, unknown := st.failingAt(b.step)
	switch {
	case over > 0:
		c.panel("TOO MUCH", amount(over, "slab or level of props carries", "slabs or levels of props carry")+" more than they may", true)
	case unknown > 0:
		c.panel("NOT PROVEN", "of "+amount(unknown, "slab or level of props", "slabs or levels of props")+" it is not known", true)
	default:
		then := st.steps[b.step].slabs[worst]
		f := then.ratio
		if p, counts := propRatio(then); counts && worse(p, f) {
			f = p
		}
		c.panel("WORST: "+st.slabs[worst].Name, "ratio "+f.ratio()+" of slab or props", false)
	}
	c.rule()
	b.list(c)
	c.rule()
	c.legend(storeyLegend(true))
	c.rule()
	c.heading("Notes")
	notes := []string{
		"Heights and lengths are to scale; a slab thinner than " + say.LenUnit(leastSlab*b.scale.den, s.style) + " is drawn so thick, downward, to carry its figure.",
		"Props within " + say.LenUnit(seenWithin, s.style) + " of the cut are shown, some left out where they stand close; where none is given they are sketched.",
	}
	if b.more() {
		notes = append(notes, "The ratio of a slab that was just struck counts people and gear on it besides what is written.")
	}
	if n := b.behind(); n != "" {
		notes = append(notes, "Not met by this cut: "+n+".")
	}
	if n := b.below(); n != "" {
		notes = append(notes, n)
	}
	for _, n := range notes {
		c.text("– "+n, c.size, false, draw.Ink)
	}
}

func (st *storeys) failingAt(k int) (over, unknown int) {
	for _, s := range st.steps[k].slabs {
		for _, of := range []func(slabThen) (figure, bool){slabRatio, propRatio} {
			f, counts := of(s)
			switch {
			case !counts || !f.band().Fails():
			case f.known:
				over++
			default:
				unknown++
			}
		}
	}
	return over, unknown
}

// list writes the slabs in figures, the worst first, as far as there is room.
func (b *buildingSheet) list(c *column) {
	order := append([]int(nil), b.draws...)
	then := func(i int) slabThen { return b.st.steps[b.step].slabs[i] }
	sort.SliceStable(order, func(x, y int) bool { return worse(then(order[x]).ratio, then(order[y]).ratio) })
	c.heading("Slabs, the worst first")
	style := b.set.style
	for n, i := range order {
		if c.y < c.bottom+0.42*(c.box.Max.Y-c.bottom) && n < len(order)-1 {
			c.text(fmt.Sprintf("and %d more, none worse", len(order)-n), c.size, false, draw.Ink)
			return
		}
		s := then(i)
		band := s.ratio.band()
		text := fmt.Sprintf("%s  %s: %s of %s", b.st.slabs[i].Name, s.ratio.ratio(), s.load.load(style), s.capacity.load(style))
		if s.fresh {
			text = b.st.slabs[i].Name + "  carried by its shores"
		}
		c.text(text, c.size, band.Fails(), band.Words)
		if !s.fresh {
			c.indented(fmt.Sprintf("%s old, %s", lasting(s.age), s.strength.strength(style)), 4, c.size*0.9, false, draw.Grey)
		}
	}
}

// more reports whether a ratio says more than the two loads beside it.
func (b *buildingSheet) more() bool {
	return slices.ContainsFunc(b.draws, func(i int) bool {
		s := b.st.steps[b.step].slabs[i]
		return s.ratio.known && s.capacity.known && s.ratio.v > s.load.v/s.capacity.v+0.02
	})
}

// behind names the pours that this cut does not meet.
func (b *buildingSheet) behind() string {
	out := ""
	for _, i := range b.draws {
		if b.cut.spans[i] == nil {
			if out != "" {
				out += ", "
			}
			out += b.st.slabs[i].Name + " " + b.st.steps[b.step].slabs[i].ratio.ratio()
		}
	}
	return out
}

// below says what is left out under what is drawn.
func (b *buildingSheet) below() string {
	if len(b.rest) == 0 {
		return ""
	}
	worst := figure{0, true}
	for _, i := range b.rest {
		if f := b.st.steps[b.step].slabs[i].ratio; worse(f, worst) {
			worst = f
		}
	}
	return fmt.Sprintf("Left out below: %s with nothing under them, the worst at %s.", amount(len(b.rest), "pour", "pours"), worst.ratio())
}

// newStoreySettingOut dimensions from the grid, or from the lower left corner of all pours.
func newStoreySettingOut(doc *deck.Document, st *storeys) settingOut {
	var all []deck.Shape
	for i := range st.slabs {
		all = append(all, st.slabs[i].Slab...)
	}
	return settingOut{doc.Job.GridX, doc.Job.GridY, shapesBox(all).Min}
}

// storeyLegend explains the bands of ratios and the signs of props.
func storeyLegend(props bool) []legendRow {
	var rows []legendRow
	for _, b := range draw.Bands() {
		rows = append(rows, legendRow{func(p *draw.Page, at draw.Point) {
			box := draw.BoxAround(at.Add(draw.Point{Y: 0.2}), 9, 3)
			p.Fill(b, box.Ring())
			if b.Fails() {
				p.Shape(draw.None, &draw.Paper, draw.BoxAround(box.Centre(), 4, 2.8).Ring())
				p.Flag(draw.Point{X: at.X - 1, Y: box.Min.Y})
			}
		}, "ratio " + b.Name})
	}
	if props {
		rows = append(rows,
			legendRow{func(p *draw.Page, at draw.Point) { p.Fill(draw.Wet, draw.BoxAround(at, 9, 3).Ring()) }, "slab that its shores still carry"},
			legendRow{func(p *draw.Page, at draw.Point) { propKindSymbol(p, "shore", at) }, "shore, with forms over it"},
			legendRow{func(p *draw.Page, at draw.Point) { propKindSymbol(p, "reshore", at) }, "reshore"},
			legendRow{func(p *draw.Page, at draw.Point) {
				box := draw.BoxAround(at, 9, 3)
				p.Fill(draw.BandOf(0.4, true), box.Ring())
				plate(p, at, "0.40", 2, draw.Ink)
			}, "carries over may carry, of a slab or of the worst prop under it"})
	}
	return rows
}
