package layout

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// keeper lays a zone in an earlier pattern and puts the earlier parts in the
// place of new ones wherever the change does not touch them.
type keeper struct {
	in   *Input
	f    *field
	old  *deck.Deck
	name string // of the old field
	c    *change
	w    float64 // width of a stringer
	half float64 // of a joist

	// Parts of the old deck that stay, by their place in its lists; stringers and
	// props with the key of their line.
	sheets, joists   map[int]bool
	stringers, props map[int]string
	kept             []stringer // the stringers that stay
	pieces           []stringer // and all there will be
	lost             []stringer // old stringers that go
	olds             []oldJoist
	spare            map[int]bool // old props that new stringers do not need
}

// elsewhere is the line of supports that are not the layout's to give: those of a
// joist that a repair had added.
const elsewhere = -2

// oldJoist is a joist of the earlier deck in the frame.
type oldJoist struct {
	joist
	i    int // in the old deck
	keep bool
}

func newKeeper(in *Input, f *field, zone, name string) (*keeper, error) {
	c, err := newChange(in.Earlier.Site, zone, f.r, in)
	if err != nil {
		return nil, err
	}
	return &keeper{in: in, f: f, old: in.Earlier.Deck, name: name, c: c,
		w: mmOf(f.k.stringers[0].part.Width.V), half: mmOf(f.k.joists[0].part.Width.V) / 2,
		spare: map[int]bool{}, sheets: map[int]bool{}, joists: map[int]bool{}, stringers: map[int]string{}, props: map[int]string{}}, nil
}

// lay leaves in the field what is new, and in the keeper what stays.
func (k *keeper) lay() error {
	k.f.layJoists()
	k.f.kept = k.f.pattern()
	fresh := k.keepJoists()
	if err := k.keepSheets(); err != nil {
		return err
	}
	k.keepStringers()
	k.keepProps()
	k.f.joists = k.f.joists[:0:0] // only the new ones are placed anew
	for _, j := range fresh {
		k.f.joists = append(k.f.joists, *j)
	}
	return nil
}

func stockOf(list []stock, part string) *stock {
	if i := slices.IndexFunc(list, func(s stock) bool { return s.part.ID == part }); i >= 0 {
		return &list[i]
	}
	return nil
}

// ends of a member in the frame, the lower first along an axis.
func (k *keeper) ends(m deck.Member, axis int) (a, b plane.Point) {
	a, b = k.f.r.f.in(m.From), k.f.r.f.in(m.To)
	if a[axis] > b[axis] {
		a, b = b, a
	}
	return a, b
}

func (k *keeper) joistBar(j joist) plane.Ring {
	return plane.Rect(j.x-k.half, j.y0, j.x+k.half, j.y1)
}

// sameRow reports whether two joists serve the same stretch of a column.
func (k *keeper) sameRow(a, b joist) bool {
	both := math.Min(a.y1, b.y1) - math.Max(a.y0, b.y0)
	return math.Abs(a.x-b.x) < 3*k.half && both > 0.5*math.Min(a.y1-a.y0, b.y1-b.y0)
}

// clash reports whether two joists would lie in one another.
func (k *keeper) clash(a, b joist) bool {
	return math.Abs(a.x-b.x) < 2*k.half-1 && math.Min(a.y1, b.y1)-math.Max(a.y0, b.y0) > -2
}

