package sheets

import (
	"math"
	"sort"

	"shoreward/internal/deck"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/say"
)

// datum is where running dimensions along one direction start: a gridline, the
// slab's lower left corner when the job has no grid, or the first part itself
// on lines that run along no axis.
type datum struct {
	name string // in lists: the gridline, or 0 for the corner
	text string // in a sentence
	at   float64
}

// settingOut finds datums for a pour.
type settingOut struct {
	x, y   []deck.GridLine
	corner draw.Point
}

func newSettingOut(doc *deck.Document, p *deck.Pour) settingOut {
	return settingOut{doc.Job.GridX, doc.Job.GridY, slabBox(p).Min}
}

// alongX is the datum for positions along x, nearest to at.
func (s settingOut) alongX(at float64) datum { return nearest(s.x, at, s.corner.X) }

// alongY is the datum for positions along y, nearest to at.
func (s settingOut) alongY(at float64) datum { return nearest(s.y, at, s.corner.Y) }

func nearest(lines []deck.GridLine, at, corner float64) datum {
	if len(lines) == 0 {
		return datum{"0", "corner 0", corner}
	}
	best := lines[0]
	for _, l := range lines[1:] {
		if math.Abs(l.At-at) < math.Abs(best.At-at) {
			best = l
		}
	}
	return datum{best.Name, "grid " + best.Name, best.At}
}

// line is one line of stringers with its props, or props that stand straight
// under joists.
type line struct {
	name     string
	from, to deck.Point // outer ends
	dir      draw.Point // unit vector along it, in plan
	props    []deck.Prop
	axis     byte // 'x' or 'y' when it runs along an axis, otherwise 0
	datum    datum

	stringers bool // false for props straight under joists
}

// lines gathers stringers and props by line, in the order of the names.
func lines(p *deck.Pour, so settingOut) []*line {
	byName := map[string]*line{}
	var out []*line
	get := func(name string) *line {
		l := byName[name]
		if l == nil {
			l = &line{name: name}
			byName[name] = l
			out = append(out, l)
		}
		return l
	}
	points := map[string][]deck.Point{}
	for _, s := range p.Deck.Stringers {
		get(s.Line).stringers = true
		points[s.Line] = append(points[s.Line], s.From, s.To)
	}
	for _, q := range p.Deck.Props {
		l := get(q.Line)
		l.props = append(l.props, q)
	}
	for _, l := range out {
		ps := points[l.name]
		if len(ps) == 0 {
			for _, q := range l.props {
				ps = append(ps, q.At)
			}
		}
		l.run(ps, so)
	}
	sort.SliceStable(out, func(i, j int) bool { return shorter(out[i].name, out[j].name) })
	return out
}

// shorter orders A, B ... Z, AA, AB ...
func shorter(a, b string) bool {
	if len(a) != len(b) {
		return len(a) < len(b)
	}
	return a < b
}

// run finds the direction, the ends and the datum of a line from its points,
// of which the first two are the ends of one stringer.
func (l *line) run(ps []deck.Point, so settingOut) {
	l.dir = draw.Point{X: 1}
	if len(ps) > 1 {
		l.dir = draw.Point{X: ps[1][0] - ps[0][0], Y: ps[1][1] - ps[0][1]}.Unit()
	}
	if l.dir.X < -1e-6 || (math.Abs(l.dir.X) <= 1e-6 && l.dir.Y < 0) {
		l.dir = l.dir.Times(-1)
	}
	l.from, l.to = ps[0], ps[0]
	for _, q := range ps {
		if along(l.dir, q) < along(l.dir, l.from) {
			l.from = q
		}
		if along(l.dir, q) > along(l.dir, l.to) {
			l.to = q
		}
	}
	const straight = 1e-4 // slope that is still along an axis: 1 mm in 10 m
	switch {
	case math.Abs(l.dir.Y) < straight:
		l.axis, l.datum = 'x', so.alongX(l.from[0])
	case math.Abs(l.dir.X) < straight:
		l.axis, l.datum = 'y', so.alongY(l.from[1])
	default:
		l.datum = datum{"", "its end", along(l.dir, l.from)}
	}
	sort.SliceStable(l.props, func(i, j int) bool { return along(l.dir, l.props[i].At) < along(l.dir, l.props[j].At) })
	if l.axis == 0 && len(l.props) > 0 {
		l.datum = datum{"", l.props[0].ID, along(l.dir, l.props[0].At)}
	}
}

func along(d draw.Point, p deck.Point) float64 { return d.X*p[0] + d.Y*p[1] }

// running is the position of p along the line from its datum.
func (l *line) running(p deck.Point) float64 { return along(l.dir, p) - l.datum.at }

// cross says how far the line lies from its datum across it, for lines along
// an axis.
func (l *line) cross(sh *sheet) string {
	switch l.axis {
	case 'x':
		d := sh.so.alongY(l.from[1])
		return say.Len(l.from[1]-d.at, sh.style) + " from " + d.text
	case 'y':
		d := sh.so.alongX(l.from[0])
		return say.Len(l.from[0]-d.at, sh.style) + " from " + d.text
	}
	return ""
}
