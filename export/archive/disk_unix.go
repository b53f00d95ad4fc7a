//go:build !windows

package archive

import (
	"context"
	"errors"
	"fmt"
	"os"
	"syscall"
)

// NoRoom reports whether an error is that of a disk, or of a user's share of it, that is full.
func NoRoom(err error) bool { return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT) }

// syncDir makes the names in a folder durable: syncing a file does not say that its name is on disk.
func syncDir(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return fmt.Errorf("sync a folder: %w", err)
	}
	err = f.Sync()
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		return fmt.Errorf("sync the folder %s: %w", dir, err)
	}
	return nil
}

func rename(_ context.Context, from, to string) error { return os.Rename(from, to) }
