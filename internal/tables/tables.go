// Package tables writes the takeoff of a plan as a spreadsheet: gear, panels, how
// they are cut, and props of every pour, and all pours together.
package tables

import (
	"archive/zip"
	"bytes"
	"fmt"
	"math"
	"sort"
	"strings"

	"github.com/xuri/excelize/v2"

	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets/count"
	"shoreward/internal/sheets/say"
)

// made is the date written into every file, so that the same plan gives the
// same bytes.
const made = "2026-01-01T00:00:00Z"

// XLSX writes the takeoff, the same bytes for the same plan.
func XLSX(doc *deck.Document) ([]byte, error) {
	if err := say.Finite(doc); err != nil {
		return nil, fmt.Errorf("takeoff: %w", err)
	}
	f := excelize.NewFile()
	defer f.Close()
	if err := f.SetDocProps(&excelize.DocProperties{Created: made, Modified: made, Creator: "Shoreward", LastModifiedBy: "Shoreward",
		Title: doc.Job.Name + ": takeoff", Description: "Design aid; the project's licensed engineer governs"}); err != nil {
		return nil, fmt.Errorf("takeoff: %w", err)
	}
	b := &workbook{file: f, doc: doc, style: doc.Job.Style}
	if err := b.styles(); err != nil {
		return nil, fmt.Errorf("takeoff: %w", err)
	}
	for _, t := range []table{b.gear(), b.panels(), b.cuts(), b.props(), b.contact()} {
		if err := b.write(t); err != nil {
			return nil, fmt.Errorf("takeoff, sheet %s: %w", t.name, err)
		}
	}
	if err := f.DeleteSheet("Sheet1"); err != nil {
		return nil, fmt.Errorf("takeoff: %w", err)
	}
	f.SetActiveSheet(0)
	out, err := f.WriteToBuffer()
	if err != nil {
		return nil, fmt.Errorf("takeoff: %w", err)
	}
	return inOrder(out.Bytes())
}

// inOrder packs a zip file again with its entries sorted by name: excelize
// writes streamed sheets in any order.
func inOrder(packed []byte) ([]byte, error) {
	in, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		return nil, fmt.Errorf("takeoff: %w", err)
	}
	sort.Slice(in.File, func(i, j int) bool { return in.File[i].Name < in.File[j].Name })
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, f := range in.File {
		if err := w.Copy(f); err != nil {
			return nil, fmt.Errorf("takeoff: packing %s: %w", f.Name, err)
		}
	}
	if err := w.Close(); err != nil {
		return nil, fmt.Errorf("takeoff: %w", err)
	}
	return out.Bytes(), nil
}

type workbook struct {
	file  *excelize.File
	doc   *deck.Document
	style quantity.Style

	head, bold int // ids of cell styles
}

func (b *workbook) styles() error {
	var err error
	b.head, err = b.file.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"},
		Border: []excelize.Border{{Type: "bottom", Style: 2, Color: "1D2A2F"}}})
	if err != nil {
		return err
	}
	b.bold, err = b.file.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	return err
}

// table is one sheet of the workbook.
type table struct {
	name string
	cols []col
	rows []row
}

type col struct {
	head  string
	width float64 // characters
}

type row struct {
	cells []any
	bold  bool
}

func (b *workbook) write(t table) error {
	if _, err := b.file.NewSheet(t.name); err != nil {
		return err
	}
	w, err := b.file.NewStreamWriter(t.name)
	if err != nil {
		return err
	}
	heads := make([]any, len(t.cols))
	for i, c := range t.cols {
		if err := w.SetColWidth(i+1, i+1, c.width); err != nil {
			return err
		}
		heads[i] = excelize.Cell{StyleID: b.head, Value: c.head}
	}
	if err := w.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	if err := w.SetRow("A1", heads); err != nil {
		return err
	}
	for i, r := range t.rows {
		cells := r.cells
		if r.bold {
			cells = make([]any, len(r.cells))
			for k, v := range r.cells {
				cells[k] = excelize.Cell{StyleID: b.bold, Value: v}
			}
		}
		at, err := excelize.CoordinatesToCellName(1, i+2)
		if err != nil {
			return err
		}
		if err := w.SetRow(at, cells); err != nil {
			return err
		}
	}
	return w.Flush()
}