// keepJoists chooses between old joists and new ones. The field's joists are
// then those of the deck to be; the new ones among them are returned.
func (k *keeper) keepJoists() (fresh []*joist) {
	f := k.f
	news := f.joists
	for i, m := range k.old.Joists {
		if m.Field != k.name {
			continue
		}
		a, b := k.ends(m, 1)
		o := oldJoist{i: i, joist: joist{x: a[0], y0: a[1], y1: b[1], stock: stockOf(f.k.joists, m.Part), sawn: m.Sawn, column: -1}}
		o.keep = o.stock != nil && !k.c.hits(k.joistBar(o.joist)) && !k.goesOn(o.joist)
		k.olds = append(k.olds, o)
	}
	sort.SliceStable(k.olds, func(a, b int) bool { return k.olds[a].x < k.olds[b].x })
	about := func(x float64) []oldJoist { // old joists that could meet one at x
		i := sort.Search(len(k.olds), func(i int) bool { return k.olds[i].x > x-3*k.half })
		j := sort.Search(len(k.olds), func(i int) bool { return k.olds[i].x >= x+3*k.half })
		return k.olds[i:j]
	}
	reach := make([]bool, len(news)) // new joists within reach of a change
	for n, j := range news {
		reach[n] = k.c.by(k.joistBar(j), reworked)
	}
	refused := make([]bool, len(news))
	var take []bool
	for again := true; again; {
		again = false
		take = make([]bool, len(news))
		for n, j := range news {
			same, instead := false, false
			for _, o := range about(j.x) {
				if k.sameRow(o.joist, j) {
					same = same || o.keep
					instead = instead || !o.keep
				}
			}
			take[n] = !refused[n] && !same && (reach[n] || instead)
			if !take[n] {
				continue
			}
			list := about(j.x)
			if x, ok := k.otherTrack(j, list); ok {
				news[n].x, again = x, true
				continue
			}
			for i := range list {
				if o := &list[i]; o.keep && k.clash(o.joist, j) {
					again = true
					if reach[n] {
						o.keep = false
					} else {
						refused[n], take[n] = true, false
					}
				}
			}
		}
	}
	// Joists off the pattern, beside what has changed, have lost their reason.
	for i := range k.olds {
		o := &k.olds[i]
		if !o.keep {
			continue
		}
		var twin *joist
		for n := range news {
			if math.Abs(news[n].x-o.x) < 3*k.half && k.sameRow(o.joist, news[n]) {
				twin = &news[n]
				break
			}
		}
		switch {
		case twin != nil:
			o.column, o.supports = twin.column, twin.supports
		case k.c.by(k.joistBar(o.joist), atChange):
			o.keep = false
		default:
			o.column = k.columnAt(o.x)
			o.supports = []support{{y: o.y0 + endMin, line: elsewhere}, {y: o.y1 - endMin, line: elsewhere}}
		}
	}
	var all []joist
	for n := range news {
		if take[n] {
			all = append(all, news[n])
		}
	}
	count := len(all)
	for _, o := range k.olds {
		if o.keep {
			k.joists[o.i] = true
			all = append(all, o.joist)
		}
	}
	f.joists, f.byCol = all, nil
	for n := range count {
		fresh = append(fresh, &all[n])
	}
	return fresh
}

// goesOn reports whether a joist that ended at the deck's border is to go on
// now, because new deck lies ahead of it.
func (k *keeper) goesOn(j joist) bool {
	return meets(k.c.come, plane.Rect(j.x-k.half, j.y1-10, j.x+k.half, j.y1+ahead), 0) ||
		meets(k.c.come, plane.Rect(j.x-k.half, j.y0-ahead, j.x+k.half, j.y0+10), 0)
}

// otherTrack is the place of a new joist on the other side of its column, where
// it is free of old ones there and not where it lies.
func (k *keeper) otherTrack(j joist, olds []oldJoist) (float64, bool) {
	if j.column < 0 || k.f.cols[j.column].filler {
		return 0, false
	}
	turned := j
	turned.x = 2*k.f.cols[j.column].x - j.x
	here, there := false, false
	for _, o := range olds {
		here = here || o.keep && k.clash(o.joist, j)
		there = there || o.keep && k.clash(o.joist, turned)
	}
	return turned.x, here && !there && math.Abs(turned.x-j.x) > 1
}

func (k *keeper) columnAt(x float64) int {
	best, at := 3*k.half, -1
	for i, c := range k.f.cols {
		if d := math.Abs(c.x - x); d < best {
			best, at = d, i
		}
	}
	return at
}

// oldSheet is a sheet of the earlier deck in a row.
type oldSheet struct {
	i    int
	x    plane.Span
	keep bool
	cut  bool
}

