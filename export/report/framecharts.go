package report

import (
	"fmt"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/export/chart"
)

const ofTheMiddle = "Of each card and mode the pass whose mean is the middle one is shown."

// frameCharts are the frame times of each game, variant and resolution, the cards beside each other. There are none where the source has no frames. Columns
// is to how many stretches of time each pass is reduced, of which the shortest and the longest frame are drawn; 0 is one for each unit of the picture.
func frameCharts(s Source, columns int) (out []named, err error) {
	if s, err = s.withPasses(); err != nil {
		return nil, err
	}
	s.eachShown(func(g GameWords, size SizeWords, rows []ModeWords, passes []cellPass) {
		out = append(out, named{"frames-" + cellsName(g, size), func(f chart.Format) chart.Picture {
			c := s.frameTimes(g, size, rows, passes)
			c.Columns = columns
			return c.Picture(f, s.Look)
		}})
	})
	return out, nil
}

// cellsName is the part of a chart's name that says the game, variant and resolution.
func cellsName(g GameWords, size SizeWords) string {
	return fmt.Sprintf("%s-%s-%s", g.Game, g.Variant, size.Name)
}

// eachShown goes through the games, variants and resolutions of which frames are shown.
func (s Source) eachShown(do func(GameWords, SizeWords, []ModeWords, []cellPass)) {
	for _, g := range s.Words.Games {
		for _, size := range s.Words.Resolutions {
			if rows, passes := s.passesShown(g, size); len(passes) > 0 {
				do(g, size, rows, passes)
			}
		}
	}
}

func (s Source) frameTimes(g GameWords, size SizeWords, rows []ModeWords, passes []cellPass) chart.FrameTimes {
	c := chart.FrameTimes{Head: chart.Head{Name: "frames-" + cellsName(g, size), Title: g.title() + ": frame times", Settings: g.settings(size),
		Notes: s.frameNotes(g, size)},
		Limit: 1000.0 / 60, LimitWords: "a 60 Hz screen"}
	for i, p := range passes {
		c.Lanes = append(c.Lanes, s.lane(rows[i], p))
	}
	return c
}

// without says which cards and modes of a cell that was planned have no frames to show, and why in a word.
func (s Source) without(g GameWords, size SizeWords) string {
	var out []string
	for _, m := range s.Words.Modes {
		k := Key{Mode: m.Mode, Game: g.Game, Variant: g.Variant, Resolution: size.Name}
		i := slices.IndexFunc(s.Words.Cells, func(c CellWords) bool { return c.Key == k })
		if _, shown := s.passes[k]; i < 0 || shown {
			continue
		}
		why := "no frames are kept"
		if c := s.Words.Cells[i]; !holds(c.State) {
			why, _, _ = strings.Cut(c.absent(), ":")
		}
		out = append(out, s.Words.title(m.Mode)+": "+why)
	}
	if len(out) == 0 {
		return ""
	}
	return strings.Join(out, "; ") + ". "
}

func (s Source) lane(m ModeWords, p cellPass) chart.Lane {
	l := chart.Lane{Row: s.Words.row(m), Start: p.startS(), MS: p.ms()}
	if p.DisturbedFromS != nil && p.DisturbedToS != nil {
		l.Note, l.Doubt = fmt.Sprintf("slow from %.0f to %.0f s", *p.DisturbedFromS, *p.DisturbedToS), true
	}
	return l
}

// frameNotes is what stands below both pictures of frame times.
func (s Source) frameNotes(g GameWords, size SizeWords) string {
	return strings.TrimSpace(s.without(g, size) + ofTheMiddle + " " + s.Words.reusedNote(isAt(g, size)))
}

// distributionCharts are how the frame times of the same passes spread.
func distributionCharts(s Source) (out []named) {
	s.eachShown(func(g GameWords, size SizeWords, rows []ModeWords, passes []cellPass) {
		out = append(out, named{"distribution-" + cellsName(g, size), func(f chart.Format) chart.Picture {
			return s.distribution(g, size, rows, passes).Picture(f, s.Look)
		}})
	})
	return out
}

func (s Source) distribution(g GameWords, size SizeWords, rows []ModeWords, passes []cellPass) chart.Distribution {
	c := chart.Distribution{Head: chart.Head{Name: "distribution-" + cellsName(g, size), Title: g.title() + ": how frame times spread", Settings: g.settings(size),
		Notes: s.frameNotes(g, size)}, Marks: []string{"half of the frames are within", "99 %", "99.9 %"}}
	for i, p := range passes {
		d := chart.Distributed{Row: s.Words.row(rows[i]), MS: p.ms()}
		for _, x := range []*float64{p.FrameMSP50, p.FrameMSP99, p.FrameMSP999} {
			d.At = append(d.At, interval(x, nil, nil))
		}
		if p.FrameMSP50 != nil && p.FrameMSP99 != nil {
			d.Note = fmt.Sprintf("half within %.1f ms · 99 %% within %.1f ms", *p.FrameMSP50, *p.FrameMSP99)
		}
		c.Lanes = append(c.Lanes, d)
	}
	return c
}
