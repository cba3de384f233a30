package plan

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/change"
	"shoreward/internal/deck"
	"shoreward/internal/job"
)

// Two pours that stand at the same time, on braces and columns; invented.
const hall = metricJob + `rules: {ground: 200 kN/m2}
levels:
  - name: L1
    top: 3.1
    base: 0
    pours:
      - {name: L1-A, slab: {outline: [[0, 0], [9, 0], [9, 7], [0, 7]], thickness: 220 mm}}
      - {name: L1-B, slab: {outline: [[9, 0], [XB, 0], [XB, 7], [9, 7]], thickness: 220 mm}}
    columns: [{at: [4, 3.5], size: [400 mm, 400 mm]}]
`

// The same by US rules.
const hallUS = `job: Two pours, invented
basis: us
lengths: ft
system: timber-beam
concrete: {strength: 5000 psi}
rules: {ground: 4000 psf}
levels:
  - name: L1
    top: 10 ft
    base: 0
    pours:
      - {name: L1-A, slab: {outline: [[0, 0], [28, 0], [28, 22], [0, 22]], thickness: 8 in}}
      - {name: L1-B, slab: {outline: [[28, 0], [52, 0], [52, 22], [28, 22]], thickness: 8 in}}
    columns: [{at: [12, 11], size: [16 in, 16 in]}]
`

func hallOf(xb string) string { return strings.ReplaceAll(hall, "XB", xb) }

// propsOf counts the props of a plan, or of some of its pours, by part.
func propsOf(pours ...deck.Pour) map[string]int {
	n := map[string]int{}
	for _, p := range pours {
		for _, q := range p.Deck.Props {
			n[q.Part]++
		}
	}
	return n
}

// openOf are the wishes of a job that a plan leaves open.
func openOf(t *testing.T, text string, doc *deck.Document) Open {
	t.Helper()
	j, _ := loadText(t, text)
	return Unsettled(j, doc)
}

func samePour(t *testing.T, what string, a, b *deck.Pour) {
	t.Helper()
	x, err := JSON(&deck.Document{Pours: []deck.Pour{*a}})
	if err != nil {
		t.Fatal(err)
	}
	y, err := JSON(&deck.Document{Pours: []deck.Pour{*b}})
	if err != nil {
		t.Fatal(err)
	}
	if string(x) != string(y) {
		t.Errorf("%s: pour %s is not to the byte what it was", what, a.Name)
	}
}

// exchangedOnly wants two decks to differ in nothing but the makes of some props of
// one part, which stand where the others stood, at the same setting; it gives those
// that were exchanged.
func exchangedOnly(t *testing.T, part string, old, now *deck.Deck) []deck.Prop {
	t.Helper()
	a, b := *old, *now
	a.Props, b.Props = nil, nil
	samePour(t, "all but the props", &deck.Pour{Deck: a}, &deck.Pour{Deck: b})
	if len(old.Props) != len(now.Props) {
		t.Fatalf("%d props, there were %d", len(now.Props), len(old.Props))
	}
	var out []deck.Prop
	for i, p := range old.Props {
		q := now.Props[i]
		if p == q {
			continue
		}
		same := q
		same.Part, same.Hole, same.Thread = p.Part, p.Hole, p.Thread
		if p.Part != part || p != same {
			t.Errorf("prop %+v is now %+v: it is not short", p, q)
		}
		out = append(out, q)
	}
	return out
}

