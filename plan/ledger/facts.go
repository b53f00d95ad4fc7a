package ledger

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/rigslate/rigslate/plan"
)

// Facts are the circumstances of a pass that make it comparable. "" is a fact that nobody stated.
type Facts struct {
	Driver   string `json:"driver,omitempty"`
	Build    string `json:"build,omitempty"` // of the game
	Settings string `json:"settings,omitempty"`
	Firmware string `json:"firmware,omitempty"`
	Launch   string `json:"launch,omitempty"`
	Session  string `json:"session,omitempty"`
}

// Mismatch is a recorded fact that is stated otherwise now.
type Mismatch struct {
	Field         string // driver, build, settings, firmware, launch or session
	Recorded, Now string
}

func (m Mismatch) String() string {
	return fmt.Sprintf("%s was %s when it was recorded, is %s now", m.Field, m.Recorded, m.Now)
}

func (f *Facts) each() []struct {
	name  string
	value *string
} {
	return []struct {
		name  string
		value *string
	}{
		{"driver", &f.Driver}, {"build", &f.Build}, {"settings", &f.Settings},
		{"firmware", &f.Firmware}, {"launch", &f.Launch}, {"session", &f.Session},
	}
}

// valid gives the facts as JSON can keep them.
func (f Facts) valid() Facts {
	for _, mine := range f.each() {
		*mine.value = strings.ToValidUTF8(*mine.value, "\ufffd")
	}
	return f
}

// with fills what is open in f from other.
func (f Facts) with(other Facts) Facts {
	from := other.each()
	for i, mine := range f.each() {
		if *mine.value == "" {
			*mine.value = *from[i].value
		}
	}
	return f
}

// open gives what now states and f does not.
func (f Facts) open(now Facts) Facts {
	have := f.each()
	for i, stated := range now.each() {
		if *have[i].value != "" {
			*stated.value = ""
		}
	}
	return now
}

// against gives what both state, unlike.
func (f Facts) against(now Facts) []Mismatch {
	var out []Mismatch
	stated := now.each()
	for i, have := range f.each() {
		if was, is := *have.value, *stated[i].value; was != "" && is != "" && was != is {
			out = append(out, Mismatch{have.name, was, is})
		}
	}
	return out
}

// Settings gives the canonical text of what a variant and a card's mode set: `mode.raises core_mhz=90; variant preset="highest"`,
// sorted, so that the order in which a plan writes them does not matter. "" if they set nothing.
func Settings(m plan.CardMode, v plan.Variant) string {
	var parts []string
	for _, n := range m.Raises {
		parts = append(parts, "mode.raises "+n.Key+"="+strconv.FormatFloat(n.Value, 'g', -1, 64))
	}
	for _, p := range m.Settings {
		parts = append(parts, "mode "+p.Key+"="+strconv.Quote(p.Value))
	}
	for _, p := range v.Settings {
		parts = append(parts, "variant "+p.Key+"="+strconv.Quote(p.Value))
	}
	slices.Sort(parts)
	return strings.Join(parts, "; ")
}
