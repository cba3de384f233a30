// Package audit takes a deck from anywhere, trusts nothing in it, and proves it
// or says what fails: cover, clashes, the load path as placed from sheet to
// ground, every member, heights, and what holds the deck sideways. It reads a
// plan document and the rules, never the layout.
package audit

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"shoreward/internal/calc"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/member"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// heightTolerance is how far two faces that should meet may be apart, mm.
const heightTolerance = 1.5

// times writes a ratio over 1 so that it can be told from 1.
func times(ratio float64) string {
	if ratio < 1.005 {
		return fmt.Sprintf("%.4f", ratio)
	}
	return fmt.Sprintf("%.2f", ratio)
}

// Run audits one pour of a document.
func Run(doc *deck.Document, pour *deck.Pour) (deck.Audit, error) {
	return New(doc).Run(pour)
}

// Auditor audits decks one after the other and remembers what it has solved.
type Auditor struct {
	doc    *deck.Document
	solver *member.Solver
}

// New makes an auditor for pours of a document.
func New(doc *deck.Document) *Auditor { return &Auditor{doc, member.NewSolver()} }

// Run audits one pour.
func (r *Auditor) Run(pour *deck.Pour) (deck.Audit, error) {
	a, err := r.begin(pour)
	if err != nil {
		return deck.Audit{}, err
	}
	covered := make(chan cover, 1) // a scan of its own: it needs nothing of the rest
	levels := a.toCover()
	go func() { covered <- measureLevels(levels) }()
	if err := a.rooms(); err != nil {
		return deck.Audit{}, err
	}
	a.heights()
	a.clashes()
	a.pins()
	if err := a.loads(); err != nil {
		return deck.Audit{}, err
	}
	a.supports()
	a.besideDecks()
	a.slope()
	a.sheets()
	a.joists()
	a.stringers()
	a.liftCautions()
	a.propChecks()
	a.edges()
	a.sides()
	a.lateral()
	a.reportCover(<-covered)
	return a.inPlan(a.result()), nil
}

// Handed is what the joists of a deck hand to stringers, found as Run finds it. The
// rest of the deck, props and all, may be missing.
func (r *Auditor) Handed(pour *deck.Pour) ([]deck.Handed, error) {
	a, err := r.begin(pour)
	if err != nil {
		return nil, err
	}
	if err := a.rooms(); err != nil {
		return nil, err
	}
	if err := a.loads(); err != nil {
		return nil, err
	}
	a.supports()
	a.besideDecks()
	a.sheets()
	a.joists()
	return a.inPlan(deck.Audit{Handed: a.handed()}).Handed, nil
}

// begin an audit of a pour.
func (r *Auditor) begin(pour *deck.Pour) (*auditor, error) {
	if errs := r.doc.Settings.Validate(); len(errs) > 0 {
		return nil, fmt.Errorf("settings: %w", errs[0])
	}
	if err := soundFall(&pour.Site); err != nil {
		return nil, err
	}
	plan := pour
	pour = pour.LaidFlat() // real sizes, square to the slope: see fall.go
	a := &auditor{doc: r.doc, plan: plan, pour: pour, site: &pour.Site, solver: r.solver, worst: map[[2]string]*worked{}, checks: map[[3]string]deck.Check{}}
	if err := a.index(); err != nil {
		return nil, err
	}
	a.squareSeats()
	return a, nil
}

type auditor struct {
	doc    *deck.Document
	plan   *deck.Pour // as it is given
	pour   *deck.Pour // laid flat, where it falls
	site   *deck.Site // of pour
	solver *member.Solver

	fields  map[string]*field
	plates  []*plate
	bars    [2][]*bar // joists, stringers
	props   []*post
	zones   map[string]zoneLoad
	report  deck.Audit
	order   [][3]string
	checks  map[[3]string]deck.Check
	worst   map[[2]string]*worked
	bases   map[string]memberRules // resistances by part and role
	sheetOf map[string]sheetRules
	reaches map[string]float64    // see reachPast
	lifting map[string]int        // members that lift at an end, by role
	applied float64               // N, unfactored
	kept    map[*field]kept       // places that parts of a field keep out of
	onSides map[string][]sideLoad // by zone: what side forms hand down
}

type zoneLoad struct {
	zone        *deck.Zone
	slab, strip rules.AreaLoad
	room        rules.AreaLoad // on the deck beside a side form on which no sheets rest
}

