package solve

import (
	"fmt"
	"math"
	"slices"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
	"shoreward/internal/storeys"
	"shoreward/internal/strength"
)

// choice of how the building is made.
type choice struct {
	cycle            quantity.Duration
	shores, reshores int
	dated            bool // by the dates of the pours
}

// methods by which a choice is followed; the worse counts.
var methods = []string{"rigid", "elastic"}

// spotRun is the history of a spot by one method, with live loads and without.
type spotRun struct {
	spot          *storeys.Spot
	with, without *storeys.Trace
}

// verdict on a choice.
type verdict struct {
	choice
	placed, strip []quantity.Duration // by pour
	remove        map[string]quantity.Duration
	ops           []storeys.Operation
	runs          map[string][]spotRun // by method, in the order of the spots
	why           string               // why it cannot be built; empty: it can
	never         map[int]string       // pours that can never be struck in it, and why
	governs       map[int]string       // what the striking of each pour waits for
	worst         check                // of all
	placing       check                // of those whose hour is not chosen by it: striking waits until it holds
	slack         quantity.Duration    // by which forms are back before they are needed, at least
	most          map[[2]any]check     // the worst of each pour and kind
	bad           []check              // those of them that fail, worst first
}

// check of one slab or level of props after an operation.
type check struct {
	pour   int
	kind   string // slab | shores | reshores | pushed up
	method string
	op     storeys.Operation
	age    quantity.Duration
	line   calc.Line
	lines  calc.Lines
	demand strength.Demand // of a slab
	have   quantity.Stress // strength of its concrete
}

func (v *verdict) safe() bool {
	return v.why == "" && len(v.never) == 0 && v.worst.line.Ratio <= 1+1e-9
}

// governing is the check that a choice is told by: striking waits until it holds, so
// that the worst of the others tells how much is to spare.
func (v *verdict) governing() check {
	if v.worst.line.Ratio > 1+1e-9 || v.placing.kind == "" {
		return v.worst
	}
	return v.placing
}

// margin is capacity over demand less 1 at the governing place.
func (v *verdict) margin() float64 {
	if r := v.governing().line.Ratio; r > 0 {
		return 1/r - 1
	}
	return 0
}

// text of a check: which slab or props, when, by how much.
func (m *model) text(c check, v *verdict) string {
	name := m.pours[c.pour].of.Name
	what := map[string]string{"slab": fmt.Sprintf("slab %s at %s", name, ageText(c.age)), "shores": "shores under " + name, "reshores": "reshores under " + name, "pushed up": "slab " + name}[c.kind]
	if c.kind == "pushed up" {
		return fmt.Sprintf("%s, %s (%s props): it would be pushed up from below", what, c.op.Name(), c.method)
	}
	over := fmt.Sprintf("ratio %.2f", math.Ceil(c.line.Ratio*100-1e-6)/100)
	if c.line.Limit != nil {
		over = fmt.Sprintf("%s %s, at most %s: %s", c.line.Name, calc.Text(c.line.Value, c.line.Kind, m.j.Style), calc.Text(*c.line.Limit, c.line.Kind, m.j.Style), over)
	}
	return fmt.Sprintf("%s, %s (%s props): %s", what, c.op.Name(), c.method, over)
}

func ageText(age quantity.Duration) string {
	if d := math.Round(age.Days()*10) / 10; d != 1 {
		return fmt.Sprintf("%g days", d)
	}
	return "1 day"
}

// lateText is a short time in hours, a longer one in days.
func lateText(late quantity.Duration) string {
	if late < 48 {
		return quantity.Duration(math.Ceil(float64(late) - 1e-6)).Text()
	}
	return ageText(late)
}

// placing is when each pour is placed in a choice.
func (m *model) placing(c choice) []quantity.Duration {
	out := make([]quantity.Duration, len(m.pours))
	for _, floor := range m.floors {
		first := quantity.Duration(math.Inf(1))
		for _, p := range floor {
			first = min(first, p.date)
		}
		for _, p := range floor {
			if out[p.at] = p.date; !c.dated {
				out[p.at] = placedAt + quantity.Duration(p.floor)*c.cycle + p.date - first
			}
		}
	}
	return out
}

