package layout

import (
	"math"
	"sync"

	"shoreward/internal/beam"
	"shoreward/internal/member"
)

// shares is what the supports of a joist over equal spans carry, the worst over
// patterns of placing, in loads of one span: the first and last, and the
// others.
type shares struct{ end, inner float64 }

var (
	sharesMu    sync.Mutex
	sharesKnown = map[[2]int]shares{}
)

// sharesOf gives the shares when so much of the load comes in patterns.
func sharesOf(spans int, placing float64) shares {
	key := [2]int{spans, int(math.Ceil(placing*100 - 1e-9))}
	sharesMu.Lock()
	defer sharesMu.Unlock()
	if s, ok := sharesKnown[key]; ok {
		return s
	}
	const load = 1e4 // N/m: any will do
	l, part := float64(spans), float64(key[1])/100
	pc := member.Piece{End: l, EI: 1e6,
		Always:  []beam.Load{beam.Uniform(0, l, load*(1-part))},
		Placing: []beam.Load{beam.Uniform(0, l, load*part)},
		Deflect: []beam.Load{beam.Uniform(0, l, load)}}
	for i := range spans + 1 {
		pc.Supports = append(pc.Supports, float64(i))
	}
	s := shares{end: 0.5, inner: 1}
	if e, err := member.NewSolver().Solve(pc); err == nil {
		s = shares{}
		for i, r := range e.ReactMax {
			if i == 0 || i == spans {
				s.end = math.Max(s.end, r/load)
			} else {
				s.inner = math.Max(s.inner, r/load)
			}
		}
	}
	sharesKnown[key] = s
	return s
}
