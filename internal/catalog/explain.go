package catalog

import (
	"fmt"
	"strconv"
	"strings"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

// ExplainRow is one value of a part in words: in metric and in US units, with
// its source and how sure it is. Rows without numbers say the same in both.
type ExplainRow struct {
	Name       string
	Metric, US string
	Source     string
	Evidence   calc.Evidence
}

// Text of the row in one style of units.
func (r ExplainRow) Text(s quantity.Style) string {
	if s == quantity.US {
		return r.US
	}
	return r.Metric
}

// Explain lists all that the catalogue knows of a part or a system.
func (c *Catalog) Explain(id string) ([]ExplainRow, error) {
	if p, ok := c.Parts[id]; ok {
		return p.Explain(), nil
	}
	if s, ok := c.Systems[id]; ok {
		return s.Explain(), nil
	}
	return nil, fmt.Errorf("the catalogue has no part or system %q; `shoreward catalog` lists those it has", id)
}

// rows gathers the lines of an explanation.
type rows []ExplainRow

// say adds words; nothing is added for "".
func (rs *rows) say(name, text string) {
	if text != "" {
		*rs = append(*rs, ExplainRow{Name: name, Metric: text, US: text})
	}
}

// printed is a quantity that writes itself in a style of units.
type printed interface {
	~float64
	Text(quantity.Style) string
}

// tell adds a value; one that was never given is left out, one said to be unknown is not.
func tell[T printed](rs *rows, name string, v Value[T]) {
	tellAs(rs, name, v, T.Text)
}

func tellAs[T ~float64](rs *rows, name string, v Value[T], text func(T, quantity.Style) string) {
	if !v.Known && v.Source == "" {
		return
	}
	row := ExplainRow{name, "unknown", "unknown", v.Source, v.Evidence}
	if v.Known {
		row.Metric, row.US = text(v.V, quantity.Metric), text(v.V, quantity.US)
	}
	*rs = append(*rs, row)
}

func plainText(v quantity.Ratio, _ quantity.Style) string {
	return strconv.FormatFloat(float64(v), 'g', 4, 64)
}

// textIn writes a value in the units of a table, to four figures.
func textIn(u quantity.Units) func(quantity.Ratio, quantity.Style) string {
	return func(v quantity.Ratio, s quantity.Style) string {
		unit := u.List[s]
		return strconv.FormatFloat(float64(v)/unit.Size, 'g', 4, 64) + " " + unit.Spelt[0]
	}
}

// Explain lists all that is known of the part.
func (p *Part) Explain() []ExplainRow {
	var rs rows
	rs.say("name", p.Name)
	rs.say("kind", string(p.Kind))
	rs.say("standard", p.Standard)
	rs.say("note", p.Note)
	tell(&rs, "length", p.Length)
	tell(&rs, "width", p.Width)
	tell(&rs, "depth", p.Depth)
	tell(&rs, "mass", p.Mass)
	if p.Marks > 0 {
		from := func(v quantity.Length) Value[quantity.Length] {
			return Value[quantity.Length]{v, p.MarksSource, p.MarksEvidence, true}
		}
		tell(&rs, "setting marks every", from(p.Marks))
		tell(&rs, "first mark from the end", from(p.FirstMark))
	}
	for _, block := range []func(*rows){p.explainAPA, p.explainPanel, p.explainBeam, p.explainNDS, p.explainEC5, p.explainProp, p.explainGear} {
		block(&rs)
	}
	return rs
}

func (p *Part) explainAPA(rs *rows) {
	a := p.APA
	if a == nil {
		return
	}
	rs.say("form panel class", a.Class)
	tellAs(rs, "I, face grain across the joists", a.IPar, textIn(inertiaPerWidth))
	tellAs(rs, "KS, face grain across the joists", a.KSPar, textIn(modulusPerWidth))
	tellAs(rs, "Ib/Q, face grain across the joists", a.IbQPar, textIn(areaPerWidth))
	tellAs(rs, "I, face grain along the joists", a.IPerp, textIn(inertiaPerWidth))
	tellAs(rs, "KS, face grain along the joists", a.KSPerp, textIn(modulusPerWidth))
	tellAs(rs, "Ib/Q, face grain along the joists", a.IbQPerp, textIn(areaPerWidth))
	tell(rs, "bending stress F_b", a.Fb)
	tell(rs, "rolling shear stress F_s", a.Fs)
	tell(rs, "modulus E, bending deflection alone", a.E)
	tell(rs, "modulus E_e, shear deflection included", a.Ee)
	if a.DurationInStress {
		rs.say("load duration", "F_b and F_s already hold the 7-day factor 1.25 and wet use")
	}
}

func (p *Part) explainPanel(rs *rows) {
	e := p.Panel
	if e == nil {
		return
	}
	tell(rs, "bending strength f_m,k, face grain across the joists", e.FmPar)
	tell(rs, "bending strength f_m,k, face grain along the joists", e.FmPerp)
	tell(rs, "modulus E, face grain across the joists", e.EPar)
	tell(rs, "modulus E, face grain along the joists", e.EPerp)
	tell(rs, "planar shear f_r,k, face grain across the joists", e.FrPar)
	tell(rs, "planar shear f_r,k, face grain along the joists", e.FrPerp)
	tellAs(rs, "k_mod", e.Kmod, plainText)
	tellAs(rs, "gamma_M", e.GammaM, plainText)
}

func (p *Part) explainBeam(rs *rows) {
	b := p.IBeam
	if b == nil {
		return
	}
	rs.say("beam class", b.Class)
	tell(rs, "characteristic moment M_k", b.Mk)
	tell(rs, "characteristic shear V_k", b.Vk)
	tell(rs, "characteristic support reaction R_k", b.Rk)
	tell(rs, "stiffness EI", b.EI)
	tellAs(rs, "k_mod", b.Kmod, plainText)
	tellAs(rs, "gamma_M", b.GammaM, plainText)
	tellAs(rs, "gamma_F of a working load", b.GammaF, plainText)
}

func (p *Part) explainNDS(rs *rows) {
	t := p.NDS
	if t == nil {
		return
	}
	rs.say("species and grade", t.Species+" "+t.Grade+", NDS Supplement Table "+t.Table)
	rs.say("nominal size as laid", fmt.Sprintf("%d x %d in", t.NominalB, t.NominalD))
	tell(rs, "bending F_b", t.Fb)
	tell(rs, "shear F_v", t.Fv)
	tell(rs, "compression across the grain F_cp", t.Fcp)
	tell(rs, "compression along the grain F_c", t.Fc)
	tell(rs, "modulus E", t.E)
	tell(rs, "modulus for stability E_min", t.Emin)
}

func (p *Part) explainEC5(rs *rows) {
	t := p.EC5
	if t == nil {
		return
	}
	rs.say("strength class", t.Class)
	tell(rs, "bending f_m,k", t.Fmk)
	tell(rs, "shear f_v,k", t.Fvk)
	tell(rs, "compression along the grain f_c,0,k", t.Fc0k)
	tell(rs, "compression across the grain f_c,90,k", t.Fc90k)
	tell(rs, "mean modulus E_0,mean", t.E0mean)
	tell(rs, "modulus for stability E_0,05", t.E005)
	tellAs(rs, "density rho_k", t.Rhok, textIn(density))
}

func (p *Part) explainProp(rs *rows) {
	s := p.Shore
	if s == nil {
		return
	}
	if s.Class != "" {
		rs.say("EN 1065 class", s.Class)
	}
	tell(rs, "longest", s.Longest)
	tell(rs, "shortest", s.Shortest)
	tell(rs, "hole pitch", s.HolePitch)
	tell(rs, "thread travel", s.Thread)
	tell(rs, "end plate", s.Plate)
}

// explainGear covers heads, tripods, ratings and boxes.
func (p *Part) explainGear(rs *rows) {
	if h := p.Seat; h != nil {
		rs.say("head type", h.Type)
		tell(rs, "height, prop end to seat", h.Height)
		tell(rs, "drop when struck", h.Drop)
		rs.say("beams side by side", strconv.Itoa(h.Beams))
		tell(rs, "seat along the stringer", h.SeatLong)
		tell(rs, "seat across the stringer", h.SeatWide)
	}
	if f := p.Foot; f != nil {
		tell(rs, "radius of the legs", f.Radius)
	}
	if r := p.Rated; r != nil {
		name := "rated working load"
		if r.Required {
			name = "working load that it must be rated for"
		}
		tell(rs, name, r.Load)
		tellAs(rs, "factor on ultimate", r.Factor, plainText)
		switch {
		case r.Load.Known:
		case r.Required:
			rs.say("what to do", "use gear whose rating meets the demand that the plan prints")
		default:
			rs.say("what to do", "give the supplier's rating in a catalogue of your own (rated: load and factor); nothing is planned on this part before")
		}
	}
	if b := p.Carries; b != nil {
		var what []string
		for _, k := range b.For {
			what = append(what, string(k))
		}
		rs.say("takes", fmt.Sprintf("%d of %s", b.Count, strings.Join(what, ", ")))
		tell(rs, "limit", b.Limit)
	}
}

// Explain lists the parts and rules of the system.
func (s *System) Explain() []ExplainRow {
	var rs rows
	rs.say("name", s.Name)
	rs.say("note", s.Note)
	rs.say("bases", strings.Join(s.Bases, ", "))
	rs.say("kit for jobs in feet", s.Feet)
	for _, r := range []struct {
		role string
		ids  []string
	}{
		{"sheets", s.Sheets}, {"joists", s.Joists}, {"stringers", s.Stringers}, {"props", s.Props},
		{"head of a grade prop", []string{s.GradeHead}}, {"head of an intermediate prop", []string{s.InterHead}}, {"head under a joist", []string{s.JoistHead}},
		{"tripod", []string{s.Tripod}}, {"wedge", []string{s.Wedge}}, {"sills", s.Sills}, {"edge forms", s.EdgeForms},
		{"kicker", []string{s.Kicker}}, {"guardrail post", []string{s.Guard}}, {"tie", []string{s.Tie}}, {"brace", []string{s.Brace}},
	} {
		rs.say(r.role, strings.Join(r.ids, ", "))
	}
	if s.InterHead == "" {
		rs.say("intermediate props", "none: every prop is set to elevation")
	}
	if s.CutToLength {
		rs.say("sawing", "joists, stringers and timber posts are sawn to length on site")
	}
	if s.GradeSpacing > 0 {
		rs = append(rs, ExplainRow{Name: "graded props at most", Metric: s.GradeSpacing.Text(quantity.Metric), US: s.GradeSpacing.Text(quantity.US)})
	}
	return rs
}
