package plan

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func readSpring(t *testing.T) (review, more string) {
	t.Helper()
	a, err := os.ReadFile(filepath.Join(spring, "10-review.hcl"))
	if err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(filepath.Join(spring, "20-more.hcl"))
	if err != nil {
		t.Fatal(err)
	}
	return string(a), string(b)
}

// TestJSONSaysOnlyWhatIsMeant writes one meaning in several ways, which must give the same bytes, and changes it, which must not.
func TestJSONSaysOnlyWhatIsMeant(t *testing.T) {
	review, more := readSpring(t)
	want := load(t, spring).JSON
	replace := func(old, by string) string {
		if !strings.Contains(review, old) {
			t.Fatalf("the example has no %q", old)
		}
		return strings.ReplaceAll(review, old, by)
	}
	for name, files := range map[string]map[string]string{
		"one file":                {"p.hcl": review + more},
		"other order of blocks":   {"p.hcl": more + review},
		"comments and blanks":     {"p.hcl": "# x\n\n\n" + review + "// y\n" + more + "/* z */\n"},
		"other unit":              {"p.hcl": replace(`"3m"`, `"180s"`) + more},
		"other zone":              {"p.hcl": replace(`"2027-03-04T14:00:00Z"`, `"2027-03-04T15:00:00+01:00"`) + more},
		"needless digits":         {"p.hcl": replace(`"3%"`, `"3.00%"`) + more},
		"let":                     {"p.hcl": replace(`repeats     = 3 `, `repeats     = let.n + 1 `) + more + "let {\n  n = 2\n}\n"},
		"whole card spelt out":    {"p.hcl": replace(`card.heron_x]           #`, `card.heron_x.tuned, card.heron_x.stock]#`) + more},
		"by function":             {"p.hcl": replace(`[game.fjord, game.bazaar.plain]`, `concat([game.bazaar], [for g in [game.fjord] : g])`) + more},
		"computed object":         {"p.hcl": replace(`{ startup = "3m", reset = "45s" }`, `merge(let.t, { startup = "3m" })`) + more + "let {\n  t = { reset = \"45s\", startup = \"1m\" }\n}\n"},
		"by index and with quote": {"p.hcl": replace(`card.tern_ref.stock`, `card["tern_ref"]["stock"]`) + more},
	} {
		if got := load(t, write(t, files)).JSON; !bytes.Equal(got, want) {
			t.Errorf("%s: the resolved plan differs:\n%s", name, got)
		}
	}
	for name, text := range map[string]string{
		"driver":        replace(`"612.4"`, `"612.5"`),
		"a default":     replace(`archive  = "archive"`, `bench_day = "8h"`),
		"waive":         replace("tuned profile", "Tuned profile"),
		"keep":          replace(`length = "60s"`, `length = "61s"`),
		"notes":         replace("never compared", "not compared"),
		"repeat counts": replace("repeats     = 3", "repeats     = 4"),
	} {
		if got := load(t, write(t, map[string]string{"p.hcl": text + more})).JSON; bytes.Equal(got, want) {
			t.Errorf("%s changed, the resolved plan did not", name)
		}
	}
}

func TestJSONHoldsNoDefaults(t *testing.T) {
	var got map[string]any
	if err := json.Unmarshal(load(t, "../testdata/plan/error/base").JSON, &got); err != nil {
		t.Fatal(err)
	}
	want := map[string]any{"baseline": "tern_ref.stock", "rig": "bench_a"}
	if review := got["review"].(map[string]any)["spring"].(map[string]any); len(review) != len(want) || review["baseline"] != want["baseline"] || review["rig"] != want["rig"] {
		t.Errorf("review is %v, want %v", review, want)
	}
	if m := got["matrix"].([]any); len(m) != 1 || len(m[0].(map[string]any)) != 0 {
		t.Errorf("matrix is %v, want one empty block", m)
	}
	if card := got["card"].(map[string]any)["tern_ref"].(map[string]any); card["mode"] != nil {
		t.Errorf("an implied mode is written: %v", card)
	}
	if got["statistics"] != nil || got["accept"] != nil {
		t.Errorf("blocks that nobody wrote: %v", got)
	}
}

// TestJSONOfSoaks writes the soaks' meaning in several ways, which must give the same bytes, and changes it, which must not.
func TestJSONOfSoaks(t *testing.T) {
	read := func(name string) string {
		b, err := os.ReadFile(filepath.Join(soaks, name))
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	review, text := read("10-review.hcl"), read("20-soaks.hcl")
	want := load(t, soaks).JSON
	got := func(old, by string) []byte {
		whole := review + text
		if !strings.Contains(whole, old) {
			t.Fatalf("the example has no %q", old)
		}
		return load(t, write(t, map[string]string{"p.hcl": strings.Replace(whole, old, by, 1)})).JSON
	}
	for old, by := range map[string]string{
		`price  = { amount = 589, currency = "EUR", kind = "list", tax = true, on = "2027-02-20" }`:     `price  = [{ amount = 589, currency = "EUR", kind = "list", tax = true, on = "2027-02-20" }]`,
		"    { feeds = \"core\", count = 6 },\n    { feeds = \"core\", count = 2, stages_each = 2 },\n": "    { feeds = \"core\", count = 2, stages_each = 2 },\n    { feeds = \"core\", count = 6 },\n",
		`length     = "30m" `:                   `length     = "1800s" `,
		`offset = "+1m"`:                        `offset = "60s"`,
		`db            = 31`:                    `db            = [31.0]`,
		`steps_pct = [30, 45, 60]`:              `steps_pct = range(30, 61, 15)`,
		`[card.tern_ref.stock, card.heron_x] #`: `[card.heron_x.quiet, card.tern_ref, card.heron_x.stock, card.heron_x.tuned] #`,
	} {
		if !bytes.Equal(got(old, by), want) {
			t.Errorf("%s for %s: the resolved plan differs", by, old)
		}
	}
	for old, by := range map[string]string{
		`settle     = "3m" `:                `settle     = "2m" `,
		`reference_c = 22, `:                ``,
		`"reported board"`:                  `"in line"`,
		`unit = "F"`:                        `unit = "K"`,
		`offset = "-2.5s"`:                  `offset = "+2.5s"`,
		`42.1, 42.0, 42.3`:                  `42.1, 42.3`,
		`hold      = "5m"`:                  `hold      = "6m"`,
		`place = "two shops on the quay", `: ``,
		`heatsink = 905`:                    `heatsink = 906`,
		`power_w = 320`:                     `power_w = 321`,
	} {
		if bytes.Equal(got(old, by), want) {
			t.Errorf("%s for %s: the resolved plan does not change", by, old)
		}
	}
	var whole map[string]any
	if err := json.Unmarshal(want, &whole); err != nil {
		t.Fatal(err)
	}
	if desk := whole["soak"].(map[string]any)["desk"].(map[string]any); len(desk) != 6 || desk["settle"] != nil || desk["logger"] != nil || desk["probe"] != nil {
		t.Errorf("desk holds what nobody wrote: %v", desk)
	}
}
