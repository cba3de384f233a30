package catalog

import (
	"embed"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"os"
	"slices"
	"strings"
	"sync"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
	"shoreward/internal/yamlfile"
)

// Problem is one mistake in a catalogue file, Problems is all of them.
type (
	Problem  = yamlfile.Problem
	Problems = yamlfile.Problems
)

// fileKind is a catalogue in the words of messages.
var fileKind = yamlfile.Kind{
	Name:  "catalogue",
	Start: "a catalogue has parts, families, grades or systems",
	Plain: "put shared values in a family", // this format's way to write a value once
}

//go:embed data/*.yaml
var embedded embed.FS

// Load reads the embedded catalogue and, unless userFile is "", a user's file
// that adds families, grades, parts and systems or changes known ones. What has
// a known id keeps all that the file does not name (a grade is replaced whole),
// and a changed family changes all its parts, so that a rating, another grade of
// all lumber, and a part of one's own are given like this:
//
//	families:
//	  - {id: lumber-us, grade: hem-fir-no2}
//	parts:
//	  - id: wood-shore-10ft6
//	    rated: {load: 2800 lb, factor: 2.5, source: supplier's sheet of 2026}
//	  - id: own-beam-400
//	    family: p20
//	    length: 4 m
//
// The error is Problems when a file could be read but has mistakes.
func Load(userFile string) (*Catalog, error) {
	if userFile == "" {
		return build(nil)
	}
	data, err := os.ReadFile(userFile)
	if err != nil {
		return nil, fmt.Errorf("the catalogue cannot be read: %w; check its path in the job file", err)
	}
	return Parse(userFile, data)
}

// Parse is Load with the text of a user's file; name is used in messages.
func Parse(name string, data []byte) (*Catalog, error) {
	root, problems := yamlfile.Parse(name, data, fileKind)
	if root == nil {
		return nil, problems
	}
	return build(&file{root, origin{"the user's catalogue " + name, calc.User}}, problems...)
}

// draft is a part while it is being read: what is still to be multiplied out or looked up.
type draft struct {
	Part
	at        place
	massRate  Value[quantity.Mass]
	massDims  int
	nominal   [2]int // breadth, depth in nominal inches, as laid
	nominalAt place
	grade     string
	gradeAt   place

	firstMark, leastOverhang quantity.Length

	orphan bool // names a family that is not there: what it lacks cannot be told
}

// family is shared values, kept as read and applied to each of its parts.
type family struct {
	node   *node
	origin origin
}

// grade is a strength grade of timber; exactly one of nds and ec5 is set.
type grade struct {
	id  string
	nds *NDSTimber
	ec5 *EC5Timber
	// Range of nominal sizes in inches that the values hold for: of the smaller and the larger side,
	// and of their difference; 0 as upper end is no limit.
	thickness, width, excess [2]int
}

// systemDraft remembers where each part id of a system stands.
type systemDraft struct {
	System
	at   place
	refs []reference
}

// reference is an id, where it stands and as what.
type reference struct {
	id   string
	at   place
	role string
}

// builder gathers files and makes the catalogue of them.
type builder struct {
	reader
	families map[string][]family            // each change of a family after the one before
	dressed  map[int]Value[quantity.Length] // by nominal inches
	grades   map[string]*grade
	parts    map[string]*draft
	systems  map[string]*systemDraft
	given    map[reference]bool // what each file has given, to find ids given twice
}

// file is a parsed file with the origin that its values have unless they say otherwise.
type file struct {
	root   *node
	origin origin
}

// embeddedFiles parses the embedded files, once.
var embeddedFiles = sync.OnceValues(func() (files []file, problems Problems) {
	names, err := fs.Glob(embedded, "data/*.yaml")
	if err != nil {
		return nil, Problems{{File: "data", Message: err.Error()}}
	}
	for _, name := range names {
		data, err := embedded.ReadFile(name)
		if err != nil {
			return nil, Problems{{File: name, Message: err.Error()}}
		}
		root, found := yamlfile.Parse(name, data, fileKind)
		problems = append(problems, found...)
		if root != nil {
			files = append(files, file{root, origin{}})
		}
	}
	return files, problems
})

