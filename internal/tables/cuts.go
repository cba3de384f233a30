package tables

import (
	"fmt"
	"math"

	"shoreward/internal/quantity"
	"shoreward/internal/sheets/say"
)

// cuts lists every pattern of panels with its pieces and offcuts, and sums the
// waste of each pour.
func (b *workbook) cuts() table {
	u, a := b.lengthUnit(), b.areaUnit()
	t := table{name: "Cuts", cols: []col{{"pour", 14}, {"pattern", 9}, {"cut from", 22}, {"panel", 24}, {"what", 14}, {"name", 18}, {"size, along × across face grain", 26},
		{"along, " + u, 11}, {"across, " + u, 11}, {"at along, " + u, 11}, {"at across, " + u, 11}, {"area, " + a, 11}}}
	t.rows = b.refused()
	area := func(m2 float64) float64 {
		if b.style == quantity.US {
			m2 /= 0.3048 * 0.3048
		}
		return math.Round(m2*1000) / 1000
	}
	for _, p := range b.planned() {
		if p.Cuts == nil {
			continue
		}
		for _, q := range p.Cuts.Patterns {
			from := "whole sheet"
			if q.Offcut != "" {
				from = "offcut " + q.Offcut
			}
			add := func(what, name string, at [2]float64, size [2]float64) {
				t.rows = append(t.rows, row{cells: []any{p.Name, q.ID, from, q.Part, what, name, say.Size(size[0], size[1], b.style),
					b.length(size[0]), b.length(size[1]), b.length(at[0]), b.length(at[1]), area(size[0] * size[1] / 1e6)}})
			}
			for _, x := range q.Pieces {
				add("piece", x.Sheet, x.At, x.Size)
			}
			for _, o := range q.Left {
				add("offcut, keep", o.ID, o.At, o.Size)
			}
		}
		s := p.Summary
		t.rows = append(t.rows, row{bold: true, cells: []any{p.Name, "", fmt.Sprintf("%d whole sheets", p.Cuts.Sheets), fmt.Sprintf("at least %d", p.Cuts.Bound), "waste",
			fmt.Sprintf("%.1f %% of panels", s.WasteShare), "", "", "", "", "", area(s.Waste)}})
	}
	s := b.doc.Total
	t.rows = append(t.rows, row{bold: true, cells: []any{"total", "", fmt.Sprintf("%d whole sheets", s.SheetsSawn), "", "waste", fmt.Sprintf("%.1f %% of panels", s.WasteShare), "", "", "", "", "", area(s.Waste)}})
	t.rows = append(t.rows, row{bold: true, cells: []any{"total", "", "", "", "offcuts left", "at the end of the job", "", "", "", "", "", area(s.Offcuts)}})
	return t
}
