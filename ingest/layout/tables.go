package layout

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// Found is what the sheets of a file hold.
type Found struct {
	Tables   []*Table
	Skipped  []string // sheets with cells and no table
	Invented bool
	Problems []casebook.Problem

	asker    *question.Asker
	declared mapping.Whole
	numbers  map[*sheet.Sheet]int // of the sheets in the book, from 1
}

// Tables finds the tables of a file. Problems of severity error among those
// found mean that the sheet named cannot be read.
func Tables(b *sheet.Book, m *mapping.File) *Found {
	a := &question.Asker{}
	if m != nil {
		a.Answers = m.Answers
	}
	return Asking(b, m, a)
}

// Asking is Tables that puts what the sheets leave open to the asker; a question
// that stays open means that the sheet cannot be read.
func Asking(b *sheet.Book, m *mapping.File, a *question.Asker) *Found {
	f := &Found{Invented: invented(b), asker: a, numbers: map[*sheet.Sheet]int{}}
	if m != nil {
		f.declared = m.File
	}
	for i, s := range b.Sheets {
		f.numbers[s] = i + 1
		if ignored(s.Name) && !holdsCases(s, m.Sheet(s.Name)) {
			continue
		}
		if written(s.Name) && m.Sheet(s.Name) == nil {
			f.Skipped = append(f.Skipped, s.Name)
			f.add(rules.SheetSkipped, s, "the sheet is a list of an annotated copy; it was not read").Severity = casebook.Info
			continue
		}
		f.sheet(s, m.Sheet(s.Name))
	}
	f.spare()
	f.fieldByName()
	f.courseByName()
	f.casePerSheet()
	for _, t := range f.Tables {
		f.positions(t)
		f.required(t)
		f.styleByValues(t)
		f.directionByValues(t)
	}
	f.askStatusOfMovements()
	f.unmatched(b, m)
	for i := range f.Problems {
		f.Problems[i].File = b.File.Name
	}
	return f
}

// HeaderHash names the layout of a file: a hash of the headers of its tables,
// folded, in order. Files of one layout have one hash, whatever their sheets and
// rows.
func (f *Found) HeaderHash() string {
	h := sha256.New()
	seen := map[string]bool{}
	for _, t := range f.Tables {
		if s := t.shape(); !seen[s] {
			seen[s] = true
			fmt.Fprintln(h, t.Kind, s)
		}
	}
	return hex.EncodeToString(h.Sum(nil))
}

// holdsCases reports a table with a column of cases: a sheet of a practice's own
// that is called as one of ours.
func holdsCases(s *sheet.Sheet, declared *mapping.Sheet) bool {
	c, ok := find(s, declared)
	if !ok {
		return false
	}
	has := map[columns.Field]bool{}
	for _, text := range c.texts {
		has[parse(text, c.kind).Field] = true
	}
	return has[columns.Case] && (has[columns.Tooth] && has[columns.Planned] || has[columns.Status] || has[columns.Course] && has[columns.CourseStart])
}

func ignored(name string) bool {
	n := strings.ToLower(strings.TrimSpace(name))
	return n == columns.InstructionsSheet || n == columns.ListsSheet
}

// written reports a sheet that an annotated copy adds: it repeats rows of the
// others.
func written(name string) bool {
	return name == columns.ProblemSheet || name == columns.AcceptedSheet || name == columns.RejectedSheet
}

// invented looks for the mark in the first rows of every sheet and in the
// document properties.
func invented(b *sheet.Book) bool {
	mark := func(s string) bool { return strings.Contains(strings.ToLower(s), columns.InventedMark) }
	for _, p := range b.Properties {
		if (p.Name == "description" || p.Name == "category") && mark(p.Value) {
			return true
		}
	}
	for _, s := range b.Sheets {
		for _, r := range s.Rows[:min(5, len(s.Rows))] {
			if r.Number <= 5 && r.Any(func(c sheet.Cell) bool { return mark(c.Text) }) {
				return true
			}
		}
	}
	return false
}

func (f *Found) add(id rules.ID, s *sheet.Sheet, format string, args ...any) *casebook.Problem {
	p := rules.New(id, format, args...)
	p.Sheet = s.Name
	f.Problems = append(f.Problems, p)
	return &f.Problems[len(f.Problems)-1]
}

