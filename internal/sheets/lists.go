package sheets

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"

	"shoreward/internal/calc"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
	"shoreward/internal/rules/osha1926"
	"shoreward/internal/sheets/count"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/flow"
	"shoreward/internal/sheets/say"
)

// pageStrip is the height of the strip at the foot of a list page.
const pageStrip = 9.0

// lists starts running matter on framed list pages under a name.
func (s *set) lists(name string, columns int) *flow.Flow {
	f := listFormat(s.style)
	return &flow.Flow{Columns: columns, Gap: 8, Size: 2.6, NewPage: func() (*draw.Page, draw.Box) {
		p := s.page(f, name)
		box := draw.Box{Min: draw.Point{X: border, Y: border}, Max: draw.Point{X: f.w - border, Y: f.h - border}}
		y := box.Min.Y + pageStrip
		p.Line(draw.Heavy, draw.Point{X: box.Min.X, Y: y}, draw.Point{X: box.Max.X, Y: y})
		p.Write(draw.Text{At: draw.Point{X: box.Min.X + 3, Y: y - 3.9}, Size: 3, Bold: true, Color: draw.Ink,
			Str: draw.Fit(s.doc.Job.Name+": "+name, box.W()*0.45, 3, true)})
		p.Write(draw.Text{At: draw.Point{X: box.Min.X + 3, Y: y - 7.2}, Size: 2, Color: draw.Grey, Str: "lengths: " + unitWords(s.doc)})
		p.Write(draw.Text{At: draw.Point{X: box.Max.X - 42, Y: y - 5.4}, Size: 2, Align: draw.Right, Color: draw.Ink, Str: Aid})
		s.numbers = append(s.numbers, numberPlace{p, draw.Point{X: box.Max.X - 3, Y: y - 5.8}, 3})
		p.Layer = "lists"
		in := box.Grow(-5)
		in.Min.Y = y + 4
		return p, in
	}}
}

// refused draws the page of a pour that has no deck.
func (s *set) refused(p *deck.Pour) {
	fl := s.lists(p.Name+": no deck", 1)
	fl.Size = 4
	fl.Heading(0, "Pour "+p.Name+" (level "+p.Level+"): no deck", "")
	fl.Strong("The pour is refused. Nothing is drawn, counted or proven for it.")
	fl.Para("Reason: " + p.Refused)
	b := fl.Take(20)
	failArea(fl.Page(), b.Grow(-2).Ring(), b)
}

// setting is how a group of props is set.
type setting struct {
	kind, part, head, extension, hole, thread, foot string
}

func (s *set) settingOf(q deck.Prop) setting {
	st := setting{kind: string(q.Kind), part: say.Part(s.doc, q.Part), head: say.Part(s.doc, q.Head), extension: say.Len(q.Length, s.style)}
	if q.Hole > 0 {
		st.hole = fmt.Sprint(q.Hole)
		st.thread = say.Len(q.Thread, s.style)
	}
	var foot []string
	for _, id := range []string{q.Tripod, q.Sill, q.Wedge} {
		if id != "" {
			foot = append(foot, say.Part(s.doc, id))
		}
	}
	st.foot = strings.Join(foot, ", ")
	if q.Taper > 0 {
		st.head += ", wedge " + say.Len(q.Taper, s.style)
	}
	return st
}

// schedule lists how every prop of the pour is set: by setting, then by line.
func (s *set) schedule(p *deck.Pour) {
	if len(p.Deck.Props) > 0 {
		fl := s.lists(p.Name+": prop settings and list", 1)
		s.bySetting(fl, p)
		fl.Split(3)
		s.byLine(fl, p)
	}
	s.failing(p)
	fl := s.lists(p.Name+": care, edges, ties, gear", 2)
	s.care(fl, p)
	s.edgeTables(fl, p)
	s.gear(fl, "Gear of pour "+p.Name, p)
	s.panels(fl, p)
}

