package solve

import (
	"cmp"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"

	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
	"shoreward/internal/reshore"
	"shoreward/internal/storeys"
)

// Cycles, levels of shores and of reshores that are tried.
var cycleDays = []float64{2, 3, 4, 5, 6, 7, 8, 10, 12, 14, 21}

const mostShores, mostReshores = 3, 5

// manySpots is the size of a building, in pours over all its spots, from which on
// fewer choices are tried.
const manySpots = 400

// choices to be tried: what the job fixes first, then all around it.
func (m *model) choices(asked choice) []choice {
	size := 0
	for _, p := range m.spots {
		size += len(p.Pours)
	}
	levels := len(m.floors)
	var cycles []quantity.Duration
	for _, d := range cycleDays {
		cycles = append(cycles, quantity.Days(d))
	}
	shores, reshores := upTo(1, min(mostShores, levels)), upTo(0, min(mostReshores, max(levels-1, 0)))
	if size > manySpots {
		cycles = []quantity.Duration{quantity.Days(2), quantity.Days(3), quantity.Days(5), quantity.Days(7), quantity.Days(10)}
	}
	if asked.cycle > 0 && !slices.Contains(cycles, asked.cycle) {
		cycles = append(cycles, asked.cycle)
	}
	if asked.shores > 0 && !slices.Contains(shores, asked.shores) {
		shores = append(shores, asked.shores)
	}
	if asked.reshores >= 0 && !slices.Contains(reshores, asked.reshores) {
		reshores = append(reshores, asked.reshores)
	}
	slices.Sort(cycles)
	var out []choice
	for _, t := range cycles {
		for _, s := range shores {
			for _, r := range reshores {
				out = append(out, choice{cycle: t, shores: s, reshores: r})
			}
		}
	}
	return out
}

func upTo(from, to int) []int {
	var out []int
	for i := from; i <= to; i++ {
		out = append(out, i)
	}
	return out
}

// Progress is told how many choices are judged; it may be nil.
type Progress func(done, total int, what string)

// judged follows choices, as many at the same time as there are processors.
func (m *model) judged(list []choice, h *hardening, tell Progress) ([]*verdict, error) {
	out, errs := make([]*verdict, len(list)), make([]error, len(list))
	next := make(chan int)
	var wg sync.WaitGroup
	var mu sync.Mutex
	done := 0
	for range min(runtime.GOMAXPROCS(0), max(len(list), 1)) {
		wg.Go(func() {
			own := h.with(h.what) // curves are kept, each worker its own
			for i := range next {
				out[i], errs[i] = m.follow(list[i], own)
				mu.Lock()
				if done++; tell != nil {
					tell(done, len(list), "cycles")
				}
				mu.Unlock()
			}
		})
	}
	for i := range list {
		next <- i
	}
	close(next)
	wg.Wait()
	for i, err := range errs {
		if err != nil {
			return nil, fmt.Errorf("a cycle of %s with %d levels of shores and %d of reshores: %w", list[i].cycle.Text(), list[i].shores, list[i].reshores, err)
		}
	}
	return out, nil
}

// option is a verdict as data.
func (m *model) option(v *verdict) reshore.Option {
	c := v.governing()
	o := reshore.Option{Choice: choiceOf(v.choice), Built: v.why == "" && len(v.never) == 0, Safe: v.safe(), Ratio: c.line.Ratio, Margin: v.margin(), At: float64(c.op.At), Gear: m.gear(v.choice)}
	if !math.IsInf(float64(v.slack), 0) {
		slack := float64(v.slack)
		o.Slack = &slack
	}
	if c.kind != "" {
		o.Why, o.Pour = m.text(c, v), m.pours[c.pour].of.Name
	}
	switch {
	case len(v.never) > 0:
		for i := range m.pours {
			if why, ok := v.never[i]; ok {
				o.Why, o.Pour = fmt.Sprintf("pour %s can never be struck: %s", m.pours[i].of.Name, why), m.pours[i].of.Name
				break
			}
		}
	case v.why != "" && (o.Ratio <= 1+1e-9 || o.Why == ""):
		o.Why = v.why
	case v.why != "":
		o.Why += "; and " + v.why
	}
	return o
}

