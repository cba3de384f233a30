// Package aci347 holds the load rules of the guide to formwork for concrete,
// ACI 347R-14, on a working-load footing. The clause numbers are from memory;
// the figures were read in texts that quote them.
package aci347

import (
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const source = "ACI 347R-14 "

// ConcreteLoad is the dead load D_c = w_c t of a slab of thickness t. 4.2.1.
func ConcreteLoad(weight quantity.UnitWeight, t quantity.Length) calc.Line {
	return calc.Line{Symbol: "D_c", Name: "fresh concrete with reinforcement", Formula: "w_c · t",
		Terms: []calc.Term{calc.Num("w_c", weight, calc.UnitWeight), calc.Num("t", t, calc.Length)},
		Value: float64(weight) * float64(t), Kind: calc.Pressure, Source: source + "4.2.1", Evidence: calc.Read}
}

// LiveLoadMinimum is the least construction live load L_c: 50 psf, or 75 psf
// where motorised carts are used. 4.2.1.
func LiveLoadMinimum(motorCarts bool) calc.Line {
	v := 50 * quantity.PSF
	if motorCarts {
		v = 75 * quantity.PSF
	}
	return calc.Line{Symbol: "L_min", Name: "least construction live load", Value: float64(v), Kind: calc.Pressure, Source: source + "4.2.1", Evidence: calc.Read}
}

// TotalLoadMinimum is the least combined dead and live load: 100 psf, or 125
// psf with motorised carts. It applies to the sum. 4.2.1.
func TotalLoadMinimum(motorCarts bool) calc.Line {
	v := 100 * quantity.PSF
	if motorCarts {
		v = 125 * quantity.PSF
	}
	return calc.Line{Symbol: "w_min", Name: "least combined dead and live load", Value: float64(v), Kind: calc.Pressure, Source: source + "4.2.1", Evidence: calc.Read}
}

// DesignLoad is w = max(D_f + D_c + L_c, w_min). 4.2.1.
func DesignLoad(forms, concrete, live quantity.Stress, motorCarts bool) calc.Line {
	least := TotalLoadMinimum(motorCarts).Value
	sum := float64(forms + concrete + live)
	l := calc.Line{Symbol: "w", Name: "design load", Formula: "max(D_f + D_c + L_c, w_min)",
		Terms: []calc.Term{calc.Num("D_f", forms, calc.Pressure), calc.Num("D_c", concrete, calc.Pressure),
			calc.Num("L_c", live, calc.Pressure), calc.Num("w_min", least, calc.Pressure)},
		Value: math.Max(sum, least), Kind: calc.Pressure, Source: source + "4.2.1", Evidence: calc.Read}
	if sum < least {
		l.Note = "the sum is below the least combined load, which governs"
	}
	return l
}

// LateralMinimum is the horizontal load H of one floor in one direction, the
// greater of share (2 %) of the floor's whole dead load and edge (100 lb/ft) along
// the floor edge that faces the load. 4.2.3.
func LateralMinimum(dead quantity.Force, share float64, edge quantity.Length, perEdge quantity.LineLoad) calc.Line {
	return calc.Line{Symbol: "H", Name: "least horizontal load, each direction", Formula: "max(k · D, h · L)",
		Terms: []calc.Term{calc.Num("k", share, calc.Plain), calc.Num("D", dead, calc.Force),
			calc.Num("h", perEdge, calc.LineLoad), calc.Num("L", edge, calc.Length)},
		Value: math.Max(share*float64(dead), float64(perEdge)*float64(edge)), Kind: calc.Force,
		Source: source + "4.2.3", Evidence: calc.Read}
}

// BraceForce is the force along a brace that takes the horizontal load H at an
// angle from the horizontal.
func BraceForce(h quantity.Force, angle quantity.Angle) calc.Line {
	return calc.Line{Symbol: "N", Name: "force along the brace", Formula: "H / cos(α)",
		Terms: []calc.Term{calc.Num("H", h, calc.Force), calc.Num("α", angle, calc.Angle)},
		Value: float64(h) / math.Cos(float64(angle)), Kind: calc.Force, Source: "statics", Evidence: calc.Derived}
}

// FluidPressure of concrete placed within its setting time, p = w h at depth h. 4.2.2.
func FluidPressure(w quantity.UnitWeight, h quantity.Length) calc.Line {
	return calc.Line{Symbol: "p", Name: "pressure at the foot of the form, full liquid head", Formula: "w · h",
		Terms: []calc.Term{calc.Num("w", w, calc.UnitWeight), calc.Num("h", h, calc.Length)},
		Value: float64(w) * float64(h), Kind: calc.Pressure, Source: source + "4.2.2", Evidence: calc.Read}
}

// FluidResultant of that pressure per length of form, w h^2/2, at h/3 above the foot.
func FluidResultant(w quantity.UnitWeight, h quantity.Length) calc.Line {
	return calc.Line{Symbol: "R", Name: "resultant, at one third of the height", Formula: "w · h² / 2",
		Terms: []calc.Term{calc.Num("w", w, calc.UnitWeight), calc.Num("h", h, calc.Length)},
		Value: float64(w) * math.Pow(float64(h), 2) / 2, Kind: calc.LineLoad, Source: "statics", Evidence: calc.Derived}
}

// WallPressure is the greatest lateral pressure on a wall form of placement
// height h for concrete rising at rate (m/h) and temp (degrees C), with unit
// weight and chemistry coefficients cw and cc. Rates over 15 ft/h and rates or
// temperatures that are not positive (Fahrenheit) get the full liquid head.
// 4.2.2, ranges read, coefficients of the second form from memory.
func WallPressure(w quantity.UnitWeight, h quantity.Length, ratePerHour quantity.Length, celsius, cw, cc float64) calc.Line {
	feet := float64(ratePerHour / quantity.Foot)
	fahrenheit := celsius*9/5 + 32
	head := FluidPressure(w, h)
	l := calc.Line{Symbol: "p", Name: "greatest lateral pressure", Kind: calc.Pressure, Source: source + "4.2.2", Evidence: calc.Memory,
		Terms: []calc.Term{{Sym: "R", Val: feet}, {Sym: "T", Val: fahrenheit}, {Sym: "C_w", Val: cw}, {Sym: "C_c", Val: cc}},
		Note:  "psf with R in ft/h and T in degrees Fahrenheit; at least 600 C_w, at most the liquid head"}
	var psf float64
	switch low := h <= 14*quantity.Foot*(1+1e-9); {
	case !(feet > 0 && feet <= 15 && fahrenheit > 0):
		return head
	case feet < 7 && low:
		l.Formula, l.Evidence = "C_w · C_c · (150 + 9000 · R / T)", calc.ReadWeak
		psf = cw * cc * (150 + 9000*feet/fahrenheit)
	default:
		l.Formula = "C_w · C_c · (150 + 43400 / T + 2800 · R / T)"
		psf = cw * cc * (150 + 43400/fahrenheit + 2800*feet/fahrenheit)
	}
	l.Value = math.Min(math.Max(psf, 600*cw)*float64(quantity.PSF), head.Value)
	return l
}

// DeckLoadCalifornia is the least vertical load of California Title 8, section
// 1717(a): 100 psf combined and at least 20 psf of live load and forms on top
// of the concrete, raised by 25 psf for motorised carts.
func DeckLoadCalifornia(concrete, formsAndLive quantity.Stress, motorCarts bool) calc.Line {
	carts := quantity.Stress(0)
	if motorCarts {
		carts = 25 * quantity.PSF
	}
	onTop := max(formsAndLive, 20*quantity.PSF)
	least := 100 * quantity.PSF
	return calc.Line{Symbol: "w_CA", Name: "least vertical load, California", Formula: "max(w_100, D_c + w_20) + w_m",
		Terms: []calc.Term{calc.Num("w_100", least, calc.Pressure), calc.Num("D_c", concrete, calc.Pressure),
			calc.Num("w_20", onTop, calc.Pressure), calc.Num("w_m", carts, calc.Pressure)},
		Value: float64(max(least, concrete+onTop) + carts), Kind: calc.Pressure,
		Source: "California Title 8, 1717(a)", Evidence: calc.Read}
}
