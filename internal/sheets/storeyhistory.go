package sheets

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
	"shoreward/internal/reshore"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/say"
)

// Pens of a chart: what is carried is the heavy whole line, what may be carried the
// dashed one with dots, the design load dotted.
var (
	carriesPen = draw.Pen{Width: 0.7, Color: draw.Ink}
	mayPen     = draw.Pen{Width: 0.4, Color: draw.Pine, Dash: []float64{3, 1.2}}
	designPen  = draw.Pen{Width: 0.3, Color: draw.Grey, Dash: []float64{0.6, 1}}
)

const chartHeight = 80.0

// histories draws for every slab what it carries against what it may, in time.
func (s *set) histories(st *storeys) {
	if len(st.steps) == 0 {
		return
	}
	fl := s.lists("load and capacity of every slab in time", 2)
	for _, i := range st.charted() {
		c := &chart{set: s, st: st, slab: i}
		c.page, c.box = fl.Page(), fl.Take(chartHeight)
		c.page = fl.Page() // the block may have begun a new one
		c.draw()
	}
}

// charted are the slabs that are placed, the worst first: who opens the page sees it.
func (st *storeys) charted() []int {
	type at struct {
		slab  int
		ratio figure
	}
	var list []at
	for i := range st.slabs {
		if k, f := st.greatest(i, slabRatio); k >= 0 {
			list = append(list, at{i, f})
		}
	}
	slices.SortStableFunc(list, func(a, b at) int {
		switch {
		case worse(a.ratio, b.ratio):
			return -1
		case worse(b.ratio, a.ratio):
			return 1
		}
		return 0
	})
	out := make([]int, len(list))
	for n, l := range list {
		out[n] = l.slab
	}
	return out
}

// chart is the history of one slab.
type chart struct {
	set    *set
	st     *storeys
	slab   int
	page   *draw.Page
	box    draw.Box
	plot   draw.Box
	t0, t1 float64 // hours
	top    float64 // Pa
	points []point
}

// point is the slab after a step.
type point struct {
	step int
	at   float64
	slabThen
}

func (c *chart) x(t float64) float64 { return c.plot.Min.X + (t-c.t0)/(c.t1-c.t0)*c.plot.W() }
func (c *chart) y(p float64) float64 { return c.plot.Min.Y + p/c.top*c.plot.H() }

func (c *chart) draw() {
	c.read()
	c.plot = draw.Box{Min: draw.Point{X: c.box.Min.X + 15, Y: c.box.Min.Y + 11}, Max: draw.Point{X: c.box.Max.X - 27, Y: c.box.Max.Y - 27}}
	c.title()
	c.axes()
	c.events()
	c.page.Layer = "history"
	c.excess()
	c.lines()
	c.unknown()
	c.mark()
	c.page.Layer = "lists"
}

// read takes the steps from the placing to the last change of the slab or its props.
func (c *chart) read() {
	last := 0
	for k, s := range c.st.steps {
		then := s.slabs[c.slab]
		if !then.placed {
			continue
		}
		c.points = append(c.points, point{k, s.At, then})
		n := len(c.points)
		if n == 1 || c.changed(n-1) {
			last = n - 1
		}
	}
	c.points = c.points[:min(len(c.points), last+2)]
	c.t0, c.t1 = c.points[0].at, c.points[len(c.points)-1].at
	if c.t1-c.t0 < 24 {
		c.t1 = c.t0 + 24
	}
	c.t1 += 0.04 * (c.t1 - c.t0)
	c.top = 0
	if d := positive(c.st.slabs[c.slab].Service); d.known {
		c.top = d.v
	}
	for _, p := range c.points {
		for _, f := range []figure{p.load, p.capacity} {
			if f.known {
				c.top = math.Max(c.top, f.v)
			}
		}
	}
	if !(c.top > 0) {
		c.top = 1000
	}
	c.top *= 1.12
}

