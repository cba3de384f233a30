package plan

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"shoreward/internal/audit"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/plane"
)

// Properties that every plan must have, over pours that nobody drew. A seed
// makes the same pour on every machine:
//
//	SHOREWARD_POURS=10000 go test ./internal/plan -run RandomPours -v -timeout 24h   plans 10,000, and counts what comes of them
//	SHOREWARD_POUR=17 go test ./internal/plan -run RandomPours -v                    writes pour 17 as a job file
//	SHOREWARD_SEED=5000                                                              begins at that seed
//	SHOREWARD_KEEP=DIR                                                               writes there the job of each that is refused, fails or breaks a property
const defaultPours = 20

// fromEnv is a whole number from the environment.
func fromEnv(t *testing.T, name string, otherwise int) int {
	t.Helper()
	text := os.Getenv(name)
	if text == "" {
		return otherwise
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 {
		t.Fatalf("%s=%q: give a whole number from 0", name, text)
	}
	return n
}

// balance is how far the reactions of all props may be from the load on the
// deck, as a share of it.
const balance = 0.005

// repeatEvery: of so many pours one is planned twice, for the same bytes.
const repeatEvery = 5

// outcome is what came of one random pour.
type outcome struct {
	seed   uint64
	text   string          // the job file
	kind   string          // passed | refused | failing
	why    string          // of a refusal, or the first finding
	checks map[string]bool // kinds of check that fail
	pours  int
	broken []string // properties that do not hold
}

func TestRandomPours(t *testing.T) {
	cat, err := catalog.Load("")
	if err != nil {
		t.Fatal(err)
	}
	keep := os.Getenv("SHOREWARD_KEEP")
	first, one := fromEnv(t, "SHOREWARD_SEED", 0), fromEnv(t, "SHOREWARD_POUR", math.MaxInt)
	var seeds []uint64
	for i := range fromEnv(t, "SHOREWARD_POURS", defaultPours) {
		seeds = append(seeds, uint64(first+i))
	}
	if one != math.MaxInt {
		seeds = []uint64{uint64(one)}
	}
	out := make([]outcome, len(seeds))
	var wg sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				out[i] = tryPour(seeds[i], cat)
			}
		}()
	}
	for i := range seeds {
		next <- i
	}
	close(next)
	wg.Wait()

	kinds, why, checks, pours := map[string]int{}, map[string]int{}, map[string]int{}, 0
	for _, o := range out {
		kinds[o.kind]++
		pours += o.pours
		for k := range o.checks {
			checks[k]++
		}
		if o.kind != "passed" {
			why[o.kind+": "+o.why]++
			t.Logf("pour %d %s: %s", o.seed, o.kind, o.why)
		}
		for _, b := range o.broken {
			t.Errorf("pour %d: %s", o.seed, b)
		}
		if keep != "" && (o.kind != "passed" || len(o.broken) > 0) {
			head := fmt.Sprintf("# Random pour %d, %s: %s\n", o.seed, o.kind, o.why)
			for _, b := range o.broken {
				head += "# broken: " + strings.ReplaceAll(b, "\n", "\n#   ") + "\n"
			}
			if err := os.WriteFile(filepath.Join(keep, fmt.Sprintf("pour-%d.yaml", o.seed)), []byte(head+o.text), 0o644); err != nil {
				t.Error(err)
			}
		}
		if one != math.MaxInt {
			t.Logf("\n%s", o.text)
		}
	}
	t.Logf("%d jobs with %d pours: %v", len(out), pours, kinds)
	for _, k := range slices.Sorted(maps.Keys(why)) {
		t.Logf("%4d  %s", why[k], k)
	}
	for _, k := range slices.Sorted(maps.Keys(checks)) {
		t.Logf("%4d jobs fail in %s", checks[k], k)
	}
}

// tryPour plans one random pour and tests every property of the result.
func tryPour(seed uint64, cat *catalog.Catalog) (o outcome) {
	return tryJob(seed, randomJob(seed), cat)
}

