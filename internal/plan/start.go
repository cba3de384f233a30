package plan

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"shoreward/internal/change"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/layout"
	"shoreward/internal/plane"
)

// Start says what the layout of a pour started from, for those who must know
// why it looks as it does.
type Start struct {
	Earlier bool   // from its own deck of the earlier plan
	Below   string // from the deck of this pour of the level below
	Afresh  string // why it was laid afresh all the same
	Fields  string // what became of its fields, where not all are kept whole
}

// keptIn reports whether a pour that might start so did, and was not laid afresh.
func (s Start) keptIn(from Start) bool {
	return from.Afresh == "" && s.Earlier == from.Earlier && s.Below == from.Below
}

// ReadEarlier reads the plan that a job is planned again from: the folder that
// `shoreward plan` wrote, or its plan.json. It must not be where the new plan goes:
// the earlier one would be lost.
func ReadEarlier(path, into string) (*deck.Document, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, fmt.Errorf("the earlier plan cannot be read: %w; --from takes the folder that an earlier `shoreward plan` wrote", err)
	}
	if info.IsDir() {
		path = filepath.Join(path, "plan.json")
	}
	if a, err := os.Stat(filepath.Dir(path)); err == nil {
		if b, err := os.Stat(into); err == nil && os.SameFile(a, b) {
			return nil, fmt.Errorf("the new plan would be written over the earlier one in %s; choose another folder with -o", into)
		}
	}
	doc, err := ReadDocument(path)
	if err != nil {
		return nil, fmt.Errorf("the earlier plan cannot be used: %w; without --from the job is planned afresh", err)
	}
	for i := range doc.Pours {
		if err := sound(&doc.Pours[i]); err != nil {
			return nil, fmt.Errorf("the earlier plan cannot be used: %s, pour %s: %w; without --from the job is planned afresh", path, doc.Pours[i].Name, err)
		}
	}
	return doc, nil
}

// StartsFrom refuses an earlier plan from which nothing of a job could be kept: most
// likely the wrong folder.
func StartsFrom(j *job.Job, old *deck.Document) error {
	if old.Job.Basis != j.Basis {
		return fmt.Errorf("the earlier plan is of job %q on basis %s, this one is on basis %s: rules and parts are others, and nothing could be kept; name another folder, or plan without --from", old.Job.Name, old.Job.Basis, j.Basis)
	}
	var names, theirs []string
	for _, l := range j.Levels {
		for _, p := range l.Pours {
			names = append(names, p.Name)
		}
	}
	for _, p := range old.Pours {
		if slices.Contains(names, p.Name) {
			return nil
		}
		theirs = append(theirs, p.Name)
	}
	return fmt.Errorf("the earlier plan is of job %q and has none of the pours of this one, but %s: pours are matched by their names; name another folder, or plan without --from", old.Job.Name, strings.Join(theirs, ", "))
}

// sound refuses a pour whose outlines or patterns are none, before anything is
// laid by them.
func sound(p *deck.Pour) error {
	shapes := func(where string, ss []deck.Shape) error {
		for _, s := range ss {
			for _, r := range s.Rings() {
				if len(r) < 3 {
					return fmt.Errorf("%s has an outline of %d points", where, len(r))
				}
			}
		}
		return nil
	}
	for _, z := range p.Site.Zones {
		for _, list := range [][]deck.Shape{z.Shapes, z.Strip} {
			if err := shapes("zone "+z.Name, list); err != nil {
				return err
			}
		}
	}
	for _, list := range [][]deck.Shape{p.Site.Slab, p.Site.Strip, p.Site.Stand} {
		if err := shapes("the site", list); err != nil {
			return err
		}
	}
	for _, b := range p.Site.Blocks {
		if err := shapes(b.Name, []deck.Shape{{Outer: b.Ring}}); err != nil {
			return err
		}
	}
	for _, r := range append(append([]deck.Ring(nil), p.Site.Openings...), p.Site.Clear...) {
		if err := shapes("the site", []deck.Shape{{Outer: r}}); err != nil {
			return err
		}
	}
	for _, s := range p.Deck.Sheets {
		if err := shapes("sheet "+s.ID, []deck.Shape{s.Shape}); err != nil {
			return err
		}
	}
	if err := ownNames(&p.Deck); err != nil {
		return err
	}
	for _, f := range p.Deck.Fields {
		if f.Pattern == nil {
			continue
		}
		for _, v := range []struct {
			key              string
			value, low, high float64
		}{
			{"joist_pitch_mm", f.Pattern.Pitch, 50, 5e3}, {"pitch_from_mm", f.Pattern.Start, -1e7, 1e7}, {"rows_from_mm", f.Pattern.Rows, -1e7, 1e7},
			{"reach_mm", f.Pattern.Reach, 0, 5e3}, {"strip_reach_mm", f.Pattern.Light, 0, 5e3}, {"number of lines", float64(len(f.Pattern.Lines)), 0, 1e4},
		} {
			if !(v.value >= v.low && v.value <= v.high) {
				return fmt.Errorf("field %s: %s of its pattern is %g: it must be %g to %g", f.Name, v.key, v.value, v.low, v.high)
			}
		}
		for _, l := range f.Pattern.Lines {
			if n := len(l.Span); n != 0 && n != 2 || math.Abs(l.At) > 1e7 {
				return fmt.Errorf("field %s: a line of its pattern, %q, has no place or a span of %d numbers", f.Name, l.Name, n)
			}
		}
	}
	return nil
}

