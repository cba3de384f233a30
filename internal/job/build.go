package job

import (
	"fmt"
	"slices"
	"strings"

	"shoreward/internal/plane"
	"shoreward/internal/quantity"
)

// build turns the checked tree into the job and judges what values mean
// together. Nodes with mistakes are passed over: they have been reported.
func (r *reader) build(root *node) {
	j := &Job{
		Name:   word(root.get("job")),
		Basis:  r.basis,
		Style:  r.style,
		System: word(root.get("system")),
	}
	r.job = j
	if n := root.get("catalog"); n.ok() {
		j.Catalog = n.text
	}
	r.system(root.get("system"))
	r.settings(root)
	r.grid(root.get("grid"))
	r.levels(root.get("levels"))
	r.later(root)
}

// word is the text of a node, "" when it is not there.
func word(n *node) string {
	if !n.ok() {
		return ""
	}
	return n.text
}

// num is the number of a node, 0 when it is not there.
func num(n *node) float64 {
	if !n.ok() {
		return 0
	}
	return n.value
}

func meters(n *node) quantity.Length { return quantity.Length(num(n)) }

func pointOf(n *node) Point {
	if !n.ok() || len(n.items) != 2 {
		return Point{}
	}
	return Point{meters(n.items[0]), meters(n.items[1])}
}

// grid reads the gridlines; names are unique and lines rise.
func (r *reader) grid(n *node) {
	names := map[string]string{}
	for _, axis := range []string{"x", "y"} {
		lines := &r.job.Grid.X
		if axis == "y" {
			lines = &r.job.Grid.Y
		}
		if n.get(axis) == nil {
			continue
		}
		for _, e := range n.get(axis).entries {
			if !e.value.ok() || e.key.bad {
				continue
			}
			line := GridLine{e.key.text, meters(e.value)}
			if other := names[line.Name]; other != "" && other != axis {
				r.problem(e.key, fmt.Sprintf("gridline %s is named twice, along x and along y", line.Name), "give it another name")
			}
			names[line.Name] = axis
			if k := len(*lines); k > 0 && line.At <= (*lines)[k-1].At {
				r.problem(e.value, fmt.Sprintf("gridline %s at %s is not beyond gridline %s at %s", line.Name, line.At.Text(r.style),
					(*lines)[k-1].Name, (*lines)[k-1].At.Text(r.style)), "list the lines in rising order")
			}
			*lines = append(*lines, line)
		}
	}
}

// levels reads the storeys from the lowest up.
func (r *reader) levels(n *node) {
	if n == nil || n.shape != list {
		return
	}
	names, pours := map[string]bool{}, map[string]bool{}
	index := map[string]int{}
	for i, ln := range n.items {
		if name := word(ln.get("name")); name != "" {
			if _, twice := index[name]; !twice {
				index[name] = i
			}
		}
	}
	for i, ln := range n.items {
		l := Level{Name: word(ln.get("name")), Top: meters(ln.get("top"))}
		if l.Name != "" && names[l.Name] {
			r.problem(ln.get("name"), fmt.Sprintf("a level named %q is already there", l.Name), "give every level a name of its own")
		}
		names[l.Name] = true
		r.rises(n.items, i)
		for _, pn := range ln.get("pours").list() {
			l.Pours = append(l.Pours, r.pour(pn, pours))
		}
		r.base(ln, n.items, i, index, &l)
		r.poursApart(ln.get("pours").list(), l.Pours)
		l.Columns = r.columns(ln.get("columns"), l.Pours)
		l.Walls = r.walls(ln.get("walls"), l.Pours)
		r.job.Levels = append(r.job.Levels, l)
	}
}