// keepSheets goes through the rows: old sheets stay where the deck under their
// place in the row is as it was, and what lies between is sheeted from joist to
// joist.
func (k *keeper) keepSheets() error {
	f := k.f
	w := mmOf(f.k.sheet.Width.V)
	rows := map[int][]oldSheet{}
	for i, s := range k.old.Sheets {
		if s.Field != k.name {
			continue
		}
		b := s.Shape.Outer.Map(f.r.f.in).Bounds()
		n := int(math.Floor(((b.Y0+b.Y1)/2 - f.r.rowY) / w))
		place := plane.Rect(b.X0+1, f.r.rowY+float64(n)*w+1, b.X1-1, f.r.rowY+float64(n+1)*w-1)
		rows[n] = append(rows[n], oldSheet{i: i, x: plane.Span{A: b.X0, B: b.X1}, cut: s.Cut,
			keep: s.Part == f.k.sheet.ID && !k.c.hits(place) && !meets(k.c.come, place, 0)})
	}
	first, end := int(math.Floor((f.r.box.Y0-f.r.rowY)/w+1e-6)), int(math.Ceil((f.r.box.Y1-f.r.rowY)/w-1e-6))
	saved := slices.Clone(f.joists)
	for n := first; n < end; n++ {
		y0 := f.r.rowY + float64(n)*w
		if err := k.sheetRow(n-first, y0, y0+w, rows[n]); err != nil {
			return err
		}
	}
	// Old joists are not lengthened for a joint: the proof says whether it holds.
	news := len(f.joists) - len(k.joists)
	copy(f.joists[news:], saved[news:])
	return nil
}

func (k *keeper) sheetRow(n int, y0, y1 float64, olds []oldSheet) error {
	f := k.f
	deckRow := f.r.sheetRow(plane.Span{A: y0, B: y1}, y1-y0)
	gaps := k.bareOf(deckRow, olds, y0, y1)
	for again := true; again; {
		again = false
		drop := func(i int) { olds[i].keep, again = false, true }
		for i := range olds {
			for j := range olds { // what was cut from one place goes together
				if olds[i].keep && !olds[j].keep && math.Min(olds[i].x.B, olds[j].x.B)-math.Max(olds[i].x.A, olds[j].x.A) > 1 {
					drop(i)
				}
			}
		}
		for _, g := range gaps {
			var beside []int
			for i, o := range olds {
				if !o.keep || math.Abs(o.x.B-g.A) > 1 && math.Abs(o.x.A-g.B) > 1 {
					continue
				}
				at := o.x.B
				if math.Abs(o.x.A-g.B) <= 1 {
					at = o.x.A
				}
				if !k.joistAt(at, y0, y1) {
					drop(i)
				}
				beside = append(beside, i)
			}
			// A narrow gap takes a neighbour with it, a cut one first.
			if g.Len() < f.p.pitch+40 && len(beside) > 0 && !again {
				best := beside[0]
				for _, i := range beside {
					if olds[i].cut && !olds[best].cut {
						best = i
					}
				}
				drop(best)
			}
		}
		if again {
			gaps = k.bareOf(deckRow, olds, y0, y1)
		}
	}
	for _, o := range olds {
		if o.keep {
			k.sheets[o.i] = true
		}
	}
	return f.fillRow(n, y0, y1, deckRow, gaps)
}

// bareOf is what the sheets that stay leave of a row, where a sheet has gone or a
// change is near: elsewhere the row is as it was proven.
func (k *keeper) bareOf(row plane.Spans, olds []oldSheet, y0, y1 float64) plane.Spans {
	var on plane.Spans
	for _, o := range olds {
		if o.keep {
			on = append(on, o.x)
		}
	}
	var out plane.Spans
	for _, g := range plane.Minus(row, plane.Merge(on, 0.5)) {
		went := slices.ContainsFunc(olds, func(o oldSheet) bool { return !o.keep && o.x.A < g.B && o.x.B > g.A })
		if g.Len() > 1 && (went || k.c.by(plane.Rect(g.A, y0, g.B, y1), ahead)) {
			out = append(out, g)
		}
	}
	return out
}

// joistAt reports whether joists lie under the end of a sheet through the row.
func (k *keeper) joistAt(x, y0, y1 float64) bool {
	f := k.f
	var on plane.Spans
	for _, j := range f.joists {
		if math.Abs(j.x-x) <= k.half-5 {
			on = append(on, plane.Span{A: j.y0 - shortOf, B: j.y1 + shortOf})
		}
	}
	return f.r.coverOn(on, x, y0, y1)
}

