// Package count counts the placed parts of pours: the gear list and the cut
// list of panels that drawings and tables print.
package count

import (
	"fmt"
	"math"
	"sort"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/sheets/say"
)

// Gear is one kind of part with how many of it are placed.
type Gear struct {
	ID         string
	Name       string
	Kind       catalog.Kind
	Cut        bool    // cut sheets and sawn members, counted as cut
	Count      int     // pieces carried on the deck
	Send       int     // whole parts that must be on site for them: sheets that are cut up count with the whole ones
	Each       float64 // kg; NaN when the catalogue does not say, or when pieces differ
	Total      float64 // kg; NaN when not known
	Heavy      bool    // some are over the one-person lifting limit:
	HeavyCount int     // so many
	HeavyTotal float64 // kg of these
	Note       string
}

// order of kinds on a list: from the prop's foot up.
var order = []catalog.Kind{catalog.Sheet, catalog.Beam, catalog.Lumber, catalog.Prop, catalog.Head, catalog.Tripod,
	catalog.Wedge, catalog.Guard, catalog.Kicker, catalog.Tie, catalog.Brace, catalog.Box}

func rank(k catalog.Kind) int {
	for i, o := range order {
		if o == k {
			return i
		}
	}
	return len(order)
}

type key struct {
	id  string
	cut bool
}

// tally adds up parts.
type tally struct {
	doc  *deck.Document
	rows map[key]*Gear
}

func (t *tally) row(id string, cut bool) *Gear {
	k := key{id, cut}
	g := t.rows[k]
	if g == nil {
		g = &Gear{ID: id, Name: say.Part(t.doc, id), Cut: cut, Each: math.NaN()}
		if p := t.doc.Parts[id]; p != nil {
			g.Kind = p.Kind
			if p.Mass.Known && !cut {
				g.Each = float64(p.Mass.V)
			}
		} else {
			g.Note = "not among the plan's parts"
		}
		t.rows[k] = g
	}
	return g
}

// whole adds n whole pieces of a part; no id, no part.
func (t *tally) whole(id string, n int) {
	if id == "" || n <= 0 {
		return
	}
	g := t.row(id, false)
	g.Count += n
	g.Send += n
	g.Total += float64(n) * g.Each
	if t.heavy(g.Each) {
		t.two(g, n, float64(n)*g.Each)
	}
}

// two books pieces that are carried by two.
func (t *tally) two(g *Gear, n int, kg float64) {
	g.Heavy = true
	g.HeavyCount += n
	g.HeavyTotal += kg
}

// piece adds one cut piece that is the given share of a whole one.
func (t *tally) piece(id string, share float64) {
	g := t.row(id, true)
	g.Count++
	p := t.doc.Parts[id]
	if p == nil || !p.Mass.Known {
		g.Total = math.NaN()
		return
	}
	kg := share * float64(p.Mass.V)
	g.Total += kg
	if t.heavy(kg) {
		t.two(g, 1, kg)
	}
}

func (t *tally) heavy(kg float64) bool {
	return t.doc.Choices.OneManLift > 0 && kg > t.doc.Choices.OneManLift
}

// List counts the gear of the pours together.
func List(doc *deck.Document, pours ...*deck.Pour) []Gear {
	t := &tally{doc, map[key]*Gear{}}
	for _, p := range pours {
		t.deck(&p.LaidFlat().Deck)
		t.sawn(p)
	}
	out := make([]Gear, 0, len(t.rows))
	for _, g := range t.rows {
		out = append(out, *g)
	}
	sort.Slice(out, func(i, j int) bool {
		a, b := out[i], out[j]
		if ra, rb := rank(a.Kind), rank(b.Kind); ra != rb {
			return ra < rb
		}
		if a.ID != b.ID {
			return a.ID < b.ID
		}
		return !a.Cut && b.Cut
	})
	return out
}

func (t *tally) deck(d *deck.Deck) {
	for _, s := range d.Sheets {
		if !s.Cut {
			t.whole(s.Part, 1)
			continue
		}
		share := 0.0
		if p := t.doc.Parts[s.Part]; p != nil && p.Length.V > 0 && p.Width.V > 0 {
			share = Area(s.Shape) / 1e6 / float64(p.Length.V) / float64(p.Width.V)
		}
		t.piece(s.Part, share)
	}
	for _, ms := range [][]deck.Member{d.Joists, d.Stringers} {
		for _, m := range ms {
			if !m.Sawn {
				t.whole(m.Part, 1)
				continue
			}
			share := 0.0
			if p := t.doc.Parts[m.Part]; p != nil && p.Length.V > 0 {
				share = distance(m.From, m.To) / 1000 / float64(p.Length.V)
			}
			t.piece(m.Part, share)
			t.row(m.Part, true).Send++ // each from a piece of stock of its own
		}
	}
	for _, q := range d.Props {
		for _, id := range []string{q.Part, q.Head, q.Tripod, q.Sill, q.Wedge} {
			t.whole(id, 1)
		}
	}
	for _, e := range d.EdgeForms {
		t.whole(e.Part, t.boards(e))
		t.whole(e.Kicker, e.Kickers)
	}
	for _, g := range d.Guards {
		t.whole(g.Part, 1)
	}
	for _, x := range d.Ties {
		t.whole(x.Part, 1)
	}
	for _, b := range d.Braces {
		t.whole(b.Part, 1)
	}
}

