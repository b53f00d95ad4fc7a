package archive

import (
	"fmt"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/apache/arrow/go/v15/parquet"
)

// frameScratch holds the columns that are not handed in, kept from run to run: one run of a million frames is the bound.
type frameScratch struct {
	frame  []int32
	kept   []bool
	zeros  []byte
	levels []int16
	ints   []int64
	floats []float64
}

func (s *frameScratch) fill(n, lo, hi int) {
	for i := len(s.frame); i < n; i++ {
		s.frame = append(s.frame, int32(i))
	}
	s.frame = s.frame[:n]
	s.kept = resize(s.kept, n)
	for i := range s.kept {
		s.kept[i] = lo <= i && i < hi
	}
}

// indices are n zeros: each row's place in a dictionary of one.
func (s *frameScratch) indices(n int) arrow.Array {
	s.zeros = resize(s.zeros, n)
	data := array.NewData(arrow.PrimitiveTypes.Int8, n, []*memory.Buffer{nil, memory.NewBufferBytes(s.zeros)}, nil, 0, 0)
	defer data.Release()
	return array.NewInt8Data(data)
}

func resize[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}

// extra writes one extra column: all null where the capture has none.
func (s *frameScratch) extra(c chunk, name string, x arrow.Array) error {
	s.levels = resize(s.levels, c.rows)
	s.present(x)
	switch x := x.(type) {
	case *array.Int64:
		values := x.Int64Values()
		if x.NullN() > 0 {
			s.ints = packed(s.ints[:0], values, s.levels)
			values = s.ints
		}
		if x.NullN() == 0 {
			return c.int64s(parquet.Encodings.DeltaBinaryPacked, values, s.levels)
		}
		return c.int64s(parquet.Encodings.Plain, values, s.levels)
	case *array.Float64:
		values := x.Float64Values()
		if err := finite(values, s.levels); err != nil {
			return err
		}
		if x.NullN() > 0 {
			s.floats = packed(s.floats[:0], values, s.levels)
			values = s.floats
		}
		return c.doubles(values, s.levels)
	}
	if wholeNS(name) {
		return c.int64s(parquet.Encodings.Plain, nil, s.levels)
	}
	return c.doubles(nil, s.levels)
}

// present sets each row's definition level: 1 where there is a value.
func (s *frameScratch) present(x arrow.Array) {
	dense := int16(0)
	if x != nil && x.NullN() == 0 {
		dense = 1
	}
	for i := range s.levels {
		s.levels[i] = dense
	}
	if x == nil || dense == 1 {
		return
	}
	for i := range s.levels {
		if x.IsValid(i) {
			s.levels[i] = 1
		}
	}
}

// packed appends the values that are not null.
func packed[T any](scratch, values []T, levels []int16) []T {
	for i, v := range values {
		if levels[i] == 1 {
			scratch = append(scratch, v)
		}
	}
	return scratch
}

func oneText(s *Staging, text string) arrow.Array {
	b := array.NewStringBuilder(s.archive.mem)
	defer b.Release()
	b.Append(text)
	return b.NewArray()
}

func finite(values []float64, levels []int16) error {
	for i, v := range values {
		if v-v != 0 && levels[i] == 1 { // NaN and both infinities; what lies under a null is of no account
			return fmt.Errorf("row %d is %v", i, v)
		}
	}
	return nil
}
