package storeys

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"shoreward/internal/quantity"
)

const day = quantity.Duration(24)

// cycle of seven days with stripping five days after each placing, as in the
// simplified method's own example.
func cycle(m, r int, o Order, live bool) Cycle {
	return Cycle{Shores: m, Reshores: r, Order: o, LiveOff: live, Every: 7 * day, StripAfter: 5 * day}
}

func run(t testing.TB, s *Stack, c Cycle, rules Rules) *Trace {
	t.Helper()
	ops, err := c.Standard(s.IDs())
	if err != nil {
		t.Fatal(err)
	}
	tr, err := s.Trace(ops, rules)
	if err != nil {
		t.Fatal(err)
	}
	return tr
}

var resnug = Rules{Resnug: true}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.5f, want %.5f within %g", what, got, want, tol)
	}
}

// cell writes a slab and its props as the step tables do.
func cell(t *testing.T, where, text string, s SlabState, p PropState, tol float64) {
	t.Helper()
	load, prop, _ := strings.Cut(text, "; ")
	want, err := strconv.ParseFloat(load, 64)
	if err != nil {
		t.Fatal(err)
	}
	near(t, where+" slab", float64(s.Load), want, tol)
	kind, force := None, 0.0
	if prop != "-" {
		kind = map[byte]Prop{'S': Shore, 'R': ReshoreProp}[prop[len(prop)-1]]
		if force, err = strconv.ParseFloat(prop[:len(prop)-1], 64); err != nil {
			t.Fatal(err)
		}
	}
	if p.Kind != kind {
		t.Errorf("%s: %s under it, want %s", where, p.Kind, kind)
	}
	near(t, where+" props", float64(p.Force), force, tol)
}

var verbs = []struct {
	text string
	kind Kind
}{{"Place level ", Place}, {"live load off ", LiveOff}, {"Remove shores under ", Strip},
	{"Reshore under ", Reshore}, {"Remove reshores under ", RemoveReshores}}

func operation(t *testing.T, text string) (Kind, string) {
	for _, v := range verbs {
		if n, ok := strings.CutPrefix(text, v.text); ok {
			return v.kind, "level " + n
		}
	}
	t.Fatalf("operation %q", text)
	return 0, ""
}

// The standard order gives the operations of the step tables and their loads.
func TestStepTables(t *testing.T) {
	for _, file := range []struct {
		name        string
		forms, live quantity.Ratio
	}{{"steps.txt", 0, 0}, {"steps-forms-live.txt", 0.1, 0.5}} {
		data, err := os.ReadFile("testdata/" + file.name)
		if err != nil {
			t.Fatal(err)
		}
		var tr *Trace
		var system string
		rows, k := 0, 0
		for line := range strings.Lines(string(data)) {
			line = strings.TrimSpace(line)
			if strings.HasPrefix(line, "#") {
				continue
			}
			if name, ok := strings.CutPrefix(line, "system "); ok {
				var m, r int
				if _, err := fmt.Sscanf(name, "%d+%d", &m, &r); err != nil {
					t.Fatal(err)
				}
				tr = run(t, Uniform(12, file.forms, file.live, 0), cycle(m, r, ShoresFirst, file.live > 0), resnug)
				system, k = name, 0
				continue
			}
			cells := strings.Split(line, " | ")
			kind, id := operation(t, cells[0])
			st := tr.Steps[k]
			where := fmt.Sprintf("%s %s row %d (%s)", file.name, system, k+1, cells[0])
			if st.Kind != kind || st.Slab != id {
				t.Fatalf("%s: the operation is %s", where, st.Name())
			}
			for i, c := range cells[1:] {
				cell(t, fmt.Sprintf("%s level %d", where, i+1), c, st.Slabs[i], st.Props[i], 0.00051)
			}
			k++
			rows++
		}
		if rows < 50 {
			t.Errorf("%s: only %d rows", file.name, rows)
		}
	}
}

