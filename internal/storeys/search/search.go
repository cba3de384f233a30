// Package search finds which cycles, levels of shores and reshores and stripping
// strengths a building's young slabs and props can take: every choice asked for is
// followed through the whole building twice, by the simplified method (rigid props,
// slabs as stiff as at 28 days) and with real props and slabs that grow stiffer, and
// judged slab by slab at its age. A choice is safe when it holds by both.
package search

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
	"shoreward/internal/storeys"
	"shoreward/internal/strength"
)

// Floor is one level, from the lowest up.
type Floor struct {
	Slab   storeys.Slab // its Stiffness is that at 28 days, grown by the Gain
	Member strength.Member
	// What the props under it carry per area; nothing: not judged here.
	ShoreRating, ReshoreRating quantity.Stress
}

// Question asks for all combinations of the choices.
type Question struct {
	// The floors over one another, from the lowest up, at every place in plan where
	// they differ: one place for a building of equal storeys, the spots of a building of
	// several pours.
	Places  [][]Floor
	Ground  storeys.Stiffness
	Gain    strength.Gain
	Order   storeys.Order
	Loose   bool              // reshores that came loose stay loose
	Forming quantity.Duration // from stripping to the next placing at least

	Cycles    []quantity.Duration // from placing to placing
	Shores    []int
	Reshores  []int
	Strengths []quantity.Stress // of the concrete of a level when it is stripped
}

// Choice of how a building is made.
type Choice struct {
	Cycle         quantity.Duration
	Shores        int
	Reshores      int
	StripStrength quantity.Stress
}

// Option is a choice, judged.
type Option struct {
	Choice
	StripAfter quantity.Duration // of a placing, the levels below are stripped
	StripAge   quantity.Duration // of the level stripped
	Safe       bool
	Margin     float64 // capacity over demand less 1, at the worst place
	Why        string  // the worst place, or why the choice cannot be built
	Worst      calc.Line
}

// mostOptions of one question.
const mostOptions = 20000

