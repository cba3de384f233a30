package layout

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// kept is a part that the job fixes, in the frame of a region.
type kept struct {
	deck.Kept
	at, to plane.Point
}

// keptIn are the kept parts of a zone: those that have their middle there.
func keptIn(site *deck.Site, zone int, f frame) []kept {
	var out []kept
	for _, k := range site.Keep {
		mid := plane.Point{(k.At[0] + k.To[0]) / 2, (k.At[1] + k.To[1]) / 2}
		if k.As == "sheet" {
			mid = k.Shape.Centroid()
		}
		at := site.ZoneBeside(mid)
		for z := range site.Zones {
			if plane.Within(site.Zones[z].Shapes, mid) || plane.Within(site.Zones[z].Strip, mid) {
				at = z
			}
		}
		if at == zone {
			out = append(out, kept{k, f.in(k.At), f.in(k.To)})
		}
	}
	return out
}

// bend moves stringer lines to where people want one: the nearest line that may
// move, else one more. The lines at the ends stay, since joists may reach only so
// far past them; no bay becomes longer than joists span.
func (r *region) bend(lines []line, k *kit, pitch float64) []line {
	var want []float64
	for _, p := range r.keep {
		if p.As == "prop" || p.As == "stringer" || p.As == "line" {
			if y := round(p.at[1]); !slices.Contains(want, y) {
				want = append(want, y)
			}
		}
	}
	if len(want) == 0 {
		return lines
	}
	slices.Sort(want)
	bay := k.bay(1, pitch)
	fixed := map[float64]bool{}
	for _, y := range want {
		best, off := -1, bay/2
		for i, l := range lines {
			d := math.Abs(l.y - y)
			if end := i == 0 || i == len(lines)-1; !fixed[l.y] && (d < off) && (!end || d <= k.lineApart()) {
				best, off = i, d
			}
		}
		fixed[y] = true
		if best >= 0 {
			lines[best].y = y
		} else {
			lines = append(lines, line{y: y, x0: math.Inf(-1), x1: math.Inf(1)})
		}
		slices.SortStableFunc(lines, byHeight)
	}
	// Lines that now lie on top of a fixed one go, unless joists lap there: then
	// they lap on the fixed one.
	out := lines[:0:0]
	for _, l := range lines {
		if n := len(out); n > 0 && l.y-out[n-1].y < k.lineApart() && (fixed[l.y] != fixed[out[n-1].y] || l.y == out[n-1].y) {
			keep := out[n-1]
			if fixed[l.y] {
				keep.y = l.y
			}
			keep.lap = keep.lap || l.lap
			out[n-1] = keep
			continue
		}
		out = append(out, l)
	}
	for i := 1; i < len(out); i++ {
		gap := out[i].y - out[i-1].y
		for n := math.Ceil(gap/bay - 1e-6); n > 1; n-- {
			out = append(out, line{y: round(out[i].y - gap*(n-1)/math.Ceil(gap/bay-1e-6)), x0: math.Inf(-1), x1: math.Inf(1)})
		}
		if len(out) > i+1 {
			slices.SortStableFunc(out, byHeight)
		}
	}
	return out
}

func byHeight(a, b line) int { return cmp.Compare(a.y, b.y) }

// startAtKept lets the joists' pitch start from a kept joist or the end of a kept
// sheet, which must rest on one.
func (r *region) startAtKept(plans []pitchPlan) []pitchPlan {
	for _, k := range r.keep {
		x := math.Min(k.at[0], k.to[0])
		if k.As != "joist" && k.As != "sheet" {
			continue
		}
		for i := range plans {
			p := &plans[i]
			p.x0, p.others = r.box.X0+math.Mod(math.Mod(x-r.box.X0, p.pitch)+p.pitch, p.pitch)-p.pitch, nil
		}
		break
	}
	return plans
}

// honour puts kept parts into a deck that has just been laid, the rest giving way.
// The error is for what cannot be; what only fails is for the proof to say.
func honour(in *Input, d *deck.Deck, fields map[string]*field) error {
	for _, name := range slices.Sorted(maps.Keys(fields)) {
		f := fields[name]
		for _, as := range []string{"stringer", "line", "prop", "joist", "sheet"} {
			for _, k := range f.r.keep {
				if k.As != as {
					continue
				}
				if _, there := k.In(d); there && in.Earlier != nil {
					continue // it stays from the earlier deck
				}
				var err error
				switch as {
				case "stringer":
					err = f.keepStringer(in, d, k)
				case "line":
					f.keepLine(in, d, k)
				case "prop":
					err = f.keepProp(in, d, k)
				case "joist":
					err = f.keepJoist(in, d, k)
				case "sheet":
					err = f.keepSheet(in, d, k)
				}
				if err != nil {
					return fmt.Errorf("pin %d keeps %s %s: %w", k.Pin, k.As, k.Part, err)
				}
			}
		}
	}
	return nil
}

