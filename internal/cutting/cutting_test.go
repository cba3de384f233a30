package cutting

import (
	"fmt"
	"math/rand"
	"testing"
)

// Every way to saw a small sheet, tried one after the other: slow and plain, to
// prove the fast ones. Each pattern is known by
// the counts of its pieces.
func sawAll(s Size, pieces []Piece, kerf Length, turn bool, limits bool) int64 {
	var cut func(s Size) map[string]int64 // counts -> value, of all patterns of s
	cache := map[Size]map[string]int64{}
	cut = func(s Size) map[string]int64 {
		if got, ok := cache[s]; ok {
			return got
		}
		out := map[string]int64{string(make([]byte, len(pieces))): 0}
		for i, p := range pieces {
			if p.Size.fits(s) || turn && p.Size.turned().fits(s) {
				c := make([]byte, len(pieces))
				c[i] = 1
				if !limits || p.Most > 0 {
					out[string(c)] = p.Value
				}
			}
		}
		join := func(a, b Size) {
			for c1, v1 := range cut(a) {
				for c2, v2 := range cut(b) {
					c, ok := []byte(c1), true
					for i := range c {
						c[i] += c2[i]
						ok = ok && (!limits || int(c[i]) <= pieces[i].Most)
					}
					if ok {
						out[string(c)] = v1 + v2
					}
				}
			}
		}
		for x := Length(1); x+kerf < s.L; x++ {
			join(Size{x, s.W}, Size{s.L - x - kerf, s.W})
		}
		for y := Length(1); y+kerf < s.W; y++ {
			join(Size{s.L, y}, Size{s.L, s.W - y - kerf})
		}
		cache[s] = out
		return out
	}
	best := int64(0)
	for _, v := range cut(s) {
		best = max(best, v)
	}
	return best
}

// proves a pattern by the places of its leaves alone.
func proves(t *testing.T, root *Node, sheet Size, kerf Length, size func(*Node) Size) {
	t.Helper()
	var all []*Node
	root.Leaves(func(n *Node) {
		if n.Piece != NoPiece && n.Size != size(n) {
			t.Errorf("piece %d is cut as %v, not %v", n.Piece, n.Size, size(n))
		}
		if n.At.X < 0 || n.At.Y < 0 || n.At.X+n.Size.L > sheet.L || n.At.Y+n.Size.W > sheet.W {
			t.Errorf("a leaf at %v of %v is outside %v", n.At, n.Size, sheet)
		}
		for _, o := range all {
			if n.At.X < o.At.X+o.Size.L+kerf && o.At.X < n.At.X+n.Size.L+kerf && n.At.Y < o.At.Y+o.Size.W+kerf && o.At.Y < n.At.Y+n.Size.W+kerf {
				t.Errorf("leaves at %v and %v are nearer than the kerf", n.At, o.At)
			}
		}
		all = append(all, n)
	})
}

func TestFillAgainstEveryWay(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for n := range 60 {
		s := Sheet{Size: Size{Length(4 + r.Intn(4)), Length(4 + r.Intn(3))}, Kerf: Length(r.Intn(2)), Turn: n%2 == 0}
		var ps []Piece
		for range 3 {
			ps = append(ps, Piece{Size{Length(1 + r.Intn(5)), Length(2 + r.Intn(4))}, int64(1 + r.Intn(20)), r.Intn(3)})
		}
		size := func(n *Node) Size {
			if n.Turned {
				return ps[n.Piece].Size.turned()
			}
			return ps[n.Piece].Size
		}
		f, err := FillSheet(s, ps)
		if err != nil {
			t.Fatal(err)
		}
		proves(t, f.Root, s.Size, s.Kerf, size)
		if want := sawAll(s.Size, ps, s.Kerf, s.Turn, false); f.Value != want {
			t.Errorf("%v %v: %d, every way gives %d", s, ps, f.Value, want)
		}
		f, err = FillLimited(s, ps, 1e6)
		if err != nil {
			t.Fatal(err)
		}
		proves(t, f.Root, s.Size, s.Kerf, size)
		for i, c := range f.Counts {
			if c > ps[i].Most {
				t.Errorf("piece %d is cut %d times, at most %d", i, c, ps[i].Most)
			}
		}
		if want := sawAll(s.Size, ps, s.Kerf, s.Turn, true); f.Value != want || !f.Proven {
			t.Errorf("%v %v limited: %d, proven %v, every way gives %d", s, ps, f.Value, f.Proven, want)
		}
		short, err := FillLimited(s, ps, 2)
		if err != nil {
			t.Fatal(err)
		}
		if short.Bound < f.Value {
			t.Errorf("%v %v: a search that ended early has the bound %d, the best is %d", s, ps, short.Bound, f.Value)
		}
	}
}

