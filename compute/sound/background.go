package sound

import (
	"fmt"
	"math"

	"github.com/rigslate/rigslate/compute"
)

// Treatment says what became of the background in a level.
type Treatment string

const (
	Uncorrected Treatment = "uncorrected" // no background was measured: it is in the level
	NoneNeeded  Treatment = "none_needed" // more than 15 dB above it
	Corrected   Treatment = "corrected"   // by K₁, from 6 to 15 dB above it
	UpperBound  Treatment = "upper_bound" // less than 6 dB above it: the card is at most this loud
)

const (
	noneAbove   = 15.0 // dB over the background, above which nothing is taken off
	validFrom   = 6.0  // dB over it, below which K₁ cannot be relied on
	mostK1      = 1.3  // dB, taken off below that
	limitClass1 = 0.7  // dB, ± at 1 kHz; IEC 61672-1, from memory
	limitClass2 = 1.0
)

// Setup is how a level was measured. MeterClass is 1 or 2 of IEC 61672-1, 0 where it is not stated; FreeField declares that nothing
// around reflects.
type Setup struct {
	Distance   float64 // m
	Weighting  string  // as the meter has it, such as "A"
	MeterClass int
	FreeField  bool
}

// Level is what readings of a card's sound come to: their energy mean, that of the background, by how much the one stands above the
// other, and what was taken off for it. DB is the card's own level, or what Treatment says of it. Left says what is still in it that
// nothing can take out.
type Level struct {
	Setup
	Mean        compute.Value
	Background  compute.Value
	Above       compute.Value
	K1          compute.Value
	DB          compute.Value
	Treatment   Treatment // empty where DB is absent
	Uncertainty compute.Uncertainty
	Left        []string

	ofReadings []compute.Contribution // without the meter's share
}

// K1 is what the background adds to a level that stands above it by so much, −10·lg(1 − 10^(−0.1·above)) dB (ISO 3744), whether or not
// that may be relied on.
func K1(above float64) compute.Value {
	if !(above > 0) {
		return compute.Absent("the level does not stand above the background")
	}
	return compute.Known(-10 / math.Ln10 * math.Log1p(-Energy(-above)))
}

// sensitivity is by how much a corrected level moves with the one measured: 1/(1 − 10^(−0.1·above)).
func sensitivity(above float64) float64 { return -1 / math.Expm1(-above/10*math.Ln10) }

// Measure works a level out from readings of the card with its background, and of the background alone, in dB. One reading of the
// background is taken to scatter as those of the card do (JCGM 100:2008, 4.2.4); several have a scatter of their own.
func Measure(readings, background []float64, s Setup) Level {
	l := Level{Setup: s, Mean: Mean(readings), Background: Mean(background)}
	if len(background) == 0 {
		l.Background = compute.Absent("no background was measured")
	}
	l.Above, l.K1 = compute.Absent(l.Background.Why), compute.Absent(l.Background.Why)
	switch {
	case !l.Mean.OK:
		l.absent(l.Mean.Why)
		return l
	case len(background) == 0:
		l.uncorrected()
	case !l.Background.OK:
		l.absent("background: " + l.Background.Why)
		return l
	default:
		l.Above = compute.Known(l.Mean.X - l.Background.X)
		l.correct()
	}
	switch {
	case !l.DB.OK:
		return l
	case l.Treatment == UpperBound:
		l.Uncertainty = compute.NoUncertainty(fmt.Sprintf("less than %g dB above the background: an upper bound, which has none", validFrom))
	default:
		l.budget(readings, background)
	}
	if !s.FreeField {
		l.Left = append(l.Left, "what the room reflects: the level holds in this room, at this distance")
	}
	return l
}

func (l *Level) absent(why string) {
	none := compute.Absent(why)
	if !l.Above.OK {
		l.Above = none
	}
	l.K1, l.DB, l.Uncertainty = none, none, compute.NoUncertainty(why)
}

func (l *Level) uncorrected() {
	l.DB, l.Treatment = l.Mean, Uncorrected
	l.Left = append(l.Left, "the background, which was not measured")
}

// correct takes off what the background adds, as far as ISO 3744 allows.
func (l *Level) correct() {
	above := l.Above.X
	switch {
	case above <= 0:
		l.absent(fmt.Sprintf("%.1f dB are not above the background of %.1f dB", l.Mean.X, l.Background.X))
		return
	case above > noneAbove:
		l.K1, l.Treatment = compute.Known(0), NoneNeeded
	case above >= validFrom:
		l.K1, l.Treatment = K1(above), Corrected
	default:
		l.K1, l.Treatment = compute.Known(mostK1), UpperBound
		l.Left = append(l.Left, fmt.Sprintf("some of the background: less than %g dB below the reading it cannot be told apart", validFrom))
	}
	l.DB = compute.Known(l.Mean.X - l.K1.X)
}

// budget is u² = (c·u_L)² + ((c − 1)·u_Lb)² (definitions, section 6).
func (l *Level) budget(readings, background []float64) {
	c := 1.0
	if l.Treatment == Corrected {
		c = sensitivity(l.Above.X)
	}
	ofCard := compute.Repeated("readings", readings)
	switch {
	case c == 1:
		l.ofReadings = []compute.Contribution{ofCard}
	case len(background) == 1: // one scatter, estimated once, in both
		n := float64(len(readings))
		l.ofReadings = []compute.Contribution{ofCard.By(math.Sqrt(float64(c*c) + float64(n*(c-1)*(c-1))))}
	default:
		l.ofReadings = []compute.Contribution{ofCard.By(c), compute.Repeated("background", background).By(c - 1)}
	}
	parts := append([]compute.Contribution{meter(l.MeterClass).By(c)}, l.ofReadings...)
	if c != 1 {
		parts = append(parts, meter(l.MeterClass).By(c-1))
	}
	l.Uncertainty = compute.Combine(parts...)
}

func meter(class int) compute.Contribution {
	const name = "meter"
	switch class {
	case 1:
		return compute.Limits(name, limitClass1)
	case 2:
		return compute.Limits(name, limitClass2)
	case 0:
		return compute.Contribution{Name: name, Why: "the class of the meter is not stated"}
	}
	return compute.Contribution{Name: name, Why: fmt.Sprintf("%d is no class of sound level meters; there are 1 and 2", class)}
}
