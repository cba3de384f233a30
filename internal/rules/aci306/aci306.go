// Package aci306 holds the rules of ACI 306R on cold weather: when it is cold,
// how warm concrete is kept and for how long.
package aci306

import (
	"fmt"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const source = "ACI 306R-16 "

// ColdBelow is the air temperature, 40 °F, that makes weather cold when it has
// come to or is expected in the time of protection. Definitions, from memory.
var ColdBelow = quantity.Fahrenheit(40)

// SlowBelow is the temperature, 50 °F (10 °C), under which hours do not count
// toward the stripping times of ACI 347R.
var SlowBelow = quantity.Fahrenheit(50)

// FrostStrength is what concrete needs before it may freeze once, 500 psi (3.5
// MPa). Read in PCA, Design and Control of Concrete Mixtures.
func FrostStrength() calc.Line {
	return calc.Line{Symbol: "f'_frost", Name: "strength before the concrete may freeze once", Value: float64(500 * quantity.PSI), Kind: calc.Stress,
		Source: "PCA, Design and Control of Concrete Mixtures, ch. 14", Evidence: calc.Read}
}

// section rows of Table 5.1, by least size of the section: kept at least so warm,
// cooling at most so much in 24 h after protection (°F).
var sections = []struct {
	under quantity.Length
	warm  float64
	drop  float64
}{{12 * quantity.Inch, 55, 50}, {36 * quantity.Inch, 50, 40}, {72 * quantity.Inch, 45, 30}, {1e9, 40, 20}}

// PlacingTemperature is the least concrete temperature as placed and kept for a
// section of a least size. Table 5.1, from memory.
func PlacingTemperature(size quantity.Length) (quantity.Temperature, calc.Line) {
	row := sections[len(sections)-1]
	for _, s := range sections {
		if size < s.under {
			row = s
			break
		}
	}
	t := quantity.Fahrenheit(row.warm)
	return t, calc.Line{Symbol: "T_min", Name: "least concrete temperature as placed and kept, °C", Value: float64(t), Source: source + "Table 5.1", Evidence: calc.Memory}
}

// TemperatureDrop is the most that the concrete may cool in 24 h once protection
// ends, in °C (a difference). Table 5.1, from memory.
func TemperatureDrop(size quantity.Length) calc.Line {
	drop := sections[len(sections)-1].drop
	for _, s := range sections {
		if size < s.under {
			drop = s.drop
			break
		}
	}
	return calc.Line{Symbol: "ΔT", Name: "most cooling in 24 h after protection, °C", Value: drop / 1.8, Source: source + "Table 5.1", Evidence: calc.Memory}
}

// Service is the load and exposure that concrete gets in the cold.
type Service int

// Kinds of service of Table 7.1.
const (
	NoLoadCovered Service = iota // no load, not exposed
	NoLoadExposed
	PartialLoad
	FullLoad
)

// Protection is for how long concrete is kept warm, with normal or accelerated
// set. Full load has no time: it goes by the strength found. Table 7.1, from memory.
func Protection(s Service, accelerated bool) (calc.Line, error) {
	days := map[Service][2]float64{NoLoadCovered: {2, 1}, NoLoadExposed: {3, 2}, PartialLoad: {6, 4}}
	d, ok := days[s]
	if !ok {
		return calc.Line{}, fmt.Errorf("concrete that carries full load in the cold is protected until tests show the strength that stripping needs, ACI 306R: no number of days is given")
	}
	v := d[0]
	if accelerated {
		v = d[1]
	}
	return calc.Line{Symbol: "t_p", Name: "time of protection, days", Value: v, Source: source + "Table 7.1", Evidence: calc.Memory}, nil
}
