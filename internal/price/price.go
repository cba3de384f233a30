// Package price says what parts cost: the layout chooses by it, and the summary
// of a plan is counted with it, so that both mean the same by money.
package price

import (
	"cmp"
	"math"
	"slices"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/sheets/count"
)

// What a layout may make least.
const (
	Money   = "money"
	Pieces  = "pieces"
	Weight  = "weight"
	Grading = "grading"
)

// tie is the weight of money under another objective: enough to decide between
// plans that are equal in it, never more than one piece, kilogram or operation
// in a plan that costs less than ten million.
const tie = 1e-7

// Bill is what a deck takes: counts, mass, time and money.
type Bill struct {
	Pieces  int
	Weight  float64 // kg
	Grading int     // props set to elevation
	Cuts    int     // pieces sawn from a sheet or beam
	Wasted  float64 // m2 of panel that becomes offcut
	Hours   float64
	Money   float64
}

// Pricer prices under one job's rates.
type Pricer struct {
	Objective  string
	Rates      job.Rates
	OneManLift float64            // kg; what is heavier is carried by two; 0: no limit
	Scarce     map[string]float64 // by part id: how many times dearer a part counts because the yard is short of it
}

// New is the pricer of a job.
func New(d job.DeckSettings, r job.Rates) Pricer {
	return Pricer{Objective: d.Objective, Rates: r, OneManLift: float64(d.OneManLift)}
}

// people is how many carry a part.
func (p Pricer) people(kg float64) float64 {
	if p.OneManLift > 0 && kg > p.OneManLift {
		return 2
	}
	return 1
}

// score is the objective's figure of a bill; ties go to the cheaper.
func (p Pricer) score(b Bill) float64 {
	switch p.Objective {
	case Pieces:
		return float64(b.Pieces) + tie*b.Money
	case Weight:
		return b.Weight + tie*b.Money
	case Grading:
		return float64(b.Grading) + tie*b.Money
	}
	return b.Money
}

// Piece is one piece of a part, handled and hired once.
func (p Pricer) Piece(part *catalog.Part) float64 {
	if part == nil {
		return 0
	}
	kg := float64(part.Mass.V)
	hours := p.people(kg) * (float64(p.Rates.PieceTime) + float64(p.Rates.KiloTime)*kg)
	c := p.score(Bill{Pieces: 1, Weight: kg, Hours: hours, Money: hours*float64(p.Rates.Wage) + float64(p.Rates.Hire[part.ID])})
	if f, ok := p.Scarce[part.ID]; ok {
		c *= f
	}
	return c
}

// Grade is setting one prop to elevation.
func (p Pricer) Grade() float64 {
	return p.score(Bill{Grading: 1, Money: float64(p.Rates.GradeTime) * float64(p.Rates.Wage)})
}

// Cut is sawing one piece.
func (p Pricer) Cut() float64 {
	return p.score(Bill{Cuts: 1, Money: float64(p.Rates.Cut) * float64(p.Rates.Wage)})
}

// Time is working hours.
func (p Pricer) Time(hours float64) float64 {
	return p.score(Bill{Money: hours * float64(p.Rates.Wage)})
}

// Deck is the bill of a deck whose parts the document describes, and Score the
// objective's figure of it, with short parts dearer.
func (p Pricer) Deck(doc *deck.Document, pour *deck.Pour) (b Bill, score float64) {
	panels, wasted := byArea(doc, &pour.LaidFlat().Deck)
	if pour.Cuts != nil {
		_, wasted, _ = Panels(pour)
	}
	scarcity := 0.0
	for _, g := range count.List(doc, pour) {
		kg := 0.0
		if !math.IsNaN(g.Total) {
			kg = g.Total
		}
		b.Pieces += g.Count
		b.Weight += kg
		b.Hours += float64(p.Rates.PieceTime)*float64(g.Count+g.HeavyCount) + float64(p.Rates.KiloTime)*(kg+g.HeavyTotal)
		hired := g.Count
		if g.Cut {
			b.Cuts += g.Count
			if g.Kind == catalog.Sheet {
				hired = panels[g.ID]
			}
		}
		if pour.Cuts != nil {
			hired = g.Send
		}
		b.Money += float64(p.Rates.Hire[g.ID]) * float64(hired)
		if f, ok := p.Scarce[g.ID]; ok {
			scarcity += (f - 1) * p.without().Piece(doc.Parts[g.ID]) * float64(g.Count)
		}
	}
	for _, q := range pour.Deck.Props {
		if q.Kind == deck.Grade {
			b.Grading++
		}
	}
	b.Wasted = wasted
	b.Hours += float64(b.Grading)*float64(p.Rates.GradeTime) + float64(b.Cuts)*float64(p.Rates.Cut)
	b.Money += b.Hours*float64(p.Rates.Wage) + wasted*float64(p.Rates.Waste)
	return b, p.score(b) + scarcity
}

// without is the pricer with every part at its own price.
func (p Pricer) without() Pricer {
	p.Scarce = nil
	return p
}

// byArea is how many panels the cut pieces of a deck are sawn from, by part, and
// the area that is left over, m2, while there is no cut list: the largest first,
// each from the first panel with as much area left. By area alone, which no saw can
// better and a cutting pattern may not reach.
func byArea(doc *deck.Document, d *deck.Deck) (taken map[string]int, wasted float64) {
	pieces := map[string][]float64{}
	var ids []string
	for _, s := range d.Sheets {
		if !s.Cut {
			continue
		}
		if pieces[s.Part] == nil {
			ids = append(ids, s.Part)
		}
		pieces[s.Part] = append(pieces[s.Part], count.Area(s.Shape)/1e6)
	}
	slices.Sort(ids)
	taken = map[string]int{}
	for _, id := range ids {
		part := doc.Parts[id]
		if part == nil {
			continue
		}
		whole := float64(part.Length.V * part.Width.V)
		slices.SortFunc(pieces[id], func(a, b float64) int { return cmp.Compare(b, a) })
		var left []float64
		for _, a := range pieces[id] {
			i := slices.IndexFunc(left, func(l float64) bool { return l >= a-1e-9 })
			if i < 0 {
				left = append(left, whole)
				i = len(left) - 1
			}
			left[i] -= a
		}
		taken[id] = len(left)
		for _, l := range left {
			wasted += math.Max(0, l)
		}
	}
	return taken, wasted
}

// Panels sums a pour's panels, m2: what lies on the deck and what is wasted
// together; what is wasted; and the offcuts that the pour leaves, less those that it
// takes; nothing without a cut list.
func Panels(p *deck.Pour) (all, wasted, offcuts float64) {
	if p.Cuts == nil {
		return 0, 0, 0
	}
	area := func(s [2]float64) float64 { return s[0] * s[1] / 1e6 }
	laid, bench := 0.0, 0.0 // bench: sawn up and not kept
	for _, s := range p.LaidFlat().Deck.Sheets {
		laid += count.Area(s.Shape) / 1e6
		if s.Cut {
			wasted -= count.Area(s.Shape) / 1e6
		}
	}
	for _, q := range p.Cuts.Patterns {
		bench += area(q.Size)
		if q.Offcut != "" {
			offcuts -= area(q.Size)
		}
		for _, o := range q.Left {
			bench -= area(o.Size)
			offcuts += area(o.Size)
		}
	}
	wasted += bench
	return laid + wasted, wasted, offcuts
}
