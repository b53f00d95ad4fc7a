// Package madeup invents archives of any size for tests and benchmarks of looking back: reviews a month apart, each of a reference card and a few
// others, of which some come again. Figures are drawn from a seed, and what they should show is known beforehand. Only tests import it.
package madeup

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"

	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
)

// Review is one review of an invented archive.
type Review struct {
	Name    string
	At      time.Time
	Rig     string
	OS      string
	Driver  string
	Build   map[string]string  // of games, else "1.0"
	Cards   map[string]float64 // fps of the card in a game of difficulty 1
	Moved   map[string]float64 // factor by game on all cards, else 1
	Repeats int                // passes of each cell, a launch each
	Noise   float64            // sd of ln fps between launches
	Games   []string
	Sizes   []string // "uhd"
	Passes  string   // seed of the passes: reviews with the same one have the same
	Frames  int      // of each pass, 0 for an edition without frames
}

const figures = 40 // beyond which games are no harder

// Publish adds a review to the archive in dir as an edition, and returns its id.
func (r Review) Publish(ctx context.Context, dir string) (string, error) {
	a, err := archive.Open(dir)
	if err != nil {
		return "", err
	}
	s, err := a.Begin(r.Name)
	if err != nil {
		return "", err
	}
	tables := r.tables()
	if err := r.fill(s, tables); err != nil {
		return "", fmt.Errorf("%w, %w", err, s.Abandon())
	}
	sum := sha256.Sum256(fmt.Appendf(nil, "%+v", r))
	id := "e" + hex.EncodeToString(sum[:])[:15]
	_, err = s.Publish(ctx, id, archive.Origin{ToolVersion: "made up", DefinitionsVersion: compute.DefinitionsVersion, PublishedAt: r.At.AddDate(0, 0, 7)})
	return id, err
}

func (r Review) fill(s *archive.Staging, t archive.Tables) error {
	if r.Frames > 0 {
		if err := r.frames(s, t.Runs); err != nil {
			return err
		}
	}
	if err := s.Tables(t); err != nil {
		return err
	}
	return s.File("plan/plan.json", r.plan())
}

// frames writes a file a card, as reviews have them: how an edition is told to hold a card.
func (r Review) frames(s *archive.Staging, runs []archive.RunRow) error {
	var w *archive.FramesWriter
	card := ""
	for _, run := range runs {
		if run.Card != card {
			if w != nil {
				if err := w.Close(); err != nil {
					return err
				}
			}
			var err error
			if w, err = s.Frames(run.Card, nil); err != nil {
				return err
			}
			card = run.Card
		}
		if err := r.pass(w, run); err != nil {
			return err
		}
	}
	return w.Close()
}

func (r Review) pass(w *archive.FramesWriter, run archive.RunRow) error {
	b := array.NewInt64Builder(memory.DefaultAllocator)
	defer b.Release()
	for range r.Frames {
		b.Append(int64(1e9 / *run.MeanFPS))
	}
	ns := b.NewInt64Array()
	defer ns.Release()
	return w.Write(archive.Run{ID: run.RunID, FrameNS: ns, KeptHi: r.Frames})
}

func (r Review) plan() []byte {
	var games []string
	for _, g := range r.Games {
		games = append(games, fmt.Sprintf(`%q: {"variant": {"plain": {"settings": {"preset": "highest"}}}}`, g))
	}
	return fmt.Appendf(nil, `{"review": {%q: {"rig": %q}}, "rig": {%q: {"fixed": {"cpu": "sixteen cores", "os": %q}}}, "game": {%s}, "statistics": {"quantile": 7}}`+"\n",
		r.Name, r.Rig, r.Rig, r.OS, strings.Join(games, ", "))
}

func some[T any](v T) *T { return &v }

