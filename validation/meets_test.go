// Package validation holds published checks: one file a source or standard,
// each expected value with its source beside it.
package validation

import (
	"math"
	"testing"

	"shoreward/internal/calc"
	"shoreward/internal/catalog"
	"shoreward/internal/quantity"
	"shoreward/internal/rules"
)

const (
	inch = quantity.Inch
	foot = quantity.Foot
	psi  = quantity.PSI
	psf  = quantity.PSF
	plf  = quantity.PoundPerFoot
	pcf  = quantity.PCF
	lb   = quantity.Pound
	kN   = quantity.Kilonewton
	kPa  = quantity.Kilopascal
	mpa  = quantity.Megapascal
	mm   = quantity.Millimetre
)

// meets fails unless got, divided by unit, is want to the allowed difference.
// A tolerance is the one of the row that the test stands for.
func meets[T ~float64](t *testing.T, id, what string, got, unit T, want, allowed float64) {
	t.Helper()
	g := float64(got / unit)
	if !(math.Abs(g-want) <= allowed) {
		t.Errorf("%s %s: got %.6g, published %.6g, allowed difference %.3g", id, what, g, want, allowed)
	}
}

// percent of a published value as an allowed difference.
func percent(p, of float64) float64 { return p / 100 * math.Abs(of) }

// known wraps a value typed from the source that the test names.
func known[T ~float64](v T) catalog.Value[T] {
	return catalog.Value[T]{V: v, Known: true, Source: "typed for this test", Evidence: calc.Read}
}

// timber is a part of sawn lumber with NDS reference values in psi.
func timber(name, grade, table string, b, d quantity.Length, nominalB, nominalD int, fb, fv, fcp, fc, e, emin float64) *catalog.Part {
	p := func(v float64) catalog.Value[quantity.Stress] { return known(quantity.Stress(v) * psi) }
	return &catalog.Part{
		ID: name, Kind: catalog.Lumber, Width: known(b), Depth: known(d),
		NDS: &catalog.NDSTimber{Grade: grade, Table: table, NominalB: nominalB, NominalD: nominalD,
			Fb: p(fb), Fv: p(fv), Fcp: p(fcp), Fc: p(fc), E: p(e), Emin: p(emin)},
	}
}

// us gives the settings of the US basis with a load duration, dry or wet.
func us(cd float64, wet bool) rules.Settings {
	s := rules.Defaults(rules.US)
	s.LoadDuration, s.LoadDurationPosts, s.WetService = cd, cd, wet
	return s
}

// symbol finds the value of a line by its symbol; the last one with it.
func symbol(t *testing.T, ls calc.Lines, sym string) float64 {
	t.Helper()
	for i := len(ls) - 1; i >= 0; i-- {
		if ls[i].Symbol == sym {
			return ls[i].Value
		}
	}
	t.Fatalf("no line %s", sym)
	return 0
}

// symbolTerm is a factor for functions that multiply by terms.
func symbolTerm(sym string, v float64) calc.Term { return calc.Term{Sym: sym, Val: v} }
