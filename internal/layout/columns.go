package layout

import (
	"math"
	"sort"

	"shoreward/internal/plane"
)

// anchors ranks where the joists' pitch may start, best first: places where the
// fewest walls and columns come to stand so that the sheet reaches too far past
// the first joist beside them and there is yet no room for a filler between.
// The first is as near to x0 as it can be; the next ones up to fair are no worse.
func (r *region) anchors(x0, pitch, half, over float64) (out []float64, fair int) {
	type face struct{ x, side, length, first, over float64 }
	var faces []face
	for i, b := range r.blocks {
		if r.rooms && i >= r.solid { // at a side form the sheet rests on that
			break
		}
		box := b.Outer.Bounds()
		y0, y1 := math.Max(box.Y0, r.box.Y0), math.Min(box.Y1, r.box.Y1)
		if y1-y0 > 150 && len(b.Holes) == 0 {
			first := r.gap + 2*half // nearest place of a column
			faces = append(faces, face{box.X1, 1, y1 - y0, first, over}, face{box.X0, -1, y1 - y0, first, over})
		}
	}
	for _, s := range r.lower {
		box := s.Outer.Bounds()
		first := r.beyond + r.gap + 2*half
		if l := math.Min(box.Y1, r.box.Y1) - math.Max(box.Y0, r.box.Y0); l > 150 {
			faces = append(faces, face{box.X1, 1, l, first, toSide}, face{box.X0, -1, l, first, toSide})
		}
	}
	bad := func(x0 float64) float64 {
		sum := 0.0
		for _, f := range faces {
			d := math.Mod((x0-f.x)*f.side, pitch)
			for d < f.first {
				d += pitch
			}
			if d+half > f.over && d < f.first+3*half+5 {
				sum += f.length
			}
		}
		return sum
	}
	type anchor struct{ x, bad float64 }
	var all []anchor
	for s := 0.0; s < pitch; s += 10 {
		all = append(all, anchor{x0 - s, bad(x0 - s)})
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].bad < all[j].bad })
	out = []float64{all[0].x}
	if all[0].bad > bad(x0)-1500 { // little to gain: whole sheets from the border are worth more
		out[0] = x0
	}
	first := bad(out[0])
	for _, a := range all {
		far := true
		for _, x := range out {
			far = far && math.Abs(a.x-x) >= 35
		}
		if far {
			out = append(out, a.x)
			if a.bad <= first {
				fair = len(out)
			}
		}
	}
	return out, max(fair, 1)
}

// start is a place where the pitch of joists starts, and the columns that follow.
type start struct {
	x0   float64
	cols []*column
}

// starts are where the pitch of joists may start: where sheets and joists cost least
// of its first place and the best of each other quarter of the pitch, and the first
// place if that is another.
func (k *kit) starts(r *region, p pitchPlan, half float64) []start {
	const quarters = 4
	tried := []float64{p.x0}
	var seen [quarters]bool
	seen[0] = true
	for _, x := range p.others[:p.fair] {
		off := math.Mod(math.Mod(x-p.x0, p.pitch)+p.pitch, p.pitch)
		if q := int(off/p.pitch*quarters+0.5) % quarters; !seen[q] {
			seen[q] = true
			tried = append(tried, x)
		}
	}
	price, longest := k.joistPrices(), k.joists[len(k.joists)-1].len
	var first, best start
	least := math.Inf(1)
	for i, x := range tried {
		p.x0 = x
		cols := r.columns(p, half)
		cost, _ := sheetCost(k, r, p)
		for _, c := range cols {
			for _, n := range c.need {
				whole, rest := math.Modf(n.Len() / longest)
				cost += whole*price[len(price)-1] + price[min(len(price)-1, int(math.Ceil(rest*longest/gridStep)))]
			}
		}
		if i == 0 {
			first = start{x, cols}
		}
		if cost < least*(1-1e-9) {
			best, least = start{x, cols}, cost
		}
	}
	if best.x0 == first.x0 {
		return []start{first}
	}
	return []start{best, first}
}

