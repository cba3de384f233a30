package strength

import (
	"errors"
	"fmt"
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
	"shoreward/internal/rules/aci318"
	"shoreward/internal/rules/aci3472r"
	"shoreward/internal/rules/asce37"
	"shoreward/internal/rules/bs8110"
	"shoreward/internal/rules/ciria136"
	"shoreward/internal/rules/en1992"
	"shoreward/internal/rules/flatslab"
)

// Criterion by which a young slab is judged.
type Criterion string

// Criteria. The first two and the fourth compare factored loads with a part of the
// factored design load; Sadgrove and Beeby compare loads without factors, by cube
// strength. Linear is the safe one: it asks more than flexure, shear and punching do.
const (
	Linear   Criterion = "linear"      // part of the strength reached
	ACI      Criterion = "aci-347.2r"  // square root of it, which governs over flexure
	Punching Criterion = "en-punching" // cube root of it, of EN 1992-1-1 (6.47)
	Sadgrove Criterion = "sadgrove"    // CIRIA 136
	Beeby    Criterion = "beeby"       // cracking and deflection
	Supplied Criterion = "engineer"    // loads that the engineer gave by strength
)

// SuppliedLoad is what the project's engineer lets the slab carry, own weight
// included and without factors, once the concrete has a strength.
type SuppliedLoad struct {
	From quantity.Stress // strength of the concrete
	Load quantity.Stress
}

// Member is what the engineer says of a slab. What is supplied is used and no rule.
type Member struct {
	Name      string
	Full      quantity.Stress // specified strength: cylinder, or cube for Sadgrove and Beeby
	Design    quantity.Stress // factored design load w_u, own weight included
	Service   quantity.Stress // design load without factors w_ser, own weight included
	Supplied  []SuppliedLoad  // by rising strength
	Criterion Criterion       // none: Linear
	AtMost    quantity.Ratio  // most part of the design load that may be used; none: 1
	Least     quantity.Stress // least strength before any load; none: that of BS 8110, 5 N/mm2
}

// Demand is what the slab carries in a state of the work, without factors.
type Demand struct {
	Dead     quantity.Stress // slabs, forms
	Variable quantity.Stress // construction live load
}

// Check compares what a slab carries with what it may at a strength. Every check
// among the lines must hold.
func (m Member) Check(d Demand, strength quantity.Stress) (calc.Lines, error) {
	if err := m.check(d, strength); err != nil {
		return nil, fmt.Errorf("slab %s: %w", m.Name, err)
	}
	total := d.Dead + d.Variable
	least := m.Least
	if least == 0 {
		least = quantity.Stress(bs8110.LeastCubeStrength().Value)
	}
	lines := calc.Lines{needs("least strength before the slab carries anything", least, strength, bs8110.LeastCubeStrength().Source, calc.Memory)}
	if len(m.Supplied) > 0 {
		return append(lines, m.supplied(total, strength)), nil
	}
	atMost := m.AtMost
	if atMost == 0 {
		atMost = 1
	}
	switch c := m.criterion(); c {
	case Sadgrove, Beeby:
		l := ciria136.StrikingStrength(total, m.Service, m.Full)
		if c == Beeby {
			l = flatslab.StrikingStrength(total, m.Service, m.Full)
		}
		limit := calc.Line{Symbol: "w", Name: "load without factors", Value: float64(total), Kind: calc.Pressure, Source: l.Source, Evidence: l.Evidence,
			Note: "over the design service load a slab is for its designer to judge, however strong its concrete is"}
		return append(lines, l.Check(float64(strength), "f_c"), limit.Check(float64(atMost)*float64(m.Service), "k · w_ser")), nil
	default:
		part := m.part(c, strength)
		may := aci3472r.AllowableLoad(m.Design, quantity.Ratio(math.Min(part.Value, float64(atMost))))
		return append(lines, part, may, asce37.Combination(d.Dead, d.Variable).Check(may.Value, "w_t")), nil
	}
}

func (m Member) criterion() Criterion {
	if len(m.Supplied) > 0 {
		return Supplied
	}
	if m.Criterion == "" {
		return Linear
	}
	return m.Criterion
}

