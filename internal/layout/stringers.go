package layout

import (
	"math"
	"sort"

	"shoreward/internal/beam"
	"shoreward/internal/deck"
	"shoreward/internal/member"
	"shoreward/internal/plane"
)

// stringer is one placed stringer in the field's frame.
type stringer struct {
	line   int
	y      float64 // centreline
	x0, x1 float64
	stock  *stock
	sawn   bool
	old    int  // its place in an earlier deck, where it stays from there
	mended bool // a repair had laid it there
}

// prop is one placed prop in the field's frame.
type prop struct {
	line       int // -1: straight under a joist
	x, y       float64
	grade      bool
	underJoist bool
	two        bool // under two joists that lap
	column     int  // of the joist
}

// contact is a joist resting on a line.
type contact struct {
	x, load float64 // mm, N
	joist   int
}

// layStringers covers every line where joists rest on it and props it.
func (f *field) layStringers(in *Input, z int) error {
	f.shares()
	on := make([][]contact, len(f.lines))
	for ji, j := range f.joists {
		loads := f.reactions(j)
		for si, s := range j.supports {
			load := loads[si]
			if s.line < 0 {
				f.propJoist(ji, s.y)
				continue
			}
			on[s.line] = append(on[s.line], contact{j.x, load, ji})
		}
	}
	lines := make([][][]contact, len(f.lines)) // their runs
	for li := range f.lines {
		sort.Slice(on[li], func(a, b int) bool { return on[li][a].x < on[li][b].x })
		lines[li] = f.runs(li, on[li])
	}
	if err := f.weigh(in, z, lines); err != nil {
		return err
	}
	for li, runs := range lines {
		within := plane.Span{A: math.Inf(-1), B: math.Inf(1)} // what its neighbours leave to a run
		for k, run := range runs {
			within.B = math.Inf(1)
			if k+1 < len(runs) {
				within.B = runs[k+1][0].x - f.pastJoist() - runGap
			}
			if end, ok := f.layRun(li, run, within); ok {
				within.A = end + runGap
			}
		}
	}
	return nil
}

// weigh puts what joists really hand down, by the proof's reckoning, in place of
// the estimate: for it a line is one piece from the first to the last joist of each run.
func (f *field) weigh(in *Input, z int, lines [][][]contact) error {
	if in.Handed == nil {
		return nil
	}
	half := f.pastJoist()
	var runs [][]contact
	for li, of := range lines {
		for _, on := range of {
			f.beams = append(f.beams, stringer{line: li, y: f.lines[li].y, x0: on[0].x - half, x1: on[len(on)-1].x + half, stock: &f.k.stringers[0]})
			runs = append(runs, on)
		}
	}
	d := &deck.Deck{}
	f.emit(in, z, roman(1), d)
	f.beams = nil
	provisional(d)
	run := map[string]int{}
	for i, m := range d.Stringers {
		run[m.ID] = i
	}
	handed, err := in.Handed(d)
	if err != nil {
		return err
	}
	sums := make([]map[int]float64, len(runs))
	for _, h := range handed {
		i := run[h.Stringer]
		if c, ok := contactAt(runs[i], f.r.f.in(h.At)[0]); ok {
			if sums[i] == nil {
				sums[i] = map[int]float64{}
			}
			sums[i][c] += h.Load
		}
	}
	for i, by := range sums {
		for c, load := range by {
			runs[i][c].load = learnt(load)
		}
	}
	return nil
}

// nearest is how near two props under one member may stand, mm.
const nearest = 150.0

// propJoist puts a prop straight under a joist, one for two that lap there.
func (f *field) propJoist(ji int, y float64) {
	j := f.joists[ji]
	for i := range f.props {
		p := &f.props[i]
		if p.underJoist && math.Abs(p.x-j.x) < 1 && math.Abs(p.y-y) < 90 {
			return // the joist has one there
		}
		if p.underJoist && p.column == j.column && math.Abs(p.y-y) < 1 && math.Abs(p.x-j.x) > 1 {
			p.x, p.two = (p.x+j.x)/2, true
			return
		}
		w := mmOf(f.k.joists[0].part.Width.V)
		if d := math.Abs(p.x - j.x); p.underJoist && !p.two && d > w-3 && d < w+5 && math.Abs(p.y-y) < 150 {
			p.x, p.two = (p.x+j.x)/2, true // joists side by side share a head for two
			return
		} else if p.underJoist && d < 150 && math.Abs(p.y-y) < 150 && y+200 < j.y1-60 {
			y = p.y + 200
		}
	}
	f.props = append(f.props, prop{line: -1, x: j.x, y: y, underJoist: true, column: j.column})
}

