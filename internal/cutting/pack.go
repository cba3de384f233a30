package cutting

import (
	"fmt"
	"sort"
)

// Order is a list of pieces to cut, each once, from offcuts and new sheets.
type Order struct {
	Sheet   Sheet
	Offcuts []Size // on hand, used before a new sheet is
	Pieces  []Size
	Useful  Length // a rest with both sides at least this is an offcut worth keeping
}

// Pattern is one sheet or offcut and how it is sawn.
type Pattern struct {
	Offcut int // index of the offcut on hand, NewSheet for a sheet
	Root   *Node
}

// NewSheet marks a pattern of a sheet that is no offcut.
const NewSheet = -1

// Packing is how an order is cut.
type Packing struct {
	Patterns []Pattern // offcuts first, and only those that are used
	Sheets   int       // new ones
	Bound    int       // no packing takes fewer
	Unplaced []int     // pieces larger than the sheet
}

// Pack places the pieces on as few new sheets as it can, and leaves offcuts as
// large as it can: guillotine packing in many orders and ways of splitting; where
// that misses the bound, patterns of the linear relaxation, and then orders changed
// a little from the best, for a fixed amount of work.
func Pack(o Order) (Packing, error) {
	if err := o.Sheet.check(nil); err != nil {
		return Packing{}, err
	}
	p := &packer{turn: o.Sheet.Turn, kerf: o.Sheet.Kerf, sheet: o.Sheet.Size.grown(o.Sheet.Kerf), useful: o.Useful}
	for _, s := range o.Offcuts {
		p.offcuts = append(p.offcuts, s.grown(p.kerf))
	}
	var ans Packing
	var list []int
	for i, s := range o.Pieces {
		if s.L <= 0 || s.W <= 0 {
			return Packing{}, fmt.Errorf("cutting: piece %d is %d by %d: give a size above zero", i, s.L, s.W)
		}
		s = s.grown(p.kerf)
		p.pieces = append(p.pieces, s)
		if s.fits(p.sheet) || p.turn && s.turned().fits(p.sheet) {
			list = append(list, i)
		} else {
			ans.Unplaced = append(ans.Unplaced, i)
		}
	}
	if len(list) == 0 {
		return ans, nil
	}
	ans.Bound = p.bound(list)
	best, order, how := p.orders(list)
	if best.sheets > ans.Bound {
		best, ans.Bound = p.improve(best, ans.Bound)
	}
	if best.sheets > ans.Bound {
		best = p.search(best, order, how, ans.Bound)
	}
	ans.Sheets = best.sheets
	for _, b := range best.bins {
		if b.used {
			ans.Patterns = append(ans.Patterns, Pattern{b.offcut, shrink(b.root, p.kerf)})
		}
	}
	return ans, nil
}

// packer is an order with the kerf added to every size.
type packer struct {
	sheet   Size
	offcuts []Size
	pieces  []Size
	turn    bool
	kerf    Length
	useful  Length
}

// bin is a sheet or an offcut while it is packed.
type bin struct {
	root   *Node
	rests  []*Node
	offcut int
	used   bool
}

// try is one packing and what it is worth.
type try struct {
	bins    []*bin
	sheets  int
	largest int64 // useful rest, of the new sheets
	useful  int64 // all of them
}

func (t *try) better(than *try) bool {
	switch {
	case than == nil:
		return true
	case t.sheets != than.sheets:
		return t.sheets < than.sheets
	case t.useful != than.useful:
		return t.useful > than.useful
	}
	return t.largest > than.largest
}

// rule is a way to choose a rest for a piece and to split what is left of it.
type rule struct{ choose, split int }

const (
	chooses = 3 // least area left, least left along the nearer side, along the farther side
	splits  = 4 // across first, along first, by the longer rest, by the shorter rest
)

// orders packs the pieces in every sorted order by every rule.
func (p *packer) orders(list []int) (best *try, order []int, how rule) {
	for _, less := range []func(a, b Size) bool{
		func(a, b Size) bool { return a.Area() > b.Area() },
		func(a, b Size) bool { return a.L > b.L || a.L == b.L && a.W > b.W },
		func(a, b Size) bool { return a.W > b.W || a.W == b.W && a.L > b.L },
		func(a, b Size) bool { return max(a.L, a.W) > max(b.L, b.W) },
		func(a, b Size) bool { return min(a.L, a.W) > min(b.L, b.W) },
		func(a, b Size) bool { return a.L+a.W > b.L+b.W },
	} {
		l := append([]int(nil), list...)
		sort.SliceStable(l, func(i, j int) bool { return less(p.pieces[l[i]], p.pieces[l[j]]) })
		for c := range chooses {
			for s := range splits {
				r := rule{c, s}
				if t := p.pack(l, r); t.better(best) {
					best, order, how = t, l, r
				}
			}
		}
	}
	return best, order, how
}

