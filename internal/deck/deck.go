// Package deck is the placed parts of one pour: plain data that the layout
// writes and everything after it reads. Plan positions are millimetres in the
// job's axes (x right, y up), heights millimetres above the job's datum.
package deck

import (
	"math"

	"shoreward/internal/plane"
)

// Plan geometry in mm.
type (
	Point = plane.Point
	Ring  = plane.Ring
	Shape = plane.Shape
)

// Zone is a part of the pour with one thickness and one soffit level, or one slope of
// it: then its heights are those at the place that the site's fall names.
type Zone struct {
	Name      string  `json:"name"`
	Shapes    []Shape `json:"shapes"`
	Thickness float64 `json:"thickness_mm"` // plumb
	Soffit    float64 `json:"soffit_mm"`    // height of the underside of the concrete
	// Strip is the part of the working strip that lies at this soffit, beside the zone.
	Strip []Shape `json:"strip,omitempty"`
	// Room is what the deck at this soffit takes up beside the zone, under the sheets of a
	// higher zone, for side forms to stand on.
	Room []Shape `json:"room,omitempty"`
}

// ZoneBeside is the index of the zone whose border is nearest to a point.
func (s *Site) ZoneBeside(p Point) int {
	best, at := math.Inf(1), 0
	for i, z := range s.Zones {
		for _, shape := range z.Shapes {
			for _, r := range shape.Rings() {
				if d := r.DistanceTo(p); d < best {
					best, at = d, i
				}
			}
		}
	}
	return at
}

// EdgeKind is what stands at an edge of the slab.
type EdgeKind string

// Kinds of edge.
const (
	Free  EdgeKind = "free"  // edge form, working strip, guardrail
	Wall  EdgeKind = "wall"  // the deck stops at a wall
	Joint EdgeKind = "joint" // the deck stops at another pour
)

// Edge is one straight piece of the slab's border, slab on the left.
type Edge struct {
	From Point    `json:"from_mm"`
	To   Point    `json:"to_mm"`
	Kind EdgeKind `json:"kind"`
}

// Site is what the deck must fit: geometry only, all that the audit needs.
type Site struct {
	Zones    []Zone  `json:"zones"`
	Slab     []Shape `json:"slab"`     // soffit to carry: outline less openings, columns and walls
	Strip    []Shape `json:"strip"`    // working strip outside the slab that the deck must cover too
	Openings []Ring  `json:"openings"` // as in the job
	Blocks   []Block `json:"blocks"`   // where no part may be
	Edges    []Edge  `json:"edges"`
	Stand    []Shape `json:"stand,omitempty"`  // where props may stand; empty: anywhere (ground)
	Clear    []Ring  `json:"clear,omitempty"`  // where the job forbids props: a passage, a hoist
	Joints   []Line  `json:"joints,omitempty"` // across which no part of the deck runs; zones end there
	Gaps     []Gap   `json:"gaps,omitempty"`   // too narrow to deck: closed with a filler board
	Keep     []Kept  `json:"keep,omitempty"`   // parts that the job fixes where they are
	Bans     []Ban   `json:"forbid,omitempty"` // parts that the job forbids in a place
	BaseZ    float64 `json:"base_mm"`          // what the props stand on
	OnGround bool    `json:"on_ground"`
	TopZ     float64 `json:"top_mm"`
	Fall     *Fall   `json:"fall,omitempty"` // how soffit and top slope; nil: level
}

// Line is a straight line in plan.
type Line struct {
	From Point `json:"from_mm"`
	To   Point `json:"to_mm"`
}

// Gap is an opening in the forms that a filler board closes, by its centreline.
type Gap struct {
	From   Point   `json:"from_mm"`
	To     Point   `json:"to_mm"`
	Width  float64 `json:"width_mm"`
	Beside string  `json:"beside"`
}

// Length of the board that closes a gap, mm.
func (g Gap) Length() float64 { return math.Hypot(g.To[0]-g.From[0], g.To[1]-g.From[1]) }

// Block is a column, a wall, or a place kept free.
type Block struct {
	Kind string `json:"kind"` // column | wall | joint | kept
	Name string `json:"name"`
	Ring Ring   `json:"outline_mm"`
	Ties bool   `json:"ties"` // cast before the slab: can hold the deck sideways
}

// Field is a part of the deck with one joist direction.
type Field struct {
	Name   string  `json:"name"` // I, II, III ...
	Zone   string  `json:"zone"`
	Joists float64 `json:"joist_direction_deg"` // from +x, counterclockwise
	// Pattern is how the field was laid; nil where a deck was drawn by hand.
	Pattern *Pattern `json:"pattern,omitempty"`
}

// Pattern is the choice that the layout made for a field, so that a changed pour
// can be laid alike. Its places are in the field's own axes, about the job's
// origin: x across the joists, y along them, x being the direction of the
// joists less a quarter turn.
type Pattern struct {
	Sheet string        `json:"sheet"` // parts
	Prop  string        `json:"prop"`
	Pitch float64       `json:"joist_pitch_mm"`
	Start float64       `json:"pitch_from_mm"`  // x that the pitch is counted from
	Rows  float64       `json:"rows_from_mm"`   // y that rows of sheets are counted from
	Reach float64       `json:"reach_mm"`       // how far sheets were let reach past a joist, under the slab
	Light float64       `json:"strip_reach_mm"` // and in the working strip
	Lines []PatternLine `json:"lines"`
}

