package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"shoreward/internal/audit"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/plane"
	"shoreward/internal/price"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets/count"
)

// cutJob is a plan of pours whose cut sheets are rectangles of the given sizes,
// along their face grain and across it, in mm, on panels of 2500 x 1250.
func cutJob(kerf float64, pours ...[][2]float64) (*deck.Document, *job.Job) {
	length := func(mm float64) catalog.Value[quantity.Length] {
		return catalog.Value[quantity.Length]{V: quantity.Millimetres(mm), Known: true}
	}
	doc := &deck.Document{Choices: deck.Choices{Kerf: kerf, OffcutMin: 300},
		Parts: map[string]*catalog.Part{"ply": {ID: "ply", Kind: catalog.Sheet, Length: length(2500), Width: length(1250)}}}
	level := job.Level{Name: "L"}
	for i, sizes := range pours {
		p := deck.Pour{Name: fmt.Sprint("P", i), Level: "L"}
		for k, s := range sizes {
			p.Deck.Sheets = append(p.Deck.Sheets, deck.Sheet{ID: fmt.Sprint("S", k), Part: "ply", Cut: true,
				Shape: plane.Shape{Outer: plane.Rect(0, 0, s[0], s[1])}})
		}
		doc.Pours = append(doc.Pours, p)
		level.Pours = append(level.Pours, job.Pour{Name: p.Name})
	}
	return doc, &job.Job{Levels: []job.Level{level}}
}

// audited makes the cut lists and proves them.
func audited(t *testing.T, doc *deck.Document, j *job.Job) {
	t.Helper()
	if err := cutSheets(doc, j); err != nil {
		t.Fatal(err)
	}
	for i := range doc.Pours {
		if doc.Pours[i].Refused != "" {
			continue
		}
		for _, f := range audit.Cuts(doc, i) {
			t.Errorf("%s: %+v", doc.Pours[i].Name, f)
		}
	}
}

// Two pieces of 1200 x 1250 and a blade of 4 mm leave 92 mm of a sheet, too
// little to keep; one leaves 1296 x 1250, of which the second pour is cut.
// Figures by hand.
func TestOffcutsAreUsedBeforeSheets(t *testing.T) {
	doc, j := cutJob(4, [][2]float64{{1200, 1250}, {1200, 1250}, {1200, 1250}}, [][2]float64{{1000, 600}, {900, 600}, {1000, 600}})
	audited(t, doc, j)
	a, b := doc.Pours[0].Cuts, doc.Pours[1].Cuts
	if a.Sheets != 2 || a.Bound != 2 || a.Turn != 1 || len(a.Patterns) != 2 {
		t.Errorf("first pour: %+v", a)
	}
	if b.Sheets != 1 || b.Turn != 2 || len(b.Patterns) != 2 || b.Patterns[0].Offcut != "P0/R1" || b.Patterns[0].Size != [2]float64{1296, 1250} {
		t.Errorf("second pour: %+v", b)
	}
	all, wasted, offcuts := price.Panels(&doc.Pours[0])
	laid := 3 * 1.2 * 1.25
	if w := 2*2.5*1.25 - laid - 1.296*1.25; math.Abs(wasted-w) > 1e-9 || math.Abs(all-laid-w) > 1e-9 || math.Abs(offcuts-1.296*1.25) > 1e-9 {
		t.Errorf("panels %g, waste %g, offcuts %g; by hand %g, %g, %g", all, wasted, offcuts, laid+w, w, 1.296*1.25)
	}
	for i, want := range []struct{ pieces, send int }{{3, 2}, {3, 1}} {
		pieces, send := 0, 0
		for _, g := range count.List(doc, &doc.Pours[i]) {
			pieces += g.Count
			send += g.Send
		}
		if pieces != want.pieces || send != want.send {
			t.Errorf("pour %d: %d pieces and %d sheets to send, want %v", i, pieces, send, want)
		}
	}
	// Alone at its level the second pour has one sheet, and an offcut that counts as one.
	doc.Pours[1].Level = "M"
	if n := standing(doc, []string{"M"}, "ply"); n != 2 {
		t.Errorf("%d sheets are tied up at M, want 2", n)
	}
	if n := standing(doc, []string{"L", "M"}, "ply"); n != 3 {
		t.Errorf("%d sheets are tied up in all, want 3", n)
	}
}

