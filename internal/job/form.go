package job

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"

	"shoreward/internal/quantity"
	"shoreward/internal/rules"
	"shoreward/internal/yamlfile"
)

// form is what a value of the file may be. The grammar of the job file is a
// tree of forms: it checks a file, and it is the JSON Schema.
type form struct {
	want  string // in words, for messages and the schema: "a length, like 12 ft"
	shape yamlfile.Shape

	read   func(r *reader, n *node) (wrong, right string) // of a single value; sets n.Value
	schema map[string]any                                 // of a single value

	keys     []key // of a block with known keys
	name     string
	item     *form // of a list; of a block whose keys are the user's own names
	min, max int   // items of a list; max 0 is no limit
}

// key is one key of a block.
type key struct {
	name  string
	form  form
	doc   string
	must  bool
	basis rules.Name // a setting that has a meaning on this basis only, "" on both
}

func must(name string, f form, doc string) key { return key{name: name, form: f, doc: doc, must: true} }
func may(name string, f form, doc string) key  { return key{name: name, form: f, doc: doc} }
func only(b rules.Name, name string, f form, doc string) key {
	return key{name: name, form: f, doc: doc, basis: b}
}

// keysOf is a block with known keys; name is what messages call it.
func keysOf(name string, keys ...key) form {
	return form{want: "a block of keys", shape: yamlfile.Block, keys: keys, name: name}
}

// listOf is a list of at least min items, at most max when max is not 0.
func listOf(want string, item form, min, max int) form {
	return form{want: want, shape: yamlfile.List, item: &item, min: min, max: max}
}

// tableOf is a block whose keys are names of the user's own.
func tableOf(want string, item form) form {
	return form{want: want, shape: yamlfile.Block, item: &item}
}

func value(want string, schema map[string]any, read func(r *reader, n *node) (wrong, right string)) form {
	return form{want: want, shape: yamlfile.Single, read: read, schema: schema}
}

// text is a name or note in words.
func text(want string) form {
	return value(want, map[string]any{"type": []string{"string", "number"}}, func(_ *reader, n *node) (string, string) {
		switch {
		case strings.TrimSpace(n.Text) == "":
			return "the text is empty", "write " + want
		case len(n.Text) > 200:
			return "the text is longer than 200 bytes", "shorten it"
		case strings.ContainsFunc(n.Text, func(c rune) bool { return unicode.IsControl(c) || c == unicode.ReplacementChar }):
			return "the text has characters that cannot be printed", "write it on one line in plain characters"
		}
		return "", ""
	})
}

// choice is one of a few words.
func choice(words ...string) form {
	return value(orList(words), map[string]any{"enum": words}, func(_ *reader, n *node) (string, string) {
		for _, w := range words {
			if n.Text == w {
				return "", ""
			}
		}
		if w := nearest(n.Text, words); w != "" {
			return fmt.Sprintf("%q is not one of the choices", n.Text), fmt.Sprintf("did you mean %s? (%s)", w, orList(words))
		}
		return fmt.Sprintf("%q is not one of the choices", n.Text), "write " + orList(words)
	})
}

// flag is true or false; value 1 or 0.
func flag() form {
	return value("true or false", map[string]any{"type": "boolean"}, func(_ *reader, n *node) (string, string) {
		switch {
		case n.Text == "true" && !n.Quoted:
			n.Value = 1
		case n.Text == "false" && !n.Quoted:
			n.Value = 0
		default:
			return fmt.Sprintf("%q is neither true nor false", n.Text), "write true or false without quotes"
		}
		return "", ""
	})
}

// number is a plain number between lo and hi.
func number(want string, lo, hi float64) form {
	schema := map[string]any{"type": "number", "minimum": lo, "maximum": hi}
	return value(want, schema, func(_ *reader, n *node) (string, string) {
		v, err := quantity.ParseNumber(n.Text)
		if err != nil || n.Quoted {
			return fmt.Sprintf("%q is not a plain number", n.Text), "write " + want
		}
		n.Value = v
		if v < lo || v > hi {
			return fmt.Sprintf("%s is out of range", n.Text), fmt.Sprintf("write %s from %v to %v", want, lo, hi)
		}
		return "", ""
	})
}

// whole is a count between lo and hi.
func whole(want string, lo, hi int) form {
	schema := map[string]any{"type": "integer", "minimum": lo, "maximum": hi}
	return value(want, schema, func(_ *reader, n *node) (string, string) {
		v, err := strconv.Atoi(n.Text)
		if err != nil || n.Quoted {
			return fmt.Sprintf("%q is not a whole number", n.Text), "write " + want
		}
		n.Value = float64(v)
		if v < lo || v > hi {
			return fmt.Sprintf("%d is out of range", v), fmt.Sprintf("write %s from %d to %d", want, lo, hi)
		}
		return "", ""
	})
}

// printed is a quantity that can be written in the job's units.
type printed interface {
	~float64
	Text(quantity.Style) string
}

