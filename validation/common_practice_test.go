package validation

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"shoreward/internal/audit"
	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// The deck that the trade builds from two lengths of timber beam: every figure
// of it is common practice, no source.
//
//	stringers 16 ft, on lines 8 ft apart, lapping 4 ft on the grade props
//	grade props 12 ft apart on the first and last setting mark of the stringer
//	intermediate props on the two marks between, so a prop every 4 ft
//	joists 11 ft 6 in, lapping past the lines
//
// Stringers run along x and joists along y. Where two beams lap they lie side by
// side, half a beam to either side of their line.
const (
	ft         = 304.8     // mm
	line       = 8 * ft    // stringer line to line
	mark       = 4 * ft    // prop to prop
	gradePitch = 12 * ft   // grade prop to grade prop
	stringerEx = 2 * ft    // stringer past its first mark
	joistEx    = 1.75 * ft // joist past its first mark
	aside      = 40.0      // half a beam, mm
	bays       = 2         // three lines
	inLine     = 4         // stringers in a line
	seatHeight = 2810.0    // underside of the stringers, mm: props of 3.0 m
)

// side is where beam i of a row lies beside its line: to either side in turn.
func side(i int) float64 {
	if i%2 == 0 {
		return -aside
	}
	return aside
}

// practiceDeck is that deck under a slab: spaces joist spaces to a sheet, props
// of one type.
func practiceDeck(t *testing.T, basis rules.Name, thickness quantity.Length, spaces int, prop string) (*deck.Document, *deck.Pour) {
	t.Helper()
	cat, err := catalog.Load("")
	if err != nil {
		t.Fatal(err)
	}
	sheet := "ply-c1-3-4"
	if basis == rules.EU {
		sheet = "ply-birch-21"
	}
	long := float64(cat.Parts[sheet].Length.V) * 1000
	deep := float64(cat.Parts[sheet].Depth.V) * 1000
	spacing := long / float64(spaces)
	joistRows := int(math.Floor(inLine*gradePitch/spacing + 1e-9))
	length := float64(joistRows) * spacing

	top := seatHeight + 200.0 // of the stringers
	soffit := top + 200 + deep
	slab := plane.Shape{Outer: plane.Rect(aside, 0, length-aside, bays*line)}
	doc := &deck.Document{
		Schema: deck.SchemaName, Settings: rules.Defaults(basis), Parts: cat.Parts,
		Choices: deck.Choices{Clearance: 20, Bearing: 19, LapMin: 300, HoldDown: 5000, GuardPitch: 2400},
	}
	p := &deck.Pour{Name: "practice", Site: deck.Site{
		Zones: []deck.Zone{{Name: "slab", Shapes: []plane.Shape{slab}, Thickness: float64(thickness) * 1000, Soffit: soffit}},
		Slab:  []plane.Shape{slab}, OnGround: true,
	}}
	d := &p.Deck
	d.Fields = []deck.Field{{Name: "I", Zone: "slab", Joists: 90}}
	for m := range bays {
		for r := range joistRows + 1 {
			x, y := float64(r)*spacing+side(m), float64(m)*line
			d.Joists = append(d.Joists, deck.Member{ID: fmt.Sprintf("J%d.%d", m, r), Field: "I", Part: "beam-11ft6", Top: soffit - deep,
				From: plane.Point{x, y - joistEx}, To: plane.Point{x, y + line + joistEx}})
		}
		for x0 := 0.0; x0 < length-1; x0 += long {
			x1 := math.Min(x0+long, length)
			for half := range 2 { // two sheets side by side in a bay
				y := float64(m)*line + float64(half)*4*ft
				d.Sheets = append(d.Sheets, deck.Sheet{ID: fmt.Sprintf("S%d.%d.%.0f", m, half, x0), Field: "I", Part: sheet, Z: soffit,
					Shape: plane.Shape{Outer: plane.Rect(x0+side(m), y, x1+side(m), y+4*ft)}})
			}
		}
	}
	post := func(kind deck.PropKind, head, id string, x, y float64) {
		set := seatHeight - float64(cat.Parts[head].Seat.Height.V)*1000
		shore := cat.Parts[prop].Shore
		low, pitch := float64(shore.Shortest.V)*1000, float64(shore.HolePitch.V)*1000
		hole := math.Floor((set - low) / pitch)
		d.Props = append(d.Props, deck.Prop{ID: id, Kind: kind, Part: prop, Head: head, At: plane.Point{x, y}, Seat: seatHeight,
			Length: set, Hole: int(hole) + 1, Thread: set - low - hole*pitch, Under: "stringer"})
	}
	for l := range bays + 1 {
		y := float64(l) * line
		for k := range inLine {
			first := float64(k) * gradePitch
			d.Stringers = append(d.Stringers, deck.Member{ID: fmt.Sprintf("T%d.%d", l, k), Field: "I", Part: "beam-16ft", Top: top,
				From: plane.Point{first - stringerEx, y + side(k)}, To: plane.Point{first + gradePitch + stringerEx, y + side(k)}})
			for i := 1; i <= 2; i++ {
				post(deck.Intermediate, "intermediate-head", fmt.Sprintf("I%d.%d.%d", l, k, i), first+float64(i)*mark, y+side(k))
			}
		}
		for g := range inLine + 1 {
			at := y
			if g == 0 {
				at += side(0) // one stringer only: right under it
			} else if g == inLine {
				at += side(inLine - 1)
			}
			post(deck.Grade, "drop-head", fmt.Sprintf("G%d.%d", l, g), float64(g)*gradePitch, at)
		}
	}
	return doc, p
}

