package outlines

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"shoreward/internal/catalog"
	"shoreward/internal/plane"
)

func TestRepair(t *testing.T) {
	square := plane.Ring{{0, 0}, {4000, 0}, {4000, 3000}, {0, 3000}}
	for name, in := range map[string]plane.Ring{
		"as it is":      {{0, 0}, {4000, 0}, {4000, 3000}, {0, 3000}},
		"clockwise":     {{0, 0}, {0, 3000}, {4000, 3000}, {4000, 0}},
		"closed":        {{0, 0}, {4000, 0}, {4000, 3000}, {0, 3000}, {0, 0}},
		"repeated":      {{0, 0}, {4000, 0}, {4000, 0}, {4000, 3000}, {0, 3000}},
		"on a line":     {{0, 0}, {1000, 0}, {2000, 0}, {4000, 0}, {4000, 3000}, {0, 3000}},
		"spike":         {{0, 0}, {4000, 0}, {4000, 1000}, {6000, 1000}, {4000, 1000}, {4000, 3000}, {0, 3000}},
		"spike of two":  {{0, 0}, {4000, 0}, {4000, 1000}, {5000, 1000}, {6000, 1000}, {5000, 1000}, {4000, 1000}, {4000, 3000}, {0, 3000}},
		"spike at once": {{0, 0}, {4000, 0}, {4000, -900}, {4000, 3000}, {0, 3000}},
	} {
		got := repair(in)
		if len(got) != 4 || math.Abs(got.SignedArea()-square.SignedArea()) > 1 {
			t.Errorf("%s: %v", name, got)
		}
	}
	for name, in := range map[string]plane.Ring{
		"nothing": nil, "point": {{0, 0}, {0, 0}, {0, 0}}, "line": {{0, 0}, {4000, 0}, {2000, 0}}, "there and back": {{0, 0}, {4000, 0}},
	} {
		if got := repair(in); got != nil {
			t.Errorf("%s: %v is left", name, got)
		}
	}
}

// Repair of anything ends, and what it leaves needs no further repair.
func TestRepairIsStable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coordinate := rapid.Custom(func(t *rapid.T) float64 { return float64(rapid.IntRange(0, 6).Draw(t, "v")) * 500 })
		var r plane.Ring
		for range rapid.IntRange(0, 12).Draw(t, "n") {
			r = append(r, plane.Point{coordinate.Draw(t, "x"), coordinate.Draw(t, "y")})
		}
		once := repair(r)
		twice := repair(once)
		if len(once) != len(twice) || once.SignedArea() < 0 {
			t.Fatalf("%v, then %v", once, twice)
		}
	})
}

// Columns: a 20 m x 10 m slab has the grid lines 0, 7.5, 15 and 0, 7.5; those on
// its border stand outside. Worked by hand.
func TestColumns(t *testing.T) {
	outer := plane.Rect(0, 0, 20000, 10000)
	want := []plane.Point{{7500, 7500}, {15000, 7500}}
	got := columns(outer, nil)
	if len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("%v, want %v", got, want)
	}
	// An edge 549 mm from a column's middle is 299 mm from its face; 551 mm is 301 mm.
	if got := columns(outer, []plane.Ring{plane.Rect(7500+549, 6000, 9500, 9000)}); len(got) != 1 {
		t.Errorf("too near a hole: %v", got)
	}
	if got := columns(outer, []plane.Ring{plane.Rect(7500+551, 6000, 9500, 9000)}); len(got) != 2 {
		t.Errorf("clear of the hole: %v", got)
	}
	// A slot narrower than the column, right through it.
	if got := columns(outer, []plane.Ring{plane.Rect(7400, 2000, 7600, 9000)}); len(got) != 1 {
		t.Errorf("a slot through the column: %v", got)
	}
}

const sample = "../../../shared/samples/footprints_sf_parnassus_m.json"

// The 616 outlines of a town quarter: each becomes a job or is refused for a
// reason; every 44th is planned and audited. `shoreward plan --outlines` runs all.
func TestTownQuarter(t *testing.T) {
	if _, err := os.Stat(sample); err != nil {
		t.Skipf("the outlines are not beside the repository: %v", err)
	}
	list, err := Read(sample)
	if err != nil {
		t.Fatal(err)
	}
	if len(list) != 616 { // the file's own count
		t.Fatalf("%d outlines", len(list))
	}
	cat, err := catalog.Load("")
	if err != nil {
		t.Fatal(err)
	}
	var few []Outline
	refused := 0
	for i, o := range list {
		if _, err := o.Job(func(string) (*catalog.Catalog, error) { return cat, nil }); err != nil {
			refused++
			t.Logf("%s refused: %v", o.ID, err)
		}
		if i%44 == 7 {
			few = append(few, o)
		}
	}
	if refused > 6 { // one in a hundred: a person would look at each
		t.Errorf("%d of %d outlines are refused as jobs", refused, len(list))
	}
	if testing.Short() {
		return
	}
	for _, r := range Run(few, cat, nil) {
		if !r.Passed() {
			t.Errorf("%s (%.0f m2): %d fail, first %s; refused: %s", r.ID, r.Area, r.Failed, r.Fails, r.Refused)
		}
	}
}

func TestReadSaysWhatIsWrong(t *testing.T) {
	for text, want := range map[string]string{
		`[`:                                  "is not a file of outlines",
		`{"units": "m"}`:                     "has no outlines",
		`{"footprints": [{"outer": [[0]]}]}`: `needs "units": "m"`,
		`{"units": "m", "footprints": [{"outer": [[0, 1], [2]]}]}`:              "outline 1 (1): point 2 has 1 coordinates",
		`{"units": "m", "footprints": [{"outer": [], "holes": [[[1, 2, 3]]]}]}`: "a hole: point 1 has 3 coordinates",
		`{"units": "m", "footprints": [{"outer": 3}]}`:                          "is not a file of outlines",
	} {
		path := filepath.Join(t.TempDir(), "f.json")
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if _, err := Read(path); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", text, err, want)
		}
	}
}
