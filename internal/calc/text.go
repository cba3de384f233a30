package calc

import (
	"math"
	"strconv"
	"strings"
	"unicode"

	"shoreward/internal/quantity"
)

// unit is how a kind of number is written in one style: SI value divided by
// size, with a number of decimals.
type unit struct {
	name     string
	size     float64
	decimals int
}

const inch, foot, lb = float64(quantity.Inch), float64(quantity.Foot), float64(quantity.Pound)

var units = map[Kind][2]unit{ // [Metric, US]
	Plain:      {{"", 1, 3}, {"", 1, 3}},
	Length:     {{"mm", 1e-3, 1}, {"in", inch, 2}},
	Area:       {{"m2", 1, 3}, {"ft2", foot * foot, 2}},
	Force:      {{"kN", 1e3, 2}, {"lb", lb, 0}},
	Moment:     {{"kNm", 1e3, 3}, {"lb-ft", lb * foot, 0}},
	Stress:     {{"N/mm2", 1e6, 2}, {"psi", lb / (inch * inch), 1}},
	Pressure:   {{"kN/m2", 1e3, 2}, {"psf", lb / (foot * foot), 1}},
	LineLoad:   {{"kN/m", 1e3, 2}, {"plf", lb / foot, 1}},
	EI:         {{"kNm2", 1e3, 1}, {"k-in2", 1000 * lb * inch * inch, 0}},
	EIPerWidth: {{"kNm2/m", 1e3, 3}, {"k-in2/ft", 1000 * lb * inch * inch / foot, 1}},
	MomentPerM: {{"kNm/m", 1e3, 3}, {"lb-ft/ft", lb, 1}},
	ForcePerM:  {{"kN/m", 1e3, 2}, {"plf", lb / foot, 1}},
	Modulus:    {{"cm3", 1e-6, 2}, {"in3", inch * inch * inch, 3}},
	Inertia:    {{"cm4", 1e-8, 2}, {"in4", inch * inch * inch * inch, 3}},
	UnitWeight: {{"kN/m3", 1e3, 2}, {"pcf", lb / (foot * foot * foot), 1}},
	Angle:      {{"deg", math.Pi / 180, 2}, {"deg", math.Pi / 180, 2}},
}

func text(v float64, k Kind, s quantity.Style) string {
	pair, ok := units[k]
	if !ok {
		pair = units[Plain]
	}
	u := pair[s]
	n := strconv.FormatFloat(v/u.size, 'f', u.decimals, 64)
	if k == Plain { // no trailing zeros on pure numbers
		n = strings.TrimRight(strings.TrimRight(n, "0"), ".")
	}
	if u.name == "" {
		return n
	}
	return n + " " + u.name
}

// Substituted writes the formula with its symbols replaced by their numbers.
func (l Line) Substituted(s quantity.Style) string {
	var out strings.Builder
	word := func(w string, next rune) {
		for _, t := range l.Terms {
			if t.Sym != w {
				continue
			}
			text := Text(t.Val, t.Kind, s)
			if next == '^' && strings.Contains(text, " ") { // the power is of the number too, not of its unit alone
				text = "(" + text + ")"
			}
			out.WriteString(text)
			return
		}
		out.WriteString(w)
	}
	var w strings.Builder
	flush := func(next rune) {
		if w.Len() > 0 {
			word(w.String(), next)
			w.Reset()
		}
	}
	for _, r := range l.Formula {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '_' || r == '.' || r == '\'' {
			w.WriteRune(r)
			continue
		}
		flush(r)
		out.WriteRune(r)
	}
	flush(0)
	return out.String()
}
