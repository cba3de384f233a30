package plan

import (
	"fmt"
	"math"
	"slices"

	"shoreward/internal/job"
	"shoreward/internal/layout"
	"shoreward/internal/quantity"
)

// fix puts into the layout's input what the job's pins fix for a pour: the
// direction of joists, which kept beams and sheets fix too, and parts that may not
// be used. Places are of the site.
func fix(in *layout.Input, pins []job.Pin, pour string) error {
	system := *in.System
	in.System = &system
	for i, p := range pins {
		if p.Pour != pour {
			continue
		}
		switch dir, fixes := joists(p); {
		case fixes:
			if in.Joists != nil && !parallel(*in.Joists, dir) {
				return fmt.Errorf("pin %d asks for another direction of joists than a pin before it; keep one of them", i+1)
			}
			if in.Joists == nil {
				in.Joists = &dir
			}
		case p.Kind == "forbid" && len(p.Area) == 0:
			if err := forbid(in, p.Part); err != nil {
				return fmt.Errorf("pin %d: %w", i+1, err)
			}
		}
	}
	return nil
}

// joists is the direction of joists that a pin fixes.
func joists(p job.Pin) (quantity.Angle, bool) {
	switch {
	case p.Kind == "joists", p.Kind == "keep" && p.As == job.AsJoist:
		return p.Angle, true
	case p.Kind == "keep" && (p.As == job.AsStringer || p.As == job.AsSheet): // sheets lie with their length across the joists
		return p.Angle + math.Pi/2, true
	}
	return 0, false
}

// parallel tells whether two directions are one, to a hundredth of a degree.
func parallel(a, b quantity.Angle) bool {
	return math.Abs(math.Sin(float64(a-b))) < 1e-4
}

// forbid takes a part out of a system. Parts that the system chooses among may
// go; one that it cannot do without may not.
func forbid(in *layout.Input, part string) error {
	s := in.System
	for _, list := range []*[]string{&s.Sheets, &s.Joists, &s.Stringers, &s.Props} {
		*list = slices.DeleteFunc(slices.Clone(*list), func(id string) bool { return id == part })
		if len(*list) == 0 {
			return fmt.Errorf("%s is forbidden, and system %s has nothing else for its place", part, s.ID)
		}
	}
	for _, only := range []string{s.GradeHead, s.InterHead, s.JoistHead, s.Tripod, s.Wedge, s.Sill, s.EdgeForm, s.Kicker, s.Guard, s.Tie, s.Brace} {
		if only == part {
			return fmt.Errorf("%s is forbidden, and system %s has nothing else for its place", part, s.ID)
		}
	}
	return nil
}
