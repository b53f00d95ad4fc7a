package plan

import "fmt"

// What a soak's temperatures and levels hang on beside the card: the room, the logger, the meter, and how far soaks differ.

// span is a number with the range that it can have.
type span struct {
	key    string
	lo, hi float64
	to     *float64
}

func (f *fields) spans(ss ...span) {
	for _, s := range ss {
		if x, ok := f.number(s.key, s.lo, s.hi); ok {
			*s.to = x
		}
	}
}

func (b *block) ambient() (Ambient, *fields) {
	a := Ambient{From: AmbientNoted}
	f, ok := b.object("ambient", "ambient")
	if !ok {
		return a, nil
	}
	a.ToleranceC = DefaultAmbientTolerance
	f.spans(span{"target_c", -20, 60, &a.TargetC}, span{"tolerance_c", 0.01, 20, &a.ToleranceC}, span{"accuracy_c", 1e-3, 20, &a.AccuracyC})
	a.Stated = f.has("target_c")
	a.ReferenceC = a.TargetC
	f.spans(span{"reference_c", -20, 60, &a.ReferenceC})
	if s := f.text("from"); s != "" {
		a.From = s
	}
	return a, f
}

func (b *block) logger() Logger {
	g := Logger{MountC: DefaultMount}
	if f, ok := b.object("logger", "logger"); ok {
		g.Name = f.text("name")
		f.spans(span{"accuracy_c", 1e-3, 50, &g.AccuracyC}, span{"resolution_c", 1e-4, 10, &g.ResolutionC}, span{"mount_c", 1e-3, 50, &g.MountC})
	}
	return g
}

func (b *block) noise() *Noise {
	f, ok := b.object("noise", "noise")
	if !ok {
		return nil
	}
	n := &Noise{Weighting: f.word("weighting", "A", "C", "Z"), FreeField: f.yes("free_field"), BackgroundDB: f.numbersOrOne("background_db", minDB, maxDB)}
	n.MeterClass, _ = f.whole("meter_class", 1, 2)
	f.spans(span{"distance_m", 0.01, 100, &n.DistanceM}, span{"reference_m", 0.01, 100, &n.ReferenceM},
		span{"target_db", 1, maxDB, &n.TargetDB})
	if f.has("target_db") {
		n.ToleranceDB = DefaultNoiseTolerance
	}
	f.spans(span{"tolerance_db", 0.01, 20, &n.ToleranceDB})
	if f.has("reference_m") && !n.FreeField {
		f.l.error(f.rangeOf("reference_m"), unfitting, "Levels follow from the distance in a free field only.",
			"Add free_field = true if nothing reflects there, else delete reference_m.")
	}
	if f.has("tolerance_db") && !f.has("target_db") {
		f.l.error(f.rangeOf("tolerance_db"), unfitting, "There is no target_db that a level could be near.", "Add target_db, or delete it.")
	}
	return n
}

const minDB, maxDB = 0, 150

func (b *block) repeatability() (r Repeatability) {
	before := len(b.l.findings)
	f, ok := b.object("repeatability", "repeatability")
	if !ok {
		return r
	}
	f.spans(span{"temperature_k", 1e-3, 20, &r.TemperatureK}, span{"noise_db", 1e-3, 20, &r.NoiseDB})
	for _, p := range []struct {
		key string
		to  *float64
	}{{"power", &r.PowerPct}, {"fan", &r.FanPct}, {"clock", &r.ClockPct}, {"energy", &r.EnergyPct}} {
		x, ok := f.percent(p.key, 50)
		if *p.to = x; ok && x == 0 {
			f.l.error(f.rangeOf(p.key), "Number out of range", f.of(p.key)+" is zero, which no two soaks are.", `Write a spread such as "1.5%".`)
		}
	}
	if len(f.order) == 0 && len(b.l.findings) == before {
		f.l.error(f.at, "Something is missing", fmt.Sprintf("%s says nothing.", f.what),
			`Write the spread between soaks, such as { temperature_k = 0.5, power = "1%" }.`)
	}
	return r
}

// numbersOrOne reads a number, or a list of them.
func (f *fields) numbersOrOne(key string, lo, hi float64) []float64 {
	e, ok := f.by[key]
	if !ok {
		return nil
	}
	nodes, ok := f.l.elements(e.node)
	if !ok {
		return nil
	}
	if len(nodes) == 0 {
		f.l.error(e.at, "List is empty", fmt.Sprintf("%s names nothing.", f.of(key)), "Write a number, or several, or leave it out.")
		return nil
	}
	xs, out := make([]float64, 0, len(nodes)), make([]any, 0, len(nodes))
	for _, n := range nodes {
		if x, good := f.l.number(n, f.of(key), lo, hi); good {
			xs, out = append(xs, x), append(out, x)
		}
	}
	f.out[key] = out
	return xs
}
