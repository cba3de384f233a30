package book

import (
	"fmt"
	"sort"
	"strconv"

	"shoreward/internal/calc"
	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
	"shoreward/internal/sheets"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/flow"
	"shoreward/internal/sheets/say"
)

// cover says what the book is, what fails, and who governs.
func (b *book) cover() {
	f := b.flow
	f.Space(0)
	f.Heading(0, b.doc.Job.Name, "cover")
	f.Heading(1, "Calculations of slab formwork and shoring", "")
	f.Para("Basis " + say.Basis(b.doc.Job.Basis) + ". System " + b.doc.Job.System + ".")
	failures := b.failures()
	if len(failures) > 0 {
		f.Heading(1, fmt.Sprintf("FAILS: %d", len(failures)), "fails")
		b.entries = append(b.entries, entry{0, "What fails", "fails", f.Page()})
		t := flow.Table{Cols: []flow.Col{{Head: "pour", Share: 14}, {Head: "member", Share: 14}, {Head: "what", Share: 56}, {Head: "ratio", Share: 16, Align: draw.Right}}}
		for i, x := range failures {
			if i == 200 {
				t.Rows = append(t.Rows, flow.Row{Cells: []string{"", "", fmt.Sprintf("and %d more: see plan.json", len(failures)-i)}})
				break
			}
			t.Rows = append(t.Rows, x)
		}
		f.Table(t)
		f.Strong("Do not build what fails.")
	}
	b.summary()
	f.Heading(1, "Cautions", "")
	f.Strong(sheets.Aid)
	f.Para("Each line says where its rule comes from and how sure that is. Lines with a bar beside their source were written from memory or from habit of the trade: confirm them against the standard before relying on them.")
	for _, c := range sheets.Cautions(b.doc)[1:] {
		f.Bullet(c)
	}
}

// failures lists the failing findings and checks of all pours, the worst first.
func (b *book) failures() []flow.Row {
	type item struct {
		ratio float64
		row   flow.Row
	}
	var all []item
	add := func(pour, member, what string, ratio float64) {
		text := ""
		if ratio > 0 {
			text = say.Ratio(ratio)
		}
		all = append(all, item{ratio, flow.Row{Fails: true, Cells: []string{pour, member, what, text}}})
	}
	for i := range b.doc.Pours {
		p := &b.doc.Pours[i]
		if p.Refused != "" {
			add(p.Name, "", "refused: "+p.Refused, 0)
		}
		told := map[string]bool{}
		for _, c := range p.Audit.Checks {
			if fails(c.Ratio) {
				told[c.Member] = true
				add(p.Name, c.Member, c.Kind+" "+c.What+": "+say.Value(c.Value, c.Unit, b.style)+" > "+say.Value(c.Limit, c.Unit, b.style), c.Ratio)
			}
		}
		for _, x := range p.Audit.Findings {
			if x.Fails && !(told[x.Member] && fails(x.Ratio)) {
				add(p.Name, x.Member, x.What, x.Ratio)
			}
		}
	}
	if r := b.doc.Storeys; r != nil {
		for _, x := range r.Findings {
			add(x.Pour, "storeys", x.What, x.Ratio)
		}
		if !r.Safe && len(r.Findings) == 0 {
			add("", "storeys", "stored as not safe, without a reason", 0)
		}
	}
	sort.SliceStable(all, func(i, j int) bool {
		if (all[i].ratio == 0) != (all[j].ratio == 0) {
			return all[i].ratio == 0 // what has no ratio, a bare or missing thing, comes first
		}
		return all[i].ratio > all[j].ratio
	})
	out := make([]flow.Row, len(all))
	for i, x := range all {
		out[i] = x.row
	}
	return out
}

