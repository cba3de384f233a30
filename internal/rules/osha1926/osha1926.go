// Package osha1926 holds duties of 29 CFR 1926 subparts Q (concrete) and M
// (falls) that bear on slab forms and shoring: cautions to print, in our own
// words, and the few figures that can be checked. Washington State's rules on
// single-post shores, which say the same with figures, stand beside them.
package osha1926

import (
	"fmt"

	"shoreward/internal/calc"
	"shoreward/internal/quantity"
)

// Caution is a duty to print on drawings and checklists.
type Caution struct {
	Section  string
	Duty     string
	Evidence calc.Evidence
}

// Cautions are the duties that apply to every shored deck, in the order of the work.
func Cautions() []Caution {
	return []Caution{
		{"29 CFR 1926.703(a)(1)", "Design, erect, support and brace the forms to carry every vertical and lateral load that can be expected, without failure.", calc.Read},
		{"29 CFR 1926.703(a)(2)", "Keep the drawings, with all revisions, of jacks, forms, shores, working decks and scaffolds at the site.", calc.Read},
		{"29 CFR 1926.703(b)(1)", "Before erection, check the shoring equipment against these drawings.", calc.Read},
		{"29 CFR 1926.703(b)(2)", "Do not use damaged equipment that has lost strength.", calc.Read},
		{"29 CFR 1926.703(b)(5)", "Sills must be sound, rigid and able to carry the greatest load.", calc.Memory},
		{"29 CFR 1926.703(b)(6)", "Base plates, heads and screws must be in firm contact and secured to what they stand on and to the form.", calc.Memory},
		{"29 CFR 1926.703(b)(7)", "No eccentric load on a shore head unless it was designed for.", calc.Memory},
		{"29 CFR 1926.703(b)(8)", "No prop on a prop unless a qualified designer designed it and an engineer qualified in structural design inspected it.", calc.Read},
		{"29 CFR 1926.701(b)", "Guard reinforcement that people could fall onto.", calc.Read},
		{"29 CFR 1926.501(b)(1)", "Guardrail, net or personal fall arrest at every open side 6 ft (1.8 m) or more above a lower level.", calc.Read},
		{"29 CFR 1926.501(b)(2)", "The same at a leading edge while the deck grows.", calc.Read},
		{"29 CFR 1926.502(b)(1)", "Top rail 42 in (1.1 m) high, within 3 in.", calc.Read},
		{"29 CFR 1926.703(b)(3)", "Inspect the erected shoring right before, during and right after placing.", calc.Read},
		{"29 CFR 1926.703(b)(4)", "Reinforce at once any shore found damaged or weakened.", calc.Read},
		{"29 CFR 1926.703(b)(9)", "Do not adjust single-post shores to raise the forms after placing.", calc.Memory},
		{"29 CFR 1926.703(e)(1)", "Leave forms and shores until the stated conditions are met or tests show that the concrete carries its weight and what lies on it.", calc.Read},
		{"29 CFR 1926.703(b)(10)", "Reshore as forms and shores come out wherever the concrete must carry more than it can.", calc.Memory},
		{"29 CFR 1926.703(e)(2)", "Leave reshores until the concrete they support carries its weight and all loads on it.", calc.Memory},
		{"29 CFR 1926.701(a)", "No construction load on a structure unless a person qualified in structural design finds that it can carry it.", calc.Read},
	}
}

// TopRail is the load F on a guardrail, 200 lb outward or downward at any point
// near its top, and the height h of the top rail. 1926.502(b)(1), (3).
func TopRail() (load, height calc.Line) {
	return calc.Line{Symbol: "F", Name: "force at the top of the guardrail", Value: float64(200 * quantity.Pound), Kind: calc.Force, Source: "29 CFR 1926.502(b)(3)", Evidence: calc.Read},
		calc.Line{Symbol: "h", Name: "height of the top rail", Value: float64(42 * quantity.Inch), Kind: calc.Length, Source: "29 CFR 1926.502(b)(1)", Evidence: calc.Read}
}

// TopRailHeightOK tells whether a top rail is 42 in high, within 3 in. 1926.502(b)(1).
func TopRailHeightOK(h quantity.Length) bool {
	const slack = quantity.Millimetre / 100
	return h >= 39*quantity.Inch-slack && h <= 45*quantity.Inch+slack
}

// TestedShoreFactor is the least factor of a single-post shore's working load
// on its tested ultimate load. WAC 296-155-687(9).
const TestedShoreFactor = 3.0

// TestedShore is the working load of a single-post shore from its tested ultimate load.
func TestedShore(ultimate quantity.Force) calc.Line {
	return calc.Line{Symbol: "P_w", Name: "working load of a tested shore", Formula: "P_u / n",
		Terms: []calc.Term{calc.Num("P_u", ultimate, calc.Force), calc.Num("n", TestedShoreFactor, calc.Plain)},
		Value: float64(ultimate) / TestedShoreFactor, Kind: calc.Force, Source: "WAC 296-155-687(9)", Evidence: calc.Read}
}

// TieredShores are the further duties when single-post shores stand on one another.
func TieredShores(tiers int) []Caution {
	if tiers < 2 {
		return nil
	}
	return []Caution{
		{"29 CFR 1926.703(b)(8)(i)", fmt.Sprintf("%d tiers of single-post shores: a qualified designer designs them, and an engineer qualified in structural design inspects them as erected.", tiers), calc.Read},
		{"29 CFR 1926.703(b)(8)(ii)", "The tiers stand in line, one over the other.", calc.Memory},
		{"29 CFR 1926.703(b)(8)(iii)", "They are spliced so that they cannot slip out of line.", calc.Memory},
		{"29 CFR 1926.703(b)(8)(iv)", "They are braced in two directions at right angles at each splice, and each tier diagonally in the same two directions.", calc.Memory},
	}
}

// TallShores are the further duties for shores over 10 ft. New York City BC 3305.
func TallShores(height quantity.Length) []Caution {
	if height <= 10*quantity.Foot {
		return nil
	}
	return []Caution{{"New York City BC 3305", "Shores over 10 ft (3.05 m) high need diagonal bracing; struts alone do only where other rigid construction braces them.", calc.Read}}
}

// SlenderTimber is the duty for a timber shore thinner than 1/50 of its length. NDS 3.7.1.4.
func SlenderTimber(length, leastSide quantity.Length) []Caution {
	if length <= 50*leastSide {
		return nil
	}
	return []Caution{{"NDS 2018 3.7.1.4", "Timber shore more than 50 times as long as its least side: do not use it without bracing in both directions.", calc.ReadWeak}}
}
