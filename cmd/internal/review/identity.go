package review

import (
	"encoding/json"
	"fmt"
	"time"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/ledger"
	"github.com/rigslate/rigslate/plan/match"
)

// identity is all that decides the edition: the plan's meaning, and each capture with everything that was recorded of it and
// stands in the tables, but the file's own time.
func (r *Review) identity() (string, error) {
	id := archive.Identity{DefinitionsVersion: compute.DefinitionsVersion, Plan: r.Plan.JSON, Elsewhere: append(r.takenFromElsewhere(), r.lentElsewhere()...)}
	if r.framesFrom != "" {
		id.Elsewhere = append(id.Elsewhere, archive.Elsewhere{Edition: r.framesFrom, Name: "frames"})
	}
	for _, p := range r.Passes {
		if p.Err != nil || p.Reused != nil {
			continue
		}
		facts, err := json.Marshal(struct {
			Path    string
			Repeat  int
			Status  Status
			Reason  string
			Facts   ledger.Facts
			Started time.Time
			Named   time.Time
			Log     *logged
			Sensed  [][3]string `json:",omitempty"`
		}{p.File.Path, p.Repeat, p.Status, p.StatusReason, p.Facts, started(p.File), p.File.Time, logOf(p.File.Row), p.Sensors.chosen()})
		if err != nil {
			return "", fmt.Errorf("writing the facts of %s: %w", p.File.Path, err)
		}
		id.Raw = append(id.Raw, archive.RawFacts{SHA256: p.SHA256, Facts: facts})
		sensed, err := p.sensorFacts()
		if err != nil {
			return "", err
		}
		id.Raw = append(id.Raw, sensed...)
	}
	soaked, soaksSay, err := r.soakIdentity()
	if err != nil {
		return "", err
	}
	id.Raw = append(id.Raw, soaked...)
	type outcome struct {
		Key plan.Key
		Log *logged
	}
	var outcomes []outcome
	for _, o := range r.outcomes {
		outcomes = append(outcomes, outcome{o.Key, logOf(o.Row)})
	}
	var order []plan.Key // plan.json is the same for any order of declaration, the rows are not
	for _, c := range r.Plan.Cells {
		order = append(order, c.Key)
	}
	log, err := json.Marshal(struct {
		Outcomes []outcome
		Order    []plan.Key
		Said     []said
		Extras   []string
		Soaks    [][]string `json:",omitempty"`
		Fonts    []string   `json:",omitempty"`
	}{outcomes, order, r.saidOf(), extraColumns(r.Plan.Files), soaksSay, r.fontSums()})
	if err != nil {
		return "", fmt.Errorf("writing the outcomes on record: %w", err)
	}
	id.Log = log
	return archive.EditionID(id), nil
}

// chosen is which sensors the figures of a pass are of: of several the first that the plan names, an order that plan.json does not keep.
func (s PassSensors) chosen() (out [][3]string) {
	for _, x := range s.By {
		out = append(out, [3]string{string(x.Of), x.Key, x.Path})
	}
	return out
}

// sensorFacts are the files beside a pass.
func (p Pass) sensorFacts() (out []archive.RawFacts, err error) {
	for i, f := range p.Sensors.Files {
		if !f.There || f.Err != nil {
			continue
		}
		facts, err := json.Marshal(struct {
			Beside, Path string
			File         int
		}{p.File.Path, f.Path, i})
		if err != nil {
			return nil, fmt.Errorf("writing what is known of %s: %w", f.Path, err)
		}
		out = append(out, archive.RawFacts{SHA256: f.SHA256, Facts: facts})
	}
	return out, nil
}

// said is what the tables say of a cell besides its figures: those follow from what is hashed already, save for the last digit of
// another architecture, but a state also follows from a vouch, a bench log as it is today, and files that cannot be read.
type said struct {
	State  string
	Flags  []string
	Passes [][]string
}

func (r *Review) saidOf() (out []said) {
	for _, c := range r.Cells {
		s := said{State: c.State.String(), Flags: c.Words()}
		for _, i := range c.Passes {
			p := r.Passes[i]
			words := []string{p.File.Path, string(p.Status)}
			if p.Err == nil {
				words = append(words, p.Words()...)
			}
			s.Passes = append(s.Passes, words)
		}
		out = append(out, s)
	}
	return out
}

// logged is what of a bench-log row stands in the tables beside the ledger's facts.
type logged struct {
	Outcome  string
	AmbientC *float64
}

func logOf(row *match.LogRow) *logged {
	if row == nil {
		return nil
	}
	return &logged{row.Outcome, row.AmbientC}
}
