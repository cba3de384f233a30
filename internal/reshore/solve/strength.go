package solve

import (
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"time"

	"shoreward/internal/calc"
	"shoreward/internal/job"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
	"shoreward/internal/rules/aci209"
	"shoreward/internal/strength"
)

// placedAt is the hour of the day at which concrete begins to count: the end of
// the day's work.
const placedAt = 16

// mostGap in a log that still counts.
const mostGap quantity.Duration = 3

// fullRate is the temperature above which growth curves count no faster.
const fullRate quantity.Temperature = 20

// spell of lower temperatures, or of later strength, of a what-if.
type spell struct {
	from, to quantity.Duration
	colder   quantity.Temperature
	late     quantity.Duration
}

// hardening tells the strength and stiffness of the job's concrete by when it was
// placed.
type hardening struct {
	gain   strength.Gain
	age    strength.Measure // equivalent age at 20 °C, for the curves
	cal    *strength.Calibration
	start  time.Time
	steady *quantity.Temperature
	log    []strength.Sensor // measured, with the forecast behind it
	what   spell
	curves map[quantity.Duration]*curve // by time of placing
}

// curve is the hardening of concrete placed at one time.
type curve struct {
	h         *hardening
	placed    quantity.Duration
	aged, own []strength.Point        // maturity for the growth curve, and for the cylinders
	strengths map[int]quantity.Stress // by sixteenths of an hour
	moduli    map[int]quantity.Ratio
}

func newHardening(j *job.Job, start time.Time, end quantity.Duration) (*hardening, error) {
	s := j.Storeys
	h := &hardening{start: start, age: strength.FreieslebenAge(), steady: s.Steady, curves: map[quantity.Duration]*curve{}}
	var err error
	switch {
	case j.Basis == rules.EU:
		h.gain, err = strength.EN1992(j.Concrete.Cement, j.Concrete.Strength)
	case j.Concrete.Cement == "III":
		h.gain, err = strength.ACI209(aci209.TypeIIIMoist, j.Concrete.Strength)
	default:
		h.gain, err = strength.ACI209(aci209.TypeIMoist, j.Concrete.Strength)
	}
	if err != nil {
		return nil, err
	}
	if len(s.Cylinders) > 0 {
		if err := h.calibrate(s); err != nil {
			return nil, fmt.Errorf("storeys.cylinders: %w", err)
		}
	}
	if s.Steady == nil {
		if err := h.temperatures(s, end); err != nil {
			return nil, err
		}
	}
	return h, nil
}

func (h *hardening) calibrate(s *job.Storeys) error {
	m, err := strength.EquivalentAge(s.Maturity.Q, s.Maturity.Reference)
	if s.Maturity.Datum != nil {
		m, err = strength.Factor(*s.Maturity.Datum)
	}
	if err != nil {
		return err
	}
	var breaks []strength.Break
	for i, c := range s.Cylinders {
		breaks = append(breaks, strength.Break{Maturity: m.Cured(s.Cured, c.Age), Strength: c.Strength, Name: fmt.Sprintf("test %d", i+1)})
	}
	h.cal, err = strength.Calibrate(m, breaks, strength.DefaultConfidence)
	return err
}

// temperatures joins the log and the forecast; past the end the coldest mean of a
// day that is known goes on.
func (h *hardening) temperatures(s *job.Storeys, end quantity.Duration) error {
	sensors := []strength.Sensor{{Name: "forecast"}}
	if l := s.Log; l != nil {
		f, err := os.Open(l.File)
		if err != nil {
			return fmt.Errorf("storeys.log: %w", err)
		}
		log, err := strength.ReadLog(f, strength.LogOptions{Fahrenheit: l.Fahrenheit, DayFirst: l.DayFirst})
		f.Close()
		if err != nil {
			return fmt.Errorf("storeys.log %s: %w", l.File, err)
		}
		sensors = slices.DeleteFunc(log.Sensors, func(s strength.Sensor) bool { return len(s.Readings) == 0 })
	}
	var days []strength.DayForecast
	for _, d := range s.Forecast {
		at, err := time.Parse(time.DateOnly, d.Date)
		if err != nil {
			return err
		}
		days = append(days, strength.DayForecast{Date: at, Low: d.Low, High: d.High})
	}
	var expected []strength.Reading
	if len(days) > 0 {
		var err error
		if expected, err = strength.Forecast(days); err != nil {
			return err
		}
	}
	for i := range sensors {
		r := strength.Join(sensors[i].Readings, expected)
		coldest := coldestDay(r)
		last := h.start.Add(hoursOf(end))
		for at := r[len(r)-1].At.Add(time.Hour); at.Before(last); at = at.Add(time.Hour) {
			r = append(r, strength.Reading{At: at, T: coldest, Forecast: true})
		}
		sensors[i].Readings = r
	}
	h.log = sensors
	return nil
}

func hoursOf(d quantity.Duration) time.Duration {
	return time.Duration(float64(d) * float64(time.Hour))
}

// coldestDay is the least mean of a day of readings.
func coldestDay(rs []strength.Reading) quantity.Temperature {
	sum, n := map[string]float64{}, map[string]float64{}
	for _, r := range rs {
		k := r.At.Format(time.DateOnly)
		sum[k] += float64(r.T)
		n[k]++
	}
	low := math.Inf(1)
	for k := range sum {
		low = math.Min(low, sum[k]/n[k])
	}
	return quantity.Temperature(low)
}

// with another course of things.
func (h *hardening) with(w spell) *hardening {
	out := *h
	out.what, out.curves = w, map[quantity.Duration]*curve{}
	return &out
}

