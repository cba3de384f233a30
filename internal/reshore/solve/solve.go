// Package solve is the storeys of a job: from the job and its planned decks it makes
// the building that internal/storeys follows, judges every slab at its hour, finds
// when pours may be struck and which cycles are safe, and places the reshores.
//
// What it needs and is not told stops it with an error; what it takes for granted
// is listed in the report.
package solve

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"shoreward/internal/calc"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/reshore"
	"shoreward/internal/rules/aci347"
	"shoreward/internal/rules/osha1926"
	"shoreward/internal/storeys"
	"shoreward/internal/strength"
)

// beyond the last placing that temperatures are looked at.
const beyond quantity.Duration = 24 * 400

// Run finds the storeys of a planned job.
func Run(j *job.Job, doc *deck.Document, cat *catalog.Catalog, tell Progress) (*reshore.Report, error) {
	if j.Storeys == nil {
		return nil, errors.New("the job has no storeys: add a block \"storeys\" with the temperature of the concrete and what the slabs are designed for")
	}
	m, err := newModel(j, doc, cat)
	if err != nil {
		return nil, err
	}
	start := m.start()
	h, err := newHardening(j, start, beyond)
	if err != nil {
		return nil, err
	}
	asked := choice{}
	asked.cycle, asked.shores, asked.reshores = j.Floors.Numbers()
	found := asked.cycle == 0 || asked.shores < 0 || asked.reshores < 0
	if asked.cycle == 0 && !start.IsZero() {
		asked.cycle = m.shortest() // the dates are followed, whatever could be faster
	}
	answers := reshore.Answers{Gear: m.gearBy()}
	list := m.choices(asked)
	all, err := m.judged(list, h, tell)
	if err != nil {
		return nil, err
	}
	for _, v := range all {
		answers.Options = append(answers.Options, m.option(v))
	}
	order(answers.Options)
	best(&answers)
	at := take(answers.Options, asked)
	if at < 0 {
		return nil, errors.New("no cycle could be followed")
	}
	o := answers.Options[at]
	c := choice{cycle: quantity.Duration(o.Cycle), shores: o.Shores, reshores: o.Reshores, dated: !start.IsZero()}
	v, err := m.follow(c, h)
	if err != nil {
		return nil, err
	}
	r := &reshore.Report{Style: j.Style, Choice: choiceOf(c), Answers: answers}
	r.Choice.Found = found
	if !start.IsZero() {
		r.Start = start.Format(time.RFC3339)
	}
	if r.Answers.WhatIf, err = m.whatIf(v, h); err != nil {
		return nil, err
	}
	if err := m.report(r, v, h); err != nil {
		return nil, err
	}
	if !r.Safe {
		r.Answers.Remedies = remedies(r.Answers.Options, r.Choice)
		if text, ok := m.stronger(v); ok {
			r.Answers.Remedies = append(r.Answers.Remedies, text)
		}
	}
	return r, nil
}

// shortest time between the first pours of two levels that follow one another.
func (m *model) shortest() quantity.Duration {
	least := quantity.Duration(0)
	for i := 1; i < len(m.floors); i++ {
		first := func(floor []*pour) quantity.Duration {
			at := floor[0].date
			for _, p := range floor {
				at = min(at, p.date)
			}
			return at
		}
		if d := first(m.floors[i]) - first(m.floors[i-1]); d > 0 && (least == 0 || d < least) {
			least = d
		}
	}
	return least
}

// date of an hour in the report.
func date(start time.Time, at quantity.Duration) string {
	if start.IsZero() {
		return ""
	}
	return start.Add(hoursOf(at)).Format("2006-01-02 15:04")
}

