package yamlfile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Place is a position in a file.
type Place struct {
	File         string
	Line, Column int // from 1
}

// Problem is a mistake at the place.
func (p Place) Problem(message, fix string) Problem {
	return Problem{p.File, p.Line, p.Column, message, fix}
}

// Problem is one mistake of a file: where it is, what is wrong and what would be right.
type Problem struct {
	File         string
	Line, Column int // from 1
	Message      string
	Fix          string // "" when the message says it already
}

// Error writes file:line:column: what is wrong; what would be right.
func (p Problem) Error() string {
	text := fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Column, p.Message)
	if p.Fix != "" {
		text += "; " + p.Fix
	}
	return text
}

// Problems is every mistake of a file that was found in one run.
type Problems []Problem

// Error writes one mistake a line.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// Sorted orders the mistakes by place and drops repetitions. It works in ps itself.
func (ps Problems) Sorted() Problems {
	slices.SortStableFunc(ps, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return slices.Compact(ps)
}
