package beam

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// drawBeam makes a beam of ordinary proportions with 2 to 7 supports.
func drawBeam(t *rapid.T, mayLift bool) Beam {
	between := func(a, b float64, name string) float64 { return rapid.Float64Range(a, b).Draw(t, name) }
	b := Beam{Start: between(-3, 3, "start"), EI: between(1e3, 1e6, "EI")}
	x := b.Start
	if rapid.Bool().Draw(t, "left overhang") {
		x += between(0.01, 1.5, "overhang")
	}
	for range rapid.IntRange(2, 7).Draw(t, "supports") {
		s := Support{X: x, PushOnly: mayLift && rapid.Bool().Draw(t, "push only")}
		if rapid.Bool().Draw(t, "spring") {
			s.Stiffness = math.Pow(10, between(5, 9, "log k"))
		}
		b.Supports = append(b.Supports, s)
		b.End = x
		x += between(0.2, 4, "span")
	}
	if rapid.Bool().Draw(t, "right overhang") {
		b.End += between(0.01, 1.5, "overhang")
	}
	return b
}

// drawLoads puts up to 6 loads on a beam; line loads may run past its ends.
// Forces are whole numbers from least up: the checks are relative to them.
func drawLoads(t *rapid.T, b Beam, least int) []Load {
	place := rapid.Float64Range(0, 1)
	force := rapid.Map(rapid.IntRange(least, 2e4), func(n int) float64 { return float64(n) })
	var ls []Load
	for range rapid.IntRange(0, 6).Draw(t, "loads") {
		u, v := place.Draw(t, "from"), place.Draw(t, "to")
		if rapid.Bool().Draw(t, "point") {
			ls = append(ls, Point(b.Start+u*(b.End-b.Start), force.Draw(t, "P")))
			continue
		}
		l := 1.4 * (b.End - b.Start)
		u, v = b.Start-0.2*l+u*l, b.Start-0.2*l+v*l
		ls = append(ls, Load{From: min(u, v), To: max(u, v), W1: force.Draw(t, "W1"), W2: force.Draw(t, "W2")})
	}
	return ls
}

// total sums loads on the beam by textbook resultants of trapezoids.
func total(b Beam, ls []Load) (force, moment, size float64) {
	for _, l := range ls {
		if l.From == l.To {
			force, moment, size = force+l.P, moment+l.P*(l.From-b.Start), size+math.Abs(l.P)
			continue
		}
		u, v := max(l.From, b.Start), min(l.To, b.End)
		if v <= u {
			continue
		}
		k := (l.W2 - l.W1) / (l.To - l.From)
		w1, w2 := l.W1+k*(u-l.From), l.W1+k*(v-l.From)
		h := v - u
		force += (w1 + w2) / 2 * h
		moment += w1*h*(u+h/2-b.Start) + (w2-w1)*h/2*(u+2*h/3-b.Start)
		size += (math.Abs(w1) + math.Abs(w2)) * h
	}
	return force, moment, size
}

func near(t interface{ Errorf(string, ...any) }, what string, got, want, tol float64) {
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.12g, want %.12g (within %.3g)", what, got, want, tol)
	}
}

// Newton's laws: reactions balance the loads, the shear balances at the far
// end, and free ends carry no moment.
func TestEquilibrium(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBeam(t, true)
		ls := drawLoads(t, b, -2e3)
		r, err := b.Solve(ls)
		if err != nil {
			if !strings.Contains(err.Error(), "mechanism") {
				t.Fatal(err)
			}
			return
		}
		force, moment, size := total(b, ls)
		var up, turn, most float64
		for i, s := range b.Supports {
			up += r.Reactions[i]
			turn += r.Reactions[i] * (s.X - b.Start)
			most = max(most, math.Abs(r.Reactions[i]))
		}
		tol := 1e-9 * (size + most)
		near(t, "sum of reactions", up, force, tol)
		near(t, "their moment", turn, moment, tol*(b.End-b.Start))
		near(t, "moment at the start", r.Moment(b.Start), 0, tol*(b.End-b.Start))
		near(t, "moment at the end", r.Moment(b.End), 0, tol*(b.End-b.Start))
	})
}

