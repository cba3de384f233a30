// Package change compares two decks part by part: what stays, what moves along
// its line, what another part takes the place of, what is added and what is gone.
// It knows nothing of how the decks came about.
package change

import (
	"cmp"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// Distances, mm: parts of a kind are at the same place within same; moved by up to
// far along their line, and by no more than aside across it.
const (
	same  = 5.0
	far   = 1500.0
	aside = 100.0
)

// Kinds of parts, in the order of their tables.
var Kinds = []string{"sheet", "joist", "stringer", "prop", "edge form", "guard post", "tie", "brace"}

// Part is one placed part as it is compared.
type Part struct {
	Kind  string       `json:"kind"`
	ID    string       `json:"id"`
	Part  string       `json:"part"`           // of the catalogue
	With  string       `json:"with,omitempty"` // head and kind of a prop
	Shape []deck.Point `json:"shape_mm"`       // outline of a sheet, ends of a beam, place of a prop

	line   float64 // direction of its line, degrees
	length float64 // setting of a prop, height of the rest
	size   float64 // area of a sheet, length of the rest
}

// Pair is a part in both decks.
type Pair struct {
	Was Part    `json:"was"`
	Now Part    `json:"now"`
	By  float64 `json:"by_mm,omitempty"` // how far it moved
}

// Pour is the difference of one pour.
type Pour struct {
	Name      string      `json:"name"`
	Level     string      `json:"level"`
	Note      string      `json:"note,omitempty"` // new, gone, refused, laid afresh and why
	Counts    Counts      `json:"counts"`
	Site      []string    `json:"site"`      // what differs in the slab: outline, openings, ...
	Exchanged []Pair      `json:"exchanged"` // another part at the same place
	Moved     []Pair      `json:"moved"`
	Renamed   []Rename    `json:"renamed"` // kept, under another name
	Added     []Part      `json:"added"`
	Removed   []Part      `json:"removed"`
	Areas     []plane.Box `json:"-"` // around what changed
}

// Rename is the old and the new name of a part that stays.
type Rename struct {
	Kind string `json:"kind"`
	Was  string `json:"was"`
	Now  string `json:"now"`
}

// Counts of parts.
type Counts struct {
	Of        int `json:"parts_before"`
	Kept      int `json:"kept"`
	Reset     int `json:"reset"` // of the kept: at another height or setting
	Exchanged int `json:"exchanged"`
	Moved     int `json:"moved"`
	Added     int `json:"added"`
	Removed   int `json:"removed"`
	Renamed   int `json:"renamed"`
}

// Any reports whether something is to be done with any part.
func (c Counts) Any() bool { return c.Exchanged+c.Moved+c.Added+c.Removed+c.Renamed+c.Reset > 0 }

func (c Counts) plus(d Counts) Counts {
	return Counts{c.Of + d.Of, c.Kept + d.Kept, c.Reset + d.Reset, c.Exchanged + d.Exchanged, c.Moved + d.Moved,
		c.Added + d.Added, c.Removed + d.Removed, c.Renamed + d.Renamed}
}

// Report is changes.json: what a plan does with the parts of an earlier one.
type Report struct {
	Schema string `json:"schema"`
	Job    string `json:"job"`
	From   string `json:"from"` // name of the earlier job
	Pours  []Pour `json:"pours"`
	Total  Counts `json:"total"`
}

// SchemaName names the version of changes.json.
const SchemaName = "shoreward-changes/1"

// Documents compares the pours of two plans by their names; notes may say of a
// pour why it was laid as it was.
func Documents(old, now *deck.Document, notes map[string]string) *Report {
	r := &Report{Schema: SchemaName, Job: now.Job.Name, From: old.Job.Name, Pours: []Pour{}}
	none := deck.Pour{}
	for i := range now.Pours {
		p := &now.Pours[i]
		k := slices.IndexFunc(old.Pours, func(o deck.Pour) bool { return o.Name == p.Name })
		was, note := &none, notes[p.Name]
		switch {
		case p.Refused != "":
			note = "refused now: no deck"
		case k < 0:
			note = "new: the earlier plan does not have it"
		case old.Pours[k].Refused != "":
			note = "new: the earlier plan had no deck for it"
		}
		if k >= 0 {
			was = &old.Pours[k]
		}
		d := Pours(was, p)
		d.Name, d.Level, d.Note = p.Name, p.Level, note
		r.Pours = append(r.Pours, d)
	}
	for i := range old.Pours {
		o := &old.Pours[i]
		if !slices.ContainsFunc(now.Pours, func(p deck.Pour) bool { return p.Name == o.Name }) {
			d := Pours(o, &none)
			d.Name, d.Level, d.Note = o.Name, o.Level, "gone: the job does not have it any more"
			r.Pours = append(r.Pours, d)
		}
	}
	for _, p := range r.Pours {
		r.Total = r.Total.plus(p.Counts)
	}
	return r
}

// Pours compares two decks of a pour.
func Pours(old, now *deck.Pour) Pour {
	out := Pour{Site: site(&old.Site, &now.Site), Exchanged: []Pair{}, Moved: []Pair{}, Renamed: []Rename{}, Added: []Part{}, Removed: []Part{}}
	a, b := parts(&old.Deck), parts(&now.Deck)
	out.Counts.Of = len(a)
	m := matcher{a: a, b: b, to: make([]int, len(a)), from: make([]int, len(b))}
	for i := range m.to {
		m.to[i] = -1
	}
	for i := range m.from {
		m.from[i] = -1
	}
	m.index()
	m.pair(func(x, y Part) (float64, bool) { return placed(x, y), x.Part == y.Part && x.With == y.With }, same)
	kept := slices.Clone(m.to)
	m.pair(func(x, y Part) (float64, bool) { return placed(x, y), true }, same)
	m.pair(func(x, y Part) (float64, bool) { return instead(x, y), x.Part != y.Part }, far)
	exchanged := slices.Clone(m.to)
	m.pair(func(x, y Part) (float64, bool) {
		return shifted(x, y), x.Part == y.Part && x.With == y.With && math.Abs(x.size-y.size) <= sizeSlack(x)
	}, far)
	for i, x := range a {
		k := m.to[i]
		switch {
		case k < 0:
			out.Removed = append(out.Removed, x)
		case kept[i] >= 0:
			out.Counts.Kept++
			if math.Abs(x.length-b[k].length) > 0.5 {
				out.Counts.Reset++
			}
			if x.ID != b[k].ID {
				out.Renamed = append(out.Renamed, Rename{x.Kind, x.ID, b[k].ID})
			}
		case exchanged[i] >= 0:
			out.Exchanged = append(out.Exchanged, Pair{Was: x, Now: b[k]})
		default:
			out.Moved = append(out.Moved, Pair{Was: x, Now: b[k], By: math.Round(shifted(x, b[k]))})
		}
	}
	for i, y := range b {
		if m.from[i] < 0 {
			out.Added = append(out.Added, y)
		}
	}
	c := &out.Counts
	c.Exchanged, c.Moved, c.Added, c.Removed, c.Renamed = len(out.Exchanged), len(out.Moved), len(out.Added), len(out.Removed), len(out.Renamed)
	out.Areas = areas(&out)
	return out
}

// parts lists a deck's parts in the order of Kinds.
func parts(d *deck.Deck) []Part {
	dir := map[string]float64{}
	for _, f := range d.Fields {
		dir[f.Name] = f.Joists
	}
	var out []Part
	for _, s := range d.Sheets {
		out = append(out, Part{Kind: "sheet", ID: s.ID, Part: s.Part, Shape: s.Shape.Outer, line: dir[s.Field] + 90, length: s.Z, size: s.Shape.Area()})
	}
	line := map[string]float64{}
	for _, m := range d.Joists {
		out = append(out, Part{Kind: "joist", ID: m.ID, Part: m.Part, Shape: []deck.Point{m.From, m.To}, line: dir[m.Field], length: m.Top, size: dist(m.From, m.To)})
	}
	for _, m := range d.Stringers {
		line[m.Line] = dir[m.Field] + 90
		out = append(out, Part{Kind: "stringer", ID: m.ID, Part: m.Part, Shape: []deck.Point{m.From, m.To}, line: dir[m.Field] + 90, length: m.Top, size: dist(m.From, m.To)})
	}
	for _, p := range d.Props {
		at, ok := line[p.Line]
		if !ok && len(d.Fields) > 0 {
			at = d.Fields[0].Joists // under a joist
		}
		out = append(out, Part{Kind: "prop", ID: p.ID, Part: p.Part, With: fmt.Sprintf("%s, %s", p.Head, p.Kind), Shape: []deck.Point{p.At}, line: at, length: p.Length})
	}
	for _, e := range d.EdgeForms {
		out = append(out, Part{Kind: "edge form", ID: e.ID, Part: e.Part, Shape: []deck.Point{e.From, e.To}, line: angle(e.From, e.To), length: e.Height, size: dist(e.From, e.To)})
	}
	for _, g := range d.Guards {
		out = append(out, Part{Kind: "guard post", ID: g.ID, Part: g.Part, Shape: []deck.Point{g.At}})
	}
	for _, t := range d.Ties {
		out = append(out, Part{Kind: "tie", ID: t.ID, Part: t.Part, Shape: []deck.Point{t.At}})
	}
	for _, b := range d.Braces {
		out = append(out, Part{Kind: "brace", ID: b.ID, Part: b.Part, Shape: []deck.Point{b.At, b.Foot}, line: angle(b.At, b.Foot), size: dist(b.At, b.Foot)})
	}
	return out
}

func dist(a, b deck.Point) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }

