package review

import (
	"encoding/hex"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
)

// tables lays the review out as the archive's rows, in plan order.
func (r *Review) tables() (t archive.Tables) {
	for _, p := range r.Passes {
		if p.Err == nil {
			t.Runs = append(t.Runs, r.runRow(p))
		}
	}
	for _, c := range r.Cells {
		t.Cells = append(t.Cells, cellRows(c)...)
	}
	for _, d := range r.Comparisons {
		t.Comparisons = append(t.Comparisons, comparisonRow(d))
	}
	for _, s := range r.Summaries {
		t.Summaries = append(t.Summaries, summaryRow(s))
	}
	for _, c := range r.Claims {
		t.Claims = append(t.Claims, claimRow(c))
	}
	for _, f := range r.Bench {
		t.Readings = append(t.Readings, benchRow(f))
	}
	for _, d := range r.BenchDiffs {
		t.Readings = append(t.Readings, benchDiffRow(d))
	}
	return t
}

// some gives a pointer for an OPTIONAL column, nil for the zero value that stands for "not stated".
func some[T comparable](v T) *T {
	var none T
	if v == none {
		return nil
	}
	return &v
}

// present gives a pointer whatever the value.
func present[T any](v T) *T { return &v }

func figure(v compute.Value) *float64 {
	if !v.OK {
		return nil
	}
	return &v.X
}

// circumstances are what a row says of a pass besides what its file gave.
func (r *Review) circumstances(p Pass) archive.RunRow {
	card, _ := r.Plan.Card(p.Key.Card)
	game, _ := r.Plan.Game(p.Key.Game)
	variant, _ := game.Variant(p.Key.Variant)
	size, _ := r.Plan.Resolution(p.Key.Resolution)
	row := archive.RunRow{
		Card: p.Key.Card, Mode: p.Key.Mode, Game: p.Key.Game, Variant: p.Key.Variant, Resolution: p.Key.Resolution,
		Width: some(int32(size.Width)), Height: some(int32(size.Height)),
		Repeat: int32(p.Repeat), Launch: some(p.Facts.Launch), Session: some(p.Facts.Session),
		Rig: some(r.Plan.Review.Rig), Driver: some(p.Facts.Driver), Firmware: some(p.Facts.Firmware), Sample: some(card.Sample.Origin),
		Build: some(p.Facts.Build), Preset: some(variant.Setting("preset")), API: some(variant.Setting("api")),
		Scene: some(game.Scene), Drive: some(string(game.Drive)),
		WarmupS: present(game.Keep.Warmup.Seconds()), MeasuredAt: some(p.File.Files.MeasuredAt),
	}
	if !game.Keep.All {
		row.LengthS = present(game.Keep.Length.Seconds())
	}
	return row
}

func (r *Review) runRow(p Pass) archive.RunRow {
	var row archive.RunRow
	if p.Reused != nil {
		row = p.Reused.row()
	} else {
		row = r.circumstances(p)
		row.FramesEdition = some(r.framesFrom)
		row.SourcePath, row.SourceSHA256, row.SourceBytes = p.File.Path, hex.EncodeToString(p.SHA256[:]), p.Bytes
	}
	row.RunID = runID(p)
	row.Status, row.VoidReason = string(p.Status), some(p.StatusReason)
	row.Frames, row.FramesCut, row.BadLines = present(int32(p.Frames-p.Cut)), present(int32(p.Cut)), present(int32(p.BadLines))
	row.Flags = some(strings.Join(p.Words(), " "))
	if p.Figures.DurationNS > 0 {
		row.DurationS = present(float64(p.Figures.DurationNS) / 1e9)
	}
	if log := p.File.Row; log != nil {
		row.Outcome, row.AmbientC = &log.Outcome, log.AmbientC
	}
	switch {
	case !started(p.File).IsZero():
		row.StartedAt = present(started(p.File).UnixMicro())
	case !p.File.Time.IsZero():
		row.StartedAt = present(p.File.Time.UnixMicro())
	}
	if x, ok := p.Sensors.of(compute.OfPower); ok {
		row.PowerMeasuredAt = some(x.At)
	}
	if w := p.Sensors.Kept; w.ToNS > w.FromNS {
		row.SensedFromNS, row.SensedToNS = &w.FromNS, &w.ToNS
	}
	row.DriftPct = figure(p.DriftPct)
	if d := p.Disturbed; d != nil {
		row.DisturbedFromS, row.DisturbedToS = &d.FromS, &d.ToS
	}
	for _, m := range compute.Metrics() {
		if v := m.Of(p.Figures); v.OK {
			archive.SetFigure(&row, m.Name, v.X)
		}
	}
	return row
}