// worked is the governing case of one kind of check so far.
type worked struct {
	ratio float64
	make  func() deck.Worked
}

// field is a field of the deck with its local axes: x across the joists, y along.
type field struct {
	*deck.Field
	sin, cos float64
	slab     []plane.Shape // of its zone, in local axes
	room     []plane.Shape // of its zone, beside its sides
	edges    [][2]plane.Point
	zone     zoneLoad
}

func (f *field) in(p plane.Point) plane.Point {
	return plane.Point{p[0]*f.cos + p[1]*f.sin, -p[0]*f.sin + p[1]*f.cos}
}

func (f *field) out(x, y float64) plane.Point {
	return plane.Point{x*f.cos - y*f.sin, x*f.sin + y*f.cos}
}

// bar is a joist or stringer in its field's axes. Stations s run from its From end.
type bar struct {
	*deck.Member
	part   *catalog.Part
	f      *field
	a, b   plane.Point // local
	len    float64     // mm
	w, d   float64     // width, depth, mm
	leans  float64     // how far its load passes from the middle of its foot, mm
	loads  []piecewise
	points []pointLoad
	sup    []station
	first  float64 // its first and last support, mm along it; +Inf and -Inf where it has not two
	last   float64
	eff    *member.Effects
	piece  member.Piece
}

func (b *bar) bottom() float64 { return b.Top - b.d }

// at is the local point at a station.
func (b *bar) at(s float64) plane.Point {
	t := s / b.len
	return plane.Point{b.a[0] + (b.b[0]-b.a[0])*t, b.a[1] + (b.b[1]-b.a[1])*t}
}

// project gives the station and the distance to the side of a local point.
func (b *bar) project(p plane.Point) (s, side float64) {
	dx, dy := (b.b[0]-b.a[0])/b.len, (b.b[1]-b.a[1])/b.len
	x, y := p[0]-b.a[0], p[1]-b.a[1]
	return x*dx + y*dy, x*dy - y*dx
}

// station is a support of a bar: another bar, or a prop, at a place along it.
type station struct {
	s     float64
	on    *bar    // stringer under a joist, or nil
	onS   float64 // station on it
	prop  *post   // prop under it, or nil
	seat  float64 // bearing length along this bar, mm
	share float64 // of this bar's reaction (two lapped stringers share a joist)
}

// piecewise is a line load on a bar over stations, N/m.
type piecewise struct{ from, to, always, placing, deflect, service float64 }

// pointLoad is a reaction handed down, N.
type pointLoad struct{ s, always, placing, deflect, service float64 }

// post is a prop with what it carries.
type post struct {
	*deck.Prop
	part, head *catalog.Part
	at         plane.Point
	leans      float64 // by how much the load of what leans on it is off, mm
	seat       float64 // its height, square to the slope where the soffit falls
	on         []*bar
	max, svc   float64
	byBar      []float64
	sides      []float64
}

type memberRules struct {
	res rules.BeamResistance
	err error
}

type sheetRules struct {
	strong, weak rules.SheetResistance
	err          error
}

// find records something wrong that is not a comparison of numbers.
func (a *auditor) find(member string, at plane.Point, format string, args ...any) {
	a.report.Findings = append(a.report.Findings, deck.Finding{Member: member, At: at, What: fmt.Sprintf(format, args...), Fails: true})
}

func (a *auditor) caution(member string, at plane.Point, format string, args ...any) {
	a.report.Findings = append(a.report.Findings, deck.Finding{Member: member, At: at, What: fmt.Sprintf(format, args...)})
}

// check records a comparison: the worst one of each kind at each member is
// kept, and make writes the governing one of the whole pour in full.
func (a *auditor) check(id, kind, what string, value, limit float64, unit calc.Kind, at plane.Point, make func() deck.Worked) {
	ratio := member.Limit{Value: value, Limit: limit}.Ratio()
	if math.IsNaN(value) || math.IsNaN(limit) {
		ratio = 999
	}
	key := [3]string{id, kind, what}
	old, seen := a.checks[key]
	if !seen {
		a.order = append(a.order, key)
	}
	if !seen || ratio > old.Ratio {
		a.checks[key] = deck.Check{Member: id, Kind: kind, What: what, Value: value, Limit: limit, Unit: unit, Ratio: ratio}
	}
	if ratio > 1+1e-9 {
		a.report.Findings = append(a.report.Findings, deck.Finding{Member: id, At: at, What: fmt.Sprintf("%s: %s is %s times what is allowed", kind, what, times(ratio)), Check: what, Ratio: ratio, Fails: true})
	}
	if make == nil {
		return
	}
	if w := a.worst[[2]string{kind, what}]; w == nil || ratio > w.ratio {
		a.worst[[2]string{kind, what}] = &worked{ratio, make}
	}
}

