// Package reshore is what the storeys of a job come to, as plain data: the loads of
// every slab and prop level through the work against what they may carry at that
// hour, when each pour may be struck, which cycles are safe, where reshores stand and
// in which order the forms go. internal/reshore/solve finds it; drawings, the book and
// the tables read it and compute nothing.
//
// Units are in the JSON keys: Pa per area of slab, N, mm in the job's axes, h since the
// report's start. A time without a calendar has no date.
package reshore

import (
	"shoreward/internal/calc"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// Report is the storeys of a job.
type Report struct {
	Style quantity.Style `json:"style"`           // 0 metric, 1 US
	Start string         `json:"start,omitempty"` // ISO time of hour 0; none: the job has no dates
	Safe  bool           `json:"safe"`            // the choice followed here holds at every hour

	Choice  Choice  `json:"choice"`  // how the building is made in this report
	Levels  []Level `json:"levels"`  // from the lowest up
	Pours   []Pour  `json:"pours"`   // from the lowest up, in the order of the job within a level
	Steps   []Step  `json:"steps"`   // the operations in order of time
	Places  []Spot  `json:"places"`  // parts of the plan with the same pours over one another
	Answers Answers `json:"answers"` // what may be done

	Worst    []Worked  `json:"worst"`    // the governing check of each kind, to follow by hand
	Findings []Finding `json:"findings"` // what fails, worst first
	Assumed  []Assumed `json:"assumed"`  // what stood in for what the job does not say
	Cautions []string  `json:"cautions"` // in words, to be printed with every result
	Unproven []string  `json:"unproven"` // what nobody has checked here
}

// Choice is how a building is made.
type Choice struct {
	Cycle    float64 `json:"cycle_h"` // from level to level
	Shores   int     `json:"shores"`
	Reshores int     `json:"reshores"`
	Found    bool    `json:"found,omitempty"` // looked for, where the job says find
	Dated    bool    `json:"dated,omitempty"` // the pours follow the dates of the job, not the cycle
}

// Level is a storey.
type Level struct {
	Name    string  `json:"name"`
	Top     float64 `json:"top_mm"`
	Base    float64 `json:"base_mm"`              // what its props stand on
	Ground  bool    `json:"on_ground"`            // and whether that is the ground
	On      string  `json:"on,omitempty"`         // name of the level that they stand on
	Storeys float64 `json:"storey_mm"`            // top of its slab over what its props stand on
	Reshore float64 `json:"reshore_mm,omitempty"` // clear height for its reshores
}

// Pour is a slab with what carries it and what it may carry.
type Pour struct {
	Name      string        `json:"name"`
	Level     string        `json:"level"`
	Slab      []plane.Shape `json:"slab"`     // in plan, less openings, columns and walls
	Supports  []Support     `json:"supports"` // columns and walls under it
	Area      float64       `json:"area_m2"`
	Thickness float64       `json:"thickness_mm"` // of the slab itself
	Weight    float64       `json:"weight_Pa"`    // of slab, beams and drops over the area
	Forms     float64       `json:"forms_Pa"`     // of the parts placed under it
	Live      float64       `json:"live_Pa"`      // construction live load while it is placed
	Design    float64       `json:"design_Pa"`    // factored design load in the sense of the checks
	Service   float64       `json:"service_Pa"`   // design load without factors
	Span      float64       `json:"span_mm"`
	Stiffness float64       `json:"stiffness_N_m3"` // of the slab at 28 days
	Shores    PropLevel     `json:"shores"`         // props of the deck that it is placed on
	Reshores  PropLevel     `json:"reshores"`       // props put back under it

	Placed   float64  `json:"placed_h"`
	Stripped float64  `json:"stripped_h"`
	Removed  *float64 `json:"reshores_out_h,omitempty"`

	Strength []StrengthAt  `json:"strength"` // of its concrete, a curve to draw
	Strip    StripAnswer   `json:"strip"`
	Layout   ReshoreLayout `json:"layout"`
	Sequence []StripArea   `json:"sequence"` // the order in which its forms go
}

// Support is a column or wall under a pour.
type Support struct {
	Kind string     `json:"kind"` // column | wall
	Name string     `json:"name"`
	Ring plane.Ring `json:"outline_mm"`
}

// PropLevel is the props under a pour, per area.
type PropLevel struct {
	Count     int     `json:"count"`
	Stiffness float64 `json:"stiffness_N_m3"`
	Rating    float64 `json:"rating_Pa"`   // load per area at which the worst of them is at its rating
	Most      float64 `json:"most_Pa"`     // greatest load in the history, by the method that gives more
	MostAt    float64 `json:"most_h"`      // and when
	MostStep  int     `json:"most_step"`   // index in Steps; -1: never loaded
	Ratio     float64 `json:"ratio"`       // most over rating
	MostForce float64 `json:"most_N"`      // in the worst prop then
	RatedAt   float64 `json:"rating_N"`    // what that prop carries at its extension
	Part      string  `json:"part"`        // that part
	Extension float64 `json:"length_mm"`   // of that prop
	Method    string  `json:"most_method"` // rigid | elastic
}

// StrengthAt is a point of a curve of strength.
type StrengthAt struct {
	At       float64 `json:"at_h"`
	Strength float64 `json:"strength_Pa"`
	Forecast bool    `json:"forecast,omitempty"` // leans on temperatures that are not measured
}

// Kind of operation.
type Kind string

// Kinds of operation, as in the history.
const (
	Place          Kind = "place"
	LiveOff        Kind = "live off"
	Strip          Kind = "strip"
	PutReshores    Kind = "reshore"
	RemoveReshores Kind = "remove reshores"
)

// Step is one operation.
type Step struct {
	Number int     `json:"number"` // from 1
	Kind   Kind    `json:"kind"`
	Pour   string  `json:"pour"`
	Name   string  `json:"name"` // in words
	At     float64 `json:"at_h"`
	Date   string  `json:"date,omitempty"` // ISO date and hour
	Ratio  float64 `json:"ratio"`          // worst of all slabs and props after it
	Where  string  `json:"where"`          // what that is, in words
}

// Spot is a part of the plan with the same pours over one another.
type Spot struct {
	Name  string      `json:"name"`
	At    plane.Point `json:"at_mm"`
	Area  float64     `json:"area_m2"`
	Pours []string    `json:"pours"` // from the lowest up
	Runs  []Run       `json:"runs"`  // by each method: rigid, elastic
}

// Run is the history at a place by one method.
type Run struct {
	Method string  `json:"method"` // rigid | elastic
	States []State `json:"states"` // after each operation on a pour of the place
}

// State after an operation, one entry a pour of the place, from the lowest up.
type State struct {
	Step    int         `json:"step"` // index in Report.Steps
	At      float64     `json:"at_h"`
	Slabs   []SlabState `json:"slabs"`
	Props   []PropState `json:"props"`
	Lifted  []string    `json:"lifted,omitempty"`  // pours whose reshores came loose by it
	Snugged []string    `json:"snugged,omitempty"` // pours whose reshores were made snug before it
}

// SlabState is what a slab carries and may carry.
type SlabState struct {
	Placed   bool    `json:"placed"`
	Age      float64 `json:"age_h"`
	Load     float64 `json:"load_Pa"`     // carried by the slab itself, without factors
	Variable float64 `json:"variable_Pa"` // construction live load in it; on a slab just struck the working load on top of it
	Strength float64 `json:"strength_Pa"`
	Capacity float64 `json:"capacity_Pa"` // greatest load in the same mix that would hold; 0: none
	Ratio    float64 `json:"ratio"`
}

// PropState is what the props under a slab carry.
type PropState struct {
	Kind  string  `json:"kind"`          // none | shore | reshore
	On    int     `json:"on"`            // index of the pour of the place they stand on, -1: the ground
	Load  float64 `json:"load_Pa"`       // per area
	Ratio float64 `json:"ratio"`         // of the worst prop to its rating
	Gap   float64 `json:"gap,omitempty"` // mm by which they hang loose
}

// Answers to what the job asks.
type Answers struct {
	Options  []Option `json:"options"`            // every choice that was followed, fastest first
	Fastest  int      `json:"fastest"`            // index of the fastest safe one with the least gear, -1: none
	Cheapest int      `json:"cheapest"`           // index of the safe one with the least gear, -1: none
	Gear     string   `json:"gear_by"`            // what gear is compared by: hire | kg
	WhatIf   []WhatIf `json:"what_if"`            // of the choice followed
	Remedies []string `json:"remedies,omitempty"` // what would make an unsafe choice safe
}

// Option is a choice, judged.
type Option struct {
	Choice
	Built bool `json:"built"` // it can be built at all; Why says why not
	Safe  bool `json:"safe"`
	// Capacity over demand less 1 where most is asked. Striking waits until it
	// holds, so it counts only where it fails.
	Margin float64  `json:"margin"`
	Ratio  float64  `json:"ratio"`             // demand over capacity there
	Slack  *float64 `json:"slack_h,omitempty"` // by which forms are back before they are needed, at least; none: no level is placed on them again
	Why    string   `json:"why"`               // what governs: which slab or props, when
	Pour   string   `json:"pour,omitempty"`
	At     float64  `json:"at_h"`
	Gear   float64  `json:"gear"` // hire or kg that stand at once
}

// WhatIf the work does not go as planned.
type WhatIf struct {
	Name   string   `json:"name"`
	Safe   bool     `json:"safe"`
	Built  bool     `json:"built"`
	Margin float64  `json:"margin"`
	Slack  *float64 `json:"slack_h,omitempty"`
	Why    string   `json:"why"`
}

// StripAnswer is when a pour may be struck.
type StripAnswer struct {
	Earliest  float64    `json:"earliest_h"` // from the start; the whole building followed with it
	After     float64    `json:"after_h"`    // since it was placed
	Date      string     `json:"date,omitempty"`
	Possible  bool       `json:"possible"`    // false: never in this order of work; Why says what stands against it
	Strength  float64    `json:"strength_Pa"` // of its concrete that must be shown by tests then
	Governs   string     `json:"governs"`     // the criterion that governs, in words
	Forecast  bool       `json:"forecast"`    // leans on temperatures that are not measured
	TableDays float64    `json:"table_days"`  // the times of the guide where no test is made, for comparison; 0: none
	Lines     calc.Lines `json:"lines"`
}

// ReshoreLayout is where the reshores of a pour stand.
type ReshoreLayout struct {
	Reshores []Reshore `json:"reshores"`
	Pitch    float64   `json:"pitch_mm"` // farthest from any place of the slab to a reshore or support, times two
	Load     float64   `json:"load_Pa"`  // greatest per area in the history
	Slab     string    `json:"on"`       // what they stand on
	Notes    []string  `json:"notes,omitempty"`
}

// Reshore is one prop put back.
type Reshore struct {
	ID     string      `json:"id"`
	At     plane.Point `json:"at_mm"`
	Part   string      `json:"part"`
	Length float64     `json:"length_mm"`
	Hole   int         `json:"hole,omitempty"`
	Thread float64     `json:"thread_mm,omitempty"`
	Share  float64     `json:"share_m2"` // area that it serves
	Load   float64     `json:"load_N"`   // greatest
	Rating float64     `json:"rating_N"`
	Ratio  float64     `json:"ratio"` // worst of rating and punching
	Punch  float64     `json:"punching_ratio"`
	Over   string      `json:"over,omitempty"`  // prop of the deck above that stands over it
	Off    float64     `json:"off_mm"`          // out of line with it
	Area   int         `json:"area"`            // number of the strip area in which it is put back, from 1
	Fails  string      `json:"fails,omitempty"` // what does not hold, in words
}

// StripArea is a part of the forms that goes at once, and is reshored before the next.
type StripArea struct {
	Number   int           `json:"number"` // from 1
	Shapes   []plane.Shape `json:"shapes"`
	Area     float64       `json:"area_m2"`
	Distance float64       `json:"from_support_mm"` // of its middle to the nearest support
	Tip      bool          `json:"cantilever"`      // outside the supports: a cantilever, from its tip
	Reshores []string      `json:"reshores"`        // put back in it before the next one goes
}

// Finding is something that does not hold.
type Finding struct {
	What  string  `json:"what"`
	Pour  string  `json:"pour"`
	Step  int     `json:"step"` // index, -1: of none
	At    float64 `json:"at_h"`
	Ratio float64 `json:"ratio"`
}

// Worked is a check in full.
type Worked struct {
	Kind  string     `json:"kind"` // loads | slab | shores | reshores | pushed up | punching
	Pour  string     `json:"pour"`
	Name  string     `json:"name"`
	Lines calc.Lines `json:"lines"`
}

// Assumed stands in for what the job does not say.
type Assumed struct{ Key, Value, Reason string }
