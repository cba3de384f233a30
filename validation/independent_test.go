package validation

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"shoreward/internal/audit"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/plan"
)

// The program's audit against another one, independent/audit.py, which was
// written from docs/plan-json.md alone: other language, other methods (dense
// stiffness matrix, every load pattern by itself, exact lines for areas). The
// expected values are therefore the other program's, computed here and now.

// Invented floors, each with a column, an opening and free edges.
var auditFloors = map[string]string{
	"us": `job: Audit floor, feet
basis: us
lengths: ft
system: timber-beam
concrete: {strength: 4000 psi, weight: 150 pcf}
rules: {ground: 8000 psf}
levels:
  - name: L1
    top: 11 ft
    base: 0 ft
    pours:
      - name: P
        slab: {outline: [[0, 0], [30, 0], [30, 20], [0, 20]], thickness: 7 in,
               openings: [[[6, 6], [10, 6], [10, 9], [6, 9]]]}
    columns: [{at: [18, 10], size: [16 in, 16 in]}, {at: [0.7, 0.7], size: [16 in, 16 in]}]
    walls: [{from: [0, 4], to: [0, 20], thickness: 10 in}]
`,
	"eu": `job: Audit floor, metres
basis: eu
lengths: m
system: timber-beam
concrete: {strength: 30 N/mm2}
rules: {ground: 600 kN/m2}
levels:
  - name: L1
    top: 3.1
    base: 0
    pours:
      - name: P
        slab: {outline: [[0, 0], [7.5, 0], [7.5, 7], [0, 7]], thickness: 150 mm,
               openings: [[[4.1, 3.5], [5.3, 3.5], [5.3, 4.5], [4.1, 4.5]]]}
    columns: [{at: [2.1, 3.9], size: [400 mm, 400 mm]}, {at: [7.3, 6.8], size: [400 mm, 400 mm]}, {at: [0.2, 0.2], size: [400 mm, 400 mm]}]
`,
	"eu, beside a wall": `job: Audit floor beside a wall, metres
basis: eu
lengths: m
system: timber-beam
concrete: {strength: 30 N/mm2}
rules: {ground: 600 kN/m2}
levels:
  - name: L1
    top: 3.1
    base: 0
    pours:
      - name: P
        slab: {outline: [[0, 0], [7.5, 0], [7.5, 6.5], [0, 6.5]], thickness: 200 mm,
               openings: [[[4.5, 3.2], [5.7, 3.2], [5.7, 4.2], [4.5, 4.2]]]}
    columns: [{at: [2.25, 2.6], size: [400 mm, 400 mm]}, {at: [7.3, 6.3], size: [400 mm, 400 mm]}, {at: [0.2, 0.2], size: [400 mm, 400 mm]}]
    walls: [{from: [0, 2.6], to: [0, 6.5], thickness: 250 mm}]
`,
	"eu, in two fields": `job: Audit floor of two legs, metres
basis: eu
lengths: m
system: timber-beam
concrete: {strength: 30 N/mm2}
rules: {ground: 200 kN/m2}
levels:
  - name: L1
    top: 3.2
    base: 0
    pours:
      - name: P
        slab: {outline: [[0, 0], [14, 0], [14, 4], [4, 4], [4, 14], [0, 14]], thickness: 200 mm,
               openings: [[[1.2, 9.1], [2.4, 9.1], [2.4, 10], [1.2, 10]]]}
    columns: [{at: [9.1, 2.2], size: [400 mm, 400 mm]}]
`,
}

type otherCheck struct {
	Member string  `json:"member"`
	Kind   string  `json:"kind"`
	What   string  `json:"what"`
	Value  float64 `json:"value"`
	Ratio  float64 `json:"ratio"`
}

type otherPour struct {
	Holds bool `json:"holds"`
	Fails []struct {
		Member string `json:"member"`
		What   string `json:"what"`
	} `json:"fails"`
	NotChecked []string           `json:"not_checked"`
	Checks     []otherCheck       `json:"checks"`
	Props      map[string]float64 `json:"prop_load_N"`
	Area       float64            `json:"area_m2"`
	Bare       float64            `json:"bare_cm2"`
	Applied    float64            `json:"applied_N"`
	Reactions  float64            `json:"reactions_N"`
}

