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

// Replan lays out a pour with as much as can stay of an earlier deck, the first of
// several that does: which is the number of it. Where none holds, or keeping costs
// too much, the pour is laid afresh: which is then -1, and the text says why.
func Replan(in *Input, earlier ...*Earlier) (d *deck.Deck, which int, why string, err error) {
	if slices.ContainsFunc(in.Site.Zones, func(z deck.Zone) bool { return len(z.Room) > 0 }) {
		d, err = Plan(in)
		return d, -1, "parts beside beams, drops and steps are not kept", err
	}
	var kept *deck.Deck
	fewest := math.MaxInt
	for i, e := range earlier {
		try := *in
		try.Earlier = e
		d, fails, sure, err := keep(&try)
		switch {
		case err != nil:
			why = err.Error()
			continue
		case sure || fails == 0 && !dear(&try, d):
			return d, i, "", nil
		case fails < fewest:
			kept, fewest, which = d, fails, i
		}
	}
	fresh, err := Plan(in)
	switch {
	case err != nil && kept == nil:
		return nil, -1, "", err
	case err != nil:
		return kept, which, "", nil
	case kept == nil:
		return fresh, -1, why, nil
	case in.Prove == nil: // nothing to tell by which holds
		return kept, which, "", nil
	}
	found, err := in.Prove(fresh)
	if err != nil {
		return nil, -1, "", err
	}
	n := len(found.Failing())
	was, now := in.costOf(kept), in.costOf(fresh)
	switch {
	case n < fewest:
		return fresh, -1, fmt.Sprintf("with the earlier parts %d places fail, laid afresh %d", fewest, n), nil
	case n == fewest && was > now*(1+earlier[which].Dearer):
		return fresh, -1, fmt.Sprintf("with the earlier parts it would cost %.0f %% more, and up to %.0f %% is borne", (was/now-1)*100, earlier[which].Dearer*100), nil
	}
	return kept, which, "", nil
}

// dear reports whether a deck of kept parts is to be weighed against a fresh one:
// when the load or the props are others than before, or when it costs more by the
// area than the earlier deck did, which was the cheapest found for its job.
func dear(in *Input, kept *deck.Deck) bool {
	e := in.Earlier
	if !reflect.DeepEqual(in.Settings, e.Settings) || len(in.Site.Zones) != len(e.Site.Zones) {
		return true
	}
	for i, z := range in.Site.Zones {
		if z.Thickness != e.Site.Zones[i].Thickness {
			return true
		}
	}
	for _, f := range kept.Fields {
		if old := fieldIn(e.Deck, f.Zone); old == nil || old.Pattern == nil || f.Pattern == nil || old.Pattern.Prop != f.Pattern.Prop {
			return true
		}
	}
	return in.costOf(kept)/deckArea(in.Site) > in.costOf(e.Deck)/deckArea(e.Site)*(1+e.Dearer)
}

func deckArea(s *deck.Site) float64 { return plane.Area(s.Slab) + plane.Area(s.Strip) }

func fieldIn(d *deck.Deck, zone string) *deck.Field {
	for i := range d.Fields {
		if d.Fields[i].Zone == zone {
			return &d.Fields[i]
		}
	}
	return nil
}

// keep lays every zone in its earlier pattern, keeps what stays and strengthens
// the whole where the proof fails. It gives the number of places that fail still;
// sure is true when nothing changes at all and all holds, which needs no weighing.
func keep(in *Input) (out *deck.Deck, fails int, sure bool, err error) {
	e := in.Earlier
	out = &deck.Deck{}
	fields := map[string]*field{}
	var stay placed
	names := newNames(e.Deck)
	for z := range in.Site.Zones {
		zone := in.Site.Zones[z]
		if len(zone.Shapes) == 0 {
			continue
		}
		var f *field
		if old := fieldIn(e.Deck, zone.Name); old != nil {
			if f, err = again(in, z, *old); err != nil {
				return nil, 0, false, err
			}
			k, err := newKeeper(in, f, zone.Name, old.Name)
			if err != nil {
				return nil, 0, false, err
			}
			if err := k.lay(); err != nil {
				return nil, 0, false, err
			}
			f.emit(in, z, old.Name, out)
			k.put(&stay)
		} else {
			zp, err := planZone(in, z)
			if err != nil {
				return nil, 0, false, err
			}
			if f, err = zp.field(0); err != nil {
				return nil, 0, false, err
			}
			f.emit(in, z, names.field(), out)
		}
		f.added = names.most[f.name+"-K"]
		fields[f.name] = f
	}
	fresh := len(out.Sheets) + len(out.Joists) + len(out.Stringers) + len(out.Props)
	names.members(out, e.Deck, stay, fields)
	out.Sheets, out.Joists = inOrder(stay.sheets, out.Sheets), inOrder(stay.joists, out.Joists)
	out.Stringers, out.Props = inOrder(stay.stringers, out.Stringers), inOrder(stay.props, out.Props)
	if err := honour(in, out, fields); err != nil {
		return nil, 0, false, err
	}
	if err := layEdges(in, out); err != nil {
		return nil, 0, false, err
	}
	keepGuards(in, out)
	keepSideways(in, out)
	if err := layLateral(in, out); err != nil {
		return nil, 0, false, err
	}
	same := fresh == 0 && len(out.Sheets) == len(e.Deck.Sheets) && len(out.Joists) == len(e.Deck.Joists) &&
		len(out.Stringers) == len(e.Deck.Stringers) && len(out.Props) == len(e.Deck.Props) &&
		sameSite(in.Site, e.Site) && reflect.DeepEqual(in.Settings, e.Settings)
	if in.Prove != nil { // one where nothing changes too: values of the catalogue may be others
		if out, fails, err = newTrial(in, out, fields).mend(false); err != nil {
			return nil, 0, false, err
		}
	}
	names.finish(in, out, e.Deck)
	return out, fails, same && fails == 0 && reflect.DeepEqual(out.Props, e.Deck.Props), nil
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
