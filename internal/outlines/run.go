package outlines

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"runtime"
	"strconv"
	"sync"

	"shoreward/internal/audit"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plan"
)

// Row is what came of one outline.
type Row struct {
	ID       string
	Area     float64 // m2 of soffit, or of the outline when it was refused
	Pieces   int
	Props    int
	MaxRatio float64
	Gap      float64 // of the layout's bound: see docs/layout.md
	Failed   int
	Fails    string // the first failure, with its member
	Refused  string // why there is no deck
}

// Passed reports whether every check of the audit held.
func (r Row) Passed() bool { return r.Refused == "" && r.Failed == 0 }

// Summary of a run.
type Summary struct {
	Outlines   int     `json:"outlines"`
	Passed     int     `json:"passed"`
	Failed     int     `json:"failed"`
	Refused    int     `json:"refused"`
	Area       float64 `json:"area_m2"`
	PassedArea float64 `json:"passed_area_m2"`
	Pieces     int     `json:"pieces"`
	Props      int     `json:"props"`
	MaxRatio   float64 `json:"max_ratio_passed"`
	Seconds    float64 `json:"seconds"`
}

// Run plans and audits every outline, one worker a processor.
func Run(list []Outline, cat *catalog.Catalog, tell plan.Progress) []Row {
	rows := make([]Row, len(list))
	next := make(chan int)
	var wg sync.WaitGroup
	var mu sync.Mutex
	done := 0
	for range min(runtime.GOMAXPROCS(0), len(list)) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				rows[i] = one(list[i], cat)
				mu.Lock()
				done++
				if tell != nil {
					tell(done, len(list), list[i].ID)
				}
				mu.Unlock()
			}
		}()
	}
	for i := range list {
		next <- i
	}
	close(next)
	wg.Wait()
	return rows
}

// one plans an outline and audits the plan as a stranger would: from its file.
func one(o Outline, cat *catalog.Catalog) (row Row) {
	row = Row{ID: o.ID, Area: math.Abs(o.Outer.SignedArea()) / 1e6}
	defer func() {
		if broken := recover(); broken != nil { // one outline must not end a run of hundreds
			row.Failed, row.Fails = 1, fmt.Sprintf("the program broke down, which is its mistake: %v", broken)
		}
	}()
	j, err := o.Job(func(string) (*catalog.Catalog, error) { return cat, nil })
	if err != nil {
		row.Refused = err.Error()
		return row
	}
	doc, err := plan.Run(j, cat, nil)
	if err == nil {
		doc, err = reread(doc)
	}
	if err != nil {
		row.Failed, row.Fails = 1, err.Error()
		return row
	}
	p := &doc.Pours[0]
	if p.Refused != "" {
		row.Refused = p.Refused
		return row
	}
	found, err := audit.Run(doc, p)
	if err != nil {
		row.Failed, row.Fails = 1, err.Error()
		return row
	}
	found.Findings = append(audit.Cuts(doc, 0), found.Findings...)
	s := p.Summary
	row.Area, row.Pieces, row.Props, row.Gap = s.Area, s.Pieces, s.GradeProps+s.Intermediates, s.BoundGap
	for _, c := range found.Checks {
		row.MaxRatio = math.Max(row.MaxRatio, c.Ratio)
	}
	for _, f := range found.Findings {
		if f.Fails {
			if row.Failed == 0 {
				row.Fails = f.Member + ": " + f.What
			}
			row.Failed++
		}
	}
	return row
}

// reread sends a document through its file form.
func reread(doc *deck.Document) (*deck.Document, error) {
	data, err := plan.JSON(doc)
	if err != nil {
		return nil, err
	}
	out := &deck.Document{}
	return out, json.Unmarshal(data, out)
}

// Summarize adds up.
func Summarize(rows []Row) Summary {
	s := Summary{Outlines: len(rows)}
	for _, r := range rows {
		s.Area += r.Area
		s.Pieces += r.Pieces
		s.Props += r.Props
		switch {
		case r.Refused != "":
			s.Refused++
		case r.Failed > 0:
			s.Failed++
		default:
			s.Passed++
			s.PassedArea += r.Area
			s.MaxRatio = math.Max(s.MaxRatio, r.MaxRatio)
		}
	}
	return s
}

// CSV is the table of a run.
func CSV(rows []Row) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	lines := [][]string{{"id", "area_m2", "pieces", "props", "max_ratio", "bound_gap", "failed", "first_failure", "refused"}}
	for _, r := range rows {
		lines = append(lines, []string{r.ID, fixed(r.Area, 3), strconv.Itoa(r.Pieces), strconv.Itoa(r.Props), fixed(r.MaxRatio, 4), fixed(r.Gap, 4), strconv.Itoa(r.Failed), r.Fails, r.Refused})
	}
	if err := w.WriteAll(lines); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func fixed(v float64, decimals int) string { return strconv.FormatFloat(v, 'f', decimals, 64) }
