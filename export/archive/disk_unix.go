//go:build !windows

package archive

import (
	"context"
	"fmt"
	"os"
)

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
