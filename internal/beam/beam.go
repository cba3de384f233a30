// Package beam is pure mechanics: continuous beams on any supports. It knows
// no codes, no units and no parts; any consistent set of units does (the
// program uses N and m). Sagging moments and downward loads and deflections
// are positive; reactions are positive upward, pushing on the beam. The shear
// is the slope of the moment, V = dM/dx.
//
// Beams are slender (Euler-Bernoulli) and prismatic. The unknowns are the
// moments over the inner supports (the three-moment equation, widened to five
// where supports are springs), so a very stiff spring, a rigid support and two
// supports close together cost no accuracy. Between supports everything is an
// exact polynomial; no result is sampled.
package beam

import (
	"fmt"
	"math"
)

// Support holds the beam up at X. Stiffness 0 means rigid. PushOnly supports
// let go instead of pulling down.
type Support struct {
	X         float64
	Stiffness float64
	PushOnly  bool
}

// Load is a load between From and To whose intensity runs linearly from W1 to
// W2 (force per length), or, when To == From, a point load P.
type Load struct {
	From, To float64
	W1, W2   float64
	P        float64
}

// Beam is a prismatic beam from Start to End.
type Beam struct {
	Start, End float64
	EI         float64
	Supports   []Support // in order of X
}

// Side is the side of a point that a value belongs to.
type Side int

// The two sides of a point on the beam.
const (
	Left Side = iota
	Right
)

func (s Side) String() string {
	if s == Left {
		return "left"
	}
	return "right"
}

// Point makes a point load.
func Point(x, p float64) Load { return Load{From: x, To: x, P: p} }

// Uniform makes a load of even intensity.
func Uniform(from, to, w float64) Load { return Load{From: from, To: to, W1: w, W2: w} }

// same is the distance, as a part of the beam's length, under which two places
// are one: a joist that lies over a prop but for rounding lies over the prop.
const same = 1e-10

func finite(vs ...float64) bool {
	for _, v := range vs {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

func (b Beam) length() float64    { return b.End - b.Start }
func (b Beam) tolerance() float64 { return same * b.length() }

// check refuses a beam that cannot be solved, and returns where its supports
// act: at their X, pulled to a beam end that is the same place.
func (b Beam) check() ([]float64, error) {
	if !finite(b.Start, b.End, b.EI, b.length()) {
		return nil, fmt.Errorf("beam: Start %g, End %g, EI %g: all must be finite numbers", b.Start, b.End, b.EI)
	}
	if b.length() <= 0 {
		return nil, fmt.Errorf("beam: it runs from %g to %g; End must lie beyond Start", b.Start, b.End)
	}
	if b.EI <= 0 {
		return nil, fmt.Errorf("beam: EI is %g; it must be positive", b.EI)
	}
	if len(b.Supports) < 2 {
		return nil, fmt.Errorf("beam: a mechanism: %d supports cannot hold a beam in place; give at least 2", len(b.Supports))
	}
	tol := b.tolerance()
	at := make([]float64, len(b.Supports))
	for i, s := range b.Supports {
		switch {
		case !finite(s.X) || math.IsNaN(s.Stiffness):
			return nil, fmt.Errorf("beam: support %d: X %g, Stiffness %g: not a number", i, s.X, s.Stiffness)
		case s.Stiffness < 0 || s.Stiffness > 0 && !finite(1/s.Stiffness):
			return nil, fmt.Errorf("beam: support %d at %g: Stiffness is %g; it must be positive, or 0 for rigid", i, s.X, s.Stiffness)
		case s.X < b.Start-tol || s.X > b.End+tol:
			return nil, fmt.Errorf("beam: support %d at %g is off the beam, which runs from %g to %g", i, s.X, b.Start, b.End)
		}
		at[i] = snap(s.X, tol, b.Start, b.End)
		if i > 0 && at[i]-at[i-1] <= tol {
			return nil, fmt.Errorf("beam: supports %d at %g and %d at %g: they must be at different places, in order of X",
				i-1, b.Supports[i-1].X, i, s.X)
		}
	}
	return at, nil
}

// snap moves x to the first of the places that is nearer than tol.
func snap(x, tol float64, places ...float64) float64 {
	for _, p := range places {
		if math.Abs(x-p) <= tol {
			return p
		}
	}
	return x
}

// compliance is how far the support yields under a unit force.
func (s Support) compliance() float64 {
	if s.Stiffness == 0 {
		return 0
	}
	return 1 / s.Stiffness
}