// planned are the pours that have a deck.
func (b *workbook) planned() []*deck.Pour {
	var out []*deck.Pour
	for i := range b.doc.Pours {
		if b.doc.Pours[i].Refused == "" {
			out = append(out, &b.doc.Pours[i])
		}
	}
	return out
}

// refused says in each sheet which pours have no deck.
func (b *workbook) refused() []row {
	var out []row
	for _, p := range b.doc.Pours {
		if p.Refused != "" {
			out = append(out, row{cells: []any{p.Name, "no deck: " + p.Refused}, bold: true})
		}
	}
	return out
}

// mass in the style's unit; words when it is not known.
func (b *workbook) mass(kg float64) any {
	if math.IsNaN(kg) {
		return "not known"
	}
	if b.style == quantity.US {
		kg /= float64(quantity.PoundMass)
	}
	return math.Round(kg*100) / 100
}

func (b *workbook) massUnit() string {
	if b.style == quantity.US {
		return "lb"
	}
	return "kg"
}

// length as a number a spreadsheet can add: mm, or inches with decimals.
func (b *workbook) length(mm float64) any {
	if b.style == quantity.US {
		return math.Round(mm/25.4*1e4) / 1e4
	}
	return math.Round(mm*10) / 10
}

func (b *workbook) lengthUnit() string {
	if b.style == quantity.US {
		return "in"
	}
	return "mm"
}

func (b *workbook) gear() table {
	u := b.massUnit()
	t := table{name: "Gear", cols: []col{{"pour", 14}, {"part", 44}, {"id", 24}, {"kind", 12}, {"count", 9}, {u + " each", 11}, {u + " total", 12}, {"lifting", 22}, {"note", 30}, {"to send, whole", 14}}}
	t.rows = b.refused()
	pours := b.planned()
	for _, p := range pours {
		t.rows = append(t.rows, b.gearRows(p.Name, p)...)
	}
	return b.withTotal(t, pours)
}

// withTotal adds the gear of all pours together; pours are not set against one
// another, so gear that moves from pour to pour counts in each.
func (b *workbook) withTotal(t table, pours []*deck.Pour) table {
	rows := b.gearRows("total", pours...)
	for i := range rows {
		rows[i].bold = true
	}
	t.rows = append(t.rows, rows...)
	return t
}

func (b *workbook) gearRows(name string, pours ...*deck.Pour) []row {
	var out []row
	pieces, total, unknown := 0, 0.0, false
	for _, g := range count.List(b.doc, pours...) {
		part, each := g.Name, b.mass(g.Each)
		if g.Cut {
			part, each = part+", cut", "differs"
		}
		lifting := "one person"
		switch {
		case g.Heavy:
			lifting = "over the limit: two people"
		case math.IsNaN(g.Each) && !g.Cut, math.IsNaN(g.Total):
			lifting = "weight not known"
		}
		out = append(out, row{cells: []any{name, part, g.ID, string(g.Kind), g.Count, each, b.mass(g.Total), lifting, g.Note, g.Send}})
		pieces += g.Count
		if math.IsNaN(g.Total) {
			unknown = true
		} else {
			total += g.Total
		}
	}
	if l := count.Fillers(pours...); l > 0 {
		out = append(out, row{cells: []any{name, "Filler board to gaps at walls", "", "", "", "", "", "", say.Run(l, b.style) + ", cut on site"}})
	}
	note := ""
	if unknown {
		note = "without the parts whose weight is not known"
	}
	return append(out, row{bold: true, cells: []any{name, "all parts", "", "", pieces, "", b.mass(total), "", note}})
}

func (b *workbook) panels() table {
	u := b.lengthUnit()
	t := table{name: "Panels", cols: []col{{"pour", 14}, {"panel", 44}, {"id", 24}, {"whole or cut", 14}, {"along face grain, " + u, 14}, {"across, " + u, 12},
		{"size", 26}, {"count", 9}, {"area, " + b.areaUnit(), 12}, {"which", 60}}}
	t.rows = b.refused()
	for _, p := range b.planned() {
		t.rows = append(t.rows, b.panelRows(p.Name, false, p)...)
	}
	t.rows = append(t.rows, b.panelRows("total", true, b.planned()...)...)
	return t
}

