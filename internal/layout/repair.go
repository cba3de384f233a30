package layout

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"sort"
	"strings"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// repair adds parts at the failing places of a proof and reports whether it
// could do anything. It adds parts, and takes away only props where none can
// stand; the proof of the next round judges the whole deck again. Where the round
// before was of no use (harder), a stringer gets another beside it at once.
func repair(in *Input, d *deck.Deck, fields map[string]*field, proof deck.Audit, harder bool) bool {
	found := proof.Findings
	did, drop := false, map[string]bool{}
	for _, name := range slices.Sorted(maps.Keys(fields)) {
		rest, again := fields[name].layAgain(in, d, found, proof.Handed, byID(d.Stringers, memberID), byID(d.Props, propID))
		found, did = rest, did || again
	}
	stringers, joists, props := byID(d.Stringers, memberID), byID(d.Joists, memberID), byID(d.Props, propID)
	sheets := byID(d.Sheets, func(s *deck.Sheet) string { return s.ID })
	done := map[string]bool{} // one part a place and round
	// The worst first: of a sheet that reaches too far, its tip, not the joist it
	// bends over; and before these what rests on nothing.
	found = slices.Clone(found)
	slices.SortStableFunc(found, func(a, b deck.Finding) int {
		if (a.Ratio == 0) != (b.Ratio == 0) {
			return cmp.Compare(a.Ratio, b.Ratio)
		}
		return cmp.Compare(b.Ratio, a.Ratio)
	})
	for _, f := range found {
		if !f.Fails {
			continue
		}
		once := func(key string) bool {
			if done[key] {
				return false
			}
			done[key] = true
			return true
		}
		if m := stringers[f.Member]; m != nil {
			fl := fields[m.Field]
			if fl != nil && once(m.ID) {
				did = harder && fl.double(in, d, lineY(m.Line), fl.r.f.in(f.At)[0]) || fl.propStringer(in, d, m.Line, f.At) || did
			}
		} else if p := props[f.Member]; p != nil && f.Ratio > 1 && p.Under == "stringer" {
			if fl := fieldOf(fields, p.Line); fl != nil && once(p.Line+fmt.Sprint(math.Round(p.At[0]/500), math.Round(p.At[1]/500))) {
				did = fl.propStringer(in, d, p.Line, p.At) || did
			}
		} else if p != nil && f.Ratio == 0 && (!canStand(fields, p.At) || throughStringer(in, d, p)) && !keptAt(in, p.At) {
			drop[p.ID] = true
		} else if m := joists[f.Member]; m != nil {
			if fl := fields[m.Field]; fl != nil && once(m.ID) {
				if f.Check == "hold-down" {
					did = fl.propTip(in, d, m) || fl.carryJoist(in, d, m) || did
				} else if f.Ratio > 1 {
					did = fl.propUnder(in, d, m, f.At) || did
				} else {
					did = fl.carryJoist(in, d, m) || did
				}
			}
		} else if s := sheets[f.Member]; s != nil {
			if fl := fields[s.Field]; fl != nil && !done[s.ID] && fl.joistUnder(in, d, s, f.At, harder) {
				did, done[s.ID] = true, true
			}
		}
	}
	// A prop where none can stand is no use: what it was to carry must do without,
	// or fails by its own name and is mended there.
	kept := d.Props[:0:0]
	for _, p := range d.Props {
		if drop[p.ID] {
			did = true
			continue
		}
		kept = append(kept, p)
	}
	d.Props = kept
	return did
}

// throughStringer reports whether a prop that reaches up to a joist has a stringer in
// its way.
func throughStringer(in *Input, d *deck.Deck, p *deck.Prop) bool {
	if p.Under != "joist" {
		return false
	}
	return slices.ContainsFunc(d.Stringers, func(s deck.Member) bool {
		part := in.Catalog.Parts[s.Part]
		return p.Seat > s.Top-mmOf(part.Depth.V) && plane.Distance(p.At, s.From, s.To) < mmOf(part.Width.V)/2+deck.TubeHalf
	})
}