// changed reports whether point n differs from the one before in what the slab
// carries or in what stands under it.
func (c *chart) changed(n int) bool {
	a, b := c.points[n-1], c.points[n]
	return a.under != b.under || a.load.known != b.load.known || math.Abs(a.load.v-b.load.v) > 1 || a.ratio.known != b.ratio.known
}

func (c *chart) title() {
	sl := &c.st.slabs[c.slab]
	k, worst := c.st.greatest(c.slab, slabRatio)
	y := c.box.Max.Y - 5.5
	tag := draw.Box{Min: draw.Point{X: c.box.Min.X, Y: y - 1.2}, Max: draw.Point{X: c.box.Min.X + 15, Y: y + 3.6}}
	ratioTag(c.page, tag, worst, "", 3.2)
	step := c.st.steps[k]
	words := fmt.Sprintf("%s   worst after step %d, %s, %s", sl.Name, k+1, step.Name, c.st.day(step.At))
	c.page.Write(draw.Text{At: draw.Point{X: tag.Max.X + 3, Y: y}, Size: 3.1, Bold: true, Color: worst.band().Words, Label: true,
		Str: draw.Fit(words, c.box.Max.X-tag.Max.X-4, 3.1, true)})
}

// nice is a round step that divides a range into at most n parts.
func nice(span float64, n int, among ...float64) float64 {
	for p := math.Pow(10, math.Floor(math.Log10(span))-2); ; p *= 10 {
		for _, m := range among {
			if span/(m*p) <= float64(n) {
				return m * p
			}
		}
	}
}

// pressure gives the unit in which loads are drawn.
func pressure(s quantity.Style) (unit float64, name string) {
	if s == quantity.US {
		return float64(quantity.PSF), "psf"
	}
	return 1000, "kN/m²"
}

func (c *chart) axes() {
	p := c.plot
	unit, name := pressure(c.set.style)
	step := nice(c.top/unit, 5, 1, 2, 5)
	for v := 0.0; v*unit <= c.top; v += step {
		y := c.y(v * unit)
		c.page.Line(draw.Hairline, draw.Point{X: p.Min.X, Y: y}, draw.Point{X: p.Max.X, Y: y})
		c.page.Write(draw.Text{At: draw.Point{X: p.Min.X - 1.2, Y: y - 0.8}, Size: 2.3, Align: draw.Right, Color: draw.Ink, Label: true, Str: strconv.FormatFloat(v, 'f', -1, 64)})
	}
	c.page.Write(draw.Text{At: draw.Point{X: p.Min.X - 1.2, Y: p.Max.Y + 1}, Size: 2.3, Align: draw.Right, Color: draw.Grey, Label: true, Str: name})
	days := (c.t1 - c.t0) / 24
	every := math.Max(1, nice(days, 8, 1, 2, 5))
	for d := 0.0; d <= days; d += every {
		x := c.x(c.t0 + 24*d)
		c.page.Line(draw.Thin, draw.Point{X: x, Y: p.Min.Y}, draw.Point{X: x, Y: p.Min.Y - 1})
		c.page.Write(draw.Text{At: draw.Point{X: x, Y: p.Min.Y - 3.6}, Size: 2.3, Align: draw.Middle, Color: draw.Ink, Label: true, Str: strconv.FormatFloat(d, 'f', -1, 64)})
	}
	c.page.Write(draw.Text{At: draw.Point{X: p.Max.X + 1.5, Y: p.Min.Y - 3.6}, Size: 2.3, Color: draw.Grey, Label: true,
		Str: draw.Fit("days old", c.box.Max.X-p.Max.X-2, 2.3, false)})
	c.page.Write(draw.Text{At: draw.Point{X: p.Min.X, Y: p.Min.Y - 7.4}, Size: 2.3, Color: draw.Grey, Label: true, Str: "placed " + c.st.when(c.t0)})
	c.page.Line(draw.Medium, draw.Point{X: p.Min.X, Y: p.Max.Y}, p.Min, draw.Point{X: p.Max.X, Y: p.Min.Y})
}

