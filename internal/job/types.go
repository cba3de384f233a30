// Package job is the job model: what must be built, with what, by which rules.
package job

import (
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// Point is a plan position in the job's axes.
type Point struct{ X, Y quantity.Length }

// Outline is a closed ring without its last point repeated; outlines run
// counterclockwise, whatever the file said.
type Outline []Point

// Job is one job file, every input in SI.
type Job struct {
	Name     string
	Basis    rules.Name
	Style    quantity.Style // of what is printed: US for ft and in, Metric for m and mm
	System   string
	Concrete Concrete
	Grid     Grid
	Levels   []Level
	Settings rules.Settings // basis defaults with the job's own `rules` on top
	Deck     DeckSettings
	Crew     Crew
	Rates    Rates
	Stock    map[string]int
	Floors   Floors
	Storeys  *Storeys // nil: loads through the levels are not asked for
	Pins     []Pin
	Catalog  string // path of the user's catalogue, "" for none, relative to the job file

	// Assumed lists every default that was used because the file is silent.
	Assumed []Assumption
}

// Assumption is a default that stood in for something the file does not say.
type Assumption struct{ Key, Value, Reason string }

// Concrete as specified.
type Concrete struct {
	Strength quantity.Stress
	Weight   quantity.UnitWeight
	Cement   string
}

// GridLine is a named line that setting-out is measured from.
type GridLine struct {
	Name string
	At   quantity.Length
}

// Grid has lines at constant X and at constant Y, in order.
type Grid struct{ X, Y []GridLine }

// Level is a storey's slab.
type Level struct {
	Name    string
	Top     quantity.Length
	Base    Base
	Pours   []Pour
	Columns []Column
	Walls   []WallLine
	Design  Design // used with Storeys only
}

// Base is what the props of a level stand on.
type Base struct {
	Level string          // name of a level, or ""
	Z     quantity.Length // its top
}

// Pour is the part of a level placed in one go.
type Pour struct {
	Name  string
	Slab  Slab
	Drops []Zone
	Beams []DropBeam
	Steps []Step
	Edges []EdgeRule
	Date  string // ISO date or ""
}

// Slab of a pour.
type Slab struct {
	Outline   Outline
	Thickness quantity.Length // square to its soffit
	Openings  []Outline
	Fall      *Fall // nil: level
}

// Fall is how a slab slopes: its top and its soffit, which run side by side.
type Fall struct {
	From, To Point           // it falls from From straight toward To
	Top      quantity.Length // of the slab at From
	Slope    quantity.Ratio  // what it falls over what that is in plan
}

// Zone is a part of a slab with another thickness, top flush: its soffit is lower.
type Zone struct {
	Outline   Outline
	Thickness quantity.Length
}

// DropBeam is a beam cast with the slab.
type DropBeam struct {
	From, To     Point
	Width, Depth quantity.Length
}

// Step is a part of a slab whose top lies higher or lower than the level's.
type Step struct {
	Outline   Outline
	Rise      quantity.Length // of its top over the level's, negative where it lies lower
	Thickness quantity.Length // its own, or the slab's
}

// EdgeRule says what stands along an edge; otherwise it is free unless a wall lies there.
type EdgeRule struct {
	From, To Point
	Kind     string // free | wall | joint
}

// Column stands under the slab.
type Column struct {
	At    Point
	Size  [2]quantity.Length // along X, Y
	Round quantity.Length    // diameter, 0 for rectangular
	Turn  quantity.Angle
}

// WallLine is a wall by its centreline.
type WallLine struct {
	From, To  Point
	Thickness quantity.Length
}

// DeckSettings are choices about the deck.
type DeckSettings struct {
	Strip       quantity.Length // working strip past a free edge
	HoleMax     quantity.Length // openings whose smaller side is at most this are decked through
	LapMin      quantity.Length // least lap of joists and stringers past each other
	Clearance   quantity.Length // parts to columns and walls
	EdgeOfStand quantity.Length // props to the edge of the slab below
	TieLoad     quantity.Force  // rating that each tie must have
	BraceLoad   quantity.Force  // horizontal working rating that each brace must have
	GuardPitch  quantity.Length
	KickerPitch quantity.Length
	SideRoom    quantity.Length // from the side of a beam or drop to the members beside it
	Bearing     quantity.Length // least bearing of a sheet's end on a joist
	Objective   string          // money | pieces | weight | grading
	OneManLift  quantity.Mass   // parts over this are carried by two
	Kerf        quantity.Length // width of a saw cut in a sheet
	OffcutMin   quantity.Length // a rest of a sheet with both sides at least this is kept for later pours
	TwoPerson   string          // allow | forbid: whether parts over that may be used
}

// Crew of the job.
type Crew struct {
	Carpenters, Labourers int
	Hours                 float64
}

// Rates turn parts into money and hours.
type Rates struct {
	Wage      quantity.Money            // per hour
	PieceTime quantity.Duration         // handling one piece, set and strip together
	GradeTime quantity.Duration         // setting a grade prop to elevation
	KiloTime  quantity.Duration         // per kg carried, on top
	Hire      map[string]quantity.Money // per piece and use, by part id
	Cut       quantity.Duration         // one sawn cut of a sheet
	Waste     quantity.Money            // per m2 of panel wasted
}

// Floors of the cycle, kept for the storey tools.
type Floors struct {
	Cycle            string // "5 days" or "find"
	Shores, Reshores string // a count or "find"
}

// Pin is something fixed by the user: a part kept or forbidden, a place kept clear
// of props, the direction of joists, a joint.
type Pin struct {
	Pour  string
	Kind  string // keep | forbid | clear | joists | joint
	Part  string
	As    string // what the part serves as: prop | stringer | joist | sheet; or line: stringers that run through At
	At    Point  // axis of a prop; end that a beam starts from; corner of a sheet; a point of a line or joint
	Area  Outline
	Angle quantity.Angle // direction from At; of joists; of a joint
}
