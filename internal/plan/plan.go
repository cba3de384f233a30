// Package plan runs the flow for a job: site, layout, audit, sums. It is the
// only place that knows all of it.
package plan

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"runtime"
	"slices"
	"sort"
	"sync"

	"shoreward/internal/audit"
	"shoreward/internal/calc"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/layout"
	"shoreward/internal/plane"
	"shoreward/internal/price"
	"shoreward/internal/sheets/count"
	"shoreward/internal/site"
)

// Progress is told what is done; it may be nil.
type Progress func(done, total int, what string)

// Run plans every pour of a job. A pour that cannot be decked is refused with
// its reason and the others go on; err is for what stops all of them.
func Run(j *job.Job, cat *catalog.Catalog, tell Progress) (*deck.Document, error) {
	doc, _, err := RunFrom(j, cat, nil, tell)
	return doc, err
}

// task is a pour to plan.
type task struct {
	l *job.Level
	p *job.Pour
}

// RunFrom plans a job again: every pour keeps what it can of its deck in an
// earlier plan, which may be nil. The starts go with the pours.
func RunFrom(j *job.Job, cat *catalog.Catalog, old *deck.Document, tell Progress) (*deck.Document, []Start, error) {
	system, err := cat.Kit(j.System, string(j.Basis), j.Style)
	if err != nil {
		return nil, nil, err
	}
	doc := document(j, cat, system)
	var tasks []task
	for i := range j.Levels {
		for k := range j.Levels[i].Pours {
			tasks = append(tasks, task{&j.Levels[i], &j.Levels[i].Pours[k]})
		}
	}
	under, err := below(tasks)
	if err != nil {
		return nil, nil, err
	}
	// pours plans some of the tasks, as many at the same time as there are
	// processors, each after the one that it stands over.
	pours := func(which []int, y func(i int) yard, tell Progress) ([]laidPour, error) {
		out, errs := make([]laidPour, len(tasks)), make([]error, len(tasks))
		ready := make([]chan struct{}, len(tasks)) // closed when a pour is planned
		for _, i := range which {
			ready[i] = make(chan struct{})
		}
		var wg sync.WaitGroup
		var mu sync.Mutex
		done := 0
		next := make(chan int)
		for range min(runtime.GOMAXPROCS(0), len(which)) {
			wg.Go(func() {
				for i := range next {
					var floor *deck.Pour
					if b := under[i]; b >= 0 && ready[b] != nil { // it was handed out before
						<-ready[b]
						if errs[b] == nil {
							floor = &out[b].pour
						}
					} else if b >= 0 {
						floor = &doc.Pours[b]
					}
					errs[i] = planPour(j, cat, system, doc, tasks[i], old, floor, y(i), &out[i])
					close(ready[i])
					mu.Lock()
					done++
					if tell != nil {
						tell(done, len(which), "pour "+tasks[i].p.Name)
					}
					mu.Unlock()
				}
			})
		}
		for _, i := range upward(under) {
			if ready[i] != nil {
				next <- i
			}
		}
		close(next)
		wg.Wait()
		return out, errors.Join(errs...)
	}
	all := make([]int, len(tasks))
	for i := range all {
		all[i] = i
	}
	first, err := pours(all, func(int) yard { return yard{} }, tell)
	if err != nil {
		return nil, nil, err
	}
	for i := range first {
		doc.Pours = append(doc.Pours, first[i].pour)
	}
	if err := settle(doc, j); err != nil {
		return nil, nil, err
	}
	err = withinStock(j, doc, first, system, old != nil, func(which []int, y func(i int) yard) ([]laidPour, error) {
		return pours(which, y, nil)
	})
	if err != nil {
		return nil, nil, err
	}
	starts := make([]Start, len(tasks))
	for i := range first {
		starts[i] = first[i].start
	}
	finish(doc, j, cat)
	return doc, starts, nil
}

