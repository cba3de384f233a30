package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"shoreward/internal/audit"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
)

// A ramp that falls 6 % along x, its top 3.60 m at x = 0, 220 mm thick square to
// itself, on the ground.
const rampEU = `job: Ramp, invented
basis: eu
lengths: m
system: timber-beam
concrete: {strength: 30 N/mm2}
levels:
  - name: L1
    top: 3.60
    base: 0
    pours:
      - name: L1-A
        slab: {outline: [[0, 0], [8, 0], [8, 5], [0, 5]], thickness: 220 mm, fall: {from: [0, 0], to: [8, 0], drop: 480 mm}}
    columns: [{at: [5, 2.5], size: [400 mm, 400 mm]}]
rules: {ground: 200 kN/m2}
`

// A roof that falls 1/4 in per ft along y: 1 in 48.
const roofUS = `job: Roof, invented
basis: us
lengths: ft
system: timber-beam
concrete: {strength: 5000 psi}
levels:
  - name: R
    top: 11 ft
    base: 0
    pours:
      - name: R
        slab: {outline: [[0, 0], [26, 0], [26, 16], [0, 16]], thickness: 8 in, fall: {from: [0, 0], to: [0, 16], slope: 1/4 in per ft}}
    walls: [{from: [0, 0], to: [0, 16], thickness: 8 in}]
rules: {ground: 4000 psf}
`

// Both hold, and every prop is set as by hand: the plane of the top at its place, less
// the layers at their depth plumb, the wedge, the head and the sill.
func TestFall(t *testing.T) {
	for _, c := range []struct {
		text         string
		top, slab    float64 // mm
		slope        float64
		axis         int
		area, volume float64 // of the slab less the column, m2 in plan and m3, by hand
	}{
		{rampEU, 3600, 220, 0.06, 0, 8*5 - 0.16, (8*5 - 0.16) * 0.22 * math.Sqrt(1.0036)},
		{roofUS, 11 * 304.8, 8 * 25.4, 1.0 / 48, 1, (26 - 1.0/3) * 16 * 0.3048 * 0.3048, (26 - 1.0/3) * 16 * 0.3048 * 0.3048 * 8 * 0.0254 * math.Sqrt(1+1.0/48/48)},
	} {
		doc := planned(t, c.text)
		p := &doc.Pours[0]
		if p.Refused != "" || p.Summary.Failed > 0 {
			t.Errorf("%s%s: %d fail: %+v", p.Name, p.Refused, p.Summary.Failed, p.Audit.Failing())
			continue
		}
		k := math.Sqrt(1 + c.slope*c.slope)
		depth := func(id string) float64 { return mmValue(doc.Parts[id].Depth) }
		layers := c.slab + depth(p.Deck.Sheets[0].Part) + depth(p.Deck.Joists[0].Part)
		settings := map[float64]bool{}
		for _, q := range p.Deck.Props {
			n := layers
			if q.Under == "stringer" {
				n += depth(p.Deck.Stringers[0].Part)
			}
			want := c.top - c.slope*q.At[c.axis] - n*k - q.Taper - mmValue(doc.Parts[q.Head].Seat.Height) - depth(q.Sill)
			if math.Abs(q.Length-want) > 0.06 { // heights and lengths are written to a hundredth each
				t.Errorf("prop %s at %v is set to %.2f, by hand %.2f", q.ID, q.At, q.Length, want)
			}
			if q.Taper < 10 || q.Taper > 40 {
				t.Errorf("prop %s has a wedge %.1f thick", q.ID, q.Taper)
			}
			settings[math.Round(q.Length)] = true
		}
		if len(settings) < 10 {
			t.Errorf("%d settings only", len(settings))
		}
		if got := p.Summary.Area; math.Abs(got-c.area*k) > 0.001 {
			t.Errorf("soffit of %.4f m2, by hand %.4f", got, c.area*k)
		}
		if got := p.Site.Zones[0].Thickness / 1000 * p.Summary.Area / k; math.Abs(got-c.volume) > 0.001 {
			t.Errorf("%.4f m3 of concrete, by hand %.4f", got, c.volume)
		}
		for _, w := range lookOver(doc, p, 1) {
			t.Error(w)
		}
		for _, f := range audit.Cuts(doc, 0) {
			t.Errorf("%+v", f)
		}
	}
}

func mmValue[T ~float64](v catalog.Value[T]) float64 { return float64(v.V) * 1000 }

// Under 1.2 m of fall no prop of the system reaches from the high end to the low end: where the
// chosen one does not go so low another stands that carries as much at its own setting as
// that one at the longest, and the audit proves each.
func TestFallSizesOfProps(t *testing.T) {
	doc := planned(t, strings.Replace(strings.Replace(rampEU, "to: [8, 0], drop: 480 mm", "to: [8, 0], drop: 720 mm", 1), "top: 3.60", "top: 3.35", 1))
	p := &doc.Pours[0]
	if p.Refused != "" || p.Summary.Failed > 0 {
		t.Fatalf("%s %+v", p.Refused, p.Audit.Failing())
	}
	sizes := map[string]int{}
	for _, q := range p.Deck.Props {
		if q.Under != "stringer" {
			continue
		}
		sizes[q.Part]++
		s := doc.Parts[q.Part].Shore
		if low, high := mmValue(s.Shortest), mmValue(s.Longest); q.Length < low-0.01 || q.Length > high+0.01 {
			t.Errorf("%s, %s, is set to %.1f mm, out of %.0f to %.0f", q.ID, q.Part, q.Length, low, high)
		}
	}
	if len(sizes) < 2 {
		t.Errorf("%v under stringers: one size would reach", sizes)
	}
	for _, w := range lookOver(doc, p, 1) {
		t.Error(w)
	}
}

