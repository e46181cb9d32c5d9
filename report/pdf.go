package report

import (
	"fmt"
	"io"

	"shortfall/audit/results"
	"shortfall/report/document"
	"shortfall/report/figures"
	"shortfall/report/paper"
	"shortfall/report/section"
	"shortfall/report/web"
)

// Options of a PDF. The zero value is A4 and the short report.
type Options struct {
	Paper paper.Size
	Pages section.Pages
}

// PDF writes the audit report. The same results and options give the same
// bytes; the date in the file is the one in the results.
func PDF(w io.Writer, r *results.Results, o Options) error {
	d, err := compose(r, o)
	if err != nil {
		return err
	}
	return write(w, d)
}

func compose(r *results.Results, o Options) (*paper.Doc, error) {
	doc, err := section.Document(r, o.Pages)
	if err != nil {
		return nil, fmt.Errorf("making the report: %w", err)
	}
	return lay(doc, o)
}

// CasePDF writes the sheets of cases for a study club, each on a page of its
// own (more only where a case has more movements than a page has lines).
func CasePDF(w io.Writer, s *results.CaseSheets, o Options) error {
	d, err := composeCases(s, o)
	if err != nil {
		return err
	}
	return write(w, d)
}

func composeCases(s *results.CaseSheets, o Options) (*paper.Doc, error) {
	doc, err := section.Cases(s)
	if err != nil {
		return nil, fmt.Errorf("making the case sheets: %w", err)
	}
	return lay(doc, o)
}

func lay(doc *document.Document, o Options) (*paper.Doc, error) {
	if o.Paper == (paper.Size{}) {
		o.Paper = paper.A4
	}
	return paper.Layout(o.Paper, doc)
}

func write(w io.Writer, d *paper.Doc) error {
	if err := d.Write(w); err != nil {
		return fmt.Errorf("writing the PDF: %w", err)
	}
	return nil
}

// HTML writes the report as one web page, with what paper leaves to the
// workbook.
func HTML(w io.Writer, r *results.Results) error {
	doc, err := section.Document(r, section.Everything)
	if err != nil {
		return fmt.Errorf("making the report: %w", err)
	}
	if err := web.Write(w, doc); err != nil {
		return fmt.Errorf("writing the web page: %w", err)
	}
	return nil
}

// Figures lists every figure of the report as a file of its own, for a talk.
func Figures(r *results.Results) ([]figures.File, error) {
	doc, err := section.Document(r, section.Everything)
	if err != nil {
		return nil, fmt.Errorf("making the figures: %w", err)
	}
	return figures.Of(doc, r.Cautions), nil
}
