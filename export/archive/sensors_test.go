package archive

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/parquet-go/parquet-go"
	"pgregory.net/rapid"
)

// sensorRow is a sensors file as another library reads it.
type sensorRow struct {
	Card     string  `parquet:"card"`
	Mode     string  `parquet:"mode"`
	Protocol *string `parquet:"protocol"`
	Repeat   int32   `parquet:"repeat"`
	RunID    string  `parquet:"run_id"`
	Frames   *string `parquet:"frames_run_id"`
	Channel  string  `parquet:"channel"`
	Unit     string  `parquet:"unit"`
	At       *string `parquet:"measured_at"`
	TimeNS   int64   `parquet:"time_ns"`
	Value    float64 `parquet:"value"`
}

func unlessEmpty(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// sensorRows are the rows that logs should read as.
func sensorRows(card string, logs []Log) []sensorRow {
	rows := []sensorRow{}
	for _, l := range logs {
		for _, ch := range l.Channels {
			for i, v := range ch.Values {
				if ch.Valid == nil || ch.Valid[i] {
					rows = append(rows, sensorRow{card, l.Mode, unlessEmpty(l.Protocol), l.Repeat, l.ID, unlessEmpty(l.FramesRunID),
						ch.Key, ch.Unit, unlessEmpty(ch.MeasuredAt), l.TimesNS[i], v})
				}
			}
		}
	}
	return rows
}

// writeSensors writes a sensors file and returns its content.
func writeSensors(t rapid.TB, dir string, logs []Log) []byte {
	a, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	s, err := a.Begin("spring")
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := s.Abandon(); err != nil {
			t.Error(err)
		}
	}()
	w, err := s.Sensors("heron_x")
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range logs {
		if err := w.Write(l); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if got, want := w.rows, int64(len(sensorRows("heron_x", logs))); got != want {
		t.Fatalf("%d rows are counted, want %d", got, want)
	}
	content, err := os.ReadFile(filepath.Join(s.edition(), "sensors-heron_x.parquet"))
	if err != nil {
		t.Fatal(err)
	}
	return content
}

// checkSensors reads a sensors file by an independent library and holds every row, and the footer, against the logs.
func checkSensors(t rapid.TB, content []byte, logs []Log) {
	want := sensorRows("heron_x", logs)
	got, err := parquet.Read[sensorRow](bytes.NewReader(content), int64(len(content)))
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != len(want) {
		t.Fatalf("%d rows, want %d", len(got), len(want))
	}
	for i, w := range want {
		g := got[i]
		same := g.Card == w.Card && g.Mode == w.Mode && equalPointers(g.Protocol, w.Protocol) && g.Repeat == w.Repeat && g.RunID == w.RunID
		same = same && equalPointers(g.Frames, w.Frames) && g.Channel == w.Channel && g.Unit == w.Unit && equalPointers(g.At, w.At)
		same = same && g.TimeNS == w.TimeNS && math.Float64bits(g.Value) == math.Float64bits(w.Value)
		if !same {
			t.Fatalf("row %d:\n%s", i, cmp.Diff(w, g))
		}
	}
	checkSensorsFooter(t, openIndependently(t, content).Metadata(), logs)
}

func drawLog(t *rapid.T) Log {
	text := rapid.OneOf(rapid.StringN(1, 20, -1), rapid.SampledFrom([]string{"core", "µ", "\x00", "a,b\n\"c\"", strings.Repeat("x", 300)}))
	maybe := rapid.OneOf(rapid.Just(""), text)
	l := Log{Mode: text.Draw(t, "mode"), Protocol: maybe.Draw(t, "protocol"), Repeat: rapid.Int32Range(1, math.MaxInt32).Draw(t, "repeat"),
		ID: text.Draw(t, "id"), FramesRunID: maybe.Draw(t, "frames")}
	if l.Protocol == "" && l.FramesRunID == "" {
		l.Protocol = "half_hour"
	}
	l.TimesNS = drawWhole(t)
	n := len(l.TimesNS)
	keys := rapid.SliceOfNDistinct(text, 1, 6, rapid.ID).Draw(t, "keys")
	for _, key := range keys {
		ch := Channel{Key: key, Unit: rapid.SampledFrom([]string{"C", "W", ""}).Draw(t, "unit"), Values: make([]float64, n),
			MeasuredAt: rapid.SampledFrom([]string{"", "", "wall", "in line"}).Draw(t, "at")}
		if rapid.Bool().Draw(t, "absent") {
			ch.Valid = validity(t, n)
		}
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed of values"), 3))
		for i := range ch.Values {
			ch.Values[i] = math.Round(1000*r.NormFloat64()) / 10
			switch {
			case ch.Valid != nil && !ch.Valid[i]:
				ch.Values[i] = []float64{nan, math.Inf(1), 0}[r.IntN(3)] // of no account
			case r.IntN(50) == 0:
				ch.Values[i] = []float64{0, math.Copysign(0, -1), math.MaxFloat64, -math.SmallestNonzeroFloat64}[r.IntN(4)]
			}
		}
		l.Channels = append(l.Channels, ch)
	}
	if len(sensorRows("", []Log{l})) == 0 {
		l.Channels[0].Valid, l.Channels[0].Values = nil, make([]float64, n)
	}
	return l
}

func TestSensorsRoundTrip(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		logs := make([]Log, rapid.IntRange(0, 3).Draw(t, "logs"))
		for i := range logs {
			logs[i] = drawLog(t)
		}
		content := writeSensors(t, dir, logs)
		checkSensors(t, content, logs)
		checkSensorsByArrow(t, content, logs)
	})
}

