package catalog

import (
	"fmt"
	"slices"
	"strings"

	"shoreward/internal/quantity"
)

// need is a value that a part must have to be used at all.
type need struct {
	name string
	has  bool
}

// mistakes are what a part lacks or says against itself.
func (d *draft) mistakes() (out []string) {
	p := &d.Part
	if p.Kind == "" {
		return []string{"needs a kind"}
	}
	needs := []need{{"name", p.Name != ""}}
	size := []need{{"length", p.Length.Known}, {"width", p.Width.Known}, {"depth", p.Depth.Known}}
	switch p.Kind {
	case Sheet:
		needs = append(append(needs, size...), need{"apa or ec5_panel values", p.APA != nil || p.Panel != nil})
	case Beam:
		needs = append(append(needs, size...), need{"i_beam values", p.IBeam != nil})
	case Lumber:
		needs = append(append(needs, size...), need{"grade", p.NDS != nil || p.EC5 != nil || d.grade != ""})
	case Prop:
		needs = append(needs, need{"prop values", p.Shore != nil})
	case Head:
		needs = append(needs, need{"head values", p.Seat != nil})
	case Tripod:
		needs = append(needs, need{"tripod values", p.Foot != nil})
	case Wedge:
		needs = append(needs, need{"depth", p.Depth.Known})
	case Guard, Kicker, Tie, Brace:
		needs = append(needs, need{"rated values", p.Rated != nil})
	case Box:
		needs = append(needs, need{"box values", p.Carries != nil && len(p.Carries.For) > 0 && p.Carries.Count > 0})
	}
	needs = append(needs, need{"mass", p.Mass.Known})
	var missing []string
	for _, n := range append(needs, p.sectionNeeds()...) {
		if !n.has {
			missing = append(missing, n.name)
		}
	}
	if len(missing) > 0 {
		out = append(out, "lacks "+strings.Join(missing, ", "))
	}
	return append(out, p.contradictions()...)
}

// sectionNeeds are the values of the part's blocks without which a check cannot be worked.
func (p *Part) sectionNeeds() (out []need) {
	if a := p.APA; a != nil {
		out = append(out, need{"class", a.Class != ""},
			need{"I_par", a.IPar.Known}, need{"KS_par", a.KSPar.Known}, need{"IbQ_par", a.IbQPar.Known},
			need{"F_b", a.Fb.Known}, need{"F_s", a.Fs.Known}, need{"E", a.E.Known}, need{"E_e", a.Ee.Known})
	}
	if e := p.Panel; e != nil {
		out = append(out, need{"f_m_par", e.FmPar.Known}, need{"E_par", e.EPar.Known}, need{"f_r_par", e.FrPar.Known},
			need{"k_mod", e.Kmod.Known}, need{"gamma_M", e.GammaM.Known})
	}
	if b := p.IBeam; b != nil {
		out = append(out, need{"M_k", b.Mk.Known}, need{"V_k", b.Vk.Known}, need{"R_k", b.Rk.Known}, need{"EI", b.EI.Known},
			need{"k_mod", b.Kmod.Known}, need{"gamma_M", b.GammaM.Known}, need{"gamma_F", b.GammaF.Known})
	}
	if s := p.Shore; s != nil {
		out = append(out, need{"longest", s.Longest.Known}, need{"shortest", s.Shortest.Known},
			need{"an EN 1065 class, or rated values", s.Class != "" || p.Rated != nil})
	}
	if h := p.Seat; h != nil {
		out = append(out, need{"height", h.Height.Known}, need{"beams", h.Beams > 0}, need{"seat_long", h.SeatLong.Known}, need{"seat_wide", h.SeatWide.Known})
	}
	if f := p.Foot; f != nil {
		out = append(out, need{"radius", f.Radius.Known})
	}
	return out
}

// missing values of a grade.
func (g *grade) missing() (out []string) {
	var needs []need
	if t := g.nds; t != nil {
		needs = []need{{"species", t.Species != ""}, {"grade", t.Grade != ""}, {"table", t.Table == "4A" || t.Table == "4B" || t.Table == "4D"},
			{"F_b", t.Fb.Known}, {"F_v", t.Fv.Known}, {"F_cp", t.Fcp.Known}, {"F_c", t.Fc.Known}, {"E", t.E.Known}, {"E_min", t.Emin.Known}}
	}
	if t := g.ec5; t != nil {
		needs = []need{{"class", t.Class != ""}, {"f_m", t.Fmk.Known}, {"f_v", t.Fvk.Known}, {"f_c0", t.Fc0k.Known}, {"f_c90", t.Fc90k.Known},
			{"E_mean", t.E0mean.Known}, {"E_05", t.E005.Known}, {"rho_k", t.Rhok.Known}}
	}
	for _, n := range needs {
		if !n.has {
			out = append(out, n.name)
		}
	}
	return out
}

var headTypes = []string{"drop", "fork", "intermediate", "flat"}

// contradictions are values of a part that cannot be true together.
func (p *Part) contradictions() (out []string) {
	say := func(wrong bool, format string, args ...any) {
		if wrong {
			out = append(out, fmt.Sprintf(format, args...))
		}
	}
	if s := p.Shore; s != nil {
		say(s.Class != "" && !strings.Contains("ABCDE", s.Class) || len(s.Class) > 1, "has class %q; EN 1065 has A, B, C, D, E", s.Class)
		say(s.Longest.Known && s.Shortest.Known && s.Shortest.V >= s.Longest.V, "has a shortest length that is not below its longest")
		say(s.HolePitch.Known && s.Thread.Known && s.Thread.V < s.HolePitch.V, "has a thread shorter than its hole pitch: some lengths could not be set")
		say(s.HolePitch.Known != s.Thread.Known, "needs both hole_pitch and thread, or neither known")
	}
	if h := p.Seat; h != nil {
		say(!slices.Contains(headTypes, h.Type), "has head type %q; types are %v", h.Type, headTypes)
		say(h.Type == "drop" && !h.Drop.Known, "is a drop head without its drop")
		say(h.Drop.Known && h.Height.Known && h.Drop.V >= h.Height.V, "drops by more than its height")
	}
	if r := p.Rated; r != nil {
		say(r.Load.Known && !r.Required && !r.Factor.Known, "has a rated load without the factor on ultimate that it holds")
		say(r.Factor.Known && r.Factor.V < 1, "has a factor on ultimate below 1")
	}
	if p.Carries != nil {
		say(!p.Carries.Limit.Known, "has no limit")
	}
	say(p.Kind == Sheet && p.Width.Known && p.Depth.V > p.Width.V/4, "has a thickness over a quarter of its width")
	say(p.Length.V > 30*quantity.Metre || p.Width.V > 30*quantity.Metre || p.Depth.V > 3*quantity.Metre, "is larger than anything set by hand; check the units")
	say(p.Mass.V > 5000, "weighs more than 5 tonnes; check the units")
	return out
}
