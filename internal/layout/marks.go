package layout

import (
	"math"
	"slices"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// nearMark is how far a prop may be moved to a setting mark, mm; markRounds how
// often the deck is proven for it.
const (
	nearMark   = 150.0
	markRounds = 5
)

// ToMarks moves props to the setting marks of the stringers over them where that
// is a little way, costs nothing and fails nothing: all of them first; then those
// of the lines where something fails go back. A prop in a lap or one that is kept
// stays, and where one stood before, and one that holds a brace.
func (in *Input) ToMarks(d *deck.Deck, stood map[plane.Point]bool) error {
	if !slices.ContainsFunc(d.Stringers, func(s deck.Member) bool {
		p := in.Catalog.Parts[s.Part]
		return p != nil && p.Marks > 0
	}) {
		return nil
	}
	x := &exchange{in: in, d: d}
	before, err := x.prove()
	if err != nil {
		return err
	}
	lineOf := map[string]string{}
	for _, s := range d.Stringers {
		lineOf[s.ID] = s.Line
	}
	old := map[int]plane.Point{}
	for i := range d.Props {
		p := &d.Props[i]
		braced := slices.ContainsFunc(d.Braces, func(b deck.Brace) bool { return b.At == p.At })
		if at, ok := in.markFor(d, p); ok && !stood[p.At] && !braced {
			old[i] = p.At
			p.At = at
		}
		lineOf[p.ID] = p.Line
	}
	for round := 0; len(old) > 0; round++ {
		proof, err := in.Prove(d)
		if err != nil {
			return err
		}
		bad, n := map[string]bool{}, 0
		for _, f := range proof.Findings {
			if f.Fails {
				n++
				bad[lineOf[f.Member]] = true
			}
		}
		if n <= before {
			return nil
		}
		did := false
		for i, at := range old {
			// The last round, or a failure that no line answers for: all go back.
			if round >= markRounds || bad[d.Props[i].Line] {
				d.Props[i].At = at
				delete(old, i)
				did = true
			}
		}
		if !did {
			for i, at := range old {
				d.Props[i].At = at
			}
			return nil
		}
	}
	return nil
}

// markFor is the setting mark that a prop could stand at, when it stands under
// one stringer alone and near enough.
func (in *Input) markFor(d *deck.Deck, p *deck.Prop) (plane.Point, bool) {
	if p.Under != "stringer" || keptAt(in, p.At) {
		return plane.Point{}, false
	}
	var over *deck.Member
	for i := range d.Stringers {
		s := &d.Stringers[i]
		if s.Line != p.Line || (plane.Ring{s.From, s.To}).DistanceTo(p.At) > 2*plate {
			continue
		}
		if over != nil {
			return plane.Point{}, false // a lap
		}
		over = s
	}
	part := in.Catalog.Parts
	if over == nil || over.Sawn || part[over.Part] == nil || part[over.Part].Marks <= 0 {
		return plane.Point{}, false
	}
	pitch, first := mmOf(part[over.Part].Marks), mmOf(part[over.Part].FirstMark)
	l := dist(over.From, over.To)
	ux, uy := (over.To[0]-over.From[0])/l, (over.To[1]-over.From[1])/l
	s := (p.At[0]-over.From[0])*ux + (p.At[1]-over.From[1])*uy
	mark := first + math.Round((s-first)/pitch)*pitch
	if move := math.Abs(mark - s); move > nearMark || move < 0.01 || mark < endMin || mark > l-endMin {
		return plane.Point{}, false
	}
	at := plane.Point{round(p.At[0] + ux*(mark-s)), round(p.At[1] + uy*(mark-s))}
	for _, b := range in.Site.Blocks {
		if b.Ring.Contains(at) || b.Ring.DistanceTo(at) < plate+mmOf(in.Deck.Clearance) {
			return plane.Point{}, false
		}
	}
	for i := range d.Props { // neighbours keep their distance
		if q := &d.Props[i]; q != p && dist(q.At, at) < nearest {
			return plane.Point{}, false
		}
	}
	return at, true
}