func (s *set) bySetting(fl *flow.Flow, p *deck.Pour) {
	if p.Site.Fall != nil {
		s.byHole(fl, p)
		return
	}
	groups := map[setting][]string{}
	length := map[setting]float64{}
	var keys []setting
	for _, q := range p.Deck.Props {
		k := s.settingOf(q)
		if groups[k] == nil {
			keys = append(keys, k)
		}
		groups[k] = append(groups[k], q.ID)
		length[k] = q.Length
	}
	sort.SliceStable(keys, func(i, j int) bool {
		a, b := keys[i], keys[j]
		switch {
		case a.kind != b.kind:
			return a.kind == string(deck.Grade)
		case length[a] != length[b]:
			return length[a] > length[b]
		}
		return a.part+a.head+a.foot < b.part+b.head+b.foot
	})
	t := flow.Table{Title: "Prop settings, pour " + p.Name, Cols: []flow.Col{
		{Head: "set", Share: 3}, {Head: "kind", Share: 7}, {Head: "prop", Share: 14}, {Head: "head", Share: 11}, {Head: "foot", Share: 12},
		{Head: "extension", Share: 7, Align: draw.Right}, {Head: "pin hole", Share: 5, Align: draw.Right}, {Head: "thread", Share: 6, Align: draw.Right},
		{Head: "pieces", Share: 5, Align: draw.Right}, {Head: "props", Share: 38}}}
	for i, k := range keys {
		sort.SliceStable(groups[k], func(a, b int) bool { return idLess(groups[k][a], groups[k][b]) })
		t.Rows = append(t.Rows, flow.Row{Cells: []string{fmt.Sprint(i + 1), k.kind, k.part, k.head, k.foot, k.extension, orDash(k.hole), orDash(k.thread),
			fmt.Sprint(len(groups[k])), strings.Join(ranges(groups[k]), ", ")}})
	}
	fl.Table(t)
	fl.Note("Extension: from underside of foot plate to top of the prop, without head and sill. Hole 1 is the shortest setting. " +
		"Thread: how far the collar stands above its lowest place. Preset on the ground, then level at the collar.")
}

func orDash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

// idLess orders B-3 before B-10 before AA-1.
func idLess(a, b string) bool {
	la, na := splitID(a)
	lb, nb := splitID(b)
	if la != lb {
		return shorter(la, lb)
	}
	if na != nb {
		return na < nb
	}
	return a < b
}

// splitID parts the number at the end of an id from what stands before it.
func splitID(id string) (string, int) {
	i := len(strings.TrimRight(id, "0123456789"))
	n, err := strconv.Atoi(id[i:])
	if err != nil {
		return id, 0
	}
	return id[:i], n
}

// ranges shortens …3.
func ranges(ids []string) []string {
	var out []string
	for i := 0; i < len(ids); {
		line, n := splitID(ids[i])
		j := i
		for j+1 < len(ids) {
			l, m := splitID(ids[j+1])
			if l != line || m != n+(j+1-i) || line == ids[j+1] {
				break
			}
			j++
		}
		switch {
		case j-i >= 2:
			out = append(out, fmt.Sprintf("%s to %d", ids[i], n+j-i))
		default:
			out = append(out, ids[i:j+1]...)
		}
		i = j + 1
	}
	return out
}

// byLine lists every prop: where it stands and how it is set.
func (s *set) byLine(fl *flow.Flow, p *deck.Pour) {
	so := newSettingOut(s.doc, p)
	for _, l := range lines(p, so) {
		if len(l.props) == 0 {
			continue
		}
		name := "Line " + l.name + ", along from " + l.datum.text
		if !l.stringers {
			name = "Props straight under joists"
		}
		t := flow.Table{Title: name, Size: 2.3, Cols: []flow.Col{
			{Head: "prop", Share: 9}, {Head: "kind", Share: 8}, {Head: "along", Share: 11, Align: draw.Right}, {Head: "x", Share: 14, Align: draw.Right},
			{Head: "y", Share: 14, Align: draw.Right}, {Head: "extension", Share: 12, Align: draw.Right}, {Head: "hole", Share: 6, Align: draw.Right}, {Head: "thread", Share: 9, Align: draw.Right}}}
		props := append([]deck.Prop(nil), l.props...)
		sort.SliceStable(props, func(i, j int) bool { return idLess(props[i].ID, props[j].ID) })
		for _, q := range props {
			k := s.settingOf(q)
			kind := "grade"
			if q.Kind == deck.Intermediate {
				kind = "interm."
			}
			dx, dy := so.alongX(q.At[0]), so.alongY(q.At[1])
			along := "–"
			if l.stringers {
				along = say.Len(l.running(q.At), s.style)
			}
			t.Rows = append(t.Rows, flow.Row{Cells: []string{q.ID, kind, along,
				offset(q.At[0], dx, s), offset(q.At[1], dy, s), k.extension, orDash(k.hole), orDash(k.thread)}})
		}
		fl.Table(t)
	}
}

