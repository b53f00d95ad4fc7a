package match

import (
	"strings"
	"testing"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// Whatever a pattern and a name are: nothing panics, every part of every reading is what its placeholder may hold, the parts
// together are the name again, and a reading is found once.
func FuzzPattern(f *testing.F) {
	f.Add("captures/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv", "captures/heron_x-tuned/fjord_rays_up_uhd_2.csv")
	f.Add("{card}{any}_{game}.{size}.{time}.r{repeat}.csv", "heron_x_kelp_2.2560x1440.20270304T140000Z.r01.csv")
	f.Add("{review}/{any}{card}{any}{card}{any}", "spring-roundup/heron_heron_x")
	f.Add("{time}{repeat}{mode}{variant}", "2027-03-04_14-00-007stockplain")
	f.Fuzz(func(t *testing.T, pattern, name string) {
		if len(pattern) > 200 || len(name) > 200 || strings.Count(pattern, "{") > 8 {
			t.Skip("longer ones add time, not cases")
		}
		p := example(byPath(pattern))
		ix := newIndex(p)
		var list finding.List
		pt := compile(ix, &p.Files[0], &list)
		if (pt == nil) != (list.HasErrors() || pattern == "") {
			t.Fatalf("compiled: %v, findings %v", pt != nil, list)
		}
		if pt == nil {
			return
		}
		for i := range pt.forms {
			form := &pt.forms[i]
			form.match(name, false, func(r reading, ends []int) {
				holds(t, form, name, r, ends)
			})
			form.align(name)
		}
		all, _ := pt.meanings(ix, name, plan.Key{}, false)
		for i, m := range all {
			if _, ok := ix.cards[m.key.Card].Mode(m.key.Mode); !ok {
				t.Fatalf("%s is not declared", m)
			}
			for _, other := range all[:i] {
				if other == m {
					t.Fatalf("%s is found twice", m)
				}
			}
		}
		folded, proper := pt.meanings(ix, name, plan.Key{}, true)
		if len(folded) > 0 {
			if again, _ := pt.meanings(ix, proper, plan.Key{}, false); len(again) == 0 {
				t.Fatalf("%q is proposed for %q, and does not match", proper, name)
			}
		}
	})
}

func holds(t *testing.T, f *form, name string, r reading, ends []int) {
	var again strings.Builder
	if len(ends) != len(f.segs) {
		t.Fatalf("%d parts of %d", len(ends), len(f.segs))
	}
	for i, s := range f.segs {
		took := text(name, ends, i)
		again.WriteString(took)
		want := ""
		switch s.part {
		case literal:
			want = s.text
		case card:
			want = r.card
		case mode:
			want = r.mode
		case game:
			want = r.game
		case variant:
			want = r.variant
		case resolution:
			want = r.resolution
		case size:
			want = r.size
		case stamp:
			want = r.stamp
		case review:
			want = "spring-roundup"
		case repeat:
			if n, length, ok := repeatAt(took); !ok || length != len(took) || n != r.repeat {
				t.Fatalf("repeat %q was read as %d", took, r.repeat)
			}
			continue
		case anything:
			if strings.Contains(took, "/") {
				t.Fatalf("{any} took %q", took)
			}
			continue
		}
		if took != want {
			t.Fatalf("%s took %q for %q", s.part, took, want)
		}
	}
	if again.String() != name {
		t.Fatalf("the parts make %q, not %q", again.String(), name)
	}
}

// Whatever a bench log holds: nothing panics, every row is either read or an error, and each field of a row stands where its
// place says.
func FuzzBenchLog(f *testing.F) {
	f.Add("file,card,mode,game,variant,resolution,repeat\na.csv,heron_x,tuned,fjord,rays_up,uhd,1\n")
	f.Add("\ufefffile;started;ambient_c;outcome;note\r\na.csv;2027-02-21T09:30:00Z;21,5;ok;\"a;\nb\"\r\n;;;crash;\r\n")
	f.Add("file\tnote\na\t\"x\nb\tc\n")
	f.Add("file,note\na,b \"c\"\nd\n")
	f.Fuzz(func(t *testing.T, text string) {
		rows, list := parseLog("bench.csv", []byte(text))
		if len(rows) == 0 && len(list) == 0 && len(strings.Fields(text)) > 30 {
			t.Fatal("a whole log was read as nothing, and nothing was said")
		}
		all := strings.Split(strings.TrimPrefix(text, "\ufeff"), "\n")
		for i := range rows {
			r := &rows[i]
			if r.Place.Line < 2 || r.Place.Line > len(all) {
				t.Fatalf("row %d stands in line %d of %d", i, r.Place.Line, len(all))
			}
			if r.File != "" {
				if detail, _ := wrongPath(r.File); detail != "" {
					t.Fatalf("%q was taken for a path: %s", r.File, detail)
				}
				if p := r.at(colFile); p.Line < 2 || p.Column < 1 || p.EndColumn <= p.Column {
					t.Fatalf("the file of row %d stands at %+v", i, p)
				}
			}
			if r.File == "" && r.Outcome == OK {
				t.Fatalf("row %d names no file and no outcome", i)
			}
		}
		for _, f := range list {
			if f.Place.Line > len(all)+1 || f.Place.Line > 0 && f.Place.Source == "" && f.Place.Column > 1 {
				t.Fatalf("%+v points nowhere", f)
			}
		}
	})
}
