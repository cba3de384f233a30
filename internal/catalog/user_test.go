package catalog

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

// testdata/own.yaml: an invented contractor's gear beside and over the embedded catalogue.
func TestUserFile(t *testing.T) {
	c, err := Load(filepath.Join("testdata", "own.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	shore := part(t, c, "wood-shore-10ft6")
	if r := shore.Rated; !r.Load.Known || r.Load.V != 2800*quantity.Pound || r.Factor.V != 2.5 || r.Load.Evidence != calc.User || !strings.Contains(r.Load.Source, "sheet 7") {
		t.Errorf("rating %+v", r)
	}
	if shore.Shore.Longest.V != 10.5*quantity.Foot || shore.Shore.Longest.Evidence != calc.Memory {
		t.Errorf("a given rating changed the length to %+v", shore.Shore.Longest)
	}
	if part(t, c, "wood-shore-8ft").Rated.Load.Known {
		t.Error("the rating of one post went to another")
	}
	if n := part(t, c, "timber-4x4-8ft").NDS; n.Species != "Hem-Fir" || n.NominalB != 4 || n.Fcp.V != 405*quantity.PSI {
		t.Errorf("the changed family did not change its parts: %+v", n)
	}
	beam := part(t, c, "quay-8ft")
	if beam.FirstMark != 2*quantity.Foot || beam.MarksEvidence != calc.Practice {
		t.Errorf("marks at %v (%s)", beam.FirstMark, beam.MarksEvidence)
	}
	if b := beam.IBeam; b.Mk.V != 10e3 || b.Mk.Evidence != calc.User || !strings.Contains(b.Mk.Source, "own.yaml") {
		t.Errorf("moment %+v", b.Mk)
	}
	if got := part(t, c, "quay-400").Mass.V; got != 20 {
		t.Errorf("4 m at 5 kg/m weigh %v", got)
	}
	if s := c.Systems["timber-beam"]; !slices.Equal(s.Props, []string{"prop-e35"}) || len(s.Joists) < 5 || s.GradeHead != "drop-head" {
		t.Errorf("changed system %+v", s)
	}
	if kit, err := c.Kit("quay", "eu", quantity.US); err != nil || kit.Props[0] != "prop-d35" {
		t.Errorf("own system: %v, %v", kit, err)
	}
}

// The embedded catalogue is not changed by what a user's file says.
func TestUserFileLeavesNoTrace(t *testing.T) {
	if _, err := Load(filepath.Join("testdata", "own.yaml")); err != nil {
		t.Fatal(err)
	}
	c := embeddedCatalog(t)
	if part(t, c, "wood-shore-10ft6").Rated.Load.Known || part(t, c, "timber-4x4-8ft").NDS.Species != "Douglas Fir-Larch" {
		t.Error("a user's values are still there")
	}
}

// testdata/wrong.yaml holds mistakes; wrong.txt, written by hand, holds for each
// its line and column and what a person must be told. All come in one run.
func TestEveryMistakeInOneRun(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("testdata", "wrong.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	golden, err := os.ReadFile(filepath.Join("testdata", "wrong.txt"))
	if err != nil {
		t.Fatal(err)
	}
	_, err = Parse("wrong.yaml", data)
	var got Problems
	if !errors.As(err, &got) {
		t.Fatalf("no Problems but %v", err)
	}
	want := strings.Split(strings.TrimSpace(string(golden)), "\n")
	for i := range max(len(got), len(want)) {
		switch {
		case i >= len(want):
			t.Errorf("not a mistake, or a repetition: %v", got[i])
		case i >= len(got):
			t.Errorf("not found: %s", want[i])
		default:
			at, message, _ := strings.Cut(want[i], " ")
			if fmt.Sprintf("%d:%d", got[i].Line, got[i].Column) != at || got[i].File != "wrong.yaml" || !strings.Contains(got[i].Message, message) {
				t.Errorf("want %s\n got %v", want[i], got[i])
			}
		}
	}
}

func TestBrokenFiles(t *testing.T) {
	for text, want := range map[string]string{
		"":                                     "f:1:1: the file is empty; a catalogue has parts, families, grades or systems",
		"# nothing\n":                          "f:1:1: the file is empty; a catalogue has parts, families, grades or systems",
		"parts: [\n":                           "f:1:8: the file is not readable as YAML",
		"- a\n- b\n":                           "f:1:1: expected a block of keys",
		"parts: 7\n":                           "f:1:8: expected a list",
		"parts:\n  - 7\n":                      "f:2:5: a part needs an id",
		"parts: &p []\n":                       "f:1:8: anchors, aliases, tags and merge keys are not read in a catalogue; put shared values in a family",
		"parts:\n  - {id: tie}\n---\nparts:\n": "f:4:1: a second document begins here; write one catalogue a file",
		"parts:\n  - {id: tie, mass: 8}\n":     "f:2:21: \"8\": the unit is missing",
		"parts:\n  - {id: tie, mass: {source: x}}\n":                                                           "needs the key value",
		"parts:\n  - {id: tie, mass: 8 kg/m}\n":                                                                "not all of its length, width and depth",
		"parts:\n  - {id: beam-245, marks: {pitch: 4 ft, least_overhang: 5 ft}}\n":                             "too short for its setting marks",
		"systems:\n  - {id: own, name: Own, bases: [us], grade_head: tripod}\n":                                "as head system \"own\" needs a head",
		"parts:\n  - {id: prop-e35, prop: {hole_pitch: 150 mm}}\n":                                             "thread shorter than its hole pitch",
		"parts:\n  - {id: drop-head, head: {drop: 300 mm}}\n":                                                  "drops by more than its height",
		"parts:\n  - {id: prop-e35, prop: {longest: 350 m}}\nfamilies:\n  - {id: x, prop: {thread: .inf m}}\n": "f:4:",
	} {
		_, err := Parse("f", []byte(text))
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: want %q, got %v", text, want, err)
		}
	}
	if _, err := Load("testdata/no-such-file.yaml"); err == nil || !strings.Contains(err.Error(), "check its path") {
		t.Errorf("missing file: %v", err)
	}
	deep := strings.Repeat("[", 5000) + strings.Repeat("]", 5000)
	if _, err := Parse("f", []byte("parts: "+deep)); err == nil {
		t.Error("a file nested 5000 deep is taken")
	}
}

// FuzzParse: any text gives a catalogue or Problems with places, never a panic.
func FuzzParse(f *testing.F) {
	for _, name := range []string{"own.yaml", "wrong.yaml"} {
		data, err := os.ReadFile(filepath.Join("testdata", name))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte("parts:\n  - {id: x, <<: *a, nominal: 0x0, marks: {pitch: 1e-300 m}}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := Parse("fuzz.yaml", data)
		var problems Problems
		switch {
		case err == nil && c == nil:
			t.Fatal("neither catalogue nor error")
		case err == nil:
			for _, p := range c.Parts {
				p.Explain()
			}
		case !errors.As(err, &problems) || len(problems) == 0:
			t.Fatalf("not Problems but %v", err)
		default:
			for _, p := range problems {
				if p.File == "" || p.Line < 1 || p.Message == "" {
					t.Fatalf("problem without place or words: %+v", p)
				}
			}
		}
	})
}
