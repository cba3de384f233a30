package layout

import (
	"math"

	"shoreward/internal/beam"
	"shoreward/internal/member"
	"shoreward/internal/rules"
)

// Planning coefficients. The layout sizes bays and prop spacing with these and
// lets the audit prove the result on the real load path; they are the worst
// patterns of loaded spans of equal continuous beams (moment, shear, reaction)
// and the deflection with all spans loaded, all by statics.
var coefficients = []struct{ m, v, r, d float64 }{
	1: {1.0 / 8, 1.0 / 2, 0.5, 5.0 / 384},
	2: {1.0 / 8, 5.0 / 8, 1.25, 0.0054161},
	3: {7.0 / 60, 0.616667, 1.2, 0.0068842},
	4: {27.0 / 224, 0.620536, 1.2232, 0.0064604},
}

// sheetShare is how much more than its pitch a joist may carry because sheets
// run over it: the first inner support of a continuous sheet.
const sheetShare = 1.15

func coeff(spans int) struct{ m, v, r, d float64 } {
	return coefficients[max(1, min(spans, len(coefficients)-1))]
}

// spanLimit is the longest equal span, mm, of a beam over so many spans under
// a strength load q and a deflection load qd, N/m.
func (k *kit) spanLimit(spans int, q, qd, moment, shear, shearOffset, ei, support float64) float64 {
	c := coeff(spans)
	l := math.Sqrt(moment / (c.m * q))
	l = math.Min(l, shear/(c.v*q)+shearOffset/500) // load within the offset of each face is left out
	l = math.Min(l, support/(c.r*q))
	return 1000 * k.byDeflection(l, func(l float64) float64 { return c.d * qd * l * l * l * l / ei })
}

