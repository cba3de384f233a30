package plan

import (
	"maps"
	"math"
	"slices"
	"strconv"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/layout"
)

// together are the groups of levels whose pours stand at the same time, one
// above the other: as many as the job shores together, one where it does not say.
func together(j *job.Job) [][]string {
	levels, err := strconv.Atoi(j.Floors.Shores)
	if err != nil || levels < 1 {
		levels = 1
	}
	levels = min(levels, len(j.Levels))
	var out [][]string
	for i := range len(j.Levels) - levels + 1 {
		names := make([]string, levels)
		for k := range names {
			names[k] = j.Levels[i+k].Name
		}
		out = append(out, names)
	}
	return out
}

// How short parts are made dearer, round after round, before they are left out.
var dearer = []float64{2, 6}

// withinStock finds other parts for those that the yard is short of. First pieces are
// exchanged where they lie, see giveUp. Where that is not enough, pours are laid anew with short
// parts dearer, at last without them, and then exchanged again. It keeps the plan with the
// fewest failures, then the one that is least short, then the cheapest; that of the first round where
// none is better. With an earlier plan only so many pours are laid anew as it takes, from the last
// on, and only where that leaves nothing short: else what stands stays. replan lays
// pours anew, and gives them by their place in the document.
func withinStock(j *job.Job, doc *deck.Document, laid []laidPour, system *catalog.System, again bool, replan func(pours []int, y func(i int) yard) ([]laidPour, error)) error {
	short := choosable(shortages(j, doc), system)
	if len(short) == 0 {
		return nil
	}
	first, failed := slices.Clone(laid), rankOf(j, doc, system).failed
	affected := affectedBy(j, doc, short)
	if again {
		affected = slices.Sorted(maps.Keys(leftOut(j, doc, laid, short)))
	}
	take := func(try []laidPour) (*deck.Document, error) {
		next := *doc
		next.Pours = make([]deck.Pour, len(try))
		for i := range try {
			next.Pours[i] = try[i].pour
		}
		if err := settle(&next, j); err != nil {
			return nil, err
		}
		if err := giveUp(j, &next, try); err != nil {
			return nil, err
		}
		return &next, settle(&next, j)
	}
	best, err := take(laid)
	if err != nil {
		return err
	}
	least := rankOf(j, best, system)
	for round := 0; round <= len(dearer) && (least.lacks > 0 || least.failed > failed); round++ {
		scarce, without := map[string]float64{}, map[int][]string{}
		which := affected
		if round < len(dearer) {
			for _, s := range short {
				scarce[s.Part] = dearer[round]
			}
		} else {
			without = leftOut(j, doc, first, short)
			which = slices.Sorted(maps.Keys(without))
		}
		planned, err := replan(which, func(i int) yard { return yard{scarce: scarce, without: without[i]} })
		if err != nil {
			return err
		}
		try := slices.Clone(first)
		for _, i := range which {
			try[i] = planned[i]
			try[i].bound(first[i].pour.Summary.BoundLeast) // at plain prices; it holds for any stock
		}
		next, err := take(try)
		if err != nil {
			return err
		}
		if r := rankOf(j, next, system); r.less(least) && (!again || r.lacks == 0) {
			best, least = next, r
			copy(laid, try)
		}
	}
	doc.Pours = best.Pours
	return nil
}

// giveUp exchanges pieces that the yard is short of for others that it has, pour after pour
// as they give way, each as many as it can of what is missing still.
func giveUp(j *job.Job, doc *deck.Document, laid []laidPour) error {
	for _, part := range slices.Sorted(maps.Keys(j.Stock)) {
		for _, group := range together(j) {
			for _, i := range yielding(j, doc, laid) {
				if !slices.Contains(group, doc.Pours[i].Level) {
					continue
				}
				for over := standing(doc, group, part) - j.Stock[part]; over > 0; {
					n, err := laid[i].exchange(part, over, roomAt(j, doc, doc.Pours[i].Level))
					if err != nil {
						return err
					}
					if n == 0 {
						break
					}
					cuts := doc.Pours[i].Cuts
					doc.Pours[i] = laid[i].pour
					doc.Pours[i].Cuts = cuts
					over = standing(doc, group, part) - j.Stock[part]
				}
			}
		}
	}
	return nil
}

// yielding orders the pours of a plan as they give up what is short: those that nobody has
// set yet, new or laid afresh, before those that keep an earlier deck, and of both the
// last to be poured first. So the crew that is at work changes nothing as long as it can.
func yielding(j *job.Job, doc *deck.Document, laid []laidPour) []int {
	order := pourOrder(doc, j)
	slices.Reverse(order)
	kept := func(i int) bool { return laid[i].keeps() }
	return slices.Concat(slices.DeleteFunc(slices.Clone(order), kept), slices.DeleteFunc(slices.Clone(order), func(i int) bool { return !kept(i) }))
}

// roomAt gives how many of a part the yard has for a level over what stands there now.
func roomAt(j *job.Job, doc *deck.Document, level string) func(part string) int {
	known := map[string]int{}
	return func(part string) int {
		n, ok := known[part]
		if !ok {
			n = left(j, doc, level, part)
			known[part] = n
		}
		return n
	}
}