// practiceChecks audits the deck and gives the checks of its inner members by
// what they check: whole sheets and joists away from the ends, the two inner
// stringers of the middle line and the props under them.
func practiceChecks(t *testing.T, doc *deck.Document, p *deck.Pour) (map[string]deck.Check, deck.Audit) {
	t.Helper()
	a, err := audit.Run(doc, p)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range a.Findings {
		if f.Fails && f.Ratio == 0 {
			t.Fatalf("the deck itself is wrong: %s at %.0f: %s", f.Member, f.At, f.What)
		}
	}
	inner := map[string]bool{}
	for _, s := range p.Deck.Sheets {
		b := s.Shape.Outer.Bounds()
		inner[s.ID] = b.X0 > gradePitch-stringerEx && b.X1 < 3*gradePitch+stringerEx
	}
	for _, j := range p.Deck.Joists {
		inner[j.ID] = j.From[0] > gradePitch && j.From[0] < 3*gradePitch
	}
	for _, id := range []string{"T1.1", "T1.2", "I1.1.1", "I1.1.2", "I1.2.1", "I1.2.2", "G1.2"} {
		inner[id] = true
	}
	worst := map[string]deck.Check{}
	for _, c := range a.Checks {
		if !inner[c.Member] {
			continue
		}
		k := c.Kind + " " + c.What
		if c.Kind == "prop" {
			k = map[byte]string{'G': "grade prop", 'I': "intermediate prop"}[c.Member[0]]
		}
		if w, ok := worst[k]; !ok || c.Ratio > w.Ratio {
			worst[k] = c
		}
	}
	return worst, a
}

// Textbook statics, apart from the program's own: continuous beams of equal
// spans by the three-moment equation, M(i-1) + 4 M(i) + M(i+1) = -(R + L) / l.

// spanLoad is a line load over the whole span and point loads {place, force}.
type spanLoad struct {
	w      float64
	points [][2]float64
}

// statics of a beam of equal spans: moments at the supports, reactions, the
// greatest shear, and the greatest sagging moment under a point load or at zero shear.
type statics struct {
	reactions        []float64
	hog, sag, sheers float64
}

