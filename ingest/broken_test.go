package ingest

import (
	"path/filepath"
	"testing"

	"errors"

	"github.com/rigslate/rigslate/ingest/text"
	"github.com/rigslate/rigslate/plan/finding"
)

// fault is the first finding of a broken file, and what is left of the file.
type fault struct {
	layout  text.Layout
	err     error
	frames  int
	line    int
	column  int
	summary string
}

func broken() map[string]fault {
	byName := frame(ms("time_ms"))
	stamps := stamp(seconds("elapsed_s"))
	both := with(byName, func(l *text.Layout) { c := seconds("elapsed_s"); l.Timestamp = &c })
	const (
		width = "The line has the wrong number of fields"
		form  = "The frame time is not a decimal numeral"
		zero  = "The frame time is not above zero"
		hour  = "The frame time is longer than an hour"
		name  = "The header has no such column"
		read  = "The file cannot be read"
	)
	// where the second of three lines is bad
	second := func(summary string) fault { return fault{byName, nil, 2, 3, 3, summary} }
	return map[string]fault{
		"too-few-fields.csv":          {byName, nil, 2, 3, 2, width},
		"too-many-fields.csv":         {byName, nil, 2, 3, 11, width},
		"last-line-cut-off.csv":       {byName, nil, 2, 4, 2, width},
		"last-numeral-cut-off.csv":    {byName, nil, 2, 4, 3, form},
		"quote-not-closed.csv":        {byName, nil, 2, 3, 1, "A quote is not closed on its line"},
		"quote-inside-bare-field.csv": {byName, nil, 2, 3, 2, "A quote stands inside a field that is not quoted"},
		"something-after-quote.csv":   {byName, nil, 2, 3, 4, "Something follows a closing quote"},
		"nul-byte.csv":                {byName, nil, 2, 3, 2, "The line holds a NUL byte"},

		"frame-time-empty.csv":                   second(form),
		"frame-time-nan.csv":                     second(form),
		"frame-time-infinite.csv":                second(form),
		"frame-time-hexadecimal.csv":             second(form),
		"frame-time-underscore.csv":              second(form),
		"frame-time-grouped.csv":                 second(form),
		"frame-time-two-points.csv":              second(form),
		"frame-time-with-unit.csv":               second(form),
		"frame-time-quoted-blanks.csv":           second(form),
		"frame-time-words.csv":                   second(form),
		"frame-time-zero.csv":                    second(zero),
		"frame-time-below-half-a-nanosecond.csv": second(zero),
		"frame-time-negative.csv":                second(zero),
		"frame-time-beyond-an-hour.csv":          second(hour),
		"frame-time-beyond-an-int64.csv":         second(hour),
		"decimal-comma-not-stated.csv":           {with(byName, func(l *text.Layout) { l.Delimiter = ";" }), nil, 2, 3, 3, form},

		// Of five timestamps the third is bad: one frame before it, one after; none across it.
		"timestamp-goes-back.csv":                   {stamps, nil, 2, 4, 1, "The timestamp goes back"},
		"timestamp-stands-still.csv":                {stamps, nil, 2, 4, 1, "The timestamp does not advance"},
		"timestamp-leaps.csv":                       {stamps, nil, 2, 4, 1, hour},
		"timestamp-words.csv":                       {stamps, nil, 2, 4, 1, "The timestamp is not a decimal numeral"},
		"timestamp-out-of-range.csv":                {stamps, nil, 2, 4, 1, "The timestamp is out of range"},
		"timestamp-goes-back-beside-frame-time.csv": {both, nil, 3, 4, 1, "The timestamp goes back"},

		// 200 ms by frame times: against 203 ms stamped that is 1.48 % off, and 198 against 200 just 1 %.
		"frames-lost.csv":         {both, nil, 3, 0, 0, "Frame times and timestamps disagree: frames were lost"},
		"frames-lost-not-yet.csv": {both, nil, 3, 0, 0, ""},
		"extra-words.csv": {with(byName, func(l *text.Layout) {
			l.Extra = []text.Extra{{Key: "power_w", Column: text.Column{Name: "power_w"}}}
		}), nil, 2, 3, 6, "An extra value is not a decimal numeral; it is left out"},

		"empty.csv":          {byName, ErrNoFrames, 0, 0, 0, "The file is empty"},
		"header-only.csv":    {byName, ErrNoFrames, 0, 0, 0, "The file has no frames"},
		"every-line-bad.csv": {byName, ErrNoFrames, 0, 2, 3, form},
		"one-timestamp.csv":  {stamps, ErrNoFrames, 0, 0, 0, "The file has no frames"},
		"no-row-kept.csv": {with(byName, func(l *text.Layout) {
			l.KeepRows = &text.Filter{Column: text.Column{Name: "process"}, Equals: "fjord"}
		}), ErrNoFrames, 0, 0, 0, "No row is left after keep_rows"},
		"preamble-shorter-than-stated.csv": {with(byName, func(l *text.Layout) { l.SkipLines = 5 }), ErrNoFrames, 0, 0, 0, "The file has no frames"},

		"column-name-misspelt.csv":        {byName, ErrHeader, 0, 1, 0, name},
		"column-name-in-other-case.csv":   {byName, ErrHeader, 0, 1, 0, name},
		"delimiter-other-than-stated.csv": {byName, ErrHeader, 0, 1, 0, name},
		"column-name-twice.csv":           {byName, ErrHeader, 0, 1, 0, "The header has the column twice"},
		"column-number-beyond-header.csv": {frame(text.Column{Index: 3, Unit: text.Milliseconds}), ErrHeader, 0, 1, 0, "The file has no column of that number"},
		"column-number-beyond-first-line.csv": {with(frame(text.Column{Index: 3, Unit: text.Milliseconds}), func(l *text.Layout) { l.NoHeader = true }),
			ErrHeader, 0, 1, 0, "The file has no column of that number"},
		"header-quote-not-closed.csv": {byName, ErrHeader, 0, 1, 1, "A quote is not closed on its line"},
		"header-not-utf8.csv":         {frame(ms("délai_ms")), ErrHeader, 0, 1, 0, "The header is not valid in its encoding"},
		"mark-contradicts-encoding.csv": {with(byName, func(l *text.Layout) { l.Encoding = "utf-8" }), nil, 3, 0, 0,
			"The byte order mark contradicts the stated encoding"},

		"gzip-cut-off.csv.gz":           {byName, ErrUnreadable, 0, 0, 0, read},
		"gzip-checksum-wrong.csv.gz":    {byName, ErrUnreadable, 0, 0, 0, read},
		"gzip-bytes-after-end.csv.gz":   {byName, ErrUnreadable, 0, 0, 0, read},
		"gzip-header-only.csv.gz":       {byName, ErrUnreadable, 0, 0, 0, read},
		"zstd-cut-off.csv.zst":          {byName, ErrUnreadable, 0, 0, 0, read},
		"zstd-checksum-wrong.csv.zst":   {byName, ErrUnreadable, 0, 0, 0, read},
		"zstd-bytes-after-end.csv.zst":  {byName, ErrUnreadable, 0, 0, 0, read},
		"zstd-window-too-large.csv.zst": {byName, ErrUnreadable, 0, 0, 0, read},
	}
}

