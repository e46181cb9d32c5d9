// Package ingest reads a spreadsheet into checked records.
//
// Place in the pipeline: sheet gives located cells, layout the tables and their
// columns, values the value of each cell; Read puts them together into one
// casebook.Batch, which store keeps. One pass finds all problems; a row is
// accepted whole or rejected with its reasons, and nothing is dropped.
package ingest

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/decide"
	"shortfall/ingest/layout"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
	"shortfall/ingest/row"
	"shortfall/ingest/rules"
	"shortfall/ingest/screen"
	"shortfall/ingest/sheet"
)

// Options of reading one file. The zero value reads with default limits and
// decides the tooth notation by evidence.
type Options struct {
	Notation casebook.Notation // NoNotation: decided over the file
	Mapping  *mapping.File
	Limits   sheet.Limits
	// AllowIdentifiers reads a file although it seems to identify persons.
	AllowIdentifiers bool
	// Ask also puts questions that have a rule for when nobody answers.
	Ask bool
	// Answers to questions of an earlier reading; they go before the mapping's.
	Answers question.Answers
	// Memory, where not nil, recalls what was answered about an earlier file of the
	// same headers, and is told what was answered about this one.
	Memory Memory
	// Progress, where not nil, is told now and then how many rows are done of how many.
	Progress func(done, all int)
}

// Refused is the error of a file that cannot be used at all: every reason that
// was found. It unwraps to casebook.Problem values.
type Refused struct {
	Problems []casebook.Problem
	// Questions are the open points of the file: where nothing else is wrong,
	// reading it again with their answers succeeds.
	Questions []question.Question
}

func (r *Refused) Error() string {
	var b strings.Builder // there can be one for each row
	for i, p := range r.Problems {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(p.Error())
	}
	return b.String()
}

// Unwrap gives the problems as errors.
func (r *Refused) Unwrap() []error {
	out := make([]error, len(r.Problems))
	for i, p := range r.Problems {
		out[i] = p
	}
	return out
}

// Problems lists the problems of an error of Read.
func Problems(err error) []casebook.Problem {
	if r, ok := errors.AsType[*Refused](err); ok {
		return r.Problems
	}
	if p, ok := errors.AsType[casebook.Problem](err); ok {
		return []casebook.Problem{p}
	}
	return nil
}

// Questions lists the open points of an error of Read.
func Questions(err error) []question.Question {
	if r, ok := errors.AsType[*Refused](err); ok {
		return r.Questions
	}
	return nil
}

// Read reads a file. The error is a casebook.Problem or a *Refused where the
// file cannot be used at all; rows that cannot be used are in the batch, kept
// with their reasons, and Batch.Problems lists everything found.
func Read(ctx context.Context, path string, o Options) (*casebook.Batch, error) {
	book, err := sheet.OpenContext(ctx, path, o.Limits)
	if err != nil {
		return nil, screen.WithoutNames(err)
	}
	return FromBook(ctx, book, o)
}

// FromBook reads the records of a file that is already open. The cells of the
// book are given up as they are read.
func FromBook(ctx context.Context, book *sheet.Book, o Options) (*casebook.Batch, error) {
	given := answers(o)
	odd := o.lay(book)
	found, asker := odd.Found, odd.asker
	book = odd.Plain
	personal := odd.LocateProblems(screen.Identifiers(odd.Screened, found))
	names := make([]string, len(book.Sheets))
	for i, s := range book.Sheets {
		names[i] = s.Name
	}
	if len(personal) > 0 && !o.AllowIdentifiers {
		// Nothing else is said about such a file: other problems may quote it.
		return nil, &Refused{Problems: personal}
	}
	problems := slices.Concat(book.Problems, odd.Notes(book.File.Name), found.Problems, screen.AsWarnings(personal), brokenHeaders(book, found))
	if len(found.Tables) == 0 {
		p := rules.New(rules.LayoutUnknown, "no sheet holds a table of records that is recognised")
		p.File = book.File.Name
		problems = append(problems, p)
	}
	r := newReader(odd.Screened, found, o, asker)
	if !slices.ContainsFunc(problems, func(p casebook.Problem) bool { return p.Rule == string(rules.TablesSeveral) }) {
		// The rows of a second table would be false evidence.
		problems = append(problems, r.Decide()...)
	}
	problems = append(problems, questionProblems(book.File.Name, asker, given)...)
	if slices.ContainsFunc(problems, isError) {
		return nil, &Refused{Problems: odd.LocateProblems(problems), Questions: odd.LocateQuestions(asker.Open())}
	}
	r.Batch.Problems, r.Batch.Notation = problems, r.Notation()
	if err := r.readTables(ctx); err != nil {
		p, ok := errors.AsType[casebook.Problem](err)
		if !ok {
			p = rules.New(rules.FileStopped, "reading was stopped")
		}
		p.File = book.File.Name
		return nil, p
	}
	if late := r.lateQuestions(given); len(late) > 0 {
		return nil, &Refused{Problems: odd.LocateProblems(late), Questions: odd.LocateQuestions(asker.Open())}
	}
	if p, nothing := r.nothingRead(); nothing {
		return nil, &Refused{Problems: odd.LocateProblems(p)}
	}
	r.countAlone()
	r.lettered()
	rules.Check(r.Batch)
	r.Batch.Problems = slices.Concat(r.styleNotFound(), r.Batch.Problems)
	o.keep(odd.header, asker)
	r.Batch.File.Reading = o.reading(usedAnswers(asker))
	o.waive(r.Batch)
	odd.LocateBatch(r.Batch)
	screen.WithholdNames(r.Batch, names)
	return r.Batch, nil
}

