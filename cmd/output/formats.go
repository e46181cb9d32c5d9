package output

import (
	"io"

	"shortfall/audit/results"
	"shortfall/report"
)

// format is a kind of file that results are written as, named by a flag.
type format struct {
	name, usage string
	ends        []string               // of file names
	made        func(path string) bool // recognises an earlier output
	write       func(w io.Writer, res *results.Results, o report.Options) error
}

// formats in the order in which they are written; another one is a line here and a
// package that writes it.
var formats = []format{
	{"pdf", "write the report to this `FILE`", []string{".pdf"}, MadePDF, report.PDF},
	{"html", "write the report as one web page to this `FILE`", []string{".html", ".htm"}, madeHTML, unpaged(report.HTML)},
	{"json", "write the results to this `FILE`, or - for standard output", []string{".json"}, MadeJSON, unpaged(report.JSON)},
	{"xlsx", "write the tables to this workbook `FILE`", []string{".xlsx"}, madeWorkbook, unpaged(report.Workbook)},
}

// FormatFlags lists the flags of the formats, each with a comma behind it.
func FormatFlags() string {
	s := ""
	for _, x := range formats {
		s += "--" + x.name + ", "
	}
	return s
}

// unpaged is a format without pages, which the options of paper do not touch.
func unpaged(write func(io.Writer, *results.Results) error) func(io.Writer, *results.Results, report.Options) error {
	return func(w io.Writer, res *results.Results, _ report.Options) error { return write(w, res) }
}
