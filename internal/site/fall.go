package site

import (
	"fmt"

	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/plane"
	"shoreward/internal/rules"
)

// falls puts the slope of a pour's slab into its site.
func falls(s *deck.Site, p *job.Pour) error {
	f := p.Slab.Fall
	if f == nil {
		return nil
	}
	if float64(f.Slope) > rules.SteepestFall+1e-9 {
		return Refusal{fmt.Sprintf("pour %s falls %s, and soffits are planned up to 1:8 (common practice, no source): on a steeper one fresh concrete runs without a form over its top, and props must be held against the push down the slope; have an engineer design its forms, or make the fall less",
			p.Name, slopeText(float64(f.Slope)))}
	}
	s.Fall = &deck.Fall{At: point(f.From), Rise: f.Rise()}
	s.TopZ = mm(f.Top)
	return nil
}

// slopeText writes a slope for both trades: 2.0 % (1:50).
func slopeText(v float64) string { return fmt.Sprintf("%.1f %% (1:%.4g)", 100*v, 1/v) }

// levelBelow refuses a pour over a slab that falls: props on a slope are not planned.
func levelBelow(j *job.Job, l *job.Level, p *job.Pour) error {
	mine := []plane.Shape{{Outer: ring(p.Slab.Outline)}}
	for i := range j.Levels {
		if l.Base.Level == "" || j.Levels[i].Name != l.Base.Level {
			continue
		}
		for _, b := range j.Levels[i].Pours {
			if b.Slab.Fall == nil {
				continue
			}
			both, err := plane.Intersection(mine, []plane.Shape{{Outer: ring(b.Slab.Outline)}})
			if err != nil {
				return err
			}
			if plane.Area(both) > scrapArea {
				return Refusal{fmt.Sprintf("pour %s would stand on pour %s, which falls: props on a slope are not planned; have their feet and what holds them there designed by an engineer, or shore it from the level below with another base",
					p.Name, b.Name)}
			}
		}
	}
	return nil
}
