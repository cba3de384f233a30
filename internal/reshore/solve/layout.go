package solve

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"shoreward/internal/calc"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/reshore"
	"shoreward/internal/rules"
	"shoreward/internal/rules/aci318"
	"shoreward/internal/storeys"
	"shoreward/internal/strength"
)

// press is what presses on a slab in the state that asks most of it.
type press struct {
	above, below quantity.Stress // props on it, reshores under it
	have         quantity.Stress // strength of its concrete
	step         storeys.Operation
	found        bool
}

// presses are the states that ask most of a slab: where a prop stands right over a
// reshore only the difference goes through it, elsewhere the whole of the greater.
// Upper is that of reshores which stand on the slab.
func (m *model) presses(p *pour, v *verdict, curves []*curve) (line, apart, upper press) {
	hard := func(force, have quantity.Stress) float64 {
		return float64(force) / math.Sqrt(math.Max(float64(have), 1))
	}
	worstLine, worstApart, worstUpper := 0.0, 0.0, 0.0
	for _, method := range methods {
		for _, r := range v.runs[method] {
			j := slices.Index(r.spot.Pours, p.at)
			if j < 0 {
				continue
			}
			for _, st := range r.with.Steps {
				s := press{have: curves[p.at].strength(st.At), step: st.Operation, found: true}
				kind := storeys.None
				for k := range st.Props {
					if st.Props[k].Kind != storeys.None && st.Props[k].On == j {
						s.above, kind = st.Props[k].Force, st.Props[k].Kind
					}
				}
				if h := hard(s.above, s.have); kind == storeys.ReshoreProp && st.Props[j].Kind != storeys.Shore && h > worstUpper {
					worstUpper, upper = h, s
				}
				if st.Props[j].Kind != storeys.ReshoreProp {
					if st.Props[j].Kind == storeys.Shore {
						continue // on its own shores and forms the slab is carried all over
					}
				} else {
					s.below = st.Props[j].Force
				}
				if h := hard(quantity.Stress(math.Abs(float64(s.above-s.below))), s.have); h > worstLine {
					worstLine, line = h, s
				}
				if h := hard(max(s.above, s.below), s.have); h > worstApart {
					worstApart, apart = h, s
				}
			}
		}
	}
	return line, apart, upper
}

// variableFactor on the force of a prop that punches: all of it is taken as variable.
func (m *model) variableFactor() float64 {
	if m.j.Basis == rules.EU {
		return 1.5
	}
	return 1.6
}

// plate is the side of the end of a reshore.
func plate(s *stand) quantity.Length {
	switch {
	case s.part != nil && s.part.Shore != nil && s.part.Shore.Plate.Known:
		return s.part.Shore.Plate.V
	case s.part != nil && s.part.Width.Known:
		return s.part.Width.V
	}
	return 100 * quantity.Millimetre // smaller than any in use
}

// punching of a place by a prop on it and a reshore under it, each of its share.
func (m *model) punching(p *pour, s *stand, w press, above, below quantity.Area, inLine bool) (calc.Lines, error) {
	side := plate(s)
	on := strength.PropOn{Above: quantity.Force(float64(w.above) * float64(above)), Below: quantity.Force(float64(w.below) * float64(below)), InLine: inLine,
		C1: side, C2: side, D: p.depth, Place: aci318.Interior}
	edge := math.Inf(1)
	for _, r := range outline(p.of.Slab).Rings() {
		edge = math.Min(edge, r.DistanceTo(s.at))
	}
	reach := side.Millimetres()/2 + p.depth.Millimetres()/2
	if m.j.Basis == rules.EU {
		if edge < side.Millimetres()/2+2*p.depth.Millimetres() {
			return nil, errNearEdge
		}
		return strength.PunchingEN(on, w.have, 0, m.variableFactor())
	}
	if edge < reach {
		on.Place = aci318.Edge
		for _, c := range outline(p.of.Slab).Outer {
			if apart(c, s.at) < 2*reach {
				on.Place = aci318.Corner
			}
		}
	}
	return strength.PunchingACI(on, w.have, m.variableFactor())
}

var errNearEdge = errors.New("near an edge or opening: the control perimeter of EN 1992-1-1 is for the engineer to draw")