// byID indexes parts by their names; parts that have none yet are new since the proof.
func byID[T any](parts []T, id func(*T) string) map[string]*T {
	out := make(map[string]*T, len(parts))
	for i := range parts {
		if name := id(&parts[i]); name != "" {
			out[name] = &parts[i]
		}
	}
	return out
}

func memberID(m *deck.Member) string { return m.ID }
func propID(p *deck.Prop) string     { return p.ID }

// canStand reports whether a prop may stand at a place, of whichever field.
func canStand(fields map[string]*field, at plane.Point) bool {
	for _, f := range fields {
		if p := f.r.f.in(at); f.r.canStand(p[0], p[1]) {
			return true
		}
	}
	return false
}

func fieldOf(fields map[string]*field, line string) *field {
	if i := strings.IndexByte(line, '@'); i > 0 {
		return fields[line[:i]]
	}
	return nil
}

// spoil marks the run of a line at x as one that single repairs have changed.
func (f *field) spoil(line string, x float64) {
	if i := f.runAt(line, x); i >= 0 {
		f.laid[i].spoilt = true
	}
}

// propStringer adds a prop in the gap of a line that holds a place, or in the
// wider gap beside a prop; an end that reaches past the last prop counts double.
func (f *field) propStringer(in *Input, d *deck.Deck, line string, at plane.Point) bool {
	x := f.r.f.in(at)[0]
	f.spoil(line, x)
	lo, hi := f.run(d, line, x)
	marks := []float64{lo - (hi - lo), hi + (hi - lo)} // far out: no gap beyond the ends
	for _, p := range d.Props {
		if px := f.r.f.in(p.At)[0]; p.Line == line && px >= lo && px <= hi {
			marks = append(marks, px)
		}
	}
	sort.Float64s(marks)
	n := len(marks)
	if n < 4 {
		return f.propAt(in, d, line, x, 400)
	}
	// Gap i lies before mark i.
	weight := func(i int) float64 {
		switch i {
		case 1:
			return 2 * (marks[1] - lo)
		case n - 1:
			return 2 * (hi - marks[n-2])
		}
		return marks[i] - marks[i-1]
	}
	i := min(max(sort.SearchFloat64s(marks, x), 1), n-1)
	if k := i - 1; k >= 1 && x-marks[k] < 30 && weight(k) > weight(i) {
		i = k
	} else if i+1 < n && marks[i]-x < 30 && weight(i+1) > weight(i) {
		i++
	}
	did := false
	switch gap := marks[i] - marks[i-1]; {
	case weight(i) < 250: // no room on the line
	case i == 1:
		did = f.propAt(in, d, line, lo+endMin, marks[1]-lo-endMin-nearest)
	case i == n-1:
		did = f.propAt(in, d, line, hi-endMin, hi-endMin-marks[n-2]-nearest)
	default:
		did = f.propAt(in, d, line, marks[i-1]+gap/2, gap/2-110)
	}
	return did || f.double(in, d, lineY(line), x) || f.relieveLine(in, d, at)
}

// double lays a second stringer beside one that no more props can help.
func (f *field) double(in *Input, d *deck.Deck, y, x float64) bool {
	const reach, off = 1500, 400 // mm
	w := mmOf(f.k.stringers[0].part.Width.V)
	for dy := w + 20; dy <= off; dy += 40 {
		for _, at := range []float64{y + dy, y - dy} {
			for r := float64(reach); r >= 900; r -= 200 {
				if f.addLine(in, d, at, x-r, x+r) {
					return true
				}
			}
		}
	}
	return false
}

// carryJoist lays a short stringer of its own under a joist that rests on fewer
// than two, from where props can stand.
func (f *field) carryJoist(in *Input, d *deck.Deck, m *deck.Member) bool {
	a, b := f.r.f.in(m.From), f.r.f.in(m.To)
	x := a[0]
	on := f.under(d, m)
	const apart, reach, back = 250, 900, 900 // mm
	half := mmOf(f.k.joists[0].part.Width.V) / 2
	var tries []float64 // from the ends inward
	for in := 100.0; in <= (b[1]-a[1])/2; in += rowStep {
		tries = append(tries, a[1]+in, b[1]-in)
	}
	for _, at := range tries {
		if slices.ContainsFunc(on, func(y float64) bool { return math.Abs(y-at) < apart }) {
			continue
		}
		for out := 0.0; out <= reach; out += rowStep { // to the nearest place where a prop stands
			for _, side := range []float64{1, -1} {
				near, far := x-side*half, x+side*(out+back)
				if f.r.canStand(x+side*out, at) && f.addLine(in, d, at, math.Min(near, far), math.Max(near, far)) {
					return true
				}
			}
		}
	}
	return false
}

