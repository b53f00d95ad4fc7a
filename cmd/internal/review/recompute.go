package review

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"runtime"
	"slices"
	"strings"
	"time"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
)

// RecomputeOptions say which editions are worked out anew.
type RecomputeOptions struct {
	Reviews  []string // none is all
	Now      time.Time
	Workers  int
	Tool     string
	Progress func(done, total int, what string) // may be nil
}

// Outcome says what came of an edition.
type Outcome string

const (
	Republished Outcome = "recomputed" // a new edition has its figures
	Unchanged   Outcome = "unchanged"  // figures and verdicts are the same under this release's definitions
	Current     Outcome = "current"    // it follows them already
	Covered     Outcome = "covered"    // a later edition of the review has all its passes
	Later       Outcome = "later"      // its definitions are newer than this release
	HeldBack    Outcome = "held back"  // it could be, and another of its review could not
	Refused     Outcome = "damaged"    // it, or what it rests on, is damaged or does not serve
)

// Redone is what came of one edition.
type Redone struct {
	Review      string           `json:"review"`
	Edition     string           `json:"edition"`
	Definitions int              `json:"definitions_version"`
	Outcome     Outcome          `json:"outcome"`
	Why         string           `json:"why,omitempty"`
	New         string           `json:"new_edition,omitempty"`
	Folder      string           `json:"folder,omitempty"`
	Values      int              `json:"values_compared,omitempty"`
	Changes     []archive.Change `json:"changes,omitempty"`

	old  archive.Edition
	made *Review
}

// ErrNoReview is the error for a review that the archive does not have.
var ErrNoReview = errors.New("no such review")

// Recompute works old editions out anew from their plans and frames, and publishes what comes out otherwise under this release's definitions beside
// them. What a review took from others stays as it was. If an edition is damaged nothing is published of its review. Every edition is published by
// one rename, so a run that is stopped is completed by the next. Errors are ErrNoReview, ErrDisk, or the context's; damage is told of in the list.
func Recompute(ctx context.Context, dir string, o RecomputeOptions) ([]Redone, error) {
	a, err := archive.Open(dir)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrDisk, err)
	}
	editions, unreadable, err := a.Editions()
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrDisk, err)
	}
	if len(editions)+len(unreadable) == 0 {
		return nil, fmt.Errorf("%w: %s holds no edition: %w", ErrDisk, dir, fs.ErrNotExist)
	}
	var all []Redone
	for _, u := range unreadable {
		d := Redone{Review: u.Review, Edition: u.Edition, Outcome: Refused, Why: u.Err.Error()}
		if errors.Is(u.Err, archive.ErrNewer) {
			d.Outcome = Later
		}
		all = append(all, d)
	}
	for _, e := range editions {
		all = append(all, Redone{Review: e.Review, Edition: e.Edition, Definitions: e.DefinitionsVersion, old: e})
	}
	slices.SortStableFunc(all, func(a, b Redone) int { return strings.Compare(a.Review, b.Review) })
	if all, err = asked(all, o.Reviews); err != nil {
		return nil, err
	}
	for from := 0; from < len(all); {
		to := from + 1
		for to < len(all) && all[to].Review == all[from].Review {
			to++
		}
		if err := recomputeReview(ctx, a, all[from:to], o, func(i int) {
			if o.Progress != nil {
				o.Progress(from+i+1, len(all), all[from+i].Edition)
			}
		}); err != nil {
			return nil, err
		}
		from = to
	}
	return all, nil
}

// asked keeps the editions of the reviews named.
func asked(all []Redone, reviews []string) ([]Redone, error) {
	for _, name := range reviews {
		if !slices.ContainsFunc(all, func(d Redone) bool { return d.Review == name }) {
			return nil, fmt.Errorf("%w: the archive has none named %q", ErrNoReview, name)
		}
	}
	return slices.DeleteFunc(all, func(d Redone) bool { return len(reviews) > 0 && !slices.Contains(reviews, d.Review) }), nil
}

// recomputeReview works the editions of one review out, and publishes if nothing stands against any.
func recomputeReview(ctx context.Context, a *archive.Archive, all []Redone, o RecomputeOptions, done func(i int)) error {
	damaged := false
	for i := range all {
		d := &all[i]
		if err := d.work(ctx, a, all[i+1:], o); err != nil {
			return err
		}
		damaged = damaged || d.Outcome == Refused
		done(i)
	}
	for i := range all {
		d := &all[i]
		switch {
		case d.Outcome != Republished:
		case damaged:
			d.Outcome, d.Why = HeldBack, "another edition of the review is damaged"
		default:
			if err := d.publish(ctx, a, o); err != nil {
				return err
			}
		}
		d.made = nil // a review holds its passes
	}
	return nil
}

