// Package screen looks over a whole file for what could identify a person, with the help
// of the tables found in it, and keeps names of files and sheets that could from being
// repeated.
//
// Place in the pipeline: ingest/privacy judges single texts; what passes them on or keeps
// them asks here.
package screen

import (
	"slices"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/decide"
	"shortfall/ingest/layout"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/privacy"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// Identifiers lists what in a file looks as if it identified a person; found are
// its tables. No problem repeats what was found.
func Identifiers(book *sheet.Book, found *layout.Found) []casebook.Problem {
	in := privacy.Input{File: book.File.Name, Date1904: book.Date1904}
	for _, p := range book.Properties {
		in.Properties = append(in.Properties, privacy.Property{Name: p.Name, Text: p.Value})
	}
	for _, c := range book.Comments {
		if rules.Sealed(c.Text) {
			continue // of a marked copy of ours
		}
		in.Comments = append(in.Comments, privacy.Comment{Sheet: c.Sheet, Cell: c.Ref, Text: c.Text})
	}
	for _, s := range book.Sheets {
		in.Sheets = append(in.Sheets, screenSheet(s, found.Tables))
	}
	return privacy.Screen(in)
}

func screenSheet(s *sheet.Sheet, tables []*layout.Table) privacy.Sheet {
	out := privacy.Sheet{Name: s.Name, Cells: func(yield func(privacy.Cell) bool) { screenCells(s, wordsOfTheTrade, yield) }}
	i := slices.IndexFunc(tables, func(t *layout.Table) bool { return t.Sheet == s })
	if i < 0 {
		return out
	}
	t := tables[i]
	out.Body, out.Columns, out.Constants = t.Body, map[int]privacy.Column{}, t.Constants
	unread := map[int32]bool{}
	for _, c := range t.Columns {
		if isRemarks(c) {
			unread[int32(c.Col)] = true
			continue
		}
		out.Columns[c.Col] = privacy.Column{Header: c.Text, Field: c.Field}
	}
	b := decide.NewBody(t)
	out.Cells = func(yield func(privacy.Cell) bool) {
		asked, passable := 0, false // once for each row: both look at all of its cells
		screenCells(s, func(row sheet.Row, c sheet.Cell) bool {
			if row.Number != asked {
				asked, passable = row.Number, !b.Record(row) || onlyWords(row)
			}
			return unread[c.Col] || c.Kind == sheet.String && passable && lexicon.AllKnown(c.Text)
		}, yield)
	}
	return out
}

// onlyWords reports a row whose cells are all words of the trade: the header of a
// key, and no record, which has numbers and a code.
func onlyWords(row sheet.Row) bool {
	return !row.Any(func(c sheet.Cell) bool { return c.Kind != sheet.String || !lexicon.AllKnown(c.Text) })
}

// wordsOfTheTrade passes over such texts on a sheet without a table.
func wordsOfTheTrade(_ sheet.Row, c sheet.Cell) bool {
	return c.Kind == sheet.String && lexicon.AllKnown(c.Text)
}

// isRemarks reports a column of remarks, or one that a mapping leaves out: nothing
// of it is read and nothing of it is kept, so it is not looked at either.
func isRemarks(c layout.Column) bool {
	if c.Field != columns.NoField {
		return false
	}
	return c.Declared || lexicon.Of(lexicon.Tokens(c.Text))[lexicon.Notes]
}

// screenCells gives the cells of a sheet but for those that may be passed over:
// words of the trade outside the records, and remarks of which nothing is kept.
func screenCells(s *sheet.Sheet, pass func(sheet.Row, sheet.Cell) bool, yield func(privacy.Cell) bool) {
	for _, row := range s.Rows {
		for _, c := range row.All() {
			if pass(row, c) {
				continue
			}
			kind := privacy.Text
			switch c.Kind {
			case sheet.Number:
				kind = privacy.Number
			case sheet.Date:
				kind = privacy.Date
			case sheet.ErrorValue:
				if standardErrors[c.Text] {
					continue
				}
			case sheet.Bool, sheet.NoValue, sheet.Blank:
				continue
			}
			if !yield(privacy.Cell{Row: row.Number, Col: int(c.Col), Text: c.Text, Kind: kind}) {
				return
			}
		}
	}
}

// standardErrors are the error values of spreadsheet programs: those of ECMA-376, #SPILL!
// and #CALC! as excelize's calc.go lists them, the others common practice, no source. A
// cell of errors that holds anything else holds a text.
var standardErrors = map[string]bool{
	"#NULL!": true, "#DIV/0!": true, "#VALUE!": true, "#REF!": true, "#NAME?": true, "#NUM!": true, "#N/A": true, "#GETTING_DATA": true,
	"#SPILL!": true, "#CALC!": true, "#FIELD!": true, "#BLOCKED!": true, "#CONNECT!": true, "#BUSY!": true, "#UNKNOWN!": true, "Err:502": true,
}

// AsWarnings lets findings through that the caller chose to allow.
func AsWarnings(problems []casebook.Problem) []casebook.Problem {
	for i := range problems {
		problems[i].Severity = casebook.Warning
	}
	return problems
}
