package job

import (
	"fmt"
	"strings"

	"shoreward/internal/plane"
	"shoreward/internal/quantity"
	"shoreward/internal/yamlfile"
)

// build turns the checked tree into the job and judges what values mean
// together. Nodes with mistakes are passed over: they have been reported.
func (r *reader) build(root *node) {
	j := &Job{
		Name:   word(root.Get("job")),
		Basis:  r.basis,
		Style:  r.style,
		System: word(root.Get("system")),
	}
	r.job = j
	if n := root.Get("catalog"); n.OK() {
		j.Catalog = n.Text
	}
	r.system(root.Get("system"))
	r.settings(root)
	r.grid(root.Get("grid"))
	r.levels(root.Get("levels"))
	r.later(root)
	r.storeys(root)
}

// word is the text of a node, "" when it is not there.
func word(n *node) string {
	if !n.OK() {
		return ""
	}
	return n.Text
}

// num is the number of a node, 0 when it is not there.
func num(n *node) float64 {
	if !n.OK() {
		return 0
	}
	return n.Value
}

func meters(n *node) quantity.Length { return quantity.Length(num(n)) }

func pointOf(n *node) Point {
	if !n.OK() || len(n.Items) != 2 {
		return Point{}
	}
	return Point{meters(n.Items[0]), meters(n.Items[1])}
}

// grid reads the gridlines; names are unique and lines rise.
func (r *reader) grid(n *node) {
	names := map[string]string{}
	for _, axis := range []string{"x", "y"} {
		lines := &r.job.Grid.X
		if axis == "y" {
			lines = &r.job.Grid.Y
		}
		if n.Get(axis) == nil {
			continue
		}
		for _, e := range n.Get(axis).Entries {
			if !e.Value.OK() || e.Key.Bad {
				continue
			}
			line := GridLine{e.Key.Text, meters(e.Value)}
			if other := names[line.Name]; other != "" && other != axis {
				r.problem(e.Key, fmt.Sprintf("gridline %s is named twice, along x and along y", line.Name), "give it another name")
			}
			names[line.Name] = axis
			if k := len(*lines); k > 0 && line.At <= (*lines)[k-1].At {
				r.problem(e.Value, fmt.Sprintf("gridline %s at %s is not beyond gridline %s at %s", line.Name, line.At.Text(r.style),
					(*lines)[k-1].Name, (*lines)[k-1].At.Text(r.style)), "list the lines in rising order")
			}
			*lines = append(*lines, line)
		}
	}
}

// levels reads the storeys from the lowest up.
func (r *reader) levels(n *node) {
	if n == nil || n.Shape != yamlfile.List {
		return
	}
	names, pours := map[string]bool{}, map[string]bool{}
	index := map[string]int{}
	for i, ln := range n.Items {
		if name := word(ln.Get("name")); name != "" {
			if _, twice := index[name]; !twice {
				index[name] = i
			}
		}
	}
	for i, ln := range n.Items {
		l := Level{Name: word(ln.Get("name")), Top: meters(ln.Get("top"))}
		if l.Name != "" && names[l.Name] {
			r.problem(ln.Get("name"), fmt.Sprintf("a level named %q is already there", l.Name), "give every level a name of its own")
		}
		names[l.Name] = true
		r.rises(n.Items, i)
		for _, pn := range ln.Get("pours").List() {
			l.Pours = append(l.Pours, r.pour(pn, pours, l.Top))
		}
		r.base(ln, n.Items, i, index, &l)
		r.poursApart(ln.Get("pours").List(), l.Pours)
		l.Columns = r.columns(ln.Get("columns"), l.Pours)
		l.Walls = r.walls(ln.Get("walls"), l.Pours)
		r.job.Levels = append(r.job.Levels, l)
	}
}