// events names the operations that change the slab, upright over the plot; those at
// one time side by side, and where they stand too close only a stroke.
func (c *chart) events() {
	const size = 2.1
	last := math.Inf(-1)
	for n := 0; n < len(c.points); {
		at := c.points[n].at
		var words []string
		for ; n < len(c.points) && c.points[n].at == at; n++ {
			step := c.st.steps[c.points[n].step]
			own := step.slab == c.slab
			if step.Kind != reshore.LiveOff && (own || step.Kind != reshore.PutReshores && n > 0 && c.changed(n)) {
				words = append(words, eventWords(step, own))
			}
		}
		if len(words) == 0 {
			continue
		}
		x := c.x(at)
		c.page.Line(draw.LeaderPen, draw.Point{X: x, Y: c.plot.Min.Y}, draw.Point{X: x, Y: c.plot.Max.Y + 1})
		if len(words) > 1 && draw.Width(strings.Join(words, ", "), size, false) <= 18 {
			words = []string{strings.Join(words, ", ")}
		}
		for _, word := range words {
			if x-last < size*1.15 {
				continue
			}
			last = x
			c.page.Write(draw.Text{At: draw.Point{X: x + 0.35*size, Y: c.plot.Max.Y + 1.6}, Angle: 90, Size: size, Color: draw.Ink, Label: true, Str: draw.Fit(word, 18, size, false)})
			x += size * 1.2
		}
	}
}

// eventWords names an operation shortly; one on the slab itself without its name.
func eventWords(s storeyStep, own bool) string {
	words := map[reshore.Kind]string{reshore.Place: "place", reshore.Strip: "strip", reshore.PutReshores: "reshore", reshore.RemoveReshores: "reshores out"}[s.Kind]
	switch {
	case words == "":
		return s.Name
	case own:
		return words
	}
	return words + " " + s.Pour
}

// excess hatches where the slab carries more than it may.
func (c *chart) excess() {
	const pitch = 0.7
	for n := 0; n+1 < len(c.points); n++ {
		a, b := c.points[n], c.points[n+1]
		if !a.load.known || !a.capacity.known {
			continue
		}
		var lines []draw.Segment
		for x := math.Ceil(c.x(a.at)/pitch) * pitch; x < c.x(b.at); x += pitch {
			if lo, hi := c.y(a.capacity.v), c.y(a.load.v); hi > lo {
				lines = append(lines, draw.Segment{A: draw.Point{X: x, Y: lo}, B: draw.Point{X: x, Y: hi}})
			}
		}
		c.page.Lines(draw.FailHatch, lines)
	}
}

// lines draws the loads as steps, what may be carried through its dots, and the
// design load; each is named at its right end.
func (c *chart) lines() {
	var load, may []draw.Point
	flush := func(pen draw.Pen, ps *[]draw.Point) {
		if len(*ps) > 1 {
			c.page.Line(pen, *ps...)
		}
		*ps = nil
	}
	var names []endName
	if d := positive(c.st.slabs[c.slab].Service); d.known {
		y := c.y(d.v)
		c.page.Line(designPen, draw.Point{X: c.plot.Min.X, Y: y}, draw.Point{X: c.plot.Max.X, Y: y})
		names = append(names, endName{y, "designed for"})
	}
	lastMay := figure{}
	var dots []draw.Point
	for n, p := range c.points {
		until := c.plot.Max.X
		if n+1 < len(c.points) {
			until = c.x(c.points[n+1].at)
		}
		if p.load.known {
			load = append(load, draw.Point{X: c.x(p.at), Y: c.y(p.load.v)}, draw.Point{X: until, Y: c.y(p.load.v)})
		} else {
			flush(carriesPen, &load)
		}
		if !p.capacity.known {
			if !p.fresh {
				flush(mayPen, &may)
			}
			continue
		}
		if p.capacity != lastMay || n == len(c.points)-1 {
			at := draw.Point{X: c.x(p.at), Y: c.y(p.capacity.v)}
			may, dots = append(may, at), append(dots, at)
			lastMay = p.capacity
		}
		if n == len(c.points)-1 {
			may = append(may, draw.Point{X: until, Y: c.y(p.capacity.v)})
			names = append(names, endName{c.y(p.capacity.v), "may carry"})
		}
	}
	if n := len(load); n > 0 {
		names = append(names, endName{load[n-1].Y, "carries"})
	}
	flush(mayPen, &may)
	flush(carriesPen, &load)
	for _, d := range dots {
		c.page.Disc(draw.None, &draw.Pine, d, 0.6)
	}
	c.endNames(names)
}

