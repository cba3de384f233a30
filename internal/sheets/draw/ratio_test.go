package draw

import (
	"math"
	"testing"
)

// lab is CIE 1976 L*a*b* of an sRGB colour under D65: IEC 61966-2-1 and CIE 15,
// constants from memory.
func lab(c Color) (l, a, b float64) {
	lin := func(v uint8) float64 {
		x := float64(v) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	r, g, bl := lin(c.R), lin(c.G), lin(c.B)
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124564*r + 0.3575761*g + 0.1804375*bl) / 0.95047)
	y := f(0.2126729*r + 0.7151522*g + 0.0721750*bl)
	z := f((0.0193339*r + 0.1191920*g + 0.9503041*bl) / 1.08883)
	return 116*y - 16, 500 * (x - y), 200 * (y - z)
}

// Equal steps of lightness on one hue, that of the palette.
func TestBandsAreEven(t *testing.T) {
	_, a0, b0 := lab(Pine)
	hue := math.Atan2(b0, a0)
	before := 0.0
	for i, k := range bands {
		l, a, b := lab(k.Fill)
		if i > 0 && math.Abs(before-l-11) > 0.5 {
			t.Errorf("%s: lightness falls by %.2f, want 11", k.Name, before-l)
		}
		if d := math.Abs(math.Atan2(b, a)-hue) * 180 / math.Pi; d > 4 {
			t.Errorf("%s: its hue is %.1f degrees off", k.Name, d)
		}
		before = l
	}
}

// No two bands look alike without colour: lightness, hatch or edge differ.
func TestBandsDifferWithoutColour(t *testing.T) {
	all := Bands()
	for i, a := range all {
		for _, b := range all[i+1:] {
			if a.Pitch == b.Pitch && a.Cross == b.Cross && a.Edge.Width == b.Edge.Width && len(a.Edge.Dash) == len(b.Edge.Dash) {
				t.Errorf("%q and %q differ in colour alone", a.Name, b.Name)
			}
		}
	}
}

func TestBandOf(t *testing.T) {
	for _, c := range []struct {
		ratio float64
		known bool
		want  string
	}{
		{0, true, "up to 0.50"}, {0.5, true, "up to 0.50"}, {0.51, true, "0.51 to 0.75"}, {1, true, "0.91 to 1.00"},
		{1.001, true, over.Name}, {math.Inf(1), true, over.Name}, {0.3, false, unknown.Name}, {math.NaN(), true, unknown.Name}, {-0.1, true, unknown.Name},
	} {
		if got := BandOf(c.ratio, c.known).Name; got != c.want {
			t.Errorf("%g known %v: %q, want %q", c.ratio, c.known, got, c.want)
		}
	}
}