// rises reports a level whose top is not above that of the level before it.
func (r *reader) rises(levels []*node, i int) {
	top := levels[i].Get("top")
	if i == 0 || !top.OK() || !levels[i-1].Get("top").OK() {
		return
	}
	if before := levels[i-1]; num(top) <= num(before.Get("top")) {
		r.problem(top, fmt.Sprintf("the top of level %s, %s, is not above that of level %s before it, %s", word(levels[i].Get("name")),
			meters(top).Text(r.style), word(before.Get("name")), meters(before.Get("top")).Text(r.style)), "list the levels from the lowest up")
	}
}

// base reads what the props of level i stand on: a level below by its name, or
// an elevation. A name wins over a number only in quotes.
func (r *reader) base(ln *node, levels []*node, i int, index map[string]int, l *Level) {
	n := ln.Get("base")
	if !n.OK() {
		return
	}
	k, named := index[n.Text]
	z, err := quantity.ParseLength(n.Text, r.bare)
	switch {
	case named && err == nil && !n.Quoted:
		r.problem(n, fmt.Sprintf("%s is the name of a level and also reads as a height", n.Text),
			fmt.Sprintf("write %q in quotes for the level, or a height with its unit", n.Text))
		return
	case named && k >= i:
		r.problem(n, fmt.Sprintf("level %s cannot stand on level %s, which is not below it", l.Name, n.Text), "name a level that stands earlier in the list")
		return
	case named:
		if !levels[k].Get("top").OK() {
			return
		}
		l.Base = Base{Level: n.Text, Z: meters(levels[k].Get("top"))}
	case err != nil:
		right := "write the name of a level below, or a height like " + r.eg("0 ft", "0 m")
		if near := nearest(n.Text, namesBefore(levels, i)); near != "" {
			right = fmt.Sprintf("did you mean %q?", near)
		}
		r.problem(n, fmt.Sprintf("%q is neither the name of a level nor a height", n.Text), right)
		return
	default:
		l.Base = Base{Z: z}
	}
	if !ln.Get("top").OK() {
		return
	}
	for _, p := range l.Pours {
		if soffit := p.lowest(l.Top); p.Slab.Thickness > 0 && soffit <= l.Base.Z {
			r.problem(n, fmt.Sprintf("the props of level %s would stand at %s, not below the soffit of pour %s at %s", l.Name,
				l.Base.Z.Text(r.style), p.Name, soffit.Text(r.style)), "give the level or elevation that the props stand on")
			return
		}
	}
}

func namesBefore(levels []*node, i int) (names []string) {
	for _, l := range levels[:i] {
		names = append(names, word(l.Get("name")))
	}
	return names
}

// deepest is the greatest thickness of concrete in the pour.
func (p Pour) deepest() quantity.Length {
	d := p.Slab.Thickness
	for _, z := range p.Drops {
		d = max(d, z.Thickness)
	}
	for _, b := range p.Beams {
		d = max(d, b.Depth)
	}
	for _, s := range p.Steps {
		d = max(d, s.Thickness-s.Rise)
	}
	return d
}

// eg picks an example in the job's units.
func (r *reader) eg(us, metric string) string {
	if r.style == quantity.US {
		return us
	}
	return metric
}

// outline reads an outline and reports repeated corners, crossing sides and a
// clockwise course. It returns nil for an outline that nothing can be compared with.
func (r *reader) outline(n *node, what string) Outline {
	if !n.OK() {
		return nil
	}
	o := make(Outline, 0, len(n.Items))
	for _, c := range n.Items {
		o = append(o, pointOf(c))
	}
	ring := o.Ring()
	if pairs := repeated(ring); len(pairs) > 0 {
		for _, p := range pairs {
			right := "take it out"
			if p[0] == 0 && p[1] == len(o)-1 {
				right = "take it out: an outline closes by itself"
			}
			r.problem(n.Items[p[1]], fmt.Sprintf("corner %d of %s stands where corner %d stands", p[1]+1, what, p[0]+1), right)
		}
		n.Bad = true
		return nil
	}
	if i, k, found := crossing(ring); found {
		r.problem(n.Items[k], fmt.Sprintf("%s crosses or touches itself: the side from corner %d %s meets the side from corner %d %s", what,
			i+1, r.place(ring[i]), k+1, r.place(ring[k])), "list the corners in their order around the outline")
		n.Bad = true
		return nil
	}
	if ring.SignedArea() < 0 {
		r.problem(n, what+" runs clockwise", "list its corners counterclockwise: "+backwards(n))
	}
	return o.counterclockwise()
}

