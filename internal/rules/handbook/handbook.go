// Package handbook holds the span formulas of textbook slab-form design:
// uniform load on one, two, or three and more equal spans. The program proves
// decks on their real supports; these are for comparison and for checks.
package handbook

import (
	"math"

	"shoreward/internal/quantity"
)

// Spans are the coefficients of equal spans under uniform load:
// M = w L^2/M, V = V w L, deflection = w L^4/(D EI).
type Spans struct{ M, V, D float64 }

// One, two, and three or more spans as handbooks round them.
var (
	One   = Spans{8, 0.5, 384.0 / 5}
	Two   = Spans{8, 0.625, 185}
	Three = Spans{10, 0.6, 145}
)

// Bending span, sqrt(M_c M_r/w).
func (s Spans) Bending(mr quantity.Moment, w quantity.LineLoad) quantity.Length {
	return quantity.Length(math.Sqrt(s.M * float64(mr) / float64(w)))
}

// Shear span of solid timber that carries V_r, load within depth d of the
// supports left out: V_c w (L - 2 d) = V_r for three spans as printed,
// L = V_r/(V_c w) + 2 d.
func (s Spans) Shear(vr quantity.Force, w quantity.LineLoad, d quantity.Length) quantity.Length {
	return quantity.Length(float64(vr)/(s.V*float64(w))) + 2*d
}

// RollingShear span of a panel that carries V_r, V_r/(V_c w).
func (s Spans) RollingShear(vr quantity.Force, w quantity.LineLoad) quantity.Length {
	return s.Shear(vr, w, 0)
}

// DeflectionShare span at which the deflection is L/n, (D EI/(n w))^(1/3).
func (s Spans) DeflectionShare(ei quantity.EI, w quantity.LineLoad, n float64) quantity.Length {
	return quantity.Length(math.Cbrt(s.D * float64(ei) / (n * float64(w))))
}

// DeflectionMax span at which the deflection is most, (D EI most/w)^(1/4).
func (s Spans) DeflectionMax(ei quantity.EI, w quantity.LineLoad, most quantity.Length) quantity.Length {
	return quantity.Length(math.Pow(s.D*float64(ei)*float64(most)/float64(w), 0.25))
}

// StockSpacing is the buildable spacing under a limit: each stock length is
// divided by the limit, the one nearest below the next whole number is taken,
// and it is cut into that many spaces. No stock gives 0, 0.
func StockSpacing(limit quantity.Length, stock []quantity.Length) (spacing, from quantity.Length) {
	least := math.Inf(1)
	for _, s := range stock {
		parts := float64(s / limit)
		if short := math.Ceil(parts) - parts; short < least {
			least, spacing, from = short, s/quantity.Length(math.Ceil(parts)), s
		}
	}
	return spacing, from
}
