package sheets

import (
	"fmt"
	"strings"

	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/flow"
	"shoreward/internal/sheets/say"
)

// storeySummary says first which slab is worst, then when each pour may be struck.
func (s *set) storeySummary(st *Storeys) {
	fl := storyFlow{s.lists("loads through storeys", 1), s}
	fl.Heading(0, "Loads through storeys: which slab is worst, and when each pour may be struck", "")
	over, unknown := st.failing()
	switch {
	case len(st.Steps) == 0:
		fl.banner("NOTHING TRACED", "the history has no step", true)
	case over > 0:
		fl.banner("DO NOT BUILD SO", fmt.Sprintf("%s carry more than they may", many(over, "slab or level of props", "slabs or levels of props")), true)
	case unknown > 0:
		fl.banner("NOT PROVEN", fmt.Sprintf("of %s it is not known whether they may carry what they must", many(unknown, "slab or level of props", "slabs or levels of props")), true)
	default:
		fl.banner("EVERY SLAB AND PROP HOLDS", "if the concrete is as strong as said when each step is done: tests decide", false)
	}
	fl.worst(st, "Worst slab", slabRatio)
	fl.worst(st, "Worst props", propRatio)
	fl.Space(2)
	s.strikeTable(fl.Flow, st)
	fl.Note("Found by: " + st.Method)
	if len(st.Assumed) > 0 {
		t := flow.Table{Title: "Assumed for the storeys, because the job does not say", Cols: []flow.Col{{Head: "what", Share: 26}, {Head: "value", Share: 22}, {Head: "why", Share: 52}}}
		for _, a := range st.Assumed {
			t.Rows = append(t.Rows, flow.Row{Cells: []string{a.Key, a.Value, a.Reason}})
		}
		fl.Table(t)
	}
	if len(st.Unsure) > 0 {
		t := flow.Table{Title: "Used without sight of the published text: confirm", Cols: []flow.Col{{Head: "of", Share: 26}, {Head: "value", Share: 30}, {Head: "source", Share: 26}, {Head: "evidence", Share: 18}}}
		for _, u := range say.Merged(st.Unsure) {
			t.Rows = append(t.Rows, flow.Row{Cells: []string{u.Of, say.Signs(u.Value), u.Source, say.Evidence(u.Evidence)}})
		}
		fl.Table(t)
	}
}