func TestPoursAreCutByDate(t *testing.T) {
	doc, j := cutJob(4, [][2]float64{{1000, 600}}, [][2]float64{{1200, 1250}}, [][2]float64{{900, 900}})
	for i, d := range []string{"2027-03-09", "2027-03-02", "2027-03-16"} {
		j.Levels[0].Pours[i].Date = d
	}
	doc.Pours[2].Refused = "nothing holds"
	audited(t, doc, j)
	if doc.Pours[0].Cuts.Turn != 2 || doc.Pours[1].Cuts.Turn != 1 || doc.Pours[2].Cuts != nil || doc.Pours[0].Cuts.Patterns[0].Offcut != "P1/R1" {
		t.Errorf("by date: %+v, %+v", doc.Pours[0].Cuts, doc.Pours[1].Cuts)
	}
	doc, j = cutJob(4, [][2]float64{{1000, 600}}, [][2]float64{{1200, 1250}})
	j.Levels[0].Pours[1].Date = "2027-03-02" // the other has none
	audited(t, doc, j)
	if doc.Pours[0].Cuts.Turn != 1 {
		t.Error("without all dates the pours are not cut as the job lists them")
	}
}

// A piece that no sheet gives is left to the audit to name; one that is too long by
// rounding is the sheet's length.
func TestPieceLargerThanItsSheet(t *testing.T) {
	doc, j := cutJob(4, [][2]float64{{2500.4, 1250}, {2600, 600}})
	if err := cutSheets(doc, j); err != nil {
		t.Fatal(err)
	}
	found := audit.Cuts(doc, 0)
	if len(found) != 1 || found[0].Member != "S1" || !found[0].Fails {
		t.Errorf("got %+v", found)
	}
}

// Whatever is cut, the list proves and is the same again.
func TestRandomCutLists(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 7))
	for range 25 {
		var pours [][][2]float64
		for range 1 + r.IntN(4) {
			var sizes [][2]float64
			for range r.IntN(30) {
				sizes = append(sizes, [2]float64{20 + r.Float64()*2480, 20 + r.Float64()*1230})
			}
			pours = append(pours, sizes)
		}
		doc, j := cutJob(float64(r.IntN(8)), pours...)
		for i := range doc.Pours { // turned decks
			for k := range doc.Pours[i].Deck.Sheets {
				s := &doc.Pours[i].Deck.Sheets[k]
				s.Grain = float64(r.IntN(4)) * 33
				sin, cos := math.Sincos(s.Grain * math.Pi / 180)
				s.Shape = s.Shape.Map(func(p plane.Point) plane.Point { return plane.Point{p[0]*cos - p[1]*sin, p[0]*sin + p[1]*cos} })
			}
		}
		audited(t, doc, j)
		first, err := JSON(doc)
		if err != nil {
			t.Fatal(err)
		}
		if err := cutSheets(doc, j); err != nil {
			t.Fatal(err)
		}
		if again, _ := JSON(doc); string(first) != string(again) {
			t.Fatal("the same pours give another cut list")
		}
		for i := range doc.Pours {
			all, wasted, _ := price.Panels(&doc.Pours[i])
			if c := doc.Pours[i].Cuts; wasted < -1e-9 || all < wasted-1e-9 || c.Sheets < c.Bound {
				t.Errorf("waste %g of %g, %d sheets with a bound of %d", wasted, all, c.Sheets, c.Bound)
			}
		}
	}
}