func choiceOf(c choice) reshore.Choice {
	return reshore.Choice{Cycle: float64(c.cycle), Shores: c.shores, Reshores: c.reshores, Dated: c.dated}
}

// by what gear is compared: hire where the job has a rate for every part of it, else
// its mass.
func (m *model) gearBy() string {
	if len(m.j.Rates.Hire) == 0 {
		return "kg"
	}
	for id := range m.doc.Parts {
		if _, ok := m.j.Rates.Hire[id]; !ok {
			return "kg"
		}
	}
	return "hire"
}

// gear that stands at once: the deck of the heaviest level for every level of
// shores, and its reshores for every level of those.
func (m *model) gear(c choice) float64 {
	by := m.gearBy()
	worth := func(p *catalog.Part) float64 {
		if by == "hire" {
			return float64(m.j.Rates.Hire[p.ID])
		}
		return float64(p.Mass.V)
	}
	deck, put := 0.0, 0.0
	for _, floor := range m.floors {
		d, r := 0.0, 0.0
		for _, p := range floor {
			if by == "hire" {
				d += m.hire(p)
			} else {
				d += p.deck.Summary.Weight
			}
			for _, s := range p.stands {
				if s.part != nil {
					r += worth(s.part)
				}
			}
		}
		deck, put = math.Max(deck, d), math.Max(put, r)
	}
	return math.Round(float64(min(c.shores, len(m.floors)))*deck + float64(min(c.reshores, len(m.floors)))*put)
}

// hire of a deck's parts for one use.
func (m *model) hire(p *pour) float64 {
	sum := 0.0
	add := func(ids ...string) {
		for _, id := range ids {
			sum += float64(m.j.Rates.Hire[id])
		}
	}
	d := &p.deck.Deck
	for _, x := range d.Sheets {
		add(x.Part)
	}
	for _, x := range slices.Concat(d.Joists, d.Stringers) {
		add(x.Part)
	}
	for _, x := range d.Props {
		add(x.Part, x.Head, x.Tripod, x.Sill, x.Wedge)
	}
	for _, x := range d.EdgeForms {
		add(x.Part, x.Kicker)
	}
	return sum
}

// order puts options the fastest first, then those with least gear.
func order(options []reshore.Option) {
	slices.SortStableFunc(options, func(a, b reshore.Option) int {
		return cmp.Or(cmp.Compare(a.Cycle, b.Cycle), cmp.Compare(a.Gear, b.Gear), cmp.Compare(a.Shores, b.Shores), cmp.Compare(a.Reshores, b.Reshores))
	})
}

// best fills in the fastest and the cheapest of the safe options.
func best(a *reshore.Answers) {
	a.Fastest, a.Cheapest = -1, -1
	for i, o := range a.Options {
		if !o.Safe {
			continue
		}
		if a.Fastest < 0 {
			a.Fastest = i
		}
		if a.Cheapest < 0 || o.Gear < a.Options[a.Cheapest].Gear {
			a.Cheapest = i
		}
	}
}

// matches tells whether an option is as the job asks, where it asks.
func (c choice) matches(o reshore.Choice) bool {
	return (c.cycle == 0 || float64(c.cycle) == o.Cycle) && (c.shores < 0 || c.shores == o.Shores) && (c.reshores < 0 || c.reshores == o.Reshores)
}

// take is the option that the report follows: of those that match what the job
// fixes the fastest safe one with least gear, else the one that comes closest.
func take(options []reshore.Option, asked choice) int {
	at := -1
	for i, o := range options {
		if !asked.matches(o.Choice) {
			continue
		}
		if o.Safe {
			return i
		}
		if at < 0 || o.Built && !options[at].Built || o.Built == options[at].Built && o.Ratio < options[at].Ratio {
			at = i
		}
	}
	return at
}

