package ingest

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/klauspost/compress/gzip"
	"github.com/klauspost/compress/zstd"
	"github.com/rigslate/rigslate/ingest/text"
)

func inSeconds(channels ...Channel) LogLayout {
	return LogLayout{Text: text.Layout{Sample: &text.Sample{Column: seconds("t")}}, Channels: channels}
}

func channel(name string, unit ChannelUnit) Channel {
	return Channel{Key: name, Column: text.Column{Name: name}, Unit: unit}
}

func readLog(data []byte, l LogLayout) (*Log, error) {
	return NewReader(memory.NewGoAllocator()).ReadLog(context.Background(), inMemory(data), "log.csv", l, io.Discard)
}

// Fixed points of the scales: ice 0 °C, 32 °F, 273.15 K; steam 100 °C, 212 °F, 373.15 K; −40 is the same in both.
func TestUnitsAreConvertedAtTheDoor(t *testing.T) {
	l := inSeconds(channel("c", Celsius), channel("f", Fahrenheit), channel("k", Kelvin), channel("w", Watt), channel("fan", PerMinute),
		channel("db", Decibel), channel("mhz", Megahertz), channel("pct", Percent))
	log, err := readLog([]byte("t,c,f,k,w,fan,db,mhz,pct\n0,0,32,273.15,1,2,3,4,5\n1,100,212,373.15,1,2,3,4,5\n2,-40,-40,233.15,1,2,3,4,5\n"), l)
	if err != nil || len(log.Findings) != 0 {
		t.Fatalf("%v %+v", err, log.Findings)
	}
	for i, want := range [][]float64{{0, 100, -40}, {0, 100, -40}, {0, 100, -40}, {1, 1, 1}, {2, 2, 2}, {3, 3, 3}, {4, 4, 4}, {5, 5, 5}} {
		c := log.Channels[i]
		for j, v := range c.Values {
			if math.Abs(v-want[j]) > 1e-12 || !c.Valid[j] {
				t.Errorf("%s: %v, want %v", c.Key, c.Values, want)
			}
		}
		if c.Absent != 0 || c.Unit != l.Channels[i].Unit.Kept() || c.Key != l.Channels[i].Key {
			t.Errorf("%+v", c)
		}
	}
	if !slices.Equal(log.TimesNS, []int64{0, 1e9, 2e9}) || !log.Start.IsZero() {
		t.Errorf("times %v from %v", log.TimesNS, log.Start)
	}
}

// Absolute zero is −273.15 °C, −459.67 °F, 0 K; what lies below is a wrong unit.
func TestBelowAbsoluteZero(t *testing.T) {
	log, err := readLog([]byte("t,c,f,k\n0,-273.15,-459.67,0\n1,-273.2,-459.7,-0.1\n"),
		inSeconds(channel("c", Celsius), channel("f", Fahrenheit), channel("k", Kelvin)))
	if err != nil || log.BadCells != 3 || len(log.Findings) != 3 {
		t.Fatalf("%v %+v", err, log)
	}
	for i, column := range []int{3, 10, 17} {
		f, c := log.Findings[i], log.Channels[i]
		if f.Place.Line != 3 || f.Place.Column != column || !strings.Contains(f.Detail, "below absolute zero") || f.Place.File != "log.csv" {
			t.Errorf("%+v", f)
		}
		if !slices.Equal(c.Valid, []bool{true, false}) || c.Absent != 1 || c.Values[1] != 0 {
			t.Errorf("%+v", c)
		}
	}
}

// The cold junction is handed on in °C, whatever it is written in, and stands for its row only.
func TestVoltagesGoWithTheirColdJunction(t *testing.T) {
	l := inSeconds(Channel{Key: "stage", Column: text.Column{Name: "mv"}, Unit: Millivolt, Cold: "ends"}, channel("ends", Fahrenheit))
	l.Thermocouple = func(mv, cold float64) (float64, string) { // no thermocouple's: linear, so that it is seen what was handed in
		if mv > 50 {
			return 0, "more than a thermocouple gives"
		}
		return 1000*mv + cold, ""
	}
	log, err := readLog([]byte("t,ends,mv\n0,212,3\n1,,3\n2,32,51\n3,32,\n"), l)
	if err != nil || log.BadCells != 1 || len(log.Findings) != 1 {
		t.Fatalf("%v %+v", err, log)
	}
	c := log.Channels[0]
	if !slices.Equal(c.Values, []float64{3100, 0, 0, 0}) || !slices.Equal(c.Valid, []bool{true, false, false, false}) || c.Unit != Celsius || c.Absent != 3 {
		t.Errorf("%+v", c)
	}
	if f := log.Findings[0]; f.Place.Line != 4 || f.Place.Column != 6 || !strings.Contains(f.Detail, "more than a thermocouple gives") {
		t.Errorf("%+v", f)
	}
}

