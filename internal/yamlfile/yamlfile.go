// Package yamlfile reads a YAML file as a tree of nodes that know their places,
// so that whatever is wrong in it can be said with its line and column. What the
// keys mean is left to the reader of the tree.
package yamlfile

import (
	"errors"
	"fmt"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// Shape is what a piece of a file is, in words for messages.
type Shape string

// Shapes of a node.
const (
	Nothing Shape = "nothing"
	Single  Shape = "a single value"
	List    Shape = "a list"
	Block   Shape = "a block of keys"
)

// Node is a piece of a file that knows its place. Values stay text: where they
// stand decides what they mean. A nil node is a key that is not there.
type Node struct {
	Place   // a block stands at its first key or its bracket
	Shape   Shape
	Text    string  // of a single value
	Quoted  bool    // the text was in quotes
	Items   []*Node // of a list
	Entries []Entry // of a block, in the order of the file, repeated keys kept

	// Notes for the reader of the tree; Parse sets Bad of what it refuses.
	Bad   bool    // a mistake was found in it
	Value float64 // the number that the text stands for
}

// Entry is a key of a block with its value. The key may have any shape.
type Entry struct{ Key, Value *Node }

// Get returns the value of a key, nil when it is not there.
func (n *Node) Get(key string) *Node {
	if n == nil {
		return nil
	}
	for _, e := range n.Entries {
		if e.Key.Text == key {
			return e.Value
		}
	}
	return nil
}

// OK reports whether the node is there and free of mistakes.
func (n *Node) OK() bool { return n != nil && !n.Bad }

// List returns the items of a list, none for a node that is not there.
func (n *Node) List() []*Node {
	if n == nil {
		return nil
	}
	return n.Items
}

// Kind is a kind of file in the words of its messages.
type Kind struct {
	Name  string // "job"
	Start string // what would be right in an empty file
	Plain string // what would be right in place of an anchor, alias, tag or merge key
}

// Parse reads YAML as nodes; file is what messages call it. Anchors, aliases, tags
// and merge keys are refused: every value stands where it belongs. The root is nil
// when there is nothing to read on, and the problems then say why.
func Parse(file string, data []byte, kind Kind) (root *Node, problems Problems) {
	p := treeParser{file: file, kind: kind}
	start := Place{file, 1, 1}
	const check = "check brackets, quotes and indentation"
	defer func() { // the library may panic on broken input
		if recover() != nil {
			root, problems = nil, Problems{start.Problem("the file is not readable as YAML", check)}
		}
	}()
	if len(data) > maxBytes {
		return nil, Problems{start.Problem(fmt.Sprintf("the file is larger than %d MB", maxBytes>>20), "split the "+kind.Name)}
	}
	if line := longLine(data); line > 0 {
		return nil, Problems{Place{file, line, 1}.Problem(fmt.Sprintf("the line is longer than %d characters", maxLine), "break it")}
	}
	tokens := lexer.Tokenize(string(data))
	if t, wrong, right := excess(tokens, kind); t != nil {
		return nil, Problems{p.place(t, start).Problem(wrong, right)}
	}
	parsed, err := parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		at, message := start, err.Error()
		var y yaml.Error
		if errors.As(err, &y) {
			at, message = p.place(y.GetToken(), start), y.GetMessage()
		}
		return nil, Problems{at.Problem("the file is not readable as YAML from here on: "+message, check)}
	}
	for _, doc := range parsed.Docs {
		switch n := p.node(doc.Body, start); {
		case n.Shape == Nothing:
		case root == nil:
			root = n
		default:
			p.problem(n, "a second document begins here", "write one "+kind.Name+" a file")
		}
	}
	if root == nil && len(p.problems) == 0 {
		return nil, Problems{start.Problem("the file is empty", kind.Start)}
	}
	return root, p.problems
}

// treeParser turns nodes of the library into ours and gathers what it refuses.
type treeParser struct {
	file     string
	kind     Kind
	problems Problems
}

func (p *treeParser) problem(n *Node, wrong, right string) {
	n.Bad = true
	p.problems = append(p.problems, n.Problem(wrong, right))
}

// place is where a token stands, near when the library does not say.
func (p *treeParser) place(t *token.Token, near Place) Place {
	if t == nil || t.Position == nil {
		return near
	}
	return Place{p.file, t.Position.Line, t.Position.Column}
}

func (p *treeParser) node(n ast.Node, near Place) *Node {
	out := &Node{Place: near, Shape: Nothing}
	if n != nil {
		out.Place = p.place(n.GetToken(), near)
	}
	switch n := n.(type) {
	case nil, *ast.NullNode, *ast.CommentGroupNode:
	case *ast.MappingNode:
		p.block(out, n.Values, n.IsFlowStyle)
	case *ast.MappingValueNode:
		p.block(out, []*ast.MappingValueNode{n}, false)
	case *ast.SequenceNode:
		out.Shape = List
		for _, v := range n.Values {
			out.Items = append(out.Items, p.node(v, out.Place))
		}
	case *ast.StringNode:
		out.Shape, out.Text = Single, n.Value
		out.Quoted = n.Token != nil && (n.Token.Type == token.SingleQuoteType || n.Token.Type == token.DoubleQuoteType)
	case *ast.LiteralNode:
		out.Shape = Single
		if n.Value != nil {
			out.Text = n.Value.Value
		}
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		out.Shape, out.Text = Single, n.GetToken().Value
	default:
		p.problem(out, "anchors, aliases, tags and merge keys are not read in a "+p.kind.Name, p.kind.Plain)
	}
	return out
}

// block reads keys and values. The library places a block without brackets at its
// first colon; ours stands at its first key.
func (p *treeParser) block(out *Node, values []*ast.MappingValueNode, flow bool) {
	out.Shape = Block
	for i, v := range values {
		key := p.node(v.Key, out.Place)
		if i == 0 && !flow {
			out.Place = key.Place
		}
		out.Entries = append(out.Entries, Entry{key, p.node(v.Value, key.Place)})
	}
}
