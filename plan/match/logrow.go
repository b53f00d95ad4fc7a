package match

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/rigslate/rigslate/plan/finding"
)

// row reads the fields of one row. What it says about cells is checked against the plan later.
func (r *logReader) row(fields []string, spans []span) {
	row := LogRow{Outcome: OK}
	row.Place = finding.Place{File: r.name, Line: int(spans[0].line), Source: r.line(int(spans[0].line))}
	if len(fields) != len(r.order) {
		r.list.Add(finding.Error, row.Place, "A row of a bench log has another number of fields than its header",
			fmt.Sprintf("%d fields, the header has %d.", len(fields), len(r.order)), "Quote fields that hold the delimiter.")
		return
	}
	good := true
	for i, c := range r.order {
		text := strings.TrimSpace(fields[i])
		if c < 0 || text == "" {
			continue
		}
		row.columns[c] = spans[i]
		if !utf8.ValidString(text) {
			r.bad(spans[i], text, "is not UTF-8", "Save the log as UTF-8.")
			good = false
			continue
		}
		if why, mend := row.set(c, text); why != "" {
			r.bad(spans[i], text, why, mend)
			good = false
		}
	}
	if row.File == "" && row.Outcome == OK && good {
		r.list.Add(finding.Error, row.Place, "A pass of the bench log has no file",
			"It ended well, yet no file is named.", "Name its file, or its outcome: crash, hang, artefacts or unsupported.")
		good = false
	}
	if good {
		r.rows = append(r.rows, row)
	}
}

func (r *logReader) bad(s span, text, why, mend string) {
	r.list.Add(finding.Error, r.place(s), "A field of a bench log cannot be used", fmt.Sprintf("%q %s.", text, why), mend)
}

// set takes one field that is not empty; why says what is wrong with it.
func (row *LogRow) set(c column, text string) (why, mend string) {
	switch c {
	case colFile:
		if detail, mend := wrongPath(text); detail != "" {
			return "is not a path in the captures' folder", mend
		}
		row.File = text
	case colRepeat:
		n, length, ok := repeatAt(text)
		if !ok || length != len(text) {
			return fmt.Sprintf("is no number from 1 to %d", MaxRepeat), "Write the number of the pass within its cell."
		}
		row.Repeat = n
	case colStarted:
		t, err := time.Parse(time.RFC3339, text)
		if err != nil {
			return "is not a time", "Write it as 2027-03-04T14:00:00Z or 2027-03-04T15:00:00+01:00."
		}
		row.Started = t.UTC()
	case colAmbient:
		v, ok := decimal(text)
		if !ok {
			return "is not a number of °C", "Write it as 21.5, or leave it empty."
		}
		if v < coldest || v > hottest {
			return "is no temperature of a room", fmt.Sprintf("Write °C, from %d to %d, or leave it empty.", coldest, hottest)
		}
		row.AmbientC = &v
	case colOutcome:
		if !slices.Contains(outcomes, text) {
			mend := "Write ok, crash, hang, artefacts or unsupported."
			if near := nearest(text, outcomes); near != "" {
				mend = fmt.Sprintf("Did you mean %s?", near)
			}
			return "is no outcome", mend
		}
		row.Outcome = text
	default:
		*row.text(c) = text
	}
	return "", ""
}

func (row *LogRow) text(c column) *string {
	switch c {
	case colCard:
		return &row.Card
	case colMode:
		return &row.Mode
	case colGame:
		return &row.Game
	case colVariant:
		return &row.Variant
	case colResolution:
		return &row.Resolution
	case colLaunch:
		return &row.Launch
	case colSession:
		return &row.Session
	case colDriver:
		return &row.Driver
	case colBuild:
		return &row.Build
	case colFirmware:
		return &row.Firmware
	}
	return &row.Note
}

// A room is between these, °C: beyond them a column was mixed up or a unit is another. Common practice, no source.
const (
	coldest = -60
	hottest = 100
)

// decimal reads a plain decimal number, with a point or a comma: a semicolon or a tab can separate fields just for that comma.
func decimal(text string) (float64, bool) {
	for i := range len(text) {
		if c := text[i]; !isDigit(c) && c != '.' && c != ',' && (i > 0 || c != '-' && c != '+') {
			return 0, false
		}
	}
	if strings.Contains(text, ".") && strings.Contains(text, ",") {
		return 0, false
	}
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	return v, err == nil
}
