package calibration

import (
	"math"
	"math/rand/v2"
	"sync"

	"github.com/rigslate/rigslate/compute"
)

// Simulate judges as many simulated reviews. Each has a generator of its own, seeded by seed and its number, so that the result is
// the same however many workers there are.
func Simulate(d Design, seed uint64, reviews, workers int) Result {
	results := make([]Result, reviews)
	var wait sync.WaitGroup
	for w := range workers {
		wait.Go(func() {
			for i := w; i < reviews; i += workers {
				results[i] = d.review(rand.New(rand.NewPCG(seed, uint64(i))))
			}
		})
	}
	wait.Wait()
	var total Result
	for _, r := range results {
		total.add(r)
	}
	return total
}

// review simulates one review and judges it by the code that judges real ones.
func (d Design) review(rng *rand.Rand) (r Result) {
	s := d.draw(rng)
	m := metric()
	stats := make([]compute.CellStat, len(d.Cells))
	for i := range stats {
		stats[i] = compute.Cell(m, s.samples[i])
		stats[i].Looks = d.Cells[i].Looks
	}
	_, stats = compute.Borrow(m, stats)
	noisy := noisiestTenth(s.spreads)
	for i, c := range stats {
		truth := math.Exp(s.centres[i] + s.moved[i]) // a cell's interval is about what its sessions gave; it knows of no others
		holds(&r.CellOwn, c.OwnLow, c.OwnHigh, truth)
		holds(&r.CellShown, c.Low, c.High, truth)
		if s.spreads[i] >= noisy {
			holds(&r.CellNoisy, c.Low, c.High, truth)
		}
	}
	d.compare(&r, s, stats, noisy)
	if d.Claims > 0 {
		d.claims(&r, rng, s, stats)
	}
	return r
}

// holds counts whether an interval, where there is one, holds the truth.
func holds(r *Rate, low, high compute.Value, truth float64) {
	if low.OK && high.OK {
		r.count(low.X <= truth && truth <= high.X)
	}
}

// compare sets each cell beside its base.
func (d Design) compare(r *Result, s simulated, stats []compute.CellStat, noisy float64) {
	var family []compute.Comparison
	var truths []float64
	for i, c := range d.Cells {
		if c.Base < 0 {
			continue
		}
		a, base := stats[i], stats[c.Base]
		x := compute.Compare(metric(), a, base, s.session.Between(a, base), d.Margin)
		truth := s.centres[i] - s.centres[c.Base]
		holds(&r.DiffOwn, x.OwnLow, x.OwnHigh, 100*math.Expm1(truth))
		holds(&r.DiffShown, x.Low, x.High, 100*math.Expm1(truth))
		if math.Max(s.spreads[i], s.spreads[c.Base]) >= noisy {
			holds(&r.DiffNoisy, x.Low, x.High, 100*math.Expm1(truth))
		}
		d.verdict(r, x.Verdict, truth)
		family, truths = append(family, x), append(truths, truth)
	}
	firm, wrong := 0.0, 0.0
	for i, is := range compute.Firm(family) {
		if is {
			firm++
			if !leads(family[i].Verdict, truths[i]) {
				wrong++
			}
		}
	}
	r.FalseFirm = Mean{sum: wrong / math.Max(1, firm)}
}

// verdict counts what was said of a true difference.
func (d Design) verdict(r *Result, v compute.Verdict, truth float64) {
	if v == "" || v == compute.Single {
		return
	}
	lead := v == compute.Ahead || v == compute.Behind
	if truth == 0 {
		r.FalseLead.count(lead)
		r.FoundLevel.count(v == compute.Level)
		return
	}
	r.WrongWay.count(lead && !leads(v, truth))
	if math.Abs(truth) > 2*d.margin() {
		r.FoundThrice.count(leads(v, truth))
		return
	}
	r.FalseLevel.count(v == compute.Level)
	r.FoundMargin.count(leads(v, truth))
}

// leads reports whether a verdict is the lead that is true; a higher frame rate is better.
func leads(v compute.Verdict, truth float64) bool {
	return v == compute.Ahead && truth > 0 || v == compute.Behind && truth < 0
}
