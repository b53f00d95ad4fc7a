package main

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"time"

	"github.com/mattn/go-runewidth"
	"github.com/spf13/cobra"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
	"github.com/rigslate/rigslate/plan/match"
	"github.com/rigslate/rigslate/plan/schedule"
)

func (a *app) checkCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "check PLAN…",
		Short: "Read the plan: mistakes, matrix, passes, bench hours and the order of cards",
		Long: "check reads a plan, in files or folders, and reports every mistake with its place and what to write instead. A plan\n" +
			"without mistakes is laid out: the matrix, the passes, what they can show game by game and what more would take, the\n" +
			"bench hours with their parts, and the order with the fewest driver changes and swaps. How noisy a game is comes from\n" +
			"the editions in the archive where they have the same scene, else from the plan. It reads no capture and writes nothing.",
		Example: "  rigslate check testdata/demo",
		Args:    atLeast(1, "a plan's file or folder"),
		RunE: func(_ *cobra.Command, args []string) error {
			o, err := a.options(args)
			if err != nil {
				return err
			}
			r, err := review.Load(o)
			if err != nil {
				return a.stopped(r, err)
			}
			return a.check(r, o.Now)
		},
	}
}

// checked is what check says, as JSON.
type checked struct {
	Review      string         `json:"review"`
	Title       string         `json:"title,omitempty"`
	Cells       int            `json:"cells"`
	Waived      int            `json:"waived"`
	Passes      int            `json:"passes"` // up to the first look
	Soaks       int            `json:"soaks,omitempty"`
	SoakFiles   int            `json:"soak_files,omitempty"`
	LastLook    int            `json:"passes_to_last_look,omitempty"`
	LastLookMin float64        `json:"total_min_to_last_look,omitempty"`
	TotalMin    float64        `json:"total_min"`
	HandsOnMin  float64        `json:"hands_on_min"`
	AloneMin    float64        `json:"unattended_min"`
	UntilFilmsH *float64       `json:"until_filming_h,omitempty"`
	Withheld    []withheldJSON `json:"withheld,omitempty"`
	Sensors     []sensedJSON   `json:"sensors_of_passes,omitempty"`
	Parts       []part         `json:"parts"`
	Order       []mounting     `json:"order"`
	Reach       []reachJSON    `json:"reach"`
	Session     sessionJSON    `json:"session_spread"`
	Reuse       []reuseJSON    `json:"reuse,omitempty"`
	Cautions    []string       `json:"cautions,omitempty"`
	Findings    finding.List   `json:"findings"`
}

type part struct {
	Name     string  `json:"part"`
	Count    int     `json:"count,omitempty"`
	TotalMin float64 `json:"total_min"`
	HandsOn  bool    `json:"hands_on"`
}

type mounting struct {
	Card         string  `json:"card"`
	DriverChange bool    `json:"driver_change"`
	Passes       int     `json:"passes"`
	Soaks        int     `json:"soaks,omitempty"`
	TotalMin     float64 `json:"total_min"`
	HandsOnMin   float64 `json:"hands_on_min"`
}

func checkDocument(p *plan.Plan, s schedule.Schedule, found finding.List, now time.Time) checked {
	c := checked{Review: p.Review.Name, Title: p.Review.Title, Cells: len(p.Cells), Waived: waived(p), Passes: s.Passes,
		Soaks: s.Soaks, SoakFiles: len(p.SoakLogs()),
		TotalMin: s.Total.Minutes(), HandsOnMin: s.HandsOn.Minutes(), AloneMin: s.Unattended.Minutes(),
		Withheld: withheldOf(p.Discretion(), now), Sensors: plannedSensors(p), Parts: []part{}, Order: []mounting{}, Findings: append(finding.List{}, found...)}
	if len(p.Hazards()) > 0 {
		c.Cautions = screen.Cautions
	}
	if every, ok := schedule.EveryLook(p); ok {
		c.LastLook, c.LastLookMin = every.Passes, every.Total.Minutes()
	}
	if !p.Review.Due.IsZero() {
		h := p.Review.Due.Sub(now).Hours()
		c.UntilFilmsH = &h
	}
	for _, x := range s.Parts {
		c.Parts = append(c.Parts, part{x.Name, x.Count, x.Total.Minutes(), x.HandsOn})
	}
	for _, m := range s.Order {
		c.Order = append(c.Order, mounting{m.Card, m.DriverChange, m.Passes, m.Soaks, m.Total.Minutes(), m.HandsOn.Minutes()})
	}
	return c
}

func (a *app) check(r *review.Review, now time.Time) error {
	p := r.Plan
	s := schedule.Estimate(p)
	games, session := r.Reach()
	reuses := r.ReuseAhead(now)
	found := append(r.Findings, match.Check(p)...)
	found = append(found, s.Check(p, now)...).Tidy()
	if a.json {
		d := checkDocument(p, s, found, now)
		d.Reach, d.Session = reachDocument(p, games, session)
		d.Reuse = reuseDocument(reuses)
		if err := a.printJSON(d); err != nil {
			return err
		}
	} else {
		if err := finding.Print(a.stdout, found); err != nil {
			return err
		}
		if len(found) > 0 {
			fmt.Fprintln(a.stdout)
		}
		printMatrix(a.stdout, p, s, now)
		printReuse(a.stdout, reuses)
		printReach(a.stdout, p, games, session)
		printHours(a.stdout, s)
		printOrder(a.stdout, p, s)
		printCautions(a.stdout, p)
	}
	if found.HasErrors() {
		return errPlan
	}
	return nil
}

