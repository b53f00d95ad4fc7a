package review

import (
	"bytes"
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"testing/fstest"

	"golang.org/x/sync/errgroup"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/match"
)

// held is all that an edition holds of which its tables are worked out again but frames and samples, read into memory.
type held struct {
	edition archive.Edition
	files   planFiles
	plan    []plan.Source
	logs    map[string][]byte // of the bench, by path
	ledger  fstest.MapFS
	spreads map[string]Elsewhere
	runs    map[string]*archive.RunRow // by the path of the capture
}

// hold reads an edition. Errors are archive.ErrDamaged, errAgain, or the disk's.
func hold(e archive.Edition) (*held, error) {
	h := &held{edition: e, logs: map[string][]byte{}, ledger: fstest.MapFS{}, runs: map[string]*archive.RunRow{}}
	var err error
	if h.files, err = filesOf(e); err != nil {
		return nil, err
	}
	if h.plan, err = sourcesOf(e, h.files.Plan); err != nil {
		return nil, err
	}
	for _, l := range h.files.Logs {
		if h.logs[path.Clean(l.Path)], err = e.File(l.Name); err != nil {
			return nil, err
		}
	}
	for _, f := range e.Files {
		if name, ok := strings.CutPrefix(f.Path, "plan/ledger/"); ok {
			text, err := e.File(f.Path)
			if err != nil {
				return nil, err
			}
			h.ledger[name] = &fstest.MapFile{Data: text}
		}
	}
	rows, err := archive.ReadTable[archive.RunRow](e, "runs.parquet")
	if err != nil {
		return nil, err
	}
	reused, err := readReused(e)
	if err != nil {
		return nil, err
	}
	for i := range rows {
		if !reused.has(rows[i].RunID) { // else its capture lay at another bench
			h.runs[rows[i].SourcePath] = &rows[i]
		}
	}
	h.spreads, err = spreadsOf(e)
	return h, err
}

// filesOf reads what an edition says of its own files.
func filesOf(e archive.Edition) (files planFiles, err error) {
	text, err := e.File(planFilesName)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return files, fmt.Errorf("%w: the release that wrote it (%s) did not note which raw file lay where", errAgain, e.ToolVersion)
	case err != nil:
		return files, fmt.Errorf("%w: %w", ErrDisk, err)
	}
	if err := json.Unmarshal(text, &files); err != nil {
		return files, fmt.Errorf("%w: %s: %w", errAgain, planFilesName, err)
	}
	return files, nil
}

// sourcesOf reads files of an edition's plan, in the order given.
func sourcesOf(e archive.Edition, names []string) (out []plan.Source, err error) {
	for _, name := range names {
		text, err := e.File(name)
		if errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("%w: %s says that it was read from %s, which it does not have", errAgain, planFilesName, name)
		}
		if err != nil {
			return nil, err
		}
		out = append(out, plan.Source{Path: path.Base(name), Bytes: text})
	}
	return out, nil
}

// layOut reads the plan and says which file was which pass, as it was at the bench.
func (h *held) layOut(ctx context.Context) (*Review, []match.File, error) {
	p, findings := plan.Read(h.plan, "", h.edition.Published)
	r := &Review{Plan: p, Findings: findings, planFindings: len(findings)}
	if findings.HasErrors() {
		return nil, nil, fmt.Errorf("%w: its plan has mistakes by this release: %w", errAgain, firstOf(r))
	}
	r.archived = archived{looked: true, sorted: true, given: h.spreads}
	found, findings, err := match.Among(ctx, p, h.folder())
	if err != nil {
		return nil, nil, err
	}
	r.Findings = append(r.Findings, findings...)
	return r, r.find(found), nil
}

// folder is the captures' folder as it was, without what the captures held.
func (h *held) folder() fstest.MapFS {
	files := fstest.MapFS{}
	for _, c := range h.files.Captures {
		files[path.Clean(c.Path)] = &fstest.MapFile{}
	}
	for _, name := range h.files.Unusable {
		files[path.Clean(name)] = &fstest.MapFile{}
	}
	for name, text := range h.logs {
		files[name] = &fstest.MapFile{Data: text}
	}
	return files
}

// recorded is what is on record of one file without its figures; Err is set where it could not be read.
func (h *held) recorded(f match.File) (recorded, error) {
	p := recorded{Pass: Pass{Key: f.Key, Repeat: f.Repeat, File: f}, row: h.runs[f.Path]}
	if slices.Contains(h.files.Unusable, f.Path) {
		p.Status, p.Err = Unusable, errUnusable
		return p, nil
	}
	var ok bool
	if p.SHA256, ok = h.sum(f.Path); !ok || p.row == nil || p.row.RunID != runID(p.Pass) {
		return p, fmt.Errorf("%w: runs.parquet and %s do not say the same of %s", archive.ErrDamaged, planFilesName, f.Path)
	}
	p.Bytes = p.row.SourceBytes
	if p.row.BadLines != nil {
		p.BadLines = int(*p.row.BadLines)
	}
	if p.row.Flags != nil {
		p.FramesLost = slices.Contains(strings.Fields(*p.row.Flags), string(kindFramesLost))
	}
	for _, b := range f.Beside {
		s := SensorFile{Path: b.Path, Why: b.Why}
		if b.Path != "" {
			s.There = true
			if s.SHA256, ok = h.sum(b.Path); !ok {
				s.Err, s.Why = errUnusable, b.Path+" cannot be used"
			}
		}
		p.Sensors.Files = append(p.Sensors.Files, s)
	}
	return p, nil
}

