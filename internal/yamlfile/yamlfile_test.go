package yamlfile

import (
	"slices"
	"strings"
	"testing"
	"time"
)

var list = Kind{Name: "list", Start: "begin with an item", Plain: "write it out"}

// Each piece is found by its keys, with its shape, text and place.
func TestTree(t *testing.T) {
	root, problems := Parse("f", []byte(`# a comment
name: Quay  # text
note: "12"
long: |
  one
  two
none:
deep:
  list:
    - 1.50
    - [a, {b: c}]
  name: 7
deep: again
`), list)
	if root == nil || problems != nil {
		t.Fatalf("%v", problems)
	}
	items := root.Get("deep").Get("list").List()
	if len(items) != 2 || len(items[1].List()) != 2 {
		t.Fatalf("items %v", items)
	}
	for what, c := range map[string]struct {
		n            *Node
		shape        Shape
		text         string
		line, column int
	}{
		"root":        {root, Block, "", 2, 1},
		"name":        {root.Get("name"), Single, "Quay", 2, 7},
		"note":        {root.Get("note"), Single, "12", 3, 7},
		"long":        {root.Get("long"), Single, "one\ntwo\n", 4, 7},
		"none":        {root.Get("none"), Nothing, "", 7, 6},
		"deep":        {root.Get("deep"), Block, "", 9, 3}, // the first of two
		"item":        {items[0], Single, "1.50", 10, 7},
		"flow":        {items[1], List, "", 11, 7},
		"flow block":  {items[1].List()[1], Block, "", 11, 11},
		"inner name":  {root.Get("deep").Get("name"), Single, "7", 12, 9},
		"second deep": {root.Entries[5].Value, Single, "again", 13, 7},
	} {
		if c.n == nil || c.n.Shape != c.shape || c.n.Text != c.text || c.n.Place != (Place{"f", c.line, c.column}) || !c.n.OK() {
			t.Errorf("%s: %+v", what, c.n)
		}
	}
	if !root.Get("note").Quoted || root.Get("name").Quoted {
		t.Error("quotes are not told from plain text")
	}
	if gone := root.Get("deep").Get("x").Get("y"); gone != nil || gone.OK() || gone.List() != nil {
		t.Error("a key that is not there is found")
	}
}

// What is refused is said with its place and with what would be right; the rest is read on.
func TestRefused(t *testing.T) {
	for text, want := range map[string]string{
		"":                       "f:1:1: the file is empty; begin with an item",
		"# nothing\n":            "f:1:1: the file is empty; begin with an item",
		"---\n~\n---\n":          "f:1:1: the file is empty; begin with an item",
		"a: [\n":                 "f:1:4: the file is not readable as YAML from here on: sequence end token ']' not found; check brackets, quotes and indentation",
		"a: &x b\nc: !!binary d": "f:1:4: anchors, aliases, tags and merge keys are not read in a list; write it out\nf:2:4: anchors, aliases, tags and merge keys are not read in a list; write it out",
		"a: b\n<<: {c: d}\n":     "f:2:1: anchors, aliases, tags and merge keys are not read in a list; write it out",
		"- a\n---\n- b\n":        "f:3:1: a second document begins here; write one list a file",
		"- " + strings.Repeat("[", 60) + strings.Repeat("]", 60): "f:1:62: the file is nested too deep for a list; close what is open, or check the indentation",
		strings.Repeat("- ", 61) + "a":                           "f:1:121: the file is nested too deep for a list; close what is open, or check the indentation",
		strings.Repeat("a: b\n", 5001):                           "f:5001:2: more than 5000 keys or documents follow one another; check the indentation",
		"a: b\r\nc: " + strings.Repeat("d", 10000):               "f:2:1: the line is longer than 10000 characters; break it",
		strings.Repeat("# padding\n", 1<<17):                     "f:1:1: the file is larger than 1 MB; split the list",
	} {
		if _, problems := Parse("f", []byte(text), list); problems.Error() != want {
			t.Errorf("%.40q: want\n%s\ngot\n%v", text, want, problems)
		}
	}
}

// What is long without being deep is no offence.
func TestLong(t *testing.T) {
	for name, text := range map[string]string{
		"corners":      "outline: [" + strings.Repeat("[12.5, 30],\n  ", 20000) + "]",
		"long lines":   strings.Repeat("- ["+strings.Repeat("[12.5, 30], ", 800)+"]\r\n", 10),
		"items":        "columns:\n" + strings.Repeat("- {at: [1, 2]}\n", 8000) + "walls:\n" + strings.Repeat("  - at: a\n    to: b\n", 8000),
		"brackets":     strings.Repeat("# [ { see [1\n", 100) + "a: '[[['\nb: it's [\n",
		"small blocks": strings.Repeat("a:\n  b:\n    - c: d\n      e: f\n", 4000),
		"depth":        strings.Repeat("[", 60) + strings.Repeat("]", 60),
	} {
		if root, problems := Parse("f", []byte(text), list); root == nil || problems != nil {
			t.Errorf("%s: %v", name, problems)
		}
	}
}

