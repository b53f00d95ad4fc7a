package power

import (
	"math"
	"slices"
	"strings"
	"testing"
)

// By hand: a minute at 10 ms a frame and a minute at 12.5 ms, 100 and 80 frames per second, 20 % fewer.
func TestRate(t *testing.T) {
	frames := slices.Concat(slices.Repeat([]int64{10_000_000}, 6000), slices.Repeat([]int64{12_500_000}, 4800))
	r := OfRate(frames, 30e9)
	for name, c := range map[string]struct{ got, want float64 }{
		"start": {r.StartFPS.X, 100}, "end": {r.EndFPS.X, 80}, "change": {r.ChangePct.X, -20},
	} {
		if !r.ChangePct.OK || math.Abs(c.got-c.want) > 1e-9 {
			t.Errorf("%s: %v, want %v", name, c.got, c.want)
		}
	}
	if len(r.Notes) != 1 || r.Notes[0].Flag != FlagRateSag || !strings.Contains(r.Notes[0].Says, "20.0 % below") {
		t.Errorf("%+v", r.Notes)
	}
	// Five tenths at 100 and five at 80: of 45 pairs 25 fall and 20 are tied, so S = −25, its variance (10·9·25 − 2·5·4·15)/18, and the median slope is
	// the third mildest of those that fall, ln 0.8 over eight tenths.
	p := math.Erfc(24 / math.Sqrt(1650.0/18) / math.Sqrt2)
	if math.Abs(r.DriftPct.X-100*(math.Pow(0.8, 10.0/8)-1)) > 1e-9 || math.Abs(r.DriftP.X-p) > 1e-12 || !strings.HasSuffix(r.Notes[0].Says, "its tenths fall too (p = 0.012)") {
		t.Errorf("%+v", r)
	}
	// A scene of twelve seconds at 100 and twelve at 80, five times over: its ends differ, and there is no trend to speak of.
	scene := slices.Repeat(slices.Concat(slices.Repeat([]int64{10_000_000}, 1200), slices.Repeat([]int64{12_500_000}, 960)), 5)
	if r := OfRate(scene, 12e9); math.Abs(r.ChangePct.X+20) > 1e-9 || r.DriftP.X < 0.05 || !strings.Contains(r.Notes[0].Says, "its tenths show no fall") {
		t.Errorf("%+v", r)
	}
	slices.Reverse(frames)
	if r := OfRate(frames, 30e9); math.Abs(r.ChangePct.X-25) > 1e-9 || r.Notes != nil { // from 80 to 100 it rises, which is no fault
		t.Errorf("%+v", r)
	}
	slices.Reverse(frames)
	// frames that reach out of the stretch do not count, nor does their time
	if r := OfRate(frames, 505_000_000); r.StartFPS.X != 100 || r.EndFPS.X != 80 {
		t.Errorf("%+v", r)
	}
	for why, c := range map[string]struct {
		frames []int64
		window int64
	}{
		"no frames":            {nil, 30e9},
		"twice 2 min":          {frames, 120e9},
		"a frame lasts longer": {[]int64{5e9, 1e9, 1e9, 5e9}, 2e9},
	} {
		r := OfRate(c.frames, c.window)
		for _, v := range []struct {
			ok bool
			x  float64
			w  string
		}{{r.StartFPS.OK, r.StartFPS.X, r.StartFPS.Why}, {r.EndFPS.OK, r.EndFPS.X, r.EndFPS.Why}, {r.ChangePct.OK, r.ChangePct.X, r.ChangePct.Why}} {
			if v.ok || v.x != 0 || !strings.Contains(v.w, why) {
				t.Errorf("%+v, want absent: %s", r, why)
			}
		}
	}
}
