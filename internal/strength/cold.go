package strength

import (
	"time"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
	"shoreward/internal/rules/aci306"
)

// Spell of time.
type Spell struct {
	From, To time.Time
	Lowest   quantity.Temperature
	FromRow  int
}

// Cold spells of readings: from the first reading under a temperature to the first
// at it or over it again.
func Cold(readings []Reading, below quantity.Temperature) []Spell {
	var out []Spell
	open := false
	for _, r := range readings {
		if r.T >= below {
			if open {
				out[len(out)-1].To = r.At
			}
			open = false
			continue
		}
		if !open {
			out = append(out, Spell{From: r.At, Lowest: r.T, FromRow: r.Row})
			open = true
		}
		s := &out[len(out)-1]
		s.To, s.Lowest = r.At, min(s.Lowest, r.T)
	}
	return out
}

// ColdWeather is the air's cold spells by ACI 306R, under 40 °F.
func ColdWeather(air []Reading) []Spell { return Cold(air, aci306.ColdBelow) }

// CountedTime is the time that counts toward the stripping times of ACI 347R: with
// both ends of an interval at 50 °F or more and none of it a gap.
func CountedTime(readings []Reading, placed time.Time, mostGap quantity.Duration) quantity.Duration {
	sum := quantity.Duration(0)
	for i := 1; i < len(readings); i++ {
		a, b := readings[i-1], readings[i]
		from := a.At
		if from.Before(placed) {
			from = placed
		}
		whole := quantity.Duration(b.At.Sub(a.At).Hours())
		if part := quantity.Duration(b.At.Sub(from).Hours()); part > 0 && whole <= mostGap && a.T >= aci306.SlowBelow && b.T >= aci306.SlowBelow {
			sum += part
		}
	}
	return sum
}

// Frozen is the first reading at or under freezing before the concrete had the
// strength to freeze once: after it no maturity can be relied on, and strength is
// told by tests of the concrete itself. strength gives it by the history's points.
func Frozen(readings []Reading, placed time.Time, strength func(at time.Time) quantity.Stress) (Reading, calc.Line, bool) {
	need := aci306.FrostStrength()
	for _, r := range readings {
		if !r.At.Before(placed) && r.T <= quantity.FreezingPoint && float64(strength(r.At)) < need.Value {
			return r, need, true
		}
	}
	return Reading{}, need, false
}
