package main

import (
	"bytes"
	"context"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"

	"github.com/rigslate/rigslate/cmd/internal/explain"
	"github.com/rigslate/rigslate/cmd/internal/screen"
)

// Every entry is printed by every name it may be asked by, and fits the screen.
func TestEveryEntryIsPrinted(t *testing.T) {
	entries := explain.Entries()
	for _, e := range entries {
		for i, name := range slices.Concat([]string{e.Name, e.Shown()}, e.Also) {
			var stdout, stderr bytes.Buffer
			if code := run(context.Background(), []string{"explain", name}, &stdout, &stderr); code != 0 {
				t.Errorf("explain %q: exit code %d: %s", name, code, stderr.String())
			}
			text := stdout.String()
			first, _, _ := strings.Cut(text, "\n")
			if i == 0 && first != e.Name && !strings.HasPrefix(first, e.Name+", on screens: ") {
				t.Errorf("explain %q prints %q first", name, first)
			}
			for line := range strings.Lines(text) {
				if runewidth.StringWidth(strings.TrimSuffix(line, "\n")) > screen.Width {
					t.Errorf("explain %q: line too wide: %s", name, line)
				}
			}
			for _, part := range []string{"  To say ", "  Source ", "  Example "} {
				if !strings.Contains(text, part) && explain.Example(e.Name) != "" {
					t.Errorf("explain %q does not print %s", name, part)
				}
			}
		}
	}
}

// The list has one line an entry, under its group.
func TestEveryEntryIsListed(t *testing.T) {
	var stdout, stderr bytes.Buffer
	if code := run(context.Background(), []string{"explain"}, &stdout, &stderr); code != 0 {
		t.Fatal(stderr.String())
	}
	lines := strings.Split(stdout.String(), "\n")
	for _, e := range explain.Entries() {
		is := func(line string) bool {
			return strings.HasPrefix(line, "  "+e.Name+"  ") && strings.HasSuffix(line, "  "+e.Gist())
		}
		at := slices.IndexFunc(lines, is)
		under := slices.Index(lines, string(e.Group))
		if at < 0 || under < 0 || at < under || runewidth.StringWidth(lines[at]) > screen.Width {
			t.Errorf("%s: line %d, its group in line %d", e.Name, at, under)
		}
	}
}

func TestFigureIsToldFromPlans(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, dir := range []string{"demo", "level"} {
		if err := os.Mkdir(dir, 0o777); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		args, name string
		plans      []string
	}{
		{"", "", nil},
		{"mean_fps", "mean_fps", nil},
		{"1 % low", "1 % low", nil},
		{"1 % low demo", "1 % low", []string{"demo"}},
		{"level", "level", nil}, // a folder of that name is a plan only after a figure
		{"level level", "level", []string{"level"}},
		{"demo", "", []string{"demo"}},
		{"margin nowhere/plan demo", "margin", []string{"nowhere/plan", "demo"}},
		{"margin plan.hcl", "margin", []string{"plan.hcl"}},
	} {
		name, plans := splitFigure(strings.Fields(c.args))
		if name != c.name || !slices.Equal(plans, c.plans) {
			t.Errorf("%q is %q and %q, want %q and %q", c.args, name, plans, c.name, c.plans)
		}
	}
}
