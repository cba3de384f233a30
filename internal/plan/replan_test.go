package plan

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"shoreward/internal/change"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

func again(t *testing.T, text string, old *deck.Document) (*deck.Document, []Start) {
	t.Helper()
	j, cat := loadText(t, text)
	now, starts, err := RunFrom(j, cat, old, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range now.Pours {
		if p := &now.Pours[i]; p.Refused != "" || p.Summary.Failed > 0 {
			t.Errorf("pour %s: refused %q, %d fail, start %+v", p.Name, p.Refused, p.Summary.Failed, starts[i])
			for _, f := range p.Audit.Findings {
				if f.Fails {
					t.Logf("  %s at %.0f: %s", f.Member, f.At, f.What)
				}
			}
		}
	}
	return now, starts
}

// printed is every part of a deck by what it is and where, with its name.
func printed(d *deck.Deck) map[string]deck.Ring {
	out := map[string]deck.Ring{}
	for _, s := range d.Sheets {
		out[fmt.Sprint("sheet ", s)] = s.Shape.Outer
	}
	for _, m := range d.Joists {
		out[fmt.Sprint("joist ", m)] = deck.Ring{m.From, m.To}
	}
	for _, m := range d.Stringers {
		out[fmt.Sprint("stringer ", m)] = deck.Ring{m.From, m.To}
	}
	for _, p := range d.Props {
		out[fmt.Sprint("prop ", p)] = deck.Ring{p.At}
	}
	return out
}

// farther reports whether all of a part lies farther than a distance from boxes.
func farther(part deck.Ring, boxes []plane.Box, distance float64) bool {
	for _, b := range boxes {
		c := part.Bounds()
		dx := math.Max(0, math.Max(b.X0-c.X1, c.X0-b.X1))
		dy := math.Max(0, math.Max(b.Y0-c.Y1, c.Y0-b.Y1))
		if math.Hypot(dx, dy) <= distance {
			return false
		}
	}
	return true
}

// untouched wants every part of either deck that is farther than the distance
// from the change to be in both, to the letter.
func untouched(t *testing.T, old, now *deck.Deck, boxes []plane.Box, distance float64) {
	t.Helper()
	a, b := printed(old), printed(now)
	far, lost := 0, 0
	for _, pair := range []struct {
		in, other map[string]deck.Ring
		what      string
	}{{a, b, "is gone or changed"}, {b, a, "is new"}} {
		for part, ring := range pair.in {
			if !farther(ring, boxes, distance) {
				continue
			}
			far++
			if _, ok := pair.other[part]; !ok {
				lost++
				if lost <= 12 {
					t.Errorf("%.1f m or more from the change %s: %.150s", distance/1000, pair.what, part)
				}
			}
		}
	}
	if far < len(a)/2 {
		t.Errorf("only %d parts in two decks of %d lie so far off: the test says little", far, len(a))
	}
	same := 0
	for part := range a {
		if _, ok := b[part]; ok {
			same++
		}
	}
	t.Logf("%d of %d parts the same, %d now", same, len(a), len(b))
}

// movedOpening moves the first opening of a floor job and makes it wider to the
// right, m, and gives the boxes of the old and the new place, mm.
func movedOpening(tb testing.TB, text string, dx, dy, wider float64) (moved string, was, is plane.Box) {
	tb.Helper()
	i := strings.Index(text, "            - [[")
	k := i + strings.Index(text[i:], "\n")
	var x0, y0, x1, y1 float64
	if _, err := fmt.Sscanf(strings.TrimSpace(text[i:k]), "- [[%f, %f], [%f, %f], [%f, %f]", &x0, &y0, &x1, &y0, &x1, &y1); err != nil {
		tb.Fatal(text[i:k], err)
	}
	is = plane.Box{X0: x0 + dx, Y0: y0 + dy, X1: x1 + dx + wider, Y1: y1 + dy}
	line := fmt.Sprintf("            - [[%.2f, %.2f], [%.2f, %.2f], [%.2f, %.2f], [%.2f, %.2f]]", is.X0, is.Y0, is.X1, is.Y0, is.X1, is.Y1, is.X0, is.Y1)
	mm := func(b plane.Box) plane.Box {
		return plane.Box{X0: b.X0 * 1000, Y0: b.Y0 * 1000, X1: b.X1 * 1000, Y1: b.Y1 * 1000}
	}
	return text[:i] + line + text[k:], mm(plane.Box{X0: x0, Y0: y0, X1: x1, Y1: y1}), mm(is)
}

func TestOpeningMoved(t *testing.T) {
	before := floorJob(1000)
	old := planned(t, before)
	for _, by := range [][3]float64{{0.3, 0, 0}, {0, -0.3, 0}, {0.8, 0.5, 0}, {0, 0, 0.9}} {
		t.Run(fmt.Sprint(by), func(t *testing.T) {
			after, was, is := movedOpening(t, before, by[0], by[1], by[2])
			now, starts := again(t, after, old)
			if starts[0].Afresh != "" {
				t.Fatal(starts[0])
			}
			untouched(t, &old.Pours[0].Deck, &now.Pours[0].Deck, []plane.Box{was, is}, 3000)
		})
	}
}

const barn = groundFloor + `      - name: L1
        slab:
          outline: [[0, 0], [X, 0], [X, Y], [0, Y]]
          thickness: THICK mm
          openings: [[[9, 3], [11.4, 3], [11.4, 5.2], [9, 5.2]]]
    columns: [{at: [4, 4.5], size: [400 mm, 400 mm]}, {at: [12.8, 4.5], size: [400 mm, 400 mm]}, {at: [4, 7.5], size: [400 mm, 400 mm]}, {at: [12.8, 7.5], size: [400 mm, 400 mm]}]
`

// floorOf is the floor of a size and thickness.
func floorOf(x, y, thick string) string {
	return strings.NewReplacer("X", x, "Y", y, "THICK", thick).Replace(barn)
}

func TestEdgeGrown(t *testing.T) {
	old := planned(t, floorOf("18", "14", "220"))
	for _, c := range []struct {
		name, x, y string
		band       plane.Box // what is new, mm
		dear       bool      // to keep it may cost more than is borne
	}{
		{"to the right by 300 mm", "18.3", "14", plane.Box{X0: 18000, Y0: 0, X1: 18300, Y1: 14000}, false},
		{"to the right by 2 m", "20", "14", plane.Box{X0: 18000, Y0: 0, X1: 20000, Y1: 14000}, false},
		// A row of short joists along the whole edge: a fresh deck has longer ones.
		{"up by 2 m", "18", "16", plane.Box{X0: 0, Y0: 14000, X1: 18000, Y1: 16000}, true},
		{"back on the right by 500 mm", "17.5", "14", plane.Box{X0: 17500, Y0: 0, X1: 18000, Y1: 14000}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			now, starts := again(t, floorOf(c.x, c.y, "220"), old)
			if why := starts[0].Afresh; c.dear && strings.Contains(why, "% more, and up to") {
				was, is := old.Pours[0].Summary, now.Pours[0].Summary
				if is.Cost/is.Area > was.Cost/was.Area*1.05 {
					t.Errorf("%s, but the fresh deck costs %.2f by the m2, the earlier one %.2f", why, is.Cost/is.Area, was.Cost/was.Area)
				}
				return
			} else if why != "" {
				t.Fatal(starts[0])
			}
			// The joists along the edge hand more to the line that they come from: it may
			// need a prop more, a joist's length off.
			off := 3000.0
			if c.dear {
				off = 4000
			}
			untouched(t, &old.Pours[0].Deck, &now.Pours[0].Deck, []plane.Box{c.band}, off)
		})
	}
}

