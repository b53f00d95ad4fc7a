package match

import (
	"strconv"
	"strings"
	"time"
)

// MaxRepeat is the highest number a pass can be given by name.
const MaxRepeat = 999

// repeatAt reads the whole run of digits at the start of s: 1 to 999, in one to three digits, so that "01" is 1.
func repeatAt(s string) (n, length int, ok bool) {
	for length < len(s) && isDigit(s[length]) {
		length++
	}
	if length < 1 || length > 3 {
		return 0, 0, false
	}
	n, _ = strconv.Atoi(s[:length])
	return n, length, n > 0
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// {time} is written in one of these forms, each also with Z behind it, and read as UTC either way: it puts the passes of a cell
// in order and says nothing else.
var stampLayouts = []string{"20060102T150405", "20060102_150405", "2006-01-02T15-04-05", "2006-01-02_15-04-05"}

// stampsAt gives the lengths of the times that s begins with: none, one, or two where a Z may belong to it or not.
func stampsAt(s string, fold bool) []int {
	for _, layout := range stampLayouts {
		n := len(layout)
		if len(s) < n {
			continue
		}
		if _, ok := parseStamp(s[:n], fold); !ok {
			continue
		}
		if len(s) > n && (s[n] == 'Z' || fold && s[n] == 'z') {
			return []int{n, n + 1}
		}
		return []int{n}
	}
	return nil
}

func parseStamp(s string, fold bool) (time.Time, bool) {
	if fold {
		s = strings.ToUpper(s)
	}
	s = strings.TrimSuffix(s, "Z")
	for _, layout := range stampLayouts {
		if len(s) != len(layout) || s[8] != layout[8] && s[10] != layout[10] {
			continue
		}
		if t, err := time.Parse(layout, s); err == nil && t.Format(layout) == s {
			return t, true
		}
	}
	return time.Time{}, false
}
