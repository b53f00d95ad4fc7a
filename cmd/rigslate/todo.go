package main

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/mattn/go-runewidth"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/finding"
)

// task is one line of the re-run list: a cell, or the cells of a card and mode that have no pass at all.
type task struct {
	mode, what, why string
	time, swap      time.Duration
}

// mergeFrom is how many cells without any pass in a row become one line: nobody reads forty lines that say the same.
const mergeFrom = 4

// namesShown is how many of them are named.
const namesShown = 12

func tasks(r *review.Review) (out []task) {
	for i := 0; i < len(r.Todo); {
		n := 1
		for absent(r.Todo[i]) && i+n < len(r.Todo) && absent(r.Todo[i+n]) && r.Todo[i+n].Cell.CardMode() == r.Todo[i].Cell.CardMode() &&
			r.Todo[i+n].Not == r.Todo[i].Not {
			n++
		}
		if n < mergeFrom {
			n = 1
		}
		out = append(out, merge(r.Plan, r.Todo[i:i+n]))
		i += n
	}
	return out
}

// absent reports a cell that has no pass and nothing else to say of it.
func absent(t review.Todo) bool {
	return len(t.Why) == 1 && string(t.Why[0].Kind) == coverage.Absent.String()
}

func merge(p *plan.Plan, ts []review.Todo) task {
	first := ts[0]
	t := task{mode: first.Cell.CardMode().String(), swap: first.Swap}
	var names []string
	passes := 0
	for _, x := range ts {
		names = append(names, cellName(p, x.Cell))
		passes += len(x.Again)
		t.time += x.Time
	}
	if len(ts) == 1 {
		t.what = names[0] + ", " + first.What
		t.why = reasons(first.Why) + notReused(first.Not)
		return t
	}
	t.what = fmt.Sprintf("%d cells, %d passes", len(ts), passes)
	if n := len(names) - namesShown; n > 1 {
		names = append(names[:namesShown], fmt.Sprintf("and %d more that the grid shows as absent", n))
	}
	t.why = "no pass is there: " + strings.Join(names, ", ") + notReused(first.Not)
	return t
}

func notReused(why string) string {
	if why == "" {
		return ""
	}
	return "; not reused: " + why
}

// printTodo lists what to do at the bench: a line each with its time, and below it why.
func printTodo(w io.Writer, r *review.Review) {
	if len(r.Todo) == 0 {
		return
	}
	fmt.Fprintln(w, "\nDo next")
	todo := tasks(r)
	rows := make([][]string, len(todo))
	for i, t := range todo {
		words := screen.Duration(t.time)
		if t.swap > 0 {
			words = screen.Duration(t.time+t.swap) + " with the swap"
		}
		rows[i] = []string{strconv.Itoa(i + 1), t.mode, t.what, words}
	}
	lines := screen.Columns(rows, []screen.Align{screen.Right, screen.Left, screen.Left, screen.Left}, 2)
	for i, t := range todo {
		if runewidth.StringWidth(lines[i]) > screen.Width-2 { // names too long for columns
			lines[i] = screen.Wrap(strings.Join(rows[i], "  "), screen.Width-2, "       ")
		}
		fmt.Fprintln(w, "  "+lines[i])
		fmt.Fprintln(w, "       "+screen.Wrap(finding.Printable(t.why), screen.Width-7, "       "))
	}
	fmt.Fprintln(w, "  Save a pass over the one it replaces, or take that one out with a void block and its reason.")
}

// cellName leaves out the variant where the game has one only.
func cellName(p *plan.Plan, k plan.Key) string {
	if g, _ := p.Game(k.Game); len(g.Variants) == 1 {
		return k.Game + " " + k.Resolution
	}
	return k.GameVariant().String() + " " + k.Resolution
}

// reasons joins what stands against a cell, saying of which passes; what is the same of several is said once.
func reasons(rs []coverage.Reason) string {
	var texts []string
	passes := map[string][]string{}
	for _, r := range rs {
		if !slices.Contains(texts, r.Text) {
			texts = append(texts, r.Text)
		}
		if n := strconv.Itoa(r.Pass); r.Pass > 0 && !slices.Contains(passes[r.Text], n) {
			passes[r.Text] = append(passes[r.Text], n)
		}
	}
	for i, text := range texts {
		switch ps := passes[text]; len(ps) {
		case 0:
		case 1:
			texts[i] = "pass " + ps[0] + ": " + text
		default:
			texts[i] = "passes " + screen.List(ps) + ": " + text
		}
	}
	return strings.Join(texts, "; ")
}
