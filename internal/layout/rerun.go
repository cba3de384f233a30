package layout

import (
	"cmp"
	"math"
	"slices"

	"shoreward/internal/deck"
	"shoreward/internal/plane"
)

// laid is a run as it was laid: enough to lay it again when the proof finds
// that its joists hand down more than the layout thought.
type laid struct {
	line   int
	y      float64
	on     []contact
	pieces []stringer
	xa, xb float64    // what they must cover
	room   plane.Span // where they may lie
	again  int        // how often it was laid again
	spoilt bool       // repairs have put other parts under it
}

// ofItsOwn is the field for one deck, whose repairs change no other deck's.
func (f *field) ofItsOwn() *field {
	own := *f
	own.laid = slices.Clone(f.laid)
	for i := range own.laid {
		own.laid[i].on = slices.Clone(own.laid[i].on)
	}
	return &own
}

// mostAgain is how often a run is laid again before single props are added.
const mostAgain = 3

// layAgain lays those runs again in which stringers or props carry too much,
// under the loads that the proof found there. It gives back the findings that
// it leaves to others.
func (f *field) layAgain(in *Input, d *deck.Deck, found []deck.Finding, handed []deck.Handed, stringers map[string]*deck.Member, props map[string]*deck.Prop) (rest []deck.Finding, did bool) {
	more := make([][]deck.Finding, len(f.laid)) // by run
	some := false
	for _, x := range found {
		line := ""
		if m := stringers[x.Member]; m != nil && m.Field == f.name {
			line = m.Line
		} else if p := props[x.Member]; p != nil && p.Under == "stringer" {
			line = p.Line
		}
		i := -1
		if x.Fails && x.Ratio > 1 && line != "" {
			i = f.runAt(line, f.r.f.in(x.At)[0])
		}
		if i < 0 || f.laid[i].again >= mostAgain || f.laid[i].spoilt {
			rest = append(rest, x)
			continue
		}
		more[i], some = append(more[i], x), true
	}
	if !some {
		return rest, false
	}
	f.learn(handed, stringers, more)
	for i, findings := range more {
		if findings == nil {
			continue
		}
		l := &f.laid[i]
		if l.again++; l.again > 1 { // the loads are known by now: what is left is in how the beam is judged
			for _, x := range findings {
				at := f.r.f.in(x.At)[0]
				const about = 1000 // mm
				for c := range l.on {
					if math.Abs(l.on[c].x-at) < about {
						l.on[c].load *= math.Min(x.Ratio, 1.15) + 0.002
					}
				}
			}
		}
		f.relay(in, d, l)
	}
	return rest, true
}

// learn puts what joists really hand to the runs that are laid again for the first time.
func (f *field) learn(handed []deck.Handed, stringers map[string]*deck.Member, more [][]deck.Finding) {
	sums := map[int]map[int]float64{} // by run and joist
	for _, h := range handed {
		m := stringers[h.Stringer]
		if m == nil || m.Field != f.name {
			continue
		}
		x := f.r.f.in(h.At)[0]
		i := f.runAt(m.Line, x)
		if i < 0 || more[i] == nil || f.laid[i].again > 0 {
			continue
		}
		c, ok := contactAt(f.laid[i].on, x)
		if !ok {
			continue
		}
		if sums[i] == nil {
			sums[i] = map[int]float64{}
		}
		sums[i][c] += h.Load
	}
	for i, by := range sums {
		for c, load := range by {
			f.laid[i].on[c].load = learnt(load)
		}
	}
}

// contactAt is the joist of a run at x.
func contactAt(on []contact, x float64) (i int, ok bool) {
	i, _ = slices.BinarySearchFunc(on, x-joistSlack, func(c contact, x float64) int { return cmp.Compare(c.x, x) })
	return i, i < len(on) && on[i].x <= x+joistSlack
}

// learnt is the load of a contact that the proof has found: in steps, so that alike
// runs stay alike, and without what the proof of a run counts on top.
func learnt(load float64) float64 { return math.Ceil(load/learnStep) * learnStep / sheetUneven }

const (
	joistSlack = 20.0 // how far from where it was laid a joist's contact may be found, mm
	learnStep  = 10.0 // N
)

// runAt is the run of a line that reaches over x, -1 for none.
func (f *field) runAt(line string, x float64) int {
	return slices.IndexFunc(f.laid, func(l laid) bool {
		return lineKey(f.name, f.lines[l.line].y) == line && x >= l.pieces[0].x0-1 && x <= l.pieces[len(l.pieces)-1].x1+1
	})
}

// relay lays the stringers and props of a run anew.
func (f *field) relay(in *Input, d *deck.Deck, l *laid) {
	pieces, plan := f.cover(l.on, l.y, l.xa, l.xb, l.room)
	if pieces == nil || plan == nil && l.again > 1 {
		l.spoilt = true // nothing better is known: single props may help
		return
	}
	f.sides(l.line, l.y, pieces)
	key := lineKey(f.name, f.lines[l.line].y)
	a, b := l.pieces[0].x0-1, l.pieces[len(l.pieces)-1].x1+1
	within := func(line string, at plane.Point) bool {
		x := f.r.f.in(at)[0]
		return line == key && x >= a && x <= b
	}
	d.Props = slices.DeleteFunc(d.Props, func(p deck.Prop) bool { return within(p.Line, p.At) })
	d.Stringers = slices.DeleteFunc(d.Stringers, func(m deck.Member) bool { return within(m.Line, m.From) })
	l.pieces = pieces
	for _, p := range pieces {
		d.Stringers = append(d.Stringers, f.member(p))
	}
	for _, p := range f.propRun(*l, plan) {
		d.Props = append(d.Props, f.k.place(in, f.r.f.out(p.x, p.y), key, p))
	}
}

// member is a stringer as a placed part.
func (f *field) member(b stringer) deck.Member {
	fr := f.r.f
	return deck.Member{Field: f.name, Line: lineKey(f.name, f.lines[b.line].y), Part: b.stock.part.ID,
		From: fr.out(b.x0, b.y), To: fr.out(b.x1, b.y), Top: round(f.k.heights.stringerTop), Sawn: b.sawn}
}
