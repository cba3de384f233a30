package layout

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"slices"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/rules"
)

// Earlier is a pour as it was planned before, or the pour below of which a floor
// is a repeat: its deck is kept where the new site lets it.
type Earlier struct {
	Site     *deck.Site
	Deck     *deck.Deck
	Settings rules.Settings
	Dearer   float64 // how much more a deck of its parts may cost than one laid afresh, as a share
}

// Again is a pour that was planned again.
type Again struct {
	Deck   *deck.Deck
	Which  int    // of the earlier decks that it keeps; -1: it is laid afresh
	Why    string // of one that is laid afresh
	Fields string // what became of the fields, where not all are kept whole
}

// Replan lays out a pour with as much as can stay of an earlier deck, the first of
// several that does. Where none holds, or keeping costs too much, the pour is laid
// afresh.
func Replan(in *Input, earlier ...*Earlier) (*Again, error) {
	best, fewest := &Again{Which: -1}, math.MaxInt
	for i, e := range earlier {
		try := *in
		try.Earlier = e
		k, fits, err := keepFields(&try)
		if err != nil {
			best.Why = err.Error()
			continue
		}
		if k.sure || k.fails == 0 && fits {
			return &Again{Deck: k.deck, Which: i, Fields: k.said}, nil
		}
		if k.fails < fewest {
			best, fewest = &Again{Deck: k.deck, Which: i, Fields: k.said}, k.fails
		}
	}
	kept := best.Deck
	fresh, err := Plan(in)
	switch {
	case err != nil && kept == nil:
		return nil, err
	case err != nil:
		return best, nil
	case kept == nil:
		return &Again{Deck: fresh, Which: -1, Why: best.Why}, nil
	case in.Prove == nil: // nothing to tell by which holds
		return best, nil
	}
	found, err := in.Prove(fresh)
	if err != nil {
		return nil, err
	}
	n := len(found.Failing())
	was, now, borne := in.costOf(kept), in.costOf(fresh), earlier[best.Which].Dearer
	switch {
	case n < fewest:
		return &Again{Deck: fresh, Which: -1, Why: fmt.Sprintf("with the earlier parts %d places fail, laid afresh %d", fewest, n)}, nil
	case n == fewest && was > now*(1+borne):
		return &Again{Deck: fresh, Which: -1, Why: fmt.Sprintf("with the earlier parts it would cost %.0f %% more, and up to %.0f %% is borne", (was/now-1)*100, borne*100)}, nil
	}
	return best, nil
}

// dear reports whether a deck of kept parts is to be weighed against a fresh one:
// when the load, the props or what they stand on are others than before, or when it costs more by the
// area than the earlier deck did, which was the cheapest found for its job.
func dear(in *Input, kept *deck.Deck) bool {
	e := in.Earlier
	if !reflect.DeepEqual(in.Settings, e.Settings) || len(in.Site.Zones) != len(e.Site.Zones) || in.Site.OnGround != e.Site.OnGround {
		return true
	}
	for i, z := range in.Site.Zones {
		if z.Thickness != e.Site.Zones[i].Thickness {
			return true
		}
	}
	for _, f := range kept.Fields {
		if old := fieldNamed(e.Deck, f.Name); old == nil || old.Pattern == nil || f.Pattern == nil || old.Pattern.Prop != f.Pattern.Prop {
			return true
		}
	}
	return in.costOf(kept)/deckArea(in.Site) > in.costOf(e.Deck)/deckArea(e.Site)*(1+e.Dearer)
}

func deckArea(s *deck.Site) float64 { return plane.Area(s.Slab) + plane.Area(s.Strip) }

func fieldNamed(d *deck.Deck, name string) *deck.Field {
	for i := range d.Fields {
		if d.Fields[i].Name == name {
			return &d.Fields[i]
		}
	}
	return nil
}

// keeping is a deck with the parts that stay of an earlier one.
type keeping struct {
	deck  *deck.Deck
	fails int    // places that fail
	sure  bool   // nothing changes at all and all holds, which needs no weighing
	whole bool   // some fields stay whole under the load that they had
	said  string // what became of the fields
}

// mostKeeps is how often a pour of several bays is laid from an earlier deck.
const mostKeeps = 8

