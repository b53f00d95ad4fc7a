package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/rs/zerolog"
	"github.com/spf13/cobra"
	"golang.org/x/term"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan/discreet"
	"github.com/rigslate/rigslate/plan/finding"
)

// version is the release; a build from a tagged source sets it with -ldflags.
var version = "0.1.0-dev"

// app is what every command shares: where output goes and what the global flags say.
type app struct {
	stdout, stderr io.Writer
	json           bool
	logFormat      string
	logLevel       string
	now            string
	captures       string
	workers        int
	signs          string
	veil           *discreet.Veil // of what the command shows
}

// run is the whole program: it parses args, carries the command out and returns the exit code. Results go to stdout, log lines
// and progress to stderr.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	out := &output{to: stdout}
	a := &app{stdout: out, stderr: stderr}
	root := a.command()
	root.SetArgs(args)
	root.SetOut(out)
	root.SetErr(stderr)
	err := root.ExecuteContext(ctx)
	if err != nil && ctx.Err() != nil {
		err = ctx.Err()
	}
	if out.err != nil {
		err = errors.Join(fmt.Errorf("%w: the result cannot be written: %w", review.ErrDisk, out.err), err)
	}
	code := exitFor(err)
	switch {
	case code == exitInterrupted:
		fmt.Fprintln(stderr, "rigslate: interrupted; nothing was published, and what was unfinished is removed. Run the same command again.")
	case err != nil && !said(err):
		fmt.Fprintf(stderr, "rigslate: %s\n", strings.TrimSuffix(a.veil.String(err.Error()), "\n"))
		if archive.NoRoom(err) {
			fmt.Fprintln(stderr, "There is no room left on the disk. What was published is untouched. Make room and run the same command again.")
		}
	}
	return int(code)
}

// output remembers the first failed write, so that a full disk behind a redirection is not passed over in silence.
type output struct {
	to  io.Writer
	err error
}

func (o *output) Write(p []byte) (int, error) {
	if o.err != nil {
		return 0, o.err
	}
	n, err := o.to.Write(p)
	o.err = err
	return n, err
}

func (a *app) command() *cobra.Command {
	root := &cobra.Command{
		Use:   "rigslate",
		Short: "Declare a graphics-card review, see what is missing, get numbers that hold up, keep them",
		Long: "rigslate reads one plan of a graphics-card review (cards, games, resolutions, repeats), compares it with the folder of\n" +
			"captures, works out figures with their uncertainty, and archives every frame as Parquet.",
		Version:                    version,
		SilenceUsage:               true,
		SilenceErrors:              true,
		Args:                       unknownCommand,
		SuggestionsMinimumDistance: 2,
		RunE: func(c *cobra.Command, _ []string) error {
			return c.Help()
		},
	}
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		return fmt.Errorf("%w: %w; see '%s --help'", errUsage, err, c.CommandPath())
	})
	f := root.PersistentFlags()
	f.BoolVar(&a.json, "json", false, "print one JSON document instead of text")
	f.StringVar(&a.logFormat, "log-format", "console", "form of log lines: console or json")
	f.StringVar(&a.logLevel, "log-level", "info", "least severe log line shown: debug, info, warn, error")
	f.StringVar(&a.now, "now", "", "the time to reckon from, RFC 3339 (default: the clock)")
	f.StringVar(&a.captures, "captures", "", "folder of the raw captures (default: the plan's folder)")
	f.IntVarP(&a.workers, "workers", "j", 0, "captures worked on at once; 0 is one a core")
	f.StringVar(&a.signs, "signs", "auto", "signs of the coverage grid: utf8, letters, or auto by the terminal's language")
	root.AddCommand(a.checkCommand(), a.missingCommand(), a.runCommand(), a.reportCommand(), a.packCommand(), a.changesCommand(), a.whyCommand(), a.explainCommand(),
		a.verifyCommand(), a.historyCommand(), a.recomputeCommand())
	return root
}

// unknownCommand says what there is no command for, and which one may have been meant.
func unknownCommand(c *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	hint := ""
	if near := c.SuggestionsFor(args[0]); len(near) > 0 {
		hint = fmt.Sprintf("; did you mean %q?", near[0])
	}
	return fmt.Errorf("%w: there is no command %q%s; see '%s --help'", errUsage, args[0], hint, c.CommandPath())
}

