package review

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/parquet-go/parquet-go"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// sensorPlan asks for passes of a second's warm-up and eight seconds kept, in frames of about half a second.
const sensorPlan = `
review "sensed" { baseline = card.tern_ref.stock }
card "tern_ref" { vendor = "tern" }
card "heron_x" { vendor = "heron" }
game "fjord" {
  drive = "built-in"
  keep  = { warmup = "1s", length = "8s" }
}
resolution "uhd" { size = "3840x2160" }
matrix { repeats = %d }
`

const siblings = `
files "frames" {
  path       = "{card}.{repeat}.csv"
  frame_time = { column = "frame_ms", unit = "ms" }
  timestamp  = { column = "end_s", unit = "s" }
  sensors {
    path   = "{card}.{repeat}.log"
    text   = { delimiter = ";", decimal = "," }
    time   = { column = "t", unit = "ms" }
    offset = "-2s"
    channels = {
      spot  = { column = "spot", unit = "F" }
      clock = { column = "clock", unit = "MHz" }
      power = { column = "power", unit = "W", at = "reported board" }
      wall  = { column = "wall", unit = "W", at = "wall" }
    }
  }
}
`

// folderOf writes a plan and captures.
func folderOf(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// framesAt writes twenty frames of half a second, ms longer, the first of which ends at firstS on the capture's clock; extra heads a further
// column, whose values are given by frame.
func framesAt(firstS float64, ms int, extra string, value func(i int) string) string {
	var b strings.Builder
	b.WriteString("frame_ms,end_s" + extra + "\n")
	for i := range 20 {
		fmt.Fprintf(&b, "%d,%.3f", 500+ms, firstS+float64(i*(500+ms))/1000)
		if extra != "" {
			b.WriteString("," + value(i))
		}
		b.WriteString("\n")
	}
	return b.String()
}

// sensorLog writes a line a second from 0 to 14 s.
func sensorLog(line func(s int) string) string {
	var b strings.Builder
	b.WriteString("t;spot;clock;power;wall\n")
	for s := range 15 {
		fmt.Fprintf(&b, "%d;%s\n", 1000*s, line(s))
	}
	return b.String()
}

func figureOf(t *testing.T, p Pass, name string) compute.Value {
	t.Helper()
	m, ok := compute.MetricByName(name)
	if !ok || p.Figures == nil {
		t.Fatalf("%s of %s", name, p.File.Path)
	}
	return m.Of(p.Figures)
}

// By hand. The capture's clock stands at 3.5 s when its first frame ends; a second is cut, so frames 2 to 17, eight seconds, are kept,
// from 4.0 to 12.0 s of that clock: 6.0 to 14.0 s of the log's, which is 2 s ahead. Power 100 W + 10 W/s is 200 W on average there, so
// 1600 J for 16 frames. 50 °F are 10 °C, a degree Celsius a second more; the log's first sample is at its 0 s.
func TestSensorsBesideAPass(t *testing.T) {
	line := func(s int) string {
		return fmt.Sprintf("%s;%d;%d;%d", strings.Replace(fmt.Sprintf("%.1f", 50+1.8*float64(s)), ".", ",", 1), 1900, 100+10*s, 500)
	}
	dir := folderOf(t, map[string]string{"plan.hcl": fmt.Sprintf(sensorPlan, 1) + siblings, "tern_ref.1.csv": framesAt(3.5, 0, "", nil), "tern_ref.1.log": sensorLog(line),
		"heron_x.1.csv": framesAt(3.5, 0, ",x", func(int) string { return "1" })})
	r := do(t, options(dir))
	p := r.Passes[0]
	for name, want := range map[string]float64{"mean_power_w": 200, "energy_per_frame_j": 100, "frames_per_joule": 0.01, "clock_mean_mhz": 1900,
		"mean_temp_c": 20, "start_temp_c": 10} {
		if v := figureOf(t, p, name); !v.OK || math.Abs(v.X-want) > 1e-9 {
			t.Errorf("%s is %v, want %g", name, v, want)
		}
	}
	rows := r.tables().Runs
	if at := rows[0].PowerMeasuredAt; at == nil || *at != "reported board" || rows[1].PowerMeasuredAt != nil {
		t.Errorf("measured at %v and %v", rows[0].PowerMeasuredAt, rows[1].PowerMeasuredAt)
	}
	if from, to := rows[0].SensedFromNS, rows[0].SensedToNS; from == nil || to == nil || *from != 4e9 || *to != 12e9 {
		t.Errorf("kept from %v to %v", from, to)
	}
	if w, c := rows[0].MeanPowerW, rows[0].StartTempC; w == nil || *w != 200 || c == nil || math.Abs(*c-10) > 1e-9 || rows[1].MeanPowerW != nil {
		t.Errorf("archived are %v W and %v °C", w, c)
	}
	// The other has none: its frame rate stands, what rests on sensors does not, and that is said once.
	for _, name := range []string{"mean_power_w", "energy_per_frame_j", "clock_mean_mhz", "start_temp_c"} {
		if v := figureOf(t, r.Passes[1], name); v.OK || v.Why != "no file of the form {card}.{repeat}.log is of it" {
			t.Errorf("%s is %v", name, v)
		}
	}
	if v := figureOf(t, r.Passes[1], "mean_fps"); !v.OK || v.X != 2 || r.Passes[1].Status != Used || len(r.Passes[1].Doubts) > 0 {
		t.Errorf("the pass without sensors: %v, %+v", v, r.Passes[1])
	}
	said := 0
	for _, f := range r.Findings {
		if f.Summary == "Sensor files are not there" && f.Severity == finding.Warning && strings.HasPrefix(f.Detail, "Passes that lack one: 1 of 2. The first is heron_x.1.csv: ") {
			said++
		}
	}
	if said != 1 || len(r.Strays) > 0 || r.Other.Count != 0 {
		t.Errorf("said %d times; strays %v, other %v", said, r.Strays, r.Other)
	}
}

// A log that cannot be used is no reason to do without the pass, and neither is one with holes. In the second the power is there up to 8 s of
// the log only, two of the eight seconds; 100 W there.
func TestSensorsThatAreDamaged(t *testing.T) {
	gone := func(s int) string {
		if s > 8 {
			return "50;1900;;500"
		}
		return "50;1900;100;500"
	}
	dir := folderOf(t, map[string]string{"plan.hcl": fmt.Sprintf(sensorPlan, 1) + siblings, "tern_ref.1.csv": framesAt(3.5, 0, "", nil), "tern_ref.1.log": "t;spot\n",
		"heron_x.1.csv": framesAt(3.5, 1, "", nil), "heron_x.1.log": sensorLog(gone)})
	r := do(t, options(dir))
	if v := figureOf(t, r.Passes[0], "mean_power_w"); v.OK || v.Why != "tern_ref.1.log cannot be used" || !figureOf(t, r.Passes[0], "mean_fps").OK {
		t.Errorf("of a log that cannot be used: %v", v)
	}
	if v := figureOf(t, r.Passes[1], "mean_power_w"); !v.OK || v.X != 100 {
		t.Errorf("power over what was logged: %v", v)
	}
	if v := figureOf(t, r.Passes[1], "energy_per_frame_j"); v.OK || !strings.Contains(v.Why, "% of the time, and 95 % is needed") {
		t.Errorf("energy: %v", v)
	}
	if v := figureOf(t, r.Passes[1], "clock_mean_mhz"); !v.OK || v.X != 1900 {
		t.Errorf("clock: %v", v)
	}
	if r.Findings.HasErrors() || !slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.Place.File == "tern_ref.1.log" }) {
		t.Errorf("findings %v", r.Findings)
	}
}

