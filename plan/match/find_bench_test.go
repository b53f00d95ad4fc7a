package match

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

// BenchmarkFind walks and matches a folder of 20 000 captures, a fifth of them misspelt.
func BenchmarkFind(b *testing.B) {
	const usual = "captures/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}{any}.csv"
	dir := b.TempDir()
	p := example(byPath(usual))
	for _, c := range []string{"tern_ref-stock", "heron-stock", "heron_x-stock", "heron_x-tuned", "herron-stock"} {
		folder := filepath.Join(dir, "captures", c)
		if err := os.MkdirAll(folder, 0o777); err != nil {
			b.Fatal(err)
		}
		for i := range 4000 {
			game := []string{"fjord_plain", "fjord_rays_up", "kelp", "kelp_2_plain"}[i%4]
			name := fmt.Sprintf("%s_%s_%d_%05d.csv", game, []string{"qhd", "uhd"}[i/4%2], i%3+1, i)
			if err := os.WriteFile(filepath.Join(folder, name), nil, 0o666); err != nil {
				b.Fatal(err)
			}
		}
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		b.Fatal(err)
	}
	defer root.Close()
	for b.Loop() {
		found, _, err := Find(b.Context(), p, root)
		if err != nil {
			b.Fatal(err)
		}
		if n := len(found.Files) + len(found.Strays); n != 20000 {
			b.Fatalf("%d files", n)
		}
	}
}
