package job

import (
	"bytes"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

func schema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	text, err := Schema()
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("job.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("job.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func asJSON(t *testing.T, data []byte) any {
	t.Helper()
	text, err := yaml.YAMLToJSON(data)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// The schema takes right jobs and refuses unknown keys, missing keys and wrong kinds.
func TestSchema(t *testing.T) {
	s := schema(t)
	us, err := os.ReadFile("testdata/kestrel-us.yaml")
	if err != nil {
		t.Fatal(err)
	}
	eu, err := os.ReadFile("testdata/strand-eu.yaml")
	if err != nil {
		t.Fatal(err)
	}
	right := [][]byte{us, eu}
	for _, style := range []quantity.Style{quantity.Metric, quantity.US} {
		for _, basis := range []rules.Name{rules.US, rules.EU} {
			right = append(right, Template(style, basis))
		}
	}
	for _, data := range right {
		if err := s.Validate(asJSON(t, data)); err != nil {
			t.Errorf("the schema refuses a right job: %v\n%s", err, data)
		}
	}
	for _, c := range [][2]string{
		{"job: Kestrel", "colour: blue\njob: Kestrel"},
		{"thickness: 8 in,", "thicknes: 8 in,"},
		{"name: L2-A", "nom: L2-A"},
		{"basis: us", "basis: uk"},
		{"system: timber-beam\n", ""},
		{"motor_carts: true", "motor_carts: 1"},
		{"objective: pieces", "objective: peices"},
		{"at: [24, 10]", "at: [24, 10, 3]"},
		{"[[10, 8], [14, 8], [14, 12], [10, 12]]", "[[10, 8], [14, 8]]"},
		{"carpenters: 6", "carpenters: six"},
		{"wage: 62", "wage: 62 dollars"},
		{"date: 2027-03-02", "date: 3 March"},
		{"reshores: find", "reshores: some"},
	} {
		if !strings.Contains(string(us), c[0]) {
			t.Fatalf("the right file has no %q", c[0])
		}
		if err := s.Validate(asJSON(t, []byte(strings.Replace(string(us), c[0], c[1], 1)))); err == nil {
			t.Errorf("the schema takes %q for %q", c[1], c[0])
		}
	}
}

// The starter job is right as it stands, and what its comments call defaults
// are the defaults: switching them on changes nothing.
func TestTemplate(t *testing.T) {
	for _, style := range []quantity.Style{quantity.Metric, quantity.US} {
		for _, basis := range []rules.Name{rules.US, rules.EU} {
			name := fmt.Sprintf("style %d, basis %s", style, basis)
			text := Template(style, basis)
			if bytes.ContainsAny(text, "<>") {
				t.Errorf("%s: a figure was left out:\n%s", name, text)
			}
			j, err := Parse("new.yaml", text, standard)
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			if j.Style != style || j.Basis != basis {
				t.Errorf("%s: got style %d, basis %s", name, j.Style, j.Basis)
			}
			on := regexp.MustCompile(`(?m)^#(rules|deck|rates|floors|storeys|stock|pins|  )`).ReplaceAll(text, []byte("$1"))
			on = regexp.MustCompile(`(?m)^#( +)(drops|beams|date)`).ReplaceAll(on, []byte(" $1$2"))
			k, err := Parse("new.yaml", on, standard)
			if err != nil {
				t.Errorf("%s, comments switched on: %v", name, err)
				continue
			}
			for i, pair := range [][2]float64{
				{float64(j.Settings.LiveLoad), float64(k.Settings.LiveLoad)},
				{j.Settings.DeflectionSpan, k.Settings.DeflectionSpan},
				{float64(j.Settings.DeflectionMaxSheet), float64(k.Settings.DeflectionMaxSheet)},
				{float64(j.Settings.DeflectionMaxBeam), float64(k.Settings.DeflectionMaxBeam)},
				{j.Settings.LoadDuration, k.Settings.LoadDuration}, {j.Settings.PropDivisor, k.Settings.PropDivisor},
				{float64(j.Settings.ServiceClass), float64(k.Settings.ServiceClass)},
				{float64(j.Deck.Strip), float64(k.Deck.Strip)},
				{float64(j.Rates.Wage), float64(k.Rates.Wage)}, {float64(j.Rates.PieceTime), float64(k.Rates.PieceTime)}, {float64(j.Rates.GradeTime), float64(k.Rates.GradeTime)},
			} {
				if !near(pair[0], pair[1]) {
					t.Errorf("%s: figure %d in the comments is %v, the default is %v", name, i, pair[1], pair[0])
				}
			}
			if j.Settings.WetService != k.Settings.WetService || j.Settings.ClassB2 != k.Settings.ClassB2 || j.Deck.Objective != k.Deck.Objective {
				t.Errorf("%s: a choice in the comments is not the default", name)
			}
			if len(k.Assumed) >= len(j.Assumed) {
				t.Errorf("%s: the comments were not switched on", name)
			}
			if g := float64(k.Settings.GroundBearing / j.Settings.GroundBearing); g < 0.999 || g > 1 {
				t.Errorf("%s: ground in the comments is %v of the default", name, g)
			}
		}
	}
}

// Every key of the grammar says what it is, and the right files use most of them.
func TestGrammar(t *testing.T) {
	var keys []string
	var walk func(f form)
	walk = func(f form) {
		if f.want == "" {
			t.Errorf("a form after %v does not say what is wanted", keys)
		}
		for _, k := range f.keys {
			if k.doc == "" {
				t.Errorf("%s has no explanation", k.name)
			}
			if slices.Contains(keys, f.name+"."+k.name) {
				t.Errorf("%s.%s is there twice", f.name, k.name)
			}
			keys = append(keys, f.name+"."+k.name)
			walk(k.form)
		}
		if f.item != nil {
			walk(*f.item)
		}
	}
	walk(grammar)
	if len(keys) < 90 {
		t.Errorf("only %d keys", len(keys))
	}
}
