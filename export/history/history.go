// Package history looks back over an archive: what is in it, one cell over time, and cards that never shared a bench.
//
// The model: a cell of a review is a point, its passes are what it rests on. An edition never changes, and a later one of the same
// review mostly holds the same passes again; figures of the same passes are no evidence of a change, so that of cells that share a pass only
// that of the newest edition is a point; figures that were recomputed are newer than those that they come of, and than no others. Points are compared only where rig, build and settings let them, and what differs is named.
//
// Editions are told by their manifests; of those that may hold what is asked for a few columns of the small tables are read, never a frame.
// An index beside the archive was rejected: it would be one more thing that can disagree with it.
package history

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
)

// Key names a cell as its plan does.
type Key struct{ Card, Mode, Game, Variant, Resolution string }

func (k Key) String() string {
	return fmt.Sprintf("%s·%s %s·%s %s", k.Card, k.Mode, k.Game, k.Variant, k.Resolution)
}

// CardMode is the card and its mode, as plans write them.
func (k Key) CardMode() string { return k.Card + "." + k.Mode }

func byKey(a, b Key) int {
	return cmp.Or(strings.Compare(a.Card, b.Card), strings.Compare(a.Mode, b.Mode), strings.Compare(a.Game, b.Game),
		strings.Compare(a.Variant, b.Variant), strings.Compare(a.Resolution, b.Resolution))
}

// Asked is what to look for. Lists are of names, of which one must fit; an empty list is any. A card may be named with its mode, a game
// with its variant, with a dot. Since and Until bound when passes were made, where they say so, else when the edition was published;
// zero is no bound, Until is not included.
type Asked struct {
	Cards, Games, Resolutions, Drivers, Rigs []string
	Reviews                                  []string
	Since, Until                             time.Time
	Metric                                   compute.Metric
	Mix                                      bool // compare also what is not comparable
}

// Point is a cell in an edition. Other is how many earlier editions hold one that shares passes with it. Published is the edition's.
type Point struct {
	Key             `json:"-"`
	Review, Edition string
	From, To        time.Time // of the passes, zero where none is recorded
	Published       time.Time
	Facts           Facts
	State           string
	Stat            compute.CellStat
	Other           int
	Spread          compute.SessionSpread // of its edition

	definitions int
	edition     archive.Edition
	runs        []string
}

// At is when the point was measured: its first pass, or where none says, when its work was first published.
func (p Point) At() time.Time {
	if p.From.IsZero() {
		return p.edition.Work
	}
	return p.From
}

// age orders points by that of their editions, the newest last.
func (p Point) age(b Point) int {
	return archive.CompareAge(p.edition, b.edition)
}

// Holds reports whether the cell was ready, or vouched for, so that verdicts may rest on it.
func (p Point) Holds() bool { return p.State == "ready" || p.State == "reused" || p.State == "vouched" }

// fits reports whether a name is asked for. A name asked for fits all of the name, or of the name before a dot.
func fits(asked []string, name, part string) bool {
	return len(asked) == 0 || slices.Contains(asked, name) || slices.Contains(asked, name+"."+part)
}

func (a Asked) wants(k Key) bool {
	return fits(a.Cards, k.Card, k.Mode) && fits(a.Games, k.Game, k.Variant) && fits(a.Resolutions, k.Resolution, "")
}

// when reports whether a point is within the dates, drivers and rigs asked for.
func (a Asked) when(p Point) bool {
	last := p.To
	if last.IsZero() {
		last = p.edition.Work
	}
	in := func(asked, have []string) bool {
		return len(asked) == 0 || slices.ContainsFunc(have, func(h string) bool { return slices.Contains(asked, h) })
	}
	return (a.Since.IsZero() || !last.Before(a.Since)) && (a.Until.IsZero() || p.At().Before(a.Until)) && in(a.Drivers, p.Facts.Driver) && in(a.Rigs, p.Facts.Rig)
}

// cards are the cards asked for without their modes.
func (a Asked) cards() (out []string) {
	for _, c := range a.Cards {
		card, _, _ := strings.Cut(c, ".")
		out = append(out, card)
	}
	return out
}

// Points are the cells asked for in all editions, cell by cell, each cell's in the order of when they were measured. Of cells
// that share a pass only the one published last is there. Editions that cannot be read come apart.
func Points(a *archive.Archive, asked Asked) ([]Point, []archive.Unreadable, error) {
	editions, unreadable, err := a.Editions()
	if err != nil {
		return nil, nil, err
	}
	var some []archive.Edition
	for _, e := range editions {
		if mayHold(e, asked.cards()) && (len(asked.Reviews) == 0 || slices.Contains(asked.Reviews, e.Review)) {
			some = append(some, e)
		}
	}
	all, failed := read(some, asked.Metric)
	var points []Point
	for _, s := range all {
		points = append(points, s.points(asked)...)
	}
	points = independent(points)
	points = slices.DeleteFunc(points, func(p Point) bool { return !asked.when(p) })
	slices.SortStableFunc(points, func(a, b Point) int {
		return cmp.Or(byKey(a.Key, b.Key), a.At().Compare(b.At()), a.age(b), strings.Compare(a.Edition, b.Edition))
	})
	return points, append(unreadable, failed...), nil
}

// points are the cells of an edition that are asked for and have a pass. One that is reused is a point where its passes were first published:
// there it stands beside what was measured with it.
func (s stored) points(asked Asked) (out []Point) {
	for k, passes := range s.passes {
		row, there := s.cells[k]
		if !there || !asked.wants(k) || slices.Contains(strings.Fields(text(row.Flags)), "reused") {
			continue
		}
		p := Point{Key: k, Review: s.Review, Edition: s.Edition.Edition, Published: s.Published, State: row.State, Facts: s.facts(k, asked.Metric),
			Stat: s.stat(k, asked.Metric), definitions: s.DefinitionsVersion, edition: s.Edition, Spread: s.spread}
		p.From, p.To = measured(passes)
		for _, r := range passes {
			p.runs = append(p.runs, r.RunID)
		}
		out = append(out, p)
	}
	return out
}

// independent keeps of the points of a cell that share a pass the one published last, since it has what the others have.
func independent(points []Point) (out []Point) {
	slices.SortFunc(points, func(a, b Point) int {
		return cmp.Or(byKey(a.Key, b.Key), -a.age(b), strings.Compare(a.Edition, b.Edition))
	})
	type run struct {
		Key
		id string
	}
	holder := map[run]int{}
	for _, p := range points {
		at := -1
		for _, id := range p.runs {
			if i, ok := holder[run{p.Key, id}]; ok {
				at = i
			}
		}
		if at >= 0 {
			out[at].Other++
			continue
		}
		for _, id := range p.runs {
			holder[run{p.Key, id}] = len(out)
		}
		out = append(out, p)
	}
	return out
}
