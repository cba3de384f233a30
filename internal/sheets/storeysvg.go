package sheets

import (
	"fmt"
	"strings"

	"shoreward/internal/deck"
	"shoreward/internal/reshore"
	"shoreward/internal/sheets/draw"
)

// Picture is a drawing as a file of its own.
type Picture struct {
	Name string // of the file
	SVG  []byte
}

// StoreyPictures are the pictures of a report as SVG: the building after the worst
// steps and those asked for, then the history of every slab, the worst first.
func StoreyPictures(doc *deck.Document, rep *reshore.Report, steps ...int) ([]Picture, error) {
	st, err := askedStoreys(doc, rep, steps)
	if err != nil {
		return nil, err
	}
	s := &set{doc: doc, style: doc.Job.Style, out: &draw.Document{}}
	var out []Picture
	for _, k := range st.shown() {
		s.out.Pages, s.numbers = nil, nil
		s.building(st, k)
		for n, p := range s.out.Pages {
			name := fmt.Sprintf("building-step-%d", k+1)
			if len(s.out.Pages) > 1 {
				name += fmt.Sprintf("-%d", n+1)
			}
			out = append(out, Picture{name + ".svg", p.SVG()})
		}
	}
	for _, i := range st.charted() {
		const w, h, edge = 200.0, chartHeight, 5.0
		p := &draw.Page{Name: st.slabs[i].Name, W: w + 2*edge, H: h + 2*edge, Layer: "lists"}
		p.Shape(draw.None, &draw.Paper, draw.Box{Max: draw.Point{X: p.W, Y: p.H}}.Ring())
		c := &chart{set: s, st: st, slab: i, page: p, box: draw.Box{Min: draw.Point{X: edge, Y: edge}, Max: draw.Point{X: edge + w, Y: edge + h}}}
		c.draw()
		out = append(out, Picture{fmt.Sprintf("history-%s-%d.svg", fileName(st.slabs[i].Name), i+1), p.SVG()})
	}
	return out, nil
}

// fileName keeps what every system allows in the name of a file.
func fileName(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_' || r == '.' {
			return r
		}
		return '-'
	}, s)
}