// addLine lays one stringer at y over xa..xb on as many props as can stand
// under it, no nearer than is usual.
func (f *field) addLine(in *Input, d *deck.Deck, y, xa, xb float64) bool {
	w := mmOf(f.k.stringers[0].part.Width.V)
	room, ok := f.r.freeRun((xa+xb)/2, y-w/2-f.r.gap, y+w/2+f.r.gap)
	if !ok || room.A > xa || room.B < xb {
		return false
	}
	s, x0, x1, sawn := &f.k.stringers[0], xa, xb, true // no room for a whole length: saw the shortest
	if i := slices.IndexFunc(f.k.stringers, func(s stock) bool { return s.len >= xb-xa && s.len <= room.Len() }); i >= 0 {
		s, sawn = &f.k.stringers[i], false
		x0 = math.Max(room.A, math.Min(xa-(s.len-(xb-xa))/2, room.B-s.len))
		x1 = x0 + s.len
	} else if s.len < xb-xa {
		return false
	}
	for _, o := range d.Stringers {
		p, q := f.r.f.in(o.From), f.r.f.in(o.To)
		if o.Field == f.name && math.Abs(p[1]-y) < w+5 && p[0] < x1+5 && q[0] > x0-5 {
			return false
		}
	}
	for _, p := range d.Props { // no prop under a joist in its way
		if at := f.r.f.in(p.At); p.Under == "joist" && at[0] > x0-80 && at[0] < x1+80 && math.Abs(at[1]-y) < w/2+80 {
			return false
		}
	}
	const usual = 1500 // mm of deck on a line
	step := f.k.propSpacing(usual, f.p.pitch)
	var xs []float64
	for x := x0 + endMin; x <= x1-endMin; x += 25 {
		last := len(xs) == 0 || x-xs[len(xs)-1] >= step
		if last && f.r.canStand(x, y) && !propBeside(d, f.r.f.out(x, y)) {
			xs = append(xs, x)
		}
	}
	for x := x1 - endMin; len(xs) > 0 && x > xs[len(xs)-1]+nearest; x -= 25 { // one at the far end too
		if f.r.canStand(x, y) && !propBeside(d, f.r.f.out(x, y)) {
			xs = append(xs, x)
			break
		}
	}
	if len(xs) < 2 || xs[len(xs)-1]-xs[0] < 400 {
		return false
	}
	key := lineKey(f.name, round(y))
	for _, x := range xs {
		d.Props = append(d.Props, f.k.place(in, f.r.f.out(x, round(y)), key, prop{grade: true}))
	}
	d.Stringers = append(d.Stringers, deck.Member{Field: f.name, Line: key, Part: s.part.ID,
		From: f.r.f.out(x0, round(y)), To: f.r.f.out(x1, round(y)), Top: round(f.k.heights.stringerTop), Sawn: sawn})
	f.lines = append(f.lines, line{y: round(y), x0: x0, x1: x1})
	return true
}

// run is from where to where the stringers of a line that hold on to each other
// reach around x.
func (f *field) run(d *deck.Deck, line string, x float64) (lo, hi float64) {
	var all plane.Spans
	for _, s := range d.Stringers {
		if s.Line == line {
			all = append(all, plane.Span{A: f.r.f.in(s.From)[0], B: f.r.f.in(s.To)[0]})
		}
	}
	for _, s := range plane.Merge(all, 0) {
		if x >= s.A-50 && x <= s.B+50 {
			return s.A, s.B
		}
	}
	return x, x
}

