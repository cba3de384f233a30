package layout

import (
	"fmt"
	"math"
	"time"
)

// Problem is the problem of a field's stringer lines in numbers, as docs/layout.md
// states it: enough for another program to solve it and compare. Lengths in
// mm, costs in the objective's unit.
type Problem struct {
	Direction float64   `json:"joist_direction_deg"`
	Rows      []float64 `json:"lines_may_lie_at_mm"`
	Bottom    float64   `json:"deck_from_mm"`
	Top       float64   `json:"deck_to_mm"`
	Strips    []Strip   `json:"strips"`
	Ends      []End     `json:"ends"`
	Runs      [][]Run   `json:"runs"`         // at each grid height from runs_from_mm up
	Missed    []float64 `json:"missed"`       // joists that a line at each of these heights could not hold
	Crossing  []float64 `json:"crossing"`     // joists that cross each of them
	RunsFrom  float64   `json:"runs_from_mm"` // the first of these heights; the next is a grid step up

	Pitch      float64   `json:"pitch_mm"`
	Lap        float64   `json:"lap_mm"`         // least lap of joists and of stringers
	Stub       float64   `json:"stub_mm"`        // an end no longer than this is an overhang
	Bays       []float64 `json:"longest_bay_mm"` // by number of bays from lap to lap, 1 first
	Inner      []float64 `json:"inner_share"`    // what a line between laps carries, in bays
	AtLap      []float64 `json:"lap_share"`      // what a line at a lap carries, in bays, with the same bays on both sides
	Apart      float64   `json:"least_bay_mm"`
	WidestBand float64   `json:"widest_band_mm,omitempty"` // absent: any
	Strip      float64   `json:"working_strip_mm"`
	StripLoad  float64   `json:"working_strip_load_share"` // of the load under the slab
	Lose       float64   `json:"cost_of_an_end_alone"`
	FirstJump  float64   `json:"least_distance_of_lap_lines_mm"`

	SheetRow    float64 `json:"sheet_row_mm"`
	SheetLength float64 `json:"sheet_length_mm"`

	Joists      []Length `json:"joists"`
	Stringers   []Length `json:"stringers"`
	Half        float64  `json:"stringer_past_joist_mm"`
	Grade       float64  `json:"cost_of_a_grade_prop"`
	Inter       float64  `json:"cost_of_an_intermediate_prop"`
	Graded      float64  `json:"grade_props_apart_mm"` // 0: every prop is a grade prop at its cost
	SawnCut     float64  `json:"cost_of_a_cut"`
	CutToLength bool     `json:"stringers_cut_to_length"`
	Grid        float64  `json:"grid_mm"`
	LevelStep   float64  `json:"level_step_mm"`
	Levels      []Level  `json:"levels"` // by level of the band, 0 first
}

// Strip is where joists lie end to end.
type Strip struct {
	From  float64 `json:"from_mm"`
	To    float64 `json:"to_mm"`
	Count float64 `json:"count"`
}

// End is ends of joists that want a line within a window relative to them.
type End struct {
	At     float64 `json:"at_mm"`
	Lo     float64 `json:"window_from_mm"`
	Hi     float64 `json:"window_to_mm"`
	Weight float64 `json:"weight"`
}

// Run is a stretch of joists that one line holds.
type Run struct {
	Length float64 `json:"first_to_last_joist_mm"`
	Room   float64 `json:"room_mm"`
}

// Length is a stock length.
type Length struct {
	Length float64 `json:"length_mm"`
	Cost   float64 `json:"cost"`
}

// Level is what a stringer may do under one band of deck.
type Level struct {
	Inner []float64 `json:"inner_reach_mm"` // from a prop in a lap to the next, by the number of props between, 0 first
	Outer []float64 `json:"outer_reach_mm"` // from the first joist of a run to its first prop in a lap, the end prop not counted
	Only  []int     `json:"only"`           // props between the end props of a piece that holds so many pitches alone, -1: none do
}

// Solution is the lines that the engine finds for a problem.
type Solution struct {
	Cost float64       `json:"cost"`
	At   []float64     `json:"lines_mm"`
	Laps []bool        `json:"laps"`
	Time time.Duration `json:"-"` // of the search
}

