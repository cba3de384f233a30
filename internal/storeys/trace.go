package storeys

import (
	"errors"
	"fmt"
	"math"

	"shoreward/internal/quantity"
)

// Rules of a trace.
type Rules struct {
	// Loose reshores are made snug before every placing. Left loose they help
	// only once the slab above has come down onto them.
	Resnug bool
}

// tracer is a stack in the middle of the work.
type tracer struct {
	stack  *Stack
	rules  Rules
	levels []level
	live   []float64
	placed []quantity.Duration
	index  map[string]int
	at     quantity.Duration
}

// Trace follows the operations, in their order, through a stack. Operations on
// slabs that the stack does not have are of other places and are passed over.
func (s *Stack) Trace(ops []Operation, rules Rules) (*Trace, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	n := len(s.Slabs)
	t := &tracer{stack: s, rules: rules, levels: make([]level, n), live: make([]float64, n),
		placed: make([]quantity.Duration, n), index: map[string]int{}, at: quantity.Duration(math.Inf(-1))}
	for i, slab := range s.Slabs {
		t.index[slab.ID] = i
	}
	out := &Trace{Stack: s}
	for k, op := range ops {
		i, here := t.index[op.Slab]
		if !here {
			continue
		}
		step, err := t.do(op, i)
		if err != nil {
			where := ""
			if s.Name != "" {
				where = s.Name + ", "
			}
			return nil, fmt.Errorf("%soperation %d, %s: %w", where, k+1, op.Name(), err)
		}
		out.Steps = append(out.Steps, step)
	}
	return out, nil
}

// check refuses a stack that cannot be followed.
func (s *Stack) check() error {
	if len(s.Slabs) == 0 {
		return errors.New("no slab is given")
	}
	if !(s.Ground > 0) {
		return fmt.Errorf("the ground has stiffness %g N/m3: give a stiffness above zero, or Rigid", float64(s.Ground))
	}
	seen := map[string]bool{}
	for i, l := range s.Slabs {
		switch {
		case l.ID == "":
			return fmt.Errorf("slab %d has no name", i+1)
		case seen[l.ID]:
			return fmt.Errorf("slab %s is there twice", l.ID)
		case i > 0 && !(l.Top > s.Slabs[i-1].Top):
			return fmt.Errorf("slab %s at %g m is not above slab %s at %g m: slabs go from the lowest up", l.ID, float64(l.Top), s.Slabs[i-1].ID, float64(s.Slabs[i-1].Top))
		case !(l.Weight > 0) || math.IsInf(float64(l.Weight), 0):
			return fmt.Errorf("slab %s has weight %g Pa: it must be above zero", l.ID, float64(l.Weight))
		case !finite(l.Forms) || !finite(l.Live):
			return fmt.Errorf("slab %s has forms of %g Pa and live load of %g Pa: neither may be below zero", l.ID, float64(l.Forms), float64(l.Live))
		case l.Stiffness == nil:
			return fmt.Errorf("slab %s has no stiffness", l.ID)
		case !(l.Shores > 0) || !(l.Reshores > 0):
			return fmt.Errorf("slab %s has shores of %g N/m3 and reshores of %g N/m3: give stiffnesses above zero, or Rigid", l.ID, float64(l.Shores), float64(l.Reshores))
		}
		seen[l.ID] = true
	}
	return nil
}

func finite(p quantity.Stress) bool { return p >= 0 && !math.IsInf(float64(p), 0) }

