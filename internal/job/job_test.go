package job

import (
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// Sizes of units: SI definitions, as in package quantity's tests.
const (
	in = 0.0254
	ft = 0.3048
	lb = 0.45359237 * 9.80665
)

func load(t *testing.T, name string) *Job {
	t.Helper()
	j, err := Load("testdata/"+name, standard)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// standard is catalog.Load with the embedded catalogue read once.
func standard(userFile string) (*catalog.Catalog, error) {
	if userFile != "" {
		return catalog.Load(userFile)
	}
	return embedded()
}

var embedded = sync.OnceValues(func() (*catalog.Catalog, error) { return catalog.Load("") })

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-9*max(1, math.Abs(b)) }

// What the file says is what the job holds: expected values are read off
// testdata/kestrel-us.yaml.
func TestLoadUS(t *testing.T) {
	j := load(t, "kestrel-us.yaml")
	l2, l3 := j.Levels[0], j.Levels[1]
	a := l2.Pours[0]
	for what, ok := range map[string]bool{
		"name":            j.Name == "Kestrel Yard, block C",
		"basis":           j.Basis == rules.US && j.Settings.Basis == rules.US,
		"style":           j.Style == quantity.US,
		"system":          j.System == "timber-beam",
		"concrete":        near(float64(j.Concrete.Strength), 5000*lb/(in*in)) && near(float64(j.Concrete.Weight), 150*lb/(ft*ft*ft)) && j.Concrete.Cement == "I",
		"concrete weight": j.Settings.ConcreteWeight == j.Concrete.Weight,
		"grid":            len(j.Grid.X) == 3 && j.Grid.X[1].Name == "B" && near(float64(j.Grid.X[1].At), 24*ft) && j.Grid.Y[1].Name == "2",
		"top of L2":       near(float64(l2.Top), 12*ft),
		"base of L2":      l2.Base == Base{},
		"top of L3":       near(float64(l3.Top), 23*ft+6.5*in),
		"base of L3":      l3.Base.Level == "L2" && near(float64(l3.Base.Z), 12*ft),
		"outline":         len(a.Slab.Outline) == 4 && near(float64(a.Slab.Outline[2].X), 48*ft) && near(float64(a.Slab.Outline[2].Y), 20*ft),
		"thickness":       near(float64(a.Slab.Thickness), 8*in),
		"opening":         len(a.Slab.Openings) == 1 && near(float64(a.Slab.Openings[0][1].X), 14*ft),
		"drop":            len(a.Drops) == 1 && near(float64(a.Drops[0].Thickness), 14*in),
		"beam":            len(a.Beams) == 1 && near(float64(a.Beams[0].Depth), 24*in) && near(float64(a.Beams[0].To.X), 48*ft),
		"edge":            len(a.Edges) == 1 && a.Edges[0].Kind == "free" && near(float64(a.Edges[0].To.X), 48*ft),
		"date":            a.Date == "2027-03-02",
		"columns":         len(l2.Columns) == 2 && near(float64(l2.Columns[0].Size[1]), 20*in) && near(float64(l2.Columns[1].Round), 24*in),
		"walls":           len(l2.Walls) == 1 && near(float64(l2.Walls[0].Thickness), 10*in),
		"thickness 9 1/2": near(float64(l3.Pours[1].Slab.Thickness), 9.5*in),
		"crew":            j.Crew == Crew{6, 3, 8},
		"stock":           len(j.Stock) == 2 && j.Stock["prop-e35"] == 400 && j.Stock["beam-16ft"] == 220,
		"floors":          j.Floors == Floors{"5 days", "1", "find"},
		"pins":            len(j.Pins) == 2 && near(float64(j.Pins[0].Angle), math.Pi/2) && len(j.Pins[1].Area) == 4,
		"rules":           near(float64(j.Settings.LiveLoad), 75*lb/(ft*ft)) && j.Settings.MotorCarts && j.Settings.DeflectionMaxBeam == 0 && near(float64(j.Settings.DeflectionMaxSheet), in/16) && j.Settings.LoadDuration == 1.25,
		"deck":            near(float64(j.Deck.Strip), 2.5*ft) && j.Deck.Objective == "pieces" && near(float64(j.Deck.TieLoad), 2500*lb),
		"rates":           j.Rates.Wage == 62 && near(float64(j.Rates.PieceTime), 1.5/60) && near(float64(j.Rates.KiloTime), 0.03/60) && j.Rates.Hire["prop-e35"] == 0.4,
	} {
		if !ok {
			t.Errorf("%s is not what the file says", what)
		}
	}
}

func TestLoadEU(t *testing.T) {
	j := load(t, "strand-eu.yaml")
	l1, l2 := j.Levels[0], j.Levels[1]
	for what, ok := range map[string]bool{
		"style":  j.Style == quantity.Metric,
		"top":    near(float64(l1.Top), 2.98),
		"base":   near(float64(l1.Base.Z), -0.25) && l1.Base.Level == "",
		"level":  l2.Base.Level == "1" && near(float64(l2.Base.Z), 2.98),
		"turn":   near(float64(l1.Columns[0].Turn), math.Pi/6),
		"slope":  len(l1.Pours[0].Slab.Outline) == 5,
		"class":  !j.Settings.ClassB2 && j.Settings.ServiceClass == 2,
		"ground": near(float64(j.Settings.GroundBearing), 100e3),
		"deck":   near(float64(j.Deck.Strip), 0.6) && near(float64(j.Deck.HoleMax), 1.2),
		"weight": j.Concrete.Weight == rules.Defaults(rules.EU).ConcreteWeight,
	} {
		if !ok {
			t.Errorf("%s is not what the file says", what)
		}
	}
}

// Every default is listed with its value in the job's units; nothing that the
// file says is listed.
func TestAssumed(t *testing.T) {
	us, eu := load(t, "kestrel-us.yaml"), load(t, "strand-eu.yaml")
	value := func(j *Job, key string) string {
		for _, a := range j.Assumed {
			if a.Key == key {
				if a.Reason == "" {
					t.Errorf("%s is assumed without a reason", key)
				}
				return a.Value
			}
		}
		return ""
	}
	for key, want := range map[string]string{ // defaults of the job's deck settings and of rules.Defaults
		"deck.lap_min": `1'-0"`, "deck.tie_load": "2500 lb", "deck.kicker_pitch": `2'-0"`, "rules.deflection": "L/360",
		"rules.wet": "true", "rates.grade_time": "6 min", "rates.cut": "4 min",
		"deck.strip": "", "rules.live": "", "rules.load_duration": "", "concrete.weight": "", "rules.deflection_max.sheet": "", "rates.wage": "",
		"rules.class": "", "rules.service_class": "", // of the other basis
	} {
		if got := value(us, key); got != want {
			t.Errorf("us: %s assumed as %q, want %q", key, got, want)
		}
	}
	for key, want := range map[string]string{
		"deck.lap_min": "300 mm", "deck.tie_load": "10.00 kN", "deck.one_man_lift": "25.0 kg", "rules.live": "0.75 kN/m2",
		"rates.hire": "none", "edges of pour 1-West": "free unless a wall lies there",
		"concrete.weight": "26.00 kN/m3", "rates.kilo_time": "0.02 min/kg", "rates.wage": "45 money units per hour",
		"rules.class": "", "rules.wet": "", "rules.prop_divisor": "",
	} {
		if got := value(eu, key); got != want {
			t.Errorf("eu: %s assumed as %q, want %q", key, got, want)
		}
	}
}

// mistake is one that a person must be told: the line, the text that its column
// points at, and words that the message must hold, written from the file.
type mistake struct {
	line  int
	at    string
	words []string
}

var wrongs = []mistake{
	{5, `timber-beems`, []string{"no system", `did you mean "timber-beam"`}},
	{6, `5000 pcf`, []string{"strength", `"pcf" is not a unit of stress`, "psi", "N/mm2"}},
	{6, `wieght`, []string{"not a key of the concrete", `did you mean "weight"`}},
	{7, `20}, y`, []string{"gridline C", `24'-0"`, "rising"}},
	{7, `A: 20`, []string{"gridline A is named twice"}},
	{16, `0 in`, []string{"thickness", "more than 0"}},
	{18, `[[60, 8]`, []string{"opening 1 lies outside the slab"}},
	{19, `[[10, 8]`, []string{"opening 2 runs clockwise", "[[10, 8], [14, 8], [14, 12], [10, 12]]"}},
	{20, `[[12, 10]`, []string{"opening 3 overlaps opening 2", "4.0 ft2"}},  // (14-12) x (12-10)
	{21, `[[46, 2]`, []string{"opening 4 runs out of the slab", "2.0 ft2"}}, // (49-48) x (4-2)
	{23, `[0, 5, 48, 5]`, []string{`(0", 5'-0")`, "not lie on the slab's edge"}},
	{24, `open`, []string{`"open"`, "free, wall or joint"}},
	{25, `03/02/2027`, []string{"date", "year-month-day"}},
	{27, `[60, 0]`, []string{"crosses or touches itself", "corner 1", "corner 3"}},
	{28, `L2-A`, []string{`pour named "L2-A" is already there`}},
	{29, `[70, 0]], t`, []string{"corner 5", "corner 1", "closes by itself"}},
	{29, `12 ft`, []string{"thickness", "out of range"}},
	{31, `[[40, 10]`, []string{"pour L2-D overlaps pour L2-A", "80.0 ft2"}}, // (48-40) x (20-10)
	{32, `[[50, 25]`, []string{"drop runs out of the slab", "75.0 ft2"}},    // 100 less (55-50) x (30-25)
	{32, `6 in`, []string{"drop is 6\" deep", "not deeper than the slab's 8\""}},
	{33, `[90, 20]`, []string{"beam ends outside the slab"}},
	{33, `24}`, []string{"depth", `24'-0"`, "out of range"}},
	{35, `[[100, 0]`, []string{"2 items", "at least three corners"}},
	{35, `8 stone`, []string{`"stone" is not a unit of length`}},
	{36, `{at: [5, 5]}`, []string{"column 1 has no size", "round"}},
	{36, `two feet`, []string{"round", "does not begin with a number"}},
	{37, `[0, 0], thick`, []string{"wall has no length"}},
	{39, `11 ft`, []string{"top of level L3", `12'-0"`, "lowest up"}},
	{40, `L4`, []string{"level L3 cannot stand on level L4"}},
	{43, `[[0, 0]`, []string{"outline runs clockwise", "[[0, 0], [48, 0], [48, 20], [0, 20]]"}},
	{43, `thickness: 9 in`, []string{"a second time"}},
	{44, `[24, 100]`, []string{"column 1", "outside every slab"}}, // column 2 is partly inside: fine
	{45, `[0, 30]`, []string{"wall", "outside every slab"}},
	{46, `name: L4`, []string{`level L4 has no "top"`}},
	{48, `L4-A`, []string{"pours", "a list of pours"}},
	{51, `29.5 ft`, []string{"props of level L5", "not below the soffit of pour L5-A", `29'-4"`}}, // 30 ft - 8 in
	{54, `[48, 20, 1]`, []string{"item 3 has 3 items", "a point [x, y]"}},
	{54, `twenty`, []string{"does not begin with a number"}},
	{57, `class`, []string{"basis eu only"}},
	{57, `360`, []string{"L/"}},
	{57, `20 psf`, []string{"live load", "below the least"}},
	{57, `yes`, []string{"true or false"}},
	{58, `600`, []string{"strip", `600'-0"`, "out of range"}},
	{58, `2500`, []string{"tie_load", "unit is missing", "kip"}},
	{59, `prop-e53`, []string{"no part", `did you mean "prop-e35"`}},
	{59, `many`, []string{"not a whole number"}},
	{60, `5}`, []string{"cycle", "unit is missing", "days"}},
	{61, `L2-Z`, []string{`no pour "L2-Z"`}},
	{61, `{pour`, []string{`a pin of kind keep has no "at"`}},
	{62, `{carp`, []string{"nobody"}},
	{63, `colour`, []string{"not a key of the job"}},
}

// A wrong file gives exactly one message a mistake, each at its place.
func TestEveryMistake(t *testing.T) {
	data, err := os.ReadFile("testdata/wrong.yaml")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(data), "\n")
	_, err = Parse("wrong.yaml", data, standard)
	var got Problems
	if !errors.As(err, &got) {
		t.Fatalf("want Problems, got %v", err)
	}
	if !slices.IsSortedFunc(got, func(a, b Problem) int {
		return (a.Line-b.Line)*1000 + a.Column - b.Column
	}) {
		t.Error("the mistakes are not in the order of their places")
	}
	left := slices.Clone(got)
	for _, w := range wrongs {
		column := strings.Index(lines[w.line-1], w.at) + 1
		if column == 0 {
			t.Fatalf("line %d has no %q", w.line, w.at)
		}
		i := slices.IndexFunc(left, func(p Problem) bool {
			text := p.Error()
			return p.Line == w.line && p.Column == column && !slices.ContainsFunc(w.words, func(s string) bool { return !strings.Contains(text, s) })
		})
		if i < 0 {
			t.Errorf("%d:%d: nobody is told %q", w.line, column, w.words)
			continue
		}
		p := left[i]
		if want := fmt.Sprintf("wrong.yaml:%d:%d: %s; %s", p.Line, p.Column, p.Message, p.Fix); p.Error() != want || p.Fix == "" {
			t.Errorf("message is %q, want file:line:column: what is wrong; what would be right", p.Error())
		}
		left = slices.Delete(left, i, i+1)
	}
	for _, p := range left {
		t.Errorf("unexpected: %v", p)
	}
}

