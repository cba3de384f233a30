package solve

import (
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
	"shoreward/internal/rules"
	"shoreward/internal/rules/aci318"
	"shoreward/internal/rules/asce37"
	"shoreward/internal/rules/en12812"
	"shoreward/internal/rules/en1992"
	"shoreward/internal/storeys"
	"shoreward/internal/strength"
)

// model is the job and its decks as storeys.
type model struct {
	j       *job.Job
	doc     *deck.Document
	cat     *catalog.Catalog
	system  *catalog.System
	pours   []*pour
	floors  [][]*pour // pours by level, from the lowest up
	shape   storeys.Building
	spots   []storeys.Spot
	covered map[string]bool // pours with a pour over them
	assumed []reshore.Assumed
	worked  []reshore.Worked
}

// pour of the model.
type pour struct {
	at     int // in the building
	level  *job.Level
	floor  int // index of the level
	of     *job.Pour
	deck   *deck.Pour
	weight quantity.Stress
	forms  quantity.Stress
	live   quantity.Stress
	member strength.Member
	full   storeys.Stiffness // of the slab at 28 days
	depth  quantity.Length   // effective
	date   quantity.Duration // of its own, since the start
	// Strength load of its deck per area, by which shares of props are told, and what
	// its shores carry without factors when it is placed.
	placing, service quantity.Stress
	shores           propLevel
	stands           []*stand // where reshores may stand under it
	reshores         propLevel
}

// propLevel is the props under a pour.
type propLevel struct {
	count     int
	stiffness storeys.Stiffness
	rating    quantity.Stress // per area, without factors
	worst     propAt
}

// propAt is the prop of a level that is at its rating first.
type propAt struct {
	part   string
	length float64        // mm
	force  quantity.Force // in it at the load per area that the level is rated at
}

// stand is a place for a reshore, in line with a prop above where there is one.
type stand struct {
	id     string
	at     plane.Point
	over   string // prop that stands over it
	like   string // part of that prop
	share  quantity.Area
	part   *catalog.Part
	length float64        // mm
	rating quantity.Force // in the sense of the basis
	why    string         // nothing may stand here, and why
	also   []beside       // props above that stand beside it and that it serves too
}

// beside is a prop above that no reshore stands under.
type beside struct {
	prop  string
	off   float64 // mm
	share quantity.Area
}

// newModel gathers what the storeys need of a planned job.
func newModel(j *job.Job, doc *deck.Document, cat *catalog.Catalog) (*model, error) {
	system, err := cat.Kit(j.System, string(j.Basis), j.Style)
	if err != nil {
		return nil, err
	}
	m := &model{j: j, doc: doc, cat: cat, system: system}
	for i := range j.Levels {
		l := &j.Levels[i]
		var floor []*pour
		for k := range l.Pours {
			p := &pour{at: len(m.pours), level: l, floor: i, of: &l.Pours[k]}
			at := slices.IndexFunc(doc.Pours, func(d deck.Pour) bool { return d.Name == p.of.Name })
			if at < 0 || doc.Pours[at].Refused != "" {
				return nil, fmt.Errorf("pour %s has no deck: what stands under it is not known", p.of.Name)
			}
			p.deck = &doc.Pours[at]
			if err := m.load(p); err != nil {
				return nil, fmt.Errorf("pour %s: %w", p.of.Name, err)
			}
			m.pours = append(m.pours, p)
			floor = append(floor, p)
		}
		m.floors = append(m.floors, floor)
	}
	if err := m.dates(); err != nil {
		return nil, err
	}
	for _, p := range m.pours {
		if err := m.props(p); err != nil {
			return nil, fmt.Errorf("pour %s: %w", p.of.Name, err)
		}
	}
	for _, p := range m.pours {
		if err := m.stands(p); err != nil {
			return nil, fmt.Errorf("pour %s: %w", p.of.Name, err)
		}
		m.shape.Pours = append(m.shape.Pours, storeys.Pour{
			Slab:    storeys.Slab{ID: p.of.Name, Top: p.level.Top, Weight: p.weight, Forms: p.forms, Live: p.live},
			Outline: outline(p.of.Slab)})
	}
	m.shape.Ground = storeys.Rigid
	if m.spots, err = m.shape.Spots(); err != nil {
		return nil, err
	}
	m.covered = map[string]bool{}
	for _, p := range m.spots {
		for _, i := range p.Pours[:len(p.Pours)-1] {
			m.covered[m.pours[i].of.Name] = true
		}
	}
	m.assume()
	return m, nil
}

