// Package screen is the small typography of the terminal: aligned columns, plain words for numbers and times, and the signs of
// coverage with letters where the terminal has no UTF-8. It knows no review. A table library was tried in thought and left out:
// what is needed is alignment without borders, by display width, and nothing else.
package screen

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/mattn/go-runewidth"
)

// Width is what every screen fits into.
const Width = 100

// Align is how a column stands.
type Align uint8

const (
	Left Align = iota
	Right
	Centre
)

// Columns lays rows out under each other, each column as wide as its widest cell, gap blanks apart. Rows may be shorter than
// aligns, and one of a single cell is a heading that widens no column; blanks at the end of a line are dropped. Widths are display widths, so names of any script line up.
func Columns(rows [][]string, aligns []Align, gap int) []string {
	widths := make([]int, len(aligns))
	for _, r := range rows {
		if len(r) == 1 && len(aligns) > 1 {
			continue
		}
		for i, c := range r {
			widths[i] = max(widths[i], runewidth.StringWidth(c))
		}
	}
	out := make([]string, len(rows))
	for n, r := range rows {
		var b strings.Builder
		for i, c := range r {
			if i > 0 {
				b.WriteString(strings.Repeat(" ", gap))
			}
			b.WriteString(Pad(c, widths[i], aligns[i]))
		}
		out[n] = strings.TrimRight(b.String(), " ")
	}
	return out
}

// Pad widens s to w.
func Pad(s string, w int, a Align) string {
	room := max(0, w-runewidth.StringWidth(s))
	switch a {
	case Right:
		return strings.Repeat(" ", room) + s
	case Centre:
		return strings.Repeat(" ", room/2) + s + strings.Repeat(" ", room-room/2)
	}
	return s + strings.Repeat(" ", room)
}

// Shorten cuts s to w columns in its middle: names that begin alike mostly end differently.
func Shorten(s string, w int) string {
	if runewidth.StringWidth(s) <= w {
		return s
	}
	tail := (w - 1) / 2
	r := []rune(s)
	end := ""
	for i := len(r) - 1; i >= 0 && runewidth.StringWidth(string(r[i:])) <= tail; i-- {
		end = string(r[i:])
	}
	return runewidth.Truncate(s, w-runewidth.StringWidth(end), "…") + end
}

// Wrap breaks text at blanks so that no line is wider than w; continuation lines begin with indent.
func Wrap(text string, w int, indent string) string {
	var b strings.Builder
	line := 0
	for i, word := range strings.Fields(text) {
		n := runewidth.StringWidth(word)
		switch {
		case i == 0:
		case line+1+n > w:
			b.WriteString("\n" + indent)
			line = runewidth.StringWidth(indent)
		default:
			b.WriteByte(' ')
			line++
		}
		b.WriteString(word)
		line += n
	}
	return b.String()
}

// Count gives "1 pass" or "3 passes".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// List joins words as a sentence does: "1, 2 and 3".
func List(words []string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// Duration gives bench time in hours and whole minutes, rounded up: nobody plans seconds.
func Duration(d time.Duration) string {
	m := int64(math.Ceil(d.Minutes()))
	switch {
	case m < 60:
		return fmt.Sprintf("%d min", m)
	case m%60 == 0:
		return fmt.Sprintf("%d h", m/60)
	}
	return fmt.Sprintf("%d h %d min", m/60, m%60)
}

// Until gives the time left in days and hours.
func Until(d time.Duration) string {
	if d < 0 {
		return "past"
	}
	h := int64(d.Hours())
	switch days := h / 24; {
	case h < 1:
		return Duration(d)
	case days == 0:
		return Count(int(h), "hour", "hours")
	case h%24 == 0 || days > 9:
		return Count(int(days), "day", "days")
	default:
		return fmt.Sprintf("%s %d h", Count(int(days), "day", "days"), h%24)
	}
}

// From these sizes on a number has no decimals, and is written by its power of ten: nobody reads out ten digits, and a table of them
// fits no screen.
const (
	wholeFrom = 1e4
	powerFrom = 1e7
)

// Number gives x with the decimals and a true minus sign; a value that rounds to zero has no sign.
func Number(x float64, decimals int) string {
	size := math.Abs(x)
	if size >= powerFrom {
		digits, exponent, _ := strings.Cut(strconv.FormatFloat(x, 'e', 1, 64), "e+")
		return strings.Replace(digits, "-", "−", 1) + "×10" + raised.Replace(strings.TrimLeft(exponent, "0"))
	}
	if size >= wholeFrom {
		decimals = 0
	}
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "−", 1)
}

var raised = strings.NewReplacer("0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴", "5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹")

// Signed gives x with its sign always shown, zero without.
func Signed(x float64, decimals int) string {
	s := Number(x, decimals)
	if x > 0 && strings.Trim(s, "0.") != "" {
		return "+" + s
	}
	return s
}

// P gives a probability to two digits, those below a ten-thousandth as a bound.
func P(p float64) string {
	if p < 0.0001 {
		return "< 0.0001"
	}
	return strconv.FormatFloat(p, 'g', 2, 64)
}
