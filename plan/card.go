package plan

import (
	"fmt"
	"time"
)

func (l *loader) card(b *block) {
	c := Card{Name: b.name, Title: b.text("name"), Vendor: b.text("vendor"), Driver: b.text("driver"),
		Sample: l.sample(b), Prices: l.prices(b), Memory: l.memory(b), Body: b.body(), Connectors: b.connectors(), Phases: b.phases(),
		Place: b.at(), DriverPlace: b.place("driver")}
	c.PartsG = b.parts(c.Body)
	if c.Title == "" {
		c.Title = c.Name
	}
	l.discretion(b, &c)
	b.members("card", "mode", func(m *block) {
		mode := CardMode{Name: m.name, Raises: m.numbers("raises"), Limits: m.limits(), Firmware: m.text("firmware"), Settings: m.pairs("settings"), Place: m.at()}
		if !m.again {
			c.Modes = append(c.Modes, mode)
		}
	})
	if len(c.Modes) == 0 {
		c.Modes = []CardMode{{Name: implied["card"], Implied: true, Place: c.Place}}
	}
	if !b.again {
		l.plan.Cards = append(l.plan.Cards, c)
	}
}

func (l *loader) sample(b *block) Sample {
	f, ok := b.object("sample", "sample")
	if !ok {
		return Sample{}
	}
	s := Sample{Origin: f.text("origin"), HereFrom: f.date("here_from"), Leaves: f.date("leaves")}
	if f.has("leaves") {
		s.LeavesPlace = f.place("leaves")
	}
	if !s.HereFrom.IsZero() && !s.Leaves.IsZero() && !s.Leaves.After(s.HereFrom) {
		l.error(f.rangeOf("leaves"), "Card leaves before it comes", fmt.Sprintf("%s is here from %s.", b.what, s.HereFrom.Format(time.DateOnly)), "Mend one of the dates.")
	}
	return s
}

func (l *loader) memory(b *block) *Memory {
	f, ok := b.object("memory", "memory")
	if !ok {
		return nil
	}
	m := &Memory{}
	m.RateGTps, _ = f.number("rate_gtps", 0.001, 1e4)
	m.BusBits, _ = f.whole("bus_bits", 1, 1<<20)
	return m
}
