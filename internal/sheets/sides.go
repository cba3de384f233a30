package sheets

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/say"
)

// aside is a section across a face between two soffits: through a beam, at the
// side of a thickening or a step. u runs across the face from it, z is the height.
type aside struct {
	*cut
	face deck.Face
	l, t draw.Point // in plan: across the face, along it
	at   deck.Point
}

// asides picks one face for every pair of heights, the highest first, each where
// no column or wall stands in the way; at most a few.
func (s *set) asides(p *deck.Pour) []*aside {
	const most = 4
	faces := append(p.Site.Sides(), p.Site.Risers()...)
	length := func(f deck.Face) float64 { return math.Hypot(f.To[0]-f.From[0], f.To[1]-f.From[1]) }
	sort.SliceStable(faces, func(i, k int) bool {
		if d := faces[i].Height - faces[k].Height; math.Abs(d) > 1 {
			return d > 0
		}
		return length(faces[i]) > length(faces[k])
	})
	var out []*aside
	seen := map[string]bool{}
	for _, f := range faces {
		key := fmt.Sprintf("%.0f %.0f", p.Site.Zones[f.Low].Soffit, p.Site.Zones[f.High].Soffit)
		if seen[key] || len(out) == most || length(f) < 300 {
			continue
		}
		seen[key] = true
		out = append(out, s.across(p, f))
	}
	return out
}

// across cuts the pour at right angles to a face, near its middle.
func (s *set) across(p *deck.Pour, f deck.Face) *aside {
	t := draw.Point{X: f.To[0] - f.From[0], Y: f.To[1] - f.From[1]}.Unit()
	n := draw.Point{X: t.Y, Y: -t.X} // away from the lower zone
	a := &aside{face: f, l: n, t: t}
	for _, share := range []float64{0.5, 0.4, 0.6, 0.3, 0.7} { // clear of columns
		a.at = deck.Point{f.From[0] + share*(f.To[0]-f.From[0]), f.From[1] + share*(f.To[1]-f.From[1])}
		if !slices.ContainsFunc(p.Site.Blocks, func(b deck.Block) bool { return b.Ring.DistanceTo(a.at) < 500 || b.Ring.Contains(a.at) }) {
			break
		}
	}
	a.cut = &cut{set: s, pour: p, dir: n, prop: deck.Prop{At: a.at}}
	return a
}

// place is where a plan point lies: across the face and along it from the cut.
func (a *aside) place(p deck.Point) (u, v float64) {
	return along(a.l, p) - along(a.l, a.at), along(a.t, p) - along(a.t, a.at)
}

// spans are where a plan shape is cut.
func (a *aside) spans(s deck.Shape) plane.Spans {
	return plane.Scan([]plane.Shape{s.Map(func(p plane.Point) plane.Point {
		u, v := a.place(p)
		return plane.Point{u, v}
	})}, 0.5)
}

// aside fills the window: concrete and sheets cut, members cut or seen just behind
// the cut, forms of vertical faces, props.
func (p *picture) aside(a *aside) {
	deckOf := &a.pour.Deck
	for _, z := range a.pour.Site.Zones {
		for _, s := range z.Shapes {
			for _, span := range a.spans(s) {
				p.hatch(p.rect(draw.None, &draw.Concrete, span.A, z.Soffit, span.B, z.Soffit+z.Thickness), 45, 3)
				p.line(draw.Medium, span.A, z.Soffit, span.B, z.Soffit)
				p.line(draw.Medium, span.A, z.Soffit+z.Thickness, span.B, z.Soffit+z.Thickness)
			}
		}
	}
	top := 0.0
	for _, z := range a.pour.Site.Zones {
		top = math.Max(top, z.Top())
	}
	for _, b := range a.pour.Site.Blocks {
		if b.Kind != "column" && b.Kind != "wall" {
			continue
		}
		for _, span := range a.spans(deck.Shape{Outer: b.Ring}) {
			p.hatch(p.rect(draw.Medium, &draw.Concrete, span.A, a.pour.Site.BaseZ, span.B, top), -45, 2)
		}
	}
	for _, f := range append(a.pour.Site.Sides(), a.pour.Site.Risers()...) {
		u, v := a.place(f.From)
		if _, w := a.place(f.To); v*w <= 0 {
			p.line(draw.Medium, u, f.Foot, u, f.Foot+f.Height)
		}
	}
	for _, s := range deckOf.Sheets {
		t := a.set.depth(s.Part)
		for _, span := range a.spans(s.Shape) {
			p.rect(draw.Thin, &draw.Paper, span.A, s.Z-t, span.B, s.Z)
		}
	}
	members := []struct {
		list []deck.Member
		pen  draw.Pen
	}{{deckOf.Joists, draw.JoistPen}, {deckOf.Stringers, draw.StringPen}}
	props := map[string]deck.Prop{}
	for _, of := range members {
		for _, m := range a.seen(of.list) {
			p.lengthwise(m, of.pen)
			a.under(m, props)
		}
		for _, m := range of.list {
			if _, ok := a.crosses(m); ok {
				a.nearestUnder(m, props)
			}
		}
	}
	ids := make([]string, 0, len(props))
	for id := range props {
		ids = append(ids, id)
	}
	sort.Strings(ids)
	for _, id := range ids {
		if u := a.u(props[id].At); u > p.u && u < p.u+p.window.W()*p.den { // no halves at the border
			p.prop(u, props[id])
		}
	}
	for _, of := range members {
		for _, m := range of.list {
			if u, ok := a.crosses(m); ok {
				p.endOn(m, u, m.Top, of.pen)
			}
		}
	}
	for _, f := range deckOf.EdgeForms {
		p.form(a, f)
	}
	p.ground(p.u-10, p.u+p.window.W()*p.den+10)
}