func solveSpans(l float64, spans []spanLoad) statics {
	n := len(spans)
	left, right := make([]float64, n), make([]float64, n) // load terms seen from the left, right support
	for i, s := range spans {
		left[i], right[i] = s.w*l*l*l/4, s.w*l*l*l/4
		for _, p := range s.points {
			a, b := p[0], l-p[0]
			left[i] += p[1] * a * (l*l - a*a) / l
			right[i] += p[1] * b * (l*l - b*b) / l
		}
	}
	// Thomas' algorithm for the inner supports 1 ... n-1.
	m := make([]float64, n+1)
	c, d := make([]float64, n), make([]float64, n)
	for i := 1; i < n; i++ {
		rhs := -(left[i-1] + right[i]) / l
		den := 4.0
		if i > 1 {
			den -= c[i-1]
			rhs -= d[i-1]
		}
		c[i], d[i] = 1/den, rhs/den
	}
	for i := n - 1; i >= 1; i-- {
		m[i] = d[i] - c[i]*m[i+1]
	}
	out := statics{reactions: make([]float64, n+1)}
	for i, s := range spans {
		total, turn := s.w*l, s.w*l*l/2
		for _, p := range s.points {
			total += p[1]
			turn += p[1] * p[0]
		}
		b := (turn + m[i] - m[i+1]) / l // what the right end carries, with the moments of both ends
		a := total - b
		b = total - a
		out.reactions[i] += a
		out.reactions[i+1] += b
		out.hog = math.Max(out.hog, -m[i])
		out.sheers = math.Max(out.sheers, math.Max(a, b))
		at := func(x float64) {
			v := m[i] + a*x - s.w*x*x/2
			for _, p := range s.points {
				if p[0] < x {
					v -= p[1] * (x - p[0])
				}
			}
			out.sag = math.Max(out.sag, v)
		}
		for _, p := range s.points {
			at(p[0])
		}
		if s.w > 0 {
			at(a / s.w)
		}
	}
	return out
}

// worstPattern solves every pattern of spans with their variable load on or off.
func worstPattern(l float64, always, placing []spanLoad) statics {
	n := len(always)
	var worst statics
	worst.reactions = make([]float64, n+1)
	for on := range 1 << n {
		spans := make([]spanLoad, n)
		for i := range spans {
			spans[i] = spanLoad{always[i].w, append([][2]float64(nil), always[i].points...)}
			if on>>i&1 == 1 {
				spans[i].w += placing[i].w
				spans[i].points = append(spans[i].points, placing[i].points...)
			}
		}
		s := solveSpans(l, spans)
		for i, r := range s.reactions {
			worst.reactions[i] = math.Max(worst.reactions[i], r)
		}
		worst.hog, worst.sag, worst.sheers = math.Max(worst.hog, s.hog), math.Max(worst.sag, s.sag), math.Max(worst.sheers, s.sheers)
	}
	return worst
}

// The textbook solver itself, against printed coefficients of continuous beams
// with even load (published tables of beam coefficients, from memory).
func TestTextbookStatics(t *testing.T) {
	even := func(n int) []spanLoad {
		s := make([]spanLoad, n)
		for i := range s {
			s[i].w = 1
		}
		return s
	}
	three := solveSpans(1, even(3))
	meets(t, "three spans", "hog", three.hog, 1, 0.100, 0.0005)
	meets(t, "three spans", "sag", three.sag, 1, 0.080, 0.0005)
	meets(t, "three spans", "shear", three.sheers, 1, 0.600, 0.0005)
	meets(t, "three spans", "inner reaction", three.reactions[1], 1, 1.100, 0.0005)
	patterns := worstPattern(1, make([]spanLoad, 3), even(3))
	meets(t, "three spans, patterns", "hog", patterns.hog, 1, 0.117, 0.0005)
	meets(t, "three spans, patterns", "sag", patterns.sag, 1, 0.101, 0.0005)
	meets(t, "three spans, patterns", "shear", patterns.sheers, 1, 0.617, 0.0005)
	meets(t, "three spans, patterns", "inner reaction", patterns.reactions[1], 1, 1.200, 0.0005)
	five := solveSpans(1, even(5))
	for i, want := range []float64{0.395, 1.132, 0.974, 0.974, 1.132, 0.395} {
		meets(t, "five spans", "reaction", five.reactions[i], 1, want, 0.0005)
	}
	mid := solveSpans(1, []spanLoad{{points: [][2]float64{{0.5, 1}}}, {points: [][2]float64{{0.5, 1}}}})
	meets(t, "two spans, loads at the middle", "hog", mid.hog, 1, 3./16, 1e-9)
	meets(t, "two spans, loads at the middle", "inner reaction", mid.reactions[1], 1, 11./8, 1e-9)
}

