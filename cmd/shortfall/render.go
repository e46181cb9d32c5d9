package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"shortfall/audit/results"
	"shortfall/ingest/screen"
	"shortfall/report"
	"shortfall/report/paper"
	"shortfall/report/section"
)

// renderings are the outputs asked for; "" is not asked for, and "-" sends the
// JSON to standard output.
type renderings struct {
	files   map[string]*string // by the name of the format
	figures string             // a folder
	options report.Options
	force   bool
}

const toStdout = "-"

func (r *renderings) flags(f *pflag.FlagSet) {
	r.files = map[string]*string{}
	for _, x := range formats {
		r.files[x.name] = f.String(x.name, "", x.usage)
	}
	f.Var(choose(&r.options.Pages, []string{"one", "short", "full"}, []section.Pages{section.One, section.Short, section.Full}, "short"), "pages", "how much of the report goes on paper: one page, the four that say it, or those with their annexes")
	f.StringVar(&r.figures, "figures", "", "write every figure as a picture (SVG) of its own into this `FOLDER`, for a talk")
	f.Var(choose(&r.options.Paper, []string{"a4", "letter"}, []paper.Size{paper.A4, paper.Letter}, "a4"), "paper", "size of the pages")
	f.BoolVar(&r.force, "force", false, "replace an output that this program did not make")
}

// asked is true where any output is named.
func (r *renderings) asked() bool {
	return r.figures != "" || slices.ContainsFunc(formats, func(x format) bool { return *r.files[x.name] != "" })
}

// beside names a report beside a spreadsheet or a folder and after it, where no output is named.
// With numbers, the results are named too: the next audit can be set against them.
func (r *renderings) beside(path string, numbers bool) {
	if r.asked() {
		return
	}
	*r.files["pdf"] = filepath.Clean(nameBeside(path) + "audit.pdf")
	if numbers {
		*r.files["json"] = filepath.Clean(nameBeside(path) + "audit.json")
	}
}

// nameBeside is how the names of outputs beside a spreadsheet begin: with its own, but for
// one that looks as if it named a person. Those of a folder stand in it.
func nameBeside(path string) string {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return filepath.Clean(path) + string(filepath.Separator)
	}
	dir, name := filepath.Split(path)
	if screen.Shown(name) != name {
		return dir
	}
	if slices.Contains(spreadsheets, strings.ToLower(filepath.Ext(name))) {
		name = strings.TrimSuffix(name, filepath.Ext(name))
	}
	return dir + name + "-"
}

// outputs lists the files to be written.
func (r *renderings) outputs() []output {
	var out []output
	for _, x := range formats {
		if path := *r.files[x.name]; path != "" && path != toStdout {
			out = append(out, output{"--" + x.name, path, x.ends, x.made})
		}
	}
	return out
}

// check refuses what must not be written, before any work.
func (r *renderings) check(a *app, inputs []string) error {
	for _, x := range formats {
		switch {
		case *r.files[x.name] != toStdout:
		case x.name == "json":
			a.summary = a.err
		default:
			return usage("only --json can be written to standard output")
		}
	}
	if err := checkOutputs(r.outputs(), inputs, r.force); err != nil {
		return err
	}
	return r.checkFolder()
}

// checkFolder refuses what cannot take the figures: it may be new, and is then
// made in a folder that is there.
func (r *renderings) checkFolder() error {
	if r.figures == "" {
		return nil
	}
	switch info, err := os.Stat(r.figures); {
	case err == nil && info.IsDir():
		return nil
	case err == nil:
		return usage("--figures %s is not a folder; name another", r.figures)
	}
	if parent, err := os.Stat(filepath.Dir(r.figures)); err != nil || !parent.IsDir() {
		return usage("--figures %s: the folder %s does not exist", r.figures, filepath.Dir(r.figures))
	}
	return nil
}

// drawings are the outputs of --figures, checked as those named on the command
// line are: which there are is known once the results are.
func (r *renderings) drawings(res *results.Results) (out []output, render map[string]func(io.Writer) error, err error) {
	if r.figures == "" {
		return nil, nil, nil
	}
	files, err := report.Figures(res)
	if err != nil {
		return nil, nil, err
	}
	if err := os.Mkdir(r.figures, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return nil, nil, unwritable(r.figures, err)
	}
	render = map[string]func(io.Writer) error{}
	for _, f := range files {
		path := filepath.Join(r.figures, f.Name)
		out = append(out, output{"--figures", path, []string{".svg"}, madeFigure})
		render[path] = f.Write
	}
	return out, render, checkOutputs(out, nil, r.force)
}

// write renders and writes each output; files says which were written.
func (r *renderings) write(ctx context.Context, a *app, res *results.Results, p *progress) (files []string, err error) {
	render := map[string]func(io.Writer) error{}
	for _, x := range formats {
		render["--"+x.name] = func(w io.Writer) error { return x.write(w, res, r.options) }
	}
	drawn, draw, err := r.drawings(res)
	if err != nil {
		return nil, err
	}
	for _, o := range slices.Concat(r.outputs(), drawn) {
		p.at("writing %s", screen.Shown(o.path))
		how := render[o.flag]
		if how == nil {
			how = draw[o.path]
		}
		if err := writeFile(o.path, how); err != nil {
			return files, err
		}
		if o.flag != "--figures" {
			files = append(files, o.path)
		}
		if ctx.Err() != nil {
			return files, ctx.Err()
		}
	}
	if len(drawn) > 0 {
		files = append(files, plural(len(drawn), "figure")+" in "+r.figures)
	}
	if *r.files["json"] == toStdout {
		return files, report.JSON(a.out, res)
	}
	return files, nil
}

// printWritten says where the outputs are.
func (a *app) printWritten(files []string) {
	if a.quiet || len(files) == 0 {
		return
	}
	shown := make([]string, len(files))
	for i, path := range files {
		shown[i] = screen.Shown(path)
	}
	fmt.Fprintf(a.summary, "Written: %s\n", words(shown))
}

// words writes "a, b and c".
func words(list []string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:len(list)-1], ", ") + " and " + list[len(list)-1]
}
