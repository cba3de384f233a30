package layout

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// onLine is a deck with one stringer from x0 to x1 at y and props under it.
func onLine(y, x0, x1 float64, props ...float64) *deck.Deck {
	key := lineKey("I", y)
	d := &deck.Deck{Stringers: []deck.Member{{ID: "s", Field: "I", Line: key, From: plane.Point{x0, y}, To: plane.Point{x1, y}}}}
	for _, x := range props {
		d.Props = append(d.Props, deck.Prop{Line: key, Under: "stringer", At: plane.Point{x, y}})
	}
	return d
}

// ground is all that placing a prop asks of the site here.
var ground = &deck.Site{OnGround: true}

// mending is a field on a site whose props carry 10.4 kN: under a usual band of
// 1.5 m at 8 kN/m2 and joists 600 mm apart they stand (10.4/12 - 0.15)/1.2 =
// 0.597 m apart, 600 mm on the grid of places that are tried.
func mending(t tester, s *deck.Site) *field {
	t.Helper()
	f := fieldOn(t, s)
	f.k.propLoad = 10.4e3
	return f
}

// A prop more under a stringer from 500 to 4500, by where it fails.
func TestPropStringer(t *testing.T) {
	for _, c := range []struct {
		name  string
		props []float64
		at    float64
		want  float64
	}{
		{"in the gap", []float64{600, 2600, 4400}, 1500, 1600}, // midway of 600 and 2600
		{"in the other gap", []float64{600, 2600, 4400}, 3000, 3500},
		{"beside a prop: the wider gap", []float64{600, 2000, 4400}, 2000, 3200},
		{"over a long end: 60 mm from it", []float64{1500, 4400}, 700, 560},
		{"at the other end", []float64{600, 3500}, 4200, 4440},
		{"under a stringer on one prop: where it fails", []float64{600}, 3000, 3000},
	} {
		f := mending(t, flat(plane.Rect(0, 0, 6000, 4000)))
		d := onLine(2000, 500, 4500, c.props...)
		if !f.propStringer(inputFor(ground, f.k), d, d.Stringers[0].Line, plane.Point{c.at, 2000}) || len(d.Props) != len(c.props)+1 {
			t.Errorf("%s: no prop", c.name)
			continue
		}
		p := d.Props[len(d.Props)-1]
		near(t, c.name, p.At[0], c.want, 1e-9)
		if p.At[1] != 2000 || p.Under != "stringer" || p.Seat != 2580 || p.Length != 2500 || p.Hole != 6 {
			t.Errorf("%s: %+v", c.name, p)
		}
	}
}

// With props 240 mm apart all along, no more help: a second stringer is laid
// beside the first, its own width and 20 mm off, 3 m long and more.
func TestDouble(t *testing.T) {
	f := mending(t, flat(plane.Rect(0, 0, 6000, 4000)))
	var xs []float64
	for x := 560.0; x < 4500; x += 240 {
		xs = append(xs, x)
	}
	d := onLine(2000, 500, 4500, xs...)
	if !f.propStringer(inputFor(ground, f.k), d, d.Stringers[0].Line, plane.Point{2500, 2000}) || len(d.Stringers) != 2 {
		t.Fatalf("%d stringers", len(d.Stringers))
	}
	s := d.Stringers[1]
	near(t, "beside", s.From[1], 2100, 1e-9)
	if s.From[0] > 1000 || s.To[0] < 4000 { // 1.5 m to both sides of the failing place
		t.Errorf("from %g to %g", s.From[0], s.To[0])
	}
	holds(t, f, d, s)
}

// holds asks that a stringer has two props or more, 60 mm inside its ends, 400 mm apart in all,
// where props can stand.
func holds(t tester, f *field, d *deck.Deck, s deck.Member) {
	t.Helper()
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range d.Props {
		if p.Line != s.Line {
			continue
		}
		lo, hi = math.Min(lo, p.At[0]), math.Max(hi, p.At[0])
		if p.At[1] != s.From[1] || p.At[0] < s.From[0]+60-1e-6 || p.At[0] > s.To[0]-60+1e-6 {
			t.Errorf("a prop at %v under a stringer from %v to %v", p.At, s.From, s.To)
		}
		if !f.r.canStand(p.At[0], p.At[1]) {
			t.Errorf("no prop can stand at %v", p.At)
		}
	}
	if !(hi-lo >= 400-1e-6) {
		t.Errorf("the props of a stringer from %v to %v reach from %g to %g", s.From, s.To, lo, hi)
	}
}

// A joist over one stringer at y = 2000 gets one of its own, 250 mm off at
// least, near its end, past both of its sides.
func TestCarryJoist(t *testing.T) {
	f := mending(t, flat(plane.Rect(0, 0, 6000, 4000)))
	d := onLine(2000, 500, 4500, 600, 2500, 4400)
	d.Joists = []deck.Member{{ID: "j", Field: "I", From: plane.Point{3000, 1000}, To: plane.Point{3000, 2200}}}
	if !f.carryJoist(inputFor(ground, f.k), d, &d.Joists[0]) || len(d.Stringers) != 2 {
		t.Fatalf("%d stringers", len(d.Stringers))
	}
	s := d.Stringers[1]
	if y := s.From[1]; y != 1100 { // 100 mm in from the end that is farther from the line
		t.Errorf("at y %g", y)
	}
	if s.From[0] > 2960 || s.To[0] < 3040 {
		t.Errorf("a joist from 2960 to 3040 on a stringer from %g to %g", s.From[0], s.To[0])
	}
	holds(t, f, d, s)
}

