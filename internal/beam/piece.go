package beam

import (
	"fmt"
	"math"
	"slices"
)

// piece is a stretch of beam with no support, point load or kink of the line
// load inside. Places in it run from t = 0 at x to t = 1 at x+h. The last piece
// of a beam has no length: it holds the point load at the very end.
type piece struct {
	x, h    float64
	support int     // the support at x, or -1
	p       float64 // point load at x
	w0, w1  float64 // intensity at t = 0 and t = 1

	// State at t = 0, just right of the point load: shear, moment, slope, deflection.
	v, m, slope, y float64
}

func (p *piece) shear() poly {
	return poly{p.v, -p.w0 * p.h, -(p.w1 - p.w0) * p.h / 2}
}

func (p *piece) moment() poly {
	hh := p.h * p.h
	return poly{p.m, p.v * p.h, -p.w0 * hh / 2, -(p.w1 - p.w0) * hh / 6}
}

// deflection integrates EI y" = -M twice.
func (p *piece) deflection(ei float64) poly {
	hh := p.h * p.h / ei
	return poly{p.y, p.slope * p.h, -p.m * hh / 2, -p.v * p.h * hh / 6,
		p.w0 * p.h * p.h * hh / 24, (p.w1 - p.w0) * p.h * p.h * hh / 120}
}

// turn is the change of slope over the piece, the integral of -M/EI.
func (p *piece) turn(ei float64) float64 {
	h := p.h
	return -h * (p.m + h*(p.v/2-h*(p.w0/6+(p.w1-p.w0)/24))) / ei
}

// gauss is the three-point Gauss rule on 0..1: exact for polynomials up to the
// fifth degree, so three point loads stand exactly for a linear line load in
// every integral of the force method (third-degree influence lines).
var gauss = [3]struct{ t, weight float64 }{
	{0.5 - math.Sqrt(0.15), 5. / 18}, {0.5, 8. / 18}, {0.5 + math.Sqrt(0.15), 5. / 18},
}

// forces calls f with the line load of the piece as equivalent point loads.
func (p *piece) forces(f func(x, force float64)) {
	if p.w0 == 0 && p.w1 == 0 {
		return
	}
	for _, g := range gauss {
		f(p.x+g.t*p.h, g.weight*p.h*(p.w0+g.t*(p.w1-p.w0)))
	}
}

// fit brings a load onto the beam: what lies off it is cut away, ends at a
// support or beam end but for rounding are put there. ok is false when nothing is left.
func (b Beam) fit(l Load, at []float64) (fitted Load, ok bool, err error) {
	switch {
	case !finite(l.From, l.To, l.W1, l.W2, l.P):
		return l, false, fmt.Errorf("from %g to %g, W1 %g, W2 %g, P %g: all must be finite numbers", l.From, l.To, l.W1, l.W2, l.P)
	case l.To < l.From:
		return l, false, fmt.Errorf("it runs from %g back to %g; From must not lie beyond To", l.From, l.To)
	case l.To > l.From && l.P != 0:
		return l, false, fmt.Errorf("point load %g is given with a length from %g to %g; a point load has From equal to To", l.P, l.From, l.To)
	}
	tol := b.tolerance()
	if l.To == l.From {
		if l.P != 0 && (l.From < b.Start-tol || l.From > b.End+tol) {
			return l, false, fmt.Errorf("point load %g at %g is off the beam, which runs from %g to %g", l.P, l.From, b.Start, b.End)
		}
		return Point(b.settle(l.From, at), l.P), l.P != 0, nil
	}
	c := cut(l, b.Start, b.End)
	if c.To <= c.From {
		return l, false, nil
	}
	from, to := b.settle(c.From, at), b.settle(c.To, at)
	if to <= from { // shorter than the tolerance: its resultant acts
		return Point(from, (c.W1+c.W2)/2*(c.To-c.From)), true, nil
	}
	c.From, c.To = from, to
	return c, c.W1 != 0 || c.W2 != 0, nil
}

// settle puts x at the support or beam end that is the same place.
func (b Beam) settle(x float64, at []float64) float64 {
	tol := b.tolerance()
	if i, _ := slices.BinarySearch(at, x-tol); i < len(at) && at[i] <= x+tol {
		return at[i]
	}
	return snap(x, tol, b.Start, b.End)
}

// cut keeps the part of a line load between from and to.
func cut(l Load, from, to float64) Load {
	c := l
	if from > l.From {
		c.From, c.W1 = from, l.intensity(from)
	}
	if to < l.To {
		c.To, c.W2 = to, l.intensity(to)
	}
	return c
}

// intensity of a line load at a place inside it.
func (l Load) intensity(x float64) float64 {
	return l.W1 + (l.W2-l.W1)*((x-l.From)/(l.To-l.From))
}

// lay cuts the beam into pieces fine enough for all the load sets, and gives
// the pieces of each set, loaded but not solved. at are the support places.
func (b Beam) lay(at []float64, sets ...[]Load) ([][]piece, error) {
	count := 0
	for _, s := range sets {
		count += len(s)
	}
	fitted := make([]Load, 0, count)
	sizes := make([]int, len(sets))
	xs := make([]float64, 0, 2*count+len(at)+2)
	xs = append(append(xs, b.Start, b.End), at...)
	for k, set := range sets {
		for i, l := range set {
			f, ok, err := b.fit(l, at)
			if err != nil {
				return nil, fmt.Errorf("beam: load %d of set %d: %w", i, k, err)
			}
			if !ok {
				continue
			}
			fitted = append(fitted, f)
			sizes[k]++
			xs = append(xs, f.From)
			if f.To > f.From {
				xs = append(xs, f.To)
			}
		}
	}
	slices.Sort(xs)
	xs = slices.Compact(xs)

	blank := make([]piece, len(xs))
	next := 0
	for i, x := range xs {
		blank[i] = piece{x: x, support: -1}
		if i+1 < len(xs) {
			blank[i].h = xs[i+1] - x
		}
		if next < len(at) && at[next] == x {
			blank[i].support = next
			next++
		}
	}
	out := make([][]piece, len(sets))
	for k := range sets {
		out[k] = blank
		if k < len(sets)-1 {
			out[k] = slices.Clone(blank)
		}
	}
	for k := range sets {
		for _, l := range fitted[:sizes[k]] {
			put(out[k], xs, l)
		}
		fitted = fitted[sizes[k]:]
	}
	return out, nil
}

// put adds a load to the pieces it lies on.
func put(ps []piece, xs []float64, l Load) {
	i, _ := slices.BinarySearch(xs, l.From)
	if l.To == l.From {
		ps[i].p += l.P
		return
	}
	w := l.W1
	for ; xs[i] < l.To; i++ {
		ps[i].w0 += w
		w = l.intensity(xs[i+1])
		ps[i].w1 += w
	}
}

// resultant is the total load, its moment about x = origin, and the sum of
// the sizes of the loads.
func resultant(ps []piece, origin float64) (force, moment, size float64) {
	add := func(x, f float64) {
		force += f
		moment += f * (x - origin)
		size += math.Abs(f)
	}
	for i := range ps {
		add(ps[i].x, ps[i].p)
		ps[i].forces(add)
	}
	return force, moment, size
}