// longLog has several channels that begin and end anywhere in a page; of some pages all texts of a column are null.
func longLog(rows int) Log {
	l := Log{Mode: "stock", Protocol: "half_hour", Repeat: 2, ID: "00112233445566aa", TimesNS: make([]int64, rows)}
	for i := range l.TimesNS {
		l.TimesNS[i] = int64(i)*1e8 + int64(i*7919%10007)*1e3 - 1e9
	}
	for c, at := range []string{"", "", "", "wall", "reported chip", "wall"} {
		ch := Channel{Key: fmt.Sprintf("c%d", c), Unit: []string{"C", "W", "C"}[c%3], MeasuredAt: at, Values: make([]float64, rows), Valid: make([]bool, rows)}
		for i := range ch.Values {
			ch.Values[i], ch.Valid[i] = float64(i%1009)/8-20, c != 3 && (i*i+c)%7 != 3
		}
		l.Channels = append(l.Channels, ch)
	}
	l.Channels[0].Valid = nil
	return l
}

// Logs of more than a page, by a row and by pages; the writer keeps no more than a page of one.
func TestSensorsPages(t *testing.T) {
	for _, rows := range []int{pageRows / 6, pageRows/4 + 1, pageRows / 2} {
		logs := []Log{longLog(rows), longLog(10)}
		content := writeSensors(t, t.TempDir(), logs)
		checkSensors(t, content, logs)
		checkSensorsByArrow(t, content, logs)
	}
	s := begin(t, opened(t, t.TempDir()))
	w, err := s.Sensors("heron_x")
	if err != nil {
		t.Fatal(err)
	}
	l := longLog(pageRows)
	for range 2 {
		if err := w.Write(l); err != nil {
			t.Fatal(err)
		}
	}
	// A page of eight bytes a row, twice at most for how slices grow.
	if got := max(8*cap(w.scratch), cap(w.pages.plain), cap(w.pages.packed)); got > 2*8*pageRows+4096 {
		t.Errorf("a buffer of %d bytes", got)
	}
	if err := w.Close(); err != nil {
		t.Error(err)
	}
}

// The greatest number of channels, whose indices fill a byte.
func TestSensorsManyChannels(t *testing.T) {
	l := Log{Mode: "stock", Protocol: "half_hour", Repeat: 1, ID: "aa", TimesNS: []int64{1, 2}}
	for i := range mostChannels {
		l.Channels = append(l.Channels, Channel{Key: fmt.Sprintf("c%d", i), Unit: "C", Values: []float64{float64(i), -float64(i)}})
	}
	checkSensors(t, writeSensors(t, t.TempDir(), []Log{l}), []Log{l})
}

func TestSensorsBytesAreStable(t *testing.T) {
	logs := append(sampleLogs(), longLog(5000))
	first := writeSensors(t, t.TempDir(), logs)
	for range 9 {
		if !bytes.Equal(first, writeSensors(t, t.TempDir(), logs)) {
			t.Fatal("the same logs gave other bytes")
		}
	}
}

