package main

import (
	"fmt"
	"io"
	"slices"

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

// printSoakEnds prints the end of the soak at every probe, which the first table has of the hottest only.
func printSoakEnds(w io.Writer, r *review.Review, p plan.Soak) {
	const most = 7 // columns abreast
	var columns []soakColumn
	add := func(name string, group bool) {
		columns = append(columns, soakColumn{screen.Shorten(name, 10), func(s review.Soak) string {
			for _, probe := range s.Probes {
				if probe.Name == name && probe.Group == group {
					return shown(probe.EndC, 1)
				}
			}
			return ""
		}})
	}
	for _, probe := range p.Probes {
		add(probe.Name, false)
	}
	if len(columns) < 2 {
		return
	}
	for from := 0; from < len(columns); from += most {
		title := "\n  End of the soak at each probe, °C"
		if from > 0 {
			title = ""
		}
		printSoakColumns(w, r, p, title, columns[from:min(from+most, len(columns))])
	}
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
	printSoakEnds(w, r, p)
	printSoakColumns(w, r, p, "\n  Further figures; peaks and forecast are of the hottest, τ is the slowest time constant", furtherColumns)
}

// printSoakColumns prints a line a soak, without columns that none of them fills.
func printSoakColumns(w io.Writer, r *review.Review, p plan.Soak, title string, columns []soakColumn) {
	rows := [][]string{{""}}
	var soaks []review.Soak
	for _, s := range r.Soaks {
		if s.Soak == p.Name && s.State != review.SoakAbsent {
			soaks = append(soaks, s)
			rows = append(rows, []string{soakLabel(r.Plan, s.SoakRun)})
		}
	}
	aligns := []screen.Align{screen.Left}
	for _, c := range columns {
		if !slices.ContainsFunc(soaks, func(s review.Soak) bool { return c.of(s) != "" }) {
			continue
		}
		rows[0], aligns = append(rows[0], c.title), append(aligns, screen.Right)
		for i, s := range soaks {
			value := c.of(s)
			if value == "" {
				value = "–"
			}
			rows[i+1] = append(rows[i+1], value)
		}
	}
	if len(rows[0]) == 1 || len(rows) == 1 {
		return
	}
	if title != "" {
		fmt.Fprintln(w, title)
	}
	printRows(w, rows, aligns...)
}
