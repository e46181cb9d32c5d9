package verb

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"shortfall/cmd/console"
	"shortfall/cmd/exit"
	"shortfall/cmd/flags"
	"shortfall/cmd/job"
	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/feedback"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
	"shortfall/ingest/screen"
	"shortfall/ingest/store"
)

// reading says how files are read.
type reading struct {
	ingest.Options
	mapFile  string
	choices  store.Choices
	answers  flags.Answers
	confirm  bool // what was understood is shown before it is kept
	yes      bool
	asks     bool // open questions are put to the person at the terminal
	noAsking bool
	// seen, where set, is shown every batch while it is at hand.
	seen func(path string, b *casebook.Batch) error
}

func (r *reading) flags(f *pflag.FlagSet) {
	f.StringVar(&r.mapFile, "map", "", "read the files as this mapping `FILE` says")
	f.Var(flags.Choose(&r.Notation, flags.NotationWords, flags.NotationValues, ""), "notation",
		"notation in which the files write teeth, where they leave it open")
	f.Var(&r.answers, "answer", "answer an open question about the files; may be given again")
	f.BoolVar(&r.yes, "yes", false, "keep what was understood without showing it first")
	f.BoolVar(&r.noAsking, "no-questions", false, "ask nothing on the terminal: a file that leaves something open is refused with its questions")
	f.StringVar(&r.choices.Practice, "practice", "", "`CODE` of the practice whose cases these are, where the files do not say")
	f.Var(flags.Choose(&r.choices.Spelling, []string{store.SameSpelt, store.DifferentSpelt}, []string{store.SameSpelt, store.DifferentSpelt}, ""), "spelling",
		"patients whose codes differ from known ones only by signs, spaces, capital letters or leading zeros")
	f.BoolVar(&r.AllowIdentifiers, "allow-identifiers", false,
		"read a file that seems to identify a person; check it first")
}

// prepare looks at what was given and loads the mapping; what is wrong is an error of usage.
func (r *reading) prepare() (err error) {
	r.Answers = question.Answers(r.answers)
	if r.choices.Practice, err = job.PracticeCode(r.choices.Practice); err != nil {
		return exit.Usage("--practice: %w", err)
	}
	if r.mapFile == "" {
		return nil
	}
	r.Mapping, err = mapping.Load(r.mapFile)
	if _, invalid := errors.AsType[*mapping.Invalid](err); invalid {
		return exit.Usage("%v", err)
	}
	if err != nil {
		return exit.Unreadable(fmt.Errorf("%s cannot be read: %w", r.mapFile, exit.Cause(err)))
	}
	return nil
}

// fileReport is what is left to say about a file once its records are in the
// database.
type fileReport struct {
	path string
	feedback.Report
	unread  error  // the file could not be read, or was refused
	leftOut string // how much of it is left out, where that is much
	outcome store.Outcome
}

// keeper is the part of a store.Store that files are read into.
type keeper interface {
	job.Profiles
	Import(ctx context.Context, b *casebook.Batch, c store.Choices) (store.Outcome, error)
}

// intake reads the files and imports them in their order. A file that leaves
// the practice of a case open waits, and those after it, until all are read: the
// list of cases in another may tell.
// A file that cannot be read is reported and does not stop the others; the error
// is one of the database, of what seen does, or of the context.
func (a *app) intake(ctx context.Context, db keeper, paths []string, r reading, p *console.Progress) ([]fileReport, error) {
	defer job.Sparing(paths...)()
	var files []fileReport
	var batches []*casebook.Batch
	choices, waiting := r.choices, false
	remembered := job.NewMemory(ctx, db)
	r.Memory = remembered
	for i, path := range paths {
		base := screen.Shown(filepath.Base(path))
		p.At("reading %s (%d of %d)", base, i+1, len(paths))
		r.Progress = func(done, all int) { p.Of("row", done, all, "reading %s (%d of %d)", base, i+1, len(paths)) }
		r.asks = !r.noAsking && a.atTerminal()
		remembered.At(path)
		batch, err := a.readAsking(ctx, path, &r, p)
		if err == nil && r.asks && r.confirm && (!r.yes || job.ManyLeftOut(batch) != "") {
			p.Clear(func() {
				if !console.Confirm(a.lines(), a.err, path, batch) {
					batch, err = nil, errLeftOut
				}
			})
		}
		if ctx.Err() != nil {
			return files, ctx.Err()
		}
		files = append(files, fileReport{path: path, Report: feedback.NewReport(base, batch, ingest.Problems(err)), unread: err})
		batches = append(batches, batch)
		if err != nil {
			continue
		}
		files[i].leftOut = job.ManyLeftOut(batch)
		for i := range batch.Cases {
			choices.Beside = append(choices.Beside, batch.Cases[i].Value.Key())
		}
		if r.seen != nil {
			if err := r.seen(path, batch); err != nil {
				return files, err
			}
		}
		if waiting = waiting || store.LeavesOpen(batch); !waiting {
			if files, err = a.keepAll(ctx, db, files, batches, choices, remembered, p); err != nil {
				return files, err
			}
		}
	}
	return a.keepAll(ctx, db, files, batches, choices, remembered, p)
}