// relieveLine props the joist nearest to a place beside its stringer.
func (f *field) relieveLine(in *Input, d *deck.Deck, at plane.Point) bool {
	p := f.r.f.in(at)
	best, bestD := -1, 400.0
	for i := range d.Joists {
		a, b := f.r.f.in(d.Joists[i].From), f.r.f.in(d.Joists[i].To)
		if dx := math.Abs(a[0] - p[0]); dx < bestD && a[1] < p[1] && b[1] > p[1] {
			best, bestD = i, dx
		}
	}
	return best >= 0 && f.propUnder(in, d, &d.Joists[best], at)
}

// propAt adds a prop under the stringers of a line near x.
func (f *field) propAt(in *Input, d *deck.Deck, line string, x, within float64) bool {
	for off := 0.0; off <= within; off += rowStep {
		for _, at := range []float64{x + off, x - off} {
			y, two, ok := f.lineAt(d, line, at)
			if !ok || !f.r.canStand(at, y) || propBeside(d, f.r.f.out(at, y)) {
				continue
			}
			d.Props = append(d.Props, f.k.place(in, f.r.f.out(at, y), line, prop{grade: two || f.k.sys.InterHead == ""}))
			return true
		}
	}
	return false
}

// propBeside reports whether a prop stands too near to a place for another.
func propBeside(d *deck.Deck, at plane.Point) bool {
	for _, p := range d.Props {
		if math.Abs(p.At[0]-at[0]) < 100 && math.Abs(p.At[1]-at[1]) < 100 {
			return true
		}
	}
	return false
}

// lineAt is where the stringers of a line lie at x, and whether two lap there.
func (f *field) lineAt(d *deck.Deck, line string, x float64) (y float64, two, ok bool) {
	sum, n := 0.0, 0.0
	for _, s := range d.Stringers {
		if s.Line != line {
			continue
		}
		a, b := f.r.f.in(s.From), f.r.f.in(s.To)
		if x >= a[0]+propReach-2 && x <= b[0]-propReach+2 {
			sum += a[1]
			n++
		}
	}
	return sum / math.Max(n, 1), n > 1, n > 0
}

// propUnder adds a prop straight under a joist at its failing place.
func (f *field) propUnder(in *Input, d *deck.Deck, m *deck.Member, at plane.Point) bool {
	if f.k.joistProp == nil {
		return false
	}
	a, b := f.r.f.in(m.From), f.r.f.in(m.To)
	want := f.r.f.in(at)[1]
	for off := 0.0; off < 900; off += rowStep {
		for _, y := range []float64{want + off, want - off} {
			if y < a[1]+60 || y > b[1]-60 || !f.r.canStand(a[0], y) || f.occupied(d, a[0], y) {
				continue
			}
			d.Props = append(d.Props, f.k.place(in, f.r.f.out(a[0], y), "joist", prop{underJoist: true}))
			return true
		}
	}
	return false
}

// propTip props a joist that would tip under the longer of its ends past the
// supports.
func (f *field) propTip(in *Input, d *deck.Deck, m *deck.Member) bool {
	a, b := f.r.f.in(m.From), f.r.f.in(m.To)
	on := f.under(d, m)
	if len(on) == 0 {
		return false
	}
	y := a[1] + endMin
	if b[1]-slices.Max(on) > slices.Min(on)-a[1] {
		y = b[1] - endMin
	}
	return f.propUnder(in, d, m, f.r.f.out(a[0], y))
}

// under is where stringers and props of its own lie under a joist.
func (f *field) under(d *deck.Deck, m *deck.Member) []float64 {
	a, b := f.r.f.in(m.From), f.r.f.in(m.To)
	var on []float64
	for _, s := range d.Stringers {
		p, q := f.r.f.in(s.From), f.r.f.in(s.To)
		if s.Field == f.name && p[0] <= a[0] && q[0] >= a[0] && p[1] > a[1] && p[1] < b[1] {
			on = append(on, p[1])
		}
	}
	for _, p := range d.Props {
		if at := f.r.f.in(p.At); p.Under == "joist" && math.Abs(at[0]-a[0]) < 50 && at[1] > a[1] && at[1] < b[1] {
			on = append(on, at[1])
		}
	}
	return on
}

