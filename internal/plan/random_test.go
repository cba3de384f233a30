package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"shoreward/internal/plane"
)

// sketch draws random pours in whole steps of one unit: 10 mm, or an inch.
type sketch struct {
	*rand.Rand
	us      bool
	outline plane.Ring // mm, on whole steps
	taken   []plane.Ring
}

func (s *sketch) step() float64 {
	if s.us {
		return 25.4
	}
	return 10
}

// between is a whole number of steps from lo to hi, both in mm, in mm.
func (s *sketch) between(lo, hi float64) float64 {
	return math.Round((lo+s.Float64()*(hi-lo))/s.step()) * s.step()
}

func (s *sketch) chance(p float64) bool { return s.Float64() < p }

// text writes a length of whole steps in the job's own unit.
func (s *sketch) text(v float64) string {
	if s.us {
		return fmt.Sprintf("%.0f in", v/25.4)
	}
	return fmt.Sprintf("%.0f mm", v)
}

func (s *sketch) point(p plane.Point) string {
	return "[" + s.text(p[0]) + ", " + s.text(p[1]) + "]"
}

func (s *sketch) ring(r plane.Ring) string {
	var corners []string
	for _, p := range r {
		corners = append(corners, s.point(p))
	}
	return "[" + strings.Join(corners, ", ") + "]"
}

// free reports whether a ring lies in the outline by a margin, clear of what is
// there; it looks at points 100 mm apart along the ring.
func (s *sketch) free(r plane.Ring, margin float64) bool {
	for i, p := range r {
		q := r[(i+1)%len(r)]
		n := math.Ceil(math.Hypot(q[0]-p[0], q[1]-p[1])/100) + 1
		for k := range int(n) {
			f := float64(k) / n
			at := plane.Point{p[0] + (q[0]-p[0])*f, p[1] + (q[1]-p[1])*f}
			if !s.outline.Contains(at) || s.outline.DistanceTo(at) < margin {
				return false
			}
			for _, t := range s.taken {
				if t.Contains(at) || t.DistanceTo(at) < margin {
					return false
				}
			}
		}
	}
	for _, t := range s.taken {
		if r.Contains(t[0]) {
			return false
		}
	}
	return true
}

// randomOutline is rectilinear (rectangle, L, T, U, notched, stepped) or not
// (four corners without a right angle, convex, with corners turned in, cut at a corner).
func (s *sketch) randomOutline() plane.Ring {
	w, h := s.between(2800, 10500), s.between(2800, 8000)
	a, b := s.between(0.3*w, 0.7*w), s.between(0.3*h, 0.7*h)
	a1, a2 := s.between(0.2*w, 0.4*w), s.between(0.6*w, 0.8*w)
	half := s.between(b/2, b/2)
	switch s.IntN(11) {
	case 0, 1:
		return plane.Rect(0, 0, w, h)
	case 2:
		return plane.Ring{{0, 0}, {w, 0}, {w, b}, {a, b}, {a, h}, {0, h}}
	case 3:
		return plane.Ring{{a1, 0}, {a2, 0}, {a2, b}, {w, b}, {w, h}, {0, h}, {0, b}, {a1, b}}
	case 4:
		return plane.Ring{{0, 0}, {w, 0}, {w, h}, {a2, h}, {a2, b}, {a1, b}, {a1, h}, {0, h}}
	case 5: // a notch in a side, from a hand to a step deep
		d := s.between(100, 0.4*h)
		n := math.Min(a1+s.between(150, 1500), w-200)
		return plane.Ring{{0, 0}, {w, 0}, {w, h}, {n, h}, {n, h - d}, {a1, h - d}, {a1, h}, {0, h}}
	case 6: // steps
		return plane.Ring{{0, 0}, {w, 0}, {w, half}, {a2, half}, {a2, b}, {a1, b}, {a1, h}, {0, h}}
	case 7: // a corner cut off
		return plane.Ring{{0, 0}, {w, 0}, {w, b}, {a, h}, {0, h}}
	case 8, 9: // convex or not, by the length of its rays
		n := 5 + s.IntN(4)
		least := 0.9
		if s.chance(0.5) {
			least = 0.5
		}
		var r plane.Ring
		for k := range n {
			angle := (float64(k) + 0.6*s.Float64()) / float64(n) * 2 * math.Pi
			long := least + s.Float64()*(1-least)
			x, y := w/2*(1+long*math.Cos(angle)), h/2*(1+long*math.Sin(angle))
			r = append(r, plane.Point{s.between(x, x), s.between(y, y)})
		}
		return r
	}
	near := func(x, y float64) plane.Point {
		return plane.Point{s.between(x-0.12*w, x+0.12*w), s.between(y-0.12*h, y+0.12*h)}
	}
	return plane.Ring{near(0, 0), near(w, 0), near(w, h), near(0, h)}
}

