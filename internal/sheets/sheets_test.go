package sheets

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/sample"
)

// samples are hand-made documents of several sizes and states.
func samples() map[string]*deck.Document {
	failing := sample.Deck(12000, 8000, quantity.US)
	p := &failing.Pours[0]
	p.Audit.Checks[3].Ratio, p.Summary.Failed = 1.001, 1
	p.Audit.Findings = append(p.Audit.Findings, deck.Finding{Member: "C-2", At: deck.Point{1450, 5000}, What: "stands 12 mm off its stringer", Fails: true})
	noGrid := sample.Deck(12000, 8000, quantity.Metric)
	noGrid.Job.GridX, noGrid.Job.GridY = nil, nil
	refused := sample.Deck(12000, 8000, quantity.Metric)
	refused.Pours = append(refused.Pours, deck.Pour{Name: "L3-A", Level: "L3", Refused: "no prop of the system reaches 7.2 m"})
	return map[string]*deck.Document{
		"metric": sample.Deck(12000, 8000, quantity.Metric), "us": sample.Deck(12000, 8000, quantity.US),
		"large": sample.Deck(40000, 24000, quantity.Metric), "tiled": sample.Deck(80000, 40000, quantity.US),
		"failing": failing, "no grid": noGrid, "refused": refused, "turned": turned(), "empty": {},
	}
}

// turned is the sample with every plan position turned by 20 degrees.
func turned() *deck.Document {
	doc := sample.Deck(12000, 8000, quantity.Metric)
	raw, err := json.Marshal(doc.Pours[0])
	if err != nil {
		panic(err)
	}
	var p deck.Pour
	if err := json.Unmarshal(raw, &p); err != nil {
		panic(err)
	}
	turn := func(q *deck.Point) {
		s, c := math.Sincos(20 * math.Pi / 180)
		*q = deck.Point{q[0]*c - q[1]*s, q[0]*s + q[1]*c}
	}
	ring := func(r deck.Ring) {
		for i := range r {
			turn(&r[i])
		}
	}
	for i := range p.Site.Zones {
		ring(p.Site.Zones[i].Shapes[0].Outer)
	}
	for i := range p.Site.Blocks {
		ring(p.Site.Blocks[i].Ring)
	}
	ring(p.Site.Openings[0])
	ring(p.Site.Strip[0].Outer)
	for i := range p.Site.Edges {
		turn(&p.Site.Edges[i].From)
		turn(&p.Site.Edges[i].To)
	}
	d := &p.Deck
	for i := range d.Sheets {
		ring(d.Sheets[i].Shape.Outer)
	}
	for _, ms := range [][]deck.Member{d.Joists, d.Stringers} {
		for i := range ms {
			turn(&ms[i].From)
			turn(&ms[i].To)
		}
	}
	for i := range d.Props {
		turn(&d.Props[i].At)
	}
	d.Fields[0].Joists += 20
	doc.Pours[0] = p
	return doc
}