// bending of the slab between a prop and the reshore beside it: their couple, spread
// at 45 degrees from the plate to both sides and through half the slab's thickness,
// against the slab as plain concrete.
func (m *model) bending(p *pour, s *stand, w press, b beside) calc.Line {
	force := float64(max(w.above, w.below)) * float64(b.share)
	e, h, c := b.off/1000, float64(p.of.Slab.Thickness), float64(plate(s))
	l := calc.Line{Symbol: "m", Name: "bending between the prop and the reshore beside it", Formula: "γ · P · e / (2 · e + c + h)", Kind: calc.MomentPerM,
		Terms: []calc.Term{{Sym: "γ", Val: m.variableFactor()}, calc.Num("P", quantity.Force(force), calc.Force), calc.Num("e", quantity.Length(e), calc.Length), calc.Num("c", plate(s), calc.Length), calc.Num("h", p.of.Slab.Thickness, calc.Length)},
		Value: m.variableFactor() * force * e / (2*e + c + h), Source: "couple spread at 45 degrees; plain concrete of ACI 318-19 14.5.2.1", Evidence: calc.Memory}
	fc := math.Max(float64(w.have), 0)
	psi := float64(quantity.PSI)
	may := 0.6 * 5 * math.Sqrt(fc/psi) * psi * h * h / 6
	if m.j.Basis == rules.EU {
		l.Source = "couple spread at 45 degrees; plain concrete of EN 1992-1-1 12.3.1"
		may = 0.8 * 0.7 * 0.3e6 * math.Pow(fc/1e6, 2.0/3) / 1.5 * h * h / 6
	}
	return l.Check(may, "φ · m_cr")
}

// layout of the reshores of a pour, with the slab checked at each; without levels of
// reshores the props above are checked on it.
func (m *model) layout(p *pour, v *verdict, curves []*curve, unproven map[string]bool) (reshore.ReshoreLayout, []reshore.Worked, []reshore.Finding) {
	out := reshore.ReshoreLayout{Slab: p.level.Base.Level, Reshores: []reshore.Reshore{}}
	line, off, upper := m.presses(p, v, curves)
	standing := m.standing(p, v)
	if !m.covered[p.of.Name] {
		return out, nil, nil // nothing comes onto it
	}
	load := m.most(p, v, storeys.ReshoreProp)
	out.Load = float64(load.force)
	var worst reshore.Worked
	worstRatio := 0.0
	var findings []reshore.Finding
	fail := func(s *stand, r float64, what string) {
		findings = append(findings, reshore.Finding{What: fmt.Sprintf("%s under pour %s at x %s, y %s: %s", s.id, p.of.Name, quantity.Millimetres(s.at[0]).Text(m.j.Style), quantity.Millimetres(s.at[1]).Text(m.j.Style), what), Pour: p.of.Name, Step: -1, Ratio: r})
	}
	for _, s := range p.stands {
		r := reshore.Reshore{ID: s.id, At: s.at, Length: s.length, Share: float64(s.share), Over: s.over}
		if s.part != nil {
			hole, thread := s.part.Setting(quantity.Millimetres(s.length))
			r.Part, r.Hole, r.Thread = s.part.ID, hole, math.Round(thread.Millimetres()*100)/100
		}
		r.Load = float64(load.force) * float64(s.share) * m.factor()
		if r.Rating = float64(s.rating); r.Rating > 0 {
			r.Ratio = r.Load / r.Rating
		}
		if v.reshores > 0 && s.why != "" {
			r.Fails, r.Ratio = s.why, 999
			fail(s, 0, s.why)
		} else if v.reshores > 0 && r.Ratio > 1+1e-9 {
			r.Fails = "its load is over its rating"
			fail(s, r.Ratio, fmt.Sprintf("load %s, rating %s", quantity.Force(r.Load).Text(m.j.Style), quantity.Force(r.Rating).Text(m.j.Style)))
		}
		check := func(lines calc.Lines, err error, what string) {
			if err != nil {
				unproven[fmt.Sprintf("punching at props of pour %s: %v", p.of.Name, err)] = true
				return
			}
			w, ok := lines.Worst()
			if !ok {
				return
			}
			r.Punch = math.Max(r.Punch, w.Ratio)
			if w.Ratio > worstRatio {
				worstRatio, worst = w.Ratio, reshore.Worked{Kind: "punching", Pour: p.of.Name, Name: fmt.Sprintf("at %s, %s", s.id, what), Lines: lines}
			}
			if w.Ratio > 1+1e-9 {
				r.Fails = what + ": " + w.Name
				fail(s, w.Ratio, fmt.Sprintf("%s: %s %s, at most %s", what, w.Name, calc.Text(w.Value, w.Kind, m.j.Style), calc.Text(*w.Limit, w.Kind, m.j.Style)))
			}
		}
		if line.found && v.reshores > 0 && s.why == "" {
			own := s.share
			for _, b := range s.also {
				own -= b.share
			}
			for _, w := range []press{line, off} {
				lines, err := m.punching(p, s, w, own, s.share, s.over != "")
				check(lines, err, w.step.Name())
			}
		}
		if off.found && (v.reshores == 0 || s.why != "") {
			lines, err := m.punching(p, s, press{above: off.above, have: off.have, found: true}, s.share, s.share, false)
			check(lines, err, off.step.Name()+", no reshore under it")
		}
		// Reshores of the level above that stand beside this one, by the decks they are in
		// line with.
		for _, u := range standing[s] {
			r.Off = math.Max(r.Off, u.off)
			if upper.found {
				what := fmt.Sprintf("%s, reshore %s of the level above %s beside it", upper.step.Name(), u.prop, quantity.Millimetres(u.off).Text(m.j.Style))
				lines, err := m.punching(p, s, press{above: upper.above, have: upper.have, found: true}, u.share, 0, false)
				check(lines, err, what)
				check(calc.Lines{m.bending(p, s, press{above: upper.above, have: upper.have}, u)}, nil, what)
			}
		}
		for _, b := range s.also {
			r.Off = math.Max(r.Off, b.off)
			if off.found && v.reshores > 0 {
				lines, err := m.punching(p, s, press{above: off.above, have: off.have, found: true}, b.share, 0, false)
				check(lines, err, fmt.Sprintf("%s, prop %s %s beside it", off.step.Name(), b.prop, quantity.Millimetres(b.off).Text(m.j.Style)))
				check(calc.Lines{m.bending(p, s, off, b)}, nil, fmt.Sprintf("%s, prop %s %s beside it", off.step.Name(), b.prop, quantity.Millimetres(b.off).Text(m.j.Style)))
			}
		}
		if v.reshores > 0 {
			r.Ratio = math.Max(r.Ratio, r.Punch)
			out.Reshores = append(out.Reshores, r)
		}
	}
	if v.reshores > 0 {
		out.Pitch = m.pitch(p)
	}
	var worked []reshore.Worked
	if worstRatio > 0 {
		worked = append(worked, worst)
	}
	slices.SortStableFunc(findings, func(a, b reshore.Finding) int { return cmp.Compare(b.Ratio, a.Ratio) })
	return out, worked, findings
}