// In space no member is longer than its part, and every whole one as long as it; the
// corners of whole sheets are as far apart as those of the part. By Pythagoras
// from places and heights alone.
func TestFallCoversWithRealLengths(t *testing.T) {
	doc := planned(t, strings.Replace(rampEU, "to: [8, 0], drop: 480 mm", "to: [3, 4], slope: 5 %", 1)) // aslant
	p := &doc.Pours[0]
	if p.Refused != "" || p.Summary.Failed > 0 {
		t.Fatalf("%s %+v", p.Refused, p.Audit.Failing())
	}
	far := func(a, b deck.Point, rise float64) float64 {
		return math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + rise*rise)
	}
	for _, list := range [][]deck.Member{p.Deck.Joists, p.Deck.Stringers} {
		for _, m := range list {
			l, part := far(m.From, m.To, m.Rise), mmValue(doc.Parts[m.Part].Length)
			if l > part+0.05 || !m.Sawn && l < part-0.05 {
				t.Errorf("%s is %.2f mm long, its part %.2f", m.ID, l, part)
			}
		}
	}
	whole := 0
	for _, s := range p.Deck.Sheets {
		if s.Cut {
			continue
		}
		whole++
		o := s.Shape.Outer
		a, b := far(o[0], o[1], s.Rises[1]), far(o[1], o[2], s.Rises[2]-s.Rises[1])
		l, w := mmValue(doc.Parts[s.Part].Length), mmValue(doc.Parts[s.Part].Width)
		if math.Abs(math.Max(a, b)-l) > 0.05 || math.Abs(math.Min(a, b)-w) > 0.05 {
			t.Errorf("sheet %s is %.2f by %.2f mm", s.ID, a, b)
		}
		if d, want := far(o[0], o[2], s.Rises[2]), math.Hypot(l, w); math.Abs(d-want) > 0.05 {
			t.Errorf("the diagonal of sheet %s is %.2f mm, not %.2f: it has no right angles", s.ID, d, want)
		}
	}
	if whole < 5 {
		t.Errorf("%d whole sheets", whole)
	}
}

// The prop must reach over the whole field; what it would need is said. A part that
// a pin keeps must be a prop or a line.
func TestFallRefused(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{"top: 3.60", "top: 7.5", "needs props of 6"},
		{"top: 3.60", "top: 2.60", "leaves only"},
		{"drop: 480 mm", "drop: 1.2 m", "planned up to 1:8"},
		{"rules:", "pins: [{pour: L1-A, kind: keep, part: beam-390, as: stringer, at: [1, 1], angle: 0 deg}]\nrules:", "keep a prop or a line there"},
	} {
		p := planned(t, strings.Replace(rampEU, c.old, c.new, 1)).Pours[0]
		if !strings.Contains(p.Refused, c.want) {
			t.Errorf("%s: %q", c.new, p.Refused)
		}
	}
}

// A pour that falls is laid afresh when it is planned again, and so is one that fell.
func TestFallPlannedAgain(t *testing.T) {
	old := planned(t, rampEU)
	for _, text := range []string{rampEU, strings.Replace(rampEU, ", fall: {from: [0, 0], to: [8, 0], drop: 480 mm}", "", 1)} {
		j, cat := loadText(t, text)
		doc, starts, err := RunFrom(j, cat, old, nil)
		if err != nil {
			t.Fatal(err)
		}
		if starts[0].Afresh == "" || doc.Pours[0].Summary.Failed > 0 {
			t.Errorf("%+v, %d fail", starts[0], doc.Pours[0].Summary.Failed)
		}
		if text == rampEU && Changes(old, doc, starts) == nil {
			t.Error("no report of changes")
		}
	}
}

// Random pours that fall, with all the properties of the level ones.
func TestRandomFalls(t *testing.T) {
	cat, err := catalog.Load("")
	if err != nil {
		t.Fatal(err)
	}
	thickness := regexp.MustCompile(`(?m)^(          thickness: .*)$`)
	n := fromEnv(t, "SHOREWARD_FALLS", 6)
	kinds := map[string]int{}
	for seed := uint64(fromEnv(t, "SHOREWARD_SEED", 0)); n > 0; seed++ {
		text := randomJob(seed)
		if strings.Contains(text, "drops:") || strings.Contains(text, "base: Level1") {
			continue
		}
		n--
		r := rand.New(rand.NewPCG(seed, 7))
		dx, dy := 10*(r.IntN(5)-2), 10*(1+r.IntN(3))
		if r.IntN(2) == 0 {
			dx = 0 // straight along y
		}
		fall := fmt.Sprintf("fall: {from: [0, 0], to: [%d, %d], slope: %.2f %%}", dx, dy, 0.3+r.Float64()*[]float64{2, 5, 12}[r.IntN(3)])
		o := tryJob(seed, thickness.ReplaceAllString(text, "$1\n          "+fall), cat)
		kinds[o.kind]++
		t.Logf("pour %d, %s: %s %s", seed, fall, o.kind, o.why)
		for _, b := range o.broken {
			t.Errorf("pour %d, %s: %s", seed, fall, b)
		}
	}
	t.Log(kinds)
}
