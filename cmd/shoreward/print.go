package main

import (
	"fmt"
	"io"
	"strings"

	"shoreward/internal/calc"
	"shoreward/internal/change"
	"shoreward/internal/deck"
	"shoreward/internal/plan"
	"shoreward/internal/quantity"
)

// mostLines is how many failures of a pour are printed; the book has all.
const mostLines = 20

// printPlan says what came of a job and reports whether everything holds.
func printPlan(w io.Writer, r plan.Result, paths []string, quiet bool) bool {
	doc, good := r.Doc, !r.Open.Any()
	style := doc.Job.Style
	if !quiet {
		fmt.Fprintf(w, "%s: basis %s, system %s\n", doc.Job.Name, doc.Job.Basis, doc.Job.System)
	}
	for i := range doc.Pours {
		p := &doc.Pours[i]
		bad := failures(p.Audit.Findings)
		good = good && p.Refused == "" && len(bad) == 0 && p.Summary.Failed == 0
		if p.Refused != "" {
			fmt.Fprintf(w, "\n%s, level %s: REFUSED\n  %s\n", p.Name, p.Level, p.Refused)
			continue
		}
		if !quiet {
			fmt.Fprintf(w, "\n%s, level %s\n", p.Name, p.Level)
			printSummary(w, p.Summary, style)
			printFloor(w, p)
			if c, ok := worst(p.Audit.Checks); ok {
				fmt.Fprintf(w, "  worst     %s of what is allowed: %s\n", ratio(c.Ratio), checkText(c, style))
			}
		}
		printFailures(w, p.Name, bad, style, mostLines)
	}
	if !quiet && len(doc.Pours) > 1 {
		fmt.Fprintf(w, "\nAll %d pours\n", len(doc.Pours))
		printSummary(w, doc.Total, style)
	}
	if !quiet {
		printChanges(w, r.Changes)
	}
	printOpen(w, r.Open)
	if !quiet {
		fmt.Fprintln(w)
		for _, p := range paths {
			fmt.Fprintln(w, "wrote", p)
		}
	}
	switch {
	case !good:
		fmt.Fprintln(w, "\nNOT READY: what is listed above fails, is short or was not planned.")
	case !quiet:
		fmt.Fprintf(w, "\nEvery check holds: %d of them. A design aid: local codes and the project's licensed engineer govern.\n", doc.Total.Checks)
	}
	return good
}

func printSummary(w io.Writer, s deck.Summary, style quantity.Style) {
	fmt.Fprintf(w, "  area      %s\n", quantity.Area(s.Area).Text(style))
	fmt.Fprintf(w, "  pieces    %d, %s in all\n", s.Pieces, quantity.Mass(s.Weight).Text(style))
	fmt.Fprintf(w, "  sheets    %d whole, %d cut; %d joists, %d stringers\n", s.SheetsFull, s.SheetsCut, s.Joists, s.Stringers)
	fmt.Fprintf(w, "  cut from  %d whole sheets and offcuts of earlier pours; waste %.1f %% of panels", s.SheetsSawn, s.WasteShare)
	if s.Offcuts > 0 {
		fmt.Fprintf(w, ", %s of offcuts left", quantity.Area(s.Offcuts).Text(style))
	}
	fmt.Fprintln(w)
	fmt.Fprintf(w, "  props     %d set to grade, %d intermediate\n", s.GradeProps, s.Intermediates)
}

// printFloor says how a pour goes with the floor below.
func printFloor(w io.Writer, p *deck.Pour) {
	var said []string
	switch {
	case p.LaidAs != "":
		said = append(said, "laid as "+p.LaidAs)
	case p.Follows != "":
		said = append(said, "follows "+p.Follows+" where they are alike")
	}
	if p.Summary.PropsOver != nil {
		said = append(said, fmt.Sprintf("%.0f %% of the props stand over props", *p.Summary.PropsOver*100))
	}
	if len(said) > 0 {
		fmt.Fprintf(w, "  floor     %s\n", strings.Join(said, "; "))
	}
}

