package strength

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
	"shoreward/internal/rules/astmc1074"
	"shoreward/internal/rules/ciria136"
	"shoreward/internal/rules/en1992"
)

// Reading of a sensor in the concrete.
type Reading struct {
	At       time.Time
	T        quantity.Temperature
	Row      int  // of the log, from 1; 0 where there is none
	Forecast bool // expected, not measured
}

// Measure is a way to count maturity. A calibration is good for its own only.
type Measure struct {
	Name     string
	Unit     string // °C·h or h
	Source   string
	Evidence calc.Evidence
	step     func(mean quantity.Temperature, interval quantity.Duration) float64
}

// Factor is the temperature-time factor of Nurse and Saul over a datum, °C·h.
func Factor(datum quantity.Temperature) (Measure, error) {
	if !(datum >= -20 && datum <= 10) {
		return Measure{}, fmt.Errorf("a datum of %s: between -20 °C and 10 °C, 0 °C for Type I cement where no other was found", datum.Text(quantity.Metric))
	}
	return Measure{fmt.Sprintf("temperature-time factor, datum %s", datum.Text(quantity.Metric)), "°C·h", "ASTM C1074 eq. 1", calc.Memory,
		func(mean quantity.Temperature, dt quantity.Duration) float64 {
			return astmc1074.TemperatureTimeFactor(mean, datum, dt).Value
		}}, nil
}

// EquivalentAge in hours at a reference temperature with Q = E_a/R in kelvin.
func EquivalentAge(qKelvin float64, reference quantity.Temperature) (Measure, error) {
	if !(qKelvin >= 1000 && qKelvin <= 15000) || !(reference >= 0 && reference <= 40) {
		return Measure{}, fmt.Errorf("a Q of %g K at %s: it is about 5000 K (E_a of 40 to 45 kJ/mol over 8.314), the reference 20 °C or 23 °C", qKelvin, reference.Text(quantity.Metric))
	}
	return age(fmt.Sprintf("equivalent age, Q %.0f K, %s", qKelvin, reference.Text(quantity.Metric)), "ASTM C1074 eq. 2", calc.Memory,
		func(t quantity.Temperature) float64 { return astmc1074.AgeRate(t, reference, qKelvin).Value }), nil
}

// FreieslebenAge is equivalent age at 20 °C with the activation energy that
// depends on temperature.
func FreieslebenAge() Measure {
	return age("equivalent age, Freiesleben Hansen and Pedersen, 20 °C", "Freiesleben Hansen and Pedersen", calc.ReadWeak, func(t quantity.Temperature) float64 {
		return astmc1074.AgeRate(t, 20, astmc1074.ActivationEnergy(t).Value/astmc1074.GasConstant).Value
	})
}

// AdjustedAge is that of EN 1992-1-1 (B.10) and fib MC2010.
func AdjustedAge() Measure {
	return age("temperature-adjusted age, EN 1992-1-1 (B.10)", "EN 1992-1-1:2004 (B.10)", calc.Memory, func(t quantity.Temperature) float64 { return en1992.AgeRate(t).Value })
}

// SadgroveAge is that of CIRIA 136.
func SadgroveAge() Measure {
	return age("equivalent age, Sadgrove, 20 °C", "CIRIA Report 136 (Sadgrove)", calc.Memory, func(t quantity.Temperature) float64 { return ciria136.AgeRate(t).Value })
}

func age(name, source string, e calc.Evidence, rate func(quantity.Temperature) float64) Measure {
	return Measure{name, "h", source, e, func(mean quantity.Temperature, dt quantity.Duration) float64 { return rate(mean) * float64(dt) }}
}

// Cured is the maturity of cylinders kept at one temperature to an age.
func (m Measure) Cured(at quantity.Temperature, age quantity.Duration) float64 {
	return m.step(at, age)
}

// Point of a maturity history.
type Point struct {
	At       time.Time
	Maturity float64 // in the measure's unit
	Forecast bool    // reached by a forecast, in part at least
}

// Gap in a log: between two readings farther apart than they may be.
type Gap struct {
	From, To       time.Time
	FromRow, ToRow int
}

