package site

import (
	"errors"
	"math"
	"strings"
	"testing"

	"shoreward/internal/deck"
)

// A slab of 200 mm falls 3 m over 40 m: 7.5 %. Its depth plumb is 200 √(1 + 0.075²) =
// 200.56 mm, the soffit at its high edge lies that under the level's top, and 4 m
// down the slope 300 mm lower (by arithmetic).
func TestFall(t *testing.T) {
	j := load(t, strings.Replace(two, "[8,2.5]]]}\n        drops: [{outline: [[8,4],[10,4],[10,6],[8,6]], thickness: 300 mm}]",
		"[8,2.5]]], fall: {from: [0, 0], to: [0, 40], drop: 3 m}}", 1))
	s, err := New(j, &j.Levels[1], &j.Levels[1].Pours[0])
	if err != nil {
		t.Fatal(err)
	}
	if s.Fall == nil || s.TopZ != 3000 || s.Zones[0].Thickness != 200.56 || s.Zones[0].Soffit != 2799.44 {
		t.Fatalf("fall %+v, top %g, zone %g thick, soffit %g", s.Fall, s.TopZ, s.Zones[0].Thickness, s.Zones[0].Soffit)
	}
	if z := s.SoffitAt(s.Zones[0], deck.Point{7000, 4000}); math.Abs(z-2499.44) > 1e-9 {
		t.Errorf("4 m down the slope the soffit is at %g", z)
	}
	// The strip of 600 mm runs round three sides, also past the high and the low edge.
	low, high := s.Range(s.Zones[0])
	if math.Abs(high-(2799.44+0.075*600)) > 0.01 || math.Abs(low-(2799.44-0.075*8600)) > 0.01 {
		t.Errorf("the soffit is from %g to %g", low, high)
	}
}

// What is not planned is refused with what to do: too steep, and a pour on a slab that falls.
func TestFallRefused(t *testing.T) {
	slab := "slab: {outline: [[0,0],[12,0],[12,8],[0,8]], thickness: 200 mm"
	for _, c := range []struct {
		fall1, fall2 string
		want         string
	}{
		{"", ", fall: {from: [0, 0], to: [0, 1], slope: 13 %}", "planned up to 1:8"},
		{", fall: {from: [0, 0], to: [0, 1], slope: 2 %}", "", "would stand on pour L1-A, which falls"},
		{"", ", fall: {from: [0, 0], to: [0, 1], slope: 1:8}", ""},
	} {
		text := strings.Replace(two, "        drops: [{outline: [[8,4],[10,4],[10,6],[8,6]], thickness: 300 mm}]\n", "", 1)
		text = strings.Replace(text, slab+"}", slab+c.fall1+"}", 1)
		text = strings.Replace(text, slab+", openings", slab+c.fall2+", openings", 1)
		j := load(t, text)
		_, err := New(j, &j.Levels[1], &j.Levels[1].Pours[0])
		var r Refusal
		switch {
		case c.want == "" && err != nil:
			t.Error(err)
		case c.want != "" && (!errors.As(err, &r) || !strings.Contains(r.Reason, c.want)):
			t.Errorf("want %q, got %v", c.want, err)
		}
	}
}