// Two logs of one soak on two clocks: elapsed, and dated with a clock that is 3 s slow.
func TestClocks(t *testing.T) {
	l := inSeconds(channel("w", Watt))
	l.Offset = -2500 * time.Millisecond
	log, err := readLog([]byte("t,w\n0.5,1\n3,1\n"), l)
	if err != nil || !slices.Equal(log.TimesNS, []int64{-2e9, 5e8}) || !log.Start.IsZero() {
		t.Errorf("%v: %v", err, log.TimesNS)
	}
	l = LogLayout{Channels: l.Channels, Offset: 3 * time.Second,
		Text: text.Layout{Delimiter: ";", Decimal: ',', Sample: &text.Sample{Column: text.Column{Name: "t"}, Form: "DD.MM.YYYY hh:mm:ss"}}}
	log, err = readLog([]byte("t;w\n28.02.2027 23:59:59,5;1,5\n01.03.2027 00:00:01;1\n"), l)
	if want := time.Date(2027, 2, 28, 23, 59, 59, 5e8, time.UTC); err != nil || !log.Start.Equal(want) || !slices.Equal(log.TimesNS, []int64{3e9, 45e8}) {
		t.Errorf("%v: %v from %v", err, log.TimesNS, log.Start)
	}
}

// A log is the same in any encoding and packed or not; the hash is of the bytes on disk.
func TestLogsPackedAndEncoded(t *testing.T) {
	plain := "t,délai_c\r\n0,21.5\r\n1,\r\n2,22\r\n"
	l := inSeconds(Channel{Key: "c", Column: text.Column{Name: "délai_c"}, Unit: Celsius})
	var zipped, zst bytes.Buffer
	z := gzip.NewWriter(&zipped)
	s, err := zstd.NewWriter(&zst)
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range []io.WriteCloser{z, s} {
		if _, err := io.WriteString(w, plain); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
	}
	wide := []byte{0xff, 0xfe}
	for _, u := range utf16.Encode([]rune(plain)) {
		wide = append(wide, byte(u), byte(u>>8))
	}
	for name, c := range map[string]struct {
		data                  []byte
		encoding, compression string
		stated                string
	}{
		"plain":        {[]byte(plain), "utf-8", "", ""},
		"gzip":         {zipped.Bytes(), "utf-8", "gzip", ""},
		"zstd":         {zst.Bytes(), "utf-8", "zstd", ""},
		"utf-16":       {wide, "utf-16le", "", ""},
		"windows-1252": {[]byte(strings.ReplaceAll(plain, "é", "\xe9")), "windows-1252", "", "windows-1252"},
	} {
		l := l
		l.Text.Encoding = c.stated
		log, err := readLog(c.data, l)
		if err != nil || !slices.Equal(log.TimesNS, []int64{0, 1e9, 2e9}) || !slices.Equal(log.Channels[0].Values, []float64{21.5, 0, 22}) {
			t.Errorf("%s: %v %+v", name, err, log)
			continue
		}
		if log.Encoding != c.encoding || log.Compression != c.compression || log.SHA256 != sha256.Sum256(c.data) || log.Bytes != int64(len(c.data)) {
			t.Errorf("%s: %+v", name, log.File)
		}
		if got := log.Channels[0]; !slices.Equal(got.Valid, []bool{true, false, true}) || got.Absent != 1 || len(log.Findings) != 0 {
			t.Errorf("%s: %+v, %+v", name, got, log.Findings)
		}
	}
}

func TestLogsThatCannotBeRead(t *testing.T) {
	w := inSeconds(channel("w", Watt))
	for name, c := range map[string]struct {
		data    string
		layout  LogLayout
		err     error
		summary string
	}{
		"empty":     {"", w, ErrNoFrames, "The file is empty"},
		"no sample": {"t,w\n", w, ErrNoFrames, "The file has no samples"},
		"no column": {"t,power\n0,1\n", w, ErrHeader, "The header has no such column"},
		"cut off":   {"\x1f\x8b\x08", w, ErrUnreadable, "The file cannot be read"},
	} {
		log, err := readLog([]byte(c.data), c.layout)
		if !errors.Is(err, c.err) || !log.Findings.HasErrors() || log.Findings[0].Summary != c.summary || log.TimesNS != nil || log.Channels != nil {
			t.Errorf("%s: %v %+v", name, err, log)
		}
		if log.SHA256 != sha256.Sum256([]byte(c.data)) || !strings.HasPrefix(err.Error(), "read log log.csv: ") {
			t.Errorf("%s: %v, hash of %d bytes", name, err, log.Bytes)
		}
	}
	mv := func(cold string, of func(a, b float64) (float64, string)) LogLayout {
		l := inSeconds(Channel{Key: "v", Column: text.Column{Name: "v"}, Unit: Millivolt, Cold: cold}, channel("w", Watt))
		l.Thermocouple = of
		return l
	}
	some := func(a, b float64) (float64, string) { return a + b, "" }
	for says, l := range map[string]LogLayout{
		"no column of the time is named":        {Channels: w.Channels},
		"no channel is named":                   {Text: w.Text},
		`the channel "w" has no unit`:           inSeconds(channel("w", 0)),
		"nothing turns that into a temperature": mv("w", nil),
		`cold junction; "w" is none`:            mv("w", some),
		`cold junction; "" is none`:             mv("", some),
		"is in W and has no cold junction":      inSeconds(Channel{Key: "w", Column: text.Column{Name: "w"}, Unit: Watt, Cold: "c"}),
		"a clock that is off by 10000h0m0s":     {Text: w.Text, Channels: w.Channels, Offset: 10000 * time.Hour},
		"has no key of its own":                 inSeconds(channel("w", Watt), channel("w", Watt)),
	} {
		if log, err := readLog(nil, l); !errors.Is(err, ErrLayout) || !strings.Contains(err.Error(), says) || len(log.Findings) != 0 {
			t.Errorf("want %q, got %v, %+v", says, err, log.Findings)
		}
	}
}

