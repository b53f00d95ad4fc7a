package text

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/rigslate/rigslate/plan/finding"
	"pgregory.net/rapid"
)

// logged is all that came of a log; null readings are NaN.
type logged struct {
	times    []int64
	values   [][]float64
	stats    Stats
	findings finding.List
	err      error
}

func readLog(t testing.TB, data []byte, l Layout) (o logged) {
	t.Helper()
	r := NewReader()
	if err := r.Reset(bytes.NewReader(data), "file", l); err != nil {
		t.Fatal(err)
	}
	o.values = make([][]float64, len(l.Extra))
	for {
		var b *Block
		if b, o.err = r.Next(); o.err != nil {
			break
		}
		if b.FrameNS != nil || len(b.TimeNS) != b.Rows || b.Rows == 0 {
			t.Fatalf("block of %d rows, %d times, %d frames", b.Rows, len(b.TimeNS), len(b.FrameNS))
		}
		o.times = append(o.times, b.TimeNS...)
		for i, v := range b.Extra {
			nulls := 0
			for j, ok := range v.Valid {
				x := math.NaN()
				if ok {
					x = v.F[j]
				} else {
					nulls++
				}
				o.values[i] = append(o.values[i], x)
			}
			if nulls != v.Nulls {
				t.Fatalf("%d nulls counted, %d there", v.Nulls, nulls)
			}
		}
	}
	o.stats, o.findings = r.Stats(), r.Findings()
	return o
}

func sampled(unit Unit, form string, extra ...Extra) Layout {
	return Layout{Sample: &Sample{Column{Name: "t", Unit: unit}, form}, Extra: extra}
}

func reading(name string) Extra { return Extra{Key: name, Column: Column{Name: name}} }

// Every row is a sample, the first one too, however its time is written.
func TestSampleTimes(t *testing.T) {
	for name, c := range map[string]struct {
		unit Unit
		form string
		text string
		want []int64 // from the first sample
	}{
		"seconds":      {Seconds, "", "0\n0.5\n-0\n1.5", []int64{0, 500_000_000, 1_500_000_000}},
		"milliseconds": {Milliseconds, "", "-1\n0\n2.5", []int64{0, 1_000_000, 3_500_000}},
		"minutes":      {Minutes, "", "0\n0.5\n1\n29.9999999999", []int64{0, 30e9, 60e9, 1_799_999_999_994}},
		"rfc3339":      {None, "rfc3339", "2027-03-14T15:09:26Z\n2027-03-14T16:09:26.5+01:00\n2027-03-14T15:09:27-00:00", []int64{0, 5e8, 1e9}},
		"plain":        {None, "YYYY-MM-DD hh:mm:ss", "2027-02-28 23:59:59.250\n2027-03-01 00:00:00", []int64{0, 750_000_000}},
		"T":            {None, "YYYY-MM-DDThh:mm:ss", "2027-02-28T23:59:59\n2027-02-28T23:59:59.001", []int64{0, 1_000_000}},
		"slashes":      {None, "YYYY/MM/DD hh:mm:ss", "2027/02/03 01:02:03\n2027/02/03 01:02:04", []int64{0, 1e9}},
		"day first":    {None, "DD.MM.YYYY hh:mm:ss", "01.02.2027 10:00:00\n02.02.2027 10:00:00", []int64{0, 86400e9}},
		"day slash":    {None, "DD/MM/YYYY hh:mm:ss", "01/02/2027 10:00:00\n02/02/2027 10:00:00", []int64{0, 86400e9}},
		"month first":  {None, "MM/DD/YYYY hh:mm:ss", "01/02/2027 10:00:00\n02/02/2027 10:00:00", []int64{0, 31 * 86400e9}},
	} {
		got := readLog(t, []byte("t\n"+c.text+"\n"), sampled(c.unit, c.form))
		if got.err != io.EOF || len(got.times) == 0 {
			t.Errorf("%s: %v, %+v", name, got.err, got.findings)
			continue
		}
		for i, at := range slices.Backward(got.times) {
			got.times[i] = at - got.times[0]
		}
		if !slices.Equal(got.times, c.want) {
			t.Errorf("%s: %v, want %v", name, got.times, c.want)
		}
		if got.stats.ElapsedNS != c.want[len(c.want)-1] || got.stats.Rows != len(c.want) {
			t.Errorf("%s: %+v", name, got.stats)
		}
	}
}

func TestFormsParseTheirExample(t *testing.T) {
	want := time.Date(2027, 3, 14, 15, 9, 26, 0, time.UTC).UnixNano()
	for _, name := range Forms() {
		if got, v := dated([]byte(example(name)), name); v != fine || got != want {
			t.Errorf("%s: %q reads as %d (%v)", name, example(name), got, v)
		}
	}
}

