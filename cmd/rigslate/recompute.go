package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan/discreet"
	"github.com/rigslate/rigslate/plan/finding"
)

func (a *app) recomputeCommand() *cobra.Command {
	var reviews []string
	c := &cobra.Command{
		Use:   "recompute ARCHIVE",
		Short: "Work old editions out under today's definitions, beside the old ones, and list what differs",
		Long: "recompute reads the editions of an archive whose figures follow definitions of an earlier release, works them out from their plans\n" +
			"and frames, and lists every figure and verdict that comes out otherwise. What does is published as a new edition of the review, which\n" +
			"refers to the frames of the old one and holds none. The old one stays as it is. Editions whose passes all stand in a later one of the\n" +
			"review are passed over. If nothing differs, nothing is published. If an edition is damaged nothing is published of its review, and\n" +
			"the command ends with 4 when it is done with the others.",
		Example: "  rigslate recompute archive --review spring27",
		Args:    atLeast(1, "an archive's folder"),
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 1 {
				return fmt.Errorf("%w: recompute takes one archive, not %d; see '%s --help'", errUsage, len(args), c.CommandPath())
			}
			o, err := a.options(nil)
			if err != nil {
				return err
			}
			a.veilAsIn(editionsIn(args[0]), o.Now)
			all, err := review.Recompute(c.Context(), args[0], review.RecomputeOptions{Reviews: reviews, Now: o.Now, Workers: o.Workers, Tool: o.Tool,
				Progress: a.progress("editions")})
			switch {
			case errors.Is(err, review.ErrNoReview):
				return fmt.Errorf("%w: %w; rigslate history %s lists them", errUsage, err, args[0])
			case errors.Is(err, fs.ErrNotExist):
				return fmt.Errorf("%w; an archive is the folder that a plan's review names, \"archive\" beside the plan where it names none", err)
			case err != nil:
				return err
			}
			all, dir := discreet.Copy(a.veil, all), a.veil.String(args[0])
			if a.json {
				err = a.printJSON(recomputedJSON{dir, compute.DefinitionsVersion, all})
			} else {
				printRecomputed(a.stdout, dir, all)
			}
			if err == nil && slices.ContainsFunc(all, func(d review.Redone) bool { return d.Outcome == review.Refused }) {
				err = errDamaged
			}
			return err
		},
	}
	c.Flags().StringArrayVar(&reviews, "review", nil, "only this review's editions; may be given more than once")
	return c
}

// recomputedJSON is what recompute says, as JSON.
type recomputedJSON struct {
	Archive     string          `json:"archive"`
	Definitions int             `json:"definitions_version"` // of this release
	Editions    []review.Redone `json:"editions"`
}

func printRecomputed(w io.Writer, dir string, all []review.Redone) {
	counts := map[review.Outcome]int{}
	for _, d := range all {
		if counts[d.Outcome]++; d.Outcome != review.Current && d.Outcome != review.Covered {
			printRedone(w, dir, d)
			fmt.Fprintln(w)
		}
	}
	var parts []string
	for _, x := range []struct {
		of    review.Outcome
		words string
	}{{review.Republished, "recomputed"}, {review.Unchanged, "unchanged"}, {review.HeldBack, "held back"}, {review.Refused, "damaged"},
		{review.Later, "of later definitions"}, {review.Covered, "all of whose passes a later one has"},
		{review.Current, fmt.Sprintf("under version %d already", compute.DefinitionsVersion)}} {
		if n := counts[x.of]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, x.words))
		}
	}
	text := fmt.Sprintf("%s: %s; %s.", finding.Printable(dir), screen.Count(len(all), "edition", "editions"), strings.Join(parts, ", "))
	if counts[review.Republished] == 0 {
		text += " Nothing was published."
	}
	fmt.Fprintln(w, screen.Wrap(text, screen.Width, "  "))
}

