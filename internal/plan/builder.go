package plan

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"shoreward/internal/audit"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/layout"
	"shoreward/internal/price"
)

// yard is what a pour may take of the yard: how many times dearer short parts
// count, and which are left to other pours.
type yard struct {
	scarce  map[string]float64
	without []string
}

// presses reports whether short parts count dearer than they are or are left out.
func (y yard) presses() bool {
	for _, f := range y.scarce {
		if f > 1 {
			return true
		}
	}
	return len(y.without) > 0
}

// builder lays out one pour within the wishes of its job and notes which of them
// it could not meet.
type builder struct {
	in      *layout.Input // laid flat where the soffit falls
	site    *deck.Site    // in plan
	auditor *audit.Auditor
	yard    yard
	notes   []string
	systems []*catalog.System // to try, one after the other
	decks   []*layout.Earlier // to lay the pour from, the best first
	starts  []Start           // what these are
	from    Start             // of the deck that is taken
}

func newBuilder(in *layout.Input, auditor *audit.Auditor, y yard) (builder, error) {
	b := builder{in: in.LaidFlat(), site: in.Site, auditor: auditor, yard: y}
	in = b.in
	// Repairs cannot help a part that lies where it is forbidden: these are looked
	// at when the rest is laid.
	free := *in.Site
	free.Bans = nil
	in.Prove = b.prover(&free)
	in.Handed = func(d *deck.Deck) ([]deck.Handed, error) {
		handed, err := b.auditor.Handed(b.standing(&free, d))
		return b.flatLoads(handed), err
	}
	for _, part := range y.without {
		if err := forbid(in, part); err != nil {
			return b, err
		}
	}
	b.systems = []*catalog.System{in.System}
	if in.Deck.TwoPerson == "forbid" {
		b.systems = append(b.lighter(in.System), in.System)
	}
	return b, nil
}

// prover proves decks on a site.
func (b *builder) prover(s *deck.Site) func(*deck.Deck) (deck.Audit, error) {
	return func(d *deck.Deck) (deck.Audit, error) {
		proof, err := b.auditor.Run(b.standing(s, d))
		if f := s.Fall; f != nil { // places where they lie flat
			for i := range proof.Findings {
				proof.Findings[i].At = f.Flat(proof.Findings[i].At)
			}
			b.flatLoads(proof.Handed)
		}
		return proof, err
	}
}

// lighter are systems without the parts that two must carry, where others can do:
// in every role first, then with more and more roles left as they are, props
// first, since few of them reach a height.
func (b *builder) lighter(s *catalog.System) []*catalog.System {
	var out []*catalog.System
	const roles = 4
	for free := range roles {
		light := *s
		left := false
		for _, list := range []*[]string{&light.Props, &light.Sheets, &light.Stringers, &light.Joists}[free:] {
			keep := slices.DeleteFunc(slices.Clone(*list), func(id string) bool {
				p := b.in.Catalog.Parts[id]
				return p == nil || p.Mass.Known && p.Mass.V > b.in.Deck.OneManLift
			})
			if len(keep) > 0 && len(keep) < len(*list) {
				*list, left = keep, true
			}
		}
		if left {
			out = append(out, &light)
		}
	}
	return out
}

func (b *builder) note(format string, args ...any) {
	b.notes = append(b.notes, fmt.Sprintf(format, args...))
}

// lay plans the pour: with light parts if it must, else with all; then parts go from where
// they are forbidden.
func (b *builder) lay() (*deck.Deck, error) {
	d, err := b.first()
	if err != nil {
		return nil, err
	}
	if len(b.in.Site.Bans) > 0 {
		if d, err = b.outOfPlaces(d); err != nil {
			return nil, err
		}
	}
	return d, b.in.ToMarks(d, b.stood())
}

// say notes which wishes of the job a deck does not meet.
func (b *builder) say(d *deck.Deck) error {
	b.notes = nil
	if b.in.Deck.TwoPerson == "forbid" {
		b.noteHeavy(d)
	}
	if len(b.in.Site.Keep) > 0 {
		return b.noteKept(d)
	}
	return nil
}