// laidPour is a pour with what it was laid from.
type laidPour struct {
	pour  deck.Pour
	start Start
	b     *builder   // who laid it; nil: refused
	flat  *deck.Deck // the deck as it was laid: flat, where the pour falls
	own   *deck.Pour // its earlier plan, if there is one
	least float64    // that any deck takes for what the layout decides on, 0: not known
}

// judge takes a deck for a pour, proves it and says what it leaves open.
func (l *laidPour) judge(d *deck.Deck) error {
	out := &l.pour
	l.flat, out.Deck = d, *l.b.inSlope(d)
	if err := l.b.say(d); err != nil {
		return fmt.Errorf("pour %s: %w", out.Name, err)
	}
	out.Notes = l.b.notes
	var err error
	if out.Audit, err = l.b.auditor.Run(out); err != nil {
		return fmt.Errorf("pour %s: %w", out.Name, err)
	}
	l.bound(l.least)
	return nil
}

// bound notes the least that any deck takes for what the layout decides on, beside what
// this one takes; 0: not known.
func (l *laidPour) bound(least float64) {
	l.least = least
	if l.b == nil {
		return
	}
	in := *l.b.in
	in.Scarce = nil
	s, d := &l.pour.Summary, &l.pour.Deck
	cost := layout.Decided(&in, d)
	if l.own != nil && l.own.Summary.BoundCost == cost && reflect.DeepEqual(l.own.Deck, *d) {
		least = l.own.Summary.BoundLeast // the same deck at the same prices
	}
	if s.BoundCost, s.BoundLeast = 0, 0; least > 0 { // it is not known of a deck laid from an earlier one
		s.BoundCost, s.BoundLeast = cost, least
	}
}

// settle makes the cut lists of a plan and adds up its pours.
func settle(doc *deck.Document, j *job.Job) error {
	if err := cutSheets(doc, j); err != nil {
		return err
	}
	for i := range doc.Pours {
		if p := &doc.Pours[i]; p.Refused == "" {
			sum(doc, p, j)
		}
	}
	return nil
}

// upward orders pours so that each comes after the one that it stands over.
func upward(under []int) []int {
	var out []int
	done := make([]bool, len(under))
	var visit func(i int)
	visit = func(i int) {
		if !done[i] {
			done[i] = true
			if under[i] >= 0 {
				visit(under[i])
			}
			out = append(out, i)
		}
	}
	for i := range under {
		visit(i)
	}
	return out
}

func document(j *job.Job, cat *catalog.Catalog, s *catalog.System) *deck.Document {
	mm := func(v float64) float64 { return math.Round(v*1e5) / 100 }
	doc := &deck.Document{
		Schema:   deck.SchemaName,
		Job:      deck.Header{Name: j.Name, Basis: j.Basis, Style: j.Style, System: s.ID, ConcreteStrength: float64(j.Concrete.Strength)},
		Settings: j.Settings,
		Choices: deck.Choices{
			Clearance: mm(float64(j.Deck.Clearance)), Bearing: mm(float64(j.Deck.Bearing)), LapMin: mm(float64(j.Deck.LapMin)),
			EdgeOfStand: mm(float64(j.Deck.EdgeOfStand)), TieLoad: float64(j.Deck.TieLoad), BraceLoad: float64(j.Deck.BraceLoad), HoldDown: holdDown,
			GuardPitch: mm(float64(j.Deck.GuardPitch)), OneManLift: float64(j.Deck.OneManLift),
			Kerf: mm(float64(j.Deck.Kerf)), OffcutMin: mm(float64(j.Deck.OffcutMin)),
		},
		Parts: cat.Parts, // all of them while planning; finish keeps what is used
	}
	for _, g := range j.Grid.X {
		doc.Job.GridX = append(doc.Job.GridX, deck.GridLine{Name: g.Name, At: mm(float64(g.At))})
	}
	for _, g := range j.Grid.Y {
		doc.Job.GridY = append(doc.Job.GridY, deck.GridLine{Name: g.Name, At: mm(float64(g.At))})
	}
	for _, a := range j.Assumed {
		doc.Assumed = append(doc.Assumed, deck.Assumed{Key: a.Key, Value: a.Value, Reason: a.Reason})
	}
	doc.Assumed = append(doc.Assumed, deck.Assumed{Key: "fixing of members that could tip", Value: calc.Text(holdDown, calc.Force, j.Style),
		Reason: "rating that whatever fixes them down must have, setting of the program"})
	for _, m := range slices.Concat(model, fallModel(j)) {
		doc.Assumed = append(doc.Assumed, deck.Assumed{Key: m[0], Value: m[1], Reason: "model of the audit, see docs/plan-json.md"})
	}
	return doc
}

