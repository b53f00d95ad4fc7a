package plan

import (
	"fmt"
	"slices"
	"time"

	"github.com/rigslate/rigslate/plan/finding"
)

// Reading is what somebody noted by hand in a soak or a sweep.
type Reading struct {
	Name        string
	Mode        Mode
	Soak, Sweep string // one of the two
	Repeat      int    // which soak of the mode, from 1; 0 for a sweep
	Probe       string // of temperature_c
	At          string // of power_w
	Noted              // of a soak
	Table       []Step // of a sweep
	On          time.Time
	Note, File  string
	Place       finding.Place
}

// Noted are values of one moment or soak, several of a kind where the instrument was read several times. nil is not noted.
type Noted struct {
	Values       []Figure
	AmbientC     []float64
	BackgroundDB []float64
}

// Figure is one kind of value, its unit in the name: one of ReadingKeys.
type Figure struct {
	Key    string
	Values []float64
}

// Step is one speed of a fan sweep.
type Step struct {
	Percent float64
	Noted
}

// ReadingKeys are the values that a reading can note, with the range they can have.
var ReadingKeys = []struct {
	Key    string
	lo, hi float64
	Of     Quantity
}{
	{"temperature_c", -50, 400, Temperature}, {"db", minDB, maxDB, Sound}, {"power_w", 0, 20_000, Power}, {"rpm", 0, 100_000, FanSpeed},
	{"percent", 0, 100, Percent}, {"clock_mhz", 0, 100_000, Clock}, {"fan_start_c", 0, 150, Temperature}, {"fan_stop_c", 0, 150, Temperature},
}

// Get returns the values noted under a key; nil if there are none.
func (n Noted) Get(key string) []float64 {
	for _, v := range n.Values {
		if v.Key == key {
			return v.Values
		}
	}
	return nil
}

// noted reads what stands in a reading or a row of its table.
func (f *fields) noted(row bool) Noted {
	n := Noted{AmbientC: f.numbersOrOne("ambient_c", -20, 60), BackgroundDB: f.numbersOrOne("background_db", minDB, maxDB)}
	for _, k := range ReadingKeys {
		if row && k.Key == "percent" {
			continue // it is the row's own
		}
		if xs := f.numbersOrOne(k.Key, k.lo, k.hi); len(xs) > 0 {
			n.Values = append(n.Values, Figure{k.Key, xs})
		}
	}
	return n
}

func (l *loader) reading(b *block) {
	r := Reading{Name: b.name, Probe: b.text("probe"), At: b.word("at", powerPoints...), Noted: b.noted(false), On: b.date("on"),
		Note: b.text("note"), File: b.text("file"), Place: b.at()}
	if r.File != "" {
		if why := badPath(r.File); why != "" {
			l.error(b.rangeOf("file"), "Path is refused", why, "Write it relative to the captures' folder, with /.")
		}
	}
	var rows []*fields
	for _, o := range b.objects("table", "step") {
		s := Step{Noted: o.noted(true)}
		s.Percent, _ = o.number("percent", 0, 100)
		l.checkNoted(o, s.Noted, true)
		rows, r.Table = append(rows, o), append(r.Table, s)
	}
	m, known := b.one("card", "card")
	r.Mode = Mode{m.name, m.member}
	soak, ok := l.protocol(b, &r)
	r.Repeat = min(1, soak.Repeats)
	if r.Sweep != "" {
		r.Repeat = 0
	}
	if n, good := b.whole("repeat", 1, max(1, soak.Repeats)); good {
		r.Repeat = n
	}
	if ok && known && l.soaksKnown {
		l.checkReading(b, r, soak)
		l.checkSteps(rows, r)
	}
	if !b.again {
		l.plan.Readings = append(l.plan.Readings, r)
	}
}

