package validation

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"shoreward/internal/beam"
)

// Sources of the values in this file.
//
//	CEF     Civil Engineering Formulas, table 2.1, uniformly loaded continuous
//	        beams over equal spans: seen ("read")
//	page    web page of three- and four-span formulas with partial loading; seen
//	DA6     AWC Design Aid No. 6, Beam Formulas: the list of figures was seen, the
//	        values are mechanics ("derived")
//	derived three-moment equation in exact fractions
//
// Values stand as their source prints them; the tolerance is one unit of the
// last printed digit (some sources cut digits off instead of rounding), or
// 1e-9 for fractions.

// printed is a value as printed: "0.0070", "-3/28" or "121/1568".
type printed string

// value and tolerance of a printed number.
func (p printed) value(t *testing.T) (v, tol float64) {
	t.Helper()
	s := string(p)
	if a, b, ok := strings.Cut(s, "/"); ok {
		x, err1 := strconv.ParseFloat(a, 64)
		y, err2 := strconv.ParseFloat(b, 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("bad fraction %q", s)
		}
		return x / y, 1e-9 * math.Abs(x/y)
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatalf("bad number %q", s)
	}
	digits := 0
	if _, frac, ok := strings.Cut(s, "."); ok {
		digits = len(frac)
	}
	return v, math.Pow10(-digits)
}

func (p printed) holds(t *testing.T, what string, got float64) {
	t.Helper()
	if want, tol := p.value(t); !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.8g, want %s", what, got, p)
	}
}

// frame is a beam of the given spans from x = 0, with overhangs, on rigid supports.
func frame(left float64, spans []float64, right float64) beam.Beam {
	b := beam.Beam{Start: -left, EI: 1, Supports: []beam.Support{{}}}
	x := 0.0
	for _, l := range spans {
		x += l
		b.Supports = append(b.Supports, beam.Support{X: x})
	}
	b.End = x + right
	return b
}

func equal(n int) []float64 {
	s := make([]float64, n)
	for i := range s {
		s[i] = 1
	}
	return s
}

// on loads the given spans (counted from 1) with w.
func on(b beam.Beam, w float64, spans ...int) []beam.Load {
	var ls []beam.Load
	for _, k := range spans {
		ls = append(ls, beam.Uniform(b.Supports[k-1].X, b.Supports[k].X, w))
	}
	return ls
}

func throughout(b beam.Beam, w float64) []beam.Load {
	return []beam.Load{beam.Uniform(b.Start, b.End, w)}
}

// at puts point loads of 1 at parts of every span.
func at(b beam.Beam, parts ...float64) []beam.Load {
	var ls []beam.Load
	for k := 1; k < len(b.Supports); k++ {
		x, l := b.Supports[k-1].X, b.Supports[k].X-b.Supports[k-1].X
		for _, p := range parts {
			ls = append(ls, beam.Point(x+p*l, 1))
		}
	}
	return ls
}

// spanMoment is the greatest moment in a span, looked for by sampling and then
// closing in: on purpose not by the solver's own extremes.
func spanMoment(r *beam.Result, from, to float64) float64 {
	const n = 400
	best, at := math.Inf(-1), 0.0
	for i := range n + 1 {
		x := from + (to-from)*float64(i)/n
		if m := r.Moment(x); m > best {
			best, at = m, x
		}
	}
	a, b := math.Max(at-(to-from)/n, from), math.Min(at+(to-from)/n, to)
	for range 200 {
		p, q := a+(b-a)/3, b-(b-a)/3
		if r.Moment(p) < r.Moment(q) {
			a = p
		} else {
			b = q
		}
	}
	return math.Max(best, r.Moment((a+b)/2))
}

// beamCase is one row of a published or derived table, with L, w, P, EI = 1
// unless the beam says otherwise.
type beamCase struct {
	id        string
	source    string
	beam      beam.Beam
	loads     []beam.Load
	reactions []printed          // per support, from the left
	support   []printed          // moments over the supports, from the left
	span      []printed          // greatest moment in each span; "" is not checked
	shear     printed            // greatest
	sags      map[int]printed    // greatest downward deflection of field i (left overhang, spans, right overhang)
	sagAt     map[int][2]float64 // its place and the precision that is printed
	rises     map[int]printed    // greatest upward deflection of field i
}