func waived(p *plan.Plan) (n int) {
	for _, c := range p.Cells {
		if c.Waived != "" {
			n++
		}
	}
	return n
}

func printMatrix(w io.Writer, p *plan.Plan, s schedule.Schedule, now time.Time) {
	modes, games, sizes := map[plan.Mode]bool{}, map[plan.GameVariant]bool{}, map[string]bool{}
	for _, c := range p.Cells {
		modes[c.CardMode()], games[c.GameVariant()], sizes[c.Resolution] = true, true, true
	}
	title := p.Review.Name
	if p.Review.Title != "" {
		title += ": " + finding.Printable(p.Review.Title)
	}
	fmt.Fprintln(w, screen.Wrap(title, screen.Width, "  "))
	left := ""
	if n := waived(p); n > 0 {
		left = fmt.Sprintf(" (%d of them waived)", n)
	}
	fmt.Fprintf(w, "Matrix      %s × %s × %s: %s%s\n",
		screen.Count(len(modes), "card or mode", "cards and modes"), screen.Count(len(games), "game or variant", "games and variants"),
		screen.Count(len(sizes), "resolution", "resolutions"), screen.Count(len(p.Cells), "cell", "cells"), left)
	fmt.Fprintf(w, "Passes      %s\n", screen.Count(s.Passes, "pass", "passes"))
	printSensors(w, p)
	printSoaks(w, p)
	fmt.Fprintf(w, "Bench time  %s: %s hands-on, %s unattended\n", screen.Duration(s.Total), screen.Duration(s.HandsOn), screen.Duration(s.Unattended))
	printLooks(w, p)
	if due := p.Review.Due; !due.IsZero() {
		fmt.Fprintf(w, "Filming     %s, in %s\n", due.Format("2006-01-02 15:04 UTC"), screen.Until(due.Sub(now)))
	}
	printDiscretion(w, p, now)
}

// say writes a line of the summary under its word, and goes on below it.
func say(w io.Writer, lead, text string) {
	const indent = "            "
	fmt.Fprintln(w, (lead + indent)[:len(indent)]+screen.Wrap(text, screen.Width-len(indent), indent))
}

func printHours(w io.Writer, s schedule.Schedule) {
	fmt.Fprintf(w, "\nHours\n")
	var rows [][]string
	for _, part := range s.Parts {
		each := ""
		if part.Each > 0 {
			each = "× " + short(part.Each)
		}
		kind := "unattended"
		if part.HandsOn {
			kind = "hands-on"
		}
		count := ""
		if part.Count > 0 {
			count = strconv.Itoa(part.Count)
		}
		rows = append(rows, []string{"", part.Name, count, each, screen.Duration(part.Total), kind})
	}
	printRows(w, rows, screen.Left, screen.Left, screen.Right, screen.Left, screen.Right, screen.Left)
}

func printOrder(w io.Writer, p *plan.Plan, s schedule.Schedule) {
	fmt.Fprintf(w, "\nOrder: fewest driver changes, then swaps, the card that leaves first on top\n")
	var rows [][]string
	for i, m := range s.Order {
		card, _ := p.Card(m.Card)
		leaves := ""
		if t := card.Sample.Leaves; !t.IsZero() {
			leaves = "leaves " + t.Format("2006-01-02 15:04")
		}
		driver := ""
		if m.DriverChange {
			driver = "new driver " + finding.Printable(card.Driver)
		}
		work := screen.Count(m.Passes, "pass", "passes")
		if m.Soaks > 0 {
			work += ", " + screen.Count(m.Soaks, "soak", "soaks")
		}
		rows = append(rows, []string{strconv.Itoa(i + 1), screen.Shorten(m.Card, 24), work,
			screen.Duration(m.Total), "of it " + screen.Duration(m.HandsOn) + " hands-on", screen.Shorten(driver, 20), leaves})
	}
	printRows(w, rows, screen.Right, screen.Left, screen.Right, screen.Right, screen.Left, screen.Left, screen.Left)
}

// printRows writes columns two blanks apart, indented by two; one blank apart where they would not fit the screen.
func printRows(w io.Writer, rows [][]string, aligns ...screen.Align) {
	lines := screen.Columns(rows, aligns, 2)
	if slices.ContainsFunc(lines, func(s string) bool { return runewidth.StringWidth(s) > screen.Width-2 }) {
		lines = screen.Columns(rows, aligns, 1)
	}
	for _, line := range lines {
		fmt.Fprintln(w, "  "+line)
	}
}

// short gives a length of minutes and seconds.
func short(d time.Duration) string {
	switch m, s := int(d.Minutes()), int(d.Seconds())%60; {
	case m == 0:
		return fmt.Sprintf("%d s", s)
	case s == 0:
		return fmt.Sprintf("%d min", m)
	default:
		return fmt.Sprintf("%d min %d s", m, s)
	}
}
