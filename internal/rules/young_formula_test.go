package rules

import (
	"math"
	"testing"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
	"shoreward/internal/rules/aci209"
	"shoreward/internal/rules/aci318"
	"shoreward/internal/rules/aci3472r"
	"shoreward/internal/rules/asce37"
	"shoreward/internal/rules/astmc1074"
	"shoreward/internal/rules/bs8110"
	"shoreward/internal/rules/ciria136"
	"shoreward/internal/rules/en1992"
	"shoreward/internal/rules/flatslab"
	"shoreward/internal/rules/handbook"
	"shoreward/internal/rules/mc2010"
)

// The printed formulas of young concrete, worked out with the printed numbers, give
// the printed values.
func TestFormulasOfYoungConcrete(t *testing.T) {
	const mpa, kpa = quantity.Megapascal, quantity.Kilopascal
	day := quantity.Days
	must := func(l calc.Line, err error) calc.Line {
		t.Helper()
		if err != nil {
			t.Error(err)
		}
		return l
	}
	flexure, err := aci318.FlexuralStrength(656e-6, 420*mpa, 20*mpa, 0.17)
	if err != nil {
		t.Error(err)
	}
	lines := append(flexure, aci318.PunchingStrength(20*mpa, 1, 1.5, aci318.Edge, 2.5, 0.17)...)
	lines = append(lines, aci318.PunchingStrength(80*mpa, 0.75, 6, aci318.Corner, 9, 0.5)...)
	lines = append(lines,
		aci209.Ratio(aci209.TypeIMoist, day(5)), aci209.AgeAt(aci209.TypeIMoist, 0.7), aci209.ModulusRatio(aci209.TypeIMoist, day(5)),
		en1992.Growth(0.25, day(5)), en1992.MeanStrength(30*mpa, 0.7), must(en1992.CharacteristicStrength(30*mpa, 0.25, day(5))),
		en1992.TensileStrength(30*mpa, 0.25, day(5)), en1992.TensileStrength(60*mpa, 0.25, day(50)), en1992.Modulus(30*mpa), en1992.ModulusRatio(0.25, day(5)), en1992.AgeRate(5),
		en1992.ControlPerimeter(0.3, 0.4, 0.2), en1992.PunchingStrength(30*mpa, 0.008, 0.2), en1992.PunchingStrength(30*mpa, 0.0001, 0.3), en1992.FaceStrength(30*mpa),
		en1992.PunchingStress(100e3, 1.15, 2, 0.2), en1992.PunchingRatio(20*mpa, 30*mpa),
		mc2010.Growth(0.38, day(5)), must(mc2010.Modulus(38*mpa, "basalt")), mc2010.ModulusRatio(0.38, day(5)), mc2010.AgeRate(5),
		astmc1074.TemperatureTimeFactor(5, 0, 12), astmc1074.TemperatureTimeFactor(-5, 0, 12), astmc1074.AgeRate(5, 23, 5000), astmc1074.ActivationEnergy(5), astmc1074.ActivationEnergy(25),
		astmc1074.Hyperbolic(40*mpa, 0.0015, 150, 804), astmc1074.Hyperbolic(40*mpa, 0.0015, 150, 100), astmc1074.HyperbolicMaturity(40*mpa, 0.0015, 150, 20*mpa), astmc1074.Exponential(40*mpa, 30, 0.8, 60),
		ciria136.StrikingStrength(7*kpa, 10*kpa, 37*mpa), ciria136.AgeRate(5), ciria136.AgeRate(-20), flatslab.StrikingStrength(7*kpa, 10*kpa, 37*mpa),
		aci3472r.ConstructionLoad(1.5, 5*kpa), aci3472r.AllowableLoad(10*kpa, 0.8), aci3472r.AllowableLoad(10*kpa, 1.1), asce37.Combination(5*kpa, 2*kpa),
		must(bs8110.StrikingTime(bs8110.BeamProps, 12)), bs8110.LoadedCubeStrength(7*mpa), must(handbook.Plowman(30*mpa, 5000)), must(handbook.Plowman(30*mpa, 10)),
	)
	for _, l := range lines {
		if l.Formula == "" {
			t.Errorf("%s has no formula", l.Symbol)
			continue
		}
		v, err := evaluate(l)
		if err != nil || !(math.Abs(v-l.Value) <= 1e-9*math.Max(math.Abs(v), 1)) {
			t.Errorf("%s = %s gives %g, printed %g, %v", l.Symbol, l.Formula, v, l.Value, err)
		}
		if l.Source == "" || l.Evidence == "" {
			t.Errorf("%s has no source or evidence", l.Symbol)
		}
	}
}