func outline(s job.Slab) plane.Shape {
	out := plane.Shape{Outer: ring(s.Outline)}
	for _, o := range s.Openings {
		out.Holes = append(out.Holes, ring(o))
	}
	return out
}

func ring(o job.Outline) plane.Ring {
	var r plane.Ring
	for _, p := range o {
		r = append(r, plane.Point{p.X.Millimetres(), p.Y.Millimetres()})
	}
	return r
}

func (m *model) assumeOne(key, value, reason string) {
	if a := (reshore.Assumed{Key: key, Value: value, Reason: reason}); !slices.Contains(m.assumed, a) {
		m.assumed = append(m.assumed, a)
	}
}

// load finds what a pour weighs and what its slab was designed for.
func (m *model) load(p *pour) error {
	set, style := m.j.Settings, m.j.Style
	d := p.deck
	concrete, area, forms := 0.0, 0.0, 0.0
	for _, z := range d.Site.Zones {
		a := plane.Area(z.Shapes)
		area, concrete = area+a, concrete+a*z.Thickness/1000
	}
	if !(area > 0) || len(d.Audit.Loads) == 0 {
		return fmt.Errorf("its deck has no zone or no load")
	}
	mean := quantity.Length(concrete / area)
	w := calc.Line{Symbol: "D", Name: "weight of the slab, beams and drops spread over it", Formula: "w_c · h", Kind: calc.Pressure,
		Terms: []calc.Term{calc.Num("w_c", set.ConcreteWeight, calc.UnitWeight), calc.Num("h", mean, calc.Length)},
		Value: float64(set.ConcreteWeight) * float64(mean), Source: "parts of the slab by their thickness", Evidence: calc.Derived}
	p.weight = quantity.Stress(w.Value)
	p.placing = quantity.Stress(math.Inf(1))
	for _, z := range d.Audit.Loads {
		forms = math.Max(forms, float64(z.Load.Forms))
		if z.Load.Concrete > 0 { // not that of the working strip
			p.placing = min(p.placing, z.Load.Strength())
		}
	}
	parts := d.Summary.Weight * quantity.Gravity / (area / 1e6)
	f := calc.Line{Symbol: "f", Name: "weight of the forms and props that go when the pour is struck", Formula: "max(m · g / A, f_min)", Kind: calc.Pressure,
		Terms: []calc.Term{{Sym: "m", Val: d.Summary.Weight}, {Sym: "g", Val: quantity.Gravity}, calc.Num("A", quantity.Area(area/1e6), calc.Area), calc.Num("f_min", quantity.Stress(forms), calc.Pressure)},
		Value: math.Max(parts, forms), Source: "parts placed (m in kg), or the allowance of the job where it is more", Evidence: calc.Derived}
	p.forms, p.live = quantity.Stress(f.Value), set.LiveLoad
	p.service = p.weight + p.forms + p.live

	ds := p.level.Design
	own := float64(set.ConcreteWeight) * float64(p.of.Slab.Thickness)
	p.member = strength.Member{Name: p.of.Name, Full: m.j.Concrete.Strength, Criterion: strength.Criterion(m.j.Storeys.Criterion), AtMost: quantity.Ratio(m.j.Storeys.AtMost)}
	lines := calc.Lines{w, f}
	if ds.Loads {
		dead := quantity.Stress(own) + ds.Dead
		service := calc.Line{Symbol: "w_ser", Name: "design load without factors", Formula: "w_c · t + D_s + L", Kind: calc.Pressure,
			Terms: []calc.Term{calc.Num("w_c", set.ConcreteWeight, calc.UnitWeight), calc.Num("t", p.of.Slab.Thickness, calc.Length), calc.Num("D_s", ds.Dead, calc.Pressure), calc.Num("L", ds.Live, calc.Pressure)},
			Value: float64(dead + ds.Live), Source: "design loads of the job", Evidence: calc.User}
		design := asce37.Combination(dead, ds.Live)
		design.Symbol, design.Name, design.Formula = "w_u", "factored design load", "γ_D · (w_c · t + D_s) + γ_L · L"
		design.Terms = []calc.Term{{Sym: "γ_D", Val: 1.2}, calc.Num("w_c", set.ConcreteWeight, calc.UnitWeight), calc.Num("t", p.of.Slab.Thickness, calc.Length), calc.Num("D_s", ds.Dead, calc.Pressure), {Sym: "γ_L", Val: 1.6}, calc.Num("L", ds.Live, calc.Pressure)}
		design.Source = "ASCE 7 basic combination, as in ACI 318"
		if m.j.Basis == rules.EU {
			// The construction load is compared with factor 1.2 on dead load: the design load is
			// brought to it, so that the margin of EN 1990 on it is kept.
			k := asce37.DeadFactor / en12812.GammaPermanent
			design.Value = k * (en12812.GammaPermanent*float64(dead) + en12812.GammaVariable*float64(ds.Live))
			design.Formula = "1.2 / 1.35 · (1.35 · (w_c · t + D_s) + 1.5 · L)"
			design.Terms = design.Terms[1:4:4]
			design.Terms = append(design.Terms, calc.Num("L", ds.Live, calc.Pressure))
			design.Source, design.Evidence = "EN 1990 (6.10), brought to the dead load factor of the construction load", calc.Memory
		}
		p.member.Design, p.member.Service = quantity.Stress(design.Value), quantity.Stress(service.Value)
		lines = append(lines, service, design)
	}
	for _, a := range ds.Engineer {
		p.member.Supplied = append(p.member.Supplied, strength.SuppliedLoad{From: a.From, Load: a.Load})
	}
	if p.depth = ds.Depth; p.depth == 0 {
		cover := 40 * quantity.Millimetre
		if style == quantity.US {
			cover = 1.5 * quantity.Inch
		}
		p.depth = p.of.Slab.Thickness - cover
		m.assumeOne("effective depth of the slabs, for punching at props", "thickness less "+cover.Text(style), "the job gives none under design.depth")
	}
	e := aci318.Modulus(m.j.Concrete.Strength)
	if m.j.Basis == rules.EU {
		e = en1992.Modulus(m.j.Concrete.Strength)
	}
	panel, err := storeys.Panel(quantity.Stress(e.Value), p.of.Slab.Thickness, ds.Span, 0.2)
	if err != nil {
		return err
	}
	p.full = storeys.Stiffness(panel.Value)
	m.worked = append(m.worked, reshore.Worked{Kind: "loads", Pour: p.of.Name, Name: "weights, design load and stiffness", Lines: append(lines, e, panel)})
	return nil
}