// From piece to piece the beam hangs together: deflection, slope and moment run
// on, and the shear jumps by the point load and the reaction there. With the
// supports' law (TestPushOnlySupports) this is all that makes a solution.
func TestBeamHangsTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBeam(t, true)
		ls := drawLoads(t, b, -2e3)
		r, err := b.Solve(ls)
		if err != nil {
			if !strings.Contains(err.Error(), "mechanism") {
				t.Fatal(err)
			}
			return
		}
		_, _, size := total(b, ls)
		size += sizeOf(b, r)
		l := b.End - b.Start
		yield := size * (l*l*l/b.EI + 1e-5)
		for i := 1; i < len(r.pieces); i++ {
			p, q := &r.pieces[i-1], &r.pieces[i]
			v, m := p.endForces()
			slope, y := p.endShape(b.EI)
			jump := -q.p
			if q.support >= 0 {
				jump += r.Reactions[q.support]
			}
			near(t, "shear", q.v, v+jump, 1e-9*size)
			near(t, "moment", q.m, m, 1e-9*size*l)
			near(t, "slope", q.slope, slope, 1e-8*yield/min(l, 1))
			near(t, "deflection", q.y, y, 1e-9*yield)
		}
	})
}

// A push-only support never pulls, one that lifted carries nothing and the
// beam is clear of it, and supports yield as their stiffness says.
func TestPushOnlySupports(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBeam(t, true)
		ls := drawLoads(t, b, -5e3)
		r, err := b.Solve(ls)
		if err != nil {
			if !strings.Contains(err.Error(), "mechanism") {
				t.Fatal(err)
			}
			return
		}
		_, _, size := total(b, ls)
		scale := size * (math.Pow(b.End-b.Start, 3)/b.EI + 1e-5)
		for i, s := range b.Supports {
			y := r.Deflection(s.X)
			switch {
			case r.Lifted[i]:
				if !s.PushOnly || r.Reactions[i] != 0 || y > 1e-9*scale {
					t.Errorf("support %d lifted: push-only %v, reaction %g, deflection %g", i, s.PushOnly, r.Reactions[i], y)
				}
			case s.PushOnly && r.Reactions[i] < 0:
				t.Errorf("push-only support %d pulls with %g", i, r.Reactions[i])
			default:
				near(t, "settlement", y, r.Reactions[i]*s.compliance(), 1e-9*scale)
			}
		}
	})
}

// Two load sets together do the sum of what each does.
func TestSuperposition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBeam(t, false)
		l1, l2 := drawLoads(t, b, -2e4), drawLoads(t, b, -2e4)
		r1, err1 := b.Solve(l1)
		r2, err2 := b.Solve(l2)
		r, err := b.Solve(append(append([]Load(nil), l1...), l2...))
		if err1 != nil || err2 != nil || err != nil {
			t.Fatal(err1, err2, err)
		}
		tol := sizeOf(b, r1) + sizeOf(b, r2)
		for i := range r.Reactions {
			near(t, "reaction", r.Reactions[i], r1.Reactions[i]+r2.Reactions[i], 1e-9*tol)
		}
		for k := range 21 {
			x := b.Start + (b.End-b.Start)*float64(k)/20
			near(t, "moment", r.Moment(x), r1.Moment(x)+r2.Moment(x), 1e-9*tol*(b.End-b.Start))
			y := math.Abs(r1.Deflection(x)) + math.Abs(r2.Deflection(x))
			near(t, "deflection", r.Deflection(x), r1.Deflection(x)+r2.Deflection(x), 1e-9*(y+tol*(1e-5+math.Pow(b.End-b.Start, 3)/b.EI)))
		}
	})
}

