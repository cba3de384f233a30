package audit

import (
	"fmt"
	"math"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// Tolerances of the cut list, mm: of places on a sheet, which are written to a
// hundredth, and of a piece against the part of the deck that it is cut for.
const (
	sawTolerance   = 0.03
	pieceTolerance = 1.0
)

// Cuts proves the cut list of one pour of a document: every cut sheet of the
// deck comes out of exactly one pattern, large enough and with its grain along
// the sheet's; the saw cuts of a pattern run from edge to edge and leave its pieces
// and offcuts; an offcut that is taken was left by an earlier pour and is taken
// once. How the list was made is of no account.
func Cuts(doc *deck.Document, pour int) []deck.Finding {
	p := doc.Pours[pour].LaidFlat() // pieces have the size that they have in the slope
	c := &cutAudit{doc: doc, pour: p, sheets: map[string]*deck.Sheet{}, in: map[string]string{}}
	cut := 0
	for i := range p.Deck.Sheets {
		s := &p.Deck.Sheets[i]
		c.sheets[s.ID] = s
		if s.Cut {
			cut++
		}
	}
	if p.Cuts == nil {
		if cut > 0 {
			c.find("cut list", nil, "the plan has no cut list, and %d sheets of the deck are cut", cut)
		}
		return c.found
	}
	if k := doc.Choices.Kerf; !(k >= 0 && k <= 20) {
		c.find("cut list", nil, "a kerf of %g mm is no saw's: give 0 to 20 mm", k)
		return c.found
	}
	for i := range doc.Pours {
		if o := doc.Pours[i].Cuts; i != pour && o != nil && o.Turn == p.Cuts.Turn {
			c.find("cut list", nil, "pour %s is cut in the same turn, %d: which offcuts come first cannot be told", doc.Pours[i].Name, o.Turn)
		}
	}
	names, sheets := map[string]bool{}, 0
	for i := range p.Cuts.Patterns {
		q := &p.Cuts.Patterns[i]
		if q.ID == "" || names[q.ID] {
			c.find("cut list", nil, "pattern id %q is empty or stands twice", q.ID)
		}
		names[q.ID] = true
		if q.Offcut == "" {
			sheets++
		}
		c.source(q)
		c.pieces(q)
		c.saw(q)
	}
	if sheets != p.Cuts.Sheets {
		c.find("cut list", nil, "%d whole sheets are cut up, said to be %d", sheets, p.Cuts.Sheets)
	}
	for i := range p.Deck.Sheets {
		if s := &p.Deck.Sheets[i]; s.Cut && c.in[s.ID] == "" {
			c.find(s.ID, s, "cut list: the sheet is cut but comes out of no pattern")
		}
	}
	return c.found
}

type cutAudit struct {
	doc    *deck.Document
	pour   *deck.Pour
	sheets map[string]*deck.Sheet
	in     map[string]string // pattern that a sheet comes out of
	found  []deck.Finding
}

func (c *cutAudit) find(member string, at *deck.Sheet, format string, args ...any) {
	f := deck.Finding{Member: member, What: fmt.Sprintf(format, args...), Fails: true}
	if at != nil && len(at.Shape.Outer) > 0 {
		b := at.Shape.Outer.Bounds()
		f.At = plane.Point{(b.X0 + b.X1) / 2, (b.Y0 + b.Y1) / 2}
	}
	c.found = append(c.found, f)
}

// source checks where a pattern's panel comes from.
func (c *cutAudit) source(q *deck.CutPattern) {
	part := c.doc.Parts[q.Part]
	if part == nil || part.Kind != catalog.Sheet {
		c.find(q.ID, nil, "cut list: part %q is no panel that the plan describes", q.Part)
		return
	}
	if q.Offcut == "" {
		if l, w := float64(part.Length.V)*1000, float64(part.Width.V)*1000; math.Abs(q.Size[0]-l) > sawTolerance || math.Abs(q.Size[1]-w) > sawTolerance {
			c.find(q.ID, nil, "cut list: a whole sheet is %g by %g mm, not %g by %g", l, w, q.Size[0], q.Size[1])
		}
		return
	}
	left, earlier, taken := 0, false, 0
	for i := range c.doc.Pours {
		o := c.doc.Pours[i].Cuts
		if o == nil {
			continue
		}
		for k := range o.Patterns {
			other := &o.Patterns[k]
			if other.Offcut == q.Offcut {
				taken++
			}
			for _, l := range other.Left {
				if l.ID == q.Offcut {
					left++
					earlier = o.Turn < c.pour.Cuts.Turn && other.Part == q.Part &&
						math.Abs(l.Size[0]-q.Size[0]) <= sawTolerance && math.Abs(l.Size[1]-q.Size[1]) <= sawTolerance
				}
			}
		}
	}
	switch {
	case left != 1:
		c.find(q.ID, nil, "cut list: the offcut %s is left %d times in the job, and must be once", q.Offcut, left)
	case !earlier:
		c.find(q.ID, nil, "cut list: no earlier pour leaves an offcut %s of %g by %g mm of %s", q.Offcut, q.Size[0], q.Size[1], q.Part)
	case taken != 1:
		c.find(q.ID, nil, "cut list: the offcut %s is taken %d times", q.Offcut, taken)
	}
}

// pieces checks that each piece is what its sheet of the deck needs.
func (c *cutAudit) pieces(q *deck.CutPattern) {
	for _, x := range q.Pieces {
		s := c.sheets[x.Sheet]
		if s == nil {
			c.find(q.ID, nil, "cut list: piece %s is no sheet of the deck", x.Sheet)
			continue
		}
		if first := c.in[x.Sheet]; first != "" {
			c.find(x.Sheet, s, "cut list: the sheet comes out of %s and of %s", first, q.ID)
		}
		c.in[x.Sheet] = q.ID
		if !s.Cut {
			c.find(x.Sheet, s, "cut list: the sheet is whole but is cut in %s", q.ID)
		}
		if s.Part != q.Part {
			c.find(x.Sheet, s, "cut list: the sheet is %s, and %s is %s", s.Part, q.ID, q.Part)
		}
		along, across := extents(s)
		switch {
		case x.Size[0] >= along-pieceTolerance && x.Size[1] >= across-pieceTolerance:
		case x.Size[1] >= along-pieceTolerance && x.Size[0] >= across-pieceTolerance:
			c.find(x.Sheet, s, "cut list: the piece is turned against its face grain in %s", q.ID)
		default:
			c.find(x.Sheet, s, "cut list: the piece is %.1f by %.1f mm in %s, the deck needs %.1f along its face grain by %.1f", x.Size[0], x.Size[1], q.ID, along, across)
		}
	}
}

// extents are a sheet's size along its face grain and across it.
func extents(s *deck.Sheet) (along, across float64) {
	sin, cos := math.Sincos(s.Grain * math.Pi / 180)
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, p := range s.Shape.Outer {
		for i, v := range [2]float64{p[0]*cos + p[1]*sin, p[1]*cos - p[0]*sin} {
			lo[i], hi[i] = math.Min(lo[i], v), math.Max(hi[i], v)
		}
	}
	return hi[0] - lo[0], hi[1] - lo[1]
}

// board is a rectangle on the saw: from and to, along and across.
type board struct{ a, b [2]float64 }

func (r board) is(at deck.Point, size [2]float64) bool {
	for i := range 2 {
		if math.Abs(r.a[i]-at[i]) > sawTolerance || math.Abs(r.b[i]-at[i]-size[i]) > sawTolerance {
			return false
		}
	}
	return true
}

// saw makes the cuts of a pattern one after the other and looks for its pieces
// and offcuts among what lies on the bench at the end.
func (c *cutAudit) saw(q *deck.CutPattern) {
	bench := []board{{b: q.Size}}
	for n, cut := range q.Saw {
		i, j := 0, 1 // the cut stands at a place in i and runs along j
		if !cut.Across {
			i, j = 1, 0
		}
		hit := -1
		for k, r := range bench {
			if math.Abs(r.a[j]-cut.From) <= sawTolerance && math.Abs(r.b[j]-cut.To) <= sawTolerance && cut.At > r.a[i] && cut.At < r.b[i] {
				hit = k
			}
		}
		if hit < 0 {
			c.find(q.ID, nil, "cut list: saw cut %d runs through no board from edge to edge", n+1)
			return
		}
		r := bench[hit]
		first, second := r, r
		first.b[i], second.a[i] = cut.At, cut.At+c.doc.Choices.Kerf
		bench[hit] = first
		if second.b[i] > second.a[i] {
			bench = append(bench, second)
		}
	}
	lies := func(what string, at deck.Point, size [2]float64) {
		for k, r := range bench {
			if r.is(at, size) {
				bench = append(bench[:k], bench[k+1:]...) // each board is one thing only
				return
			}
		}
		c.find(what, c.sheets[what], "cut list: the saw leaves no board of %g by %g mm for it in %s", size[0], size[1], q.ID)
	}
	for _, x := range q.Pieces {
		lies(x.Sheet, x.At, x.Size)
	}
	for _, o := range q.Left {
		lies(o.ID, o.At, o.Size)
	}
}
