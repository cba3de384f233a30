package sheets

import (
	"math"
	"slices"
	"sort"

	"shoreward/internal/deck"
	"shoreward/internal/sheets/count"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/say"
)

// words is one line of a label.
type words struct {
	text string
	size float64
	bold bool
}

const lineGap = 1.08 // of the em, between the lines of a label

func labelSize(ws []words) (w, h float64) {
	for _, l := range ws {
		w = math.Max(w, draw.Width(l.text, l.size, l.bold))
		h += l.size * lineGap
	}
	return w + 1, h
}

// label places text near c, at the nearest of the gaps that is free, with a
// leader when it had to go far. It reports whether there was room.
func (sh *sheet) label(ws []words, c draw.Point, color draw.Color, gaps ...float64) bool {
	w, h := labelSize(ws)
	return sh.labelAt(ws, c, draw.Around(c, w, h, gaps...), color)
}

// labelAt places text in the first of the boxes that is free.
func (sh *sheet) labelAt(ws []words, c draw.Point, boxes []draw.Box, color draw.Color) bool {
	i := sh.place.Place(boxes)
	if i < 0 {
		return false
	}
	b := boxes[i]
	if near := nearestIn(b, c); near.Sub(c).Len() > 3.6 {
		sh.page.Line(draw.LeaderPen, c, near)
	}
	sh.page.Shape(draw.None, &draw.Paper, b.Ring())
	y := b.Max.Y
	for _, l := range ws {
		y -= l.size * lineGap
		sh.page.Write(draw.Text{At: draw.Point{X: b.Centre().X, Y: y + 0.24*l.size}, Size: l.size, Bold: l.bold,
			Align: draw.Middle, Color: color, Str: l.text, Label: true})
	}
	return true
}

// nearestIn is the point of b nearest to c.
func nearestIn(b draw.Box, c draw.Point) draw.Point {
	return draw.Point{X: math.Max(b.Min.X, math.Min(c.X, b.Max.X)), Y: math.Max(b.Min.Y, math.Min(c.Y, b.Max.Y))}
}

// propLabels writes the number of every prop and its running distance along
// its line; the number alone where both find no room. Grade props come first:
// the crew sets them first.
func (sh *sheet) propLabels() {
	for _, kind := range []deck.PropKind{deck.Grade, deck.Intermediate} {
		for _, l := range sh.lines {
			for _, q := range l.props {
				if (q.Kind == deck.Grade) == (kind == deck.Grade) && sh.view.sees(q.At) {
					sh.propLabel(l, q)
				}
			}
		}
	}
}

func (sh *sheet) propLabel(l *line, q deck.Prop) {
	f := sh.scale.format
	at := sh.view.at(q.At)
	name := words{q.ID, f.label, q.Kind == deck.Grade}
	both := []words{name, {say.Len(l.running(q.At), sh.style), f.note, false}}
	if !l.stringers {
		dx, dy := sh.so.alongX(q.At[0]), sh.so.alongY(q.At[1])
		both = []words{name, {"x " + offset(q.At[0], dx, sh.set), f.note, false}, {"y " + offset(q.At[1], dy, sh.set), f.note, false}}
	}
	if sh.label(both, at, draw.Ink, 1.3, 2.2, 3.2) {
		return
	}
	sh.unplaced++
	if !sh.label([]words{name}, at, draw.Ink, 1.2, 2.2, 3.4, 5, 7, 10) {
		sh.unplaced++
	}
}

// tagShape draws the flag of a line of stringers: its letter in a box.
func tagShape(p *draw.Page, c draw.Point, name string, size float64) {
	w, h := tagSize(name, size)
	p.Shape(draw.Medium, &draw.Paper, draw.BoxAround(c, w, h).Ring())
	p.Write(draw.Text{At: draw.Point{X: c.X, Y: c.Y - 0.36*size}, Size: size, Bold: true, Align: draw.Middle, Color: draw.Ink, Str: name, Label: p.Layer == "labels"})
}

