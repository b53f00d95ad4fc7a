package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/report"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/discreet"
)

// withheldJSON is a card that goes by its codename, and until when.
type withheldJSON struct {
	Codename string    `json:"codename"`
	Until    time.Time `json:"until"`
}

func withheldOf(t *discreet.Terms, now time.Time) (out []withheldJSON) {
	for _, c := range t.Withheld(now) {
		out = append(out, withheldJSON{c.Codename, c.Until})
	}
	return out
}

// printDiscretion says what the plan withholds, from whom and for how long.
func printDiscretion(w io.Writer, p *plan.Plan, now time.Time) {
	t := p.Discretion()
	if t == nil {
		return
	}
	hidden := t.Withheld(now)
	for _, c := range hidden {
		say(w, "Withheld", fmt.Sprintf("until %s, in %s: %s is a codename, on screens and in report/", atUTC(c.Until), screen.Until(c.Until.Sub(now)), c.Codename))
	}
	for _, c := range t.Cards {
		if !c.Until.IsZero() && !c.Withheld(now) {
			say(w, "Embargo", fmt.Sprintf("over for %s since %s: its name is shown", c.Label, atUTC(c.Until)))
		}
	}
	if n := len(t.Private); n > 0 {
		say(w, "Private", screen.Count(n, "text is", "texts are")+" struck from all screens, reports and packs")
	}
	if len(hidden) > 0 || len(t.Private) > 0 {
		say(w, "", "Plan, captures, ledger/, draft/ and archive hold all of it: share report/ and a pack, not these")
	}
}

// printWithheld says under a report which codenames it has.
func printWithheld(w io.Writer, t *discreet.Terms, now time.Time) {
	for _, c := range t.Withheld(now) {
		fmt.Fprintf(w, "         %s is a codename until %s\n", c.Codename, atUTC(c.Until))
	}
}

func atUTC(t time.Time) string { return t.UTC().Format("2006-01-02 15:04 UTC") }

// veilAsIn hides what the plan of an edition withholds in all that is said from now on, errors too. An edition whose words cannot be read
// is told of by whoever reads it in earnest.
func (a *app) veilAsIn(dir string, now time.Time) {
	text, err := os.ReadFile(filepath.Join(dir, archive.WordsName))
	if err != nil {
		return
	}
	if w, err := report.ReadWords(text); err == nil {
		a.veil = w.Discretion.At(now)
	}
}