// report writes out a choice that was followed.
func (m *model) report(r *reshore.Report, v *verdict, h *hardening) error {
	curves := make([]*curve, len(m.pours))
	for i, at := range v.placed {
		var err error
		if curves[i], err = h.of(at); err != nil {
			return err
		}
	}
	m.levels(r)
	m.history(r, v, curves)
	unproven := map[string]bool{}
	holds := true
	for _, p := range m.pours {
		one, err := m.pourOf(p, r, v, curves, unproven)
		if err != nil {
			return fmt.Errorf("pour %s: %w", p.of.Name, err)
		}
		r.Pours = append(r.Pours, one)
	}
	r.Findings = append(r.Findings, m.frozen(v, h, curves)...)
	for _, f := range r.Findings {
		holds = holds && f.Ratio <= 1 && f.Ratio > 0
	}
	for i := range m.pours {
		if why, ok := v.never[i]; ok {
			r.Findings = append(r.Findings, reshore.Finding{What: fmt.Sprintf("pour %s can never be struck in this order of work: %s", m.pours[i].of.Name, why), Pour: m.pours[i].of.Name, Step: -1})
		}
	}
	for _, c := range v.bad {
		r.Findings = append(r.Findings, reshore.Finding{What: m.text(c, v), Pour: m.pours[c.pour].of.Name, Step: stepOf(v, c.op), At: float64(c.op.At), Ratio: c.line.Ratio})
	}
	if v.why != "" {
		r.Findings = append(r.Findings, reshore.Finding{What: v.why, Step: -1})
	}
	slices.SortStableFunc(r.Findings, func(a, b reshore.Finding) int {
		switch {
		case a.Ratio > b.Ratio:
			return -1
		case a.Ratio < b.Ratio:
			return 1
		}
		return 0
	})
	r.Safe = v.safe() && holds
	for _, p := range m.pours {
		for _, kind := range []string{"slab", "shores", "reshores", "pushed up"} {
			c, ok := v.most[[2]any{p.at, kind}]
			if !ok {
				continue
			}
			lines := c.lines
			if len(lines) == 0 {
				lines = calc.Lines{c.line}
			} else { // the strength that the check goes by, and where it comes from
				f, _ := curves[p.at].line(c.op.At)
				lines = append(calc.Lines{f}, lines...)
			}
			r.Worst = append(r.Worst, reshore.Worked{Kind: kind, Pour: p.of.Name, Name: m.text(c, v), Lines: lines})
		}
	}
	r.Worst = append(r.Worst, m.worked...)
	r.Assumed = m.assumed
	r.Cautions = m.cautions(v, h)
	r.Unproven = []string{
		"creep, shrinkage, the stiffness of columns and walls beside the slabs, and the spread of load to slabs at the side",
		"bending and shear of the slabs but by the ratio of load to design load; openings and edges of the slabs",
		"gear and material stacked on the slabs after striking, but for the working load on a slab that is just struck",
		"punching is checked for the choice that is followed, not for the others that are listed",
	}
	for _, p := range m.pours {
		if v.reshores > 0 && p.level.Base.Level == "" && m.covered[p.of.Name] {
			unproven[fmt.Sprintf("the ground under the reshores of pour %s, and what spreads their load on it", p.of.Name)] = true
		}
	}
	r.Unproven = append(r.Unproven, sorted(unproven)...)
	if r.Findings == nil {
		r.Findings = []reshore.Finding{}
	}
	return nil
}

func sorted(set map[string]bool) []string {
	var out []string
	for s := range set {
		out = append(out, s)
	}
	slices.Sort(out)
	return out
}

func stepOf(v *verdict, op storeys.Operation) int {
	return slices.Index(v.ops, op)
}

// levels of the building.
func (m *model) levels(r *reshore.Report) {
	for i := range m.j.Levels {
		l := &m.j.Levels[i]
		thick := quantity.Length(0)
		for _, p := range l.Pours {
			thick = max(thick, p.Slab.Thickness)
		}
		r.Levels = append(r.Levels, reshore.Level{Name: l.Name, Top: mm(l.Top), Base: mm(l.Base.Z), Ground: l.Base.Level == "", On: l.Base.Level,
			Storeys: mm(l.Top - l.Base.Z), Reshore: mm(l.Top - thick - l.Base.Z)})
	}
}

func mm(l quantity.Length) float64 { return math.Round(l.Millimetres()*100) / 100 }

// history writes the operations, and what every slab and level of props carries
// after each.
func (m *model) history(r *reshore.Report, v *verdict, curves []*curve) {
	start := m.start()
	index := map[storeys.Operation]int{}
	for k, op := range v.ops {
		index[op] = k
		r.Steps = append(r.Steps, reshore.Step{Number: k + 1, Kind: kindOf(op.Kind), Pour: op.Slab, Name: op.Name(), At: float64(op.At), Date: date(start, op.At)})
	}
	for n := range m.spots {
		spot := &m.spots[n]
		place := reshore.Spot{Name: fmt.Sprintf("place %d", n+1), At: spot.At, Area: math.Round(float64(spot.Area)*100) / 100}
		for _, i := range spot.Pours {
			place.Pours = append(place.Pours, m.pours[i].of.Name)
		}
		for _, method := range methods {
			run := v.runs[method][n]
			out := reshore.Run{Method: method}
			for _, st := range run.with.Steps {
				out.States = append(out.States, reshore.State{Step: index[st.Operation], At: float64(st.At), Slabs: make([]reshore.SlabState, len(spot.Pours)), Props: make([]reshore.PropState, len(spot.Pours))})
				s := &out.States[len(out.States)-1]
				for j, i := range spot.Pours {
					have := st.Slabs[j]
					s.Slabs[j] = reshore.SlabState{Placed: have.Placed, Age: float64(have.Age), Load: round(float64(have.Load))}
					if have.Placed {
						s.Slabs[j].Strength = round(float64(curves[i].strength(st.At)))
					}
					q := st.Props[j]
					s.Props[j] = reshore.PropState{Kind: q.Kind.String(), On: q.On, Load: round(float64(q.Force)), Gap: round(q.Gap.Millimetres()*1e3) / 1e3}
					if q.Kind == storeys.None {
						s.Props[j].On = storeys.Ground
					}
					if q.Lifted {
						s.Lifted = append(s.Lifted, m.pours[i].of.Name)
					}
				}
				for _, j := range st.Snugged {
					s.Snugged = append(s.Snugged, m.pours[spot.Pours[j]].of.Name)
				}
			}
			m.each(run, curves, true, func(k, j int, c check) {
				c.method = method
				s := &out.States[k]
				if step := &r.Steps[s.Step]; c.line.Ratio > step.Ratio {
					step.Ratio, step.Where = c.line.Ratio, m.text(c, v)
				}
				if c.kind == "shores" || c.kind == "reshores" {
					s.Props[j].Ratio = c.line.Ratio
				} else {
					s.Slabs[j].Ratio = math.Max(s.Slabs[j].Ratio, c.line.Ratio)
				}
			})
			for k := range run.with.Steps {
				for j, i := range spot.Pours {
					if s := &out.States[k].Slabs[j]; s.Placed {
						m.capacity(m.pours[i], run, k, j, s)
					}
				}
			}
			place.Runs = append(place.Runs, out)
		}
		r.Places = append(r.Places, place)
	}
}

