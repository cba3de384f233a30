package sheets

import (
	"fmt"
	"math"
	"sort"
	"time"

	"shoreward/internal/calc"
	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/say"
)

// Figure is a number that may not be known. The zero Figure is not known, so that
// nothing left out by mistake reads as nought.
type Figure struct {
	V     float64
	Known bool
}

// Known is a figure that is.
func Known(v float64) Figure { return Figure{v, !math.IsNaN(v)} }

// Storeys is the history of a building as its sheets show it: what every slab and
// every level of props carries after each step of the work, and what it may.
// Lengths mm, loads and strengths Pa, forces N, times hours since Start. All of it
// is found elsewhere; here it is only drawn.
type Storeys struct {
	Start   time.Time // clock time of hour 0; zero: the job has no dates, days are counted
	Method  string    // how loads and capacities were found, in a line
	Slabs   []StoreySlab
	Steps   []StoreyStep // in order
	Show    []int        // steps to draw the building at, besides the worst ones
	Assumed []deck.Assumed
	Unsure  []deck.Unsure
}

// StoreySlab is a pour with what is to be done under it.
type StoreySlab struct {
	Pour, Level string
	Outline     []deck.Shape
	Top         float64
	Thickness   float64
	Base        float64   // top of what its props stand on
	On          []int     // the slabs its props stand on; none: the ground
	Props       []PropDot // shores, as planned
	Design      Figure    // service load it was designed for, with its own weight
	Capacity    []Moment  // what it may carry, in time, between the steps
	Strike      Strike
	Areas       []StripArea // in the order of stripping
	Reshores    []Reshore
}

// PropDot is a shore in plan.
type PropDot struct {
	ID string
	At deck.Point
}

// Moment is a value at a time.
type Moment struct {
	Hours float64
	Value Figure
}

// Strike says when the shores under a pour may go.
type Strike struct {
	Earliest Figure // hours
	Planned  Figure // hours
	Strength Figure // of the concrete, shown by tests, Pa
	Expected Figure // by the curve at the planned time, Pa
	Governs  string // what sets the earliest time
	Not      string // why it must not be struck as planned, or why no time is known
	Before   []string
}

// StripArea is a part of a pour that is stripped in one go.
type StripArea struct {
	Shape deck.Shape
	Words string // "midspan", "toward grid B", "cantilever, from the tip"
}

// Reshore is one reshore under a pour.
type Reshore struct {
	ID    string
	At    deck.Point
	Force Figure // greatest while it stands
	Ratio Figure // of it and of the slab it stands on and pushes up, whichever is greater
	Off   bool   // out of line with what stands above or below
}

// StoreyStep is an operation and the building after it.
type StoreyStep struct {
	Name  string
	Kind  StepKind
	Slab  int // whose props or load it is about
	Hours float64
	Slabs []SlabThen // as many as Storeys.Slabs
}

// StepKind is what an operation does.
type StepKind string

// Kinds of steps.
const (
	PlaceStep   StepKind = "place"
	LoadStep    StepKind = "load"
	StripStep   StepKind = "strip"
	ReshoreStep StepKind = "reshore"
	RemoveStep  StepKind = "remove"
	SnugStep    StepKind = "snug"
)

// SlabThen is a slab, and the props under it, after a step.
type SlabThen struct {
	Placed   bool
	Age      float64 // hours
	Load     Figure
	Capacity Figure
	Strength Figure
	Ratio    Figure // of what it carries to what it may; fresh concrete on shores carries nothing: 0
	Under    string // "", "shore", "reshore"
	Props    Figure // load on the props per area
	PropsBy  Figure // ratio of the worst of them
	Loose    bool   // they hang loose
}