func tagSize(name string, size float64) (w, h float64) {
	return draw.Width(name, size, true) + 0.9*size, 1.6 * size
}

// tags flags both ends of every line of stringers that the sheet shows, with
// the line's distance across at its first end.
func (sh *sheet) tags() {
	size := sh.scale.format.label * 1.35
	for _, l := range sh.lines {
		if !l.stringers {
			continue
		}
		s, ok := sh.view.segment(l.from, l.to)
		if !ok {
			continue
		}
		d := s.B.Sub(s.A).Unit()
		if s.B.Sub(s.A).Len() < 0.01 {
			d = l.dir
		}
		w, h := tagSize(l.name, size)
		for _, end := range []struct {
			at, out draw.Point
			first   bool
		}{{s.A, d.Times(-1), true}, {s.B, d, false}} {
			boxes := beyond(end.at, end.out, w, h)
			i := sh.place.Place(boxes)
			if i < 0 {
				sh.unplaced++
				continue
			}
			c := boxes[i].Centre()
			sh.page.Line(draw.LeaderPen, end.at, nearestIn(boxes[i], end.at))
			tagShape(sh.page, c, l.name, size)
			if !end.first {
				continue
			}
			note := sh.scale.format.note
			var ws []words
			if t := l.cross(sh); t != "" {
				ws = append(ws, words{t, note, false})
			}
			if len(l.props) > 0 {
				ws = append(ws, words{"along: from " + l.datum.text, note, false})
			}
			if len(ws) == 0 {
				continue
			}
			lw, lh := labelSize(ws)
			// beside the tag, on the side away from the parts first
			var wishes []draw.Box
			for _, o := range []draw.Point{end.out, end.out.Left(), end.out.Left().Times(-1)} {
				for _, g := range []float64{0.4, 1.5, 3} {
					wishes = append(wishes, draw.BoxAround(c.Add(draw.Point{X: o.X * (w/2 + lw/2 + g), Y: o.Y * (h/2 + lh/2 + g)}), lw, lh))
				}
			}
			wishes = append(wishes, alongside(end.at, end.out.Times(-1), lw, lh)...)
			if !sh.labelAt(ws, c, wishes, draw.Ink) {
				sh.unplaced++
			}
		}
	}
}

// alongside lists boxes beside the beginning of a line, below or right of it first.
func alongside(end, in draw.Point, w, h float64) []draw.Box {
	n := in.Left()
	if n.Y > 1e-9 || (math.Abs(n.Y) <= 1e-9 && n.X < 0) {
		n = n.Times(-1)
	}
	var boxes []draw.Box
	for _, far := range []float64{1, 6, 14, 24} {
		for _, side := range []float64{1.6, -1.6, 4, -4, 7, -7} {
			sign := math.Copysign(1, side)
			c := end.Add(draw.Point{X: in.X * (far + w/2), Y: in.Y * (far + h/2)})
			c = c.Add(draw.Point{X: n.X * (side + sign*w/2), Y: n.Y * (side + sign*h/2)})
			boxes = append(boxes, draw.BoxAround(c, w, h))
		}
	}
	return boxes
}

// beyond lists boxes past the end of a line, straight on first.
func beyond(end, out draw.Point, w, h float64) []draw.Box {
	var boxes []draw.Box
	n := out.Left()
	for _, side := range []float64{0, 2.5, -2.5, 5, -5, 8, -8} {
		for _, g := range []float64{1.5, 3, 5, 7, 9, 12} {
			c := end.Add(draw.Point{X: out.X * (g + w/2), Y: out.Y * (g + h/2)}).Add(n.Times(side))
			boxes = append(boxes, draw.BoxAround(c, w, h))
		}
	}
	return boxes
}