// crosses is where a member is cut.
func (a *aside) crosses(m deck.Member) (float64, bool) {
	u0, v0 := a.place(m.From)
	u1, v1 := a.place(m.To)
	if v0*v1 > 0 || math.Abs(v0-v1) < math.Abs(u0-u1) {
		return 0, false
	}
	t := v0 / (v0 - v1)
	return u0 + t*(u1-u0), true
}

// seen are the members that run across the face just behind the cut: of each
// field those nearest to it.
func (a *aside) seen(list []deck.Member) []deck.Member {
	const behind = 1500
	nearest := map[string]float64{}
	off := func(m deck.Member) (float64, bool) {
		u0, v0 := a.place(m.From)
		u1, v1 := a.place(m.To)
		return math.Abs(v0+v1) / 2, math.Abs(v0-v1) < math.Abs(u0-u1)
	}
	for _, m := range list {
		if d, ok := off(m); ok {
			if best, found := nearest[m.Field]; !found || d < best {
				nearest[m.Field] = d
			}
		}
	}
	var out []deck.Member
	for _, m := range list {
		if d, ok := off(m); ok && d < behind && d < nearest[m.Field]+100 { // laps too
			out = append(out, m)
		}
	}
	return out
}

// under adds the props that stand under a member.
func (a *aside) under(m deck.Member, into map[string]deck.Prop) {
	for _, q := range a.pour.Deck.Props {
		if a.stands(q, m) {
			into[q.ID] = q
		}
	}
}

// nearestUnder adds the prop under a member that is cut, the nearest to the cut.
func (a *aside) nearestUnder(m deck.Member, into map[string]deck.Prop) {
	best, id := math.Inf(1), -1
	for i, q := range a.pour.Deck.Props {
		if _, v := a.place(q.At); a.stands(q, m) && math.Abs(v) < best {
			best, id = math.Abs(v), i
		}
	}
	if id >= 0 {
		into[a.pour.Deck.Props[id].ID] = a.pour.Deck.Props[id]
	}
}

// stands reports whether a member lies on a prop.
func (a *aside) stands(q deck.Prop, m deck.Member) bool {
	return toSegment(q.At, m.From, m.To) < 60 && math.Abs(m.Top-a.set.depth(m.Part)-q.Seat) < 2
}

// form draws the form of a vertical face that the cut meets: the panel, as far up
// as the sheets that lie over it let it, a stud and its foot. Studs and braces are sketched.
func (p *picture) form(a *aside, f deck.EdgeForm) {
	u0, v0 := a.place(f.From)
	u1, v1 := a.place(f.To)
	if v0*v1 > 0 || v0 == v1 {
		return
	}
	u := u0 + v0/(v0-v1)*(u1-u0)
	foot := f.Foot
	if f.Kind == deck.EdgeOf { // on the deck of the zone beside it
		foot = a.pour.Site.Zones[a.pour.Site.ZoneBeside(deck.Point{(f.From[0] + f.To[0]) / 2, (f.From[1] + f.To[1]) / 2})].Soffit
	}
	out := 1.0 // away from the concrete, which lies on the left of the run
	if dx, dy := f.To[0]-f.From[0], f.To[1]-f.From[1]; (dy*a.l.X - dx*a.l.Y) < 0 {
		out = -1
	}
	thick, top := math.Min(a.set.depth(f.Part), a.set.wide(f.Part)), foot+f.Height
	if f.Kind == deck.SideOf {
		for _, s := range a.pour.Deck.Sheets { // the sheet of the higher deck closes the rest
			if math.Abs(s.Z-top) < 2 {
				top -= a.set.depth(s.Part)
				break
			}
		}
	}
	p.rect(draw.Medium, &draw.Paper, u, foot, u+out*thick, top)
	if f.Kind == deck.RiserOf {
		return // hung from the higher side: nothing stands on the lower concrete
	}
	stud := 40.0
	p.rect(draw.Thin, &draw.Paper, u+out*thick, foot, u+out*(thick+stud), top)
	p.line(draw.Thin, u+out*(thick+stud), top-20, u+out*(thick+stud+35), foot)
}

