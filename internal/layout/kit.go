package layout

import (
	"fmt"
	"math"
	"sort"
	"sync"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/price"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// kit is the parts of one system that can be used under one soffit, with what
// they may carry.
type kit struct {
	set       rules.Settings
	choice    job.DeckSettings
	sheet     *catalog.Part
	sheetRes  rules.SheetResistance
	joists    []stock
	stringers []stock
	joistRes  rules.BeamResistance
	strRes    rules.BeamResistance
	prop      *catalog.Part
	joistProp *catalog.Part // prop straight under a joist
	propLoad  float64       // N, at the setting under a stringer
	grade     *catalog.Part // heads
	inter     *catalog.Part
	under     *catalog.Part
	sill      *catalog.Part
	tripod    *catalog.Part
	wedge     *catalog.Part
	seatR     float64 // N, most that a stringer may press on a head
	crossR    float64 // N, most that a joist may press on a stringer
	sys       *catalog.System
	cost      pricer
	heights   heights
	slope     *slope  // nil: level
	strength  float64 // N/m2, whole
	placing   float64
	deflect   float64
	strip     float64 // N/m2 on the working strip
	stripSvc  float64
	mu        *sync.Mutex            // of the memories below
	overhangs map[[2]float64]float64 // by pitch and light length
	models    map[modelKey]*runModel
}

// stock is one length of a beam that can be had.
type stock struct {
	part *catalog.Part
	len  float64 // mm
	cost float64
}

// heights of the faces in a zone, mm.
type heights struct {
	soffit, joistTop, stringerTop, seat, joistSeat, base float64
}

func mmOf(l quantity.Length) float64 { return float64(l) * 1000 }

// pricer is the job's prices under its objective, by the names of the engine.
type pricer struct {
	price.Pricer
	rates job.Rates
}

func (p pricer) piece(part *catalog.Part) float64 { return p.Piece(part) }
func (p pricer) grading() float64                 { return p.Grade() }
func (p pricer) cut() float64                     { return p.Cut() }

// propCost is what a prop under a stringer costs with its head, wedge and sill,
// and where it is set to elevation with its tripod and the grading.
func (k *kit) propCost(head *catalog.Part, grade bool) float64 {
	c := k.cost.piece(k.prop) + k.cost.piece(head) + k.cost.piece(k.wedge) + k.cost.piece(k.sill)
	if grade {
		c += k.cost.grading() + k.cost.piece(k.tripod)
	}
	return c
}

// kits lists the usable combinations under a zone: one for each prop worth
// trying. The error says what is missing when there is none.
func kits(in *Input, zone deck.Zone) ([]*kit, error) {
	base := kit{set: in.Settings, choice: in.Deck, sys: in.System, cost: in.pricer()}
	var err error
	if base.sheet, base.sheetRes, err = base.firstSheet(in); err != nil {
		return nil, err
	}
	if base.joists, base.joistRes, err = base.beams(in, in.System.Joists, "joist", rules.Context{Repetitive: true}); err != nil {
		return nil, err
	}
	if base.stringers, base.strRes, err = base.beams(in, in.System.Stringers, "stringer", rules.Context{}); err != nil {
		return nil, err
	}
	part := func(id string) *catalog.Part { return in.Catalog.Parts[id] }
	base.grade, base.inter, base.under = part(in.System.GradeHead), part(in.System.InterHead), part(in.System.JoistHead)
	base.wedge, base.tripod = part(in.System.Wedge), part(in.System.Tripod)
	if base.inter == nil {
		base.inter = base.grade
	}
	if base.under == nil {
		base.under = base.grade
	}
	base.slope = slopeOf(in.Site, zone)
	h := &base.heights
	h.soffit = zone.Soffit
	h.joistTop = h.soffit - mmOf(base.sheet.Depth.V)
	h.stringerTop = h.joistTop - mmOf(base.joists[0].part.Depth.V)
	h.seat = h.stringerTop - mmOf(base.stringers[0].part.Depth.V)
	h.joistSeat = h.stringerTop
	h.base = in.Site.BaseZ
	if in.Site.OnGround {
		if base.sill = part(in.System.Sill); base.sill != nil {
			h.base += mmOf(base.sill.Depth.V)
		}
	}
	load := in.Settings.AreaLoad(quantity.Length(zone.Thickness/1000), in.Settings.FormAllowance)
	base.strength, base.placing, base.deflect = float64(load.Strength()), float64(load.StrengthPlacing), float64(load.DeflectionLoad)
	strip := in.Settings.StripLoad(in.Settings.FormAllowance)
	base.strip, base.stripSvc = float64(strip.Strength()), float64(strip.DeflectionLoad)
	base.besideSides(in, zone)
	base.seatR = base.seatLimit(base.stringers[0].part, base.grade, base.strRes)
	base.crossR = base.crossLimit()
	return base.withProps(in)
}

func (k kit) firstSheet(in *Input) (*catalog.Part, rules.SheetResistance, error) {
	var last error
	for _, id := range in.System.Sheets {
		p := in.Catalog.Parts[id]
		if p == nil {
			continue
		}
		res, err := in.Settings.Sheet(p, true)
		if err == nil {
			return p, res, nil
		}
		last = err
	}
	return nil, rules.SheetResistance{}, fmt.Errorf("system %s has no sheet that can be proven on basis %s: %v", in.System.ID, in.Settings.Basis, last)
}

// beams keeps the lengths of the first section that has values on the basis:
// one deck uses one joist section and one stringer section.
func (k kit) beams(in *Input, ids []string, role string, c rules.Context) ([]stock, rules.BeamResistance, error) {
	var out []stock
	var res rules.BeamResistance
	var last error
	for _, id := range ids {
		p := in.Catalog.Parts[id]
		if p == nil {
			continue
		}
		r, err := in.Settings.Beam(p, c)
		if err != nil {
			last = err
			continue
		}
		if len(out) > 0 && (p.Depth.V != out[0].part.Depth.V || p.Width.V != out[0].part.Width.V || r.Moment != res.Moment) {
			continue
		}
		res = r
		out = append(out, stock{p, mmOf(p.Length.V), k.cost.piece(p)})
	}
	if len(out) == 0 {
		return nil, res, fmt.Errorf("system %s has no %s that can be proven on basis %s: %v", in.System.ID, role, in.Settings.Basis, last)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].len < out[j].len })
	return out, res, nil
}