// fields names each field, shows which way its joists run, and names its zone.
// Where its name has no room on the field itself, a leader goes to it.
func (sh *sheet) fields() {
	boxes := map[string]draw.Box{}
	shapes := map[string][]deck.Shape{} // on paper
	for _, s := range sh.pour.Deck.Sheets {
		b := draw.BoxOf(sh.view.ring(s.Shape.Outer))
		if old, ok := boxes[s.Field]; ok {
			b = old.With(b.Min).With(b.Max)
		}
		boxes[s.Field] = b
		shapes[s.Field] = append(shapes[s.Field], sh.onPaper(s.Shape))
	}
	f := sh.scale.format
	for _, fd := range sh.pour.Deck.Fields {
		box, ok := boxes[fd.Name]
		if !ok || !sh.view.window.Overlaps(box) {
			continue
		}
		ws := []words{{"field " + fd.Name, f.label * 1.25, true}, {"joists " + direction(fd.Joists), f.note, false}}
		if sh.shows.joists && !sh.shows.props {
			ws = append(ws, words{"distances from " + sh.joistDatum(fd).text, f.note, false})
		}
		if t := zoneText(sh, fd.Zone); t != "" && len(sh.pour.Site.Zones) > 1 {
			ws = append(ws, words{t, f.note, false})
		}
		w, h := labelSize(ws)
		c := draw.Point{X: (math.Max(box.Min.X, sh.view.window.Min.X) + math.Min(box.Max.X, sh.view.window.Max.X)) / 2,
			Y: (math.Max(box.Min.Y, sh.view.window.Min.Y) + math.Min(box.Max.Y, sh.view.window.Max.Y)) / 2}
		var wishes []draw.Box
		for r := 0.0; r <= 60; r += 3 {
			for k := range 8 {
				s, co := math.Sincos(float64(k) * math.Pi / 4)
				wishes = append(wishes, draw.BoxAround(c.Add(draw.Point{X: r * co, Y: r * s}), w, h))
			}
		}
		on := func(p draw.Point) bool {
			return slices.ContainsFunc(shapes[fd.Name], func(s deck.Shape) bool { return liesOn(s, p) })
		}
		own := func(b draw.Box) bool {
			return on(b.Centre()) && !slices.ContainsFunc(b.Ring(), func(p draw.Point) bool { return !on(p) })
		}
		inside := slices.DeleteFunc(slices.Clone(wishes), func(b draw.Box) bool { return !own(b) })
		if i := sh.place.Place(inside); i >= 0 {
			sh.labelled(ws, inside[i])
			continue
		}
		i := sh.place.Place(wishes)
		if i < 0 {
			sh.unplaced++
			continue
		}
		if b := wishes[i]; !on(b.Centre()) {
			sh.fieldLeader(shapes[fd.Name], b)
		}
		sh.labelled(ws, wishes[i])
	}
}

// fieldLeader goes from a name to the nearest of its field's sheets, with a dot on it.
func (sh *sheet) fieldLeader(shapes []deck.Shape, b draw.Box) {
	best, at := math.Inf(1), draw.Point{}
	for _, s := range shapes {
		o := s.Outer.Bounds()
		for _, f := range [][2]float64{{0.5, 0.5}, {0.2, 0.5}, {0.8, 0.5}, {0.5, 0.2}, {0.5, 0.8}} {
			p := draw.Point{X: o.X0 + f[0]*(o.X1-o.X0), Y: o.Y0 + f[1]*(o.Y1-o.Y0)}
			if d := p.Sub(nearestIn(b, p)).Len(); d < best && liesOn(s, p) && sh.view.window.Has(p) {
				best, at = d, p
			}
		}
	}
	if math.IsInf(best, 1) {
		return
	}
	sh.page.Line(draw.Hairline, at, nearestIn(b, at))
	sh.page.Disc(draw.Hairline, &draw.Ink, at, 0.4)
}

// onPaper is a shape of the deck at the sheet's scale, mm.
func (sh *sheet) onPaper(s deck.Shape) deck.Shape {
	return s.Map(func(p deck.Point) deck.Point {
		q := sh.view.at(p)
		return deck.Point{q.X, q.Y}
	})
}

