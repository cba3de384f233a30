package layout

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// layEdges puts an edge form with kickers along every free edge, and guardrail
// posts along the outer border of the working strip.
func layEdges(in *Input, d *deck.Deck) error {
	var outer []plane.Ring
	for _, s := range in.Site.Strip {
		outer = append(outer, s.Rings()...)
	}
	for _, e := range in.Site.Edges {
		l := math.Hypot(e.To[0]-e.From[0], e.To[1]-e.From[1])
		if e.Kind == deck.Wall || l < 1 {
			continue
		}
		z := in.Site.ZoneBeside(plane.Point{(e.From[0] + e.To[0]) / 2, (e.From[1] + e.To[1]) / 2})
		thickness := in.Site.Zones[z].Thickness
		edge, err := in.Catalog.EdgeFormFor(in.System, quantity.Length(thickness/1000))
		if err != nil {
			return err
		}
		form := deck.EdgeForm{ID: fmt.Sprintf("E%d", len(d.EdgeForms)+1), Part: edge.ID, From: e.From, To: e.To, Height: thickness, Kicker: in.System.Kicker}
		head := thickness
		if f := in.Site.Fall; f != nil { // the site is laid flat
			if head = in.Site.EdgeHead(deck.Edge{From: f.Plan(e.From), To: f.Plan(e.To)}, thickness); head > thickness {
				head = math.Ceil(head)
				form.Head = head
			}
		}
		form.Kickers = int(math.Ceil(l/kickerPitch(in, edge, thickness, head)-1e-9)) + 1
		form.Pitch = roundUp(l / float64(form.Kickers-1))
		d.EdgeForms = append(d.EdgeForms, form)
	}
	if err := laySides(in, d); err != nil {
		return err
	}
	// Guardrails follow the free border of the deck: the strip's border that is
	// neither the slab's nor at a block.
	gp := mmOf(in.Deck.GuardPitch)
	for _, run := range guardRuns(in.Site, outer) {
		l := 0.0
		for i := 1; i < len(run); i++ {
			l += dist(run[i-1], run[i])
		}
		n := max(1, int(math.Ceil(l/gp-1e-9)))
		for i := 0; i <= n; i++ {
			d.Guards = append(d.Guards, deck.GuardPost{ID: fmt.Sprintf("G%d", len(d.Guards)+1), Part: in.System.Guard, At: walk(run, l*float64(i)/float64(n))})
		}
	}
	return nil
}

// roundUp keeps a pitch from being written smaller than the kickers stand.
func roundUp(v float64) float64 { return math.Ceil(v*100-1e-6) / 100 }

// kickerPitch is the widest spacing of kickers, up to the job's, that holds the
// edge form.
func kickerPitch(in *Input, part *catalog.Part, height, head float64) float64 {
	kicker := in.Catalog.Parts[in.System.Kicker]
	for pitch := mmOf(in.Deck.KickerPitch); pitch >= 150; pitch -= 25 {
		lines, err := in.Settings.FaceForm(part, quantity.Length(height/1000), quantity.Length(head/1000), quantity.Length(pitch/1000), kicker)
		if err != nil {
			break
		}
		if w, ok := lines.Worst(); !ok || w.Ratio <= 1 {
			return pitch
		}
	}
	return mmOf(in.Deck.KickerPitch) // the audit says what fails
}

func dist(a, b plane.Point) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }

// walk is the point at a distance along a polyline.
func walk(run []plane.Point, at float64) plane.Point {
	for i := 1; i < len(run); i++ {
		l := dist(run[i-1], run[i])
		if at <= l || i == len(run)-1 {
			t := math.Min(1, at/math.Max(l, 1e-9))
			return plane.Point{round(run[i-1][0] + (run[i][0]-run[i-1][0])*t), round(run[i-1][1] + (run[i][1]-run[i-1][1])*t)}
		}
		at -= l
	}
	return run[0]
}

// guardRuns are the straight pieces of the deck's border over a drop.
func guardRuns(site *deck.Site, rings []plane.Ring) [][]plane.Point {
	var out [][]plane.Point
	for _, r := range rings {
		for i, a := range r {
			b := r[(i+1)%len(r)]
			l := dist(a, b)
			if l < 100 {
				continue
			}
			mid := plane.Point{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}
			if onSlab(site, mid) || atBlock(site, mid) {
				continue
			}
			out = append(out, []plane.Point{a, b})
		}
	}
	return out
}

