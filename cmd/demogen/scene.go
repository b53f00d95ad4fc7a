package main

// scene is what every pass of a game runs through: where it is light and heavy, and where it streams.
type scene struct {
	rate  []float64 // at whole seconds from the start of the capture, averaging 1 over the kept time
	sites []float64 // moments that may hitch, seconds from the start of the capture
}

// newScene draws a game's scene for a review that keeps the seconds from warmup to warmup + length.
func newScene(review string, g *game, warmup, length int) scene {
	d := newDraw(review + " scene " + g.game + " " + g.variant)
	s := scene{rate: make([]float64, warmup+length+4)}
	z := d.normal()
	for i := range s.rate {
		s.rate[i] = 1 + float64(g.swing*min(max(z, -2.2), 2.2))
		z = float64(0.6*z) + float64(0.8*d.normal())
	}
	var area float64
	for i := warmup; i < warmup+length; i++ {
		area += (s.rate[i] + s.rate[i+1]) / 2
	}
	for i := range s.rate {
		s.rate[i] = float64(s.rate[i]*float64(length)) / area
	}
	for i := range g.sites {
		// one site in each of equal stretches of the kept time, well inside it
		at := (float64(i) + 0.15 + float64(0.7*d.uniform())) / float64(g.sites)
		s.sites = append(s.sites, float64(warmup)+float64(at*float64(length)))
	}
	return s
}

// at is the scene's rate t seconds into the capture.
func (s scene) at(t float64) float64 {
	i := min(int(t), len(s.rate)-2)
	f := t - float64(i)
	return s.rate[i] + float64(f*(s.rate[i+1]-s.rate[i]))
}