// sizeOf is the greatest force in a result.
func sizeOf(b Beam, r Result) float64 {
	s := r.Extremes().MaxShear.Value
	for _, v := range r.Reactions {
		s = max(s, math.Abs(v))
	}
	return s
}

// The mirror image of a beam behaves as the mirror image.
func TestMirror(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBeam(t, true)
		ls := drawLoads(t, b, -1e3)
		m := Beam{Start: -b.End, End: -b.Start, EI: b.EI}
		for i := range b.Supports {
			s := b.Supports[len(b.Supports)-1-i]
			s.X = -s.X
			m.Supports = append(m.Supports, s)
		}
		var ml []Load
		for _, l := range ls {
			ml = append(ml, Load{From: -l.To, To: -l.From, W1: l.W2, W2: l.W1, P: l.P})
		}
		r, err := b.Solve(ls)
		q, errM := m.Solve(ml)
		if (err == nil) != (errM == nil) {
			t.Fatal(err, errM)
		}
		if err != nil {
			return
		}
		size := sizeOf(b, r)
		n := len(r.Reactions) - 1
		for i := range r.Reactions {
			near(t, "reaction", q.Reactions[n-i], r.Reactions[i], 1e-9*size)
		}
		for k := range 21 {
			x := b.Start + (b.End-b.Start)*float64(k)/20
			near(t, "moment", q.Moment(-x), r.Moment(x), 1e-9*size*(b.End-b.Start))
		}
		near(t, "largest shear", q.Extremes().MaxShear.Value, r.Extremes().MaxShear.Value, 1e-9*size)
		for i := range r.Lifted {
			if r.Lifted[i] != q.Lifted[n-i] {
				return // a reaction of zero but for rounding: such a support shelters loads or not
			}
		}
		near(t, "sheltered shear", q.MaxShearBeyond(0.1).Value, r.MaxShearBeyond(0.1).Value, 1e-9*size)
		near(t, "reduced shear", q.ShearReduced(0.05, 0.2).Value, r.ShearReduced(0.05, 0.2).Value, 1e-9*size)
	})
}

// Extremes are reached where they say, and nothing sampled goes beyond them.
func TestExtremesAgainstSamples(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBeam(t, false)
		ls := drawLoads(t, b, -2e4)
		r, err := b.Solve(ls)
		if err != nil {
			t.Fatal(err)
		}
		e := r.Extremes()
		size := sizeOf(b, r)
		_, _, load := total(b, ls)
		tolM := 1e-9 * size * (b.End - b.Start)
		if e.MaxSag.Value > 0 {
			near(t, "moment at MaxSag", r.Moment(e.MaxSag.X), e.MaxSag.Value, tolM)
		}
		if e.MaxHog.Value > 0 {
			near(t, "moment at MaxHog", -r.Moment(e.MaxHog.X), e.MaxHog.Value, tolM)
		}
		x := e.MaxShear.X
		near(t, "shear at MaxShear", max(math.Abs(r.Shear(x, Left)), math.Abs(r.Shear(x, Right))), e.MaxShear.Value, 1e-9*size)
		if s := e.MaxShear.Support; s >= 0 {
			if x != b.Supports[s].X {
				t.Errorf("shear beside support %d at %v, which is at %v", s, x, b.Supports[s].X)
			}
			near(t, "ShearAt", r.ShearAt(s, e.MaxShear.Side, 0), e.MaxShear.Value, 1e-9*size)
		}
		const off = 0.15
		beyond := r.MaxShearBeyond(off)
		for k := range 301 {
			x := b.Start + (b.End-b.Start)*float64(k)/300
			if m := r.Moment(x); m > e.MaxSag.Value+tolM || -m > e.MaxHog.Value+tolM {
				t.Errorf("moment %g at %g beyond extremes %v", m, x, e)
			}
			v := max(math.Abs(r.Shear(x, Left)), math.Abs(r.Shear(x, Right)))
			if v > e.MaxShear.Value+1e-9*size {
				t.Errorf("shear %g at %g beyond %v", v, x, e.MaxShear)
			}
			far := true
			for _, s := range b.Supports {
				far = far && math.Abs(s.X-x) >= off
			}
			if far && v > beyond.Value+1e-9*size {
				t.Errorf("shear %g at %g beyond %v", v, x, beyond)
			}
		}
		for _, f := range r.SpanDeflections() {
			if f.Overhang {
				continue
			}
			ya, yb := r.Deflection(f.From), r.Deflection(f.To)
			tol := 1e-9*(math.Abs(ya)+math.Abs(yb)+f.Max+f.Up) + 1e-14*load*math.Pow(b.End-b.Start, 3)/b.EI
			for k := range 101 {
				u := float64(k) / 100
				y := r.Deflection(f.From+u*(f.To-f.From)) - ya - u*(yb-ya)
				if y > f.Max+tol || -y > f.Up+tol {
					t.Errorf("deflection %g in span from %g beyond %+v", y, f.From, f)
				}
			}
			u := (f.At - f.From) / (f.To - f.From)
			near(t, "deflection at At", r.Deflection(f.At)-ya-u*(yb-ya), f.Max, tol)
		}
	})
}

