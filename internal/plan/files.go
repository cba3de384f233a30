package plan

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"github.com/google/renameio/v2"

	"shoreward/internal/book"
	"shoreward/internal/change"
	"shoreward/internal/deck"
	"shoreward/internal/sheets"
	"shoreward/internal/tables"
)

// PourSummary is one pour's entry in summary.json.
type PourSummary struct {
	Name    string `json:"name"`
	Level   string `json:"level"`
	Refused string `json:"refused,omitempty"`
	LaidAs  string `json:"laid_as,omitempty"`
	Follows string `json:"follows,omitempty"`
	deck.Summary
	Changes *change.Counts `json:"changes,omitempty"` // from the earlier plan, where there is one
}

// SummaryFile is summary.json.
type SummaryFile struct {
	Job    string        `json:"job"`
	Basis  string        `json:"basis"`
	System string        `json:"system"`
	Pours  []PourSummary `json:"pours"`
	Total  deck.Summary  `json:"total"`
	Open   Open          `json:"open"`
	// Storeys in short; nil where the job does not ask for them.
	Storeys *StoreysSummary `json:"storeys,omitempty"`

	Changes *change.Counts `json:"changes,omitempty"` // of all pours, and of those that are gone
}

// Result is all that a run gives: the document and what stays open of the job.
type Result struct {
	Doc     *deck.Document
	Open    Open
	Changes *change.Report // from an earlier plan; nil without one
	Seconds float64        // how long the planning took: the one figure that differs from run to run
}

// Summary of a result.
func (r Result) Summary() SummaryFile {
	h := r.Doc.Job
	s := SummaryFile{Job: h.Name, Basis: string(h.Basis), System: h.System, Pours: []PourSummary{}, Total: r.Doc.Total, Open: r.Open}
	for _, p := range r.Doc.Pours {
		one := PourSummary{Name: p.Name, Level: p.Level, Refused: p.Refused, LaidAs: p.LaidAs, Follows: p.Follows, Summary: p.Summary}
		if r.Changes != nil {
			if i := slices.IndexFunc(r.Changes.Pours, func(c change.Pour) bool { return c.Name == p.Name }); i >= 0 {
				one.Changes = &r.Changes.Pours[i].Counts
			}
		}
		s.Pours = append(s.Pours, one)
	}
	if r.Changes != nil {
		s.Changes = &r.Changes.Total
	}
	s.Total.Seconds = r.Seconds
	s.Storeys = storeysSummary(r.Doc.Storeys)
	return s
}

// Write makes every output in dir and gives their paths. All of them are made
// before the first is written, and each is written whole or not at all.
func (r Result) Write(dir string) ([]string, error) {
	type output struct {
		name string
		make func() ([]byte, error)
		data []byte
	}
	outputs := []output{
		{name: "plan.json", make: func() ([]byte, error) { return JSON(r.Doc) }},
		{name: "summary.json", make: func() ([]byte, error) { return JSON(r.Summary()) }},
		{name: "drawings.pdf", make: func() ([]byte, error) { return sheets.Revised(r.Doc, r.Changes) }},
		{name: "calculations.pdf", make: func() ([]byte, error) { return book.PDF(r.Doc) }},
		{name: "takeoff.xlsx", make: func() ([]byte, error) { return tables.XLSX(r.Doc) }},
	}
	if r.Changes != nil {
		outputs = append(outputs, output{name: changesFile, make: func() ([]byte, error) { return JSON(r.Changes) }})
	}
	if err := Folder(dir); err != nil {
		return nil, err
	}
	for i := range outputs {
		var err error
		if outputs[i].data, err = outputs[i].make(); err != nil {
			return nil, fmt.Errorf("%s cannot be made: %w", outputs[i].name, err)
		}
	}
	var paths []string
	for _, o := range outputs {
		path := filepath.Join(dir, o.name)
		if err := WriteFile(path, o.data); err != nil {
			return paths, err
		}
		paths = append(paths, path)
	}
	if r.Changes == nil { // those of a run before this one say nothing of this plan
		if err := os.Remove(filepath.Join(dir, changesFile)); err != nil && !errors.Is(err, os.ErrNotExist) {
			return paths, fmt.Errorf("%s of an earlier run cannot be taken away: %w", changesFile, err)
		}
	}
	return paths, nil
}

const changesFile = "changes.json"

// Folder makes an output folder, or says why it cannot be used, before work is
// spent on what would go there.
func Folder(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("the output folder cannot be made: %w; choose another with -o", err)
	}
	probe, err := os.CreateTemp(dir, ".shoreward-*")
	if err != nil {
		return fmt.Errorf("the output folder cannot be written to: %w; choose another with -o", err)
	}
	return errors.Join(probe.Close(), os.Remove(probe.Name()))
}

// WriteFile writes a file whole or not at all.
func WriteFile(path string, data []byte) error {
	if err := renameio.WriteFile(path, data, 0o644); err != nil {
		return fmt.Errorf("%s cannot be written: %w", path, err)
	}
	return nil
}
