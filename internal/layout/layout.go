// Package layout finds a deck for a pour: fields, stringer lines, joists,
// sheets and props. It plans with spans from the rules; what it finds is
// proven, or refused, by the audit on the real load path.
package layout

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"sync"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/member"
	"shoreward/internal/plane"
	"shoreward/internal/price"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// Input is everything a deck depends on.
type Input struct {
	Site     *deck.Site
	Catalog  *catalog.Catalog
	System   *catalog.System
	Settings rules.Settings
	Deck     job.DeckSettings
	Rates    job.Rates
	Scarce   map[string]float64 // by part id: how many times dearer it counts, because the yard is short of it
	Joists   *quantity.Angle    // the direction that the job fixes for joists
	Earlier  *Earlier           // the deck to keep what can be kept of; Replan sets it
	// Prove finds what does not hold in a deck, and what joists hand to stringers.
	// The layout strengthens it there.
	Prove func(*deck.Deck) (deck.Audit, error)
	// Handed, if it is not nil, finds only what joists hand to stringers, of a deck
	// whose stringers are not propped yet.
	Handed func(*deck.Deck) ([]deck.Handed, error)
	// Bound, if it is not nil, is told the least that any deck of the class of
	// docs/layout.md takes for what the layout decides on, in the objective's unit.
	Bound func(least float64)
}

func (in *Input) pricer() pricer {
	p := price.New(in.Deck, in.Rates)
	p.Scarce = in.Scarce
	return pricer{p, in.Rates}
}

// How far the layout looks: settings of the program, counts.
const (
	tries    = 3  // of the cheapest candidates, proven before joists are moved aside
	compared = 2  // laid in full before one is taken, of a zone of middle size: see compare
	rounds   = 14 // of strengthening one where the proof fails
	patience = 14 // candidates in a row that were no better, after which no more are tried
	hopeless = 30 // findings beyond which no more candidates are tried
)

// candidate is one way to lay a zone, with its estimated cost.
type candidate struct {
	floor float64 // what no deck of its class can undercut
	k     *kit
	r     *region
	p     pitchPlan
	cols  []*column
	pat   pattern
}

// Plan lays out a pour: the cheapest candidate that the proof accepts, or the
// one with the fewest failures; with zones in several fields where that is cheaper.
func Plan(in *Input) (*deck.Deck, error) {
	in, err := bays(in)
	if err != nil {
		return nil, err
	}
	whole, err := planSite(in, nil)
	if err != nil {
		return nil, err
	}
	best, least, err := whole.orSplit(in)
	if err != nil {
		return nil, err
	}
	for i := range best.d.Braces {
		best.d.Braces[i].ID = fmt.Sprintf("S%d", i+1)
	}
	number(in, best.d)
	if in.Bound != nil {
		in.Bound(least)
	}
	return best.d, nil
}

// outcome is a deck with what of it fails and costs, and how its zones could be laid.
type outcome struct {
	d     *deck.Deck
	fails int
	cost  float64
	floor float64 // what no deck of the class of its fields can undercut
	zones []*zonePlans
}

