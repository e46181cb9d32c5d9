package sampledata

import _ "embed" // of the file beside this one

// Workbook is the invented practice as a spreadsheet, for who wants to try the
// program before giving it a file.
//
//go:embed practice.xlsx
var Workbook []byte
