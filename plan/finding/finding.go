// Package finding is the one type in which every stage says what is wrong, doubtful or worth knowing: plan, capture, bench log
// and archive alike. A stage returns its value and its findings together and never prints; one printer shows them all. Errors
// as a chain of wrapped strings were rejected for this: they end at the first mistake, and a reviewer wants all of them at once.
package finding

import (
	"cmp"
	"slices"
)

// Severity says what a finding means for the work: an Error stops between stages, a Warning and a Note do not.
type Severity uint8

const (
	Error Severity = iota
	Warning
	Note
)

func (s Severity) String() string {
	switch s {
	case Error:
		return "error"
	case Warning:
		return "warning"
	}
	return "note"
}

// MarshalText gives JSON output the word instead of the number.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// Place is where a finding points. Line and Column count from 1; zero means the whole file. Column and EndColumn count
// characters as shown. Source is the line's text where it helps to see it.
type Place struct {
	File      string `json:"file,omitempty"`
	Line      int    `json:"line,omitempty"`
	Column    int    `json:"column,omitempty"`
	EndColumn int    `json:"end_column,omitempty"`
	Source    string `json:"source,omitempty"`
}

// Finding is one thing said about one place. Summary is a constant sentence of ours, the same for every finding of its kind;
// Detail carries the offending value; Mend says what to write or do instead.
type Finding struct {
	Severity Severity `json:"severity"`
	Summary  string   `json:"summary"`
	Detail   string   `json:"detail,omitempty"`
	Mend     string   `json:"mend,omitempty"`
	Place    Place    `json:"place"`
}

// List is the findings of one stage.
type List []Finding

// Add appends a finding built from its parts.
func (l *List) Add(s Severity, at Place, summary, detail, mend string) {
	*l = append(*l, Finding{Severity: s, Summary: summary, Detail: detail, Mend: mend, Place: at})
}

// HasErrors reports whether any finding is an Error.
func (l List) HasErrors() bool {
	return slices.ContainsFunc(l, func(f Finding) bool { return f.Severity == Error })
}

// Count returns how many findings have the severity.
func (l List) Count(s Severity) (n int) {
	for _, f := range l {
		if f.Severity == s {
			n++
		}
	}
	return n
}

// Tidy sorts by place and drops what is said twice, so that output never depends on the order of work.
func (l List) Tidy() List {
	l = slices.Clone(l)
	slices.SortStableFunc(l, func(a, b Finding) int {
		return cmp.Or(
			cmp.Compare(a.Place.File, b.Place.File),
			cmp.Compare(a.Place.Line, b.Place.Line),
			cmp.Compare(a.Place.Column, b.Place.Column),
			cmp.Compare(a.Severity, b.Severity),
			cmp.Compare(a.Summary, b.Summary),
			cmp.Compare(a.Detail, b.Detail),
		)
	})
	return slices.Compact(l)
}
