package beam

import "math"

// poly is a polynomial in t, lowest power first.
type poly [6]float64

func (p *poly) at(t float64) float64 {
	return p[0] + t*(p[1]+t*(p[2]+t*(p[3]+t*(p[4]+t*p[5]))))
}

func (p *poly) derivative() poly {
	return poly{p[1], 2 * p[2], 3 * p[3], 4 * p[4], 5 * p[5]}
}

func (p *poly) plus(q *poly) poly {
	s := *p
	for i, c := range q {
		s[i] += c
	}
	return s
}

func (p poly) times(k float64) poly {
	for i := range p {
		p[i] *= k
	}
	return p
}

func (p *poly) degree() int {
	d := len(p) - 1
	for d > 0 && p[d] == 0 {
		d--
	}
	return d
}

// roots are the n places strictly inside lo..hi, in order, where p changes sign
// (and may be places where it only touches zero). Between two neighbouring
// roots of its derivative p is monotone, which brackets each root.
func (p *poly) roots(lo, hi float64) (r [5]float64, n int) {
	keep := func(t float64) {
		if t > lo && t < hi {
			r[n] = t
			n++
		}
	}
	switch p.degree() {
	case 0:
		return r, 0
	case 1:
		keep(-p[0] / p[1])
		return r, n
	case 2:
		if a, b, ok := quadratic(p[2], p[1], p[0]); ok {
			keep(math.Min(a, b))
			keep(math.Max(a, b))
		}
		return r, n
	}
	d := p.derivative()
	turns, m := d.roots(lo, hi)
	a, fa := lo, p.at(lo)
	for k := 0; k <= m; k++ {
		b := hi
		if k < m {
			b = turns[k]
		}
		fb := p.at(b)
		switch {
		case fb == 0:
			keep(b)
		case fa != 0 && fa < 0 != (fb < 0):
			keep(p.refine(&d, a, b, fa))
		}
		a, fa = b, fb
	}
	return r, n
}

// quadratic solves a t^2 + b t + c = 0 for real roots without cancellation or
// overflow.
func quadratic(a, b, c float64) (t0, t1 float64, ok bool) {
	size := max(math.Abs(a), math.Abs(b), math.Abs(c))
	a, b, c = a/size, b/size, c/size
	disc := b*b - 4*a*c
	if !(disc >= 0) {
		return 0, 0, false
	}
	q := -(b + math.Copysign(math.Sqrt(disc), b)) / 2
	if q == 0 { // b = c = 0
		return 0, 0, true
	}
	return q / a, c / q, true
}

// refine finds the root of p between a and b, where p changes sign once, by
// Newton steps (d is the derivative), or a halving where a step would leave the bracket.
func (p *poly) refine(d *poly, a, b, fa float64) float64 {
	t := (a + b) / 2
	for range 100 {
		f := p.at(t)
		if f == 0 {
			return t
		}
		if f < 0 == (fa < 0) {
			a = t
		} else {
			b = t
		}
		next := t - f/d.at(t)
		if !(next > a && next < b) {
			next = (a + b) / 2
		}
		if math.Abs(next-t) <= 1e-16*math.Abs(next) || next == a || next == b {
			return next
		}
		t = next
	}
	return t
}