// hostile are texts that would keep the library busy for hours, or fill its
// stack, if their size were the only limit.
var hostile = map[string]string{
	"brackets":          "[",
	"braces":            "{a: ",
	"hidden brackets":   "[ # ]\n",
	"quoted brackets":   `["]", `,
	"pairs in brackets": "[a: ",
	"dashes":            "- ",
	"dashes and tabs":   "-\t",
	"dash lines":        strings.Repeat("- ", 50) + "\n",
	"keys":              "a: b\n",
	"keys, old ends":    "a: b\r",
	"keys in quotes":    "'': b\n",
	"keys of lists":     "a:\n- b\n",
	"keys of brackets":  "[a]: b\n",
	"keys with anchors": "&a k: v\n",
	"keys in brackets":  "{a: b}, \n",
	"steps":             "a:\n ",
	"question marks":    "? a\n",
	"questions":         "? ",
	"question dashes":   "? - ",
	"colons":            "a: ",
	"documents":         "---\na\n",
	"document ends":     "a\n...\n",
	"directives":        "%a\n",
	"anchors":           "&a ",
	"aliases":           "- *b\n",
	"tags":              "!a ",
	"commas":            "[,",
	"merge keys":        "<<",
	"tabs in quotes":    "b\t",
	"broken":            "\xff\xfe\x00\n",
}

// Hostile files are done with soon, whatever stands before the bulk of them.
func TestHostile(t *testing.T) {
	const size = maxBytes / 4 // enough to tell the square of the size
	for name, piece := range hostile {
		if !strings.ContainsAny(piece, "\r\n") {
			piece = strings.Repeat(piece, maxLine/len(piece)-10) + "\n"
		}
		for _, before := range []string{"", "[", `a: "`} {
			text := before + strings.Repeat(piece, size/len(piece))
			start := time.Now()
			root, problems := Parse("f", []byte(text), list)
			if root == nil && len(problems) == 0 {
				t.Errorf("%s after %q: neither a tree nor a problem", name, before)
			}
			if d := time.Since(start); d > 3*time.Second {
				t.Errorf("%s after %q: took %v", name, before, d)
			}
		}
	}
}

func TestSorted(t *testing.T) {
	at := func(file string, line, column int) Problem { return Place{file, line, column}.Problem("wrong", "") }
	got := Problems{at("b", 1, 1), at("a", 2, 1), at("a", 1, 9), at("a", 2, 1), at("a", 1, 3)}.Sorted()
	if want := (Problems{at("a", 1, 3), at("a", 1, 9), at("a", 2, 1), at("b", 1, 1)}); !slices.Equal(got, want) {
		t.Errorf("got\n%v", got)
	}
	if got[0].Error() != "a:1:3: wrong" {
		t.Errorf("got %q", got[0].Error())
	}
}

// FuzzParse: any bytes give a tree or problems, all with their places, never a panic.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"", "a", "- a\n- [b, {c: d}]\n", "a: &x |\n  b\n---\n*x", "? [a]\n: b", "<<: {a: !t 'b'}", "a: \"b\n c\"\r\n... # d"} {
		f.Add([]byte(s))
	}
	for _, piece := range hostile {
		f.Add([]byte(strings.Repeat(piece, 3)))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		root, problems := Parse("f", data, list)
		if root == nil && len(problems) == 0 {
			t.Error("neither a tree nor a problem")
		}
		for _, p := range problems {
			if p.File != "f" || p.Line < 1 || p.Column < 1 || p.Message == "" || p.Fix == "" {
				t.Errorf("a problem without its place or words: %#v", p)
			}
		}
		var walk func(n *Node, depth int)
		walk = func(n *Node, depth int) {
			if n.File != "f" || n.Line < 1 || n.Column < 1 {
				t.Errorf("a node without its place: %#v", n)
			}
			if depth > 3*maxDepth {
				t.Fatal("deeper than the limit")
			}
			for _, item := range n.Items {
				walk(item, depth+1)
			}
			for _, e := range n.Entries {
				walk(e.Key, depth+1)
				walk(e.Value, depth+1)
			}
		}
		if root != nil {
			walk(root, 0)
		}
	})
}
