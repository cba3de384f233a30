package layout

import (
	"fmt"
	"math"
	"slices"

	"shoreward/internal/deck"
	"shoreward/internal/member"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// Narrow decks: under a beam, beside one, at the end of one. Two or more joists
// run along on props of their own, sheets lie across; no stringer has room.

// narrowest is the width of deck up to which one is laid this way, mm, and
// filled the share of its box that it must fill.
const (
	narrowest = 1300.0
	filled    = 0.85
)

// tighter are the prop spacings tried, as shares of the longest that holds by
// the planning figures.
var tighter = []float64{1, 0.85, 0.7, 0.55, 0.4}

// planNarrow lays a narrow zone, or returns nil where it is none.
func planNarrow(in *Input, z int, ks []*kit) (*zonePlans, error) {
	if len(in.Site.Zones) == 1 {
		return nil, nil
	}
	var r, over *region
	for _, dir := range directions(in.Site, z) {
		one, err := newRegion(in.Site, z, newFrame(dir), in.Deck)
		if err != nil {
			return nil, err
		}
		w, l := one.box.X1-one.box.X0, one.box.Y1-one.box.Y0
		if w <= narrowest && w <= l && plane.Area(one.deck) >= filled*w*l {
			r = one
		}
		if l <= narrowest && l <= w && one.stand != nil && plane.Area(one.deck) >= filled*w*l {
			one.fillsItsWidth(in.Site)
			over = one
		}
	}
	if r == nil {
		return nil, nil
	}
	zp := &zonePlans{solver: member.NewSolver()}
	for _, t := range tighter {
		var best *field
		for _, k := range ks {
			f, err := layNarrow(in, k, r, t)
			if err == nil && f == nil && over != nil {
				f, err = layOver(in, k, over, t)
			}
			if err != nil {
				return nil, err
			}
			if f != nil && (best == nil || f.realCost(in, z) < best.realCost(in, z)) {
				best = f
			}
		}
		if best != nil {
			best.solver = zp.solver
			zp.built = append(zp.built, best)
		}
	}
	if len(zp.built) == 0 {
		return nil, nil
	}
	return zp, nil
}

// layNarrow lays the joists of one kit along a narrow deck, or returns nil where
// they find no place.
func layNarrow(in *Input, k *kit, r *region, tight float64) (*field, error) {
	if k.joistProp == nil {
		return nil, nil
	}
	half := mmOf(k.joists[0].part.Width.V) / 2
	wide := r.box.X1 - r.box.X0
	left, right := r.inset(in.Site, half, 1), r.inset(in.Site, half, -1)
	edge := math.Max(left, right)
	if wide-left-right < 4*half+5 {
		return nil, nil
	}
	places := k.places(r, r.box.X0+left, r.box.X1-right, half)
	n, pitch := len(places), 0.0
	for i := 1; i < n; i++ {
		pitch = math.Max(pitch, places[i]-places[i-1])
	}
	f := &field{k: k, r: r, p: pitchPlan{x0: r.box.X0 + left, pitch: pitch, sheet: mmOf(k.sheet.Length.V), rowH: mmOf(k.sheet.Width.V)}}
	share := math.Max(1.25*pitch, edge+pitch/2) // of the deck, on the joist that has most
	if n == 2 {
		share = wide / 2
	}
	load, err := k.onJoistProp(in)
	if err != nil {
		return nil, err
	}
	q, qd, j := k.strength*share/1000, k.deflect*share/1000, k.joistRes
	spacing := tight * k.spanLimit(3, q, qd, float64(j.Moment), float64(j.Shear), mmOf(j.ShearOffset), float64(j.EI), load)
	for i := range n {
		c := &column{x: places[i]}
		c.free = r.freeRows(c.x-2*half, c.x+2*half)
		var deckAt plane.Spans
		for row := range r.rows() {
			if _, ok := r.cover[row].Around(c.x); ok {
				deckAt = append(deckAt, plane.Span{A: math.Max(r.yOf(row), r.box.Y0), B: math.Min(r.yOf(row+1), r.box.Y1)})
			}
		}
		c.need = plane.Overlap(plane.Merge(deckAt, 1), c.free)
		f.cols = append(f.cols, c)
		for _, run := range c.need {
			f.layAlong(in.Site, i, run, half, spacing)
		}
	}
	if len(f.joists) < 2 || !f.stand() {
		return nil, nil
	}
	return f, f.sheetAcross()
}

// places are where the joists of a narrow deck lie: the outermost, one beside
// every column or wall in it, and between these as many as the sheets ask for.
func (k *kit) places(r *region, first, last, half float64) []float64 {
	least := 4*half + 5 // joists lap half a width to either side
	fixed := []float64{first, last}
	for _, b := range r.blocks {
		box := b.Outer.Bounds()
		if !box.Overlaps(r.box, -1) {
			continue
		}
		off := r.gap + 2*half + 1
		for _, x := range []float64{box.X0 - off, box.X1 + off} {
			if x > first+least && x < last-least && !slices.ContainsFunc(fixed, func(y float64) bool { return math.Abs(x-y) < least }) {
				fixed = append(fixed, x)
			}
		}
	}
	slices.Sort(fixed)
	limit := k.sheetSpan(max(1, len(fixed)-1))
	out := fixed[:1:1]
	for i := 1; i < len(fixed); i++ {
		gap := fixed[i] - fixed[i-1]
		n := max(1, math.Ceil(gap/limit-1e-9))
		for m := 1.0; m <= n; m++ {
			out = append(out, fixed[i-1]+gap*m/n)
		}
	}
	return out
}

// stand reports whether every joist has two props at least.
func (f *field) stand() bool {
	for _, j := range f.joists {
		n := 0
		for _, p := range f.props {
			if math.Abs(p.x-j.x) <= mmOf(f.k.joists[0].part.Width.V)/2+1 && p.y >= j.y0+propReach && p.y <= j.y1-propReach {
				n++
			}
		}
		if n < 2 {
			return false
		}
	}
	return true
}

// inset is how far from its border, on the left (1) or right (-1), the outer
// joists of a narrow deck lie, so that props find place under them.
func (r *region) inset(site *deck.Site, half, side float64) float64 {
	border := r.box.X0
	if side < 0 {
		border = r.box.X1
	}
	first := r.gap + 2*half + 1 // joists lap half a width to either side of their place
	for in := first; in < first+150; in += 5 {
		n, ok := 0, 0
		for y := r.box.Y0 + rowStep; y < r.box.Y1; y += 2 * rowStep {
			n++
			if r.standsUnder(site, border+side*(in-half), y) {
				ok++
			}
		}
		if 2*ok > n {
			return in
		}
	}
	return first
}

// tube is half the thickness of a prop and what is left beside it, mm.
const tube = 35.0

// standsUnder is canStand for a prop under a joist that fills its deck's width:
// the joist keeps clear of the decks beside it, and the plate reaches no nearer
// to their props than these stand off.
func (r *region) standsUnder(site *deck.Site, x, y float64) bool {
	p := plane.Point{x, y}
	if r.keptClear(p) || !r.free(x-tube, x+tube, y-tube, y+tube) {
		return false
	}
	world := r.f.out(x, y)
	for _, b := range site.Blocks {
		if b.Ring.Contains(world) || b.Ring.DistanceTo(world) < plate {
			return false
		}
	}
	return r.onSlabBelow(p)
}

// onJoistProp is the most that a prop straight under a joist may carry, N.
func (k *kit) onJoistProp(in *Input) (float64, error) {
	f, _, err := in.Settings.Prop(k.joistProp, quantity.Length(k.setting(k.under, k.heights.joistSeat)/1000))
	if err != nil {
		return 0, err
	}
	load := math.Min(float64(f), k.seatLimit(k.joists[0].part, k.under, k.joistRes))
	if k.sill != nil {
		load = math.Min(load, k.onSill(k.joistProp))
	}
	return 0.95 * load, nil
}

// endShort is how far, in all, a joist may be shorter than the deck it runs
// along, mm: the sheets reach past its ends.
const endShort = 120.0

// lapping chooses the lengths that cover a run with laps, nothing sawn: one,
// or as few as will do and of these the shortest together.
func lapping(from []stock, length, lap, short float64) []*stock {
	var fit []*stock
	for i := range from {
		if s := &from[i]; s.len <= length {
			fit = append(fit, s)
		}
	}
	if len(fit) == 0 {
		return nil
	}
	longest := fit[len(fit)-1]
	if longest.len >= length-short {
		return []*stock{longest}
	}
	var whole []*stock
	for {
		var best []*stock
		for _, a := range fit {
			for _, b := range fit {
				if sum := a.len + b.len; a.len >= b.len && sum >= length+lap && (best == nil || sum < best[0].len+best[1].len) {
					best = []*stock{a, b}
				}
			}
		}
		if best != nil {
			return append(whole, best...)
		}
		whole = append(whole, longest)
		length -= longest.len - lap
	}
}

// endMinAlong is how far from its end the outermost prop of a joist stands, mm,
// and apartAlong the least distance of two props that could get in each other's way.
const (
	endMinAlong = 80.0
	apartAlong  = 155.0
)

// layAlong covers a run of a column with joists that lap on props of their own.
func (f *field) layAlong(site *deck.Site, col int, run plane.Span, half, spacing float64) {
	if run.Len() < 250 {
		return
	}
	x, k := f.cols[col].x, f.k
	lap := math.Max(mmOf(k.choice.LapMin), 2*endMinAlong)
	pieces := lapping(k.joists, run.Len(), lap, endShort)
	var js []joist
	switch {
	case pieces == nil: // shorter than the shortest: sawn
		js = []joist{{x: x, y0: run.A, y1: run.B, stock: &k.joists[0], sawn: true, column: col}}
	case len(pieces) == 1:
		short := (run.Len() - pieces[0].len) / 2
		js = []joist{{x: x, y0: run.A + short, y1: run.B - short, stock: pieces[0], column: col}}
	default:
		total := -run.Len()
		for _, p := range pieces {
			total += p.len
		}
		at, side := run.A, -half
		for _, p := range pieces {
			js = append(js, joist{x: x + side, y0: at, y1: at + p.len, stock: p, column: col})
			at, side = at+p.len-total/float64(len(pieces)-1), -side
		}
	}
	f.joists = append(f.joists, js...)
	f.propAlong(site, x, js, spacing)
}

// propAlong puts the joists of a run on props of their own; one in a lap stands
// under both joists.
func (f *field) propAlong(site *deck.Site, x float64, js []joist, spacing float64) {
	at := func(y float64) prop {
		p := prop{line: -1, x: x, y: y, underJoist: true, column: js[0].column}
		on := 0
		for _, j := range js {
			if y > j.y0-propReach && y < j.y1+propReach {
				p.x, on = j.x, on+1
			}
		}
		if p.two = on > 1; p.two {
			p.x = x
		}
		return p
	}
	var pieces []plane.Span
	for _, j := range js {
		pieces = append(pieces, plane.Span{A: j.y0, B: j.y1})
	}
	f.propPieces(pieces, spacing, at, func(p prop) bool {
		return f.r.standsUnder(site, p.x, p.y) && !f.stoodWithin(p.x, p.y, apartAlong-1)
	})
}

// propPieces puts props under lapping pieces that lie along a run: one near each end
// of it, one in the middle of every lap, and between these as many as the spacing
// asks for, each where it may stand.
func (f *field) propPieces(pieces []plane.Span, spacing float64, at func(float64) prop, may func(prop) bool) {
	stands := func(x float64) bool { return may(at(x)) }
	lo, hi := pieces[0].A+endMinAlong, pieces[len(pieces)-1].B-endMinAlong
	for lo < hi && !stands(lo) {
		lo += 5
	}
	for hi > lo && !stands(hi) {
		hi -= 5
	}
	fixed := []float64{lo}
	for i := 1; i < len(pieces); i++ {
		fixed = append(fixed, (pieces[i-1].B+pieces[i].A)/2)
	}
	fixed = append(fixed, hi)
	put := func(want, within float64, grade bool) {
		for off := 0.0; off <= within; off += 5 {
			for _, x := range []float64{want + off, want - off} {
				if x >= lo && x <= hi && stands(x) {
					p := at(x)
					p.grade = grade || p.two
					f.props = append(f.props, p)
					return
				}
			}
		}
	}
	for i, x := range fixed {
		put(x, endMinAlong/2, true)
		if i > 0 {
			n := max(1, int(math.Ceil((x-fixed[i-1])/spacing-1e-9)))
			for m := 1; m < n; m++ {
				put(fixed[i-1]+(x-fixed[i-1])*float64(m)/float64(n), spacing/3, false)
			}
		}
	}
}

// stoodWithin reports whether a prop of the field stands nearer than d, mm, both ways.
func (f *field) stoodWithin(x, y, d float64) bool {
	for _, p := range f.props {
		if math.Abs(p.x-x) < d && math.Abs(p.y-y) < d {
			return true
		}
	}
	return false
}

// sheetAcross covers a narrow deck with sheets cut to its width, side by side.
func (f *field) sheetAcross() error {
	r, w := f.r, mmOf(f.k.sheet.Width.V)
	if r.box.X1-r.box.X0 > f.p.sheet+0.5 {
		return fmt.Errorf("a deck %.0f mm wide is no narrow one", r.box.X1-r.box.X0)
	}
	rows := int(math.Ceil((r.box.Y1 - r.box.Y0) / w * (1 - 1e-9)))
	for n := range rows {
		y0, y1 := r.box.Y0+float64(n)*w, math.Min(r.box.Y0+float64(n+1)*w, r.box.Y1)
		rect := plane.Rect(r.box.X0, y0, r.box.X1, y1).Map(func(p plane.Point) plane.Point { return r.f.out(p[0], p[1]) })
		got, err := plane.Intersection([]plane.Shape{{Outer: rect}}, r.world)
		if err != nil {
			return err
		}
		count := 0
		for _, s := range got {
			if s.Area() < 100 {
				continue
			}
			count++
			f.sheets = append(f.sheets, sheet{shape: s, cut: true, row: n + 1, n: count, x0: r.box.X0, x1: r.box.X1, y0: y0, y1: y1})
		}
	}
	return nil
}