// do carries out one operation on slab i.
func (t *tracer) do(op Operation, i int) (Step, error) {
	step := Step{Operation: op}
	if !(op.At >= t.at) || math.IsInf(float64(op.At), 0) {
		return step, fmt.Errorf("it comes at %s, before the operation above it at %s: put the operations in order of time", op.At.Text(), t.at.Text())
	}
	t.at = op.At
	if op.Kind == Place && t.rules.Resnug {
		for j := range t.levels {
			if t.levels[j].gap > 0 {
				t.levels[j].gap = 0
				step.Snugged = append(step.Snugged, j)
			}
		}
	}
	if err := t.change(op, i); err != nil {
		return step, err
	}
	loose := make([]bool, len(t.levels))
	for j := range t.levels {
		l := &t.levels[j]
		loose[j] = l.gap > 0
		l.k = 0
		if age := t.at - t.placed[j]; l.placed && age > 0 {
			if l.k = float64(t.stack.Slabs[j].Stiffness(age)); !(l.k >= 0) || math.IsInf(l.k, 0) {
				return step, fmt.Errorf("slab %s has stiffness %g N/m3 at %s", t.stack.Slabs[j].ID, l.k, age.Text())
			}
		}
	}
	err := settle(t.levels)
	var m mechanism
	switch {
	case errors.As(err, &m):
		return step, fmt.Errorf("slab %s would be left without support before it has any stiffness", t.stack.Slabs[m.level].ID)
	case err == nil:
		err = proven(t.levels)
	}
	if err != nil {
		return step, fmt.Errorf("no balance was found: %w", err)
	}
	for j := range t.levels {
		l := &t.levels[j]
		state := SlabState{Placed: l.placed, Load: quantity.Stress(l.s)}
		if l.placed {
			state.Age = t.at - t.placed[j]
		}
		step.Slabs = append(step.Slabs, state)
		step.Props = append(step.Props, PropState{Kind: l.prop, On: l.on, Force: quantity.Stress(l.p),
			Gap: quantity.Length(l.gap), Lifted: l.gap > 0 && !loose[j]})
	}
	return step, nil
}

// change puts the change of an operation on slab i into the levels.
func (t *tracer) change(op Operation, i int) error {
	l, slab := &t.levels[i], &t.stack.Slabs[i]
	if (op.Kind == Place) == l.placed {
		if l.placed {
			return errors.New("it is placed already")
		}
		return errors.New("it is not placed yet")
	}
	switch op.Kind {
	case Place:
		if j, through := t.through(i); through {
			return fmt.Errorf("props under %s stand through it: take them out first", t.stack.Slabs[j].ID)
		}
		l.placed, t.placed[i] = true, op.At
		l.w = float64(slab.Weight + slab.Forms + slab.Live)
		t.live[i] = float64(slab.Live)
		t.stand(i, Shore, slab.Shores)
	case LiveOff, LiveOn:
		load := 0.0
		if op.Kind == LiveOn {
			if load = float64(op.Load); op.Load == 0 {
				load = float64(slab.Live)
			}
			if !finite(quantity.Stress(load)) {
				return fmt.Errorf("live load %g Pa may not be below zero", load)
			}
		}
		l.w += load - t.live[i]
		t.live[i] = load
	case Strip:
		if l.prop != Shore {
			return errors.New("there are no shores under it")
		}
		l.w -= float64(slab.Forms)
		l.prop, l.p, l.gap = None, 0, 0
	case Reshore:
		if l.prop != None {
			return fmt.Errorf("there are %ss under it already", l.prop)
		}
		t.stand(i, ReshoreProp, slab.Reshores)
	case RemoveReshores:
		if l.prop != ReshoreProp {
			return errors.New("there are no reshores under it")
		}
		l.prop, l.p, l.gap = None, 0, 0
	case Snug:
		if l.prop != ReshoreProp {
			return errors.New("there are no reshores under it")
		}
		l.gap = 0
	default:
		return errors.New("it is not known")
	}
	return nil
}

// stand sets props without load under slab i, on the next slab below that is there.
func (t *tracer) stand(i int, kind Prop, k Stiffness) {
	l := &t.levels[i]
	l.prop, l.on, l.p, l.gap, l.give = kind, i-1, 0, 0, k.flexibility()
	for l.on > Ground && !t.levels[l.on].placed {
		l.on--
	}
	if l.on == Ground {
		l.give += t.stack.Ground.flexibility()
	}
}

// through finds props of a slab above i that stand on something below i.
func (t *tracer) through(i int) (int, bool) {
	for j := i + 1; j < len(t.levels); j++ {
		if l := &t.levels[j]; l.prop != None && l.on < i {
			return j, true
		}
	}
	return 0, false
}
