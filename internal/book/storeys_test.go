package book

import (
	"strings"
	"testing"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
	"shoreward/internal/reshore"
	"shoreward/internal/sheets/sample"
)

// A slab that fails at an hour is on the first page, and in the chapter with what
// would hold; a line from memory is marked.
func TestStoreysChapter(t *testing.T) {
	doc := sample.Deck(12000, 8000, quantity.US)
	check := calc.Line{Symbol: "w_f", Name: "factored construction load", Value: 12e3, Kind: calc.Pressure, Source: "ASCE/SEI 37-14 2.2", Evidence: calc.Memory}.Check(10e3, "w_t")
	doc.Storeys = &reshore.Report{Style: quantity.US,
		Choice:   reshore.Choice{Cycle: 72, Shores: 1, Reshores: 1},
		Pours:    []reshore.Pour{{Name: "L2-A", Strip: reshore.StripAnswer{Earliest: 40, After: 24, Possible: true, Strength: 20e6, Governs: "the engineer's strength", TableDays: 7}}},
		Steps:    []reshore.Step{{Number: 1, Kind: reshore.Place, Pour: "L2-A", Name: "Place L2-A", At: 16, Ratio: 1.2, Where: "slab L1-A at 3 days"}},
		Findings: []reshore.Finding{{What: "slab L1-A at 3 days, Place L2-A: over by a fifth", Pour: "L1-A", Ratio: 1.2}},
		Worst:    []reshore.Worked{{Kind: "slab", Pour: "L1-A", Name: "the worst", Lines: calc.Lines{check}}},
		Answers: reshore.Answers{Gear: "kg", Fastest: -1, Cheapest: -1, Options: []reshore.Option{{Choice: reshore.Choice{Cycle: 168, Shores: 1, Reshores: 2}, Built: true, Safe: true, Margin: 0.129, Gear: 1000, Why: "slab"}},
			Remedies: []string{"a longer cycle"}, WhatIf: []reshore.WhatIf{{Name: "a late break", Why: "slab L1-A"}}},
		Cautions: []string{"caution of the storeys"}, Unproven: []string{"creep"}}
	pages := texts(drawn(t, doc))
	if !strings.Contains(pages[0], "over by a fifth") || !strings.Contains(pages[0], "Do not build what fails.") {
		t.Error("the first page does not say that a slab fails")
	}
	all := strings.Join(pages, "")
	for _, want := range []string{"Storeys", "caution of the storeys", "What would hold: a longer cycle", "day 1, 16:00", "1.20 FAILS", "from memory: confirm", "7 days", "12 %", "a late break: DOES NOT HOLD: slab L1-A", "creep"} {
		if !strings.Contains(all, want) {
			t.Errorf("the book does not say %q", want)
		}
	}
	if strings.Contains(all, "13 %") {
		t.Error("a margin is rounded up")
	}
	doc.Storeys = nil
	if strings.Contains(strings.Join(texts(drawn(t, doc)), ""), "Storeys") {
		t.Error("a chapter on storeys without any")
	}
}
