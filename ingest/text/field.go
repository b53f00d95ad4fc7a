package text

import "bytes"

// field is one field of a line: where it stands, quotes included, and what it holds, quotes and the blanks around it taken off.
type field struct {
	from, to int
	text     []byte
}

// next reads the field that begins at p, and gives the place where the following one begins, or -1 after the last. fault is the
// summary of what is wrong with its quotes. Blanks around a field are not part of it unless quoted.
func (r *Reader) next(line []byte, p int) (f field, after int, fault string) {
	p = r.pastBlanks(line, p)
	if p < len(line) && line[p] == '"' {
		return r.quoted(line, p)
	}
	q := p
	for q < len(line) && !r.ends(line[q]) {
		if line[q] == '"' {
			return field{from: q, to: q + 1}, -1, sayBareQuote
		}
		q++
	}
	end := q
	for end > p && blank(line[end-1]) {
		end--
	}
	return field{p, end, line[p:end]}, r.after(line, q), ""
}

// quoted reads a field in quotes (RFC 4180, without line ends inside: a capture's row is a line).
func (r *Reader) quoted(line []byte, p int) (f field, after int, fault string) {
	q := p + 1
	doubled := false
	for {
		n := bytes.IndexByte(line[q:], '"')
		if n < 0 {
			return field{from: p, to: len(line)}, -1, sayOpenQuote
		}
		q += n + 1
		if q == len(line) || line[q] != '"' {
			break
		}
		doubled = true
		q++
	}
	f = field{p, q, line[p+1 : q-1]}
	if doubled {
		from := len(r.scratch)
		for i := 0; i < len(f.text); i++ {
			r.scratch = append(r.scratch, f.text[i])
			if f.text[i] == '"' {
				i++
			}
		}
		f.text = r.scratch[from:]
	}
	end := r.pastBlanks(line, q)
	if end < len(line) && !r.ends(line[end]) && !(r.blanks && end > q) {
		return field{from: end, to: end + 1}, -1, sayAfterQuote
	}
	if r.blanks {
		end = q
	}
	return f, r.after(line, end), ""
}

// after gives the beginning of the field that follows the delimiter at q, or -1 at the line's end.
func (r *Reader) after(line []byte, q int) int {
	if r.blanks {
		q = r.pastBlanks(line, q)
		if q == len(line) {
			return -1
		}
		return q
	}
	if q == len(line) {
		return -1
	}
	return q + 1
}

func (r *Reader) ends(c byte) bool { return c == r.delim || r.blanks && c == '\t' }

func (r *Reader) pastBlanks(line []byte, p int) int {
	for p < len(line) && blank(line[p]) && (r.blanks || line[p] != r.delim) {
		p++
	}
	return p
}

func blank(c byte) bool { return c == ' ' || c == '\t' }

// isBlank reports whether a line holds nothing at all: blanks, but not a delimiter that is a tab.
func (r *Reader) isBlank(line []byte) bool { return r.pastBlanks(line, 0) == len(line) }