func (b *workbook) areaUnit() string {
	if b.style == quantity.US {
		return "ft2"
	}
	return "m2"
}

// contact lists what the forms touch: soffits by zone, vertical forms by kind.
func (b *workbook) contact() table {
	t := table{name: "Contact", cols: []col{{"pour", 14}, {"form", 44}, {"length, " + b.lengthUnit(), 14}, {"contact area, " + b.areaUnit(), 16}, {"kickers", 10}}}
	t.rows = b.refused()
	sum := 0.0
	for _, p := range b.planned() {
		for _, c := range count.Contacts(p) {
			var long, kickers any = "", ""
			if c.Length > 0 {
				long, kickers = b.length(c.Length), c.Kickers
			}
			t.rows = append(t.rows, row{cells: []any{p.Name, c.What, long, b.area(c.Area), kickers}})
			sum += c.Area
		}
	}
	t.rows = append(t.rows, row{bold: true, cells: []any{"total", "all forms", "", b.area(sum)}})
	return t
}

// area as a number in the style's unit.
func (b *workbook) area(m2 float64) any {
	if b.style == quantity.US {
		m2 /= 0.3048 * 0.3048
	}
	return math.Round(m2*1000) / 1000
}

func (b *workbook) panelRows(name string, total bool, pours ...*deck.Pour) []row {
	var out []row
	for _, n := range count.Panels(pours...) {
		kind := "whole"
		if n.Cut {
			kind = "cut"
		}
		if n.Shaped {
			kind += ", shaped"
		}
		if n.Holes {
			kind += ", with hole"
		}
		which := ""
		if !total && n.Cut {
			which = strings.Join(n.IDs, ", ")
		}
		out = append(out, row{bold: total, cells: []any{name, say.Part(b.doc, n.Part), n.Part, kind, b.length(n.Along), b.length(n.Across),
			say.Size(n.Along, n.Across, b.style), n.Count, b.area(n.Area), cellText(which)}})
	}
	return out
}

// cellText keeps a text within what a cell can hold.
func cellText(s string) string {
	const most = 32000
	if len(s) <= most {
		return s
	}
	return strings.ToValidUTF8(s[:most], "") + " and more"
}

// headOf names a prop's head, with the wedge that is cut to the slope on it.
func (b *workbook) headOf(q deck.Prop) string {
	name := say.Part(b.doc, q.Head)
	if q.Taper > 0 {
		name += ", wedge " + say.LenUnit(q.Taper, b.style)
	}
	return name
}

func (b *workbook) props() table {
	u := b.lengthUnit()
	t := table{name: "Props", cols: []col{{"pour", 14}, {"id", 9}, {"line", 7}, {"kind", 13}, {"part", 34}, {"head", 26}, {"tripod", 18}, {"sill", 18}, {"under", 10},
		{"x, " + u, 12}, {"y, " + u, 12}, {"base level, " + u, 12}, {"extension, " + u, 13}, {"extension", 16}, {"pin hole", 9}, {"thread, " + u, 11}}}
	t.rows = b.refused()
	for _, p := range b.planned() {
		for _, q := range p.Deck.Props {
			var hole, thread any = "", ""
			if q.Hole > 0 {
				hole, thread = q.Hole, b.length(q.Thread)
			}
			t.rows = append(t.rows, row{cells: []any{p.Name, q.ID, q.Line, string(q.Kind), say.Part(b.doc, q.Part), b.headOf(q), say.Part(b.doc, q.Tripod),
				say.Part(b.doc, q.Sill), q.Under, b.length(q.At[0]), b.length(q.At[1]), b.length(q.Base), b.length(q.Length), say.LenUnit(q.Length, b.style), hole, thread}})
		}
	}
	counts := map[string]int{}
	for _, p := range b.planned() {
		for _, q := range p.Deck.Props {
			counts[string(q.Kind)+", "+say.Part(b.doc, q.Part)]++
		}
	}
	var names []string
	for n := range counts {
		names = append(names, n)
	}
	sort.Strings(names)
	for _, n := range names {
		t.rows = append(t.rows, row{bold: true, cells: []any{"total", counts[n], "", "", n}})
	}
	return t
}
