// Package bs5975 holds the one rule of BS 5975 that is used beside EN 12812:
// the least lateral force on falsework.
package bs5975

import (
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

// MinimumShare of the vertical load that acts sideways at least. 19.2.9, from memory.
const MinimumShare = 0.025

// LateralMinimum is the greater of share (2.5 %) of the vertical load and the
// known horizontal force with 1 % of the vertical load for erection. 19.2.9, from memory.
func LateralMinimum(vertical, known quantity.Force, share float64) calc.Line {
	return calc.Line{Symbol: "H", Name: "least horizontal load, each direction", Formula: "max(k · V, F_H + 0.01 · V)",
		Terms: []calc.Term{calc.Num("k", share, calc.Plain), calc.Num("V", vertical, calc.Force), calc.Num("F_H", known, calc.Force)},
		Value: math.Max(share*float64(vertical), float64(known)+0.01*float64(vertical)), Kind: calc.Force,
		Source: "BS 5975:2019 19.2.9", Evidence: calc.Memory}
}
