// Package olden makes editions for tests that look as though an earlier release had published them: under an earlier version of the definitions, by
// which some figures came out otherwise. The tables are written by the archive's own writer, and the manifest fits them.
package olden

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
)

// Tool is the release that an edition is then said to be of.
const Tool = "0.0.7"

// Age makes the edition in a folder one of the version of the definitions before its own, with its tables as change leaves them.
func Age(folder string, change func(*archive.Tables)) error {
	m, err := archive.ReadManifest(folder)
	if err != nil {
		return err
	}
	e := archive.Edition{Manifest: m, Dir: folder}
	var t archive.Tables
	if err := errors.Join(read(e, "runs", &t.Runs), read(e, "cells", &t.Cells), read(e, "comparisons", &t.Comparisons),
		read(e, "summaries", &t.Summaries), read(e, "claims", &t.Claims), read(e, "readings", &t.Readings)); err != nil {
		return err
	}
	if change != nil {
		change(&t)
	}
	dir, err := os.MkdirTemp("", "olden-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	draft := filepath.Join(dir, "draft")
	if err := archive.WriteDraft(context.Background(), draft, archive.Draft{Tables: t, Review: m.Review}); err != nil {
		return err
	}
	for _, name := range []string{"runs", "cells", "comparisons", "summaries", "claims", "readings"} {
		name += ".parquet"
		text, err := os.ReadFile(filepath.Join(draft, name))
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(folder, name), text, 0o666); err != nil {
			return err
		}
		i := slices.IndexFunc(m.Files, func(f archive.FileEntry) bool { return f.Path == name })
		if i < 0 {
			return fmt.Errorf("the edition has no %s", name)
		}
		sum := sha256.Sum256(text)
		m.Files[i].Bytes, m.Files[i].SHA256 = int64(len(text)), hex.EncodeToString(sum[:])
	}
	m.DefinitionsVersion--
	m.ToolVersion = Tool
	return seal(folder, m)
}

// Higher are made-up definitions of an earlier release: mean frame rates came out a hundredth higher, and every verdict in them was behind.
func Higher(tables *archive.Tables) {
	up := func(x *float64) *float64 {
		if x == nil {
			return nil
		}
		y := 1.01 * *x
		return &y
	}
	for i := range tables.Runs {
		tables.Runs[i].MeanFPS = up(tables.Runs[i].MeanFPS)
	}
	for i := range tables.Cells {
		if c := &tables.Cells[i]; c.Metric == "mean_fps" {
			c.Mean, c.CILow, c.CIHigh = up(c.Mean), up(c.CILow), up(c.CIHigh)
		}
	}
	behind := string(compute.Behind)
	for i := range tables.Comparisons {
		if c := &tables.Comparisons[i]; c.Metric == "mean_fps" && c.Verdict != nil {
			c.Verdict = &behind
		}
	}
}

func read[Row any](e archive.Edition, table string, rows *[]Row) (err error) {
	*rows, err = archive.ReadTable[Row](e, table+".parquet")
	return err
}

func seal(folder string, m archive.Manifest) error {
	text, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return err
	}
	text = append(text, '\n')
	sum := sha256.Sum256(text)
	return errors.Join(os.WriteFile(filepath.Join(folder, "manifest.json"), text, 0o666),
		os.WriteFile(filepath.Join(folder, "manifest.sha256"), []byte(hex.EncodeToString(sum[:])+"  manifest.json\n"), 0o666))
}
