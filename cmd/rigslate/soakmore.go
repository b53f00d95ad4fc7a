package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"

	"github.com/mattn/go-runewidth"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
)

// soakColumn is one column of a soak's further tables; a value that is not there is "".
type soakColumn struct {
	title string
	of    func(s review.Soak) string
}

func shown(v compute.Value, decimals int) string {
	if !v.OK {
		return ""
	}
	return number(v, decimals)
}

// furtherColumns are what a soak says beside its first table. Peaks are of the probe or group that ends hottest, and so is the forecast.
var furtherColumns = []soakColumn{
	{"peak °C", func(s review.Soak) string {
		return ofHottest(s, func(p review.SoakProbe) string { return shown(p.PeakC.Value, 1) })
	}},
	{"10-s peak", func(s review.Soak) string {
		return ofHottest(s, func(p review.SoakProbe) string { return shown(p.SustainedC.Value, 1) })
	}},
	{"forecast", func(s review.Soak) string {
		return ofHottest(s, func(p review.SoakProbe) string {
			switch final := shown(p.Heating.FinalC, 1); {
			case final == "":
				return ""
			case p.Heating.OverAmbient:
				return "room + " + final
			default:
				return final
			}
		})
	}},
	{"τ s", func(s review.Soak) string {
		return ofHottest(s, func(p review.SoakProbe) string { return shown(p.Heating.TauS, 0) })
	}},
	{"1-s peak W", func(s review.Soak) string {
		return ofFirst(s.Powers, func(p review.SoakPower) string { return shown(p.SecondW.Value, 1) })
	}},
	{"fps at end", func(s review.Soak) string { return shown(s.Rate.EndFPS, 1) }},
	{"since start", func(s review.Soak) string {
		if !s.Rate.ChangePct.OK {
			return ""
		}
		return screen.Signed(s.Rate.ChangePct.X, 1) + " %"
	}},
	{"J per frame", func(s review.Soak) string {
		return ofFirst(s.Powers, func(p review.SoakPower) string { return shown(p.EnergyPerFrameJ, 3) })
	}},
	{"clock MHz", func(s review.Soak) string {
		return ofFirst(s.Clocks, func(c review.SoakClock) string { return shown(c.MedianMHz, 0) })
	}},
	{"fan on °C", func(s review.Soak) string {
		return ofFirst(s.Fans, func(f review.SoakFan) string { return shown(f.Start.MedianC, 1) })
	}},
	{"fan off °C", func(s review.Soak) string {
		return ofFirst(s.Fans, func(f review.SoakFan) string { return shown(f.Stop.MedianC, 1) })
	}},
}

func ofHottest(s review.Soak, say func(review.SoakProbe) string) string {
	if h, ok := s.Hottest(); ok {
		return say(h)
	}
	return ""
}

func ofFirst[T any](all []T, say func(T) string) string {
	if len(all) == 0 {
		return ""
	}
	return say(all[0])
}

// printSoakMore prints the further tables of a protocol.
func printSoakMore(w io.Writer, r *review.Review, p plan.Soak) {
	printSoakProbes(w, r, p)
	printSoakColumns(w, r, p, "Further figures; peaks and forecast are of the hottest, τ is the slowest time constant", furtherColumns)
}

// printSoakColumns prints a line a soak, without columns that none of them fills. What is too wide for a screen goes on below.
func printSoakColumns(w io.Writer, r *review.Review, p plan.Soak, title string, columns []soakColumn) {
	names := []string{""}
	var soaks []review.Soak
	for _, s := range r.Soaks {
		if s.Soak == p.Name && s.State != review.SoakAbsent {
			soaks, names = append(soaks, s), append(names, soakLabel(r.Plan, s.SoakRun))
		}
	}
	room := screen.Width - 2 - widest(names)
	var abreast [][]string // columns with their titles on top
	left := 0
	flush := func() {
		if len(abreast) == 0 {
			return
		}
		aligns := []screen.Align{screen.Left}
		rows := make([][]string, len(names))
		for i, name := range names {
			rows[i] = []string{name}
			for _, c := range abreast {
				rows[i] = append(rows[i], c[i])
			}
		}
		fmt.Fprintln(w)
		if title != "" {
			fmt.Fprintln(w, "  "+title)
		}
		printRows(w, rows, append(aligns, slices.Repeat([]screen.Align{screen.Right}, len(abreast))...)...)
		title, abreast, left = "", nil, room
	}
	left = room
	for _, c := range columns {
		cells, filled := []string{c.title}, false
		for _, s := range soaks {
			value := c.of(s)
			filled = filled || value != ""
			cells = append(cells, cmp.Or(value, "–"))
		}
		if !filled {
			continue
		}
		need := 1 + widest(cells) // printRows puts columns one apart where two are too many
		if need > left {
			flush()
		}
		abreast, left = append(abreast, cells), left-need
	}
	flush()
}

// widest is how many places the widest of some texts takes.
func widest(texts []string) (n int) {
	for _, t := range texts {
		n = max(n, runewidth.StringWidth(t))
	}
	return n
}