// column is a row of joists end to end at one place across the field.
type column struct {
	x      float64
	need   plane.Spans // y-intervals where sheets need it
	free   plane.Spans // y-intervals where it may lie
	banned plane.Spans // y-intervals where it is of no use: nothing could carry it
	filler bool        // added beside a block or under a loose piece, off the pitch
}

// pitchPlan is the joist pitch and where it starts.
type pitchPlan struct {
	x0     float64   // a sheet joint and a column
	others []float64 // other starts worth trying
	fair   int       // the first of them, which bring no more trouble than x0
	pitch  float64
	sheet  float64 // length of a sheet along x
	over   float64 // how far a sheet may reach past its last joist under the slab
	light  float64 // the same in the working strip
	rowH   float64 // height of a row of sheets
}

// columns lays joists at the pitch where the deck needs them and adds fillers
// where a column, wall or edge keeps one from its place.
func (r *region) columns(p pitchPlan, half float64) []*column {
	first := int(math.Floor((r.box.X0-p.x0)/p.pitch)) - 1
	last := int(math.Ceil((r.box.X1-p.x0)/p.pitch)) + 1
	cols := make([]*column, last-first+1)
	for k := range cols {
		x := p.x0 + float64(first+k)*p.pitch
		cols[k] = &column{x: x, free: r.freeRows(x-2*half, x+2*half)}
	}
	var asks []ask
	for pass := range 2 {
		asks = r.needs(p, half, first, cols)
		if pass == 1 || !r.ban(cols) {
			break
		}
	}
	out := make([]*column, 0, len(cols))
	for _, c := range cols {
		if len(c.need) > 0 {
			out = append(out, c)
		}
	}
	out = append(out, r.fillers(asks, half, cols)...)
	sort.SliceStable(out, func(i, j int) bool { return out[i].x < out[j].x })
	return out
}

// needs finds what every column must serve, and what is asked of fillers.
func (r *region) needs(p pitchPlan, half float64, first int, cols []*column) []ask {
	need := make([]plane.Spans, len(cols))
	var asks []ask
	for i := range r.rows() {
		y := plane.Span{A: r.yOf(i), B: r.yOf(i + 1)}
		for _, s := range r.cover[i] {
			asks = append(asks, r.rowNeeds(i, y, s, p, half, first, cols, need)...)
		}
	}
	for k, c := range cols {
		c.need = plane.Merge(need[k], 1500) // short gaps are not worth two more ends
		c.need = clear(c.need, c.free)
	}
	return asks
}

// ban takes columns out where they would be short and no prop could stand under
// them: in the working strip beside a wall, say. Fillers serve there instead.
func (r *region) ban(cols []*column) bool {
	if r.stand == nil {
		return false
	}
	did := false
	for _, c := range cols {
		for _, n := range c.need {
			if n.Len() > short {
				continue
			}
			if !r.stands(c.x, n) {
				c.banned = append(c.banned, n)
				did = true
			}
		}
	}
	return did
}

// short is the length up to which a joist between blocks stands on props of its
// own, mm.
const short = 1200

// stands reports whether a prop can stand anywhere under a strip at x.
func (r *region) stands(x float64, y plane.Span) bool {
	for at := y.A; at <= y.B; at += rowStep {
		if r.canStand(x, at) {
			return true
		}
	}
	return false
}

// clear cuts needs to where a joist may lie.
func clear(need, free plane.Spans) plane.Spans { return plane.Overlap(need, free) }

// ask is a place in one row where a filler joist is wanted, anywhere in x.
type ask struct {
	row int
	x   plane.Span
}

