package layout

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// bay is a zone of a site, or one bay of a zone that beams part, with what there was in its
// place.
type bay struct {
	was  int           // its place in the earlier site; -1: there was none
	olds []*deck.Field // of the earlier deck
	turn int           // how it is laid
	why  error         // that it is laid anew
	plan *zonePlans    // when it is
	laid []string      // names of its fields
}

// Turns of a bay, from the one that keeps most; from anew on one candidate after the other.
const (
	asItIs    = iota
	inPattern // again in its pattern, with the parts that can stay
	anew
)

// lay lays a bay as it is its turn, or as the next turn has it where that cannot be, and notes which
// that was.
func (b *bay) lay(in *Input, z int, names *names, out *deck.Deck, stay *placed) ([]*field, error) {
	if b.turn == asItIs {
		laid, err := b.whole(in, z, out, stay)
		if laid != nil || err != nil {
			return laid, err
		}
		b.turn = inPattern
	}
	if b.turn == inPattern {
		var f *field
		if f, b.why = b.about(in, z, out, stay); f != nil {
			return []*field{f}, nil
		}
		if b.why != nil && len(in.Site.Zones) == 1 {
			return nil, b.why
		}
		b.turn = anew
	}
	if b.plan == nil {
		var err error
		if b.plan, err = planZone(in, z); err != nil {
			return nil, err
		}
	}
	planned, err := b.plan.field(b.turn - anew)
	if err != nil {
		return nil, err
	}
	f := planned.unmended()
	f.emit(in, z, names.field(), out)
	return []*field{f}, nil
}

// baysAgain takes the new and the earlier site apart into bays and pairs them: by
// their names where neither has beams, drops or steps; else each with the one of its kind that
// lay there for the greater part, since names follow the order of the job.
func baysAgain(in *Input) (*Input, []bay, error) {
	now, err := bays(in)
	if err != nil {
		return nil, nil, err
	}
	was, err := bays(&Input{Site: in.Earlier.Site})
	if err != nil {
		return nil, nil, err
	}
	out := *now
	earlier := *in.Earlier
	earlier.Site, out.Earlier = was.Site, &earlier
	pairs := make([]bay, len(now.Site.Zones))
	for z := range pairs {
		pairs[z].was = -1
	}
	if now == in && was.Site == in.Earlier.Site {
		for z := range pairs {
			pairs[z].was = slices.IndexFunc(was.Site.Zones, func(o deck.Zone) bool { return o.Name == now.Site.Zones[z].Name })
		}
	} else if err := pairBays(now.Site.Zones, was.Site.Zones, pairs); err != nil {
		return nil, nil, err
	}
	at, err := fieldsAt(was.Site.Zones, earlier.Deck)
	if err != nil {
		return nil, nil, err
	}
	for z := range pairs {
		if o := pairs[z].was; o >= 0 {
			pairs[z].olds = at[o]
		}
	}
	return &out, pairs, nil
}