func drawn(t *testing.T, doc *deck.Document) *draw.Document {
	t.Helper()
	d, err := Draw(doc)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// box of a label, less a hair for rounding; a turned label by its own sides
// would need no box, so only upright and quarter-turned labels are compared.
func labels(p *draw.Page) []*draw.Text {
	var out []*draw.Text
	for _, it := range p.Items {
		if t, ok := it.(*draw.Text); ok && t.Label {
			out = append(out, t)
		}
	}
	return out
}

func TestLabelsDoNotOverlap(t *testing.T) {
	for name, doc := range samples() {
		for _, p := range drawn(t, doc).Pages {
			ls := labels(p)
			for i, a := range ls {
				for _, b := range ls[i+1:] {
					if a.Box().Grow(-0.15).Overlaps(b.Box().Grow(-0.15)) {
						t.Errorf("%s, %s: %q lies on %q", name, p.Name, a.Str, b.Str)
					}
				}
			}
		}
	}
}

// Prop numbers sit on no prop, no stringer and no column.
func TestLabelsDoNotCoverParts(t *testing.T) {
	for name, doc := range samples() {
		for _, p := range drawn(t, doc).Pages {
			if !strings.Contains(p.Name, "Prop and stringer") {
				continue
			}
			for _, l := range labels(p) {
				b := l.Box().Grow(-0.15)
				if l.Layer != "labels" {
					continue
				}
				for _, it := range p.Items {
					if why := covers(b, it); why != "" {
						t.Errorf("%s, %s: %q covers %s", name, p.Name, l.Str, why)
					}
				}
			}
		}
	}
}

func covers(b draw.Box, it draw.Item) string {
	switch v := it.(type) {
	case *draw.Circle:
		if v.Layer == "props" && b.Overlaps(draw.BoxAround(v.C, 2*v.R, 2*v.R)) {
			return "a prop"
		}
	case *draw.Path:
		if v.Layer != "stringers" && v.Layer != "props" {
			return ""
		}
		for _, r := range v.Rings {
			for _, s := range draw.Sides(r) {
				if _, meets := s.Clip(b); meets {
					return "a part of layer " + v.Layer
				}
			}
		}
	}
	return ""
}

func TestEveryPropIsNamed(t *testing.T) {
	for name, doc := range samples() {
		written := map[string]bool{}
		for _, p := range drawn(t, doc).Pages {
			if strings.Contains(p.Name, "Prop and stringer") {
				for _, l := range labels(p) {
					written[l.Str] = true
				}
			}
		}
		for _, p := range doc.Pours {
			for _, q := range p.Deck.Props {
				if !written[q.ID] {
					t.Errorf("%s: prop %s has no name on its plan", name, q.ID)
				}
			}
		}
	}
}

func TestPaperIsNotLeft(t *testing.T) {
	for name, doc := range samples() {
		for _, p := range drawn(t, doc).Pages {
			paper := draw.Box{Max: draw.Point{X: p.W, Y: p.H}}
			for _, it := range p.Items {
				if x, ok := it.(*draw.Text); ok && !paper.Holds(x.Box()) {
					t.Errorf("%s, %s: %q leaves the paper", name, p.Name, x.Str)
				}
			}
		}
	}
}

func TestTrueScale(t *testing.T) {
	doc := sample.Deck(12000, 8000, quantity.Metric)
	p := drawn(t, doc).Pages[0]
	var first, last draw.Point
	for _, it := range p.Items {
		if v, ok := it.(*draw.Path); ok && v.Layer == "props" { // diamonds of
			c := draw.BoxOf(v.Rings[0]).Centre()
			if first == (draw.Point{}) {
				first = c
			}
			last = c
		}
	}
	// first and last grade prop of the sample: A-1 at 250, 1000 and D-10 at 11050, 7000; drawn at 1:50
	want := math.Hypot(10800, 6000) / 50
	if got := last.Sub(first).Len(); math.Abs(got-want) > 0.01 {
		t.Errorf("A-1 to D-10 is %.2f mm on paper, want %.2f", got, want)
	}
}

func TestDatum(t *testing.T) {
	doc := sample.Deck(12000, 8000, quantity.Metric)
	ls := lines(&doc.Pours[0], newSettingOut(doc, &doc.Pours[0]))
	if len(ls) != 4 || ls[1].name != "B" || ls[1].datum.text != "grid 1" {
		t.Fatalf("lines of the sample: %+v", ls)
	}
	// B-3 stands at x = 250 + 2 x 1200 = 2650, grid 1 at 0
	if got := ls[1].running(ls[1].props[2].At); got != 2650 {
		t.Errorf("B-3 runs %g from grid 1, want 2650", got)
	}
	doc.Job.GridX = []deck.GridLine{{Name: "Q", At: -1000}}
	ls = lines(&doc.Pours[0], newSettingOut(doc, &doc.Pours[0]))
	if got := ls[1].running(ls[1].props[2].At); got != 3650 {
		t.Errorf("B-3 runs %g from grid Q at -1000, want 3650", got)
	}
}

func TestRanges(t *testing.T) {
	for in, want := range map[string]string{
		"A-1 A-2 A-3 A-5": "A-1 to 3, A-5", "B-1 B-2": "B-1, B-2", "P1 P2 P3": "P1 to 3", "x y": "x, y", "A-9 B-10 B-11 B-12": "A-9, B-10 to 12",
	} {
		if got := strings.Join(ranges(strings.Fields(in)), ", "); got != want {
			t.Errorf("%s: got %s, want %s", in, got, want)
		}
	}
}

func TestFailureIsFlagged(t *testing.T) {
	var words []string
	hatched := false
	p := drawn(t, samples()["failing"]).Pages[0]
	for _, it := range p.Items {
		switch v := it.(type) {
		case *draw.Text:
			words = append(words, v.Str)
		case *draw.Path:
			hatched = hatched || (v.Layer == "fails" && v.Pen.Color == draw.Brick)
		}
	}
	all := strings.Join(words, "|")
	// 1.001 must not read 1.00
	for _, want := range []string{"DO NOT BUILD", "F1 C-2: stands 12 mm off its stringer", "F2 A-4: prop load 1.01", "F2: 1.01"} {
		if !strings.Contains(all, want) {
			t.Errorf("the plan of a failing deck does not say %q", want)
		}
	}
	if !hatched {
		t.Error("nothing is hatched as failing")
	}
}

func TestCautionIsMarkedAndListed(t *testing.T) {
	doc := sample.Deck(12000, 8000, quantity.Metric)
	a := &doc.Pours[0].Audit
	for _, m := range []string{"J-3", "J-4", "J-5"} {
		a.Findings = append(a.Findings, deck.Finding{Member: m, What: "fix the joist down at its supports"})
	}
	marks, listed := 0, false
	for _, p := range drawn(t, doc).Pages {
		for _, it := range p.Items {
			switch v := it.(type) {
			case *draw.Circle:
				if v.Layer == "cautions" {
					marks++
				}
			case *draw.Text:
				listed = listed || v.Str == "J-3 to 5"
			}
		}
	}
	if marks != 3 || !listed {
		t.Errorf("%d members marked, want 3; listed: %v", marks, listed)
	}
}

func TestUnprovenIsNotCalledHolding(t *testing.T) {
	doc := sample.Deck(12000, 8000, quantity.Metric)
	doc.Pours[0].Audit = deck.Audit{}
	for _, it := range drawn(t, doc).Pages[0].Items {
		if x, ok := it.(*draw.Text); ok && strings.Contains(x.Str, "EVERY CHECK HOLDS") {
			t.Error("a pour without checks is called holding")
		}
	}
}

func TestSamePDF(t *testing.T) {
	for name := range samples() {
		a, err := PDF(samples()[name])
		if err != nil {
			t.Fatal(err)
		}
		b, err := PDF(samples()[name])
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(a, b) {
			t.Errorf("%s: two runs differ", name)
		}
	}
}

// The PDF is read back by tools that are not ours.
func TestPDFReadsBack(t *testing.T) {
	for _, tool := range []string{"qpdf", "pdftotext"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skip(tool + " is not installed")
		}
	}
	doc := samples()["refused"]
	b, err := PDF(doc)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "drawings.pdf")
	if err := os.WriteFile(file, b, 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("qpdf", "--check", file).CombinedOutput(); err != nil {
		t.Errorf("qpdf: %v\n%s", err, out)
	}
	text, err := exec.Command("pdftotext", "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	pages := strings.Count(string(text), "\f")
	if want := len(drawn(t, doc).Pages); pages != want {
		t.Errorf("%d pages read back, %d drawn", pages, want)
	}
	want := []string{"no prop of the system reaches 7.2 m", fmt.Sprintf("sheet %d of %d", pages, pages), "1:50 on A3"}
	for _, q := range doc.Pours[0].Deck.Props {
		want = append(want, q.ID)
	}
	for _, w := range want {
		if !strings.Contains(string(text), w) {
			t.Errorf("the text of the PDF has no %q", w)
		}
	}
}

func TestWildNumbersAreRefused(t *testing.T) {
	if _, err := PDF(nil); err == nil {
		t.Error("no plan must be an error")
	}
	for _, v := range []float64{math.NaN(), math.Inf(1), 1e300} {
		doc := sample.Deck(12000, 8000, quantity.Metric)
		doc.Pours[0].Deck.Props[3].At[1] = v
		if _, err := PDF(doc); err == nil || !strings.Contains(err.Error(), "A-4") {
			t.Errorf("prop A-4 at y = %g: got error %v", v, err)
		}
	}
}

func BenchmarkDrawings2000Props(b *testing.B) {
	doc := sample.Deck(60000, 78000, quantity.Metric)
	b.ReportMetric(float64(len(doc.Pours[0].Deck.Props)), "props")
	for b.Loop() {
		if _, err := PDF(doc); err != nil {
			b.Fatal(err)
		}
	}
}

// TestLook writes the sheets of a plan to look at: LOOK names a folder, PLAN a
// plan.json; without PLAN the samples are drawn.
func TestLook(t *testing.T) {
	dir := os.Getenv("LOOK")
	if dir == "" {
		t.Skip("set LOOK to a folder to look at the sheets")
	}
	docs := samples()
	if raw, err := os.ReadFile(os.Getenv("PLAN")); err == nil {
		var doc deck.Document
		if err := json.Unmarshal(raw, &doc); err != nil {
			t.Fatal(err)
		}
		docs = map[string]*deck.Document{"plan": &doc}
	}
	for name, doc := range docs {
		b, err := PDF(doc)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name+".pdf"), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// Every piece of the cut list is named once on the cutting pages, by the name
// that the panel plan gives it, with its size.
func TestCuttingNamesEveryPiece(t *testing.T) {
	for _, style := range []quantity.Style{quantity.Metric, quantity.US} {
		doc := sample.Deck(13500, 8100, style)
		d, err := Draw(doc)
		if err != nil {
			t.Fatal(err)
		}
		words := map[string]int{}
		plan := map[string]bool{}
		for _, p := range d.Pages {
			for _, item := range p.Items {
				text, ok := item.(*draw.Text)
				switch {
				case !ok:
				case strings.Contains(p.Name, "cutting of panels"):
					for _, w := range strings.Fields(text.Str) {
						words[strings.Trim(w, ",:")]++
					}
					if b := text.Box(); b.Min.X < border || b.Max.X > p.W-border {
						t.Errorf("%q leaves the paper", text.Str)
					}
				case text.Label:
					plan[text.Str] = true
				}
			}
		}
		n := 0
		for _, q := range doc.Pours[0].Cuts.Patterns {
			for _, x := range q.Pieces {
				n++
				if words[x.Sheet] != 1 || !plan[x.Sheet] {
					t.Errorf("piece %s is named %d times in the cutting, on the plan: %v", x.Sheet, words[x.Sheet], plan[x.Sheet])
				}
			}
			for _, o := range q.Left {
				if words[o.ID] != 1 {
					t.Errorf("offcut %s is named %d times", o.ID, words[o.ID])
				}
			}
		}
		if n < 5 {
			t.Fatalf("only %d pieces are cut", n)
		}
	}
}

// The corners of a notch as found by hand: a sheet along y, 2000 x 1000, with 300
// along its grain and 200 across cut out of it at its far end.
func TestCornersOfANotch(t *testing.T) {
	s := &deck.Sheet{ID: "P-1", Grain: 90, Shape: deck.Shape{Outer: deck.Ring{{0, 0}, {1000, 0}, {1000, 1700}, {800, 1700}, {800, 2000}, {0, 2000}}}}
	x := deck.CutPiece{Sheet: "P-1", Size: [2]float64{2000, 1000}}
	// Turned so that its grain lies to the right the notch is at the right, below.
	if got := corners(s, x, quantity.Metric); got != "P-1 corners: along 1700; across 200" {
		t.Errorf("got %q", got)
	}
	s.Shape.Outer = deck.Ring{{0, 0}, {1000, 0}, {1000, 2000}, {0, 2000}}
	if got := corners(s, x, quantity.Metric); got != "" {
		t.Errorf("a rectangle has corners to mark: %q", got)
	}
}