// dates of the pours since the start, where the job has them.
func (m *model) dates() error {
	first := m.start()
	if first.IsZero() {
		return nil
	}
	for _, p := range m.pours {
		at, err := time.Parse(time.DateOnly, p.of.Date)
		if err != nil {
			return err
		}
		p.date = quantity.Duration(at.Sub(first).Hours()) + placedAt
	}
	return nil
}

// start is midnight of the first day of a pour; none without dates.
func (m *model) start() time.Time {
	var first time.Time
	for _, p := range m.pours {
		if at, err := time.Parse(time.DateOnly, p.of.Date); err == nil && (first.IsZero() || at.Before(first)) {
			first = at
		}
	}
	return first
}

// Bedding and tubes of props where the job gives no stiffness: low confidence, so
// that the rigid run stands beside the elastic one and the worse counts.
const (
	bedding  quantity.LineLoad = 15e6   // of head, sill and screws, N/m
	tubeArea                   = 453e-6 // m2 of a 48.3 x 3.2 tube
	steel    quantity.Stress   = 210e9
)

// prop is the stiffness of one prop with what it stands on and carries, N/m.
func (m *model) prop(part *catalog.Part, length quantity.Length) float64 {
	if k := m.j.Storeys.PropStiffness; k > 0 {
		return k
	}
	ea := float64(steel) * tubeArea
	switch {
	case part.NDS != nil && part.NDS.E.Known && part.Width.Known && part.Depth.Known:
		ea = float64(part.NDS.E.V) * float64(part.Width.V*part.Depth.V)
	case part.EC5 != nil && part.EC5.E0mean.Known && part.Width.Known && part.Depth.Known:
		ea = float64(part.EC5.E0mean.V) * float64(part.Width.V*part.Depth.V)
	}
	return 1 / (float64(length)/ea + 1/float64(bedding))
}

