package catalog

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
	"shoreward/internal/yamlfile"
)

// origin is where a value comes from and how sure it is. A block's own
// `source` and `evidence` hold for everything inside it.
type origin struct {
	source   string
	evidence calc.Evidence
}

// evidences are the words that a file may use.
var evidences = []calc.Evidence{calc.Read, calc.Derived, calc.ReadWeak, calc.Practice, calc.Memory, calc.User, calc.Chosen}

type (
	node  = yamlfile.Node
	place = yamlfile.Place
)

// reader turns nodes into values and gathers every mistake on its way.
type reader struct {
	problems Problems
	sources  map[string]string // short name of a source and its full text
}

func (r *reader) fail(at place, format string, args ...any) {
	r.problems = append(r.problems, at.Problem(fmt.Sprintf(format, args...), ""))
}

// setter puts the value of one key where it belongs.
type setter func(*node, origin)

// fields reads a block of keys; a key without setter is a mistake.
func (r *reader) fields(n *node, o origin, set map[string]setter) {
	if n.Shape != yamlfile.Block {
		r.fail(n.Place, "expected a block of keys (%s), found %s", keyList(set), n.Shape)
		return
	}
	o = r.inherit(n, o)
	seen := map[string]bool{"source": false}
	for _, e := range n.Entries {
		key := e.Key.Text
		put, known := set[key]
		switch {
		case seen[key]:
			r.fail(e.Key.Place, "key %q is given twice in one block; keep one", key)
		case key == "source" || key == "evidence": // read by inherit
		case !known:
			r.fail(e.Key.Place, "unknown key %q; known here: %s", key, keyList(set))
		default:
			put(e.Value, o)
		}
		seen[key] = true
	}
}

func join[T ~string](words []T) string {
	var out []string
	for _, w := range words {
		out = append(out, string(w))
	}
	return strings.Join(out, ", ")
}

func keyList(set map[string]setter) string {
	return strings.Join(append(slices.Sorted(maps.Keys(set)), "source", "evidence"), ", ")
}

// inherit is the origin of what stands in block n, given that of its surroundings.
func (r *reader) inherit(n *node, o origin) origin {
	for _, e := range n.Entries {
		switch e.Key.Text {
		case "source":
			o.source = r.word(e.Value)
			if full, ok := r.sources[o.source]; ok {
				o.source = full
			}
		case "evidence":
			word := calc.Evidence(r.word(e.Value))
			if !slices.Contains(evidences, word) {
				r.fail(e.Value.Place, "evidence %q is none of: %s", word, join(evidences))
				continue
			}
			o.evidence = word
		}
	}
	return o
}

// word reads a text that may not be empty.
func (r *reader) word(n *node) string {
	text := strings.TrimSpace(n.Text)
	if n.Shape != yamlfile.Single || text == "" {
		r.fail(n.Place, "expected a text, found %s", n.Shape)
	}
	return text
}

func (r *reader) words(n *node) []string {
	if n.Shape == yamlfile.Single {
		return []string{r.word(n)}
	}
	if n.Shape != yamlfile.List {
		r.fail(n.Place, "expected a list, found %s", n.Shape)
	}
	out := []string{}
	for _, item := range n.Items {
		out = append(out, r.word(item))
	}
	return out
}

func (r *reader) items(each setter) setter {
	return func(n *node, o origin) {
		if n.Shape != yamlfile.List {
			r.fail(n.Place, "expected a list (lines that begin with -), found %s", n.Shape)
		}
		for _, item := range n.Items {
			each(item, o)
		}
	}
}

// text, whole and yes read one key into dst.
func (r *reader) text(dst *string) setter {
	return func(n *node, _ origin) { *dst = r.word(n) }
}

func (r *reader) whole(dst *int) setter {
	return func(n *node, _ origin) {
		v, err := strconv.Atoi(n.Text)
		if err != nil || v < 1 {
			r.fail(n.Place, "expected a whole number of at least 1, found %q", n.Text)
			v = 1 // counts as given
		}
		*dst = v
	}
}

func (r *reader) yes(dst *bool) setter {
	return func(n *node, _ origin) {
		if n.Text != "true" && n.Text != "false" {
			r.fail(n.Place, "expected true or false, found %q", n.Text)
			return
		}
		*dst = n.Text == "true"
	}
}

// plain reads a positive number that carries no source of its own.
func plain[T ~float64](r *reader, dst *T, parse func(string) (T, error)) setter {
	return func(n *node, o origin) {
		var v Value[T]
		value(r, &v, parse)(n, origin{"-", calc.Chosen})
		*dst = v.V
	}
}

