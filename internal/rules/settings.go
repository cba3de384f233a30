package rules

import (
	"errors"
	"fmt"
	"math"

	"shoreward/internal/quantity"
	"shoreward/internal/rules/aci347"
	"shoreward/internal/rules/bs5975"
	"shoreward/internal/rules/en12812"
)

// Defaults are the settings of a basis where the job says nothing, each on the
// safe side of what is in use:
//
//   - us: 150 pcf, 50 psf live, forms 8 psf (read, the heaviest of the worked
//     examples); deflection L/360 under the whole load with 1/16 in on sheets
//     (read, SP-4 style examples) and 1/4 in on joists and stringers
//     (read-2nd, course problem); lumber wet; C_D 1.0, because formwork is used
//     again and again and its load time adds up; props at nominal strength over
//     1.7; ground 1500 psf (read, 24 CFR 3285.202(e)); sideways 2 % of dead
//     load or 100 lb per foot of edge (read).
//   - eu: 26 kN/m3 (read, EN 1991-1-1, unhardened), 0.75 kN/m2 operations and Q4
//     (memory, EN 12812), forms 0.5 kN/m2 (read); deflection L/270 (read-2nd)
//     under the whole load; class B2; service class 3, k_mod of short-term load;
//     working strip 1.5 kN/m2 (memory); sideways 2.5 % of all vertical load
//     (memory, BS 5975), which covers Q3 = 1 % with a sway of 1 %.
//
// An unknown basis gets the zero Settings, which Validate refuses.
func Defaults(n Name) Settings {
	s := Settings{
		Basis:             n,
		WetService:        true,
		LoadDuration:      1.0,
		LoadDurationPosts: 1.0,
		PropDivisor:       1.7,
		ClassB2:           true,
		ServiceClass:      3,
		GroundBearing:     1500 * quantity.PSF,
	}
	switch n {
	case US:
		s.ConcreteWeight = 150 * quantity.PCF
		s.LiveLoad = 50 * quantity.PSF
		s.StripLive = 50 * quantity.PSF
		s.FormAllowance = 8 * quantity.PSF
		s.DeflectionSpan = 360
		s.DeflectionMaxSheet = quantity.Inch / 16
		s.DeflectionMaxBeam = quantity.Inch / 4
		s.LateralShare = 0.02
		s.LateralEdge = 100 * quantity.PoundPerFoot
	case EU:
		s.ConcreteWeight = 26000
		s.LiveLoad = en12812.OperationsMinimum
		s.StripLive = 1.5 * quantity.Kilopascal
		s.FormAllowance = 0.5 * quantity.Kilopascal
		s.DeflectionSpan = 270
		s.LateralShare = bs5975.MinimumShare
	default:
		return Settings{}
	}
	return s
}

// Validate reports every setting that the basis does not allow, or that is no
// number at all.
func (s Settings) Validate() []error {
	if s.Basis != US && s.Basis != EU {
		return []error{fmt.Errorf("basis %q is not known: us or eu", s.Basis)}
	}
	var errs []error
	need := func(ok bool, format string, args ...any) {
		if !ok {
			errs = append(errs, fmt.Errorf(format, args...))
		}
	}
	finite := func(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
	within := func(v, low, high float64) bool { return finite(v) && v >= low*(1-1e-9) && v <= high*(1+1e-9) }

	need(within(float64(s.ConcreteWeight), 10e3, 50e3), "concrete weight %.1f kN/m3 is not that of concrete: 10 to 50 kN/m3 (64 to 318 pcf)", float64(s.ConcreteWeight)/1e3)
	live := s.liveMinimum()
	need(within(float64(s.LiveLoad), float64(en12812.OperationsMinimum), 100e3) && (s.Basis == EU || s.MotorCarts || within(float64(s.LiveLoad), live, 100e3)),
		"construction live load %.2f kN/m2 is below the least of the basis, %.2f kN/m2", float64(s.LiveLoad)/1e3, live/1e3)
	need(within(float64(s.StripLive), 750, 100e3), "live load on the working strip %.2f kN/m2 is below 0.75 kN/m2", float64(s.StripLive)/1e3)
	need(within(float64(s.FormAllowance), 0, 20e3), "form allowance %.2f kN/m2 is not a weight of forms", float64(s.FormAllowance)/1e3)
	need(within(s.DeflectionSpan, 100, 2000), "deflection limit L/%g is not usable: L/100 to L/2000", s.DeflectionSpan)
	need(within(float64(s.DeflectionMaxSheet), 0, 0.1) && within(float64(s.DeflectionMaxBeam), 0, 0.1), "the absolute deflection limits must be 0 (none) to 100 mm")
	need(within(float64(s.LateralEdge), 0, 1e5), "lateral load along the edge %.2f kN/m is not usable", float64(s.LateralEdge)/1e3)
	need(within(float64(s.GroundBearing), 1, 10e6), "ground bearing %.1f kPa must be more than zero (no support in mud, peat or loose fill)", float64(s.GroundBearing)/1e3)
	if s.Basis == US {
		need(within(s.LoadDuration, 0.1, 1.25), "load duration C_D %g for joists and stringers must be at most 1.25 (7 days)", s.LoadDuration)
		need(within(s.LoadDurationPosts, 0.1, 1.25), "load duration C_D %g for posts must be at most 1.25 (7 days)", s.LoadDurationPosts)
		need(within(s.PropDivisor, 1.65, 10), "prop divisor %g must be 1.65 or more: the nominal strength of EN 1065 holds no margin", s.PropDivisor)
		need(within(s.LateralShare, 0.02, 1), "lateral share %g must be at least 0.02 of the dead load (ACI 347R-14 4.2.3)", s.LateralShare)
		need(within(float64(s.LateralEdge), float64(100*quantity.PoundPerFoot), 1e5), "lateral load along the edge must be at least 100 lb/ft (ACI 347R-14 4.2.3)")
		return errs
	}
	need(s.ServiceClass >= 1 && s.ServiceClass <= 3, "service class %d is not in EN 1995: 1, 2 or 3", s.ServiceClass)
	need(within(s.LateralShare, 0.02, 1), "lateral share %g must be at least 0.02 of the vertical load (1 %% as in EN 12812 8.2.2.2 and 1 %% for imperfections)", s.LateralShare)
	return errs
}

// liveMinimum is the least construction live load of the basis.
func (s Settings) liveMinimum() float64 {
	if s.Basis == EU {
		return float64(en12812.OperationsMinimum)
	}
	return aci347.LiveLoadMinimum(s.MotorCarts).Value
}

// check is Validate as one error, for the functions that answer with one.
func (s Settings) check() error { return errors.Join(s.Validate()...) }

// resistanceExtra is the further divisor of EN 12812 class B2, else 1.
func (s Settings) resistanceExtra() float64 {
	if s.Basis == EU && s.ClassB2 {
		return en12812.ClassB2
	}
	return 1
}

// fromWorking turns an allowable (working) load into a resistance in the sense
// of the basis. On the limit-state basis the smallest load factor is used, so
// that no mix of loads gets past the allowable load itself.
func (s Settings) fromWorking() float64 {
	if s.Basis == EU {
		return en12812.GammaPermanent
	}
	return 1
}
