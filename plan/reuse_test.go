package plan

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"github.com/rigslate/rigslate/plan/finding"
)

// What a reuse block says, with a whole card as its modes, and how it stands in plan.json: whatever the order in which its lists name things.
func TestReuse(t *testing.T) {
	load := func(cards, despite string) *Plan {
		t.Helper()
		name := filepath.Join(t.TempDir(), "reuse.hcl")
		text := "reuse \"winter\" {\n  review = \"last-winter\"\n  edition = \"e0123456789abcde\"\n  cards = " + cards + "\n  max_age = \"90d\"\n  despite = " + despite + "\n}\n"
		if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		p, findings, err := Load([]string{"../testdata/plan/error/base", name}, testNow)
		if err != nil || len(findings) > 0 {
			t.Fatal(err, findings)
		}
		return p
	}
	p := load("[card.tern_ref, card.heron_x]", `["os", "driver"]`)
	want := []Reuse{{Name: "winter", Review: "last-winter", Edition: "e0123456789abcde", MaxAge: 90 * 24 * time.Hour, Despite: []string{"driver", "os"},
		Modes: []Mode{{"tern_ref", "stock"}, {"heron_x", "stock"}, {"heron_x", "tuned"}}}}
	if d := cmp.Diff(want, p.Reuses, cmpopts.IgnoreTypes(finding.Place{})); d != "" {
		t.Errorf("(-want +got)\n%s", d)
	}
	if !strings.Contains(string(p.JSON), `"max_age": "90d"`) {
		t.Errorf("plan.json does not say how old:\n%s", p.JSON)
	}
	if other := load("[card.heron_x.tuned, card.heron_x.stock, card.tern_ref.stock]", `["driver", "os", "os"]`); string(other.JSON) != string(p.JSON) {
		t.Errorf("another order is another plan:\n%s", cmp.Diff(string(p.JSON), string(other.JSON)))
	}
	if r, ok := p.ReuseOf(Mode{"heron_x", "tuned"}); !ok || r.Name != "winter" {
		t.Errorf("heron_x tuned is lent nothing: %+v", r)
	}
}