// occupied reports whether a prop, or a stringer, is in the way of a prop that
// reaches up to the joists.
func (f *field) occupied(d *deck.Deck, x, y float64) bool {
	p := f.r.f.out(x, y)
	for _, q := range d.Props {
		if math.Abs(q.At[0]-p[0]) < 150 && math.Abs(q.At[1]-p[1]) < 150 {
			return true
		}
	}
	w := mmOf(f.k.stringers[0].part.Width.V)
	for _, s := range d.Stringers {
		a, b := f.r.f.in(s.From), f.r.f.in(s.To)
		if x > a[0]-80 && x < b[0]+80 && math.Abs(y-a[1]) < w/2+80 {
			return true
		}
	}
	return false
}

// joistUnder adds a joist under a failing place of a sheet, carried by the
// lines on both sides or by props of its own.
func (f *field) joistUnder(in *Input, d *deck.Deck, s *deck.Sheet, at plane.Point, harder bool) bool {
	p := f.r.f.in(at)
	box := s.Shape.Map(f.r.f.in).Outer.Bounds()
	// The joists there, and the gaps between them, the nearest to the place first.
	var xs []float64
	for _, j := range d.Joists {
		a, b := f.r.f.in(j.From), f.r.f.in(j.To)
		if j.Field == s.Field && p[1] >= a[1]-60 && p[1] <= b[1]+60 {
			xs = append(xs, a[0])
		}
	}
	sort.Float64s(xs)
	gaps := []plane.Span{{A: math.Inf(-1), B: math.Inf(1)}}
	for _, x := range xs {
		n := len(gaps) - 1
		gaps[n].B = x
		gaps = append(gaps, plane.Span{A: x, B: math.Inf(1)})
	}
	away := func(g plane.Span) float64 { return math.Max(0, math.Max(g.A-p[0], p[0]-g.B)) }
	sort.SliceStable(gaps, func(i, j int) bool { return away(gaps[i]) < away(gaps[j]) })
	for i, g := range gaps {
		if i > 0 && away(g) > nearby {
			break
		}
		if f.joistIn(in, d, g, box, p, harder) {
			return true
		}
	}
	return false
}

// nearby is how far from a failing place of a sheet a joist more still helps, mm.
const nearby = 250.0

// joistIn adds a joist in a gap between joists, for a place of a sheet.
func (f *field) joistIn(in *Input, d *deck.Deck, g plane.Span, box plane.Box, p plane.Point, harder bool) bool {
	half := mmOf(f.k.joists[0].part.Width.V) / 2
	lo, hi := math.Max(g.A+2*half+1, box.X0+half/2), math.Min(g.B-2*half-1, box.X1-half/2)
	mid := (lo + hi) / 2
	if math.IsInf(g.A, -1) || math.IsInf(g.B, 1) { // at a border: near the end of the sheet
		mid = math.Min(math.Max(p[0], lo), hi)
	}
	// Where the sheet ends in the gap, near that end first; else between the joists;
	// then as near to the place as blocks allow.
	var tries []float64
	for d := 0.0; d < (hi-lo)/2; d += 30 {
		if lo > g.A+2*half+1 && p[0] < mid {
			tries = append(tries, lo+d)
		}
		if hi < g.B-2*half-1 && p[0] > mid {
			tries = append(tries, hi-d)
		}
	}
	tries = append(tries, mid, p[0]+half+f.r.gap+2, p[0]-half-f.r.gap-2, lo, hi)
	for d := 30.0; d < 400; d += 30 {
		tries = append(tries, p[0]+d, p[0]-d)
	}
	for _, x := range tries {
		if x >= lo && x <= hi && f.addJoist(in, d, x, f.deckAlong(x, p[1], 700), p[1], false) {
			return true
		}
	}
	for _, x := range tries {
		if harder && x >= lo && x <= hi && f.addJoist(in, d, x, f.deckAlong(x, p[1], 700), p[1], true) {
			return true
		}
	}
	return false
}

// deckAlong is the deck at x around y, up to a reach both ways.
func (f *field) deckAlong(x, y, reach float64) plane.Span {
	out := plane.Span{A: y - 30, B: y + 30}
	in := func(y float64) bool {
		i := f.r.rowOf(y)
		if i < 0 || i >= f.r.rows() {
			return false
		}
		_, ok := f.r.cover[i].Around(x)
		return ok
	}
	for out.A > y-reach && in(out.A-rowStep) {
		out.A -= rowStep
	}
	for out.B < y+reach && in(out.B+rowStep) {
		out.B += rowStep
	}
	return out
}

