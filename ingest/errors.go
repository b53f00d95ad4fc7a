package ingest

import (
	"errors"

	"github.com/rigslate/rigslate/ingest/text"
)

// Why a capture cannot be used. Read's errors wrap one of these, or the context's error, with what was being done and to which
// file.
var (
	ErrLayout     = text.ErrLayout   // the layout contradicts itself
	ErrHeader     = text.ErrHeader   // a column asked for is not there
	ErrNoFrames   = text.ErrNoFrames // nothing in it, or nothing usable
	ErrTooLarge   = text.ErrTooLarge // beyond what a capture can be, or a small file that unpacks to a huge one
	ErrGrowing    = errors.New("still being written")
	ErrUnreadable = errors.New("cannot be read") // the disk, or a compressed file that is cut off or damaged
	ErrCopy       = errors.New("raw copy failed")
)
