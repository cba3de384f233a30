package quantity

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Expected values are exact definitions: 1 in = 25.4 mm, 1 lb = 0.45359237 kg,
// g = 9.80665 m/s2 (NIST SP 811, appendix B; SI brochure).
const (
	in  = 0.0254
	ft  = 0.3048
	lbf = 0.45359237 * 9.80665
)

func TestParseLength(t *testing.T) {
	for text, want := range map[string]float64{
		`12' 6 1/2"`:       12*ft + 6.5*in,
		`12'-6 1/2"`:       12*ft + 6.5*in,
		`12'- 6 1/2"`:      12*ft + 6.5*in,
		`12'6-1/2"`:        12*ft + 6.5*in,
		`12' - 6½"`:        12*ft + 6.5*in,
		`12′-6 ½″`:         12*ft + 6.5*in,
		`12’ 6”`:           12*ft + 6*in,
		`12' 6''`:          12*ft + 6*in,
		`-12'-6 1/2"`:      -(12*ft + 6.5*in),
		`- 12' 6"`:         -(12*ft + 6*in),
		"\u22123 m":        -3,
		`12 ft 6 in`:       12*ft + 6*in,
		`12ft-6in`:         12*ft + 6*in,
		`12 ft. 6 1/2 in.`: 12*ft + 6.5*in,
		`12 FEET 6 INCHES`: 12*ft + 6*in,
		`0'-3 1/4"`:        3.25 * in,
		`3 1/4"`:           3.25 * in,
		`1/2 in`:           0.5 * in,
		`13/16"`:           13.0 / 16 * in,
		`12.54 ft`:         12.54 * ft,
		`12'`:              12 * ft,
		`7.25 in`:          7.25 * in,
		`.5 m`:             0.5,
		`3820 mm`:          3.82,
		`3.82 m`:           3.82,
		`382cm`:            3.82,
		`1.2e3 mm`:         1.2,
		`+4 m`:             4,
		`0 ft`:             0,
		`12'-11 15/16"`:    12*ft + 11.9375*in,
	} {
		got, err := ParseLength(text, 0)
		if err != nil || math.Abs(float64(got)-want) > 1e-12*math.Max(1, math.Abs(want)) {
			t.Errorf("%q: got %v m, %v; want %v m", text, float64(got), err, want)
		}
	}
}

func TestBareLength(t *testing.T) {
	if got, err := ParseLength("12.5", Foot); err != nil || math.Abs(float64(got)-12.5*ft) > 1e-12 {
		t.Errorf("bare feet: %v, %v", got, err)
	}
	if got, err := ParseLength("6 1/2", Inch); err != nil || math.Abs(float64(got)-6.5*in) > 1e-12 {
		t.Errorf("bare inches with a fraction: %v, %v", got, err)
	}
	if _, err := ParseLength("12", 0); err == nil || !strings.Contains(err.Error(), "unit is missing") {
		t.Errorf("bare number where none is allowed: %v", err)
	}
}

func TestWrongLengths(t *testing.T) {
	for text, says := range map[string]string{
		``:             "does not begin with a number",
		`long`:         "does not begin with a number",
		`12 stone`:     `"stone" is not a unit of length`,
		`12 kN`:        `"kN" is not a unit of length`,
		`12' 6`:        "inches have no mark",
		`12' 14"`:      "less than 12",
		`12' 12"`:      "less than 12",
		`12.5' 6"`:     "feet must be a whole number",
		`12' 6' `:      "not by inches",
		`12 m 6 in`:    "follows a whole length",
		`6.5 1/2"`:     "not whole",
		`6 3/2"`:       "less than one",
		`1/0 in`:       "not a fraction",
		`1,250 mm`:     "without commas",
		`3,82 m`:       "without commas",
		`1.2.3 m`:      "not a number",
		`12' --6"`:     "does not begin with a number",
		`9e999 m`:      "too large",
		`NaN m`:        "does not begin with a number",
		`Inf`:          "does not begin with a number",
		`12 m m`:       "follows a whole length",
		`12' 6" extra`: "is not a unit of length",
	} {
		_, err := ParseLength(text, 0)
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v; want it to say %q", text, err, says)
		}
	}
}