// protocol finds the soak or sweep that a reading is of, and the soak behind it.
func (l *loader) protocol(b *block, r *Reading) (Soak, bool) {
	var soak Soak
	if ref, ok := b.one("soak", "soak"); ok {
		r.Soak = ref.name
		soak, _ = l.plan.Soak(ref.name)
	}
	if ref, ok := b.one("sweep", "sweep"); ok {
		r.Sweep = ref.name
		s, _ := l.plan.Sweep(ref.name)
		soak, _ = l.plan.Soak(s.Soak)
		soak.Modes = s.Modes
	}
	inSoak, inSweep := b.has("soak"), b.has("sweep")
	switch {
	case inSoak && inSweep:
		l.error(b.header, "Reading is of two protocols", fmt.Sprintf("%s names a soak and a sweep.", b.what), "Delete one of them.")
		return soak, false
	case !inSoak && !inSweep:
		l.error(b.header, "Something is missing", fmt.Sprintf("%s says neither soak nor sweep.", b.what), "Add soak = soak.NAME.")
		return soak, false
	case inSweep && !b.has("table"):
		l.error(b.header, "Something is missing", fmt.Sprintf("%s has no table.", b.what), "Add table = [{ percent = 30, rpm = 900, db = 34.2, temperature_c = 71 }, …].")
	case inSweep && b.has("repeat"):
		l.error(b.rangeOf("repeat"), unfitting, "A sweep is done once.", "Delete repeat, or name a soak.")
	case inSoak && b.has("table"):
		l.error(b.rangeOf("table"), unfitting, "A table is of a sweep.", "Name the sweep, or write the values without table.")
	}
	if inSoak {
		l.checkNoted(b.fields, r.Noted, false)
	} else if len(r.Values) > 0 {
		l.error(b.header, unfitting, fmt.Sprintf("%s is of a sweep, and its %s stands outside the table.", b.what, r.Values[0].Key), "Put it into a row of the table.")
	}
	return soak, r.Soak != "" || r.Sweep != ""
}

// checkNoted finds a reading, or a row of a table, that notes nothing.
func (l *loader) checkNoted(f *fields, n Noted, row bool) {
	if len(n.Values) > 0 || !row && (n.AmbientC != nil || n.BackgroundDB != nil) {
		return
	}
	for _, k := range ReadingKeys {
		if f.has(k.Key) && !(row && k.Key == "percent") {
			return // it is wrong, and that is said
		}
	}
	l.error(f.at, "Reading notes nothing", fmt.Sprintf("%s has no value.", f.what), "Add one, such as db = [42.1, 42.0], temperature_c, power_w, rpm or ambient_c.")
}

// checkReading holds a reading against its soak: the card, the probe, the place of power, sound.
func (l *loader) checkReading(b *block, r Reading, s Soak) {
	l.inSoak(b.fields, "card", s, r.Mode)
	keys := map[string]bool{}
	for _, n := range append([]Noted{r.Noted}, steps(r.Table)...) {
		for _, v := range n.Values {
			keys[v.Key] = true
		}
		keys["background_db"] = keys["background_db"] || n.BackgroundDB != nil
	}
	for _, k := range []struct{ value, key, what, add string }{
		{"temperature_c", "probe", "of which probe temperature_c is", `Add probe = "…", a probe of the soak.`},
		{"power_w", "at", "where power_w is measured", `Add at = "wall", or "in line", "reported board", "reported chip".`},
	} {
		switch {
		case keys[k.value] && !b.has(k.key):
			l.error(b.header, "Something is missing", fmt.Sprintf("%s does not say %s.", b.what, k.what), k.add)
		case !keys[k.value] && b.has(k.key):
			l.error(b.rangeOf(k.key), unfitting, fmt.Sprintf("%s belongs to %s.", k.key, k.value), fmt.Sprintf("Add %s, or delete it.", k.value))
		}
	}
	if r.Probe != "" {
		l.onMode(b.fields, "probe", s, r.Probe, r.Mode)
	}
	if (keys["db"] || keys["background_db"]) && s.Noise == nil {
		l.error(b.header, "Something is missing", fmt.Sprintf("soak %s does not say how sound is measured.", quote(s.Name)),
			`Add noise = { distance_m = 0.5, weighting = "A", meter_class = 2 } to it.`)
	}
	l.checkNotedTwice(b, r)
}