// remedies of an unsafe choice: the nearest that are safe.
func remedies(options []reshore.Option, c reshore.Choice) []string {
	var out []string
	say := func(what string, keep func(o reshore.Option) bool, better func(a, b reshore.Option) bool) {
		at := -1
		for i, o := range options {
			if o.Safe && keep(o) && (at < 0 || better(o, options[at])) {
				at = i
			}
		}
		if at >= 0 {
			o := options[at]
			out = append(out, fmt.Sprintf("%s: a cycle of %s with %s of shores and %s of reshores holds with %.0f %% to spare", what,
				quantity.Duration(o.Cycle).Text(), levels(o.Shores), levels(o.Reshores), 100*o.Margin))
		}
	}
	say("a longer cycle", func(o reshore.Option) bool {
		return o.Shores == c.Shores && o.Reshores == c.Reshores && o.Cycle > c.Cycle
	}, func(a, b reshore.Option) bool { return a.Cycle < b.Cycle })
	say("other levels in the same cycle", func(o reshore.Option) bool { return o.Cycle == c.Cycle }, func(a, b reshore.Option) bool { return a.Gear < b.Gear })
	say("the fastest of all", func(o reshore.Option) bool { return true }, func(a, b reshore.Option) bool { return a.Cycle < b.Cycle })
	if len(out) == 0 {
		out = append(out, "no cycle, shores and reshores that were tried hold: concrete that is stronger sooner (cylinders of the mix), a lighter construction load, or the engineer's own figures for the slabs are needed")
	}
	return slices.Compact(out)
}

// stronger says what strength the slab that fails worst would need at its hour.
func (m *model) stronger(v *verdict) (string, bool) {
	for _, c := range v.bad {
		if c.kind != "slab" {
			continue
		}
		p := m.pours[c.pour]
		holds := func(f quantity.Stress) bool {
			lines, err := p.member.Check(c.demand, f)
			w, ok := lines.Worst()
			return err == nil && ok && w.Ratio <= 1
		}
		full := p.member.Full
		have := fmt.Sprintf("slab %s at %s, %s", p.of.Name, ageText(c.age), c.op.Name())
		if !holds(full) {
			return have + ": no strength of its concrete is enough, its design load is too small for what comes onto it", true
		}
		low, high := quantity.Stress(0), full
		for range 50 {
			if mid := (low + high) / 2; holds(mid) {
				high = mid
			} else {
				low = mid
			}
		}
		return fmt.Sprintf("%s: a strength of %s by then, where %s is expected", have, high.Text(m.j.Style), c.have.Text(m.j.Style)), true
	}
	return "", false
}

func levels(n int) string {
	if n == 1 {
		return "1 level"
	}
	return fmt.Sprintf("%d levels", n)
}

// whatIf follows the choice when the work does not go as planned.
func (m *model) whatIf(v *verdict, h *hardening) ([]reshore.WhatIf, error) {
	worst := v.governing()
	from := v.placed[worst.pour]
	if worst.kind != "slab" {
		from = worst.op.At
	}
	type ask struct {
		name string
		c    choice
		h    *hardening
	}
	ten, day := quantity.Temperature(10), "10 °C"
	if m.j.Style == quantity.US {
		day = "18 °F"
	}
	asks := []ask{
		{fmt.Sprintf("a cold week: the concrete %s colder for 7 days from the placing of pour %s", day, m.pours[worst.pour].of.Name), v.choice, h.with(spell{from: from, to: from + 168, colder: ten})},
		{"a late break: every strength is reached a day later", v.choice, h.with(spell{late: 24})},
	}
	if v.reshores > 0 {
		c := v.choice
		c.reshores--
		asks = append(asks, ask{"one level of reshores fewer", c, h})
	}
	if v.shores > 1 {
		c := v.choice
		c.shores--
		asks = append(asks, ask{"one level of shores fewer", c, h})
	}
	var out []reshore.WhatIf
	for _, a := range asks {
		w, err := m.follow(a.c, a.h)
		if err != nil {
			return nil, err
		}
		o := m.option(w)
		out = append(out, reshore.WhatIf{Name: a.name, Safe: o.Safe, Built: o.Built, Margin: o.Margin, Slack: o.Slack, Why: o.Why})
	}
	return out, nil
}

// kindOf an operation, as data.
func kindOf(k storeys.Kind) reshore.Kind {
	switch k {
	case storeys.Place:
		return reshore.Place
	case storeys.LiveOff:
		return reshore.LiveOff
	case storeys.Strip:
		return reshore.Strip
	case storeys.Reshore:
		return reshore.PutReshores
	}
	return reshore.RemoveReshores
}