// keepStringers keeps old stringers that carry a joist still, and lays new ones
// where joists rest on a line and none lies there.
func (k *keeper) keepStringers() {
	f := k.f
	f.shares()
	on := make([][]contact, len(f.lines))
	for ji, j := range f.joists {
		fresh := ji < len(f.joists)-len(k.joists)
		byChange := fresh || k.c.by(k.joistBar(j), reworked)
		for _, s := range j.supports {
			if s.line >= 0 {
				on[s.line] = append(on[s.line], contact{j.x, unknown, ji})
			} else if s.line != elsewhere && (fresh || byChange && !k.oldPropNear(plane.Point{j.x, s.y}, 300)) {
				f.propJoist(ji, s.y)
			}
		}
	}
	old := k.oldStringers()
	for li := range f.lines {
		sort.SliceStable(on[li], func(a, b int) bool { return on[li][a].x < on[li][b].x })
		var mine []stringer
		for _, s := range old {
			if s.line == li {
				mine = append(mine, s)
			}
		}
		runs := f.runs(li, on[li])
		for i, run := range runs {
			within := plane.Span{A: math.Inf(-1), B: math.Inf(1)}
			if i > 0 {
				within.A = runs[i-1][len(runs[i-1])-1].x + f.pastJoist() + runGap
				for _, b := range f.beams {
					if b.line == li { // new stringers of the run before may reach farther
						within.A = math.Max(within.A, b.x1+runGap)
					}
				}
			}
			if i+1 < len(runs) {
				within.B = runs[i+1][0].x - f.pastJoist() - runGap
			}
			mine = k.run(li, run, within, mine)
		}
		k.kept = append(k.kept, mine...)
	}
	for _, s := range old {
		if s.line < 0 && !slices.ContainsFunc(f.beams, func(b stringer) bool {
			return math.Abs(b.y-s.y) < k.w-1 && b.x0 < s.x1 && b.x1 > s.x0
		}) {
			s.line, s.mended = len(f.lines), true
			f.lines = append(f.lines, line{y: s.y, x0: s.x0, x1: s.x1})
			k.kept = append(k.kept, s)
		}
	}
	k.pieces = slices.Concat(k.kept, f.beams)
	for _, s := range k.kept {
		k.stringers[s.old] = lineKey(f.name, f.lines[s.line].y)
	}
}

// oldPropNear reports whether the old deck has a prop under joists near a place.
func (k *keeper) oldPropNear(p plane.Point, within float64) bool {
	return slices.ContainsFunc(k.old.Props, func(q deck.Prop) bool {
		at := k.f.r.f.in(q.At)
		return q.Under == "joist" && math.Abs(at[0]-p[0]) < 3*k.half && math.Abs(at[1]-p[1]) < within && !k.c.upsets(at)
	})
}

// oldStringers are the old stringers that may stay, each with its line in the
// field, or -1 where a repair had laid it; the others are noted as lost.
func (k *keeper) oldStringers() []stringer {
	f := k.f
	var out []stringer
	for i, m := range k.old.Stringers {
		if m.Field != k.name {
			continue
		}
		a, b := k.ends(m, 0)
		s := stringer{line: -1, y: a[1], x0: a[0], x1: b[0], stock: stockOf(f.k.stringers, m.Part), sawn: m.Sawn, old: i}
		for li, l := range f.lines {
			if math.Abs(l.y-s.y) <= k.w/2+6 && s.x1 > l.x0 && s.x0 < l.x1 {
				s.line = li
			}
		}
		carries := slices.ContainsFunc(f.joists, func(j joist) bool {
			return j.x > s.x0 && j.x < s.x1 && j.y0 < s.y && j.y1 > s.y
		})
		if s.stock == nil || !carries || k.c.hits(plane.Rect(s.x0, s.y-k.w/2, s.x1, s.y+k.w/2)) {
			k.lost = append(k.lost, s)
			continue
		}
		out = append(out, s)
	}
	return out
}

