package layout

import (
	"math"

	"shoreward/internal/deck"
	"shoreward/internal/member"
	"shoreward/internal/plane"
)

// Decks under a beam along an edge past which no prop can stand: joists run across
// it and out under the working strip, on two lines of stringers inside the edge.

// layOver lays such a deck, or returns nil where two lines find no place.
func layOver(in *Input, k *kit, r *region, tight float64) (*field, error) {
	hj, hs := mmOf(k.joists[0].part.Width.V)/2, mmOf(k.stringers[0].part.Width.V)/2
	y1, y2, ok := r.twoLines(hs)
	if !ok {
		return nil, nil
	}
	pitch := tight * k.sheetSpan(3)
	f := &field{solver: member.NewSolver(), k: k, r: r, p: pitchPlan{x0: r.box.X0, pitch: pitch, sheet: mmOf(k.sheet.Length.V), rowH: mmOf(k.sheet.Width.V)}}
	f.lines = []line{{y: y1, x0: r.box.X0, x1: r.box.X1}, {y: y2, x0: r.box.X0, x1: r.box.X1}}
	var at []float64
	put := func(x float64) {
		c := &column{x: x, free: r.freeRows(x-hj, x+hj)}
		run, _ := r.acrossAt(c.free, x, y1, y2)
		c.need = plane.Spans{run}
		f.cols = append(f.cols, c)
		s, sawn := k.acrossStock(run.Len())
		j := joist{x: x, y0: run.A, y1: run.B, stock: s, sawn: sawn, column: len(f.cols) - 1,
			supports: []support{{y: y1, line: 0}, {y: y2, line: 1}}}
		if !sawn {
			short := (run.Len() - s.len) / 2
			j.y0, j.y1 = run.A+short, run.B-short
		}
		f.joists = append(f.joists, j)
		at = append(at, x)
	}
	var onLines plane.Spans // a stringer's end holds no joist
	for _, run := range f.runsAlong(y1, y2, hs) {
		onLines = append(onLines, plane.Span{A: run.A + hj + 2, B: run.B - hj - 2})
	}
	for _, run := range plane.Overlap(r.acrossRuns(hj, y1, y2), onLines) {
		if run.Len() < 4*hj {
			put((run.A + run.B) / 2)
			continue
		}
		n := math.Ceil(run.Len()/pitch - 1e-9)
		for i := 0.0; i <= n; i++ {
			put(run.A + run.Len()*i/n)
		}
	}
	if len(f.joists) < 2 {
		return nil, nil
	}
	if !f.stringersAlong(y1, y2, hs, hj) {
		return nil, nil
	}
	return f, f.sheetAlong(at)
}

// twoLines finds two heights where stringers lie on props all along: as far apart as
// the place between the deck beside and the edge lets them. They lap half a width to
// either side, in both lines at the same places.
func (r *region) twoLines(half float64) (y1, y2 float64, ok bool) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for y := r.box.Y0; y <= r.box.Y1; y += 5 {
		n, can := 0, 0
		for x := r.box.X0 + 200; x < r.box.X1; x += 200 {
			n++
			if r.canStand(x, y) && r.free(x-1, x+1, y-half, y+half) {
				can++
			}
		}
		if n > 0 && 2*can >= n {
			lo, hi = math.Min(lo, y), math.Max(hi, y)
		}
	}
	y1, y2 = lo+half, hi-half
	return y1, y2, y2-y1 >= apartLines
}

// apartLines is how far apart two lines are at least: nearer stringers hold a joist
// at one place.
const apartLines = 150.0

// stringersAlong lays both lines on props, or reports that they find no place.
func (f *field) stringersAlong(y1, y2, hs, hj float64) bool {
	r, k := f.r, f.k
	// What the joists hand to the lines, from their loads and levers; the worst of both.
	first, last := f.joists[0].y0, f.joists[0].y1
	edge := y2
	for row := range r.rows() {
		for _, h := range r.heavy[row] {
			if h.B > r.box.X0 {
				edge = math.Max(edge, r.yOf(row+1))
			}
		}
	}
	edge = math.Min(edge, last)
	band := 0.0
	for _, over := range []float64{0, 1} { // reaction of either line about the other
		from, d := y1, y2-y1
		if over == 1 {
			from, d = y2, y1-y2
		}
		lever := func(a, b, w float64) float64 { return w * (b - a) * ((a+b)/2 - from) / d }
		band = math.Max(band, lever(first, edge, 1)+math.Max(0, lever(edge, last, k.strip/k.strength)))
	}
	spacing := k.propSpacing(math.Max(band, 300), f.p.pitch)
	for _, run := range f.runsAlong(y1, y2, hs) {
		var on []float64
		for _, j := range f.joists {
			if j.x >= run.A+hj && j.x <= run.B-hj {
				on = append(on, j.x)
			}
		}
		if len(on) < 2 {
			continue
		}
		lap := math.Max(mmOf(k.choice.LapMin), 2*endMinAlong)
		pieces := lapping(k.stringers, run.Len(), lap, 2) // joists lie at their very ends
		if pieces == nil {
			f.layPieces(run, []*stock{&k.stringers[0]}, true, y1, y2, hs, spacing)
			continue
		}
		f.layPieces(run, pieces, false, y1, y2, hs, spacing)
	}
	return len(f.beams) > 0
}

// runsAlong are where stringers may lie on both lines.
func (f *field) runsAlong(y1, y2, hs float64) plane.Spans {
	r := f.r
	return runsWhere(r.box.X0, r.box.X1, func(x float64) bool { return r.free(x-1, x+1, y1-2*hs, y2+2*hs) })
}

