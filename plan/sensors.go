package plan

import (
	"fmt"
	"slices"
	"time"

	"github.com/rigslate/rigslate/plan/finding"
)

// Sensors is a logger's file that lies beside the frames of each pass, with a path of its own.
type Sensors struct {
	Path      string // pattern with placeholders, as of the frames
	Text      Text
	Time      TimeColumn
	Offset    time.Duration // added to the file's times, so that they are on the clock of the frames
	Channels  []Channel
	Place     finding.Place
	PathPlace finding.Place
}

// Senses is what a column of the frames' own file is of where it is a sensor's, "" where it is carried along and no more. Units of
// sensors have a capital, which those of other columns cannot have.
func (e Extra) Senses() Quantity {
	switch e.Column.Unit {
	case "C":
		return Temperature
	case "W":
		return Power
	case "MHz":
		return Clock
	}
	return ""
}

// HasSensors tells files that bring readings of sensors along, in columns of their own or in files beside them.
func (f Files) HasSensors() bool {
	for _, e := range f.Extra {
		if e.Senses() != "" {
			return true
		}
	}
	return len(f.Sensors) > 0
}

// senses reports whether files bring readings of a quantity along.
func (f Files) senses(q Quantity) bool {
	for _, e := range f.Extra {
		if e.Senses() == q {
			return true
		}
	}
	for _, s := range f.Sensors {
		for _, c := range s.Channels {
			if c.Quantity() == q {
				return true
			}
		}
	}
	return false
}

// sensedByPasses warns of a claim on what no sensor of the passes gives.
func (l *loader) sensedByPasses(b *block, c Claim) {
	unit, _ := metricUnit(c.Metric)
	q := map[string]Quantity{"W": Power, "J": Power, "frames/J": Power, "MHz": Clock, "°C": Temperature}[unit]
	if q == "" || slices.ContainsFunc(l.plan.Files, func(f Files) bool { return f.senses(q) }) {
		return
	}
	mend := "Add sensors to the files."
	if _, ofSoaks := soakMetric(c.Metric, true); ofSoaks {
		mend = "Add sensors to the files, or soak = soak.NAME for the figure of a soak."
	}
	l.warning(b.rangeOf("metric"), "Figure is not measured", fmt.Sprintf("No files name a sensor of %s beside the passes.", q), mend)
}

// sensorsOf reads the blocks of files that lie beside the frames. A key stands for one channel of a pass, whichever file it is in.
func (l *loader) sensorsOf(b *block, f *Files) {
	first := map[string]finding.Place{}
	for _, e := range f.Extra {
		if e.Senses() != "" {
			first[e.Key] = e.Place
		}
	}
	b.members("files", "sensors", func(o *block) {
		s := Sensors{Path: o.text("path"), Text: o.textForm(), Time: o.clock("time"), Place: o.at(), PathPlace: o.place("path")}
		s.Offset, _ = o.offset("offset")
		if s.Time.Layout != "" && !o.has("offset") {
			l.error(o.rangeOf("time"), "Something is missing",
				fmt.Sprintf("%s does not say how long after the start of the frames its first line was written.", o.what), `Add offset = "+0s", or a time elapsed with a unit in place of layout.`)
		}
		o.eachChannel(func(_ entry, c *fields, ch Channel) {
			c.checkPassChannel(ch)
			if at, taken := first[ch.Key]; taken {
				l.errorAt(ch.Place, "Channel is logged twice", fmt.Sprintf("%s stands at %s too.", quote(ch.Key), at), "Rename one of them.")
			}
			first[ch.Key] = ch.Place
			s.Channels = append(s.Channels, ch)
		})
		if s.Path != "" {
			l.checkSensorsPath(o, *f, s.Path)
		}
		f.Sensors = append(f.Sensors, s)
	})
}

// checkPassChannel looks at one channel of a pass. A voltage and a sound level need what only a soak declares.
func (f *fields) checkPassChannel(c Channel) {
	switch c.Column.Unit {
	case "mV":
		f.l.error(f.rangeOf("unit"), "Unit does not fit", fmt.Sprintf("Of a pass nothing says which thermocouple %s is of.", c.Key),
			`Log "C", "F" or "K", or read it in a soak.`)
	case "dB":
		f.l.error(f.rangeOf("unit"), "Unit does not fit", fmt.Sprintf("Of a pass nothing says how the sound of %s is measured.", c.Key),
			"Read it in a soak.")
	default:
		f.checkChannel(c, Soak{})
	}
}

// checkSensorsPath holds the path of files beside the frames to what the frames' own must tell, and to being another.
func (l *loader) checkSensorsPath(b *block, f Files, path string) {
	before := len(l.findings)
	l.checkPattern(b, Files{Path: path})
	if len(l.findings) > before {
		return
	}
	has, _ := l.placeholders(b.rangeOf("path"), path, placeholders)
	several := false
	for _, c := range l.plan.Cells {
		several = several || c.Waived == "" && c.Most() > 1
	}
	if several && !has["repeat"] && !has["time"] {
		l.error(b.rangeOf("path"), "Path cannot tell passes apart", "Nothing in it says of which pass the file is.",
			"Add {repeat} or {time}, as in the path of the frames.")
	}
	same := func(other, what string) bool {
		if other != path {
			return false
		}
		l.error(b.rangeOf("path"), "Same path twice", what+" has it too.",
			"A file holds either frames or readings of sensors; readings in the frames' own file are columns of extra.")
		return true
	}
	if same(f.Path, "files "+quote(f.Name)) {
		return
	}
	for _, s := range f.Sensors {
		if same(s.Path, "Another sensors block of files "+quote(f.Name)) {
			return
		}
	}
	for _, other := range l.plan.Files {
		if same(other.Path, "files "+quote(other.Name)) {
			return
		}
	}
}
