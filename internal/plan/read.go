package plan

import (
	"encoding/json"
	"fmt"
	"os"

	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets/say"
)

// ReadDocument reads a plan.json.
func ReadDocument(path string) (*deck.Document, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("the plan cannot be read: %w", err)
	}
	var head struct {
		Schema string `json:"schema"`
	}
	if err := json.Unmarshal(data, &head); err != nil || head.Schema == "" {
		return nil, fmt.Errorf("%s is not a plan: it must be a plan.json that `shoreward plan` wrote", path)
	}
	if head.Schema != deck.SchemaName {
		return nil, fmt.Errorf("%s has schema %q; this program reads %q: plan the job again with it", path, head.Schema, deck.SchemaName)
	}
	doc := &deck.Document{}
	if err := json.Unmarshal(data, doc); err != nil {
		return nil, fmt.Errorf("%s is damaged: %w", path, err)
	}
	if err := plausible(doc); err != nil {
		return nil, fmt.Errorf("%s cannot be used: %w", path, err)
	}
	return doc, nil
}

// plausible refuses a document whose numbers are those of no building, so that
// everything after it may rely on them.
func plausible(doc *deck.Document) error {
	if s := doc.Job.Style; s != quantity.Metric && s != quantity.US {
		return fmt.Errorf("job.style is %d: 0 for metric units or 1 for US units", s)
	}
	c := doc.Choices
	for _, v := range []struct {
		key              string
		value, low, high float64
	}{
		{"clearance_mm", c.Clearance, 0, 1e3}, {"sheet_bearing_mm", c.Bearing, 1, 1e3}, {"lap_min_mm", c.LapMin, 0, 1e4},
		{"edge_of_stand_mm", c.EdgeOfStand, 0, 1e4}, {"guard_pitch_mm", c.GuardPitch, 100, 1e4}, {"one_person_kg", c.OneManLift, 0, 1e3},
		{"tie_load_N", c.TieLoad, 0, 1e7}, {"brace_load_N", c.BraceLoad, 0, 1e7}, {"hold_down_N", c.HoldDown, 0, 1e7},
		{"kerf_mm", c.Kerf, 0, 20}, {"offcut_min_mm", c.OffcutMin, 0, 3e3},
	} {
		if !(v.value >= v.low && v.value <= v.high) {
			return fmt.Errorf("choices.%s is %g: it must be %g to %g", v.key, v.value, v.low, v.high)
		}
	}
	for id, p := range doc.Parts {
		if p == nil || p.ID != id {
			return fmt.Errorf("parts: %q is not described, or under another id", id)
		}
		for _, size := range []quantity.Length{p.Length.V, p.Width.V, p.Depth.V} {
			if !(size >= 0 && size <= 100) {
				return fmt.Errorf("part %s has a side of %g m", id, float64(size))
			}
		}
	}
	for i := range doc.Pours {
		p := &doc.Pours[i]
		if d := &p.Deck; p.Refused == "" && (len(p.Site.Zones) == 0 || len(d.Sheets) == 0 || len(d.Joists) == 0 || len(d.Props) == 0) {
			return fmt.Errorf("pour %s is not refused but has no zone, no sheets, no joists or no props", p.Name)
		}
	}
	return say.Finite(doc)
}
