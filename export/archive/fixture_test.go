package archive

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"
)

func ptr[T any](v T) *T { return &v }

var origin = Origin{ToolVersion: "v0.1.0", DefinitionsVersion: 1, PublishedAt: time.Date(2027, 3, 4, 15, 0, 0, 123456789, time.FixedZone("", 3600))}

// opened opens an archive.
func opened(t testing.TB, dir string) *Archive {
	t.Helper()
	a, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func begin(t testing.TB, a *Archive) *Staging {
	t.Helper()
	s, err := a.Begin("spring")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Abandon(); err != nil {
			t.Error(err)
		}
	})
	return s
}

func int64s(t testing.TB, values []int64, valid []bool) *array.Int64 {
	b := array.NewInt64Builder(memory.NewGoAllocator())
	defer b.Release()
	b.AppendValues(values, valid)
	x := b.NewInt64Array()
	t.Cleanup(x.Release)
	return x
}

func float64s(t testing.TB, values []float64, valid []bool) *array.Float64 {
	b := array.NewFloat64Builder(memory.NewGoAllocator())
	defer b.Release()
	b.AppendValues(values, valid)
	x := b.NewFloat64Array()
	t.Cleanup(x.Release)
	return x
}

// sampleRuns has a full row, a bare one, and texts that a careless reader trips over.
func sampleRuns() []RunRow {
	return []RunRow{
		{
			RunID: "00112233445566aa", Card: "heron_x", Mode: "stock", Game: "fjord", Variant: "plain", Resolution: "uhd", Width: ptr(int32(3840)), Height: ptr(int32(2160)),
			Repeat: 1, Launch: ptr("l1"), Session: ptr("s1"), SourcePath: "captures/heron_x/fjord_uhd_1.csv", SourceSHA256: fmt.Sprintf("%064x", 1), SourceBytes: 1 << 40,
			StartedAt: ptr(int64(1803394800123456)), Driver: ptr("612.4"), WarmupS: ptr(10.0), LengthS: ptr(60.0), Status: "used", Frames: ptr(int32(6000)),
			FramesCut: ptr(int32(900)), BadLines: ptr(int32(0)), MeanFPS: ptr(99.5), FrameMSMean: ptr(10.05), Lag1: ptr(-0.25), HitchFrames: ptr(int32(0)), Flags: ptr("thin launch_assumed"),
			Further: map[string]float64{"over_display_share": 0.125},
		},
		{RunID: "00112233445566bb", Card: "tern_ref", Mode: "stock", Game: "fjord", Variant: "plain", Resolution: "uhd", Repeat: 2, SourcePath: "x", Status: "void",
			VoidReason: ptr("a \"comma\", a\nnewline, a NUL \x00, µ-ω, 猫, \U0001f40e, and nothing else")},
		{RunID: "00112233445566cc", Card: "", Mode: "", Game: "", Variant: "", Resolution: "", SourcePath: "", Status: "", VoidReason: ptr("")},
	}
}

