package screen

import (
	"strings"
	"testing"
	"time"
)

func TestColumnsLineUpByDisplayWidth(t *testing.T) {
	got := Columns([][]string{{"a", "1"}, {"漢字", "22"}, {"abc"}}, []Align{Left, Right}, 2)
	want := []string{"a      1", "漢字  22", "abc"}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestWords(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Duration(0), "0 min"},
		{Duration(61 * time.Second), "2 min"},
		{Duration(85 * time.Minute), "1 h 25 min"},
		{Duration(2 * time.Hour), "2 h"},
		{Until(-time.Hour), "past"},
		{Until(147 * time.Hour), "6 days 3 h"},
		{Until(24 * time.Hour), "1 day"},
		{Until(90 * time.Minute), "1 hour"},
		{Until(30 * time.Minute), "30 min"},
		{Number(-0.04, 1), "0.0"},
		{Number(-1.25, 1), "−1.2"},
		{Number(9999.94, 1), "9999.9"},
		{Number(12345.6, 2), "12346"},
		{Number(9_999_999, 1), "9999999"},
		{Number(1e7, 1), "1.0×10⁷"},
		{Number(-873127188941026754560, 1), "−8.7×10²⁰"},
		{Number(4.7e301, 1), "4.7×10³⁰¹"},
		{Signed(3e9, 1), "+3.0×10⁹"},
		{Signed(4.96, 1), "+5.0"},
		{Signed(0.01, 1), "0.0"},
		{Signed(-0.01, 1), "0.0"},
		{List([]string{"1", "2", "3"}), "1, 2 and 3"},
		{List([]string{"1"}), "1"},
		{Count(1, "pass", "passes"), "1 pass"},
		{Count(0, "pass", "passes"), "0 passes"},
		{Shorten("heron_x_extreme", 8), "hero…eme"},
		{Shorten("heron", 8), "heron"},
		{Wrap("one two three four", 9, "  "), "one two\n  three\n  four"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

func TestHeadingsWidenNoColumn(t *testing.T) {
	got := Columns([][]string{{"a long heading over all"}, {"b", "1"}, {"cc", "22"}}, []Align{Left, Right}, 1)
	want := []string{"a long heading over all", "b   1", "cc 22"}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("%q, want %q", got[i], want[i])
		}
	}
}