func TestParseOthers(t *testing.T) {
	check := func(text string, got float64, err error, want float64) {
		t.Helper()
		if err != nil || math.Abs(got-want) > 1e-12*math.Abs(want) {
			t.Errorf("%q: got %v, %v; want %v", text, got, err, want)
		}
	}
	for text, want := range map[string]float64{"11 kN": 11e3, "2500 lb": 2500 * lbf, "2.5 kips": 2500 * lbf, "2.5k": 2500 * lbf, "-3 N": -3, "1 MN": 1e6} {
		v, err := ParseForce(text)
		check(text, float64(v), err, want)
	}
	for text, want := range map[string]float64{"10.9 kNm": 10.9e3, "10.9 kN·m": 10.9e3, "10.9 kN m": 10.9e3, "100 lb-ft": 100 * lbf * ft, "100 ft-lb": 100 * lbf * ft, "12 in-lb": lbf * ft, "2 k-ft": 2000 * lbf * ft} {
		v, err := ParseMoment(text)
		check(text, float64(v), err, want)
	}
	for text, want := range map[string]float64{
		"5000 psi": 5000 * lbf / (in * in), "50 psf": 50 * lbf / (ft * ft), "50 PSF": 50 * lbf / (ft * ft), "1.5 ksf": 1500 * lbf / (ft * ft),
		"25 MPa": 25e6, "25 N/mm2": 25e6, "25 N/mm²": 25e6, "7.5 kN/m2": 7.5e3, "7.5 kN/m^2": 7.5e3, "7.5 kPa": 7.5e3, "1 GPa": 1e9, "1600 ksi": 1.6e6 * lbf / (in * in)} {
		v, err := ParseStress(text)
		check(text, float64(v), err, want)
	}
	for text, want := range map[string]float64{"1.5 kN/m": 1500, "100 plf": 100 * lbf / ft, "100 lb/ft": 100 * lbf / ft, "2 klf": 2000 * lbf / ft} {
		v, err := ParseLineLoad(text)
		check(text, float64(v), err, want)
	}
	for text, want := range map[string]float64{"150 pcf": 150 * lbf / (ft * ft * ft), "24 kN/m3": 24e3, "2400 kg/m3": 2400 * 9.80665} {
		v, err := ParseUnitWeight(text)
		check(text, float64(v), err, want)
	}
	for text, want := range map[string]float64{"450 kNm2": 450e3, "450 kNm²": 450e3, "1000 k-in2": 1e6 * lbf * in * in} {
		v, err := ParseEI(text)
		check(text, float64(v), err, want)
	}
	for text, want := range map[string]float64{"4.8 kg": 4.8, "100 lb": 45.359237, "1.5 t": 1500} {
		v, err := ParseMass(text)
		check(text, float64(v), err, want)
	}
	for text, want := range map[string]float64{"5 days": 120, "1 day": 24, "8 h": 8, "30 min": 0.5, "36 s": 0.01, "2 weeks": 336} {
		v, err := ParseDuration(text)
		check(text, float64(v), err, want)
	}
	for text, want := range map[string]float64{"30 deg": math.Pi / 6, "30°": math.Pi / 6, "0.5 rad": 0.5, "-90 degrees": -math.Pi / 2} {
		v, err := ParseAngle(text)
		check(text, float64(v), err, want)
	}
	for text, want := range map[string]float64{"12.5 m2": 12.5, "96 ft2": 96 * ft * ft, "96 sq ft": 96 * ft * ft, "96 SF": 96 * ft * ft} {
		v, err := ParseArea(text)
		check(text, float64(v), err, want)
	}
	for text, want := range map[string]float64{"40 m3": 40, "2 yd3": 54 * ft * ft * ft, "2 CY": 54 * ft * ft * ft} {
		v, err := ParseVolume(text)
		check(text, float64(v), err, want)
	}
	for text, want := range map[string]float64{"1.25": 1.25, "2 %": 0.02, "2%": 0.02} {
		v, err := ParseRatio(text)
		check(text, float64(v), err, want)
	}
	v, err := ParseNumber("-1.5e2")
	check("-1.5e2", v, err, -150)
}

