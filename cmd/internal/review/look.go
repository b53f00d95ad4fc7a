package review

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/rigslate/rigslate/export/chart"
	"github.com/rigslate/rigslate/export/report"
	"github.com/rigslate/rigslate/plan/finding"
)

// largestFont bounds a font's file; those with all characters of Chinese, Japanese and Korean have about 20 MB.
const largestFont = 64 << 20

// readLook reads the fonts that the plan names, and says what of the look cannot be had. All of it is a warning, since no figure hangs on it: a
// bench without the font gives the same numbers, drawn with the built-in one.
func (r *Review) readLook() {
	look := r.Plan.Look
	if look == nil {
		r.checkGlyphs()
		return
	}
	usable := len(look.Fonts) > 0
	for _, file := range look.Fonts {
		content, err := r.readFont(file)
		if err != nil {
			usable = false
			r.Findings.Add(finding.Warning, look.FontsPlace, "Font cannot be used", fmt.Sprintf("%s: %s. All charts are drawn with the built-in one.", file, err),
				"Put the file beside the plan, or name another one.")
		}
		r.fonts = append(r.fonts, report.NewFont(file, content))
	}
	if !usable {
		for i := range r.fonts {
			r.fonts[i].SHA256, r.fonts[i].Content = "", nil
		}
	}
	var err error
	if r.look, err = r.lookWords().ParseLook(r.fontContent); err != nil { // each has been read once
		r.Findings.Add(finding.Warning, look.FontsPlace, "Font cannot be used", err.Error()+".", "Name another one.")
	}
	if look.Accent != "" {
		if err := chart.CheckAccent(look.Accent); err != nil {
			r.Findings.Add(finding.Warning, look.AccentPlace, "Accent cannot be seen", upperFirst(err.Error())+".",
				"Take another one; where it cannot be seen, grey stands in for it.")
		}
	}
	if !r.look.FooterFits() {
		r.Findings.Add(finding.Warning, look.FooterPlace, "Footer is too long", "It does not fit on an upright chart, and is shortened there.", "Use fewer words.")
	}
	r.checkGlyphs()
}

// readFont reads a font below the plan's folder and sees whether it is one.
func (r *Review) readFont(file string) ([]byte, error) {
	root, err := os.OpenRoot(cmp.Or(r.Plan.Dir, "."))
	if err != nil {
		return nil, err
	}
	defer root.Close()
	local := filepath.FromSlash(file)
	info, err := root.Stat(local)
	switch {
	case os.IsNotExist(err):
		return nil, errors.New("there is no such file in the plan's folder")
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular() || info.Size() > largestFont:
		return nil, fmt.Errorf("it is no file of %d MB or less", largestFont>>20)
	}
	content, err := root.ReadFile(local)
	if err == nil {
		_, err = chart.ParseFonts(filepath.Base(file), content, content)
	}
	return content, err
}

func (r *Review) fontContent(f report.FontWords) ([]byte, error) {
	for _, have := range r.fonts {
		if have.FontWords == f {
			return have.Content, nil
		}
	}
	return nil, os.ErrNotExist
}

// fontSums are the hashes of the fonts in use, which are part of what an edition is.
func (r *Review) fontSums() (out []string) {
	for _, f := range r.fonts {
		if f.SHA256 != "" {
			out = append(out, f.SHA256)
		}
	}
	return out
}

func (r *Review) lookWords() *report.LookWords {
	look := r.Plan.Look
	if look == nil {
		return nil
	}
	w := &report.LookWords{Accent: look.Accent, Footer: look.Footer, SizePct: look.Size}
	for _, f := range r.fonts {
		w.Fonts = append(w.Fonts, f.FontWords)
	}
	return w
}

// chartWords are the characters that charts have whatever the plan says, beside letters and figures.
const chartWords = "%+−×·…°[],:/"

// checkGlyphs finds characters in what stands on charts that the fonts do not have. The built-in fonts stand in where they can, else PNG have empty
// boxes.
func (r *Review) checkGlyphs() {
	all := chartWords
	say := func(at finding.Place, what, text string) {
		all += text
		lacks := r.look.Lacks(text)
		if len(lacks) == 0 {
			return
		}
		mend := "Name a font that has them: look { fonts = [\"….ttf\"] }."
		if r.look.Fonts != nil {
			mend = "Name a font that has them, or spell it otherwise."
			at = r.Plan.Look.FontsPlace
		}
		r.Findings.Add(finding.Warning, at, "Font lacks characters", fmt.Sprintf("%s has %s, which %s an empty box in charts as PNG.", what, quotedRunes(lacks),
			map[bool]string{true: "is", false: "are each"}[len(lacks) == 1]), mend)
	}
	for _, c := range r.Plan.Cards {
		say(c.Place, "The name of card "+c.Name, c.Title)
	}
	for _, g := range r.Plan.Games {
		say(g.Place, "The name of game "+g.Name, g.Title)
		say(g.Place, "The scene of game "+g.Name, g.Scene)
	}
	if look := r.Plan.Look; look != nil {
		say(look.FooterPlace, "The footer", look.Footer)
	}
	if fonts := r.look.Fonts; fonts != nil {
		if borrowed := fonts.Borrows(all); len(borrowed) > 0 {
			r.Findings.Add(finding.Warning, r.Plan.Look.FontsPlace, "Characters come from the built-in font", fmt.Sprintf("The font of the look has no %s.", quotedRunes(borrowed)),
				"Name a font that has them, if that is seen.")
		}
	}
}

// quotedRunes lists characters, ten at most.
func quotedRunes(runes []rune) string {
	var out []string
	for i, r := range runes {
		if i == 10 {
			return strings.Join(out, " ") + fmt.Sprintf(" and %d more", len(runes)-i)
		}
		out = append(out, fmt.Sprintf("%c (U+%04X)", r, r))
	}
	return strings.Join(out, ", ")
}

func upperFirst(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
