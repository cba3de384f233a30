package layout

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// A prop of 2.0 m with holes every 100 mm: hole 1 is the shortest.
func TestSetting(t *testing.T) {
	prop := handKit().prop
	for _, c := range []struct {
		length float64
		hole   int
		thread float64
	}{{2000, 1, 0}, {2000.01, 1, 0.01}, {2099.99, 1, 99.99}, {2100, 2, 0}, {2555, 6, 55}, {3500, 16, 0}} {
		hole, thread := setting(prop, c.length)
		if hole != c.hole || math.Abs(thread-c.thread) > 1e-9 {
			t.Errorf("%g mm: hole %d with %g mm, want hole %d with %g", c.length, hole, thread, c.hole, c.thread)
		}
	}
	if hole, thread := setting(handKit().sheet, 2500); hole != 0 || thread != 0 {
		t.Error("a part without holes has no hole")
	}
	rapid.Check(t, func(t *rapid.T) {
		p := *prop
		s := *p.Shore
		p.Shore = &s
		s.HolePitch.V = 1e-3 * quantity.Length(rapid.IntRange(40, 200).Draw(t, "pitch"))
		s.Shortest.V = 1e-3 * quantity.Length(rapid.IntRange(800, 3000).Draw(t, "shortest"))
		length := round(mmOf(s.Shortest.V) + float64(rapid.IntRange(0, 200000).Draw(t, "over"))/100)
		hole, thread := setting(&p, length)
		near(t, "hole and thread", mmOf(s.Shortest.V)+float64(hole-1)*mmOf(s.HolePitch.V)+thread, length, 1e-6)
		if hole < 1 || thread < 0 || thread >= mmOf(s.HolePitch.V)+0.005 {
			t.Errorf("hole %d with %g mm of a pitch of %g", hole, thread, mmOf(s.HolePitch.V))
		}
	})
}

// Prop lengths under a head: seat less base, less 80 mm of head.
func TestSettingLength(t *testing.T) {
	k := handKit()
	k.heights.base = 100
	near(t, "under a head", k.setting(k.grade, 2580), 2400, 1e-9)
	near(t, "under nothing", k.setting(nil, 2580), 2480, 1e-9)
	k.wedge = k.sheet // 20 mm
	near(t, "on wedges", k.setting(k.grade, 2580), 2380, 1e-9)
	for _, c := range []struct {
		l  float64
		ok bool
	}{{1999, false}, {2000, true}, {3500, true}, {3501, false}} {
		if fits(k.prop, c.l) != c.ok {
			t.Errorf("%g mm: fits %v", c.l, !c.ok)
		}
	}
}

// stocks draws lengths that differ, shortest first, dearer by their length.
func stocks(t *rapid.T) []stock {
	var out []stock
	l := 0.0
	for range rapid.IntRange(1, 5).Draw(t, "stocks") {
		l += float64(rapid.IntRange(300, 2000).Draw(t, "length"))
		out = append(out, stock{part: handKit().stringers[0].part, len: l + 600, cost: l/1000 + float64(rapid.IntRange(0, 3).Draw(t, "dear"))})
	}
	return out
}

