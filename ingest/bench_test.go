package ingest

import (
	"bytes"
	"context"
	"crypto/sha256"
	"io/fs"
	"math"
	"math/rand"
	"strconv"
	"testing"
	"time"

	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/rigslate/rigslate/ingest/text"
)

// memFile is a file in memory that may change while it is read.
type memFile struct {
	*bytes.Reader
	size  int64
	mtime time.Time
}

func inMemory(data []byte) *memFile {
	return &memFile{bytes.NewReader(data), int64(len(data)), time.Unix(1, 0)}
}

func (f *memFile) Close() error               { return nil }
func (f *memFile) Stat() (fs.FileInfo, error) { return memInfo{f.size, f.mtime}, nil }

type memInfo struct {
	size  int64
	mtime time.Time
}

func (memInfo) Name() string         { return "memory" }
func (i memInfo) Size() int64        { return i.size }
func (memInfo) Mode() fs.FileMode    { return 0o444 }
func (i memInfo) ModTime() time.Time { return i.mtime }
func (memInfo) IsDir() bool          { return false }
func (memInfo) Sys() any             { return nil }

// lines writes frame,time_ms,gpu_ms,cpu_ms with log-normal times, about 25 bytes a line.
func lines(rows int) []byte {
	rnd := rand.New(rand.NewSource(1))
	b := []byte("frame,time_ms,gpu_ms,cpu_ms\n")
	for i := range rows {
		ms := 5 * math.Exp(0.1*rnd.NormFloat64())
		b = strconv.AppendInt(b, int64(i), 10)
		for _, x := range []float64{ms, 0.9 * ms, 3 * math.Exp(0.12*rnd.NormFloat64())} {
			b = append(b, ',')
			b = strconv.AppendFloat(b, x, 'f', 4, 64)
		}
		b = append(b, '\n')
	}
	return b
}

func ms(name string) text.Column { return text.Column{Name: name, Unit: text.Milliseconds} }

func threeTimes() text.Layout {
	frame := ms("time_ms")
	return text.Layout{FrameTime: &frame, Extra: []text.Extra{
		{Key: "gpu", Column: ms("gpu_ms"), Time: true},
		{Key: "cpu", Column: ms("cpu_ms"), Time: true},
	}}
}

func benchmarkRead(b *testing.B, rows int) {
	data := lines(rows)
	r := NewReader(memory.NewGoAllocator())
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		c, err := r.Read(context.Background(), inMemory(data), "bench", threeTimes(), nil)
		if err != nil {
			b.Fatal(err)
		}
		c.Release()
	}
}

// Text to Arrow with the hash of the bytes: a minute of 225 frames a second, and a capture as long as they come.
func BenchmarkRead(b *testing.B)        { benchmarkRead(b, 13_500) }
func BenchmarkReadMillion(b *testing.B) { benchmarkRead(b, 1_000_000) }

// What the hash has of that.
func BenchmarkHash(b *testing.B) {
	data := lines(13_500)
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		sha256.Sum256(data)
	}
}
