package audit

import (
	"fmt"
	"math"
	"slices"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/reshore"
	"shoreward/internal/storeys"
)

// Storeys proves what can be proven of the stored storeys from the file alone: that
// at every slab after every operation what comes in goes out, that nothing pulls, that
// no ratio over 1 is called safe, and that reshores stand in their slab and are rated
// as stored. Strengths, stiffnesses, capacities and the answers are taken as stored.
// It gives how many things it looked at, and what does not hold.
func Storeys(doc *deck.Document) (looked int, bad []string) {
	r := doc.Storeys
	if r == nil {
		return 0, nil
	}
	wrong := func(format string, args ...any) { bad = append(bad, fmt.Sprintf(format, args...)) }
	pours := map[string]*reshore.Pour{}
	for i := range r.Pours {
		pours[r.Pours[i].Name] = &r.Pours[i]
	}
	worst := 0.0
	for _, place := range r.Places {
		for _, run := range place.Runs {
			live := make([]bool, len(place.Pours))
			for _, s := range run.States {
				if s.Step < 0 || s.Step >= len(r.Steps) || len(s.Slabs) != len(place.Pours) || len(s.Props) != len(place.Pours) {
					wrong("%s, %s props: a state does not fit its pours and operations", place.Name, run.Method)
					continue
				}
				step := r.Steps[s.Step]
				if i := slices.Index(place.Pours, step.Pour); i >= 0 && (step.Kind == reshore.Place || step.Kind == reshore.LiveOff) {
					live[i] = step.Kind == reshore.Place
				}
				looked++
				for _, text := range unbalanced(place, s, pours, live) {
					wrong("%s, %s props, after operation %d (%s): %s", place.Name, run.Method, step.Number, step.Name, text)
				}
				for i := range s.Slabs {
					worst = math.Max(worst, math.Max(s.Slabs[i].Ratio, s.Props[i].Ratio))
				}
			}
		}
	}
	for i := range r.Pours {
		p := &r.Pours[i]
		for _, x := range p.Layout.Reshores {
			looked++
			worst = math.Max(worst, x.Ratio)
			part := doc.Parts[x.Part]
			if part == nil {
				wrong("reshore %s under %s: its part %q is not described", x.ID, p.Name, x.Part)
				continue
			}
			limit, _, err := doc.Settings.Prop(part, quantity.Millimetres(x.Length))
			switch {
			case err != nil:
				wrong("reshore %s under %s: %v", x.ID, p.Name, err)
			case x.Rating > float64(limit)*(1+1e-6):
				wrong("reshore %s under %s is stored as rated %s, and carries %s at its length", x.ID, p.Name, quantity.Force(x.Rating).Text(r.Style), limit.Text(r.Style))
			case x.Load > float64(limit)*math.Max(1, x.Ratio)*(1+1e-6):
				wrong("reshore %s under %s carries %s of %s, and its stored ratio is %.3f", x.ID, p.Name, quantity.Force(x.Load).Text(r.Style), limit.Text(r.Style), x.Ratio)
			case !plane.Within(p.Slab, x.At):
				wrong("reshore %s under %s stands outside its slab", x.ID, p.Name)
			}
		}
	}
	if r.Safe && (worst > 1+1e-6 || len(r.Findings) > 0) {
		wrong("it is stored as safe, with a ratio of %.3f and %d findings", worst, len(r.Findings))
	}
	if !r.Safe {
		wrong("it is stored as not safe: %s", first(r.Findings))
	}
	return looked, bad
}

func first(fs []reshore.Finding) string {
	if len(fs) == 0 {
		return "without a reason"
	}
	return fs[0].What
}

// unbalanced says where what comes onto a slab is not what goes out of it.
func unbalanced(place reshore.Spot, s reshore.State, pours map[string]*reshore.Pour, live []bool) []string {
	var out []string
	from := make([]float64, len(place.Pours))
	for i, q := range s.Props {
		if q.Load < -1 {
			out = append(out, fmt.Sprintf("props under %s pull", place.Pours[i]))
		}
		if q.Kind != storeys.None.String() && q.On >= 0 && q.On < len(from) {
			from[q.On] += q.Load
		}
	}
	for i, name := range place.Pours {
		p := pours[name]
		if p == nil {
			return append(out, fmt.Sprintf("pour %s is not described", name))
		}
		if !s.Slabs[i].Placed {
			continue
		}
		in := p.Weight + from[i]
		if s.Props[i].Kind == storeys.Shore.String() {
			in += p.Forms
		}
		if live[i] {
			in += p.Live
		}
		if d := in - s.Slabs[i].Load - s.Props[i].Load; math.Abs(d) > 1+1e-6*in {
			out = append(out, fmt.Sprintf("slab %s: %.1f Pa come in, %.1f Pa go out", name, in, s.Slabs[i].Load+s.Props[i].Load))
		}
	}
	return out
}
