package cutting

import (
	"container/heap"
	"math"
)

// FillLimited cuts one sheet into pieces of the greatest total value with no
// more of a piece than its Most. Rectangles are built up from pieces, best
// first by value plus what the rest of the sheet could give without limits
// (Viswanathan and Bagchi 1993); the first whose bound no other exceeds is the
// best. After the given number of rectangles the search ends with the best so
// far and says that it is not proven.
func FillLimited(s Sheet, pieces []Piece, most int) (Fill, error) {
	if err := s.check(pieces); err != nil {
		return Fill{}, err
	}
	return fillLimited(s, pieces, most), nil
}

func fillLimited(s Sheet, pieces []Piece, most int) Fill {
	var vs []variant
	for _, v := range variants(s, pieces) {
		if pieces[v.piece].Most > 0 {
			vs = append(vs, v)
		}
	}
	t := newTable(s.Size.grown(s.Kerf), vs)
	t.solve()
	b := &builder{table: t, pieces: pieces, outside: outside(t), seen: map[string][]Size{}}
	b.run(most)

	f := Fill{Counts: make([]int, len(pieces)), Bound: max(b.bound, 0)}
	root := &Node{Size: t.sheet, Piece: NoPiece}
	if b.best != nil {
		f.Value = b.best.value
		corner, _ := root.put(NoPiece, b.best.size, false, true)
		b.best.lay(corner, vs, f.Counts)
	}
	f.Bound = max(f.Bound, f.Value)
	f.Proven = f.Value == f.Bound
	f.Root = shrink(root, s.Kerf)
	return f
}

// outside is the most that can be cut without limits from the sheet around a
// rectangle in its corner, by the rectangle's place in the table.
func outside(t *table) []int64 {
	nx, ny := len(t.xs), len(t.ys)
	// What lies between two places, and beyond each, as places themselves.
	between := func(at []Length, whole Length) (gaps [][]int32, rest []int32) {
		gaps, rest = make([][]int32, len(at)), make([]int32, len(at))
		for i := range at {
			rest[i] = int32(floor(at, whole-at[i]))
			for k := i + 1; k < len(at); k++ {
				gaps[i] = append(gaps[i], int32(floor(at, at[k]-at[i])))
			}
		}
		return gaps, rest
	}
	gapX, restX := between(t.xs, t.sheet.L)
	gapY, restY := between(t.ys, t.sheet.W)
	value := func(i, j int32) int64 { return t.value[int(i)*ny+int(j)] }
	lastX, lastY := int32(nx-1), int32(ny-1)
	out := make([]int64, nx*ny)
	for i := nx - 1; i >= 0; i-- {
		for j := ny - 1; j >= 0; j-- {
			// Beside it and then over both, or over it and then beside both.
			most := max(value(restX[i], int32(j))+value(lastX, restY[j]), value(int32(i), restY[j])+value(restX[i], lastY))
			for n, gap := range gapX[i] {
				most = max(most, out[(i+1+n)*ny+j]+value(gap, int32(j)))
			}
			for n, gap := range gapY[j] {
				most = max(most, out[i*ny+j+1+n]+value(int32(i), gap))
			}
			out[i*ny+j] = most
		}
	}
	return out
}

// built is a rectangle built of pieces.
type built struct {
	size    Size
	value   int64
	most    int64    // value and what the rest of the sheet can give
	counts  []uint16 // of each piece
	variant int      // of a single piece
	a, b    *built
	across  bool // b lies behind a in X
	order   int
}

type builder struct {
	table   *table
	pieces  []Piece
	outside []int64
	open    queue
	closed  []*built
	seen    map[string][]Size
	best    *built
	bound   int64
	made    int
}

func (b *builder) run(most int) {
	for i, v := range b.table.variants {
		c := make([]uint16, len(b.pieces))
		c[v.piece] = 1
		b.add(&built{size: v.size, value: v.value, counts: c, variant: i})
	}
	for len(b.open) > 0 {
		r := heap.Pop(&b.open).(*built)
		b.bound = r.most
		if b.best != nil && r.most <= b.best.value {
			b.bound = b.best.value
			return
		}
		if b.made > most {
			return
		}
		b.closed = append(b.closed, r)
		for _, q := range b.closed {
			b.join(r, q, true)
			b.join(r, q, false)
		}
	}
	if b.best != nil {
		b.bound = b.best.value
	}
}

// join lays two rectangles side by side when they and their pieces allow it.
func (b *builder) join(p, q *built, across bool) {
	s := Size{p.size.L + q.size.L, max(p.size.W, q.size.W)}
	if !across {
		s = Size{max(p.size.L, q.size.L), p.size.W + q.size.W}
	}
	if !s.fits(b.table.sheet) {
		return
	}
	if v := p.value + q.value; b.best != nil && v+b.around(s) <= b.best.value {
		return
	}
	for i := range p.counts {
		if int(p.counts[i])+int(q.counts[i]) > min(b.pieces[i].Most, math.MaxUint16) {
			return
		}
	}
	c := make([]uint16, len(p.counts))
	for i := range c {
		c[i] = p.counts[i] + q.counts[i]
	}
	b.add(&built{size: s, value: p.value + q.value, counts: c, a: p, b: q, across: across})
}

func (b *builder) around(s Size) int64 {
	return b.outside[floor(b.table.xs, s.L)*len(b.table.ys)+floor(b.table.ys, s.W)]
}

// add takes a rectangle into the search unless the same pieces are already in
// one that is no larger.
func (b *builder) add(r *built) {
	bytes := make([]byte, 0, 2*len(r.counts))
	for _, n := range r.counts {
		bytes = append(bytes, byte(n), byte(n>>8))
	}
	key := string(bytes)
	for _, s := range b.seen[key] {
		if s.fits(r.size) {
			return
		}
	}
	b.seen[key] = append(b.seen[key], r.size)
	r.most = r.value + b.around(r.size)
	if b.best == nil || r.value > b.best.value {
		b.best = r
	}
	if r.most <= b.best.value && r != b.best {
		return
	}
	r.order = b.made
	b.made++
	heap.Push(&b.open, r)
}

// lay puts a built rectangle on a rest of at least its size.
func (r *built) lay(n *Node, vs []variant, counts []int) {
	if r.a == nil {
		v := vs[r.variant]
		n.put(v.piece, v.size, v.turned, true)
		counts[v.piece]++
		return
	}
	first := r.a.size.L
	if !r.across {
		first = r.a.size.W
	}
	a, b := n.split(r.across, first)
	r.a.lay(a, vs, counts)
	r.b.lay(b, vs, counts)
}

// queue is a heap of rectangles, the one of the greatest bound on top.
type queue []*built

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	if q[i].most != q[j].most {
		return q[i].most > q[j].most
	}
	return q[i].order < q[j].order
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(*built)) }
func (q *queue) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}
