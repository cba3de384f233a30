package job

import (
	"fmt"
	"slices"

	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
)

// What a kept or forbidden part serves as.
const (
	AsProp     = "prop"
	AsStringer = "stringer"
	AsJoist    = "joist"
	AsSheet    = "sheet"
	AsLine     = "line"
)

// pinNeeds is what each kind of pin must say.
var pinNeeds = map[string][]string{
	"keep": {"at"}, "clear": {"area"}, "joists": {"angle"}, "joint": {"at", "angle"},
}

func (r *reader) pin(n *node) Pin {
	p := Pin{
		Pour: word(n.Get("pour")), Kind: word(n.Get("kind")), Part: word(n.Get("part")), As: word(n.Get("as")),
		At: pointOf(n.Get("at")), Angle: quantity.Angle(num(n.Get("angle"))),
		Area: r.outline(n.Get("area"), "the area"),
	}
	r.part(n.Get("part"))
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
		r.problem(n.Get("pour"), fmt.Sprintf("the job has no pour %q", p.Pour), right)
	}
	for _, key := range pinNeeds[p.Kind] {
		if n.Get(key) == nil {
			r.problem(n, fmt.Sprintf("a pin of kind %s has no %q", p.Kind, key), fmt.Sprintf("add %q", key))
		}
	}
	switch p.Kind {
	case "keep":
		r.keep(n, &p)
	case "forbid":
		r.forbid(n, p)
	}
	return p
}

// keep settles what a kept part serves as, and what must be said for that.
func (r *reader) keep(n *node, p *Pin) {
	if p.As == AsLine {
		if p.Part != "" {
			r.problem(n.Get("part"), "a line is kept without a part", "take the part out, or keep it as a stringer at its place")
		}
		return
	}
	if p.Part == "" {
		if n.Get("part") == nil {
			r.problem(n, `a pin of kind keep has no "part"`, `add "part", or keep a line of stringers with as: line`)
		}
		return
	}
	if r.cat == nil || r.cat.Parts[p.Part] == nil {
		return
	}
	can := servesAs(r.cat.Parts[p.Part])
	switch {
	case len(can) == 0:
		r.problem(n.Get("part"), fmt.Sprintf("%s is a %s, which cannot be kept", p.Part, r.cat.Parts[p.Part].Kind), "keep a prop, a stringer, a joist or a sheet")
		return
	case p.As == "" && len(can) == 1:
		p.As = can[0]
	case p.As == "":
		r.problem(n, fmt.Sprintf("%s may serve as %s", p.Part, orList(can)), `say which with "as"`)
		return
	case !slices.Contains(can, p.As):
		r.problem(n.Get("as"), fmt.Sprintf("%s is a %s and cannot serve as %s", p.Part, r.cat.Parts[p.Part].Kind, p.As), "write "+orList(can))
		return
	}
	if p.As != AsProp && n.Get("angle") == nil {
		r.problem(n, fmt.Sprintf("the kept %s has no direction", p.As), `add "angle": the direction it runs in from its place`)
	}
}

// servesAs is what a part may be in a deck, of what can be kept.
func servesAs(p *catalog.Part) []string {
	switch p.Kind {
	case catalog.Prop:
		return []string{AsProp}
	case catalog.Sheet:
		return []string{AsSheet}
	case catalog.Beam:
		return []string{AsStringer, AsJoist}
	case catalog.Lumber:
		return []string{AsStringer, AsJoist, AsProp}
	}
	return nil
}

// forbid needs a part; of a kind only props can be done without, and only in a place.
func (r *reader) forbid(n *node, p Pin) {
	switch {
	case n.Get("at") != nil:
		r.problem(n.Get("at"), "a part is forbidden in an area or in the whole pour, not at a point", `write the "area" in which it must not be`)
	case p.Part != "" && p.As != "":
		r.problem(n.Get("as"), "a part is forbidden whatever it serves as", `take "as" out`)
	case p.As != "" && p.As != AsProp:
		r.problem(n.Get("as"), fmt.Sprintf("a deck cannot do without every %s in a place", p.As), `forbid a part by its id, or every prop with "as: prop"`)
	case p.As == AsProp && n.Get("area") == nil:
		r.problem(n, "a deck cannot do without props", `add the "area" in which none may stand`)
	case p.Part == "" && p.As == "" && n.Get("part") == nil:
		r.problem(n, `a pin of kind forbid has no "part"`, `add "part"`)
	}
}
