package layout

import (
	"math"
	"slices"
	"sort"
	"sync"

	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/plane"
)

// margin is the number of rows kept below and above the deck, to know what
// stands there.
const margin = 60

// rowStep is the search grid across the joists' length, mm.
const rowStep = 25.0

// frame turns job axes into a field's own: joists run along y, stringers along
// x. All of the engine works in such a frame.
type frame struct {
	sin, cos float64
	deg      float64 // joist direction in job axes
}

// newFrame makes the frame for a joist direction in degrees from job x.
func newFrame(joistDeg float64) frame {
	// The joist direction becomes +y, so the frame's x axis is it less 90 degrees.
	s, c := math.Sincos((joistDeg - 90) * math.Pi / 180)
	switch joistDeg { // exact for the common directions
	case 90:
		s, c = 0, 1
	case 0:
		s, c = -1, 0
	}
	return frame{s, c, joistDeg}
}

func (f frame) in(p plane.Point) plane.Point {
	return plane.Point{p[0]*f.cos + p[1]*f.sin, -p[0]*f.sin + p[1]*f.cos}
}

func (f frame) out(x, y float64) plane.Point {
	return plane.Point{round(x*f.cos - y*f.sin), round(x*f.sin + y*f.cos)}
}

// round to a hundredth of a millimetre, the grid of all placed parts.
func round(v float64) float64 { return math.Round(v*100) / 100 }

// region is one zone's deck in its frame, cut into rows.
type region struct {
	f       frame
	world   []plane.Shape // the deck in job axes: slab and strip, to be sheeted
	deck    []plane.Shape // the same in the frame
	slab    []plane.Shape
	stand   []plane.Shape // nil: anywhere
	clear   []plane.Ring  // no prop may stand here
	keep    []kept        // parts that the job fixes here
	blocks  []plane.Shape // no part may be here
	heavy   []plane.Spans // per row: slab under load
	cover   []plane.Spans // per row: deck, all that the row touches
	inner   []plane.Spans // per row: deck through the whole height of the row
	blocked []plane.Spans // per row: blocks, columns as their boxes, grown by the clearance
	exact   []plane.Spans // per row: blocks as they are, grown by the clearance
	narrow  *deck.Site    // of a narrow deck, see fillsItsWidth
	gap     float64       // clearance to blocks
	edge    float64       // how far props stand from the edge of the slab below
	y0      float64
	rowY    float64 // where rows of sheets are counted from
	box     plane.Box
	rooms   bool                // lower zones have room for side forms under this deck
	lower   []plane.Shape       // zones below with side forms
	beyond  float64             // room beside these
	solid   int                 // how many of the blocks are columns, walls and joints
	mu      sync.Mutex          // of unions
	unions  map[int]plane.Spans // deck intervals by row of sheets
}

func (r *region) rows() int           { return len(r.cover) }
func (r *region) rowOf(y float64) int { return int(math.Floor((y - r.y0) / rowStep)) }
func (r *region) yOf(row int) float64 { return r.y0 + float64(row)*rowStep }
func (r *region) rowSpan(a, b float64) (int, int) {
	i, j := r.rowOf(a+1e-6), r.rowOf(b-1e-6)
	return max(0, i), min(r.rows()-1, j)
}

