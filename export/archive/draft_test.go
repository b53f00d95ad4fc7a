package archive

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func readRuns(t *testing.T, dir string) []RunRow {
	t.Helper()
	content, err := os.ReadFile(filepath.Join(dir, "runs.parquet"))
	if err != nil {
		t.Fatal(err)
	}
	return readIndependently[RunRow](t, content)
}

func TestDraft(t *testing.T) {
	plan := t.TempDir()
	dir := filepath.Join(plan, "draft")
	first := Draft{Review: "spring", Tables: sampleTables(), Files: map[string][]byte{"report/index.html": []byte("x")}}
	if err := WriteDraft(t.Context(), dir, first); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(sampleRuns(), readRuns(t, dir)); diff != "" {
		t.Errorf("runs:\n%s", diff)
	}
	second := Draft{Review: "spring", Tables: Tables{Runs: sampleRuns()[:1]}}
	if err := WriteDraft(t.Context(), dir, second); err != nil {
		t.Fatal(err)
	}
	want := []string{"draft/cells.parquet", "draft/claims.parquet", "draft/comparisons.parquet", "draft/draft.json", "draft/readings.parquet", "draft/runs.parquet", "draft/summaries.parquet"}
	if diff := cmp.Diff(want, list(t, plan)); diff != "" {
		t.Errorf("after the second draft (- want, + got):\n%s", diff)
	}
	if diff := cmp.Diff(sampleRuns()[:1], readRuns(t, dir)); diff != "" {
		t.Errorf("runs:\n%s", diff)
	}

	before := snapshot(t, plan)
	bad := second
	bad.Tables.Runs = []RunRow{{MeanFPS: &nan}}
	if err := WriteDraft(t.Context(), dir, bad); err == nil {
		t.Error("a draft with NaN was written")
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := WriteDraft(ctx, dir, first); !errors.Is(err, context.Canceled) {
		t.Errorf("interrupted: %v", err)
	}
	if diff := cmp.Diff(before, snapshot(t, plan)); diff != "" {
		t.Errorf("after drafts that failed (- before, + after):\n%s", diff)
	}
}

// What somebody else keeps under that name is not ours to replace.
func TestDraftLeavesForeignFolders(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "draft")
	if err := os.MkdirAll(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(dir, "script.txt"), "what I want to say")
	if err := WriteDraft(t.Context(), dir, Draft{Review: "spring"}); err == nil {
		t.Error("replaced")
	}
	if got := list(t, filepath.Dir(dir)); len(got) != 1 || got[0] != "draft/script.txt" {
		t.Errorf("left %q", got)
	}
}