// Search judges every choice, the fastest first, then that with fewest levels.
func Search(q Question) ([]Option, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	var out []Option
	for _, cycle := range q.Cycles {
		for _, m := range q.Shores {
			for _, r := range q.Reshores {
				for _, f := range q.Strengths {
					o, err := q.judge(Choice{cycle, m, r, f})
					if err != nil {
						return nil, fmt.Errorf("a cycle of %s with %d levels of shores and %d of reshores: %w", cycle.Text(), m, r, err)
					}
					out = append(out, o)
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Option) int {
		return cmp.Or(cmp.Compare(a.Cycle, b.Cycle), cmp.Compare(a.Shores, b.Shores), cmp.Compare(a.Reshores, b.Reshores), cmp.Compare(a.StripStrength, b.StripStrength))
	})
	return out, nil
}

// Safe options among those judged.
func Safe(all []Option) []Option {
	return slices.DeleteFunc(slices.Clone(all), func(o Option) bool { return !o.Safe })
}

func (q Question) check() error {
	n := len(q.Cycles) * len(q.Shores) * len(q.Reshores) * len(q.Strengths)
	switch {
	case len(q.Places) == 0 || slices.ContainsFunc(q.Places, func(p []Floor) bool { return len(p) == 0 }):
		return errors.New("no floor is given")
	case n == 0:
		return errors.New("cycles, shores, reshores and strengths at stripping each need one choice at least")
	case n > mostOptions:
		return fmt.Errorf("%d combinations are asked for: at most %d", n, mostOptions)
	case !(q.Forming > 0):
		return fmt.Errorf("%s from stripping to the next placing: it must be above zero", q.Forming.Text())
	}
	for _, c := range q.Cycles {
		if !(c > 0) || c > quantity.Days(365) {
			return fmt.Errorf("a cycle of %s: above zero and up to a year", c.Text())
		}
	}
	if least := slices.Min(q.Shores); least < 1 {
		return fmt.Errorf("%d levels of shores: 1 or more", least)
	}
	if least := slices.Min(q.Reshores); least < 0 {
		return fmt.Errorf("%d levels of reshores: 0 or more", least)
	}
	for _, f := range slices.Concat(q.Places...) {
		if f.ShoreRating < 0 || f.ReshoreRating < 0 {
			return fmt.Errorf("props under %s have a rating below zero", f.Slab.ID)
		}
	}
	return nil
}

// judge follows a choice with rigid and with real props.
func (q Question) judge(c Choice) (Option, error) {
	o := Option{Choice: c}
	age, err := q.Gain.AgeAt(c.StripStrength)
	if err != nil {
		o.Why = err.Error()
		return o, nil
	}
	// The level stripped after a placing is Shores - 1 cycles older than the one placed.
	o.StripAfter = max(age-quantity.Duration(c.Shores-1)*c.Cycle, 1)
	o.StripAge = o.StripAfter + quantity.Duration(c.Shores-1)*c.Cycle
	if o.StripAfter+q.Forming > c.Cycle {
		o.Why = fmt.Sprintf("%s is reached %s after placing: too late to form the next level within the cycle", c.StripStrength.Text(quantity.Metric), age.Text())
		return o, nil
	}
	for _, floors := range q.Places {
		for _, rigid := range []bool{true, false} {
			with, err := q.trace(floors, c, o.StripAfter, rigid, true)
			if err != nil {
				return o, err
			}
			without, err := q.trace(floors, c, o.StripAfter, rigid, false)
			if err != nil {
				return o, err
			}
			if err := q.proof(&o, floors, with, without, rigid); err != nil {
				return o, err
			}
		}
	}
	o.Safe = o.Worst.Ratio <= 1
	o.Margin = 1/o.Worst.Ratio - 1
	return o, nil
}

// trace of the floors of a place, with their live loads or without.
func (q Question) trace(floors []Floor, c Choice, strip quantity.Duration, rigid, live bool) (*storeys.Trace, error) {
	s := &storeys.Stack{Ground: q.Ground}
	if rigid {
		s.Ground = storeys.Rigid
	}
	for _, f := range floors {
		slab := f.Slab
		if !live {
			slab.Live = 0
		}
		if rigid {
			slab.Shores, slab.Reshores = storeys.Rigid, storeys.Rigid
		}
		if f.Slab.Stiffness == nil {
			return nil, fmt.Errorf("slab %s has no stiffness", f.Slab.ID)
		}
		full := f.Slab.Stiffness(quantity.Days(28))
		slab.Stiffness = storeys.Constant(full)
		if !rigid {
			slab.Stiffness = func(age quantity.Duration) storeys.Stiffness {
				return full * storeys.Stiffness(q.Gain.Modulus(age).Value)
			}
		}
		s.Slabs = append(s.Slabs, slab)
	}
	ops, err := storeys.Cycle{Shores: c.Shores, Reshores: c.Reshores, Order: q.Order, LiveOff: true, Every: c.Cycle, StripAfter: strip}.Standard(s.IDs())
	if err != nil {
		return nil, err
	}
	return s.Trace(ops, storeys.Rules{Resnug: !q.Loose})
}

// proof checks every slab and every level of props after every operation and keeps
// the worst. The variable part of a load is what the live load adds to it.
func (q Question) proof(o *Option, floors []Floor, with, without *storeys.Trace, rigid bool) error {
	props := "real"
	if rigid {
		props = "rigid"
	}
	keep := func(l calc.Line, st storeys.Step, what string) {
		if o.Why == "" || l.Ratio > o.Worst.Ratio {
			o.Worst = l
			o.Why = fmt.Sprintf("%s, %s, %s props: %s", what, st.Name(), props, l.Name)
		}
	}
	for k, st := range with.Steps {
		for i, s := range st.Slabs {
			f := &floors[i]
			small := 1e-9 * f.Slab.Weight
			if s.Load < -small {
				keep(calc.Line{Symbol: "w", Name: "pushed up from below", Value: -float64(s.Load), Kind: calc.Pressure, Source: "statics", Evidence: calc.Derived}.Check(0, "none"), st, "slab "+f.Slab.ID)
			}
			if s.Load > small {
				variable := max(s.Load-without.Steps[k].Slabs[i].Load, 0)
				have := quantity.Stress(0) // where no curve tells, tests must: nothing is counted
				if l, err := q.Gain.Strength(s.Age); err == nil {
					have = quantity.Stress(l.Value)
				}
				lines, err := f.Member.Check(strength.Demand{Dead: s.Load - variable, Variable: variable}, have)
				if err != nil {
					return err
				}
				if l, ok := lines.Worst(); ok {
					keep(l, st, fmt.Sprintf("slab %s at %s", f.Slab.ID, ageText(s.Age)))
				}
			}
			p := st.Props[i]
			rating := f.ShoreRating
			if p.Kind == storeys.ReshoreProp {
				rating = f.ReshoreRating
			}
			if rating > 0 && p.Kind != storeys.None {
				l := calc.Line{Symbol: "p", Name: "load on the " + p.Kind.String() + "s", Value: float64(p.Force), Kind: calc.Pressure, Source: "the rating given", Evidence: calc.User}
				keep(l.Check(float64(rating), "p_rated"), st, p.Kind.String()+"s under "+f.Slab.ID)
			}
		}
	}
	return nil
}

func ageText(age quantity.Duration) string {
	return fmt.Sprintf("%g days", math.Round(age.Days()*10)/10)
}
