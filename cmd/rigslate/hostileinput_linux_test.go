package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/klauspost/compress/gzip"
	"github.com/klauspost/compress/zstd"
)

// mostMemory is what a run may take whatever it is given, in kB.
const mostMemory = 300_000

var peak = regexp.MustCompile(`VmHWM:\s+(\d+) kB`)

// measured runs the program in a process of its own and says the most memory that it held, in kB. What the system tells once a process has
// ended counts its parent in, so it is looked at while it runs.
func measured(t *testing.T, args ...string) (kb, code int, said string) {
	t.Helper()
	var out bytes.Buffer
	cmd := exec.Command("rigslate", args...)
	cmd.Stdout, cmd.Stderr = &out, &out
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan struct{})
	go func() {
		_ = cmd.Wait() // the exit code tells
		close(ended)
	}()
	for {
		select {
		case <-ended:
			return kb, cmd.ProcessState.ExitCode(), strings.Join(strings.Fields(out.String()), " ")
		default:
		}
		text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", cmd.Process.Pid))
		if m := peak.FindSubmatch(text); err == nil && m != nil {
			if n, err := strconv.Atoi(string(m[1])); err == nil {
				kb = max(kb, n)
			}
		}
	}
}

// packed is n copies of a line, packed as small as gzip or Zstandard can.
func packed(t *testing.T, kind, line string, n int) string {
	t.Helper()
	var out bytes.Buffer
	var w interface {
		Write([]byte) (int, error)
		Close() error
	}
	w = gzip.NewWriter(&out)
	if kind == "zstd" {
		z, err := zstd.NewWriter(&out)
		if err != nil {
			t.Fatal(err)
		}
		w = z
	}
	const lot = 100_000
	lines := []byte(strings.Repeat(line, lot))
	if _, err := w.Write([]byte("us\n")); err != nil {
		t.Fatal(err)
	}
	for range n / lot {
		if _, err := w.Write(lines); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// Input that is made to hurt, or is no input at all, is refused in words, with its exit code, and in memory that every bench has.
func TestHostileInputTakesLittleMemory(t *testing.T) {
	long(t)
	const capture, plan, log = "captures/heron_x/fjord_2.csv", "more.hcl", "bench.csv"
	columns := strings.Repeat(",c", 999_999)
	for _, tt := range []struct {
		name, file, text string
		hole             int64 // bytes that follow, all NUL
		code             int
		says             []string
	}{
		{"a line of a GB", capture, "us\n", 1 << 30, 3, []string{capture + ":2: error: A line is longer than 1 MiB"}},
		{"a header of a GB", capture, "us,", 1 << 30, 3, []string{capture + ":1: error: A line is longer than 1 MiB"}},
		{"a million columns", capture, "us" + columns + "\n8000" + strings.ReplaceAll(columns, "c", "1"), 0, 3, []string{capture + ":1: error: A line is longer"}},
		{"300 000 columns", capture, "us" + columns[:600_000] + "\n" + strings.Repeat("8000"+strings.ReplaceAll(columns[:600_000], "c", "1")+"\n", 300), 0, 3, []string{"The file has too many columns"}},
		{"NUL bytes", capture, "us\n" + strings.Repeat("8000\n\x00\n", 300), 0, 1, []string{"The line holds a NUL byte"}},
		{"a gzip bomb", capture, packed(t, "gzip", "8000\n", 60_000_000), 0, 3, []string{capture + ": error: The file is larger than a capture can be", "unpack to more than 100 times as much"}},
		{"a Zstandard bomb", capture, packed(t, "zstd", "8000\n", 200_000_000), 0, 3, []string{capture + ": error: The file is larger than a capture can be"}},
		{"a plan of a GB", plan, "#", 1 << 30, 2, []string{plan + ": error: Plan file is too large"}},
		{"a plan of NUL", plan, "", 100_000, 2, []string{plan + ":1:1: error:"}},
		{"a hundred thousand levels", plan, "let {\n  a = " + strings.Repeat("[", 100_000) + "\n}\n", 0, 2, []string{"Nested too deeply"}},
		{"half a million tokens", plan, "let {\n  a = [" + strings.Repeat("1,", 250_000) + "1]\n}\n", 0, 2, []string{"Value cannot be worked out"}},
		{"a text that doubles", plan, doubling(40), 0, 2, []string{"Value cannot be worked out"}},
		{"a log of a GB", log, "file,card,game,resolution,repeat\n", 1 << 30, 3, []string{log + ": error: A bench log is too large"}},
		{"a log that leads out", log, "file,card,game,resolution,repeat\n../x.csv,heron_x,fjord,uhd,2\n/etc/hostname,heron_x,fjord,uhd,2\n", 0, 3,
			[]string{`"../x.csv" is not a path in the captures' folder`, `"/etc/hostname" is not a path in the captures' folder`}},
		{"a pattern that leads out", plan, "files \"out\" {\n  path = \"../{card}.csv\"\n}\n", 0, 2, []string{"Path is refused", "leads out of the folder"}},
		{"a pattern from the root", plan, "files \"out\" {\n  path = \"/etc/{card}.csv\"\n}\n", 0, 2, []string{"Path is refused", "is absolute"}},
		{"a label that leads out", plan, "card \"../../etc\" {\n}\n", 0, 2, []string{"Label has a wrong form"}},
		{"a label from the root", plan, "game \"/etc\" {\n}\n", 0, 2, []string{"Label has a wrong form"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			dir := inMemory(t)
			small{[]string{"fjord"}}.write(t, dir)
			if tt.file == log {
				text, err := os.ReadFile(filepath.Join(dir, "plan.hcl"))
				if err != nil {
					t.Fatal(err)
				}
				put(t, filepath.Join(dir, "plan.hcl"), strings.Replace(string(text), "  measured_at", "  log = \"bench.csv\"\n  measured_at", 1))
			}
			name := filepath.Join(dir, tt.file)
			put(t, name, tt.text)
			if err := os.Truncate(name, int64(len(tt.text))+tt.hole); err != nil {
				t.Fatal(err)
			}
			kb, code, said := measured(t, runOf(dir)...)
			if code != tt.code {
				t.Errorf("exit code %d, want %d: %.2000s", code, tt.code, said)
			}
			tells(t, said, tt.says...)
			if kb == 0 || kb > mostMemory {
				t.Errorf("%d kB of memory, want at most %d", kb, mostMemory)
			}
			t.Logf("%d MB", kb/1000)
		})
	}
}

// doubling is a plan of named values, each a text of two copies of the one before.
func doubling(n int) string {
	text := "let {\n  a0 = \"twenty bytes of text\"\n"
	for i := range n {
		text += fmt.Sprintf("  a%d = \"${let.a%d}${let.a%d}\"\n", i+1, i, i)
	}
	return text + "}\n"
}
