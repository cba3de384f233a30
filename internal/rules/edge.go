package rules

import (
	"fmt"
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
	"shoreward/internal/rules/aci347"
	"shoreward/internal/rules/en12812"
	"shoreward/internal/rules/osha1926"
)

// EdgePressure of fresh concrete on an edge form of a height, unfactored: the
// full liquid head at the base, its resultant per length of edge and how high
// that acts. Slab edges are filled well within setting time, so no reduction is
// taken.
func (s Settings) EdgePressure(height quantity.Length) (base quantity.Stress, resultant quantity.LineLoad, at quantity.Length, lines calc.Lines) {
	return s.FacePressure(height, height)
}

// FacePressure is EdgePressure on a form over whose foot more concrete stands
// than the form is high: beside a beam the head reaches up to the slab's top. A
// head below the form's height counts as the height.
func (s Settings) FacePressure(height, head quantity.Length) (base quantity.Stress, resultant quantity.LineLoad, at quantity.Length, lines calc.Lines) {
	head = max(head, height)
	p, r := aci347.FluidPressure(s.ConcreteWeight, head), aci347.FluidResultant(s.ConcreteWeight, height)
	at = height / 3
	if over := head - height; over > 0 { // a trapezium: by statics
		p.Formula, p.Terms[1].Sym = "w · H", "H"
		r.Formula, r.Name = "w · (H - h / 2) · h", "resultant on a form of height h under the head H"
		r.Terms = append(r.Terms, calc.Num("H", head, calc.Length))
		r.Value = float64(s.ConcreteWeight) * float64(head-height/2) * float64(height)
		at = height / 3 * (height + 3*over) / (height + 2*over)
	}
	return quantity.Stress(p.Value), quantity.LineLoad(r.Value), at, calc.Lines{p, r}
}

// placingFactor is the load factor of fresh concrete in the basis.
func (s Settings) placingFactor() float64 {
	if s.Basis == EU {
		return en12812.GammaVariable
	}
	return 1
}

// EdgeForm checks an edge form between kickers: its face at the foot, where the
// pressure is greatest, as a strip that spans sideways from kicker to kicker
// (simply supported: a joint may be anywhere), and the push on one kicker.
func (s Settings) EdgeForm(p *catalog.Part, height, kickerPitch quantity.Length, kicker *catalog.Part) (calc.Lines, error) {
	return s.FaceForm(p, height, height, kickerPitch, kicker)
}

// FaceForm is EdgeForm for a form over whose foot fresh concrete stands to a
// head, at least as high as the form.
func (s Settings) FaceForm(p *catalog.Part, height, head, kickerPitch quantity.Length, kicker *catalog.Part) (calc.Lines, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	if !(height > 0 && kickerPitch > 0) || math.IsInf(float64(height+kickerPitch), 0) {
		return nil, fmt.Errorf("an edge form needs a height and a kicker pitch, not %.0f mm and %.0f mm", float64(height)*1000, float64(kickerPitch)*1000)
	}
	if !(head >= height-quantity.Millimetre) || math.IsInf(float64(head), 0) {
		return nil, fmt.Errorf("the head of concrete over the foot of an edge form is at least its height, not %.0f mm over %.0f mm", float64(head)*1000, float64(height)*1000)
	}
	face, err := s.formFace(p)
	if err != nil {
		return nil, err
	}
	base, resultant, _, lines := s.FacePressure(height, head)
	lines = append(lines, face.Lines...)
	gamma := s.placingFactor()
	pressure, span, factor := calc.Num("p", base, calc.Pressure), calc.Num("s", kickerPitch, calc.Length), calc.Num("γ", gamma, calc.Plain)
	pl := float64(base) * float64(kickerPitch)
	moment := calc.Line{Symbol: "m", Name: "bending of the form between kickers, per width", Formula: "γ · p · s² / 8",
		Terms: []calc.Term{factor, pressure, span}, Value: gamma * pl * float64(kickerPitch) / 8, Kind: calc.MomentPerM, Source: "statics", Evidence: calc.Derived}
	shear := calc.Line{Symbol: "v", Name: "shear of the form at a kicker, per width", Formula: "γ · p · s / 2",
		Terms: []calc.Term{factor, pressure, span}, Value: gamma * pl / 2, Kind: calc.ForcePerM, Source: "statics", Evidence: calc.Derived}
	deflection := calc.Line{Symbol: "δ", Name: "deflection of the form between kickers", Formula: "5/384 · p · s^4 / EI",
		Terms: []calc.Term{pressure, span, {Sym: "EI", Val: face.EI, Kind: calc.EIPerWidth}},
		Value: 5.0 / 384 * pl * math.Pow(float64(kickerPitch), 3) / face.EI, Kind: calc.Length, Source: "statics", Evidence: calc.Derived}
	limit, name := s.DeflectionLimit(kickerPitch, false)
	push := calc.Line{Symbol: "H", Name: "push on one kicker, working load", Formula: "R · s",
		Terms: []calc.Term{calc.Num("R", resultant, calc.LineLoad), span},
		Value: float64(resultant) * float64(kickerPitch), Kind: calc.Force, Source: "statics", Evidence: calc.Derived}
	push, err = s.demand(push, kicker, "a kicker")
	if err != nil {
		return nil, err
	}
	return append(lines, moment.Check(face.Moment, "m_r"), shear.Check(face.Shear, "v_r"),
		deflection.Check(float64(limit), name), push), nil
}

