package plane

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if math.Abs(got-want) > tol {
		t.Errorf("%s: %g, want %g", what, got, want)
	}
}

// A 10 m square with a 2 m hole, cut by strips: areas by arithmetic.
func TestSetOperations(t *testing.T) {
	square := Shape{Outer: Rect(0, 0, 10000, 10000), Holes: []Ring{Rect(4000, 4000, 6000, 6000)}}
	near(t, "area", square.Area(), 96e6, 1)
	strip := []Shape{{Outer: Rect(-1000, 3000, 11000, 5000)}}
	in, err := Intersection([]Shape{square}, strip)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "intersection", Area(in), 20e6-2e6, 1)
	out, err := Difference([]Shape{square}, strip)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "difference", Area(out), 96e6-18e6, 1)
	all, err := Union(append(strip, square))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "union", Area(all), 96e6+2*2e6+2e6, 1)
}

func TestScanAgreesWithArea(t *testing.T) {
	l := Shape{Outer: Ring{{0, 0}, {9000, 0}, {7000, 3000}, {3000, 3000}, {3000, 8000}, {0, 8000}}, Holes: []Ring{Rect(500, 500, 1500, 2500)}}
	sum := 0.0
	for y := 2.5; y < 8000; y += 5 {
		sum += Scan([]Shape{l}, y).Total() * 5
	}
	near(t, "strip sums", sum, l.Area(), l.Area()*1e-4)
}

func TestSpans(t *testing.T) {
	a := Spans{{0, 10}, {20, 30}}
	b := Spans{{5, 22}, {29, 40}}
	near(t, "overlap", Overlap(a, b).Total(), 5+2+1, 1e-9)
	near(t, "minus", Minus(a, b).Total(), 20-8, 1e-9)
	near(t, "merge", Merge(append(append(Spans(nil), b...), a...), 0).Total(), 40, 1e-9)
	if _, ok := a.Around(15); ok {
		t.Error("15 lies in no span")
	}
	if s, ok := a.Around(25); !ok || s != (Span{20, 30}) {
		t.Error("25 lies in the second span")
	}
}

func TestInHull(t *testing.T) {
	feet := []Point{{0, 0}, {0, 1000}, {1000, 0}}
	if !InHull(feet, Point{300, 300}, 1) {
		t.Error("inside the triangle")
	}
	if InHull(feet, Point{700, 700}, 1) {
		t.Error("outside the triangle though inside its box")
	}
	if InHull(nil, Point{}, 1) {
		t.Error("nothing holds nothing")
	}
}

func TestHull(t *testing.T) {
	got := Hull([]Point{{0, 0}, {4, 0}, {2, 1}, {4, 3}, {0, 3}, {2, 0}, {4, 3}})
	want := Ring{{0, 0}, {4, 0}, {4, 3}, {0, 3}}
	if len(got) != len(want) {
		t.Fatal(got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Fatal(got)
		}
	}
}