// One change of a right file gives one message, and no consequences.
func TestSingleMistakes(t *testing.T) {
	us, err := os.ReadFile("testdata/kestrel-us.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ old, new, says string }{
		{"lengths: ft", "lengths: yd", "ft, in, m or mm"},
		{"lengths: ft\n", "", `has no "lengths"`},
		{"basis: us", "basis: uk", "us or eu"},
		{"basis: us\n", "", `has no "basis"`},
		{"top: 12 ft", "top: [12 ft]", "top is a list"},
		{"top: 12 ft", "top:", "top has no value"},
		{"top: 12 ft", "top: 12 kN", `"kN" is not a unit of length`},
		{"base: L2", "base: L1", `did you mean "L2"`},
		{"base: L2", "base: L3", "not below it"},
		{"base: L2", "base: 23 ft", "not below the soffit"},
		{"name: L3\n", "name: L2\n", `a level named "L2" is already there`},
		{"name: L2\n", "name: 12\n", `neither the name of a level`},
		{"thickness: 8 in,", "thickness: -8 in,", "out of range"},
		{"thickness: 8 in,", "thickness: 11 ft,", "out of range"},
		{"thickness: 14 in", "thickness: 8 in", "not deeper than the slab"},
		{"[28, 14], [20, 14]]", "[20, 14], [28, 14]]", "crosses or touches itself"},
		{"[48, 20], [0, 20]], thick", "[48, 20], [24, 0], [0, 20]], thick", "crosses or touches itself"},  // touches
		{"[48, 20], [0, 20]], thick", "[48, 20], [60, 20], [0, 20]], thick", "crosses or touches itself"}, // folds back
		{"size: [20 in, 20 in]}", "size: [20 in, 20 in], round: 2}", "both a size and a diameter"},
		{"size: [20 in, 20 in]}", "size: [20 in]}", "two sizes"},
		{"at: [40, 10]", "at: [24.2, 10]", "column 2 stands in column 1"},
		{"at: [40, 10]", "at: [400, 10]", "outside every slab"},
		{"to: [48, 19.3333], width", "to: [0, 19.3333], width", "beam has no length"},
		{"on: [0, 0, 48, 0]", "on: [0, 0, 50, 0]", "not lie on the slab's edge"},
		{"on: [0, 0, 48, 0]", "on: [0, 0, 0, 0]", "edge has no length"},
		{"2027-03-02", "2027-02-30", "not a date"},
		{"[[0, 0], [24, 0], [24, 20], [0, 20]]", "[[0, 0], [25, 0], [25, 20], [0, 20]]", "pour L3-B overlaps pour L3-A by 20.0 ft2"},
		{"live: 75 psf", "live: 75 lb", `"lb" is not a unit of stress`},
		{"load_duration: 1.25", "load_duration: 1.6", "out of range"},
		{"objective: pieces", "objective: peices", "did you mean pieces"},
		{"hire: {prop-e35", "hire: {prop-x35", "no part"},
		{"kind: joists, angle: 90 deg", "kind: joists", `has no "angle"`},
		{"angle: 90 deg", "angle: 90", "unit is missing"},
		{"reshores: find", "reshores: some", "or find"},
		{"hours: 8", "hours: 8 h", "not a plain number"},
		{"job: Kestrel", "job: &k Kestrel", "not read in a job; write the value out in full"},
		{"pins:", "pins: [", "not readable as YAML"},
		{"deck: {", "deck: {catalog: x, ", "not a key of the deck"},
		{"system: timber-beam", "system: timber-beam\ncatalog: nowhere.yaml", "catalogue cannot be used"},
	} {
		if strings.Count(string(us), c.old) < 1 {
			t.Fatalf("the right file has no %q", c.old)
		}
		_, err := Parse("job.yaml", []byte(strings.Replace(string(us), c.old, c.new, 1)), standard)
		var p Problems
		if !errors.As(err, &p) || len(p) != 1 || !strings.Contains(p[0].Error(), c.says) {
			t.Errorf("%q for %q: want one message with %q, got\n%v", c.new, c.old, c.says, err)
		}
	}
}