// A slab that is a little thicker (1 %: decks are planned to what parts may carry)
// stands on the same parts at another height; one
// that is much thicker cannot, and that is said.
func TestThickerSlab(t *testing.T) {
	old := planned(t, floorOf("14", "8", "220"))
	for thick, afresh := range map[string]bool{"222": false, "500": true} {
		now, starts := again(t, floorOf("14", "8", thick), old)
		c := change.Pours(&old.Pours[0], &now.Pours[0])
		t.Logf("%s mm: %s; %+v", thick, c.Counts, starts[0])
		if (starts[0].Afresh != "") != afresh {
			t.Errorf("%s mm thick: laid afresh %q, want %t", thick, starts[0].Afresh, afresh)
		}
		if !afresh && (len(c.Removed) > c.Counts.Of/20 || c.Counts.Kept < c.Counts.Of*9/10 || c.Counts.Reset < c.Counts.Kept/2) {
			t.Errorf("%s mm thick: %s", thick, c.Counts)
		}
	}
}

// A prop that comes late is exchanged where it stands.
func TestPropForbiddenLate(t *testing.T) {
	before := floorOf("18", "14", "220")
	old := planned(t, before)
	now, starts := again(t, before+"pins: [{pour: L1, kind: forbid, part: prop-e30}]\n", old)
	was := map[string]int{}
	for _, p := range old.Pours[0].Deck.Props {
		was[p.Part]++
	}
	if was["prop-e30"] == 0 {
		t.Fatalf("the floor stands on %v: this test needs another prop", was)
	}
	for _, p := range now.Pours[0].Deck.Props {
		if p.Part == "prop-e30" {
			t.Fatalf("prop %s is the forbidden one", p.ID)
		}
	}
	c := change.Pours(&old.Pours[0], &now.Pours[0])
	t.Logf("%s; %+v", c.Counts, starts[0])
	if starts[0].Afresh == "" && c.Counts.Exchanged < len(old.Pours[0].Deck.Props)*9/10 {
		t.Errorf("%s", c.Counts)
	}
}

