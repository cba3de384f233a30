package layout

import (
	"math"
	"sort"

	"shoreward/internal/plane"
)

// sheet is one placed panel in the field's frame.
type sheet struct {
	shape          plane.Shape // in job axes
	cut            bool
	row, n         int
	x0, x1, y0, y1 float64 // its place in the row
}

// laySheets covers the deck row by row: whole sheets from column to column,
// the first and last cut to the deck's border.
func (f *field) laySheets() error {
	w := mmOf(f.k.sheet.Width.V)
	rows := int(math.Ceil((f.r.box.Y1 - f.r.box.Y0) / w * (1 - 1e-9)))
	for n := range rows {
		y0 := f.r.box.Y0 + float64(n)*w
		y1 := y0 + w
		row := f.r.sheetRow(plane.Span{A: y0, B: y1}, w)
		if err := f.fillRow(n, y0, y1, row, row); err != nil {
			return err
		}
	}
	return nil
}

// fillRow sheets the bare stretches of a row's deck from joist to joist: all of the
// row, or what sheets that stay leave of it.
func (f *field) fillRow(n int, y0, y1 float64, row, bare plane.Spans) error {
	off, lap := f.rowTrack(y0, y1)
	count := 0
	for _, s := range bare {
		border, _ := row.Around((s.A + s.B) / 2)
		at := f.joints(s, y0, y1, off, mmOf(f.k.sheet.Length.V), lap)
		if s.A > border.A+1 { // beside a sheet that stays
			at[0].x = s.A
		}
		for i := 1; i < len(at)-1; i++ {
			if lap != nil && at[i].col >= 0 {
				f.stretch(at[i].col, off, lap.y, y0, y1)
			}
		}
		for i := 1; i < len(at); i++ {
			pieces, err := f.cutSheet(at[i-1].x, at[i].x, y0, y1, border)
			if err != nil {
				return err
			}
			for _, p := range pieces {
				count++
				p.row, p.n = n+1, count
				p.x0, p.x1, p.y0, p.y1 = at[i-1].x, at[i].x, y0, y1
				f.sheets = append(f.sheets, p)
			}
		}
	}
	return nil
}

// rowTrack is how far the sheet joints of a row lie off their columns, so that
// they sit on the joists of that row, and the lap line inside the row if any.
func (f *field) rowTrack(y0, y1 float64) (float64, *line) {
	w := mmOf(f.k.joists[0].part.Width.V) / 2
	for i := range f.lines {
		l := &f.lines[i]
		if !l.lap || l.y <= y0+1 || l.y >= y1-1 {
			continue
		}
		if y1-l.y <= l.y-y0 { // less of the row is above the lap: the lower joists run on
			return w * f.side(l.y-1), l
		}
		return w * f.side(l.y+1), l
	}
	return w * f.side((y0+y1)/2), nil
}

// joint is where two sheets meet, or an end of the row.
type joint struct {
	x   float64
	col int
}

// joints cuts a row's deck interval at columns that carry the joint over the
// whole height of the row.
func (f *field) joints(s plane.Span, y0, y1, off, length float64, lap *line) []joint {
	var at []joint
	for ci, c := range f.cols {
		if c.filler || c.x < s.A-overrun || c.x > s.B+overrun || !f.carries(c, y0, y1) {
			continue
		}
		x, ok := c.x+off, f.onTrack(ci, c.x+off, y0, y1, lap)
		for _, ji := range f.of(ci) { // an odd joist, on the other side of its column, may carry the joint too
			if !ok {
				x = f.joists[ji].x
				ok = f.onTrack(ci, x, y0, y1, nil)
			}
		}
		if ok && x > s.A+1 && x < s.B-1 {
			at = append(at, joint{x, ci})
		}
	}
	sort.SliceStable(at, func(i, j int) bool { return at[i].x < at[j].x })
	out := []joint{f.startAt(s.A, y0, y1, off)}
	for {
		last := out[len(out)-1].x
		if s.B-last <= length+0.5 {
			break
		}
		i := sort.Search(len(at), func(i int) bool { return at[i].x > last+length+0.5 }) - 1
		if i < 0 || at[i].x <= last+1 { // no column carries a joint here: break the sheet anyway, the audit decides
			out = append(out, joint{math.Min(last+length, s.B), -1})
			continue
		}
		// The rest must keep two joists: leave it one column more when it would not.
		if rest := s.B - at[i].x; rest < f.p.pitch+40 && i > 0 && at[i-1].x > last+f.p.pitch && rest > 0 {
			i--
		}
		out = append(out, at[i])
	}
	return append(out, joint{s.B, -1})
}