// Shear is the slope of the moment, and EI y" = -M, by central differences.
func TestDerivatives(t *testing.T) {
	b := Beam{Start: -0.4, End: 5.3, EI: 7, Supports: []Support{{X: 0}, {X: 2, Stiffness: 9}, {X: 5}}}
	r, err := b.Solve([]Load{{From: -0.4, To: 1.7, W1: 1, W2: 3}, Uniform(1, 5.3, 2), Point(4.1, 3)})
	if err != nil {
		t.Fatal(err)
	}
	const h = 1e-3
	for _, x := range []float64{-0.2, 0.3, 0.9, 1.5, 2.5, 3.9, 4.4, 5.2} {
		near(t, "V", (r.Moment(x+h)-r.Moment(x-h))/(2*h), r.Shear(x, Left), 1e-5)
		near(t, "M", -b.EI*(r.Deflection(x+h)-2*r.Deflection(x)+r.Deflection(x-h))/(h*h), r.Moment(x), 1e-5)
	}
}

// Cases that strain the numbers, against closed forms.
func TestHardNumbers(t *testing.T) {
	t.Run("supports 1 mm apart", func(t *testing.T) {
		// Two spans under even load: M = -w (a^3+b^3) / (8 (a+b)); from statics
		// R0 = w a/2 + M/a, R2 = w b/2 + M/b.
		const a, c, w = 3.0, 0.001, 7000.0
		b := Beam{End: a + c, EI: 4e5, Supports: []Support{{X: 0}, {X: a}, {X: a + c}}}
		r, err := b.Solve([]Load{Uniform(0, a+c, w)})
		if err != nil {
			t.Fatal(err)
		}
		m := -w * (a*a*a + c*c*c) / (8 * (a + c))
		near(t, "moment", r.Moment(a), m, 1e-9*-m)
		near(t, "R0", r.Reactions[0], w*a/2+m/a, 1e-6)
		near(t, "R2", r.Reactions[2], w*c/2+m/c, 1e-9*-m/c)
		b = pushOnly(b) // the last one lifts: a simple beam is left
		if r, err = b.Solve([]Load{Uniform(0, a, w)}); err != nil || !r.Lifted[2] {
			t.Fatal(err, r.Lifted)
		}
		near(t, "R1", r.Reactions[1], w*a/2, 1e-6)
	})
	t.Run("stiff springs are rigid", func(t *testing.T) {
		rigid := equalSpans(4)
		stiff := equalSpans(4)
		for i := range stiff.Supports {
			stiff.Supports[i].Stiffness = 1e250
		}
		ls := []Load{Uniform(0, 1.5, 1), Point(2.2, 3)}
		r, err := rigid.Solve(ls)
		s, err2 := stiff.Solve(ls)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		for i := range r.Reactions {
			near(t, "reaction", s.Reactions[i], r.Reactions[i], 1e-14)
		}
	})
	t.Run("a stiff beam on soft springs tilts", func(t *testing.T) {
		// Rigid body: R_i = P/3 (1 + 1.5 e x_i) with x = -1, 0, 1 and the load at e.
		b := Beam{Start: -1, End: 1, EI: 1e12}
		for _, x := range []float64{-1, 0, 1} {
			b.Supports = append(b.Supports, Support{X: x, Stiffness: 10, PushOnly: true})
		}
		const e = 0.25
		r, err := b.Solve([]Load{Point(e, 300)})
		if err != nil {
			t.Fatal(err)
		}
		for i, s := range b.Supports {
			near(t, "reaction", r.Reactions[i], 100*(1+1.5*e*s.X), 1e-6)
		}
	})
	t.Run("a load over a prop but for rounding", func(t *testing.T) {
		b := equalSpans(2)
		r, err := b.Solve([]Load{Point(1+1e-12, 5), Point(2+1e-13, 1), Point(-1e-12, 1)})
		if err != nil {
			t.Fatal(err)
		}
		if v := r.Extremes().MaxShear.Value; v != 0 {
			t.Errorf("loads straight over supports give shear %g", v)
		}
		for i, want := range []float64{1, 5, 1} {
			near(t, "reaction", r.Reactions[i], want, 1e-12)
		}
	})
	t.Run("load shorter than the tolerance", func(t *testing.T) {
		b := equalSpans(1)
		r, err := b.Solve([]Load{Uniform(0, 5e-11, 2e10)}) // 1 in all, over support 0
		if err != nil {
			t.Fatal(err)
		}
		near(t, "reaction", r.Reactions[0], 1, 1e-9)
	})
}

