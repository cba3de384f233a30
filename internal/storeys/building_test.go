package storeys

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// pour of unit weight and stiffness on rigid props over a rectangle in m.
func pour(id string, top, x0, y0, x1, y1 float64) Pour {
	return Pour{Slab: Slab{ID: id, Top: quantity.Length(top), Weight: 1, Stiffness: Constant(1), Shores: Rigid, Reshores: Rigid},
		Outline: plane.Shape{Outer: plane.Rect(1000*x0, 1000*y0, 1000*x1, 1000*y1)}}
}

// Two pours a level with their joint at another place on every other level: three
// places in plan, with areas by hand.
func TestSpotsOfStaggeredJoints(t *testing.T) {
	b := Building{Ground: Rigid, Pours: []Pour{
		pour("2A", 6, 0, 0, 10, 10), pour("2B", 6, 10, 0, 20, 10), // list order is not height order
		pour("1A", 3, 0, 0, 8, 10), pour("1B", 3, 8, 0, 20, 10),
	}}
	spots, err := b.Spots()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, s := range spots {
		got = append(got, fmt.Sprintf("%s %.1f", strings.Join(s.Stack.IDs(), "<"), float64(s.Area)))
	}
	if want := "1A<2A 80.0, 1B<2A 20.0, 1B<2B 100.0"; strings.Join(got, ", ") != want {
		t.Errorf("got %v, want %s", got, want)
	}
}

// A split level: the upper half-level stands on the slab two below in the list,
// because nothing else is under it at that place. Over an opening props stand on
// the slab below the opening.
func TestPropsStandOnWhatIsBelow(t *testing.T) {
	b := Building{Ground: Rigid, Pours: []Pour{
		pour("low", 3, 0, 0, 20, 10), pour("half", 4.5, 0, 0, 10, 10), pour("high", 7.5, 10, 0, 20, 10),
		pour("holed", 9, 0, 0, 10, 10), pour("roof", 12, 0, 0, 20, 10),
	}}
	b.Pours[3].Outline.Holes = []plane.Ring{plane.Rect(4000, 4000, 6000, 6000)}
	var ops []Operation
	for k, id := range []string{"low", "half", "high", "holed", "roof"} {
		ops = append(ops, Operation{Kind: Place, Slab: id, At: quantity.Duration(k) * day})
	}
	traces, err := b.Trace(ops, Rules{})
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{ // at a place: pours from the lowest up, area
		"low<half<holed<roof": "96.0", "low<half<roof": "4.0", "low<high<roof": "100.0",
	}
	if len(traces) != len(want) {
		t.Errorf("%d places, want %d", len(traces), len(want))
	}
	for _, pt := range traces {
		name := strings.Join(pt.Spot.Stack.IDs(), "<")
		if area := fmt.Sprintf("%.1f", float64(pt.Spot.Area)); want[name] != area {
			t.Errorf("%s: area %s, want %q", name, area, want[name])
		}
		// All on rigid props down to the ground: props carry all slabs above them.
		last := pt.Trace.Steps[len(pt.Trace.Steps)-1]
		for i, p := range last.Props {
			if above := float64(len(last.Props) - i); p.On != i-1 || math.Abs(float64(p.Force)-above) > 1e-9 {
				t.Errorf("%s: props under %s: %+v, want %g on %d", name, pt.Spot.Stack.Slabs[i].ID, p, above, i-1)
			}
		}
	}
}

// Skewed outlines that cross: areas by hand. A square of 10 m and one turned by
// 45 degrees about its centre, half diagonal 7.5 m: the turned one's four corners
// stand out by 2.5 m, triangles of 2.5 x 5 / 2.
func TestSpotsOfSkewedOutlines(t *testing.T) {
	turned := pour("2", 6, 0, 0, 1, 1)
	turned.Outline.Outer = plane.Ring{{5000, -2500}, {12500, 5000}, {5000, 12500}, {-2500, 5000}}
	b := Building{Ground: Rigid, Pours: []Pour{pour("1", 3, 0, 0, 10, 10), turned}}
	spots, err := b.Spots()
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]float64{}
	for _, s := range spots {
		got[strings.Join(s.Stack.IDs(), "<")] = float64(s.Area)
	}
	for name, want := range map[string]float64{"2": 4 * 2.5 * 2.5, "1<2": 112.5 - 25, "1": 12.5} {
		near(t, name, got[name], want, 0.03) // the tips under 100 mm do not count
	}
}

// Outlines that differ by a few millimetres make no place of their own.
func TestNarrowStripsAreLeftOut(t *testing.T) {
	b := Building{Ground: Rigid, Pours: []Pour{pour("1", 3, 0, 0, 10, 10), pour("2", 6, 0.005, 0, 10.005, 10)}}
	spots, err := b.Spots()
	if err != nil || len(spots) != 1 || len(spots[0].Pours) != 2 {
		t.Errorf("%v %+v", err, spots)
	}
}

