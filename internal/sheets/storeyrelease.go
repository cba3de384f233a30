package sheets

import (
	"fmt"
	"strings"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
	"shoreward/internal/reshore"
	"shoreward/internal/rules/osha1926"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/flow"
	"shoreward/internal/sheets/say"
)

// release is the page that is filled in before a pour is struck: what is required,
// what was found, and who says so. It prints the plan's figures and leaves the rest
// to be written by hand.
func (s *set) release(st *storeys, i int) {
	k := st.stepOf(i, reshore.Strip)
	if k < 0 {
		return
	}
	lines := []float64{8.6, 7.4, 6.6, 5.8} // mm: as tall as one page allows
	for n, line := range lines {
		try := &set{doc: s.doc, style: s.style, out: &draw.Document{}}
		try.fillRelease(st, i, k, line)
		if len(try.out.Pages) == 1 || n == len(lines)-1 {
			s.fillRelease(st, i, k, line)
			return
		}
	}
}

// fillRelease writes the release sheet with lines of a height.
func (s *set) fillRelease(st *storeys, i, k int, line float64) {
	sl := &st.slabs[i]
	levels := st.stackOf(i, k)
	f := &form{line: line, Flow: s.forms(sl.Name+": release before striking", "Release of forms and shores: pour "+sl.Name+", level "+sl.Level)}
	if sl.not != "" {
		f.verdict("NOT TO BE STRUCK AS PLANNED", say.Signs(sl.not), true)
	} else {
		f.verdict("STRIKE AT "+sl.needs().needed(s.style)+" OR MORE", "shown by tests of this concrete, and not before "+st.time(sl.earliest())+"  ("+say.Signs(sl.Strip.Governs)+")", false)
	}
	f.Note(fmt.Sprintf("Step %d, %s. Placed %s; planned to be struck %s. Fill in every line. An open line, or a found value under the required one: do not strike.",
		k+1, st.steps[k].Name, st.when(sl.Placed), st.when(sl.Stripped)))

	f.part("1  Strength of the concrete in place")
	f.ask("strength", "at least "+sl.needs().needed(s.style))
	f.ask("shown by", "field-cured cylinders, or maturity confirmed by another test; lab and report no.")
	f.ask("cylinders, made and tested", "two or more; each value")
	f.ask("time since placing ended", st.sincePlaced(i))
	f.ask("lowest temperature of the concrete", frost(s.style))
	if sl.Strip.Forecast {
		f.Strong("The time above leans on forecast temperatures: what was measured decides.")
	}

	f.part("2  Levels")
	for _, j := range levels {
		if j == i {
			continue
		}
		f.ask(st.slabs[j].Name, levelBefore(st, j, k))
	}
	if n := len(sl.Layout.Reshores); n > 0 {
		f.ask("reshores ready", fmt.Sprintf("%d on %s, whole, set to length, places marked", n, floorName(sl)))
	} else if st.has(i, reshore.PutReshores) {
		f.ask("reshores ready", "number and places not known from this plan: engineer to give them")
	}
	f.ask("no load on the slab but what is allowed", "no stacked material, no plant")

	f.part("3  Inspections")
	f.ask("shores and bracing", "as drawn, plumb, none damaged, none missing")
	f.ask("slab: edges, columns, openings", "no cracks, sags or honeycomb that the engineer has not seen")
	f.ask("area below", "cleared, closed off, someone on watch")

	if len(sl.Layout.Reshores) > 0 {
		f.part("4  Areas in order: strip one, reshore it, then the next")
	} else {
		f.part("4  Areas in order, one at a time")
	}
	f.areas(sl)

	for _, line := range st.laterWords(i) {
		f.Space(0.6)
		f.Para(line + " Their release is asked for again then (1926.703(e)(2)).")
	}
	f.part("5  Release")
	f.sign("Superintendent: lines 1 to 3 are as required", []string{"name", "signature", "date, time"})
	f.sign("Responsible engineer", []string{"name, licence no.", "signature", "date, time"})
	f.choice("Released", "Not released", "Released with these conditions:")

	f.duties()
}