var errUnusable = errors.New("it could not be read when the edition was made, and is not archived")

// sum is the hash of a file of the bench that is archived.
func (h *held) sum(name string) (sum [32]byte, ok bool) {
	for _, c := range h.files.Captures {
		if c.Path == name {
			n, err := hex.Decode(sum[:], []byte(c.SHA256))
			return sum, err == nil && n == len(sum)
		}
	}
	return sum, false
}

// workUnits works an edition out again from its frames: the first unit for each card, several at a time, then the second. All that is read is read
// here. Captures are not needed, but for the logs of soaks and the frames drawn in them. framesFrom is the edition that its rows will name as the
// one that holds their frames, "" for itself. The Review has tables and identity.
func workUnits(ctx context.Context, from *archive.Archive, e archive.Edition, framesFrom string, workers int) (*Review, error) {
	h, err := hold(e)
	if err != nil {
		return nil, err
	}
	r, files, err := h.layOut(ctx)
	if err != nil {
		return nil, err
	}
	r.framesFrom = framesFrom
	if r.lent, err = lentTo(e, from); err != nil {
		return nil, err
	}
	if err := r.readLent(true); err != nil {
		return nil, err
	}
	passes, err := h.figures(ctx, r.Plan, files, workers)
	if err != nil {
		return nil, err
	}
	logs, err := h.soakLogs(from, r.Plan)
	if err != nil {
		return nil, err
	}
	return r, editionWork{review: r, passes: passes, ledger: h.ledger, logs: logs, workers: workers}.work(ctx)
}

// figures carries out the first unit for every card.
func (h *held) figures(ctx context.Context, p *plan.Plan, files []match.File, workers int) ([]Pass, error) {
	passes, at, readable := make([]Pass, len(files)), map[string]int{}, 0
	var cards []string
	byCard := map[string][]recorded{}
	for i, f := range files {
		x, err := h.recorded(f)
		if err != nil {
			return nil, err
		}
		passes[i], at[f.Path] = x.Pass, i
		if x.Err != nil {
			continue
		}
		readable++
		if byCard[f.Key.Card] == nil {
			cards = append(cards, f.Key.Card)
		}
		byCard[f.Key.Card] = append(byCard[f.Key.Card], x)
	}
	if readable != len(h.runs) {
		return nil, fmt.Errorf("%w: by its plan this release finds %d of its %d passes", errAgain, readable, len(h.runs))
	}
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(several(workers))
	for _, card := range cards {
		g.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			w := framesWork{plan: p, card: card, passes: byCard[card]}
			var err error
			if w.frames, err = h.edition.File("frames-" + card + ".parquet"); err != nil {
				return err
			}
			if w.sensors, err = h.edition.File("sensors-" + card + ".parquet"); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return err
			}
			done, err := w.work()
			for _, x := range done {
				passes[at[x.File.Path]] = x // each its own
			}
			if err == nil && len(done) != len(byCard[card]) {
				err = fmt.Errorf("%w: frames of %s: %d of %d passes are there", archive.ErrDamaged, card, len(done), len(byCard[card]))
			}
			return err
		})
	}
	return passes, g.Wait()
}

// soakLogs unpacks the logs of soaks, and the frames drawn in them.
func (h *held) soakLogs(from *archive.Archive, p *plan.Plan) (fstest.MapFS, error) {
	logs := fstest.MapFS{}
	for _, l := range p.SoakLogs() {
		if slices.Contains(h.files.Unusable, l.Path) {
			logs[l.Path] = &fstest.MapFile{}
		}
		sum, ok := h.sum(l.Path)
		if !ok {
			continue // it was not there
		}
		i := slices.IndexFunc(h.edition.Raw, func(r archive.RawEntry) bool { return r.SHA256 == hex.EncodeToString(sum[:]) })
		if i < 0 {
			return nil, fmt.Errorf("%w: the edition rests on %s, which is none of its raw files", errAgain, l.Path)
		}
		var text bytes.Buffer
		if err := from.Unpack(h.edition.Raw[i], &text); err != nil {
			return nil, err
		}
		logs[l.Path] = &fstest.MapFile{Data: text.Bytes()}
	}
	return logs, nil
}