func angle(a, b deck.Point) float64 { return math.Atan2(b[1]-a[1], b[0]-a[0]) * 180 / math.Pi }

// sizeSlack is by how much the sizes of equal parts may differ.
func sizeSlack(p Part) float64 {
	if p.Kind == "sheet" { // a side of 2500 mm off by 5 mm
		return 2500 * same
	}
	return 2 * same
}

// placed is how far the places of two parts of a kind differ at the most.
func placed(x, y Part) float64 {
	if x.Kind == "sheet" {
		a, b := plane.Ring(x.Shape).Bounds(), plane.Ring(y.Shape).Bounds()
		d := max(math.Abs(a.X0-b.X0), math.Abs(a.X1-b.X1), math.Abs(a.Y0-b.Y0), math.Abs(a.Y1-b.Y1))
		if math.Abs(x.size-y.size) > sizeSlack(x) {
			return math.Inf(1)
		}
		return d
	}
	if len(x.Shape) == 1 {
		return dist(x.Shape[0], y.Shape[0])
	}
	ahead := math.Max(dist(x.Shape[0], y.Shape[0]), dist(x.Shape[1], y.Shape[1]))
	if x.Kind == "brace" { // its ends are not alike
		return ahead
	}
	return math.Min(ahead, math.Max(dist(x.Shape[0], y.Shape[1]), dist(x.Shape[1], y.Shape[0])))
}

