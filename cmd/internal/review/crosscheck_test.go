package review

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan"
)

const ciDir = "../../../.ci"

// columns is a set of columns.
func columns(names ...string) map[string]bool {
	set := map[string]bool{}
	for _, n := range names {
		set[n] = true
	}
	return set
}

// The columns that no arithmetic is behind. Whatever else a row has, or comes to have, is compared.
var (
	runFacts = columns("run_id", "card", "mode", "game", "variant", "resolution", "width", "height", "repeat", "launch", "session",
		"source_path", "source_sha256", "source_bytes", "started_at", "rig", "driver", "firmware", "sample", "build", "preset", "api", "scene",
		"drive", "warmup_s", "length_s", "measured_at", "outcome", "status", "void_reason", "frames_edition", "ambient_c", "start_temp_c",
		"mean_power_w", "power_measured_at", "sensed_from_ns",
		"sensed_to_ns", "bad_lines")
	cellFacts       = columns("card", "mode", "game", "variant", "resolution", "metric", "unit", "scale", "state", "flags")
	summaryFacts    = columns("group", "resolution", "metric", "card", "mode", "base_card", "base_mode", "unit")
	claimFacts      = columns("claim", "says", "metric", "unit", "card", "mode", "base_card", "base_mode", "why", "said", "flags")
	comparisonFacts = columns("game", "variant", "resolution", "metric", "unit", "card", "mode", "base_card", "base_mode", "looks")
)

// also adds columns to a set.
func also(set map[string]bool, names ...string) map[string]bool {
	all := columns(names...)
	for n := range set {
		all[n] = true
	}
	return all
}

// Two other programs work the demo out again, neither with a line of ours: each figure of the tables, to 1e-9.
func TestDemoAgreesWithOthers(t *testing.T) {
	long(t)
	dir := copied(t, "demo")
	unpack(t, dir)
	if err := os.WriteFile(filepath.Join(dir, "more.hcl"), []byte(moreClaims), 0o666); err != nil {
		t.Fatal(err)
	}
	// Claims on soaks would be adjusted together with these; what they rest on is held against the truth in cmd/demogen.
	if err := os.Remove(filepath.Join(dir, "soak_claims.hcl")); err != nil {
		t.Fatal(err)
	}
	o := options(dir)
	o.Partial = true // one of the claims is contradicted
	r := do(t, o)
	t.Run("R", func(t *testing.T) { t.Parallel(); agreesWithR(t, r, dir) })
	t.Run("DuckDB", func(t *testing.T) { t.Parallel(); agreesWithDuckDB(t, r) })
}

// moreClaims are of the kinds that the demo has none of; demo.R has them again.
const moreClaims = `
claim "far_ahead" {
  says    = "nine percent faster"
  metric  = "mean_fps"
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  where   = { games = [game.fjord.plain], resolutions = [resolution.uhd] }
  expect  = { at_least = 9 }
}
claim "no_slower" {
  says    = "its lows are no lower"
  metric  = "low1_quantile_fps"
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  expect  = { at_least = 0 }
}
claim "at_most_so_much" {
  says    = "being quiet costs at most three and a half percent"
  metric  = "frame_ms_mean"
  of      = card.gannet.quiet
  against = card.tern_ref.stock
  expect  = { at_most = 3.5 }
}
claim "hits" {
  says   = "hits 67 fps"
  metric = "mean_fps"
  of     = card.heron_x.tuned
  where  = { games = [game.fjord.plain], resolutions = [resolution.uhd] }
  expect = { value = 67, within = 2, unit = "fps" }
}
claim "a_little_ahead" {
  says    = "a little faster"
  metric  = "mean_fps"
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  where   = { games = [game.kelp.plain] }
  expect  = { percent = 1.5, within = 1.4 }
}
claim "less_over_limit" {
  says    = "less time over 120 Hz, by a percentage point"
  metric  = "over_120hz_share"
  of      = card.heron_x.tuned
  against = card.tern_ref.stock
  where   = { resolutions = [resolution.qhd] }
  expect  = { at_most = -1, unit = "pp" }
}
`

