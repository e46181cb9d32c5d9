package report

import (
	"fmt"
	"io"

	"shortfall/audit/results"
	"shortfall/report/paper"
	"shortfall/report/section"
	"shortfall/report/web"
)

// layFront lays out the first pages.
func layFront(r *results.Results, o Options) (*paper.Doc, error) {
	doc, err := section.Document(r, o.Pages)
	if err != nil {
		return nil, fmt.Errorf("making the report: %w", err)
	}
	size := o.Paper
	if size == (paper.Size{}) {
		size = paper.A4
	}
	return paper.Layout(size, doc)
}

func writeFront(w io.Writer, r *results.Results, o Options) error {
	d, err := layFront(r, o)
	if err != nil {
		return err
	}
	return d.Write(w)
}

// HTML writes the report as one web page.
func HTML(w io.Writer, r *results.Results) error {
	doc, err := section.Document(r, section.Everything)
	if err != nil {
		return fmt.Errorf("making the report: %w", err)
	}
	return web.Write(w, doc)
}