// instead is how far the middles of two beams are apart of which one lies where the other
// lay, longer or shorter: in its line, along nine tenths of the shorter; infinite where not.
func instead(x, y Part) float64 {
	if x.Kind != "joist" && x.Kind != "stringer" || turned(x, y) {
		return math.Inf(1)
	}
	s, c := math.Sincos(angle(x.Shape[0], x.Shape[1]) * math.Pi / 180)
	lo, hi := math.Inf(1), math.Inf(-1) // of y, along x from its start
	for _, q := range y.Shape {
		dx, dy := q[0]-x.Shape[0][0], q[1]-x.Shape[0][1]
		if math.Abs(dy*c-dx*s) > same {
			return math.Inf(1)
		}
		lo, hi = math.Min(lo, dx*c+dy*s), math.Max(hi, dx*c+dy*s)
	}
	if both := math.Min(hi, x.size) - math.Max(lo, 0); both < 0.9*math.Min(x.size, y.size) {
		return math.Inf(1)
	}
	return dist(middle(x), middle(y))
}

// shifted is how far a part has moved along its line, infinite when it is not on
// that line any more.
func shifted(x, y Part) float64 {
	p, q := middle(x), middle(y)
	s, c := math.Sincos(x.line * math.Pi / 180)
	along := (q[0]-p[0])*c + (q[1]-p[1])*s
	across := (q[1]-p[1])*c - (q[0]-p[0])*s
	if x.Kind == "joist" && math.Abs(along) <= aside { // a joist moves across too, to another place of its row
		along, across = across, 0
	}
	if x.Kind == "guard post" || x.Kind == "tie" {
		across = 0
	}
	if math.Abs(across) > aside || turned(x, y) {
		return math.Inf(1)
	}
	return math.Hypot(along, dist(p, q)*0.001)
}

func turned(x, y Part) bool {
	if len(x.Shape) != 2 {
		return false
	}
	d := math.Abs(math.Mod(angle(x.Shape[0], x.Shape[1])-angle(y.Shape[0], y.Shape[1])+720, 180))
	return d > 1 && d < 179
}

