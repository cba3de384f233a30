package deck

import (
	"math"

	"shoreward/internal/catalog"
)

// MarkTolerance is how near to a setting mark a prop or a crossing must lie to
// count as set by it, mm: what a crew sets by eye. A setting of the program.
const MarkTolerance = 10.0

// OnMark says how much of a deck can be set without a tape: how many props under
// stringers stand at a setting mark of the stringer, and how many crossings of a
// joist and a stringer lie at a mark of either. Beams without marks do not count.
type OnMark struct {
	Props        float64 `json:"props"` // share, 0 to 1
	Crossings    float64 `json:"crossings"`
	PropsOn      int     `json:"props_on_mark"`
	PropsAll     int     `json:"props_of"`
	CrossingsOn  int     `json:"crossings_on_mark"`
	CrossingsAll int     `json:"crossings_of"`
	WithinMM     float64 `json:"tolerance_mm"`
}

// With adds the counts of another deck.
func (m OnMark) With(o OnMark) OnMark {
	m.PropsOn, m.PropsAll = m.PropsOn+o.PropsOn, m.PropsAll+o.PropsAll
	m.CrossingsOn, m.CrossingsAll = m.CrossingsOn+o.CrossingsOn, m.CrossingsAll+o.CrossingsAll
	return m.shares()
}

func (m OnMark) shares() OnMark {
	share := func(on, of int) float64 {
		if of == 0 {
			return 0
		}
		return float64(on) / float64(of)
	}
	m.Props, m.Crossings, m.WithinMM = share(m.PropsOn, m.PropsAll), share(m.CrossingsOn, m.CrossingsAll), MarkTolerance
	return m
}

// OnMarks counts a deck's props and crossings at setting marks.
func OnMarks(d *Deck, parts map[string]*catalog.Part) OnMark {
	var out OnMark
	stringers := markedBars(d.Stringers, parts)
	for _, p := range d.Props {
		if p.Under != "stringer" {
			continue
		}
		marked, on := false, false
		for _, s := range stringers {
			at, side := s.station(p.At)
			if at < 0 || at > s.len || math.Abs(side) > s.width/2+2 || s.pitch <= 0 {
				continue
			}
			marked, on = true, on || s.onMark(at)
		}
		if marked {
			out.PropsAll++
			if on {
				out.PropsOn++
			}
		}
	}
	for _, j := range markedBars(d.Joists, parts) {
		for _, s := range stringers {
			if j.pitch <= 0 && s.pitch <= 0 {
				continue
			}
			aj, as, ok := meet(j, s)
			if !ok {
				continue
			}
			out.CrossingsAll++
			if j.onMark(aj) || s.onMark(as) {
				out.CrossingsOn++
			}
		}
	}
	return out.shares()
}

// markedBar is a member with its setting marks, mm.
type markedBar struct {
	*Member
	len, width   float64
	ux, uy       float64
	pitch, first float64 // pitch 0: none
}

func markedBars(list []Member, parts map[string]*catalog.Part) []markedBar {
	out := make([]markedBar, 0, len(list))
	for i := range list {
		m := &list[i]
		b := markedBar{Member: m, len: math.Hypot(m.To[0]-m.From[0], m.To[1]-m.From[1])}
		if b.len == 0 {
			continue
		}
		b.ux, b.uy = (m.To[0]-m.From[0])/b.len, (m.To[1]-m.From[1])/b.len
		if p := parts[m.Part]; p != nil {
			b.width = float64(p.Width.V) * 1000
			if !m.Sawn { // a sawn beam has lost the end that its marks count from
				b.pitch, b.first = float64(p.Marks)*1000, float64(p.FirstMark)*1000
			}
		}
		out = append(out, b)
	}
	return out
}

func (b markedBar) station(p Point) (along, side float64) {
	x, y := p[0]-b.From[0], p[1]-b.From[1]
	return x*b.ux + y*b.uy, y*b.ux - x*b.uy
}

// onMark reports whether a station lies at a mark, whichever way round the beam lies.
func (b markedBar) onMark(at float64) bool {
	if b.pitch <= 0 {
		return false
	}
	for _, s := range []float64{at, b.len - at} {
		n := math.Round((s - b.first) / b.pitch)
		if mark := b.first + n*b.pitch; n >= 0 && mark <= b.len && math.Abs(s-mark) <= MarkTolerance {
			return true
		}
	}
	return false
}

// meet is where two members cross, along each.
func meet(a, b markedBar) (onA, onB float64, ok bool) {
	den := a.ux*b.uy - a.uy*b.ux
	if math.Abs(den) < 1e-9 {
		return 0, 0, false
	}
	x, y := b.From[0]-a.From[0], b.From[1]-a.From[1]
	onA, onB = (x*b.uy-y*b.ux)/den, (x*a.uy-y*a.ux)/den
	return onA, onB, onA >= 0 && onA <= a.len && onB >= 0 && onB <= b.len
}
