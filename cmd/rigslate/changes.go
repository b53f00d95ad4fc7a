package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/changes"
	"github.com/rigslate/rigslate/export/report"
	"github.com/rigslate/rigslate/plan/finding"
)

// comparing is what the flags of changes ask for.
type comparing struct {
	archive, charts string
	erratum         bool
}

func (a *app) changesCommand() *cobra.Command {
	var o comparing
	c := &cobra.Command{
		Use:   "changes OLD [NEW]",
		Short: "What changed between two editions of a review, with a text to put under the video",
		Long: "changes sets two published editions of one review side by side: verdicts, sentences, figures and charts that are others, captures and\n" +
			"words of the plan behind it. An edition is named by its folder, or by its id, whole or the first digits. Without NEW it is the newest of\n" +
			"the review. Only the archive is read.",
		Example: "  rigslate changes archive/editions/review=demo/edition=e0123456789abcdef\n  rigslate changes e0123456 e89abcde --archive archive\n" +
			"  rigslate changes e0123456 --erratum > correction.md",
		Args: atLeast(1, "an edition, by its folder or id"),
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) > 2 {
				return fmt.Errorf("%w: changes compares two editions, and %d are named", errUsage, len(args))
			}
			return a.changes(args, o)
		},
	}
	f := c.Flags()
	f.StringVar(&o.archive, "archive", "archive", "the archive's folder, of editions that are named by their id")
	f.BoolVar(&o.erratum, "erratum", false, "print only the text to put under the video, as Markdown")
	chartsFlag(c, &o.charts)
	f.Lookup("charts").Usage = "none leaves the charts uncompared; RIGSLATE_CHARTS sets another default"
	return c
}

func (a *app) changes(args []string, o comparing) error {
	which, err := chosenCharts(o.charts)
	if err != nil {
		return err
	}
	if o.erratum && a.json {
		return fmt.Errorf("%w: --erratum and --json are two forms; the document has the text as erratum", errUsage)
	}
	options, err := a.options(nil)
	if err != nil {
		return err
	}
	was, is, err := o.editions(args)
	if err != nil {
		return err
	}
	old, err := changes.Read(was)
	if err != nil {
		return fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	now, err := changes.Read(is)
	if err != nil {
		return fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	pair, err := changes.Between(old, now, options.Now)
	a.veil = pair.Veil
	if errors.Is(err, changes.ErrUnlike) {
		return fmt.Errorf("%w: these editions cannot be compared: %w", errUsage, err)
	}
	if err != nil {
		return err
	}
	c := pair.Compare()
	switch {
	case o.erratum:
		fmt.Fprint(a.stdout, c.Erratum())
		return nil
	case which == report.NoCharts:
		c.NoCharts = "as asked"
	default:
		if err := pair.CompareCharts(&c); err != nil {
			return fmt.Errorf("%w: %w", review.ErrDisk, err)
		}
	}
	if a.json {
		return a.printJSON(struct {
			changes.Changes
			Erratum string `json:"erratum"`
		}{c, c.Erratum()})
	}
	printChanges(a.stdout, c)
	printWithheld(a.stdout, pair.Terms, options.Now)
	return nil
}

// editions finds the two editions that are named.
func (o comparing) editions(args []string) (was, is archive.Edition, err error) {
	if was, err = o.edition(args[0], o.archive); err != nil {
		return was, is, err
	}
	home := filepath.Dir(filepath.Dir(filepath.Dir(was.Dir)))
	if len(args) == 2 {
		is, err = o.edition(args[1], home)
		return was, is, err
	}
	all, err := editionsOf(home)
	if err != nil {
		return was, is, err
	}
	for _, e := range all {
		if e.Review == was.Review {
			is = e // they are in the order in which they were published
		}
	}
	if is.Edition == was.Edition {
		return was, is, fmt.Errorf("%w: %s is the newest edition of %s; name the one to compare it with", errUsage, was.Edition, was.Review)
	}
	return was, is, nil
}

// edition opens one by its folder, or by its id in an archive.
func (o comparing) edition(name, home string) (e archive.Edition, err error) {
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		dir, err := filepath.Abs(name)
		if err != nil {
			return e, err
		}
		if _, err := os.Stat(filepath.Join(dir, "manifest.json")); err != nil {
			return e, fmt.Errorf("%w: %s is no edition: it has no manifest.json. Name a folder such as archive/editions/review=…/edition=…", errUsage,
				finding.Printable(name))
		}
		if e, err = archive.ReadEdition(dir); err != nil {
			return e, fmt.Errorf("%w: %w", review.ErrDisk, err)
		}
		return e, nil
	}
	all, err := editionsOf(home)
	if err != nil {
		return e, fmt.Errorf("%w (looking for the edition %q; --archive says where the archive is)", err, name)
	}
	known := map[string]bool{}
	var found []archive.Edition
	for _, x := range all {
		known[x.Edition] = true
		if name != "" && strings.HasPrefix(x.Edition, name) {
			found = append(found, x)
		}
	}
	switch len(found) {
	case 0:
		return e, fmt.Errorf("%w: %q is neither the folder nor the id of an edition in %s%s", errUsage, name, finding.Printable(home), nearest(name, known))
	case 1:
		return found[0], nil
	}
	var ids []string
	for _, x := range found {
		ids = append(ids, x.Edition)
	}
	return e, fmt.Errorf("%w: %q begins the ids of several editions: %s. Give more digits", errUsage, name, strings.Join(ids, ", "))
}

func editionsOf(home string) ([]archive.Edition, error) {
	store, err := lookAt(home)
	if err != nil {
		return nil, err
	}
	all, unreadable, err := store.Editions()
	if err != nil {
		return nil, fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	if len(all) == 0 {
		if err := damaged(unreadable); err != nil {
			return nil, err
		}
	}
	return all, nil
}