// A row whose time cannot be is left out, and said with line and column; what follows is held against the last sample kept.
func TestTimesThatCannotBe(t *testing.T) {
	for _, c := range []struct {
		unit          Unit
		form, text    string
		summary, said string
		rows          int
	}{
		{Seconds, "", "1,2\n1,1.5\n1,3", sayStampBack, `found "1.5" is 500ms before that of the last sample kept`, 2},
		{Seconds, "", "1,2\n1,2.0\n1,3", sayTimeSame, `found "2.0"`, 2},
		{Seconds, "", "1,2\n1,now\n1,3", sayStampForm, `found "now"`, 2},
		{Seconds, "", "1,2\n1,\n1,3", sayStampForm, "found nothing", 2},
		{Minutes, "", "1,2\n1,1e9\n1,3", sayStampFar, `found "1e9" in min`, 2},
		{None, "YYYY-MM-DD hh:mm:ss", "1,2027-01-01 00:00:00\n1,01.02.2027 00:00:00", sayDateForm, `found "01.02.2027 00:00:00"`, 1},
		{None, "rfc3339", "1,2027-01-01T00:00:00Z\n1,1900-01-01T00:00:00Z", sayStampFar, `in years from 1970 to 2200`, 1},
	} {
		l := sampled(c.unit, c.form, reading("x"))
		got := readLog(t, []byte("x,t\n"+c.text+"\n"), l)
		if got.err != io.EOF || len(got.times) != c.rows || got.stats.BadLines != 1 || len(got.findings) != 1 {
			t.Errorf("%q: %v, %d rows, %+v", c.text, got.err, len(got.times), got.findings)
			continue
		}
		if f := got.findings[0]; f.Summary != c.summary || !strings.Contains(f.Detail, c.said) || f.Place.Line != 3 || f.Place.Column != 3 {
			t.Errorf("%q: %d:%d %s: %s", c.text, f.Place.Line, f.Place.Column, f.Summary, f.Detail)
		}
	}
	got := readLog(t, []byte("x,t\n1,later\n"), sampled(Seconds, "", reading("x")))
	if !errors.Is(got.err, ErrNoFrames) || !got.findings.HasErrors() {
		t.Errorf("no row: %v, %+v", got.err, got.findings)
	}
	if got := readLog(t, []byte("x,t\n"), sampled(Seconds, "")); !errors.Is(got.err, ErrNoFrames) || got.findings[0].Summary != sayNoSamples {
		t.Errorf("header only: %v, %+v", got.err, got.findings)
	}
}

// One channel's reading does not take another's with it: empty is absent without a word, words are said, and what cannot be converted is
// said with the reason. A reading that needs another is absent where that is.
func TestReadingsAreAbsentOneByOne(t *testing.T) {
	double := reading("a")
	double.Convert = func(v, _ float64) (float64, string) {
		if v < 0 {
			return 0, "below 0"
		}
		return 2 * v, ""
	}
	plus := reading("b")
	plus.With, plus.Convert = "a", func(v, with float64) (float64, string) { return v + with, "" }
	endless := reading("c")
	endless.Convert = func(v, _ float64) (float64, string) { return v / 0, "" }
	got := readLog(t, []byte("b,t,a,c\n1,0,10,\n1,1,,\n1,2,-5,\n,3,x,\n1,4,1,7\n"), sampled(Seconds, "", double, plus, endless))
	if got.err != io.EOF || fmt.Sprint(got.values) != "[[20 NaN NaN NaN 2] [21 NaN NaN NaN 3] [NaN NaN NaN NaN NaN]]" {
		t.Errorf("%v: %v", got.err, got.values)
	}
	var said []string
	for _, f := range got.findings {
		said = append(said, fmt.Sprintf("%d:%d %s: %s", f.Place.Line, f.Place.Column, f.Summary, f.Detail))
	}
	want := []string{"4:5 " + sayRefused + `: found "-5": below 0`, "5:4 " + sayReading + `: found "x"`, "6:7 " + sayRefused + `: found "7": it has no finite value`}
	if !slices.Equal(said, want) || got.stats.BadCells != 3 {
		t.Errorf("got %q, want %q, %d bad", said, want, got.stats.BadCells)
	}
}

func TestSampleLayoutsThatCannotBeUsed(t *testing.T) {
	convert := func(v, _ float64) (float64, string) { return v, "" }
	x := Extra{Key: "x", Column: Column{Name: "x"}, Convert: convert}
	for says, l := range map[string]Layout{
		"both a sample and a frame":                    {Sample: &Sample{Column: Column{Name: "t", Unit: Seconds}}, Timestamp: &Column{Name: "t", Unit: Seconds}},
		`"t" has neither a unit of time nor a form`:    sampled(None, ""),
		`"t" has both a unit and a form`:               sampled(Seconds, "rfc3339"),
		`no form of date and time "YY"; there are rfc`: sampled(None, "YY"),
		`"t" has no unit of time`:                      {Timestamp: &Column{Name: "t", Unit: Minutes}},
		`the extra "x" cannot be converted`:            {Timestamp: &Column{Name: "t", Unit: Seconds}, Extra: []Extra{x}},
		`converted with "y", which is none that can`:   sampled(Seconds, "", Extra{Key: "x", Column: x.Column, Convert: convert, With: "y"}),
		`converted with "x", which is none that can`:   sampled(Seconds, "", Extra{Key: "x", Column: x.Column, Convert: convert, With: "x"}),
	} {
		if err := NewReader().Reset(nil, "file", l); !errors.Is(err, ErrLayout) || !strings.Contains(err.Error(), says) {
			t.Errorf("want %q, got %v", says, err)
		}
	}
}

