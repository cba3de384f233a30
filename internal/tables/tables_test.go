package tables

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/xuri/excelize/v2"

	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets/sample"
)

func open(t *testing.T, doc *deck.Document) *excelize.File {
	t.Helper()
	b, err := XLSX(doc)
	if err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func rows(t *testing.T, f *excelize.File, sheet string) [][]string {
	t.Helper()
	r, err := f.GetRows(sheet)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func find(rows [][]string, match func([]string) bool) []string {
	for _, r := range rows {
		if match(r) {
			return r
		}
	}
	return nil
}

// Counts are those of the placed parts, counted here again by hand.
func TestGearCounts(t *testing.T) {
	doc := sample.Deck(12000, 8000, quantity.Metric)
	f := open(t, doc)
	d := doc.Pours[0].Deck
	want := map[string]int{"prop-d35": len(d.Props), "beam-290": len(d.Joists), "beam-390": len(d.Stringers), "post": len(d.Guards), "tie": 2, "brace": 1,
		"kicker": d.EdgeForms[0].Kickers, "board-edge": 2} // 8 m of edge in boards of 4 m
	for id, n := range want {
		r := find(rows(t, f, "Gear"), func(r []string) bool { return r[0] == "L2-A" && len(r) > 2 && r[2] == id })
		if r == nil || r[4] != fmt.Sprint(n) {
			t.Errorf("%s: got %v, want %d", id, r, n)
		}
	}
}

func TestHeavyPieceIsFlagged(t *testing.T) {
	f := open(t, sample.Deck(12000, 8000, quantity.Metric))
	// 42 kg against a limit of 25 kg, both from the sample
	r := find(rows(t, f, "Gear"), func(r []string) bool { return len(r) > 3 && r[2] == "ply-21" && r[1] == "plywood 21 mm, 2500 × 1250" })
	if r == nil || r[7] != "over the limit: two people" {
		t.Errorf("a sheet of 42 kg is not flagged: %v", r)
	}
	r = find(rows(t, f, "Gear"), func(r []string) bool { return len(r) > 3 && r[2] == "kicker" })
	if r == nil || r[5] != "not known" || r[6] != "not known" {
		t.Errorf("a part without a weight must say so: %v", r)
	}
}

func TestPropsAreAllThere(t *testing.T) {
	doc := sample.Deck(12000, 8000, quantity.US)
	rs := rows(t, open(t, doc), "Props")
	for _, q := range doc.Pours[0].Deck.Props {
		r := find(rs, func(r []string) bool { return len(r) > 1 && r[1] == q.ID })
		if r == nil || r[14] != fmt.Sprint(q.Hole) {
			t.Errorf("%s: got %v, want pin hole %d", q.ID, r, q.Hole)
		}
	}
}

func TestPanelsAddUp(t *testing.T) {
	doc := sample.Deck(12000, 8000, quantity.Metric)
	n := 0
	for _, r := range rows(t, open(t, doc), "Panels")[1:] {
		if r[0] == "L2-A" {
			k := 0
			if _, err := fmt.Sscan(r[7], &k); err != nil {
				t.Fatal(err)
			}
			n += k
		}
	}
	if n != len(doc.Pours[0].Deck.Sheets) {
		t.Errorf("panels listed: %d, placed: %d", n, len(doc.Pours[0].Deck.Sheets))
	}
}

func TestRefusedPourIsSaid(t *testing.T) {
	doc := sample.Deck(12000, 8000, quantity.Metric)
	doc.Pours = append(doc.Pours, deck.Pour{Name: "L2-B", Refused: "no prop of the system reaches 7.2 m"})
	r := find(rows(t, open(t, doc), "Gear"), func(r []string) bool { return r[0] == "L2-B" })
	if r == nil || r[1] != "no deck: no prop of the system reaches 7.2 m" {
		t.Errorf("got %v", r)
	}
}

func TestSameBytes(t *testing.T) {
	a, err := XLSX(sample.Deck(12000, 8000, quantity.Metric))
	if err != nil {
		t.Fatal(err)
	}
	for range 30 {
		b, err := XLSX(sample.Deck(12000, 8000, quantity.Metric))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(a, b) {
			t.Fatal("two runs differ")
		}
	}
}

func TestNoPlan(t *testing.T) {
	if _, err := XLSX(nil); err == nil {
		t.Error("no plan must be an error")
	}
	if _, err := XLSX(&deck.Document{}); err != nil {
		t.Error(err)
	}
}

// The cut list has a row for every piece and every offcut, with its size.
func TestCutsAreAllThere(t *testing.T) {
	doc := sample.Deck(13500, 8100, quantity.Metric)
	doc.Pours[0].Summary.Waste, doc.Pours[0].Summary.WasteShare = 3.25, 2.5
	rs := rows(t, open(t, doc), "Cuts")
	n := 0
	for _, q := range doc.Pours[0].Cuts.Patterns {
		for _, x := range q.Pieces {
			n++
			r := find(rs, func(r []string) bool { return len(r) > 5 && r[1] == q.ID && r[5] == x.Sheet })
			if r == nil || r[4] != "piece" || r[2] != "whole sheet" || r[7] != fmt.Sprint(x.Size[0]) || r[8] != fmt.Sprint(x.Size[1]) {
				t.Errorf("%s in %s: got %v, want %v", x.Sheet, q.ID, r, x.Size)
			}
		}
		for _, o := range q.Left {
			if r := find(rs, func(r []string) bool { return len(r) > 5 && r[5] == o.ID }); r == nil || r[4] != "offcut, keep" {
				t.Errorf("%s: got %v", o.ID, r)
			}
		}
	}
	if n < 5 {
		t.Fatalf("only %d pieces are cut", n)
	}
	if r := find(rs, func(r []string) bool { return len(r) > 4 && r[0] == "L2-A" && r[4] == "waste" }); r == nil || r[5] != "2.5 % of panels" || r[11] != "3.25" {
		t.Errorf("waste: %v", r)
	}
	// To send: the whole sheets on the deck and one more for each pattern.
	whole := 0
	for _, s := range doc.Pours[0].Deck.Sheets {
		if !s.Cut {
			whole++
		}
	}
	r := find(rows(t, open(t, doc), "Gear"), func(r []string) bool { return len(r) > 3 && r[2] == "ply-21" && r[1] == "plywood 21 mm, 2500 × 1250" })
	if r == nil || r[4] != fmt.Sprint(whole) || r[9] != fmt.Sprint(whole+len(doc.Pours[0].Cuts.Patterns)) {
		t.Errorf("sheets to send: %v, want %d", r, whole+len(doc.Pours[0].Cuts.Patterns))
	}
}
