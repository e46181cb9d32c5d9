// Package apart gives a file whose odd sheets are taken apart to plain tables, and what
// is found in them its place in the file as it came.
//
// Place in the pipeline: between ingest/blocks, which takes a sheet apart, and what reads
// the tables: ingest, ingest/look and ingest/pseudonym.
package apart

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"shortfall/ingest/blocks"
	"shortfall/ingest/casebook"
	"shortfall/ingest/layout"
	"shortfall/ingest/mapping"
	"shortfall/ingest/privacy"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// Book is a file with its odd sheets made plain: Plain is what is read,
// Screened what is searched for identifiers.
type Book struct {
	*blocks.Arranged
	Plain, Screened *sheet.Book
}

// Arrange makes the odd sheets of a file plain. Sheets that a mapping describes
// are taken as it describes them. Which of two amounts in one cell was planned is put to the
// asker.
func Arrange(book *sheet.Book, m *mapping.File, asker *question.Asker) Book {
	var free, kept []*sheet.Sheet
	for _, s := range book.Sheets {
		if m.Sheet(s.Name) == nil {
			free = append(free, s)
		}
	}
	a := blocks.Arrange(free, layout.Named)
	askPairs(a, asker)
	if len(a.Parts) == 0 {
		return Book{a, book, book}
	}
	at := 0
	for _, s := range book.Sheets {
		if m.Sheet(s.Name) != nil {
			kept = append(kept, s)
			continue
		}
		for at < len(a.Sheets) && a.From(a.Sheets[at]) == s {
			kept = append(kept, a.Sheets[at])
			at++
		}
	}
	plain, screened := *book, *book
	plain.Sheets, screened.Sheets = kept, slices.Concat(kept, a.Rest)
	return Book{a, &plain, &screened}
}

// askPairs asks which of two amounts in one cell was planned, once for the file.
func askPairs(a *blocks.Arranged, asker *question.Asker) {
	for _, p := range slices.Clone(a.Parts) {
		if !p.Pairs() {
			continue
		}
		switch asker.Ask(question.Question{
			ID: "two amounts", Rule: string(rules.ColumnAmbiguous), Sheet: p.Sheet.Name, Row: p.Sheet.Rows[0].Number,
			Text: "cells under the names of movements hold two amounts each: what are they?",
			Choices: []question.Choice{
				{Word: "planned first", Text: "the planned amount, then the achieved one"},
				{Word: "achieved first", Text: "the achieved amount, then the planned one"},
				{Word: "neither", Text: "something else, such as where the tooth stood before and after; they are not read"},
			},
		}) {
		case "achieved first":
			p.Swap()
		case "neither":
			a.Undo(p)
		}
	}
}

// Notes say how each odd sheet was taken apart.
func (a Book) Notes(file string) []casebook.Problem {
	var out []casebook.Problem
	for _, p := range a.Parts {
		n := rules.New(rules.LayoutAssumed, "the sheet was read as %s", p.How())
		n.File, n.Sheet = file, a.From(p.Sheet).Name
		if !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// LocateProblems gives findings their place in the file as it came.
func (a Book) LocateProblems(ps []casebook.Problem) []casebook.Problem {
	if len(a.Parts) == 0 {
		return ps
	}
	for i := range ps {
		p := &ps[i]
		p.Sheet, p.Cell, p.Row = a.Locate(p.Sheet, p.Cell, p.Row)
	}
	return ps
}

// LocateQuestions does so for questions.
func (a Book) LocateQuestions(qs []question.Question) []question.Question {
	if len(a.Parts) == 0 {
		return qs
	}
	for i := range qs {
		q := &qs[i]
		q.Sheet, q.Cell, q.Row = a.Locate(q.Sheet, q.Cell, q.Row)
	}
	return qs
}

// LocateBatch does so for all that was read.
func (a Book) LocateBatch(b *casebook.Batch) {
	if len(a.Parts) == 0 {
		return
	}
	a.LocateProblems(b.Problems)
	located := map[casebook.Original]casebook.Original{} // records of one row share it
	locateRecords(a, b.Cases, located)
	locateRecords(a, b.Courses, located)
	locateRecords(a, b.Movements, located)
	locateRecords(a, b.Repeats, located)
	for i := range b.Rejected {
		r := &b.Rejected[i]
		a.LocateProblems(r.Reasons)
		a.locateRow(&r.Source, &r.Original, located)
	}
	var counts []casebook.SheetCounts
	for _, c := range b.Sheets {
		c.Sheet, _, _ = a.Locate(c.Sheet, "", 0)
		if n := len(counts); n > 0 && counts[n-1].Sheet == c.Sheet {
			counts[n-1].Counts, counts[n-1].Kind = counts[n-1].Add(c.Counts), casebook.NoKind
			continue
		}
		counts = append(counts, c)
	}
	b.Sheets = counts
}

func locateRecords[T any](a Book, records []casebook.Record[T], located map[casebook.Original]casebook.Original) {
	for i := range records {
		a.locateRow(&records[i].Source, &records[i].Original, located)
	}
}

func (a Book) locateRow(s *casebook.Source, original *casebook.Original, located map[casebook.Original]casebook.Original) {
	name := s.Sheet
	s.Sheet, _, s.Row = a.Locate(name, "", s.Row)
	there, ok := located[*original]
	if !ok {
		cells := original.Cells()
		for i := range cells {
			_, cells[i].Ref, _ = a.Locate(name, cells[i].Ref, 0)
		}
		there = casebook.OriginalOf(cells)
		located[*original] = there
	}
	*original = there
}

// Plain is a file without its odd sheets, which a mapping cannot describe: they
// are taken apart as they are each time they are read.
func Plain(book *sheet.Book) *sheet.Book {
	a := blocks.Arrange(book.Sheets, layout.Named)
	if len(a.Parts) == 0 {
		return book
	}
	plain := *book
	plain.Sheets = slices.DeleteFunc(slices.Clone(a.Sheets), func(s *sheet.Sheet) bool { return a.From(s) != s })
	return &plain
}

// AboutOdd says, as comment lines of a mapping file, how the odd sheets of a file are
// read, which no section of a mapping can describe. A name that could be somebody's is
// not repeated.
func AboutOdd(book *sheet.Book) string {
	a := blocks.Arrange(book.Sheets, layout.Named)
	var lines []string
	for _, p := range a.Parts {
		from := a.From(p.Sheet)
		name := strconv.Quote(from.Name)
		if privacy.LabelRule(from.Name) != "" {
			name = "number " + strconv.Itoa(slices.Index(book.Sheets, from)+1)
		}
		if line := fmt.Sprintf("# The sheet %s is read as %s.\n", name, p.How()); !slices.Contains(lines, line) {
			lines = append(lines, line)
		}
	}
	if len(lines) == 0 {
		return ""
	}
	return "\n" + strings.Join(lines, "") + "# What stands above under [file], [missing], [positive] and [words], and below under\n# [answers], holds for it too; its columns need no section.\n"
}