// problem writes a line plan down.
func (lp *linePlan) problem() Problem {
	m, k := lp.model, lp.k
	lo, hi := lp.r.rowOf(lp.r.box.Y0+1e-6), min(lp.r.rows(), lp.r.rowOf(lp.r.box.Y1-1e-6)+1)
	stride := lp.stride(hi - lo)
	p := Problem{
		Direction: lp.r.f.deg, Bottom: lp.r.box.Y0, Top: lp.r.box.Y1,
		Pitch: lp.pitch, Lap: lp.lap, Stub: lp.reach, Bays: lp.bays[1:], Inner: lp.inner[1:], AtLap: lp.atLap[1:], Apart: k.lineApart(),
		Strip: mmOf(k.choice.Strip), StripLoad: k.strip / k.strength, Lose: lp.lose, FirstJump: 8 * rowStep,
		SheetRow: lp.rowH, SheetLength: mmOf(k.sheet.Length.V),
		Half: m.half, Grade: m.grade, Inter: m.inter, Graded: m.graded, SawnCut: k.cost.cut(), CutToLength: k.sys.CutToLength,
		Grid: gridStep, LevelStep: m.step,
	}
	if !math.IsInf(lp.band, 1) {
		p.WidestBand = lp.band
	}
	for t := lo; t <= hi; t += stride {
		p.Rows = append(p.Rows, lp.r.yOf(t))
	}
	p.RunsFrom = lp.r.yOf(lo)
	for t := lo; t <= hi; t++ {
		p.Crossing = append(p.Crossing, lp.active[t])
		var runs []Run
		for _, r := range lp.rows[t].runs {
			runs = append(runs, Run{r.length, r.room})
		}
		p.Runs, p.Missed = append(p.Runs, runs), append(p.Missed, lp.rows[t].missed)
	}
	for _, s := range lp.strips {
		p.Strips = append(p.Strips, Strip{s.a, s.b, s.count})
	}
	for _, c := range lp.windows {
		for i := 1; i < len(c.before); i++ {
			if w := c.before[i] - c.before[i-1]; w > 0 {
				p.Ends = append(p.Ends, End{lp.r.yOf(i - 1), c.lo, c.hi, float64(w)})
			}
		}
	}
	for _, s := range k.joists {
		p.Joists = append(p.Joists, Length{s.len, s.cost})
	}
	for _, s := range k.stringers {
		p.Stringers = append(p.Stringers, Length{s.len, s.cost})
	}
	widest := 2*lp.bays[1] + lp.reach
	for n := 0; n <= lp.level(widest)+2; n++ {
		l := m.at(n)
		var only []int
		for i := 0; float64(i)*lp.pitch <= k.stringers[len(k.stringers)-1].len; i++ {
			only = append(only, m.only(l, n, float64(i)*lp.pitch))
		}
		p.Levels = append(p.Levels, Level{l.inner, l.outer, only})
	}
	return p
}

// Problems lists the problems of a zone, one for each direction of joists,
// pitch and prop that the layout compares, with what it finds.
func Problems(in *Input, zone int) ([]Problem, []Solution, error) {
	ks, err := kits(in, in.Site.Zones[zone])
	if err != nil {
		return nil, nil, fmt.Errorf("%s %w", in.Site.Zones[zone].Name, err)
	}
	var problems []Problem
	var found []Solution
	for _, dir := range directions(in.Site, zone) {
		r, err := newRegion(in.Site, zone, newFrame(dir), in.Deck)
		if err != nil {
			return nil, nil, err
		}
		for _, k := range ks {
			for _, p := range k.pitches(r) {
				lp := newLinePlan(k, r, r.columns(p, mmOf(k.joists[0].part.Width.V)/2), p)
				start := time.Now()
				pat, ok := lp.search()
				took := time.Since(start)
				if !ok {
					continue
				}
				s := Solution{Cost: pat.cost, Time: took}
				for _, l := range pat.lines {
					s.At, s.Laps = append(s.At, l.y), append(s.Laps, l.lap)
				}
				problems, found = append(problems, lp.problem()), append(found, s)
			}
		}
	}
	return problems, found, nil
}
