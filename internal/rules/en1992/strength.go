// Package en1992 holds clauses of EN 1992-1-1:2004 on young concrete: strength and
// stiffness by age, and punching.
package en1992

import (
	"fmt"
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const source = "EN 1992-1-1:2004 "

// Coefficient s of the growth of strength by the class of the cement, rapid (R),
// normal (N) or slow (S). 3.1.2(6).
func Coefficient(class string) (calc.Line, error) {
	s, ok := map[string]float64{"R": 0.20, "N": 0.25, "S": 0.38}[class]
	if !ok {
		return calc.Line{}, fmt.Errorf("cement class %q is not known: R (rapid), N (normal) or S (slow)", class)
	}
	return calc.Line{Symbol: "s", Name: "cement coefficient, class " + class, Value: s, Source: source + "3.1.2(6)", Evidence: calc.Read}, nil
}

// Growth is beta_cc(t) = exp(s (1 - sqrt(28/t))), t in days. (3.2).
func Growth(s float64, age quantity.Duration) calc.Line {
	t := math.Max(age.Days(), 0)
	return calc.Line{Symbol: "β_cc", Name: "part of the mean strength reached", Formula: "exp(s · (1 - sqrt(28 / t)))",
		Terms: []calc.Term{{Sym: "s", Val: s}, {Sym: "t", Val: t}}, Value: math.Exp(s * (1 - math.Sqrt(28/t))),
		Source: source + "(3.2)", Evidence: calc.Read, Note: "t in days"}
}

// meanMargin is f_cm - f_ck.
const meanMargin = 8 * quantity.Megapascal

// MeanStrength is f_cm(t) = beta_cc f_cm with f_cm = f_ck + 8 N/mm2. (3.1).
func MeanStrength(fck quantity.Stress, beta float64) calc.Line {
	return calc.Line{Symbol: "f_cm,t", Name: "mean cylinder strength at this age", Formula: "β_cc · (f_ck + Δf)", Kind: calc.Stress,
		Terms: []calc.Term{{Sym: "β_cc", Val: beta}, calc.Num("f_ck", fck, calc.Stress), calc.Num("Δf", meanMargin, calc.Stress)},
		Value: beta * float64(fck+meanMargin), Source: source + "(3.1), Table 3.1", Evidence: calc.Read}
}

// CharacteristicStrength is f_ck(t) = f_cm(t) - 8 N/mm2 between 3 and 28 days,
// and f_ck after. Up to 3 days only tests tell. 3.1.2(5), from memory.
func CharacteristicStrength(fck quantity.Stress, s float64, age quantity.Duration) (calc.Line, error) {
	if !(age.Days() > 3) {
		return calc.Line{}, fmt.Errorf("at %s EN 1992-1-1 3.1.2(5) gives no characteristic strength: up to 3 days it comes from tests", age.Text())
	}
	l := calc.Line{Symbol: "f_ck,t", Name: "characteristic cylinder strength at this age", Kind: calc.Stress,
		Value: float64(fck), Source: source + "3.1.2(5)", Evidence: calc.Memory}
	if age.Days() < 28 {
		mean := MeanStrength(fck, Growth(s, age).Value)
		l.Formula = "max(f_cm_t - Δf, 0)"
		l.Terms = []calc.Term{{Sym: "f_cm_t", Val: mean.Value, Kind: calc.Stress}, calc.Num("Δf", meanMargin, calc.Stress)}
		l.Value = math.Max(mean.Value-float64(meanMargin), 0)
	}
	return l, nil
}

// TensileStrength is f_ctm(t) = beta_cc^alpha f_ctm, alpha 1 before 28 days and
// 2/3 after, with f_ctm = 0.30 f_ck^(2/3) N/mm2 up to C50. (3.4), Table 3.1.
func TensileStrength(fck quantity.Stress, s float64, age quantity.Duration) calc.Line {
	alpha := 1.0
	if age.Days() >= 28 {
		alpha = 2.0 / 3
	}
	u, f := float64(quantity.Megapascal), float64(fck)
	full := 0.30 * math.Pow(f/u, 2.0/3) * u
	if fck > 50*quantity.Megapascal {
		full = 2.12 * math.Log(1+(f/u+8)/10) * u
	}
	beta := Growth(s, age).Value
	return calc.Line{Symbol: "f_ctm,t", Name: "mean tensile strength at this age", Formula: "β_cc^α · f_ctm", Kind: calc.Stress,
		Terms: []calc.Term{{Sym: "β_cc", Val: beta}, {Sym: "α", Val: alpha}, {Sym: "f_ctm", Val: full, Kind: calc.Stress}},
		Value: math.Pow(beta, alpha) * full, Source: source + "(3.4), Table 3.1", Evidence: calc.Read}
}

// Modulus is E_cm = 22 (f_cm/10)^0.3 kN/mm2. Table 3.1.
func Modulus(fck quantity.Stress) calc.Line {
	return calc.Line{Symbol: "E_cm", Name: "secant modulus at 28 days", Formula: "22000 · u · (f_cm / (10 · u))^0.3", Kind: calc.Stress,
		Terms:  []calc.Term{calc.Num("u", quantity.Megapascal, calc.Stress), calc.Num("f_cm", fck+meanMargin, calc.Stress)},
		Value:  22000 * float64(quantity.Megapascal) * math.Pow(float64((fck+meanMargin)/(10*quantity.Megapascal)), 0.3),
		Source: source + "Table 3.1", Evidence: calc.Memory}
}

// ModulusRatio is E_cm(t)/E_cm = beta_cc^0.3. (3.5). fib MC2010 has another power.
func ModulusRatio(s float64, age quantity.Duration) calc.Line {
	beta := Growth(s, age).Value
	return calc.Line{Symbol: "E_cm,t / E_cm", Name: "part of the modulus of elasticity reached", Formula: "β_cc^0.3",
		Terms: []calc.Term{{Sym: "β_cc", Val: beta}}, Value: math.Pow(beta, 0.3), Source: source + "(3.5)", Evidence: calc.Read}
}

// AgeRate is how much faster than at 20 degrees C concrete ages at a temperature:
// exp(13.65 - 4000/(273 + T)). (B.10), from memory; the same as fib MC2010 (5.1-85).
// It comes to 0.998 at 20 degrees, not 1.
func AgeRate(t quantity.Temperature) calc.Line {
	return calc.Line{Symbol: "Δt_T / Δt", Name: "rate of ageing", Formula: "exp(13.65 - 4000 / (273 + T))",
		Terms: []calc.Term{{Sym: "T", Val: float64(t)}}, Value: math.Exp(13.65 - 4000/(273+float64(t))),
		Source: source + "(B.10)", Evidence: calc.Memory, Note: "T in °C"}
}
