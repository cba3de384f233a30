package sheets

import (
	"fmt"
	"math"
	"time"

	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/reshore"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/say"
)

// figure is a number that may not be known. The zero figure is not known, so that
// nothing left out by mistake reads as nought.
type figure struct {
	v     float64
	known bool
}

// known is a figure that is.
func knownAs(v float64) figure { return figure{v, !math.IsNaN(v)} }

// loadAs is a load, which is finite and not negative but for rounding.
func loadAs(v float64) figure { return figure{v, v > -1 && v < 1e9} }

// positive is a load or strength of which nought says that there is none.
func positive(v float64) figure { return figure{v, v > 0 && v < 1e9} }

// storeys is a report as its sheets show it: for every pour and step the worst of
// all places and methods. Lengths mm, loads and strengths Pa, times hours since the
// start.
type storeys struct {
	of    *reshore.Report
	start time.Time // clock time of hour 0; zero: the job has no dates, days are counted
	slabs []storeySlab
	steps []storeyStep
	show  []int // steps to draw the building at, besides the worst ones
}

// storeySlab is a pour with what stands under it.
type storeySlab struct {
	*reshore.Pour
	top, base float64
	on        []int      // the slabs its props stand on; none: the ground
	deck      *deck.Pour // its deck in the plan; nil without
	expected  figure     // strength of its concrete when it is struck as planned
	not       string     // why it must not be struck as planned
}

// storeyStep is an operation and the building after it.
type storeyStep struct {
	*reshore.Step
	slab  int // that it is about
	slabs []slabThen
}

// slabThen is a slab, and the props under it, after a step.
type slabThen struct {
	placed, fresh            bool
	age                      float64 // hours
	load, capacity, strength figure
	ratio                    figure
	place, method            string // where and by which method this is the worst
	under                    string // "", "shore", "reshore"
	props, propsBy           figure // load on the props per area, ratio of the worst of them
	loose                    bool   // they hang loose
}

// worse orders ratios: what is not known before all that is.
func worse(a, b figure) bool {
	if a.known != b.known {
		return !a.known
	}
	return a.v > b.v
}

// greatest is the step after which a slab's ratio is worst, and the ratio; step -1
// when it is never placed.
func (st *storeys) greatest(slab int, of func(slabThen) (figure, bool)) (step int, f figure) {
	step = -1
	for k, s := range st.steps {
		v, counts := of(s.slabs[slab])
		if counts && (step < 0 || worse(v, f)) {
			step, f = k, v
		}
	}
	return step, f
}

func slabRatio(s slabThen) (figure, bool) { return s.ratio, s.placed }
func propRatio(s slabThen) (figure, bool) { return s.propsBy, s.placed && s.under != "" }

// peak is the worst slab or level of props of the whole history.
type peak struct {
	step, slab int
	ratio      figure
}

func (st *storeys) peak(of func(slabThen) (figure, bool)) (peak, bool) {
	p := peak{step: -1}
	for i := range st.slabs {
		if k, f := st.greatest(i, of); k >= 0 && (p.step < 0 || worse(f, p.ratio)) {
			p = peak{k, i, f}
		}
	}
	return p, p.step >= 0
}

// failing counts the slabs and the levels of props that are ever over, or not known.
func (st *storeys) failing() (over, unknown int) {
	for i := range st.slabs {
		for _, of := range []func(slabThen) (figure, bool){slabRatio, propRatio} {
			k, f := st.greatest(i, of)
			switch {
			case k < 0:
			case !f.known:
				unknown++
			case draw.BandOf(f.v, true).Fails():
				over++
			}
		}
	}
	return over, unknown
}

// shown are the steps at which the building is drawn: where a slab is worst, where
// props are, then those asked for.
func (st *storeys) shown() []int {
	var list []int
	for _, of := range []func(slabThen) (figure, bool){slabRatio, propRatio} {
		if p, ok := st.peak(of); ok {
			list = append(list, p.step)
		}
	}
	list = append(list, st.show...)
	seen := map[int]bool{}
	var out []int
	for _, k := range list {
		if !seen[k] {
			seen[k] = true
			out = append(out, k)
		}
	}
	return out
}

