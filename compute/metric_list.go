package compute

import (
	"fmt"
	"math"
	"slices"
)

const (
	pageOne    = "definitions, section 1"
	hyndmanFan = "R. J. Hyndman, Y. Fan, Sample quantiles in statistical packages, The American Statistician 50(4), 1996"
	neumann    = "J. von Neumann et al., The mean square successive difference, Annals of Mathematical Statistics 12, 1941"
	handbook   = "NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.12"
)

// metrics is the registry: whatever is worked out, kept or said of a metric anywhere follows from its entry here.
var metrics = inOrder(slices.Concat([]Metric{
	{Name: "mean_fps", Title: "mean", Also: []string{"fps", "average", "mean frame rate"}, Unit: "fps",
		Means: "Frames a second, on average over the kept time. It says how much a card delivers, not how evenly: of two passes with one " +
			"mean, one may run smoothly and the other stutter.",
		Say:     `"65 frames a second on average". The interval beside it says how many of its digits are worth speaking.`,
		Formula: "1000·n / T, n frames in T ms: frames over time, never the mean of rates", Source: pageOne,
		Scale: Ratio, HigherBetter: true, Decimals: 1, From: func(w Worked) Value { return w.MeanFPS },
		Example: func(w Worked) string {
			return fmt.Sprintf("%d frames in %.1f ms: 1000 × %d / %.1f = %.1f fps", w.Frames, w.totalMS(), w.Frames, w.totalMS(), w.MeanFPS.X)
		}},
	{Name: "frame_ms_mean", Title: "mean frame time", Unit: "ms",
		Means: "How long a frame lasts, on average. It is the mean frame rate turned over: 1000 divided by the one is the other.",
		Say: `"15 milliseconds a frame". Keep to rates or to times in one sentence: 5 % more frames a second are 4.8 % less time ` +
			`a frame.`,
		Formula: "T / n, n frames in T ms", Source: pageOne,
		Scale: Ratio, Decimals: 2, From: func(w Worked) Value { return Known(w.meanMS()) },
		Example: func(w Worked) string {
			return fmt.Sprintf("%.1f ms / %d frames = %.2f ms", w.totalMS(), w.Frames, w.meanMS())
		}},
	{Name: "frame_ms_sd", Title: "standard deviation", Also: []string{"sd of frame time"}, Unit: "ms",
		Means: "How far frame times lie from their mean, as a rule. A scene with light and heavy parts has a large one on any card, " +
			"so it does not speak of stutter by itself.",
		Say:     `Beside another card in the same scene, and resolved: "its frame times vary less". Alone, nothing.`,
		Formula: "√(Σ(x − x̄)² / (n − 1)) over the frame times x", Source: pageOne,
		Scale: Ratio, Decimals: 2, From: func(w Worked) Value { return inMS(w.spread.sd) },
		Example: func(w Worked) string {
			squares := w.squaresAround()
			return fmt.Sprintf("the squared distances of %d frame times from their mean of %.3f ms sum to %.1f ms²: √(%.1f / %d) = %.2f ms",
				w.Frames, w.meanMS(), squares, squares, w.Frames-1, w.spread.sd.X/nsPerMS)
		}},
	quantileMetric("p50", 0.5, "Half of all frames took at most this long", "half of the frames"),
	quantileMetric("p95", 0.95, "95 of 100 frames took at most this long", "19 of 20 frames"),
	quantileMetric("p99", 0.99, "99 of 100 frames took at most this long", "99 of 100 frames"),
	quantileMetric("p999", 0.999, "999 of 1000 frames took at most this long", "all but one frame in a thousand"),
	{Name: "frame_ms_max", Title: "longest frame", Also: []string{"maximum frame time"}, Unit: "ms",
		Means:   "The longest single frame. One accident decides it, so it differs much from pass to pass.",
		Say:     `"the longest frame of this pass took 19 ms". It is no property of the card.`,
		Formula: "max x over the frame times x", Source: pageOne,
		Scale: Ratio, Decimals: 2, From: func(w Worked) Value { return inMS(Known(float64(w.Sorted[w.Frames-1]))) },
		Example: func(w Worked) string {
			return fmt.Sprintf("the longest of %d frames took %.2f ms, the one after it in length %.2f ms", w.Frames, w.at(w.Frames), w.at(w.Frames-1))
		}},
}, lowMetrics(), []Metric{
	{Name: "rmssd_ms", Title: "frame-to-frame change", Also: []string{"rmssd"}, Unit: "ms",
		Means: "How much one frame's time differs from the next one's. Slow changes of the scene hardly count, so it speaks of the " +
			"unevenness that is felt.",
		Say:     `Where the difference is resolved: "frames come more evenly".`,
		Formula: "√(Σ(xᵢ − xᵢ₋₁)² / (n − 1)) over the frame times x", Source: neumann,
		Scale: Ratio, Decimals: 2, From: func(w Worked) Value { return inMS(w.spread.rmssd) },
		Example: func(w Worked) string {
			var squares float64
			for i, x := range w.Kept[1:] {
				step := float64(x-w.Kept[i]) / nsPerMS
				squares += float64(step * step)
			}
			return fmt.Sprintf("%d steps from a frame to the next, their squares sum to %.2f ms²: √(%.2f / %d) = %.2f ms",
				w.Frames-1, squares, squares, w.Frames-1, w.spread.rmssd.X/nsPerMS)
		}},
	{Name: "lag1", Title: "lag-1 autocorrelation", Also: []string{"autocorrelation", "r1"}, Unit: "1",
		Means: "Whether a long frame tends to follow a long one. Near 1 frame times change slowly, near 0 each is a draw of its own, " +
			"below 0 long and short ones take turns.",
		Say:     "Nothing by itself. It helps to see why two passes with one spread feel unlike.",
		Formula: "Σ(xᵢ − x̄)(xᵢ₊₁ − x̄) / Σ(xᵢ − x̄)² over the frame times x", Source: handbook,
		Decimals: 2, From: func(w Worked) Value { return w.spread.lag1 },
		Example: func(w Worked) string {
			var pairs float64
			for i, x := range w.Kept[1:] {
				pairs += float64((float64(x)/nsPerMS - w.meanMS()) * (float64(w.Kept[i])/nsPerMS - w.meanMS()))
			}
			return fmt.Sprintf("distances from the mean, each times the next, sum to %.1f ms², their squares to %.1f ms²: %.1f / %.1f = %.2f",
				pairs, w.squaresAround(), pairs, w.squaresAround(), w.spread.lag1.X)
		}},
	overMetric("over_60hz_share", "time over 60 Hz", "60 a second", 60),
	overMetric("over_120hz_share", "time over 120 Hz", "120 a second", 120),
	overMetric("over_display_share", "time over display rate", "the rig's display", 0),
	{Name: "hitch_frames", Title: "hitch frames", Unit: "frames",
		Means: "Frames that stand out of their surroundings as a stop. Every long frame of a stop counts; hitches count stops.",
		Say:   "Nothing: speak of hitches, which are what is felt.", Formula: hitchFormula, Source: pageOne,
		From: func(w Worked) Value { return Known(float64(w.hitches.frames)) }, Example: exampleHitch},
	{Name: "hitch_events", Title: "hitches", Also: []string{"hitch", "stutter"}, Unit: "events", CellUnit: "events/min",
		Means: "Stops that stand out of their surroundings. Long frames in a row are one; a cell has them by the minute.",
		Say:   `"a hitch every twenty seconds". Fewer than another card's only where the verdict says so: such counts vary much.`,
		Formula: hitchFormula + "; consecutive ones are one event. Two cells: exact binomial on events by time, interval of Clopper " +
			"and Pearson 1934", Source: pageOne,
		Scale: Count, Decimals: 1, From: func(w Worked) Value { return Known(float64(w.hitches.events)) },
		Example: func(w Worked) string {
			return exampleHitch(w) + fmt.Sprintf("; those in a row counted once: %d in %.1f s", w.hitches.events, w.totalMS()/1000)
		}},
	{Name: "hitch_time_share", Title: "time lost to hitches", Unit: "share",
		Means:   "Share of the time that hitches took beyond what frames around them took. It weighs a long stop more than a short one.",
		Say:     `"one percent of the time is lost in hitches".`,
		Formula: "Σ(x − m) / T over hitch frames x, m the median around each", Source: pageOne,
		Scale: Difference, Decimals: 3, From: lostToHitches,
		Example: func(w Worked) string {
			lost := float64(lostToHitches(w).X * w.totalMS())
			return exampleHitch(w) + fmt.Sprintf("; together they took %.1f ms longer than those around them: %.1f / %.1f = %.4f", lost, lost,
				w.totalMS(), lostToHitches(w).X)
		}},
	meanPower, costOfFrame, perJoule, meanClock, meanTemp, startTemp,
}))

