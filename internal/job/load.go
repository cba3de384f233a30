package job

import (
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

// OpenCatalog gives the catalogue with the user's own file on top ("" for none):
// catalog.Load.
type OpenCatalog func(userFile string) (*catalog.Catalog, error)

// Load reads a job file. The error is Problems when the file can be read but is
// wrong: it then holds every mistake. Open is asked for the catalogue that
// systems and parts are looked up in; nil leaves them unchecked.
func Load(path string, open OpenCatalog) (*Job, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("the job file cannot be read: %w", err)
	}
	return Parse(path, data, open)
}

// Parse reads a job from data; name is what messages call the file and what a
// relative path of a catalogue starts from.
func Parse(name string, data []byte, open OpenCatalog) (*Job, error) {
	r := &reader{file: name, said: map[string]bool{}}
	if root := r.parseTree(data); root != nil {
		r.read(root, open)
	}
	if len(r.problems) > 0 {
		return nil, r.problems.sorted()
	}
	return r.job, nil
}

// read checks the tree in two passes: first each value by itself, then what the
// values mean together. Without a unit for bare numbers or without a basis the
// second pass would only report consequences.
func (r *reader) read(root *node, open OpenCatalog) {
	if root.shape != block {
		r.problem(root, "the file is "+string(root.shape), `write a block of keys, beginning with "job:"`)
		return
	}
	r.bare, r.style = lengthUnit(root.get("lengths"))
	if b := root.get("basis"); b != nil && (b.text == string(rules.US) || b.text == string(rules.EU)) {
		r.basis = rules.Name(b.text)
	}
	r.check(root, grammar, "the job")
	if !root.get("lengths").ok() || !root.get("basis").ok() {
		return
	}
	r.openCatalog(root, open)
	r.build(root)
}

// lengthUnit is the unit of bare numbers and the style of what is printed.
func lengthUnit(n *node) (quantity.Length, quantity.Style) {
	if n == nil {
		return quantity.Metre, quantity.Metric
	}
	switch n.text {
	case "ft":
		return quantity.Foot, quantity.US
	case "in":
		return quantity.Inch, quantity.US
	case "mm":
		return quantity.Millimetre, quantity.Metric
	}
	return quantity.Metre, quantity.Metric
}

// openCatalog loads the catalogue; mistakes of the user's own file are reported
// at their places in that file.
func (r *reader) openCatalog(root *node, open OpenCatalog) {
	if open == nil {
		return
	}
	path, n := "", root.get("catalog")
	if n != nil {
		if !n.ok() {
			return
		}
		path = n.text
		if !filepath.IsAbs(path) {
			path = filepath.Join(filepath.Dir(r.file), path)
		}
	} else {
		n = root
	}
	cat, err := open(path)
	var theirs catalog.Problems
	switch {
	case err == nil:
		r.cat = cat
	case errors.As(err, &theirs):
		for _, p := range theirs {
			r.problems = append(r.problems, Problem{File: p.File, Line: p.Line, Column: p.Column, Message: p.Message})
		}
	default:
		r.problem(n, "the catalogue cannot be used: "+err.Error(), "check its path, which starts from the job file")
	}
}

// part reports an id that no part of the catalogue has.
func (r *reader) part(n *node) {
	if r.cat == nil || !n.ok() {
		return
	}
	if _, found := r.cat.Parts[n.text]; !found {
		r.unknownID(n, "part", slices.Sorted(maps.Keys(r.cat.Parts)))
	}
}

// system reports a system that is not there or has no proof on the job's basis.
func (r *reader) system(n *node) {
	if r.cat == nil || !n.ok() {
		return
	}
	if _, found := r.cat.Systems[n.text]; !found {
		r.unknownID(n, "system", slices.Sorted(maps.Keys(r.cat.Systems)))
		return
	}
	if _, err := r.cat.Kit(n.text, string(r.basis), r.style); err != nil {
		r.problem(n, err.Error(), "choose a system for basis "+string(r.basis))
	}
}

func (r *reader) unknownID(n *node, what string, known []string) {
	right := "`shoreward catalog` lists them"
	if near := nearest(n.text, known); near != "" {
		right = fmt.Sprintf("did you mean %q? %s", near, right)
	}
	r.problem(n, fmt.Sprintf("the catalogue has no %s %q", what, n.text), right)
}