// sincePlaced writes the least age.
func (st *storeys) sincePlaced(i int) string {
	sl := &st.slabs[i]
	if e := sl.earliest(); e.known {
		return "at least " + lasting(e.v-sl.Placed)
	}
	return notKnown
}

// frost is the temperature under which strength is not to be told from time.
func frost(s quantity.Style) string {
	if s == quantity.US {
		return "write it down; hours under 50 °F do not count (from memory: confirm)"
	}
	return "write it down; hours under 10 °C do not count (from memory: confirm)"
}

// levelBefore says how a level above or below must stand before the step.
func levelBefore(st *storeys, j, k int) string {
	if k == 0 {
		return "as drawn"
	}
	switch then := st.steps[k-1].slabs[j]; {
	case !then.placed:
		return "not placed yet"
	case then.under == "":
		return "nothing under it"
	case then.loose:
		return then.under + "s under it, made snug"
	default:
		return then.under + "s under it, all in place and snug"
	}
}

// form is a flow with boxes and lines to write on.
type form struct {
	*flow.Flow
	line float64 // height of a line to fill in
}

// forms starts upright pages for a clipboard.
func (s *set) forms(name, title string) *flow.Flow {
	w, h := 210.0, 297.0
	if s.style == quantity.US {
		w, h = 215.9, 279.4
	}
	return &flow.Flow{Columns: 1, Size: 2.5, NewPage: func() (*draw.Page, draw.Box) {
		p := s.page(format{w: w, h: h}, name)
		box := draw.Box{Min: draw.Point{X: border, Y: border}, Max: draw.Point{X: w - border, Y: h - border}}
		top, foot := box.Max.Y-12, box.Min.Y+7.5
		p.Line(draw.Heavy, draw.Point{X: box.Min.X, Y: top}, draw.Point{X: box.Max.X, Y: top})
		p.Write(draw.Text{At: draw.Point{X: box.Min.X + 4, Y: top + 6}, Size: 4.4, Bold: true, Color: draw.Ink, Str: draw.Fit(title, box.W()-8, 4.4, true)})
		p.Write(draw.Text{At: draw.Point{X: box.Min.X + 4, Y: top + 2}, Size: 2.6, Color: draw.Grey, Str: draw.Fit(s.doc.Job.Name, box.W()*0.8, 2.6, false)})
		p.Line(draw.Heavy, draw.Point{X: box.Min.X, Y: foot}, draw.Point{X: box.Max.X, Y: foot})
		p.Write(draw.Text{At: draw.Point{X: box.Min.X + 4, Y: foot - 4.6}, Size: 2, Color: draw.Ink, Str: Aid})
		s.numbers = append(s.numbers, numberPlace{p, draw.Point{X: box.Max.X - 3, Y: foot - 4.8}, 2.8})
		p.Layer = "lists"
		in := box.Grow(-4)
		in.Min.Y, in.Max.Y = foot+2.5, top-2.5
		return p, in
	}}
}

func (f *form) verdict(first, second string, fails bool) {
	lines := draw.Wrap(second, f.Width()-8, 2.8, false)
	b := f.Take(11 + 3.6*float64(len(lines)))
	b.Min.Y += 1.5
	color, pen := draw.Ink, draw.Heavy
	page := f.Page()
	if fails {
		color, pen = draw.Brick, draw.FailPen
		side := draw.Box{Min: draw.Point{X: b.Max.X - 22, Y: b.Max.Y - 8}, Max: b.Max}
		failArea(page, side.Ring(), b)
	}
	page.Shape(pen, nil, b.Ring())
	page.Write(draw.Text{At: draw.Point{X: b.Min.X + 4, Y: b.Max.Y - 6.6}, Size: 5.8, Bold: true, Color: color, Str: draw.Fit(first, b.W()-30, 5.8, true)})
	for n, l := range lines {
		page.Write(draw.Text{At: draw.Point{X: b.Min.X + 4, Y: b.Max.Y - 10.6 - 3.6*float64(n)}, Size: 2.8, Color: color, Str: l})
	}
}