// Some props come late: as many as are short are exchanged where they stand, in the pour
// that is poured last, line after line from the last one back, of one line at most a part. All
// else stays to the letter, and planned again from there nothing changes.
func TestPropsLate(t *testing.T) {
	for name, before := range map[string]string{"eu": hallOf("17"), "us": hallUS} {
		t.Run(name, func(t *testing.T) {
			old := planned(t, before)
			n := propsOf(old.Pours...)
			prop := mostOf(n, "prop")
			inB := propsOf(old.Pours[1])[prop]
			const late = 17
			if inB < late+5 {
				t.Fatalf("%d of %s in the second pour: this test needs more", inB, prop)
			}
			after := before + fmt.Sprintf("stock: {%s: %d}\n", prop, n[prop]-late)
			now, starts := again(t, after, old)
			if starts[0].Afresh != "" || starts[1].Afresh != "" {
				t.Fatal(starts)
			}
			samePour(t, "not short", &old.Pours[0], &now.Pours[0])
			swapped := exchangedOnly(t, prop, &old.Pours[1].Deck, &now.Pours[1].Deck)
			if len(swapped) != late {
				t.Errorf("%d props are exchanged, %d are late", len(swapped), late)
			}
			if c := change.Pours(&old.Pours[1], &now.Pours[1]).Counts; c.Exchanged != late || c.Moved+c.Added+c.Removed > 0 {
				t.Errorf("%s", c)
			}
			if open := openOf(t, after, now); open.Any() {
				t.Errorf("open: %+v", open)
			}
			// Line by line: those that are exchanged, and those of the part that are not.
			type line struct{ gone, stay int }
			lines := map[string]*line{}
			var order []string
			for i, p := range old.Pours[1].Deck.Props {
				if p.Part != prop || p.Line == "joist" {
					continue
				}
				if lines[p.Line] == nil {
					lines[p.Line] = &line{}
					order = append(order, p.Line)
				}
				if now.Pours[1].Deck.Props[i].Part != prop {
					lines[p.Line].gone++
				} else if lines[p.Line].stay++; lines[p.Line].gone > 0 {
					t.Errorf("on line %s %s stands behind exchanged ones", p.Line, p.ID)
				}
			}
			mixed := 0
			for i, name := range order {
				l := lines[name]
				if l.gone > 0 && l.stay > 0 {
					mixed++
				}
				if l.gone > 0 && i+1 < len(order) && lines[order[i+1]].stay > 0 {
					t.Errorf("line %s gives way before the one after it", name)
				}
			}
			if mixed > 1 {
				t.Errorf("%d lines stand on two makes", mixed)
			}
			third, _ := again(t, after, now)
			for i := range now.Pours {
				samePour(t, "planned again", &now.Pours[i], &third.Pours[i])
			}
			// Five more come late: those that were exchanged stay so.
			more := before + fmt.Sprintf("stock: {%s: %d}\n", prop, n[prop]-late-5)
			fourth, _ := again(t, more, now)
			if s := exchangedOnly(t, prop, &now.Pours[1].Deck, &fourth.Pours[1].Deck); len(s) != 5 {
				t.Errorf("%d more are exchanged, 5 more are late", len(s))
			}
			// They have come: what stands stays.
			fifth, _ := again(t, before, now)
			samePour(t, "the late ones have come", &now.Pours[1], &fifth.Pours[1])
		})
	}
}

// allOthers is a stock of none of all props but some.
func allOthers(t *testing.T, text string, but map[string]int) string {
	t.Helper()
	j, cat := loadText(t, text)
	system, err := cat.Kit(j.System, string(j.Basis), j.Style)
	if err != nil {
		t.Fatal(err)
	}
	stock := map[string]int{}
	for _, id := range system.Props {
		stock[id] = but[id]
	}
	return stockText(stock)
}

// Where there are too few others, the nearest plan is the deck as it stands with all of
// them in use; it says how many are short still.
func TestPropsLateAndTooFewOthers(t *testing.T) {
	before := hallOf("17")
	old := planned(t, before)
	n := propsOf(old.Pours...)
	prop := mostOf(n, "prop")
	const late, others = 15, 6
	stock := map[string]int{"prop-d25": others}
	for part, k := range n {
		stock[part] += k
	}
	stock[prop] -= late
	after := before + allOthers(t, before, stock)
	now, starts := again(t, after, old)
	if starts[0].Afresh != "" || starts[1].Afresh != "" {
		t.Fatal(starts)
	}
	samePour(t, "not short", &old.Pours[0], &now.Pours[0])
	if s := exchangedOnly(t, prop, &old.Pours[1].Deck, &now.Pours[1].Deck); len(s) != others {
		t.Errorf("%d are exchanged, there are %d others", len(s), others)
	}
	open := openOf(t, after, now)
	if len(open.Short) != 1 || open.Short[0].Part != prop || open.Short[0].Need-open.Short[0].Have != late-others {
		t.Errorf("short %+v, want %d of %s", open.Short, late-others, prop)
	}
}