func onSlab(site *deck.Site, p plane.Point) bool {
	for _, s := range site.Slab {
		for _, r := range s.Rings() {
			if r.DistanceTo(p) < 2 {
				return true
			}
		}
	}
	return false
}

func atBlock(site *deck.Site, p plane.Point) bool {
	for _, b := range site.Blocks {
		if b.Ring.Contains(p) || b.Ring.DistanceTo(p) < 2 {
			return true
		}
	}
	return false
}

// lateralNeed is the sideways load along x and y, N, and how many ties it takes.
func lateralNeed(in *Input) (demand [2]float64, ties int) {
	dead, all := 0.0, 0.0
	add := func(shapes []plane.Shape, load rules.AreaLoad) {
		a := plane.Area(shapes) / 1e6
		dead += a * float64(in.Settings.LateralBasis(load))
		all += a * float64(load.Service())
	}
	for _, z := range in.Site.Zones {
		add(z.Shapes, in.Settings.AreaLoad(quantity.Length(z.Thickness/1000), in.Settings.FormAllowance))
	}
	add(in.Site.Strip, in.Settings.StripLoad(in.Settings.FormAllowance))
	box := plane.Bounds(in.Site.Slab)
	for dir := range 2 {
		edge := (box.Y1 - box.Y0) / 1000
		if dir == 1 {
			edge = (box.X1 - box.X0) / 1000
		}
		// 4 % over, for the parts that are heavier than the allowance; the audit counts them.
		h, _ := in.Settings.Lateral(quantity.Force(dead*1.04), quantity.Length(edge))
		if f := in.Site.Fall; f != nil {
			h += quantity.Force(rules.FallPush(quantity.Force(all*1.04), f.Rise[dir]).Value)
		}
		demand[dir] = float64(h)
		ties = max(ties, int(math.Ceil(float64(h)/float64(in.Deck.TieLoad)-1e-9)))
	}
	return demand, ties
}

// layLateral ties the deck to cast columns and walls, or braces it where there
// are not enough of them. Ties and braces that the deck has already count.
func layLateral(in *Input, d *deck.Deck) error {
	demand, n := lateralNeed(in)
	var spots []tieSpot
	if in.System.Tie != "" {
		spots = tieSpots(in.Site)
	}
	chosen := spots
	enough := len(spots) >= n && n > 0
	if enough {
		chosen = nil
		for i := range n {
			chosen = append(chosen, spots[i*len(spots)/n])
		}
	}
	for _, s := range chosen {
		if enough && len(d.Ties) >= n {
			break
		}
		if !slices.ContainsFunc(d.Ties, func(t deck.Tie) bool { return t.At == s.at }) {
			d.Ties = append(d.Ties, deck.Tie{ID: fmt.Sprintf("T%d", len(d.Ties)+1), Part: in.System.Tie, At: s.at, Block: s.block, Dirs: "xy"})
		}
	}
	if enough {
		return nil
	}
	return braces(in, d, demand, float64(len(spots))*float64(in.Deck.TieLoad))
}

type tieSpot struct {
	at    plane.Point
	block string
}

// tiesPerColumn is how many ties one column may take, one on each face.
const tiesPerColumn = 4

// tieSpots are the places for ties: each face of a column inside or at the
// slab, and every 2 m along a wall. Ordered so that spreading over the list
// spreads over the plan.
func tieSpots(site *deck.Site) []tieSpot {
	var faces [tiesPerColumn][]tieSpot
	near := func(p plane.Point) bool {
		for _, s := range site.Slab {
			for _, r := range s.Rings() {
				if r.DistanceTo(p) < 50 {
					return true
				}
			}
		}
		return plane.Within(site.Slab, p)
	}
	for _, b := range site.Blocks {
		if !b.Ties {
			continue
		}
		if b.Kind == "column" {
			n := len(b.Ring)
			for k := range tiesPerColumn {
				i := k * n / tiesPerColumn
				p := plane.Point{round((b.Ring[i][0] + b.Ring[(i+1)%n][0]) / 2), round((b.Ring[i][1] + b.Ring[(i+1)%n][1]) / 2)}
				if near(p) {
					faces[k] = append(faces[k], tieSpot{p, b.Name})
				}
			}
			continue
		}
		for i, a := range b.Ring {
			e := b.Ring[(i+1)%len(b.Ring)]
			l := dist(a, e)
			for k := 0; k < int(l/2000); k++ {
				p := walk([]plane.Point{a, e}, 1000+2000*float64(k))
				if near(p) {
					faces[0] = append(faces[0], tieSpot{p, b.Name})
				}
			}
		}
	}
	var out []tieSpot
	for _, f := range faces {
		sort.SliceStable(f, func(i, j int) bool {
			if f[i].at[0] != f[j].at[0] {
				return f[i].at[0] < f[j].at[0]
			}
			return f[i].at[1] < f[j].at[1]
		})
		out = append(out, f...)
	}
	return out
}

