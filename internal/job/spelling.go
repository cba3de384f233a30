package job

import "strings"

// nearest finds the word that was probably meant, or "".
func nearest(word string, words []string) string {
	best, found := 1+max(1, len(word)/3), ""
	for _, w := range words {
		if d := edits(strings.ToLower(word), strings.ToLower(w)); d < best {
			best, found = d, w
		}
	}
	return found
}

// edits is the least number of letters to add, drop, change or swap with their
// neighbour that turns a into b.
func edits(a, b string) int {
	x, y := []rune(a), []rune(b)
	if len(x) > 64 || len(y) > 64 {
		return 64
	}
	var before []int
	last := make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	for i := range x {
		row := make([]int, len(y)+1)
		row[0] = i + 1
		for j := range y {
			cost := 1
			if x[i] == y[j] {
				cost = 0
			}
			row[j+1] = min(last[j+1]+1, row[j]+1, last[j]+cost)
			if i > 0 && j > 0 && x[i] == y[j-1] && x[i-1] == y[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last = last, row
	}
	return last[len(y)]
}

// orList writes words as "a, b or c".
func orList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