func round(v float64) float64 { return math.Round(v*1e3)/1e3 + 0 }

// capacity is the load in the same mix that a slab may carry: nothing below the
// least strength.
func (m *model) capacity(p *pour, run spotRun, k, j int, s *reshore.SlabState) {
	d := m.demand(run, k, j)
	s.Variable = round(float64(d.Variable))
	if !(d.Dead+d.Variable > 1e-6*p.weight) {
		d = strength.Demand{Dead: p.weight}
	}
	lines, err := p.member.Check(d, quantity.Stress(s.Strength))
	if err != nil || len(lines) < 2 || lines[0].Ratio > 1+1e-9 {
		return
	}
	worst := 0.0
	for _, l := range lines[1:] {
		if l.IsCheck() && l.Kind == calc.Pressure {
			worst = math.Max(worst, l.Ratio)
		}
	}
	if worst > 0 && worst < 999 {
		s.Capacity = round(float64(d.Dead+d.Variable) / worst)
	}
}

// pourOf writes a pour.
func (m *model) pourOf(p *pour, r *reshore.Report, v *verdict, curves []*curve, unproven map[string]bool) (reshore.Pour, error) {
	i := p.at
	out := reshore.Pour{Name: p.of.Name, Level: p.level.Name, Slab: p.deck.Site.Slab, Supports: supports(p), Area: math.Round(plane.Area(p.deck.Site.Slab)/1e2) / 1e4,
		Thickness: mm(p.of.Slab.Thickness), Weight: round(float64(p.weight)), Forms: round(float64(p.forms)), Live: round(float64(p.live)),
		Design: round(float64(p.member.Design)), Service: round(float64(p.member.Service)), Span: mm(p.level.Design.Span), Stiffness: math.Round(float64(p.full)),
		Placed: float64(v.placed[i]), Stripped: float64(v.strip[i])}
	if at, ok := v.remove[p.of.Name]; ok {
		t := float64(at)
		out.Removed = &t
	}
	out.Shores = m.levelData(p, v, p.shores, storeys.Shore)
	if v.reshores > 0 && m.covered[p.of.Name] {
		out.Reshores = m.levelData(p, v, p.reshores, storeys.ReshoreProp)
	} else {
		out.Reshores.MostStep = -1
	}
	end := v.placed[i] + 28*24
	for k := 0; ; k++ {
		at := v.placed[i] + quantity.Duration(12*k)
		if at > end {
			break
		}
		_, forecast := curves[i].line(at)
		out.Strength = append(out.Strength, reshore.StrengthAt{At: float64(at), Strength: round(float64(curves[i].strength(at))), Forecast: forecast})
	}
	out.Strip = m.stripAnswer(p, v, curves[i])
	layout, worked, findings := m.layout(p, v, curves, unproven)
	r.Worst = append(r.Worst, worked...)
	r.Findings = append(r.Findings, findings...)
	var err error
	if out.Sequence, err = m.sequence(p, &layout); err != nil {
		return out, err
	}
	out.Layout = layout
	return out, nil
}

