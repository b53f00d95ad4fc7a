package report

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/chart"
)

// frameCharts are the frame times of each game, variant and resolution: of each card and mode the pass whose mean is the middle one. There are
// none where the source has no frames. Columns is to how many stretches of time each pass is reduced, of which the shortest and the longest
// frame are drawn; 0 is one for each unit of the picture.
func frameCharts(s Source, columns int) (out []named, err error) {
	if s.Frames == nil {
		return nil, nil
	}
	want := map[string][]string{} // by card
	var cells [][]archive.RunRow
	for _, g := range s.Words.Games {
		for _, size := range s.Words.Resolutions {
			var passes []archive.RunRow
			for _, m := range s.Words.Modes {
				if p, ok := s.middle(Key{Mode: m.Mode, Game: g.Game, Variant: g.Variant, Resolution: size.Name}); ok {
					passes = append(passes, p)
					want[p.Card] = append(want[p.Card], p.RunID)
				}
			}
			cells = append(cells, passes)
		}
	}
	frames := map[string][]int64{}
	for card, runs := range want {
		read, err := s.Frames(card, runs)
		if err != nil {
			return nil, err
		}
		for run, ns := range read {
			frames[run] = ns
		}
	}
	for i, g := range s.Words.Games {
		for j, size := range s.Words.Resolutions {
			passes := cells[i*len(s.Words.Resolutions)+j]
			if len(passes) == 0 {
				continue
			}
			c := s.frameTimes(g, size, passes, frames)
			c.Columns = columns
			out = append(out, named{c.Head.Name, func(f chart.Format) chart.Picture { return c.Picture(f, s.Look) }})
		}
	}
	return out, nil
}

// middle is the used pass of a cell whose mean frame rate is the middle one; of two in the middle the slower.
func (s Source) middle(k Key) (row archive.RunRow, ok bool) {
	var passes []archive.RunRow
	for _, r := range s.Tables.Runs {
		if r.Card == k.Card && r.Mode == k.Mode.Mode && r.Game == k.Game && r.Variant == k.Variant && r.Resolution == k.Resolution && r.Status == "used" && r.MeanFPS != nil {
			passes = append(passes, r)
		}
	}
	if len(passes) == 0 {
		return row, false
	}
	slices.SortStableFunc(passes, func(a, b archive.RunRow) int { return cmp.Compare(*a.MeanFPS, *b.MeanFPS) })
	return passes[(len(passes)-1)/2], true
}

func (s Source) frameTimes(g GameWords, size SizeWords, passes []archive.RunRow, frames map[string][]int64) chart.FrameTimes {
	c := chart.FrameTimes{Head: chart.Head{Name: fmt.Sprintf("frames-%s-%s-%s", g.Game, g.Variant, size.Name), Title: g.title() + ": frame times",
		Settings: g.settings(size), Notes: "Of each card and mode the pass whose mean is the middle one is shown."}, Limit: 1000.0 / 60, LimitWords: "a 60 Hz screen"}
	for _, p := range passes {
		lane := chart.Lane{}
		for _, m := range s.Words.Modes {
			if m.Card == p.Card && m.Mode.Mode == p.Mode {
				lane.Row = s.Words.row(m)
			}
		}
		for _, ns := range frames[p.RunID] {
			lane.MS = append(lane.MS, float64(ns)/1e6)
		}
		if p.DisturbedFromS != nil && p.DisturbedToS != nil {
			lane.Note, lane.Doubt = fmt.Sprintf("slow from %.0f to %.0f s", *p.DisturbedFromS, *p.DisturbedToS), true
		}
		c.Lanes = append(c.Lanes, lane)
	}
	return c
}