// Stock chosen for a run covers all of it, inside its room, every lap the least
// lap or more.
func TestCoverStock(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := &field{k: handKit()}
		f.k.stringers = stocks(t)
		f.k.choice.LapMin = 1e-3 * quantity.Length(rapid.IntRange(0, 500).Draw(t, "lap"))
		f.k.sys.CutToLength = rapid.Bool().Draw(t, "may be sawn")
		lapMin := mmOf(f.k.choice.LapMin)
		num := func(lo, hi int, name string) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, name)) }
		xa := num(-5000, 5000, "from")
		xb := xa + num(100, 25000, "long")
		room := plane.Span{A: xa - num(0, 1500, "room before"), B: xb + num(0, 1500, "room behind")}
		f.p.pitch = 500
		f.r = openGround
		got, props := f.cover(evenly(f, xa, xb), 0, xa, xb, room)
		if got == nil {
			return
		}
		var fixed []float64
		for _, p := range props {
			if p.fixed {
				fixed = append(fixed, p.x)
			}
		}
		if len(props) > 0 && len(fixed) != len(got)+1 {
			t.Fatalf("%d pieces, %d props at their ends and laps", len(got), len(fixed))
		}
		if got[0].x0 > xa+1e-6 || got[len(got)-1].x1 < xb-1e-6 {
			t.Errorf("%g to %g is covered from %g to %g", xa, xb, got[0].x0, got[len(got)-1].x1)
		}
		for i, p := range got {
			if p.x0 < room.A-1.001 || p.x1 > room.B+1e-6 {
				t.Errorf("%g to %g lies outside its room %v", p.x0, p.x1, room)
			}
			if l := p.x1 - p.x0; p.sawn && l > p.stock.len+1e-6 || !p.sawn && math.Abs(l-p.stock.len) > 1e-6 {
				t.Errorf("a stock of %g mm is %g mm long (sawn %v)", p.stock.len, l, p.sawn)
			}
			if i > 0 {
				lap := got[i-1].x1 - p.x0
				if lap < lapMin-1e-6 {
					t.Errorf("a lap of %g mm, the least is %g", lap, lapMin)
				}
				if at := fixed[i]; at < p.x0+lapMin/2-1.001 || at > got[i-1].x1-lapMin/2+1.001 {
					t.Errorf("a prop at %g is not in the lap %g to %g", at, p.x0, got[i-1].x1)
				}
				if i > 1 && p.x0 < got[i-2].x1-1e-6 {
					t.Errorf("three lie side by side at %g", p.x0)
				}
			}
			if p.sawn && len(got) > 1 {
				t.Error("only a piece alone is sawn")
			}
		}
	})
}

// openGround is a place with nothing in a prop's way.
var openGround = &region{}

// evenly is joists of 100 N from xa to xb, as far in as stringers reach past them.
func evenly(f *field, xa, xb float64) []contact {
	lo, hi := xa+f.pastJoist(), xb-f.pastJoist()
	if hi < lo {
		lo, hi = (lo+hi)/2, (lo+hi)/2
	}
	out := []contact{{x: lo, load: 100}}
	for x := lo + f.p.pitch; x < hi; x += f.p.pitch {
		out = append(out, contact{x: x, load: 100})
	}
	return append(out, contact{x: hi, load: 100})
}

// By hand, lengths 1800, 2450 and 3900 at 10 a metre, laps of 300 mm at least:
// which of them the cheapest cover takes.
func TestCoverByHand(t *testing.T) {
	wide := plane.Span{A: -5000, B: 20000}
	for _, c := range []struct {
		name   string
		xb     float64
		room   plane.Span
		sawing bool
		want   []float64
		only   int // of the three lengths this one
	}{
		{"a whole one with spare on both sides", 2000, wide, false, []float64{2450}, 0},
		{"the same between walls, sawn", 2000, plane.Span{A: 0, B: 2000}, true, []float64{2000}, 0},
		{"short and no room: sawn anyway", 1000, plane.Span{A: 0, B: 1000}, false, []float64{1000}, 0},
		// 3900 + 1800 - 300 = 5400: all of 5300, with a grid step to spare; 5500 needs 2450.
		{"two", 5300, wide, false, []float64{1800, 3900}, 0},
		{"two, and longer", 5500, wide, false, []float64{2450, 3900}, 0},
		{"no room for the only length, sawn", 2600, plane.Span{A: 0, B: 3000}, false, []float64{2600}, 3},
	} {
		f := &field{k: handKit()}
		f.p.pitch = 500
		f.r = openGround
		f.k.sys.CutToLength = c.sawing
		f.k.cost.Objective = "weight" // props weigh nothing here
		for i := range f.k.stringers {
			f.k.stringers[i].cost = f.k.stringers[i].len / 100
		}
		if c.only > 0 {
			f.k.stringers = f.k.stringers[c.only-1 : c.only]
		}
		got, _ := f.cover(evenly(f, 0, c.xb), 0, 0, c.xb, c.room)
		var lengths []float64
		for _, p := range got {
			lengths = append(lengths, p.x1-p.x0)
		}
		slices.Sort(lengths)
		if !slices.EqualFunc(lengths, c.want, func(a, b float64) bool { return math.Abs(a-b) < 1e-6 }) {
			t.Errorf("%s: %v, want %v", c.name, lengths, c.want)
		}
	}
}

