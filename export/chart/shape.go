package chart

import (
	"bytes"
	"fmt"
	"slices"

	"github.com/go-text/typesetting/bidi"
	"github.com/go-text/typesetting/di"
	shapable "github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/language"
	"github.com/go-text/typesetting/shaping"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// placed is a glyph of a text, in ems from where the text begins on its line, X to the right and Y up.
type placed struct {
	face  *sfnt.Font // that draws it
	glyph sfnt.GlyphIndex
	X, Y  float64
}

// isComplex tells whether a text has characters that do not stand one after the other from the left: scripts from the right, letters that join or change by
// what is beside them, marks on letters. All other text is as wide as its characters, which measures it alike wherever it is cut.
func isComplex(s string) bool {
	for _, r := range s {
		switch {
		case r < 0x300:
		case r <= 0x36f, r >= 0x590 && r <= 0x10ff, r >= 0x1780 && r <= 0x18af, r >= 0x1900 && r <= 0x1cff, r >= 0xa800 && r <= 0xabff,
			r >= 0xfb1d && r <= 0xfdff, r >= 0xfe70 && r <= 0xfefe, r >= 0x10800 && r <= 0x11fff, r >= 0x1e800 && r <= 0x1efff:
			return true
		}
	}
	return false
}

// lay places the glyphs of a text in the order in which they stand, and gives its width in ems. The line as a whole goes from left to right, as the charts do.
// The caller holds the lock.
func (f *Fonts) lay(s string, bold bool) (glyphs []placed, width float64) {
	if isComplex(s) {
		if glyphs, width, ok := f.join(s, bold); ok {
			return glyphs, width
		}
	}
	for _, r := range s {
		wide := f.advance(r, bold)
		if wide > 0 {
			face, g := f.glyph(r, bold, &f.buf)
			glyphs = append(glyphs, placed{face, g, width, 0})
		}
		width += wide
	}
	return glyphs, width
}

// join lays letters that join or stand from the right. What it goes by is a font's tables, and those of a damaged font lead it astray: then it is not ok.
func (f *Fonts) join(s string, bold bool) (glyphs []placed, width float64, ok bool) {
	defer func() {
		if recover() != nil { // the library's own errors are panics
			ok = false
		}
	}()
	text := []rune(s)
	var p bidi.Paragraph
	var shaper shaping.HarfbuzzShaper
	for _, run := range visual(p.Segment(text, bidi.LeftToRight)) {
		in := shaping.Input{Text: text, RunStart: run.Start, RunEnd: run.End, Direction: di.DirectionLTR, Face: f.shapes[weight(bold)], Size: fixed.I(emUnits)}
		parts := scripts(in)
		if !run.IsLeftToRight() {
			slices.Reverse(parts)
		}
		for _, in := range parts {
			if !run.IsLeftToRight() {
				in.Direction = di.DirectionRTL
			}
			for _, g := range shaper.Shape(in).Glyphs {
				glyphs = append(glyphs, placed{f.face(bold), sfnt.GlyphIndex(g.GlyphID), width + ems(g.XOffset), ems(g.YOffset)})
				width += ems(g.Advance)
			}
		}
	}
	return glyphs, width, true
}

func ems(x fixed.Int26_6) float64 { return float64(x) / 64 / emUnits }

func weight(bold bool) int {
	if bold {
		return 1
	}
	return 0
}

// visual puts the runs of a line in the order in which they stand: from the highest level to the lowest odd one, every sequence of runs of that level or more
// is turned round (Unicode Standard Annex 9, rule L2).
func visual(runs bidi.Runs) (out []bidi.Run) {
	highest := bidi.Level(0)
	for i := range runs.NumRuns() {
		out = append(out, runs.Run(i))
		highest = max(highest, out[i].Level)
	}
	for level := highest; level > 0; level-- {
		for from := 0; from < len(out); from++ {
			to := from
			for to < len(out) && out[to].Level >= level {
				to++
			}
			slices.Reverse(out[from:to])
			from = to
		}
	}
	return out
}

// scripts parts a run where the script changes; what belongs to none goes with what stands before it, at the beginning with what follows.
func scripts(in shaping.Input) (out []shaping.Input) {
	part := in
	part.Script = language.Common
	for i := in.RunStart; i < in.RunEnd; i++ {
		switch script := language.LookupScript(in.Text[i]); {
		case !script.Strong() || script == part.Script:
		case part.Script == language.Common:
			part.Script = script
		default:
			part.RunEnd = i
			out = append(out, part)
			part = in
			part.RunStart, part.Script = i, script
		}
	}
	part.RunEnd = in.RunEnd
	return append(out, part)
}

// parseShapes reads the tables by which letters join.
func parseShapes(files ...[]byte) (out []*shapable.Face, err error) {
	defer func() {
		if p := recover(); p != nil { // a damaged font's tables lead the library astray
			err = fmt.Errorf("its tables are damaged: %v", p)
		}
	}()
	for _, b := range files {
		face, err := shapable.ParseTTF(bytes.NewReader(b))
		if err != nil {
			return nil, err
		}
		out = append(out, face)
	}
	return out, nil
}
