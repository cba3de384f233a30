package storeys

import (
	"errors"
	"fmt"
	"math"
)

// level is a slab in the middle of the work and the props under it. Loads are
// per area.
type level struct {
	placed bool
	w      float64 // load applied here: weight, forms, live load
	s      float64 // carried by the slab
	k      float64 // stiffness now, 0 while fresh
	prop   Prop
	on     int     // slab that the props stand on
	give   float64 // flexibility of the props, with the ground's under the lowest
	p      float64 // force in them, never negative
	gap    float64 // by which they hang loose, never negative
}

var errUnsettled = errors.New("the contact of the props does not settle")

// settle finds the state after the loads, props or stiffnesses of the levels
// were changed. With the increments d of deflection (down positive) since the
// last state, and for props that touch u = d of the slab above less d of the
// slab below,
//
//	slab   s = s0 + k d           s + p = w + p of the props above
//	props  p >= 0, gap >= 0, p gap = 0, u = give (p - p0) + gap0 - gap
//
// which has one solution: the least energy of springs that only push. The set of
// props that touch is found by trying; each trial is solved from below upward.
func settle(ls []level) error {
	total := 0.0
	for i := range ls {
		total += math.Abs(ls[i].w)
	}
	tol := 1e-11 * total
	touch := make([]bool, len(ls))
	for i := range ls {
		touch[i] = ls[i].prop != None && ls[i].gap == 0
	}
	next := make([]level, len(ls))
	// Changing every prop that is wrong at once is fast; changing only the lowest
	// one that is wrong cannot run in circles. Fresh concrete never leaves its forms.
	for try := range 4 + 20*len(ls) {
		copy(next, ls)
		if err := solve(next, touch); err != nil {
			return err
		}
		good := true
		for i := range next {
			if next[i].prop == None {
				continue
			}
			if next[i].k > 0 && (touch[i] && next[i].p < -tol || !touch[i] && next[i].gap < -tol*next[i].give) {
				touch[i], good = !touch[i], false
				if try >= 4 {
					break
				}
			}
		}
		if good {
			for i := range next {
				next[i].p, next[i].gap = math.Max(next[i].p, 0), math.Max(next[i].gap, 0)
			}
			copy(ls, next)
			return nil
		}
	}
	return errUnsettled
}

// solve finds loads, forces and gaps with the props that touch given.
func solve(ls []level, touch []bool) error {
	f := make([]float64, len(ls)) // deflection of the slab = f (force from above) + g
	g := make([]float64, len(ls))
	above := make([]int, len(ls)) // whose props stand on the slab, -1 for none
	for i := range above {
		above[i] = -1
	}
	offset := func(l *level) float64 { return l.gap - l.give*l.p } // gap = offset - u when open
	old := append([]level(nil), ls...)
	for i := range ls {
		l := &ls[i]
		if !l.placed {
			continue
		}
		b := l.w - l.s
		if !touch[i] {
			if l.k <= 0 {
				return mechanism{i}
			}
			f[i], g[i] = 1/l.k, b/l.k
			continue
		}
		fs, gs := l.give, offset(l)
		if l.on != Ground {
			fs, gs = fs+f[l.on], gs+g[l.on]
			above[l.on] = i
		}
		f[i], g[i] = fs/(1+l.k*fs), (fs*b+gs)/(1+l.k*fs)
	}
	d := make([]float64, len(ls))
	for i := len(ls) - 1; i >= 0; i-- {
		l := &ls[i]
		if !l.placed {
			continue
		}
		from := 0.0
		if a := above[i]; a >= 0 {
			from = ls[a].p
		}
		d[i] = f[i]*from + g[i]
		take := l.k * d[i]
		if touch[i] {
			l.p = l.w - l.s - take + from
		} else {
			take = l.w - l.s + from // all of it, without the rounding of a division
			l.p = 0
		}
		l.s += take
	}
	for i := range ls {
		l := &ls[i]
		if l.prop == None {
			continue
		}
		u := d[i]
		if l.on != Ground {
			u -= d[l.on]
		}
		l.gap = 0
		if !touch[i] {
			l.gap = offset(&old[i]) - u
		}
	}
	return nil
}

// mechanism is a slab that nothing holds: the level's index.
type mechanism struct{ level int }

func (m mechanism) Error() string {
	return fmt.Sprintf("level %d has no support and no stiffness", m.level)
}

// proven checks what must hold after every operation, whatever found it: at each
// slab what comes equals what goes, props only push, and what is held apart
// carries its own load.
func proven(ls []level) error {
	total, out := 0.0, 0.0
	from := make([]float64, len(ls))
	for i := range ls {
		total += math.Abs(ls[i].w)
		if ls[i].prop != None {
			if ls[i].on == Ground {
				out += ls[i].p
			} else {
				from[ls[i].on] += ls[i].p
			}
		}
	}
	tol := 1e-9 * total
	in := 0.0
	for i := range ls {
		l := &ls[i]
		in += l.w
		out += l.s
		switch {
		case l.prop == None && l.p != 0, l.p < 0, l.gap < 0, l.p > tol && l.gap > 0:
			return fmt.Errorf("props under level %d: force %g, gap %g", i, l.p, l.gap)
		case !(math.Abs(l.w+from[i]-l.s-l.p) <= tol):
			return fmt.Errorf("level %d is out of balance by %g", i, l.w+from[i]-l.s-l.p)
		}
	}
	if !(math.Abs(in-out) <= tol) {
		return fmt.Errorf("%g comes in and %g goes out", in, out)
	}
	return nil
}
