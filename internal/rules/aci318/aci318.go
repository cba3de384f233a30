// Package aci318 holds clauses of ACI 318-19 that a young slab under shores and
// reshores is judged by: flexure, punching, modulus. From memory: confirm against
// the code.
package aci318

import (
	"fmt"
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const source = "ACI 318-19 "

// Strength reduction factors. 21.2.1.
const (
	PhiFlexure = 0.90
	PhiShear   = 0.75
)

// Modulus is E_c = 57000 sqrt(f'c) psi of normal weight concrete. 19.2.2.1(b).
func Modulus(fc quantity.Stress) calc.Line {
	return calc.Line{Symbol: "E_c", Name: "modulus of elasticity", Formula: "57000 · sqrt(f'_c · u)", Kind: calc.Stress,
		Terms: []calc.Term{calc.Num("f'_c", fc, calc.Stress), calc.Num("u", quantity.PSI, calc.Stress)},
		Value: 57000 * math.Sqrt(float64(fc*quantity.PSI)), Source: source + "19.2.2.1(b)", Evidence: calc.Memory, Note: "u is 1 psi"}
}

// FlexuralStrength ends with M_n = A_s f_y (d - a/2) per width of a section with
// tension reinforcement A_s per width at d, a = A_s f_y/(0.85 f'c). 22.2.
func FlexuralStrength(asPerWidth quantity.Length, fy, fc quantity.Stress, d quantity.Length) (calc.Lines, error) {
	a := float64(asPerWidth) * float64(fy) / (0.85 * float64(fc))
	if !(fc > 0) || !(a < float64(d)) {
		return nil, fmt.Errorf("concrete of %s cannot balance the reinforcement: the compression block of %s is deeper than the section of %s", fc.Text(quantity.Metric), quantity.Length(a).Text(quantity.Metric), d.Text(quantity.Metric))
	}
	return calc.Lines{
		{Symbol: "a", Name: "depth of the compression block", Formula: "A_s · f_y / (0.85 · f'_c)", Kind: calc.Length,
			Terms: []calc.Term{calc.Num("A_s", asPerWidth, calc.Length), calc.Num("f_y", fy, calc.Stress), calc.Num("f'_c", fc, calc.Stress)},
			Value: a, Source: source + "22.2.2.4", Evidence: calc.Memory, Note: "A_s per width"},
		{Symbol: "M_n", Name: "flexural strength per width", Formula: "A_s · f_y · (d - a / 2)", Kind: calc.MomentPerM,
			Terms: []calc.Term{calc.Num("A_s", asPerWidth, calc.Length), calc.Num("f_y", fy, calc.Stress), calc.Num("d", d, calc.Length), calc.Num("a", a, calc.Length)},
			Value: float64(asPerWidth) * float64(fy) * (float64(d) - a/2), Source: source + "22.3", Evidence: calc.Memory},
	}, nil
}

// Position of a loaded area on the slab: how many sides the shear gets out of. 22.6.5.3.
type Position float64

// alpha_s by position.
const (
	Interior Position = 40
	Edge     Position = 30
	Corner   Position = 20
)

// CriticalPerimeter b_o at d/2 around a rectangular loaded area c1 x c2 away
// from edges, 2 (c1 + c2 + 2 d). 22.6.4.1.
func CriticalPerimeter(c1, c2, d quantity.Length) calc.Line {
	return calc.Line{Symbol: "b_o", Name: "critical perimeter at d/2", Formula: "2 · (c_1 + c_2 + 2 · d)", Kind: calc.Length,
		Terms: []calc.Term{calc.Num("c_1", c1, calc.Length), calc.Num("c_2", c2, calc.Length), calc.Num("d", d, calc.Length)},
		Value: 2 * float64(c1+c2+2*d), Source: source + "22.6.4.1", Evidence: calc.Memory}
}

// SizeFactor λ_s = sqrt(2/(1 + d/10 in)) at most 1. 22.5.5.1.3.
func SizeFactor(d quantity.Length) calc.Line {
	return calc.Line{Symbol: "λ_s", Name: "size factor", Formula: "min(sqrt(2 / (1 + d / d_10)), 1)",
		Terms: []calc.Term{calc.Num("d", d, calc.Length), calc.Num("d_10", 10*quantity.Inch, calc.Length)},
		Value: math.Min(math.Sqrt(2/(1+float64(d/(10*quantity.Inch)))), 1), Source: source + "22.5.5.1.3", Evidence: calc.Memory}
}

// mostRoot is the limit of sqrt(f'c), 100 psi. 22.6.3.1.
const mostRoot = 100 * 100 * quantity.PSI

// PunchingStrength ends with V_c = v_c b_o d without shear reinforcement, v_c the
// least of 4, 2 + 4/β and 2 + α_s d/b_o times λ_s λ sqrt(f'c) psi, β the long over
// the short side of the loaded area. 22.6.5.2.
func PunchingStrength(fc quantity.Stress, lambda float64, beta float64, at Position, bo, d quantity.Length) calc.Lines {
	size := SizeFactor(d)
	root := math.Sqrt(float64(min(fc, mostRoot) * quantity.PSI))
	k := math.Min(4, math.Min(2+4/beta, 2+float64(at)*float64(d/bo)))
	v := calc.Line{Symbol: "v_c", Name: "punching stress that the concrete carries", Formula: "min(4, min(2 + 4 / β, 2 + α_s · d / b_o)) · λ_s · λ · sqrt(f'_c · u)", Kind: calc.Stress,
		Terms: []calc.Term{{Sym: "β", Val: beta}, {Sym: "α_s", Val: float64(at)}, calc.Num("d", d, calc.Length), calc.Num("b_o", bo, calc.Length),
			{Sym: "λ_s", Val: size.Value}, {Sym: "λ", Val: lambda}, calc.Num("f'_c", min(fc, mostRoot), calc.Stress), calc.Num("u", quantity.PSI, calc.Stress)},
		Value: k * size.Value * lambda * root, Source: source + "22.6.5.2", Evidence: calc.Memory, Note: "u is 1 psi"}
	return calc.Lines{size, v, {Symbol: "V_c", Name: "punching strength", Formula: "v_c · b_o · d", Kind: calc.Force,
		Terms: []calc.Term{{Sym: "v_c", Val: v.Value, Kind: calc.Stress}, calc.Num("b_o", bo, calc.Length), calc.Num("d", d, calc.Length)},
		Value: v.Value * float64(bo) * float64(d), Source: source + "22.6.5", Evidence: calc.Memory}}
}

// ShearRatio is the shear strength at an age over the full one, the square root of
// the ratio of f'c. 22.5, 22.6.
func ShearRatio(then, full quantity.Stress) calc.Line {
	return calc.Line{Symbol: "r_v", Name: "part of the shear strength reached", Formula: "sqrt(f'_ct / f'_c)",
		Terms: []calc.Term{calc.Num("f'_ct", then, calc.Stress), calc.Num("f'_c", full, calc.Stress)},
		Value: math.Sqrt(float64(then / full)), Source: source + "22.6.5", Evidence: calc.Memory}
}

// Duties are the code's conditions on taking shores out, in our words. 26.11.2.
func Duties() []calc.Line {
	one := func(clause, text string, e calc.Evidence) calc.Line {
		return calc.Line{Symbol: clause, Name: text, Source: source + "26.11.2.1" + clause, Evidence: e}
	}
	return []calc.Line{
		one("(a)", "Before the work starts the contractor makes a procedure and a schedule of form removal and reshoring and calculates the loads that go to the structure.", calc.Memory),
		one("(b)", "Analysis and strength data are shown to the licensed design professional and to the building official when asked for.", calc.Memory),
		one("(c)", "No construction load comes on, and no shore goes from, any part unless that part, with the forms and shores left, is strong enough for its weight and the loads on it.", calc.ReadWeak),
		one("(e)", "The strength of the concrete comes from field-cured cylinders or another method that the licensed design professional, and where asked the building official, accepts.", calc.ReadWeak),
		one("(d)", "No construction load above superimposed dead and live load on an unshored part unless analysis shows it is strong enough.", calc.ReadWeak),
		one("(f)", "Forms under prestressed members stay until enough prestress is there for dead and construction loads.", calc.ReadWeak),
	}
}