// rowNeeds marks the columns that one deck interval of a row needs and returns
// what the columns at their pitch cannot give. A column helps where the sheets
// reach it: inside the deck, or just past a straight border to which whole
// sheets run on.
func (r *region) rowNeeds(row int, y, s plane.Span, p pitchPlan, half float64, first int, cols []*column, need []plane.Spans) []ask {
	a, b := s.A, s.B
	if u, ok := r.sheetRow(y, p.rowH).Around((s.A + s.B) / 2); ok {
		if s.A-u.A < 1 {
			a -= overrun
		} else {
			a += half
		}
		if u.B-s.B < 1 {
			b += overrun
		} else {
			b -= half
		}
	}
	lo := max(int(math.Ceil((a-p.x0)/p.pitch-1e-9)), first)
	hi := min(int(math.Floor((b-p.x0)/p.pitch+1e-9)), first+len(cols)-1)
	var there []float64
	for k := lo; k <= hi; k++ {
		c := cols[k-first]
		mid := (y.A + y.B) / 2
		if _, no := c.banned.Around(mid); no {
			continue
		}
		if _, ok := c.free.Around(mid); ok {
			need[k-first] = append(need[k-first], y)
			there = append(there, c.x)
		}
	}
	var asks []ask
	left, right := s.A+half+r.gap+1, s.B-half-r.gap-1
	if b, ok := r.blocked[row].Around(s.A); ok {
		left = math.Max(left, b.B+half+1)
	}
	if b, ok := r.blocked[row].Around(s.B); ok {
		right = math.Min(right, b.A-half-1)
	}
	if left > right {
		return nil // too narrow for a joist: the sheet spans along it
	}
	overA, overB := r.over(row, s.A, p), r.over(row, s.B, p)
	if len(there) < 2 { // a narrow piece still rests on two joists: fillers at its sides
		asks = append(asks, ask{row, plane.Span{A: left, B: math.Min(right, s.A+overA)}})
		if len(there) == 1 {
			asks = asks[:0]
			x := there[0]
			if x-left > right-x && x-3*half >= left {
				asks = append(asks, ask{row, plane.Span{A: left, B: math.Max(left, math.Min(x-3*half, s.A+overA))}})
			} else if x+3*half <= right {
				asks = append(asks, ask{row, plane.Span{A: math.Min(right, math.Max(x+3*half, s.B-overB)), B: right}})
			}
			return asks
		}
		if s.Len() > 5*half {
			asks = append(asks, ask{row, plane.Span{A: math.Max(left+2*half, s.B-overB), B: right}})
		}
		return asks
	}
	// A filler keeps clear of the first column, which may shift toward it.
	if there[0]+half-s.A > overA && left <= there[0]-3*half {
		asks = append(asks, ask{row, plane.Span{A: left, B: math.Max(left, math.Min(math.Max(s.A+overA, left+20), there[0]-3*half))}})
	}
	if n := len(there) - 1; s.B-there[n]+half > overB && right >= there[n]+3*half {
		asks = append(asks, ask{row, plane.Span{A: math.Min(right, math.Max(math.Min(s.B-overB, right-20), there[n]+3*half)), B: right}})
	}
	return asks
}

// toSide is how far the last joist may lie from a side form that carries the edge
// of the sheets, mm.
const toSide = 225.0

// atSide reports whether the deck's border at x is a side form of a lower zone.
func (r *region) atSide(row int, x float64) bool {
	if !r.rooms {
		return false
	}
	y := (r.yOf(row) + r.yOf(row+1)) / 2
	return plane.Within(r.lower, plane.Point{x - 3, y}) || plane.Within(r.lower, plane.Point{x + 3, y})
}

// over is how far a sheet may reach to a border of the deck at x.
func (r *region) over(row int, x float64, p pitchPlan) float64 {
	if r.atSide(row, x) {
		return math.Min(p.pitch, toSide)
	}
	for _, h := range r.heavy[row] {
		if h.A < x+p.light && h.B > x-p.light {
			return p.over
		}
	}
	return p.light
}

// sheetRow is the deck intervals of the row of sheets around a height.
func (r *region) sheetRow(y plane.Span, h float64) plane.Spans {
	n := int(math.Floor(((y.A+y.B)/2 - r.rowY) / h))
	r.mu.Lock()
	defer r.mu.Unlock()
	if s, ok := r.unions[n]; ok {
		return s
	}
	a, b := r.rowSpan(r.rowY+float64(n)*h, r.rowY+float64(n+1)*h)
	var u plane.Spans
	for i := a; i <= b; i++ {
		u = append(u, r.cover[i]...)
	}
	s := plane.Merge(u, 1)
	r.unions[n] = s
	return s
}