// reactions of a joist on its supports, the worst over patterns of placing, N.
// The tail past a lap carries nothing; in the working strip the load is less.
func (f *field) reactions(j joist) []float64 {
	n := len(j.supports)
	a, b := j.y0, j.y1
	if j.supports[0].lap {
		a = j.supports[0].y
	}
	if j.supports[n-1].lap {
		b = j.supports[n-1].y
	}
	pc := member.Piece{End: (b - a) / 1000, EI: float64(f.k.joistRes.EI)}
	for _, s := range j.supports {
		pc.Supports = append(pc.Supports, (s.y-a)/1000)
	}
	w := f.p.pitch / 1000
	i, k := f.r.rowSpan(a, b)
	for from := i; from <= k; {
		heavy := f.heavyShare(from, j.x)
		to := from
		for to < k && math.Abs(f.heavyShare(to+1, j.x)-heavy) < 0.02 {
			to++
		}
		q := f.k.strip + (f.k.strength-f.k.strip)*heavy
		pc.Placing = append(pc.Placing, beam.Uniform((math.Max(a, f.r.yOf(from))-a)/1000, (math.Min(b, f.r.yOf(to+1))-a)/1000, math.Round(q*w*f.shareOf(j)/20)*20))
		from = to + 1
	}
	out := make([]float64, n)
	if e, err := f.solver.Solve(pc); err == nil {
		for i, v := range e.ReactMax {
			out[i] = math.Max(0, math.Ceil(v/loadStep)*loadStep)
		}
	}
	return out
}

// loadStep rounds the loads of the planning model up, so that alike runs are
// alike to the solver's memory, N.
const loadStep = 100.0

// heavyShare is how much of a joist's band lies under the slab in a row.
func (f *field) heavyShare(row int, x float64) float64 {
	band := plane.Spans{{A: x - f.p.pitch/2, B: x + f.p.pitch/2}}
	return plane.Overlap(f.r.heavy[row], band).Total() / f.p.pitch
}

// shareOf is what a joist carries of its pitch because sheets run over it from
// joint to joint: more than its pitch beside a joint, less under it.
func (f *field) shareOf(j joist) float64 {
	if j.share > 0 {
		return j.share
	}
	return 1
}

// shares finds every joist's part from the sheets on it.
func (f *field) shares() {
	order := make([]int, len(f.joists))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return f.joists[order[a]].x < f.joists[order[b]].x })
	sum, width := make([]float64, len(f.joists)), make([]float64, len(f.joists))
	for _, s := range f.sheets {
		y := (s.y0 + s.y1) / 2
		var on []int
		b := beam.Beam{Start: 0, End: (s.x1 - s.x0) / 1000, EI: 1}
		i := sort.Search(len(order), func(i int) bool { return f.joists[order[i]].x >= s.x0-30 })
		for ; i < len(order) && f.joists[order[i]].x <= s.x1+30; i++ {
			j := f.joists[order[i]]
			if j.supports[0].y > y+300 || j.supports[len(j.supports)-1].y < y-300 {
				continue
			}
			x := math.Min(math.Max((j.x-s.x0)/1000, 0), b.End)
			if n := len(b.Supports); n > 0 && x-b.Supports[n-1].X < 0.1 {
				continue
			}
			b.Supports = append(b.Supports, beam.Support{X: x})
			on = append(on, order[i])
		}
		if len(on) < 2 {
			continue
		}
		r, err := b.Solve([]beam.Load{beam.Uniform(0, b.End, 1)})
		if err != nil {
			continue
		}
		for k, ji := range on {
			sum[ji] += r.Reactions[k] * 1000 * (s.y1 - s.y0)
			width[ji] += s.y1 - s.y0
			if k == 0 || k == len(on)-1 { // half of a joint: the other sheet brings the rest
				width[ji] -= (s.y1 - s.y0) / 2
			}
		}
	}
	for i := range f.joists {
		if width[i] > 0 {
			f.joists[i].share = math.Min(1.3, math.Max(0.5, sum[i]/width[i]/f.p.pitch))
		}
	}
}

