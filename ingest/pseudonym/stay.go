package pseudonym

import (
	"fmt"
	"regexp"
	"strings"

	"shortfall/ingest/casebook"
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

// stays decides whether a code stands in the copy as it is. One to which the screen objects,
// by itself or beside the others of its column, never does. Of cases those of a plain scheme
// stay, or all others where a person said so; no more can be told of a code.
func (c *copier) stays(f columns.Field, code string) bool {
	switch {
	case c.renameAll, c.objected[objection{f, code}], privacy.CellRule(privacy.Cell{Text: code}, f, false) != "":
		return false
	case c.keepAll, privacy.OwnCode(code):
		return true
	case f == columns.Case:
		return c.scheme.Has(code)
	}
	return orderly(code) && !values.IsTotal(code) && (f == columns.Practice || !privacy.Initials(code))
}

// ofOrder is a few letters and a short number, "F1", "ABC-012", "00417". More letters can be
// part of a name, more digits a number of a register: the screen lets one in some hundreds
// of those pass.
var ofOrder = regexp.MustCompile(`^(?:\p{L}{0,3}[-_. /]?\d{1,3}|\p{L}{0,2}[-_. /]?\d{4,5})$`)

// orderly: such a code, or words that name nobody with short numbers, "Site 12", "North clinic".
func orderly(code string) bool { return ofOrder.MatchString(code) || privacy.Word(code) }

// learn finds the scheme of the codes of the cases of a file: of those to which the screen
// does not object, which must be most of them.
func (c *copier) learn(b *casebook.Batch) {
	var clean []string
	all := b.CaseCodes()
	for _, code := range all {
		if !c.objected[objection{columns.Case, code}] && privacy.CellRule(privacy.Cell{Text: code}, columns.Case, false) == "" && !privacy.OwnCode(code) {
			clean = append(clean, code)
		}
	}
	if 2*len(clean) > len(all) {
		c.scheme = privacy.SchemeOf(clean)
	}
}

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
		what, why string
		n         Codes
	}{{"cases", s.Why, s.Cases}, {"clinicians", "", s.Clinicians}, {"practices", "", s.Practices}} {
		said := ""
		switch {
		case of.n.All() == 0:
			continue
		case of.n.Renamed == 0:
			said = fmt.Sprintf("codes of %s: all %d stay as they are", of.what, of.n.Kept)
		case of.n.Kept == 0:
			said = fmt.Sprintf("codes of %s: all %d have a pseudonym", of.what, of.n.Renamed)
		default:
			said = fmt.Sprintf("codes of %s: %d stay as they are, %d have a pseudonym", of.what, of.n.Kept, of.n.Renamed)
		}
		if of.why != "" {
			said += ": " + of.why
		}
		out = append(out, said)
		renamed += of.n.Renamed
	}
	if renamed > 0 {
		out = append(out, "other sheets with the codes that were renamed fit only as copies made with the same key")
	}
	return out
}

// why says by what the codes of the cases were judged.
func (c *copier) why(n Codes) string {
	switch {
	case n.All() == 0, c.renameAll:
		return ""
	case c.keepAll && n.Renamed > 0:
		return "as you asked, but for those that seem to identify a person"
	case c.keepAll:
		return "as you asked"
	case n.Kept == 0:
		return "they are no plain scheme of numbers, so that they can hold initials, names or dates"
	case n.Renamed == 0:
		return "they are a plain scheme of running numbers"
	}
	return "most are a plain scheme of running numbers, the others can identify a person"
}

// String is the place and the reason.
func (d Dropped) String() string {
	where := "sheet " + d.Sheet
	if d.Place != "" {
		where += ", " + d.Place
	}
	return where + ": " + d.Why
}
