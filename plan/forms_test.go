package plan

import (
	"testing"
	"time"
)

func TestParseDuration(t *testing.T) {
	for s, want := range map[string]time.Duration{
		"0s": 0, "90s": 90 * time.Second, "2m30s": 150 * time.Second, "1h": time.Hour, "1h30m": 90 * time.Minute, "0.5s": 500 * time.Millisecond,
		"2.125s": 2125 * time.Millisecond, "1h0m1s": time.Hour + time.Second,
	} {
		if got, err := ParseDuration(s); err != nil || got != want {
			t.Errorf("%q is %v, %v; want %v", s, got, err, want)
		}
	}
	for _, s := range []string{"", "10", "10 s", "-1s", "+1s", "1S", "1.5m", "30s1m", "1s1s", "5ms", "1d", ".5s", "1.s", "1e3s", "0x1s", "1,5s", "1.0001s", "999999999s", "s", "١s"} {
		if got, err := ParseDuration(s); err == nil {
			t.Errorf("%q is taken as %v", s, got)
		}
	}
}

func TestParsePercent(t *testing.T) {
	for s, want := range map[string]float64{"3%": 3, "0.2%": 0.2, "0%": 0, "100%": 100, "2.50%": 2.5} {
		if got, err := ParsePercent(s); err != nil || got != want {
			t.Errorf("%q is %v, %v; want %v", s, got, err, want)
		}
	}
	for _, s := range []string{"", "3", "3 %", "-3%", "+3%", ".2%", "3.%", "0,2%", "1e2%", "%", "NaN%", "3%%"} {
		if got, err := ParsePercent(s); err == nil {
			t.Errorf("%q is taken as %v", s, got)
		}
	}
}

func TestParseSize(t *testing.T) {
	if w, h, err := ParseSize("2560x1440"); err != nil || w != 2560 || h != 1440 {
		t.Errorf("2560x1440 is %d, %d, %v", w, h, err)
	}
	for _, s := range []string{"", "2560", "2560x", "x1440", "2560X1440", "2560 x 1440", "0x1440", "02560x1440", "2560x1440x2", "-1x1", "100000x1"} {
		if w, h, err := ParseSize(s); err == nil {
			t.Errorf("%q is taken as %d, %d", s, w, h)
		}
	}
}

func TestParseDate(t *testing.T) {
	for s, want := range map[string]time.Time{
		"2027-03-01":                time.Date(2027, 3, 1, 23, 59, 59, 0, time.UTC),
		"2028-02-29":                time.Date(2028, 2, 29, 23, 59, 59, 0, time.UTC),
		"2027-03-04T14:00:00Z":      time.Date(2027, 3, 4, 14, 0, 0, 0, time.UTC),
		"2027-03-04T14:00:00+02:00": time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC),
	} {
		if got, err := ParseDate(s); err != nil || !got.Equal(want) {
			t.Errorf("%q is %v, %v; want %v", s, got, err, want)
		}
	}
	for _, s := range []string{"", "2027-3-1", "2027-02-29", "01.03.2027", "2027-03-04 14:00:00", "2027-03-04T14:00:00", "2027-03-04T14:00Z", "2027-03-04t14:00:00z"} {
		if got, err := ParseDate(s); err == nil {
			t.Errorf("%q is taken as %v", s, got)
		}
	}
}