// standing are the reshores under the pours above that do not stand over a reshore
// under this one, by the nearest of these.
func (m *model) standing(p *pour, v *verdict) map[*stand][]beside {
	out := map[*stand][]beside{}
	if v.reshores < 2 {
		return out
	}
	for _, q := range m.above(p) {
		if !m.covered[q.of.Name] {
			continue
		}
		for _, u := range q.stands {
			if u.part == nil || !plane.Within(p.deck.Site.Slab, u.at) {
				continue
			}
			var to *stand
			near := math.Inf(1)
			for _, s := range p.stands {
				if d := apart(s.at, u.at); s.part != nil && d < near {
					near, to = d, s
				}
			}
			if to != nil && near > inLine {
				out[to] = append(out[to], beside{u.id, near, u.share})
			}
		}
	}
	return out
}

// peak is the greatest load on a level of props.
type peak struct {
	force  quantity.Stress
	at     storeys.Operation
	method string
}

// most is the greatest load per area on the props under a pour.
func (m *model) most(p *pour, v *verdict, kind storeys.Prop) peak {
	var out peak
	for _, method := range methods {
		for _, r := range v.runs[method] {
			j := slices.Index(r.spot.Pours, p.at)
			if j < 0 {
				continue
			}
			for _, st := range r.with.Steps {
				if q := st.Props[j]; q.Kind == kind && q.Force > out.force*(1+1e-9) {
					out = peak{q.Force, st.Operation, method}
				}
			}
		}
	}
	return out
}

