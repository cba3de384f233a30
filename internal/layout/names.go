package layout

import (
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// names gives parts of a changed deck their names. What stays keeps its name, and
// what is new gets one that no part had before: a crew that has marked line C and
// prop C-7 must not find other parts under these names on the next drawing. The
// price is that new lines and numbers come after the old ones, not between them.
type names struct {
	most  map[string]int // greatest number in use after each text
	lines int            // lines that have letters
	roman int            // fields that have numerals
}

func newNames(d *deck.Deck) *names {
	n := &names{most: map[string]int{}}
	for _, f := range d.Fields {
		for i := 1; i < 100; i++ {
			if roman(i) == f.Name {
				n.roman = max(n.roman, i)
			}
		}
	}
	for _, s := range d.Sheets {
		n.seen(s.ID)
		if row, _, ok := strings.Cut(s.ID, "."); ok { // I-R3 of I-R3.2
			n.seen(row)
		}
	}
	for _, m := range d.Joists {
		n.seen(m.ID)
		if column, _, ok := strings.Cut(m.ID, "."); ok {
			n.seen(column)
		}
	}
	for _, m := range d.Stringers {
		n.seen(m.ID)
		n.lines = max(n.lines, lettersOf(m.Line)+1)
	}
	for _, p := range d.Props {
		n.seen(p.ID)
	}
	for _, e := range d.EdgeForms {
		n.seen(e.ID)
	}
	for _, g := range d.Guards {
		n.seen(g.ID)
	}
	for _, t := range d.Ties {
		n.seen(t.ID)
	}
	for _, b := range d.Braces {
		n.seen(b.ID)
	}
	return n
}

// seen notes a name that ends in a number.
func (n *names) seen(id string) {
	text := strings.TrimRight(id, "0123456789")
	if v, err := strconv.Atoi(id[len(text):]); err == nil {
		n.most[text] = max(n.most[text], v)
	}
}

// next is a name that was never used.
func (n *names) next(text string) string {
	n.most[text]++
	return text + strconv.Itoa(n.most[text])
}

func (n *names) field() string {
	n.roman++
	return roman(n.roman)
}

// lettersOf undoes letters: 0 for A; -1 for no letters.
func lettersOf(s string) int {
	v := 0
	for _, c := range s {
		if c < 'A' || c > 'Z' || v > 1e6 {
			return -1
		}
		v = v*26 + int(c-'A') + 1
	}
	return v - 1
}

// members names new sheets by their row and new joists by their column, where
// the old deck has these, else by rows and columns of their own.
func (n *names) members(d, old *deck.Deck, stay placed, fields map[string]*field) {
	used := map[string]bool{}
	for _, s := range stay.sheets {
		used[s.part.ID] = true
	}
	for _, m := range stay.joists {
		used[m.part.ID] = true
	}
	type place struct {
		field string
		at    int
	}
	fresh := map[place]string{} // rows and columns that the old deck does not have
	name := func(fieldName, kind string, at float64, step float64, olds map[string]float64) string {
		best, by := "", step/2
		for id, y := range olds {
			if d := math.Abs(y - at); d < by || d == by && id < best {
				best, by = id, d
			}
		}
		if best == "" {
			p := place{fieldName + kind, int(math.Round(at / step))}
			if fresh[p] == "" {
				fresh[p] = n.next(fieldName + "-" + kind)
			}
			best = fresh[p]
		}
		return n.next(best + ".")
	}
	rows, columns := map[string]map[string]float64{}, map[string]map[string]float64{}
	for fieldName, f := range fields {
		rows[fieldName], columns[fieldName] = map[string]float64{}, map[string]float64{}
		w := mmOf(f.k.sheet.Width.V)
		for _, s := range old.Sheets {
			if row, _, ok := strings.Cut(s.ID, "."); ok && s.Field == fieldName {
				b := s.Shape.Outer.Map(f.r.f.in).Bounds()
				rows[fieldName][row] = f.r.rowY + (math.Floor(((b.Y0+b.Y1)/2-f.r.rowY)/w)+0.5)*w
			}
		}
		for _, m := range old.Joists {
			if column, _, ok := strings.Cut(m.ID, "."); ok && m.Field == fieldName {
				columns[fieldName][column] = f.r.f.in(m.From)[0]
			}
		}
	}
	for i := range d.Sheets {
		s := &d.Sheets[i]
		s.ID = ""
		for _, o := range old.Sheets { // cut anew, to the same size
			if o.Part == s.Part && !used[o.ID] && sameRing(o.Shape.Outer, s.Shape.Outer) {
				s.ID, used[o.ID] = o.ID, true
				break
			}
		}
		if s.ID != "" {
			continue
		}
		f := fields[s.Field]
		w := mmOf(f.k.sheet.Width.V)
		b := s.Shape.Outer.Map(f.r.f.in).Bounds()
		mid := f.r.rowY + (math.Floor(((b.Y0+b.Y1)/2-f.r.rowY)/w)+0.5)*w
		s.ID = name(s.Field, "R", mid, w, rows[s.Field])
	}
	for i := range d.Joists {
		m := &d.Joists[i]
		m.ID = ""
		for _, o := range old.Joists {
			if o.Part == m.Part && !used[o.ID] && at(o.From, m.From) && at(o.To, m.To) {
				m.ID, used[o.ID] = o.ID, true
				break
			}
		}
		if m.ID != "" {
			continue
		}
		f := fields[m.Field]
		m.ID = name(m.Field, "J", f.r.f.in(m.From)[0], 3*mmOf(f.k.joists[0].part.Width.V), columns[m.Field])
	}
}

// sameRing reports whether two outlines have the same box and area.
func sameRing(a, b plane.Ring) bool {
	x, y := a.Bounds(), b.Bounds()
	return at(plane.Point{x.X0, x.Y0}, plane.Point{y.X0, y.Y0}) && at(plane.Point{x.X1, x.Y1}, plane.Point{y.X1, y.Y1}) &&
		math.Abs(math.Abs(a.SignedArea())-math.Abs(b.SignedArea())) < 1e3
}

// finish names lines, stringers, props and edges once all are placed.
func (n *names) finish(in *Input, d, old *deck.Deck) {
	oldStringer := func(m deck.Member) *deck.Member {
		i := slices.IndexFunc(old.Stringers, func(o deck.Member) bool { return at(o.From, m.From) && at(o.To, m.To) })
		if i < 0 {
			return nil
		}
		return &old.Stringers[i]
	}
	line := map[string]string{"joist": "joist"} // by key
	taken := map[string]bool{}
	for _, f := range d.Fields { // the lines of a pattern know their names
		if o := fieldNamed(old, f.Name); o != nil && o.Pattern != nil {
			for _, l := range o.Pattern.Lines {
				if key := lineKey(f.Name, l.At); l.Name != "" && line[key] == "" && !taken[l.Name] {
					line[key], taken[l.Name] = l.Name, true
				}
			}
		}
	}
	for _, m := range d.Stringers {
		if o := oldStringer(m); o != nil && line[m.Line] == "" && !taken[o.Line] {
			line[m.Line], taken[o.Line] = o.Line, true
		}
	}
	var keys []string
	for _, m := range d.Stringers {
		if line[m.Line] == "" && !slices.Contains(keys, m.Line) {
			keys = append(keys, m.Line)
		}
	}
	sort.SliceStable(keys, func(i, j int) bool { return lineY(keys[i]) < lineY(keys[j]) })
	for _, k := range keys {
		line[k] = letters(n.lines)
		n.lines++
	}
	laid := map[string]bool{"joist": true}
	for i := range d.Stringers {
		m := &d.Stringers[i]
		m.Line = line[m.Line]
		laid[m.Line] = true
		m.ID = ""
		if o := oldStringer(*m); o != nil && o.Line == m.Line {
			m.ID = o.ID
		}
	}
	for i := range d.Fields {
		if p := d.Fields[i].Pattern; p != nil {
			for k := range p.Lines {
				if p.Lines[k].Name = line[p.Lines[k].Name]; !laid[p.Lines[k].Name] {
					p.Lines[k].Name = ""
				}
			}
		}
	}
	for i := range d.Props {
		p := &d.Props[i]
		p.ID = ""
		if p.Line = line[p.Line]; p.Line == "" {
			p.Line = "joist" // a line without stringers: the audit names the prop
		}
		for _, o := range old.Props {
			if at(o.At, p.At) && o.Line == p.Line {
				p.ID = o.ID
			}
		}
	}
	inLineOrder(d)
	for i := range d.Stringers {
		if m := &d.Stringers[i]; m.ID == "" {
			m.ID = n.next(m.Line + "/")
		}
	}
	for i := range d.Props {
		switch p := &d.Props[i]; {
		case p.ID != "":
		case p.Line == "joist":
			p.ID = n.next("P")
		default:
			p.ID = n.next(p.Line + "-")
		}
	}
	n.edges(d, old)
}

// edges names what stands along the edges and holds the deck sideways.
func (n *names) edges(d, old *deck.Deck) {
	used := map[string]bool{}
	for i := range d.EdgeForms {
		e := &d.EdgeForms[i]
		e.ID = ""
		for _, o := range old.EdgeForms { // a side and a riser may stand over each other
			if !used[o.ID] && o.Kind == e.Kind && at(o.From, e.From) && at(o.To, e.To) {
				e.ID, used[o.ID] = o.ID, true
				break
			}
		}
		if e.ID == "" {
			e.ID = n.next("E")
		}
	}
	for i := range d.Guards {
		g := &d.Guards[i]
		g.ID = ""
		for _, o := range old.Guards {
			if at(o.At, g.At) && !slices.ContainsFunc(d.Guards[:i], func(x deck.GuardPost) bool { return x.ID == o.ID }) {
				g.ID = o.ID
				break
			}
		}
		if g.ID == "" {
			g.ID = n.next("G")
		}
	}
	for i := range d.Ties {
		t := &d.Ties[i]
		if !slices.ContainsFunc(old.Ties, func(o deck.Tie) bool { return o.ID == t.ID && at(o.At, t.At) }) {
			t.ID = n.next("T")
		}
	}
	for i := range d.Braces {
		b := &d.Braces[i]
		if !slices.ContainsFunc(old.Braces, func(o deck.Brace) bool { return o.ID == b.ID && at(o.At, b.At) }) {
			b.ID = n.next("S")
		}
	}
}