func printRedone(w io.Writer, dir string, d review.Redone) {
	say := func(indent, format string, args ...any) {
		fmt.Fprintln(w, indent+screen.Wrap(finding.Printable(fmt.Sprintf(format, args...)), screen.Width-len(indent), indent+"  "))
	}
	say("", "%s, edition %s", d.Review, d.Edition)
	switch d.Outcome {
	case review.Unchanged:
		say("  ", "Version %d of the definitions gives the same as version %d, in all of %s.", compute.DefinitionsVersion, d.Definitions,
			screen.Count(d.Values, "value", "values"))
	case review.Republished:
		verdicts, figures := parted(d.Changes)
		say("  ", "Recomputed under version %d of the definitions, from version %d: edition %s. Of %s %d differ, %s among them.",
			compute.DefinitionsVersion, d.Definitions, d.New, screen.Count(d.Values, "value", "values"), len(d.Changes),
			screen.Count(len(verdicts), "verdict", "verdicts"))
		printOtherVerdicts(say, verdicts)
		printOther(say, figures)
		fmt.Fprintf(w, "  Next: rigslate changes %.8s %.8s --archive %s\n", d.Edition, d.New, finding.Printable(dir))
	case review.Refused:
		say("  ", "Not recomputed: %s.", d.Why)
		say("  ", "Next: rigslate verify %s lists all damage, and what to do. Nothing was published of this review.", dir)
	default:
		say("  ", "Not recomputed: %s.", d.Why)
	}
}

// parted parts what is said from the figures that it rests on.
func parted(changes []archive.Change) (verdicts, figures []archive.Change) {
	for _, c := range changes {
		if c.Verdict {
			verdicts = append(verdicts, c)
		} else {
			figures = append(figures, c)
		}
	}
	return verdicts, figures
}

// Beyond these a list on a screen says no more, and --json has it whole.
const (
	mostVerdicts = 40
	mostCells    = 20
)

func printOtherVerdicts(say func(indent, format string, args ...any), verdicts []archive.Change) {
	for i, c := range verdicts {
		if i == mostVerdicts {
			say("    ", "and %d more; --json lists all", len(verdicts)-i)
			return
		}
		name := c.Column
		if m := c.Keys["metric"]; m != "" {
			name += " in " + m
		}
		say("    ", "%s, %s: %s → %s", ofWhat(c), name, stored(c.Was), stored(c.Now))
	}
}

// printOther tells of each cell how many of its figures are other, and of the one that changed most.
func printOther(say func(indent, format string, args ...any), figures []archive.Change) {
	var order []string
	most, count := map[string]archive.Change{}, map[string]int{}
	for _, c := range figures {
		of := ofWhat(c)
		if count[of]++; count[of] == 1 {
			order = append(order, of)
		}
		if count[of] == 1 || c.Relative() > most[of].Relative() {
			most[of] = c
		}
	}
	for i, of := range order {
		if i == mostCells {
			say("    ", "and figures of %s; --json lists every value", screen.Count(len(order)-i, "more row", "more rows"))
			return
		}
		c := most[of]
		name := c.Column
		if m := c.Keys["metric"]; m != "" && c.Column != "" {
			name += " of " + m
		}
		if pass := c.Keys["repeat"]; pass != "" && c.Table == "runs" {
			name += " of pass " + pass
		}
		if name == "" {
			name = "a row of " + c.Table
		}
		by := ""
		if share := c.Relative(); share < 1 {
			by = fmt.Sprintf(" by up to %s %%", screen.Number(100*share, 2))
		}
		say("    ", "%s: %s%s; %s: %s → %s", of, screen.Count(count[of], "figure", "figures"), by, name, stored(c.Was), stored(c.Now))
	}
}

// ofWhat says of which cell, comparison, claim or reading a row is.
func ofWhat(c archive.Change) string {
	k := c.Keys
	if name := k["claim"]; name != "" {
		return "claim " + name
	}
	of := k["card"]
	if k["mode"] != "" {
		of += "·" + k["mode"]
	}
	if base := k["base_card"]; base != "" {
		of += " against " + base
		if k["base_mode"] != "" {
			of += "·" + k["base_mode"]
		}
	}
	if game := k["game"]; game != "" {
		of += " " + game + "·" + k["variant"]
	}
	for _, key := range []string{"group", "resolution", "protocol", "figure"} {
		if k[key] != "" {
			of += " " + k[key]
		}
	}
	return of
}

// stored is a value of a table: a number to six digits, which tells most changes from none.
func stored(x any) string {
	switch x := x.(type) {
	case nil:
		return "absent"
	case float64:
		return strconv.FormatFloat(x, 'g', 6, 64)
	case string:
		if strings.Contains(x, " ") {
			return strconv.Quote(screen.Shorten(x, 60))
		}
	}
	return fmt.Sprint(x)
}
