package review

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
	"github.com/rigslate/rigslate/plan/match"
)

// Kept says what a run left behind.
type Kept struct {
	Draft  string `json:"draft,omitempty"`  // folder
	Report string `json:"report,omitempty"` // folder

	Changed       []string `json:"report_changed,omitempty"` // files of the report
	Removed       []string `json:"report_removed,omitempty"` // files of an earlier report that gave withheld names away
	UnknownCharts []string `json:"unknown_charts,omitempty"` // names that PNG were asked for by and no chart has
	Edition       string   `json:"edition,omitempty"`        // "" if none was published
	Folder        string   `json:"folder,omitempty"`
	Already       bool     `json:"already_published"` // the edition was there and is the same
}

// keeper archives frames and raw files while they are read, since reading twice costs more than throwing a staged edition away.
// Without anything to keep it does nothing.
type keeper struct {
	fault   error // why no edition could be begun; the draft is written all the same
	archive *archive.Archive
	staging *archive.Staging
	extras  []string
	frames  *archive.FramesWriter
	card    string
	sensors map[string]*archive.SensorsWriter
	sensed  []string // their cards, in order of their first log

	rawStays bool // the captures come from an archive, and need not be copied
}

// openKeeper begins an edition if the review could turn out ready, or is to be published anyway.
func (r *Review) openKeeper(o Options, files []match.File) *keeper {
	k := &keeper{}
	if !o.Keep || !o.Partial && !r.couldBeReady(files) {
		return k
	}
	dir := r.inPlan(r.Plan.Review.Archive)
	if o.again != nil {
		dir, k.rawStays = o.again.archive, true
	}
	a, err := archive.Open(dir)
	if err != nil {
		k.fault = fmt.Errorf("%w: the archive cannot be used: %w", ErrDisk, err)
		return k
	}
	s, err := a.Begin(r.Plan.Review.Name)
	if err != nil {
		k.fault = fmt.Errorf("%w: no edition can be begun: %w", ErrDisk, err)
		return k
	}
	k.archive, k.staging, k.extras = a, s, extraColumns(r.Plan.Files)
	return k
}

// extraColumns is the union of what the blocks carry along, in the order in which the plan first names it.
func extraColumns(fs []plan.Files) (out []string) {
	for _, f := range fs {
		for _, e := range f.Extra {
			if name := extraColumn(e); !slices.Contains(out, name) {
				out = append(out, name)
			}
		}
	}
	return out
}

// extraColumn names an extra in the archive: times are whole nanoseconds, anything else keeps its unit in the name.
func extraColumn(e plan.Extra) string {
	if isTime(e.Column.Unit) {
		return e.Key + "_ns"
	}
	unit := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		case r == '/':
			return '_'
		}
		return -1
	}, strings.ToLower(strings.ReplaceAll(e.Column.Unit, "%", "pct")))
	if unit == "" {
		return e.Key
	}
	return e.Key + "_" + unit
}

// keeps reports whether an edition is being made.
func (k *keeper) keeps() bool { return k != nil && k.staging != nil }

// rawCopy is the copy of one capture file on its way into the archive; nil inside when nothing is kept.
type rawCopy struct{ *archive.RawCopy }

// writer is where the reader copies the file's bytes to; nil where nothing is kept.
func (c rawCopy) writer() io.Writer {
	if c.RawCopy == nil {
		return nil
	}
	return c.RawCopy
}

// keep enters the copy in the edition.
func (c rawCopy) keep(sum [32]byte, bytes int64) error {
	if c.RawCopy == nil {
		return nil
	}
	return c.Keep(sum, bytes)
}

func (c rawCopy) discard() {
	if c.RawCopy != nil {
		c.Discard()
	}
}

// raw begins the copy of a capture file. A file that is Zstandard already is stored as it is.
func (k *keeper) raw(file io.ReaderAt) (rawCopy, error) {
	if !k.keeps() || k.rawStays {
		return rawCopy{}, nil
	}
	var magic [4]byte
	n, err := file.ReadAt(magic[:], 0)
	asIs := n == len(magic) && bytes.Equal(magic[:], []byte{0x28, 0xb5, 0x2f, 0xfd})
	if err != nil && !errors.Is(err, io.EOF) {
		asIs = false // the reader meets the same error and says so
	}
	c, err := k.staging.Raw(asIs)
	if err != nil {
		return rawCopy{}, fmt.Errorf("%w: %w", ErrDisk, err)
	}
	return rawCopy{c}, nil
}

