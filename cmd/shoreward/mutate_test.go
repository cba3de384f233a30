package main

import (
	"encoding/json"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"shoreward/internal/catalog"
	"shoreward/internal/job"
	"shoreward/internal/plan"
	"shoreward/internal/sheets"
)

// A plan with anything in it changed is audited or refused, never a crash.
func TestAuditOfAnyPlan(t *testing.T) {
	data := smallPlan(t)
	path := filepath.Join(t.TempDir(), "plan.json")
	rapid.Check(t, func(t *rapid.T) {
		spoil(t, data, path)
		if doc, err := plan.ReadDocument(path); err == nil {
			_ = auditAll(io.Discard, doc) // any verdict will do
		}
	})
}

// Planning again from a plan with anything in it changed gives a plan whose stored
// proof is that of its deck, or an error, never a crash.
func TestReplanFromAnyPlan(t *testing.T) {
	data := smallPlan(t)
	j, err := job.Parse("job.yaml", []byte(strings.Replace(small, "[[2, 2], [3, 2], [3, 3], [2, 3]]", "[[3, 2], [4, 2], [4, 3], [3, 3]]", 1)), catalog.Load)
	if err != nil {
		t.Fatal(err)
	}
	cat, err := catalog.Load("")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		spoil(t, data, filepath.Join(dir, "plan.json"))
		old, err := plan.ReadEarlier(dir, filepath.Join(dir, "new"))
		if err != nil {
			return
		}
		doc, starts, err := plan.RunFrom(j, cat, old, nil)
		if err != nil {
			t.Fatal(err)
		}
		if p := doc.Pours[0]; p.Refused != "" || p.Summary.Failed > 0 {
			t.Fatalf("refused %q, %d fail; %+v", p.Refused, p.Summary.Failed, starts)
		}
		changes := plan.Changes(old, doc, starts)
		if _, err := plan.JSON(changes); err != nil {
			t.Fatal(err)
		}
		if _, err := sheets.Revised(doc, changes); err != nil {
			t.Fatal(err)
		}
	})
}

const small = `
job: A small slab
basis: us
lengths: ft
system: timber-beam
concrete: {strength: 5000 psi}
levels:
  - name: L1
    top: 10 ft
    base: 0 ft
    pours: [{name: L1-A, slab: {outline: [[0, 0], [10, 0], [10, 8], [0, 8]], thickness: 8 in, openings: [[[2, 2], [3, 2], [3, 3], [2, 3]]]}}]
    columns: [{at: [8, 6], size: [12 in, 12 in]}]
rules: {ground: 4000 psf}
`

// smallPlan is the plan.json of a small slab.
func smallPlan(t *testing.T) []byte {
	t.Helper()
	j, err := job.Parse("job.yaml", []byte(small), catalog.Load)
	if err != nil {
		t.Fatal(err)
	}
	cat, err := catalog.Load("")
	if err != nil {
		t.Fatal(err)
	}
	doc, err := plan.Run(j, cat, nil)
	if err != nil {
		t.Fatal(err)
	}
	doc.Pours[0].Audit.Worked = nil // not read by the audit, and long
	data, err := plan.JSON(doc)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// spoil writes a plan to a path with some things in it changed by chance.
func spoil(t *rapid.T, data []byte, path string) {
	var tree any
	if err := json.Unmarshal(data, &tree); err != nil {
		t.Fatal(err)
	}
	top := tree.(map[string]any)
	for range rapid.IntRange(1, 4).Draw(t, "changes") {
		part := rapid.SampledFrom([]string{"deck", "deck", "cuts", "site", "parts", "settings", "choices", "job"}).Draw(t, "part")
		var at any = top[part]
		if part == "deck" || part == "site" || part == "cuts" {
			at = top["pours"].([]any)[0].(map[string]any)[part]
		}
		disturb(t, at)
	}
	changed, err := json.Marshal(tree)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, changed, 0o600); err != nil {
		t.Fatal(err)
	}
}

// disturb goes down the tree by chance and replaces or removes what it finds.
func disturb(t *rapid.T, at any) {
	for {
		var set func(any)
		var next any
		switch v := at.(type) {
		case map[string]any:
			if len(v) == 0 {
				return
			}
			k := rapid.SampledFrom(slices.Sorted(maps.Keys(v))).Draw(t, "key")
			next, set = v[k], func(x any) { v[k] = x }
		case []any:
			if len(v) == 0 {
				return
			}
			i := rapid.IntRange(0, len(v)-1).Draw(t, "index")
			next, set = v[i], func(x any) { v[i] = x }
		default:
			return
		}
		_, leaf := next.(map[string]any)
		if _, list := next.([]any); !list && !leaf || rapid.IntRange(0, 5).Draw(t, "stop") == 0 {
			switch old := next.(type) {
			case float64:
				set(rapid.SampledFrom([]any{0.0, -old, old * 1.5, old + 1, 1e-12, 1e300, -1e300, nil}).Draw(t, "number"))
			case string:
				set(rapid.SampledFrom([]any{"", "nothing", "I-J1.1", nil}).Draw(t, "word"))
			case bool:
				set(!old)
			case []any:
				set(rapid.SampledFrom([]any{nil, old[:len(old)/2], append(append([]any{}, old...), old...)}).Draw(t, "list"))
			default:
				set(nil)
			}
			return
		}
		at = next
	}
}
