package aci347

import (
	"fmt"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

// Element that forms are stripped from.
type Element int

// Elements of the table of stripping times.
const (
	BeamSoffit Element = iota // joists, beams, girders
	FloorSlab                 // one way, between permanent supports
)

// StrippingTime is how long forms stay where no strength is tested or specified, in
// days at 50 °F (10 °C) and more: hours below that do not count. A span of
// just 10 ft or 20 ft is in the middle row. Two-way slabs depend on reshoring: they
// have no time. 5.7.2.3; the table was read second hand.
func StrippingTime(e Element, span quantity.Length, liveOverDead bool) (calc.Line, error) {
	table := map[Element][3][2]float64{
		BeamSoffit: {{7, 4}, {14, 7}, {21, 14}},
		FloorSlab:  {{4, 3}, {7, 4}, {10, 7}},
	}
	rows, ok := table[e]
	if !ok || !(span > 0) {
		return calc.Line{}, fmt.Errorf("element %d with a clear span of %s has no stripping time: a beam or a one-way slab with a span is needed", e, span.Text(quantity.Metric))
	}
	row := rows[0]
	switch {
	case span > 20*quantity.Foot:
		row = rows[2]
	case span >= 10*quantity.Foot:
		row = rows[1]
	}
	v := row[0]
	if liveOverDead {
		v = row[1]
	}
	return calc.Line{Symbol: "t_s", Name: "time before stripping, days at 10 °C and more", Value: v, Source: source + "5.7.2.3", Evidence: calc.ReadWeak,
		Note: "only where no strength is specified or tested"}, nil
}