// What the audit finds in the deck is what hand statics find: sheet, joist,
// stringer of the middle line, props.
func TestCommonPracticeStatics(t *testing.T) {
	for _, basis := range []rules.Name{rules.US, rules.EU} {
		for _, spaces := range []int{4, 5, 6} {
			name := fmt.Sprintf("%s, %d joist spaces to a sheet", basis, spaces)
			doc, p := practiceDeck(t, basis, 200*mm, spaces, "prop-e30")
			worst, a := practiceChecks(t, doc, p)
			load := a.Loads[0].Load
			g, q := float64(load.StrengthForms), float64(load.StrengthPlacing)
			// Beams lie half a beam, 40 mm, to either side of their line, and where
			// stringers lap the joists' spans and what lies between the two stringers are
			// shared out by it: 40 mm of 8 ft less, 80 mm more. On sheets and joists, half a percent.
			const less, more = 100 * aside / line, 100 * 2 * aside / line
			near := func(what string, want, less, more float64) {
				t.Helper()
				if got := worst[what].Value; !(got > want*(1-less/100) && got < want*(1+more/100)) {
					t.Errorf("%s: %s %.5g, by hand %.5g, allowed %.2g %% less, %.2g %% more", name, what, got, want, less, more)
				}
			}
			// Sheet, a metre wide, on joists s apart.
			s := float64(doc.Parts[p.Deck.Sheets[0].Part].Length.V) / float64(spaces)
			even := func(w float64) []spanLoad {
				out := make([]spanLoad, spaces)
				for i := range out {
					out[i].w = w
				}
				return out
			}
			sheet := worstPattern(s, even(g), even(q))
			near("sheet bending", math.Max(sheet.hog, sheet.sag), 0.5, 0.5)
			near("sheet rolling shear", sheet.sheers, 0.5, 0.5)
			// Joist: what its place under the sheet gives it, on one span of 8 ft.
			share := solveSpans(s, even(1)).reactions
			share[0] += share[spaces] // two sheets meet on it
			share = share[:spaces]
			heaviest := 0.0
			for _, r := range share {
				heaviest = math.Max(heaviest, r)
			}
			l := line / 1000
			w := (g + q) * heaviest
			near("joist bending", w*l*l/8, 0.5, 0.5)
			near("joist shear", w*l/2, 0.5, 0.5)
			near("joist reaction", w*l/2, less, more)
			// Stringer of the middle line: a joist from either side at each place.
			var always, placing [2][]spanLoad
			for k := range 2 {
				always[k], placing[k] = make([]spanLoad, 3), make([]spanLoad, 3)
				for _, j := range p.Deck.Joists {
					var m, r int
					fmt.Sscanf(j.ID, "J%d.%d", &m, &r)
					x := j.From[0]/1000 - gradePitch/1000*float64(k+1)
					i := int(math.Floor(x / (mark / 1000)))
					if i < 0 || i > 2 {
						continue
					}
					// Of two lapping joists the one that spans there carries the sheet, so
					// each carries from stringer to stringer, wherever these lie beside their line.
					c := share[r%spaces] * l / 2
					at := x - float64(i)*mark/1000
					always[k][i].points = append(always[k][i].points, [2]float64{at, g * c})
					placing[k][i].points = append(placing[k][i].points, [2]float64{at, q * c})
				}
			}
			var most statics
			inter := 0.0
			grade := 0.0
			for k := range 2 {
				st := worstPattern(mark/1000, always[k], placing[k])
				most.hog, most.sag, most.sheers = math.Max(most.hog, st.hog), math.Max(most.sag, st.sag), math.Max(most.sheers, st.sheers)
				inter = math.Max(inter, math.Max(st.reactions[1], st.reactions[2]))
				if k == 0 {
					grade += st.reactions[3]
				} else {
					grade += st.reactions[0]
				}
			}
			near("stringer bending", math.Max(most.hog, most.sag), less, more)
			near("stringer shear", most.sheers, less, more)
			near("stringer reaction", inter, less, more)
			factor := 1.0
			if basis == rules.EU {
				factor = 1.35 // permanent load (EN 12812, memory)
			}
			own := func(head string) float64 {
				return factor * float64(doc.Parts["prop-e30"].Mass.V.Weight()+doc.Parts[head].Mass.V.Weight())
			}
			near("intermediate prop", inter+own("intermediate-head"), less, more)
			near("grade prop", grade+own("drop-head"), less, more)
			// And the tributary area: 4 ft x 8 ft to every prop, times the factor of
			// three spans with even load, which joists at places can pass or fall short of.
			tributary := (g + q) * mark / 1000 * line / 1000
			if f := inter / tributary; f < 1.0 || f > 1.45 {
				t.Errorf("%s: an intermediate prop carries %.3f of its 32 ft2; even load on three spans gives 1.10 to 1.20", name, f)
			}
			t.Logf("%s: intermediate prop %.3f, grade prop %.3f of the load on 32 ft2", name, inter/tributary, grade/tributary)
		}
	}
}

