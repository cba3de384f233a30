package book

import (
	"fmt"
	"math"
	"reflect"
	"slices"

	"shoreward/internal/calc"
	"shoreward/internal/reshore"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/flow"
	"shoreward/internal/sheets/say"
)

// storeys writes the chapter on the loads through all levels.
func (b *book) storeys() {
	r := b.doc.Storeys
	if r == nil {
		return
	}
	b.flow.Break()
	b.head(0, "Storeys")
	for _, c := range r.Cautions {
		b.flow.Bullet(c)
	}
	b.flow.Space(2)
	how := fmt.Sprintf("a cycle of %s", dayText(r.Choice.Cycle))
	if r.Choice.Dated {
		how = "the dates of the pours"
	}
	b.flow.Para(fmt.Sprintf("Followed by %s with %d level(s) of shores and %d of reshores, by the simplified method (rigid props, slabs of full stiffness) and by the elastic one (props that shorten, slabs that grow stiffer with age). The worse of both counts.",
		how, r.Choice.Shores, r.Choice.Reshores))
	b.storeysFindings(r)
	b.striking(r)
	b.storeysWorked(r)
	b.operations(r)
	b.propLevels(r)
	b.reshores(r)
	b.options(r)
	if len(r.Unproven) > 0 {
		b.head(1, "Not proven here")
		for _, u := range r.Unproven {
			b.flow.Bullet(u)
		}
	}
}

func dayText(h float64) string {
	if d := math.Round(h/24*10) / 10; d != 1 {
		return fmt.Sprintf("%g days", d)
	}
	return "1 day"
}

// timeText is a date, or a day of the work where there is no calendar.
func timeText(date string, h float64) string {
	if date != "" {
		return date
	}
	day := math.Floor(h/24 + 1e-9)
	return fmt.Sprintf("day %g, %02.0f:00", day, math.Floor(h-24*day+1e-6))
}

func (b *book) storeysFindings(r *reshore.Report) {
	if r.Safe {
		b.flow.Strong("Every slab and every level of props holds after every operation.")
		return
	}
	b.head(1, "What does not hold")
	t := flow.Table{Cols: []flow.Col{{Head: "what", Share: 76}, {Head: "ratio", Share: 10, Align: draw.Right}, {Head: "", Share: 14}}}
	for _, f := range r.Findings {
		ratio := ""
		if f.Ratio > 0 {
			ratio = say.Ratio(f.Ratio)
		}
		t.Rows = append(t.Rows, flow.Row{Fails: true, Cells: []string{f.What, ratio, "FAILS"}})
	}
	b.flow.Table(t)
	for _, m := range r.Answers.Remedies {
		b.flow.Bullet("What would hold: " + m)
	}
}

// striking is when each pour may be struck.
func (b *book) striking(r *reshore.Report) {
	b.head(1, "Earliest striking")
	b.flow.Para("The strength must be shown by tests of the concrete of that pour before its forms go. The last column is the guide's time where nothing is tested, for comparison.")
	t := flow.Table{Cols: []flow.Col{{Head: "pour", Share: 10}, {Head: "strike", Share: 18}, {Head: "after", Share: 10, Align: draw.Right}, {Head: "strength", Share: 13, Align: draw.Right}, {Head: "governed by", Share: 37}, {Head: "untested", Share: 12, Align: draw.Right}}}
	for _, p := range r.Pours {
		when, table := timeText(p.Strip.Date, p.Strip.Earliest), "none"
		if !p.Strip.Possible {
			when = "never"
		}
		if p.Strip.TableDays > 0 {
			table = dayText(24 * p.Strip.TableDays)
		}
		t.Rows = append(t.Rows, flow.Row{Fails: !p.Strip.Possible, Cells: []string{p.Name, when, dayText(p.Strip.After), say.Value(p.Strip.Strength, calc.Stress, b.style), p.Strip.Governs, table}})
	}
	b.flow.Table(t)
	for _, p := range r.Pours {
		for _, l := range p.Strip.Lines {
			b.cite(l.Source, l.Evidence)
		}
	}
}

// storeysWorked sets what the loads and stiffnesses of the pours come from, and the
// governing check of each kind, with all that fail; the others are in a table.
func (b *book) storeysWorked(r *reshore.Report) {
	b.head(1, "Loads and stiffness of the slabs, governing checks")
	var kinds []string
	most := map[string]reshore.Worked{}
	ratio := func(w reshore.Worked) float64 { l, _ := w.Lines.Worst(); return l.Ratio }
	var loads []reshore.Worked
	for _, w := range r.Worst {
		if w.Kind == "loads" {
			if k := slices.IndexFunc(loads, func(o reshore.Worked) bool { return reflect.DeepEqual(o.Lines, w.Lines) }); k >= 0 {
				loads[k].Pour += ", " + w.Pour
			} else {
				loads = append(loads, w)
			}
			continue
		}
		if _, ok := most[w.Kind]; !ok {
			kinds = append(kinds, w.Kind)
		}
		if m, ok := most[w.Kind]; !ok || ratio(w) > ratio(m) {
			most[w.Kind] = w
		}
	}
	for _, w := range loads {
		b.flow.Need(30)
		b.flow.Heading(2, "Pour "+w.Pour+": "+w.Name, "")
		b.lines(w.Lines)
	}
	table := flow.Table{Title: "Worst check of each kind and pour", Cols: []flow.Col{{Head: "pour", Share: 12}, {Head: "check", Share: 12}, {Head: "what", Share: 66}, {Head: "ratio", Share: 10, Align: draw.Right}}}
	for _, kind := range kinds {
		for _, w := range r.Worst {
			if w.Kind != kind {
				continue
			}
			table.Rows = append(table.Rows, flow.Row{Fails: fails(ratio(w)), Cells: []string{w.Pour, w.Kind, w.Name, say.Ratio(ratio(w))}})
			if !reflect.DeepEqual(w, most[kind]) && !fails(ratio(w)) {
				continue
			}
			b.flow.Need(30)
			b.flow.Heading(2, fmt.Sprintf("Pour %s, %s: %s", w.Pour, w.Kind, w.Name), "")
			b.lines(w.Lines)
		}
	}
	b.flow.Table(table)
}

