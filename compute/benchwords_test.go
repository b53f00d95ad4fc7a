package compute

import "testing"

// Each entry is whole, short enough for the list, and of a name of its own.
func TestBenchEntriesAreWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, e := range BenchEntries() {
		if lacks := e.Lacks(); lacks != nil || len([]rune(e.Gist())) > 72 || seen[e.Name] {
			t.Errorf("%s lacks %v, in short %q", e.Name, lacks, e.Gist())
		}
		seen[e.Name] = true
	}
	for _, name := range []string{PricePerFPS.Name, "break_even_price", "expanded_uncertainty"} {
		if !seen[name] {
			t.Errorf("nothing explains %s", name)
		}
	}
}