// PatternLine is a line of stringers of a pattern.
type PatternLine struct {
	Name string    `json:"name,omitempty"`    // A, B ...; none where no stringer lies on it
	At   float64   `json:"at_mm"`             // y
	Span []float64 `json:"span_mm,omitempty"` // from and to in x of a line that serves a part only
	Lap  bool      `json:"lap,omitempty"`     // joists lap here
}

// Sheet is a form panel, whole or cut.
type Sheet struct {
	ID    string  `json:"id"`
	Field string  `json:"field"`
	Part  string  `json:"part"`
	Shape Shape   `json:"shape"`
	Grain float64 `json:"grain_deg"` // direction of the face grain from +x
	Cut   bool    `json:"cut"`
	Z     float64 `json:"top_mm"`
	// Rises are the heights of the corners of its outline over the first, which Z is
	// the height of, mm; nil: level.
	Rises []float64 `json:"rises_mm,omitempty"`
}

// Member is a joist or a stringer, by its centreline.
type Member struct {
	ID    string  `json:"id"`
	Field string  `json:"field"`
	Line  string  `json:"line"` // A, B, C ... for stringers
	Part  string  `json:"part"`
	From  Point   `json:"from_mm"`
	To    Point   `json:"to_mm"`
	Top   float64 `json:"top_mm"`            // height of its upper face, at From
	Rise  float64 `json:"rise_mm,omitempty"` // of the upper face from From to To
	Sawn  bool    `json:"sawn,omitempty"`    // cut to length on site
}

// PropKind tells how a prop is set.
type PropKind string

// Kinds of prop.
const (
	Grade        PropKind = "grade"        // tripod and drop head, set to elevation
	Intermediate PropKind = "intermediate" // hung later, snugged
)

// Prop stands under stringers, or straight under a joist.
type Prop struct {
	ID     string   `json:"id"` // B-3
	Line   string   `json:"line"`
	Kind   PropKind `json:"kind"`
	Part   string   `json:"part"`
	Head   string   `json:"head"`
	Tripod string   `json:"tripod,omitempty"`
	Sill   string   `json:"sill,omitempty"`
	Wedge  string   `json:"wedge,omitempty"`
	At     Point    `json:"at_mm"`
	Base   float64  `json:"base_mm"`   // underside of the prop (top of sill)
	Seat   float64  `json:"seat_mm"`   // underside of what it carries
	Length float64  `json:"length_mm"` // prop extension: seat - base - head - wedges
	// Taper is the thickness, over the middle of the head, of the wedge that is cut to
	// the slope of what lies on it, mm; 0: none.
	Taper  float64 `json:"taper_mm,omitempty"`
	Hole   int     `json:"hole,omitempty"`
	Thread float64 `json:"thread_mm,omitempty"`
	Under  string  `json:"under"` // stringer | joist
}

// FormKind is what an edge form keeps in.
type FormKind string

// Kinds of form of a vertical face.
const (
	EdgeOf  FormKind = ""      // of a free edge or joint, as high as the concrete
	SideOf  FormKind = "side"  // of a beam or thickening, from its soffit up to the next one
	RiserOf FormKind = "riser" // of a step in the top
)

// EdgeForm is a run of form along a vertical face.
type EdgeForm struct {
	ID      string   `json:"id"`
	Part    string   `json:"part"`
	From    Point    `json:"from_mm"`
	To      Point    `json:"to_mm"`
	Kind    FormKind `json:"kind,omitempty"`
	Foot    float64  `json:"foot_mm,omitempty"` // height of its lower edge, of a side or riser
	Height  float64  `json:"height_mm"`
	Head    float64  `json:"head_mm,omitempty"` // of fresh concrete over its foot, where that is more than its height
	Kicker  string   `json:"kicker"`
	Kickers int      `json:"kickers"`
	Pitch   float64  `json:"kicker_pitch_mm"`
}

// GuardPost is a guardrail post.
type GuardPost struct {
	ID   string `json:"id"`
	Part string `json:"part"`
	At   Point  `json:"at_mm"`
}

// Tie holds the deck sideways against a cast column or wall.
type Tie struct {
	ID    string `json:"id"`
	Part  string `json:"part"`
	At    Point  `json:"at_mm"`
	Block string `json:"block"`
	Dirs  string `json:"directions"` // "xy", "x", "y" in the job's axes
}

// Brace is a diagonal from the deck to what the props stand on, working both ways along its plan direction.
type Brace struct {
	ID   string `json:"id"`
	Part string `json:"part"`
	At   Point  `json:"at_mm"`   // upper end
	Foot Point  `json:"foot_mm"` // lower end
}

// Deck is all placed parts of a pour.
type Deck struct {
	Fields []Field `json:"fields"`
	// Borders are where a zone was parted into fields, in the order of the cuts.
	Borders   []Line      `json:"field_borders,omitempty"`
	Sheets    []Sheet     `json:"sheets"`
	Joists    []Member    `json:"joists"`
	Stringers []Member    `json:"stringers"`
	Props     []Prop      `json:"props"`
	EdgeForms []EdgeForm  `json:"edge_forms"`
	Guards    []GuardPost `json:"guard_posts"`
	Ties      []Tie       `json:"ties"`
	Braces    []Brace     `json:"braces"`
}
