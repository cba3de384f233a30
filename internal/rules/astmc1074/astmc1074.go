// Package astmc1074 holds the maturity relations of ASTM C1074: temperature-time
// factor, equivalent age, and strength against either. The standard was not
// seen: constants are from memory where a line says so.
package astmc1074

import (
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const source = "ASTM C1074 "

// GasConstant R in J/(mol K).
const GasConstant = 8.314

// Suggested values where none were found by tests on the job's own mix. They are
// from memory, and sources differ: with a calibration take what it was made with.
const (
	Datum         quantity.Temperature = 0    // of Type I cement without admixtures; -10 °C is the older figure
	OldDatum      quantity.Temperature = -10  // of Saul's work
	QTypeI                             = 5000 // K, E_a/R
	Reference     quantity.Temperature = 23   // of equivalent age
	ReferenceEuro quantity.Temperature = 20
)

// TemperatureTimeFactor is what an interval of mean temperature T_a adds,
// (T_a - T_0) Δt in °C·h, nothing below the datum T_0. Eq. 1 (Nurse and Saul).
func TemperatureTimeFactor(mean, datum quantity.Temperature, interval quantity.Duration) calc.Line {
	return calc.Line{Symbol: "ΔM", Name: "temperature-time factor of the interval, °C·h", Formula: "max(T_a - T_0, 0) · Δt",
		Terms: []calc.Term{{Sym: "T_a", Val: float64(mean)}, {Sym: "T_0", Val: float64(datum)}, {Sym: "Δt", Val: float64(interval)}},
		Value: math.Max(float64(mean-datum), 0) * float64(interval), Source: source + "eq. 1", Evidence: calc.Read,
		Note: "°C and hours; no interval counts below zero, which is accepted practice"}
}

// AgeRate is exp(-Q (1/T_a - 1/T_s)), temperatures in kelvin: how much faster
// than at the reference temperature T_s concrete ages. Eq. 2.
func AgeRate(mean, reference quantity.Temperature, q float64) calc.Line {
	return calc.Line{Symbol: "Δt_e / Δt", Name: "rate of ageing", Formula: "exp(Q / T_s - Q / T_a)",
		Terms: []calc.Term{{Sym: "Q", Val: q}, {Sym: "T_a", Val: mean.Kelvin()}, {Sym: "T_s", Val: reference.Kelvin()}},
		Value: math.Exp(q/reference.Kelvin() - q/mean.Kelvin()), Source: source + "eq. 2", Evidence: calc.Read, Note: "kelvin"}
}

// ActivationEnergy by the rule of Freiesleben Hansen and Pedersen, J/mol: 33500
// from 20 °C upward and 33500 + 1470 (20 - T) below. Read in engineering notes.
func ActivationEnergy(t quantity.Temperature) calc.Line {
	return calc.Line{Symbol: "E_a", Name: "activation energy, J/mol", Formula: "33500 + 1470 · max(20 - T, 0)",
		Terms: []calc.Term{{Sym: "T", Val: float64(t)}}, Value: 33500 + 1470*math.Max(20-float64(t), 0),
		Source: "Freiesleben Hansen and Pedersen", Evidence: calc.ReadWeak, Note: "T in °C"}
}

// Hyperbolic is S = S_u k (M - M_0)/(1 + k (M - M_0)) for a maturity M in any
// measure, nothing up to M_0. Appendix X1, from memory.
func Hyperbolic(ultimate quantity.Stress, k, m0, m float64) calc.Line {
	x := k * math.Max(m-m0, 0)
	return calc.Line{Symbol: "S", Name: "strength at this maturity", Formula: "S_u · k · max(M - M_0, 0) / (1 + k · max(M - M_0, 0))", Kind: calc.Stress,
		Terms: []calc.Term{calc.Num("S_u", ultimate, calc.Stress), {Sym: "k", Val: k}, {Sym: "M", Val: m}, {Sym: "M_0", Val: m0}},
		Value: float64(ultimate) * x / (1 + x), Source: source + "X1", Evidence: calc.Memory}
}

// HyperbolicMaturity is the maturity at which Hyperbolic reaches s; without end
// when s is the ultimate strength or more.
func HyperbolicMaturity(ultimate quantity.Stress, k, m0 float64, s quantity.Stress) calc.Line {
	l := calc.Line{Symbol: "M", Name: "maturity at which the strength is reached", Formula: "M_0 + S / (k · (S_u - S))", Value: math.Inf(1),
		Terms:  []calc.Term{calc.Num("S_u", ultimate, calc.Stress), {Sym: "k", Val: k}, {Sym: "M_0", Val: m0}, calc.Num("S", s, calc.Stress)},
		Source: source + "X1", Evidence: calc.Memory}
	if s < ultimate {
		l.Value = m0 + float64(s)/(k*float64(ultimate-s))
	}
	return l
}

// Exponential is S = S_u exp(-(τ/M)^β).
func Exponential(ultimate quantity.Stress, tau, beta, m float64) calc.Line {
	l := calc.Line{Symbol: "S", Name: "strength at this maturity", Formula: "S_u / exp((τ / M)^β)", Kind: calc.Stress,
		Terms:  []calc.Term{calc.Num("S_u", ultimate, calc.Stress), {Sym: "τ", Val: tau}, {Sym: "M", Val: m}, {Sym: "β", Val: beta}},
		Source: "Freiesleben Hansen and Pedersen", Evidence: calc.ReadWeak}
	if m > 0 {
		l.Value = float64(ultimate) * math.Exp(-math.Pow(tau/m, beta))
	}
	return l
}