// sameSection tells whether a kept beam fits between the faces of the deck's own.
func sameSection(a, b *catalog.Part) error {
	if a == nil || a.Depth.V != b.Depth.V || a.Width.V != b.Width.V {
		return fmt.Errorf("it has another section than %s, on which the deck is laid; keep a part of that section, or choose a system that begins with the kept part's", b.ID)
	}
	return nil
}

// over is the line whose stringers lie within their width of a place, where they
// lie exactly, and whether two lap there.
func (f *field) over(d *deck.Deck, at plane.Point) (line string, y float64, two, ok bool) {
	w := mmOf(f.k.stringers[0].part.Width.V)
	near := w + 1
	for _, s := range d.Stringers {
		a, b := f.r.f.in(s.From), f.r.f.in(s.To)
		if s.Field != f.name || at[0] < a[0]+propReach || at[0] > b[0]-propReach {
			continue
		}
		if off := math.Abs(a[1] - at[1]); off < near {
			near, line = off, s.Line
		}
	}
	if line == "" {
		return "", 0, false, false
	}
	y, two, ok = f.lineAt(d, line, at[0])
	return line, y, two, ok
}

// bring makes a stringer lie over a place: by moving the run that lies beside it,
// or with a short one of its own.
func (f *field) bring(in *Input, d *deck.Deck, at plane.Point) (line string, two, ok bool) {
	line, y, two, ok := f.over(d, at)
	if !ok {
		for _, reach := range [][2]float64{{450, 450}, {200, 900}, {900, 200}, {200, 500}, {500, 200}} {
			if f.addLine(in, d, round(at[1]), at[0]-reach[0], at[0]+reach[1]) {
				break
			}
		}
		if line, y, two, ok = f.over(d, at); !ok {
			return "", false, false
		}
	}
	f.spoil(line, at[0])
	if dy := at[1] - y; math.Abs(dy) > 0.01 {
		lo, hi := f.run(d, line, at[0])
		for _, k := range f.r.keep { // a run that a pin has brought to its place stays there
			if l, is, _, ok := f.over(d, k.at); ok && l == line && k.at[0] >= lo && k.at[0] <= hi && math.Abs(is-k.at[1]) < 0.01 && (k.As == "prop" || k.As == "line") {
				return "", false, false
			}
			if _, there := k.In(d); there && k.As == "stringer" && math.Abs(k.at[1]-y) < 2*mmOf(f.k.stringers[0].part.Width.V) && math.Min(k.at[0], k.to[0]) < hi && math.Max(k.at[0], k.to[0]) > lo {
				return "", false, false
			}
		}
		move := func(p plane.Point) plane.Point {
			q := f.r.f.in(p)
			return f.r.f.out(q[0], q[1]+dy)
		}
		for i := range d.Stringers {
			if s := &d.Stringers[i]; s.Line == line && f.r.f.in(s.From)[0] >= lo-1 && f.r.f.in(s.To)[0] <= hi+1 {
				s.From, s.To = move(s.From), move(s.To)
			}
		}
		for i := range d.Props {
			if p := &d.Props[i]; p.Line == line {
				if x := f.r.f.in(p.At)[0]; x >= lo && x <= hi {
					p.At = move(p.At)
				}
			}
		}
	}
	return line, two, true
}

func (f *field) keepLine(in *Input, d *deck.Deck, k kept) { f.bring(in, d, k.at) }

// keepProp sets a kept prop under the stringer over it, in the place of any that
// stands where it does.
func (f *field) keepProp(in *Input, d *deck.Deck, k kept) error {
	line, two, ok := f.bring(in, d, k.at)
	if !ok {
		return nil // the proof says that it is not there
	}
	const beside = 100 // mm, as near as props may stand
	grade := two || f.k.sys.InterHead == ""
	d.Props = slices.DeleteFunc(d.Props, func(p deck.Prop) bool {
		q := f.r.f.in(p.At)
		if math.Abs(q[0]-k.at[0]) >= beside || math.Abs(q[1]-k.at[1]) >= beside || keptAt(in, p.At) {
			return false
		}
		grade = grade || p.Kind == deck.Grade
		return true
	})
	p := f.k.place(in, k.At, line, prop{grade: grade})
	part := in.Catalog.Parts[k.Part]
	if !fits(part, p.Length) {
		style := quantity.Metric
		if in.Settings.Basis == rules.US {
			style = quantity.US
		}
		return fmt.Errorf("it would have to be set to %s there, out of its range; keep another part", quantity.Millimetres(p.Length).Text(style))
	}
	p.Part = part.ID
	p.Hole, p.Thread = setting(part, p.Length)
	d.Props = append(d.Props, p)
	return nil
}