// Area per grading operation on an inner grade prop: 12 ft x 8 ft = 96 ft2
// (common practice, no source). Every point nearest to it among grade props is its own.
func TestCommonPracticeGrading(t *testing.T) {
	_, p := practiceDeck(t, rules.US, 200*mm, 5, "prop-d30")
	const step = 25.4
	cells := 0
	for x := -gradePitch + step/2; x < gradePitch; x += step {
		for y := -line + step/2; y < line; y += step {
			q := plane.Point{2*gradePitch + x, line + y}
			best, id := math.Inf(1), ""
			for _, prop := range p.Deck.Props {
				if d := math.Hypot(prop.At[0]-q[0], prop.At[1]-q[1]); prop.Kind == deck.Grade && d < best {
					best, id = d, prop.ID
				}
			}
			if id == "G1.2" {
				cells++
			}
		}
	}
	meets(t, "grading", "area of an inner grade prop, ft2", float64(cells)*step*step/(ft*ft), 1, 96, 0.5)
}

// practiceRange is the slab thicknesses tried on a basis.
func practiceRange(basis rules.Name) (list []quantity.Length, name func(quantity.Length) string) {
	if basis == rules.US {
		for t := 4 * inch; t <= 14.01*inch; t += inch {
			list = append(list, t)
		}
		return list, func(t quantity.Length) string { return fmt.Sprintf("%.0f in", float64(t/inch)) }
	}
	for t := 100 * mm; t <= 350.1*mm; t += 25 * mm {
		list = append(list, t)
	}
	return list, func(t quantity.Length) string { return fmt.Sprintf("%.0f mm", float64(t/mm)) }
}

