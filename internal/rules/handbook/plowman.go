package handbook

import (
	"fmt"
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

// PlowmanDatum of his maturity.
const PlowmanDatum quantity.Temperature = -11

// Plowman is the strength at a maturity M (°C·h above -11 °C) in parts of the
// strength at 28 days, (A + B log10(M/1000))/100, by the range of that strength. From
// memory of textbooks; no more than 1 should be counted on.
func Plowman(strength28 quantity.Stress, maturity float64) (calc.Line, error) {
	var a, b float64
	switch s := float64(strength28 / quantity.Megapascal); {
	case s > 0 && s < 17.5:
		a, b = 10, 68
	case s >= 17.5 && s < 35:
		a, b = 21, 61
	case s >= 35 && s < 52.5:
		a, b = 32, 54
	case s >= 52.5 && s <= 70:
		a, b = 42, 46.5
	default:
		return calc.Line{}, fmt.Errorf("a strength of %s is outside Plowman's constants: up to 70 N/mm2", strength28.Text(quantity.Metric))
	}
	if !(maturity > 0) {
		return calc.Line{}, fmt.Errorf("a maturity of %g °C·h gives no strength", maturity)
	}
	return calc.Line{Symbol: "S / S_28", Name: "part of the strength at 28 days", Formula: "max(A + B · log10(M / 1000), 0) / 100",
		Terms: []calc.Term{{Sym: "A", Val: a}, {Sym: "B", Val: b}, {Sym: "M", Val: maturity}},
		Value: math.Max(a+b*math.Log10(maturity/1000), 0) / 100, Source: "Plowman (1956), textbooks", Evidence: calc.Memory, Note: "M in °C·h"}, nil
}
