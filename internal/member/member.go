// Package member finds what a single sheet strip, joist or stringer sees under
// its loads: the worst over patterns of placing for strength, everything
// loaded for deflection. It knows mechanics and limits, not where members lie.
package member

import (
	"encoding/binary"
	"math"
	"slices"
	"sync"

	"shoreward/internal/beam"
)

// Piece is one member on its supports, SI units along its own axis.
type Piece struct {
	Start, End float64
	Supports   []float64
	EI         float64
	PushOnly   bool        // supports cannot hold it down
	EndsFixed  bool        // but for the first and last, which are fixed down
	Always     []beam.Load // strength loads that are always there
	Placing    []beam.Load // strength loads that come span by span with the concrete
	Deflect    []beam.Load // loads of the deflection check
	Service    []beam.Load // unfactored loads, nil when the same as Deflect
	Bearing    float64     // half the width of a support
	Offset     float64     // loads this near a support's face do not count for shear (NDS 3.4.3); 0: all count
}

// Effects are the results for one piece.
type Effects struct {
	Sag, Hog, Shear  float64 // strength, sizes
	SagAt, ShearAt   float64
	HogAt            float64
	ReactMax         []float64 // strength, worst pattern
	ReactMin         []float64
	Lifts            bool      // a support lets go in some pattern
	ServiceReact     []float64 // unfactored, everything loaded
	AlwaysReact      []float64 // strength, the loads that are always there alone
	Spans            []beam.SpanDeflection
	Full             beam.Result // strength, everything loaded
	DeflectionResult beam.Result
	Pattern          string // of the greatest moment
}

// Solver solves pieces and remembers the answers: the same bay comes back a
// thousand times in one deck. It may be used by several at once.
type Solver struct {
	mu    sync.RWMutex
	known map[string]*Effects
}

// mostKnown is how many answers a solver remembers before it begins anew, to bound its memory.
const mostKnown = 20000

// NewSolver makes a solver with an empty memory.
func NewSolver() *Solver { return &Solver{known: map[string]*Effects{}} }

// Solve a piece. The result is shared: do not change it. What is solved is the
// piece in the steps of its key, so that the answer is the same whichever of
// the pieces with that key came first: an audit of a plan read from its file
// finds the very numbers that the plan has.
func (s *Solver) Solve(p Piece) (*Effects, error) {
	var room [1024]byte
	key := p.appendKey(room[:0])
	s.mu.RLock()
	e, ok := s.known[string(key)]
	s.mu.RUnlock()
	if ok {
		return e, nil
	}
	e, err := solve(p.stepped())
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	if len(s.known) >= mostKnown {
		clear(s.known)
	}
	s.known[string(key)] = e
	s.mu.Unlock()
	return e, nil
}

func solve(p Piece) (*Effects, error) {
	b := beam.Beam{Start: p.Start, End: p.End, EI: p.EI}
	for i, x := range p.Supports {
		fixed := p.EndsFixed && (i == 0 || i == len(p.Supports)-1)
		b.Supports = append(b.Supports, beam.Support{X: x, PushOnly: p.PushOnly && !fixed})
	}
	env, err := b.Envelope(p.Always, beam.SplitBySpans(b, p.Placing))
	if err != nil {
		return nil, err
	}
	all := append(append([]beam.Load(nil), p.Always...), p.Placing...)
	full, err := b.Solve(all)
	if err != nil {
		return nil, err
	}
	defl, err := b.Solve(p.Deflect)
	if err != nil {
		return nil, err
	}
	service := defl
	if p.Service != nil {
		if service, err = b.Solve(p.Service); err != nil {
			return nil, err
		}
	}
	forms, err := b.Solve(p.Always)
	if err != nil {
		return nil, err
	}
	spans, err := held(b, p.Deflect, &defl)
	if err != nil {
		return nil, err
	}
	e := &Effects{
		Sag: env.MaxSag.Value, SagAt: env.MaxSag.X, Hog: env.MaxHog.Value, HogAt: env.MaxHog.X,
		Shear: env.MaxShear.Value, ShearAt: env.MaxShear.X,
		ServiceReact: service.Reactions, AlwaysReact: forms.Reactions, Spans: spans, Full: full, DeflectionResult: defl,
		Pattern: env.MaxSag.Pattern.String(),
	}
	if e.Hog > e.Sag {
		e.Pattern = env.MaxHog.Pattern.String()
	}
	if p.Offset > 0 {
		v := env.ShearReduced(p.Bearing, p.Offset)
		e.Shear, e.ShearAt = v.Value, v.X
	}
	_, e.Lifts = env.Uplift()
	for _, s := range env.Supports {
		e.ReactMax = append(e.ReactMax, s.Max)
		e.ReactMin = append(e.ReactMin, s.Min)
	}
	return e, nil
}

