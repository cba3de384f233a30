// Package book writes the calculation book of a plan: what was assumed and
// what is not sure, then for every pour its loads, the governing check of each
// kind worked so that a reviewer can follow it by hand, and what the pour does
// to what is below and beside it. It computes no engineering: every figure
// stands in the document.
package book

import (
	"fmt"

	"shoreward/internal/calc"
	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/flow"
	"shoreward/internal/sheets/say"
)

// PDF writes the calculation book, the same bytes for the same plan.
func PDF(doc *deck.Document) ([]byte, error) {
	d, err := Draw(doc)
	if err != nil {
		return nil, err
	}
	return d.PDF()
}

// Draw makes the pages of the book in the drawing model.
func Draw(doc *deck.Document) (*draw.Document, error) {
	if err := say.Finite(doc); err != nil {
		return nil, fmt.Errorf("calculations: %w", err)
	}
	b := &book{doc: doc, style: doc.Job.Style, sources: map[source]bool{}}
	b.w, b.h = 210, 297
	if b.style == quantity.US {
		b.w, b.h = 215.9, 279.4
	}
	b.flow = &flow.Flow{Columns: 1, Gap: 8, Size: 2.9, NewPage: b.newPage}
	b.cover()
	front := len(b.pages)
	b.flow.Break()
	b.basis()
	b.defaults()
	b.fromMemory()
	for i := range doc.Pours {
		b.pour(&doc.Pours[i])
	}
	b.storeys()
	b.parts()
	b.references()
	b.contents(front)
	b.number()
	return &draw.Document{Title: doc.Job.Name + ": calculations", Subject: "Slab formwork, design aid; the project's licensed engineer governs", Pages: b.pages}, nil
}

// book is the pages as they are made.
type book struct {
	doc   *deck.Document
	style quantity.Style
	w, h  float64
	flow  *flow.Flow
	pages []*draw.Page

	chapter, section int
	entries          []entry
	sources          map[source]bool
	sourceOrder      []source
}

// entry of the contents.
type entry struct {
	level  int
	text   string
	anchor string
	page   *draw.Page
}

// source of a rule or value with how sure it is.
type source struct {
	text     string
	evidence calc.Evidence
}

const margin = 20.0

func (b *book) newPage() (*draw.Page, draw.Box) {
	p := &draw.Page{W: b.w, H: b.h}
	b.pages = append(b.pages, p)
	top, low := b.h-14, 13.0
	p.Write(draw.Text{At: draw.Point{X: margin, Y: top + 1.5}, Size: 2.6, Color: draw.Grey, Str: draw.Fit(b.doc.Job.Name, b.w/2, 2.6, false)})
	p.Write(draw.Text{At: draw.Point{X: b.w - margin, Y: top + 1.5}, Size: 2.6, Align: draw.Right, Color: draw.Grey, Str: "Calculations, basis " + string(b.doc.Job.Basis)})
	p.Line(draw.TablePen, draw.Point{X: margin, Y: top}, draw.Point{X: b.w - margin, Y: top})
	p.Line(draw.TablePen, draw.Point{X: margin, Y: low}, draw.Point{X: b.w - margin, Y: low})
	p.Write(draw.Text{At: draw.Point{X: margin, Y: low - 4}, Size: 2.2, Color: draw.Grey, Str: sheets.Aid})
	return p, draw.Box{Min: draw.Point{X: margin, Y: low + 4}, Max: draw.Point{X: b.w - margin, Y: top - 4}}
}

// number writes the page numbers when all pages are known.
func (b *book) number() {
	for i, p := range b.pages {
		p.Write(draw.Text{At: draw.Point{X: b.w - margin, Y: 9}, Size: 2.6, Bold: true, Align: draw.Right, Color: draw.Ink,
			Str: fmt.Sprintf("page %d of %d", i+1, len(b.pages))})
	}
}

// head starts a chapter (level 0) or a section of one, listed in the contents.
func (b *book) head(level int, text string) {
	number := ""
	if level == 0 {
		b.chapter++
		b.section = 0
		number = fmt.Sprint(b.chapter)
	} else {
		b.section++
		number = fmt.Sprintf("%d.%d", b.chapter, b.section)
	}
	b.named(level, number+"  "+text, "s-"+number)
}

// named sets a heading with an anchor and lists it in the contents.
func (b *book) named(level int, text, anchor string) {
	b.flow.Heading(level, text, anchor)
	b.entries = append(b.entries, entry{level, text, anchor, b.flow.Page()})
}

// cite remembers a source for the list at the end.
func (b *book) cite(text string, e calc.Evidence) {
	if text == "" {
		return
	}
	s := source{text, e}
	if !b.sources[s] {
		b.sources[s] = true
		b.sourceOrder = append(b.sourceOrder, s)
	}
}

// contents goes in after the front pages; it lists chapters and sections with
// their pages and leads to them.
func (b *book) contents(front int) {
	body := b.pages[front:]
	b.pages = append([]*draw.Page(nil), b.pages[:front]...)
	const lead = 5.0
	first, frame := b.newPage()
	page, y := first, frame.Max.Y-8
	page.Anchors = append(page.Anchors, draw.Anchor{Name: "contents", Title: "Contents", Y: frame.Max.Y})
	page.Write(draw.Text{At: draw.Point{X: frame.Min.X, Y: y}, Size: 5, Bold: true, Color: draw.Ink, Str: "Contents"})
	y -= 8
	type line struct {
		entry
		page *draw.Page
		y    float64
	}
	var set []line
	for _, e := range b.entries {
		if y-lead < frame.Min.Y {
			page, frame = b.newPage()
			y = frame.Max.Y - 5
		}
		set = append(set, line{e, page, y})
		y -= lead
	}
	b.pages = append(b.pages, body...)
	numbers := map[*draw.Page]int{}
	for i, p := range b.pages {
		numbers[p] = i + 1
	}
	for _, l := range set {
		x := frame.Min.X + 6*float64(l.level)
		size := 3.0
		text := draw.Fit(l.text, frame.W()-20-6*float64(l.level), size, l.level == 0)
		l.page.Write(draw.Text{At: draw.Point{X: x, Y: l.y}, Size: size, Bold: l.level == 0, Color: draw.Ink, Str: text})
		l.page.Write(draw.Text{At: draw.Point{X: frame.Max.X, Y: l.y}, Size: size, Align: draw.Right, Color: draw.Ink, Str: fmt.Sprint(numbers[l.entry.page])})
		l.page.Line(draw.Pen{Width: 0.1, Dash: []float64{0.3, 1.2}, Color: draw.Grey},
			draw.Point{X: x + draw.Width(text, size, l.level == 0) + 1.5, Y: l.y}, draw.Point{X: frame.Max.X - 8, Y: l.y})
		l.page.Links = append(l.page.Links, draw.Link{Box: draw.Box{Min: draw.Point{X: x, Y: l.y - 1.2}, Max: draw.Point{X: frame.Max.X, Y: l.y + 3}}, To: l.anchor})
	}
}