// part begins a part of the form, with the heads of its columns.
func (f *form) part(title string) {
	f.Space(1)
	f.Need(14)
	b := f.Take(5.2)
	page := f.Page()
	page.Write(draw.Text{At: draw.Point{X: b.Min.X, Y: b.Min.Y + 1.4}, Size: 3.1, Bold: true, Color: draw.Ink, Str: title})
	page.Line(draw.TableHead, b.Min, draw.Point{X: b.Max.X, Y: b.Min.Y})
	if strings.HasPrefix(title, "1") || strings.HasPrefix(title, "2") || strings.HasPrefix(title, "3") {
		for _, h := range []struct {
			share float64
			text  string
		}{{0.62, "found"}, {0.82, "who, when"}, {0.965, "ok"}} {
			page.Write(draw.Text{At: draw.Point{X: b.Min.X + h.share*b.W(), Y: b.Min.Y + 1.4}, Size: 2.2, Color: draw.Grey, Str: h.text})
		}
	}
}

// ask is a line of the form: what, what is required, room for what was found and by
// whom, and a box to tick.
func (f *form) ask(what, required string) {
	const size = 2.5
	w := f.Width()
	left := draw.Wrap(what, 0.23*w-1.5, size, true)
	mid := draw.Wrap(required, 0.37*w-1.5, size, false)
	h := max(f.line, 1.8+float64(max(len(left), len(mid)))*size*flow.Leading)
	b := f.Take(h)
	page := f.Page()
	write := func(lines []string, x float64, bold bool) {
		for n, l := range lines {
			page.Write(draw.Text{At: draw.Point{X: x, Y: b.Max.Y - 3.6 - float64(n)*size*flow.Leading}, Size: size, Bold: bold, Color: draw.Ink, Str: l})
		}
	}
	write(left, b.Min.X, true)
	write(mid, b.Min.X+0.23*w, false)
	y := b.Min.Y + 1
	page.Line(draw.Thin, draw.Point{X: b.Min.X + 0.61*w, Y: y}, draw.Point{X: b.Min.X + 0.80*w, Y: y})
	page.Line(draw.Thin, draw.Point{X: b.Min.X + 0.81*w, Y: y}, draw.Point{X: b.Min.X + 0.95*w, Y: y})
	page.Shape(draw.Medium, nil, draw.BoxAround(draw.Point{X: b.Max.X - 3, Y: b.Min.Y + 3}, 4, 4).Ring())
	page.Line(draw.TablePen, b.Min, draw.Point{X: b.Max.X, Y: b.Min.Y})
}

// areas gives every strip area two boxes with room for the time.
func (f *form) areas(sl *storeySlab) {
	list := inOrder(sl)
	if len(list) == 0 {
		f.ask("order of areas", "not known from this plan: engineer to give it")
		return
	}
	rowH, most := min(7.2, f.line), 4
	w := f.Width() / float64(most)
	for n := 0; n < len(list); n += most {
		b := f.Take(rowH)
		page := f.Page()
		for m, a := range list[n:min(n+most, len(list))] {
			x := b.Min.X + float64(m)*w
			mid := draw.Point{X: x + 3, Y: b.Min.Y + rowH/2}
			page.Disc(draw.Medium, nil, mid, 2.5)
			page.Write(draw.Text{At: draw.Point{X: mid.X, Y: mid.Y - 1}, Size: 2.6, Bold: true, Align: draw.Middle, Color: draw.Ink, Str: fmt.Sprint(a.Number)})
			words := "stripped"
			then := "reshored"
			if len(a.Reshores) > 0 {
				then = fmt.Sprintf("%d reshored", len(a.Reshores))
			}
			box := func(x float64, text string) {
				page.Shape(draw.Thin, nil, draw.BoxAround(draw.Point{X: x + 1.6, Y: mid.Y}, 3, 3).Ring())
				page.Write(draw.Text{At: draw.Point{X: x + 4, Y: mid.Y - 0.8}, Size: 2.2, Color: draw.Ink, Str: text})
			}
			box(x+7, words)
			if len(sl.Layout.Reshores) > 0 {
				box(x+7+0.38*w, then)
			}
		}
	}
}