// A joist for lo..hi covers it and keeps to its room; spare length goes where
// there is room.
func TestFit(t *testing.T) {
	f := &field{k: handKit()}
	j := f.fit(0, 2000, -1000, 2500) // 450 spare, room 1000 below and 500 above: 300 and 150
	near(t, "low end", j.y0, -300, 1e-9)
	near(t, "high end", j.y1, 2150, 1e-9)
	rapid.Check(t, func(t *rapid.T) {
		f := &field{k: handKit()}
		f.k.joists = stocks(t)
		longest := f.k.joists[len(f.k.joists)-1].len
		num := func(lo, hi int, name string) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, name)) }
		lo := num(-3000, 3000, "lo")
		hi := lo + num(100, int(longest), "long")
		a, b := lo-num(0, 2000, "room below"), hi+num(0, 2000, "room above")
		j := f.fit(lo, hi, a, b)
		if j.y0 > lo+1e-6 || j.y1 < hi-0.5-1e-6 || j.y0 < a-1e-6 || j.y1 > b+1e-6 {
			t.Errorf("%g to %g for %g to %g in %g to %g", j.y0, j.y1, lo, hi, a, b)
		}
		if l := j.y1 - j.y0; j.sawn && l > j.stock.len+1e-6 || !j.sawn && math.Abs(l-j.stock.len) > 1e-6 {
			t.Errorf("a stock of %g mm is %g mm long (sawn %v)", j.stock.len, l, j.sawn)
		}
		for _, s := range f.k.joists { // the shortest that does
			if s.len >= hi-lo && s.len < j.stock.len && s.len <= b-a {
				t.Errorf("%g mm would do, %g is taken", s.len, j.stock.len)
			}
		}
	})
}

// Joists of a column lap over their lap lines by the least lap and more, lie
// side by side there, and each rests on two supports. The field has a lap line;
// where bays add up to more than the longest joist it laps elsewhere too.
func TestPiecesLap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := &field{k: handKit()}
		y, first := 0.0, float64(rapid.IntRange(50, 400).Draw(t, "first"))
		var sup []support
		for i := range rapid.IntRange(2, 7).Draw(t, "lines") {
			l := line{y: first + y, x0: math.Inf(-1), x1: math.Inf(1), lap: i == 1 || rapid.Bool().Draw(t, "lap")}
			f.lines = append(f.lines, l)
			sup = append(sup, support{l.y, i, l.lap})
			y += float64(rapid.IntRange(800, 1500).Draw(t, "bay"))
		}
		last := sup[len(sup)-1].y
		need := plane.Span{A: 0, B: last + float64(rapid.IntRange(50, 400).Draw(t, "past"))}
		free := plane.Span{A: -500, B: need.B + 500}
		c := &column{x: 1000, need: plane.Spans{need}, free: plane.Spans{free}}
		js := f.pieces(c, 0, need, free, sup)
		if js[0].y0 > need.A+1e-6 || js[len(js)-1].y1 < need.B-0.5 {
			t.Errorf("the need %v is served from %g to %g", need, js[0].y0, js[len(js)-1].y1)
		}
		for i, j := range js {
			if len(j.supports) < 2 || j.supports[0].y < j.y0+endBearing || j.supports[len(j.supports)-1].y > j.y1-endBearing {
				t.Errorf("a joist from %g to %g on %v", j.y0, j.y1, j.supports)
			}
			if j.y0 < free.A-1e-6 || j.y1 > free.B+1e-6 {
				t.Errorf("a joist from %g to %g, free is %v", j.y0, j.y1, free)
			}
			if i == 0 {
				continue
			}
			if lap := js[i-1].y1 - j.y0; lap < mmOf(f.k.choice.LapMin)-1e-6 {
				t.Errorf("a lap of %g mm", lap)
			}
			if j.supports[0].y != js[i-1].supports[len(js[i-1].supports)-1].y {
				t.Error("lapped joists share a support")
			}
			if d := math.Abs(j.x - js[i-1].x); d < 80-1e-6 { // their own width
				t.Errorf("lapped joists %g mm apart", d)
			}
		}
	})
}

