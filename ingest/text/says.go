package text

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/rigslate/rigslate/plan/finding"
)

// The summaries, each the same for every finding of its kind.
const (
	sayWidth      = "The line has the wrong number of fields"
	sayNUL        = "The line holds a NUL byte"
	sayOpenQuote  = "A quote is not closed on its line"
	sayBareQuote  = "A quote stands inside a field that is not quoted"
	sayAfterQuote = "Something follows a closing quote"
	sayFrameForm  = "The frame time is not a decimal numeral"
	sayFrameZero  = "The frame time is not above zero"
	sayFrameLong  = "The frame time is longer than an hour"
	sayStampForm  = "The timestamp is not a decimal numeral"
	sayStampFar   = "The timestamp is out of range"
	sayStampBack  = "The timestamp goes back"
	sayStampSame  = "The timestamp does not advance"
	sayCell       = "An extra value is not a decimal numeral; it is left out"
	sayMore       = "More lines are wrong than are listed"

	sayDateForm = "The time is not of the stated form"
	sayTimeSame = "The time is that of a sample before"
	sayRefused  = "A reading cannot be turned into its unit; it is left out"
	sayReading  = "A reading is not a decimal numeral; it is left out"

	sayNoName      = "The header has no such column"
	sayTwice       = "The header has the column twice"
	sayNoIndex     = "The file has no column of that number"
	sayTooWide     = "The file has too many columns"
	sayHeaderUTF   = "The header is not valid in its encoding"
	sayMark        = "The byte order mark contradicts the stated encoding"
	sayLongLine    = "A line is longer than 1 MiB"
	sayLasting     = "The capture lasts longer than a month"
	sayEmpty       = "The file is empty"
	sayNoFrames    = "The file has no frames"
	sayNoSamples   = "The file has no samples"
	sayAllBad      = "No line of the file can be read"
	sayAllFiltered = "No row is left after keep_rows"
)

// sourceBytes is how much of a long line a finding keeps.
const sourceBytes = 2048

// bad counts a line that cannot be used, says what is wrong with the field, and stops the clock.
func (r *Reader) bad(line []byte, f field, summary, detail, mend string) {
	r.stats.BadLines++
	r.clock.running = false
	if r.listed == maxListed {
		r.unlisted++
		return
	}
	r.listed++
	r.findings.Add(finding.Warning, r.place(line, f.from, f.to), summary, detail, mend)
}

func (r *Reader) badCell(line []byte, f field) {
	r.stats.BadCells++
	if r.cells == maxListed {
		r.unlisted++
		return
	}
	r.cells++
	summary := sayCell
	if r.layout.Sample != nil {
		summary = sayReading
	}
	r.findings.Add(finding.Warning, r.place(line, f.from, f.to), summary, r.found(f), r.numeralMend(f))
}

// place points at the bytes from, to of the line just read; its columns count characters.
func (r *Reader) place(line []byte, from, to int) finding.Place {
	at := 1 + utf8.RuneCount(line[:from])
	return finding.Place{
		File: r.file, Line: r.stats.Lines, Column: at, EndColumn: at + max(1, utf8.RuneCount(line[from:to])), Source: r.source(line),
	}
}

// source is the line as text, its end left out if it is long. Every byte that is not UTF-8 becomes one sign, so that columns
// stay true.
func (r *Reader) source(line []byte) string {
	return valid(line[:min(len(line), sourceBytes)])
}

func valid(b []byte) string {
	if utf8.Valid(b) {
		return string(b)
	}
	return string([]rune(string(b)))
}

// found quotes a field as it stands, cut if it is long.
func (r *Reader) found(f field) string {
	const most = 60
	if len(f.text) == 0 {
		return "found nothing"
	}
	if len(f.text) > most {
		return fmt.Sprintf("found %q…", valid(f.text[:most]))
	}
	return fmt.Sprintf("found %q", valid(f.text))
}

// numeralMend says which setting would make sense of the field, if one would.
func (r *Reader) numeralMend(f field) string {
	other := byte(',')
	if r.decimal == ',' {
		other = '.'
	}
	if _, ok := split(f.text, other); ok && bytes.IndexByte(f.text, other) >= 0 && other != r.delim {
		return fmt.Sprintf("if %q is the decimal sign, write decimal = %q", other, string(other))
	}
	return "expected is a number such as 16" + string(r.decimal) + "667"
}

// widthMend says what makes a line of comma-separated text too wide most often.
func (r *Reader) widthMend() string {
	if r.delim == ',' && r.decimal == '.' {
		return "if commas are decimal signs here, write decimal = \",\" and the delimiter that the file has"
	}
	return ""
}

func (r *Reader) tooLong() error {
	r.findings.Add(finding.Error, finding.Place{File: r.file, Line: r.stats.Lines + 1}, sayLongLine, "", "is it a text file?")
	return ErrTooLarge
}

func (r *Reader) tooLasting() error {
	r.findings.Add(finding.Error, finding.Place{File: r.file}, sayLasting,
		fmt.Sprintf("the first %d frames make %d s", r.stats.Frames, r.stats.TotalNS/1e9), "check the unit")
	return ErrTooLarge
}

func (r *Reader) noFrames() {
	s := &r.stats
	at := finding.Place{File: r.file}
	switch {
	case s.Lines == 0:
		r.findings.Add(finding.Error, at, sayEmpty, "", "")
	case s.Rows == 0 && s.BadLines == 0 && s.FilteredRows > 0:
		r.findings.Add(finding.Error, at, sayAllFiltered,
			fmt.Sprintf("none of %d has %q in %v", s.FilteredRows, r.layout.KeepRows.Equals, r.layout.KeepRows.Column), "")
	case s.Rows == 0 && s.BadLines > 0:
		r.findings.Add(finding.Error, at, sayAllBad, fmt.Sprintf("%d bad lines", s.BadLines), "")
	default:
		summary := sayNoFrames
		if r.layout.Sample != nil {
			summary = sayNoSamples
		}
		r.findings.Add(finding.Error, at, summary, strings.TrimSpace(fmt.Sprintf("it has %d lines", s.Lines)), "")
	}
}
