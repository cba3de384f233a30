package storeys

import (
	"fmt"

	"shoreward/internal/quantity"
)

// Uniform is a stack of equal slabs of weight 1, so that every load in a trace
// reads in units of the slab weight: forms and live load are given in it, and c
// is the stiffness of the slab over that of the props, both per area; none means
// props that do not shorten.
func Uniform(levels int, forms, live, c quantity.Ratio) *Stack {
	const slab Stiffness = 1
	props := Rigid
	if c > 0 {
		props = slab / Stiffness(c)
	}
	s := &Stack{Ground: Rigid}
	for i := range levels {
		s.Slabs = append(s.Slabs, Slab{ID: levelName(i + 1), Top: quantity.Length(i + 1), Weight: 1,
			Forms: quantity.Stress(forms), Live: quantity.Stress(live), Stiffness: Constant(slab), Shores: props, Reshores: props})
	}
	return s
}

// levelName of a level, numbered from 1.
func levelName(n int) string { return fmt.Sprintf("level %d", n) }

// IDs of the slabs, from the lowest up.
func (s *Stack) IDs() []string {
	var out []string
	for _, l := range s.Slabs {
		out = append(out, l.ID)
	}
	return out
}
