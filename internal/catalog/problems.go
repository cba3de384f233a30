package catalog

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Problem is one mistake in a catalogue file: where, what is wrong and what
// would be right.
type Problem struct {
	File         string
	Line, Column int
	Message      string
}

// Error writes the problem as file:line:column: message.
func (p Problem) Error() string {
	return fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Column, p.Message)
}

// Problems is every mistake found in one run, in file order.
type Problems []Problem

// Error writes one problem a line.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// sorted orders the problems by place and drops repetitions.
func (ps Problems) sorted() Problems {
	slices.SortStableFunc(ps, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return slices.Compact(ps)
}
