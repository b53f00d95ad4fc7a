package review

import (
	"encoding/hex"
	"encoding/json"
	"fmt"
	"path"
	"path/filepath"
	"strings"

	"github.com/rigslate/rigslate/export/archive"
)

// planFilesName is the file of an edition that says what its plan was read from, and which of the captures in raw/ lay where: what is
// needed to work the edition out again and stands nowhere else. It lies in plan/, whose bytes the id does not decide.
const planFilesName = archive.FilesName

// planFiles is the content of planFilesName. Paths are those below the captures' folder, with forward slashes.
type planFiles struct {
	Plan     []string      `json:"plan"` // the edition's names of the plan's files, in the order of reading: the rows follow it
	Logs     []keptLog     `json:"logs"` // bench logs
	Captures []keptCapture `json:"captures"`
	Fonts    []keptLog     `json:"fonts,omitempty"` // of the look
	Unusable []string      `json:"unusable"`        // captures and logs that were there and could not be read; they are not archived
}

type keptLog struct {
	Name string `json:"name"` // the edition's
	Path string `json:"path"`
}

type keptCapture struct {
	Path   string `json:"path"`
	SHA256 string `json:"sha256"`
}

// filesUsed lists the captures and logs of the review, each path once, in plan order.
func (r *Review) filesUsed() planFiles {
	out := planFiles{Plan: []string{}, Logs: []keptLog{}, Captures: []keptCapture{}, Unusable: []string{}}
	seen := map[string]bool{}
	add := func(name string, sum [32]byte, err error) {
		switch {
		case name == "" || seen[name]:
			return
		case err != nil:
			out.Unusable = append(out.Unusable, name)
		default:
			out.Captures = append(out.Captures, keptCapture{name, hex.EncodeToString(sum[:])})
		}
		seen[name] = true
	}
	for _, p := range r.Passes {
		if p.Reused != nil {
			continue // it lies in the archive
		}
		add(p.File.Path, p.SHA256, p.Err)
		for _, f := range p.Sensors.Files {
			if f.There {
				add(f.Path, f.SHA256, f.Err)
			}
		}
	}
	for _, s := range r.Soaks {
		for _, f := range s.Files {
			if f.There {
				add(f.Path, f.SHA256, f.Err)
			}
		}
	}
	return out
}

func (f planFiles) encode() ([]byte, error) {
	text, err := json.MarshalIndent(f, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("writing which files the plan was read from: %w", err)
	}
	return append(text, '\n'), nil
}

// planNames are the names in an edition's plan/ that are taken, in lower case.
type planNames map[string]bool

// of names a file in plan/, by its own name as far as that is free.
func (n planNames) of(file string) string {
	name := path.Join("plan", filepath.Base(file))
	for i := 2; n[strings.ToLower(name)]; i++ {
		name = fmt.Sprintf("plan/%d-%s", i, filepath.Base(file))
	}
	n[strings.ToLower(name)] = true
	return name
}
