package archive

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"hash"
	"math"
	"slices"
)

// Identity is all that decides an edition's content.
type Identity struct {
	DefinitionsVersion int
	Plan               []byte // plan.json
	Raw                []RawFacts
	Log                []byte // what else decides the tables: runs on record that left no file, the order of rows; in any fixed notation
	Elsewhere          []Elsewhere
}

// RawFacts is one capture with what the ledger says of it, in any fixed notation, without the file's time.
type RawFacts struct {
	SHA256 [32]byte
	Facts  []byte
}

// Elsewhere is a number taken from other editions: a session spread, a reused pass.
type Elsewhere struct {
	Edition string // empty where it rests on what several hold and the number alone decides; see ElsewhereName
	Name    string
	Value   float64
}

// EditionID is "e" and the first 15 hex digits of a SHA-256 over the format's and the definitions' version and the identity,
// each part with its length before it, so that no two identities run together. The order of Raw and Elsewhere is of no account.
func EditionID(id Identity) string {
	h := sha256.New()
	number(h, FormatVersion)
	number(h, uint64(id.DefinitionsVersion))
	text(h, id.Plan)
	text(h, id.Log)
	raw := slices.SortedFunc(slices.Values(id.Raw), func(a, b RawFacts) int {
		return cmp.Or(bytes.Compare(a.SHA256[:], b.SHA256[:]), bytes.Compare(a.Facts, b.Facts))
	})
	number(h, uint64(len(raw)))
	for _, r := range raw {
		h.Write(r.SHA256[:])
		text(h, r.Facts)
	}
	elsewhere := slices.SortedFunc(slices.Values(id.Elsewhere), func(a, b Elsewhere) int {
		return cmp.Or(cmp.Compare(a.Edition, b.Edition), cmp.Compare(a.Name, b.Name), cmp.Compare(a.Value, b.Value))
	})
	number(h, uint64(len(elsewhere)))
	for _, e := range elsewhere {
		text(h, []byte(e.Edition))
		text(h, []byte(e.Name))
		number(h, math.Float64bits(e.Value))
	}
	return "e" + hex.EncodeToString(h.Sum(nil))[:15]
}

func number(h hash.Hash, n uint64) { h.Write(binary.BigEndian.AppendUint64(nil, n)) }

func text(h hash.Hash, b []byte) {
	number(h, uint64(len(b)))
	h.Write(b)
}
