// Package plan reads what a reviewer declares: one HCL plan of cards, games, resolutions, the matrix, how raw files are found
// and read, what makes a pass acceptable, and the claims hoped for. It turns text into a resolved Plan whose every part keeps
// its place in the source, so that a later stage can point at the line that asked for something. A plan is data: it never reads
// a file, runs a command or reaches the network. Decoding into tagged structs alone was rejected, because that drops unknown
// object keys and lets "3" pass for a number.
package plan

import (
	"time"

	"github.com/rigslate/rigslate/plan/finding"
)

// Plan is one review as declared, resolved and expanded.
type Plan struct {
	Dir         string   // folder that relative paths start from
	Sources     []Source // the plan's files, in order of reading
	Review      Review
	Rigs        []Rig
	Cards       []Card
	Games       []Game
	Resolutions []Resolution
	Matrices    []Matrix
	Files       []Files
	Accept      Accept // the review-wide one; a game's own overrides what it names
	Voids       []Void
	Vouches     []Vouch
	Controls    []Control
	Reuses      []Reuse
	Soaks       []Soak
	Sweeps      []Sweep
	Readings    []Reading
	Claims      []Claim
	Statistics  Statistics
	Look        *Look  // nil where the plan leaves it to the program
	Cells       []Cell // the expanded matrix: card, mode, game, variant, resolution, in declared order
	JSON        []byte // the resolved plan, only what was written, keys sorted: `plan.json`
}

// Source is one plan file, byte for byte.
type Source struct {
	Path  string // as opened
	Bytes []byte
}

// Review is the one `review` block.
type Review struct {
	Name     string
	Title    string
	Due      time.Time // filming; zero if not stated
	Rig      string    // name of the rig; "" if none is declared
	Baseline Mode
	Licence  string    // of the data that readers are given, "" if not stated
	Archive  string    // folder, relative to Plan.Dir unless absolute
	Embargo  time.Time // until which cards go by their codenames that state nothing themselves; zero for none
	Private  []Pair    // leaves the bench nowhere, see Plan.Discretion
	BenchDay time.Duration
	Takes    Takes // review-wide, every field set
	Place    finding.Place
	DuePlace finding.Place
}

// Rig is the fixed bench. Fixed is part of comparability, Notes is not.
type Rig struct {
	Name      string
	Fixed     []Pair // in declared order; values as text
	Notes     []Pair
	Private   []Pair
	DisplayHz float64 // fixed.display_hz, 0 if not stated
	Place     finding.Place
}

// Pair is one named value of an object that the plan does not interpret.
type Pair struct {
	Key, Value string
}

// Mode names a card in one of its modes.
type Mode struct {
	Card, Mode string
}

func (m Mode) String() string { return m.Card + "·" + m.Mode }

// Card is one graphics card under test.
type Card struct {
	Name, Title, Vendor, Driver string
	Codename                    string    // a label that stands for the card before the embargo; "" if none
	KnownAs                     []string  // what else it is called
	Embargo                     time.Time // its own or the review's; zero for none
	Private                     []Pair
	Sample                      Sample
	Prices                      []Price
	Memory                      *Memory
	Body                        []Number // as written: length_mm, slots, mass_g …
	PartsG                      []Number // masses of parts by name: heatsink, fans …
	Connectors                  []Number // how many of each, by name
	Phases                      []Phases
	Modes                       []CardMode
	Place                       finding.Place
	DriverPlace                 finding.Place
}

// Sample says where a card came from and how long it is here; zero times where not stated.
type Sample struct {
	Origin           string
	HereFrom, Leaves time.Time
	LeavesPlace      finding.Place
}

// Memory is what the memory bandwidth follows from.
type Memory struct {
	RateGTps float64
	BusBits  int
}

// Number is one named number with its unit in the name.
type Number struct {
	Key   string
	Value float64
}

// CardMode is one way of running a card. A card without modes has one, `stock`, not written in paths.
type CardMode struct {
	Name     string
	Raises   []Number // limits raised above those shipped; not empty means meant to be faster than stock
	Limits   []Number // as shipped or as set, units in the names: power_w, core_mhz …
	Firmware string
	Settings []Pair
	Implied  bool // the `stock` of a card that declares no modes
	Place    finding.Place
}

// Game is one game with one scene.
type Game struct {
	Name, Title, Build, Scene string
	Drive                     Drive
	Keep                      Keep
	Takes                     Takes  // review's with the game's own over it
	Accept                    Accept // review's with the game's own over it
	Capped                    bool   // a frame cap is intended
	Variants                  []Variant
	Place                     finding.Place
}

// Drive is how a scene is driven.
type Drive string

const (
	BuiltIn Drive = "built-in"
	Replay  Drive = "replay"
	ByHand  Drive = "by hand"
)

// Keep is which part of a capture counts. All means warm-up 0 and no end; otherwise Length is positive.
type Keep struct {
	All            bool
	Warmup, Length time.Duration
	Place          finding.Place
}

// Variant is one set of settings of a game. A game without variants has one, `plain`, not written in paths.
type Variant struct {
	Name, Group string
	Settings    []Pair
	Implied     bool
	Place       finding.Place
}

// Setting returns a variant's setting, "" if not stated.
func (v Variant) Setting(key string) string {
	for _, p := range v.Settings {
		if p.Key == key {
			return p.Value
		}
	}
	return ""
}

// Resolution is one output size.
type Resolution struct {
	Name          string
	Width, Height int
	Place         finding.Place
}

// Size gives 2560x1440, as in paths.
func (r Resolution) Size() string { return itoa(r.Width) + "x" + itoa(r.Height) }

