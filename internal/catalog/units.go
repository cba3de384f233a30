package catalog

import "shoreward/internal/quantity"

// Sizes in SI that the tables below are made of.
const (
	in, ft = float64(quantity.Inch), float64(quantity.Foot)
	lb     = float64(quantity.PoundMass)
)

// Units that only a catalogue uses: section properties of a panel per width of
// the panel (SI per metre), and masses per length, area and volume.
var (
	inertiaPerWidth = units("moment of inertia per width", 1e-8, "cm4/m", in*in*in*in/ft, "in4/ft")
	modulusPerWidth = units("section modulus per width", 1e-6, "cm3/m", in*in*in/ft, "in3/ft")
	areaPerWidth    = units("shear area per width", 1e-4, "cm2/m", in*in/ft, "in2/ft")
	density         = units("density", 1, "kg/m3", lb/(ft*ft*ft), "lb/ft3")

	// massPer[n] is a mass as written, to be multiplied by the first n of length, width and depth.
	massPer = []quantity.Units{
		quantity.Masses,
		units("mass per length", 1, "kg/m", lb/ft, "lb/ft"),
		units("mass per area", 1, "kg/m2", lb/(ft*ft), "lb/ft2"),
		density,
	}
)

// units is a table of one metric and one US unit, in the order of quantity.Style.
func units(what string, metric float64, metricName string, us float64, usName string) quantity.Units {
	return quantity.Units{What: what, List: []quantity.Unit{
		{Size: metric, Spelt: []string{metricName}}, {Size: us, Spelt: []string{usName}}}}
}

// parseMass reads "12 kg", "4.8 kg/m", "2.2 lb/ft2" or "35 lb/ft3"; dims is
// how many of length, width and depth it has to be multiplied by.
func parseMass(text string) (v quantity.Mass, dims int, err error) {
	for dims, u := range massPer {
		if v, err := u.Parse(text, 0); err == nil {
			return quantity.Mass(v), dims, nil
		}
	}
	_, err = quantity.Units{What: "mass, whole or per length, area or volume", List: allMassUnits()}.Parse(text, 0)
	return 0, 0, err
}

func allMassUnits() (all []quantity.Unit) {
	for _, u := range massPer {
		all = append(all, u.List...)
	}
	return all
}

// length reads a length; a bare number is refused.
func length(text string) (quantity.Length, error) { return quantity.ParseLength(text, 0) }

// asRatio reads a value whose unit has no type of its own in package quantity.
func asRatio(u quantity.Units) func(string) (quantity.Ratio, error) {
	return func(text string) (quantity.Ratio, error) {
		v, err := u.Parse(text, 0)
		return quantity.Ratio(v), err
	}
}