func sampleTables() Tables {
	return Tables{
		Runs: sampleRuns(),
		Cells: []CellRow{
			{Card: "heron_x", Mode: "stock", Game: "fjord", Variant: "plain", Resolution: "uhd", Metric: "mean_fps", Unit: "fps", Scale: "ratio", N: 3, Launches: 3, Sessions: 1, Mean: ptr(99.5), SD: ptr(0.5), State: "ready"},
			{Card: "heron_x", Mode: "stock", Game: "kelp", Variant: "plain", Resolution: "uhd", Metric: "mean_fps", Unit: "fps", Scale: "ratio", State: "absent"},
		},
		Comparisons: []ComparisonRow{
			{Game: "fjord", Variant: "plain", Resolution: "uhd", Metric: "mean_fps", Unit: "fps", Card: "heron_x", Mode: "stock", BaseCard: "tern_ref", BaseMode: "stock", N: 3, BaseN: 3, Ratio: ptr(1.05), Percent: ptr(5.0), Verdict: ptr("ahead"), Firm: ptr(true)},
			{Game: "fjord", Variant: "plain", Resolution: "uhd", Metric: "hitch_events", Unit: "1/min", Card: "heron_x", Mode: "stock", BaseCard: "tern_ref", BaseMode: "stock", Firm: ptr(false)},
		},
		Summaries: []SummaryRow{
			{Group: "all", Resolution: "uhd", Metric: "mean_fps", Card: "heron_x", Mode: "stock", BaseCard: "tern_ref", BaseMode: "stock", Games: 3, LeftOut: 1, Ratio: ptr(1.05), Percent: ptr(5.0),
				TheseLow: ptr(4.0), TheseHigh: ptr(6.0), Verdict: ptr("ahead"), Leads: 2, Levels: 1, Unit: "fps", MostGame: ptr("fjord"), Most: ptr(7.5)},
			{Group: "ray traced", Resolution: "uhd", Metric: "over_60hz_share", Card: "heron_x", Mode: "stock", BaseCard: "tern_ref", BaseMode: "stock", LeftOut: 2, Unit: "share"},
		},
		Claims: []ClaimRow{
			{Claim: "uhd_lead", Says: "about \"five\" percent", Metric: "mean_fps", Unit: "%", Estimate: ptr(5.0), PFor: ptr(0.25), Verdict: "open", Leaning: ptr("for"), RepeatsNeeded: ptr(int32(5)),
				Card: "heron_x", Mode: "stock", BaseCard: ptr("tern_ref"), BaseMode: ptr("stock"), Cells: 2, Games: 2},
			{Claim: "hits", Metric: "mean_fps", Unit: "fps", Verdict: "no data", Card: "heron_x", Mode: "stock", Why: ptr("no cell has a figure")},
		},
		Readings: []ReadingRow{
			{Card: "heron_x", Mode: ptr("stock"), Protocol: ptr("half_hour"), Sensor: ptr("stage_2"), Figure: "end_of_soak", Value: ptr(81.25), Unit: "C", Uncertainty: ptr(1.5), Expanded: ptr(3.0),
				CoverageFactor: ptr(2.0), DF: ptr(60.5), AmbientC: ptr(21.0), Flags: ptr("not_settled"), Repeat: ptr(int32(1)), ProbeGroup: ptr("stages"), Source: ptr("00112233445566dd"),
				SensedFromNS: ptr(int64(1710_000_000_000)), SensedToNS: ptr(int64(1830_000_000_000))},
			{Card: "heron_x", Mode: ptr("stock"), Protocol: ptr("half_hour"), Sensor: ptr("core"), Figure: "rise", Unit: "K", Repeat: ptr(int32(1)), Why: ptr("no room temperature was logged")},
			{Card: "tern_ref", Figure: "connector", Text: ptr("12 + 4 pins")},
			{Card: "heron_x", Mode: ptr("stock"), Figure: "price_per_fps", Value: ptr(8.125), Unit: "EUR/fps", N: ptr(int32(4)), CILow: ptr(8.0), CIHigh: ptr(8.25),
				Price: ptr(649.5), PriceCurrency: ptr("EUR"), PriceKind: ptr("street"), PriceTax: ptr(true), PricePlace: ptr("two shops on the quay"), PriceOn: ptr("2027-02-24"),
				Resolution: ptr("uhd"), Games: ptr(int32(3)), LeftOut: ptr(int32(1))},
		},
	}
}

// capture is a raw file's content and hash.
var capture = bytes.Repeat([]byte("0.001,10.05\n"), 4000)

