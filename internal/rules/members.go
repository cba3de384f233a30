package rules

import (
	"shoreward/internal/calc"
	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
	"shoreward/internal/rules/apa"
	"shoreward/internal/rules/ec5"
	"shoreward/internal/rules/en13377"
	"shoreward/internal/rules/nds"
)

// Beam is what a joist or stringer of the part, as laid, may carry.
func (s Settings) Beam(p *catalog.Part, c Context) (BeamResistance, error) {
	if err := s.check(); err != nil {
		return BeamResistance{}, err
	}
	switch {
	case p == nil:
		return BeamResistance{}, s.lacks(p, "a joist or stringer", "")
	case p.IBeam != nil:
		return s.formworkBeam(p)
	case s.Basis == US && p.NDS != nil:
		return s.ndsBeam(p, c)
	case s.Basis == EU && p.EC5 != nil:
		return s.ec5Beam(p, c)
	case s.Basis == US:
		return BeamResistance{}, s.lacks(p, "NDS reference values", "species, grade and values under nds")
	}
	return BeamResistance{}, s.lacks(p, "EN 338 strength class", "its class and values under ec5_timber")
}

// formworkBeam is a prefabricated beam of EN 13377, the same beam on both
// bases: as a working load with gamma_F on the load side, or as a design value.
func (s Settings) formworkBeam(p *catalog.Part) (BeamResistance, error) {
	r, b := s.read(p), p.IBeam
	m := take(r, b.Mk, "M_k", "characteristic moment M_k", calc.Moment)
	v := take(r, b.Vk, "V_k", "characteristic shear V_k", calc.Force)
	reaction := take(r, b.Rk, "R_k", "characteristic support reaction R_k", calc.Force)
	ei := take(r, b.EI, "EI", "flexural stiffness EI", calc.EI)
	f := en13377.Factors{
		Kmod:   float64(take(r, b.Kmod, "k_mod", "modification factor k_mod", calc.Plain)),
		GammaM: float64(take(r, b.GammaM, "γ_M", "material factor gamma_M", calc.Plain)),
		Extra:  s.resistanceExtra(), Sym: "γ_B2",
	}
	if s.Basis == US {
		f.Extra = float64(take(r, b.GammaF, "γ_F", "factor gamma_F of a working load", calc.Plain))
		f.Sym = "γ_F"
	}
	if err := r.err(); err != nil {
		return BeamResistance{}, err
	}
	lm := en13377.Usable("M", "moment the beam may carry", m, calc.Moment, f)
	lv := en13377.Usable("V", "shear the beam may carry", v, calc.Force, f)
	lr := en13377.Usable("R", "support reaction the beam may carry", reaction, calc.Force, f)
	return BeamResistance{
		Moment: quantity.Moment(lm.Value), Shear: quantity.Force(lv.Value), Reaction: quantity.Force(lr.Value), EI: ei,
		Lines: append(r.lines, lm, lv, lr),
	}, nil
}

// ndsMember reads the values of a sawn timber.
func (s Settings) ndsMember(p *catalog.Part) (nds.Member, calc.Lines, error) {
	r, t := s.read(p), p.NDS
	m := nds.Member{
		NominalB: t.NominalB, NominalD: t.NominalD, Table: t.Table, Grade: t.Grade,
		B:    take(r, p.Width, "b", "breadth b", calc.Length),
		D:    take(r, p.Depth, "d", "depth d", calc.Length),
		Fb:   take(r, t.Fb, "F_b", "reference bending value F_b", calc.Stress),
		Fv:   take(r, t.Fv, "F_v", "reference shear value F_v", calc.Stress),
		Fcp:  take(r, t.Fcp, "F_cp", "reference compression across the grain F_cp", calc.Stress),
		Fc:   take(r, t.Fc, "F_c", "reference compression F_c", calc.Stress),
		E:    take(r, t.E, "E", "modulus of elasticity E", calc.Stress),
		Emin: take(r, t.Emin, "E_min", "modulus for stability E_min", calc.Stress),
	}
	if err := r.err(); err != nil {
		return m, nil, err
	}
	if err := m.Validate(); err != nil {
		return m, nil, wrong(p, err)
	}
	return m, r.lines, nil
}

