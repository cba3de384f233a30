package storeys

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// Pour is a slab, or the part of one placed in one go, with its outline in plan.
type Pour struct {
	Slab
	Outline plane.Shape
}

// Building is pours anywhere over one another. What a pour's props stand on comes
// from the outlines and the elevations: the next pour below at that place that is
// there already, or the ground. Levels may be split, stepped or left out.
type Building struct {
	Pours  []Pour
	Ground Stiffness
}

// Spot is a part of the plan with the same pours over one another. Each is
// followed by itself: what lies beside it takes no load from it.
type Spot struct {
	At    plane.Point   // a place within it
	Area  quantity.Area // of all its parts that are 100 mm wide or more
	Pours []int         // indices, from the lowest up
	Stack *Stack
}

// clearance, mm: a part of the plan in which no point is so far from its edges is
// narrower than what stands there, and is left to its neighbours.
const clearance = 50

// Spots of the plan from below upward, no two with the same pours. Corners are
// taken to the next 10 mm; strips narrower than 100 mm are left out.
func (b Building) Spots() ([]Spot, error) {
	if len(b.Pours) == 0 {
		return nil, errors.New("no pour is given")
	}
	for _, p := range b.Pours {
		if err := sound(p.Outline); err != nil {
			return nil, fmt.Errorf("pour %s: %w", p.ID, err)
		}
	}
	shapes, of := b.outlines()
	var out []Spot
	byName := map[string]int{}
	faces(shapes, func(f face) {
		key := fmt.Sprint(f.in)
		k, seen := byName[key]
		if !seen {
			k = len(out)
			byName[key] = k
			out = append(out, Spot{At: plane.Point{math.NaN()}})
			for i := range b.Pours {
				if slices.Contains(f.in, of[i]) {
					out[k].Pours = append(out[k].Pours, i)
				}
			}
		}
		out[k].Area += quantity.Area(f.area / 1e6)
		if math.IsNaN(out[k].At[0]) && clear(shapes, f) {
			out[k].At = f.at
		}
	})
	out = slices.DeleteFunc(out, func(p Spot) bool { return math.IsNaN(p.At[0]) })
	for i, p := range b.Pours {
		if !slices.ContainsFunc(out, func(s Spot) bool { return slices.Contains(s.Pours, i) }) {
			return nil, fmt.Errorf("pour %s is nowhere as wide as %d mm", p.ID, 2*clearance)
		}
	}
	for k := range out {
		p := &out[k]
		slices.SortStableFunc(p.Pours, func(i, j int) int { return cmp.Compare(b.Pours[i].Top, b.Pours[j].Top) })
		p.Stack = &Stack{Name: fmt.Sprintf("at x %.0f mm, y %.0f mm", p.At[0], p.At[1]), Ground: b.Ground}
		for n, i := range p.Pours {
			if n > 0 && b.Pours[i].Top == b.Pours[p.Pours[n-1]].Top {
				return nil, fmt.Errorf("pours %s and %s are at one height and overlap at x %.0f mm, y %.0f mm", b.Pours[p.Pours[n-1]].ID, b.Pours[i].ID, p.At[0], p.At[1])
			}
			p.Stack.Slabs = append(p.Stack.Slabs, b.Pours[i].Slab)
		}
	}
	return out, nil
}

// coarse is what corners are rounded to, mm: drawings of two floors differ by less
// where the floors do not.
const coarse = 10

// outlines are the different outlines, and which of them each pour has.
func (b Building) outlines() (shapes []plane.Shape, of []int) {
	round := func(v float64) float64 { return math.Round(v/coarse) * coarse }
	for _, p := range b.Pours {
		p.Outline = p.Outline.Map(func(c plane.Point) plane.Point { return plane.Point{round(c[0]), round(c[1])} })
		k := slices.IndexFunc(shapes, func(s plane.Shape) bool {
			return slices.EqualFunc(s.Rings(), p.Outline.Rings(), func(a, b plane.Ring) bool { return slices.Equal(a, b) })
		})
		if k < 0 {
			k = len(shapes)
			shapes = append(shapes, p.Outline)
		}
		of = append(of, k)
	}
	return shapes, of
}

// mostCoordinate of a corner, mm.
const mostCoordinate = 5e6

func sound(s plane.Shape) error {
	for _, r := range s.Rings() {
		if len(r) < 3 || !(math.Abs(r.SignedArea()) > 0) {
			return errors.New("an outline needs three corners or more and an area")
		}
		for _, p := range r {
			if !(math.Abs(p[0]) <= mostCoordinate && math.Abs(p[1]) <= mostCoordinate) {
				return fmt.Errorf("a corner lies at x %g mm, y %g mm: farther than %g m from the origin", p[0], p[1], mostCoordinate/1000.0)
			}
		}
	}
	return nil
}

