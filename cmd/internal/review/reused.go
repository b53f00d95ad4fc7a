package review

import (
	"cmp"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/ledger"
	"github.com/rigslate/rigslate/plan/match"
)

// Reused says of a pass that an earlier review has published it.
type Reused struct {
	Review, Edition string // that has its frames
	Made            time.Time

	archived archive.RunRow
}

// row is the pass as it was archived, without its figures.
func (u Reused) row() archive.RunRow {
	a := u.archived
	return archive.RunRow{
		Card: a.Card, Mode: a.Mode, Game: a.Game, Variant: a.Variant, Resolution: a.Resolution, Width: a.Width, Height: a.Height,
		Repeat: a.Repeat, Launch: a.Launch, Session: a.Session, SourcePath: a.SourcePath, SourceSHA256: a.SourceSHA256, SourceBytes: a.SourceBytes,
		StartedAt: a.StartedAt, Rig: a.Rig, Driver: a.Driver, Firmware: a.Firmware, Sample: a.Sample, Build: a.Build, Preset: a.Preset, API: a.API,
		Scene: a.Scene, Drive: a.Drive, WarmupS: a.WarmupS, LengthS: a.LengthS, MeasuredAt: a.MeasuredAt, Outcome: a.Outcome, AmbientC: a.AmbientC,
		SensedFromNS: a.SensedFromNS, SensedToNS: a.SensedToNS, FramesEdition: &u.Edition,
	}
}

// readLent makes the passes that cells are lent. Their figures are worked out from the archived frames, under the definitions and the plan of today,
// so that they go through every check that a pass of this review goes through. A card's frames are read once. Where they cannot be used the cell is
// lent nothing; an edition that is worked out again then cannot be.
func (r *Review) readLent(again bool) error {
	type store struct{ dir, card string }
	read := map[store]map[string]archive.FramesBack{}
	failed := map[store]error{}
	var scratch compute.Scratch
	card := ""
	for _, c := range r.Plan.Cells {
		x, ok := r.lent[c.Key]
		if !ok {
			continue
		}
		if c.Card != card { // cells come card by card, and one card's frames are enough to hold
			card = c.Card
			clear(read)
		}
		at := store{x.edition.Dir, c.Card}
		if read[at] == nil {
			if read[at], failed[at] = r.lentFrames(x.edition, c.Card); failed[at] != nil && !again {
				r.unreadable(x.edition.Dir, failed[at])
			}
		}
		passes, err := r.makeLent(c, x, read[at], &scratch)
		if err = cmp.Or(failed[at], err); err != nil {
			if again {
				return fmt.Errorf("%w: passes that it reuses: %w", errAgain, err)
			}
			delete(r.lent, c.Key)
			r.notLent[c.Key] = fmt.Sprintf("the frames in edition %s of %s cannot be used", x.edition.Edition, x.edition.Review)
			continue
		}
		r.lentPasses = append(r.lentPasses, passes...)
	}
	return nil
}

// lentFrames reads the frames of a card that are lent from an edition, by run.
func (r *Review) lentFrames(e archive.Edition, card string) (map[string]archive.FramesBack, error) {
	wanted, out := map[string]bool{}, map[string]archive.FramesBack{}
	for k, x := range r.lent {
		for _, p := range x.passes {
			wanted[p.row.RunID] = wanted[p.row.RunID] || x.edition.Dir == e.Dir && k.Card == card
		}
	}
	content, err := e.File("frames-" + card + ".parquet")
	if err != nil {
		return out, err
	}
	return out, archive.ReadFrames(content, card, nil, func(b archive.FramesBack) error {
		if wanted[b.RunID] {
			out[b.RunID] = b
		}
		return nil
	})
}

