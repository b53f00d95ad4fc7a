package report

import (
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
)

// DisplayedKind is which table of an edition a displayed figure is of.
type DisplayedKind string

// The kinds, in the order of Displayed.
const (
	DisplayedSummary    DisplayedKind = "summary"
	DisplayedDifference DisplayedKind = "difference"
	DisplayedCell       DisplayedKind = "cell"
	DisplayedClaim      DisplayedKind = "claim"
	DisplayedReading    DisplayedKind = "reading"
)

// Subject is what a displayed figure is of: the same one in another edition has the same subject. What does not apply is empty.
type Subject struct {
	Kind       DisplayedKind `json:"kind"`
	Of         Mode          `json:"of"`
	Against    Mode          `json:"against,omitzero"`
	Game       string        `json:"game,omitempty"`
	Variant    string        `json:"variant,omitempty"`
	Resolution string        `json:"resolution,omitempty"`
	Group      string        `json:"group,omitempty"` // of games
	Figure     string        `json:"figure"`
	Claim      string        `json:"claim,omitempty"`
	Protocol   string        `json:"protocol,omitempty"` // the soak or sweep
	Sensor     string        `json:"sensor,omitempty"`
	MeasuredAt string        `json:"measured_at,omitempty"`
	Repeat     int           `json:"repeat,omitempty"`
	FanPct     float64       `json:"fan_pct,omitempty"`
	Price      string        `json:"price,omitempty"` // its kind and currency
}

// String names it as the plan does.
func (s Subject) String() string {
	name := func(m Mode) string { return strings.Join(filled(m.Card, m.Mode), "·") }
	words := filled(name(s.Of))
	if s.Against.Card != "" {
		words = append(words, "against", name(s.Against))
	}
	words = append(words, filled(strings.Join(filled(s.Game, s.Variant), "·"), s.Resolution, s.Protocol, s.Price, s.Sensor, s.MeasuredAt)...)
	if s.Repeat > 0 {
		words = append(words, "#"+number(float64(s.Repeat), 0))
	}
	if s.FanPct > 0 {
		words = append(words, "at "+short(s.FanPct)+" %")
	}
	switch s.Kind {
	case DisplayedClaim:
		return "claim " + s.Claim
	case DisplayedSummary:
		words = append(words, groupCalled(s.Group)+",")
	}
	return strings.Join(append(words, figureTitle(s.Figure)), " ")
}

// Displayed is one figure as a reader of the report has it before him.
type Displayed struct {
	Subject Subject `json:"-"`
	Title   string  `json:"-"` // as a viewer knows it
	Charted bool    `json:"-"` // it stands in a picture too

	Value    *float64 `json:"value"`
	Low      *float64 `json:"ci_low"`
	High     *float64 `json:"ci_high"`
	Text     string   `json:"text"` // with its unit, as displayed
	Interval string   `json:"interval,omitempty"`
	Verdict  string   `json:"verdict,omitempty"` // open where a side is not ready
	Firm     bool     `json:"firm,omitempty"`
	Sentence string   `json:"sentence,omitempty"` // the strongest that the data carry, of figures that have one
	Sayable  bool     `json:"may_be_said,omitempty"`

	Rests Rests `json:"-"`
}

// Rests is what a displayed figure rests on that its subject does not say; what does not apply is empty.
type Rests struct {
	Games        int    // that enter
	Session      string // the session spread of a difference, with its source
	Price, Hoped string
}

// Displayed lists every figure that a report shows, summaries first, then differences, cells, claims and what was measured at the bench, each in
// the order of its table. A figure that cannot be had is not among them.
func (s Source) Displayed() (out []Displayed) {
	b := bookOf(s)
	for _, r := range s.Tables.Summaries {
		out = append(out, b.displayedSummary(r))
	}
	for _, r := range s.Tables.Comparisons {
		out = append(out, b.displayedDifference(r))
	}
	for _, r := range s.Tables.Cells {
		out = append(out, b.displayedCell(r))
	}
	for _, r := range s.Tables.Claims {
		out = append(out, b.displayedClaim(r))
	}
	facts := map[reading]string{}
	for _, f := range b.ofFacts() {
		facts[f.reading] = f.sentence
	}
	for _, r := range s.Tables.Readings {
		d := b.displayedReading(r)
		if said, ok := facts[r]; ok {
			d.Sentence, d.Sayable = said, true
		}
		out = append(out, d)
	}
	return slices.DeleteFunc(out, func(d Displayed) bool { return d.Text == "" })
}

// say gives a figure its sentence.
func (d *Displayed) say(x said) {
	d.Sentence, d.Sayable = x.sentence, x.sentence != "" && x.verdict != compute.Unresolved
}