// Readings in the capture's own file are of the end of each frame. By hand: of frame i they are 100 + i W, kept are frames 2 to 17 and the time
// from the end of frame 1, 101 W, to that of frame 17, 117 W: 109 W on average, 872 J, 54.5 J a frame.
func TestSensorsInTheCapture(t *testing.T) {
	const own = `
files "frames" {
  path       = "{card}.{repeat}.csv"
  frame_time = { column = "frame_ms", unit = "ms" }
  extra = {
    chip = { column = "chip", unit = "W", at = "reported chip" }
    spot = { column = "spot", unit = "C" }
  }
}
`
	frames := framesAt(0.5, 0, ",chip,spot", func(i int) string {
		if i == 0 {
			return "100," // no temperature yet
		}
		return fmt.Sprintf("%d,%d", 100+i, 40+i)
	})
	dir := folderOf(t, map[string]string{"plan.hcl": fmt.Sprintf(sensorPlan, 1) + own, "tern_ref.1.csv": frames, "heron_x.1.csv": frames + "500,10.500,x,y\n"})
	r := do(t, options(dir))
	for _, p := range r.Passes {
		for name, want := range map[string]float64{"mean_power_w": 109, "energy_per_frame_j": 54.5, "mean_temp_c": 49, "start_temp_c": 41} {
			if v := figureOf(t, p, name); !v.OK || math.Abs(v.X-want) > 1e-9 {
				t.Errorf("%s of %s is %v, want %g", name, p.File.Path, v, want)
			}
		}
		if v := figureOf(t, p, "clock_mean_mhz"); v.OK || v.Why != "no clock was logged" {
			t.Errorf("clock of %s: %v", p.File.Path, v)
		}
	}
	wantUnitsAgree(t, filepath.Join(dir, "archive"))
	if got := extraColumns(r.Plan.Files); !slices.Equal(got, []string{"chip_w", "spot_c"}) {
		t.Errorf("archived as %v", got)
	}
}