// agreesWithR has R read the raw captures and the bench log, and arrive at every figure, interval, verdict and flag.
func agreesWithR(t *testing.T, r *Review, dir string) {
	rscript := needOutside(t, "Rscript")
	o := askOutside(t, exec.CommandContext(t.Context(), rscript, filepath.Join(ciDir, "crosscheck", "demo.R"), dir))
	tables := r.tables()
	o.runs(r, tables.Runs, runFacts)
	o.cells(tables.Cells, cellFacts)
	o.thinCells(r)
	o.comparisons(tables.Comparisons, comparisonFacts)
	o.welch(r)
	for _, row := range tables.Summaries {
		key := []string{row.Group, row.Resolution, row.Card, row.Mode, "against", row.BaseCard, row.BaseMode, row.Metric}
		if m, _ := compute.MetricByName(row.Metric); !r.Senses(m) {
			o.saysNothing(strings.Join(key, " "), row, also(summaryFacts, "games", "left_out", "leads", "levels", "trails", "session_spread", "session_source", "flags"))
			continue
		}
		o.row("summaries", strings.Join(key, " "), row, summaryFacts)
	}
	if n := o.worth(tables.Readings); n < 80 {
		t.Errorf("%d figures of value", n)
	}
	verdicts := map[string]int{}
	for _, row := range tables.Claims {
		o.row("claims", row.Claim, row, claimFacts)
		verdicts[row.Verdict]++
	}
	if len(tables.Summaries) == 0 || len(tables.Claims) != 9 || len(verdicts) != 4 {
		t.Errorf("%d summaries, claims %v", len(tables.Summaries), verdicts)
	}
	o.done()
}

// worth compares what rests on prices and frame rates, and counts it.
func (o *outside) worth(rows []archive.ReadingRow) (n int) {
	for _, row := range rows {
		if row.Games == nil {
			continue
		}
		n++
		name := map[string]string{"EUR/fps": "per_frame", "%": "against", "EUR": "break_even"}[row.Unit]
		size := "all"
		if row.Resolution != nil {
			size = *row.Resolution
		}
		key := strings.Join([]string{*row.PriceKind, size, row.Card, *row.Mode, name}, " ")
		for _, x := range []struct {
			column string
			ours   any
		}{{"value", row.Value}, {"ci_low", row.CILow}, {"ci_high", row.CIHigh}, {"games", row.Games}, {"n", row.N}, {"left_out", row.LeftOut}} {
			o.figure("value", key, x.column, x.ours)
		}
		if name == "against" {
			o.figure("value", key, "p", row.P)
			o.figure("value", key, "verdict", row.Verdict)
		}
	}
	return n
}

// Of the demo's own passes none drifts or is disturbed, so some are made to: in fjord one is 8 % slower from 21 to 25 s, one of quarry
// slows by 6 % from end to end, and one of the six of the control cell is 3 % slow throughout: one of three of its session, then one
// that is alone in its. R finds the same in each pass.
func TestFaultsAgreeWithR(t *testing.T) {
	long(t)
	rscript := needOutside(t, "Rscript")
	for _, c := range []struct{ slow, kind string }{{"fjord-plain_qhd_2", "suspect"}, {"fjord-plain_qhd_4", "control"}} {
		dir := copied(t, "demo")
		slowed(t, filepath.Join(dir, "captures/heron_x-stock/fjord-plain_uhd_2.csv.zst"), func(ms float64) float64 {
			if ms >= 21_000 && ms < 25_000 {
				return 0.08
			}
			return 0
		})
		slowed(t, filepath.Join(dir, "captures/gannet-stock/quarry-plain_qhd_3.csv.zst"), func(ms float64) float64 { return 0.06 * ms / 33_000 })
		slowed(t, filepath.Join(dir, "captures/tern_ref-stock", c.slow+".csv.zst"), func(float64) float64 { return 0.03 })
		keepInLog(t, filepath.Join(dir, "bench.csv"), ",heron_x,stock,fjord,plain,uhd,", ",gannet,stock,quarry,plain,qhd,", ",tern_ref,stock,fjord,plain,qhd,",
			",skua,stock,bazaar,plain,", ",gannet,quiet,kelp,plain,uhd,")
		unpack(t, dir)
		r := do(t, options(dir))
		o := askOutside(t, exec.CommandContext(t.Context(), rscript, filepath.Join(ciDir, "crosscheck", "demo.R"), dir, "passes"))
		found := map[string]int{}
		rows := r.tables().Runs
		o.runs(r, rows, runFacts)
		for _, p := range r.Passes {
			for _, w := range p.Words() {
				found[w]++
			}
		}
		o.done()
		if len(rows) != 21 || found["drift"] != 1 || found["disturbed"] != 1 || found[c.kind] != 1 || found["suspect"]+found["control"] != 1 {
			t.Errorf("%s: %d passes, flags %v", c.slow, len(rows), found)
		}
	}
}

