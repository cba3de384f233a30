package layout

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"shoreward/internal/quantity"
)

// threeMoments solves equal spans of length 1 under w = 1 on some of them by
// Clapeyron's equation of three moments, M_i-1 + 4 M_i + M_i+1 = -(w_l + w_r)/4,
// and gives the greatest moment, shear and reaction, sizes.
func threeMoments(loaded []bool) (m, v, r float64) {
	n := len(loaded)
	w := func(i int) float64 {
		if i >= 0 && i < n && loaded[i] {
			return 1
		}
		return 0
	}
	// Elimination of the three bands; M_0 = M_n = 0.
	diag, rhs := make([]float64, n), make([]float64, n)
	for i := 1; i < n; i++ {
		diag[i], rhs[i] = 4, -(w(i-1)+w(i))/4
		if i > 1 {
			diag[i] -= 1 / diag[i-1]
			rhs[i] -= rhs[i-1] / diag[i-1]
		}
	}
	at := make([]float64, n+1)
	for i := n - 1; i >= 1; i-- {
		at[i] = (rhs[i] - at[i+1]) / diag[i]
	}
	left, right := make([]float64, n), make([]float64, n) // shear at the ends of each span
	for i := range n {
		left[i] = w(i)/2 + at[i+1] - at[i]
		right[i] = left[i] - w(i)
		v = math.Max(v, math.Max(math.Abs(left[i]), math.Abs(right[i])))
		m = math.Max(m, math.Abs(at[i]))
		if x := left[i]; w(i) > 0 && x > 0 && x < 1 {
			m = math.Max(m, math.Abs(at[i]+x*x/2))
		}
	}
	for i := 0; i <= n; i++ {
		s := 0.0
		if i < n {
			s += left[i]
		}
		if i > 0 {
			s -= right[i-1]
		}
		r = math.Max(r, s)
	}
	return m, v, r
}

// The coefficients are the worst over every pattern of loaded spans. For
// deflection, everything loaded: 5/384 for one span; 1/184.6, 1/145, 1/155 for
// more (beam tables, end span).
func TestCoefficients(t *testing.T) {
	for n := 1; n <= 4; n++ {
		m, v, r := 0.0, 0.0, 0.0
		for p := range 1 << n {
			loaded := make([]bool, n)
			for i := range loaded {
				loaded[i] = p>>i&1 == 1
			}
			pm, pv, pr := threeMoments(loaded)
			m, v, r = math.Max(m, pm), math.Max(v, pv), math.Max(r, pr)
		}
		c := coeff(n)
		near(t, "moment", c.m, m, 2e-5)
		near(t, "shear", c.v, v, 2e-5)
		near(t, "reaction", c.r, r, 2e-5)
		near(t, "deflection", 1/c.d, []float64{1: 384.0 / 5, 2: 184.6, 3: 145.3, 4: 154.8}[n], 2e-3)
	}
	if coeff(9) != coeff(4) || coeff(0) != coeff(1) {
		t.Error("more than four spans are as four, none as one")
	}
}

// What a line carries of a bay, everything loaded: at a lap twice the end
// reaction, between laps the greatest inner one. Beam tables: 3/8 and 10/8; 0.4
// and 1.1; 11/28 and 32/28.
func TestLineShares(t *testing.T) {
	for m, c := range []struct{ end, inner float64 }{1: {0.5, 1}, 2: {3.0 / 8, 10.0 / 8}, 3: {0.4, 1.1}, 4: {11.0 / 28, 32.0 / 28}} {
		if m > 0 {
			s := sharesOf(m, 0)
			near(t, "lap", s.end, c.end, 2e-5)
			if m > 1 {
				near(t, "inner", s.inner, c.inner, 2e-5)
			}
		}
	}
}

// One limit at a time, q = 12 kN/m.
func TestSpanLimit(t *testing.T) {
	const q, big = 12e3, 1e12
	k := handKit()
	for _, c := range []struct {
		name                               string
		spans                              int
		moment, shear, offset, ei, support float64
		want                               float64 // m
	}{
		{"one span, M = q L²/8", 1, 6e3, big, 0, big, big, math.Sqrt(8 * 6e3 / q)},
		{"two spans, M = q L²/8 over the middle", 2, 6e3, big, 0, big, big, math.Sqrt(8 * 6e3 / q)},
		{"three spans, M = 7 q L²/60", 3, 7e3, big, 0, big, big, math.Sqrt(60 * 7e3 / (7 * q))},
		{"one span, V = q L/2", 1, big, 15e3, 0, big, big, 2.5},
		{"two spans, V = 5 q L/8", 2, big, 15e3, 0, big, big, 2},
		{"one span, V = q (L/2 - 200 mm)", 1, big, 15e3, 200, big, big, 2.9},
		{"one span, R = q L/2", 1, big, big, 0, big, 18e3, 3},
		{"two spans, R = 10 q L/8", 2, big, big, 0, big, 18e3, 1.2},
		{"three spans, R = 1.2 q L", 3, big, big, 0, big, 18e3, 1.25},
		{"one span, 5 q L⁴/384 EI = L/360", 1, big, big, 0, 1e6, big, math.Cbrt(384 * 1e6 / (5 * 360 * q))},
	} {
		got := k.spanLimit(c.spans, q, q, c.moment, c.shear, c.offset, c.ei, c.support)
		near(t, c.name, got, 1000*c.want, 1e-6)
	}
	// An absolute limit of 5 mm: 5 q L⁴/384 EI = 5 mm.
	k.set.DeflectionMaxBeam = 0.005
	near(t, "5 mm", k.spanLimit(1, q, q, big, big, 0, 1e6, big), 1000*math.Pow(384*1e6*0.005/(5*q), 0.25), 1e-6)
	// Half the load in the deflection check: the cube root of 2 longer.
	k.set.DeflectionMaxBeam = 0
	near(t, "half the load", k.spanLimit(1, q, q/2, big, big, 0, 1e6, big), 1000*math.Cbrt(2*384*1e6/(5*360*q)), 1e-6)
}