// planSite lays out every zone of a site as one field. Plans of zones that are known
// are taken as they are.
func planSite(in *Input, known []*zonePlans) (*outcome, error) {
	zones := make([]*zonePlans, len(in.Site.Zones))
	copy(zones, known)
	floor := 0.0
	for z := range in.Site.Zones {
		if zones[z] == nil && len(in.Site.Zones[z].Shapes) > 0 {
			zp, err := planZone(in, z)
			if err != nil {
				return nil, err
			}
			zones[z] = zp
		}
		if zones[z] != nil {
			floor += zones[z].floor
		}
	}
	var best *deck.Deck
	fewest, stale, cheapest, hoped := math.MaxInt, 0, math.Inf(1), math.Inf(1)
	most := tries + shifts*tries
	if len(in.Site.Keep) > 0 {
		most = 2 * tries // what fails for a kept part fails with joists moved aside too
	}
	pick := newPicks(zones)
	take := func(d *deck.Deck, failures int) (cost float64) {
		cost = Decided(in, d)
		if failures < fewest || failures == 0 && cost < cheapest {
			best, fewest, stale, cheapest = d, failures, 0, cost
		}
		return cost
	}
	var aside []*trial // decks that were not mended to the end
	for i := range most {
		t, planned, err := build(in, zones, pick.now)
		var d *deck.Deck
		failures := 0
		if err == nil {
			d, failures, err = t.mend(i < tries)
		}
		if err == nil {
			err = pick.next(in, d, failures)
		}
		if err != nil {
			pick.all()
			if best == nil && i == tries-1 {
				return nil, err
			}
			continue
		}
		stale++
		cost := take(d, failures)
		if !t.over {
			aside = append(aside, t)
		}
		if i >= tries-1 && fewest > 0 {
			slices.SortStableFunc(aside, func(a, b *trial) int { return a.least - b.least })
			for _, t := range aside {
				if fewest == 0 {
					break
				}
				if d, failures, err := t.mend(false); err == nil {
					take(d, failures)
				}
			}
			aside = nil
		}
		hoped = math.Min(hoped, planned)
		// One that holds and that mending has made little dearer is the one; of dearer
		// ones a few are compared, more where all are much dearer. A few failing places
		// may come right with joists moved aside; many mean that the kit does not do here.
		const little, much = 1.03, 1.15
		if failures == 0 && cost <= little*planned ||
			fewest == 0 && i >= tries-1 && (cheapest <= much*hoped || i >= 3*tries-1) ||
			(i >= tries-1 && fewest > hopeless) || stale == patience {
			break
		}
		if failures == 0 {
			pick.all() // another for comparison
		}
	}
	if fewest > 0 && pick.mixed() { // each zone as it came out best
		if t, _, err := build(in, zones, pick.best); err == nil {
			if d, failures, err := t.mend(false); err == nil && failures < fewest {
				best, fewest = d, failures
			}
		}
	}
	return &outcome{best, fewest, Decided(in, best), floor, zones}, nil
}

// Decided is what the parts cost that the layout decides on.
func Decided(in *Input, d *deck.Deck) float64 {
	cost := in.pricer()
	part := func(id string) float64 { return cost.piece(in.Catalog.Parts[id]) }
	sum := 0.0
	for _, s := range d.Sheets {
		sum += part(s.Part)
		if s.Cut {
			sum += cost.cut()
		}
	}
	for _, m := range slices.Concat(d.Joists, d.Stringers) {
		sum += part(m.Part)
	}
	for _, p := range d.Props {
		sum += part(p.Part) + part(p.Head) + part(p.Tripod) + part(p.Sill) + part(p.Wedge)
		if p.Kind == deck.Grade {
			sum += cost.grading()
		}
	}
	return sum
}

// build assembles the candidate of every zone that is its turn; it returns what the
// deck costs as planned.
func build(in *Input, zones []*zonePlans, turn []int) (t *trial, planned float64, err error) {
	d := &deck.Deck{}
	fields := map[string]*field{}
	for z, zp := range zones {
		if zp == nil {
			continue
		}
		f, err := zp.field(turn[z])
		if err != nil {
			return nil, 0, err
		}
		f = f.unmended()
		f.emit(in, z, roman(len(d.Fields)+1), d)
		fields[f.name] = f
	}
	if err := honour(in, d, fields); err != nil {
		return nil, 0, err
	}
	if err := layEdges(in, d); err != nil {
		return nil, 0, err
	}
	if err := layLateral(in, d); err != nil {
		return nil, 0, err
	}
	return newTrial(in, d, fields), Decided(in, d), nil
}

