package rules

import (
	"fmt"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
	"shoreward/internal/rules/aci347"
	"shoreward/internal/rules/bs5975"
	"shoreward/internal/rules/en12812"
)

// AreaLoad on the slab: forms, fresh concrete of the zone's thickness and the
// load of placing it.
func (s Settings) AreaLoad(thickness quantity.Length, forms quantity.Stress) AreaLoad {
	if s.Basis == EU {
		return s.areaLoadEU(thickness, forms)
	}
	return s.areaLoadUS(thickness, forms)
}

// areaLoadUS is a working load: the least combined load is enforced after
// summing, what lacks is live load.
func (s Settings) areaLoadUS(thickness quantity.Length, forms quantity.Stress) AreaLoad {
	dead := aci347.ConcreteLoad(s.ConcreteWeight, thickness)
	least := aci347.LiveLoadMinimum(s.MotorCarts)
	live := max(s.LiveLoad, quantity.Stress(least.Value))
	concrete := quantity.Stress(dead.Value)
	total := aci347.DesignLoad(forms, concrete, live, s.MotorCarts)
	a := AreaLoad{
		Forms: forms, Concrete: concrete, Live: quantity.Stress(total.Value) - forms - concrete,
		Lines: calc.Lines{formsLine(forms), dead, least, given("L_c", "construction live load", live), total},
	}
	a.StrengthForms = a.Forms
	a.StrengthPlacing = a.Concrete + a.Live
	return s.withDeflection(a)
}

// areaLoadEU holds the partial factors. Q4, which acts on 3 m by 3 m, is put
// everywhere: the working area may be anywhere.
func (s Settings) areaLoadEU(thickness quantity.Length, forms quantity.Stress) AreaLoad {
	dead := en12812.ConcreteLoad(s.ConcreteWeight, thickness)
	concrete := quantity.Stress(dead.Value)
	operations := max(s.LiveLoad, en12812.OperationsMinimum)
	placing := en12812.PlacingAllowance(concrete)
	a := AreaLoad{
		Forms: forms, Concrete: concrete, Live: operations + quantity.Stress(placing.Value),
		Lines: calc.Lines{formsLine(forms), dead, given("Q2_p", "construction operations", operations), placing},
	}
	a.StrengthForms = en12812.GammaPermanent * a.Forms
	a.StrengthPlacing = en12812.GammaVariable * (a.Concrete + a.Live)
	a.Lines = append(a.Lines, en12812.DesignLoad(a.Forms, a.Concrete+a.Live))
	return s.withDeflection(a)
}

// StripLoad on the working strip past a free edge: forms and people, no
// concrete. The least combined load of ACI 347R is for the slab and is not used.
func (s Settings) StripLoad(forms quantity.Stress) AreaLoad {
	a := AreaLoad{Forms: forms, Live: s.StripLive, StrengthForms: forms, StrengthPlacing: s.StripLive}
	strip := given("L_s", "people and tools on the working strip", s.StripLive)
	if s.Basis == EU {
		strip.Evidence = calc.Memory
		strip.Source = "BS 5975 17.4.3, older total where concrete is placed"
		a.StrengthForms = en12812.GammaPermanent * a.Forms
		a.StrengthPlacing = en12812.GammaVariable * a.Live
		a.Lines = calc.Lines{formsLine(forms), strip, en12812.DesignLoad(a.Forms, a.Live)}
		return s.withDeflection(a)
	}
	a.Lines = calc.Lines{formsLine(forms), strip, {
		Symbol: "w", Name: "load on the working strip", Formula: "D_f + L_s",
		Terms: []calc.Term{calc.Num("D_f", forms, calc.Pressure), calc.Num("L_s", s.StripLive, calc.Pressure)},
		Value: float64(forms + s.StripLive), Kind: calc.Pressure, Source: "ACI 347R-14 4.2.1", Evidence: calc.Read,
	}}
	return s.withDeflection(a)
}

// withDeflection adds the load of the deflection check: the whole service load,
// or forms and concrete where the job leaves live load out because it is gone
// when the concrete sets.
func (s Settings) withDeflection(a AreaLoad) AreaLoad {
	l := calc.Line{Symbol: "w_d", Name: "load of the deflection check", Formula: "D_f + D_c + L", Kind: calc.Pressure,
		Source: "common practice: the whole load", Evidence: calc.Read,
		Terms: []calc.Term{calc.Num("D_f", a.Forms, calc.Pressure), calc.Num("D_c", a.Concrete, calc.Pressure), calc.Num("L", a.Live, calc.Pressure)}}
	a.DeflectionLoad = a.Service()
	if s.DeflectionConcreteOnly {
		a.DeflectionLoad = a.Forms + a.Concrete
		l.Formula, l.Terms = "D_f + D_c", l.Terms[:2]
		l.Source, l.Evidence = "setting of the job", calc.Chosen
	}
	l.Value = float64(a.DeflectionLoad)
	a.Lines = append(a.Lines, l)
	return a
}

func formsLine(forms quantity.Stress) calc.Line {
	l := given("D_f", "weight of the forms", forms)
	l.Source = "parts placed, or the job's allowance where it is more"
	return l
}

func given(sym, name string, v quantity.Stress) calc.Line {
	return calc.Line{Symbol: sym, Name: name, Value: float64(v), Kind: calc.Pressure, Source: "setting of the job", Evidence: calc.Chosen}
}

// Lateral load of one floor in one direction, unfactored, to be met by ties and
// braces at their working ratings. dead is the whole dead load of the floor
// (forms and concrete) on the us basis, and all vertical load, live load too, on
// the eu basis; edgeLength the floor edge that faces the load.
func (s Settings) Lateral(deadTotal quantity.Force, edgeLength quantity.Length) (quantity.Force, calc.Lines) {
	line := aci347.LateralMinimum(deadTotal, s.LateralShare, edgeLength, s.LateralEdge)
	if s.Basis == EU {
		line = bs5975.LateralMinimum(deadTotal, quantity.Force(float64(s.LateralEdge)*float64(edgeLength)), s.LateralShare)
		line.Note = "covers Q3 = 1 % of EN 12812 with a sway of 1 %"
	}
	return quantity.Force(line.Value), calc.Lines{line}
}

// DeflectionLimit of a span: L over the setting's number, and the absolute
// limit where there is one. The text names which of them rules.
func (s Settings) DeflectionLimit(span quantity.Length, sheet bool) (quantity.Length, string) {
	limit, name := quantity.Length(float64(span)/s.DeflectionSpan), fmt.Sprintf("L/%g", s.DeflectionSpan)
	most := s.DeflectionMaxBeam
	if sheet {
		most = s.DeflectionMaxSheet
	}
	if most > 0 && most < limit {
		return most, "absolute limit"
	}
	return limit, name
}

// LateralBasis is the load per area that the sideways share is taken of: the
// dead load (forms and concrete) on the us basis, all vertical load on the eu one.
func (s Settings) LateralBasis(a AreaLoad) quantity.Stress {
	if s.Basis == EU {
		return a.Service()
	}
	return a.Concrete + a.Forms
}

// PermanentFactor is the load factor on the weight of gear that is not part of
// the area loads: 1 on the us basis, gamma_G on the eu one.
func (s Settings) PermanentFactor() float64 {
	if s.Basis == EU {
		return en12812.GammaPermanent
	}
	return 1
}