// errLeftOut is why a file is not kept that was shown and declined.
var errLeftOut = errors.New("left out, as you asked; nothing of it was kept")

// keepAll imports the batches that are not imported yet.
func (a *app) keepAll(ctx context.Context, db keeper, files []fileReport, batches []*casebook.Batch, c store.Choices, m *job.Memory, p *console.Progress) (_ []fileReport, err error) {
	for i, b := range batches {
		if b == nil {
			continue
		}
		p.At("keeping %s (%d of %d)", screen.Shown(filepath.Base(files[i].path)), i+1, len(files))
		batches[i] = nil
		end := job.Keeping(files[i].path)
		files[i].outcome, err = db.Import(ctx, b, c)
		end()
		if job.RefusesFile(err) { // what this file holds is asked about; the others go on
			files[i].unread = err
			continue
		}
		if err == nil {
			err = m.Kept(files[i].path)
		}
		if err != nil {
			return files[:i], err
		}
	}
	return files, nil
}

// hasErrors reports whether rows were lost or something in the file is wrong.
func (f *fileReport) hasErrors() bool {
	return f.Total.Rejected > 0 ||
		slices.ContainsFunc(f.Problems, func(p casebook.Problem) bool { return p.Severity == casebook.Error })
}

// codeOfFiles is 3 where a file could not be read, 1 where one was refused for
// what it holds, was left out by who looked at it, or lost rows.
func codeOfFiles(files []fileReport) int {
	code := exit.CodeOK
	for _, f := range files {
		_, refused := errors.AsType[*ingest.Refused](f.unread)
		switch {
		case job.RefusesFile(f.unread), errors.Is(f.unread, errLeftOut):
			code = max(code, exit.CodeData)
		case f.unread != nil && !refused:
			code = max(code, exit.CodeUnreadable)
		case refused, f.hasErrors():
			code = max(code, exit.CodeData)
		}
	}
	return code
}

// refuse prints why the one file of a verb was not read and ends the verb.
func (a *app) refuse(path string, err error) error {
	problems := ingest.Problems(err)
	if len(problems) == 0 {
		return exit.Unreadable(fmt.Errorf("%s: %w", screen.Shown(path), err))
	}
	f := fileReport{path: path, unread: err, Report: feedback.NewReport(screen.Shown(filepath.Base(path)), nil, problems)}
	a.printUnread(f)
	return exit.Reported(codeOfFiles([]fileReport{f}))
}

// printFiles writes what was read; files that could not be read go to stderr.
func (a *app) printFiles(files []fileReport, keeping bool) {
	for _, f := range files {
		if f.unread == nil && f.leftOut != "" {
			fmt.Fprintf(a.err, "shortfall: %s\n", console.Wrap(screen.Shown(f.path)+": warning: "+f.leftOut+".", "  "))
		}
		switch {
		case f.unread != nil:
			a.printUnread(f)
		case a.quiet:
			if f.hasErrors() { // even quietly, no row is lost without a word
				fmt.Fprintf(a.err, "shortfall: %s: %s rejected; run it without --quiet for the reasons\n", screen.Shown(f.path), plural(f.Total.Rejected, "row"))
			}
		default:
			fmt.Fprintf(a.summary, "%s%s: %s\n", screen.Shown(f.path), inventedMark(f.Invented), countsText(f.Total))
			if keeping {
				printOutcome(a.summary, f.outcome)
			}
			printGroups(a.summary, f.Groups)
		}
	}
}

