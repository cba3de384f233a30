package draw

import (
	"bytes"
	"fmt"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// epoch is the date written into every file, so that the same document gives
// the same bytes.
var epoch = time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)

// Layers in the order in which a reader lists them; others follow as met.
type pdfWriter struct {
	f      *fpdf.Fpdf
	page   *Page
	layers map[string]int
	pen    Pen
	fill   Color
	font   fontState
}

type fontState struct {
	bold bool
	size float64
	col  Color
	set  bool
}

// PDF writes the document.
func (d *Document) PDF() ([]byte, error) {
	f := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: 210, Ht: 297}})
	f.SetCatalogSort(true)
	f.SetCreationDate(epoch)
	f.SetModificationDate(epoch)
	f.SetTitle(Drawable(d.Title), true)
	f.SetSubject(Drawable(d.Subject), true)
	f.SetCreator("Shoreward", true)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	addFonts(f)
	w := &pdfWriter{f: f, layers: map[string]int{}}
	links, err := d.anchors(f)
	if err != nil {
		return nil, err
	}
	for i, p := range d.Pages {
		w.startPage(p)
		for _, a := range p.Anchors {
			f.SetLink(links[a.Name], p.H-a.Y, i+1)
			if a.Title != "" {
				f.Bookmark(Drawable(a.Title), a.Level, p.H-a.Y)
			}
		}
		w.items()
		for _, l := range p.Links {
			id, ok := links[l.To]
			if !ok {
				return nil, fmt.Errorf("page %d links to %q, which no page has", i+1, l.To)
			}
			f.Link(l.Box.Min.X, p.H-l.Box.Max.Y, l.Box.W(), l.Box.H(), id)
		}
	}
	var out bytes.Buffer
	if err := f.Output(&out); err != nil {
		return nil, fmt.Errorf("writing the PDF: %w", err)
	}
	return out.Bytes(), nil
}

// anchors makes a link id for each named place.
func (d *Document) anchors(f *fpdf.Fpdf) (map[string]int, error) {
	links := map[string]int{}
	for i, p := range d.Pages {
		for _, a := range p.Anchors {
			if _, twice := links[a.Name]; twice {
				return nil, fmt.Errorf("page %d: the anchor %q is there twice", i+1, a.Name)
			}
			links[a.Name] = f.AddLink()
		}
	}
	return links, nil
}

// startPage begins a page; the graphics state of the last one does not carry over.
func (w *pdfWriter) startPage(p *Page) {
	w.page = p
	w.f.AddPageFormat("P", fpdf.SizeType{Wd: p.W, Ht: p.H})
	w.f.SetLineCapStyle("butt")
	w.f.SetLineJoinStyle("miter")
	w.pen, w.font = Pen{Width: -1}, fontState{}
	w.setFill(Ink)
}

// items draws all items, each run of one layer inside that layer.
func (w *pdfWriter) items() {
	open := ""
	for _, it := range w.page.Items {
		if l := it.layer(); l != open {
			if open != "" {
				w.f.EndLayer()
			}
			if l != "" {
				w.f.BeginLayer(w.layer(l))
			}
			open = l
		}
		switch v := it.(type) {
		case *Path:
			w.path(v)
		case *Circle:
			w.circle(v)
		case *Text:
			w.text(v)
		}
	}
	if open != "" {
		w.f.EndLayer()
	}
}

func (w *pdfWriter) layer(name string) int {
	id, ok := w.layers[name]
	if !ok {
		id = w.f.AddLayer(name, true)
		w.layers[name] = id
	}
	return id
}

func (w *pdfWriter) setPen(p Pen) {
	if w.pen.Width == p.Width && w.pen.Color == p.Color && equal(w.pen.Dash, p.Dash) {
		return
	}
	w.f.SetLineWidth(p.Width)
	w.f.SetDrawColor(int(p.Color.R), int(p.Color.G), int(p.Color.B))
	w.f.SetDashPattern(p.Dash, 0)
	w.pen = p
}

func equal(a, b []float64) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

func (w *pdfWriter) setFill(c Color) {
	w.f.SetFillColor(int(c.R), int(c.G), int(c.B))
	w.fill = c
}

// paint is the PDF operator for a line, a fill or both; "" for neither.
func (w *pdfWriter) paint(pen Pen, fill *Color) string {
	op := ""
	if fill != nil {
		if *fill != w.fill {
			w.setFill(*fill)
		}
		op = "F"
	}
	if pen.Width > 0 {
		w.setPen(pen)
		op += "D"
	}
	return op
}

func (w *pdfWriter) path(p *Path) {
	op := w.paint(p.Pen, p.Fill)
	if op == "" {
		return
	}
	drawn := false
	for _, ring := range p.Rings {
		if len(ring) < 2 {
			continue
		}
		drawn = true
		w.f.MoveTo(ring[0].X, w.page.H-ring[0].Y)
		for _, q := range ring[1:] {
			w.f.LineTo(q.X, w.page.H-q.Y)
		}
		if p.Closed {
			w.f.ClosePath()
		}
	}
	if !drawn {
		return
	}
	if p.Fill != nil {
		op += "*" // even-odd
	}
	w.f.DrawPath(op)
}

func (w *pdfWriter) circle(c *Circle) {
	if op := w.paint(c.Pen, c.Fill); op != "" {
		w.f.Circle(c.C.X, w.page.H-c.C.Y, c.R, op)
	}
}

func (w *pdfWriter) text(t *Text) {
	if t.Str == "" {
		return
	}
	if s := (fontState{t.Bold, t.Size, t.Color, true}); s != w.font {
		style := ""
		if t.Bold {
			style = "B"
		}
		w.f.SetFont(face, style, t.Size*72/25.4)
		w.f.SetTextColor(int(t.Color.R), int(t.Color.G), int(t.Color.B))
		w.font = s
	}
	x, y := t.At.X, w.page.H-t.At.Y
	left := x - Width(t.Str, t.Size, t.Bold)*float64(t.Align)/2
	if t.Angle == 0 {
		w.f.Text(left, y, t.Str)
		return
	}
	w.f.TransformBegin()
	w.f.TransformRotate(t.Angle, x, y)
	w.f.Text(left, y, t.Str)
	w.f.TransformEnd()
}
