package ingest

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"time"

	"github.com/rigslate/rigslate/ingest/text"
)

// ChannelUnit is the unit in which a channel of a log is written. Temperatures and thermocouple voltages are kept in °C, all others as
// they are.
type ChannelUnit int8

const (
	Celsius    ChannelUnit = iota + 1 // C
	Fahrenheit                        // F
	Kelvin                            // K
	Millivolt                         // mV, of a thermocouple
	Watt                              // W
	PerMinute                         // rpm
	Decibel                           // dB
	Megahertz                         // MHz
	Percent                           // percent
)

var channelUnits = [...]string{Celsius: "C", Fahrenheit: "F", Kelvin: "K", Millivolt: "mV", Watt: "W", PerMinute: "rpm", Decibel: "dB",
	Megahertz: "MHz", Percent: "percent"}

// ChannelUnits lists the names of all units, as a plan writes them.
func ChannelUnits() []string { return slices.Clone(channelUnits[Celsius:]) }

// ChannelUnitNamed gives the unit of that name.
func ChannelUnitNamed(name string) (ChannelUnit, bool) {
	i := slices.Index(channelUnits[:], name)
	return ChannelUnit(max(i, 0)), i >= int(Celsius)
}

func (u ChannelUnit) String() string {
	if u < Celsius || int(u) >= len(channelUnits) {
		return fmt.Sprintf("ChannelUnit(%d)", int8(u))
	}
	return channelUnits[u]
}

func (u ChannelUnit) isTemperature() bool { return u == Celsius || u == Fahrenheit || u == Kelvin }

// Kept is the unit in which readings of this one are kept.
func (u ChannelUnit) Kept() ChannelUnit {
	if u.isTemperature() || u == Millivolt {
		return Celsius
	}
	return u
}

// Channel is one column of readings. The column itself has no unit: Unit says it. Cold is the key of the channel that has the
// temperature of the cold junction, which a voltage needs.
type Channel struct {
	Key    string
	Column text.Column
	Unit   ChannelUnit
	Cold   string
}

// LogLayout is how one kind of log is written. Text says all but the channels; its Sample is the time, its Extra is made of Channels.
// Offset is what must be added to the log's clock to have that of the soak, or of the frames. Thermocouple turns a voltage in mV, with the
// cold junction in °C, into °C, or says why it cannot.
type LogLayout struct {
	Text         text.Layout
	Channels     []Channel
	Offset       time.Duration
	Thermocouple func(millivolts, coldCelsius float64) (celsius float64, why string)
}

// mostOffset is more than any clock of a bench is off.
const mostOffset = 366 * 24 * time.Hour

// Readings are those of one channel, a value a row; where Valid is false there was none, and the value is 0. Absent counts those.
type Readings struct {
	Key    string
	Unit   ChannelUnit // as kept
	Values []float64
	Valid  []bool
	Absent int
}

// Log is one log's samples. TimesNS are those of the rows in ns, strictly rising, the offset added: from the zero of the log's own clock
// where it has elapsed times, else from its first row, whose date and time as written Start is. Two logs with dates are laid on one clock
// by the difference of their Starts. Channels are in the layout's order.
type Log struct {
	File
	TimesNS  []int64
	Start    time.Time // zero for elapsed times
	Channels []Readings
}

// ReadLog reads one log as Read does a capture: findings with line and column, hash, copy to tee. The Log is never nil; beside an error
// it has no rows, but findings, counts and, where all bytes could be read, its hash.
func (r *Reader) ReadLog(ctx context.Context, f fs.File, name string, l LogLayout, tee io.Writer) (*Log, error) {
	out := &Log{}
	err := l.check()
	if err == nil {
		err = r.file(ctx, f, name, l.layout(), tee, &out.File, func(int64) error { return r.samples(out, l) })
	}
	if err != nil {
		out.TimesNS, out.Start, out.Channels = nil, time.Time{}, nil
		return out, fmt.Errorf("read log %s: %w", name, refuse(&out.File, name, err))
	}
	return out, nil
}