// offset writes a position from its datum: "A + 1200".
func offset(v float64, d datum, s *set) string {
	sign := "+"
	if v < d.at {
		sign = "–"
	}
	return d.name + " " + sign + " " + say.Len(math.Abs(v-d.at), s.style)
}

func (s *set) edgeTables(fl *flow.Flow, p *deck.Pour) {
	so := newSettingOut(s.doc, p)
	place := func(q deck.Point) []string {
		return []string{offset(q[0], so.alongX(q[0]), s), offset(q[1], so.alongY(q[1]), s)}
	}
	t := flow.Table{Title: "Forms of edges, sides and steps", Cols: []flow.Col{{Head: "run", Share: 6}, {Head: "of", Share: 7}, {Head: "foot at", Share: 9, Align: draw.Right}, {Head: "form", Share: 18}, {Head: "height", Share: 8, Align: draw.Right},
		{Head: "length", Share: 9, Align: draw.Right}, {Head: "kicker", Share: 16}, {Head: "kickers", Share: 8, Align: draw.Right}, {Head: "at most apart", Share: 10, Align: draw.Right}}}
	for _, e := range p.Deck.EdgeForms {
		of, foot := "edge", "–"
		if e.Kind != deck.EdgeOf {
			of, foot = string(e.Kind), say.Height(e.Foot, s.style)
		}
		t.Rows = append(t.Rows, flow.Row{Cells: []string{e.ID, of, foot, say.Part(s.doc, e.Part), say.Len(e.Height, s.style),
			say.Len(math.Hypot(e.To[0]-e.From[0], e.To[1]-e.From[1]), s.style), say.Part(s.doc, e.Kicker), fmt.Sprint(e.Kickers), say.Len(e.Pitch, s.style)}})
	}
	fl.Table(t)
	t = flow.Table{Title: "Ties and braces", Cols: []flow.Col{{Head: "id", Share: 6}, {Head: "part", Share: 18}, {Head: "holds", Share: 12}, {Head: "x", Share: 12, Align: draw.Right}, {Head: "y", Share: 12, Align: draw.Right}}}
	for _, x := range p.Deck.Ties {
		t.Rows = append(t.Rows, flow.Row{Cells: append([]string{x.ID, say.Part(s.doc, x.Part), "to " + x.Block + ", along " + strings.Join(strings.Split(x.Dirs, ""), " and ")}, place(x.At)...)})
	}
	for _, b := range p.Deck.Braces {
		t.Rows = append(t.Rows, flow.Row{Cells: append([]string{b.ID, say.Part(s.doc, b.Part), "upper end"}, place(b.At)...)})
		t.Rows = append(t.Rows, flow.Row{Cells: append([]string{"", "", "foot"}, place(b.Foot)...)})
	}
	fl.Table(t)
}

// failing lists what fails, by the numbers that the plans show.
func (s *set) failing(p *deck.Pour) {
	list := badOf(p)
	if len(list) == 0 {
		return
	}
	fl := s.lists(p.Name+": what fails", 2)
	t := flow.Table{Title: "What fails, pour " + p.Name + ": do not build", Cols: []flow.Col{{Head: "no.", Share: 7}, {Head: "member", Share: 14}, {Head: "what", Share: 65}, {Head: "ratio", Share: 14, Align: draw.Right}}}
	for i, b := range list {
		ratio := ""
		if b.ratio > 0 {
			ratio = say.Ratio(b.ratio)
		}
		t.Rows = append(t.Rows, flow.Row{Fails: true, Cells: []string{fmt.Sprintf("F%d", i+1), b.member, b.what, ratio}})
	}
	fl.Table(t)
}