func (b *book) summary() {
	b.flow.Heading(1, "Pours", "")
	t := flow.Table{Cols: []flow.Col{{Head: "pour", Share: 16}, {Head: "level", Share: 12}, {Head: "concrete", Share: 24}, {Head: "soffit area", Share: 14, Align: draw.Right},
		{Head: "checks", Share: 10, Align: draw.Right}, {Head: "worst ratio", Share: 12, Align: draw.Right}, {Head: "fail", Share: 10, Align: draw.Right}}}
	for i := range b.doc.Pours {
		p := &b.doc.Pours[i]
		if p.Refused != "" {
			t.Rows = append(t.Rows, flow.Row{Fails: true, Cells: []string{p.Name, p.Level, "refused"}})
			continue
		}
		s := p.Summary
		t.Rows = append(t.Rows, flow.Row{Fails: s.Failed > 0 || fails(s.MaxRatio), Cells: []string{p.Name, p.Level, thickness(p, b.style), say.Area(s.Area, b.style),
			fmt.Sprint(s.Checks), say.Ratio(s.MaxRatio), fmt.Sprint(s.Failed)}})
	}
	b.flow.Table(t)
}

func thickness(p *deck.Pour, st quantity.Style) string {
	out := ""
	seen := map[string]bool{}
	for _, z := range p.Site.Zones {
		s := say.LenUnit(z.Thickness, st)
		if !seen[s] {
			seen[s] = true
			if out != "" {
				out += ", "
			}
			out += s
		}
	}
	if f := p.Site.Fall; f != nil {
		out += fmt.Sprintf(" plumb, falls %.1f %%", 100*f.Grade())
	}
	return out
}

// basis lists the settings in force.
func (b *book) basis() {
	b.head(0, "Basis and settings")
	b.flow.Para("Basis " + say.Basis(b.doc.Job.Basis) + ". Which of these stand because the job does not say is listed in the next chapter.")
	s := b.doc.Settings
	st := b.style
	us := s.Basis == rules.US
	num := func(v float64) string { return strconv.FormatFloat(v, 'g', 4, 64) }
	limit := func(l quantity.Length) string {
		if l == 0 {
			return "none"
		}
		return l.Text(st)
	}
	yes := func(v bool) string {
		if v {
			return "yes"
		}
		return "no"
	}
	rows := []struct {
		when        bool
		what, value string
	}{
		{true, "weight of concrete", say.Signs(s.ConcreteWeight.Text(st))},
		{true, "construction live load on the slab", say.Signs(s.LiveLoad.LoadText(st))},
		{us, "motor carts in use (raises the least loads)", yes(s.MotorCarts)},
		{true, "live load on the working strip", say.Signs(s.StripLive.LoadText(st))},
		{true, "least weight of forms, where the placed parts weigh less", say.Signs(s.FormAllowance.LoadText(st))},
		{true, "deflection limit", "span / " + num(s.DeflectionSpan)},
		{true, "deflection at most, sheets", limit(s.DeflectionMaxSheet)},
		{true, "deflection at most, joists and stringers", limit(s.DeflectionMaxBeam)},
		{true, "deflection under concrete alone, without live load", yes(s.DeflectionConcreteOnly)},
		{us, "lumber wet in service (C_M)", yes(s.WetService)},
		{us, "load duration factor C_D, joists and stringers", num(s.LoadDuration)},
		{us, "load duration factor C_D, posts", num(s.LoadDurationPosts)},
		{us, "divisor of a prop's EN 1065 nominal strength", num(s.PropDivisor)},
		{!us, "class B2 of EN 12812", yes(s.ClassB2)},
		{!us, "service class of lumber and panels, EN 1995", fmt.Sprint(s.ServiceClass)},
		{true, "bearing of the ground under sills", say.Signs(s.GroundBearing.LoadText(st))},
		{true, "sideways load, share of vertical load", num(s.LateralShare*100) + " %"},
		{us, "sideways load along the edge, at least", say.Signs(s.LateralEdge.Text(st))},
		{true, "concrete strength specified", say.Value(b.doc.Job.ConcreteStrength, calc.Stress, st)},
		{true, "clear of columns and walls", say.LenUnit(b.doc.Choices.Clearance, st)},
		{true, "least bearing of a sheet's end on a joist", say.LenUnit(b.doc.Choices.Bearing, st)},
		{true, "least lap of joists and stringers", say.LenUnit(b.doc.Choices.LapMin, st)},
		{true, "props from the edge of the slab below", say.LenUnit(b.doc.Choices.EdgeOfStand, st)},
		{true, "working load of a tie", say.Value(b.doc.Choices.TieLoad, calc.Force, st)},
		{true, "horizontal working load of a brace", say.Value(b.doc.Choices.BraceLoad, calc.Force, st)},
		{true, "guardrail posts at most apart", say.LenUnit(b.doc.Choices.GuardPitch, st)},
		{true, "one person carries at most", say.Mass(b.doc.Choices.OneManLift, st)},
	}
	t := flow.Table{Cols: []flow.Col{{Head: "setting", Share: 64}, {Head: "value", Share: 36, Align: draw.Right}}}
	for _, r := range rows {
		if r.when {
			t.Rows = append(t.Rows, flow.Row{Cells: []string{r.what, r.value}})
		}
	}
	b.flow.Table(t)
}

