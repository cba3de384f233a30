// Package aci3472r holds the procedure of ACI 347.2R, guide for shoring and
// reshoring of concrete multistory buildings, as far as it can be put in
// formulas: the load of a young slab with its allowances, and what the slab may
// carry at an age. The guide itself was not seen.
package aci3472r

import (
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const source = "ACI 347.2R procedure"

// Allowances for the unequal stiffness of slabs and for the weight of forms.
const (
	StiffnessAllowance = 1.1
	FormsAllowance     = 1.1
)

// ConstructionLoad of a slab is k_1 k_2 R w_slab with the load ratio R of the
// simplified method. Scanlon and Suprenant (2011), eq. 1.
func ConstructionLoad(r quantity.Ratio, slab quantity.Stress) calc.Line {
	return calc.Line{Symbol: "w_const", Name: "construction load with allowances", Formula: "k_1 · k_2 · R · w_slab", Kind: calc.Pressure,
		Terms: []calc.Term{{Sym: "k_1", Val: StiffnessAllowance}, {Sym: "k_2", Val: FormsAllowance}, {Sym: "R", Val: float64(r)}, calc.Num("w_slab", slab, calc.Pressure)},
		Value: StiffnessAllowance * FormsAllowance * float64(r) * float64(slab), Source: "Scanlon and Suprenant, Concrete International 2011, eq. 1", Evidence: calc.Read}
}

// AllowableLoad at an age is the factored design load times the part of the
// strength reached, of the action that has least of it and never more than 1. From
// memory, in our words.
func AllowableLoad(design quantity.Stress, part quantity.Ratio) calc.Line {
	return calc.Line{Symbol: "w_t", Name: "factored load that the slab may carry at this age", Formula: "w_u · min(r, 1)", Kind: calc.Pressure,
		Terms: []calc.Term{calc.Num("w_u", design, calc.Pressure), {Sym: "r", Val: float64(part)}},
		Value: float64(design) * math.Min(float64(part), 1), Source: source, Evidence: calc.Memory}
}
