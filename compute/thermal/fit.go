package thermal

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

const (
	gridTaus   = 48   // time constants tried before any is refined: a fifth apart over half an hour of seconds
	longestTau = 10   // the slowest tried, in lengths of the fit: what is slower looks like a straight line
	leastRatio = 1.05 // of two time constants, below which their terms cannot be told apart
	mostSteps  = 100  // of the refinement, which needs a handful
)

// fit is a least-squares fit of y = final + Σ amplitudeₖ·e^(−t/τₖ), t from the first point on: one or two terms, the fastest first.
type fit struct {
	final            float64
	amplitudes, taus []float64
	residuals        []float64
	rss              float64
	// finalOwn is the length of the part of the final value's column of the Jacobian that no other column has: u(final) is the standard
	// deviation of the residuals over it. 0 where the points cannot tell the final value from the rest.
	finalOwn float64
}

// parameters is the number of those fitted.
func (f fit) parameters() int { return 1 + 2*len(f.taus) }

// decays are the points of a fit with the values about their mean, the limits of the time constants, and the terms of a grid of them.
type decays struct {
	t, y     []float64
	mean     float64
	lo, hi   float64 // ln τ
	logTau   []float64
	projects []float64   // of y on the centred terms
	gram     [][]float64 // of the centred terms
	squares  float64     // of y
}

// newDecays works out the grid for points in rising order of time.
func newDecays(atS, values []float64) *decays {
	n := len(atS)
	d := &decays{t: slices.Clone(atS), y: slices.Clone(values), mean: floats.SumCompensated(values) / float64(n)}
	floats.AddConst(-atS[0], d.t)
	floats.AddConst(-d.mean, d.y)
	length := d.t[n-1]
	d.lo, d.hi = math.Log(length/float64(n-1)), math.Log(longestTau*length)
	d.squares = dot(d.y, d.y)
	var centred [][]float64
	for j := range gridTaus {
		logTau := d.lo + (d.hi-d.lo)*float64(j)/(gridTaus-1)
		c := d.term(logTau)
		floats.AddConst(-floats.SumCompensated(c)/float64(n), c)
		d.logTau, centred = append(d.logTau, logTau), append(centred, c)
		d.projects = append(d.projects, dot(c, d.y))
		row := make([]float64, j+1)
		for i := range row {
			row[i] = dot(centred[i], c)
		}
		d.gram = append(d.gram, row)
	}
	return d
}

func (d *decays) term(logTau float64) []float64 {
	rate := math.Exp(-logTau)
	c := make([]float64, len(d.t))
	for i, t := range d.t {
		c[i] = math.Exp(-t * rate)
	}
	return c
}

// one returns the best fit of one term.
func (d *decays) one() fit {
	best, most := 0, math.Inf(-1)
	for j, p := range d.projects {
		if explained := p * p / d.gram[j][j]; explained > most {
			best, most = j, explained
		}
	}
	return d.refine([]float64{d.logTau[best]})
}

// two returns the best fit of two terms.
func (d *decays) two() fit {
	a, b, most := 0, gridTaus-1, math.Inf(-1)
	for j := range d.gram {
		for i := range j {
			ii, ij, jj := d.gram[i][i], d.gram[j][i], d.gram[j][j]
			det := float64(ii*jj) - float64(ij*ij)
			if det <= 1e-12*ii*jj {
				continue
			}
			p, q := d.projects[i], d.projects[j]
			if explained := (float64(p*p*jj) - float64(2*p*q*ij) + float64(q*q*ii)) / det; explained > most {
				a, b, most = i, j, explained
			}
		}
	}
	return d.refine([]float64{d.logTau[a], d.logTau[b]})
}

// refine improves the time constants by Gauss–Newton steps, damped as D. W. Marquardt, Journal of SIAM 11(2), 1963, on the sum of squares
// that the best amplitudes leave (variable projection: G. H. Golub and V. Pereyra, SIAM Journal on Numerical Analysis 10(2), 1973, with
// the derivative of L. Kaufman, BIT 15, 1975). A step is taken only if it makes that sum smaller and stays within the grid, so it can
// end early but not run away.
func (d *decays) refine(logTaus []float64) fit {
	at := d.at(logTaus)
	damping := 1e-3
	for range mostSteps {
		step := at.step(damping)
		next := slices.Clone(at.logTaus)
		for k := range next {
			next[k] = max(d.lo, min(d.hi, next[k]+step[k]))
		}
		if apart(next) {
			if trial := d.at(next); trial.rss < at.rss {
				moved := floats.Distance(next, at.logTaus, math.Inf(1))
				at, damping = trial, max(damping/10, 1e-12)
				if moved < 1e-12 {
					break
				}
				continue
			}
		}
		if damping *= 10; damping > 1e8 {
			break
		}
	}
	return d.finish(at)
}

func apart(logTaus []float64) bool {
	return len(logTaus) < 2 || math.Abs(logTaus[0]-logTaus[1]) >= math.Log(leastRatio)
}