// care lists what must be taken care of on site at single members.
func (s *set) care(fl *flow.Flow, p *deck.Pour) {
	t := flow.Table{Title: "Take care: members ringed with a cross on the plans", Cols: []flow.Col{{Head: "what", Share: 50}, {Head: "members", Share: 50}}}
	for _, c := range say.Cares(p.Audit.Findings) {
		sort.SliceStable(c.Members, func(i, j int) bool { return idLess(c.Members[i], c.Members[j]) })
		t.Rows = append(t.Rows, flow.Row{Cells: []string{c.What, strings.Join(ranges(c.Members), ", ")}})
	}
	fl.Table(t)
}

// gear lists the parts of pours with their weights.
func (s *set) gear(fl *flow.Flow, title string, pours ...*deck.Pour) {
	list := count.List(s.doc, pours...)
	if len(list) == 0 {
		return
	}
	t := flow.Table{Title: title, Cols: []flow.Col{{Head: "part", Share: 28}, {Head: "id", Share: 18}, {Head: "pieces", Share: 8, Align: draw.Right}, {Head: "to send", Share: 8, Align: draw.Right},
		{Head: "each", Share: 11, Align: draw.Right}, {Head: "all", Share: 12, Align: draw.Right}, {Head: "note", Share: 18}}}
	pieces, total, unknown := 0, 0.0, false
	for _, g := range list {
		name, note := g.Name, g.Note
		if g.Cut {
			name += ", cut"
		}
		if g.Heavy {
			note = strings.TrimPrefix(note+"; two people", "; ")
		}
		t.Rows = append(t.Rows, flow.Row{Cells: []string{name, g.ID, fmt.Sprint(g.Count), fmt.Sprint(g.Send), s.mass(g.Each, g.Cut), s.mass(g.Total, false), note}})
		pieces += g.Count
		if math.IsNaN(g.Total) {
			unknown = true
		} else {
			total += g.Total
		}
	}
	if l := count.Fillers(pours...); l > 0 {
		t.Rows = append(t.Rows, flow.Row{Cells: []string{"Filler board to gaps at walls", "–", "–", "–", "–", say.Run(l, s.style) + ", cut on site"}})
	}
	all := say.Mass(total, s.style)
	if unknown {
		all = "over " + all
	}
	t.Rows = append(t.Rows, flow.Row{Bold: true, Cells: []string{"all", "", fmt.Sprint(pieces), "", "", all, ""}})
	fl.Table(t)
	fl.Note("Pieces: what is carried on the deck, cut panels as they are cut. To send: whole parts behind them; sheets that are sawn up count with the whole ones.")
}

func (s *set) mass(kg float64, differs bool) string {
	switch {
	case differs:
		return "–"
	case math.IsNaN(kg):
		return "not known"
	}
	return say.Mass(kg, s.style)
}

func (s *set) panels(fl *flow.Flow, p *deck.Pour) {
	t := flow.Table{Title: "Panels, along × across the face grain", Cols: []flow.Col{{Head: "panel", Share: 26}, {Head: "size", Share: 18, Align: draw.Right},
		{Head: "pieces", Share: 8, Align: draw.Right}, {Head: "", Share: 16}, {Head: "which", Share: 32}}}
	for _, n := range count.Panels(p) {
		kind, which := "whole", ""
		if n.Cut {
			kind, which = "cut", strings.Join(ranges(n.IDs), ", ")
		}
		if n.Shaped {
			kind += ", shaped"
		}
		if n.Holes {
			kind += ", with hole"
		}
		t.Rows = append(t.Rows, flow.Row{Cells: []string{say.Part(s.doc, n.Part), say.Size(n.Along, n.Across, s.style), fmt.Sprint(n.Count), kind, which}})
	}
	fl.Table(t)
}

