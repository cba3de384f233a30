package plan

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A document that no audit can use is refused with the place of what is wrong.
func TestReadRefusesWhatNoAuditCanUse(t *testing.T) {
	const choices = `"choices": {"sheet_bearing_mm": 20, "guard_pitch_mm": 2400}`
	for text, want := range map[string]string{
		`{}`:                             "is not a plan",
		`[1]`:                            "is not a plan",
		`{"schema": "shoreward-plan/9"}`: `schema "shoreward-plan/9"`,
		`{"schema": "shoreward-plan/1", "pours": 1}`:                                                                          "is damaged",
		`{"schema": "shoreward-plan/1", "job": {"style": 7}}`:                                                                 "job.style is 7",
		`{"schema": "shoreward-plan/1"}`:                                                                                      "choices.sheet_bearing_mm is 0",
		`{"schema": "shoreward-plan/1", "choices": {"sheet_bearing_mm": 20}}`:                                                 "choices.guard_pitch_mm is 0",
		`{"schema": "shoreward-plan/1", ` + choices + `, "parts": {"a": null}}`:                                               `"a" is not described`,
		`{"schema": "shoreward-plan/1", ` + choices + `, "parts": {"a": {"id": "b"}}}`:                                        "under another id",
		`{"schema": "shoreward-plan/1", ` + choices + `, "parts": {"a": {"id": "a", "depth_m": {"si": -1}}}}`:                 "a side of -1 m",
		`{"schema": "shoreward-plan/1", ` + choices + `, "pours": [{"name": "P"}]}`:                                           "pour P is not refused",
		`{"schema": "shoreward-plan/1", ` + choices + `, "pours": [{"name": "P", "refused": "x", "site": {"top_mm": 1e12}}]}`: "100 km",
	} {
		path := filepath.Join(t.TempDir(), "plan.json")
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := ReadDocument(path); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", text, err, want)
		}
	}
}
