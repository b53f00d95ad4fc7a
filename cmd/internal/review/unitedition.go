package review

import (
	"context"
	"fmt"
	"io/fs"

	"github.com/rs/zerolog"

	"github.com/rigslate/rigslate/plan/ledger"
)

// editionWork is the second unit of work: all that an edition's tables follow from once its passes have figures.
type editionWork struct {
	review  *Review // of which plan and files are laid out
	passes  []Pass  // as the first unit gives them, and those that could not be read, in the order in which they were
	ledger  fs.FS   // entries at hand
	logs    fs.FS   // of soaks, at hand
	workers int
}

// work fills the review in, whose tables are then those of the edition.
func (w editionWork) work(ctx context.Context) error {
	r := w.review
	l, err := ledger.Among(w.ledger)
	if err != nil {
		return fmt.Errorf("%w: %w", errAgain, err)
	}
	r.openLedger(l, len(w.passes))
	for _, p := range w.passes {
		r.Passes = append(r.Passes, p)
		r.recall(ctx, false)
	}
	return r.workOut(ctx, Options{Workers: w.workers, Log: zerolog.Nop()}, w.logs, &keeper{}, func(string) {})
}

// workOut is what follows from plan, ledger, passes with their figures, and the logs of soaks. Files are opened through logs alone; the keeper
// archives those of soaks on the way.
func (r *Review) workOut(ctx context.Context, o Options, logs fs.FS, k *keeper, stage func(string)) error {
	err := r.remember(ctx)
	stage("remember")
	if err != nil {
		return err
	}
	r.checkSensors()
	err = r.readSoaks(ctx, o, logs, k)
	stage("soaks")
	if err != nil {
		return err
	}
	if err := r.judge(o); err != nil {
		return err
	}
	r.gatherBench()
	r.compareBench()
	r.compare()
	r.summarise()
	r.gatherWorth()
	r.judgeClaims()
	r.planWork()
	r.planSoaks()
	r.planSweeps()
	stage("judge")
	return nil
}
