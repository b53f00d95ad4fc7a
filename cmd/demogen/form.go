package main

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"strings"

	"github.com/klauspost/compress/zstd"
	"golang.org/x/text/encoding/unicode"
)

// form is how a pass is saved: frame times in whole µs as text, and the text compressed.
type form struct {
	text func(p *pass, us []int64) ([]byte, error)
	pack func([]byte) ([]byte, error)
}

var (
	frameTimes = form{frameTimesText, zstandard}
	replayLog  = form{replayLogText, gzipped}
	timestamps = form{timestampsText, zstandard}
)

// frameTimesText is one column of milliseconds under a comment.
func frameTimesText(p *pass, us []int64) ([]byte, error) {
	var b bytes.Buffer
	fmt.Fprintf(&b, "# %s\nframe_ms\n", p.name())
	for _, x := range us {
		fmt.Fprintf(&b, "%d.%03d\n", x/1000, x%1000)
	}
	return b.Bytes(), nil
}

// replayLogText is tab-separated, in whole microseconds, and mixes programs: about once a second the desktop draws a frame too.
func replayLogText(p *pass, us []int64) ([]byte, error) {
	d := newDraw("desktop " + p.name())
	var b bytes.Buffer
	b.WriteString("program\tframe_us\n")
	for _, x := range us {
		if d.uniform() < 0.007 {
			fmt.Fprintf(&b, "desktop\t%d\n", 16000+int64(1400*d.uniform()))
		}
		fmt.Fprintf(&b, "%s\t%d\n", p.game.game, x)
	}
	return b.Bytes(), nil
}

// firstTimestamp is where the clock of timestampsText stands when the first frame begins, µs: only differences may matter.
const firstTimestamp = 4200000

// timestampsText is what a spreadsheet of another country saves: two lines of preamble, semicolons, decimal commas, CR LF, the
// end of each frame in seconds. One card's files are UTF-16 with a byte-order mark, the other's UTF-8 with one.
func timestampsText(p *pass, us []int64) ([]byte, error) {
	var b strings.Builder
	fmt.Fprintf(&b, "Messung %s\r\nKanal;Zeit\r\ntime_s;take\r\n", p.name())
	clock := int64(firstTimestamp)
	write := func(line int) {
		fmt.Fprintf(&b, "%s;%d\r\n", p.fault.spoil(line, fmt.Sprintf("%d,%06d", clock/1e6, clock%1e6)), p.repeat)
	}
	write(1)
	for i, x := range us {
		clock += x
		write(i + 2)
	}
	enc := unicode.UTF8BOM
	if p.mode.card == "tern_ref" {
		enc = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM)
	}
	return enc.NewEncoder().Bytes([]byte(b.String()))
}

// spoil damages the number of a data line that is to be bad: a letter in it, nothing left of it, a second comma.
func (f fault) spoil(line int, number string) string {
	for i, bad := range f.bad {
		if bad == line {
			return [...]string{number[:len(number)-3] + "l" + number[len(number)-2:], "", number + ",5"}[i%3]
		}
	}
	return number
}

// zstandard uses one goroutine, so that the bytes follow from the content alone.
func zstandard(data []byte) ([]byte, error) {
	w, err := zstd.NewWriter(nil, zstd.WithEncoderLevel(zstd.SpeedBestCompression), zstd.WithEncoderConcurrency(1))
	if err != nil {
		return nil, err
	}
	return w.EncodeAll(data, nil), w.Close()
}

// gzipped leaves name and time out of the header, for the same reason.
func gzipped(data []byte) ([]byte, error) {
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(data); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