func (k kit) seatLimit(beam, head *catalog.Part, r rules.BeamResistance) float64 {
	limit := math.Inf(1)
	if r.Reaction > 0 {
		limit = float64(r.Reaction)
	}
	if head != nil && head.Seat != nil {
		if f, _, err := k.set.Bearing(beam, rules.Seat{Long: head.Seat.SeatLong.V, Wide: min(head.Seat.SeatWide.V, beam.Width.V), FromEnd: 0.1}); err == nil {
			limit = math.Min(limit, float64(f))
		}
	}
	return limit
}

// crossLimit is the most that a joist may press on a stringer.
func (k kit) crossLimit() float64 {
	j, s := k.joists[0].part, k.stringers[0].part
	limit := math.Inf(1)
	if k.joistRes.Reaction > 0 {
		limit = float64(k.joistRes.Reaction)
	}
	if f, _, err := k.set.Bearing(j, rules.Seat{Long: s.Width.V, Wide: j.Width.V, FromEnd: 0.1}); err == nil {
		limit = math.Min(limit, float64(f))
	}
	if f, _, err := k.set.Bearing(s, rules.Seat{Long: j.Width.V, Wide: s.Width.V, FromEnd: 0.1}); err == nil {
		limit = math.Min(limit, float64(f))
	}
	return limit
}

// setting is the prop length under a head at a seat height, mm; under a soffit that
// falls the longest.
func (k *kit) setting(head *catalog.Part, seat float64) float64 {
	l := seat - k.heights.base
	if s := k.slope; s != nil {
		l = s.high - (k.heights.soffit-seat)*s.Stretch() - taper(head, s.Fall) - k.heights.base
	}
	if head != nil && head.Seat != nil {
		l -= mmOf(head.Seat.Height.V)
	}
	if k.wedge != nil {
		l -= mmOf(k.wedge.Depth.V)
	}
	return l
}

// fits reports whether a prop can be set to a length, mm.
func fits(p *catalog.Part, length float64) bool {
	if p.Kind == catalog.Lumber { // cut to length
		return length > 0 && length <= mmOf(p.Length.V)
	}
	s := p.Shore
	return s != nil && s.Longest.Known && s.Shortest.Known && length >= mmOf(s.Shortest.V)-1e-6 && length <= mmOf(s.Longest.V)+1e-6
}