// A stringer of a repair: all of what is asked lies on it, it keeps clear of
// columns and of the stringers that lie there, and it holds by itself. Where
// there is no room the deck stays as it is.
func TestAddLine(t *testing.T) {
	laid := 0
	rapid.Check(t, func(t *rapid.T) {
		num := func(lo, hi int, name string) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, name)) }
		block := turned(num(500, 5500, "x"), num(500, 3500, "y"), num(200, 600, "long"), num(200, 600, "wide"), num(0, 90, "turn"))
		site := flat(plane.Rect(0, 0, 6000, 4000), block)
		f := mending(t, site)
		d := onLine(num(500, 3500, "line"), 500, 4400, 600, 2500, 4300)
		y := num(200, 3800, "at")
		if rapid.Bool().Draw(t, "near the line") {
			y = d.Stringers[0].From[1] + num(-150, 150, "beside it")
		}
		xa := num(0, 5000, "from")
		xb := xa + num(100, 4000, "long")
		before := len(d.Props)
		if !f.addLine(inputFor(site, f.k), d, y, xa, xb) {
			if len(d.Stringers) != 1 || len(d.Props) != before || len(f.lines) != 0 {
				t.Error("nothing could be done, and yet something was")
			}
			return
		}
		laid++
		s := d.Stringers[1]
		if s.From[0] > xa+0.01 || s.To[0] < xb-0.01 {
			t.Errorf("%g to %g was asked, it lies from %g to %g", xa, xb, s.From[0], s.To[0])
		}
		box := plane.Box{X0: s.From[0], X1: s.To[0], Y0: y - 40, Y1: y + 40}
		if box.Overlaps(block.Bounds(), 20-0.02) {
			t.Errorf("%+v comes nearer than 20 mm to the box of the column %+v", box, block.Bounds())
		}
		if o := d.Stringers[0]; math.Abs(o.From[1]-y) < 80 && o.From[0] < s.To[0] && o.To[0] > s.From[0] {
			t.Errorf("stringers at %g and %g lie in each other", o.From[1], y)
		}
		if l := s.To[0] - s.From[0]; !s.Sawn && math.Abs(l-1800) > 0.02 && math.Abs(l-2450) > 0.02 && math.Abs(l-3900) > 0.02 {
			t.Errorf("%g mm is no length that can be had", l)
		}
		for i, p := range d.Props {
			for _, o := range d.Props[:i] {
				if math.Abs(p.At[0]-o.At[0]) < 90 && math.Abs(p.At[1]-o.At[1]) < 90 { // docs/plan-json.md
					t.Errorf("props at %v and %v", o.At, p.At)
				}
			}
		}
		holds(t, f, &deck.Deck{Props: d.Props[before:]}, s) // its own, should it lie on in an old line
		if len(f.lines) != 1 || f.lines[0].y != y {
			t.Errorf("the field knows of %+v", f.lines)
		}
	})
	if laid == 0 {
		t.Error("no line was ever laid")
	}
}

// A prop straight under a joist, to the joists' seat: 2780 - 80 = 2700 mm long;
// 60 mm inside its ends, not where a stringer or a prop is in the way.
func TestPropUnder(t *testing.T) {
	joist := deck.Member{ID: "j", Field: "I", From: plane.Point{3000, 1000}, To: plane.Point{3000, 3000}}
	for _, c := range []struct {
		name     string
		at, want float64
	}{
		{"in the open", 1500, 1500},
		{"past its end", 900, 1075}, // every 25 mm from the place, 60 inside
		// The stringer at 2000, 80 mm wide, keeps 80 mm to both sides: 120 from its middle.
		{"at the stringer", 2000, 2125},
		{"just below it", 1950, 1875},
	} {
		f := mending(t, flat(plane.Rect(0, 0, 6000, 4000)))
		d := onLine(2000, 500, 4500, 600, 2500, 4400)
		if !f.propUnder(inputFor(ground, f.k), d, &joist, plane.Point{3000, c.at}) {
			t.Errorf("%s: no prop", c.name)
			continue
		}
		p := d.Props[len(d.Props)-1]
		near(t, c.name, p.At[1], c.want, 1e-9)
		if p.Under != "joist" || p.Length != 2700 || p.Seat != 2780 || p.At[0] != 3000 {
			t.Errorf("%s: %+v", c.name, p)
		}
	}
	f := mending(t, flat(plane.Rect(0, 0, 6000, 4000)))
	f.k.joistProp = nil
	if f.propUnder(inputFor(ground, f.k), &deck.Deck{}, &joist, plane.Point{3000, 1500}) {
		t.Error("no prop of the system reaches up to joists")
	}
}

// Where the stringers of a line lie at a place: between two that lap.
func TestLineAt(t *testing.T) {
	f := mending(t, flat(plane.Rect(0, 0, 6000, 4000)))
	d := &deck.Deck{Stringers: []deck.Member{
		{Line: "a", From: plane.Point{0, 1960}, To: plane.Point{2450, 1960}},
		{Line: "a", From: plane.Point{2000, 2040}, To: plane.Point{4450, 2040}},
		{Line: "b", From: plane.Point{0, 3000}, To: plane.Point{6000, 3000}},
	}}
	for _, c := range []struct {
		x, y    float64
		two, ok bool
	}{{1000, 1960, false, true}, {2200, 2000, true, true}, {3000, 2040, false, true}, {2440, 2040, false, true}, {5000, 0, false, false}} {
		if y, two, ok := f.lineAt(d, "a", c.x); y != c.y || two != c.two || ok != c.ok {
			t.Errorf("at %g: %g %v %v", c.x, y, two, ok)
		}
	}
	if lo, hi := f.run(d, "a", 1000); lo != 0 || hi != 4450 {
		t.Errorf("the two hold on to each other: %g to %g", lo, hi)
	}
}
