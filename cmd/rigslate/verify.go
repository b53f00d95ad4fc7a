package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan/discreet"
	"github.com/rigslate/rigslate/plan/finding"
)

// errDamaged ends verify when its output has told of the damage.
var errDamaged = errors.New("the archive is damaged")

func (a *app) verifyCommand() *cobra.Command {
	var full bool
	c := &cobra.Command{
		Use:   "verify ARCHIVE",
		Short: "Read an archive and say whether it is whole: what is damaged, whose passes, and what to do",
		Long: "verify reads every file of an archive and holds it against what was published: manifests, sizes, hashes, footers, and the\n" +
			"captures, which are unpacked. What is damaged, missing or foreign is listed by review, card, game and pass, with the next\n" +
			"step. It changes nothing. It ends with 0 if the archive is whole, and with 4 if not.\n\n" +
			"With --full every edition is worked out again as well, from its captures, plan and ledger, one after another, and each value of its\n" +
			"tables, frames and sensor samples is compared: bit for bit on the architecture that published it, else to 1e-12. That takes room\n" +
			"in the folder for temporary files for the captures and frames of one edition. Of an edition under other definitions the frames\n" +
			"are compared, and it is said which release works out its figures.",
		Example: "  rigslate verify --full testdata/demo/archive",
		Args:    atLeast(1, "an archive's folder"),
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 1 {
				return fmt.Errorf("%w: verify takes one archive, not %d; see '%s --help'", errUsage, len(args), c.CommandPath())
			}
			o, err := a.options(nil)
			if err != nil {
				return err
			}
			a.veilAsIn(editionsIn(args[0]), o.Now)
			v, err := review.Verify(c.Context(), args[0], review.VerifyOptions{Full: full, Workers: o.Workers, Progress: a.progress("files")})
			if err != nil {
				if errors.Is(err, fs.ErrNotExist) {
					err = fmt.Errorf("%w; an archive is the folder that a plan's review names, \"archive\" beside the plan where it names none", err)
				}
				return err
			}
			v, dir := discreet.Copy(a.veil, v), a.veil.String(args[0])
			if a.json {
				err = a.printJSON(verifyDocument(dir, v))
			} else {
				printVerified(a.stdout, dir, v)
			}
			if err == nil && len(v.Damage) > 0 {
				err = errDamaged
			}
			return err
		},
	}
	c.Flags().BoolVar(&full, "full", false, "work every edition out again from its captures, and compare every value")
	return c
}

// verifiedJSON is what verify says, as JSON.
type verifiedJSON struct {
	Archive  string           `json:"archive"`
	Whole    bool             `json:"whole"`
	Editions []editionJSON    `json:"editions"` // whose manifests can be trusted
	Files    int              `json:"files"`
	Captures int              `json:"captures"`
	Bytes    int64            `json:"bytes"`
	Loose    int              `json:"captures_of_no_edition"`
	Damage   []archive.Damage `json:"damage"`

	Again []review.Reworked `json:"worked_out_again,omitempty"` // with --full
}

type editionJSON struct {
	Review      string `json:"review"`
	Edition     string `json:"edition"`
	PublishedAt string `json:"published_at"`
	Definitions int    `json:"definitions_version"`
	Tool        string `json:"tool_version"`
	GOARCH      string `json:"goarch"`
}

func verifyDocument(dir string, v *review.Verified) verifiedJSON {
	d := verifiedJSON{Archive: dir, Whole: len(v.Damage) == 0, Editions: []editionJSON{}, Files: v.Files, Captures: v.Captures, Bytes: v.Bytes,
		Loose: v.Loose, Damage: append([]archive.Damage{}, v.Damage...), Again: v.Again}
	for _, e := range v.Editions {
		d.Editions = append(d.Editions, editionJSON{e.Review, e.Edition, e.PublishedAt, e.DefinitionsVersion, e.ToolVersion, e.GOARCH})
	}
	return d
}

