package job

import (
	"fmt"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"shoreward/internal/quantity"
	"shoreward/internal/rules"
	"shoreward/internal/yamlfile"
)

// Storeys is what following the loads through all levels needs.
type Storeys struct {
	// Of the concrete while it hardens: one of the three.
	Steady   *quantity.Temperature
	Forecast []DayTemperature
	Log      *TemperatureLog

	Cylinders []Cylinder           // tests of the mix; none: the growth curve of its cement
	Cured     quantity.Temperature // what the cylinders were kept at
	Maturity  Maturity             // the measure they are read by

	StripStrength quantity.Stress   // asked for before forms go; the slabs must carry it too
	StripLeast    quantity.Duration // least time from placing to striking
	Working       quantity.Stress   // people and gear on a slab when it is struck
	Forming       quantity.Duration // from striking a level to placing on its forms again
	ReshoresFirst bool              // lowest reshores go before the lowest shores are struck
	Loose         bool              // reshores that came loose stay loose
	Criterion     string            // by which young slabs are judged
	AtMost        float64           // most part of the design load that may be used

	PropStiffness   float64         // of one prop with its head and foot, N/m; 0: by its parts
	GroundStiffness float64         // under the lowest props, N/m3 of floor
	StripArea       quantity.Area   // most that is stripped at once; 0: one bay
	ReshorePitch    quantity.Length // farthest that reshores may stand apart; 0: one under every prop above
}

// DayTemperature is what a day is expected to bring.
type DayTemperature struct {
	Date      string // ISO
	Low, High quantity.Temperature
}

// TemperatureLog is the file of a logger.
type TemperatureLog struct {
	File       string // beside the job file, or absolute
	Fahrenheit *bool
	DayFirst   *bool
}

// Cylinder is a test of the mix.
type Cylinder struct {
	Age      quantity.Duration
	Strength quantity.Stress
}

// Maturity is the measure that cylinders are read by: a temperature-time factor
// over a datum, or an equivalent age.
type Maturity struct {
	Datum     *quantity.Temperature
	Q         float64 // K; 0: by the datum
	Reference quantity.Temperature
}

// Design is what the structure's engineer designed a slab for.
type Design struct {
	Dead, Live quantity.Stress // without factors, own weight not counted
	Loads      bool            // they are given
	Span       quantity.Length // between columns
	Depth      quantity.Length // effective, for punching; 0: not given
	Engineer   []Allowed       // loads that the engineer allows by strength
}

// Allowed is a load, own weight included, that the engineer allows at a strength.
type Allowed struct{ From, Load quantity.Stress }

// Numbers of the cycle: nothing for what is to be found, -1 for levels.
func (f Floors) Numbers() (cycle quantity.Duration, shores, reshores int) {
	shores, reshores = -1, -1
	if d, err := quantity.ParseDuration(f.Cycle); err == nil {
		cycle = d
	}
	if n, err := strconv.Atoi(f.Shores); err == nil {
		shores = n
	}
	if n, err := strconv.Atoi(f.Reshores); err == nil {
		reshores = n
	}
	return cycle, shores, reshores
}

// temperature with its unit, °C or °F.
func temperature(want string, lo, hi quantity.Temperature) form {
	pattern := regexp.MustCompile(`^([+-]?[0-9]+(?:\.[0-9]+)?) ?(?:°|deg)? ?([CF])$`)
	return value(want, map[string]any{"type": "string"}, func(r *reader, n *node) (string, string) {
		m := pattern.FindStringSubmatch(strings.TrimSpace(n.Text))
		if m == nil {
			return fmt.Sprintf("%q is not a temperature with its unit", n.Text), "write it like 68 F or 20 C"
		}
		v, err := strconv.ParseFloat(m[1], 64)
		if err != nil {
			return fmt.Sprintf("%q is not a temperature", n.Text), "write it like 68 F or 20 C"
		}
		t := quantity.Temperature(v)
		if m[2] == "F" {
			t = quantity.Fahrenheit(v)
		}
		if n.Value = float64(t); t < lo || t > hi {
			return n.Text + " is out of range", fmt.Sprintf("write %s from %s to %s", want, lo.Text(r.style), hi.Text(r.style))
		}
		return "", ""
	})
}

