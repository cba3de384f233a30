package storeys

import "shoreward/internal/quantity"

// Peak is the greatest of a kind over a trace, and where it was first met.
type Peak struct {
	Load quantity.Stress
	Of   float64 // in units of the weight of the slab: the one loaded, or the one over the props
	Slab int     // index in the stack
	Step int     // index of the operation
}

// Peaks of a trace.
type Peaks struct {
	Slab, Shore, Reshore Peak
	// Of props in stacks that no longer stand on the ground.
	ShoreOffGround, ReshoreOffGround Peak
}

// Peaks finds the greatest loads in units of the slabs' own weight.
func (t *Trace) Peaks() Peaks {
	var out Peaks
	for k, st := range t.Steps {
		grounded := st.grounded()
		for i, s := range st.Slabs {
			weight := t.Stack.Slabs[i].Weight
			meet(&out.Slab, s.Load, weight, i, k)
			p := st.Props[i]
			all, off := &out.Shore, &out.ShoreOffGround
			if p.Kind == ReshoreProp {
				all, off = &out.Reshore, &out.ReshoreOffGround
			}
			if p.Kind != None {
				meet(all, p.Force, weight, i, k)
				if !grounded[i] {
					meet(off, p.Force, weight, i, k)
				}
			}
		}
	}
	return out
}

// meet keeps the greater. A later value counts only when it is more than a
// rounding greater, so that the first place is named.
func meet(p *Peak, load, weight quantity.Stress, slab, step int) {
	if of := float64(load / weight); of > p.Of+1e-9 {
		*p = Peak{load, of, slab, step}
	}
}

// grounded says of each slab whether it stands on the ground through props.
func (s *Step) grounded() []bool {
	out := make([]bool, len(s.Props))
	for i, p := range s.Props {
		out[i] = p.Kind != None && (p.On == Ground || out[p.On])
	}
	return out
}
