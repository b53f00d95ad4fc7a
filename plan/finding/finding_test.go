package finding

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func text(t *testing.T, l List) string {
	t.Helper()
	var b strings.Builder
	if err := Print(&b, l); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestPrintPointsAtThePlace(t *testing.T) {
	got := text(t, List{{
		Severity: Error, Summary: "Unknown card",
		Detail: `There is no card "herron_x".`, Mend: `Did you mean "heron_x"?`,
		Place: Place{File: "plan.hcl", Line: 12, Column: 18, EndColumn: 26, Source: "\tcards = [card.x.herron_x]"},
	}})
	want := `plan.hcl:12:18: error: Unknown card
     cards = [card.x.herron_x]
                     ^^^^^^^^
  There is no card "herron_x".
  Did you mean "heron_x"?
`
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestPrintCapsEachFileErrorsFirst(t *testing.T) {
	var l List
	for i := range 30 {
		l.Add(Warning, Place{File: "a.csv", Line: i + 1}, "Odd line", "", "")
	}
	l.Add(Error, Place{File: "a.csv", Line: 99}, "Bad line", "", "")
	l.Add(Note, Place{File: "b.csv"}, "Encoding", "", "")
	got := text(t, l)
	if n := strings.Count(got, "a.csv:"); n != PerFile {
		t.Errorf("%d findings of a.csv shown, want %d", n, PerFile)
	}
	for _, want := range []string{"a.csv:99: error: Bad line", "… and 11 more in a.csv (11 warnings)", "b.csv: note: Encoding"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is missing in\n%s", want, got)
		}
	}
}

func TestPrintKeepsTheTerminalSafe(t *testing.T) {
	got := text(t, List{{Summary: "Odd", Detail: "x\x1b[2Jy\u202ez", Place: Place{File: "n\x07.csv", Line: 1, Column: 900, EndColumn: 990, Source: strings.Repeat("w", 1000)}}})
	if strings.ContainsAny(got, "\x1b\x07\u202e") {
		t.Errorf("control characters got through: %q", got)
	}
	for _, line := range strings.Split(got, "\n") {
		if len([]rune(line)) > 130 {
			t.Errorf("a line of %d characters", len([]rune(line)))
		}
	}
}

func TestTidyDoesNotDependOnOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		one := rapid.Custom(func(t *rapid.T) Finding {
			return Finding{
				Severity: Severity(rapid.IntRange(0, 2).Draw(t, "severity")),
				Summary:  rapid.SampledFrom([]string{"a", "b"}).Draw(t, "summary"),
				Detail:   rapid.SampledFrom([]string{"", "d"}).Draw(t, "detail"),
				Place:    Place{File: rapid.SampledFrom([]string{"f", "g"}).Draw(t, "file"), Line: rapid.IntRange(0, 3).Draw(t, "line")},
			}
		})
		l := List(rapid.SliceOf(one).Draw(t, "findings"))
		want := fmt.Sprint(l.Tidy())
		if got := fmt.Sprint(List(rapid.Permutation(l).Draw(t, "shuffled")).Tidy()); got != want {
			t.Fatalf("order of work shows:\n%s\n%s", got, want)
		}
		for _, f := range l {
			if !strings.Contains(want, fmt.Sprint(f)) {
				t.Fatalf("lost %v", f)
			}
		}
	})
}