// face is a piece of a row of the plan that the same outlines cover.
type face struct {
	at   plane.Point // its middle
	area float64     // mm2
	in   []int       // outlines that cover it
}

// rowHeight, mm, of the rows in which the plan is read, at most: no corner of an
// outline is within a row.
const rowHeight = 100

// faces of the plan that any outline covers, row by row, as wide as what may stand
// there. The area of a piece is its width in mid-row times the row's height.
func faces(shapes []plane.Shape, each func(face)) {
	type edge struct {
		a, b  plane.Point // a below b
		shape int
	}
	var edges []edge
	var ys []float64
	for k, s := range shapes {
		for _, r := range s.Rings() {
			for i, a := range r {
				b := r[(i+1)%len(r)]
				ys = append(ys, a[1])
				if a[1] > b[1] {
					a, b = b, a
				}
				if a[1] < b[1] {
					edges = append(edges, edge{a, b, k})
				}
			}
		}
	}
	slices.Sort(ys)
	ys = slices.Compact(ys)
	slices.SortStableFunc(edges, func(e, f edge) int { return cmp.Compare(e.a[1], f.a[1]) })
	type cut struct {
		x     float64
		shape int
	}
	var active []edge
	var cuts []cut
	for n := 0; n+1 < len(ys); n++ {
		for len(edges) > 0 && edges[0].a[1] <= ys[n] {
			active, edges = append(active, edges[0]), edges[1:]
		}
		active = slices.DeleteFunc(active, func(e edge) bool { return e.b[1] <= ys[n] })
		rows := math.Ceil((ys[n+1] - ys[n]) / rowHeight)
		h := (ys[n+1] - ys[n]) / rows
		for r := range int(rows) {
			y := ys[n] + h*(float64(r)+0.5)
			cuts = cuts[:0]
			for _, e := range active {
				cuts = append(cuts, cut{e.a[0] + (e.b[0]-e.a[0])*(y-e.a[1])/(e.b[1]-e.a[1]), e.shape})
			}
			slices.SortFunc(cuts, func(a, b cut) int { return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.shape, b.shape)) })
			in := make([]bool, len(shapes)) // even-odd, holes included
			for k := 0; k+1 < len(cuts); k++ {
				in[cuts[k].shape] = !in[cuts[k].shape]
				w := cuts[k+1].x - cuts[k].x
				if w < 2*clearance {
					continue
				}
				f := face{at: plane.Point{cuts[k].x + w/2, y}, area: w * h}
				for s, covers := range in {
					if covers {
						f.in = append(f.in, s)
					}
				}
				if len(f.in) > 0 {
					each(f)
				}
			}
		}
	}
}

// clear reports whether the same outlines cover all places around the middle of
// a face.
func clear(shapes []plane.Shape, f face) bool {
	for dx := -1.0; dx <= 1; dx++ {
		for dy := -1.0; dy <= 1; dy++ {
			p := plane.Point{f.at[0] + clearance*dx, f.at[1] + clearance*dy}
			for k, s := range shapes {
				if s.Contains(p) != slices.Contains(f.in, k) {
					return false
				}
			}
		}
	}
	return true
}

// SpotTrace is the history of one spot.
type SpotTrace struct {
	Spot  Spot
	Trace *Trace
}

// Trace follows the operations at every spot.
func (b Building) Trace(ops []Operation, rules Rules) ([]SpotTrace, error) {
	spots, err := b.Spots()
	if err != nil {
		return nil, err
	}
	known := map[string]bool{}
	for _, p := range b.Pours {
		known[p.ID] = true
	}
	for k, op := range ops {
		if !known[op.Slab] {
			return nil, fmt.Errorf("operation %d, %s: there is no pour of that name", k+1, op.Name())
		}
	}
	var out []SpotTrace
	for _, p := range spots {
		tr, err := p.Stack.Trace(ops, rules)
		if err != nil {
			return nil, err
		}
		out = append(out, SpotTrace{p, tr})
	}
	return out, nil
}

// Standard is the order of work of pours on their own dates. A pour is stripped
// StripAfter the last placing over it of the level that makes its shored levels
// Cycle.Shores; the pour that then has Cycle.Reshores reshored levels over it
// loses its reshores; and the stripped pour is reshored. Where no more levels
// come, the work goes on every Cycle.Every after the last placing.
func (b Building) Standard(date map[string]quantity.Duration, c Cycle) ([]Operation, error) {
	if _, err := c.Standard([]string{"any"}); err != nil {
		return nil, err
	}
	spots, err := b.Spots()
	if err != nil {
		return nil, err
	}
	placed := make([]quantity.Duration, len(b.Pours))
	for i, p := range b.Pours {
		at, ok := date[p.ID]
		if !ok {
			return nil, fmt.Errorf("pour %s has no date", p.ID)
		}
		placed[i] = at
	}
	strip := b.Shored(spots, placed, c)
	for i := range strip {
		strip[i] += c.StripAfter
	}
	return b.Order(spots, placed, strip, c)
}

