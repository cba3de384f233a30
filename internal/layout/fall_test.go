package layout

import (
	"strings"
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/rules"
)

// A slope of 3 in 4 along x, for round figures: 4 in plan are 5 in the slope, and 100 mm
// square to it 125 plumb. The wedge on a head of 160 by 160 mm: 10 + 0.75 x 226.3/2 = 94.9,
// sawn to 95 mm.
var threeInFour = &deck.Fall{Rise: [2]float64{-0.75, 0}}

// By hand: under a soffit at 3000 mm lie 20 + 200 + 200 mm of deck, 525 mm plumb, 95 mm
// of wedge and 80 mm of head: 2300 mm of prop. One that stands 1000 mm down the slope, 800
// mm in plan, is 600 mm shorter.
func TestSettingsDownASlope(t *testing.T) {
	k := handKit()
	k.slope = &slope{Fall: threeInFour, high: 3000, low: 2000}
	if got := k.setting(k.grade, k.heights.seat); got != 2300 {
		t.Errorf("the longest prop is %g mm, not 2300", got)
	}
	site := &deck.Site{Fall: threeInFour, Zones: []deck.Zone{{Name: "slab", Soffit: 3000}}}
	in := &Input{Site: site.FlatSite(), System: &catalog.System{Props: []string{"prop"}},
		Catalog: &catalog.Catalog{Parts: map[string]*catalog.Part{"prop": k.prop, "head": k.grade}}}
	d := in.Tilted(site, &deck.Deck{Props: []deck.Prop{
		{ID: "high", Part: "prop", Head: "head", At: plane.Point{0, 500}, Seat: 2580, Length: 2300},
		{ID: "mid", Part: "prop", Head: "head", At: plane.Point{300, 500}, Seat: 2580, Length: 2300},
	}})
	for i, want := range []struct{ x, seat, length, thread float64 }{{0, 2475, 2300, 0}, {240, 2295, 2120, 20}} {
		p := d.Props[i]
		if p.At[0] != want.x || p.Seat != want.seat || p.Length != want.length || p.Taper != 95 || p.Thread != want.thread {
			t.Errorf("%s: %+v, want %+v", p.ID, p, want)
		}
	}
}

// Members of 80 by 200 mm lean by 200 mm times the slope across them, at most 20 mm: at 8 % both
// directions of joists do, at 12 % one of them always leans too far; aslant by 45° each
// has 0.7 of it across.
func TestUpright(t *testing.T) {
	for _, c := range []struct {
		rise [2]float64
		dirs int
	}{{[2]float64{0.08, 0}, 2}, {[2]float64{0.10, 0}, 2}, {[2]float64{0.12, 0}, 0}, {[2]float64{0.085, -0.085}, 2}} {
		k := handKit()
		k.slope = &slope{Fall: &deck.Fall{Rise: c.rise}}
		got, err := k.upright([]float64{0, 90})
		if len(got) != c.dirs || (err == nil) != (c.dirs > 0) {
			t.Errorf("%v: %v, %v", c.rise, got, err)
		}
		if err != nil && !strings.Contains(err.Error(), "lean over further") {
			t.Error(err)
		}
	}
}

// Up to 1 % a head takes a member without a wedge.
func TestTaper(t *testing.T) {
	head := handKit().grade
	for rise, want := range map[float64]float64{0.01: 0, 0.011: 12, 0.05: 16} { // 10 + 226.3/2 times the slope, sawn up to a whole mm
		if got := taper(head, &deck.Fall{Rise: [2]float64{0, rise}}); got != want {
			t.Errorf("at %g: %g mm, not %g", rise, got, want)
		}
	}
	if rules.TaperFrom != 0.01 {
		t.Error("the slope from which wedges are needed is another now")
	}
}

// No joist is longer than a stock length: where the place is, the longest lies in its
// middle.
func TestFitIsNoLongerThanStock(t *testing.T) {
	f := &field{k: handKit()}
	if j := f.fit(0, 4000, 0, 4000); j.y0 != 50 || j.y1 != 3950 || j.stock.len != 3900 || len(f.lost) != 1 {
		t.Errorf("%+v, lost %v", j, f.lost)
	}
	if j := f.fit(100, 2000, 0, 4000); j.y1-j.y0 != 2450 || j.sawn {
		t.Errorf("%+v", j)
	}
}
