// Command make writes the files of the sample data: the workbook, the flat
// CSV, the dirty companion and the truth. Run it in the sampledata folder, or
// through "go generate ./sampledata".
//
// Place in the pipeline: before it, beside package sampledata, whose practice it writes.
package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"shortfall/ingest/template"
	"shortfall/sampledata"
)

func main() {
	if err := write("."); err != nil {
		fmt.Fprintln(os.Stderr, "make:", err)
		os.Exit(1)
	}
}

func write(dir string) error {
	files, err := build()
	if err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		if err := os.WriteFile(filepath.Join(dir, name), files[name], 0o644); err != nil {
			return err
		}
	}
	return nil
}

// build makes every file in memory.
func build() (map[string][]byte, error) {
	ds, truth := sampledata.Generate(sampledata.Default(), sampledata.DefaultSeed)
	meta := template.Meta{Title: "Cases of an invented practice", Invented: true}
	files := map[string][]byte{}
	// any order: each file is made by itself
	for name, write := range map[string]func(io.Writer) error{
		"practice.xlsx": func(w io.Writer) error { return template.WriteDataset(w, ds, meta) },
		"practice.csv":  func(w io.Writer) error { return writeCSV(w, flat(ds)) },
		"dirty.csv":     func(w io.Writer) error { return writeCSV(w, dirtyRows()) },
		"truth.json": func(w io.Writer) error {
			e := json.NewEncoder(w)
			e.SetIndent("", "  ")
			return e.Encode(truth)
		},
	} {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		files[name] = b.Bytes()
	}
	return files, nil
}
