package plan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// mostLooks bounds the looks at a cell: each has its share of the error, and a sixth of it is little enough to work with.
const mostLooks = 6

// looks reads at how many passes verdicts may be read, in place of repeats. Each pass is then in a launch of its own: passes added
// to a launch that was there would tell nothing new about launches, and be paid for with a share of the error all the same.
func (l *loader) looks(b *block, m *Matrix) {
	e, written := b.by["looks"]
	if !written {
		return
	}
	for _, other := range []struct{ key, mend string }{
		{"repeats", "Keep one of them: repeats is one number of passes, looks are several at which a verdict may be read."},
		{"launches", "Leave launches out: with looks each pass is in a launch of its own."},
	} {
		if b.has(other.key) {
			l.error(e.at, "Looks beside "+other.key, fmt.Sprintf("%s has looks and %s.", b.what, other.key), other.mend)
			return
		}
	}
	nodes, ok := l.elements(e.node)
	if !ok {
		return
	}
	var looks []int
	for _, n := range nodes {
		if look, good := l.whole(n, b.of("looks"), 2, maxRepeats); good {
			looks = append(looks, look)
		}
	}
	if len(looks) < len(nodes) {
		return
	}
	fault := func(summary, mend string) {
		l.error(e.at, summary, fmt.Sprintf("%s is [%s].", b.of("looks"), joined(looks)), mend)
	}
	switch {
	case len(looks) == 0:
		fault("List is empty", "Name the numbers of passes, such as looks = [3, 5, 8].")
	case len(looks) == 1:
		fault("One look is no choice", fmt.Sprintf("Write repeats = %d, or name more looks.", looks[0]))
	case len(looks) > mostLooks:
		fault("Too many looks", fmt.Sprintf("Name %d at most: the error of 5 %% is split over all of them.", mostLooks))
	case !rising(looks):
		fault("Looks do not rise", "Write each larger than the one before, such as looks = [3, 5, 8].")
	default:
		m.Looks, m.Repeats, m.Launches = looks, looks[0], looks[0]
		out := make([]any, len(looks))
		for i, n := range looks {
			out[i] = float64(n)
		}
		b.out["looks"] = out
	}
}

func rising(ns []int) bool {
	for i := 1; i < len(ns); i++ {
		if ns[i] <= ns[i-1] {
			return false
		}
	}
	return true
}

func joined(ns []int) string {
	words := make([]string, len(ns))
	for i, n := range ns {
		words[i] = strconv.Itoa(n)
	}
	return strings.Join(words, ", ")
}

// asked is what the matrix blocks read so far ask of one cell. Looks and plain counts are kept apart until the last one, since
// what they come to does not depend on the order of the blocks.
type asked struct {
	Cell               // Repeats and Launches of plain blocks only, 0 if none is plain
	counts, looked int // blocks that Repeats and Looks are of
}

func ask(k Key, at int, m Matrix) asked {
	if m.Looks != nil {
		return asked{Cell: Cell{Key: k, Looks: m.Looks}, looked: at}
	}
	return asked{Cell: Cell{Key: k, Repeats: m.Repeats, Launches: m.Launches}, counts: at}
}

// addUp joins what two matrix blocks ask of one cell: of plain counts the larger, and looks beside them. Two lists of looks are an
// error, reported once for two blocks.
func (l *loader) addUp(a, b asked, said map[int]bool) asked {
	if (a.Waived == "") != (b.Waived == "") {
		if a.Waived == "" {
			return a
		}
		return b
	}
	if b.Repeats > a.Repeats || b.Repeats == a.Repeats && b.Launches > a.Launches {
		a.Repeats, a.Launches, a.counts = b.Repeats, b.Launches, b.counts
	}
	switch {
	case a.Looks == nil:
		a.Looks, a.looked = b.Looks, b.looked
	case b.Looks != nil && a.Waived == "" && !slices.Equal(a.Looks, b.Looks) && !said[a.looked]:
		said[a.looked] = true
		l.errorAt(l.plan.Matrices[b.looked].Place, "Two lists of looks for a cell",
			fmt.Sprintf("%s has looks [%s] here and [%s] by the matrix at %s.", a.Key, joined(b.Looks), joined(a.Looks), l.plan.Matrices[a.looked].Place),
			"Give it one list.")
	}
	return a
}

// checkLaunches reports a cell that has looks by one block and several passes a launch by another, once for two blocks.
func (l *loader) checkLaunches(a asked, said map[[2]int]bool) {
	at := [2]int{a.counts, a.looked}
	if c := a.cell(); a.Waived == "" && c.Looks != nil && a.Repeats > a.Looks[0] && a.Launches < a.Repeats && !said[at] {
		said[at] = true
		l.errorAt(l.plan.Matrices[a.counts].Place, "Looks beside launches",
			fmt.Sprintf("%s has repeats = %d and launches = %d here, and looks [%s] by the matrix at %s.",
				a.Key, a.Repeats, a.Launches, joined(a.Looks), l.plan.Matrices[a.looked].Place),
			"Leave launches out: with looks each pass is in a launch of its own.")
	}
}

// cell is the cell in the end. More repeats than some looks leave those out; the repeats are then the first look.
func (a asked) cell() Cell {
	c := a.Cell
	if c.Looks == nil {
		return c
	}
	looks := slices.Clone(c.Looks)
	if c.Repeats > looks[0] {
		looks = slices.DeleteFunc(looks, func(n int) bool { return n <= c.Repeats })
		looks = append([]int{c.Repeats}, looks...)
	}
	if last := a.Looks[len(a.Looks)-1]; len(looks) == 1 {
		c.Looks = nil
		if c.Repeats == last {
			c.Launches = last
		}
		return c
	}
	c.Looks, c.Repeats = looks, looks[0]
	c.Launches = c.Repeats
	return c
}

// At returns the cell as it is asked for once it has so many usable passes: Repeats is the look in force, which is the next one
// where the passes are between two, and the last one where they are more.
func (c Cell) At(passes int) Cell {
	for _, look := range c.Looks {
		c.Repeats, c.Launches = look, look
		if passes <= look {
			break
		}
	}
	return c
}

// Most is the passes of a cell whose last look was taken.
func (c Cell) Most() int {
	if len(c.Looks) > 0 {
		return c.Looks[len(c.Looks)-1]
	}
	return c.Repeats
}
