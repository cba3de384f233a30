package book

import (
	"fmt"
	"sort"
	"strings"

	"shoreward/internal/calc"
	"shoreward/internal/deck"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/flow"
	"shoreward/internal/sheets/say"
)

// pour writes the chapter of one pour.
func (b *book) pour(p *deck.Pour) {
	b.flow.Break()
	b.head(0, "Pour "+p.Name+", level "+p.Level)
	if p.Refused != "" {
		b.flow.Strong("Refused: nothing is designed for this pour.")
		b.flow.Para("Reason: " + p.Refused)
		return
	}
	b.findings(p)
	b.worst(p)
	b.loads(p)
	b.worked(p)
	b.below(p)
	b.sideways(p)
}

// findings lists what the audit remarked.
func (b *book) findings(p *deck.Pour) {
	if len(p.Audit.Findings) == 0 && p.Audit.BareCm2 <= 0 {
		return
	}
	b.head(1, "Findings of the audit")
	t := flow.Table{Cols: []flow.Col{{Head: "member", Share: 16}, {Head: "what", Share: 60}, {Head: "ratio", Share: 10, Align: draw.Right}, {Head: "", Share: 14}}}
	if p.Audit.BareCm2 > 0 {
		t.Rows = append(t.Rows, flow.Row{Cells: []string{"deck", fmt.Sprintf("area that no sheet covers: %.0f cm²", p.Audit.BareCm2)}})
	}
	for _, x := range p.Audit.Findings {
		if !x.Fails {
			continue
		}
		ratio := ""
		if x.Ratio > 0 {
			ratio = say.Ratio(x.Ratio)
		}
		t.Rows = append(t.Rows, flow.Row{Fails: true, Cells: []string{x.Member, x.What, ratio, "FAILS"}})
	}
	b.flow.Table(t)
	t = flow.Table{Title: "Cautions", Cols: []flow.Col{{Head: "what", Share: 50}, {Head: "members", Share: 50}}}
	for _, c := range say.Cares(p.Audit.Findings) {
		t.Rows = append(t.Rows, flow.Row{Cells: []string{c.What, strings.Join(c.Members, ", ")}})
	}
	b.flow.Table(t)
}

// group is all checks of one kind.
type group struct {
	kind, what string
	n          int
	worst      deck.Check
}

// groups gathers checks by kind, in the order they appear.
func groups(checks []deck.Check) []*group {
	by := map[[2]string]*group{}
	var out []*group
	for _, c := range checks {
		k := [2]string{c.Kind, c.What}
		g := by[k]
		if g == nil {
			g = &group{kind: c.Kind, what: c.What, worst: c}
			by[k] = g
			out = append(out, g)
		}
		g.n++
		if c.Ratio > g.worst.Ratio {
			g.worst = c
		}
	}
	return out
}

// worst lists the governing member of each kind of check, and how the ratios lie.
func (b *book) worst(p *deck.Pour) {
	b.head(1, "Worst ratio of each kind of check")
	if len(p.Audit.Checks) == 0 {
		b.flow.Strong("The plan holds no checks of this pour: it is not proven.")
		return
	}
	b.flow.Para("Demand over capacity, rounded up; at most 1.00 holds. Each kind is worked in full below at the member named here.")
	t := flow.Table{Cols: []flow.Col{{Head: "member", Share: 14}, {Head: "check", Share: 32}, {Head: "checks", Share: 10, Align: draw.Right},
		{Head: "demand", Share: 16, Align: draw.Right}, {Head: "capacity", Share: 16, Align: draw.Right}, {Head: "ratio", Share: 12, Align: draw.Right}}}
	for _, g := range groups(p.Audit.Checks) {
		c := g.worst
		t.Rows = append(t.Rows, flow.Row{Fails: fails(c.Ratio), Cells: []string{c.Member, g.kind + " " + g.what, fmt.Sprint(g.n),
			say.Value(c.Value, c.Unit, b.style), say.Value(c.Limit, c.Unit, b.style), say.Ratio(c.Ratio)}})
	}
	b.flow.Table(t)
	b.histogram(p.Audit.Checks)
}