// follow a choice through the building: every pour is struck as soon as it may, and
// all that stands is judged after every operation by both methods.
func (m *model) follow(c choice, h *hardening) (*verdict, error) {
	s := m.j.Storeys
	v := &verdict{choice: c, placed: m.placing(c), never: map[int]string{}, governs: map[int]string{}, runs: map[string][]spotRun{}}
	curves := make([]*curve, len(m.pours))
	for i, at := range v.placed {
		var err error
		if curves[i], err = h.of(at); err != nil {
			return nil, fmt.Errorf("pour %s: %w", m.pours[i].of.Name, err)
		}
	}
	cycle := storeys.Cycle{Shores: c.shores, Reshores: c.reshores, LiveOff: true, Every: c.cycle}
	if s.ReshoresFirst {
		cycle.Order = storeys.ReshoresFirst
	}
	v.strip = m.shape.Shored(m.spots, v.placed, cycle)
	for i := range v.strip {
		v.strip[i] += s.StripLeast
		v.governs[i] = fmt.Sprintf("%s after the last placing over it, the least of the job", s.StripLeast.Text())
		at, ok := curves[i].reached(s.StripStrength, v.strip[i])
		if at > v.strip[i] {
			v.governs[i] = "the strength asked for before forms go, " + s.StripStrength.Text(m.j.Style)
		}
		if v.strip[i] = at; !ok {
			v.never[i] = fmt.Sprintf("%s is not reached in %s", s.StripStrength.Text(m.j.Style), longest.Text())
		}
	}
	const rounds = 40 // each moves a pour or more to a later hour
	for round := 0; ; round++ {
		m.upward(v)
		if err := m.trace(v, cycle, curves); err != nil {
			return nil, err
		}
		if round == rounds || !m.later(v, curves) {
			break
		}
	}
	m.judge(v, curves)
	m.formsBack(v)
	return v, nil
}

// upward keeps every pour standing on its shores until the one below it is struck.
func (m *model) upward(v *verdict) {
	for _, p := range m.spots {
		for k := 1; k < len(p.Pours); k++ {
			if low, up := p.Pours[k-1], p.Pours[k]; v.strip[up] < v.strip[low]+1 {
				v.strip[up] = v.strip[low] + 1
				v.governs[up] = "the pour below it, " + m.pours[low].of.Name + ", goes first"
			}
		}
	}
}

// trace follows the order of work by both methods.
func (m *model) trace(v *verdict, cycle storeys.Cycle, curves []*curve) error {
	var err error
	if v.ops, err = m.shape.Order(m.spots, v.placed, v.strip, cycle); err != nil {
		return err
	}
	// A pour that nothing is placed over is not reshored.
	v.ops = slices.DeleteFunc(v.ops, func(op storeys.Operation) bool {
		return (op.Kind == storeys.Reshore || op.Kind == storeys.RemoveReshores) && !m.covered[op.Slab]
	})
	v.remove = map[string]quantity.Duration{}
	for _, op := range v.ops {
		if op.Kind == storeys.RemoveReshores {
			v.remove[op.Slab] = op.At
		}
	}
	for _, method := range methods {
		v.runs[method] = nil
		for k := range m.spots {
			r := spotRun{spot: &m.spots[k]}
			for _, live := range []bool{true, false} {
				t, err := m.stack(r.spot, method, live, curves).Trace(v.ops, storeys.Rules{Resnug: !m.j.Storeys.Loose})
				if err != nil {
					return err
				}
				if live {
					r.with = t
				} else {
					r.without = t
				}
			}
			v.runs[method] = append(v.runs[method], r)
		}
	}
	return nil
}

