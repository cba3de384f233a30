package yamlfile

import (
	"bytes"
	"fmt"
	"math"

	"github.com/goccy/go-yaml/token"
)

// Limits that no file written with a purpose comes near. They keep a broken or
// hostile one from using up the memory, the stack or the day: the time of the YAML
// library's lexer grows with the square of a line, that of its parser with the
// squares of the depth, of the keys in one block and of the documents.
const (
	maxBytes = 1 << 20
	maxLine  = 10000
	maxDepth = 60
	maxKeys  = 5000
)

// longLine returns the first line beyond the limit, or 0.
func longLine(data []byte) int {
	line, length := 1, 0
	for i, c := range data {
		length++
		if c == '\n' || c == '\r' && !bytes.HasPrefix(data[i+1:], []byte("\n")) {
			line, length = line+1, 0
		}
		if length > maxLine {
			return line
		}
	}
	return 0
}

// excess finds the first token beyond the limits; at is nil for a file of sane shape.
func excess(tokens token.Tokens, kind Kind) (at *token.Token, wrong, right string) {
	var open nest
	for i, t := range tokens {
		switch t.Type {
		case token.DocumentHeaderType, token.DocumentEndType:
			open.brackets = 0
			open.mark(0, false) // a document counts as a key of a block around them all
		case token.SequenceStartType, token.MappingStartType:
			open.brackets++
			open.levels = append(open.levels, level{column: inside, bracket: true})
		case token.CollectEntryType:
			open.toBracket()
		case token.SequenceEndType, token.MappingEndType:
			if open.toBracket() {
				open.brackets--
				open.levels = open.levels[:len(open.levels)-1]
			}
		case token.SequenceEntryType:
			open.mark(t.Position.Column, true)
		case token.MappingKeyType:
			open.mark(t.Position.Column, false)
		case token.MappingValueType:
			open.mark(tokens[max(0, i-1)].Position.Column, false) // where the key stands
		case token.AnchorType, token.TagType:
			open.levels = append(open.levels, level{column: inside}) // holds what it is set before
		}
		switch n := len(open.levels); {
		case n > maxDepth:
			return t, "the file is nested too deep for a " + kind.Name, "close what is open, or check the indentation"
		case n > 0 && open.levels[n-1].keys > maxKeys:
			return t, fmt.Sprintf("more than %d keys or documents follow one another", maxKeys), "check the indentation"
		}
	}
	return nil, "", ""
}

// nest is what is open at a token, outermost first.
type nest struct {
	levels   []level
	brackets int // of the levels
}

// level is a block of keys or a list written with dashes, known by its column, or
// something that any key or dash outside of brackets ends: its column is inside.
type level struct {
	column  int
	list    bool
	bracket bool
	keys    int // of a block, so far
}

const inside = math.MaxInt

// toBracket ends what is open in the innermost bracket, if there is one.
func (o *nest) toBracket() bool {
	if o.brackets == 0 {
		return false
	}
	n := len(o.levels)
	for !o.levels[n-1].bracket {
		n--
	}
	o.levels = o.levels[:n]
	return true
}

// mark enters a key, or a dash of a list, at a column. In brackets columns mean
// nothing: there it opens a level of its own, which the next comma ends.
func (o *nest) mark(column int, list bool) {
	if o.brackets > 0 {
		o.levels = append(o.levels, level{column: inside})
		return
	}
	n := len(o.levels)
	for ; n > 0; n-- { // ends what stands further right; a list may stand right under its key
		if l := o.levels[n-1]; l.column < column || l.column == column && (list || !l.list) {
			break
		}
	}
	o.levels = o.levels[:n]
	if n == 0 || o.levels[n-1].column != column || o.levels[n-1].list != list {
		o.levels = append(o.levels, level{column: column, list: list})
	}
	if !list {
		o.levels[len(o.levels)-1].keys++
	}
}
