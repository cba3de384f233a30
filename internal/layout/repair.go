package layout

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// repair adds parts at the failing places of a proof and reports whether it
// could do anything. It only ever adds: what held before still holds.
func repair(in *Input, d *deck.Deck, fields map[string]*field, found []deck.Finding) bool {
	stringers, joists, sheets, props := map[string]*deck.Member{}, map[string]*deck.Member{}, map[string]*deck.Sheet{}, map[string]*deck.Prop{}
	for i := range d.Stringers {
		stringers[d.Stringers[i].ID] = &d.Stringers[i]
	}
	for i := range d.Joists {
		joists[d.Joists[i].ID] = &d.Joists[i]
	}
	for i := range d.Sheets {
		sheets[d.Sheets[i].ID] = &d.Sheets[i]
	}
	for i := range d.Props {
		props[d.Props[i].ID] = &d.Props[i]
	}
	did := false
	done := map[string]bool{} // one part a place and round
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
				did = fl.propStringer(in, d, m.Line, f.At) || did
			}
		} else if p := props[f.Member]; p != nil && f.Ratio > 1 && p.Under == "stringer" {
			if fl := fieldOf(fields, p.Line); fl != nil && once(p.Line+fmt.Sprint(math.Round(p.At[0]/500), math.Round(p.At[1]/500))) {
				did = fl.propStringer(in, d, p.Line, p.At) || did
			}
		} else if m := joists[f.Member]; m != nil {
			if fl := fields[m.Field]; fl != nil && f.Ratio > 1 && once(m.ID) {
				did = fl.propUnder(in, d, m, f.At) || did
			}
		} else if s := sheets[f.Member]; s != nil {
			if fl := fields[s.Field]; fl != nil && once(s.ID) {
				did = fl.joistUnder(in, d, s, f.At) || did
			}
		}
	}
	return did
}

func fieldOf(fields map[string]*field, line string) *field {
	if i := strings.IndexByte(line, '@'); i > 0 {
		return fields[line[:i]]
	}
	return nil
}

// propStringer adds a prop in the gap of a line that holds a place, or in the
// wider gap beside a prop.
func (f *field) propStringer(in *Input, d *deck.Deck, line string, at plane.Point) bool {
	x := f.r.f.in(at)[0]
	var xs []float64
	for _, p := range d.Props {
		if p.Line == line {
			xs = append(xs, f.r.f.in(p.At)[0])
		}
	}
	sort.Float64s(xs)
	if len(xs) < 2 {
		return f.propAt(in, d, line, x, 400)
	}
	i := sort.SearchFloat64s(xs, x)
	switch {
	case i == 0:
		i = 1
	case i == len(xs):
		i = len(xs) - 1
	case math.Min(x-xs[i-1], xs[i]-x) < 30: // at a prop: the wider side
		k := i
		if x-xs[i-1] < 30 {
			k = i - 1
		}
		i = k
		if k == 0 || (k+1 < len(xs) && xs[k+1]-xs[k] > xs[k]-xs[k-1]) {
			i = k + 1
		}
	}
	gap := xs[i] - xs[i-1]
	if gap < 250 { // no room on the line: take a joist off it
		return f.relieveLine(in, d, at)
	}
	return f.propAt(in, d, line, (xs[i]+xs[i-1])/2, gap/2-110)
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
	edge := mmOf(f.k.choice.EdgeOfStand)
	for off := 0.0; off <= within; off += rowStep {
		for _, at := range []float64{x + off, x - off} {
			y, two, ok := f.lineAt(d, line, at)
			if !ok || !f.r.canStand(at, y, edge) {
				continue
			}
			d.Props = append(d.Props, f.k.place(in, f.r.f.out(at, y), line, prop{grade: two || f.k.sys.InterHead == ""}))
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
	edge := mmOf(f.k.choice.EdgeOfStand)
	for off := 0.0; off < 900; off += rowStep {
		for _, y := range []float64{want + off, want - off} {
			if y < a[1]+60 || y > b[1]-60 || !f.r.canStand(a[0], y, edge) || f.occupied(d, a[0], y) {
				continue
			}
			d.Props = append(d.Props, f.k.place(in, f.r.f.out(a[0], y), "joist", prop{underJoist: true}))
			return true
		}
	}
	return false
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
func (f *field) joistUnder(in *Input, d *deck.Deck, s *deck.Sheet, at plane.Point) bool {
	p := f.r.f.in(at)
	half := mmOf(f.k.joists[0].part.Width.V) / 2
	box := s.Shape.Map(f.r.f.in).Outer.Bounds()
	// Between the joists beside the place.
	left, right := math.Inf(-1), math.Inf(1)
	for _, j := range d.Joists {
		if j.Field != s.Field {
			continue
		}
		a, b := f.r.f.in(j.From), f.r.f.in(j.To)
		if p[1] < a[1]-60 || p[1] > b[1]+60 {
			continue
		}
		if a[0] <= p[0]+1 {
			left = math.Max(left, a[0])
		}
		if a[0] > p[0]+1 {
			right = math.Min(right, a[0])
		}
	}
	lo, hi := math.Max(left+2*half+1, box.X0+half/2), math.Min(right-2*half-1, box.X1-half/2)
	mid := (lo + hi) / 2
	if math.IsInf(left, -1) || math.IsInf(right, 1) { // at a border: near the end of the sheet
		mid = math.Min(math.Max(p[0], lo), hi)
	}
	// Between the joists first, then as near to the place as blocks allow.
	tries := []float64{mid, p[0] + half + f.r.gap + 2, p[0] - half - f.r.gap - 2, lo, hi}
	for d := 30.0; d < 400; d += 30 {
		tries = append(tries, p[0]+d, p[0]-d)
	}
	for _, x := range tries {
		if x >= lo && x <= hi && f.addJoist(in, d, x, f.deckAlong(x, p[1], 700), p[1]) {
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

// addJoist places one joist at x that serves a place y.
func (f *field) addJoist(in *Input, d *deck.Deck, x float64, need plane.Span, y float64) bool {
	half := mmOf(f.k.joists[0].part.Width.V) / 2
	free, ok := f.r.freeRows(x-half, x+half).Around(y)
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
		js, _ := g.carry(true)
		if len(js) == 1 && f.canCarry(d, js[0]) {
			f.putJoist(in, d, js[0])
			return true
		}
	}
	return false
}

// canCarry reports whether what a joist of a repair rests on is there, or can be put there.
func (f *field) canCarry(d *deck.Deck, j joist) bool {
	for _, s := range j.supports {
		if s.line >= 0 {
			if _, _, ok := f.lineAt(d, lineKey(f.name, f.lines[s.line].y), j.x); !ok {
				return false
			}
			continue
		}
		if f.k.joistProp == nil || f.occupied(d, j.x, s.y) || !f.r.canStand(j.x, s.y, mmOf(f.k.choice.EdgeOfStand)) {
			return false
		}
	}
	return len(j.supports) >= 2
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
