package beam

import (
	"math"
	"sort"
)

// Result is the state of a beam under one set of loads.
type Result struct {
	Reactions []float64 // per support of the beam, upward positive
	Lifted    []bool    // per support: push-only and let go

	ei     float64
	pieces []piece
}

// Peak is an extreme value and where it is.
type Peak struct {
	Value, X float64
}

// ShearPeak is the size of a shear, where it is, and, when it is right beside
// a support, which support and on which side (Support is -1 otherwise).
type ShearPeak struct {
	Value, X float64
	Support  int
	Side     Side
}

// Extremes of the forces along a beam. Every Value is a size, not negative:
// MaxHog 3 is a moment of -3.
type Extremes struct {
	MaxSag, MaxHog Peak
	MaxShear       ShearPeak
}

// SpanDeflection is the shape of one span, or of one overhang, measured from
// the straight line through the beam at the two supports of the span (for an
// overhang: those of the nearest span, run on). All supports count, lifted ones
// too. Max is the greatest downward and Up the greatest upward deflection,
// both as sizes, zero when there is none.
type SpanDeflection struct {
	From, To float64
	Max, At  float64
	Up, UpAt float64
	Overhang bool
}

// locate finds the piece with x and the place in it. On a cut the piece is the
// one on the given side. Places off the beam count as its ends.
func (r *Result) locate(x float64, side Side) (*piece, float64) {
	n := len(r.pieces) - 1 // the last has no length
	if n < 1 {
		return &piece{h: 1}, 0
	}
	i := sort.Search(n, func(i int) bool {
		if side == Left {
			return r.pieces[i].x >= x
		}
		return r.pieces[i].x > x
	}) - 1
	i = max(i, 0)
	p := &r.pieces[i]
	return p, math.Min(math.Max((x-p.x)/p.h, 0), 1)
}

// Moment at x, sagging positive.
func (r *Result) Moment(x float64) float64 {
	p, t := r.locate(x, Right)
	m := p.moment()
	return m.at(t)
}

// Shear just left or just right of x; zero off the beam.
func (r *Result) Shear(x float64, side Side) float64 {
	n := len(r.pieces) - 1
	if n < 1 || side == Left && x <= r.pieces[0].x || side == Right && x >= r.pieces[n].x {
		return 0
	}
	p, t := r.locate(x, side)
	v := p.shear()
	return v.at(t)
}

// Deflection at x from the unloaded beam, downward positive; settlement of the
// supports is in it.
func (r *Result) Deflection(x float64) float64 {
	p, t := r.locate(x, Right)
	y := p.deflection(r.ei)
	return y.at(t)
}

// ShearAt is the size of the shear at a distance from a support, to its left
// or right (at the far side of a point load there). A distance past the end of
// the beam gives 0.
func (r *Result) ShearAt(support int, side Side, distance float64) float64 {
	x := r.supportX(support)
	if side == Left {
		return math.Abs(r.Shear(x-distance, Left))
	}
	return math.Abs(r.Shear(x+distance, Right))
}

func (r *Result) supportX(support int) float64 {
	for i := range r.pieces {
		if r.pieces[i].support == support {
			return r.pieces[i].x
		}
	}
	return math.NaN()
}

// Extremes finds the greatest moments and the greatest shear, exactly.
func (r *Result) Extremes() Extremes {
	c := combo{base: r}
	return Extremes{
		MaxSag:   c.peak(moment, +1, c.whole(), nil).Peak,
		MaxHog:   c.peak(moment, -1, c.whole(), nil).Peak,
		MaxShear: c.maxShear().ShearPeak,
	}
}

// MaxShearBeyond is the greatest size of shear at least offset away from every
// support in use; a lifted support shelters nothing. It is 0 when no part of
// the beam is that far. Point loads inside the offset do not show in it: see ShearReduced.
func (r *Result) MaxShearBeyond(offset float64) Peak {
	c := combo{base: r}
	return c.shearBeyond(offset).Peak
}

// ShearReduced is the greatest size of shear when the loads right at the
// supports are left out because they go straight down into them: line loads
// nearer than bearing+depth to the middle of a support in use, and of a point
// load nearer than that, all but the share d/depth, d being its distance from
// the face of the support (bearing is half the support's width). Reactions are
// those of the full loads, which is on the safe side. Supports that hold both
// ways are taken to shelter loads even where they pull: model as push-only what
// only pushes.
func (r *Result) ShearReduced(bearing, depth float64) ShearPeak {
	c := combo{base: r}
	return c.shearReduced(bearing, depth).ShearPeak
}

