package ledger

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// FuzzEntry: whatever stands in a file of the ledger, it is taken or called damaged, and what is taken has one form, in which it is taken
// again as the same.
func FuzzEntry(f *testing.F) {
	dir := f.TempDir()
	l, err := Open(dir)
	if err != nil {
		f.Fatal(err)
	}
	for _, facts := range []Facts{{}, {Driver: "612.4", Build: "1.2", Firmware: "b", Settings: `variant preset="highest"`, Launch: "l1", Session: "s1"}} {
		if _, _, err := l.See(shaA, time.Unix(1_800_000_000, 0), facts, true); err != nil { // the second is a further file
			f.Fatal(err)
		}
	}
	files, err := filepath.Glob(filepath.Join(dir, "*.json"))
	if err != nil || len(files) != 2 {
		f.Fatalf("seeds %q, %v", files, err)
	}
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
		f.Add(bytes.ReplaceAll(data, []byte("\n"), nil))
	}
	f.Add([]byte(`{"format":1,"checksum":"","sha256":"","number":-1,"file_time":"","facts":null}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var s sight
		exact, why := unseal(data, &s)
		if why != "" {
			return
		}
		var again sight
		same, why := unseal(exact, &again)
		if why != "" || !bytes.Equal(same, exact) {
			t.Errorf("taken as %s, and then not: %s", exact, why)
		}
	})
}