// Power of unlike places is neither compared nor averaged; frame rates are.
func TestUnlikePlacesOfPower(t *testing.T) {
	const unlike = `
files "board" {
  path       = "{card}.{repeat}.board.csv"
  frame_time = { column = "frame_ms", unit = "ms" }
  extra      = { power = { column = "w", unit = "W", at = "reported board" } }
}
files "wall" {
  path       = "{card}.{repeat}.wall.csv"
  frame_time = { column = "frame_ms", unit = "ms" }
  extra      = { power = { column = "w", unit = "W", at = "wall" } }
}
claim "frugal" {
  metric  = "energy_per_frame_j"
  of      = card.heron_x
  against = card.tern_ref
  expect  = { at_most = -10 }
}
`
	frames := func(ms, watts int) string {
		return framesAt(0.5, ms, ",w", func(i int) string { return fmt.Sprint(watts + i%2) })
	}
	files := map[string]string{"plan.hcl": fmt.Sprintf(sensorPlan, 2) + unlike, "tern_ref.1.board.csv": frames(0, 200), "tern_ref.2.board.csv": frames(1, 203),
		"heron_x.1.wall.csv": frames(2, 300), "heron_x.2.wall.csv": frames(3, 304)}
	r := do(t, options(folderOf(t, files)))
	heron := plan.Key{Card: "heron_x", Mode: "stock", Game: "fjord", Variant: "plain", Resolution: "uhd"}
	const why = "power of wall against reported board; unlike ones are never compared"
	for _, c := range []struct{ metric, why string }{{"mean_power_w", why}, {"energy_per_frame_j", why}, {"frames_per_joule", why}, {"mean_fps", ""}} {
		d, ok := r.Against(heron, r.Plan.Review.Baseline, c.metric)
		if refused := slices.Contains(d.Flags, flagNotComparable); !ok || refused != (c.why != "") || d.Why != c.why || d.Percent.OK == refused {
			t.Errorf("%s: %+v", c.metric, d)
		}
	}
	for _, s := range r.Summaries {
		if s.Metric.Needs == compute.OfPower && (s.Percent.OK || len(s.LeftOut) != 1 || s.LeftOut[0].Why != why) {
			t.Errorf("over the games in %s: %+v", s.Metric.Name, s)
		}
	}
	if c := r.Claims[0]; c.Why != why || c.Said != "" || c.Verdict != compute.NoData {
		t.Errorf("claim: %q %q %s", c.Why, c.Said, c.Verdict)
	}
	said := 0
	for _, f := range r.Findings.Tidy() {
		if f.Summary == "Cells that are compared differ" {
			said++
		}
	}
	if said != 1 {
		t.Errorf("said %d times", said)
	}

	files["tern_ref.2.wall.csv"] = files["tern_ref.2.board.csv"]
	delete(files, "tern_ref.2.board.csv")
	r = do(t, options(folderOf(t, files)))
	s, _ := r.cell(other(heron, r.Plan.Review.Baseline)).Stat("mean_power_w")
	if s.Mean.OK || s.Why != "its passes have power of reported board and wall; unlike ones are never averaged" {
		t.Errorf("over passes of unlike places: %+v", s)
	}
}

