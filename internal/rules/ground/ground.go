// Package ground gives presumptive bearing pressures of soils for sills where
// no soil report exists. Codes differ by a factor of two on gravel: the local code rules.
package ground

import (
	"fmt"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const ibc = "IBC 2012 Table 1806.2"

// pressures in psf by kind of ground.
var pressures = map[string]struct {
	psf    quantity.Stress
	source string
}{
	"bedrock":          {12000, ibc},
	"sedimentary rock": {4000, ibc},
	"sandy gravel":     {3000, ibc},
	"gravel":           {3000, ibc},
	"sand":             {2000, ibc},
	"silty sand":       {2000, ibc},
	"clayey sand":      {2000, ibc},
	"silty gravel":     {2000, ibc},
	"clayey gravel":    {2000, ibc},
	"clay":             {1500, ibc},
	"sandy clay":       {1500, ibc},
	"silty clay":       {1500, ibc},
	"silt":             {1500, ibc},
	"":                 {1500, "24 CFR 3285.202(e)"}, // no soil data
}

// Presumptive is the allowable pressure on a kind of ground; "" is ground
// without soil data. Mud, organic soil, peat and loose fill carry nothing and
// are refused like any kind that is not known.
func Presumptive(kind string) (calc.Line, error) {
	p, ok := pressures[kind]
	if !ok {
		return calc.Line{}, fmt.Errorf("no presumptive bearing pressure for ground %q: mud, organic soil, peat and unprepared fill carry nothing without soil data; give an allowable pressure from the engineer", kind)
	}
	return calc.Line{Symbol: "q_a", Name: "pressure the ground may take", Value: float64(p.psf * quantity.PSF), Kind: calc.Pressure, Source: p.source, Evidence: calc.Read}, nil
}