// defaults lists every default in use.
func (b *book) defaults() {
	b.head(0, "Defaults used because the job does not say")
	if len(b.doc.Assumed) == 0 {
		b.flow.Para("None.")
		return
	}
	t := flow.Table{Cols: []flow.Col{{Head: "key", Share: 24}, {Head: "value", Share: 24}, {Head: "why", Share: 52}}}
	for _, a := range b.doc.Assumed {
		t.Rows = append(t.Rows, flow.Row{Cells: []string{a.Key, say.Signs(a.Value), a.Reason}})
	}
	b.flow.Table(t)
}

// fromMemory lists every value that was not seen in a published text.
func (b *book) fromMemory() {
	b.head(0, "Values not seen in a published text")
	if len(b.doc.Unsure) == 0 {
		b.flow.Para("None.")
		return
	}
	b.flow.Para("Confirm each of these against the standard or the supplier's data before building.")
	t := flow.Table{Cols: []flow.Col{{Head: "of", Share: 24}, {Head: "value", Share: 30}, {Head: "source", Share: 26}, {Head: "evidence", Share: 20}}}
	for _, u := range say.Merged(b.doc.Unsure) {
		t.Rows = append(t.Rows, flow.Row{Cells: []string{u.Of, say.Signs(u.Value), u.Source, say.Evidence(u.Evidence)}})
	}
	b.flow.Table(t)
}

// parts lists the values of every part in use.
func (b *book) parts() {
	var ids []string
	for id, p := range b.doc.Parts {
		if p != nil {
			ids = append(ids, id)
		}
	}
	if len(ids) == 0 {
		return
	}
	sort.Strings(ids)
	b.head(0, "Parts in use and their values")
	for _, id := range ids {
		t := flow.Table{Title: id, Size: b.flow.Size * 0.85, Cols: []flow.Col{{Head: "value", Share: 30}, {Head: "", Share: 24}, {Head: "source", Share: 30}, {Head: "evidence", Share: 16}}}
		for _, r := range b.doc.Parts[id].Explain() {
			evidence := ""
			if r.Evidence != "" {
				evidence = string(r.Evidence)
			}
			t.Rows = append(t.Rows, flow.Row{Bold: unsure(r.Evidence), Cells: []string{r.Name, say.Signs(r.Text(b.style)), r.Source, evidence}})
		}
		b.flow.Table(t)
	}
}

// references lists every source that a line of the book names.
func (b *book) references() {
	b.head(0, "Sources named in this book")
	t := flow.Table{Cols: []flow.Col{{Head: "source", Share: 62}, {Head: "evidence", Share: 38}}}
	sort.Slice(b.sourceOrder, func(i, j int) bool {
		a, c := b.sourceOrder[i], b.sourceOrder[j]
		if a.text != c.text {
			return a.text < c.text
		}
		return a.evidence < c.evidence
	})
	for _, s := range b.sourceOrder {
		t.Rows = append(t.Rows, flow.Row{Bold: unsure(s.evidence), Cells: []string{s.text, say.Evidence(s.evidence)}})
	}
	if len(t.Rows) == 0 {
		b.flow.Para("None.")
		return
	}
	b.flow.Table(t)
}
