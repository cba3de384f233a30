package plan

import (
	"fmt"
	"slices"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/reshore"
	"shoreward/internal/reshore/solve"
)

// FollowStoreys adds the storeys to a planned job that asks for them, and gives what
// stays open of the job: decks stand without them, with why said.
func FollowStoreys(j *job.Job, doc *deck.Document, cat *catalog.Catalog, tell Progress) Open {
	err := Storeys(j, doc, cat, tell)
	open := Unsettled(j, doc)
	if err != nil {
		open.NotObeyed = append(open.NotObeyed, "storeys: "+err.Error())
	}
	return open
}

// Storeys follows the loads of a planned job through all its levels, where the job
// asks for it, and keeps what it finds in the document.
func Storeys(j *job.Job, doc *deck.Document, cat *catalog.Catalog, tell Progress) error {
	doc.Storeys = nil
	if j.Storeys == nil {
		return nil
	}
	r, err := solve.Run(j, doc, cat, solve.Progress(tell))
	if err != nil {
		return err
	}
	doc.Storeys = r
	for _, p := range r.Pours {
		for _, x := range p.Layout.Reshores {
			if part := cat.Parts[x.Part]; part != nil {
				doc.Parts[x.Part] = part
			}
		}
	}
	for _, u := range unsure(doc, cat) {
		doc.Unsure = addUnsure(doc.Unsure, u)
	}
	for _, a := range r.Assumed {
		doc.Assumed = append(doc.Assumed, deck.Assumed{Key: "storeys: " + a.Key, Value: a.Value, Reason: a.Reason})
	}
	for _, w := range r.Worst {
		for _, l := range w.Lines {
			if isUnsure(l.Evidence) {
				doc.Unsure = addUnsure(doc.Unsure, deck.Unsure{Of: "rule", Value: l.Name, Source: l.Source, Evidence: l.Evidence})
			}
		}
	}
	return nil
}

func addUnsure(list []deck.Unsure, u deck.Unsure) []deck.Unsure {
	for _, have := range list {
		if have == u {
			return list
		}
	}
	return append(list, u)
}

// StoreysSummary is the storeys in summary.json.
type StoreysSummary struct {
	Safe     bool             `json:"safe"`
	Choice   reshore.Choice   `json:"choice"`
	MaxRatio float64          `json:"max_ratio"` // worst of all slabs and props; striking waits until it holds, so it is often near 1
	Failed   int              `json:"failed"`
	Reshores int              `json:"reshores"` // pieces, on all levels
	Fastest  *reshore.Option  `json:"fastest,omitempty"`
	Cheapest *reshore.Option  `json:"cheapest,omitempty"`
	Strip    []StripSummary   `json:"strip"`
	WhatIf   []reshore.WhatIf `json:"what_if"`
}

// StripSummary is when a pour may be struck.
type StripSummary struct {
	Pour     string  `json:"pour"`
	After    float64 `json:"after_h"`
	Date     string  `json:"date,omitempty"`
	Strength float64 `json:"strength_Pa"`
	Governs  string  `json:"governs"`
	Possible bool    `json:"possible"`
}

func storeysSummary(r *reshore.Report) *StoreysSummary {
	if r == nil {
		return nil
	}
	s := &StoreysSummary{Safe: r.Safe, Choice: r.Choice, Failed: len(r.Findings), WhatIf: r.Answers.WhatIf}
	for _, st := range r.Steps {
		s.MaxRatio = max(s.MaxRatio, st.Ratio)
	}
	for _, p := range r.Pours {
		s.Reshores += len(p.Layout.Reshores)
		s.Strip = append(s.Strip, StripSummary{p.Name, p.Strip.After, p.Strip.Date, p.Strip.Strength, p.Strip.Governs, p.Strip.Possible})
	}
	if k := r.Answers.Fastest; k >= 0 {
		s.Fastest = &r.Answers.Options[k]
	}
	if k := r.Answers.Cheapest; k >= 0 {
		s.Cheapest = &r.Answers.Options[k]
	}
	return s
}

// storeysOpen says what stays open of the floors of a job.
func storeysOpen(j *job.Job, doc *deck.Document) []string {
	var out []string
	if j.Storeys == nil {
		for _, ask := range []struct{ key, value string }{{"cycle", j.Floors.Cycle}, {"shores", j.Floors.Shores}, {"reshores", j.Floors.Reshores}} {
			if ask.value == "find" {
				out = append(out, fmt.Sprintf("floors: %s is to be found, but the job has no storeys: add the block with the temperature of the concrete and what the slabs are designed for (docs/storeys.md)", ask.key))
			}
		}
		return out
	}
	if r := doc.Storeys; r != nil && !r.Safe {
		for k, f := range r.Findings {
			if k == 3 {
				out = append(out, fmt.Sprintf("storeys: and %d more, see the calculations", len(r.Findings)-k))
				break
			}
			out = append(out, "storeys: "+f.What)
		}
		for _, f := range r.Answers.Remedies {
			out = append(out, "storeys, what would hold: "+f)
		}
	}
	return out
}

// reshoring counts the reshores of a part under the levels below the shored ones.
func reshoring(j *job.Job, doc *deck.Document, shored []string, part string) (n int, levels []string) {
	r := doc.Storeys
	if r == nil {
		return 0, nil
	}
	first := slices.IndexFunc(j.Levels, func(l job.Level) bool { return l.Name == shored[0] })
	for i := max(0, first-r.Choice.Reshores); i < first; i++ {
		had := n
		for _, p := range r.Pours {
			if p.Level != j.Levels[i].Name {
				continue
			}
			for _, x := range p.Layout.Reshores {
				if x.Part == part {
					n++
				}
			}
		}
		if n > had {
			levels = append(levels, j.Levels[i].Name)
		}
	}
	return n, levels
}
