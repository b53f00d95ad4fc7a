package explain

import (
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/glossary"
)

var update = flag.Bool("update", false, "write the examples anew")

// stages are the reviews that examples are taken from, the demo first.
func stages(t *testing.T, demo, real bench) []stage {
	return []stage{
		{"", demo.review()},
		{"In the demo that is not ready: ", copyOf(t, "demo-unready").review()},
		{"In the demo of soaks that went wrong: ", copyOf(t, "demo-doubtful").review()},
		{"In the demo of soaks, with two more: ", furtherSoaks(t)},
		{"In the demo, one pass made 2.5 % slower: ", slowed(t)},
		{"In the demo, with other claims: ", claimed(t)},
		{"In the demo, spoiled on purpose: ", spoiled(t)},
		{"In the demo, cut down to two games and spoiled: ", small(t)},
		{"In a review that reuses another's passes: ", reusing(t)},
		{realPasses, real.review()},
		{"In real passes, one of them made to begin cold: ", begunCold(t)},
	}
}

// Every example is worked out anew from the demo and held against the one that the program carries. That every word of a table is
// given by some review, and every entry by the program, falls out on the way.
func TestExamples(t *testing.T) {
	if testing.Short() {
		t.Skip("works every example out from the reviews of the repository")
	}
	demo, real := copyOf(t, "demo"), copyOf(t, "real")
	all := stages(t, demo, real)
	got := map[string]string{}
	for _, m := range compute.Metrics() {
		if m.Needs == "" {
			got[m.Name] = demo.exampleOf(all[0].Review, m)
			continue
		}
		for _, s := range all { // the demo's passes have no sensors
			if s.name == realPasses {
				got[m.Name] = realPasses + real.exampleOf(s.Review, m)
			}
		}
	}
	for _, f := range figures() {
		got[f.Name] = f.worked(all[0].Review)
	}
	words := map[string]bool{}
	for _, e := range review.Entries() {
		words[e.Name] = true
	}
	for rank := range ranks {
		for _, s := range all {
			for word, text := range sightings(s.Review)[rank] {
				if !words[word] {
					t.Errorf("%q is given, and nothing explains it: %s", word, text)
				}
				if got[word] == "" {
					got[word] = s.name + text
				}
			}
		}
	}
	for word := range words {
		if got[word] == "" {
			t.Errorf("%q is explained, and no review here gives it", word)
		}
	}
	if *update {
		text, err := json.MarshalIndent(got, "", "  ")
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile("examples.json", append(text, '\n'), 0o666); err != nil {
			t.Fatal(err)
		}
		return
	}
	for _, name := range slices.Sorted(maps.Keys(got)) {
		if got[name] != Example(name) {
			t.Errorf("the example of %s is not the demo's; go generate ./cmd/internal/explain\n  program: %s\n  demo:    %s", name, Example(name), got[name])
		}
	}
}

// realPasses are those of the repository, with the sensor files that were logged beside them.
const realPasses = "In real passes: "

// exampleOf lays a pass of the demo open: the shown cell's first, or where the figure is nothing there, the first where it is not.
func (b bench) exampleOf(r *review.Review, m compute.Metric) string {
	if m.Example == nil {
		b.Errorf("%s has nothing to work an example out with: give its entry in compute an Example", m.Name)
		return ""
	}
	use := -1
	for i, p := range r.Passes {
		if p.Figures == nil || m.Of(p.Figures).X == 0 || !strings.HasSuffix(p.File.Path, ".csv.zst") && !strings.HasSuffix(p.File.Path, ".csv.gz") {
			continue
		}
		if p.Key == shown {
			use = i
			break
		}
		if use < 0 {
			use = i
		}
	}
	if use < 0 {
		b.Errorf("%s is nothing in every pass of the demo", m.Name)
		return ""
	}
	p := r.Passes[use]
	game, _ := r.Plan.Game(p.Key.Game)
	var ns []int64
	for _, ms := range b.frames(p.File.Path) {
		ns = append(ns, int64(math.Round(ms*1e6)))
	}
	lo, hi := compute.Keep(ns, compute.Window{WarmupNS: game.Keep.Warmup.Nanoseconds(), LengthNS: game.Keep.Length.Nanoseconds()})
	rig, _ := r.Plan.Rig()
	w := compute.LayOpen(ns[lo:hi], compute.Duration(ns[:lo]), compute.PassOptions{QuantileType: r.Plan.Statistics.Quantile, DisplayHz: rig.DisplayHz,
		Sensed: p.Sensors.Sensed})
	if mine, its := m.Of(w.Pass), m.Of(p.Figures); mine != its {
		b.Errorf("%s of %s laid open is %v, in the review %v", m.Name, p.File.Path, mine, its)
	}
	return fmt.Sprintf("%s, pass %d: %s", p.Key, p.Repeat, m.Example(w))
}

