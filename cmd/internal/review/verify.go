package review

import (
	"context"
	"fmt"

	"github.com/rigslate/rigslate/export/archive"
)

// VerifyOptions say how an archive is verified.
type VerifyOptions struct {
	Workers  int
	Progress func(done, total int, what string) // may be nil
}

// Verified is what an archive was found to be.
type Verified struct {
	*archive.Verified
}

// Verify reads the archive in dir and lists all that is damaged. The error says why it could not be looked through: ErrDisk, with
// fs.ErrNotExist where there is no archive, or the context's.
func Verify(ctx context.Context, dir string, o VerifyOptions) (*Verified, error) {
	v, err := archive.At(dir).Verify(ctx, archive.VerifyOptions{Workers: o.Workers, Progress: o.Progress})
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err != nil:
		return nil, fmt.Errorf("%w: %w", ErrDisk, err)
	}
	return &Verified{v}, nil
}
