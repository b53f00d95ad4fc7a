package ledger

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"sync"

	"github.com/rigslate/rigslate/plan"
)

// voucher is the file of one vouch: the cell, the reason and the content of the files that it first covered.
type voucher struct {
	head
	Cell   cell     `json:"cell"`
	Reason string   `json:"reason"`
	Files  []string `json:"files"` // SHA-256, sorted, each once
}

// cell is a plan.Key as the ledger writes it.
type cell struct {
	Card       string `json:"card"`
	Mode       string `json:"mode"`
	Game       string `json:"game"`
	Variant    string `json:"variant"`
	Resolution string `json:"resolution"`
}

// vouched is what was read of one vouch.
type vouched struct {
	mu    sync.Mutex
	files []string // nil while nothing is recorded
}

// Vouch tells whether a vouch covers these files (SHA-256 each; order does not matter): the first time it does, and with write
// their names are recorded; from then on it does only as long as the cell has exactly the recorded files, given in was. A vouch
// is known by its cell and its reason, so one that became void is renewed by a new reason, which says that somebody looked
// again. A cell without files cannot be vouched for.
func (l *Ledger) Vouch(k plan.Key, shas []string, reason string, write bool) (ok bool, was []string, err error) {
	now := slices.Compact(slices.Sorted(slices.Values(shas)))
	v := voucher{Cell: cell(k), Reason: strings.ToValidUTF8(reason, "\ufffd")}
	name := v.name()
	l.mu.Lock()
	known := l.vouches[name]
	if known == nil {
		known = &vouched{}
		l.vouches[name] = known
	}
	l.mu.Unlock()

	known.mu.Lock()
	defer known.mu.Unlock()
	if known.files == nil {
		if known.files, err = l.readVouch(name, v); err != nil {
			return false, nil, err
		}
	}
	if known.files == nil && len(now) > 0 && write {
		v.Files = now
		bytes, err := l.writeFile(name, &v)
		switch {
		case errors.Is(err, fs.ErrExist):
			if known.files, err = l.readVouch(name, v); err != nil {
				return false, nil, err
			}
		case err != nil:
			return false, nil, err
		default:
			known.files = now
			l.keep(name, bytes)
		}
	}
	if known.files == nil {
		return len(now) > 0, nil, nil
	}
	return slices.Equal(known.files, now), slices.Clone(known.files), nil
}

// readVouch gives the recorded files of a vouch, nil if it is not recorded.
func (l *Ledger) readVouch(name string, want voucher) ([]string, error) {
	var v voucher
	bytes, err := l.readFile(name, &v)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, err
	case v.Cell != want.Cell || v.Reason != want.Reason || len(v.Files) == 0:
		return nil, &Damaged{File: l.path(name), Why: "it is the record of another vouch"}
	}
	l.keep(name, bytes)
	return v.Files, nil
}

func (l *Ledger) keep(name string, bytes []byte) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.used[name] = bytes
}

// name is the same for the same cell and reason. Labels hold no line ends, so no two pairs give one text.
func (v voucher) name() string {
	k := plan.Key(v.Cell)
	sum := sha256.Sum256(fmt.Appendf(nil, "%s\n%s\n%s\n%s\n%s\n%s", k.Card, k.Mode, k.Game, k.Variant, k.Resolution, v.Reason))
	return "vouch-" + hex.EncodeToString(sum[:16]) + ".json"
}
