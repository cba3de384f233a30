package plan

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
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
//	go test ./internal/plan -run RandomPours -pours 500 -v     counts what comes of 500
//	go test ./internal/plan -run RandomPours -pour 17 -v       writes pour 17 as a job file
var (
	pourCount = flag.Int("pours", 80, "how many random pours TestRandomPours plans")
	onePour   = flag.Int64("pour", -1, "the only random pour to plan, written out as a job file")
)

// balance is how far the reactions of all props may be from the load on the
// deck, as a share of it.
const balance = 0.005

// repeatEvery: of so many pours one is planned twice, for the same bytes.
const repeatEvery = 5

// outcome is what came of one random pour.
type outcome struct {
	seed   uint64
	text   string   // the job file
	kind   string   // passed | refused | failing
	why    string   // of a refusal, or the first finding
	broken []string // properties that do not hold
}

func TestRandomPours(t *testing.T) {
	cat, err := catalog.Load("")
	if err != nil {
		t.Fatal(err)
	}
	var seeds []uint64
	for i := range *pourCount {
		seeds = append(seeds, uint64(i))
	}
	if *onePour >= 0 {
		seeds = []uint64{uint64(*onePour)}
	}
	out := make([]outcome, len(seeds))
	var wg sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				out[i] = tryPour(seeds[i], randomJob(seeds[i]), cat)
			}
		}()
	}
	for i := range seeds {
		next <- i
	}
	close(next)
	wg.Wait()

	kinds, why := map[string]int{}, map[string]int{}
	for _, o := range out {
		kinds[o.kind]++
		if o.kind != "passed" {
			why[o.kind+": "+o.why]++
			t.Logf("pour %d %s: %s", o.seed, o.kind, o.why)
		}
		for _, b := range o.broken {
			t.Errorf("pour %d: %s", o.seed, b)
		}
		if *onePour >= 0 {
			t.Logf("\n%s", o.text)
		}
	}
	t.Logf("%d pours: %v", len(out), kinds)
	for _, k := range slices.Sorted(maps.Keys(why)) {
		t.Logf("%4d  %s", why[k], k)
	}
}

