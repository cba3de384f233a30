package rules

import (
	"fmt"
	"math"
	"strings"

	"shoreward/internal/calc"
	"shoreward/internal/catalog"
)

// reading collects the catalogue values that a resistance is built from: the
// lines that show them, and what is missing, so that one error names all of it.
type reading struct {
	part    *catalog.Part
	basis   Name
	missing []string
	lines   calc.Lines
}

func (s Settings) read(p *catalog.Part) *reading { return &reading{part: p, basis: s.Basis} }

// take gives the number of a value that must be known and positive, and
// writes it down as a line.
func take[T ~float64](r *reading, v catalog.Value[T], sym, name string, kind calc.Kind) T {
	if !v.Known || !(v.V > 0) || math.IsInf(float64(v.V), 0) {
		r.missing = append(r.missing, name)
		return 0
	}
	r.lines = append(r.lines, calc.Line{Symbol: sym, Name: name, Value: float64(v.V), Kind: kind, Source: v.Source, Evidence: v.Evidence})
	return v.V
}

// err is what is missing, in one error, or nil.
func (r *reading) err() error {
	if len(r.missing) == 0 {
		return nil
	}
	return fmt.Errorf("part %s: %s not known, but needed on the %s basis; give it in your catalogue or choose another part",
		r.part.ID, strings.Join(r.missing, ", "), r.basis)
}

// wrong names the part of an error that a standard's function found.
func wrong(p *catalog.Part, err error) error { return fmt.Errorf("part %s: %w", p.ID, err) }

// lacks is the error of a part that has no values at all for the basis.
func (s Settings) lacks(p *catalog.Part, what, key string) error {
	if p == nil {
		return fmt.Errorf("no part given where %s is needed", what)
	}
	return fmt.Errorf("part %s: no %s for the %s basis; add %s to it in your catalogue or choose another part", p.ID, what, s.Basis, key)
}
