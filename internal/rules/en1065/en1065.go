// Package en1065 gives the nominal strength of adjustable telescopic steel
// props by their class in EN 1065:1998. The class formulas are from memory of
// clause 8 and agree with every figure that was read; E at 51 kN and A25 at
// 20.4 kN were read.
package en1065

import (
	"fmt"
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

const source = "EN 1065:1998 "

// class of prop: N_k = slope l_max/l^2 up to top, or top at every extension.
type class struct {
	slope   float64        // kN·m, 0 for a strength that does not depend on the extension
	top     quantity.Force //
	longest quantity.Length
}

var classes = map[string]class{
	"A": {51, 44.0 * quantity.Kilonewton, 4.0},
	"B": {68, 51.0 * quantity.Kilonewton, 5.5},
	"C": {102, 59.5 * quantity.Kilonewton, 5.5},
	"D": {0, 34.0 * quantity.Kilonewton, 5.5},
	"E": {0, 51.0 * quantity.Kilonewton, 5.5},
}

const (
	shortestLongest quantity.Length = 2.5 // props are 2.5 m long at least when fully extended
	lengthStep      quantity.Length = 0.5
	tolerance                       = quantity.Millimetre
)

// NominalStrength is R_y,k of a prop of a class with longest extension lmax,
// at extension l. It holds no margin for use on site. Clause 8.
func NominalStrength(name string, lmax, l quantity.Length) (calc.Line, error) {
	c, ok := classes[name]
	if !ok {
		return calc.Line{}, fmt.Errorf("prop class %q is not in EN 1065: A, B, C, D or E", name)
	}
	if !listed(c, lmax) {
		return calc.Line{}, fmt.Errorf("class %s has no prop of %.2f m longest extension: %.1f to %.1f m in steps of %.1f m", name, lmax, shortestLongest, c.longest, lengthStep)
	}
	if !(l > 0 && l <= lmax+tolerance) {
		return calc.Line{}, fmt.Errorf("extension %.3f m is not within the prop's longest extension %.3f m: take a longer prop", l, lmax)
	}
	line := calc.Line{Symbol: "R_yk", Name: "nominal strength of a class " + name + " prop at its extension", Kind: calc.Force,
		Source: source + "clause 8", Evidence: calc.Memory}
	top := calc.Num("R_max", c.top, calc.Force)
	if c.slope == 0 {
		line.Formula, line.Terms, line.Value = "R_max", []calc.Term{top}, float64(c.top)
		line.Evidence = calc.ReadWeak
		line.Note = "the same at every extension"
		return line, nil
	}
	slope := c.slope * 1e3 // N·m
	line.Formula = "min(k · l_max / l², R_max)"
	line.Terms = []calc.Term{calc.Num("k", slope, calc.Moment), calc.Num("l_max", lmax, calc.Length), calc.Num("l", l, calc.Length), top}
	line.Value = math.Min(slope*float64(lmax)/math.Pow(float64(l), 2), float64(c.top))
	return line, nil
}

func listed(c class, lmax quantity.Length) bool {
	if !(lmax >= shortestLongest-tolerance && lmax <= c.longest+tolerance) {
		return false
	}
	steps := float64(lmax / lengthStep)
	return math.Abs(steps-math.Round(steps))*float64(lengthStep) <= float64(tolerance)
}

// Tube is the section of a round tube.
type Tube struct {
	Area    float64 // m2
	Inertia float64 // m4
	Radius  float64 // of gyration, m
}

// TubeSection of outside diameter D and wall t: geometry only. One tube's Euler
// load does not give the strength of a prop; use the class formula.
func TubeSection(d, t quantity.Length) Tube {
	out, in := float64(d), float64(d-2*t)
	a := math.Pi / 4 * (out*out - in*in)
	i := math.Pi / 64 * (math.Pow(out, 4) - math.Pow(in, 4))
	return Tube{a, i, math.Sqrt(i / a)}
}
