package job

import (
	"math"
	"strings"
	"testing"

	"shoreward/internal/quantity"
)

const storeysHead = `job: J
basis: us
lengths: ft
system: timber-beam
concrete: {strength: 4000 psi, cement: I}
levels:
  - name: L1
    top: 10 ft
    base: 0 ft
    pours:
      - {name: A, slab: {outline: [[0, 0], [20, 0], [20, 10], [0, 10]], thickness: 8 in}}
`

func TestStoreys(t *testing.T) {
	_, err := Parse("j.yaml", []byte(storeysHead+`storeys:
  design: {dead: 20 psf, live: 2.4 kN/m2, span: 18, depth: 6.75 in, engineer: [{strength: 2000 psi, load: 100 psf}, {strength: 3000 psi, load: 150 psf}]}
  forecast: [{date: 2027-03-01, low: 32 F, high: 50 F}, {date: 2027-03-02, low: -2.5 C, high: 10 °C}]
  log: {file: sensors.csv, unit: F}
  cylinders: [{age: 1 day, strength: 1500 psi}]
  cured: 73.4 F
  maturity: {datum: 32 F}
  prop_stiffness: 60 kip/in
  ground_stiffness: 20000 kN/m3
  strip_strength: 3000 psi
  order: reshores-first
`+""), nil)
	if err == nil || !strings.Contains(err.Error(), "need pours with dates") {
		t.Fatalf("temperatures with dates and pours without: %v", err)
	}
	j, err := Parse("dir/j.yaml", []byte(strings.Replace(storeysHead, "thickness: 8 in}}", "thickness: 8 in}, date: 2027-03-01}", 1)+`storeys:
  design: {dead: 20 psf, live: 2.4 kN/m2, span: 18, depth: 6.75 in, engineer: [{strength: 2000 psi, load: 100 psf}, {strength: 3000 psi, load: 150 psf}]}
  forecast: [{date: 2027-03-01, low: 32 F, high: 50 F}, {date: 2027-03-02, low: -2.5 C, high: 10 °C}]
  log: {file: sensors.csv, unit: F}
  cylinders: [{age: 1 day, strength: 1500 psi}]
  cured: 73.4 F
  maturity: {datum: 32 F}
  prop_stiffness: 60 kip/in
  ground_stiffness: 20000 kN/m3
  strip_strength: 3000 psi
  order: reshores-first
`), nil)
	if err != nil {
		t.Fatal(err)
	}
	s, d := j.Storeys, j.Levels[0].Design
	for name, pair := range map[string][2]float64{
		"low":       {float64(s.Forecast[0].Low), 0},
		"high":      {float64(s.Forecast[0].High), 10},
		"celsius":   {float64(s.Forecast[1].Low), -2.5},
		"degree":    {float64(s.Forecast[1].High), 10},
		"cured":     {float64(s.Cured), 23},
		"datum":     {float64(*s.Maturity.Datum), 0},
		"prop":      {s.PropStiffness, 60 * 4448.2216152605 / 0.0254}, // kip and inch, exact
		"ground":    {s.GroundStiffness, 2e7},
		"span":      {float64(d.Span), 18 * 0.3048},
		"live":      {float64(d.Live), 2400},
		"engineer":  {float64(d.Engineer[1].Load / quantity.PSF), 150},
		"cylinders": {float64(s.Cylinders[0].Age), 24},
		"forming":   {float64(s.Forming), 24},
	} {
		if math.Abs(pair[0]-pair[1]) > 1e-6*math.Max(1, math.Abs(pair[1])) {
			t.Errorf("%s: %g, want %g", name, pair[0], pair[1])
		}
	}
	if s.Log.File != "dir/sensors.csv" || !*s.Log.Fahrenheit || !s.ReshoresFirst || s.Loose {
		t.Errorf("%+v", s)
	}
	listed := map[string]bool{}
	for _, a := range j.Assumed {
		listed[a.Key] = true
	}
	for _, key := range []string{"storeys.forming", "storeys.criterion", "storeys.at_most", "storeys.loose", "storeys.strip_least"} {
		if !listed[key] {
			t.Errorf("the default of %s is not listed", key)
		}
	}
}