// operations lists the work with the worst ratio after each.
func (b *book) operations(r *reshore.Report) {
	b.head(1, "Operations")
	t := flow.Table{Cols: []flow.Col{{Head: "", Share: 5, Align: draw.Right}, {Head: "when", Share: 17}, {Head: "operation", Share: 24}, {Head: "worst after it", Share: 45}, {Head: "ratio", Share: 9, Align: draw.Right}}}
	for _, s := range r.Steps {
		t.Rows = append(t.Rows, flow.Row{Fails: fails(s.Ratio), Cells: []string{fmt.Sprint(s.Number), timeText(s.Date, s.At), s.Name, s.Where, say.Ratio(s.Ratio)}})
	}
	b.flow.Table(t)
}

// propLevels lists the most that each level of props carries.
func (b *book) propLevels(r *reshore.Report) {
	b.head(1, "Levels of props")
	t := flow.Table{Cols: []flow.Col{{Head: "under", Share: 12}, {Head: "kind", Share: 12}, {Head: "props", Share: 9, Align: draw.Right}, {Head: "load", Share: 15, Align: draw.Right}, {Head: "rated", Share: 15, Align: draw.Right},
		{Head: "ratio", Share: 9, Align: draw.Right}, {Head: "stiffness per area", Share: 16, Align: draw.Right}, {Head: "worst by", Share: 12}}}
	for _, p := range r.Pours {
		for _, l := range []struct {
			kind string
			of   reshore.PropLevel
		}{{"shores", p.Shores}, {"reshores", p.Reshores}} {
			if l.of.Count > 0 {
				t.Rows = append(t.Rows, flow.Row{Fails: fails(l.of.Ratio), Cells: []string{p.Name, l.kind, fmt.Sprint(l.of.Count), say.Value(l.of.Most, calc.Pressure, b.style), say.Value(l.of.Rating, calc.Pressure, b.style),
					say.Ratio(l.of.Ratio), say.Value(l.of.Stiffness, calc.UnitWeight, b.style), l.of.Method}})
			}
		}
	}
	b.flow.Table(t)
}

// reshores lists where they stand.
func (b *book) reshores(r *reshore.Report) {
	for _, p := range r.Pours {
		if len(p.Layout.Reshores) == 0 {
			continue
		}
		b.head(1, "Reshores under pour "+p.Name)
		b.flow.Para(fmt.Sprintf("Put back snug area by area, %d areas, in the order of the strip sheet. No place of the slab is farther than %s from a reshore or support.", len(p.Sequence), say.Len(p.Layout.Pitch/2, b.style)))
		var rows []flow.Row
		for _, x := range p.Layout.Reshores {
			rows = append(rows, flow.Row{Fails: fails(x.Ratio), Cells: []string{x.ID, say.Len(x.At[0], b.style), say.Len(x.At[1], b.style), x.Over, say.Value(x.Load, calc.Force, b.style), say.Ratio(x.Ratio)}})
		}
		b.flow.Split(2)
		b.flow.Table(flow.Table{Size: 2.2, Rows: rows, Cols: []flow.Col{{Head: "", Share: 12}, {Head: "x", Share: 22, Align: draw.Right}, {Head: "y", Share: 22, Align: draw.Right}, {Head: "under", Share: 14}, {Head: "load", Share: 17, Align: draw.Right}, {Head: "ratio", Share: 13, Align: draw.Right}}})
		b.flow.Join()
	}
}

// options lists the choices that hold, and what if.
func (b *book) options(r *reshore.Report) {
	b.head(1, "Cycles, shores and reshores")
	a := r.Answers
	b.flow.Para(fmt.Sprintf("%d choices were followed through the whole building; these hold.", len(a.Options)))
	t := flow.Table{Cols: []flow.Col{{Head: "cycle", Share: 14}, {Head: "shores", Share: 9, Align: draw.Right}, {Head: "reshores", Share: 10, Align: draw.Right}, {Head: "margin", Share: 10, Align: draw.Right}, {Head: "gear, " + a.Gear, Share: 12, Align: draw.Right}, {Head: "governed by", Share: 45}}}
	for _, o := range a.Options {
		if o.Safe {
			t.Rows = append(t.Rows, flow.Row{Cells: []string{dayText(o.Cycle), fmt.Sprint(o.Shores), fmt.Sprint(o.Reshores), fmt.Sprintf("%.0f %%", math.Floor(100*o.Margin)), fmt.Sprintf("%.0f", o.Gear), o.Why}})
		}
	}
	if len(t.Rows) == 0 {
		b.flow.Strong("None of them holds.")
	}
	b.flow.Table(t)
	b.head(1, "What if")
	for _, w := range a.WhatIf {
		if w.Safe {
			b.flow.Bullet(fmt.Sprintf("%s: holds with %.0f %% to spare", w.Name, math.Floor(100*w.Margin)))
		} else {
			b.flow.Bullet(fmt.Sprintf("%s: DOES NOT HOLD: %s", w.Name, w.Why))
		}
	}
}
