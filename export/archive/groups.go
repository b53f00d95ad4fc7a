package archive

import (
	"fmt"

	"github.com/apache/arrow/go/v15/parquet/schema"
)

// groupsFile is a Parquet file of the edition that grows by a row group a call. It is used by one goroutine at a time, and the order
// of the row groups is that of the calls. Any error poisons it: later calls return the first error, and the edition cannot be
// published.
type groupsFile struct {
	staging *Staging
	path    string
	out     *sink
	pages   *pages
	rows    int64
	err     error
	closed  bool
}

func (s *Staging) groupsFile(path string, fields schema.FieldList) (*groupsFile, error) {
	out, err := s.create(path)
	if err != nil {
		return nil, err
	}
	f := &groupsFile{staging: s, path: path, out: out}
	f.pages, err = newPages(out, fields)
	if err != nil {
		out.discard()
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	s.opened()
	return f, nil
}

// add appends what write writes, and counts the rows it returns. runID goes into errors.
func (f *groupsFile) add(runID string, write func() (rows int, err error)) error {
	if f.closed && f.err == nil {
		return fmt.Errorf("%s, run %s: the file is closed", f.path, runID)
	}
	if f.err != nil {
		return f.err
	}
	rows, err := unpanicked(write)
	if err != nil {
		f.err = fmt.Errorf("%s, run %s: %w", f.path, runID, err)
		return f.err
	}
	f.rows += int64(rows)
	return nil
}

// unpanicked makes an error of a panic, by which arrow reports some misuse.
func unpanicked(write func() (int, error)) (rows int, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%v", p)
		}
	}()
	return write()
}

// Close ends the file and enters it in the edition. Without Close, or after any error, the edition cannot be published.
func (f *groupsFile) Close() error {
	if f.closed {
		return f.err
	}
	f.closed = true
	if f.err == nil {
		f.err = f.pages.footer()
	}
	if f.err == nil {
		f.err = f.staging.finish(f.path, f.out, &f.rows)
	} else {
		f.out.discard()
	}
	if f.err == nil {
		f.staging.settled()
	}
	return f.err
}
