// Package plan runs the flow for a job: site, layout, audit, sums. It is the
// only place that knows all of it.
package plan

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"sort"
	"sync"

	"shoreward/internal/audit"
	"shoreward/internal/calc"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/layout"
	"shoreward/internal/plane"
	"shoreward/internal/sheets/count"
	"shoreward/internal/site"
)

// Progress is told what is done; it may be nil.
type Progress func(done, total int, what string)

// Run plans every pour of a job. A pour that cannot be decked is refused with
// its reason and the others go on; err is for what stops all of them.
func Run(j *job.Job, cat *catalog.Catalog, tell Progress) (*deck.Document, error) {
	system, err := cat.Kit(j.System, string(j.Basis), j.Style)
	if err != nil {
		return nil, err
	}
	doc := document(j, cat, system)
	type task struct {
		l *job.Level
		p *job.Pour
	}
	var tasks []task
	for i := range j.Levels {
		for k := range j.Levels[i].Pours {
			tasks = append(tasks, task{&j.Levels[i], &j.Levels[i].Pours[k]})
		}
	}
	doc.Pours = make([]deck.Pour, len(tasks))
	errs := make([]error, len(tasks))
	var wg sync.WaitGroup
	var mu sync.Mutex
	done := 0
	next := make(chan int)
	for range min(runtime.GOMAXPROCS(0), len(tasks)) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				t := tasks[i]
				errs[i] = planPour(j, cat, system, doc, t.l, t.p, &doc.Pours[i])
				mu.Lock()
				done++
				if tell != nil {
					tell(done, len(tasks), "pour "+t.p.Name)
				}
				mu.Unlock()
			}
		}()
	}
	for i := range tasks {
		next <- i
	}
	close(next)
	wg.Wait()
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	finish(doc, cat)
	return doc, nil
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
	for _, m := range model {
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

func planPour(j *job.Job, cat *catalog.Catalog, system *catalog.System, doc *deck.Document, l *job.Level, p *job.Pour, out *deck.Pour) error {
	out.Name, out.Level = p.Name, l.Name
	s, err := site.New(j, l, p)
	if err != nil {
		var r site.Refusal
		if errors.As(err, &r) {
			out.Refused = r.Reason
			return nil
		}
		return fmt.Errorf("pour %s: %w", p.Name, err)
	}
	out.Site = *s
	// The audit sees the document as it is, with one pour's deck in the making.
	scratch := *doc
	pour := deck.Pour{Name: p.Name, Level: l.Name, Site: *s}
	auditor := audit.New(&scratch)
	prove := func(d *deck.Deck) ([]deck.Finding, error) {
		pour.Deck = *d
		a, err := auditor.Run(&pour)
		return a.Findings, err
	}
	in := &layout.Input{Site: s, Catalog: cat, System: system, Settings: j.Settings, Deck: j.Deck, Rates: j.Rates, Prove: prove}
	d, err := (*deck.Deck)(nil), fix(in, j.Pins, p.Name)
	if err == nil {
		d, err = layout.Plan(in)
	}
	if err != nil {
		out.Refused = fmt.Sprintf("pour %s: %v", p.Name, err)
		return nil
	}
	out.Deck = *d
	if out.Audit, err = auditor.Run(out); err != nil {
		return fmt.Errorf("pour %s: %w", p.Name, err)
	}
	out.Summary = summarize(doc, out, j.Rates)
	return nil
}

// finish keeps the parts in use, lists their from-memory values and adds up.
func finish(doc *deck.Document, cat *catalog.Catalog) {
	doc.Parts = used(doc, cat)
	doc.Unsure = unsure(doc, cat)
	for i := range doc.Pours {
		doc.Total = add(doc.Total, doc.Pours[i].Summary)
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

func summarize(doc *deck.Document, p *deck.Pour, r job.Rates) deck.Summary {
	d := &p.Deck
	s := deck.Summary{
		Area: plane.Area(p.Site.Slab) / 1e6, Joists: len(d.Joists), Stringers: len(d.Stringers), Checks: len(p.Audit.Checks),
	}
	cuts := 0
	for _, x := range d.Sheets {
		if x.Cut {
			s.SheetsCut++
			cuts++
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
	s.GradingOps = s.GradeProps
	for _, c := range count.Contacts(p) {
		if c.Length > 0 {
			s.Faces += c.Area
		}
	}
	hire := 0.0
	for _, g := range count.List(doc, p) {
		s.Pieces += g.Count
		if !math.IsNaN(g.Total) {
			s.Weight += g.Total
		}
		hire += float64(r.Hire[g.ID]) * float64(g.Count)
	}
	for _, c := range p.Audit.Checks {
		s.MaxRatio = math.Max(s.MaxRatio, c.Ratio)
		if c.Ratio > 1+1e-9 {
			s.Failed++
		}
	}
	for _, f := range p.Audit.Findings {
		if f.Fails && f.Ratio == 0 {
			s.Failed++
		}
	}
	s.CrewHours = float64(s.Pieces)*float64(r.PieceTime) + s.Weight*float64(r.KiloTime) + float64(s.GradingOps)*float64(r.GradeTime) + float64(cuts)*float64(r.Cut)
	s.Cost = s.CrewHours*float64(r.Wage) + hire
	return s
}

func add(a, b deck.Summary) deck.Summary {
	a.Area += b.Area
	a.Faces += b.Faces
	a.Pieces += b.Pieces
	a.SheetsFull += b.SheetsFull
	a.SheetsCut += b.SheetsCut
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
	return a
}