func (a *auditor) result() deck.Audit {
	for _, k := range a.order {
		a.report.Checks = append(a.report.Checks, a.checks[k])
	}
	keys := make([][2]string, 0, len(a.worst))
	for k := range a.worst {
		keys = append(keys, k)
	}
	sort.Slice(keys, func(i, j int) bool {
		if ki, kj := rank(keys[i][0]), rank(keys[j][0]); ki != kj {
			return ki < kj
		}
		return keys[i][1] < keys[j][1]
	})
	for _, k := range keys {
		a.report.Worked = append(a.report.Worked, a.worst[k].make())
	}
	a.report.Findings = tidy(a.report.Findings)
	a.report.Handed = a.handed()
	return a.report
}

// handed is what joists hand to stringers.
func (a *auditor) handed() []deck.Handed {
	var out []deck.Handed
	for _, b := range a.bars[1] {
		for _, p := range b.points {
			q := b.at(p.s)
			out = append(out, deck.Handed{Stringer: b.ID, At: b.f.out(q[0], q[1]), Load: p.always + p.placing})
		}
	}
	return out
}

// tidy keeps the worst finding of each member and sentence, failures first.
func tidy(in []deck.Finding) []deck.Finding {
	type key struct{ member, kind string }
	at := map[key]int{}
	var out []deck.Finding
	for _, f := range in {
		k := key{f.Member, f.What}
		if f.Ratio > 0 { // one entry for "bending is 1.2 times", whatever the figure
			k.kind, _, _ = strings.Cut(f.What, " is ")
		}
		if i, ok := at[k]; ok {
			if f.Ratio > out[i].Ratio {
				out[i] = f
			}
			continue
		}
		at[k] = len(out)
		out = append(out, f)
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Fails && !out[j].Fails })
	return out
}

// rank orders kinds of check down the load path.
func rank(kind string) int {
	for i, k := range []string{"sheet", "joist", "stringer", "head", "prop", "sill", "edge form", "side form", "step form", "guard", "lateral", "clearance"} {
		if k == kind {
			return i
		}
	}
	return 99
}

// index finds every part of the deck in the document and turns it into local axes.
func (a *auditor) index() error {
	a.fields = map[string]*field{}
	a.bases = map[string]memberRules{}
	a.sheetOf = map[string]sheetRules{}
	a.reaches = map[string]float64{}
	for i := range a.pour.Deck.Fields {
		d := &a.pour.Deck.Fields[i]
		sin, cos := math.Sincos((d.Joists - 90) * math.Pi / 180)
		f := &field{Field: d, sin: sin, cos: cos}
		for k := range a.site.Zones {
			if z := &a.site.Zones[k]; z.Name == d.Zone {
				f.zone.zone = z
				for _, s := range z.Shapes {
					f.slab = append(f.slab, s.Map(f.in))
				}
				for _, s := range z.Room {
					f.room = append(f.room, s.Map(f.in))
				}
			}
		}
		if f.zone.zone == nil {
			return fmt.Errorf("field %s is in zone %q, which the site does not have", d.Name, d.Zone)
		}
		for _, s := range slices.Concat(f.slab, f.room) {
			for _, r := range s.Rings() {
				for i, p := range r {
					f.edges = append(f.edges, [2]plane.Point{p, r[(i+1)%len(r)]})
				}
			}
		}
		if _, twice := a.fields[d.Name]; twice {
			return fmt.Errorf("two fields are named %s", d.Name)
		}
		a.fields[d.Name] = f
	}
	ids := map[string]bool{}
	unique := func(id string) error {
		if id == "" || ids[id] {
			return fmt.Errorf("part id %q is empty or stands twice in the deck", id)
		}
		ids[id] = true
		return nil
	}
	for i := range a.pour.Deck.Sheets {
		s := &a.pour.Deck.Sheets[i]
		if err := unique(s.ID); err != nil {
			return err
		}
		f, part, err := a.known(s.Field, s.Part, s.ID, catalog.Sheet)
		if err != nil {
			return err
		}
		if len(s.Shape.Outer) < 3 {
			return fmt.Errorf("sheet %s has no outline", s.ID)
		}
		a.plates = append(a.plates, newPlate(s, f, part))
	}
	for role, list := range [][]deck.Member{a.pour.Deck.Joists, a.pour.Deck.Stringers} {
		for i := range list {
			m := &list[i]
			if err := unique(m.ID); err != nil {
				return err
			}
			f, part, err := a.known(m.Field, m.Part, m.ID, catalog.Beam, catalog.Lumber)
			if err != nil {
				return err
			}
			b := &bar{Member: m, part: part, f: f, a: f.in(m.From), b: f.in(m.To), w: float64(part.Width.V) * 1000, d: float64(part.Depth.V) * 1000}
			b.len = math.Hypot(b.b[0]-b.a[0], b.b[1]-b.a[1])
			if b.len < 50 || math.IsNaN(b.len) {
				return fmt.Errorf("%s has no length", m.ID)
			}
			a.bars[role] = append(a.bars[role], b)
		}
	}
	for i := range a.pour.Deck.Props {
		p := &a.pour.Deck.Props[i]
		if err := unique(p.ID); err != nil {
			return err
		}
		part, ok := a.doc.Parts[p.Part]
		if !ok {
			return fmt.Errorf("prop %s is part %q, which the document does not describe", p.ID, p.Part)
		}
		a.props = append(a.props, &post{Prop: p, part: part, head: a.doc.Parts[p.Head], at: p.At, seat: p.Seat})
	}
	return nil
}

