package compute

import (
	"fmt"
	"math"
	"slices"
)

// OwnSessions is the source of a session spread worked out from the review's own sessions.
const OwnSessions = "sessions"

// leastSessionDF is the degrees of freedom a session spread must have to be used: with fewer it can be near 0 by luck.
const leastSessionDF = 3

// sessionMeans are a cell's recorded sessions and, for each, the means of its launches on the metric's scale, and their mean.
type sessionMeans struct {
	names    []string
	means    []float64
	launches [][]float64
}

// SpreadOfSessions works out the session spread from the review's own data: from cells passed in two or more recorded sessions,
// whether as a control repeated per session or as a cell begun in one and finished in another. cardModes holds, for each mode of
// a card, its cells' passes in one metric. Where there is no such spread, why says so.
//
// Definitions, section 3: of a card·mode, u² is the mean over its cells of the variance of their session means, with S − 1 degrees
// of freedom however many cells share those S sessions, because a session moves them together; card·modes are pooled by their
// degrees of freedom. Cells that never vary, such as a share that is always 0, are no evidence that sessions move nothing. Where cells
// were passed in different sessions, S − 1 is replaced by what it stands for, see sessionDF.
func SpreadOfSessions(m Metric, cardModes [][][]Sample) (u SessionSpread, why string) {
	if m.Scale != Ratio && m.Scale != Difference {
		return SessionSpread{}, m.Name + " has no spread between sessions"
	}
	var squares, df []float64 // of the card·modes
	for _, cells := range cardModes {
		var used []sessionMeans
		var variances []float64
		for _, samples := range cells {
			if c := bySession(m, samples); len(c.names) >= 2 {
				used, variances = append(used, c), append(variances, varianceOf(slices.Sorted(slices.Values(c.means))))
			}
		}
		if len(used) > 0 {
			nu := sessionDF(used)
			slices.Sort(variances)
			squares, df = append(squares, float64(nu*meanOf(variances))), append(df, nu)
		}
	}
	total := orderFree(df)
	if total < leastSessionDF-1e-9 {
		return SessionSpread{}, fmt.Sprintf("%.3g degrees of freedom from cells passed in several sessions, of the %d needed",
			total, leastSessionDF)
	}
	if orderFree(squares) == 0 {
		return SessionSpread{}, m.Name + " is the same in every session of the cells passed in several, so they cannot tell"
	}
	return SessionSpread{U: math.Sqrt(orderFree(squares) / total), DF: total, Source: OwnSessions}, ""
}

// TellsOfSessions reports whether a cell's passes in one metric enter SpreadOfSessions: they are of two or more recorded sessions.
func TellsOfSessions(m Metric, samples []Sample) bool {
	return (m.Scale == Ratio || m.Scale == Difference) && len(bySession(m, samples).names) >= 2
}

// bySession averages a cell's launches within each recorded session; none where a figure has no place on the scale.
func bySession(m Metric, samples []Sample) (c sessionMeans) {
	var recorded []Sample
	for _, s := range samples {
		if s.Value.OK && s.Session != "" && !s.SessionAssumed {
			s.LaunchAssumed = s.LaunchAssumed || s.Launch == ""
			recorded = append(recorded, s)
		}
	}
	for _, launch := range byLaunch(recorded) {
		ys := make([]float64, 0, len(launch))
		for _, s := range launch {
			y := m.onScale(s.Value)
			if !y.OK {
				return sessionMeans{}
			}
			ys = append(ys, y.X)
		}
		slices.Sort(ys)
		at := slices.Index(c.names, launch[0].Session)
		if at < 0 {
			at = len(c.names)
			c.names, c.launches = append(c.names, launch[0].Session), append(c.launches, nil)
		}
		c.launches[at] = append(c.launches[at], meanOf(ys))
	}
	for _, means := range c.launches {
		slices.Sort(means)
		c.means = append(c.means, meanOf(means))
	}
	return c
}

// sessionDF returns the degrees of freedom of the mean of the cells' variances, where a session moves all cells alike.
//
// That mean is a quadratic form xᵀAx in the effects of the sessions, A the mean of Cᵢ/(Sᵢ − 1), Cᵢ taking the mean off over the
// sessions of cell i; since tr A = 1, Satterthwaite's degrees of freedom are 1/tr A², with
// tr CᵢCⱼ = o − o/Sᵢ − o/Sⱼ + o²/(SᵢSⱼ) for o sessions in common. Cells of the same S sessions make it S − 1; cells that share
// no session add theirs up.
func sessionDF(cells []sessionMeans) float64 {
	var traces []float64
	for _, a := range cells {
		for _, b := range cells {
			var o float64
			for _, name := range a.names {
				if slices.Contains(b.names, name) {
					o++
				}
			}
			s, t := float64(len(a.names)), float64(len(b.names))
			traces = append(traces, (o-(o/s+o/t)+float64(o/s)*(o/t))/((s-1)*(t-1)))
		}
	}
	n := float64(len(cells))
	return n * n / orderFree(traces)
}
