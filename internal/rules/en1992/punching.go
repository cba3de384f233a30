package en1992

import (
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

// GammaC of concrete. Table 2.1N.
const GammaC = 1.5

// ControlPerimeter u_1 at 2 d around a rectangular loaded area c1 x c2 away from
// edges: 2 (c1 + c2) + 4 π d. 6.4.2(1).
func ControlPerimeter(c1, c2, d quantity.Length) calc.Line {
	return calc.Line{Symbol: "u_1", Name: "control perimeter at 2 d", Formula: "2 · (c_1 + c_2) + 4 · π · d", Kind: calc.Length,
		Terms: []calc.Term{calc.Num("c_1", c1, calc.Length), calc.Num("c_2", c2, calc.Length), calc.Num("d", d, calc.Length)},
		Value: 2*float64(c1+c2) + 4*math.Pi*float64(d), Source: source + "6.4.2(1), Figure 6.13", Evidence: calc.Memory}
}

// PunchingStrength is v_Rd,c = max(C_Rd,c k (100 ρ f_ck)^(1/3), v_min) without shear
// reinforcement and without axial force, C_Rd,c = 0.18/γ_C, k = 1 + sqrt(200/d) at
// most 2, ρ at most 0.02, v_min = 0.035 k^1.5 sqrt(f_ck). (6.47), (6.3N), from memory.
func PunchingStrength(fck quantity.Stress, rho float64, d quantity.Length) calc.Line {
	const u = float64(quantity.Megapascal)
	k := math.Min(1+math.Sqrt(float64(200*quantity.Millimetre/d)), 2)
	rho = math.Min(math.Max(rho, 0), 0.02)
	least := 0.035 * math.Pow(k, 1.5) * math.Sqrt(float64(fck)*u)
	return calc.Line{Symbol: "v_Rd,c", Name: "punching strength without shear reinforcement",
		Formula: "max(C_Rd · k · (100 · ρ · f_ck · u²)^(1 / 3), v_min)", Kind: calc.Stress,
		Terms: []calc.Term{{Sym: "C_Rd", Val: 0.18 / GammaC}, {Sym: "k", Val: k}, {Sym: "ρ", Val: rho}, calc.Num("f_ck", fck, calc.Stress),
			calc.Num("u", quantity.Megapascal, calc.Stress), {Sym: "v_min", Val: least, Kind: calc.Stress}},
		Value:  math.Max(0.18/GammaC*k*math.Cbrt(100*rho*float64(fck)*u*u), least),
		Source: source + "(6.47), (6.3N)", Evidence: calc.Memory}
}

// FaceStrength is v_Rd,max = 0.4 ν f_cd at the face of the loaded area, ν = 0.6
// (1 - f_ck/250). 6.4.5(3) as amended 2014, from memory.
func FaceStrength(fck quantity.Stress) calc.Line {
	nu := 0.6 * (1 - float64(fck/(250*quantity.Megapascal)))
	return calc.Line{Symbol: "v_Rd,max", Name: "strength at the face of the loaded area", Formula: "0.4 · ν · f_ck / γ_C", Kind: calc.Stress,
		Terms:  []calc.Term{{Sym: "ν", Val: nu}, calc.Num("f_ck", fck, calc.Stress), {Sym: "γ_C", Val: GammaC}},
		Value:  0.4 * nu * float64(fck) / GammaC,
		Source: source + "6.4.5(3)", Evidence: calc.Memory}
}

// PunchingStress is v_Ed = β V_Ed/(u d). (6.38).
func PunchingStress(force quantity.Force, beta float64, perimeter, d quantity.Length) calc.Line {
	return calc.Line{Symbol: "v_Ed", Name: "punching stress", Formula: "β · V_Ed / (u_i · d)", Kind: calc.Stress,
		Terms: []calc.Term{{Sym: "β", Val: beta}, calc.Num("V_Ed", force, calc.Force), calc.Num("u_i", perimeter, calc.Length), calc.Num("d", d, calc.Length)},
		Value: beta * float64(force) / float64(perimeter*d), Source: source + "(6.38)", Evidence: calc.Memory}
}

// PunchingRatio is the punching strength at an age over the full one, the cube
// root of the ratio of f_ck. From (6.47), from memory.
func PunchingRatio(fckThen, fck quantity.Stress) calc.Line {
	return calc.Line{Symbol: "r_v", Name: "part of the punching strength reached", Formula: "(f_ck_t / f_ck)^(1 / 3)",
		Terms: []calc.Term{calc.Num("f_ck_t", fckThen, calc.Stress), calc.Num("f_ck", fck, calc.Stress)},
		Value: math.Cbrt(float64(fckThen / fck)), Source: source + "(6.47)", Evidence: calc.Memory}
}