// Joists 500 mm apart under 8 kN/m2 and sheetShare: q = 8 x 0.5 x 1.15 = 4.6 kN/m.
func TestBay(t *testing.T) {
	const q = 4600.0
	k := handKit()
	k.joistRes.Moment = 5e3
	near(t, "by moment", k.bay(1, 500), 1000*math.Sqrt(8*5e3/q), 1e-6)
	k.crossR = 4600
	near(t, "by what a stringer takes: q L/2", k.bay(1, 500), 2000, 1e-6)
	near(t, "two bays: 1.25 q L", k.bay(2, 500), 800, 1e-6)
}

// Props under a band of 1.5 m: q = 12 kN/m, joists 600 mm apart.
func TestPropSpacing(t *testing.T) {
	const q = 12e3
	k := handKit()
	k.strRes.Moment = 7e3
	near(t, "by moment: 7 q L²/60", k.propSpacing(1500, 600), 1000*math.Sqrt(60*7e3/(7*q)), 1e-6)
	k = handKit()
	k.strRes.Shear = 15e3
	// 37/60 q L and half a joist of 300 mm more: V/q - 0.3 = 0.95 m.
	near(t, "by shear", k.propSpacing(1500, 600), 1000*0.95*60/37, 1e-5)
	k = handKit()
	k.propLoad = 20e3
	// 1.2 q L and a quarter of a pitch more: (20/12 - 0.15)/1.2.
	near(t, "by the prop", k.propSpacing(1500, 600), 1000*(20.0/12-0.15)/1.2, 1e-6)
	k.seatR = 10e3
	near(t, "by its head", k.propSpacing(1500, 600), 1000*(10.0/12-0.15)/1.2, 1e-6)
	k.propLoad = 100
	near(t, "at the least", k.propSpacing(1500, 600), 150, 1e-6)
	rapid.Check(t, func(t *rapid.T) { // a wider band or a weaker part never lets props stand farther apart
		num := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		k := handKit()
		k.strRes.Moment, k.strRes.Shear = 1000*quantity.Moment(num(1, 20, "M")), 1000*quantity.Force(num(5, 50, "V"))
		k.strRes.EI = quantity.EI(num(1e5, 1e6, "EI"))
		k.propLoad = 1000 * num(5, 60, "P")
		band := num(300, 3000, "band")
		l := k.propSpacing(band, 500)
		if wide := k.propSpacing(band*1.1, 500); wide > l+1e-6 {
			t.Errorf("a band of %g mm: %g, of a tenth more: %g", band, l, wide)
		}
		// It holds what it promises, by the coefficients of three spans.
		q, at := k.strength*band/1000, l/1000
		if l > 151 && (7.0/60*q*at*at > float64(k.strRes.Moment)*1.000001 || 1.2*q*at > k.propLoad || 0.00688*q*math.Pow(at, 4)/float64(k.strRes.EI) > at/360*1.001) {
			t.Errorf("%g mm is too far", l)
		}
	})
}

// Overhangs by what they may use of the moment alone.
func TestOverhangs(t *testing.T) {
	k := handKit()
	k.joistRes.Moment = 4600 // q = 4.6 kN/m as above: M/q = 1 m²
	near(t, "a joist, 0.95 M = q a²/2", k.overhang(500, 0), 1000*math.Sqrt(1.9), 1e-4)

	// The outer half metre has 3.0 instead of 8.0 kN/m2: with a = c + 0.5,
	// 1.725 kN/m x 0.5 (c + 0.25) + 4.6 c²/2 = 0.95 x 4.6.
	b, c := 1.725*0.5/2.3, (1.725*0.5*0.25-0.95*4.6)/2.3
	k = handKit()
	k.joistRes.Moment = 4600
	near(t, "a joist with a light end", k.overhang(500, 500), 1000*(0.5-b/2+math.Sqrt(b*b/4-c)), 1e-4)

	// A stringer that holds 600 mm of strip from 200 mm inside the edge (150 and
	// 50): per metre of band 3 x 0.6 x (0.3 + 0.2) + 8 x 0.2²/2 = 1.06 kN·m.
	k = handKit()
	k.choice.Strip = 0.6
	k.strRes.Moment = 1060
	near(t, "the band of a stringer", k.edgeBand(), 900, 1e-4)

	// A sheet: 0.85 M = q a²/2, at a pitch that asks little of it.
	k = handKit()
	k.sheetRes.Moment = 800
	near(t, "a sheet", k.sheetOver(200, 8000, 8000), 1000*math.Sqrt(2*0.85*800/8000), 1e-4)
}

// Sheets over three spans: 7 q p²/60, 37 q p/60, 0.0068842 q p⁴/EI.
func TestSheetSpan(t *testing.T) {
	k := handKit()
	k.sheetRes.Moment = 336
	near(t, "moment", k.sheetSpan(3), 600, 1e-5)
	k = handKit()
	k.sheetRes.Shear = 2960
	near(t, "rolling shear", k.sheetSpan(3), 600, 1e-5)
	k = handKit()
	k.sheetRes.EI = 0.0068842 * 8000 * 0.6 * 0.6 * 0.6 * 360
	near(t, "deflection", k.sheetSpan(3), 600, 1e-4)
	k.set.DeflectionMaxSheet = 0.001 // 0.6 m at L/360 sag 1.667 mm
	near(t, "1 mm", k.sheetSpan(3), 600*math.Pow(0.6, 0.25), 1e-4)
}