// The search for lifted supports settles on beams made to upset it: supports
// 1 mm apart, springs from soft to stiff, loads a hair beside the supports that
// nearly cancel, uplift.
func TestSearchSettles(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	stood, lifted := 0, 0
	for range 20000 {
		b := Beam{EI: math.Pow(10, 2+5*rnd.Float64())}
		x := rnd.Float64() * float64(rnd.IntN(2))
		for range 2 + rnd.IntN(9) {
			s := Support{X: x, PushOnly: rnd.IntN(5) > 0}
			if rnd.IntN(3) == 0 {
				s.Stiffness = math.Pow(10, 2+12*rnd.Float64())
			}
			b.Supports = append(b.Supports, s)
			b.End = x
			x += []float64{0.001, 1, 0.01 + 4*rnd.Float64()}[rnd.IntN(3)]
		}
		b.End += rnd.Float64() * float64(rnd.IntN(2))
		var ls []Load
		for range 1 + rnd.IntN(4) {
			p := b.End * rnd.Float64()
			if rnd.IntN(2) == 0 {
				p = min(b.End, b.Supports[rnd.IntN(len(b.Supports))].X+math.Pow(10, -12+10*rnd.Float64()))
			}
			f := 1e4 * rnd.Float64()
			if rnd.IntN(6) == 0 {
				f = -f / 2
			}
			ls = append(ls, Point(p, f))
		}
		if rnd.IntN(2) == 0 {
			ls = append(ls, Uniform(0, b.End*rnd.Float64(), 1e3))
		}
		r, err := b.Solve(ls)
		if err != nil {
			if !strings.Contains(err.Error(), "mechanism") {
				t.Errorf("%v: %+v %+v", err, b, ls)
			}
			continue
		}
		stood++
		for i, s := range b.Supports {
			if s.PushOnly && r.Reactions[i] < 0 {
				t.Errorf("support %d pulls with %g: %+v %+v", i, r.Reactions[i], b, ls)
			}
			if r.Lifted[i] {
				lifted++
			}
		}
	}
	t.Logf("%d of 20000 stand, with %d lifted supports", stood, lifted)
	if stood < 10000 || lifted < 10000 {
		t.Errorf("%d stand, %d supports lifted: too few for this test to mean anything", stood, lifted)
	}
}