// within reports whether all corners and middles of sides of a ring lie in the outline.
func (s *sketch) within(r plane.Ring) bool {
	for i, p := range r {
		q := r[(i+1)%len(r)]
		for _, at := range []plane.Point{p, {(p[0] + q[0]) / 2, (p[1] + q[1]) / 2}} {
			if !s.outline.Contains(at) && s.outline.DistanceTo(at) > 0.5 {
				return false
			}
		}
	}
	return true
}

// storey is one level of a random job.
type storey struct {
	openings []plane.Ring
	columns  []string // as the file has them
	walls    []string
	drops    []string
	edges    []string
	pours    []plane.Ring
}

// randomStorey puts openings, columns, walls and thickenings in the outline.
func (s *sketch) randomStorey(thickness float64) (out storey) {
	s.taken = nil
	box := s.outline.Bounds()
	for range s.IntN(4) {
		w, h := s.between(150, 3000), s.between(150, 3000)
		x, y := s.between(box.X0, box.X1), s.between(box.Y0, box.Y1)
		r := plane.Rect(x, y, x+w, y+h)
		if s.chance(0.15) { // with slanted sides
			r = plane.Ring{{x + s.between(0, 0.4*w), y}, {x + w, y + s.between(0, 0.4*h)}, {x + w - s.between(0, 0.4*w), y + h}, {x, y + h - s.between(0, 0.4*h)}}
		}
		if s.free(r, 300) {
			s.taken = append(s.taken, r)
			out.openings = append(out.openings, r)
		}
	}
	panels := s.chance(0.2)
	pitch := s.between(3500, 8000)
	off := s.between(-300, 1200)
	for x := box.X0 + off; x <= box.X1; x += pitch {
		for y := box.Y0 + off; y <= box.Y1; y += pitch {
			if s.chance(0.3) {
				continue
			}
			at := plane.Point{s.between(x, x), s.between(y, y)}
			size := s.between(200, 700)
			if r := plane.Rect(at[0]-size/2, at[1]-size/2, at[0]+size/2, at[1]+size/2); !s.free(r, 20) {
				continue
			}
			c := fmt.Sprintf("{at: %s, size: [%s, %s]}", s.point(at), s.text(size), s.text(size))
			switch {
			case s.chance(0.2):
				c = fmt.Sprintf("{at: %s, round: %s}", s.point(at), s.text(size))
			case s.chance(0.2):
				c = fmt.Sprintf("{at: %s, size: [%s, %s], turn: %d deg}", s.point(at), s.text(size), s.text(s.between(0.7*size, 0.7*size)), 5+s.IntN(80))
			}
			out.columns = append(out.columns, c)
			half := s.between(0.5*size+300, 0.5*size+900)
			if r := plane.Rect(at[0]-half, at[1]-half, at[0]+half, at[1]+half); panels && s.within(r) && s.apart(r) {
				out.drops = append(out.drops, fmt.Sprintf("{outline: %s, thickness: %s}", s.ring(r), s.text(thickness+s.between(50, 250))))
				s.taken = append(s.taken, r)
			}
		}
	}
	if s.chance(0.12) { // a thicker part along one side
		d := s.between(600, 2500)
		r := plane.Rect(box.X0, box.Y0, box.X1, box.Y0+d)
		if s.within(r) && s.apart(r) {
			out.drops = append(out.drops, fmt.Sprintf("{outline: %s, thickness: %s}", s.ring(r), s.text(thickness+s.between(50, 200))))
			s.taken = append(s.taken, r)
		}
	}
	for range s.IntN(3) {
		i := s.IntN(len(s.outline))
		p, q := s.outline[i], s.outline[(i+1)%len(s.outline)]
		if s.chance(0.4) { // inside, along x or y
			p = plane.Point{s.between(box.X0, box.X1), s.between(box.Y0, box.Y1)}
			q = plane.Point{p[0] + s.between(1000, 4000), p[1]}
			r := plane.Rect(p[0], p[1]-200, q[0], q[1]+200)
			if s.chance(0.5) {
				q = plane.Point{p[0], p[1] + s.between(1000, 4000)}
				r = plane.Rect(p[0]-200, p[1], q[0]+200, q[1])
			}
			if !s.free(r, 100) {
				continue
			}
			s.taken = append(s.taken, r)
		}
		out.walls = append(out.walls, fmt.Sprintf("{from: %s, to: %s, thickness: %s}", s.point(p), s.point(q), s.text(s.between(150, 350))))
	}
	if s.chance(0.12) {
		i := s.IntN(len(s.outline))
		p, q := s.outline[i], s.outline[(i+1)%len(s.outline)]
		out.edges = append(out.edges, fmt.Sprintf("{on: [%s, %s, %s, %s], kind: %s}", s.text(p[0]), s.text(p[1]), s.text(q[0]), s.text(q[1]), []string{"joint", "wall"}[s.IntN(2)]))
	}
	out.pours = []plane.Ring{s.outline}
	if len(s.outline) == 4 && s.outline[0] == (plane.Point{0, 0}) && s.outline[2][1] == s.outline[3][1] && s.chance(0.35) && len(out.drops) == 0 {
		// Two pours with a joint between them; what crosses the joint is left out.
		x := s.between(0.35*box.X1, 0.65*box.X1)
		clear := func(r plane.Ring) bool { b := r.Bounds(); return b.X1 < x-300 || b.X0 > x+300 }
		if !slices.ContainsFunc(out.openings, func(r plane.Ring) bool { return !clear(r) }) && s.outline[1][0] == s.outline[2][0] {
			out.pours = []plane.Ring{plane.Rect(0, 0, x, box.Y1), plane.Rect(x, 0, box.X1, box.Y1)}
			out.edges = nil
		}
	}
	return out
}