func TestChannelUnitNames(t *testing.T) {
	names := ChannelUnits()
	if got := strings.Join(names, " "); got != "C F K mV W rpm dB MHz percent" {
		t.Error(got)
	}
	for _, name := range names {
		if u, ok := ChannelUnitNamed(name); !ok || u.String() != name {
			t.Errorf("%s reads as %v", name, u)
		}
	}
	for _, name := range []string{"", "c", "°C", "kW"} {
		if u, ok := ChannelUnitNamed(name); ok {
			t.Errorf("%q reads as %v", name, u)
		}
	}
}

// One Reader serves captures and logs in turn, and neither sees the other.
func TestLogsAndCapturesTakeTurns(t *testing.T) {
	mem := memory.NewCheckedAllocator(memory.NewGoAllocator())
	defer mem.AssertSize(t, 0)
	r := NewReader(mem)
	for range 2 {
		log, err := r.ReadLog(context.Background(), inMemory([]byte("t,w\n5,1\n6,\n")), "log.csv", inSeconds(channel("w", Watt)), nil)
		if err != nil || !slices.Equal(log.TimesNS, []int64{5e9, 6e9}) || log.Channels[0].Absent != 1 {
			t.Errorf("%v %+v", err, log)
		}
		c, err := r.Read(context.Background(), inMemory([]byte("time_ms\n16\n17\n")), "capture.csv", frame(ms("time_ms")), nil)
		if err != nil || !slices.Equal(c.FrameNS(), []int64{16e6, 17e6}) {
			t.Errorf("%v %+v", err, c)
		}
		c.Release()
	}
}

// Every sensor file of real captures, against the standard library's reader.
func TestRealSensorLogs(t *testing.T) {
	files, _ := filepath.Glob("../../shared/captures/*.sensors.csv")
	if len(files) == 0 {
		t.Skip("needs ../shared/captures")
	}
	names := []string{"core_temp_c", "mem_temp_c", "board_power_w", "core_clock_mhz", "mem_clock_mhz", "load_pct"}
	units := []ChannelUnit{Celsius, Celsius, Watt, Megahertz, Megahertz, Percent}
	l := LogLayout{Text: text.Layout{Sample: &text.Sample{Column: seconds("elapsed_s")}}}
	for i, name := range names {
		l.Channels = append(l.Channels, channel(name, units[i]))
	}
	for _, path := range files {
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		l := l
		if strings.Contains(path, "heatsoak") { // which has no such column
			l.Channels = slices.DeleteFunc(slices.Clone(l.Channels), func(c Channel) bool { return c.Key == "mem_temp_c" })
		}
		log, err := NewReader(memory.NewGoAllocator()).ReadLog(context.Background(), f, filepath.Base(path), l, nil)
		f.Close()
		if err != nil || log.BadLines != 0 || log.BadCells != 0 || len(log.Findings) != 0 {
			t.Fatalf("%s: %v %+v", path, err, log.File)
		}
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if len(log.TimesNS) != len(rows)-1 {
			t.Fatalf("%s: %d samples of %d rows", path, len(log.TimesNS), len(rows)-1)
		}
		for i, row := range rows[1:] {
			if s, err := strconv.ParseFloat(row[0], 64); err != nil || math.Abs(float64(log.TimesNS[i])-1e9*s) > 0.5 {
				t.Fatalf("%s: sample %d is at %d ns, written %s", path, i, log.TimesNS[i], row[0])
			}
			for j, c := range log.Channels {
				want := row[1+slices.Index(rows[0][1:], c.Key)]
				if got := fmt.Sprint(c.Values[i]); c.Valid[i] != (want != "") || c.Valid[i] && got != fmt.Sprint(mustFloat(t, want)) {
					t.Fatalf("%s: %s of sample %d is %s (%v), written %q", path, log.Channels[j].Key, i, got, c.Valid[i], want)
				}
			}
		}
	}
}

func mustFloat(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
