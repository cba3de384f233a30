package layout

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"shoreward/internal/deck"
	"shoreward/internal/member"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// pattern is how a field was laid: what a later plan needs to lay it alike. Lines
// are named by their keys until the deck is numbered.
func (f *field) pattern() *deck.Pattern {
	if f.kept != nil {
		return f.kept
	}
	p := &deck.Pattern{
		Sheet: f.k.sheet.ID, Prop: f.k.prop.ID, Pitch: f.p.pitch, Start: f.p.x0, Rows: f.r.rowY, Reach: f.p.over, Light: f.p.light,
	}
	for _, l := range f.lines {
		pl := deck.PatternLine{Name: lineKey(f.name, l.y), At: l.y, Lap: l.lap}
		if !math.IsInf(l.x0, 0) {
			pl.Span = []float64{l.x0, l.x1}
		}
		p.Lines = append(p.Lines, pl)
	}
	return p
}

// namePatterns gives the lines of patterns the names that number found.
func namePatterns(d *deck.Deck, name map[string]string) {
	for i := range d.Fields {
		if p := d.Fields[i].Pattern; p != nil {
			for k := range p.Lines {
				p.Lines[k].Name = name[p.Lines[k].Name]
			}
		}
	}
}

// again is a zone laid in the pattern of an earlier one, before parts are kept. The
// error says why the pattern does not do.
func again(in *Input, z, was int, old *deck.Field) (*field, error) {
	zone, p := in.Site.Zones[z], old.Pattern
	if p == nil {
		return nil, fmt.Errorf("the earlier plan does not say how %s was laid", zone.Name)
	}
	if in.Joists != nil {
		if deg := directionOf(*in.Joists); math.Abs(deg-old.Joists) > 0.01 {
			return nil, fmt.Errorf("the job now wants the joists of %s at %g degrees, they were at %g", zone.Name, deg, old.Joists)
		}
	}
	ks, err := kits(in, zone)
	if err != nil {
		return nil, fmt.Errorf("%s %w", zone.Name, err)
	}
	k := sameProp(in, ks, p.Prop)
	switch {
	case k.sheet.ID != p.Sheet:
		return nil, fmt.Errorf("%s is sheeted with %s now, it was with %s", zone.Name, k.sheet.ID, p.Sheet)
	case p.Pitch > k.sheetSpan(3)+1e-6:
		return nil, fmt.Errorf("sheets on joists %.0f mm apart do not carry the load of %s any more", p.Pitch, zone.Name)
	}
	r, err := newRegion(in.Site, z, newFrame(old.Joists), in.Deck)
	if err != nil {
		return nil, err
	}
	r.rowY = p.Rows
	f := &field{name: old.Name, solver: member.NewSolver(), k: k, r: r, p: pitchPlan{
		x0: p.Start, pitch: p.Pitch, sheet: mmOf(k.sheet.Length.V), rowH: mmOf(k.sheet.Width.V),
		over:  math.Min(p.Reach, k.sheetOver(p.Pitch, k.strength, k.deflect)),
		light: math.Min(p.Light, k.sheetOver(p.Pitch, k.strip, k.stripSvc)),
	}}
	f.cols = r.columns(f.p, mmOf(k.joists[0].part.Width.V)/2)
	f.lines = patternLines(p)
	f.addLines(earlierBox(&in.Earlier.Site.Zones[was], r.f))
	f.turns = slices.Clone(f.lines)
	return f, nil
}

// directionOf is a direction of joists in degrees, as directions gives them.
func directionOf(a quantity.Angle) float64 {
	return math.Mod(math.Round(float64(a)*180/math.Pi*100)/100+360, 180)
}

// sameProp is the kit with a prop, or else the one whose prop carries at least as
// much and least beyond it, or the strongest.
func sameProp(in *Input, ks []*kit, prop string) *kit {
	if i := slices.IndexFunc(ks, func(k *kit) bool { return k.prop.ID == prop }); i >= 0 {
		return ks[i]
	}
	strongest := slices.MaxFunc(ks, func(a, b *kit) int { return cmp.Compare(a.propLoad, b.propLoad) })
	part := in.Catalog.Parts[prop]
	if part == nil {
		return strongest
	}
	load, _, err := in.Settings.Prop(part, quantity.Length(strongest.setting(strongest.grade, strongest.heights.seat)/1000))
	if err != nil {
		return strongest
	}
	best := strongest
	for _, k := range ks {
		if k.propLoad >= float64(load) && k.propLoad < best.propLoad {
			best = k
		}
	}
	return best
}

func patternLines(p *deck.Pattern) []line {
	var out []line
	for _, l := range p.Lines {
		at := line{y: l.At, x0: math.Inf(-1), x1: math.Inf(1), lap: l.Lap}
		if len(l.Span) == 2 {
			at.x0, at.x1 = l.Span[0], l.Span[1]
		}
		out = append(out, at)
	}
	return out
}

// earlierBox is the box of a zone of an earlier site in a frame.
func earlierBox(z *deck.Zone, f frame) plane.Box {
	var all []plane.Shape
	for _, s := range slices.Concat(z.Shapes, z.Strip, z.Room) {
		all = append(all, s.Map(f.in))
	}
	return plane.Bounds(all)
}

// addLines goes on with a pattern where the deck has grown past its lines: lines
// at the pattern's own distance, every one at which joists of the longest stock
// end a lap.
func (f *field) addLines(was plane.Box) {
	var base []float64
	laps := 0
	for _, l := range f.lines {
		if math.IsInf(l.x0, 0) {
			base = append(base, l.y)
			if l.lap {
				laps++
			}
		}
	}
	if len(base) < 2 {
		return
	}
	slices.Sort(base)
	first, last := base[0], base[len(base)-1]
	step := math.Min((last-first)/float64(len(base)-1), f.k.bay(1, f.p.pitch))
	lo, hi := first-f.r.box.Y0, f.r.box.Y1-last
	usual := math.Max(0.4*step, mmOf(f.k.choice.Strip)+350) // an overhang, as the search of lines has it
	add := func(from, past, reach, sign float64) (laps int) {
		n := math.Ceil((past - reach) / step)
		for i := 1.0; i <= n; i++ {
			at := from + sign*(past-reach)*i/n
			// What was the outermost line gets joists on both sides.
			f.lines = append(f.lines, line{y: round(at), x0: math.Inf(-1), x1: math.Inf(1), lap: i < n})
			if i < n {
				laps++
			}
		}
		if n >= 1 {
			for i := range f.lines {
				if f.lines[i].y == from && math.IsInf(f.lines[i].x0, 0) && !f.lines[i].lap {
					f.lines[i].lap = true
					laps++
				}
			}
		}
		return laps
	}
	// What joists reached past the outermost lines before, they may reach still.
	below, above := math.Max(usual, first-was.Y0)+50, math.Max(usual, was.Y1-last)+50
	if lo <= below && hi <= above {
		return
	}
	if lo > below {
		f.lapsOff = add(first, lo, usual, -1)
	}
	if hi > above {
		add(last, hi, usual, 1)
	}
	slices.SortStableFunc(f.lines, byHeight)
	if laps == 0 && f.lapsOff > 0 {
		f.lapsOff = 0 // no tracks to keep
	}
}