// Quantities whose text is not simply Text(style).
type (
	areaLoad quantity.Stress
	hours    quantity.Duration
	angle    quantity.Angle
	ratio    quantity.Ratio
)

func (v areaLoad) Text(s quantity.Style) string { return quantity.Stress(v).LoadText(s) }
func (v hours) Text(quantity.Style) string      { return quantity.Duration(v).Text() }
func (v angle) Text(quantity.Style) string      { return quantity.Angle(v).Text() }
func (v ratio) Text(quantity.Style) string      { return strconv.FormatFloat(float64(v), 'g', 6, 64) }

// amount is a quantity with its unit between lo and hi.
func amount[T printed](want string, units quantity.Units, lo, hi T) form {
	schema := map[string]any{"type": "string"}
	if units.What == quantity.Ratios.What {
		schema["type"] = []string{"string", "number"}
	}
	return value(want, schema, func(r *reader, n *node) (string, string) {
		bare := 0.0
		if units.What == quantity.Ratios.What {
			bare = 1
		}
		v, err := units.Parse(n.Text, bare)
		if err != nil {
			return faultOf(err, want)
		}
		return within(r, n, v, want, lo, hi)
	})
}

// length is a length between lo and hi; a bare number takes the unit of `lengths`.
func length(want string, lo, hi quantity.Length) form {
	schema := map[string]any{"type": []string{"string", "number"}}
	return value(want, schema, func(r *reader, n *node) (string, string) {
		v, err := quantity.ParseLength(n.Text, r.bare)
		if err != nil {
			return faultOf(err, want)
		}
		return within(r, n, float64(v), want, lo, hi)
	})
}

// size is a length that must be more than nothing.
func size(want string, hi quantity.Length) form {
	f := length(want, 0, hi)
	inner := f.read
	f.read = func(r *reader, n *node) (string, string) {
		wrong, right := inner(r, n)
		if wrong == "" && n.Value == 0 {
			return n.Text + " is nothing", fmt.Sprintf("write %s of more than 0 and at most %s", want, hi.Text(r.style))
		}
		return wrong, right
	}
	return f
}

// within keeps v as the node's value when it lies between lo and hi.
func within[T printed](r *reader, n *node, v float64, want string, lo, hi T) (wrong, right string) {
	n.Value = v
	const rounding = 1e-9
	if v < float64(lo)-rounding*math.Abs(float64(lo)) || v > float64(hi)+rounding*math.Abs(float64(hi)) {
		reads := n.Text
		if t := T(v).Text(r.style); t != reads {
			reads += " (" + t + ")" // shows what a bare number was taken for
		}
		return reads + " is out of range", fmt.Sprintf("write %s from %s to %s", want, lo.Text(r.style), hi.Text(r.style))
	}
	return "", ""
}

// or lets a word stand in place of a value; its value is v.
func (f form) or(word string, v float64) form {
	inner := f.read
	f.schema = map[string]any{"anyOf": []any{f.schema, map[string]any{"const": word}}}
	f.want += " or " + word
	f.read = func(r *reader, n *node) (string, string) {
		if n.Text == word {
			n.Value = v
			return "", ""
		}
		wrong, right := inner(r, n)
		if wrong != "" {
			right += ", or " + word
		}
		return wrong, right
	}
	return f
}

// spanShare is a deflection limit as a share of the span, L/360; value 360.
func spanShare() form {
	const want, lo, hi = "a share of the span like L/360", 180, 2000
	schema := map[string]any{"type": "string", "pattern": "^[Ll] ?/ ?[0-9]+$"}
	return value(want, schema, func(_ *reader, n *node) (string, string) {
		t := strings.ToUpper(strings.ReplaceAll(n.Text, " ", ""))
		v, err := strconv.Atoi(strings.TrimPrefix(t, "L/"))
		switch {
		case err != nil || !strings.HasPrefix(t, "L/"):
			return fmt.Sprintf("%q is not %s", n.Text, want), "write L/ and a whole number"
		case v < lo || v > hi:
			return n.Text + " is out of range", fmt.Sprintf("write from L/%d to L/%d", lo, hi)
		}
		n.Value = float64(v)
		return "", ""
	})
}

// date is an ISO date.
func date() form {
	const want = "a date like 2027-03-02"
	return value(want, map[string]any{"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"}, func(_ *reader, n *node) (string, string) {
		if _, err := time.Parse(time.DateOnly, n.Text); err != nil {
			return fmt.Sprintf("%q is not a date of the calendar", n.Text), "write year-month-day: " + want
		}
		return "", ""
	})
}

// faultOf splits an error of the quantity parsers into what is wrong and what is right.
func faultOf(err error, want string) (wrong, right string) {
	if q, ok := err.(*quantity.Error); ok {
		return fmt.Sprintf("%q is not %s: %s", q.Text, want, q.Wrong), q.Right
	}
	return err.Error(), "write " + want
}