// tryJob plans a job and tests every property of the result; the seed is that of
// the points that are looked at.
func tryJob(seed uint64, text string, cat *catalog.Catalog) (o outcome) {
	o = outcome{seed: seed, text: text, checks: map[string]bool{}}
	say := func(format string, args ...any) { o.broken = append(o.broken, fmt.Sprintf(format, args...)) }
	defer func() {
		if r := recover(); r != nil {
			say("panic: %v\n%s", r, debug.Stack())
		}
	}()
	run := func() ([]byte, error) {
		j, err := job.Parse("random.yaml", []byte(o.text), func(string) (*catalog.Catalog, error) { return cat, nil })
		if err != nil {
			return nil, err
		}
		doc, err := Run(j, cat, nil)
		if err != nil {
			return nil, err
		}
		return JSON(doc)
	}
	data, err := run()
	var wrong job.Problems
	switch {
	case errors.As(err, &wrong):
		o.kind, o.why = "refused", "the job: "+shape(wrong[0].Message)
		if !helps(wrong[0].Message + wrong[0].Fix) {
			say("the refusal does not say what to do: %s", wrong[0].Message)
		}
		return o
	case err != nil: // NaN and infinities end here too: JSON cannot hold them
		o.kind, o.why = "failing", err.Error()
		say("the run ends with an error: %v", err)
		return o
	}
	if seed%repeatEvery == 0 {
		if again, err := run(); err != nil || !bytes.Equal(data, again) {
			say("a second run gives other bytes (error %v)", err)
		}
	}
	read := &deck.Document{}
	if err := json.Unmarshal(data, read); err != nil {
		say("plan.json cannot be read back: %v", err)
		return o
	}
	o.kind = "passed"
	for i := range read.Pours {
		p := &read.Pours[i]
		o.pours++
		if p.Refused != "" {
			o.kind, o.why = "refused", shape(p.Refused)
			if !helps(p.Refused) {
				say("the refusal does not say what to do: %s", p.Refused)
			}
			if len(p.Deck.Props) > 0 {
				say("pour %s is refused and has a deck", p.Name)
			}
			continue
		}
		for _, f := range p.Audit.Findings {
			if !f.Fails {
				continue
			}
			if o.kind == "passed" {
				o.kind, o.why = "failing", shape(f.What)
			}
			o.checks[shape(f.What)] = true
			if f.What == "" {
				say("pour %s: a finding at %.0f says nothing", p.Name, f.At)
			}
		}
		// What the plan calls good must be good to an audit that has only the file.
		found, err := audit.Run(read, p)
		if err != nil {
			say("pour %s cannot be audited from its file: %v", p.Name, err)
			continue
		}
		for _, d := range Differences(p.Audit, found) {
			say("pour %s audited from its file: %s", p.Name, d)
		}
		if (p.Summary.Failed > 0) != (len(found.Failing()) > 0) {
			say("pour %s: the summary counts %d failures, the audit from the file finds %d", p.Name, p.Summary.Failed, len(found.Failing()))
		}
		if len(found.Failing()) > 0 {
			continue
		}
		if t := found.Totals; math.Abs(t.Applied-t.Reactions) > balance*t.Applied || t.Applied <= 0 {
			say("pour %s: %.1f kN on the deck, %.1f kN in the props", p.Name, t.Applied/1e3, t.Reactions/1e3)
		}
		for _, s := range lookOver(read, p, seed) {
			say("pour %s: %s", p.Name, s)
		}
	}
	return o
}

// shape is a finding without its figures, so that alike ones count as one.
func shape(s string) string {
	var b strings.Builder
	for _, r := range s {
		if r >= '0' && r <= '9' {
			if !strings.HasSuffix(b.String(), "#") {
				b.WriteByte('#')
			}
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}

// remedy is what a refusal must hold: something that a person can do.
var remedy = regexp.MustCompile(`\b(give|use|take|choose|shore|make|move|add|cast|split|lower|raise|leave|write|wait|plan|put|set)\b`)

func helps(reason string) bool { return remedy.MatchString(reason) }

// What looks decks over must see what is wrong with them: a good deck, spoiled
// in one way at a time.
func TestLookOverSees(t *testing.T) {
	const good = `job: A deck to spoil
basis: us
lengths: ft
system: timber-beam
concrete: {strength: 30 N/mm2}
rules: {ground: 300 kN/m2}
levels:
  - name: L
    top: 10 ft
    base: 0
    pours: [{name: P, slab: {outline: [[0, 0], [18, 0], [18, 14], [0, 14]], thickness: 6 in}}]
    columns: [{at: [9, 7], size: [12 in, 12 in]}]
`
	doc := planned(t, good)
	data, err := JSON(doc)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, says string
		spoil      func(p *deck.Pour)
	}{
		{"nothing", "", func(*deck.Pour) {}},
		{"a sheet is gone", "under no sheet", func(p *deck.Pour) { p.Deck.Sheets = p.Deck.Sheets[1:] }},
		{"a sheet lies lower", "under no sheet at its height", func(p *deck.Pour) { p.Deck.Sheets[0].Z -= 20 }},
		{"a joist goes through the column", "runs through", func(p *deck.Pour) {
			m := &p.Deck.Joists[0]
			across := plane.Point{(m.From[0] + m.To[0]) / 2, (m.From[1] + m.To[1]) / 2}
			at := p.Site.Blocks[0].Ring.Centroid()
			for _, end := range []*plane.Point{&m.From, &m.To} {
				end[0], end[1] = end[0]+at[0]-across[0], end[1]+at[1]-across[1]
			}
		}},
		{"the stringers of a line are gone", "lies on nothing but", func(p *deck.Pour) {
			line := p.Deck.Stringers[0].Line
			p.Deck.Stringers = slices.DeleteFunc(p.Deck.Stringers, func(m deck.Member) bool { return m.Line == line })
		}},
		{"the props of a line are gone", "stands on nothing but", func(p *deck.Pour) {
			line := p.Deck.Props[0].Line
			p.Deck.Props = slices.DeleteFunc(p.Deck.Props, func(q deck.Prop) bool { return q.Line == line })
		}},
		{"a prop in the column", "stands in", func(p *deck.Pour) { p.Deck.Props[0].At = p.Site.Blocks[0].Ring.Centroid() }},
		{"a prop too long", "out of", func(p *deck.Pour) { p.Deck.Props[0].Length += 3000 }},
		{"another pin hole", "thread make", func(p *deck.Pour) { p.Deck.Props[0].Hole++ }},
		{"half the load", "are said to lie on the deck", func(p *deck.Pour) { p.Audit.Totals.Applied /= 2 }},
	} {
		read := &deck.Document{}
		if err := json.Unmarshal(data, read); err != nil {
			t.Fatal(err)
		}
		p := &read.Pours[0]
		if p.Refused != "" || p.Summary.Failed > 0 {
			t.Fatalf("the good deck is not: %s, %d checks fail", p.Refused, p.Summary.Failed)
		}
		c.spoil(p)
		said := strings.Join(lookOver(read, p, 1), "\n")
		if c.says == "" && said != "" || !strings.Contains(said, c.says) {
			t.Errorf("%s: want %q, it says %q", c.name, c.says, said)
		}
	}
}