// build makes the catalogue of the embedded files and, unless it is nil, a user's file after them.
// The problems are those that were found in the user's file before.
func build(user *file, problems ...Problem) (*Catalog, error) {
	b := &builder{
		reader:   reader{sources: map[string]string{}, problems: problems},
		families: map[string][]family{}, dressed: map[int]Value[quantity.Length]{},
		grades: map[string]*grade{}, parts: map[string]*draft{}, systems: map[string]*systemDraft{},
		given: map[reference]bool{},
	}
	files, found := embeddedFiles()
	b.problems = append(b.problems, found...)
	if user != nil {
		files = append(slices.Clip(files), *user)
	}
	b.add(files)
	return b.finish()
}

// add reads files together: first what others refer to, so that order in and between files does not matter.
func (b *builder) add(files []file) {
	later := func(*node, origin) {}
	passes := []struct {
		key  string
		read setter
	}{
		{"sources", b.readSources},
		{"dressed_sizes", b.readDressed},
		{"grades", b.items(b.readGrade)},
		{"families", b.items(b.readFamily)},
		{"parts", b.items(b.readPart)},
		{"systems", b.items(b.readSystem)},
	}
	for _, f := range files {
		known := map[string]setter{}
		for _, p := range passes {
			known[p.key] = later
		}
		b.fields(f.root, f.origin, known)
	}
	for _, p := range passes {
		for _, f := range files {
			o := (&reader{sources: b.sources}).inherit(f.root, f.origin) // its mistakes are reported above
			for _, e := range f.root.Entries {
				if e.Key.Text == p.key {
					p.read(e.Value, o)
				}
			}
		}
	}
}

func (b *builder) readSources(n *node, _ origin) {
	if n.Shape != yamlfile.Block {
		b.fail(n.Place, "expected short names of sources, each with its full text, found %s", n.Shape)
	}
	for _, e := range n.Entries {
		b.sources[e.Key.Text] = b.word(e.Value)
	}
}

func (b *builder) readDressed(n *node, o origin) {
	o = b.inherit(n, o)
	for _, e := range n.Entries {
		if e.Key.Text == "source" || e.Key.Text == "evidence" {
			continue
		}
		var nominal int
		b.whole(&nominal)(e.Key, o)
		var v Value[quantity.Length]
		value(&b.reader, &v, length)(e.Value, o)
		b.dressed[nominal] = v
	}
}

// id reads the key id of a block; it is "" when it is missing or given twice in one file, which is reported.
func (b *builder) id(n *node, what string) string {
	v := n.Get("id")
	if v == nil {
		b.fail(n.Place, "a %s needs an id", what)
		return ""
	}
	id := b.word(v)
	once := reference{id, place{File: n.File}, what}
	if b.given[once] {
		b.fail(v.Place, "there is already a %s %q in this file; take another id or put both in one", what, id)
		return ""
	}
	b.given[once] = true
	return id
}

// list writes the keys of a map, sorted.
func list[T any](m map[string]T) string { return strings.Join(slices.Sorted(maps.Keys(m)), ", ") }

func (b *builder) readFamily(n *node, o origin) {
	id := b.id(n, "family")
	if id == "" {
		return
	}
	b.part(new(draft), n, o) // reports its mistakes once, here
	b.families[id] = append(b.families[id], family{n, o})
}

func (b *builder) readPart(n *node, o origin) {
	id := b.id(n, "part")
	if id == "" {
		return
	}
	d := b.parts[id]
	if d == nil {
		d = &draft{}
	}
	if names := n.Get("family"); names != nil {
		d = &draft{}
		for _, name := range b.words(names) {
			if b.families[name] == nil {
				b.fail(names.Place, "there is no family %q; known: %s", name, list(b.families))
				d.orphan = true
			}
			quiet := reader{sources: b.sources} // mistakes of the family are reported with the family
			for _, f := range b.families[name] {
				quiet.part(d, f.node, f.origin)
			}
		}
	}
	d.ID, d.at = id, n.Place
	b.part(d, n, o)
	b.parts[id] = d
}