func beamCases() []beamCase {
	b1, b2, b3, b4, b5 := frame(0, equal(1), 0), frame(0, equal(2), 0), frame(0, equal(3), 0), frame(0, equal(4), 0), frame(0, equal(5), 0)
	b46, b535 := frame(0, []float64{4, 6}, 0), frame(0, []float64{5, 3, 5}, 0)
	b645, b3546 := frame(0, []float64{6, 4, 5}, 0), frame(0, []float64{3, 5, 4, 6}, 0)
	over, both := frame(0, equal(1), 0.4), frame(0.3, equal(1), 0.2)
	long, o3 := frame(0, []float64{1, 1.5}, 0), frame(0.3, equal(3), 0.3)
	even := 1 / math.Sqrt(8)
	f := func(x float64) printed { return printed(strconv.FormatFloat(x, 'f', 12, 64)) }
	return []beamCase{
		// Equal spans, uniform load on all: loads-and-rules section 6.2, rows B01-B05.
		{id: "6.2 one span, B01, F1", source: "mechanics, derived", beam: b1, loads: throughout(b1, 1),
			reactions: []printed{"1/2", "1/2"}, span: []printed{"1/8"}, shear: "1/2",
			sags: map[int]printed{0: "5/384"}, sagAt: map[int][2]float64{0: {0.5, 1e-9}}},
		{id: "6.2 two spans, B02, F29", source: "CEF read; deflection derived", beam: b2, loads: throughout(b2, 1),
			reactions: []printed{"3/8", "5/4", "3/8"}, support: []printed{"0", "-1/8", "0"}, span: []printed{"9/128", "9/128"}, shear: "5/8",
			sags: map[int]printed{0: "0.0054161"}, sagAt: map[int][2]float64{0: {0.4215, 1e-4}}},
		{id: "6.2 three spans, B03, C3a", source: "CEF read; deflection read 0.0069, derived further", beam: b3, loads: throughout(b3, 1),
			reactions: []printed{"2/5", "11/10", "11/10", "2/5"}, support: []printed{"0", "-1/10", "-1/10", "0"}, span: []printed{"2/25", "1/40", "2/25"}, shear: "3/5",
			sags: map[int]printed{0: "0.0068842", 1: "1/1920"}, sagAt: map[int][2]float64{0: {0.4461, 1e-4}}},
		{id: "6.2 four spans, B04, C4a", source: "CEF read; deflection derived", beam: b4, loads: throughout(b4, 1),
			reactions: []printed{"11/28", "8/7", "13/14", "8/7", "11/28"}, support: []printed{"0", "-3/28", "-1/14", "-3/28", "0"},
			span: []printed{"121/1568", "57/1568", "57/1568", "121/1568"}, shear: "17/28",
			sags: map[int]printed{0: "0.0064604"}, sagAt: map[int][2]float64{0: {0.4397, 1e-4}}},
		{id: "6.2 five spans, B05, C5a", source: "CEF read; deflection derived", beam: b5, loads: throughout(b5, 1),
			reactions: []printed{"15/38", "43/38", "37/38", "37/38", "43/38", "15/38"}, support: []printed{"0", "-2/19", "-3/38", "-3/38", "-2/19", "0"},
			span: []printed{"225/2888", "12/361", "7/152", "12/361", "225/2888"}, shear: "23/38",
			sags: map[int]printed{0: "0.0065716"}, sagAt: map[int][2]float64{0: {0.4415, 1e-4}}},

		// Unequal spans and point loads: loads-and-rules section 6.4, rows B09-B13.
		{id: "6.4 spans 4 and 6, B09", source: "derived", beam: b46, loads: throughout(b46, 10),
			reactions: []printed{"11.25", "64.5833", "24.1667"}, support: []printed{"0", "-35", "0"}, sags: map[int]printed{0: "1.9065", 1: "91.366"}},
		{id: "6.4 spans 5, 3, 5, B11", source: "derived", beam: b535, loads: throughout(b535, 10),
			reactions: []printed{"21", "44", "44", "21"}, support: []printed{"0", "-20", "-20", "0"}, sags: map[int]printed{0: "50.534", 1: "0.000000"}},
		{id: "6.4 spans 6, 4, 5, B10", source: "derived", beam: b645, loads: throughout(b645, 10),
			reactions: []printed{"24.811", "58.1395", "45.9157", "21.1337"}, support: []printed{"0", "-31.1337", "-19.3314", "0"}},
		{id: "6.4 spans 3, 5, 4, 6", source: "derived", beam: b3546, loads: throughout(b3546, 10),
			reactions: []printed{"8.5072", "47.6547", "39.1888", "60.027", "24.6223"}, support: []printed{"0", "-19.4784", "-13.6691", "-32.2662", "0"}},
		{id: "6.4 two spans, P at middles, F30", source: "derived", beam: b2, loads: at(b2, 0.5),
			reactions: []printed{"5/16", "11/8", "5/16"}, support: []printed{"0", "-3/16", "0"}, span: []printed{"5/32", "5/32"}, sags: map[int]printed{0: "0.009317"}},
		{id: "6.4 three spans, P at middles, B12", source: "derived", beam: b3, loads: at(b3, 0.5),
			reactions: []printed{"7/20", "23/20", "23/20", "7/20"}, support: []printed{"0", "-3/20", "-3/20", "0"}, span: []printed{"7/40", "", "7/40"}},
		{id: "6.4 two spans, P at thirds", source: "derived", beam: b2, loads: at(b2, 1./3, 2./3),
			reactions: []printed{"2/3", "8/3", "2/3"}, support: []printed{"0", "-1/3", "0"}, span: []printed{"2/9", "2/9"}},
		{id: "6.4 three spans, P at thirds", source: "derived", beam: b3, loads: at(b3, 1./3, 2./3),
			reactions: []printed{"11/15", "34/15", "34/15", "11/15"}, support: []printed{"0", "-4/15", "-4/15", "0"}, span: []printed{"11/45", "", "11/45"}},
		{id: "6.4 one span, overhangs L/sqrt 8, B13", source: "derived", beam: frame(even, equal(1), even), loads: []beam.Load{beam.Uniform(-1, 2, 1)},
			support: []printed{f(-1. / 16), f(-1. / 16)}, span: []printed{f(1. / 16)}},

		// AWC DA6 figures and continuous beams: materials section 7.3, BM-01 to BM-11.
		{id: "F7", source: "DA6 fig 7, derived", beam: b1, loads: at(b1, 0.5), reactions: []printed{"1/2", "1/2"}, span: []printed{"1/4"}, sags: map[int]printed{0: "1/48"}},
		{id: "F8", source: "DA6 fig 8, derived", beam: b1, loads: at(b1, 0.3), reactions: []printed{"0.7", "0.3"}, span: []printed{"0.21"},
			sags: map[int]printed{0: "0.016706"}, sagAt: map[int][2]float64{0: {0.45, 0.01}}},
		{id: "F9", source: "DA6 fig 9, derived", beam: b1, loads: at(b1, 1./3, 2./3), reactions: []printed{"1", "1"}, span: []printed{"1/3"}, sags: map[int]printed{0: "23/648"}},
		{id: "F18", source: "DA6 fig 18, derived", beam: over, loads: throughout(over, 1), reactions: []printed{"0.42", "0.98"}, support: []printed{"0", "-0.08"}, span: []printed{"0.0882"},
			sags: map[int]printed{0: "0.008085"}, sagAt: map[int][2]float64{0: {0.461, 1e-3}}, rises: map[int]printed{1: "0.002800"}},
		{id: "F19", source: "DA6 fig 19, derived", beam: over, loads: []beam.Load{beam.Uniform(1, 1.4, 1)}, reactions: []printed{"-0.08", "0.48"}, support: []printed{"0", "-0.08"},
			sags: map[int]printed{1: "0.013867"}, rises: map[int]printed{0: "0.005132"}},
		{id: "F20", source: "DA6 fig 20, derived", beam: over, loads: []beam.Load{beam.Point(1.4, 1)}, reactions: []printed{"-0.4", "1.4"}, support: []printed{"0", "-0.4"},
			sags: map[int]printed{1: "0.074667"}, rises: map[int]printed{0: "0.025660"}},
		{id: "F22", source: "DA6 fig 22, derived", beam: both, loads: throughout(both, 1), reactions: []printed{"0.825", "0.675"}, support: []printed{"-0.045", "-0.020"}, span: []printed{"0.09281"},
			sags: map[int]printed{1: "0.008964"}, rises: map[int]printed{0: "0.005987", 2: "0.005300"}},
		{id: "F26", source: "DA6 fig 26, derived", beam: b2, loads: on(b2, 1, 1), reactions: []printed{"0.4375", "0.625", "-0.0625"}, support: []printed{"0", "-0.0625", "0"}, span: []printed{"0.09570"},
			sags: map[int]printed{0: "0.0091506"}, rises: map[int]printed{1: "0.004009"}},
		{id: "F27", source: "DA6 fig 27, derived", beam: b2, loads: []beam.Load{beam.Point(0.5, 1)}, reactions: []printed{"0.4063", "0.6875", "-0.0938"}, support: []printed{"0", "-0.09375", "0"}, span: []printed{"0.20313"},
			sags: map[int]printed{0: "0.015012"}, rises: map[int]printed{1: "0.006014"}},
		{id: "F31", source: "DA6 fig 31, derived", beam: long, loads: throughout(long, 1), reactions: []printed{"0.28125", "1.61458", "0.60417"}, support: []printed{"0", "-0.21875", "0"}, span: []printed{"0.03955", "0.18251"},
			sags: map[int]printed{1: "0.035690"}, rises: map[int]printed{0: "0.002768"}},
		{id: "C3b", source: "derived", beam: b3, loads: on(b3, 1, 1, 3), reactions: []printed{"0.45", "0.55", "0.55", "0.45"}, support: []printed{"0", "-0.050", "-0.050", "0"}, span: []printed{"0.10125", "", "0.10125"},
			sags: map[int]printed{0: "0.009917"}, rises: map[int]printed{1: "0.006250"}},
		{id: "C3c", source: "derived", beam: b3, loads: on(b3, 1, 2), reactions: []printed{"-0.05", "0.55", "0.55", "-0.05"}, support: []printed{"0", "-0.050", "-0.050", "0"}, span: []printed{"", "0.075", ""},
			sags: map[int]printed{1: "0.006771"}, rises: map[int]printed{0: "0.003207", 2: "0.003207"}},
		{id: "C3d, B07", source: "page, read to 3-4 digits; derived further", beam: b3, loads: on(b3, 1, 1, 2), reactions: []printed{"0.38333", "1.200", "0.450", "-0.03333"},
			support: []printed{"0", "-0.11667", "-0.03333", "0"}, span: []printed{"0.07347", "0.05347", ""},
			sags: map[int]printed{0: "0.005900"}, sagAt: map[int][2]float64{0: {0.43, 0.01}}, rises: map[int]printed{2: "0.002138"}},
		{id: "C3e", source: "derived", beam: b3, loads: on(b3, 1, 1), reactions: []printed{"0.43333", "0.65", "-0.1", "0.01667"}, support: []printed{"0", "-0.06667", "", "0"}, span: []printed{"0.09389", "", ""},
			sags: map[int]printed{0: "0.008896"}},
		{id: "C4b", source: "page, read to 3 digits; derived further", beam: b4, loads: on(b4, 1, 1, 2, 4), reactions: []printed{"0.3795", "1.2232", "0.3571", "0.5982", "0.4420"},
			support: []printed{"0", "-0.12054", "-0.01786", "-0.05804", "0"}, span: []printed{"0.07199", "0.06107", "", "0.09767"}, sags: map[int]printed{3: "0.009424"}},
		{id: "C4c", source: "page, read to 3 digits; derived further", beam: b4, loads: on(b4, 1, 1, 3), reactions: []printed{"0.4464", "0.5714", "0.4643", "0.5714", "-0.0536"},
			support: []printed{"0", "-0.05357", "-0.03571", "-0.05357", "0"}, span: []printed{"0.09964", "", "0.08052", ""}, sags: map[int]printed{0: "0.009698"}},
		{id: "C4d", source: "derived", beam: b4, loads: on(b4, 1, 2, 3), reactions: []printed{"-0.0357", "0.4643", "1.1429", "0.4643", "-0.0357"},
			support: []printed{"0", "-0.03571", "-0.10714", "-0.03571", "0"}, span: []printed{"", "0.05612", "0.05612", ""}, sags: map[int]printed{1: "0.004173"}},
		{id: "O3", source: "derived", beam: o3, loads: throughout(o3, 1), reactions: []printed{"0.754", "1.046", "1.046", "0.754"}, support: []printed{"-0.045", "-0.091", "-0.091", "-0.045"},
			span: []printed{"0.05805", "0.034", "0.05805"}, sags: map[int]printed{1: "0.004553"}, rises: map[int]printed{0: "0.002438", 4: "0.002438"}},
	}
}

