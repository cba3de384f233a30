package book

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

	"shoreward/internal/calc"
	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/sample"
)

func failing() *deck.Document {
	doc := sample.Deck(12000, 8000, quantity.US)
	p := &doc.Pours[0]
	p.Audit.Checks[3].Ratio, p.Audit.Checks[3].Value = 1.124, 1.124*20e3
	p.Summary.MaxRatio, p.Summary.Failed = 1.124, 1
	p.Audit.Findings = append(p.Audit.Findings, deck.Finding{Member: "B-3", At: deck.Point{2650, 3000}, What: "stands 12 mm off its stringer", Fails: true})
	doc.Pours = append(doc.Pours, deck.Pour{Name: "L3-A", Level: "L3", Refused: "no prop of the system reaches 7.2 m"})
	return doc
}

// texts of each page in the order they were set.
func texts(d *draw.Document) []string {
	var out []string
	for _, p := range d.Pages {
		var b strings.Builder
		for _, it := range p.Items {
			if t, ok := it.(*draw.Text); ok {
				b.WriteString(t.Str + "\n")
			}
		}
		out = append(out, b.String())
	}
	return out
}

func drawn(t *testing.T, doc *deck.Document) *draw.Document {
	t.Helper()
	d, err := Draw(doc)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestFailuresComeFirst(t *testing.T) {
	first := texts(drawn(t, failing()))[0]
	for _, want := range []string{"FAILS: 3", "stands 12 mm off its stringer", "refused: no prop of the system reaches 7.2 m", "A-4", "1.13", "Do not build what fails."} {
		if !strings.Contains(first, want) {
			t.Errorf("the first page does not say %q", want)
		}
	}
	if i, j := strings.Index(first, "FAILS"), strings.Index(first, "Pours"); i > j {
		t.Error("what fails must stand before everything else")
	}
}

func TestDefaultsAndMemoryAreListed(t *testing.T) {
	doc := sample.Deck(12000, 8000, quantity.Metric)
	for i := range 150 { // more than a page of each
		doc.Assumed = append(doc.Assumed, deck.Assumed{Key: fmt.Sprintf("key.%d", i), Value: "v", Reason: "r"})
		doc.Unsure = append(doc.Unsure, deck.Unsure{Of: fmt.Sprintf("part-%d", i), Value: fmt.Sprintf("value %d", i), Evidence: calc.Memory})
	}
	all := strings.Join(texts(drawn(t, doc)), "")
	for i := range 150 {
		for _, want := range []string{fmt.Sprintf("key.%d\n", i), fmt.Sprintf("part-%d\n", i)} {
			if !strings.Contains(all, want) {
				t.Errorf("%q is not in the book", want)
			}
		}
	}
}

func TestWorkedCheckIsWhole(t *testing.T) {
	all := strings.Join(texts(drawn(t, sample.Deck(12000, 8000, quantity.Metric))), "")
	flat := strings.ReplaceAll(all, "\n", "")
	// M_Ed of the sample: w l2 / 8 = 3.13 x 2.0^2 / 8 = 1.564 kNm against 5.0 kNm: 0.3128, rounded up 0.32
	for _, want := range []string{"MEd=w·l2/8=3.13kN/m·(2000.0mm)2/8=1.564kNm≤MRd=5.000kNm0.32", "from memory: confirm against the standard", "EN 13377, annex E", "γM"} {
		if !strings.Contains(flat, want) {
			t.Errorf("the book does not say %q", want)
		}
	}
}

func TestRunsOfAFormula(t *testing.T) {
	flat := func(s string) string {
		var b strings.Builder
		for _, tok := range parse(s, false) {
			for _, r := range tok.runs {
				b.WriteString([]string{"_", "", "^"}[r.rise+1] + "{" + r.text + "}")
			}
			b.WriteString(" ")
		}
		return b.String()
	}
	for in, want := range map[string]string{
		"f_b'":          "{f}_{b}{'} ",
		"k_mod * M_k":   "{k}_{mod} {·} {M}_{k} ",
		"gamma_M^2":     "{γ}_{M}^{2} ",
		"sigma_c,90,d":  "{σ}_{c,90,d} ",
		"10^-3":         "{10}^{-3} ",
		"a_ + ^ b":      "{a}{_} {+} {^} {b} ",
		"N/mm2":         "{N}{/}{mm}{²} ",
		"72.0 psi":      "{72.0} {psi} ",
		"psi_0 * Q":     "{ψ}_{0} {·} {Q} ",
		"(a <= b)":      "{(}{a} {≤} {b}{)} ",
		"sqrt(f_c / E)": "{√}{(}{f}_{c} {/} {E}{)} ",
	} {
		if got := flat(in); got != want {
			t.Errorf("%s: got %s, want %s", in, got, want)
		}
	}
}

// Page numbers of the contents are those of the pages that hold the headings.
func TestContents(t *testing.T) {
	doc := failing()
	for range 3 {
		p := doc.Pours[0]
		p.Name = fmt.Sprint(p.Name, len(doc.Pours))
		doc.Pours = append(doc.Pours, p)
	}
	d := drawn(t, doc)
	pages := map[string]int{}
	for i, p := range d.Pages {
		for _, a := range p.Anchors {
			pages[a.Name] = i + 1
		}
	}
	checked := 0
	for i, p := range d.Pages {
		for _, l := range p.Links {
			if pages[l.To] == 0 {
				t.Errorf("page %d leads to %q, which is nowhere", i+1, l.To)
			}
			for _, it := range p.Items {
				x, ok := it.(*draw.Text)
				if ok && l.Box.Has(x.At) && x.Align == draw.Right {
					checked++
					if x.Str != fmt.Sprint(pages[l.To]) {
						t.Errorf("contents say page %s for %s, which is on page %d", x.Str, l.To, pages[l.To])
					}
				}
			}
		}
	}
	if checked < 20 {
		t.Errorf("only %d entries in the contents", checked)
	}
}

func TestTextStaysOnThePaper(t *testing.T) {
	for _, doc := range []*deck.Document{failing(), sample.Deck(12000, 8000, quantity.Metric), {}} {
		for i, p := range drawn(t, doc).Pages {
			paper := draw.Box{Max: draw.Point{X: p.W, Y: p.H}}
			for _, it := range p.Items {
				if x, ok := it.(*draw.Text); ok && !paper.Holds(x.Box()) {
					t.Errorf("page %d: %q leaves the paper", i+1, x.Str)
				}
			}
		}
	}
}

func TestOddDiagrams(t *testing.T) {
	for name, g := range map[string]*deck.Diagram{
		"none":        nil,
		"empty":       {},
		"point":       {Start: 1, End: 1, Supports: []float64{1}},
		"not numbers": {End: 1, X: []float64{0, 1}, M: []float64{math.NaN(), 1}},
		"short":       {End: 1, X: []float64{0, 1}, M: []float64{1}},
		"nothing":     {End: 1, X: []float64{0, 1}, M: []float64{0, 0}, V: []float64{0, 0}, D: []float64{0, 0}},
		"uplift":      {End: 1, Supports: []float64{0, 1, 2}, Reactions: []float64{-5, 3}, Loads: []deck.DiagramLoad{{From: 0.2, To: 0.2, P: -10}, {From: 0, To: 1, W1: 0, W2: -5}}},
	} {
		doc := sample.Deck(12000, 8000, quantity.Metric)
		doc.Pours[0].Audit.Worked[0].Diagram = g
		if _, err := PDF(doc); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestSamePDF(t *testing.T) {
	a, err := PDF(failing())
	if err != nil {
		t.Fatal(err)
	}
	b, err := PDF(failing())
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a, b) {
		t.Error("two runs differ")
	}
	if _, err := PDF(nil); err == nil {
		t.Error("no plan must be an error")
	}
}

// The PDF is read back by tools that are not ours.
func TestPDFReadsBack(t *testing.T) {
	for _, tool := range []string{"qpdf", "pdftotext"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skip(tool + " is not installed")
		}
	}
	b, err := PDF(failing())
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "calculations.pdf")
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
	n := strings.Count(string(text), "\f")
	for _, want := range []string{fmt.Sprintf("page %d of %d", n, n), "A-11", "largest moment", "1926.703(b)(8)"} {
		if !strings.Contains(string(text), want) {
			t.Errorf("the text of the PDF has no %q", want)
		}
	}
}

// TestLook writes the book of a plan to look at: LOOK names a folder, PLAN a
// plan.json; without PLAN the samples are written.
func TestLook(t *testing.T) {
	dir := os.Getenv("LOOK")
	if dir == "" {
		t.Skip("set LOOK to a folder to look at the book")
	}
	docs := map[string]*deck.Document{"book-metric": sample.Deck(12000, 8000, quantity.Metric), "book-us": failing()}
	if raw, err := os.ReadFile(os.Getenv("PLAN")); err == nil {
		var doc deck.Document
		if err := json.Unmarshal(raw, &doc); err != nil {
			t.Fatal(err)
		}
		docs = map[string]*deck.Document{"book-plan": &doc}
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
