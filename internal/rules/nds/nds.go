// Package nds holds clauses of the National Design Specification for Wood
// Construction (NDS 2018) that sawn joists, stringers and posts of formwork
// need: adjustment factors, adjusted stresses and member resistances, all on a
// working-stress footing. Every quantity is in SI; clauses that are written in
// inches convert inside.
package nds

import (
	"fmt"
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const (
	source     = "NDS 2018 "
	supplement = "NDS Supplement 2018 "
)

// Member is a sawn timber as laid, with its reference design values.
type Member struct {
	B, D               quantity.Length // actual breadth and depth as laid
	NominalB, NominalD int             // nominal inches, in the same order
	Table              string          // "4A", "4B" (Southern Pine) or "4D" (5x5 and larger)
	Grade              string
	Fb, Fv, Fcp, Fc    quantity.Stress // bending, shear, compression across and along the grain
	E, Emin            quantity.Stress
}

// Conditions a member works under.
type Conditions struct {
	Duration   float64         // C_D
	Wet        bool            // over 19 % moisture in service
	Repetitive bool            // C_r applies
	Unbraced   quantity.Length // l_u of the compression edge, 0 = held all along
}

// Validate reports a member that the clauses here do not cover, or whose
// nominal and actual sizes do not belong together: a wrong nominal size would
// pick a wrong size factor without anyone seeing it.
func (m Member) Validate() error {
	if !(m.B > 0 && m.D > 0) || math.IsInf(float64(m.B+m.D), 0) {
		return fmt.Errorf("breadth and depth of a timber must be more than zero, not %.1f mm and %.1f mm", float64(m.B)*1000, float64(m.D)*1000)
	}
	switch m.Table {
	case "4A", "4B":
		if t := m.thickness(); t < 2 || t > 4 {
			return fmt.Errorf("%dx%d is not dimension lumber (2 to 4 in thick): Table %s does not cover it, use Table 4D values", m.NominalB, m.NominalD, m.Table)
		}
	case "4D":
		if m.thickness() < 5 {
			return fmt.Errorf("%dx%d is smaller than 5x5: Table 4D does not cover it, use Table 4A or 4B values", m.NominalB, m.NominalD)
		}
	default:
		return fmt.Errorf("NDS Supplement table %q is not known: 4A, 4B or 4D", m.Table)
	}
	if !fits(m.B, m.NominalB) || !fits(m.D, m.NominalD) {
		return fmt.Errorf("nominal %dx%d does not belong to a timber of %.1f x %.1f mm: give the nominal inches in the order breadth, depth as laid",
			m.NominalB, m.NominalD, float64(m.B)*1000, float64(m.D)*1000)
	}
	return nil
}

// fits tells whether an actual size can be sawn or dressed from a nominal one:
// dressed sizes are at most 3/4 in under the nominal (Supplement Table 1A).
func fits(actual quantity.Length, nominal int) bool {
	n := quantity.Length(nominal) * quantity.Inch
	const slack = quantity.Millimetre // catalogues in mm round
	return actual <= n+slack && actual >= n-0.75*quantity.Inch-slack
}

func (m Member) thickness() int { return min(m.NominalB, m.NominalD) }
func (m Member) width() int     { return max(m.NominalB, m.NominalD) }

// flat tells whether the load is on the wide face.
func (m Member) flat() bool { return m.NominalD < m.NominalB }

// Area of the section, m2.
func (m Member) Area() float64 { return float64(m.B) * float64(m.D) }

// SectionModulus S about the axis of bending, m3.
func (m Member) SectionModulus() float64 { return float64(m.B) * math.Pow(float64(m.D), 2) / 6 }

// Inertia I about the axis of bending, m4.
func (m Member) Inertia() float64 { return float64(m.B) * math.Pow(float64(m.D), 3) / 12 }

// BendingStrength is F_b', with the chain of factors before it; the last line
// is the result. NDS Table 4.3.1.
func BendingStrength(m Member, c Conditions) (calc.Lines, error) {
	if err := m.Validate(); err != nil {
		return nil, err
	}
	cf, err := SizeBending(m)
	if err != nil {
		return nil, err
	}
	cm := wetOr(c.Wet, "C_M", WetBending(m.Table, quantity.Stress(float64(m.Fb)*cf.Value)))
	cr := RepetitiveMember(m, c.Repetitive)
	cfu, err := FlatUse(m)
	if err != nil {
		return nil, err
	}
	star := adjusted("F_b0", "F_b*, bending strength before C_L and C_fu", "F_b", m.Fb, durationTerm(c), term(cm), term(cf), term(cr))
	wetE := wetOr(c.Wet, "C_ME", WetStiffness(m.Table))
	emin := adjusted("E_min'", "adjusted modulus for stability", "E_min", m.Emin, term(wetE))
	stability, err := BeamStability(quantity.Stress(star.Value), quantity.Stress(emin.Value), m, c.Unbraced)
	if err != nil {
		return nil, err
	}
	cl := stability[len(stability)-1]
	out := calc.Lines{durationLine(c), cm, cf, cr, cfu, star}
	if len(stability) > 1 { // the modulus plays a part only where the beam can buckle
		out = append(out, wetE, emin)
	}
	out = append(out, stability...)
	return append(out, calc.Line{
		Symbol: "F_b'", Name: "adjusted bending strength", Formula: "F_b0 · C_fu · C_L",
		Terms: []calc.Term{calc.Num("F_b0", quantity.Stress(star.Value), calc.Stress), term(cfu), term(cl)},
		Value: star.Value * cfu.Value * cl.Value, Kind: calc.Stress,
		Source: source + "Table 4.3.1", Evidence: calc.ReadWeak,
	}), nil
}

// ShearStrength is F_v' = F_v C_D C_M. NDS Table 4.3.1.
func ShearStrength(m Member, c Conditions) calc.Lines {
	cm := wetOr(c.Wet, "C_M", WetShear(m.Table))
	return calc.Lines{cm, adjusted("F_v'", "adjusted shear strength", "F_v", m.Fv, durationTerm(c), term(cm))}
}

// Modulus is E' = E C_M; C_D never applies to it. NDS Table 4.3.1.
func Modulus(m Member, c Conditions) calc.Lines {
	cm := wetOr(c.Wet, "C_M", WetStiffness(m.Table))
	return calc.Lines{cm, adjusted("E'", "adjusted modulus of elasticity", "E", m.E, term(cm))}
}

// MomentResistance is M = F_b' S. NDS 3.3.1.
func MomentResistance(fb quantity.Stress, m Member) calc.Line {
	return calc.Line{
		Symbol: "M_r", Name: "moment the member may carry", Formula: "F_b' · S",
		Terms: []calc.Term{calc.Num("F_b'", fb, calc.Stress), calc.Num("S", m.SectionModulus(), calc.Modulus)},
		Value: float64(fb) * m.SectionModulus(), Kind: calc.Moment,
		Source: source + "3.3.2", Evidence: calc.Derived,
	}
}

// ShearResistance of a rectangle is V = 2/3 F_v' b d. NDS 3.4.2.
func ShearResistance(fv quantity.Stress, m Member) calc.Line {
	return calc.Line{
		Symbol: "V_r", Name: "shear force the member may carry", Formula: "2/3 · F_v' · b · d",
		Terms: []calc.Term{calc.Num("F_v'", fv, calc.Stress), calc.Num("b", m.B, calc.Length), calc.Num("d", m.D, calc.Length)},
		Value: 2.0 / 3 * float64(fv) * m.Area(), Kind: calc.Force,
		Source: source + "3.4.2", Evidence: calc.Derived,
	}
}

// Stiffness is E' I.
func Stiffness(e quantity.Stress, m Member) calc.Line {
	return calc.Line{
		Symbol: "EI", Name: "flexural stiffness", Formula: "E' · I",
		Terms: []calc.Term{calc.Num("E'", e, calc.Stress), calc.Num("I", m.Inertia(), calc.Inertia)},
		Value: float64(e) * m.Inertia(), Kind: calc.EI,
		Source: source + "3.5", Evidence: calc.Derived,
	}
}

// ColumnStrength is the load P = F_c' A that a post of clear length l carries,
// pinned at both ends (K_e = 1), buckling the weak way. A slenderness over 50
// is refused. NDS 3.7 and Table 4.3.1.
func ColumnStrength(m Member, c Conditions, l quantity.Length) (calc.Lines, error) {
	if err := m.Validate(); err != nil {
		return nil, err
	}
	if !(l > 0) {
		return nil, fmt.Errorf("a post must have a length, not %.1f mm", float64(l)*1000)
	}
	d := min(m.B, m.D)
	slender, err := Slenderness(l, d)
	if err != nil {
		return nil, err
	}
	cf, err := SizeCompression(m)
	if err != nil {
		return nil, err
	}
	cm := wetOr(c.Wet, "C_M", WetCompression(m.Table, quantity.Stress(float64(m.Fc)*cf.Value)))
	wetE := wetOr(c.Wet, "C_ME", WetStiffness(m.Table))
	star := adjusted("F_c0", "F_c*, compression strength before C_P", "F_c", m.Fc, durationTerm(c), term(cm), term(cf))
	emin := adjusted("E_min'", "adjusted modulus for stability", "E_min", m.Emin, term(wetE))
	euler := EulerStress(quantity.Stress(emin.Value), slender.Value)
	cp := ColumnStability(quantity.Stress(euler.Value), quantity.Stress(star.Value), 0.8)
	fc := star.Value * cp.Value
	return calc.Lines{durationLine(c), slender, cm, cf, star, wetE, emin, euler, cp,
		{Symbol: "F_c'", Name: "adjusted compression strength", Formula: "F_c0 · C_P",
			Terms: []calc.Term{calc.Num("F_c0", quantity.Stress(star.Value), calc.Stress), term(cp)},
			Value: fc, Kind: calc.Stress, Source: source + "Table 4.3.1", Evidence: calc.Read},
		{Symbol: "P_r", Name: "load the post may carry", Formula: "F_c' · A",
			Terms: []calc.Term{calc.Num("F_c'", quantity.Stress(fc), calc.Stress), calc.Num("A", quantity.Area(m.Area()), calc.Area)},
			Value: fc * m.Area(), Kind: calc.Force, Source: source + "3.6.3", Evidence: calc.Derived},
	}, nil
}

// BearingStrength is the force R = F_c,perp' l_b w that a contact across the
// grain carries; long is along the grain, fromEnd the distance from the
// contact to the end of the member. C_D never applies. NDS 3.10.2 and 3.10.4.
func BearingStrength(m Member, wet bool, long, wide, fromEnd quantity.Length) (calc.Lines, error) {
	if !(long > 0 && wide > 0) {
		return nil, fmt.Errorf("a bearing contact must have a size, not %.1f x %.1f mm", float64(long)*1000, float64(wide)*1000)
	}
	cm := wetOr(wet, "C_M", WetBearing(m.Table))
	cb := BearingArea(long, fromEnd)
	f := adjusted("F_cp'", "adjusted compression strength across the grain", "F_cp", m.Fcp, term(cm), term(cb))
	return calc.Lines{cm, cb, f, {
		Symbol: "R_r", Name: "force the contact may carry", Formula: "F_cp' · l_b · w",
		Terms: []calc.Term{calc.Num("F_cp'", quantity.Stress(f.Value), calc.Stress), calc.Num("l_b", long, calc.Length), calc.Num("w", wide, calc.Length)},
		Value: f.Value * float64(long) * float64(wide), Kind: calc.Force,
		Source: source + "3.10.2", Evidence: calc.Read,
	}}, nil
}

// BeamColumn is the interaction of compression and bending about one axis,
// (f_c/F_c')^2 + f_b/(F_b' (1 - f_c/F_cE1)) <= 1. NDS 3.9.2.
func BeamColumn(fc, fcAdj, fb, fbAdj, fcE1 quantity.Stress) calc.Line {
	v := 999.0 // past the Euler stress nothing holds
	if fc < fcE1 {
		v = math.Pow(float64(fc/fcAdj), 2) + float64(fb)/(float64(fbAdj)*(1-float64(fc/fcE1)))
	}
	return calc.Line{
		Symbol: "u", Name: "bending with compression", Formula: "(f_c / F_c')² + f_b / (F_b' · (1 - f_c / F_cE1))",
		Terms: []calc.Term{calc.Num("f_c", fc, calc.Stress), calc.Num("F_c'", fcAdj, calc.Stress), calc.Num("f_b", fb, calc.Stress),
			calc.Num("F_b'", fbAdj, calc.Stress), calc.Num("F_cE1", fcE1, calc.Stress)},
		Value: v, Source: source + "3.9.2", Evidence: calc.Memory,
	}.Check(1, "1")
}

// adjusted multiplies a reference value by factors, F' = F C_1 C_2 ...
func adjusted(sym, name, ref string, f quantity.Stress, factors ...calc.Term) calc.Line {
	l := calc.Line{Symbol: sym, Name: name, Formula: ref, Value: float64(f), Kind: calc.Stress,
		Terms: []calc.Term{calc.Num(ref, f, calc.Stress)}, Source: source + "Table 4.3.1", Evidence: calc.ReadWeak}
	for _, t := range factors {
		l.Formula += " · " + t.Sym
		l.Value *= t.Val
		l.Terms = append(l.Terms, t)
	}
	return l
}

func term(l calc.Line) calc.Term { return calc.Term{Sym: l.Symbol, Val: l.Value} }

func durationTerm(c Conditions) calc.Term { return calc.Term{Sym: "C_D", Val: c.Duration} }

func durationLine(c Conditions) calc.Line {
	return calc.Line{Symbol: "C_D", Name: "load duration, as set", Value: c.Duration, Source: source + "2.3.2", Evidence: calc.Chosen}
}

// wetOr is the wet factor where it applies, and 1 where it is dry.
func wetOr(wet bool, sym string, factor calc.Line) calc.Line {
	if !wet {
		return calc.Line{Symbol: sym, Name: "wet service, dry", Value: 1, Source: source + "4.3.3", Evidence: calc.Chosen}
	}
	factor.Symbol = sym
	return factor
}
