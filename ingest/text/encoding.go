package text

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"github.com/rigslate/rigslate/plan/finding"
	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/htmlindex"
	"golang.org/x/text/encoding/ianaindex"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// sniffed is how much of a file is looked at to tell its encoding.
const sniffed = 4096

var (
	utf16le = unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)
	utf16be = unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)
)

// named gives the encoding called name and its settled name; "" and "auto" give none.
func named(name string) (encoding.Encoding, string, error) {
	switch canon := strings.ToLower(strings.TrimSpace(name)); canon {
	case "", "auto":
		return nil, "", nil
	case "utf-8", "utf8":
		return encoding.Nop, "utf-8", nil
	case "utf-16le", "utf-16", "utf16":
		return utf16le, "utf-16le", nil
	case "utf-16be":
		return utf16be, "utf-16be", nil
	case "replacement": // in the list for browsers' sake, decodes nothing
	default:
		if e, err := htmlindex.Get(canon); err == nil {
			return e, canon, nil
		}
		if e, err := ianaindex.IANA.Encoding(canon); err == nil && e != nil {
			return e, canon, nil
		}
	}
	return nil, "", fmt.Errorf("%w: there is no encoding %q", ErrLayout, name)
}

// marked tells an encoding by its byte order mark; n is the length of the mark.
func marked(head []byte) (e encoding.Encoding, name string, n int) {
	switch {
	case bytes.HasPrefix(head, []byte{0xef, 0xbb, 0xbf}):
		return encoding.Nop, "utf-8", 3
	case bytes.HasPrefix(head, []byte{0xff, 0xfe}):
		return utf16le, "utf-16le", 2
	case bytes.HasPrefix(head, []byte{0xfe, 0xff}):
		return utf16be, "utf-16be", 2
	}
	return nil, "", 0
}

// guessed tells UTF-16 without a mark by its NULs: numerals and delimiters are ASCII, so that half of the bytes, those on one
// side, are zero. Everything else is taken for UTF-8.
func guessed(head []byte) (encoding.Encoding, string) {
	var zero [2]int
	for i, c := range head {
		if c == 0 {
			zero[i&1]++
		}
	}
	pairs := len(head) / 2
	switch {
	case zero[1]*2 > pairs && zero[0]*10 < pairs:
		return utf16le, "utf-16le"
	case zero[0]*2 > pairs && zero[1]*10 < pairs:
		return utf16be, "utf-16be"
	}
	return encoding.Nop, "utf-8"
}

// decode settles the encoding and sets the reader that gives UTF-8. A byte order mark counts for more than the layout, since it
// was written with the bytes; where they differ, that is said.
func (r *Reader) decode(src io.Reader) error {
	stated, name, err := named(r.layout.Encoding)
	if err != nil {
		return err
	}
	n, err := io.ReadFull(src, r.head[:])
	if err != nil && err != io.EOF && err != io.ErrUnexpectedEOF {
		return err
	}
	head := r.head[:n]
	enc, found, mark := marked(head)
	switch {
	case mark > 0 && stated != nil && found != name && !eitherOrder(r.layout.Encoding, found):
		r.findings.Add(finding.Warning, finding.Place{File: r.file}, sayMark,
			fmt.Sprintf("the plan says %s, the mark %s; the mark was followed", name, found), `write encoding = "auto"`)
	case mark > 0:
	case stated != nil:
		enc, found = stated, name
	default:
		enc, found = guessed(head)
	}
	r.stats.Encoding = found
	r.src = io.MultiReader(bytes.NewReader(head[mark:]), src)
	if enc != encoding.Nop {
		r.src = transform.NewReader(r.src, enc.NewDecoder())
	}
	return nil
}

// eitherOrder reports whether the layout says UTF-16 and leaves to the mark which byte of two comes first.
func eitherOrder(stated, found string) bool {
	stated = strings.ToLower(strings.TrimSpace(stated))
	return (stated == "utf-16" || stated == "utf16") && strings.HasPrefix(found, "utf-16")
}