// endBearing is what a member must reach past the middle of its support, mm: docs/plan-json.md.
const endBearing = 20

// Which side of its column a joist lies on: turn about from lap line to lap line.
func TestSide(t *testing.T) {
	f := &field{lines: []line{{y: 1000}, {y: 2000, lap: true}, {y: 3000}, {y: 4000, lap: true}}}
	for _, c := range []struct{ y, want float64 }{{500, -1}, {1500, -1}, {2500, 1}, {3900, 1}, {4500, -1}} {
		if got := f.side(c.y); got != c.want {
			t.Errorf("at %g: %g, want %g", c.y, got, c.want)
		}
	}
	if (&field{lines: []line{{y: 1000}}}).side(500) != 0 {
		t.Error("without laps joists stay on their columns")
	}
}

// Five ends that no line serves, 600 mm apart, share one line of their own; three
// do not, nor do ends whose windows do not meet or that lie too far apart.
func TestLocalLines(t *testing.T) {
	win := func(a, b float64) plane.Span { return plane.Span{A: a, B: b} }
	for _, c := range []struct {
		name string
		xs   []float64
		wins []plane.Span
		at   float64
		want []line
	}{
		{"five", []float64{600, 1200, 1800, 2400, 3000}, []plane.Span{win(900, 1100)}, 1000, []line{{y: 1000, x0: 599, x1: 3001}}},
		{"four, where all windows meet", []float64{600, 1200, 1800, 2400}, []plane.Span{win(900, 1100), win(1050, 1300), win(900, 1080), win(900, 1100)}, 1000, []line{{y: 1050, x0: 599, x1: 2401}}},
		{"three", []float64{600, 1200, 1800}, []plane.Span{win(900, 1100)}, 1000, nil},
		{"a gap of 1.6 pitches and more", []float64{600, 1200, 2161, 2761}, []plane.Span{win(900, 1100)}, 1000, nil},
		{"a gap of less", []float64{600, 1200, 2159, 2759}, []plane.Span{win(900, 1100)}, 1000, []line{{y: 1000, x0: 599, x1: 2760}}},
		{"windows apart", []float64{600, 1200, 1800, 2400}, []plane.Span{win(900, 1000), win(1001, 1100), win(900, 1000), win(1001, 1100)}, 950, nil},
		{"on top of a line of the field", []float64{600, 1200, 1800, 2400}, []plane.Span{win(900, 1100)}, 2900, nil},
	} {
		f := fieldOn(t, flat(plane.Rect(0, 0, 6000, 4000)))
		f.lines = []line{{y: 3000, x0: math.Inf(-1), x1: math.Inf(1)}}
		var asks []demand
		for i, x := range c.xs {
			f.cols = append(f.cols, &column{x: x})
			w := c.wins[min(i, len(c.wins)-1)]
			if c.at > 2000 {
				w = win(c.at-100, c.at+100)
			}
			asks = append(asks, demand{col: i, win: w, at: c.at})
		}
		got := f.localLines(asks)
		ok := len(got) == len(c.want)
		for i := 0; ok && i < len(got); i++ {
			ok = got[i] == c.want[i]
		}
		if !ok {
			t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
		}
	}
	// A column in the way of the stringer.
	f := fieldOn(t, flat(plane.Rect(0, 0, 6000, 4000), plane.Rect(1400, 900, 1600, 1100)))
	var asks []demand
	for i, x := range []float64{600, 1200, 1800, 2400} {
		f.cols = append(f.cols, &column{x: x})
		asks = append(asks, demand{col: i, win: win(900, 1100), at: 1000})
	}
	if got := f.localLines(asks); len(got) > 0 {
		t.Errorf("a line through a column: %+v", got)
	}
}