// general ends the set: all gear together, cautions, assumptions, values from memory.
func (s *set) general() {
	fl := s.lists("cautions, assumptions, all gear", 2)
	fl.Heading(1, "Cautions", "")
	for _, c := range Cautions(s.doc) {
		fl.Bullet(c)
	}
	if len(s.doc.Assumed) > 0 {
		fl.Heading(1, "Assumed, because the job does not say", "")
		t := flow.Table{Cols: []flow.Col{{Head: "what", Share: 26}, {Head: "value", Share: 22}, {Head: "why", Share: 52}}}
		for _, a := range s.doc.Assumed {
			t.Rows = append(t.Rows, flow.Row{Cells: []string{a.Key, a.Value, a.Reason}})
		}
		fl.Table(t)
	}
	if len(s.doc.Unsure) > 0 {
		fl.Heading(1, "Used without sight of the published text: confirm", "")
		t := flow.Table{Cols: []flow.Col{{Head: "of", Share: 26}, {Head: "value", Share: 30}, {Head: "source", Share: 26}, {Head: "evidence", Share: 18}}}
		for _, u := range say.Merged(s.doc.Unsure) {
			t.Rows = append(t.Rows, flow.Row{Cells: []string{u.Of, say.Signs(u.Value), u.Source, say.Evidence(u.Evidence)}})
		}
		fl.Table(t)
	}
	var planned []*deck.Pour
	for i := range s.doc.Pours {
		if s.doc.Pours[i].Refused == "" {
			planned = append(planned, &s.doc.Pours[i])
		}
	}
	if len(planned) > 1 {
		s.gear(fl, "Gear of all pours together, not reused", planned...)
	}
}

// special are the duties that come with the props of this plan: tall ones, and
// slender timber ones.
func special(doc *deck.Document) []osha1926.Caution {
	tallest := quantity.Length(0)
	var slender []osha1926.Caution
	for i := range doc.Pours {
		for _, q := range doc.Pours[i].Deck.Props {
			tallest = max(tallest, quantity.Millimetres(q.Seat-q.Base))
			if p := doc.Parts[q.Part]; slender == nil && p != nil && p.Kind == catalog.Lumber {
				slender = osha1926.SlenderTimber(quantity.Millimetres(q.Length), min(p.Width.V, p.Depth.V))
			}
		}
	}
	return append(osha1926.TallShores(tallest), slender...)
}

// carriedByTwo names the parts of a plan over the one-person limit.
func carriedByTwo(doc *deck.Document) []string {
	var pours []*deck.Pour
	for i := range doc.Pours {
		pours = append(pours, &doc.Pours[i])
	}
	var out []string
	for _, g := range count.List(doc, pours...) {
		if g.Heavy {
			name := g.Name
			if g.Cut {
				name += ", cut"
			}
			out = append(out, fmt.Sprintf("%s (%d of %d)", name, g.HeavyCount, g.Count))
		}
	}
	return out
}

// Cautions of the job in full sentences: the duties of the law where the basis
// is that of the United States, then common practice.
func Cautions(doc *deck.Document) []string {
	out := []string{Aid}
	if doc.Job.Basis == rules.US {
		for _, c := range append(osha1926.Cautions(), special(doc)...) {
			text := c.Duty + " (" + c.Section
			if c.Evidence == calc.Memory || c.Evidence == calc.ReadWeak {
				text += ", " + say.Evidence(c.Evidence)
			}
			out = append(out, text+")")
		}
	}
	out = append(out,
		"Props carry nothing before they are plumb, seated in the middle of what they carry and on firm, level bearing.",
		"All intermediate props, ties and braces stand before concrete is placed.",
		"Tripods hold props up while the deck is set. They are no support in the pour and resist no sideways load.",
		"Place concrete so that the deck is loaded evenly, and do not heap it.",
		"No one is under the deck while concrete is placed, except who watches the props from a safe place.",
		"Strike and reshore only when the engineer has released the slab.")
	if heavy := carriedByTwo(doc); len(heavy) > 0 {
		out = append(out, fmt.Sprintf("Two people carry each piece over %s: %s.", say.Mass(doc.Choices.OneManLift, doc.Job.Style), strings.Join(heavy, ", ")))
	}
	if n := len(doc.Unsure); n > 0 {
		out = append(out, fmt.Sprintf("Values in use that were not seen in a published text: %d. Confirm each before building.", n))
	}
	return out
}
