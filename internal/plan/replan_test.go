package plan

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/plane"
)

// replanned plans a job, then a changed one from it.
func replanned(t *testing.T, before, after string) (old, now *deck.Document, starts []Start) {
	t.Helper()
	j, cat := loadText(t, before)
	old, err := Run(j, cat, nil)
	if err != nil {
		t.Fatal(err)
	}
	now, starts = again(t, after, cat, old)
	return old, now, starts
}

func again(t *testing.T, text string, cat *catalog.Catalog, old *deck.Document) (*deck.Document, []Start) {
	t.Helper()
	var j *job.Job
	j, cat = loadText(t, text)
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
	if far < len(a) {
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

func TestOpeningMoved(t *testing.T) {
	before := floorJob(1000)
	i := strings.Index(before, "            - [[")
	k := i + strings.Index(before[i:], "\n")
	first := strings.TrimSpace(before[i:k])
	var x0, y0, x1, y1 float64
	if _, err := fmt.Sscanf(first, "- [[%f, %f], [%f, %f], [%f, %f]", &x0, &y0, &x1, &y0, &x1, &y1); err != nil {
		t.Fatal(first, err)
	}
	for _, by := range [][2]float64{{0.3, 0}, {0, 0.3}, {-0.3, 0}, {0, -0.3}, {0.8, 0.5}} {
		t.Run(fmt.Sprint(by), func(t *testing.T) {
			moved := fmt.Sprintf("            - [[%.2f, %.2f], [%.2f, %.2f], [%.2f, %.2f], [%.2f, %.2f]]",
				x0+by[0], y0+by[1], x1+by[0], y0+by[1], x1+by[0], y1+by[1], x0+by[0], y1+by[1])
			old, now, starts := replanned(t, before, before[:i]+moved+before[k:])
			if starts[0].Afresh != "" {
				t.Fatal(starts[0])
			}
			untouched(t, &old.Pours[0].Deck, &now.Pours[0].Deck, []plane.Box{
				{X0: x0 * 1000, Y0: y0 * 1000, X1: x1 * 1000, Y1: y1 * 1000},
				{X0: (x0 + by[0]) * 1000, Y0: (y0 + by[1]) * 1000, X1: (x1 + by[0]) * 1000, Y1: (y1 + by[1]) * 1000}}, 3000)
		})
	}
}

func TestNothingChanged(t *testing.T) {
	for _, area := range []float64{100, 1000} {
		old, now, _ := replanned(t, floorJob(area), floorJob(area))
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