// value reads a value: `key: 10.9 kNm`, or a block with `value` and its own
// source and evidence, or the word unknown. It must be greater than zero.
func value[T ~float64](r *reader, dst *Value[T], parse func(string) (T, error)) setter {
	return valueIf(r, dst, parse, func(v T) bool { return v > 0 }, "greater than zero")
}

// valueOrZero is value for what may be zero.
func valueOrZero[T ~float64](r *reader, dst *Value[T], parse func(string) (T, error)) setter {
	return valueIf(r, dst, parse, func(v T) bool { return v >= 0 }, "zero or more")
}

func valueIf[T ~float64](r *reader, dst *Value[T], parse func(string) (T, error), fits func(T) bool, must string) setter {
	return func(n *node, o origin) {
		text := n
		if n.Shape == yamlfile.Block {
			text = &node{Shape: yamlfile.Nothing}
			r.fields(n, o, map[string]setter{"value": func(v *node, inner origin) { text, o = v, inner }})
			if text.Shape == yamlfile.Nothing {
				r.fail(n.Place, "a value block needs the key value, for example {value: 80 mm, source: ...}")
			}
		} else if n.Shape != yamlfile.Single {
			r.fail(n.Place, "expected a value with its unit, found %s", n.Shape)
		}
		// What is wrong counts as given, so that nothing that follows from it is reported too.
		// It goes no further: a catalogue with mistakes is never handed out.
		*dst = Value[T]{T(math.NaN()), o.source, o.evidence, true}
		if text.Shape != yamlfile.Single {
			return
		}
		if o.source == "" || o.evidence == "" {
			r.fail(n.Place, "the value %q needs a source and evidence, its own or its block's", text.Text)
		}
		if text.Text == "unknown" {
			dst.V, dst.Known = 0, false
			return
		}
		v, err := parse(text.Text)
		switch {
		case err != nil:
			r.fail(text.Place, "%v", err)
		case !fits(v):
			r.fail(text.Place, "%q must be %s", text.Text, must)
		default:
			dst.V = v
		}
	}
}

// section reads a block of keys into a part of the part, made when first needed.
func section[T any](r *reader, dst **T, set func(*T) map[string]setter) setter {
	return func(n *node, o origin) {
		if *dst == nil {
			*dst = new(T)
		}
		r.fields(n, o, set(*dst))
	}
}

