// Package bs8110 holds the times of BS 8110-1 before formwork is struck, Table 6.2,
// by the mean surface temperature of the concrete, for Portland cement. From
// memory; the formulas give the table's own columns.
package bs8110

import (
	"fmt"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const source = "BS 8110-1:1997 Table 6.2"

// Part of the formwork.
type Part int

// Parts of Table 6.2.
const (
	Vertical   Part = iota
	SlabSoffit      // props left under
	BeamSoffitSlabProps
	BeamProps
)

// StrikingTime before a part may go: a constant over t + 10, at least 0 °C and at
// most 25 °C being counted.
func StrikingTime(p Part, surface quantity.Temperature) (calc.Line, error) {
	if !(surface >= 0) {
		return calc.Line{}, fmt.Errorf("at %s BS 8110-1 gives no time: protect the concrete and test it", surface.Text(quantity.Metric))
	}
	t := min(float64(surface), 25)
	constant := map[Part]float64{Vertical: 300.0 / 24, SlabSoffit: 100, BeamSoffitSlabProps: 250, BeamProps: 360}
	c, ok := constant[p]
	if !ok {
		return calc.Line{}, fmt.Errorf("part %d of the formwork is not known", p)
	}
	return calc.Line{Symbol: "t_s", Name: "time before striking, days", Formula: "c / (T + 10)",
		Terms: []calc.Term{{Sym: "c", Val: c}, {Sym: "T", Val: t}}, Value: c / (t + 10), Source: source, Evidence: calc.Memory, Note: "T in °C"}, nil
}

// LeastCubeStrength before early striking, 5 N/mm2 against frost and mechanical
// damage. 6.2.6.3.1, from memory.
func LeastCubeStrength() calc.Line {
	return calc.Line{Symbol: "f_c,min", Name: "least cube strength", Value: float64(5 * quantity.Megapascal), Kind: calc.Stress, Source: "BS 8110-1:1997 6.2.6.3.1", Evidence: calc.Memory}
}

// LoadedCubeStrength before a member that is stressed may be struck, the greater of
// 10 N/mm2 and twice the stress. 6.2.6.3.1, from memory.
func LoadedCubeStrength(stress quantity.Stress) calc.Line {
	return calc.Line{Symbol: "f_c,min", Name: "least cube strength of a stressed member", Formula: "max(f_10, 2 · σ)", Kind: calc.Stress,
		Terms: []calc.Term{calc.Num("f_10", 10*quantity.Megapascal, calc.Stress), calc.Num("σ", stress, calc.Stress)},
		Value: float64(max(10*quantity.Megapascal, 2*stress)), Source: "BS 8110-1:1997 6.2.6.3.1", Evidence: calc.Memory}
}
