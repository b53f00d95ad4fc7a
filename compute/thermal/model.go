package thermal

import (
	"fmt"
	"math"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/series"
)

const (
	leastPoints   = 10   // below which no curve is fitted: two terms have five parameters
	mostResidualR = 0.3  // residuals that follow each other more closely say that the curve is another
	mostFinalU    = 1.0  // K
	leastTaus     = 2.0  // how many of the slowest time constants a soak must outlast
	roundingK     = 1e-9 // residuals as small are of the arithmetic, not of a sensor
	mostDegrees   = 1e6  // what is beyond is no temperature, and its squares would overflow
)

const noForecast = "not first-order: no forecast"

// Term is one part of a heating or cooling: AmplitudeK·e^(−t/TauS).
type Term struct{ AmplitudeK, TauS float64 }

// Model is a temperature's approach to a final one: T(t) = T∞ + one or two Terms, the fastest first, t in s from the first point on, which
// lies FromS after the beginning of the stretch (definitions, section 6, "heating model").
//
// FitFinal, Terms, R1 and UFinal are of the curve as fitted and serve to draw it. What may be said is FinalC and TauS, the final
// temperature and the slowest time constant: they are absent, with the reason, where the curve is no forecast. UFinal is +Inf where the
// points do not tell the final temperature. OverAmbient says that all temperatures are those above the room.
type Model struct {
	N           int
	Terms       []Term
	FromS       float64
	FitFinal    float64
	R1, UFinal  float64
	FinalC      compute.Value
	TauS        compute.Value
	OverAmbient bool
}

// Fitted reports whether there is a curve at all.
func (m Model) Fitted() bool { return len(m.Terms) > 0 }

// DF is how many points there are beyond the parameters.
func (m Model) DF() int { return m.N - 1 - 2*len(m.Terms) }

// At is the curve, in °C (K above the room if OverAmbient), s after the beginning of the stretch. It is 0 where none is fitted.
func (m Model) At(s float64) float64 {
	v := m.FitFinal
	for _, t := range m.Terms {
		v += float64(t.AmplitudeK * math.Exp(-(s-m.FromS)/t.TauS))
	}
	return v
}

// WithinS is how long after the beginning of the stretch the temperature has come to within k kelvin of the final one to stay, in s; 0
// where it begins so. It is absent without a forecast, and for a k that is not above 0.
func (m Model) WithinS(k float64) compute.Value {
	if !m.FinalC.OK {
		return m.FinalC
	}
	if !(k > 0) {
		return compute.Absent(fmt.Sprintf("a curve never comes within %g K of its end", k))
	}
	outside := func(s float64) bool { return math.Abs(m.At(m.FromS+s)-m.FitFinal) > k }
	lo, hi := -m.FromS, 0.0
	if turn := m.turnsS(); turn > lo && outside(turn) {
		lo, hi = turn, max(turn, 0)
	} else if turn > lo { // from there on it stays within
		hi = turn
	}
	if !outside(lo) {
		return compute.Known(0)
	}
	for step := 1.0; outside(hi); step *= 2 {
		lo, hi = hi, hi+step
	}
	for mid := (lo + hi) / 2; mid > lo && mid < hi; mid = (lo + hi) / 2 {
		if outside(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return compute.Known(max(0, m.FromS+hi))
}

// turnsS is when a curve of two terms has its one extreme, in s from its first point; −Inf where it has none.
func (m Model) turnsS() float64 {
	if len(m.Terms) < 2 {
		return math.Inf(-1)
	}
	fast, slow := m.Terms[0], m.Terms[1]
	ratio := -fast.AmplitudeK * slow.TauS / (slow.AmplitudeK * fast.TauS)
	if !(ratio > 0) || math.IsInf(ratio, 1) {
		return math.Inf(-1)
	}
	return math.Log(ratio) / (1/fast.TauS - 1/slow.TauS)
}

// FitModel fits the approach to a final temperature over a stretch of a log, of one term or two, chosen by BIC = n·ln(RSS/n) + p·ln n
// (G. Schwarz, The Annals of Statistics 6(2), 1978), and says whether it is a forecast.
func FitModel(log *series.Series, w series.Span, overAmbient bool) Model {
	m := Model{OverAmbient: overAmbient, UFinal: math.Inf(1)}
	atS, values := log.Points(w)
	m.N = len(atS)
	if why := unfit(atS, values); why != "" {
		return m.without(why)
	}
	d := newDecays(atS, values)
	best := d.one()
	if two := d.two(); bic(two) < bic(best) {
		best = two
	}
	m.FromS, m.FitFinal = atS[0], best.final
	for k, tau := range best.taus {
		m.Terms = append(m.Terms, Term{best.amplitudes[k], tau})
	}
	if best.rss > roundingSquares(m.N) {
		m.R1 = compute.LagOne(best.residuals)
	}
	if best.finalOwn > 0 {
		m.UFinal = math.Sqrt(best.rss/float64(m.DF())) / best.finalOwn
	}
	slowest := m.Terms[len(m.Terms)-1].TauS
	if why := m.doubts(w.Seconds(), slowest); why != "" {
		return m.without(why)
	}
	m.FinalC, m.TauS = compute.Known(best.final), compute.Known(slowest)
	return m
}

func (m Model) without(why string) Model {
	m.FinalC = compute.Absent(noForecast + " (" + why + ")")
	m.TauS = m.FinalC
	return m
}

// unfit says why points are no curve.
func unfit(atS, values []float64) string {
	if len(atS) < leastPoints {
		return fmt.Sprintf("%d points, and at least %d are needed", len(atS), leastPoints)
	}
	if atS[len(atS)-1] <= atS[0] {
		return "all points have one time"
	}
	same := true
	for _, v := range values {
		if math.Abs(v) > mostDegrees {
			return fmt.Sprintf("%g is no temperature", v)
		}
		same = same && v == values[0]
	}
	if same {
		return "the temperature does not change"
	}
	return ""
}

// doubts says all that keeps a curve from being a forecast.
func (m Model) doubts(lastsS, slowest float64) string {
	var why []string
	if !(m.R1 < mostResidualR) {
		why = append(why, fmt.Sprintf("what the curve leaves over follows a course of its own: r₁ %.2f, and below %g is needed",
			m.R1, mostResidualR))
	}
	switch {
	case math.IsInf(m.UFinal, 1):
		why = append(why, "the final temperature cannot be told from the curve")
	case !(m.UFinal < mostFinalU):
		why = append(why, fmt.Sprintf("the final temperature is uncertain by %.1f K, and less than %g K is needed", m.UFinal, mostFinalU))
	}
	if !(lastsS > leastTaus*slowest) {
		why = append(why, fmt.Sprintf("%.0f s are no more than twice the slowest time constant of %.0f s", lastsS, slowest))
	}
	return strings.Join(why, "; ")
}

func roundingSquares(n int) float64 { return float64(n) * roundingK * roundingK }

func bic(f fit) float64 {
	n := float64(len(f.residuals))
	return n*math.Log(max(f.rss, roundingSquares(len(f.residuals)))/n) + float64(f.parameters())*math.Log(n)
}