// overrun is how far a whole sheet may run past a free border of the deck
// rather than be cut, mm.
const overrun = 100

// startAt is where the first sheet of a row begins: at the border of the deck,
// or a little before it on a column when nothing stands there.
func (f *field) startAt(border, y0, y1, off float64) joint {
	for ci, c := range f.cols {
		if c.filler || c.x > border+overrun || c.x < border-2*overrun {
			continue
		}
		// The outermost joist of the column in this row.
		x := math.Inf(1)
		for _, ji := range f.of(ci) {
			if j := f.joists[ji]; j.y1 > y0 && j.y0 < y1 {
				x = math.Min(x, j.x)
			}
		}
		if x <= border+0.01 && x >= border-overrun && f.r.free(x-1, border, y0, y1) {
			return joint{x, ci}
		}
	}
	return joint{border, -1}
}

// of lists the joists of a column.
func (f *field) of(col int) []int {
	if f.byCol == nil {
		f.byCol = map[int][]int{}
		for i, j := range f.joists {
			f.byCol[j.column] = append(f.byCol[j.column], i)
		}
	}
	return f.byCol[col]
}

// onTrack reports whether joists of the column lie at x under all of the row's
// deck, or can be made to run on through it from a lap inside the row.
func (f *field) onTrack(col int, x, y0, y1 float64, lap *line) bool {
	var on plane.Spans
	for _, ji := range f.of(col) {
		j := f.joists[ji]
		if math.Abs(j.x-x) > 1 {
			continue
		}
		lo, hi := j.y0-f.short(), j.y1+f.short()
		if lap != nil && lap.y > j.y0-1 && lap.y < j.y1+1 {
			lo, hi = math.Min(lo, y0), math.Max(hi, y1)
		}
		on = append(on, plane.Span{A: lo, B: hi})
	}
	return f.r.coverOn(on, x, y0, y1)
}

// coverOn reports whether all of a row's deck at x lies over some spans of y.
func (r *region) coverOn(on plane.Spans, x, y0, y1 float64) bool {
	on = plane.Merge(on, 0)
	a, b := r.rowSpan(y0, y1)
	for i := a; i <= b; i++ {
		if _, ok := r.cover[i].Around(x); ok {
			if _, ok := on.Around(math.Min(math.Max((r.yOf(i)+r.yOf(i+1))/2, y0), y1)); !ok {
				return false
			}
		}
	}
	return true
}

// shortOf is how far a joist may end short of the deck's border at a block and
// still carry a sheet's joint there, mm.
const shortOf = 60

// short is shortOf, and beside a side form the room that joists leave it.
func (f *field) short() float64 {
	if f.r.rooms {
		return shortOf + mmOf(f.k.choice.SideRoom)
	}
	return shortOf
}

// carries reports whether a column has joists under all of the row's deck at it.
func (f *field) carries(c *column, y0, y1 float64) bool {
	a, b := f.r.rowSpan(y0, y1)
	deck := 0
	near := make(plane.Spans, len(c.need)) // joists stop a little short of walls
	for i, n := range c.need {
		near[i] = plane.Span{A: n.A - f.short(), B: n.B + f.short()}
	}
	near = plane.Merge(near, 0)
	for i := a; i <= b; i++ {
		if _, ok := f.r.cover[i].Around(c.x); !ok {
			continue
		}
		deck++
		if _, ok := near.Around((f.r.yOf(i) + f.r.yOf(i+1)) / 2); !ok {
			return false
		}
	}
	return deck > 0
}