// perShortening is the units of a prop's stiffness, N/m.
var perShortening = quantity.Units{What: "force per shortening", List: []quantity.Unit{
	{Size: 1e6, Spelt: []string{"kN/mm"}}, {Size: 1e3, Spelt: []string{"N/mm", "kN/m"}},
	{Size: float64(quantity.Kip) / float64(quantity.Inch), Spelt: []string{"kip/in", "k/in"}}, {Size: float64(quantity.Pound) / float64(quantity.Inch), Spelt: []string{"lb/in"}}}}

type springs float64

func (v springs) Text(s quantity.Style) string {
	if s == quantity.US {
		return fmt.Sprintf("%.4g kip/in", float64(v)*float64(quantity.Inch)/float64(quantity.Kip))
	}
	return fmt.Sprintf("%.4g kN/mm", float64(v)/1e6)
}

// designForm is what slabs are designed for: of all levels, or of one.
func designForm(name string) form {
	return keysOf(name,
		may("dead", amount("a load per area", quantity.Stresses, areaLoad(0), areaLoad(heaviest)), "superimposed dead load, without factors, the slab's own weight not counted"),
		may("live", amount("a load per area", quantity.Stresses, areaLoad(0), areaLoad(heaviest)), "live load that the slab is designed for, without factors"),
		may("span", size("a span", 50*quantity.Metre), "between the columns, for the stiffness of the slab"),
		may("depth", size("a depth", thickest), "effective depth of the slab, for punching at props"),
		may("engineer", listOf("a list of loads by strength", keysOf("an allowed load of "+name,
			must("strength", amount("a strength with its unit", quantity.Stresses, quantity.Megapascal, 200*quantity.Megapascal), "of the concrete, from which on"),
			must("load", amount("a load per area", quantity.Stresses, areaLoad(0), areaLoad(heaviest)), "the slab may carry this, own weight included, without factors"),
		), 1, 0), "loads that the engineer allows on the young slab; they are used before any rule"),
	)
}

