// Package aci209 holds the growth of strength of ACI 209R-92, 2.2.1. Formula and
// constants are from memory: confirm against the report.
package aci209

import (
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const source = "ACI 209R-92 eq. 2-1, Table 2.2.1"

// Constants a (days) and b of f'c(t) = f'c t/(a + b t).
type Constants struct {
	Name string
	A, B float64
}

// Constants by cement and curing. Table 2.2.1.
var (
	TypeIMoist   = Constants{"Type I cement, moist cured", 4.0, 0.85}
	TypeIIIMoist = Constants{"Type III cement, moist cured", 2.3, 0.92}
	TypeISteam   = Constants{"Type I cement, steam cured", 1.0, 0.95}
	TypeIIISteam = Constants{"Type III cement, steam cured", 0.70, 0.98}
)

// Ratio is f'c(t)/f'c at an age t = t/(a + b t). It passes 1 a little before or
// after 28 days, depending on the constants.
func Ratio(c Constants, age quantity.Duration) calc.Line {
	t := math.Max(age.Days(), 0)
	return calc.Line{Symbol: "f'_c,t / f'_c", Name: "part of the strength reached, " + c.Name, Formula: "t / (a + b · t)",
		Terms:  []calc.Term{{Sym: "t", Val: t}, {Sym: "a", Val: c.A}, {Sym: "b", Val: c.B}},
		Value:  t / (c.A + c.B*t),
		Source: source, Evidence: calc.Memory, Note: "t in days"}
}

// AgeAt is the age at which Ratio reaches r: a r/(1 - b r); never when r is 1/b or more.
func AgeAt(c Constants, r quantity.Ratio) calc.Line {
	l := calc.Line{Symbol: "t", Name: "age at which that part is reached, " + c.Name, Formula: "a · r / (1 - b · r)",
		Terms:  []calc.Term{{Sym: "a", Val: c.A}, {Sym: "b", Val: c.B}, {Sym: "r", Val: float64(r)}},
		Value:  math.Inf(1),
		Source: source, Evidence: calc.Memory, Note: "t in days"}
	if d := 1 - c.B*float64(r); d > 0 {
		l.Value = c.A * float64(r) / d
	}
	return l
}

// ModulusRatio is E_c(t)/E_c, the square root of the ratio of strengths.
func ModulusRatio(c Constants, age quantity.Duration) calc.Line {
	r := Ratio(c, age).Value
	return calc.Line{Symbol: "E_c,t / E_c", Name: "part of the modulus of elasticity reached", Formula: "sqrt(r)",
		Terms: []calc.Term{{Sym: "r", Val: r}}, Value: math.Sqrt(r), Source: "ACI 209R-92 2.2.2", Evidence: calc.Memory}
}
