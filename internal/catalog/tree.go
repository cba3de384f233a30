package catalog

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
)

// place is a position in a catalogue file.
type place struct {
	file         string
	line, column int
}

func (p place) problem(format string, args ...any) Problem {
	return Problem{p.file, p.line, p.column, fmt.Sprintf(format, args...)}
}

// shape is what a node of a file is.
type shape int

const (
	empty shape = iota
	scalar
	sequence
	mapping
)

var shapeNames = map[shape]string{empty: "nothing", scalar: "a single value", sequence: "a list", mapping: "a block of keys"}

// node is a piece of a YAML file that knows its place. Numbers stay text: their
// units decide what they mean.
type node struct {
	place
	shape   shape
	text    string  // of a scalar
	items   []node  // of a list
	entries []entry // of a mapping, in file order, repeated keys kept
}

type entry struct {
	key   node
	value node
}

// Limits that no catalogue comes near; they keep a hostile file from using up
// the stack, or hours: the YAML library's time grows with the square of the depth.
const (
	maxBytes = 1 << 20
	maxLine  = 4000
	maxDepth = 100
)

// excessive finds what goes beyond the limits before the file is parsed; it is
// "" for a file of sane size. Brackets in texts count too, which does no harm.
func excessive(data []byte) (line int, what string) {
	if len(data) > maxBytes {
		return 1, "the file is larger than 1 MB; split it or leave out what is not a part"
	}
	depth := 0
	for i, text := range bytes.Split(data, []byte("\n")) {
		if len(text) > maxLine {
			return i + 1, fmt.Sprintf("the line is longer than %d characters; break it", maxLine)
		}
		for _, c := range text {
			switch c {
			case '[', '{':
				depth++
			case ']', '}':
				depth = max(0, depth-1)
			}
			if depth > maxDepth {
				return i + 1, "nested too deep"
			}
		}
	}
	return 0, ""
}

// parseTree reads a YAML file as nodes. Anchors, aliases, tags and merge keys
// are refused: families are this format's way to write a value once.
func parseTree(file string, data []byte) (root node, problems Problems) {
	start := place{file, 1, 1}
	if line, what := excessive(data); what != "" {
		return root, Problems{place{file, line, 1}.problem("%s", what)}
	}
	defer func() { // the YAML library may panic on broken input
		if r := recover(); r != nil {
			root, problems = node{}, Problems{start.problem("this is not readable as YAML")}
		}
	}()
	parsed, err := parser.ParseBytes(data, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		at, message := start, "this is not readable as YAML: "+err.Error()
		var y yaml.Error
		if errors.As(err, &y) {
			message = "this is not readable as YAML: " + y.GetMessage()
			if t := y.GetToken(); t != nil && t.Position != nil {
				at = place{file, t.Position.Line, t.Position.Column}
			}
		}
		return root, Problems{at.problem("%s", message)}
	}
	t := treeReader{file: file}
	root = node{place: start}
	for i, doc := range parsed.Docs {
		switch {
		case i == 0:
			root = t.node(doc.Body, start, 0)
		case doc.Body != nil:
			t.problems = append(t.problems, t.at(doc.Body, start).problem("a second document (after ---); a catalogue is one document"))
		}
	}
	return root, t.problems
}

type treeReader struct {
	file     string
	problems Problems
}

// at is the place of a node, or near when the library has none.
func (t *treeReader) at(n ast.Node, near place) place {
	if n == nil {
		return near
	}
	if m, ok := n.(*ast.MappingNode); ok && len(m.Values) > 0 {
		return t.at(m.Values[0].Key, near) // the library places a mapping at its first colon
	}
	if m, ok := n.(*ast.MappingValueNode); ok {
		return t.at(m.Key, near)
	}
	if tok := n.GetToken(); tok != nil && tok.Position != nil {
		return place{t.file, tok.Position.Line, tok.Position.Column}
	}
	return near
}

func (t *treeReader) node(n ast.Node, near place, depth int) node {
	at := t.at(n, near)
	out := node{place: at}
	if depth > maxDepth {
		t.problems = append(t.problems, at.problem("nested too deep"))
		return out
	}
	switch n := n.(type) {
	case nil, *ast.NullNode:
	case *ast.MappingNode:
		out.shape = mapping
		for _, v := range n.Values {
			out.entries = append(out.entries, t.entry(v, at, depth))
		}
	case *ast.MappingValueNode:
		out.shape = mapping
		out.entries = append(out.entries, t.entry(n, at, depth))
	case *ast.SequenceNode:
		out.shape = sequence
		for _, v := range n.Values {
			out.items = append(out.items, t.node(v, at, depth+1))
		}
	case *ast.StringNode:
		out.shape, out.text = scalar, n.Value
	case *ast.LiteralNode:
		out.shape = scalar
		if n.Value != nil {
			out.text = n.Value.Value
		}
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		out.shape, out.text = scalar, n.GetToken().Value
	default:
		t.problems = append(t.problems, at.problem("anchors, aliases, tags and merge keys are not used here; put shared values in a family"))
	}
	return out
}

func (t *treeReader) entry(v *ast.MappingValueNode, near place, depth int) entry {
	key := t.node(v.Key, near, depth+1)
	return entry{key, t.node(v.Value, key.place, depth+1)}
}