// A capital M is a million: it is never read out of a small one, nor the other
// way round, and a unit of another kind is refused with the units that fit.
func TestWrongUnits(t *testing.T) {
	for _, text := range []string{"25 mPa", "25 mpa", "25 pcf", "25", "25 kN", "25 psi psi", "0x10 psi", "1_000 psi"} {
		if v, err := ParseStress(text); err == nil {
			t.Errorf("%q was read as %v Pa", text, float64(v))
		} else if !strings.Contains(err.Error(), "psf, psi") {
			t.Errorf("%q: %v does not say which units are right", text, err)
		}
	}
	if v, err := ParseForce("3 mN"); err == nil {
		t.Errorf("3 mN was read as %v N", float64(v))
	}
	if _, err := ParseNumber("3 kg"); err == nil || !strings.Contains(err.Error(), "use a plain number") {
		t.Errorf("plain number with a unit: %v", err)
	}
	var e *Error
	_, err := ParseMass("3 stone")
	if e, _ = err.(*Error); e == nil || e.Text != "3 stone" || e.Wrong == "" || e.Right == "" {
		t.Errorf("error without its parts: %#v", err)
	}
}

func TestLengthText(t *testing.T) {
	for _, c := range []struct {
		v    float64 // m
		s    Style
		want string
	}{
		{12*ft + 6.5*in, US, `12'-6 1/2"`},
		{-(12*ft + 6.5*in), US, `-12'-6 1/2"`},
		{3.25 * in, US, `3 1/4"`}, // under a foot the trade writes inches alone
		{0.5 * in, US, `1/2"`},
		{ft, US, `1'-0"`},
		{0, US, `0"`},
		{12*ft + 0.5*in, US, `12'-0 1/2"`},
		{11.99 / 12 * ft, US, `1'-0"`},      // 15.84/16 of the twelfth inch: up to the foot
		{ft + 11.98*in, US, `2'-0"`},        // carry through inch and foot
		{5.0 / 32 * in, US, `3/16"`},        // half a sixteenth goes up
		{-0.01 * in, US, `0"`},              // no minus nothing
		{10*ft + 15.99/16*in, US, `10'-1"`}, // 15.99/16 is a whole inch
		{8*ft + 5*in + in/16, US, `8'-5 1/16"`},
		{3.82, Metric, "3820 mm"},
		{3.8205, Metric, "3820.5 mm"},
		{3.82004, Metric, "3820 mm"},
		{-0.25, Metric, "-250 mm"},
		{-0.00001, Metric, "0 mm"},
	} {
		if got := Length(c.v).Text(c.s); got != c.want {
			t.Errorf("%v m: got %s, want %s", c.v, got, c.want)
		}
	}
	if got := Length(3.82).Figure(Metric); got != "3820" {
		t.Errorf("figure of a drawing: %s", got)
	}
	if got := Millimetres(3820).Millimetres(); math.Abs(got-3820) > 1e-9 {
		t.Errorf("there and back: %v mm", got)
	}
	for _, v := range []float64{math.NaN(), math.Inf(1), -math.MaxFloat64, 1e300} {
		_ = Length(v).Text(US) // must not panic
		_ = Length(v).Text(Metric)
		_ = Duration(v).Text()
	}
}

