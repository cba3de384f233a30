package rules

import (
	"fmt"
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
	"shoreward/internal/rules/ec5"
	"shoreward/internal/rules/nds"
)

// Bearing is the force that a part takes across its grain on a contact. A
// prefabricated beam gives its rated support reaction, whatever the contact.
func (s Settings) Bearing(pressed *catalog.Part, seat Seat) (quantity.Force, calc.Lines, error) {
	if err := s.check(); err != nil {
		return 0, nil, err
	}
	if !(seat.Long > 0 && seat.Wide > 0 && seat.FromEnd >= 0) || math.IsInf(float64(seat.Long+seat.Wide), 0) {
		return 0, nil, fmt.Errorf("a contact of %.1f x %.1f mm, %.1f mm from the end, cannot bear: give its length and width", float64(seat.Long)*1000, float64(seat.Wide)*1000, float64(seat.FromEnd)*1000)
	}
	var lines calc.Lines
	var err error
	switch {
	case pressed == nil:
		err = s.lacks(pressed, "a part that is pressed", "")
	case pressed.IBeam != nil:
		lines, err = s.ratedReaction(pressed)
	case s.Basis == US && pressed.NDS != nil:
		lines, err = s.ndsBearing(pressed, seat)
	case s.Basis == EU && pressed.EC5 != nil:
		lines, err = s.ec5Bearing(pressed, seat)
	default:
		err = s.lacks(pressed, "strength across the grain", "values under nds or ec5_timber")
	}
	if err != nil {
		return 0, nil, err
	}
	return quantity.Force(lines[len(lines)-1].Value), lines, nil
}

// ratedReaction gives the reaction last, after what it was found from.
func (s Settings) ratedReaction(p *catalog.Part) (calc.Lines, error) {
	r, err := s.formworkBeam(p)
	return r.Lines, err // its last line is the reaction
}

func (s Settings) ndsBearing(p *catalog.Part, seat Seat) (calc.Lines, error) {
	m, lines, err := s.ndsMember(p)
	if err != nil {
		return nil, err
	}
	bearing, err := nds.BearingStrength(m, s.WetService, seat.Long, min(seat.Wide, m.B), seat.FromEnd)
	if err != nil {
		return nil, wrong(p, err)
	}
	return append(lines, bearing...), nil
}

// ec5Bearing uses the longer effective contact of 6.1.5 but k_c,90 = 1: the
// larger values need a clear distance between contacts that is not known here.
func (s Settings) ec5Bearing(p *catalog.Part, seat Seat) (calc.Lines, error) {
	t, err := s.ec5Read(p)
	if err != nil {
		return nil, err
	}
	f := t.material.Design("f_c90", "design compression strength across the grain", t.fc90)
	lef := ec5.ContactLength(seat.Long, seat.FromEnd)
	force := ec5.ContactResistance(1, quantity.Stress(f.Value), min(seat.Wide, t.b), quantity.Length(lef.Value))
	return append(t.lines, f, lef, force), nil
}

// Sill checks what spreads a prop's load (in the sense of AreaLoad's strength
// values) on the ground: the prop's end plate, a square, pressed into the sill,
// and the ground under that length of the sill that its bending and shear can
// reach. The prop stands at the middle of a sill laid flat.
func (s Settings) Sill(p *catalog.Part, load quantity.Force, plate quantity.Length) (calc.Lines, error) {
	if !(load >= 0) || !(plate > 0) {
		return nil, fmt.Errorf("a sill needs a load and a plate size, not %.1f N on %.1f mm", float64(load), float64(plate)*1000)
	}
	if p != nil && p.IBeam != nil {
		return nil, fmt.Errorf("part %s: a prefabricated beam is no sill; choose solid timber laid flat", p.ID)
	}
	r, err := s.Beam(p, Context{})
	if err != nil {
		return nil, err
	}
	if !p.Length.Known || !p.Width.Known || !(p.Length.V >= plate) {
		return nil, fmt.Errorf("part %s: a sill needs a length and width, and must be longer than the %.0f mm plate on it", p.ID, float64(plate)*1000)
	}
	seat := Seat{Long: plate, Wide: min(plate, p.Width.V), FromEnd: (p.Length.V - plate) / 2}
	bearing, lines, err := s.Bearing(p, seat)
	if err != nil {
		return nil, err
	}
	ground := s.GroundBearing * quantity.Stress(s.fromWorking())
	allowed := calc.Line{Symbol: "q_a", Name: "pressure the ground may take", Value: float64(ground), Kind: calc.Pressure,
		Source: "24 CFR 3285.202(e) without soil data, or setting of the job", Evidence: calc.Chosen}
	if s.Basis == EU {
		allowed.Note = "allowable pressure times 1.35, against factored loads"
	}
	reach := sillReach(r, ground, p.Width.V)
	length := min(p.Length.V, plate+2*reach)
	onGround := calc.Line{Symbol: "q", Name: "pressure on the ground under the working length of the sill", Formula: "P / (b · l_w)",
		Terms: []calc.Term{calc.Num("P", load, calc.Force), calc.Num("b", p.Width.V, calc.Length), calc.Num("l_w", length, calc.Length)},
		Value: float64(load) / float64(p.Width.V*length), Kind: calc.Pressure, Source: "statics", Evidence: calc.Derived,
		Note: "working length: the plate and the overhang that bending and shear of the sill allow, at most the whole sill"}
	onSill := calc.Line{Symbol: "P", Name: "prop load on the sill across the grain", Formula: "P",
		Terms: []calc.Term{calc.Num("P", load, calc.Force)}, Value: float64(load), Kind: calc.Force, Source: "load path", Evidence: calc.Derived}
	return append(lines, onSill.Check(float64(bearing), "R_r"), allowed,
		calc.Line{Symbol: "c", Name: "overhang that the sill can carry under full ground pressure", Formula: "min(sqrt(2 · M_r / (q_a · b)), V_r / (q_a · b))",
			Terms: []calc.Term{calc.Num("M_r", r.Moment, calc.Moment), calc.Num("V_r", r.Shear, calc.Force),
				calc.Num("q_a", ground, calc.Pressure), calc.Num("b", p.Width.V, calc.Length)},
			Value: float64(reach), Kind: calc.Length, Source: "statics", Evidence: calc.Derived},
		onGround.Check(float64(ground), "q_a")), nil
}

// sillReach is the overhang c past the plate that a sill carries under the
// ground pressure q: q b c^2/2 <= M and q b c <= V.
func sillReach(r BeamResistance, q quantity.Stress, b quantity.Length) quantity.Length {
	w := float64(q) * float64(b)
	return quantity.Length(min(math.Sqrt(2*float64(r.Moment)/w), float64(r.Shear)/w))
}