// Where beams carry less than when the earlier plan was made, the same job is not the
// same deck: it is strengthened or laid afresh, as a job without an earlier plan is.
func TestWeakerCatalogue(t *testing.T) {
	text := floorOf("18", "14", "220")
	old := planned(t, text)
	for _, by := range []float64{0.9, 0.8} {
		j, cat := loadText(t, text)
		for _, p := range cat.Parts {
			if b := p.IBeam; b != nil {
				b.Mk.V *= quantity.Moment(by)
				b.Vk.V *= quantity.Force(by)
				b.Rk.V *= quantity.Force(by)
			}
		}
		now, starts, err := RunFrom(j, cat, old, nil)
		if err != nil {
			t.Fatal(err)
		}
		if p := &now.Pours[0]; p.Refused != "" || p.Summary.Failed > 0 {
			t.Errorf("beams of %g of their strength: refused %q, %d fail, start %+v", by, p.Refused, p.Summary.Failed, starts[0])
		}
	}
}

func TestNothingChanged(t *testing.T) {
	for _, area := range []float64{100, 1000} {
		old := planned(t, floorJob(area))
		now, _ := again(t, floorJob(area), old)
		a, err := JSON(old)
		if err != nil {
			t.Fatal(err)
		}
		b, err := JSON(now)
		if err != nil {
			t.Fatal(err)
		}
		if string(a) != string(b) {
			t.Error("the same job planned again gives another plan")
		}
	}
}

const tower = metricJob + `rules: {ground: 200 kN/m2}
levels:
  - {name: L1, top: 3.2, base: 0, pours: [{name: L1, slab: {outline: [[0, 0], [14, 0], [14, 9], [0, 9]], thickness: 220 mm, openings: [[[9, 3], [11, 3], [11, 5], [9, 5]]]}}], columns: [{at: [4, 4.5], size: [400 mm, 400 mm]}, {at: [12.5, 4.5], size: [400 mm, 400 mm]}]}
  - {name: L2, top: 6.2, base: L1, pours: [{name: L2, slab: {outline: [[0, 0], [14, 0], [14, 9], [0, 9]], thickness: 220 mm, openings: [[[9, 3], [11, 3], [11, 5], [9, 5]]]}}], columns: [{at: [4, 4.5], size: [400 mm, 400 mm]}, {at: [12.5, 4.5], size: [400 mm, 400 mm]}]}
  - {name: L3, top: TOP, base: L2, pours: [{name: L3, slab: {outline: [[0, 0], [14, 0], [14, 9], [0, 9]], thickness: 220 mm, openings: [[[9, 3], [11, 3], [11, 5], [9, 5]]]}}], columns: [{at: [4, 4.5], size: [COLUMN, 400 mm]}, {at: [12.5, 4.5], size: [400 mm, 400 mm]}]}
`

// A floor that is alike in plan is laid as the one below, prop over prop, at its
// own height; one where a column differs follows it everywhere else.
func TestFloorsOverEachOther(t *testing.T) {
	for _, c := range []struct {
		top, column, laidAs, follows string
		share                        float64
	}{
		{"9.25", "400 mm", "L2", "", 0.999},
		{"9.4", "600 mm", "", "L2", 0.9},
	} {
		doc := planned(t, strings.NewReplacer("TOP", c.top, "COLUMN", c.column).Replace(tower))
		l2, l3 := &doc.Pours[1], &doc.Pours[2]
		if l3.Refused != "" || l3.Summary.Failed > 0 {
			t.Fatalf("%q, %d fail", l3.Refused, l3.Summary.Failed)
		}
		if l3.LaidAs != c.laidAs || l3.Follows != c.follows {
			t.Errorf("laid as %q, follows %q; want %q, %q", l3.LaidAs, l3.Follows, c.laidAs, c.follows)
		}
		over := l3.Summary.PropsOver
		if over == nil || *over < c.share {
			t.Errorf("share of props over props %v, want %g", over, c.share)
		}
		if doc.Pours[0].Summary.PropsOver != nil {
			t.Error("a pour on the ground has props over props")
		}
		d := change.Pours(l2, l3)
		t.Logf("top %s, column %s: %s; over props %.3f", c.top, c.column, d.Counts, *over)
		if c.laidAs != "" && (d.Counts.Moved+d.Counts.Added+d.Counts.Removed+d.Counts.Exchanged > 0 || d.Counts.Reset < d.Counts.Kept/2) {
			t.Errorf("not as the floor below: %s", d.Counts)
		}
	}
}

// Whatever the order in which pours come to be planned, the plan is the same.
func TestFloorsInAnyOrder(t *testing.T) {
	j, cat := loadText(t, strings.NewReplacer("TOP", "9.4", "COLUMN", "400 mm").Replace(tower))
	var first string
	for range 2 {
		doc, err := Run(j, cat, nil)
		if err != nil {
			t.Fatal(err)
		}
		text, err := JSON(doc)
		if err != nil {
			t.Fatal(err)
		}
		if first == "" {
			first = string(text)
		} else if first != string(text) {
			t.Fatal("two runs differ")
		}
	}
	j.Levels[0], j.Levels[2] = j.Levels[2], j.Levels[0] // from the top down
	doc, err := Run(j, cat, nil)
	if err != nil {
		t.Fatal(err)
	}
	if doc.Pours[0].LaidAs != "L2" {
		t.Errorf("with the levels in another order, L3 is laid as %q", doc.Pours[0].LaidAs)
	}
}
