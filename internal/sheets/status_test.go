package sheets

import (
	"testing"

	"shoreward/internal/deck"
	"shoreward/internal/reshore"
)

// Where the slabs or props below do not hold, no sheet of a deck that does says that
// every check holds.
func TestStatusWithUnsafeStoreys(t *testing.T) {
	pour := &deck.Pour{Audit: deck.Audit{Checks: []deck.Check{{}}}}
	for _, c := range []struct {
		storeys *reshore.Report
		says    string
	}{
		{nil, "EVERY CHECK HOLDS"}, {&reshore.Report{Safe: true}, "EVERY CHECK HOLDS"}, {&reshore.Report{}, "STOREYS NOT SAFE"},
	} {
		sh := &sheet{set: &set{doc: &deck.Document{Storeys: c.storeys}}, pour: pour}
		if first, _, fails := sh.verdict(); first != c.says || fails != (c.says != "EVERY CHECK HOLDS") {
			t.Errorf("%+v: %q, fails %t", c.storeys, first, fails)
		}
	}
}
