package ledger

import (
	"slices"
	"testing"
)

func TestEveryFactIsExplained(t *testing.T) {
	var names, facts []string
	for _, e := range Entries() {
		names = append(names, e.Name)
	}
	for _, f := range new(Facts).each() {
		facts = append(facts, f.name)
	}
	if !slices.Equal(names, facts) {
		t.Errorf("explained: %v, facts: %v", names, facts)
	}
}