func (s Settings) ndsBeam(p *catalog.Part, c Context) (BeamResistance, error) {
	m, lines, err := s.ndsMember(p)
	if err != nil {
		return BeamResistance{}, err
	}
	cond := nds.Conditions{Duration: s.LoadDuration, Wet: s.WetService, Repetitive: c.Repetitive, Unbraced: c.Unbraced}
	bending, err := nds.BendingStrength(m, cond)
	if err != nil {
		return BeamResistance{}, wrong(p, err)
	}
	shear, modulus := nds.ShearStrength(m, cond), nds.Modulus(m, cond)
	lm := nds.MomentResistance(last(bending), m)
	lv := nds.ShearResistance(last(shear), m)
	le := nds.Stiffness(last(modulus), m)
	for _, part := range []calc.Lines{bending, {lm}, shear, {lv}, modulus, {le}} {
		lines = append(lines, part...)
	}
	return BeamResistance{
		Moment: quantity.Moment(lm.Value), Shear: quantity.Force(lv.Value), EI: quantity.EI(le.Value),
		ShearOffset: m.D, // NDS 3.4.3.1: supported over the full width on the face away from the load
		Lines:       lines,
	}, nil
}

// last is the result of a chain of lines that ends with a stress.
func last(ls calc.Lines) quantity.Stress { return quantity.Stress(ls[len(ls)-1].Value) }

// ec5Timber is a solid timber read from the catalogue with its design factors.
type ec5Timber struct {
	b, h                           quantity.Length
	fm, fv, fc0, fc90, eMean, e005 quantity.Stress
	material                       ec5.Material
	lines                          calc.Lines
}

func (s Settings) ec5Read(p *catalog.Part) (ec5Timber, error) {
	r, t := s.read(p), p.EC5
	out := ec5Timber{
		b:     take(r, p.Width, "b", "breadth b", calc.Length),
		h:     take(r, p.Depth, "h", "depth h", calc.Length),
		fm:    take(r, t.Fmk, "f_m_k", "bending strength f_m,k", calc.Stress),
		fv:    take(r, t.Fvk, "f_v_k", "shear strength f_v,k", calc.Stress),
		fc0:   take(r, t.Fc0k, "f_c0_k", "compression strength f_c,0,k", calc.Stress),
		fc90:  take(r, t.Fc90k, "f_c90_k", "compression across the grain f_c,90,k", calc.Stress),
		eMean: take(r, t.E0mean, "E_mean", "mean modulus E_0,mean", calc.Stress),
		e005:  take(r, t.E005, "E_005", "modulus for stability E_0,05", calc.Stress),
	}
	if err := r.err(); err != nil {
		return out, err
	}
	kmod, err := ec5.Modification(s.ServiceClass, ec5.ShortTerm)
	if err != nil {
		return out, wrong(p, err)
	}
	out.material = ec5.Material{Kmod: kmod.Value, GammaM: ec5.GammaSolid, Extra: s.resistanceExtra()}
	out.lines = append(r.lines, kmod)
	return out, nil
}

func (s Settings) ec5Beam(p *catalog.Part, c Context) (BeamResistance, error) {
	t, err := s.ec5Read(p)
	if err != nil {
		return BeamResistance{}, err
	}
	lines := t.lines
	fm := t.material.Design("f_m", "design bending strength", t.fm)
	size := ec5.Size(t.h)
	share := calc.Line{Symbol: "k_sys", Name: "load sharing", Value: 1, Source: "EN 1995-1-1 6.6", Evidence: calc.ReadWeak}
	if c.Repetitive {
		share.Value = ec5.LoadSharing
	}
	stability := calc.Lines{{Symbol: "k_crit", Name: "lateral buckling in bending", Value: 1, Source: "EN 1995-1-1 6.3.3(5)", Evidence: calc.Read,
		Note: "compression edge held all along, or no deeper than wide"}}
	if c.Unbraced > 0 && t.h > t.b {
		lef := c.Unbraced + 2*t.h // Table 6.1 with even moment and the load on the compression edge
		crit := ec5.CriticalBending(t.b, t.h, lef, t.e005)
		stability = append(calc.Lines{crit}, ec5.LateralStability(t.fm, quantity.Stress(crit.Value))...)
	}
	lines = append(lines, fm, size, share)
	lines = append(lines, stability...)
	factor := func(l calc.Line) calc.Term { return calc.Term{Sym: l.Symbol, Val: l.Value} }
	lm := ec5.MomentResistance(quantity.Stress(fm.Value), t.b, t.h, factor(size), factor(share), factor(stability[len(stability)-1]))
	fv := t.material.Design("f_v", "design shear strength", t.fv)
	lv := ec5.ShearResistance(quantity.Stress(fv.Value), t.b, t.h, ec5.Crack)
	le := ec5.Stiffness(t.eMean, t.b, t.h)
	return BeamResistance{
		Moment: quantity.Moment(lm.Value), Shear: quantity.Force(lv.Value), EI: quantity.EI(le.Value),
		Lines: append(lines, lm, fv, lv, le),
	}, nil
}

