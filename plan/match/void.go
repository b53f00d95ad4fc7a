package match

import (
	"fmt"
	"path"
	"strings"

	"github.com/rigslate/rigslate/plan/finding"
)

// voids gives each void's reason to its file.
func (f *finder) voids() {
	if len(f.plan.Voids) == 0 {
		return
	}
	at := map[string]int{}
	for i, file := range f.found.Files {
		at[file.Path] = i
	}
	for _, v := range f.plan.Voids {
		if detail, mend := wrongPath(v.Path); detail != "" {
			f.list.Add(finding.Error, v.Place, "A void's path cannot be used", detail, mend)
			continue
		}
		name := path.Clean(v.Path)
		if i, ok := at[name]; ok {
			f.found.Files[i].Void = v.Reason
			continue
		}
		if f.byPath[name] != nil {
			f.list.Add(finding.Warning, v.Place, "A void names a file that is no pass", name+" belongs to no cell, so there is nothing to take out.",
				"Remove the void, or rename the file so that it is found.")
			continue
		}
		mend := "Remove the void, or correct its path: it is relative to the captures' folder."
		if near := f.nearestPath(name); near != "" {
			mend = fmt.Sprintf("Did you mean %s?", near)
		}
		f.list.Add(finding.Warning, v.Place, "A void names a file that is not there", fmt.Sprintf("There is no %s.", name), mend)
	}
}

// foldPath finds the file whose path differs only in case, "" if there is none.
func (f *finder) foldPath(name string) string {
	if f.byFold == nil {
		f.byFold = make(map[string]string, len(f.entries))
		for _, e := range f.entries {
			f.byFold[strings.ToLower(e.path)] = e.path
		}
	}
	return f.byFold[strings.ToLower(name)]
}

// maxSearched bounds how many misspelt file names are looked for among all the others.
const maxSearched = 50

// nearestPath finds the file that a path most likely means: another case, a misspelling within its folder, or the same name in
// another folder; "" if there is none.
func (f *finder) nearestPath(name string) string {
	if near := f.foldPath(name); near != "" {
		return near
	}
	if f.searched++; f.searched > maxSearched {
		return ""
	}
	dir, base := path.Split(name)
	var beside []string
	elsewhere := ""
	for _, e := range f.entries {
		d, b := path.Split(e.path)
		if d == dir {
			beside = append(beside, b)
		}
		if b == base && elsewhere == "" {
			elsewhere = e.path
		}
	}
	if near := nearest(base, beside); near != "" {
		return dir + near
	}
	return elsewhere
}
