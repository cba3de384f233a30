// Package ec5 holds clauses of EN 1995-1-1:2004 with A1 that solid timber
// joists, stringers, posts and panels of formwork need, at the ultimate limit
// state. Every quantity is in SI.
package ec5

import (
	"fmt"
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const source = "EN 1995-1-1 "

// Load durations of Table 2.1; formwork while concrete is placed is short term.
const (
	Permanent = iota
	LongTerm
	MediumTerm
	ShortTerm
	Instantaneous
)

// Material partial factors, Table 2.3 (recommended values).
const (
	GammaSolid   = 1.3
	GammaGlulam  = 1.25
	GammaPlywood = 1.2
)

// Modification is k_mod of solid timber, glulam and plywood by service class
// (1 to 3) and load duration. Table 3.1.
func Modification(serviceClass, duration int) (calc.Line, error) {
	if serviceClass < 1 || serviceClass > 3 || duration < Permanent || duration > Instantaneous {
		return calc.Line{}, fmt.Errorf("EN 1995 service class %d with load duration %d is not known: service class 1, 2 or 3", serviceClass, duration)
	}
	table := [5]float64{0.60, 0.70, 0.80, 0.90, 1.10}
	if serviceClass == 3 {
		table = [5]float64{0.50, 0.55, 0.65, 0.70, 0.90}
	}
	return calc.Line{Symbol: "k_mod", Name: "moisture and load duration", Value: table[duration], Source: source + "Table 3.1", Evidence: calc.Read}, nil
}

// Material is a timber's grade at the state it is used in.
type Material struct {
	Kmod, GammaM float64
	Extra        float64 // further divisor on resistance, 1.15 for EN 12812 class B2, else 1
}

// Design is f_d = f_k k_mod/(gamma_M extra). 2.4.1.
func (m Material) Design(sym, name string, fk quantity.Stress) calc.Line {
	l := calc.Line{Symbol: sym + "_d", Name: name, Formula: sym + "_k · k_mod / γ_M", Kind: calc.Stress,
		Terms: []calc.Term{calc.Num(sym+"_k", fk, calc.Stress), calc.Num("k_mod", m.Kmod, calc.Plain), calc.Num("γ_M", m.GammaM, calc.Plain)},
		Value: float64(fk) * m.Kmod / m.GammaM, Source: source + "2.4.1", Evidence: calc.Read}
	if m.Extra != 1 {
		l.Formula = sym + "_k · k_mod / (γ_M · γ_B2)"
		l.Terms = append(l.Terms, calc.Num("γ_B2", m.Extra, calc.Plain))
		l.Value /= m.Extra
		l.Source += " with EN 12812:2008 9.2.2.1"
		l.Evidence = calc.Memory
	}
	return l
}

// Size is k_h = min((150/h)^0.2, 1.3) of solid timber less than 150 mm deep. 3.2(3).
func Size(h quantity.Length) calc.Line {
	l := calc.Line{Symbol: "k_h", Name: "depth factor", Value: 1, Source: source + "3.2(3)", Evidence: calc.Read}
	const h0 quantity.Length = 0.150
	if h < h0 {
		l.Formula = "min((h_0 / h)^0.2, 1.3)"
		l.Terms = []calc.Term{calc.Num("h_0", h0, calc.Length), calc.Num("h", h, calc.Length)}
		l.Value = math.Min(math.Pow(float64(h0/h), 0.2), 1.3)
	}
	return l
}

// Crack is k_cr = 0.67 on the width of solid timber in shear, with the shear
// strengths of EN 338:2016. 6.1.7(2), A1, from memory.
const Crack = 0.67

// LoadSharing is k_sys of similar members under a deck that shares load. 6.6.
const LoadSharing = 1.1

// CriticalBending is sigma_m,crit = 0.78 b^2 E_0.05/(h l_ef) of solid softwood. (6.32).
func CriticalBending(b, h, lef quantity.Length, e005 quantity.Stress) calc.Line {
	return calc.Line{Symbol: "σ_crit", Name: "critical bending stress", Formula: "0.78 · b² · E_005 / (h · l_ef)", Kind: calc.Stress,
		Terms: []calc.Term{calc.Num("b", b, calc.Length), calc.Num("E_005", e005, calc.Stress), calc.Num("h", h, calc.Length), calc.Num("l_ef", lef, calc.Length)},
		Value: 0.78 * float64(b*b) * float64(e005) / float64(h*lef), Source: source + "(6.32)", Evidence: calc.Read}
}

// LateralStability ends with k_crit from lambda_rel,m = sqrt(f_m,k/sigma_m,crit). 6.3.3.
func LateralStability(fmk, critical quantity.Stress) calc.Lines {
	rel := math.Sqrt(float64(fmk / critical))
	k := calc.Line{Symbol: "k_crit", Name: "lateral buckling in bending", Value: 1, Source: source + "(6.34)", Evidence: calc.Read,
		Terms: []calc.Term{calc.Num("λ_m", rel, calc.Plain)}}
	switch {
	case rel > 1.4:
		k.Formula, k.Value = "1 / λ_m²", 1/(rel*rel)
	case rel > 0.75:
		k.Formula, k.Value = "1.56 - 0.75 · λ_m", 1.56-0.75*rel
	}
	return calc.Lines{
		{Symbol: "λ_m", Name: "relative slenderness in bending", Formula: "sqrt(f_m_k / σ_crit)", Value: rel,
			Terms:  []calc.Term{calc.Num("f_m_k", fmk, calc.Stress), calc.Num("σ_crit", critical, calc.Stress)},
			Source: source + "(6.30)", Evidence: calc.Read},
		k,
	}
}

// MaxSlenderness of a post, l/d. EN 1995 sets none; the limit of NDS 3.7.1.4 is
// kept as good practice of the trade.
const MaxSlenderness = 50

// ColumnStability ends with k_c of solid timber (beta_c = 0.2) of buckling
// length l about the side d. 6.3.2.
func ColumnStability(fc0k, e005 quantity.Stress, l, d quantity.Length) calc.Lines {
	lambda := float64(l) / (float64(d) / math.Sqrt(12))
	rel := lambda / math.Pi * math.Sqrt(float64(fc0k/e005))
	k := 0.5 * (1 + 0.2*(rel-0.3) + rel*rel)
	kc := 1.0
	if rel > 0.3 {
		kc = 1 / (k + math.Sqrt(k*k-rel*rel))
	}
	return calc.Lines{
		{Symbol: "λ", Name: "slenderness", Formula: "l · sqrt(12) / d", Value: lambda,
			Terms: []calc.Term{calc.Num("l", l, calc.Length), calc.Num("d", d, calc.Length)}, Source: source + "6.3.2", Evidence: calc.Read},
		{Symbol: "λ_rel", Name: "relative slenderness", Formula: "λ / π · sqrt(f_c0_k / E_005)", Value: rel,
			Terms:  []calc.Term{calc.Num("λ", lambda, calc.Plain), calc.Num("f_c0_k", fc0k, calc.Stress), calc.Num("E_005", e005, calc.Stress)},
			Source: source + "(6.21)", Evidence: calc.Read},
		{Symbol: "k", Name: "buckling term", Formula: "0.5 · (1 + 0.2 · (λ_rel - 0.3) + λ_rel²)", Value: k,
			Terms: []calc.Term{calc.Num("λ_rel", rel, calc.Plain)}, Source: source + "(6.27)", Evidence: calc.Read},
		{Symbol: "k_c", Name: "buckling factor, at most 1", Formula: "1 / (k + sqrt(k² - λ_rel²))", Value: kc,
			Terms: []calc.Term{calc.Num("k", k, calc.Plain), calc.Num("λ_rel", rel, calc.Plain)}, Source: source + "(6.25)", Evidence: calc.Read},
	}
}

// ContactLength is the effective length of a contact of length l along the grain,
// up to 30 mm more on each side, not past the end and not more than l a side. 6.1.5(1), from memory.
func ContactLength(l, fromEnd quantity.Length) calc.Line {
	const most = 30 * quantity.Millimetre
	side := min(most, l)
	end := max(0, min(side, fromEnd))
	return calc.Line{Symbol: "l_ef", Name: "effective contact length", Formula: "l + Δ_1 + Δ_2", Kind: calc.Length,
		Terms: []calc.Term{calc.Num("l", l, calc.Length), calc.Num("Δ_1", side, calc.Length), calc.Num("Δ_2", end, calc.Length)},
		Value: float64(l + side + end), Source: source + "6.1.5(1)", Evidence: calc.Memory}
}

// ContactResistance is F = k_c90 f_c90,d b l_ef across the grain. 6.1.5.
func ContactResistance(kc90 float64, fc90d quantity.Stress, b, lef quantity.Length) calc.Line {
	return calc.Line{Symbol: "F_90", Name: "force the contact may carry", Formula: "k_c90 · f_c90_d · b · l_ef", Kind: calc.Force,
		Terms: []calc.Term{calc.Num("k_c90", kc90, calc.Plain), calc.Num("f_c90_d", fc90d, calc.Stress), calc.Num("b", b, calc.Length), calc.Num("l_ef", lef, calc.Length)},
		Value: kc90 * float64(fc90d) * float64(b) * float64(lef), Source: source + "6.1.5", Evidence: calc.Read}
}

// MomentResistance of a rectangle, f b h^2/6 with the factors on f. 6.1.6.
func MomentResistance(f quantity.Stress, b, h quantity.Length, factors ...calc.Term) calc.Line {
	l := calc.Line{Symbol: "M_R", Name: "design moment the member may carry", Formula: "f_m_d", Kind: calc.Moment,
		Terms: []calc.Term{calc.Num("f_m_d", f, calc.Stress)}, Value: float64(f), Source: source + "6.1.6, 6.3.3", Evidence: calc.Read}
	for _, t := range factors {
		l.Formula += " · " + t.Sym
		l.Terms = append(l.Terms, t)
		l.Value *= t.Val
	}
	l.Formula += " · b · h² / 6"
	l.Terms = append(l.Terms, calc.Num("b", b, calc.Length), calc.Num("h", h, calc.Length))
	l.Value *= float64(b*h*h) / 6
	return l
}

// ShearResistance of a cracked rectangle, 2/3 f_v,d k_cr b h. 6.1.7.
func ShearResistance(fvd quantity.Stress, b, h quantity.Length, kcr float64) calc.Line {
	return calc.Line{Symbol: "V_R", Name: "design shear the member may carry", Formula: "2/3 · f_v_d · k_cr · b · h", Kind: calc.Force,
		Terms: []calc.Term{calc.Num("f_v_d", fvd, calc.Stress), calc.Num("k_cr", kcr, calc.Plain), calc.Num("b", b, calc.Length), calc.Num("h", h, calc.Length)},
		Value: 2.0 / 3 * float64(fvd) * kcr * float64(b*h), Source: source + "6.1.7", Evidence: calc.Memory}
}

// Stiffness is E_0,mean I.
func Stiffness(e quantity.Stress, b, h quantity.Length) calc.Line {
	i := float64(b*h*h*h) / 12
	return calc.Line{Symbol: "EI", Name: "mean flexural stiffness", Formula: "E_mean · I", Kind: calc.EI,
		Terms: []calc.Term{calc.Num("E_mean", e, calc.Stress), calc.Num("I", i, calc.Inertia)},
		Value: float64(e) * i, Source: source + "2.2.3", Evidence: calc.Read}
}

// PanelMoment per width is f_m,d t^2/6 on the full section.
func PanelMoment(fmd quantity.Stress, t quantity.Length) calc.Line {
	return calc.Line{Symbol: "m_R", Name: "design moment per width the panel may carry", Formula: "f_m_d · t² / 6", Kind: calc.MomentPerM,
		Terms: []calc.Term{calc.Num("f_m_d", fmd, calc.Stress), calc.Num("t", t, calc.Length)},
		Value: float64(fmd) * float64(t*t) / 6, Source: source + "6.1.6", Evidence: calc.Derived}
}

// PanelShear per width is 2/3 f_r,d t: planar shear taken as the peak 1.5 V/t
// of a solid section, which is the largest it can be in a symmetric lay-up.
func PanelShear(frd quantity.Stress, t quantity.Length) calc.Line {
	return calc.Line{Symbol: "v_R", Name: "design planar shear per width the panel may carry", Formula: "2/3 · f_r_d · t", Kind: calc.ForcePerM,
		Terms: []calc.Term{calc.Num("f_r_d", frd, calc.Stress), calc.Num("t", t, calc.Length)},
		Value: 2.0 / 3 * float64(frd) * float64(t), Source: source + "6.1.7", Evidence: calc.Derived,
		Note: "stress taken as 1.5 V/t on the full section"}
}

// PanelStiffness per width is E t^3/12.
func PanelStiffness(e quantity.Stress, t quantity.Length) calc.Line {
	return calc.Line{Symbol: "EI", Name: "mean stiffness per width", Formula: "E_m · t³ / 12", Kind: calc.EIPerWidth,
		Terms: []calc.Term{calc.Num("E_m", e, calc.Stress), calc.Num("t", t, calc.Length)},
		Value: float64(e) * float64(t*t*t) / 12, Source: source, Evidence: calc.Derived}
}
