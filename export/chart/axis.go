package chart

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// scale turns figures into places along a line.
type scale struct {
	from, to  float64 // places
	low, high float64 // figures
	log       bool
}

func (s scale) at(v float64) float64 {
	if s.log {
		return s.from + (s.to-s.from)*math.Log(max(v, s.low)/s.low)/math.Log(s.high/s.low)
	}
	return s.from + (s.to-s.from)*(v-s.low)/(s.high-s.low)
}

// ticks gives round figures from low to high, at steps of 1, 2 or 5 times a power of ten, at most so many steps.
func ticks(low, high float64, most int) []float64 {
	if !(high > low) || most < 1 {
		return nil
	}
	step := roundStep((high - low) / float64(most))
	var out []float64
	for i := math.Ceil(low/step - 1e-9); i <= math.Floor(high/step+1e-9); i++ {
		out = append(out, i*step+0) // +0 makes −0 a zero
	}
	return out
}

// roundStep is the least of 1, 2 and 5 times a power of ten that is not under x.
func roundStep(x float64) float64 {
	power := math.Floor(math.Log10(x))
	for _, m := range []float64{1, 2, 5, 10} {
		if step := tenTo(m, power); step >= x*(1-1e-9) {
			return step
		}
	}
	return tenTo(1, power+1)
}

// tenTo gives m·10^power, divided where the power is negative so that 0.2 is the 0.2 that is printed.
func tenTo(m, power float64) float64 {
	if power < 0 {
		return m / math.Pow(10, -power)
	}
	return m * math.Pow(10, power)
}

// logTicks gives 1, 2 and 5 times the powers of ten between low and high, or the powers alone, or every second of those and so on, until
// they are free of one another.
func logTicks(low, high float64, free func([]float64) bool) []float64 {
	between := func(factors ...float64) []float64 {
		var out []float64
		for p := math.Floor(math.Log10(low)); p <= math.Ceil(math.Log10(high)); p++ {
			for _, m := range factors {
				if v := tenTo(m, p); v >= low*(1-1e-9) && v <= high*(1+1e-9) {
					out = append(out, v)
				}
			}
		}
		return out
	}
	all := between(1, 2, 5)
	if free(all) {
		return all
	}
	list := between(1)
	if len(list) < 2 { // less than two powers: the ends of what there is
		list = all[:1:1]
		if n := len(all); n > 1 {
			list = append(list, all[n-1])
		}
	}
	for !free(list) {
		list = everySecond(list)
	}
	return list
}

func everySecond(list []float64) []float64 {
	var out []float64
	for i := 0; i < len(list); i += 2 {
		out = append(out, list[i])
	}
	return out
}

// short writes an axis figure: no more decimals than it has.
func short(x float64) string {
	return minus(strconv.FormatFloat(math.Round(x*1e6)/1e6, 'f', -1, 64))
}

// number writes a figure with its decimals and a true minus sign.
func number(x float64, decimals int) string {
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return minus(s)
}

// signed writes a figure with its sign; one that shows as zero has none.
func signed(x float64, decimals int) string {
	s := number(x, decimals)
	if x > 0 && strings.Trim(s, "0.") != "" {
		s = "+" + s
	}
	return s
}

func minus(s string) string { return strings.Replace(s, "-", "−", 1) }

// bracket writes an interval as every screen does: [4.1, 6.3].
func bracket(f Figure, decimals int) string {
	if !f.Known || !f.Interval {
		return ""
	}
	return "[" + number(f.Low, decimals) + ", " + number(f.High, decimals) + "]"
}

// better says the unit and which way is better.
func better(unit string, d Direction) string {
	switch d {
	case More:
		return unit + ", more is better"
	case Less:
		return unit + ", less is better"
	}
	return unit
}

// arrow is the mark of the better direction after an axis' words: a shaft and a head, to the right for more.
func arrow(d Direction, x, y, size float64) []Shape {
	if d == Neither {
		return nil
	}
	tail, head := x, x+1.5*size
	if d == Less {
		tail, head = head, tail
	}
	back := head + 0.42*size*sign(tail-head)
	return []Shape{
		{Path: line(Point{tail, y}, Point{back, y}), Stroke: InkText, Width: 0.13 * size},
		{Path: polygon(Point{head, y}, Point{back, y - 0.26*size}, Point{back, y + 0.26*size}), Fill: InkText},
	}
}

func sign(x float64) float64 {
	if x < 0 {
		return -1
	}
	return 1
}

// spread parts labels along a line so that each has its room, moving them no further than needed: it returns the places of labels that want to
// be at want (in rising order), each so high, between from and to.
func spread(want []float64, height, from, to float64) []float64 {
	return spreadOut(want, slices.Repeat([]float64{height}, len(want)), from, to)
}

// spreadOut is spread for labels that each have a size of their own. Labels that meet stand around the middle of where they want to be: the places
// are the least squares under the order (pool adjacent violators; Barlow et al. 1972, from memory).
func spreadOut(want, sizes []float64, from, to float64) []float64 {
	type pool struct {
		sum float64 // of what its members want, less the room of those before them
		n   int
	}
	var pools []pool
	mean := func(p pool) float64 { return p.sum / float64(p.n) }
	before := make([]float64, len(want)) // how far each stands from the first where all touch
	for i, w := range want {
		if i > 0 {
			before[i] = before[i-1] + (sizes[i-1]+sizes[i])/2
		}
		pools = append(pools, pool{w - before[i], 1})
		for k := len(pools) - 1; k > 0 && mean(pools[k-1]) > mean(pools[k]); k-- {
			pools[k-1] = pool{pools[k-1].sum + pools[k].sum, pools[k-1].n + pools[k].n}
			pools = pools[:k]
		}
	}
	var out []float64
	for _, p := range pools {
		for range p.n {
			out = append(out, mean(p)+before[len(out)])
		}
	}
	edge := from
	for i, size := range sizes {
		out[i] = max(out[i], edge+size/2)
		edge = out[i] + size/2
	}
	edge = to
	for i := len(out) - 1; i >= 0; i-- {
		out[i] = min(out[i], edge-sizes[i]/2)
		edge = out[i] - sizes[i]/2
	}
	return out
}
