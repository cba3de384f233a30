// Package rules is the choice of design standards that work together. It turns
// a part of the catalogue into resistances and a slab into loads, each with
// the calculation lines behind it. It knows parts and loads, never a deck.
//
// Each method of Settings answers one question of the layout and the audit;
// the clauses themselves are in the packages below, one a standard. Strength
// values are working loads on the us basis and design values on the eu basis,
// loads and resistances alike, so that they compare directly.
package rules

import (
	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

// Name of a basis.
type Name string

// The two bases.
const (
	US Name = "us" // ACI 347R, NDS, APA; working loads
	EU Name = "eu" // EN 12812 class B2, EN 13377, EN 1065, EN 1995; limit states
)

// Settings are the engineer's choices within a basis. Defaults(name) gives the safe ones.
type Settings struct {
	Basis Name `json:"basis"`

	ConcreteWeight quantity.UnitWeight `json:"concrete_N_per_m3"`
	LiveLoad       quantity.Stress     `json:"live_Pa"`           // construction live load; ACI 347R minimum 50 psf, EN 12812 0.75 kN/m2
	MotorCarts     bool                `json:"motor_carts"`       // ACI: 75 psf and 125 psf minima
	StripLive      quantity.Stress     `json:"strip_live_Pa"`     // on the working strip outside the slab
	FormAllowance  quantity.Stress     `json:"form_allowance_Pa"` // used by the layout before the parts are known; audit uses the placed parts and this as floor

	DeflectionSpan         float64         `json:"deflection_span"`        // 360 for L/360
	DeflectionMaxSheet     quantity.Length `json:"deflection_max_sheet_m"` // absolute limit, 0 = none
	DeflectionMaxBeam      quantity.Length `json:"deflection_max_beam_m"`
	DeflectionConcreteOnly bool            `json:"deflection_concrete_only"`

	WetService        bool            `json:"wet_service"`   // NDS C_M for lumber
	LoadDuration      float64         `json:"load_duration"` // NDS C_D for joists and stringers (7 days 1.25; 1.0 for gear used again and again)
	LoadDurationPosts float64         `json:"load_duration_posts"`
	PropDivisor       float64         `json:"prop_divisor"`      // us: EN 1065 nominal strength over this is the working load (1.7)
	ClassB2           bool            `json:"class_b2"`          // eu: EN 12812 class B2, resistance over 1.15 again
	ServiceClass      int             `json:"service_class"`     // eu: EN 1995 service class of lumber, 2 or 3
	GroundBearing     quantity.Stress `json:"ground_bearing_Pa"` // under sills, 24 CFR 3285.202(e): 1500 psf without soil data

	LateralShare float64           `json:"lateral_share"`        // us 0.02 of dead load; eu 0.025 of all vertical load (Q3 and imperfections)
	LateralEdge  quantity.LineLoad `json:"lateral_edge_N_per_m"` // us 100 lb/ft of edge
}

// AreaLoad is what one zone of the deck carries, per area. The strength values
// hold the load factors of the basis (1 on a working-load basis); the service
// values are unfactored, for deflection and for what reaches the slab below.
type AreaLoad struct {
	Forms           quantity.Stress `json:"forms_Pa"`            // self weight, service
	Concrete        quantity.Stress `json:"concrete_Pa"`         // service
	Live            quantity.Stress `json:"live_Pa"`             // service: all variable load that comes with placing, minima included
	StrengthForms   quantity.Stress `json:"strength_forms_Pa"`   // always there
	StrengthPlacing quantity.Stress `json:"strength_placing_Pa"` // comes and goes: concrete and live
	DeflectionLoad  quantity.Stress `json:"deflection_Pa"`       // load of the deflection check (with forms)
	Lines           calc.Lines      `json:"lines"`
}

// Strength is the whole factored load per area.
func (a AreaLoad) Strength() quantity.Stress { return a.StrengthForms + a.StrengthPlacing }

// Service is the whole unfactored load per area.
func (a AreaLoad) Service() quantity.Stress { return a.Forms + a.Concrete + a.Live }

// BeamResistance is what a joist or stringer may carry, in the same sense
// (working or design) as AreaLoad's strength values.
type BeamResistance struct {
	Moment   quantity.Moment
	Shear    quantity.Force
	Reaction quantity.Force // rated support reaction; 0 when only the bearing area rules (lumber)
	EI       quantity.EI
	// ShearOffset: load within this distance of a support face may be left out of the shear check (NDS 3.4.3), 0 when not allowed.
	ShearOffset quantity.Length
	Lines       calc.Lines // how the resistances were found
}

// SheetResistance is per metre of width for one grain direction. Values in the
// same sense as AreaLoad's strength values.
type SheetResistance struct {
	Moment float64 // N·m per m
	Shear  float64 // N per m, rolling (planar) shear
	EI     float64 // N·m2 per m, for deflection without separate shear deflection
	Lines  calc.Lines
}

// Context of a lumber member that its factors depend on.
type Context struct {
	Repetitive bool            // three or more members, at most 24 in apart, sharing load: C_r, k_sys
	Unbraced   quantity.Length // unsupported length of the compression edge; 0 = held all along
}

// Seat is a contact between two parts, for bearing across the grain.
type Seat struct {
	Long    quantity.Length // along the grain of the part that is pressed
	Wide    quantity.Length // across it
	FromEnd quantity.Length // from the contact to the end of the pressed part
}
