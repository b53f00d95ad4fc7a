package review

import (
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strconv"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
)

// fromArchive is the source of a session spread that other reviews' sessions tell.
const fromArchive = "archive"

// Elsewhere is a session spread taken from other reviews of the archive, in one metric.
type Elsewhere struct {
	Metric   string
	Spread   compute.SessionSpread
	Editions []EditionName // by review
}

// EditionName names an edition of a review.
type EditionName struct {
	Review  string `json:"review"`
	Edition string `json:"edition"`
}

// otherSessions are the cells of another review's newest edition, by card and mode.
type otherSessions struct {
	EditionName
	cardModes [][]earlierCell
}

// sessionsOfOthers gathers what the other reviews done on this rig tell of sessions: their newest editions, the cells that hold, the passes
// that count. Never this review's own editions, or publishing it would change it; nor a capture of its own that another has too.
func (r *Review) sessionsOfOthers() []otherSessions {
	if r.archived.sorted {
		return r.archived.sessions
	}
	r.archived.sorted = true
	seen := map[string]bool{}
	for _, p := range r.Passes {
		seen[hex.EncodeToString(p.SHA256[:])] = true
	}
	for _, x := range r.onThisRig() {
		if x.Review == r.Plan.Review.Name {
			continue
		}
		var cells []earlierCell
		for _, c := range unseen(r.holding(x), seen) {
			if c.severalSessions() {
				cells = append(cells, c)
			}
		}
		if len(cells) > 0 {
			r.archived.sessions = append(r.archived.sessions, otherSessions{EditionName{x.Review, x.Edition.Edition}, byCardMode(cells)})
		}
	}
	return r.archived.sessions
}

// severalSessions reports whether a cell's passes are of more than one recorded session.
func (c earlierCell) severalSessions() bool {
	first := ""
	for _, run := range c.runs {
		switch {
		case run.Session == nil || *run.Session == first:
		case first != "":
			return true
		default:
			first = *run.Session
		}
	}
	return false
}

// sessionsElsewhere works out what a session moves a metric by from the other reviews done on this rig. Sessions are told apart by
// edition, since each review counts them anew.
//
// The spread and its degrees of freedom are rounded to nine digits. They are what this review's id knows of the other reviews: were
// their editions' ids in it, two reviews that lean on each other would make new editions of one another for ever.
func (r *Review) sessionsElsewhere(m compute.Metric) (Elsewhere, bool) {
	if r.archived.given != nil {
		e, ok := r.archived.given[m.Name]
		return e, ok
	}
	e := Elsewhere{Metric: m.Name}
	var all [][][]compute.Sample
	for _, x := range r.sessionsOfOthers() {
		tells := false
		for _, cells := range x.cardModes {
			var samples [][]compute.Sample
			for _, c := range cells {
				if s := c.samples(m); compute.TellsOfSessions(m, s) {
					samples = append(samples, s)
				}
			}
			all, tells = append(all, samples), tells || len(samples) > 0
		}
		if tells {
			e.Editions = append(e.Editions, x.EditionName)
		}
	}
	u, why := compute.SpreadOfSessions(m, all)
	if why != "" {
		return Elsewhere{}, false
	}
	e.Spread = compute.SessionSpread{U: nineDigits(u.U), DF: nineDigits(u.DF), Source: fromArchive}
	return e, true
}

// onThisRig lists the newest editions of the reviews that were done on this review's rig.
func (r *Review) onThisRig() (out []*earlier) {
	mine := r.written()
	for _, x := range r.newest() {
		if sameRig(mine, r.Plan.Review.Name, x.plan, x.Review) {
			out = append(out, x)
		}
	}
	return out
}

// nineDigits rounds to nine significant digits.
func nineDigits(x float64) float64 {
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 9, 64), 64) // its own notation always parses
	return y
}

// ReviewsBehind is how many earlier reviews a metric's session spread from the archive rests on.
func (r *Review) ReviewsBehind(metric string) int {
	for _, e := range r.Elsewhere {
		if e.Metric == metric {
			return len(e.Editions)
		}
	}
	return 0
}

// takenFromElsewhere is what the edition's id knows of the other reviews.
func (r *Review) takenFromElsewhere() (out []archive.Elsewhere) {
	for _, e := range r.Elsewhere {
		out = append(out, archive.Elsewhere{Name: "session_spread " + e.Metric, Value: e.Spread.U},
			archive.Elsewhere{Name: "session_spread_df " + e.Metric, Value: e.Spread.DF})
	}
	return out
}

// elsewhereText is the content of archive.ElsewhereName.
func (r *Review) elsewhereText() ([]byte, error) {
	type spread struct {
		Metric   string        `json:"metric"`
		Unit     string        `json:"unit"`
		Spread   float64       `json:"session_spread"` // as in comparisons.parquet
		DF       float64       `json:"df"`
		Editions []EditionName `json:"editions"`
	}
	var out []spread
	for _, e := range r.Elsewhere {
		m, _ := compute.MetricByName(e.Metric)
		unit := m.MeanUnit()
		if m.Scale == compute.Ratio {
			unit = "%"
		}
		out = append(out, spread{e.Metric, unit, e.Spread.Shown(m), e.Spread.DF, e.Editions})
	}
	text, err := json.MarshalIndent(map[string]any{"session_spread": out}, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("writing what was taken from elsewhere: %w", err)
	}
	return append(text, '\n'), nil
}