// Sheets of a slab whose right border slants from (6000, 0) to (4800, 1200) and
// goes on straight up.
func TestCutSheet(t *testing.T) {
	f := fieldOn(t, flat(plane.Ring{{0, 0}, {6000, 0}, {4800, 1200}, {4800, 4000}, {0, 4000}}))
	for _, c := range []struct {
		name           string
		x0, x1, y0, y1 float64
		cut            bool
		area           float64 // mm2
	}{
		{"whole", 0, 2400, 0, 1200, false, 2400 * 1200},
		{"shorter than a sheet", 0, 2000, 0, 1200, true, 2000 * 1200},
		{"over the slant", 3600, 6000, 0, 1200, true, (2400 + 1200) / 2 * 1200},
		{"past the straight border", 3600, 6000, 1200, 2400, true, 1200 * 1200},
		{"past the upper border", 0, 2400, 3600, 4800, true, 2400 * 400},
		{"whole, from a joist 40 mm past the border", -40, 2360, 0, 1200, false, 2400 * 1200},
	} {
		got, err := f.cutSheet(c.x0, c.x1, c.y0, c.y1, plane.Span{A: 0, B: 6000})
		if err != nil || len(got) != 1 {
			t.Errorf("%s: %v %v", c.name, got, err)
			continue
		}
		if got[0].cut != c.cut {
			t.Errorf("%s: cut %v", c.name, got[0].cut)
		}
		near(t, c.name, got[0].shape.Area(), c.area, 1e-6)
	}
	if got, err := f.cutSheet(4900, 6000, 2400, 3600, plane.Span{A: 0, B: 4800}); err != nil || len(got) > 0 {
		t.Errorf("a sheet off the deck: %v %v", got, err)
	}
}

// Lines are named A .. Z, AA ..., as spreadsheets name their columns.
func TestLetters(t *testing.T) {
	for n, want := range map[int]string{0: "A", 1: "B", 25: "Z", 26: "AA", 27: "AB", 51: "AZ", 52: "BA", 701: "ZZ", 702: "AAA"} {
		if got := letters(n); got != want {
			t.Errorf("line %d is %s, want %s", n, got, want)
		}
	}
	for n, want := range map[int]string{1: "I", 2: "II", 4: "IV", 5: "V", 9: "IX", 14: "XIV", 18: "XVIII", 29: "XXIX"} {
		if got := roman(n); got != want {
			t.Errorf("field %d is %s, want %s", n, got, want)
		}
	}
	for i, names := 1, []string{"A", "B", "Z", "AA", "AB", "BA", "joist"}; i < len(names); i++ {
		if !order2(names[i-1], names[i]) || order2(names[i], names[i-1]) {
			t.Errorf("%s comes before %s", names[i-1], names[i])
		}
	}
	if y := lineY(lineKey("IV", -1234.5)); y != -1234.5 {
		t.Errorf("a line key gives %g", y)
	}
}

