package review

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/rs/zerolog"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/report"
)

// What a report says beside the tables does not depend on the folder, nor on the day, or a report made from the archive would differ.
func TestWordsDependOnTheReviewAlone(t *testing.T) {
	var first []byte
	for i, day := range []int{1, 20} {
		dir := filepath.Join(t.TempDir(), fmt.Sprint("folder", i))
		if err := os.MkdirAll(dir, 0o777); err != nil {
			t.Fatal(err)
		}
		plan := soakHead + fmt.Sprintf(notedSoak, "")
		if err := os.WriteFile(filepath.Join(dir, "plan.hcl"), []byte(plan), 0o666); err != nil {
			t.Fatal(err)
		}
		r, err := Do(context.Background(), Options{Plans: []string{dir}, Keep: true, Now: time.Date(2027, 3, day, 0, 0, 0, 0, time.UTC), Log: zerolog.New(io.Discard)})
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(filepath.Join(r.Kept.Draft, archive.WordsName))
		if err != nil {
			t.Fatal(err)
		}
		w, err := report.ReadWords(got)
		if err != nil {
			t.Fatal(err)
		}
		if len(w.Modes) != 2 || len(w.Soaks) != 2 || len(w.Cells) != 2 || w.Cells[0].State != "absent" || len(w.Claims) != 2 || w.Baseline.Card != "tern_ref" {
			t.Errorf("%+v", w)
		}
		if i == 0 {
			first = got
		} else if !bytes.Equal(first, got) {
			t.Errorf("in another folder on another day:\n%s\nwant\n%s", got, first)
		}
	}
}