// The middle of these loads lies over the last support but for rounding, on the
// side where the beam would tip: any clear answer will do.
func TestOnTheEdgeOfTipping(t *testing.T) {
	b := Beam{End: 3.8030123768884603, EI: 223108.0797786508}
	for _, x := range []float64{0, 0.001, 1.001, 2.6729793679032063, 3.6214322722255057} {
		b.Supports = append(b.Supports, Support{X: x, PushOnly: true})
	}
	r, err := b.Solve([]Load{Point(3.621432272515537, -2334.2716544161194), Point(3.621432272665883, 3524.1563599381266)})
	if err != nil && !strings.Contains(err.Error(), "mechanism") {
		t.Error(err)
	}
	if err == nil {
		near(t, "reaction", r.Reactions[4], 3524.1563599381266-2334.2716544161194, 1e-5)
	}
}

func TestLifting(t *testing.T) {
	// Three spans, one end loaded: with supports that hold both ways the third
	// pulls 0.1 (materials 7.3, C3e). When it lets go, spans 2+3 of length 2 act
	// as one: two unequal spans 1, 2 with the first loaded:
	// M = -w a^3 / (8 (a+b)) = -1/24; R = 1/2 - 1/24, 1/2 + 1/24 + 1/48, -1/48:
	// the last pulls too and lets go, leaving a simple beam.
	b := pushOnly(equalSpans(3))
	r, err := b.Solve([]Load{Uniform(0, 1, 1)})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{0.5, 0.5, 0, 0} {
		near(t, "reaction", r.Reactions[i], want, 1e-12)
		if r.Lifted[i] != (want == 0) {
			t.Errorf("support %d lifted: %v", i, r.Lifted[i])
		}
	}
	// The idle end rises on the straight: slope 1/24 over 2.
	near(t, "deflection of the far end", r.Deflection(3), -2./24, 1e-12)

	// Middle span loaded: the ends lift, the middle span is a simple beam.
	if r, err = b.Solve([]Load{Uniform(1, 2, 1)}); err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{0, 0.5, 0.5, 0} {
		near(t, "reaction", r.Reactions[i], want, 1e-12)
	}
	near(t, "sag", r.Extremes().MaxSag.Value, 1./8, 1e-12)
}

func TestShearNearSupports(t *testing.T) {
	b := Beam{End: 10, EI: 1, Supports: []Support{{X: 0}, {X: 10}}}
	r, err := b.Solve([]Load{Uniform(0, 10, 1)})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "V at 1", r.MaxShearBeyond(1).Value, 4, 1e-12) // 5 - 1
	near(t, "V at 1", r.ShearAt(0, Right, 1), 4, 1e-12)
	near(t, "reduced", r.ShearReduced(0.25, 0.75).Value, 4, 1e-12)
	near(t, "beyond the middle", r.MaxShearBeyond(6).Value, 0, 0)

	// P = 1 at 0.5: R = 0.95. With depth 1 from the middle of the support half of P
	// counts: 0.95 - 0.5 = 0.45; with a bearing of 0.2 the share is 0.3: 0.25;
	// within the bearing nothing does, and 0.05 reaches the far support.
	if r, err = b.Solve([]Load{Point(0.5, 1)}); err != nil {
		t.Fatal(err)
	}
	near(t, "V beyond 1 misses P", r.MaxShearBeyond(1).Value, 0.05, 1e-12)
	near(t, "half", r.ShearReduced(0, 1).Value, 0.45, 1e-12)
	near(t, "share", r.ShearReduced(0.2, 1).Value, 0.25, 1e-12)
	near(t, "over the bearing", r.ShearReduced(0.5, 1).Value, 0.05, 1e-12)
	near(t, "no depth", r.ShearReduced(0, 0).Value, 0.95, 1e-12)

	// A lifted support shelters nothing, and does not end the reach of its
	// neighbour.
	loose := pushOnly(equalSpans(3))
	if r, err = loose.Solve([]Load{Point(0.5, 100), Uniform(2.9, 3, 100)}); err != nil || !r.Lifted[2] || r.Lifted[3] {
		t.Fatal(err, r.Lifted)
	}
	tail := math.Abs(r.Shear(2, Right)) // the same all along the idle double span, up to 2.9
	if v := r.reduced(&r, pieceAt(r, 1), Right, 0, 1.5); math.Abs(math.Abs(v)-tail) > 1e-12 {
		t.Errorf("shear past a lifted support %g, want %g", v, tail)
	}
	lo, hi := r.sheltered(pieceAt(r, 2), 0.2) // piece from 2 to 2.9: clear from its start, sheltered from 2.8
	near(t, "lo", lo, 0, 0)
	near(t, "hi", hi, 0.8/0.9, 1e-12)

	// On an overhang of 2 with P at its tip: all of P counts beyond the depth.
	b = Beam{End: 12, EI: 1, Supports: []Support{{X: 0}, {X: 10}}}
	if r, err = b.Solve([]Load{Point(12, 1)}); err != nil {
		t.Fatal(err)
	}
	v := r.ShearReduced(0, 1)
	near(t, "overhang", v.Value, 1, 1e-12)
	near(t, "overhang shorter than the depth", r.ShearReduced(0, 4).Value, 0.5, 1e-12) // share 2/4
}

