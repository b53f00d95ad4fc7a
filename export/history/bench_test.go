package history

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/history/madeup"
)

var kept = flag.String("history.archive", "", "keep the archives of the benchmark in this folder, for looking at them by hand")

// tenThousand publishes so many reviews of 200 passes, a month apart: a reference, three cards of the month and ten games, five passes a cell.
// The month's cards come once more, a year later.
func tenThousand(b *testing.B, reviews int) *archive.Archive {
	b.Helper()
	dir := b.TempDir()
	if *kept != "" {
		dir = filepath.Join(*kept, fmt.Sprint(reviews))
		if _, err := os.Stat(dir); err == nil {
			a, err := archive.Look(dir)
			if err != nil {
				b.Fatal(err)
			}
			return a
		}
	}
	games := []string{"bazaar", "fjord", "kelp", "quarry", "orrery", "lagoon", "tundra", "canyon", "atoll", "delta"}
	for n := range reviews {
		r := year(0)
		r.Name, r.At, r.Driver, r.Passes = fmt.Sprintf("month%03d", n), spring.AddDate(0, n, 0), fmt.Sprintf("6%02d.0", n), fmt.Sprint("month", n)
		r.Cards = map[string]float64{"tern_ref": 100}
		for i := range 3 {
			r.Cards[fmt.Sprintf("card_%d_%d", n%12, i)] = 90 + 10*float64(i)
		}
		r.Games, r.Repeats, r.Frames = games, 5, 100
		if _, err := r.Publish(b.Context(), dir); err != nil {
			b.Fatal(err)
		}
	}
	a, err := archive.Look(dir)
	if err != nil {
		b.Fatal(err)
	}
	return a
}

var sizes = flag.String("history.reviews", "10,50", "how many reviews of 200 passes the archives of the benchmark hold")

// What a look back costs by what is asked and by what is stored: 2 000 and 10 000 passes, unless a flag says otherwise. A cell of one card of the month is in a twelfth of the
// editions, the reference's in all.
func BenchmarkLookBack(b *testing.B) {
	for _, reviews := range strings.Split(*sizes, ",") {
		reviews, err := strconv.Atoi(reviews)
		if err != nil {
			b.Fatal(err)
		}
		a := tenThousand(b, reviews)
		passes := reviews * 4 * 10 * 5
		for _, q := range []struct {
			name        string
			cards, game []string
		}{
			{"one card and game", []string{"card_3_1"}, []string{"fjord"}},
			{"the reference in one game", []string{"tern_ref"}, []string{"fjord"}},
			{"all", nil, nil},
		} {
			b.Run(fmt.Sprintf("%s of %d passes", q.name, passes), func(b *testing.B) {
				asked, n := asking(q.cards, q.game), 0
				for b.Loop() {
					points := lookAt(b, a, asked)
					n = len(Lines(points, asked.Metric, compute.DefaultMargin, false))
				}
				b.ReportMetric(float64(n), "cells")
			})
		}
		b.Run(fmt.Sprintf("contents of %d passes", passes), func(b *testing.B) {
			for b.Loop() {
				if _, _, err := Contents(a, Asked{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// A card's cells are looked for only in editions that may hold it, and no frame is read: damage to the frames and to other editions' tables
// is not met on the way.
func TestOnlyWhatIsAskedIsRead(t *testing.T) {
	first, second := year(0), year(1)
	second.Cards = map[string]float64{"skua": 90}
	first.Frames, second.Frames = 20, 20
	dir := t.TempDir()
	for _, r := range []madeup.Review{first, second} {
		if _, err := r.Publish(t.Context(), dir); err != nil {
			t.Fatal(err)
		}
	}
	spoil := func(pattern string) {
		t.Helper()
		files, err := filepath.Glob(filepath.Join(dir, "editions", pattern))
		if err != nil || len(files) == 0 {
			t.Fatal(pattern, files, err)
		}
		for _, f := range files {
			if err := os.WriteFile(f, []byte("spoiled"), 0o666); err != nil {
				t.Fatal(err)
			}
		}
	}
	spoil("review=year0/*/frames-*.parquet")
	spoil("review=year1/*/*.parquet")
	a, err := archive.Look(dir)
	if err != nil {
		t.Fatal(err)
	}
	if points := lookAt(t, a, asking([]string{"heron_x"}, []string{"fjord"})); len(points) != 1 {
		t.Errorf("%d points, expected 1", len(points))
	}
	_, unreadable, err := Points(a, asking([]string{"skua"}, nil))
	if err != nil || len(unreadable) != 1 || unreadable[0].Review != "year1" {
		t.Errorf("%v, %v: expected the spoiled edition of year1", err, unreadable)
	}
}
