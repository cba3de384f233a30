package layout_test

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"sort"
	"testing"
	"time"

	"shoreward/internal/catalog"
	"shoreward/internal/job"
	"shoreward/internal/layout"
	"shoreward/internal/site"
)

// smallPours are the outlines of the comparison with a general-purpose solver, in
// metres: rectangles, L, T, U, with an opening, with columns, with a slanted edge.
var smallPours = []struct{ name, outline, openings, columns string }{
	{"3.0 x 3.0", "[[0,0],[3,0],[3,3],[0,3]]", "", ""},
	{"4.2 x 3.0", "[[0,0],[4.2,0],[4.2,3],[0,3]]", "", ""},
	{"5.0 x 3.5", "[[0,0],[5,0],[5,3.5],[0,3.5]]", "", ""},
	{"6.0 x 2.4", "[[0,0],[6,0],[6,2.4],[0,2.4]]", "", ""},
	{"4.0 x 4.0", "[[0,0],[4,0],[4,4],[0,4]]", "", ""},
	{"L", "[[0,0],[5,0],[5,2],[2.5,2],[2.5,4],[0,4]]", "", ""},
	{"thin L", "[[0,0],[4.5,0],[4.5,1.5],[1.5,1.5],[1.5,4.2],[0,4.2]]", "", ""},
	{"T", "[[0,2],[1.5,2],[1.5,0],[3.5,0],[3.5,2],[5,2],[5,4],[0,4]]", "", ""},
	{"U", "[[0,0],[5,0],[5,4],[3.5,4],[3.5,1.8],[1.5,1.8],[1.5,4],[0,4]]", "", ""},
	{"opening", "[[0,0],[5,0],[5,4],[0,4]]", "[[[1.8,1.4],[3.2,1.4],[3.2,2.9],[1.8,2.9]]]", ""},
	{"two columns", "[[0,0],[5,0],[5,4],[0,4]]", "", "[{at: [1.5, 2], size: [400 mm, 400 mm]}, {at: [3.6, 2], size: [300 mm, 300 mm]}]"},
	{"slanted edge", "[[0,0],[5,0],[4.2,3.6],[0,3.6]]", "", ""},
	{"trapezoid", "[[0,0],[5.5,0],[4.4,3],[1,3]]", "", ""},
	{"step", "[[0,0],[5,0],[5,3],[3.4,3],[3.4,3.8],[0,3.8]]", "", ""},
	{"notch", "[[0,0],[4.8,0],[4.8,3.6],[3.2,3.6],[3.2,2.4],[1.8,2.4],[1.8,3.6],[0,3.6]]", "", ""},
	{"large opening", "[[0,0],[4.8,0],[4.8,3.2],[0,3.2]]", "[[[2.9,0.6],[4.3,0.6],[4.3,2.3],[2.9,2.3]]]", ""},
}

// smallProblems are the problems of the stringer lines of a small pour, one for
// each direction, pitch and prop, with what the layout finds.
func smallProblems(t testing.TB, i int, basis string) ([]layout.Problem, []layout.Solution) {
	s := smallPours[i]
	text := "job: small (invented)\nbasis: " + basis + "\nlengths: m\nsystem: timber-beam\nconcrete: {strength: 30 N/mm2}\nlevels:\n" +
		"- name: L1\n  top: 0\n  base: -3\n  pours:\n  - name: below\n    slab: {outline: [[-2,-2],[8,-2],[8,7],[-2,7]], thickness: 250 mm}\n" +
		"- name: L2\n  top: 3\n  base: L1\n  pours:\n  - name: p\n    slab:\n      outline: " + s.outline +
		"\n      thickness: " + []string{"180 mm", "250 mm", "320 mm"}[i%3] + "\n"
	if s.openings != "" {
		text += "      openings: " + s.openings + "\n"
	}
	if s.columns != "" {
		text += "  columns: " + s.columns + "\n"
	}
	cat, err := catalog.Load("")
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Parse("small.yaml", []byte(text), func(string) (*catalog.Catalog, error) { return cat, nil })
	if err != nil {
		t.Fatal(err)
	}
	system, err := cat.Kit(j.System, string(j.Basis), j.Style)
	if err != nil {
		t.Fatal(err)
	}
	l := &j.Levels[1]
	place, err := site.New(j, l, &l.Pours[0])
	if err != nil {
		t.Fatal(err)
	}
	ps, found, err := layout.Problems(&layout.Input{Site: place, Catalog: cat, System: system, Settings: j.Settings, Deck: j.Deck, Rates: j.Rates}, 0)
	if err != nil {
		t.Fatal(err)
	}
	return ps, found
}

var quick = []string{"eu 3.0 x 3.0", "us 4.2 x 3.0", "eu slanted edge"}

// The layout's stringer lines cost no more than the optimum that a general-purpose
// solver proves for the same problem, written down and modelled apart
// (validation/solver/lines.py: HiGHS). By default those of them that are quick to
// solve; SHOREWARD_SOLVER=all does every pour on both bases.
func TestLinesAgainstSolver(t *testing.T) {
	const python = "/usr/bin/python3" // with scipy from apt
	if err := exec.Command(python, "-c", "import scipy.optimize").Run(); err != nil {
		if os.Getenv("SHOREWARD_REQUIRE") != "" {
			t.Fatal("python3 with scipy is missing: run scripts/setup python3-scipy")
		}
		t.Skip("python3 with scipy is missing")
	}
	var ps []layout.Problem
	var found []layout.Solution
	var names []string
	var engine time.Duration
	for i, s := range smallPours {
		for _, basis := range []string{"eu", "us"} {
			name := basis + " " + s.name
			if os.Getenv("SHOREWARD_SOLVER") != "all" && !slices.Contains(quick, name) {
				continue
			}
			p, f := smallProblems(t, i, basis)
			k := i % len(p) // another direction, pitch or prop each time
			ps, found, names = append(ps, p[k]), append(found, f[k]), append(names, name)
		}
	}
	for _, f := range found {
		engine += f.Time
	}
	in := filepath.Join(t.TempDir(), "problems.json")
	data, err := json.Marshal(ps)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(in, data, 0o644); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "../../validation/solver/lines.py", in)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var answers []struct {
		Cost, Seconds float64
		Variables     int
	}
	if err := json.Unmarshal(out, &answers); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	var gaps []float64
	solver := 0.0
	for i, a := range answers {
		gap := found[i].Cost/a.Cost - 1
		gaps = append(gaps, gap)
		solver += a.Seconds
		t.Logf("%-22s layout %.4f, solver %.4f (%d variables, %.1f s)", names[i], found[i].Cost, a.Cost, a.Variables, a.Seconds)
		if math.Abs(gap) > 1e-6 {
			t.Errorf("%s: the layout's lines cost %.4f, the solver's %.4f", names[i], found[i].Cost, a.Cost)
		}
	}
	sort.Float64s(gaps)
	t.Logf("%d problems: gap median %.4f %%, worst %.4f %%; layout %.2f s, solver %.1f s: ratio %.0f",
		len(gaps), 100*gaps[len(gaps)/2], 100*gaps[len(gaps)-1], engine.Seconds(), solver, solver/engine.Seconds())
}
