package review

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/history"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/finding"
)

// season is a review of one game: three passes of each of its cards, at so many fps each. All seasons of a root share one archive.
type season struct {
	name   string
	driver string
	rates  map[string][3]float64 // by card; a card without any has no captures
	more   string                // of the plan
	rig    string                // of fixed
	month  int                   // of 2027, in which the passes are made
}

const quietRig = `cpu = "sixteen cores", os = "build 1"`

func (s season) make(t *testing.T, root string) Options {
	t.Helper()
	dir := filepath.Join(root, s.name)
	put := func(name, text string) {
		t.Helper()
		name = filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	text := fmt.Sprintf(`
review %q {
  rig      = rig.bench_a
  baseline = card.tern_ref.stock
  archive  = "../archive"
}
rig "bench_a" { fixed = { %s } }
game "fjord" {
  drive = "built-in"
  build = "1.8"
  scene = "harbour"
  keep  = { warmup = "1s", length = "8s" }
}
resolution "qhd" { size = "2560x1440" }
matrix { }
files "log" {
  path        = "captures/{card}_{repeat}.csv"
  log         = "bench.csv"
  text        = { delimiter = ",", comment = "#" }
  frame_time  = { column = "ms", unit = "ms" }
  measured_at = "present"
}
%s`, s.name, s.rig, s.more)
	log := "file,card,mode,game,variant,resolution,repeat,session,started\n"
	for _, card := range []string{"tern_ref", "heron_x"} {
		text += fmt.Sprintf("card %q {\n  vendor = \"marram\"\n  driver = %q\n}\n", card, s.driver)
		rates, ok := s.rates[card]
		if !ok {
			continue
		}
		for i, fps := range rates {
			name := fmt.Sprintf("captures/%s_%d.csv", card, i+1)
			put(name, fmt.Sprintf("# %s, %s %d\nms\n", s.name, card, i+1)+strings.Repeat(fmt.Sprintf("%.6f\n%.6f\n", 1.01*1000/fps, 0.99*1000/fps), int(fps)*5))
			log += fmt.Sprintf("%s,%s,stock,fjord,plain,qhd,%d,only,2027-%02d-0%dT10:00:00Z\n", name, card, i+1, s.month, i+1)
		}
	}
	put("plan.hcl", text)
	put("bench.csv", log)
	o := options(dir)
	o.Now = time.Date(2027, time.Month(s.month), 20, 9, 0, 0, 0, time.UTC)
	return o
}

// reusing is a reuse block for the reference.
func reusing(more string) string {
	return fmt.Sprintf("reuse \"old\" {\n  review = \"march\"\n  cards = [card.tern_ref]\n  max_age = \"180d\"\n%s}\n", more)
}

var (
	march = season{name: "march", driver: "612.4", month: 3, rig: quietRig, rates: map[string][3]float64{"tern_ref": {83, 83.2, 82.8}, "heron_x": {87, 87.2, 86.8}}}
	june  = season{name: "june", driver: "612.4", month: 6, rig: quietRig, rates: map[string][3]float64{"heron_x": {94, 94.2, 93.8}}, more: reusing("")}
)

func theCell(t *testing.T, r *Review, card string) Cell {
	t.Helper()
	i := slices.IndexFunc(r.Cells, func(c Cell) bool { return c.Cell.Card == card })
	if i < 0 {
		t.Fatalf("no cell of %s", card)
	}
	return r.Cells[i]
}

// The difference is by hand, to the ns that frame times are rounded to: geometric means of 94, 94.2, 93.8 and of 83, 83.2, 82.8. Each side's own variance of ln fps is that of
// three values; the sides were never in one session, so the session spread of the default, 0.2 %, counts twice.
func TestReusedBaseline(t *testing.T) {
	root := t.TempDir()
	old := do(t, march.make(t, root))
	r := do(t, june.make(t, root))
	c := theCell(t, r, "tern_ref")
	if c.State != coverage.Reused || !r.Ready || r.Kept.Edition == "" {
		t.Fatalf("%v, ready %v, edition %q: %s %v", c.State, r.Ready, r.Kept.Edition, c.NotReused, r.Findings)
	}
	if i := slices.IndexFunc(c.Flags, func(f Flag) bool { return f.Word == FlagReused }); i < 0 || c.Flags[i].Text != "reused from march, 2027-03-01 to 2027-03-03" {
		t.Errorf("flags %v", c.Flags)
	}
	for _, was := range theCell(t, old, "tern_ref").Stats {
		if is, _ := c.Stat(was.Metric); is.Mean != was.Mean || is.N != was.N || is.SD != was.SD {
			t.Errorf("%s: %+v, published as %+v", was.Metric, is, was)
		}
	}
	logs := func(xs ...float64) (mean, variance float64) {
		for _, x := range xs {
			mean += math.Log(x) / 3
		}
		for _, x := range xs {
			variance += (math.Log(x) - mean) * (math.Log(x) - mean) / 2
		}
		return mean, variance
	}
	a, va := logs(94, 94.2, 93.8)
	b, vb := logs(83, 83.2, 82.8)
	d, _ := r.Against(theCell(t, r, "heron_x").Cell.Key, r.Plan.Review.Baseline, headline)
	u := math.Log(1.002)
	se := math.Sqrt(va/3 + vb/3 + 2*u*u)
	half := (d.High.X - d.Low.X) / 2 / 100
	df := se * se * se * se / (va*va/9/2 + vb*vb/9/2)
	want := (math.Exp(a-b+compute.TQuantile(0.975, df)*se) - math.Exp(a-b-compute.TQuantile(0.975, df)*se)) / 2
	if math.Abs(d.Percent.X/100-(math.Exp(a-b)-1)) > 2e-5 || math.Abs(half/want-1) > 1e-3 {
		t.Errorf("difference %v %% ± %v, by hand %v ± %v", d.Percent.X, 100*half, 100*(math.Exp(a-b)-1), 100*want)
	}
	if !slices.Contains(d.Flags, FlagReused) {
		t.Errorf("the comparison does not say that a side is reused: %v", d.Flags)
	}
	if _, err := os.Stat(filepath.Join(r.Kept.Folder, "frames-tern_ref.parquet")); err == nil {
		t.Error("frames of another edition were copied")
	}
	m, err := archive.ReadManifest(r.Kept.Folder)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := archive.ReadTable[archive.RunRow](archive.Edition{Manifest: m, Dir: r.Kept.Folder}, "runs.parquet")
	if err != nil || len(rows) != 6 {
		t.Fatalf("%d rows: %v", len(rows), err)
	}
	for _, row := range rows {
		if fresh := row.Card == "heron_x"; fresh != (row.FramesEdition == nil) || !fresh && *row.FramesEdition != old.Kept.Edition {
			t.Errorf("%s pass %d has its frames in %v", row.Card, row.Repeat, row.FramesEdition)
		}
	}
}

// What is not lent, and the words that say why.
func TestNotReused(t *testing.T) {
	for _, c := range []struct {
		name string
		is   func(*season)
		days int // later
		why  string
	}{
		{"another build of the rig", func(s *season) { s.rig = `cpu = "eight cores", os = "build 1"` }, 0,
			"rig's fixed facts cpu eight cores in the plan, cpu sixteen cores then"},
		{"another driver", func(s *season) { s.driver = "615.0" }, 0, "driver 615.0 in the plan, 612.4 then"},
		{"another system", func(s *season) { s.rig = strings.Replace(quietRig, "build 1", "build 2", 1) }, 0, "OS build 2 in the plan, build 1 then"},
		{"a system that nobody recorded", func(s *season) { s.rig = `cpu = "sixteen cores"` }, 0, "OS not recorded in the plan, build 1 then"},
		{"too old", func(*season) {}, 100, "pass 1 is of 2027-03-01, 211 days old; at most 180 days are accepted"},
		{"a review that is not there", func(s *season) { s.more = strings.Replace(s.more, `"march"`, `"may"`, 1) }, 0,
			"the archive has no edition of a review may that can be read"},
		{"an edition that is not there", func(s *season) { s.more = reusing("  edition = \"e0123456789abcde\"\n") }, 0,
			"the archive has no edition e0123456789abcde of a review march that can be read"},
		{"more passes planned", func(s *season) { s.more += "matrix {\n  repeats = 5\n}\n" }, 0, "march has 3 passes of it, 5 are planned"},
		{"as it stands", func(*season) {}, 0, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			root := t.TempDir()
			do(t, march.make(t, root))
			s := june
			c.is(&s)
			o := s.make(t, root)
			o.Now = o.Now.AddDate(0, 0, c.days)
			r, err := Do(t.Context(), o)
			if err != nil {
				t.Fatal(err)
			}
			cell := theCell(t, r, "tern_ref")
			if cell.NotReused != c.why || (c.why != "") != (cell.State == coverage.Absent) {
				t.Errorf("%v, %q; want %q", cell.State, cell.NotReused, c.why)
			}
			if told := slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.Summary == "Nothing is reused" }); told != (c.why != "") {
				t.Errorf("told of: %v", told)
			}
		})
	}
}