// props finds how stiff and strong the props of a deck are per area: rated at the
// load at which the worst of them is full, by the load path as the audit has it.
func (m *model) props(p *pour) error {
	area := quantity.Area(plane.Area(p.deck.Site.Slab) / 1e6)
	stiff := 0.0
	at := map[string]*deck.Prop{}
	for i := range p.deck.Deck.Props {
		q := &p.deck.Deck.Props[i]
		at[q.ID] = q
		part := m.doc.Parts[q.Part]
		if part == nil {
			return fmt.Errorf("prop %s is of part %s, which is not described", q.ID, q.Part)
		}
		stiff += m.prop(part, quantity.Millimetres(q.Length))
	}
	var worst *deck.Check
	for i, c := range p.deck.Audit.Checks {
		if c.Kind == "prop" && c.What == "load" && (worst == nil || c.Ratio > worst.Ratio) {
			worst = &p.deck.Audit.Checks[i]
		}
	}
	if worst == nil || !(worst.Ratio > 0) || at[worst.Member] == nil {
		return fmt.Errorf("no prop of its deck was checked: what they carry is not known")
	}
	q := at[worst.Member]
	p.shores = propLevel{count: len(p.deck.Deck.Props), stiffness: storeys.Stiffness(stiff / float64(area)),
		rating: p.service / quantity.Stress(worst.Ratio)}
	p.shores.worst = propAt{part: q.Part, length: q.Length, force: quantity.Force(worst.Limit)}
	return nil
}

// factor on the load of props, which their strength is compared with: none on a
// working-load basis, that of variable load otherwise.
func (m *model) factor() float64 {
	if m.j.Basis == rules.EU {
		return en12812.GammaVariable
	}
	return 1
}

// assume lists what the model takes for granted.
func (m *model) assume() {
	s := m.j.Storeys
	if s.PropStiffness == 0 {
		m.assumeOne("stiffness of props in the elastic run", fmt.Sprintf("EA/L (timber by its own values, steel a tube of %.0f mm2) with %.0f kN/mm of bedding in a row", tubeArea*1e6, float64(bedding)/1e6),
			"setting of the program, low confidence: give storeys.prop_stiffness; rigid props are run beside it and the worse counts")
	}
	if s.Steady == nil {
		m.assumeOne("temperatures past the end of the forecast or log", "the coldest day that is known goes on", "the job gives none")
	}
	m.assumeOne("hour of the day at which concrete is in place", fmt.Sprintf("%d:00", placedAt), "setting of the program, the end of the day's work")
	if m.start().IsZero() {
		m.assumeOne("pours of a level", "placed the same day", "the job has no dates")
	}
	m.assumeOne("weight of each pour", "spread evenly over its area, beams and drops included", "model of the storeys, see docs/storeys.md")
	m.assumeOne("reshores", "from soffit to slab without a head, snug, without preload", "model of the storeys")
	if len(s.Cylinders) == 0 {
		m.assumeOne("growth of strength", "by the curve of the cement, by equivalent age (Freiesleben Hansen and Pedersen), no faster than at 20 °C", "the job gives no cylinders; planning only: forms go on tests")
	} else {
		m.assumeOne("strength", fmt.Sprintf("lower bound at %.0f %% of one further cylinder, never more than specified", 100*strength.DefaultConfidence), "common practice, no source")
	}
	if m.j.Basis == rules.EU && (m.j.Storeys.Criterion == "sadgrove" || m.j.Storeys.Criterion == "beeby") {
		m.assumeOne("strength of cubes", "the part of the full strength that cubes have is taken to be that of cylinders", "model of the storeys")
	}
	if s.StripArea == 0 {
		m.assumeOne("most that is stripped before reshores are in", "one bay: the span squared", "the job gives no storeys.strip_area")
	}
	if s.ReshorePitch == 0 {
		m.assumeOne("reshores", "one in line under every prop of the deck above", "the job gives no storeys.reshore_pitch")
	}
}
