package archive

import (
	"fmt"

	"github.com/apache/arrow/go/v15/parquet/file"
)

// checkParquet opens a Parquet file and compares what its footer says of rows, in all and by row group. The reader panics on
// some damage.
func checkParquet(path string, rows int64) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("footer: %v", p)
		}
	}()
	r, err := file.OpenParquetFile(path, false)
	if err != nil {
		return err
	}
	defer func() {
		if cerr := r.Close(); err == nil {
			err = cerr
		}
	}()
	inGroups := int64(0)
	for i := range r.NumRowGroups() {
		inGroups += r.MetaData().RowGroup(i).NumRows()
	}
	if r.NumRows() != rows || inGroups != rows {
		return fmt.Errorf("%d rows, %d in row groups, where %d were written", r.NumRows(), inGroups, rows)
	}
	return nil
}