// planZone tries the directions of the edges, the joist pitches and the props,
// and builds those that are cheapest by estimate.
func planZone(in *Input, z int) (*zonePlans, error) {
	zone := in.Site.Zones[z]
	ks, err := kits(in, zone)
	if err != nil {
		return nil, fmt.Errorf("%s %w", zone.Name, err)
	}
	if zp, err := planNarrow(in, z, ks); zp != nil || err != nil {
		return zp, err
	}
	dirs := directions(in.Site, z)
	if in.Joists != nil {
		dirs = []float64{math.Mod(math.Round(float64(*in.Joists)*180/math.Pi*100)/100+360, 180)}
	}
	if dirs, err = ks[0].upright(dirs); err != nil {
		return nil, fmt.Errorf("%s %w", zone.Name, err)
	}
	found := make([][]candidate, len(dirs))
	err = together(len(dirs), func(i int) (err error) {
		found[i], err = candidates(in, z, ks, dirs[i])
		return err
	})
	if err != nil {
		return nil, err
	}
	cands := slices.Concat(found...)
	if len(cands) == 0 {
		return nil, fmt.Errorf("%s: no joist spacing and stringer spacing of system %s carries it; give the system thicker sheets or stronger beams in a catalogue of your own, or take another system", zone.Name, in.System.ID)
	}
	sort.SliceStable(cands, func(i, j int) bool { return cands[i].pat.cost < cands[j].pat.cost })
	zp := &zonePlans{in: in, zone: z, floor: math.Inf(1), cands: pick(cands, max(tries, compare(zone))), solver: member.NewSolver()}
	for _, c := range cands {
		zp.floor = math.Min(zp.floor, c.floor)
	}
	return zp, zp.lay()
}

// lay builds the first candidates in full and puts the cheapest first.
func (zp *zonePlans) lay() error {
	in, z := zp.in, zp.zone
	zp.built = make([]*field, min(compare(in.Site.Zones[z]), len(zp.cands)))
	err := together(len(zp.built), func(i int) (err error) {
		zp.built[i], err = zp.cands[i].lay(zp)
		return err
	})
	if err != nil {
		return err
	}
	costs := map[*field]float64{}
	for _, f := range zp.built {
		costs[f] = f.realCost(in, z)
	}
	sort.SliceStable(zp.built, func(i, j int) bool { return costs[zp.built[i]] < costs[zp.built[j]] })
	// After the cheapest the cheapest of another pitch: what one cannot hold without
	// much mending the other may.
	other := slices.IndexFunc(zp.built, func(f *field) bool { return f.p.pitch != zp.built[0].p.pitch })
	if other > 1 {
		f := zp.built[other]
		zp.built = slices.Insert(slices.Delete(zp.built, other, other+1), 1, f)
	}
	return nil
}

// pick takes the n cheapest candidates, and of each pitch and each direction at
// least one: another pitch among the first, another direction as the last.
func pick(cands []candidate, n int) []candidate {
	out := slices.Clone(cands[:min(n, len(cands))])
	for _, c := range cands {
		if !slices.ContainsFunc(out, func(o candidate) bool { return o.p.pitch == c.p.pitch }) {
			out = slices.Insert(out, 1, c)
		}
	}
	for _, c := range cands {
		if !slices.ContainsFunc(out, func(o candidate) bool { return o.r.f.deg == c.r.f.deg }) {
			out = append(out, c)
		}
	}
	return out
}

