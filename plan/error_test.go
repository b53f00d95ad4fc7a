package plan

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// testNow is before every date of the fixtures, 2026 apart.
var testNow = time.Date(2027, 2, 1, 12, 0, 0, 0, time.UTC)

var expectation = regexp.MustCompile(`# (FILE )?(ERROR|WARNING|NOTE) ([^#]+)`)

// TestErrorFixtures holds each fixture's findings against the comments on its lines: all of them, and no others.
func TestErrorFixtures(t *testing.T) {
	const dir = "../testdata/plan/error"
	files, err := filepath.Glob(filepath.Join(dir, "*.hcl"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no fixtures in %s: %v", dir, err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".hcl"), func(t *testing.T) {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			paths := []string{filepath.Join(dir, "base"), file}
			if strings.HasPrefix(string(text), "# ALONE\n") {
				paths = paths[1:]
			}
			p, findings, err := Load(paths, testNow)
			if err != nil {
				t.Fatal(err)
			}
			got := map[string][]string{}
			for _, f := range findings {
				key := fmt.Sprintf("%s:%d", filepath.Base(f.Place.File), f.Place.Line)
				got[key] = append(got[key], strings.ToUpper(f.Severity.String())+" "+f.Summary)
			}
			for _, list := range got {
				slices.Sort(list)
			}
			if diff := cmp.Diff(expected(filepath.Base(file), string(text)), got); diff != "" {
				t.Errorf("findings (-expected +got):\n%s", diff)
			}
			if findings.HasErrors() != (p.Cells == nil) || findings.HasErrors() != (p.JSON == nil) {
				t.Errorf("errors %v, but %d cells and %d bytes of JSON", findings.HasErrors(), len(p.Cells), len(p.JSON))
			}
		})
	}
}

func expected(file, text string) map[string][]string {
	want := map[string][]string{}
	for i, line := range strings.Split(text, "\n") {
		for _, m := range expectation.FindAllStringSubmatch(line, -1) {
			n := i + 1
			if m[1] != "" {
				n = 0
			}
			key := fmt.Sprintf("%s:%d", file, n)
			want[key] = append(want[key], m[2]+" "+strings.TrimSpace(m[3]))
		}
	}
	for _, list := range want {
		slices.Sort(list)
	}
	return want
}

func TestBaseOfErrorFixturesIsClean(t *testing.T) {
	p, findings, err := Load([]string{"../testdata/plan/error/base"}, testNow)
	if err != nil || len(findings) > 0 {
		t.Fatalf("findings %v, error %v", findings, err)
	}
	// 3 modes × 3 variants × 2 resolutions.
	if len(p.Cells) != 18 {
		t.Errorf("%d cells, want 18", len(p.Cells))
	}
}
