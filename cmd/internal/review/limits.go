package review

import (
	"fmt"
	"math"
	"slices"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/finding"
)

// checkCaps looks for frame rates that are held: an undeclared cap makes a cell doubtful, a declared one and a ceiling are said.
func (r *Review) checkCaps(facts []coverage.Facts) {
	byGame := map[string][]int{}
	for i, c := range r.Cells {
		byGame[c.Cell.Game] = append(byGame[c.Cell.Game], i)
	}
	for name, cells := range byGame {
		game, _ := r.Plan.Game(name)
		caps := make([]compute.CapFinding, len(cells))
		for i, n := range cells {
			var passes []compute.CapFinding
			for _, p := range r.PassesOf(r.Cells[n], Used) {
				passes = append(passes, p.Figures.Cap)
			}
			caps[i] = compute.CellCap(passes)
		}
		certain := compute.CertainCaps(caps)
		for i, n := range cells {
			sure := ""
			if certain[i] {
				sure = "; certain, since another cell of the game is held at the same rate"
			}
			switch c := caps[i]; {
			case c.Kind == compute.Capped && !game.Capped:
				facts[n].Doubts = append(facts[n].Doubts, coverage.Reason{Kind: kindCap,
					Text: fmt.Sprintf("held at %.1f fps, and the game declares no cap%s", c.Rate, sure)})
			case c.Kind == compute.Capped:
				r.flag(n, compute.FlagCap, "held at %.1f fps, as the plan declares", c.Rate)
			case c.Kind == compute.Ceiling:
				r.flag(n, compute.FlagCeiling, "does not rise above about %.1f fps%s", c.Rate, sure)
			}
		}
	}
}

func (r *Review) flag(cell int, word compute.Flag, format string, args ...any) {
	r.Cells[cell].Flags = append(r.Cells[cell].Flags, Flag{Word: word, Text: fmt.Sprintf(format, args...)})
}

// checkLimits notes where something other than the card sets the pace, and where two cards run alike.
func (r *Review) checkLimits() {
	for i, a := range r.Cells {
		x, ok := a.Stat(headline)
		if !ok || !x.Mean.OK {
			continue
		}
		var like, held []string
		for j, b := range r.Cells {
			y, ok := b.Stat(headline)
			if i == j || !ok || !y.Mean.OK || a.Cell.GameVariant() != b.Cell.GameVariant() {
				continue
			}
			sameSize := a.Cell.Resolution == b.Cell.Resolution
			if sameSize && a.Cell.Card != b.Cell.Card && compute.Alike(x.Mean.X, y.Mean.X) {
				like = append(like, b.Cell.CardMode().String())
			}
			if !sameSize && a.Cell.CardMode() == b.Cell.CardMode() &&
				compute.LimitedElsewhere(r.pixels(a.Cell.Key), r.pixels(b.Cell.Key), x.Mean.X, y.Mean.X) {
				held = append(held, b.Cell.Resolution)
			}
		}
		if len(held) > 0 {
			r.flag(i, flagLimitedElsewhere, "as fast at %s, so something other than the card sets the pace", screen.List(held))
		}
		if len(like) > 0 {
			r.flag(i, flagAlike, "within 0.3 %% of another card")
			flags := r.Cells[i].Flags
			flags[len(flags)-1].With = like
		}
	}
}

func (r *Review) pixels(k plan.Key) int64 {
	size, _ := r.Plan.Resolution(k.Resolution)
	return int64(size.Width) * int64(size.Height)
}

// PassOrder asks whether first passes differ from later ones over the whole review: a cold first pass that no single cell shows is
// visible over many.
func (r *Review) PassOrder() compute.PassOrder {
	var cells [][]float64
	for _, c := range r.Cells {
		if !c.State.Holds() {
			continue
		}
		used := r.PassesOf(c, Used)
		slices.SortStableFunc(used, func(a, b Pass) int { return a.When.Compare(b.When) })
		var fps []float64
		for _, p := range used {
			fps = append(fps, p.Figures.MeanFPS.X)
		}
		cells = append(cells, fps)
	}
	return compute.FindPassOrder(cells)
}

// checkOrder says so if they do.
func (r *Review) checkOrder() {
	if o := r.PassOrder(); o.Matters {
		r.Findings.Add(finding.Warning, finding.Place{}, "First passes differ from later ones",
			fmt.Sprintf("Over %d cells the first pass is %s the mean of the later ones (p %s).", o.Cells, offBy(o.Percent.X), screen.P(o.P.X)),
			"Warm the card up longer before the first pass, or cut more of its start.")
	}
}

// offBy words a percentage as a distance with its direction.
func offBy(percent float64) string {
	side := "above"
	if percent < 0 {
		side = "below"
	}
	return screen.Number(math.Abs(percent), 2) + " % " + side
}
