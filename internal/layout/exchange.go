package layout

import (
	"maps"
	"math"
	"slices"
	"sort"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// batch is how many exchanges are proven together; where they fail, each is
// proven alone. After two batches in vain no more are tried.
const batch = 12

// Exchange puts other parts of the system in the place of the pieces that are
// wanted out of a laid deck, at most so many of them: a beam of another length in
// the same section, a prop of another make at the same setting. Of a part it
// takes no more than there is room for. It returns how many it could exchange:
// an exchange that makes anything fail is taken back.
func (in *Input) Exchange(d *deck.Deck, out func(id, part string) bool, most int, room func(part string) int) (int, error) {
	x := &exchange{in: in, d: d, room: room, used: map[string]int{}}
	fails, err := x.fails()
	if err != nil {
		return 0, err
	}
	var all []spot
	for role, list := range [][]deck.Member{d.Joists, d.Stringers} {
		for i := range list {
			if m := &list[i]; out(m.ID, m.Part) && !x.kept(m) {
				all = append(all, spot{role, i})
			}
		}
	}
	for i := range d.Props {
		if p := &d.Props[i]; out(p.ID, p.Part) && !keptAt(in, p.At) {
			all = append(all, spot{props, i})
		}
	}
	did, vain := 0, 0
	for len(all) > 0 && did < most && vain < 2 {
		var n int
		now := all[:min(batch, len(all), most-did)]
		all = all[len(now):]
		if n, fails, err = x.try(now, fails); err != nil {
			return did, err
		}
		if n == 0 && len(now) > 1 {
			for _, p := range now {
				var one int
				if one, fails, err = x.try([]spot{p}, fails); err != nil {
					return did, err
				}
				n += one
			}
		}
		did += n
		if vain++; n > 0 {
			vain = 0
		}
	}
	return did, nil
}

// spot is a piece of a deck: which list, and which of it.
type spot struct{ role, i int }

const props = 2 // role of a place; 0 joists, 1 stringers

type exchange struct {
	in   *Input
	d    *deck.Deck
	room func(part string) int
	used map[string]int // taken so far, by part
}

func (x *exchange) fails() (int, error) {
	proof, err := x.in.Prove(x.d)
	return len(proof.Failing()), err
}

func (x *exchange) kept(m *deck.Member) bool {
	return slices.ContainsFunc(x.in.Site.Keep, func(k deck.Kept) bool {
		return dist(k.At, m.From) < 2 && dist(k.To, m.To) < 2 || dist(k.At, m.To) < 2 && dist(k.To, m.From) < 2
	})
}

// try exchanges some pieces and proves the deck; all come back when more fails
// than before.
func (x *exchange) try(ps []spot, before int) (int, int, error) {
	old, used := clone(x.d), maps.Clone(x.used)
	n := 0
	for _, p := range ps {
		if x.exchange(p) {
			n++
		}
	}
	if n == 0 {
		return 0, before, nil
	}
	after, err := x.fails()
	if err != nil || after > before {
		*x.d, x.used = old, used
		return 0, before, err
	}
	return n, after, nil
}

// take books a piece of a part.
func (x *exchange) take(part string) { x.used[part]++ }

func (x *exchange) left(part string) bool { return x.room(part)-x.used[part] > 0 }

func (x *exchange) exchange(p spot) bool {
	if p.role == props {
		return x.prop(&x.d.Props[p.i])
	}
	list, ids := x.d.Joists, x.in.System.Joists
	if p.role == 1 {
		list, ids = x.d.Stringers, x.in.System.Stringers
	}
	m := &list[p.i]
	was := x.in.Catalog.Parts[m.Part]
	var others []*catalog.Part
	for _, id := range ids {
		o := x.in.Catalog.Parts[id]
		if o != nil && id != m.Part && o.Depth.V == was.Depth.V && o.Width.V == was.Width.V && x.left(id) {
			others = append(others, o)
		}
	}
	l := dist(m.From, m.To)
	// Longer ones first, the nearest in length before the rest.
	sort.SliceStable(others, func(i, j int) bool {
		a, b := mmOf(others[i].Length.V)-l, mmOf(others[j].Length.V)-l
		if (a >= 0) != (b >= 0) {
			return a >= 0
		}
		return math.Abs(a) < math.Abs(b)
	})
	for _, o := range others {
		n := mmOf(o.Length.V)
		if m.Sawn {
			if n >= l {
				m.Part = o.ID
				x.take(o.ID)
				return true
			}
			continue
		}
		ux, uy := (m.To[0]-m.From[0])/l, (m.To[1]-m.From[1])/l
		for _, share := range []float64{0.5, 0, 1} {
			before, after := (n-l)*share, (n-l)*(1-share)
			w := *m
			w.Part = o.ID
			w.From = plane.Point{round(m.From[0] - ux*before), round(m.From[1] - uy*before)}
			w.To = plane.Point{round(m.To[0] + ux*after), round(m.To[1] + uy*after)}
			if x.clear(list, p, w) {
				*m = w
				x.take(o.ID)
				return true
			}
		}
	}
	return false
}

// clear reports whether a member would meet no other of its kind, no block, and
// reach no further past the deck than is usual.
func (x *exchange) clear(list []deck.Member, p spot, m deck.Member) bool {
	past := 150.0
	if p.role == 1 {
		past = 900
	}
	for _, end := range []plane.Point{m.From, m.To} {
		if !nearShapes(x.in.Site.Slab, end, past) && !nearShapes(x.in.Site.Strip, end, past) {
			return false
		}
	}
	parts := x.in.Catalog.Parts
	ring := m.Outline(parts)
	for i := range list {
		if i != p.i && overlap(ring, list[i].Outline(parts)) {
			return false
		}
	}
	for _, b := range x.in.Site.Blocks {
		if overlap(ring, b.Ring) {
			return false
		}
	}
	return true
}

// overlap reports whether two outlines share more than a square centimetre.
func overlap(a, b plane.Ring) bool {
	if !a.Bounds().Overlaps(b.Bounds(), 0) {
		return false
	}
	got, err := plane.Intersection([]plane.Shape{{Outer: a.CCW()}}, []plane.Shape{{Outer: b.CCW()}})
	return err != nil || plane.Area(got) > 100
}

func nearShapes(shapes []plane.Shape, p plane.Point, by float64) bool {
	if plane.Within(shapes, p) {
		return true
	}
	for _, s := range shapes {
		for _, r := range s.Rings() {
			if r.DistanceTo(p) <= by {
				return true
			}
		}
	}
	return false
}

// prop sets another prop of the system at the same place and height.
func (x *exchange) prop(p *deck.Prop) bool {
	price := x.in.pricer()
	var best *catalog.Part
	for _, id := range x.in.System.Props {
		o := x.in.Catalog.Parts[id]
		if o == nil || id == p.Part || !fits(o, p.Length) || !x.left(id) || o.Kind != x.in.Catalog.Parts[p.Part].Kind {
			continue
		}
		if best == nil || price.piece(o) < price.piece(best) {
			best = o
		}
	}
	if best == nil {
		return false
	}
	p.Part = best.ID
	p.Hole, p.Thread = setting(best, p.Length)
	x.take(best.ID)
	return true
}
