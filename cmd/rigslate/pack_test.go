package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/parquet-go/parquet-go"
)

// packsAreDiscreet packs an edition before and after the embargo.
func packsAreDiscreet(t *testing.T, edition string, call func(when string, args ...string) string) {
	t.Helper()
	into := t.TempDir()
	said := call("before", "pack", edition, "--codenames", "--frames", "--into", filepath.Join(into, "one", "data.zip"))
	said += call("before", "pack", edition, "--codenames", "--frames", "--json", "--into", filepath.Join(into, "two", "data.zip"))
	call("before", "pack", edition, "--codenames", "--frames", "--into", filepath.Join(into, "folder"))
	leaks, files := tellTale(t, into)
	if leak := says([]byte(said)); leak != "" || len(leaks) > 0 || files < 40 {
		t.Errorf("pack says %q and its %d files %s", leak, files, leaks)
	}
	sameFiles(t, filepath.Join(into, "one"), filepath.Join(into, "two"))
	names := sameInBothForms(t, filepath.Join(into, "folder"), 2*5+1) // a cell of each card, five passes with the one that is void
	if !strings.Contains(names, "osprey") || !strings.Contains(names, "tern_ref") {
		t.Errorf("the pack has the cards %s", names)
	}
	open := filepath.Join(t.TempDir(), "open")
	call("after", "pack", edition, "--into", open)
	all := sameInBothForms(t, open, 0)
	if !strings.Contains(all, "qzxsecret_card") || strings.Contains(all, "osprey") {
		t.Errorf("after the embargo the pack has the cards %s", all)
	}
	for _, private := range []string{"QZXsecret-SN", "QZXsecret-contact", "qzxsecret desk", "captures/", "evening"} {
		if strings.Contains(all, private) || strings.Contains(readAll(t, open, "README.md"), private) {
			t.Errorf("after the embargo the pack says %s", private)
		}
	}
}

// sameInBothForms reads the tables of a pack by other readers than ours, holds CSV and Parquet against each other, value by value, and returns all
// that they say.
func sameInBothForms(t *testing.T, dir string, least int) string {
	t.Helper()
	var all strings.Builder
	rows := 0
	for _, name := range []string{"runs", "cells", "comparisons", "summaries", "claims", "readings"} {
		heads, table := parquetTexts(t, []byte(readAll(t, dir, name+".parquet")))
		r := csv.NewReader(strings.NewReader(strings.TrimPrefix(readAll(t, dir, name+".csv"), "\ufeff")))
		lines, err := r.ReadAll()
		if err != nil || len(lines) == 0 || !slices.Equal(lines[0], heads) || len(lines)-1 != len(table) {
			t.Fatalf("%s: %v; %d lines of %q against %d rows of %q", name, err, len(lines), lines[:min(1, len(lines))], len(table), heads)
		}
		for i, line := range lines[1:] {
			for j, text := range line {
				a, errA := strconv.ParseFloat(text, 64)
				b, errB := strconv.ParseFloat(table[i][j], 64)
				if at, err := time.Parse(time.RFC3339Nano, text); err == nil {
					text = strconv.FormatInt(at.UnixMicro(), 10)
				}
				if text != table[i][j] && !(errA == nil && errB == nil && a == b) {
					t.Errorf("%s, row %d, %s: CSV has %q and Parquet %q", name, i, heads[j], text, table[i][j])
				}
			}
			fmt.Fprintln(&all, line)
		}
		rows += len(table)
	}
	if rows < least {
		t.Errorf("%d rows", rows)
	}
	return all.String()
}

// parquetTexts reads a table by a library that this program does not read with.
func parquetTexts(t *testing.T, content []byte) (heads []string, table [][]string) {
	t.Helper()
	f, err := parquet.OpenFile(bytes.NewReader(content), int64(len(content)))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range f.Schema().Columns() {
		heads = append(heads, c[0])
	}
	for _, group := range f.RowGroups() {
		rows := group.Rows()
		defer rows.Close()
		for buffer := make([]parquet.Row, 64); ; {
			n, err := rows.ReadRows(buffer)
			for _, row := range buffer[:n] {
				line := make([]string, len(heads))
				for _, v := range row {
					if !v.IsNull() {
						line[v.Column()] = v.String()
					}
				}
				table = append(table, line)
			}
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
		}
	}
	return heads, table
}