// check refuses a history whose parts do not belong together.
func (st *Storeys) check() error {
	for k, s := range st.Steps {
		if len(s.Slabs) != len(st.Slabs) {
			return fmt.Errorf("storeys: step %d (%s) has %d slabs, the building %d", k+1, s.Name, len(s.Slabs), len(st.Slabs))
		}
		if s.Slab < 0 || s.Slab >= len(st.Slabs) {
			return fmt.Errorf("storeys: step %d (%s) is about slab %d of %d", k+1, s.Name, s.Slab, len(st.Slabs))
		}
		if far(s.Hours) || k > 0 && s.Hours < st.Steps[k-1].Hours {
			return fmt.Errorf("storeys: step %d (%s) comes before the one ahead of it", k+1, s.Name)
		}
	}
	for _, s := range st.Slabs {
		if farShapes(s.Outline) || far(s.Top, s.Thickness, s.Base) {
			return fmt.Errorf("storeys: pour %s lies more than 100 km from the origin", s.Pour)
		}
		for _, a := range s.Areas {
			if farShapes([]deck.Shape{a.Shape}) {
				return fmt.Errorf("storeys: a strip area of pour %s lies more than 100 km from the origin", s.Pour)
			}
		}
		for _, r := range s.Reshores {
			if far(r.At[0], r.At[1]) {
				return fmt.Errorf("storeys: reshore %s of pour %s lies more than 100 km from the origin", r.ID, s.Pour)
			}
		}
		for _, on := range s.On {
			if on < 0 || on >= len(st.Slabs) {
				return fmt.Errorf("storeys: pour %s stands on slab %d of %d", s.Pour, on, len(st.Slabs))
			}
		}
	}
	for _, k := range st.Show {
		if k < 0 || k >= len(st.Steps) {
			return fmt.Errorf("storeys: step %d of %d is to be shown", k+1, len(st.Steps))
		}
	}
	return nil
}

// far and farShapes are those of package say, for what is not in a plan.
func far(vs ...float64) bool {
	for _, v := range vs {
		if !(math.Abs(v) < 1e8) {
			return true
		}
	}
	return false
}

func farShapes(shapes []deck.Shape) bool {
	for _, s := range shapes {
		for _, r := range s.Rings() {
			for _, p := range r {
				if far(p[0], p[1]) {
					return true
				}
			}
		}
	}
	return false
}

// worse orders ratios: what is not known before all that is.
func worse(a, b Figure) bool {
	if a.Known != b.Known {
		return !a.Known
	}
	return a.V > b.V
}

// greatest is the step after which a slab's ratio is worst, and the ratio; step -1
// when it is never placed.
func (st *Storeys) greatest(slab int, of func(SlabThen) (Figure, bool)) (step int, f Figure) {
	step = -1
	for k, s := range st.Steps {
		v, counts := of(s.Slabs[slab])
		if counts && (step < 0 || worse(v, f)) {
			step, f = k, v
		}
	}
	return step, f
}

func slabRatio(s SlabThen) (Figure, bool) { return s.Ratio, s.Placed }
func propRatio(s SlabThen) (Figure, bool) { return s.PropsBy, s.Placed && s.Under != "" }

// peak is the worst slab or level of props of the whole history.
type peak struct {
	step, slab int
	ratio      Figure
}

func (st *Storeys) peak(of func(SlabThen) (Figure, bool)) (peak, bool) {
	p := peak{step: -1}
	for i := range st.Slabs {
		if k, f := st.greatest(i, of); k >= 0 && (p.step < 0 || worse(f, p.ratio)) {
			p = peak{k, i, f}
		}
	}
	return p, p.step >= 0
}

// failing counts the slabs and the levels of props that are ever over, or not known.
func (st *Storeys) failing() (over, unknown int) {
	for i := range st.Slabs {
		for _, of := range []func(SlabThen) (Figure, bool){slabRatio, propRatio} {
			k, f := st.greatest(i, of)
			switch {
			case k < 0:
			case !f.Known:
				unknown++
			case draw.BandOf(f.V, true).Fails():
				over++
			}
		}
	}
	return over, unknown
}

