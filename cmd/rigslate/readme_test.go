package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/plan"
)

// blocks returns the fenced blocks of README in a language, without their fences.
func blocks(t *testing.T, language string) (out []string) {
	t.Helper()
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	parts := strings.Split(string(text), "```")
	for i := 1; i < len(parts); i += 2 {
		if first, rest, _ := strings.Cut(parts[i], "\n"); first == language {
			out = append(out, rest)
		}
	}
	return out
}

// Every command that README shows is run, and every line it quotes must be printed, in that order; … stands for what is left out.
func TestReadmeShowsRealOutput(t *testing.T) {
	shown := blocks(t, "")
	dir := t.TempDir()
	if err := os.CopyFS(filepath.Join(dir, "testdata"), os.DirFS("../../testdata")); err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	t.Setenv("LC_ALL", "C.UTF-8")
	t.Setenv("RIGSLATE_CHARTS", "none")
	ran := 0
	for _, block := range shown {
		command, quoted, _ := strings.Cut(block, "\n")
		args, ok := strings.CutPrefix(command, "$ rigslate ")
		if !ok {
			continue
		}
		ran++
		var stdout, stderr bytes.Buffer
		if code := run(context.Background(), strings.Fields(args), &stdout, &stderr); code > 1 {
			t.Errorf("%s: exit code %d: %s", command, code, stderr.String())
		}
		rest := stdout.String()
		for _, line := range strings.Split(strings.TrimRight(quoted, "\n"), "\n") {
			if line == "…" {
				continue
			}
			_, after, found := strings.Cut(rest, line+"\n")
			if !found {
				t.Errorf("%s does not print, or not in this place: %q", command, line)
				continue
			}
			rest = after
		}
	}
	if ran != 6 {
		t.Errorf("%d commands run, want 6", ran)
	}
}

func TestReadmePlanLoads(t *testing.T) {
	source := ""
	for _, block := range blocks(t, "hcl") {
		if strings.HasPrefix(block, "files") {
			block = strings.ReplaceAll(block, "captures/", "other/") // beside the first block, for other files
		}
		source += block
	}
	name := filepath.Join(t.TempDir(), "plan.hcl")
	if err := os.WriteFile(name, []byte(source), 0o666); err != nil {
		t.Fatal(err)
	}
	p, findings, err := plan.Load([]string{name}, time.Date(2027, 2, 1, 0, 0, 0, 0, time.UTC))
	if err != nil || findings.HasErrors() || len(p.Cells) == 0 {
		t.Errorf("README's plan: %v, %v", err, findings)
	}
}

// The cautions are the same words wherever they stand.
func TestReadmeHasTheCautions(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	whole := strings.Join(strings.Fields(string(text)), " ")
	for _, c := range screen.Cautions {
		if !strings.Contains(whole, c) {
			t.Errorf("README does not say: %s", c)
		}
	}
}