// ownNames wants a name of its own for every part of a deck.
func ownNames(d *deck.Deck) error {
	var ids []string
	for _, x := range d.Sheets {
		ids = append(ids, x.ID)
	}
	for _, x := range slices.Concat(d.Joists, d.Stringers) {
		ids = append(ids, x.ID)
	}
	for _, x := range d.Props {
		ids = append(ids, x.ID)
	}
	for _, x := range d.EdgeForms {
		ids = append(ids, x.ID)
	}
	for _, x := range d.Guards {
		ids = append(ids, x.ID)
	}
	for _, x := range d.Ties {
		ids = append(ids, x.ID)
	}
	for _, x := range d.Braces {
		ids = append(ids, x.ID)
	}
	seen := map[string]bool{}
	for _, id := range ids {
		if id == "" || seen[id] {
			return fmt.Errorf("a part has no name, or %q stands twice", id)
		}
		seen[id] = true
	}
	return nil
}

// earlierPour is the pour of an earlier plan by its name, nil where it has no deck.
func earlierPour(old *deck.Document, name string) *deck.Pour {
	if old == nil {
		return nil
	}
	for i := range old.Pours {
		if p := &old.Pours[i]; p.Name == name && p.Refused == "" {
			return p
		}
	}
	return nil
}

// below finds, for every pour, the pour of the level it stands on that it lies
// over for the greater part; -1 where there is none. Only the job decides, so that
// pours may be planned in any order.
func below(tasks []task) ([]int, error) {
	out := make([]int, len(tasks))
	for i, t := range tasks {
		out[i] = -1
		mine := []plane.Shape{{Outer: outline(t.p)}}
		best := plane.Area(mine) / 2
		for k, b := range tasks {
			if t.l.Base.Level == "" || b.l.Name != t.l.Base.Level || !mine[0].Outer.Bounds().Overlaps(outline(b.p).Bounds(), 0) {
				continue
			}
			both, err := plane.Intersection(mine, []plane.Shape{{Outer: outline(b.p)}})
			if err != nil {
				return nil, fmt.Errorf("pour %s over pour %s: %w", t.p.Name, b.p.Name, err)
			}
			if a := plane.Area(both); a > best {
				best, out[i] = a, k
			}
		}
	}
	return out, nil
}

func outline(p *job.Pour) plane.Ring {
	r := make(plane.Ring, len(p.Slab.Outline))
	for i, q := range p.Slab.Outline {
		r[i] = plane.Point{float64(q.X) * 1000, float64(q.Y) * 1000}
	}
	return r.CCW()
}

// samePlan reports whether two sites are alike in plan and thickness, whatever
// their heights and what the props stand on.
func samePlan(a, b *deck.Site) bool {
	flat := func(s *deck.Site) ([]byte, error) {
		type zone struct {
			Shapes, Strip []deck.Shape
			Thickness     float64
		}
		var all struct {
			Zones    []zone
			Openings []deck.Ring
			Blocks   []deck.Ring
			Edges    []deck.Edge
			Clear    []deck.Ring
		}
		for _, z := range s.Zones {
			all.Zones = append(all.Zones, zone{z.Shapes, z.Strip, z.Thickness})
		}
		for _, k := range s.Blocks {
			all.Blocks = append(all.Blocks, k.Ring)
		}
		all.Openings, all.Edges, all.Clear = s.Openings, s.Edges, s.Clear
		return json.Marshal(all)
	}
	x, err := flat(a)
	y, err2 := flat(b)
	return err == nil && err2 == nil && bytes.Equal(x, y) // a number that is none: no site is like it
}

