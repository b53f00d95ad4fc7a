package archive

import (
	"bytes"
	"os"
	"path/filepath"
	"reflect"
	"testing"
)

// FuzzManifest: whatever a manifest holds, it is an error or a manifest whose paths lie in the edition, and is read again as it is written.
func FuzzManifest(f *testing.F) {
	dir := mustPublish(f, opened(f, f.TempDir()))
	text, err := os.ReadFile(filepath.Join(dir, manifestName))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Add([]byte(`{"format_version":1,"definitions_version":1,"review":"a","edition":"0123456789abcdef","files":[{"path":"a/b","bytes":1,"sha256":""}],"raw":[]}`))
	f.Add([]byte(`{"format_version":9}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		m, err := parseManifest("edition", text)
		if err != nil {
			return
		}
		for _, file := range m.Files {
			if !filepath.IsLocal(filepath.FromSlash(file.Path)) {
				t.Fatalf("%q leads out of the edition", file.Path)
			}
		}
		again, err := m.encode()
		if err != nil {
			t.Fatal(err)
		}
		if n, err := parseManifest("edition", again); err != nil || !reflect.DeepEqual(m, n) {
			t.Fatalf("%v: %+v is read again as %+v", err, m, n)
		}
	})
}

// FuzzFramesFile: whatever stands where the frames of a card should, checking it and looking for the passes that are spoiled end in an
// answer.
func FuzzFramesFile(f *testing.F) {
	dir := mustPublish(f, opened(f, f.TempDir()))
	files, err := filepath.Glob(filepath.Join(dir, "frames-*.parquet"))
	if err != nil || len(files) == 0 {
		f.Fatalf("seeds %q, %v", files, err)
	}
	content, err := os.ReadFile(files[0])
	if err != nil {
		f.Fatal(err)
	}
	f.Add(content)
	f.Add([]byte("PAR1\x00\x00\x00\x00PAR1"))
	name := filepath.Join(f.TempDir(), "frames.parquet")
	f.Fuzz(func(t *testing.T, other []byte) {
		if err := os.WriteFile(name, other, 0o666); err != nil {
			t.Fatal(err)
		}
		bad, err := badGroups(name)
		if bytes.Equal(other, content) && (err != nil || len(bad) == 0 || bad[0]) {
			t.Errorf("the good file: %v, %v", bad, err)
		}
		_ = checkParquet(name, 1) // an error or none, as long as it ends
	})
}