// Each mistake has one message, that says what is wrong and what would be right.
func TestStoreysMistakes(t *testing.T) {
	const good = "  design: {dead: 20 psf, live: 50 psf, span: 18}\n"
	for name, c := range map[string]struct{ text, want string }{
		"no temperature":     {good, "no temperature"},
		"bare temperature":   {good + "  temperature: 68\n", "not a temperature with its unit"},
		"two temperatures":   {good + "  temperature: 68 F\n  forecast: [{date: 2027-03-01, low: 1 C, high: 2 C}]\n", "beside a forecast"},
		"too hot":            {good + "  temperature: 68 C\n", "out of range"},
		"low over high":      {good + "  forecast: [{date: 2027-03-01, low: 9 C, high: 2 C}]\n", "the low is over the high"},
		"days":               {good + "  forecast: [{date: 2027-03-02, low: 1 C, high: 2 C}, {date: 2027-03-01, low: 1 C, high: 2 C}]\n", "not after the day before it"},
		"no design":          {"  temperature: 68 F\n  design: {span: 18}\n", "is designed for is not said"},
		"no span":            {"  temperature: 68 F\n  design: {dead: 20 psf, live: 50 psf}\n", "the span of the slab"},
		"depth":              {"  temperature: 68 F\n  design: {dead: 20 psf, live: 50 psf, span: 18, depth: 9 in}\n", "not less than the thickness"},
		"cylinders alone":    {good + "  temperature: 68 F\n  cylinders: [{age: 1 day, strength: 900 psi}]\n  maturity: {datum: 0 C}\n", "what the cylinders were kept at"},
		"no measure":         {good + "  temperature: 68 F\n  cylinders: [{age: 1 day, strength: 900 psi}]\n  cured: 73 F\n", "measure of maturity is not said"},
		"two measures":       {good + "  temperature: 68 F\n  cylinders: [{age: 1 day, strength: 900 psi}]\n  cured: 73 F\n  maturity: {datum: 0 C, q: 5000}\n", "one of a datum and a q"},
		"no reference":       {good + "  temperature: 68 F\n  cylinders: [{age: 1 day, strength: 900 psi}]\n  cured: 73 F\n  maturity: {q: 5000}\n", "reference temperature"},
		"maturity alone":     {good + "  temperature: 68 F\n  maturity: {datum: 0 C}\n", "goes with cylinders"},
		"too strong":         {good + "  temperature: 68 F\n  strip_strength: 5000 psi\n", "not specified to reach this"},
		"engineer":           {"  temperature: 68 F\n  design: {span: 18, engineer: [{strength: 3000 psi, load: 90 psf}, {strength: 2000 psi, load: 95 psf}]}\n", "must go up with the strength"},
		"unknown key":        {good + "  temperature: 68 F\n  criteria: linear\n", `did you mean "criterion"?`},
		"unknown criterion":  {good + "  temperature: 68 F\n  criterion: cubic\n", "not one of the choices"},
		"stiffness no unit":  {good + "  temperature: 68 F\n  prop_stiffness: 12\n", "prop_stiffness"},
		"part above the one": {good + "  temperature: 68 F\n  at_most: 1.2\n", "out of range"},
	} {
		_, err := Parse("j.yaml", []byte(storeysHead+"storeys:\n"+c.text), nil)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", name, err, c.want)
		}
	}
	for text, want := range map[string]string{
		strings.Replace(storeysHead, "cement: I", "cement: II", 1) + "storeys:\n" + good + "  temperature: 68 F\n": "no growth curve is known",
		strings.Replace(storeysHead, ", cement: I", "", 1) + "storeys:\n" + good + "  temperature: 68 F\n":         "has no cement",
		strings.Replace(storeysHead, "    pours:\n", "    design: {live: 50 psf}\n    pours:\n", 1):                "no storeys to use them in",
		strings.Replace(storeysHead, "thickness: 8 in}}\n", "thickness: 8 in}}\n      - {name: B, date: 2027-03-01, slab: {outline: [[20, 0], [30, 0], [30, 10], [20, 10]], thickness: 8 in}}\n", 1) +
			"storeys:\n" + good + "  temperature: 68 F\n": "date every pour, or none",
	} {
		if _, err := Parse("j.yaml", []byte(text), nil); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %q", err, want)
		}
	}
}