// candidates are the ways to lay a zone with joists in one direction.
func candidates(in *Input, z int, ks []*kit, dir float64) ([]candidate, error) {
	r, err := newRegion(in.Site, z, newFrame(dir), in.Deck)
	if err != nil {
		return nil, err
	}
	var out []candidate
	few := compare(in.Site.Zones[z])
	known := map[float64][]start{} // by pitch
	for _, k := range ks {
		half := mmOf(k.joists[0].part.Width.V) / 2
		for _, p := range k.pitches(r) {
			if known[p.pitch] == nil {
				known[p.pitch] = k.starts(r, p, half)
			}
			for _, s := range known[p.pitch][:min(few, len(known[p.pitch]))] {
				p.x0 = s.x0
				sheets, leastSheets := sheetCost(k, r, p)
				lines := newLinePlan(k, r, s.cols, p)
				floor := 0.0 // not known, where no deck of the class is there
				if least, ok := lines.relax().search(); ok {
					floor = least.cost + leastSheets
				}
				var before []line
				for i, trust := range allowances[:max(1, few/compared)] {
					pat, ok := lines.using(planUse * trust).search()
					if !ok || slices.Equal(pat.lines, before) {
						continue
					}
					before = pat.lines
					// What hopes for more stands in line behind what does not.
					pat.cost = (pat.cost + sheets) * (1 + 0.02*float64(i))
					out = append(out, candidate{floor, k, r, p, s.cols, pat})
				}
			}
		}
	}
	return out, nil
}

// allowances are the shares of its usual use of parts with which the planning
// model looks for lines: the usual, and a little more, where the lines found may
// turn out better than the model knows. Settings of the program.
var allowances = []float64{1, 1.06}

// compare is how many candidates of a zone are laid in full before one is taken:
// more of a small one, where it costs little, one of a large one, which its
// estimate knows well enough.
func compare(zone deck.Zone) int {
	const small, large = 300e6, 600e6 // mm2
	area := math.Max(plane.Area(zone.Shapes), 1)
	if area > large {
		return 1
	}
	return min(compared*len(allowances), max(compared, int(compared*small/area)))
}

// together does n things at the same time and joins their errors.
func together(n int, do func(i int) error) error {
	errs := make([]error, n)
	var wg sync.WaitGroup
	for i := range n {
		wg.Go(func() { errs[i] = do(i) })
	}
	wg.Wait()
	return errors.Join(errs...)
}

// zonePlans are the candidates of a zone, cheapest first, and after them the
// same with their joists moved aside, which brings joists and obstacles
// together in another way.
type zonePlans struct {
	in     *Input
	zone   int
	floor  float64 // the least of all candidates
	solver *member.Solver
	cands  []candidate
	built  []*field
}

// shifts is how many ways to move the joists aside are tried.
const shifts = 5

// field is the i-th candidate.
func (zp *zonePlans) field(i int) (*field, error) {
	if i < len(zp.built) {
		return zp.built[i], nil
	}
	if len(zp.cands) == 0 {
		return zp.built[i%len(zp.built)], nil
	}
	if i < len(zp.cands) {
		f, err := zp.cands[i].lay(zp)
		if err == nil {
			zp.built = append(zp.built, f)
		}
		return f, err
	}
	i = (i - len(zp.built)) % (shifts * len(zp.cands))
	c := zp.cands[i%len(zp.cands)]
	k := i / len(zp.cands)
	if k < len(c.p.others) {
		c.p.x0 = c.p.others[k]
	}
	// Fillers come in sooner or later as well.
	sooner := []float64{0.88, 1, 1.1, 0.8, 0.95}[k%5]
	c.p.over, c.p.light = c.p.over*sooner, c.p.light*sooner
	c.cols = c.r.columns(c.p, mmOf(c.k.joists[0].part.Width.V)/2)
	pat, ok := newLinePlan(c.k, c.r, c.cols, c.p).search()
	if !ok {
		return zp.built[0], nil
	}
	c.pat = pat
	return c.lay(zp)
}

// lay builds a candidate in full.
func (c candidate) lay(zp *zonePlans) (*field, error) {
	f := &field{solver: zp.solver, k: c.k, r: c.r, p: c.p, cols: c.cols, lines: c.r.bend(append([]line(nil), c.pat.lines...), c.k, c.p.pitch)}
	f.layJoists()
	if err := f.laySheets(); err != nil {
		return nil, err
	}
	return f, f.layStringers(zp.in, zp.zone)
}

