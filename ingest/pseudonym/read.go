package pseudonym

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/decide"
	"shortfall/ingest/layout"
	"shortfall/ingest/privacy"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/screen"
	"shortfall/ingest/sheet"
)

// passes over a file at the most: a row names all its faults in one pass, so
// that two are usual; a row that is then still rejected is left out.
const passes = 5

// ErrNoCase: a table has no column that is known to hold the codes of the cases.
var ErrNoCase = errors.New("no column tells the cases apart; name it with --case")

// read reads the file as ingest does. A cell that does not parse and that the
// row can do without is emptied and the file read again; a row that cannot do
// without is left out. Both are listed.
func (c *copier) read(ctx context.Context) (*casebook.Batch, error) {
	found := ingest.Tables(c.book, c.reading).Found
	for _, t := range found.Tables {
		if !t.Has(columns.Case) {
			return nil, fmt.Errorf("%s: %w", c.sheetName(t.Sheet.Name), ErrNoCase)
		}
	}
	personal := len(screen.Identifiers(c.book, found)) > 0
	c.judgeCodes(found)
	c.unread(found)
	c.ageBands(found)
	c.screen(found)
	for pass := 1; ; pass++ {
		b, err := ingest.FromBook(ctx, c.lend(), c.reading)
		if err != nil {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			return nil, c.withhold(err, personal)
		}
		if emptied := c.empty(b.Rejected, found); emptied == 0 || pass == passes {
			c.listRows(b.Rejected)
			return b, nil
		}
	}
}

// lend gives the reader a book whose rows it may give up.
func (c *copier) lend() *sheet.Book {
	b := *c.book
	b.Sheets = make([]*sheet.Sheet, len(c.book.Sheets))
	for i, s := range c.book.Sheets {
		lent := *s
		lent.Rows = slices.Clone(s.Rows)
		b.Sheets[i] = &lent
	}
	return &b
}

// screen empties the cells of columns that are read and hold what looks like an
// identifier, though they might parse: the serial day of a birth is a number of
// aligners too. Codes are judged apart.
func (c *copier) screen(found *layout.Found) {
	kinds := map[sheet.Kind]privacy.Kind{sheet.Number: privacy.Number, sheet.Date: privacy.Date}
	for _, t := range found.Tables {
		for i, r := range t.Sheet.Rows {
			if r.Number < t.Body {
				continue
			}
			for _, x := range r.All() {
				col, _ := t.ColumnAt(int(x.Col))
				switch col.Field {
				case columns.NoField, columns.Case, columns.Clinician, columns.Practice, columns.Age:
					continue
				}
				cell := privacy.Cell{Row: r.Number, Col: int(x.Col), Text: x.Text, Kind: kinds[x.Kind]}
				if id := privacy.CellRule(cell, col.Field, c.book.Date1904); id != "" && remove(t.Sheet, t.Sheet.Rows[i].Number, int(x.Col)) {
					c.drop(t.Sheet.Name, "cell "+sheet.Ref(r.Number, int(x.Col)), title(casebook.Problem{Rule: string(id)}))
				}
			}
		}
	}
}

// needed fields are those without which a row is no record.
var needed = map[columns.Field]bool{
	columns.Case: true, columns.Course: true, columns.Tooth: true, columns.Axis: true, columns.Direction: true, columns.Unit: true,
	columns.Planned: true, columns.Achieved: true, columns.Residual: true, columns.StartPosition: true, columns.EndPosition: true,
	columns.First: true, columns.Second: true,
}

// empty takes out the cells for which rows were rejected, and counts them.
func (c *copier) empty(rejected []casebook.Rejected, found *layout.Found) int {
	n := 0
	for _, r := range rejected {
		for _, p := range r.Reasons {
			t := tableOf(found, r.Source.Sheet)
			if p.Cell == "" || t == nil || rules.ID(p.Rule) == rules.CaseConflict {
				continue
			}
			_, col := sheet.Place(p.Cell)
			if field, _ := t.ColumnAt(col); field.Axis != casebook.NoAxis || field.Tooth != "" || needed[field.Field] || !remove(t.Sheet, r.Source.Row, col) {
				continue
			}
			c.drop(r.Source.Sheet, "cell "+p.Cell, title(p))
			n++
		}
	}
	return n
}

func tableOf(found *layout.Found, sheet string) *layout.Table {
	i := slices.IndexFunc(found.Tables, func(t *layout.Table) bool { return t.Sheet.Name == sheet })
	if i < 0 {
		return nil
	}
	return found.Tables[i]
}

// remove takes a cell out of a sheet; false where there is none.
func remove(s *sheet.Sheet, row, col int) bool {
	i, ok := slices.BinarySearchFunc(s.Rows, row, func(r sheet.Row, n int) int { return r.Number - n })
	return ok && s.Rows[i].Remove(col)
}