// addJoist places one joist at x that serves a place y; a loose one may lack a
// support, for the next round to find one.
func (f *field) addJoist(in *Input, d *deck.Deck, x float64, need plane.Span, y float64, loose bool) bool {
	half := mmOf(f.k.joists[0].part.Width.V) / 2
	rows := f.r.freeOf(f.r.exact, x-half, x+half) // as near to a turned column as it goes
	free, ok := rows.Around(y)
	for _, aside := range []float64{60, -60} { // a place at the very border of the deck
		if !ok {
			if free, ok = rows.Around(y + aside); ok {
				y += aside
			}
		}
	}
	if !ok {
		return false
	}
	need = plane.Span{A: math.Max(need.A, free.A), B: math.Min(need.B, free.B)}
	// Keep off joists that lie within a width of x.
	for _, j := range d.Joists {
		a, b := f.r.f.in(j.From), f.r.f.in(j.To)
		if math.Abs(a[0]-x) >= 2*half || b[1] < free.A || a[1] > free.B {
			continue
		}
		if b[1] <= y {
			free.A = math.Max(free.A, b[1]+5)
		} else if a[1] >= y {
			free.B = math.Min(free.B, a[1]-5)
		} else {
			return false
		}
	}
	need = plane.Span{A: math.Max(need.A, free.A), B: math.Min(need.B, free.B)}
	if need.Len() < 100 {
		return false
	}
	// On the lines first; else a short one on props of its own.
	short := plane.Span{A: math.Max(free.A, math.Max(need.A, y-450)), B: math.Min(free.B, math.Min(need.B, y+450))}
	for _, room := range []plane.Span{free, short} {
		if room.Len() < 300 {
			continue
		}
		c := &column{x: x, need: plane.Spans{plane.Span{A: math.Max(need.A, room.A), B: math.Min(need.B, room.B)}}, free: plane.Spans{room}, filler: true}
		g := *f
		g.cols, g.joists, g.forced = []*column{c}, nil, nil
		g.lines = slices.DeleteFunc(slices.Clone(f.lines), func(l line) bool { // that reach so far
			_, _, ok := f.lineAt(d, lineKey(f.name, l.y), x)
			return !ok
		})
		js, _ := g.carry(true)
		if len(js) != 1 {
			continue
		}
		if loose {
			js[0].supports = slices.DeleteFunc(js[0].supports, func(s support) bool { return !g.holds(d, js[0].x, s) })
		}
		if g.canCarry(d, js[0]) || loose && len(js[0].supports) == 1 {
			f.putJoist(in, d, js[0])
			return true
		}
	}
	return false
}

// canCarry reports whether what a joist of a repair rests on is there, or can be put there.
func (f *field) canCarry(d *deck.Deck, j joist) bool {
	for _, s := range j.supports {
		if !f.holds(d, j.x, s) {
			return false
		}
	}
	return len(j.supports) >= 2
}

// holds reports whether a support of a joist at x is there, or can be put there.
func (f *field) holds(d *deck.Deck, x float64, s support) bool {
	if s.line >= 0 {
		_, _, ok := f.lineAt(d, lineKey(f.name, f.lines[s.line].y), x)
		return ok
	}
	return f.k.joistProp != nil && !f.occupied(d, x, s.y) && f.r.canStand(x, s.y)
}

// putJoist places a joist of a repair with the props it needs.
func (f *field) putJoist(in *Input, d *deck.Deck, j joist) {
	for _, s := range j.supports {
		if s.line < 0 {
			d.Props = append(d.Props, f.k.place(in, f.r.f.out(j.x, s.y), "joist", prop{underJoist: true}))
		}
	}
	f.added++
	d.Joists = append(d.Joists, deck.Member{
		ID: fmt.Sprintf("%s-K%d", f.name, f.added), Field: f.name, Part: j.stock.part.ID,
		From: f.r.f.out(j.x, j.y0), To: f.r.f.out(j.x, j.y1), Top: round(f.k.heights.joistTop), Sawn: j.sawn,
	})
}