// byDeflection shortens a span, m, until its deflection meets the limit.
func (k *kit) byDeflection(l float64, deflection func(float64) float64) float64 {
	ok := func(l float64) bool { return deflection(l) <= k.deflectionLimit(l, false) }
	if ok(l) {
		return l
	}
	lo, hi := 0.0, l
	for range 40 {
		if mid := (lo + hi) / 2; ok(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

func (k *kit) deflectionLimit(span float64, sheet bool) float64 {
	limit := span / k.set.DeflectionSpan
	cap := float64(k.set.DeflectionMaxBeam)
	if sheet {
		cap = float64(k.set.DeflectionMaxSheet)
	}
	if cap > 0 {
		limit = math.Min(limit, cap)
	}
	return limit
}

// bay is the longest distance between stringer lines for joists over so many bays, mm.
func (k *kit) bay(spans int, pitch float64) float64 {
	w := pitch / 1000 * sheetShare
	r := k.joistRes
	return k.spanLimit(spans, k.strength*w, k.deflect*w, float64(r.Moment), float64(r.Shear), mmOf(r.ShearOffset), float64(r.EI), k.crossR)
}

// propSpacing is the longest distance between props under a stringer that
// carries a band of deck of this width, mm. Joists hand the load down in points
// a pitch apart: near a prop up to half a joist more counts.
func (k *kit) propSpacing(band, pitch float64) float64 {
	q, qd := k.strength*band/1000, k.deflect*band/1000
	r, c, p := k.strRes, coeff(3), pitch/1000
	l := math.Sqrt(float64(r.Moment) / (c.m * q))
	l = math.Min(l, (float64(r.Shear)/q-p/2)/c.v+mmOf(r.ShearOffset)/500)
	l = math.Min(l, (math.Min(k.propLoad, k.seatR)/q-p/4)/c.r)
	l = math.Max(l, 0.15)
	return 1000 * k.byDeflection(l, func(l float64) float64 { return c.d * qd * l * l * l * l / float64(r.EI) })
}

// holdsTip tells whether a piece that reaches past its last support uses no more
// than the share `use` of its strength, and its tip of the deflection allowed
// over a span l (twice the overhang, m).
func (k *kit) holdsTip(pc member.Piece, r rules.BeamResistance, l, use float64) bool {
	e, err := member.NewSolver().Solve(pc)
	if err != nil || e.Spans[0].Max > use*k.deflectionLimit(l, false) {
		return false
	}
	for _, s := range e.Strength(float64(r.Moment), float64(r.Shear)) {
		if s.Ratio() > use {
			return false
		}
	}
	return true
}

// overhang is how far a joist may reach past its last support, mm, when the
// outer `light` mm carry the working strip's load only.
func (k *kit) overhang(pitch, light float64) float64 {
	key := [2]float64{pitch, math.Round(light/25) * 25}
	light = key[1] // of two that share a key, whichever is asked for first
	k.mu.Lock()
	defer k.mu.Unlock()
	if a, ok := k.overhangs[key]; ok {
		return a
	}
	const use = 0.95
	w := pitch / 1000 * sheetShare
	back := k.bay(1, pitch) / 1000 * 0.8
	r := k.joistRes
	lo, hi := 0.0, 3.0
	for range 20 {
		a := (lo + hi) / 2
		l := math.Min(light/1000, a)
		wholly := light/1000 > 2*a // nothing but strip: the span behind is light too
		inner, innerD := k.strength*w, k.deflect*w
		if wholly {
			inner, innerD = k.strip*w, k.stripSvc*w
		}
		pc := member.Piece{End: a + back, EI: float64(r.EI), Supports: []float64{a, a + back}, Bearing: 0.04, Offset: float64(r.ShearOffset),
			Placing: []beam.Load{beam.Uniform(0, l, k.strip*w), beam.Uniform(l, a+back, inner)},
			Deflect: []beam.Load{beam.Uniform(0, l, k.stripSvc*w), beam.Uniform(l, a+back, innerD)}}
		if k.holdsTip(pc, r, 2*a, use) {
			lo = a
		} else {
			hi = a
		}
	}
	k.overhangs[key] = 1000 * lo
	return 1000 * lo
}

// edgeBand is the widest band of deck, mm, that a stringer may carry where it
// reaches past the slab's edge to hold the working strip, with its last prop as
// near to the edge as one may stand.
func (k *kit) edgeBand() float64 {
	const use = 0.9
	strip, edge := float64(k.choice.Strip), float64(k.choice.EdgeOfStand)+0.05
	c, back := strip+edge, 1.0
	r := k.strRes
	lo, hi := 0.0, 6.0
	for range 20 {
		b := (lo + hi) / 2
		pc := member.Piece{End: c + back, EI: float64(r.EI), Supports: []float64{c, c + back}, Bearing: 0.04, Offset: float64(r.ShearOffset),
			Placing: []beam.Load{beam.Uniform(0, strip, k.strip*b), beam.Uniform(strip, c+back, k.strength*b)},
			Deflect: []beam.Load{beam.Uniform(0, strip, k.stripSvc*b), beam.Uniform(strip, c+back, k.deflect*b)}}
		if k.holdsTip(pc, r, 2*c, use) {
			lo = b
		} else {
			hi = b
		}
	}
	return 1000 * lo
}

// sheetSpan is the longest joist pitch for a sheet over so many spans, mm;
// sheetOver is how far
// it may reach past its last joist under a load per area.
func (k *kit) sheetSpan(spans int) float64 {
	c, q, r := coeff(spans), k.strength, k.sheetRes
	l := math.Min(math.Sqrt(r.Moment/(c.m*q)), r.Shear/(c.v*q))
	ok := func(l float64) bool { return c.d*k.deflect*l*l*l*l/r.EI <= k.deflectionLimit(l, true) }
	lo, hi := 0.0, l
	if ok(l) {
		return 1000 * l
	}
	for range 40 {
		if mid := (lo + hi) / 2; ok(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return 1000 * lo
}

func (k *kit) sheetOver(pitch, strength, service float64) float64 {
	const use, spans = 0.85, 3
	r, p := k.sheetRes, pitch/1000
	lo, hi := 0.0, 1.0
	for range 24 {
		a := (lo + hi) / 2
		pc := member.Piece{End: a + spans*p, EI: r.EI,
			Placing: []beam.Load{beam.Uniform(0, a+spans*p, strength)}, Deflect: []beam.Load{beam.Uniform(0, a+spans*p, service)}}
		for i := range spans + 1 {
			pc.Supports = append(pc.Supports, a+float64(i)*p)
		}
		ok := false
		if e, err := member.NewSolver().Solve(pc); err == nil {
			ok = e.Spans[0].Max <= use*k.deflectionLimit(2*a, true)
			for _, l := range e.Strength(r.Moment, r.Shear) {
				ok = ok && l.Ratio() <= use
			}
		}
		if ok {
			lo = a
		} else {
			hi = a
		}
	}
	return 1000 * lo
}