// Shapes that look odd and are right.
func TestFine(t *testing.T) {
	us, err := os.ReadFile("testdata/kestrel-us.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ old, new string }{
		{"at: [24, 10]", "at: [48.8, 10]"},                                                                                               // column touches the slab's edge from outside
		{"[[10, 8], [14, 8], [14, 12], [10, 12]]", "[[0, 8], [4, 8], [4, 12], [0, 12]]"},                                                 // opening on the edge
		{"[[[10, 8], [14, 8], [14, 12], [10, 12]]]", "[[[10, 8], [14, 8], [14, 12], [10, 12]], [[14, 8], [18, 8], [18, 12], [14, 12]]]"}, // openings side by side
		{"on: [0, 0, 48, 0]", "on: [10, 8, 14, 8]"},                                                                                      // edge of an opening
		{"on: [0, 0, 48, 0]", "on: [12 ft, 0 in, 24 ft, 0 mm]"},                                                                          // part of an edge, in other units
		{"thickness: 8 in,", "thickness: 203.2 mm,"},
		{"base: L2", `base: "L2"`},
		{"base: L2", "base: 12.2 ft"},
		{"name: L2\n", "name: \"2\"\n"},
	} {
		text := strings.Replace(string(us), c.old, c.new, 1)
		if strings.Contains(c.new, `"2"`) {
			text = strings.Replace(text, "base: L2", `base: "2"`, 1)
		}
		if _, err := Parse("job.yaml", []byte(text), standard); err != nil {
			t.Errorf("%q is refused: %v", c.new, err)
		}
	}
}

