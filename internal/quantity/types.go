// Package quantity holds the physical quantities that cross package
// boundaries. Each type is a float64 in SI base units, so arithmetic needs no
// conversion; text in any trade unit is read and written at the edges only.
package quantity

// Quantities, all in SI.
type (
	Length     float64 // m
	Area       float64 // m2
	Volume     float64 // m3
	Force      float64 // N
	Moment     float64 // N·m
	Stress     float64 // Pa: material stress and load per area alike
	LineLoad   float64 // N/m
	UnitWeight float64 // N/m3, weight of a material per volume
	EI         float64 // N·m2, flexural stiffness of one member
	Mass       float64 // kg
	Duration   float64 // h
	Angle      float64 // rad
	Money      float64 // the job's currency
	Ratio      float64 // dimensionless
)

// Unit sizes in SI.
const (
	Millimetre Length = 1e-3
	Metre      Length = 1
	Inch       Length = 0.0254
	Foot       Length = 0.3048

	Newton     Force = 1
	Kilonewton Force = 1e3
	Pound      Force = 4.4482216152605 // lbf
	Kip        Force = 4448.2216152605

	Pascal     Stress = 1
	Kilopascal Stress = 1e3
	Megapascal Stress = 1e6
	PSI        Stress = Stress(Pound) / (0.0254 * 0.0254)
	PSF        Stress = Stress(Pound) / (0.3048 * 0.3048)

	PoundPerFoot LineLoad   = LineLoad(Pound) / 0.3048
	PCF          UnitWeight = UnitWeight(Pound) / (0.3048 * 0.3048 * 0.3048)
	PoundFoot    Moment     = Moment(Pound) * 0.3048
	PoundMass    Mass       = 0.45359237

	// Gravity turns the mass of a part into its weight.
	Gravity = 9.80665 // m/s2
)

// Style is the family of units that text is written in.
type Style int

// The two styles of a drawing: never mixed on one sheet.
const (
	Metric Style = iota // mm, kN, kN/m2, N/mm2
	US                  // feet-inches to 1/16 in, lb, psf, psi
)

// Weight of a mass under standard gravity.
func (m Mass) Weight() Force { return Force(float64(m) * Gravity) }
