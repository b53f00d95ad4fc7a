// Package coverage says of each planned cell whether it can be spoken about: facts about its passes go in, one state, its
// reasons and the passes still to run come out. It reads no file and computes no figure. States are ordered by how much is
// missing, and a cell has the worst that applies; a score was rejected, since nobody can act on a score.
package coverage

import (
	"fmt"
	"slices"

	"github.com/rigslate/rigslate/plan"
)

// Done reports whether a cell in this state needs nothing more before filming.
func (s State) Done() bool { return s >= Failed }

// Holds reports whether the cell's figures may be used.
func (s State) Holds() bool { return s == Ready || s == Reused || s == Vouched }

// Kind is one word for what stands against a cell, as it stands in tables.
type Kind string

// Reason is one thing against a cell, or against one of its passes where Pass is not 0. Text carries the figure that failed.
type Reason struct {
	Kind Kind   `json:"kind"` // one word: spread, length, bad_lines, cap, driver …
	Pass int    `json:"pass,omitempty"`
	Text string `json:"text"`
}

// Pass is one usable pass of a cell.
type Pass struct {
	Repeat int
	Doubts []Reason
	Stale  []Reason
}

// Facts is everything known about one cell.
type Facts struct {
	Cell     plan.Cell
	Passes   []Pass   // those that count, by repeat: void and superseded ones are not here
	Doubts   []Reason // about the cell as a whole; Pass names the one to run again where it can be told
	Taken    []int    // numbers that passes which do not count keep: void, or on record as failed
	Failures []Reason // runs on record that did not end well: crash, hang, artefacts, unsupported
	Reused   bool     // the passes are those of an earlier review
	Vouch    string   // the reason of a vouch that still covers these files, "" if none
}

// Judgement is what coverage says of one cell.
type Judgement struct {
	Cell   plan.Cell
	State  State
	Passes int      // usable ones
	Why    []Reason // what stands against it, also where it was vouched for
	Again  []int    // repeats to run, in order; empty when Done
}

// Judge gives the state of one cell. One that is looked at after several numbers of passes is complete at each of them and short
// between them.
func Judge(f Facts) Judgement {
	f.Cell = f.Cell.At(len(f.Passes))
	j := Judgement{Cell: f.Cell, Passes: len(f.Passes)}
	var doubts, stale []Reason
	for _, p := range f.Passes {
		doubts = append(doubts, p.Doubts...)
		stale = append(stale, p.Stale...)
	}
	doubts = append(doubts, f.Doubts...)
	j.Why = slices.Concat(f.Failures, doubts, stale)
	switch {
	case f.Cell.Waived != "":
		j.State, j.Why = Waived, []Reason{{Kind: "waived", Text: f.Cell.Waived}}
	case len(f.Passes) == 0 && len(f.Failures) > 0:
		j.State = Failed
	case len(f.Passes) == 0:
		j.State = Absent
		j.Why = append([]Reason{{Kind: "absent", Text: "no pass is there"}}, j.Why...)
	case len(f.Passes) < f.Cell.Repeats:
		j.State = Short
		j.Why = append([]Reason{{Kind: "short", Text: shortText(f)}}, j.Why...)
	case len(doubts)+len(stale) == 0 && f.Reused:
		j.State = Reused
	case len(doubts)+len(stale) == 0:
		j.State = Ready
	case f.Vouch != "":
		j.State = Vouched
		j.Why = append([]Reason{{Kind: "vouched", Text: f.Vouch}}, j.Why...)
	case len(doubts) > 0:
		j.State = Doubtful
	default:
		j.State = Stale
	}
	if !j.State.Done() {
		j.Again = again(f, doubts, stale)
	}
	return j
}

func shortText(f Facts) string {
	text := fmt.Sprintf("%d of %d passes are there", len(f.Passes), f.Cell.Repeats)
	if len(f.Cell.Looks) > 0 && len(f.Passes) > f.Cell.Looks[0] {
		text += ", and between two looks no verdict is read"
	}
	return text
}

// again lists the repeats to run: those that are not there, then those with something against them. A doubt about the cell
// that points at no pass asks for all of them, since nothing says which one is wrong.
func again(f Facts, doubts, stale []Reason) []int {
	want := map[int]bool{}
	have := map[int]bool{}
	for _, p := range f.Passes {
		have[p.Repeat] = true
	}
	if f.Reused { // a pass of today counts beside none of them
		have, f.Passes, doubts, stale = nil, nil, nil, nil
	}
	missing := f.Cell.Repeats - len(f.Passes)
	for r := 1; missing > 0; r++ {
		if !have[r] && !slices.Contains(f.Taken, r) {
			want[r] = true
			missing--
		}
	}
	for _, r := range slices.Concat(doubts, stale) {
		if r.Pass != 0 && !have[r.Pass] {
			continue // an unusable file: what it lacks is counted as missing
		}
		if r.Pass != 0 {
			want[r.Pass] = true
			continue
		}
		for n := range have {
			want[n] = true
		}
	}
	var out []int
	for r := range want {
		out = append(out, r)
	}
	slices.Sort(out)
	return out
}

// Total counts cells by state.
type Total [len(states)]int

// Count adds up the states.
func Count(js []Judgement) (t Total) {
	for _, j := range js {
		t[j.State]++
	}
	return t
}

// ReadyToFilm reports whether no cell needs anything more. A review without cells is not ready.
func ReadyToFilm(js []Judgement) bool {
	return len(js) > 0 && !slices.ContainsFunc(js, func(j Judgement) bool { return !j.State.Done() })
}
