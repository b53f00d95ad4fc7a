package review

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/gomonobold"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/report"
	"github.com/rigslate/rigslate/plan/finding"
)

// withLook gives a copied review a look, and its fonts.
func withLook(t *testing.T, dir, look string) Options {
	t.Helper()
	if err := os.MkdirAll(filepath.Join(dir, "fonts"), 0o777); err != nil {
		t.Fatal(err)
	}
	few, err := os.ReadFile("../../../export/chart/testdata/few.ttf")
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string][]byte{"fonts/few.ttf": few, "look.hcl": []byte(look), "fonts/plain.ttf": gomono.TTF, "fonts/bold.ttf": gomonobold.TTF, "fonts/notes.ttf": []byte("no font")} {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	o := options(dir)
	o.Charts = report.SVGCharts
	return o
}

func editionOf(t *testing.T, r *Review) archive.Edition {
	t.Helper()
	m, err := archive.ReadManifest(r.Kept.Folder)
	if err != nil {
		t.Fatal(err)
	}
	return archive.Edition{Manifest: m, Dir: r.Kept.Folder}
}

func reportFiles(t *testing.T, e archive.Edition) map[string]string {
	t.Helper()
	s, err := report.FromEdition(e)
	if err != nil {
		t.Fatal(err)
	}
	files, err := report.Files(s, report.SVGCharts)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, f := range files {
		if f.Make != nil {
			if f.Content, err = f.Make(); err != nil {
				t.Fatal(err)
			}
		}
		out[f.Path] = string(f.Content)
	}
	return out
}

// A look makes an edition of its own, which holds its fonts and gives the report again without the bench. No figure hangs on it.
func TestLookIsInTheEditionAndInNoFigure(t *testing.T) {
	dir := copied(t, "real")
	plain := do(t, options(dir))
	o := withLook(t, dir, "look {\n fonts = [\"fonts/plain.ttf\", \"fonts/bold.ttf\"]\n accent = \"#767676\"\n footer = \"The Quay & sons\"\n size = \"115%\"\n}\n")
	looked := do(t, o)
	if plain.Kept.Edition == "" || looked.Kept.Edition == "" || plain.Kept.Edition == looked.Kept.Edition {
		t.Fatalf("editions %q and %q", plain.Kept.Edition, looked.Kept.Edition)
	}
	was, is := tree(t, plain.Kept.Folder), tree(t, looked.Kept.Folder)
	fonts := 0
	for name, text := range is {
		if strings.HasSuffix(name, ".parquet") && was[name] != text {
			t.Errorf("%s hangs on the look", name)
		}
		if strings.HasPrefix(name, archive.LookFolder) {
			fonts++
		}
	}
	if fonts != 2 {
		t.Errorf("%d fonts are kept, want 2", fonts)
	}
	if err := os.Rename(filepath.Join(dir, "fonts"), filepath.Join(dir, "gone")); err != nil {
		t.Fatal(err)
	}
	again, beside := reportFiles(t, editionOf(t, looked)), tree(t, looked.Kept.Report)
	for name, text := range beside {
		if again[name] != text {
			t.Errorf("%s is another one from the archive", name)
		}
	}
	for _, want := range []string{"<bdi>The Quay &amp; sons</bdi>", "--look-accent:#767676;", "--look-font:'Go Mono', "} {
		if !strings.Contains(again["index.html"], want) {
			t.Errorf("the page lacks %s", want)
		}
	}
	wantWhole(t, filepath.Join(dir, "archive"), 2)

	r := do(t, o) // the fonts are gone from the bench
	if r.Kept.Edition == looked.Kept.Edition || !slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.Summary == "Font cannot be used" }) {
		t.Errorf("edition %s, findings %v", r.Kept.Edition, r.Findings)
	}
}

// An edition that was passed on without its fonts is drawn with the built-in ones, and says so; one with another font in their place is damaged.
func TestLookWithoutItsFonts(t *testing.T) {
	dir := copied(t, "real")
	e := editionOf(t, do(t, withLook(t, dir, "look {\n fonts = \"fonts/plain.ttf\"\n}\n")))
	font := slices.IndexFunc(e.Files, func(f archive.FileEntry) bool { return strings.HasPrefix(f.Path, archive.LookFolder) })
	without := e
	without.Files = slices.Delete(slices.Clone(e.Files), font, font+1)
	if page := reportFiles(t, without)["index.html"]; !strings.Contains(page, "fonts/plain.ttf: not kept here") || strings.Contains(page, "Go Mono") {
		t.Error("the page does not say that its fonts are others")
	}
	_, err := (&report.LookWords{Fonts: []report.FontWords{report.NewFont("plain.ttf", gomono.TTF).FontWords}}).ParseLook(
		func(report.FontWords) ([]byte, error) { return bytes.Clone(gomonobold.TTF), nil })
	if err == nil {
		t.Error("another font is taken for the one that was used")
	}
}

// What of a look cannot be had is said with the plan's place, and stops nothing. That yellow cannot be seen on nearly white nor black on nearly black
// is a fact of the trade; the figures of contrast have a test of their own.
func TestLookWarnings(t *testing.T) {
	for _, x := range []struct{ look, summary, says string }{
		{`fonts = "fonts/none.ttf"`, "Font cannot be used", "fonts/none.ttf: there is no such file"},
		{`fonts = "fonts/notes.ttf"`, "Font cannot be used", "TrueType or OpenType"},
		{`fonts = "fonts/few.ttf"`, "Characters come from the built-in font", "− (U+2212)"},
		{`accent = "#ffff00"`, "Accent cannot be seen", "light background"},
		{`accent = "#000000"`, "Accent cannot be seen", "dark background"},
		{`footer = "The Quay 港"`, "Font lacks characters", "港 (U+6E2F)"},
		{`footer = "THE QUAY, WHERE BOATS AND BOARDS ARE MOORED ALONGSIDE"`, "Footer is too long", "upright"},
	} {
		dir := copied(t, "real")
		r, err := Load(withLook(t, dir, "look {\n "+x.look+"\n}\n"))
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(r.Findings, func(f finding.Finding) bool { return f.Summary == x.summary })
		if i < 0 {
			t.Errorf("%s: %v", x.look, r.Findings)
			continue
		}
		if f := r.Findings[i]; f.Severity != finding.Warning || !strings.Contains(f.Detail, x.says) || f.Mend == "" || f.Place.Line != 2 {
			t.Errorf("%s: %+v", x.look, f)
		}
	}
}