// sawn adds the whole sheets that the pour's cut ones are sawn from; without a cut
// list each is taken to need one.
func (t *tally) sawn(p *deck.Pour) {
	if p.Cuts == nil {
		for _, s := range p.Deck.Sheets {
			if s.Cut {
				t.row(s.Part, false).Send++
			}
		}
		return
	}
	for _, q := range p.Cuts.Patterns {
		if q.Offcut == "" {
			t.row(q.Part, false).Send++
		}
	}
}

// boards is how many pieces of the part a run of edge form takes, end to end.
func (t *tally) boards(e deck.EdgeForm) int {
	p := t.doc.Parts[e.Part]
	if p == nil || p.Length.V <= 0 {
		return 1
	}
	return int(math.Ceil(distance(e.From, e.To)/1000/float64(p.Length.V) - 1e-6))
}

// Fillers is the length of filler board, mm, that closes the gaps of pours too
// narrow to deck. It is cut on site and no part of the catalogue.
func Fillers(pours ...*deck.Pour) float64 {
	sum := 0.0
	for _, p := range pours {
		for _, g := range p.Site.Gaps {
			sum += g.Length()
		}
	}
	return sum
}

func distance(a, b deck.Point) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }

// Area of a shape in mm2.
func Area(s deck.Shape) float64 {
	a := math.Abs(ringArea(s.Outer))
	for _, h := range s.Holes {
		a -= math.Abs(ringArea(h))
	}
	return a
}

func ringArea(r deck.Ring) float64 {
	sum := 0.0
	for i, p := range r {
		q := r[(i+1)%len(r)]
		sum += p[0]*q[1] - q[0]*p[1]
	}
	return sum / 2
}

// Panel is a size of sheet with how many are placed.
type Panel struct {
	Part   string
	Cut    bool
	Along  float64 // mm, along the face grain
	Across float64 // mm
	Shaped bool    // not a rectangle: cut to the drawing
	Holes  bool
	Count  int
	Area   float64 // m2 of all pieces
	IDs    []string
}

// Panels groups the sheets of the pours by size, whole ones first.
func Panels(pours ...*deck.Pour) []Panel {
	rows := map[string]*Panel{}
	for _, p := range pours {
		for _, s := range p.LaidFlat().Deck.Sheets {
			n := Measure(s)
			k := fmt.Sprint(n.Part, n.Cut, math.Round(n.Along), math.Round(n.Across), n.Shaped, n.Holes)
			if rows[k] == nil {
				rows[k] = &n
			}
			r := rows[k]
			r.Count++
			r.Area += Area(s.Shape) / 1e6
			id := s.ID
			if len(pours) > 1 {
				id = p.Name + " " + id
			}
			r.IDs = append(r.IDs, id)
		}
	}
	out := make([]Panel, 0, len(rows))
	for _, r := range rows {
		out = append(out, *r)
	}
	sort.Slice(out, func(i, j int) bool {
		a, b := out[i], out[j]
		switch {
		case a.Cut != b.Cut:
			return !a.Cut
		case a.Part != b.Part:
			return a.Part < b.Part
		case math.Round(a.Along) != math.Round(b.Along):
			return a.Along > b.Along
		case math.Round(a.Across) != math.Round(b.Across):
			return a.Across > b.Across
		case a.Shaped != b.Shaped:
			return !a.Shaped
		}
		return !a.Holes && b.Holes
	})
	return out
}

// Measure finds the size of one sheet along and across its face grain.
func Measure(s deck.Sheet) Panel {
	sin, cos := math.Sincos(s.Grain * math.Pi / 180)
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, p := range s.Shape.Outer {
		for i, v := range [2]float64{p[0]*cos + p[1]*sin, -p[0]*sin + p[1]*cos} {
			lo[i], hi[i] = math.Min(lo[i], v), math.Max(hi[i], v)
		}
	}
	n := Panel{Part: s.Part, Cut: s.Cut, Holes: len(s.Shape.Holes) > 0}
	if len(s.Shape.Outer) > 0 {
		n.Along, n.Across = hi[0]-lo[0], hi[1]-lo[1]
	}
	const cm2 = 100.0
	n.Shaped = n.Along*n.Across-math.Abs(ringArea(s.Shape.Outer)) > cm2
	return n
}

// Contact is how much concrete the forms of one kind touch.
type Contact struct {
	What    string  // soffit of slab, side forms ...
	Length  float64 // mm of run, 0 for soffits
	Area    float64 // m2
	Kickers int
}

// Contacts are the contact areas of a pour: soffits by zone, then the vertical
// forms by kind.
func Contacts(p *deck.Pour) []Contact {
	p = p.LaidFlat()
	var out []Contact
	for _, z := range p.Site.Zones {
		c := Contact{What: "soffit of " + z.Name}
		for _, s := range z.Shapes {
			c.Area += Area(s) / 1e6
		}
		out = append(out, c)
	}
	for _, k := range []struct {
		kind deck.FormKind
		what string
	}{{deck.EdgeOf, "edge forms"}, {deck.SideOf, "side forms of beams, drops and steps"}, {deck.RiserOf, "forms of steps in the top"}} {
		c := Contact{What: k.what}
		for _, e := range p.Deck.EdgeForms {
			if e.Kind == k.kind {
				l := distance(e.From, e.To)
				c.Length += l
				c.Area += l * e.Height / 1e6
				c.Kickers += e.Kickers
			}
		}
		if c.Length > 0 {
			out = append(out, c)
		}
	}
	return out
}
