package site

import (
	"math"
	"strings"
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/plane"
)

const two = `
job: Site test, invented
basis: eu
lengths: m
system: timber-beam
concrete: {strength: 30 MPa}
levels:
  - name: L1
    top: 0 m
    base: -3 m
    pours: [{name: L1-A, slab: {outline: [[0,0],[12,0],[12,8],[0,8]], thickness: 200 mm}}]
  - name: L2
    top: 3 m
    base: L1
    pours:
      - name: L2-A
        slab: {outline: [[0,0],[12,0],[12,8],[0,8]], thickness: 200 mm, openings: [[[2,2],[5,2],[5,5],[2,5]], [[8,2],[8.5,2],[8.5,2.5],[8,2.5]]]}
        drops: [{outline: [[8,4],[10,4],[10,6],[8,6]], thickness: 300 mm}]
    columns: [{at: [9, 5], size: [0.4 m, 0.4 m]}]
    walls: [{from: [0, 0], to: [0, 8], thickness: 0.2 m}]
`

func load(t *testing.T, text string) *job.Job {
	t.Helper()
	j, err := job.Parse("site.yaml", []byte(text), catalog.Load)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func TestSite(t *testing.T) {
	j := load(t, two)
	s, err := New(j, &j.Levels[1], &j.Levels[1].Pours[0])
	if err != nil {
		t.Fatal(err)
	}
	// Net soffit: 96 m2 less openings 9 and 0.25, the column 0.16 and half the wall 0.8.
	if got, want := plane.Area(s.Slab)/1e6, 96-9-0.25-0.16-0.8; math.Abs(got-want) > 1e-6 {
		t.Errorf("soffit %.6f m2, want %.6f", got, want)
	}
	if len(s.Zones) != 2 || s.Zones[1].Soffit != 2700 || s.Zones[0].Soffit != 2800 {
		t.Errorf("zones: %+v", s.Zones)
	}
	// The small opening is decked through, the large one keeps a hole of 3 m less two strips of 0.6 m.
	inner := 0.0
	for _, sh := range s.Strip {
		in, err := plane.Intersection([]plane.Shape{sh}, []plane.Shape{{Outer: plane.Rect(0, 0, 12000, 8000)}})
		if err != nil {
			t.Fatal(err)
		}
		inner += plane.Area(in)
	}
	if want := 0.25e6 + 9e6 - 1.8*1.8*1e6; math.Abs(inner-want) > 1 {
		t.Errorf("strip inside the slab's outline %.0f mm2, want %.0f", inner, want)
	}
	kinds := map[deck.EdgeKind]float64{}
	for _, e := range s.Edges {
		kinds[e.Kind] += math.Hypot(e.To[0]-e.From[0], e.To[1]-e.From[1])
	}
	// The wall covers the west edge, and its thickness the ends of the two beside it.
	if w := kinds[deck.Wall]; math.Abs(w-(8000+2*110)) > 1 {
		t.Errorf("wall edges %.0f mm", w)
	}
	if s.OnGround || len(s.Stand) != 1 || s.BaseZ != 0 {
		t.Errorf("stands on level L1: ground %v, %d shapes, base %g", s.OnGround, len(s.Stand), s.BaseZ)
	}
}

func TestRefusals(t *testing.T) {
	for what, change := range map[string][2]string{
		"past the slab below": {"L1-A, slab: {outline: [[0,0],[12,0],[12,8],[0,8]]", "L1-A, slab: {outline: [[0,0],[9,0],[9,8],[0,8]]"},
	} {
		j := load(t, strings.Replace(two, change[0], change[1], 1))
		_, err := New(j, &j.Levels[1], &j.Levels[1].Pours[0])
		if err == nil || !strings.Contains(err.Error(), what) {
			t.Errorf("%s: %v", what, err)
		}
	}
}

// Two walls 50 mm apart: the slot between them is no place for forms; 80 mm is.
func TestSlots(t *testing.T) {
	wall := func(y float64) deck.Block {
		return deck.Block{Kind: "wall", Ring: plane.Rect(0, y, 3000, y+200)}
	}
	if got := plane.Area(slots([]deck.Block{wall(0), wall(250)})); math.Abs(got-3000*52) > 1 {
		t.Errorf("slot of %.0f mm2", got)
	}
	if got := slots([]deck.Block{wall(0), wall(280)}); len(got) > 0 {
		t.Errorf("a slot 80 mm wide: %v", got)
	}
}

// A thickening at the slab's edge: the edge is cut where it begins and ends, and
// the strip beside it lies at its soffit.
func TestDropAtTheEdge(t *testing.T) {
	j := load(t, strings.Replace(two, "[[8,4],[10,4],[10,6],[8,6]]", "[[8,4],[12,4],[12,6],[8,6]]", 1))
	s, err := New(j, &j.Levels[1], &j.Levels[1].Pours[0])
	if err != nil {
		t.Fatal(err)
	}
	found := false
	for _, e := range s.Edges {
		if e.From[0] > 11999 && e.To[0] > 11999 && s.ZoneBeside(plane.Point{12000, (e.From[1] + e.To[1]) / 2}) == 1 {
			found = true
			if l := math.Hypot(e.To[0]-e.From[0], e.To[1]-e.From[1]); math.Abs(l-2000) > 1 {
				t.Errorf("edge along the thickening %.0f mm", l)
			}
		}
	}
	if !found {
		t.Error("no edge along the thickening")
	}
	// It runs on over the room beside the thickening's sides, 100 - 20 mm each.
	if got, want := plane.Area(s.Zones[1].Strip), (2000+2*80)*600.0; math.Abs(got-want) > 1 {
		t.Errorf("strip beside the thickening %.0f mm2, want %.0f", got, want)
	}
	both := append(append([]plane.Shape{}, s.Zones[0].Strip...), s.Zones[1].Strip...)
	if got := plane.Area(s.Strip); math.Abs(got-plane.Area(both)) > 1 {
		t.Errorf("strip %.0f mm2, its parts %.0f", got, plane.Area(both))
	}
}

// Two beams cross in a flat slab 10 m x 6 m, 200 mm thick, top at 3.0 m: one 400 mm
// wide and 500 deep along y = 3, one 300 wide and 400 deep along x = 4. The deeper
// runs through. All figures by hand.
const crossing = `
job: Beams that cross, invented
basis: eu
lengths: m
system: timber-beam
concrete: {strength: 30 MPa}
levels:
  - name: L
    top: 3 m
    base: 0 m
    pours:
      - name: A
        slab: {outline: [[0,0],[10,0],[10,6],[0,6]], thickness: 200 mm}
        beams: [{from: [4,0], to: [4,6], width: 300 mm, depth: 400 mm}, {from: [0,3], to: [10,3], width: 400 mm, depth: 500 mm}]
deck: {side_room: 120 mm, clearance: 20 mm}
`

func TestBeams(t *testing.T) {
	j := load(t, crossing)
	s, err := New(j, &j.Levels[0], &j.Levels[0].Pours[0])
	if err != nil {
		t.Fatal(err)
	}
	want := []struct {
		name               string
		soffit, area, room float64 // mm, m2, m2
	}{
		{"slab", 2800, 60 - 4 - 0.3*5.6, 0},
		{"beam 2", 2500, 10 * 0.4, 2 * 10 * 0.1},
		{"beam 1", 2600, 0.3 * 5.6, 4 * (2.8 - 0.1) * 0.1}, // stops at the room of the deeper one
	}
	if len(s.Zones) != len(want) {
		t.Fatalf("%d zones", len(s.Zones))
	}
	for i, w := range want {
		z := s.Zones[i]
		if a, r := plane.Area(z.Shapes)/1e6, plane.Area(z.Room)/1e6; z.Name != w.name || z.Soffit != w.soffit || math.Abs(a-w.area) > 1e-6 || math.Abs(r-w.room) > 1e-6 {
			t.Errorf("%s at %.0f mm with %.4f m2 and room of %.4f m2, want %+v", z.Name, z.Soffit, a, r, w)
		}
	}
	// Side forms: along the deeper beam, at the two mouths of the other, along that one.
	sides := map[[3]float64]float64{} // foot, height, head
	for _, f := range s.Sides() {
		sides[[3]float64{f.Foot, f.Height, f.Head}] += math.Hypot(f.To[0]-f.From[0], f.To[1]-f.From[1])
	}
	for k, l := range map[[3]float64]float64{{2500, 300, 500}: 2*10 - 2*0.3, {2500, 100, 500}: 2 * 0.3, {2600, 200, 400}: 2 * 2 * 2.8} {
		if math.Abs(sides[k]-l*1000) > 1 {
			t.Errorf("sides with foot, height, head %v: %.0f mm, want %.0f", k, sides[k], l*1000)
		}
	}
	if len(sides) != 3 || len(s.Risers()) != 0 {
		t.Errorf("sides %v, risers %v", sides, s.Risers())
	}
}

// A part of the slab 80 mm lower, of the slab's thickness: its soffit needs a side
// form 80 mm high under 80 + 200 mm of concrete, the slab's top a riser of 80 mm.
func TestStep(t *testing.T) {
	text := strings.Replace(crossing, "beams: [{from: [4,0], to: [4,6], width: 300 mm, depth: 400 mm}, {from: [0,3], to: [10,3], width: 400 mm, depth: 500 mm}]",
		"steps: [{outline: [[0,0],[3,0],[3,2],[0,2]], rise: -80 mm}]", 1)
	j := load(t, text)
	s, err := New(j, &j.Levels[0], &j.Levels[0].Pours[0])
	if err != nil {
		t.Fatal(err)
	}
	sum := func(faces []deck.Face) (l float64, f deck.Face) {
		for _, f := range faces {
			l += math.Hypot(f.To[0]-f.From[0], f.To[1]-f.From[1])
		}
		return l, faces[0]
	}
	l, f := sum(s.Sides())
	if math.Abs(l-5000) > 1 || f.Low != 1 || f.High != 0 || f.Foot != 2720 || f.Height != 80 || f.Head != 280 {
		t.Errorf("side %.0f mm long, %+v", l, f)
	}
	l, f = sum(s.Risers())
	if math.Abs(l-5000) > 1 || f.Low != 0 || f.High != 1 || f.Foot != 2920 || f.Height != 80 || f.Head != 80 {
		t.Errorf("riser %.0f mm long, %+v", l, f)
	}
}

// Two beams of one depth: the longer runs through, and reaches into the mouths of the
// other by the width of the room beside it, so that its deck is of one width.
func TestBeamsOfOneDepth(t *testing.T) {
	j := load(t, strings.Replace(crossing, "depth: 400 mm", "depth: 500 mm", 1))
	s, err := New(j, &j.Levels[0], &j.Levels[0].Pours[0])
	if err != nil {
		t.Fatal(err)
	}
	if z := s.Zones[1]; z.Name != "beam 2" || math.Abs(plane.Area(z.Shapes)/1e6-(10*0.4+2*0.3*0.1)) > 1e-6 || math.Abs(plane.Area(z.Room)/1e6-2*(10-0.3)*0.1) > 1e-6 {
		t.Errorf("%s: %.4f m2, room %.4f m2", z.Name, plane.Area(z.Shapes)/1e6, plane.Area(z.Room)/1e6)
	}
	if z := s.Zones[2]; math.Abs(plane.Area(z.Shapes)/1e6-0.3*2*(2.8-0.1)) > 1e-6 {
		t.Errorf("%s: %.4f m2", z.Name, plane.Area(z.Shapes)/1e6)
	}
	l := 0.0
	for _, f := range s.Sides() {
		l += math.Hypot(f.To[0]-f.From[0], f.To[1]-f.From[1])
		if f.High != 0 {
			t.Errorf("a side between beams of one depth: %+v", f)
		}
	}
	if want := 2*(10-0.3) + 4*2.8; math.Abs(l/1000-want) > 1e-6 {
		t.Errorf("sides %.3f m, want %.3f", l/1000, want)
	}
}