// keepInLog keeps the rows of a bench log that have one of some texts in them, and removes the captures of the others.
func keepInLog(t *testing.T, path string, texts ...string) {
	t.Helper()
	log, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	header, rows, _ := strings.Cut(string(log), "\n")
	kept := header + "\n"
	for row := range strings.Lines(rows) {
		if slices.ContainsFunc(texts, func(text string) bool { return strings.Contains(row, text) }) {
			kept += row
			continue
		}
		file, _, _ := strings.Cut(row, ",")
		if err := os.Remove(filepath.Join(filepath.Dir(path), file)); file != "" && err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(path, []byte(kept), 0o666); err != nil {
		t.Fatal(err)
	}
}

// agreesWithDuckDB has DuckDB read the archived frames, and arrive at what the archived tables say of them.
func agreesWithDuckDB(t *testing.T, r *Review) {
	readers := filepath.Join(ciDir, "parquet-readers")
	node := needOutside(t, "node", filepath.Join(readers, "node_modules"))
	if r.Kept.Folder == "" {
		t.Fatal("no edition was published")
	}
	rig, _ := r.Plan.Rig()
	hz := strconv.FormatFloat(rig.DisplayHz, 'g', -1, 64)
	o := askOutside(t, exec.CommandContext(t.Context(), node, filepath.Join(readers, "figures.mjs"), r.Kept.Folder, hz))
	tables := r.tables()
	for _, row := range tables.Runs {
		if wrong, ok := o.take("runs", runKey(row), "kept_wrongly"); wrong != "0" || !ok {
			o.complain("%s: %q frames are not marked as the plan's warm-up and length have it", runKey(row), wrong)
		}
	}
	o.runs(r, tables.Runs, also(runFacts, "drift_pct", "disturbed_from_s", "disturbed_to_s", "flags"))
	o.cells(tables.Cells, also(cellFacts, "ci_low", "ci_high", "own_ci_low", "own_ci_high", "df", "method"))
	o.comparisons(tables.Comparisons, also(comparisonFacts, "ci_low", "ci_high", "own_ci_low", "own_ci_high", "df", "p", "session_spread",
		"session_source", "verdict", "firm", "repeats_needed", "flags"))
	o.done()
}

func runKey(row archive.RunRow) string {
	return strings.Join([]string{row.Card, row.Mode, row.Game, row.Variant, row.Resolution, strconv.Itoa(int(row.Repeat))}, " ")
}

// runs compares every pass: the fields of its row, and the figures that have a column without one.
func (o *outside) runs(r *Review, rows []archive.RunRow, others map[string]bool) {
	o.t.Helper()
	fields := columns(columnsOf(archive.RunRow{})...)
	for _, row := range rows {
		o.row("runs", runKey(row), row, others)
		for _, m := range compute.Metrics() {
			if fields[m.Name] {
				continue
			}
			var x *float64
			if kept, ok := archive.Figure(&row, m.Name); ok {
				x = &kept
			}
			if !r.Senses(m) {
				if x != nil {
					o.complain("%s: %s is %g, and the plan names no such sensor", runKey(row), m.Name, *x)
				}
				continue
			}
			o.figure("runs", runKey(row), m.Name, x)
		}
	}
	if len(rows) != len(r.Passes) || len(rows) == 0 {
		o.t.Errorf("%d rows of %d passes", len(rows), len(r.Passes))
	}
}

// cells compares every cell in every metric. Of one without a pass nobody else knows, and it must say nothing.
func (o *outside) cells(rows []archive.CellRow, others map[string]bool) {
	o.t.Helper()
	for _, row := range rows {
		key := strings.Join([]string{row.Card, row.Mode, row.Game, row.Variant, row.Resolution, row.Metric}, " ")
		if row.N == 0 && !o.has("cells", key) {
			o.saysNothing(key, row, also(others, "n", "launches", "sessions"))
			continue
		}
		o.row("cells", key, row, others)
	}
}

// comparisons compares every pair in every metric.
func (o *outside) comparisons(rows []archive.ComparisonRow, others map[string]bool) {
	o.t.Helper()
	for _, row := range rows {
		key := comparisonKey(plan.Key{Card: row.Card, Mode: row.Mode, Game: row.Game, Variant: row.Variant, Resolution: row.Resolution},
			plan.Mode{Card: row.BaseCard, Mode: row.BaseMode}, row.Metric)
		if row.N*row.BaseN == 0 && !o.has("comparisons", key) {
			o.saysNothing(key, row, also(others, "n", "base_n", "session_spread", "session_source", "flags"))
			continue
		}
		o.row("comparisons", key, row, others)
	}
}

func comparisonKey(of plan.Key, base plan.Mode, metric string) string {
	return strings.Join([]string{of.Card, of.Mode, of.Game, of.Variant, of.Resolution, "against", base.Card, base.Mode, metric}, " ")
}

// saysNothing holds a row that rests on no pass to having no figure.
func (o *outside) saysNothing(key string, row any, others map[string]bool) {
	o.t.Helper()
	v := reflect.ValueOf(row)
	for i := range v.NumField() {
		column, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("parquet"), ",")
		if f := v.Field(i); !others[column] && !(f.Kind() == reflect.Pointer && f.IsNil()) {
			o.complain("%s: %s is %v, although there is no pass", key, column, f)
		}
	}
}

