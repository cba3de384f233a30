package plan

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"sort"

	"shoreward/internal/cutting"
	"shoreward/internal/deck"
	"shoreward/internal/job"
	"shoreward/internal/sheets/count"
)

// cutUnit is the unit of the cut list, mm.
const cutUnit = 0.01

func units(mm float64) cutting.Length { return cutting.Length(math.Round(mm / cutUnit)) }

// inMm is a length of the cut list in mm, as short as it can be written.
func inMm(l cutting.Length) float64 { return float64(l) / 100 }

// overSheet is by how much a piece may be larger than its sheet and still be
// the sheet's whole length or width: coordinates of slanted decks are rounded, mm.
const overSheet = 1.0

// cutSheets makes the cut list of every pour, in the order in which they are
// poured: its pieces come from the offcuts of earlier pours as far as they fit,
// else from whole sheets, as few as can be.
func cutSheets(doc *deck.Document, j *job.Job) error {
	hand := map[string][]deck.Offcut{} // by panel
	for turn, i := range pourOrder(doc, j) {
		p := &doc.Pours[i]
		p.Cuts = &deck.Cuts{Turn: turn + 1}
		pieces := map[string][]deck.Sheet{}
		for _, s := range p.LaidFlat().Deck.Sheets {
			if s.Cut {
				pieces[s.Part] = append(pieces[s.Part], s)
			}
		}
		c := cutter{doc: doc, pour: p}
		for _, part := range slices.Sorted(maps.Keys(pieces)) {
			var err error
			if hand[part], err = c.cut(part, pieces[part], hand[part]); err != nil {
				return fmt.Errorf("pour %s: %w", p.Name, err)
			}
		}
	}
	return nil
}

// pourOrder lists the pours that have a deck by date when each has one, else as
// the job lists them.
func pourOrder(doc *deck.Document, j *job.Job) []int {
	var dates []string
	dated := true
	for _, l := range j.Levels {
		for _, p := range l.Pours {
			dates = append(dates, p.Date)
			dated = dated && p.Date != ""
		}
	}
	var order []int
	for i, p := range doc.Pours {
		if p.Refused == "" {
			order = append(order, i)
		}
	}
	if dated {
		sort.SliceStable(order, func(a, b int) bool { return dates[order[a]] < dates[order[b]] })
	}
	return order
}

// cutter writes the cut list of one pour.
type cutter struct {
	doc  *deck.Document
	pour *deck.Pour
	left int // offcuts left so far
}

// cut packs the pieces of one panel and gives what is on hand after it.
func (c *cutter) cut(part string, pieces []deck.Sheet, hand []deck.Offcut) ([]deck.Offcut, error) {
	panel := c.doc.Parts[part]
	sheet := cutting.Size{L: units(float64(panel.Length.V) * 1000), W: units(float64(panel.Width.V) * 1000)}
	o := cutting.Order{Sheet: cutting.Sheet{Size: sheet, Kerf: units(c.doc.Choices.Kerf)}, Useful: units(c.doc.Choices.OffcutMin)}
	for _, h := range hand {
		o.Offcuts = append(o.Offcuts, cutting.Size{L: units(h.Size[0]), W: units(h.Size[1])})
	}
	for _, s := range pieces {
		n := count.Measure(s) // its face grain stays along the sheet's length
		o.Pieces = append(o.Pieces, cutting.Size{L: onto(n.Along, sheet.L), W: onto(n.Across, sheet.W)})
	}
	got, err := cutting.Pack(o)
	if err != nil {
		return nil, err
	}
	list := c.pour.Cuts
	list.Sheets += got.Sheets
	list.Bound += got.Bound
	taken := map[int]bool{}
	var left []deck.Offcut
	for _, q := range got.Patterns {
		d := deck.CutPattern{ID: fmt.Sprintf("C%d", len(list.Patterns)+1), Part: part, Size: [2]float64{inMm(sheet.L), inMm(sheet.W)}}
		if q.Offcut != cutting.NewSheet {
			taken[q.Offcut] = true
			d.Offcut, d.Size = hand[q.Offcut].ID, hand[q.Offcut].Size
		}
		d.Saw = sawCuts(nil, q.Root)
		q.Root.Leaves(func(n *cutting.Node) {
			at, size := deck.Point{inMm(n.At.X), inMm(n.At.Y)}, [2]float64{inMm(n.Size.L), inMm(n.Size.W)}
			switch {
			case n.Piece != cutting.NoPiece:
				d.Pieces = append(d.Pieces, deck.CutPiece{Sheet: pieces[n.Piece].ID, At: at, Size: size})
			case n.Size.L >= o.Useful && n.Size.W >= o.Useful:
				c.left++
				d.Left = append(d.Left, deck.Offcut{ID: fmt.Sprintf("%s/R%d", c.pour.Name, c.left), At: at, Size: size})
			}
		})
		left = append(left, d.Left...)
		list.Patterns = append(list.Patterns, d)
	}
	for i, h := range hand {
		if !taken[i] {
			left = append(left, h)
		}
	}
	return left, nil
}

// onto is a size in units, no larger than the sheet where it is so by rounding.
func onto(mm float64, sheet cutting.Length) cutting.Length {
	l := max(1, units(mm))
	if l > sheet && l <= sheet+units(overSheet) {
		return sheet
	}
	return l
}

// sawCuts lists the cuts of a pattern in the order of sawing.
func sawCuts(out []deck.SawCut, n *cutting.Node) []deck.SawCut {
	if n == nil || !n.Sawn() {
		return out
	}
	f := n.First
	cut := deck.SawCut{Across: n.Across, At: inMm(f.At.X + f.Size.L), From: inMm(n.At.Y), To: inMm(n.At.Y + n.Size.W)}
	if !n.Across {
		cut = deck.SawCut{At: inMm(f.At.Y + f.Size.W), From: inMm(n.At.X), To: inMm(n.At.X + n.Size.L)}
	}
	return sawCuts(sawCuts(append(out, cut), n.First), n.Second)
}