// first is the deck of the first system that holds, or of the one in which least
// fails.
func (b *builder) first() (*deck.Deck, error) {
	var best *deck.Deck
	var of *catalog.System
	var from Start
	var last error
	least := math.MaxInt
	for _, b.in.System = range b.systems {
		d, err := b.best()
		if err != nil {
			last = err
			continue
		}
		n := 0
		if len(b.systems) > 1 {
			if n, _, err = fails(b.in.Prove(d)); err != nil {
				return nil, err
			}
		}
		if n < least {
			best, of, from, least = d, b.in.System, b.from, n
		}
		if n == 0 {
			break
		}
	}
	if best == nil {
		return nil, last
	}
	b.in.System, b.from = of, from
	return best, nil
}

// plan lays the pour from the decks that there are for it, or afresh.
func (b *builder) plan() (*deck.Deck, error) {
	if len(b.decks) == 0 {
		return layout.Plan(b.in)
	}
	if b.yard.presses() {
		b.from = b.starts[0]
		b.from.Afresh = "other parts are looked for in the place of those that the yard is short of"
		return layout.Plan(b.in)
	}
	found, err := layout.Replan(b.in, b.decks...)
	from := 0 // the first of the decks that were looked at
	if err == nil && found.Which == 0 && b.starts[0].Below != "" && parted(b.in.Site) && !b.over(found.Deck) {
		// Of this floor too little came out over the floor below to be called its repeat.
		if from = 1; len(b.decks) == 1 {
			b.from = b.starts[0]
			b.from.Afresh = "too few of its props would stand over those below"
			return layout.Plan(b.in)
		}
		found, err = layout.Replan(b.in, b.decks[1:]...)
	}
	if err != nil {
		b.from = b.starts[from]
		return nil, err
	}
	if b.from = b.starts[from+max(found.Which, 0)]; found.Which < 0 {
		b.from.Afresh = found.Why
	}
	b.from.Fields = found.Fields
	return found.Deck, nil
}

// over reports whether most props of a deck stand over props of the floor below, the
// first of the decks to lay the pour from.
func (b *builder) over(d *deck.Deck) bool {
	return overBelow(&deck.Pour{Deck: *d}, []*deck.Pour{{Deck: *b.decks[0].Deck}}) > mostly
}

// stood is where props stand in the deck that the pour is laid from.
func (b *builder) stood() map[deck.Point]bool {
	at := map[deck.Point]bool{}
	for i, s := range b.starts {
		if s.keptIn(b.from) {
			for _, p := range b.decks[i].Deck.Props {
				at[p.At] = true
			}
		}
	}
	return at
}

// best lays out under the job's objective and, where that is not money, for money
// too: the layout estimates, and what is cheap may have the better figure as well.
func (b *builder) best() (*deck.Deck, error) {
	d, err := b.plan()
	if kept := len(b.decks) > 0 && b.from.Afresh == ""; kept || b.in.Deck.Objective == price.Money {
		return d, err
	}
	in := *b.in
	in.Deck.Objective, in.Bound = price.Money, nil
	other, err2 := layout.Plan(&in)
	switch {
	case err2 != nil:
		return d, err
	case err != nil:
		return other, nil
	}
	better, err := b.better(other, d)
	if better {
		d = other
	}
	return d, err
}

// better reports whether fewer things fail in a deck than in another, or, where as
// many do, whether its figure is less.
func (b *builder) better(d, than *deck.Deck) (bool, error) {
	fd, _, err := fails(b.in.Prove(d))
	if err != nil {
		return false, err
	}
	ft, _, err := fails(b.in.Prove(than))
	if err != nil || fd != ft {
		return fd < ft, err
	}
	p := price.New(b.in.Deck, b.in.Rates)
	doc := &deck.Document{Parts: b.in.Catalog.Parts, Choices: deck.Choices{OneManLift: float64(b.in.Deck.OneManLift)}}
	_, sd := p.Deck(doc, &deck.Pour{Deck: *d})
	_, st := p.Deck(doc, &deck.Pour{Deck: *than})
	return sd < st-1e-12, nil
}

// fails counts the findings that fail, and gives them.
func fails(a deck.Audit, err error) (int, []deck.Finding, error) {
	out := a.Failing()
	return len(out), out, err
}

// banned lists the pieces of a deck where their part is forbidden, with the part.
func (b *builder) banned(d *deck.Deck) map[string]string {
	out := map[string]string{}
	for _, ban := range b.in.Site.Bans {
		for _, id := range ban.In(d, b.in.Catalog.Parts) {
			out[id] = ban.Part
		}
	}
	return out
}

