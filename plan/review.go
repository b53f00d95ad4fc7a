package plan

import (
	"fmt"
	"time"

	"github.com/rigslate/rigslate/plan/finding"
)

// longest is the longest that one step at the bench may take.
const longest = 24 * time.Hour

func (l *loader) review(b *block) {
	r := Review{Name: b.name, Title: b.text("title"), Licence: b.text("licence"), Archive: b.text("archive"), Place: b.at(), BenchDay: DefaultBenchDay}
	r.Due, r.DuePlace = b.date("due"), b.place("due")
	r.Embargo, r.Private = b.embargo(), b.private("review")
	if rig, ok := b.one("rig", "rig"); ok {
		r.Rig = rig.name
	}
	if m, ok := b.one("baseline", "card"); ok {
		r.Baseline = Mode{m.name, m.member}
	}
	l.baseline = b.place("baseline")
	if d, ok := b.duration("bench_day", longest); ok {
		r.BenchDay = d
		if d == 0 {
			l.error(b.rangeOf("bench_day"), "Duration is impossible", "A bench day of no length gives no hours.", `Write how long a day at the bench is, such as "8h".`)
		}
	}
	if t, ok := b.object("takes", "review takes"); ok {
		t.takes(&l.takes)
	}
	if r.Title == "" {
		r.Title = r.Name
	}
	if r.Archive == "" {
		r.Archive = DefaultArchive
	}
	r.Takes = l.takes
	l.plan.Review = r
	if f, late := r.Late(l.now); late {
		l.findings = append(l.findings, f)
	}
}

// Late is the warning that the review's due time has passed.
func (r Review) Late(now time.Time) (f finding.Finding, late bool) {
	if r.Due.IsZero() || !r.Due.Before(now) {
		return finding.Finding{}, false
	}
	return finding.Finding{Severity: finding.Warning, Summary: "Due time has passed",
		Detail: fmt.Sprintf("Filming was due %s; now it is %s.", r.Due.Format(time.RFC3339), now.UTC().Format(time.RFC3339)),
		Mend:   "Move due, or leave it out.", Place: r.DuePlace}, true
}

// takes puts what is written over what stands in t.
func (f *fields) takes(t *Takes) {
	for _, d := range []struct {
		key string
		to  *time.Duration
	}{
		{"startup", &t.Startup}, {"reset", &t.Reset}, {"first_launch", &t.FirstLaunch},
		{"swap", &t.Swap}, {"driver_change", &t.DriverChange}, {"preheat", &t.Preheat}, {"probes", &t.Probes},
	} {
		if v, ok := f.duration(d.key, longest); ok {
			*d.to = v
		}
	}
	if p, ok := f.percent("redo", 100); ok {
		t.Redo = p / 100
	}
}

func (l *loader) rig(b *block) {
	r := Rig{Name: b.name, Fixed: b.pairs("fixed"), Notes: b.pairs("notes"), Private: b.private("rig"), Place: b.at()}
	if fixed, ok := b.out["fixed"].(map[string]any); ok {
		if hz, written := fixed["display_hz"]; written {
			x, isNumber := hz.(float64)
			if !isNumber || x <= 0 || x > 10_000 {
				l.error(b.rangeOf("fixed"), "Number out of range", "display_hz of the rig is the display's refresh rate.", "Write a number of Hz, such as display_hz = 144.")
			}
			r.DisplayHz = x
		}
	}
	if !b.again {
		l.plan.Rigs = append(l.plan.Rigs, r)
	}
}

func defaultStatistics() Statistics {
	return Statistics{Quantile: DefaultQuantile, Lows: DefaultLows, MarginPct: DefaultMarginPct, MarginK: DefaultMarginK, MarginDB: DefaultMarginDB,
		SpreadPct: DefaultSpreadPct, SpreadK: DefaultSpreadK, SpreadDB: DefaultSpreadDB, ExpectedSpreadPct: DefaultCellSpread}
}

func (l *loader) statistics(b *block) {
	s := &l.plan.Statistics
	if q, ok := b.whole("quantile", 1, 9); ok {
		s.Quantile, s.QuantileWritten = q, true
	}
	if w := b.word("lows", "quantile", "tail_mean", "time_share"); w != "" {
		s.Lows, s.LowsChosen = w, true
	}
	percents := []struct {
		key     string
		to      *float64
		written *bool
	}{
		{"margin", &s.MarginPct, &s.MarginWritten}, {"session_spread", &s.SpreadPct, &s.SessionSpreadWritten},
		{"expected_spread", &s.ExpectedSpreadPct, nil},
	}
	for _, p := range percents {
		if x, ok := b.percent(p.key, 50); ok {
			*p.to = x
			if p.written != nil {
				*p.written = true
			}
			if x == 0 && p.key != "session_spread" {
				l.error(b.rangeOf(p.key), "Number out of range", b.of(p.key)+" is zero.", "Write more than 0%.")
			}
		}
	}
	numbers := []struct {
		key string
		to  *float64
	}{{"margin_k", &s.MarginK}, {"margin_db", &s.MarginDB}, {"session_spread_k", &s.SpreadK}, {"session_spread_db", &s.SpreadDB}}
	for _, n := range numbers {
		if x, ok := b.number(n.key, 0, 50); ok {
			*n.to = x
		}
	}
}
