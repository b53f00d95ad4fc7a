package match

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// logs reads every bench log and enters what its rows name. Blocks may share a log.
func (f *finder) logs() {
	var names []string
	blocks := map[string][]int{}
	for i, b := range f.plan.Files {
		if b.Log == "" {
			continue
		}
		if detail, mend := wrongPath(b.Log); detail != "" {
			f.list.Add(finding.Error, b.Place, "A bench log's path cannot be used", detail, mend)
			continue
		}
		name := path.Clean(b.Log)
		if blocks[name] == nil {
			names = append(names, name)
		}
		blocks[name] = append(blocks[name], i)
		f.taken[name] = true
	}
	for _, name := range names {
		rows := f.readLog(name, f.plan.Files[blocks[name][0]].Place)
		for i := range rows {
			f.row(&rows[i], blocks[name])
		}
	}
}

func (f *finder) readLog(name string, place finding.Place) []LogRow {
	var data []byte
	file, err := f.root.Open(name)
	if err == nil {
		data, err = io.ReadAll(io.LimitReader(file, maxLog+1))
		file.Close() // only read from
	}
	switch {
	case err != nil:
		detail := fmt.Sprintf("%s: %v.", name, err)
		if errors.Is(err, fs.ErrNotExist) {
			detail = name + " is not there."
		}
		mend := "Put it into the captures' folder, or remove log from the files block."
		if near := f.nearestPath(name); near != "" {
			mend = fmt.Sprintf("Did you mean %s?", near)
		}
		f.list.Add(finding.Error, place, "A bench log cannot be read", detail, mend)
		return nil
	case len(data) > maxLog:
		f.list.Add(finding.Error, finding.Place{File: name}, "A bench log is too large",
			fmt.Sprintf("It has more than %d MiB.", maxLog>>20), "Is it the log? Divide it if so, one for each files block.")
		return nil
	}
	rows, list := parseLog(name, data)
	f.list = append(f.list, list...)
	return rows
}

// row enters one pass of a bench log. Its file is spoken for even if the row is wrong: the path must not decide instead.
func (f *finder) row(r *LogRow, blocks []int) {
	known := f.declared(r)
	if r.File == "" {
		if known {
			f.outcome(r)
		}
		return
	}
	name := path.Clean(r.File)
	if first := f.lines[name]; first != nil {
		f.list.Add(finding.Error, r.at(colFile), "A bench log names a file twice",
			fmt.Sprintf("%s is also named in %s.", name, first.Place), "One file is one pass: keep one of the rows.")
		return
	}
	f.lines[name] = r
	e := f.there(name, r)
	if e == nil {
		return
	}
	f.taken[name] = true
	if !known {
		return
	}
	if c, ok := f.cellOf(r, e.path, blocks); ok {
		f.add(e, c, r)
	}
	if slices.ContainsFunc(blocks, func(b int) bool { return f.plan.Files[b].Path == "" }) {
		f.logged[path.Dir(name)+"/"+path.Ext(name)] = r.Place.File
	}
}

// besideLogged makes a stray of a file that lies among those of a bench log, where nothing else says which files are meant.
func (f *finder) besideLogged(name string) (Stray, bool) {
	log := f.logged[path.Dir(name)+"/"+path.Ext(name)]
	return Stray{Path: name, Why: "not named in " + log}, log != ""
}

// there finds the file that a row names. File names are compared as written, also where the system would not mind their case.
func (f *finder) there(name string, r *LogRow) *entry {
	if e := f.byPath[name]; e != nil {
		return e
	}
	near := f.foldPath(name)
	if near == "" { // it may lie in a folder that the walk leaves out
		if i, err := fs.Stat(f.root, name); err == nil && i.Mode().IsRegular() {
			return &entry{path: name, size: i.Size(), modified: i.ModTime()}
		}
		near = f.nearestPath(name)
	}
	mend := "Find it, or leave the field empty and give an outcome if nothing was saved."
	if near != "" {
		mend = fmt.Sprintf("Did you mean %s?", near)
	}
	f.list.Add(finding.Error, r.at(colFile), "A file of the bench log is not there", name+" is named, but lies nowhere in the captures' folder.", mend)
	return nil
}