// newRegion prepares a zone of a site. Other zones are blocks to it, since
// their concrete and forms hang there.
func newRegion(site *deck.Site, zone int, f frame, choice job.DeckSettings) (*region, error) {
	clearance := mmOf(choice.Clearance)
	r := &region{f: f, gap: clearance, edge: mmOf(choice.EdgeOfStand), unions: map[int]plane.Spans{}}
	local := func(in []plane.Shape) []plane.Shape {
		out := make([]plane.Shape, len(in))
		for i, s := range in {
			out[i] = s.Map(f.in)
		}
		return out
	}
	r.slab = local(site.Zones[zone].Shapes)
	r.world = site.Zones[zone].Shapes
	if strip := slices.Concat(site.Zones[zone].Strip, site.Zones[zone].Room); len(strip) > 0 {
		var err error
		if r.world, err = plane.Union(append(append([]plane.Shape(nil), r.world...), strip...)); err != nil {
			return nil, err
		}
	}
	r.deck = local(r.world)
	if !site.OnGround {
		r.stand = local(site.Stand)
	}
	r.keep = keptIn(site, zone, f)
	for _, c := range site.Clear {
		r.clear = append(r.clear, c.Map(f.in))
	}
	for _, b := range site.Blocks {
		r.blocks = append(r.blocks, plane.Shape{Outer: b.Ring.Map(f.in)})
	}
	r.solid = len(r.blocks)
	for i, z := range site.Zones {
		if i == zone {
			continue
		}
		if len(z.Room) > 0 && z.Soffit < site.Zones[zone].Soffit {
			r.rooms, r.beyond = true, math.Max(mmOf(choice.SideRoom)-clearance, 0)
			r.lower = append(r.lower, local(z.Shapes)...)
		}
		kept, err := plane.Difference(z.Shapes, site.Zones[zone].Room)
		if err != nil {
			return nil, err
		}
		for _, s := range slices.Concat(kept, z.Strip, z.Room) {
			r.blocks = append(r.blocks, s.Map(f.in))
		}
	}
	r.box = plane.Bounds(r.deck)
	r.rowY = r.box.Y0
	r.y0 = r.box.Y0 - margin*rowStep
	n := int(math.Ceil((r.box.Y1-r.box.Y0)/rowStep-1e-9)) + 2*margin
	r.cover, r.inner, r.heavy = make([]plane.Spans, n), make([]plane.Spans, n), make([]plane.Spans, n)
	corners := cornerHeights(r.deck)
	for i := range n {
		a, b := r.yOf(i), r.yOf(i+1)
		if b <= r.box.Y0 || a >= r.box.Y1 {
			continue
		}
		ys := []float64{a + 1e-3, (math.Max(a, r.box.Y0) + math.Min(b, r.box.Y1)) / 2, math.Min(b, r.box.Y1) - 1e-3}
		for _, c := range between(corners, a, b) {
			ys = append(ys, c-1e-3, c+1e-3)
		}
		var u plane.Spans
		var in plane.Spans
		for k, y := range ys {
			s := plane.Scan(r.deck, y)
			u = append(u, s...)
			if k == 0 {
				in = s
			} else {
				in = plane.Overlap(in, s)
			}
		}
		r.cover[i], r.inner[i] = plane.Merge(u, 0.01), in
		r.heavy[i] = plane.Scan(r.slab, (a+b)/2)
	}
	r.blocked, r.exact = r.scanBlocks(clearance, true), r.scanBlocks(clearance, false)
	return r, nil
}

func cornerHeights(shapes []plane.Shape) []float64 {
	var ys []float64
	for _, s := range shapes {
		for _, ring := range s.Rings() {
			for _, p := range ring {
				ys = append(ys, p[1])
			}
		}
	}
	sort.Float64s(ys)
	return ys
}

func between(sorted []float64, a, b float64) []float64 {
	i := sort.SearchFloat64s(sorted, a)
	j := sort.SearchFloat64s(sorted, b)
	return sorted[i:j]
}

// scanBlocks gives, row by row, the x-intervals kept free around blocks, or
// around the boxes of columns.
func (r *region) scanBlocks(clearance float64, boxes bool) []plane.Spans {
	out := make([]plane.Spans, r.rows())
	for _, shape := range r.blocks {
		b := shape.Outer.Bounds()
		// Members stop at the box around a round or turned column.
		if boxes && b.X1-b.X0 < 2000 && b.Y1-b.Y0 < 2000 {
			shape = plane.Shape{Outer: plane.Rect(b.X0, b.Y0, b.X1, b.Y1)}
		}
		lo, hi := r.rowOf(b.Y0-clearance), r.rowOf(b.Y1+clearance)
		for i := max(0, lo); i <= min(r.rows()-1, hi); i++ {
			a, c := r.yOf(i)-clearance, r.yOf(i+1)+clearance
			for _, s := range touch(shape, a, c) {
				out[i] = append(out[i], plane.Span{A: s.A - clearance, B: s.B + clearance})
			}
		}
	}
	for i := range out {
		out[i] = plane.Merge(out[i], 0)
	}
	return out
}

