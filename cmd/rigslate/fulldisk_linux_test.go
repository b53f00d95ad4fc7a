package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// A disk that is full ends a run with its own exit code and a word of what to do, wherever it comes to be full: the archive is whole, the older
// edition is what it was, captures are untouched, and with more room the same command completes the work.
func TestFullDisk(t *testing.T) {
	long(t)
	disk := t.TempDir()
	mount := func(kib int, flags uintptr) error {
		return syscall.Mount("rigslate", disk, "tmpfs", flags, fmt.Sprintf("size=%dk", kib))
	}
	if err := mount(4096, 0); err != nil {
		t.Skip("no file system of a size of its own can be made here, which takes root:", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(disk, 0); err != nil {
			t.Error(err)
		}
	})
	dir := filepath.Join(disk, "review")
	archive := filepath.Join(dir, "archive")
	small{[]string{"fjord"}}.write(t, dir)
	adverse(t, 0, runOf(dir)...)
	older := tree(t, filepath.Join(archive, "editions"))
	small{[]string{"fjord", "kelp"}}.write(t, dir)
	before := tree(t, dir)
	used := func() int {
		var s syscall.Statfs_t
		if err := syscall.Statfs(disk, &s); err != nil {
			t.Fatal(err)
		}
		return int(s.Blocks-s.Bfree) * int(s.Bsize) / 1024
	}
	start := used()
	adverse(t, 0, runOf(dir)...)
	needs := used() - start
	const steps = 8
	for i := range steps {
		if err := mount(4096, syscall.MS_REMOUNT); err != nil {
			t.Fatal(err)
		}
		if err := os.RemoveAll(dir); err != nil {
			t.Fatal(err)
		}
		plant(t, dir, before)
		room := needs * i / steps
		if err := mount(used()+room, syscall.MS_REMOUNT); err != nil {
			t.Fatal(err)
		}
		said := adverse(t, 4, runOf(dir)...)
		if !strings.Contains(said, "no space left on device") || !strings.Contains(said, "Make room and run the same command again.") {
			t.Fatalf("with room for %d KiB of %d: %s", room, needs, said)
		}
		adverse(t, 0, "verify", "--full", archive)
		after := tree(t, dir)
		for name, text := range before {
			if strings.HasPrefix(name, "captures/") && after[name] != text {
				t.Fatalf("with room for %d KiB of %d: %s is another", room, needs, name)
			}
		}
		for name, text := range older {
			if after["archive/editions/"+name] != text && !strings.HasSuffix(name, "/") {
				t.Fatalf("with room for %d KiB of %d: %s of the older edition is another", room, needs, name)
			}
		}
		if err := mount(4096, syscall.MS_REMOUNT); err != nil {
			t.Fatal(err)
		}
		tells(t, adverse(t, 0, runOf(dir)...), "published")
		tells(t, adverse(t, 0, "verify", "--full", archive), "2 editions")
		for name := range tree(t, dir) {
			if strings.Contains(name, ".new") || strings.Contains(name, "staging") {
				t.Errorf("with room for %d KiB of %d: %s is left over", room, needs, name)
			}
		}
	}
}
