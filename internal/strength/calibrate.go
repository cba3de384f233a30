package strength

import (
	"errors"
	"fmt"
	"math"
	"time"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize"
	"gonum.org/v1/gonum/stat/distuv"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
	"shoreward/internal/rules/astmc1074"
)

// Break is a cylinder of the mix, tested at a maturity.
type Break struct {
	Maturity float64 // in the unit of the measure
	Strength quantity.Stress
	Name     string
}

// Calibration is the curve of one mix: S = S_u k (M - M_0)/(1 + k (M - M_0)), the
// hyperbola of ASTM C1074, fitted by least squares, with its scatter.
type Calibration struct {
	Measure    Measure
	Ultimate   quantity.Stress // S_u
	K          float64         // per unit of maturity
	Start      float64         // M_0
	Scatter    quantity.Stress // standard deviation of a cylinder about the curve
	Freedom    int             // cylinders less the three constants
	From, To   float64         // maturities tested: nothing is told beyond
	Confidence float64         // of the lower bounds, one-sided
	spread     *mat.SymDense   // of the constants, over the scatter squared
}

// Fewest maturities and cylinders of a calibration, and confidence of its lower
// bound: common practice, no source. ASTM C1074 tests at 1, 3, 7, 14 and 28 days.
const (
	FewestAges        = 4
	FewestCylinders   = 5
	DefaultConfidence = 0.95
)

// Calibrate fits the curve to cylinder breaks.
func Calibrate(m Measure, breaks []Break, confidence float64) (*Calibration, error) {
	if !(confidence >= 0.5 && confidence <= 0.999) {
		return nil, fmt.Errorf("a confidence of %g: from 0.5 to 0.999, %g unless you know better", confidence, DefaultConfidence)
	}
	ages := map[float64]bool{}
	low, high, top := math.Inf(1), 0.0, 0.0
	for i, b := range breaks {
		if !(b.Maturity > 0) || !(b.Strength > 0) || math.IsInf(b.Maturity, 0) || math.IsInf(float64(b.Strength), 0) {
			return nil, fmt.Errorf("cylinder %d (%s) has strength %s at maturity %g %s: both must be above zero", i+1, b.Name, b.Strength.Text(quantity.Metric), b.Maturity, m.Unit)
		}
		ages[b.Maturity] = true
		low, high, top = math.Min(low, b.Maturity), math.Max(high, b.Maturity), math.Max(top, float64(b.Strength))
	}
	if len(ages) < FewestAges || len(breaks) < FewestCylinders {
		return nil, fmt.Errorf("%d cylinders at %d maturities: at least %d at %d are needed, as at 1, 3, 7, 14 and 28 days", len(breaks), len(ages), FewestCylinders, FewestAges)
	}
	// With k and M_0 given, S_u is linear: the search is in two numbers, log(k) and
	// the place of M_0 between nothing and the first test.
	fit := func(x []float64) (su, k, m0, sum float64) {
		k, m0 = math.Exp(x[0])/high, low/(1+math.Exp(-x[1]))
		var sh, hh float64
		for _, b := range breaks {
			h := rise(k * (b.Maturity - m0))
			sh, hh = sh+float64(b.Strength)*h, hh+h*h
		}
		if su = sh / hh; !(hh > 0) {
			return 0, k, m0, math.Inf(1)
		}
		for _, b := range breaks {
			d := (float64(b.Strength) - su*rise(k*(b.Maturity-m0))) / top
			sum += d * d
		}
		return su, k, m0, sum
	}
	best := math.Inf(1)
	var at []float64
	for _, k := range []float64{0, 2, 4} {
		for _, s := range []float64{-3, 0, 3} {
			r, err := optimize.Minimize(optimize.Problem{Func: func(x []float64) float64 { _, _, _, sum := fit(x); return sum }},
				[]float64{k, s}, &optimize.Settings{Converger: &optimize.FunctionConverge{Absolute: 1e-13, Relative: 1e-10, Iterations: 40}, MajorIterations: 2000}, &optimize.NelderMead{})
			if r != nil && (err == nil || r.Status == optimize.IterationLimit) && r.F < best {
				best, at = r.F, r.X
			}
		}
	}
	if at == nil {
		return nil, errors.New("no curve fits the cylinders")
	}
	su, k, m0, sum := fit(at)
	c := &Calibration{Measure: m, Ultimate: quantity.Stress(su), K: k, Start: m0, Freedom: len(breaks) - 3, From: low, To: high, Confidence: confidence,
		Scatter: quantity.Stress(top * math.Sqrt(sum/float64(len(breaks)-3)))}
	if k*high > 1e3 || k*high < 1e-2 {
		return nil, errors.New("the cylinders do not follow a curve that rises and bends: check their order and their maturities")
	}
	normal := mat.NewSymDense(3, nil)
	for _, b := range breaks {
		normal.SymRankOne(normal, 1, mat.NewVecDense(3, c.gradient(b.Maturity)))
	}
	var chol mat.Cholesky
	if !chol.Factorize(normal) || chol.Cond() > 1e14 {
		return nil, errors.New("the cylinders do not settle the curve: tests at more ages are needed, early and late")
	}
	c.spread = mat.NewSymDense(3, nil)
	if err := chol.InverseTo(c.spread); err != nil {
		return nil, fmt.Errorf("the cylinders do not settle the curve: %w", err)
	}
	return c, nil
}

