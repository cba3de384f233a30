// Package beam is pure mechanics: continuous beams on any supports. It knows
// no codes, no units and no parts; any consistent set of units does (the
// program uses N and m). Sagging moments and downward loads and deflections
// are positive; reactions are positive upward, pushing on the beam.
package beam

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