// runs splits the joists on a line where a block stands between them or the
// next is so far off that a new run is cheaper.
func (f *field) runs(li int, on []contact) [][]contact {
	if len(on) == 0 {
		return nil
	}
	w := mmOf(f.k.stringers[0].part.Width.V)
	y := f.lines[li].y
	var out [][]contact
	start := 0
	for i := 1; i < len(on); i++ {
		gap := on[i].x - on[i-1].x
		if gap > 3*f.p.pitch+500 || (gap > 1 && !f.r.free(on[i-1].x, on[i].x, y-w, y+w)) {
			out = append(out, on[start:i])
			start = i
		}
	}
	return append(out, on[start:])
}

// runGap is left between the stringers of two runs of a line, mm.
const runGap = 10.0

// pastJoist is how far a stringer reaches past the middle of its last joist.
func (f *field) pastJoist() float64 { return mmOf(f.k.joists[0].part.Width.V)/2 + 40 }

// layRun covers one run with stringers and props, and gives the end of the last.
func (f *field) layRun(li int, on []contact, within plane.Span) (end float64, ok bool) {
	y := f.lines[li].y
	w := mmOf(f.k.stringers[0].part.Width.V)
	half := f.pastJoist()
	xa, xb := on[0].x-half, on[len(on)-1].x+half
	room, ok := f.r.freeRun(on[0].x, y-w, y+w)
	if !ok {
		f.lost = append(f.lost, "a stringer line through a block")
		return 0, false
	}
	room.A, room.B = math.Max(room.A, within.A), math.Min(room.B, within.B)
	xa, xb = math.Max(xa, room.A), math.Min(xb, room.B)
	// Stock may run on under the deck; past its border only a little.
	var pieces []stringer
	var props []planned
	var used plane.Span
	for _, far := range []float64{pastDeck, 900} {
		in := room
		if _, ok := f.deckAt(xa-400, y); !ok {
			in.A = math.Max(in.A, xa-far)
		}
		if _, ok := f.deckAt(xb+400, y); !ok {
			in.B = math.Min(in.B, xb+far)
		}
		used = in
		if pieces, props = f.cover(on, y, xa, xb, in); pieces != nil {
			break
		}
	}
	if pieces == nil { // no stringer fits here: props straight under the joists
		for _, c := range on {
			j := f.joists[c.joist]
			lo, hi := math.Max(y-200, j.y0+endMin), math.Min(y+200, j.y1-endMin)
			f.propJoist(c.joist, f.standAt(c.x, lo, hi, math.Max(lo, math.Min(y, hi))))
		}
		return 0, false
	}
	f.sides(li, y, pieces)
	l := laid{line: li, y: y, on: on, pieces: pieces, xa: xa, xb: xb, room: used}
	f.beams = append(f.beams, pieces...)
	f.props = append(f.props, f.propRun(l, props)...)
	f.laid = append(f.laid, l)
	return pieces[len(pieces)-1].x1, true
}

// sides puts pieces that lap side by side, every other one on the same side.
func (f *field) sides(line int, y float64, pieces []stringer) {
	w := mmOf(f.k.stringers[0].part.Width.V)
	for i := range pieces {
		pieces[i].line, pieces[i].y = line, y
		if len(pieces) > 1 {
			pieces[i].y = y + w/2*float64(2*(i%2)-1)
		}
	}
}

// deckAt is the deck interval around a point.
func (f *field) deckAt(x, y float64) (plane.Span, bool) {
	i := f.r.rowOf(y)
	if i < 0 || i >= f.r.rows() {
		return plane.Span{}, false
	}
	for _, at := range []float64{x, x + overrun, x - overrun} { // joists may lie just past the border
		if s, ok := f.r.cover[i].Around(at); ok {
			return s, true
		}
	}
	return plane.Span{}, false
}