func (f *Found) sheet(s *sheet.Sheet, declared *mapping.Sheet) {
	if len(s.Rows) == 0 {
		return
	}
	if declared != nil && (declared.Skip || declared.Kind == mapping.Ignore) {
		f.Skipped = append(f.Skipped, s.Name)
		return
	}
	c, ok := find(s, declared)
	if !ok {
		f.Skipped = append(f.Skipped, s.Name)
		if f.askLeftOut(s, s.Rows[0].Number) {
			return
		}
		f.add(rules.SheetSkipped, s, "no header row was recognised on the sheet; it was not read")
		return
	}
	t := &Table{
		Sheet: s, Kind: c.kind, Header: s.Rows[c.index].Number, Constants: map[columns.Field]string{}, Labels: map[columns.Field]Label{},
	}
	if t.Body = t.Header + c.rows; c.rows == 2 {
		t.heads = slices.Clone(s.Rows[c.index : c.index+2])
	}
	t.declared = declared != nil
	for _, r := range s.Rows {
		if r.Len() > 0 {
			t.Last = r.Number // hidden rows may hold nothing
		}
	}
	f.columns(t, c, declared)
	f.headless(t)
	f.labels(t, c.index)
	if declared != nil {
		for name, v := range declared.Constants {
			fld, _ := columns.ParseField(name)
			t.Constants[fld] = v
			delete(t.Labels, fld)
		}
		if declared.Case == "sheet name" {
			t.Constants[columns.Case] = s.Name
			delete(t.Labels, columns.Case)
		}
	}
	t.titles = titles(s, c.index)
	t.pairUp()
	f.secondHeader(t)
	t.Flat = t.Kind == casebook.MovementKind && t.hasAny(caseFields)
	if c.rows == 2 {
		f.add(rules.LayoutAssumed, s, "rows %d and %d were read as a header of two rows", t.Header, t.Header+1)
	}
	if len(t.Pairs) > 0 {
		f.add(rules.LayoutAssumed, s, "the sheet was read as wide: %d movements a row", len(t.Pairs))
	}
	f.Tables = append(f.Tables, t)
}

func (t *Table) hasAny(fields map[columns.Field]bool) bool {
	for fld := range fields {
		if t.Has(fld) {
			return true
		}
	}
	return false
}

// columns gives each header its field: the declared one, else the one it names.
func (f *Found) columns(t *Table, c candidate, declared *mapping.Sheet) {
	for col, text := range c.texts {
		holds, ignore, ok := declared.Holds(text, sheet.ColumnName(col))
		column := Column{Col: col, Text: text, Declared: ok}
		switch {
		case ok && !ignore:
			column.Header = declaredHeader(text, holds.Field, t.Kind)
			if holds.Axis != casebook.NoAxis {
				column.Axis, column.Direction = holds.Axis, holds.Direction
			}
		case !ok:
			column.Header = parse(text, t.Kind)
		}
		t.Columns = append(t.Columns, column)
	}
	slices.SortFunc(t.Columns, func(a, b Column) int { return a.Col - b.Col })
	t.declarePairs(declared)
	t.settle()
	t.ratings()
	f.ofMovements(t)
	f.sameField(t)
	t.index()
	for i, c := range t.Columns {
		ref := sheet.Ref(t.Header, c.Col)
		switch {
		case c.Field == columns.NoField && c.Mark != casebook.NoStyle && t.Marks[c.Col] != casebook.NoStyle:
			p := f.add(rules.ColumnAssumed, t.Sheet, "the column was read as yes or no to %s", c.Mark)
			p.Cell, p.Column = ref, c.Text
		case c.Field == columns.NoField && slices.Contains(t.undecided, i):
		case c.Field == columns.NoField && !c.Declared:
			p := f.add(rules.ColumnUnread, t.Sheet, "the column was not read")
			p.Cell, p.Column = ref, c.Text
		case !c.Canonical && !c.Declared && !c.wide() && c.Field != columns.NoField:
			p := f.add(rules.ColumnAssumed, t.Sheet, "the column was read as %s", c.Field)
			p.Cell, p.Column = ref, c.Text
		}
	}
}

// headless reports columns that hold cells and have no header.
func (f *Found) headless(t *Table) {
	seen := map[int32]bool{}
	for _, r := range t.Sheet.Rows {
		if r.Number < t.Body {
			continue
		}
		for _, c := range r.All() {
			if seen[c.Col] {
				continue
			}
			seen[c.Col] = true
			if _, ok := t.ColumnAt(int(c.Col)); !ok {
				p := f.add(rules.ColumnUnread, t.Sheet, "the column holds cells and has no header; it was not read")
				p.Cell = sheet.Ref(r.Number, int(c.Col))
			}
		}
	}
}

// Shape names the headers of one table: tables of the same headers in the same columns
// have one.
func (t *Table) Shape() string {
	sum := sha256.Sum256([]byte(t.shape()))
	return hex.EncodeToString(sum[:4])
}

// shape is the header of a table as one text.
func (t *Table) shape() string {
	var sb strings.Builder
	for _, c := range t.Columns {
		fmt.Fprintln(&sb, c.Col, values.Key(c.Text))
	}
	return sb.String()
}
