package review

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/rs/zerolog"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan"
)

// again is an edition that is worked out again, in a folder of its own. The pipeline is the same that made it: another way to the figures
// would be another thing that may be wrong. Its input is what the edition holds, laid out as it was at the bench, so that no stage
// has to know where its files come from. What was taken from other reviews is as the edition has it, whatever the archive holds today.
type again struct {
	edition archive.Edition
	from    *archive.Archive
	dir     string // temporary
	archive string // where the edition that comes of it is published
	files   planFiles
	spreads map[string]Elsewhere
	lent    map[plan.Key]lent
}

// errAgain says why an edition cannot be worked out again, though all its files are whole.
var errAgain = errors.New("it cannot be worked out again")

// workAgain publishes an edition once more into a temporary archive, and hands it to use. It takes room for the captures and the frames of one
// edition, and leaves nothing behind.
func workAgain(ctx context.Context, from *archive.Archive, e archive.Edition, o VerifyOptions, use func(archive.Edition) error) (err error) {
	dir, err := os.MkdirTemp("", "rigslate-verify-")
	if err != nil {
		return fmt.Errorf("%w: make a temporary folder: %w", ErrDisk, err)
	}
	defer func() {
		if rerr := os.RemoveAll(dir); err == nil && rerr != nil {
			err = fmt.Errorf("%w: remove a temporary folder: %w", ErrDisk, rerr)
		}
	}()
	a := &again{edition: e, from: from, dir: dir, archive: filepath.Join(dir, "archive")}
	plans, err := a.lay(ctx)
	if err != nil {
		return err
	}
	r, err := Do(ctx, Options{Plans: plans, Captures: filepath.Join(dir, "captures"), Now: e.Published, Workers: o.Workers, Keep: true, Partial: true,
		Tool: e.ToolVersion, Log: zerolog.Nop(), Progress: o.Progress, again: a})
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case r == nil || r.Kept.Folder == "":
		return fmt.Errorf("%w: %w", errAgain, errors.Join(err, firstOf(r)))
	}
	made, err := archive.ReadManifest(r.Kept.Folder)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrDisk, err)
	}
	return use(archive.Edition{Manifest: made, Dir: r.Kept.Folder, Published: e.Published})
}

// firstOf is the first thing that was found against a plan.
func firstOf(r *Review) error {
	if r == nil {
		return nil
	}
	for _, f := range r.Findings.Tidy() {
		return fmt.Errorf("%s: %s", f.Summary, f.Detail)
	}
	return nil
}

// lay puts the plan, the ledger, the bench logs and the captures of the edition where the pipeline looks for them, and returns the plan's files
// in the order in which they were read.
func (a *again) lay(ctx context.Context) (plans []string, err error) {
	captures := filepath.Join(a.dir, "captures")
	for _, d := range []string{filepath.Join(a.dir, "plan", "ledger"), captures} {
		if err := os.MkdirAll(d, 0o777); err != nil {
			return nil, fmt.Errorf("%w: %w", ErrDisk, err)
		}
	}
	if err := a.know(); err != nil {
		return nil, err
	}
	if a.lent, err = lentTo(a.edition, a.from); err != nil {
		return nil, err
	}
	for _, f := range a.edition.Files {
		if slices.Contains(a.files.Plan, f.Path) || path.Dir(f.Path) == "plan/ledger" {
			if err := a.copy(f.Path, filepath.Join(a.dir, filepath.FromSlash(f.Path))); err != nil {
				return nil, err
			}
		}
	}
	for _, name := range a.files.Plan {
		plans = append(plans, filepath.Join(a.dir, filepath.FromSlash(name)))
	}
	if err := a.layFonts(); err != nil {
		return nil, err
	}
	root, err := os.OpenRoot(captures) // what an edition says of paths leads nowhere else
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrDisk, err)
	}
	defer root.Close()
	return plans, a.layCaptures(ctx, root)
}

// layFonts puts the fonts of the look where the plan names them. An edition that was passed on without them does without.
func (a *again) layFonts() error {
	root, err := os.OpenRoot(filepath.Join(a.dir, "plan"))
	if err != nil {
		return fmt.Errorf("%w: %w", ErrDisk, err)
	}
	defer root.Close()
	for _, f := range a.files.Fonts {
		text, err := a.edition.File(f.Name)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return fmt.Errorf("%w: %w", ErrDisk, err)
		}
		if err := lay(root, f.Path, func(to *os.File) error { _, err := to.Write(text); return err }); err != nil {
			return err
		}
	}
	return nil
}