// pairBays pairs bays one to one, those with the most area in common first.
func pairBays(now, was []deck.Zone, pairs []bay) error {
	kind := func(z *deck.Zone) string { return strings.TrimRight(z.Name, " 0123456789") }
	type common struct {
		z, o int
		area float64
	}
	var all []common
	for z := range now {
		for o := range was {
			if kind(&now[z]) != kind(&was[o]) || !plane.Bounds(now[z].Shapes).Overlaps(plane.Bounds(was[o].Shapes), 0) {
				continue
			}
			both, err := plane.Intersection(now[z].Shapes, was[o].Shapes)
			if err != nil {
				return err
			}
			if a := plane.Area(both); a > 0 {
				all = append(all, common{z, o, a})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b common) int {
		switch {
		case a.area > b.area:
			return -1
		case a.area < b.area:
			return 1
		}
		return 0
	})
	taken := map[int]bool{}
	for _, c := range all {
		if pairs[c.z].was < 0 && !taken[c.o] {
			pairs[c.z].was, taken[c.o] = c.o, true
		}
	}
	return nil
}

// fieldsAt are the fields of a deck by the bay in which they lie, which is where their
// first sheet does.
func fieldsAt(zones []deck.Zone, d *deck.Deck) ([][]*deck.Field, error) {
	out := make([][]*deck.Field, len(zones))
	for i := range d.Fields {
		f := &d.Fields[i]
		s := slices.IndexFunc(d.Sheets, func(s deck.Sheet) bool { return s.Field == f.Name })
		if s < 0 {
			return nil, fmt.Errorf("field %s of the earlier plan has no sheets", f.Name)
		}
		mid := middleOf(d.Sheets[s].Shape)
		z := slices.IndexFunc(zones, func(z deck.Zone) bool {
			return z.Name == f.Zone && plane.Within(slices.Concat(z.Shapes, z.Strip, z.Room), mid)
		})
		if z < 0 {
			return nil, fmt.Errorf("field %s of the earlier plan lies in no part of its slab called %s", f.Name, f.Zone)
		}
		out[z] = append(out[z], f)
	}
	return out, nil
}

// whole leaves the fields of a bay as they are, at the heights they have now, when the
// change does not touch them; nil: it does. A plain floor is always laid by its pattern,
// which comes to the same, and so is a bay under another load than before. The deck of a beam has no
// such pattern: under another load it stays if it may.
func (b *bay) whole(in *Input, z int, out *deck.Deck, stay *placed) ([]*field, error) {
	plain := len(in.Site.Zones) == 1 && len(b.olds) == 1
	if b.was < 0 || len(b.olds) == 0 || plain || !sameLoad(in, z, b.was) && len(b.olds) == 1 && patterned(b.olds[0]) {
		return nil, nil
	}
	var fields []*field
	var all placed
	for _, old := range b.olds {
		f, err := again(in, z, b.was, old)
		if err != nil {
			return nil, nil // it is laid anew, and the error with it
		}
		c, err := newChange(in, b.was, f.r)
		if err != nil {
			return nil, err
		}
		if c.touches() {
			return nil, nil
		}
		if ok := newKeeper(in, f, old, c).all(&all); !ok {
			return nil, nil
		}
		fields = append(fields, f)
	}
	for i, old := range b.olds {
		p := *old.Pattern
		p.Lines = slices.Clone(p.Lines)
		for k := range p.Lines {
			p.Lines[k].Name = lineKey(old.Name, p.Lines[k].At)
		}
		fields[i].kept = &p
		out.Fields = append(out.Fields, deck.Field{Name: old.Name, Zone: in.Site.Zones[z].Name, Joists: old.Joists, Pattern: &p})
	}
	stay.sheets, stay.props = append(stay.sheets, all.sheets...), append(stay.props, all.props...)
	stay.joists, stay.stringers = append(stay.joists, all.joists...), append(stay.stringers, all.stringers...)
	return fields, nil
}

// unmended is a planned field for repairs to change: another deck may take it as it was planned.
func (f *field) unmended() *field {
	g := *f
	g.lines, g.laid = slices.Clone(f.lines), slices.Clone(f.laid)
	for i := range g.laid {
		l := &g.laid[i]
		l.on, l.pieces = slices.Clone(l.on), slices.Clone(l.pieces)
	}
	return &g
}

// sameLoad reports whether a bay carries what the earlier one in its place carried.
func sameLoad(in *Input, z, was int) bool {
	return in.Site.Zones[z].Thickness == in.Earlier.Site.Zones[was].Thickness && reflect.DeepEqual(in.Settings, in.Earlier.Settings)
}

// about lays a bay that the change touches in its earlier pattern and keeps the parts
// that it does not; nil where there is no such pattern: under beams and beside them.
func (b *bay) about(in *Input, z int, out *deck.Deck, stay *placed) (*field, error) {
	plain := len(in.Site.Zones) == 1
	if b.was < 0 || len(b.olds) != 1 || !plain && !patterned(b.olds[0]) {
		return nil, nil
	}
	old := b.olds[0]
	f, err := again(in, z, b.was, old)
	if err != nil {
		return nil, err
	}
	c, err := newChange(in, b.was, f.r)
	if err != nil {
		return nil, err
	}
	k := newKeeper(in, f, old, c)
	if err := k.lay(); err != nil {
		return nil, err
	}
	f.emit(in, z, old.Name, out)
	k.put(stay)
	return f, nil
}

// patterned reports whether a field was laid on lines across its whole width.
func patterned(f *deck.Field) bool {
	return f.Pattern != nil && slices.ContainsFunc(f.Pattern.Lines, func(l deck.PatternLine) bool { return len(l.Span) == 0 })
}

// touches reports whether anything has changed in a zone or so near to it that its deck
// may have to be another.
func (c *change) touches() bool {
	if len(c.gone)+len(c.come) > 0 {
		return true
	}
	for _, s := range slices.Concat(c.now.deck, c.was.deck) {
		for _, r := range s.Rings() {
			if c.by(r, atChange) {
				return true
			}
		}
	}
	return false
}

// all keeps every part of the field at the heights of now, or none: false.
func (k *keeper) all(at *placed) bool {
	sys, h := k.in.System, k.f.k.heights
	for i, s := range k.old.Sheets {
		if s.Field != k.name {
			continue
		}
		if !slices.Contains(sys.Sheets, s.Part) {
			return false
		}
		s.Z = round(h.soffit)
		at.sheets = append(at.sheets, was[deck.Sheet]{i, s})
	}
	for i, m := range k.old.Joists {
		if m.Field != k.name {
			continue
		}
		if a, b := k.ends(m, 1); !slices.Contains(sys.Joists, m.Part) || k.c.hits(k.joistBar(joist{x: a[0], y0: a[1], y1: b[1]})) {
			return false
		}
		m.Top = round(h.joistTop)
		at.joists = append(at.joists, was[deck.Member]{i, m})
	}
	keys := k.lineKeys()
	for i, m := range k.old.Stringers {
		if m.Field != k.name {
			continue
		}
		a, b := k.ends(m, 0)
		if !slices.Contains(sys.Stringers, m.Part) || k.c.hits(plane.Rect(a[0], a[1]-k.w/2, b[0], a[1]+k.w/2)) {
			return false
		}
		m.Line, m.Top = keys[m.Line], round(h.stringerTop)
		at.stringers = append(at.stringers, was[deck.Member]{i, m})
	}
	for i, q := range k.old.Props {
		key, mine := keys[q.Line], keys[q.Line] != ""
		if q.Line == "joist" {
			key, mine = q.Line, k.carriesJoist(q)
		}
		if !mine {
			continue
		}
		p, ok := k.raised(q)
		if !ok || k.c.upsets(k.f.r.f.in(q.At)) {
			return false
		}
		p.Line = key
		at.props = append(at.props, was[deck.Prop]{i, p})
	}
	return true
}

// lineKeys are the keys of the field's lines by their names: those of the pattern, and of
// stringers that repairs had laid their own places.
func (k *keeper) lineKeys() map[string]string {
	out, lo, hi := map[string]string{}, map[string]float64{}, map[string]float64{}
	for _, m := range k.old.Stringers {
		if m.Field != k.name {
			continue
		}
		y := k.f.r.f.in(m.From)[1]
		if _, ok := lo[m.Line]; !ok {
			lo[m.Line], hi[m.Line] = y, y
		}
		lo[m.Line], hi[m.Line] = math.Min(lo[m.Line], y), math.Max(hi[m.Line], y)
	}
	for line := range lo {
		out[line] = lineKey(k.name, round((lo[line]+hi[line])/2))
	}
	for _, l := range fieldNamed(k.old, k.name).Pattern.Lines {
		if l.Name != "" {
			out[l.Name] = lineKey(k.name, l.At)
		}
	}
	return out
}

// carriesJoist reports whether an old prop straight under a joist stands under one of the
// field's: the joist nearest to it is.
func (k *keeper) carriesJoist(q deck.Prop) bool {
	best, nearest := "", math.Inf(1)
	for _, m := range k.old.Joists {
		if d := plane.Distance(q.At, m.From, m.To); d < nearest {
			best, nearest = m.Field, d
		}
	}
	return best == k.name
}

// raised is an old prop at the height that it has to reach now, with the same parts; false
// where these do not do any more.
func (k *keeper) raised(q deck.Prop) (deck.Prop, bool) {
	kit, sys := k.f.k, k.in.System
	part, head := k.in.Catalog.Parts[q.Part], k.in.Catalog.Parts[q.Head]
	if part == nil || !slices.Contains(sys.Props, q.Part) || q.Head != "" && (head == nil || !slices.Contains([]string{sys.GradeHead, sys.InterHead, sys.JoistHead}, q.Head)) ||
		q.Tripod != "" && q.Tripod != sys.Tripod {
		return q, false
	}
	q.Base, q.Seat = round(kit.heights.base), round(kit.heights.seat)
	if q.Under == "joist" {
		q.Seat = round(kit.heights.joistSeat)
	}
	q.Sill, q.Wedge = "", sys.Wedge
	if k.in.Site.OnGround && kit.sill != nil {
		q.Sill = kit.sill.ID
	}
	q.Length = round(kit.setting(head, q.Seat))
	q.Hole, q.Thread = setting(part, q.Length)
	return q, fits(part, q.Length)
}

// report gathers what became of the fields.
type report [3][]string

func (r *report) add(b *bay, field, zone string) {
	if b.turn >= anew && b.why != nil {
		zone += ": " + b.why.Error()
	}
	what := min(b.turn, anew)
	r[what] = append(r[what], fmt.Sprintf("%s (%s)", field, zone))
}

// String says it in words; nothing where all are kept whole, or where there is one only.
func (r *report) String() string {
	if len(r[asItIs])+len(r[inPattern])+len(r[anew]) < 2 || len(r[inPattern])+len(r[anew]) == 0 {
		return ""
	}
	var out []string
	for what, words := range []string{"kept whole", "laid again about the change", "laid afresh"} {
		if len(r[what]) > 0 {
			out = append(out, words+": "+strings.Join(r[what], ", "))
		}
	}
	return strings.Join(out, "; ")
}
