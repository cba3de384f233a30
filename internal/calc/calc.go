// Package calc holds calculation lines: one checked or computed quantity each,
// with its symbol, formula, the numbers put into the formula, the limit and
// where the rule comes from, so that a reviewer can follow it by hand.
package calc

import (
	"shoreward/internal/quantity"
)

// Evidence says how sure a value or clause is.
type Evidence string

// Kinds of evidence, from strongest to weakest.
const (
	Read     Evidence = "read"            // seen in a published text
	Derived  Evidence = "derived"         // arithmetic or mechanics from other values
	ReadWeak Evidence = "read-2nd"        // seen, in a secondary text
	Practice Evidence = "common practice" // habit of the trade, no source
	Memory   Evidence = "memory"          // not seen: confirm against the standard
	User     Evidence = "user"            // given in the job or the user's catalogue
	Chosen   Evidence = "setting"         // a setting of the job or its default
)

// Kind is the physical kind of a number, which decides how it is written.
type Kind string

// Kinds of number in a line.
const (
	Plain      Kind = ""                // dimensionless
	Length     Kind = "length"          // m
	Area       Kind = "area"            // m2
	Force      Kind = "force"           // N
	Moment     Kind = "moment"          // N·m
	Stress     Kind = "stress"          // Pa, written as N/mm2 or psi
	Pressure   Kind = "pressure"        // Pa, written as kN/m2 or psf
	LineLoad   Kind = "line load"       // N/m
	EI         Kind = "EI"              // N·m2
	EIPerWidth Kind = "EI/width"        // N·m2 per m
	MomentPerM Kind = "M/width"         // N·m per m
	ForcePerM  Kind = "V/width"         // N per m
	Modulus    Kind = "section modulus" // m3
	Inertia    Kind = "inertia"         // m4
	UnitWeight Kind = "unit weight"     // N/m3
	Angle      Kind = "angle"           // rad
)

// Term is one symbol of a formula with the number put in for it, in SI.
type Term struct {
	Sym  string  `json:"sym"`
	Val  float64 `json:"val"`
	Kind Kind    `json:"kind,omitempty"`
}

// Line is one step of a calculation. A line with Limit set is a check: it holds
// while Ratio is at most 1.
type Line struct {
	Symbol   string   `json:"symbol"`            // quantity found, e.g. "f_b"
	Name     string   `json:"name"`              // in words
	Formula  string   `json:"formula,omitempty"` // with the symbols of Terms, e.g. "M / S"
	Terms    []Term   `json:"terms,omitempty"`   // numbers put in
	Value    float64  `json:"value"`             // result, SI
	Limit    *float64 `json:"limit,omitempty"`   // allowed value, SI
	LimitSym string   `json:"limit_symbol,omitempty"`
	Kind     Kind     `json:"kind,omitempty"`     // of Value and Limit
	Ratio    float64  `json:"ratio,omitempty"`    // Value/Limit for a check
	Source   string   `json:"source,omitempty"`   // standard, clause, edition
	Evidence Evidence `json:"evidence,omitempty"` // how sure the clause is
	Note     string   `json:"note,omitempty"`
}

// IsCheck reports whether the line compares a value with a limit.
func (l Line) IsCheck() bool { return l.Limit != nil }

// Check turns a computed line into a check against limit. A limit that is not
// positive cannot be met: the ratio is then set beyond any acceptance.
func (l Line) Check(limit float64, limitSym string) Line {
	l.Limit, l.LimitSym = &limit, limitSym
	switch {
	case limit > 0:
		l.Ratio = l.Value / limit
	case l.Value > 0:
		l.Ratio = 999
	}
	return l
}

// Lines is a run of calculation steps.
type Lines []Line

// Worst returns the check with the greatest ratio, and false when there is none.
func (ls Lines) Worst() (Line, bool) {
	var worst Line
	found := false
	for _, l := range ls {
		if l.IsCheck() && (!found || l.Ratio > worst.Ratio) {
			worst, found = l, true
		}
	}
	return worst, found
}

// Num is shorthand for a term of a given kind.
func Num[T ~float64](sym string, v T, k Kind) Term { return Term{sym, float64(v), k} }

// Text writes a value of the given kind in the given style of units.
func Text(v float64, k Kind, s quantity.Style) string { return text(v, k, s) }
