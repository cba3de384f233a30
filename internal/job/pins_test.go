package job

import (
	"errors"
	"math"
	"os"
	"strings"
	"testing"
)

// What pins may say, and the one message that each mistake gets.
func TestPins(t *testing.T) {
	us, err := os.ReadFile("testdata/kestrel-us.yaml")
	if err != nil {
		t.Fatal(err)
	}
	const old = "  - {pour: L3-A, kind: joists, angle: 90 deg}\n"
	if !strings.Contains(string(us), old) {
		t.Fatal("the right file has no such pin")
	}
	read := func(pin string) (Pin, error) {
		j, err := Parse("job.yaml", []byte(strings.Replace(string(us), old, "  - {pour: L3-A, "+pin+"}\n", 1)), standard)
		if err != nil {
			return Pin{}, err
		}
		return j.Pins[0], nil
	}
	for pin, as := range map[string]string{
		"kind: keep, part: prop-e35, at: [4, 4]":                                "prop",
		"kind: keep, as: line, at: [4, 4]":                                      "line",
		"kind: keep, part: beam-12ft, as: stringer, at: [4, 4], angle: 0 deg":   "stringer",
		"kind: keep, part: beam-12ft, as: joist, at: [4, 4], angle: 90 deg":     "joist",
		"kind: keep, part: ply-c1-3-4, at: [4, 4], angle: 0 deg":                "sheet",
		"kind: keep, part: timber-4x4-10ft, as: prop, at: [4, 4]":               "prop",
		"kind: forbid, part: beam-12ft":                                         "",
		"kind: forbid, part: beam-12ft, area: [[0, 0], [4, 0], [4, 4], [0, 4]]": "",
		"kind: forbid, as: prop, area: [[0, 0], [4, 0], [4, 4], [0, 4]]":        "prop",
		"kind: joint, at: [12, 0], angle: 90 deg":                               "",
	} {
		p, err := read(pin)
		if err != nil || p.As != as {
			t.Errorf("%s: as %q, %v", pin, p.As, err)
		}
	}
	if p, _ := read("kind: joint, at: [12, 0], angle: 90 deg"); math.Abs(float64(p.At.X)-12*ft) > 1e-9 || math.Abs(float64(p.Angle)-math.Pi/2) > 1e-9 {
		t.Errorf("joint %+v", p)
	}
	for pin, says := range map[string]string{
		"kind: keep, part: prop-e35":                            `has no "at"`,
		"kind: keep, at: [4, 4]":                                `has no "part"`,
		"kind: keep, part: beam-12ft, at: [4, 4], angle: 0 deg": "may serve as stringer or joist",
		"kind: keep, part: beam-12ft, as: stringer, at: [4, 4]": "the kept stringer has no direction",
		"kind: keep, part: prop-e35, as: joist, at: [4, 4]":     "cannot serve as joist",
		"kind: keep, part: drop-head, at: [4, 4]":               "is a head, which cannot be kept",
		"kind: keep, part: prop-e35, as: line, at: [4, 4]":      "a line is kept without a part",
		"kind: keep, part: prop-e35, as: porp, at: [4, 4]":      "did you mean prop",
		"kind: forbid":           `has no "part"`,
		"kind: forbid, as: prop": "a deck cannot do without props",
		"kind: forbid, as: sheet, area: [[0, 0], [4, 0], [4, 4], [0, 4]]":        "cannot do without every sheet",
		"kind: forbid, part: beam-12ft, at: [4, 4]":                              "in an area or in the whole pour, not at a point",
		"kind: forbid, part: prop-e35, as: prop, area: [[0, 0], [4, 0], [4, 4]]": "whatever it serves as",
		"kind: joint, at: [12, 0]":                                               `has no "angle"`,
	} {
		_, err := read(pin)
		var ps Problems
		if !errors.As(err, &ps) || len(ps) != 1 || !strings.Contains(ps[0].Error(), says) {
			t.Errorf("%s: want one message with %q, got\n%v", pin, says, err)
		}
	}
}