// pieceAt is the piece that starts at support i.
func pieceAt(r Result, i int) int {
	for k := range r.pieces {
		if r.pieces[k].support == i {
			return k
		}
	}
	return -1
}

func TestErrors(t *testing.T) {
	two := []Support{{X: 0}, {X: 1}}
	nan, inf := math.NaN(), math.Inf(1)
	push := func(xs ...float64) (ss []Support) {
		for _, x := range xs {
			ss = append(ss, Support{X: x, PushOnly: true})
		}
		return ss
	}
	for _, c := range []struct {
		what  string
		beam  Beam
		loads []Load
		says  string
	}{
		{"no length", Beam{Start: 1, End: 1, EI: 1, Supports: two}, nil, "End must lie beyond Start"},
		{"backwards", Beam{Start: 1, End: 0, EI: 1, Supports: two}, nil, "End must lie beyond Start"},
		{"no EI", Beam{End: 1, Supports: two}, nil, "EI is 0"},
		{"NaN end", Beam{End: nan, EI: 1, Supports: two}, nil, "finite"},
		{"infinite EI", Beam{End: 1, EI: inf, Supports: two}, nil, "finite"},
		{"no support", Beam{End: 1, EI: 1}, nil, "mechanism"},
		{"one support", Beam{End: 1, EI: 1, Supports: two[:1]}, nil, "mechanism"},
		{"support off", Beam{End: 1, EI: 1, Supports: []Support{{X: 0}, {X: 1.01}}}, nil, "off the beam"},
		{"support NaN", Beam{End: 1, EI: 1, Supports: []Support{{X: 0}, {X: nan}}}, nil, "not a number"},
		{"supports swapped", Beam{End: 1, EI: 1, Supports: []Support{{X: 1}, {X: 0}}}, nil, "in order"},
		{"same place", Beam{End: 1, EI: 1, Supports: []Support{{X: 0}, {X: 0}}}, nil, "different places"},
		{"negative spring", Beam{End: 1, EI: 1, Supports: []Support{{X: 0}, {X: 1, Stiffness: -1}}}, nil, "Stiffness"},
		{"NaN spring", Beam{End: 1, EI: 1, Supports: []Support{{X: 0}, {X: 1, Stiffness: nan}}}, nil, "not a number"},
		{"NaN load", equalSpans(1), []Load{Uniform(0, 1, nan)}, "finite"},
		{"infinite place", equalSpans(1), []Load{Uniform(0, inf, 1)}, "finite"},
		{"load backwards", equalSpans(1), []Load{Uniform(1, 0.5, 1)}, "back to"},
		{"point with length", equalSpans(1), []Load{{From: 0, To: 1, P: 1}}, "point load"},
		{"point off the beam", equalSpans(1), []Load{Point(1.2, 1)}, "off the beam"},
		{"tips", Beam{End: 2, EI: 1, Supports: push(0, 1)}, []Load{Point(1.5, 1)}, "tips over"},
		{"uplift", Beam{End: 1, EI: 1, Supports: push(0, 1)}, []Load{Point(0.5, -1)}, "do not press"},
		{"tips on one tie", Beam{End: 2, EI: 1, Supports: []Support{{X: 0.5, PushOnly: true}, {X: 1}}}, []Load{Point(1.5, 1)}, "mechanism"},
		{"too large", equalSpans(1), []Load{Uniform(0, 1, 1e308), Uniform(0, 1, 1e308), Point(0.5, 1e308)}, "differ so much"},
	} {
		_, err := c.beam.Solve(c.loads)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v does not say %q", c.what, err, c.says)
		}
		if _, err := c.beam.Envelope(nil, [][]Load{c.loads}); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: envelope error %v does not say %q", c.what, err, c.says)
		}
	}
	// One tie is enough when the load is on the right side of it.
	b := Beam{End: 2, EI: 1, Supports: []Support{{X: 0.5, PushOnly: true}, {X: 1}}}
	if r, err := b.Solve([]Load{Point(0, 1)}); err != nil || math.Abs(r.Reactions[1]+1) > 1e-12 {
		t.Error(err, r.Reactions) // R0 = 2, R1 = -1
	}
}

