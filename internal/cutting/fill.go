package cutting

import "sort"

// Fill is the best way to cut one sheet.
type Fill struct {
	Value  int64
	Counts []int // of each piece
	Root   *Node
	Bound  int64 // no pattern is worth more
	Proven bool  // Value equals Bound
}

// FillSheet cuts one sheet into pieces of the greatest total value, as many of
// each as wanted: exact, by dynamic programming over the places that sums of
// piece lengths can reach (normal patterns; Gilmore and Gomory 1966, Beasley
// 1985).
func FillSheet(s Sheet, pieces []Piece) (Fill, error) {
	if err := s.check(pieces); err != nil {
		return Fill{}, err
	}
	t := newTable(s.Size.grown(s.Kerf), variants(s, pieces))
	t.solve()
	f := Fill{Counts: make([]int, len(pieces)), Proven: true}
	root := &Node{Size: t.sheet, Piece: NoPiece}
	t.build(root)
	f.Root = shrink(root, s.Kerf)
	f.Root.Leaves(func(n *Node) {
		if n.Piece != NoPiece {
			f.Counts[n.Piece]++
			f.Value += pieces[n.Piece].Value
		}
	})
	f.Bound = f.Value
	return f, nil
}

// variant is a piece as it may lie, grown by the kerf.
type variant struct {
	size   Size
	value  int64
	piece  int
	turned bool
}

// variants are the pieces as they may lie on the sheet.
func variants(s Sheet, pieces []Piece) []variant {
	var out []variant
	sheet := s.Size.grown(s.Kerf)
	for i, p := range pieces {
		size := p.Size.grown(s.Kerf)
		if size.fits(sheet) {
			out = append(out, variant{size, p.Value, i, false})
		}
		if size = size.turned(); s.Turn && size.L != size.W && size.fits(sheet) {
			out = append(out, variant{size, p.Value, i, true})
		}
	}
	return out
}

// sums are the lengths up to most that whole numbers of the given lengths add
// up to, zero among them, in order.
func sums(lengths []Length, most Length) []Length {
	reach := make([]bool, most+1)
	reach[0] = true
	for at := range reach {
		if !reach[at] {
			continue
		}
		for _, l := range lengths {
			if to := Length(at) + l; to <= most {
				reach[to] = true
			}
		}
	}
	var out []Length
	for at, ok := range reach {
		if ok {
			out = append(out, Length(at))
		}
	}
	return out
}

// table is the dynamic programme: the best value of every rectangle whose
// sides are sums of piece lengths and widths.
type table struct {
	sheet    Size
	variants []variant
	xs, ys   []Length
	value    []int64 // by x, then y
	choice   []choice
}

// choice of a rectangle: a variant, or a saw cut at a normal pattern.
type choice struct {
	kind cutKind
	arg  int32
}

type cutKind uint8

const (
	leave cutKind = iota
	take
	across
	along
)

func newTable(sheet Size, vs []variant) *table {
	var ls, ws []Length
	for _, v := range vs {
		ls, ws = append(ls, v.size.L), append(ws, v.size.W)
	}
	return &table{sheet: sheet, variants: vs, xs: sums(distinct(ls), sheet.L), ys: sums(distinct(ws), sheet.W)}
}

func distinct(in []Length) []Length {
	sort.Slice(in, func(i, j int) bool { return in[i] < in[j] })
	var out []Length
	for _, l := range in {
		if len(out) == 0 || l != out[len(out)-1] {
			out = append(out, l)
		}
	}
	return out
}

// work is about how many steps solve takes.
func (t *table) work() int64 {
	x, y := int64(len(t.xs)), int64(len(t.ys))
	return x * y * (x + y) / 4
}

// floor is the index of the greatest of the ordered lengths that is not above l.
func floor(of []Length, l Length) int {
	return sort.Search(len(of), func(i int) bool { return of[i] > l }) - 1
}

func (t *table) solve() {
	nx, ny := len(t.xs), len(t.ys)
	if t.value == nil {
		t.value, t.choice = make([]int64, nx*ny), make([]choice, nx*ny)
	}
	clear(t.value)
	clear(t.choice)
	for i, v := range t.variants {
		at := floor(t.xs, v.size.L)*ny + floor(t.ys, v.size.W)
		if v.value > t.value[at] {
			t.value[at], t.choice[at] = v.value, choice{take, int32(i)}
		}
	}
	// restY[j][k] is where the rest of ys[j] after a cut at ys[k] lies.
	restY := make([][]int32, ny)
	for j := range restY {
		for k := 1; k < j && 2*t.ys[k] <= t.ys[j]; k++ {
			restY[j] = append(restY[j], int32(floor(t.ys, t.ys[j]-t.ys[k])))
		}
	}
	for i := range nx {
		row, how := t.value[i*ny:(i+1)*ny], t.choice[i*ny:(i+1)*ny]
		if i > 0 { // what a shorter rectangle gives
			for j, v := range t.value[(i-1)*ny : i*ny] {
				if v > row[j] {
					row[j], how[j] = v, t.choice[(i-1)*ny+j]
				}
			}
		}
		for k := 1; k < i && 2*t.xs[k] <= t.xs[i]; k++ {
			r := floor(t.xs, t.xs[i]-t.xs[k])
			a, b := t.value[k*ny:(k+1)*ny], t.value[r*ny:(r+1)*ny]
			for j := range row {
				if v := a[j] + b[j]; v > row[j] {
					row[j], how[j] = v, choice{across, int32(k)}
				}
			}
		}
		for j := 1; j < ny; j++ {
			if row[j-1] > row[j] {
				row[j], how[j] = row[j-1], how[j-1]
			}
			for k, r := range restY[j] {
				if v := row[k+1] + row[r]; v > row[j] {
					row[j], how[j] = v, choice{along, int32(k + 1)}
				}
			}
		}
	}
}

// build saws a rest as the table says.
func (t *table) build(n *Node) {
	c := t.choice[floor(t.xs, n.Size.L)*len(t.ys)+floor(t.ys, n.Size.W)]
	switch c.kind {
	case take:
		v := t.variants[c.arg]
		n.put(v.piece, v.size, v.turned, true)
	case across, along:
		at := t.xs
		if c.kind == along {
			at = t.ys
		}
		a, b := n.split(c.kind == across, at[c.arg])
		t.build(a)
		t.build(b)
	}
}
