package history

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/history/madeup"
)

func whole() Facts {
	one := func(s string) []string { return []string{s} }
	return Facts{Rig: one("bench_a"), Fixed: "cpu sixteen cores", OS: "build 1", Definitions: "1", Build: one("1.8"), Settings: "preset highest", Mode: "as shipped", Preset: one("highest"),
		API: one("v12"), Scene: one("harbour"), Drive: one("replay"), Size: one("3840×2160"), Warmup: one("3 s"), Length: one("30 s"), MeasuredAt: one("present"),
		Driver: one("612.4"), Firmware: one("stock"), Sample: one("lent")}
}

// What the look back promises: comparable when rig, build, preset, scene, API, resolution, warm-up and length agree, with reserve when only
// driver or OS differs, else not.
func TestComparability(t *testing.T) {
	for _, c := range []struct {
		what   string
		change func(*Facts)
		want   Comparability
		differ []string
	}{
		{"nothing", func(*Facts) {}, Comparable, nil},
		{"driver", func(f *Facts) { f.Driver = []string{"650.1"} }, WithReserve, []string{"driver"}},
		{"OS", func(f *Facts) { f.OS = "build 2" }, WithReserve, []string{"OS"}},
		{"driver and OS", func(f *Facts) { f.Driver, f.OS = []string{"650.1"}, "build 2" }, WithReserve, []string{"driver", "OS"}},
		{"rig", func(f *Facts) { f.Rig = []string{"bench_b"} }, NotComparable, []string{"rig"}},
		{"the rig's processor", func(f *Facts) { f.Fixed = "cpu eight cores" }, NotComparable, []string{"rig's fixed facts"}},
		{"build", func(f *Facts) { f.Build = []string{"1.9"} }, NotComparable, []string{"build"}},
		{"build of some passes", func(f *Facts) { f.Build = []string{"1.8", "1.9"} }, NotComparable, []string{"build"}},
		{"preset", func(f *Facts) { f.Preset, f.Settings = []string{"low"}, "preset low" }, NotComparable, []string{"settings", "preset"}},
		{"a limit raised", func(f *Facts) { f.Mode = "raises {power pct 10}" }, NotComparable, []string{"mode"}},
		{"another setting", func(f *Facts) { f.Settings = "preset highest, upscaler off" }, NotComparable, []string{"settings"}},
		{"scene", func(f *Facts) { f.Scene = []string{"reef"} }, NotComparable, []string{"scene"}},
		{"API", func(f *Facts) { f.API = []string{"v11"} }, NotComparable, []string{"API"}},
		{"resolution", func(f *Facts) { f.Size = []string{"2560×1440"} }, NotComparable, []string{"resolution"}},
		{"warm-up", func(f *Facts) { f.Warmup = []string{"5 s"} }, NotComparable, []string{"warm-up"}},
		{"length", func(f *Facts) { f.Length = []string{"60 s"} }, NotComparable, []string{"length"}},
		{"measured at", func(f *Facts) { f.MeasuredAt = []string{"display"} }, NotComparable, []string{"measured at"}},
		{"definitions", func(f *Facts) { f.Definitions = "2" }, NotComparable, []string{"definitions"}},
		{"driver and build", func(f *Facts) { f.Driver, f.Build = []string{"650.1"}, []string{"1.9"} }, NotComparable, []string{"build", "driver"}},
		{"a build not recorded", func(f *Facts) { f.Build = []string{""} }, WithReserve, []string{"build"}},
		{"a rig not named", func(f *Facts) { f.Rig = []string{""} }, WithReserve, []string{"rig"}},
		{"firmware", func(f *Facts) { f.Firmware = []string{"quiet"} }, WithReserve, []string{"firmware"}},
	} {
		later := whole()
		c.change(&later)
		for _, pair := range [][2]Facts{{whole(), later}, {later, whole()}} {
			word, differ := Compare(pair[0], pair[1])
			var names []string
			for _, d := range differ {
				names = append(names, d.What)
			}
			if word != c.want || !slices.Equal(names, c.differ) {
				t.Errorf("%s: %s, %v; expected %s, %v", c.what, word, names, c.want, c.differ)
			}
		}
	}
}

var spring = time.Date(2026, 4, 1, 9, 0, 0, 0, time.UTC)

func year(n int) madeup.Review {
	return madeup.Review{Name: fmt.Sprintf("year%d", n), At: spring.AddDate(n, 0, 0), Rig: "bench_a", OS: "build 1", Driver: fmt.Sprintf("61%d.0", n),
		Cards: map[string]float64{"tern_ref": 100, "heron_x": 110}, Repeats: 4, Noise: 0.001, Games: []string{"bazaar", "fjord", "kelp", "quarry"},
		Sizes: []string{"uhd"}, Passes: fmt.Sprint(n)}
}