// Orders whose answer is known because they were cut from whole sheets by hand
// of chance: as many sheets, fully used, are the best there is.
func TestPackCutUpSheets(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	sheet := Size{240, 120}
	for n := range 16 {
		kerf := Length(r.Intn(2))
		var pieces []Size
		var saw func(s Size, depth int)
		saw = func(s Size, depth int) {
			if depth == 0 || s.L < 40 || s.W < 40 {
				pieces = append(pieces, s)
				return
			}
			if r.Intn(2) == 0 {
				x := 15 + Length(r.Intn(int(s.L-30)))
				saw(Size{x - kerf, s.W}, depth-1)
				saw(Size{s.L - x, s.W}, depth-1)
			} else {
				y := 15 + Length(r.Intn(int(s.W-30)))
				saw(Size{s.L, y - kerf}, depth-1)
				saw(Size{s.L, s.W - y}, depth-1)
			}
		}
		sheets := 1 + n%4
		for range sheets {
			saw(sheet, 2)
		}
		p, err := Pack(Order{Sheet: Sheet{Size: sheet, Kerf: kerf}, Pieces: pieces, Useful: 20})
		if err != nil {
			t.Fatal(err)
		}
		if p.Bound > sheets {
			t.Errorf("%d pieces of %d sheets: bound %d", len(pieces), sheets, p.Bound)
		}
		if p.Sheets > sheets {
			t.Errorf("%d pieces of %d whole sheets take %d", len(pieces), sheets, p.Sheets)
		}
		packed(t, p, sheet, nil, pieces, kerf)
	}
}

// packed proves that each piece is in exactly one pattern, and the patterns by themselves.
func packed(t *testing.T, p Packing, sheet Size, offcuts, pieces []Size, kerf Length) {
	t.Helper()
	seen := map[int]int{}
	sheets, used := 0, map[int]bool{}
	for _, q := range p.Patterns {
		from := sheet
		if q.Offcut != NewSheet {
			from = offcuts[q.Offcut]
			if used[q.Offcut] {
				t.Errorf("offcut %d is used twice", q.Offcut)
			}
			used[q.Offcut] = true
		} else {
			sheets++
		}
		proves(t, q.Root, from, kerf, func(n *Node) Size { return pieces[n.Piece] })
		q.Root.Leaves(func(n *Node) {
			if n.Piece != NoPiece {
				seen[n.Piece]++
			}
		})
	}
	for _, i := range p.Unplaced {
		seen[i]++
	}
	for i := range pieces {
		if seen[i] != 1 {
			t.Errorf("piece %d is cut %d times", i, seen[i])
		}
	}
	if sheets != p.Sheets || sheets < p.Bound {
		t.Errorf("%d sheets, said to be %d, bound %d", sheets, p.Sheets, p.Bound)
	}
}

func TestPackUsesOffcutsFirst(t *testing.T) {
	sheet := Size{2400, 1200}
	offcuts := []Size{{1000, 500}, {600, 300}}
	pieces := []Size{{1000, 500}, {2400, 1300}, {600, 300}, {600, 301}, {100, 100}}
	p, err := Pack(Order{Sheet: Sheet{Size: sheet, Kerf: 4}, Offcuts: offcuts, Pieces: pieces, Useful: 300})
	if err != nil {
		t.Fatal(err)
	}
	packed(t, p, sheet, offcuts, pieces, 4)
	if p.Sheets != 1 || len(p.Patterns) != 3 || p.Patterns[0].Offcut != 0 || p.Patterns[1].Offcut != 1 || fmt.Sprint(p.Unplaced) != "[1]" {
		t.Errorf("got %d sheets in %d patterns, %v in none", p.Sheets, len(p.Patterns), p.Unplaced)
	}
}