// shown are the steps at which the building is drawn: asked for, then where a slab
// is worst, then where props are.
func (st *Storeys) shown() []int {
	list := append([]int(nil), st.Show...)
	for _, of := range []func(SlabThen) (Figure, bool){slabRatio, propRatio} {
		if p, ok := st.peak(of); ok {
			list = append(list, p.step)
		}
	}
	seen := map[int]bool{}
	var out []int
	for _, k := range list {
		if !seen[k] {
			seen[k] = true
			out = append(out, k)
		}
	}
	sort.Ints(out)
	return out
}

// when writes a time, rounded up to the hour: what may be done at it is not yet
// allowed before.
func (st *Storeys) when(hours float64) string {
	h := math.Ceil(hours - 1e-6)
	if st.Start.IsZero() {
		day, rest := int(math.Floor(h/24)), int(h-24*math.Floor(h/24))
		return fmt.Sprintf("day %d, %d h", day, rest)
	}
	return st.Start.Add(time.Duration(h) * time.Hour).Format("Mon 2 Jan 2006, 15:04")
}

// day writes the day of a time.
func (st *Storeys) day(hours float64) string {
	if st.Start.IsZero() {
		return fmt.Sprintf("day %d", int(math.Floor(hours/24+1e-9)))
	}
	return st.Start.Add(time.Duration(hours * float64(time.Hour))).Format("2 Jan 2006")
}

// lasting writes a time from another.
func lasting(hours float64) string {
	h := int(math.Ceil(hours - 1e-6))
	if h%24 == 0 {
		return fmt.Sprintf("%d d", h/24)
	}
	return fmt.Sprintf("%d d %d h", h/24, h%24)
}

const notKnown = "not known"

// figures in the words of the paper; what is not known is said to be.
func (f Figure) load(s quantity.Style) string     { return f.say(calc.Pressure, s) }
func (f Figure) force(s quantity.Style) string    { return f.say(calc.Force, s) }
func (f Figure) strength(s quantity.Style) string { return f.say(calc.Stress, s) }

func (f Figure) say(k calc.Kind, s quantity.Style) string {
	if !f.Known {
		return notKnown
	}
	return say.Value(f.V, k, s)
}

// needed writes a strength that must be reached, rounded up.
func (f Figure) needed(s quantity.Style) string {
	if !f.Known {
		return notKnown
	}
	if s == quantity.US {
		psi := float64(quantity.PSI)
		return fmt.Sprintf("%.0f psi", math.Ceil(f.V/psi/10-1e-6)*10)
	}
	return fmt.Sprintf("%.1f N/mm²", math.Ceil(f.V/1e5-1e-6)/10)
}

func (f Figure) ratio() string {
	if !f.Known {
		return notKnown
	}
	return say.Ratio(f.V)
}

func (f Figure) band() draw.Band { return draw.BandOf(f.V, f.Known) }

// StoreysPDF writes the sheets on storeys alone, the same bytes for the same history.
func StoreysPDF(doc *deck.Document, st *Storeys) ([]byte, error) {
	d, err := DrawStoreys(doc, st)
	if err != nil {
		return nil, err
	}
	return d.PDF()
}

// DrawStoreys makes the sheets on storeys in the drawing model. The plan may be
// without decks: then the pours are drawn by their outlines alone.
func DrawStoreys(doc *deck.Document, st *Storeys) (*draw.Document, error) {
	if err := say.Finite(doc); err != nil {
		return nil, fmt.Errorf("storeys: %w", err)
	}
	s := &set{doc: doc, style: doc.Job.Style,
		out: &draw.Document{Title: doc.Job.Name + ": loads through storeys", Subject: "Shoring, stripping and reshoring, design aid; the project's licensed engineer governs"}}
	if err := s.storeys(st); err != nil {
		return nil, err
	}
	s.number()
	return s.out, nil
}

// storeys adds all sheets on storeys.
func (s *set) storeys(st *Storeys) error {
	if err := st.check(); err != nil {
		return err
	}
	s.storeySummary(st)
	for _, k := range st.shown() {
		s.building(st, k)
	}
	s.histories(st)
	for i := range st.Slabs {
		s.stripSheets(st, i)
		s.release(st, i)
	}
	return nil
}
