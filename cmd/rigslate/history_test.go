package main

import (
	"bytes"
	"encoding/csv"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/rigslate/rigslate/compute"
)

// RFC 4180: lines end in CR LF, fields with commas, quotes and line breaks are quoted, quotes doubled. Text that begins like a formula begins
// with an apostrophe instead (common practice, no source); numbers do not, or a spreadsheet would not add them up.
func TestCSV(t *testing.T) {
	var out bytes.Buffer
	a := &app{stdout: &out}
	err := a.printCSV(table{head: []string{"a", "b", "c"}, rows: [][]any{
		{"=1+1", -2.5, compute.Known(-0.25)},
		{"@x", compute.Absent("none"), []string{"+a", "b"}},
		{`say "so", twice`, "two\nlines", true},
		{"-", time.Time{}, time.Date(2027, 3, 4, 5, 6, 7, 0, time.UTC)},
		{"plain", 7},
	}})
	want := "a,b,c\r\n'=1+1,-2.5,-0.25\r\n'@x,,'+a; b\r\n\"say \"\"so\"\", twice\",\"two\r\nlines\",true\r\n'-,,2027-03-04T05:06:07Z\r\nplain,7,\r\n"
	if err != nil || out.String() != want {
		t.Errorf("%v\n%q\n%q", err, out.String(), want)
	}
	rows, err := csv.NewReader(strings.NewReader(out.String())).ReadAll()
	if err != nil || len(rows) != 6 || slices.ContainsFunc(rows, func(r []string) bool { return len(r) != 3 }) {
		t.Errorf("%v, %q", err, rows)
	}
	for _, text := range []string{"=a", "+a", "-a", "@a", "\ta", "\ra", "\na"} {
		if got := csvField(text); got != "'"+text {
			t.Errorf("%q is written as %q", text, got)
		}
	}
	if got := csvField(math.Pi); got != "3.141592653589793" {
		t.Errorf("π is written as %s", got)
	}
}