func middle(p Part) deck.Point {
	b := plane.Ring(p.Shape).Bounds()
	return deck.Point{(b.X0 + b.X1) / 2, (b.Y0 + b.Y1) / 2}
}

// matcher pairs the parts of two lists one to one.
type matcher struct {
	a, b     []Part
	to, from []int // the other part, or -1
	cells    map[string]map[[2]int][]int
}

const cell = 1500.0

func cellOf(p deck.Point) [2]int {
	return [2]int{int(math.Floor(p[0] / cell)), int(math.Floor(p[1] / cell))}
}

func (m *matcher) index() {
	m.cells = map[string]map[[2]int][]int{}
	for _, k := range Kinds {
		m.cells[k] = map[[2]int][]int{}
	}
	for i, p := range m.b {
		c := cellOf(middle(p))
		m.cells[p.Kind][c] = append(m.cells[p.Kind][c], i)
	}
}

// pair matches what is left over of both lists, the nearest first; of equally
// near ones those with the same name.
func (m *matcher) pair(far func(x, y Part) (float64, bool), within float64) {
	type match struct {
		i, k int
		d    float64
		name bool
	}
	var all []match
	for i, x := range m.a {
		if m.to[i] >= 0 {
			continue
		}
		c := cellOf(middle(x))
		for dx := -1; dx <= 1; dx++ {
			for dy := -1; dy <= 1; dy++ {
				for _, k := range m.cells[x.Kind][[2]int{c[0] + dx, c[1] + dy}] {
					if m.from[k] >= 0 {
						continue
					}
					if d, ok := far(x, m.b[k]); ok && d <= within {
						all = append(all, match{i, k, d, x.ID == m.b[k].ID})
					}
				}
			}
		}
	}
	slices.SortStableFunc(all, func(x, y match) int {
		named := 0
		if x.name != y.name {
			named = 1
			if x.name {
				named = -1
			}
		}
		return cmp.Or(cmp.Compare(x.d, y.d), named, cmp.Compare(x.i, y.i), cmp.Compare(x.k, y.k))
	})
	for _, x := range all {
		if m.to[x.i] < 0 && m.from[x.k] < 0 {
			m.to[x.i], m.from[x.k] = x.k, x.i
		}
	}
}

// site says in words what differs between two slabs.
func site(a, b *deck.Site) []string {
	out := []string{}
	if len(a.Zones) == 0 || len(b.Zones) == 0 {
		return out
	}
	rings := func(what string, x, y []deck.Ring) {
		if len(without(x, y))+len(without(y, x)) > 0 {
			out = append(out, what)
		}
	}
	rings("openings", a.Openings, b.Openings)
	rings("outline", border(a), border(b))
	blocks := func(s *deck.Site) (out []deck.Ring) {
		for _, b := range s.Blocks {
			if b.Kind != "joint" {
				out = append(out, b.Ring)
			}
		}
		return out
	}
	rings("columns and walls", blocks(a), blocks(b))
	lower := func(s *deck.Site) (out []deck.Ring) {
		for _, z := range s.Zones[1:] {
			for _, x := range z.Shapes {
				out = append(out, x.Outer)
			}
		}
		return out
	}
	rings("beams, drops and steps", lower(a), lower(b))
	rings("places kept clear", a.Clear, b.Clear)
	zones := func(s *deck.Site) (out string) {
		for _, z := range s.Zones {
			out += fmt.Sprintf("%s %.1f;", z.Name, z.Thickness)
		}
		return out
	}
	if zones(a) != zones(b) {
		out = append(out, "thickness")
	}
	if a.TopZ != b.TopZ || a.BaseZ != b.BaseZ || a.OnGround != b.OnGround {
		out = append(out, "heights")
	}
	if !reflect.DeepEqual(a.Fall, b.Fall) {
		out = append(out, "fall")
	}
	return out
}

// border is every edge of a slab but those of its openings.
func border(s *deck.Site) []deck.Ring {
	var out []deck.Ring
	for _, e := range s.Edges {
		onOpening := slices.ContainsFunc(s.Openings, func(r deck.Ring) bool { return r.DistanceTo(e.From) < 1 && r.DistanceTo(e.To) < 1 })
		if !onOpening {
			out = append(out, deck.Ring{e.From, e.To})
		}
	}
	return out
}