func left(j *job.Job, doc *deck.Document, level, part string) int {
	have, limited := j.Stock[part]
	if !limited {
		return math.MaxInt
	}
	least := have
	for _, group := range together(j) {
		if slices.Contains(group, level) {
			least = min(least, have-standing(doc, group, part))
		}
	}
	return max(0, least)
}

// rank orders plans of a job: failures, missing pieces, money.
type rank struct {
	failed, short int
	lacks         int // of the missing pieces: those in the place of which the system has others
	cost          float64
}

func (r rank) less(s rank) bool {
	switch {
	case r.failed != s.failed:
		return r.failed < s.failed
	case r.short != s.short:
		return r.short < s.short
	}
	return r.cost < s.cost-1e-9
}

func rankOf(j *job.Job, doc *deck.Document, system *catalog.System) rank {
	var r rank
	for _, p := range doc.Pours {
		r.failed += p.Summary.Failed
		r.cost += p.Summary.Cost
		if p.Refused != "" {
			r.failed += 1e6
		}
	}
	all := shortages(j, doc)
	for _, s := range all {
		r.short += s.Need - s.Have
	}
	for _, s := range choosable(all, system) {
		r.lacks += s.Need - s.Have
	}
	return r
}

// choosable are the short parts for which the system may have another.
func choosable(all []Short, s *catalog.System) []Short {
	ids := slices.Concat(s.Sheets, s.Joists, s.Stringers, s.Props)
	return slices.DeleteFunc(slices.Clone(all), func(x Short) bool { return !slices.Contains(ids, x.Part) })
}

// pours of some levels, by their place in the document.
func poursOf(doc *deck.Document, levels []string) []int {
	var out []int
	for i := range doc.Pours {
		if slices.Contains(levels, doc.Pours[i].Level) {
			out = append(out, i)
		}
	}
	return out
}

// affectedBy are the pours that stand together where a part is short.
func affectedBy(j *job.Job, doc *deck.Document, short []Short) []int {
	in := map[int]bool{}
	for _, group := range together(j) {
		for _, s := range short {
			if standing(doc, group, s.Part) > s.Have {
				for _, i := range poursOf(doc, group) {
					in[i] = true
				}
			}
		}
	}
	return slices.Sorted(maps.Keys(in))
}

// countIn is how many of a part one pour takes.
func countIn(doc *deck.Document, i int, part string) int {
	one := deck.Document{Parts: doc.Parts, Choices: doc.Choices, Pours: doc.Pours[i : i+1]}
	return standing(&one, []string{doc.Pours[i].Level}, part)
}

// leftOut says which pours do without a short part, as they give way, until what the
// others need is there.
func leftOut(j *job.Job, doc *deck.Document, laid []laidPour, short []Short) map[int][]string {
	out := map[int][]string{}
	for _, s := range short {
		for _, group := range together(j) {
			need := standing(doc, group, s.Part)
			for _, i := range yielding(j, doc, laid) {
				if need <= s.Have {
					break
				}
				if !slices.Contains(group, doc.Pours[i].Level) {
					continue
				}
				if n := countIn(doc, i, s.Part); n > 0 && !slices.Contains(out[i], s.Part) {
					out[i] = append(out[i], s.Part)
					need -= n
				}
			}
		}
	}
	return out
}

// exchange puts other parts in the place of at most so many pieces of one in a laid
// pour, of each as many as there is room for: parts that are not of an earlier deck before
// those that are. It gives how many it could exchange.
func (l *laidPour) exchange(part string, most int, room func(part string) int) (int, error) {
	if l.b == nil {
		return 0, nil
	}
	d := *l.flat
	d.Joists, d.Stringers, d.Props = slices.Clone(d.Joists), slices.Clone(d.Stringers), slices.Clone(d.Props)
	in := *l.b.in
	in.Prove = l.b.prover(in.Site) // nothing back to where it is forbidden
	set := l.set()
	n, err := in.Exchange(&d, layout.Swap{
		Out:   func(_, id string) bool { return id == part },
		Most:  most,
		Room:  room,
		Fresh: func(id string) bool { return !set[id] },
	})
	if n == 0 || err != nil {
		return 0, err
	}
	if err := in.ToMarks(&d, l.b.stood()); err != nil {
		return 0, err
	}
	return n, l.judge(&d)
}

// keeps reports whether a pour keeps parts of its own earlier deck.
func (l *laidPour) keeps() bool { return l.start.Earlier && l.start.Afresh == "" }

// set are the names of the parts that a pour has from its own earlier deck.
func (l *laidPour) set() map[string]bool {
	out := map[string]bool{}
	if !l.keeps() {
		return out
	}
	for i, s := range l.b.starts {
		if s.keptIn(l.start) {
			d := l.b.decks[i].Deck
			for _, m := range slices.Concat(d.Joists, d.Stringers) {
				out[m.ID] = true
			}
			for _, p := range d.Props {
				out[p.ID] = true
			}
		}
	}
	return out
}
