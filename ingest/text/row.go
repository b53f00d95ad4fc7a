package text

import (
	"bytes"
	"fmt"
)

// clock is what the timestamps of the rows so far leave for the next one. Frame i ends at its timestamp, so xᵢ = tᵢ − tᵢ₋₁
// (definitions, section 1). A bad line stops the clock: the difference across it would be two frames shown as one long one.
type clock struct {
	running bool
	begun   bool
	firstNS int64
	lastNS  int64
}

// frame gives the frame time that ends at t; ok is false where its start is not known.
func (c *clock) frame(t int64) (x int64, ok bool) {
	x, ok = t-c.lastNS, c.running
	if !c.begun {
		c.firstNS = t
	}
	c.begun, c.running, c.lastNS = true, true, t
	return x, ok
}

// patientRow reads the next line, whatever it holds.
func (r *Reader) patientRow() {
	line, err := r.nextLine()
	if err != nil || r.passedOver(line) { // no error: the caller has seen that there is a line
		return
	}
	if i := bytes.IndexByte(line, 0); i >= 0 {
		r.bad(line, field{from: i, to: i + 1}, sayNUL, "", "")
		return
	}
	if !r.split(line) {
		return
	}
	for k := range r.steps {
		if r.steps[k].role == keepRows && string(r.fields[k].text) != r.layout.KeepRows.Equals {
			r.stats.FilteredRows++
			return
		}
	}
	var frame, stamp int64
	for k := range r.steps {
		ok := true
		switch st := &r.steps[k]; st.role {
		case frameTime:
			frame, ok = r.frameTime(line, r.fields[k], st)
		case timestamp:
			stamp, ok = r.timestamp(line, r.fields[k], st)
		case sampleTime:
			stamp, ok = r.sampleTime(line, r.fields[k])
		}
		if !ok {
			return
		}
	}
	r.keep(line, frame, stamp)
}

// split takes the line apart and keeps the fields the steps want.
func (r *Reader) split(line []byte) bool {
	r.scratch = r.scratch[:0]
	n, k := 0, 0
	for p := 0; p >= 0; n++ {
		f, after, fault := r.next(line, p)
		if fault != "" {
			r.bad(line, f, fault, "", `a field that holds quotes or delimiters is written "like ""this"""`)
			return false
		}
		if n == r.width {
			r.bad(line, field{from: f.from, to: len(line)}, sayWidth, fmt.Sprintf("it has more than the %d expected", r.width), r.widthMend())
			return false
		}
		for k < len(r.steps) && r.steps[k].field == n {
			r.fields[k] = f
			k++
		}
		p = after
	}
	if n < r.width {
		r.bad(line, field{from: len(line), to: len(line)}, sayWidth, fmt.Sprintf("it has %d where %d are expected", n, r.width), "")
		return false
	}
	return true
}

func (r *Reader) frameTime(line []byte, f field, st *step) (int64, bool) {
	x, v := nanoseconds(f.text, r.decimal, st.scale.shift)
	switch {
	case v == notNumeral:
		r.bad(line, f, sayFrameForm, r.found(f), r.numeralMend(f))
	case v == beyond || x > maxFrameNS:
		r.bad(line, f, sayFrameLong, fmt.Sprintf("%s in %v is more than an hour", r.found(f), st.col.Unit), "check the unit")
	case x <= 0:
		r.bad(line, f, sayFrameZero, r.found(f), "")
	default:
		return x, true
	}
	return 0, false
}

func (r *Reader) timestamp(line []byte, f field, st *step) (int64, bool) {
	t, v := nanoseconds(f.text, r.decimal, st.scale.shift)
	alone := r.layout.FrameTime == nil
	x := t - r.clock.lastNS
	switch {
	case v == notNumeral:
		r.bad(line, f, sayStampForm, r.found(f), r.numeralMend(f))
	case v == beyond || t < -maxStampNS || t > maxStampNS:
		r.bad(line, f, sayStampFar, fmt.Sprintf("%s in %v", r.found(f), st.col.Unit), "check the unit")
	case !r.clock.running:
		return t, true
	case x < 0:
		r.bad(line, f, sayStampBack, fmt.Sprintf("%s is %d ns before the line above", r.found(f), -x), "")
	case x == 0 && alone:
		r.bad(line, f, sayStampSame, r.found(f), "timestamps need enough digits to tell two frames apart")
	case x > maxFrameNS && alone:
		r.bad(line, f, sayFrameLong, fmt.Sprintf("%s is %d ns after the line above", r.found(f), x), "check the unit")
	default:
		return t, true
	}
	return 0, false
}

// keep adds the row of a good line. An extra that is no number leaves its line good: the cell is null, and that is said.
func (r *Reader) keep(line []byte, frame, stamp int64) {
	frame, ok := r.pass(frame, stamp)
	if !ok {
		return
	}
	row := r.block.Rows
	for k := range r.steps {
		st, f := &r.steps[k], r.fields[k]
		var v verdict
		switch st.role {
		case extraTime:
			r.block.Extra[st.extra].NS[row], v = nanoseconds(f.text, r.decimal, st.scale.shift)
		case extraValue:
			r.block.Extra[st.extra].F[row], v = float(f.text, r.decimal)
		}
		if v == fine {
			continue
		}
		r.block.Extra[st.extra].Valid[row] = false
		r.block.Extra[st.extra].Nulls++
		if len(f.text) > 0 {
			r.badCell(line, f)
		}
	}
	if r.layout.Sample != nil {
		r.block.TimeNS[row] = stamp
		r.convert(line)
	} else {
		r.block.FrameNS[row] = frame
	}
	r.block.Rows++
}

// pass counts a good line and gives the frame time it stands for; ok is false where it is a timestamp that ends no known frame.
func (r *Reader) pass(frame, stamp int64) (x int64, ok bool) {
	r.stats.Rows++
	if r.layout.Sample != nil {
		if !r.clock.begun {
			r.clock.firstNS = stamp
		}
		r.clock.begun, r.clock.lastNS = true, stamp
		return 0, true
	}
	if r.layout.Timestamp == nil {
		return frame, true
	}
	x, ok = r.clock.frame(stamp)
	if r.layout.FrameTime != nil {
		return frame, true
	}
	return x, ok
}