func printVerified(w io.Writer, dir string, v *review.Verified) {
	published := map[string]string{}
	for _, e := range v.Editions {
		published[e.Edition] = ", published " + e.Published.UTC().Format("2006-01-02 15:04 UTC")
	}
	last := ""
	for _, d := range v.Damage {
		head := finding.Printable(dir)
		if d.Edition != "" {
			head = fmt.Sprintf("%s, edition %s%s", finding.Printable(d.Review), finding.Printable(d.Edition), published[d.Edition])
		}
		if head != last {
			if last != "" {
				fmt.Fprintln(w)
			}
			fmt.Fprintln(w, screen.Wrap(head, screen.Width, "  "))
			last = head
		}
		printDamage(w, d)
	}
	if last != "" {
		fmt.Fprintln(w)
	}
	fmt.Fprintln(w, screen.Wrap(read(dir, v), screen.Width, "  "))
	printAgain(w, v)
	fmt.Fprintln(w, verdict(v))
	if v.Loose > 0 {
		fmt.Fprintln(w, screen.Wrap(fmt.Sprintf("%s in raw belong%s to no edition: a run that was stopped while publishing leaves them. They do no harm.",
			screen.Count(v.Loose, "file", "files"), ending(v.Loose)), screen.Width, "  "))
	}
}

// printAgain says what was worked out again, and why what was not.
func printAgain(w io.Writer, v *review.Verified) {
	if !v.Full {
		return
	}
	whole := 0
	for _, e := range v.Again {
		if e.Figures {
			whole++
		}
	}
	fmt.Fprintln(w, screen.Wrap(fmt.Sprintf("Worked out again from the captures, every value compared: %s.", screen.Count(whole, "edition", "editions")), screen.Width, "  "))
	for _, e := range v.Again {
		if e.Note != "" {
			fmt.Fprintln(w, "  "+screen.Wrap(finding.Printable(fmt.Sprintf("%s %s: %s", e.Review, e.Edition, e.Note)), screen.Width-2, "    "))
		}
	}
}

// ending is that of a verb whose subject is n things.
func ending(n int) string {
	if n == 1 {
		return "s"
	}
	return ""
}

func printDamage(w io.Writer, d archive.Damage) {
	name := d.File
	if _, below, ok := strings.Cut(name, "/edition="+d.Edition+"/"); ok && d.Edition != "" {
		name = below
	}
	fmt.Fprintln(w, "  "+screen.Wrap(fmt.Sprintf("%s: %s", finding.Printable(name), finding.Printable(d.Found)), screen.Width-2, "    "))
	for _, line := range passLines(d.Passes) {
		fmt.Fprintln(w, "    "+screen.Wrap(finding.Printable(line), screen.Width-4, "      "))
	}
	fmt.Fprintln(w, "    "+screen.Wrap("Next: "+finding.Printable(d.Next), screen.Width-4, "      "))
}

// passLines names passes, a line a cell: "heron_x·stock fjord·plain uhd: passes 1, 2 and 3".
func passLines(passes []archive.Passed) (lines []string) {
	var cell string
	var repeats []string
	flush := func() {
		if repeats == nil {
			return
		}
		noun := "pass "
		if len(repeats) > 1 {
			noun = "passes "
		}
		lines = append(lines, cell+": "+noun+screen.List(repeats))
		repeats = nil
	}
	for _, p := range passes {
		c := fmt.Sprintf("%s·%s %s·%s %s", p.Card, p.Mode, p.Game, p.Variant, p.Resolution)
		if c != cell {
			flush()
			cell = c
		}
		repeats = append(repeats, strconv.Itoa(int(p.Repeat)))
	}
	flush()
	return lines
}

// read says how much there was to look at.
func read(dir string, v *review.Verified) string {
	reviews := map[string]bool{}
	for _, e := range v.Editions {
		reviews[e.Review] = true
	}
	return fmt.Sprintf("%s: %s of %s, %s of theirs and %s read, %s.", finding.Printable(dir), screen.Count(len(v.Editions), "edition", "editions"),
		screen.Count(len(reviews), "review", "reviews"), screen.Count(v.Files-v.Captures, "file", "files"),
		screen.Count(v.Captures, "capture", "captures"), megabytes(v.Bytes))
}

func verdict(v *review.Verified) string {
	bad, newer := map[string]bool{}, map[string]bool{}
	for _, d := range v.Damage {
		if d.Newer {
			newer[d.File] = true
		} else {
			bad[d.File] = true
		}
	}
	switch unjudged := screen.Count(len(newer), "edition", "editions") + " of a newer format cannot be judged."; {
	case len(bad)+len(newer) == 0:
		return "All is as it was published."
	case len(bad) == 0:
		return unjudged
	case len(newer) == 0:
		return screen.Count(len(bad), "file is", "files are") + " not as published, listed above."
	default:
		return screen.Count(len(bad), "file is", "files are") + " not as published, listed above; " + unjudged
	}
}

func megabytes(n int64) string { return screen.Number(float64(n)/1e6, 1) + " MB" }