// model is what the audit takes for granted, for the reviewer to accept or not.
var model = [][2]string{
	{"patterns of placing, up to ten spans", "every combination of loaded and unloaded spans"},
	{"patterns of placing, more than ten spans of one member that lifts", "searched for, from every stretch and every combination of six neighbouring spans on; within half a percent of the worst in tests"},
	{"deflection", "with everything loaded, from the supports that hold"},
	{"reactions of sheets on joists", "with everything loaded; of joists and stringers, the worst pattern"},
	{"sheets", "nailed where they would lift"},
	{"laps", "the piece that spans carries; its neighbour's tail past the last support carries nothing"},
	{"gaps up to 60 mm between walls, or between a slab's edge and a wall", "closed with a filler board, not decked"},
	{"columns and walls with ties", "cast, and able to take the sideways load of the deck: for the project's engineer to confirm"},
	{"concrete edge", "liquid pressure over the full height of the slab; beside beams, drops and steps from the higher top down to the foot of the side form"},
	{"sheets of the slab beside beams, drops and steps", "along the joists they rest on the side form, which hands the load to the deck it stands on; across them they reach past the joists"},
}

// holdDown is the working rating, N, that the fixing of a joist or stringer
// which could tip must have: a strap or a pair of clips; the book prints it.
const holdDown = 5000

// mostly is the share of a floor's props with one over each of which a pour above is
// said to repeat the floor.
const mostly = 0.8

func planPour(j *job.Job, cat *catalog.Catalog, system *catalog.System, doc *deck.Document, t task, old *deck.Document, floor *deck.Pour, yard yard, to *laidPour) error {
	l, p := t.l, t.p
	*to = laidPour{pour: deck.Pour{Name: p.Name, Level: l.Name}, own: earlierPour(old, p.Name)}
	out := &to.pour
	s, err := site.New(j, l, p)
	if err != nil {
		var r site.Refusal
		if errors.As(err, &r) {
			out.Refused = r.Reason
			return nil
		}
		return fmt.Errorf("pour %s: %w", p.Name, err)
	}
	in := &layout.Input{Site: s, Catalog: cat, System: system, Settings: j.Settings, Deck: j.Deck, Rates: j.Rates, Scarce: yard.scarce}
	err = fix(in, j.Pins, p.Name)
	if err == nil {
		err = pinned(s, j, cat, in.System, p.Name)
	}
	out.Site = *s
	// The audit sees the document as it is, with one pour's deck in the making.
	scratch := *doc
	var d *deck.Deck
	if s.Fall == nil { // else shorter props may stand at the low end than the bound knows
		in.Bound = func(v float64) {
			if to.least == 0 || v < to.least {
				to.least = v
			}
		}
	}
	if err == nil {
		var b builder
		b, err = newBuilder(in, audit.New(&scratch), yard)
		b.decks, b.starts, b.from = sources(j, s, to.own, old, floor)
		if err == nil {
			d, err = b.lay()
		}
		to.b, to.start = &b, b.from
	}
	if err != nil {
		out.Refused, to.b = fmt.Sprintf("pour %s: %v", p.Name, err), nil
		return nil
	}
	if from := to.start; from.Below != "" && from.Afresh == "" {
		if samePlan(s, &floor.Site) {
			out.LaidAs = from.Below
		} else {
			out.Follows = from.Below
		}
	}
	out.Deck = *to.b.inSlope(d)
	if own := to.own; own != nil && floor != nil && to.keeps() && overBelow(floor, []*deck.Pour{out}) > mostly {
		if own.LaidAs == floor.Name && samePlan(s, &floor.Site) {
			out.LaidAs = own.LaidAs // its own deck was the floor's already
		} else if own.Follows == floor.Name {
			out.Follows = own.Follows
		}
	}
	return to.judge(d)
}

