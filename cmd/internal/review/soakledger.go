package review

import (
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
	"github.com/rigslate/rigslate/plan/ledger"
)

// soakFacts are the circumstances of a soak that the plan states now. The build and the settings of a game count where one is the load.
func (r *Review) soakFacts(run plan.SoakRun) ledger.Facts {
	protocol, _ := r.Plan.Soak(run.Soak)
	return r.planned(plan.Key{Card: run.Mode.Card, Mode: run.Mode.Mode, Game: protocol.Game.Game, Variant: protocol.Game.Variant})
}

// rememberSoak asks the ledger under which circumstances a soak's files were first seen. What has changed since makes the soak doubtful: it is of
// another driver, build or firmware than the rest of the review.
func (r *Review) rememberSoak(s *Soak, record bool) error {
	for i := range s.Files {
		f := &s.Files[i]
		if !f.There || f.Err != nil {
			continue
		}
		if other, twice := r.soakFiles[f.SHA256]; twice {
			r.refused = "one content stands in two soaks"
			r.Findings.Add(finding.Error, finding.Place{File: f.Path}, "The same content in two soaks",
				fmt.Sprintf("%s and %s are byte for byte the same.", f.Path, other), "Find out which was saved under a wrong name; the other one is lost.")
			s.doubt(fmt.Sprintf("%s is byte for byte %s", f.Path, other))
		}
		r.soakFiles[f.SHA256] = f.Path
		entry, changed, err := r.ledger.See(hex.EncodeToString(f.SHA256[:]), f.modified, r.soakFacts(s.SoakRun), record)
		var damaged *ledger.Damaged
		if errors.As(err, &damaged) {
			r.Findings = append(r.Findings, damaged.Finding())
			r.refused = "an entry of the ledger is damaged"
			s.doubt(f.Path + ": what the ledger recorded of it is damaged")
			continue
		}
		if err != nil {
			return fmt.Errorf("%w: %w", ErrDisk, err)
		}
		f.Facts = entry.Facts
		for _, c := range changed {
			s.doubt(changedText(c))
		}
	}
	return nil
}

// doubt adds what stands against a soak.
func (s *Soak) doubt(why string) {
	s.State, s.Why = SoakDoubtful, unique(append(s.Why, why))
}

// soakIdentity is what of the soaks decides the edition: their files with what was recorded of them, and what the tables say of them besides.
func (r *Review) soakIdentity() (raw []archive.RawFacts, said [][]string, err error) {
	for _, s := range r.Soaks {
		said = append(said, append([]string{s.SoakRun.String(), string(s.State)}, append(s.Why, s.Notes...)...))
		for _, f := range s.Files {
			if !f.There || f.Err != nil {
				continue
			}
			facts, err := json.Marshal(struct {
				Path string
				Run  plan.SoakRun
				Log  int
				ledger.Facts
			}{f.Path, s.SoakRun, f.log, f.Facts})
			if err != nil {
				return nil, nil, fmt.Errorf("writing the facts of %s: %w", f.Path, err)
			}
			raw = append(raw, archive.RawFacts{SHA256: f.SHA256, Facts: facts})
		}
	}
	return raw, said, nil
}
