package main

import (
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"

	"shoreward/internal/catalog"
	"shoreward/internal/job"
	"shoreward/internal/plan"
	"shoreward/internal/quantity"
	"shoreward/internal/reshore"
)

// jobStoreys plans the decks of a job, follows the loads through its levels, and draws
// them into dir when one is given.
func jobStoreys(w io.Writer, path string, asJSON bool, dir string, after []int) error {
	j, err := job.Load(path, catalog.Load)
	if err != nil {
		return err
	}
	if j.Storeys == nil {
		return fmt.Errorf("%s has no storeys: add the block with the temperature of the concrete and what the slabs are designed for; docs/storeys.md has its keys", path)
	}
	if j.Catalog != "" && !filepath.IsAbs(j.Catalog) {
		j.Catalog = filepath.Join(filepath.Dir(path), j.Catalog)
	}
	cat, err := catalog.Load(j.Catalog)
	if err != nil {
		return err
	}
	doc, err := plan.Run(j, cat, progress("planning", asJSON))
	if err != nil {
		return err
	}
	if err := plan.Storeys(j, doc, cat, progress("storeys", asJSON)); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	r := doc.Storeys
	for _, n := range after {
		if n < 1 || n > len(r.Steps) {
			return fmt.Errorf("--after %d: the work has steps 1 to %d", n, len(r.Steps))
		}
	}
	var paths []string
	if dir != "" {
		if paths, err = plan.WriteStoreys(doc, dir, after...); err != nil {
			return err
		}
	}
	if asJSON {
		data, err := plan.JSON(r)
		if err != nil {
			return err
		}
		if _, err := w.Write(data); err != nil {
			return err
		}
	} else {
		printReport(w, j.Name, r)
		if len(paths) > 0 {
			fmt.Fprintf(w, "\nWRITTEN into %s: storeys.pdf, storeys.json and %d pictures\n", dir, len(paths)-2)
		}
	}
	if !r.Safe {
		return errFails
	}
	return nil
}

