package main

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"shoreward/internal/catalog"
	"shoreward/internal/job"
)

// yamlBlocks are the examples of a page.
func yamlBlocks(t *testing.T, page string) []string {
	t.Helper()
	data, err := os.ReadFile("../../" + page)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, m := range regexp.MustCompile("(?s)```yaml\n(.*?)```").FindAllStringSubmatch(string(data), -1) {
		out = append(out, m[1])
	}
	if len(out) == 0 {
		t.Fatalf("%s has no example", page)
	}
	return out
}

// What the pages show can be used as it stands.
func TestExamplesOfThePages(t *testing.T) {
	for _, page := range []string{"README.md", "docs/slopes.md", "docs/storeys.md", "docs/wishes.md"} {
		for _, text := range yamlBlocks(t, page) {
			if _, err := job.Parse(page, []byte(text), catalog.Load); err != nil {
				t.Error(err)
			}
		}
	}
	for _, text := range yamlBlocks(t, "docs/catalogue.md") {
		cat, err := catalog.Parse("docs/catalogue.md", []byte(text))
		if err != nil {
			t.Error(err)
			continue
		}
		for _, basis := range []string{"eu", "us"} {
			if _, err := cat.Kit("quay", basis, 0); err != nil {
				t.Error(err)
			}
		}
	}
}

// Every page that is linked is there.
func TestLinksOfThePages(t *testing.T) {
	for _, page := range []string{"README.md", "docs/architecture.md", "docs/catalogue.md", "docs/plan-json.md", "docs/outlines.md", "docs/replan.md", "docs/slopes.md", "docs/storeys.md", "docs/wishes.md"} {
		data, err := os.ReadFile("../../" + page)
		if err != nil {
			t.Error(err)
			continue
		}
		for _, m := range regexp.MustCompile(`\]\(([^)#]+)\)`).FindAllStringSubmatch(string(data), -1) {
			target := "../../" + m[1]
			if strings.HasPrefix(page, "docs/") {
				target = "../../docs/" + m[1]
			}
			if _, err := os.Stat(target); err != nil {
				t.Errorf("%s links to %s, which is not there", page, m[1])
			}
		}
	}
}