// search packs in orders a little changed from the best, for a fixed amount of work.
func (p *packer) search(best *try, order []int, how rule, bound int) *try {
	rounds := min(1000, 8_000_000/(len(order)*len(order))+20)
	dice := uint64(88172645463325252)
	roll := func(n int) int { // xorshift: the same numbers everywhere
		dice ^= dice << 13
		dice ^= dice >> 7
		dice ^= dice << 17
		return int(dice % uint64(n))
	}
	for range rounds {
		if best.sheets <= bound {
			break
		}
		l := append([]int(nil), order...)
		for range 1 + roll(3) {
			i, j := roll(len(l)), roll(len(l))
			if roll(2) == 0 {
				l[i], l[j] = l[j], l[i]
			} else { // move one to another place
				v := l[i]
				l = append(l[:i], l[i+1:]...)
				l = append(l[:j], append([]int{v}, l[j:]...)...)
			}
		}
		r := how
		if roll(4) == 0 {
			r = rule{roll(chooses), roll(splits)}
		}
		if t := p.pack(l, r); t.better(best) {
			best, order, how = t, l, r
		}
	}
	return best
}

// pack places the pieces in the given order by one rule.
func (p *packer) pack(list []int, r rule) *try {
	t := &try{}
	open := func(s Size, offcut int) *bin {
		b := &bin{root: &Node{Size: s, Piece: NoPiece}, offcut: offcut}
		b.rests = []*Node{b.root}
		t.bins = append(t.bins, b)
		return b
	}
	for i, s := range p.offcuts {
		open(s, i)
	}
	for _, i := range list {
		b, at, turned := p.place(t.bins, i, r)
		if b == nil {
			b = open(p.sheet, NewSheet)
			t.sheets++
			_, at, turned = p.place([]*bin{b}, i, r)
		}
		s := p.pieces[i]
		if turned {
			s = s.turned()
		}
		n := b.rests[at]
		b.rests = append(b.rests[:at], b.rests[at+1:]...)
		b.used = true
		_, rests := n.put(i, s, turned, acrossFirst(n.Size, s, r.split))
		for _, rest := range rests {
			if rest != nil && rest.Size.L > p.kerf && rest.Size.W > p.kerf {
				b.rests = append(b.rests, rest)
			}
		}
	}
	p.rate(t)
	return t
}

// rate measures the rests that are worth keeping.
func (p *packer) rate(t *try) {
	for _, b := range t.bins {
		for _, n := range b.rests {
			if s := n.Size.grown(-p.kerf); s.L >= p.useful && s.W >= p.useful {
				t.useful += s.Area()
				t.largest = max(t.largest, s.Area())
			}
		}
	}
}

func acrossFirst(rest, s Size, split int) bool {
	switch split {
	case 0:
		return true
	case 1:
		return false
	case 2:
		return rest.L-s.L > rest.W-s.W
	}
	return rest.L-s.L <= rest.W-s.W
}

// place finds the rest that a piece fits best.
func (p *packer) place(bins []*bin, piece int, r rule) (in *bin, at int, turned bool) {
	var best [2]int64
	for _, b := range bins {
		for k, n := range b.rests {
			for way := range 2 {
				s := p.pieces[piece]
				if way == 1 {
					if !p.turn || s.L == s.W {
						break
					}
					s = s.turned()
				}
				if !s.fits(n.Size) {
					continue
				}
				l, w := int64(n.Size.L-s.L), int64(n.Size.W-s.W)
				score := [2]int64{n.Size.Area(), min(l, w)}
				switch r.choose {
				case 1:
					score = [2]int64{min(l, w), max(l, w)}
				case 2:
					score = [2]int64{max(l, w), min(l, w)}
				}
				if in == nil || score[0] < best[0] || score[0] == best[0] && score[1] < best[1] {
					best, in, at, turned = score, b, k, way == 1
				}
			}
		}
	}
	return in, at, turned
}