// No numbers whatever make Solve, Envelope or the results panic.
func TestNoPanic(t *testing.T) {
	any := rapid.OneOf(rapid.Float64(), rapid.Float64Range(-2, 2),
		rapid.SampledFrom([]float64{0, 1, math.NaN(), math.Inf(1), math.Inf(-1), 1e-320, 1e300, -1e300, 1e-12}))
	rapid.Check(t, func(t *rapid.T) {
		b := Beam{Start: any.Draw(t, "start"), End: any.Draw(t, "end"), EI: any.Draw(t, "EI")}
		for range rapid.IntRange(0, 4).Draw(t, "supports") {
			b.Supports = append(b.Supports, Support{any.Draw(t, "x"), any.Draw(t, "k"), rapid.Bool().Draw(t, "push")})
		}
		if rapid.Bool().Draw(t, "sound beam") {
			b = pushOnly(equalSpans(2))
		}
		var ls []Load
		for range rapid.IntRange(0, 4).Draw(t, "loads") {
			l := Load{any.Draw(t, "from"), any.Draw(t, "to"), any.Draw(t, "w1"), any.Draw(t, "w2"), any.Draw(t, "p")}
			if rapid.Bool().Draw(t, "point") {
				l.To = l.From
			}
			ls = append(ls, l)
		}
		if r, err := b.Solve(ls); err == nil {
			x := any.Draw(t, "x")
			r.Moment(x)
			r.Shear(x, Left)
			r.Deflection(x)
			r.ShearAt(rapid.IntRange(-1, 5).Draw(t, "support"), Right, x)
			r.Extremes()
			r.MaxShearBeyond(x)
			r.ShearReduced(x, x)
			for i, v := range r.Reactions {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Errorf("reaction %d is %g", i, v)
				}
			}
		}
		if e, err := b.Envelope(nil, SplitBySpans(b, ls)); err == nil {
			e.MaxShearBeyond(any.Draw(t, "offset"))
		}
		_, _ = b.FrontEnvelope(nil, ls, max(any.Draw(t, "step"), 0.1))
	})
	var none Result
	none.Moment(1)
	none.Shear(1, Left)
	none.Deflection(1)
	none.Extremes()
	none.SpanDeflections()
	none.ShearReduced(1, 1)
}
