package thermocouple

import "testing"

// Each entry is whole, short enough for the list, and of a name of its own.
func TestEntriesAreWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, e := range Entries() {
		if lacks := e.Lacks(); lacks != nil || len([]rune(e.Gist())) > 72 || seen[e.Name] {
			t.Errorf("%s lacks %v, in short %q", e.Name, lacks, e.Gist())
		}
		seen[e.Name] = true
	}
	if len(seen) == 0 {
		t.Error("no entries")
	}
}