// Of three passes that start at 40, 41 and 47 °C the last lies 6.5 K from the median of the others, 40.5 °C, the first 4 K from 44 °C, the second 2.5 K.
func TestStartTemperature(t *testing.T) {
	files := map[string]string{"plan.hcl": fmt.Sprintf(sensorPlan, 3) + siblings}
	for _, card := range []string{"tern_ref", "heron_x"} {
		for i, fahrenheit := range []string{"104", "105,8", "116,6"} {
			if card == "heron_x" && i == 2 {
				fahrenheit = "113,36" // 45.2 °C, 4.7 K off
			}
			name := fmt.Sprintf("%s.%d", card, i+1)
			files[name+".csv"] = framesAt(3.5, i, ",x", func(int) string { return card })
			files[name+".log"] = sensorLog(func(s int) string { return fahrenheit + fmt.Sprintf(";1900;%d;%d", 200+s+i, 500+len(card)) })
		}
	}
	r := do(t, options(folderOf(t, files)))
	for _, p := range r.Passes {
		want := ""
		if p.Key.Card == "tern_ref" && p.Repeat == 3 {
			want = "started at 47.0 °C, 6.5 K above passes 1 and 2"
		}
		got := ""
		for _, d := range p.Doubts {
			if d.Kind == kindStartTemp {
				got = d.Text
			}
		}
		if got != want {
			t.Errorf("%s pass %d: %q, want %q", p.Key, p.Repeat, got, want)
		}
	}
	for _, c := range r.Cells {
		if doubtful := c.Cell.Card == "tern_ref"; c.State.Holds() == doubtful {
			t.Errorf("%s is %s", c.Cell.Key, c.State)
		}
		starts := 0
		for _, k := range r.Checks(c) {
			if strings.HasSuffix(k.Name, " start") && !k.Skipped {
				starts++
			}
		}
		if starts != 3 {
			t.Errorf("%s: %d checks of the start", c.Cell.Key, starts)
		}
	}
}

// What the sensors said is part of the edition, and stands in it: another log is another edition, and one that lies beside two passes is of neither.
func TestSensorsAreOfTheEdition(t *testing.T) {
	log := sensorLog(func(s int) string { return fmt.Sprintf("50;1900;%d;500", 100+s) })
	files := map[string]string{"plan.hcl": fmt.Sprintf(sensorPlan, 1) + siblings, "tern_ref.1.csv": framesAt(3.5, 0, "", nil), "heron_x.1.csv": framesAt(3.5, 1, "", nil),
		"tern_ref.1.log": log, "heron_x.1.log": log}
	same := do(t, options(folderOf(t, files)))
	if !slices.ContainsFunc(same.Findings, func(f finding.Finding) bool { return f.Summary == "The same sensor log lies beside two passes" }) {
		t.Errorf("findings %v", same.Findings)
	}
	for i, other := range []string{"tern_ref.1.log", "heron_x.1.log"} { // cards in declared order; each names the other's
		if v := figureOf(t, same.Passes[1-i], "mean_power_w"); v.OK || v.Why != "the same log lies beside another pass as "+other {
			t.Errorf("power of %s: %v", same.Passes[1-i].File.Path, v)
		}
	}
	files["heron_x.1.log"] = strings.Replace(log, "105;", ";", 1) // a cell without a value
	r := do(t, options(folderOf(t, files)))
	files["heron_x.1.log"] = strings.Replace(log, "105;", "106;", 1)
	again := do(t, options(folderOf(t, files)))
	if r.Kept.Edition == "" || r.Kept.Edition == again.Kept.Edition || r.Kept.Edition == same.Kept.Edition {
		t.Errorf("editions %q, %q and %q", same.Kept.Edition, r.Kept.Edition, again.Kept.Edition)
	}
	m, err := archive.ReadManifest(r.Kept.Folder)
	if err != nil {
		t.Fatal(err)
	}
	// Fifteen rows of four channels, one value fewer of heron_x; of the log beside two passes there is none.
	for card, want := range map[string]int64{"tern_ref": 60, "heron_x": 59} {
		i := slices.IndexFunc(m.Files, func(e archive.FileEntry) bool { return e.Path == "sensors-"+card+".parquet" })
		if i < 0 || m.Files[i].Rows == nil || *m.Files[i].Rows != want {
			t.Errorf("sensors of %s: %+v", card, m.Files)
		}
	}
	archivedAsLogged(t, r)
	if m, err = archive.ReadManifest(same.Kept.Folder); err != nil || slices.ContainsFunc(m.Files, func(e archive.FileEntry) bool { return strings.HasPrefix(e.Path, "sensors-") }) {
		t.Errorf("of the log beside two passes: %v %+v", err, m.Files)
	}
	for _, p := range r.Passes {
		sum := fmt.Sprintf("%x", p.Sensors.Files[0].SHA256)
		if m, _ := archive.ReadManifest(r.Kept.Folder); !slices.ContainsFunc(m.Raw, func(e archive.RawEntry) bool { return e.SHA256 == sum }) {
			t.Errorf("%s is not among the raw files", p.Sensors.Files[0].Path)
		}
	}
}

