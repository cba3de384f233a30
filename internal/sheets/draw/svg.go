package draw

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strconv"
	"strings"
)

// SVG writes one page as a picture of its true size. Text stays text; its length is
// written with it, so that it keeps its room in whatever face the reader has.
func (p *Page) SVG() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" font-family="Liberation Sans, Arial, sans-serif">`+"\n",
		num(p.W), num(p.H), num(p.W), num(p.H))
	for _, it := range p.Items {
		switch v := it.(type) {
		case *Path:
			p.svgPath(&b, v)
		case *Circle:
			fmt.Fprintf(&b, `<circle cx="%s" cy="%s" r="%s"%s/>`+"\n", num(v.C.X), num(p.H-v.C.Y), num(v.R), svgPaint(v.Pen, v.Fill))
		case *Text:
			p.svgText(&b, v)
		}
	}
	b.WriteString("</svg>\n")
	return b.Bytes()
}

func (p *Page) svgPath(b *bytes.Buffer, v *Path) {
	var d strings.Builder
	for _, ring := range v.Rings {
		for i, q := range ring {
			d.WriteByte("ML"[min(i, 1)])
			d.WriteString(num(q.X) + " " + num(p.H-q.Y))
		}
		if v.Closed {
			d.WriteByte('Z')
		}
	}
	fmt.Fprintf(b, `<path d="%s" fill-rule="evenodd"%s/>`+"\n", d.String(), svgPaint(v.Pen, v.Fill))
}

func (p *Page) svgText(b *bytes.Buffer, t *Text) {
	x, y := num(t.At.X), num(p.H-t.At.Y)
	fmt.Fprintf(b, `<text x="%s" y="%s" font-size="%s" fill="%s" text-anchor="%s"`, x, y, num(t.Size), hex(t.Color),
		[]string{"start", "middle", "end"}[t.Align])
	if t.Str != "" {
		fmt.Fprintf(b, ` textLength="%s" lengthAdjust="spacingAndGlyphs" xml:space="preserve"`, num(Width(t.Str, t.Size, t.Bold)))
	}
	if t.Bold {
		b.WriteString(` font-weight="bold"`)
	}
	if t.Angle != 0 {
		fmt.Fprintf(b, ` transform="rotate(%s %s %s)"`, num(-t.Angle), x, y)
	}
	b.WriteByte('>')
	_ = xml.EscapeText(b, []byte(t.Str)) // a bytes.Buffer takes every write
	b.WriteString("</text>\n")
}

func svgPaint(pen Pen, fill *Color) string {
	s := ` fill="none"`
	if fill != nil {
		s = ` fill="` + hex(*fill) + `"`
	}
	if pen.Width > 0 {
		s += ` stroke="` + hex(pen.Color) + `" stroke-width="` + num(pen.Width) + `"`
	}
	if len(pen.Dash) > 0 {
		var d []string
		for _, v := range pen.Dash {
			d = append(d, num(v))
		}
		s += ` stroke-dasharray="` + strings.Join(d, " ") + `"`
	}
	return s
}

func hex(c Color) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// num writes a length on paper to a hundredth of a millimetre.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "" || s == "-0" {
		return "0"
	}
	return s
}
