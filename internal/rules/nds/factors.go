package nds

import (
	"fmt"
	"math"
	"strings"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

// Load durations at the steps of NDS Table 2.3.2.
const (
	tenMinutes quantity.Duration = 1.0 / 6
	sevenDays  quantity.Duration = 7 * 24
	twoMonths  quantity.Duration = 61 * 24
	tenYears   quantity.Duration = 3652 * 24
)

// LoadDuration is C_D for loads that add up to d over the life of the member.
// Impact (2.0) is left out on purpose: no formwork load is taken as impact
// alone. NDS Table 2.3.2.
func LoadDuration(d quantity.Duration) calc.Line {
	v := 0.9
	switch {
	case d <= tenMinutes:
		v = 1.6
	case d <= sevenDays:
		v = 1.25
	case d <= twoMonths:
		v = 1.15
	case d <= tenYears:
		v = 1.0
	}
	return calc.Line{Symbol: "C_D", Name: "load duration", Value: v, Source: source + "Table 2.3.2", Evidence: calc.Read}
}

// grades of dimension lumber that share their size factors.
type gradeGroup int

const (
	visual       gradeGroup = iota // Select Structural, No.1 & Btr, No.1, No.2, No.3
	stud                           //
	construction                   // Construction, Standard
)

func group(grade string) (gradeGroup, error) {
	switch strings.ToLower(strings.Join(strings.Fields(strings.ReplaceAll(grade, ".", " ")), " ")) {
	case "select structural", "ss", "no 1 & btr", "no 1", "no 2", "no 3":
		return visual, nil
	case "stud":
		return stud, nil
	case "construction", "standard":
		return construction, nil
	}
	return 0, fmt.Errorf("lumber grade %q is not known: Select Structural, No.1 & Btr, No.1, No.2, No.3, Stud, Construction or Standard", grade)
}

// sizeRow is one line of the size factor table, by nominal width of the wide face.
type sizeRow struct {
	upTo                 int
	thin, thick, columns float64 // F_b of 2-3 in, F_b of 4 in, F_c
}

// sizeVisual is the size factor table of Supplement Table 4A for visually
// graded dimension lumber. 5 in wide shares the compression factor of 6 in.
var sizeVisual = []sizeRow{
	{4, 1.5, 1.5, 1.15},
	{5, 1.4, 1.4, 1.1},
	{6, 1.3, 1.3, 1.1},
	{8, 1.2, 1.3, 1.05},
	{10, 1.1, 1.2, 1.0},
	{12, 1.0, 1.1, 1.0},
	{math.MaxInt, 0.9, 1.0, 0.9},
}

func rowOf(width int) sizeRow {
	for _, r := range sizeVisual {
		if width <= r.upTo {
			return r
		}
	}
	return sizeVisual[len(sizeVisual)-1]
}

// SizeBending is C_F for F_b. NDS Supplement Tables 4A, 4B, 4D.
func SizeBending(m Member) (calc.Line, error) { return size(m, true) }

// SizeCompression is C_F for F_c. NDS Supplement Tables 4A, 4B, 4D.
func SizeCompression(m Member) (calc.Line, error) { return size(m, false) }

func size(m Member, bending bool) (calc.Line, error) {
	l := calc.Line{Symbol: "C_F", Name: "size factor, compression", Value: 1, Source: supplement + "Table " + m.Table, Evidence: calc.Read}
	if bending {
		l.Name = "size factor, bending"
	}
	thickness, width := m.thickness(), m.width()
	switch m.Table {
	case "4D": // depth over 12 in only
		l.Evidence = calc.Memory
		if d := float64(m.D / quantity.Inch); bending && d > 12 {
			l.Value = math.Pow(12/d, 1.0/9)
		}
		return l, nil
	case "4B": // size effect is in the table, but for thick or very wide pieces
		if thickness == 4 && width >= 8 && bending {
			l.Value = 1.1
		}
		if width > 12 {
			l.Value *= 0.9
			l.Evidence = calc.Memory
		}
		return l, nil
	}
	g, err := group(m.Grade)
	if err != nil {
		return calc.Line{}, err
	}
	switch g {
	case visual:
		r := rowOf(width)
		switch {
		case !bending:
			l.Value = r.columns
		case thickness == 4:
			l.Value = r.thick
		default:
			l.Value = r.thin
		}
	case stud:
		if width > 6 {
			return calc.Line{}, fmt.Errorf("%dx%d of grade Stud: wider than 6 in, use the values of grade No.3", m.NominalB, m.NominalD)
		}
		switch narrow := width <= 4; {
		case narrow && bending:
			l.Value = 1.1
		case narrow:
			l.Value = 1.05
		}
	case construction:
		l.Evidence = calc.Memory
		if width > 4 {
			return calc.Line{}, fmt.Errorf("%dx%d of grade %s: its values hold up to 4 in wide only", m.NominalB, m.NominalD, m.Grade)
		}
	}
	return l, nil
}

// FlatUse is C_fu on F_b of dimension lumber that is loaded on its wide face.
// NDS Supplement Tables 4A and 4B.
func FlatUse(m Member) (calc.Line, error) {
	l := calc.Line{Symbol: "C_fu", Name: "flat use", Value: 1, Source: supplement + "Table " + m.Table, Evidence: calc.Read}
	if !m.flat() {
		return l, nil
	}
	if m.Table == "4D" {
		// Table 4D lowers F_b of some grades loaded on the wide face; its numbers are not at hand.
		return l, fmt.Errorf("%dx%d laid flat: flat-use factors of Table 4D are not in this program, lay it on edge", m.NominalB, m.NominalD)
	}
	switch thick, w := m.thickness() == 4, m.width(); {
	case thick && w >= 10:
		l.Value, l.Evidence = 1.1, calc.Memory
	case thick && w >= 5:
		l.Value = 1.05
	case thick:
	case w >= 10:
		l.Value = 1.2
	case w >= 6:
		l.Value = 1.15
	case w >= 4:
		l.Value = 1.1
	}
	return l, nil
}

// RepetitiveMember is C_r = 1.15 on F_b of dimension lumber where three or more
// members, at most 24 in apart, share the load through the deck. NDS 4.3.9.
func RepetitiveMember(m Member, repetitive bool) calc.Line {
	l := calc.Line{Symbol: "C_r", Name: "repetitive member", Value: 1, Source: source + "4.3.9", Evidence: calc.Read}
	if repetitive && m.Table != "4D" {
		l.Value = 1.15
	}
	return l
}

// WetBending is C_M for F_b: 0.85, or 1 where F_b C_F is at most 1150 psi.
// NDS Supplement Tables 4A, 4B; 1 for timbers, Table 4D.
func WetBending(table string, fbCF quantity.Stress) calc.Line {
	l := wetLine("bending", table, 0.85, 1)
	if table != "4D" && fbCF <= 1150*quantity.PSI {
		l.Value = 1
		l.Note = "F_b C_F is at most 1150 psi"
	}
	return l
}

// WetShear is C_M for F_v.
func WetShear(table string) calc.Line { return wetLine("shear", table, 0.97, 1) }

// WetBearing is C_M for F_c across the grain.
func WetBearing(table string) calc.Line {
	return wetLine("compression across the grain", table, 0.67, 0.67)
}

// WetCompression is C_M for F_c: 0.8, or 1 where F_c C_F is at most 750 psi; 0.91 for timbers.
func WetCompression(table string, fcCF quantity.Stress) calc.Line {
	l := wetLine("compression", table, 0.8, 0.91)
	if table != "4D" && fcCF <= 750*quantity.PSI {
		l.Value = 1
		l.Note = "F_c C_F is at most 750 psi"
	}
	return l
}

// WetStiffness is C_M for E and E_min.
func WetStiffness(table string) calc.Line { return wetLine("E and E_min", table, 0.9, 1) }

func wetLine(of, table string, dimension, timber float64) calc.Line {
	l := calc.Line{Symbol: "C_M", Name: "wet service, " + of, Value: dimension, Source: supplement + "Table " + table, Evidence: calc.Read}
	if table == "4D" {
		l.Value = timber
	}
	return l
}

// EffectiveLength is l_e of the compression edge between lateral supports l_u
// apart, for any loading: the greatest of the rows of NDS Table 3.3.3.
func EffectiveLength(lu, d quantity.Length) calc.Line {
	l := calc.Line{Symbol: "l_e", Name: "effective length of the compression edge", Kind: calc.Length,
		Terms:  []calc.Term{calc.Num("l_u", lu, calc.Length)},
		Source: source + "Table 3.3.3, footnote", Evidence: calc.Memory}
	switch ratio := lu / d; {
	case ratio < 7:
		l.Formula, l.Value = "2.06 · l_u", 2.06*float64(lu)
	case ratio <= 14.3:
		l.Formula, l.Value = "1.63 · l_u + 3 · d", 1.63*float64(lu)+3*float64(d)
		l.Terms = append(l.Terms, calc.Num("d", d, calc.Length))
	default:
		l.Formula, l.Value = "1.84 · l_u", 1.84*float64(lu)
	}
	return l
}

// BeamStability ends with C_L of a member whose compression edge is held every
// lu; 1 for members no deeper than wide and for edges held all along. NDS 3.3.3.
func BeamStability(fbStar, emin quantity.Stress, m Member, lu quantity.Length) (calc.Lines, error) {
	if lu <= 0 || m.D <= m.B {
		note := "compression edge held all along"
		if lu > 0 {
			note = "no deeper than wide"
		}
		return calc.Lines{{Symbol: "C_L", Name: "beam stability", Value: 1, Source: source + "3.3.3", Evidence: calc.Read, Note: note}}, nil
	}
	le := EffectiveLength(lu, m.D)
	rb := SlendernessOfBeam(quantity.Length(le.Value), m.B, m.D)
	if rb.Value > 50 {
		return nil, fmt.Errorf("slenderness R_B = %.1f of the timber as a beam is over 50 (NDS 3.3.3.7): hold its compression edge at closer points", rb.Value)
	}
	cl := BeamStabilityFactor(fbStar, emin, rb.Value)
	return append(calc.Lines{le, rb}, cl...), nil
}

// SlendernessOfBeam is R_B = sqrt(l_e d / b^2). NDS 3.3.3.6.
func SlendernessOfBeam(le, b, d quantity.Length) calc.Line {
	return calc.Line{Symbol: "R_B", Name: "slenderness as a beam", Formula: "sqrt(l_e · d / b²)",
		Terms: []calc.Term{calc.Num("l_e", le, calc.Length), calc.Num("d", d, calc.Length), calc.Num("b", b, calc.Length)},
		Value: math.Sqrt(float64(le) * float64(d) / float64(b*b)), Source: source + "3.3.3.6", Evidence: calc.Read}
}

// BeamStabilityFactor gives F_bE = 1.20 E_min'/R_B^2 and from it C_L. NDS 3.3.3.8.
func BeamStabilityFactor(fbStar, emin quantity.Stress, rb float64) calc.Lines {
	fbE := 1.2 * float64(emin) / (rb * rb)
	alpha := fbE / float64(fbStar)
	q := (1 + alpha) / 1.9
	return calc.Lines{
		{Symbol: "F_bE", Name: "critical buckling stress in bending", Formula: "1.20 · E_min' / R_B²",
			Terms: []calc.Term{calc.Num("E_min'", emin, calc.Stress), calc.Num("R_B", rb, calc.Plain)},
			Value: fbE, Kind: calc.Stress, Source: source + "3.3.3.8", Evidence: calc.Read},
		{Symbol: "C_L", Name: "beam stability", Formula: "(1 + α) / 1.9 - sqrt(((1 + α) / 1.9)² - α / 0.95), α = F_bE / F_b0",
			Terms: []calc.Term{calc.Num("α", alpha, calc.Plain), calc.Num("F_bE", fbE, calc.Stress), calc.Num("F_b0", fbStar, calc.Stress)},
			Value: q - math.Sqrt(q*q-alpha/0.95), Source: source + "3.3.3.8", Evidence: calc.Read},
	}
}

// MaxSlenderness of a post in service. NDS 3.7.1.4.
const MaxSlenderness = 50

// Slenderness is l_e/d of a post pinned at both ends; over 50 is refused. NDS 3.7.1.
func Slenderness(l, d quantity.Length) (calc.Line, error) {
	s := float64(l / d)
	if s > MaxSlenderness {
		return calc.Line{}, fmt.Errorf("slenderness l_e/d = %.1f of the post is over %d (NDS 3.7.1.4): brace it both ways or take a thicker or shorter one", s, MaxSlenderness)
	}
	return calc.Line{Symbol: "s", Name: "slenderness l_e/d, at most 50", Formula: "l_e / d",
		Terms: []calc.Term{calc.Num("l_e", l, calc.Length), calc.Num("d", d, calc.Length)},
		Value: s, Source: source + "3.7.1.4", Evidence: calc.Read}, nil
}

// EulerStress is F_cE = 0.822 E_min'/(l_e/d)^2. NDS 3.7.1.5.
func EulerStress(emin quantity.Stress, slenderness float64) calc.Line {
	return calc.Line{Symbol: "F_cE", Name: "critical buckling stress", Formula: "0.822 · E_min' / s²",
		Terms: []calc.Term{calc.Num("E_min'", emin, calc.Stress), calc.Num("s", slenderness, calc.Plain)},
		Value: 0.822 * float64(emin) / (slenderness * slenderness), Kind: calc.Stress, Source: source + "3.7.1.5", Evidence: calc.Read}
}

// ColumnStability is C_P with r = F_cE/F_c* and c = 0.8 for sawn timber, 0.85
// for round poles, 0.9 for glued timber. NDS 3.7.1.5.
func ColumnStability(fcE, fcStar quantity.Stress, c float64) calc.Line {
	r := float64(fcE / fcStar)
	q := (1 + r) / (2 * c)
	return calc.Line{Symbol: "C_P", Name: "column stability", Formula: "(1 + r) / (2 · c) - sqrt(((1 + r) / (2 · c))² - r / c), r = F_cE / F_c0",
		Terms: []calc.Term{calc.Num("r", r, calc.Plain), calc.Num("c", c, calc.Plain), calc.Num("F_cE", fcE, calc.Stress), calc.Num("F_c0", fcStar, calc.Stress)},
		Value: q - math.Sqrt(q*q-r/c), Source: source + "3.7.1.5", Evidence: calc.Read}
}

// BuiltUpNailed is K_f on C_P of a nailed built-up post about the axis that bends the nails. NDS 15.3.
const BuiltUpNailed = 0.6

// BearingArea is C_b = (l_b + 3/8 in)/l_b for contacts shorter than 6 in along
// the grain and at least 3 in from the end, else 1. NDS 3.10.4.
func BearingArea(long, fromEnd quantity.Length) calc.Line {
	l := calc.Line{Symbol: "C_b", Name: "bearing area factor", Value: 1, Source: source + "3.10.4", Evidence: calc.Read,
		Note: "1 for contacts 6 in or longer, or nearer than 3 in to the end"}
	if long < 6*quantity.Inch && fromEnd >= 3*quantity.Inch {
		const extra = 0.375 * quantity.Inch
		l.Formula, l.Note = "(l_b + e) / l_b", "e = 3/8 in"
		l.Terms = []calc.Term{calc.Num("l_b", long, calc.Length), calc.Num("e", extra, calc.Length)}
		l.Value = float64((long + extra) / long)
	}
	return l
}