// printFit says so where the lists of cases and the movements of the database do not fit
// together, also quietly: nothing else would tell.
func (a *app) printFit(f casebook.Fit) {
	if f.Apart() {
		fmt.Fprintf(a.err, "shortfall: %s\n", console.Wrap("warning: "+f.String()+". "+casebook.ApartRemedy+".", "  "))
	}
}

// printUnread writes why a file was not read or was refused; what else was
// noted about it matters no more.
func (a *app) printUnread(f fileReport) {
	errs := slices.DeleteFunc(slices.Clone(f.Groups), func(g feedback.Group) bool { return g.Severity < casebook.Error })
	if len(errs) == 0 || job.RefusesFile(f.unread) {
		fmt.Fprintf(a.err, "shortfall: %s: %v\n", screen.Shown(f.path), f.unread)
		return
	}
	fmt.Fprintf(a.err, "shortfall: %s was not read:\n", screen.Shown(f.path))
	printGroups(a.err, errs)
}

// printGroups writes what was found in one file: where, what, what to do. A
// remedy is said once for findings of one rule in a row.
func printGroups(w io.Writer, groups []feedback.Group) {
	findings := feedback.Across(groups)
	for i, f := range findings {
		text := fmt.Sprintf("%s [%s] %s", f.Severity, f.Rule, f.Place())
		text = strings.TrimSpace(text) + ": " + f.Message
		if f.Count > 1 && f.Count > len(f.Sheets) {
			text += fmt.Sprintf(" (%d times)", f.Count)
		}
		fmt.Fprintf(w, "  %s\n", console.Wrap(text, "    "))
		next := i+1 < len(findings) && findings[i+1].Rule == f.Rule && findings[i+1].Remedy == f.Remedy
		if f.Remedy != "" && f.Severity > casebook.Info && !next {
			fmt.Fprintf(w, "      %s\n", console.Wrap(f.Remedy+".", "      "))
		}
	}
}

func printOutcome(w io.Writer, o store.Outcome) {
	if o.Already {
		fmt.Fprintln(w, "  already imported: nothing was changed")
		return
	}
	for _, e := range o.Earlier {
		fmt.Fprintf(w, "  later version of %s (sha256 %.12s...)\n", e.Name, e.SHA256)
	}
	for _, k := range casebook.Kinds() {
		if t := o.Tallies[k]; t != (store.Tally{}) {
			fmt.Fprintf(w, "  %-9s %6d new, %6d unchanged, %6d corrected or completed", k.String()+"s", t.New, t.Unchanged, t.Superseded)
			refused := 0
			if k == casebook.MovementKind {
				refused = o.Refused
			}
			if t.Retired > refused {
				fmt.Fprintf(w, ", %6d no longer in the file", t.Retired-refused)
			}
			if refused > 0 {
				fmt.Fprintf(w, ", %6d refused in this version", refused)
			}
			fmt.Fprintln(w)
		}
	}
	for _, r := range o.Renamed {
		fmt.Fprintf(w, "  %v is now %v: the same movements, in a later version of the file\n", r.From, r.To)
	}
	if n := len(o.Absent); n > 0 {
		fmt.Fprintf(w, "  %s\n", console.Wrap(fmt.Sprintf("%s of the earlier version not in this one, and still in the audit: %s. To take them out, import it with --whole, or use \"shortfall remove\".", plural(n, "case"), firstOf(o.Absent)), "    "))
	}
	if n := len(o.Aside); n > 0 {
		fmt.Fprintf(w, "  %s\n", console.Wrap(fmt.Sprintf("%s removed before, and still out of the audit: %s", plural(n, "case"), firstOf(o.Aside)), "    "))
	}
	if o.Erased > 0 {
		fmt.Fprintf(w, "  %s of erased cases left out\n", plural(o.Erased, "record"))
	}
}

// firstOf names the first of a list of cases.
func firstOf(keys []casebook.CaseKey) string {
	const most = 6
	var out []string
	for _, k := range keys[:min(most, len(keys))] {
		out = append(out, k.String())
	}
	if more := len(keys) - most; more > 0 {
		out = append(out, fmt.Sprintf("and %d more", more))
	}
	return strings.Join(out, ", ")
}
