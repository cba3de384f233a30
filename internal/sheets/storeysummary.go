package sheets

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"shoreward/internal/reshore"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/flow"
	"shoreward/internal/sheets/say"
)

// storeySummary says first which slab is worst, then when each pour may be struck.
func (s *set) storeySummary(st *storeys) {
	fl := storyFlow{s.lists("loads through storeys", 1), s}
	fl.Heading(0, "Loads through storeys: which slab is worst, and when each pour may be struck", "")
	over, unknown := st.failing()
	switch {
	case len(st.steps) == 0:
		fl.banner("NOTHING TRACED", "the report has no step", true)
	case over > 0:
		fl.banner("DO NOT BUILD SO", fmt.Sprintf("%s carry more than they may", amount(over, "slab or level of props", "slabs or levels of props")), true)
	case unknown > 0:
		fl.banner("NOT PROVEN", fmt.Sprintf("of %s it is not known whether they may carry what they must", amount(unknown, "slab or level of props", "slabs or levels of props")), true)
	case len(st.of.Findings) > 0 || !st.of.Safe:
		fl.banner("DO NOT BUILD SO", "slabs and props hold, but something else does not: see below", true)
	default:
		fl.banner("EVERY SLAB AND PROP HOLDS", "if the concrete is as strong as said when each step is done: tests decide", false)
	}
	fl.worst(st, "Worst slab", slabRatio)
	fl.worst(st, "Worst props", propRatio)
	fl.Space(2)
	s.strikeTable(fl.Flow, st)
	rep := st.of
	fl.Note(fmt.Sprintf("Followed here: %s. Every figure is the worst of all places in plan and of the rigid and the elastic method. "+
		"May carry: the greatest load of the same make-up that would hold by the checks, at the strength then, without factors. The ratio of a slab that was just struck counts people and gear on it besides.", choiceWords(rep)))
	if len(rep.Findings) > 0 {
		t := flow.Table{Title: "What does not hold", Cols: []flow.Col{{Head: "pour", Share: 10}, {Head: "when", Share: 18}, {Head: "what", Share: 62}, {Head: "ratio", Share: 10, Align: draw.Right}}}
		for _, f := range rep.Findings {
			ratio := "–"
			if f.Ratio > 0 {
				ratio = say.Ratio(f.Ratio)
			}
			t.Rows = append(t.Rows, flow.Row{Fails: true, Cells: []string{f.Pour, st.when(f.At), say.Signs(f.What), ratio}})
		}
		fl.Table(t)
	}
	s.options(fl, st)
	fl.Split(2)
	said := func(title string, list []string) {
		if len(list) == 0 {
			return
		}
		fl.Heading(2, title, "")
		for _, l := range list {
			fl.Bullet(say.Signs(l))
		}
	}
	said("What would make it safe", rep.Answers.Remedies)
	said("Not proven by anyone here", rep.Unproven)
	said("Cautions", rep.Cautions)
	if len(rep.Assumed) > 0 {
		t := flow.Table{Title: "Assumed for the storeys, because the job does not say", Cols: []flow.Col{{Head: "what", Share: 26}, {Head: "value", Share: 22}, {Head: "why", Share: 52}}}
		for _, a := range rep.Assumed {
			t.Rows = append(t.Rows, flow.Row{Cells: []string{a.Key, say.Signs(a.Value), say.Signs(a.Reason)}})
		}
		fl.Table(t)
	}
}

func choiceWords(rep *reshore.Report) string {
	c := rep.Choice
	cycle := "a level every " + lasting(c.Cycle)
	if c.Dated {
		cycle = "pours on the dates of the job"
	}
	return fmt.Sprintf("%s, %s, %s", cycle, amount(c.Shores, "level of shores", "levels of shores"), amount(c.Reshores, "level of reshores", "levels of reshores"))
}

