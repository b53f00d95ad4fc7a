package changes

import (
	"slices"
	"strings"

	"github.com/rigslate/rigslate/export/archive"
)

// PlanChange is one thing that the plan states otherwise, by where it stands: "card.heron_x.driver". An empty side states nothing of it.
type PlanChange struct {
	At  string `json:"at"`
	Was string `json:"was,omitempty"`
	Is  string `json:"is,omitempty"`
}

// planFacts lists what the plan states otherwise, but what is void, which stands with the passes, and what is private, which is nobody's to read.
func planFacts(was, is Edition) []PlanChange {
	out := []PlanChange{}
	for _, at := range sortedKeys(was.plan, is.plan) {
		path := strings.Split(at, ".")
		if was.plan[at] != is.plan[at] && path[0] != "void" && !slices.Contains(path, "private") {
			out = append(out, PlanChange{at, was.plan[at], is.plan[at]})
		}
	}
	return out
}

func sortedKeys(all ...map[string]string) (out []string) {
	for _, m := range all {
		for k := range m {
			out = append(out, k)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// measuredOn are the circumstances that passes record and that viewers ask for.
var measuredOn = []struct {
	name string
	of   func(archive.RunRow) *string
}{
	{"driver", func(r archive.RunRow) *string { return r.Driver }}, {"firmware", func(r archive.RunRow) *string { return r.Firmware }},
	{"build", func(r archive.RunRow) *string { return r.Build }}, {"preset", func(r archive.RunRow) *string { return r.Preset }},
	{"API", func(r archive.RunRow) *string { return r.API }}, {"rig", func(r archive.RunRow) *string { return r.Rig }},
}

// circumstances says of the passes of a cell that count on what they were measured otherwise.
func circumstances(was, is []archive.RunRow) (out []string) {
	values := func(rows []archive.RunRow, of func(archive.RunRow) *string) string {
		var all []string
		for _, r := range rows {
			if v := of(r); v != nil && r.Status == used && !slices.Contains(all, *v) {
				all = append(all, *v)
			}
		}
		slices.Sort(all)
		return strings.Join(all, " and ")
	}
	for _, c := range measuredOn {
		if a, b := values(was, c.of), values(is, c.of); a != b && a != "" && b != "" {
			out = append(out, c.name+" "+b+" instead of "+a)
		}
	}
	return out
}
