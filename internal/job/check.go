package job

import (
	"fmt"
	"slices"
	"strings"

	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
	"shoreward/internal/yamlfile"
)

// reader reads one file and gathers its mistakes.
type reader struct {
	bare     quantity.Length // unit of bare numbers
	style    quantity.Style
	basis    rules.Name
	cat      *catalog.Catalog // nil: parts and systems are not looked up
	job      *Job
	said     map[string]bool // what the rules have said of the settings
	problems Problems
}

type node = yamlfile.Node

// problem records a mistake at a node and marks it.
func (r *reader) problem(n *node, wrong, right string) {
	n.Bad = true
	r.problems = append(r.problems, n.Problem(wrong, right))
}

// check holds a node against the form of its place and reads its numbers. The
// name is what the messages call the place.
func (r *reader) check(n *node, f form, name string) {
	if n.Bad {
		return
	}
	if n.Shape == yamlfile.Nothing {
		r.problem(n, name+" has no value", "write "+f.want+", or take the key out")
		return
	}
	if n.Shape != f.shape {
		wrong := fmt.Sprintf("%s is %s", name, n.Shape)
		if n.Shape == yamlfile.Single {
			wrong = fmt.Sprintf("%s is %q", name, n.Text)
		}
		r.problem(n, wrong, "write "+f.want)
		return
	}
	switch {
	case f.shape == yamlfile.Single:
		if wrong, right := f.read(r, n); wrong != "" {
			r.problem(n, name+": "+wrong, right)
		}
	case f.shape == yamlfile.List:
		r.checkList(n, f, name)
	default:
		r.checkBlock(n, f, name)
	}
}

func (r *reader) checkList(n *node, f form, name string) {
	if len(n.Items) < f.min || f.max > 0 && len(n.Items) > f.max {
		r.problem(n, fmt.Sprintf("%s has %s", name, count(len(n.Items), "item")), "write "+f.want)
	}
	for i, item := range n.Items {
		itemName := f.item.name
		if itemName == "" || f.item.shape != yamlfile.Block {
			itemName = fmt.Sprintf("%s, item %d", name, i+1)
		} else if own := item.Get("name"); own != nil && own.Text != "" {
			itemName = strings.TrimPrefix(strings.TrimPrefix(itemName, "a "), "an ") + " " + own.Text
		}
		r.check(item, *f.item, itemName)
		if item.Bad && f.item.shape != yamlfile.Block {
			n.Bad = true // geometry is whole or not at all
		}
	}
}

func (r *reader) checkBlock(n *node, f form, name string) {
	seen := map[string]bool{}
	for _, e := range n.Entries {
		switch {
		case e.Key.Shape != yamlfile.Single:
			r.problem(e.Key, "a key is a single word", "see the keys of "+name)
			continue
		case seen[e.Key.Text]:
			r.problem(e.Key, fmt.Sprintf("%q stands here a second time", e.Key.Text), "keep one of them")
			continue
		}
		seen[e.Key.Text] = true
		if f.item != nil {
			r.check(e.Value, *f.item, e.Key.Text)
			continue
		}
		i := slices.IndexFunc(f.keys, func(k key) bool { return k.name == e.Key.Text })
		if i < 0 {
			r.unknownKey(e.Key, f)
			continue
		}
		k := f.keys[i]
		if k.basis != "" && r.basis != "" && k.basis != r.basis {
			r.problem(e.Key, fmt.Sprintf("%s has a meaning on basis %s only, and this job is on basis %s", k.name, k.basis, r.basis), "take it out")
			continue
		}
		r.check(e.Value, k.form, k.name)
	}
	for _, k := range f.keys {
		if k.must && !seen[k.name] {
			r.problems = append(r.problems, n.Problem(
				fmt.Sprintf("%s has no %q", name, k.name), fmt.Sprintf("add %q: %s", k.name, k.doc)))
		}
	}
}

func (r *reader) unknownKey(k *node, f form) {
	var names []string
	for _, x := range f.keys {
		names = append(names, x.name)
	}
	right := "its keys are " + strings.ReplaceAll(orList(names), " or ", " and ")
	if near := nearest(k.Text, names); near != "" {
		right = fmt.Sprintf("did you mean %q?", near)
	}
	r.problem(k, fmt.Sprintf("%q is not a key of %s", k.Text, f.name), right)
}

// count writes "1 item", "3 items".
func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
