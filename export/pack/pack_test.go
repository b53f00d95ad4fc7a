package pack

import (
	"strings"
	"testing"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/report"
)

// A column that somebody adds is explained, and a meaning that no column has is taken out.
func TestEveryColumnIsExplained(t *testing.T) {
	all, err := tables(report.Source{})
	if err != nil {
		t.Fatal(err)
	}
	if err := add(&all, "frames-tern_ref", frameRow, []frame(nil)); err != nil {
		t.Fatal(err)
	}
	used := map[string]bool{}
	for _, x := range all {
		for _, c := range x.Columns {
			if x.means(c.Name) == "" {
				t.Errorf("%s.%s has no meaning", x.name, c.Name)
			}
			if meanings[x.name+"."+c.Name] != "" {
				used[x.name+"."+c.Name] = true
			} else {
				used[c.Name] = true
			}
		}
	}
	for name := range meanings {
		if !used[name] {
			t.Errorf("no column is called %s", name)
		}
	}
}

// What is of the bench alone, by name: a list of its own, so that a table which gets such a column again fails here.
func TestNothingOfTheBench(t *testing.T) {
	all, err := tables(report.Source{})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range all {
		for _, c := range x.Columns {
			for _, word := range []string{"path", "sha256", "bytes", "note", "sample", "serial", "void_reason", "source", "edition"} {
				if strings.Contains(c.Name, word) && c.Name != "session_source" {
					t.Errorf("%s.%s goes out", x.name, c.Name)
				}
			}
		}
	}
}

func TestNumbered(t *testing.T) {
	text := func(s string) *string { return &s }
	rows := []archive.RunRow{{Session: text("monday at the window"), Launch: text("l7")}, {Session: text("tuesday")}, {Session: text("monday at the window"), Launch: text("l8")},
		{Launch: text("l7")}}
	var got []string
	for _, r := range numbered(rows) {
		for _, s := range []*string{r.Session, r.Launch} {
			if s == nil {
				s = text("–")
			}
			got = append(got, *s)
		}
	}
	if said := strings.Join(got, " "); said != "1 1 2 – 1 2 – 1" {
		t.Errorf("sessions and launches are numbered %s", said)
	}
	if *rows[0].Session != "monday at the window" {
		t.Error("the source's own rows are others now")
	}
}

func TestPlainly(t *testing.T) {
	if got := plainly("a|b *c* <script>\n_d_ [e](f) # g"); got != `a\|b \*c\* \<script\> \_d\_ \[e\](f) \# g` {
		t.Error(got)
	}
}
