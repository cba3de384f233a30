// Package mc2010 holds clauses of the fib Model Code 2010 on young concrete.
package mc2010

import (
	"fmt"
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const source = "fib MC2010 "

// Coefficient s of the growth of strength by the cement's strength class, and
// 0.20 for all cements where f_cm is over 60 N/mm2. Table 5.1-9, (5.1-51).
func Coefficient(cement string, fcm quantity.Stress) (calc.Line, error) {
	s, ok := map[string]float64{"32.5 N": 0.38, "32.5 R": 0.25, "42.5 N": 0.25, "42.5 R": 0.20, "52.5 N": 0.20, "52.5 R": 0.20}[cement]
	if !ok {
		return calc.Line{}, fmt.Errorf("cement %q is not known: 32.5 N, 32.5 R, 42.5 N, 42.5 R, 52.5 N or 52.5 R", cement)
	}
	if fcm > 60*quantity.Megapascal {
		s = 0.20
	}
	return calc.Line{Symbol: "s", Name: "cement coefficient, " + cement, Value: s, Source: source + "Table 5.1-9", Evidence: calc.Read}, nil
}

// Growth is beta_cc(t) = exp(s (1 - sqrt(28/t))), t in days. (5.1-51).
func Growth(s float64, age quantity.Duration) calc.Line {
	t := math.Max(age.Days(), 0)
	return calc.Line{Symbol: "β_cc", Name: "part of the mean strength reached", Formula: "exp(s · (1 - sqrt(28 / t)))",
		Terms: []calc.Term{{Sym: "s", Val: s}, {Sym: "t", Val: t}}, Value: math.Exp(s * (1 - math.Sqrt(28/t))),
		Source: source + "(5.1-51)", Evidence: calc.Read, Note: "t in days"}
}

// Aggregate factors alpha_E of the modulus. Table 5.1-6.
var Aggregate = map[string]float64{"basalt": 1.2, "quartzite": 1.0, "limestone": 0.9, "sandstone": 0.7}

// Modulus is E_ci = 21500 alpha_E (f_cm/10)^(1/3) N/mm2. (5.1-21).
func Modulus(fcm quantity.Stress, aggregate string) (calc.Line, error) {
	alpha, ok := Aggregate[aggregate]
	if !ok {
		return calc.Line{}, fmt.Errorf("aggregate %q is not known: basalt, quartzite, limestone or sandstone", aggregate)
	}
	return calc.Line{Symbol: "E_ci", Name: "modulus at 28 days, " + aggregate, Formula: "21500 · u · α_E · (f_cm / (10 · u))^(1 / 3)", Kind: calc.Stress,
		Terms:  []calc.Term{calc.Num("u", quantity.Megapascal, calc.Stress), {Sym: "α_E", Val: alpha}, calc.Num("f_cm", fcm, calc.Stress)},
		Value:  21500 * float64(quantity.Megapascal) * alpha * math.Cbrt(float64(fcm/(10*quantity.Megapascal))),
		Source: source + "(5.1-21)", Evidence: calc.Read}, nil
}

// ModulusRatio is E_ci(t)/E_ci = beta_cc^0.5. (5.1-56), (5.1-57). EN 1992 has another power.
func ModulusRatio(s float64, age quantity.Duration) calc.Line {
	beta := Growth(s, age).Value
	return calc.Line{Symbol: "E_ci,t / E_ci", Name: "part of the modulus of elasticity reached", Formula: "sqrt(β_cc)",
		Terms: []calc.Term{{Sym: "β_cc", Val: beta}}, Value: math.Sqrt(beta), Source: source + "(5.1-56), (5.1-57)", Evidence: calc.Read}
}

// AgeRate is how much faster than at 20 degrees C concrete ages at a temperature:
// exp(13.65 - 4000/(273 + T)), 0.998 at 20 degrees. (5.1-85).
func AgeRate(t quantity.Temperature) calc.Line {
	return calc.Line{Symbol: "Δt_T / Δt", Name: "rate of ageing", Formula: "exp(13.65 - 4000 / (273 + T))",
		Terms: []calc.Term{{Sym: "T", Val: float64(t)}}, Value: math.Exp(13.65 - 4000/(273+float64(t))),
		Source: source + "(5.1-85)", Evidence: calc.Read, Note: "T in °C"}
}
