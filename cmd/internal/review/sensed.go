package review

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/finding"
	"github.com/rigslate/rigslate/plan/glossary"
)

// mark is what tells apart sensors of a quantity that must not be compared or averaged: the place where power is measured, else which sensor it is.
func (x Sensing) mark() string {
	if x.Of == compute.OfPower {
		return x.At
	}
	return x.Key
}

// marks are those of some passes, as far as they have readings.
func marks(ps []Pass, q compute.Quantity) (out []string) {
	for _, p := range ps {
		if x, ok := p.Sensors.of(q); ok && !slices.Contains(out, x.mark()) {
			out = append(out, x.mark())
		}
	}
	slices.Sort(out)
	return out
}

// MeasuredAt says where the power of a cell's passes was measured, "" where it was not or not at one place.
func (r *Review) MeasuredAt(c Cell) string {
	if at := marks(r.PassesOf(c, Used), compute.OfPower); len(at) == 1 {
		return at[0]
	}
	return ""
}

// unlikeWithin says that the passes of a cell read a quantity by unlike sensors, "" where they do not.
func unlikeWithin(used []Pass, q compute.Quantity) string {
	if q == "" {
		return ""
	}
	if of := marks(used, q); len(of) > 1 {
		return fmt.Sprintf("its passes have %s of %s; unlike ones are never averaged", q, strings.Join(of, " and "))
	}
	return ""
}

// sensedApart says that two cells read a quantity by unlike sensors, so that it is not compared; "" where it may be.
func (r *Review) sensedApart(a, b Cell, q compute.Quantity) string {
	if q == "" {
		return ""
	}
	x, y := marks(r.PassesOf(a, Used), q), marks(r.PassesOf(b, Used), q)
	if len(x) == 0 || len(y) == 0 || slices.Equal(x, y) {
		return ""
	}
	return fmt.Sprintf("%s of %s against %s; unlike ones are never compared", q, strings.Join(x, " and "), strings.Join(y, " and "))
}

// unlikeSensors lists the quantities that two cells must not be compared in, each with the reason, and says so.
func (r *Review) unlikeSensors(a, b Cell) map[compute.Quantity]string {
	out := map[compute.Quantity]string{}
	card, _ := r.Plan.Card(a.Cell.Card)
	for _, q := range quantities {
		why := r.sensedApart(a, b, q.of)
		if why == "" || q.of == compute.OfTemperature { // which is not compared anyway
			continue
		}
		out[q.of] = why
		r.Findings.Add(finding.Warning, card.Place, "Cells that are compared differ", fmt.Sprintf("%s against %s: %s.", a.Cell.Key, b.Cell.CardMode(), why),
			"Read both by like sensors. Frame rates are compared all the same.")
	}
	return out
}

// compareStarts holds the start temperatures of the passes of a cell, as far as one sensor gives them, against each other.
func (r *Review) compareStarts(used []int) {
	bySensor := map[string][]int{}
	for _, i := range used {
		if x, ok := r.Passes[i].Sensors.of(compute.OfTemperature); ok {
			bySensor[x.Key] = append(bySensor[x.Key], i)
		}
	}
	start, _ := compute.MetricByName("start_temp_c")
	for _, like := range bySensor {
		var temps []compute.Value
		for _, i := range like {
			temps = append(temps, start.Of(r.Passes[i].Figures))
		}
		for j, apart := range compute.StartsApart(temps) {
			p := &r.Passes[like[j]]
			p.StartApartK = apart.K
			if apart.TooFar {
				p.doubt(kindStartTemp, "started at %s °C, %s %s", screen.Number(temps[j].X, 1), kelvin(apart.K.X), r.others(like, like[j]))
			}
		}
	}
}

// kelvin words a distance in K with its direction.
func kelvin(k float64) string {
	side := "above"
	if k < 0 {
		side = "below"
	}
	return screen.Number(math.Abs(k), 1) + " K " + side
}

// startCheck says how a pass's start temperature stands beside the others'; ok is false where the plan names no such sensor.
func startCheck(p Pass) (k Check, ok bool) {
	x, known := p.Sensors.of(compute.OfTemperature)
	if x.Of == "" {
		return k, false
	}
	k.Name = fmt.Sprintf("pass %d start", p.Repeat)
	switch start, _ := compute.MetricByName("start_temp_c"); {
	case !known:
		k.Skipped, k.Text = true, x.Why
	case !p.StartApartK.OK:
		k.Skipped, k.Text = true, p.StartApartK.Why
	default:
		k.OK = !slices.ContainsFunc(p.Doubts, func(d coverage.Reason) bool { return d.Kind == kindStartTemp })
		k.Text = fmt.Sprintf("%s °C, %s the median of the others, at most %d K accepted", screen.Number(start.Of(p.Figures).X, 1), kelvin(p.StartApartK.X),
			compute.StartTempLimitK)
	}
	return k, true
}

// checkSensors tells once which passes lack what should lie beside them. A log that lies beside two is of neither, since nothing tells of which it is.
func (r *Review) checkSensors() {
	lacking, first := 0, ""
	type place struct{ pass, file int }
	sums := map[[32]byte]place{}
	for i, p := range r.Passes {
		lacks := false
		for j, f := range p.Sensors.Files {
			switch {
			case !f.There:
				lacks = true
				if first == "" {
					first = fmt.Sprintf("%s: %s", p.File.Path, f.Why)
				}
			case f.Err == nil && p.Status == Used:
				at := place{i, j}
				other, twice := sums[f.SHA256]
				if !twice {
					sums[f.SHA256] = at
					continue
				}
				q := &r.Passes[other.pass]
				path := q.Sensors.Files[other.file].Path
				r.Findings.Add(finding.Warning, finding.Place{File: f.Path}, "The same sensor log lies beside two passes",
					fmt.Sprintf("%s and %s are byte for byte the same.", path, f.Path), "Find out which was saved under a wrong name; the other one is lost.")
				q.dropSensors(other.file, "the same log lies beside another pass as "+f.Path)
				r.Passes[i].dropSensors(j, "the same log lies beside another pass as "+path)
			}
		}
		if lacks {
			lacking++
		}
	}
	if lacking > 0 {
		r.Findings.Add(finding.Warning, finding.Place{}, "Sensor files are not there", fmt.Sprintf("Passes that lack one: %d of %d. The first is %s.", lacking,
			len(r.Passes), first), "Find them or mend their path. What rests on them is absent; frame rates are not touched.")
	}
}

// dropSensors takes back what a file beside the pass says.
func (p *Pass) dropSensors(file int, why string) {
	p.Sensors.Files[file].Why = why
	if p.Sensors.logs != nil {
		p.Sensors.logs[file] = nil
	}
	for i := range p.Sensors.By {
		if x := &p.Sensors.By[i]; x.inFile == file {
			x.Why = why
			p.Figures.Without(x.Of, why)
		}
	}
}

func sensedEntries() []glossary.Entry {
	return []glossary.Entry{
		{Name: string(kindStartTemp), Also: []string{"cold start", "cold pass"}, Group: glossary.Against, Unit: "K from the others",
			Means: "A pass that began much colder or warmer than the others of its cell. It had other clocks, fan speed and power for a while, so it is " +
				"not the same pass once more.",
			Say: notBefore, Formula: "the first sample of its temperature lies more than 5 K from the median of the other passes', also without those farther off", Source: pageSeven,
			Parameters: []string{"sensors"}},
	}
}