// makeLent makes passes of a cell from what an edition has of them.
func (r *Review) makeLent(c plan.Cell, x lent, frames map[string]archive.FramesBack, s *compute.Scratch) (out []Pass, err error) {
	for _, l := range x.passes {
		row := l.row
		p := Pass{Key: c.Key, Repeat: int(row.Repeat), Status: Used, Bytes: row.SourceBytes, Seen: l.made, When: l.made,
			File: match.File{Path: row.SourcePath, Key: c.Key, Repeat: int(row.Repeat), Files: &plan.Files{MeasuredAt: stated(row.MeasuredAt)}},
			Facts: ledger.Facts{Driver: stated(row.Driver), Build: stated(row.Build), Firmware: stated(row.Firmware), Launch: stated(row.Launch),
				Session: stated(row.Session)},
			Reused: &Reused{Review: x.edition.Review, Edition: x.edition.Edition, Made: l.made, archived: row}}
		if n, err := hex.Decode(p.SHA256[:], []byte(row.SourceSHA256)); err != nil || n != len(p.SHA256) {
			return nil, fmt.Errorf("%w: the hash of run %s is %q", archive.ErrDamaged, row.RunID, row.SourceSHA256)
		}
		b, there := frames[row.RunID]
		if !there {
			return nil, fmt.Errorf("%w: edition %s of %s has no frames of run %s", archive.ErrDamaged, x.edition.Edition, x.edition.Review, row.RunID)
		}
		if lo, hi := figurePass(r.Plan, &p, archivedPass{FramesBack: b}, s); hi-lo != b.KeptHi-b.KeptLo || hi > lo && lo != b.KeptLo {
			return nil, fmt.Errorf("of run %s frames %d to %d would be kept, edition %s of %s keeps %d to %d", row.RunID, lo, hi, x.edition.Edition,
				x.edition.Review, b.KeptLo, b.KeptHi)
		}
		if row.BadLines != nil {
			p.BadLines = int(*row.BadLines)
		}
		if row.Flags != nil {
			p.FramesLost = slices.Contains(strings.Fields(*row.Flags), string(kindFramesLost))
		}
		p.takeSensed(x.edition)
		out = append(out, p)
	}
	return out, nil
}

func stated(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

// takeSensed takes over what the edition has of power, whose place is archived with the pass. Which sensor gave the clock and the temperature is not,
// and unlike ones are never compared, so those are absent.
func (p *Pass) takeSensed(e archive.Edition) {
	row := &p.Reused.archived
	for _, m := range compute.Metrics() {
		x, ok := archive.Figure(row, m.Name)
		switch {
		case m.Needs == "" || !ok:
		case e.DefinitionsVersion != compute.DefinitionsVersion:
			p.Figures.Take(m, compute.Absent(fmt.Sprintf("the reused pass's is of version %d of the definitions", e.DefinitionsVersion)))
		case m.Needs != compute.OfPower || row.PowerMeasuredAt == nil:
			p.Figures.Take(m, compute.Absent("the reused pass does not say by which sensor"))
		default:
			p.Figures.Take(m, compute.Known(x))
			p.Sensors.By = []Sensing{{Of: compute.OfPower, Key: "archived", At: *row.PowerMeasuredAt, inFile: ownFile}}
		}
	}
}

// lentName tells the launches and sessions of a reused pass apart from those of this review, which may bear the same names.
func (p *Pass) lentName(name string) string {
	if p.Reused == nil {
		return name
	}
	return strings.Join([]string{name, "of", p.Reused.Review, p.Reused.Edition}, " ")
}

// reused reports whether a cell's passes are another review's.
func (r *Review) reused(c Cell) bool {
	return slices.ContainsFunc(r.PassesOf(c, Used), func(p Pass) bool { return p.Reused != nil })
}

// reusedFlags are what a comparison says of sides that are reused.
func reusedFlags(cells ...Cell) (out []compute.Flag) {
	for _, word := range []compute.Flag{FlagReused, flagReusedReserve} {
		if slices.ContainsFunc(cells, func(c Cell) bool { return c.flagged(word) }) {
			out = append(out, word)
		}
	}
	return out
}

// lentElsewhere is what the edition's id knows of the passes that it refers to.
func (r *Review) lentElsewhere() (out []archive.Elsewhere) {
	for _, p := range r.Passes {
		if u := p.Reused; u != nil {
			out = append(out, archive.Elsewhere{Edition: u.Edition, Name: "pass " + runID(p) + " of " + p.Key.String(), Value: float64(p.Repeat)})
		}
	}
	return out
}