// otherAudit runs the independent audit on a document of one pour.
func otherAudit(t *testing.T, doc *deck.Document) otherPour {
	t.Helper()
	const python = "/usr/bin/python3" // Debian's: the one its python3-numpy serves
	if out, err := exec.Command(python, "-c", "import numpy").CombinedOutput(); err != nil {
		if os.Getenv("CI") == "true" || os.Getenv("SHOREWARD_REQUIRE") == "1" {
			t.Fatalf("%s with numpy is needed (install python3-numpy): %v: %s", python, err, out)
		}
		t.Skipf("no %s with numpy (install python3-numpy): %v", python, err)
	}
	data, err := plan.JSON(doc)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "plan.json")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "independent/audit.py", path)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var r struct{ Pours []otherPour }
	if err := json.Unmarshal(out, &r); err != nil {
		t.Fatal(err)
	}
	if len(r.Pours) != 1 {
		t.Fatalf("%d pours in the answer", len(r.Pours))
	}
	return r.Pours[0]
}

func planFloor(t *testing.T, text string) *deck.Document {
	t.Helper()
	cat, err := catalog.Load("")
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Parse("floor.yaml", []byte(text), func(string) (*catalog.Catalog, error) { return cat, nil })
	if err != nil {
		t.Fatal(err)
	}
	doc, err := plan.Run(j, cat, nil)
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// apart is the difference of two numbers as a part of the greater.
func apart(a, b float64) float64 {
	if m := math.Max(math.Abs(a), math.Abs(b)); m > 0 {
		return math.Abs(a-b) / m
	}
	return 0
}

// fails reports whether an audit found anything that fails.
func fails(a deck.Audit) bool {
	return slices.ContainsFunc(a.Findings, func(f deck.Finding) bool { return f.Fails })
}

// worstRatios is the greatest ratio of each kind and what.
func worstRatios(checks []otherCheck) map[string]float64 {
	w := map[string]float64{}
	for _, c := range checks {
		k := c.Kind + ", " + c.What
		w[k] = math.Max(w[k], c.Ratio)
	}
	return w
}

func TestIndependentAudit(t *testing.T) {
	for name, text := range auditFloors {
		t.Run(name, func(t *testing.T) {
			doc := planFloor(t, text)
			p := doc.Pours[0]
			other := otherAudit(t, doc)
			if len(p.Site.Openings) == 0 || len(p.Site.Blocks) == 0 || len(p.Deck.EdgeForms) == 0 {
				t.Fatal("the floor must have an opening, a column and a free edge")
			}
			if strings.Contains(name, "fields") && len(p.Deck.Borders) == 0 {
				t.Error("the floor is to be laid in two fields, for the border between them")
			}
			holds := !fails(p.Audit)
			if holds != other.Holds {
				t.Errorf("the program says holds = %t, the independent audit %t: %v, %v, %v", holds, other.Holds, p.Audit.Findings, other.Fails, other.NotChecked)
			}
			if apart(p.Summary.Area, other.Area) > 1e-4 {
				t.Errorf("area %.4f m2, independently %.4f", p.Summary.Area, other.Area)
			}
			if math.Abs(p.Audit.BareCm2-other.Bare) > 5 {
				t.Errorf("bare %.1f cm2, independently %.1f", p.Audit.BareCm2, other.Bare)
			}
			tot := p.Audit.Totals
			if apart(other.Applied, other.Reactions) > 0.005 || apart(tot.Applied, other.Applied) > 0.005 || apart(tot.Reactions, other.Reactions) > 0.005 {
				t.Errorf("on the deck %.0f N and in the props %.0f N, independently %.0f N and %.0f N", tot.Applied, tot.Reactions, other.Applied, other.Reactions)
			}

			var mine []otherCheck
			loads := map[string]float64{}
			for _, c := range p.Audit.Checks {
				mine = append(mine, otherCheck{c.Member, c.Kind, c.What, c.Value, c.Ratio})
				if c.Kind == "prop" && c.What == "load" {
					loads[c.Member] = c.Value
				}
			}
			if len(other.Props) != len(p.Deck.Props) {
				t.Errorf("%d props, independently %d", len(p.Deck.Props), len(other.Props))
			}
			var most float64
			for id, load := range other.Props {
				d := apart(load, loads[id])
				most = math.Max(most, d)
				if d > 0.02 {
					t.Errorf("prop %s carries %.0f N, independently %.0f N", id, loads[id], load)
				}
			}
			t.Logf("%d props, loads at most %.2f %% apart", len(other.Props), 100*most)

			// What both compute, by the worst member: strength and deflection of
			// everything within 3 %; the pull on a fixing, a small difference of
			// large forces, within 10 %.
			ours := worstRatios(mine)
			for k, want := range worstRatios(other.Checks) {
				tol := 0.03
				if strings.HasSuffix(k, "hold-down") {
					tol = 0.10
				}
				if got, ok := ours[k]; !ok || apart(got, want) > tol {
					t.Errorf("%s: worst ratio %.4f, independently %.4f", k, got, want)
				}
				delete(ours, k)
			}
			for k := range ours { // what independent/audit.py has no code for
				if kind, _, _ := strings.Cut(k, ","); kind != "edge form" && kind != "guard" && kind != "sill" {
					t.Errorf("%s is not checked independently", k)
				}
			}
		})
	}
}

// A plan that was tampered with fails, with the right member named.
func TestIndependentAuditFindsTampering(t *testing.T) {
	for name, text := range auditFloors {
		doc := planFloor(t, text)
		copied := func() *deck.Document {
			data, err := plan.JSON(doc)
			if err != nil {
				t.Fatal(err)
			}
			var c deck.Document
			if err := json.Unmarshal(data, &c); err != nil {
				t.Fatal(err)
			}
			return &c
		}
		// Both programs must say the same of the changed plan, and name the right
		// member where it fails. It must fail where that is sure.
		judged := func(t *testing.T, c *deck.Document, right []string, sure bool) {
			t.Helper()
			program, err := audit.Run(c, &c.Pours[0])
			if err != nil {
				t.Fatal(err)
			}
			r := otherAudit(t, c)
			if fails(program) == r.Holds {
				t.Errorf("the program says holds = %t, the independent audit %t: %v", !fails(program), r.Holds, r.Fails)
			}
			if r.Holds && !sure {
				return
			}
			for _, f := range r.Fails {
				if slices.Contains(right, f.Member) {
					return
				}
			}
			t.Errorf("none of %v is named: %v", right, r.Fails)
		}
		t.Run(name+"/prop removed", func(t *testing.T) {
			c := copied()
			d := &c.Pours[0].Deck
			var worst deck.Check // the prop with the greatest load
			for _, k := range c.Pours[0].Audit.Checks {
				if k.Kind == "prop" && k.Value > worst.Value {
					worst = k
				}
			}
			i := slices.IndexFunc(d.Props, func(p deck.Prop) bool { return p.ID == worst.Member })
			var right []string // the stringers of its line: one of them spans twice as far now
			for _, s := range d.Stringers {
				if s.Line == d.Props[i].Line {
					right = append(right, s.ID)
				}
			}
			d.Props = slices.Delete(d.Props, i, i+1)
			judged(t, c, right, true)
		})
		t.Run(name+"/joist moved 300 mm", func(t *testing.T) {
			c := copied()
			d := &c.Pours[0].Deck
			var worst deck.Check // the joist that carries most
			for _, k := range c.Pours[0].Audit.Checks {
				if k.Kind == "joist" && k.What == "reaction" && k.Value > worst.Value {
					worst = k
				}
			}
			j := &d.Joists[slices.IndexFunc(d.Joists, func(m deck.Member) bool { return m.ID == worst.Member })]
			ux, uy := j.To[0]-j.From[0], j.To[1]-j.From[1]
			l := math.Hypot(ux, uy)
			right := []string{j.ID}
			for _, s := range d.Sheets { // those that lay on it
				b, near := s.Shape.Outer.Bounds(), 40.0 // half a joist
				if math.Min(j.From[0], j.To[0]) < b.X1+near && math.Max(j.From[0], j.To[0]) > b.X0-near &&
					math.Min(j.From[1], j.To[1]) < b.Y1+near && math.Max(j.From[1], j.To[1]) > b.Y0-near {
					right = append(right, s.ID)
				}
			}
			side := func(p, a, b deck.Point) float64 { return (b[0]-a[0])*(p[1]-a[1]) - (b[1]-a[1])*(p[0]-a[0]) }
			for _, k := range d.Stringers { // and those that cross under it, whose load has moved
				if side(k.From, j.From, j.To)*side(k.To, j.From, j.To) < 0 && side(j.From, k.From, k.To)*side(j.To, k.From, k.To) < 0 {
					right = append(right, k.ID)
				}
			}
			for _, p := range []*deck.Point{&j.From, &j.To} {
				p[0], p[1] = p[0]-300*uy/l, p[1]+300*ux/l
			}
			// The sheets of the metric kit may span 300 mm more on a thin slab.
			judged(t, c, right, name == "us")
		})
		t.Run(name+"/prop length falsified", func(t *testing.T) {
			c := copied()
			p := &c.Pours[0].Deck.Props[3]
			p.Length += 100
			judged(t, c, []string{p.ID}, true)
		})
	}
}
