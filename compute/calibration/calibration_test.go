package calibration

import (
	"flag"
	"math"
	"os"
	"reflect"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"testing"
)

var reviewsFlag = flag.Int("calibration-reviews", 200, "reviews to simulate in each world; 3000 is the long form")

// reviews is how many to simulate: few where the race detector makes each slow.
func reviews() int {
	if testing.Short() {
		return min(*reviewsFlag, 20)
	}
	return *reviewsFlag
}

// In every world, what is asked must hold, but for the error of simulating no more reviews: what lies outside by more than two of its
// standard errors fails. At 200 reviews these are 0.2 to 0.4 % for intervals, 0.9 % for those of the noisiest tenth, 1 % for families
// of claims; the long form has a fifth of that. The table in README must be what comes out, within the same error.
func TestPromises(t *testing.T) {
	found := map[string]extremes{}
	for _, w := range worlds() {
		r := Simulate(w.design, 2027, reviews(), runtime.GOMAXPROCS(0))
		for _, p := range Promises() {
			m := p.Of(r)
			if !m.OK {
				t.Errorf("%s: %s: nothing simulated", w.name, p.Name)
				continue
			}
			t.Logf("%s: %s: %.2f ± %.2f %%", w.name, p.Name, m.Percent, m.Error)
			kind := p.Name
			if w.severalSessions {
				kind += severalSessions
				if strings.HasPrefix(p.Name, "own") {
					p.Most = 100
				}
			}
			if f, ok := found[kind]; !ok {
				found[kind] = extremes{m, m}
			} else {
				if m.Percent < f.least.Percent {
					f.least = m
				}
				if m.Percent > f.most.Percent {
					f.most = m
				}
				found[kind] = f
			}
			if k := p.Kept(m); k == No || k == Wide {
				t.Errorf("%s: %s: %.2f ± %.2f %%, want %g to %g", w.name, p.Name, m.Percent, m.Error, p.Least, p.Most)
			}
		}
	}
	for kind, said := range readmeTable(t) {
		for _, x := range []struct{ said, found Measured }{{said.least, found[kind].least}, {said.most, found[kind].most}} {
			// README's figures have one decimal; the least and the most of many worlds stray farther than one does.
			if math.Abs(x.said.Percent-x.found.Percent) > 0.05+4*x.found.Error {
				t.Errorf("README: %s: %.1f %%, and it is %.2f ± %.2f %%", kind, x.said.Percent, x.found.Percent, x.found.Error)
			}
		}
	}
}

// extremes are the least and the most that a promise came to over the worlds.
type extremes struct{ least, most Measured }

const severalSessions = ", several sessions"

// readmeTable reads what README says was found, and holds the limits that it gives against those here.
func readmeTable(t *testing.T) map[string]extremes {
	t.Helper()
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	number := regexp.MustCompile(`\d+(\.\d+)?`)
	numbers := func(cell string) (xs []float64) {
		for _, s := range number.FindAllString(cell, -1) {
			x, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatal(err)
			}
			xs = append(xs, x)
		}
		return xs
	}
	rows := map[string]extremes{}
	for _, p := range Promises() {
		for _, line := range strings.Split(string(text), "\n") {
			cells := strings.Split(line, "|")
			if len(cells) != 7 || strings.TrimSpace(cells[1]) != p.Name {
				continue
			}
			var limits []float64
			if p.Least > 0 {
				limits = append(limits, p.Least)
			}
			if p.Most < 100 {
				limits = append(limits, p.Most)
			}
			if got := numbers(cells[3]); !reflect.DeepEqual(got, limits) {
				t.Errorf("README: %s: asked for are %v, not %v", p.Name, limits, got)
			}
			if found, several := numbers(cells[4]), numbers(cells[5]); len(found) == 2 && len(several) == 1 {
				rows[p.Name] = extremes{Measured{Percent: found[0]}, Measured{Percent: found[1]}}
				rows[p.Name+severalSessions] = extremes{Measured{Percent: several[0]}, Measured{Percent: several[0]}}
			}
		}
		if _, ok := rows[p.Name]; !ok {
			t.Errorf("README has no row %q", p.Name)
		}
	}
	return rows
}