func rise(x float64) float64 {
	if x <= 0 {
		return 0
	}
	return x / (1 + x)
}

// gradient of the strength by S_u, log(k) and M_0/M_end, scaled to like sizes.
func (c *Calibration) gradient(m float64) []float64 {
	x := c.K * (m - c.Start)
	if x <= 0 {
		return []float64{0, 0, 0}
	}
	bend := 1 / ((1 + x) * (1 + x))
	return []float64{x / (1 + x), x * bend, -c.K * c.To * bend}
}

// Estimate of the strength at a maturity.
type Estimate struct {
	Mean      quantity.Stress // on the curve
	CurveLow  quantity.Stress // lower bound of the curve: where the mean of many cylinders lies
	Low       quantity.Stress // lower bound of one more cylinder: strip on this
	Untested  bool            // before the first maturity tested: nothing is counted
	Beyond    bool            // past the last maturity tested: that one's strength is given
	Evaluated float64         // maturity that was read off
}

// At tells the strength at a maturity. Before the first test it is nothing, past
// the last it grows no more.
func (c *Calibration) At(m float64) Estimate {
	e := Estimate{Evaluated: math.Min(m, c.To), Beyond: m > c.To}
	if !(m >= c.From) {
		e.Untested = true
		return e
	}
	mean := astmc1074.Hyperbolic(c.Ultimate, c.K, c.Start, e.Evaluated).Value
	g := mat.NewVecDense(3, c.gradient(e.Evaluated))
	curve := mat.Inner(g, c.spread, g) // variance of the curve over the scatter squared
	t := distuv.StudentsT{Sigma: 1, Nu: float64(c.Freedom)}.Quantile(c.Confidence)
	low := func(variance float64) quantity.Stress {
		return quantity.Stress(math.Max(mean-t*float64(c.Scatter)*math.Sqrt(variance), 0))
	}
	e.Mean, e.CurveLow, e.Low = quantity.Stress(mean), low(curve), low(1+curve)
	return e
}

// MaturityFor is the maturity from which on the lower bound is s or more.
func (c *Calibration) MaturityFor(s quantity.Stress) (float64, error) {
	const steps = 4096
	at := func(i int) float64 { return c.From + (c.To-c.From)*float64(i)/steps }
	i := steps
	for i >= 0 && c.At(at(i)).Low >= s {
		i--
	}
	switch {
	case i == steps:
		return 0, fmt.Errorf("%s is not reached by the lower bound within the maturities tested, up to %.0f %s: %s there", s.Text(quantity.Metric), c.To, c.Measure.Unit, c.At(c.To).Low.Text(quantity.Metric))
	case i < 0:
		return c.From, nil
	}
	low, high := at(i), at(i+1)
	for range 60 {
		if mid := (low + high) / 2; c.At(mid).Low >= s {
			high = mid
		} else {
			low = mid
		}
	}
	return high, nil
}

// ReadyAt is the time by which a history of maturity gives the lower bound of a
// strength, and whether it leans on a forecast: before stripping it is then to be
// shown by measured temperatures, and by another test of the concrete (ASTM C1074).
func (c *Calibration) ReadyAt(points []Point, s quantity.Stress) (at time.Time, forecast bool, err error) {
	m, err := c.MaturityFor(s)
	if err != nil {
		return time.Time{}, false, err
	}
	at, forecast, reached := When(points, m)
	if !reached {
		return time.Time{}, false, fmt.Errorf("%s needs a maturity of %.0f %s: it is not reached by the end of the readings", s.Text(quantity.Metric), m, c.Measure.Unit)
	}
	return at, forecast, nil
}

// Line of the calculation at a maturity, at the lower bound.
func (c *Calibration) Line(m float64) calc.Line {
	e := c.At(m)
	l := calc.Line{Symbol: "S_low", Name: fmt.Sprintf("strength by maturity, lower bound at %.0f %%", 100*c.Confidence), Kind: calc.Stress, Value: float64(e.Low),
		Source: "cylinders of the mix; " + c.Measure.Source, Evidence: c.Measure.Evidence}
	switch {
	case e.Untested:
		l.Note = "below the first maturity tested: nothing is counted"
	case e.Beyond:
		l.Note = "past the last maturity tested: its strength is counted"
	}
	return l
}