func TestOtherTexts(t *testing.T) {
	for want, got := range map[string]string{
		"11.00 kN":    (11 * Kilonewton).Text(Metric),
		"2500 lb":     (2500 * Pound).Text(US),
		"5000 psi":    (5000 * PSI).Text(US),
		"25.00 N/mm2": (25 * Megapascal).Text(Metric),
		"7.50 kN/m2":  (7.5 * Kilopascal).LoadText(Metric),
		"50.0 psf":    (50 * PSF).LoadText(US),
		"100.0 plf":   (100 * PoundPerFoot).Text(US),
		"150.0 pcf":   (150 * PCF).Text(US),
		"10.90 kNm":   Moment(10900).Text(Metric),
		"450.0 kNm2":  EI(450e3).Text(Metric),
		"96.0 ft2":    Area(96 * ft * ft).Text(US),
		"2.00 yd3":    Volume(54 * ft * ft * ft).Text(US),
		"25.0 kg":     Mass(25).Text(Metric),
		"100.0 lb":    (100 * PoundMass).Text(US),
		"30.00 deg":   Angle(math.Pi / 6).Text(),
		"5 days":      Duration(120).Text(),
		"1 day":       Duration(24).Text(),
		"36 h":        Duration(36).Text(),
		"7.5 h":       Duration(7.5).Text(),
		"30 min":      Duration(0.5).Text(),
		"0 h":         Duration(0).Text(),
		"0.00 kN":     Force(-1e-9).Text(Metric),
		"-0.50 kN":    Force(-500).Text(Metric),
	} {
		if got != want {
			t.Errorf("got %s, want %s", got, want)
		}
	}
}

// What is printed reads back as the same quantity within the rounding of print.
func TestRoundTrip(t *testing.T) {
	styles := rapid.SampledFrom([]Style{Metric, US})
	check := func(name string, size float64, text func(float64, Style) string, parse func(string) (float64, error), step func(Style) float64) {
		t.Run(name, rapid.MakeCheck(func(t *rapid.T) {
			v, s := rapid.Float64Range(-size, size).Draw(t, "value"), styles.Draw(t, "style")
			printed := text(v, s)
			back, err := parse(printed)
			if err != nil {
				t.Fatalf("%q does not read back: %v", printed, err)
			}
			if math.Abs(back-v) > step(s)/2*(1+1e-6)+1e-12*math.Abs(v) {
				t.Fatalf("%v printed as %q reads as %v", v, printed, back)
			}
			if again := text(back, s); again != printed {
				t.Fatalf("%q prints again as %q", printed, again)
			}
		}))
	}
	pick := func(metric, us float64) func(Style) float64 {
		return func(s Style) float64 { return []float64{metric, us}[s] }
	}
	check("length", 2000, func(v float64, s Style) string { return Length(v).Text(s) },
		func(x string) (float64, error) { v, err := ParseLength(x, 0); return float64(v), err }, pick(1e-4, in/16))
	check("force", 1e7, func(v float64, s Style) string { return Force(v).Text(s) },
		func(x string) (float64, error) { v, err := ParseForce(x); return float64(v), err }, pick(10, lbf))
	check("moment", 1e6, func(v float64, s Style) string { return Moment(v).Text(s) },
		func(x string) (float64, error) { v, err := ParseMoment(x); return float64(v), err }, pick(10, lbf*ft))
	check("stress", 1e9, func(v float64, s Style) string { return Stress(v).Text(s) },
		func(x string) (float64, error) { v, err := ParseStress(x); return float64(v), err }, pick(1e4, lbf/(in*in)))
	check("area load", 1e6, func(v float64, s Style) string { return Stress(v).LoadText(s) },
		func(x string) (float64, error) { v, err := ParseStress(x); return float64(v), err }, pick(10, 0.1*lbf/(ft*ft)))
	check("line load", 1e6, func(v float64, s Style) string { return LineLoad(v).Text(s) },
		func(x string) (float64, error) { v, err := ParseLineLoad(x); return float64(v), err }, pick(10, 0.1*lbf/ft))
	check("unit weight", 1e5, func(v float64, s Style) string { return UnitWeight(v).Text(s) },
		func(x string) (float64, error) { v, err := ParseUnitWeight(x); return float64(v), err }, pick(10, 0.1*lbf/(ft*ft*ft)))
	check("EI", 1e7, func(v float64, s Style) string { return EI(v).Text(s) },
		func(x string) (float64, error) { v, err := ParseEI(x); return float64(v), err }, pick(100, 1000*lbf*in*in))
	check("mass", 1e4, func(v float64, s Style) string { return Mass(v).Text(s) },
		func(x string) (float64, error) { v, err := ParseMass(x); return float64(v), err }, pick(0.1, 0.1*0.45359237))
	check("area", 1e5, func(v float64, s Style) string { return Area(v).Text(s) },
		func(x string) (float64, error) { v, err := ParseArea(x); return float64(v), err }, pick(0.01, 0.1*ft*ft))
	check("volume", 1e5, func(v float64, s Style) string { return Volume(v).Text(s) },
		func(x string) (float64, error) { v, err := ParseVolume(x); return float64(v), err }, pick(0.01, 0.27*ft*ft*ft))
	check("angle", 7, func(v float64, _ Style) string { return Angle(v).Text() },
		func(x string) (float64, error) { v, err := ParseAngle(x); return float64(v), err }, pick(0.01*math.Pi/180, 0.01*math.Pi/180))
	check("duration", 1e4, func(v float64, _ Style) string { return Duration(v).Text() },
		func(x string) (float64, error) { v, err := ParseDuration(x); return float64(v), err }, pick(0.01, 0.01))
}

