package plan

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/hashicorp/hcl/v2"

	"github.com/rigslate/rigslate/plan/finding"
)

// placeholders are what a path may leave open.
var placeholders = []string{"review", "card", "mode", "game", "variant", "resolution", "size", "repeat", "any", "time"}

var placeholderForm = regexp.MustCompile(`\{[^{}]*\}`)

var driveLetter = regexp.MustCompile(`^[A-Za-z]:`)

// badPath says why a path cannot lie below the captures' folder, "" if it can.
func badPath(path string) string {
	switch {
	case path == "":
		return "It is empty."
	case strings.Contains(path, `\`):
		return quote(path) + ` has a \.`
	case strings.HasPrefix(path, "/"), driveLetter.MatchString(path):
		return quote(path) + " is absolute."
	case slices.Contains(strings.Split(path, "/"), ".."):
		return quote(path) + " leads out of the folder."
	case strings.ContainsFunc(path, func(r rune) bool { return r < 0x20 || r == 0x7f }):
		return quote(path) + " holds control characters."
	}
	return ""
}

// checkPattern looks at a path for form, and for cells that it cannot tell apart.
func (l *loader) checkPattern(b *block, f Files) {
	at := b.rangeOf("path")
	if why := badPath(f.Path); why != "" {
		l.error(at, "Path is refused", why, "Write it relative to the captures' folder, with /.")
		return
	}
	has, ok := l.placeholders(at, f.Path, placeholders)
	if !ok {
		return
	}
	if l.cellsKnown && f.Log == "" {
		l.checkApart(b, has)
	}
}

// placeholders lists what a path leaves open, of what it may leave open.
func (l *loader) placeholders(at hcl.Range, path string, known []string) (has map[string]bool, ok bool) {
	has = map[string]bool{}
	for _, p := range placeholderForm.FindAllString(path, -1) {
		name := p[1 : len(p)-1]
		if !slices.Contains(known, name) {
			l.error(at, "Unknown placeholder", fmt.Sprintf("The path has %s.", p), didYouMean(name, known))
			return nil, false
		}
		has[name] = true
	}
	if rest := placeholderForm.ReplaceAllString(path, ""); strings.ContainsAny(rest, "{}") {
		l.error(at, "Placeholder is not closed", fmt.Sprintf("The path is %s.", quote(path)), "Placeholders are words in braces, such as {card}.")
		return nil, false
	}
	return has, true
}

// checkApart finds cells whose files could not be told apart by this path. With a bench log, its rows can.
func (l *loader) checkApart(b *block, has map[string]bool) {
	cards, games, resolutions := map[string]bool{}, map[string]bool{}, map[string]bool{}
	modes, variants, sizes := map[string][]string{}, map[string][]string{}, map[string]string{}
	repeated, sameSize := false, ""
	add := func(of map[string][]string, key, name string) {
		if !slices.Contains(of[key], name) {
			of[key] = append(of[key], name)
		}
	}
	for _, c := range l.plan.Cells {
		if c.Waived != "" {
			continue
		}
		cards[c.Card], games[c.Game], resolutions[c.Resolution] = true, true, true
		add(modes, c.Card, c.Mode)
		add(variants, c.Game, c.Variant)
		repeated = repeated || c.Repeats > 1
		r, _ := l.plan.Resolution(c.Resolution)
		if other, seen := sizes[r.Size()]; seen && other != r.Name {
			sameSize = r.Size()
		}
		sizes[r.Size()] = r.Name
	}
	need := func(missing bool, severity finding.Severity, what, add string) {
		if missing {
			l.add(severity, b.place("path"), "Path cannot tell cells apart",
				fmt.Sprintf("The matrix has %s, and the path does not say which.", what), "Add "+add+".")
		}
	}
	// Only the files of some cards and games hang on mode and variant; the others are told apart all the same.
	need(len(cards) > 1 && !has["card"], finding.Error, "several cards", "{card}")
	need(len(games) > 1 && !has["game"], finding.Error, "several games", "{game}")
	need(len(resolutions) > 1 && !has["resolution"] && !has["size"], finding.Error, "several resolutions", "{resolution} or {size}")
	need(sameSize != "" && has["size"] && !has["resolution"], finding.Error, "several resolutions of "+sameSize, "{resolution}")
	need(severalIn(modes) && !has["mode"], finding.Warning, "several modes of a card", "{mode}")
	need(severalIn(variants) && !has["variant"], finding.Warning, "several variants of a game", "{variant}")
	need(repeated && !has["repeat"] && !has["time"] && !has["any"], finding.Error, "several passes of a cell", "{repeat}, {time} or {any}")
}

func severalIn(m map[string][]string) bool {
	for _, names := range m {
		if len(names) > 1 {
			return true
		}
	}
	return false
}