// pitch is twice the farthest that a place of the slab lies from a reshore, a column
// or a wall, looked at every half metre.
func (m *model) pitch(p *pour) float64 {
	const step = 500
	far := 0.0
	box := plane.Bounds(p.deck.Site.Slab)
	for y := box.Y0 + step/2; y < box.Y1; y += step {
		for x := box.X0 + step/2; x < box.X1; x += step {
			at := plane.Point{x, y}
			if !plane.Within(p.deck.Site.Slab, at) {
				continue
			}
			near := fromSupport(p, at)
			for _, s := range p.stands {
				if s.part != nil {
					near = math.Min(near, apart(at, s.at))
				}
			}
			far = math.Max(far, near)
		}
	}
	if math.IsInf(far, 1) {
		return 0
	}
	return math.Round(2 * far)
}

// supports of a pour: the columns and walls under it.
func supports(p *pour) []reshore.Support {
	out := []reshore.Support{}
	for _, b := range p.deck.Site.Blocks {
		if b.Kind == "column" || b.Kind == "wall" {
			out = append(out, reshore.Support{Kind: b.Kind, Name: b.Name, Ring: b.Ring})
		}
	}
	return out
}

func fromSupport(p *pour, at plane.Point) float64 {
	near := math.Inf(1)
	for _, b := range p.deck.Site.Blocks {
		if b.Kind == "column" || b.Kind == "wall" {
			near = math.Min(near, b.Ring.DistanceTo(at))
			if b.Ring.Contains(at) {
				near = 0
			}
		}
	}
	return near
}

// cell of the slab, the least part of the forms that goes.
type cell struct {
	shapes []plane.Shape
	area   float64 // m2
	far    float64 // mm from the nearest support
	tip    bool
	at     plane.Point
}

// sequence is the order in which the forms of a pour go: what lies farthest from
// its supports first, so from midspan toward the columns and from the tip of a
// cantilever inward; never more at once than is allowed, and reshored before the next.
func (m *model) sequence(p *pour, layout *reshore.ReshoreLayout) ([]reshore.StripArea, error) {
	most := float64(m.j.Storeys.StripArea)
	span := float64(p.level.Design.Span)
	if most == 0 {
		most = span * span
	}
	side := math.Min(math.Sqrt(most), span/2) * 1000
	var corners []plane.Point
	for _, s := range supports(p) {
		corners = append(corners, s.Ring...)
	}
	if len(corners) == 0 {
		layout.Notes = append(layout.Notes, "no column or wall is given under this pour: from where to strip is for the engineer to say")
		return []reshore.StripArea{}, nil
	}
	hull := plane.Hull(corners)
	box := plane.Bounds(p.deck.Site.Slab)
	nx, ny := math.Ceil((box.X1-box.X0)/side), math.Ceil((box.Y1-box.Y0)/side)
	w, h := (box.X1-box.X0)/nx, (box.Y1-box.Y0)/ny
	var cells []cell
	for y := range int(ny) {
		for x := range int(nx) {
			r := plane.Rect(box.X0+float64(x)*w, box.Y0+float64(y)*h, box.X0+float64(x+1)*w, box.Y0+float64(y+1)*h)
			shapes, err := plane.Intersection(p.deck.Site.Slab, []plane.Shape{{Outer: r}})
			if err != nil {
				return nil, err
			}
			area := plane.Area(shapes) / 1e6
			if area < 0.01 {
				continue
			}
			at := r.Centroid()
			if !plane.Within(shapes, at) {
				at = shapes[0].Outer.Centroid()
			}
			cells = append(cells, cell{shapes, area, fromSupport(p, at), len(hull) < 3 || !plane.InHull(hull, at, 1), at})
		}
	}
	slices.SortStableFunc(cells, func(a, b cell) int { return cmp.Compare(math.Round(b.far), math.Round(a.far)) })
	out := []reshore.StripArea{}
	for _, c := range cells {
		k := len(out) - 1
		if k < 0 || out[k].Area+c.area > most*(1+1e-9) || out[k].Tip != c.tip {
			out = append(out, reshore.StripArea{Number: k + 2, Distance: math.Round(c.far), Tip: c.tip, Reshores: []string{}})
			k++
		}
		out[k].Shapes = append(out[k].Shapes, c.shapes...)
		out[k].Area += c.area
	}
	for i := range layout.Reshores {
		r := &layout.Reshores[i]
		for k := range out {
			if r.Area == 0 && plane.Within(out[k].Shapes, r.At) {
				r.Area = out[k].Number
				out[k].Reshores = append(out[k].Reshores, r.ID)
			}
		}
	}
	for k := range out {
		out[k].Area = math.Round(out[k].Area*1e4) / 1e4
	}
	return out, nil
}
