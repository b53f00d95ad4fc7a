package report

import (
	"cmp"
	"slices"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/chart"
)

// cellPass is the pass of a cell that pictures of frames are of: the one whose mean is the middle one.
type cellPass struct {
	archive.RunRow
	frames  archive.KeptRun
	seconds []chart.Figure // percent against the median of all passes of the cell; none where it has no other
}

// startS is the second of the capture at which the first kept frame starts.
func (p cellPass) startS() float64 { return float64(p.frames.StartNS) / 1e9 }

// ms are the frame times as pictures take them.
func (p cellPass) ms() []float64 {
	out := make([]float64, len(p.frames.NS))
	for i, ns := range p.frames.NS {
		out[i] = float64(ns) / 1e6
	}
	return out
}

// cellPasses are the used passes of a cell by their mean frame rate, the slowest first, and which of them is shown: of two in the middle the slower.
func (s Source) cellPasses(k Key) (passes []archive.RunRow, middle int) {
	for _, r := range s.Tables.Runs {
		if r.Card == k.Card && r.Mode == k.Mode.Mode && r.Game == k.Game && r.Variant == k.Variant && r.Resolution == k.Resolution && r.Status == "used" && r.MeanFPS != nil {
			passes = append(passes, r)
		}
	}
	slices.SortStableFunc(passes, func(a, b archive.RunRow) int { return cmp.Compare(*a.MeanFPS, *b.MeanFPS) })
	return passes, (len(passes) - 1) / 2
}

// withPasses gives the source with the frames of every cell's pass that is shown, once: all of a large review's would be hundreds of millions. None
// are there where the source keeps no frames.
func (s Source) withPasses() (Source, error) {
	if s.Frames == nil || s.passes != nil {
		return s, nil
	}
	cells, asked := map[string][]Key{}, map[string][]string{} // by card
	for _, m := range s.Words.Modes {
		for _, g := range s.Words.Games {
			for _, size := range s.Words.Resolutions {
				k := Key{Mode: m.Mode, Game: g.Game, Variant: g.Variant, Resolution: size.Name}
				passes, _ := s.cellPasses(k)
				for _, p := range passes {
					asked[m.Card] = append(asked[m.Card], p.RunID)
				}
				if len(passes) > 0 {
					cells[m.Card] = append(cells[m.Card], k)
				}
			}
		}
	}
	s.passes = map[Key]cellPass{}
	for card, keys := range cells {
		frames, err := s.Frames(card, asked[card])
		if err != nil {
			return s, err
		}
		for _, k := range keys {
			passes, middle := s.cellPasses(k)
			p := cellPass{RunRow: passes[middle], frames: frames[passes[middle].RunID]}
			rates := make([][]float64, len(passes))
			for i, other := range passes {
				rates[i] = compute.SecondRates(frames[other.RunID].NS)
			}
			for _, v := range compute.SecondsBeside(rates, middle) {
				p.seconds = append(p.seconds, chart.Figure{X: v.X, Known: v.OK})
			}
			s.passes[k] = p
		}
	}
	return s, nil
}

// passesShown are the passes shown of a game, variant and resolution, in the order of the plan.
func (s Source) passesShown(g GameWords, size SizeWords) (rows []ModeWords, passes []cellPass) {
	for _, m := range s.Words.Modes {
		if p, ok := s.passes[Key{Mode: m.Mode, Game: g.Game, Variant: g.Variant, Resolution: size.Name}]; ok {
			rows, passes = append(rows, m), append(passes, p)
		}
	}
	return rows, passes
}