// backwards writes the corners of an outline in the other direction, first corner first.
func backwards(n *node) string {
	const many = 12
	if len(n.Items) > many {
		return "the same corners, last to first"
	}
	var corners []string
	for i := range n.Items {
		c := n.Items[(len(n.Items)-i)%len(n.Items)]
		corners = append(corners, "["+c.Items[0].Text+", "+c.Items[1].Text+"]")
	}
	return "[" + strings.Join(corners, ", ") + "]"
}

// pour reads a pour of a level with a top; names holds the names of all pours so far.
func (r *reader) pour(n *node, names map[string]bool, top quantity.Length) Pour {
	p := Pour{Name: word(n.Get("name")), Date: word(n.Get("date"))}
	if p.Name != "" && names[p.Name] {
		r.problem(n.Get("name"), fmt.Sprintf("a pour named %q is already there", p.Name), "give every pour a name of its own")
	}
	names[p.Name] = true

	slab := n.Get("slab")
	p.Slab.Outline = r.outline(slab.Get("outline"), "the outline")
	p.Slab.Thickness = meters(slab.Get("thickness"))
	ring := p.Slab.Outline.Ring()
	openings := slab.Get("openings").List()
	for i, on := range openings {
		o := r.outline(on, count1("opening", i, len(openings)))
		p.Slab.Openings = append(p.Slab.Openings, o)
		r.inside(on, count1("opening", i, len(openings)), o.Ring(), ring)
	}
	r.separate(openings, p.Slab.Openings, "opening")
	p.Slab.Fall = r.fall(n, top)
	p.Drops = r.drops(n.Get("drops"), p.Slab)
	p.Beams = r.beams(n.Get("beams"), p.Slab, p.Drops)
	p.Steps = r.steps(n.Get("steps"), p)
	p.Edges = r.edges(n.Get("edges"), p.Slab)
	if n.Get("edges") == nil {
		r.assume("edges of pour "+p.Name, "free unless a wall lies there", "the job says nothing of its edges")
	}
	return p
}

// count1 names item i of n: "the opening", "opening 2".
func count1(what string, i, n int) string {
	if n == 1 {
		return "the " + what
	}
	return fmt.Sprintf("%s %d", what, i+1)
}

// inside reports a ring that does not lie inside the slab.
func (r *reader) inside(n *node, what string, ring, slab plane.Ring) {
	if len(ring) == 0 || len(slab) == 0 {
		return
	}
	out, err := outside(ring, slab)
	switch {
	case err != nil:
		r.problem(n, what+" cannot be compared with the slab: "+err.Error(), "simplify its corners")
	case out > ring.SignedArea()-someArea:
		r.problem(n, what+" lies outside the slab", "check its corners against the slab's outline")
	case out > someArea:
		r.problem(n, fmt.Sprintf("%s runs out of the slab: %s of it lies outside", what, quantity.Area(out/1e6).Text(r.style)),
			"end it at the slab's edge, or draw the notch in the slab's outline")
	}
}

// separate reports outlines of a list that overlap.
func (r *reader) separate(nodes []*node, outlines []Outline, what string) {
	rings := make([]plane.Ring, len(outlines))
	for i, o := range outlines {
		rings[i] = o.Ring()
	}
	for j := range rings {
		for i := range j {
			if len(rings[i]) == 0 || len(rings[j]) == 0 {
				continue
			}
			both, err := shared(rings[i], rings[j])
			switch {
			case err != nil:
				r.problem(nodes[j], fmt.Sprintf("%s %d cannot be compared with %s %d: %v", what, j+1, what, i+1, err), "simplify its corners")
			case both > someArea:
				r.problem(nodes[j], fmt.Sprintf("%s %d overlaps %s %d by %s", what, j+1, what, i+1, quantity.Area(both/1e6).Text(r.style)),
					"draw them as one, or apart")
			}
		}
	}
}