// listRows lists the rows that are not in the copy.
func (c *copier) listRows(rejected []casebook.Rejected) {
	for _, r := range rejected {
		var why []string
		for _, p := range r.Reasons {
			said := title(p)
			if p.Cell != "" {
				said = "cell " + p.Cell + ": " + said
			}
			if !slices.Contains(why, said) {
				why = append(why, said)
			}
		}
		c.drop(r.Source.Sheet, fmt.Sprintf("row %d", r.Source.Row), strings.Join(why, "; "))
	}
}

// title says what is wrong in the words of the catalogue, which hold no value.
func title(p casebook.Problem) string {
	r, ok := rules.Find(rules.ID(p.Rule))
	if !ok {
		return "it cannot be read [" + p.Rule + "]"
	}
	class := ""
	if p.Class != "" {
		class = " (" + p.Class + ")"
	}
	return strings.ToLower(r.Title[:1]) + r.Title[1:] + class + " [" + p.Rule + "]"
}

// unread lists the sheets and columns of which nothing is read.
func (c *copier) unread(found *layout.Found) {
	for _, s := range c.book.Sheets {
		t := tableOf(found, s.Name)
		if t == nil {
			if len(s.Rows) > 0 && s.Name != columns.InstructionsSheet && s.Name != columns.ListsSheet {
				c.drop(s.Name, "", "no table of records was recognised on it")
			}
			continue
		}
		for _, col := range t.Columns {
			if col.Field == columns.NoField {
				why := "not read by the audit"
				if r, ok := rules.Find(privacy.HeaderRule(col.Text, columns.NoField)); ok {
					why = title(casebook.Problem{Rule: string(r.ID)})
				}
				c.drop(s.Name, "column "+sheet.ColumnName(col.Col), why)
			}
		}
	}
}

func (c *copier) drop(sheet, place, why string) {
	c.summary.Dropped = append(c.summary.Dropped, Dropped{c.sheetName(sheet), place, why})
}

// sheetName is the name to print: the number where the name is a finding.
func (c *copier) sheetName(name string) string {
	i := slices.IndexFunc(c.book.Sheets, func(s *sheet.Sheet) bool { return s.Name == name })
	return screen.SheetName(name, i+1)
}

// withhold says why a file that holds identifiers cannot be read without
// repeating any text of it.
func (c *copier) withhold(err error, personal bool) error {
	problems := ingest.Problems(err)
	if !personal || len(problems) == 0 {
		return err
	}
	out := &ingest.Refused{}
	for _, p := range problems {
		if p.Severity < casebook.Error {
			continue
		}
		r, ok := rules.Find(rules.ID(p.Rule))
		if !ok {
			continue
		}
		made := rules.New(r.ID, "%s", strings.ToLower(r.Title[:1])+r.Title[1:])
		made.File, made.Cell, made.Row, made.Class = "(name withheld)", p.Cell, p.Row, p.Class
		if asked, said := howToAnswer(p, ingest.Questions(err)); said != "" {
			made.Remedy = said
			made.Message = cmp.Or(asked, made.Message)
		}
		if privacy.LabelRule(base(p.File)) == "" {
			made.File = p.File
		}
		if p.Sheet != "" {
			made.Sheet = c.sheetName(p.Sheet)
		}
		out.Problems = append(out.Problems, made)
	}
	return out
}

// howToAnswer says what the open question behind a problem asks, and how it is answered,
// without a text of a cell: "" where a header it would name is a finding. Of words of cells
// it says how many there are, and what each can mean.
func howToAnswer(p casebook.Problem, open []question.Question) (asked, remedy string) {
	i := slices.IndexFunc(open, func(q question.Question) bool { return q.Rule == p.Rule && q.Cell == p.Cell && q.Row == p.Row })
	if i < 0 || open[i].Sheet != "" && strings.Contains(open[i].ID, open[i].Sheet) {
		return "", ""
	}
	q := open[i]
	q.Choices = slices.Clone(q.Choices)
	for j, c := range q.Choices {
		if privacy.HeaderRule(c.Word, columns.Case) != "" {
			return "", ""
		}
		q.Choices[j].Text, _, _ = strings.Cut(c.Text, ":") // what follows can be values
	}
	switch {
	case q.Group == nil && q.Word == "":
		return "", q.Remedy()
	case q.Group == nil:
		return "", ""
	}
	for _, group := range question.Groups(open) {
		switch {
		case group[0].Group == nil || group[0].Group.ID != q.Group.ID:
		case q.Group.ID == decide.Positive: // its words are names of axes
			return q.Group.Text, question.RemedyOf(group)
		default:
			asked = fmt.Sprintf("the file leaves open what some of its words mean (%d, %s)", len(group), q.Group.ID)
			remedy = fmt.Sprintf("Answer with --answer \"%s=WORD: MEANING; WORD: MEANING\", with one of these for each word: %s", q.Group.ID, strings.Join(q.Words(), ", "))
		}
	}
	return asked, remedy
}
