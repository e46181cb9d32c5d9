// Command cells reads the cells of a workbook and does no more with them, in one of three
// ways, so that .ci/measure can set them beside other programs: "inflate" unpacks the
// parts alone, "own" is our reader, "excelize" that library's streaming one.
package main

import (
	"archive/zip"
	"fmt"
	"io"
	"os"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/sheet"
)

func main() {
	ways := map[string]func(string) (int, error){"inflate": inflate, "own": own, "excelize": library}
	if len(os.Args) != 3 || ways[os.Args[1]] == nil {
		fmt.Fprintln(os.Stderr, "usage: cells inflate|own|excelize FILE")
		os.Exit(2)
	}
	n, err := ways[os.Args[1]](os.Args[2])
	if err != nil {
		fmt.Fprintln(os.Stderr, "cells:", err)
		os.Exit(1)
	}
	fmt.Println(n)
}

// inflate gives the bytes of all parts.
func inflate(path string) (n int, err error) {
	z, err := zip.OpenReader(path)
	if err != nil {
		return 0, err
	}
	defer z.Close()
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			return n, err
		}
		m, err := io.Copy(io.Discard, r)
		if n += int(m); err != nil {
			return n, err
		}
	}
	return n, nil
}

// own gives the rows that our reader finds.
func own(path string) (n int, err error) {
	b, err := sheet.Open(path, sheet.Limits{})
	if err != nil {
		return 0, err
	}
	for _, s := range b.Sheets {
		n += len(s.Rows)
	}
	return n, nil
}

// library gives the rows that excelize finds.
func library(path string) (n int, err error) {
	f, err := excelize.OpenFile(path, excelize.Options{RawCellValue: true, UnzipXMLSizeLimit: 1 << 30})
	if err != nil {
		return 0, err
	}
	defer f.Close()
	for _, name := range f.GetSheetList() {
		rows, err := f.GetRows(name)
		if err != nil {
			return n, err
		}
		n += len(rows)
	}
	return n, nil
}
