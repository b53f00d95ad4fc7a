package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/export/pack"
	"github.com/rigslate/rigslate/export/report"
)

func (a *app) packCommand() *cobra.Command {
	var into string
	var frames, codenames bool
	c := &cobra.Command{
		Use:   "pack EDITION",
		Short: "Make the data set for readers: tables as CSV and Parquet, a README of their columns, a licence",
		Long: "pack reads a published edition, checks every file against the manifest, and writes its tables without paths, notes, names of\n" +
			"sessions and whatever is private, into a ZIP file or a folder. The same edition gives the same bytes. Before an embargo\n" +
			"nothing is packed, unless --codenames says that codenames are enough: whoever reads the figures may know the card by them.",
		Example: "  rigslate pack archive/editions/review=demo/edition=e0123456789abcdef --into demo-data.zip",
		Args:    atLeast(1, "an edition's folder"),
		RunE: func(c *cobra.Command, args []string) error {
			s, err := a.editionSource(args[0])
			if err != nil {
				return err
			}
			if hidden := s.Words.Discretion.Withheld(s.Now); len(hidden) > 0 && !codenames {
				return fmt.Errorf("%w: %s is a codename until %s. Pack the edition after that, or with --codenames", errUsage, hidden[0].Codename, atUTC(hidden[0].Until))
			}
			folder := a.veil.String(s.Words.Review + "-" + s.Origin.Edition)
			into := cmp.Or(into, folder+".zip")
			files, err := pack.Files(s, frames)
			if err != nil {
				return fmt.Errorf("%w: %w", review.ErrDisk, err)
			}
			if err := writePack(c, into, folder, files); err != nil {
				return err
			}
			return a.printPack(s, into, files)
		},
	}
	c.Flags().StringVar(&into, "into", "", "file ending in .zip, or a folder that is new, empty or an earlier pack of this edition (default: REVIEW-EDITION.zip)")
	c.Flags().BoolVar(&frames, "frames", false, "add every frame time that counts, a Parquet file for each card")
	c.Flags().BoolVar(&codenames, "codenames", false, "pack before an embargo too, with codenames for names")
	return c
}

// editionSource reads an edition, as of the time that the command reckons from. What is said of it from then on is discreet.
func (a *app) editionSource(dir string) (s report.Source, err error) {
	o, err := a.options(nil)
	if err != nil {
		return s, err
	}
	a.veilAsIn(dir, o.Now)
	e, err := openEdition(dir)
	if err != nil {
		return s, err
	}
	if s, err = report.FromEdition(e); err != nil {
		return s, fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	s.Now = o.Now
	return s, nil
}

// writePack writes a ZIP file or a folder, each file whole or not at all.
func writePack(c *cobra.Command, into, folder string, files []report.File) error {
	if !strings.HasSuffix(strings.ToLower(into), ".zip") {
		if err := onlyOf(into, files); err != nil {
			return err
		}
	} else {
		var out bytes.Buffer
		if err := pack.Zip(&out, folder, files); err != nil {
			return fmt.Errorf("%w: %w", review.ErrDisk, err)
		}
		into, files = filepath.Dir(into), []report.File{{Path: filepath.Base(into), Content: out.Bytes()}}
	}
	if _, err := report.WriteFiles(c.Context(), into, files, 1); err != nil {
		return fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	return nil
}

// onlyOf refuses a folder with files that are none of a pack's: they would go out with it.
func onlyOf(folder string, files []report.File) error {
	entries, err := os.ReadDir(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	for _, e := range entries {
		if !slices.ContainsFunc(files, func(f report.File) bool { return f.Path == e.Name() }) {
			return fmt.Errorf("%w: %s holds %s, which is not of the pack and would go out with it. Name an empty folder, or a .zip file", errUsage, folder, e.Name())
		}
	}
	return nil
}

func (a *app) printPack(s report.Source, into string, files []report.File) error {
	bytes := 0
	var names []string
	for _, f := range files {
		bytes += len(f.Content)
		names = append(names, f.Path)
	}
	if a.json {
		return a.printJSON(struct {
			Edition  string         `json:"edition"`
			Into     string         `json:"into"`
			Files    []string       `json:"files"`
			Bytes    int            `json:"bytes"` // before they are packed
			Licence  string         `json:"licence,omitempty"`
			Withheld []withheldJSON `json:"withheld,omitempty"`
		}{s.Origin.Edition, a.veil.String(into), names, bytes, a.veil.String(s.Words.Licence), withheldOf(s.Words.Discretion, s.Now)})
	}
	fmt.Fprintf(a.stdout, "Pack     %s, edition %s\n", a.veil.String(into), s.Origin.Edition)
	fmt.Fprintln(a.stdout, "         "+screen.Wrap(screen.Count(len(names), "file", "files")+": "+screen.List(names), screen.Width-9, "         "))
	printWithheld(a.stdout, s.Words.Discretion, s.Now)
	if s.Words.Licence != "" {
		fmt.Fprintf(a.stdout, "Licence  %s\n", a.veil.String(s.Words.Licence))
		return nil
	}
	fmt.Fprintln(a.stdout, "Licence  none is stated, so the pack says that all rights are reserved. Write licence = \"CC BY 4.0\"\n"+
		"         or another into the plan's review, publish again and pack that edition.")
	return nil
}
