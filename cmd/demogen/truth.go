package main

import (
	"fmt"
	"io"
	"text/tabwriter"
)

// mode is one card in one of its modes: how fast it is, relative to tern_ref.stock.
type mode struct {
	card, mode, firmware string
	speed                map[string]float64 // by game·variant, at qhd
	atUHD                float64            // a further factor at uhd
	hitch                float64            // chance that a streaming site hitches
}

func (m *mode) String() string { return m.card + "." + m.mode }

// game is one game in one variant: the rates of tern_ref.stock where only the card limits, and how the game behaves.
type game struct {
	game, variant string
	qhd, uhd      float64 // fps
	host          float64 // fps that the host can feed; 0: no limit
	limit         float64 // frame cap in fps; 0: none
	swing         float64 // standard deviation of the scene's rate from its mean
	noise, memory float64 // σ of ln frame time, and how much of it the next frame inherits
	launch        float64 // standard deviation of a launch, relative
	sites         int     // places in the kept time where it streams
}

func (g *game) String() string { return g.game + "." + g.variant }

const (
	sessionEffect = 0.002  // standard deviation of a mounting, relative
	limiterEffect = 0.0008 // of a frame limiter from launch to launch: it sleeps by a timer, a little differently each time
	shortestHitch = 20.0   // ms added to a frame, uniform between the two
	longestHitch  = 32.0
)

func level() map[string]float64 {
	return map[string]float64{"fjord.plain": 1, "fjord.rays_up": 1, "bazaar.plain": 1, "kelp.plain": 1, "quarry.plain": 1, "orrery.plain": 1}
}

// modes is the truth about the cards. gannet.stock is tern_ref.stock under another name: the truly level pair.
var modes = []*mode{
	{card: "tern_ref", mode: "stock", speed: level(), atUHD: 1, hitch: 0.2},
	{card: "heron_x", mode: "stock", atUHD: 1.01, hitch: 0.2, speed: map[string]float64{
		"fjord.plain": 1.05, "fjord.rays_up": 1.08, "bazaar.plain": 1.05, "kelp.plain": 1.01, "quarry.plain": 1.04, "orrery.plain": 1.05}},
	{card: "heron_x", mode: "tuned", atUHD: 1.01, hitch: 0.2, speed: map[string]float64{
		"fjord.plain": 1.08, "fjord.rays_up": 1.11, "bazaar.plain": 1.08, "kelp.plain": 1.04, "quarry.plain": 1.07, "orrery.plain": 1.08}},
	{card: "gannet", mode: "stock", speed: level(), atUHD: 1, hitch: 0.2},
	{card: "gannet", mode: "quiet", firmware: "quiet", atUHD: 1, hitch: 0.2, speed: map[string]float64{
		"fjord.plain": 0.98, "fjord.rays_up": 0.975, "bazaar.plain": 0.98, "kelp.plain": 0.99, "quarry.plain": 0.985, "orrery.plain": 0.98}},
	{card: "skua", mode: "stock", atUHD: 0.93, hitch: 0.9, speed: map[string]float64{
		"fjord.plain": 0.91, "fjord.rays_up": 0.72, "bazaar.plain": 0.91, "kelp.plain": 0.90, "quarry.plain": 0.93, "orrery.plain": 0.88}},
}

// games is the truth about the games.
var games = []*game{
	{game: "fjord", variant: "plain", qhd: 118, uhd: 62, swing: 0.09, noise: 0.03, memory: 0.5, launch: 0.003},
	{game: "fjord", variant: "rays_up", qhd: 64, uhd: 33, swing: 0.08, noise: 0.025, memory: 0.4, launch: 0.004},
	{game: "bazaar", variant: "plain", qhd: 260, uhd: 190, host: 150, swing: 0.10, noise: 0.05, memory: 0.3, launch: 0.004},
	{game: "kelp", variant: "plain", qhd: 96, uhd: 51, swing: 0.08, noise: 0.03, memory: 0.5, launch: 0.006},
	{game: "quarry", variant: "plain", qhd: 132, uhd: 71, swing: 0.07, noise: 0.025, memory: 0.4, launch: 0.003, sites: 12},
	{game: "orrery", variant: "plain", qhd: 112, uhd: 68, limit: 60, swing: 0.03, noise: 0.02, memory: 0.4, launch: 0.003},
}

// steadyRate is the rate in fps of a card in a game where the scene stands at its mean, before any cap.
func steadyRate(m *mode, g *game, resolution string) float64 {
	rate := float64(g.qhd * m.speed[g.String()])
	if resolution == "uhd" {
		rate = float64(float64(g.uhd*m.speed[g.String()]) * m.atUHD)
	}
	if g.host == 0 {
		return rate
	}
	return 1 / root8(1/pow8(rate)+1/pow8(g.host))
}

// trueRate is the mean frame rate in fps that passes of the demo scatter about: frames over time, so a hitch costs what it lasts.
func trueRate(m *mode, g *game, resolution string, length int) float64 {
	rate := steadyRate(m, g, resolution)
	if g.limit > 0 {
		rate = min(rate, g.limit)
	}
	lost := float64(g.sites) * m.hitch * (shortestHitch + longestHitch) / 2 / 1000
	return rate * (1 - lost/float64(length))
}

// printTruth writes the true rates and their percentages over tern_ref.stock, as the demo's README shows them.
func printTruth(out io.Writer) {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "game and size")
	for _, m := range modes {
		fmt.Fprintf(w, "\t%s", m)
	}
	fmt.Fprintln(w)
	for _, g := range games {
		for _, size := range resolutions {
			base := trueRate(modes[0], g, size, demoLength)
			fmt.Fprintf(w, "%s %s\t%.1f", g, size, base)
			for _, m := range modes[1:] {
				if m.String()+" "+g.String() == doesNotRun {
					fmt.Fprint(w, "\tdoes not run")
					continue
				}
				rate := trueRate(m, g, size, demoLength)
				fmt.Fprintf(w, "\t%.1f %+.1f %%", rate, 100*(rate/base-1))
			}
			fmt.Fprintln(w)
		}
	}
	w.Flush()
}
