package draw

import "math"

// Placer finds free places for labels: it knows the boxes and lines that are
// taken and answers with the first of a list of wishes that meets none.
type Placer struct {
	within Box
	cells  map[[2]int][]taken
}

// taken is a place that is not free: an upright box or a line with a width.
type taken struct {
	box  Box
	line *Segment
	half float64
	soft bool // a label may cover it when there is no better place
}

const cell = 10.0 // mm, side of a cell of the index

// NewPlacer takes labels inside b only.
func NewPlacer(b Box) *Placer { return &Placer{within: b, cells: map[[2]int][]taken{}} }

// Within is where labels may be.
func (p *Placer) Within() Box { return p.within }

func (p *Placer) add(b Box, t taken) {
	for i := int(math.Floor(b.Min.X / cell)); i <= int(math.Floor(b.Max.X/cell)); i++ {
		for j := int(math.Floor(b.Min.Y / cell)); j <= int(math.Floor(b.Max.Y/cell)); j++ {
			p.cells[[2]int{i, j}] = append(p.cells[[2]int{i, j}], t)
		}
	}
}

// Block takes a box.
func (p *Placer) Block(b Box) { p.add(b, taken{box: b}) }

// BlockLine takes a line with a half width. A soft line may be covered by a
// label that finds no better place. The line is taken cell by cell, so that a
// long slanting line does not fill the index.
func (p *Placer) BlockLine(s Segment, half float64, soft bool) {
	n := int(s.B.Sub(s.A).Len()/cell) + 1
	d := s.B.Sub(s.A).Times(1 / float64(n))
	for i := range n {
		piece := Segment{s.A.Add(d.Times(float64(i))), s.A.Add(d.Times(float64(i + 1)))}
		b := BoxOf([]Point{piece.A, piece.B}).Grow(half)
		p.add(b, taken{box: b, line: &piece, half: half, soft: soft})
	}
}

// BlockRing takes the sides of a ring.
func (p *Placer) BlockRing(ring []Point, half float64, soft bool) {
	for _, s := range Sides(ring) {
		p.BlockLine(s, half, soft)
	}
}

// hits says what a label at b would meet: 0 nothing, 1 soft lines only, 2 more.
func (p *Placer) hits(b Box) int {
	if !p.within.Holds(b) {
		return 2
	}
	worst := 0
	for i := int(math.Floor(b.Min.X / cell)); i <= int(math.Floor(b.Max.X/cell)); i++ {
		for j := int(math.Floor(b.Min.Y / cell)); j <= int(math.Floor(b.Max.Y/cell)); j++ {
			for _, t := range p.cells[[2]int{i, j}] {
				if !t.meets(b) {
					continue
				}
				if !t.soft {
					return 2
				}
				worst = 1
			}
		}
	}
	return worst
}

func (t taken) meets(b Box) bool {
	if !t.box.Overlaps(b) {
		return false
	}
	if t.line == nil {
		return true
	}
	_, meets := t.line.Clip(b.Grow(t.half))
	return meets
}

// Place returns the index of the first wish that is free, or else of the first
// that covers soft lines only, and takes it; -1 when there is none.
func (p *Placer) Place(wishes []Box) int {
	fallback := -1
	for i, b := range wishes {
		switch p.hits(b) {
		case 0:
			p.Block(b)
			return i
		case 1:
			if fallback < 0 {
				fallback = i
			}
		}
	}
	if fallback >= 0 {
		p.Block(wishes[fallback])
	}
	return fallback
}

// Around lists boxes of the given size about a point, nearest first: diagonal
// places, then beside, above and below, on rings at the given gaps.
func Around(c Point, w, h float64, gaps ...float64) []Box {
	var out []Box
	for _, g := range gaps {
		x, y := g+w/2, g+h/2
		d := g * 0.75 // the diagonal places may come nearer
		for _, o := range []Point{
			{d + w/2, d + h/2}, {-d - w/2, d + h/2}, {d + w/2, -d - h/2}, {-d - w/2, -d - h/2},
			{x, 0}, {-x, 0}, {0, y}, {0, -y},
			{x, g / 2}, {x, -g / 2}, {-x, g / 2}, {-x, -g / 2},
		} {
			out = append(out, BoxAround(c.Add(o), w, h))
		}
	}
	return out
}
