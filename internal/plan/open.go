package plan

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/sheets/count"
)

// Open is what the job asks and the plan does not give, said so that nobody
// takes the plan for more than it is.
type Open struct {
	Short     []Short  `json:"short"`      // gear that the yard lacks
	NotObeyed []string `json:"not_obeyed"` // wishes of the job that the plan does not meet
}

// Any reports whether something is open.
func (o Open) Any() bool { return len(o.Short) > 0 || len(o.NotObeyed) > 0 }

// Short is a part of which the yard has fewer than stand at once.
type Short struct {
	Part  string `json:"part"`
	Name  string `json:"name"`
	Have  int    `json:"have"`
	Need  int    `json:"need"`
	Where string `json:"where"` // the levels at which most are needed
}

// Unsettled finds what a plan leaves open of its job.
func Unsettled(j *job.Job, doc *deck.Document) Open {
	return Open{Short: shortages(j, doc), NotObeyed: notObeyed(j, doc)}
}

// shortages compares the stock with what stands at once: all pours of as many
// levels, one above the other, as the job shores together (one where it does not
// say), and the reshores of the levels under them where the storeys have any.
func shortages(j *job.Job, doc *deck.Document) []Short {
	out := []Short{}
	for _, id := range slices.Sorted(maps.Keys(j.Stock)) {
		s := Short{Part: id, Name: id, Have: j.Stock[id]}
		if p := doc.Parts[id]; p != nil {
			s.Name = p.Name
		}
		for _, names := range together(j) {
			n, where := standing(doc, names, id), strings.Join(names, " and ")
			if under, levels := reshoring(j, doc, names, id); under > 0 {
				n, where = n+under, where+", reshores under "+strings.Join(levels, " and ")
			}
			if n > s.Need {
				s.Need, s.Where = n, where
			}
		}
		if s.Need > s.Have {
			out = append(out, s)
		}
	}
	return out
}

// standing counts the whole parts behind what is placed at some levels: whole
// pieces, sheets that are cut up, the stock that sawn members come from. An offcut
// that a pour elsewhere left counts as a sheet, on the safe side.
func standing(doc *deck.Document, levels []string, part string) int {
	var pours []*deck.Pour
	for i := range doc.Pours {
		if slices.Contains(levels, doc.Pours[i].Level) {
			pours = append(pours, &doc.Pours[i])
		}
	}
	n := 0
	for _, g := range count.List(doc, pours...) {
		if g.ID == part {
			n += g.Send
		}
	}
	for _, p := range pours {
		if p.Cuts == nil {
			continue
		}
		for _, q := range p.Cuts.Patterns {
			if q.Part == part && q.Offcut != "" && !leaves(pours, q.Offcut) {
				n++
			}
		}
	}
	return n
}

// leaves reports whether one of the pours leaves an offcut.
func leaves(pours []*deck.Pour, id string) bool {
	for _, p := range pours {
		if p.Cuts == nil {
			continue
		}
		for _, q := range p.Cuts.Patterns {
			for _, o := range q.Left {
				if o.ID == id {
					return true
				}
			}
		}
	}
	return false
}

// notObeyed lists the wishes of the job that its plan does not meet.
func notObeyed(j *job.Job, doc *deck.Document) []string {
	out := []string{}
	for i := range doc.Pours {
		for _, n := range doc.Pours[i].Notes {
			out = append(out, fmt.Sprintf("pour %s: %s", doc.Pours[i].Name, n))
		}
	}
	return append(out, storeysOpen(j, doc)...)
}
