package match

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/plan"
)

// hour is a time on the day of the passes.
func hour(h int) time.Time { return time.Date(2027, 2, 21, h, 0, 0, 0, time.UTC) }

func TestNumber(t *testing.T) {
	ledger := map[string]int{"a": 9, "b": 8, "c": 7, "d": 6}
	when := func(f File) time.Time { return hour(ledger[f.Path]) }
	started := func(h int) *LogRow { return &LogRow{Started: hour(h), Outcome: OK} }
	crashed := &LogRow{Outcome: Crash}
	for _, c := range []struct {
		name    string
		files   []File
		repeats int
		want    []string
	}{
		{"named numbers stand", []File{{Path: "a", Repeat: 2}, {Path: "b", Repeat: 1}, {Path: "c", Repeat: 5}}, 3,
			[]string{"b 1 used", "a 2 used", "c 5 used"}},
		{"by the ledger's time", []File{{Path: "a"}, {Path: "b"}, {Path: "c"}}, 3, []string{"c 1 used", "b 2 used", "a 3 used"}},
		{"by the log's started", []File{{Path: "a", Row: started(1)}, {Path: "b", Row: started(3)}, {Path: "c", Row: started(2)}}, 3,
			[]string{"a 1 used", "c 2 used", "b 3 used"}},
		{"started, but not of all: one clock for the cell", []File{{Path: "a", Row: started(1)}, {Path: "b"}, {Path: "c"}}, 3,
			[]string{"c 1 used", "b 2 used", "a 3 used"}},
		{"by {time} before all else", []File{{Path: "a", Time: hour(2), Row: started(1)}, {Path: "b", Time: hour(1), Row: started(3)}}, 3,
			[]string{"b 1 used", "a 2 used"}},
		{"the same time: by name", []File{{Path: "b", Time: hour(2)}, {Path: "a", Time: hour(2)}}, 3, []string{"a 1 used", "b 2 used"}},
		{"free numbers between named ones", []File{{Path: "a"}, {Path: "b", Repeat: 1}, {Path: "c", Repeat: 3}, {Path: "d"}}, 9,
			[]string{"b 1 used", "d 2 used", "c 3 used", "a 4 used"}},
		{"more than repeats: the newest by time", []File{{Path: "a", Repeat: 1}, {Path: "b", Repeat: 2}, {Path: "c", Repeat: 3}, {Path: "d", Repeat: 4}}, 2,
			[]string{"a 1 used", "b 2 used", "c 3 superseded", "d 4 superseded"}},
		{"at the same time: the highest numbers", []File{{Path: "a", Repeat: 1, Time: hour(1)}, {Path: "b", Repeat: 2, Time: hour(1)}, {Path: "c", Repeat: 3, Time: hour(1)}}, 2,
			[]string{"a 1 superseded", "b 2 used", "c 3 used"}},
		{"void and failed do not count", []File{{Path: "a", Void: "update"}, {Path: "b"}, {Path: "c", Row: crashed}, {Path: "d"}}, 2,
			[]string{"d 1 used", "c 2 failed", "b 3 used", "a 4 void"}},
		{"no repeats planned", []File{{Path: "a"}}, 0, []string{"a 1 superseded"}},
	} {
		var got []string
		for _, p := range Number(c.files, when, func(plan.Key) int { return c.repeats }) {
			got = append(got, fmt.Sprintf("%s %d %s", p.Path, p.Number, p.Status))
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s\n%s", c.name, diff)
		}
	}
}

func TestNumberWithoutAnyTime(t *testing.T) {
	files := []File{{Path: "b"}, {Path: "c"}, {Path: "a"}}
	var got []string
	for _, p := range Number(files, nil, func(plan.Key) int { return 2 }) {
		got = append(got, fmt.Sprintf("%s %d %s", p.Path, p.Number, p.Status))
	}
	if diff := cmp.Diff([]string{"a 1 superseded", "b 2 used", "c 3 used"}, got); diff != "" {
		t.Error(diff)
	}
}

// Numbering loses no file, gives no number twice among those it gives, uses as many passes as it may and none older than one it
// leaves out, and does not depend on the order of the files.
func TestNumberProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var files []File
		named := map[string]bool{}
		for i := range rapid.IntRange(0, 12).Draw(t, "files") {
			f := File{Path: fmt.Sprintf("f%02d", i), Key: plan.Key{Card: rapid.SampledFrom([]string{"tern_ref", "heron"}).Draw(t, "card")}}
			if n := rapid.IntRange(0, 4).Draw(t, "repeat"); n > 0 && !named[fmt.Sprint(f.Key, n)] {
				named[fmt.Sprint(f.Key, n)] = true
				f.Repeat = n
			}
			if rapid.Bool().Draw(t, "void") {
				f.Void = "void"
			}
			f.Size = int64(rapid.IntRange(1, 5).Draw(t, "hour"))
			files = append(files, f)
		}
		repeats := rapid.IntRange(0, 4).Draw(t, "repeats")
		when := func(f File) time.Time { return hour(int(f.Size)) }
		ps := Number(files, when, func(plan.Key) int { return repeats })
		shuffled := rapid.Permutation(files).Draw(t, "shuffled")
		if diff := cmp.Diff(ps, Number(shuffled, when, func(plan.Key) int { return repeats })); diff != "" {
			t.Fatal(diff)
		}
		if len(ps) != len(files) {
			t.Fatalf("%d files became %d passes", len(files), len(ps))
		}
		numbers := map[string]bool{}
		good, used := map[plan.Key]int{}, map[plan.Key]int{}
		for _, p := range ps {
			at := fmt.Sprint(p.Key, p.Number)
			if numbers[at] || p.Number < 1 || p.Repeat != 0 && p.Repeat != p.Number {
				t.Fatalf("%s has the number %d", p.Path, p.Number)
			}
			numbers[at] = true
			if p.Void == "" {
				good[p.Key]++
			}
			if p.Status == Used {
				used[p.Key]++
			}
		}
		for k, n := range good {
			if used[k] != min(n, repeats) {
				t.Fatalf("%s: %d of %d used, %d repeats", k, used[k], n, repeats)
			}
		}
		for _, p := range ps {
			newer := slices.ContainsFunc(ps, func(q Pass) bool {
				return q.Key == p.Key && q.Status == Superseded && q.When.After(p.When)
			})
			if p.Status == Used && newer {
				t.Fatalf("%s is used although a newer pass is not", p.Path)
			}
		}
	})
}
