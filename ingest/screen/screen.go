// Package screen looks over a whole file for what could identify a person, with the help
// of the tables found in it, and keeps names of files and sheets that could from being
// repeated.
//
// Place in the pipeline: ingest/privacy judges single texts; what passes them on or keeps
// them asks here.
package screen

import (
	"iter"
	"slices"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/decide"
	"shortfall/ingest/layout"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/memo"
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
		in.Sheets = append(in.Sheets, Screen(s, found.Tables))
	}
	return privacy.Screen(in)
}

// Screen lays a sheet out for the search of identifiers: its cells, and what its tables are known to hold.
func Screen(s *sheet.Sheet, tables []*layout.Table) privacy.Sheet {
	out, words := privacy.Sheet{Name: s.Name}, words{memo.ByNumber(lexicon.AllKnown)}
	body := 0
	out.Cells = func(wanted []bool, known *privacy.Clean) iter.Seq[privacy.Cell] { return cells(s, body, wanted, known) }
	i := slices.IndexFunc(tables, func(t *layout.Table) bool { return t.Sheet == s })
	if i < 0 {
		out.Pass = words.has
		return out
	}
	t := tables[i]
	body = t.Body
	out.Body, out.Columns, out.Constants = t.Body, map[int]privacy.Column{}, t.Constants
	unread := make([]bool, s.Columns()+1)
	for _, c := range t.Columns {
		if isRemarks(c) {
			unread[c.Col] = true
			continue
		}
		out.Columns[c.Col] = privacy.Column{Header: c.Text, Field: c.Field}
	}
	b := decide.NewBody(t)
	last := b.Last()
	out.Note = func(row int) bool { return row > last }
	asked, passable := 0, false // once for each row: both look at all of its cells
	out.Pass = func(c privacy.Cell) bool {
		if unread[c.Col] {
			return true
		}
		if !words.has(c) {
			return false
		}
		if c.Row != asked {
			row := rowOf(s, c.Row)
			asked, passable = c.Row, !b.Record(row) || onlyWords(row)
		}
		return passable
	}
	return out
}

// rowOf finds a row by its number.
func rowOf(s *sheet.Sheet, number int) sheet.Row {
	i, ok := slices.BinarySearchFunc(s.Rows, number, func(r sheet.Row, n int) int { return r.Number - n })
	if !ok {
		return sheet.Row{}
	}
	return s.Rows[i]
}

// words knows which texts of a sheet are words of the trade alone.
type words struct{ known *memo.Numbered[bool] }

// has reports a text of such words.
func (w words) has(c privacy.Cell) bool {
	return c.Kind == privacy.Text && !c.Error && w.known.Get(c.Same, c.Text)
}

// onlyWords reports a row whose cells are all words of the trade: the header of a
// key, and no record, which has numbers and a code.
func onlyWords(row sheet.Row) bool {
	return !row.Any(func(c sheet.Cell) bool { return c.Kind != sheet.String || !lexicon.AllKnown(c.Text) })
}

// isRemarks reports a column of remarks, or one that a mapping leaves out: nothing
// of it is read and nothing of it is kept, so it is not looked at either.
func isRemarks(c layout.Column) bool {
	if c.Field != columns.NoField {
		return false
	}
	return c.Declared || lexicon.Of(lexicon.Tokens(c.Text))[lexicon.Notes]
}

// cells gives the cells of some columns of a sheet that hold a value, from the body on
// without those that are known to be clean.
func cells(s *sheet.Sheet, body int, wanted []bool, known *privacy.Clean) iter.Seq[privacy.Cell] {
	return func(yield func(privacy.Cell) bool) {
		for _, row := range s.Rows {
			again := known != nil && body > 0 && row.Number >= body
			for i := range row.Len() {
				col := row.Col(i)
				if wanted != nil && (col >= len(wanted) || !wanted[col]) || again && known.Has(col, s.Number(row, i), kinds[row.Kind(i)]) {
					continue
				}
				if c, ok := toScreen(row.Cell(i)); ok {
					c.Row, c.Same = row.Number, s.Number(row, i)
					if !yield(c) {
						return
					}
				}
			}
		}
	}
}

// toScreen is a cell as it is screened, where it holds a value.
func toScreen(c sheet.Cell) (out privacy.Cell, ok bool) {
	out = privacy.Cell{Col: int(c.Col), Text: c.Text, Kind: kinds[c.Kind]}
	switch c.Kind {
	case sheet.ErrorValue:
		if out.Error = true; standardErrors[c.Text] {
			return out, false
		}
	case sheet.Bool, sheet.NoValue, sheet.Blank:
		return out, false
	}
	return out, true
}

// kinds of cells as they are screened; all others are texts.
var kinds = [...]privacy.Kind{sheet.NoValue: privacy.Text, sheet.Number: privacy.Number, sheet.Date: privacy.Date}

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
