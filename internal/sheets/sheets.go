// Package sheets draws a plan: for every pour a plan to scale, one section,
// the cutting of panels, the setting of every prop, the gear, the cautions and what was assumed. It
// computes no engineering: every figure on paper stands in the document.
package sheets

import (
	"fmt"

	"shoreward/internal/change"
	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/say"
)

// PDF writes the drawings of a plan, the same bytes for the same plan.
func PDF(doc *deck.Document) ([]byte, error) { return Revised(doc, nil) }

// Revised writes the drawings of a plan that follows an earlier one, with a sheet
// of changes for every pour that has any.
func Revised(doc *deck.Document, changes *change.Report) ([]byte, error) {
	d, err := DrawRevised(doc, changes)
	if err != nil {
		return nil, err
	}
	return d.PDF()
}

// Draw makes the drawings of a plan in the drawing model.
func Draw(doc *deck.Document) (*draw.Document, error) { return DrawRevised(doc, nil) }

// DrawRevised adds the sheets of changes; there may be no changes.
func DrawRevised(doc *deck.Document, changes *change.Report) (*draw.Document, error) {
	if err := say.Finite(doc); err != nil {
		return nil, fmt.Errorf("drawings: %w", err)
	}
	s := &set{doc: doc, style: doc.Job.Style,
		out: &draw.Document{Title: doc.Job.Name + ": deck drawings", Subject: "Slab formwork, design aid; the project's licensed engineer governs"}}
	for i := range doc.Pours {
		p := &doc.Pours[i]
		if p.Refused != "" {
			s.refused(p)
			continue
		}
		s.changes(p, changes)
		s.plans(p)
		s.section(p)
		s.sides(p)
		s.cuts(p)
		s.schedule(p)
	}
	if doc.Storeys != nil {
		st, err := readStoreys(doc, doc.Storeys)
		if err != nil {
			return nil, fmt.Errorf("drawings: %w", err)
		}
		s.storeys(st)
	}
	s.general()
	s.number()
	return s.out, nil
}

// set is the drawings of one job as they are made.
type set struct {
	doc   *deck.Document
	style quantity.Style
	out   *draw.Document

	numbers []numberPlace
}

// numberPlace is where a page's number goes when all pages are known.
type numberPlace struct {
	page *draw.Page
	at   draw.Point
	size float64
}

// number writes "sheet n of m" on every page.
func (s *set) number() {
	for i, n := range s.numbers {
		n.page.Layer = "frame"
		n.page.Write(draw.Text{At: n.at, Size: n.size, Bold: true, Align: draw.Right, Color: draw.Ink,
			Str: fmt.Sprintf("sheet %d of %d", i+1, len(s.numbers))})
	}
}

// page starts a sheet of paper with its frame.
func (s *set) page(f format, name string) *draw.Page {
	p := &draw.Page{Name: name, W: f.w, H: f.h, Layer: "frame"}
	p.Shape(draw.Heavy, nil, draw.Box{Min: draw.Point{X: border, Y: border}, Max: draw.Point{X: f.w - border, Y: f.h - border}}.Ring())
	s.out.Pages = append(s.out.Pages, p)
	p.Anchors = append(p.Anchors, draw.Anchor{Name: fmt.Sprintf("sheet-%d", len(s.out.Pages)), Title: name, Y: f.h})
	return p
}

// Aid is what every drawing and calculation says of itself.
const Aid = "Design aid. Local codes and the project's licensed engineer govern; nothing is signed off by this program."