var storeysForm = keysOf("the storeys",
	may("design", designForm("the design loads"), "what the slabs are designed for; a level may say otherwise"),
	may("temperature", temperature("a temperature", -20, 40), "of the concrete while it hardens, the least to be expected; or a forecast, or a log"),
	may("forecast", listOf("a list of days", keysOf("a day",
		must("date", date(), "the day"),
		must("low", temperature("a temperature", -40, 50), "least of the day"),
		must("high", temperature("a temperature", -40, 50), "greatest of the day"),
	), 1, 0), "temperatures expected, day after day; with a log, after its end"),
	may("log", keysOf("the log",
		must("file", text("the path of a file"), "CSV of the logger, beside this file"),
		may("unit", choice("C", "F"), "where its headings do not say"),
		may("day_first", flag(), "dates like 03/04/2027 are the 3rd of April"),
	), "temperatures measured in the concrete"),
	may("cylinders", listOf("a list of tests", keysOf("a test",
		must("age", amount("a duration like 3 days", quantity.Durations, hours(6), hours(24*365)), "age at the test"),
		must("strength", amount("a strength with its unit", quantity.Stresses, 100e3, 200*quantity.Megapascal), "found"),
	), 1, 0), "compression tests of the mix; without them the growth curve of the cement counts"),
	may("cured", temperature("a temperature", 0, 40), "what the cylinders were kept at"),
	may("maturity", keysOf("the maturity",
		may("datum", temperature("a temperature", -20, 10), "of the temperature-time factor"),
		may("q", number("a temperature in kelvin", 1000, 15000), "of the equivalent age, about 5000"),
		may("reference", temperature("a temperature", 0, 40), "of the equivalent age, 20 C or 23 C"),
	), "the measure that the cylinders are read by: a datum, or q with its reference"),
	may("strip_strength", amount("a strength with its unit", quantity.Stresses, quantity.Megapascal, 200*quantity.Megapascal), "of the concrete that the engineer asks for before forms go; without it 75 % of the specified one"),
	may("strip_least", amount("a duration like 1 day", quantity.Durations, hours(6), hours(24*90)), "least time from the last placing over a level to striking it"),
	may("working", amount("a load per area", quantity.Stresses, areaLoad(0), areaLoad(heaviest)), "people and gear on a slab when it is struck"),
	may("forming", amount("a duration like 1 day", quantity.Durations, hours(1), hours(24*90)), "from striking a level to placing on its forms again, at least"),
	may("order", choice("shores-first", "reshores-first"), "what goes first once a level is placed"),
	may("loose", flag(), "reshores that come loose are left loose; otherwise they are made snug before every placing, which must then be done"),
	may("criterion", choice("linear", "aci-347.2r", "en-punching", "sadgrove", "beeby"), "how young slabs are judged where the engineer gives no loads"),
	may("at_most", number("a part", 0.1, 1), "most part of the design load that may be used"),
	may("prop_stiffness", amount[springs]("a stiffness like 12 kN/mm", perShortening, 1e5, 1e9), "of one prop with its head and foot, force per shortening"),
	may("ground_stiffness", amount[quantity.UnitWeight]("a stiffness per area like 5000 kN/m3", quantity.UnitWeights, 1e5, 1e9), "of the ground under the lowest props, load per area over settlement"),
	may("strip_area", amount("an area with its unit", quantity.Areas, quantity.Area(1), quantity.Area(2000)), "most that is stripped before reshores are in; without it one bay, the span squared"),
	may("reshore_pitch", size("a distance", 10*quantity.Metre), "farthest that reshores may stand apart, as 8 ft; without it one stands under every prop above"),
)

// storeys reads what the loads through the levels need.
func (r *reader) storeys(root *node) {
	n := root.Get("storeys")
	levels := root.Get("levels").List()
	for i, ln := range levels {
		if d := ln.Get("design"); d != nil && n == nil {
			r.problem(d, fmt.Sprintf("level %s has design loads, but the job has no storeys to use them in", word(ln.Get("name"))), "add a block \"storeys\" with a temperature, or take it out")
			return
		}
		if i >= len(r.job.Levels) {
			return
		}
	}
	if n == nil || n.Shape != yamlfile.Block {
		return
	}
	s := &Storeys{StripLeast: 24, Forming: 24, Criterion: "linear", AtMost: 1, GroundStiffness: 5e6, Working: 750}
	if r.style == quantity.US {
		s.Working = 20 * quantity.PSF
		s.GroundStiffness = float64(32*quantity.PCF) * 1000
	}
	r.job.Storeys = s
	r.temperatures(n, s)
	r.cylinders(root, n, s)
	set := section{r: r, name: "storeys.", block: n, why: "setting of the program, common practice"}
	set.time("strip_least", &s.StripLeast)
	set.time("forming", &s.Forming)
	set.why = "very light duty of ASCE/SEI 37 and working area of EN 12812, from memory"
	set.load("working", &s.Working)
	set.why = "the order that asks less of the slabs; the other is worse"
	set.take("order", func(n *node) { s.ReshoresFirst = n.Text == "reshores-first" }, func() string { return "shores-first" })
	set.why = "reshores must then be made snug before every placing"
	set.flag("loose", &s.Loose)
	set.why = "asks more than flexure, shear and punching do"
	set.take("criterion", func(n *node) { s.Criterion = n.Text }, func() string { return s.Criterion })
	set.why = "the whole design load, never more"
	set.plain("at_most", &s.AtMost)
	set.why = "setting of the program, low confidence; the rigid run takes ground that does not give, and the worse of both counts"
	set.take("ground_stiffness", func(n *node) { s.GroundStiffness = n.Value }, func() string { return quantity.UnitWeight(s.GroundStiffness).Text(r.style) })
	s.StripStrength = 0.75 * r.job.Concrete.Strength
	set.why = "a common specification: 75 % of the specified strength; less is for the engineer to allow"
	take(set, "strip_strength", &s.StripStrength)
	s.PropStiffness = num(n.Get("prop_stiffness"))
	s.StripArea, s.ReshorePitch = quantity.Area(num(n.Get("strip_area"))), meters(n.Get("reshore_pitch"))
	if f := n.Get("strip_strength"); f.OK() && s.StripStrength > r.job.Concrete.Strength && r.job.Concrete.Strength > 0 {
		r.problem(f, "the concrete is not specified to reach this", "give a strength up to that of the concrete, "+r.job.Concrete.Strength.Text(r.style))
	}
	r.designs(n, levels)
	r.dates(levels)
}

