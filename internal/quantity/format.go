package quantity

import (
	"fmt"
	"math"
	"strconv"
)

// Millimetres is the length in mm, for plan geometry.
func (l Length) Millimetres() float64 { return float64(l) * 1000 }

// Millimetres makes a length of a number of mm.
func Millimetres(mm float64) Length { return Length(mm / 1000) }

// Text writes a length with its unit: 3820 mm (one decimal when it is not
// whole), or 12'-6 1/2" to the nearest 1/16 in.
func (l Length) Text(s Style) string {
	if s == US {
		return l.Figure(s)
	}
	return l.Figure(s) + " mm"
}

// Figure writes a length as a drawing does: millimetres without their unit, or
// feet and inches. Under one foot the feet are left out: 3 1/4".
func (l Length) Figure(s Style) string {
	if s == US {
		return feetInches(float64(l) / inch)
	}
	mm := math.Round(float64(l)*1e4) / 10
	if mm == math.Trunc(mm) {
		return decimal(mm, 0)
	}
	return decimal(mm, 1)
}

// feetInches writes inches as feet, inches and sixteenths.
func feetInches(in float64) string {
	sixteenths := math.Round(in * 16)
	if !(math.Abs(sixteenths) < 1<<52) { // beyond whole numbers, or NaN
		return decimal(in, 2) + `"`
	}
	sign := ""
	if sixteenths < 0 {
		sign, sixteenths = "-", -sixteenths
	}
	n := int64(sixteenths)
	feet, inches, part := n/192, n%192/16, n%16
	text := strconv.FormatInt(inches, 10)
	if part > 0 {
		den := int64(16)
		for part%2 == 0 {
			part, den = part/2, den/2
		}
		if inches > 0 || feet > 0 {
			text += fmt.Sprintf(" %d/%d", part, den)
		} else {
			text = fmt.Sprintf("%d/%d", part, den)
		}
	}
	if feet > 0 {
		return fmt.Sprintf(`%s%d'-%s"`, sign, feet, text)
	}
	return sign + text + `"`
}

// Text writes kN or lb.
func (f Force) Text(s Style) string { return pick(float64(f), s, 1e3, "kN", 2, lb, "lb", 0) }

// Text writes kNm or lb-ft.
func (m Moment) Text(s Style) string { return pick(float64(m), s, 1e3, "kNm", 2, lb*foot, "lb-ft", 0) }

// Text writes a material stress: N/mm2 or psi.
func (p Stress) Text(s Style) string {
	return pick(float64(p), s, 1e6, "N/mm2", 2, lb/(inch*inch), "psi", 0)
}

// LoadText writes a load per area: kN/m2 or psf.
func (p Stress) LoadText(s Style) string {
	return pick(float64(p), s, 1e3, "kN/m2", 2, lb/(foot*foot), "psf", 1)
}

// Text writes kN/m or plf.
func (w LineLoad) Text(s Style) string { return pick(float64(w), s, 1e3, "kN/m", 2, lb/foot, "plf", 1) }

// Text writes kN/m3 or pcf.
func (w UnitWeight) Text(s Style) string {
	return pick(float64(w), s, 1e3, "kN/m3", 2, lb/(foot*foot*foot), "pcf", 1)
}

// Text writes kNm2 or k-in2.
func (e EI) Text(s Style) string {
	return pick(float64(e), s, 1e3, "kNm2", 1, kip*inch*inch, "k-in2", 0)
}

// Text writes m2 or ft2.
func (a Area) Text(s Style) string { return pick(float64(a), s, 1, "m2", 2, foot*foot, "ft2", 1) }

// Text writes m3 or yd3.
func (v Volume) Text(s Style) string {
	return pick(float64(v), s, 1, "m3", 2, 27*foot*foot*foot, "yd3", 2)
}

// Text writes kg or lb.
func (m Mass) Text(s Style) string {
	return pick(float64(m), s, 1, "kg", 1, float64(PoundMass), "lb", 1)
}

// Text writes degrees.
func (a Angle) Text() string { return decimal(float64(a)*180/math.Pi, 2) + " deg" }

// Text writes a duration in minutes below an hour, in days when it is whole
// days, else in hours.
func (d Duration) Text() string {
	minutes, h := rounded(float64(d)*60, 2), rounded(float64(d), 2)
	switch {
	case minutes == 0:
		return "0 h"
	case math.Abs(minutes) < 60:
		return plain(minutes) + " min"
	case h == 24:
		return "1 day"
	case math.Mod(h, 24) == 0:
		return plain(h/24) + " days"
	}
	return plain(h) + " h"
}

// pick writes a value in the unit of the style, with so many decimals.
func pick(v float64, s Style, metric float64, metricName string, metricDecimals int, us float64, usName string, usDecimals int) string {
	if s == US {
		return decimal(v/us, usDecimals) + " " + usName
	}
	return decimal(v/metric, metricDecimals) + " " + metricName
}

// decimal writes a number with so many decimals, and never "-0".
func decimal(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if zero, err := strconv.ParseFloat(text, 64); err == nil && zero == 0 {
		return strconv.FormatFloat(0, 'f', decimals, 64)
	}
	return text
}

// rounded keeps so many decimals; numbers too large to have any stay.
func rounded(v float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	if r := math.Round(v*scale) / scale; !math.IsInf(r, 0) && !math.IsNaN(r) {
		return r
	}
	return v
}

func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