// tryPour plans one random pour and tests every property of the result.
func tryPour(seed uint64, text string, cat *catalog.Catalog) (o outcome) {
	o = outcome{seed: seed, text: text}
	say := func(format string, args ...any) { o.broken = append(o.broken, fmt.Sprintf(format, args...)) }
	defer func() {
		if r := recover(); r != nil {
			say("panic: %v", r)
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
		o.kind, o.why = "refused", "the job: "+wrong[0].Message
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
		if p.Refused != "" {
			o.kind, o.why = "refused", shape(p.Refused)
			if len(p.Deck.Props) > 0 {
				say("pour %s is refused and has a deck", p.Name)
			}
			continue
		}
		for _, f := range p.Audit.Findings {
			if f.Fails && o.kind == "passed" {
				o.kind, o.why = "failing", shape(f.What)
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
		if (p.Summary.Failed > 0) != (failing(found) > 0) {
			say("pour %s: the summary counts %d failures, the audit from the file finds %d", p.Name, p.Summary.Failed, failing(found))
		}
		if p.Summary.Failed > 0 {
			continue
		}
		if t := found.Totals; math.Abs(t.Applied-t.Reactions) > balance*t.Applied || t.Applied <= 0 {
			say("pour %s: %.1f kN on the deck, %.1f kN in the props", p.Name, t.Applied/1e3, t.Reactions/1e3)
		}
		for _, s := range lookOver(p, seed) {
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

// lookOver tests a deck that passes in ways the audit does not use: random
// points of the soffit must lie under a sheet, weights must be those of the
// area, no member may run through a column, and no number may be unreal.
func lookOver(p *deck.Pour, seed uint64) (wrong []string) {
	const points = 1500
	rng := rand.New(rand.NewPCG(seed, 99))
	box := plane.Bounds(p.Site.Slab)
	inside, bare := 0, 0
	var at plane.Point
	for range points {
		q := plane.Point{box.X0 + rng.Float64()*(box.X1-box.X0), box.Y0 + rng.Float64()*(box.Y1-box.Y0)}
		if !plane.Within(p.Site.Slab, q) {
			continue
		}
		inside++
		covered := slices.ContainsFunc(p.Deck.Sheets, func(s deck.Sheet) bool {
			return s.Shape.Contains(q) || s.Shape.Outer.DistanceTo(q) < 1
		})
		if !covered {
			bare++
			at = q
		}
	}
	if bare > 0 {
		wrong = append(wrong, fmt.Sprintf("%d of %d points of the soffit lie under no sheet, one at %.0f", bare, inside, at))
	}
	// One thickness in these pours: the first load is that of the slab.
	concrete := plane.Area(p.Site.Zones[0].Shapes) / 1e6 * float64(p.Audit.Loads[0].Load.Concrete)
	if concrete > p.Audit.Totals.Applied*(1+1e-3) {
		wrong = append(wrong, fmt.Sprintf("the concrete weighs %.1f kN, more than all that is said to lie on the deck, %.1f kN", concrete/1e3, p.Audit.Totals.Applied/1e3))
	}
	for _, list := range [][]deck.Member{p.Deck.Joists, p.Deck.Stringers} {
		for _, m := range list {
			for k := range 21 {
				f := float64(k) / 20
				q := plane.Point{m.From[0] + (m.To[0]-m.From[0])*f, m.From[1] + (m.To[1]-m.From[1])*f}
				for _, b := range p.Site.Blocks {
					if b.Ring.Contains(q) && b.Ring.DistanceTo(q) > 1 {
						wrong = append(wrong, fmt.Sprintf("%s runs through %s at %.0f", m.ID, b.Name, q))
					}
				}
			}
		}
	}
	for _, c := range p.Audit.Checks {
		if math.IsNaN(c.Ratio) || math.IsInf(c.Ratio, 0) {
			wrong = append(wrong, fmt.Sprintf("%s %s %s: value %g, ratio %g", c.Member, c.Kind, c.What, c.Value, c.Ratio))
		}
	}
	return wrong
}

// sketch draws random pours in whole steps of one unit: 10 mm, or an inch.
type sketch struct {
	*rand.Rand
	us      bool
	outline plane.Ring // mm, on whole steps
	taken   []plane.Ring
}

func (s *sketch) step() float64 {
	if s.us {
		return 25.4
	}
	return 10
}

// between is a whole number of steps from lo to hi, both in mm, in mm.
func (s *sketch) between(lo, hi float64) float64 {
	return math.Round((lo+s.Float64()*(hi-lo))/s.step()) * s.step()
}

func (s *sketch) chance(p float64) bool { return s.Float64() < p }

// text writes a length of whole steps in the job's own unit.
func (s *sketch) text(v float64) string {
	if s.us {
		return fmt.Sprintf("%.0f in", v/25.4)
	}
	return fmt.Sprintf("%.0f mm", v)
}

func (s *sketch) point(p plane.Point) string {
	return "[" + s.text(p[0]) + ", " + s.text(p[1]) + "]"
}

func (s *sketch) ring(r plane.Ring) string {
	var corners []string
	for _, p := range r {
		corners = append(corners, s.point(p))
	}
	return "[" + strings.Join(corners, ", ") + "]"
}

// free reports whether a ring lies in the outline by a margin, clear of what is
// there; it looks at points 100 mm apart along the ring.
func (s *sketch) free(r plane.Ring, margin float64) bool {
	for i, p := range r {
		q := r[(i+1)%len(r)]
		n := math.Ceil(math.Hypot(q[0]-p[0], q[1]-p[1])/100) + 1
		for k := range int(n) {
			f := float64(k) / n
			at := plane.Point{p[0] + (q[0]-p[0])*f, p[1] + (q[1]-p[1])*f}
			if !s.outline.Contains(at) || s.outline.DistanceTo(at) < margin {
				return false
			}
			for _, t := range s.taken {
				if t.Contains(at) || t.DistanceTo(at) < margin {
					return false
				}
			}
		}
	}
	for _, t := range s.taken {
		if r.Contains(t[0]) {
			return false
		}
	}
	return true
}

// randomOutline is a rectangle, an L, a T, a U, or a quadrilateral without a
// right angle.
func (s *sketch) randomOutline() plane.Ring {
	w, h := s.between(3500, 11000), s.between(3500, 8500)
	a, b := s.between(0.3*w, 0.7*w), s.between(0.3*h, 0.7*h)
	a1, a2 := s.between(0.2*w, 0.4*w), s.between(0.6*w, 0.8*w)
	switch s.IntN(5) {
	case 0:
		return plane.Rect(0, 0, w, h)
	case 1:
		return plane.Ring{{0, 0}, {w, 0}, {w, b}, {a, b}, {a, h}, {0, h}}
	case 2:
		return plane.Ring{{a1, 0}, {a2, 0}, {a2, b}, {w, b}, {w, h}, {0, h}, {0, b}, {a1, b}}
	case 3:
		return plane.Ring{{0, 0}, {w, 0}, {w, h}, {a2, h}, {a2, b}, {a1, b}, {a1, h}, {0, h}}
	}
	near := func(x, y float64) plane.Point {
		return plane.Point{s.between(x-0.12*w, x+0.12*w), s.between(y-0.12*h, y+0.12*h)}
	}
	return plane.Ring{near(0, 0), near(w, 0), near(w, h), near(0, h)}
}

// randomJob is a job file with one pour on the ground, or the same slab twice,
// the second on the first.
func randomJob(seed uint64) string {
	s := &sketch{Rand: rand.New(rand.NewPCG(seed, 1))}
	s.us = s.chance(0.5)
	system := []string{"timber-beam", "two-length-kit", "lumber-posts"}[s.IntN(3)]
	s.outline = s.randomOutline()
	box := s.outline.Bounds()

	var openings []string
	for range s.IntN(4) {
		w, h := s.between(300, 3000), s.between(300, 3000)
		x, y := s.between(box.X0, box.X1), s.between(box.Y0, box.Y1)
		if r := plane.Rect(x, y, x+w, y+h); s.free(r, 300) {
			s.taken = append(s.taken, r)
			openings = append(openings, s.ring(r))
		}
	}
	var columns []string
	pitch := s.between(4500, 8000)
	for x := box.X0; x <= box.X1; x += pitch {
		for y := box.Y0; y <= box.Y1; y += pitch {
			if s.chance(0.3) {
				continue
			}
			x, y := math.Round(x/s.step())*s.step(), math.Round(y/s.step())*s.step()
			size := s.between(250, 600)
			if r := plane.Rect(x-size/2, y-size/2, x+size/2, y+size/2); !s.free(r, 20) {
				continue
			}
			c := fmt.Sprintf("{at: %s, size: [%s, %s]}", s.point(plane.Point{x, y}), s.text(size), s.text(size))
			switch {
			case s.chance(0.2):
				c = fmt.Sprintf("{at: %s, round: %s}", s.point(plane.Point{x, y}), s.text(size))
			case s.chance(0.15):
				c = fmt.Sprintf("{at: %s, size: [%s, %s], turn: %d deg}", s.point(plane.Point{x, y}), s.text(size), s.text(s.step()*math.Round(size*0.7/s.step())), 5+s.IntN(80))
			}
			columns = append(columns, c)
		}
	}
	var walls []string
	for range s.IntN(3) {
		i := s.IntN(len(s.outline))
		p, q := s.outline[i], s.outline[(i+1)%len(s.outline)]
		if s.chance(0.3) { // across the inside
			p = plane.Point{s.between(box.X0, box.X1), s.between(box.Y0, box.Y1)}
			q = plane.Point{p[0] + s.between(1500, 4000), p[1]}
			if !s.free(plane.Rect(p[0], p[1]-200, q[0], q[1]+200), 100) {
				continue
			}
			s.taken = append(s.taken, plane.Rect(p[0], p[1]-200, q[0], q[1]+200))
		}
		walls = append(walls, fmt.Sprintf("{from: %s, to: %s, thickness: %s}", s.point(p), s.point(q), s.text(s.between(200, 300))))
	}
	thickness := s.between(150, 380)
	storey := s.between(2600, 3600) + thickness

	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("job: Random pour %d", seed)
	if s.us {
		line("basis: us\nlengths: in")
	} else {
		line("basis: eu\nlengths: mm")
	}
	line("system: %s\nconcrete: {strength: 30 N/mm2}\nrules: {ground: 250 kN/m2}\nlevels:", system)
	levels := 1
	if s.chance(0.15) {
		levels = 2
	}
	for i := range levels {
		base := `"` + s.text(0) + `"`
		if i > 0 {
			base = "Level1"
		}
		line("  - name: Level%d\n    top: %s\n    base: %s\n    pours:", i+1, s.text(storey*float64(i+1)), base)
		line("      - name: P%d\n        slab:\n          outline: %s\n          thickness: %s", i+1, s.ring(s.outline), s.text(thickness))
		for k, o := range openings {
			if k == 0 {
				line("          openings:")
			}
			line("            - %s", o)
		}
		for k, c := range columns {
			if k == 0 {
				line("    columns:")
			}
			line("      - %s", c)
		}
		for k, w := range walls {
			if k == 0 {
				line("    walls:")
			}
			line("      - %s", w)
		}
	}
	return b.String()
}