func TestBeamTables(t *testing.T) {
	for _, c := range beamCases() {
		t.Run(c.id, func(t *testing.T) {
			r, err := c.beam.Solve(c.loads)
			if err != nil {
				t.Fatal(err)
			}
			for i, want := range c.reactions {
				want.holds(t, fmt.Sprintf("reaction %d (%s)", i, c.source), r.Reactions[i])
			}
			for i, want := range c.support {
				if want != "" {
					want.holds(t, fmt.Sprintf("moment over support %d (%s)", i, c.source), r.Moment(c.beam.Supports[i].X)+0)
				}
			}
			for i, want := range c.span {
				if want != "" {
					want.holds(t, fmt.Sprintf("moment in span %d (%s)", i+1, c.source), spanMoment(&r, c.beam.Supports[i].X, c.beam.Supports[i+1].X))
				}
			}
			ex := r.Extremes()
			if c.shear != "" {
				c.shear.holds(t, "greatest shear", ex.MaxShear.Value)
			}
			var sag, hog float64
			for k := 1; k < len(c.beam.Supports); k++ {
				sag = math.Max(sag, spanMoment(&r, c.beam.Supports[k-1].X, c.beam.Supports[k].X))
			}
			for _, s := range c.beam.Supports { // hogging peaks over supports
				hog = math.Max(hog, -r.Moment(s.X))
			}
			if math.Abs(ex.MaxSag.Value-sag) > 1e-9*(1+sag) || math.Abs(ex.MaxHog.Value-hog) > 1e-9*(1+hog) {
				t.Errorf("extremes %.9g, %.9g; by sampling %.9g, %.9g", ex.MaxSag.Value, ex.MaxHog.Value, sag, hog)
			}
			shape := r.SpanDeflections()
			for i, want := range c.sags {
				want.holds(t, fmt.Sprintf("downward deflection of field %d (%s)", i, c.source), shape[i].Max)
			}
			for i, want := range c.sagAt {
				if math.Abs(shape[i].At-want[0]) > want[1] {
					t.Errorf("greatest deflection of field %d at %g, want %g", i, shape[i].At, want[0])
				}
			}
			for i, want := range c.rises {
				want.holds(t, fmt.Sprintf("upward deflection of field %d (%s)", i, c.source), shape[i].Up)
			}
		})
	}
}