// Matrix is one `matrix` block, its lists resolved.
type Matrix struct {
	Modes       []Mode
	Games       []GameVariant
	Resolutions []string
	Repeats     int
	Launches    int   // launches the repeats are spread over; equal to Repeats unless stated
	Looks       []int // in place of repeats: the numbers of passes at which verdicts may be read, rising; nil if there is one
	Waives      []Waive
	Place       finding.Place
}

// GameVariant names a game in one of its variants.
type GameVariant struct {
	Game, Variant string
}

func (g GameVariant) String() string { return g.Game + "·" + g.Variant }

// Waive leaves cells out on purpose. An empty list means all.
type Waive struct {
	Modes       []Mode
	Games       []GameVariant
	Resolutions []string
	Reason      string
	Place       finding.Place
}

// Key names a cell.
type Key struct {
	Card, Mode, Game, Variant, Resolution string
}

func (k Key) CardMode() Mode           { return Mode{k.Card, k.Mode} }
func (k Key) GameVariant() GameVariant { return GameVariant{k.Game, k.Variant} }

// String gives `heron_x·stock fjord·plain uhd`.
func (k Key) String() string {
	return k.CardMode().String() + " " + k.GameVariant().String() + " " + k.Resolution
}

// Cell is one square of the matrix.
type Cell struct {
	Key
	Repeats, Launches int    // with looks those of the first look, see At
	Looks             []int  // numbers of passes at which verdicts may be read, rising, two or more; nil: at Repeats only
	Waived            string // the reason, "" if not waived
}

// Accept is what makes a pass doubtful.
type Accept struct {
	MinLength   time.Duration // 0: nine tenths of the kept length
	MaxSpread   float64       // percent, for three passes
	MaxBadLines int
}

// Files is one `files` block: how raw files are found and read.
type Files struct {
	Name       string
	Path       string // pattern with placeholders
	Log        string // bench log, "" if none; relative to the captures' folder
	Text       Text
	FrameTime  *Column
	Timestamp  *Column
	KeepRows   *KeepRows
	MeasuredAt string // submit, present or display; "" if not stated
	Extra      []Extra
	Sensors    []Sensors
	Place      finding.Place
	PathPlace  finding.Place
}

// Text is the form of a delimited text file.
type Text struct {
	Delimiter, Decimal, Encoding, Comment string
	SkipLines                             int
}

// Column is a column by header name, or by number from 1 when Index is not 0.
type Column struct {
	Name  string
	Index int
	Unit  string // s, ms, us, ns; other units for extras that are no times, and those of channels
}

// KeepRows keeps only the rows whose column has the value.
type KeepRows struct {
	Column Column
	Equals string
}

// Extra is a column carried along and archived under Key. One in C, W or MHz is a sensor, read once a frame.
type Extra struct {
	Key    string
	Column Column
	At     string // where power is measured, "" for anything else
	Place  finding.Place
}

// Void takes one file out of the review.
type Void struct {
	Path, Reason string
	Place        finding.Place
}

// Vouch says that a doubtful or stale cell was looked at and is accepted.
type Vouch struct {
	Cell   Key
	Reason string
	Place  finding.Place
}

// Control is a cell passed once a session.
type Control struct {
	Cell  Key
	Place finding.Place
}

// Reuse lends cells without passes of their own those that an earlier review of the same archive has published.
type Reuse struct {
	Name    string
	Review  string // whose passes
	Edition string // of that review; "" for its newest
	Modes   []Mode
	MaxAge  time.Duration
	Despite []string // of Despites, sorted: what may differ, and is then said beside the number
	Place   finding.Place
}

// Statistics is how figures are worked out and shown.
type Statistics struct {
	Quantile                         int    // Hyndman & Fan type, 1 to 9
	Lows                             string // quantile, tail_mean, time_share
	MarginPct, MarginK, MarginDB     float64
	SpreadPct, SpreadK, SpreadDB     float64 // what a card swap alone moves
	ExpectedSpreadPct                float64 // of a cell, before any data
	QuantileWritten, MarginWritten   bool
	SessionSpreadWritten, LowsChosen bool
}

// Claim is a sentence the reviewer hopes to speak. It is checked and archived; judging is a later stage's work.
type Claim struct {
	Name, Says, Metric string // Metric is of Metrics, SoakMetrics, ValueMetrics, or one of the card's facts
	Kind               ClaimKind
	Of                 Mode
	Against            *Mode // nil for an absolute claim
	Games              []GameVariant
	Resolutions        []string
	Groups             []string
	Soak               string     // of a soak's figure
	Probe, ProbeGroup  string     // of a temperature: one of the two
	At                 string     // of power: where both sides are measured
	Channel            string     // of a fan's or a clock's figure: the channel's key, "" where only readings have it
	Price              *PriceKind // of a figure of value
	Expect             []Number   // percent, within, at_least, at_most, value …
	Unit               string     // of Expect: % unless stated
	Same               bool
	Place              finding.Place
}

// Takes is what a bench-time estimate is made of.
type Takes struct {
	Startup      time.Duration // launching a game to the scene
	Reset        time.Duration // back to the scene's start
	FirstLaunch  time.Duration // extra for the first launch of a game on a card (shader compilation)
	Swap         time.Duration // taking one card out and another in
	DriverChange time.Duration // another vendor's driver, with restart
	Preheat      time.Duration // once per mounting, before the first pass
	Probes       time.Duration // fixing thermocouples to a card and taking them off, once per mounting
	Redo         float64       // share of pass time that is done again
}