// practiceMembers are the columns of the table and the checks each stands for.
var practiceMembers = []struct {
	name   string
	checks []string
}{
	{"sheet bending", []string{"sheet bending"}},
	{"sheet shear", []string{"sheet rolling shear"}},
	{"sheet deflection", []string{"sheet deflection"}},
	{"joist", []string{"joist bending", "joist shear", "joist reaction"}},
	{"joist deflection", []string{"joist deflection"}},
	{"stringer bending", []string{"stringer bending"}},
	{"stringer shear", []string{"stringer shear"}},
	{"stringer reaction", []string{"stringer reaction"}},
	{"stringer deflection", []string{"stringer deflection"}},
}

// practiceHolds is the greatest thickness of the range up to which the checks
// hold, in words, and the ratio at the least thickness that they do not hold, or at the last.
func practiceHolds(t *testing.T, basis rules.Name, found []map[string]deck.Check, checks []string) string {
	t.Helper()
	list, name := practiceRange(basis)
	last, before := -1, 0.0
	for i := range list {
		ratio := 0.0
		for _, c := range checks {
			k, ok := found[i][c]
			if !ok {
				t.Fatalf("%s: no check %q", basis, c)
			}
			ratio = math.Max(ratio, k.Ratio)
		}
		if ratio < before {
			t.Errorf("%s: %v goes from ratio %.3f to %.3f under a thicker slab", basis, checks, before, ratio)
		}
		before = ratio
		if ratio <= 1 {
			last = i
		}
	}
	switch last {
	case -1:
		return "under " + name(list[0])
	case len(list) - 1:
		return name(list[last]) + " and more"
	}
	return name(list[last])
}

// For which thickness each kind of member holds in that deck, on both bases.
// No source gives the answers; that they are those of the audit, that hand
// statics agree with it (above), that a thicker slab never eases a check and that
// docs/validation.md says what is found is what is tested.
func TestCommonPracticeThicknesses(t *testing.T) {
	data, err := os.ReadFile("../docs/validation.md")
	if err != nil {
		t.Fatal(err)
	}
	say := func(row string) {
		t.Log(row)
		if !strings.Contains(string(data), row) {
			t.Errorf("docs/validation.md does not have this row: %s", row)
		}
	}
	for _, basis := range []rules.Name{rules.US, rules.EU} {
		list, name := practiceRange(basis)
		for _, spaces := range []int{4, 5, 6} {
			found := make([]map[string]deck.Check, len(list))
			first, at := "none", ""
			pitch := 0.0
			for i, thickness := range list {
				doc, p := practiceDeck(t, basis, thickness, spaces, "prop-e30")
				found[i], _ = practiceChecks(t, doc, p)
				pitch = float64(doc.Parts[p.Deck.Sheets[0].Part].Length.V) / float64(spaces)
				if at == "" {
					worst := 1.0
					for _, m := range practiceMembers {
						for _, c := range m.checks {
							if r := found[i][c].Ratio; r > worst {
								worst, first, at = r, m.name, " at "+name(thickness)
							}
						}
					}
				}
			}
			spacing := quantity.Length(pitch)
			row := fmt.Sprintf("| %s | %.0f mm |", basis, float64(spacing/mm))
			if basis == rules.US {
				row = fmt.Sprintf("| %s | %.1f in |", basis, float64(spacing/inch))
			}
			for _, m := range practiceMembers {
				row += " " + practiceHolds(t, basis, found, m.checks) + " |"
			}
			say(row + " " + first + at + " |")
		}
		for _, class := range "ABCDE" {
			found := make([]map[string]deck.Check, len(list))
			for i, thickness := range list {
				doc, p := practiceDeck(t, basis, thickness, 5, "prop-"+strings.ToLower(string(class))+"30")
				found[i], _ = practiceChecks(t, doc, p)
			}
			c := found[0]
			say(fmt.Sprintf("| %s | %c30 | %.1f kN | %.1f kN | %s | %s |", basis, class, c["grade prop"].Limit/1e3, c["intermediate prop"].Limit/1e3,
				practiceHolds(t, basis, found, []string{"grade prop"}), practiceHolds(t, basis, found, []string{"intermediate prop"})))
		}
	}
}