// rises reports a level whose top is not above that of the level before it.
func (r *reader) rises(levels []*node, i int) {
	top := levels[i].get("top")
	if i == 0 || !top.ok() || !levels[i-1].get("top").ok() {
		return
	}
	if before := levels[i-1]; num(top) <= num(before.get("top")) {
		r.problem(top, fmt.Sprintf("the top of level %s, %s, is not above that of level %s before it, %s", word(levels[i].get("name")),
			meters(top).Text(r.style), word(before.get("name")), meters(before.get("top")).Text(r.style)), "list the levels from the lowest up")
	}
}

// base reads what the props of level i stand on: a level below by its name, or
// an elevation. A name wins over a number only in quotes.
func (r *reader) base(ln *node, levels []*node, i int, index map[string]int, l *Level) {
	n := ln.get("base")
	if !n.ok() {
		return
	}
	k, named := index[n.text]
	z, err := quantity.ParseLength(n.text, r.bare)
	switch {
	case named && err == nil && !n.quoted:
		r.problem(n, fmt.Sprintf("%s is the name of a level and also reads as a height", n.text),
			fmt.Sprintf("write %q in quotes for the level, or a height with its unit", n.text))
		return
	case named && k >= i:
		r.problem(n, fmt.Sprintf("level %s cannot stand on level %s, which is not below it", l.Name, n.text), "name a level that stands earlier in the list")
		return
	case named:
		if !levels[k].get("top").ok() {
			return
		}
		l.Base = Base{Level: n.text, Z: meters(levels[k].get("top"))}
	case err != nil:
		right := "write the name of a level below, or a height like " + r.eg("0 ft", "0 m")
		if near := nearest(n.text, namesBefore(levels, i)); near != "" {
			right = fmt.Sprintf("did you mean %q?", near)
		}
		r.problem(n, fmt.Sprintf("%q is neither the name of a level nor a height", n.text), right)
		return
	default:
		l.Base = Base{Z: z}
	}
	if !ln.get("top").ok() {
		return
	}
	for _, p := range l.Pours {
		if soffit := l.Top - p.deepest(); p.Slab.Thickness > 0 && soffit <= l.Base.Z {
			r.problem(n, fmt.Sprintf("the props of level %s would stand at %s, not below the soffit of pour %s at %s", l.Name,
				l.Base.Z.Text(r.style), p.Name, soffit.Text(r.style)), "give the level or elevation that the props stand on")
			return
		}
	}
}