// printReport prints the storeys of a job.
func printReport(w io.Writer, name string, r *reshore.Report) {
	load := func(pa float64) string { return quantity.Stress(pa).LoadText(r.Style) }
	c := r.Choice
	fmt.Fprintf(w, "%s: %s\n", name, choiceText(c))
	if r.Safe {
		fmt.Fprintln(w, "Every slab and every prop holds, by rigid and by elastic props.")
	} else {
		fmt.Fprintln(w, "NOT SAFE:")
		for k, f := range r.Findings {
			if k == mostLines {
				fmt.Fprintf(w, "  and %d more\n", len(r.Findings)-k)
				break
			}
			fmt.Fprintf(w, "  %s\n", f.What)
		}
		for _, m := range r.Answers.Remedies {
			fmt.Fprintf(w, "  what would hold: %s\n", m)
		}
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	row := func(cells ...string) { fmt.Fprintln(t, strings.Join(cells, "\t")) }

	fmt.Fprintf(w, "\nEARLIEST STRIKING (tests of the concrete must show the strength)\n")
	row("pour", "placed", "strike", "after", "strength", "governed by")
	for _, p := range r.Pours {
		when := p.Strip.Date
		if when == "" {
			when = hourText(p.Strip.Earliest)
		}
		if !p.Strip.Possible {
			when = "never"
		}
		placed := hourText(p.Placed)
		row(p.Name, placed, when, days(p.Strip.After), quantity.Stress(p.Strip.Strength).Text(r.Style), p.Strip.Governs)
	}
	t.Flush()

	printHistory(w, r)

	fmt.Fprintf(w, "\nPROPS, the most that each level carries in its history\n")
	row("under", "kind", "props", "load", "rated", "ratio", "worst prop", "in it", "of")
	for _, p := range r.Pours {
		for _, l := range []struct {
			kind string
			of   reshore.PropLevel
		}{{"shores", p.Shores}, {"reshores", p.Reshores}} {
			if l.of.Count > 0 {
				row(p.Name, l.kind, fmt.Sprint(l.of.Count), load(l.of.Most), load(l.of.Rating), ratio(l.of.Ratio), fmt.Sprintf("%s at %s", l.of.Part, quantity.Millimetres(l.of.Extension).Text(r.Style)),
					quantity.Force(l.of.MostForce).Text(r.Style), quantity.Force(l.of.RatedAt).Text(r.Style))
			}
		}
	}
	t.Flush()

	if c.Reshores > 0 {
		fmt.Fprintf(w, "\nRESHORES AND ORDER OF STRIKING\n")
		row("under", "reshores", "worst", "punching", "length", "out of line", "strips in", "at most at once")
		for _, p := range r.Pours {
			if len(p.Layout.Reshores) == 0 {
				continue
			}
			worst, punch, off, most, short, long := 0.0, 0.0, 0.0, 0.0, math.Inf(1), 0.0
			for _, x := range p.Layout.Reshores {
				worst, punch, off = math.Max(worst, x.Ratio), math.Max(punch, x.Punch), math.Max(off, x.Off)
				short, long = math.Min(short, x.Length), math.Max(long, x.Length)
			}
			for _, s := range p.Sequence {
				most = math.Max(most, s.Area)
			}
			length := quantity.Millimetres(long).Text(r.Style)
			if long-short > 1 {
				length = quantity.Millimetres(short).Text(r.Style) + " to " + length
			}
			row(p.Name, fmt.Sprint(len(p.Layout.Reshores)), ratio(worst), ratio(punch), length, quantity.Millimetres(off).Text(r.Style), fmt.Sprintf("%d areas", len(p.Sequence)), quantity.Area(most).Text(r.Style))
		}
		t.Flush()
		for _, p := range r.Pours {
			for _, n := range p.Layout.Notes {
				fmt.Fprintf(w, "%s: %s\n", p.Name, n)
			}
		}
	}

	printOptions(w, r)

	fmt.Fprintf(w, "\nWHAT IF\n")
	for _, x := range r.Answers.WhatIf {
		verdict := fmt.Sprintf("holds with %.0f %% to spare%s", math.Floor(100*x.Margin), slackText(x.Slack))
		if !x.Safe {
			verdict = "DOES NOT HOLD: " + x.Why
		}
		fmt.Fprintf(w, "  %s: %s\n", x.Name, verdict)
	}
	list := func(head string, lines []string) {
		if len(lines) > 0 {
			fmt.Fprintf(w, "\n%s\n", head)
			for _, l := range lines {
				fmt.Fprintf(w, "  %s\n", l)
			}
		}
	}
	var assumed []string
	for _, a := range r.Assumed {
		assumed = append(assumed, fmt.Sprintf("%s: %s (%s)", a.Key, a.Value, a.Reason))
	}
	list("ASSUMED", assumed)
	list("NOT PROVEN HERE", r.Unproven)
	list("CAUTIONS", r.Cautions)
}

// printHistory prints the operations at the place where most is asked, by the method
// that asks more of each.
func printHistory(w io.Writer, r *reshore.Report) {
	worst, at := -1.0, 0
	for k, p := range r.Places {
		for _, run := range p.Runs {
			for _, s := range run.States {
				for i := range s.Slabs {
					if v := math.Max(s.Slabs[i].Ratio, s.Props[i].Ratio); v > worst {
						worst, at = v, k
					}
				}
			}
		}
	}
	if len(r.Places) == 0 {
		return
	}
	p := r.Places[at]
	fmt.Fprintf(w, "\nHISTORY at x %s, y %s, where most is asked (%d places in all, in the JSON)\n", quantity.Millimetres(p.At[0]).Text(r.Style), quantity.Millimetres(p.At[1]).Text(r.Style), len(r.Places))
	fmt.Fprintf(w, "Each pour: what its slab carries and its ratio to what it may, then S shores or R reshores under it; the more of rigid and elastic props.\n")
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for k, s := range p.Runs[0].States {
		e := p.Runs[1].States[k]
		step := r.Steps[s.Step]
		when := step.Date
		if when == "" {
			when = hourText(step.At)
		}
		var said []string
		for i, name := range p.Pours {
			slab, prop := s.Slabs[i], s.Props[i]
			if !slab.Placed {
				continue
			}
			load, ratioOf := math.Max(slab.Load, e.Slabs[i].Load), math.Max(slab.Ratio, e.Slabs[i].Ratio)
			if prop.Kind == "none" && ratioOf < 0.5 && k > 0 && step.Pour != name {
				continue
			}
			text := fmt.Sprintf("%s %s %s", name, quantity.Stress(load).LoadText(r.Style), ratio(ratioOf))
			if prop.Kind != "none" {
				text += fmt.Sprintf(" %s%s", strings.ToUpper(prop.Kind[:1]), quantity.Stress(math.Max(prop.Load, e.Props[i].Load)).LoadText(r.Style))
			}
			said = append(said, text)
		}
		fmt.Fprintf(t, "%d\t%s\t%s\t%s\n", step.Number, when, step.Name, strings.Join(said, "; "))
	}
	t.Flush()
}

// printOptions prints the choices that were followed, a row a cycle.
func printOptions(w io.Writer, r *reshore.Report) {
	a := r.Answers
	fmt.Fprintf(w, "\nCYCLES (margin of what holds; x does not hold, - cannot be built in the time)\n")
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	var columns []string
	cells := map[string]string{}
	var rows []float64
	for _, o := range a.Options {
		col := fmt.Sprintf("%d+%d", o.Shores, o.Reshores)
		if !slices.Contains(columns, col) {
			columns = append(columns, col)
		}
		if len(rows) == 0 || rows[len(rows)-1] != o.Cycle {
			rows = append(rows, o.Cycle)
		}
		text := "x"
		switch {
		case o.Safe:
			text = fmt.Sprintf("%.0f %%", math.Floor(100*o.Margin))
		case !o.Built:
			text = "-"
		}
		cells[fmt.Sprint(o.Cycle, col)] = text
	}
	slices.Sort(columns)
	fmt.Fprintf(t, "shores+reshores\t%s\n", strings.Join(columns, "\t"))
	for _, c := range rows {
		fmt.Fprintf(t, "%s", days(c))
		for _, col := range columns {
			fmt.Fprintf(t, "\t%s", cells[fmt.Sprint(c, col)])
		}
		fmt.Fprintln(t)
	}
	t.Flush()
	gear := func(o reshore.Option) string {
		if a.Gear == "kg" {
			return quantity.Mass(o.Gear).Text(r.Style) + " of gear at once"
		}
		return fmt.Sprintf("hire of %.0f money units at once", o.Gear)
	}
	if a.Fastest < 0 {
		fmt.Fprintln(w, "None of them holds.")
		return
	}
	f, c := a.Options[a.Fastest], a.Options[a.Cheapest]
	fmt.Fprintf(w, "Fastest that holds: %s%s, %s; governed by %s\n", choiceText(f.Choice), slackText(f.Slack), gear(f), f.Why)
	fmt.Fprintf(w, "Least gear that holds: %s%s, %s; governed by %s\n", choiceText(c.Choice), slackText(c.Slack), gear(c), c.Why)
}

// slackText says how early the forms are back.
func slackText(h *float64) string {
	if h == nil {
		return ""
	}
	return fmt.Sprintf(", forms back %s early", quantity.Duration(math.Floor(*h+1e-6)).Text())
}

func choiceText(c reshore.Choice) string {
	text := fmt.Sprintf("a cycle of %s, shores %d, reshores %d", days(c.Cycle), c.Shores, c.Reshores)
	if c.Dated {
		text = fmt.Sprintf("by the dates of its pours, shores %d, reshores %d", c.Shores, c.Reshores)
	}
	if c.Found {
		text += " (found)"
	}
	return text
}

func days(h float64) string {
	if d := math.Round(h/24*10) / 10; d != 1 {
		return fmt.Sprintf("%g days", d)
	}
	return "1 day"
}

// hourText is a time without a calendar.
func hourText(h float64) string {
	day := math.Floor(h/24 + 1e-9)
	return fmt.Sprintf("day %g %02.0f:00", day, math.Floor(h-24*day+1e-6))
}