// sheetCost is what panels cost in rows from the border: whole ones where a row
// lies all on the deck, the rest cut. The least is what no cutting in rows can
// undercut: sheets may run a little past the deck at both ends of a row.
func sheetCost(k *kit, r *region, p pitchPlan) (cost, least float64) {
	w := mmOf(k.sheet.Width.V)
	var pieces, cuts, fewest, cutAnyway float64
	for y := r.box.Y0; y < r.box.Y1-1; y += w {
		a, b := r.rowSpan(y, y+w)
		var whole plane.Spans
		if y+w <= r.box.Y1+0.01 {
			whole = r.inner[a]
			for i := a + 1; i <= b; i++ {
				whole = plane.Overlap(whole, r.inner[i])
			}
		}
		for _, s := range r.sheetRow(plane.Span{A: y, B: y + w}, w) {
			n, full := math.Ceil((s.Len()-0.5)/p.sheet), 0.0
			for _, in := range plane.Overlap(whole, plane.Spans{s}) {
				full += math.Floor((in.Len() + 0.5) / p.sheet)
			}
			pieces += n
			cuts += math.Max(0, n-full)
			n = math.Max(1, math.Ceil((s.Len()-2*overrun)/p.sheet))
			fewest += n
			if len(whole) == 0 { // no part of the row is as high as a sheet
				cutAnyway += n
			}
		}
	}
	one, cut := k.cost.piece(k.sheet), k.cost.cut()
	return pieces*one + cuts*cut, fewest*one + cutAnyway*cut
}

// realCost is what a laid field costs by its parts; a joist left out is dear.
func (f *field) realCost(in *Input, z int) float64 {
	d := &deck.Deck{}
	f.emit(in, z, "", d)
	return in.costOf(d) + 1e3*float64(len(f.lost))
}

// costOf is what the parts of a deck cost, with what a plan would rather not do:
// saw beams, which are then no use elsewhere.
func (in *Input) costOf(d *deck.Deck) float64 {
	p := in.pricer()
	_, c := p.Deck(&deck.Document{Parts: in.Catalog.Parts, Choices: deck.Choices{OneManLift: float64(in.Deck.OneManLift)}}, &deck.Pour{Deck: *d})
	for _, m := range slices.Concat(d.Joists, d.Stringers) {
		if m.Sawn {
			c += 0.5 * p.piece(in.Catalog.Parts[m.Part])
		}
	}
	return c
}

// directions to try for joists, in degrees: along and across the edges that
// make up most of the zone's border.
func directions(site *deck.Site, z int) []float64 {
	weight := map[float64]float64{}
	for _, s := range site.Zones[z].Shapes {
		for i, a := range s.Outer {
			b := s.Outer[(i+1)%len(s.Outer)]
			deg := math.Atan2(b[1]-a[1], b[0]-a[0]) * 180 / math.Pi
			deg = math.Mod(deg+360, 90)
			deg = math.Round(deg*100) / 100
			if deg >= 89.995 {
				deg = 0
			}
			weight[deg] += dist(a, b)
		}
	}
	best, bestSum := 0.0, -1.0
	for d := range weight {
		sum := 0.0
		for e, w := range weight { // edges within half a degree count as one direction
			if x := math.Abs(d - e); x < 0.5 || x > 89.5 {
				sum += w
			}
		}
		if sum > bestSum+1e-9 || (sum > bestSum-1e-9 && d < best) {
			best, bestSum = d, sum
		}
	}
	return []float64{best, best + 90}
}

