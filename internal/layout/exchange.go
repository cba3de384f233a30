package layout

import (
	"maps"
	"math"
	"slices"
	"sort"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// batch is how many exchanges are proven together; where they fail, each is
// proven alone. After two batches in vain no more are tried.
const batch = 12

// Swap says which pieces of a laid deck are to give way to others.
type Swap struct {
	Out   func(id, part string) bool // the pieces that may go
	Most  int                        // how many of them
	Room  func(part string) int      // how many of another part there are for their places
	Fresh func(id string) bool       // pieces that nobody has set yet: they go first; nil: none
}

// Exchange puts other parts of the system in the place of pieces of a laid deck: a
// beam of another length in the same section, a prop of another make at the same
// setting. It returns how many it could exchange: what makes anything fail is taken
// back. Those laid last go first, so that what is exchanged lies together: the last
// line of props as a whole, and so on, of one line at most a part, from its end.
func (in *Input) Exchange(d *deck.Deck, s Swap) (int, error) {
	x := &exchange{in: in, d: d, room: s.Room, used: map[string]int{}}
	fails, err := x.prove()
	if err != nil {
		return 0, err
	}
	did := 0
	for _, fresh := range []bool{true, false} {
		n, after, err := x.giveWay(x.groups(s, fresh), s.Most-did, fails)
		if err != nil {
			return did, err
		}
		did, fails = did+n, after
	}
	return did, nil
}

// giveWay exchanges at most so many pieces of some groups: lines of props as a whole
// first, then what is left piece by piece.
func (x *exchange) giveWay(groups [][]spot, most, fails int) (did, after int, err error) {
	var rest []spot
	vain := 0
	for _, g := range groups {
		if did == most {
			break
		}
		n := 0
		if g[0].role == props && vain < mostVain {
			end := g[max(0, len(g)-(most-did)):]
			if n, fails, err = x.whole(end, most-did, fails); err != nil {
				return did, fails, err
			}
			if n < 0 {
				n, vain = 0, vain+1
			}
		}
		if did += n; n == 0 {
			for _, p := range slices.Backward(g) {
				rest = append(rest, p)
			}
		}
	}
	for vain = 0; len(rest) > 0 && did < most && vain < 2; {
		n := 0
		now := rest[:min(batch, len(rest), most-did)]
		rest = rest[len(now):]
		if n, fails, err = x.try(now, fails); err != nil {
			return did, fails, err
		}
		if n == 0 && len(now) > 1 {
			for _, p := range now {
				var one int
				if one, fails, err = x.try([]spot{p}, fails); err != nil {
					return did, fails, err
				}
				n += one
			}
		}
		did += n
		if vain++; n > 0 {
			vain = 0
		}
	}
	return did, fails, nil
}

// mostVain is how many lines of props are proven with other props in vain, before
// props are exchanged one by one.
const mostVain = 4

// spot is a piece of a deck: which list, and which of it.
type spot struct{ role, i int }

const props = 2 // role of a place; 0 joists, 1 stringers

type exchange struct {
	in   *Input
	d    *deck.Deck
	room func(part string) int
	used map[string]int     // taken so far, by part
	load map[string]float64 // on props, N, as the proof found it
}

// groups are the pieces that may go, of those that nobody has set yet or of the
// others: joists, stringers, and props by their lines, the last line first, and
// those straight under joists after the rest.
func (x *exchange) groups(s Swap, fresh bool) [][]spot {
	goes := func(id, part string) bool { return s.Out(id, part) && (s.Fresh != nil && s.Fresh(id)) == fresh }
	var out [][]spot
	for role, list := range [][]deck.Member{x.d.Joists, x.d.Stringers} {
		var g []spot
		for i := range list {
			if m := &list[i]; goes(m.ID, m.Part) && !x.kept(m) {
				g = append(g, spot{role, i})
			}
		}
		if len(g) > 0 {
			out = append(out, g)
		}
	}
	lines := map[string][]spot{}
	for i := range x.d.Props {
		if p := &x.d.Props[i]; goes(p.ID, p.Part) && !keptAt(x.in, p.At) {
			lines[p.Line] = append(lines[p.Line], spot{props, i})
		}
	}
	for _, name := range slices.SortedFunc(maps.Keys(lines), func(a, b string) int {
		switch {
		case a == b:
			return 0
		case a == "joist" || b != "joist" && order2(a, b):
			return 1
		}
		return -1
	}) {
		out = append(out, lines[name])
	}
	return out
}

// whole puts other props in the place of all of a line that are wanted: one other kind
// for those of one setting. It gives 0 where there are none, -1 where the proof fails with them.
func (x *exchange) whole(g []spot, rest, before int) (n, fails int, err error) {
	old, used := slices.Clone(x.d.Props), maps.Clone(x.used)
	back := func(n int) (int, int, error) {
		x.d.Props, x.used = old, used
		return n, before, err
	}
	by := map[float64][]spot{} // by setting
	for _, p := range g {
		l := x.d.Props[p.i].Length
		by[l] = append(by[l], p)
	}
	for _, l := range slices.Sorted(maps.Keys(by)) {
		o := x.instead(by[l], rest)
		if o == nil {
			return back(0)
		}
		for _, p := range by[l] {
			x.set(&x.d.Props[p.i], o)
		}
	}
	after, err := x.prove()
	if err != nil || after > before {
		return back(-1)
	}
	return len(g), after, nil
}

// instead is the prop for the place of several: of which there are enough and which carries what
// they carry. One that stands in for others already goes first, then the cheapest of which there
// are enough for the rest too, then the cheapest.
func (x *exchange) instead(g []spot, rest int) *catalog.Part {
	var best *catalog.Part
	cost, price, rank := math.Inf(1), x.in.pricer(), 0
	for _, id := range x.in.System.Props {
		o := x.in.Catalog.Parts[id]
		if o == nil || x.left(id) < len(g) || slices.ContainsFunc(g, func(p spot) bool { return !x.carries(o, &x.d.Props[p.i]) }) {
			continue
		}
		r := 0
		switch {
		case x.used[id] > 0:
			r = 2
		case x.left(id) >= rest:
			r = 1
		}
		if c := price.piece(o); best == nil || r > rank || r == rank && c < cost {
			best, cost, rank = o, c, r
		}
	}
	return best
}

// carries reports whether a part can stand in the place of a prop under its load.
func (x *exchange) carries(o *catalog.Part, p *deck.Prop) bool {
	if o.ID == p.Part || !fits(o, p.Length) || o.Kind != x.in.Catalog.Parts[p.Part].Kind {
		return false
	}
	most, _, err := x.in.Settings.Prop(o, quantity.Length(p.Length/1000))
	return err == nil && x.load[p.ID] <= float64(most)
}

// set puts a part in the place of a prop.
func (x *exchange) set(p *deck.Prop, o *catalog.Part) {
	p.Part = o.ID
	p.Hole, p.Thread = setting(o, p.Length)
	x.used[o.ID]++
}

// prove counts what fails, and notes what props carry.
func (x *exchange) prove() (int, error) {
	proof, err := x.in.Prove(x.d)
	if err != nil {
		return 0, err
	}
	x.load = map[string]float64{}
	for _, c := range proof.Checks {
		if c.Kind == "prop" && c.What == "load" {
			x.load[c.Member] = c.Value
		}
	}
	return len(proof.Failing()), nil
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
	after, err := x.prove()
	if err != nil || after > before {
		*x.d, x.used = old, used
		return 0, before, err
	}
	return n, after, nil
}

// take books a piece of a part.
func (x *exchange) take(part string) { x.used[part]++ }

// left is how many of a part there are still.
func (x *exchange) left(part string) int { return x.room(part) - x.used[part] }

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
		if o != nil && id != m.Part && o.Depth.V == was.Depth.V && o.Width.V == was.Width.V && x.left(id) > 0 {
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

// prop sets another prop of the system at the same place and height: the cheapest
// that carries what it carries.
func (x *exchange) prop(p *deck.Prop) bool {
	price := x.in.pricer()
	var best *catalog.Part
	for _, id := range x.in.System.Props {
		o := x.in.Catalog.Parts[id]
		if o == nil || x.left(id) <= 0 || !x.carries(o, p) {
			continue
		}
		if best == nil || price.piece(o) < price.piece(best) {
			best = o
		}
	}
	if best == nil {
		return false
	}
	x.set(p, best)
	return true
}