// keepMost keeps as much of an earlier deck as holds: bays in which something fails
// give up more of theirs, one after the other.
func keepMost(in *Input) (*keeping, error) {
	in, bays, err := baysAgain(in)
	if err != nil {
		return nil, err
	}
	var best *keeping
	for more := mostKeeps; more > 0; more-- {
		k, err := keep(in, bays)
		if err != nil && best == nil {
			return nil, err
		}
		if err != nil {
			break
		}
		if best == nil || k.fails < best.fails {
			best = k
		}
		some, err := yield(in, bays, k)
		if err != nil {
			return nil, err
		}
		if !some {
			break
		}
	}
	// What the change touches may come much cheaper afresh.
	if best.fails > 0 || best.sure || !best.whole || !dear(in, best.deck) {
		return best, nil
	}
	some := false
	for z := range bays {
		if b := &bays[z]; b.turn == inPattern || b.turn == asItIs && !sameLoad(in, z, b.was) {
			b.turn, some = anew, true
		}
	}
	if !some {
		return best, nil
	}
	if k, err := keep(in, bays); err == nil && k.fails == 0 && in.costOf(best.deck) > in.costOf(k.deck)*(1+in.Earlier.Dearer) {
		best = k
	}
	return best, nil
}

// yield lets the bay in which most fails give up more of what it had: one that is not whole
// any more before one that is. It reports whether there is one.
func yield(in *Input, bays []bay, k *keeping) (bool, error) {
	if k.fails == 0 || len(bays) == 1 || in.Prove == nil {
		return false, nil
	}
	proof, err := in.Prove(k.deck)
	if err != nil {
		return false, err
	}
	owner := fieldsOf(k.deck)
	worst, most := -1, 0
	for _, wholes := range []bool{false, true} {
		for z := range bays {
			if worst >= 0 && wholes || (bays[z].turn == asItIs) != wholes {
				continue
			}
			n := 0
			for _, f := range proof.Failing() {
				if field := owner[f.Member]; field != "" && slices.Contains(bays[z].laid, field) || field == "" && lies(&in.Site.Zones[z], f.At) {
					n++
				}
			}
			if n > most {
				worst, most = z, n
			}
		}
	}
	if worst >= 0 {
		bays[worst].turn++
	}
	return worst >= 0, nil
}

// fieldsOf are the fields of sheets, joists, stringers and of the props under these, by
// their names.
func fieldsOf(d *deck.Deck) map[string]string {
	out, lines := map[string]string{}, map[string]string{}
	for _, s := range d.Sheets {
		out[s.ID] = s.Field
	}
	for _, m := range d.Joists {
		out[m.ID] = m.Field
	}
	for _, m := range d.Stringers {
		out[m.ID], lines[m.Line] = m.Field, m.Field
	}
	for _, p := range d.Props {
		out[p.ID] = lines[p.Line]
	}
	return out
}

// keep lays every bay as it is its turn, and strengthens the whole where the proof fails.
func keep(in *Input, bays []bay) (*keeping, error) {
	e, out := in.Earlier, &deck.Deck{}
	k := &keeping{deck: out}
	fields := map[string]*field{}
	var stay placed
	var tell report
	names := newNames(e.Deck)
	for z := range bays {
		zone := &in.Site.Zones[z]
		if len(zone.Shapes) == 0 {
			continue
		}
		b := &bays[z]
		laid, err := b.lay(in, z, names, out, &stay)
		if err != nil {
			return nil, err
		}
		k.whole = k.whole || b.turn == asItIs && sameLoad(in, z, b.was)
		b.laid = nil
		for _, f := range laid {
			b.laid = append(b.laid, f.name)
			tell.add(b, f.name, zone.Name)
			f.added = names.most[f.name+"-K"]
			fields[f.name] = f
		}
	}
	fresh := len(out.Sheets) + len(out.Joists) + len(out.Stringers) + len(out.Props)
	names.members(out, e.Deck, stay, fields)
	out.Sheets, out.Joists = inOrder(stay.sheets, out.Sheets), inOrder(stay.joists, out.Joists)
	out.Stringers, out.Props = inOrder(stay.stringers, out.Stringers), inOrder(stay.props, out.Props)
	if err := honour(in, out, fields); err != nil {
		return nil, err
	}
	if err := layEdges(in, out); err != nil {
		return nil, err
	}
	keepGuards(in, out)
	keepSideways(in, out)
	if err := layLateral(in, out); err != nil {
		return nil, err
	}
	same := fresh == 0 && len(out.Sheets) == len(e.Deck.Sheets) && len(out.Joists) == len(e.Deck.Joists) &&
		len(out.Stringers) == len(e.Deck.Stringers) && len(out.Props) == len(e.Deck.Props) &&
		sameSite(in.Site, e.Site) && reflect.DeepEqual(in.Settings, e.Settings)
	k.said = tell.String()
	if in.Prove != nil { // one where nothing changes too: values of the catalogue may be others
		var err error
		if k.deck, k.fails, err = newTrial(in, out, fields).mend(false); err != nil {
			return nil, err
		}
	}
	names.finish(in, k.deck, e.Deck)
	k.sure = same && k.fails == 0 && reflect.DeepEqual(k.deck.Props, e.Deck.Props)
	return k, nil
}