func (b *builder) readGrade(n *node, o origin) {
	id := b.id(n, "grade")
	if id == "" {
		return
	}
	g := &grade{id: id}
	r := &b.reader
	b.fields(n, o, map[string]setter{
		"id":                func(*node, origin) {},
		"nominal_thickness": r.span(&g.thickness),
		"nominal_width":     r.span(&g.width),
		"nominal_excess":    r.span(&g.excess),
		"nds": section(r, &g.nds, func(t *NDSTimber) map[string]setter {
			return map[string]setter{
				"species": r.text(&t.Species), "grade": r.text(&t.Grade), "table": r.text(&t.Table),
				"F_b": value(r, &t.Fb, quantity.ParseStress), "F_v": value(r, &t.Fv, quantity.ParseStress),
				"F_cp": value(r, &t.Fcp, quantity.ParseStress), "F_c": value(r, &t.Fc, quantity.ParseStress),
				"E": value(r, &t.E, quantity.ParseStress), "E_min": value(r, &t.Emin, quantity.ParseStress),
			}
		}),
		"ec5": section(r, &g.ec5, func(t *EC5Timber) map[string]setter {
			return map[string]setter{
				"class": r.text(&t.Class),
				"f_m":   value(r, &t.Fmk, quantity.ParseStress), "f_v": value(r, &t.Fvk, quantity.ParseStress),
				"f_c0": value(r, &t.Fc0k, quantity.ParseStress), "f_c90": value(r, &t.Fc90k, quantity.ParseStress),
				"E_mean": value(r, &t.E0mean, quantity.ParseStress), "E_05": value(r, &t.E005, quantity.ParseStress),
				"rho_k": value(r, &t.Rhok, asRatio(density)),
			}
		}),
	})
	if (g.nds == nil) == (g.ec5 == nil) {
		b.fail(n.Place, "grade %q needs either nds or ec5 values", id)
		return
	}
	for _, m := range g.missing() {
		b.fail(n.Place, "grade %q lacks %s", id, m)
	}
	b.grades[id] = g
}

// span reads a range of whole numbers: [2, 4].
func (r *reader) span(dst *[2]int) setter {
	return func(n *node, o origin) {
		if len(n.Items) != 2 {
			r.fail(n.Place, "expected a range like [2, 4]")
			return
		}
		for i, item := range n.Items {
			if item.Text != "0" { // zero is a fair end of a range
				r.whole(&dst[i])(item, o)
			}
		}
	}
}

func (b *builder) readSystem(n *node, o origin) {
	id := b.id(n, "system")
	if id == "" {
		return
	}
	s := b.systems[id]
	if s == nil {
		s = &systemDraft{}
	}
	s.ID, s.at = id, n.Place
	r := &b.reader
	some := func(role string, dst *[]string) setter {
		return func(n *node, _ origin) {
			s.forget(role)
			*dst = r.words(n)
			for i, id := range *dst {
				at := n.Place
				if i < len(n.Items) {
					at = n.Items[i].Place
				}
				s.refs = append(s.refs, reference{id, at, role})
			}
		}
	}
	one := func(role string, dst *string) setter {
		return func(n *node, _ origin) {
			s.forget(role)
			if *dst = r.word(n); *dst == "none" {
				*dst = ""
				return
			}
			s.refs = append(s.refs, reference{*dst, n.Place, role})
		}
	}
	b.fields(n, o, map[string]setter{
		"id": func(*node, origin) {}, "name": r.text(&s.Name), "note": r.text(&s.Note),
		"bases":  func(n *node, _ origin) { s.Bases = r.bases(n) },
		"feet":   r.text(&s.Feet),
		"sheets": some("sheet", &s.Sheets), "joists": some("joist", &s.Joists),
		"stringers": some("stringer", &s.Stringers), "props": some("prop", &s.Props),
		"grade_head": one("head", &s.GradeHead), "intermediate_head": one("head of an intermediate prop", &s.InterHead),
		"joist_head": one("head under a joist", &s.JoistHead),
		"tripod":     one("tripod", &s.Tripod), "wedge": one("wedge", &s.Wedge),
		"sill": some("sill", &s.Sills), "edge_form": some("edge form", &s.EdgeForms),
		"kicker": one("kicker", &s.Kicker), "guard": one("guard", &s.Guard),
		"tie": one("tie", &s.Tie), "brace": one("brace", &s.Brace),
		"cut_to_length": r.yes(&s.CutToLength),
		"grade_spacing": plain(r, &s.GradeSpacing, length),
	})
	b.systems[id] = s
}

