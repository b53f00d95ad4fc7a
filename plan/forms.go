package plan

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// The texts below have one form each. Anything else is refused rather than guessed.
var (
	durationForm = regexp.MustCompile(`^(?:(\d{1,4})h)?(?:(\d{1,6})m)?(?:(\d{1,8})(?:\.(\d{1,3}))?s)?$`)
	percentForm  = regexp.MustCompile(`^(\d{1,6}(?:\.\d{1,6})?)%$`)
	ageForm      = regexp.MustCompile(`^([1-9]\d{0,3})d$`)
	sizeForm     = regexp.MustCompile(`^([1-9]\d{0,4})x([1-9]\d{0,4})$`)
)

var (
	errDuration = errors.New(`write whole hours, minutes and seconds in that order, such as "90s", "2m30s" or "1h"; seconds may have up to three decimals`)
	errAge      = errors.New(`write whole days, such as "180d", from 1 to 9999`)
	errPercent  = errors.New(`write a number and a percent sign without a blank, such as "3%" or "0.2%"`)
	errSize     = errors.New(`write width x height in pixels, such as "2560x1440", each from 1 to 99999`)
	errDate     = errors.New(`write a date such as "2027-03-01", or a time with its zone such as "2027-03-04T14:00:00Z"`)
)

// ParseDuration reads "1h", "2m30s", "0.5s": each of h, m, s at most once and in that order, nothing negative.
func ParseDuration(s string) (time.Duration, error) {
	m := durationForm.FindStringSubmatch(s)
	if s == "" || m == nil {
		return 0, errDuration
	}
	var d time.Duration
	for i, unit := range []time.Duration{time.Hour, time.Minute, time.Second} {
		n, _ := strconv.Atoi("0" + m[i+1]) // at most eight digits: cannot overflow
		d += time.Duration(n) * unit
	}
	ms, _ := strconv.Atoi((m[4] + "000")[:3])
	return d + time.Duration(ms)*time.Millisecond, nil
}

// Day is what ages are counted in.
const Day = 24 * time.Hour

// ParseAge reads "180d", whole days.
func ParseAge(s string) (time.Duration, error) {
	m := ageForm.FindStringSubmatch(s)
	if m == nil {
		return 0, errAge
	}
	n, _ := strconv.Atoi(m[1]) // at most four digits
	return time.Duration(n) * Day, nil
}

// ParsePercent reads "3%" as 3.
func ParsePercent(s string) (float64, error) {
	m := percentForm.FindStringSubmatch(s)
	if m == nil {
		return 0, errPercent
	}
	return strconv.ParseFloat(m[1], 64)
}

// ParseSize reads "2560x1440".
func ParseSize(s string) (width, height int, err error) {
	m := sizeForm.FindStringSubmatch(s)
	if m == nil {
		return 0, 0, errSize
	}
	width, _ = strconv.Atoi(m[1])
	height, _ = strconv.Atoi(m[2])
	return width, height, nil
}

// ParseDate reads a date or an RFC 3339 time with its zone. A date alone means its last second, UTC.
func ParseDate(s string) (time.Time, error) {
	if t, err := time.Parse(time.DateOnly, s); err == nil {
		return t.Add(24*time.Hour - time.Second), nil
	}
	t, err := time.Parse(time.RFC3339, s)
	if err != nil || strings.ContainsAny(s, "tz,") {
		return time.Time{}, errDate
	}
	return t.UTC(), nil
}

// formatDuration is the one form a duration has in the resolved plan: seconds.
func formatDuration(d time.Duration) string {
	return strconv.FormatFloat(d.Seconds(), 'f', -1, 64) + "s"
}

func formatPercent(p float64) string { return strconv.FormatFloat(p, 'f', -1, 64) + "%" }

// quote shows a value as it stands in a plan, shortened where it is long.
func quote(s string) string {
	const room = 60
	if r := []rune(s); len(r) > room {
		return fmt.Sprintf("%q…", string(r[:room]))
	}
	return strconv.Quote(s)
}
