package plan

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"shoreward/examples"
	"shoreward/internal/audit"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// Small slabs with what hangs below them, on both bases; invented.
const (
	beamUS = `
job: A beam, invented
basis: us
lengths: ft
system: timber-beam
concrete: {strength: 5000 psi, weight: 150 pcf}
levels:
  - name: L
    top: 12 ft
    base: 0 ft
    pours:
      - name: A
        slab: {outline: [[0, 0], [20, 0], [20, 12], [0, 12]], thickness: 8 in}
        beams: [{from: [10, 0], to: [10, 12], width: 16 in, depth: 24 in}]
rules: {ground: 4000 psf}
`
	beamEU = metricJob + `levels:
  - name: L
    top: 3.6 m
    base: 0 m
    pours:
      - name: A
        slab: {outline: [[0, 0], [8, 0], [8, 6], [0, 6]], thickness: 200 mm}
        beams: [{from: [0, 5.85], to: [8, 5.85], width: 300 mm, depth: 450 mm}]
        drops: [{outline: [[5, 2], [7, 2], [7, 4], [5, 4]], thickness: 350 mm}]
        steps: [{outline: [[0, 0], [2.5, 0], [2.5, 2.5], [0, 2.5]], rise: -60 mm}]
    columns: [{at: [6, 3], size: [400 mm, 400 mm]}]
rules: {ground: 200 kN/m2}
`
)

// edgeOver is the edge beam again on the floor above, where no prop can stand past the
// edge of the slab below.
const edgeOver = metricJob + `levels:
  - name: L1
    top: 0 m
    base: -3 m
    pours: [{name: L1, slab: {outline: [[0, 0], [9, 0], [9, 6], [0, 6]], thickness: 220 mm}}]
  - name: L2
    top: 3.5 m
    base: L1
    pours:
      - name: A
        slab: {outline: [[0, 0], [9, 0], [9, 6], [0, 6]], thickness: 220 mm}
        beams: [{from: [0, 5.8], to: [9, 5.8], width: 400 mm, depth: 550 mm}]
    columns: [{at: [2, 5.4], size: [0.4 m, 0.4 m]}, {at: [7, 5.4], size: [0.4 m, 0.4 m]}]
rules: {ground: 150 kN/m2}
`

func failures(a deck.Audit) []string {
	var out []string
	for _, f := range a.Findings {
		if f.Fails {
			out = append(out, f.Member+": "+f.What)
		}
	}
	return out
}

// What is planned holds; all concrete, forms and people on the decks come down in
// the props, by statics.
func TestBeamsHold(t *testing.T) {
	for name, text := range map[string]string{"us": beamUS, "eu": beamEU, "eu, over a slab": edgeOver} {
		t.Run(name, func(t *testing.T) {
			doc := planned(t, text)
			p := doc.Pours[len(doc.Pours)-1]
			if p.Refused != "" {
				t.Fatal(p.Refused)
			}
			if f := failures(p.Audit); len(f) > 0 {
				t.Errorf("fails: %q", f)
			}
			loads := map[string]deck.ZoneLoad{}
			for _, l := range p.Audit.Loads {
				loads[l.Zone] = l
			}
			strip := loads["working strip"].Load.Live
			least, most := 0.0, 0.0
			for _, z := range p.Site.Zones {
				l := loads[z.Name].Load
				least += plane.Area(z.Shapes) / 1e6 * float64(l.Forms+l.Concrete+l.Live)
				least += plane.Area(z.Strip) / 1e6 * float64(l.Forms+strip)
				// The decks beside sides carry the most that comes down anywhere along
				// them: not more here than twice the thickest concrete over them.
				thick := 0.0
				for _, o := range p.Site.Zones {
					if o.Soffit > z.Soffit {
						thick = math.Max(thick, o.Thickness)
					}
				}
				over := float64(loads["slab"].Load.Concrete)*thick/p.Site.Zones[0].Thickness + float64(loads["slab"].Load.Live)
				most += plane.Area(z.Room) / 1e6 * (float64(l.Forms) + 2*over)
			}
			if got := p.Audit.Totals.Reactions; got < 0.99*least || got > least+most {
				t.Errorf("props carry %.1f kN, want %.1f to %.1f", got/1000, least/1000, (least+most)/1000)
			}
		})
	}
}