// braces adds diagonals at graded props until both directions are held.
func braces(in *Input, d *deck.Deck, demand [2]float64, tied float64) error {
	part := in.System.Brace
	rating := float64(in.Deck.BraceLoad)
	for dir := range 2 {
		n := int(math.Ceil((demand[dir]-tied)/rating - 1e-9))
		if n <= 0 {
			continue
		}
		if part == "" {
			return fmt.Errorf("nothing holds the deck sideways: no cast column or wall to tie to, and system %s has no brace; cast a column or wall first, or give the system a brace", in.System.ID)
		}
		placed := 0
		for _, b := range d.Braces {
			if b.At[dir] != b.Foot[dir] {
				placed++
			}
		}
		var grade, others []deck.Prop
		for _, p := range d.Props {
			if p.Kind == deck.Grade {
				grade = append(grade, p)
			} else {
				others = append(others, p)
			}
		}
		for _, spots := range [][]deck.Prop{grade, others} { // at props set to elevation first
			sort.SliceStable(spots, func(i, j int) bool { return spots[i].At[dir] < spots[j].At[dir] })
			for k := 0; k < len(spots) && placed < n; k++ {
				p := spots[(k*7919)%len(spots)] // spread over the deck; 7919 is prime
				if foot, ok := braceFoot(in, p, dir, d.Braces); ok {
					placed++
					d.Braces = append(d.Braces, deck.Brace{ID: fmt.Sprintf("S%d", len(d.Braces)+1), Part: part, At: p.At, Foot: foot})
				}
			}
		}
		if placed < n {
			return fmt.Errorf("the deck needs %d braces along %s to be held sideways and there is room for %d only; give braces or ties of a higher rating, or cast the columns first", n, [2]string{"x", "y"}[dir], placed)
		}
	}
	return nil
}

// rebrace lays braces anew whose prop repairs have moved away.
func rebrace(in *Input, d *deck.Deck) error {
	stands := map[plane.Point]bool{}
	for _, p := range d.Props {
		stands[p.At] = true
	}
	n := len(d.Braces)
	d.Braces = slices.DeleteFunc(d.Braces, func(b deck.Brace) bool { return !stands[b.At] })
	if len(d.Braces) == n {
		return nil
	}
	return layLateral(in, d)
}

// braceFoot finds where a diagonal at about 50 degrees lands.
func braceFoot(in *Input, p deck.Prop, dir int, others []deck.Brace) (plane.Point, bool) {
	for _, o := range others {
		if o.At == p.At {
			return plane.Point{}, false
		}
	}
	run := (p.Seat - p.Base) * 0.85
	for _, sign := range []float64{1, -1} {
		foot := p.At
		foot[dir] = round(foot[dir] + sign*run)
		if !in.Site.OnGround && !plane.Within(in.Site.Stand, foot) {
			continue
		}
		clear := !slices.ContainsFunc(in.Site.Clear, func(r plane.Ring) bool { return r.Contains(foot) || r.DistanceTo(foot) < 100 })
		for _, b := range in.Site.Blocks {
			if b.Ring.Contains(foot) || b.Ring.DistanceTo(foot) < 100 || crosses(b.Ring, p.At, foot) {
				clear = false
				break
			}
		}
		if clear {
			return foot, true
		}
	}
	return plane.Point{}, false
}

func crosses(r plane.Ring, a, b plane.Point) bool {
	side := func(p, q, s plane.Point) float64 {
		return (q[0]-p[0])*(s[1]-p[1]) - (q[1]-p[1])*(s[0]-p[0])
	}
	for i, c := range r {
		d := r[(i+1)%len(r)]
		if side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0 {
			return true
		}
	}
	return false
}