// Sheet is what a form panel may carry per metre of width; grainAcross is true
// where its face grain runs across the joists, the strong way.
func (s Settings) Sheet(p *catalog.Part, grainAcross bool) (SheetResistance, error) {
	if err := s.check(); err != nil {
		return SheetResistance{}, err
	}
	switch {
	case p == nil:
		return SheetResistance{}, s.lacks(p, "a form panel", "")
	case s.Basis == US && p.APA != nil:
		return s.apaSheet(p, grainAcross)
	case s.Basis == EU && p.Panel != nil:
		return s.ec5Sheet(p, grainAcross)
	case s.Basis == US:
		return SheetResistance{}, s.lacks(p, "APA form panel values", "class, section properties and stresses under apa")
	}
	return SheetResistance{}, s.lacks(p, "EN 636 / EN 13986 panel values", "characteristic values under ec5_panel")
}

func (s Settings) apaSheet(p *catalog.Part, grainAcross bool) (SheetResistance, error) {
	r, a := s.read(p), p.APA
	way, i, ks, ibq := "face grain across the joists", a.IPar, a.KSPar, a.IbQPar
	if !grainAcross {
		way, i, ks, ibq = "face grain along the joists", a.IPerp, a.KSPerp, a.IbQPerp
	}
	iv := take(r, i, "I", "moment of inertia I per width, "+way, calc.Inertia)
	kv := take(r, ks, "KS", "section modulus KS per width, "+way, calc.Modulus)
	qv := take(r, ibq, "IbQ", "rolling shear constant Ib/Q per width, "+way, calc.Area)
	fb := take(r, a.Fb, "F_b", "bending stress F_b", calc.Stress)
	fs := take(r, a.Fs, "F_s", "rolling shear stress F_s", calc.Stress)
	ee := take(r, a.Ee, "E_e", "modulus E_e", calc.Stress)
	if err := r.err(); err != nil {
		return SheetResistance{}, err
	}
	lb := apa.DurationAdjusted("F_b", fb, s.LoadDuration, a.DurationInStress)
	ls := apa.DurationAdjusted("F_s", fs, s.LoadDuration, a.DurationInStress)
	lm := apa.MomentResistance(quantity.Stress(lb.Value), float64(kv))
	lv := apa.ShearResistance(quantity.Stress(ls.Value), float64(qv))
	le := apa.Stiffness(ee, float64(iv))
	return SheetResistance{Moment: lm.Value, Shear: lv.Value, EI: le.Value, Lines: append(r.lines, lb, lm, ls, lv, le)}, nil
}

func (s Settings) ec5Sheet(p *catalog.Part, grainAcross bool) (SheetResistance, error) {
	r, a := s.read(p), p.Panel
	way, f, e, shear := "face grain across the joists", a.FmPar, a.EPar, a.FrPar
	if !grainAcross {
		way, f, e, shear = "face grain along the joists", a.FmPerp, a.EPerp, a.FrPerp
	}
	t := take(r, p.Depth, "t", "thickness t", calc.Length)
	fm := take(r, f, "f_m_k", "bending strength f_m,k, "+way, calc.Stress)
	fr := take(r, shear, "f_r_k", "planar shear strength f_r,k, "+way, calc.Stress)
	em := take(r, e, "E_m", "mean bending modulus E_m, "+way, calc.Stress)
	m := ec5.Material{
		Kmod:   float64(take(r, a.Kmod, "k_mod", "modification factor k_mod", calc.Plain)),
		GammaM: float64(take(r, a.GammaM, "γ_M", "material factor gamma_M", calc.Plain)),
		Extra:  s.resistanceExtra(),
	}
	if err := r.err(); err != nil {
		return SheetResistance{}, err
	}
	lfm := m.Design("f_m", "design bending strength", fm)
	lfr := m.Design("f_r", "design planar shear strength", fr)
	lm := ec5.PanelMoment(quantity.Stress(lfm.Value), t)
	lv := ec5.PanelShear(quantity.Stress(lfr.Value), t)
	le := ec5.PanelStiffness(em, t)
	return SheetResistance{Moment: lm.Value, Shear: lv.Value, EI: le.Value, Lines: append(r.lines, lfm, lm, lfr, lv, le)}, nil
}
