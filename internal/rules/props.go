package rules

import (
	"fmt"

	"shoreward/internal/calc"
	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
	"shoreward/internal/rules/ec5"
	"shoreward/internal/rules/en1065"
	"shoreward/internal/rules/en12812"
	"shoreward/internal/rules/nds"
	"shoreward/internal/rules/osha1926"
)

// Prop is the load that a prop carries at its extension: an EN 1065 prop by its
// class, a shore by the rating of its supplier, or a timber post as a column
// pinned at both ends.
func (s Settings) Prop(p *catalog.Part, extension quantity.Length) (quantity.Force, calc.Lines, error) {
	if err := s.check(); err != nil {
		return 0, nil, err
	}
	if p == nil {
		return 0, nil, s.lacks(p, "a prop", "")
	}
	var lines calc.Lines
	var err error
	switch {
	case s.Basis == US && rated(p): // the supplier's working load before the standard's class
		lines, err = s.ratedShore(p, extension)
	case p.Shore != nil && p.Shore.Class != "":
		lines, err = s.steelProp(p, extension)
	case p.Shore != nil || p.Rated != nil:
		lines, err = s.ratedShore(p, extension)
	case s.Basis == US && p.NDS != nil:
		lines, err = s.ndsPost(p, extension)
	case s.Basis == EU && p.EC5 != nil:
		lines, err = s.ec5Post(p, extension)
	default:
		err = s.lacks(p, "prop class, rating or timber values", "prop, rated, nds or ec5_timber")
	}
	if err != nil {
		return 0, nil, err
	}
	return quantity.Force(lines[len(lines)-1].Value), lines, nil
}

// rated tells whether the part has a rating that is a capacity, not a demand.
func rated(p *catalog.Part) bool {
	return p.Rated != nil && !p.Rated.Required && p.Rated.Load.Known
}

// inRange refuses an extension that the prop cannot be set to.
func inRange(p *catalog.Part, l, shortest, longest quantity.Length) error {
	const slack = quantity.Millimetre
	if !(l >= shortest-slack && l <= longest+slack) {
		return fmt.Errorf("part %s: extension %.3f m is outside its range of %.3f to %.3f m; choose another prop or pack its foot", p.ID, l, shortest, longest)
	}
	return nil
}

// extensionRange reads the range of a prop and refuses an extension outside it.
func (s Settings) extensionRange(p *catalog.Part, extension quantity.Length) (calc.Lines, quantity.Length, error) {
	if p.Shore == nil {
		return nil, 0, s.lacks(p, "extension range", "its shortest and longest length under prop")
	}
	r := s.read(p)
	longest := take(r, p.Shore.Longest, "l_max", "longest extension", calc.Length)
	shortest := take(r, p.Shore.Shortest, "l_min", "shortest extension", calc.Length)
	if err := r.err(); err != nil {
		return nil, 0, err
	}
	return r.lines, longest, inRange(p, extension, shortest, longest)
}

func (s Settings) steelProp(p *catalog.Part, extension quantity.Length) (calc.Lines, error) {
	lines, longest, err := s.extensionRange(p, extension)
	if err != nil {
		return nil, err
	}
	nominal, err := en1065.NominalStrength(p.Shore.Class, longest, extension)
	if err != nil {
		return nil, wrong(p, err)
	}
	return append(lines, nominal, s.propResistance(quantity.Force(nominal.Value))), nil
}

// propResistance turns the nominal strength of a steel prop into a working load
// (us) or a design resistance (eu).
func (s Settings) propResistance(nominal quantity.Force) calc.Line {
	strength := calc.Num("R_yk", nominal, calc.Force)
	if s.Basis == US {
		return calc.Line{Symbol: "P_w", Name: "working load of the prop", Formula: "R_yk / n",
			Terms: []calc.Term{strength, calc.Num("n", s.PropDivisor, calc.Plain)},
			Value: float64(nominal) / s.PropDivisor, Kind: calc.Force, Source: "older national rule behind EN 1065, divisor 1.7", Evidence: calc.ReadWeak,
			Note: "no supplier's rating in the catalogue: nominal strength over the divisor of the job"}
	}
	l := calc.Line{Symbol: "R_d", Name: "design resistance of the prop", Formula: "R_yk / γ_M",
		Terms: []calc.Term{strength, calc.Num("γ_M", en12812.GammaSteel, calc.Plain)},
		Value: float64(nominal) / en12812.GammaSteel, Kind: calc.Force, Source: "EN 12812:2008 9.2.2.1", Evidence: calc.Memory}
	if s.ClassB2 {
		l.Formula = "R_yk / (γ_M · γ_B2)"
		l.Terms = append(l.Terms, calc.Num("γ_B2", en12812.ClassB2, calc.Plain))
		l.Value /= en12812.ClassB2
	}
	return l
}