// part of the full strength of a slab that a strength of the concrete gives.
func (m Member) part(c Criterion, strength quantity.Stress) calc.Line {
	switch c {
	case ACI:
		return aci318.ShearRatio(strength, m.Full)
	case Punching:
		return en1992.PunchingRatio(strength, m.Full)
	}
	return calc.Line{Symbol: "r", Name: "part of the strength reached", Formula: "f_t / f",
		Terms: []calc.Term{calc.Num("f_t", strength, calc.Stress), calc.Num("f", m.Full, calc.Stress)},
		Value: float64(strength / m.Full), Source: "safe against flexure, shear and punching of ACI 318", Evidence: calc.Derived}
}

// supplied is the check against the engineer's own figures: of the greatest
// strength that is reached, and nothing below the first.
func (m Member) supplied(total, strength quantity.Stress) calc.Line {
	may := quantity.Stress(0)
	for _, s := range m.Supplied {
		if strength >= s.From {
			may = s.Load
		}
	}
	l := calc.Line{Symbol: "w", Name: "load without factors", Value: float64(total), Kind: calc.Pressure, Source: "the project's engineer", Evidence: calc.User}
	return l.Check(float64(may), "w_engineer")
}

// needs is a check that a strength is reached.
func needs(name string, need, have quantity.Stress, source string, e calc.Evidence) calc.Line {
	return calc.Line{Symbol: "f_need", Name: name, Value: float64(need), Kind: calc.Stress, Source: source, Evidence: e}.Check(float64(have), "f_c")
}

func (m Member) check(d Demand, strength quantity.Stress) error {
	bad := func(p quantity.Stress) bool { return !(p >= 0) || math.IsInf(float64(p), 0) }
	switch c := m.criterion(); {
	case bad(d.Dead) || bad(d.Variable):
		return fmt.Errorf("loads of %s and %s: neither may be below zero", d.Dead.LoadText(quantity.Metric), d.Variable.LoadText(quantity.Metric))
	case bad(strength):
		return fmt.Errorf("a strength of %s may not be below zero", strength.Text(quantity.Metric))
	case !(m.AtMost >= 0 && m.AtMost <= 1):
		return fmt.Errorf("the most part of the design load is %g: from 0 to 1", float64(m.AtMost))
	case bad(m.Least):
		return fmt.Errorf("a least strength of %s may not be below zero", m.Least.Text(quantity.Metric))
	case c == Supplied:
		for i, s := range m.Supplied {
			if bad(s.From) || bad(s.Load) || i > 0 && (s.From <= m.Supplied[i-1].From || s.Load < m.Supplied[i-1].Load) {
				return errors.New("the loads that the engineer gave must go up with the strength of the concrete")
			}
		}
		return nil
	case c != Linear && c != ACI && c != Punching && c != Sadgrove && c != Beeby:
		return fmt.Errorf("criterion %q is not known: %s, %s, %s, %s or %s", c, Linear, ACI, Punching, Sadgrove, Beeby)
	case !(m.Full > 0):
		return errors.New("it has no specified strength")
	case (c == Sadgrove || c == Beeby) && !(m.Service > 0):
		return fmt.Errorf("criterion %s needs the design load without factors", c)
	case c != Sadgrove && c != Beeby && !(m.Design > 0):
		return fmt.Errorf("criterion %s needs the factored design load", c)
	}
	return nil
}

// Flexure is the part of the flexural strength at full strength that a section
// has at a strength of its concrete, by ACI 318: bars must be developed too.
func Flexure(asPerWidth quantity.Length, fy, full, then quantity.Stress, d quantity.Length) (calc.Line, error) {
	moment := func(fc quantity.Stress) (float64, error) {
		ls, err := aci318.FlexuralStrength(asPerWidth, fy, fc, d)
		if err != nil {
			return 0, err
		}
		return ls[len(ls)-1].Value, nil
	}
	m28, err := moment(full)
	if err != nil {
		return calc.Line{}, err
	}
	now, err := moment(min(then, full))
	if err != nil {
		return calc.Line{}, err
	}
	return calc.Line{Symbol: "r_M", Name: "part of the flexural strength reached", Formula: "M_n_t / M_n",
		Terms: []calc.Term{{Sym: "M_n_t", Val: now, Kind: calc.MomentPerM}, {Sym: "M_n", Val: m28, Kind: calc.MomentPerM}},
		Value: now / m28, Source: "ACI 318-19 22.2", Evidence: calc.Memory, Note: "development of the bars goes with the square root of the strength"}, nil
}

