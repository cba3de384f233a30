package deck

import (
	"slices"

	"shoreward/internal/calc"
	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
	"shoreward/internal/reshore"
	"shoreward/internal/rules"
)

// SchemaName names the version of plan.json.
const SchemaName = "shoreward-plan/1"

// Document is plan.json: everything placed and computed, enough to prove it
// again alone. docs/plan-json.md explains every key.
type Document struct {
	Schema   string                   `json:"schema"`
	Job      Header                   `json:"job"`
	Settings rules.Settings           `json:"settings"`
	Choices  Choices                  `json:"choices"`
	Parts    map[string]*catalog.Part `json:"parts"`
	Assumed  []Assumed                `json:"assumed"`
	Unsure   []Unsure                 `json:"from_memory"`
	Pours    []Pour                   `json:"pours"`
	Total    Summary                  `json:"total"`
	// Storeys are the loads through all levels; nil where the job does not ask for them.
	Storeys *reshore.Report `json:"storeys,omitempty"`
}

// Header of the job.
type Header struct {
	Name             string         `json:"name"`
	Basis            rules.Name     `json:"basis"`
	Style            quantity.Style `json:"style"` // 0 metric, 1 US
	System           string         `json:"system"`
	GridX            []GridLine     `json:"grid_x,omitempty"`
	GridY            []GridLine     `json:"grid_y,omitempty"`
	ConcreteStrength float64        `json:"concrete_strength_Pa"`
}

// GridLine in mm.
type GridLine struct {
	Name string  `json:"name"`
	At   float64 `json:"at_mm"`
}

// Choices are the deck settings that the audit must know.
type Choices struct {
	Clearance   float64 `json:"clearance_mm"`
	Bearing     float64 `json:"sheet_bearing_mm"` // least bearing of a sheet's end on a joist
	LapMin      float64 `json:"lap_min_mm"`
	EdgeOfStand float64 `json:"edge_of_stand_mm"`
	TieLoad     float64 `json:"tie_load_N"`
	BraceLoad   float64 `json:"brace_load_N"`
	HoldDown    float64 `json:"hold_down_N"` // rating that fixings of members which could tip must have
	GuardPitch  float64 `json:"guard_pitch_mm"`
	OneManLift  float64 `json:"one_person_kg"`
	Kerf        float64 `json:"kerf_mm"`       // width of a saw cut in a sheet
	OffcutMin   float64 `json:"offcut_min_mm"` // a rest with both sides at least this is kept
}

// Assumed is a default that stood in for something the job does not say.
type Assumed struct {
	Key, Value, Reason string
}

// Unsure is a value in use that was not seen in a published text.
type Unsure struct {
	Of       string        `json:"of"`    // part or rule
	Value    string        `json:"value"` // in words, with its unit
	Source   string        `json:"source"`
	Evidence calc.Evidence `json:"evidence"`
}

// Pour is one planned pour.
type Pour struct {
	Name    string `json:"name"`
	Level   string `json:"level"`
	Refused string `json:"refused,omitempty"` // why there is no deck
	LaidAs  string `json:"laid_as,omitempty"` // the pour below whose layout it repeats, being alike in plan
	Follows string `json:"follows,omitempty"` // the pour below whose layout it follows where they are alike
	// Notes are wishes of the job that the pour does not meet, in words.
	Notes   []string `json:"notes,omitempty"`
	Site    Site     `json:"site"`
	Deck    Deck     `json:"deck"`
	Cuts    *Cuts    `json:"cuts,omitempty"`
	Audit   Audit    `json:"audit"`
	Summary Summary  `json:"summary"`
}

// Audit is what the audit found.
type Audit struct {
	BareCm2  float64    `json:"bare_cm2"` // deck area that no sheet covers
	Checks   []Check    `json:"checks"`
	Worked   []Worked   `json:"worked"` // one in full for each kind of check, at its governing member
	Findings []Finding  `json:"findings"`
	Loads    []ZoneLoad `json:"loads"`
	Totals   LoadTotals `json:"load_totals"`
	Handed   []Handed   `json:"-"` // what each joist hands to stringers, for the layout to prop them by
}

// Handed is the strength load that a joist hands to a stringer, N.
type Handed struct {
	Stringer string
	At       Point
	Load     float64
}