// run covers a run of joists on a line with what stays of the old stringers and
// new ones in the gaps; it gives back the old ones that do stay.
func (k *keeper) run(li int, on []contact, within plane.Span, mine []stringer) []stringer {
	q := plane.Span{A: on[0].x - k.half, B: on[len(on)-1].x + k.half}
	for tries := 0; ; tries++ {
		var here []stringer
		for _, s := range mine {
			if s.x1 > q.A && s.x0 < q.B {
				here = append(here, s)
			}
		}
		sort.SliceStable(here, func(a, b int) bool { return here[a].x0 < here[b].x0 })
		for _, s := range mine { // old ones of the runs beside
			if s.x1 <= q.A {
				within.A = math.Max(within.A, s.x1+runGap)
			} else if s.x0 >= q.B {
				within.B = math.Min(within.B, s.x0-runGap)
			}
		}
		if len(here) == 0 {
			if k.changed(li, on) {
				k.load(li, on)
				k.f.layRun(li, on, within)
			}
			return mine
		}
		var spans plane.Spans
		for _, s := range here {
			spans = append(spans, plane.Span{A: s.x0, B: s.x1})
		}
		bad := -1 // an old stringer that no new one can lie beside
		var beams []stringer
		var props []prop
		for _, g := range plane.Minus(plane.Spans{q}, plane.Merge(spans, 0)) {
			in := slices.DeleteFunc(slices.Clone(on), func(c contact) bool { return c.x < g.A || c.x > g.B })
			if len(in) == 0 || !k.changed(li, in) {
				continue
			}
			k.load(li, on)
			b, p, stuck := k.fill(li, on, within, here, g)
			if b == nil {
				bad = stuck
				break
			}
			beams, props = append(beams, b...), append(props, p...)
		}
		if bad < 0 || tries == 6 {
			k.f.beams, k.f.props = append(k.f.beams, beams...), append(k.f.props, props...)
			return mine
		}
		k.lost = append(k.lost, here[bad])
		mine = slices.DeleteFunc(slices.Clone(mine), func(s stringer) bool { return s.old == here[bad].old })
	}
}

// unknown is the load of a joist until a stringer is laid under it.
const unknown = -1

// load finds what joists hand to a line where it is not known yet.
func (k *keeper) load(li int, on []contact) {
	for i, c := range on {
		if c.load != unknown {
			continue
		}
		j := k.f.joists[c.joist]
		for si, load := range k.f.reactions(j) {
			if j.supports[si].line == li {
				on[i].load = load
			}
		}
	}
}

// changed reports whether joists on a line stand near a change, or where an old
// stringer has gone.
func (k *keeper) changed(li int, on []contact) bool {
	for _, c := range on {
		if k.c.by(plane.Ring{{c.x, k.f.lines[li].y}}, reworked) {
			return true
		}
		for _, s := range k.lost {
			if s.line == li && c.x > s.x0 && c.x < s.x1 {
				return true
			}
		}
	}
	return false
}

// fill lays stringers in a gap between old ones, beside which they lap, and the
// props of the new ones. Where that cannot be it names the old one in the way.
func (k *keeper) fill(li int, on []contact, within plane.Span, here []stringer, g plane.Span) ([]stringer, []prop, int) {
	f := k.f
	y := f.lines[li].y
	room, ok := f.r.freeRun((g.A+g.B)/2, y-k.w, y+k.w)
	if !ok {
		return nil, nil, -1
	}
	room.A, room.B = math.Max(room.A, within.A), math.Min(room.B, within.B)
	l, r := -1, -1 // neighbours to the left and right
	for i, s := range here {
		if s.x1 <= g.A+1 && (l < 0 || s.x1 > here[l].x1) {
			l = i
		}
		if s.x0 >= g.B-1 && (r < 0 || s.x0 < here[r].x0) {
			r = i
		}
	}
	stuck := max(l, r)
	lap := mmOf(f.k.choice.LapMin)
	for _, butt := range []bool{false, true} {
		a, b, in := math.Max(g.A, room.A), math.Min(g.B, room.B), room
		if l >= 0 {
			a, in.A = here[l].x1-lap, math.Max(in.A, here[l].x0+2*endMin)
			for i, s := range here { // the lap at its other end
				if i != l && s.x1 > here[l].x0 && s.x1 < here[l].x1 {
					in.A = math.Max(in.A, s.x1+runGap)
				}
			}
		}
		switch {
		case r >= 0 && butt:
			b = here[r].x0 - runGap
			in.B = b
			for _, c := range on {
				if c.x+k.half > b && c.x-k.half < here[r].x0 {
					b = math.Inf(-1) // a joist would rest on nothing there
				}
			}
		case r >= 0:
			b, in.B = here[r].x0+lap, math.Min(in.B, here[r].x1-2*endMin)
			for i, s := range here {
				if i != r && s.x0 < here[r].x1 && s.x0 > here[r].x0 {
					in.B = math.Min(in.B, s.x0-runGap)
				}
			}
		}
		if a < in.A || b > in.B || b <= a {
			continue
		}
		for _, far := range []float64{150, 900} { // past the deck's border only a little
			at := in
			if l < 0 {
				if _, ok := f.deckAt(a-400, y); !ok {
					at.A = math.Max(at.A, a-far)
				}
			}
			if r < 0 {
				if _, ok := f.deckAt(b+400, y); !ok {
					at.B = math.Min(at.B, b+far)
				}
			}
			under := slices.DeleteFunc(slices.Clone(on), func(c contact) bool { return c.x < a || c.x > b })
			pieces, _ := f.cover(under, y, a, b, at)
			if pieces == nil || !k.tracks(li, pieces, here, l, r, butt) {
				continue
			}
			// Two that lie along each other for the most part are one too many: one
			// longer one takes the place of both.
			if l >= 0 && along(here[l].x1-pieces[0].x0, here[l], pieces[0]) {
				return nil, nil, l
			}
			if n := len(pieces) - 1; r >= 0 && along(pieces[n].x1-here[r].x0, here[r], pieces[n]) {
				return nil, nil, r
			}
			return pieces, k.propsOf(li, on, pieces, here, l, r), -1
		}
	}
	return nil, nil, stuck
}