// A pour may fill the opening of another pour.
func TestPourInOpening(t *testing.T) {
	us, err := os.ReadFile("testdata/kestrel-us.yaml")
	if err != nil {
		t.Fatal(err)
	}
	core := "    pours:\n      - name: core\n        slab: {outline: [[10, 8], [14, 8], [14, 12], [10, 12]], thickness: 8 in}\n"
	text := strings.Replace(string(us), "    pours:\n", core, 1)
	if _, err := Parse("job.yaml", []byte(text), nil); err != nil {
		t.Error(err)
	}
}

// A bare number that could be a level or a height is not guessed.
func TestAmbiguousBase(t *testing.T) {
	data, err := os.ReadFile("testdata/strand-eu.yaml")
	if err != nil {
		t.Fatal(err)
	}
	_, err = Parse("job.yaml", []byte(strings.Replace(string(data), `base: "1"`, "base: 1", 1)), nil)
	if err == nil || !strings.Contains(err.Error(), `write "1" in quotes`) {
		t.Errorf("got %v", err)
	}
}

func TestLoadMissingFile(t *testing.T) {
	if _, err := Load("testdata/nothing.yaml", nil); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("got %v", err)
	}
}

// The user's own catalogue lies beside the job; mistakes in it name its file.
func TestOwnCatalogue(t *testing.T) {
	data, err := os.ReadFile("testdata/strand-eu.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Replace(string(data), "lengths: m", "lengths: m\ncatalog: gear/own.yaml", 1)
	var asked string
	open := func(path string) (*catalog.Catalog, error) {
		asked = path
		return nil, catalog.Problems{{File: path, Line: 3, Column: 4, Message: "broken"}}
	}
	_, err = Parse("yard/job.yaml", []byte(text), open)
	if asked != "yard/gear/own.yaml" {
		t.Errorf("asked for %q", asked)
	}
	if err == nil || err.Error() != "yard/gear/own.yaml:3:4: broken" {
		t.Errorf("got %v", err)
	}
}

// Files that are no job at all are refused with a message; package yamlfile has the hostile ones.
func TestBroken(t *testing.T) {
	for name, text := range map[string]string{
		"empty": "", "comment": "# nothing\n", "list": "- a\n", "word": "job", "null": "~",
		"two": "job: a\n---\njob: b\n", "key": "? [a, b]\n: c\n", "keys": "{[a]: b}: c\n",
		"alias": "a: &x [1]\nb: *x\n", "tag": "job: !!binary aGk=\n", "merge": "job: a\n<<: {b: c}\n", "bytes": "job: \xff\xfe\x00\n",
		"root": "&x job: a\n", "steps": strings.Repeat("a:\n ", 300),
	} {
		_, err := Parse("x.yaml", []byte(text), nil)
		var p Problems
		if !errors.As(err, &p) || len(p) == 0 {
			t.Errorf("%s: want Problems, got %v", name, err)
		}
		for _, x := range p {
			if x.Line < 1 || x.Column < 1 || x.Message == "" || x.File != "x.yaml" {
				t.Errorf("%s: message without its place: %#v", name, x)
			}
		}
	}
}

func TestNearest(t *testing.T) {
	keys := []string{"thickness", "outline", "openings"}
	for word, want := range map[string]string{
		"thicknes": "thickness", "thikness": "thickness", "Outline": "outline", "outlien": "outline", "opening": "openings", "colour": "", "x": "",
	} {
		if got := nearest(word, keys); got != want {
			t.Errorf("%q: got %q, want %q", word, got, want)
		}
	}
}

// FuzzParse: any bytes give a job or problems with places, never a panic.
func FuzzParse(f *testing.F) {
	for _, name := range []string{"kestrel-us", "strand-eu", "wrong"} {
		data, err := os.ReadFile("testdata/" + name + ".yaml")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	for _, s := range []string{"", "job", "- a", "levels: [{pours: [{slab: {outline: [[0,0],[1,0],[1,1]]}}]}]", "lengths: mm\nbasis: eu\ngrid: {x: {1: 0}}", "a: *b", "? [a]\n: b"} {
		f.Add([]byte(s))
	}
	open := func(string) (*catalog.Catalog, error) { return embedded() }
	f.Fuzz(func(t *testing.T, data []byte) {
		j, err := Parse("f.yaml", data, open)
		var p Problems
		switch {
		case err == nil && j == nil:
			t.Error("neither a job nor an error")
		case err != nil && j != nil:
			t.Error("a job beside an error")
		case err != nil && (!errors.As(err, &p) || len(p) == 0):
			t.Errorf("not Problems: %v", err)
		}
		for _, x := range p {
			if x.Line < 1 || x.Column < 1 || x.Message == "" {
				t.Errorf("message without its place: %#v", x)
			}
		}
	})
}