// Peaks and converged loads worked apart from this program (exact fractions,
// simplified method, 40 levels): slab peak in both orders, shores, reshores.
func TestPeaks(t *testing.T) {
	for _, w := range []struct {
		m, r                        int
		first, second               float64
		level, placing              int // where the first order's peak is
		ground, off, reshoresOff, c float64
	}{
		{1, 0, 2, 2, 1, 2, 1, 1, 0, 2},
		{2, 0, 2.25, 2.25, 2, 4, 2, 1.25, 0, 2},
		{3, 0, 64.0 / 27, 64.0 / 27, 3, 6, 3, 14.0 / 9, 0, 2},
		{4, 0, 625.0 / 256, 625.0 / 256, 4, 8, 4, 1.9062, 0, 2},
		{1, 1, 1.5, 1.75, 1, 3, 1, 1, 0.5, 1.5},
		{1, 2, 4.0 / 3, 1.4444, 1, 4, 1, 1, 0.667, 4.0 / 3},
		{1, 3, 1.25, 1.3125, 1, 5, 1, 1, 0.75, 1.25},
		{1, 4, 1.2, 1.24, 1, 6, 1, 1, 0.8, 1.2},
		{2, 1, 11.0 / 6, 1.9444, 2, 4, 2, 1.167, 0.333, 1.7778},
		{2, 2, 1.75, 1.8125, 4, 6, 2, 1.25, 0.5, 1.6667},
		{2, 3, 1.6125, 1.6525, 5, 7, 2, 1.212, 0.6, 1.6},
		{3, 1, 19.0 / 9, 2.1736, 3, 6, 3, 1.472, 0.25, 1.875},
		{3, 2, 1.9778, 2.0178, 3, 6, 3, 1.454, 0.4, 1.8},
	} {
		name := fmt.Sprintf("%d+%d", w.m, w.r)
		s := Uniform(40, 0, 0, 0)
		tr := run(t, s, cycle(w.m, w.r, ShoresFirst, false), resnug)
		p := tr.Peaks()
		near(t, name+" slab", p.Slab.Of, w.first, 1e-4)
		at := tr.Steps[p.Slab.Step]
		if p.Slab.Slab+1 != w.level || at.Name() != fmt.Sprintf("Place level %d", w.placing) {
			t.Errorf("%s: peak at level %d, %s; want level %d, placing level %d", name, p.Slab.Slab+1, at.Name(), w.level, w.placing)
		}
		near(t, name+" shores", p.Shore.Of, w.ground, 1e-4)
		near(t, name+" shores off the ground", p.ShoreOffGround.Of, w.off, 6e-4)
		near(t, name+" reshores off the ground", p.ReshoreOffGround.Of, w.reshoresOff, 6e-4)
		near(t, name+" converged", placing(tr, 40), w.c, 1e-3)
		q := run(t, s, cycle(w.m, w.r, ReshoresFirst, false), resnug).Peaks()
		near(t, name+" slab, reshores first", q.Slab.Of, w.second, 1e-4)
	}
}

// placing is the greatest slab load when a level is placed.
func placing(tr *Trace, level int) float64 {
	most := 0.0
	for _, st := range tr.Steps {
		if st.Kind == Place && st.Slab == fmt.Sprintf("level %d", level) {
			for _, s := range st.Slabs {
				most = math.Max(most, float64(s.Load))
			}
		}
	}
	return most
}