// when writes a time, rounded up to the hour: what may be done at it is not yet
// allowed before.
func (st *storeys) when(hours float64) string {
	h := math.Ceil(hours - 1e-6)
	if st.start.IsZero() {
		day, rest := int(math.Floor(h/24)), int(h-24*math.Floor(h/24))
		return fmt.Sprintf("day %d, %d h", day, rest)
	}
	return st.start.Add(time.Duration(h) * time.Hour).Format("Mon 2 Jan 2006, 15:04")
}

// day writes the day of a time.
func (st *storeys) day(hours float64) string {
	if st.start.IsZero() {
		return fmt.Sprintf("day %d", int(math.Floor(hours/24+1e-9)))
	}
	return st.start.Add(time.Duration(hours * float64(time.Hour))).Format("2 Jan 2006")
}

// lasting writes a time from another.
func lasting(hours float64) string {
	h := int(math.Ceil(hours - 1e-6))
	switch {
	case h%24 == 0 && h > 0:
		return fmt.Sprintf("%d d", h/24)
	case h < 24:
		return fmt.Sprintf("%d h", h)
	}
	return fmt.Sprintf("%d d %d h", h/24, h%24)
}

const notKnown = "not known"

// strength writes what is expected of a concrete, rounded down.
func (f figure) strength(s quantity.Style) string {
	if !f.known {
		return notKnown
	}
	if s == quantity.US {
		return fmt.Sprintf("%.0f psi", math.Floor(f.v/float64(quantity.PSI)/10+1e-6)*10)
	}
	return fmt.Sprintf("%.1f N/mm²", math.Floor(f.v/1e5+1e-6)/10)
}

// needed writes a strength that must be reached, rounded up.
func (f figure) needed(s quantity.Style) string {
	if !f.known {
		return notKnown
	}
	if s == quantity.US {
		psi := float64(quantity.PSI)
		return fmt.Sprintf("%.0f psi", math.Ceil(f.v/psi/10-1e-6)*10)
	}
	return fmt.Sprintf("%.1f N/mm²", math.Ceil(f.v/1e5-1e-6)/10)
}

func (f figure) ratio() string {
	if !f.known {
		return notKnown
	}
	return say.Ratio(f.v)
}

func (f figure) band() draw.Band { return draw.BandOf(f.v, f.known) }

// StoreysPDF writes the sheets on storeys alone, the same bytes for the same report.
// The plan gives the job's name, grid and decks.
func StoreysPDF(doc *deck.Document, rep *reshore.Report, steps ...int) ([]byte, error) {
	d, err := DrawStoreys(doc, rep, steps...)
	if err != nil {
		return nil, err
	}
	return d.PDF()
}

// DrawStoreys makes the sheets on storeys in the drawing model. The building is drawn
// after the steps asked for (indices of Report.Steps) besides the worst ones.
func DrawStoreys(doc *deck.Document, rep *reshore.Report, steps ...int) (*draw.Document, error) {
	st, err := askedStoreys(doc, rep, steps)
	if err != nil {
		return nil, err
	}
	s := &set{doc: doc, style: doc.Job.Style,
		out: &draw.Document{Title: doc.Job.Name + ": loads through storeys", Subject: "Shoring, stripping and reshoring, design aid; the project's licensed engineer governs"}}
	s.storeys(st)
	s.number()
	return s.out, nil
}

// askedStoreys reads a report that is to be drawn after some steps.
func askedStoreys(doc *deck.Document, rep *reshore.Report, steps []int) (*storeys, error) {
	if err := say.Finite(doc); err != nil {
		return nil, fmt.Errorf("storeys: %w", err)
	}
	st, err := readStoreys(doc, rep)
	if err != nil {
		return nil, err
	}
	for _, k := range steps {
		if k < 0 || k >= len(st.steps) {
			return nil, fmt.Errorf("storeys: step %d is asked for, the work has %d", k+1, len(st.steps))
		}
	}
	st.show = steps
	return st, nil
}

// storeys adds all sheets on storeys.
func (s *set) storeys(st *storeys) {
	s.storeySummary(st)
	for _, k := range st.shown() {
		s.building(st, k)
	}
	s.histories(st)
	for i := range st.slabs {
		s.stripSheets(st, i)
		s.release(st, i)
	}
}