// difference gives a figure the digits of a difference.
func (d *Displayed) difference(x, low, high *float64, unit, verdict string) {
	if x == nil {
		return
	}
	d.Value, d.Low, d.High, d.Verdict = x, low, high, verdict
	d.Text, d.Interval = signed(*x, 1)+" "+unit, differenceInterval(low, high, verdict)
}

func (b *book) displayedSummary(r archive.SummaryRow) Displayed {
	d := Displayed{Subject: Subject{Kind: DisplayedSummary, Of: Mode{r.Card, r.Mode}, Against: Mode{r.BaseCard, r.BaseMode}, Resolution: r.Resolution, Group: r.Group,
		Figure: r.Metric}, Charted: r.Metric == headline}
	d.Title = b.Words.Called(d.Subject.Of) + " against " + b.Words.Called(d.Subject.Against) + ", " + groupCalled(r.Group) + " at " + r.Resolution + ", " + figureTitle(r.Metric)
	if r.Percent != nil {
		d.difference(r.Percent, r.TheseLow, r.TheseHigh, "%", text(r.Verdict))
	} else {
		x, low, high, unit := b.inUnit(r.Metric, r.Difference, r.TheseLow, r.TheseHigh)
		d.difference(x, low, high, unit, text(r.Verdict))
	}
	if x, ok := b.ofSummary(r); ok && b.spoken(r.Metric) {
		d.say(x)
	}
	d.Rests = Rests{Games: int(r.Games), Session: session(r.SessionSpread, r.SessionSource, d.Text)}
	return d
}

// session words a session spread, in the unit of the difference that it enters.
func session(spread *float64, source *string, difference string) string {
	if spread == nil {
		return ""
	}
	_, unit, _ := strings.Cut(difference, " ")
	return number(*spread, 2) + " " + unit + " (" + strings.ReplaceAll(text(source), "_", " ") + ")"
}

// inUnit gives a difference that has no percent in the unit that it is shown in.
func (b *book) inUnit(metric string, x, low, high *float64) (y, from, to *float64, unit string) {
	m, _ := compute.MetricByName(metric)
	share := m.Unit == "share"
	if unit = m.DifferenceUnit(); share {
		unit = "percentage points"
	}
	return inPercent(x, share), inPercent(low, share), inPercent(high, share), unit
}

// spoken reports whether differences in a figure have a sentence of their own.
func (b *book) spoken(metric string) bool {
	return metric == headline || metric == b.lows[0].Name || metric == b.lows[1].Name
}

func (b *book) displayedDifference(r archive.ComparisonRow) Displayed {
	d := Displayed{Subject: Subject{Kind: DisplayedDifference, Of: Mode{r.Card, r.Mode}, Against: Mode{r.BaseCard, r.BaseMode}, Game: r.Game, Variant: r.Variant,
		Resolution: r.Resolution, Figure: r.Metric}, Charted: r.Metric == headline && (Mode{r.BaseCard, r.BaseMode}) == b.Words.Baseline}
	d.Title = b.Words.Called(d.Subject.Of) + " against " + b.Words.Called(d.Subject.Against) + " in " + b.Words.gameCalled(r.Game, r.Variant) + " at " + r.Resolution + ", " +
		figureTitle(r.Metric)
	verdict := b.verdict(r)
	if r.Percent != nil {
		d.difference(r.Percent, r.CILow, r.CIHigh, "%", verdict)
	} else {
		x, low, high, unit := b.inUnit(r.Metric, r.Difference, r.CILow, r.CIHigh)
		d.difference(x, low, high, unit, verdict)
	}
	d.Firm = b.firm(r) != ""
	d.Rests.Session = session(r.SessionSpread, r.SessionSource, d.Text)
	if b.spoken(r.Metric) && verdict != "open" {
		d.say(b.ofCells(r))
	}
	return d
}

func (b *book) displayedCell(r archive.CellRow) Displayed {
	m, _ := compute.MetricByName(r.Metric)
	d := Displayed{Subject: Subject{Kind: DisplayedCell, Of: Mode{r.Card, r.Mode}, Game: r.Game, Variant: r.Variant, Resolution: r.Resolution, Figure: r.Metric},
		Charted: r.Metric == headline || r.Metric == b.Words.lowColumn()}
	d.Title = b.Words.Called(d.Subject.Of) + " in " + b.Words.gameCalled(r.Game, r.Variant) + " at " + r.Resolution + ", " + figureTitle(r.Metric)
	if r.Mean == nil {
		return d
	}
	share := m.Unit == "share"
	d.Value, d.Low, d.High = inPercent(r.Mean, share), inPercent(r.CILow, share), inPercent(r.CIHigh, share)
	d.Text, d.Interval = unsigned(*d.Value, m.Decimals)+" "+percentUnit(m.MeanUnit()), bracketed(d.Low, d.High, m.Decimals)
	return d
}

