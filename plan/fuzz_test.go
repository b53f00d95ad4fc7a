package plan

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/hashicorp/hcl/v2"
	"github.com/hashicorp/hcl/v2/hclsyntax"

	"github.com/rigslate/rigslate/plan/finding"
)

// loadText reads one plan from memory.
func loadText(data []byte) (*Plan, finding.List) {
	l := newLoader(".", testNow)
	l.read([]*hclsyntax.Body{l.parse(Source{Path: "p.hcl", Bytes: data})})
	return l.plan, l.findings.Tidy()
}

// FuzzLoad: whatever stands in a plan, reading it ends, its findings lie within the file and speak our words, and what it gives
// hangs together.
func FuzzLoad(f *testing.F) {
	for _, pattern := range []string{"../testdata/plan/error/*.hcl", "../testdata/plan/error/base/*.hcl", "../testdata/plan/valid/*/*.hcl"} {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			f.Fatalf("no seeds in %s: %v", pattern, err)
		}
		for _, file := range files {
			data, err := os.ReadFile(file)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, findings := loadText(data)
		for _, f := range findings {
			checkFinding(t, data, f)
		}
		if findings.HasErrors() != (p.JSON == nil) {
			t.Errorf("errors %v, %d bytes of JSON", findings.HasErrors(), len(p.JSON))
		}
		seen := map[Key]bool{}
		for _, c := range p.Cells {
			if seen[c.Key] || c.Repeats < 1 || c.Launches < 1 || c.Launches > c.Repeats || len(c.Looks) == 1 || len(c.Looks) > 0 && c.Looks[0] != c.Repeats {
				t.Errorf("cell %+v, seen before: %v", c, seen[c.Key])
			}
			seen[c.Key] = true
		}
		if !findings.HasErrors() {
			files := map[string]bool{}
			for _, log := range p.SoakLogs() {
				s, ok := p.Soak(log.Soak)
				if files[log.Path] || log.Path == "" || !ok || log.Repeat < 1 || log.Repeat > s.Repeats {
					t.Errorf("file of a soak %+v, seen before: %v", log, files[log.Path])
				}
				files[log.Path] = true
			}
		}
		if again, _ := loadText(data); !bytes.Equal(again.JSON, p.JSON) {
			t.Error("the resolved plan differs from one reading to the next")
		}
	})
}

func checkFinding(t *testing.T, data []byte, f finding.Finding) {
	t.Helper()
	lines := strings.Split(strings.TrimPrefix(string(data), byteOrderMark), "\n")
	at := f.Place
	if at.Line > len(lines) || at.File != "p.hcl" {
		t.Fatalf("%+v lies outside the file of %d lines", f, len(lines))
	}
	if at.Line > 0 {
		line := strings.TrimSuffix(lines[at.Line-1], "\r")
		if at.Source != line || at.Column < 1 || at.EndColumn <= at.Column || at.Column > utf8.RuneCountInString(line)+1 {
			t.Fatalf("%+v does not fit its line %q", f, line)
		}
	}
	_, syntaxWords := syntaxCause[f.Summary]
	_, valueWords := valueCause[f.Summary]
	if f.Summary == "" || syntaxWords || valueWords {
		t.Fatalf("%+v has a summary of the library's", f)
	}
	if _, diags := hclsyntax.ParseConfig(data, "p.hcl", hcl.InitialPos); f.Summary == unreadable {
		for _, d := range diags {
			if f.Detail == d.Detail || f.Mend == d.Detail {
				t.Fatalf("%+v has the library's words", f)
			}
		}
	}
}

// TestDeepTextEndsQuickly feeds what would exhaust the stack of a parser that calls itself.
func TestDeepTextEndsQuickly(t *testing.T) {
	n := 100_000
	if testing.Short() {
		n = 10_000
	}
	deep := func(piece string) string { // not so long that it is too large
		return strings.Repeat(piece, min(n, (maxPlanBytes-200)/2/len(piece)))
	}
	for name, text := range map[string]string{
		"lists":       "let {\n  a = " + deep("[") + "\n}\n",
		"objects":     "let {\n  a = " + deep("{a=") + "\n}\n",
		"blocks":      deep("a {\n"),
		"parens":      "let {\n  a = " + deep("(") + "1" + deep(")") + "\n}\n",
		"minus":       "let {\n  a = " + deep("-") + "1\n}\n",
		"sums":        "let {\n  a = 1" + deep("+1") + "\n}\n",
		"conditions":  "let {\n  a = " + deep("true ? 1 : ") + "1\n}\n",
		"in parens":   "let {\n  a = (" + deep("true ? 1 :\n") + "1)\n}\n",
		"indexes":     "let {\n  a = card" + deep("[let.b]") + "\n}\n",
		"steps":       "let {\n  a = card" + deep(".b") + "\n}\n",
		"calls":       "let {\n  a = " + deep("length(") + "\n}\n",
		"templates":   "let {\n  a = " + deep(`"${`) + "\n}\n",
		"directives":  "let {\n  a = \"" + deep(`%{if true}`) + "\"\n}\n",
		"for":         "let {\n  a = " + deep("[for x in [1] : ") + "\n}\n",
		"splat":       "let {\n  a = card" + deep("[*]") + "\n}\n",
		"else":        "let {\n  a = \"" + deep(`%{if true}%{else}%{endif}`) + "\"\n}\n",
		"not":         "let {\n  a = " + deep("!") + "true\n}\n",
		"one of each": "let {\n  a = " + deep("!([-{a=\"${") + "\n}\n",
	} {
		t.Run(name, func(t *testing.T) {
			p, findings := loadText([]byte(text))
			if !findings.HasErrors() || p.JSON != nil {
				t.Errorf("taken without an error: %v", findings)
			}
			if findings[0].Summary != "Nested too deeply" {
				t.Errorf("found %q, want %q", findings[0].Summary, "Nested too deeply")
			}
		})
	}
}

// TestWidePlanIsNotDeep keeps the bound on depth away from what is merely long.
func TestWidePlanIsNotDeep(t *testing.T) {
	_, findings := loadText([]byte("let {\n  a = [" + strings.Repeat("{ b = -1 + card.x.y, c = \"${let.d}\" },\n", 2000) + "]\n}\n"))
	for _, f := range findings {
		if f.Summary == "Nested too deeply" {
			t.Errorf("a list of 2000 objects: %+v", f)
		}
	}
}