// The same reviews come out whoever simulates them.
func TestWorkersChangeNothing(t *testing.T) {
	for _, w := range worlds()[8:10] {
		one := Simulate(w.design, 3, 24, 1)
		if many := Simulate(w.design, 3, 24, 5); !reflect.DeepEqual(one, many) {
			t.Errorf("%s: %+v with one worker, %+v with five", w.name, one, many)
		}
		if other := Simulate(w.design, 4, 24, 1); reflect.DeepEqual(one, other) {
			t.Error("another seed gives the same reviews")
		}
	}
}

// By hand: reviews with 1 of 2, 2 of 2 and 0 of 4 hits make 3 of 8. With p = 3/8 the residuals are 1/4, 5/4 and −3/2, their squares 62/16, and
// the standard error is √(62/16 · 3/2)/8.
func TestRate(t *testing.T) {
	var r Rate
	for _, x := range []Rate{{Hits: 1, Trials: 2}, {Hits: 2, Trials: 2}, {Trials: 4}, {}} {
		r.add(x)
	}
	m := r.measured()
	if m.Percent != 37.5 || math.Abs(m.Error-100*math.Sqrt(62.0/16*1.5)/8) > 1e-12 || !m.OK {
		t.Errorf("%+v", m)
	}
	if m := (Rate{Trials: 50, reviews: 5}).measured(); m.Percent != 0 || m.Error != 2 {
		t.Errorf("nothing hit: %+v", m)
	}
	if m := (Rate{}).measured(); m.OK {
		t.Errorf("no trials: %+v", m)
	}
	// 0, 0.5 and 1: mean 0.5, standard deviation 0.5.
	var mean Mean
	for _, x := range []float64{0, 0.5, 1} {
		mean.add(x)
	}
	if m := mean.measured(); m.Percent != 50 || math.Abs(m.Error-50/math.Sqrt(3)) > 1e-12 {
		t.Errorf("%+v", m)
	}
}

func TestKept(t *testing.T) {
	p := Promise{Least: 94, Most: 98}
	for _, c := range []struct {
		percent float64
		want    Kept
	}{{94, Yes}, {98, Yes}, {93.1, Close}, {98.9, Close}, {92.9, No}, {99.1, Wide}} {
		if got := p.Kept(Measured{c.percent, 0.5, true}); got != c.want {
			t.Errorf("%g: %s, want %s", c.percent, got, c.want)
		}
	}
	if got := (Promise{Most: 5}).Kept(Measured{6.1, 0.5, true}); got != No {
		t.Errorf("6.1 of at most 5: %s", got)
	}
}

// Designs that leave little to judge are judged all the same: nothing compared, one launch, nothing that varies.
func TestDegenerateDesigns(t *testing.T) {
	alone := wide(6, 3, 1, 1)
	each(&alone, func(c *Cell) { c.Base = -1 })
	single := wide(12, 1, 1, 1)
	still := wide(12, 3, 1, 1).with(noSessions)
	each(&still, func(c *Cell) { c.Spread = 0 })
	if r := Simulate(alone, 1, 5, 2); r.DiffShown.Trials != 0 || r.Contradicted.Trials != 0 || r.CellShown.Trials != 60 || r.FalseFirm.Reviews != 0 {
		t.Errorf("nothing compared: %+v", r)
	}
	if r := Simulate(single, 1, 5, 2); r.CellOwn.Trials != 0 || r.FalseLead.Trials != 0 {
		t.Errorf("one launch: %+v", r)
	}
	if r := Simulate(still, 1, 5, 2); r.DiffShown.Trials != 60 || r.WrongWay.Hits != 0 || r.FoundThrice.Hits != r.FoundThrice.Trials {
		t.Errorf("nothing varies: %+v", r)
	}
}