// keptAt reports whether the job keeps a prop at a place.
func keptAt(in *Input, at plane.Point) bool {
	return slices.ContainsFunc(in.Site.Keep, func(k deck.Kept) bool { return k.As == "prop" && dist(k.At, at) < 1 })
}

// keepStringer lays a kept stringer and, on both sides, what the run around it
// needs to reach as far as it did.
func (f *field) keepStringer(in *Input, d *deck.Deck, k kept) error {
	part := in.Catalog.Parts[k.Part]
	if err := sameSection(part, f.k.stringers[0].part); err != nil {
		return err
	}
	w := mmOf(part.Width.V)
	x0, x1, y := math.Min(k.at[0], k.to[0]), math.Max(k.at[0], k.to[0]), k.at[1]
	key := lineKey(f.name, round(y))
	lo, hi := x0, x1
	for range 2 { // the runs that it meets, and those that hold on to them
		for _, s := range d.Stringers {
			if a, b := f.r.f.in(s.From)[0], f.r.f.in(s.To)[0]; s.Line == key && a < hi+runGap && b > lo-runGap {
				lo, hi = math.Min(lo, a), math.Max(hi, b)
			}
		}
	}
	d.Stringers = slices.DeleteFunc(d.Stringers, func(s deck.Member) bool {
		a, b := f.r.f.in(s.From), f.r.f.in(s.To)
		if s.Line != key || a[0] >= hi || b[0] <= lo {
			return false
		}
		f.spoil(key, a[0])
		return true
	})
	d.Props = slices.DeleteFunc(d.Props, func(p deck.Prop) bool {
		x := f.r.f.in(p.At)[0]
		return p.Line == key && x >= lo && x <= hi && !keptAt(in, p.At)
	})
	inward := w // neighbours lie beside it on the side where joists go on
	if y > (f.r.box.Y0+f.r.box.Y1)/2 {
		inward = -w
	}
	room, ok := f.r.freeRun((x0+x1)/2, math.Min(y, y+inward)-w/2, math.Max(y, y+inward)+w/2)
	if !ok {
		room = plane.Span{A: x0, B: x1}
	}
	const spare = 900.0
	room = plane.Span{A: math.Max(room.A, lo-spare), B: math.Min(room.B, hi+spare)}
	laid := []stringer{{x0: x0, x1: x1, y: y}}
	place := func(part string, a, b, y float64) {
		d.Stringers = append(d.Stringers, deck.Member{Field: f.name, Line: key, Part: part, From: f.r.f.out(a, y), To: f.r.f.out(b, y), Top: round(f.k.heights.stringerTop)})
	}
	d.Stringers = append(d.Stringers, deck.Member{Field: f.name, Line: key, Part: part.ID, From: f.r.f.out(x0, y), To: f.r.f.out(x1, y), Top: round(f.k.heights.stringerTop)})
	for _, right := range []bool{false, true} {
		beside := true
		for _, p := range f.onward(x0, x1, lo, hi, room, right) {
			at := y
			if beside {
				at += inward
			}
			beside = !beside
			place(p.stock.part.ID, p.x0, p.x1, at)
			p.y = at
			laid = append(laid, p)
		}
	}
	f.propLaid(in, d, key, laid)
	return nil
}

// onward are the stringers that go on from a kept one at x0..x1 to one end of the
// run lo..hi, each lapping the one before.
func (f *field) onward(x0, x1, lo, hi float64, room plane.Span, right bool) []stringer {
	lap := mmOf(f.k.choice.LapMin)
	from, to, end := x1, hi, room.B
	if !right { // mirrored
		from, to, end = -x0, -lo, -room.A
	}
	var out []stringer
	for range 100 {
		if to-from < endMin {
			break
		}
		var best *stock
		for i := range f.k.stringers {
			s := &f.k.stringers[i]
			if s.len <= 2*lap || from-lap+s.len > end+0.1 && from-0.45*s.len+s.len > end+0.1 {
				continue
			}
			if best = s; from-lap+s.len >= to {
				break
			}
		}
		if best == nil {
			break // no room for another: joists there are carried by repairs, or fail
		}
		a := math.Min(from-lap, end-best.len)
		out = append(out, stringer{x0: a, x1: a + best.len, stock: best})
		from = a + best.len
	}
	if !right {
		for i, s := range out {
			out[i].x0, out[i].x1 = -s.x1, -s.x0
		}
	}
	return out
}