// temperatures of the hardening concrete: how fast it grows depends on nothing more.
func (r *reader) temperatures(n *node, s *Storeys) {
	steady, forecast, log := n.Get("temperature"), n.Get("forecast"), n.Get("log")
	switch {
	case steady == nil && forecast == nil && log == nil:
		r.problem(n, "the storeys have no temperature: strength depends on it, and none is assumed", "add temperature: "+r.eg("50 F", "10 C")+" (the least to be expected), a forecast, or a log")
		return
	case steady != nil && (forecast != nil || log != nil):
		r.problem(steady, "a temperature stands beside a forecast or a log", "keep one")
		return
	}
	if steady.OK() {
		t := quantity.Temperature(steady.Value)
		s.Steady = &t
	}
	last := ""
	for _, d := range forecast.List() {
		t := DayTemperature{word(d.Get("date")), quantity.Temperature(num(d.Get("low"))), quantity.Temperature(num(d.Get("high")))}
		if d.Get("low").OK() && d.Get("high").OK() && t.Low > t.High {
			r.problem(d.Get("low"), "the low is over the high", "check both")
		}
		if d.Get("date").OK() && t.Date <= last {
			r.problem(d.Get("date"), t.Date+" is not after the day before it in the list", "list the days in order, one a day")
		}
		last = t.Date
		s.Forecast = append(s.Forecast, t)
	}
	if log.OK() && log.Get("file").OK() {
		l := &TemperatureLog{File: log.Get("file").Text}
		if !filepath.IsAbs(l.File) {
			l.File = filepath.Join(filepath.Dir(log.File), l.File)
		}
		if u := log.Get("unit"); u.OK() {
			f := u.Text == "F"
			l.Fahrenheit = &f
		}
		if u := log.Get("day_first"); u.OK() {
			f := u.Value == 1
			l.DayFirst = &f
		}
		s.Log = l
	}
}

// cylinders and the measure they are read by; without them the cement must be
// known to a growth curve.
func (r *reader) cylinders(root, n *node, s *Storeys) {
	tests, cured, maturity := n.Get("cylinders"), n.Get("cured"), n.Get("maturity")
	if tests == nil {
		for _, x := range []*node{cured, maturity} {
			if x != nil {
				r.problem(x, "this goes with cylinders, and there are none", "add the cylinders, or take it out")
			}
		}
	}
	cement := root.Get("concrete").Get("cement")
	known := []string{"I", "III"}
	if r.basis == rules.EU {
		known = []string{"R", "N", "S"}
	}
	switch c := word(cement); {
	case cement == nil:
		r.problem(n, "the concrete has no cement, and the growth of its strength and stiffness depends on it", "add cement: "+orList(known)+" to the concrete")
	case cement.OK() && !slices.Contains(known, c):
		r.problem(cement, fmt.Sprintf("no growth curve is known for cement %q on basis %s", c, r.basis), "write "+orList(known)+": the slower one where in doubt")
	}
	if tests == nil {
		return
	}
	for _, t := range tests.List() {
		s.Cylinders = append(s.Cylinders, Cylinder{quantity.Duration(num(t.Get("age"))), quantity.Stress(num(t.Get("strength")))})
	}
	if cured == nil {
		r.problem(tests, "it is not said what the cylinders were kept at", "add cured: "+r.eg("73 F", "20 C"))
	} else {
		s.Cured = quantity.Temperature(num(cured))
	}
	if maturity == nil {
		r.problem(tests, "the measure of maturity is not said: sources differ, and a calibration is good for its own only", "add maturity: {datum: "+r.eg("32 F", "0 C")+"}, or {q: 5000, reference: 20 C}")
		return
	}
	datum, q, reference := maturity.Get("datum"), maturity.Get("q"), maturity.Get("reference")
	switch {
	case (datum == nil) == (q == nil):
		r.problem(maturity, "the measure is one of a datum and a q", "keep datum, or q with its reference")
	case q != nil && reference == nil:
		r.problem(q, "an equivalent age has a reference temperature", "add reference: 20 C, or 23 C")
	case datum != nil && reference != nil:
		r.problem(reference, "a reference goes with q", "take it out")
	}
	if datum.OK() {
		t := quantity.Temperature(datum.Value)
		s.Maturity.Datum = &t
	}
	s.Maturity.Q, s.Maturity.Reference = num(q), quantity.Temperature(num(reference))
}