// declared checks the labels of a row.
func (f *finder) declared(r *LogRow) bool {
	good := true
	check := func(c column, kind part, label string, known []string, of string) {
		if label == "" || slices.Contains(known, label) {
			return
		}
		good = false
		mend := "Declared: " + both(known) + "."
		if near := nearest(label, known); near != "" {
			mend = fmt.Sprintf("Did you mean %s?", near)
		}
		f.list.Add(finding.Error, r.at(c), "A bench log names what is not declared", fmt.Sprintf("There is no %s %q%s.", kind, label, of), mend)
	}
	modes, ofCard := f.ix.labels[mode], ""
	if c := f.ix.cards[r.Card]; c != nil {
		modes, ofCard = modeNames(c), " of card "+c.Name
	}
	variants, ofGame := f.ix.labels[variant], ""
	if g := f.ix.games[r.Game]; g != nil {
		variants, ofGame = variantNames(g), " of game "+g.Name
	}
	check(colCard, card, r.Card, f.ix.labels[card], "")
	check(colMode, mode, r.Mode, modes, ofCard)
	check(colGame, game, r.Game, f.ix.labels[game], "")
	check(colVariant, variant, r.Variant, variants, ofGame)
	check(colResolution, resolution, r.Resolution, f.ix.labels[resolution], "")
	return good
}

func (r *LogRow) stated() plan.Key {
	return plan.Key{Card: r.Card, Mode: r.Mode, Game: r.Game, Variant: r.Variant, Resolution: r.Resolution}
}

func (f *finder) outcome(r *LogRow) {
	m, ok := f.onlyOne(r, f.ix.expand(nil, &form{}, reading{}, r.stated()))
	if !ok {
		return
	}
	if !f.ix.cells[m.key] {
		f.list.Add(finding.Warning, r.Place, "A row of the bench log belongs to no cell", fmt.Sprintf("%s is not in the matrix.", m.key),
			"Add the cell to a matrix block, or remove the row.")
		return
	}
	f.found.Outcomes = append(f.found.Outcomes, Outcome{Key: m.key, Repeat: r.Repeat, Row: r})
}

// cellOf says which pass a row's file is, and by which block it is read. What the row leaves empty is taken from the file's
// name where a path matches it, else from there being no other choice.
func (f *finder) cellOf(r *LogRow, name string, blocks []int) (candidate, bool) {
	var all []meaning
	var by []int
	contradicted := ""
	for _, b := range blocks {
		pt := f.patterns[b]
		if pt == nil {
			continue
		}
		ms, _ := pt.meanings(f.ix, name, r.stated(), false)
		if len(ms) > 0 {
			by = append(by, b)
		} else if ms, _ := pt.meanings(f.ix, name, plan.Key{}, false); len(ms) > 0 {
			by = append(by, b)
			contradicted = ms[0].key.String()
		}
		for _, m := range ms {
			if r.Repeat != 0 {
				m.repeat = r.Repeat
			}
			if !slices.Contains(all, m) {
				all = append(all, m)
			}
		}
	}
	if len(all) == 0 {
		all = f.ix.expand(nil, &form{}, reading{repeat: r.Repeat}, r.stated())
	}
	m, ok := f.onlyOne(r, all)
	if !ok {
		return candidate{}, false
	}
	if contradicted != "" {
		f.list.Add(finding.Note, r.at(colFile), "A bench log and a file name disagree",
			fmt.Sprintf("By its name %s is %s; by the log it is %s.", name, contradicted, m.key), "The log is used.")
	}
	if len(by) == 0 {
		by = blocks
	}
	if len(by) > 1 {
		f.list.Add(finding.Error, r.at(colFile), "Several files blocks share a bench log",
			fmt.Sprintf("%s may be read by %s.", name, f.blockNames(by)), "Give each block a path that matches its files, or a log of its own.")
		return candidate{}, false
	}
	return candidate{by[0], m}, true
}

func (f *finder) blockNames(blocks []int) string {
	var names []string
	for _, b := range blocks {
		names = append(names, fmt.Sprintf("%q", f.plan.Files[b].Name))
	}
	return either(names)
}

// onlyOne reports a row that leaves more than one cell open, or none.
func (f *finder) onlyOne(r *LogRow, all []meaning) (meaning, bool) {
	if len(all) == 1 {
		return all[0], true
	}
	const summary = "A row of the bench log does not say which cell it is"
	if len(all) == 0 {
		f.list.Add(finding.Error, r.Place, summary, "What it names does not go together.", "Name card, mode, game, variant and resolution.")
		return meaning{}, false
	}
	var names []string
	for _, m := range all[:min(len(all), 3)] {
		names = append(names, m.String())
	}
	detail := "It may be " + either(names)
	if len(all) > len(names) {
		detail += ", or others"
	}
	f.list.Add(finding.Error, r.Place, summary, detail+".", "Fill in the fields that tell them apart.")
	return meaning{}, false
}