// 24 in of concrete at 150 pcf are 300 psf under the beam, 100 psf under the slab.
func TestBeamLoad(t *testing.T) {
	p := planned(t, beamUS).Pours[0]
	const psf = 47.880259
	for _, l := range p.Audit.Loads {
		want := map[string]float64{"slab": 100, "beam 1": 300}[l.Zone]
		if want > 0 && math.Abs(float64(l.Load.Concrete)/psf-want) > 0.1 {
			t.Errorf("%s carries %.1f psf of concrete, want %.0f", l.Zone, float64(l.Load.Concrete)/psf, want)
		}
	}
	sides, height := 0.0, 0.0
	for _, e := range p.Deck.EdgeForms {
		if e.Kind == deck.SideOf {
			sides += math.Hypot(e.To[0]-e.From[0], e.To[1]-e.From[1])
			height = e.Height
		}
	}
	if math.Abs(sides-2*12*304.8) > 2 || math.Abs(height-16*25.4) > 0.1 {
		t.Errorf("side forms %.0f mm long, %.1f mm high; want both sides of 12 ft and 16 in", sides, height)
	}
}

// Whatever is taken out, moved or shortened where two levels meet is found.
func TestBeamsTampered(t *testing.T) {
	doc := planned(t, beamUS)
	data, err := JSON(doc)
	if err != nil {
		t.Fatal(err)
	}
	room := doc.Pours[0].Site.Zones[1].Room[0].Outer.Bounds() // to the right of the beam
	field := map[string]string{}
	for _, f := range doc.Pours[0].Deck.Fields {
		field[f.Name] = f.Zone
	}
	for name, c := range map[string]struct {
		change func(p *deck.Pour) bool
		want   string
	}{
		"as planned": {func(p *deck.Pour) bool { return true }, ""},
		"a side form less": {func(p *deck.Pour) bool {
			for i, e := range p.Deck.EdgeForms {
				if e.Kind == deck.SideOf {
					p.Deck.EdgeForms = append(p.Deck.EdgeForms[:i], p.Deck.EdgeForms[i+1:]...)
					return true
				}
			}
			return false
		}, "without a form 406 mm high"},
		"a slab joist over the beam's deck": {func(p *deck.Pour) bool {
			for i := range p.Deck.Joists { // they run across the beam's axis here
				if j := &p.Deck.Joists[i]; field[j.Field] == "slab" && j.From[1] == j.To[1] && j.From[1] > 500 && j.From[1] < 3000 {
					j.From[0], j.To[0] = room.X0-2000, room.X1-5
					return true
				}
			}
			return false
		}, "runs into the room for the side forms of zone beam 1"},
		"the beam's sheets as narrow as the beam": {func(p *deck.Pour) bool {
			for i := range p.Deck.Sheets {
				s := &p.Deck.Sheets[i]
				if field[s.Field] != "beam 1" {
					continue
				}
				for k := range s.Shape.Outer {
					q := &s.Shape.Outer[k]
					q[0] = math.Min(math.Max(q[0], 3048-203.2), 3048+203.2)
				}
			}
			return true
		}, "under no sheet"},
		"the slab's sheets end at the room": {func(p *deck.Pour) bool {
			n := 0
			for i := range p.Deck.Sheets {
				s := &p.Deck.Sheets[i]
				if field[s.Field] != "slab" {
					continue
				}
				for k := range s.Shape.Outer {
					if q := &s.Shape.Outer[k]; math.Abs(q[0]-(3048-203.2)) < 1 {
						q[0] -= 101.6
						n++
					}
				}
			}
			return n > 0
		}, "under no sheet"},
		"a slab prop in the beam's deck": {func(p *deck.Pour) bool {
			for i := range p.Deck.Props { // with the stringer on it
				for k := range p.Deck.Stringers {
					if q, m := &p.Deck.Props[i], &p.Deck.Stringers[k]; q.Line == m.Line && m.From[0] == m.To[0] {
						q.At[0], m.From[0], m.To[0] = room.X0+50, room.X0+50, room.X0+50
						return true
					}
				}
			}
			return false
		}, "comes up through the deck of zone beam 1"},
	} {
		t.Run(name, func(t *testing.T) {
			var copy deck.Document
			if err := json.Unmarshal(data, &copy); err != nil {
				t.Fatal(err)
			}
			if !c.change(&copy.Pours[0]) {
				t.Fatal("nothing there to tamper with")
			}
			a, err := audit.Run(&copy, &copy.Pours[0])
			if err != nil {
				t.Fatal(err)
			}
			got := failures(a)
			switch {
			case c.want == "" && len(got) > 0:
				t.Errorf("fails: %q", got)
			case c.want != "" && !strings.Contains(strings.Join(got, "\n"), c.want):
				t.Errorf("%q is not found; found %q", c.want, got)
			}
		})
	}
}

