package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"time"
)

// review is one demo review: what is recorded, and what its bench log says of it.
type review struct {
	name           string // its folder
	warmup, length int    // kept part of a capture, seconds
	passes         []*pass
	log            [][]string // rows of its bench.csv, in the order of work
	scenes         map[*game]scene
}

var logHeader = []string{"file", "card", "mode", "game", "variant", "resolution", "repeat",
	"launch", "session", "started", "driver", "firmware", "ambient_c", "outcome", "note"}

// entry is one row of a bench log.
type entry struct {
	pass    *pass // its file is left out when nothing was saved
	launch  string
	started time.Time
	driver  string
	ambient int // tenths of °C
	outcome string
	note    string
}

func (e entry) row() []string {
	p := e.pass
	ambient := ""
	if e.ambient != 0 {
		ambient = fmt.Sprintf("%d.%d", e.ambient/10, e.ambient%10)
	}
	return []string{p.file, p.mode.card, p.mode.mode, p.game.game, p.game.variant, p.resolution, fmt.Sprint(p.repeat),
		e.launch, p.session, e.started.Format(time.RFC3339), e.driver, p.mode.firmware, ambient, e.outcome, e.note}
}

var resolutions = []string{"qhd", "uhd"}

func newReview(name string, warmup, length int) *review {
	r := &review{name: name, warmup: warmup, length: length, scenes: map[*game]scene{}}
	for _, g := range games {
		r.scenes[g] = newScene(name, g, warmup, length)
	}
	return r
}

// write makes every file of the review under dir and returns the bytes of the captures.
func (r *review) write(dir string) (captures int, err error) {
	for _, p := range r.passes {
		text, err := p.form.text(p, r.frames(p))
		if err != nil {
			return captures, fmt.Errorf("making %s: %w", p.file, err)
		}
		data, err := p.form.pack(text)
		if err != nil {
			return captures, fmt.Errorf("compressing %s: %w", p.file, err)
		}
		if err := save(filepath.Join(dir, filepath.FromSlash(p.file)), data); err != nil {
			return captures, err
		}
		captures += len(data)
	}
	var b bytes.Buffer
	if err := csv.NewWriter(&b).WriteAll(append([][]string{logHeader}, r.log...)); err != nil {
		return captures, fmt.Errorf("making the bench log of %s: %w", r.name, err)
	}
	return captures, save(filepath.Join(dir, "bench.csv"), b.Bytes())
}

func save(path string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return fmt.Errorf("making room for %s: %w", path, err)
	}
	if err := os.WriteFile(path, data, 0o644); err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	return nil
}

// find returns the element of that name; the scenario names only what it declares.
func find[T fmt.Stringer](all []T, name string) T {
	for _, x := range all {
		if x.String() == name {
			return x
		}
	}
	panic("demogen: the scenario names " + name + ", which it does not declare")
}
