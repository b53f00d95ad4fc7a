package report

import (
	"encoding/json"
	"fmt"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan/discreet"
	"github.com/rigslate/rigslate/plan/glossary"
)

// Words are what a report says that no table holds: the plan's order and titles, and why things are as they are. They are kept beside the
// tables, so that a report can be made again from an edition alone, by a release that words things otherwise. Order is that of the plan:
// colours and rows follow it. Nothing in them depends on the day or on where the plan's folder lies.
type Words struct {
	Review      string           `json:"review"`
	Title       string           `json:"title,omitempty"`
	Licence     string           `json:"licence,omitempty"` // of the data that readers are given
	Rig         string           `json:"rig,omitempty"`
	RigParts    []Part           `json:"rig_parts,omitempty"`
	Baseline    Mode             `json:"baseline"`
	Modes       []ModeWords      `json:"modes"`
	Games       []GameWords      `json:"games"`
	Resolutions []SizeWords      `json:"resolutions"`
	Statistics  StatisticsWords  `json:"statistics"`
	Cells       []CellWords      `json:"cells"`
	LeftOut     []LeftOutWords   `json:"left_out,omitempty"`
	Claims      []ClaimWords     `json:"claims,omitempty"`
	Protocols   []ProtocolWords  `json:"protocols,omitempty"`
	Soaks       []SoakWords      `json:"soaks,omitempty"`
	Aside       []AsideWords     `json:"aside,omitempty"`
	Warnings    []string         `json:"warnings,omitempty"`
	Elsewhere   []ElsewhereWords `json:"elsewhere,omitempty"`
	Cautions    []string         `json:"cautions,omitempty"`
	Calibration Calibration      `json:"calibration"`
	Look        *LookWords       `json:"look,omitempty"`
	// Discretion is what is withheld, from whom the report is for; it stays in the archive. No page is made of it.
	Discretion *discreet.Terms `json:"discretion,omitempty"`
	// Entries are what the pipeline says of its own words; those of figures are had from the packages that work them out.
	Entries []glossary.Entry `json:"entries,omitempty"`
}

// Part is one named thing, such as a part of the rig.
type Part struct {
	Key   string `json:"key"`
	Value string `json:"value"`
}

// Mode names a card in one of its modes.
type Mode struct {
	Card string `json:"card"`
	Mode string `json:"mode"`
}

// ModeWords is one card and mode. Alone says that the card has no other.
type ModeWords struct {
	Mode
	Title  string `json:"title"`
	Vendor string `json:"vendor"`
	Driver string `json:"driver,omitempty"`
	Raised bool   `json:"raised,omitempty"`
	Alone  bool   `json:"alone"`
}

// GameWords is one game in one variant. Alone says that the game has no other; Settings is what a chart's foot says.
type GameWords struct {
	Game     string `json:"game"`
	Variant  string `json:"variant"`
	Title    string `json:"title"`
	Group    string `json:"group,omitempty"`
	Build    string `json:"build,omitempty"`
	Scene    string `json:"scene,omitempty"`
	Drive    string `json:"drive,omitempty"`
	Settings []Part `json:"settings,omitempty"`
	Alone    bool   `json:"alone"`
}

// SizeWords is one resolution.
type SizeWords struct {
	Name   string `json:"name"`
	Width  int    `json:"width"`
	Height int    `json:"height"`
}

// StatisticsWords are the parameters in force.
type StatisticsWords struct {
	Quantile  int     `json:"quantile"`
	Lows      string  `json:"lows"`
	MarginPct float64 `json:"margin_pct"`
	MarginK   float64 `json:"margin_k"`
	MarginDB  float64 `json:"margin_db"`
}

// Key names a cell.
type Key struct {
	Mode
	Game       string `json:"game"`
	Variant    string `json:"variant"`
	Resolution string `json:"resolution"`
}

// CellWords is one planned cell: its state, the reasons for it and what must be known of it.
type CellWords struct {
	Key
	State  string   `json:"state"`
	Passes int      `json:"passes"`
	Of     int      `json:"of"`
	Why    []string `json:"why,omitempty"`
	Notes  []string `json:"notes,omitempty"`

	Reused *ReusedWords `json:"reused,omitempty"` // nil for passes of the review itself
}

// LeftOutWords is a cell that has no part in a headline, and why.
type LeftOutWords struct {
	Key
	Group  string   `json:"group"`
	Metric string   `json:"metric"`
	Why    string   `json:"why"`
	By     *float64 `json:"by_pct,omitempty"`
}

// ClaimWords is what stands beside a claim's row in the table.
type ClaimWords struct {
	Claim string   `json:"claim"`
	Hoped string   `json:"hoped"`
	Found string   `json:"found"`
	Notes []string `json:"notes,omitempty"`
	// Minds are the flags of the cells that it rests on, and which these are. Editions of earlier releases have the flags in the table alone.
	Minds []MindWords `json:"minds,omitempty"`
	Cells int         `json:"cells,omitempty"` // that it rests on
}

// MindWords is a flag with the cells that have it.
type MindWords struct {
	Flag string `json:"flag"`
	Of   []Key  `json:"of"`
}

// ProtocolWords is one soak as declared.
type ProtocolWords struct {
	Soak    string `json:"soak"`
	Load    string `json:"load"`
	LengthS int    `json:"length_s"`
	SettleS int    `json:"settle_s"`

	Sound    string   `json:"sound,omitempty"`     // the unit of levels, with the weighting and the distance
	Grouped  []string `json:"grouped,omitempty"`   // probes of which the hottest of several counts
	TargetDB float64  `json:"target_db,omitempty"` // the level at which the modes are compared; 0: none
	Sweeps   []string `json:"sweeps,omitempty"`    // fan sweeps under the same load
	// Resolution is the load's, empty where it has none.
	Resolution string `json:"resolution,omitempty"`
}

// SoakWords is one soak that was to be made.
type SoakWords struct {
	Mode
	Soak     string   `json:"soak"`
	Repeat   int      `json:"repeat"`
	State    string   `json:"state"`
	LoadFrom float64  `json:"load_from_s"`
	LoadTo   float64  `json:"load_to_s"`
	Why      []string `json:"why,omitempty"`
	Notes    []string `json:"notes,omitempty"`
}

// AsideWords is a capture that does not count.
type AsideWords struct {
	Key
	Repeat int    `json:"repeat"`
	Path   string `json:"path"`
	Status string `json:"status"`
	Reason string `json:"reason,omitempty"`
}

// ElsewhereWords is a number that comes from other editions.
type ElsewhereWords struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
}

// JSON is the words as they are kept.
func (w Words) JSON() ([]byte, error) {
	b, err := json.MarshalIndent(w, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("writing what a report says: %w", err)
	}
	return append(b, '\n'), nil
}

// ReadWords reads what JSON wrote.
func ReadWords(b []byte) (w Words, err error) {
	if err := json.Unmarshal(b, &w); err != nil {
		return w, fmt.Errorf("%s cannot be read: %w", archive.WordsName, err)
	}
	return w, nil
}