// touch gives the x-intervals that a shape covers anywhere between two heights.
func touch(shape plane.Shape, a, b float64) plane.Spans {
	box := shape.Outer.Bounds()
	ys := []float64{math.Max(a, box.Y0+1e-3), (a + b) / 2, math.Min(b, box.Y1-1e-3)}
	for _, ring := range shape.Rings() {
		for _, p := range ring {
			if p[1] > a && p[1] < b {
				ys = append(ys, p[1]-1e-3, p[1]+1e-3)
			}
		}
	}
	var u plane.Spans
	for _, y := range ys {
		u = append(u, plane.Scan([]plane.Shape{shape}, y)...)
	}
	return plane.Merge(u, 0.5)
}

// free reports whether the box is clear of blocks.
func (r *region) free(x0, x1, y0, y1 float64) bool {
	i, j := r.rowOf(y0+1e-6), r.rowOf(y1-1e-6)
	for k := max(0, i); k <= min(r.rows()-1, j); k++ {
		for _, s := range r.blocked[k] {
			if s.A < x1 && s.B > x0 {
				return false
			}
		}
	}
	return true
}

// freeRows gives the y-intervals in which a strip x0..x1 is clear of blocks,
// within reach of the region.
func (r *region) freeRows(x0, x1 float64) plane.Spans { return r.freeOf(r.blocked, x0, x1) }

// freeOf is freeRows for one of the two ways to see blocks.
func (r *region) freeOf(blocked []plane.Spans, x0, x1 float64) plane.Spans {
	var out plane.Spans
	start := r.y0
	for i := range r.rows() {
		hit := false
		for _, s := range blocked[i] {
			if s.A < x1 && s.B > x0 {
				hit = true
				break
			}
		}
		if hit {
			if y := r.yOf(i); y > start {
				out = append(out, plane.Span{A: start, B: y})
			}
			start = r.yOf(i + 1)
		}
	}
	return append(out, plane.Span{A: start, B: r.yOf(r.rows())})
}

// freeRun gives the x-interval around x that a band y0..y1 has clear of blocks.
func (r *region) freeRun(x, y0, y1 float64) (plane.Span, bool) {
	out := plane.Span{A: r.box.X0 - 3000, B: r.box.X1 + 3000}
	i, j := r.rowOf(y0+1e-6), r.rowOf(y1-1e-6)
	for k := max(0, i); k <= min(r.rows()-1, j); k++ {
		for _, s := range r.blocked[k] {
			switch {
			case s.B <= x:
				out.A = math.Max(out.A, s.B)
			case s.A >= x:
				out.B = math.Min(out.B, s.A)
			default:
				return out, false
			}
		}
	}
	return out, true
}

// plate is half the side of a prop's end plate, mm.
const plate = 75

// keptClear reports whether the job keeps a place clear of props.
func (r *region) keptClear(p plane.Point) bool {
	for _, c := range r.clear {
		if c.Contains(p) || c.DistanceTo(p) < plate {
			return true
		}
	}
	return false
}

// canStand reports whether a prop may stand at a point: on the slab below and
// off its edge, its plate clear of blocks.
func (r *region) canStand(x, y float64) bool {
	if r.narrow != nil {
		return r.standsUnder(r.narrow, x, y)
	}
	if !r.free(x-plate, x+plate, y-plate, y+plate) {
		return false
	}
	p := plane.Point{x, y}
	if r.keptClear(p) {
		return false
	}
	return r.onSlabBelow(p)
}

// onSlabBelow reports whether a place lies on the slab below and off its edge.
func (r *region) onSlabBelow(p plane.Point) bool {
	if r.stand == nil {
		return true
	}
	if !plane.Within(r.stand, p) {
		return false
	}
	for _, s := range r.stand {
		for _, ring := range s.Rings() {
			if ring.DistanceTo(p) < r.edge {
				return false
			}
		}
	}
	return true
}
