package verb

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"shortfall/cmd/exit"
	"shortfall/cmd/job"
	"shortfall/cmd/output"
	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/question"
	"shortfall/ingest/scratch"
	"shortfall/ingest/store"
	"shortfall/ingest/template"
)

func (a *app) exportCommand() *cobra.Command {
	var db, path string
	var force bool
	cmd := &cobra.Command{
		Use:   "export --db FILE -o cases.xlsx",
		Short: "Write the records of a database as a spreadsheet",
		Long: `export writes the current records in the columns of the template: teeth in FDI
notation, signed amounts, empty where not recorded. A workbook (.xlsx) holds all
of them; comma-separated text (.csv) has a row a movement, with the columns of its
case and course beside it. What is written is read back first, and nothing is
written unless that gives the same records. Cases taken out with "remove" stay out.`,
		Example: `  shortfall export --db clinic.db -o records.xlsx
  shortfall export --db clinic.db -o movements.csv`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			ext := strings.ToLower(filepath.Ext(path))
			switch {
			case db == "":
				return errNoDatabase
			case path == "":
				return exit.Usage("needs the name of the file to write, ending in .xlsx or .csv: -o FILE")
			}
			if err := output.Check([]output.File{{Flag: "-o", Path: path, Ends: []string{".xlsx", ".csv"}}}, []string{db}, force); err != nil {
				return err
			}
			return a.export(cmd.Context(), db, path, ext == ".csv")
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&db, "db", "", "database made by ingest")
	f.StringVarP(&path, "output", "o", "", "the spreadsheet to write, a `FILE` ending in .xlsx or .csv")
	f.BoolVar(&force, "force", false, "replace the file even if it exists")
	return cmd
}

func (a *app) export(ctx context.Context, db, path string, flat bool) error {
	opened, err := a.openExisting(ctx, db)
	if err != nil {
		return err
	}
	defer opened.Close()
	ds, err := opened.Load(ctx)
	if err != nil {
		return err
	}
	write := func(w io.Writer) error {
		meta := template.Meta{Title: "Records of aligner treatment", Invented: ds.Invented, Export: true}
		if flat {
			return template.WriteFlat(w, ds, meta)
		}
		return template.WriteDataset(w, ds, meta)
	}
	if len(ds.Cases)+len(ds.Courses)+len(ds.Movements)+len(ds.Repeats) == 0 {
		return exit.With(exit.CodeData, fmt.Errorf("%s holds no records yet, so nothing was written", db))
	}
	if flat && halfListed(ds) {
		return notExported("some cases with movements are in the list of cases and some are not, which text with a row a movement cannot say; write a workbook (.xlsx)")
	}
	dir, release, err := scratch.Folder(os.TempDir()) // gone with a run that is cut off, too
	if err != nil {
		return output.Unwritable("a temporary folder", err)
	}
	defer release()
	made := filepath.Join(dir, "export"+strings.ToLower(filepath.Ext(path)))
	if err := scratch.Create(made, write); err != nil {
		return output.Unwritable(made, err)
	}
	if err := readsBack(ctx, ds, made, flat); err != nil {
		return err
	}
	if err := output.Write(ctx, a.Ending, path, func(w io.Writer) error { return copyFrom(made, w) }); err != nil {
		return err
	}
	if flat {
		a.printLeftOut(ds)
	}
	a.printWritten([]string{path})
	return nil
}

// halfListed reports cases with movements in the list of cases and others that
// are not.
func halfListed(ds *casebook.Dataset) bool {
	listed, with := map[casebook.CaseKey]bool{}, map[bool]bool{}
	for i := range ds.Cases {
		listed[ds.Cases[i].Key()] = true
	}
	for i := range ds.Movements {
		with[listed[ds.Movements[i].Case]] = true
	}
	return len(with) > 1
}

// copyFrom writes what a file holds.
func copyFrom(path string, w io.Writer) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	_, err = io.Copy(w, f)
	return err
}

// readsBack proves that reading the file into an empty database gives the same
// records.
func readsBack(ctx context.Context, ds *casebook.Dataset, path string, flat bool) error {
	defer job.Sparing(path)()
	b, err := ingest.Read(ctx, path, ingest.Options{
		Notation: casebook.FDI, AllowIdentifiers: true,
		Answers: question.Answers{"achieved signs": "against plan"}, // signs are as they stand on record
	})
	if err != nil {
		return notExported("the file that was made cannot be read back: " + err.Error())
	}
	again, err := store.Alone(b, store.Choices{Distinct: idsOf(ds)})
	if err != nil {
		return notExported(err.Error())
	}
	want := ds
	if flat {
		want = withMovements(ds)
		want.Courses, again.Courses, again.Repeats = telling(want), telling(again), nil
	}
	return errors.Join(
		same("cases", want.Cases, again.Cases), same("courses", want.Courses, again.Courses),
		same("movements", want.Movements, again.Movements), same("repeats", want.Repeats, again.Repeats),
	)
}

// telling are the courses that say more than their movements do: text with a row a
// movement has a place for the others too, and reads them again.
func telling(ds *casebook.Dataset) []casebook.Course {
	moved := map[casebook.CourseKey]bool{}
	for i := range ds.Movements {
		moved[casebook.CourseKey{Case: ds.Movements[i].Case, Number: ds.Movements[i].Course}] = true
	}
	return slices.DeleteFunc(slices.Clone(ds.Courses), func(c casebook.Course) bool {
		return c == casebook.Course{Case: c.Case, Number: c.Number} && moved[c.Key()]
	})
}

// same compares the records of a kind.
func same[T comparable](what string, want, got []T) error {
	if !slices.Equal(want, got) {
		return notExported(fmt.Sprintf("reading back %d %s gave %d, not all of them the same", len(want), what, len(got)))
	}
	return nil
}

func notExported(why string) error {
	return exit.With(exit.CodeData, fmt.Errorf("the records cannot be written so that reading them gives the same, and nothing was written: %s", why))
}

func idsOf(ds *casebook.Dataset) []string {
	var out []string
	for _, k := range casesOf(ds) {
		out = append(out, k.ID)
	}
	return out
}

// withMovements is what text with a row a movement can hold.
func withMovements(ds *casebook.Dataset) *casebook.Dataset {
	cases, courses := map[casebook.CaseKey]bool{}, map[casebook.CourseKey]bool{}
	for _, m := range ds.Movements {
		cases[m.Case], courses[casebook.CourseKey{Case: m.Case, Number: m.Course}] = true, true
	}
	out := &casebook.Dataset{Movements: ds.Movements}
	out.Cases = slices.DeleteFunc(slices.Clone(ds.Cases), func(c casebook.Case) bool { return !cases[c.Key()] })
	out.Courses = slices.DeleteFunc(slices.Clone(ds.Courses), func(c casebook.Course) bool { return !courses[c.Key()] })
	return out
}

// printLeftOut says what text with a row a movement has no row for.
func (a *app) printLeftOut(ds *casebook.Dataset) {
	kept := withMovements(ds)
	var left []string
	for _, n := range []struct {
		count int
		noun  string
	}{
		{len(ds.Cases) - len(kept.Cases), "case"}, {len(ds.Courses) - len(kept.Courses), "course"}, {len(ds.Repeats), "repeat"},
	} {
		if n.count > 0 {
			left = append(left, plural(n.count, n.noun))
		}
	}
	if len(left) > 0 {
		fmt.Fprintf(a.err, "shortfall: without %s: text has a row a movement; a workbook (.xlsx) holds all\n", strings.Join(left, ", "))
	}
}
