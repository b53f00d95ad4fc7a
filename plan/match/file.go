package match

import (
	"fmt"
	"path"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// gap is a part that a block's path does not name although it has several values for a file.
type gap struct {
	block int
	what  string
}

// candidate is what one block makes of a name.
type candidate struct {
	block int
	meaning
}

// byPattern says what a file is that no bench log names.
func (f *finder) byPattern(e *entry) {
	if e.odd {
		f.other(e.path)
		return
	}
	var all []candidate
	meant := map[meaning]bool{}
	for i, pt := range f.patterns {
		if pt == nil {
			continue
		}
		ms, _ := pt.meanings(f.ix, e.path, plan.Key{}, false)
		for _, m := range ms {
			all = append(all, candidate{i, m})
			meant[m] = true
		}
	}
	switch {
	case len(all) == 0:
		if !f.isBeside(e) {
			f.unmatched(e)
		}
	case len(meant) == 1:
		for _, c := range all[1:] {
			f.count2(f.doubly, [2]int{all[0].block, c.block}, e.path)
		}
		f.add(e, all[0], nil)
	default:
		f.ambiguous(e, all)
	}
}

// disguised reports what is named like a capture and is none: a folder, a pipe, a device.
func (f *finder) disguised(folders []string) {
	say := func(path, what string) {
		for _, pt := range f.patterns {
			if pt == nil {
				continue
			}
			if ms, _ := pt.meanings(f.ix, path, plan.Key{}, false); len(ms) > 0 {
				f.list.Add(finding.Warning, finding.Place{File: path}, what+" is named like a capture",
					fmt.Sprintf("It would be a pass of %s.", ms[0].key), "Put the capture's file in its place, or rename it.")
				return
			}
		}
	}
	for _, path := range folders {
		say(path, "A folder")
	}
	for _, e := range f.entries {
		if e.odd && !strings.HasSuffix(e.path, "/") && !strings.HasPrefix(path.Base(e.path), ".") {
			say(e.path, "Something that is no file")
		}
	}
}

// add enters a file of a known cell; one outside the matrix is a stray.
func (f *finder) add(e *entry, c candidate, row *LogRow) {
	if !f.ix.cells[c.key] {
		s := Stray{Path: e.path, Why: fmt.Sprintf("%s is not in the matrix", c.key)}
		if row != nil {
			s.Place = row.at(colFile)
		}
		f.found.Strays = append(f.found.Strays, s)
		return
	}
	f.found.Files = append(f.found.Files, File{
		Path: e.path, Key: c.key, Repeat: c.repeat, Time: c.time(), Files: &f.plan.Files[c.block],
		Size: e.size, Modified: e.modified, Row: row,
	})
}

// ambiguous reports a name with more than one reading: once for all files where the path leaves a part out, else for each.
func (f *finder) ambiguous(e *entry, all []candidate) {
	if what := f.unnamedPart(all); what != "" {
		g := gap{all[0].block, what}
		t := f.unnamed[g]
		if t == nil {
			t = &tally{first: e.path}
			f.unnamed[g] = t
		}
		t.n++
		return
	}
	var names []string
	for _, c := range all {
		name := c.meaning.String()
		if c.block != all[0].block || len(f.plan.Files) > 1 {
			name += fmt.Sprintf(" (files %q)", f.plan.Files[c.block].Name)
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	f.list.Add(finding.Error, finding.Place{File: e.path}, "A file name can be read in more than one way",
		"It means "+either(names)+".", "Rename it, say in a bench log which it is, or separate the parts of path by a character that no label has.")
}

// unnamedPart says which part differs, if all readings are of one block and differ only in parts that its path does not name.
func (f *finder) unnamedPart(all []candidate) string {
	first := all[0]
	pt := f.patterns[first.block]
	values := make(map[part][]string)
	for _, c := range all {
		if c.block != first.block || c.repeat != first.repeat || c.stamp != first.stamp {
			return ""
		}
		for _, k := range []part{card, mode, game, variant, resolution} {
			if v := keyPart(c.key, k); !slices.Contains(values[k], v) {
				values[k] = append(values[k], v)
			}
		}
	}
	for k, v := range values {
		if len(v) > 1 && !slices.Contains(pt.missing, k) {
			return ""
		}
	}
	for _, k := range pt.missing {
		switch {
		case len(values[k]) == 1:
		case k == mode:
			return fmt.Sprintf("mode: card %s has %s", first.key.Card, both(values[k]))
		case k == variant:
			return fmt.Sprintf("variant: game %s has %s", first.key.Game, both(values[k]))
		default:
			return fmt.Sprintf("%s: there are %s", k, both(values[k]))
		}
	}
	return ""
}

func keyPart(k plan.Key, p part) string {
	switch p {
	case card:
		return k.Card
	case mode:
		return k.Mode
	case game:
		return k.Game
	case variant:
		return k.Variant
	case resolution:
		return k.Resolution
	}
	return ""
}

// String gives the cell and, where the name says them, pass and time.
func (m meaning) String() string {
	s := m.key.String()
	if m.repeat > 0 {
		s += fmt.Sprintf(" pass %d", m.repeat)
	}
	if m.stamp != "" {
		s += " of " + m.stamp
	}
	return s
}

func either(words []string) string { return strings.Join(words, " or ") }
func both(words []string) string   { return strings.Join(words, ", ") }

func (f *finder) count2(in map[[2]int]*tally, at [2]int, path string) {
	if in[at] == nil {
		in[at] = &tally{first: path}
	}
	in[at].n++
}

// sayTallies reports what many files have in common.
func (f *finder) sayTallies() {
	for g, t := range f.unnamed {
		b := f.plan.Files[g.block]
		f.list.Add(finding.Error, b.PathPlace, "A path does not say which cell its files belong to",
			fmt.Sprintf("It names no %s (%s).", g.what, t), "Add the placeholder to path and the name to the files, or say it in a bench log.")
	}
	for pair, t := range f.doubly {
		a, b := f.plan.Files[pair[0]], f.plan.Files[pair[1]]
		f.list.Add(finding.Warning, b.PathPlace, "Two files blocks match the same files",
			fmt.Sprintf("files %q matches what files %q matches before it: %s.", b.Name, a.Name, t), "The first is used. Make one of the paths narrower.")
	}
}