// PropOn is a prop that presses on a slab between its columns: a shore or reshore
// standing on it, or one pushing up from below.
type PropOn struct {
	Above, Below quantity.Force  // of the prop standing on the slab and of that under it
	InLine       bool            // one right over the other: only the difference goes through the slab
	C1, C2       quantity.Length // sides of the plate or sill that presses
	D            quantity.Length // effective depth of the slab
	Place        aci318.Position // interior unless near an edge or an opening
}

// force that punches.
func (p PropOn) force() quantity.Force {
	if p.InLine {
		return quantity.Force(math.Abs(float64(p.Above - p.Below)))
	}
	return max(p.Above, p.Below)
}

func (p PropOn) check() error {
	switch {
	case !(p.C1 > 0 && p.C2 > 0 && p.D > 0):
		return fmt.Errorf("a plate of %s x %s on a slab of depth %s: all must be above zero", p.C1.Text(quantity.Metric), p.C2.Text(quantity.Metric), p.D.Text(quantity.Metric))
	case !(p.Above >= 0 && p.Below >= 0) || math.IsInf(float64(p.Above+p.Below), 0):
		return errors.New("props push: neither force may be below zero")
	}
	return nil
}

// PunchingACI ends with the check of φ V_c at a prop, of the young concrete; factor
// is that on the force.
func PunchingACI(p PropOn, fc quantity.Stress, factor float64) (calc.Lines, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	at := p.Place
	if at == 0 {
		at = aci318.Interior
	}
	bo := aci318.CriticalPerimeter(p.C1, p.C2, p.D)
	switch at { // what reaches an edge has three or two sides of the perimeter
	case aci318.Edge:
		bo.Formula, bo.Name = "0.5 · (2 · (c_1 + c_2 + 2 · d))", "critical perimeter at d/2, half of it near an edge"
		bo.Value /= 2
	case aci318.Corner:
		bo.Formula, bo.Name = "0.25 · (2 · (c_1 + c_2 + 2 · d))", "critical perimeter at d/2, a quarter of it at a corner"
		bo.Value /= 4
	}
	lines := append(calc.Lines{bo}, aci318.PunchingStrength(fc, 1, float64(max(p.C1, p.C2)/min(p.C1, p.C2)), at, quantity.Length(bo.Value), p.D)...)
	vc := lines[len(lines)-1].Value
	return append(lines, calc.Line{Symbol: "V_u", Name: "factored force of the prop", Formula: "γ · P", Kind: calc.Force,
		Terms: []calc.Term{{Sym: "γ", Val: factor}, calc.Num("P", p.force(), calc.Force)}, Value: factor * float64(p.force()),
		Source: "ACI 318-19 22.6", Evidence: calc.Memory}.Check(aci318.PhiShear*vc, "φ · V_c")), nil
}

// PunchingEN ends with the checks of v_Rd,c at 2 d and v_Rd,max at the plate by
// EN 1992-1-1, of the young concrete away from edges; rho is the reinforcement ratio.
func PunchingEN(p PropOn, fck quantity.Stress, rho, factor float64) (calc.Lines, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	if p.Place != 0 && p.Place != aci318.Interior {
		return nil, errors.New("near an edge or an opening the control perimeter of EN 1992-1-1 is for the engineer to draw")
	}
	v := quantity.Force(factor * float64(p.force()))
	u1, u0 := en1992.ControlPerimeter(p.C1, p.C2, p.D), 2*(p.C1+p.C2)
	rd, face := en1992.PunchingStrength(fck, rho, p.D), en1992.FaceStrength(fck)
	at := func(name string, u quantity.Length, limit calc.Line) calc.Line {
		l := en1992.PunchingStress(v, 1, u, p.D).Check(limit.Value, limit.Symbol)
		l.Name = name
		return l
	}
	return calc.Lines{u1, rd, at("punching stress at 2 d", quantity.Length(u1.Value), rd), face, at("stress at the plate", u0, face)}, nil
}
