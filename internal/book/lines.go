package book

import (
	"shoreward/internal/calc"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/flow"
	"shoreward/internal/sheets/say"
)

// Widths of a calculation line as shares of the column: the working, the
// ratio, the source.
const workShare, ratioShare = 0.62, 0.08

// lines sets calculation lines: symbol = formula = numbers = value, the limit
// and the ratio of a check, and where the rule comes from.
func (b *book) lines(ls calc.Lines) {
	for _, l := range ls {
		b.line(l)
	}
	b.flow.Space(1.5)
}

func (b *book) line(l calc.Line) {
	b.cite(l.Source, l.Evidence)
	em, note := b.flow.Size, b.flow.Size*0.82
	total := b.flow.Width()
	work := total * workShare
	right := total * (1 - workShare - ratioShare)
	name := draw.Wrap(l.Name, work-2, note, false)
	working := wrap(working(l, b), work-2, em)
	bold := unsure(l.Evidence)
	var side []string
	if l.Source != "" || l.Evidence != "" {
		side = append(side, draw.Wrap(l.Source, right-2, note, bold)...)
		side = append(side, draw.Wrap(say.Evidence(l.Evidence), right-2, note, bold)...)
	}
	if l.Note != "" {
		side = append(side, draw.Wrap(l.Note, right-2, note, bold)...)
	}
	lead, noteLead := em*1.5, note*flow.Leading
	left := float64(len(name))*noteLead + float64(len(working))*lead
	h := max(left, float64(len(side))*noteLead) + 2.2
	box := b.flow.Take(h)
	page := b.flow.Page()
	page.Line(draw.TablePen, box.Min, draw.Point{X: box.Max.X, Y: box.Min.Y})

	color := draw.Ink
	if l.IsCheck() && fails(l.Ratio) {
		color = draw.Brick
		page.Shape(draw.None, &draw.Brick, draw.Box{Min: draw.Point{X: box.Min.X - 2.2, Y: box.Min.Y}, Max: draw.Point{X: box.Min.X - 0.8, Y: box.Max.Y}}.Ring())
	}
	y := box.Max.Y - 0.5
	for _, s := range name {
		y -= noteLead
		page.Write(draw.Text{At: draw.Point{X: box.Min.X, Y: y + 0.25*note}, Size: note, Color: draw.Grey, Str: s})
	}
	for _, ts := range working {
		y -= lead
		set(page, draw.Point{X: box.Min.X, Y: y + 0.42*em}, ts, em, color)
	}
	if l.IsCheck() {
		verdict := say.Ratio(l.Ratio)
		if fails(l.Ratio) {
			verdict += " FAILS"
		}
		page.Write(draw.Text{At: draw.Point{X: box.Min.X + total*(workShare+ratioShare) - 3, Y: y + 0.42*em}, Size: em, Bold: true, Align: draw.Right, Color: color, Str: verdict})
	}
	y = box.Max.Y - 0.5
	x := box.Min.X + total*(workShare+ratioShare)
	if bold {
		page.Line(draw.Medium, draw.Point{X: x - 1.2, Y: box.Max.Y - 1}, draw.Point{X: x - 1.2, Y: box.Max.Y - float64(len(side))*noteLead})
	}
	for _, s := range side {
		y -= noteLead
		page.Write(draw.Text{At: draw.Point{X: x, Y: y + 0.25*note}, Size: note, Bold: bold, Color: draw.Ink, Str: s})
	}
}

func fails(ratio float64) bool { return ratio > 1+1e-9 }

// unsure marks evidence that a reviewer must confirm.
func unsure(e calc.Evidence) bool { return e == calc.Memory || e == calc.Practice }

// working is the whole line as tokens.
func working(l calc.Line, b *book) []token {
	ts := parse(l.Symbol, true)
	add := func(sign, text string, bold bool) {
		if text == "" {
			return
		}
		ts = append(ts, token{runs: []run{{sign, 0}}})
		ts = append(ts, parse(text, bold)...)
	}
	value := calc.Text(l.Value, l.Kind, b.style)
	if l.Formula != "" {
		add("=", l.Formula, false)
		if sub := l.Substituted(b.style); sub != l.Formula && sub != value {
			add("=", sub, false)
		}
	}
	add("=", value, true)
	if l.IsCheck() {
		sign := "≤"
		if fails(l.Ratio) {
			sign = ">"
		}
		limit := calc.Text(*l.Limit, l.Kind, b.style)
		if l.LimitSym != "" {
			limit = l.LimitSym + " = " + limit
		}
		add(sign, limit, false)
	}
	return ts
}