// take archives one capture: its raw file and its frames as one row group. Cells come card by card, so one file is open at a time.
func (k *keeper) take(v *reading, files *plan.Files) error {
	if k.staging == nil {
		return nil
	}
	if v.capture == nil {
		v.discard()
		return nil
	}
	if err := v.raw.keep(v.pass.SHA256, v.pass.Bytes); err != nil {
		return fmt.Errorf("%w: storing %s: %w", ErrDisk, v.pass.File.Path, err)
	}
	for i, f := range v.pass.Sensors.Files {
		if f.Err != nil || !f.There {
			v.beside[i].discard()
		} else if err := v.beside[i].keep(f.SHA256, f.Bytes); err != nil {
			return fmt.Errorf("%w: storing %s: %w", ErrDisk, f.Path, err)
		}
	}
	if err := k.open(v.pass.Key.Card); err != nil {
		return err
	}
	rec := v.capture.Record
	run := archive.Run{ID: runID(v.pass), FrameNS: rec.Column(0).(*array.Int64), KeptLo: v.lo, KeptHi: v.hi, Extras: make([]arrow.Array, len(k.extras))}
	for i, e := range files.Extra {
		run.Extras[slices.Index(k.extras, extraColumn(e))] = rec.Column(i + 1)
	}
	if err := k.frames.Write(run); err != nil {
		return fmt.Errorf("%w: archiving the frames of %s: %w", ErrDisk, v.pass.File.Path, err)
	}
	return nil
}

func runID(p Pass) string { return fmt.Sprintf("%x", p.SHA256[:8]) }

// open goes on to a card's frames file.
func (k *keeper) open(card string) error {
	if k.frames != nil && k.card == card {
		return nil
	}
	if err := k.close(); err != nil {
		return err
	}
	w, err := k.staging.Frames(card, k.extras)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrDisk, err)
	}
	k.frames, k.card = w, card
	return nil
}

func (k *keeper) close() error {
	if k.frames == nil {
		return nil
	}
	w := k.frames
	k.frames = nil
	if err := w.Close(); err != nil {
		return fmt.Errorf("%w: finishing the frames of %s: %w", ErrDisk, k.card, err)
	}
	return nil
}

// abandon removes what was staged and not published.
func (k *keeper) abandon(o Options) {
	if k.staging == nil {
		return
	}
	_, _ = k.close(), k.closeSensors() // what is being thrown away need not be whole
	if err := k.staging.Abandon(); err != nil {
		o.Log.Warn().Err(err).Msg("unfinished work was not removed; the next run sweeps it")
	}
}

// keep writes the draft, and publishes the edition if the review is ready or partial work is asked for.
func (k *keeper) keep(ctx context.Context, r *Review, o Options, root *os.Root) error {
	if !o.Keep {
		return nil
	}
	tables := r.tables()
	var words []byte
	if o.again == nil {
		var err error
		if words, err = r.draft(ctx, o, tables); err != nil {
			return err
		}
	}
	if k.staging == nil || !r.Ready && !o.Partial {
		return k.fault
	}
	if r.refused != "" {
		return fmt.Errorf("%w: nothing is published: %s", ErrInput, r.refused)
	}
	if err := k.sensePasses(r); err != nil {
		return err
	}
	if err := errors.Join(k.close(), k.closeSensors()); err != nil {
		return err
	}
	if err := k.staging.Tables(tables); err != nil {
		return disk(ctx, err)
	}
	if err := k.planFiles(r, root); err != nil {
		return disk(ctx, err)
	}
	if o.again == nil {
		if err := k.staging.File(archive.WordsName, words); err != nil {
			return disk(ctx, err)
		}
	}
	id, err := r.identity()
	if err != nil {
		return err
	}
	result, err := k.staging.Publish(ctx, id, archive.Origin{ToolVersion: o.Tool, DefinitionsVersion: compute.DefinitionsVersion, PublishedAt: o.Now})
	if err != nil {
		return disk(ctx, err)
	}
	for _, name := range k.staging.Repaired() {
		o.Log.Warn().Str("file", name).Msg("a damaged raw file of the archive was stored anew")
	}
	r.Kept.Edition, r.Kept.Folder = id, k.archive.EditionDir(r.Plan.Review.Name, id)
	r.Kept.Already = result == archive.AlreadyThere
	if !r.Kept.Already {
		r.sayClock(o.Now)
	}
	return nil
}