// overBelow is the share of props that stand over a prop of the level below,
// within 50 mm.
func overBelow(p *deck.Pour, under []*deck.Pour) float64 {
	const near = 50
	cells := map[[2]int][]deck.Point{}
	cell := func(q deck.Point) [2]int { return [2]int{int(math.Floor(q[0] / near)), int(math.Floor(q[1] / near))} }
	for _, u := range under {
		for _, q := range u.Deck.Props {
			cells[cell(q.At)] = append(cells[cell(q.At)], q.At)
		}
	}
	n := 0
	for _, q := range p.Deck.Props {
		c, found := cell(q.At), false
		for dx := -1; dx <= 1; dx++ {
			for dy := -1; dy <= 1; dy++ {
				for _, at := range cells[[2]int{c[0] + dx, c[1] + dy}] {
					found = found || math.Hypot(at[0]-q.At[0], at[1]-q.At[1]) <= near
				}
			}
		}
		if found {
			n++
		}
	}
	return float64(n) / float64(max(len(p.Deck.Props), 1))
}

// How much more than a deck laid afresh one may cost that keeps what stands, since
// moving it costs too, and one whose props stand over those of the floor below,
// which spare the slab between them the bending and the crew another setting-out:
// common practice, no source for the figures.
const (
	againDearer = 0.05
	overDearer  = 0.15
)

// sources are the decks that a pour may be laid from, the best first: the floor
// below when it is alike, its own earlier deck, the floor below for what is alike, where
// neither beams nor drops nor steps part the floor: of those too little comes out over one another.
// The start is that of a pour for which there are none.
func sources(j *job.Job, s *deck.Site, own *deck.Pour, old *deck.Document, under *deck.Pour) ([]*layout.Earlier, []Start, Start) {
	var decks []*layout.Earlier
	var starts []Start
	if under != nil && (s.Fall != nil || under.Site.Fall != nil) {
		under = nil
	}
	if own != nil && (s.Fall != nil || own.Site.Fall != nil) {
		own = nil
		if under == nil {
			return nil, nil, Start{Earlier: true, Afresh: fallAfresh}
		}
	}
	floor := under != nil && under.Refused == "" && failed(&under.Audit) == 0
	alike := floor && samePlan(s, &under.Site)
	below := func() {
		decks = append(decks, &layout.Earlier{Site: &under.Site, Deck: &under.Deck, Settings: j.Settings, Dearer: overDearer})
		starts = append(starts, Start{Below: under.Name})
	}
	if alike {
		below()
	}
	if own != nil {
		decks = append(decks, &layout.Earlier{Site: &own.Site, Deck: &own.Deck, Settings: old.Settings, Dearer: againDearer})
		starts = append(starts, Start{Earlier: true})
	}
	if floor && !alike && own == nil && !parted(s) {
		below()
	}
	return decks, starts, Start{}
}

// parted reports whether beams, drops or steps part a floor.
func parted(s *deck.Site) bool {
	return slices.ContainsFunc(s.Zones, func(z deck.Zone) bool { return len(z.Room) > 0 })
}

// Changes compares a plan with the earlier one, and says of the pours that were
// laid afresh why.
func Changes(old, now *deck.Document, starts []Start) *change.Report {
	notes := map[string]string{}
	for i, s := range starts {
		name := now.Pours[i].Name
		switch {
		case s.Afresh != "" && s.Earlier:
			notes[name] = "laid afresh: " + s.Afresh
		case s.Afresh != "":
			notes[name] = "like " + s.Below + ", but laid afresh: " + s.Afresh
		case now.Pours[i].LaidAs != "":
			notes[name] = "laid as " + now.Pours[i].LaidAs
		case s.Earlier && s.Fields != "":
			notes[name] = "fields " + s.Fields
		}
	}
	return change.Documents(old, now, notes)
}