// How much the place of a word tells of it: a sentence with its figures, a comparison, its place alone.
const (
	sentence = iota
	compared
	placed
	ranks
)

// sightings are the words that a review gives, by rank, each with the first place it stands at.
func sightings(r *review.Review) (seen [ranks]map[string]string) {
	for rank := range seen {
		seen[rank] = map[string]string{}
	}
	see := func(rank int, word, format string, args ...any) {
		if word != "" && seen[rank][word] == "" {
			seen[rank][word] = fmt.Sprintf(format, args...)
		}
	}
	for _, d := range r.Comparisons {
		if d.Holds && d.Metric.Name == headline {
			see(sentence, string(d.Verdict), "%s, so %s", lined(d), d.Verdict)
		}
		if d.Firm && d.Metric.Name == headline {
			see(sentence, "firm", "%s, %s with p = %.2g, so small among all cells looked at that it is firm", lined(d), d.Verdict, d.P.X)
		}
		for _, f := range d.Flags {
			see(compared, string(f), "%s: %s", lined(d), strings.ReplaceAll(string(f), "_", " "))
		}
		see(compared, string(d.Verdict), "%s, so %s", lined(d), d.Verdict)
	}
	for _, c := range r.Cells {
		see(sentence, c.State.String(), "%s: %s%s", c.Cell.Key, c.State.Shown(), because(c.Judgement))
		for _, w := range c.Why {
			at := c.Cell.Key.String()
			if w.Pass > 0 {
				at += ", pass " + strconv.Itoa(w.Pass)
			}
			see(sentence, string(w.Kind), "%s: %s", at, w.Text)
		}
		for _, f := range c.Flags {
			with := ""
			if len(f.With) > 0 {
				with = ": " + screen.List(f.With)
			}
			see(sentence, string(f.Word), "%s: %s%s", c.Cell.Key, f.Text, with)
		}
		for _, s := range c.Stats {
			for _, f := range s.Flags {
				see(placed, string(f), "%s, %s %.4g over %s", c.Cell.Key, s.Metric, s.Mean.X, screen.Count(s.N, "pass", "passes"))
			}
		}
		for _, word := range c.Words() {
			see(placed, word, "%s", c.Cell.Key)
		}
	}
	for _, c := range r.Claims {
		text := fmt.Sprintf("%s, %q: found %s, expected %s", c.Name, c.Says, c.Found(), c.Hoped())
		see(sentence, string(c.Verdict), "%s: %s", text, c.Verdict)
		for _, f := range c.Flags() {
			said := "nothing may be said"
			if c.Said != "" {
				said = fmt.Sprintf("the data carry %q", c.Said)
			}
			see(placed, string(f), "%s; %s", text, said)
		}
	}
	for _, s := range r.Summaries {
		for _, f := range s.Flags {
			see(placed, string(f), "%s, %s", over(s), s.Metric.Title)
		}
	}
	for _, p := range r.Passes {
		if p.Figures != nil {
			for _, word := range p.Words() {
				see(placed, word, "%s, pass %d: %s", p.Key, p.Repeat, p.File.Path)
			}
		}
		reason := p.StatusReason
		if reason != "" {
			reason = ", " + reason
		}
		see(placed, string(p.Status), "%s, pass %d: %s%s", p.Key, p.Repeat, p.File.Path, reason)
	}
	benchSightings(r, see)
	factSightings(r, see)
	uncertaintySightings(r, see)
	return seen
}

