package ledger

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// A checkout may turn line ends; that is no damage, and the archived form stays the same.
func TestLineEndsAreNoDamage(t *testing.T) {
	dir := t.TempDir()
	l := open(t, dir)
	see(t, l, shaA, seen, Facts{Driver: "612.4"}, true)
	name := filepath.Join(dir, shaA+".json")
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, bytes.ReplaceAll(data, []byte("\n"), []byte("\r\n")), 0o666); err != nil {
		t.Fatal(err)
	}
	again := open(t, dir)
	if e, _ := see(t, again, shaA, seen, Facts{}, false); e.Driver != "612.4" {
		t.Fatalf("%+v", e)
	}
	if !bytes.Equal(again.Used()[shaA+".json"], data) {
		t.Fatal("the archived form follows the line ends")
	}
}

// Every byte of an entry, set to each of a few others, gives the same facts or a *Damaged, never other facts.
func TestFlippedBytes(t *testing.T) {
	dir := t.TempDir()
	want, _ := see(t, open(t, dir), shaA, seen, Facts{Driver: "612.4", Settings: `variant preset="highest"`, Launch: "l1"}, true)
	name := filepath.Join(dir, shaA+".json")
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	damaged := 0
	for i := range data {
		for _, flip := range []byte{0x01, 0x20, 0x80} {
			bad := slices.Clone(data)
			bad[i] ^= flip
			var s sight
			exact, why := unseal(bad, &s)
			switch {
			case why != "":
				damaged++
			case !bytes.Equal(exact, data):
				t.Fatalf("byte %d ^ %#x: silently different:\n%s", i, flip, exact)
			}
		}
	}
	if damaged < 2*len(data) {
		t.Fatalf("only %d of %d flips were seen", damaged, 3*len(data))
	}
	if err := os.WriteFile(name, data[:len(data)/2], 0o666); err != nil {
		t.Fatal(err)
	}
	_, _, err = open(t, dir).See(shaA, seen, want.Facts, true)
	bad, ok := errors.AsType[*Damaged](err)
	if !ok || bad.File != name {
		t.Fatalf("torn file: %v", err)
	}
	if f := bad.Finding(); f.Place.File != name || f.Mend == "" {
		t.Fatalf("%+v", f)
	}
}

func TestMissingAndForeignFiles(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(dir string) error
	}{
		{"first file gone", func(dir string) error { return os.Remove(filepath.Join(dir, shaA+".json")) }},
		{"further file gone", func(dir string) error { return os.Remove(filepath.Join(dir, shaA+".1.json")) }},
		{"renamed from another capture", func(dir string) error {
			return os.Rename(filepath.Join(dir, shaB+".json"), filepath.Join(dir, shaA+".json"))
		}},
		{"further file in place of another", func(dir string) error {
			return os.Rename(filepath.Join(dir, shaA+".2.json"), filepath.Join(dir, shaA+".1.json"))
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			l := open(t, dir)
			see(t, l, shaB, seen, Facts{}, true)
			see(t, l, shaA, seen, Facts{}, true)
			see(t, l, shaA, seen, Facts{Driver: "612.4"}, true)
			see(t, l, shaA, seen, Facts{Build: "1.8.2"}, true)
			if err := c.do(dir); err != nil {
				t.Fatal(err)
			}
			again := open(t, dir)
			for range 2 { // a second look must not forgive
				_, _, err := again.See(shaA, seen, Facts{}, true)
				if _, ok := errors.AsType[*Damaged](err); !ok {
					t.Fatalf("got %v", err)
				}
			}
		})
	}
}