// forget drops the references of a role that is being given anew.
func (s *systemDraft) forget(role string) {
	s.refs = slices.DeleteFunc(s.refs, func(f reference) bool { return f.role == role })
}

// Bases that parts can be proven on; package rules has their meaning.
const us, eu = "us", "eu"

func (r *reader) bases(n *node) []string {
	words := r.words(n)
	for _, w := range words {
		if w != us && w != eu {
			r.fail(n.Place, "basis %q is neither us nor eu", w)
		}
	}
	return words
}

// finish multiplies out, looks up and checks everything, and gives the catalogue when all is well.
func (b *builder) finish() (*Catalog, error) {
	c := &Catalog{Parts: map[string]*Part{}, Systems: map[string]*System{}}
	for _, id := range slices.Sorted(maps.Keys(b.parts)) {
		d := b.parts[id]
		b.complete(d)
		if !d.orphan {
			for _, m := range d.mistakes() {
				b.fail(d.at, "part %q %s", id, m)
			}
		}
		p := d.Part
		c.Parts[id] = &p
	}
	for _, id := range slices.Sorted(maps.Keys(b.systems)) {
		b.checkSystem(c, b.systems[id])
		s := b.systems[id].System
		s.Sill, s.EdgeForm = first(s.Sills), first(s.EdgeForms)
		c.Systems[id] = &s
	}
	if len(b.problems) > 0 {
		return nil, b.problems.Sorted()
	}
	return c, nil
}

func first(ids []string) string {
	if len(ids) == 0 {
		return ""
	}
	return ids[0]
}

// complete fills in what follows from other values: dressed size, grade, mass, marks.
func (b *builder) complete(d *draft) {
	p := &d.Part
	if d.nominal != [2]int{} {
		b.dress(&p.Width, d.nominal[0], d.nominalAt)
		b.dress(&p.Depth, d.nominal[1], d.nominalAt)
	}
	if d.grade != "" {
		b.strengthen(d)
	}
	if rate := d.massRate; rate.Known && !d.orphan {
		dims := []Value[quantity.Length]{p.Length, p.Width, p.Depth}[:d.massDims]
		for _, v := range dims {
			if !v.Known {
				rate.Known = false
			}
			rate.V *= quantity.Mass(v.V)
		}
		if sized := []Kind{Sheet, Beam, Lumber}; !rate.Known && !slices.Contains(sized, p.Kind) { // of those the size itself is missed
			b.fail(d.at, "part %q has a mass per length, area or volume, but not all of its length, width and depth", p.ID)
		}
		rate.Known = true // what is missing is reported: the mass counts as given
		p.Mass = rate
	}
	if p.Marks > 0 {
		b.mark(d)
	}
}

// dress sets a dressed size from its nominal inches unless the size itself was given.
func (b *builder) dress(size *Value[quantity.Length], nominal int, at place) {
	if size.Known || size.Source != "" {
		return
	}
	v, ok := b.dressed[nominal]
	if !ok {
		v = Value[quantity.Length]{V: quantity.Length(math.NaN()), Known: true} // counts as given
		if nominal > 0 {
			b.fail(at, "there is no dressed size for %d in nominal; give width and depth, or one of %v", nominal, slices.Sorted(maps.Keys(b.dressed)))
		}
	}
	*size = v
}

