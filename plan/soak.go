package plan

import (
	"slices"
	"time"

	"github.com/rigslate/rigslate/plan/finding"
)

// Soak is one protocol of bench measurements: cards under a load for a length of time, while temperatures, fans, sound, power and
// clocks are logged or noted (definitions, section 6).
type Soak struct {
	Name          string
	Load          SoakLoad
	Game          GameVariant // zero unless a game is the load
	Resolution    string      // "" if not stated
	CapFPS        float64     // frame rate that the load is capped to, 0 unless Load is Capped
	Note          string
	Modes         []Mode        // in declared order
	Length        time.Duration // of the load
	Settle        time.Duration // the last part of Length, over which end-of-soak figures are means
	LeadIn        time.Duration // logged before the load begins, 0 if not
	Cooling       time.Duration // logged after the load, 0 if not
	Repeats       int           // soaks of each mode
	Ambient       Ambient
	Logger        Logger
	Noise         *Noise // nil: no sound is measured
	Repeatability Repeatability
	Probes        []Probe
	Logs          []Log
	Frames        *SoakFrames // nil: no frames are logged under the load
	Place         finding.Place
}

// SoakLoad is what heats the card.
type SoakLoad string

const (
	GameLoad    SoakLoad = "game" // not written: it is what a soak with a game has
	Idle        SoakLoad = "idle"
	TwoDisplays SoakLoad = "two displays"
	Video       SoakLoad = "video"
	CappedGame  SoakLoad = "capped" // a game held to CapFPS
	OtherLoad   SoakLoad = "other"  // what the note says
)

// Ambient is the room. TargetC and so on are 0 unless Stated.
type Ambient struct {
	Stated     bool
	TargetC    float64
	ToleranceC float64 // how far the room may be from TargetC
	ReferenceC float64 // to which temperatures are normalised
	AccuracyC  float64 // of the room's thermometer, a limit of error; 0 if not stated
	From       string  // key of the channel that logs the room, or AmbientNoted, or AmbientNone
}

// Where the room's temperature comes from if no channel logs it.
const (
	AmbientNoted = "noted" // readings say it
	AmbientNone  = "none"  // nobody measured it: there is no rise over ambient
)

// Logger is what thermocouples are read with. AccuracyC and ResolutionC are 0 if not stated.
type Logger struct {
	Name        string
	AccuracyC   float64 // limit of error
	ResolutionC float64
	MountC      float64 // standard uncertainty of placing a probe
}

// Noise is how sound is measured.
type Noise struct {
	DistanceM    float64
	BackgroundDB []float64 // readings of the room without the card's noise; nil if not stated
	Weighting    string    // A, C or Z
	MeterClass   int       // 1 or 2 (IEC 61672-1)
	FreeField    bool
	ReferenceM   float64 // distance that levels are converted to, 0 if they are not
	TargetDB     float64 // level that modes are brought to by their fans, 0 if there is none
	ToleranceDB  float64 // how far from TargetDB a mode may be
}

// Repeatability is the declared standard deviation between soaks of one mode, by which a single soak may be judged. 0 is not declared.
type Repeatability struct {
	TemperatureK, NoiseDB                 float64
	PowerPct, FanPct, ClockPct, EnergyPct float64
}

// Probe is one place whose temperature is taken: by a sensor of the card, or by a thermocouple.
type Probe struct {
	Name         string
	OnDie        string // edge, hottest, average, memory, regulator, board; "" for a thermocouple
	Thermocouple *Thermocouple
	Modes        []Mode // on which it is; those of the soak unless stated
	Place        finding.Place
}

// Thermocouple is a probe of two wires.
type Thermocouple struct {
	Type    string // K
	Class   int    // 1, 2 or 3 (IEC 60584-1), 0 if not stated
	Spot    string // where it sits, in words
	Group   string // probes of which the hottest counts, "" if none
	PerCard bool   // each card has one of its own; otherwise one is moved from card to card
}

// Soak returns the soak of that name; ok is false if there is none.
func (p *Plan) Soak(name string) (s Soak, ok bool) {
	for _, s := range p.Soaks {
		if s.Name == name {
			return s, true
		}
	}
	return Soak{}, false
}

// Probe returns a soak's probe.
func (s Soak) Probe(name string) (p Probe, ok bool) {
	for _, p := range s.Probes {
		if p.Name == name {
			return p, true
		}
	}
	return Probe{}, false
}

// Group lists the probes of a group that are on a mode.
func (s Soak) Group(name string, m Mode) []Probe {
	var ps []Probe
	for _, p := range s.Probes {
		if p.Thermocouple != nil && p.Thermocouple.Group == name && slices.Contains(p.Modes, m) {
			ps = append(ps, p)
		}
	}
	return ps
}

// Channels lists what is logged of a mode, log by log.
func (s Soak) Channels(m Mode) []Channel {
	var cs []Channel
	for _, log := range s.Logs {
		if slices.Contains(log.Modes, m) {
			cs = append(cs, log.Channels...)
		}
	}
	return cs
}

// Hazards names what a plan asks for that can hurt people or hardware; cautions are printed wherever one is.
func (p *Plan) Hazards() []string {
	var soaks, probes, raised bool
	for _, s := range p.Soaks {
		soaks = true
		for _, probe := range s.Probes {
			probes = probes || probe.Thermocouple != nil
		}
	}
	for _, c := range p.Cards {
		for _, m := range c.Modes {
			raised = raised || c.raised(m)
		}
	}
	var out []string
	for _, h := range []struct {
		is   bool
		name string
	}{{soaks, "soaks"}, {probes, "probes"}, {raised, "raised limits"}} {
		if h.is {
			out = append(out, h.name)
		}
	}
	return out
}
