package calibration

import "math"

// Rate is how often something happened in the simulated reviews. Trials of one review are not independent, since its sessions move
// many cells at once, so the standard error is worked out from the reviews.
type Rate struct {
	Hits, Trials            int
	hits2, trials2, product float64 // sums over the reviews of hits², trials² and hits·trials; whole numbers, exact in any order
	reviews                 int
}

// count adds a trial of the review that is being judged.
func (r *Rate) count(hit bool) {
	r.Trials++
	if hit {
		r.Hits++
	}
}

// add adds the trials of one more review.
func (r *Rate) add(o Rate) {
	if o.Trials == 0 {
		return
	}
	h, n := float64(o.Hits), float64(o.Trials)
	r.Hits, r.Trials, r.reviews = r.Hits+o.Hits, r.Trials+o.Trials, r.reviews+1
	r.hits2, r.trials2, r.product = r.hits2+float64(h*h), r.trials2+float64(n*n), r.product+float64(h*n)
}

// measured is the rate with its standard error: of a ratio of sums over reviews (W. G. Cochran, Sampling Techniques, 1977, section
// 6.3). Where nothing or everything was hit the error is that of one hit or miss.
func (r Rate) measured() Measured {
	n := float64(r.Trials)
	if n == 0 {
		return Measured{}
	}
	p := float64(r.Hits) / n
	m := Measured{Percent: 100 * p, Error: 100 / n, OK: true}
	if r.Hits > 0 && r.Hits < r.Trials && r.reviews > 1 {
		squares := r.hits2 - float64(2*p*r.product) + float64(p*p*r.trials2)
		m.Error = 100 * math.Sqrt(math.Max(0, squares)*float64(r.reviews)/float64(r.reviews-1)) / n
	}
	return m
}

// Mean is a mean over reviews, with its standard error.
type Mean struct {
	sum, squares float64
	Reviews      int
}

func (m *Mean) add(x float64) {
	m.sum, m.squares, m.Reviews = m.sum+x, m.squares+float64(x*x), m.Reviews+1
}

// measured is the mean with its standard error. Where nothing varies the error is that of one review that is all the other way.
func (m Mean) measured() Measured {
	n := float64(m.Reviews)
	if n < 2 {
		return Measured{}
	}
	mean := m.sum / n
	out := Measured{100 * mean, 100 / n, true}
	if variance := m.squares/n - float64(mean*mean); variance > 0 {
		out.Error = 100 * math.Sqrt(variance/(n-1))
	}
	return out
}

// Result is what simulated reviews came to. Intervals are those at 95 %; Own are from each cell's own spread, Shown those that screens
// show. Noisy are the cells of the noisiest tenth by their true spread, and the differences with such a cell on a side.
type Result struct {
	Reviews int

	CellOwn, CellShown, CellNoisy Rate // intervals that hold the truth
	DiffOwn, DiffShown, DiffNoisy Rate

	FalseLevel   Rate // `level` where the difference is the margin
	FalseLead    Rate // `ahead` or `behind` where there is no difference
	WrongWay     Rate // `ahead` or `behind` against the truth
	FoundLevel   Rate // `level` where there is no difference
	FoundMargin  Rate // the right lead where the difference is the margin
	FoundThrice  Rate // and three times the margin
	FalseFirm    Mean // of a review's firm leads, those that are not so
	Contradicted Rate // families of claims that are all just true, with one or more contradicted
	Supported    Rate // families of claims that are all just not true, with one or more supported
}

func (r *Result) add(o Result) {
	r.Reviews++
	for _, x := range []struct{ to, from *Rate }{
		{&r.CellOwn, &o.CellOwn}, {&r.CellShown, &o.CellShown}, {&r.CellNoisy, &o.CellNoisy},
		{&r.DiffOwn, &o.DiffOwn}, {&r.DiffShown, &o.DiffShown}, {&r.DiffNoisy, &o.DiffNoisy},
		{&r.FalseLevel, &o.FalseLevel}, {&r.FalseLead, &o.FalseLead}, {&r.WrongWay, &o.WrongWay}, {&r.FoundLevel, &o.FoundLevel},
		{&r.FoundMargin, &o.FoundMargin}, {&r.FoundThrice, &o.FoundThrice}, {&r.Contradicted, &o.Contradicted}, {&r.Supported, &o.Supported},
	} {
		x.to.add(*x.from)
	}
	if o.DiffShown.Trials > 0 {
		r.FalseFirm.add(o.FalseFirm.sum)
	}
}