// labelled writes a label without a leader into a box already taken.
func (sh *sheet) labelled(ws []words, b draw.Box) {
	sh.page.Shape(draw.Hairline, &draw.Paper, b.Ring())
	y := b.Max.Y
	for _, l := range ws {
		y -= l.size * lineGap
		sh.page.Write(draw.Text{At: draw.Point{X: b.Centre().X, Y: y + 0.24*l.size}, Size: l.size, Bold: l.bold,
			Align: draw.Middle, Color: draw.Ink, Str: l.text, Label: true})
	}
}

// direction of joists in words.
func direction(deg float64) string {
	d := math.Mod(math.Mod(deg, 180)+180, 180)
	switch {
	case d < 0.05 || d > 179.95:
		return "along x"
	case math.Abs(d-90) < 0.05:
		return "along y"
	}
	return "at " + say.Value(d*math.Pi/180, "angle", 0) + " from x"
}

// joistsOf gathers the joists of a field in their order across it, with the
// direction across.
func (sh *sheet) joistsOf(fd deck.Field) ([]deck.Member, draw.Point) {
	s, c := math.Sincos(fd.Joists * math.Pi / 180)
	dir, across := draw.Point{X: c, Y: s}, draw.Point{X: -s, Y: c}
	if across.X+across.Y < -1e-9 {
		across = across.Times(-1)
	}
	var js []deck.Member
	for _, j := range sh.pour.Deck.Joists {
		if j.Field == fd.Name {
			js = append(js, j)
		}
	}
	start := func(j deck.Member) float64 { return math.Min(along(dir, j.From), along(dir, j.To)) }
	sort.SliceStable(js, func(a, b int) bool {
		pa, pb := math.Round(along(across, js[a].From)), math.Round(along(across, js[b].From))
		if pa != pb {
			return pa < pb
		}
		return start(js[a]) < start(js[b])
	})
	return js, across
}

// joistDatum is where distances across the joists of a field start from.
func (sh *sheet) joistDatum(fd deck.Field) datum {
	js, across := sh.joistsOf(fd)
	if len(js) == 0 {
		return datum{}
	}
	first := js[0].From
	switch {
	case math.Abs(across.X) > 0.999999:
		return sh.so.alongX(first[0])
	case math.Abs(across.Y) > 0.999999:
		return sh.so.alongY(first[1])
	}
	return datum{"", "its first joist", along(across, first)}
}

// joistDims writes, once for each position across a field, how far the joist
// lies from the datum.
func (sh *sheet) joistDims() {
	for _, fd := range sh.pour.Deck.Fields {
		js, across := sh.joistsOf(fd)
		from := sh.joistDatum(fd).at
		last := math.Inf(-1)
		for _, j := range js {
			pos := along(across, j.From)
			seg, ok := sh.view.segment(j.From, j.To)
			if pos-last < 120 || !ok { // the partner of a lap stands beside its joist
				continue
			}
			if sh.joistDim(say.Len(pos-from, sh.style), seg, sh.scale.format.note) {
				last = pos
			} else {
				sh.unplaced++
			}
		}
	}
}

// joistDim writes a distance along a joist, beside its line.
func (sh *sheet) joistDim(text string, seg draw.Segment, size float64) bool {
	d := seg.B.Sub(seg.A).Unit()
	if d.X < -1e-9 || (math.Abs(d.X) <= 1e-9 && d.Y < 0) {
		d = d.Times(-1)
		seg = draw.Segment{A: seg.B, B: seg.A}
	}
	angle := math.Atan2(d.Y, d.X) * 180 / math.Pi
	n := d.Left()
	long := seg.B.Sub(seg.A).Len()
	var texts []draw.Text
	var boxes []draw.Box
	for at := 1.0; at+1 < long && at < 60; at += 2 {
		for _, off := range []float64{0.6, -size * 0.95} {
			t := draw.Text{At: seg.A.Add(d.Times(at)).Add(n.Times(off)), Angle: angle, Size: size, Color: draw.Ink, Str: text, Label: true}
			texts = append(texts, t)
			boxes = append(boxes, t.Box())
		}
	}
	return sh.write(texts, boxes)
}

