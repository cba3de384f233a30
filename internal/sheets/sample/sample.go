// Package sample makes plan documents by hand for the tests of drawings, book
// and tables. Nothing in it is designed: sizes and ratios are invented, and no
// test may take them for right.
package sample

import (
	"fmt"
	"math"

	"shoreward/internal/calc"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// Deck is a plan of one pour of w by h mm with one column and one opening:
// lines of stringers along x 2 m apart, props 1.2 m apart, joists along y.
func Deck(w, h float64, style quantity.Style) *deck.Document {
	doc := &deck.Document{Schema: deck.SchemaName, Parts: parts()}
	doc.Job = deck.Header{Name: "Heron Quay (invented)", Basis: rules.EU, Style: style, System: "timber-beam", ConcreteStrength: 30e6,
		GridX: []deck.GridLine{{Name: "1", At: 0}, {Name: "2", At: 6000}, {Name: "3", At: 12000}},
		GridY: []deck.GridLine{{Name: "A", At: 0}, {Name: "B", At: 4000}, {Name: "C", At: 8000}}}
	if style == quantity.US {
		doc.Job.Basis = rules.US
	}
	doc.Settings = rules.Defaults(doc.Job.Basis)
	doc.Choices = deck.Choices{Clearance: 20, Bearing: 30, LapMin: 300, TieLoad: 10e3, BraceLoad: 5e3, GuardPitch: 1800, OneManLift: 25, Kerf: 4, OffcutMin: 300}
	doc.Assumed = []deck.Assumed{{Key: "concrete.weight", Value: "26.00 kN/m3", Reason: "the job gives none; EN 1991-1-1, unhardened, reinforced"}}
	doc.Unsure = []deck.Unsure{{Of: "beam-290", Value: "k_mod 0.9", Source: "EN 13377", Evidence: calc.Memory}}
	doc.Pours = []deck.Pour{pour(w, h)}
	doc.Total = doc.Pours[0].Summary
	return doc
}

func mm(v float64) catalog.Value[quantity.Length] {
	return catalog.Value[quantity.Length]{V: quantity.Millimetres(v), Source: "invented", Evidence: calc.User, Known: true}
}

func kg(v float64) catalog.Value[quantity.Mass] {
	return catalog.Value[quantity.Mass]{V: quantity.Mass(v), Source: "invented", Evidence: calc.User, Known: true}
}

func parts() map[string]*catalog.Part {
	ps := []*catalog.Part{
		{ID: "ply-21", Name: "plywood 21 mm, 2500 × 1250", Kind: catalog.Sheet, Mass: kg(42), Length: mm(2500), Width: mm(1250), Depth: mm(21)},
		{ID: "beam-290", Name: "timber beam P20, 2.90 m", Kind: catalog.Beam, Mass: kg(14), Length: mm(2900), Width: mm(80), Depth: mm(200)},
		{ID: "beam-390", Name: "timber beam P20, 3.90 m", Kind: catalog.Beam, Mass: kg(19), Length: mm(3900), Width: mm(80), Depth: mm(200)},
		{ID: "prop-d35", Name: "prop EN 1065 D35", Kind: catalog.Prop, Mass: kg(22), Shore: &catalog.PropProps{Class: "D", Longest: mm(3500), Shortest: mm(1980), HolePitch: mm(100), Thread: mm(150), Plate: mm(120)}},
		{ID: "head-drop", Name: "drop head", Kind: catalog.Head, Mass: kg(4), Seat: &catalog.HeadProps{Type: "drop", Height: mm(120), Drop: mm(60), SeatLong: mm(160), SeatWide: mm(160)}},
		{ID: "head-mid", Name: "intermediate head", Kind: catalog.Head, Mass: kg(1), Seat: &catalog.HeadProps{Type: "intermediate", Height: mm(20)}},
		{ID: "tripod", Name: "tripod", Kind: catalog.Tripod, Mass: kg(9)},
		{ID: "board-edge", Name: "edge board", Kind: catalog.Lumber, Mass: kg(8), Length: mm(4000), Depth: mm(250)},
		{ID: "kicker", Name: "kicker", Kind: catalog.Kicker},
		{ID: "post", Name: "guardrail post", Kind: catalog.Guard, Mass: kg(6)},
		{ID: "tie", Name: "tie 10 kN", Kind: catalog.Tie, Mass: kg(3)},
		{ID: "brace", Name: "brace 5 kN", Kind: catalog.Brace, Mass: kg(15)},
	}
	out := map[string]*catalog.Part{}
	for _, p := range ps {
		out[p.ID] = p
	}
	return out
}

func box(x, y, w, h float64) deck.Ring {
	return deck.Ring{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
}

const (
	soffit, thick, sheetT, beamD = 3000.0, 220.0, 21.0, 200.0
	strip                        = 600.0
)

func pour(w, h float64) deck.Pour {
	opening := box(8400, 1400, 1200, 1000)
	column := box(5800, 3800, 400, 400)
	outer := box(0, 0, w, h)
	p := deck.Pour{Name: "L2-A", Level: "L2"}
	p.Site = deck.Site{
		Zones:    []deck.Zone{{Name: "slab", Shapes: []deck.Shape{{Outer: outer, Holes: []deck.Ring{opening, column}}}, Thickness: thick, Soffit: soffit}},
		Slab:     []deck.Shape{{Outer: outer, Holes: []deck.Ring{opening, column}}},
		Strip:    []deck.Shape{{Outer: box(w, 0, strip, h)}},
		Openings: []deck.Ring{opening},
		Blocks: []deck.Block{{Kind: "column", Name: "C1", Ring: column, Ties: true},
			{Kind: "wall", Name: "W1", Ring: box(-200, 0, 200, h), Ties: true}},
		Edges: []deck.Edge{{From: deck.Point{0, 0}, To: deck.Point{w, 0}, Kind: deck.Joint}, {From: deck.Point{w, 0}, To: deck.Point{w, h}, Kind: deck.Free},
			{From: deck.Point{w, h}, To: deck.Point{0, h}, Kind: deck.Joint}, {From: deck.Point{0, h}, To: deck.Point{0, 0}, Kind: deck.Wall}},
		TopZ: soffit + thick,
	}
	d := &p.Deck
	d.Fields = []deck.Field{{Name: "I", Zone: "slab", Joists: 90}}
	joistTop := soffit - sheetT
	strTop := joistTop - beamD
	seat := strTop - beamD
	line := 0
	for y := 1000.0; y < h; y += 2000 {
		name := Letter(line)
		line++
		for x, k := 100.0, 0; x < w+strip; x, k = x+3600, k+1 {
			d.Stringers = append(d.Stringers, deck.Member{ID: fmt.Sprintf("S-%s%d", name, k+1), Field: "I", Line: name, Part: "beam-390",
				From: deck.Point{x, y}, To: deck.Point{math.Min(x+3900, w+strip), y}, Top: strTop})
		}
		for x, k := 250.0, 0; x < w+strip; x, k = x+1200, k+1 {
			q := deck.Prop{ID: fmt.Sprintf("%s-%d", name, k+1), Line: name, Kind: deck.Intermediate, Part: "prop-d35", Head: "head-mid",
				At: deck.Point{x, y}, Seat: seat, Length: seat - 20, Hole: 7, Thread: 60, Under: "stringer"}
			if k%3 == 0 {
				q.Kind, q.Head, q.Tripod, q.Length, q.Hole, q.Thread = deck.Grade, "head-drop", "tripod", seat-120, 6, 60
			}
			d.Props = append(d.Props, q)
		}
	}
	n := 0
	for y := 0.0; y < h; y += 2000 {
		for x := 50.0; x < w+strip; x += 417 {
			n++
			off := 40 * float64(int(y/2000)%2)
			d.Joists = append(d.Joists, deck.Member{ID: fmt.Sprintf("J-%d", n), Field: "I", Part: "beam-290", From: deck.Point{x + off, math.Max(y-150, 0)},
				To: deck.Point{x + off, math.Min(y+2150, h)}, Top: joistTop})
		}
	}
	n = 0
	for y := 0.0; y < h; y += 2500 {
		for x := 0.0; x < w+strip; x += 1250 {
			n++
			sw, sh := math.Min(1250, w+strip-x), math.Min(2500, h-y)
			d.Sheets = append(d.Sheets, deck.Sheet{ID: fmt.Sprintf("P-%d", n), Field: "I", Part: "ply-21", Shape: deck.Shape{Outer: box(x, y, sw, sh)},
				Cut: sw < 1250 || sh < 2500, Grain: 90, Z: soffit})
		}
	}
	p.Cuts = cuts(d)
	d.EdgeForms = []deck.EdgeForm{{ID: "E-1", Part: "board-edge", From: deck.Point{w, 0}, To: deck.Point{w, h}, Height: thick, Kicker: "kicker", Kickers: int(h/600) + 1, Pitch: 600}}
	for y := 200.0; y < h; y += 1800 {
		d.Guards = append(d.Guards, deck.GuardPost{ID: fmt.Sprintf("G-%d", len(d.Guards)+1), Part: "post", At: deck.Point{w + strip - 50, y}})
	}
	d.Ties = []deck.Tie{{ID: "T-1", Part: "tie", At: deck.Point{5700, 4300}, Block: "C1", Dirs: "xy"}, {ID: "T-2", Part: "tie", At: deck.Point{80, 2200}, Block: "W1", Dirs: "x"}}
	d.Braces = []deck.Brace{{ID: "B1", Part: "brace", At: deck.Point{11000, 6000}, Foot: deck.Point{9000, 6000}}}
	p.Audit = audit(d, w, h)
	p.Summary = deck.Summary{Area: (w*h - 1.36e6) / 1e6, SheetsFull: 20, SheetsCut: 3, Joists: len(d.Joists), Stringers: len(d.Stringers),
		Checks: len(p.Audit.Checks), MaxRatio: 0.97, Pieces: 400, Weight: 6000}
	return p
}

// cuts saws every cut sheet out of a whole one, and keeps what is left beside it.
func cuts(d *deck.Deck) *deck.Cuts {
	c := &deck.Cuts{Turn: 1}
	for _, s := range d.Sheets {
		if !s.Cut {
			continue
		}
		b := s.Shape.Outer.Bounds()
		l, w := b.Y1-b.Y0, b.X1-b.X0
		q := deck.CutPattern{ID: fmt.Sprintf("C%d", len(c.Patterns)+1), Part: s.Part, Size: [2]float64{2500, 1250}, Pieces: []deck.CutPiece{{Sheet: s.ID, Size: [2]float64{l, w}}}}
		whole := 1250.0
		if l < 2500 {
			q.Saw = append(q.Saw, deck.SawCut{Across: true, At: l, To: whole})
			q.Left = append(q.Left, deck.Offcut{ID: fmt.Sprintf("L2-A/R%d", len(c.Patterns)+1), At: deck.Point{l + 4, 0}, Size: [2]float64{2500 - l - 4, whole}})
		}
		if w < whole {
			q.Saw = append(q.Saw, deck.SawCut{At: w, To: l})
		}
		c.Patterns = append(c.Patterns, q)
	}
	c.Sheets, c.Bound = len(c.Patterns), 1
	return c
}

// Letter names lines A, B ... Z, AA ...
func Letter(i int) string {
	if i >= 26 {
		return Letter(i/26-1) + string(rune('A'+i%26))
	}
	return string(rune('A' + i))
}

func audit(d *deck.Deck, w, h float64) deck.Audit {
	var a deck.Audit
	for i, q := range d.Props {
		r := 0.3 + 0.67*float64((i*37)%101)/101
		a.Checks = append(a.Checks, deck.Check{Member: q.ID, Kind: "prop", What: "load", Value: r * 20e3, Limit: 20e3, Unit: calc.Force, Ratio: r})
	}
	for i, m := range d.Joists {
		r := 0.4 + 0.5*float64((i*13)%97)/97
		a.Checks = append(a.Checks, deck.Check{Member: m.ID, Kind: "joist", What: "bending", Value: r * 5e3, Limit: 5e3, Unit: calc.Moment, Ratio: r})
	}
	limit := 5e3
	a.Worked = []deck.Worked{{Kind: "joist", What: "bending", Member: "J-1", Part: "beam-290", Diagram: diagram(),
		Lines: calc.Lines{
			{Symbol: "w", Name: "line load on the joist", Formula: "q * s", Terms: []calc.Term{{Sym: "q", Val: 7.5e3, Kind: calc.Pressure}, {Sym: "s", Val: 0.417, Kind: calc.Length}},
				Value: 3127.5, Kind: calc.LineLoad, Source: "statics", Evidence: calc.Derived},
			{Symbol: "M_Rd", Name: "design moment", Formula: "k_mod * M_k / gamma_M", Terms: []calc.Term{{Sym: "k_mod", Val: 0.9}, {Sym: "M_k", Val: 10.9e3, Kind: calc.Moment}, {Sym: "gamma_M", Val: 1.3}},
				Value: 5e3, Kind: calc.Moment, Source: "EN 13377, annex E", Evidence: calc.Memory},
			{Symbol: "M_Ed", Name: "largest moment", Formula: "w * l^2 / 8", Terms: []calc.Term{{Sym: "w", Val: 3127.5, Kind: calc.LineLoad}, {Sym: "l", Val: 2, Kind: calc.Length}},
				Value: 1564, Limit: &limit, LimitSym: "M_Rd", Kind: calc.Moment, Ratio: 1564 / limit, Source: "statics", Evidence: calc.Derived},
		}}}
	a.Loads = []deck.ZoneLoad{{Zone: "slab", Load: rules.AreaLoad{Concrete: 5.72e3, Forms: 500, Live: 1.5e3, Lines: calc.Lines{
		{Symbol: "g_c", Name: "wet concrete", Formula: "gamma_c * t", Terms: []calc.Term{{Sym: "gamma_c", Val: 26e3, Kind: calc.UnitWeight}, {Sym: "t", Val: 0.22, Kind: calc.Length}},
			Value: 5720, Kind: calc.Pressure, Source: "EN 1991-1-1 table A.1", Evidence: calc.Read}}}}}
	a.Totals = deck.LoadTotals{Applied: 7.7e3 * w * h / 1e6, Reactions: 7.7e3 * w * h / 1e6, LateralX: 18e3, LateralY: 18e3, TiesX: 25e3, TiesY: 20e3}
	return a
}

// diagram of a single span of 2 m with overhangs of 150 mm under 3 kN/m; the
// overhang is left out of the curves.
func diagram() *deck.Diagram {
	const w, l = 3000.0, 2.0
	g := &deck.Diagram{Start: -0.15, End: l + 0.15, Supports: []float64{0, l}, Names: []string{"A", "B"}, Reactions: []float64{w * l / 2, w * l / 2},
		Loads: []deck.DiagramLoad{{From: 0, To: l, W1: w, W2: w}, {From: 0.5, To: 0.5, P: 400}}}
	for i := 0; i <= 40; i++ {
		x := l * float64(i) / 40
		g.X = append(g.X, x)
		g.M = append(g.M, w*x*(l-x)/2)
		g.V = append(g.V, w*(l/2-x))
		g.D = append(g.D, 0.004*math.Sin(math.Pi*x/l))
	}
	return g
}
