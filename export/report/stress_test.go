package report

import (
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
)

// mostPage is what a page may weigh, in bytes: what opens at once on a laptop.
const mostPage = 15_000_000

// stressed is a made-up review of so many cards and games at three resolutions, three passes of a minute a cell, every figure of every cell
// there and compared.
func stressed(cards, games int) Source {
	s := Source{Words: Words{Review: "stress", Title: "Every card against every game", Baseline: Mode{"card_0", "stock"},
		Statistics: StatisticsWords{Quantile: 7, Lows: compute.LowQuantile.String(), MarginPct: 1}}, Origin: Origin{Edition: "e0123456789abcdef"}}
	for i := range cards {
		s.Words.Modes = append(s.Words.Modes, ModeWords{Mode: Mode{"card_" + strconv.Itoa(i), "stock"}, Title: "Heron " + strconv.Itoa(i) + " partner card, 24 GB", Alone: true})
	}
	for i := range games {
		s.Words.Games = append(s.Words.Games, GameWords{Game: "game_" + strconv.Itoa(i), Variant: "plain", Title: "Fjord " + strconv.Itoa(i), Scene: "harbour flyover", Alone: true})
	}
	s.Words.Resolutions = []SizeWords{{"fhd", 1920, 1080}, {"qhd", 2560, 1440}, {"uhd", 3840, 2160}}
	for g, game := range s.Words.Games {
		for r, size := range s.Words.Resolutions {
			for c, m := range s.Words.Modes {
				s.add(Key{Mode: m.Mode, Game: game.Game, Variant: "plain", Resolution: size.Name}, (60+5*float64(c)+3*float64(g))/float64(1+r))
			}
		}
	}
	s.Frames = func(_ string, runs []string) (map[string]archive.KeptRun, error) {
		out := map[string]archive.KeptRun{}
		for _, run := range runs {
			fps, err := strconv.ParseFloat(run[strings.LastIndex(run, "/")+1:], 64)
			if err != nil {
				return nil, err
			}
			out[run] = archive.KeptRun{NS: minute(fps)}
		}
		return out, nil
	}
	return s
}

// add gives a cell its three passes and all its figures.
func (s *Source) add(k Key, fps float64) {
	s.Words.Cells = append(s.Words.Cells, CellWords{Key: k, State: "ready", Passes: 3, Of: 3})
	for i := range 3 {
		mean := fps * (1 + 0.002*float64(i))
		s.Tables.Runs = append(s.Tables.Runs, archive.RunRow{RunID: k.Card + k.Game + k.Resolution + strconv.Itoa(i) + "/" + strconv.FormatFloat(mean, 'f', 3, 64),
			Card: k.Card, Mode: k.Mode.Mode, Game: k.Game, Variant: k.Variant, Resolution: k.Resolution, Repeat: int32(i + 1), Status: "used", MeanFPS: &mean, FrameMSP50: some(1000 / mean), FrameMSP99: some(1300 / mean)})
	}
	for _, m := range compute.Metrics() {
		s.Tables.Cells = append(s.Tables.Cells, archive.CellRow{Card: k.Card, Mode: k.Mode.Mode, Game: k.Game, Variant: k.Variant, Resolution: k.Resolution,
			Metric: m.Name, Unit: m.CellUnit, N: 3, Launches: 3, Mean: some(fps / 1.037), CILow: some(fps / 1.041), CIHigh: some(fps / 1.033), State: "ready"})
		if k.Mode != s.Words.Baseline {
			s.Tables.Comparisons = append(s.Tables.Comparisons, archive.ComparisonRow{Game: k.Game, Variant: k.Variant, Resolution: k.Resolution, Metric: m.Name,
				Unit: m.CellUnit, Card: k.Card, Mode: k.Mode.Mode, BaseCard: s.Words.Baseline.Card, BaseMode: s.Words.Baseline.Mode, N: 3, BaseN: 3,
				Percent: some(fps/7.77 - 4), CILow: some(fps/7.77 - 5.03), CIHigh: some(fps/7.77 - 2.97), P: some(0.0123), Verdict: some("ahead"), Firm: some(true)})
		}
	}
}

