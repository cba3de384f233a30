package storeys

import (
	"strings"
	"testing"
)

func TestReadOperations(t *testing.T) {
	ops, err := ReadOperations(strings.NewReader("# order\nPlace 1\nlive off 1 # at once\n\n  strip  1\nreshore 1\nsnug 1\nremove 1\nlive on 1\n"), 2)
	if err != nil {
		t.Fatal(err)
	}
	want := []Operation{{Place, "level 1", 0, 0}, {LiveOff, "level 1", 0, 0}, {Strip, "level 1", day, 0}, {Reshore, "level 1", 2 * day, 0},
		{Snug, "level 1", 3 * day, 0}, {RemoveReshores, "level 1", 4 * day, 0}, {LiveOn, "level 1", 5 * day, 0}}
	if len(ops) != len(want) {
		t.Fatalf("%+v", ops)
	}
	for i := range want {
		if ops[i] != want[i] {
			t.Errorf("%d: %+v, want %+v", i, ops[i], want[i])
		}
	}
	for text, want := range map[string]string{
		"": "no operation", "place 3": `line 1: "3" is no level: 1 to 2`, "place 1\nplaice 2": `line 2: "plaice 2" is not known`,
		"place": `"place" is not known`, "place x": `"x" is no level`, "place -1": "is no level", strings.Repeat("x", 1<<17): "cannot be read",
	} {
		if _, err := ReadOperations(strings.NewReader(text), 2); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.20q: %v, want %q", text, err, want)
		}
	}
}

// Any text is an error or operations on levels that are there, and any order is
// followed or refused.
func FuzzReadOperations(f *testing.F) {
	f.Add("place 1\nlive off 1\nplace 2\nstrip 1\nreshore 1\nplace 3\nremove 1\nstrip 2\nsnug 1")
	f.Fuzz(func(t *testing.T, text string) {
		ops, err := ReadOperations(strings.NewReader(text), 4)
		if err != nil {
			return
		}
		for _, c := range []Stiffness{1, Rigid} {
			s := Uniform(4, 0.1, 0.5, 0)
			for i := range s.Slabs {
				s.Slabs[i].Shores, s.Slabs[i].Reshores = c, 2*c
			}
			if tr, err := s.Trace(ops, Rules{}); err == nil && len(tr.Steps) != len(ops) {
				t.Fatalf("%d steps of %d operations", len(tr.Steps), len(ops))
			} else if err != nil && strings.Contains(err.Error(), "no balance") {
				t.Fatal(err)
			}
		}
	})
}
