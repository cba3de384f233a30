package rules

import (
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

// Decks under soffits that fall.

// SteepestFall is the slope up to which a soffit is planned and proven, 1 in 8: fresh
// concrete of a low slump stays on it without a form over it, wedges on heads do not
// slide, and what members lean by is small against their width. Common practice, no source.
const SteepestFall = 1.0 / 8

// Slopes of a soffit, as its fall over its run. Common practice, no source.
const (
	TaperFrom   = 0.01     // from here a head takes no sloping member without a wedge cut to the slope
	TopFormFrom = 1.0 / 12 // from here fresh concrete may need a form over its top
)

// FallPush is what a deck under a soffit that falls may push sideways, and what its
// ties and braces take on top of the lateral load. Loads are plumb and so are
// props: where every member is wedged tight nothing is pushed. Where the members slid on
// their seats without friction each seat would press square to the slope, and the deck would be
// pushed down it by its weight times the slope: that much is taken. weight is all
// that the deck carries, unfactored, and slope that along the direction looked at.
func FallPush(weight quantity.Force, slope float64) calc.Line {
	slope = math.Abs(slope)
	return calc.Line{Symbol: "H_s", Name: "push down the slope i, as if nothing but ties and braces held the deck on its wedges", Formula: "W · i",
		Terms: []calc.Term{calc.Num("W", weight, calc.Force), {Sym: "i", Val: slope}}, Value: float64(weight) * slope, Kind: calc.Force,
		Source: "statics, without friction", Evidence: calc.Derived}
}

// Lean is how far the load of a member that leans with the slope across it passes
// from the middle of its foot, held against a quarter of its width: it tips at a
// half. depth and width are its section, slope that
// across it.
func Lean(depth, width quantity.Length, slope float64) calc.Line {
	slope = math.Abs(slope)
	return calc.Line{Symbol: "e", Name: "distance of the load of a member that leans by the slope i across it from the middle of its foot", Formula: "h · i",
		Terms: []calc.Term{calc.Num("h", depth, calc.Length), {Sym: "i", Val: slope}, calc.Num("b", width, calc.Length)},
		Value: float64(depth) * slope, Kind: calc.Length, Source: "statics; limit: the middle half of its foot", Evidence: calc.Practice}.Check(float64(width)/4, "b / 4")
}

// TaperReach is the rise of a slope over half a seat: a wedge on a head is at least so
// thick over its middle. long and wide are the seat along and across the member.
func TaperReach(long, wide quantity.Length, along, across float64) quantity.Length {
	return long/2*quantity.Length(math.Abs(along)) + wide/2*quantity.Length(math.Abs(across))
}