// runsWhere are the stretches from one place to another, mm, in which all of the
// places looked at, 5 mm apart, will do.
func runsWhere(from, to float64, ok func(x float64) bool) plane.Spans {
	var out plane.Spans
	for x := from; x <= to; x += 5 {
		if !ok(x) {
			continue
		}
		if n := len(out); n > 0 && x-out[n-1].B < 6 {
			out[n-1].B = x
		} else {
			out = append(out, plane.Span{A: x, B: x})
		}
	}
	return out
}

// layPieces lays the pieces of a run on both lines, and props: one near each end, one
// in every lap under both pieces, and between these as many as the load asks for.
func (f *field) layPieces(run plane.Span, pieces []*stock, sawn bool, y1, y2, hs, spacing float64) {
	total := -run.Len()
	for _, p := range pieces {
		total += p.len
	}
	for li, y := range []float64{y1, y2} {
		at, side := run.A, -hs
		var laid []stringer
		for _, p := range pieces {
			b := stringer{line: li, y: y + side, x0: at, x1: at + p.len, stock: p, sawn: sawn}
			switch {
			case sawn:
				b.y, b.x1 = y, run.B
			case len(pieces) == 1:
				b.y, b.x0 = y, run.A+(run.Len()-p.len)/2
				b.x1 = b.x0 + p.len
			}
			laid = append(laid, b)
			at, side = at+p.len-total/math.Max(1, float64(len(pieces)-1)), -side
		}
		f.beams = append(f.beams, laid...)
		f.propLine(li, y, laid, spacing)
	}
}

// besideLine is how near two props of a deck on two lines may stand, mm: 120 mm
// plates with 5 mm between.
const besideLine = 125.0

// propLine props the pieces of one line; one in a lap stands under both pieces.
func (f *field) propLine(li int, y float64, laid []stringer, spacing float64) {
	at := func(x float64) prop {
		p, on := prop{line: li, x: x, y: y}, 0
		for _, b := range laid {
			if x > b.x0-propReach && x < b.x1+propReach {
				p.y, on = b.y, on+1
			}
		}
		if p.two = on > 1; p.two {
			p.y = y
		}
		return p
	}
	var pieces []plane.Span
	for _, b := range laid {
		pieces = append(pieces, plane.Span{A: b.x0, B: b.x1})
	}
	f.propPieces(pieces, spacing, at, func(p prop) bool {
		return f.r.canStand(p.x, p.y) && !f.stoodWithin(p.x, p.y, besideLine)
	})
}

// acrossAt is the run of deck at x that a joist over both lines may fill.
func (r *region) acrossAt(free plane.Spans, x, y1, y2 float64) (plane.Span, bool) {
	run, ok := free.Around((y1 + y2) / 2)
	if !ok || run.A > y1-60 || run.B < y2+60 {
		return run, false
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for row := range r.rows() {
		if _, on := r.cover[row].Around(x); on {
			lo, hi = math.Min(lo, r.yOf(row)), math.Max(hi, r.yOf(row+1))
		}
	}
	run.A, run.B = math.Max(run.A, math.Max(lo, r.box.Y0)), math.Min(run.B, math.Min(hi, r.box.Y1))
	return run, run.A <= y1-60 && run.B >= y2+60
}

// acrossRuns are where joists may lie across the deck.
func (r *region) acrossRuns(half, y1, y2 float64) plane.Spans {
	return runsWhere(r.box.X0+half, r.box.X1-half, func(x float64) bool {
		_, ok := r.acrossAt(r.freeRows(x-half, x+half), x, y1, y2)
		return ok
	})
}

// acrossStock is a joist for a run: a length that fits, or the shortest that can be sawn to it.
func (k *kit) acrossStock(length float64) (*stock, bool) {
	for i := len(k.joists) - 1; i >= 0; i-- {
		if s := &k.joists[i]; s.len <= length && s.len >= length-endShort/2 {
			return s, false
		}
	}
	for i := range k.joists {
		if k.joists[i].len >= length {
			return &k.joists[i], true
		}
	}
	return &k.joists[len(k.joists)-1], true
}

// sheetAlong covers the deck with sheets from joist to joist.
func (f *field) sheetAlong(at []float64) error {
	r, w := f.r, f.p.rowH
	rows := int(math.Ceil((r.box.Y1 - r.box.Y0) / w * (1 - 1e-9)))
	for n := range rows {
		y0, y1 := r.box.Y0+float64(n)*w, math.Min(r.box.Y0+float64(n+1)*w, r.box.Y1)
		count := 0
		for x := r.box.X0; x < r.box.X1-1; {
			next := r.box.X1
			if next-x > f.p.sheet+0.5 {
				next = x + f.p.sheet
				for _, p := range at {
					if p > x+100 && p <= x+f.p.sheet {
						next = p
					}
				}
			}
			rect := plane.Rect(x, y0, next, y1).Map(func(p plane.Point) plane.Point { return r.f.out(p[0], p[1]) })
			got, err := plane.Intersection([]plane.Shape{{Outer: rect}}, r.world)
			if err != nil {
				return err
			}
			for _, s := range got {
				if s.Area() < 100 {
					continue
				}
				count++
				whole := math.Abs(s.Area()-f.p.sheet*w) < 10
				f.sheets = append(f.sheets, sheet{shape: s, cut: !whole, row: n + 1, n: count, x0: x, x1: next, y0: y0, y1: y1})
			}
			x = next
		}
	}
	return nil
}

// fillsItsWidth lets props of a narrow deck stand as near to the decks beside it as
// their plates allow, columns and walls apart.
func (r *region) fillsItsWidth(site *deck.Site) { r.narrow = site }
