package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/history"
	"github.com/rigslate/rigslate/export/report"
	"github.com/rigslate/rigslate/plan/finding"
)

// lookBack is what the flags of history ask for.
type lookBack struct {
	cards, games, resolutions, drivers, rigs, reviews []string
	since, until, metric                              string
	bridge, to                                        string
	mix, csv                                          bool
	into, charts                                      string
}

func (a *app) historyCommand() *cobra.Command {
	var l lookBack
	c := &cobra.Command{
		Use:   "history ARCHIVE",
		Short: "Look back over an archive: what it holds, one card over time, two cards that never shared a bench",
		Long: "history lists what an archive holds. With --card and --game it follows these cells over time, through drivers and builds, and\n" +
			"says what changed. With --bridge and --to it sets two cards side by side that never shared a bench, by way of cards that\n" +
			"were measured with both. Cells are compared only where rig, build and settings agree; what differs is said.\n" +
			"With --into it writes a page, history.html, with a time line for each cell asked for. It needs no network and no script.",
		Example: "  rigslate history archive\n  rigslate history archive --card heron_x.stock --game fjord --resolution uhd\n" +
			"  rigslate history archive --bridge heron_x.stock --to gannet.stock\n" +
			"  rigslate history archive --card heron_x --into lookback",
		Args: atLeast(1, "an archive's folder"),
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 1 {
				return fmt.Errorf("%w: history looks at one archive, and %d are named", errUsage, len(args))
			}
			return a.history(c.Context(), args[0], l)
		},
	}
	f := c.Flags()
	f.StringSliceVar(&l.cards, "card", nil, "only this card, or card and mode: heron_x or heron_x.tuned")
	f.StringSliceVar(&l.games, "game", nil, "only this game, or game and variant: fjord or fjord.rays_up")
	f.StringSliceVar(&l.resolutions, "resolution", nil, "only this resolution")
	f.StringSliceVar(&l.drivers, "driver", nil, "only passes on this driver")
	f.StringSliceVar(&l.rigs, "rig", nil, "only passes on this rig")
	f.StringSliceVar(&l.reviews, "review", nil, "only editions of this review")
	f.StringVar(&l.since, "since", "", "only what was measured on this day or later, 2027-03-04")
	f.StringVar(&l.until, "until", "", "only what was measured on this day or earlier, 2027-03-04")
	f.StringVar(&l.metric, "metric", "mean_fps", "the figure to follow, by its column in runs.parquet")
	f.StringVar(&l.bridge, "bridge", "", "set this card and mode, heron_x.stock, against the one of --to")
	f.StringVar(&l.to, "to", "", "the card and mode to set it against")
	f.BoolVar(&l.mix, "mix", false, "compare over time also what is not comparable; it is said beside the number")
	f.BoolVar(&l.csv, "csv", false, "print comma-separated values for a spreadsheet")
	f.StringVar(&l.into, "into", "", "folder to write a page with time lines to")
	f.StringVar(&l.charts, "charts", string(report.NoCharts), "with --into, time lines to write as files beside the page: svg, all (PNG too) or none")
	return c
}

// history answers what the flags ask for.
func (a *app) history(ctx context.Context, dir string, l lookBack) error {
	o, err := a.options(nil)
	if err != nil {
		return err
	}
	terms := a.veilAsIn(editionsIn(dir), o.Now)
	cardsByLabel(terms, o.Now, &l.bridge, &l.to)
	for i := range l.cards {
		cardsByLabel(terms, o.Now, &l.cards[i])
	}
	asked, err := l.asked()
	if err != nil {
		return err
	}
	if l.csv && a.json {
		return fmt.Errorf("%w: --csv and --json are two forms; name one", errUsage)
	}
	if l.into != "" && (l.csv || l.bridge != "") {
		return fmt.Errorf("%w: --into writes a page of cells over time; leave out --csv and --bridge", errUsage)
	}
	if (l.bridge == "") != (l.to == "") {
		return fmt.Errorf("%w: --bridge and --to go together: the one card and mode against the other", errUsage)
	}
	store, err := lookAt(dir)
	if err != nil {
		return err
	}
	var unreadable []archive.Unreadable
	switch {
	case l.into != "":
		unreadable, err = a.historyPage(ctx, store, asked, l)
	case l.bridge != "":
		unreadable, err = a.bridge(store, asked, l)
	case len(l.cards) > 0 && len(l.games) > 0:
		unreadable, err = a.lines(store, asked, l)
	default:
		unreadable, err = a.contents(store, asked, l)
	}
	if err != nil {
		return err
	}
	return damaged(unreadable)
}