// The same with forms of 0.10 and a live load of 0.50.
func TestPeaksWithFormsAndLive(t *testing.T) {
	for _, w := range []struct {
		m, r                     int
		slab, c, ground, off, re float64
	}{
		{1, 0, 2.6, 2.6, 1.6, 1.6, 0},
		{2, 0, 2.65, 2.3833, 2.7, 1.65, 0},
		{3, 0, 2.7148, 2.3167, 3.8, 2.0556, 0},
		{4, 0, 2.7617, 2.285, 4.9, 2.369, 0},
		{1, 1, 1.8, 1.8, 1.6, 1.6, 0.8},
		{1, 2, 1.5333, 1.5333, 1.6, 1.6, 1.067},
		{1, 3, 1.4, 1.4, 1.6, 1.6, 1.2},
		{2, 1, 2.1083, 2.0556, 2.7, 1.642, 0.533},
		{2, 2, 1.9812, 1.8917, 2.7, 1.781, 0.8},
	} {
		name := fmt.Sprintf("%d+%d", w.m, w.r)
		tr := run(t, Uniform(40, 0.1, 0.5, 0), cycle(w.m, w.r, ShoresFirst, true), resnug)
		p := tr.Peaks()
		near(t, name+" slab", p.Slab.Of, w.slab, 1e-4)
		near(t, name+" converged", placing(tr, 40), w.c, 1e-3)
		near(t, name+" shores", p.Shore.Of, w.ground, 1e-6)
		near(t, name+" shores off the ground", p.ShoreOffGround.Of, w.off, 6e-4)
		near(t, name+" reshores off the ground", p.ReshoreOffGround.Of, w.re, 6e-4)
	}
}

// Closed forms: shores only, peak (1 + 1/m)^m; converged at placing
// (1 + 1/N) 2m/(m+1); one shored level with forms and live load.
func TestClosedForms(t *testing.T) {
	for m := 1; m <= 6; m++ {
		tr := run(t, Uniform(3*m+4, 0, 0, 0), cycle(m, 0, ShoresFirst, false), resnug)
		near(t, fmt.Sprintf("%d+0 peak", m), tr.Peaks().Slab.Of, math.Pow(1+1/float64(m), float64(m)), 1e-9)
		for r := 0; r <= 5; r++ {
			n := float64(m + r)
			tr := run(t, Uniform(80, 0, 0, 0), cycle(m, r, ShoresFirst, false), resnug)
			near(t, fmt.Sprintf("%d+%d converged", m, r), placing(tr, 80), (1+1/n)*2*float64(m)/float64(m+1), 1e-4)
			if m == 1 {
				p := run(t, Uniform(20, 0.1, 0.5, 0), cycle(1, r, ShoresFirst, true), resnug).Peaks()
				near(t, fmt.Sprintf("1+%d with forms and live", r), p.Slab.Of, 1+1.6/float64(r+1), 1e-9)
			}
		}
	}
}

// Reshores left loose after a lift-off: 2+2 then behaves like 2+1, whose
// converged load is 16/9. Worked with the gap followed by hand.
func TestLooseReshoresDoNotHelp(t *testing.T) {
	tr := run(t, Uniform(60, 0, 0, 0), cycle(2, 2, ShoresFirst, false), Rules{})
	near(t, "2+2 left loose", placing(tr, 60), 16.0/9, 1e-4)
	loose, gap := false, 0.0
	for _, st := range tr.Steps {
		for _, p := range st.Props {
			loose = loose || p.Lifted
			gap = math.Max(gap, float64(p.Gap))
		}
	}
	if !loose {
		t.Error("no reshore is reported to come loose")
	}
	tight := run(t, Uniform(60, 0, 0, 0), cycle(2, 2, ShoresFirst, false), resnug)
	if n := len(tight.Steps[firstPlace(tight, 5)].Snugged); n == 0 {
		t.Error("no reshore is reported to be made snug before placing level 5")
	}
}

func firstPlace(tr *Trace, level int) int {
	for k, st := range tr.Steps {
		if st.Kind == Place && st.Slab == fmt.Sprintf("level %d", level) {
			return k
		}
	}
	return -1
}