func archived(t testing.TB, reviews ...madeup.Review) *archive.Archive {
	t.Helper()
	dir := t.TempDir()
	for _, r := range reviews {
		if _, err := r.Publish(context.Background(), dir); err != nil {
			t.Fatal(err)
		}
	}
	a, err := archive.Look(dir)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func asking(cards, games []string) Asked {
	m, _ := compute.MetricByName("mean_fps")
	return Asked{Cards: cards, Games: games, Metric: m}
}

func lookAt(t testing.TB, a *archive.Archive, asked Asked) []Point {
	t.Helper()
	points, unreadable, err := Points(a, asked)
	if err != nil || len(unreadable) > 0 {
		t.Fatal(err, unreadable)
	}
	return points
}

// One card over four years: a driver that makes it 3 % faster, a build that makes another test of it, and back to the old build.
func TestLines(t *testing.T) {
	second, third, fourth := year(1), year(2), year(3)
	second.Cards = map[string]float64{"tern_ref": 100, "heron_x": 113.3}
	third.Cards, third.Build = second.Cards, map[string]string{"fjord": "2.0"}
	fourth.Cards, fourth.Driver = second.Cards, second.Driver
	a := archived(t, year(0), second, third, fourth)
	lines := Lines(lookAt(t, a, asking([]string{"heron_x", "tern_ref.stock"}, []string{"fjord"})), asking(nil, nil).Metric, compute.DefaultMargin, false)
	if len(lines) != 2 || lines[0].Card != "heron_x" || len(lines[0].Points) != 4 {
		t.Fatalf("%+v", lines)
	}
	for i, want := range []struct {
		word    Comparability
		change  Change
		against int
	}{1: {WithReserve, Changed, 0}, 2: {NotComparable, "", 1}, 3: {Comparable, Same, 1}} {
		if i == 0 {
			continue
		}
		s := lines[0].Steps[i]
		if s.Word != want.word || s.Change != want.change || s.Against != want.against || s.Mixed || (s.Change == "") != (s.Why != "") {
			t.Errorf("step %d: %+v, expected %+v", i, s, want)
		}
		if want.change == "" && s.Comparison.Percent.OK {
			t.Errorf("step %d: compared, and not comparable", i)
		}
	}
	if d := lines[0].Steps[1].Comparison.Percent.X; math.Abs(d-3) > 0.6 {
		t.Errorf("%g %% faster, made 3 %%", d)
	}
	if s := lines[1].Steps[1]; s.Change != Same {
		t.Errorf("the reference is %s, made the same", s.Change)
	}
	mixed := Lines(lines[0].Points, asking(nil, nil).Metric, compute.DefaultMargin, true)[0].Steps[2]
	if !mixed.Mixed || mixed.Word != NotComparable || !mixed.Comparison.Percent.OK || mixed.Change != Same {
		t.Errorf("mixed as asked: %+v", mixed)
	}
}

// Editions of the same passes are one point, the latest; an edition with one more pass stands for that without.
func TestSamePassesCountOnce(t *testing.T) {
	again, more := year(0), year(0)
	again.At = again.At.AddDate(0, 1, 0)
	more.At, more.Repeats = more.At.AddDate(0, 2, 0), 5
	a := archived(t, year(0), again, more, year(1))
	points := lookAt(t, a, asking([]string{"heron_x"}, []string{"fjord"}))
	if len(points) != 2 || points[0].Stat.Launches != 5 || points[0].Other != 2 || points[1].Other != 0 {
		t.Fatalf("%+v", points)
	}
	held, _, err := Contents(a, Asked{})
	if err != nil || len(held) != 4 || !held[0].Newer || !held[1].Newer || held[2].Newer || held[3].Newer {
		t.Errorf("%v, %+v", err, held)
	}
}

// What the archive keeps of a cell is enough to compare it as the review would: the interval of the archived cell is that of its passes.
func TestStoredCellIsWhatItWas(t *testing.T) {
	a := archived(t, year(0))
	m := asking(nil, nil).Metric
	for _, p := range lookAt(t, a, asking(nil, nil)) {
		se := math.Sqrt(p.Stat.ShownVariance.X / float64(p.Stat.Launches))
		half := 3.182446305284263 * se // qt(0.975, 3) of R 4.2.2
		if d := math.Exp(p.Stat.Centre.X + half); math.Abs(d/p.Stat.High.X-1) > 1e-12 {
			t.Errorf("%s: high %g, by its variance %g", p.Key, p.Stat.High.X, d)
		}
		if p.Stat.SD.X == 0 || math.Abs(100*math.Sqrt(p.Stat.Variance.X)/p.Stat.SD.X-1) > 1e-12 || p.Stat.Metric != m.Name {
			t.Errorf("%s: %+v", p.Key, p.Stat)
		}
	}
}

// Two cards that never shared a bench, by way of the reference: a new build made a game 20 % faster for all, which the bridge takes out.
func TestBridge(t *testing.T) {
	then, now := year(0), year(1)
	now.Cards = map[string]float64{"tern_ref": 100, "gannet": 104.5}
	now.Moved = map[string]float64{"fjord": 1.2}
	now.Build = map[string]string{"fjord": "2.0"}
	a := archived(t, then, now)
	b, err := Bridge(lookAt(t, a, asking(nil, nil)), "heron_x.stock", "gannet.stock", asking(nil, nil).Metric, compute.DefaultMargin)
	if err != nil {
		t.Fatal(err)
	}
	want := math.Log(110 / 104.5)
	if math.Abs(b.D-want) > 0.005 || len(b.Joins) != 1 || !slices.Equal(b.Joins[0].Cards, []string{"tern_ref.stock"}) || len(b.Games) != 4 {
		t.Errorf("%g, expected about %g: %+v", b.D, want, b.Result)
	}
	if b.Sound() || b.Low.X > want || b.High.X < want {
		t.Errorf("a game moved by 20 %%: %+v", b.Result)
	}
	var names []string
	for _, d := range b.Differ[0] {
		names = append(names, d.What)
	}
	if !slices.Equal(names, []string{"fjord build", "tern_ref·stock driver"}) {
		t.Errorf("differ: %v", names)
	}
}

// Another setting is another test: no bridge leads over it.
func TestNoBridgeOverSettings(t *testing.T) {
	a := archived(t, year(0))
	points := lookAt(t, a, asking(nil, nil))
	var all []Point
	for _, p := range points {
		q := p
		q.Edition, q.Review = "other", "other"
		q.Facts.Preset = []string{"low"}
		if q.Card == "heron_x" {
			q.Card = "gannet"
		}
		all = append(all, p, q)
	}
	if b, err := Bridge(all, "heron_x.stock", "gannet.stock", asking(nil, nil).Metric, compute.DefaultMargin); err == nil {
		t.Errorf("%+v", b.Result)
	}
}

func TestFilters(t *testing.T) {
	a := archived(t, year(0), year(1), year(2))
	for _, c := range []struct {
		name string
		ask  func(*Asked)
		want int
	}{
		{"all", func(*Asked) {}, 24},
		{"a driver", func(q *Asked) { q.Drivers = []string{"611.0"} }, 8},
		{"a rig that is not there", func(q *Asked) { q.Rigs = []string{"bench_b"} }, 0},
		{"since", func(q *Asked) { q.Since = spring.AddDate(1, 0, 0) }, 16},
		{"until, which is not included", func(q *Asked) { q.Until = spring.AddDate(1, 0, 0) }, 8},
		{"a review", func(q *Asked) { q.Reviews = []string{"year2"} }, 8},
		{"a resolution", func(q *Asked) { q.Resolutions = []string{"qhd"} }, 0},
		{"a game with its variant", func(q *Asked) { q.Games = []string{"kelp.plain"} }, 6},
		{"a mode that is not there", func(q *Asked) { q.Cards = []string{"heron_x.tuned"} }, 0},
	} {
		q := asking(nil, nil)
		c.ask(&q)
		if n := len(lookAt(t, a, q)); n != c.want {
			t.Errorf("%s: %d points, expected %d", c.name, n, c.want)
		}
	}
}

// Of points that share passes in whatever way, no two that are kept share one, and what is left out shares one with a kept one of later date.
func TestIndependent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var points []Point
		for i := range rapid.IntRange(0, 12).Draw(t, "points") {
			runs := rapid.SliceOfNDistinct(rapid.IntRange(0, 9), 1, 4, rapid.ID).Draw(t, "runs")
			p := Point{Edition: fmt.Sprint(i), Published: spring.AddDate(0, 0, rapid.IntRange(0, 5).Draw(t, "day"))}
			p.edition = archive.Edition{Published: p.Published, Work: p.Published}
			for _, r := range runs {
				p.runs = append(p.runs, fmt.Sprint(r))
			}
			points = append(points, p)
		}
		kept := independent(slices.Clone(points))
		used, names, others := map[string]bool{}, map[string]bool{}, 0
		latest := map[string]time.Time{}
		for _, p := range kept {
			names[p.Edition], others = true, others+p.Other
			for _, r := range p.runs {
				if used[r] {
					t.Fatalf("pass %s counts twice: %+v", r, kept)
				}
				used[r], latest[r] = true, p.Published
			}
		}
		if len(kept)+others != len(points) {
			t.Fatalf("%d kept, %d others, of %d", len(kept), others, len(points))
		}
		for _, p := range points {
			ok := names[p.Edition]
			for _, r := range p.runs {
				ok = ok || used[r] && !latest[r].Before(p.Published)
			}
			if !ok {
				t.Fatalf("%+v is left out, and no later one has a pass of it: %v", p, slices.Collect(maps.Keys(used)))
			}
		}
	})
}
