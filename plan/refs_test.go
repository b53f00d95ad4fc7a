package plan

import (
	"testing"

	"github.com/rigslate/rigslate/plan/finding"
)

// TestReferencePlaces marks exactly the name that is wrong.
func TestReferencePlaces(t *testing.T) {
	for _, c := range []struct{ list, marked string }{
		{`[card.bb]`, "bb"},
		{`[card.a.stok]`, "stok"},
		{`concat([card.a], [card . bb])`, "bb"},
		{`[for c in [card.a] : crad.b]`, "crad"},
		{`[card["bb"]]`, `["bb"]`},
		{`[card.a.stock.name]`, "name"},
		{`[for m in ["stock"] : card.bb[m]]`, "bb"},
		{`true ? [card.a] : [card.bb]`, "bb"},
		{`lowr("x")`, "lowr"},
	} {
		_, findings := loadText([]byte(bench + "matrix {\n  cards = " + c.list + "\n}\n"))
		var errs []finding.Finding
		for _, f := range findings {
			if f.Severity == finding.Error {
				errs = append(errs, f)
			}
		}
		if len(errs) != 1 {
			t.Errorf("%s: %d errors, want 1: %+v", c.list, len(errs), errs)
			continue
		}
		at := errs[0].Place
		if got := string([]rune(at.Source)[at.Column-1 : at.EndColumn-1]); got != c.marked {
			t.Errorf("%s: marked %q, want %q", c.list, got, c.marked)
		}
	}
}

// TestLoopNamesAreNoReferences: what a for declares is known inside it and nowhere else.
func TestLoopNamesAreNoReferences(t *testing.T) {
	_, findings := loadText([]byte(bench + "matrix {\n  cards = [for kestrel in [card.a, card.b] : kestrel]\n}\n"))
	if findings.HasErrors() {
		t.Errorf("findings %v", findings)
	}
	_, findings = loadText([]byte(bench + "matrix {\n  cards = concat([for c in [card.b] : c], [c.stock])\n}\n"))
	if !findings.HasErrors() {
		t.Error("a name is known outside its for")
	}
}