func (r *reader) drops(n *node, slab Slab) (drops []Zone) {
	var nodes []*node
	var outlines []Outline
	for i, dn := range n.List() {
		what := count1("drop", i, len(n.Items))
		z := Zone{r.outline(dn.Get("outline"), what), meters(dn.Get("thickness"))}
		if z.Outline != nil {
			r.inside(dn.Get("outline"), what, z.Outline.Ring(), slab.Outline.Ring())
		}
		r.deeper(dn.Get("thickness"), what+" is", slab.Thickness)
		drops = append(drops, z)
		nodes, outlines = append(nodes, dn), append(outlines, z.Outline)
	}
	r.separate(nodes, outlines, "drop")
	return drops
}

// deeper reports a drop or beam that does not go below the slab's soffit.
func (r *reader) deeper(n *node, what string, slab quantity.Length) {
	if n.OK() && slab > 0 && meters(n) <= slab {
		r.problem(n, fmt.Sprintf("%s %s deep, not deeper than the slab's %s", what, meters(n).Text(r.style), slab.Text(r.style)),
			"give its whole depth, slab included")
	}
}

func (r *reader) beams(n *node, slab Slab, drops []Zone) (beams []DropBeam) {
	for i, bn := range n.List() {
		b := DropBeam{pointOf(bn.Get("from")), pointOf(bn.Get("to")), meters(bn.Get("width")), meters(bn.Get("depth"))}
		beams = append(beams, b)
		what := count1("beam", i, len(n.Items))
		r.deeper(bn.Get("depth"), what+" is", slab.Thickness)
		if !r.line(bn, what) || slab.Outline == nil {
			continue
		}
		ring := slab.Outline.Ring()
		in := true
		for _, end := range []string{"from", "to"} {
			if p := pointOf(bn.Get(end)).mm(); !ring.Contains(p) && ring.DistanceTo(p) > onLine {
				in = false
				r.problem(bn.Get(end), fmt.Sprintf("%s ends outside the slab, at %s", what, r.place(p)), "move the end of its centreline into the slab or onto its edge")
			}
		}
		if in && bn.Get("width").OK() && bn.Get("depth").OK() {
			r.beamFits(bn, what, b, ring, drops)
		}
	}
	return beams
}

// beamFits reports a beam whose width runs out of the slab, or that runs through
// a drop of another thickness, where it would not be clear which depth is meant.
func (r *reader) beamFits(n *node, what string, b DropBeam, slab plane.Ring, drops []Zone) {
	foot := b.Footprint()
	out, err := outside(foot, slab)
	switch {
	case err != nil:
		r.problem(n, what+" cannot be compared with the slab: "+err.Error(), "simplify its corners")
	case out > onLine*(b.Width.Millimetres()+plane.Distance(foot[0], foot[1], foot[1])):
		r.problem(n, fmt.Sprintf("%s runs out of the slab: %s of it lies outside", what, quantity.Area(out/1e6).Text(r.style)),
			"from and to are its centreline: keep it half of its width inside the slab's edge")
	}
	for i, d := range drops {
		if d.Outline == nil || d.Thickness == b.Depth {
			continue
		}
		if both, err := shared(foot, d.Outline.Ring()); err == nil && both > someArea {
			r.problem(n.Get("depth"), fmt.Sprintf("%s is %s deep and runs through %s of %s: two depths in one place", what, b.Depth.Text(r.style),
				count1("drop", i, len(drops)), d.Thickness.Text(r.style)), "end the beam at the drop, cut the drop's outline back beside it, or give both the same depth")
		}
	}
}

