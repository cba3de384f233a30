// Package en12812 holds the load and factor rules of EN 12812:2008, falsework.
// Most figures are from memory and say so.
package en12812

import (
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const source = "EN 12812:2008 "

// Partial factors, 9.2.2.1, from memory.
const (
	GammaPermanent = 1.35 // Q1: forms and falsework
	GammaVariable  = 1.50 // Q2..Q5; fresh concrete is variable here
	GammaSteel     = 1.10 // steel and aluminium
	ClassB2        = 1.15 // further divisor on resistance in the simplified method
)

// OverallFactorB2 is the overall factor of variable load on a steel member in class B2.
func OverallFactorB2() float64 { return GammaVariable * GammaSteel * ClassB2 }

// ClassA tells whether design class A may be used: small slabs on low falsework.
// Section is slab cross-section per metre of width, m2/m. 4.2.
func ClassA(section quantity.Length, beam quantity.Area, span, height quantity.Length) bool {
	return section <= 0.3 && beam <= 0.5 && span <= 6 && height <= 3.5
}

// ConcreteLoad is Q2 of the placed concrete, w t. 8.2.2.1.1.
func ConcreteLoad(weight quantity.UnitWeight, t quantity.Length) calc.Line {
	return calc.Line{Symbol: "Q2_c", Name: "fresh concrete with reinforcement", Formula: "w · t",
		Terms: []calc.Term{calc.Num("w", weight, calc.UnitWeight), calc.Num("t", t, calc.Length)},
		Value: float64(weight) * float64(t), Kind: calc.Pressure, Source: source + "8.2.2.1.1", Evidence: calc.Memory}
}

// OperationsMinimum is the least load of construction operations, over the whole area. 8.2.2.1.3.
const OperationsMinimum = 0.75 * quantity.Kilopascal

// PlacingAllowance is Q4 = 10 % of the concrete, between 0.75 and 1.75 kN/m2,
// on 3 m by 3 m, on top of the operations load. 8.2.3.
func PlacingAllowance(concrete quantity.Stress) calc.Line {
	return allowance("Q4", "local load while placing", concrete, 1.75*quantity.Kilopascal, source+"8.2.3")
}

// PlacingLoadEN1991 is the load of the working area in EN 1991-1-6 Table 4.2:
// 10 % of the concrete, between 0.75 and 1.5 kN/m2, with no further operations load in it.
func PlacingLoadEN1991(concrete quantity.Stress) calc.Line {
	return allowance("Q_cf", "load of the working area", concrete, 1.5*quantity.Kilopascal, "EN 1991-1-6:2005 Table 4.2")
}

func allowance(sym, name string, concrete, top quantity.Stress, src string) calc.Line {
	least := 0.75 * quantity.Kilopascal
	return calc.Line{Symbol: sym, Name: name, Formula: "min(max(0.1 · Q_c, q_min), q_max)",
		Terms: []calc.Term{calc.Num("Q_c", concrete, calc.Pressure), calc.Num("q_min", least, calc.Pressure), calc.Num("q_max", top, calc.Pressure)},
		Value: math.Min(math.Max(0.1*float64(concrete), float64(least)), float64(top)), Kind: calc.Pressure, Source: src, Evidence: calc.Memory}
}

// PersistentHorizontal is Q3 = 1 % of the vertical load, on top of imperfections. 8.2.2.2.
func PersistentHorizontal(vertical quantity.Force) calc.Line {
	return calc.Line{Symbol: "Q3", Name: "persistent horizontal load, imperfections apart", Formula: "0.01 · V",
		Terms: []calc.Term{calc.Num("V", vertical, calc.Force)},
		Value: 0.01 * float64(vertical), Kind: calc.Force, Source: source + "8.2.2.2", Evidence: calc.Memory}
}

// DesignLoad is q_d = 1.35 Q1 + 1.5 (Q2 + Q4) per area. 9.2.2.1.
func DesignLoad(forms, placing quantity.Stress) calc.Line {
	return calc.Line{Symbol: "q_d", Name: "design load", Formula: "1.35 · Q1 + 1.5 · Q_v",
		Terms: []calc.Term{calc.Num("Q1", forms, calc.Pressure), calc.Num("Q_v", placing, calc.Pressure)},
		Value: GammaPermanent*float64(forms) + GammaVariable*float64(placing), Kind: calc.Pressure,
		Source: source + "9.2.2.1", Evidence: calc.Memory, Note: "Q_v: concrete, operations and placing"}
}
