package layout

import (
	"math"
	"sync"
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/member"
	"shoreward/internal/plane"
	"shoreward/internal/price"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// The kit of these tests: round figures that no catalogue has. Loads 8.0 kN/m2
// under the slab (7.5 of it placed) and 3.0 in the working strip; deflection
// L/360. Joists and stringers are 80 x 200 mm, sheets 2400 x 1200 x 20 mm.
func handKit() *kit {
	length := func(mm float64) catalog.Value[quantity.Length] {
		return catalog.Value[quantity.Length]{V: quantity.Length(mm / 1000), Known: true}
	}
	beam := func(id string, mm float64) stock {
		p := &catalog.Part{ID: id, Kind: catalog.Beam, Length: length(mm), Width: length(80), Depth: length(200)}
		return stock{p, mm, mm / 1000}
	}
	head := &catalog.Part{ID: "head", Kind: catalog.Head, Seat: &catalog.HeadProps{Height: length(80), Beams: 2, SeatLong: length(160), SeatWide: length(160)}}
	prop := &catalog.Part{ID: "prop", Kind: catalog.Prop, Shore: &catalog.PropProps{Longest: length(3500), Shortest: length(2000), HolePitch: length(100), Thread: length(120)}}
	return &kit{
		set:      rules.Settings{DeflectionSpan: 360},
		choice:   job.DeckSettings{Clearance: 0.02, LapMin: 0.3, EdgeOfStand: 0.15, Objective: "pieces"},
		sheet:    &catalog.Part{ID: "sheet", Kind: catalog.Sheet, Length: length(2400), Width: length(1200), Depth: length(20)},
		sheetRes: rules.SheetResistance{Moment: 1e6, Shear: 1e6, EI: 1e9},
		joists:   []stock{beam("j1800", 1800), beam("j2450", 2450), beam("j3900", 3900)},
		stringers: []stock{
			beam("s1800", 1800), beam("s2450", 2450), beam("s3900", 3900),
		},
		joistRes: strong, strRes: strong,
		prop: prop, joistProp: prop, propLoad: 1e9, grade: head, inter: head, under: head, seatR: 1e9, crossR: 1e9,
		sys:      &catalog.System{},
		cost:     pricer{Pricer: price.Pricer{Objective: price.Pieces}},
		heights:  heights{soffit: 3000, joistTop: 2980, stringerTop: 2780, seat: 2580, joistSeat: 2780},
		strength: 8000, placing: 7500, deflect: 8000, strip: 3000, stripSvc: 3000,
		mu: new(sync.Mutex), overhangs: map[[2]float64]float64{},
	}
}

// strong holds whatever is asked of it, so that a test can let one limit rule.
var strong = rules.BeamResistance{Moment: 1e9, Shear: 1e9, EI: 1e12}

// flat is the site of a slab of one outline on ground, its joists along y.
func flat(outline plane.Ring, blocks ...plane.Ring) *deck.Site {
	slab := []plane.Shape{{Outer: outline}}
	s := &deck.Site{Zones: []deck.Zone{{Name: "slab", Shapes: slab, Thickness: 200, Soffit: 3000}}, Slab: slab, OnGround: true}
	for _, b := range blocks {
		s.Blocks = append(s.Blocks, deck.Block{Kind: "column", Name: "C", Ring: b})
	}
	return s
}

type tester interface {
	Helper()
	Errorf(string, ...any)
	Fatalf(string, ...any)
}

func regionOf(t tester, s *deck.Site, k *kit) *region {
	t.Helper()
	r, err := newRegion(s, 0, newFrame(90), k.choice)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return r
}

// fieldOn is an empty field on a site: columns at 600 mm from the left border.
func fieldOn(t tester, s *deck.Site) *field {
	t.Helper()
	k := handKit()
	return &field{k: k, r: regionOf(t, s, k), p: pitchPlan{pitch: 600, sheet: 2400, over: 300, light: 300, rowH: 1200}, solver: member.NewSolver(), name: "I"}
}

// inputFor is what placing parts asks of the job.
func inputFor(s *deck.Site, k *kit) *Input {
	return &Input{Site: s, Catalog: &catalog.Catalog{Parts: map[string]*catalog.Part{k.prop.ID: k.prop}}, System: k.sys}
}

// turned is a rectangle of a x b about a middle, turned by degrees.
func turned(x, y, a, b, deg float64) plane.Ring {
	s, c := math.Sincos(deg * math.Pi / 180)
	return plane.Rect(-a/2, -b/2, a/2, b/2).Map(func(p plane.Point) plane.Point {
		return plane.Point{x + p[0]*c - p[1]*s, y + p[0]*s + p[1]*c}
	})
}

// near compares to a share of what is wanted, or absolutely where that is 0.
func near(t interface {
	Helper()
	Errorf(string, ...any)
}, what string, got, want, share float64) {
	t.Helper()
	if tol := share * math.Max(math.Abs(want), 1); !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.8g, want %.8g", what, got, want)
	}
}

func sameSpans(t *testing.T, what string, got, want plane.Spans, tol float64) {
	t.Helper()
	ok := len(got) == len(want)
	for i := 0; ok && i < len(got); i++ {
		ok = math.Abs(got[i].A-want[i].A) <= tol && math.Abs(got[i].B-want[i].B) <= tol
	}
	if !ok {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}