// fill writes a small edition: two cards' frames, the tables, one capture, a plan.
func fill(t testing.TB, s *Staging) error {
	t.Helper()
	for _, card := range []string{"heron_x", "tern_ref"} {
		if err := fillFrames(t, s, card); err != nil {
			return err
		}
	}
	if err := fillSensors(s); err != nil {
		return err
	}
	c, err := s.Raw(false)
	if err != nil {
		return err
	}
	if _, err := c.Write(capture); err != nil {
		return err
	}
	if err := c.Keep(sha256.Sum256(capture), int64(len(capture))); err != nil {
		return err
	}
	for path, content := range map[string]string{"plan/spring.hcl": "review \"spring\" {}\n", "plan/plan.json": "{}\n", "plan/ledger/" + fmt.Sprintf("%064x", 1) + ".json": "{}"} {
		if err := s.File(path, []byte(content)); err != nil {
			return err
		}
	}
	return s.Tables(sampleTables())
}

func fillFrames(t testing.TB, s *Staging, card string) error {
	w, err := s.Frames(card, []string{"submit_ns", "load_pct"})
	if err != nil {
		return err
	}
	runs := []Run{
		{ID: "00112233445566aa", FrameNS: int64s(t, []int64{10e6, 11e6, 9e6, 10e6}, nil), KeptLo: 1, KeptHi: 3,
			Extras: []arrow.Array{int64s(t, []int64{1, 2, 3, 4}, nil), float64s(t, []float64{0.5, 0, 99, -1}, []bool{true, false, true, true})}},
		{ID: "00112233445566bb", FrameNS: int64s(t, []int64{7, 8}, nil), KeptLo: 0, KeptHi: 2, Extras: []arrow.Array{nil, nil}},
	}
	for _, r := range runs {
		if err := w.Write(r); err != nil {
			break // Close returns it
		}
	}
	return w.Close()
}

func fillSensors(s *Staging) error {
	w, err := s.Sensors("heron_x")
	if err != nil {
		return err
	}
	for _, l := range sampleLogs() {
		if err := w.Write(l); err != nil {
			break // Close returns it
		}
	}
	return w.Close()
}

// sampleLogs are a soak's log, of which one channel missed a line and one said nothing, and a pass's.
func sampleLogs() []Log {
	return []Log{
		{Mode: "stock", Protocol: "half_hour", Repeat: 1, ID: "00112233445566dd", TimesNS: []int64{-5e8, 5e8, 15e8}, Channels: []Channel{
			{Key: "core", Unit: "C", Values: []float64{40, 41.5, 42}},
			{Key: "power", Unit: "W", MeasuredAt: "reported board", Values: []float64{0, nan, 199.75}, Valid: []bool{true, false, true}},
			{Key: "room", Unit: "C", Values: make([]float64, 3), Valid: make([]bool, 3)},
		}},
		{Mode: "quiet", Repeat: 3, ID: "00112233445566ee", FramesRunID: "00112233445566aa", TimesNS: []int64{0}, Channels: []Channel{{Key: "core", Unit: "C", Values: []float64{-1}}}},
	}
}

var editionOne = EditionID(Identity{DefinitionsVersion: 1, Plan: []byte("{}\n"), Raw: []RawFacts{{SHA256: sha256.Sum256(capture)}}})

// publish makes and publishes the small edition.
func publish(t testing.TB, a *Archive) (Result, error) {
	t.Helper()
	s, err := a.Begin("spring")
	if err != nil {
		return 0, err
	}
	defer func() {
		if err := s.Abandon(); err != nil {
			t.Error(err)
		}
	}()
	if err := fill(t, s); err != nil {
		return 0, err
	}
	return s.Publish(context.Background(), editionOne, origin)
}

func mustPublish(t testing.TB, a *Archive) string {
	t.Helper()
	got, err := publish(t, a)
	if err != nil || got != Published {
		t.Fatalf("result %d, %v", got, err)
	}
	return a.EditionDir("spring", editionOne)
}

// list is every path below dir but folders, sorted, with forward slashes.
func list(t testing.TB, dir string) []string {
	t.Helper()
	var paths []string
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, err := filepath.Rel(dir, path)
		paths = append(paths, filepath.ToSlash(rel))
		return err
	})
	if err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	slices.Sort(paths)
	return paths
}