// outOfPlaces takes parts from where they are forbidden: other parts in their
// place where those hold, else a layout without them in the whole pour.
func (b *builder) outOfPlaces(d *deck.Deck) (*deck.Deck, error) {
	bad := b.banned(d)
	if len(bad) == 0 {
		return d, nil
	}
	unlimited := func(string) int { return math.MaxInt }
	strict := *b.in
	strict.Prove = b.prover(b.in.Site)
	if _, err := strict.Exchange(d, layout.Swap{Out: func(id, _ string) bool { return bad[id] != "" }, Most: len(bad), Room: unlimited}); err != nil {
		return nil, err
	}
	left := b.banned(d)
	if len(left) == 0 {
		return d, nil
	}
	in := *b.in
	system := *in.System
	in.System = &system
	for _, part := range slices.Sorted(maps.Keys(values(left))) {
		if err := forbid(&in, part); err != nil {
			return d, nil // nothing else for it: the proof says where it lies
		}
	}
	other, err := layout.Plan(&in)
	if err != nil {
		return d, nil // as before: the proof says where it lies
	}
	// What lies where it is forbidden fails, and so may what stands in its place.
	was, _, err := fails(strict.Prove(d))
	if err != nil {
		return nil, err
	}
	if now, _, err := fails(strict.Prove(other)); err != nil || now >= was {
		return d, err
	}
	if len(b.decks) > 0 {
		b.from.Afresh = "parts lie where they are forbidden, and no others do in their place"
	}
	return other, nil
}

// values is the set of a map's values.
func values(m map[string]string) map[string]bool {
	out := map[string]bool{}
	for _, v := range m {
		out[v] = true
	}
	return out
}

// noteHeavy says which parts two must carry although the job would rather not.
func (b *builder) noteHeavy(d *deck.Deck) {
	heavy := map[string]int{}
	take := func(id string, share float64) {
		if p := b.in.Catalog.Parts[id]; p != nil && p.Mass.Known && float64(p.Mass.V)*share > float64(b.in.Deck.OneManLift) {
			heavy[id]++
		}
	}
	for _, s := range d.Sheets {
		share := 1.0
		if p := b.in.Catalog.Parts[s.Part]; s.Cut && p != nil {
			share = s.Shape.Area() / 1e6 / float64(p.Length.V*p.Width.V)
		}
		take(s.Part, share)
	}
	for _, list := range [][]deck.Member{d.Joists, d.Stringers} {
		for _, m := range list {
			share := 1.0
			if p := b.in.Catalog.Parts[m.Part]; m.Sawn && p != nil {
				share = math.Hypot(m.To[0]-m.From[0], m.To[1]-m.From[1]) / 1e3 / float64(p.Length.V)
			}
			take(m.Part, share)
		}
	}
	for _, p := range d.Props {
		take(p.Part, 1)
	}
	for _, id := range slices.Sorted(maps.Keys(heavy)) {
		b.note("deck.two_person is forbid, but %d of %s are over one_man_lift: the system has no lighter part that does here", heavy[id], id)
	}
}

// noteKept says when a deck fails that would hold without the parts that are kept.
func (b *builder) noteKept(d *deck.Deck) error {
	proof, err := b.in.Prove(d)
	with, found, err := fails(proof, err)
	if err != nil {
		return err
	}
	for _, k := range b.in.Site.Keep {
		if id, ok := k.In(d); ok && k.As == "prop" && slices.ContainsFunc(proof.Findings, func(f deck.Finding) bool { return f.Member == id && strings.Contains(f.What, "carries nothing") }) {
			b.note("pin %d: the prop %s stands there as %s and carries nothing", k.Pin, k.Part, id)
		}
	}
	if with == 0 {
		return nil
	}
	for _, k := range b.in.Site.Keep {
		id, ok := k.In(d)
		if !ok {
			b.note("pin %d: the %s that it keeps has no place there: what the deck needs around it does not fit", k.Pin, strings.TrimSpace(k.As+" "+k.Part))
			continue
		}
		for _, f := range found {
			if f.Member == id {
				b.note("pin %d: %s %s stands there as %s and fails: %s", k.Pin, k.As, k.Part, id, f.What)
			}
		}
	}
	s := *b.in.Site
	s.Keep, s.Bans = nil, nil
	in := *b.in
	in.Site, in.Prove = &s, b.prover(&s)
	free, err := layout.Plan(&in)
	if err != nil {
		return nil // it cannot be laid without them either
	}
	without, _, err := fails(in.Prove(free))
	if err == nil && without < with {
		b.note("with the parts that the job keeps here %d things fail, without them %d: move the pins, or take some out", with, without)
	}
	return err
}
