package sheets

import (
	"fmt"
	"math"
	"slices"
	"time"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/reshore"
)

// readStoreys gathers a report by pour and step: of all places and methods the worst.
// A report whose parts do not belong together is refused.
func readStoreys(doc *deck.Document, rep *reshore.Report) (*storeys, error) {
	if rep == nil {
		return nil, fmt.Errorf("storeys: there is no report to draw")
	}
	st := &storeys{of: rep}
	if err := st.readStart(); err != nil {
		return nil, err
	}
	at, err := st.readPours(doc)
	if err != nil {
		return nil, err
	}
	if err := st.readSteps(at); err != nil {
		return nil, err
	}
	for i := range rep.Places {
		if err := st.readPlace(&rep.Places[i], at); err != nil {
			return nil, err
		}
	}
	st.fill()
	for i := range st.slabs {
		st.readStrike(i)
	}
	return st, nil
}

func (st *storeys) readStart() error {
	if st.of.Start == "" {
		return nil
	}
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02 15:04", "2006-01-02T15", time.DateOnly} {
		if t, err := time.Parse(layout, st.of.Start); err == nil {
			st.start = t
			return nil
		}
	}
	return fmt.Errorf("storeys: the start %q is no date like 2027-03-02T07:00", st.of.Start)
}

// readPours finds the heights of pours and their decks; it returns their indices by name.
func (st *storeys) readPours(doc *deck.Document) (map[string]int, error) {
	levels := map[string]reshore.Level{}
	for _, l := range st.of.Levels {
		levels[l.Name] = l
	}
	at := map[string]int{}
	for i := range st.of.Pours {
		p := &st.of.Pours[i]
		l, ok := levels[p.Level]
		if _, twice := at[p.Name]; twice || !ok {
			return nil, fmt.Errorf("storeys: pour %s is there twice, or its level %q is not in the report", p.Name, p.Level)
		}
		at[p.Name] = i
		s := storeySlab{Pour: p, top: l.Top, base: l.Base}
		for j := range doc.Pours {
			if doc.Pours[j].Name == p.Name && doc.Pours[j].Refused == "" {
				s.deck = &doc.Pours[j]
			}
		}
		if err := s.finite(); err != nil {
			return nil, err
		}
		st.slabs = append(st.slabs, s)
	}
	return at, nil
}

// finite refuses places that no building has.
func (s *storeySlab) finite() error {
	far := func(vs ...float64) bool {
		return slices.ContainsFunc(vs, func(v float64) bool { return !(math.Abs(v) < 1e8) }) // mm: 100 km
	}
	bad := far(s.top, s.base, s.Thickness, s.Placed, s.Stripped, s.Strip.Earliest)
	shapes := func(list []plane.Shape) {
		for _, sh := range list {
			for _, r := range sh.Rings() {
				for _, p := range r {
					bad = bad || far(p[0], p[1])
				}
			}
		}
	}
	shapes(s.Slab)
	for _, a := range s.Sequence {
		shapes(a.Shapes)
	}
	for _, r := range s.Layout.Reshores {
		bad = bad || far(r.At[0], r.At[1])
	}
	for _, b := range s.Supports {
		shapes([]plane.Shape{{Outer: b.Ring}})
	}
	if bad {
		return fmt.Errorf("storeys: pour %s has a place or time out of all bounds", s.Name)
	}
	return nil
}

func (st *storeys) readSteps(at map[string]int) error {
	for k := range st.of.Steps {
		s := &st.of.Steps[k]
		i, ok := at[s.Pour]
		if !ok || !(math.Abs(s.At) < 1e8) || k > 0 && s.At < st.of.Steps[k-1].At {
			return fmt.Errorf("storeys: step %d (%s) is of no pour of the report, or comes before the one ahead of it", k+1, s.Name)
		}
		st.steps = append(st.steps, storeyStep{Step: s, slab: i, slabs: make([]slabThen, len(st.slabs))})
	}
	return nil
}

// readPlace puts the states of one place where they are worse than what other places
// or methods gave.
func (st *storeys) readPlace(spot *reshore.Spot, at map[string]int) error {
	pours := make([]int, len(spot.Pours))
	for n, name := range spot.Pours {
		i, ok := at[name]
		if !ok {
			return fmt.Errorf("storeys: place %s has a pour %q that is not in the report", spot.Name, name)
		}
		pours[n] = i
	}
	for r := range spot.Runs {
		run := &spot.Runs[r]
		for n := range run.States {
			s := &run.States[n]
			if s.Step < 0 || s.Step >= len(st.steps) || len(s.Slabs) != len(pours) || len(s.Props) != len(pours) {
				return fmt.Errorf("storeys: state %d of place %s does not fit the report", n+1, spot.Name)
			}
			until := len(st.steps)
			if n+1 < len(run.States) {
				until = run.States[n+1].Step
			}
			for j, i := range pours {
				then := thenOf(s.Slabs[j], s.Props[j])
				then.place, then.method = spot.Name, run.Method
				if on := s.Props[j].On; on >= 0 && on < len(pours) && then.under != "" && !slices.Contains(st.slabs[i].on, pours[on]) {
					st.slabs[i].on = append(st.slabs[i].on, pours[on])
				}
				for k := s.Step; k < until && k < len(st.steps); k++ {
					st.steps[k].slabs[i].worsen(then)
				}
			}
		}
	}
	return nil
}

