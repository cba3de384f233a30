// Package flow sets running matter on pages of the drawing model: headings,
// paragraphs and tables that break over columns and pages with their headings
// repeated.
package flow

import (
	"shoreward/internal/sheets/draw"
)

// Flow fills the columns of pages from the top. Every page comes from NewPage,
// which also says where the text may be.
type Flow struct {
	NewPage func() (*draw.Page, draw.Box)
	Columns int     // at least 1
	Gap     float64 // between columns, mm
	Size    float64 // em of running text

	page  *draw.Page
	frame draw.Box
	col   int
	top   float64 // where the columns of this page begin
	y     float64
	low   float64 // the lowest point reached in the columns of this page
}

// Leading is the distance of lines as a share of the em.
const Leading = 1.28

// Page is the page that is being filled.
func (f *Flow) Page() *draw.Page {
	f.start()
	return f.page
}

func (f *Flow) start() {
	if f.page == nil {
		f.Break()
	}
}

// Break goes to the next page.
func (f *Flow) Break() {
	f.page, f.frame = f.NewPage()
	f.col, f.y, f.top, f.low = 0, f.frame.Max.Y, f.frame.Max.Y, f.frame.Max.Y
	if f.Columns < 1 {
		f.Columns = 1
	}
}

// Width of a column.
func (f *Flow) Width() float64 {
	f.start()
	n := float64(f.Columns)
	return (f.frame.W() - f.Gap*(n-1)) / n
}

// Split goes on below what stands on the page in n columns.
func (f *Flow) Split(n int) {
	f.start()
	f.Columns, f.col, f.top, f.low = n, 0, f.y, f.y
	if f.y-f.frame.Min.Y < 30*f.Size {
		f.Break()
	}
}

// Join goes back to one column below the longest of the columns.
func (f *Flow) Join() {
	f.start()
	if f.col > 0 {
		f.y = f.low
	}
	f.Columns, f.col, f.top = 1, 0, f.frame.Max.Y
}

// left edge of the column.
func (f *Flow) left() float64 {
	return f.frame.Min.X + float64(f.col)*(f.Width()+f.Gap)
}

// fresh reports whether nothing stands in the column yet.
func (f *Flow) fresh() bool { return f.y >= f.top }

// Need goes on to the next column unless h mm are left in this one.
func (f *Flow) Need(h float64) {
	f.start()
	if f.y-h >= f.frame.Min.Y || f.fresh() {
		return
	}
	if f.col+1 < f.Columns {
		f.col++
		f.y = f.top
		return
	}
	f.Break()
}

// Take reserves a block of height h over the width of the column.
func (f *Flow) Take(h float64) draw.Box {
	f.Need(h)
	b := draw.Box{Min: draw.Point{X: f.left(), Y: f.y - h}, Max: draw.Point{X: f.left() + f.Width(), Y: f.y}}
	f.y -= h
	f.low = min(f.low, f.y)
	return b
}

// Space leaves h mm free, nothing at the top of a column.
func (f *Flow) Space(h float64) {
	if f.start(); !f.fresh() {
		f.y -= h
	}
}

// Heading sets a heading that stays with what follows. With anchor it can be
// linked to, and is a bookmark of its level.
func (f *Flow) Heading(level int, text, anchor string) {
	size := []float64{5, 3.7, 3}[min(level, 2)]
	f.Space(size * 0.9)
	lines := draw.Wrap(text, f.Width(), size, true)
	f.Need(size*Leading*float64(len(lines)) + 6*f.Size*Leading)
	if anchor != "" {
		f.page.Anchors = append(f.page.Anchors, draw.Anchor{Name: anchor, Title: text, Level: level, Y: f.y})
	}
	for _, l := range lines {
		f.line(l, size, true, draw.Ink, 0)
	}
	f.Space(size * 0.3)
}

// line sets one line of text at an indent.
func (f *Flow) line(s string, size float64, bold bool, c draw.Color, indent float64) draw.Point {
	b := f.Take(size * Leading)
	at := draw.Point{X: b.Min.X + indent, Y: b.Min.Y + size*(Leading-0.95)}
	f.page.Write(draw.Text{At: at, Size: size, Bold: bold, Color: c, Str: s})
	return at
}

// Para sets a paragraph.
func (f *Flow) Para(s string) { f.para(s, 0, false, draw.Ink) }

// Strong sets a paragraph in bold.
func (f *Flow) Strong(s string) { f.para(s, 0, true, draw.Ink) }

// Note sets a paragraph in grey.
func (f *Flow) Note(s string) { f.para(s, 0, false, draw.Grey) }

// Bullet sets a paragraph behind a dash.
func (f *Flow) Bullet(s string) {
	f.Need(2 * f.Size * Leading)
	page, y, x := f.page, f.y, f.left()
	page.Write(draw.Text{At: draw.Point{X: x, Y: y - f.Size*0.95}, Size: f.Size, Color: draw.Ink, Str: "–"})
	f.para(s, 1.3*f.Size, false, draw.Ink)
}

func (f *Flow) para(s string, indent float64, bold bool, c draw.Color) {
	f.start()
	for _, l := range draw.Wrap(s, f.Width()-indent, f.Size, bold) {
		f.line(l, f.Size, bold, c, indent)
	}
	f.Space(f.Size * 0.35)
}
