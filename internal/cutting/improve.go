package cutting

import "sort"

// sheetStock is new sheets as the stock of the relaxation: kinds are sizes.
type sheetStock struct {
	p     *packer
	sizes []Size
	byRow [][]int // pieces of each kind
	table *table
	left  int // patterns that may still be priced
}

// The work that relaxations over sheets may take: steps of the table, rectangles
// built for a pattern, patterns, relaxations while rounding.
const (
	tableWork      = 1_000_000
	patternWork    = 1000
	patternsPriced = 200
	sheetsRelaxed  = 12
)

// improve packs the new sheets of a packing again from the patterns of the
// linear relaxation, and finds a better bound. It gives up where the sizes are
// too many for it.
func (p *packer) improve(t *try, bound int) (*try, int) {
	var list []int
	for _, b := range t.bins {
		if b.offcut == NewSheet {
			b.root.Leaves(func(n *Node) {
				if n.Piece != NoPiece {
					list = append(list, n.Piece)
				}
			})
		}
	}
	sort.Ints(list)
	s := &sheetStock{p: p, left: patternsPriced}
	at := map[Size]int{}
	for _, i := range list {
		k, ok := at[p.pieces[i]]
		if !ok {
			k = len(s.sizes)
			at[p.pieces[i]] = k
			s.sizes, s.byRow = append(s.sizes, p.pieces[i]), append(s.byRow, nil)
		}
		s.byRow[k] = append(s.byRow[k], i)
	}
	demand := make([]int, len(s.sizes))
	for k, l := range s.byRow {
		demand[k] = len(l)
	}
	s.table = newTable(p.sheet, variants(s.sheet(), s.pieces(nil, nil)))
	if s.table.work() > tableWork {
		return t, bound
	}
	r := relax(s, demand)
	if len(p.offcuts) == 0 {
		bound = max(bound, r.bound)
	}
	if t.sheets <= bound {
		return t, bound
	}
	d := dive{stock: s, bound: r.bound, best: make([][]int, t.sheets), left: sheetsRelaxed}
	d.run(demand, nil, &r)
	if len(d.best) >= t.sheets {
		return t, bound
	}
	better := &try{sheets: len(d.best)}
	for _, b := range t.bins {
		if b.offcut != NewSheet {
			better.bins = append(better.bins, b)
		}
	}
	for _, counts := range d.best {
		better.bins = append(better.bins, s.lay(counts))
	}
	p.rate(better)
	return better, bound
}

// sheet is the sheet without the kerf, which sizes hold already.
func (s *sheetStock) sheet() Sheet { return Sheet{Size: s.p.sheet, Turn: s.p.turn} }

func (s *sheetStock) pieces(worth []int64, most []int) []Piece {
	out := make([]Piece, len(s.sizes))
	for k, size := range s.sizes {
		out[k].Size = size
		if worth != nil {
			out[k].Value, out[k].Most = worth[k], most[k]
		}
	}
	return out
}

func (s *sheetStock) alone(kind, wanted int) int {
	n := 0
	for _, size := range []Size{s.sizes[kind], s.sizes[kind].turned()} {
		if size.fits(s.p.sheet) && (s.p.turn || size == s.sizes[kind]) {
			n = max(n, int(s.p.sheet.L/size.L)*int(s.p.sheet.W/size.W))
		}
	}
	return min(n, wanted)
}

func (s *sheetStock) pattern(worth []int64, wanted []int) ([]int, int64) {
	if s.left == 0 { // no better pattern is known, and no bound
		return make([]int, len(worth)), 0
	}
	s.left--
	f := fillLimited(s.sheet(), s.pieces(worth, wanted), patternWork)
	return f.Counts, f.Bound
}

func (s *sheetStock) firstFit(wanted []int) [][]int {
	var list []int
	kind := map[int]int{}
	for k, n := range wanted {
		for _, i := range s.byRow[k][:n] {
			list = append(list, i)
			kind[i] = k
		}
	}
	if len(list) == 0 {
		return nil
	}
	only := *s.p
	only.offcuts = nil
	best, _, _ := only.orders(list)
	var out [][]int
	for _, b := range best.bins {
		counts := make([]int, len(s.sizes))
		b.root.Leaves(func(n *Node) {
			if n.Piece != NoPiece {
				counts[kind[n.Piece]]++
			}
		})
		out = append(out, counts)
	}
	return out
}

// lay cuts the counted pieces from one sheet, with rests as large as can be,
// and takes them off the lists of pieces.
func (s *sheetStock) lay(counts []int) *bin {
	var list []int
	for k, n := range counts {
		list = append(list, s.byRow[k][:n]...)
	}
	only := *s.p
	only.offcuts = nil
	if best, _, _ := only.orders(list); best.sheets == 1 {
		for k, n := range counts {
			s.byRow[k] = s.byRow[k][n:]
		}
		return best.bins[0]
	}
	worth := make([]int64, len(s.sizes)) // the pattern that the search found
	for k := range worth {
		worth[k] = s.sizes[k].Area()
	}
	f := fillLimited(s.sheet(), s.pieces(worth, counts), 100*patternWork)
	b := &bin{root: f.Root, offcut: NewSheet, used: true}
	f.Root.Leaves(func(n *Node) {
		if n.Piece == NoPiece {
			b.rests = append(b.rests, n)
			return
		}
		k := n.Piece
		n.Piece = s.byRow[k][0]
		s.byRow[k] = s.byRow[k][1:]
	})
	return b
}