// atLeast asks for n arguments, in words of what they are.
func atLeast(n int, what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) < n {
			return fmt.Errorf("%w: %s needs %s; see '%s --help'", errUsage, c.Name(), what, c.CommandPath())
		}
		return nil
	}
}

// options turns the global flags into what the pipeline takes.
func (a *app) options(plans []string) (review.Options, error) {
	o := review.Options{Plans: plans, Captures: a.captures, Now: time.Now().UTC(), Workers: a.workers, Tool: version}
	if a.now != "" {
		now, err := time.Parse(time.RFC3339, a.now)
		if err != nil {
			return o, fmt.Errorf("%w: --now %q is not a time like 2027-03-04T14:00:00Z", errUsage, a.now)
		}
		o.Now = now.UTC()
	}
	if a.workers < 0 || a.workers > 256 {
		return o, fmt.Errorf("%w: --workers %d is not between 0 and 256", errUsage, a.workers)
	}
	if a.signs != "auto" && a.signs != "utf8" && a.signs != "letters" {
		return o, fmt.Errorf("%w: --signs %q is not utf8, letters or auto", errUsage, a.signs)
	}
	log, err := a.logger()
	o.Log = log
	o.Progress = a.progress("captures")
	o.Hide = func(v *discreet.Veil) { a.veil = v }
	return o, err
}

func (a *app) logger() (zerolog.Logger, error) {
	level, err := zerolog.ParseLevel(a.logLevel)
	if err != nil || a.logLevel == "" {
		return zerolog.Nop(), fmt.Errorf("%w: --log-level %q is not debug, info, warn or error", errUsage, a.logLevel)
	}
	var w io.Writer
	switch a.logFormat {
	case "json":
		w = a.stderr
	case "console":
		w = zerolog.ConsoleWriter{Out: a.stderr, NoColor: !colour(a.stderr), PartsExclude: []string{zerolog.TimestampFieldName}}
	default:
		return zerolog.Nop(), fmt.Errorf("%w: --log-format %q is not console or json", errUsage, a.logFormat)
	}
	return zerolog.New(logLines{w, a}).Level(level).With().Timestamp().Logger(), nil
}

// logLines is where log lines go, without what is withheld.
type logLines struct {
	to io.Writer
	of *app
}

func (l logLines) Write(p []byte) (int, error) {
	if _, err := io.WriteString(l.to, l.of.veil.String(string(p))); err != nil {
		return 0, err
	}
	return len(p), nil
}

// progress shows one line that renews itself, on a terminal only; of says what is counted.
func (a *app) progress(of string) func(done, total int, what string) {
	if a.json || !terminal(a.stderr) {
		return nil
	}
	return func(done, total int, what string) {
		fmt.Fprintf(a.stderr, "\r\x1b[K%d of %d %s  %s", done, total, of, finding.Printable(a.veil.String(what)))
		if done == total {
			fmt.Fprint(a.stderr, "\r\x1b[K")
		}
	}
}

func terminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

func colour(w io.Writer) bool { return os.Getenv("NO_COLOR") == "" && terminal(w) }

// printJSON writes the one document of --json.
func (a *app) printJSON(v any) error {
	e := json.NewEncoder(a.stdout)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// stopped prints what a review that could not go on has found, and turns the pipeline's error into the command's.
func (a *app) stopped(r *review.Review, err error) error {
	if r == nil || !(errors.Is(err, review.ErrPlan) && r.Findings.HasErrors()) {
		return err
	}
	if a.json {
		if err := a.printJSON(struct {
			Findings finding.List `json:"findings"`
		}{r.Findings.Tidy()}); err != nil {
			return err
		}
		return errPlan
	}
	if err := finding.Print(a.stdout, r.Findings); err != nil {
		return err
	}
	n := r.Findings.Count(finding.Error)
	fmt.Fprintf(a.stdout, "\n%s in the plan; nothing was done.\n", screen.Count(n, "error", "errors"))
	return errPlan
}
