// Package asce37 holds the load combination of ASCE/SEI 37-14 that slabs under
// construction are judged by at strength level, from memory.
package asce37

import (
	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

// Factors on dead load (slabs, forms) and on the variable construction load.
const (
	DeadFactor     = 1.2
	VariableFactor = 1.6
)

// Combination is 1.2 D + 1.6 C. 2.2, from memory.
func Combination(dead, variable quantity.Stress) calc.Line {
	return calc.Line{Symbol: "w_f", Name: "factored construction load", Formula: "γ_D · D + γ_C · C", Kind: calc.Pressure,
		Terms: []calc.Term{{Sym: "γ_D", Val: DeadFactor}, calc.Num("D", dead, calc.Pressure), {Sym: "γ_C", Val: VariableFactor}, calc.Num("C", variable, calc.Pressure)},
		Value: DeadFactor*float64(dead) + VariableFactor*float64(variable), Source: "ASCE/SEI 37-14 2.2", Evidence: calc.Memory}
}