// along reports whether a lap takes up more than half of the shorter of two
// stringers.
func along(lap float64, a, b stringer) bool {
	return lap > 0.5*math.Min(a.x1-a.x0, b.x1-b.x0)
}

// tracks sets new stringers beside the old ones that they lap with, turn about;
// false where the turns do not come out.
func (k *keeper) tracks(li int, pieces, here []stringer, l, r int, butt bool) bool {
	y := k.f.lines[li].y
	other := func(at float64) float64 {
		if math.Abs(at-y) < 1 { // it lay alone, in the middle
			return y + k.w
		}
		if math.Abs(at-y) > 0.75*k.w { // beside one that lay alone
			return y
		}
		return 2*y - at
	}
	switch {
	case l >= 0:
		at := here[l].y
		for i := range pieces {
			at = other(at)
			pieces[i].line, pieces[i].y = li, round(at)
		}
		return r < 0 || butt || math.Abs(other(at)-here[r].y) < 1
	case r >= 0:
		at := here[r].y
		for i := len(pieces) - 1; i >= 0; i-- {
			at = other(at)
			pieces[i].line, pieces[i].y = li, round(at)
		}
		if butt && len(pieces) == 1 {
			pieces[0].y = y
		}
	}
	return true
}

// propsOf are the props of new stringers, in the laps with old ones too.
func (k *keeper) propsOf(li int, on []contact, pieces, here []stringer, l, r int) []prop {
	chain := slices.Clone(pieces)
	if l >= 0 && here[l].x1 > pieces[0].x0 {
		chain = append([]stringer{here[l]}, chain...)
	}
	if r >= 0 && here[r].x0 < pieces[len(pieces)-1].x1 {
		chain = append(chain, here[r])
	}
	lo, hi := chain[0].x0, chain[len(chain)-1].x1
	in := slices.DeleteFunc(slices.Clone(on), func(c contact) bool { return c.x < lo || c.x > hi })
	if len(in) == 0 {
		return nil
	}
	g := *k.f
	g.lost = nil
	props := g.propRun(laid{line: li, y: k.f.lines[li].y, on: in, pieces: chain}, nil)
	return k.withOld(in, chain, props, pieces[0].x0, pieces[len(pieces)-1].x1)
}