// Minutes as written come to the nanoseconds that seconds of the same time do.
func TestMinutesAgreeWithSeconds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		millionths := rapid.Int64Range(-1e12, 1e12).Draw(t, "millionths of a minute") // 60 000 ns each
		sign := ""
		if millionths < 0 {
			sign = "-"
		}
		whole := max(millionths, -millionths)
		got, v := elapsed(fmt.Appendf(nil, "%s%d.%06d", sign, whole/1e6, whole%1e6), '.', Minutes)
		if v != fine || got != millionths*60_000 {
			t.Fatalf("%d millionths are %d ns (%v)", millionths, got, v)
		}
	})
}

// sampleLayouts are what the fuzzer reads every log as.
var sampleLayouts = []Layout{
	sampled(Seconds, "", reading("a"), reading("b")),
	{Delimiter: ";", Decimal: ',', Comment: "#", Sample: &Sample{Column: Column{Index: 1, Unit: Minutes}}, Extra: []Extra{{Key: "a", Column: Column{Index: 2}}}},
	{NoHeader: true, Sample: &Sample{Column{Index: 1}, "rfc3339"}, Extra: []Extra{
		{Key: "mv", Column: Column{Index: 2}, With: "cold", Convert: func(v, with float64) (float64, string) { return v + with, "" }},
		{Key: "cold", Column: Column{Index: 3}, Convert: func(v, _ float64) (float64, string) { return v / 1e300, negative(v) }}}},
	{Delimiter: "\t", SkipLines: 1, KeepRows: &Filter{Column{Index: 2}, "on"}, Sample: &Sample{Column{Index: 1}, "DD.MM.YYYY hh:mm:ss"}},
}

func FuzzSamples(f *testing.F) {
	for i := range sampleLayouts {
		for _, s := range []string{"", "t,a,b\n0,1,2\n0.5,,x\n0.5,1,1\n0.25,1,1\n", "# c\nt;a\n0;1,5\n0,5;2\n",
			"2027-03-14T15:09:26Z,1.5,22\n2027-03-14T15:09:27Z,2,\n2027-03-14T15:09:28.5+01:00,2,-3\n", "skipped\nt\ton\n01.02.2027 10:00:00\ton\n02.02.2027 10:00:00,5\ton\n"} {
			f.Add([]byte(s), byte(i))
		}
	}
	f.Fuzz(func(t *testing.T, data []byte, which byte) {
		o := readLog(t, data, sampleLayouts[int(which)%len(sampleLayouts)])
		s := o.stats
		if o.err != io.EOF && !errors.Is(o.err, ErrNoFrames) && !errors.Is(o.err, ErrHeader) && !errors.Is(o.err, ErrTooLarge) {
			t.Fatal(o.err)
		}
		header := min(len(s.Header), 1)
		if sum := s.SkippedLines + s.CommentLines + s.BlankLines + header + s.Rows + s.BadLines + s.FilteredRows; s.Lines != sum &&
			(o.err == io.EOF || errors.Is(o.err, ErrNoFrames)) {
			t.Errorf("%d lines, accounted for %d: %+v", s.Lines, sum, s)
		}
		if (o.err == io.EOF) != (s.Rows > 0 && o.err != ErrTooLarge) && o.err != ErrTooLarge || o.err == io.EOF && len(o.times) != s.Rows {
			t.Errorf("%v: %d times, %d rows", o.err, len(o.times), s.Rows)
		}
		for i, at := range o.times {
			if i > 0 && at <= o.times[i-1] {
				t.Errorf("time %d after %d", at, o.times[i-1])
			}
		}
		for _, v := range o.values {
			if len(v) != len(o.times) || slices.ContainsFunc(v, func(x float64) bool { return math.IsInf(x, 0) }) {
				t.Errorf("%d readings of %d samples: %v", len(v), len(o.times), v)
			}
		}
		for _, fd := range o.findings {
			if p := fd.Place; p.File != "file" || p.Line < 0 || p.Line > s.Lines+1 || p.Column < 0 || p.Column > 0 && p.EndColumn <= p.Column {
				t.Errorf("finding at %+v of %d lines", p, s.Lines)
			}
		}
		if s.BadLines+s.BadCells > 0 && len(o.findings) == 0 {
			t.Error("something bad that nothing is said of")
		}
	})
}

func negative(v float64) string {
	if v < 0 {
		return "below 0"
	}
	return ""
}
