package layout

import (
	"math"
	"sync"

	"shoreward/internal/beam"
	"shoreward/internal/member"
)

// form is how the spans of a stringer share its length between its first and
// last prop, the two outer spans alike and those between alike, and what a
// uniform load does: the worst over patterns of placing, in q L^2 for the
// moment, q L for shear and reactions, q L^4/EI for the deflection of a span.
type form struct {
	outer, inner                 float64 // spans, shares of the length
	moment, shear                float64
	prop, end                    float64 // reaction of a prop between, of the first and last
	outerDeflects, innerDeflects float64
}

// formKey is the number of spans, and the share of the load that comes in
// patterns, in hundredths.
type formKey struct{ spans, placing int }

var (
	formsMu    sync.Mutex
	formsKnown = map[formKey][]form{}
)

// mostSpans is the number of spans from which on a piece is as one of so many.
const mostSpans = 6

// forms gives the ways to share a piece into spans. Outer spans that are longer
// or shorter than the rest even out what props carry.
func forms(spans int, placing float64) []form {
	key := formKey{spans, int(math.Ceil(placing*100 - 1e-9))}
	formsMu.Lock()
	defer formsMu.Unlock()
	if f, ok := formsKnown[key]; ok {
		return f
	}
	var out []form
	for ratio := 75; ratio <= 135; ratio += 5 { // outer span to inner one, per cent
		if spans < 3 && ratio != 100 {
			continue
		}
		if f, ok := newForm(spans, float64(ratio)/100, float64(key.placing)/100); ok {
			out = append(out, f)
		}
	}
	formsKnown[key] = out
	return out
}

// evenSpans is the form with all spans alike.
func evenSpans(spans int, placing float64) form {
	for _, f := range forms(spans, placing) {
		if math.Abs(f.outer-f.inner) < 1e-9 {
			return f
		}
	}
	return form{}
}

func newForm(spans int, ratio, placing float64) (form, bool) {
	const length, load = 10.0, 1e4 // m, N/m: any will do
	f := form{outer: 1 / float64(spans), inner: 1 / float64(spans)}
	if spans > 2 {
		f.inner = 1 / (float64(spans-2) + 2*ratio)
		f.outer = ratio * f.inner
	}
	pc := member.Piece{End: length, EI: 1e6,
		Always:  []beam.Load{beam.Uniform(0, length, load*(1-placing))},
		Placing: []beam.Load{beam.Uniform(0, length, load*placing)},
		Deflect: []beam.Load{beam.Uniform(0, length, load)}}
	for i := range spans + 1 {
		pc.Supports = append(pc.Supports, length*f.at(i, spans))
	}
	e, err := member.NewSolver().Solve(pc)
	if err != nil {
		return form{}, false
	}
	f.moment = math.Max(e.Sag, e.Hog) / (load * length * length)
	f.shear = e.Shear / (load * length)
	for i, r := range e.ReactMax {
		if r /= load * length; i == 0 || i == spans {
			f.end = math.Max(f.end, r)
		} else {
			f.prop = math.Max(f.prop, r)
		}
	}
	for i, s := range e.Spans {
		if d := s.Max * pc.EI / (load * math.Pow(length, 4)); i == 0 || i == spans-1 {
			f.outerDeflects = math.Max(f.outerDeflects, d)
		} else {
			f.innerDeflects = math.Max(f.innerDeflects, d)
		}
	}
	return f, true
}

// at is where the i-th prop stands, as a share of the length.
func (f form) at(i, spans int) float64 {
	switch i {
	case 0:
		return 0
	case spans:
		return 1
	}
	return f.outer + float64(i-1)*f.inner
}

// reach is the longest piece of a form, mm, under a band of deck that joists
// hand down in points a pitch apart: near a prop up to half a joist more counts.
func (k *kit) reach(f form, band, pitch float64) float64 {
	q, qd := k.strength*band/1000, k.deflect*band/1000
	res, p := k.strRes, pitch/1000
	prop := k.propLoad - propOwn
	l := math.Sqrt(float64(res.Moment) / (f.moment * q))
	l = math.Min(l, (float64(res.Shear)/q-p/2+mmOf(res.ShearOffset)/1000)/f.shear)
	if f.prop > 0 {
		l = math.Min(l, (math.Min(prop, k.seatR)/q-p/4)/f.prop)
	}
	// The end prop holds the neighbour's end as well.
	l = math.Min(l, (math.Min(prop/2-q*p/8, k.seatR-q*p/4)/q)/f.end)
	if l <= 0 {
		return 0
	}
	return 1000 * k.byDeflection(l, func(l float64) float64 {
		ql := qd * l * l * l * l / float64(res.EI)
		// Each span by its own length: as a share of the limit of the whole.
		worst := f.outerDeflects * ql / k.deflectionLimit(l*f.outer, false)
		if f.innerDeflects > 0 {
			worst = math.Max(worst, f.innerDeflects*ql/k.deflectionLimit(l*f.inner, false))
		}
		return worst * k.deflectionLimit(l, false)
	})
}
