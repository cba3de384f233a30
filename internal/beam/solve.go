package beam

import "errors"

// Solve finds the state of the beam under loads. Line loads are cut off at the
// beam's ends; a point load off the beam is an error. Push-only supports that
// would have to pull are released; a beam that the rest cannot hold is an error.
func (b Beam) Solve(loads []Load) (Result, error) {
	at, err := b.check()
	if err != nil {
		return Result{}, err
	}
	sets, err := b.lay(at, loads)
	if err != nil {
		return Result{}, err
	}
	return b.settleOn(at, sets[0])
}

// chain is the beam on a choice of its supports, ready to take loads: the
// force method with the moments over the inner supports as unknowns.
//
// Spans are cut apart over each support. The slopes left and right of support
// i must agree:
//
//	M[i-1] L[i-1]/6 + M[i] (L[i-1]+L[i])/3 + M[i+1] L[i]/6 + EI (G' y)[i] = -b[i-1] - a[i]
//
// with a, b the end slopes (times EI) of the simply supported spans under load,
// y = C R the settlements, C the compliances, and the reactions R = R0 + G M.
// So the matrix is F + EI G'CG: symmetric, positive definite, half-bandwidth 2.
type chain struct {
	ei    float64
	total int       // supports of the beam
	on    []int     // supports in use
	x, c  []float64 // their places and compliances
	span  []float64 // lengths between them
	d     []float64 // LDL' factor: diagonal and the two lower diagonals
	e, f  []float64
}

func (b Beam) chain(at []float64, on []int) *chain {
	n := len(on)
	room := make([]float64, 6*n)
	slice := func() []float64 {
		s := room[:n:n]
		room = room[n:]
		return s
	}
	ch := &chain{ei: b.EI, total: len(at), on: on, x: slice(), c: slice(), span: slice(), d: slice(), e: slice(), f: slice()}
	for k, i := range on {
		ch.x[k], ch.c[k] = at[i], b.Supports[i].compliance()
		if k > 0 {
			ch.span[k-1] = ch.x[k] - ch.x[k-1]
		}
	}
	ch.span = ch.span[:n-1]
	ch.factor()
	return ch
}

// pull is column i of G: what a unit moment over inner support i adds to the
// reactions of supports i-1, i and i+1.
func (ch *chain) pull(i int) (before, here, after float64) {
	before, after = 1/ch.span[i-1], 1/ch.span[i]
	return before, -before - after, after
}

// factor builds the matrix for the inner supports 1..n-2 and factors it. d[i],
// e[i], f[i] hold row i: the pivot and the factors towards rows i-1 and i-2.
func (ch *chain) factor() {
	L, c, ei := ch.span, ch.c, ch.ei
	for i := 1; i < len(ch.on)-1; i++ {
		gb, gh, ga := ch.pull(i)
		diag := (L[i-1]+L[i])/3 + ei*(c[i-1]*gb*gb+c[i]*gh*gh+c[i+1]*ga*ga)
		var low1, low2 float64
		if i > 1 {
			_, ph, pa := ch.pull(i - 1)
			low1 = L[i-1]/6 + ei*(c[i-1]*gb*ph+c[i]*gh*pa)
		}
		if i > 2 {
			_, _, pa := ch.pull(i - 2)
			low2 = ei * c[i-1] * gb * pa
			low1 -= low2 * ch.e[i-1] // low2 = f d[i-2], and e[i-1] is row i-1 towards i-2
			ch.f[i] = low2 / ch.d[i-2]
			diag -= low2 * ch.f[i]
		}
		if i > 1 {
			ch.e[i] = low1 / ch.d[i-1]
			diag -= low1 * ch.e[i]
		}
		ch.d[i] = diag
	}
}