// SpanDeflections gives the shape of the left overhang if there is one, every
// span from left to right, and the right overhang if there is one.
func (r *Result) SpanDeflections() []SpanDeflection {
	c := combo{base: r}
	fields := r.fields()
	out := make([]SpanDeflection, len(fields))
	for i, f := range fields {
		down := c.peak(f.deflection, +1, f.pieces, nil)
		up := c.peak(f.deflection, -1, f.pieces, nil)
		out[i] = SpanDeflection{From: f.from, To: f.to, Max: down.Value, At: down.X, Up: up.Value, UpAt: up.X, Overhang: f.overhang}
	}
	return out
}

// stretch is a run of pieces, the last one not included.
type stretch struct{ first, end int }

// field is a span or an overhang.
type field struct {
	from, to float64
	overhang bool
	pieces   stretch
	a, b     int // pieces that start at the two supports of its chord
}

// fields lists the overhangs and spans of the beam, from left to right.
func (r *Result) fields() []field {
	if len(r.pieces) == 0 {
		return nil
	}
	nodes := make([]int, 0, len(r.Reactions))
	for i := range r.pieces {
		if r.pieces[i].support >= 0 {
			nodes = append(nodes, i)
		}
	}
	out := make([]field, 0, len(nodes)+1)
	add := func(i, j, a, b int, overhang bool) {
		if i < j {
			out = append(out, field{r.pieces[i].x, r.pieces[j].x, overhang, stretch{i, j}, a, b})
		}
	}
	n := len(nodes) - 1
	add(0, nodes[0], nodes[0], nodes[1], true)
	for k := range n {
		add(nodes[k], nodes[k+1], nodes[k], nodes[k+1], false)
	}
	add(nodes[n], len(r.pieces)-1, nodes[n-1], nodes[n], true)
	return out
}

// deflection of piece i from the chord of the field.
func (f *field) deflection(r *Result, i int) poly {
	a, b, p := &r.pieces[f.a], &r.pieces[f.b], &r.pieces[i]
	d := p.deflection(r.ei)
	tilt := (b.y - a.y) / (b.x - a.x)
	d[0] -= a.y + tilt*(p.x-a.x)
	d[1] -= tilt * p.h
	return d
}

func moment(r *Result, i int) poly { return r.pieces[i].moment() }
func shear(r *Result, i int) poly  { return r.pieces[i].shear() }

// sheltered gives the part of piece i that is at least offset away from the
// supports in use; lo > hi when there is none.
func (r *Result) sheltered(i int, offset float64) (lo, hi float64) {
	p := &r.pieces[i]
	lo, hi = 0, 1
	for j := i; j >= 0; j-- {
		if r.inUse(j) {
			lo = math.Max(lo, (r.pieces[j].x+offset-p.x)/p.h)
			break
		}
	}
	for j := i + 1; j < len(r.pieces); j++ {
		if r.inUse(j) {
			hi = math.Min(hi, (r.pieces[j].x-offset-p.x)/p.h)
			break
		}
	}
	return lo, hi
}

// inUse reports whether piece i starts at a support that holds the beam.
func (r *Result) inUse(i int) bool {
	s := r.pieces[i].support
	return s >= 0 && !r.Lifted[s]
}

// reduced is the signed shear beside the support at piece s as ShearReduced
// counts it; which supports are in use the frame says.
func (r *Result) reduced(frame *Result, s int, side Side, bearing, depth float64) float64 {
	share := func(d float64) float64 {
		if d <= bearing {
			return 0
		}
		if d >= bearing+depth {
			return 1
		}
		return (d - bearing) / depth
	}
	x, reach := r.pieces[s].x, bearing+depth
	var sum float64
	if side == Right {
		for i := s + 1; i < len(r.pieces) && r.pieces[i].x <= x+reach; i++ {
			if frame.inUse(i) {
				return r.Shear(r.pieces[i].x, Left) + sum
			}
			sum += r.pieces[i].p * share(r.pieces[i].x-x)
		}
		return r.Shear(x+reach, Right) + sum
	}
	for i := s - 1; i >= 0 && r.pieces[i].x >= x-reach; i-- {
		if frame.inUse(i) {
			return r.Shear(r.pieces[i].x, Right) - sum
		}
		sum += r.pieces[i].p * share(x-r.pieces[i].x)
	}
	return r.Shear(x-reach, Left) - sum
}