func TestBadBuildings(t *testing.T) {
	dates := map[string]quantity.Duration{"1": 0, "2": 24 * 7}
	c := Cycle{Shores: 1, Every: 7 * day, StripAfter: 5 * day}
	for _, w := range []struct {
		name  string
		pours []Pour
		want  string
	}{
		{"none", nil, "no pour"},
		{"overlap", []Pour{pour("1", 3, 0, 0, 10, 10), pour("2", 3, 9, 0, 20, 10)}, "pours 1 and 2 are at one height and overlap"},
		{"line", []Pour{pour("1", 3, 0, 0, 0, 10)}, "an area"},
		{"far away", []Pour{pour("1", 3, 0, 0, 1e9, 10)}, "from the origin"},
		{"narrow", []Pour{pour("1", 3, 0, 0, 0.05, 10)}, "nowhere as wide"},
		{"upside down", []Pour{pour("1", 6, 0, 0, 10, 10), pour("2", 3, 0, 0, 10, 10)}, "pour 1 lies over pour 2"},
		{"no date", []Pour{pour("3", 3, 0, 0, 10, 10)}, "pour 3 has no date"},
	} {
		_, err := Building{Ground: Rigid, Pours: w.pours}.Standard(dates, c)
		if err == nil || !strings.Contains(err.Error(), w.want) {
			t.Errorf("%s: %v, want %q", w.name, err, w.want)
		}
	}
	_, err := Building{Ground: Rigid, Pours: []Pour{pour("1", 3, 0, 0, 10, 10)}}.Trace([]Operation{{Slab: "7"}}, Rules{})
	if err == nil || !strings.Contains(err.Error(), "no pour of that name") {
		t.Error(err)
	}
}

// tower of so many levels with four pours each, the joints of odd levels 2 m
// beside those of even ones, a day between the pours of a level.
func tower(levels int, k Stiffness) (Building, map[string]quantity.Duration) {
	b, date := Building{Ground: Rigid}, map[string]quantity.Duration{}
	for l := range levels {
		j := 2 * float64(l%2)
		for q, r := range [][4]float64{{0, 0, 20 + j, 15}, {20 + j, 0, 40, 15}, {0, 15, 20 + j, 30}, {20 + j, 15, 40, 30}} {
			p := pour(fmt.Sprintf("%d%c", l+1, 'A'+q), 3*float64(l+1), r[0], r[1], r[2], r[3])
			p.Shores, p.Reshores, p.Forms, p.Live = k, k, 0.1, 0.5
			p.Stiffness = func(age quantity.Duration) Stiffness { return Stiffness(math.Sqrt(float64(age / (96 + 0.85*age)))) }
			b.Pours = append(b.Pours, p)
			date[p.ID] = quantity.Duration(7*l+q) * day
		}
	}
	return b, date
}

// A building of pours on one date a level is the standard order of equal levels;
// with pours on their own dates the work can be done, and every pour ends with
// its own weight at every place.
func TestStandardOrderOfPours(t *testing.T) {
	c := Cycle{Shores: 2, Reshores: 2, LiveOff: true, Every: 7 * day, StripAfter: 5 * day}
	one := Building{Ground: Rigid}
	date := map[string]quantity.Duration{}
	var ids []string
	for l := range 8 {
		id := fmt.Sprint(l)
		one.Pours = append(one.Pours, pour(id, 3*float64(l+1), 0, 0, 10, 10))
		date[id], ids = quantity.Duration(7*l)*day, append(ids, id)
	}
	for _, o := range []Order{ShoresFirst, ReshoresFirst} {
		c.Order = o
		got, err := one.Standard(date, c)
		if err != nil {
			t.Fatal(err)
		}
		want, err := c.Standard(ids)
		if err != nil {
			t.Fatal(err)
		}
		for k := range want[:len(want)-2] { // the last reshores of equal levels go at one time
			if got[k] != want[k] {
				t.Errorf("order %d, operation %d: %s at %s, want %s at %s", o, k+1, got[k].Name(), got[k].At.Text(), want[k].Name(), want[k].At.Text())
			}
		}
		b, dates := tower(9, 4)
		ops, err := b.Standard(dates, c)
		if err != nil {
			t.Fatal(err)
		}
		traces, err := b.Trace(ops, resnug)
		if err != nil {
			t.Fatal(err)
		}
		if len(traces) != 6 {
			t.Errorf("%d places, want 6", len(traces))
		}
		for _, pt := range traces {
			last := pt.Trace.Steps[len(pt.Trace.Steps)-1]
			for i, s := range last.Slabs {
				near(t, "at the end "+pt.Trace.Stack.Slabs[i].ID, float64(s.Load), 1, 1e-9)
			}
		}
		peaks := b.PourPeaks(traces)
		for i, p := range peaks {
			if p.Slab.Of < 1 || p.Shore.Of < 1.6-1e-9 || p.Slab.Slab != i {
				t.Errorf("pour %s: %+v", b.Pours[i].ID, p)
			}
		}
	}
}

func BenchmarkTrace60Storeys4PoursElastic(b *testing.B) {
	t, dates := tower(60, 4)
	ops, err := t.Standard(dates, Cycle{Shores: 2, Reshores: 2, LiveOff: true, Every: 7 * day, StripAfter: 5 * day})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := t.Trace(ops, resnug); err != nil {
			b.Fatal(err)
		}
	}
}

// The same with an outline of 24 corners a pour that is a little other on each level.
func BenchmarkSpots60Storeys4PoursUneven(b *testing.B) {
	t, _ := tower(60, 4)
	rnd := rand.New(rand.NewPCG(2027, 8))
	for i := range t.Pours {
		box := t.Pours[i].Outline.Outer.Bounds()
		var ring plane.Ring
		for k := range 24 {
			a := 2 * math.Pi * float64(k) / 24
			ring = append(ring, plane.Point{(box.X0+box.X1)/2 + (box.X1-box.X0)/2*math.Cos(a) + 30*rnd.Float64(), (box.Y0+box.Y1)/2 + (box.Y1-box.Y0)/2*math.Sin(a) + 30*rnd.Float64()})
		}
		t.Pours[i].Outline.Outer = ring
	}
	for b.Loop() {
		if _, err := t.Spots(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTrace40Levels3Plus2Rigid(b *testing.B) {
	s := Uniform(40, 0, 0, 0)
	for b.Loop() {
		run(b, s, cycle(3, 2, ShoresFirst, false), resnug)
	}
}
