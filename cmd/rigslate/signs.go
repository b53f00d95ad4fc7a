package main

import (
	"os"
	"strings"

	"github.com/rigslate/rigslate/plan/coverage"
)

// signs is one sign per state, with its word for the legend.
type signs struct {
	sign [coverage.Waived + 1]string
}

var (
	utf8Signs   = signs{[...]string{"○", "◐", "▲", "≠", "×", "●", "◆", "◎", "–"}}
	letterSigns = signs{[...]string{"A", "S", "D", "T", "F", "R", "U", "V", "W"}}
	stateWords  = wordsOfStates()
)

func wordsOfStates() (words [coverage.Waived + 1]string) {
	for s := range words {
		words[s] = coverage.State(s).Shown()
	}
	return words
}

// legendOrder is how the legend reads: the good state first.
var legendOrder = []coverage.State{
	coverage.Ready, coverage.Reused, coverage.Short, coverage.Absent, coverage.Doubtful, coverage.Stale, coverage.Failed, coverage.Vouched, coverage.Waived,
}

// legend explains the signs; that of reused cells where there are any, which few reviews have.
func (s signs) legend(reused bool) string {
	var parts []string
	for _, st := range legendOrder {
		if st == coverage.Reused && !reused {
			continue
		}
		parts = append(parts, s.sign[st]+" "+stateWords[st])
	}
	return strings.Join(parts, "  ")
}

// chooseSigns follows --signs, and for auto the language settings of the terminal: those that name no UTF-8 get letters. With
// none set at all a terminal of today is taken to show UTF-8.
func (a *app) chooseSigns() signs {
	switch a.signs {
	case "utf8":
		return utf8Signs
	case "letters":
		return letterSigns
	}
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		v := strings.ToLower(os.Getenv(name))
		if v == "" {
			continue
		}
		if strings.Contains(v, "utf-8") || strings.Contains(v, "utf8") {
			return utf8Signs
		}
		return letterSigns
	}
	return utf8Signs
}