// steps reads the parts of a slab with another top.
func (r *reader) steps(n *node, p Pour) (steps []Step) {
	slab := p.Slab
	var nodes []*node
	var outlines []Outline
	for i, sn := range n.List() {
		what := count1("step", i, len(n.Items))
		s := Step{r.outline(sn.Get("outline"), what), meters(sn.Get("rise")), slab.Thickness}
		if t := sn.Get("thickness"); t.OK() {
			s.Thickness = meters(t)
		}
		nodes, outlines, steps = append(nodes, sn), append(outlines, s.Outline), append(steps, s)
		if rise := sn.Get("rise"); rise.OK() && slab.Thickness > 0 && s.Thickness > 0 {
			switch {
			case s.Rise == 0:
				r.problem(rise, what+" has the level's top", "give how far its top lies higher, or lower with a minus; a part that is only thicker is a drop")
			case s.Rise-s.Thickness >= 0, s.Rise <= -slab.Thickness:
				r.problem(rise, fmt.Sprintf("%s does not meet the slab: %s thick, its top %s off the level's", what, s.Thickness.Text(r.style), s.Rise.Text(r.style)),
					"give it a smaller rise or a thickness that reaches the slab, or make it a pour of its own")
			}
		}
		if s.Outline == nil {
			continue
		}
		ring := s.Outline.Ring()
		r.inside(sn.Get("outline"), what, ring, slab.Outline.Ring())
		for k, d := range p.Drops {
			r.apart(sn.Get("outline"), what, ring, count1("drop", k, len(p.Drops)), d.Outline.Ring())
		}
		for k, b := range p.Beams {
			r.apart(sn.Get("outline"), what, ring, count1("beam", k, len(p.Beams)), b.Footprint())
		}
	}
	r.separate(nodes, outlines, "step")
	return steps
}

// apart reports a step that shares ground with something measured from the level's top.
func (r *reader) apart(n *node, what string, ring plane.Ring, other string, with plane.Ring) {
	if len(ring) == 0 || len(with) == 0 {
		return
	}
	if both, err := shared(ring, with); err == nil && both > someArea {
		r.problem(n, fmt.Sprintf("%s and %s overlap by %s: the depth of the one is measured from the level's top, the other has a top of its own", what, other,
			quantity.Area(both/1e6).Text(r.style)), "end the step at its side")
	}
}

// line reports a centreline without length; it returns whether there is one.
func (r *reader) line(n *node, what string) bool {
	from, to := n.Get("from"), n.Get("to")
	if !from.OK() || !to.OK() {
		return false
	}
	if a, b := pointOf(from).mm(), pointOf(to).mm(); plane.Distance(a, b, b) < samePoint {
		r.problem(to, what+" has no length", "give two different ends")
		return false
	}
	return true
}

func (r *reader) edges(n *node, slab Slab) (edges []EdgeRule) {
	for _, en := range n.List() {
		on := en.Get("on")
		if !on.OK() || len(on.Items) != 4 {
			continue
		}
		e := EdgeRule{Point{meters(on.Items[0]), meters(on.Items[1])}, Point{meters(on.Items[2]), meters(on.Items[3])}, word(en.Get("kind"))}
		edges = append(edges, e)
		a, b := e.From.mm(), e.To.mm()
		length := plane.Distance(a, b, b)
		if length < samePoint {
			r.problem(on, "the edge has no length", "give two different ends [x1, y1, x2, y2]")
			continue
		}
		if slab.Outline == nil {
			continue
		}
		rings := []plane.Ring{slab.Outline.Ring()}
		for _, o := range slab.Openings {
			rings = append(rings, o.Ring())
		}
		if along(a, b, rings) < length-2*onLine {
			r.problem(on, fmt.Sprintf("the piece from %s to %s does not lie on the slab's edge", r.place(a), r.place(b)),
				"give two points on one straight side of the outline")
		}
	}
	return edges
}

// poursApart reports pours of a level that overlap.
func (r *reader) poursApart(nodes []*node, pours []Pour) {
	for j := range pours {
		for i := range j {
			if pours[i].Slab.Outline == nil || pours[j].Slab.Outline == nil {
				continue
			}
			at := nodes[j].Get("slab").Get("outline")
			both, err := sharedSlab(pours[i].Slab, pours[j].Slab)
			switch {
			case err != nil:
				r.problem(at, fmt.Sprintf("pour %s cannot be compared with pour %s: %v", pours[j].Name, pours[i].Name, err), "simplify its corners")
			case both > someArea:
				r.problem(at, fmt.Sprintf("pour %s overlaps pour %s by %s", pours[j].Name, pours[i].Name, quantity.Area(both/1e6).Text(r.style)),
					"end the pours of a level at a joint between them")
			}
		}
	}
}