// One and two propped levels under a load on the top one, closed forms for equal
// slabs and props of ratio c, by equilibrium and compatibility.
func TestSpringsInClosedForm(t *testing.T) {
	for _, c := range []float64{1e-9, 0.1, 0.25, 0.5, 1, 4.0 / 3, 2} {
		tr := run(t, Uniform(9, 0, 0, quantity.Ratio(c)), cycle(1, 1, ShoresFirst, false), resnug)
		st := tr.Steps[firstPlace(tr, 9)]
		near(t, fmt.Sprintf("one level, c %g, upper", c), float64(st.Slabs[7].Load)-1, (1+c)/(2+c), 1e-6)
		near(t, fmt.Sprintf("one level, c %g, lower", c), float64(st.Slabs[6].Load)-1, 1/(2+c), 1e-6)
		tr = run(t, Uniform(9, 0, 0, quantity.Ratio(c)), cycle(1, 2, ShoresFirst, false), resnug)
		st = tr.Steps[firstPlace(tr, 9)]
		near(t, fmt.Sprintf("two levels, c %g, top", c), float64(st.Slabs[7].Load)-1, (1+3*c+c*c)/((1+c)*(3+c)), 1e-6)
		near(t, fmt.Sprintf("two levels, c %g, middle", c), float64(st.Slabs[6].Load)-1, 1/(3+c), 1e-6)
		near(t, fmt.Sprintf("two levels, c %g, bottom", c), float64(st.Slabs[5].Load)-1, 1/((1+c)*(3+c)), 1e-6)
		near(t, fmt.Sprintf("two levels, c %g, upper props", c), float64(st.Props[7].Force), 1/(3+c)+1/((1+c)*(3+c)), 1e-6)
	}
}

// Elastic props, worked apart from this program by a linear solution of the
// same springs.
func TestElasticSteps(t *testing.T) {
	rows := []string{
		"Place level 1 | 0.000; 1.000S",
		"Place level 2 | 0.200; 1.800S | 0.000; 1.000S",
		"Place level 3 | 0.338; 2.352S | 0.310; 1.690S | 0.000; 1.000S",
		"Remove shores under 1 | 1.387; - | 1.034; 0.387S | 0.579; 0.421S",
		"Place level 4 | 1.633; - | 1.342; 0.633S | 1.025; 0.975S | 0.000; 1.000S",
		"Remove shores under 2 | 1.000; - | 1.624; - | 1.220; 0.624S | 0.156; 0.844S",
		"Place level 5 | 1.000; - | 1.870; - | 1.528; 0.870S | 0.602; 1.398S | 0.000; 1.000S",
		"Remove shores under 3 | 1.000; - | 1.000; - | 1.916; - | 0.870; 0.916S | 0.214; 0.786S",
		"Place level 6 | 1.000; - | 1.000; - | 2.162; - | 1.178; 1.162S | 0.660; 1.340S | 0.000; 1.000S",
	}
	tr := run(t, Uniform(9, 0, 0, 0.25), cycle(3, 0, ShoresFirst, false), resnug)
	for k, row := range rows {
		cells := strings.Split(row, " | ")
		kind, id := operation(t, cells[0])
		if st := tr.Steps[k]; st.Kind != kind || st.Slab != id {
			t.Fatalf("row %d is %s", k+1, st.Name())
		}
		for i, c := range cells[1:] {
			cell(t, fmt.Sprintf("%s, level %d", cells[0], i+1), c, tr.Steps[k].Slabs[i], tr.Steps[k].Props[i], 0.00051)
		}
	}
	for c, want := range map[float64]float64{0: 3, 0.1: 2.672, 0.25: 2.352, 0.5: 2.030, 1: 1.7, 4.0 / 3: 1.576} {
		tr := run(t, Uniform(9, 0, 0, quantity.Ratio(c)), cycle(3, 0, ShoresFirst, false), resnug)
		near(t, fmt.Sprintf("shores on the ground, c %.3f", c), tr.Peaks().Shore.Of, want, 6e-4)
	}
}

