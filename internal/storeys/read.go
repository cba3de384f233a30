package storeys

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"shoreward/internal/quantity"
)

// mostOperations of a file.
const mostOperations = 20000

// words of an operations file.
var words = []struct {
	text string
	kind Kind
}{{"place", Place}, {"live off", LiveOff}, {"live on", LiveOn}, {"strip", Strip}, {"reshore", Reshore}, {"remove", RemoveReshores}, {"snug", Snug}}

// ReadOperations reads an order of work on levels that are numbered from 1: one
// operation a line, "place 3", "live off 3", "strip 2", "reshore 2", "remove 1", "snug 2",
// what follows # being a comment. Every operation is a day later than the one before
// it, but a live load that goes or comes right after its placing goes or comes on
// fresh concrete. The slabs are named as those of Uniform.
func ReadOperations(r io.Reader, levels int) ([]Operation, error) {
	var ops []Operation
	sc := bufio.NewScanner(r)
	at := quantity.Duration(0)
	for n := 1; sc.Scan(); n++ {
		line, _, _ := strings.Cut(sc.Text(), "#")
		fields := strings.Fields(strings.ToLower(line))
		if len(fields) == 0 {
			continue
		}
		op, err := readOperation(fields, levels)
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", n, err)
		}
		live := op.Kind == LiveOff || op.Kind == LiveOn
		if k := len(ops) - 1; k >= 0 && !(live && ops[k].Slab == op.Slab && (ops[k].Kind == Place || ops[k].Kind == LiveOff)) {
			at += 24
		}
		op.At = at
		if ops = append(ops, op); len(ops) > mostOperations {
			return nil, fmt.Errorf("line %d: more than %d operations", n, mostOperations)
		}
	}
	if err := sc.Err(); err != nil {
		return nil, fmt.Errorf("the operations cannot be read: %w", err)
	}
	if len(ops) == 0 {
		return nil, errors.New("there is no operation: write one a line, as \"place 1\"")
	}
	return ops, nil
}

func readOperation(fields []string, levels int) (Operation, error) {
	last := len(fields) - 1
	word := strings.Join(fields[:last], " ")
	for _, w := range words {
		if w.text != word {
			continue
		}
		level, err := strconv.Atoi(fields[last])
		if err != nil || level < 1 || level > levels {
			return Operation{}, fmt.Errorf("%q is no level: 1 to %d", fields[last], levels)
		}
		return Operation{Kind: w.kind, Slab: levelName(level)}, nil
	}
	return Operation{}, fmt.Errorf("%q is not known: place, live off, live on, strip, reshore, remove or snug, and a level", strings.Join(fields, " "))
}