// cutSizes writes the name of cut sheets, and their size where there is room.
func (sh *sheet) cutSizes() {
	size := sh.scale.format.note
	flat := sh.pour.LaidFlat().Deck.Sheets // of which sizes are real
	for i, s := range sh.pour.Deck.Sheets {
		if !s.Cut {
			continue
		}
		ring := sh.view.ring(s.Shape.Outer)
		b := draw.BoxOf(ring)
		if !sh.view.window.Holds(b) {
			continue
		}
		along, across := planSize(flat[i])
		paper := sh.onPaper(s.Shape)
		name := words{s.ID, size, true}
		placed := false
		for _, ws := range [][]words{
			{name, {say.Size(along, across, sh.style), size, false}},
			{name, {say.Len(along, sh.style) + " ×", size, false}, {say.Len(across, sh.style), size, false}},
			{name},
		} {
			w, h := labelSize(ws)
			if placed || w > b.W()-0.6 || h > b.H()-0.6 {
				continue
			}
			var wishes []draw.Box
			for _, fy := range []float64{0.5, 0.3, 0.7, 0.15, 0.85} {
				for _, fx := range []float64{0.5, 0.3, 0.7} {
					c := draw.Point{X: b.Min.X + w/2 + 0.3 + (b.W()-w-0.6)*fx, Y: b.Min.Y + h/2 + 0.3 + (b.H()-h-0.6)*fy}
					if liesOn(paper, c) {
						wishes = append(wishes, draw.BoxAround(c, w, h))
					}
				}
			}
			placed = sh.labelAt(ws, b.Centre(), wishes, draw.Ink)
		}
		if !placed && !sh.upright(s.ID, b, paper, size) {
			sh.unplaced++
		}
	}
}

// liesOn reports whether a place is on a shape and not in one of its holes.
func liesOn(s deck.Shape, p draw.Point) bool {
	at := deck.Point{p.X, p.Y}
	for _, h := range s.Holes {
		if h.Contains(at) {
			return false
		}
	}
	return s.Outer.Contains(at)
}

// upright writes a name up a narrow shape, b its bounds.
func (sh *sheet) upright(name string, b draw.Box, shape deck.Shape, size float64) bool {
	var texts []draw.Text
	var boxes []draw.Box
	for _, fx := range []float64{0.5, 0.2, 0.8} {
		for _, fy := range []float64{0.5, 0.3, 0.7, 0.15, 0.85} {
			t := draw.Text{At: draw.Point{X: b.Min.X + b.W()*fx + 0.3*size, Y: b.Min.Y + b.H()*fy}, Angle: 90, Size: size, Bold: true, Align: draw.Middle, Color: draw.Ink, Str: name, Label: true}
			if at := t.Box(); b.Holds(at) && liesOn(shape, at.Centre()) {
				texts, boxes = append(texts, t), append(boxes, at)
			}
		}
	}
	return sh.write(texts, boxes)
}

// write writes the first of some texts whose box is free.
func (sh *sheet) write(texts []draw.Text, boxes []draw.Box) bool {
	i := sh.place.Place(boxes)
	if i < 0 {
		return false
	}
	sh.page.Shape(draw.None, &draw.Paper, boxes[i].Ring())
	sh.page.Write(texts[i])
	return true
}

// planSize is the size of a sheet in its own directions, the one nearer to the
// x axis first.
func planSize(s deck.Sheet) (first, second float64) {
	n := count.Measure(s)
	if sin, cos := math.Sincos(s.Grain * math.Pi / 180); math.Abs(sin) > math.Abs(cos) {
		return n.Across, n.Along
	}
	return n.Along, n.Across
}

func asPoints(r deck.Ring) []draw.Point {
	out := make([]draw.Point, len(r))
	for i, p := range r {
		out[i] = draw.Point{X: p[0], Y: p[1]}
	}
	return out
}