// Slabs that gain stiffness: peak and converged load at placing, worked apart.
func TestAgeDependentStiffness(t *testing.T) {
	ec2 := func(p float64) Gain {
		return func(age quantity.Duration) Stiffness {
			return Stiffness(math.Exp(p * 0.25 * (1 - math.Sqrt(28/float64(age/day)))))
		}
	}
	aci := func(age quantity.Duration) Stiffness {
		d := float64(age / day)
		return Stiffness(math.Sqrt(d / (4 + 0.85*d)))
	}
	for _, w := range []struct {
		m, r    int
		c       quantity.Ratio
		law     string
		gain    Gain
		peak, z float64 // z: converged, 0 where the source gives one figure
	}{
		{2, 0, 0, "EC2", ec2(0.3), 2.248, 2.018}, {2, 0, 0, "MC2010", ec2(0.5), 2.248, 2.030}, {2, 0, 0, "ACI", aci, 2.248, 2.048},
		{2, 0, 0.25, "EC2", ec2(0.3), 2.166, 2.016},
		{3, 0, 0, "EC2", ec2(0.3), 2.363, 2.025}, {3, 0, 0, "MC2010", ec2(0.5), 2.359, 2.042}, {3, 0, 0, "ACI", aci, 2.354, 2.064},
		{3, 0, 0.25, "EC2", ec2(0.3), 2.176, 2.022},
		{1, 1, 0, "EC2", ec2(0.3), 1.511, 0}, {1, 1, 0, "MC2010", ec2(0.5), 1.518, 0}, {1, 1, 0, "ACI", aci, 1.528, 0}, {1, 1, 0.25, "EC2", ec2(0.3), 1.543, 0},
		{1, 2, 0, "EC2", ec2(0.3), 1.346, 1.345}, {1, 2, 0, "MC2010", ec2(0.5), 1.354, 1.352}, {1, 2, 0, "ACI", aci, 1.365, 1.362}, {1, 2, 0.25, "EC2", ec2(0.3), 1.431, 0},
		{1, 3, 0, "EC2", ec2(0.3), 1.262, 1.261}, {1, 3, 0, "MC2010", ec2(0.5), 1.270, 1.268}, {1, 3, 0, "ACI", aci, 1.280, 1.276}, {1, 3, 0.25, "EC2", ec2(0.3), 1.395, 0},
		{2, 0, 0.25, "const", Constant(1), 2.158, 2}, {2, 0, 1, "const", Constant(1), 2.056, 2}, {2, 0, 4.0 / 3, "const", Constant(1), 2.039, 2},
		{3, 0, 0.25, "const", Constant(1), 2.162, 2}, {3, 0, 1, "const", Constant(1), 2.031, 2}, {3, 0, 4.0 / 3, "const", Constant(1), 2.018, 2},
		{1, 1, 0.25, "const", Constant(1), 1.556, 0}, {1, 1, 1, "const", Constant(1), 1.667, 0}, {1, 1, 4.0 / 3, "const", Constant(1), 1.7, 0},
		{1, 2, 0.25, "const", Constant(1), 1.446, 0}, {1, 2, 1, "const", Constant(1), 1.625, 0}, {1, 2, 4.0 / 3, "const", Constant(1), 1.670, 0},
		{1, 3, 0.25, "const", Constant(1), 1.410, 0}, {1, 3, 1, "const", Constant(1), 1.619, 0}, {1, 3, 4.0 / 3, "const", Constant(1), 1.667, 0},
	} {
		s := Uniform(40, 0, 0, w.c)
		for i := range s.Slabs {
			s.Slabs[i].Stiffness = w.gain
		}
		tr := run(t, s, cycle(w.m, w.r, ShoresFirst, false), resnug)
		name := fmt.Sprintf("%d+%d c %.2f %s", w.m, w.r, float64(w.c), w.law)
		near(t, name+" peak", tr.Peaks().Slab.Of, w.peak, 2e-3)
		if w.z > 0 {
			near(t, name+" converged", placing(tr, 40), w.z, 2e-3)
		}
	}
}