// More are late than the last pour has: it gives up all, the pour before it the rest.
func TestMorePropsLateThanOnePourHas(t *testing.T) {
	before := hallOf("17")
	old := planned(t, before)
	n := propsOf(old.Pours...)
	prop := mostOf(n, "prop")
	inB := propsOf(old.Pours[1])[prop]
	now, _ := again(t, before+fmt.Sprintf("stock: {%s: %d}\n", prop, n[prop]-inB-4), old)
	if a, b := exchangedOnly(t, prop, &old.Pours[0].Deck, &now.Pours[0].Deck), exchangedOnly(t, prop, &old.Pours[1].Deck, &now.Pours[1].Deck); len(a) != 4 || len(b) != inB {
		t.Errorf("exchanged %d and %d, want 4 and %d", len(a), len(b), inB)
	}
}

// Poured the other way round, by their dates, the other pour gives up.
func TestPropsLateByDate(t *testing.T) {
	before := strings.Replace(strings.Replace(hallOf("17"), "name: L1-A,", "name: L1-A, date: 2027-03-09,", 1), "name: L1-B,", "name: L1-B, date: 2027-03-02,", 1)
	old := planned(t, before)
	n := propsOf(old.Pours...)
	prop := mostOf(n, "prop")
	now, _ := again(t, before+fmt.Sprintf("stock: {%s: %d}\n", prop, n[prop]-9), old)
	samePour(t, "poured first", &old.Pours[1], &now.Pours[1])
	if s := exchangedOnly(t, prop, &old.Pours[0].Deck, &now.Pours[0].Deck); len(s) != 9 {
		t.Errorf("%d are exchanged, 9 are late", len(s))
	}
}

// An edge grows and the yard has no more props than stood: the new ones are of another
// make, none that stands is touched for it.
func TestNewPropsGiveWay(t *testing.T) {
	old := planned(t, hallOf("17"))
	n := propsOf(old.Pours...)
	prop := mostOf(n, "prop")
	after := hallOf("18.2") + fmt.Sprintf("stock: {%s: %d}\n", prop, n[prop])
	now, starts := again(t, after, old)
	if starts[1].Afresh != "" {
		t.Fatal(starts[1])
	}
	was := map[string]deck.Prop{}
	for _, p := range old.Pours[1].Deck.Props {
		was[p.ID] = p
	}
	fresh := 0
	for _, q := range now.Pours[1].Deck.Props {
		p, ok := was[q.ID]
		if !ok && q.Part != prop {
			fresh++
		}
		if ok && p.Part != q.Part {
			t.Errorf("%s is %s now and was %s", q.ID, q.Part, p.Part)
		}
	}
	if m := propsOf(now.Pours...)[prop]; m > n[prop] || fresh == 0 {
		t.Errorf("%d of %s stand, the yard has %d; %d new ones of another make", m, prop, n[prop], fresh)
	}
	if open := openOf(t, after, now); open.Any() {
		t.Errorf("open: %+v", open)
	}
}

// Beams of one length come late: longer or shorter ones take their places, as many as are short,
// in the pour that is poured last.
func TestBeamsLate(t *testing.T) {
	for name, before := range map[string]string{"eu": hallOf("17"), "us": hallUS} {
		t.Run(name, func(t *testing.T) {
			old := planned(t, before)
			in := func(p deck.Pour) map[string]int {
				n := map[string]int{}
				for _, m := range append(append([]deck.Member(nil), p.Deck.Joists...), p.Deck.Stringers...) {
					n[m.Part]++
				}
				return n
			}
			a, b := in(old.Pours[0]), in(old.Pours[1])
			beam := mostOf(b, "beam")
			const late = 5
			after := before + fmt.Sprintf("stock: {%s: %d}\n", beam, a[beam]+b[beam]-late)
			now, starts := again(t, after, old)
			if starts[1].Afresh != "" {
				t.Fatal(starts[1])
			}
			samePour(t, "not short", &old.Pours[0], &now.Pours[0])
			changed := 0
			olds := map[string]deck.Member{}
			for _, m := range append(append([]deck.Member(nil), old.Pours[1].Deck.Joists...), old.Pours[1].Deck.Stringers...) {
				olds[m.ID] = m
			}
			for _, m := range append(append([]deck.Member(nil), now.Pours[1].Deck.Joists...), now.Pours[1].Deck.Stringers...) {
				o := olds[m.ID]
				if o == m {
					continue
				}
				if changed++; o.Part != beam {
					t.Errorf("%+v is now %+v: it is not short", o, m)
				}
				if along := math.Abs((o.From[0]-o.To[0])*(m.From[1]-m.To[1]) - (o.From[1]-o.To[1])*(m.From[0]-m.To[0])); along > 1 {
					t.Errorf("%s is turned", m.ID)
				}
			}
			if changed != late {
				t.Errorf("%d beams are exchanged, %d are late", changed, late)
			}
			if open := openOf(t, after, now); open.Any() {
				t.Errorf("open: %+v", open)
			}
		})
	}
}