// part reads the keys of a family or part into d, over what is there already.
func (r *reader) part(d *draft, n *node, o origin) {
	p := &d.Part
	r.fields(n, o, map[string]setter{
		"id": func(*node, origin) {}, "family": func(*node, origin) {}, // read by the builder
		"name":     r.text(&p.Name),
		"kind":     func(n *node, _ origin) { p.Kind = r.kind(n) },
		"standard": r.text(&p.Standard),
		"note":     r.text(&p.Note),
		"length":   value(r, &p.Length, length),
		"width":    value(r, &p.Width, length),
		"depth":    value(r, &p.Depth, length),
		"nominal":  func(n *node, o origin) { d.nominal, d.nominalAt = r.nominal(n), n.Place },
		"grade":    func(n *node, o origin) { d.grade, d.gradeAt = r.word(n), n.Place },
		"mass":     func(n *node, o origin) { r.mass(d, n, o) },
		"marks": func(n *node, o origin) {
			r.fields(n, o, map[string]setter{
				"pitch": func(n *node, o origin) {
					p.MarksSource, p.MarksEvidence = o.source, o.evidence
					plain(r, &p.Marks, length)(n, o)
				},
				"least_overhang": plain(r, &d.leastOverhang, length),
				"first":          plain(r, &d.firstMark, length),
			})
		},
		"apa": section(r, &p.APA, func(a *APAPanel) map[string]setter {
			return map[string]setter{
				"class": r.text(&a.Class),
				"I_par": value(r, &a.IPar, asRatio(inertiaPerWidth)), "KS_par": value(r, &a.KSPar, asRatio(modulusPerWidth)), "IbQ_par": value(r, &a.IbQPar, asRatio(areaPerWidth)),
				"I_perp": value(r, &a.IPerp, asRatio(inertiaPerWidth)), "KS_perp": value(r, &a.KSPerp, asRatio(modulusPerWidth)), "IbQ_perp": value(r, &a.IbQPerp, asRatio(areaPerWidth)),
				"F_b": value(r, &a.Fb, quantity.ParseStress), "F_s": value(r, &a.Fs, quantity.ParseStress), "E": value(r, &a.E, quantity.ParseStress), "E_e": value(r, &a.Ee, quantity.ParseStress),
				"duration_in_stress": r.yes(&a.DurationInStress),
			}
		}),
		"ec5_panel": section(r, &p.Panel, func(e *ECPanel) map[string]setter {
			return map[string]setter{
				"f_m_par": value(r, &e.FmPar, quantity.ParseStress), "f_m_perp": value(r, &e.FmPerp, quantity.ParseStress),
				"E_par": value(r, &e.EPar, quantity.ParseStress), "E_perp": value(r, &e.EPerp, quantity.ParseStress),
				"f_r_par": value(r, &e.FrPar, quantity.ParseStress), "f_r_perp": value(r, &e.FrPerp, quantity.ParseStress),
				"k_mod": value(r, &e.Kmod, quantity.ParseRatio), "gamma_M": value(r, &e.GammaM, quantity.ParseRatio),
			}
		}),
		"i_beam": section(r, &p.IBeam, func(b *IBeam) map[string]setter {
			return map[string]setter{
				"class": r.text(&b.Class),
				"M_k":   value(r, &b.Mk, quantity.ParseMoment), "V_k": value(r, &b.Vk, quantity.ParseForce), "R_k": value(r, &b.Rk, quantity.ParseForce), "EI": value(r, &b.EI, quantity.ParseEI),
				"k_mod": value(r, &b.Kmod, quantity.ParseRatio), "gamma_M": value(r, &b.GammaM, quantity.ParseRatio), "gamma_F": value(r, &b.GammaF, quantity.ParseRatio),
			}
		}),
		"prop": section(r, &p.Shore, func(s *PropProps) map[string]setter {
			return map[string]setter{
				"class":   r.text(&s.Class),
				"longest": value(r, &s.Longest, length), "shortest": value(r, &s.Shortest, length),
				"hole_pitch": value(r, &s.HolePitch, length), "thread": value(r, &s.Thread, length), "plate": value(r, &s.Plate, length),
			}
		}),
		"head": section(r, &p.Seat, func(h *HeadProps) map[string]setter {
			return map[string]setter{
				"type":   r.text(&h.Type),
				"height": valueOrZero(r, &h.Height, length), "drop": value(r, &h.Drop, length),
				"beams":     r.whole(&h.Beams),
				"seat_long": value(r, &h.SeatLong, length), "seat_wide": value(r, &h.SeatWide, length),
			}
		}),
		"tripod": section(r, &p.Foot, func(t *TripodProps) map[string]setter {
			return map[string]setter{"radius": value(r, &t.Radius, length)}
		}),
		"rated": section(r, &p.Rated, func(t *Rating) map[string]setter {
			return map[string]setter{
				"load": value(r, &t.Load, quantity.ParseForce), "factor": value(r, &t.Factor, quantity.ParseRatio), "required": r.yes(&t.Required),
			}
		}),
		"box": section(r, &p.Carries, func(b *BoxProps) map[string]setter {
			return map[string]setter{
				"for": func(n *node, _ origin) {
					b.For = nil
					for _, w := range r.words(n) {
						b.For = append(b.For, r.kind(&node{Place: n.Place, Shape: yamlfile.Single, Text: w}))
					}
				},
				"count": r.whole(&b.Count),
				"limit": value(r, &b.Limit, quantity.ParseMass),
			}
		}),
	})
}

var kinds = []Kind{Sheet, Beam, Lumber, Prop, Head, Tripod, Wedge, Guard, Kicker, Tie, Brace, Box}

func (r *reader) kind(n *node) Kind {
	k := Kind(r.word(n))
	if !slices.Contains(kinds, k) {
		r.fail(n.Place, "kind %q is none of: %s", k, join(kinds))
	}
	return k
}

// wrongSize is a nominal size that could not be read; its mistake is reported already.
var wrongSize = [2]int{-1, -1}

// nominal reads "2x10": nominal inches, breadth by depth as laid.
func (r *reader) nominal(n *node) [2]int {
	b, d, ok := strings.Cut(r.word(n), "x")
	nb, err1 := strconv.Atoi(b)
	nd, err2 := strconv.Atoi(d)
	if !ok || err1 != nil || err2 != nil || nb < 1 || nd < 1 {
		r.fail(n.Place, "expected a nominal size in inches, breadth by depth as laid, like 3x4; found %q", n.Text)
		return wrongSize
	}
	return [2]int{nb, nd}
}

func (r *reader) mass(d *draft, n *node, o origin) {
	dims := 0
	value(r, &d.massRate, func(text string) (quantity.Mass, error) {
		v, k, err := parseMass(text)
		dims = k
		return v, err
	})(n, o)
	d.massDims = dims
}