func namesBefore(levels []*node, i int) (names []string) {
	for _, l := range levels[:i] {
		names = append(names, word(l.get("name")))
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
	if !n.ok() {
		return nil
	}
	o := make(Outline, 0, len(n.items))
	for _, c := range n.items {
		o = append(o, pointOf(c))
	}
	ring := o.Ring()
	if pairs := repeated(ring); len(pairs) > 0 {
		for _, p := range pairs {
			right := "take it out"
			if p[0] == 0 && p[1] == len(o)-1 {
				right = "take it out: an outline closes by itself"
			}
			r.problem(n.items[p[1]], fmt.Sprintf("corner %d of %s stands where corner %d stands", p[1]+1, what, p[0]+1), right)
		}
		n.bad = true
		return nil
	}
	if i, k, found := crossing(ring); found {
		r.problem(n.items[k], fmt.Sprintf("%s crosses or touches itself: the side from corner %d %s meets the side from corner %d %s", what,
			i+1, r.place(ring[i]), k+1, r.place(ring[k])), "list the corners in their order around the outline")
		n.bad = true
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
	if len(n.items) > many {
		return "the same corners, last to first"
	}
	var corners []string
	for i := range n.items {
		c := n.items[(len(n.items)-i)%len(n.items)]
		corners = append(corners, "["+c.items[0].text+", "+c.items[1].text+"]")
	}
	return "[" + strings.Join(corners, ", ") + "]"
}

// pour reads a pour; names holds the names of all pours so far.
func (r *reader) pour(n *node, names map[string]bool) Pour {
	p := Pour{Name: word(n.get("name")), Date: word(n.get("date"))}
	if p.Name != "" && names[p.Name] {
		r.problem(n.get("name"), fmt.Sprintf("a pour named %q is already there", p.Name), "give every pour a name of its own")
	}
	names[p.Name] = true

	slab := n.get("slab")
	p.Slab.Outline = r.outline(slab.get("outline"), "the outline")
	p.Slab.Thickness = meters(slab.get("thickness"))
	ring := p.Slab.Outline.Ring()
	openings := slab.get("openings").list()
	for i, on := range openings {
		o := r.outline(on, count1("opening", i, len(openings)))
		p.Slab.Openings = append(p.Slab.Openings, o)
		r.inside(on, count1("opening", i, len(openings)), o.Ring(), ring)
	}
	r.separate(openings, p.Slab.Openings, "opening")
	p.Drops = r.drops(n.get("drops"), p.Slab)
	p.Beams = r.beams(n.get("beams"), p.Slab)
	p.Edges = r.edges(n.get("edges"), p.Slab)
	if n.get("edges") == nil {
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
	for i, dn := range n.list() {
		what := count1("drop", i, len(n.items))
		z := Zone{r.outline(dn.get("outline"), what), meters(dn.get("thickness"))}
		if z.Outline != nil {
			r.inside(dn.get("outline"), what, z.Outline.Ring(), slab.Outline.Ring())
		}
		r.deeper(dn.get("thickness"), what+" is", slab.Thickness)
		drops = append(drops, z)
		nodes, outlines = append(nodes, dn), append(outlines, z.Outline)
	}
	r.separate(nodes, outlines, "drop")
	return drops
}

// deeper reports a drop or beam that does not go below the slab's soffit.
func (r *reader) deeper(n *node, what string, slab quantity.Length) {
	if n.ok() && slab > 0 && meters(n) <= slab {
		r.problem(n, fmt.Sprintf("%s %s deep, not deeper than the slab's %s", what, meters(n).Text(r.style), slab.Text(r.style)),
			"give its whole depth, slab included")
	}
}

func (r *reader) beams(n *node, slab Slab) (beams []DropBeam) {
	for i, bn := range n.list() {
		b := DropBeam{pointOf(bn.get("from")), pointOf(bn.get("to")), meters(bn.get("width")), meters(bn.get("depth"))}
		beams = append(beams, b)
		what := count1("beam", i, len(n.items))
		r.deeper(bn.get("depth"), what+" is", slab.Thickness)
		if !r.line(bn, what) || slab.Outline == nil {
			continue
		}
		ring := slab.Outline.Ring()
		for _, end := range []string{"from", "to"} {
			if p := pointOf(bn.get(end)).mm(); !ring.Contains(p) && ring.DistanceTo(p) > onLine {
				r.problem(bn.get(end), fmt.Sprintf("%s ends outside the slab, at %s", what, r.place(p)), "end its centreline in the slab or on its edge")
			}
		}
	}
	return beams
}

// line reports a centreline without length; it returns whether there is one.
func (r *reader) line(n *node, what string) bool {
	from, to := n.get("from"), n.get("to")
	if !from.ok() || !to.ok() {
		return false
	}
	if a, b := pointOf(from).mm(), pointOf(to).mm(); plane.Distance(a, b, b) < samePoint {
		r.problem(to, what+" has no length", "give two different ends")
		return false
	}
	return true
}

func (r *reader) edges(n *node, slab Slab) (edges []EdgeRule) {
	for _, en := range n.list() {
		on := en.get("on")
		if !on.ok() || len(on.items) != 4 {
			continue
		}
		e := EdgeRule{Point{meters(on.items[0]), meters(on.items[1])}, Point{meters(on.items[2]), meters(on.items[3])}, word(en.get("kind"))}
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
			at := nodes[j].get("slab").get("outline")
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
	for i, cn := range n.list() {
		what := count1("column", i, len(n.items))
		c := Column{At: pointOf(cn.get("at")), Round: meters(cn.get("round")), Turn: quantity.Angle(num(cn.get("turn")))}
		sides := cn.get("size")
		if sides.ok() && len(sides.items) == 2 {
			c.Size = [2]quantity.Length{meters(sides.items[0]), meters(sides.items[1])}
		}
		columns = append(columns, c)
		switch {
		case cn.shape != block:
			continue
		case sides != nil && cn.get("round") != nil:
			r.problem(cn, what+" has both a size and a diameter", "keep size for a rectangular column, round for a round one")
			continue
		case sides == nil && cn.get("round") == nil:
			r.problem(cn, what+" has no size", "add size: [along x, along y], or round: its diameter")
			continue
		case c.Round == 0 && c.Size[0] == 0 || !cn.get("at").ok():
			continue
		}
		ring := c.Footprint()
		r.under(cn.get("at"), what, ring, pours)
		for k, other := range columns[:i] {
			if o := other.Footprint(); other.Round > 0 || other.Size[0] > 0 {
				if both, err := shared(ring, o); err == nil && both > someArea {
					r.problem(cn.get("at"), fmt.Sprintf("%s stands in column %d", what, k+1), "check its place")
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
	for i, wn := range n.list() {
		what := count1("wall", i, len(n.items))
		w := WallLine{pointOf(wn.get("from")), pointOf(wn.get("to")), meters(wn.get("thickness"))}
		walls = append(walls, w)
		if r.line(wn, what) && w.Thickness > 0 {
			r.under(wn.get("from"), what, w.Footprint(), pours)
		}
	}
	return walls
}

// later reads the keys that later tools use: they are checked and kept.
func (r *reader) later(root *node) {
	j := r.job
	if c := root.get("crew"); c.ok() {
		j.Crew = Crew{int(num(c.get("carpenters"))), int(num(c.get("labourers"))), num(c.get("hours"))}
		if c.get("carpenters").ok() && c.get("labourers").ok() && j.Crew.Carpenters+j.Crew.Labourers == 0 {
			r.problem(c, "the crew has nobody in it", "give at least one carpenter or labourer, or leave the crew out")
		}
	}
	if s := root.get("stock"); s != nil && s.shape == block {
		j.Stock = map[string]int{}
		for _, e := range s.entries {
			r.part(e.key)
			j.Stock[e.key.text] = int(num(e.value))
		}
	}
	if f := root.get("floors"); f.ok() {
		j.Floors = Floors{word(f.get("cycle")), word(f.get("shores")), word(f.get("reshores"))}
	}
	for _, n := range root.get("pins").list() {
		j.Pins = append(j.Pins, r.pin(n))
	}
}

// pinNeeds is what each kind of pin must say.
var pinNeeds = map[string][]string{
	"keep": {"part", "at"}, "forbid": {"part"}, "clear": {"area"}, "joists": {"angle"}, "joint": {"at"},
}

func (r *reader) pin(n *node) Pin {
	p := Pin{
		Pour: word(n.get("pour")), Kind: word(n.get("kind")), Part: word(n.get("part")),
		At: pointOf(n.get("at")), Angle: quantity.Angle(num(n.get("angle"))),
		Area: r.outline(n.get("area"), "the area"),
	}
	r.part(n.get("part"))
	var names []string
	for _, l := range r.job.Levels {
		for _, pour := range l.Pours {
			names = append(names, pour.Name)
		}
	}
	if p.Pour != "" && !slices.Contains(names, p.Pour) {
		right := "name a pour of this job"
		if near := nearest(p.Pour, names); near != "" {
			right = fmt.Sprintf("did you mean %q?", near)
		}
		r.problem(n.get("pour"), fmt.Sprintf("the job has no pour %q", p.Pour), right)
	}
	for _, key := range pinNeeds[p.Kind] {
		if n.get(key) == nil {
			r.problem(n, fmt.Sprintf("a pin of kind %s has no %q", p.Kind, key), fmt.Sprintf("add %q", key))
		}
	}
	return p
}