// stack of a spot by a method, with its live loads or without.
func (m *model) stack(spot *storeys.Spot, method string, live bool, curves []*curve) *storeys.Stack {
	out := &storeys.Stack{Name: spot.Stack.Name, Ground: storeys.Rigid}
	if method == "elastic" {
		out.Ground = storeys.Stiffness(m.j.Storeys.GroundStiffness)
	}
	for _, i := range spot.Pours {
		p := m.pours[i]
		slab := storeys.Slab{ID: p.of.Name, Top: p.level.Top, Weight: p.weight, Forms: p.forms, Live: p.live,
			Stiffness: storeys.Constant(p.full), Shores: storeys.Rigid, Reshores: storeys.Rigid}
		if !live {
			slab.Live = 0
		}
		if method == "elastic" {
			c := curves[i]
			slab.Shores, slab.Reshores = p.shores.stiffness, p.reshores.stiffness
			slab.Stiffness = func(age quantity.Duration) storeys.Stiffness { return p.full * storeys.Stiffness(c.stiffer(age)) }
		}
		out.Slabs = append(out.Slabs, slab)
	}
	return out
}

// slab checks what a slab carries after step k of a run at a strength. A slab that
// carries nothing, or next to it, has no line.
func (m *model) slab(r spotRun, k, j int, have quantity.Stress) (calc.Lines, error) {
	p := m.pours[r.spot.Pours[j]]
	d := m.demand(r, k, j)
	if d.Dead+d.Variable <= 1e-6*p.weight {
		return nil, nil
	}
	return p.member.Check(d, have)
}

// demand on slab j after step k: the variable part is what live loads add, and on a
// slab that was just struck the people and gear on it.
func (m *model) demand(r spotRun, k, j int) strength.Demand {
	st := r.with.Steps[k]
	load := st.Slabs[j].Load
	variable := min(max(load-r.without.Steps[k].Slabs[j].Load, 0), max(load, 0))
	d := strength.Demand{Dead: max(load, 0) - variable, Variable: variable}
	if st.Kind == storeys.Strip && st.Slab == m.pours[r.spot.Pours[j]].of.Name {
		d.Variable += m.j.Storeys.Working
	}
	return d
}

// later moves pours that were struck too early to the hour at which every slab can
// take it, and reports whether any moved.
func (m *model) later(v *verdict, curves []*curve) bool {
	moved := false
	to := slices.Clone(v.strip)
	for _, method := range methods {
		for _, r := range v.runs[method] {
			for k, st := range r.with.Steps {
				if st.Kind == storeys.Place || st.Kind == storeys.LiveOff {
					continue
				}
				for j, i := range r.spot.Pours {
					if !st.Slabs[j].Placed || m.rests(r, k, j) {
						continue
					}
					holds := func(at quantity.Duration) bool {
						lines, err := m.slab(r, k, j, curves[i].strength(at))
						if err != nil {
							return false
						}
						w, ok := lines.Worst()
						return !ok || w.Ratio <= 1+1e-9
					}
					if holds(st.At) {
						continue
					}
					at, ok := firstHour(st.At, holds)
					for _, s := range r.spot.Pours { // whose striking this is
						if v.strip[s] != st.At || v.never[s] != "" {
							continue
						}
						if !ok {
							v.never[s] = fmt.Sprintf("slab %s cannot carry it after %s, however strong its concrete (%s props)", m.pours[i].of.Name, st.Name(), method)
							continue
						}
						if at > to[s] {
							to[s], moved = at, true
							v.governs[s] = fmt.Sprintf("slab %s after %s (%s props), by %s", m.pours[i].of.Name, st.Name(), method, m.criterion(m.pours[i]))
						}
					}
				}
			}
		}
	}
	v.strip = to
	return moved
}

func (m *model) criterion(p *pour) string {
	if len(p.member.Supplied) > 0 {
		return "the engineer's loads by strength"
	}
	return "criterion " + string(p.member.Criterion)
}

