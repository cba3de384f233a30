package validation

import (
	"encoding/json"
	"math"
	"sync"
	"testing"

	"shoreward/internal/audit"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/plan"
	"shoreward/internal/quantity"
)

// Real floors: the 1st and 2nd floor slabs (IfcSlab #1532 and #7057) of a
// structural engineer's model. testdata/apartment-floors.yaml names their origin
// and licence. Areas are those that an independent reading of the model's text
// gives (profile area of the slab less that of its openings; read).
var sampleFloors = []struct {
	level      string
	gross, net quantity.Area
	openings   []quantity.Area
	soffit     quantity.Length
}{
	{"1", 340.2867, 324.1359, []quantity.Area{8.0494, 0.3682, 0.6323, 0.6818, 6.4191}, 2.620},
	{"2", 235.7525, 220.0412, nil, 5.620},
}

var loadSample = sync.OnceValues(func() (*job.Job, error) {
	return job.Load("testdata/apartment-floors.yaml", catalog.Load)
})

// ringArea by the shoelace formula.
func ringArea(o job.Outline) quantity.Area {
	twice := 0.0
	for i, p := range o {
		q := o[(i+1)%len(o)]
		twice += float64(p.X)*float64(q.Y) - float64(q.X)*float64(p.Y)
	}
	return quantity.Area(math.Abs(twice) / 2)
}

func TestSampleFloorAreas(t *testing.T) {
	j, err := loadSample()
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range sampleFloors {
		s := j.Levels[i].Pours[0].Slab
		net := ringArea(s.Outline)
		meets(t, "floor "+f.level, "gross area", net, 1, float64(f.gross), 1e-3)
		for k, o := range s.Openings {
			a := ringArea(o)
			net -= a
			if f.openings != nil {
				meets(t, "floor "+f.level, "opening", a, 1, float64(f.openings[k]), 1e-3)
			}
		}
		meets(t, "floor "+f.level, "net area", net, 1, float64(f.net), 1e-3)
		meets(t, "floor "+f.level, "thickness", s.Thickness, mm, 380, 1e-6)
		meets(t, "floor "+f.level, "soffit", j.Levels[i].Top-s.Thickness, 1, float64(f.soffit), 1e-6)
	}
}

// Both floors get a deck, the lower one from the ground slab, the upper one from
// the lower, and an audit that has only plan.json proves every member.
func TestSampleFloorsHold(t *testing.T) {
	j, err := loadSample()
	if err != nil {
		t.Fatal(err)
	}
	cat, err := catalog.Load("")
	if err != nil {
		t.Fatal(err)
	}
	made, err := plan.Run(j, cat, nil)
	if err != nil {
		t.Fatal(err)
	}
	data, err := plan.JSON(made)
	if err != nil {
		t.Fatal(err)
	}
	doc := &deck.Document{}
	if err := json.Unmarshal(data, doc); err != nil {
		t.Fatal(err)
	}
	for i := range doc.Pours {
		p := &doc.Pours[i]
		if p.Refused != "" {
			t.Errorf("floor %s is refused: %s", p.Level, p.Refused)
			continue
		}
		found, err := audit.Run(doc, p)
		if err != nil {
			t.Errorf("floor %s: %v", p.Level, err)
			continue
		}
		fails := 0
		for _, f := range found.Findings {
			if f.Fails {
				if fails++; fails <= 10 {
					t.Errorf("floor %s, not proven: %s at %.0f: %s", p.Level, f.Member, f.At, f.What)
				}
			}
		}
		if (fails > 0) != (p.Summary.Failed > 0) {
			t.Errorf("floor %s: the audit finds %d failures, the plan's summary says %d", p.Level, fails, p.Summary.Failed)
		}
		// The soffit is the net area less what walls and columns take of it.
		if a := p.Summary.Area; a > float64(sampleFloors[i].net)+0.02 || a < 0.85*float64(sampleFloors[i].net) {
			t.Errorf("floor %s: %.3f m2 of soffit, the slab has %.3f m2 net", p.Level, a, float64(sampleFloors[i].net))
		}
		s := p.Summary
		t.Logf("floor %s: %.1f m2, %d pieces, %d sheets, %d joists, %d stringers, %d props, greatest ratio %.3f, %d failures of %d checks",
			p.Level, s.Area, s.Pieces, s.SheetsFull+s.SheetsCut, s.Joists, s.Stringers, s.GradeProps+s.Intermediates, s.MaxRatio, fails, s.Checks)
	}
}
