package plan

import (
	"fmt"
	"slices"
)

// loads are the words for what is no game.
var loads = []string{string(Idle), string(TwoDisplays), string(Video), string(CappedGame), string(OtherLoad)}

// soak reads one protocol. Its inner blocks lean on what stands before them here: channels on probes and noise, all on the modes.
func (l *loader) soak(b *block) {
	s := Soak{Name: b.name, Note: b.text("note"), Modes: b.modes("cards"), Repeats: 1, Place: b.at()}
	if len(s.Modes) == 0 {
		s.Modes = l.allModes()
	}
	l.soakLoad(b, &s)
	l.soakLengths(b, &s)
	if n, ok := b.whole("repeats", 1, maxRepeats); ok {
		s.Repeats = n
	}
	room, at := b.ambient()
	s.Ambient, s.Logger, s.Noise, s.Repeatability = room, b.logger(), b.noise(), b.repeatability()
	b.members("soak", "probe", func(o *block) {
		if p := l.probe(o, s); !o.again {
			s.Probes = append(s.Probes, p)
		}
	})
	var wires []wire
	b.members("soak", "log", func(o *block) {
		log, ws := l.soakLog(o, s)
		s.Logs, wires = append(s.Logs, log), append(wires, ws...)
	})
	b.members("soak", "frames", func(o *block) { s.Frames = l.soakFrames(o, s) })
	l.checkWires(s, wires, at)
	if !b.again {
		l.plan.Soaks = append(l.plan.Soaks, s)
	}
}

func (l *loader) allModes() []Mode {
	var ms []Mode
	for _, r := range l.allOf("card") {
		ms = append(ms, Mode{r.name, r.member})
	}
	return ms
}

// soakLoad settles what the load is: a game in one variant, the same held to a frame rate, or something else by its word.
func (l *loader) soakLoad(b *block, s *Soak) {
	if g, ok := b.one("game", "game"); ok {
		s.Game = GameVariant{g.name, g.member}
	}
	if r, ok := b.one("resolution", "resolution"); ok {
		s.Resolution = r.name
	}
	s.Load = SoakLoad(b.word("load", loads...))
	s.CapFPS, _ = b.number("cap_fps", 1, 1000)
	game := b.has("game")
	miss := func(what, mend string) {
		l.error(b.header, "Something is missing", fmt.Sprintf("%s has no %s.", b.what, what), mend)
	}
	switch {
	case !b.has("load") && !game:
		miss("load", `Add game = game.NAME.VARIANT and resolution = resolution.NAME, or load = "idle".`)
	case !b.has("load"):
		s.Load = GameLoad
	case s.Load == CappedGame && !game:
		miss("game", "Add the game that is held to the frame rate.")
	case s.Load != CappedGame && s.Load != "" && game:
		l.error(b.rangeOf("load"), "Load is said twice", fmt.Sprintf("%s has a game and the load %s.", b.what, quote(string(s.Load))), "Delete one of them.")
	}
	if game && !b.has("resolution") {
		miss("resolution", "Add resolution = resolution.NAME.")
	}
	switch {
	case s.Load == CappedGame && !b.has("cap_fps"):
		miss("cap_fps", "Add the frame rate it is held to, such as cap_fps = 60.")
	case s.Load != CappedGame && s.Load != "" && b.has("cap_fps"):
		l.error(b.rangeOf("cap_fps"), unfitting, fmt.Sprintf("%s is no capped load.", b.what), `Add load = "capped", or delete cap_fps.`)
	case s.Load == OtherLoad && !b.has("note"):
		miss("note", "Say in note what the load is.")
	}
}

// unfitting is the summary for an argument that goes with something else than what is there.
const unfitting = "Argument does not fit"

func (l *loader) soakLengths(b *block, s *Soak) {
	impossible := func(key, detail, mend string) { l.error(b.rangeOf(key), "Duration is impossible", detail, mend) }
	length, known := b.duration("length", longest)
	if s.Length = length; known && length == 0 {
		impossible("length", "A soak of no length heats nothing.", `Write how long the load lasts, such as "30m".`)
		known = false
	}
	s.Settle = min(DefaultSettle, s.Length)
	if d, ok := b.duration("settle", longest); ok {
		s.Settle = d
		switch {
		case d == 0:
			impossible("settle", "A mean over no time is none.", `Write over how long at the end the mean is taken, such as "2m".`)
		case known && d > length:
			impossible("settle", fmt.Sprintf("settle is the end of length, and length is %s.", formatDuration(length)), "Shorten settle, or soak longer.")
		}
	}
	s.LeadIn, _ = b.duration("lead_in", longest)
	s.Cooling, _ = b.duration("cooling", longest)
}

// modesOf reads the cards that a part of a soak is about; left out, all of the soak's.
func (f *fields) modesOf(s Soak) []Mode {
	ms := f.modes("cards")
	if len(ms) == 0 {
		return s.Modes
	}
	for _, m := range ms {
		f.l.inSoak(f, "cards", s, m)
	}
	return ms
}

// inSoak says where a mode is not one of the soak's.
func (l *loader) inSoak(f *fields, key string, s Soak, m Mode) bool {
	if slices.Contains(s.Modes, m) {
		return true
	}
	l.error(f.rangeOf(key), "Card is not in the soak", fmt.Sprintf("soak.%s does not ask for %s.", s.Name, m),
		"Name a mode that it has, or add this one to its cards.")
	return false
}