func (a *auditor) known(fieldName, partID, id string, kinds ...catalog.Kind) (*field, *catalog.Part, error) {
	f, ok := a.fields[fieldName]
	if !ok {
		return nil, nil, fmt.Errorf("%s is in field %q, which the deck does not have", id, fieldName)
	}
	part, ok := a.doc.Parts[partID]
	if !ok {
		return nil, nil, fmt.Errorf("%s is part %q, which the document does not describe", id, partID)
	}
	for _, k := range kinds {
		if part.Kind == k {
			return f, part, nil
		}
	}
	return nil, nil, fmt.Errorf("%s is part %q, a %s, which has no place there", id, partID, part.Kind)
}

// loads finds the forms' own weight from the parts placed and the load of
// every zone.
func (a *auditor) loads() error {
	a.zones = map[string]zoneLoad{}
	for i := range a.pour.Deck.Fields {
		name := a.pour.Deck.Fields[i].Name
		f := a.fields[name]
		if _, done := a.zones[f.Zone]; done {
			continue
		}
		mass, area := 0.0, 0.0
		for _, p := range a.plates {
			if p.f.Zone == f.Zone {
				mass += float64(p.part.Mass.V) * p.area / (float64(p.part.Length.V) * float64(p.part.Width.V) * 1e6)
				area += p.area / 1e6
			}
		}
		for _, list := range a.bars {
			for _, b := range list {
				if b.f.Zone == f.Zone {
					mass += float64(b.part.Mass.V) * b.len / 1000 / float64(b.part.Length.V)
				}
			}
		}
		if area == 0 {
			return fmt.Errorf("field %s has no sheets", name)
		}
		forms := quantity.Stress(mass * quantity.Gravity / area)
		forms = max(forms, a.doc.Settings.FormAllowance)
		t := quantity.Length(f.zone.zone.Thickness / 1000 / a.site.Fall.Stretch()) // square to the slope, as the areas are
		a.zones[f.Zone] = zoneLoad{f.zone.zone, a.doc.Settings.AreaLoad(t, forms), a.doc.Settings.StripLoad(forms), a.roomLoad(f.zone.zone, forms)}
	}
	for _, f := range a.fields {
		f.zone = a.zones[f.Zone]
	}
	for i, z := range a.loaded() {
		a.report.Loads = append(a.report.Loads, deck.ZoneLoad{Zone: z.zone.Name, Load: z.slab})
		if i == 0 && len(a.site.Strip) > 0 {
			a.report.Loads = append(a.report.Loads, deck.ZoneLoad{Zone: "working strip", Load: z.strip})
		}
	}
	return nil
}

// loaded are the loads of the zones that have a field, in the order of the site:
// the slab itself has none where beams and thickenings take all of it.
func (a *auditor) loaded() []zoneLoad {
	var out []zoneLoad
	for i := range a.site.Zones {
		if z, ok := a.zones[a.site.Zones[i].Name]; ok {
			out = append(out, z)
		}
	}
	return out
}
