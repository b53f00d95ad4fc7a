package main

import (
	"fmt"
	"time"
)

// protocol is how a soak runs, in seconds, as the demo's plan has it.
type protocol struct {
	name                  string
	leadIn, load, cooling int
	repeats               int
	modes                 []string
	frames                bool    // with the frames logged, and no probes
	throttle              float64 // of throttleS, where the soak begins warm; 0: all of it
}

var (
	halfHour = protocol{name: "half_hour", leadIn: 30, load: 1800, cooling: 300, repeats: 2,
		modes: []string{"tern_ref.stock", "heron_x.stock", "gannet.stock", "gannet.quiet", "skua.stock"}}
	eightMinutes = protocol{name: "eight_minutes", leadIn: 20, load: 480, repeats: 1, frames: true, throttle: 0.25,
		modes: []string{"tern_ref.stock", "heron_x.stock", "skua.stock"}}
)

// loggerAhead is how many seconds the logger of the probes begins before the log of the card: the plan's offset.
const loggerAhead = 12.5

// soak is one soak to be made.
type soak struct {
	protocol
	board  *board
	repeat int
	began  time.Time // by the logger's clock
	room   []float64 // °C at knots of roomKnot seconds from where the logger begins
	rise   float64   // factors of this repeat
	power  float64
	louder float64 // dB
}

const roomKnot = 180

// soaks lists all soaks of the demo, a day a card.
func soaks() (out []*soak) {
	day := time.Date(2026, 10, 16, 9, 0, 0, 0, time.UTC)
	for _, p := range []protocol{halfHour, eightMinutes} {
		for _, name := range p.modes {
			for n := 1; n <= p.repeats; n++ {
				out = append(out, newSoak(p, find(boards, name), n, day.Add(time.Duration(n-1)*95*time.Minute)))
			}
			day = day.AddDate(0, 0, 1)
		}
	}
	return out
}

func newSoak(p protocol, b *board, repeat int, began time.Time) *soak {
	s := &soak{protocol: p, board: b, repeat: repeat, began: began}
	d := s.draw("repeat")
	s.rise = 1 + float64(againRise*d.normal())
	s.power = 1 + float64(againWatts*d.normal())
	s.louder = float64(againLevel * d.normal())
	mean := roomC + float64(roomSoak*d.normal())
	for range (p.leadIn+p.load+p.cooling)/roomKnot + 3 {
		s.room = append(s.room, mean+float64(roomWanders*d.normal()))
	}
	return s
}

func (s *soak) String() string { return fmt.Sprintf("%s %s %d", s.name, s.board, s.repeat) }

func (s *soak) draw(what string) draw { return newDraw("demo soak " + s.String() + " " + what) }

// roomAt is the room in °C, s seconds into the log of the card.
func (s *soak) roomAt(at float64) float64 {
	x := (at + loggerAhead) / roomKnot
	i := int(x)
	return s.room[i] + float64((x-float64(i))*(s.room[i+1]-s.room[i]))
}

// above is a temperature of the card in K above the room, in this repeat.
func (s *soak) above(c curve, at float64) float64 {
	return float64(s.rise * c.at(at-float64(s.leadIn), float64(s.load)))
}

// underLoad tells whether a moment is.
func (s *soak) underLoad(at float64) bool {
	return at >= float64(s.leadIn) && at < float64(s.leadIn+s.load)
}

// throttled is how far a clock has given way at a moment: 0 not at all, 1 as far as it goes by the end of the load. Most of it goes in the first
// twenty seconds.
func (s *soak) throttled(at float64) float64 {
	from := s.throttleFrom()
	if from == 0 || at <= from {
		return 0
	}
	const first, slide = 0.9, 20
	if at < from+slide {
		return float64(first*(at-from)) / slide
	}
	return first + float64((1-first)*(at-from-slide))/(float64(s.leadIn+s.load)-from-slide)
}

// throttleFrom is when the clock begins to give way, in s of the log; 0 where it does not.
func (s *soak) throttleFrom() float64 {
	if s.board.throttleS == 0 {
		return 0
	}
	share := 1.0
	if s.throttle != 0 {
		share = s.throttle
	}
	return float64(s.leadIn) + float64(share*s.board.throttleS)
}

// watts is what the board draws on the mean at a moment.
func (s *soak) watts(at float64) float64 {
	b := s.board
	if !s.underLoad(at) {
		return b.idleW
	}
	w := float64(b.watts * s.power)
	if from := s.throttleFrom(); b.limited {
		w = b.watts // the limit is the same in every soak
		if at < from {
			w = float64(w * (0.94 + float64(0.06*(at-float64(s.leadIn)))/(from-float64(s.leadIn))))
		}
	}
	return w
}

// fan is what a fan does: it remembers whether it turns.
type fan struct{ turns bool }

// rpm is the speed of a fan at a moment with the core so warm.
func (f *fan) rpm(s *soak, coreC float64) float64 {
	switch {
	case coreC >= fanStartC:
		f.turns = true
	case coreC < fanStopC:
		f.turns = false
	}
	if !f.turns {
		return 0
	}
	return max(650, s.board.rpm+float64(s.board.perK*(coreC-roomC-s.board.core.final)))
}

// wireError is what a thermocouple reads beside the truth: its own error, the same wherever it sits, and a share of the rise for how it sits.
func wireError(probe, card string) (off, share float64) {
	off = float64(wireOff * newDraw("demo wire "+probe).normal())
	return off, float64(mountOff * newDraw("demo mount "+card+" "+probe).normal())
}