// heights of an aside, from the top down.
func (a *aside) heights() []level {
	st := a.set.style
	low, high := a.pour.Site.Zones[a.face.Low], a.pour.Site.Zones[a.face.High]
	all := []level{{low.Top(), "top of " + low.Name}, {high.Top(), "top of " + high.Name},
		{low.Soffit, "soffit of " + low.Name}, {high.Soffit, "soffit of " + high.Name}, {a.pour.Site.BaseZ, "base"}}
	sort.SliceStable(all, func(i, k int) bool { return all[i].z > all[k].z })
	kept := all[:1]
	for _, l := range all[1:] {
		if math.Abs(l.z-kept[len(kept)-1].z) < 0.5 {
			kept[len(kept)-1].text += ", " + l.text
			continue
		}
		kept = append(kept, l)
	}
	for i := range kept {
		kept[i].text = say.Height(kept[i].z, st) + "  " + kept[i].text
	}
	return kept
}

// sides draws the sections across faces, two to a sheet.
func (s *set) sides(p *deck.Pour) {
	list := s.asides(p)
	for i := 0; i < len(list); i += 2 {
		s.sideSheet(p, list[i:min(i+2, len(list))])
	}
}

func (s *set) sideSheet(p *deck.Pour, list []*aside) {
	f := listFormat(s.style)
	area := f.drawing().Grow(-9)
	low, high := p.Site.BaseZ-100, 0.0
	for _, z := range p.Site.Zones {
		high = math.Max(high, z.Top()+60)
	}
	sc := sectionScale(s.style, high-low, area.H()-14)
	sh := &sheet{set: s, pour: p, style: s.style, title: "Sections of beams, drops and steps", scale: sc, so: newSettingOut(s.doc, p), bad: badOf(p)}
	page := s.page(f, p.Name+": Sections of beams, drops and steps")
	sh.page = page
	page.Layer = "section"
	const text = 48.0
	w := area.W()/2 - text - 8
	for i, a := range list {
		x := area.Min.X + 4 + float64(i)*area.W()/2
		win := draw.Box{Min: draw.Point{X: x, Y: area.Min.Y + 12}, Max: draw.Point{X: x + w, Y: area.Min.Y + 12 + (high-low)/sc.den}}
		pic := &picture{c: a.cut, page: page, den: sc.den, window: win, u: a.from(w * sc.den), z: low}
		pic.aside(a)
		pic.notes(a.heights(), true, text-8, 2.0)
		caption(page, win, fmt.Sprintf("Across the side of %s, %s", p.Site.Zones[a.face.Low].Name, sc.text))
		so := sh.so
		page.Write(draw.Text{At: draw.Point{X: win.Min.X, Y: win.Min.Y - 8.5}, Size: 2.1, Color: draw.Ink,
			Str: fmt.Sprintf("cut at %s, %s", offset(a.at[0], so.alongX(a.at[0]), s), offset(a.at[1], so.alongY(a.at[1]), s))})
	}
	page.Layer = "frame"
	col := newColumn(page, f)
	sh.foot(col)
	sh.head(col)
	col.rule()
	col.heading("Forms of the sides")
	for _, line := range append(s.formWords(p), "Kickers run by run: see the list of forms.") {
		col.text(line, col.size, false, draw.Ink)
	}
	col.rule()
	col.heading("Notes")
	for _, n := range []string{
		"The sheets of the higher deck lie over the side form and close the last of the side; the form ends under them.",
		"Side forms stand on the deck of the beam and carry the edge of the slab's sheets: set and fix them before these sheets, strip them after.",
		"Studs and braces of side forms are sketched; heights and sizes of beams, sheets and panels are to scale.",
		"Members and props seen stand behind the cut, where the plan shows them.",
	} {
		col.text("– "+n, col.size, false, draw.Ink)
	}
}

// formWords are the forms of sides and steps, those of one kind, height and part in
// one line, with the spacings of their kickers from run to run.
func (s *set) formWords(p *deck.Pour) []string {
	type key struct {
		kind   deck.FormKind
		height string
		part   string
	}
	apart := map[key][2]float64{}
	var keys []key
	for _, e := range p.Deck.EdgeForms {
		if e.Kind == deck.EdgeOf {
			continue
		}
		k := key{e.Kind, say.LenUnit(e.Height, s.style), e.Part}
		r, ok := apart[k]
		if !ok {
			keys = append(keys, k)
			r = [2]float64{e.Pitch, e.Pitch}
		}
		apart[k] = [2]float64{math.Min(r[0], e.Pitch), math.Max(r[1], e.Pitch)}
	}
	var out []string
	for _, k := range keys {
		least, most := say.LenUnit(apart[k][0], s.style), say.LenUnit(apart[k][1], s.style)
		if least != most {
			most = least + " to " + most
		}
		out = append(out, fmt.Sprintf("%s %s high: %s, kickers at most %s apart", k.kind, k.height, say.Part(s.doc, k.part), most))
	}
	return out
}

// from is where the window begins: the lower zone in it whole where it is narrow,
// else the face in its middle.
func (a *aside) from(width float64) float64 {
	for _, s := range a.pour.Site.Zones[a.face.Low].Shapes {
		for _, span := range a.spans(s) {
			if span.A < 0 && span.B > -5 && span.Len() < width*0.7 {
				return (span.A+span.B)/2 - width/2
			}
		}
	}
	return -width / 2
}