// designs puts together what each level was designed for.
func (r *reader) designs(n *node, levels []*node) {
	general := n.Get("design")
	for i, ln := range levels {
		own := ln.Get("design")
		pick := func(key string) *node {
			if x := own.Get(key); x != nil {
				return x
			}
			return general.Get(key)
		}
		d := &r.job.Levels[i].Design
		at := own
		if at == nil {
			at = general
		}
		if at == nil {
			at = n
		}
		name := word(ln.Get("name"))
		dead, live, engineer := pick("dead"), pick("live"), pick("engineer")
		d.Loads = dead != nil && live != nil
		d.Dead, d.Live = quantity.Stress(num(dead)), quantity.Stress(num(live))
		d.Span, d.Depth = meters(pick("span")), meters(pick("depth"))
		if !d.Loads && engineer == nil {
			r.problem(at, fmt.Sprintf("what the slab of level %s is designed for is not said", name), "add dead (superimposed) and live under design, or the engineer's own loads by strength")
		}
		if pick("span") == nil {
			r.problem(at, fmt.Sprintf("the span of the slab of level %s is not said: its share of the load depends on it", name), "add span under design, the distance of the columns")
		}
		for k, e := range engineer.List() {
			a := Allowed{quantity.Stress(num(e.Get("strength"))), quantity.Stress(num(e.Get("load")))}
			if k > 0 && (a.From <= d.Engineer[k-1].From || a.Load < d.Engineer[k-1].Load) && e.Get("strength").OK() && e.Get("load").OK() {
				r.problem(e, "the loads that the engineer allows must go up with the strength", "list them by rising strength")
			}
			d.Engineer = append(d.Engineer, a)
		}
		for _, p := range r.job.Levels[i].Pours {
			if d.Depth > 0 && p.Slab.Thickness > 0 && d.Depth >= p.Slab.Thickness {
				r.problem(pick("depth"), fmt.Sprintf("the effective depth is not less than the thickness of pour %s, %s", p.Name, p.Slab.Thickness.Text(r.style)), "give the depth to the bars")
				break
			}
		}
	}
}

// dates of the pours: all of them or none.
func (r *reader) dates(levels []*node) {
	var with, without *node
	for _, ln := range levels {
		for _, pn := range ln.Get("pours").List() {
			if pn.Get("date") != nil {
				with = pn
			} else if without == nil {
				without = pn
			}
		}
	}
	s := r.job.Storeys
	if with != nil && without != nil {
		r.problem(without, fmt.Sprintf("pour %s has no date and others have", word(without.Get("name"))), "date every pour, or none: their levels then follow one another by the cycle")
	}
	if with == nil && (len(s.Forecast) > 0 || s.Log != nil) {
		r.problem(levels[0], "temperatures with dates need pours with dates", "date the pours, or give one temperature")
	}
}
