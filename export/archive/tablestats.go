package archive

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"math"
	"reflect"
	"unicode/utf8"
)

// columnStats is what a footer says of a column: nulls, and the smallest and largest value in the plain encoding, nil
// where there is none.
type columnStats struct {
	nulls    int64
	min, max []byte
}

// longStat bounds a text in a footer. Where either end is longer, none is given: a reader must not take part of one for it.
const longStat = 256

// tableStats checks every value that the format excludes and makes the footer's statistics.
func tableStats(columns []column, rows reflect.Value) ([]columnStats, error) {
	stats := make([]columnStats, len(columns))
	for i, c := range columns {
		var least, most reflect.Value
		for r := range rows.Len() {
			f := rows.Index(r).Field(i)
			if c.optional {
				if f.IsNil() {
					stats[i].nulls++
					continue
				}
				f = f.Elem()
			}
			if err := checkValue(f); err != nil {
				return nil, fmt.Errorf("column %s, row %d: %w", c.name, r, err)
			}
			if !least.IsValid() || compare(f, least) < 0 {
				least = f
			}
			if !most.IsValid() || compare(f, most) > 0 {
				most = f
			}
		}
		if least.IsValid() {
			stats[i].min, stats[i].max = plain(least, -1), plain(most, 1)
		}
		if len(stats[i].min) > longStat || len(stats[i].max) > longStat {
			stats[i].min, stats[i].max = nil, nil
		}
	}
	return stats, nil
}

func checkValue(v reflect.Value) error {
	switch v.Kind() {
	case reflect.Float64:
		if x := v.Float(); x-x != 0 {
			return fmt.Errorf("%v is not a finite number", x)
		}
	case reflect.String:
		if !utf8.ValidString(v.String()) {
			return fmt.Errorf("%q is not UTF-8", v.String())
		}
	}
	return nil
}

func compare(a, b reflect.Value) int {
	switch a.Kind() {
	case reflect.Float64:
		return cmp.Compare(a.Float(), b.Float())
	case reflect.String:
		return cmp.Compare(a.String(), b.String())
	case reflect.Bool:
		return cmp.Compare(oneBit(a.Bool()), oneBit(b.Bool()))
	}
	return cmp.Compare(a.Int(), b.Int())
}

func oneBit(b bool) byte {
	if b {
		return 1
	}
	return 0
}

// plain is a value in Parquet's plain encoding. A zero gets the sign of the end it stands at, as the format asks, since
// readers differ on which zero is smaller.
func plain(v reflect.Value, end float64) []byte {
	switch v.Kind() {
	case reflect.Float64:
		x := v.Float()
		if x == 0 {
			x = math.Copysign(0, end)
		}
		return binary.LittleEndian.AppendUint64(nil, math.Float64bits(x))
	case reflect.String:
		return []byte(v.String())
	case reflect.Bool:
		return []byte{oneBit(v.Bool())}
	case reflect.Int32:
		return binary.LittleEndian.AppendUint32(nil, uint32(v.Int()))
	}
	return binary.LittleEndian.AppendUint64(nil, uint64(v.Int()))
}