// options draws the choices that were followed as cycles against levels of props, each
// with its ratio, and lists what happens when the work does not go as planned.
func (s *set) options(fl storyFlow, st *storeys) {
	a := st.of.Answers
	fl.choices(a, st.of.Choice)
	t := flow.Table{Title: "If the work does not go as planned", Cols: []flow.Col{{Head: "what if", Share: 30}, {Head: "", Share: 22}, {Head: "what governs", Share: 48}}}
	for _, w := range a.WhatIf {
		verdict := "safe"
		switch {
		case !w.Built:
			verdict = "cannot be built"
		case !w.Safe:
			verdict = "NOT SAFE"
		default:
			verdict += fmt.Sprintf(", %.0f %% to spare%s", math.Floor(100*w.Margin+1e-9), slackWords(w.Slack))
		}
		t.Rows = append(t.Rows, flow.Row{Fails: !w.Safe || !w.Built, Cells: []string{w.Name, verdict, say.Signs(w.Why)}})
	}
	fl.Table(t)
}

// amount writes a count with its noun.
func amount(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

// strikeTable lists every pour with its earliest strike.
func (s *set) strikeTable(fl *flow.Flow, st *storeys) {
	t := flow.Table{Title: "When each pour may be struck", Size: 2.7, Cols: []flow.Col{{Head: "pour", Share: 9}, {Head: "placed", Share: 13}, {Head: "strike not before", Share: 18}, {Head: "and tests show", Share: 10, Align: draw.Right},
		{Head: "planned", Share: 18}, {Head: "expected then", Share: 10, Align: draw.Right}, {Head: "what governs, or why not", Share: 32}, {Head: "slab at worst", Share: 7, Align: draw.Right}, {Head: "after step", Share: 20}, {Head: "props at worst", Share: 8, Align: draw.Right}}}
	for i := range st.slabs {
		sl := &st.slabs[i]
		k, worst := st.greatest(i, slabRatio)
		j, props := st.greatest(i, propRatio)
		after, propsWorst := "–", "–"
		if k >= 0 {
			after = fmt.Sprintf("%d %s", k+1, st.steps[k].Name)
		}
		if j >= 0 {
			propsWorst = props.ratio()
		}
		why := sl.Strip.Governs
		if sl.not != "" {
			why = "NOT AS PLANNED: " + sl.not
		}
		planned := "–"
		if st.has(i, reshore.Strip) {
			planned = st.when(sl.Stripped)
		}
		t.Rows = append(t.Rows, flow.Row{Cells: []string{sl.Name, st.placed(i), st.time(sl.earliest()), sl.needs().needed(s.style),
			planned, sl.expectedWords(s.style), why, worst.ratio(), after, propsWorst},
			Fails: sl.not != ""})
	}
	fl.Table(t)
}

func (st *storeys) time(f figure) string {
	if !f.known {
		return notKnown
	}
	return st.when(f.v)
}

// placed is the day of a pour.
func (st *storeys) placed(i int) string {
	if st.has(i, reshore.Place) {
		return st.day(st.slabs[i].Placed)
	}
	return "never"
}

// has reports whether there is a step of a kind on a pour.
func (st *storeys) has(i int, k reshore.Kind) bool { return st.stepOf(i, k) >= 0 }

// stepOf is the first step of a kind on a pour, -1 for none.
func (st *storeys) stepOf(i int, kind reshore.Kind) int {
	for k, s := range st.steps {
		if s.Kind == kind && s.slab == i {
			return k
		}
	}
	return -1
}

// storyFlow is a flow that can also set verdicts.
type storyFlow struct {
	*flow.Flow
	s *set
}

// banner sets a verdict across the page.
func (f storyFlow) banner(first, second string, fails bool) {
	b := f.Take(19)
	b.Min.Y += 2
	color, pen := draw.Ink, draw.Medium
	if fails {
		color, pen = draw.Brick, draw.FailPen
	}
	page := f.Page()
	page.Shape(pen, nil, b.Ring())
	x := b.Min.X + 5
	if fails {
		side := draw.Box{Min: b.Min, Max: draw.Point{X: b.Min.X + 16, Y: b.Max.Y}}
		failArea(page, side.Ring(), b)
		x = side.Max.X + 5
	}
	page.Write(draw.Text{At: draw.Point{X: x, Y: b.Max.Y - 8.6}, Size: 7.5, Bold: true, Color: color, Str: draw.Fit(first, b.Max.X-x-2, 7.5, true)})
	page.Write(draw.Text{At: draw.Point{X: x, Y: b.Min.Y + 2.4}, Size: 3.4, Color: color, Str: draw.Fit(second, b.Max.X-x-2, 3.4, false)})
}

// worst writes the greatest ratio of a kind in large figures, on its band.
func (f storyFlow) worst(st *storeys, what string, of func(slabThen) (figure, bool)) {
	p, ok := st.peak(of)
	if !ok {
		return
	}
	b := f.Take(12)
	page := f.Page()
	tag := draw.Box{Min: draw.Point{X: b.Min.X, Y: b.Min.Y + 1.5}, Max: draw.Point{X: b.Min.X + 30, Y: b.Max.Y - 1}}
	ratioTag(page, tag, p.ratio, "", 5.2)
	sl, step := &st.slabs[p.slab], &st.steps[p.step]
	then := step.slabs[p.slab]
	line := fmt.Sprintf("%s: %s", what, sl.Name)
	detail := fmt.Sprintf("after step %d, %s, %s", p.step+1, step.Name, st.when(step.At))
	if then.method != "" {
		detail += fmt.Sprintf(" (%s, %s method)", then.place, then.method)
	}
	if what == "Worst slab" {
		detail += fmt.Sprintf("; carries %s, may carry %s, %s old, %s", then.load.load(f.s.style), then.capacity.load(f.s.style), lasting(then.age), then.strength.strength(f.s.style))
	} else {
		detail += fmt.Sprintf("; %ss under it carry %s", then.under, then.props.load(f.s.style))
	}
	color := p.ratio.band().Words
	page.Write(draw.Text{At: draw.Point{X: tag.Max.X + 4, Y: b.Max.Y - 5.2}, Size: 4.4, Bold: true, Color: color, Str: line})
	page.Write(draw.Text{At: draw.Point{X: tag.Max.X + 4, Y: b.Min.Y + 2.2}, Size: 3, Color: color, Str: draw.Fit(strings.TrimSpace(detail), b.Max.X-tag.Max.X-4, 3, false)})
}

// ratioTag draws a box in its band with the figure on a clear plate, and a flag on
// what fails.
func ratioTag(p *draw.Page, b draw.Box, f figure, words string, size float64) {
	band := f.band()
	p.Fill(band, b.Ring())
	text := f.ratio()
	if !f.known {
		text = "?"
	}
	text = strings.TrimSpace(words + " " + text)
	if !band.Fails() {
		plate(p, b.Centre(), text, size, band.Words)
		return
	}
	w := draw.Width(text, size, true) // the flag stands beside the figure, on the same ground
	mid := b.Centre()
	p.Shape(draw.None, &draw.Paper, draw.BoxAround(mid, w+5.4, max(size*0.98, draw.FlagHigh+0.4)).Ring())
	plate(p, draw.Point{X: mid.X - 2, Y: mid.Y}, text, size, band.Words)
	p.Flag(draw.Point{X: mid.X + w/2 - 0.8, Y: mid.Y - draw.FlagHigh/2})
}

// plate writes a bold text on a ground of paper, centred.
func plate(p *draw.Page, c draw.Point, text string, size float64, color draw.Color) {
	w := draw.Width(text, size, true)
	p.Shape(draw.None, &draw.Paper, draw.BoxAround(c, w+1, size*0.98).Ring())
	p.Write(draw.Text{At: draw.Point{X: c.X, Y: c.Y - 0.36*size}, Size: size, Bold: true, Align: draw.Middle, Color: color, Str: text, Label: true})
}

// choices draws a row for every cycle and a cell for every number of levels of shores
// and reshores, as many columns at once as the page is wide.
func (f storyFlow) choices(a reshore.Answers, taken reshore.Choice) {
	if len(a.Options) == 0 {
		return
	}
	type props struct{ shores, reshores int }
	var cycles []float64
	var columns []props
	at := map[props]map[float64]int{}
	for n, o := range a.Options {
		p := props{o.Shores, o.Reshores}
		if at[p] == nil {
			at[p] = map[float64]int{}
			columns = append(columns, p)
		}
		if !slices.Contains(cycles, o.Cycle) {
			cycles = append(cycles, o.Cycle)
		}
		at[p][o.Cycle] = n
	}
	slices.Sort(cycles)
	slices.SortFunc(columns, func(x, y props) int {
		return cmp.Or(cmp.Compare(x.shores, y.shores), cmp.Compare(x.reshores, y.reshores))
	})
	const names, wide, tall = 34.0, 19.0, 6.2
	f.Need(4 * tall)
	f.Heading(2, "Choices that were followed: ratio of the worst slab or props", "")
	most := int((f.Width() - names) / wide)
	for from := 0; from < len(columns); from += most {
		part := columns[from:min(from+most, len(columns))]
		head := func() {
			b := f.Take(tall)
			f.Page().Write(draw.Text{At: draw.Point{X: b.Min.X, Y: b.Min.Y + 1.6}, Size: 2.6, Bold: true, Color: draw.Ink, Str: "shores + reshores"})
			for n, p := range part {
				f.Page().Write(draw.Text{At: draw.Point{X: b.Min.X + names + (float64(n)+0.5)*wide, Y: b.Min.Y + 1.6}, Size: 2.6, Bold: true, Align: draw.Middle, Color: draw.Ink, Str: fmt.Sprintf("%d + %d", p.shores, p.reshores)})
			}
		}
		head()
		page := f.Page()
		for _, cycle := range cycles {
			if f.Need(tall); f.Page() != page {
				head()
				page = f.Page()
			}
			b := f.Take(tall)
			page.Write(draw.Text{At: draw.Point{X: b.Min.X, Y: b.Min.Y + 1.9}, Size: 2.6, Color: draw.Ink, Str: "cycle of " + lasting(cycle)})
			for n, p := range part {
				k, ok := at[p][cycle]
				if !ok {
					continue
				}
				left := b.Min.X + names + float64(n)*wide
				cell := draw.Box{Min: draw.Point{X: left + 0.6, Y: b.Min.Y + 0.6}, Max: draw.Point{X: left + wide - 0.6, Y: b.Max.Y - 0.6}}
				f.option(cell, a, k, taken)
			}
		}
		f.Space(2)
	}
	f.Note("A heavy frame: the choice of these sheets. F: the fastest that holds. G: the least gear that holds. A dash: cannot be built in the time.")
	for _, x := range []struct {
		name string
		n    int
	}{{"Fastest that holds", a.Fastest}, {"Least gear that holds", a.Cheapest}} {
		if x.n >= 0 && x.n < len(a.Options) {
			o := a.Options[x.n]
			f.Para(fmt.Sprintf("%s: %d + %d, a cycle of %s%s; governed by %s.", x.name, o.Shores, o.Reshores, lasting(o.Cycle), slackWords(o.Slack), say.Signs(o.Why)))
		}
	}
	if a.Fastest < 0 {
		f.Strong("None of them holds.")
	}
}

// slackWords says how long before they are needed the forms are back.
func slackWords(h *float64) string {
	if h == nil {
		return ""
	}
	early := int(math.Floor(*h + 1e-6))
	if early < 0 {
		return fmt.Sprintf(", forms back %d h late", -early)
	}
	return fmt.Sprintf(", forms back %d h early", early)
}

// option is the cell of one choice. One that does not hold is never drawn in the band
// of one that does.
func (f storyFlow) option(cell draw.Box, a reshore.Answers, k int, taken reshore.Choice) {
	o := a.Options[k]
	page := f.Page()
	ratio := figure{o.Ratio, o.Ratio > 0}
	switch {
	case !o.Built:
		page.Shape(draw.Hairline, nil, cell.Ring())
		page.Write(draw.Text{At: draw.Point{X: cell.Centre().X, Y: cell.Centre().Y - 0.9}, Size: 2.6, Align: draw.Middle, Color: draw.Ink, Str: "–"})
	case !o.Safe && !ratio.band().Fails():
		ratioTag(page, cell, figure{}, "", 2.6)
	default:
		mark := ""
		if k == a.Fastest {
			mark = "F"
		}
		if k == a.Cheapest {
			mark += "G"
		}
		ratioTag(page, cell, ratio, mark, 2.6)
	}
	if o.Cycle == taken.Cycle && o.Shores == taken.Shores && o.Reshores == taken.Reshores && !taken.Dated {
		page.Shape(draw.Pen{Width: 1, Color: draw.Ink}, nil, cell.Grow(0.3).Ring())
	}
}