// substitute solves the factored system for the inner supports in place.
func (ch *chain) substitute(m []float64) {
	n := len(ch.on)
	for i := 2; i < n-1; i++ {
		m[i] -= ch.e[i] * m[i-1]
		if i > 2 {
			m[i] -= ch.f[i] * m[i-2]
		}
	}
	for i := 1; i < n-1; i++ {
		m[i] /= ch.d[i]
	}
	for i := n - 2; i > 1; i-- {
		m[i-1] -= ch.e[i] * m[i]
		if i > 2 {
			m[i-2] -= ch.f[i] * m[i]
		}
	}
}

// solve finds the state of the loaded pieces, which it fills in and keeps.
func (ch *chain) solve(ps []piece) Result {
	n := len(ch.on)
	room := make([]float64, 4*n+ch.total)
	m, r, a, v := room[:n], room[n:2*n], room[2*n:3*n], room[3*n:4*n]
	out := Result{Reactions: room[4*n:], Lifted: make([]bool, ch.total), ei: ch.ei, pieces: ps}

	// The cut-apart beam: moments over the end supports from the overhangs, and
	// in m[1..n-2] the right-hand side.
	first := ch.loadSpans(ps, m, r, a, v)
	tilt := m[0] / ch.span[0]
	r[0], r[1] = r[0]-tilt, r[1]+tilt
	tilt = m[n-1] / ch.span[n-2]
	r[n-1], r[n-2] = r[n-1]-tilt, r[n-2]+tilt
	if n > 2 {
		m[1] -= m[0] * ch.span[0] / 6
		m[n-2] -= m[n-1] * ch.span[n-2] / 6
		for i := 1; i < n-1; i++ {
			gb, gh, ga := ch.pull(i)
			m[i] -= ch.ei * (gb*ch.c[i-1]*r[i-1] + gh*ch.c[i]*r[i] + ga*ch.c[i+1]*r[i+1])
		}
		ch.substitute(m)
		for i := 1; i < n-1; i++ {
			gb, gh, ga := ch.pull(i)
			r[i-1] += gb * m[i]
			r[i] += gh * m[i]
			r[i+1] += ga * m[i]
		}
	}

	for i := range out.Lifted {
		out.Lifted[i] = true
	}
	for k, i := range ch.on {
		out.Reactions[i], out.Lifted[i] = r[k], false
	}
	ch.trace(ps, first, m, r, a, v)
	return out
}

// loadSpans works out the beam cut apart over its supports: into r the
// reactions, into m the end moments and the right-hand sides, into a[k] and
// v[k] the left end slope (times EI) and left end shear of span k. It returns
// the index of the piece that starts at the first support.
func (ch *chain) loadSpans(ps []piece, m, r, a, v []float64) int {
	n := len(ch.on)
	first := 0
	overhang := func(i int) func(x, f float64) {
		return func(x, f float64) {
			r[i] += f
			d := x - ch.x[i]
			if d < 0 {
				d = -d
			}
			m[i] -= f * d
		}
	}
	left, right := overhang(0), overhang(n-1)
	for ps[first].x < ch.x[0] {
		left(ps[first].x, ps[first].p)
		ps[first].forces(left)
		first++
	}
	j := first
	for k := range ch.span {
		L, x0 := ch.span[k], ch.x[k]
		var vl, vr, sl, sr float64
		add := func(x, f float64) { // a point load on a simple span
			p, q := x-x0, ch.x[k+1]-x
			vl += f * q / L
			vr += f * p / L
			s := f * p * q / (6 * L)
			sl += s * (L + q)
			sr += s * (L + p)
		}
		r[k] += ps[j].p // over the support: straight into it
		ps[j].forces(add)
		for j++; ps[j].x < ch.x[k+1]; j++ {
			if ps[j].p != 0 {
				add(ps[j].x, ps[j].p)
			}
			ps[j].forces(add)
		}
		a[k], v[k] = sl, vl
		r[k] += vl
		r[k+1] += vr
		if k > 0 {
			m[k] -= sl
		}
		if k+1 < n-1 {
			m[k+1] -= sr
		}
	}
	r[n-1] += ps[j].p
	ps[j].forces(right)
	for j++; j < len(ps); j++ {
		right(ps[j].x, ps[j].p)
		ps[j].forces(right)
	}
	return first
}

