package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/pflag"

	"shortfall/audit/results"
	"shortfall/report"
	"shortfall/report/paper"
	"shortfall/report/section"
)

// renderings are the outputs asked for; "" is not asked for, and "-" sends the
// JSON to standard output.
type renderings struct {
	pdf, html, json, xlsx string
	pages                 section.Pages
	paper                 paper.Size
	force                 bool
}

const toStdout = "-"

func (r *renderings) flags(f *pflag.FlagSet) {
	f.StringVar(&r.pdf, "pdf", "", "write the report to this `FILE`")
	f.Var(choose(&r.pages, []string{"one", "short", "full"}, []section.Pages{section.One, section.Short, section.Full}, "short"), "pages", "how much of the report goes on paper: one page, the four that say it, or those with their annexes")
	f.StringVar(&r.html, "html", "", "write the report as one web page to this `FILE`")
	f.StringVar(&r.json, "json", "", "write the results to this `FILE`, or - for standard output")
	f.StringVar(&r.xlsx, "xlsx", "", "write the tables to this workbook `FILE`")
	f.Var(choose(&r.paper, []string{"a4", "letter"}, []paper.Size{paper.A4, paper.Letter}, "a4"), "paper", "size of the pages")
	f.BoolVar(&r.force, "force", false, "replace an output that this program did not make")
}

// outputs lists the files to be written.
func (r *renderings) outputs() []output {
	var out []output
	for _, o := range []output{{"--pdf", r.pdf, madePDF}, {"--html", r.html, madeHTML}, {"--json", r.json, madeJSON}, {"--xlsx", r.xlsx, madeWorkbook}} {
		if o.path != "" && o.path != toStdout {
			out = append(out, o)
		}
	}
	return out
}

// check refuses what must not be written, before any work.
func (r *renderings) check(a *app, inputs []string) error {
	if r.json == toStdout {
		a.summary = a.err
	}
	if r.pdf == toStdout || r.xlsx == toStdout || r.html == toStdout {
		return usage("only --json can be written to standard output")
	}
	return checkOutputs(r.outputs(), inputs, r.force)
}

// write renders and writes each output; files says which were written.
func (r *renderings) write(ctx context.Context, a *app, res *results.Results, p *progress) (files []string, err error) {
	render := map[string]func(io.Writer) error{
		"--pdf":  func(w io.Writer) error { return report.PDF(w, res, report.Options{Paper: r.paper, Pages: r.pages}) },
		"--html": func(w io.Writer) error { return report.HTML(w, res) },
		"--json": func(w io.Writer) error { return report.JSON(w, res) },
		"--xlsx": func(w io.Writer) error { return report.Workbook(w, res) },
	}
	for _, o := range r.outputs() {
		p.at("writing %s", o.path)
		if err := writeFile(o.path, render[o.flag]); err != nil {
			return files, err
		}
		files = append(files, o.path)
		if ctx.Err() != nil {
			return files, ctx.Err()
		}
	}
	if r.json == toStdout {
		return files, report.JSON(a.out, res)
	}
	return files, nil
}

// printWritten says where the outputs are.
func (a *app) printWritten(files []string) {
	if !a.quiet && len(files) > 0 {
		fmt.Fprintf(a.summary, "Written: %s\n", words(files))
	}
}

// words writes "a, b and c".
func words(list []string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:len(list)-1], ", ") + " and " + list[len(list)-1]
}
