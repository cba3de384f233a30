package validation

import (
	"fmt"
	"testing"

	"shoreward/internal/quantity"
	"shoreward/internal/rules/aci306"
	"shoreward/internal/rules/aci347"
	"shoreward/internal/rules/bs8110"
	"shoreward/internal/rules/ciria136"
	"shoreward/internal/rules/flatslab"
)

// BS 8110-1 Table 6.2: the formulas (from memory) give the table's own columns at
// 16 °C and 7 °C, within its rounding to whole hours and days.
func TestStrikingTimesBS8110(t *testing.T) {
	for part, want := range map[bs8110.Part][2]float64{bs8110.Vertical: {0.5, 18.0 / 24}, bs8110.SlabSoffit: {4, 6}, bs8110.BeamSoffitSlabProps: {10, 15}, bs8110.BeamProps: {14, 21}} {
		for i, temp := range []quantity.Temperature{16, 7} {
			l, err := bs8110.StrikingTime(part, temp)
			if err != nil {
				t.Fatal(err)
			}
			meets(t, fmt.Sprintf("part %d at %g °C", part, float64(temp)), "days", quantity.Ratio(l.Value), 1, want[i], 0.5)
		}
	}
	slab, _ := bs8110.StrikingTime(bs8110.SlabSoffit, 10)
	props, _ := bs8110.StrikingTime(bs8110.BeamSoffitSlabProps, 10)
	meets(t, "row 70", "slab soffit", quantity.Ratio(slab.Value), 1, 5, 0.01)
	meets(t, "row 70", "slab props", quantity.Ratio(props.Value), 1, 12.5, 0.01)
	hot, _ := bs8110.StrikingTime(bs8110.SlabSoffit, 40)
	at25, _ := bs8110.StrikingTime(bs8110.SlabSoffit, 25)
	if hot.Value < at25.Value {
		t.Errorf("at 40 °C %g days, at 25 °C %g: warmth over 25 °C may not count", hot.Value, at25.Value)
	}
	if _, err := bs8110.StrikingTime(bs8110.SlabSoffit, -1); err == nil {
		t.Error("frost is given a time")
	}
}

// The stripping times of ACI 347 at 50 °F and more, read in Concrete Construction,
// "When to strip forms" and "Safe time to strip a slab".
func TestStrippingTimesACI347(t *testing.T) {
	for _, w := range []struct {
		e            aci347.Element
		feet         float64
		under, above float64 // days, live under or over dead load
	}{
		{aci347.FloorSlab, 8, 4, 3}, {aci347.FloorSlab, 15, 7, 4}, {aci347.FloorSlab, 25, 10, 7},
		{aci347.BeamSoffit, 8, 7, 4}, {aci347.BeamSoffit, 15, 14, 7}, {aci347.BeamSoffit, 25, 21, 14},
	} {
		for over, want := range map[bool]float64{false: w.under, true: w.above} {
			l, err := aci347.StrippingTime(w.e, quantity.Length(w.feet)*foot, over)
			if err != nil || l.Value != want {
				t.Errorf("element %d, %g ft, live over dead %t: %g, %v; published %g", w.e, w.feet, over, l.Value, err, want)
			}
		}
	}
	if _, err := aci347.StrippingTime(aci347.FloorSlab, 0, false); err == nil {
		t.Error("no span is taken")
	}
}

// Worked example, 250 mm slab of 25 kN/m3, finishes 1.0, imposed 3.5 kN/m2, f_cu 37
// N/mm2. The criteria are from memory, the figures their arithmetic.
func TestStrikingCriteria(t *testing.T) {
	const service = 10.75 * kPa
	for _, w := range []struct {
		load            quantity.Stress
		beeby, sadgrove float64
	}{{7 * kPa, 18.10, 24.09}, {10.6375 * kPa, 36.36, 36.61}, {11.125 * kPa, 39.18, 38.29}, {11.5 * kPa, 41.40, 39.58}} {
		id := w.load.LoadText(quantity.Metric)
		meets(t, id, "Beeby", quantity.Stress(flatslab.StrikingStrength(w.load, service, 37*mpa).Value), mpa, w.beeby, 0.02)
		meets(t, id, "Sadgrove", quantity.Stress(ciria136.StrikingStrength(w.load, service, 37*mpa).Value), mpa, w.sadgrove, 0.02)
	}
}

// ACI 306R Tables 5.1 and 7.1 from memory: 55, 50, 45, 40 °F and 50, 40, 30, 20 °F.
func TestColdWeatherACI306(t *testing.T) {
	for i, size := range []quantity.Length{8 * inch, 12 * inch, 48 * inch, 72 * inch} {
		temp, _ := aci306.PlacingTemperature(size)
		meets(t, size.Text(quantity.US), "°F", quantity.Ratio(temp.Fahrenheit()), 1, []float64{55, 50, 45, 40}[i], 1e-9)
		meets(t, size.Text(quantity.US), "drop, °F", quantity.Ratio(aci306.TemperatureDrop(size).Value*1.8), 1, []float64{50, 40, 30, 20}[i], 1e-9)
	}
	for s, want := range map[aci306.Service][2]float64{aci306.NoLoadCovered: {2, 1}, aci306.NoLoadExposed: {3, 2}, aci306.PartialLoad: {6, 4}} {
		for i, fast := range []bool{false, true} {
			if l, err := aci306.Protection(s, fast); err != nil || l.Value != want[i] {
				t.Errorf("service %d, accelerated %t: %g days, %v", s, fast, l.Value, err)
			}
		}
	}
	if _, err := aci306.Protection(aci306.FullLoad, true); err == nil {
		t.Error("full load is given a number of days")
	}
}
