package storeys

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"shoreward/internal/quantity"
)

// anyStack is a stack of unlike slabs and props.
func anyStack(t *rapid.T) *Stack {
	stiff := func(label string) Stiffness {
		return rapid.OneOf(rapid.Just(Rigid), rapid.Map(rapid.Float64Range(4, 9), func(x float64) Stiffness { return Stiffness(math.Pow(10, x)) })).Draw(t, label)
	}
	s := &Stack{Ground: stiff("ground")}
	for i := range rapid.IntRange(1, 7).Draw(t, "slabs") {
		k := Stiffness(math.Pow(10, rapid.Float64Range(5, 8).Draw(t, "stiffness")))
		s.Slabs = append(s.Slabs, Slab{ID: string(rune('A' + i)), Top: quantity.Length(3 * i),
			Weight: quantity.Stress(rapid.Float64Range(1e3, 2e4).Draw(t, "weight")), Forms: quantity.Stress(rapid.Float64Range(0, 1e3).Draw(t, "forms")),
			Live:      quantity.Stress(rapid.Float64Range(0, 5e3).Draw(t, "live")),
			Stiffness: func(age quantity.Duration) Stiffness { return k * Stiffness(age/(age+70)) }, Shores: stiff("shores"), Reshores: stiff("reshores")})
	}
	return s
}

// loads counts, apart from the tracer, what lies on each slab.
type loads struct {
	own, forms, live []float64
}

func (l *loads) do(s *Stack, op Operation, i int) {
	switch op.Kind {
	case Place:
		l.own[i], l.forms[i], l.live[i] = float64(s.Slabs[i].Weight), float64(s.Slabs[i].Forms), float64(s.Slabs[i].Live)
	case Strip:
		l.forms[i] = 0
	case LiveOff:
		l.live[i] = 0
	case LiveOn:
		l.live[i] = float64(op.Load)
	}
}

// Whatever is done in whatever order, at every operation what comes in goes out,
// at every slab and in all, nothing pulls, loose props carry nothing, and a slab
// with nothing above or below carries what lies on it. At the end, with all props
// and loads gone, each slab carries its own weight.
func TestLoadIsNeverLost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyStack(t)
		n := len(s.Slabs)
		rules := Rules{Resnug: rapid.Bool().Draw(t, "resnug")}
		l := loads{make([]float64, n), make([]float64, n), make([]float64, n)}
		under := make([]Prop, n)
		placed := 0
		var ops []Operation
		var at quantity.Duration
		var counted []loads
		do := func(k Kind, i int, load float64) {
			op := Operation{Kind: k, Slab: s.Slabs[i].ID, At: at, Load: quantity.Stress(load)}
			l.do(s, op, i)
			ops = append(ops, op)
			counted = append(counted, loads{append([]float64(nil), l.own...), append([]float64(nil), l.forms...), append([]float64(nil), l.live...)})
			switch k {
			case Place:
				placed, under[i] = placed+1, Shore
			case Strip, RemoveReshores:
				under[i] = None
			case Reshore:
				under[i] = ReshoreProp
			}
		}
		for range rapid.IntRange(n, 8*n).Draw(t, "operations") {
			at += quantity.Duration(rapid.Float64Range(1, 200).Draw(t, "hours"))
			if placed < n && (placed == 0 || rapid.IntRange(0, 3).Draw(t, "next") == 0) {
				do(Place, placed, 0)
				continue
			}
			i := rapid.IntRange(0, placed-1).Draw(t, "slab")
			switch kind := rapid.IntRange(0, 3).Draw(t, "work"); {
			case kind == 0:
				do(LiveOff, i, 0)
			case kind == 1:
				do(LiveOn, i, rapid.Float64Range(1, 1e4).Draw(t, "load"))
			case under[i] == Shore:
				do(Strip, i, 0)
			case under[i] == None:
				do(Reshore, i, 0)
			case kind == 2:
				do(Snug, i, 0)
			default:
				do(RemoveReshores, i, 0)
			}
		}
		at++
		for i := range placed {
			if do(LiveOff, i, 0); under[i] == Shore {
				do(Strip, i, 0)
			} else if under[i] == ReshoreProp {
				do(RemoveReshores, i, 0)
			}
		}
		tr, err := s.Trace(ops, rules)
		if err != nil {
			t.Fatal(err)
		}
		for k, st := range tr.Steps {
			in, out, from := 0.0, 0.0, make([]float64, n)
			for i := range st.Slabs {
				p := st.Props[i]
				if p.Force < 0 || p.Gap < 0 || p.Kind == None && p.Force != 0 || p.Gap > 0 && p.Force > 0 {
					t.Fatalf("%s: props under %s: %+v", st.Name(), s.Slabs[i].ID, p)
				}
				in += counted[k].own[i] + counted[k].forms[i] + counted[k].live[i]
				out += float64(st.Slabs[i].Load)
				if p.Kind != None && p.On == Ground {
					out += float64(p.Force)
				} else if p.Kind != None {
					from[p.On] += float64(p.Force)
				}
			}
			if math.Abs(in-out) > 1e-9*in {
				t.Fatalf("%s: %g comes in, %g goes out", st.Name(), in, out)
			}
			for i := range st.Slabs {
				on := counted[k].own[i] + counted[k].forms[i] + counted[k].live[i] + from[i]
				if rest := on - float64(st.Slabs[i].Load+st.Props[i].Force); math.Abs(rest) > 1e-9*in {
					t.Fatalf("%s: slab %s is out of balance by %g", st.Name(), s.Slabs[i].ID, rest)
				}
			}
		}
		last := tr.Steps[len(tr.Steps)-1]
		for i := range placed {
			if got, want := float64(last.Slabs[i].Load), float64(s.Slabs[i].Weight); math.Abs(got-want) > 1e-9*want {
				t.Fatalf("at the end slab %s carries %g, weighs %g", s.Slabs[i].ID, got, want)
			}
		}
	})
}