// propLaid props stringers that lap: at both ends of the run, in every lap, and
// between these as is usual; the proof asks for more.
func (f *field) propLaid(in *Input, d *deck.Deck, key string, laid []stringer) {
	slices.SortStableFunc(laid, func(a, b stringer) int { return cmp.Compare(a.x0, b.x0) })
	n := len(laid)
	marks := []float64{laid[0].x0 + 3*endMin}
	for i := 1; i < n; i++ {
		marks = append(marks, (laid[i].x0+laid[i-1].x1)/2)
	}
	marks = append(marks, laid[n-1].x1-3*endMin)
	const usual = 1500 // mm of deck on a line
	step := f.k.propSpacing(usual, f.p.pitch)
	put := func(x, within float64) { f.propAt(in, d, key, x, within) }
	for i, x := range marks {
		if i > 0 {
			gap := x - marks[i-1]
			for m, c := 1.0, math.Ceil(gap/step); m < c; m++ {
				put(marks[i-1]+gap*m/c, gap/c/2)
			}
		}
		put(x, 120)
	}
}

// keepJoist lays a kept joist; those in its place give way and go on beside it.
func (f *field) keepJoist(in *Input, d *deck.Deck, k kept) error {
	part := in.Catalog.Parts[k.Part]
	if err := sameSection(part, f.k.joists[0].part); err != nil {
		return err
	}
	w := mmOf(part.Width.V)
	x, y0, y1 := k.at[0], math.Min(k.at[1], k.to[1]), math.Max(k.at[1], k.to[1])
	var rest []plane.Span
	d.Joists = slices.DeleteFunc(d.Joists, func(j deck.Member) bool {
		a, b := f.r.f.in(j.From), f.r.f.in(j.To)
		if j.Field != f.name || math.Abs(a[0]-x) >= w-1 || b[1] <= y0+1 || a[1] >= y1-1 {
			return false
		}
		for _, s := range []plane.Span{{A: a[1], B: y0}, {A: y1, B: b[1]}} {
			if s.Len() > 60 {
				rest = append(rest, s)
			}
		}
		return true
	})
	f.added++
	d.Joists = append(d.Joists, deck.Member{ID: fmt.Sprintf("%s-K%d", f.name, f.added), Field: f.name, Part: part.ID,
		From: f.r.f.out(x, y0), To: f.r.f.out(x, y1), Top: round(f.k.heights.joistTop)})
	lap := mmOf(f.k.choice.LapMin) / 2
	for _, s := range rest {
		need := plane.Span{A: s.A, B: s.B + lap}
		if s.B > y1 {
			need = plane.Span{A: s.A - lap, B: s.B}
		}
		for _, at := range []float64{x + w + 1, x - w - 1, x} {
			if f.addJoist(in, d, at, need, (s.A+s.B)/2, false) {
				break
			}
		}
	}
	return nil
}

// nameKept is the name of a kept sheet: the one that it had, else one by its pin
// that no sheet has or had, since pins of an earlier plan may have had other numbers.
func (f *field) nameKept(in *Input, sheets []deck.Sheet, k kept) string {
	var old deck.Deck
	if in.Earlier != nil {
		old = *in.Earlier.Deck
	}
	has := func(list []deck.Sheet, id string) bool {
		return slices.ContainsFunc(list, func(s deck.Sheet) bool { return s.ID == id })
	}
	if id, ok := k.In(&old); ok && !has(sheets, id) {
		return id
	}
	for n := k.Pin; ; n++ {
		if id := fmt.Sprintf("%s-S%d", f.name, n); !has(sheets, id) && !has(old.Sheets, id) {
			return id
		}
	}
}

// keepSheet lays a kept sheet whole; the others are cut around it.
func (f *field) keepSheet(in *Input, d *deck.Deck, k kept) error {
	part := in.Catalog.Parts[k.Part]
	if part == nil || part.Depth.V != f.k.sheet.Depth.V {
		return fmt.Errorf("it is not as thick as %s, with which the deck is laid; keep a sheet of that thickness", f.k.sheet.ID)
	}
	var out []deck.Sheet
	for _, s := range d.Sheets {
		if s.Field != f.name || !s.Shape.Outer.Bounds().Overlaps(k.Shape.Bounds(), 0) {
			out = append(out, s)
			continue
		}
		rest, err := plane.Difference([]plane.Shape{s.Shape}, []plane.Shape{{Outer: k.Shape}})
		if err != nil {
			return err
		}
		if s.Shape.Area()-plane.Area(rest) < 100 {
			out = append(out, s)
			continue
		}
		for i, r := range rest {
			if r.Area() < 100 {
				continue
			}
			piece := s
			piece.Shape, piece.Cut, piece.ID = r, true, s.ID+letters(i)
			out = append(out, piece)
		}
	}
	d.Sheets = append(out, deck.Sheet{ID: f.nameKept(in, out, k), Field: f.name, Part: part.ID,
		Shape: plane.Shape{Outer: k.Shape}, Grain: math.Mod(k.Angle+360, 180), Z: round(f.k.heights.soffit)})
	return nil
}
