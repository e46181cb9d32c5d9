package output

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"shortfall/audit/results"
	"shortfall/cmd/console"
	"shortfall/cmd/exit"
	"shortfall/cmd/flags"
	"shortfall/cmd/job"
	"shortfall/ingest/screen"
	"shortfall/ingest/sheet"
	"shortfall/report"
	"shortfall/report/paper"
	"shortfall/report/section"
)

// Renderings are the outputs asked for; "" is not asked for, and "-" sends the
// JSON to standard output.
type Renderings struct {
	files   map[string]*string // by the name of the format
	figures string             // a folder
	options report.Options
	force   bool
}

// Stdout is the name of an output that goes to standard output.
const Stdout = "-"

// Flags binds the outputs to flags, one a format.
func (r *Renderings) Flags(f *pflag.FlagSet) {
	r.files = map[string]*string{}
	for _, x := range formats {
		r.files[x.name] = f.String(x.name, "", x.usage)
	}
	f.Var(flags.Choose(&r.options.Pages, []string{"one", "short", "full"}, []section.Pages{section.One, section.Short, section.Full}, "short"), "pages", "how much of the report goes on paper: one page, the four that say it, or those with their annexes")
	f.StringVar(&r.figures, "figures", "", "write every figure as a picture (SVG) of its own into this `FOLDER`, for a talk")
	f.Var(flags.Choose(&r.options.Paper, []string{"a4", "letter"}, []paper.Size{paper.A4, paper.Letter}, "a4"), "paper", "size of the pages")
	f.BoolVar(&r.force, "force", false, "replace an output that this program did not make")
}

// Asked is true where any output is named.
func (r *Renderings) Asked() bool {
	return r.figures != "" || slices.ContainsFunc(formats, func(x format) bool { return *r.files[x.name] != "" })
}

// Beside names a report beside a spreadsheet or a folder and after it, where no output is named.
// With numbers, the results are named too: the next audit can be set against them.
func (r *Renderings) Beside(path string, numbers bool) {
	if r.Asked() {
		return
	}
	*r.files["pdf"] = filepath.Clean(NameBeside(path) + "audit.pdf")
	if numbers {
		*r.files["json"] = filepath.Clean(NameBeside(path) + "audit.json")
	}
}

// NameBeside is how the names of outputs beside a spreadsheet begin: with its own, but for
// one that looks as if it named a person. Those of a folder stand in it.
func NameBeside(path string) string {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return filepath.Clean(path) + string(filepath.Separator)
	}
	dir, name := filepath.Split(path)
	if screen.Shown(name) != name {
		return dir
	}
	if slices.Contains(sheet.Spreadsheets, strings.ToLower(filepath.Ext(name))) {
		name = strings.TrimSuffix(name, filepath.Ext(name))
	}
	return dir + name + "-"
}

// outputs lists the files to be written.
func (r *Renderings) outputs() []File {
	var out []File
	for _, x := range formats {
		if path := *r.files[x.name]; path != "" && path != Stdout {
			out = append(out, File{Flag: "--" + x.name, Path: path, Ends: x.ends, Made: x.made})
		}
	}
	return out
}

// ToStdout is true where the results go to standard output.
func (r *Renderings) ToStdout() bool { return *r.files["json"] == Stdout }

// Check refuses what must not be written, before any work.
func (r *Renderings) Check(inputs []string) error {
	for _, x := range formats {
		if *r.files[x.name] == Stdout && x.name != "json" {
			return exit.Usage("only --json can be written to standard output")
		}
	}
	if err := Check(r.outputs(), inputs, r.force); err != nil {
		return err
	}
	return r.checkFolder()
}

// checkFolder refuses what cannot take the figures: it may be new, and is then
// made in a folder that is there.
func (r *Renderings) checkFolder() error {
	if r.figures == "" {
		return nil
	}
	switch info, err := os.Stat(r.figures); {
	case err == nil && info.IsDir():
		return nil
	case err == nil:
		return exit.Usage("--figures %s is not a folder; name another", r.figures)
	}
	if parent, err := os.Stat(filepath.Dir(r.figures)); err != nil || !parent.IsDir() {
		return exit.Usage("--figures %s: the folder %s does not exist", r.figures, filepath.Dir(r.figures))
	}
	return nil
}

// drawings are the outputs of --figures, checked as those named on the command
// line are: which there are is known once the results are.
func (r *Renderings) drawings(res *results.Results) (out []File, render map[string]func(io.Writer) error, err error) {
	if r.figures == "" {
		return nil, nil, nil
	}
	files, err := report.Figures(res)
	if err != nil {
		return nil, nil, err
	}
	render = map[string]func(io.Writer) error{}
	for _, f := range files {
		path := filepath.Join(r.figures, f.Name)
		out = append(out, File{Flag: "--figures", Path: path, Ends: []string{".svg"}, Made: madeFigure})
		render[path] = f.Write
	}
	if _, err := os.Stat(r.figures); err != nil { // a new folder holds nothing of anybody's
		return out, render, nil
	}
	return out, render, Check(out, nil, r.force)
}

// Write renders each output and puts all of them in place, which ends the run; files says
// which were written. Standard output comes before: what it was given stays there.
func (r *Renderings) Write(ctx context.Context, ending *exit.Ending, out io.Writer, res *results.Results, p *console.Progress) (files []string, err error) {
	var set Set
	defer set.Drop()
	render := map[string]func(io.Writer) error{}
	for _, x := range formats {
		render["--"+x.name] = func(w io.Writer) error { return x.write(w, res, r.options) }
	}
	drawn, draw, err := r.drawings(res)
	if err != nil {
		return nil, err
	}
	if r.figures != "" {
		set.files.Folder(r.figures)
	}
	for _, o := range slices.Concat(r.outputs(), drawn) {
		p.At("writing %s", screen.Shown(o.Path))
		how := render[o.Flag]
		if how == nil {
			how = draw[o.Path]
		}
		if err := set.Write(o.Path, how); err != nil {
			return nil, err
		}
		if o.Flag != "--figures" {
			files = append(files, o.Path)
		}
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
	}
	if len(drawn) > 0 {
		files = append(files, job.Plural(len(drawn), "figure")+" in "+r.figures)
	}
	if r.ToStdout() {
		if err := report.JSON(out, res); err != nil {
			return nil, err
		}
	}
	return files, set.Place(ctx, ending)
}