// histogram shows how many checks lie in each tenth of the capacity.
func (b *book) histogram(checks []deck.Check) {
	var bins [11]int // the last holds what fails
	most := 1
	for _, c := range checks {
		i := 10
		if !fails(c.Ratio) {
			i = min(int(max(c.Ratio, 0)*10), 9)
		}
		bins[i]++
		most = max(most, bins[i])
	}
	box := b.flow.Take(42)
	page := b.flow.Page()
	page.Write(draw.Text{At: draw.Point{X: box.Min.X, Y: box.Max.Y - 4}, Size: 2.6, Bold: true, Color: draw.Ink, Str: "Checks by ratio"})
	low, high := box.Min.Y+8, box.Max.Y-9
	w := box.W() / 11
	for i, n := range bins {
		x := box.Min.X + float64(i)*w
		name := fmt.Sprintf("%.1f to %.1f", float64(i)/10, float64(i+1)/10)
		bar := draw.Box{Min: draw.Point{X: x + 1.5, Y: low}, Max: draw.Point{X: x + w - 1.5, Y: low + (high-low)*float64(n)/float64(most)}}
		pen, hatch := draw.Thin, draw.HatchPen
		if i == 10 {
			name, pen, hatch = "fails", draw.FailPen, draw.FailHatch
		}
		if n > 0 {
			page.Lines(hatch, draw.Hatch(45, max(0.7, 3-0.25*float64(i)), bar.Ring()))
			page.Shape(pen, nil, bar.Ring())
		}
		page.Write(draw.Text{At: draw.Point{X: x + w/2, Y: bar.Max.Y + 1}, Size: 2.4, Bold: true, Align: draw.Middle, Color: draw.Ink, Str: fmt.Sprint(n)})
		page.Write(draw.Text{At: draw.Point{X: x + w/2, Y: low - 3.5}, Size: 2.2, Align: draw.Middle, Color: draw.Ink, Str: name})
	}
	page.Line(draw.Medium, draw.Point{X: box.Min.X, Y: low}, draw.Point{X: box.Max.X, Y: low})
}

// loads works the load of each zone.
func (b *book) loads(p *deck.Pour) {
	if len(p.Audit.Loads) == 0 {
		return
	}
	b.head(1, "Loads")
	for _, z := range p.Audit.Loads {
		b.flow.Heading(2, z.Zone, "")
		b.lines(z.Load.Lines)
		t := flow.Table{Title: z.Zone + ": loads per area in use", Cols: []flow.Col{{Head: "load", Share: 70}, {Head: "value", Share: 30, Align: draw.Right}}}
		for _, r := range []struct {
			what string
			v    float64
		}{
			{"forms, service", float64(z.Load.Forms)}, {"concrete, service", float64(z.Load.Concrete)},
			{"construction live load with its minima, service", float64(z.Load.Live)},
			{"always there, for strength", float64(z.Load.StrengthForms)}, {"comes and goes in placing, for strength", float64(z.Load.StrengthPlacing)},
			{"for deflection", float64(z.Load.DeflectionLoad)},
		} {
			t.Rows = append(t.Rows, flow.Row{Cells: []string{r.what, say.Value(r.v, calc.Pressure, b.style)}})
		}
		b.flow.Table(t)
	}
}

// worked sets one check of each kind in full, at its governing member.
func (b *book) worked(p *deck.Pour) {
	b.head(1, "Governing checks, worked")
	if len(p.Audit.Worked) == 0 {
		b.flow.Para("The plan holds no worked checks of this pour.")
		return
	}
	for i, w := range p.Audit.Worked {
		title := w.Kind + ", " + w.What + ": " + w.Member
		if w.Part != "" {
			title += ", " + say.Part(b.doc, w.Part)
		}
		b.flow.Need(diagramHeight(w.Diagram) + 40)
		b.named(2, fmt.Sprintf("%d.%d.%d  %s", b.chapter, b.section, i+1, title), fmt.Sprintf("w-%d-%d", b.chapter, i+1))
		units := ofMember
		if w.Kind == "sheet" { // worked on a strip as wide as the unit of width
			units = ofStrip
		}
		b.diagram(w.Diagram, units)
		b.lines(w.Lines)
	}
}