// apart reports whether no thickening or opening lies in a ring or on its border.
func (s *sketch) apart(r plane.Ring) bool {
	b := r.Bounds()
	return !slices.ContainsFunc(s.taken, func(t plane.Ring) bool { return t.Bounds().Overlaps(b, 150) })
}

// randomJob is a job file with one level on the ground, or a second on the first.
func randomJob(seed uint64) string {
	s, basis, system := begun(seed)
	thickness := s.between(110, 420)
	clear := s.between(2100, 4200)
	if s.chance(0.1) {
		clear = s.between(1500, 6500)
	}
	base := s.between(-4000, 30000)

	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("job: Random pour %d", seed)
	unit := "mm"
	if s.us {
		unit = "in"
	}
	line("basis: %s\nlengths: %s", basis, unit)
	line("system: %s\nconcrete: {strength: 30 N/mm2}\nrules: {ground: %d kN/m2}\nlevels:", system, 100+50*s.IntN(6))
	levels := 1
	if s.chance(0.25) {
		levels = 2
	}
	floor := s.randomStorey(thickness)
	for i := range levels {
		on := `"` + s.text(base) + `"`
		if i > 0 {
			on = "Level1"
			if s.chance(0.5) {
				floor = s.randomStorey(thickness)
			}
		}
		line("  - name: Level%d\n    top: %s\n    base: %s\n    pours:", i+1, s.text(base+(clear+thickness)*float64(i+1)), on)
		for k, ring := range floor.pours {
			line("      - name: P%d%c\n        slab:\n          outline: %s\n          thickness: %s", i+1, 'a'+rune(k), s.ring(ring), s.text(thickness))
			var openings []string
			for _, o := range floor.openings {
				if ring.Contains(o[0]) {
					openings = append(openings, s.ring(o))
				}
			}
			list(line, "          ", "openings", openings)
			list(line, "        ", "drops", floor.drops)
			list(line, "        ", "edges", floor.edges)
		}
		list(line, "    ", "columns", floor.columns)
		list(line, "    ", "walls", floor.walls)
	}
	return b.String()
}

// list writes a key with its entries, nothing when there are none.
func list(line func(string, ...any), indent, key string, entries []string) {
	for k, e := range entries {
		if k == 0 {
			line("%s%s:", indent, key)
		}
		line("%s  - %s", indent, e)
	}
}

// begun is the sketch of a random job up to its outline.
func begun(seed uint64) (s *sketch, basis, system string) {
	s = &sketch{Rand: rand.New(rand.NewPCG(seed, 2))}
	basis = []string{"us", "eu"}[s.IntN(2)]
	s.us = (basis == "us") != s.chance(0.15) // some in the other's units
	systems := []string{"timber-beam", "timber-beam", "timber-beam", "timber-beam", "two-length-kit", "two-length-kit", "lumber-posts", "lumber-posts", "lumber-posts"}
	system = systems[s.IntN(len(systems))]
	if s.chance(0.02) {
		system = "adjustable-posts"
	}
	s.outline = s.randomOutline()
	return s, basis, system
}