func lostToHitches(w Worked) Value { return Known(float64(w.hitches.lost2) / float64(2*w.DurationNS)) }

const hitchFormula = "frames with x > m + max(8, min(m, 50)) ms, m the median of the frames within about 2 s, 15 frames at least"

func quantileMetric(q string, p float64, means, those string) Metric {
	from := func(w Worked) Value { return inMS(Quantile(w.Sorted, p, w.QuantileType)) }
	return Metric{Name: "frame_ms_" + q, Title: q + " frame time", Also: []string{q, fmt.Sprintf("Q(%g)", p)}, Unit: "ms",
		Means:   means + ". Unlike the mean it shows the slow end by itself, and one accident does not move it.",
		Say:     fmt.Sprintf("%q and the figure.", those+" took at most"),
		Formula: fmt.Sprintf("Q(%g) of frame time: of all frames from short to long, the one with that share below it", p), Source: hyndmanFan,
		Parameters: []string{"quantile"}, Scale: Ratio, Decimals: 2, From: from,
		Example: func(w Worked) string {
			return w.quantile(p) + fmt.Sprintf(": %.2f ms", from(w).X)
		}}
}

// overMetric is the time over the limit of a rate in Hz; 0 stands for the display's.
func overMetric(name, title, rate string, hz float64) Metric {
	limit := fmt.Sprintf("1000/%g", hz)
	limitHz := func(w Worked) float64 {
		if hz == 0 {
			return w.DisplayHz
		}
		return hz
	}
	from := func(w Worked) Value {
		if limitHz(w) <= 0 {
			return Absent("no display rate is named")
		}
		return overLimit(w.Sorted, w.DurationNS, limitHz(w))
	}
	m := Metric{Name: name, Title: title, Unit: "share",
		Means: "Share of the time spent in frames too long for " + rate + ". It speaks of time, not of frames: long frames fill more of it.",
		Say:   `"5 % of the time it does not keep up with ` + rate + `".`, Source: pageOne, Scale: Difference, Decimals: 3, From: from}
	if hz == 0 {
		limit = "1000/display_hz"
		m.Parameters = []string{"display_hz"}
	}
	m.Formula = "Σ{x : x > 1.05·" + limit + " ms} / T; 5 % allow for timing jitter at the limit"
	m.Example = func(w Worked) string {
		at := limitHz(w)
		most := 1050 / at
		var n int
		var over float64
		for _, x := range w.Kept {
			if ms := float64(x) / nsPerMS; ms > most {
				n, over = n+1, over+ms
			}
		}
		return fmt.Sprintf("at %g Hz the limit is 1.05 × 1000 / %g = %.2f ms; %d of %d frames took longer, together %.1f of %.1f ms: %.3f",
			at, at, most, n, w.Frames, over, w.totalMS(), from(w).X)
	}
	return m
}