// finish keeps the parts in use, lists their from-memory values, proves the cut
// lists and adds up.
func finish(doc *deck.Document, j *job.Job, cat *catalog.Catalog) {
	doc.Parts = used(doc, cat)
	doc.Unsure = unsure(doc, cat)
	for i := range doc.Pours {
		p := &doc.Pours[i]
		if p.Refused == "" {
			p.Audit.Findings = append(audit.Cuts(doc, i), p.Audit.Findings...)
			sum(doc, p, j)
		}
		doc.Total = add(doc.Total, p.Summary)
	}
	propsOverProps(doc, j)
}

// propsOverProps says of every pour on a level how many of its props stand over
// props of that level.
func propsOverProps(doc *deck.Document, j *job.Job) {
	base := map[string]string{}
	for _, l := range j.Levels {
		base[l.Name] = l.Base.Level
	}
	for i := range doc.Pours {
		p := &doc.Pours[i]
		if p.Refused != "" || base[p.Level] == "" {
			continue
		}
		var under []*deck.Pour
		for k := range doc.Pours {
			if doc.Pours[k].Level == base[p.Level] {
				under = append(under, &doc.Pours[k])
			}
		}
		share := math.Round(overBelow(p, under)*1e4) / 1e4
		p.Summary.PropsOver = &share
	}
}

func used(doc *deck.Document, cat *catalog.Catalog) map[string]*catalog.Part {
	parts := map[string]*catalog.Part{}
	take := func(ids ...string) {
		for _, id := range ids {
			if p := cat.Parts[id]; p != nil {
				parts[id] = p
			}
		}
	}
	for i := range doc.Pours {
		d := &doc.Pours[i].Deck
		for _, s := range d.Sheets {
			take(s.Part)
		}
		for _, m := range d.Joists {
			take(m.Part)
		}
		for _, m := range d.Stringers {
			take(m.Part)
		}
		for _, p := range d.Props {
			take(p.Part, p.Head, p.Tripod, p.Sill, p.Wedge)
		}
		for _, e := range d.EdgeForms {
			take(e.Part, e.Kicker)
		}
		for _, g := range d.Guards {
			take(g.Part)
		}
		for _, t := range d.Ties {
			take(t.Part)
		}
		for _, b := range d.Braces {
			take(b.Part)
		}
	}
	return parts
}

// unsure lists every value in use that was not seen in a published text: of
// parts, and of the clauses behind the worked checks.
func unsure(doc *deck.Document, cat *catalog.Catalog) []deck.Unsure {
	var out []deck.Unsure
	seen := map[string]bool{}
	put := func(u deck.Unsure) {
		if k := u.Of + "\x00" + u.Value; !seen[k] {
			seen[k] = true
			out = append(out, u)
		}
	}
	ids := make([]string, 0, len(doc.Parts))
	for id := range doc.Parts {
		ids = append(ids, id)
	}
	sort.Strings(ids)
	for _, id := range ids {
		rows, err := cat.Explain(id)
		if err != nil {
			continue
		}
		for _, r := range rows {
			if isUnsure(r.Evidence) {
				put(deck.Unsure{Of: id, Value: r.Name + " " + r.Text(doc.Job.Style), Source: r.Source, Evidence: r.Evidence})
			}
		}
	}
	line := func(l calc.Line) {
		if isUnsure(l.Evidence) {
			put(deck.Unsure{Of: "rule", Value: l.Name, Source: l.Source, Evidence: l.Evidence})
		}
	}
	for i := range doc.Pours {
		for _, z := range doc.Pours[i].Audit.Loads {
			for _, l := range z.Load.Lines {
				line(l)
			}
		}
		for _, w := range doc.Pours[i].Audit.Worked {
			for _, l := range w.Lines {
				line(l)
			}
		}
	}
	return out
}

