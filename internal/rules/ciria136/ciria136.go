// Package ciria136 holds what CIRIA Report 136 (and Technical Note 36 before it)
// says, after Sadgrove, on striking soffits early. From memory: confirm against the
// report.
package ciria136

import (
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const source = "CIRIA Report 136 (Sadgrove)"

// StrikingStrength is the cube strength at which a slab designed for w_ser may
// carry w, f_c = f_cu w/w_ser, both loads without factors.
func StrikingStrength(w, service, fcu quantity.Stress) calc.Line {
	return calc.Line{Symbol: "f_c", Name: "cube strength needed", Formula: "f_cu · w / w_ser", Kind: calc.Stress,
		Terms: []calc.Term{calc.Num("f_cu", fcu, calc.Stress), calc.Num("w", w, calc.Pressure), calc.Num("w_ser", service, calc.Pressure)},
		Value: float64(fcu) * float64(w/service), Source: source, Evidence: calc.Memory}
}

// AgeRate is ((T + 16)/36)^2: how much faster than at 20 °C concrete ages; nothing
// below -16 °C.
func AgeRate(t quantity.Temperature) calc.Line {
	return calc.Line{Symbol: "Δt_e / Δt", Name: "rate of ageing", Formula: "(max(T + 16, 0) / 36)²",
		Terms: []calc.Term{{Sym: "T", Val: float64(t)}}, Value: math.Pow(math.Max(float64(t)+16, 0)/36, 2),
		Source: source, Evidence: calc.Memory, Note: "T in °C"}
}
