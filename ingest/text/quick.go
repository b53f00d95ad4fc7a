package text

import "math"

// scale turns a numeral of v digits, d of them after the decimal sign, into nanoseconds: v · times[d], for v up to most[d].
// Numerals with more digits than nanoseconds have need rounding and are left to the patient way.
type scale struct {
	shift int
	times [10]uint64
	most  [10]uint64
}

func scaleOf(u Unit) scale {
	s := scale{shift: u.shift()}
	m := uint64(1)
	for d := s.shift; d >= 0; d-- {
		s.times[d], s.most[d] = m, maxStampNS/m
		m *= 10
	}
	return s
}

// exact holds the powers of ten that are float64 without rounding, so that v / exact[d] is the float64 nearest to the numeral for
// v up to 2^53 (Clinger 1990, How to Read Floating Point Numbers Accurately).
var exact = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19}

// quickRow reads the line at p if all of it is plain: numerals of digits with at most one decimal sign, not in quotes, and
// every value good. It gives the beginning of the next line; ok is false if the line must be read the patient way, and then nothing has
// changed but cells of the row to come. Every loop ends at a line end at the latest.
func (r *Reader) quickRow(p int) (after int, ok bool) {
	buf := r.buf
	if r.comment != "" && buf[p] == r.comment[0] {
		return 0, false
	}
	if r.blanks {
		p = r.quickBlanks(p)
	}
	for k := range r.steps {
		st := &r.steps[k]
		if k > 0 {
			if p = r.quickDelim(p); p < 0 {
				return 0, false
			}
		}
		for n := st.skip; n > 0; n-- {
			if p = r.quickDelim(r.quickField(p)); p < 0 {
				return 0, false
			}
		}
		if st.role == keepRows {
			if p = r.quickKept(p); p < 0 {
				return 0, false
			}
			continue
		}
		v, d, q := numeralAt(buf, p, r.decimal)
		if q < 0 || !r.quickCell(st, v, d) {
			return 0, false
		}
		p = q
	}
	if p, ok = r.quickTail(p); !ok {
		return 0, false
	}
	if frame, ok := r.pass(r.frameNS, r.stampNS); ok {
		r.block.FrameNS[r.block.Rows] = frame
		r.block.Rows++
	}
	return p, true
}

// quickCell keeps the value v / 10^d of one field, if it is one that needs no second look.
func (r *Reader) quickCell(st *step, v uint64, d int) bool {
	if st.role == extraValue {
		if v > 1<<53 {
			return false
		}
		r.block.Extra[st.extra].F[r.block.Rows] = float64(v) / exact[d]
		return true
	}
	if d > st.scale.shift || v > st.scale.most[d] {
		return false
	}
	x := int64(v * st.scale.times[d])
	switch st.role {
	case frameTime:
		r.frameNS = x
		return x > 0 && x <= maxFrameNS
	case timestamp:
		r.stampNS = x
		return r.follows(x)
	}
	r.block.Extra[st.extra].NS[r.block.Rows] = x
	return true
}

// numeralAt reads digits with at most one decimal sign among them: v without the sign, d digits after it. after is where they
// end, or -1 if that is no such numeral or has more digits than surely fit.
func numeralAt(buf []byte, p int, decimal byte) (v uint64, d, after int) {
	q := p
	c := buf[q] - '0'
	for c <= 9 {
		v = v*10 + uint64(c)
		q++
		c = buf[q] - '0'
	}
	if q == p || q-p > 19 {
		return 0, 0, -1
	}
	if c+'0' != decimal {
		return v, 0, q
	}
	q++
	from := q
	c = buf[q] - '0'
	for c <= 9 {
		v = v*10 + uint64(c)
		q++
		c = buf[q] - '0'
	}
	if q == from || q-p > 20 {
		return 0, 0, -1
	}
	return v, q - from, q
}

// follows reports whether a timestamp raises no question.
func (r *Reader) follows(t int64) bool {
	if !r.clock.running {
		return true
	}
	x := t - r.clock.lastNS
	return x > 0 && x <= maxFrameNS
}

// quickKept gives the end of the field at p if it is exactly what keep_rows asks for, else -1.
func (r *Reader) quickKept(p int) int {
	q := p
	for !r.stops[r.buf[q]] {
		q++
	}
	if string(r.buf[p:q]) != r.layout.KeepRows.Equals {
		return -1
	}
	return q
}

// quickField passes over a field, quoted or not; what must follow it is for the caller to check.
func (r *Reader) quickField(p int) int {
	if r.buf[p] == '"' {
		return r.quickQuoted(p)
	}
	for !r.stops[r.buf[p]] {
		p++
	}
	return p
}

func (r *Reader) quickQuoted(p int) int {
	for p++; ; p++ {
		switch r.buf[p] {
		case '"':
			return p + 1
		case '\n', 0:
			return p
		}
	}
}

// quickDelim gives the place after the delimiter at p, or -1 if there is none.
func (r *Reader) quickDelim(p int) int {
	switch {
	case r.blanks:
		return r.quickRun(p)
	case r.buf[p] != r.delim:
		return -1
	}
	return p + 1
}

// quickRun passes over the blanks that delimit one field from the next. At the end of a line they delimit nothing.
func (r *Reader) quickRun(p int) int {
	q := r.quickBlanks(p)
	if q == p || r.buf[q] == '\n' || r.buf[q] == '\r' {
		return -1
	}
	return q
}

func (r *Reader) quickBlanks(p int) int {
	for blank(r.buf[p]) {
		p++
	}
	return p
}

// quickTail passes over the fields after the last one wanted and the line end.
func (r *Reader) quickTail(p int) (after int, ok bool) {
	for n := r.tail; n > 0; n-- {
		if p = r.quickDelim(p); p < 0 {
			return 0, false
		}
		p = r.quickField(p)
	}
	if r.blanks {
		p = r.quickBlanks(p)
	}
	if r.buf[p] == '\r' {
		p++
	}
	if r.buf[p] != '\n' {
		return 0, false
	}
	return p + 1, true
}

// maxStampNS keeps differences of timestamps within an int64; it is 146 years on either side of zero.
const maxStampNS = math.MaxInt64 / 2
