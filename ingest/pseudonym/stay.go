package pseudonym

import (
	"fmt"
	"regexp"
	"strings"

	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/privacy"
	"shortfall/ingest/rules"
	"shortfall/ingest/screen"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// objection is a code of one kind that the screen objects to.
type objection struct {
	field columns.Field
	code  string
}

// stays decides whether a code stands in the copy as it is: the screen lets it pass, by
// itself and beside the others of its column, and it has the form of a number of order.
// What a file that needs no copy may hold a copy may hold too, and only so do the two
// name a case alike.
func (c *copier) stays(f columns.Field, code string) bool {
	return !c.renameAll && !c.objected[objection{f, code}] && orderly(code) && privacy.CellRule(privacy.Cell{Text: code}, f, false) == ""
}

// ofOrder is a few letters and a short number, "F1", "ABC-012", "00417", or a pseudonym of
// this package. More letters can be part of a name, more digits a number of a register:
// the screen lets one in some hundreds of those pass.
var ofOrder = regexp.MustCompile(`^(?:\p{L}{0,3}[-_. /]?\d{1,3}|\p{L}{0,2}[-_. /]?\d{4,5}|[PCS](?:-[` + letters + `]{4}){3})$`)

// orderly: such a code, or words that name nobody with short numbers, "Fall 12", "North clinic".
func orderly(code string) bool { return ofOrder.MatchString(code) || privacy.Word(code) }

// judgeCodes collects what the screen objects to in the columns of codes, which can rest
// on a whole column: initials with a date of birth among others of their kind.
func (c *copier) judgeCodes(found *layout.Found) {
	c.objected = map[objection]bool{}
	for _, t := range found.Tables {
		for _, col := range t.Columns {
			if col.Field == columns.Case && col.Declared && announced(col.Text) {
				c.renameAll = true // a person said that names or numbers of patients tell the cases apart
			}
		}
		alone := &sheet.Book{Date1904: c.book.Date1904, Sheets: []*sheet.Sheet{t.Sheet}}
		for _, p := range screen.Identifiers(alone, &layout.Found{Tables: []*layout.Table{t}}) {
			from, at := sheet.Place(p.Cell)
			_, last, _ := strings.Cut(p.Cell, ":") // those beyond the first hundred are a range
			to, _ := sheet.Place(last)
			to = max(from, to)
			col, _ := t.ColumnAt(at)
			if !isCode(col.Field) || from < t.Body {
				continue
			}
			for _, r := range t.Sheet.Rows {
				if r.Number < from || r.Number > to {
					continue
				}
				cell := r.At(col.Col)
				code, _ := values.Code(cell.Text, cell.Kind == sheet.Number)
				c.objected[objection{col.Field, code}] = true
			}
		}
	}
}

func isCode(f columns.Field) bool {
	return f == columns.Case || f == columns.Clinician || f == columns.Practice
}

// announced: the header says that the cells below it identify a person.
func announced(header string) bool {
	id := privacy.HeaderRule(header, columns.NoField)
	return id != "" && id != rules.IdentifierText
}

// Said says of each kind of code whether it stands as it was or has a pseudonym.
func (s Summary) Said() (out []string) {
	renamed := 0
	for _, of := range []struct {
		what string
		n    Codes
	}{{"cases", s.Cases}, {"clinicians", s.Clinicians}, {"practices", s.Practices}} {
		switch {
		case of.n.All() == 0:
			continue
		case of.n.Renamed == 0:
			out = append(out, fmt.Sprintf("codes of %s: all %d stay as they are", of.what, of.n.Kept))
		case of.n.Kept == 0:
			out = append(out, fmt.Sprintf("codes of %s: all %d have a pseudonym", of.what, of.n.Renamed))
		default:
			out = append(out, fmt.Sprintf("codes of %s: %d stay as they are, %d have a pseudonym", of.what, of.n.Kept, of.n.Renamed))
		}
		renamed += of.n.Renamed
	}
	if renamed > 0 {
		out = append(out, "other sheets with the codes that were renamed fit only as copies made with the same key")
	}
	return out
}

// String is the place and the reason.
func (d Dropped) String() string {
	where := "sheet " + d.Sheet
	if d.Place != "" {
		where += ", " + d.Place
	}
	return where + ": " + d.Why
}