// thinCells compares whether a cell's low rests on too few frames.
func (o *outside) thinCells(r *Review) {
	o.t.Helper()
	for _, c := range r.Cells {
		k := c.Cell.Key
		for _, s := range c.Stats {
			key := strings.Join([]string{k.Card, k.Mode, k.Game, k.Variant, k.Resolution, s.Metric}, " ")
			if s.N > 0 {
				o.figure("cells", key, "thin", slices.Contains(s.Flags, compute.FlagThin))
			}
		}
	}
}

// welch compares each pair as if spread were not borrowed and sessions moved nothing: Welch's test and two one-sided ones.
func (o *outside) welch(r *Review) {
	o.t.Helper()
	cells := map[plan.Key]Cell{}
	for _, c := range r.Cells {
		cells[c.Cell.Key] = c
	}
	for _, d := range r.Comparisons {
		if d.N == 0 || d.BaseN == 0 || d.Metric.Scale == compute.Count {
			continue
		}
		a, base := compute.Cell(d.Metric, r.samples(d.Metric, cells[d.Of])), compute.Cell(d.Metric, r.samples(d.Metric, cells[d.Base]))
		a.Flags, base.Flags = nil, nil // R's test knows no thin lows
		w := compute.Compare(d.Metric, a, base, compute.SessionSpread{DF: math.Inf(1), Source: "none"}, r.margin())
		key := comparisonKey(d.Of, d.Base.CardMode(), d.Metric.Name)
		o.value("welch", key, "ci_low", w.Low)
		o.value("welch", key, "ci_high", w.High)
		o.value("welch", key, "df", w.DF)
		o.value("welch", key, "p", w.P)
		o.figure("welch", key, "verdict", string(w.Verdict))
	}
}

// R works out what the sensors beside real captures say of each pass, from the raw files.
func TestSensorsAgreeWithR(t *testing.T) {
	rscript := needOutside(t, "Rscript")
	for _, c := range []struct {
		plan, captures string
		passes         int
	}{{"real", "", 12}, {"real-all", "../../../../shared/captures", 30}} {
		t.Run(c.plan, func(t *testing.T) {
			o := options(copied(t, c.plan))
			from := filepath.Join(o.Plans[0], "captures")
			if c.captures != "" {
				if _, err := os.Stat(c.captures); err != nil {
					t.Skip("needs the shared captures beside the repository")
				}
				from, o.Captures = c.captures, c.captures
			}
			r := do(t, o)
			other := askOutside(t, exec.CommandContext(t.Context(), rscript, filepath.Join(ciDir, "crosscheck", "sensors.R"), from, "2", "12"))
			other.sensed(r)
			if len(r.Passes) != c.passes {
				t.Errorf("%d passes, want %d", len(r.Passes), c.passes)
			}
		})
	}
}

// DuckDB works the same out from the archived logs alone.
func TestSensorsAgreeWithDuckDB(t *testing.T) {
	readers := filepath.Join(ciDir, "parquet-readers")
	node := needOutside(t, "node", filepath.Join(readers, "node_modules"))
	r := do(t, options(copied(t, "real")))
	other := askOutside(t, exec.CommandContext(t.Context(), node, filepath.Join(readers, "sensors.mjs"), r.Kept.Folder, "power", "core_clock", "core_temp"))
	other.sensed(r)
}

// sensed compares what sensors say of every pass.
func (o *outside) sensed(r *Review) {
	o.t.Helper()
	for _, row := range r.tables().Runs {
		for _, m := range compute.Metrics() {
			if m.Needs == "" {
				continue
			}
			var x *float64
			if kept, ok := archive.Figure(&row, m.Name); ok {
				x = &kept
			}
			o.figure("runs", runKey(row), m.Name, x)
		}
	}
	o.done()
}