// checkSteps holds the rows of a table against the steps of its sweep.
func (l *loader) checkSteps(rows []*fields, r Reading) {
	sweep, ok := l.plan.Sweep(r.Sweep)
	if !ok {
		return
	}
	for i, row := range rows {
		p := r.Table[i].Percent
		switch {
		case !row.has("percent"):
		case !slices.Contains(sweep.StepsPct, p):
			l.error(row.rangeOf("percent"), "Step is not in the sweep",
				fmt.Sprintf("sweep.%s has no step of %s percent.", r.Sweep, formatNumber(p)), "Name one of its steps_pct, or add this one to them.")
		case slices.ContainsFunc(r.Table[:i], func(s Step) bool { return s.Percent == p }):
			l.error(row.rangeOf("percent"), "Noted twice", fmt.Sprintf("Another row is of %s percent.", formatNumber(p)), "Put both into one row: db = [34.1, 34.3].")
		}
	}
}

func steps(table []Step) []Noted {
	ns := make([]Noted, len(table))
	for i, s := range table {
		ns[i] = s.Noted
	}
	return ns
}

// onMode says where a probe is none of the soak's, or not on that mode.
func (l *loader) onMode(f *fields, key string, s Soak, name string, m Mode) bool {
	p, ok := s.Probe(name)
	if !ok {
		var known []string
		for _, p := range s.Probes {
			known = append(known, p.Name)
		}
		mend := didYouMean(name, known)
		if mend == "" {
			mend = "The soak has no probes; add one."
		}
		l.error(f.rangeOf(key), "Unknown probe", fmt.Sprintf("soak.%s has no probe %s.", s.Name, quote(name)), mend)
		return false
	}
	if !slices.Contains(p.Modes, m) {
		l.error(f.rangeOf(key), "Probe is not on the card",
			fmt.Sprintf("probe %s of soak.%s is not on %s.", quote(name), s.Name, m), "Name another probe, or widen its cards.")
		return false
	}
	return true
}

// checkNotedTwice finds a value that two readings note of one soak. Where both may stand, as for the room, nothing is said.
func (l *loader) checkNotedTwice(b *block, r Reading) {
	for _, other := range l.plan.Readings {
		if other.Mode != r.Mode || other.Soak != r.Soak || other.Sweep != r.Sweep || other.Repeat != r.Repeat || b.again {
			continue
		}
		twice := ""
		for _, v := range r.Values {
			same := other.Get(v.Key) != nil
			switch v.Key {
			case "temperature_c":
				same = same && other.Probe == r.Probe
			case "power_w":
				same = same && other.At == r.At
			}
			if same {
				twice = v.Key
			}
		}
		if r.Sweep != "" && other.Probe == r.Probe && other.At == r.At {
			twice = "table"
		}
		if twice != "" {
			l.error(b.rangeOf(twice), "Noted twice",
				fmt.Sprintf("reading %s notes %s of the same.", quote(other.Name), twice), "Put both into one list, or mend card, soak or repeat.")
			return
		}
	}
}

// checkProbes finds probes that nothing reads, once readings are known.
func (l *loader) checkProbes() {
	if !l.soaksKnown || l.partial {
		return
	}
	for _, s := range l.plan.Soaks {
		for _, p := range s.Probes {
			read := slices.ContainsFunc(s.Logs, func(log Log) bool {
				return slices.ContainsFunc(log.Channels, func(c Channel) bool { return c.Key == p.Name })
			}) || slices.ContainsFunc(l.plan.Readings, func(r Reading) bool {
				sweep, _ := l.plan.Sweep(r.Sweep)
				return r.Probe == p.Name && (r.Soak == s.Name || sweep.Soak == s.Name)
			})
			if !read {
				l.warningAt(p.Place, "Probe is not logged", fmt.Sprintf("No channel and no reading of soak.%s has %s.", s.Name, quote(p.Name)),
					fmt.Sprintf(`Add %s = { column = "…", unit = "C" } to the channels of a log, or delete it.`, p.Name))
			}
		}
	}
}