// ratedShore is a shore that only its supplier's rating covers. The rating
// means nothing without the factor it holds on ultimate.
func (s Settings) ratedShore(p *catalog.Part, extension quantity.Length) (calc.Lines, error) {
	if !rated(p) {
		return nil, fmt.Errorf("part %s: the shore has no rating; give the supplier's working load with its factor on ultimate (rated) in your catalogue", p.ID)
	}
	lines, _, err := s.extensionRange(p, extension)
	if err != nil {
		return nil, err
	}
	r := s.read(p)
	load := take(r, p.Rated.Load, "P_s", "working load rated by the supplier", calc.Force)
	factor := float64(take(r, p.Rated.Factor, "n", "factor of the rating on ultimate", calc.Plain))
	if err := r.err(); err != nil {
		return nil, err
	}
	if factor < 1 {
		return nil, fmt.Errorf("part %s: a rating with factor %g on ultimate is above its own ultimate load; give the working load", p.ID, factor)
	}
	out := s.workingRating("P_w", "load the shore may carry", load, p.Rated.Load)
	if factor < osha1926.TestedShoreFactor {
		out.Note = fmt.Sprintf("factor %.2g on ultimate is below the %.1f that WAC 296-155-687(9) asks of tested single-post shores", factor, osha1926.TestedShoreFactor)
	}
	return append(append(lines, r.lines...), out), nil
}

// workingRating is a rated working load in the sense of the basis.
func (s Settings) workingRating(sym, name string, load quantity.Force, v catalog.Value[quantity.Force]) calc.Line {
	l := calc.Line{Symbol: sym, Name: name, Formula: "P_s", Terms: []calc.Term{calc.Num("P_s", load, calc.Force)},
		Value: float64(load), Kind: calc.Force, Source: v.Source, Evidence: v.Evidence}
	if s.Basis == EU {
		l.Formula = "γ_Q1 · P_s"
		l.Terms = append(l.Terms, calc.Num("γ_Q1", en12812.GammaPermanent, calc.Plain))
		l.Value *= s.fromWorking()
		l.Note = "a working load set against factored loads: times the smallest load factor"
	}
	return l
}

// cutFrom refuses a post longer than the stock it is cut from.
func cutFrom(p *catalog.Part, extension quantity.Length) error {
	if p.Length.Known && extension > p.Length.V+quantity.Millimetre {
		return fmt.Errorf("part %s: a post of %.3f m cannot be cut from its %.3f m; choose a longer stock length", p.ID, extension, p.Length.V)
	}
	return nil
}

func (s Settings) ndsPost(p *catalog.Part, extension quantity.Length) (calc.Lines, error) {
	m, lines, err := s.ndsMember(p)
	if err != nil {
		return nil, err
	}
	if err := cutFrom(p, extension); err != nil {
		return nil, err
	}
	column, err := nds.ColumnStrength(m, nds.Conditions{Duration: s.LoadDurationPosts, Wet: s.WetService}, extension)
	if err != nil {
		return nil, wrong(p, err)
	}
	return append(lines, column...), nil
}

func (s Settings) ec5Post(p *catalog.Part, extension quantity.Length) (calc.Lines, error) {
	t, err := s.ec5Read(p)
	if err != nil {
		return nil, err
	}
	if err := cutFrom(p, extension); err != nil {
		return nil, err
	}
	d := min(t.b, t.h)
	if !(extension > 0) {
		return nil, fmt.Errorf("part %s: a post must have a length, not %.1f mm", p.ID, float64(extension)*1000)
	}
	if float64(extension/d) > ec5.MaxSlenderness {
		return nil, fmt.Errorf("part %s: slenderness l/d = %.1f of the post is over %d; brace it both ways or take a thicker or shorter one", p.ID, float64(extension/d), ec5.MaxSlenderness)
	}
	buckling := ec5.ColumnStability(t.fc0, t.e005, extension, d)
	kc := buckling[len(buckling)-1]
	fc := t.material.Design("f_c0", "design compression strength", t.fc0)
	lines := append(t.lines, buckling...)
	return append(lines, fc, calc.Line{Symbol: "N_R", Name: "design load the post may carry", Formula: "k_c · f_c0_d · b · h",
		Terms: []calc.Term{calc.Num("k_c", kc.Value, calc.Plain), calc.Num("f_c0_d", fc.Value, calc.Stress),
			calc.Num("b", t.b, calc.Length), calc.Num("h", t.h, calc.Length)},
		Value: kc.Value * fc.Value * float64(t.b*t.h), Kind: calc.Force, Source: "EN 1995-1-1 6.3.2", Evidence: calc.Read}), nil
}