// fillers turns wanted places in rows that follow each other into joists, each
// as long as one x serves all of its rows.
func (r *region) fillers(asks []ask, half float64, cols []*column) []*column {
	type open struct {
		from, to int // rows
		x        plane.Span
	}
	var runs, live []open
	sort.SliceStable(asks, func(i, j int) bool { return asks[i].row < asks[j].row })
	for _, a := range asks {
		done := false
		for k := range live {
			o := &live[k]
			lo, hi := math.Max(o.x.A, a.x.A), math.Min(o.x.B, a.x.B)
			if a.row-o.to <= 1 && hi >= lo {
				o.to, o.x = a.row, plane.Span{A: lo, B: hi}
				done = true
				break
			}
		}
		if done {
			continue
		}
		keep := live[:0]
		for _, o := range live {
			if a.row-o.to > 1 {
				runs = append(runs, o)
			} else {
				keep = append(keep, o)
			}
		}
		live = append(keep, open{a.row, a.row, a.x})
	}
	runs = append(runs, live...)
	var out []*column
	for _, o := range runs {
		y := plane.Span{A: r.yOf(o.from), B: r.yOf(o.to + 1)}
		if join(out, o.x, y) {
			continue
		}
		if c := r.filler(o.x, y, half, append(cols, out...)); c != nil {
			out = append(out, c)
		}
	}
	return out
}

// join lets a filler that already lies in an x-window serve y as well.
func join(fillers []*column, x, y plane.Span) bool {
	for _, c := range fillers {
		free, ok := c.free.Around((y.A + y.B) / 2)
		if ok && c.x >= x.A && c.x <= x.B && free.A <= y.A+rowStep && free.B >= y.B-rowStep {
			need := plane.Span{A: math.Max(y.A, free.A), B: math.Min(y.B, free.B)}
			c.need = clear(plane.Merge(append(append(plane.Spans(nil), c.need...), need), 1500), c.free)
			return true
		}
	}
	return false
}

// filler places a joist in an x-window that must serve y. It keeps clear of the
// columns at their pitch, whose joists may lie beside it further on; where it
// cannot, it stays as short as its need.
func (r *region) filler(x, y plane.Span, half float64, cols []*column) *column {
	mid := (x.A + x.B) / 2
	tries := []float64{mid, x.A, x.B, (x.A + mid) / 2, (x.B + mid) / 2}
	var best *column
	for _, alone := range []bool{true, false} {
		for _, at := range tries {
			if alone && beside(cols, at, 3*half, y) || !alone && y.Len() > short {
				continue
			}
			free := r.freeRows(at-half, at+half)
			if !alone { // only where the columns beside it are cut off
				free = plane.Overlap(free, plane.Spans{{A: y.A - 150, B: y.B + 150}})
				for _, c := range cols {
					if beside([]*column{c}, at, 3*half, y) {
						free = plane.Minus(free, c.free)
					}
				}
			}
			c := &column{x: at, free: free, need: clear(plane.Spans{y}, free), filler: true}
			if best == nil || c.need.Total() > best.need.Total()+1 {
				best = c
			}
			if c.need.Total() >= 0.9*y.Len() && (y.Len() > short || r.stands(at, y)) {
				return c
			}
		}
	}
	if best == nil || len(best.need) == 0 {
		return nil
	}
	return best
}

// beside reports whether another column's joists may lie within d of x there.
func beside(cols []*column, x, d float64, y plane.Span) bool {
	for _, c := range cols {
		if len(c.need) == 0 || math.Abs(c.x-x) >= d-0.01 {
			continue
		}
		if !c.filler {
			return true
		}
		const run = 3000 // a filler reaches to the lines on both sides of its need
		for _, n := range c.need {
			if n.A < y.B+run && n.B > y.A-run {
				return true
			}
		}
	}
	return false
}