// lookAt opens an archive to look at it.
func lookAt(dir string) (*archive.Archive, error) {
	info, err := os.Stat(dir)
	switch {
	case err != nil:
		return nil, fmt.Errorf("%w: %s is not there: %w", errUsage, finding.Printable(dir), err)
	case !info.IsDir():
		return nil, fmt.Errorf("%w: %s is a file; an archive is a folder", errUsage, finding.Printable(dir))
	}
	if _, err := os.Stat(filepath.Join(dir, "archive.json")); err != nil {
		hint := ""
		if _, err := os.Stat(filepath.Join(dir, "archive", "archive.json")); err == nil {
			hint = "; did you mean " + finding.Printable(filepath.Join(dir, "archive")) + "?"
		}
		if _, err := os.Stat(filepath.Join(dir, "editions")); err != nil { // else it is a damaged one, which Look says
			return nil, fmt.Errorf("%w: %s is no archive: it has no archive.json%s", errUsage, finding.Printable(dir), hint)
		}
	}
	store, err := archive.Look(dir)
	if err != nil {
		return nil, fmt.Errorf("%w: the archive cannot be used: %w", review.ErrDisk, err)
	}
	return store, nil
}

// damaged turns editions that could not be read into the command's error.
func damaged(unreadable []archive.Unreadable) error {
	if len(unreadable) == 0 {
		return nil
	}
	var lines []string
	for _, u := range unreadable[:min(len(unreadable), 20)] {
		lines = append(lines, "  "+finding.Printable(u.Err.Error()))
	}
	if more := len(unreadable) - len(lines); more > 0 {
		lines = append(lines, fmt.Sprintf("  and %d more", more))
	}
	return fmt.Errorf("%w: %s cannot be read, and nothing above rests on them:\n%s\nPut them back from a copy, or move them out of the archive",
		review.ErrDisk, screen.Count(len(unreadable), "edition", "editions"), strings.Join(lines, "\n"))
}

// asked reads the flags.
func (l lookBack) asked() (history.Asked, error) {
	q := history.Asked{Cards: l.cards, Games: l.games, Resolutions: l.resolutions, Drivers: l.drivers, Rigs: l.rigs, Reviews: l.reviews}
	var err error
	if q.Since, _, err = day("--since", l.since); err != nil {
		return q, err
	}
	until, whole, err := day("--until", l.until)
	if err != nil {
		return q, err
	}
	if q.Until = until; whole {
		q.Until = until.AddDate(0, 0, 1)
	}
	m, ok := compute.MetricByName(l.metric)
	if !ok || m.Scale == compute.None {
		known := map[string]bool{}
		for _, m := range compute.Metrics() {
			known[m.Name] = m.Scale != compute.None
		}
		return q, fmt.Errorf("%w: --metric %q is no figure that is averaged over passes%s", errUsage, l.metric, nearest(l.metric, known))
	}
	q.Metric = m
	return q, nil
}

// day reads a date or a time; whole says that it was a date.
func day(flag, s string) (at time.Time, whole bool, err error) {
	if s == "" {
		return at, false, nil
	}
	if at, err := time.Parse(time.DateOnly, s); err == nil {
		return at, true, nil
	}
	at, err = time.Parse(time.RFC3339, s)
	if err != nil {
		return at, false, fmt.Errorf("%w: %s %q is no day like 2027-03-04 and no time like 2027-03-04T14:00:00Z", errUsage, flag, s)
	}
	return at.UTC(), false, nil
}

// nothing says that an archive has nothing of what is asked for, and which name may have been meant.
func nothing(store *archive.Archive, l lookBack) error {
	held, unreadable, err := history.Contents(store, history.Asked{})
	if err != nil {
		return fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	if len(held) == 0 {
		if err := damaged(unreadable); err != nil {
			return err
		}
		return fmt.Errorf("%w: the archive has no edition with passes", errUsage)
	}
	for _, f := range []struct {
		flag  string
		asked []string
		has   func(history.Held) []string
	}{
		{"--card", append(append([]string{}, l.cards...), strings.Fields(l.bridge+" "+l.to)...), func(h history.Held) []string { return h.Cards }},
		{"--game", l.games, func(h history.Held) []string { return h.Games }},
		{"--resolution", l.resolutions, func(h history.Held) []string { return h.Resolutions }},
		{"--driver", l.drivers, func(h history.Held) []string { return h.Drivers }},
		{"--rig", l.rigs, func(h history.Held) []string { return h.Rigs }},
		{"--review", l.reviews, func(h history.Held) []string { return []string{h.Review} }},
	} {
		known := map[string]bool{}
		for _, name := range history.Names(held, f.has) {
			known[name] = true
			if card, _, ok := strings.Cut(name, "."); ok && f.flag == "--card" {
				known[card] = true
			}
		}
		for _, name := range f.asked {
			if game, _, _ := strings.Cut(name, "."); !known[name] && !(f.flag == "--game" && known[game]) {
				return fmt.Errorf("%w: %s %q is nothing that the archive has%s", errUsage, f.flag, name, nearest(name, known))
			}
		}
	}
	return fmt.Errorf("%w: the archive has no cell that fits all that is asked for; without flags history lists what it has", errUsage)
}