// minute is a minute of frame times in ns about a mean rate, with scatter, a slow wave and a hitch; the same each time.
func minute(fps float64) (ns []int64) {
	chance := rand.New(rand.NewPCG(1, math.Float64bits(fps)))
	for t := 0.0; t < 60; {
		ms := 1000 / fps * (1 + 0.1*math.Sin(t/3) + 0.06*chance.NormFloat64())
		if chance.Float64() < 0.002 {
			ms *= 3
		}
		ns, t = append(ns, int64(1e6*max(ms, 0.5))), t+max(ms, 0.5)/1000
	}
	return ns
}

// The page of a review as large as they come can be opened: below 15 MB, with the frame times of every game and resolution, and peaks kept.
func TestLargestPage(t *testing.T) {
	if testing.Short() {
		t.Skip("takes some seconds")
	}
	s := stressed(24, 20)
	drawings, err := pictures(s)
	if err != nil {
		t.Fatal(err)
	}
	page, err := s.Page(drawings)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%.1f MB", float64(len(page.Content))/1e6)
	if len(page.Content) > mostPage {
		t.Errorf("the page weighs %d bytes, at most %d", len(page.Content), mostPage)
	}
	for _, g := range s.Words.Games {
		for _, size := range s.Words.Resolutions {
			name := "frames-" + g.Game + "-plain-" + size.Name
			if !slices.Contains(drawings.order, name) {
				t.Errorf("%s is not on the page", name)
				continue
			}
			checkPeaks(t, s, Key{Game: g.Game, Variant: "plain", Resolution: size.Name}, string(drawings.svg[name]))
		}
	}
}

var lane = regexp.MustCompile(`data-plot="([^"]*)".*?<path d="M(\d+) (\d+)([^"]*)" class="trace"`)

// checkPeaks reads the longest frame of each card off its trace, as the page's script does, and holds it against the frames.
func checkPeaks(t *testing.T, s Source, k Key, svg string) {
	t.Helper()
	lanes := lane.FindAllStringSubmatch(svg, -1)
	if len(lanes) != len(s.Words.Modes) {
		t.Fatalf("%s: %d lanes", k.Game, len(lanes))
	}
	for i, m := range s.Words.Modes {
		k.Mode = m.Mode
		longest := int64(0)
		for _, r := range s.Tables.Runs {
			if (Key{Mode{r.Card, r.Mode}, r.Game, r.Variant, r.Resolution}) == k && r.Repeat == 2 { // of three the middle one
				longest = slices.Max(minute(parsed(t, r.RunID[strings.LastIndex(r.RunID, "/")+1:])))
			}
		}
		plot := strings.Fields(lanes[i][1])
		top, bottom, low, high := parsed(t, plot[1]), parsed(t, plot[3]), parsed(t, plot[6]), parsed(t, plot[7])
		y := parsed(t, lanes[i][3])
		least := y
		for _, step := range regexp.MustCompile(`[lv](-?\d+)(?: ?(-?\d+))?`).FindAllStringSubmatch(lanes[i][4], -1) {
			if dy := step[len(step)-1]; dy != "" {
				y += parsed(t, dy)
			} else {
				y += parsed(t, step[1])
			}
			least = min(least, y)
		}
		share := (bottom - least/10) / (bottom - top)
		got := low + share*(high-low)
		if plot[8] == "log" {
			got = low * math.Pow(high/low, share)
		}
		if want := float64(longest) / 1e6; math.Abs(got-want) > 0.02*want {
			t.Errorf("%s of %s: the longest frame takes %.2f ms, on the page %.2f", m.Title, k.Game, want, got)
		}
	}
}

func parsed(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// The whole report of such a review with the charts that are written by default, on two workers. Under a minute is what it should take.
func BenchmarkLargestReport(b *testing.B) {
	s := stressed(24, 20)
	for b.Loop() {
		files, err := Files(s, SVGCharts)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := WriteFiles(b.Context(), b.TempDir(), files, 2); err != nil {
			b.Fatal(err)
		}
		for _, f := range files {
			if f.Path == "index.html" {
				b.ReportMetric(float64(len(f.Content))/1e6, "MB/page")
			}
		}
	}
}