// A soffit that no single prop reaches is refused, with what is needed instead, and
// nothing is drawn: under beams, drops and steps too. The longest prop of the
// catalogue is 5.5 m.
func TestTooHigh(t *testing.T) {
	for name, c := range map[string]struct{ text, from, to string }{
		"us, slab and beam":                      {beamUS, "top: 12 ft", "top: 24 ft"},
		"eu, slab, edge beam, drop and step":     {beamEU, "top: 3.6 m", "top: 7 m"},
		"eu, a step up only":                     {beamEU, "top: 3.6 m", "top: 6.15 m"},
		"us, a beam whose slab is too high only": {beamUS, "top: 12 ft", "top: 21 ft"},
	} {
		t.Run(name, func(t *testing.T) {
			text := strings.Replace(c.text, c.from, c.to, 1)
			if name == "eu, a step up only" {
				text = strings.Replace(text, "rise: -60 mm", "rise: 150 mm", 1)
			}
			p := planned(t, text).Pours[0]
			if p.Refused == "" || len(p.Deck.Props) > 0 {
				t.Fatalf("not refused, %d props", len(p.Deck.Props))
			}
			for _, word := range []string{"needs props of", "shoring towers", "two stages designed by an engineer", "never one prop on another"} {
				if !strings.Contains(p.Refused, word) {
					t.Errorf("%q does not say %q", p.Refused, word)
				}
			}
		})
	}
}

// The example holds as planned: its lower floor, which has all of it.
func TestPloverMill(t *testing.T) {
	text := string(examples.PloverMill)
	from, to := strings.Index(text, "  # On L2:"), strings.Index(text, "\nrules:")
	for _, p := range planned(t, text[:from]+text[to:]).Pours {
		if f := failures(p.Audit); p.Refused != "" || len(f) > 0 {
			t.Errorf("pour %s: %s %q", p.Name, p.Refused, f)
		}
	}
}

// Random pours with a beam or two across them have the properties of all others:
// what is called good is good from the file alone, covered, carried and clear.
func TestRandomBeams(t *testing.T) {
	cat, err := catalog.Load("")
	if err != nil {
		t.Fatal(err)
	}
	kinds := map[string]int{}
	for seed := range uint64(max(1, fromEnv(t, "SHOREWARD_POURS", defaultPours)/13)) {
		o := tryJob(seed, withBeams(seed), cat)
		kinds[o.kind]++
		if o.kind != "passed" {
			t.Logf("pour %d %s: %s", seed, o.kind, o.why)
		}
		for _, b := range o.broken {
			t.Errorf("pour %d: %s\n%s", seed, b, o.text)
		}
	}
	t.Logf("%v", kinds)
}

// withBeams puts beams across a random pour, along x and y.
func withBeams(seed uint64) string {
	text := randomJob(seed)
	s, _, _ := begun(seed)
	box := s.outline.Bounds()
	s.Rand = rand.New(rand.NewPCG(seed, 3))
	var beams []string
	for i := range 1 + s.IntN(2) {
		a, b := plane.Point{box.X0, s.between(box.Y0+600, box.Y1-600)}, plane.Point{box.X1, 0}
		b[1] = a[1]
		if i == 1 {
			a, b = plane.Point{s.between(box.X0+600, box.X1-600), box.Y0}, plane.Point{0, box.Y1}
			b[0] = a[0]
		}
		if !s.outline.Contains(plane.Point{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}) {
			continue
		}
		// As far as the outline lets it, a little inside where its side is slanted.
		for k := range 2 {
			end, other := &a, b
			if k == 1 {
				end, other = &b, a
			}
			for range 400 {
				in := plane.Point{end[0] + 1e-3*(other[0]-end[0]), end[1] + 1e-3*(other[1]-end[1])}
				if s.outline.Contains(in) && s.outline.Contains(plane.Point{in[0] - 260, in[1]}) == s.outline.Contains(plane.Point{in[0] + 260, in[1]}) || plane.Distance(*end, other, other) < 2000 {
					break
				}
				l := plane.Distance(*end, other, other)
				for c := range end {
					end[c] = math.Round((end[c]+s.step()*(other[c]-end[c])/l)/s.step()) * s.step()
				}
			}
		}
		beams = append(beams, fmt.Sprintf("{from: %s, to: %s, width: %s, depth: %s}", s.point(a), s.point(b), s.text(s.between(250, 500)), s.text(s.between(420, 600))))
	}
	return strings.ReplaceAll(text, "        slab:\n", "        beams: ["+strings.Join(beams, ", ")+"]\n        slab:\n")
}