// trace runs along the beam and writes the state at the start of each piece. It
// starts afresh at every support, from the moment and settlement known there.
func (ch *chain) trace(ps []piece, first int, m, r, a, v []float64) {
	n, ei := len(ch.on), ch.ei
	var shear, moment float64
	for j := range ps[:first] { // left overhang: the shape follows in traceBack
		p := &ps[j]
		shear -= p.p
		p.v, p.m = shear, moment
		shear, moment = p.endForces()
	}
	var slope, y float64
	run := func(p *piece) {
		p.v, p.m, p.slope, p.y = shear, moment, slope, y
		shear, moment = p.endForces()
		slope, y = p.endShape(ei)
	}
	j := first
	for k, L := range ch.span {
		y0, y1 := ch.c[k]*r[k], ch.c[k+1]*r[k+1]
		shear, moment = v[k]+(m[k+1]-m[k])/L, m[k]
		slope, y = (y1-y0)/L+(m[k]*L/3+m[k+1]*L/6+a[k])/ei, y0
		if k == 0 {
			ch.traceBack(ps[:first], slope, y)
		}
		run(&ps[j])
		for j++; ps[j].x < ch.x[k+1]; j++ {
			shear -= ps[j].p
			run(&ps[j])
		}
	}
	shear, moment, y = 0, m[n-1], ch.c[n-1]*r[n-1]
	for i := j; i < len(ps); i++ { // right overhang: all that lies on it
		shear += ps[i].h * (ps[i].w0 + ps[i].w1) / 2
		if i > j {
			shear += ps[i].p
		}
	}
	run(&ps[j])
	for j++; j < len(ps); j++ {
		shear -= ps[j].p
		run(&ps[j])
	}
}

// traceBack writes slopes and deflections of the left overhang, from the
// support outward.
func (ch *chain) traceBack(ps []piece, slope, y float64) {
	for j := len(ps) - 1; j >= 0; j-- {
		p := &ps[j]
		p.slope, p.y = slope-p.turn(ch.ei), 0
		d := p.deflection(ch.ei)
		p.y = y - d.at(1)
		slope, y = p.slope, p.y
	}
}

// endForces are shear and moment at t = 1.
func (p *piece) endForces() (shear, moment float64) {
	h, dw := p.h, p.w1-p.w0
	return p.v - h*(p.w0+dw/2), p.m + h*(p.v-h*(p.w0/2+dw/6))
}

// endShape are slope and deflection at t = 1.
func (p *piece) endShape(ei float64) (slope, y float64) {
	d := p.deflection(ei)
	return p.slope + p.turn(ei), d.at(1)
}

var errSize = errors.New("beam: loads, stiffnesses or lengths differ so much in size that no finite answer exists; check their units")

// settleOn finds the supports that push, and the state of the beam on them.
func (b Beam) settleOn(at []float64, ps []piece) (Result, error) {
	all := make([]int, len(at))
	for i := range all {
		all[i] = i
	}
	res := b.chain(at, all).solve(ps)
	_, _, size := resultant(ps, b.Start)
	if !finite(size) || !res.finite() {
		return Result{}, errSize
	}
	if b.pushes(res, size) {
		return res, nil
	}
	res, err := b.release(at, ps, size)
	if err == nil && !res.finite() {
		return Result{}, errSize
	}
	return res, err
}

// finite reports whether all of the state is made of numbers.
func (r *Result) finite() bool {
	for i := range r.pieces {
		if p := &r.pieces[i]; !finite(p.v, p.m, p.slope, p.y) {
			return false
		}
	}
	return finite(r.Reactions...)
}