func (k kit) withProps(in *Input) ([]*kit, error) {
	need, needInter, needJoist := k.setting(k.grade, k.heights.seat), k.setting(k.inter, k.heights.seat), k.setting(k.under, k.heights.joistSeat)
	type choice struct {
		p    *catalog.Part
		load float64
		cost float64
	}
	var found []choice
	var last error
	longest, shortest := 0.0, math.Inf(1)
	for _, id := range in.System.Props {
		p := in.Catalog.Parts[id]
		if p == nil {
			continue
		}
		if p.Kind == catalog.Lumber {
			longest = math.Max(longest, mmOf(p.Length.V))
			shortest = 0
		} else if p.Shore != nil {
			longest = math.Max(longest, mmOf(p.Shore.Longest.V))
			shortest = math.Min(shortest, mmOf(p.Shore.Shortest.V))
		}
		if !k.fitsAll(in, p, need) || !k.fitsAll(in, p, needInter) {
			continue
		}
		f1, _, err := in.Settings.Prop(p, quantity.Length(need/1000))
		f2, _, err2 := in.Settings.Prop(p, quantity.Length(needInter/1000))
		if err != nil || err2 != nil {
			last = err
			if last == nil {
				last = err2
			}
			continue
		}
		load := math.Min(float64(f1), float64(f2))
		if k.sill != nil {
			load = math.Min(load, k.onSill(p))
		}
		found = append(found, choice{p, load, k.cost.piece(p)})
	}
	if len(found) == 0 {
		if last != nil {
			return nil, last
		}
		style := quantity.Metric
		if in.Settings.Basis == rules.US {
			style = quantity.US
		}
		what := fmt.Sprintf("the props of system %s reach from %s to %s", in.System.ID, quantity.Length(shortest/1000).Text(style), quantity.Length(longest/1000).Text(style))
		switch {
		case math.Max(need, needInter) > longest: // both heads must do
			return nil, fmt.Errorf("needs props of %s, but %s; use shoring towers or a soffit in two stages designed by an engineer, never one prop on another", quantity.Length(math.Max(need, needInter)/1000).Text(style), what)
		case math.Min(need, needInter)-k.slope.span() < shortest:
			return nil, fmt.Errorf("leaves only %s for props, but %s; use shorter props or shallower beams", quantity.Length((math.Min(need, needInter)-k.slope.span())/1000).Text(style), what)
		case k.slope != nil:
			return nil, fmt.Errorf("needs props of %s at its low end to %s at its high end, and system %s has none for every height between that carry enough; pour it in parts, one below the other, or add props to the system in a catalogue of your own",
				quantity.Length((math.Min(need, needInter)-k.slope.span())/1000).Text(style), quantity.Length(math.Max(need, needInter)/1000).Text(style), in.System.ID)
		}
		return nil, fmt.Errorf("needs props of %s, and none of system %s has that setting in its range; add one that has to the system in a catalogue of your own", quantity.Length(need/1000).Text(style), in.System.ID)
	}
	// Keep props that no other beats in both load and cost.
	sort.SliceStable(found, func(i, j int) bool {
		if found[i].cost != found[j].cost {
			return found[i].cost < found[j].cost
		}
		return found[i].load > found[j].load
	})
	var out []*kit
	best := 0.0
	for _, c := range found {
		// More than a stringer may press on a head helps nobody.
		if c.load <= best*1.02 || best >= k.seatR {
			continue
		}
		best = c.load
		kk := k
		kk.mu, kk.overhangs = new(sync.Mutex), map[[2]float64]float64{}
		kk.prop, kk.propLoad = c.p, c.load
		kk.joistProp = k.underJoist(in, c.p, needJoist)
		out = append(out, &kk)
	}
	return out, nil
}

// underJoist is the prop for a place straight under a joist: the same one when
// its range allows, else the first that reaches.
func (k kit) underJoist(in *Input, same *catalog.Part, need float64) *catalog.Part {
	if k.fitsAll(in, same, need) {
		return same
	}
	for _, id := range in.System.Props {
		if p := in.Catalog.Parts[id]; p != nil && k.fitsAll(in, p, need) {
			if _, _, err := in.Settings.Prop(p, quantity.Length(need/1000)); err == nil {
				return p
			}
		}
	}
	return nil
}

// onSill is the most that a prop may carry on its sill on the ground.
func (k kit) onSill(p *catalog.Part) float64 {
	plate := p.Width.V
	if p.Shore != nil {
		plate = p.Shore.Plate.V
	}
	lo, hi := 0.0, 1e6
	for range 40 {
		mid := (lo + hi) / 2
		lines, err := k.set.Sill(k.sill, quantity.Force(mid), plate)
		if err != nil {
			return math.Inf(1) // the audit says what is missing
		}
		if w, ok := lines.Worst(); ok && w.Ratio > 1 {
			hi = mid
		} else {
			lo = mid
		}
	}
	return lo * 0.99
}