func isUnsure(e calc.Evidence) bool {
	return e == calc.Memory || e == calc.Practice || e == calc.ReadWeak
}

func summarize(doc *deck.Document, p *deck.Pour, r price.Pricer) deck.Summary {
	d := &p.Deck
	s := deck.Summary{
		Area: plane.Area(p.Site.Slab) / 1e6 * p.Site.Fall.Stretch(), Joists: len(d.Joists), Stringers: len(d.Stringers), Checks: len(p.Audit.Checks),
	}
	for _, x := range d.Sheets {
		if x.Cut {
			s.SheetsCut++
		} else {
			s.SheetsFull++
		}
	}
	for _, x := range d.Props {
		if x.Kind == deck.Grade {
			s.GradeProps++
		} else {
			s.Intermediates++
		}
	}
	for _, c := range count.Contacts(p) {
		if c.Length > 0 {
			s.Faces += c.Area
		}
	}
	if p.Cuts != nil {
		s.SheetsSawn = p.Cuts.Sheets
	}
	s.PanelArea, s.Waste, s.Offcuts = price.Panels(p)
	s.WasteShare = share(s)
	b, _ := r.Deck(doc, p)
	s.Pieces, s.Weight, s.GradingOps, s.CrewHours, s.Cost = b.Pieces, b.Weight, b.Grading, b.Hours, b.Money
	s.OnMark = deck.OnMarks(&p.LaidFlat().Deck, doc.Parts)
	for _, c := range p.Audit.Checks {
		s.MaxRatio = math.Max(s.MaxRatio, c.Ratio)
	}
	s.Failed = failed(&p.Audit)
	return s
}

// failed counts the checks that fail, and what fails without a ratio.
func failed(a *deck.Audit) int {
	n := 0
	for _, c := range a.Checks {
		if c.Ratio > 1+1e-9 {
			n++
		}
	}
	for _, f := range a.Findings {
		if f.Fails && f.Ratio == 0 {
			n++
		}
	}
	return n
}

// share is the panel waste in per cent of the panel area.
func share(s deck.Summary) float64 {
	if s.PanelArea <= 0 {
		return 0
	}
	return 100 * s.Waste / s.PanelArea
}

// sum adds up a pour, and keeps what the layout said of its bound.
func sum(doc *deck.Document, p *deck.Pour, j *job.Job) {
	cost, least := p.Summary.BoundCost, p.Summary.BoundLeast
	p.Summary = summarize(doc, p, price.New(j.Deck, j.Rates))
	p.Summary.BoundCost, p.Summary.BoundLeast = cost, least
	p.Summary.BoundGap = gap(p.Summary)
}

// gap is by how much the deck's decided parts cost more than the bound, as a
// share of the bound.
func gap(s deck.Summary) float64 {
	if s.BoundLeast <= 0 {
		return 0
	}
	return s.BoundCost/s.BoundLeast - 1
}

func add(a, b deck.Summary) deck.Summary {
	a.BoundCost += b.BoundCost
	a.BoundLeast += b.BoundLeast
	a.BoundGap = gap(a)
	a.Area += b.Area
	a.Faces += b.Faces
	a.Pieces += b.Pieces
	a.SheetsFull += b.SheetsFull
	a.SheetsCut += b.SheetsCut
	a.SheetsSawn += b.SheetsSawn
	a.PanelArea += b.PanelArea
	a.Waste += b.Waste
	a.Offcuts += b.Offcuts
	a.WasteShare = share(a)
	a.Joists += b.Joists
	a.Stringers += b.Stringers
	a.GradeProps += b.GradeProps
	a.Intermediates += b.Intermediates
	a.Weight += b.Weight
	a.MaxRatio = math.Max(a.MaxRatio, b.MaxRatio)
	a.Checks += b.Checks
	a.Failed += b.Failed
	a.Cost += b.Cost
	a.GradingOps += b.GradingOps
	a.CrewHours += b.CrewHours
	a.OnMark = a.OnMark.With(b.OnMark)
	return a
}
