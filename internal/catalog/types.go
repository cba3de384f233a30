// Package catalog describes equipment: parts, and systems as kits of parts.
// Everything is data (embedded YAML; the user's file adds or overrides), each
// value with its source and how sure it is.
package catalog

import (
	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

// Value is a number in SI with where it came from.
type Value[T ~float64] struct {
	V        T             `json:"si"`
	Source   string        `json:"source,omitempty"`
	Evidence calc.Evidence `json:"evidence,omitempty"`
	Known    bool          `json:"known"` // false: the catalogue does not have it, nothing may be assumed
}

// Kind is what a part is for.
type Kind string

// Kinds of part.
const (
	Sheet  Kind = "sheet"  // form panel
	Beam   Kind = "beam"   // prefabricated timber formwork beam (EN 13377)
	Lumber Kind = "lumber" // sawn timber: joist, stringer, post, sill, edge form
	Prop   Kind = "prop"   // adjustable steel or two-piece wood shore
	Head   Kind = "head"   // what sits on a prop
	Tripod Kind = "tripod" // setting-up aid, never a support in the pour
	Wedge  Kind = "wedge"  // pair of wedges under a timber post
	Guard  Kind = "guard"  // guardrail post
	Kicker Kind = "kicker" // brace behind an edge form
	Tie    Kind = "tie"    // horizontal tie of the deck to a cast column or wall
	Brace  Kind = "brace"  // diagonal from the deck to the slab or ground
	Box    Kind = "box"    // stillage, pallet, box the gear travels in
)

// Part is one thing that is carried, counted and checked.
type Part struct {
	ID       string `json:"id"`
	Name     string `json:"name"`
	Kind     Kind   `json:"kind"`
	Standard string `json:"standard,omitempty"`
	Note     string `json:"note,omitempty"`

	Mass   Value[quantity.Mass]   `json:"mass_kg"`
	Length Value[quantity.Length] `json:"length_m"` // along grain of a sheet; of a beam or timber
	Width  Value[quantity.Length] `json:"width_m"`  // of a sheet; flange width of a beam; breadth b of timber
	Depth  Value[quantity.Length] `json:"depth_m"`  // thickness of a sheet; depth of a beam or timber as laid

	// Marks is the pitch of factory setting marks, first mark FirstMark from the end; 0 without marks.
	Marks         quantity.Length `json:"marks_m,omitempty"`
	FirstMark     quantity.Length `json:"first_mark_m,omitempty"`
	MarksSource   string          `json:"marks_source,omitempty"`
	MarksEvidence calc.Evidence   `json:"marks_evidence,omitempty"`

	APA     *APAPanel    `json:"apa,omitempty"`       // US form panel, per foot of width
	Panel   *ECPanel     `json:"ec5_panel,omitempty"` // EN 636 / EN 13986 panel
	IBeam   *IBeam       `json:"i_beam,omitempty"`
	NDS     *NDSTimber   `json:"nds,omitempty"`
	EC5     *EC5Timber   `json:"ec5_timber,omitempty"`
	Shore   *PropProps   `json:"prop,omitempty"`
	Seat    *HeadProps   `json:"head,omitempty"`
	Foot    *TripodProps `json:"tripod,omitempty"`
	Rated   *Rating      `json:"rated,omitempty"` // guard post, kicker, tie, brace; or a prop rated by its supplier
	Carries *BoxProps    `json:"box,omitempty"`
}

// APAPanel: PS 1 form panel. Section properties per foot of width in SI per
// metre of width; stresses already hold the 7-day factor and wet use when
// DurationInStress is true, and are then never multiplied by C_D again.
type APAPanel struct {
	Class            string                 `json:"class"` // "Class I", "Class II", "Structural I"
	IPar             Value[quantity.Ratio]  `json:"I_par_m4_per_m"`
	KSPar            Value[quantity.Ratio]  `json:"KS_par_m3_per_m"`
	IbQPar           Value[quantity.Ratio]  `json:"IbQ_par_m2_per_m"`
	IPerp            Value[quantity.Ratio]  `json:"I_perp_m4_per_m"`
	KSPerp           Value[quantity.Ratio]  `json:"KS_perp_m3_per_m"`
	IbQPerp          Value[quantity.Ratio]  `json:"IbQ_perp_m2_per_m"`
	Fb               Value[quantity.Stress] `json:"F_b_Pa"`
	Fs               Value[quantity.Stress] `json:"F_s_Pa"` // rolling shear
	E                Value[quantity.Stress] `json:"E_Pa"`
	Ee               Value[quantity.Stress] `json:"E_e_Pa"` // when shear deflection is not worked separately
	DurationInStress bool                   `json:"duration_in_stress"`
}

// ECPanel: characteristic values of a plywood panel on its full section.
type ECPanel struct {
	FmPar, FmPerp Value[quantity.Stress]
	EPar, EPerp   Value[quantity.Stress]
	FrPar, FrPerp Value[quantity.Stress] // planar (rolling) shear
	Kmod          Value[quantity.Ratio]
	GammaM        Value[quantity.Ratio]
}

// IBeam: EN 13377 beam, characteristic values.
type IBeam struct {
	Class  string // "P20"
	Mk     Value[quantity.Moment]
	Vk     Value[quantity.Force]
	Rk     Value[quantity.Force] // support reaction
	EI     Value[quantity.EI]
	Kmod   Value[quantity.Ratio]
	GammaM Value[quantity.Ratio]
	GammaF Value[quantity.Ratio] // load side of a working load on a working-load basis
}

// NDSTimber: NDS Supplement reference values of a species and grade.
type NDSTimber struct {
	Species, Grade           string
	Table                    string // "4A", "4B", "4D"
	NominalB                 int    // nominal inches, 4 for a 4x6
	NominalD                 int    // nominal inches, 6 for a 4x6
	Fb, Fv, Fcp, Fc, E, Emin Value[quantity.Stress]
}

// EC5Timber: EN 338 strength class, characteristic values.
type EC5Timber struct {
	Class                 string
	Fmk, Fvk, Fc0k, Fc90k Value[quantity.Stress]
	E0mean, E005          Value[quantity.Stress]
	Rhok                  Value[quantity.Ratio] // kg/m3
}

// PropProps: an adjustable prop.
type PropProps struct {
	Class     string                 // EN 1065 class letter, or "" for other shores
	Longest   Value[quantity.Length] // l_max
	Shortest  Value[quantity.Length]
	HolePitch Value[quantity.Length] // pin hole spacing; hole 1 is the shortest setting
	Thread    Value[quantity.Length] // travel of the collar nut, at least one pitch
	Plate     Value[quantity.Length] // side of the square end plate
}

// Rating: a working load that the supplier or user gives, with the factor it
// holds on ultimate. Required marks a demand to be met by whatever is used.
type Rating struct {
	Load     Value[quantity.Force]
	Factor   Value[quantity.Ratio]
	Required bool
}

// HeadProps: what sits on a prop and takes the beam.
type HeadProps struct {
	Type     string                 // "drop", "fork", "intermediate", "flat"
	Height   Value[quantity.Length] // prop end to seat
	Drop     Value[quantity.Length] // lowering when struck
	Beams    int                    // beams it takes side by side
	SeatLong Value[quantity.Length] // bearing length along the stringer
	SeatWide Value[quantity.Length] // bearing width across the stringer
}

// TripodProps: footprint of a tripod.
type TripodProps struct {
	Radius Value[quantity.Length] // to the end of a leg
}

// BoxProps: what a stillage or box takes.
type BoxProps struct {
	For   []Kind
	Count int
	Limit Value[quantity.Mass]
}

// System is a kit of parts and the rules for using them.
type System struct {
	ID    string
	Name  string
	Note  string
	Bases []string // "us", "eu": where its parts can be proven
	Feet  string   // id of the same kit in foot lengths, "" when there is none; see Catalog.Kit

	Sheets                    []string // part ids, first is preferred
	Joists                    []string
	Stringers                 []string
	Props                     []string
	GradeHead                 string // head of a grade prop
	InterHead                 string // head of an intermediate prop ("" = every prop is graded)
	JoistHead                 string // head of a prop placed straight under a joist ("" = GradeHead)
	Tripod                    string // "" when posts are set without
	Wedge                     string // with timber posts
	Sill                      string // under props on ground
	EdgeForm                  string // board or panel of the edge form
	Kicker, Guard, Tie, Brace string

	// CutToLength: joists and stringers may be sawn to length on site.
	CutToLength bool
	// GradeSpacing is the largest distance between graded props along a stringer while the deck is set.
	GradeSpacing quantity.Length

	// Sills and EdgeForms are what Sill and EdgeForm are chosen from: Catalog.Kit takes the first that the basis can prove.
	Sills, EdgeForms []string
}

// Catalog is all parts and systems known to a job.
type Catalog struct {
	Parts   map[string]*Part
	Systems map[string]*System
}
