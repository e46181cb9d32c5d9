package verb

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/spf13/cobra"

	"shortfall/cmd/console"
	"shortfall/cmd/exit"
	"shortfall/cmd/output"
	"shortfall/ingest/pseudonym"
	"shortfall/ingest/screen"
)

// copyRun is one run of the pseudonymise verb.
type copyRun struct {
	*app
	src, dst, key string
	reading       reading
	caseHeader    string
	renameCodes   bool
	keepCodes     bool
}

func (a *app) pseudonymiseCommand() *cobra.Command {
	r := &copyRun{app: a}
	cmd := &cobra.Command{
		Use:   "pseudonymise SPREADSHEET -o COPY.xlsx --key FILE",
		Short: "Make an anonymised copy of a spreadsheet on this machine",
		Long: `pseudonymise reads a spreadsheet as ingest does and writes its records, and
nothing else, as a new workbook in the layout of the template. Codes of cases that are
a plain scheme, the same letters before running numbers, stay as they are, so that the
copy still fits your other sheets; any other becomes a keyed pseudonym, since it can hold
initials, a name or a date. With --rename-codes every code becomes one; with --keep-codes
all stay but those that seem to identify a person. Use the same key, and the same of these
flags, for all sheets of the practice: then a case has the same code in each. Dates become months, and the rows stand in an order that only the key
gives. A cell that cannot be read is left empty and listed. The key file is made where
there is none, readable by you alone; keep it, keep it secret, and keep it away from
the copy.

Pseudonymised records are still personal data where the key exists. Local
data-protection rules decide who may have them.`,
		Example: "  shortfall pseudonymise january.csv -o copy.xlsx --key clinic.key",
		Args:    oneArgument("a spreadsheet"),
		RunE: func(cmd *cobra.Command, args []string) error {
			r.src = args[0]
			return r.run(cmd.Context())
		},
	}
	f := cmd.Flags()
	f.StringVarP(&r.dst, "output", "o", "", "the copy to write, an .xlsx `FILE` that does not exist yet")
	f.StringVar(&r.key, "key", "", "key `FILE` of the practice")
	f.StringVar(&r.caseHeader, "case", "", "`HEADER` of the column that tells the cases apart, where it is not recognised")
	f.BoolVar(&r.renameCodes, "rename-codes", false, "give every code a pseudonym, also those that could stay")
	f.BoolVar(&r.keepCodes, "keep-codes", false, "keep the codes, also where they are no plain scheme, but for those that seem to identify a person")
	r.reading.flags(f)
	for _, no := range []string{"allow-identifiers", "spelling", "yes"} { // of a database, or what the copy is without
		_ = f.MarkHidden(no)
	}
	return cmd
}

func (r *copyRun) run(ctx context.Context) error {
	switch {
	case r.dst == "":
		return exit.Usage("needs the name of the copy: -o COPY.xlsx")
	case r.key == "":
		return exit.Usage("needs a key file: --key FILE (it is made where there is none)")
	case r.renameCodes && r.keepCodes:
		return exit.Usage("--rename-codes and --keep-codes exclude each other")
	case r.caseHeader != "" && r.keepCodes:
		return exit.Usage("--case and --keep-codes exclude each other: what a column holds that is no column of codes is always renamed")
	case output.SamePlace(r.key, r.dst):
		return exit.Usage("-o and --key name the same file")
	}
	outputs := []output.File{{Flag: "-o", Path: r.dst, Ends: []string{".xlsx"}, New: true}}
	if _, err := os.Stat(r.key); errors.Is(err, fs.ErrNotExist) {
		outputs = append(outputs, output.File{Flag: "--key", Path: r.key, New: true})
	}
	if err := output.Check(outputs, []string{r.src}, false); err != nil {
		return err
	}
	if err := r.reading.prepare(); err != nil {
		return err
	}
	var set output.Set // of a new key and the copy made with it
	defer set.Drop()
	key, made, err := pseudonym.LoadKey(r.key, set.Create)
	if err != nil {
		return exit.Unreadable(err)
	}
	p := console.NewProgress(r.err, r.quiet)
	defer p.End()
	p.At("copying %s", screen.Shown(r.src))
	sum, err := pseudonym.Copy(ctx, r.src, r.dst, key, pseudonym.Options{Reading: r.reading.Options, CaseHeader: r.caseHeader, RenameCodes: r.renameCodes, KeepCodes: r.keepCodes, Practice: r.reading.choices.Practice, Create: set.Create})
	p.End()
	if err != nil {
		return r.refuse(r.src, err)
	}
	if err := set.Place(ctx, r.Ending); err != nil {
		return err
	}
	r.print(sum, made)
	return nil
}

// print says what is in the copy and what is not, without any value.
func (r *copyRun) print(s pseudonym.Summary, made bool) {
	if r.quiet {
		return
	}
	w := r.summary
	fmt.Fprintf(w, "%s: %s, teeth in FDI notation\n", r.dst, plural(s.Records, "record"))
	for _, said := range s.Said() {
		fmt.Fprintf(w, "  %s\n", said)
	}
	switch chosen := r.renameCodes || r.keepCodes || r.caseHeader != ""; {
	case !chosen && s.Cases.Renamed > 0:
		fmt.Fprintln(w, "  where you are sure that the codes identify nobody, --keep-codes keeps them")
	case !chosen && s.Cases.Kept > 0:
		fmt.Fprintln(w, "  --rename-codes renames all codes")
	}
	for _, d := range s.Dropped {
		fmt.Fprintf(w, "  left out: %s\n", d)
	}
	written := []string{r.dst}
	if made {
		written = append(written, r.key+" (the key; keep it secret)")
	}
	r.printWritten(written)
}