// Every way of writing the same feet, inches and sixteenths reads the same.
func TestFeetInchesSpellings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 200*192).Draw(t, "sixteenths")
		want := Length(n) * Inch / 16
		text := want.Text(US)
		feet := rapid.SampledFrom([]string{"'", " ft ", "ft-", "′ - ", "’", " feet "}).Draw(t, "feet")
		inches := rapid.SampledFrom([]string{`"`, " in", "″", " inches", "''", "in."}).Draw(t, "inches")
		text = strings.ReplaceAll(strings.ReplaceAll(text, `"`, inches), "'-", feet)
		got, err := ParseLength(text, 0)
		if err != nil || math.Abs(float64(got-want)) > 1e-9 {
			t.Fatalf("%q: got %v, %v; want %v", text, float64(got), err, float64(want))
		}
	})
}

var fuzzSeeds = []string{`12'-6 1/2"`, "3820 mm", "150 pcf", "24 kN/m3", "7.5 kN/m2", "5 days", "-1/2 in", "1e999 m", "12' 6", "½", "'", `"`, "- ", "9/9/9", "5.", "..", "e", "1e", "1e+"}

// FuzzParse: no parser panics, and what is read is a finite number.
func FuzzParse(f *testing.F) {
	for _, s := range fuzzSeeds {
		f.Add(s)
	}
	tables := []Units{Lengths, Areas, Volumes, Forces, Moments, Stresses, LineLoads, UnitWeights, EIs, Masses, Durations, Angles, Ratios, Numbers}
	f.Fuzz(func(t *testing.T, text string) {
		for _, bare := range []Length{0, Foot, Millimetre} {
			v, err := ParseLength(text, bare)
			finite(t, text, float64(v), err)
		}
		for _, u := range tables {
			v, err := u.Parse(text, 0)
			finite(t, text, v, err)
		}
	})
}

func finite(t *testing.T, text string, v float64, err error) {
	t.Helper()
	if math.IsNaN(v) || math.IsInf(v, 0) {
		t.Errorf("%q was read as %v", text, v)
	}
	if err != nil && v != 0 {
		t.Errorf("%q gives %v beside the error %v", text, v, err)
	}
	if e, ok := err.(*Error); err != nil && (!ok || e.Wrong == "" || e.Right == "") {
		t.Errorf("%q: error %v does not say what is wrong and what is right", text, err)
	}
}