// Words are the words that travel with a pass: what is assumed of it, and what was found against it.
func (p Pass) Words() (out []string) {
	if p.Facts.Launch == "" {
		out = append(out, string(compute.FlagLaunchAssumed))
	}
	if p.Facts.Session == "" {
		out = append(out, string(flagSessionAssumed))
	}
	for _, w := range slices.Concat(p.Doubts, p.Stale) {
		if !slices.Contains(out, string(w.Kind)) {
			out = append(out, string(w.Kind))
		}
	}
	if k := p.Figures.Cap.Kind; k != compute.NoCap {
		out = append(out, string(k))
	}
	for _, low := range slices.Concat(p.Figures.Low1[:], p.Figures.Low01[:]) {
		if low.Thin() {
			out = append(out, string(compute.FlagThin))
			break
		}
	}
	return out
}

func cellRows(c Cell) (out []archive.CellRow) {
	k := c.Cell.Key
	for _, m := range compute.Metrics() {
		if m.Scale == compute.None {
			continue
		}
		row := archive.CellRow{
			Card: k.Card, Mode: k.Mode, Game: k.Game, Variant: k.Variant, Resolution: k.Resolution,
			Metric: m.Name, Unit: m.MeanUnit(), Scale: m.Scale.String(), State: c.State.String(),
		}
		flags := c.Words()
		if s, ok := c.Stat(m.Name); ok {
			row.N, row.Launches, row.Sessions = int32(s.N), int32(s.Launches), int32(s.Sessions)
			row.Mean, row.SD = figure(s.Mean), figure(s.SD)
			row.CILow, row.CIHigh, row.OwnCILow, row.OwnCIHigh = figure(s.Low), figure(s.High), figure(s.OwnLow), figure(s.OwnHigh)
			row.DF, row.SpreadPct = figure(s.DF), figure(s.SpreadPct)
			row.Method = some(s.Method)
			flags = append(flags, words(s.Flags)...)
		}
		row.Flags = some(strings.Join(unique(flags), " "))
		out = append(out, row)
	}
	return out
}

// Words are a cell's flags and, in a word each, what stands against it.
func (c Cell) Words() (out []string) {
	for _, f := range c.Flags {
		out = append(out, string(f.Word))
	}
	for _, w := range c.Why {
		if string(w.Kind) != c.State.String() {
			out = append(out, string(w.Kind))
		}
	}
	return out
}

func words(flags []compute.Flag) (out []string) {
	for _, f := range flags {
		out = append(out, string(f))
	}
	return out
}

func unique(words []string) (out []string) {
	for _, w := range words {
		if !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

func comparisonRow(d Comparison) archive.ComparisonRow {
	row := archive.ComparisonRow{
		Game: d.Of.Game, Variant: d.Of.Variant, Resolution: d.Of.Resolution, Metric: d.Metric.Name, Unit: d.Metric.MeanUnit(),
		Card: d.Of.Card, Mode: d.Of.Mode, BaseCard: d.Base.Card, BaseMode: d.Base.Mode,
		N: int32(d.N), BaseN: int32(d.BaseN),
		Difference: figure(d.Difference), Ratio: figure(d.Ratio), Percent: figure(d.Percent),
		CILow: figure(d.Low), CIHigh: figure(d.High), OwnCILow: figure(d.OwnLow), OwnCIHigh: figure(d.OwnHigh),
		DF: figure(d.DF), P: figure(d.P), SessionSpread: sessionSpread(d.Metric, d.SessionSpread), SessionSource: some(d.SessionSpread.Source),
		Flags: some(strings.Join(words(d.Flags), " ")),
	}
	if d.Low.OK || d.OwnLow.OK || d.P.OK {
		row.Looks = present(int32(d.Looks))
	}
	if d.Verdict != "" && d.Holds { // one read off passes that do not hold would stand for ten years
		row.Verdict, row.Firm = present(string(d.Verdict)), &d.Firm
	}
	if d.Needed.OK {
		row.RepeatsNeeded = present(int32(d.Needed.K))
	}
	return row
}

// sessionSpread is null where none entered: counts are compared exactly.
func sessionSpread(m compute.Metric, u compute.SessionSpread) *float64 {
	if u.Source == "" {
		return nil
	}
	return present(u.Shown(m))
}
