// Package flatslab holds the criterion of Beeby for loading young flat slabs and
// the shares of load through backprops of the British guides to flat slab
// formwork and falsework, for slabs up to 350 mm, struck and carrying themselves
// before the next load comes.
package flatslab

import (
	"fmt"
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const (
	criterion = "Beeby, Criteria for the loading of slabs during construction (2001)"
	guide     = "Guide to flat slab formwork and falsework, Method One"
)

// MostThickness of slabs that the shares were found for.
const MostThickness = 350 * quantity.Millimetre

// StrikingStrength is the cube strength at which a slab designed for w_ser may
// carry w, from w/w_ser <= (f_c/f_cu)^0.6, both loads without factors: a limit of
// cracking and deflection, not of safety. Over w_ser it asks for more than f_cu:
// that is for the designer to judge. The inequality is from memory.
func StrikingStrength(w, service, fcu quantity.Stress) calc.Line {
	return calc.Line{Symbol: "f_c", Name: "cube strength needed", Formula: "f_cu · (w / w_ser)^(1 / 0.6)", Kind: calc.Stress,
		Terms: []calc.Term{calc.Num("f_cu", fcu, calc.Stress), calc.Num("w", w, calc.Pressure), calc.Num("w_ser", service, calc.Pressure)},
		Value: float64(fcu) * math.Pow(float64(w/service), 1/0.6), Source: criterion, Evidence: calc.Memory}
}

// Shares of a load on the slab under the falsework with one or two levels of
// backprops: of the slabs from the top down. 70/30 was read in a site calculation,
// 65/23/12 is from memory.
func Shares(backprops int) ([]calc.Line, error) {
	share, evidence := []float64(nil), calc.ReadWeak
	switch backprops {
	case 1:
		share = []float64{0.70, 0.30}
	case 2:
		share, evidence = []float64{0.65, 0.23, 0.12}, calc.Memory
	default:
		return nil, fmt.Errorf("%d levels of backprops: the guide gives shares for 1 and 2", backprops)
	}
	var out []calc.Line
	for i, v := range share {
		out = append(out, calc.Line{Symbol: fmt.Sprintf("k_%d", i+1), Name: fmt.Sprintf("share of slab %d from the top", i+1), Value: v, Source: guide, Evidence: evidence})
	}
	return out, nil
}
