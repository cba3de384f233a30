package say

import "shoreward/internal/deck"

// Care is one thing to take care of, at all members where it applies.
type Care struct {
	What    string
	Members []string
}

// Cares gathers the findings that do not fail by what they say, in the order
// they come.
func Cares(findings []deck.Finding) []Care {
	at := map[string]int{}
	var out []Care
	for _, f := range findings {
		if f.Fails {
			continue
		}
		i, ok := at[f.What]
		if !ok {
			i = len(out)
			at[f.What] = i
			out = append(out, Care{What: f.What})
		}
		ms := out[i].Members
		if f.Member != "" && (len(ms) == 0 || ms[len(ms)-1] != f.Member) {
			out[i].Members = append(ms, f.Member)
		}
	}
	return out
}