// solved is the best linear fit for given time constants.
type solved struct {
	logTaus      []float64
	slopes       [][]float64 // of each term by ln τ, times nothing yet
	basis        [][]float64 // orthonormal, of the columns 1 and the terms
	coefficients []float64   // of 1 and the terms
	residuals    []float64
	rss          float64
}

func (d *decays) at(logTaus []float64) solved {
	s := solved{logTaus: logTaus}
	ones := make([]float64, len(d.t))
	floats.AddConst(1, ones)
	columns := [][]float64{ones}
	for _, logTau := range logTaus {
		c, rate := d.term(logTau), math.Exp(-logTau)
		slope := make([]float64, len(c))
		for i, t := range d.t {
			slope[i] = c[i] * t * rate
		}
		columns, s.slopes = append(columns, c), append(s.slopes, slope)
	}
	var triangle [][]float64
	s.basis, triangle = orthonormal(columns)
	s.residuals = slices.Clone(d.y)
	onBasis := projectOut(s.basis, s.residuals)
	s.rss = dot(s.residuals, s.residuals)
	s.coefficients = make([]float64, len(columns))
	for k := len(columns) - 1; k >= 0; k-- { // R·coefficients = Qᵀy
		if triangle[k][k] == 0 {
			continue
		}
		rest := onBasis[k]
		for j := k + 1; j < len(columns); j++ {
			rest -= float64(triangle[j][k] * s.coefficients[j])
		}
		s.coefficients[k] = rest / triangle[k][k]
	}
	return s
}

// step returns by how much to change ln τ.
func (s solved) step(damping float64) []float64 {
	var w [][]float64
	for k, slope := range s.slopes {
		column := slices.Clone(slope)
		floats.Scale(s.coefficients[k+1], column)
		projectOut(s.basis, column)
		w = append(w, column)
	}
	aa, pa := dot(w[0], w[0])*(1+damping), dot(w[0], s.residuals)
	if len(w) == 1 {
		return []float64{finite(pa / aa)}
	}
	ab, bb, pb := dot(w[0], w[1]), dot(w[1], w[1])*(1+damping), dot(w[1], s.residuals)
	det := float64(aa*bb) - float64(ab*ab)
	return []float64{finite((float64(pa*bb) - float64(pb*ab)) / det), finite((float64(pb*aa) - float64(pa*ab)) / det)}
}

func finite(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return x
}

// finish puts the terms in order and works out how well the final value is known.
func (d *decays) finish(s solved) fit {
	f := fit{final: d.mean + s.coefficients[0], residuals: s.residuals, rss: s.rss}
	order := []int{0}
	if len(s.logTaus) == 2 {
		order = []int{0, 1}
		if s.logTaus[1] < s.logTaus[0] {
			order = []int{1, 0}
		}
	}
	var others [][]float64
	for _, k := range order {
		f.taus, f.amplitudes = append(f.taus, math.Exp(s.logTaus[k])), append(f.amplitudes, s.coefficients[k+1])
		others = append(others, d.term(s.logTaus[k]), s.slopes[k])
	}
	basis, _ := orthonormal(others)
	own := make([]float64, len(d.t))
	floats.AddConst(1, own)
	projectOut(basis, own)
	if f.finalOwn = floats.Norm(own, 2); f.finalOwn < dependent*math.Sqrt(float64(len(own))) {
		f.finalOwn = 0
	}
	return f
}

// dependent is what share of a column may be left by the columns before it for it to count as made of them.
const dependent = 1e-10

// orthonormal returns columns of length 1 at right angles that span the given ones, which it overwrites, and triangle[j][k], the part of
// column j along the k-th of them (modified Gram–Schmidt, twice, which is enough). A column made of those before it becomes zeros.
func orthonormal(columns [][]float64) (basis, triangle [][]float64) {
	for j, c := range columns {
		before := floats.Norm(c, 2)
		row := make([]float64, j+1)
		copy(row, projectOut(columns[:j], c))
		for k, more := range projectOut(columns[:j], c) {
			row[k] += more
		}
		length := floats.Norm(c, 2)
		if length <= dependent*before {
			length = 0
			clear(c)
		} else {
			floats.Scale(1/length, c)
		}
		row[j] = length
		triangle = append(triangle, row)
	}
	return columns, triangle
}

// projectOut takes the parts along orthonormal columns out of v, and returns them.
func projectOut(basis [][]float64, v []float64) []float64 {
	parts := make([]float64, len(basis))
	for k, q := range basis {
		parts[k] = dot(q, v)
		for i := range v {
			v[i] -= float64(parts[k] * q[i])
		}
	}
	return parts
}

// dot is Σaᵢbᵢ with each product rounded, so that no architecture fuses it.
func dot(a, b []float64) float64 {
	sum := 0.0
	for i, x := range a {
		sum += float64(x * b[i])
	}
	return sum
}
