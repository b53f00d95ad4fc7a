package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"

	"github.com/rigslate/rigslate/cmd/internal/screen"
)

// Every screen that a script compares whole fits into a hundred columns, but for a line that is a path, which is not broken.
func TestComparedScreensFit(t *testing.T) {
	scripts, err := filepath.Glob("testdata/script/*.txtar")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, script := range scripts {
		text, err := os.ReadFile(script)
		if err != nil {
			t.Fatal(err)
		}
		compared := false
		for i, line := range strings.Split(string(text), "\n") {
			if name, ok := strings.CutPrefix(line, "-- "); ok {
				compared = strings.Contains(name, "want")
				continue
			}
			if !compared {
				continue
			}
			seen++
			if w := runewidth.StringWidth(line); w > screen.Width && strings.Contains(strings.TrimSpace(line), " ") {
				t.Errorf("%s:%d: %d columns: %s", script, i+1, w, line)
			}
		}
	}
	if seen < 500 {
		t.Errorf("only %d lines of screens seen", seen)
	}
}
