package book

import (
	"strings"
	"unicode"

	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/say"
)

// run is a piece of a formula set at one height: 0 on the line, -1 below, +1 above.
type run struct {
	text string
	rise int
}

// token is a run of signs that stays on one line.
type token struct {
	runs []run
	bold bool
}

var greek = map[string]string{
	"alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "eta": "η", "lambda": "λ", "mu": "μ", "nu": "ν", "pi": "π", "rho": "ρ",
	"sigma": "σ", "tau": "τ", "phi": "φ", "psi": "ψ", "omega": "ω", "Delta": "Δ", "Sigma": "Σ", "sqrt": "√", "sum": "Σ",
}

// signed is the Greek letter that a word of a formula spells. The unit psi is
// no letter: psi is one only before a subscript.
func signed(w string, next rune) string {
	g, ok := greek[w]
	if !ok || (w == "psi" && next != '_') {
		return w
	}
	return g
}

// parse splits a formula at its spaces, with subscripts after "_" and
// exponents after "^".
func parse(s string, bold bool) []token {
	var out []token
	for _, word := range strings.Fields(say.Signs(s)) {
		out = append(out, token{runs(word), bold})
	}
	return out
}

func runs(word string) []run {
	var out []run
	rs := []rune(word)
	inWord := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }
	for i := 0; i < len(rs); {
		switch r := rs[i]; {
		case (r == '_' || r == '^') && i > 0 && i+1 < len(rs) && (inWord(rs[i+1]) || (r == '^' && rs[i+1] == '-')):
			j := i + 1
			if rs[j] == '-' {
				j++
			}
			for j < len(rs) && (inWord(rs[j]) || ((rs[j] == ',' || rs[j] == '.') && j+1 < len(rs) && inWord(rs[j+1]))) {
				j++
			}
			rise := -1
			if r == '^' {
				rise = 1
			}
			out = append(out, run{signed(string(rs[i+1:j]), 0), rise})
			i = j
		case unicode.IsLetter(r):
			j := i
			for j < len(rs) && inWord(rs[j]) {
				j++
			}
			next := rune(0)
			if j < len(rs) {
				next = rs[j]
			}
			out = append(out, run{signed(string(rs[i:j]), next), 0})
			i = j
		default:
			j := i + 1
			for j < len(rs) && !unicode.IsLetter(rs[j]) && rs[j] != '_' && rs[j] != '^' {
				j++
			}
			out = append(out, run{string(rs[i:j]), 0})
			i = j
		}
	}
	return out
}

const small = 0.72 // size of raised and lowered signs

func (r run) size(em float64) float64 {
	if r.rise != 0 {
		return em * small
	}
	return em
}

func (t token) width(em float64) float64 {
	w := 0.0
	for _, r := range t.runs {
		w += draw.Width(draw.Drawable(r.text), r.size(em), t.bold)
	}
	return w
}

// wrap breaks tokens into lines of at most the given width.
func wrap(ts []token, width, em float64) [][]token {
	var lines [][]token
	var line []token
	x := 0.0
	space := draw.Width(" ", em, false)
	for _, t := range ts {
		w := t.width(em)
		if len(line) > 0 && x+space+w > width {
			lines = append(lines, line)
			line, x = nil, 0
		}
		if len(line) > 0 {
			x += space
		}
		line = append(line, t)
		x += w
	}
	if len(line) > 0 {
		lines = append(lines, line)
	}
	return lines
}

// set writes one line of tokens.
func set(p *draw.Page, at draw.Point, line []token, em float64, c draw.Color) {
	space := draw.Width(" ", em, false)
	for _, t := range line {
		for _, r := range t.runs {
			text := draw.Drawable(r.text)
			y := at.Y
			switch r.rise {
			case -1:
				y -= 0.2 * em
			case 1:
				y += 0.35 * em
			}
			p.Write(draw.Text{At: draw.Point{X: at.X, Y: y}, Size: r.size(em), Bold: t.bold, Color: c, Str: text})
			at.X += draw.Width(text, r.size(em), t.bold)
		}
		at.X += space
	}
}
