package draw

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func near(a, b float64) bool { return math.Abs(a-b) < 1e-9 }

// The length of hatch lines times their pitch tends to the area hatched:
// mechanics of the definition, here a 40 x 30 square with a 10 x 10 hole.
func TestHatchArea(t *testing.T) {
	outer := Box{Point{0, 0}, Point{40, 30}}.Ring()
	hole := Box{Point{15, 10}, Point{25, 20}}.Ring()
	for _, angle := range []float64{0, 30, 45, 90, 137} {
		sum := 0.0
		const pitch = 0.1
		for _, s := range Hatch(angle, pitch, outer, hole) {
			sum += s.B.Sub(s.A).Len()
			mid := s.A.Add(s.B.Sub(s.A).Times(0.5))
			if (Box{Point{15.01, 10.01}, Point{24.99, 19.99}}).Has(mid) {
				t.Fatalf("at %g degrees a line runs through the hole at %v", angle, mid)
			}
		}
		if got := sum * pitch; math.Abs(got-1100) > 5 {
			t.Errorf("at %g degrees: hatched area %.1f, want 1100", angle, got)
		}
	}
	if Hatch(45, 0, outer) != nil {
		t.Error("a hatch without pitch must be empty")
	}
}

func TestClip(t *testing.T) {
	b := Box{Point{0, 0}, Point{10, 10}}
	s, ok := Segment{Point{-5, 5}, Point{15, 5}}.Clip(b)
	if !ok || s.A != (Point{0, 5}) || s.B != (Point{10, 5}) {
		t.Errorf("got %v %v", s, ok)
	}
	if _, ok := (Segment{Point{-5, 12}, Point{15, 12}}).Clip(b); ok {
		t.Error("a line above the box is not in it")
	}
	// an L of area 75 cut at half its height: 10 x 5
	ring := ClipRing([]Point{{0, 0}, {10, 0}, {10, 5}, {5, 5}, {5, 10}, {0, 10}}, Box{Point{-1, -1}, Point{11, 5}})
	area := 0.0
	for _, s := range Sides(ring) {
		area += (s.A.X*s.B.Y - s.B.X*s.A.Y) / 2
	}
	if !near(area, 50) {
		t.Errorf("area of the part is %g, want 50", area)
	}
}

func TestClippedIsInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(-100, 100)
		p := func() Point { return Point{f.Draw(t, "x"), f.Draw(t, "y")} }
		b := BoxOf([]Point{p(), p()})
		s := Segment{p(), p()}
		c, ok := s.Clip(b)
		if ok && (!b.Grow(1e-6).Has(c.A) || !b.Grow(1e-6).Has(c.B)) {
			t.Fatalf("%v cut at %v gives %v", s, b, c)
		}
		if !ok && (b.Grow(-1e-6).Has(s.A) || b.Grow(-1e-6).Has(s.B)) {
			t.Fatalf("%v ends in %v and is cut away", s, b)
		}
	})
}

// Whatever is asked for, no label meets what is taken or another label.
func TestPlacerKeepsClear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(0, 80)
		page := Box{Point{0, 0}, Point{80, 80}}
		pl := NewPlacer(page)
		type bar struct {
			s    Segment
			half float64
		}
		var bars []bar
		for range 5 {
			k := bar{Segment{Point{f.Draw(t, "x"), f.Draw(t, "y")}, Point{f.Draw(t, "x"), f.Draw(t, "y")}}, rapid.Float64Range(0.1, 2).Draw(t, "half")}
			bars = append(bars, k)
			pl.BlockLine(k.s, k.half, false)
		}
		var placed []Box
		for range 20 {
			c := Point{f.Draw(t, "x"), f.Draw(t, "y")}
			wishes := Around(c, 8, 3, 1, 3, 6)
			i := pl.Place(wishes)
			if i < 0 {
				continue
			}
			b := wishes[i]
			if !page.Holds(b) {
				t.Fatalf("%v leaves the page", b)
			}
			for _, o := range placed {
				if o.Overlaps(b) {
					t.Fatalf("%v meets %v", b, o)
				}
			}
			for _, k := range bars {
				if _, meets := k.s.Clip(b); meets {
					t.Fatalf("%v meets the line %v", b, k.s)
				}
			}
			placed = append(placed, b)
		}
	})
}

