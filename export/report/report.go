// Package report writes the pages that a review is read from: self-contained HTML that needs no network and no script, is light or
// dark as the reader's system is, and can be printed. It is handed plain figures and knows neither plan nor pipeline.
//
// Pages are templates over one layout. A chart library and a script were rejected: a page must look the same in ten years, and be
// readable in a mail's preview and on paper.
package report

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/rigslate/rigslate/export/chart"
)

// Head is what stands on every page.
type Head struct {
	Review string // its name in the plan
	Title  string // of the review, empty where it has none
	Tool   string // the program's version
	Look   chart.Look
}

//go:embed page/*.html page/*.css page/*.js
var pages embed.FS

// styles are what pages have beyond the common style.
var styles = map[string][]string{"index": {"index"}, "history": {"index", "history"}}

// render fills a page's template into the layout. A page may have a script of its own, by its name.
func render(name string, look chart.Look, data any) ([]byte, error) {
	style, err := pages.ReadFile("page/style.css")
	if err != nil {
		return nil, err
	}
	style = append(style, chart.PageStyle(look)...)
	for _, part := range styles[name] {
		own, err := pages.ReadFile("page/" + part + ".css")
		if err != nil {
			return nil, err
		}
		style = append(style, own...)
	}
	script, err := scriptOf(name)
	if err != nil {
		return nil, err
	}
	t, err := template.New("layout.html").Funcs(template.FuncMap{
		"style":      func() template.CSS { return template.CSS(style) }, // our own files
		"script":     func() template.JS { return template.JS(script) },
		"scripthash": func() string { return scriptHash(script) },
		"percent":    percent,
		"number":     number,
		"short":      short,
		"words":      func(s string) string { return strings.ReplaceAll(s, "_", " ") },
	}).ParseFS(pages, "page/layout.html", "page/parts.html", "page/"+name+".html")
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := t.Execute(&out, data); err != nil {
		return nil, fmt.Errorf("page %s: %w", name, err)
	}
	return out.Bytes(), nil
}

// scriptOf joins a page's scripts: NAME.js and what follows it, NAME-PART.js.
func scriptOf(name string) (script []byte, err error) {
	parts, err := fs.Glob(pages, "page/"+name+"*.js")
	for _, part := range parts {
		text, err := pages.ReadFile(part)
		if err != nil {
			return nil, err
		}
		script = append(script, text...)
	}
	return script, err
}

// number gives x with the decimals and a true minus sign.
func number(x float64, decimals int) string {
	return strings.Replace(fmt.Sprintf("%.*f", decimals, x), "-", "−", 1)
}

// short gives x with the decimals that it has.
func short(x float64) string {
	return strings.Replace(strconv.FormatFloat(x, 'f', -1, 64), "-", "−", 1)
}

// percent gives x with one decimal.
func percent(x float64) string { return number(x, 1) + " %" }

// write puts a file into the folder, whole or not at all, and says whether it is another than before. One that says what it said is not
// touched.
func write(folder, name string, content []byte) (changed bool, err error) {
	path := filepath.Join(folder, filepath.FromSlash(name))
	if old, err := os.ReadFile(path); err == nil && bytes.Equal(old, content) {
		return false, nil
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return false, fmt.Errorf("write the report: %w", err)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return false, fmt.Errorf("write the report: %w", err)
	}
	next := path + ".new"
	if err := os.WriteFile(next, content, 0o666); err != nil {
		return false, errors.Join(fmt.Errorf("write the report: %w", err), remove(next))
	}
	if err := os.Rename(next, path); err != nil {
		return false, errors.Join(fmt.Errorf("write the report: %w", err), remove(next))
	}
	return true, nil
}

// remove removes what may not be there.
func remove(path string) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}
