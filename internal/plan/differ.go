package plan

import (
	"fmt"
	"math"

	"shoreward/internal/deck"
)

// Differences says in words where stored results are not those that were found
// anew: the file was changed by hand, or another version wrote it.
func Differences(stored, found deck.Audit) []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	type key struct{ member, kind, what string }
	old := map[key]deck.Check{}
	for _, c := range stored.Checks {
		old[key{c.Member, c.Kind, c.What}] = c
	}
	changed, added := 0, 0
	var first string
	for _, c := range found.Checks {
		k := key{c.Member, c.Kind, c.What}
		o, ok := old[k]
		delete(old, k)
		switch {
		case !ok:
			added++
		case math.Abs(o.Ratio-c.Ratio) > 1e-6*math.Max(1, math.Abs(c.Ratio)):
			changed++
			if first == "" {
				first = fmt.Sprintf("%s %s %s is %.3f, not %.3f as stored", c.Kind, c.Member, c.What, c.Ratio, o.Ratio)
			}
		}
	}
	if changed > 0 {
		say("%d check(s) have another ratio, the first: %s", changed, first)
	}
	if added > 0 || len(old) > 0 {
		say("%d check(s) are new and %d stored ones are gone", added, len(old))
	}
	if a, b := len(stored.Failing()), len(found.Failing()); a != b {
		say("%d finding(s) fail, %d as stored", b, a)
	}
	if math.Abs(stored.BareCm2-found.BareCm2) > 0.01 {
		say("%.1f cm2 of deck are bare, %.1f as stored", found.BareCm2, stored.BareCm2)
	}
	return out
}
