package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/export/archive"
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

// veilAsIn hides what the plans of editions withhold, in all that is said from now on, errors too: dir is the folder of one, or with stars of
// many. An edition whose words cannot be read is told of by whoever reads it in earnest.
func (a *app) veilAsIn(dir string, now time.Time) *discreet.Terms {
	names, err := filepath.Glob(filepath.Join(dir, archive.WordsName))
	if err != nil {
		return nil
	}
	var all []*discreet.Terms
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil || !bytes.Contains(text, []byte(`"discretion"`)) {
			continue
		}
		var words struct {
			Discretion *discreet.Terms `json:"discretion"`
		}
		if json.Unmarshal(text, &words) == nil {
			all = append(all, words.Discretion)
		}
	}
	t := discreet.Merge(all...)
	a.veil = t.At(now)
	return t
}

// editionsIn is where the editions of an archive are, for veilAsIn.
func editionsIn(dir string) string { return filepath.Join(dir, "editions", "review=*", "edition=*") }

// cardsByLabel lets cards be asked for by their codenames: each name is a card, or one with its mode behind a dot.
func cardsByLabel(t *discreet.Terms, now time.Time, names ...*string) {
	for _, name := range names {
		card, mode, dotted := strings.Cut(*name, ".")
		if *name = t.Label(card, now); dotted {
			*name += "." + mode
		}
	}
}