// work finds out what comes of one edition. later are those of its review that are newer.
func (d *Redone) work(ctx context.Context, a *archive.Archive, later []Redone, o RecomputeOptions) error {
	switch v := d.Definitions; {
	case d.Outcome != "":
		return nil
	case v == compute.DefinitionsVersion:
		d.Outcome = Current
		return nil
	case v > compute.DefinitionsVersion:
		d.Outcome, d.Why = Later, fmt.Sprintf("it follows version %d of the definitions, this release version %d", v, compute.DefinitionsVersion)
		return nil
	}
	if coveredBy(d.old, later) {
		d.Outcome = Covered
		return nil
	}
	err := d.old.Check()
	source, _ := d.old.Source()
	if err == nil {
		d.made, err = workUnits(ctx, a, d.old, source, o.Workers)
	}
	if err == nil {
		tolerance := float64(sameMachine)
		if d.old.GOARCH != runtime.GOARCH {
			tolerance = otherMachine
		}
		d.Changes, d.Values, err = d.old.Changes(d.made.tables(), tolerance)
	}
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		d.Outcome, d.Why, d.made = Refused, err.Error(), nil
	case len(d.Changes) == 0:
		d.Outcome = Unchanged
	default:
		d.Outcome = Republished
	}
	return nil
}

// coveredBy reports whether one of some editions has all passes of another. One that cannot be read has none.
func coveredBy(e archive.Edition, later []Redone) bool {
	mine := e.Passes()
	return len(mine) > 0 && slices.ContainsFunc(later, func(d Redone) bool {
		theirs := map[string]bool{}
		for _, p := range d.old.Passes() {
			theirs[p.RunID] = true
		}
		return !slices.ContainsFunc(mine, func(p archive.Passed) bool { return !theirs[p.RunID] })
	})
}

// publish makes the new edition: tables and words of its own, plan and ledger as the old one has them, and references to its frames and samples.
func (d *Redone) publish(ctx context.Context, a *archive.Archive, o RecomputeOptions) (err error) {
	e, r := d.old, d.made
	s, err := a.Begin(e.Review)
	if err != nil {
		return fmt.Errorf("%w: no edition can be begun: %w", ErrDisk, err)
	}
	defer func() { err = errors.Join(err, s.Abandon()) }()
	if err := s.Tables(r.tables()); err != nil {
		return disk(ctx, err)
	}
	for _, f := range e.Files {
		if !strings.HasPrefix(f.Path, "plan/") && f.Path != archive.ElsewhereName {
			continue
		}
		text, err := e.File(f.Path)
		if err == nil {
			err = s.File(f.Path, text)
		}
		if err != nil {
			return disk(ctx, err)
		}
	}
	words, err := r.words(Options{Workers: o.Workers, Tool: o.Tool, Now: o.Now}).JSON()
	if err != nil {
		return err
	}
	if err := errors.Join(s.File(archive.WordsName, words), s.Refer(e, e.Measured()...)); err != nil {
		return disk(ctx, err)
	}
	for _, raw := range e.Raw {
		if r.soaked(raw.SHA256) {
			if err := s.RawThere(raw); err != nil {
				return disk(ctx, err)
			}
		}
	}
	if d.New, err = r.identity(); err != nil {
		return err
	}
	edition, at := e.Source()
	_, err = s.Publish(ctx, d.New, archive.Origin{ToolVersion: o.Tool, DefinitionsVersion: compute.DefinitionsVersion, PublishedAt: o.Now,
		RecomputedFrom: &archive.Recomputed{Edition: edition, PublishedAt: at}})
	if err != nil {
		return disk(ctx, err)
	}
	d.Folder = a.EditionDir(e.Review, d.New)
	return nil
}

// soaked reports whether a raw file is a soak's, by its hash: those are read again, where captures of passes are not.
func (r *Review) soaked(sum string) bool {
	return slices.ContainsFunc(r.Soaks, func(s Soak) bool {
		return slices.ContainsFunc(s.Files, func(f SoakFile) bool { return f.There && f.Err == nil && hex.EncodeToString(f.SHA256[:]) == sum })
	})
}