// What cannot be built is refused, and the message says what and where.
func TestBadInput(t *testing.T) {
	ops := func(list ...Operation) []Operation {
		for i := range list {
			if list[i].At == 0 {
				list[i].At = quantity.Duration(i+1) * day
			}
		}
		return list
	}
	for _, w := range []struct {
		name string
		edit func(*Stack)
		ops  []Operation
		want string
	}{
		{"stripped at once", nil, []Operation{{Kind: Place, Slab: "level 1"}, {Kind: Strip, Slab: "level 1"}}, "operation 2, Remove shores under level 1: slab level 1 would be left without support"},
		{"twice", nil, ops(Operation{Kind: Place, Slab: "level 1"}, Operation{Kind: Place, Slab: "level 1"}), "placed already"},
		{"not placed", nil, ops(Operation{Kind: Strip, Slab: "level 1"}), "not placed yet"},
		{"no shores", nil, ops(Operation{Kind: Place, Slab: "level 1"}, Operation{Kind: Strip, Slab: "level 1"}, Operation{Kind: Strip, Slab: "level 1"}), "no shores under it"},
		{"shores there", nil, ops(Operation{Kind: Place, Slab: "level 1"}, Operation{Kind: Reshore, Slab: "level 1"}), "shores under it already"},
		{"no reshores", nil, ops(Operation{Kind: Place, Slab: "level 1"}, Operation{Kind: RemoveReshores, Slab: "level 1"}), "no reshores under it"},
		{"back in time", nil, []Operation{{Kind: Place, Slab: "level 1", At: 48}, {Kind: Place, Slab: "level 2", At: 24}}, "order of time"},
		{"through props", nil, ops(Operation{Kind: Place, Slab: "level 2"}, Operation{Kind: Place, Slab: "level 1"}), "props under level 2 stand through it"},
		{"no weight", func(s *Stack) { s.Slabs[1].Weight = 0 }, nil, "slab level 2 has weight 0"},
		{"not a number", func(s *Stack) { s.Slabs[1].Forms = quantity.Stress(math.NaN()) }, nil, "slab level 2 has forms"},
		{"order", func(s *Stack) { s.Slabs[1].Top = 1 }, nil, "not above slab level 1"},
		{"twice the name", func(s *Stack) { s.Slabs[1].ID = "level 1" }, nil, "there twice"},
		{"props", func(s *Stack) { s.Slabs[1].Shores = 0 }, nil, "Rigid"},
		{"ground", func(s *Stack) { s.Ground = -1 }, nil, "ground"},
		{"stiffness", func(s *Stack) { s.Slabs[0].Stiffness = nil }, nil, "no stiffness"},
		{"stiffness below zero", func(s *Stack) { s.Slabs[0].Stiffness = Constant(-1) }, ops(Operation{Kind: Place, Slab: "level 1"}, Operation{Kind: Strip, Slab: "level 1"}), "stiffness -1"},
	} {
		s := Uniform(3, 0, 0, 0)
		if w.edit != nil {
			w.edit(s)
		}
		_, err := s.Trace(w.ops, Rules{})
		if err == nil || !regexp.MustCompile(regexp.QuoteMeta(w.want)).MatchString(err.Error()) {
			t.Errorf("%s: %v, want %q", w.name, err, w.want)
		}
	}
	for _, c := range []Cycle{{}, {Shores: 1, Reshores: -1, Every: 7, StripAfter: 5}, {Shores: 1, Every: 5, StripAfter: 7}, {Shores: 1, Every: 7, StripAfter: 5, Order: 9}} {
		if _, err := c.Standard([]string{"a"}); err == nil {
			t.Errorf("%+v is taken", c)
		}
	}
}

// Unequal slabs: a load w on the upper of two slabs propped by k puts w/(1 + K1/K2 +
// K1/k) into the props, by equilibrium and compatibility. Ground of stiffness g under
// rigid props takes w g/(K + g).
func TestUnequalSlabsAndSoftGround(t *testing.T) {
	s := Uniform(3, 0, 0, 0)
	k1, k2, k := Stiffness(3), Stiffness(0.7), Stiffness(2.2)
	s.Slabs[0].Stiffness, s.Slabs[1].Stiffness, s.Slabs[1].Reshores = Constant(k2), Constant(k1), k
	s.Slabs[2].Weight = 2.5
	tr := run(t, s, cycle(1, 1, ShoresFirst, false), resnug)
	st := tr.Steps[firstPlace(tr, 3)]
	want := 2.5 / (1 + float64(k1/k2) + float64(k1/k))
	near(t, "props between unequal slabs", float64(st.Props[1].Force), want, 1e-9)
	near(t, "upper slab", float64(st.Slabs[1].Load), 1+2.5-want, 1e-9)
	near(t, "lower slab", float64(st.Slabs[0].Load), 1+want, 1e-9)

	soft := Uniform(2, 0, 0, 0)
	soft.Ground = 4
	tr = run(t, soft, cycle(2, 0, ShoresFirst, false), resnug)
	near(t, "slab over soft ground", float64(tr.Steps[1].Slabs[0].Load), 1.0/5, 1e-9)
	near(t, "props on soft ground", float64(tr.Steps[1].Props[0].Force), 2-1.0/5, 1e-9)
}