// formFace is the resistance per width of the board or panel that the concrete
// presses, about the thin way. Of a panel the weaker grain direction is taken:
// a strip may be cut either way.
func (s Settings) formFace(p *catalog.Part) (SheetResistance, error) {
	if p == nil || p.Kind == catalog.Sheet || p.APA != nil || p.Panel != nil {
		across, err := s.Sheet(p, true)
		if err != nil {
			return across, err
		}
		along, err := s.Sheet(p, false)
		if err != nil {
			return along, err
		}
		weak := across
		if along.Moment < across.Moment {
			weak = along
		}
		weak.Moment, weak.Shear, weak.EI = min(across.Moment, along.Moment), min(across.Shear, along.Shear), min(across.EI, along.EI)
		return weak, nil
	}
	board := laidFlat(p)
	r, err := s.Beam(board, Context{})
	if err != nil {
		return SheetResistance{}, err
	}
	b := float64(board.Width.V)
	return SheetResistance{Moment: float64(r.Moment) / b, Shear: float64(r.Shear) / b, EI: float64(r.EI) / b, Lines: r.Lines}, nil
}

// laidFlat is a timber turned so that its thin side is its depth.
func laidFlat(p *catalog.Part) *catalog.Part {
	if p.Depth.V <= p.Width.V {
		return p
	}
	flat := *p
	flat.Width, flat.Depth = p.Depth, p.Width
	if p.NDS != nil {
		turned := *p.NDS
		turned.NominalB, turned.NominalD = p.NDS.NominalD, p.NDS.NominalB
		flat.NDS = &turned
	}
	return &flat
}

// demand holds a working load against the rating of the part that takes it. A
// part with a required rating is only as good as what is put there: the line says so.
func (s Settings) demand(l calc.Line, p *catalog.Part, what string) (calc.Line, error) {
	if p == nil || p.Rated == nil {
		return l, s.lacks(p, what+" with a rating", "its working load under rated")
	}
	if !p.Rated.Load.Known || !(p.Rated.Load.V > 0) {
		if !p.Rated.Required {
			return l, fmt.Errorf("part %s: its rating is not known; give the working load (rated) in your catalogue", p.ID)
		}
		l.Note = "whatever is used must be rated for this working load"
		return l, nil
	}
	if p.Rated.Required {
		l.Note = "whatever is used must be rated for the limit as a working load"
	}
	return l.Check(float64(p.Rated.Load.V), "rating"), nil
}

// Guard checks a guardrail post: the working load at the top rail against the
// post's rating, and prints the moment at its foot, which its fixing must take.
// The whole load can stand at one post, so the pitch of posts (within what the
// rail itself can span) does not share it out.
func (s Settings) Guard(p *catalog.Part, pitch quantity.Length) (calc.Lines, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	if !(pitch > 0) || math.IsInf(float64(pitch), 0) {
		return nil, fmt.Errorf("guardrail posts need a pitch, not %.0f mm", float64(pitch)*1000)
	}
	load, height := osha1926.TopRail()
	if s.Basis == EU {
		load, height = edgeProtectionA()
	}
	demanded, err := s.demand(load, p, "a guardrail post")
	if err != nil {
		return nil, err
	}
	return calc.Lines{height, demanded,
		{Symbol: "M", Name: "moment at the foot of the post, working load, for its fixing", Formula: "F · h",
			Terms: []calc.Term{calc.Num("F", load.Value, calc.Force), calc.Num("h", height.Value, calc.Length)},
			Value: load.Value * height.Value, Kind: calc.Moment, Source: "statics", Evidence: calc.Derived,
			Note: "the clamp or socket of the post must be rated for this moment"},
		{Symbol: "M_t", Name: "bending of the top rail between posts, working load", Formula: "F · s / 4",
			Terms: []calc.Term{calc.Num("F", load.Value, calc.Force), calc.Num("s", pitch, calc.Length)},
			Value: load.Value * float64(pitch) / 4, Kind: calc.Moment, Source: "statics", Evidence: calc.Derived,
			Note: "the rail must be rated for this moment"},
	}, nil
}

// edgeProtectionA is the load and height of edge protection class A, EN 13374.
func edgeProtectionA() (load, height calc.Line) {
	const source = "EN 13374 class A"
	return calc.Line{Symbol: "F", Name: "force at the top of the guardrail", Value: 300, Kind: calc.Force, Source: source, Evidence: calc.Memory},
		calc.Line{Symbol: "h", Name: "height of the top rail", Value: 1.0, Kind: calc.Length, Source: source, Evidence: calc.Memory}
}