// Worst patterns of loaded spans, derived: loads-and-rules section 6.3 (B06,
// B08) and the envelopes of materials section 7.3 (BM-12, BM-13).
func TestBeamPatterns(t *testing.T) {
	rows := []struct {
		spans                 int
		hog, sag, shear       printed
		end, interior, uplift printed
		deflection            printed
		hogPattern            string // BM-12, BM-13 name it
	}{
		{2, "1/8", "49/512", "0.6250", "0.4375", "1.2500", "-0.0625", "0.0091506", "groups 1, 2"},
		{3, "7/60", "0.101250", "0.616667", "0.4500", "1.2000", "-0.1000", "0.0099175", ""},
		{4, "27/224", "0.099649", "0.620536", "0.4464", "1.2232", "-0.2143", "0.0096979", ""},
		{5, "25/209", "0.100069", "0.619617", "0.4474", "1.2177", "-0.1938", "0.0097556", ""},
	}
	for _, row := range rows {
		t.Run(fmt.Sprint(row.spans, " spans"), func(t *testing.T) {
			b := frame(0, equal(row.spans), 0)
			e, err := b.Envelope(nil, beam.SplitBySpans(b, throughout(b, 1)))
			if err != nil {
				t.Fatal(err)
			}
			if !e.Exact {
				t.Error("not marked exact")
			}
			row.hog.holds(t, "hogging", e.MaxHog.Value)
			row.sag.holds(t, "sagging", e.MaxSag.Value)
			row.shear.holds(t, "shear", e.MaxShear.Value)
			row.end.holds(t, "end reaction", e.Supports[0].Max)
			row.interior.holds(t, "first interior reaction", e.Supports[1].Max)
			uplift, deflection, most := 0.0, 0.0, 0.0
			for _, s := range e.Supports {
				uplift, most = math.Min(uplift, s.Min), math.Max(most, s.Max)
			}
			for _, s := range e.Spans() {
				deflection = math.Max(deflection, s.Down.Value)
			}
			row.interior.holds(t, "largest reaction", most)
			row.uplift.holds(t, "uplift", uplift)
			row.deflection.holds(t, "deflection", deflection)
			if row.hogPattern != "" && e.MaxHog.Pattern.String() != row.hogPattern {
				t.Errorf("hogging governed by %v, want %s", e.MaxHog.Pattern, row.hogPattern)
			}
		})
	}
	// Four spans: largest reaction by spans 1, 2, 4; sagging by 1, 3; uplift in the middle by 1, 4 (materials 7.3).
	b := frame(0, equal(4), 0)
	e, err := b.Envelope(nil, beam.SplitBySpans(b, throughout(b, 1)))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what, got, want string
	}{
		{"reaction", e.Supports[1].MaxPattern.String(), "groups 1, 2, 4"},
		{"sagging", e.MaxSag.Pattern.String(), "groups 1, 3"},
		{"uplift", e.Supports[2].MinPattern.String(), "groups 1, 4"},
	} {
		if c.got != c.want {
			t.Errorf("%s governed by %s, want %s", c.what, c.got, c.want)
		}
	}
}