// sayClock warns where what was published now is older, by the clock, than what was published before: whoever looks back takes the newest.
func (r *Review) sayClock(now time.Time) {
	const form = "2006-01-02 15:04 UTC"
	for _, e := range r.newest() {
		if e.Review == r.Plan.Review.Name && e.Published.After(now) {
			r.Findings.Add(finding.Warning, finding.Place{File: e.Dir}, "The clock stands before an edition of this review",
				fmt.Sprintf("That one was published at %s, this one at %s, so history takes that one for the newer.", e.Published.UTC().Format(form), now.UTC().Format(form)),
				"Set the clock, move the folder of the edition whose time is wrong out of the archive, and run again.")
		}
	}
}

// draft writes the draft, and returns what the report says beside the tables.
func (r *Review) draft(ctx context.Context, o Options, tables archive.Tables) (words []byte, err error) {
	r.reportWords = r.words(o)
	if words, err = r.reportWords.JSON(); err != nil {
		return nil, err
	}
	draft := filepath.Join(r.Plan.Dir, "draft")
	d := archive.Draft{Tables: tables, Review: r.Plan.Review.Name, Files: map[string][]byte{archive.WordsName: words}}
	if err := archive.WriteDraft(ctx, draft, d); err != nil {
		return nil, disk(ctx, err)
	}
	r.Kept.Draft = draft
	return words, nil
}

// disk marks a fault of archive or disk, unless the run was interrupted.
func disk(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return fmt.Errorf("%w: %w", ErrDisk, err)
}

// planFiles archives the plan and its bench logs byte for byte, the resolved plan, the ledger entries used, and which editions of
// other reviews were leaned on.
func (k *keeper) planFiles(r *Review, root *os.Root) error {
	names := planNames{"plan/plan.json": true, planFilesName: true, reusedName: true}
	list := r.filesUsed()
	for _, s := range r.Plan.Sources {
		name := names.of(s.Path)
		list.Plan = append(list.Plan, name)
		if err := k.staging.File(name, s.Bytes); err != nil {
			return err
		}
	}
	logs, err := r.benchLogs(root)
	if err != nil {
		return err
	}
	for _, l := range logs {
		name := names.of(l.Path)
		list.Logs = append(list.Logs, keptLog{name, l.Path})
		if err := k.staging.File(name, l.Bytes); err != nil {
			return err
		}
	}
	for _, f := range r.fonts {
		if f.SHA256 == "" {
			continue
		}
		if !slices.ContainsFunc(list.Fonts, func(l keptLog) bool { return l.Name == f.Kept() }) { // one file may be both weights
			if err := k.staging.File(f.Kept(), f.Content); err != nil {
				return err
			}
		}
		list.Fonts = append(list.Fonts, keptLog{f.Kept(), f.File})
	}
	text, err := list.encode()
	if err != nil {
		return err
	}
	if err := k.staging.File(planFilesName, text); err != nil {
		return err
	}
	if err := k.staging.File("plan/plan.json", r.Plan.JSON); err != nil {
		return err
	}
	if len(r.Elsewhere) > 0 {
		text, err := r.elsewhereText()
		if err != nil {
			return err
		}
		if err := k.staging.File(archive.ElsewhereName, text); err != nil {
			return err
		}
	}
	if text, err = r.reusedText(); err != nil {
		return err
	}
	if text != nil {
		if err := k.staging.File(reusedName, text); err != nil {
			return err
		}
	}
	used := r.ledger.Used()
	for name, content := range used {
		if err := k.staging.File("plan/ledger/"+name, content); err != nil {
			return err
		}
	}
	return nil
}

// benchLogs reads the bench logs as they are, each once, for the archive: why a game did not run stands nowhere else.
func (r *Review) benchLogs(root *os.Root) (out []plan.Source, err error) {
	for _, f := range r.Plan.Files {
		if f.Log == "" || slices.ContainsFunc(out, func(s plan.Source) bool { return s.Path == f.Log }) {
			continue
		}
		text, err := root.ReadFile(f.Log)
		if errors.Is(err, fs.ErrNotExist) {
			continue // which is a finding
		}
		if err != nil {
			return nil, fmt.Errorf("reading a bench log again: %w", err)
		}
		out = append(out, plan.Source{Path: f.Log, Bytes: text})
	}
	return out, nil
}
