package report

import (
	"context"
	"errors"
	"fmt"
	"html"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/plan/discreet"
)

// Written says what became of a report's folder.
type Written struct {
	Changed []string `json:"changed"`
	Removed []string `json:"removed,omitempty"`        // leftovers that gave withheld names away
	Unknown []string `json:"unknown_charts,omitempty"` // names that PNG were asked for by and no chart has
}

// Write makes the report of a source and puts it into a folder, as WriteFiles says. Where the source withholds something, charts and tables of an
// earlier report that give it away go: those that this report does not have, and pictures of charts that are others now.
func Write(ctx context.Context, folder string, s Source, which Charts, workers int) (w Written, err error) {
	files, err := Files(s, which)
	if err != nil {
		return w, err
	}
	w.Unknown = which.Unknown(files)
	veil := s.Words.Discretion.At(s.Now)
	telling, err := leftovers(folder, files, veil)
	if err != nil {
		return w, err
	}
	w.Changed, err = WriteFiles(ctx, folder, files, workers)
	if err != nil || veil == nil {
		return w, err
	}
	pictures, err := picturesOf(folder, files, append(slices.Clone(w.Changed), telling...))
	if err != nil {
		return w, err
	}
	for _, name := range append(telling, pictures...) {
		if err := remove(filepath.Join(folder, filepath.FromSlash(name))); err != nil {
			return w, fmt.Errorf("remove what gives a withheld name away: %w", err)
		}
		w.Removed = append(w.Removed, name)
	}
	return w, nil
}

// leftovers are the charts and tables in a folder that are none of the files and say what is withheld, in their names or as text.
func leftovers(folder string, files []File, veil *discreet.Veil) (found []string, err error) {
	if veil == nil {
		return nil, nil
	}
	err = others(folder, files, func(name string) error {
		if veil.Hides(path.Base(name)) {
			found = append(found, name)
			return nil
		}
		if ext := path.Ext(name); ext != ".svg" && ext != ".csv" {
			return nil
		}
		content, err := os.ReadFile(filepath.Join(folder, filepath.FromSlash(name)))
		if err != nil {
			return err
		}
		if veil.Hides(html.UnescapeString(string(content))) {
			found = append(found, name)
		}
		return nil
	})
	return found, err
}

// dots is the end of a picture's name; what stands before it names the drawing that it is of.
var dots = regexp.MustCompile(`\.\d+\.png$`)

// picturesOf are the pictures of dots, none of the files, of drawings that changed or are gone.
func picturesOf(folder string, files []File, gone []string) (found []string, err error) {
	err = others(folder, files, func(name string) error {
		drawing := dots.ReplaceAllString(name, ".svg")
		if drawing != name && !slices.Contains(gone, name) && (slices.Contains(gone, drawing) || !there(folder, drawing)) {
			found = append(found, name)
		}
		return nil
	})
	return found, err
}

// others walks the charts and tables of a folder that are none of the files.
func others(folder string, files []File, visit func(name string) error) error {
	for _, below := range []string{"charts", "tables"} {
		entries, err := os.ReadDir(filepath.Join(folder, below))
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return fmt.Errorf("look for what an earlier report left: %w", err)
		}
		for _, e := range entries {
			name := below + "/" + e.Name()
			if !e.Type().IsRegular() || strings.HasSuffix(name, ".new") || slices.ContainsFunc(files, func(f File) bool { return f.Path == name }) {
				continue
			}
			if err := visit(name); err != nil {
				return err
			}
		}
	}
	return nil
}
