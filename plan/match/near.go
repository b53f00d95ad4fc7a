package match

import (
	"fmt"
	"slices"
	"strings"

	"github.com/agext/levenshtein"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// maxLooked is how many strays of one folder are looked at closely. Beyond it the folder is another one than the plan means,
// and the reason would be the same a hundred thousand times.
const maxLooked = 1000

// compressed are the endings that a capture may have beyond what path says.
var compressed = []string{".gz", ".zst"}

// unmatched says what a file is that no path matches: a stray where it lies in the folder of a path and has its extension,
// else one of the others.
func (f *finder) unmatched(e *entry) {
	var pt *pattern
	for _, p := range f.patterns {
		if p != nil && p.near(e.path) {
			pt = p
			break
		}
	}
	if pt == nil {
		if s, ok := f.besideLogged(e.path); ok {
			f.found.Strays = append(f.found.Strays, s)
			return
		}
		f.other(e.path)
		return
	}
	s := Stray{Path: e.path, Why: "not of the form " + pt.files.Path}
	if f.looked++; f.looked <= maxLooked {
		f.look(&s)
	}
	f.found.Strays = append(f.found.Strays, s)
}

// near reports whether a file lies below the folder of the pattern and has its extension, whatever the case of the letters.
func (pt *pattern) near(name string) bool {
	low := strings.ToLower(name)
	if !strings.HasPrefix(low, strings.ToLower(pt.dir)) {
		return false
	}
	ext := strings.ToLower(pt.ext)
	if strings.HasSuffix(low, ext) {
		return true
	}
	return slices.ContainsFunc(compressed, func(c string) bool { return strings.HasSuffix(low, ext+c) })
}

// look finds why a name matches no path: its case, its ending, or the parts that are not declared.
func (f *finder) look(s *Stray) {
	best := alignment{cost: tooFar}
	for _, pt := range f.patterns {
		if pt == nil || !pt.near(s.Path) {
			continue
		}
		if _, proper := pt.meanings(f.ix, s.Path, plan.Key{}, true); proper != "" {
			s.Why, s.Suggest = "its name differs from a declared one only in case", proper
			f.list.Add(finding.Warning, finding.Place{File: s.Path}, "A file name differs from a declared one only in case",
				"It is not used: names are matched as they are written.", "Rename it to "+proper+".")
			return
		}
		for _, ending := range compressed {
			plain, ok := strings.CutSuffix(s.Path, ending)
			if !ok {
				continue
			}
			if all, _ := pt.meanings(f.ix, plain, plan.Key{}, false); len(all) > 0 {
				s.Why, s.Suggest = fmt.Sprintf("path does not end in %s", ending), pt.files.Path+ending
				return
			}
		}
		for i := range pt.forms {
			if a := pt.forms[i].align(s.Path); a.cost < best.cost {
				best = a
			}
		}
	}
	if best.cost < tooFar {
		best.tell(f.ix, s)
	}
}

// alignment is the likeliest split of a name that does not match: what each segment of a form would hold.
type alignment struct {
	form  *form
	name  string
	texts []string
	cost  int
}

const (
	tooFar   = 1 << 20
	maxLabel = 60  // bytes that are compared with labels; none has more than 40
	maxName  = 300 // bytes of a path that is looked at closely
)

// aligner finds the split of least cost: literals must be there, in any case of letters; placeholders cost their distance from
// what they may hold.
type aligner struct {
	form *form
	name string
	best map[[2]int]split // by segment and position
}

type split struct {
	end, cost int
}

func (f *form) align(name string) alignment {
	a := aligner{form: f, name: name, best: map[[2]int]split{}}
	out := alignment{form: f, name: name, cost: tooFar}
	if len(name) > maxName {
		return out
	}
	if out.cost = a.from(0, 0).cost; out.cost >= tooFar {
		return out
	}
	pos := 0
	for i := range f.segs {
		end := a.from(i, pos).end
		out.texts = append(out.texts, name[pos:end])
		pos = end
	}
	return out
}

func (a *aligner) from(i, pos int) split {
	if i == len(a.form.segs) {
		if pos == len(a.name) {
			return split{pos, 0}
		}
		return split{pos, tooFar}
	}
	if s, ok := a.best[[2]int{i, pos}]; ok {
		return s
	}
	best := split{pos, tooFar}
	s := a.form.segs[i]
	if s.part == literal {
		if end := pos + len(s.text); end <= len(a.name) && strings.EqualFold(a.name[pos:end], s.text) {
			best = split{end, a.from(i+1, end).cost}
		}
	} else {
		for end := pos; end <= len(a.name) && (end == pos || a.name[end-1] != '/'); end++ {
			if !a.mayEnd(i, end) || end == pos && s.part != anything {
				continue
			}
			after := a.from(i+1, end).cost
			if after >= best.cost {
				continue
			}
			if c := after + s.distance(a.name[pos:end]); c < best.cost {
				best = split{end, c}
			}
		}
	}
	a.best[[2]int{i, pos}] = best
	return best
}

// mayEnd reports whether what follows segment i can begin at pos.
func (a *aligner) mayEnd(i, pos int) bool {
	if i+1 == len(a.form.segs) {
		return pos == len(a.name)
	}
	next := a.form.segs[i+1]
	if next.part != literal {
		return true
	}
	end := pos + len(next.text)
	return end <= len(a.name) && strings.EqualFold(a.name[pos:end], next.text)
}

// distance is how far a text is from what the segment may hold.
func (s segment) distance(text string) int {
	switch s.part {
	case anything:
		return 0
	case repeat:
		if _, n, ok := repeatAt(text); ok && n == len(text) {
			return 0
		}
		return 2 + len(text)
	case stamp:
		if _, ok := parseStamp(text, false); ok {
			return 0
		}
		return 3 + max(0, len(text)-len(stampLayouts[3]))
	}
	least := len(text) + 3
	if len(text) > maxLabel {
		return least
	}
	for _, label := range s.labels {
		if label == text {
			return 0
		}
		least = min(least, 1+levenshtein.Distance(text, label, nil))
	}
	return least
}

// tell names the parts that failed, and for each what was likely meant.
func (a alignment) tell(ix *index, s *Stray) {
	var why, meant []string
	held := map[part]string{}
	for i, seg := range a.form.segs {
		text := a.texts[i]
		held[seg.part] = text
		switch {
		case seg.part == literal || seg.distance(text) == 0:
		case seg.part == repeat:
			why = append(why, fmt.Sprintf("repeat %q is no number from 1 to %d", text, MaxRepeat))
		case seg.part == stamp:
			why = append(why, fmt.Sprintf("time %q is not written as %s", text, "20270304T140000 or 2027-03-04_14-00-00"))
		default:
			why = append(why, fmt.Sprintf("%s %q", seg.part, text))
			if near := nearest(text, seg.labels); near != "" {
				meant = append(meant, near)
			}
		}
	}
	switch {
	case len(why) > 2:
		return // nothing of the sort: the form is the better answer
	case len(why) > 0:
		s.Why, s.Suggest = strings.Join(why, " and "), strings.Join(meant, " and ")
		return
	}
	// Every part is declared, so the mode is another card's or the variant another game's, or a part is named twice, unlike.
	c, g := ix.cards[held[card]], ix.games[held[game]]
	if c != nil && held[mode] != "" {
		if _, ok := c.Mode(held[mode]); !ok {
			s.Why, s.Suggest = fmt.Sprintf("card %s has no mode %q", c.Name, held[mode]), nearest(held[mode], modeNames(c))
			return
		}
	}
	if g != nil && held[variant] != "" {
		if _, ok := g.Variant(held[variant]); !ok {
			s.Why, s.Suggest = fmt.Sprintf("game %s has no variant %q", g.Name, held[variant]), nearest(held[variant], variantNames(g))
			return
		}
	}
	switch {
	case a.form.noMode && c != nil && !c.Modes[0].Implied:
		s.Why = fmt.Sprintf("card %s has the modes %s; none is named", c.Name, both(modeNames(c)))
	case a.form.noVariant && g != nil && !g.Variants[0].Implied:
		s.Why = fmt.Sprintf("game %s has the variants %s; none is named", g.Name, both(variantNames(g)))
	default:
		s.Why = "its parts contradict each other"
	}
}

func modeNames(c *plan.Card) (names []string) {
	for _, m := range c.Modes {
		names = append(names, m.Name)
	}
	return names
}

func variantNames(g *plan.Game) (names []string) {
	for _, v := range g.Variants {
		names = append(names, v.Name)
	}
	return names
}