func many(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

// strikeTable lists every pour with its earliest strike.
func (s *set) strikeTable(fl *flow.Flow, st *Storeys) {
	t := flow.Table{Title: "Strike", Size: 2.7, Cols: []flow.Col{{Head: "pour", Share: 9}, {Head: "placed", Share: 11}, {Head: "strike not before", Share: 17}, {Head: "and tests show", Share: 10, Align: draw.Right},
		{Head: "planned", Share: 17}, {Head: "expected then", Share: 10, Align: draw.Right}, {Head: "what governs, or why not", Share: 30}, {Head: "slab worst", Share: 7, Align: draw.Right}, {Head: "after", Share: 20}, {Head: "props worst", Share: 7, Align: draw.Right}}}
	for i := range st.Slabs {
		sl := &st.Slabs[i]
		k, worst := st.greatest(i, slabRatio)
		j, props := st.greatest(i, propRatio)
		after, propsWorst := "–", "–"
		if k >= 0 {
			after = fmt.Sprintf("%d %s", k+1, st.Steps[k].Name)
		}
		if j >= 0 {
			propsWorst = props.ratio()
		}
		why := sl.Strike.Governs
		if sl.Strike.Not != "" {
			why = "NOT AS PLANNED: " + sl.Strike.Not
		}
		t.Rows = append(t.Rows, flow.Row{Cells: []string{sl.Pour, st.placed(i), st.earliest(i), sl.Strike.Strength.needed(s.style),
			st.time(sl.Strike.Planned), sl.Strike.Expected.strength(s.style), why, worst.ratio(), after, propsWorst},
			Fails: st.fails(i)})
	}
	fl.Table(t)
}

// fails reports whether a pour must not be struck as planned, or it or its props
// are ever over or not known.
func (st *Storeys) fails(i int) bool {
	sl := &st.Slabs[i]
	if sl.Strike.Not != "" || !sl.Strike.Earliest.Known || !sl.Strike.Strength.Known {
		return true
	}
	for _, of := range []func(SlabThen) (Figure, bool){slabRatio, propRatio} {
		if k, f := st.greatest(i, of); k >= 0 && f.band().Fails() {
			return true
		}
	}
	return false
}

func (st *Storeys) earliest(i int) string { return st.time(st.Slabs[i].Strike.Earliest) }

func (st *Storeys) time(f Figure) string {
	if !f.Known {
		return notKnown
	}
	return st.when(f.V)
}

// placed is the day of a pour.
func (st *Storeys) placed(i int) string {
	if k := st.placing(i); k >= 0 {
		return st.day(st.Steps[k].Hours)
	}
	return "never"
}

// placing is the step that places a slab, -1 when none does.
func (st *Storeys) placing(i int) int {
	for k, s := range st.Steps {
		if s.Kind == PlaceStep && s.Slab == i {
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
func (f storyFlow) worst(st *Storeys, what string, of func(SlabThen) (Figure, bool)) {
	p, ok := st.peak(of)
	if !ok {
		return
	}
	b := f.Take(12)
	page := f.Page()
	tag := draw.Box{Min: draw.Point{X: b.Min.X, Y: b.Min.Y + 1.5}, Max: draw.Point{X: b.Min.X + 30, Y: b.Max.Y - 1}}
	ratioTag(page, tag, p.ratio, "", 5.2)
	sl, step := &st.Slabs[p.slab], &st.Steps[p.step]
	then := step.Slabs[p.slab]
	line := fmt.Sprintf("%s: %s", what, sl.Pour)
	detail := fmt.Sprintf("after step %d, %s, %s", p.step+1, step.Name, st.when(step.Hours))
	if what == "Worst slab" {
		detail += fmt.Sprintf("; carries %s, may carry %s, %s old, %s", then.Load.load(f.s.style), then.Capacity.load(f.s.style), lasting(then.Age), then.Strength.strength(f.s.style))
	} else {
		detail += fmt.Sprintf("; %ss under it carry %s", then.Under, then.Props.load(f.s.style))
	}
	color := p.ratio.band().Words
	page.Write(draw.Text{At: draw.Point{X: tag.Max.X + 4, Y: b.Max.Y - 5.2}, Size: 4.4, Bold: true, Color: color, Str: line})
	page.Write(draw.Text{At: draw.Point{X: tag.Max.X + 4, Y: b.Min.Y + 2.2}, Size: 3, Color: color, Str: draw.Fit(strings.TrimSpace(detail), b.Max.X-tag.Max.X-4, 3, false)})
}

// ratioTag draws a box in its band with the figure on a clear plate, and a flag on
// what fails.
func ratioTag(p *draw.Page, b draw.Box, f Figure, words string, size float64) {
	band := f.band()
	p.Fill(band, b.Ring())
	text := f.ratio()
	if !f.Known {
		text = "?"
	}
	plate(p, b.Centre(), strings.TrimSpace(words+" "+text), size, band.Words)
	if band.Fails() {
		p.Flag(draw.Point{X: b.Min.X + 0.6, Y: b.Max.Y})
	}
}

// plate writes a bold text on a ground of paper, centred.
func plate(p *draw.Page, c draw.Point, text string, size float64, color draw.Color) {
	w := draw.Width(text, size, true)
	p.Shape(draw.None, &draw.Paper, draw.BoxAround(c, w+1, size*0.98).Ring())
	p.Write(draw.Text{At: draw.Point{X: c.X, Y: c.Y - 0.36*size}, Size: size, Bold: true, Align: draw.Middle, Color: color, Str: text, Label: true})
}
