package draw

import (
	"strings"
	"sync"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"
)

const face = "sans"

// addFonts loads the two weights of the face into f.
func addFonts(f *fpdf.Fpdf) {
	f.AddUTF8FontFromBytes(face, "", liberationsansregular.TTF)
	f.AddUTF8FontFromBytes(face, "B", liberationsansbold.TTF)
}

// metrics holds advance widths in thousandths of the em for the runes that the
// face has, regular and bold.
var metrics = sync.OnceValue(func() [2]map[rune]float64 {
	f := fpdf.New("P", "mm", "A4", "")
	addFonts(f)
	f.AddPage()
	var m [2]map[rune]float64
	for i, style := range []string{"", "B"} {
		f.SetFont(face, style, 10)
		missing := f.GetStringSymbolWidth("\uE123") // private use: never in the face
		m[i] = map[rune]float64{}
		for r := rune(' '); r < 0xFFFD; r++ {
			w := f.GetStringSymbolWidth(string(r))
			// Cyrillic has one true letter as wide as the sign for a missing one.
			if w != missing || (r >= 0x410 && r <= 0x44F) {
				m[i][r] = float64(w)
			}
		}
	}
	return m
})

// Width of s in mm, set at the given em size.
func Width(s string, size float64, bold bool) float64 {
	m := metrics()[0]
	if bold {
		m = metrics()[1]
	}
	sum := 0.0
	for _, r := range s {
		w, ok := m[r]
		if !ok {
			w = m['?']
		}
		sum += w
	}
	return sum * size / 1000
}

// Drawable is s with every sign that the face does not have replaced by "?"
// and line breaks by spaces.
func Drawable(s string) string {
	m := metrics()
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\r':
			return ' '
		case r < ' ':
			return -1
		}
		_, regular := m[0][r]
		_, bold := m[1][r]
		if !regular || !bold {
			return '?'
		}
		return r
	}, s)
}

// Wrap breaks s at spaces into lines of at most the given width in mm. A word
// too long for a line is broken where it must be.
func Wrap(s string, width, size float64, bold bool) []string {
	var lines []string
	for _, para := range strings.Split(s, "\n") {
		line := ""
		for _, word := range strings.Fields(Drawable(para)) {
			for _, piece := range breakWord(word, width, size, bold) {
				switch {
				case line == "":
					line = piece
				case Width(line+" "+piece, size, bold) <= width:
					line += " " + piece
				default:
					lines = append(lines, line)
					line = piece
				}
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// breakWord cuts a word that is wider than a line.
func breakWord(word string, width, size float64, bold bool) []string {
	if Width(word, size, bold) <= width {
		return []string{word}
	}
	var pieces []string
	piece := ""
	for _, r := range word {
		if piece != "" && Width(piece+string(r), size, bold) > width {
			pieces = append(pieces, piece)
			piece = ""
		}
		piece += string(r)
	}
	return append(pieces, piece)
}

// Fit shortens s with an ellipsis until it is at most width wide.
func Fit(s string, width, size float64, bold bool) string {
	s = Drawable(s)
	if Width(s, size, bold) <= width {
		return s
	}
	rs := []rune(s)
	for len(rs) > 0 && Width(string(rs)+"…", size, bold) > width {
		rs = rs[:len(rs)-1]
	}
	return string(rs) + "…"
}