// Check is one comparison at one member.
type Check struct {
	Member string    `json:"member"`
	Kind   string    `json:"kind"` // sheet | joist | stringer | prop | head | sill | edge form | guard | tie | clearance
	What   string    `json:"what"` // bending | shear | deflection | reaction | bearing | ...
	Value  float64   `json:"value"`
	Limit  float64   `json:"limit"`
	Unit   calc.Kind `json:"unit"`
	Ratio  float64   `json:"ratio"`
}

// Worked is a check in full, for a reviewer to follow by hand.
type Worked struct {
	Kind    string     `json:"kind"`
	What    string     `json:"what"`
	Member  string     `json:"member"`
	Part    string     `json:"part"`
	Lines   calc.Lines `json:"lines"` // ends with the check itself
	Diagram *Diagram   `json:"diagram,omitempty"`
}

// Diagram is a member with its loads and effects, for a sketch. SI, positions in m along the member.
type Diagram struct {
	Start, End float64
	Supports   []float64
	Names      []string  // of what supports it
	Reactions  []float64 // N, strength load
	Loads      []DiagramLoad
	X, M, V, D []float64 // N·m, N, m (deflection under the service load)
}

// DiagramLoad is a line load (W1 to W2, N/m) or a point load P (N) at From.
type DiagramLoad struct{ From, To, W1, W2, P float64 }

// Finding is something wrong: what, where and by how much.
type Finding struct {
	Member string  `json:"member"`
	At     Point   `json:"at_mm"`
	What   string  `json:"what"`
	Check  string  `json:"-"` // what of the check that fails: shear, hold-down ...
	Ratio  float64 `json:"ratio,omitempty"`
	Fails  bool    `json:"fails"` // false: a caution only
}

// Failing are the findings that fail.
func (a Audit) Failing() []Finding {
	return slices.DeleteFunc(slices.Clone(a.Findings), func(f Finding) bool { return !f.Fails })
}

// ZoneLoad is the load of one zone with its lines.
type ZoneLoad struct {
	Zone string         `json:"zone"`
	Load rules.AreaLoad `json:"load"`
}

// LoadTotals prove that load in is load out, unfactored, everything loaded.
type LoadTotals struct {
	Applied   float64 `json:"applied_N"`
	Reactions float64 `json:"reactions_N"` // sum over props
	LateralX  float64 `json:"lateral_x_N"`
	LateralY  float64 `json:"lateral_y_N"`
	TiesX     float64 `json:"ties_x_N"`
	TiesY     float64 `json:"ties_y_N"`
}

// Summary is one entry of summary.json.
type Summary struct {
	Area          float64  `json:"area_m2"`
	Faces         float64  `json:"faces_m2"` // contact area of edge, side and step forms
	Pieces        int      `json:"pieces"`
	SheetsFull    int      `json:"sheets_full"`
	SheetsCut     int      `json:"sheets_cut"`
	SheetsSawn    int      `json:"sheets_sawn"`   // whole sheets cut up for the cut ones
	PanelArea     float64  `json:"panel_m2"`      // what lies on the deck and what is wasted
	Waste         float64  `json:"waste_m2"`      // of panels: neither on the deck nor kept as an offcut
	WasteShare    float64  `json:"waste_percent"` // waste over panel area
	Offcuts       float64  `json:"offcuts_m2"`    // kept for later, less those taken
	Joists        int      `json:"joists"`
	Stringers     int      `json:"stringers"`
	GradeProps    int      `json:"grade_props"`
	Intermediates int      `json:"intermediate_props"`
	Weight        float64  `json:"weight_kg"`
	MaxRatio      float64  `json:"max_ratio"`
	Checks        int      `json:"checks"`
	Failed        int      `json:"failed"`
	Cost          float64  `json:"cost"`
	BoundCost     float64  `json:"bound_cost"`  // of the parts that the layout decides on
	BoundLeast    float64  `json:"bound_least"` // the least that any deck of its class takes for them; 0: not known
	BoundGap      float64  `json:"bound_gap"`   // how much more than the least, as a share of it
	GradingOps    int      `json:"grading_ops"`
	CrewHours     float64  `json:"crew_hours"`
	OnMark        OnMark   `json:"on_mark_share"`
	PropsOver     *float64 `json:"props_over_props,omitempty"` // share of props within 50 mm of one of the level below; nil on ground
	Seconds       float64  `json:"seconds,omitempty"`
}
