package plan

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/deck"
	"shoreward/internal/job"
)

// floorJob is an invented office floor of about the area asked for, m2, as a
// job file: 3 wide to 2 deep, columns of 500 mm at 7.5 m, and for every four
// columns one opening, a stair, a lift, a shaft or a pipe hole in turn.
func floorJob(area float64) string {
	const pitch = 7.5
	deep := math.Round(math.Sqrt(area*2/3)*100) / 100
	wide := math.Round(area/deep*100) / 100
	var columns, openings strings.Builder
	sizes := [][2]float64{{2.6, 5.2}, {2.2, 2.4}, {0.9, 1.2}, {0.4, 0.6}}
	n := 0
	for x := pitch / 2; x < wide-0.3; x += pitch {
		for y := pitch / 2; y < deep-0.3; y += pitch {
			fmt.Fprintf(&columns, "      - {at: [%.2f, %.2f], size: [500 mm, 500 mm]}\n", x, y)
			if s := sizes[n/4%4]; n%4 == 0 && x+1+s[0] < wide-0.5 && y+1+s[1] < deep-0.5 {
				x0, y0 := x+1, y+1
				fmt.Fprintf(&openings, "            - [[%.2f, %.2f], [%.2f, %.2f], [%.2f, %.2f], [%.2f, %.2f]]\n", x0, y0, x0+s[0], y0, x0+s[0], y0+s[1], x0, y0+s[1])
			}
			n++
		}
	}
	if openings.Len() > 0 {
		return fmt.Sprintf(floorText, wide, wide, deep, deep, "\n          openings:\n"+openings.String(), columns.String())
	}
	return fmt.Sprintf(floorText, wide, wide, deep, deep, "\n", columns.String())
}

// How the jobs of these tests begin: a job, and one of one floor on the ground, up to
// the list of its pours; invented.
const (
	metricJob = `job: A test (invented)
basis: eu
lengths: m
system: timber-beam
concrete: {strength: 30 N/mm2}
`
	groundFloor = metricJob + `rules: {ground: 200 kN/m2}
levels:
  - name: L1
    top: 3.25
    base: 0
    pours:
`
)

const floorText = groundFloor + `      - name: L1
        slab:
          outline: [[0, 0], [%.2f, 0], [%.2f, %.2f], [0, %.2f]]
          thickness: 250 mm%s    columns:
%s`

func loadText(tb testing.TB, text string) (*job.Job, *catalog.Catalog) {
	tb.Helper()
	cat, err := catalog.Load("")
	if err != nil {
		tb.Fatal(err)
	}
	j, err := job.Parse("test.yaml", []byte(text), func(string) (*catalog.Catalog, error) { return cat, nil })
	if err != nil {
		tb.Fatalf("%v\n%s", err, text)
	}
	return j, cat
}

// run plans a job.
func run(tb testing.TB, text string) (*job.Job, *deck.Document) {
	tb.Helper()
	j, cat := loadText(tb, text)
	doc, err := Run(j, cat, nil)
	if err != nil {
		tb.Fatal(err)
	}
	return j, doc
}

// planned is the plan of a job.
func planned(tb testing.TB, text string) *deck.Document {
	tb.Helper()
	_, doc := run(tb, text)
	return doc
}