// stretch makes the joist on the joint's side of a lap line long enough to
// carry the joint through the whole row.
func (f *field) stretch(col int, off, lapY, y0, y1 float64) {
	x := f.cols[col].x + off
	for i := range f.joists {
		j := &f.joists[i]
		if j.column != col || math.Abs(j.x-x) > 1 || j.y1 < y0 || j.y0 > y1 {
			continue
		}
		free, ok := f.cols[col].free.Around((j.y0 + j.y1) / 2)
		if !ok {
			continue
		}
		for _, o := range f.of(col) { // other joists on this side of the column keep their places
			if k := f.joists[o]; o != i && math.Abs(k.x-j.x) < 2*math.Abs(off)+1 && math.Abs(k.x-j.x) < mmOf(f.k.joists[0].part.Width.V)-1 {
				if k.y0 >= j.y1-1 {
					free.B = math.Min(free.B, k.y0-5)
				}
				if k.y1 <= j.y0+1 {
					free.A = math.Max(free.A, k.y1+5)
				}
			}
		}
		last, first := j.supports[len(j.supports)-1].y, j.supports[0].y
		var lo, hi float64
		switch {
		case math.Abs(last-lapY) < 1 && j.y1 < y1:
			hi = math.Min(y1, free.B)
			lo = math.Min(first-f.bearing(), j.y0+(hi-j.y1)) // slide before lengthening
			if first > f.r.box.Y0 && !j.supports[0].lap {
				lo = j.y0
			} else if j.supports[0].lap {
				lo = math.Min(lo, first-mmOf(f.k.choice.LapMin)/2)
			}
		case math.Abs(first-lapY) < 1 && j.y0 > y0:
			lo = math.Max(y0, free.A)
			hi = math.Max(last+f.bearing(), j.y1-(j.y0-lo))
			if !j.supports[len(j.supports)-1].lap {
				hi = j.y1
			} else {
				hi = math.Max(hi, last+mmOf(f.k.choice.LapMin)/2)
			}
		default:
			continue
		}
		if hi-lo > f.k.joists[len(f.k.joists)-1].len {
			continue
		}
		n := f.fit(lo, hi, math.Max(free.A, lo-1500), math.Min(free.B, hi+1500))
		if n.stock.len >= hi-lo-0.5 && !n.sawn {
			// Keep the end that matters where it was asked for.
			if math.Abs(last-lapY) < 1 {
				n.y0, n.y1 = hi-n.stock.len, hi
				if n.y0 > lo {
					n.y0, n.y1 = lo, lo+n.stock.len
				}
				if n.y0 < free.A {
					n.y0, n.y1 = free.A, free.A+n.stock.len
				}
			} else {
				n.y0, n.y1 = lo, lo+n.stock.len
				if n.y1 > free.B {
					n.y0, n.y1 = free.B-n.stock.len, free.B
				}
			}
			j.y0, j.y1, j.stock, j.sawn = n.y0, n.y1, n.stock, false
		}
	}
}

// cutSheet is the part of a sheet's rectangle that lies on the deck.
func (f *field) cutSheet(x0, x1, y0, y1 float64, border plane.Span) ([]sheet, error) {
	full := x1-x0 >= mmOf(f.k.sheet.Length.V)-0.5
	a, b := f.r.rowSpan(y0, y1)
	inside := y1 <= f.r.box.Y1+0.01
	for i := a; i <= b && inside; i++ {
		s, ok := f.r.inner[i].Around((x0 + x1) / 2)
		inside = ok && s.A <= x0+overrun+0.01 && s.B >= x1-0.01
		if inside && s.A > x0+0.01 {
			inside = f.r.free(x0, s.A, y0, y1)
		}
	}
	rect := plane.Rect(x0, y0, x1, y1)
	shape := plane.Shape{Outer: rect.Map(func(p plane.Point) plane.Point { return f.r.f.out(p[0], p[1]) })}
	if inside {
		return []sheet{{shape: shape, cut: !full}}, nil
	}
	got, err := plane.Intersection([]plane.Shape{shape}, f.r.world)
	if err != nil {
		return nil, err
	}
	if x0 < border.A-0.5 { // the sheet runs past the deck's border to its first joist
		for i := range got {
			got[i] = got[i].Map(func(p plane.Point) plane.Point {
				if q := f.r.f.in(p); math.Abs(q[0]-border.A) < 0.5 {
					return f.r.f.out(x0, q[1])
				}
				return p
			})
		}
	}
	var out []sheet
	for _, g := range got {
		if g.Area() < 100 {
			continue
		}
		whole := full && math.Abs(g.Area()-shape.Area()) < 10
		if whole {
			g = shape
		}
		out = append(out, sheet{shape: g, cut: !whole})
	}
	return out, nil
}