func (m *model) levelData(p *pour, v *verdict, l propLevel, kind storeys.Prop) reshore.PropLevel {
	top := m.most(p, v, kind)
	out := reshore.PropLevel{Count: l.count, Stiffness: math.Round(float64(l.stiffness)), Rating: round(float64(l.rating)), MostStep: -1, Part: l.worst.part, Extension: l.worst.length, RatedAt: round(float64(l.worst.force))}
	if math.IsInf(out.Rating, 0) {
		out.Rating = 0
	}
	if top.force > 0 {
		out.Most, out.MostAt, out.MostStep, out.Method = round(float64(top.force)), float64(top.at.At), stepOf(v, top.at), top.method
		if out.Rating > 0 {
			out.Ratio = out.Most / out.Rating
			out.MostForce = round(out.Ratio * out.RatedAt)
		}
	}
	return out
}

// stripAnswer is when a pour may be struck and what governs.
func (m *model) stripAnswer(p *pour, v *verdict, c *curve) reshore.StripAnswer {
	at := v.strip[p.at]
	line, forecast := c.line(at)
	out := reshore.StripAnswer{Earliest: float64(at), After: float64(at - v.placed[p.at]), Date: date(m.start(), at), Possible: v.never[p.at] == "",
		Strength: round(line.Value), Governs: v.governs[p.at], Forecast: forecast, Lines: calc.Lines{line}}
	if why := v.never[p.at]; why != "" {
		out.Governs = why
	}
	d := p.level.Design
	if d.Loads {
		own := quantity.Stress(float64(m.j.Settings.ConcreteWeight) * float64(p.of.Slab.Thickness))
		if t, err := aci347.StrippingTime(aci347.FloorSlab, d.Span, d.Live > own+d.Dead); err == nil {
			out.TableDays = t.Value
			out.Lines = append(out.Lines, t)
		}
	}
	return out
}

// frozen are the pours whose concrete freezes before it may: after that no maturity
// and no curve tells its strength.
func (m *model) frozen(v *verdict, h *hardening, curves []*curve) []reshore.Finding {
	var out []reshore.Finding
	for i, p := range m.pours {
		readings := []strength.Reading{}
		if h.steady != nil {
			for k := range 24 * 7 {
				readings = append(readings, strength.Reading{At: h.start.Add(hoursOf(v.placed[i] + quantity.Duration(k))), T: *h.steady})
			}
		}
		for _, s := range h.log {
			readings = append(readings, s.Readings...)
		}
		at, need, bad := strength.Frozen(readings, h.start.Add(hoursOf(v.placed[i])), func(at time.Time) quantity.Stress {
			return curves[i].strength(quantity.Duration(at.Sub(h.start).Hours()))
		})
		if bad {
			hour := quantity.Duration(at.At.Sub(h.start).Hours())
			out = append(out, reshore.Finding{What: fmt.Sprintf("pour %s is at %s %s after it is placed, before it has the %s to freeze once: strength is then told by tests of that concrete alone; protect it, and give the temperature that it is kept at",
				p.of.Name, at.T.Text(m.j.Style), ageText(hour-v.placed[i]), quantity.Stress(need.Value).Text(m.j.Style)), Pour: p.of.Name, Step: -1, At: float64(hour)})
		}
	}
	return out
}

// cautions that go with every result.
func (m *model) cautions(v *verdict, h *hardening) []string {
	out := []string{
		"A design aid. Local codes, the project's licensed engineer and the contractor's written procedure for shoring, stripping and reshoring govern.",
		"Strengths here are for planning: before forms go the strength is shown by tests of the concrete of that pour.",
	}
	if !m.j.Storeys.Loose && v.reshores > 0 {
		out = append(out, "Reshores that come loose are made snug before every placing: without that the slabs above carry more than is shown.")
	}
	if v.reshores > 0 {
		out = append(out, "Reshores go in snug, not jacked: they must not lift the slab above. Only so much is stripped that the reshores of that part are in before the next part goes.")
	}
	for _, c := range osha1926.Cautions() {
		if slices.Contains([]string{"29 CFR 1926.703(e)(1)", "29 CFR 1926.703(b)(10)", "29 CFR 1926.703(e)(2)", "29 CFR 1926.701(a)", "29 CFR 1926.703(b)(8)"}, c.Section) {
			out = append(out, fmt.Sprintf("%s (%s)", c.Duty, c.Section))
		}
	}
	if h.steady == nil {
		for _, s := range h.log {
			if spells := strength.ColdWeather(s.Readings); len(spells) > 0 {
				out = append(out, fmt.Sprintf("Cold weather (under 40 °F, 4.4 °C) by %s from %s, down to %s: protect the concrete; the dates above rely on its temperature.", s.Name, spells[0].From.Format("2006-01-02 15:04"), spells[0].Lowest.Text(m.j.Style)))
			}
		}
	} else if *h.steady < quantity.Fahrenheit(40) {
		out = append(out, "Cold weather: the temperature given is under 40 °F (4.4 °C); protect the concrete from freezing.")
	}
	return out
}
