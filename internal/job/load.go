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
	"shoreward/internal/yamlfile"
)

// Problem is one mistake of a job file, Problems is all of them.
type (
	Problem  = yamlfile.Problem
	Problems = yamlfile.Problems
)

// fileKind is a job file in the words of messages.
var fileKind = yamlfile.Kind{
	Name:  "job",
	Start: `begin with "job:", the name of the job`,
	Plain: "write the value out in full",
}

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
	root, problems := yamlfile.Parse(name, data, fileKind)
	r := &reader{said: map[string]bool{}, problems: problems}
	if root != nil {
		r.read(root, open)
	}
	if len(r.problems) > 0 {
		return nil, r.problems.Sorted()
	}
	return r.job, nil
}

// read checks the tree in two passes: first each value by itself, then what the
// values mean together. Without a unit for bare numbers or without a basis the
// second pass would only report consequences.
func (r *reader) read(root *node, open OpenCatalog) {
	if root.Shape != yamlfile.Block {
		r.problem(root, "the file is "+string(root.Shape), `write a block of keys, beginning with "job:"`)
		return
	}
	r.bare, r.style = lengthUnit(root.Get("lengths"))
	if b := root.Get("basis"); b != nil && (b.Text == string(rules.US) || b.Text == string(rules.EU)) {
		r.basis = rules.Name(b.Text)
	}
	r.check(root, grammar, "the job")
	if !root.Get("lengths").OK() || !root.Get("basis").OK() {
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
	switch n.Text {
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
	path, n := "", root.Get("catalog")
	if n != nil {
		if !n.OK() {
			return
		}
		path = n.Text
		if !filepath.IsAbs(path) {
			path = filepath.Join(filepath.Dir(n.File), path)
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
		r.problems = append(r.problems, theirs...)
	default:
		r.problem(n, "the catalogue cannot be used: "+err.Error(), "check its path, which starts from the job file")
	}
}

// part reports an id that no part of the catalogue has.
func (r *reader) part(n *node) {
	if r.cat == nil || !n.OK() {
		return
	}
	if _, found := r.cat.Parts[n.Text]; !found {
		r.unknownID(n, "part", slices.Sorted(maps.Keys(r.cat.Parts)))
	}
}

// system reports a system that is not there or has no proof on the job's basis.
func (r *reader) system(n *node) {
	if r.cat == nil || !n.OK() {
		return
	}
	if _, found := r.cat.Systems[n.Text]; !found {
		r.unknownID(n, "system", slices.Sorted(maps.Keys(r.cat.Systems)))
		return
	}
	if _, err := r.cat.Kit(n.Text, string(r.basis), r.style); err != nil {
		r.problem(n, err.Error(), "choose a system for basis "+string(r.basis))
	}
}

func (r *reader) unknownID(n *node, what string, known []string) {
	right := "`shoreward catalog` lists them"
	if near := nearest(n.Text, known); near != "" {
		right = fmt.Sprintf("did you mean %q? %s", near, right)
	}
	r.problem(n, fmt.Sprintf("the catalogue has no %s %q", what, n.Text), right)
}
