package job

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// shape is what a piece of the file is.
type shape string

const (
	nothing shape = "nothing"
	single  shape = "a single value"
	list    shape = "a list"
	block   shape = "a block of keys"
)

// node is a piece of the file that knows its place. Values stay text: the form
// of the place decides what they mean. A nil node is a key that is not there.
type node struct {
	line, column int
	shape        shape
	text         string  // of a single value
	quoted       bool    // the text was in quotes
	items        []*node // of a list
	entries      []entry // of a block, in the order of the file

	value float64 // the number read, in SI, once its form has been checked
	bad   bool    // a mistake was found in it
}

type entry struct{ key, value *node }

// get returns the value of a key, nil when it is not there.
func (n *node) get(key string) *node {
	if n == nil {
		return nil
	}
	for _, e := range n.entries {
		if e.key.text == key {
			return e.value
		}
	}
	return nil
}

// ok reports whether the node is there and free of mistakes.
func (n *node) ok() bool { return n != nil && !n.bad }

// list returns the items of a list, none for a node that is not there.
func (n *node) list() []*node {
	if n == nil {
		return nil
	}
	return n.items
}

// Limits that no job comes near. They keep a broken or hostile file from using
// up the stack or the day: the YAML library's time grows with the square of the
// depth and of the keys in one block.
const (
	maxBytes = 4 << 20
	maxDepth = 60
	maxKeys  = 5000
)

// parseTree reads YAML as nodes. Anchors, aliases, tags and merge keys are
// refused: in a job every value stands where it belongs.
func (r *reader) parseTree(data []byte) (root *node) {
	start := &node{line: 1, column: 1, shape: nothing}
	if len(data) > maxBytes {
		r.problem(start, fmt.Sprintf("the file is larger than %d MB", maxBytes>>20), "split the job")
		return nil
	}
	if line := tooDeep(data); line > 0 {
		r.problem(&node{line: line, column: 1}, "brackets or dashes are nested too deep to be a job", "close what is open")
		return nil
	}
	if line := tooMany(data); line > 0 {
		r.problem(&node{line: line, column: 1}, fmt.Sprintf("more than %d keys stand in one block", maxKeys), "check the indentation")
		return nil
	}
	defer func() { // the library may panic on broken input
		if x := recover(); x != nil {
			r.problem(start, "the file is not readable as YAML", "check brackets, quotes and indentation")
			root = nil
		}
	}()
	file, err := parser.ParseBytes(data, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		at, message := start, err.Error()
		var y yaml.Error
		if errors.As(err, &y) {
			message = y.GetMessage()
			if t := y.GetToken(); t != nil && t.Position != nil {
				at = &node{line: t.Position.Line, column: t.Position.Column}
			}
		}
		r.problem(at, "the file is not readable as YAML from here on: "+message, "check brackets, quotes and indentation")
		return nil
	}
	for _, doc := range file.Docs {
		switch n := r.node(doc.Body, start, 0); {
		case n.shape == nothing:
		case root == nil:
			root = n
		default:
			r.problem(n, "a second document begins here", "write one job a file")
		}
	}
	if root == nil {
		r.problem(start, "the file is empty", `begin with "job:", the name of the job`)
	}
	return root
}

// tooDeep returns the line where brackets or dashes open deeper than any job,
// or 0. Brackets in texts and comments count too: it is only a bound.
func tooDeep(data []byte) int {
	depth := 0
	for i, line := range bytes.Split(data, []byte("\n")) {
		for _, c := range line {
			switch c {
			case '[', '{':
				depth++
			case ']', '}':
				depth = max(0, depth-1)
			}
			if depth > maxDepth {
				return i + 1
			}
		}
		if bytes.Count(line, []byte("- "))+bytes.Count(line, []byte("? ")) > 10*maxDepth {
			return i + 1
		}
	}
	return 0
}

// tooMany returns the line where a block has more keys than any job, or 0. A
// block is counted by its indentation; it ends at a line that begins further left
// or with a dash.
func tooMany(data []byte) int {
	var indents, keys []int // of the blocks that are open, outermost first
	for i, line := range bytes.Split(data, []byte("\n")) {
		text := bytes.TrimLeft(line, " -")
		indent, dash := len(line)-len(text), bytes.IndexByte(line[:len(line)-len(text)], '-')
		if len(text) == 0 || bytes.IndexByte([]byte("#[{"), text[0]) >= 0 || !bytes.ContainsAny(text, ":?") {
			continue
		}
		left := indent + 1
		if dash >= 0 {
			left = dash + 1
		}
		for len(indents) > 0 && indents[len(indents)-1] >= left {
			indents, keys = indents[:len(indents)-1], keys[:len(keys)-1]
		}
		if n := len(indents); n == 0 || indents[n-1] != indent {
			indents, keys = append(indents, indent), append(keys, 0)
		}
		keys[len(keys)-1]++
		if keys[len(keys)-1] > maxKeys {
			return i + 1
		}
	}
	return 0
}

// node turns a node of the library into ours. The library places a block at its
// first colon; ours stands at its first key.
func (r *reader) node(n ast.Node, near *node, depth int) *node {
	out := &node{line: near.line, column: near.column, shape: nothing}
	if depth > maxDepth {
		r.problem(out, "the file is nested too deep to be a job", "see the template for the shape of a job")
		return out
	}
	if n != nil {
		if t := n.GetToken(); t != nil && t.Position != nil {
			out.line, out.column = t.Position.Line, t.Position.Column
		}
	}
	switch n := n.(type) {
	case nil, *ast.NullNode, *ast.CommentGroupNode:
	case *ast.MappingNode:
		r.block(out, n.Values, n.IsFlowStyle, depth)
	case *ast.MappingValueNode:
		r.block(out, []*ast.MappingValueNode{n}, false, depth)
	case *ast.SequenceNode:
		out.shape = list
		for _, v := range n.Values {
			out.items = append(out.items, r.node(v, out, depth+1))
		}
	case *ast.StringNode:
		out.shape, out.text = single, n.Value
		out.quoted = n.Token != nil && (n.Token.Type == token.SingleQuoteType || n.Token.Type == token.DoubleQuoteType)
	case *ast.LiteralNode:
		out.shape = single
		if n.Value != nil {
			out.text = n.Value.Value
		}
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		out.shape, out.text = single, n.GetToken().Value
	default:
		out.bad = true
		r.problem(out, "anchors, aliases, tags and merge keys are not read in a job", "write the value out in full")
	}
	return out
}

func (r *reader) block(out *node, values []*ast.MappingValueNode, flow bool, depth int) {
	out.shape = block
	for i, v := range values {
		key := r.node(v.Key, out, depth+1)
		if i == 0 && !flow {
			out.line, out.column = key.line, key.column
		}
		out.entries = append(out.entries, entry{key, r.node(v.Value, key, depth+1)})
	}
}