// lowMetrics returns the six lows: 1 % in the three kinds, then 0.1 %.
func lowMetrics() []Metric {
	var ms []Metric
	for k := range lowKinds {
		name, _ := LowMetrics(k)
		ms = append(ms, lowMetric(name, "1 %", k, 0.01, func(p *Pass) Low { return p.Low1[k] }))
	}
	for k := range lowKinds {
		_, name := LowMetrics(k)
		ms = append(ms, lowMetric(name, "0.1 %", k, 0.001, func(p *Pass) Low { return p.Low01[k] }))
	}
	return ms
}

// lowMetric is a low at a share of frames or of time, named as in "1 %".
func lowMetric(name, percent string, k LowKind, share float64, of func(*Pass) Low) Metric {
	q := fmt.Sprint(share)
	m := Metric{Name: name, Title: percent + " low, " + k.title(), Also: []string{percent + " low"}, Unit: "fps", Source: pageOne,
		Parameters: []string{"lows"}, Scale: Ratio, HigherBetter: true, Decimals: 1, From: func(w Worked) Value { return of(w.Pass).Value }, low: of}
	const which = " The three definitions of a low differ; say which it is beside another source's figure."
	switch k {
	case LowQuantile:
		m.Source, m.Parameters = hyndmanFan, []string{"lows", "quantile"}
		m.Formula = "1000 / Q(" + fmt.Sprint(1-share) + ") of frame time"
		m.Means = "The frame rate at the edge of the slowest " + percent + " of frames. All other frames came faster; how slow the slow ones are " +
			"does not count."
		m.Say = fmt.Sprintf(`"%g of %g frames come faster than this".`, math.Round(1/share)-1, math.Round(1/share)) + which
	case LowTailMean:
		m.Formula = "1000 / mean of the ⌈" + q + "·n⌉ slowest frames"
		m.Means = "The frame rate within the slowest " + percent + " of frames. A long stop counts with its length."
		m.Say = `"in the slowest ` + percent + ` of frames it runs at this rate".` + which
	default:
		m.Formula = "1000 / the frame at which the slowest frames fill " + q + "·T"
		m.Means = "The frame rate below which the game spends " + percent + " of its time. Time counts, not frames, as it does for who plays."
		m.Say = `"for ` + percent + ` of the time it runs slower than this".` + which
	}
	m.Example = func(w Worked) string { return w.low(k, share, of(w.Pass)) }
	return m
}