// of concrete placed at a time.
func (h *hardening) of(placed quantity.Duration) (*curve, error) {
	if c := h.curves[placed]; c != nil {
		return c, nil
	}
	c := &curve{h: h, placed: placed, strengths: map[int]quantity.Stress{}, moduli: map[int]quantity.Ratio{}}
	if h.steady != nil {
		h.curves[placed] = c
		return c, nil
	}
	at := h.start.Add(hoursOf(placed))
	var err error
	read := func(m strength.Measure, most quantity.Temperature) []strength.Point {
		var sensors []strength.Sensor
		for _, s := range h.log {
			if s.Readings[0].At.After(at) {
				err = errors.Join(err, fmt.Errorf("the temperatures of %s begin %s, after concrete was placed on %s", s.Name, s.Readings[0].At.Format(time.DateTime), at.Format(time.DateTime)))
				return nil
			}
			out := strength.Sensor{Name: s.Name}
			for _, r := range s.Readings {
				if hour := quantity.Duration(r.At.Sub(h.start).Hours()); hour >= h.what.from && hour < h.what.to {
					r.T -= h.what.colder
				}
				r.T = min(r.T, most)
				out.Readings = append(out.Readings, r)
			}
			sensors = append(sensors, out)
		}
		points, _, fault := m.Lowest(sensors, at, mostGap)
		err = errors.Join(err, fault)
		return points
	}
	c.aged = read(h.age, fullRate)
	if h.cal != nil {
		c.own = read(h.cal.Measure, 1e3)
	}
	if err != nil {
		return nil, err
	}
	h.curves[placed] = c
	return c, nil
}

// maturity by a measure at a time, and whether it leans on a forecast.
func (c *curve) maturity(m strength.Measure, points []strength.Point, most quantity.Temperature, at quantity.Duration) (float64, bool) {
	at -= c.h.what.late
	if at <= c.placed {
		return 0, false
	}
	if t := c.h.steady; t != nil {
		cold := max(min(at, c.h.what.to)-max(c.placed, c.h.what.from), 0) // hours in the spell
		return m.Cured(min(*t, most), at-c.placed-cold) + m.Cured(min(*t-c.h.what.colder, most), cold), true
	}
	when := c.h.start.Add(hoursOf(at))
	k, _ := slices.BinarySearchFunc(points, when, func(p strength.Point, t time.Time) int { return p.At.Compare(t) })
	switch {
	case k == len(points):
		return points[k-1].Maturity, true
	case k == 0:
		return points[0].Maturity, points[0].Forecast
	}
	p, q := points[k-1], points[k]
	return p.Maturity + (q.Maturity-p.Maturity)*float64(when.Sub(p.At))/float64(q.At.Sub(p.At)), q.Forecast
}

// line of the strength at a time, at its lower bound where there are cylinders, and
// whether it leans on temperatures that are not measured.
func (c *curve) line(at quantity.Duration) (calc.Line, bool) {
	h := c.h
	if h.cal != nil {
		m, forecast := c.maturity(h.cal.Measure, c.own, 1e3, at)
		l := h.cal.Line(m)
		l.Value = math.Min(l.Value, float64(h.gain.Full))
		return l, forecast
	}
	age, forecast := c.maturity(h.age, c.aged, fullRate, at)
	l, err := h.gain.Strength(quantity.Duration(age))
	if err != nil { // where no curve tells, tests must: nothing is counted
		l = calc.Line{Symbol: "f_t", Name: "strength at this age", Kind: calc.Stress, Source: h.gain.Name, Evidence: calc.Memory, Note: "tests must tell: nothing is counted"}
	}
	return l, forecast
}

// strength at a time.
func (c *curve) strength(at quantity.Duration) quantity.Stress {
	k := int(math.Round(float64(at) * 16))
	if s, ok := c.strengths[k]; ok {
		return s
	}
	l, _ := c.line(at)
	c.strengths[k] = quantity.Stress(l.Value)
	return quantity.Stress(l.Value)
}

// stiffer is the part of the modulus at 28 days that concrete of an age has.
func (c *curve) stiffer(age quantity.Duration) quantity.Ratio {
	k := int(math.Round(float64(age) * 16))
	if r, ok := c.moduli[k]; ok {
		return r
	}
	r := c.modulus(age)
	c.moduli[k] = r
	return r
}

func (c *curve) modulus(age quantity.Duration) quantity.Ratio {
	m, _ := c.maturity(c.h.age, c.aged, fullRate, c.placed+age)
	if m <= 0 {
		return 1e-6 // hardly set
	}
	return quantity.Ratio(c.h.gain.Modulus(quantity.Duration(m)).Value)
}

// reached is the first whole hour from a time on at which a strength is there.
func (c *curve) reached(s quantity.Stress, from quantity.Duration) (quantity.Duration, bool) {
	return firstHour(from, func(at quantity.Duration) bool { return c.strength(at) >= s*(1-1e-9) })
}

// longest that a striking is looked for after its time.
const longest quantity.Duration = 24 * 120

// firstHour from a time on, counted in whole hours, from which a thing holds that
// then holds for good.
func firstHour(from quantity.Duration, holds func(quantity.Duration) bool) (quantity.Duration, bool) {
	if holds(from) {
		return from, true
	}
	low, high := 0, int(longest)
	if !holds(from + longest) {
		return from, false
	}
	for high-low > 1 {
		if mid := (low + high) / 2; holds(from + quantity.Duration(mid)) {
			high = mid
		} else {
			low = mid
		}
	}
	return from + quantity.Duration(high), true
}