// up is when the pour that lies so many levels over index k of a place is done.
func (p Spot) up(k int, done []quantity.Duration, every quantity.Duration) quantity.Duration {
	top := len(p.Pours) - 1
	if k <= top {
		return done[p.Pours[k]]
	}
	return done[p.Pours[top]] + quantity.Duration(k-top)*every
}

// latest over all places of when the pours so many levels over each are done.
func latest(spots []Spot, n, over int, done []quantity.Duration, every quantity.Duration) []quantity.Duration {
	out := make([]quantity.Duration, n)
	for i := range out {
		out[i] = quantity.Duration(math.Inf(-1))
	}
	for _, p := range spots {
		for k, i := range p.Pours {
			out[i] = max(out[i], p.up(k+over, done, every))
		}
	}
	return out
}

// Shored is when each pour has the Cycle.Shores shored levels over it, itself
// counted, after which it is stripped, by when the pours are placed.
func (b Building) Shored(spots []Spot, placed []quantity.Duration, c Cycle) []quantity.Duration {
	return latest(spots, len(b.Pours), c.Shores-1, placed, c.Every)
}

// Order is the order of work when pours are placed and stripped at times of their
// own: reshores go in when a pour is stripped, and out when the pour that lies
// Cycle.Reshores levels over it is.
func (b Building) Order(spots []Spot, placed, strip []quantity.Duration, c Cycle) ([]Operation, error) {
	for _, p := range spots {
		for k := 1; k < len(p.Pours); k++ {
			if lower, upper := p.Pours[k-1], p.Pours[k]; !(placed[upper] > placed[lower]) {
				return nil, fmt.Errorf("pour %s lies over pour %s %s and must be placed after it", b.Pours[upper].ID, b.Pours[lower].ID, p.Stack.Name)
			}
		}
	}
	remove := latest(spots, len(b.Pours), c.Reshores, strip, c.Every)
	var ops []Operation
	add := func(k Kind, i int, at quantity.Duration) {
		ops = append(ops, Operation{Kind: k, Slab: b.Pours[i].ID, At: at})
	}
	for i := range b.Pours {
		add(Place, i, placed[i])
		if c.LiveOff {
			add(LiveOff, i, placed[i])
		}
		add(Strip, i, strip[i])
		if c.Reshores > 0 {
			add(Reshore, i, strip[i])
			add(RemoveReshores, i, remove[i])
		}
	}
	rank := map[Kind]int{Place: 0, LiveOff: 1, Strip: 2, RemoveReshores: 3, Reshore: 4}
	if c.Order == ReshoresFirst {
		rank[Strip], rank[RemoveReshores] = 3, 2
	}
	top := map[string]quantity.Length{}
	for _, p := range b.Pours {
		top[p.ID] = p.Top
	}
	slices.SortStableFunc(ops, func(x, y Operation) int {
		return cmp.Or(cmp.Compare(x.At, y.At), cmp.Compare(rank[x.Kind], rank[y.Kind]), cmp.Compare(top[x.Slab], top[y.Slab]))
	})
	return ops, nil
}

// PourPeak is the worst that a pour and the props under it see at any place.
type PourPeak struct {
	Slab, Shore, Reshore Peak // Peak.Slab is the index of the pour, Peak.Step a step of the trace
	SlabSpot             int  // index of the trace
	ShoreSpot            int
	ReshoreSpot          int
}

// PourPeaks are the worst of every pour of a building.
func (b Building) PourPeaks(traces []SpotTrace) []PourPeak {
	out := make([]PourPeak, len(b.Pours))
	for n, pt := range traces {
		for k, st := range pt.Trace.Steps {
			for j, i := range pt.Spot.Pours {
				o, weight := &out[i], b.Pours[i].Weight
				take := func(p *Peak, place *int, load quantity.Stress) {
					before := p.Of
					if meet(p, load, weight, i, k); p.Of > before {
						*place = n
					}
				}
				take(&o.Slab, &o.SlabSpot, st.Slabs[j].Load)
				switch p := st.Props[j]; p.Kind {
				case Shore:
					take(&o.Shore, &o.ShoreSpot, p.Force)
				case ReshoreProp:
					take(&o.Reshore, &o.ReshoreSpot, p.Force)
				}
			}
		}
	}
	return out
}