// pitches are the joist spacings worth trying: sheet length over a whole
// number, the widest that the sheet carries and the next.
func (k *kit) pitches(r *region) []pitchPlan {
	length := mmOf(k.sheet.Length.V)
	limit := k.sheetSpan(3)
	var out []pitchPlan
	for n := 2; n <= 16 && len(out) < 2; n++ {
		if p := length / float64(n); p <= limit && k.reachesStrip(r, p) {
			half := mmOf(k.joists[0].part.Width.V) / 2
			over, light := k.sheetOver(p, k.strength, k.deflect), k.sheetOver(p, k.strip, k.stripSvc)
			// Lapped joists lie half a width to either side of their column: the
			// first column is set so that both sides still carry the deck's end.
			at, fair := r.anchors(r.box.X0-half, p, half, over)
			out = append(out, pitchPlan{x0: at[0], others: at[1:], fair: fair - 1, pitch: p, sheet: length, over: math.Min(over, p), light: math.Min(light, p), rowH: mmOf(k.sheet.Width.V)})
		}
	}
	return r.startAtKept(out)
}

// reachesStrip reports whether joists at a pitch can hold the working strip from
// inside the slab's edge, where props must stand on the slab below.
func (k *kit) reachesStrip(r *region, pitch float64) bool {
	if r.stand == nil || k.choice.Strip <= 0 {
		return true
	}
	strip := mmOf(k.choice.Strip)
	return k.overhang(pitch, strip) >= strip+mmOf(k.choice.EdgeOfStand)+mmOf(k.stringers[0].part.Width.V)/2+50
}

// emit turns a laid field into placed parts in the job's axes.
func (f *field) emit(in *Input, z int, name string, d *deck.Deck) {
	k, fr := f.k, f.r.f
	f.name = name
	d.Fields = append(d.Fields, deck.Field{Name: name, Zone: in.Site.Zones[z].Name, Joists: fr.deg, Pattern: f.pattern()})
	for _, s := range f.sheets {
		d.Sheets = append(d.Sheets, deck.Sheet{
			ID: fmt.Sprintf("%s-R%d.%d", name, s.row, s.n), Field: name, Part: k.sheet.ID, Shape: s.shape,
			Grain: math.Mod(fr.deg+270, 180), Cut: s.cut, Z: round(k.heights.soffit),
		})
	}
	piece := map[int]int{}
	for _, j := range f.joists {
		piece[j.column]++
		d.Joists = append(d.Joists, deck.Member{
			ID: fmt.Sprintf("%s-J%d.%d", name, j.column+1, piece[j.column]), Field: name, Part: j.stock.part.ID,
			From: fr.out(j.x, j.y0), To: fr.out(j.x, j.y1), Top: round(k.heights.joistTop), Sawn: j.sawn,
		})
	}
	for _, b := range f.beams {
		d.Stringers = append(d.Stringers, f.member(b))
	}
	for _, p := range f.props {
		line := "joist"
		if p.line < 0 && f.propNear(p) {
			continue // a prop of a line stands there already
		}
		if p.line >= 0 {
			line = lineKey(name, f.lines[p.line].y)
		}
		d.Props = append(d.Props, k.place(in, fr.out(p.x, p.y), line, p))
	}
}

// propNear reports whether a prop of a line stands where one under a joist would.
func (f *field) propNear(p prop) bool {
	for _, q := range f.props {
		if q.line >= 0 && math.Hypot(q.x-p.x, q.y-p.y) < 140 {
			return true
		}
	}
	return false
}

// place makes a prop with its head and setting.
func (k *kit) place(in *Input, at plane.Point, line string, is prop) deck.Prop {
	p := deck.Prop{Line: line, Kind: deck.Intermediate, Part: k.prop.ID, At: at, Base: round(k.heights.base), Seat: round(k.heights.seat), Under: "stringer"}
	head := k.inter
	switch {
	case is.underJoist:
		head, p.Under, p.Seat = k.under, "joist", round(k.heights.joistSeat)
		if k.joistProp != nil {
			p.Part = k.joistProp.ID
		}
		if is.two && (head == nil || head.Seat == nil || head.Seat.Beams < 2) {
			head = k.grade
		}
		if k.sys.InterHead == "" {
			p.Kind = deck.Grade
		}
	case is.grade:
		head, p.Kind, p.Tripod = k.grade, deck.Grade, k.sys.Tripod
	}
	if is.underJoist && is.grade && k.grade != nil { // the joist stands on props alone
		head, p.Kind, p.Tripod = k.grade, deck.Grade, k.sys.Tripod
	}
	if head != nil {
		p.Head = head.ID
	}
	if in.Site.OnGround && k.sill != nil {
		p.Sill = k.sill.ID
	}
	p.Wedge = k.sys.Wedge
	p.Length = round(k.setting(head, p.Seat))
	p.Hole, p.Thread = setting(in.Catalog.Parts[p.Part], p.Length)
	return p
}