// tables invents the passes and works the cells out of them.
func (r Review) tables() (t archive.Tables) {
	seed := sha256.Sum256([]byte(r.Passes))
	draw := rand.New(rand.NewChaCha8(seed))
	cards := sorted(r.Cards)
	for c, card := range cards {
		for g, game := range r.Games {
			for _, size := range r.Sizes {
				centre := math.Log(r.Cards[card]) - 0.7*float64(g%figures)/figures
				if f := r.Moved[game]; f > 0 {
					centre += math.Log(f)
				}
				var rows []archive.RunRow
				for k := range r.Repeats {
					rows = append(rows, r.row(card, game, size, k, math.Exp(centre+r.Noise*draw.NormFloat64()), r.At.Add(time.Duration(c)*time.Hour)))
				}
				t.Runs = append(t.Runs, rows...)
				t.Cells = append(t.Cells, cellRows(rows)...)
				t.Comparisons = append(t.Comparisons, archive.ComparisonRow{Game: game, Variant: "plain", Resolution: size, Metric: "mean_fps", Unit: "fps",
					Card: card, Mode: "stock", BaseCard: cards[0], BaseMode: "stock", N: int32(r.Repeats), BaseN: int32(r.Repeats),
					SessionSpread: some(0.2), SessionSource: some("plan")})
			}
		}
	}
	return t
}

func sorted(m map[string]float64) (out []string) {
	for name := range m {
		at := 0
		for at < len(out) && out[at] < name {
			at++
		}
		out = append(out[:at], append([]string{name}, out[at:]...)...)
	}
	return out
}

func (r Review) row(card, game, size string, k int, fps float64, at time.Time) archive.RunRow {
	sum := sha256.Sum256(fmt.Appendf(nil, "%s %s %s %s %d", r.Passes, card, game, size, k))
	build := "1.0"
	if b := r.Build[game]; b != "" {
		build = b
	}
	row := archive.RunRow{RunID: hex.EncodeToString(sum[:8]), Card: card, Mode: "stock", Game: game, Variant: "plain", Resolution: size,
		Width: some(int32(3840)), Height: some(int32(2160)), Repeat: int32(k + 1), Launch: some(fmt.Sprintf("l%d", k)), Session: some(card),
		SourcePath: fmt.Sprintf("captures/%s-stock/%s_%s_%d.csv", card, game, size, k+1), SourceSHA256: hex.EncodeToString(sum[:]), SourceBytes: 1000,
		StartedAt: some(at.UnixMicro()), Rig: some(r.Rig), Driver: some(r.Driver), Build: some(build), Preset: some("highest"), Scene: some("harbour"),
		Drive: some("replay"), WarmupS: some(3.0), LengthS: some(30.0), MeasuredAt: some("present"), Status: "used"}
	for _, m := range compute.Metrics() {
		if m.Scale != compute.None {
			archive.SetFigure(&row, m.Name, fps)
		}
	}
	return row
}

// cellRows are a cell's rows in every metric, as reviews have them; those other than of rates stand for their number only.
func cellRows(runs []archive.RunRow) (out []archive.CellRow) {
	for _, m := range compute.Metrics() {
		if m.Scale == compute.None {
			continue
		}
		row := archive.CellRow{Card: runs[0].Card, Mode: runs[0].Mode, Game: runs[0].Game, Variant: runs[0].Variant, Resolution: runs[0].Resolution,
			Metric: m.Name, Unit: m.MeanUnit(), Scale: m.Scale.String(), State: "ready"}
		if m.Scale == compute.Ratio {
			var samples []compute.Sample
			for _, r := range runs {
				samples = append(samples, compute.Sample{Value: compute.Known(*r.MeanFPS), Launch: *r.Launch, Session: *r.Session})
			}
			c := compute.Cell(m, samples)
			row.N, row.Launches, row.Sessions = int32(c.N), int32(c.Launches), int32(c.Sessions)
			row.Mean, row.SD, row.CILow, row.CIHigh = figure(c.Mean), figure(c.SD), figure(c.Low), figure(c.High)
			row.OwnCILow, row.OwnCIHigh, row.DF, row.Method = figure(c.OwnLow), figure(c.OwnHigh), figure(c.DF), some(c.Method)
		}
		out = append(out, row)
	}
	return out
}

func figure(v compute.Value) *float64 {
	if !v.OK {
		return nil
	}
	return &v.X
}
