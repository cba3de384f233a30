package quantity

import "math"

// Temperature in degrees Celsius; AbsoluteZero is where kelvins count from.
type Temperature float64

// Temperatures.
const (
	AbsoluteZero  Temperature = -273.15
	FreezingPoint Temperature = 0
)

// Fahrenheit makes a temperature of degrees Fahrenheit.
func Fahrenheit(f float64) Temperature { return Temperature((f - 32) / 1.8) }

// Fahrenheit is the temperature in degrees Fahrenheit.
func (t Temperature) Fahrenheit() float64 { return float64(t)*1.8 + 32 }

// Kelvin is the absolute temperature.
func (t Temperature) Kelvin() float64 { return float64(t - AbsoluteZero) }

// Text writes degrees Celsius, or Fahrenheit in the US style.
func (t Temperature) Text(s Style) string {
	if s == US {
		return decimal(t.Fahrenheit(), 1) + " °F"
	}
	return decimal(float64(t), 1) + " °C"
}

// Finite reports whether the temperature is a number above absolute zero.
func (t Temperature) Finite() bool { return t > AbsoluteZero && !math.IsInf(float64(t), 1) }

// Days is a duration in calendar days.
func (d Duration) Days() float64 { return float64(d) / 24 }

// Days makes a duration of a number of calendar days.
func Days(d float64) Duration { return Duration(24 * d) }