// With despite it is lent all the same, and what differs stands beside the number; what is grave is not put up with.
func TestReusedWithReserve(t *testing.T) {
	root := t.TempDir()
	do(t, march.make(t, root))
	s := june
	s.driver, s.rig, s.more = "615.0", `cpu = "sixteen cores"`, reusing("  despite = [\"driver\", \"not recorded\"]\n")
	r := do(t, s.make(t, root))
	c := theCell(t, r, "tern_ref")
	if i := slices.IndexFunc(c.Flags, func(f Flag) bool { return f.Word == flagReusedReserve }); c.State != coverage.Reused || i < 0 ||
		c.Flags[i].Text != "reused with reserve: driver 612.4 then, 615.0 in the plan; OS build 1 then, not recorded in the plan" {
		t.Errorf("%v, %q: %v", c.State, c.NotReused, c.Flags)
	}
	d, _ := r.Against(theCell(t, r, "heron_x").Cell.Key, r.Plan.Review.Baseline, headline)
	for _, want := range []compute.Flag{FlagReused, flagReusedReserve, flagDriverDiffers} {
		if !slices.Contains(d.Flags, want) {
			t.Errorf("the comparison's flags %v lack %s", d.Flags, want)
		}
	}
	s.name, s.rig, s.rates = "july", `cpu = "eight cores"`, map[string][3]float64{"heron_x": {95, 95.2, 94.8}}
	if c := theCell(t, do(t, s.make(t, root)), "tern_ref"); c.NotReused != "rig's fixed facts cpu eight cores in the plan, cpu sixteen cores then" {
		t.Errorf("%v: %s", c.State, c.NotReused)
	}
}