// Of two pours one changes: the other is to the byte what it was.
func TestOnePourOfTwoChanges(t *testing.T) {
	for _, xb := range []string{"17.6", "16.1"} {
		old := planned(t, hallOf("17"))
		now, _ := again(t, hallOf(xb), old)
		samePour(t, "untouched", &old.Pours[0], &now.Pours[0])
	}
}

// Late props under a floor with a beam, a drop panel and a step: exchanged where they
// stand, and nothing else changes.
func TestPropsLateUnderBeams(t *testing.T) {
	old := planned(t, ribbedOf())
	n := propsOf(old.Pours...)
	prop := mostOf(n, "prop")
	const late = 12
	text := ribbedOf() + fmt.Sprintf("stock: {%s: %d}\n", prop, n[prop]-late)
	now, starts := again(t, text, old)
	if starts[0].Afresh != "" {
		t.Fatal(starts[0])
	}
	if s := exchangedOnly(t, prop, &old.Pours[0].Deck, &now.Pours[0].Deck); len(s) != late {
		t.Errorf("%d are exchanged, %d are late", len(s), late)
	}
	third, _ := again(t, text, now)
	samePour(t, "planned again", &now.Pours[0], &third.Pours[0])
}

// Two levels that stand at the same time share the stock: the upper one, laid later, gives
// way; levels that do not stand together do not.
func TestPropsLateOverTwoLevels(t *testing.T) {
	const slab = "slab: {outline: [[0, 0], [9, 0], [9, 7], [0, 7]], thickness: 220 mm}}]}\n"
	before := metricJob + "rules: {ground: 200 kN/m2}\nlevels:\n  - {name: L1, top: 3.1, base: 0, pours: [{name: L1, " + slab + "  - {name: L2, top: 6.2, base: L1, pours: [{name: L2, " + slab
	for shores, gives := range map[string]bool{"1": false, "2": true} {
		text := before + "floors: {shores: " + shores + "}\n"
		old := planned(t, text)
		n := propsOf(old.Pours...)
		prop := mostOf(n, "prop")
		now, _ := again(t, text+fmt.Sprintf("stock: {%s: %d}\n", prop, n[prop]-6), old)
		want := 0
		if gives {
			want = 6
		}
		samePour(t, "below", &old.Pours[0], &now.Pours[0])
		if s := exchangedOnly(t, prop, &old.Pours[1].Deck, &now.Pours[1].Deck); len(s) != want {
			t.Errorf("%s levels together: %d are exchanged, want %d", shores, len(s), want)
		}
	}
}

// Whatever the pour, planned again without a change it is to the byte what it was.
func TestRandomPoursAgain(t *testing.T) {
	cat, err := catalog.Load("")
	if err != nil {
		t.Fatal(err)
	}
	first := fromEnv(t, "SHOREWARD_SEED", 0)
	for seed := first; seed < first+fromEnv(t, "SHOREWARD_AGAIN", 5); seed++ {
		text := randomJob(uint64(seed))
		j, err := job.Parse("random.yaml", []byte(text), func(string) (*catalog.Catalog, error) { return cat, nil })
		if err != nil {
			continue // the job is refused
		}
		old, err := Run(j, cat, nil)
		if err != nil {
			t.Fatal(err)
		}
		now, starts, err := RunFrom(j, cat, old, nil)
		if err != nil {
			t.Fatal(err)
		}
		for i := range old.Pours {
			if old.Pours[i].Refused == "" && old.Pours[i].Summary.Failed == 0 {
				if s := starts[i]; s.Afresh != "" && s.Earlier {
					t.Errorf("random pour %d is laid afresh: %s", seed, s.Afresh)
				}
				samePour(t, fmt.Sprintf("random pour %d", seed), &old.Pours[i], &now.Pours[i])
			}
		}
	}
}