// sign is a line to sign on.
func (f *form) sign(who string, fields []string) {
	b := f.Take(6 + 0.8*f.line)
	page := f.Page()
	page.Write(draw.Text{At: draw.Point{X: b.Min.X, Y: b.Max.Y - 4}, Size: 2.7, Bold: true, Color: draw.Ink, Str: who})
	w := b.W() / float64(len(fields))
	for n, name := range fields {
		x := b.Min.X + float64(n)*w
		page.Line(draw.Medium, draw.Point{X: x, Y: b.Min.Y + 3}, draw.Point{X: x + w - 4, Y: b.Min.Y + 3})
		page.Write(draw.Text{At: draw.Point{X: x, Y: b.Min.Y + 0.5}, Size: 2.1, Color: draw.Grey, Str: name})
	}
}

// choice is a row of boxes of which one is ticked.
func (f *form) choice(list ...string) {
	b := f.Take(8)
	page := f.Page()
	x := b.Min.X
	for _, l := range list {
		page.Shape(draw.Medium, nil, draw.BoxAround(draw.Point{X: x + 2.2, Y: b.Min.Y + 3.6}, 4.4, 4.4).Ring())
		page.Write(draw.Text{At: draw.Point{X: x + 6, Y: b.Min.Y + 2.6}, Size: 2.9, Bold: true, Color: draw.Ink, Str: l})
		x += 12 + draw.Width(l, 2.9, true)
	}
	page.Line(draw.Thin, draw.Point{X: x - 4, Y: b.Min.Y + 2}, draw.Point{X: b.Max.X, Y: b.Min.Y + 2})
}

// duties prints what the law of the United States asks of whoever strikes, in two
// columns of one block.
func (f *form) duties() {
	const size, gap = 2.0, 6.0
	f.Space(1.5)
	type duty struct {
		clause string
		lines  []string
	}
	w := (f.Width() - gap) / 2
	var list []duty
	count := 0
	for _, c := range osha1926.Cautions() {
		clause, ok := strings.CutPrefix(c.Section, "29 CFR 1926.703")
		if !ok {
			continue
		}
		text := c.Duty
		if c.Evidence == calc.Memory || c.Evidence == calc.ReadWeak {
			text += " *"
		}
		d := duty{clause, draw.Wrap(text, w-9, size, false)}
		list, count = append(list, d), count+len(d.lines)
	}
	lines := 0
	right := len(list)
	for n, d := range list {
		if lines+len(d.lines) > (count+1)/2 {
			right = n
			break
		}
		lines += len(d.lines)
	}
	height := float64(max(lines, count-lines))*size*flow.Leading + 8
	b := f.Take(height)
	page := f.Page()
	page.Write(draw.Text{At: draw.Point{X: b.Min.X, Y: b.Max.Y - 3}, Size: 2.3, Bold: true, Color: draw.Ink,
		Str: "Duties, 29 CFR 1926.703: law in the United States, good practice anywhere.   * " + say.Evidence(calc.Memory)})
	x, y := b.Min.X, b.Max.Y-6.4
	for n, d := range list {
		if n == right {
			x, y = b.Min.X+w+gap, b.Max.Y-6.4
		}
		page.Write(draw.Text{At: draw.Point{X: x, Y: y}, Size: size, Bold: true, Color: draw.Ink, Str: d.clause})
		for _, l := range d.lines {
			page.Write(draw.Text{At: draw.Point{X: x + 9, Y: y}, Size: size, Color: draw.Ink, Str: l})
			y -= size * flow.Leading
		}
	}
}
