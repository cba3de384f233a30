// Package strength tells how strong and stiff young concrete is: by age from
// the growth curves of the standards, by maturity from a temperature log and the
// cylinders of the job's own mix, and what a slab may carry at that strength.
//
// Where evidence is thin it takes the lower figure: a strength never passes the
// specified one, a log's gap adds no maturity, the coldest sensor counts, a
// calibration is read at its lower bound and not beyond what was tested.
package strength

import (
	"fmt"
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
	"shoreward/internal/rules/aci209"
	"shoreward/internal/rules/en1992"
	"shoreward/internal/rules/mc2010"
)

// Gain is how a concrete grows to its specified strength with age at about 20 °C:
// a curve for planning. What is struck is struck on tests.
type Gain struct {
	Name     string
	Full     quantity.Stress // specified strength at 28 days
	strength func(age quantity.Duration) (calc.Line, error)
	modulus  func(age quantity.Duration) calc.Line
}

// ACI209 is the curve of ACI 209R for a specified strength f'c.
func ACI209(c aci209.Constants, fc quantity.Stress) (Gain, error) {
	if err := full(fc); err != nil {
		return Gain{}, err
	}
	return Gain{Name: "ACI 209R, " + c.Name, Full: fc,
		strength: func(age quantity.Duration) (calc.Line, error) { return capped(aci209.Ratio(c, age), "f'_c", fc), nil },
		modulus:  func(age quantity.Duration) calc.Line { return aci209.ModulusRatio(c, age) }}, nil
}

// EN1992 is the curve of EN 1992-1-1 for a characteristic strength and a cement
// class R, N or S: f_ck(t), which up to 3 days comes from tests only.
func EN1992(class string, fck quantity.Stress) (Gain, error) {
	s, err := en1992.Coefficient(class)
	if err == nil {
		err = full(fck)
	}
	return Gain{Name: "EN 1992-1-1, cement class " + class, Full: fck,
		strength: func(age quantity.Duration) (calc.Line, error) {
			return en1992.CharacteristicStrength(fck, s.Value, age)
		},
		modulus: func(age quantity.Duration) calc.Line { return en1992.ModulusRatio(s.Value, age) }}, err
}

// MC2010 is the curve of fib MC2010 for a characteristic strength and a cement by
// its strength class, such as 42.5 R. It gives mean strengths; taken here is their
// part of the full one, less the margin between mean and characteristic, as EN 1992
// has it.
func MC2010(cement string, fck quantity.Stress) (Gain, error) {
	s, err := mc2010.Coefficient(cement, fck+8*quantity.Megapascal)
	if err == nil {
		err = full(fck)
	}
	return Gain{Name: "fib MC2010, cement " + cement, Full: fck,
		strength: func(age quantity.Duration) (calc.Line, error) {
			l := mc2010.Growth(s.Value, age)
			mean := en1992.MeanStrength(fck, l.Value)
			v := math.Min(math.Max(mean.Value-float64(8*quantity.Megapascal), 0), float64(fck))
			return calc.Line{Symbol: "f_ck,t", Name: "characteristic strength at this age", Formula: "max(β_cc · (f_ck + Δf) - Δf, 0)", Kind: calc.Stress,
				Terms: []calc.Term{{Sym: "β_cc", Val: l.Value}, calc.Num("f_ck", fck, calc.Stress), calc.Num("Δf", 8*quantity.Megapascal, calc.Stress)},
				Value: v, Source: l.Source + " with EN 1992-1-1 3.1.2(5)", Evidence: calc.Memory, Note: "no more than f_ck"}, nil
		},
		modulus: func(age quantity.Duration) calc.Line { return mc2010.ModulusRatio(s.Value, age) }}, err
}

func full(f quantity.Stress) error {
	if !(f > 0) || math.IsInf(float64(f), 0) {
		return fmt.Errorf("a specified strength of %s: give one above zero", f.Text(quantity.Metric))
	}
	return nil
}

// capped turns a ratio into a strength that is never more than the full one.
func capped(r calc.Line, sym string, f quantity.Stress) calc.Line {
	return calc.Line{Symbol: sym + ",t", Name: "strength at this age", Formula: "min(r, 1) · " + sym, Kind: calc.Stress,
		Terms: []calc.Term{{Sym: "r", Val: r.Value}, calc.Num(sym, f, calc.Stress)},
		Value: math.Min(r.Value, 1) * float64(f), Source: r.Source, Evidence: r.Evidence, Note: "never more than the specified strength"}
}

// Strength at an age, never more than specified. The age is the equivalent one
// where the concrete was not at about 20 °C.
func (g Gain) Strength(age quantity.Duration) (calc.Line, error) {
	if !(age > 0) {
		return calc.Line{}, fmt.Errorf("concrete of age %s has no strength", age.Text())
	}
	return g.strength(age)
}

// Modulus is the part of the modulus of elasticity at 28 days that an age has.
func (g Gain) Modulus(age quantity.Duration) calc.Line { return g.modulus(age) }

// mostAge that is looked at.
const mostAge = quantity.Duration(24 * 365)

// AgeAt is the least whole hour from which the strength is s or more.
func (g Gain) AgeAt(s quantity.Stress) (quantity.Duration, error) {
	if s > g.Full {
		return 0, fmt.Errorf("%s is more than the specified %s: no age is enough", s.Text(quantity.Metric), g.Full.Text(quantity.Metric))
	}
	has := func(hours int) bool {
		l, err := g.Strength(quantity.Duration(hours))
		return err == nil && l.Value >= float64(s)*(1-1e-12)
	}
	low, high := 0, int(mostAge)
	if !has(high) {
		return 0, fmt.Errorf("%s is not reached in a year", s.Text(quantity.Metric))
	}
	for high-low > 1 { // strengths only grow
		if mid := (low + high) / 2; has(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return quantity.Duration(high), nil
}
