package layout

import (
	"math"
	"math/bits"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"shoreward/internal/beam"
)

// roomy holds anything, so that one limit can rule.
func roomy() spanRules {
	return spanRules{moment: 1e12, shear: 1e12, ei: 1e15, prop: 1e12, seat: 1e12, placing: 1, service: 1, limit: func(float64) float64 { return 1e9 }}
}

// The moment and shear beside a prop between two spans, and what presses on it,
// are those of a beam of two spans under all its loads (statics, by the beam
// solver): the rules hold just above them and not just below.
func TestPropBetweenTwoSpans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := func(lo, hi int, name string) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, name)) }
		v := num(400, 2500, "first span")
		w := v + num(400, 2500, "second span")
		var on []contact
		var loads []beam.Load
		for x := num(20, 300, "first joist"); x < w-5; x += num(100, 700, "pitch") {
			if math.Abs(x-v) < 5 {
				x = v // right over the prop
			}
			c := contact{x: x, load: num(1000, 12000, "load")}
			on = append(on, c)
			loads = append(loads, beam.Point(x/1000, c.load))
		}
		if len(on) == 0 {
			return
		}
		b := beam.Beam{End: w / 1000, EI: 1e6, Supports: []beam.Support{{X: 0}, {X: v / 1000}, {X: w / 1000}}}
		r, err := b.Solve(loads)
		if err != nil {
			t.Fatal(err)
		}
		moment := 0.0 // over the prop: by the reaction below it
		moment = r.Reactions[0] * v / 1000
		shear := r.Reactions[0]
		for _, c := range on {
			if c.x < v-1 {
				moment -= c.load * (v - c.x) / 1000
				shear -= c.load
			}
		}
		below, above := -shear, r.Reactions[1]+shear-pressing(on, v)
		ok := func(set func(*spanRules)) bool {
			rules := roomy()
			set(&rules)
			return rules.holdsProp(rules.bed(on, []float64{0, v, w}), 0, 1, 2, false, false)
		}
		check := func(what string, value float64, set func(*spanRules, float64)) {
			if value < 50 {
				return // another place rules
			}
			if !ok(func(r *spanRules) { set(r, value*1.002+1) }) {
				t.Errorf("%s %.1f is held by a little more", what, value)
			}
			if ok(func(r *spanRules) { set(r, value*0.998-1) }) {
				t.Errorf("%s %.1f is not held by a little less", what, value)
			}
		}
		// The sag of a span may exceed the moment over the prop: then it rules, on the safe side.
		if hog := -moment; hog > 50 && ok(func(r *spanRules) { r.moment = hog*0.998 - 1 }) {
			t.Errorf("hogging %.1f is not held by a little less", hog)
		}
		check("shear", math.Max(below, above), func(r *spanRules, v float64) { r.shear = v })
		check("reaction", r.Reactions[1], func(r *spanRules, v float64) { r.prop = v })
	})
}

// ways keeps, per number of props, only the nearest prop before each place, which
// is nearly always as good as any: tried against every set of places, it needs a
// prop more in fewer than one case in two hundred, and never two more.
func TestWaysAreTheFewest(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	num := func(lo, hi int) float64 { return float64(lo + random.IntN(hi-lo+1)) }
	const cases = 3000
	worse := 0
	for range cases {
		pitch := num(300, 700)
		var on []contact
		for i := range 7 {
			on = append(on, contact{x: float64(i) * pitch, load: num(2000, 9000)})
		}
		rules := roomy()
		rules.moment, rules.shear, rules.prop = num(1, 6)*1000, num(6, 20)*1000, num(12, 40)*1000
		places := placesOn(on)
		places = places[:min(len(places), 10)]
		last := len(places) - 1
		got := rules.ways(rules.bed(on, places), 0, places[last], false, nil)[last]
		best := fewest(&rules, on, places)
		switch {
		case got.between >= 0 && (best < 0 || got.between < best):
			t.Fatalf("%d props between do not hold: %d do", got.between, best)
		case best >= 0 && (got.between < 0 || got.between > best+1):
			t.Errorf("%d props between, %d do: pitch %g, %v, %+v", got.between, best, pitch, on, rules)
		case got.between != best:
			worse++
		}
		if got.between > 0 && len(got.props) != got.between {
			t.Errorf("%d props between, places %v", got.between, got.props)
		}
	}
	t.Logf("a prop more than needed in %d of %d cases", worse, cases)
	if worse > cases/200 {
		t.Errorf("a prop more than needed in %d of %d cases", worse, cases)
	}
}

// fewest is the least number of props between by trying every set of places; -1: none holds.
func fewest(rules *spanRules, on []contact, places []float64) int {
	last := len(places) - 1
	best := -1
	for set := range 1 << (last - 1) {
		n := bits.OnesCount(uint(set))
		if best >= 0 && n >= best {
			continue
		}
		at := []float64{places[0]}
		for k := range last - 1 {
			if set>>k&1 == 1 {
				at = append(at, places[k+1])
			}
		}
		at = append(at, places[last])
		ok := true
		for i := 1; i < len(at); i++ {
			ok = ok && at[i]-at[i-1] >= nearest
		}
		if n == 0 && ok {
			ok = rules.holdsSpan(rules.bed(on, at), 0, 1)
		}
		under := rules.bed(on, at)
		for i := 1; i+1 < len(at) && ok; i++ {
			ok = rules.holdsProp(under, i-1, i, i+1, i == 1, i+2 == len(at))
		}
		if ok {
			best = n
		}
	}
	return best
}