// One capture of its own and a cell is lent nothing; a void one is none. A failure on record is an answer of today too.
func TestOwnPassesComeFirst(t *testing.T) {
	root := t.TempDir()
	do(t, march.make(t, root))
	s := june
	s.rates = map[string][3]float64{"heron_x": {94, 94.2, 93.8}, "tern_ref": {85, 85.2, 84.8}}
	o := s.make(t, root)
	only := func(keep int) {
		for i := range 3 {
			if i+1 != keep {
				_ = os.Remove(filepath.Join(o.Plans[0], fmt.Sprintf("captures/tern_ref_%d.csv", i+1)))
			}
		}
		name := filepath.Join(o.Plans[0], "bench.csv")
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		lines := slices.DeleteFunc(strings.Split(string(text), "\n"), func(l string) bool {
			return strings.Contains(l, "tern_ref") && !strings.Contains(l, fmt.Sprintf("tern_ref_%d", keep))
		})
		if err := os.WriteFile(name, []byte(strings.Join(lines, "\n")), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if c := theCell(t, do(t, o), "tern_ref"); c.State != coverage.Ready || c.NotReused != "" || c.flagged(FlagReused) {
		t.Errorf("with three passes of its own it is %v: %v", c.State, c.Flags)
	}
	only(2)
	if c := theCell(t, do(t, o), "tern_ref"); c.State != coverage.Short || !slices.Equal(c.Again, []int{1, 3}) {
		t.Errorf("with one pass of its own it is %v, to run %v", c.State, c.Again)
	}
	plan := filepath.Join(o.Plans[0], "plan.hcl")
	text, err := os.ReadFile(plan)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(plan, append(text, "void \"captures/tern_ref_2.csv\" { reason = \"another game ran\" }\n"...), 0o666); err != nil {
		t.Fatal(err)
	}
	if c := theCell(t, do(t, o), "tern_ref"); c.State != coverage.Reused || len(c.Passes) != 4 {
		t.Errorf("with a void pass of its own it is %v with %d passes", c.State, len(c.Passes))
	}
}

// What was lent on leads to the edition that has the frames, and its age counts from when the passes were made. A new edition of the same passes
// makes no new edition of those who reuse them.
func TestReusedPassesLeadToTheirFirstEdition(t *testing.T) {
	root := t.TempDir()
	o := march.make(t, root)
	first := do(t, o).Kept.Edition
	r := do(t, june.make(t, root))
	again := march
	again.more = "let { }\nstatistics { margin = \"2%\" }\n"
	if second := do(t, again.make(t, root)); second.Kept.Edition == first || second.Kept.Already {
		t.Fatal("no second edition of march")
	}
	if same := do(t, june.make(t, root)); !same.Kept.Already || same.Kept.Edition != r.Kept.Edition {
		t.Errorf("edition %s after %s", same.Kept.Edition, r.Kept.Edition)
	}
	s := june
	s.name, s.month, s.rates = "august", 8, map[string][3]float64{"heron_x": {95, 95.2, 94.8}}
	s.more = strings.Replace(reusing(""), "march", "june", 1)
	on := do(t, s.make(t, root))
	c := theCell(t, on, "tern_ref")
	if c.State != coverage.Reused || on.Passes[0].Reused == nil || on.Passes[0].Reused.Edition != first || on.Passes[0].Reused.Review != "march" {
		t.Errorf("%v, %s: %+v", c.State, c.NotReused, on.Passes[0].Reused)
	}
	late := s.make(t, root)
	late.Now = late.Now.AddDate(0, 1, 0)
	if c := theCell(t, do(t, late), "tern_ref"); c.NotReused != "pass 1 is of 2027-03-01, 203 days old; at most 180 days are accepted" {
		t.Errorf("%v: %s", c.State, c.NotReused)
	}
}

// verify gives the reused figures back, and tells of an edition that is referred to and is not there, or not whole.
func TestVerifyReused(t *testing.T) {
	root := t.TempDir()
	old := do(t, march.make(t, root))
	r := do(t, june.make(t, root))
	dir := filepath.Join(root, "archive")
	verify := func(full bool) *Verified {
		t.Helper()
		v, err := Verify(t.Context(), dir, VerifyOptions{Full: full, Workers: 2})
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	v := verify(true)
	if len(v.Damage) > 0 || len(v.Again) != 2 || !v.Again[0].Figures || !v.Again[1].Figures {
		t.Fatalf("%+v, %+v", v.Damage, v.Again)
	}
	wantUnitsAgree(t, dir)
	told := func(v *Verified, found string) bool {
		return slices.ContainsFunc(v.Damage, func(d archive.Damage) bool {
			return d.Edition == r.Kept.Edition && strings.Contains(d.Found, found) && len(d.Passes) == 3 && strings.Contains(d.Next, old.Kept.Edition)
		})
	}
	frames := filepath.Join(old.Kept.Folder, "frames-tern_ref.parquet")
	text, err := os.ReadFile(frames)
	if err != nil {
		t.Fatal(err)
	}
	flip(t, frames)
	if v := verify(true); !told(v, "of which files are damaged") || v.Again[0].Figures {
		t.Errorf("damaged frames: %+v, %+v", v.Damage, v.Again)
	}
	if err := os.WriteFile(frames, text, 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(old.Kept.Folder, filepath.Join(root, "away")); err != nil {
		t.Fatal(err)
	}
	if v := verify(false); !told(v, "which is not in the archive") {
		t.Errorf("an edition that is not there: %+v", v.Damage)
	}
}

// Looking back, a cell that was reused is a point of the review that measured it, and of no other.
func TestReusedCellsAreNoEvidenceTwice(t *testing.T) {
	root := t.TempDir()
	do(t, march.make(t, root))
	do(t, june.make(t, root))
	a, err := archive.Look(filepath.Join(root, "archive"))
	if err != nil {
		t.Fatal(err)
	}
	m, _ := compute.MetricByName(headline)
	points, unreadable, err := history.Points(a, history.Asked{Metric: m})
	if err != nil || len(unreadable) > 0 {
		t.Fatal(err, unreadable)
	}
	var of []string
	for _, p := range points {
		of = append(of, p.Card+" "+p.Review)
	}
	slices.Sort(of)
	if !slices.Equal(of, []string{"heron_x june", "heron_x march", "tern_ref march"}) {
		t.Errorf("points are %v", of)
	}
}

// Frames that are damaged lend nothing, and it is said which edition is at fault.
func TestDamagedFramesAreNotReused(t *testing.T) {
	root := t.TempDir()
	old := do(t, march.make(t, root))
	flip(t, filepath.Join(old.Kept.Folder, "frames-tern_ref.parquet"))
	r := do(t, june.make(t, root))
	c := theCell(t, r, "tern_ref")
	if want := "the frames in edition " + old.Kept.Edition + " of march cannot be used"; c.State != coverage.Absent || c.NotReused != want || r.Kept.Edition != "" {
		t.Errorf("%v, %q, edition %q; want %q", c.State, c.NotReused, r.Kept.Edition, want)
	}
	if w := warnings(r); len(w) != 1 || w[0].Place.File != old.Kept.Folder {
		t.Errorf("warnings %v", w)
	}
}

// Passes of March may be 180 days old: until the end of August.
func TestReusedPassesGrowOldBeforeFilming(t *testing.T) {
	root := t.TempDir()
	do(t, march.make(t, root))
	for due, told := range map[string]bool{"2027-08-27": false, "2027-08-29": true} {
		o := june.make(t, root)
		edit(t, filepath.Join(o.Plans[0], "plan.hcl"), "  baseline = ", "  due      = \""+due+"\"\n  baseline = ")
		r := do(t, o)
		is := slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.Summary == "Reused passes are too old by the day of filming" })
		if is != told || theCell(t, r, "tern_ref").State != coverage.Reused {
			t.Errorf("due %s: told %v, want %v", due, is, told)
		}
	}
}