// below lists what the props bring to what they stand on.
func (b *book) below(p *deck.Pour) {
	b.head(1, "Reactions on what is below")
	on := "the slab below"
	if p.Site.OnGround {
		on = "the ground"
	}
	t := p.Audit.Totals
	b.flow.Para(fmt.Sprintf("The props stand on %s at %s. All loads together, unfactored: %s applied, %s in the props.", on,
		say.Height(p.Site.BaseZ, b.style), say.Value(t.Applied, calc.Force, b.style), say.Value(t.Reactions, calc.Force, b.style)))
	var rows []flow.Row
	kinds := map[string]bool{}
	for _, c := range p.Audit.Checks {
		if c.Kind == "prop" && c.Unit == calc.Force {
			kinds[c.What] = true
		}
	}
	for _, c := range p.Audit.Checks {
		if c.Kind != "prop" || c.Unit != calc.Force {
			continue
		}
		name := c.Member
		if len(kinds) > 1 {
			name += ", " + c.What
		}
		rows = append(rows, flow.Row{Fails: fails(c.Ratio), Cells: []string{name, say.Value(c.Value, c.Unit, b.style), say.Value(c.Limit, c.Unit, b.style), say.Ratio(c.Ratio)}})
	}
	if len(rows) == 0 {
		return
	}
	b.flow.Para("Greatest load of each prop for strength, with the load factors of the basis:")
	b.flow.Split(2)
	b.flow.Table(flow.Table{Title: "Props", Size: 2.4, Rows: rows, Cols: []flow.Col{{Head: "prop", Share: 32}, {Head: "load", Share: 24, Align: draw.Right},
		{Head: "capacity", Share: 24, Align: draw.Right}, {Head: "ratio", Share: 20, Align: draw.Right}}})
	b.flow.Join()
}

// sideways shows the path of the lateral load.
func (b *book) sideways(p *deck.Pour) {
	b.head(1, "Sideways load and its path")
	t := p.Audit.Totals
	b.flow.Table(flow.Table{Cols: []flow.Col{{Head: "along", Share: 20}, {Head: "sideways load", Share: 40, Align: draw.Right}, {Head: "ties and braces take", Share: 40, Align: draw.Right}},
		Rows: []flow.Row{
			{Fails: t.LateralX > t.TiesX*(1+1e-9), Cells: []string{"x", say.Value(t.LateralX, calc.Force, b.style), say.Value(t.TiesX, calc.Force, b.style)}},
			{Fails: t.LateralY > t.TiesY*(1+1e-9), Cells: []string{"y", say.Value(t.LateralY, calc.Force, b.style), say.Value(t.TiesY, calc.Force, b.style)}},
		}})
	rows := []flow.Row{}
	for _, x := range p.Deck.Ties {
		rows = append(rows, flow.Row{Cells: []string{x.ID, "tie", say.Part(b.doc, x.Part), "to " + x.Block + ", along " + x.Dirs}})
	}
	for _, x := range p.Deck.Braces {
		rows = append(rows, flow.Row{Cells: []string{x.ID, "brace", say.Part(b.doc, x.Part), "to what the props stand on"}})
	}
	sort.SliceStable(rows, func(i, j int) bool { return rows[i].Cells[1] > rows[j].Cells[1] })
	if len(rows) == 0 {
		b.flow.Strong("No tie and no brace is placed.")
		return
	}
	b.flow.Table(flow.Table{Title: "Ties and braces", Rows: rows, Cols: []flow.Col{{Head: "id", Share: 14}, {Head: "", Share: 14}, {Head: "part", Share: 40}, {Head: "holds", Share: 32}}})
}