// printChanges says in short what differs from the earlier plan.
func printChanges(w io.Writer, r *change.Report) {
	if r == nil {
		return
	}
	fmt.Fprintf(w, "\nAGAINST THE PLAN OF %s\n", r.From)
	for i := range r.Pours {
		c := &r.Pours[i]
		fmt.Fprintf(w, "  %s: %s\n", c.Name, c.Counts)
		if c.Note != "" {
			fmt.Fprintf(w, "    %s\n", c.Note)
		}
		if len(c.Site) > 0 {
			fmt.Fprintf(w, "    changed in the slab: %s\n", strings.Join(c.Site, ", "))
		}
		for _, x := range []struct {
			what  string
			parts []change.Part
		}{{"added", c.Added}, {"removed", c.Removed}} {
			if len(x.parts) > 0 {
				fmt.Fprintf(w, "    %s: %s\n", x.what, change.CountByKind(x.parts))
			}
		}
		for _, x := range change.Swaps(c.Exchanged) {
			fmt.Fprintf(w, "    exchanged: %s\n", x.Words(func(part string) string { return part }))
		}
	}
	if len(r.Pours) > 1 {
		fmt.Fprintf(w, "  all pours: %s\n", r.Total)
	}
}

func printOpen(w io.Writer, o plan.Open) {
	if len(o.Short) > 0 {
		fmt.Fprintln(w, "\nSHORT, with all pours of a level standing together (reshores not counted)")
		for _, s := range o.Short {
			fmt.Fprintf(w, "  %s (%s): %d are needed at %s, the yard has %d: %d short\n", s.Part, s.Name, s.Need, s.Where, s.Have, s.Need-s.Have)
		}
	}
	if len(o.NotObeyed) > 0 {
		fmt.Fprintln(w, "\nNOT OBEYED")
		for _, s := range o.NotObeyed {
			fmt.Fprintln(w, "  "+s)
		}
	}
}

// failures are the findings that fail, the worst of each member and kind.
func failures(all []deck.Finding) []deck.Finding {
	at := map[string]int{}
	var out []deck.Finding
	for _, f := range all {
		if !f.Fails {
			continue
		}
		what := f.What
		if f.Ratio > 0 {
			what, _, _ = strings.Cut(what, " is ")
		}
		key := f.Member + "\x00" + what
		i, seen := at[key]
		switch {
		case !seen:
			at[key] = len(out)
			out = append(out, f)
		case f.Ratio > out[i].Ratio:
			out[i] = f
		}
	}
	return out
}

// printFailures lists failures with where and by how much, at most so many.
func printFailures(w io.Writer, pour string, bad []deck.Finding, style quantity.Style, most int) {
	if len(bad) == 0 {
		return
	}
	fmt.Fprintf(w, "  %s FAILS in %d place(s):\n", pour, len(bad))
	for i, f := range bad {
		if i == most {
			fmt.Fprintf(w, "    and %d more: `shoreward audit` of plan.json and calculations.pdf list all\n", len(bad)-most)
			return
		}
		fmt.Fprintf(w, "    %s at x %s, y %s: %s\n", f.Member, place(f.At[0], style), place(f.At[1], style), f.What)
	}
}

// place writes a coordinate of a plan, mm.
func place(mm float64, style quantity.Style) string { return quantity.Millimetres(mm).Text(style) }

// worst is the check with the greatest ratio. A guardrail post that must be rated
// for its load is at 1.00 by definition: it counts only when it fails.
func worst(checks []deck.Check) (out deck.Check, found bool) {
	for _, c := range checks {
		demand := c.Kind == "guard" && c.Value == c.Limit
		if !demand && (!found || c.Ratio > out.Ratio) {
			out, found = c, true
		}
	}
	return out, found
}

func checkText(c deck.Check, style quantity.Style) string {
	return fmt.Sprintf("%s %s, %s (%s of %s)", c.Kind, c.Member, c.What, calc.Text(c.Value, c.Unit, style), calc.Text(c.Limit, c.Unit, style))
}

func ratio(r float64) string { return fmt.Sprintf("%.2f", r) }