// endName is the name of a line at the height of its right end.
type endName struct {
	y    float64
	text string
}

// endNames writes the names of the lines at their right ends, spread apart.
func (c *chart) endNames(names []endName) {
	slices.SortStableFunc(names, func(a, b endName) int { return cmp.Compare(a.y, b.y) })
	low := c.plot.Min.Y - 1
	for _, n := range names {
		at := math.Max(n.y-0.8, low)
		low = at + 2.9
		c.page.Write(draw.Text{At: draw.Point{X: c.plot.Max.X + 1.5, Y: at}, Size: 2.5, Bold: n.text == "carries", Color: draw.Ink, Label: true, Str: n.text})
	}
}

// unknown hatches the times at which it is not known what the slab carries or may.
func (c *chart) unknown() {
	for n := 0; n < len(c.points); n++ {
		if c.points[n].ratio.known {
			continue
		}
		from, until := c.x(c.points[n].at), c.plot.Max.X
		for ; n < len(c.points) && !c.points[n].ratio.known; n++ {
		}
		if n < len(c.points) {
			until = c.x(c.points[n].at)
		}
		b := draw.Box{Min: draw.Point{X: from, Y: c.plot.Min.Y}, Max: draw.Point{X: until, Y: c.plot.Max.Y}}
		c.page.Lines(draw.FailHatch, draw.Hatch(45, 3, b.Ring()))
		plate(c.page, draw.Point{X: math.Min(from+14, c.plot.Max.X-14), Y: c.plot.Max.Y - 4}, "? not known", 3, draw.Brick)
	}
}

// mark rings the worst step and writes the two loads beside it.
func (c *chart) mark() {
	k, worst := c.st.greatest(c.slab, slabRatio)
	n := slices.IndexFunc(c.points, func(p point) bool { return p.step == k })
	if n < 0 || !worst.known || !c.points[n].load.known {
		return
	}
	p := c.points[n]
	at := draw.Point{X: c.x(p.at), Y: c.y(p.load.v)}
	color := worst.band().Words
	c.page.Disc(draw.Pen{Width: 0.4, Color: color}, nil, at, 1.5)
	text := fmt.Sprintf("%s: carries %s, may %s", worst.ratio(), p.load.load(c.set.style), p.capacity.load(c.set.style))
	w := draw.Width(text, 2.5, true) + 2
	mid := draw.Point{X: at.X + w/2 + 2.5, Y: c.plot.Min.Y + 0.2*c.plot.H()}
	if mid.X+w/2 > c.plot.Max.X {
		mid.X = at.X - w/2 - 2.5
	}
	mid.X = math.Max(mid.X, c.plot.Min.X+w/2+0.5)
	c.page.Line(draw.Pen{Width: 0.18, Color: color}, draw.Point{X: at.X, Y: at.Y - 1.5}, draw.Point{X: at.X, Y: mid.Y}, mid)
	plate(c.page, mid, text, 2.5, color)
	if worst.band().Fails() {
		c.page.Flag(at)
	}
}

// figures in the words of the paper; what is not known is said to be.
func (f figure) load(s quantity.Style) string { return f.say(calc.Pressure, s) }

func (f figure) say(k calc.Kind, s quantity.Style) string {
	if !f.known {
		return notKnown
	}
	return say.Value(f.v, k, s)
}