func TestBroken(t *testing.T) {
	cases := broken()
	everyFile(t, "../testdata/capture/broken", func(name string) bool { _, ok := cases[name]; return ok })
	for name, tc := range cases {
		t.Run(name, func(t *testing.T) {
			c, err := read(t, filepath.Join("../testdata/capture/broken", name), tc.layout)
			if !errors.Is(err, tc.err) || tc.err != nil && c.Record != nil {
				t.Fatalf("error %v, want %v; record %v\n%+v", err, tc.err, c.Record, c.Findings)
			}
			if tc.err == nil && c.Frames != tc.frames {
				t.Errorf("%d frames, want %d", c.Frames, tc.frames)
			}
			if c.Findings.HasErrors() != (tc.err != nil || c.FramesLost) {
				t.Errorf("error %v, findings %+v", err, c.Findings)
			}
			var first finding.Finding
			if len(c.Findings) > 0 {
				first = c.Findings[0]
			}
			if first.Summary != tc.summary || first.Place.Line != tc.line || first.Place.Column != tc.column {
				t.Errorf("got  %d:%d %s (%s)\nwant %d:%d %s", first.Place.Line, first.Place.Column, first.Summary, first.Detail,
					tc.line, tc.column, tc.summary)
			}
			if tc.summary != "" && first.Place.File != name {
				t.Errorf("file %q", first.Place.File)
			}
		})
	}
}

// The mend must name what was meant.
func TestMends(t *testing.T) {
	for name, want := range map[string]string{
		"column-name-misspelt.csv":        `did you mean "tiem_ms"?`,
		"column-name-in-other-case.csv":   `did you mean "Time_MS"?`,
		"delimiter-other-than-stated.csv": `the line holds ';': if that is the delimiter, write delimiter = ";"`,
		"column-name-twice.csv":           "ask for it by place, as in column = 1",
		"decimal-comma-not-stated.csv":    `if ',' is the decimal sign, write decimal = ","`,
		"header-not-utf8.csv":             `name the encoding in text, as in encoding = "windows-1252"`,
	} {
		c, _ := read(t, filepath.Join("../testdata/capture/broken", name), broken()[name].layout)
		if len(c.Findings) == 0 || c.Findings[0].Mend != want {
			t.Errorf("%s: %+v, want mend %s", name, c.Findings, want)
		}
	}
}
