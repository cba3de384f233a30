package plan

import (
	"maps"
	"math"
	"slices"
	"strconv"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
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
var dearer = []float64{1, 2, 6}

// withinStock plans pours again whose parts the yard is short of: first with
// other parts in the place of those beyond the stock, then with short parts
// dearer, at last without them in as many pours as it takes. It keeps the plan
// with the fewest failures, then the one that is least short, then the cheapest;
// that of the first round where none is better. replan plans pours anew, and gives
// them by their place in the document.
func withinStock(j *job.Job, doc *deck.Document, starts []Start, system *catalog.System, replan func(pours []int, y func(i int) yard) ([]laidPour, error)) error {
	short := choosable(shortages(j, doc), system)
	if len(short) == 0 {
		return nil
	}
	affected := affectedBy(j, doc, short)
	limits := allot(j, doc, affected)
	best, bestRank := slices.Clone(doc.Pours), rankOf(j, doc)
	for round := range len(dearer) + 1 {
		scarce, without := map[string]float64{}, map[int][]string{}
		if round < len(dearer) {
			for _, s := range short {
				scarce[s.Part] = dearer[round]
			}
		} else {
			without = leftOut(j, doc, short)
			for _, i := range affected { // who goes without leaves it to the others
				for _, s := range short {
					limits[i][s.Part] = s.Have
				}
			}
		}
		planned, err := replan(affected, func(i int) yard {
			return yard{scarce: scarce, limit: limits[i], without: without[i]}
		})
		if err != nil {
			return err
		}
		next := *doc
		next.Pours = slices.Clone(doc.Pours)
		for _, i := range affected {
			next.Pours[i] = planned[i].pour
		}
		if err := settle(&next, j); err != nil {
			return err
		}
		if r := rankOf(j, &next); r.less(bestRank) {
			best, bestRank = next.Pours, r
			for _, i := range affected {
				starts[i] = planned[i].start
			}
		}
		if bestRank.short == 0 && bestRank.failed == 0 {
			break
		}
	}
	doc.Pours = best
	return nil
}

// rank orders plans of a job: failures, missing pieces, money.
type rank struct {
	failed, short int
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

func rankOf(j *job.Job, doc *deck.Document) rank {
	var r rank
	for _, p := range doc.Pours {
		r.failed += p.Summary.Failed
		r.cost += p.Summary.Cost
		if p.Refused != "" {
			r.failed += 1e6
		}
	}
	for _, s := range shortages(j, doc) {
		r.short += s.Need - s.Have
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

// allot shares the stock among pours that stand together: of a short part each
// gets its share by what it needs, of the others what it needs and an equal part
// of what is over.
func allot(j *job.Job, doc *deck.Document, pours []int) map[int]map[string]int {
	out := map[int]map[string]int{}
	for _, i := range pours {
		out[i] = map[string]int{}
	}
	for _, part := range slices.Sorted(maps.Keys(j.Stock)) {
		have := j.Stock[part]
		for _, group := range together(j) {
			total, with := standing(doc, group, part), poursOf(doc, group)
			given := 0
			for k, i := range with {
				need := countIn(doc, i, part)
				share := need + (have-total)/len(with)
				if total > have {
					share = have * need / total
					if k == len(with)-1 {
						share = have - given
					}
				}
				given += share
				if l, ok := out[i]; ok {
					if old, seen := l[part]; !seen || share < old {
						l[part] = max(0, share)
					}
				}
			}
		}
	}
	return out
}

// countIn is how many of a part one pour takes.
func countIn(doc *deck.Document, i int, part string) int {
	one := deck.Document{Parts: doc.Parts, Choices: doc.Choices, Pours: doc.Pours[i : i+1]}
	return standing(&one, []string{doc.Pours[i].Level}, part)
}

// leftOut says which pours do without a short part: from the last on, until what
// the others need is there.
func leftOut(j *job.Job, doc *deck.Document, short []Short) map[int][]string {
	out := map[int][]string{}
	for _, s := range short {
		for _, group := range together(j) {
			need := standing(doc, group, s.Part)
			with := poursOf(doc, group)
			for _, i := range slices.Backward(with) {
				if need <= s.Have {
					break
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

// withinLimits puts other parts in the place of those that a pour takes beyond
// its share of the yard.
func (b *builder) withinLimits(d *deck.Deck) error {
	counts := beamsAndProps(d)
	room := func(part string) int {
		if limit, ok := b.yard.limit[part]; ok {
			return limit - counts[part]
		}
		return math.MaxInt
	}
	strict := *b.in
	strict.Prove = b.prover(b.in.Site) // nothing back to where it is forbidden
	for _, part := range slices.Sorted(maps.Keys(b.yard.limit)) {
		over := counts[part] - b.yard.limit[part]
		if over <= 0 {
			continue
		}
		if _, err := strict.Exchange(d, func(_, id string) bool { return id == part }, over, room); err != nil {
			return err
		}
		counts = beamsAndProps(d)
	}
	return nil
}

// beamsAndProps counts the parts of a deck that can be exchanged.
func beamsAndProps(d *deck.Deck) map[string]int {
	counts := map[string]int{}
	for _, list := range [][]deck.Member{d.Joists, d.Stringers} {
		for _, m := range list {
			counts[m.Part]++
		}
	}
	for _, p := range d.Props {
		counts[p.Part]++
	}
	return counts
}
