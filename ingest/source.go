package ingest

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"hash"
	"io"

	"github.com/klauspost/compress/gzip"
	"github.com/klauspost/compress/zstd"
)

// disk reads the bytes as they are on disk, hashing, counting and copying each.
type disk struct {
	ctx  context.Context
	from io.Reader
	sum  hash.Hash
	tee  io.Writer
	n    int64
	err  error // what failed here, as against what is wrong with the bytes
}

func (d *disk) Read(p []byte) (int, error) {
	if d.err != nil {
		return 0, d.err
	}
	if d.err = d.ctx.Err(); d.err != nil {
		return 0, d.err
	}
	n, err := d.from.Read(p)
	d.sum.Write(p[:n])
	d.n += int64(n)
	if d.tee != nil && n > 0 {
		if _, werr := d.tee.Write(p[:n]); werr != nil {
			d.err = fmt.Errorf("%w: %w", ErrCopy, werr)
			return 0, d.err
		}
	}
	if err != nil && err != io.EOF {
		d.err = fmt.Errorf("%w: %w", ErrUnreadable, err)
		return n, d.err
	}
	return n, err
}

// unpacker gives the text of a file, whether compressed or not. Its buffers and decoders serve one file after another.
type unpacker struct {
	disk  disk
	limit limits
	peek  *bufio.Reader
	gzip  *gzip.Reader
	zstd  *zstd.Decoder
	from  io.Reader // the text
	n     int64     // bytes of it
	kind  string    // "", "gzip" or "zstd"
}

var (
	gzipMagic = []byte{0x1f, 0x8b}
	zstdMagic = []byte{0x28, 0xb5, 0x2f, 0xfd}
	skipMagic = []byte{0x2a, 0x4d, 0x18} // after 0x50 to 0x5f: a frame to be skipped (RFC 8878, 3.1.2), which some writers put first
)

// open settles from the first bytes how the file is compressed.
func (u *unpacker) open(ctx context.Context, from io.Reader, tee io.Writer) error {
	sum := u.disk.sum
	if sum == nil {
		sum = sha256.New()
	}
	sum.Reset()
	u.disk = disk{ctx: ctx, from: from, sum: sum, tee: tee}
	u.n, u.kind = 0, ""
	if u.peek == nil {
		u.peek = bufio.NewReaderSize(&u.disk, 64<<10)
	}
	u.peek.Reset(&u.disk)
	u.from = u.peek
	head, err := u.peek.Peek(len(zstdMagic))
	if err != nil && err != io.EOF {
		return err
	}
	switch {
	case bytes.HasPrefix(head, gzipMagic):
		u.kind = "gzip"
		return u.openGzip()
	case bytes.Equal(head, zstdMagic), len(head) == 4 && head[0]&0xf0 == 0x50 && bytes.Equal(head[1:], skipMagic):
		u.kind = "zstd"
		return u.openZstd()
	}
	return nil
}

func (u *unpacker) openGzip() (err error) {
	if u.gzip == nil {
		u.gzip, err = gzip.NewReader(u.peek)
	} else {
		err = u.gzip.Reset(u.peek)
	}
	if err != nil {
		u.gzip = nil
		return u.damaged(err)
	}
	u.from = u.gzip
	return nil
}

func (u *unpacker) openZstd() (err error) {
	if u.zstd == nil {
		// One goroutine, this one, so that there is nothing to close.
		u.zstd, err = zstd.NewReader(u.peek, zstd.WithDecoderConcurrency(1), zstd.WithDecoderLowmem(true),
			zstd.WithDecoderMaxWindow(u.limit.window))
	} else {
		err = u.zstd.Reset(u.peek)
	}
	if err != nil {
		u.zstd = nil
		return u.damaged(err)
	}
	u.from = u.zstd
	return nil
}

// Read gives text, and no more of it than the limits allow.
func (u *unpacker) Read(p []byte) (int, error) {
	n, err := u.from.Read(p)
	u.n += int64(n)
	switch {
	case u.n > u.limit.plain:
		return n, fmt.Errorf("%w: more than %d MiB of text", ErrTooLarge, u.limit.plain>>20)
	case u.kind != "" && u.n > u.limit.free+u.limit.ratio*u.disk.n:
		return n, fmt.Errorf("%w: %d bytes on disk unpack to more than %d times as much", ErrTooLarge, u.disk.n, u.limit.ratio)
	case err != nil && err != io.EOF:
		return n, u.damaged(err)
	}
	return n, err
}

// damaged blames the bytes for an error, unless the disk, the copy or the context was at fault.
func (u *unpacker) damaged(err error) error {
	if u.disk.err != nil {
		return u.disk.err
	}
	if err == io.EOF {
		err = io.ErrUnexpectedEOF
	}
	return fmt.Errorf("%w: the %s data is cut off or damaged: %w", ErrUnreadable, u.kind, err)
}

// drain reads what is left on disk, so that hash and copy are of the whole file whatever was wrong with it.
func (u *unpacker) drain() error {
	_, err := io.Copy(io.Discard, u.peek)
	if u.disk.err != nil {
		return u.disk.err
	}
	return err
}
