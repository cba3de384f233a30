package rules

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"shoreward/internal/calc"
)

// evaluate works out a line's formula with the numbers of its terms, as the
// reviewer of a calculation book does by hand: + - / · ^ ² ³ ⁴, sqrt, min, max, cos, exp, log10.
func evaluate(l calc.Line) (v float64, err error) {
	defer func() {
		if r := recover(); r != nil {
			v, err = 0, fmt.Errorf("%s = %s: %v", l.Symbol, l.Formula, r)
		}
	}()
	e := &expression{rest: []rune(statement(l.Formula)), terms: map[string]float64{"π": math.Pi}}
	for _, t := range l.Terms {
		e.terms[t.Sym] = t.Val
	}
	v = e.sum()
	if len(e.rest) > 0 {
		panic("left over: " + string(e.rest))
	}
	return v, nil
}

// statement is the formula up to an explanation after its first outer comma.
func statement(f string) string {
	depth := 0
	for i, r := range f {
		switch r {
		case '(':
			depth++
		case ')':
			depth--
		case ',':
			if depth == 0 {
				return f[:i]
			}
		}
	}
	return f
}

type expression struct {
	rest  []rune
	terms map[string]float64
}

func (e *expression) peek() rune {
	for len(e.rest) > 0 && e.rest[0] == ' ' {
		e.rest = e.rest[1:]
	}
	if len(e.rest) == 0 {
		return 0
	}
	return e.rest[0]
}

func (e *expression) take(r rune) bool {
	if e.peek() != r {
		return false
	}
	e.rest = e.rest[1:]
	return true
}

func (e *expression) sum() float64 {
	v := e.product()
	for {
		switch {
		case e.take('+'):
			v += e.product()
		case e.take('-'):
			v -= e.product()
		default:
			return v
		}
	}
}

func (e *expression) product() float64 {
	v := e.power()
	for {
		switch {
		case e.take('·'):
			v *= e.power()
		case e.take('/'):
			v /= e.power()
		default:
			return v
		}
	}
}

func (e *expression) power() float64 {
	v := e.atom()
	switch {
	case e.take('^'):
		return math.Pow(v, e.atom())
	case e.take('²'):
		return v * v
	case e.take('³'):
		return v * v * v
	}
	return v
}

func (e *expression) atom() float64 {
	if e.take('(') {
		v := e.sum()
		e.must(')')
		return v
	}
	e.peek()
	word := ""
	for len(e.rest) > 0 && (unicode.IsLetter(e.rest[0]) || unicode.IsDigit(e.rest[0]) || strings.ContainsRune("_.'", e.rest[0])) {
		word, e.rest = word+string(e.rest[0]), e.rest[1:]
	}
	if v, ok := e.terms[word]; ok {
		return v
	}
	if v, err := strconv.ParseFloat(word, 64); err == nil {
		return v
	}
	if !e.take('(') {
		panic("no number for " + strconv.Quote(word))
	}
	args := []float64{e.sum()}
	for e.take(',') {
		args = append(args, e.sum())
	}
	e.must(')')
	switch {
	case word == "sqrt" && len(args) == 1:
		return math.Sqrt(args[0])
	case word == "cos" && len(args) == 1:
		return math.Cos(args[0])
	case word == "exp" && len(args) == 1:
		return math.Exp(args[0])
	case word == "log10" && len(args) == 1:
		return math.Log10(args[0])
	case word == "min" && len(args) == 2:
		return math.Min(args[0], args[1])
	case word == "max" && len(args) == 2:
		return math.Max(args[0], args[1])
	}
	panic("unknown function " + word)
}

func (e *expression) must(r rune) {
	if !e.take(r) {
		panic("missing " + string(r))
	}
}