// held gives the deflections of the spans between supports that hold: one that
// has let go is no place to measure from.
func held(b beam.Beam, loads []beam.Load, r *beam.Result) ([]beam.SpanDeflection, error) {
	on := beam.Beam{Start: b.Start, End: b.End, EI: b.EI}
	for i, s := range b.Supports {
		if !r.Lifted[i] {
			on.Supports = append(on.Supports, s)
		}
	}
	if len(on.Supports) == len(b.Supports) {
		return r.SpanDeflections(), nil
	}
	again, err := on.Solve(loads)
	if err != nil {
		return nil, err
	}
	return again.SpanDeflections(), nil
}

// Steps of a piece's key.
const (
	placeStep = 1e-4 // m: a tenth of a millimetre
	loadStep  = 0.1  // N, N/m
	stiffStep = 1e-3 // N·m2
)

// appendKey writes the piece in its steps, as bytes.
func (p *Piece) appendKey(k []byte) []byte {
	num := func(v, step float64) { k = binary.LittleEndian.AppendUint64(k, uint64(int64(math.Round(v/step)))) }
	num(p.Start, placeStep)
	num(p.End, placeStep)
	num(p.EI, stiffStep)
	num(p.Bearing, placeStep)
	num(p.Offset, placeStep)
	for _, flag := range []bool{p.PushOnly, p.EndsFixed, p.Service == nil} {
		if flag {
			k = append(k, 1)
		} else {
			k = append(k, 0)
		}
	}
	k = binary.AppendUvarint(k, uint64(len(p.Supports)))
	for _, x := range p.Supports {
		num(x, placeStep)
	}
	for _, set := range [][]beam.Load{p.Always, p.Placing, p.Deflect, p.Service} {
		k = binary.AppendUvarint(k, uint64(len(set)))
		for _, l := range set {
			num(l.From, placeStep)
			num(l.To, placeStep)
			num(l.W1, loadStep)
			num(l.W2, loadStep)
			num(l.P, loadStep)
		}
	}
	return k
}

// stepped is the piece with every number at its step.
func (p Piece) stepped() Piece {
	num := func(v, step float64) float64 { return math.Round(v/step) * step }
	p.Start, p.End, p.EI = num(p.Start, placeStep), num(p.End, placeStep), num(p.EI, stiffStep)
	p.Bearing, p.Offset = num(p.Bearing, placeStep), num(p.Offset, placeStep)
	p.Supports = slices.Clone(p.Supports)
	for i, x := range p.Supports {
		p.Supports[i] = num(x, placeStep)
	}
	for _, set := range []*[]beam.Load{&p.Always, &p.Placing, &p.Deflect, &p.Service} {
		*set = slices.Clone(*set)
		for i, l := range *set {
			(*set)[i] = beam.Load{From: num(l.From, placeStep), To: num(l.To, placeStep), W1: num(l.W1, loadStep), W2: num(l.W2, loadStep), P: num(l.P, loadStep)}
		}
	}
	return p
}

// Limit is one comparison.
type Limit struct {
	What         string
	Value, Limit float64
	At           float64
}

// Ratio of a comparison; a limit of nothing cannot be met.
func (l Limit) Ratio() float64 {
	if l.Limit > 0 {
		return l.Value / l.Limit
	}
	if l.Value > 0 {
		return 999
	}
	return 0
}

// Strength compares moment and shear with their resistances.
func (e *Effects) Strength(moment, shear float64) []Limit {
	m, at := e.Sag, e.SagAt
	if e.Hog > m {
		m, at = e.Hog, e.HogAt
	}
	return []Limit{{"bending", m, moment, at}, {"shear", e.Shear, shear, e.ShearAt}}
}

// Deflection is the span or overhang that comes nearest to its limit; an
// overhang counts as a span of twice its length.
func (e *Effects) Deflection(limit func(span float64) float64) Limit {
	worst := Limit{What: "deflection"}
	for i, s := range e.Spans {
		l := s.To - s.From
		if s.Overhang {
			l *= 2
		}
		if l < 1e-6 {
			continue
		}
		c := Limit{"deflection", s.Max, limit(l), s.At}
		if i == 0 || worst.Limit == 0 || c.Ratio() > worst.Ratio() {
			worst = c
		}
	}
	return worst
}
