package plan

import (
	"fmt"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/plan/finding"
)

// lets is a plan of n named values, each made of the one before.
func lets(n int, first, next string) string {
	var b strings.Builder
	b.WriteString("let {\n  a0 = " + first + "\n")
	for i := 1; i < n; i++ {
		fmt.Fprintf(&b, "  a%d = %s\n", i, strings.ReplaceAll(next, "@", fmt.Sprintf("let.a%d", i-1)))
	}
	return b.String() + "}\n"
}

// What a few lines could blow up to gigabytes is refused before it is worked out. The figure on memory is of all that is allocated while
// the plan is read, whether or not it is freed.
func TestPlansThatGrowAreRefused(t *testing.T) {
	long := `"` + strings.Repeat("x", 300_000) + `"`
	for name, text := range map[string]string{
		"a text of two of another":  lets(40, `"twenty bytes of text"`, `"${@}${@}"`),
		"a list of two of another":  lets(40, `["x", "x"]`, `concat(@, @)`),
		"an object of two":          lets(40, `{ a = "x" }`, `{ a = @, b = @ }`),
		"a join of two":             lets(40, `"twenty bytes of text"`, `join("", [@, @])`),
		"a format of two":           lets(40, `"twenty bytes of text"`, `format("%s%s", @, @)`),
		"loops in loops":            lets(1, "[for i in range(1000): [for j in range(1000): [for k in range(1000): k]]]", ""),
		"loops over loops":          lets(40, "range(1000)", "flatten([for x in @: @])"),
		"a splat of two":            lets(40, `["x"]`, `[@[*], @[*]]`),
		"one text very often":       lets(2, long, `"`+strings.Repeat("${@}", 5000)+`"`),
		"one text in a loop":        lets(2, long, `[for i in range(1000): "${@}${i}"]`),
		"a separator":               lets(2, long, `join(@, range(1000))`),
		"characters":                lets(2, long, `split("", @)`),
		"wide fields":               lets(1, `format("`+strings.Repeat("%999d", 400)+`", 1)`, ""),
		"objects from loops":        lets(1, "{for i in range(1000): i => {for j in range(1000): j => i}}", ""),
		"groups":                    lets(3, "range(1000)", "{for i in @: 1 => @...}"),
		"many lists that fit alone": lets(1900, "range(1000)", "concat(range(1000), range(1000), range(1000))"),
		"many loops that fit alone": lets(1900, "1", "length([for i in range(300): [for j in range(300): 1]])"),
		"in an argument":            "review \"r\" {\n  rig = join(\"\", [for i in range(1000): join(\"\", [for j in range(1000): \"twenty bytes of text\"])])\n}\n",
	} {
		t.Run(name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			p, findings := loadText([]byte(text))
			runtime.ReadMemStats(&after)
			if took := after.TotalAlloc - before.TotalAlloc; took > 800<<20 {
				t.Errorf("%d MB allocated", took>>20)
			}
			refused := false
			for _, f := range findings {
				refused = refused || f.Summary == noValue
			}
			if !refused || p.JSON != nil {
				t.Errorf("taken: %.600v", findings)
			}
		})
	}
}

// The parser puts a text together piece by piece, each time anew, and a token takes a hundred times its byte.
func TestPlansThatAreLongAreRefused(t *testing.T) {
	for name, tt := range map[string][2]string{
		"a text of many signs":  {lets(1, `"`+strings.Repeat("% ", 200_000)+`"`, ""), "A text is too long"},
		"a text of many lines":  {lets(1, "<<END\n"+strings.Repeat("x\n", 200_000)+"END", ""), "A text is too long"},
		"a file of many tokens": {lets(1, strings.Repeat("-", 520<<10)+"1", ""), "Plan file is too large"},
		"many tokens":           {lets(1, "["+strings.Repeat("1,", 250<<10)+"1]", ""), noValue},
	} {
		t.Run(name, func(t *testing.T) {
			_, findings := loadText([]byte(tt[0]))
			if len(findings) == 0 || !slices.ContainsFunc(findings, func(f finding.Finding) bool { return f.Summary == tt[1] }) {
				t.Errorf("found %.300v, want %q", findings, tt[1])
			}
		})
	}
}

// What a plan has use for is far from the bounds.
func TestLoopsThatAPlanHasUseFor(t *testing.T) {
	text := lets(1, `[for i in range(90): [for j in range(90): "${i}-${j}"]]`, "") +
		lets(0, `merge({for i in range(500): format("k%03d", i) => { at = [i, i + 1], name = upper("x${i}") }}, { other = 1 })`, "")
	text = strings.Replace(text, "}\nlet {\n  a0", "  b0", 1)
	_, findings := loadText([]byte(text))
	for _, f := range findings {
		if f.Summary == noValue {
			t.Errorf("%+v", f)
		}
	}
}