// judge checks every slab and every level of props after every operation.
func (m *model) judge(v *verdict, curves []*curve) {
	v.most = map[[2]any]check{}
	keep := func(c check) {
		if c.line.Ratio > v.worst.line.Ratio || v.worst.kind == "" {
			v.worst = c
		}
		if waited := c.op.Kind != storeys.Place && c.op.Kind != storeys.LiveOff && slices.Contains(v.strip, c.op.At); !waited && (c.line.Ratio > v.placing.line.Ratio || v.placing.kind == "") {
			v.placing = c
		}
		if key := [2]any{c.pour, c.kind}; c.line.Ratio > v.most[key].line.Ratio {
			v.most[key] = c
		}
	}
	for _, method := range methods {
		for _, r := range v.runs[method] {
			m.each(r, curves, false, func(_, _ int, c check) {
				c.method = method
				keep(c)
			})
		}
	}
	for _, c := range v.most {
		if c.line.Ratio > 1+1e-9 {
			v.bad = append(v.bad, c)
		}
	}
	slices.SortFunc(v.bad, func(a, b check) int {
		switch {
		case a.line.Ratio != b.line.Ratio:
			if a.line.Ratio > b.line.Ratio {
				return -1
			}
			return 1
		case a.pour != b.pour:
			return a.pour - b.pour
		}
		return int(a.kind[0]) - int(b.kind[0])
	})
}

// rests tells whether a slab carries after step k what it carried before it, when it
// was younger: it then needs no check of its own.
func (m *model) rests(r spotRun, k, j int) bool {
	if k == 0 || !r.with.Steps[k-1].Slabs[j].Placed {
		return false
	}
	before, now := m.demand(r, k-1, j), m.demand(r, k, j)
	small := 1e-9 * m.pours[r.spot.Pours[j]].weight
	return now.Dead <= before.Dead+small && now.Variable <= before.Variable+small && r.with.Steps[k].Slabs[j].Load >= -small
}

// each gives every check of a run: of slab j or the props under it after step k;
// unless all are asked for, not of slabs that rest.
func (m *model) each(r spotRun, curves []*curve, all bool, tell func(k, j int, c check)) {
	for k, st := range r.with.Steps {
		for j, i := range r.spot.Pours {
			s := st.Slabs[j]
			if !s.Placed {
				continue
			}
			p := m.pours[i]
			one := check{pour: i, op: st.Operation, age: s.Age}
			have := curves[i].strength(st.At)
			if s.Load < -1e-6*p.weight {
				c := one
				c.kind, c.line = "pushed up", calc.Line{Symbol: "w", Name: "pushed up from below", Value: -float64(s.Load), Kind: calc.Pressure, Source: "statics", Evidence: calc.Derived}.Check(0, "none")
				tell(k, j, c)
			}
			var lines calc.Lines
			if all || !m.rests(r, k, j) {
				var err error
				if lines, err = m.slab(r, k, j, have); err != nil {
					lines = calc.Lines{calc.Line{Name: err.Error(), Value: 1}.Check(0, "")}
				}
			}
			if w, ok := lines.Worst(); ok {
				c := one
				c.kind, c.line, c.lines, c.demand, c.have = "slab", w, lines, m.demand(r, k, j), have
				tell(k, j, c)
			}
			q := st.Props[j]
			if q.Kind == storeys.None {
				continue
			}
			c, level := one, p.shores
			if c.kind = "shores"; q.Kind == storeys.ReshoreProp {
				c.kind, level = "reshores", p.reshores
			}
			c.line = calc.Line{Symbol: "p", Name: "load on the " + c.kind, Value: float64(q.Force), Kind: calc.Pressure, Source: "load path of the deck, load at which its worst prop is at its rating", Evidence: calc.Derived}.Check(float64(level.rating), "p_rated")
			tell(k, j, c)
		}
	}
}

// formsBack says whether the forms of a level come back in time for the level that
// is placed on them next.
func (m *model) formsBack(v *verdict) {
	forming := m.j.Storeys.Forming
	v.slack = quantity.Duration(math.Inf(1))
	for _, p := range m.spots {
		for k, i := range p.Pours {
			if k+v.shores >= len(p.Pours) {
				break
			}
			up := p.Pours[k+v.shores]
			v.slack = min(v.slack, v.placed[up]-v.strip[i]-forming)
			if free := v.strip[i] + forming; free > v.placed[up]+1e-9 {
				v.why = fmt.Sprintf("pour %s can be struck %s after it is placed, and with %s to form the next level its forms are %s too late for pour %s",
					m.pours[i].of.Name, ageText(v.strip[i]-v.placed[i]), forming.Text(), lateText(free-v.placed[up]), m.pours[up].of.Name)
				return
			}
		}
	}
}
