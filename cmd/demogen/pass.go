package main

import (
	"fmt"
	"math"
)

// pass is one capture to be made.
type pass struct {
	mode       *mode
	game       *game
	resolution string
	repeat     int
	session    string
	file       string // as saved, slash-separated, relative to the review's folder
	form       form
	fault      fault
}

// fault is what went wrong during a pass, if anything.
type fault struct {
	factor   float64 // on the rate of the whole pass; 0: none
	slowFrom float64 // seconds from the start of the capture
	slowTo   float64
	slowBy   float64 // factor on the rate in between
	stopAt   float64 // seconds; 0: recorded to the end
	limit    float64 // fps; a cap left on
	bad      []int   // data lines spoiled, from 1
}

func (p *pass) name() string {
	return fmt.Sprintf("%s %s %s %d", p.mode, p.game, p.resolution, p.repeat)
}

// frames gives a pass's frame times in whole microseconds.
func (r *review) frames(p *pass) []int64 {
	d := newDraw(r.name + " pass " + p.name())
	s := r.scenes[p.game]
	steady := steadyRate(p.mode, p.game, p.resolution)
	steady = float64(steady * (1 + float64(p.game.launch*d.normal())))
	steady = float64(steady * (1 + float64(sessionEffect*newDraw(r.name+" session "+p.session).normal())))
	if p.fault.factor != 0 {
		steady = float64(steady * p.fault.factor)
	}
	end := float64(r.warmup+r.length) + 0.4
	if p.fault.stopAt != 0 {
		end = p.fault.stopAt
	}
	noise := noise{sigma: p.game.noise, memory: p.game.memory, z: d.normal()}
	limit := max(p.game.limit, p.fault.limit)
	limit = float64(limit * (1 + float64(limiterEffect*d.normal())))
	out := []int64{180000 + int64(20000*d.uniform())} // loading shows as one long frame
	clock, site, wobble := out[0], 0, 0.0
	for float64(clock) < float64(end*1e6) {
		t := float64(clock) / 1e6
		us := 1e6 / float64(steady*float64(s.at(t)*p.fault.at(t)*warming(t)))
		us = float64(us * noise.next(d))
		for site < len(s.sites) && s.sites[site] <= t {
			if d.uniform() < p.mode.hitch {
				us += float64(1000 * (shortestHitch + float64((longestHitch-shortestHitch)*d.uniform())))
			}
			site++
		}
		if limit > 0 {
			// a capped frame starts within a few hundredths of a millisecond of its turn; being early once is not kept
			next := float64(30 * d.normal())
			us = max(us, 1e6/limit) + next - wobble
			wobble = next
		}
		x := int64(math.Round(us))
		out = append(out, x)
		clock += x
	}
	return out
}

// warming is the factor on the rate while caches fill: the first two seconds, which the plan cuts.
func warming(t float64) float64 {
	if t >= 2 {
		return 1
	}
	return 0.8 + float64(0.1*t)
}

func (f fault) at(t float64) float64 {
	if f.slowFrom <= t && t < f.slowTo {
		return f.slowBy
	}
	return 1
}

// noise is a first-order autoregression in ln frame time; its factor has mean 1.
type noise struct{ sigma, memory, z float64 }

func (n *noise) next(d draw) float64 {
	n.z = float64(n.memory*n.z) + float64(math.Sqrt(1-float64(n.memory*n.memory))*d.normal())
	return exp(float64(n.sigma*n.z) - float64(n.sigma*n.sigma)/2)
}
