package finding

import (
	"fmt"
	"io"
	"strings"

	"github.com/mattn/go-runewidth"
)

// PerFile is how many findings of one file are printed before the rest are counted.
const PerFile = 20

// Print writes findings as text: place and summary, the source line with the part underlined, then what was found and the
// mend. It tidies first, and caps each file at PerFile with a count of what was left out, errors before the rest.
func Print(w io.Writer, l List) error {
	var b strings.Builder
	l = l.Tidy()
	for len(l) > 0 {
		n := 1
		for n < len(l) && l[n].Place.File == l[0].Place.File {
			n++
		}
		printFile(&b, l[:n])
		l = l[n:]
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func printFile(b *strings.Builder, l List) {
	left := capped(l)
	for i, f := range l {
		if !left[i] {
			printOne(b, f)
		}
	}
	var out [3]int
	for i, f := range l {
		if left[i] {
			out[f.Severity]++
		}
	}
	if n := out[Error] + out[Warning] + out[Note]; n > 0 {
		fmt.Fprintf(b, "… and %d more in %s (%s)\n", n, l[0].Place.File, counts(out))
	}
}

// capped marks what is beyond PerFile: the later ones of the least severe kind go first.
func capped(l List) map[int]bool {
	left := map[int]bool{}
	room := PerFile
	for _, s := range []Severity{Error, Warning, Note} {
		for i, f := range l {
			if f.Severity != s {
				continue
			}
			if room == 0 {
				left[i] = true
				continue
			}
			room--
		}
	}
	return left
}

func counts(n [3]int) string {
	var parts []string
	for s, word := range []string{"error", "warning", "note"} {
		switch {
		case n[s] == 1:
			parts = append(parts, "1 "+word)
		case n[s] > 1:
			parts = append(parts, fmt.Sprintf("%d %ss", n[s], word))
		}
	}
	return strings.Join(parts, ", ")
}

func printOne(b *strings.Builder, f Finding) {
	if at := f.Place.String(); at != "" {
		fmt.Fprintf(b, "%s: ", at)
	}
	fmt.Fprintf(b, "%s: %s\n", f.Severity, Printable(f.Summary))
	if f.Place.Source != "" {
		const room = 120
		src, from := excerpt(Printable(f.Place.Source), f.Place.Column, room)
		fmt.Fprintf(b, "    %s\n", src)
		if f.Place.Column > 0 {
			pad := runewidth.StringWidth(cut(src, f.Place.Column-from))
			width := min(max(1, f.Place.EndColumn-f.Place.Column), max(1, runewidth.StringWidth(src)-pad))
			fmt.Fprintf(b, "    %s%s\n", strings.Repeat(" ", pad), strings.Repeat("^", width))
		}
	}
	if f.Detail != "" {
		fmt.Fprintf(b, "  %s\n", Printable(f.Detail))
	}
	if f.Mend != "" {
		fmt.Fprintf(b, "  %s\n", Printable(f.Mend))
	}
}

// String gives file, file:line or file:line:column.
func (p Place) String() string {
	switch {
	case p.Line == 0:
		return Printable(p.File)
	case p.Column == 0:
		return fmt.Sprintf("%s:%d", Printable(p.File), p.Line)
	}
	return fmt.Sprintf("%s:%d:%d", Printable(p.File), p.Line, p.Column)
}

// Printable keeps a hostile file name or line from steering the terminal: control and direction-changing characters become
// a replacement sign, tabs a single blank so that columns still line up. Every text from
// outside passes through it on its way to a terminal.
func Printable(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t':
			return ' '
		case r < 0x20, r == 0x7f, r >= 0x80 && r < 0xa0,
			r >= 0x202a && r <= 0x202e, r >= 0x2066 && r <= 0x2069, r == 0x200e, r == 0x200f, r == 0xfeff:
			return '\ufffd'
		}
		return r
	}, s)
}

// excerpt cuts a long line around the column; from is the column of its first character.
func excerpt(s string, column, room int) (string, int) {
	r := []rune(s)
	if len(r) <= room {
		return s, 1
	}
	lo := max(0, min(column-1-room/3, len(r)-room))
	return string(r[lo : lo+room]), lo + 1
}

// cut returns the first n characters.
func cut(s string, n int) string {
	r := []rune(s)
	return string(r[:max(0, min(n, len(r)))])
}
