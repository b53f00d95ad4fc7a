package ingest

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/klauspost/compress/gzip"
	"github.com/klauspost/compress/zstd"
	"github.com/rigslate/rigslate/ingest/text"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"pgregory.net/rapid"
)

// point writes v, given in 10^-places, with that many decimals.
func point(v int64, places int, sign byte) string {
	s := fmt.Sprintf("%0*d", places+1, v)
	if places == 0 {
		return s
	}
	return s[:len(s)-places] + string(sign) + s[len(s)-places:]
}

// manner is one way of writing the same frame times down.
type manner struct {
	layout   text.Layout
	encoding string
	compress string
	lineEnd  string
	stamps   bool
	quote    bool
}

func drawManner(t *rapid.T) manner {
	delim := rapid.SampledFrom([]string{",", ";", "\t", " "}).Draw(t, "delimiter")
	signs := []byte{'.', ','}
	if delim == "," {
		signs = signs[:1]
	}
	m := manner{
		layout:   text.Layout{Delimiter: delim, Decimal: rapid.SampledFrom(signs).Draw(t, "decimal")},
		encoding: rapid.SampledFrom([]string{"utf-8", "utf-8 bom", "utf-16le", "utf-16le bom", "utf-16be", "utf-16be bom", "windows-1252"}).Draw(t, "encoding"),
		compress: rapid.SampledFrom([]string{"", "gzip", "zstd"}).Draw(t, "compression"),
		lineEnd:  rapid.SampledFrom([]string{"\n", "\r\n", "\r"}).Draw(t, "line end"),
		stamps:   rapid.Bool().Draw(t, "timestamps"),
		quote:    rapid.Bool().Draw(t, "quotes"),
	}
	c := text.Column{Name: "zeit é", Unit: text.Unit(rapid.IntRange(1, 4).Draw(t, "unit"))}
	if m.stamps {
		m.layout.Timestamp = &c
	} else {
		m.layout.FrameTime = &c
	}
	if strings.HasPrefix(m.encoding, "windows") {
		m.layout.Encoding = m.encoding
	}
	return m
}

// write gives the file that holds the frame times in this manner.
func (m manner) write(t *rapid.T, frames []int64) []byte {
	values := frames
	unit := m.layout.FrameTime
	if m.stamps {
		values, unit = []int64{12345}, m.layout.Timestamp
		for _, x := range frames {
			values = append(values, values[len(values)-1]+x)
		}
	}
	places := map[text.Unit]int{text.Seconds: 9, text.Milliseconds: 6, text.Microseconds: 3, text.Nanoseconds: 0}[unit.Unit]
	var b strings.Builder
	fmt.Fprintf(&b, "n%s\"zeit é\"%slast%s", m.layout.Delimiter, m.layout.Delimiter, m.lineEnd)
	for i, v := range values {
		s := point(v, places, m.layout.Decimal)
		if m.quote {
			s = `"` + s + `"`
		}
		fmt.Fprintf(&b, "%d%s%s%sx%s", i, m.layout.Delimiter, s, m.layout.Delimiter, m.lineEnd)
	}
	return m.pack(t, m.encode(t, b.String()))
}

func (m manner) encode(t *rapid.T, s string) []byte {
	name, marked := strings.CutSuffix(m.encoding, " bom")
	policy := unicode.IgnoreBOM
	if marked {
		policy = unicode.UseBOM
	}
	var data []byte
	var err error
	switch name {
	case "utf-8":
		if marked {
			s = "\ufeff" + s
		}
		data = []byte(s)
	case "utf-16le":
		data, err = unicode.UTF16(unicode.LittleEndian, policy).NewEncoder().Bytes([]byte(s))
	case "utf-16be":
		data, err = unicode.UTF16(unicode.BigEndian, policy).NewEncoder().Bytes([]byte(s))
	default:
		data, err = charmap.Windows1252.NewEncoder().Bytes([]byte(s))
	}
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func (m manner) pack(t *rapid.T, data []byte) []byte {
	var b bytes.Buffer
	switch m.compress {
	case "gzip":
		w := gzip.NewWriter(&b)
		w.Write(data)
		w.Close()
	case "zstd":
		w, err := zstd.NewWriter(&b, zstd.WithEncoderConcurrency(1))
		if err != nil {
			t.Fatal(err)
		}
		w.Write(data)
		w.Close()
	default:
		return data
	}
	return b.Bytes()
}

func TestMannerDoesNotMatter(t *testing.T) {
	mem := memory.NewCheckedAllocator(memory.NewGoAllocator())
	defer mem.AssertSize(t, 0)
	r := NewReader(mem) // one for all files, so that nothing of one shows in the next
	rapid.Check(t, func(t *rapid.T) {
		frames := rapid.SliceOfN(rapid.Int64Range(1, 3_600_000_000_000), 1, 50).Draw(t, "frames")
		for range rapid.IntRange(0, 3).Draw(t, "doublings") { // into several blocks
			frames = slices.Concat(frames, frames, frames, frames)
		}
		m := drawManner(t)
		data := m.write(t, frames)
		c, err := r.Read(context.Background(), inMemory(data), "file", m.layout, nil)
		defer c.Release()
		if err != nil || len(c.Findings) > 0 {
			t.Fatalf("%v %+v", err, c.Findings)
		}
		if !slices.Equal(c.FrameNS(), frames) || c.Compression != m.compress || !strings.HasPrefix(m.encoding, c.Encoding) {
			t.Fatalf("read %d of %d frames, %s, %q", c.Frames, len(frames), c.Encoding, c.Compression)
		}
	})
}