// withOld leaves out those new props that are not needed beside the old ones that
// can stay, and old ones that are not needed beside the rest. New stringers lie from
// a to b; props may be needed on both sides as far as the next old one.
func (k *keeper) withOld(on []contact, chain []stringer, fresh []prop, a, b float64) []prop {
	type mark struct {
		prop
		old int // in the old deck, -1: new
	}
	var all []mark
	lo, hi := math.Inf(-1), math.Inf(1)
	for i, q := range k.old.Props {
		p := k.f.r.f.in(q.At)
		if q.Under != "stringer" || p[0] < chain[0].x0 || p[0] > chain[len(chain)-1].x1 || k.c.upsets(p) {
			continue
		}
		if _, ok := under(chain, k.w, q, p); !ok {
			continue
		}
		all = append(all, mark{prop{x: p[0], y: p[1]}, i})
		if p[0] < a {
			lo = math.Max(lo, p[0])
		} else if p[0] > b {
			hi = math.Min(hi, p[0])
		}
	}
	fresh = slices.DeleteFunc(fresh, func(p prop) bool { return p.x <= lo || p.x >= hi })
	for _, p := range fresh {
		if !slices.ContainsFunc(all, func(m mark) bool { return math.Abs(m.x-p.x) < nearest }) {
			all = append(all, mark{p, -1})
		}
	}
	slices.SortStableFunc(all, func(m, n mark) int { return cmp.Compare(m.x, n.x) })
	worst := func(all []mark) float64 { // of the spans from lo to hi: the old stringers beside go on past the chain
		xs := make([]prop, len(all))
		for i, m := range all {
			xs[i] = m.prop
		}
		most := 1.0
		for _, w := range k.f.weak(on, chain, xs, true) {
			if all[w.right-1].x >= lo && all[w.right].x <= hi {
				most = math.Max(most, w.ratio)
			}
		}
		return most
	}
	most := worst(all)
	if most > borne { // the proof and the repairs after it have the say
		return fresh
	}
	for _, olds := range []bool{false, true} {
		for i := len(all) - 2; i > 0; i-- { // the first and last stay, and what stands in laps
			m := all[i]
			if m.old >= 0 != olds || m.x <= lo || m.x >= hi || olds && (m.x < a || m.x > b) || lapped(chain, m.x) {
				continue
			}
			if rest := slices.Delete(slices.Clone(all), i, i+1); worst(rest) <= most {
				all = rest
				if olds {
					k.spare[m.old] = true
				}
			}
		}
	}
	var out []prop
	for _, m := range all {
		if m.old < 0 {
			out = append(out, m.prop)
		}
	}
	return out
}

// borne is how much a chain of old and new stringers, cut off where the old ones
// go on, may seem to carry over what it may.
const borne = 1.05

// keepProps keeps old props under what they carried, and drops new ones that
// would stand beside them.
func (k *keeper) keepProps() {
	f := k.f
	for i, q := range k.old.Props {
		p := f.r.f.in(q.At)
		key, ok := k.carried(q, p)
		if !ok || k.c.upsets(p) || k.spare[i] {
			continue
		}
		k.props[i] = key
	}
	k.dropBare()
	var stay []plane.Point
	for i, q := range k.old.Props {
		if _, ok := k.props[i]; ok {
			stay = append(stay, f.r.f.in(q.At))
		}
	}
	f.props = slices.DeleteFunc(f.props, func(p prop) bool {
		return k.needless(p) || slices.ContainsFunc(stay, func(s plane.Point) bool {
			return math.Abs(s[0]-p.x) < nearest && math.Abs(s[1]-p.y) < k.w
		})
	})
}

// dropBare takes away stringers that a repair had laid and that have lost their
// props: what they helped must do without, or is mended anew.
func (k *keeper) dropBare() {
	for _, s := range k.kept {
		if !s.mended {
			continue
		}
		key := k.stringers[s.old]
		var under []int
		for i, q := range k.old.Props {
			p := k.f.r.f.in(q.At)
			if k.props[i] == key && math.Abs(p[1]-s.y) <= k.w && p[0] > s.x0 && p[0] < s.x1 {
				under = append(under, i)
			}
		}
		if len(under) < 2 {
			delete(k.stringers, s.old)
			for _, i := range under {
				delete(k.props, i)
			}
		}
	}
}

// needless reports whether a new prop of a line stands away from all changes
// between old props that stay, or past the last of them: the line did without.
func (k *keeper) needless(p prop) bool {
	if p.line < 0 || k.c.by(plane.Ring{{p.x, p.y}}, reworked) {
		return false
	}
	l, r := -1, -1
	var lx, rx float64
	for i, q := range k.old.Props {
		at := k.f.r.f.in(q.At)
		if q.Under != "stringer" || math.Abs(at[1]-k.f.lines[p.line].y) > k.w {
			continue
		}
		if at[0] <= p.x && (l < 0 || at[0] > lx) {
			l, lx = i, at[0]
		}
		if at[0] > p.x && (r < 0 || at[0] < rx) {
			r, rx = i, at[0]
		}
	}
	stays := func(i int) bool { return i < 0 || k.props[i] != "" }
	return l+r > -2 && stays(l) && stays(r)
}

