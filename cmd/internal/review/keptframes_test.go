package review

import (
	"testing"

	"github.com/rigslate/rigslate/export/archive"
)

// The frames that an edition gives back are those that its figures are of: as many, from when, and as long together
// to the nanosecond.
func TestKeptFramesAreThoseOfTheFigures(t *testing.T) {
	r := do(t, options(copied(t, "real")))
	m, err := archive.ReadManifest(r.Kept.Folder)
	if err != nil {
		t.Fatal(err)
	}
	e := archive.Edition{Manifest: m, Dir: r.Kept.Folder}
	for _, c := range r.Plan.Cards {
		var want []string
		for _, p := range r.Passes {
			if p.Key.Card == c.Name {
				want = append(want, runID(p))
			}
		}
		got, err := archive.KeptFrames(e, c.Name, append(want, "0000000000000000"))
		if err != nil || len(got) != len(want) || len(want) == 0 {
			t.Fatalf("%s: %d runs of %d: %v", c.Name, len(got), len(want), err)
		}
		for _, p := range r.Passes {
			if p.Key.Card != c.Name {
				continue
			}
			frames := got[runID(p)]
			var sum int64
			for _, ns := range frames.NS {
				sum += ns
			}
			if len(frames.NS) != p.Frames-p.Cut || sum != p.Figures.DurationNS || frames.StartNS != p.Figures.StartNS {
				t.Errorf("%s: %d frames of %d ns from %d ns, want %d of %d from %d", p.File.Path, len(frames.NS), sum, frames.StartNS, p.Frames-p.Cut,
					p.Figures.DurationNS, p.Figures.StartNS)
			}
		}
		if one, err := archive.KeptFrames(e, c.Name, want[:1]); err != nil || len(one) != 1 {
			t.Errorf("asked for one run: %d, %v", len(one), err)
		}
	}
	flip(t, r.Kept.Folder+"/frames-"+r.Plan.Cards[0].Name+".parquet")
	if _, err := archive.KeptFrames(e, r.Plan.Cards[0].Name, nil); err == nil {
		t.Error("damaged frames were read")
	}
}
