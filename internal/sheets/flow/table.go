package flow

import (
	"strings"

	"shoreward/internal/sheets/draw"
)

// Col is a column of a table. Share is its part of the table's width.
type Col struct {
	Head  string
	Share float64
	Align draw.Align
}

// Row is a row of a table. Fails flags it by a bar, bold text and colour.
type Row struct {
	Cells []string
	Bold  bool
	Fails bool
}

// Table breaks between rows and repeats its heading.
type Table struct {
	Title string
	Cols  []Col
	Rows  []Row
	Size  float64 // em; 0 for the flow's
}

const cellPad = 0.8 // mm on each side of a cell

// setRow is a row broken into lines.
type setRow struct {
	Row
	cells [][]string
	lines int
}

// Table sets t.
func (f *Flow) Table(t Table) {
	f.start()
	if len(t.Rows) == 0 {
		return
	}
	size := t.Size
	if size == 0 {
		size = f.Size
	}
	s := &tableSetter{flow: f, t: t, size: size, widths: t.widths(f.Width())}
	heads := make([]string, len(t.Cols))
	for i, c := range t.Cols {
		heads[i] = c.Head
	}
	s.head = s.wrap(Row{Cells: heads, Bold: true})
	first := true
	for _, r := range t.Rows {
		set := s.wrap(r)
		need := s.height(set)
		if first {
			need += s.headHeight() + 2*size*Leading
		}
		page, col := f.page, f.col
		f.Need(need)
		if first || page != f.page || col != f.col {
			s.heading(!first)
		}
		first = false
		s.row(set)
	}
	f.Space(size)
}

func (t Table) widths(total float64) []float64 {
	sum := 0.0
	for _, c := range t.Cols {
		sum += c.Share
	}
	out := make([]float64, len(t.Cols))
	for i, c := range t.Cols {
		out[i] = total * c.Share / sum
	}
	return out
}

type tableSetter struct {
	flow   *Flow
	t      Table
	size   float64
	widths []float64
	head   setRow
}

func (s *tableSetter) wrap(r Row) setRow {
	out := setRow{Row: r, lines: 1}
	for i := range s.t.Cols {
		text := ""
		if i < len(r.Cells) {
			text = r.Cells[i]
		}
		lines := draw.Wrap(text, s.widths[i]-2*cellPad, s.size, r.Bold || r.Fails)
		out.cells = append(out.cells, lines)
		out.lines = max(out.lines, len(lines))
	}
	return out
}

func (s *tableSetter) height(r setRow) float64 {
	return float64(r.lines)*s.size*Leading + s.size*0.3
}

func (s *tableSetter) headHeight() float64 {
	h := s.height(s.head) + s.size*0.2
	if s.t.Title != "" {
		h += s.size * 1.2 * Leading
	}
	return h
}

func (s *tableSetter) heading(again bool) {
	f := s.flow
	if s.t.Title != "" {
		title := s.t.Title
		if again {
			title += " (continued)"
		}
		f.line(draw.Fit(title, f.Width(), s.size*1.2, true), s.size*1.2, true, draw.Ink, 0)
	}
	b := f.Take(s.height(s.head) + s.size*0.2)
	s.cells(s.head, b, draw.Ink)
	f.page.Line(draw.TableHead, b.Min, draw.Point{X: b.Max.X, Y: b.Min.Y})
}

// row sets one row; a row taller than what is left of a column goes on in the next.
func (s *tableSetter) row(r setRow) {
	f := s.flow
	for r.lines > 0 {
		room := int((f.y - f.frame.Min.Y - s.size*0.3) / (s.size * Leading))
		if room < 1 {
			f.Need(f.frame.H())
			s.heading(true)
			continue
		}
		part, rest := r.split(min(room, r.lines))
		b := f.Take(s.height(part))
		color := draw.Ink
		if r.Fails {
			color = draw.Brick
			f.page.Shape(draw.None, &draw.Brick, draw.Box{Min: draw.Point{X: b.Min.X - 1.6, Y: b.Min.Y}, Max: draw.Point{X: b.Min.X - 0.4, Y: b.Max.Y}}.Ring())
		}
		s.cells(part, b, color)
		f.page.Line(draw.TablePen, b.Min, draw.Point{X: b.Max.X, Y: b.Min.Y})
		r = rest
	}
}

// split cuts a row after n lines.
func (r setRow) split(n int) (setRow, setRow) {
	first, rest := r, r
	first.cells, rest.cells = nil, nil
	for _, c := range r.cells {
		k := min(n, len(c))
		first.cells = append(first.cells, c[:k])
		rest.cells = append(rest.cells, c[k:])
	}
	first.lines, rest.lines = n, r.lines-n
	return first, rest
}

func (s *tableSetter) cells(r setRow, b draw.Box, color draw.Color) {
	x := b.Min.X
	for i, lines := range r.cells {
		w := s.widths[i]
		at := draw.Point{X: x + cellPad, Y: b.Max.Y - 1.15*s.size}
		switch s.t.Cols[i].Align {
		case draw.Middle:
			at.X = x + w/2
		case draw.Right:
			at.X = x + w - cellPad
		}
		for _, l := range lines {
			if l = strings.TrimSpace(l); l != "" {
				s.flow.page.Write(draw.Text{At: at, Size: s.size, Bold: r.Bold || r.Fails, Align: s.t.Cols[i].Align, Color: color, Str: l})
			}
			at.Y -= s.size * Leading
		}
		x += w
	}
}