// strengthen gives timber the values of its grade when the grade holds for its size.
func (b *builder) strengthen(d *draft) {
	g, ok := b.grades[d.grade]
	if !ok {
		b.fail(d.gradeAt, "there is no grade %q; known: %s", d.grade, list(b.grades))
		return
	}
	d.NDS, d.EC5 = nil, nil
	if g.ec5 != nil {
		t := *g.ec5
		d.EC5 = &t
		return
	}
	t := *g.nds
	t.NominalB, t.NominalD = d.nominal[0], d.nominal[1]
	small, large := min(t.NominalB, t.NominalD), max(t.NominalB, t.NominalD)
	switch {
	case d.nominal == wrongSize:
	case small == 0:
		b.fail(d.at, "part %q of NDS grade %q needs its nominal size, for example nominal: 3x4", d.ID, g.id)
	case !within(g.thickness, small), !within(g.width, large), !within(g.excess, large-small):
		b.fail(d.at, "part %q is a nominal %dx%d, but the values of its grade %q do not hold for that size; take another grade", d.ID, t.NominalB, t.NominalD, g.id)
	}
	d.NDS = &t
}

func within(span [2]int, v int) bool {
	return v >= span[0] && (span[1] == 0 || v <= span[1])
}

// mark finds the first setting mark: as given, or so that the marks are
// centred with at least the least overhang at both ends.
func (b *builder) mark(d *draft) {
	p := &d.Part
	room := p.Length.V - 2*d.leastOverhang
	p.FirstMark = d.firstMark
	switch {
	case d.firstMark > 0 && d.leastOverhang > 0:
		b.fail(d.at, "part %q has both a first mark and a least overhang; keep one", p.ID)
	case d.firstMark > p.Length.V, room < 0:
		b.fail(d.at, "part %q is too short for its setting marks", p.ID)
	case d.firstMark == 0:
		const tiny = 1e-9 // metres, for lengths that are whole pitches
		bays := quantity.Length(int((room + tiny) / p.Marks))
		p.FirstMark = (p.Length.V - bays*p.Marks) / 2
	}
}

// checkSystem sees that all parts of a system exist and can do their work.
func (b *builder) checkSystem(c *Catalog, s *systemDraft) {
	for _, ref := range s.refs {
		p, ok := c.Parts[ref.id]
		if !ok {
			b.fail(ref.at, "system %q names part %q as %s, but the catalogue has no such part", s.ID, ref.id, ref.role)
			continue
		}
		if kinds := roleKinds[ref.role]; !slices.Contains(kinds, p.Kind) {
			b.fail(ref.at, "part %q is a %s; as %s system %q needs a %s", ref.id, p.Kind, ref.role, s.ID, strings.ReplaceAll(join(kinds), ", ", " or "))
		}
	}
	if s.Feet != "" && b.systems[s.Feet] == nil {
		b.fail(s.at, "system %q names %q as its kit in feet, but there is no such system", s.ID, s.Feet)
	}
	if s.Name == "" || len(s.Bases) == 0 || s.GradeHead == "" {
		b.fail(s.at, "system %q needs a name, bases and a grade_head", s.ID)
	}
	for _, basis := range s.Bases {
		if basis != us && basis != eu {
			continue
		}
		if _, err := c.resolve(&s.System, basis); err != nil {
			b.fail(s.at, "%v", err)
		}
	}
}

// roleKinds are the kinds of part that can take a role of a system.
var roleKinds = map[string][]Kind{
	"sheet": {Sheet}, "joist": {Beam, Lumber}, "stringer": {Beam, Lumber}, "prop": {Prop, Lumber},
	"head": {Head}, "head of an intermediate prop": {Head}, "head under a joist": {Head},
	"tripod": {Tripod}, "wedge": {Wedge}, "sill": {Lumber}, "edge form": {Sheet, Lumber},
	"kicker": {Kicker}, "guard": {Guard}, "tie": {Tie}, "brace": {Brace},
}