// Steps with slabs that gain stiffness by EN 1992-1-1 (β_cc^0.3, s = 0.25), a 7-day
// cycle, stripping 5 days after each placing; worked apart by a linear solution.
func TestAgeDependentSteps(t *testing.T) {
	law := func(p float64) Gain {
		return func(age quantity.Duration) Stiffness {
			return Stiffness(math.Exp(p * 0.25 * (1 - math.Sqrt(28/float64(age/day)))))
		}
	}
	grown := func(levels int, c quantity.Ratio, g Gain) *Stack {
		s := Uniform(levels, 0, 0, c)
		for i := range s.Slabs {
			s.Slabs[i].Stiffness = g
		}
		return s
	}
	loads := func(st Step) (out []float64) {
		for _, s := range st.Slabs {
			out = append(out, float64(s.Load))
		}
		return out
	}
	tr := run(t, grown(9, 0, law(0.3)), cycle(3, 0, ShoresFirst, false), resnug)
	for _, w := range []struct {
		step, from int
		want       []float64
	}{
		{firstPlace(tr, 4) - 1, 0, []float64{1.037, 1.013, 0.951}}, {firstPlace(tr, 4), 0, []float64{1.379, 1.348, 1.272}},
		{firstPlace(tr, 5), 1, []float64{1.822, 1.736, 0.442}}, {firstPlace(tr, 6), 2, []float64{2.363, 1.055, 0.582}},
	} {
		st := tr.Steps[w.step]
		for i, v := range w.want {
			near(t, fmt.Sprintf("3+0 rigid, %s, level %d", st.Name(), w.from+i+1), loads(st)[w.from+i], v, 6e-4)
		}
	}
	six := tr.Steps[firstPlace(tr, 6)]
	for i, v := range []float64{1.363, 1.418, 1.000} {
		near(t, fmt.Sprintf("3+0 rigid, shores under level %d", i+4), float64(six.Props[i+3].Force), v, 6e-4)
	}
	tr = run(t, grown(40, 0.25, law(0.3)), cycle(1, 2, ShoresFirst, false), resnug)
	four := tr.Steps[firstPlace(tr, 4)]
	for i, v := range []float64{1.257, 1.311, 1.431, 0} {
		near(t, fmt.Sprintf("1+2, placing level 4, level %d", i+1), loads(four)[i], v, 6e-4)
	}
	near(t, "1+2, reshores under level 2", float64(four.Props[1].Force), 0.257, 6e-4)
	near(t, "1+2, reshores under level 3", float64(four.Props[2].Force), 0.569, 6e-4)
	last := tr.Steps[firstPlace(tr, 40)]
	for i, v := range []float64{1.431, 1.309, 1.259} {
		near(t, fmt.Sprintf("1+2 converged, slab %d from the top", i+1), loads(last)[38-i], v, 2e-3)
	}
	// Shares of one load on slabs of 7, 14 and 21 days, by fib MC2010 (β_cc^0.5).
	tr = run(t, grown(9, 0.25, law(0.5)), cycle(1, 2, ShoresFirst, false), resnug)
	nine, before := tr.Steps[firstPlace(tr, 9)], tr.Steps[firstPlace(tr, 9)-1]
	for i, v := range []float64{0.4215, 0.3162, 0.2623} {
		near(t, fmt.Sprintf("shares by age, slab %d from the top", i+1), loads(nine)[7-i]-loads(before)[7-i], v, 1e-4)
	}
}