// sameSite compares sites as they are written down: no list and an empty one are
// the same.
func sameSite(a, b *deck.Site) bool {
	x, err := json.Marshal(a)
	y, err2 := json.Marshal(b)
	return err == nil && err2 == nil && bytes.Equal(x, y)
}

// keepGuards leaves guardrail posts where they stand on what is still a border of
// the deck, and fills wider gaps than may be.
func keepGuards(in *Input, d *deck.Deck) {
	var outer []plane.Ring
	for _, s := range in.Site.Strip {
		outer = append(outer, s.Rings()...)
	}
	most := mmOf(in.Deck.GuardPitch)
	d.Guards = nil
	for _, run := range guardRuns(in.Site, outer) {
		a, b := run[0], run[1]
		posts := []plane.Point{a, b}
		for _, g := range in.Earlier.Deck.Guards {
			if g.Part != in.System.Guard || plane.Distance(g.At, a, b) > tolerance {
				continue
			}
			if i := slices.IndexFunc(posts, func(p plane.Point) bool { return at(p, g.At) }); i >= 0 {
				posts[i] = g.At
			} else {
				posts = append(posts, g.At)
			}
		}
		slices.SortFunc(posts, func(p, q plane.Point) int { return cmp.Compare(dist(a, p), dist(a, q)) })
		for i, p := range posts {
			if i > 0 {
				n := math.Ceil(dist(posts[i-1], p)/most - 1e-5) // posts stand on whole hundredths
				for k := 1.0; k < n; k++ {
					d.Guards = append(d.Guards, deck.GuardPost{Part: in.System.Guard, At: walk([]plane.Point{posts[i-1], p}, dist(posts[i-1], p)*k/n)})
				}
			}
			d.Guards = append(d.Guards, deck.GuardPost{Part: in.System.Guard, At: p})
		}
	}
	for i := range d.Guards {
		d.Guards[i].ID = fmt.Sprintf("guard %d", i) // until all is named
	}
}

// keepSideways keeps old ties that have their column still, and old braces whose
// prop stands still and whose foot is clear.
func keepSideways(in *Input, d *deck.Deck) {
	old := in.Earlier.Deck
	spots := tieSpots(in.Site)
	for _, t := range old.Ties {
		if i := slices.IndexFunc(spots, func(s tieSpot) bool { return s.at == t.At }); i >= 0 && t.Part == in.System.Tie {
			t.Block = spots[i].block
			d.Ties = append(d.Ties, t)
		}
	}
	for _, b := range old.Braces {
		i := slices.IndexFunc(d.Props, func(p deck.Prop) bool { return p.At == b.At })
		if i < 0 || b.Part != in.System.Brace {
			continue
		}
		for dir := range 2 {
			if b.At[dir] == b.Foot[dir] {
				continue
			}
			was := b.Foot[dir] > b.At[dir]
			if foot, ok := braceFoot(in, d.Props[i], dir, d.Braces); ok && foot[dir] > b.At[dir] == was {
				b.Foot = foot
				d.Braces = append(d.Braces, b)
			}
		}
	}
}

// tolerance within which parts are at the same place, mm.
const tolerance = 1.0

func at(a, b plane.Point) bool { return math.Hypot(a[0]-b[0], a[1]-b[1]) <= tolerance }
