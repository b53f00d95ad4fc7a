package compute

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// realCapture reads the frame times of a real capture; it skips where the captures are not at hand.
func realCapture(t *testing.T, name string) []int64 {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "shared", "captures", name+".frames.csv"))
	if os.IsNotExist(err) {
		t.Skip("the real captures are not here")
	}
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := slices.Index(rows[0], "frame_ms")
	var x []int64
	for _, row := range rows[1:] {
		x = append(x, int64(math.RoundToEven(parse(t, row[at])*1e6)))
	}
	return x
}

// Mean frame rates and hitches from an independent computation on the same files, to the digits it was given in; warm-up 2 s,
// length 12 s.
func TestRealCaptures(t *testing.T) {
	w := Window{WarmupNS: 2e9, LengthNS: 12e9}
	for _, c := range []struct {
		name            string
		fps, resolution float64
		hitches         []float64 // frames, events, share of time
	}{
		{"kestrel.fjord.2560x1440.r1", 21.2072, 5e-5, nil},
		{"kestrel.fjord.3840x2160.r1", 9.51996, 5e-6, nil},
		{"kestrel.reactor.2560x1440.r1", 56.2269, 5e-5, nil},
		{"kestrel.reactor.3840x2160.r1", 24.6007, 5e-5, nil},
		{"kestrel.bazaar.3840x2160.r1", 609.632, 5e-4, nil},
		{"kestrel.reactor.2560x1440.disturbed", 38.969, 5e-4, []float64{23, 1, 0.3068}},
	} {
		x := realCapture(t, c.name)
		lo, hi := Keep(x, w)
		p := Figure(x[lo:hi], Duration(x[:lo]), PassOptions{}, nil)
		sound(t, c.name, p)
		if math.Abs(p.MeanFPS.X-c.fps) > c.resolution {
			t.Errorf("%s: %.6g fps, want %g", c.name, p.MeanFPS.X, c.fps)
		}
		if c.hitches == nil {
			continue
		}
		frames, events, share := valueOf(t, p, "hitch_frames").X, valueOf(t, p, "hitch_events").X, valueOf(t, p, "hitch_time_share").X
		if frames != c.hitches[0] || events != c.hitches[1] || math.Abs(share-c.hitches[2]) > 5e-5 {
			t.Errorf("%s: %g hitch frames in %g events, %.4f of the time", c.name, frames, events, share)
		}
	}
}

// The disturbed pass in place of a good one spreads its cell far over the 3 % a plan accepts; the good ones do not.
func TestRealSpread(t *testing.T) {
	m, _ := MetricByName("mean_fps")
	spreadOf := func(names ...string) float64 {
		var samples []Sample
		for _, name := range names {
			x := realCapture(t, "kestrel.reactor.2560x1440."+name)
			lo, hi := Keep(x, Window{WarmupNS: 2e9, LengthNS: 12e9})
			samples = append(samples, m.Sample(figure(x[lo:hi])))
		}
		return Cell(m, samples).SpreadPct.X
	}
	if good := spreadOf("r1", "r2", "r3"); good > SpreadLimit(3, 3) {
		t.Errorf("good passes spread %.2f %%", good)
	}
	if bad := spreadOf("r1", "disturbed", "r3"); bad < 5*SpreadLimit(3, 3) {
		t.Errorf("with the disturbed one %.2f %%", bad)
	}
}
