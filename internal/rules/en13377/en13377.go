// Package en13377 turns the characteristic values of prefabricated timber
// formwork beams, EN 13377:2002, into what a beam may carry. Factors are from
// memory; for class P20 they meet the older permissible loads to half a percent.
package en13377

import (
	"shoreward/internal/calc"
)

const source = "EN 13377:2002 with EN 1995-1-1"

// Factors between a characteristic value and a usable one.
type Factors struct {
	Kmod   float64 // moisture and load duration
	GammaM float64 // material
	Extra  float64 // 1.5 (gamma_F) for a working load, 1.15 for EN 12812 class B2, else 1
	Sym    string  // symbol of Extra
}

// Usable is X = X_k k_mod / (gamma_M extra) of a moment, shear or reaction.
func Usable[T ~float64](sym, name string, xk T, kind calc.Kind, f Factors) calc.Line {
	l := calc.Line{Symbol: sym, Name: name, Formula: sym + "_k · k_mod / γ_M",
		Terms: []calc.Term{calc.Num(sym+"_k", xk, kind), calc.Num("k_mod", f.Kmod, calc.Plain), calc.Num("γ_M", f.GammaM, calc.Plain)},
		Value: float64(xk) * f.Kmod / f.GammaM, Kind: kind, Source: source, Evidence: calc.Memory}
	if f.Extra != 1 {
		l.Formula = sym + "_k · k_mod / (γ_M · " + f.Sym + ")"
		l.Terms = append(l.Terms, calc.Num(f.Sym, f.Extra, calc.Plain))
		l.Value /= f.Extra
	}
	return l
}

// WorkingFactor is gamma_F on the load side of a working load.
const WorkingFactor = 1.5
