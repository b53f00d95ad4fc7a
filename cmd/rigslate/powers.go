package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// sensingJSON says which sensor the figures of a quantity are of.
type sensingJSON struct {
	Of         compute.Quantity `json:"of"`
	Channel    string           `json:"channel"`
	MeasuredAt string           `json:"measured_at,omitempty"`
	Path       string           `json:"path,omitempty"`
	Why        string           `json:"why,omitempty"` // nothing of it could be had
}

func sensingsOf(by []review.Sensing) (out []sensingJSON) {
	for _, x := range by {
		out = append(out, sensingJSON{x.Of, x.Key, x.At, x.Path, x.Why})
	}
	return out
}

// sensedJSON is which sensors the passes of a files block are to bring along.
type sensedJSON struct {
	Files   string        `json:"files"`
	Figures []sensingJSON `json:"figures_of"`
}

func plannedSensors(p *plan.Plan) (out []sensedJSON) {
	for i := range p.Files {
		if f := &p.Files[i]; f.HasSensors() {
			out = append(out, sensedJSON{f.Name, sensingsOf(review.SensorsOf(f))})
		}
	}
	return out
}

// printSensors says in the summary what is logged beside the passes, and by which sensors their figures will be.
func printSensors(w io.Writer, p *plan.Plan) {
	lead := "Sensors"
	for _, f := range plannedSensors(p) {
		var texts []string
		for _, x := range f.Figures {
			text := fmt.Sprintf("%s from %s", x.Of, x.Channel)
			if x.MeasuredAt != "" {
				text += " (" + x.MeasuredAt + ")"
			}
			texts = append(texts, text)
		}
		if len(texts) == 0 {
			texts = []string{"no power, clock or temperature among them"}
		}
		say(w, lead, "of each pass in "+f.Files+": "+screen.List(texts))
		lead = ""
	}
}

// sensorFacts says where a pass's power, clock and temperature are from, and what was not logged of them.
func sensorFacts(p review.Pass) string {
	var paths, whys []string
	of, lacks := map[string][]string{}, map[string][]string{}
	add := func(to map[string][]string, keys *[]string, key, text string) {
		if to[key] == nil {
			*keys = append(*keys, key)
		}
		to[key] = append(to[key], text)
	}
	for _, x := range p.Sensors.By {
		if x.Why != "" {
			add(lacks, &whys, x.Why, string(x.Of))
			continue
		}
		text := fmt.Sprintf("%s from %s", x.Of, x.Key)
		if x.At != "" {
			text += " (" + x.At + ")"
		}
		add(of, &paths, x.Path, text)
	}
	var parts []string
	for _, path := range paths {
		text := screen.List(of[path])
		if path != p.File.Path {
			text += " of " + path
		}
		parts = append(parts, text)
	}
	for _, why := range whys {
		parts = append(parts, fmt.Sprintf("no %s: %s", strings.Join(lacks[why], ", "), why))
	}
	return strings.Join(append(parts, p.Sensors.Notes...), "; ")
}

// printPowerTables shows what each cell draws and what a frame of it costs, a table for each resolution and each place where power was
// measured: what was measured at unlike ones never stands in one.
func printPowerTables(w io.Writer, r *review.Review) {
	cells := map[string][]review.Cell{}
	var order []string
	for _, c := range r.Cells {
		s, _ := c.Stat("mean_power_w")
		if at := r.MeasuredAt(c); at != "" && s.Mean.OK {
			if !slices.Contains(order, at) {
				order = append(order, at)
			}
			cells[at] = append(cells[at], c)
		}
	}
	for _, res := range r.Plan.Resolutions {
		for _, at := range order {
			printPowers(w, r, res, at, cells[at])
		}
	}
}

func printPowers(w io.Writer, r *review.Review, res plan.Resolution, at string, cells []review.Cell) {
	var notes []string
	rows := [][]string{{"", "", "W", "J/frame", "95 % interval", "difference", "95 % interval", ""}}
	heads := map[int]string{} // before a row, the game it is of
	for _, g := range r.Plan.Games {
		for _, v := range g.Variants {
			first := len(rows)
			for _, c := range cells {
				if c.Cell.Resolution == res.Name && c.Cell.GameVariant() == (plan.GameVariant{Game: g.Name, Variant: v.Name}) {
					rows = append(rows, powerRow(r, c))
					notes = append(notes, powerNotes(r, c)...)
				}
			}
			if name := g.Name; len(rows) > first {
				if len(g.Variants) > 1 {
					name += "·" + v.Name
				}
				heads[first] = name
			}
		}
	}
	if len(rows) == 1 {
		return
	}
	fmt.Fprintf(w, "\nPower and energy per frame  %s %d×%d, %s; the difference is of the energy per frame\n", res.Name, res.Width, res.Height, finding.Printable(at))
	lines := screen.Columns(rows, []screen.Align{screen.Left, screen.Left, screen.Right, screen.Right, screen.Left, screen.Right, screen.Left, screen.Left}, 2)
	for i, line := range lines {
		if heads[i] != "" {
			fmt.Fprintln(w, "  "+heads[i])
		}
		fmt.Fprintln(w, "    "+line)
	}
	slices.Sort(notes)
	for _, n := range slices.Compact(notes) {
		fmt.Fprintln(w, "    "+screen.Wrap(finding.Printable(n), screen.Width-4, "      "))
	}
}

// powerNotes says why a cell has no energy per frame, or no difference of it.
func powerNotes(r *review.Review, c review.Cell) (notes []string) {
	say := func(why string) {
		if why != "" {
			notes = append(notes, c.Cell.CardMode().String()+": "+why)
		}
	}
	joules, _ := c.Stat("energy_per_frame_j")
	if say(joules.Why); joules.Why == "" {
		if d, ok := r.Against(c.Cell.Key, r.Plan.Review.Baseline, joules.Metric); ok && d.Verdict == "" {
			say(d.Why)
		}
	}
	return notes
}

// powerRow is the line of a cell. Where it is not ready the state stands in the place of the verdict, as in the tables of frame rates.
func powerRow(r *review.Review, c review.Cell) []string {
	k := c.Cell.Key
	m, _ := compute.MetricByName("energy_per_frame_j")
	watts, _ := c.Stat("mean_power_w")
	joules, _ := c.Stat(m.Name)
	out := []string{screen.Shorten(k.Card, 12), screen.Shorten(k.Mode, 8), number(watts.Mean, 1), number(joules.Mean, m.Decimals),
		interval(joules.Low, joules.High, m.Decimals)}
	if k.CardMode() == r.Plan.Review.Baseline {
		return append(out, "", "", "baseline")
	}
	d, ok := r.Against(k, r.Plan.Review.Baseline, m.Name)
	if !ok {
		return append(out, "", "", "no baseline")
	}
	percent := "–"
	if d.Percent.OK {
		percent = screen.Signed(d.Percent.X, 1) + " %"
	}
	verdict := heldVerdict(d)
	switch {
	case !c.State.Holds():
		verdict = stateWords[c.State]
	case d.Verdict == "":
		verdict = "no verdict"
	}
	return append(out, percent, percentInterval(d), verdict)
}