// Thirty lines handed over in disorder, field II first: A to Z, AA to AD from
// field I up; stringers and props by their place along the line, props under
// joists apart.
func TestNumber(t *testing.T) {
	d := &deck.Deck{Fields: []deck.Field{{Name: "I", Joists: 90}, {Name: "II", Joists: 90}}}
	add := func(field string, y float64) {
		key := lineKey(field, y)
		for _, x := range []float64{3000, 0} {
			d.Stringers = append(d.Stringers, deck.Member{Field: field, Line: key, From: plane.Point{x, y}, To: plane.Point{x + 3000, y}})
		}
		for _, x := range []float64{5500, 300, 3000} {
			d.Props = append(d.Props, deck.Prop{Line: key, At: plane.Point{x, y}})
		}
	}
	for i := 14; i >= 0; i-- {
		add("II", 100*float64(i))
		add("I", 100*float64(i)-50)
	}
	d.Props = append([]deck.Prop{{Line: "joist", At: plane.Point{9, 9}}, {Line: "joist", At: plane.Point{5, 9}}}, d.Props...)
	number(&Input{}, d)
	for i := range 30 {
		name := letters(i)
		y := 100*float64(i) - 50 // field I: lines 0 to 14
		if i >= 15 {
			y = 100 * float64(i-15)
		}
		for k, x := range []float64{0, 3000} {
			if s := d.Stringers[2*i+k]; s.ID != fmt.Sprintf("%s/%d", name, k+1) || s.Line != name || s.From != (plane.Point{x, y}) {
				t.Errorf("stringer %d of line %s at %g, %g: %+v", k+1, name, x, y, s)
			}
		}
		for k, x := range []float64{300, 3000, 5500} {
			if p := d.Props[3*i+k]; p.ID != fmt.Sprintf("%s-%d", name, k+1) || p.Line != name || p.At != (plane.Point{x, y}) {
				t.Errorf("prop %d of line %s at %g, %g: %+v", k+1, name, x, y, p)
			}
		}
	}
	if d.Stringers[52].Line != "AA" {
		t.Errorf("line 27 is %s", d.Stringers[52].Line)
	}
	if p := d.Props[90]; p.ID != "P1" || p.At[0] != 5 {
		t.Errorf("props under joists come last: %+v", p)
	}
}

// Two that need each other's neighbour: marks 0 and 4 m are graded, and at most
// 1.5 m apart there must be two more between.
func TestGradeEvery(t *testing.T) {
	f := &field{k: handKit()}
	f.k.sys.InterHead, f.k.sys.GradeSpacing = "head", 1.5
	var xs []prop
	for x := 0.0; x <= 4000; x += 500 {
		xs = append(xs, prop{x: x, grade: x == 0 || x == 4000})
	}
	f.gradeEvery(xs)
	last := 0.0
	n := 0
	for _, p := range xs {
		if p.grade {
			n++
			if p.x-last > 1500+250 { // props stand every 500 mm: the nearest to a third of 4 m
				t.Errorf("graded at %g and %g", last, p.x)
			}
			last = p.x
		}
	}
	if n != 4 { // 4 m over 1.5 m: three gaps
		t.Errorf("%d are graded", n)
	}
	f.k.sys.InterHead = ""
	f.gradeEvery(xs)
	for _, p := range xs {
		if !p.grade {
			t.Error("where none is hung later all are graded")
		}
	}
}

// How far in the first prop may stand from the first of joists 600 mm apart at
// 6 kN, by 0.75 M: 6 x 0.5 = 3.0 at 500 mm; 6 (0.8 + 0.2) = 6.0 at 800 mm.
func TestEndReach(t *testing.T) {
	var on []contact
	for x := 0.0; x < 4000; x += 600 {
		on = append(on, contact{x: x, load: 6000})
	}
	for _, c := range []struct{ moment, want float64 }{{3000, 500}, {6000, 800}, {2999, 475}, {0, 0}} {
		f := &field{k: handKit()}
		f.k.strRes.Moment = quantity.Moment(c.moment / 0.75)
		f.k.choice.EdgeOfStand = 0
		near(t, "from the left", f.k.tip(on, false), c.want, 1e-9)
		near(t, "from the right", f.k.tip(on, true), c.want, 1e-9)
	}
}