func TestPlacerPrefersFree(t *testing.T) {
	pl := NewPlacer(Box{Point{0, 0}, Point{100, 100}})
	pl.BlockLine(Segment{Point{0, 10}, Point{100, 10}}, 0.1, true)
	soft, free := BoxAround(Point{50, 10}, 8, 3), BoxAround(Point{50, 30}, 8, 3)
	if i := pl.Place([]Box{soft, free}); i != 1 {
		t.Errorf("took wish %d, want the free one", i)
	}
	if i := pl.Place([]Box{soft, free}); i != 0 {
		t.Errorf("took wish %d, want to cover the soft line when nothing else is left", i)
	}
	if i := pl.Place([]Box{soft, free}); i != -1 {
		t.Errorf("took wish %d, want none: both are taken", i)
	}
}

func TestWrapKeepsWords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`([a-zA-Z0-9≤γ°]{1,30} ){0,12}`).Draw(t, "s")
		width := rapid.Float64Range(5, 60).Draw(t, "width")
		lines := Wrap(s, width, 2.5, false)
		if got, want := strings.ReplaceAll(strings.Join(lines, ""), " ", ""), strings.ReplaceAll(s, " ", ""); got != want {
			t.Fatalf("%q became %q", want, got)
		}
		for _, l := range lines {
			if Width(l, 2.5, false) > width && len([]rune(l)) > 1 {
				t.Fatalf("%q is wider than %g", l, width)
			}
		}
	})
}

func TestSignsTheFaceLacks(t *testing.T) {
	// in the face: the signs that formulas and dimensions need
	const need = "≤≥√Σφγ×′″→Ø²³½⅛·°±–…'\""
	if got := Drawable(need); got != need {
		t.Errorf("the face lacks signs: %q became %q", need, got)
	}
	if got := Drawable("a漢\U0001F600b\x00\n"); got != "a??b " {
		t.Errorf("got %q", got)
	}
}

func TestPDFWithOddText(t *testing.T) {
	p := &Page{W: 100, H: 100}
	p.Write(Text{At: Point{10, 10}, Size: 3, Str: "\U0010FFFF\x00 (\\) \xff"})
	p.Line(Thin)
	p.Line(Thin, Point{1, 1})
	p.Shape(None, nil)
	if _, err := (&Document{Title: "x\U0001F600", Pages: []*Page{p}}).PDF(); err != nil {
		t.Error(err)
	}
}

func TestLinksMustLead(t *testing.T) {
	p := &Page{W: 100, H: 100, Links: []Link{{To: "nowhere"}}}
	if _, err := (&Document{Pages: []*Page{p}}).PDF(); err == nil || !strings.Contains(err.Error(), "nowhere") {
		t.Errorf("a link to nowhere: %v", err)
	}
	q := &Page{W: 100, H: 100, Anchors: []Anchor{{Name: "a"}, {Name: "a"}}}
	if _, err := (&Document{Pages: []*Page{q}}).PDF(); err == nil {
		t.Error("an anchor that is there twice must be an error")
	}
}

func TestSVGIsXML(t *testing.T) {
	p := &Page{W: 100, H: 80}
	p.Line(GridPen, Point{0, 0}, Point{10, 10})
	p.Shape(Medium, &Concrete, Box{Point{0, 0}, Point{5, 5}}.Ring())
	p.Disc(Thin, nil, Point{50, 40}, 3)
	p.Write(Text{At: Point{1, 2}, Size: 3, Angle: 90, Bold: true, Str: `a < b & "c"`})
	d := xml.NewDecoder(bytes.NewReader(p.SVG()))
	seen := map[string]int{}
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if e, ok := tok.(xml.StartElement); ok {
			seen[e.Name.Local]++
		}
		if c, ok := tok.(xml.CharData); ok && strings.Contains(string(c), `a < b & "c"`) {
			seen["the text"]++
		}
	}
	for _, want := range []string{"svg", "circle", "text", "the text"} {
		if seen[want] != 1 {
			t.Errorf("%s: %d times", want, seen[want])
		}
	}
	if seen["path"] != 2 {
		t.Errorf("paths: %d, want 2", seen["path"])
	}
}
