package sheets

import (
	"strings"
	"testing"

	"shoreward/internal/change"
	"shoreward/internal/deck"
	"shoreward/internal/quantity"
	"shoreward/internal/sheets/draw"
	"shoreward/internal/sheets/sample"
)

// revised is the sample against an earlier one: a prop is new, one is gone, one is
// of another part, and one stringer has moved by 200 mm.
func revised(style quantity.Style) (*deck.Document, *change.Report) {
	old, now := sample.Deck(12000, 8000, style), sample.Deck(12000, 8000, style)
	d := &now.Pours[0].Deck
	old.Pours[0].Deck.Props = old.Pours[0].Deck.Props[1:]
	d.Props = d.Props[:len(d.Props)-1]
	d.Props[3].Part = "prop-late"
	l := len(d.Stringers) - 1
	d.Stringers[l].From[0] += 200
	d.Stringers[l].To[0] += 200
	return now, change.Documents(old, now, nil)
}

func TestSheetOfChanges(t *testing.T) {
	for _, style := range []quantity.Style{quantity.Metric, quantity.US} {
		doc, report := revised(style)
		out, err := DrawRevised(doc, report)
		if err != nil {
			t.Fatal(err)
		}
		plain, err := Draw(doc)
		if err != nil {
			t.Fatal(err)
		}
		if len(out.Pages) != len(plain.Pages)+2 {
			t.Errorf("%d pages with changes, %d without: want a plan and a table more", len(out.Pages), len(plain.Pages))
		}
		page := out.Pages[0]
		layers := map[string]int{}
		var text []string
		for _, it := range page.Items {
			switch x := it.(type) {
			case *draw.Path:
				layers[x.Layer]++
			case *draw.Circle:
				layers[x.Layer]++
			case *draw.Text:
				text = append(text, x.Str)
			}
		}
		for _, l := range []string{"removed parts", "new parts", "clouds", "parts that stay"} {
			if layers[l] == 0 {
				t.Errorf("the plan of changes has nothing on layer %q", l)
			}
		}
		c := report.Pours[0]
		all := strings.Join(text, "\n")
		for _, want := range []string{"Changes from the earlier plan", "New: 1 prop.", "Removed: 1 prop.", c.Added[0].ID, c.Removed[0].ID + " off"} {
			if !strings.Contains(all, want) {
				t.Errorf("the plan of changes does not say %q", want)
			}
		}
	}
}

// Without changes the drawings are those of the plan alone, and a pour that is
// another deck is not drawn as a change.
func TestNoSheetOfChanges(t *testing.T) {
	doc := sample.Deck(12000, 8000, quantity.Metric)
	same, err := DrawRevised(doc, change.Documents(doc, doc, nil))
	if err != nil {
		t.Fatal(err)
	}
	plain, err := Draw(doc)
	if err != nil {
		t.Fatal(err)
	}
	if len(same.Pages) != len(plain.Pages) {
		t.Errorf("%d pages without a change, want %d", len(same.Pages), len(plain.Pages))
	}
	other := sample.Deck(12000, 8000, quantity.Metric)
	for i := range other.Pours[0].Deck.Props {
		other.Pours[0].Deck.Props[i].At[1] += 40000
	}
	for _, list := range [][]deck.Member{other.Pours[0].Deck.Joists, other.Pours[0].Deck.Stringers} {
		for i := range list {
			list[i].From[1] += 40000
			list[i].To[1] += 40000
		}
	}
	out, err := DrawRevised(doc, change.Documents(other, doc, nil))
	if err != nil {
		t.Fatal(err)
	}
	if len(out.Pages) != len(plain.Pages)+1 || !strings.Contains(out.Pages[0].Name, "laid anew") {
		t.Errorf("%d pages, first %q: want one more that says that it is another deck", len(out.Pages), out.Pages[0].Name)
	}
}
