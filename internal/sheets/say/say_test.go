package say

import (
	"testing"

	"shoreward/internal/calc"
	"shoreward/internal/deck"
	"shoreward/internal/quantity"
)

func TestRatioRoundsUp(t *testing.T) {
	for r, want := range map[float64]string{0: "0.00", 0.5: "0.50", 0.501: "0.51", 1: "1.00", 1.0001: "1.01", 2.5: "2.50", 999: "no capacity"} {
		if got := Ratio(r); got != want {
			t.Errorf("%g: got %s, want %s", r, got, want)
		}
	}
}

func TestLengths(t *testing.T) {
	for _, c := range []struct {
		got, want string
	}{
		{Len(3819.6, quantity.Metric), "3820"},
		{Len(-0.2, quantity.Metric), "0"},
		{Len(3822.7, quantity.US), `12'-6 1/2"`}, // 150.5 in
		{Height(3000, quantity.Metric), "+3.000"},
		{Height(-25, quantity.Metric), "-0.025"},
		{Height(304.8, quantity.US), `+1'-0"`},
		{Size(2500, 1250, quantity.Metric), "2500 × 1250"},
	} {
		if c.got != c.want {
			t.Errorf("got %s, want %s", c.got, c.want)
		}
	}
}

func TestMerged(t *testing.T) {
	got := Merged([]deck.Unsure{{Of: "a", Value: "k 1", Source: "s", Evidence: calc.Memory}, {Of: "b", Value: "k 2", Source: "s", Evidence: calc.Memory}, {Of: "c", Value: "k 1", Source: "s", Evidence: calc.Memory}})
	if len(got) != 2 || got[0].Of != "a, c" || got[1].Of != "b" {
		t.Errorf("got %+v", got)
	}
}