// lined is a comparison in a line.
func lined(d review.Comparison) string {
	text := fmt.Sprintf("%s against %s", d.Of, d.Base.CardMode())
	if d.Metric.Name != headline {
		text += ", " + d.Metric.Title
	}
	switch {
	case d.Percent.OK && d.Low.OK && d.High.OK:
		return text + fmt.Sprintf(": %s %% %s", screen.Signed(d.Percent.X, 1), percents(d.Low, d.High))
	case d.Percent.OK:
		return text + fmt.Sprintf(": %s %%, no interval", screen.Signed(d.Percent.X, 1))
	case d.Why != "":
		return text + ": " + d.Why
	}
	return text
}

func because(j coverage.Judgement) string {
	var texts []string
	for _, w := range j.Why {
		texts = append(texts, w.Text)
	}
	if len(texts) == 0 {
		return fmt.Sprintf(", %d of %s", j.Passes, screen.Count(j.Cell.Repeats, "pass", "passes"))
	}
	return ": " + strings.Join(slices.Compact(texts), "; ")
}

// An entry without one of its parts helps nobody.
func TestEveryEntryIsWhole(t *testing.T) {
	names := map[string]string{}
	for _, e := range Entries() {
		if lacks := e.Lacks(); lacks != nil {
			t.Errorf("%s lacks its %s", e.Name, screen.List(lacks))
		}
		if at, taken := names[e.Name]; taken {
			t.Errorf("%s is explained twice: %s, %s", e.Name, at, e.Group)
		}
		names[e.Name] = string(e.Group)
		if Example(e.Name) == "" {
			t.Errorf("%s has no example; go generate ./cmd/internal/explain", e.Name)
		}
		if n := len(Parameters(e.Parameters, nil)); n != len(e.Parameters) {
			t.Errorf("%s depends on %v, of which the plan knows %d", e.Name, e.Parameters, n)
		}
		if len([]rune(e.Gist())) > 72 {
			t.Errorf("%s: its first sentence is too long for the list: %s", e.Name, e.Gist())
		}
	}
	for name := range examples() {
		if _, ok := names[name]; !ok {
			t.Errorf("there is an example of %q, and no entry", name)
		}
	}
}

// Figures of the archive's tables may be asked for by the columns they stand in.
func TestEveryFigureOfTheTablesIsExplained(t *testing.T) {
	entries := Entries()
	for _, row := range []any{archive.CellRow{}, archive.ComparisonRow{}, archive.SummaryRow{}, archive.ClaimRow{}, archive.ReadingRow{}} {
		for _, f := range reflect.VisibleFields(reflect.TypeOf(row)) {
			column, _, _ := strings.Cut(f.Tag.Get("parquet"), ",")
			if column == "repeat" || column == "fan_pct" {
				continue // of which soak, and which step of a sweep, a row is
			}
			of := strings.TrimPrefix(f.Type.String(), "*")
			if of != "float64" && of != "int32" && of != "bool" && column != "method" && column != "session_source" {
				continue
			}
			if len(glossary.Find(entries, column)) == 0 {
				t.Errorf("nothing explains the column %s of %T", column, row)
			}
		}
	}
}

// Every parameter is one that some entry depends on.
func TestEveryParameterIsUsed(t *testing.T) {
	used := map[string]bool{}
	for _, e := range Entries() {
		for _, p := range e.Parameters {
			used[p] = true
		}
	}
	for _, a := range attributes {
		if !used[a.name] {
			t.Errorf("no entry depends on %s", a.name)
		}
	}
}