func TestSensorsRefuse(t *testing.T) {
	for _, tt := range []struct {
		name   string
		change func(*Log)
		want   string
	}{
		{"no channels", func(l *Log) { l.Channels = nil }, "no channel has a value"},
		{"no rows", func(l *Log) { l.TimesNS, l.Channels = nil, []Channel{{Key: "core"}} }, "no channel has a value"},
		{"no value", func(l *Log) { l.Channels = l.Channels[2:] }, "no channel has a value"},
		{"too many channels", func(l *Log) { l.Channels = make([]Channel, mostChannels+1) }, "257 channels, at most 256 are written"},
		{"no id", func(l *Log) { l.ID = "" }, "the run_id is empty"},
		{"of nothing", func(l *Log) { l.Protocol = "" }, "neither of a soak nor of a pass"},
		{"no repeat", func(l *Log) { l.Repeat = 0 }, "repeat 0, they count from 1"},
		{"mode", func(l *Log) { l.Mode = "\xff" }, `"\xff" is not UTF-8`},
		{"key", func(l *Log) { l.Channels[0].Key = "" }, `channel "": it has no key`},
		{"unit", func(l *Log) { l.Channels[0].Unit = "\xb0C" }, `channel "core": "\xb0C" is not UTF-8`},
		{"twice", func(l *Log) { l.Channels[1].Key = "core" }, `channel "core" is there twice`},
		{"values", func(l *Log) { l.Channels[0].Values = []float64{1, 2} }, `channel "core": 2 values for 3 times`},
		{"validity", func(l *Log) { l.Channels[1].Valid = []bool{true} }, `channel "power": it is said of 1 values whether they are valid, not of 3`},
		{"NaN", func(l *Log) { l.Channels[1].Valid = nil }, `channel "power": row 1 is NaN`},
		{"infinity", func(l *Log) { l.Channels[0].Values[2] = math.Inf(-1) }, `channel "core": row 2 is -Inf`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := begin(t, opened(t, t.TempDir()))
			w, err := s.Sensors("heron_x")
			if err != nil {
				t.Fatal(err)
			}
			good, bad := sampleLogs()[0], sampleLogs()[0]
			if err := w.Write(good); err != nil {
				t.Fatal(err)
			}
			tt.change(&bad)
			first := w.Write(bad)
			if first == nil || !strings.Contains(first.Error(), tt.want) || !strings.Contains(first.Error(), "sensors-heron_x.parquet") {
				t.Errorf("error %v, want %s", first, tt.want)
			}
			// The error stays: the file is not completed, and nothing is published without it.
			if err := w.Write(good); err != first {
				t.Errorf("then %v", err)
			}
			if err := w.Close(); err != first {
				t.Errorf("on closing %v", err)
			}
			if left := list(t, s.edition()); len(left) != 0 {
				t.Errorf("left %q", left)
			}
			if _, err := s.Publish(t.Context(), editionOne, origin); err == nil {
				t.Error("published")
			}
		})
	}
}

func TestSensorsRefuseNames(t *testing.T) {
	s := begin(t, opened(t, t.TempDir()))
	for _, card := range []string{"", "..", "a/b", "A", "nul", "a b", strings.Repeat("x", 41)} {
		if w, err := s.Sensors(card); err == nil {
			t.Errorf("card %q is taken", card)
			_ = w.Close()
		}
	}
	w, err := s.Sensors("heron_x")
	if err != nil {
		t.Fatal(err)
	}
	if second, err := s.Sensors("heron_x"); err == nil {
		t.Error("a second file of one card")
		_ = second.Close()
	}
	if _, err := s.Publish(t.Context(), editionOne, origin); err == nil {
		t.Error("published with an open file")
	}
	if err := w.Close(); err == nil {
		t.Error("closed into an edition that failed")
	}
	if err := w.Write(sampleLogs()[0]); err == nil {
		t.Error("written after closing")
	}
}

// A disk that fills up anywhere in the file is an error of Write or Close.
func TestSensorsWriteFails(t *testing.T) {
	logs := []Log{longLog(1000), longLog(1000)}
	whole := len(writeSensors(t, t.TempDir(), logs))
	for limit := 0; limit < whole; limit += 97 {
		s := begin(t, opened(t, t.TempDir()))
		w, err := s.Sensors("heron_x")
		if err != nil {
			t.Fatal(err)
		}
		w.out.buf.Reset(&shortDisk{left: limit})
		if err := w.out.buf.Flush(); err != nil {
			t.Fatal(err)
		}
		for _, l := range logs {
			_ = w.Write(l) // Close returns it
		}
		if err := w.Close(); err == nil {
			t.Fatalf("no error with room for %d of %d bytes", limit, whole)
		}
	}
}
