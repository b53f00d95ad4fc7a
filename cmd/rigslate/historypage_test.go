package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/history"
	"github.com/rigslate/rigslate/export/history/madeup"
)

// fiveYears makes up an archive: a driver that makes heron_x 3 % faster in the second year, another build of fjord in the third, back to the old
// one in the fourth, another bench in the fifth. A driver's name is hostile.
func fiveYears(t *testing.T) (dir string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "archive")
	for i, driver := range []string{"612.4", "650.1", "650.1", `<script>alert("1")</script>`, "672.3"} {
		r := madeup.Review{Name: "spring" + string('a'+rune(i)), At: time.Date(2026+i, 4, 1, 9, 0, 0, 0, time.UTC), Rig: "bench_a", OS: "build 1", Driver: driver, Repeats: 4,
			Cards: map[string]float64{"tern_ref": 100, "heron_x": 113.3}, Noise: 0.002, Games: []string{"bazaar", "fjord", "kelp", "quarry"}, Sizes: []string{"uhd"},
			Passes: string('a' + rune(i))}
		switch i {
		case 0:
			r.Cards["heron_x"] = 110
		case 2:
			r.Build = map[string]string{"fjord": "2.0"}
		case 4:
			r.Rig = "bench_b"
			r.Cards["gannet"] = 104
		}
		if _, err := r.Publish(context.Background(), dir); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func lookBackPage(t *testing.T, code int, args ...string) (out string) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	if got := run(context.Background(), append([]string{"history"}, args...), &stdout, &stderr); got != code {
		t.Fatalf("%v ended with %d: %s", args, got, stderr.String())
	}
	return stdout.String() + stderr.String()
}

// The page has every point that the archive has of what is asked for, in the text of its tables, and every line of two points or more as a chart. What
// was put into the archive is said: changed, level, not comparable. Nothing of a driver's name is markup.
func TestHistoryPage(t *testing.T) {
	dir, into := fiveYears(t), filepath.Join(t.TempDir(), "back")
	lookBackPage(t, 0, dir, "--into", into)
	file := filepath.Join(into, "history.html")
	_, tables := parsePage(t, file)
	content, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, never := range []string{"<script", "http://", "https://", "src="} {
		if page := strings.ReplaceAll(string(content), `xmlns="http://www.w3.org/2000/svg"`, ""); strings.Contains(page, never) {
			t.Errorf("the page has %s", never)
		}
	}
	a, err := archive.Look(dir)
	if err != nil {
		t.Fatal(err)
	}
	m, _ := compute.MetricByName("mean_fps")
	points, _, err := history.Points(a, history.Asked{Metric: m})
	if err != nil || len(points) != 4*(5+5+1) {
		t.Fatal(len(points), err)
	}
	has := hasRow(t, tables)
	for _, p := range points {
		caption, words := p.Key.String()+": mean frame rate", []string{p.Review, p.Edition[:7]}
		if p.Card == "gannet" {
			caption = "Cells with passes of one edition only"
		}
		has(caption, append(words, p.From.Format(time.DateOnly), decimal(p.Stat.Mean.X, 1)+" ["+decimal(p.Stat.Low.X, 1)+", "+decimal(p.Stat.High.X, 1)+"]", p.Facts.Driver[0])...)
	}
	for _, game := range []string{"bazaar", "fjord", "kelp", "quarry"} {
		has("heron_x·stock "+game+"·plain uhd", "2027-04-01", "▲ changed", "with reserve: driver 650.1 against 612.4")
		has("tern_ref·stock "+game+"·plain uhd", "2027-04-01", "= level")
		has("tern_ref·stock "+game+"·plain uhd", "2030-04-01", "≠ not comparable", "rig bench_b against bench_a")
	}
	has("tern_ref·stock fjord·plain uhd", "2028-04-01", "≠ not comparable", "build 2.0 against 1.0")
	has("tern_ref·stock fjord·plain uhd", "2029-04-01", "= level", "against 2027-04-01, the nearest that may be compared")
	if n := strings.Count(string(content), "<svg"); n != 8 {
		t.Errorf("%d charts, want 8", n)
	}
	has("Editions", "springe", "gannet·stock, heron_x·stock, tern_ref·stock")
}

// What is the same is not touched; what somebody else wrote is not written over; what cannot be a page is refused.
func TestHistoryPageKeepsFiles(t *testing.T) {
	dir, into := fiveYears(t), filepath.Join(t.TempDir(), "back")
	asked := []string{dir, "--card", "heron_x", "--game", "fjord", "--into", into, "--charts", "svg"}
	if out := lookBackPage(t, 0, asked...); !strings.Contains(out, "7 files changed") { // the page, and three themes in two shapes
		t.Errorf("it says %s", out)
	}
	if out := lookBackPage(t, 0, asked...); strings.Contains(out, "changed") {
		t.Errorf("the second time it says %s", out)
	}
	file := filepath.Join(into, "history.html")
	if err := os.WriteFile(file, []byte("<h1>History of the quay</h1>"), 0o666); err != nil {
		t.Fatal(err)
	}
	if out := lookBackPage(t, 2, asked...); !strings.Contains(out, "was not written by this program") {
		t.Errorf("it says %s", out)
	}
	if text, err := os.ReadFile(file); err != nil || string(text) != "<h1>History of the quay</h1>" {
		t.Errorf("%s, %v", text, err)
	}
	lookBackPage(t, 2, append(asked, "--csv")...)
	lookBackPage(t, 2, dir, "--into", into, "--charts", "some")
}

// In a browser the page asks for nothing and complains of nothing, fits a phone, and can be read by everybody.
func TestHistoryPageInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("drives a browser, which the race detector does not see")
	}
	ctx := browser(t)
	into := filepath.Join(t.TempDir(), "back")
	lookBackPage(t, 0, fiveYears(t), "--into", into)
	at := "file://" + filepath.ToSlash(filepath.Join(into, "history.html"))
	h := listen(ctx)
	do(t, ctx, network.Enable(), runtime.Enable(), emulation.SetDeviceMetricsOverride(1280, 900, 1, false), chromedp.Navigate(at), chromedp.WaitVisible("#provenance"))
	h.Lock()
	if len(h.complaints) > 0 || len(h.requests) != 1 || h.requests[0] != at {
		t.Errorf("it asked for %v and complained of %v", h.requests, h.complaints)
	}
	h.Unlock()
	if n := shownOf(t, ctx, "article svg"); n != 8 {
		t.Errorf("%d charts are seen", n)
	}
	fitsAPhone(t, ctx)
	do(t, ctx, chromedp.Evaluate(axe(t)+"; axe.version", nil))
	for _, scheme := range []string{"light", "dark"} {
		do(t, ctx, emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}))
		for _, v := range against(t, ctx, `{exclude: [["svg > *"]]}`, `{resultTypes: ["violations"]}`) {
			if v.Impact == "serious" || v.Impact == "critical" {
				t.Errorf("%s: %s (%s): %s %q", scheme, v.ID, v.Impact, v.Help, v.Places)
			}
		}
	}
}