// setting is the pin hole and thread of a prop at a length: hole 1 is the
// shortest, and the thread takes up what is left, as little of it as possible.
func setting(part *catalog.Part, length float64) (int, float64) {
	hole, thread := part.Setting(quantity.Length(length / 1000))
	return hole, round(mmOf(thread))
}

func lineKey(field string, y float64) string { return fmt.Sprintf("%s@%.2f", field, y) }

func roman(n int) string {
	var s string
	for _, d := range []struct {
		v int
		s string
	}{{10, "X"}, {9, "IX"}, {5, "V"}, {4, "IV"}, {1, "I"}} {
		for n >= d.v {
			s += d.s
			n -= d.v
		}
	}
	return s
}

// letters names a line: A .. Z, AA, AB ...
func letters(n int) string {
	s := ""
	for n++; n > 0; n = (n - 1) / 26 {
		s = string(rune('A'+(n-1)%26)) + s
	}
	return s
}

// number gives lines their letters, in order from the origin of each field,
// and stringers and props their numbers along the line.
func number(in *Input, d *deck.Deck) {
	var keys []string
	at := map[string]float64{}
	order := map[string]int{}
	for _, s := range d.Stringers {
		if _, ok := order[s.Line]; ok {
			continue
		}
		order[s.Line] = len(keys)
		keys = append(keys, s.Line)
		at[s.Line] = lineY(s.Line)
	}
	field := func(key string) int {
		for i, f := range d.Fields {
			if len(key) > len(f.Name) && key[:len(f.Name)+1] == f.Name+"@" {
				return i
			}
		}
		return -1
	}
	sort.SliceStable(keys, func(i, j int) bool {
		if a, b := field(keys[i]), field(keys[j]); a != b {
			return a < b
		}
		return at[keys[i]] < at[keys[j]]
	})
	name := map[string]string{"joist": "joist"}
	for i, k := range keys {
		name[k] = letters(i)
	}
	namePatterns(d, name)
	for i := range d.Stringers {
		d.Stringers[i].Line = name[d.Stringers[i].Line]
	}
	for i := range d.Props {
		d.Props[i].Line = name[d.Props[i].Line]
	}
	inLineOrder(d)
	count := map[string]int{}
	for i := range d.Stringers {
		s := &d.Stringers[i]
		count[s.Line]++
		s.ID = fmt.Sprintf("%s/%d", s.Line, count[s.Line])
	}
	count = map[string]int{}
	for i := range d.Props {
		p := &d.Props[i]
		count[p.Line]++
		if p.Line == "joist" {
			p.ID = fmt.Sprintf("P%d", count[p.Line])
		} else {
			p.ID = fmt.Sprintf("%s-%d", p.Line, count[p.Line])
		}
	}
}

