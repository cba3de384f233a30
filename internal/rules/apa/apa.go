// Package apa holds the design rules of APA's concrete forming guide for PS 1
// form panels: stresses, resistances per width and pressure against span. Section properties
// and resistances are per metre of width, in SI.
package apa

import (
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const source = "APA Concrete Forming 2004 "

// SevenDay is the duration factor that form panel stresses hold already.
const SevenDay = 1.25

// DurationAdjusted is the stress f of a form panel at load duration C_D. A
// stress that holds the 7-day factor is taken down to C_D (1.0 for panels used
// again and again gives the base stress) and is never raised; another is multiplied.
func DurationAdjusted(sym string, f quantity.Stress, cd float64, holdsSevenDay bool) calc.Line {
	l := calc.Line{Symbol: sym + "'", Name: "panel stress at the load duration", Kind: calc.Stress, Source: source + "and NDS 2.3.2", Evidence: calc.Read,
		Terms: []calc.Term{calc.Num(sym, f, calc.Stress), calc.Num("C_D", cd, calc.Plain)}}
	if holdsSevenDay {
		l.Formula, l.Value = sym+" · min(C_D, 1.25) / 1.25", float64(f)*math.Min(cd, SevenDay)/SevenDay
		l.Note = "the panel's stress holds the 7-day factor 1.25 and wet use already"
		return l
	}
	l.Formula, l.Value = sym+" · C_D", float64(f)*cd
	return l
}

// MomentResistance per width is M = F_b KS.
func MomentResistance(fb quantity.Stress, ks float64) calc.Line {
	return calc.Line{Symbol: "m_r", Name: "moment per width the panel may carry", Formula: "F_b' · KS",
		Terms: []calc.Term{calc.Num("F_b'", fb, calc.Stress), calc.Num("KS", ks, calc.Modulus)},
		Value: float64(fb) * ks, Kind: calc.MomentPerM, Source: source, Evidence: calc.Read, Note: "KS per metre of width"}
}

// ShearResistance per width is V = F_s (Ib/Q), rolling shear.
func ShearResistance(fs quantity.Stress, ibq float64) calc.Line {
	return calc.Line{Symbol: "v_r", Name: "rolling shear per width the panel may carry", Formula: "F_s' · IbQ",
		Terms: []calc.Term{calc.Num("F_s'", fs, calc.Stress), calc.Num("IbQ", ibq, calc.Area)},
		Value: float64(fs) * ibq, Kind: calc.ForcePerM, Source: source, Evidence: calc.Read, Note: "Ib/Q per metre of width"}
}

// Stiffness per width is E I. With E_e it serves where shear deflection is not
// worked separately.
func Stiffness(e quantity.Stress, i float64) calc.Line {
	return calc.Line{Symbol: "EI", Name: "stiffness per width, shear deflection allowed for", Formula: "E_e · I",
		Terms: []calc.Term{calc.Num("E_e", e, calc.Stress), calc.Num("I", i, calc.Inertia)},
		Value: float64(e) * i, Kind: calc.EIPerWidth, Source: source, Evidence: calc.Read, Note: "I per metre of width"}
}

// Panel is a form panel one way of its grain.
type Panel struct {
	I, KS, IbQ    float64 // per metre of width: m4/m, m3/m, m2/m
	Thickness     quantity.Length
	Fb, Fs, E, Ee quantity.Stress
	Along         bool // face grain along the supports, the weak way
}

// Support is what the panel spans between.
type Support struct {
	Width quantity.Length // bearing width of the joist: 1.5 in for 2-in nominal
	Extra quantity.Length // added to the clear span for bending deflection: 1/4 in for 2-in, 5/8 in for 4-in nominal
}

// TwoInch and FourInch nominal lumber as supports.
var (
	TwoInch  = Support{1.5 * quantity.Inch, 0.25 * quantity.Inch}
	FourInch = Support{3.5 * quantity.Inch, 0.625 * quantity.Inch}
)

// coefficients of 1, 2 and 3 or more equal spans: M = w l^2/m, V = v w l, deflection w l^4/(d E I).
func coefficients(spans int) (m, v, d float64) {
	switch {
	case spans <= 1:
		return 8, 0.5, 76.8
	case spans == 2:
		return 8, 0.625, 185
	}
	return 10, 0.6, 145.25
}

// BendingPressure is the pressure that bending allows at joist spacing l,
// centre to centre: w = (8 | 8 | 10) F_b KS / l^2.
func (p Panel) BendingPressure(spans int, l quantity.Length) quantity.Stress {
	m, _, _ := coefficients(spans)
	return quantity.Stress(m * float64(p.Fb) * p.KS / math.Pow(float64(l), 2))
}

// RollingShearPressure is the pressure that rolling shear allows, on the clear
// span: w = F_s (Ib/Q) / (v l_2).
func (p Panel) RollingShearPressure(spans int, l quantity.Length, s Support) quantity.Stress {
	_, v, _ := coefficients(spans)
	return quantity.Stress(float64(p.Fs) * p.IbQ / (v * float64(l-s.Width)))
}

// Deflection under pressure w at joist spacing l: bending on the clear span
// and a little, w l_3^4/(d E I), and shear on the clear span,
// C w t^2 l_2^2/(105.8 E_e I) with C = 120 across and 60 along (from memory,
// confirmed by the published load tables).
func (p Panel) Deflection(spans int, l quantity.Length, s Support, w quantity.Stress) quantity.Length {
	_, _, d := coefficients(spans)
	clear := float64(l - s.Width)
	l3 := clear + float64(s.Extra)
	c := 120.0
	if p.Along {
		c = 60
	}
	t := float64(p.Thickness)
	bending := float64(w) * math.Pow(l3, 4) / (d * float64(p.E) * p.I)
	shear := c * float64(w) * t * t * clear * clear / (1270.0 / 12 * float64(p.Ee) * p.I)
	return quantity.Length(bending + shear)
}

// DeflectionPressure is the pressure at which the deflection is l/n.
func (p Panel) DeflectionPressure(spans int, l quantity.Length, s Support, n float64) quantity.Stress {
	unit := p.Deflection(spans, l, s, 1)
	return quantity.Stress(float64(l) / n / float64(unit))
}

// Pressure that the panel carries: the least of bending, rolling shear and deflection l/n.
func (p Panel) Pressure(spans int, l quantity.Length, s Support, n float64) quantity.Stress {
	return min(p.BendingPressure(spans, l), p.RollingShearPressure(spans, l, s), p.DeflectionPressure(spans, l, s, n))
}