func TestNonsense(t *testing.T) {
	if _, err := FillSheet(Sheet{}, nil); err == nil {
		t.Error("a sheet of nothing is cut")
	}
	if _, err := FillLimited(Sheet{Size: Size{2, 2}}, []Piece{{Size: Size{0, 1}}}, 10); err == nil {
		t.Error("a piece of nothing is cut")
	}
	if _, err := Pack(Order{Sheet: Sheet{Size: Size{2, 2}}, Pieces: []Size{{-1, 1}}}); err == nil {
		t.Error("a piece of less than nothing is packed")
	}
	if _, err := Pack(Order{Sheet: Sheet{Size: Size{2, 2}, Kerf: -1}}); err == nil {
		t.Error("a saw that adds wood is used")
	}
	if _, err := CutSticks(10, 0, []Stick{{11, 1}}); err == nil {
		t.Error("a stick longer than the stock is cut")
	}
	if p, err := CutSticks(10, 1, nil); err != nil || p.Sticks != 0 || !p.Proven {
		t.Errorf("nothing wanted: %+v, %v", p, err)
	}
}

// Every way to cut small numbers of sticks, to prove the relaxation and the dive.
func TestSticksAgainstEveryWay(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	for range 200 {
		stock, kerf := Length(10+r.Intn(20)), Length(r.Intn(2))
		var w []Stick
		var flat []Length
		for range 3 {
			s := Stick{Length(2 + r.Intn(int(stock)-2)), 1 + r.Intn(3)}
			w = append(w, s)
			for range s.Count {
				flat = append(flat, s.Length)
			}
		}
		best := len(flat)
		var room []Length
		var lay func(i int)
		lay = func(i int) {
			if len(room) >= best {
				return
			}
			if i == len(flat) {
				best = len(room)
				return
			}
			for k := range room {
				if room[k] >= flat[i]+kerf {
					room[k] -= flat[i] + kerf
					lay(i + 1)
					room[k] += flat[i] + kerf
				}
			}
			room = append(room, stock+kerf-flat[i]-kerf)
			lay(i + 1)
			room = room[:len(room)-1]
		}
		lay(0)
		p, err := CutSticks(stock, kerf, w)
		if err != nil {
			t.Fatal(err)
		}
		if p.Bound > best || p.Sticks < best || p.Proven && p.Sticks != best {
			t.Errorf("stock %d kerf %d %v: %d sticks, bound %d; every way gives %d", stock, kerf, w, p.Sticks, p.Bound, best)
		}
		if p.Sticks != best {
			t.Logf("stock %d kerf %d %v: %d sticks, the best is %d", stock, kerf, w, p.Sticks, best)
		}
	}
}

// A cut list like a floor's: border strips of a few widths, many equal, and
// some odd pieces, in hundredths of a millimetre.
func floorOrder(n int) Order {
	r := rand.New(rand.NewSource(int64(n)))
	o := Order{Sheet: Sheet{Size: Size{243840, 121920}, Kerf: 397}, Useful: 30480}
	widths := []Length{30480, 60960, 45720, 121920}
	lengths := []Length{243840, 203200, 121920, 162560}
	for i := range n {
		s := Size{lengths[r.Intn(4)], widths[r.Intn(3)]}
		if i%4 == 0 {
			s = Size{20000 + Length(r.Intn(200000)), 15000 + Length(r.Intn(100000))}
		}
		o.Pieces = append(o.Pieces, s)
	}
	return o
}

func BenchmarkPack(b *testing.B) {
	for _, n := range []int{10, 40, 160} {
		b.Run(fmt.Sprintf("floor/pieces=%d", n), func(b *testing.B) {
			o := floorOrder(n)
			for b.Loop() {
				p, err := Pack(o)
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(p.Sheets), "sheets")
				b.ReportMetric(float64(p.Bound), "bound")
			}
		})
	}
}
