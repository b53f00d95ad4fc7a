package match

import (
	"slices"
	"testing"
)

func TestEveryOutcomeIsExplained(t *testing.T) {
	names := []string{OK}
	for _, e := range Entries() {
		names = append(names, e.Name)
	}
	if !slices.Equal(names, outcomes) {
		t.Errorf("explained: %v, outcomes: %v", names, outcomes)
	}
}
