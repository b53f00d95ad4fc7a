package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/chart"
	"github.com/rigslate/rigslate/export/history"
	"github.com/rigslate/rigslate/export/report"
	"github.com/rigslate/rigslate/plan/discreet"
	"github.com/rigslate/rigslate/plan/finding"
)

// historyPage writes the page of what is asked for, with a time line for each cell.
func (a *app) historyPage(ctx context.Context, store *archive.Archive, asked history.Asked, l lookBack) ([]archive.Unreadable, error) {
	which, err := chosenCharts(l.charts)
	if err != nil {
		return nil, err
	}
	points, unreadable, err := history.Points(store, asked)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	if len(points) == 0 {
		return nil, nothing(store, l)
	}
	held, _, err := history.Contents(store, asked) // what cannot be read is known already
	if err != nil {
		return nil, fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	look, err := lookOf(store, held)
	if err != nil {
		return nil, err
	}
	b := report.LookBack{Look: look, Metric: asked.Metric, Margin: compute.DefaultMargin, Mixed: l.mix, Held: held, Unreadable: unreadable, Asked: l.words(), Tool: version,
		Lines: history.Lines(points, asked.Metric, compute.DefaultMargin, l.mix)}
	files, err := discreet.Copy(a.veil, b).Files(which)
	if err != nil {
		return nil, err
	}
	if err := ours(l.into); err != nil {
		return nil, err
	}
	changed, err := report.WriteFiles(ctx, l.into, files, cmp.Or(a.workers, runtime.GOMAXPROCS(0)))
	if err != nil {
		return nil, fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	if a.json {
		return unreadable, a.printJSON(struct {
			Folder  string   `json:"folder"`
			Cells   int      `json:"cells"`
			Changed []string `json:"changed"`
		}{a.veil.String(l.into), len(b.Lines), append([]string{}, changed...)})
	}
	fmt.Fprintf(a.stdout, "History  %s\n", finding.Printable(a.veil.String(filepath.Join(l.into, "history.html"))))
	printWritten(a.stdout, report.Written{Changed: changed, Unknown: which.Unknown(files)})
	return unreadable, nil
}

// lookOf is the look of the newest edition on the page that has one.
func lookOf(store *archive.Archive, held []history.Held) (look chart.Look, err error) {
	editions, _, err := store.Editions()
	if err != nil {
		return look, fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	slices.SortStableFunc(editions, func(a, b archive.Edition) int { return b.Published.Compare(a.Published) })
	for _, e := range editions {
		if !slices.ContainsFunc(held, func(h history.Held) bool { return h.Edition == e.Edition && h.Review == e.Review }) {
			continue
		}
		text, err := e.File(archive.WordsName)
		if errors.Is(err, fs.ErrNotExist) {
			continue // of a release before there were any
		}
		var words report.Words
		if err == nil {
			words, err = report.ReadWords(text)
		}
		if err == nil && words.Look != nil {
			look, err = words.Look.ParseLook(func(f report.FontWords) ([]byte, error) { return e.File(f.Kept()) })
		}
		if err != nil || words.Look != nil {
			return look, disk(err)
		}
	}
	return look, nil
}

func disk(err error) error {
	if err != nil {
		return fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	return nil
}

// ours refuses a folder whose history.html somebody else wrote. All else that is written there has names that nobody chooses by chance.
func ours(folder string) error {
	content, err := os.ReadFile(filepath.Join(folder, "history.html"))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return fmt.Errorf("%w: %w", review.ErrDisk, err)
	case !bytes.Contains(content, []byte(report.HistoryMark)):
		return fmt.Errorf("%w: %s is there and was not written by this program; name another folder with --into, or move it away", errUsage,
			finding.Printable(filepath.Join(folder, "history.html")))
	}
	return nil
}

// words are what the flags ask for, for the page's provenance.
func (l lookBack) words() (out []report.Part) {
	for _, f := range []struct {
		name  string
		asked []string
	}{{"card", l.cards}, {"game", l.games}, {"resolution", l.resolutions}, {"driver", l.drivers}, {"rig", l.rigs}, {"review", l.reviews}} {
		if len(f.asked) > 0 {
			out = append(out, report.Part{Key: "only " + f.name, Value: strings.Join(f.asked, ", ")})
		}
	}
	for _, f := range [][2]string{{"from", l.since}, {"until", l.until}} {
		if f[1] != "" {
			out = append(out, report.Part{Key: f[0], Value: f[1]})
		}
	}
	return out
}