// History of maturity since placing. An interval counts with the mean of its two
// readings. One longer than mostGap adds nothing and is returned as a gap, and so
// does the time before the first reading: what was not measured is not counted.
func (m Measure) History(readings []Reading, placed time.Time, mostGap quantity.Duration) ([]Point, []Gap, error) {
	if !(mostGap > 0) {
		return nil, nil, fmt.Errorf("a longest gap of %s: give one above zero", mostGap.Text())
	}
	points := []Point{{At: placed}}
	var gaps []Gap
	var last *Reading
	sum, forecast := 0.0, false
	for i := range readings {
		r := &readings[i]
		if !r.T.Finite() {
			return nil, nil, fmt.Errorf("reading %d is %s", i+1, r.T.Text(quantity.Metric))
		}
		if i > 0 && !r.At.After(readings[i-1].At) {
			return nil, nil, fmt.Errorf("reading %d at %s is not later than the one before it", i+1, r.At.Format(time.DateTime))
		}
		if r.At.Before(placed) {
			continue
		}
		from, fromRow := placed, 0
		if last != nil {
			from, fromRow = last.At, last.Row
		}
		hours := quantity.Duration(r.At.Sub(from).Hours())
		switch {
		case hours > mostGap:
			gaps = append(gaps, Gap{from, r.At, fromRow, r.Row})
		case last == nil: // unmeasured, and too short to report
		default:
			sum += m.step((last.T+r.T)/2, hours)
		}
		forecast = forecast || r.Forecast
		points = append(points, Point{r.At, sum, forecast})
		last = r
	}
	if last == nil {
		return nil, nil, fmt.Errorf("no reading is from %s, when the concrete was placed, or later", placed.Format(time.DateTime))
	}
	return points, gaps, nil
}

// When is the time by which a history has a maturity, by straight lines between
// its points, and whether it leans on the forecast.
func When(points []Point, maturity float64) (at time.Time, forecast, reached bool) {
	for i, p := range points {
		if p.Maturity < maturity {
			continue
		}
		if i == 0 {
			return p.At, p.Forecast, true
		}
		q := points[i-1]
		part := (maturity - q.Maturity) / (p.Maturity - q.Maturity)
		return q.At.Add(time.Duration(part * float64(p.At.Sub(q.At)))).Round(time.Second), p.Forecast, true
	}
	return time.Time{}, false, false
}

// DayForecast is what a day is expected to bring, in the concrete or, on the safe
// side in the cold, in the air.
type DayForecast struct {
	Date      time.Time // its start
	Low, High quantity.Temperature
}

// Forecast turns days into hourly readings at the mean of low and high: as ageing
// bends upward with temperature, the mean of a day ages no more than the day does.
func Forecast(days []DayForecast) ([]Reading, error) {
	var out []Reading
	for i, d := range days {
		switch {
		case !d.Low.Finite() || !d.High.Finite() || d.Low > d.High:
			return nil, fmt.Errorf("forecast of %s: low %s, high %s", d.Date.Format(time.DateOnly), d.Low.Text(quantity.Metric), d.High.Text(quantity.Metric))
		case i > 0 && d.Date.Sub(days[i-1].Date) < 23*time.Hour: // a day may have 23 hours
			return nil, fmt.Errorf("forecast of %s: days go in order, one a day", d.Date.Format(time.DateOnly))
		}
		for h := range 24 {
			out = append(out, Reading{At: d.Date.Add(time.Duration(h) * time.Hour), T: (d.Low + d.High) / 2, Forecast: true})
		}
	}
	if len(out) == 0 {
		return nil, errors.New("the forecast has no day")
	}
	return out, nil
}

// Join puts a forecast behind what was measured: what is expected for a time that
// was measured is dropped.
func Join(measured, forecast []Reading) []Reading {
	out := append([]Reading(nil), measured...)
	for _, r := range forecast {
		if len(measured) == 0 || r.At.After(measured[len(measured)-1].At) {
			out = append(out, r)
		}
	}
	return out
}

// Lowest is the least maturity of several sensors at every time, by which a
// strength is judged, and the sensor that is least at the end. A sensor whose log
// ends early counts with what it had: leave it out if it is known to be broken.
func (m Measure) Lowest(sensors []Sensor, placed time.Time, mostGap quantity.Duration) ([]Point, string, error) {
	if len(sensors) == 0 {
		return nil, "", errors.New("there is no sensor")
	}
	var histories [][]Point
	var times []time.Time
	for _, s := range sensors {
		points, _, err := m.History(s.Readings, placed, mostGap)
		if err != nil {
			return nil, "", fmt.Errorf("sensor %s: %w", s.Name, err)
		}
		histories = append(histories, points)
		for _, p := range points {
			times = append(times, p.At)
		}
	}
	slices.SortFunc(times, time.Time.Compare)
	times = slices.CompactFunc(times, time.Time.Equal)
	next := make([]int, len(sensors)) // first point not before the time
	var out []Point
	coldest := 0
	for _, at := range times {
		low := Point{At: at, Maturity: math.Inf(1)}
		for i, points := range histories {
			for next[i] < len(points) && points[next[i]].At.Before(at) {
				next[i]++
			}
			if v := between(points, next[i], at); v.Maturity < low.Maturity {
				low, coldest = v, i
			}
		}
		low.At = at
		out = append(out, low)
	}
	return out, sensors[coldest].Name, nil
}

// between is a history at a time, given its first point not before that.
func between(points []Point, k int, at time.Time) Point {
	switch {
	case k == len(points):
		return points[k-1]
	case k == 0 || points[k].At.Equal(at):
		return points[k]
	}
	p, q := points[k-1], points[k]
	q.Maturity = p.Maturity + (q.Maturity-p.Maturity)*float64(at.Sub(p.At))/float64(q.At.Sub(p.At))
	return q
}
