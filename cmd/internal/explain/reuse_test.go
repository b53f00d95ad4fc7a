package explain

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/rs/zerolog"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/export/report"
)

// reusing is a review of June whose reference was passed in March, on an earlier driver.
func reusing(t *testing.T) (last *review.Review) {
	b := bench{t, t.TempDir()}
	for i, name := range []string{"march", "june"} {
		driver, more := "612.4", ""
		if name == "june" {
			driver = "615.0"
			more = "reuse \"winter\" {\n  review = \"march\"\n  cards = [card.tern_ref]\n  max_age = \"180d\"\n  despite = \"driver\"\n}\n"
		}
		b.write(name+"/plan.hcl", fmt.Sprintf(`
review %q {
  rig      = rig.bench_a
  baseline = card.tern_ref.stock
  archive  = "../archive"
}
rig "bench_a" { fixed = { os = "build 26100" } }
card "tern_ref" {
  vendor = "marram"
  driver = %[2]q
}
card "heron_x" {
  vendor = "marram"
  driver = %[2]q
}
game "fjord" {
  build = "1.8.2"
  drive = "built-in"
  keep  = { warmup = "1s", length = "8s" }
}
resolution "uhd" { size = "3840x2160" }
matrix { }
files "log" {
  path        = "captures/{card}_{time}.csv"
  text        = { delimiter = ",", comment = "#" }
  frame_time  = { column = "frame_ms", unit = "ms" }
  measured_at = "present"
}
%[3]s`, name, driver, more))
		for card, rate := range map[string]float64{"tern_ref": 67, "heron_x": 70} {
			if card == "tern_ref" && name == "june" {
				continue
			}
			for pass := range 3 {
				ms := make([]float64, 700)
				for j := range ms {
					ms[j] = 1000/rate + float64(j%2) + float64(pass)/50 + float64(i)/100
				}
				b.put(fmt.Sprintf("%s/captures/%s_2027-%02d-0%d_10-00-00.csv", name, card, 3+3*i, pass+1), ms)
			}
		}
		r, err := review.Do(context.Background(), review.Options{Plans: []string{b.dir + "/" + name}, Now: time.Date(2027, time.Month(3+3*i), 20, 9, 0, 0, 0, time.UTC),
			Workers: 2, Record: true, Keep: true, Partial: true, Charts: report.NoCharts, Tool: "test", Log: zerolog.Nop()})
		if err != nil || r.Kept.Edition == "" {
			t.Fatalf("%v: %v", err, r.Findings)
		}
		last = r
	}
	return last
}