func (a *again) layCaptures(ctx context.Context, root *os.Root) error {
	raw := map[string]archive.RawEntry{}
	for _, r := range a.edition.Raw {
		raw[r.SHA256] = r
	}
	for _, c := range a.files.Captures {
		if err := ctx.Err(); err != nil {
			return err
		}
		entry, ok := raw[c.SHA256]
		if !ok {
			return fmt.Errorf("%w: the edition rests on %s, which is none of its raw files", errAgain, c.Path)
		}
		if err := lay(root, c.Path, func(f *os.File) error { return a.from.Unpack(entry, f) }); err != nil {
			return err
		}
	}
	for _, name := range a.files.Unusable { // it is not archived; one without content cannot be used either
		if err := lay(root, name, func(*os.File) error { return nil }); err != nil {
			return err
		}
	}
	for _, l := range a.files.Logs {
		text, err := a.edition.File(l.Name)
		if err != nil {
			return fmt.Errorf("%w: %w", ErrDisk, err)
		}
		if err := lay(root, l.Path, func(f *os.File) error { _, err := f.Write(text); return err }); err != nil {
			return err
		}
	}
	return nil
}

// lay writes a file below root.
func lay(root *os.Root, name string, write func(*os.File) error) (err error) {
	local := filepath.FromSlash(name)
	if !filepath.IsLocal(local) {
		return fmt.Errorf("%w: it rests on %q, which lies in no folder of captures", errAgain, name)
	}
	if err = root.MkdirAll(filepath.Dir(local), 0o777); err == nil {
		var f *os.File
		if f, err = root.Create(local); err == nil {
			err = errors.Join(write(f), f.Close())
		}
	}
	if err != nil {
		return fmt.Errorf("%w: laying out %s to work an edition out again: %w", ErrDisk, name, err)
	}
	return nil
}

func (a *again) copy(name, to string) error {
	text, err := a.edition.File(name)
	if err == nil {
		err = os.WriteFile(to, text, 0o666)
	}
	if err != nil {
		return fmt.Errorf("%w: %w", ErrDisk, err)
	}
	return nil
}

// know reads what the edition says of its files and of what was taken from elsewhere.
func (a *again) know() (err error) {
	if a.files, err = filesOf(a.edition); err == nil {
		a.spreads, err = spreadsOf(a.edition)
	}
	return err
}

// spreadsOf reads the session spreads that an edition took from other reviews. They were rounded to nine digits before they were used, so
// that what the file shows leads back to the very number.
func spreadsOf(e archive.Edition) (map[string]Elsewhere, error) {
	out := map[string]Elsewhere{}
	text, err := e.File(archive.ElsewhereName)
	if errors.Is(err, fs.ErrNotExist) {
		return out, nil
	}
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrDisk, err)
	}
	var said struct {
		Spreads []struct {
			Metric   string        `json:"metric"`
			Spread   float64       `json:"session_spread"`
			DF       float64       `json:"df"`
			Editions []EditionName `json:"editions"`
		} `json:"session_spread"`
	}
	if err := json.Unmarshal(text, &said); err != nil {
		return nil, fmt.Errorf("%w: %s: %w", errAgain, archive.ElsewhereName, err)
	}
	for _, s := range said.Spreads {
		u := s.Spread
		if m, ok := compute.MetricByName(s.Metric); ok && m.Scale == compute.Ratio {
			u = math.Log1p(u / 100)
		}
		out[s.Metric] = Elsewhere{Metric: s.Metric, Editions: s.Editions,
			Spread: compute.SessionSpread{U: nineDigits(u), DF: s.DF, Source: fromArchive}}
	}
	return out, nil
}

// give hands the review what is not to be looked up anew; nothing where no edition is worked out again.
func (a *again) give(r *Review) {
	if a != nil {
		r.archived = archived{looked: true, sorted: true, given: a.spreads}
	}
}

// sameMachine is the tolerance between two runs of one architecture, and otherMachine that between two architectures.
const (
	sameMachine  = 0
	otherMachine = 1e-12
)

func isFrames(file string) bool { return strings.HasPrefix(file, "frames-") }

func anyFile(string) bool { return true }
