package review

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/rs/zerolog"
)

// bigReview writes a review of 40 captures with about 13,000 frames each, three decimals and two extras, and its plan; it returns
// the plan's folder and the bytes of all captures.
func bigReview(tb testing.TB) (dir string, size int64) {
	tb.Helper()
	dir = tb.TempDir()
	source := `review "big" {
  baseline = card.a.stock
}
resolution "uhd" { size = "3840x2160" }
matrix { repeats = 5 }
accept { max_spread = "100%" }
files "all" {
  path       = "{card}-{game}-{repeat}.csv"
  frame_time = { column = "time_ms", unit = "ms" }
  extra      = { gpu = { column = "gpu_ms", unit = "ms" }, cpu = { column = "cpu_ms", unit = "ms" } }
}
`
	for _, c := range []string{"a", "b"} {
		source += fmt.Sprintf("card %q {\n  vendor = \"v\"\n  driver = \"1\"\n}\n", c)
	}
	for g := range 4 {
		source += fmt.Sprintf("game \"g%d\" {\n  build = \"1\"\n  scene = \"s\"\n  drive = \"built-in\"\n  keep  = \"all\"\n}\n", g)
		for _, c := range []string{"a", "b"} {
			for repeat := range 5 {
				text := capture(uint64(len(c)*1000 + g*100 + repeat + int(c[0])*10_000))
				size += int64(len(text))
				if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("%s-g%d-%d.csv", c, g, repeat+1)), text, 0o666); err != nil {
					tb.Fatal(err)
				}
			}
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "plan.hcl"), []byte(source), 0o666); err != nil {
		tb.Fatal(err)
	}
	return dir, size
}

// capture writes a minute of log-normal frame times with lag-1 correlation and a rare hitch.
func capture(seed uint64) []byte {
	r := rand.New(rand.NewPCG(seed, 1))
	var b bytes.Buffer
	b.WriteString("frame,time_ms,gpu_ms,cpu_ms\n")
	x, rate := 0.0, 60+340*r.Float64()
	for i, t := 0, 0.0; t < 60_000; i++ {
		x = 0.7*x + 0.06*r.NormFloat64()
		ms := 1000 / rate * math.Exp(x)
		if r.Float64() < 0.0008 {
			ms *= 2 + 6*r.ExpFloat64()
		}
		fmt.Fprintf(&b, "%d,%.3f,%.3f,%.3f\n", i, ms, ms*0.9, 4*math.Exp(0.12*r.NormFloat64()))
		t += ms
	}
	return b.Bytes()
}

func benchmark(b *testing.B, keep bool) {
	dir, size := bigReview(b)
	b.SetBytes(size)
	b.ReportAllocs()
	for b.Loop() {
		if keep {
			if err := os.RemoveAll(filepath.Join(dir, "archive")); err != nil {
				b.Fatal(err)
			}
		}
		o := Options{Plans: []string{dir}, Now: time.Date(2027, 2, 1, 0, 0, 0, 0, time.UTC), Workers: 2, Record: true, Keep: keep, Partial: keep, Log: zerolog.Nop()}
		r, err := Do(context.Background(), o)
		if err != nil {
			b.Fatal(err)
		}
		if len(r.Passes) != 40 {
			b.Fatalf("%d passes", len(r.Passes))
		}
	}
}

// BenchmarkMissing is everything up to the judgement: reading, figures, checks.
func BenchmarkMissing(b *testing.B) { benchmark(b, false) }

// BenchmarkRun also archives: raw files, frames, tables, read-back, hashes.
func BenchmarkRun(b *testing.B) { benchmark(b, true) }
