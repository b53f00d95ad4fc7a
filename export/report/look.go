package report

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strings"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/chart"
)

// LookWords is what the plan chose for pictures and pages. It changes no figure.
type LookWords struct {
	Accent  string      `json:"accent,omitempty"`
	Footer  string      `json:"footer,omitempty"`
	SizePct float64     `json:"size_pct,omitempty"`
	Fonts   []FontWords `json:"fonts,omitempty"` // regular and bold, or one for both
}

// FontWords is a font's file: by the plan's name, and by its hash where it was there and could be used.
type FontWords struct {
	File   string `json:"file"`
	SHA256 string `json:"sha256,omitempty"`
}

// Kept is the font's name in an edition. It follows from the content, so that no name of a file at the bench can be one that archives do not take.
func (f FontWords) Kept() string {
	return archive.LookFolder + f.SHA256[:min(16, len(f.SHA256))] + strings.ToLower(path.Ext(f.File))
}

// Font is a font's file with its content.
type Font struct {
	FontWords
	Content []byte
}

// NewFont enters a font's file by its content.
func NewFont(file string, content []byte) Font {
	sum := sha256.Sum256(content)
	return Font{FontWords{file, hex.EncodeToString(sum[:])}, content}
}

// ParseLook is the look as charts take it. Fonts are handed over by read, which says fs.ErrNotExist of one that is not kept: the built-in ones then
// stand in for both. A font that is not the one that was used is archive.ErrDamaged.
func (w *LookWords) ParseLook(read func(FontWords) ([]byte, error)) (look chart.Look, err error) {
	if w == nil {
		return look, nil
	}
	look = chart.Look{Accent: w.Accent, Footer: w.Footer, Size: w.SizePct}
	var files [][]byte
	for _, f := range w.Fonts {
		if f.SHA256 == "" {
			return look, nil
		}
		content, err := read(f)
		if errors.Is(err, fs.ErrNotExist) {
			return look, nil
		}
		if err != nil {
			return look, err
		}
		if NewFont(f.File, content).SHA256 != f.SHA256 {
			return look, fmt.Errorf("%w: the font %s is not the one that the look was made with", archive.ErrDamaged, f.File)
		}
		files = append(files, content)
	}
	if len(files) > 0 {
		look.Fonts, err = chart.ParseFonts("", files[0], files[len(files)-1])
	}
	return look, err
}

// fontsUsed says which fonts the charts are drawn with, "" where the plan names none.
func (s Source) fontsUsed() string {
	w := s.Words.Look
	if w == nil || len(w.Fonts) == 0 {
		return ""
	}
	var files []string
	for _, f := range w.Fonts {
		files = append(files, f.File)
	}
	list := strings.Join(files, ", ")
	if s.Look.Fonts == nil {
		return list + ": not kept here, so the built-in ones stand in for them"
	}
	return list
}
