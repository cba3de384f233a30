package cutting

import (
	"fmt"
	"sort"
)

// Stick is a length that is wanted a number of times.
type Stick struct {
	Length Length
	Count  int
}

// StickPattern is a way to cut one stock length, and how often it is cut.
type StickPattern struct {
	Counts []int // of each wanted length
	Times  int
}

// StickPlan is how stock lengths are cut.
type StickPlan struct {
	Patterns []StickPattern
	Sticks   int     // stock lengths cut
	LP       float64 // least number if parts of patterns could be cut
	Bound    int     // no plan cuts fewer
	Proven   bool    // Sticks equals Bound
}

// CutSticks cuts the wanted lengths from as few stock lengths as it can. The
// linear relaxation is solved exactly by column generation (Gilmore and Gomory
// 1961); its patterns are rounded down again and again on what is left, with a
// search over the choices where rounding stops, until the bound is met or the
// search ends.
func CutSticks(stock, kerf Length, wanted []Stick) (StickPlan, error) {
	if stock <= 0 || kerf < 0 {
		return StickPlan{}, fmt.Errorf("cutting: a stock length of %d with a kerf of %d cannot be cut", stock, kerf)
	}
	c := sticks{stock: stock + kerf}
	demand := make([]int, len(wanted))
	for i, w := range wanted {
		if w.Length <= 0 || w.Length > stock || w.Count < 0 {
			return StickPlan{}, fmt.Errorf("cutting: length %d is %d, wanted %d times, and the stock is %d: it cannot be cut", i, w.Length, w.Count, stock)
		}
		c.lengths = append(c.lengths, w.Length+kerf)
		demand[i] = w.Count
	}
	best := c.firstFit(demand)
	r := relax(&c, demand)
	plan := StickPlan{LP: r.value, Bound: r.bound}
	d := dive{stock: &c, bound: r.bound, best: best, left: 400}
	if len(best) > r.bound {
		d.run(demand, nil, &r)
	}
	plan.Sticks = len(d.best)
	plan.Proven = plan.Sticks == plan.Bound
	plan.Patterns = gather(d.best)
	return plan, nil
}

// gather counts equal patterns, in the order in which they first come.
func gather(all [][]int) []StickPattern {
	var out []StickPattern
	at := map[string]int{}
	for _, p := range all {
		k := fmt.Sprint(p)
		if i, ok := at[k]; ok {
			out[i].Times++
			continue
		}
		at[k] = len(out)
		out = append(out, StickPattern{p, 1})
	}
	return out
}

// sticks is the problem with the kerf added to every length.
type sticks struct {
	stock   Length
	lengths []Length
}

// firstFit lays the lengths, the longest first, into the first stock length
// that has room.
func (c *sticks) firstFit(demand []int) [][]int {
	order := c.byLength()
	var out [][]int
	var room []Length
	for _, i := range order {
		first := 0
		for range demand[i] {
			for first < len(out) && room[first] < c.lengths[i] {
				first++
			}
			if first == len(out) {
				out, room = append(out, make([]int, len(c.lengths))), append(room, c.stock)
			}
			out[first][i]++
			room[first] -= c.lengths[i]
		}
	}
	return out
}

func (c *sticks) byLength() []int {
	order := make([]int, len(c.lengths))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return c.lengths[order[a]] > c.lengths[order[b]] })
	return order
}

func (c *sticks) alone(kind, wanted int) int {
	return min(int(c.stock/c.lengths[kind]), wanted)
}

// pattern is the pattern of the greatest worth, with no more of a length than
// wanted: exact, by branching in the order of worth per length.
func (c *sticks) pattern(worth []int64, demand []int) ([]int, int64) {
	var order []int
	for i, w := range worth {
		if w > 0 && demand[i] > 0 {
			order = append(order, i)
		}
	}
	sort.SliceStable(order, func(a, b int) bool {
		i, j := order[a], order[b]
		return worth[i]*int64(c.lengths[j]) > worth[j]*int64(c.lengths[i])
	})
	best, bestValue := make([]int, len(worth)), int64(0)
	now := make([]int, len(worth))
	var walk func(at int, room Length, value int64)
	walk = func(at int, room Length, value int64) {
		if value > bestValue {
			bestValue = value
			copy(best, now)
		}
		if at == len(order) {
			return
		}
		i := order[at]
		// No later length is worth more for its length than this one.
		if value+int64(float64(room)/float64(c.lengths[i])*float64(worth[i]))+1 <= bestValue {
			return
		}
		for n := min(int(room/c.lengths[i]), demand[i]); n >= 0; n-- {
			now[i] = n
			walk(at+1, room-Length(n)*c.lengths[i], value+int64(n)*worth[i])
		}
		now[i] = 0
	}
	walk(0, c.stock, 0)
	return best, bestValue
}