// without are the rings of a that b does not have.
func without(a, b []deck.Ring) []deck.Ring {
	var out []deck.Ring
	for _, r := range a {
		if !slices.ContainsFunc(b, func(s deck.Ring) bool {
			return slices.EqualFunc(r, s, func(p, q deck.Point) bool { return dist(p, q) <= 1 })
		}) {
			out = append(out, r)
		}
	}
	return out
}

// areas are boxes around the changed parts, those near each other as one. Edge
// forms and guardrail posts run on along whole sides of a slab and would put all
// of it into one area: they count only where nothing else changes.
func areas(p *Pour) []plane.Box {
	const pad, join = 250.0, 500.0
	var out, edge []plane.Box
	add := func(x Part) {
		b := plane.Ring(x.Shape).Bounds()
		b = plane.Box{X0: b.X0 - pad, Y0: b.Y0 - pad, X1: b.X1 + pad, Y1: b.Y1 + pad}
		if x.Kind == "edge form" || x.Kind == "guard post" {
			edge = append(edge, b)
		} else {
			out = append(out, b)
		}
	}
	for _, x := range slices.Concat(p.Added, p.Removed) {
		add(x)
	}
	for _, x := range slices.Concat(p.Exchanged, p.Moved) {
		add(x.Was)
		add(x.Now)
	}
	if len(out) == 0 {
		out = edge
	}
	for joined := true; joined; {
		joined = false
		for i := 0; i < len(out) && !joined; i++ {
			for k := i + 1; k < len(out); k++ {
				if out[i].Overlaps(out[k], join) {
					out[i] = out[i].Join(out[k])
					out = slices.Delete(out, k, k+1)
					joined = true
					break
				}
			}
		}
	}
	return out
}

// String says a difference in a line: "kept 512 of 530 parts; 11 added, 7 removed".
func (c Counts) String() string {
	s := fmt.Sprintf("kept %d of %d parts", c.Kept, c.Of)
	if c.Reset > 0 {
		s += fmt.Sprintf(" (%d of them at another height or setting)", c.Reset)
	}
	s += fmt.Sprintf("; %d added, %d removed", c.Added, c.Removed)
	for _, x := range []struct {
		n    int
		what string
	}{{c.Moved, "moved"}, {c.Exchanged, "exchanged"}, {c.Renamed, "renamed"}} {
		if x.n > 0 {
			s += fmt.Sprintf(", %d %s", x.n, x.what)
		}
	}
	return s
}

// CountByKind counts parts in words: "3 joists, 1 prop".
func CountByKind(parts []Part) string {
	var out []string
	for _, k := range Kinds {
		n := 0
		for _, p := range parts {
			if p.Kind == k {
				n++
			}
		}
		switch {
		case n == 1:
			out = append(out, "1 "+k)
		case n > 1:
			out = append(out, fmt.Sprintf("%d %ss", n, k))
		}
	}
	return strings.Join(out, ", ")
}

// Swap is how many pieces of one part gave their place to another.
type Swap struct {
	Kind, Was, Now string
	Count          int
}

// Swaps counts pairs of parts by what took the place of what, in the order of Kinds and
// of the parts.
func Swaps(pairs []Pair) []Swap {
	var out []Swap
	for _, p := range pairs {
		i := slices.IndexFunc(out, func(s Swap) bool { return s.Kind == p.Was.Kind && s.Was == p.Was.Part && s.Now == p.Now.Part })
		if i < 0 {
			i = len(out)
			out = append(out, Swap{Kind: p.Was.Kind, Was: p.Was.Part, Now: p.Now.Part})
		}
		out[i].Count++
	}
	slices.SortStableFunc(out, func(a, b Swap) int {
		return cmp.Or(cmp.Compare(slices.Index(Kinds, a.Kind), slices.Index(Kinds, b.Kind)), cmp.Compare(a.Was, b.Was), cmp.Compare(a.Now, b.Now))
	})
	return out
}

// Words says a swap: "30 props: prop-d30 for prop-e30"; name gives a part its name.
func (s Swap) Words(name func(part string) string) string {
	kinds := s.Kind + "s"
	if s.Count == 1 {
		kinds = s.Kind
	}
	if s.Was == s.Now {
		return fmt.Sprintf("%d %s: %s set another way", s.Count, kinds, name(s.Now))
	}
	return fmt.Sprintf("%d %s: %s for %s", s.Count, kinds, name(s.Now), name(s.Was))
}