// thenOf reads a state. A ratio of nought where something is carried was never found:
// it is not known.
func thenOf(s reshore.SlabState, p reshore.PropState) slabThen {
	if !s.Placed {
		return slabThen{}
	}
	out := slabThen{placed: true, age: s.Age, load: loadAs(s.Load), ratio: knownAs(s.Ratio), fresh: s.Age <= 0 && s.Load < 1 && p.Kind == "shore"}
	out.capacity, out.strength = positive(s.Capacity), positive(s.Strength)
	if !out.load.known || s.Load > 1 && !(s.Ratio > 0) {
		out.ratio = figure{}
	}
	if p.Kind == "shore" || p.Kind == "reshore" {
		out.under, out.props, out.propsBy, out.loose = p.Kind, loadAs(p.Load), knownAs(p.Ratio), p.Gap > 0
		if !out.props.known || p.Load > 1 && !(p.Ratio > 0) {
			out.propsBy = figure{}
		}
	}
	return out
}

// worsen takes over what is worse: of the slab, and of its props.
func (t *slabThen) worsen(o slabThen) {
	switch {
	case !o.placed:
		return
	case !t.placed:
		*t = o
		return
	}
	slab, props := *t, *t
	if worse(o.ratio, t.ratio) || o.ratio == t.ratio && o.load.v > t.load.v {
		slab = o
	}
	if t.under == "" || o.under != "" && (worse(o.propsBy, t.propsBy) || o.propsBy == t.propsBy && o.props.v > t.props.v) {
		props = o
	}
	slab.under, slab.props, slab.propsBy, slab.loose = props.under, props.props, props.propsBy, t.loose || o.loose
	slab.fresh = t.fresh && o.fresh
	*t = slab
}

// fill marks slabs that the order of work has placed though no place of the report
// follows them: nothing is known of them.
func (st *storeys) fill() {
	placed := make([]bool, len(st.slabs))
	for k := range st.steps {
		s := &st.steps[k]
		if s.Kind == reshore.Place {
			placed[s.slab] = true
		}
		for i := range s.slabs {
			if placed[i] {
				s.slabs[i].placed, s.slabs[i].age = true, s.At-st.slabs[i].Placed
			}
		}
	}
}

// readStrike finds what the plan expects when a pour is struck, and why it must not be.
func (st *storeys) readStrike(i int) {
	sl := &st.slabs[i]
	k := st.stepOf(i, reshore.Strip)
	if k >= 0 {
		sl.expected = st.steps[k].slabs[i].strength
	}
	switch a := sl.Strip; {
	case !a.Possible:
		sl.not = "no time found at which it may be struck in this order of work"
		if a.Governs != "" {
			sl.not += ": " + a.Governs
		}
	case !sl.needs().known:
		sl.not = "the strength to be shown by tests is not known"
	case sl.Stripped < a.Earliest-1e-6:
		sl.not = fmt.Sprintf("planned %s, before the earliest time", st.when(sl.Stripped))
	case sl.expected.known && sl.expected.v < a.Strength*(1-1e-9):
		sl.not = "the strength expected when it is to be struck is less than what tests must show"
	default:
		sl.not = st.broken(i, k)
	}
}

// broken says what does not hold of a pour, of its reshores, or of the levels over and
// under it once it is struck; nothing when all does.
func (st *storeys) broken(i, k int) string {
	sl := &st.slabs[i]
	for _, f := range st.of.Findings {
		if f.Pour == sl.Name {
			return f.What
		}
	}
	for _, r := range sl.Layout.Reshores {
		switch {
		case r.Fails != "":
			return "reshore " + r.ID + ": " + r.Fails
		case reshoreFails(r):
			return "reshore " + r.ID + ": ratio " + reshoreRatio(r).ratio()
		}
	}
	if j, f := st.greatest(i, slabRatio); j >= 0 && f.band().Fails() {
		return fmt.Sprintf("its ratio is %s after step %d, %s", f.ratio(), j+1, st.steps[j].Name)
	}
	if j, f := st.greatest(i, propRatio); j >= 0 && f.band().Fails() {
		return fmt.Sprintf("the ratio of the props under it is %s after step %d, %s", f.ratio(), j+1, st.steps[j].Name)
	}
	switch { // nothing is let go while the work as a whole does not hold
	case len(st.of.Findings) > 0:
		return "the work as a whole does not hold: " + st.of.Findings[0].What
	case !st.of.Safe:
		return "the work as a whole does not hold"
	case k < 0:
		return ""
	}
	for _, j := range st.stackOf(i, k) {
		for _, of := range []func(slabThen) (figure, bool){slabRatio, propRatio} {
			if f, counts := of(st.steps[k].slabs[j]); counts && f.band().Fails() {
				return fmt.Sprintf("once it is struck the ratio of %s or its props is %s", st.slabs[j].Name, f.ratio())
			}
		}
	}
	return ""
}

// expectedWords writes the strength expected when a pour is struck, as the strength
// that is needed where both are one before they are rounded apart.
func (sl *storeySlab) expectedWords(s quantity.Style) string {
	if n := sl.needs(); n.known && sl.expected.known && sl.expected.v >= n.v*(1-1e-9) && sl.expected.v < n.v*1.005 {
		return n.needed(s)
	}
	return sl.expected.strength(s)
}

// earliest time at which a pour may be struck; not known when there is none.
func (sl *storeySlab) earliest() figure { return figure{sl.Strip.Earliest, sl.Strip.Possible} }

// needs is the strength that tests must show before.
func (sl *storeySlab) needs() figure { return positive(sl.Strip.Strength) }