// archivedAsLogged reads tern_ref's sensors back by a reader that is not ours: each value of the power at its time, on the clock of the capture, 2 s
// behind the log's, beside the frames that it was logged with.
func archivedAsLogged(t *testing.T, r *Review) {
	t.Helper()
	type row struct {
		Card        string  `parquet:"card"`
		Protocol    *string `parquet:"protocol"`
		Repeat      int32   `parquet:"repeat"`
		FramesRunID *string `parquet:"frames_run_id"`
		Channel     string  `parquet:"channel"`
		Unit        string  `parquet:"unit"`
		MeasuredAt  *string `parquet:"measured_at"`
		TimeNS      int64   `parquet:"time_ns"`
		Value       float64 `parquet:"value"`
	}
	rows, err := parquet.ReadFile[row](filepath.Join(r.Kept.Folder, "sensors-tern_ref.parquet"))
	if err != nil {
		t.Fatal(err)
	}
	power := 0
	for _, x := range rows {
		if x.Card != "tern_ref" || x.Protocol != nil || x.Repeat != 1 || x.FramesRunID == nil || *x.FramesRunID != r.tables().Runs[0].RunID {
			t.Fatalf("%+v beside %s", x, r.tables().Runs[0].RunID)
		}
		switch s := x.TimeNS/1e9 + 2; x.Channel {
		case "power":
			power++
			if x.Unit != "W" || x.MeasuredAt == nil || *x.MeasuredAt != "reported board" || x.TimeNS != (s-2)*1e9 || x.Value != float64(100+s) {
				t.Errorf("%+v", x)
			}
		case "spot":
			if x.Unit != "C" || math.Abs(x.Value-10) > 1e-12 {
				t.Errorf("%+v", x)
			}
		}
	}
	if power != 15 {
		t.Errorf("%d values of the power", power)
	}
}

// A circumstance of a pass may be claimed, as plans always could, and is answered with why there is no figure of a cell.
func TestClaimOnACircumstance(t *testing.T) {
	dir := folderOf(t, map[string]string{"plan.hcl": fmt.Sprintf(sensorPlan, 1) + siblings + `
claim "starts_cool" {
  metric = "start_temp_c"
  of     = card.heron_x
  expect = { at_most = 40, unit = "°C" }
}
`, "heron_x.1.csv": framesAt(3.5, 0, "", nil), "heron_x.1.log": sensorLog(func(int) string { return "50;1900;200;500" })})
	r, err := Do(t.Context(), options(dir))
	if err != nil {
		t.Fatal(err)
	}
	if c := r.Claims[0]; c.Verdict != compute.NoData || c.Why != "the start temperature is a circumstance of each pass, neither averaged nor compared" {
		t.Errorf("%s: %s", c.Verdict, c.Why)
	}
}
