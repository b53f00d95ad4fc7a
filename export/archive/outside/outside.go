// Package outside reads Parquet for tests by readers that share no code with the archive's writers: one in Go, and DuckDB and one in JavaScript by
// way of Node. What they find is in one form, so that it can be held against what was written and against each other.
package outside

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"

	"github.com/parquet-go/parquet-go"
)

// Reading is what one reader says of one file.
type Reading struct {
	Rows    string                   `json:"rows"`
	Columns map[string]ColumnReading `json:"columns"`
}

// ColumnReading has numbers as text, since JSON's would lose digits; absent ends are empty. Digest is that of every value in order.
type ColumnReading struct {
	Type    string         `json:"type"`
	Nulls   string         `json:"nulls"`
	Min     string         `json:"min"`
	Max     string         `json:"max"`
	Digest  string         `json:"digest"`
	Scanned *ColumnReading `json:"scanned"`
}

// Readings are those of all files of an archive by the readers in Node, and what their folders' names say.
type Readings struct {
	Files []struct {
		Path      string  `json:"path"`
		DuckDB    Reading `json:"duckdb"`
		Hyparquet Reading `json:"hyparquet"`
	} `json:"files"`
	Editions []struct {
		Review  string `json:"review"`
		Edition string `json:"edition"`
		Rows    string `json:"rows"`
	} `json:"editions"`
}

// ErrNoNode says that Node or its readers are not installed.
var ErrNoNode = errors.New("needs node and what npm ci installs in .ci/parquet-readers")

// Node runs a script of .ci/parquet-readers and decodes the JSON that it prints. dir is that folder.
func Node(dir, script string, to any, args ...string) error {
	node, err := exec.LookPath("node")
	if err == nil {
		_, err = os.Stat(filepath.Join(dir, "node_modules"))
	}
	if err != nil {
		return fmt.Errorf("%w: %w", ErrNoNode, err)
	}
	cmd := exec.Command(node, append([]string{script}, args...)...)
	cmd.Dir = dir
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		return fmt.Errorf("%s: %w: %s", script, err, stderr.String())
	}
	return json.Unmarshal(out, to)
}

// Digest is the SHA-256 of a column's values in order, in the notation of read.mjs.
type Digest struct{ h hash.Hash }

// NewDigest begins one.
func NewDigest() Digest { return Digest{sha256.New()} }

// Null takes in a null.
func (d Digest) Null() { fmt.Fprintln(d.h, "-") }

// Add takes in a value: a number with a fraction by its bits, a text behind its length in bytes, whatever else as it is written.
func (d Digest) Add(v any) {
	switch v := v.(type) {
	case float64:
		fmt.Fprintf(d.h, "%016x\n", math.Float64bits(v))
	case string:
		fmt.Fprintf(d.h, "%d:%s\n", len(v), v)
	default:
		fmt.Fprintln(d.h, v)
	}
}

func (d Digest) String() string { return hex.EncodeToString(d.h.Sum(nil)) }

// ParquetGo reads a file by parquet-go/parquet-go. Nulls are counted, and the footer must say the same.
func ParquetGo(path string) (Reading, error) {
	r := Reading{Columns: map[string]ColumnReading{}}
	file, err := os.Open(path)
	if err != nil {
		return r, err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return r, err
	}
	f, err := parquet.OpenFile(file, info.Size())
	if err != nil {
		return r, err
	}
	r.Rows = strconv.FormatInt(f.NumRows(), 10)
	for i, c := range f.Root().Columns() {
		x := column{digest: NewDigest()}
		stated := int64(0)
		for g, group := range f.RowGroups() {
			if err := x.pages(group.ColumnChunks()[i].Pages()); err != nil {
				return r, fmt.Errorf("column %s: %w", c.Name(), err)
			}
			stated += f.Metadata().RowGroups[g].Columns[i].MetaData.Statistics.NullCount
		}
		if stated != x.nulls {
			return r, fmt.Errorf("column %s has %d nulls, and its footer says %d", c.Name(), x.nulls, stated)
		}
		out := ColumnReading{Type: c.Type().Kind().String(), Nulls: strconv.FormatInt(x.nulls, 10), Digest: x.digest.String()}
		if x.any {
			out.Min, out.Max = fmt.Sprint(plain(x.least)), fmt.Sprint(plain(x.most))
		}
		r.Columns[c.Name()] = out
	}
	return r, nil
}

type column struct {
	digest      Digest
	nulls       int64
	any         bool
	least, most parquet.Value
}

func (x *column) pages(pages parquet.Pages) error {
	defer pages.Close()
	values := make([]parquet.Value, 1024)
	for {
		page, err := pages.ReadPage()
		if err != nil {
			return unlessEnd(err)
		}
		for from, done := page.Values(), false; !done; {
			n, err := from.ReadValues(values)
			x.take(page.Type(), values[:n])
			if done = err != nil; unlessEnd(err) != nil {
				return err
			}
		}
	}
}

func (x *column) take(of parquet.Type, values []parquet.Value) {
	for _, v := range values {
		if v.IsNull() {
			x.nulls++
			x.digest.Null()
			continue
		}
		x.digest.Add(plain(v))
		if !x.any || of.Compare(v, x.least) < 0 {
			x.least = v.Clone()
		}
		if !x.any || of.Compare(v, x.most) > 0 {
			x.most = v.Clone()
		}
		x.any = true
	}
}

func unlessEnd(err error) error {
	if errors.Is(err, io.EOF) {
		return nil
	}
	return err
}

// plain is a value as Go has it.
func plain(v parquet.Value) any {
	switch v.Kind() {
	case parquet.Boolean:
		return v.Boolean()
	case parquet.Int32:
		return v.Int32()
	case parquet.Int64:
		return v.Int64()
	case parquet.Double:
		return v.Double()
	}
	return string(v.ByteArray())
}