// waive accepts the findings that the mapping gives a reason for.
func (o *Options) waive(b *casebook.Batch) {
	if o.Mapping == nil {
		return
	}
	waivers := make([]rules.Waiver, len(o.Mapping.Waivers))
	for i, w := range o.Mapping.Waivers {
		waivers[i] = rules.Waiver(w)
	}
	rules.Waive(b, waivers)
}

// styleNotFound says that nothing will be compared, and which columns were not
// read.
func (r *reader) styleNotFound() []casebook.Problem {
	if len(r.Batch.Movements) == 0 {
		return nil
	}
	for _, m := range r.Batch.Movements {
		if m.Value.Style != casebook.NoStyle {
			return nil
		}
	}
	var unread []string
	for _, t := range r.Tables {
		for _, c := range t.Columns {
			if c.Field == columns.NoField && !slices.Contains(unread, c.Text) && len(unread) < 8 {
				unread = append(unread, c.Text)
			}
		}
	}
	text := "no attachment style was found; every comparison of styles will be empty"
	if len(unread) > 0 {
		text += "; columns not read: " + strings.Join(unread, ", ")
	}
	p := rules.New(rules.StyleNotFound, "%s", text)
	p.File = r.Book.File.Name
	return []casebook.Problem{p}
}

// countAlone says how many movements were refused in rows that are kept, for whoever reads
// the records later.
func (r *reader) countAlone() {
	n := r.Batch.RefusedAlone
	if n == 0 {
		return
	}
	p := rules.New(rules.MovementsRefused, "%d movements in rows that are kept were refused, each with a warning at its cell", n)
	if n == 1 {
		p.Message = "1 movement in a row that is kept was refused, with a warning at its cell"
	}
	p.File, p.Count = r.Book.File.Name, n
	r.Batch.Problems = append(r.Batch.Problems, p)
}

// nothingRead refuses a file of which no record was accepted: what it holds of
// rejected rows says why.
func (r *reader) nothingRead() ([]casebook.Problem, bool) {
	b := r.Batch
	if len(b.Cases)+len(b.Courses)+len(b.Movements)+len(b.Repeats) > 0 {
		return nil, false
	}
	p := rules.New(rules.NothingRead, "nothing is filled in yet: no row below the headers holds a record")
	p.File = b.File.Name
	reasons := map[string]int{}
	for _, x := range b.Rejected {
		if reasons[x.Reasons[0].Message]++; p.Cell == "" {
			p.Sheet, p.Cell, p.Row, p.Column, p.Class = x.Reasons[0].Sheet, x.Reasons[0].Cell, x.Reasons[0].Row, x.Reasons[0].Column, x.Reasons[0].Class
		}
	}
	most := ""
	for _, m := range slices.Sorted(maps.Keys(reasons)) {
		if reasons[m] > reasons[most] {
			most = m
		}
	}
	if n := len(b.Rejected); n > 0 {
		p.Message = fmt.Sprintf("none of the %d rows could be read, %d of them since %s", n, reasons[most], most)
	}
	return append(b.Problems, p), true
}

// lateQuestions are the open questions about amounts, and the amounts that are to be
// corrected before anything is read.
func (r *reader) lateQuestions(given question.Answers) []casebook.Problem {
	if r.mustCorrect {
		var out []casebook.Problem
		for _, x := range r.Batch.Rejected {
			for _, p := range x.Reasons {
				if p.Rule == string(rules.AmountDoubtful) || p.Rule == string(rules.AmountUnlikely) {
					out = append(out, p)
				}
			}
		}
		return out
	}
	if len(r.Asker.Open()) == 0 {
		return nil
	}
	return questionProblems(r.Book.File.Name, r.Asker, given)
}

// brokenHeaders refuses a stray quotation mark where no row of a table can be
// rejected for it: in or above a header, or in a file without a table.
func brokenHeaders(book *sheet.Book, found *layout.Found) []casebook.Problem {
	var out []casebook.Problem
	for _, s := range book.Sheets {
		i := slices.IndexFunc(found.Tables, func(t *layout.Table) bool { return t.Sheet == s })
		for _, r := range s.Rows {
			if r.Broken && (i < 0 || r.Number < found.Tables[i].Body) {
				p := rules.New(rules.TextQuotes, "a quotation mark stands inside a cell that is not quoted, above the records")
				p.File, p.Sheet, p.Row = book.File.Name, s.Name, r.Number
				out = append(out, p)
			}
		}
	}
	return out
}

func isError(p casebook.Problem) bool { return p.Severity == casebook.Error }

// reader reads the rows of a file as it was decided that they are read.
type reader struct {
	*row.File
	o       Options
	skipped []string
	// mustCorrect: amounts are to be corrected before anything is read.
	mustCorrect bool
	once        bool // no two rows give the same movement
	done        int
	all         int
}

func newReader(book *sheet.Book, found *layout.Found, o Options, asker *question.Asker) *reader {
	decided := decide.New(book, found.Tables, o.Mapping, o.Notation, asker)
	batch := &casebook.Batch{File: book.File, Invented: found.Invented}
	return &reader{File: row.New(decided, o.Mapping, batch), o: o, skipped: found.Skipped}
}