// inLineOrder sorts stringers and props by the names of their lines and along them.
func inLineOrder(d *deck.Deck) {
	dirs := map[string]frame{}
	for _, f := range d.Fields {
		dirs[f.Name] = newFrame(f.Joists)
	}
	along := func(fieldName string, p plane.Point) plane.Point {
		f, ok := dirs[fieldName]
		if !ok {
			f = newFrame(90)
		}
		return f.in(p)
	}
	fieldOf := map[string]string{}
	for _, s := range d.Stringers {
		fieldOf[s.Line] = s.Field
	}
	sort.SliceStable(d.Stringers, func(i, j int) bool {
		a, b := d.Stringers[i], d.Stringers[j]
		if a.Line != b.Line {
			return order2(a.Line, b.Line)
		}
		return along(a.Field, a.From)[0] < along(b.Field, b.From)[0]
	})
	sort.SliceStable(d.Props, func(i, j int) bool {
		a, b := d.Props[i], d.Props[j]
		if a.Line != b.Line {
			return order2(a.Line, b.Line)
		}
		p, q := along(fieldOf[a.Line], a.At), along(fieldOf[b.Line], b.At)
		if p[0] != q[0] {
			return p[0] < q[0]
		}
		return p[1] < q[1]
	})
}

// order2 sorts A .. Z before AA, and joist props last.
func order2(a, b string) bool {
	if (a == "joist") != (b == "joist") {
		return b == "joist"
	}
	if len(a) != len(b) {
		return len(a) < len(b)
	}
	return a < b
}

func lineY(key string) float64 {
	var y float64
	for i := range key {
		if key[i] == '@' {
			fmt.Sscanf(key[i+1:], "%f", &y)
		}
	}
	return y
}

// provisional names stringers and props while parts still come and go.
func provisional(d *deck.Deck) {
	for i := range d.Stringers {
		d.Stringers[i].ID = fmt.Sprintf("stringer %d", i)
	}
	for i := range d.Props {
		d.Props[i].ID = fmt.Sprintf("prop %d", i)
	}
}

// trial is a deck on its way to one that holds: parts are added where the proof
// fails, a joist under a loose or overloaded sheet, a prop under an overloaded joist
// or stringer.
type trial struct {
	in     *Input
	d      *deck.Deck
	fields map[string]*field
	best   deck.Deck
	least  int // findings that fail in the best
	stale  int // rounds since
	round  int
	proof  deck.Audit // of d, where it is waiting for its repair
	over   bool
}

func newTrial(in *Input, d *deck.Deck, fields map[string]*field) *trial {
	return &trial{in: in, d: d, fields: fields, least: math.MaxInt}
}

// How long a deck is mended before another candidate is looked at: settings of the program.
const (
	hurriedRounds = 2
	hurriedFails  = 10 // that may be left then
)

// mend goes on mending, in a hurry only as long as it comes on well, and gives the
// best deck so far with how many findings fail in it.
func (t *trial) mend(hurry bool) (*deck.Deck, int, error) {
	if t.in.Prove == nil {
		t.over = true
		return t.d, 0, nil
	}
	for !t.over {
		if t.round > 0 {
			if hurry && t.round >= hurriedRounds && t.least > hurriedFails {
				break
			}
			if !repair(t.in, t.d, t.fields, t.proof, t.stale > 1) {
				t.over = true
				break
			}
		}
		provisional(t.d)
		proof, err := t.in.Prove(t.d)
		if err != nil {
			return nil, 0, err
		}
		fails := len(proof.Failing())
		if fails < t.least {
			t.least, t.stale, t.best = fails, 0, clone(t.d)
		} else {
			t.stale++
		}
		t.over = fails == 0 || t.round == rounds || t.stale > 3 || t.round > 0 && fails > 8*hopeless
		t.proof = proof
		t.round++
	}
	best := t.best
	best.Braces = slices.Clone(best.Braces)
	if err := rebrace(t.in, &best); err != nil {
		return nil, 0, err
	}
	return &best, t.least, nil
}

// clone copies what repairs change of a deck.
func clone(d *deck.Deck) deck.Deck {
	c := *d
	c.Sheets, c.Joists, c.Stringers, c.Props = slices.Clone(d.Sheets), slices.Clone(d.Joists), slices.Clone(d.Stringers), slices.Clone(d.Props)
	return c
}
