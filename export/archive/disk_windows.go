package archive

import (
	"context"
	"errors"
	"os"
	"syscall"
	"time"
)

// syncDir does nothing: Windows has no way to sync a folder, and NTFS journals its names.
func syncDir(string) error { return nil }

// NoRoom reports whether an error is that of a disk, or of a user's share of it, that is full.
func NoRoom(err error) bool {
	return errors.Is(err, handleDiskFull) || errors.Is(err, diskFull) || errors.Is(err, quotaExceeded)
}

const (
	handleDiskFull   = syscall.Errno(39)
	diskFull         = syscall.Errno(112)
	quotaExceeded    = syscall.Errno(1295)
	sharingViolation = syscall.Errno(32)
	patience         = 5 * time.Second
)

// rename waits for virus scanners, which hold a file that was just written for a moment.
func rename(ctx context.Context, from, to string) error {
	deadline := time.Now().Add(patience)
	for {
		err := os.Rename(from, to)
		held := errors.Is(err, syscall.ERROR_ACCESS_DENIED) || errors.Is(err, sharingViolation)
		if _, there := os.Lstat(to); !held || there == nil || time.Now().After(deadline) {
			return err
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(50 * time.Millisecond):
		}
	}
}
