package main

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"runtime"

	"github.com/spf13/cobra"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/report"
	"github.com/rigslate/rigslate/plan/discreet"
)

func (a *app) reportCommand() *cobra.Command {
	var into, which string
	c := &cobra.Command{
		Use:   "report EDITION",
		Short: "Make the report of a published edition again, from the archive alone",
		Long: "report reads a folder of an archive that holds one edition, checks every file against the manifest, and writes the pages and tables\n" +
			"that run wrote when it was published, byte for byte with the same release. Files that are as they were are not touched.\n" +
			"Before an embargo of the edition's plan they have the codenames, as run's have: --now says as of when.",
		Example: "  rigslate report archive/editions/review=demo/edition=e0123456789abcdef --into report",
		Args:    atLeast(1, "an edition's folder"),
		RunE: func(c *cobra.Command, args []string) error {
			s, err := a.editionSource(args[0])
			if err != nil {
				return err
			}
			chosen, err := chosenCharts(which)
			if err != nil {
				return err
			}
			w, err := report.Write(c.Context(), into, s, chosen, cmp.Or(a.workers, runtime.GOMAXPROCS(0)))
			if err != nil {
				return fmt.Errorf("%w: %w", review.ErrDisk, err)
			}
			w, into := discreet.Copy(a.veil, w), a.veil.String(into)
			if a.json {
				return a.printJSON(struct {
					Edition string `json:"edition"`
					Folder  string `json:"folder"`
					report.Written
				}{s.Origin.Edition, into, w})
			}
			fmt.Fprintf(a.stdout, "Report   %s, edition %s\n", into, s.Origin.Edition)
			printWritten(a.stdout, w)
			if look := s.Words.Look; look != nil && len(look.Fonts) > 0 && s.Look.Fonts == nil {
				fmt.Fprintln(a.stdout, "         The edition does not hold the fonts of its look, so charts are drawn with the built-in one")
			}
			printWithheld(a.stdout, s.Words.Discretion, s.Now)
			return nil
		},
	}
	c.Flags().StringVar(&into, "into", "report", "folder to write to")
	chartsFlag(c, &which)
	return c
}

// chartsFlag says which charts are written. Pictures of dots take longer than all else, so they are asked for; what is set in the environment
// holds for a whole bench.
func chartsFlag(c *cobra.Command, which *string) {
	c.Flags().StringVar(which, "charts", cmp.Or(os.Getenv("RIGSLATE_CHARTS"), string(report.SVGCharts)),
		"charts to write: svg, all (PNG too), none, or names of charts that are wanted as PNG too, such as\n'summary-*,frames-*.wide.dark.3840'; RIGSLATE_CHARTS sets another default")
}

func chosenCharts(which string) (report.Charts, error) {
	c, err := report.ParseCharts(which)
	if err != nil {
		return "", fmt.Errorf("%w: --charts: %w", errUsage, err)
	}
	return c, nil
}

// openEdition checks an edition's folder, every file of it against its manifest.
func openEdition(dir string) (e archive.Edition, err error) {
	if _, err := os.Stat(filepath.Join(dir, "manifest.json")); err != nil {
		return e, fmt.Errorf("%w: %s is no edition: it has no manifest.json. Name a folder such as archive/editions/review=…/edition=…", review.ErrDisk, dir)
	}
	dir, err = filepath.Abs(dir)
	if err != nil {
		return e, err
	}
	a, err := archive.Look(filepath.Dir(filepath.Dir(filepath.Dir(filepath.Clean(dir)))))
	if err != nil {
		return e, fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	m, err := a.CheckEdition(dir)
	if err != nil {
		return e, fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	return archive.Edition{Manifest: m, Dir: dir}, nil
}