// carried finds what an old prop stands under in the deck to be, and gives the
// key of its line: the middle of one stringer, or of two that lap.
func (k *keeper) carried(q deck.Prop, p plane.Point) (string, bool) {
	if q.Under == "joist" {
		over := slices.ContainsFunc(k.f.joists, func(j joist) bool {
			return math.Abs(j.x-p[0]) <= k.half+10 && j.y0 < p[1] && j.y1 > p[1]
		})
		inWay := slices.ContainsFunc(k.f.beams, func(b stringer) bool {
			return p[0] > b.x0-80 && p[0] < b.x1+80 && math.Abs(p[1]-b.y) < k.w/2+80
		})
		return "joist", over && !inWay
	}
	line, ok := under(k.pieces, k.w, q, p)
	if !ok {
		return "", false
	}
	return lineKey(k.f.name, k.f.lines[line].y), true
}

// under finds the line of the stringers, w wide, that an old prop at p stands
// under the middle of.
func under(pieces []stringer, w float64, q deck.Prop, p plane.Point) (line int, ok bool) {
	sum, n := 0.0, 0.0
	for _, s := range pieces {
		if math.Abs(s.y-p[1]) <= w/2+10 && p[0] >= s.x0+propReach-2 && p[0] <= s.x1-propReach+2 {
			sum += s.y
			n++
			line = s.line
		}
	}
	return line, n > 0 && math.Abs(sum/n-p[1]) <= 5 && (n < 2 || q.Kind == deck.Grade)
}

// put adds the old parts that stay to a deck, at the heights they have now.
func (k *keeper) put(at *placed) {
	h := k.f.k.heights
	for i := range k.sheets {
		s := k.old.Sheets[i]
		s.Field, s.Z = k.f.name, round(h.soffit)
		at.sheets = append(at.sheets, was[deck.Sheet]{i, s})
	}
	for i := range k.joists {
		m := k.old.Joists[i]
		m.Field, m.Top = k.f.name, round(h.joistTop)
		at.joists = append(at.joists, was[deck.Member]{i, m})
	}
	for i, key := range k.stringers {
		m := k.old.Stringers[i]
		m.Field, m.Line, m.Top = k.f.name, key, round(h.stringerTop)
		at.stringers = append(at.stringers, was[deck.Member]{i, m})
	}
	for i, key := range k.props {
		at.props = append(at.props, was[deck.Prop]{i, k.reset(k.old.Props[i], key)})
	}
}

// reset sets a prop to the height that it has to reach now, with the parts of
// the kit.
func (k *keeper) reset(q deck.Prop, key string) deck.Prop {
	kit := k.f.k
	is := prop{grade: q.Kind == deck.Grade && q.Under != "joist", underJoist: q.Under == "joist", two: k.heads(q.Head) > 1}
	p := kit.place(k.in, q.At, key, is)
	p.ID = q.ID
	if head := k.in.Catalog.Parts[q.Head]; head != nil && p.Head != q.Head && k.heads(p.Head) < k.heads(q.Head) {
		p.Head = q.Head
		p.Length = round(kit.setting(head, p.Seat))
		p.Hole, p.Thread = setting(k.in.Catalog.Parts[p.Part], p.Length)
	}
	return p
}

// heads is how many beams a head takes side by side.
func (k *keeper) heads(id string) int {
	if h := k.in.Catalog.Parts[id]; h != nil && h.Seat != nil {
		return h.Seat.Beams
	}
	return 0
}

// was is a part that stays, with its place in the list of the old deck.
type was[T any] struct {
	i    int
	part T
}

// placed gathers what stays of all zones, so that it keeps its order.
type placed struct {
	sheets            []was[deck.Sheet]
	joists, stringers []was[deck.Member]
	props             []was[deck.Prop]
}

func inOrder[T any](kept []was[T], fresh []T) []T {
	slices.SortFunc(kept, func(a, b was[T]) int { return cmp.Compare(a.i, b.i) })
	var out []T
	for _, k := range kept {
		out = append(out, k.part)
	}
	return append(out, fresh...)
}