func (r *reader) columns(n *node, pours []Pour) (columns []Column) {
	for i, cn := range n.List() {
		what := count1("column", i, len(n.Items))
		c := Column{At: pointOf(cn.Get("at")), Round: meters(cn.Get("round")), Turn: quantity.Angle(num(cn.Get("turn")))}
		sides := cn.Get("size")
		if sides.OK() && len(sides.Items) == 2 {
			c.Size = [2]quantity.Length{meters(sides.Items[0]), meters(sides.Items[1])}
		}
		columns = append(columns, c)
		switch {
		case cn.Shape != yamlfile.Block:
			continue
		case sides != nil && cn.Get("round") != nil:
			r.problem(cn, what+" has both a size and a diameter", "keep size for a rectangular column, round for a round one")
			continue
		case sides == nil && cn.Get("round") == nil:
			r.problem(cn, what+" has no size", "add size: [along x, along y], or round: its diameter")
			continue
		case c.Round == 0 && c.Size[0] == 0 || !cn.Get("at").OK():
			continue
		}
		ring := c.Footprint()
		r.under(cn.Get("at"), what, ring, pours)
		for k, other := range columns[:i] {
			if o := other.Footprint(); other.Round > 0 || other.Size[0] > 0 {
				if both, err := shared(ring, o); err == nil && both > someArea {
					r.problem(cn.Get("at"), fmt.Sprintf("%s stands in column %d", what, k+1), "check its place")
				}
			}
		}
	}
	return columns
}

// under reports a column or wall that no pour of its level reaches.
func (r *reader) under(n *node, what string, ring plane.Ring, pours []Pour) {
	for _, p := range pours {
		if p.Slab.Outline == nil || meet(ring, p.Slab.Outline.Ring()) {
			return // reached, or not to be judged
		}
	}
	if len(pours) > 0 {
		r.problem(n, fmt.Sprintf("%s at %s is outside every slab of its level", what, r.place(ring.Centroid())), "check its place against the outlines")
	}
}

func (r *reader) walls(n *node, pours []Pour) (walls []WallLine) {
	for i, wn := range n.List() {
		what := count1("wall", i, len(n.Items))
		w := WallLine{pointOf(wn.Get("from")), pointOf(wn.Get("to")), meters(wn.Get("thickness"))}
		walls = append(walls, w)
		if r.line(wn, what) && w.Thickness > 0 {
			r.under(wn.Get("from"), what, w.Footprint(), pours)
		}
	}
	return walls
}

// later reads the keys that later tools use: they are checked and kept.
func (r *reader) later(root *node) {
	j := r.job
	if c := root.Get("crew"); c.OK() {
		j.Crew = Crew{int(num(c.Get("carpenters"))), int(num(c.Get("labourers"))), num(c.Get("hours"))}
		if c.Get("carpenters").OK() && c.Get("labourers").OK() && j.Crew.Carpenters+j.Crew.Labourers == 0 {
			r.problem(c, "the crew has nobody in it", "give at least one carpenter or labourer, or leave the crew out")
		}
	}
	if s := root.Get("stock"); s != nil && s.Shape == yamlfile.Block {
		j.Stock = map[string]int{}
		for _, e := range s.Entries {
			r.part(e.Key)
			j.Stock[e.Key.Text] = int(num(e.Value))
		}
	}
	if f := root.Get("floors"); f.OK() {
		j.Floors = Floors{word(f.Get("cycle")), word(f.Get("shores")), word(f.Get("reshores"))}
	}
	for _, n := range root.Get("pins").List() {
		j.Pins = append(j.Pins, r.pin(n))
	}
}
