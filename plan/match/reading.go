package match

import (
	"slices"
	"strings"
	"time"

	"github.com/rigslate/rigslate/plan"
)

// reading is what the placeholders of a pattern hold for one name; "" and 0 where the pattern does not say.
type reading struct {
	card, mode, game, variant, resolution, size string
	repeat                                      int
	stamp                                       string
}

// meaning is one thing a name may mean: a pass of a declared cell, in the matrix or not.
type meaning struct {
	key    plan.Key
	repeat int
	stamp  string
}

// matcher finds all readings of one name by trying, segment by segment, everything declared that the name goes on with.
type matcher struct {
	name string
	segs []segment
	fold bool // letters match whatever their case
	ends []int
	seen map[step]bool // nil where no two ways can lead to one reading
	take func(r reading, ends []int)
}

// step is a point of the search; what follows from it depends on nothing else.
type step struct {
	seg, pos int
	reading  reading
}

// match calls take for each reading of the name, with the end of each segment's text.
func (f *form) match(name string, fold bool, take func(r reading, ends []int)) {
	if !fold && (!strings.HasPrefix(name, f.head) || !strings.HasSuffix(name, f.tail)) {
		return
	}
	m := matcher{name: name, segs: f.segs, fold: fold, ends: make([]int, 0, 16), take: take}
	if f.manyWays {
		m.seen = map[step]bool{}
	}
	m.from(0, reading{})
}

func (m *matcher) from(pos int, r reading) {
	i := len(m.ends)
	if i == len(m.segs) {
		if pos == len(m.name) {
			m.take(r, m.ends)
		}
		return
	}
	if m.seen != nil {
		s := step{i, pos, r}
		if m.seen[s] {
			return
		}
		m.seen[s] = true
	}
	rest := m.name[pos:]
	switch s := m.segs[i]; s.part {
	case literal:
		if m.begins(rest, s.text) {
			m.on(pos+len(s.text), r)
		}
	case repeat:
		n, length, ok := repeatAt(rest)
		if !ok || i > 0 && m.segs[i-1].part == anything && pos > 0 && isDigit(m.name[pos-1]) || r.repeat != 0 && r.repeat != n {
			return
		}
		r.repeat = n
		m.on(pos+length, r)
	case stamp:
		for _, n := range stampsAt(rest, m.fold) {
			if r.stamp == "" || r.stamp == rest[:n] {
				next := r
				next.stamp = rest[:n]
				m.on(pos+n, next)
			}
		}
	case anything:
		for n := 0; ; n++ {
			m.on(pos+n, r)
			if n == len(rest) || rest[n] == '/' {
				return
			}
		}
	default:
		for _, label := range s.labels {
			if m.begins(rest, label) {
				m.label(s.part, label, pos+len(label), r)
			}
		}
	}
}

// label goes on with a label taken, unless the name said otherwise before.
func (m *matcher) label(k part, label string, pos int, r reading) {
	var field *string
	switch k {
	case card:
		field = &r.card
	case mode:
		field = &r.mode
	case game:
		field = &r.game
	case variant:
		field = &r.variant
	case resolution:
		field = &r.resolution
	case size:
		field = &r.size
	default: // review names no part of a cell
		m.on(pos, r)
		return
	}
	if *field == "" || *field == label {
		*field = label
		m.on(pos, r)
	}
}

func (m *matcher) on(pos int, r reading) {
	m.ends = append(m.ends, pos)
	m.from(pos, r)
	m.ends = m.ends[:len(m.ends)-1]
}

func (m *matcher) begins(s, with string) bool {
	if len(s) < len(with) {
		return false
	}
	return s[:len(with)] == with || m.fold && strings.EqualFold(s[:len(with)], with)
}

// enough is where counting the meanings of one name ends: two are an error already.
const enough = 16

// meanings gives everything a name may mean under the pattern, once each, at most enough of them; want holds the parts of the
// key that are known from elsewhere. proper is the name with each part in its declared case, where fold was asked for.
func (pt *pattern) meanings(ix *index, name string, want plan.Key, fold bool) (all []meaning, proper string) {
	for i := range pt.forms {
		f := &pt.forms[i]
		f.match(name, fold, func(r reading, ends []int) {
			n := len(all)
			all = ix.expand(all, f, r, want)
			if len(all) > n && proper == "" && fold {
				proper = f.proper(name, ends)
			}
		})
	}
	return all, proper
}

// text is the part of a name that a segment took.
func text(name string, ends []int, i int) string {
	if i == 0 {
		return name[:ends[0]]
	}
	return name[ends[i-1]:ends[i]]
}

// proper writes a name as the plan would have it.
func (f *form) proper(name string, ends []int) string {
	var b strings.Builder
	for i, s := range f.segs {
		took := text(name, ends, i)
		switch s.part {
		case literal:
			took = s.text
		case stamp:
			took = strings.ToUpper(took)
		case repeat, anything:
		default:
			if j := slices.IndexFunc(s.labels, func(l string) bool { return strings.EqualFold(l, took) }); j >= 0 {
				took = s.labels[j]
			}
		}
		b.WriteString(took)
	}
	return b.String()
}

// expand adds what a reading may mean: every declared combination that neither it nor want contradicts. A part left out of the
// name stands for an implied one only.
func (ix *index) expand(all []meaning, f *form, r reading, want plan.Key) []meaning {
	for i := range ix.plan.Cards {
		c := &ix.plan.Cards[i]
		if !fits(c.Name, r.card, want.Card) {
			continue
		}
		for _, m := range c.Modes {
			if !fits(m.Name, r.mode, want.Mode) || f.noMode && !m.Implied {
				continue
			}
			for j := range ix.plan.Games {
				g := &ix.plan.Games[j]
				if !fits(g.Name, r.game, want.Game) {
					continue
				}
				for _, v := range g.Variants {
					if !fits(v.Name, r.variant, want.Variant) || f.noVariant && !v.Implied {
						continue
					}
					k := plan.Key{Card: c.Name, Mode: m.Name, Game: g.Name, Variant: v.Name}
					if all = ix.resolutions(all, r, k, want.Resolution); len(all) >= enough {
						return all
					}
				}
			}
		}
	}
	return all
}

func (ix *index) resolutions(all []meaning, r reading, k plan.Key, want string) []meaning {
	for _, res := range ix.plan.Resolutions {
		if !fits(res.Name, r.resolution, want) || r.size != "" && r.size != res.Size() {
			continue
		}
		k.Resolution = res.Name
		if m := (meaning{key: k, repeat: r.repeat, stamp: r.stamp}); !slices.Contains(all, m) {
			all = append(all, m)
		}
	}
	return all
}

// fits reports whether a label is what each of two sources says, an empty one saying nothing.
func fits(label, one, other string) bool {
	return (one == "" || one == label) && (other == "" || other == label)
}

func (m meaning) time() time.Time {
	t, _ := parseStamp(m.stamp, true)
	return t
}
