package review

import (
	"fmt"

	"github.com/rigslate/rigslate/plan/coverage"
)

// betweenLooks says why no verdict may be read at a cell that has not come to its next declared look, "" where one may: a verdict
// that could be read after any pass would be read after the luckiest, and the error is split over the declared looks only.
func (c Cell) betweenLooks() string {
	if len(c.Cell.Looks) == 0 || c.State != coverage.Short {
		return ""
	}
	return fmt.Sprintf("%s has %d of the %d passes of its next look, and none is read before", c.Cell.CardMode(), c.Judgement.Passes, c.Cell.Repeats)
}

// NextLook is the number of passes at the declared look after the one that the cell stands at, 0 if there is none.
func (c Cell) NextLook() int {
	if next := c.Cell.At(c.Judgement.Passes + 1).Repeats; len(c.Cell.Looks) > 0 && next > c.Judgement.Passes {
		return next
	}
	return 0
}
