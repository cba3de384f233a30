package flow

import (
	"fmt"
	"strings"
	"testing"

	"shoreward/internal/sheets/draw"
)

type pages struct{ all []*draw.Page }

func (p *pages) next() (*draw.Page, draw.Box) {
	page := &draw.Page{W: 100, H: 80}
	p.all = append(p.all, page)
	return page, draw.Box{Min: draw.Point{X: 10, Y: 10}, Max: draw.Point{X: 90, Y: 70}}
}

func count(p *draw.Page, s string) int {
	n := 0
	for _, it := range p.Items {
		if t, ok := it.(*draw.Text); ok && t.Str == s {
			n++
		}
	}
	return n
}

func table(rows int) Table {
	t := Table{Title: "List", Cols: []Col{{Head: "number", Share: 1}, {Head: "square", Share: 2, Align: draw.Right}}}
	for i := range rows {
		t.Rows = append(t.Rows, Row{Cells: []string{fmt.Sprint("r", i), fmt.Sprint(i * i)}})
	}
	return t
}

func TestTableRepeatsItsHeading(t *testing.T) {
	var p pages
	f := &Flow{NewPage: p.next, Columns: 2, Gap: 4, Size: 2.5}
	f.Table(table(100))
	if len(p.all) < 3 {
		t.Fatalf("100 rows take %d pages", len(p.all))
	}
	found := map[string]int{}
	for i, page := range p.all {
		if count(page, "number") == 0 {
			t.Errorf("page %d has no heading", i+1)
		}
		if (count(page, "List") > 0) != (i == 0) {
			t.Errorf("page %d: the title without (continued) belongs on the first page alone", i+1)
		}
		frame := draw.Box{Min: draw.Point{X: 10, Y: 10}, Max: draw.Point{X: 90, Y: 70}}
		for _, it := range page.Items {
			x, ok := it.(*draw.Text)
			if !ok {
				continue
			}
			found[x.Str]++
			if !frame.Grow(0.5).Holds(x.Box()) {
				t.Errorf("page %d: %q leaves the frame", i+1, x.Str)
			}
		}
	}
	for i := range 100 {
		if found[fmt.Sprint("r", i)] != 1 {
			t.Errorf("row %d stands %d times", i, found[fmt.Sprint("r", i)])
		}
	}
}

func TestRowTallerThanAPage(t *testing.T) {
	var p pages
	f := &Flow{NewPage: p.next, Columns: 1, Size: 2.5}
	var ws []string
	for i := range 600 {
		ws = append(ws, fmt.Sprintf("w%d", i))
	}
	f.Table(Table{Cols: []Col{{Head: "words", Share: 1}}, Rows: []Row{{Cells: []string{strings.Join(ws, " ")}}}})
	var all strings.Builder
	for _, page := range p.all {
		for _, it := range page.Items {
			if x, ok := it.(*draw.Text); ok {
				all.WriteString(" " + x.Str + " ")
			}
		}
	}
	for _, w := range ws {
		if strings.Count(all.String(), " "+w+" ") != 1 {
			t.Fatalf("%s is lost or stands twice", w)
		}
	}
}

func TestSplitAndJoin(t *testing.T) {
	var p pages
	f := &Flow{NewPage: p.next, Columns: 1, Size: 2.5}
	f.Para("before")
	f.Split(2)
	f.Table(table(14))
	f.Join()
	before := f.y
	f.Para("after")
	for _, it := range p.all[len(p.all)-1].Items {
		if x, ok := it.(*draw.Text); ok && x.Str != "after" && x.At.Y < before-0.01 {
			t.Errorf("%q at %.1f stands below %.1f, where the text goes on", x.Str, x.At.Y, before)
		}
	}
	if got := f.Width(); got != 80 {
		t.Errorf("a joined column is %g wide, want 80", got)
	}
}
