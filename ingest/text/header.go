package text

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/agext/levenshtein"
	"github.com/rigslate/rigslate/plan/finding"
)

// role is what a field is read for.
type role uint8

const (
	frameTime role = iota
	timestamp
	sampleTime
	keepRows
	extraTime
	extraValue
)

// step is one field to read of every line.
type step struct {
	role  role
	field int // from 0
	skip  int // fields passed over since the step before
	extra int // index into Layout.Extra
	with  int // index of the extra that this one is converted with
	col   Column
	scale scale
}

// begin reads up to the first line of data and makes the steps.
func (r *Reader) begin() error {
	if err := r.decode(r.src); err != nil {
		return err
	}
	for range r.layout.SkipLines {
		if _, err := r.nextLine(); err != nil {
			return err
		}
		r.stats.SkippedLines++
	}
	for {
		if r.pos == r.end {
			if err := r.fill(); err != nil {
				return err
			}
		}
		from := r.pos
		line, err := r.nextLine()
		switch {
		case err != nil:
			return err
		case r.passedOver(line):
		case !r.layout.NoHeader:
			return r.header(line)
		case r.count(line):
			err = r.plan(line)
			r.pos = from // it is data, and read again as such
			r.stats.Lines--
			return err
		}
	}
}

// count settles how many fields a line has where no header tells: as many as the first one that can be taken apart.
func (r *Reader) count(line []byte) bool {
	for p := 0; p >= 0; {
		f, after, fault := r.next(line, p)
		if fault != "" {
			r.bad(line, f, fault, "", "")
			return false
		}
		r.width++
		p = after
	}
	return true
}

// passedOver counts a line that holds nothing or is a comment.
func (r *Reader) passedOver(line []byte) bool {
	switch {
	case r.isBlank(line):
		r.stats.BlankLines++
	case r.comment != "" && len(line) >= len(r.comment) && string(line[:len(r.comment)]) == r.comment:
		r.stats.CommentLines++
	default:
		return false
	}
	return true
}

// header takes the names from the header line.
func (r *Reader) header(line []byte) error {
	for p := 0; p >= 0; {
		f, after, fault := r.next(line, p)
		if fault != "" {
			r.findings.Add(finding.Error, r.place(line, f.from, f.to), fault, "it stands in the header", "")
			return ErrHeader
		}
		if len(r.stats.Header) == maxColumns {
			r.findings.Add(finding.Error, finding.Place{File: r.file, Line: r.stats.Lines}, sayTooWide,
				fmt.Sprintf("it has more than %d", maxColumns), "check the delimiter")
			return ErrTooLarge
		}
		r.stats.Header = append(r.stats.Header, strings.ToValidUTF8(string(f.text), "\ufffd"))
		p = after
	}
	r.width = len(r.stats.Header)
	if !utf8.Valid(line) {
		r.findings.Add(finding.Warning, finding.Place{File: r.file, Line: r.stats.Lines}, sayHeaderUTF, "read as "+r.stats.Encoding,
			`name the encoding in text, as in encoding = "windows-1252"`)
	}
	return r.plan(line)
}

// plan finds the columns asked for and makes a step of each, in the order of fields.
func (r *Reader) plan(line []byte) error {
	l := r.layout
	add := func(role role, extra int, c *Column) {
		if c == nil {
			return
		}
		if i, ok := r.find(line, *c); ok {
			r.steps = append(r.steps, step{role: role, field: i, extra: extra, col: *c, scale: scaleOf(c.Unit)})
		}
	}
	add(frameTime, 0, l.FrameTime)
	add(timestamp, 0, l.Timestamp)
	if l.Sample != nil {
		add(sampleTime, 0, &l.Sample.Column)
	}
	if l.KeepRows != nil {
		add(keepRows, 0, &l.KeepRows.Column)
	}
	for i, x := range l.Extra {
		if x.Time {
			add(extraTime, i, &l.Extra[i].Column)
		} else {
			add(extraValue, i, &l.Extra[i].Column)
		}
	}
	if r.findings.HasErrors() {
		return ErrHeader
	}
	slices.SortStableFunc(r.steps, func(a, b step) int { return cmp.Compare(a.field, b.field) })
	// What the quick way could judge otherwise than the patient one is not shown to it.
	r.quick = l.Sample == nil && (l.KeepRows == nil || strings.Trim(l.KeepRows.Equals, " \t") == l.KeepRows.Equals)
	prev := -1
	for i := range r.steps {
		if r.steps[i].role == extraValue {
			r.steps[i].with = l.extra(l.Extra[r.steps[i].extra].With)
		}
		r.steps[i].skip = r.steps[i].field - prev - 1
		if r.steps[i].field == prev { // one field for two uses
			r.quick = false
		}
		prev = r.steps[i].field
	}
	r.tail = r.width - 1 - prev
	r.fields = slices.Grow(r.fields[:0], len(r.steps))[:len(r.steps)]
	return nil
}

// find gives the field that c means, counted from 0; if there is none, or more than one, it says so. line is the header, or
// the first line of data.
func (r *Reader) find(line []byte, c Column) (int, bool) {
	at := finding.Place{File: r.file, Line: r.stats.Lines, Source: r.source(line)}
	if c.Index > 0 {
		if c.Index <= r.width {
			return c.Index - 1, true
		}
		r.findings.Add(finding.Error, at, sayNoIndex, fmt.Sprintf("column %d is asked for; there are %d", c.Index, r.width),
			"count from 1")
		return 0, false
	}
	i := slices.Index(r.stats.Header, c.Name)
	if i < 0 {
		r.findings.Add(finding.Error, at, sayNoName, fmt.Sprintf("%q is asked for; it has %s", c.Name, names(r.stats.Header)), r.mend(line, c.Name))
		return 0, false
	}
	if j := slices.Index(r.stats.Header[i+1:], c.Name); j >= 0 {
		r.findings.Add(finding.Error, at, sayTwice, fmt.Sprintf("%q is column %d and column %d", c.Name, i+1, i+j+2),
			fmt.Sprintf("ask for it by place, as in column = %d", i+1))
		return 0, false
	}
	return i, true
}

// names lists header names, the first twenty of them.
func names(header []string) string {
	const most = 20
	var b strings.Builder
	for i, h := range header[:min(len(header), most)] {
		if i > 0 {
			b.WriteString(", ")
		}
		if len(h) > 60 {
			h = strings.ToValidUTF8(h[:60], "") + "…"
		}
		fmt.Fprintf(&b, "%q", h)
	}
	if n := len(header) - most; n > 0 {
		fmt.Fprintf(&b, " and %d more", n)
	}
	return b.String()
}

// mend looks for what was meant: a name written almost alike, or another delimiter.
func (r *Reader) mend(line []byte, name string) string {
	best, least := "", 1+min(len(name), 12)/3
	for _, h := range r.stats.Header {
		if strings.EqualFold(h, name) {
			return fmt.Sprintf("did you mean %q?", h)
		}
		if len(h) > 2*len(name)+4 {
			continue
		}
		if d := levenshtein.Distance(h, name, nil); d < least {
			best, least = h, d
		}
	}
	if best != "" {
		return fmt.Sprintf("did you mean %q?", best)
	}
	if r.width == 1 {
		for _, d := range ",;\t " {
			if byte(d) != r.delim && slices.Contains(strings.FieldsFunc(string(line), func(c rune) bool { return c == d }), name) {
				return fmt.Sprintf("the line holds %q: if that is the delimiter, write delimiter = %q", d, string(d))
			}
		}
	}
	return "if the header stands further down, set skip_lines"
}
