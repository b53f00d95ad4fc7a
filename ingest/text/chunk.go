package text

import (
	"bytes"
	"io"
)

const (
	chunk      = 256 << 10
	maxLine    = 1 << 20
	longest    = maxLine + len("\r\n") + 1 // the buffer that holds such a line and the byte kept for a missing line end
	maxColumns = 4096
)

// fill makes room by dropping what was read, and reads on until the buffer holds at least one whole line; r.pos to r.end are
// then whole lines, each with its line end. At the end of the file the last line is given one if it has none. It returns io.EOF
// when nothing is left, and ErrTooLarge for a line that does not fit.
func (r *Reader) fill() error {
	for {
		if r.pos > 0 {
			r.have = copy(r.buf, r.buf[r.pos:r.have])
			r.pos, r.end = 0, 0
		}
		if r.eof {
			if r.have == 0 {
				return io.EOF
			}
			r.buf[r.have] = '\n'
			r.have++
			r.end = r.have
			return nil
		}
		room := len(r.buf) - 1 // the last byte is kept for the line end
		if r.have == room {
			if len(r.buf) == longest {
				return r.tooLong()
			}
			r.buf = append(r.buf, make([]byte, min(len(r.buf), longest-len(r.buf)))...)
			continue
		}
		n, err := io.ReadFull(r.src, r.buf[r.have:room])
		fresh := r.buf[r.have : r.have+n]
		r.have += n
		switch err {
		case nil:
		case io.EOF, io.ErrUnexpectedEOF:
			r.eof = true
		default:
			return err
		}
		r.lineEnds(fresh)
		if i := bytes.LastIndexByte(fresh, '\n'); i >= 0 {
			r.end = r.have - n + i + 1
			return nil
		}
	}
}

// lineEnds settles from the first chunk whether lines end in a carriage return alone, and if so turns those into line feeds.
func (r *Reader) lineEnds(fresh []byte) {
	if !r.settled {
		r.settled = true
		r.crOnly = bytes.IndexByte(fresh, '\r') >= 0 && bytes.IndexByte(fresh, '\n') < 0
	}
	if r.crOnly {
		for i, c := range fresh {
			if c == '\r' {
				fresh[i] = '\n'
			}
		}
	}
}

// nextLine gives the next whole line without its line end.
func (r *Reader) nextLine() ([]byte, error) {
	if r.pos == r.end {
		if err := r.fill(); err != nil {
			return nil, err
		}
	}
	rest := r.buf[r.pos:r.end]
	n := bytes.IndexByte(rest, '\n')
	r.pos += n + 1
	r.stats.Lines++
	return bytes.TrimSuffix(rest[:n], []byte{'\r'}), nil
}