// check returns an ErrLayout that says what contradicts what, or nil. What it does not look at, text.Layout.Check does.
func (l LogLayout) check() error {
	switch {
	case l.Text.Sample == nil:
		return fmt.Errorf("%w: no column of the time is named", ErrLayout)
	case len(l.Channels) == 0:
		return fmt.Errorf("%w: no channel is named", ErrLayout)
	case l.Offset > mostOffset || l.Offset < -mostOffset:
		return fmt.Errorf("%w: a clock that is off by %s", ErrLayout, l.Offset)
	}
	for _, c := range l.Channels {
		if what := l.fault(c); what != "" {
			return fmt.Errorf("%w: the channel %q %s", ErrLayout, c.Key, what)
		}
	}
	return nil
}

func (l LogLayout) fault(c Channel) string {
	switch {
	case c.Unit < Celsius || c.Unit > Percent:
		return "has no unit"
	case c.Unit != Millivolt && c.Cold != "":
		return fmt.Sprintf("is in %v and has no cold junction", c.Unit)
	case c.Unit != Millivolt:
		return ""
	case l.Thermocouple == nil:
		return "is in mV, and nothing turns that into a temperature"
	case !slices.ContainsFunc(l.Channels, func(o Channel) bool { return o.Key == c.Cold && o.Unit.isTemperature() }):
		return fmt.Sprintf("is in mV and needs a channel with the temperature of its cold junction; %q is none", c.Cold)
	}
	return ""
}

// layout is the text's layout with the channels in it, each converted at the door.
func (l LogLayout) layout() text.Layout {
	t := l.Text
	t.Extra = nil
	for _, c := range l.Channels {
		x := text.Extra{Key: c.Key, Column: c.Column}
		switch {
		case c.Unit == Millivolt:
			x.With, x.Convert = c.Cold, l.Thermocouple
		case c.Unit.isTemperature():
			x.Convert = c.Unit.celsius
		}
		t.Extra = append(t.Extra, x)
	}
	return t
}

// absoluteZero is in °C.
const absoluteZero = -273.15

// celsius turns a temperature into °C.
func (u ChannelUnit) celsius(v, _ float64) (float64, string) {
	c := v
	switch u {
	case Fahrenheit:
		c = (v - 32) * 5 / 9
	case Kelvin:
		c = v + absoluteZero
	}
	if c < absoluteZero {
		return 0, fmt.Sprintf("%g %v are below absolute zero", v, u)
	}
	return c, ""
}

// samples reads all text into the log.
func (r *Reader) samples(out *Log, l LogLayout) error {
	for _, c := range l.Channels {
		out.Channels = append(out.Channels, Readings{Key: c.Key, Unit: c.Unit.Kept()})
	}
	for {
		b, err := r.text.Next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return err
		}
		if len(out.TimesNS)+b.Rows > r.unpack.limit.frames {
			return fmt.Errorf("%w: more than %d samples", ErrTooLarge, r.unpack.limit.frames)
		}
		out.TimesNS = append(out.TimesNS, b.TimeNS...)
		for i, v := range b.Extra {
			out.Channels[i].append(v)
		}
	}
	var zero int64
	if l.Text.Sample.Form != "" {
		zero = out.TimesNS[0]
		out.Start = time.Unix(0, zero).UTC()
	}
	for i := range out.TimesNS {
		out.TimesNS[i] += l.Offset.Nanoseconds() - zero
	}
	return nil
}

func (c *Readings) append(v text.Values) {
	from := len(c.Values)
	c.Values, c.Valid, c.Absent = append(c.Values, v.F...), append(c.Valid, v.Valid...), c.Absent+v.Nulls
	for i, ok := range v.Valid {
		if !ok {
			c.Values[from+i] = 0
		}
	}
}