func (b *book) displayedClaim(r archive.ClaimRow) Displayed {
	d := Displayed{Subject: Subject{Kind: DisplayedClaim, Of: Mode{r.Card, r.Mode}, Figure: r.Metric, Claim: r.Claim, Against: Mode{deref(r.BaseCard), deref(r.BaseMode)}},
		Title: "“" + r.Says + "”", Verdict: r.Verdict, Sentence: text(r.Said), Text: "no figure"}
	d.Sayable = d.Sentence != ""
	for _, w := range b.Words.Claims {
		if w.Claim == r.Claim {
			d.Rests.Hoped = w.Hoped
		}
	}
	d.Rests.Games = int(r.Games)
	if r.Leaning != nil {
		d.Verdict += ", leaning " + *r.Leaning
	}
	if r.Estimate == nil {
		return d
	}
	share := r.Unit == "share"
	d.Value, d.Low, d.High = inPercent(r.Estimate, share), inPercent(r.CILow, share), inPercent(r.CIHigh, share)
	d.Text, d.Interval = unsigned(*d.Value, decimalsOf(r.Metric))+" "+claimUnit(r), bracketed(d.Low, d.High, decimalsOf(r.Metric))
	if r.BaseCard != nil {
		d.Text, d.Interval = signed(*d.Value, 1)+" "+claimUnit(r), bracketed(d.Low, d.High, 1)
	}
	return d
}

// chartedReadings are the figures of the bench that have a picture.
var chartedReadings = []string{"rise_k", "end_c", "sound_level_db", "mean_power_w", "price_per_fps"}

func (b *book) displayedReading(r reading) Displayed {
	d := Displayed{Subject: subjectOf(r), Charted: slices.Contains(chartedReadings, r.Figure) && r.Resolution == nil && r.FanPct == nil}
	d.Title = b.Words.cardTitle(r.Card)
	if r.Mode != nil {
		d.Title = b.Words.Called(ofReading(r))
	}
	if r.BaseCard != nil {
		d.Title += " against " + b.Words.Called(baseOf(r))
	}
	if r.Protocol != nil {
		d.Title += " in " + b.load(*r.Protocol)
	}
	d.Rests = Rests{Games: int(deref(r.Games))}
	if r.Price != nil {
		d.Rests.Price = number(*r.Price, 2) + " " + text(r.PriceCurrency)
	}
	parts := append(filled(text(r.Resolution), figureTitle(r.Figure)), filled(sensorName(r), text(r.MeasuredAt), text(r.PriceKind))...)
	d.Title += ", " + strings.Join(parts, ", ")
	switch {
	case r.Text != nil:
		d.Text = strings.ReplaceAll(*r.Text, "_", " ")
	case r.Value == nil:
	case r.Verdict != nil || r.BaseCard != nil && r.Unit != text(r.PriceCurrency):
		x, unit := inPercent(r.Value, r.Unit == "share"), readingUnit(r)
		d.difference(x, inPercent(r.CILow, r.Unit == "share"), inPercent(r.CIHigh, r.Unit == "share"), unit, text(r.Verdict))
	default:
		f := readingField(r)
		d.Value, d.Low, d.High = r.Value, r.CILow, r.CIHigh
		d.Text, d.Interval = strings.TrimSpace(f.Text+" "+r.Unit), f.Beside
		if r.CILow != nil {
			d.Interval = bracketed(r.CILow, r.CIHigh, decimalsOf(r.Figure))
		}
		if kindOf(r) == valueReading {
			d.Text, d.Interval = number(*r.Value, compute.PricePerFPS.Decimals)+" "+r.Unit, bracketed(r.CILow, r.CIHigh, compute.PricePerFPS.Decimals)
		}
	}
	if kindOf(r) == valueReading {
		if x, ok := b.ofValue(r); ok {
			d.say(x)
		}
	} else if x, ok := b.ofBench(r); ok && b.spokenOfBench(r) {
		d.say(x)
	}
	return d
}

func subjectOf(r reading) Subject {
	s := Subject{Kind: DisplayedReading, Of: ofReading(r), Against: baseOf(r), Resolution: text(r.Resolution), Figure: r.Figure, Protocol: text(r.Protocol),
		Sensor: sensorName(r), MeasuredAt: text(r.MeasuredAt), Repeat: int(deref(r.Repeat)), FanPct: deref(r.FanPct)}
	if atTarget(r) {
		s.FanPct = 0 // it is worked out too
	}
	if r.PriceKind != nil {
		s.Price = termsOf(r).String()
	}
	return s
}

// Markdown is a text on one line that Markdown takes for nothing but text, also where it begins a line.
func Markdown(s string) string { return escaped(s) }

// MarkdownWithin is the same of a text with something before it on its line: "5." does not begin a list there.
func MarkdownWithin(s string) string { return within(s) }
